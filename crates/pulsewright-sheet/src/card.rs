//! The design as a file: `{"route_card": 1, "inputs": {id: text}}`.

use serde_json::Value;

use crate::design::{Design, State};
use crate::entry::{Entry, Value as Entered};
use crate::register::{self, Form};
use crate::unit::pretty;
use crate::{json, num};

/// Format of the files that this version writes and reads.
pub const FORMAT: u64 = 1;

/// Most of a file that is read, in bytes.
pub const LONGEST: usize = 1 << 20;

/// Why a text is not a design file.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum NotCard {
    /// Not JSON; where it breaks.
    Json(usize, usize),
    /// No `route_card` number or no `inputs` in it.
    Form(&'static str),
    /// Written by a newer version.
    Newer(u64),
    /// Longer than what is read.
    TooLong,
}

impl NotCard {
    /// In words, with what to do.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::Json(line, column) => [
                "this file is not complete JSON: it breaks at line ",
                &num::int(*line as i64),
                ", column ",
                &num::int(*column as i64),
                "; save it again where it came from",
            ]
            .concat(),
            Self::Form(what) => (*what).into(),
            Self::Newer(format) => [
                "this file has format ",
                &num::int(*format as i64),
                ", this version reads format 1; open it with the newer version",
            ]
            .concat(),
            Self::TooLong => "this file is larger than 1 MiB, more than a design can be".into(),
        }
    }
}

/// Reads a design file. Entries that the register refuses and ids that it does not have are kept.
///
/// # Errors
/// [`NotCard`] where the text is none.
///
/// # Example
/// ```
/// let text = r#"{"route_card": 1, "inputs": {"motor.rated_voltage": "6 V", "gears.ratio": 380}}"#;
/// let design = pulsewright_sheet::card::read(text).unwrap();
/// assert_eq!(pulsewright_sheet::link::write(&design), "#pw1;motor.rated_voltage=6V;gears.ratio=380");
/// ```
pub fn read(text: &str) -> Result<Design, NotCard> {
    if text.len() > LONGEST {
        return Err(NotCard::TooLong);
    }
    let value: Value =
        serde_json::from_str(text).map_err(|e| NotCard::Json(e.line(), e.column()))?;
    let inputs = value.get("inputs").and_then(Value::as_object);
    let entries = inputs.map(|inputs| {
        inputs.iter().filter_map(|(id, value)| {
            let text = match value {
                Value::String(text) => text.clone(),
                Value::Number(number) => number.to_string(),
                Value::Bool(true) => "yes".into(),
                Value::Bool(false) => "no".into(),
                Value::Null => return None,
                other => other.to_string(),
            };
            Some((id.clone(), text))
        })
    });
    assembled(
        value.get("route_card").and_then(Value::as_u64),
        entries.map(Iterator::collect),
    )
}

/// The design of a file whose JSON somebody has read: its `route_card` number, the entries of its
/// `inputs`.
///
/// # Errors
/// [`NotCard`] where one of them is missing or the format is newer.
pub fn assembled(
    format: Option<u64>,
    entries: Option<Vec<(String, String)>>,
) -> Result<Design, NotCard> {
    let format = format.ok_or(NotCard::Form(
        "this JSON is no route card: it has no \"route_card\": 1",
    ))?;
    if format > FORMAT {
        return Err(NotCard::Newer(format));
    }
    let entries = entries.ok_or(NotCard::Form("this route card has no \"inputs\" object"))?;
    let mut design = Design::default();
    for (id, text) in entries {
        let _ = design.enter_id(&id, &text);
    }
    Ok(design)
}

/// The text of input `index` as people read it: `4.6 kgf·cm ± 10 %`; as typed where it was refused.
#[must_use]
pub fn readable(design: &Design, index: usize) -> String {
    match design.state(index) {
        State::Given(entry) => entry_text(index, entry),
        _ => design.text(index).into(),
    }
}

/// An entry of input `index` as people read it.
#[must_use]
pub fn entry_text(index: usize, entry: &Entry) -> String {
    spaced(index, entry, &pretty)
}

fn spaced(index: usize, entry: &Entry, unit: &dyn Fn(&str) -> String) -> String {
    let form = register::inputs().get(index).map(|i| i.form);
    let plain = !matches!(form, Some(Form::Quantity(_) | Form::Travel | Form::Whole));
    if plain || entry.value == Entered::None {
        return entry.text.clone();
    }
    let part = |piece: &str| amount(piece, unit);
    match entry.text.split_once('~') {
        Some((value, tolerance)) => [&part(value), " ± ", &part(tolerance)].concat(),
        None => part(&entry.text),
    }
}

/// A stored number with its unit, `4.6kgf.cm`, as one reads it; what is no number stays as it is.
pub(crate) fn amount(text: &str, unit: &dyn Fn(&str) -> String) -> String {
    let Ok((number, rest)) = num::split(text, num::Marks::Stored) else {
        return text.into();
    };
    match rest {
        "" => number.text,
        "pct" | "%" => [&number.text, " %"].concat(),
        "deg" => [number.text.as_str(), &unit("deg")].concat(),
        // A fraction, or one over a unit.
        rest if rest.starts_with('/') && rest.as_bytes().get(1).is_some_and(u8::is_ascii_digit) => {
            [&number.text, rest].concat()
        }
        rest if rest.starts_with('/') => [&number.text, " 1", rest].concat(),
        rest => [&number.text, " ", &unit(rest)].concat(),
    }
}

/// The design as a file, only what is given, in the register's order.
#[must_use]
pub fn write(design: &Design) -> String {
    let mut inputs = Vec::new();
    for (index, input) in register::inputs().iter().enumerate() {
        let text = match design.state(index) {
            State::Assumed => continue,
            State::Refused { .. } => design.carried(index),
            State::Given(entry) => {
                let ascii = |u: &str| {
                    if u == "deg" {
                        " deg".into()
                    } else {
                        u.to_string()
                    }
                };
                spaced(index, entry, &ascii)
            }
        };
        inputs.push((input.id, json::quoted(&text)));
    }
    for (id, text) in &design.unknown {
        inputs.push((id, json::quoted(text)));
    }
    let inputs = json::object(&inputs, 1);
    let format = num::int(FORMAT as i64);
    [
        json::object(&[("route_card", format), ("inputs", inputs)], 0).as_str(),
        "\n",
    ]
    .concat()
}
