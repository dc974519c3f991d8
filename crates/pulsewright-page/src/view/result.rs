//! One result: its number, what it means, and its working.

use leptos::prelude::*;
use pulsewright_sheet::formula;
use pulsewright_sheet::num;
use pulsewright_sheet::register;
use pulsewright_sheet::report;
use pulsewright_sheet::tolerance;
use pulsewright_sheet::unit::Measure;

use crate::dom::{El, button, el, memo, together};
use crate::state::page_state::Desk;

/// What a working says, all of it as text and drawn formulas.
struct Shown {
    symbols: String,
    numbers: String,
    words: bool,
    with: String,
    rests: String,
}

fn shown(desk: Desk, index: usize) -> Option<Shown> {
    desk.read(|w| {
        let c = &w.eval;
        let answer = c.answer(index);
        let of = |i: usize| {
            let a = c.answer(i);
            a.found.ok().map(|v| a.measure.reported(v))
        };
        let made = formula::working(index, answer.working, &of)?;
        let names: Vec<String> = made
            .ids
            .iter()
            .map(|&i| [register::label(i), " ", &report::display(c, i, 4)].concat())
            .collect();
        let exact = answer
            .exact
            .filter(|exact| *exact.denom() != 1)
            .map(|exact| ["exactly ", &report::exact_text(exact)].concat());
        let assumed: Vec<&str> = c
            .assumed(answer.rests_on)
            .iter()
            .map(register::label)
            .collect();
        Some(Shown {
            symbols: c.manner.mark(made.symbols),
            numbers: c.manner.mark(made.numbers),
            words: made.words,
            with: exact
                .into_iter()
                .chain(names)
                .collect::<Vec<_>>()
                .join(" · "),
            rests: if assumed.is_empty() {
                "It rests on given figures alone.".into()
            } else {
                [
                    "It rests on these assumed figures: ",
                    &assumed.join(", "),
                    ".",
                ]
                .concat()
            },
        })
    })
}

/// The lower half of a result's row, opened on demand: formula, numbers, what it rests on, source.
fn working(desk: Desk, index: usize) -> Vec<El> {
    let source = register::result(index).map_or("", |r| r.source);
    let part = move |pick: fn(&Shown) -> String| {
        move || shown(desk, index).map_or(String::new(), |s| pick(&s))
    };
    vec![
        el("div").class("math").drawn(part(|s| {
            if s.words {
                ["<p>", &s.symbols, "</p>"].concat()
            } else {
                s.symbols.clone()
            }
        })),
        el("div").class("math").drawn(part(|s| s.numbers.clone())),
        el("p").says(part(|s| s.with.clone())),
        el("p").says(part(|s| s.rests.clone())),
        el("p").says(move || likely(desk, index)),
        el("p").text(&["Source: ", source, "."].concat()),
    ]
}

/// Where a result lies within the tolerances, and which of them matter most: worked out once nobody
/// types.
fn likely(desk: Desk, index: usize) -> String {
    let costly = register::result(index).is_some_and(|r| r.costly);
    if costly || !desk.remedies.rested.get() {
        return String::new();
    }
    desk.read(|w| {
        let c = &w.eval;
        let Some(range) = tolerance::range(c.design(), index) else {
            return "Nothing that it rests on has a tolerance.".into();
        };
        let measure = c.answer(index).measure;
        let difference = |value: f64| match measure {
            Measure::Temperature => c.manner.said(Measure::TemperatureRise, value, 2),
            _ => c.manner.said(measure, value, 2),
        };
        let most: Vec<String> = range
            .effects
            .iter()
            .take(3)
            .map(|e| [register::label(e.input), " by ", &difference(e.size())].concat())
            .collect();
        [
            "Likely ",
            &c.manner.between(measure, range.low, range.high, 3),
            " (tolerances as root of the sum of squares). What matters most, each within its tolerance: ",
            &most.join(", "),
            ".",
        ]
        .concat()
    })
}

/// A result's row.
pub fn result(desk: Desk, index: usize) -> El {
    together(move || made(desk, index))
}

fn made(desk: Desk, index: usize) -> El {
    let Some(outcome) = register::result(index) else {
        return el("div");
    };
    let open = RwSignal::new(false);
    let there = move || desk.read(|w| w.eval.answer(index).found.is_ok());
    let not_asked = move || {
        desk.read(|w| {
            w.eval.answer(index).found.is_err_and(|a| {
                let waits = a == pulsewright_sheet::landing::NOT_RUN;
                a.code == pulsewright_sheet::eval::Code::Missing && !a.why.is_empty() && !waits
            })
        })
    };
    let assumed = move || {
        desk.read(|w| {
            let count = w.assumed_in(w.eval.answer(index).rests_on);
            if count == 0 {
                String::new()
            } else {
                [" (", &num::int(count as i64), " assumed)"].concat()
            }
        })
    };
    el("div")
        .class_of(move || if there() { "result" } else { "result absent" }.into())
        .attr("id", &["r-", &outcome.id.replace('.', "-")].concat())
        .flag("hidden", not_asked)
        .add(
            el("p")
                .class("reading")
                .add(el("span").class("name").text(outcome.label))
                .text(" ")
                .add(el("strong").says(move || desk.read(|w| report::display(&w.eval, index, 4))))
                .text(" ")
                .add(el("span").class("meaning").text(outcome.meaning))
                .text(" ")
                .add(
                    button("quiet", move || open.update(|o| *o = !*o))
                        .flag("hidden", move || !there())
                        .expanded(move || open.get())
                        .text("working")
                        .add(el("span").class("unseen").text(" of ").text(outcome.label))
                        .says(assumed),
                ),
        )
        .add(
            el("div")
                .class("working")
                // A long formula scrolls in its own box, by keyboard too.
                .attr("tabindex", "0")
                .attr("role", "group")
                .attr("aria-label", &["Working: ", outcome.label].concat())
                .flag("hidden", move || !there())
                .when(memo(move || open.get()), move || {
                    together(|| working(desk, index))
                }),
        )
}
