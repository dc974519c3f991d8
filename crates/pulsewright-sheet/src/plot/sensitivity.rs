//! What matters most: what the tolerance of each figure does to the least room.

use super::{Axis, Bar, Plot, Span};
use crate::analysis::tolerance;
use crate::evaluation::Margin;
use crate::evaluation::check;
use crate::evaluation::{Absent, Eval};
use crate::register;
use crate::text::label::in_sentence;
use crate::text::measure::Measure;

/// How many figures are listed.
const MOST: usize = 6;

pub(super) fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    let held = check::all(c);
    let ranked = check::ranked(held.iter().filter(|h| h.ratio().is_some()));
    let worst = ranked
        .first()
        .ok_or(Absent::not_asked("no check has a margin yet"))?;
    let margin = worst.ratio().unwrap_or(0.0);
    let effects = tolerance::sensitivity(c, worst.check);
    let largest = effects.first().ok_or(Absent::not_asked(
        "the check that decides depends on no value with a tolerance",
    ))?;
    // What changes nothing that anybody would see is not listed.
    let seen = |e: &&tolerance::Effect| e.lost || e.size() > 0.02 * largest.size();
    let mut bars = Vec::new();
    for effect in effects.iter().filter(seen).take(MOST) {
        let measure = match register::measure(effect.input) {
            Measure::Temperature => Measure::TemperatureRise,
            measure => measure,
        };
        let value = c.raw(effect.input).unwrap_or(0.0);
        let label = [
            c.label(effect.input),
            ", ",
            &c.notation.said(register::measure(effect.input), value, 3),
            " ± ",
            &c.notation
                .said(measure, tolerance::of(c, effect.input).unwrap_or(0.0), 2),
            if c.is_typical(effect.input) {
                ", typical value"
            } else {
                ""
            },
        ];
        let ends = if effect.lost {
            "at one end of that range it is not known.".into()
        } else {
            let (low, high) = (
                (margin + effect.below.min(effect.above).min(0.0)).max(0.0),
                margin + effect.below.max(effect.above).max(0.0),
            );
            let digits = if effect.size() < 0.02 * margin { 4 } else { 3 };
            [
                "margin ×",
                &c.notation.number(low, digits),
                " to ×",
                &c.notation.number(high, digits),
                ".",
            ]
            .concat()
        };
        let lead = if bars.is_empty() {
            "Measure this first: "
        } else {
            "Measuring it leaves "
        };
        bars.push(Bar {
            label: label.concat(),
            length: effect.size(),
            sentence: [lead, &ends].concat(),
        });
    }
    let status = |margin: f64| Margin::of(margin, 1.0).status();
    let turns = largest.lost
        || [largest.below, largest.above]
            .iter()
            .any(|by| status(margin + by) != status(margin));
    let finding = [
        "The check that decides is “",
        worst.check.label,
        "”, ×",
        &c.notation.number(margin, 3),
        ". What moves it most is the ",
        &in_sentence(c.label(largest.input)),
        ", by up to ",
        &c.notation.number(largest.size(), 2),
        if turns {
            ": enough to change the status."
        } else {
            ": too little to change the status."
        },
    ]
    .concat();
    Ok(Plot::drawn(
        finding,
        Axis::new(
            "change of the margin over the value's tolerance",
            Measure::Ratio,
            Span::FromZero,
        ),
        Vec::new(),
        bars,
    ))
}
