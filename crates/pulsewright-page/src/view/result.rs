//! One result: its number, what it means, and its working.

use leptos::prelude::*;
use pulsewright_sheet::analysis::tolerance;
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::register;
use pulsewright_sheet::register::formula;
use pulsewright_sheet::register::{DefaultTolerance, Station};
use pulsewright_sheet::text::measure::Measure;
use pulsewright_sheet::text::number;

use crate::dom::{El, batched, batched_apart, button, el, memo};
use crate::state::evaluated::Evaluated;
use crate::state::page_state::PageState;
use crate::view::figures::tidy;

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
            .map(|&i| [c.label(i), " ", &display::display(c, i, 4)].concat())
            .collect();
        let shown = display::as_asked(c, index, answer.measure, 1.0).0;
        let angle = (shown != answer.measure)
            .then(|| "shown as an angle of the axis, as the position tolerance is".into());
        let exact = answer
            .exact
            .filter(|exact| *exact.denom() != 1)
            .map(|exact| ["exactly ", &display::exact_text(exact)].concat());
        let assumed: Vec<&str> = c
            .assumed(answer.depends_on)
            .iter()
            .map(|i| c.label(i))
            .collect();
        Some(Shown {
            symbols: c.notation.mark(made.symbols),
            numbers: c.notation.mark(made.numbers),
            words: made.words,
            with: exact
                .into_iter()
                .chain(names)
                .chain(angle)
                .collect::<Vec<_>>()
                .join(" · "),
            rests: if assumed.is_empty() {
                "It uses entered values only.".into()
            } else {
                ["It uses these typical values: ", &assumed.join(", "), "."].concat()
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
            return "No value that it uses has a tolerance.".into();
        };
        let measure = c.answer(index).measure;
        let (measure, factor) = display::as_asked(c, index, measure, 1.0);
        let difference = |value: f64| match measure {
            Measure::Temperature => c.notation.said(Measure::TemperatureRise, value, 2),
            _ => c.notation.said(measure, value, 2),
        };
        let most: Vec<String> = range
            .effects
            .iter()
            .take(3)
            .map(|e| [c.label(e.input), " by ", &difference(factor * e.size())].concat())
            .collect();
        [
            "Likely ",
            &c.notation.between(measure, factor * range.low, factor * range.high, 3),
            " (tolerances as root of the sum of squares). What matters most, each within its tolerance: ",
            &most.join(", "),
            ".",
        ]
        .concat()
    })
}

/// To how many digits a result is shown: what its inputs support. Where one of them is not known to a tenth of a
/// per cent, three; a count or a fraction keeps all.
fn digits(w: &Evaluated, index: usize) -> i32 {
    let answer = w.eval.answer(index);
    let vague = answer.depends_on.iter().any(|input| {
        let entry = w.eval.design().entry(input);
        let typed = entry.is_some_and(|entry| entry.tolerance.is_some());
        let default = register::inputs().get(input).map(|i| i.default_tolerance);
        typed || matches!(default, Some(DefaultTolerance::Within(_)))
    });
    if vague { 3 } else { 4 }
}

/// A result with its value as it is shown.
pub fn value(page: PageState, index: usize) -> String {
    tidy(&page.read(|w| display::display(&w.eval, index, digits(w, index))))
}

fn there(page: PageState, index: usize) -> bool {
    page.read(|w| w.eval.answer(index).found.is_ok())
}

/// Whether a result is none of this design's: nothing that it is about is asked.
fn not_asked(page: PageState, index: usize) -> bool {
    page.read(|w| {
        w.eval.answer(index).found.is_err_and(|a| {
            let waits = a == pulsewright_sheet::evaluation::simulated::NOT_RUN;
            a.code == pulsewright_sheet::evaluation::Code::Missing && !a.why.is_empty() && !waits
        })
    })
}

/// How many typical values it uses, in brackets.
fn assumed(page: PageState, index: usize) -> String {
    page.read(|w| match w.assumed_in(w.eval.answer(index).depends_on) {
        0 => String::new(),
        1 => " (1 typical value)".into(),
        n => [" (", &number::int(n as i64), " typical values)"].concat(),
    })
}

fn show_calculation(page: PageState, index: usize, open: RwSignal<bool>) -> El {
    button("quiet calculation", move || open.update(|o| *o = !*o))
        .flag("hidden", move || !there(page, index))
        .expanded(move || open.get())
        .text("show calculation")
        .child(
            el("span")
                .class("unseen")
                .text(" of ")
                .text(register::label(index)),
        )
        .text_fn(move || assumed(page, index))
}

fn calculation(page: PageState, index: usize, open: RwSignal<bool>) -> El {
    el("div")
        .class("working")
        // A long formula scrolls in its own box, by keyboard too.
        .attr("tabindex", "0")
        .attr("role", "group")
        .attr(
            "aria-label",
            &["Calculation: ", register::label(index)].concat(),
        )
        .flag("hidden", move || !open.get() || !there(page, index))
        .show_when(memo(move || open.get()), move || {
            batched(|| working(page, index))
        })
}

/// A deciding result: large, with what it means.
pub fn result(page: PageState, index: usize) -> El {
    built(page, index, made)
}

/// Builds what shows a result. What takes longer than a keystroke may waits for a rest; the figures of a simulated move
/// come from a worker and cost nothing here.
fn built<T>(page: PageState, index: usize, build: fn(PageState, usize) -> T) -> T {
    let costly = register::result(index).is_some_and(|result| result.costly);
    if costly && register::station(index) != Some(Station::Loop) {
        let page = page.at_rest();
        return batched_apart(move || build(page, index));
    }
    batched(move || build(page, index))
}

/// What holds a result: found by its id, and there where the design asks for it.
fn place(tag: &str, page: PageState, index: usize) -> El {
    let class = move || {
        if there(page, index) {
            "result"
        } else {
            "result absent"
        }
        .into()
    };
    el(tag)
        .class_fn(class)
        .attr(
            "id",
            &["r-", &register::id(index).replace('.', "-")].concat(),
        )
        .flag("hidden", move || not_asked(page, index))
}

fn made(page: PageState, index: usize) -> El {
    let Some(outcome) = register::result(index) else {
        return el("div");
    };
    let open = RwSignal::new(false);
    place("div", page, index)
        .child(
            el("p")
                .class("reading")
                .child(el("span").class("name").text(outcome.label))
                .text(" ")
                .child(el("strong").text_fn(move || value(page, index)))
                .text(" ")
                .child(el("span").class("meaning").text(outcome.meaning))
                .text(" ")
                .child(show_calculation(page, index, open)),
        )
        .child(calculation(page, index, open))
}

/// A result as a row of the table: symbol, name, value, range, and how it is calculated.
pub fn row(page: PageState, index: usize) -> Vec<El> {
    built(page, index, made_row)
}

fn made_row(page: PageState, index: usize) -> Vec<El> {
    let Some(outcome) = register::result(index) else {
        return Vec::new();
    };
    let open = RwSignal::new(false);
    let cell = |class: &str| el("td").class(class);
    let row = place("tr", page, index)
        .child(cell("").child(crate::view::field::symbol(index)))
        .child(
            el("th")
                .attr("scope", "row")
                .attr("title", outcome.meaning)
                .text(outcome.label),
        )
        .child(cell("number").child(el("strong").text_fn(move || value(page, index))))
        .child(cell("range").text_fn(move || range(page, index)))
        .child(cell("").child(show_calculation(page, index, open)));
    let below = el("tr")
        .class("calculated")
        .flag("hidden", move || !open.get() || !there(page, index))
        .child(
            el("td")
                .attr("colspan", "5")
                .child(calculation(page, index, open)),
        );
    vec![row, below]
}

/// Where a result likely lies, once nobody types.
fn range(page: PageState, index: usize) -> String {
    let costly = register::result(index).is_some_and(|r| r.costly);
    if costly || !page.remedies.rested.get() {
        return String::new();
    }
    page.read(|w| {
        let c = &w.eval;
        let measure = c.answer(index).measure;
        let (measure, factor) = display::as_asked(c, index, measure, 1.0);
        tolerance::range(c, index).map_or(String::new(), |range| {
            let ends = c
                .notation
                .between(measure, factor * range.low, factor * range.high, 3);
            tidy(&ends.replace("between ", "").replace(" and ", " to "))
        })
    })
}
