//! Entries as people read them.

use super::entry::{Entry, Value};
use super::{Design, State};
use crate::register::{self, Form};
use crate::text::unit::{pretty, spaced_quantity};

/// The text of input `index` as people read it: `4.6 kgf·cm ± 10 %`; as typed where it was refused.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::{entry_text, link};
/// use pulsewright_sheet::register::motor::STALL_TORQUE;
///
/// let design = link::read("#pw1;motor.stall_torque=4.6kgf.cm~10pct")?.design;
/// assert_eq!(entry_text::readable(&design, STALL_TORQUE.index()), "4.6 kgf·cm ± 10 %");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
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

/// The text of input `index` as a file carries it: `4.6 kgf.cm ± 10 %`; as typed where it was refused.
#[must_use]
pub fn as_filed(design: &Design, index: usize) -> String {
    match design.state(index) {
        State::Given(entry) => spaced(index, entry, &|unit| match unit {
            "deg" => " deg".into(),
            other => other.into(),
        }),
        _ => design.carried(index),
    }
}

fn spaced(index: usize, entry: &Entry, unit: &dyn Fn(&str) -> String) -> String {
    let form = register::inputs().get(index).map(|i| i.form);
    let plain = !matches!(form, Some(Form::Quantity(_) | Form::Travel | Form::Whole));
    if plain || entry.value == Value::None {
        return entry.text.clone();
    }
    let part = |piece: &str| spaced_quantity(piece, unit);
    match entry.text.split_once('~') {
        Some((value, tolerance)) => [&part(value), " ± ", &part(tolerance)].concat(),
        None => part(&entry.text),
    }
}
