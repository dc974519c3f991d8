//! Units: their spellings and their factors (NIST SP 811, exact where they are exact).

use std::borrow::Cow;

use pulsewright_calc::units::ZERO_CELSIUS;

use super::measure::*;
use super::number;

const PI: f64 = core::f64::consts::PI;

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
pub enum UnitError {
    /// No such unit; perhaps this one was meant.
    Unknown(String, Option<&'static str>),
    /// A unit of something else; perhaps this one was meant.
    Dimension(String, Option<&'static str>),
}

impl UnitError {
    /// What is wrong, without the units that the field would take.
    #[must_use]
    pub fn message(&self) -> String {
        let (typed, what, near) = match self {
            Self::Unknown(typed, near) => (typed, "” is no unit known here", near),
            Self::Dimension(typed, near) => (typed, "” measures something else", near),
        };
        match near {
            Some(near) => ["“", typed, what, "; did you mean ", &pretty(near), "?"].concat(),
            None => ["“", typed, what].concat(),
        }
    }
}

errors_in_words!(UnitError);

pub(super) struct Atom {
    pub(super) name: &'static str,
    times: f64,
    over: f64,
    pub(super) dimension: Dimension,
    /// Which SI prefixes it takes: none, the usual, or the usual and centi.
    pub(super) prefixes: &'static str,
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

const POUND: f64 = 45_359_237.0;
/// Standard gravity in 10⁻⁵ m/s², exact.
const GRAVITY: f64 = 980_665.0;

pub(super) const ATOMS: &[Atom] = &[
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
pub(super) const TORQUE_WORDS: [(&str, &str); 13] = [
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

/// Words for units as listings and people write them, whatever their case.
pub(super) const WORDS: [(&str, &str); 57] = [
    ("volt", "V"),
    ("volts", "V"),
    ("vdc", "V"),
    ("amp", "A"),
    ("amps", "A"),
    ("ampere", "A"),
    ("amperes", "A"),
    ("ohm", "Ohm"),
    ("ohms", "Ohm"),
    ("kohm", "kOhm"),
    ("gram", "g"),
    ("grams", "g"),
    ("kgs", "kg"),
    ("kilogram", "kg"),
    ("kilograms", "kg"),
    ("lbs", "lb"),
    ("pound", "lb"),
    ("pounds", "lb"),
    ("ounce", "oz"),
    ("ounces", "oz"),
    ("degree", "deg"),
    ("degrees", "deg"),
    ("radian", "rad"),
    ("radians", "rad"),
    ("turns", "turn"),
    ("rev", "r"),
    ("revs", "r"),
    ("sec", "s"),
    ("secs", "s"),
    ("second", "s"),
    ("seconds", "s"),
    ("msec", "ms"),
    ("usec", "us"),
    ("mins", "min"),
    ("minute", "min"),
    ("minutes", "min"),
    ("hr", "h"),
    ("hrs", "h"),
    ("hour", "h"),
    ("hours", "h"),
    ("day", "d"),
    ("days", "d"),
    ("inch", "in"),
    ("inches", "in"),
    ("\"", "in"),
    ("″", "in"),
    ("”", "in"),
    ("''", "in"),
    ("foot", "ft"),
    ("feet", "ft"),
    ("watt", "W"),
    ("watts", "W"),
    ("newton", "N"),
    ("hertz", "Hz"),
    ("hz", "Hz"),
    ("khz", "kHz"),
    ("percent", "pct"),
];

/// Whole spellings of speeds and temperatures that no product of units gives.
pub(super) const WHOLE: [(Measure, &str, &str); 15] = [
    (Measure::Speed, "rpm", "rpm"),
    (Measure::Speed, "rps", "r/s"),
    (Measure::Speed, "1/min", "r/min"),
    (Measure::Speed, "/min", "r/min"),
    (Measure::Speed, "min.1", "r/min"),
    (Measure::Speed, "min⁻¹", "r/min"),
    (Measure::Speed, "1/s", "r/s"),
    (Measure::Speed, "/s", "r/s"),
    (Measure::Voltage, "v.dc", "V"),
    (Measure::Temperature, "c", "degC"),
    (Measure::Temperature, "deg.c", "degC"),
    (Measure::Temperature, "celsius", "degC"),
    (Measure::Temperature, "f", "degF"),
    (Measure::Temperature, "deg.f", "degF"),
    (Measure::Angle, "rev", "turn"),
];

/// A folded spelling with the words that people use in place of units taken for what they mean.
fn in_units(folded: String, measure: Measure) -> Cow<'static, str> {
    let whole = WHOLE
        .iter()
        .find(|(m, w, _)| *m == measure && w.eq_ignore_ascii_case(&folded));
    if let Some((_, _, unit)) = whole {
        return Cow::Borrowed(unit);
    }
    let word = |part: &str| {
        let (_, unit) = WORDS.iter().find(|(w, _)| w.eq_ignore_ascii_case(part))?;
        let known = ATOMS.iter().any(|atom| atom.name == part);
        (!known).then_some(*unit)
    };
    let marks = ['.', '/'];
    if folded.split(marks).all(|part| word(part).is_none()) {
        return Cow::Owned(folded);
    }
    let parts = folded.split_inclusive(marks).map(|part| {
        let bare = part.trim_end_matches(marks);
        let mark = part.get(bare.len()..).unwrap_or_default();
        [word(bare).unwrap_or(bare), mark].concat()
    });
    Cow::Owned(parts.collect())
}

pub(super) fn find_atom(name: &str) -> Option<(&'static Atom, f64, f64)> {
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
pub(super) fn fold(text: &str) -> String {
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
/// [`UnitError`], with what may have been meant.
///
/// # Example
/// ```
/// use pulsewright_sheet::text::measure::Measure;
/// use pulsewright_sheet::text::unit::unit;
/// assert_eq!(unit("kg-cm", Measure::Torque).unwrap().text, "kgf.cm");
/// assert_eq!(unit("kgf·cm", Measure::Torque).unwrap().to_si(10.0), 0.980665);
/// assert!(unit("V", Measure::Torque).is_err());
/// ```
pub fn unit(text: &str, measure: Measure) -> Result<Unit, UnitError> {
    let folded = fold(text);
    if folded.is_empty() {
        return Ok(measure.si());
    }
    let folded = in_units(folded, measure);
    let folded = if measure.is_torque() {
        let (head, tail) = folded.split_once('/').unwrap_or((&folded, ""));
        match TORQUE_WORDS.iter().find(|(word, _)| *word == head) {
            Some((_, full)) if tail.is_empty() => Cow::Borrowed(*full),
            Some((_, full)) => Cow::Owned([full, "/", tail].concat()),
            None => folded,
        }
    } else if measure == Measure::Force && folded == "oz" {
        Cow::Borrowed("ozf")
    } else {
        folded
    };
    // Without its 1 the unit can stand behind a number: "-0.002/K".
    let folded = folded
        .strip_prefix('1')
        .filter(|rest| rest.starts_with('/'))
        .unwrap_or(&folded);
    let Some(mut found) = product(folded) else {
        return Err(UnitError::Unknown(text.trim().into(), measure.near(text)));
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
        Err(UnitError::Dimension(text.trim().into(), measure.near(text)))
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

impl Measure {
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

    pub(super) fn is_torque(self) -> bool {
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
}

/// A number with its unit as one text: no space before °.
#[must_use]
pub fn with_unit(number: &str, unit: &str) -> String {
    let gap = match unit {
        "" | "°" => "",
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

/// A stored number with its unit, `4.6kgf.cm`, as one reads it; what is no number stays as it is.
#[must_use]
pub fn spaced_quantity(text: &str, unit: &dyn Fn(&str) -> String) -> String {
    let Ok((found, rest)) = number::split(text, number::DecimalMark::Stored) else {
        return text.into();
    };
    match rest {
        "" => found.text,
        "pct" | "%" => [&found.text, " %"].concat(),
        "deg" => [found.text.as_str(), &unit("deg")].concat(),
        // A fraction, or one over a unit.
        rest if rest.starts_with('/') && rest.as_bytes().get(1).is_some_and(u8::is_ascii_digit) => {
            [&found.text, rest].concat()
        }
        rest if rest.starts_with('/') => [&found.text, " 1", rest].concat(),
        rest => [&found.text, " ", &unit(rest)].concat(),
    }
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
    fn units_in_words() {
        // As people and listings write them; what each means is the trade's use.
        for (text, measure, canonical) in [
            ("RPM", Measure::Speed, "rpm"),
            ("rev/s", Measure::Speed, "r/s"),
            ("rev/min", Measure::Speed, "r/min"),
            ("1/min", Measure::Speed, "r/min"),
            ("min-1", Measure::Speed, "r/min"),
            ("rps", Measure::Speed, "r/s"),
            ("degrees/sec", Measure::Speed, "deg/s"),
            ("Volt", Measure::Voltage, "V"),
            ("VDC", Measure::Voltage, "V"),
            ("V DC", Measure::Voltage, "V"),
            ("amps", Measure::Current, "A"),
            ("ohm", Measure::Resistance, "Ohm"),
            ("Ohms", Measure::Resistance, "Ohm"),
            ("grams", Measure::Mass, "g"),
            ("lbs", Measure::Mass, "lb"),
            ("degrees", Measure::Angle, "deg"),
            ("sec", Measure::Time, "s"),
            ("seconds", Measure::Time, "s"),
            ("minutes", Measure::Time, "min"),
            ("inches", Measure::Length, "in"),
            ("\"", Measure::Length, "in"),
            ("C", Measure::Temperature, "degC"),
            ("percent", Measure::Share, "pct"),
        ] {
            let read = unit(text, measure).unwrap_or_else(|e| panic!("{text}: {e:?}"));
            assert_eq!(read.text, canonical, "{text}");
        }
        assert!((si(60.0, "1/min", Measure::Speed) - 2.0 * PI).abs() < 1e-14);
    }

    #[test]
    fn misses_are_named() {
        assert_eq!(
            unit("ma", Measure::Current),
            Err(UnitError::Unknown("ma".into(), Some("mA")))
        );
        assert_eq!(
            unit("nm", Measure::Torque),
            Err(UnitError::Dimension("nm".into(), Some("N.m")))
        );
        assert_eq!(
            unit("kg", Measure::Force),
            Err(UnitError::Dimension("kg".into(), Some("kgf")))
        );
        assert_eq!(
            unit("V", Measure::Torque),
            Err(UnitError::Dimension("V".into(), None))
        );
        assert_eq!(
            unit("Hz", Measure::Speed),
            Err(UnitError::Dimension("Hz".into(), None))
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
