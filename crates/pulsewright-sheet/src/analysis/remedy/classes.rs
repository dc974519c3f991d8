//! What is sold: classes of small gear motors, ratios, voltages and sizes. Common practice where no source is named.

/// What gear motors of one case diameter are sold with.
pub(crate) struct Class {
    /// The class in words.
    pub name: &'static str,
    /// Its case diameter, m.
    pub diameter: f64,
    /// The most that its gears take continuously, N·m, where the usual ones do not do.
    pub continuous: f64,
    /// What its usual gears take continuously and at their peak, N·m: what is assumed of the class.
    pub usual: (f64, f64),
    /// The most mechanical power that its motors are sold with, W.
    pub power: f64,
    /// The greatest no-load speed at the output that they are sold with, r/min: the motor's behind a single stage.
    pub speed: f64,
    /// The most radial load that its output shafts take, N.
    pub radial: f64,
}

/// The classes, by the number that an evaluation gives them.
pub(crate) const CLASSES: [Class; 4] = [
    Class {
        name: "10 to 12 mm",
        diameter: 0.012,
        continuous: 0.25,
        usual: (0.12, 0.3),
        power: 1.5,
        speed: 4000.0,
        radial: 25.0,
    },
    Class {
        name: "16 mm",
        diameter: 0.016,
        continuous: 0.4,
        usual: (0.2, 0.4),
        power: 4.0,
        speed: 3000.0,
        radial: 40.0,
    },
    Class {
        name: "20 to 25 mm",
        diameter: 0.025,
        continuous: 0.8,
        usual: (0.5, 1.2),
        power: 12.0,
        speed: 2000.0,
        radial: 60.0,
    },
    Class {
        name: "37 mm",
        diameter: 0.037,
        continuous: 1.5,
        usual: (1.5, 4.0),
        power: 40.0,
        speed: 1500.0,
        radial: 100.0,
    },
];

/// Peak torque of gears over what they take continuously, at the most.
pub(super) const PEAK_OVER_CONTINUOUS: f64 = 3.0;

/// Stall torque of a listing over what its gears take continuously, at the most: they are worked at 25 to 30 % of it.
pub(super) const STALL_OVER_CONTINUOUS: f64 = 4.0;

/// The smallest class whose gear motors are sold with a stall torque at the output, N·m; the largest where none is.
///
/// 2.1 kgf·cm is a 12 mm motor's, 20 kgf·cm are not (common practice, no source).
pub(crate) fn of_torque(torque: f64) -> usize {
    let sold = |class: &Class| torque <= STALL_OVER_CONTINUOUS * class.continuous;
    CLASSES.iter().position(sold).unwrap_or(CLASSES.len() - 1)
}

/// Least backlash of a small gearbox that can be bought, degrees.
pub(super) const BACKLASHES: [f64; 6] = [3.0, 2.5, 2.0, 1.5, 1.2, 1.0];

/// Ratios that gearboxes of a family are listed with.
pub(super) const RATIOS: [f64; 20] = [
    5.0, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 65.0, 75.0, 100.0, 120.0, 150.0, 200.0, 250.0, 300.0,
    380.0, 500.0, 600.0, 800.0, 1000.0,
];

/// Voltages of supplies, V.
pub(super) const VOLTAGES: [f64; 10] = [3.0, 5.0, 6.0, 7.5, 9.0, 12.0, 15.0, 18.0, 24.0, 36.0];

/// Currents of supplies, drivers and pins, A.
pub(super) const CURRENTS: [f64; 10] = [1.0, 1.5, 2.0, 3.0, 5.0, 10.0, 15.0, 20.0, 30.0, 50.0];

/// Even gauges of wire from thin to thick, AWG.
pub(super) const GAUGES: [f64; 11] = [
    30.0, 28.0, 26.0, 24.0, 22.0, 20.0, 18.0, 16.0, 14.0, 12.0, 10.0,
];

/// Stocked tooth counts of pulleys and pinions.
pub(super) const TEETH: [f64; 14] = [
    10.0, 12.0, 14.0, 15.0, 16.0, 18.0, 20.0, 24.0, 30.0, 36.0, 40.0, 48.0, 60.0, 72.0,
];

/// Voltages that electrolytic capacitors are rated for (IEC 60063 R series as sold), V.
pub(super) const RATED_VOLTAGES: [f64; 6] = [10.0, 16.0, 25.0, 35.0, 50.0, 63.0];

/// Reductions that a belt or a pair of gears behind the gear motor makes.
pub(super) const REDUCTIONS: [f64; 6] = [1.5, 2.0, 2.5, 3.0, 4.0, 5.0];
