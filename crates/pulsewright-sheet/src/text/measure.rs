//! What fields and results measure: SI unit, the units people use, and those in which values are shown.

use pulsewright_calc::units::ZERO_CELSIUS;

use super::number;

/// Powers of metre, kilogram, second, ampere, kelvin, radian.
pub type Dimension = [i8; 6];

pub(super) const LENGTH: Dimension = [1, 0, 0, 0, 0, 0];
pub(super) const MASS: Dimension = [0, 1, 0, 0, 0, 0];
pub(super) const TIME: Dimension = [0, 0, 1, 0, 0, 0];
pub(super) const FORCE: Dimension = [1, 1, -2, 0, 0, 0];
pub(super) const ENERGY: Dimension = [2, 1, -2, 0, 0, 0];
pub(super) const POWER: Dimension = [2, 1, -3, 0, 0, 0];
pub(super) const CURRENT: Dimension = [0, 0, 0, 1, 0, 0];
pub(super) const VOLTAGE: Dimension = [2, 1, -3, -1, 0, 0];
pub(super) const ANGLE: Dimension = [0, 0, 0, 0, 0, 1];
pub(super) const TEMPERATURE: Dimension = [0, 0, 0, 0, 1, 0];
pub(super) const PLAIN: Dimension = [0, 0, 0, 0, 0, 0];
const PI: f64 = core::f64::consts::PI;
/// Pound in 10⁻⁸ kilogram, exact (NIST SP 811, B.8): whole numbers keep exact factors exact.
/// What a field or a result measures: its SI unit, the units people use for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Measure {
    Ratio,
    Share,
    Count,
    Length,
    Thickness,
    Mass,
    Time,
    Inertia,
    Angle,
    Force,
    Torque,
    Stiffness,
    Speed,
    AngularAcceleration,
    Velocity,
    Acceleration,
    Voltage,
    Current,
    Resistance,
    Inductance,
    Capacitance,
    Charge,
    Power,
    Energy,
    Frequency,
    Temperature,
    TemperatureRise,
    PerKelvin,
    ThermalResistance,
    Field,
    Area,
    Gauge,
    MotorConstant,
    MotorFigure,
    TorquePerMass,
    ProportionalGain,
    VoltagePerSpeed,
    PerMillimetre,
    PerDegree,
    StepAcceleration,
    YesNo,
}

pub(super) struct Row {
    pub(super) si: &'static str,
    pub(super) dimension: Dimension,
    /// Units in which results are shown, smallest first, with the factor to SI.
    shown: &'static [(&'static str, f64)],
    /// Units people type, for hints and for the help of a field.
    pub(super) usual: &'static [&'static str],
}

const DEG: f64 = PI / 180.0;

impl Measure {
    pub(super) fn row(self) -> Row {
        let row = |si, dimension, shown, usual| Row {
            si,
            dimension,
            shown,
            usual,
        };
        match self {
            Self::YesNo => row("1", PLAIN, &[("", 1.0)], &[]),
            Self::Ratio => row("1", PLAIN, &[("", 1.0)], &["%"]),
            Self::Share => row("1", PLAIN, &[("%", 0.01)], &["%"]),
            Self::Count => row("1", PLAIN, &[("", 1.0)], &[]),
            Self::Length => row(
                "m",
                LENGTH,
                &[("µm", 1e-6), ("mm", 1e-3), ("m", 1.0)],
                &["mm", "cm", "m", "in"],
            ),
            Self::Thickness => row("m", LENGTH, &[("µm", 1e-6)], &["um", "mil", "oz/ft2", "mm"]),
            Self::Mass => row(
                "kg",
                MASS,
                &[("g", 1e-3), ("kg", 1.0)],
                &["g", "kg", "lb", "oz"],
            ),
            Self::Time => row(
                "s",
                TIME,
                &[
                    ("ns", 1e-9),
                    ("µs", 1e-6),
                    ("ms", 1e-3),
                    ("s", 1.0),
                    ("min", 60.0),
                    ("h", 3600.0),
                ],
                &["s", "ms", "us", "min", "h"],
            ),
            Self::Inertia => row(
                "kg.m2",
                [2, 1, 0, 0, 0, 0],
                &[("g·cm²", 1e-7), ("kg·cm²", 1e-4), ("kg·m²", 1.0)],
                &["g.cm2", "kg.m2", "oz.in2"],
            ),
            Self::Angle => row("rad", ANGLE, &[("°", DEG)], &["deg", "rad", "turn"]),
            Self::Force => row(
                "N",
                FORCE,
                &[("mN", 1e-3), ("N", 1.0)],
                &["N", "kgf", "gf", "lbf", "ozf"],
            ),
            Self::Torque => row(
                "N.m",
                ENERGY,
                &[("µN·m", 1e-6), ("mN·m", 1e-3), ("N·m", 1.0)],
                &["N.m", "mN.m", "kgf.cm", "ozf.in"],
            ),
            Self::Stiffness => row(
                "N.m/rad",
                [2, 1, -2, 0, 0, -1],
                &[("N·m/rad", 1.0)],
                &["N.m/rad", "N.m/deg"],
            ),
            Self::Speed => row(
                "rad/s",
                [0, 0, -1, 0, 0, 1],
                &[("r/min", PI / 30.0)],
                &["r/min", "rpm", "rad/s", "deg/s"],
            ),
            Self::AngularAcceleration => row(
                "rad/s2",
                [0, 0, -2, 0, 0, 1],
                &[("rad/s²", 1.0)],
                &["rad/s2", "deg/s2"],
            ),
            Self::Velocity => row(
                "m/s",
                [1, 0, -1, 0, 0, 0],
                &[("mm/s", 1e-3), ("m/s", 1.0)],
                &["mm/s", "m/s", "mm/min"],
            ),
            Self::Acceleration => row(
                "m/s2",
                [1, 0, -2, 0, 0, 0],
                &[("mm/s²", 1e-3), ("m/s²", 1.0)],
                &["mm/s2", "m/s2"],
            ),
            Self::Voltage => row("V", VOLTAGE, &[("mV", 1e-3), ("V", 1.0)], &["V", "mV"]),
            Self::Current => row(
                "A",
                CURRENT,
                &[("µA", 1e-6), ("mA", 1e-3), ("A", 1.0)],
                &["A", "mA"],
            ),
            Self::Resistance => row(
                "Ohm",
                [2, 1, -3, -2, 0, 0],
                &[("mΩ", 1e-3), ("Ω", 1.0), ("kΩ", 1e3)],
                &["Ohm", "mOhm", "kOhm"],
            ),
            Self::Inductance => row(
                "H",
                [2, 1, -2, -2, 0, 0],
                &[("µH", 1e-6), ("mH", 1e-3), ("H", 1.0)],
                &["mH", "uH"],
            ),
            Self::Capacitance => row(
                "F",
                [-2, -1, 4, 2, 0, 0],
                &[
                    ("pF", 1e-12),
                    ("nF", 1e-9),
                    ("µF", 1e-6),
                    ("mF", 1e-3),
                    ("F", 1.0),
                ],
                &["uF", "nF"],
            ),
            Self::Charge => row(
                "A.s",
                [0, 0, 1, 1, 0, 0],
                &[("mA·h", 3.6), ("A·h", 3600.0)],
                &["mA.h", "A.h"],
            ),
            Self::Power => row(
                "W",
                POWER,
                &[("µW", 1e-6), ("mW", 1e-3), ("W", 1.0)],
                &["W", "mW"],
            ),
            Self::Energy => row(
                "J",
                ENERGY,
                &[("µJ", 1e-6), ("mJ", 1e-3), ("J", 1.0), ("kJ", 1e3)],
                &["J", "W.h"],
            ),
            Self::Frequency => row(
                "Hz",
                [0, 0, -1, 0, 0, 0],
                &[("Hz", 1.0), ("kHz", 1e3), ("MHz", 1e6)],
                &["Hz", "kHz"],
            ),
            Self::Temperature => row("degC", TEMPERATURE, &[("°C", 1.0)], &["degC", "°F", "K"]),
            Self::TemperatureRise => row("K", TEMPERATURE, &[("K", 1.0)], &["K"]),
            Self::PerKelvin => row(
                "1/K",
                [0, 0, 0, 0, -1, 0],
                &[("%/K", 1e-2)],
                &["1/K", "%/K"],
            ),
            Self::ThermalResistance => row("K/W", [-2, -1, 3, 0, 1, 0], &[("K/W", 1.0)], &["K/W"]),
            Self::Field => row("T", [0, 1, -2, -1, 0, 0], &[("mT", 1e-3)], &["mT", "T"]),
            Self::Area => row("m2", [2, 0, 0, 0, 0, 0], &[("mm²", 1e-6)], &["mm2"]),
            Self::Gauge => row("AWG", PLAIN, &[("AWG", 1.0)], &["AWG"]),
            Self::MotorConstant => row(
                "N.m/A",
                [2, 1, -2, -1, 0, 0],
                &[("mN·m/A", 1e-3), ("N·m/A", 1.0)],
                &["N.m/A"],
            ),
            Self::MotorFigure => row(
                "N.m/W^0.5",
                PLAIN,
                &[("mN·m/√W", 1e-3), ("N·m/√W", 1.0)],
                &[],
            ),
            Self::TorquePerMass => row(
                "N.m/kg",
                [2, 0, -2, 0, 0, 0],
                &[("N·m/kg", 1.0)],
                &["N.m/kg"],
            ),
            Self::ProportionalGain => row(
                "V/rad",
                [2, 1, -3, -1, 0, -1],
                &[("V/rad", 1.0)],
                &["V/rad"],
            ),
            Self::VoltagePerSpeed => row(
                "V.s/rad",
                [2, 1, -2, -1, 0, -1],
                &[("mV·s/rad", 1e-3)],
                &["V.s/rad"],
            ),
            Self::PerMillimetre => row("1/mm", [-1, 0, 0, 0, 0, 0], &[("per mm", 1.0)], &["1/mm"]),
            Self::PerDegree => row("1/deg", [0, 0, 0, 0, 0, -1], &[("per °", 1.0)], &["1/deg"]),
            Self::StepAcceleration => row("1/s2", [0, 0, -2, 0, 0, 0], &[("/s²", 1.0)], &["1/s2"]),
        }
    }

    /// SI unit as the report writes it.
    #[must_use]
    pub fn si_name(self) -> &'static str {
        self.row().si
    }

    /// Units that people type here.
    #[must_use]
    pub fn usual(self) -> &'static [&'static str] {
        self.row().usual
    }

    /// A raw value (SI, temperatures in kelvin) as the report's number: temperatures in °C.
    #[must_use]
    pub fn reported(self, raw: f64) -> f64 {
        if self == Self::Temperature {
            raw - ZERO_CELSIUS
        } else {
            raw
        }
    }

    /// A raw value as number and unit for people, to `digits` significant digits.
    #[must_use]
    pub fn shown(self, raw: f64, digits: i32) -> (String, &'static str) {
        if self == Self::YesNo {
            return (if raw == 0.0 { "no" } else { "yes" }.into(), "");
        }
        let (name, factor) = self.scale(raw);
        (number::text(self.reported(raw) / factor, digits), name)
    }

    /// The unit in which people are shown a raw value, and its size in SI.
    #[must_use]
    pub fn scale(self, raw: f64) -> (&'static str, f64) {
        let value = self.reported(raw);
        let shown = self.row().shown;
        let size = value.abs();
        let (name, factor) = shown
            .iter()
            .rev()
            .find(|(_, f)| size >= 0.999_95 * f)
            .or(shown.first())
            .copied()
            .unwrap_or(("", 1.0));
        match self {
            Self::Length if value == 0.0 => ("mm", 1e-3),
            _ if value == 0.0 => shown
                .iter()
                .find(|(_, f)| *f == 1.0)
                .copied()
                .unwrap_or((name, factor)),
            // Small times of minutes stay seconds up to two minutes; hours likewise.
            Self::Time if name == "min" && size < 120.0 => ("s", 1.0),
            Self::Time if name == "h" && size < 7200.0 => ("min", 60.0),
            Self::Length if name == "µm" && size >= 0.05e-3 => ("mm", 1e-3),
            Self::Mass if size < 1.0 => ("g", 1e-3),
            Self::Length if (1.0..10.0).contains(&size) && value.fract() != 0.0 => ("mm", 1e-3),
            _ => (name, factor),
        }
    }
}

/// A family of units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum UnitSystem {
    /// SI with its prefixes, degrees and turns.
    #[default]
    Si,
    /// The same, with forces and torques in the kilogram-force of listings and scales.
    Workshop,
    /// Inch, ounce and pound, and what follows from them.
    Inch,
}

/// Units in which a measure is shown: name, factor to SI, and from which size on, smallest first.
pub(super) type Shown = &'static [(&'static str, f64, f64)];

/// Standard gravity.
const G: f64 = pulsewright_calc::units::STANDARD_GRAVITY;
const INCH: f64 = 0.0254;
const POUND: f64 = 0.453_592_37;
const OUNCE: f64 = POUND / 16.0;

impl UnitSystem {
    /// The families in order, each with its name.
    pub const ALL: [(Self, &'static str); 3] = [
        (Self::Si, "SI"),
        (Self::Workshop, "kgf·cm"),
        (Self::Inch, "inch"),
    ];

    /// Whether this family shows a measure otherwise than SI does.
    #[must_use]
    pub fn differ(self, measure: Measure) -> bool {
        self.own(measure).is_some()
    }

    /// The units of a measure that this family shows otherwise than SI does.
    pub(super) fn own(self, measure: Measure) -> Option<Shown> {
        Some(match (self, measure) {
            (Self::Workshop, Measure::Torque) => &[
                ("gf·cm", G * 1e-5, 0.0),
                ("kgf·cm", G * 1e-2, 0.0999 * G * 1e-2),
            ],
            (Self::Workshop, Measure::Force) => &[("gf", G * 1e-3, 0.0), ("kgf", G, 0.999 * G)],
            (Self::Workshop, Measure::Stiffness) => &[("kgf·cm/rad", G * 1e-2, 0.0)],
            (Self::Workshop, Measure::MotorConstant) => &[("gf·cm/A", G * 1e-5, 0.0)],
            (Self::Inch, Measure::Length) => &[("in", INCH, 0.0)],
            (Self::Inch, Measure::Thickness) => &[("mil", 1e-3 * INCH, 0.0)],
            (Self::Inch, Measure::Mass) => &[("oz", OUNCE, 0.0), ("lb", POUND, 0.999 * POUND)],
            (Self::Inch, Measure::Force) => &[
                ("ozf", OUNCE * G, 0.0),
                ("lbf", POUND * G, 0.999 * POUND * G),
            ],
            (Self::Inch, Measure::Torque) => &[
                ("ozf·in", OUNCE * G * INCH, 0.0),
                ("lbf·in", POUND * G * INCH, 9.99 * POUND * G * INCH),
            ],
            (Self::Inch, Measure::Inertia) => &[("oz·in²", OUNCE * INCH * INCH, 0.0)],
            (Self::Inch, Measure::Stiffness) => &[("lbf·in/rad", POUND * G * INCH, 0.0)],
            (Self::Inch, Measure::MotorConstant) => &[("ozf·in/A", OUNCE * G * INCH, 0.0)],
            (Self::Inch, Measure::Velocity) => &[("in/s", INCH, 0.0)],
            (Self::Inch, Measure::Acceleration) => &[("in/s²", INCH, 0.0)],
            (Self::Inch, Measure::Temperature | Measure::TemperatureRise) => {
                &[("°F", 5.0 / 9.0, 0.0)]
            }
            _ => return None,
        })
    }
}
