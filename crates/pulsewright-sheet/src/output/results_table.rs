//! Every figure of a design as CSV.

use crate::design::State;
use crate::evaluation::Eval;
use crate::evaluation::display;
use crate::output::report;
use crate::register::{self, COUNT, Form, INPUT_COUNT};
use crate::text::csv::cell;
use crate::text::number;

/// Every input that is in use and every result as a table with a heading, `,` between the cells and
/// a decimal point, whatever the place: numbers in SI, temperatures in °C.
#[must_use]
pub fn results(c: &Eval<'_>) -> String {
    let mut out = String::from("id,label,value,unit,display,basis,assumed\r\n");
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
            (true, State::Assumed, _) => "assumed".into(),
            (true, ..) => "given".into(),
            (false, ..) => "computed".into(),
        };
        let assumed = report::assumed(c, answer.depends_on);
        let cells = [
            register::id(index),
            register::label(index),
            &value,
            unit,
            &display::display(c, index, 6),
            &basis,
            &assumed.join(" "),
        ];
        out.push_str(&cells.map(cell).join(","));
        out.push_str("\r\n");
    }
    out
}
