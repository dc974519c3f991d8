//! What stands in for inputs that are not given, as far as the register says it in text.

use std::sync::OnceLock;

use super::entry::{self, Entry, Value};
use crate::register::{self, Input, Kinds, Preset};
use crate::text::number::DecimalMark;

/// A register's preset text for an input, read once.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadPreset {
    /// Alternatives with the kinds that take them (or, for classes, in class order).
    pub choices: Vec<(Kinds, Entry)>,
}

/// Reads the preset texts of `input`; a text that is no entry is left out (a test holds that none is).
#[must_use]
fn preset(input: &Input) -> ReadPreset {
    let one = |text: &str| entry::read(input, text, DecimalMark::Stored).ok();
    let choices = match input.preset {
        Preset::LeftOut | Preset::Computed(_) => Vec::new(),
        Preset::Fixed(text) => one(text).map(|e| (Kinds::ALL, e)).into_iter().collect(),
        Preset::ByKind(list) => list
            .iter()
            .filter_map(|(kinds, text)| one(text).map(|e| (*kinds, e)))
            .collect(),
        Preset::ByClass(texts) => texts
            .iter()
            .filter_map(|t| one(t).map(|e| (Kinds::ALL, e)))
            .collect(),
    };
    ReadPreset { choices }
}

/// The preset texts of every input, read.
pub fn presets() -> &'static [ReadPreset] {
    static READ: OnceLock<Vec<ReadPreset>> = OnceLock::new();
    READ.get_or_init(|| register::inputs().iter().map(preset).collect())
}

/// What is assumed of each input where that is always the same: a number, or that it is left out.
pub fn constant_presets() -> &'static [Option<Option<f64>>] {
    static KNOWN: OnceLock<Vec<Option<Option<f64>>>> = OnceLock::new();
    KNOWN.get_or_init(|| {
        let known = |(index, input): (usize, &Input)| match input.preset {
            Preset::Fixed(_) => {
                let (_, entry) = presets().get(index)?.choices.first()?;
                number(entry).and_then(|(value, length)| (!length).then_some(Some(value)))
            }
            Preset::LeftOut => Some(None),
            _ => None,
        };
        register::inputs().iter().enumerate().map(known).collect()
    })
}

/// The number of an entry, and whether it is a length where an angle was possible; none where it leaves the input out.
pub fn number(entry: &Entry) -> Option<(f64, bool)> {
    match &entry.value {
        Value::Real(v) | Value::Angle(v) => Some((*v, false)),
        Value::Length(v) => Some((*v, true)),
        Value::Choice(v) => Some((f64::from(*v), false)),
        Value::Stages(_) | Value::Shares(_) | Value::Text(_) => Some((0.0, false)),
        Value::None => None,
    }
}
