//! One result: its number, what it means, and its working.

use leptos::prelude::*;
use pulsewright_sheet::analysis::tolerance;
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::register;
use pulsewright_sheet::register::formula;
use pulsewright_sheet::text::measure::Measure;
use pulsewright_sheet::text::number;

use crate::dom::{El, batched, button, el, memo};
use crate::state::page_state::PageState;

/// What a working says, all of it as text and drawn formulas.
struct Shown {
    symbols: String,
    numbers: String,
    words: bool,
    with: String,
    rests: String,
}

fn shown(page: PageState, index: usize) -> Option<Shown> {
    page.read(|w| {
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
            .map(|&i| [register::label(i), " ", &display::display(c, i, 4)].concat())
            .collect();
        let exact = answer
            .exact
            .filter(|exact| *exact.denom() != 1)
            .map(|exact| ["exactly ", &display::exact_text(exact)].concat());
        let assumed: Vec<&str> = c
            .assumed(answer.depends_on)
            .iter()
            .map(register::label)
            .collect();
        Some(Shown {
            symbols: c.notation.mark(made.symbols),
            numbers: c.notation.mark(made.numbers),
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
fn working(page: PageState, index: usize) -> Vec<El> {
    let source = register::result(index).map_or("", |r| r.source);
    let part = move |pick: fn(&Shown) -> String| {
        move || shown(page, index).map_or(String::new(), |s| pick(&s))
    };
    vec![
        el("div").class("math").html_fn(part(|s| {
            if s.words {
                ["<p>", &s.symbols, "</p>"].concat()
            } else {
                s.symbols.clone()
            }
        })),
        el("div").class("math").html_fn(part(|s| s.numbers.clone())),
        el("p").text_fn(part(|s| s.with.clone())),
        el("p").text_fn(part(|s| s.rests.clone())),
        el("p").text_fn(move || likely(page, index)),
        el("p").text(&["Source: ", source, "."].concat()),
    ]
}

/// Where a result lies within the tolerances, and which of them matter most: worked out once nobody
/// types.
fn likely(page: PageState, index: usize) -> String {
    let costly = register::result(index).is_some_and(|r| r.costly);
    if costly || !page.remedies.rested.get() {
        return String::new();
    }
    page.read(|w| {
        let c = &w.eval;
        let Some(range) = tolerance::range(c, index) else {
            return "Nothing that it rests on has a tolerance.".into();
        };
        let measure = c.answer(index).measure;
        let difference = |value: f64| match measure {
            Measure::Temperature => c.notation.said(Measure::TemperatureRise, value, 2),
            _ => c.notation.said(measure, value, 2),
        };
        let most: Vec<String> = range
            .effects
            .iter()
            .take(3)
            .map(|e| [register::label(e.input), " by ", &difference(e.size())].concat())
            .collect();
        [
            "Likely ",
            &c.notation.between(measure, range.low, range.high, 3),
            " (tolerances as root of the sum of squares). What matters most, each within its tolerance: ",
            &most.join(", "),
            ".",
        ]
        .concat()
    })
}

/// A result's row.
pub fn result(page: PageState, index: usize) -> El {
    batched(move || made(page, index))
}

fn made(page: PageState, index: usize) -> El {
    let Some(outcome) = register::result(index) else {
        return el("div");
    };
    let open = RwSignal::new(false);
    let there = move || page.read(|w| w.eval.answer(index).found.is_ok());
    let not_asked = move || {
        page.read(|w| {
            w.eval.answer(index).found.is_err_and(|a| {
                let waits = a == pulsewright_sheet::evaluation::simulated::NOT_RUN;
                a.code == pulsewright_sheet::evaluation::Code::Missing
                    && !a.why.is_empty()
                    && !waits
            })
        })
    };
    let assumed = move || {
        page.read(|w| {
            let count = w.assumed_in(w.eval.answer(index).depends_on);
            if count == 0 {
                String::new()
            } else {
                [" (", &number::int(count as i64), " assumed)"].concat()
            }
        })
    };
    el("div")
        .class_fn(move || if there() { "result" } else { "result absent" }.into())
        .attr("id", &["r-", &outcome.id.replace('.', "-")].concat())
        .flag("hidden", not_asked)
        .child(
            el("p")
                .class("reading")
                .child(el("span").class("name").text(outcome.label))
                .text(" ")
                .child(
                    el("strong")
                        .text_fn(move || page.read(|w| display::display(&w.eval, index, 4))),
                )
                .text(" ")
                .child(el("span").class("meaning").text(outcome.meaning))
                .text(" ")
                .child(
                    button("quiet", move || open.update(|o| *o = !*o))
                        .flag("hidden", move || !there())
                        .expanded(move || open.get())
                        .text("working")
                        .child(el("span").class("unseen").text(" of ").text(outcome.label))
                        .text_fn(assumed),
                ),
        )
        .child(
            el("div")
                .class("working")
                // A long formula scrolls in its own box, by keyboard too.
                .attr("tabindex", "0")
                .attr("role", "group")
                .attr("aria-label", &["Working: ", outcome.label].concat())
                .flag("hidden", move || !there())
                .show_when(memo(move || open.get()), move || {
                    batched(|| working(page, index))
                }),
        )
}
