//! Remedies: for a check that is short, the value of each single input at which it becomes clear, and
//! what else that would make worse.
//!
//! A search goes input by input, so that whoever must not be held up can take a step at a time.

use crate::design::Design;
use crate::evaluation::check::{self, CheckResult};
use crate::evaluation::display;
use crate::evaluation::{Check, Status};
use std::borrow::Cow;

use crate::analysis::gearbox::{self, Gearbox};
use crate::analysis::solve::{self, Trial, Walk};
use crate::evaluation::finding;
use crate::evaluation::{Eval, Model};
use crate::evaluation::{Finding, Severity};
use crate::register::{self, ChangedBy, Form, gears};
use crate::text::label::in_sentence;
use crate::text::measure::Measure;
use crate::text::notation::Notation;
use crate::text::number::{self, DecimalMark};
use crate::text::unit::{self, Unit};

/// How near the value at which the check becomes clear is found before it is rounded.
const FINENESS: f64 = 1e-4;

/// Steps outwards: up to a factor of about 50.
const STEPS: i32 = 38;

/// A factor beyond which a value is another thing altogether.
const FAR: f64 = 3.0;

/// One input changed so that a check becomes clear.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// The check.
    pub check: &'static Check,
    /// The input.
    pub input: usize,
    /// Its entry, rounded to the safe side, in the unit that stands in the field: as a link carries it.
    pub text: String,
    /// By what means it can be changed.
    pub changed_by: ChangedBy,
    /// How far from the present value: a factor, 1 for a choice.
    pub factor: f64,
    /// Checks that get worse, each with how it stands then.
    pub worse: Vec<(&'static Check, Status)>,
    /// Faults, and cautions of people, that were not there before.
    pub said: Vec<&'static Finding>,
    /// The design with it.
    pub design: Design,
    model: &'static Model,
    notation: Notation,
}

impl Remedy {
    fn evaluated(&self) -> Eval<'_> {
        Eval::with(self.model, Cow::Borrowed(&self.design)).in_notation(self.notation)
    }

    /// Whether nothing else gets worse.
    #[must_use]
    pub fn harmless(&self) -> bool {
        self.worse.is_empty() && self.said.is_empty()
    }

    /// What is done, in words: "Set sample time to 0.5 ms".
    #[must_use]
    pub fn what(&self) -> String {
        let c = self.evaluated();
        let value = if self.input == gears::RATIO.index() {
            [&self.notation.mark(self.text.clone()), " : 1"].concat()
        } else {
            let text = display::field_text(&c, self.input).replace('_', " ");
            let gauge = register::measure(self.input) == Measure::Gauge;
            if gauge {
                [&text, " AWG"].concat()
            } else {
                text
            }
        };
        let label = in_sentence(register::label(self.input));
        match self.changed_by {
            ChangedBy::Setting => ["Set ", &label, " to ", &value].concat(),
            ChangedBy::Fitting => ["Change ", &label, " to ", &value].concat(),
            ChangedBy::Purchase if self.input == gears::RATIO.index() => {
                ["Put the same motor on a gearbox of ", &value].concat()
            }
            ChangedBy::Purchase => ["Take another part: ", &label, " ", &value].concat(),
            ChangedBy::Requirement => ["Change the job: ", &label, " ", &value].concat(),
            ChangedBy::Measurement | ChangedBy::Nothing => {
                ["If it measures so: ", &label, " ", &value].concat()
            }
        }
    }

    /// What comes of it, in words: "clear, nothing else gets worse".
    #[must_use]
    pub fn outcome(&self) -> String {
        let mut parts: Vec<String> = self
            .worse
            .iter()
            .map(|(check, status)| [&in_sentence(check.label), " becomes ", status.word()].concat())
            .collect();
        if !self.said.is_empty() {
            let c = self.evaluated();
            // The check of a matter says enough of it.
            let told = |f: &Finding| self.worse.iter().any(|(k, _)| k.station == f.station);
            parts.extend(self.said.iter().filter(|f| !told(f)).map(|f| {
                let message = finding::fill_template(f.message, &c);
                let first = message
                    .split_once(". ")
                    .map_or(message.as_str(), |(a, _)| a);
                in_sentence(first.trim_end_matches('.'))
            }));
        }
        if parts.is_empty() {
            "clear, nothing else gets worse".into()
        } else {
            ["clear, but ", &parts.join("; ")].concat()
        }
    }

    /// Where it stands among others: harmless ones first, then those that are near, then by means, then
    /// by how far they go.
    fn order(&self) -> (bool, bool, ChangedBy, f64) {
        (
            !self.harmless(),
            self.factor > FAR,
            self.changed_by,
            self.factor,
        )
    }
}

/// The search for the remedies of one check.
#[derive(Clone, Debug)]
pub struct Search {
    check: &'static Check,
    model: &'static Model,
    design: Design,
    notation: Notation,
    before: Vec<(&'static str, Status)>,
    said: Vec<&'static str>,
    /// Inputs that are still to be tried, the handiest last.
    left: Vec<usize>,
    found: Vec<Remedy>,
}

impl Search {
    /// Begins; `held` is a check of `c` that is tight or under.
    #[must_use]
    pub fn new(c: &Eval<'_>, held: &CheckResult) -> Self {
        let mut left: Vec<usize> = Vec::new();
        if is_short(held) {
            let mut on = held.depends_on;
            // Teeth are not searched; the ratio that they make is.
            if on.has(gears::STAGES.index()) {
                on.insert(gears::RATIO.index());
            }
            for input in on.iter().filter(|&i| can_change(i)) {
                let at = left.iter().position(|&i| means(i) <= means(input));
                left.insert(at.unwrap_or(left.len()), input);
            }
        }
        Self {
            check: held.check,
            model: c.model(),
            design: c.design().clone(),
            notation: c.notation,
            before: check::all(c)
                .iter()
                .map(|h| (h.check.id, h.status()))
                .collect(),
            said: grave(c).iter().map(|f| f.id).collect(),
            left,
            found: Vec::new(),
        }
    }

    /// Whether it is the search for `check` in the design of `c`, shown as there.
    #[must_use]
    pub fn is_of(&self, c: &Eval<'_>, check: &Check) -> bool {
        self.check.id == check.id && self.notation == c.notation && self.design == *c.design()
    }

    /// Whether every input was tried.
    #[must_use]
    pub fn done(&self) -> bool {
        self.left.is_empty()
    }

    /// Tries one input; false where none is left.
    pub fn step(&mut self) -> bool {
        let Some(input) = self.left.pop() else {
            return false;
        };
        if let Some(remedy) = self.attempt(input) {
            let at = self.found.iter().position(|f| remedy.order() < f.order());
            self.found.insert(at.unwrap_or(self.found.len()), remedy);
        }
        true
    }

    /// What was found so far, the most practical first.
    #[must_use]
    pub fn found(&self) -> &[Remedy] {
        &self.found
    }

    /// Whether no input that is left can come before the first that was found.
    #[must_use]
    pub fn settled(&self) -> bool {
        match (self.found.first(), self.left.last()) {
            (_, None) => true,
            (Some(first), Some(&next)) => {
                let (harm, far, by, _) = first.order();
                !harm && !far && means(next) > by
            }
            (None, _) => false,
        }
    }

    fn attempt(&self, input: usize) -> Option<Remedy> {
        let now = Eval::with(self.model, Cow::Borrowed(&self.design)).in_notation(self.notation);
        let value = solve::nearest_within(&now, input, self.check, STEPS, FINENESS)?;
        let trial = Trial::new(&now, input)?;
        let present = trial.present;
        let entry = register::inputs().get(input)?;
        if value == 0.0 && entry.form == Form::Whole && entry.changed_by == ChangedBy::Requirement {
            return None;
        }
        let up = present.is_some_and(|present| value > present);
        let mut last = String::new();
        for digits in 2..=7 {
            let text = rounded(&now, input, trial.measure, value, up, digits)?;
            if text == last {
                continue;
            }
            let design = entered(&now, input, &text);
            last = text;
            let Some(design) = design else { continue };
            let c = now.of(&design);
            let held = check::all(&c);
            let clear =
                |h: &CheckResult| h.check.id == self.check.id && h.status() == Status::Clear;
            if !held.iter().any(clear) {
                continue;
            }
            let factor = match (entry.form, present) {
                (Form::Choice(_), _) | (_, None) => 1.0,
                (_, Some(present)) if present > 0.0 && value > 0.0 => {
                    (value / present).max(present / value)
                }
                (_, Some(present)) => 1.0 + Walk::new(entry, present, FINENESS).distance(value),
            };
            let worse = held
                .iter()
                .filter(|h| {
                    self.before
                        .iter()
                        .any(|(id, status)| *id == h.check.id && h.status().rank() > status.rank())
                })
                .map(|h| (h.check, h.status()))
                .collect();
            let said = grave(&c)
                .into_iter()
                .filter(|f| !self.said.contains(&f.id))
                .collect();
            drop(c);
            return Some(Remedy {
                check: self.check,
                input,
                text: last,
                changed_by: entry.changed_by,
                factor,
                worse,
                said,
                design,
                model: self.model,
                notation: self.notation,
            });
        }
        None
    }
}

/// Every remedy of a check of a design, the most practical first.
#[must_use]
pub fn remedies(c: &Eval<'_>, held: &CheckResult) -> Vec<Remedy> {
    let mut search = Search::new(c, held);
    while search.step() {}
    search.found
}

/// The first remedy of a check.
#[must_use]
pub fn first(c: &Eval<'_>, held: &CheckResult) -> Option<Remedy> {
    let mut search = Search::new(c, held);
    while !search.settled() && search.step() {}
    search.found.into_iter().next()
}

/// The worst three checks that are tight or under, each with its first remedy.
#[must_use]
pub fn of_the_worst(c: &Eval<'_>, held: &[CheckResult]) -> Vec<(CheckResult, Option<Remedy>)> {
    check::ranked(held.iter().filter(|h| is_short(h)))
        .into_iter()
        .take(3)
        .map(|h| (h, first(c, &h)))
        .collect()
}

/// Whether a check is tight or under: what a remedy can be sought for.
#[must_use]
pub fn is_short(held: &CheckResult) -> bool {
    matches!(held.status(), Status::Tight | Status::Under)
}

fn means(input: usize) -> ChangedBy {
    register::inputs()
        .get(input)
        .map_or(ChangedBy::Nothing, |i| i.changed_by)
}

fn can_change(input: usize) -> bool {
    register::inputs().get(input).is_some_and(|i| {
        i.changed_by != ChangedBy::Nothing
            && !matches!(i.form, Form::Stages | Form::Shares | Form::Text)
    })
}

/// Faults and graver, beside the checks: a fault that a check tells as well is the check's.
fn grave(c: &Eval<'_>) -> Vec<&'static Finding> {
    let said = finding::all(c);
    let grave = said.iter().filter(|s| s.severity >= Severity::Fault);
    grave.map(|s| s.finding).collect()
}

/// The design with `text` in input `index`; a ratio as another gearbox on the same motor.
fn entered(c: &Eval<'_>, index: usize, text: &str) -> Option<Design> {
    if index == gears::RATIO.index() {
        return gearbox::other_gearbox(c, Gearbox::Ratio(text)).ok();
    }
    let mut other = c.design().clone();
    other.enter(index, text, DecimalMark::Stored);
    let _ = other.entry(index)?;
    Some(other)
}

/// The entry of `value`, away from the present one, to `digits` significant digits or one more where
/// that few would go more than 3 % too far: in the unit and with the tolerance that stand there.
pub(crate) fn rounded(
    c: &Eval<'_>,
    index: usize,
    measure: Measure,
    value: f64,
    up: bool,
    digits: i32,
) -> Option<String> {
    let input = register::inputs().get(index)?;
    let (unit, tolerance) = match input.form {
        Form::Choice(words) => return words.get(value as usize).map(|w| (*w).into()),
        Form::Whole => return Some(number::text(libm::round(value), 13)),
        Form::Quantity(Measure::Gauge) => return Some(number::text(libm::round(value), 3)),
        Form::Quantity(measure) => own_unit(c, index, measure, value)?,
        Form::Travel => own_unit(c, index, measure, value)?,
        Form::Exact => (None, String::new()),
        Form::Stages | Form::Shares | Form::Text => return None,
    };
    let number = unit.as_ref().map_or(value, |unit| unit.from_si(value));
    let mut text = outward(number, up, digits);
    let gone: f64 = text.parse().ok()?;
    if (gone - number).abs() > 0.03 * number.abs() {
        text = outward(number, up, digits + 1);
    }
    let name = unit.map_or(String::new(), |unit| unit.text);
    Some([text, name, tolerance].concat())
}

/// `number` to `digits` significant digits, up or down.
fn outward(number: f64, up: bool, digits: i32) -> String {
    if number == 0.0 {
        return "0".into();
    }
    let place = libm::floor(libm::log10(number.abs())) as i32 - digits + 1;
    // A power below 1 is not exact; dividing by one above 1 is.
    let (scaled, scale) = if place < 0 {
        let scale = 10_f64.powi(-place);
        (number * scale, 1.0 / scale)
    } else {
        let scale = 10_f64.powi(place);
        (number / scale, scale)
    };
    let whole = if up {
        libm::ceil(scaled - 1e-6)
    } else {
        libm::floor(scaled + 1e-6)
    };
    number::text(whole * scale, 12)
}

/// The unit that stands in a field, given or assumed, and the tolerance that was given with it.
fn own_unit(
    c: &Eval<'_>,
    index: usize,
    measure: Measure,
    value: f64,
) -> Option<(Option<Unit>, String)> {
    let given = c.design().entry(index);
    let text = given
        .or_else(|| {
            c.preset_entry(index)
                .filter(|_| !c.notation.units.differ(measure))
        })
        .map(|e| e.text.as_str());
    let (body, tolerance) = match text.and_then(|text| text.split_once('~')) {
        Some((body, tail)) => (Some(body), tail),
        None => (text, ""),
    };
    let name = match body {
        Some(body) => number::split(body, DecimalMark::Stored).ok()?.1,
        None => c.notation.shown(measure, value, 3).1,
    };
    let unit = unit::unit(name, measure).ok()?;
    let tolerance = if given.is_some() && !tolerance.is_empty() {
        ["~", tolerance].concat()
    } else {
        String::new()
    };
    Some((Some(unit), tolerance))
}
