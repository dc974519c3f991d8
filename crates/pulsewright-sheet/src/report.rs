//! The report of a design: every result, check and finding, for people and as JSON.

use serde_json::{Map, Value, json};

use crate::check::{self, Held, Status};
use crate::design::{Design, State};
use crate::entry::Value as Entered;
use crate::eval::Eval;
use crate::finding;
use crate::num;
use crate::register::{self, COUNT, Form, INPUT_COUNT, gears};
use crate::unit::Measure;

/// Standing line, on screen, print and command line.
pub const STANDING: &str = "A calculation, not an approval. Not for lifting or carrying people, medical use, or any function that safety rests on. Local codes and licensed practice come first; where they and this sheet differ, they are right.";

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
    if let Some(words) = register::result(index).and_then(|r| r.words)
        && let Some(text) = words(c)
    {
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
                    return num::int(i64::try_from(*exact.numer()).unwrap_or(i64::MAX));
                }
            }
            _ => {}
        }
    }
    // A fraction is known to every digit: show enough of them to tell it from a round label.
    let digits = if answer.exact.is_some() && !c.manner.units.differ(measure) {
        digits.max(7)
    } else {
        digits
    };
    c.manner.said(measure, value, digits)
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
    let marked = |text: String| if number { c.manner.mark(text) } else { text };
    match c.design().state(index) {
        State::Assumed => {
            if let Some(result) = in_place_of(c, index) {
                return display(c, result, 6);
            }
        }
        State::Given(_) => return marked(crate::card::readable(c.design(), index)),
        State::Refused { .. } => return c.design().text(index).into(),
    }
    let other = matches!(form, Some(Form::Quantity(measure)) if c.manner.units.differ(measure));
    match c.stand_in(index) {
        Some(_) if other && c.answer(index).found.is_ok() => display(c, index, 3),
        Some(entry) => marked(crate::card::entry_text(index, entry)),
        None if c.left_out(index) || c.answer(index).found.is_err() => String::new(),
        None => display(c, index, 4),
    }
}

/// The result that takes the place of an input that is not given: the ratio of the teeth, where those are.
///
/// ```
/// use pulsewright_sheet::{eval::Eval, link, register::gears, report};
///
/// // 36/12 · 34/13 = 102/13: arithmetic, no source.
/// let design = link::read("#pw1;gears.stages=36:12,34:13").expect("a link of ours").design;
/// assert_eq!(report::field_text(&Eval::new(&design), gears::RATIO.index()), "7.846154");
/// ```
#[must_use]
pub fn in_place_of(c: &Eval<'_>, index: usize) -> Option<usize> {
    let teeth = index == gears::RATIO.index() && c.design().entry(gears::STAGES.index()).is_some();
    (teeth && c.design().entry(index).is_none()).then(|| gears::RATIO_NOW.index())
}

/// Ids of the assumed inputs that a result or a check rests on, sorted.
#[must_use]
pub fn assumed(c: &Eval<'_>, rests_on: crate::eval::Inputs) -> Vec<&'static str> {
    let mut ids: Vec<&'static str> = Vec::new();
    // The lists are short; the library's sort would be 3 kB of the page.
    for id in c.assumed(rests_on).iter().map(register::id) {
        let at = ids.iter().position(|known| *known > id);
        ids.insert(at.unwrap_or(ids.len()), id);
    }
    ids
}

/// Messages of everything in a design that is refused, by its own text or beside the others.
#[must_use]
pub fn refusals(c: &Eval<'_>) -> Vec<(usize, String)> {
    (0..INPUT_COUNT)
        .filter_map(|index| {
            let own = match c.design().state(index) {
                State::Refused { refusal, .. } => Some(refusal.message()),
                State::Given(_) => c.conflict(index).or_else(|| misplaced(c, index)),
                State::Assumed => None,
            };
            own.map(|message| (index, message))
        })
        .collect()
}

/// A travel that was entered as an angle on a linear axis, or as a length where there is no radius.
fn misplaced(c: &Eval<'_>, index: usize) -> Option<String> {
    let entry = c.design().entry(index)?;
    let kind = c.get(register::axis::KIND).ok()?;
    match entry.value {
        Entered::Angle(_) if kind.is_linear() => {
            Some("an angle, but this kind of axis moves along a line: say mm or in".into())
        }
        Entered::Length(_) if kind == register::axis::Kind::Torque => Some(
            "a length, but a shaft with a torque given has no radius: say °, rad or turn".into(),
        ),
        _ => None,
    }
}

/// The report as JSON, in the form that the documentation fixes; the landing is simulated for it.
#[must_use]
pub fn json(design: &Design) -> Value {
    let c = Eval::new(design).simulating();
    let mut quantities = Map::new();
    let mut absent = Map::new();
    for index in INPUT_COUNT..COUNT {
        let answer = c.answer(index);
        let id = register::id(index);
        match answer.found {
            Ok(value) => {
                let measure = answer.measure;
                let mut entry = json!({
                    "value": measure.reported(value),
                    "unit": measure.si_name(),
                    "label": register::label(index),
                    "display": display(&c, index, 4),
                    "assumed": assumed(&c, answer.rests_on),
                });
                if let (Some(exact), Some(map)) = (answer.exact, entry.as_object_mut()) {
                    let _ = map.insert("exact".into(), exact_text(exact).into());
                }
                let _ = quantities.insert(id.into(), entry);
            }
            Err(why) => {
                let _ = absent.insert(
                    id.into(),
                    json!({"code": why.code.word(), "message": why.message()}),
                );
            }
        }
    }
    let held = check::all(&c);
    let checks: Vec<Value> = held.iter().map(|h| check_json(&c, h)).collect();
    let verdict = check::worst(&held).map_or(
        json!({"status": Status::Unknown.word(), "check": null}),
        |worst| json!({"status": worst.status().word(), "check": worst.check.id}),
    );
    let findings: Vec<Value> = finding::all(&c)
        .iter()
        .map(|said| {
            let numbers: Map<String, Value> = said
                .numbers(&c)
                .into_iter()
                .map(|(id, v)| (id.into(), v.into()))
                .collect();
            json!({
                "id": said.finding.id,
                "severity": said.severity.word(),
                "message": said.message(&c),
                "numbers": numbers,
            })
        })
        .collect();
    json!({
        "made_by": made_by(),
        "route_card": crate::card::FORMAT,
        "verdict": verdict,
        "quantities": quantities,
        "absent": absent,
        "checks": checks,
        "findings": findings,
    })
}

/// Name and version of what made a report.
#[must_use]
pub fn made_by() -> &'static str {
    concat!("pulsewright ", env!("CARGO_PKG_VERSION"))
}

/// A fraction as `a/b`.
#[must_use]
pub fn exact_text(exact: pulsewright_calc::ratio::Exact) -> String {
    let part = |n: i128| -> String {
        // Beyond 64 bits a fraction is rare; the standard formatter serves it.
        i64::try_from(n).map_or_else(|_| n.to_string(), num::int)
    };
    [part(*exact.numer()), part(*exact.denom())].join("/")
}

fn check_json(c: &Eval<'_>, held: &Held) -> Value {
    let measure = held.measure();
    let (capability, need, case) = match held.room {
        Ok(room) => (
            Value::from(room.capability),
            Value::from(room.need),
            room.case.map_or(Value::Null, |case| case.word().into()),
        ),
        Err(_) => (Value::Null, Value::Null, Value::Null),
    };
    let mut entry = json!({
        "id": held.check.id,
        "label": held.check.label,
        "capability": capability,
        "need": need,
        "unit": if measure == Measure::Temperature { "K" } else { measure.si_name() },
        "margin": held.margin(),
        "status": held.status().word(),
        "assumed": assumed(c, held.rests_on),
    });
    if let Some(map) = entry.as_object_mut() {
        if !case.is_null() {
            let _ = map.insert("case".into(), case);
        }
        if let Err(absent) = held.room {
            let _ = map.insert("message".into(), absent.message().into());
        }
    }
    entry
}
