//! The bench sheet, the list before the order, and the two leaves behind the card: what a build does
//! that misbehaves, and the trade's words.

use core::cell::Cell;

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::analysis::bench_sheet::{self, Limits, ORDER, READINGS, Reading, Sets};
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::guide::glossary::TERMS;
use pulsewright_sheet::guide::troubleshooting::SIGNS;
use pulsewright_sheet::output::report;
use pulsewright_sheet::register::{self, Station, bench as keys, gears};
use pulsewright_sheet::text::number;

use crate::dom::{self, El, batched, button, el, memo};
use crate::focus::{focus, go};
use crate::state::origin::Leaf;
use crate::state::page_state::PageState;
use crate::view::checks::{filled, findings};
use crate::view::drawing::drawing;
use crate::view::field::{applies, field};
use crate::view::figures::tidy;
use crate::view::result::result;
use crate::view::stamp::go_to;

/// The limits of every row, with the revision of the design that they belong to.
type AllLimits = RwSignal<(u32, Vec<Option<Limits>>)>;

/// What stands in the opened station.
pub fn body(page: PageState) -> Vec<El> {
    let limits = limits(page);
    let rows = READINGS
        .iter()
        .enumerate()
        .map(|(at, row)| reading(page, row, at, limits))
        .collect();
    vec![
        drawing(page, Station::Bench),
        polarity(page),
        findings(page, Station::Bench),
        el("ol").class("readings").children(rows),
        el("h3")
            .attr("id", "before-you-order")
            .attr("tabindex", "-1")
            .text("Order checklist"),
        el("ul")
            .class("order")
            .children(ORDER.iter().map(|row| question(page, row)).collect()),
    ]
}

/// Limits take some hundred evaluations: they are made when the station opens, and anew once nothing
/// has changed for a moment. Those of an older state are not shown.
fn limits(page: PageState) -> AllLimits {
    let all = move || {
        page.read_untracked(|w| {
            READINGS
                .iter()
                .map(|r| bench_sheet::limits(&w.eval, r))
                .collect()
        })
    };
    let kept: AllLimits = RwSignal::new((page.current_revision(), all()));
    let waiting: StoredValue<Option<Timeout>, LocalStorage> = StoredValue::new_local(None);
    dom::follow(Box::new(move || {
        page.track_revision();
        if kept.with_untracked(|(state, _)| *state != page.current_revision()) {
            waiting.set_value(Some(Timeout::new(400, move || {
                kept.set((page.current_revision(), all()));
            })));
        }
    }));
    on_cleanup(move || waiting.dispose());
    kept
}

/// Before every reading: which way round it is wired.
fn polarity(page: PageState) -> El {
    let runs_away = move || {
        page.read(|w| {
            let said = w.said.iter().find(|s| s.finding.id == "runs_away");
            said.map_or(String::new(), |s| tidy(&s.message(&w.eval)))
        })
    };
    el("div").class("findings").child(
        el("p")
            .class("finding caution")
            .child(el("b").text("First power-up. "))
            .text_fn(runs_away)
            .text(" ")
            .child(answers(page, keys::POLARITY.index())),
    )
}

/// A row: what to do and to expect on the left, what was read and what it says on the right.
fn reading(page: PageState, row: &'static Reading, at: usize, limits: AllLimits) -> El {
    let with = move |say: fn(&Eval<'_>, &Reading, Option<Limits>) -> String| {
        let said = Cell::new(false);
        move || {
            page.track_revision();
            limits.with(|(state, list)| {
                if *state != page.current_revision() {
                    // Its line stays, or what stands under it would move under a finger, twice.
                    return if said.get() { "…" } else { "" }.into();
                }
                let mine = list.get(at).copied().flatten();
                let text = page.read_untracked(|w| say(&w.eval, row, mine));
                said.set(!text.is_empty());
                text
            })
        }
    };
    let limits_of = with(bench_sheet::between);
    let tidied = move || tidy(&limits_of());
    let message = RwSignal::new(String::new());
    let offer = move || page.read(|w| bench_sheet::offer(&w.eval, row));
    let take = move || match page.read_untracked(|w| bench_sheet::take(&w.eval, row)) {
        Ok(design) => {
            message.set(String::new());
            page.apply(design);
        }
        Err(why) => message.set(why),
    };
    let mut right = el("div");
    if let Some(also) = row.also {
        right = right.child(field(page, also));
    }
    // The button right under its field: what comes later must not push it from under a finger.
    right = right
        .child(field(page, row.read))
        .child(
            button("quiet", take)
                .flag("hidden", move || offer().is_none())
                .text_fn(move || offer().unwrap_or_default()),
        )
        .child(el("p").class("says").text_fn(with(bench_sheet::verdict)))
        .child(
            el("p")
                .class("message")
                .attr("role", "status")
                .flag("hidden", move || message.with(String::is_empty))
                .text_fn(move || message.get()),
        );
    if row.sets == Sets::Ratio {
        right = right.child(fractions(page));
    }
    el("li")
        .child(
            el("div")
                .child(result(page, row.expect))
                .child(el("p").class("limits-of").text_fn(tidied))
                .child(el("p").class("how").text_fn(move || filled(page, row.how))),
        )
        .child(right)
}

/// What the counted edges say of the ratio, and the tooth fractions that fit.
fn fractions(page: PageState) -> El {
    let line = move || {
        page.read_untracked(|w| {
            let fits = bench_sheet::ratio_fits(&w.eval)?;
            let of =
                |key: register::Key<register::Rational>| display::display(&w.eval, key.index(), 7);
            let now = of(gears::EXACT_RATIO);
            Some(
                [
                    "The counted edges give a ratio of ",
                    &of(keys::COUNTED_LOW),
                    " to ",
                    &of(keys::COUNTED_HIGH),
                    if fits {
                        "; the one entered, "
                    } else {
                        ". The one entered, "
                    },
                    &now,
                    if fits {
                        ", fits. Tooth fractions that fit, simplest first:"
                    } else {
                        ", does not fit. Tooth fractions that do, simplest first:"
                    },
                ]
                .concat(),
            )
        })
    };
    let key = memo(move || {
        page.track_revision();
        line().unwrap_or_default()
    });
    el("div").class("fractions").keyed(key, move || {
        let Some(line) = line() else {
            return Vec::new();
        };
        let found = page.read_untracked(|w| bench_sheet::fractions(&w.eval));
        let mut made = vec![el("p").text(&line)];
        if found.is_empty() {
            made.push(el("p").text("none of wheels up to 97 teeth"));
        }
        for (p, q) in found {
            let part = |n: u64| number::int(i64::try_from(n).unwrap_or(i64::MAX));
            let text = [part(p).as_str(), "/", &part(q)].concat();
            let value = number::text(p as f64 / q as f64, 8);
            made.push(
                button("quiet", move || {
                    let design = page.read_untracked(|w| bench_sheet::take_fraction(&w.eval, p, q));
                    page.apply(design);
                })
                .text(&["Use ", &text, " = ", &value].concat()),
            );
        }
        made
    })
}

/// The words of a choice as buttons; a second press takes the answer away.
fn answers(page: PageState, input: usize) -> El {
    let words = match register::inputs().get(input).map(|i| i.form) {
        Some(register::Form::Choice(words)) => words,
        _ => &[],
    };
    let made = words
        .iter()
        .map(|word| {
            let chosen = move || page.read(|w| w.eval.design().text(input) == *word);
            button("answer", move || {
                page.set_input(input, if untrack(chosen) { "" } else { word });
            })
            .attr_fn("aria-pressed", move || {
                Some(if chosen() { "true" } else { "false" }.into())
            })
            .text(&word.replace('_', " "))
        })
        .collect();
    el("span")
        .class("answers")
        .attr("role", "group")
        .attr("aria-label", register::label(input))
        .children(made)
}

/// A question before the order.
pub fn question(page: PageState, row: &'static bench_sheet::Row) -> El {
    el("li")
        .child(
            el("span")
                .child(el("b").text(register::label(row.answer)))
                .text(" ")
                .child(
                    el("span")
                        .class("how")
                        .text_fn(move || filled(page, row.figures)),
                ),
        )
        .child(answers(page, row.answer))
}

/// The list before the order.
pub fn before_you_order(page: PageState) {
    page.open(Station::Bench);
    focus("before-you-order".into());
}

/// Opens a leaf behind the stations.
pub fn open_leaf(page: PageState, leaf: Leaf) {
    page.leaves.update(|open| {
        if !open.contains(&leaf) {
            open.push(leaf);
        }
    });
}

/// The words of a station, each leading to what it means.
pub fn words(page: PageState, station: Station) -> El {
    let mut line = el("p").class("words");
    for (at, term) in TERMS.iter().enumerate() {
        if term.station == station {
            let mut word = button("quiet", move || {
                open_leaf(page, Leaf::Words);
                go(word_id(at));
            })
            .child(el("span").class("unseen").text("what is meant by "))
            .text(term.word);
            // The word of an input that another kind of axis asks for is not met on this one.
            let of = register::inputs()
                .iter()
                .position(|i| !term.symbol.is_empty() && i.symbol == term.symbol);
            if let Some(input) = of {
                word = word.flag("hidden", move || !applies(page, input));
            }
            line = line.child(word);
        }
    }
    line
}

fn word_id(at: usize) -> String {
    ["word-", &number::int(at as i64)].concat()
}

/// A leaf behind the stations, closed until it is wanted.
fn leaf(
    page: PageState,
    leaf: Leaf,
    title: &str,
    question: &str,
    build: fn(PageState) -> Vec<El>,
) -> El {
    let open = memo(move || page.leaves.with(|open| open.contains(&leaf)));
    let id = ["leaf-", leaf.name()].concat();
    let body = [&id, "-body"].concat();
    el("section")
        .class("station leaf")
        .attr("aria-labelledby", &id)
        .child(
            el("h2").child(
                button("", move || {
                    if open.get_untracked() {
                        page.leaves.update(|open| open.retain(|l| *l != leaf));
                    } else {
                        open_leaf(page, leaf);
                    }
                })
                .attr("id", &id)
                .attr("aria-controls", &body)
                .expanded(move || open.get())
                .child(el("span").class("title").text(title))
                .child(el("span").class("question").text(question)),
            ),
        )
        .child(
            el("div")
                .class("body")
                .attr("id", &body)
                .flag("hidden", move || !open.get())
                .show_when(open, move || batched(|| build(page))),
        )
}

/// Both leaves, and what only paper shows.
pub fn leaves(page: PageState) -> Vec<El> {
    let page = page.with_own_revision();
    vec![
        leaf(
            page,
            Leaf::Signs,
            "Troubleshooting (symptoms)",
            "Find the symptom, then make the one measurement beside it.",
            signs,
        ),
        leaf(
            page,
            Leaf::Words,
            "Glossary",
            "The terms used here, each in one sentence.",
            glossary,
        ),
    ]
}

fn signs(page: PageState) -> Vec<El> {
    let rows = SIGNS
        .iter()
        .map(|sign| {
            el("li")
                .child(el("b").text(sign.does))
                .child(el("span").text_fn(move || filled(page, sign.measure)))
                .child(
                    button("quiet", move || go_to(page, sign.station))
                        .text("To ")
                        .text(sign.station.heading().name)
                        .child(el("span").class("unseen").text(": ").text(sign.does)),
                )
        })
        .collect();
    vec![el("ul").class("signs").children(rows)]
}

fn glossary(_: PageState) -> Vec<El> {
    let mut list = el("dl");
    for (at, term) in TERMS.iter().enumerate() {
        list = list
            .child(
                el("dt")
                    .attr("id", &word_id(at))
                    .attr("tabindex", "-1")
                    .text(&match term.symbol {
                        "" => String::from(term.word),
                        symbol => [term.word, " ", symbol].concat(),
                    }),
            )
            .child(el("dd").text(term.means));
    }
    vec![list]
}

/// The design in words for who has only the paper: its link, and what made it.
pub fn on_paper(page: PageState) -> El {
    let place = el("p");
    let page = page.with_revision_in_sight(&place);
    place
        .class("on-paper")
        .text("This design as a link: ")
        .child(el("span").text_fn(move || {
            page.read(|w| pulsewright_sheet::design::link::write(w.eval.design()))
        }))
        .text(&[" (", report::made_by(), ")"].concat())
}
