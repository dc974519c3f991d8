//! The trade's words that stand on the sheet, once each, in plain ones.

use crate::register::Station;

/// A word.
#[derive(Clone, Copy, Debug)]
pub struct Term {
    /// The trade's word.
    pub word: &'static str,
    /// Station where it is met first.
    pub station: Station,
    /// What it means.
    pub means: &'static str,
}

const fn term(word: &'static str, station: Station, means: &'static str) -> Term {
    Term {
        word,
        station,
        means,
    }
}

/// Every word, from A to Z.
pub const TERMS: [Term; 58] = [
    term(
        "back-EMF constant",
        Station::Motor,
        "Volts that the turning motor makes against its supply, for each rad/s",
    ),
    term(
        "bandwidth",
        Station::Loop,
        "How quick a change the loop still follows",
    ),
    term(
        "bridge",
        Station::Bridge,
        "H-bridge: four switches that drive a motor either way",
    ),
    term(
        "brown-out",
        Station::Supply,
        "The processor's supply falls too low: it resets, and the position is lost",
    ),
    term(
        "buck regulator",
        Station::Regulator,
        "Switches the surplus volts away through an inductor",
    ),
    term(
        "bulk capacitor",
        Station::Supply,
        "Large capacitor on the motor supply, against sag and pumping",
    ),
    term(
        "count",
        Station::Encoder,
        "One edge, as the firmware adds it up",
    ),
    term(
        "damping",
        Station::Loop,
        "1 comes home without overshoot, less is quicker and swings",
    ),
    term(
        "deadband",
        Station::Loop,
        "Error that the loop leaves alone at rest",
    ),
    term(
        "decay",
        Station::Bridge,
        "How the current runs on while the switch is off: slow through both low sides, fast back into the supply",
    ),
    term(
        "droop",
        Station::Loop,
        "What the load pushes the axis away at rest",
    ),
    term(
        "dropout",
        Station::Regulator,
        "Volts that a regulator must have above its output",
    ),
    term(
        "duty",
        Station::Bridge,
        "Share of the time that a switch is on",
    ),
    term(
        "duty error",
        Station::Encoder,
        "A signal that is not high for exactly half of its period",
    ),
    term(
        "dwell",
        Station::Move,
        "The pause at the target between two moves",
    ),
    term(
        "edge",
        Station::Encoder,
        "A signal's change from low to high or back",
    ),
    term(
        "electrical",
        Station::Encoder,
        "Of an angle: one pole pair is 360 electrical degrees",
    ),
    term(
        "feed-forward",
        Station::Loop,
        "Drive from the commanded speed, before any error shows",
    ),
    term(
        "flux",
        Station::Motor,
        "What the magnets give; a little less for each kelvin, lost for good far above the limit",
    ),
    term(
        "free play",
        Station::Gears,
        "Backlash: the output moves between the teeth, the motor does not",
    ),
    term(
        "full step",
        Station::Stepper,
        "Angle from one detent of the phases to the next, mostly 1.8°",
    ),
    term(
        "gauge",
        Station::Wiring,
        "AWG, American wire gauge; six numbers less is twice the diameter",
    ),
    term(
        "gearing fraction",
        Station::Steps,
        "Electronic gearing: the fraction by which the firmware makes counts of steps",
    ),
    term(
        "gears lock",
        Station::Gears,
        "Self-locking: the load cannot drive them backwards; with wear and vibration it may after all",
    ),
    term(
        "ground shift",
        Station::Wiring,
        "Current in the shared wire lifts one ground above the other",
    ),
    term(
        "Hall",
        Station::Encoder,
        "A Hall sensor switches when a magnet's pole passes",
    ),
    term(
        "holding torque",
        Station::Axis,
        "Torque that stands against the load at rest",
    ),
    term(
        "hunts",
        Station::Loop,
        "Goes to and fro between two counts without end",
    ),
    term(
        "inertia",
        Station::Axis,
        "How hard it is to set something turning: mass times radius squared, summed up",
    ),
    term("junction", Station::Bridge, "The warm inside of a chip"),
    term(
        "lead",
        Station::Axis,
        "Travel of a nut for one turn of its screw",
    ),
    term(
        "level",
        Station::Wiring,
        "Voltage that an input reads as high or low",
    ),
    term(
        "linear regulator",
        Station::Regulator,
        "Burns the surplus volts",
    ),
    term(
        "microstep",
        Station::Stepper,
        "A part of a full step by shared phase currents; adds smoothness, no accuracy",
    ),
    term("no-load", Station::Motor, "Full drive, nothing attached"),
    term(
        "operate point",
        Station::Encoder,
        "Field at which a Hall sensor switches",
    ),
    term(
        "Peukert exponent",
        Station::Supply,
        "How much less a cell gives when it must give fast",
    ),
    term(
        "phase margin",
        Station::Loop,
        "How far the loop is from swinging by itself; 40° or more is sound",
    ),
    term(
        "planetary stage",
        Station::Gears,
        "Wheels that run round a sun inside a ring; ratio (ring + sun) : sun",
    ),
    term(
        "pole pair",
        Station::Encoder,
        "One north and one south pole of the magnet ring",
    ),
    term(
        "pulse rate",
        Station::Steps,
        "Steps a second that the source sends",
    ),
    term(
        "pumped up",
        Station::Supply,
        "A braking motor drives its supply's voltage up",
    ),
    term(
        "PWM",
        Station::Bridge,
        "Fast switching; the share of on-time sets the mean voltage",
    ),
    term(
        "quadrature",
        Station::Encoder,
        "Two signals a quarter of an electrical turn apart: they tell direction",
    ),
    term(
        "quiescent current",
        Station::Bridge,
        "What a chip draws for itself",
    ),
    term(
        "radial force",
        Station::Gears,
        "Force across the shaft, from belt, lever or pinion",
    ),
    term(
        "ripple",
        Station::Bridge,
        "Swing of the current within one PWM period",
    ),
    term(
        "root mean square",
        Station::Move,
        "The steady current that would heat as much as the changing one",
    ),
    term(
        "stall",
        Station::Motor,
        "Full drive, shaft held: greatest torque and current, most heat",
    ),
    term(
        "standard uncertainty",
        Station::Verdict,
        "Spread within which two of three lie",
    ),
    term(
        "thermal resistance",
        Station::Motor,
        "Kelvin warmer for each watt that must get out",
    ),
    term(
        "thermal time constant",
        Station::Motor,
        "Time until 63 % of a warming is there",
    ),
    term(
        "tolerance",
        Station::Verdict,
        "How far a figure may be off either way",
    ),
    term(
        "torque constant",
        Station::Motor,
        "Torque of the motor for each ampere; in SI the same number as the back-EMF constant",
    ),
    term(
        "torsional stiffness",
        Station::Gears,
        "Torque that twists the gears by one radian",
    ),
    term("trace", Station::Wiring, "A conductor on the board"),
    term(
        "transmission error",
        Station::Gears,
        "Output ahead or behind within a turn, from uneven teeth",
    ),
    term(
        "trapezoid",
        Station::Move,
        "A move with straight ramps and a steady middle",
    ),
];
