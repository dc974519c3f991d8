//! Units: their spellings, their factors (NIST SP 811, exact where they are exact) and the measures
//! of the register's fields.

use pulsewright_calc::units::ZERO_CELSIUS;

/// Powers of metre, kilogram, second, ampere, kelvin, radian.
pub type Dimension = [i8; 6];

/// A unit as read from text.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    /// SI = number · `times` / `over` + `offset`: two factors, so that 45 mA is exactly 0.045 A.
    pub times: f64,
    /// See `times`.
    pub over: f64,
    /// Only for °C and °F, in kelvin.
    pub offset: f64,
    /// What it measures.
    pub dimension: Dimension,
    /// Canonical ASCII spelling, without blanks: what links and files carry.
    pub text: String,
}

impl Unit {
    /// A number in this unit as SI.
    #[must_use]
    pub fn to_si(&self, number: f64) -> f64 {
        number * self.times / self.over + self.offset
    }

    /// An SI value in this unit.
    #[must_use]
    pub fn from_si(&self, si: f64) -> f64 {
        (si - self.offset) * self.over / self.times
    }

    /// A difference in this unit as SI: no offset.
    #[must_use]
    pub fn difference(&self, number: f64) -> f64 {
        number * self.times / self.over
    }
}

/// Why a text is not a unit of the field.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum NotUnit {
    /// No such unit; perhaps this one was meant.
    Unknown(String, Option<&'static str>),
    /// A unit of something else; perhaps this one was meant.
    Dimension(String, Option<&'static str>),
}

struct Atom {
    name: &'static str,
    times: f64,
    over: f64,
    dimension: Dimension,
    /// Which SI prefixes it takes: none, the usual, or the usual and centi.
    prefixes: &'static str,
}

const fn atom(
    name: &'static str,
    times: f64,
    over: f64,
    dimension: Dimension,
    prefixes: &'static str,
) -> Atom {
    Atom {
        name,
        times,
        over,
        dimension,
        prefixes,
    }
}

const USUAL: &str = "pnumkMG";
const WITH_CENTI: &str = "pnumckMG";
const NONE: &str = "";

const LENGTH: Dimension = [1, 0, 0, 0, 0, 0];
const MASS: Dimension = [0, 1, 0, 0, 0, 0];
const TIME: Dimension = [0, 0, 1, 0, 0, 0];
const FORCE: Dimension = [1, 1, -2, 0, 0, 0];
const ENERGY: Dimension = [2, 1, -2, 0, 0, 0];
const POWER: Dimension = [2, 1, -3, 0, 0, 0];
const CURRENT: Dimension = [0, 0, 0, 1, 0, 0];
const VOLTAGE: Dimension = [2, 1, -3, -1, 0, 0];
const ANGLE: Dimension = [0, 0, 0, 0, 0, 1];
const TEMPERATURE: Dimension = [0, 0, 0, 0, 1, 0];
const PLAIN: Dimension = [0, 0, 0, 0, 0, 0];
const PI: f64 = core::f64::consts::PI;
/// Pound in 10⁻⁸ kilogram, exact (NIST SP 811, B.8): whole numbers keep exact factors exact.
const POUND: f64 = 45_359_237.0;
/// Standard gravity in 10⁻⁵ m/s², exact.
const GRAVITY: f64 = 980_665.0;

const ATOMS: &[Atom] = &[
    atom("V", 1.0, 1.0, VOLTAGE, USUAL),
    atom("A", 1.0, 1.0, CURRENT, USUAL),
    atom("Ohm", 1.0, 1.0, [2, 1, -3, -2, 0, 0], USUAL),
    atom("H", 1.0, 1.0, [2, 1, -2, -2, 0, 0], USUAL),
    atom("F", 1.0, 1.0, [-2, -1, 4, 2, 0, 0], USUAL),
    atom("T", 1.0, 1.0, [0, 1, -2, -1, 0, 0], USUAL),
    atom("Hz", 1.0, 1.0, [0, 0, -1, 0, 0, 0], USUAL),
    atom("s", 1.0, 1.0, TIME, USUAL),
    atom("min", 60.0, 1.0, TIME, NONE),
    atom("h", 3600.0, 1.0, TIME, NONE),
    atom("d", 86_400.0, 1.0, TIME, NONE),
    atom("m", 1.0, 1.0, LENGTH, WITH_CENTI),
    atom("in", 254.0, 1e4, LENGTH, NONE),
    atom("ft", 3048.0, 1e4, LENGTH, NONE),
    atom("mil", 254.0, 1e7, LENGTH, NONE),
    atom("g", 1.0, 1000.0, MASS, USUAL),
    atom("lb", POUND, 1e8, MASS, NONE),
    atom("oz", POUND, 16e8, MASS, NONE),
    atom("N", 1.0, 1.0, FORCE, WITH_CENTI),
    atom("kgf", GRAVITY, 1e5, FORCE, NONE),
    atom("gf", GRAVITY, 1e8, FORCE, NONE),
    atom("lbf", POUND * GRAVITY, 1e13, FORCE, NONE),
    atom("ozf", POUND * GRAVITY, 16e13, FORCE, NONE),
    atom("rad", 1.0, 1.0, ANGLE, USUAL),
    atom("deg", PI, 180.0, ANGLE, NONE),
    atom("turn", 2.0 * PI, 1.0, ANGLE, NONE),
    atom("r", 2.0 * PI, 1.0, ANGLE, NONE),
    atom("rpm", 2.0 * PI, 60.0, [0, 0, -1, 0, 0, 1], NONE),
    atom("K", 1.0, 1.0, TEMPERATURE, USUAL),
    atom("degC", 1.0, 1.0, TEMPERATURE, NONE),
    atom("degF", 5.0, 9.0, TEMPERATURE, NONE),
    atom("%", 1.0, 100.0, PLAIN, NONE),
    atom("pct", 1.0, 100.0, PLAIN, NONE),
    atom("W", 1.0, 1.0, POWER, USUAL),
    atom("J", 1.0, 1.0, ENERGY, USUAL),
    atom("Ah", 3600.0, 1.0, [0, 0, 1, 1, 0, 0], "m"),
    atom("Wh", 3600.0, 1.0, ENERGY, "mk"),
    atom("1", 1.0, 1.0, PLAIN, NONE),
];

/// Glued torque spellings that the trade writes; only in torque fields.
const TORQUE_WORDS: [(&str, &str); 13] = [
    ("kgcm", "kgf.cm"),
    ("kgfcm", "kgf.cm"),
    ("kgm", "kgf.m"),
    ("gcm", "gf.cm"),
    ("gfcm", "gf.cm"),
    ("ozin", "ozf.in"),
    ("ozfin", "ozf.in"),
    ("lbin", "lbf.in"),
    ("lbft", "lbf.ft"),
    ("Nm", "N.m"),
    ("Ncm", "N.cm"),
    ("Nmm", "N.mm"),
    ("mNm", "mN.m"),
];

fn find_atom(name: &str) -> Option<(&'static Atom, f64, f64)> {
    if let Some(found) = ATOMS.iter().find(|a| a.name == name) {
        return Some((found, 1.0, 1.0));
    }
    let mut chars = name.chars();
    let prefix = chars.next()?;
    let found = ATOMS.iter().find(|a| a.name == chars.as_str())?;
    if !found.prefixes.contains(prefix) {
        return None;
    }
    let (times, over) = match prefix {
        'p' => (1.0, 1e12),
        'n' => (1.0, 1e9),
        'u' => (1.0, 1e6),
        'm' => (1.0, 1e3),
        'c' => (1.0, 1e2),
        'k' => (1e3, 1.0),
        'M' => (1e6, 1.0),
        _ => (1e9, 1.0),
    };
    Some((found, times, over))
}

/// Folds the spellings of one unit into plain ASCII with `.` between factors.
fn fold(text: &str) -> String {
    let mut out = String::new();
    let mut pending = false;
    for c in text.trim().chars() {
        let piece: &str = match c {
            '\u{3a9}' | '\u{2126}' => "Ohm",
            '°' => "deg",
            '\u{b5}' | '\u{3bc}' => "u",
            '²' => "2",
            '³' => "3",
            '^' => "",
            '·' | '\u{22c5}' | '.' | '*' | '×' | '-' | ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}' =>
            {
                pending = !out.is_empty() && !out.ends_with('/');
                continue;
            }
            _ => "",
        };
        if pending && c != '/' {
            out.push('.');
        }
        pending = false;
        if piece.is_empty() && c != '^' {
            out.push(c);
        } else {
            out.push_str(piece);
        }
    }
    out
}

/// Reads a unit for a field of measure `measure`; an empty text is the measure's SI unit.
///
/// # Errors
/// [`NotUnit`], with what may have been meant.
///
/// # Example
/// ```
/// use pulsewright_sheet::unit::{Measure, unit};
/// assert_eq!(unit("kg-cm", Measure::Torque).unwrap().text, "kgf.cm");
/// assert_eq!(unit("kgf·cm", Measure::Torque).unwrap().to_si(10.0), 0.980665);
/// assert!(unit("V", Measure::Torque).is_err());
/// ```
pub fn unit(text: &str, measure: Measure) -> Result<Unit, NotUnit> {
    let folded = fold(text);
    if folded.is_empty() {
        return Ok(measure.si());
    }
    let folded = if measure.is_torque() {
        let (head, tail) = folded
            .split_once('/')
            .map_or((folded.as_str(), ""), |(h, t)| (h, t));
        let glued = TORQUE_WORDS
            .iter()
            .find(|(word, _)| *word == head)
            .map_or(head, |(_, full)| full);
        if tail.is_empty() {
            glued.to_string()
        } else {
            [glued, "/", tail].concat()
        }
    } else if measure == Measure::Force && folded == "oz" {
        "ozf".into()
    } else {
        folded
    };
    // Without its 1 the unit can stand behind a number: "-0.002/K".
    let folded = folded
        .strip_prefix('1')
        .filter(|rest| rest.starts_with('/'))
        .unwrap_or(&folded)
        .to_string();
    let Some(mut found) = product(&folded) else {
        return Err(NotUnit::Unknown(text.trim().into(), measure.near(text)));
    };
    if measure.is_torque() && found.dimension[..3] == [1, 1, 0] {
        // Mass times length in a torque field means force times length.
        found.times *= GRAVITY;
        found.over *= 1e5;
        found.dimension[0] = 2;
        found.dimension[2] = -2;
        found.text = folded
            .split('.')
            .map(|part| match part {
                "kg" => "kgf",
                "g" => "gf",
                "oz" => "ozf",
                "lb" => "lbf",
                other => other,
            })
            .collect::<Vec<_>>()
            .join(".");
    }
    if measure == Measure::Thickness && found.dimension == [-2, 1, 0, 0, 0, 0] {
        // Copper weight: annealed copper has 8890 kg/m³ (IEC 60028).
        found.over *= 8890.0;
        found.dimension = LENGTH;
    }
    if measure == Measure::Temperature {
        match found.text.as_str() {
            "degC" => found.offset = ZERO_CELSIUS,
            "degF" => found.offset = ZERO_CELSIUS - 160.0 / 9.0,
            _ => {}
        }
    }
    if measure.accepts(found.dimension) {
        Ok(found)
    } else {
        Err(NotUnit::Dimension(text.trim().into(), measure.near(text)))
    }
}

fn product(folded: &str) -> Option<Unit> {
    let mut made = Unit {
        times: 1.0,
        over: 1.0,
        offset: 0.0,
        dimension: PLAIN,
        text: folded.into(),
    };
    let mut sign = 1i8;
    for (at, side) in folded.split('/').enumerate() {
        match at {
            0 => {}
            1 => sign = -1,
            _ => return None,
        }
        if at == 0 && side.is_empty() {
            continue;
        }
        for part in side.split('.') {
            let (name, power) = match part.as_bytes() {
                [.., b'2'] => (&part[..part.len() - 1], 2),
                [.., b'3'] if part.len() > 1 => (&part[..part.len() - 1], 3),
                _ => (part, 1),
            };
            let (atom, times, over) = find_atom(name)?;
            for _ in 0..power {
                if sign > 0 {
                    made.times *= times * atom.times;
                    made.over *= over * atom.over;
                } else {
                    made.over *= times * atom.times;
                    made.times *= over * atom.over;
                }
                for (sum, d) in made.dimension.iter_mut().zip(atom.dimension) {
                    *sum += sign * d;
                }
            }
        }
    }
    Some(made)
}

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
    DerivativeGain,
    PerMillimetre,
    PerDegree,
    StepAcceleration,
    YesNo,
}

struct Row {
    si: &'static str,
    dimension: Dimension,
    /// Units in which results are shown, smallest first, with the factor to SI.
    shown: &'static [(&'static str, f64)],
    /// Units people type, for hints and for the help of a field.
    usual: &'static [&'static str],
}

const DEG: f64 = PI / 180.0;

impl Measure {
    fn row(self) -> Row {
        let row = |si, dimension, shown, usual| Row {
            si,
            dimension,
            shown,
            usual,
        };
        match self {
            Self::YesNo => row("1", PLAIN, &[("", 1.0)], &[]),
            Self::Ratio | Self::Share => row("1", PLAIN, &[("", 1.0)], &["%"]),
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
                &[("µJ", 1e-6), ("mJ", 1e-3), ("J", 1.0)],
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
            Self::DerivativeGain => row(
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

    fn si(self) -> Unit {
        let row = self.row();
        let offset = if self == Self::Temperature {
            ZERO_CELSIUS
        } else {
            0.0
        };
        Unit {
            times: 1.0,
            over: 1.0,
            offset,
            dimension: row.dimension,
            text: String::new(),
        }
    }

    fn is_torque(self) -> bool {
        matches!(self, Self::Torque | Self::Stiffness)
    }

    fn accepts(self, dimension: Dimension) -> bool {
        dimension == self.row().dimension
    }

    /// Which usual unit a misspelt one may have meant: the same letters in another case.
    fn near(self, text: &str) -> Option<&'static str> {
        let plain = |s: &str| -> String {
            fold(s)
                .chars()
                .filter(char::is_ascii_alphanumeric)
                .collect::<String>()
                .to_ascii_lowercase()
        };
        let typed = plain(text);
        let usual = self.row().usual;
        usual
            .iter()
            .find(|u| plain(u) == typed)
            .or_else(|| {
                let mass = matches!(self, Self::Force)
                    && ["kg", "g", "lb", "oz"].contains(&typed.as_str());
                mass.then(|| {
                    usual
                        .iter()
                        .find(|u| plain(u) == [typed.as_str(), "f"].concat())
                })
                .flatten()
            })
            .copied()
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
        (crate::num::text(self.reported(raw) / factor, digits), name)
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

/// A number with its unit as one text: no space before ° and %.
#[must_use]
pub fn with_unit(number: &str, unit: &str) -> String {
    let gap = match unit {
        "" | "°" | "%" => "",
        _ => " ",
    };
    [number, gap, unit].concat()
}

/// A canonical unit as people like to read it: `kgf·cm`, `mΩ`, `°`, `µF`, `g·cm²`.
#[must_use]
pub fn pretty(canonical: &str) -> String {
    let mut out = String::new();
    if canonical.starts_with('/') {
        out.push('1');
    }
    for (at, side) in canonical.split('/').enumerate() {
        if at > 0 {
            out.push('/');
        }
        for (at, part) in side.split('.').enumerate() {
            if at > 0 {
                out.push('·');
            }
            let part = part
                .replace("Ohm", "Ω")
                .replace("degC", "°C")
                .replace("degF", "°F");
            let part = if part == "deg" {
                "°".to_string()
            } else {
                part
            };
            let part = if part == "pct" { "%".to_string() } else { part };
            let part = match part.strip_prefix('u') {
                Some(rest) if !rest.is_empty() => ["µ", rest].concat(),
                _ => part,
            };
            match part.strip_suffix('2') {
                Some(base) if !base.is_empty() => {
                    out.push_str(base);
                    out.push('²');
                }
                _ => out.push_str(&part),
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use pulsewright_test_support::agrees;

    fn si(number: f64, text: &str, measure: Measure) -> f64 {
        unit(text, measure)
            .unwrap_or_else(|e| panic!("{text}: {e:?}"))
            .to_si(number)
    }

    #[test]
    fn torque_factors_of_nist_sp_811() {
        // NIST SP 811 (2008), appendix B.8, moment of force.
        assert!(agrees(si(1.0, "ozf.in", Measure::Torque), "7.061552e-3"));
        assert!(agrees(si(1.0, "lbf.in", Measure::Torque), "0.1129848"));
        assert!(agrees(si(1.0, "lbf.ft", Measure::Torque), "1.355818"));
        assert_eq!(si(1.0, "kgf.m", Measure::Torque), 9.806_65);
        // Exact: kgf·m/100.
        for (n, expected) in [(1.0, 0.098_066_5), (2.5, 0.245_166_25), (10.0, 0.980_665)] {
            assert_eq!(si(n, "kgf.cm", Measure::Torque), expected);
        }
    }

    #[test]
    fn other_factors_of_nist_sp_811() {
        // NIST SP 811 (2008), appendix B.8, printed values from memory.
        assert!(agrees(si(1.0, "lb.in2", Measure::Inertia), "2.926397e-4"));
        assert!(agrees(si(1.0, "lb.ft2", Measure::Inertia), "4.214011e-2"));
        assert!(agrees(si(1.0, "lbf", Measure::Force), "4.448222"));
        assert!(agrees(si(1.0, "ozf", Measure::Force), "0.2780139"));
        assert!(agrees(si(1.0, "r/min", Measure::Speed), "0.1047198"));
        // 77 °F is 25 °C, arithmetic.
        assert!((si(77.0, "°F", Measure::Temperature) - 298.15).abs() < 1e-9);
    }

    #[test]
    fn spellings() {
        for (text, measure, canonical) in [
            ("kgcm", Measure::Torque, "kgf.cm"),
            ("kg.cm", Measure::Torque, "kgf.cm"),
            ("kg-cm", Measure::Torque, "kgf.cm"),
            ("kg cm", Measure::Torque, "kgf.cm"),
            ("kgf·cm", Measure::Torque, "kgf.cm"),
            ("gcm", Measure::Torque, "gf.cm"),
            ("oz-in", Measure::Torque, "ozf.in"),
            ("oz.in", Measure::Torque, "ozf.in"),
            ("Nm", Measure::Torque, "N.m"),
            ("Ncm", Measure::Torque, "N.cm"),
            ("mNm", Measure::Torque, "mN.m"),
            ("mΩ", Measure::Resistance, "mOhm"),
            ("m\u{2126}", Measure::Resistance, "mOhm"),
            ("g·cm²", Measure::Inertia, "g.cm2"),
            ("g cm^2", Measure::Inertia, "g.cm2"),
            ("°", Measure::Angle, "deg"),
            ("°C", Measure::Temperature, "degC"),
            ("µF", Measure::Capacitance, "uF"),
            ("μF", Measure::Capacitance, "uF"),
            ("rpm", Measure::Speed, "rpm"),
            ("r/min", Measure::Speed, "r/min"),
            ("mA·h", Measure::Charge, "mA.h"),
            ("mAh", Measure::Charge, "mAh"),
            ("N·m/rad", Measure::Stiffness, "N.m/rad"),
            ("%/K", Measure::PerKelvin, "%/K"),
            ("1/K", Measure::PerKelvin, "/K"),
            ("oz/ft2", Measure::Thickness, "oz/ft2"),
        ] {
            assert_eq!(
                unit(text, measure)
                    .unwrap_or_else(|e| panic!("{text}: {e:?}"))
                    .text,
                canonical
            );
        }
    }

    #[test]
    fn misses_are_named() {
        assert_eq!(
            unit("ma", Measure::Current),
            Err(NotUnit::Unknown("ma".into(), Some("mA")))
        );
        assert_eq!(
            unit("nm", Measure::Torque),
            Err(NotUnit::Dimension("nm".into(), Some("N.m")))
        );
        assert_eq!(
            unit("kg", Measure::Force),
            Err(NotUnit::Dimension("kg".into(), Some("kgf")))
        );
        assert_eq!(
            unit("V", Measure::Torque),
            Err(NotUnit::Dimension("V".into(), None))
        );
        assert_eq!(
            unit("Hz", Measure::Speed),
            Err(NotUnit::Dimension("Hz".into(), None))
        );
        assert!(unit("furlong", Measure::Length).is_err());
        assert!(unit("m/s/s", Measure::Acceleration).is_err());
    }

    #[test]
    fn decimal_prefixes_are_exact() {
        assert_eq!(si(45.0, "mA", Measure::Current), 0.045);
        assert_eq!(si(0.16, "mm", Measure::Length), 0.000_16);
        assert_eq!(si(3.3, "ms", Measure::Time), 0.0033);
    }

    #[test]
    fn one_ounce_copper_is_about_35_micrometres() {
        // Common practice, no source: 1 oz/ft² is sold as 35 µm; 34.3 µm by the density of IEC 60028.
        assert!(agrees(si(1.0, "oz/ft2", Measure::Thickness), "34.3e-6"));
    }
}
