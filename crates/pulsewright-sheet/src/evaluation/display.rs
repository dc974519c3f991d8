//! Values of an evaluation as people read them.

use super::Eval;
use crate::design::{State, entry_text};
use crate::register::{self, Form, gears};
use crate::text::number;
use crate::text::unit::{pretty, spaced_quantity};

/// Value and unit of an input or a result for people, to `digits` significant digits; for an absent
/// one, why.
#[must_use]
pub fn display(c: &Eval<'_>, index: usize, digits: i32) -> String {
    let answer = c.answer(index);
    let value = match answer.found {
        Ok(value) => value,
        Err(absent) => return absent.message(),
    };
    let measure = answer.measure;
    if let Some(text) = c.in_words(index) {
        return text;
    }
    if let Some(input) = register::inputs().get(index) {
        match input.form {
            Form::Choice(words) => {
                return words
                    .get(value as usize)
                    .copied()
                    .unwrap_or("")
                    .replace('_', " ");
            }
            Form::Text | Form::Stages | Form::Shares => return c.design().text(index).into(),
            Form::Exact => {
                if let Some(exact) = answer.exact
                    && *exact.denom() == 1
                {
                    return number::int(i64::try_from(*exact.numer()).unwrap_or(i64::MAX));
                }
            }
            _ => {}
        }
    }
    // A fraction is known to every digit: show enough of them to tell it from a round label.
    let digits = if answer.exact.is_some() && !c.notation.units.differ(measure) {
        digits.max(7)
    } else {
        digits
    };
    c.notation.said(measure, value, digits)
}

/// What stands in the field of input `index`: the entry, or what is assumed in its place; empty where
/// it is left out.
#[must_use]
pub fn field_text(c: &Eval<'_>, index: usize) -> String {
    let form = register::inputs().get(index).map(|i| i.form);
    let number = matches!(
        form,
        Some(Form::Quantity(_) | Form::Travel | Form::Whole | Form::Exact)
    );
    let marked = |text: String| if number { c.notation.mark(text) } else { text };
    match c.design().state(index) {
        State::Assumed => {
            if let Some(result) = superseded_by(c, index) {
                return display(c, result, 6);
            }
        }
        State::Given(_) => return marked(entry_text::readable(c.design(), index)),
        State::Refused { .. } => return c.design().text(index).into(),
    }
    let other = matches!(form, Some(Form::Quantity(measure)) if c.notation.units.differ(measure));
    match c.preset_entry(index) {
        Some(_) if other && c.answer(index).found.is_ok() => display(c, index, 3),
        Some(entry) => marked(entry_text::entry_text(index, entry)),
        None if c.left_out(index) || c.answer(index).found.is_err() => String::new(),
        None => display(c, index, 4),
    }
}

/// The result that takes the place of an input that is not given: the ratio of the teeth, where those are.
///
/// ```
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::register::gears;
/// use pulsewright_sheet::evaluation::display;
///
/// // 36/12 · 34/13 = 102/13: arithmetic, no source.
/// let design = link::read("#pw1;gears.stages=36:12,34:13").expect("a link of ours").design;
/// assert_eq!(display::field_text(&Eval::new(&design), gears::RATIO.index()), "7.846154");
/// ```
#[must_use]
pub fn superseded_by(c: &Eval<'_>, index: usize) -> Option<usize> {
    let teeth = index == gears::RATIO.index() && c.design().entry(gears::STAGES.index()).is_some();
    (teeth && c.design().entry(index).is_none()).then(|| gears::RATIO_NOW.index())
}

/// A fraction as `a/b`.
#[must_use]
pub fn exact_text(exact: pulsewright_calc::ratio::Exact) -> String {
    let part = |n: i128| -> String {
        // Beyond 64 bits a fraction is rare; the standard formatter serves it.
        i64::try_from(n).map_or_else(|_| n.to_string(), number::int)
    };
    [part(*exact.numer()), part(*exact.denom())].join("/")
}

/// The register's tolerance of input `index`, as text, where it has a value and none was typed with it.
#[must_use]
pub fn untyped(c: &Eval<'_>, index: usize) -> Option<String> {
    let typed = c
        .design()
        .entry(index)
        .is_some_and(|e| e.tolerance.is_some());
    match register::inputs().get(index)?.default_tolerance {
        register::DefaultTolerance::Within(text) if !typed && c.answer(index).found.is_ok() => {
            Some(c.notation.mark(spaced_quantity(text, &pretty)))
        }
        _ => None,
    }
}
