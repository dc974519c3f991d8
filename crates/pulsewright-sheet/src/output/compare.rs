//! Two designs side by side: what differs.

use crate::design::{Design, State};
use crate::evaluation::Eval;
use crate::evaluation::check::{self, CheckResult};
use crate::evaluation::{Status, display};
use crate::output::verdict;
use crate::register::Kind;
use crate::register::{self, COUNT, INPUT_COUNT, axis};
use crate::stations;
use crate::text::number::DecimalMark;
use core::cmp::Ordering;

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
    /// How a check stands in the first: better, worse, or the same.
    pub stands: Ordering,
}

/// What differs between two designs as they are shown: checks, inputs, results. In each group what matters most comes
/// first: the check whose margin differs most, the input that alone moves the margins most, the result that differs most
/// in proportion. An input is there where its kind of axis uses it; what costs hundreds of evaluations is left out.
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
    let mut list: Vec<(f64, Difference)> = Vec::new();
    let mut tell = |weight: f64, stands, what, index, (first, second): (String, String)| {
        if first != second {
            let (id, label) = index;
            let difference = Difference {
                what,
                id,
                label,
                first,
                second,
                stands,
            };
            list.push((weight, difference));
        }
    };
    let (held_a, held_b) = (check::all(a), check::all(b));
    for check in stations::checks() {
        let of = |held: &[CheckResult]| held.iter().position(|h| h.check.id == check.id);
        let one = of(&held_a).and_then(|at| held_a.get(at));
        let other = of(&held_b).and_then(|at| held_b.get(at));
        let said = |c: &Eval<'_>, held: Option<&CheckResult>| {
            held.map_or(String::new(), |h| stamped(c, h))
        };
        let (x, y) = (one.map_or(0.0, standing), other.map_or(0.0, standing));
        tell(
            (x - y).abs(),
            x.total_cmp(&y),
            What::Stamp,
            (check.id, check.label),
            (said(a, one), said(b, other)),
        );
    }
    for index in 0..INPUT_COUNT {
        let said = (entered(a, index), entered(b, index));
        // What a design is called tells it apart already.
        if said.0 == said.1 || register::station(index).is_none() {
            continue;
        }
        let mut changed: Design = a.design().clone();
        changed.enter(index, b.design().text(index), DecimalMark::Stored);
        let moved = check::all(&Eval::new(&changed));
        let moves = held_a.iter().zip(&moved);
        let weight = moves.map(|(h, m)| (standing(h) - standing(m)).abs()).sum();
        tell(
            weight,
            Ordering::Equal,
            What::Input,
            (register::id(index), a.label(index)),
            (marked(a, index, said.0), marked(b, index, said.1)),
        );
    }
    for index in INPUT_COUNT..COUNT {
        if register::result(index).is_some_and(|r| r.shown && !r.costly) {
            let weight = match (a.answer(index).found, b.answer(index).found) {
                (Ok(x), Ok(y)) => (x - y).abs() / (x.abs() + y.abs()).max(f64::MIN_POSITIVE),
                _ => 1.0,
            };
            tell(
                weight,
                Ordering::Equal,
                What::Result,
                (register::id(index), register::label(index)),
                (found(a, index), found(b, index)),
            );
        }
    }
    // Groups stay as they are told; within one the order of the card decides between equals.
    list.sort_by(|(x, one), (y, other)| {
        (one.what as u8)
            .cmp(&(other.what as u8))
            .then(y.total_cmp(x))
    });
    list.into_iter().map(|(_, difference)| difference).collect()
}

/// How a check stands, on a line: failing below 0, tight below 1, passing above, and within each by its margin.
fn standing(held: &CheckResult) -> f64 {
    // What needs nothing passes by any margin.
    let within = match held.ratio() {
        Some(ratio) => ratio.clamp(0.0, 10.0) / 10.0,
        None if held.status() == Status::Passes => 1.0,
        None => 0.5,
    };
    within
        + match held.status() {
            Status::Fails => -1.0,
            Status::Waits | Status::Unknown => -0.5,
            Status::Tight => 0.0,
            Status::Passes => 1.0,
        }
}

/// A check's status and margin.
fn stamped(c: &Eval<'_>, held: &CheckResult) -> String {
    let stamped = [held.status().word(), " ", &verdict::margin(c, held)].concat();
    stamped.trim_end().into()
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

/// A value that nobody has entered says so.
fn marked(c: &Eval<'_>, index: usize, text: String) -> String {
    match c.design().state(index) {
        State::Assumed if !text.is_empty() => [&text, " (typical)"].concat(),
        _ => text,
    }
}

fn found(c: &Eval<'_>, index: usize) -> String {
    if c.answer(index).found.is_ok() {
        display::display(c, index, 4)
    } else {
        String::new()
    }
}
