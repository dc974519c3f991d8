//! One entry: what a person typed into a field, read against the register.

use pulsewright_calc::ratio::{self, Exact};

use crate::register::{self, Form, Input, Preset, card};
use crate::text::measure::Measure;
use crate::text::number::{self, DecimalMark, NumberError};
use crate::text::unit::{self, Unit, UnitError, pretty};

/// A value as read.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// SI, temperatures in kelvin; whole numbers too.
    Real(f64),
    /// An angle, in radian, where a length was possible.
    Angle(f64),
    /// A length, in metre, where an angle was possible.
    Length(f64),
    /// A word of a choice, by number.
    Choice(u8),
    /// Stages, driven and driver.
    Stages(Vec<(u32, u32)>),
    /// Shares.
    Shares(Vec<f64>),
    /// Words.
    Text(String),
    /// The word `none`: left out.
    None,
}

/// ± of an entry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// As a share of the value.
    Relative(f64),
    /// In SI.
    Absolute(f64),
}

/// An entry that was understood.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The value.
    pub value: Value,
    /// The same in SI as an exact rational, where it is one.
    pub exact: Option<Exact>,
    /// Its tolerance, where one was given.
    pub tolerance: Option<Tolerance>,
    /// Canonical text with a decimal point, ASCII units and `~` for the tolerance: what links carry.
    pub text: String,
}

/// An entry that was not.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Refusal {
    /// Not a number.
    Number(NumberError),
    /// Not a unit of this field.
    Unit {
        /// What is wrong.
        found: UnitError,
        /// Units that fit.
        usual: &'static [&'static str],
    },
    /// Outside the valid range.
    Range {
        /// As typed.
        typed: String,
        /// The limit that it breaks, in words.
        limit: String,
        /// Why it is there.
        because: &'static str,
    },
    /// Not a whole number.
    Whole(String),
    /// Not one of the words.
    Word {
        /// As typed.
        typed: String,
        /// What it can be.
        words: &'static [&'static str],
    },
    /// Not stages.
    Stages(String),
    /// A stage below 1.
    Reversed(u32, u32),
    /// A tolerance where none can be.
    Tolerance(&'static str),
    /// A unit is needed to know what is meant.
    SayUnit,
    /// Anything else.
    Other(&'static str),
}

impl Refusal {
    /// The message, behind the field's label: limit and reason.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::Number(found) => found.message(),
            Self::Unit { found, usual } => {
                let units: Vec<String> = usual.iter().map(|u| pretty(u)).collect();
                let units = units.join(", ");
                match found {
                    UnitError::Unknown(typed, None) => {
                        ["“", typed, "” is not a known unit; use ", &units].concat()
                    }
                    UnitError::Unknown(typed, Some(near)) => {
                        ["“", typed, "” is no unit; did you mean ", &pretty(near), "? Upper and lower case matter"].concat()
                    }
                    UnitError::Dimension(typed, None) => {
                        ["“", typed, "” measures something else; this field takes ", &units].concat()
                    }
                    UnitError::Dimension(typed, Some(near)) => {
                        ["“", typed, "” measures something else; did you mean ", &pretty(near), "?"].concat()
                    }
                }
            }
            Self::Range { typed, limit, because } => {
                [typed, ": it must be ", limit, "; ", because].concat()
            }
            Self::Whole(typed) => [typed, " is not a whole number; it is counted, not measured"].concat(),
            Self::Word { typed, words } => ["“", typed, "” is not one of ", &words.join(", ")].concat(),
            Self::Stages(typed) => {
                ["“", typed, "” is not a list of tooth counts; write driven:driver with whole numbers from 1 to 999, one to six stages, as 35:12, 37:13"].concat()
            }
            Self::Reversed(driven, driver) => {
                let (a, b) = (number::int(i64::from(*driven)), number::int(i64::from(*driver)));
                [&a, ":", &b, " would speed the output up; write driven:driver, did you mean ", &b, ":", &a, "?"].concat()
            }
            Self::Tolerance(why) => (*why).into(),
            Self::SayUnit => "say mm or °: this field takes a length or an angle".into(),
            Self::Other(why) => (*why).into(),
        }
    }
}

errors_in_words!(Refusal);

/// Reads `text` for `input`.
///
/// # Errors
/// A [`Refusal`] that says what limit it breaks and why.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::entry;
/// use pulsewright_sheet::text::number::DecimalMark;
/// use pulsewright_sheet::register;
/// let torque = &register::inputs()[register::find("motor.stall_torque").unwrap()];
/// let entry = entry::read(torque, "4,6 kgcm ± 10 %", DecimalMark::Typed).unwrap();
/// assert_eq!(entry.text, "4.6kgf.cm~10pct");
/// let refusal = entry::read(torque, "5 V", DecimalMark::Typed).unwrap_err();
/// assert!(refusal.message().contains("measures something else"));
/// ```
pub fn read(input: &Input, text: &str, marks: DecimalMark) -> Result<Entry, Refusal> {
    let text = text.trim();
    // The list of wishes is written by the sheet itself, and holds a text for each of them.
    let longest = if input.id == card::WISHED.id() {
        4000
    } else {
        300
    };
    if text.len() > longest {
        return Err(Refusal::Other("more than 300 characters cannot be a value"));
    }
    if let Form::Text = input.form {
        return Ok(Entry {
            value: Value::Text(text.into()),
            exact: None,
            tolerance: None,
            text: text.into(),
        });
    }
    if text.is_empty() {
        return Err(Refusal::Number(NumberError::Empty));
    }
    if text.eq_ignore_ascii_case("none") && (input.none || matches!(input.preset, Preset::LeftOut))
    {
        return Ok(Entry {
            value: Value::None,
            exact: None,
            tolerance: None,
            text: "none".into(),
        });
    }
    if let Form::Choice(words) = input.form {
        return choice(text, words);
    }
    let (body, tolerance) = match split_tolerance(text) {
        // "±2°" in a field that asks for a tolerance is the value itself.
        ("", Some(value)) if input.id.ends_with("tolerance") => (value, None),
        parts => parts,
    };
    let mut entry = match input.form {
        Form::Stages => stages(body)?,
        Form::Shares => shares(input, body, marks)?,
        Form::Exact => exact(input, body, marks)?,
        Form::Whole => whole(input, body, marks)?,
        Form::Quantity(measure) => quantity(input, measure, body, marks)?,
        Form::Travel => travel(input, body, marks)?,
        Form::Choice(_) | Form::Text => return Err(Refusal::Other("not a number")),
    };
    if let Some(typed) = tolerance {
        let (read, text) = read_tolerance(input, &entry, typed, marks)?;
        entry.tolerance = Some(read);
        entry.text = [&entry.text, "~", &text].concat();
    }
    Ok(entry)
}

/// What was typed with the unit of its field, where it is a bare number: `100` in a field of `r/min` is `100 r/min`.
/// Links and files carry bare numbers as SI; only a field has a unit of its own.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::entry::in_unit;
/// use pulsewright_sheet::register::{self, motor};
/// let speed = &register::inputs()[motor::NO_LOAD_SPEED.index()];
/// assert_eq!(in_unit(speed, "100", "r/min").as_deref(), Some("100 r/min"));
/// assert_eq!(in_unit(speed, "100 ± 5", "r/min").as_deref(), Some("100 r/min ± 5"));
/// assert_eq!(in_unit(speed, "2 rev/s", "r/min"), None);
/// let side = &register::inputs()[motor::CASE_DIAMETER.index()];
/// assert_eq!(in_unit(side, "12 x 10 x 26", "mm").as_deref(), Some("12 x 10 x 26 mm"));
/// ```
#[must_use]
pub fn in_unit(input: &Input, text: &str, unit: &str) -> Option<String> {
    if unit.is_empty() || !matches!(input.form, Form::Quantity(_) | Form::Travel) {
        return None;
    }
    let (body, tolerance) = split_tolerance(text.trim());
    let split =
        smallest_side(input, body).map_or_else(|| number::split(body, DecimalMark::Typed), Ok);
    let value = match split {
        Ok((found, "")) => found.value,
        Err(NumberError::Thousands { typed, .. }) if body.ends_with(&typed) => f64::INFINITY,
        _ => return None,
    };
    // A share may be written either way: 0.85 is no 0.85 %.
    if unit == "%" && value.abs() <= 1.0 {
        return None;
    }
    let tolerance = tolerance.map(|t| [" ± ", t].concat()).unwrap_or_default();
    Some([body, " ", unit, &tolerance].concat())
}

fn choice(text: &str, words: &'static [&'static str]) -> Result<Entry, Refusal> {
    let folded = text.to_ascii_lowercase().replace([' ', '-'], "_");
    match words.iter().position(|w| *w == folded) {
        Some(at) => Ok(Entry {
            value: Value::Choice(u8::try_from(at).unwrap_or(0)),
            exact: None,
            tolerance: None,
            text: folded,
        }),
        None => Err(Refusal::Word {
            typed: text.into(),
            words,
        }),
    }
}

fn split_tolerance(text: &str) -> (&str, Option<&str>) {
    for mark in ["±", "+-", "+/-", "~"] {
        if let Some((body, tail)) = text.split_once(mark) {
            return (body.trim(), Some(tail.trim()));
        }
    }
    (text, None)
}

/// Splits a number from its unit and settles a mark that can be read in two ways by the range.
fn number<'a>(
    text: &'a str,
    marks: DecimalMark,
    fits: &dyn Fn(f64, &str) -> bool,
) -> Result<(number::Number, &'a str), Refusal> {
    match number::split(text, marks) {
        Ok(found) => Ok(found),
        Err(NumberError::Thousands {
            typed,
            decimal,
            grouped,
        }) => {
            let start = text.find(&typed).unwrap_or(0);
            let rest = text.get(start + typed.len()..).unwrap_or("").trim();
            let sign = if text.trim_start().starts_with(['-', '\u{2212}']) {
                "-"
            } else {
                ""
            };
            let reading = |digits: &str| {
                let text = [sign, digits].concat();
                text.parse::<f64>()
                    .ok()
                    .map(|value| number::Number { value, text })
            };
            let (a, b) = (reading(&decimal), reading(&grouped));
            let a = a.filter(|n| fits(n.value, rest));
            let b = b.filter(|n| fits(n.value, rest));
            match (a, b) {
                (Some(n), None) | (None, Some(n)) => Ok((n, rest)),
                _ => Err(Refusal::Number(NumberError::Thousands {
                    typed,
                    decimal,
                    grouped,
                })),
            }
        }
        Err(other) => Err(Refusal::Number(other)),
    }
}

/// Of the sides of a body the smallest, with its unit, in an input that takes it: `12 × 10 × 26 mm`, `Ø24,4 × 30,8 mm`.
fn smallest_side<'a>(input: &Input, text: &'a str) -> Option<(number::Number, &'a str)> {
    if !input.smallest_side {
        return None;
    }
    let (mut smallest, mut unit): (Option<number::Number>, &str) = (None, "");
    for side in text.split(['×', 'x', 'X', '*']) {
        let bare = side.trim_start().trim_start_matches(['Ø', 'ø', '⌀']);
        let (found, rest) = number::split(bare, DecimalMark::Typed).ok()?;
        if !rest.is_empty() && !unit.is_empty() && rest != unit {
            return None;
        }
        unit = if rest.is_empty() { unit } else { rest };
        if smallest
            .as_ref()
            .is_none_or(|least| found.value < least.value)
        {
            smallest = Some(found);
        }
    }
    smallest.map(|side| (side, unit))
}

/// Words behind a number that is counted.
pub(super) const COUNTED: [&str; 10] = [
    "counts", "count", "teeth", "samples", "sample", "steps", "step", "pairs", "decimals", "bit",
];

/// What may stand behind a ratio.
pub(super) const TO_ONE: [&str; 3] = [": 1", ":1", "of a step"];

fn unit_of(input: &Input, text: &str, measure: Measure) -> Result<Unit, Refusal> {
    let text = match (input.form, text) {
        (Form::Quantity(Measure::Gauge), t) if t.eq_ignore_ascii_case("awg") => "",
        (Form::Quantity(Measure::Count), "counts" | "count" | "samples" | "sample") => "",
        (Form::Quantity(Measure::Ratio), t) if TO_ONE.contains(&t) => "",
        (_, t) => t,
    };
    unit::unit(text, measure).map_err(|found| Refusal::Unit {
        found,
        usual: measure.usual(),
    })
}

fn quantity(
    input: &Input,
    measure: Measure,
    body: &str,
    marks: DecimalMark,
) -> Result<Entry, Refusal> {
    let body = match body.get(..3) {
        Some(head) if measure == Measure::Gauge && head.eq_ignore_ascii_case("awg") => &body[3..],
        _ => body,
    };
    let fits = |value: f64, rest: &str| {
        unit_of(input, rest, measure)
            .is_ok_and(|u| in_range(input, u.to_si(value), measure).is_ok())
    };
    if matches!(measure, Measure::Ratio | Measure::Share) && body.contains('/') {
        return exact(input, body, marks);
    }
    let (number, rest) = match smallest_side(input, body) {
        Some(side) if marks == DecimalMark::Typed => side,
        _ => number(body, marks, &fits)?,
    };
    let unit = unit_of(input, rest, measure)?;
    let si = unit.to_si(number.value);
    if !si.is_finite() {
        return Err(Refusal::Number(NumberError::Size(number.text)));
    }
    if measure == Measure::Gauge && si.fract() != 0.0 {
        return Err(Refusal::Whole(number.text));
    }
    in_range(input, si, measure).map_err(|(limit, because)| {
        let mut typed = [&number.text, " ", &pretty(&unit.text)].concat();
        if unit.text.starts_with('M') && unit.text.len() > 1 {
            typed = [&typed, " (M is mega; did you mean m, milli?)"].concat();
        }
        Refusal::Range {
            typed: typed.trim().into(),
            limit,
            because,
        }
    })?;
    let exact = exact_si(&number, &unit);
    Ok(Entry {
        value: Value::Real(si),
        exact,
        tolerance: None,
        text: [number.text, unit.text].concat(),
    })
}

/// A number in a unit as an exact SI value, where the unit's factor is a ratio of whole numbers.
fn exact_si(number: &number::Number, unit: &Unit) -> Option<Exact> {
    let whole = |f: f64| (f.fract() == 0.0 && f.abs() < 9e15).then_some(f as i128);
    if unit.offset != 0.0 {
        return None;
    }
    let factor = ratio::exact(whole(unit.times)?, whole(unit.over)?)?;
    ratio::multiply(ratio::from_decimal(&number.text)?, factor)
}

fn travel(input: &Input, body: &str, marks: DecimalMark) -> Result<Entry, Refusal> {
    let read = |measure: Measure| -> Result<(number::Number, Unit), Refusal> {
        let fits = |value: f64, rest: &str| {
            unit_of(input, rest, measure)
                .is_ok_and(|u| in_range(input, u.to_si(value), measure).is_ok())
        };
        let (number, rest) = number(body, marks, &fits)?;
        if rest.is_empty() {
            return Err(Refusal::SayUnit);
        }
        let unit = unit_of(input, rest, measure)?;
        Ok((number, unit))
    };
    let (measure, (number, unit)) = match read(Measure::Angle) {
        Ok(found) => (Measure::Angle, found),
        Err(Refusal::Unit {
            found: UnitError::Dimension(..),
            ..
        }) => match read(Measure::Length) {
            Ok(found) => (Measure::Length, found),
            Err(Refusal::Unit {
                found: UnitError::Dimension(typed, _),
                ..
            }) => {
                return Err(Refusal::Unit {
                    found: UnitError::Dimension(typed, None),
                    usual: &["deg", "rad", "turn", "mm", "m", "in"],
                });
            }
            Err(other) => return Err(other),
        },
        Err(other) => return Err(other),
    };
    let si = unit.to_si(number.value);
    in_range(input, si, measure).map_err(|(limit, because)| Refusal::Range {
        typed: [&number.text, " ", &pretty(&unit.text)].concat(),
        limit,
        because,
    })?;
    let value = if measure == Measure::Angle {
        Value::Angle(si)
    } else {
        Value::Length(si)
    };
    Ok(Entry {
        value,
        exact: None,
        tolerance: None,
        text: [number.text, unit.text].concat(),
    })
}

fn whole(input: &Input, body: &str, marks: DecimalMark) -> Result<Entry, Refusal> {
    let fits = |value: f64, _: &str| in_range(input, value, Measure::Count).is_ok();
    let (number, rest) = number(body, marks, &fits)?;
    if !rest.is_empty() && !COUNTED.contains(&rest) {
        return Err(Refusal::Unit {
            found: UnitError::Dimension(rest.into(), None),
            usual: &["a number without a unit"],
        });
    }
    if number.value.fract() != 0.0 {
        return Err(Refusal::Whole(number.text));
    }
    in_range(input, number.value, Measure::Count).map_err(|(limit, because)| Refusal::Range {
        typed: number.text.clone(),
        limit,
        because,
    })?;
    Ok(Entry {
        value: Value::Real(number.value),
        exact: None,
        tolerance: None,
        text: number.text,
    })
}

fn exact(input: &Input, body: &str, marks: DecimalMark) -> Result<Entry, Refusal> {
    let part = |text: &str| -> Result<(Exact, String), Refusal> {
        let fits = |value: f64, _: &str| in_range(input, value, Measure::Count).is_ok();
        let (number, rest) = number(text, marks, &fits)?;
        if !rest.is_empty() {
            return Err(Refusal::Unit {
                found: UnitError::Dimension(rest.into(), None),
                usual: &["a number without a unit", "a fraction a/b", "a:b"],
            });
        }
        let exact = ratio::from_decimal(&number.text)
            .ok_or_else(|| Refusal::Number(NumberError::Size(number.text.clone())))?;
        Ok((exact, number.text))
    };
    let (value, text) = match body.split_once([':', '/']) {
        Some((a, b)) => {
            let ((a, at), (b, bt)) = (part(a)?, part(b)?);
            let zero = Refusal::Other("nothing can be divided by 0");
            let value = ratio::divide(a, b).ok_or(zero)?;
            let mark = if body.contains(':') { ":" } else { "/" };
            // A reduction is written both ways round: 1:150 is 150:1.
            let one = ratio::exact(1, 1);
            let turned = ratio::divide(b, a)
                .filter(|_| mark == ":" && Some(a) == one && input.id.ends_with("ratio"));
            match turned {
                Some(turned) => (turned, [bt.as_str(), mark, at.as_str()].concat()),
                None => (value, [at.as_str(), mark, bt.as_str()].concat()),
            }
        }
        None => part(body)?,
    };
    in_range(
        input,
        ratio::to_f64(value).unwrap_or(f64::NAN),
        Measure::Count,
    )
    .map_err(|(limit, because)| Refusal::Range {
        typed: text.clone(),
        limit,
        because,
    })?;
    Ok(Entry {
        value: Value::Real(ratio::to_f64(value).unwrap_or(f64::NAN)),
        exact: Some(value),
        tolerance: None,
        text,
    })
}

fn stages(body: &str) -> Result<Entry, Refusal> {
    let wrong = || Refusal::Stages(body.chars().take(60).collect());
    let mut pairs = Vec::new();
    let mut text = String::new();
    // Blanks around the mark belong to the pair; elsewhere they part stages.
    let mut tidy = String::new();
    for c in body.chars() {
        match c {
            ':' | '/' => {
                while tidy.ends_with(' ') {
                    let _ = tidy.pop();
                }
                tidy.push(':');
            }
            ',' | ';' | '×' | '*' | 'x' | '\u{a0}' | '\u{2009}' | '\u{202f}' | ' ' => {
                if !tidy.ends_with(':') || !c.is_whitespace() {
                    tidy.push(' ');
                }
            }
            other => tidy.push(other),
        }
    }
    for stage in tidy.split_whitespace() {
        let (driven, driver) = stage.split_once(':').ok_or_else(wrong)?;
        let tooth = |t: &str| -> Option<u32> {
            let sum = t.trim_matches(['(', ')']);
            let mut total = 0u32;
            for part in sum.split('+') {
                let n: u32 = part.parse().ok()?;
                total = total.checked_add(n)?;
            }
            (1..=999).contains(&total).then_some(total)
        };
        let (Some(a), Some(b)) = (tooth(driven), tooth(driver)) else {
            return Err(wrong());
        };
        if a < b {
            return Err(Refusal::Reversed(a, b));
        }
        if !text.is_empty() {
            text.push(',');
        }
        number::push_int(&mut text, i64::from(a));
        text.push(':');
        number::push_int(&mut text, i64::from(b));
        pairs.push((a, b));
    }
    if pairs.is_empty() || pairs.len() > 6 {
        return Err(wrong());
    }
    Ok(Entry {
        value: Value::Stages(pairs),
        exact: None,
        tolerance: None,
        text,
    })
}

fn shares(input: &Input, body: &str, marks: DecimalMark) -> Result<Entry, Refusal> {
    let mut list = Vec::new();
    let mut text = String::new();
    for part in body
        .split([';', '×', '*', ' '])
        .flat_map(|p| split_commas(p))
        .filter(|p| !p.is_empty())
    {
        let fits = |value: f64, _: &str| in_range(input, value, Measure::Ratio).is_ok();
        let (number, rest) = number(part, marks, &fits)?;
        let unit = unit_of(input, rest, Measure::Ratio)?;
        let value = unit.to_si(number.value);
        in_range(input, value, Measure::Ratio).map_err(|(limit, because)| Refusal::Range {
            typed: number.text.clone(),
            limit,
            because,
        })?;
        if !text.is_empty() {
            text.push(',');
        }
        text.push_str(&number.text);
        text.push_str(&unit.text);
        list.push(value);
    }
    if list.is_empty() || list.len() > 8 {
        return Err(Refusal::Other(
            "write one efficiency a stage, one to eight of them, as 0.9; 0.9; 0.4",
        ));
    }
    Ok(Entry {
        value: Value::Shares(list),
        exact: None,
        tolerance: None,
        text,
    })
}

/// Commas part a list of shares unless they are its decimal marks ("0,9 0,85").
fn split_commas(part: &str) -> Vec<&str> {
    if part.contains('.') || part.matches(',').count() != 1 || !part.starts_with("0,") {
        part.split(',').map(str::trim).collect()
    } else {
        vec![part]
    }
}

fn read_tolerance(
    input: &Input,
    entry: &Entry,
    typed: &str,
    marks: DecimalMark,
) -> Result<(Tolerance, String), Refusal> {
    let measure = match (input.form, &entry.value) {
        (Form::Quantity(measure), _) => measure,
        (_, Value::Angle(_)) => Measure::Angle,
        (_, Value::Length(_)) => Measure::Length,
        _ => {
            return Err(Refusal::Tolerance(
                "a count or a choice has no tolerance; give the number alone",
            ));
        }
    };
    if input.default_tolerance == register::DefaultTolerance::None
        && matches!(input.form, Form::Travel)
    {
        return Err(Refusal::Tolerance("a requirement has no tolerance"));
    }
    let (number, rest) = number::split(typed, marks).map_err(Refusal::Number)?;
    if number.value < 0.0 {
        return Err(Refusal::Tolerance("a tolerance cannot be negative"));
    }
    if matches!(rest, "%" | "pct" | "percent") {
        if measure == Measure::Temperature {
            return Err(Refusal::Tolerance(
                "a tolerance in % is not possible for a temperature; write ± 5 K",
            ));
        }
        if measure != Measure::Share || number.value >= 1.0 {
            if number.value > 100.0 {
                return Err(Refusal::Tolerance(
                    "a tolerance of more than 100 % is not possible",
                ));
            }
            return Ok((
                Tolerance::Relative(number.value / 100.0),
                [&number.text, "pct"].concat(),
            ));
        }
    }
    // "6 V ± 0.2" takes the value's own unit.
    let (absolute, text) = if rest.is_empty() {
        let own = own_unit(measure, &entry.text)?;
        (
            own.difference(number.value),
            [number.text, own.text].concat(),
        )
    } else {
        let measure = if measure == Measure::Temperature {
            Measure::TemperatureRise
        } else {
            measure
        };
        let rest = if measure == Measure::TemperatureRise && matches!(rest, "°C" | "degC") {
            "K"
        } else {
            rest
        };
        let unit = unit_of(input, rest, measure)?;
        (
            unit.difference(number.value),
            [number.text, unit.text].concat(),
        )
    };
    let (low, high) = bounds(input, measure);
    let range = match (low, high) {
        (Some(low), Some(high)) => high - low,
        _ => f64::MAX,
    };
    if absolute > range {
        return Err(Refusal::Tolerance(
            "a tolerance wider than all that can be entered here is not possible",
        ));
    }
    Ok((Tolerance::Absolute(absolute), text))
}

/// The unit in which an entry was written.
fn own_unit(measure: Measure, text: &str) -> Result<Unit, Refusal> {
    let (_, rest) = number::split(text, DecimalMark::Stored).map_err(Refusal::Number)?;
    unit::unit(rest, measure).map_err(|found| Refusal::Unit {
        found,
        usual: measure.usual(),
    })
}

/// A limit of the register as number: value in SI and whether it is excluded.
pub(super) fn bound(text: &str, measure: Measure) -> Option<(f64, bool)> {
    let text = text.trim();
    if text.is_empty() {
        return None;
    }
    let (open, text) = match text.strip_prefix(['>', '<']) {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    // Travel: one limit for each reading.
    let value = text.split('|').find_map(|part| {
        let (number, rest) = number::split(part, DecimalMark::Stored).ok()?;
        if number.value == 0.0 && rest.is_empty() && measure != Measure::Temperature {
            return Some(0.0);
        }
        Some(unit::unit(rest, measure).ok()?.to_si(number.value))
    })?;
    Some((value, open))
}

/// The least and the greatest value of the input's own range, in SI.
pub(crate) fn bounds(input: &Input, measure: Measure) -> (Option<f64>, Option<f64>) {
    let limit = |text| bound(text, measure).map(|(value, _)| value);
    (limit(input.low), limit(input.high))
}

/// The usual reasons for a limit.
const WITHOUT_SIGN: &str = "it is entered without a sign";
const NONE_OF_IT: &str = "0 would mean that there is none";
const TOO_LITTLE: &str = "less than is found with small gear motors";
const TOO_MUCH: &str = "more than is found with small gear motors";

/// Whether an input's own range is why it was refused, not a limit of the figures.
pub(crate) fn is_of_range(input: &Input, because: &str) -> bool {
    [
        input.too_little,
        input.too_much,
        WITHOUT_SIGN,
        NONE_OF_IT,
        TOO_LITTLE,
        TOO_MUCH,
    ]
    .contains(&because)
}

/// Why a size is refused, in words: the limit, and the reason for it.
type Broken = (String, &'static str);

/// Whether `si` lies in the input's own range, and is of a size that the figures bear.
fn in_range(input: &Input, si: f64, measure: Measure) -> Result<(), Broken> {
    let slack = 1e-12 * si.abs();
    let (low, high) = (bound(input.low, measure), bound(input.high, measure));
    let low_ok = low.is_none_or(|(low, open)| if open { si > low } else { si >= low - slack });
    let high_ok = high.is_none_or(|(high, open)| if open { si < high } else { si <= high + slack });
    if !low_ok {
        let signless = low.is_some_and(|(low, _)| low >= 0.0) && measure != Measure::Temperature;
        let because = match input.too_little {
            _ if si < 0.0 && signless => WITHOUT_SIGN,
            "" if si == 0.0 => NONE_OF_IT,
            "" => TOO_LITTLE,
            own => own,
        };
        return Err((range_words(input), because));
    }
    if !(high_ok && si.is_finite()) {
        let because = match input.too_much {
            "" => TOO_MUCH,
            own => own,
        };
        return Err((range_words(input), because));
    }
    let greatest = [low, high]
        .into_iter()
        .flatten()
        .fold(0.0, |most: f64, (limit, _)| most.max(limit.abs()));
    let smallest = (register::SMALLEST_SHARE * greatest).min(register::SMALLEST_SIZE);
    if si == 0.0 || si.abs() >= smallest || measure == Measure::Temperature {
        return Ok(());
    }
    let unit = match measure.si_name() {
        "" | "1" => String::new(),
        name => [" ", &pretty(name)].concat(),
    };
    let size = [number::text(smallest, 3), unit].concat();
    let limit = match low {
        Some((_, true)) => ["at least ", &size].concat(),
        _ => ["0, or ", &size, " or more in size"].concat(),
    };
    Err((limit, "smaller sizes are lost in the figures"))
}

/// The input's own range in words: "above 0 A, at most 100 A", "0.5 V to 60 V".
#[must_use]
pub fn range_words(input: &Input) -> String {
    let words = |text: &str, open: &str, closed: &str| -> String {
        let (mark, plain) = match text.strip_prefix(['>', '<']) {
            Some(rest) => (open, rest),
            None => (closed, text),
        };
        let parts: Vec<String> = plain
            .split('|')
            .map(|part| unit::spaced_quantity(part.trim(), &|name| pretty(&name.replace(' ', ""))))
            .collect();
        [mark, &parts.join(" or ")].concat()
    };
    let open = input.low.starts_with('>') || input.high.starts_with('<');
    match (input.low.is_empty(), input.high.is_empty()) {
        (false, false) if open => [
            words(input.low, "above ", "at least "),
            ", ".into(),
            words(input.high, "below ", "at most "),
        ]
        .concat(),
        (false, false) => [input.low, input.high]
            .map(|limit| words(limit, "", ""))
            .join(" to "),
        (false, true) => words(input.low, "above ", "at least "),
        (true, false) => words(input.high, "below ", "at most "),
        (true, true) => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_as(id: &str, text: &str) -> Result<Entry, Refusal> {
        let index = register::find_input(id).expect(id);
        read(&register::inputs()[index], text, DecimalMark::Typed)
    }

    #[test]
    fn a_bare_tolerance_takes_the_unit_of_its_value() {
        let entry = read_as("motor.no_load_current", "500 mA ± 20").expect("current");
        assert_eq!(entry.tolerance, Some(Tolerance::Absolute(0.02)));
        assert_eq!(entry.text, "500mA~20mA");
        let entry = read_as("axis.ambient_temperature", "25 °C ± 5").expect("temperature");
        assert_eq!(entry.tolerance, Some(Tolerance::Absolute(5.0)));
    }

    /// A listing gives a gear motor's sides in any order, a can's diameter before its length.
    #[test]
    fn of_the_sides_of_a_can_the_smallest_is_taken() {
        for (typed, taken) in [
            ("12 × 10 × 26 mm", "10mm"),
            ("26x12x10mm", "10mm"),
            ("12mm*10mm", "10mm"),
            ("Ø24,4 × 30,8 mm", "24.4mm"),
            ("1/2 x 3/4 in ± 0.5", "0.5in~0.5in"),
            ("16 mm", "16mm"),
        ] {
            let entry = read_as("motor.case_diameter", typed).expect(typed);
            assert_eq!(entry.text, taken, "{typed}");
        }
        for refused in ["12 × 10 cm × 26 mm", "12 × × 26 mm", "x", "90 × 100 mm"] {
            assert!(
                read_as("motor.case_diameter", refused).is_err(),
                "{refused}"
            );
        }
        assert!(read_as("axis.radius", "12 × 10 mm").is_err());
    }

    #[test]
    fn a_ratio_is_read_both_ways_round() {
        assert_eq!(
            read_as("gears.ratio", "1:150").expect("ratio").text,
            "150:1"
        );
        assert_eq!(
            read_as("gears.ratio", "150:1").expect("ratio").text,
            "150:1"
        );
    }

    #[test]
    fn a_tolerance_may_be_written_with_its_sign() {
        let entry = read_as("axis.position_tolerance", "±2°").expect("tolerance");
        assert_eq!(entry.text, "2deg");
        assert!(read_as("axis.load_mass", "±2 kg").is_err());
    }

    #[test]
    fn tolerances_that_say_nothing_are_refused() {
        assert!(read_as("axis.ambient_temperature", "25 °C ± 10 %").is_err());
        assert!(read_as("encoder.pole_pairs", "3 ± 1").is_err());
        assert!(read_as("move.time", "2 s ± 200 %").is_err());
    }

    #[test]
    fn stage_lists_in_every_spelling() {
        for text in [
            "35:12,37:13",
            "35/12 × 37/13",
            "35:12; 37:13",
            "35 : 12 37 : 13",
            "35:12*37:13",
        ] {
            assert_eq!(
                read_as("gears.stages", text).expect(text).text,
                "35:12,37:13"
            );
        }
        assert_eq!(
            read_as("gears.stages", "(48+16):16")
                .expect("planetary")
                .text,
            "64:16"
        );
        assert!(read_as("gears.stages", "12:35").is_err());
        assert!(read_as("gears.stages", "35.5:12").is_err());
        assert!(read_as("gears.stages", "35:0").is_err());
    }

    #[test]
    fn thousands_marks_are_settled_by_the_range() {
        // 3545 mm is no mean diameter of a screw, so the point can only be decimal.
        assert!(read_as("axis.screw_mean_diameter", "3.545 mm").is_ok());
        let refusal = read_as("axis.load_mass", "1,600 g").expect_err("two readings");
        assert!(refusal.message().contains("1,600 can be 1.600 or 1600"));
    }
}
