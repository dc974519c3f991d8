//! What the tolerances of the inputs do to results and checks: one at a time, and together.

use crate::design::Design;
use crate::design::entry::Tolerance;
use crate::evaluation::check::CheckResult;
use crate::evaluation::display::assumed_tolerance;
use crate::evaluation::{Check, Status};
use crate::evaluation::{Eval, Inputs};
use crate::register::{self, Form};
use crate::text::measure::Measure;
use crate::text::number::{self, DecimalMark};

/// The tolerance of input `index` in SI, given or assumed; `None` where it has none.
#[must_use]
pub fn of(c: &Eval<'_>, index: usize) -> Option<f64> {
    let value = c.answer(index).found.ok()?;
    let given = c.design().entry(index).and_then(|e| e.tolerance);
    let tolerance = match given {
        Some(tolerance) => tolerance,
        None => assumed_tolerance(c, index)?.1,
    };
    Some(match tolerance {
        Tolerance::Relative(share) => (value * share).abs(),
        Tolerance::Absolute(size) => size,
    })
}

/// `design` with input `index` at `value` in SI; `None` where it cannot be, or is no quantity.
#[must_use]
pub fn shifted(design: &Design, index: usize, value: f64) -> Option<Design> {
    let input = register::inputs().get(index)?;
    let Form::Quantity(measure) = input.form else {
        return None;
    };
    let mut moved = design.clone();
    let unit = if measure == Measure::Gauge {
        ""
    } else {
        measure.si_name()
    };
    let unit = if unit == "1" { "" } else { unit };
    moved.enter(
        index,
        &[
            number::text(measure.reported(value), 12).as_str(),
            " ",
            unit,
        ]
        .concat(),
        DecimalMark::Stored,
    );
    moved.entry(index)?;
    Some(moved)
}

/// What the tolerance of one input, all others as they are, does to a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effect {
    /// The input.
    pub input: usize,
    /// Change of the number at the low end of the tolerance; 0 where the input cannot be so low.
    pub below: f64,
    /// Change at the high end.
    pub above: f64,
    /// Whether the number is not there at one of the ends.
    pub lost: bool,
}

impl Effect {
    /// The larger of its two changes.
    #[must_use]
    pub fn size(&self) -> f64 {
        self.below.abs().max(self.above.abs())
    }
}

/// Where a result probably lies.
#[derive(Clone, Debug, PartialEq)]
pub struct Range {
    /// Lower end, in SI.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// What every input with a tolerance does to it, largest first.
    pub effects: Vec<Effect>,
}

/// What the tolerance of each input that a check rests on does to its margin, largest first.
///
/// Empty where the check has no margin. An input without a tolerance, given or assumed, is left out, as
/// is one that changes nothing.
#[must_use]
pub fn sensitivity(c: &Eval<'_>, check: &Check) -> Vec<Effect> {
    let read = |c: &Eval<'_>| (check.margin)(c).ok().flatten()?.ratio();
    let c = &c.of(c.design());
    let (margin, depends_on) = c.traced(|c| read(c));
    match margin.filter(|m| m.is_finite()) {
        Some(margin) => effects(c, depends_on, margin, &read),
        None => Vec::new(),
    }
}

/// Where a result lies within the tolerances of all that it rests on: on each side the root of the sum
/// of squares of what each tolerance alone does.
///
/// For independent inputs, each anywhere within its tolerance alike, this is the expanded uncertainty
/// with a coverage factor of √3, about nine cases in ten (JCGM 100:2008 (GUM), 4.3.7 and 5.1.2, from
/// memory). `None` where the result is not there, or rests on nothing that has a tolerance.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::guide::examples::EXAMPLES;
/// use pulsewright_sheet::analysis::tolerance;
/// use pulsewright_sheet::register;
///
/// let design = link::read(EXAMPLES[0].link)?.design;
/// let c = Eval::new(&design);
/// let index = register::find("axis.load_torque").ok_or("no such id")?;
/// let nominal = c.raw(index)?;
/// if let Some(range) = tolerance::range(&c, index) {
///     assert!(range.low <= nominal && nominal <= range.high);
/// }
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn range(c: &Eval<'_>, index: usize) -> Option<Range> {
    let c = &c.of(c.design());
    let answer = c.answer(index);
    let value = answer.found.ok()?;
    let effects = effects(c, answer.depends_on, value, &|c| c.raw(index).ok());
    if effects.is_empty() {
        return None;
    }
    let (mut down, mut up) = (0.0, 0.0);
    let mut signed = value < 0.0;
    for effect in &effects {
        let (least, most) = (
            effect.below.min(effect.above).min(0.0),
            effect.below.max(effect.above).max(0.0),
        );
        down += least * least;
        up += most * most;
        signed |= value + least < 0.0;
    }
    let low = value - down.sqrt();
    Some(Range {
        // What no tolerance alone makes negative, all of them together do not.
        low: if signed { low } else { low.max(0.0) },
        high: value + up.sqrt(),
        effects,
    })
}

fn effects(
    c: &Eval<'_>,
    depends_on: Inputs,
    value: f64,
    read: &dyn Fn(&Eval<'_>) -> Option<f64>,
) -> Vec<Effect> {
    let mut list: Vec<Effect> = Vec::new();
    for input in depends_on.iter() {
        let (Some(tolerance), Ok(at)) = (of(c, input), c.answer(input).found) else {
            continue;
        };
        let mut lost = false;
        let mut change = |to: f64| match shifted(c.design(), input, to) {
            Some(moved) => {
                let found = read(&c.of(&moved)).filter(|v| v.is_finite());
                lost |= found.is_none();
                found.map_or(0.0, |found| found - value)
            }
            None => 0.0,
        };
        let (below, above) = (change(at - tolerance), change(at + tolerance));
        let effect = Effect {
            input,
            below,
            above,
            lost,
        };
        if tolerance > 0.0 && (lost || effect.size() > 1e-12 * value.abs()) {
            let place = list.iter().position(|e| e.size() < effect.size());
            list.insert(place.unwrap_or(list.len()), effect);
        }
    }
    list
}

/// Ids of the assumed inputs whose own tolerance alone would change the status of a check.
#[must_use]
pub fn deciding(c: &Eval<'_>, held: &CheckResult) -> Vec<&'static str> {
    let c = &c.of(c.design());
    let mut ids: Vec<&'static str> = c
        .assumed(held.depends_on)
        .iter()
        .filter(|&index| changes(c, index, held.check, held.status()))
        .map(register::id)
        .collect();
    ids.sort_unstable();
    ids
}

fn changes(c: &Eval<'_>, index: usize, check: &'static Check, status: Status) -> bool {
    let (Some(tolerance), Ok(value)) = (of(c, index), c.answer(index).found) else {
        return false;
    };
    [value - tolerance, value + tolerance].iter().any(|&to| {
        shifted(c.design(), index, to).is_some_and(|moved| {
            let moved_c = c.of(&moved);
            match (check.margin)(&moved_c) {
                Ok(Some(margin)) => margin.status() != status,
                Ok(None) => false,
                Err(_) => status != Status::Unknown,
            }
        })
    })
}
