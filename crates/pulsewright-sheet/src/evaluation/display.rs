//! Values of an evaluation as people read them.

use super::{Absent, Code, Eval};
use crate::design::entry::{Entry, Tolerance};
use crate::design::{State, entry_text};
use crate::register::{self, Form, Kind, Travel, axis, encoder, gears, steps};
use crate::text::measure::Measure;
use crate::text::number::{self, DecimalMark};
use crate::text::unit::{self, pretty, spaced_quantity};

/// Value and unit of an input or a result for people, to `digits` significant digits; for an absent
/// one, why.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::{Eval, display};
/// use pulsewright_sheet::register;
///
/// let design = link::read("#pw1;gears.ratio=380")?.design;
/// let counts = register::find("encoder.counts_per_output_turn").ok_or("no such id")?;
/// assert_eq!(display::display(&Eval::new(&design), counts, 6), "4560");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn display(c: &Eval<'_>, index: usize, digits: i32) -> String {
    let answer = c.answer(index);
    let value = match answer.found {
        Ok(value) => value,
        Err(absent) => return absence(c, index, absent),
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
    let (measure, value) = as_asked(c, index, measure, value);
    let said = c.notation.said(measure, value, digits);
    // A third in another unit than it was entered in is not known better for its many digits.
    let quantity = register::inputs()
        .get(index)
        .is_some_and(|input| matches!(input.form, Form::Quantity(_)));
    if quantity && said.bytes().filter(u8::is_ascii_digit).count() > 6 {
        return c.notation.said(measure, value, 4);
    }
    said
}

/// What a value of the load's travel under `index` is shown as: an arc of arm or turntable as an angle of the axis, where
/// the position tolerance is an angle; everything else as it is.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::{Eval, display};
/// use pulsewright_sheet::register;
///
/// // 1200 counts in a turn: one is 0.3°, on 100 mm 0.524 mm. Arithmetic, no source.
/// let counts = "#pw1;axis.radius=100mm;gears.ratio=100;axis.position_tolerance=";
/// let count = register::find("encoder.arc_per_count").ok_or("no such id")?;
/// for (tolerance, said) in [("1deg", "0.3°"), ("2mm", "0.524 mm")] {
///     let design = link::read(&[counts, tolerance].concat())?.design;
///     assert_eq!(display::display(&Eval::new(&design), count, 3), said);
/// }
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn as_asked(c: &Eval<'_>, index: usize, measure: Measure, value: f64) -> (Measure, f64) {
    let of_the_load = register::result(index).is_some_and(|result| {
        result.measure == Measure::Angle
            || [
                encoder::ARC_PER_COUNT.index(),
                steps::TRAVEL_PER_STEP.index(),
            ]
            .contains(&index)
    });
    if !of_the_load {
        return (measure, value);
    }
    let (measure, factor) = travel_as_asked(c, measure);
    (measure, value * factor)
}

/// What travels of the load that are lengths or angles are shown in, and by what they are multiplied for it.
#[must_use]
pub fn travel_as_asked(c: &Eval<'_>, measure: Measure) -> (Measure, f64) {
    let kept = (measure, 1.0);
    if measure != Measure::Length
        || !matches!(c.get(axis::KIND), Ok(Kind::Arm | Kind::Turntable))
        || !matches!(c.travel(axis::POSITION_TOLERANCE), Ok(Travel::Angle(_)))
    {
        return kept;
    }
    match c.get(axis::TURN_TRAVEL) {
        Ok(turn) if turn.value > 0.0 => (Measure::Angle, core::f64::consts::TAU / turn.value),
        _ => kept,
    }
}

/// Why what is under `index` is not there, for people.
#[must_use]
pub fn absence(c: &Eval<'_>, index: usize, absent: Absent) -> String {
    match absent.code {
        Code::Above => c.in_words(index).unwrap_or_else(|| {
            let limit = usize::from(absent.about);
            ["above ", &display(c, limit, 3)].concat()
        }),
        _ => absent.message(),
    }
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
        // The unit that a bare number would take: listings give currents of this size in ampere.
        None => match c.raw(index) {
            Ok(amperes) if c.answer(index).measure == Measure::Current && amperes >= 0.25 => {
                [&c.notation.number(amperes, 3), " A"].concat()
            }
            _ => display(c, index, 4),
        },
    }
}

/// The unit of the field of input `index`, as people read it: that of what stands in it, else the usual one. A bare
/// number that is typed there takes it.
///
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::{Eval, display};
/// use pulsewright_sheet::register::{axis, motor, stepper};
///
/// let design = Design::default();
/// let c = Eval::new(&design);
/// assert_eq!(display::field_unit(&c, motor::NO_LOAD_SPEED.index()), "r/min");
/// assert_eq!(display::field_unit(&c, stepper::HOLDING_TORQUE.index()), "N·m");
/// assert_eq!(display::field_unit(&c, axis::KIND.index()), "");
/// ```
#[must_use]
pub fn field_unit(c: &Eval<'_>, index: usize) -> String {
    let Some(input) = register::inputs().get(index) else {
        return String::new();
    };
    let measure = match input.form {
        Form::Quantity(measure) => measure,
        Form::Travel => {
            let turns = !c.get(axis::KIND).is_ok_and(Kind::is_linear);
            if turns {
                Measure::Angle
            } else {
                Measure::Length
            }
        }
        _ => return String::new(),
    };
    let shown = match c.design().state(index) {
        State::Refused { .. } => String::new(),
        _ => field_text(c, index),
    };
    let shown = shown.split('±').next().unwrap_or("").trim();
    // What stands in a field has its own decimal mark, and no thousands.
    let shown = shown.replace(',', ".");
    if let Ok((_, rest)) = number::split(&shown, DecimalMark::Stored)
        && !rest.is_empty()
    {
        return rest.into();
    }
    let bare = measure
        .usual()
        .first()
        .map_or(String::new(), |unit| pretty(unit));
    match measure {
        Measure::Ratio | Measure::Share | Measure::Count | Measure::Gauge => String::new(),
        // A bare number out of a link is SI.
        _ if !shown.is_empty() => pretty(measure.si_name()),
        _ if c.notation.units.differ(measure) => c.notation.scale(measure, 1.0).0.into(),
        _ => bare,
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

/// The tolerance of input `index` where it has a value and none was typed with it, as text.
#[must_use]
pub fn untyped(c: &Eval<'_>, index: usize) -> Option<String> {
    let typed = |entry: &Entry| entry.tolerance.is_some();
    if c.design().entry(index).is_some_and(typed) {
        return None;
    }
    let (text, _) = assumed_tolerance(c, index)?;
    Some(c.notation.mark(spaced_quantity(text, &pretty)))
}

/// The tolerance that is taken where none was typed: the register's. Of a size that is given it is never more than a
/// quarter: an absolute one is meant for what is assumed.
pub(crate) fn assumed_tolerance(c: &Eval<'_>, index: usize) -> Option<(&'static str, Tolerance)> {
    let input = register::inputs().get(index)?;
    let value = c.answer(index).found.ok()?;
    let register::DefaultTolerance::Within(text) = input.default_tolerance else {
        return None;
    };
    let tolerance = tolerance(input, text)?;
    // An angle from level or a temperature has no natural nought.
    let size = !input.low.starts_with('-');
    Some(match tolerance {
        Tolerance::Absolute(wide)
            if size && c.design().entry(index).is_some() && wide > MOST * value.abs() =>
        {
            ("25 %", Tolerance::Relative(MOST))
        }
        _ => (text, tolerance),
    })
}

/// Greatest share of a given value that is assumed to be its tolerance in place of an absolute one.
const MOST: f64 = 0.25;

/// A register's tolerance text.
fn tolerance(input: &register::Input, text: &str) -> Option<Tolerance> {
    if let Some(share) = text.trim().strip_suffix('%')
        && input.form != Form::Quantity(Measure::Share)
    {
        return number::split(share, DecimalMark::Stored)
            .ok()
            .map(|(n, _)| Tolerance::Relative(n.value / 100.0));
    }
    let (number, rest) = number::split(text, DecimalMark::Stored).ok()?;
    if matches!(rest, "%") {
        return Some(Tolerance::Relative(number.value / 100.0));
    }
    let measure = match input.form {
        Form::Quantity(Measure::Temperature) => Measure::TemperatureRise,
        Form::Quantity(measure) => measure,
        _ => return None,
    };
    let unit = unit::unit(rest, measure).ok()?;
    Some(Tolerance::Absolute(unit.difference(number.value)))
}
