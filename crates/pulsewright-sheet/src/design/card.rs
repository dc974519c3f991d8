//! The design as a file: `{"route_card": 1, "inputs": {id: text}}`.

use super::entry_text::as_filed;
use serde_json::Value;

use crate::design::{Design, State};
use crate::register::{self};
use crate::text::json;
use crate::text::number;

/// Format of the files that this version writes and reads.
pub const FORMAT: u64 = 1;

/// What a written file names as its schema: `pulsewright schema` and `cargo page` make it under this name, and an editor
/// that finds it beside the file completes and checks what is typed.
pub const SCHEMA: &str = "route-card.schema.json";

/// Most of a file that is read, in bytes.
pub const LONGEST: usize = 1 << 20;

/// Why a text is not a design file.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum CardError {
    /// Not JSON; where it breaks.
    Json(usize, usize),
    /// Not JSON, in the words of whatever read it.
    Unread(String),
    /// No `route_card` number or no `inputs` in it.
    Form(&'static str),
    /// Written by a newer version.
    Newer(u64),
    /// Longer than what is read.
    TooLong,
}

impl CardError {
    /// In words, with what to do.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::Json(line, column) => [
                "this file is not complete JSON: it breaks at line ",
                &number::int(*line as i64),
                ", column ",
                &number::int(*column as i64),
                "; save it again where it came from",
            ]
            .concat(),
            Self::Unread(why) => ["this is no design file: ", why].concat(),
            Self::Form(what) => (*what).into(),
            Self::Newer(format) => [
                "this file has format ",
                &number::int(*format as i64),
                ", this version reads format 1; open it with the newer version",
            ]
            .concat(),
            Self::TooLong => "this file is larger than 1 MiB, more than a design can be".into(),
        }
    }
}

errors_in_words!(CardError);

/// Reads a design file. Entries that the register refuses and ids that it does not have are kept.
///
/// # Errors
/// [`CardError`] where the text is none.
///
/// # Example
/// ```
/// let text = r#"{"route_card": 1, "inputs": {"motor.rated_voltage": "6 V", "gears.ratio": 380}}"#;
/// let design = pulsewright_sheet::design::card::read(text).unwrap();
/// assert_eq!(pulsewright_sheet::design::link::write(&design), "#pw1;motor.rated_voltage=6V;gears.ratio=380");
/// ```
pub fn read(text: &str) -> Result<Design, CardError> {
    if text.len() > LONGEST {
        return Err(CardError::TooLong);
    }
    let value: Value =
        serde_json::from_str(text).map_err(|e| CardError::Json(e.line(), e.column()))?;
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
/// [`CardError`] where one of them is missing or the format is newer.
pub fn assembled(
    format: Option<u64>,
    entries: Option<Vec<(String, String)>>,
) -> Result<Design, CardError> {
    let format = format.ok_or(CardError::Form(
        "this JSON is no route card: it has no \"route_card\": 1",
    ))?;
    if format > FORMAT {
        return Err(CardError::Newer(format));
    }
    let entries = entries.ok_or(CardError::Form("this route card has no \"inputs\" object"))?;
    let mut design = Design::default();
    for (id, text) in entries {
        let _ = design.enter_id(&id, &text);
    }
    Ok(design)
}

/// The design as a file, only what is given, in the register's order.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::{card, link};
///
/// let design = link::read("#pw1;motor.stall_torque=4.6kgf.cm~10pct")?.design;
/// let text = card::write(&design);
/// assert!(text.contains(r#""motor.stall_torque": "4.6 kgf.cm ± 10 %""#));
/// assert_eq!(card::read(&text)?, design);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn write(design: &Design) -> String {
    let mut inputs = Vec::new();
    for (index, input) in register::inputs().iter().enumerate() {
        if !matches!(design.state(index), State::Assumed) {
            inputs.push((input.id, json::quoted(&as_filed(design, index))));
        }
    }
    for (id, text) in &design.unknown {
        inputs.push((id, json::quoted(text)));
    }
    let inputs = json::object(&inputs, 1);
    let format = number::int(FORMAT as i64);
    [
        json::object(
            &[
                ("$schema", json::quoted(SCHEMA)),
                ("route_card", format),
                ("inputs", inputs),
            ],
            0,
        )
        .as_str(),
        "\n",
    ]
    .concat()
}
