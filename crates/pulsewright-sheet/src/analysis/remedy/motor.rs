//! Another gear motor: torque and speed sought together, with a stall current and a ratio that go with them.

use super::act::{Act, Means, Rung, outward, with_entries};
use super::classes::{
    CLASSES, CURRENTS, Class, PEAK_OVER_CONTINUOUS, RATIOS, STALL_OVER_CONTINUOUS, VOLTAGES,
    of_torque,
};
use crate::evaluation::Eval;
use crate::register::{axis, drive, gears, motor, movement, supply, verdict};
use crate::text::measure::Measure;
use crate::text::number;

/// kgf·cm in N·m.
const KILOGRAM_FORCE_CENTIMETRE: f64 = pulsewright_calc::units::STANDARD_GRAVITY / 100.0;

/// 1 rad/s in r/min.
const PER_MINUTE: f64 = 60.0 / core::f64::consts::TAU;

/// Share of the torque and multiple of the peak speed that are tried, in this order.
const TORQUES: [f64; 6] = [1.0, 1.3, 1.7, 2.2, 3.0, 4.0];
const SPEEDS: [f64; 4] = [1.8, 2.4, 1.4, 3.4];

/// What the job asks of a gear motor.
pub(super) struct Need {
    /// Stall torque, N·m.
    pub torque: f64,
    /// Peak speed of the move, rad/s.
    pub speed: f64,
    /// What the gears must take continuously, N·m.
    pub continuous: f64,
    /// What they must take at the peak of the move, N·m.
    pub peak: f64,
}

impl Need {
    /// What the job of a design asks.
    pub fn of(c: &Eval<'_>) -> Option<Self> {
        let held = c.get(axis::HOLDING_TORQUE).ok()?.value.abs();
        let moved = c.get(movement::RMS_TORQUE).ok()?.value;
        Some(Self {
            torque: c.get(verdict::NEED_STALL_TORQUE).ok()?.value,
            speed: c.get(movement::PEAK_SPEED).ok()?.value,
            continuous: 1.25 * held.max(moved),
            peak: 1.25 * c.get(movement::PEAK_TORQUE).ok()?.value,
        })
    }

    /// Whether motors of a class are sold that do it.
    fn is_of(&self, class: &Class, torque: f64, speed: f64) -> bool {
        self.continuous <= class.continuous
            && self.peak <= PEAK_OVER_CONTINUOUS * class.continuous
            && torque <= STALL_OVER_CONTINUOUS * class.continuous
            && torque * speed / 4.0 <= class.power
            && speed <= class.speed / PER_MINUTE
    }
}

/// Gear motors for the job of `c`, the smallest first; none where no class does it.
pub(super) fn act(c: &Eval<'_>, id: &str) -> Option<Act> {
    let mut need = Need::of(c)?;
    let present = c.class().ok()?;
    if id == "voltage_rating" {
        // The same motor with another winding.
        let at_rated = c.get(motor::RATED_VOLTAGE).ok()? / c.get(drive::LOWEST_VOLTAGE).ok()?;
        let torque = c.get(drive::STALL_TORQUE).ok()? * at_rated;
        need.torque = need.torque.max(torque.value);
    }
    let mut rungs = Vec::new();
    for torque in TORQUES.map(|share| share * need.torque) {
        for speed in SPEEDS.map(|multiple| multiple * need.speed) {
            // A case of the same size fits the bracket; a smaller one is no help.
            let fits = (present..CLASSES.len()).find(|&at| need.is_of(&CLASSES[at], torque, speed));
            if let Some(class) = fits {
                rungs.extend(rung(c, &need, present, class, torque, speed));
            }
        }
    }
    Some(Act {
        input: motor::STALL_TORQUE.index(),
        means: Means::Motor,
        say: "",
        rungs,
        ordered: false,
    })
}

fn two_digits_up(value: f64) -> String {
    outward(value, true, 2)
}

fn rung(
    c: &Eval<'_>,
    need: &Need,
    present: usize,
    class: usize,
    torque: f64,
    speed: f64,
) -> Option<Rung> {
    let sold = &CLASSES[class];
    let supplied = c.get(supply::VOLTAGE).ok()?.value;
    let rated = c.get(motor::RATED_VOLTAGE).ok()?.value;
    let limit = c
        .get(crate::register::position_loop::VOLTAGE_LIMIT)
        .map_or(1.0, |limit| limit.value);
    let highest = c.get(drive::HIGHEST_VOLTAGE).ok()?.value * limit;
    // A winding for the supply, where the present one is not.
    let (new_rated, other_winding) =
        if (0.8..=1.25).contains(&(supplied * limit / rated)) && highest <= 1.25 * rated {
            (rated, false)
        } else {
            let off = |volts: &f64| {
                let low = (volts / (supplied * limit)).max(supplied * limit / volts);
                if highest > 1.25 * volts {
                    10.0 + low
                } else {
                    low
                }
            };
            let nearest = VOLTAGES
                .iter()
                .copied()
                .reduce(|a, b| if off(&b) < off(&a) { b } else { a })?;
            (nearest, true)
        };
    let lowest = c.get(drive::LOWEST_VOLTAGE).ok()?.value * limit;
    // A listing tells its figures at the rated voltage; here there is less, or more.
    let share = (lowest / new_rated).min(1.0);
    let torque_text = [
        &two_digits_up(torque / share / KILOGRAM_FORCE_CENTIMETRE),
        "kgf.cm",
    ]
    .concat();
    let per_minute = speed / share * PER_MINUTE;
    let speed_text = [&two_digits_up(per_minute), "r/min"].concat();
    let clear = [
        motor::FIGURES_AT.index(),
        motor::NO_LOAD_CURRENT.index(),
        motor::STALL_CURRENT.index(),
        motor::TERMINAL_RESISTANCE.index(),
        motor::INDUCTANCE.index(),
        motor::ROTOR_INERTIA.index(),
        motor::MASS.index(),
        motor::WINDING_TO_HOUSING.index(),
        motor::WINDING_TIME_CONSTANT.index(),
        motor::HOUSING_TIME_CONSTANT.index(),
        motor::HOUSING_TO_AMBIENT.index(),
        gears::RATIO.index(),
        gears::STAGES.index(),
        gears::NOMINAL_RATIO.index(),
        gears::STAGE_COUNT.index(),
        gears::EFFICIENCY.index(),
        gears::STAGE_EFFICIENCIES.index(),
        gears::STIFFNESS.index(),
        gears::CONTINUOUS_TORQUE.index(),
        gears::PEAK_TORQUE.index(),
        gears::RADIAL_LIMIT.index(),
    ];
    let mut entries: Vec<(usize, String)> = clear.map(|index| (index, String::new())).into();
    entries.push((motor::STALL_TORQUE.index(), torque_text.clone()));
    entries.push((motor::NO_LOAD_SPEED.index(), speed_text));
    // A diameter that nobody has entered follows the torque.
    if class != present || !c.given(motor::CASE_DIAMETER) && of_torque(torque / share) != class {
        let millimetres = number::text(1e3 * sold.diameter, 3);
        entries.push((motor::CASE_DIAMETER.index(), [&millimetres, "mm"].concat()));
    }
    if other_winding {
        entries.push((
            motor::RATED_VOLTAGE.index(),
            [&number::text(new_rated, 3), "V"].concat(),
        ));
    }
    if need.continuous > sold.usual.0 {
        let peak = PEAK_OVER_CONTINUOUS * need.continuous;
        entries.push((
            gears::CONTINUOUS_TORQUE.index(),
            [&two_digits_up(need.continuous), "N.m"].concat(),
        ));
        entries.push((
            gears::PEAK_TORQUE.index(),
            [&outward(peak.max(sold.usual.1), false, 2), "N.m"].concat(),
        ));
    }
    // What goes with such figures: the ratio that a usual motor of the size needs, and the current by the balance of
    // power.
    let assumed = with_entries(c.design(), &entries)?;
    let assumed = c.of(&assumed);
    let ratio = assumed.raw(gears::RATIO.index()).ok()?;
    let off = |listed: f64| (listed / ratio).max(ratio / listed);
    let listed = RATIOS
        .iter()
        .copied()
        .reduce(|a, b| if off(b) < off(a) { b } else { a })?;
    entries.push((gears::RATIO.index(), number::text(listed, 4)));
    let current = assumed.raw(motor::STALL_CURRENT.index()).ok()?;
    entries.push((
        motor::STALL_CURRENT.index(),
        [&two_digits_up(current), "A"].concat(),
    ));
    let stall = c
        .notation
        .mark(two_digits_up(torque / share / KILOGRAM_FORCE_CENTIMETRE));
    let span = |multiple: f64| {
        let at = multiple * need.speed / share;
        c.notation.shown(Measure::Speed, at, 2).0
    };
    let (least, most) = if speed > 2.5 * need.speed {
        (2.5, 4.5)
    } else {
        (1.3, 2.5)
    };
    let unit = c.notation.shown(Measure::Speed, need.speed, 2).1;
    let mut words = [
        "Choose a gear motor with stall torque ≥ ",
        &stall,
        " kgf·cm at ",
        &span(least),
        " to ",
        &span(most),
        " ",
        unit,
    ]
    .concat();
    if other_winding {
        words = [&words, ", wound for ", &number::text(new_rated, 3), " V"].concat();
    }
    // A supply that nobody has entered fits the motor.
    let gives = c.get(supply::CURRENT_LIMIT).ok()?.value;
    if !c.given(supply::CURRENT_LIMIT) && gives < 1.3 * current {
        let size = CURRENTS.into_iter().find(|size| *size >= 1.3 * current)?;
        let text = number::text(size, 3);
        words = [&words, ", and a supply for ", &text, " A"].concat();
        entries.push((supply::CURRENT_LIMIT.index(), [&text, "A"].concat()));
    }
    if class != present {
        words = [
            "No ",
            CLASSES[present].name,
            " gear motor does it, the ",
            sold.name,
            " class does. ",
            &words,
        ]
        .concat();
    }
    Some(Rung {
        entries,
        gearbox: None,
        words: Some(words),
    })
}

/// Why no gear motor that is sold does the job of a design; none where one might.
pub(super) fn beyond(c: &Eval<'_>) -> Option<String> {
    let need = Need::of(c)?;
    let most = &CLASSES[CLASSES.len() - 1];
    let said = |torque: f64| c.notation.said(Measure::Torque, torque, 2);
    if need.continuous > most.continuous {
        return Some(
            [
                "the gears would have to take ",
                &said(need.continuous),
                " continuously, and those of the largest class here, ",
                most.name,
                ", take ",
                &said(most.continuous),
            ]
            .concat(),
        );
    }
    let stalls = STALL_OVER_CONTINUOUS * most.continuous;
    if need.torque > stalls {
        return Some(
            [
                "the motor would have to stall at ",
                &said(need.torque),
                ", and those of the largest class here, ",
                most.name,
                ", stall at ",
                &said(stalls),
                " at the most",
            ]
            .concat(),
        );
    }
    let fastest = CLASSES[0].speed / PER_MINUTE;
    if 1.4 * need.speed > fastest {
        let turns = |speed: f64| c.notation.said(Measure::Speed, speed, 2);
        return Some(
            [
                "the output would have to turn with ",
                &turns(1.4 * need.speed),
                " without load, and gear motors of these classes turn with ",
                &turns(fastest),
                " at the most",
            ]
            .concat(),
        );
    }
    let power = need.torque * 1.4 * need.speed / 4.0;
    (power > most.power).then(|| {
        [
            "the motor would have to give ",
            &c.notation.said(Measure::Power, power, 2),
            " at its best, and those of the largest class here, ",
            most.name,
            ", give ",
            &c.notation.said(Measure::Power, most.power, 2),
        ]
        .concat()
    })
}
