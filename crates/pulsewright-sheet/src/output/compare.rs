//! Two designs side by side: what differs.

use crate::evaluation::Eval;
use crate::evaluation::check::{self, CheckResult};
use crate::evaluation::display;
use crate::register::Kind;
use crate::register::{self, COUNT, INPUT_COUNT, axis};
use crate::stations;

/// What differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// A check.
    Stamp,
    /// An input.
    Input,
    /// A result.
    Result,
}

/// A line that is not the same in both.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// What it is.
    pub what: What,
    /// Id of the check, the input or the result.
    pub id: &'static str,
    /// Its name.
    pub label: &'static str,
    /// How it is said of the first; empty where it is not there.
    pub first: String,
    /// How it is said of the second.
    pub second: String,
}

/// What differs between two designs as they are shown: checks, inputs, results, in the order of the
/// card. An input is there where its kind of axis uses it; what costs hundreds of evaluations is left
/// out.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::output::compare;
///
/// let (one, other) = (link::read("#pw1;gears.ratio=298")?.design, link::read("#pw1;gears.ratio=380")?.design);
/// let found = compare::differences(&Eval::new(&one), &Eval::new(&other));
/// let ratio = found.iter().find(|difference| difference.id == "gears.ratio").ok_or("none")?;
/// assert_eq!((ratio.first.as_str(), ratio.second.as_str()), ("298", "380"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn differences(a: &Eval<'_>, b: &Eval<'_>) -> Vec<Difference> {
    let mut list = Vec::new();
    let mut tell = |what, id, label, first: String, second: String| {
        if first != second {
            list.push(Difference {
                what,
                id,
                label,
                first,
                second,
            });
        }
    };
    let (held_a, held_b) = (check::all(a), check::all(b));
    for check in stations::checks() {
        let said = |c: &Eval<'_>, held: &[CheckResult]| {
            let held = held.iter().find(|h| h.check.id == check.id);
            held.map_or(String::new(), |h| stamped(c, h))
        };
        tell(
            What::Stamp,
            check.id,
            check.label,
            said(a, &held_a),
            said(b, &held_b),
        );
    }
    for index in 0..INPUT_COUNT {
        tell(
            What::Input,
            register::id(index),
            register::label(index),
            entered(a, index),
            entered(b, index),
        );
    }
    for index in INPUT_COUNT..COUNT {
        if register::result(index).is_some_and(|r| r.shown && !r.costly) {
            tell(
                What::Result,
                register::id(index),
                register::label(index),
                found(a, index),
                found(b, index),
            );
        }
    }
    list
}

/// A check's stamp and room.
fn stamped(c: &Eval<'_>, held: &CheckResult) -> String {
    match held.ratio() {
        Some(margin) => [held.status().word(), " ", &c.notation.number(margin, 3)].concat(),
        None => held.status().word().into(),
    }
}

fn entered(c: &Eval<'_>, index: usize) -> String {
    let kind = c.get(axis::KIND).unwrap_or(Kind::Arm);
    let used = register::inputs()
        .get(index)
        .is_some_and(|i| i.kinds.has(kind));
    if used {
        display::field_text(c, index).replace('_', " ")
    } else {
        String::new()
    }
}

fn found(c: &Eval<'_>, index: usize) -> String {
    if c.answer(index).found.is_ok() {
        display::display(c, index, 4)
    } else {
        String::new()
    }
}
