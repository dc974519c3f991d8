//! Numbers in running text: how a document shows one, and whether a written one still holds.

use crate::evaluation::Eval;
use crate::evaluation::display;
use crate::register;
use crate::text::number::{self, DecimalMark, NumberError};
use crate::text::unit::{self, pretty, with_unit};

/// What a document asks to be shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Quotation<'a> {
    /// Id of an input or a result.
    pub of: &'a str,
    /// In this unit; empty for the one that suits its size.
    pub unit: &'a str,
    /// Significant digits; 0 for as many as the card shows.
    pub digits: i32,
}

/// Significant digits where none are asked for: as on the card.
const DIGITS: i32 = 4;

/// The text that a document shows.
///
/// # Errors
/// In words: an id or a unit that is none, or why the result is absent.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::output::quoted::{Quotation, text};
/// let mut design = Design::default();
/// design.enter_id("gears.stages", "35:12,37:13");
/// let c = Eval::new(&design);
/// let ratio = Quotation { of: "gears.exact_ratio", digits: 3, ..Quotation::default() };
/// assert_eq!(text(&c, &ratio).unwrap(), "8.301282");
/// let time = Quotation { of: "loop.sample_time", unit: "us", digits: 3 };
/// assert_eq!(text(&c, &time).unwrap(), "1000 µs");
/// assert!(text(&c, &Quotation { of: "gears.colour", ..time }).is_err());
/// ```
pub fn text(c: &Eval<'_>, asked: &Quotation<'_>) -> Result<String, String> {
    let index = index(asked)?;
    let answer = c.answer(index);
    let raw = answer.found.map_err(|absent| absent.message())?;
    let digits = if asked.digits == 0 {
        DIGITS
    } else {
        asked.digits.clamp(1, 15)
    };
    if asked.unit.is_empty() {
        return Ok(display::display(c, index, digits));
    }
    let found = unit::unit(asked.unit, answer.measure).map_err(|_| {
        let usual: Vec<String> = answer.measure.usual().iter().map(|u| pretty(u)).collect();
        [
            "“",
            asked.unit,
            "” is no unit of it; use ",
            &usual.join(", "),
        ]
        .concat()
    })?;
    let number = number::text(found.from_si(raw), digits);
    Ok(with_unit(&number, &pretty(&found.text)))
}

fn index(asked: &Quotation<'_>) -> Result<usize, String> {
    register::find(asked.of).ok_or_else(|| ["“", asked.of, "” is no input and no result"].concat())
}

/// Whether what is `written` still says what is computed: the same text, or a number that the
/// computed one becomes when it is rounded to the decimals that are written.
#[must_use]
pub fn agrees(c: &Eval<'_>, asked: &Quotation<'_>, written: &str) -> bool {
    let Ok(computed) = text(c, asked) else {
        return false;
    };
    let written = folded(written);
    if written == folded(&computed) || written == folded(&with_comma(&computed)) {
        return true;
    }
    let Ok(index) = index(asked) else {
        return false;
    };
    let answer = c.answer(index);
    let Ok(raw) = answer.found else { return false };
    let reads = |number: &str, rest: &str| {
        if rest.is_empty() && !matches!(answer.measure.si_name(), "" | "1") {
            return false;
        }
        let Ok(unit) = unit::unit(rest, answer.measure) else {
            return false;
        };
        let decimals = match (number.contains(['e', 'E']), number.split_once('.')) {
            (true, _) => return false,
            (false, Some((_, behind))) => u32::try_from(behind.len()).unwrap_or(0),
            (false, None) => 0,
        };
        let rounded = number::fixed(unit.from_si(raw), decimals.min(12));
        match (rounded.parse::<f64>(), number.parse::<f64>()) {
            // A number too small for the decimals written is not said by a nought.
            (Ok(a), Ok(b)) => a == b && (b != 0.0 || raw == 0.0),
            _ => false,
        }
    };
    match number::split(&written, DecimalMark::Typed) {
        Ok((number, rest)) => reads(&number.text, rest),
        // A mark before three digits: either reading may be meant.
        Err(NumberError::Thousands {
            typed,
            decimal,
            grouped,
        }) => {
            let rest = written.get(typed.len()..).unwrap_or("").trim();
            written.starts_with(&typed) && (reads(&decimal, rest) || reads(&grouped, rest))
        }
        Err(_) => false,
    }
}

/// `text` with a comma where a point stands between digits.
///
/// # Example
/// ```
/// assert_eq!(pulsewright_sheet::output::quoted::with_comma("4.6 N·m"), "4,6 N·m");
/// assert_eq!(pulsewright_sheet::output::quoted::with_comma("12 g.cm2"), "12 g.cm2");
/// ```
#[must_use]
pub fn with_comma(text: &str) -> String {
    let bytes = text.as_bytes();
    let digit = |at: Option<usize>| {
        at.and_then(|at| bytes.get(at))
            .is_some_and(u8::is_ascii_digit)
    };
    text.char_indices()
        .map(|(at, letter)| {
            if letter == '.' && digit(at.checked_sub(1)) && digit(Some(at + 1)) {
                ','
            } else {
                letter
            }
        })
        .collect()
}

/// One blank for any, a plain sign for any minus.
fn folded(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words
        .join(" ")
        .replace('\u{2212}', "-")
        .replace('\u{3bc}', "µ")
        .replace('\u{2126}', "Ω")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Design;

    fn holds(id: &str, typed: &str, written: &str) -> bool {
        let mut design = Design::default();
        let _ = design.enter_id(id, typed);
        let asked = Quotation {
            of: id,
            ..Quotation::default()
        };
        agrees(&Eval::new(&design), &asked, written)
    }

    /// Rounding half away from zero to the decimals written: arithmetic, no source.
    #[test]
    fn a_rounded_number_holds() {
        for written in [
            "1.2346 N·m",
            "1.23 N·m",
            "1,23 Nm",
            "1.2\u{a0}N·m",
            "123.5 N.cm",
            "1 N·m",
        ] {
            assert!(
                holds("axis.load_torque_given", "1.23456 N.m", written),
                "{written}"
            );
        }
        for written in [
            "1.24 N·m",
            "1.2 V",
            "1.23",
            "",
            "N·m",
            "about 1.23 N·m",
            "0 N·m",
            "2 N·m",
        ] {
            assert!(
                !holds("axis.load_torque_given", "1.23456 N.m", written),
                "{written}"
            );
        }
    }

    #[test]
    fn either_reading_of_a_thousands_mark_holds() {
        assert!(holds("axis.load_torque_given", "1.6 N.m", "1,600 N·m"));
        assert!(holds("axis.load_torque_given", "1.6 N.m", "1,600 mN·m"));
        assert!(holds("axis.load_torque_given", "1.6 N.m", "1600 mN·m"));
        assert!(!holds("axis.load_torque_given", "1.6 N.m", "1,601 mN·m"));
    }

    #[test]
    fn a_nought_does_not_stand_for_something_small() {
        assert!(!holds("axis.load_torque_given", "0.1 mN.m", "0 N·m"));
        assert!(!holds("axis.load_torque_given", "0.1 mN.m", "0.00 N·m"));
    }

    #[test]
    fn words_and_choices_hold_as_written() {
        assert!(holds("axis.kind", "turntable", "turntable"));
        assert!(!holds("axis.kind", "turntable", "arm"));
        assert!(holds("axis.ambient_temperature", "22 degC", "22 °C"));
        assert!(holds("axis.ambient_temperature", "22 degC", "71.6 °F"));
        assert!(holds("gears.efficiency", "0.3", "30%"));
    }
}
