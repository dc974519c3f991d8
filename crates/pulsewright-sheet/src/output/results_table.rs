//! Every figure of a design as CSV.

use crate::design::State;
use crate::evaluation::Eval;
use crate::evaluation::display;
use crate::output::report;
use crate::output::verdict;
use crate::register::{self, COUNT, Form, INPUT_COUNT};
use crate::text::csv::cell;
use crate::text::number;

/// Every input that is in use and every result as a table with a heading, `,` between the cells and
/// a decimal point, whatever the place: numbers in SI, temperatures in °C. What is known exactly stands in the last
/// column as a fraction of whole numbers, `19380/13`. First comes the verdict with what fails and what to beware of, a
/// row each.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::output::results_table;
///
/// let design = link::read("#pw1;gears.stages=35:12,37:13")?.design;
/// let table = results_table::results(&Eval::new(&design));
/// assert!(table.starts_with("id,label,value,unit,display,basis,assumed,exact\r\n"));
/// assert!(table.contains(",1295/156\r\n"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn results(c: &Eval<'_>) -> String {
    let mut out = String::from("id,label,value,unit,display,basis,assumed,exact\r\n");
    for line in verdict::lines(c) {
        let cells = ["verdict", "Verdict", "", "", &line, "judged", "", ""];
        out.push_str(&cells.map(cell).join(","));
        out.push_str("\r\n");
    }
    for index in 0..COUNT {
        let answer = c.answer(index);
        let input = register::inputs().get(index);
        // What a person wrote in words is no figure.
        if input.is_some_and(|i| matches!(i.form, Form::Text) || c.left_out(index)) {
            continue;
        }
        let listed = matches!(
            input.map(|i| i.form),
            Some(Form::Stages | Form::Shares | Form::Choice(_))
        );
        let (value, unit) = match answer.found {
            Ok(value) if !listed => (
                number::text(answer.measure.reported(value), 15),
                answer.measure.si_name(),
            ),
            _ => (String::new(), ""),
        };
        let basis = match (index < INPUT_COUNT, c.design().state(index), answer.found) {
            (true, State::Refused { .. }, _) => "refused".into(),
            (_, _, Err(absent)) => ["absent: ", absent.code.word()].concat(),
            (true, State::Assumed, _) => "typical value".into(),
            (true, ..) if c.design().wish(index).is_some() => "wished".into(),
            (true, ..) => "entered".into(),
            (false, ..) => "computed".into(),
        };
        let assumed = report::assumed(c, answer.depends_on);
        let exact = match answer.found {
            Ok(_) if !listed => answer.exact.map(display::exact_text).unwrap_or_default(),
            _ => String::new(),
        };
        let cells = [
            register::id(index),
            register::label(index),
            &value,
            unit,
            &display::display(c, index, 6),
            &basis,
            &assumed.join(" "),
            &exact,
        ];
        out.push_str(&cells.map(cell).join(","));
        out.push_str("\r\n");
    }
    out
}
