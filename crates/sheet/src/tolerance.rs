//! What the tolerance of one input does to the rest.

use crate::check::{self, Held, Status};
use crate::design::Design;
use crate::entry::Tolerance;
use crate::eval::Eval;
use crate::num::{self, Marks};
use crate::register::{self, Form, Sure};
use crate::unit::Measure;

/// The tolerance of input `index` in SI, given or assumed; `None` where it has none.
#[must_use]
pub fn of(c: &Eval<'_>, index: usize) -> Option<f64> {
    let value = c.answer(index).found.ok()?;
    let given = c.design().entry(index).and_then(|e| e.tolerance);
    let tolerance = match (given, register::inputs().get(index)?.sure) {
        (Some(tolerance), _) => tolerance,
        (None, Sure::Within(text)) => read(register::inputs().get(index)?, text)?,
        (None, _) => return None,
    };
    Some(match tolerance {
        Tolerance::Relative(share) => (value * share).abs(),
        Tolerance::Absolute(size) => size,
    })
}

/// A register's tolerance text.
fn read(input: &register::Input, text: &str) -> Option<Tolerance> {
    if let Some(share) = text.trim().strip_suffix('%')
        && input.form != Form::Quantity(Measure::Share)
    {
        return num::split(share, Marks::Stored)
            .ok()
            .map(|(n, _)| Tolerance::Relative(n.value / 100.0));
    }
    let (number, rest) = num::split(text, Marks::Stored).ok()?;
    if matches!(rest, "%") {
        return Some(Tolerance::Relative(number.value / 100.0));
    }
    let measure = match input.form {
        Form::Quantity(Measure::Temperature) => Measure::TemperatureRise,
        Form::Quantity(measure) => measure,
        _ => return None,
    };
    let unit = crate::unit::unit(rest, measure).ok()?;
    Some(Tolerance::Absolute(unit.difference(number.value)))
}

/// `design` with input `index` shifted by `by` in SI.
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
        &[num::text(measure.reported(value), 12).as_str(), " ", unit].concat(),
        Marks::Stored,
    );
    moved.entry(index)?;
    Some(moved)
}

/// Ids of the assumed inputs whose own tolerance alone would change the status of a check.
#[must_use]
pub fn deciding(design: &Design, held: &Held) -> Vec<&'static str> {
    let c = Eval::new(design);
    let mut ids: Vec<&'static str> = c
        .assumed(held.rests_on)
        .iter()
        .filter(|&index| changes(&c, index, held.check, held.status()))
        .map(register::id)
        .collect();
    ids.sort_unstable();
    ids
}

fn changes(c: &Eval<'_>, index: usize, check: &'static check::Check, status: Status) -> bool {
    let (Some(tolerance), Ok(value)) = (of(c, index), c.answer(index).found) else {
        return false;
    };
    [value - tolerance, value + tolerance].iter().any(|&to| {
        shifted(c.design(), index, to).is_some_and(|moved| {
            let moved_c = Eval::new(&moved);
            match (check.room)(&moved_c) {
                Ok(Some(room)) => room.status() != status,
                Ok(None) => false,
                Err(_) => status != Status::Unknown,
            }
        })
    })
}
