//! What was entered and does not count: refused, or not asked for.

use crate::design::State;
use crate::design::entry::Value as Entered;
use crate::evaluation::Eval;
use crate::register::{self, INPUT_COUNT};

/// Messages of everything in a design that is refused, by its own text or beside the others. What the chosen kind of axis
/// or another choice does not ask for refuses nothing: see [`unused`].
#[must_use]
pub fn refusals(c: &Eval<'_>) -> Vec<(usize, String)> {
    (0..INPUT_COUNT)
        .filter_map(|index| {
            if c.design().text(index).is_empty() || c.unused(index).is_some() {
                return None;
            }
            let own = match c.design().state(index) {
                State::Refused { refusal, .. } => Some(refusal.message()),
                State::Given(_) => c.conflict(index).or_else(|| misplaced(c, index)),
                State::Assumed => None,
            };
            own.map(|message| (index, message))
        })
        .collect()
}

/// Every entry that changes nothing, with the reason: it is kept for the kind or choice that asks for it.
#[must_use]
pub fn unused(c: &Eval<'_>) -> Vec<(usize, String)> {
    (0..INPUT_COUNT)
        .filter(|&index| !c.design().text(index).is_empty())
        .filter_map(|index| Some((index, c.unused(index)?)))
        .collect()
}

/// A travel that was entered as an angle on a linear axis, or as a length where there is no radius.
fn misplaced(c: &Eval<'_>, index: usize) -> Option<String> {
    let entry = c.design().entry(index)?;
    let kind = c.get(register::axis::KIND).ok()?;
    match entry.value {
        Entered::Angle(_) if kind.is_linear() => {
            Some("an angle, but this kind of axis moves along a line: enter mm or in".into())
        }
        Entered::Length(_) if kind == register::Kind::Torque => Some(
            "a length, but with a load torque entered there is no arm length: enter °, rad or turn"
                .into(),
        ),
        _ => None,
    }
}
