//! Holds the sheet to printed numbers: a design goes in as texts, results come out, and each must
//! be the number that its source prints.

// A check that fails stops with what it found.
#![allow(clippy::panic, clippy::expect_used)]

use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::{Code, Eval};
use pulsewright_sheet::register;
use pulsewright_sheet::text::number::DecimalMark;
use pulsewright_test_support::agrees;

/// A published case: what it gives and what it prints.
#[derive(Clone, Copy, Debug)]
pub struct Case {
    /// Author, title, example and page; or whence the numbers are.
    pub source: &'static str,
    /// Inputs by id, as texts.
    pub design: &'static [(&'static str, &'static str)],
    /// Results by id, the printed unit in SI units, and the number as printed: it is held to its
    /// own digits.
    pub printed: &'static [(&'static str, f64, &'static str)],
}

/// The design of these texts.
///
/// # Panics
/// When an input is not known or refuses its text.
#[must_use]
pub fn design(entries: &[(&str, &str)]) -> Design {
    let mut design = Design::default();
    for (id, text) in entries {
        let index = register::find_input(id).expect(id);
        design.enter(index, text, DecimalMark::Stored);
        assert!(design.entry(index).is_some(), "{id} refuses {text}");
    }
    design
}

/// A result, or an input, in SI units and °C.
///
/// # Errors
/// Why it is absent.
///
/// # Panics
/// When there is no such id.
pub fn result(c: &Eval<'_>, id: &str) -> Result<f64, Code> {
    let index = register::find(id)
        .or_else(|| register::find_input(id))
        .expect(id);
    let answer = c.answer(index);
    answer
        .found
        .map(|value| answer.measure.reported(value))
        .map_err(|absent| absent.code)
}

/// Holds every printed number of every case.
///
/// # Panics
/// When one is not what its source prints.
pub fn hold(cases: &[Case]) {
    hold_with(&[], cases);
}

/// The same for cases that share inputs; a case may overrule them.
///
/// # Panics
/// When one is not what its source prints.
pub fn hold_with(shared: &[(&str, &str)], cases: &[Case]) {
    let mut wrong = Vec::new();
    for case in cases {
        let design = design(&[shared, case.design].concat());
        let c = Eval::new(&design);
        for (id, unit, printed) in case.printed {
            let value = result(&c, id).map(|value| value / unit);
            if !value.is_ok_and(|value| agrees(value, printed)) {
                wrong.push(format!(
                    "{id}: {value:?} is not {printed} ({})",
                    case.source
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// 10⁻³.
pub const MILLI: f64 = 1e-3;
/// 10⁻⁶.
pub const MICRO: f64 = 1e-6;
/// A degree in radians.
pub const DEGREE: f64 = core::f64::consts::PI / 180.0;
/// A turn in radians.
pub const TURN: f64 = core::f64::consts::TAU;
/// A revolution per minute in radians per second.
pub const RPM: f64 = core::f64::consts::PI / 30.0;
/// A pound-force inch in newton metres (NIST SP 811, App. B.8).
pub const POUND_INCH: f64 = 0.112_984_8;
