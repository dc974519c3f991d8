//! The bench sheet, the list before the order, and the two leaves behind the card: what a build does
//! that misbehaves, and the trade's words.

use core::cell::Cell;

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::bench::{self, Limits, ORDER, READINGS, Reading, Sets};
use pulsewright_sheet::eval::Eval;
use pulsewright_sheet::finding;
use pulsewright_sheet::glossary::TERMS;
use pulsewright_sheet::num;
use pulsewright_sheet::register::{self, Station, bench as keys, gears};
use pulsewright_sheet::report;
use pulsewright_sheet::trouble::SIGNS;

use crate::dom::{self, El, button, el, memo, together};
use crate::focus::focus;
use crate::state::origin::Leaf;
use crate::state::page_state::Desk;
use crate::view::checks::findings;
use crate::view::drawing::drawing;
use crate::view::field::field;
use crate::view::result::result;
use crate::view::stamp::go_to;

/// The limits of every row, with the state of the desk that they belong to.
type AllLimits = RwSignal<(u32, Vec<Option<Limits>>)>;

/// What stands in the opened station.
pub fn body(desk: Desk) -> Vec<El> {
    let limits = limits(desk);
    let rows = READINGS
        .iter()
        .enumerate()
        .map(|(at, row)| reading(desk, row, at, limits))
        .collect();
    vec![
        drawing(desk, Station::Bench),
        polarity(desk),
        findings(desk, Station::Bench),
        el("ol").class("readings").all(rows),
        el("h3")
            .attr("id", "before-you-order")
            .attr("tabindex", "-1")
            .text("Before you order"),
        el("ul")
            .class("order")
            .all(ORDER.iter().map(|row| question(desk, row)).collect()),
    ]
}

/// Limits take some hundred evaluations: they are made when the station opens, and anew once nothing
/// has changed for a moment. Those of an older state are not shown.
fn limits(desk: Desk) -> AllLimits {
    let all = move || desk.glance(|w| READINGS.iter().map(|r| bench::limits(&w.eval, r)).collect());
    let kept: AllLimits = RwSignal::new((desk.state(), all()));
    let waiting: StoredValue<Option<Timeout>, LocalStorage> = StoredValue::new_local(None);
    dom::follow(Box::new(move || {
        desk.track();
        if kept.with_untracked(|(state, _)| *state != desk.state()) {
            waiting.set_value(Some(Timeout::new(400, move || {
                kept.set((desk.state(), all()));
            })));
        }
    }));
    on_cleanup(move || waiting.dispose());
    kept
}

/// Before every reading: which way round it is wired.
fn polarity(desk: Desk) -> El {
    let runs_away = move || {
        desk.read(|w| {
            let said = w.said.iter().find(|s| s.finding.id == "runs_away");
            said.map_or(String::new(), |s| s.message(&w.eval))
        })
    };
    el("div").class("findings").add(
        el("p")
            .class("finding caution")
            .add(el("b").text("First power-up. "))
            .says(runs_away)
            .text(" ")
            .add(answers(desk, keys::POLARITY.index())),
    )
}

/// A row: what to do and to expect on the left, what was read and what it says on the right.
fn reading(desk: Desk, row: &'static Reading, at: usize, limits: AllLimits) -> El {
    let with = move |say: fn(&Eval<'_>, &Reading, Option<Limits>) -> String| {
        let said = Cell::new(false);
        move || {
            desk.track();
            limits.with(|(state, list)| {
                if *state != desk.state() {
                    // Its line stays, or what stands under it would move under a finger, twice.
                    return if said.get() { "…" } else { "" }.into();
                }
                let mine = list.get(at).copied().flatten();
                let text = desk.glance(|w| say(&w.eval, row, mine));
                said.set(!text.is_empty());
                text
            })
        }
    };
    let message = RwSignal::new(String::new());
    let offer = move || desk.read(|w| bench::offer(&w.eval, row));
    let take = move || match desk.glance(|w| bench::take(w.eval.design(), row)) {
        Ok(design) => {
            message.set(String::new());
            desk.change(design);
        }
        Err(why) => message.set(why),
    };
    let mut right = el("div");
    if let Some(also) = row.also {
        right = right.add(field(desk, also));
    }
    // The button right under its field: what comes later must not push it from under a finger.
    right = right
        .add(field(desk, row.read))
        .add(
            button("quiet", take)
                .flag("hidden", move || offer().is_none())
                .says(move || offer().unwrap_or_default()),
        )
        .add(el("p").class("says").says(with(bench::verdict)))
        .add(
            el("p")
                .class("message")
                .attr("role", "status")
                .flag("hidden", move || message.with(String::is_empty))
                .says(move || message.get()),
        );
    if row.sets == Sets::Ratio {
        right = right.add(fractions(desk));
    }
    el("li")
        .add(
            el("div")
                .add(result(desk, row.expect))
                .add(el("p").class("limits-of").says(with(bench::between)))
                .add(
                    el("p")
                        .class("how")
                        .says(move || desk.read(|w| finding::fill(row.how, &w.eval))),
                ),
        )
        .add(right)
}

/// What the counted edges say of the ratio, and the tooth fractions that fit.
fn fractions(desk: Desk) -> El {
    let line = move || {
        desk.glance(|w| {
            let fits = bench::ratio_fits(&w.eval)?;
            let of =
                |key: register::Key<register::Rational>| report::display(&w.eval, key.index(), 7);
            let now = of(gears::EXACT_RATIO);
            Some(
                [
                    "The edges say a ratio of ",
                    &of(keys::COUNTED_LOW),
                    " to ",
                    &of(keys::COUNTED_HIGH),
                    if fits {
                        "; that of the card, "
                    } else {
                        ". That of the card, "
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
        desk.track();
        line().unwrap_or_default()
    });
    el("div").class("fractions").list(key, move || {
        let Some(line) = line() else {
            return Vec::new();
        };
        let found = desk.glance(|w| bench::fractions(&w.eval));
        let mut made = vec![el("p").text(&line)];
        if found.is_empty() {
            made.push(el("p").text("none of wheels up to 97 teeth"));
        }
        for (p, q) in found {
            let part = |n: u64| num::int(i64::try_from(n).unwrap_or(i64::MAX));
            let text = [part(p).as_str(), "/", &part(q)].concat();
            let value = num::text(p as f64 / q as f64, 8);
            made.push(
                button("quiet", move || {
                    let design = desk.glance(|w| bench::take_fraction(w.eval.design(), p, q));
                    desk.change(design);
                })
                .text(&["Use ", &text, " = ", &value].concat()),
            );
        }
        made
    })
}

/// The words of a choice as buttons; a second press takes the answer away.
fn answers(desk: Desk, input: usize) -> El {
    let words = match register::inputs().get(input).map(|i| i.form) {
        Some(register::Form::Choice(words)) => words,
        _ => &[],
    };
    let made = words
        .iter()
        .map(|word| {
            let chosen = move || desk.read(|w| w.eval.design().text(input) == *word);
            button("answer", move || {
                desk.put(input, if untrack(chosen) { "" } else { word });
            })
            .attr_of("aria-pressed", move || {
                Some(if chosen() { "true" } else { "false" }.into())
            })
            .text(&word.replace('_', " "))
        })
        .collect();
    el("span")
        .class("answers")
        .attr("role", "group")
        .attr("aria-label", register::label(input))
        .all(made)
}

/// A question before the order.
fn question(desk: Desk, row: &'static bench::Row) -> El {
    el("li")
        .add(
            el("span")
                .add(el("b").text(register::label(row.answer)))
                .text(" ")
                .add(
                    el("span")
                        .class("how")
                        .says(move || desk.read(|w| finding::fill(row.figures, &w.eval))),
                ),
        )
        .add(answers(desk, row.answer))
}

/// The ways to what stands behind the stations.
pub fn ways(desk: Desk) -> El {
    let order = move || {
        desk.unfold(Station::Bench);
        focus("before-you-order".into());
    };
    el("p")
        .class("ways")
        .add(button("quiet", order).text("Before you order"))
        .add(button("quiet", move || go_to(desk, Station::Bench)).text("Bench sheet"))
        .add(button("quiet", move || turn_to(desk, Leaf::Signs)).text("What does it do?"))
        .add(button("quiet", move || turn_to(desk, Leaf::Words)).text("Words"))
}

fn unfold(desk: Desk, leaf: Leaf) {
    desk.leaves.update(|open| {
        if !open.contains(&leaf) {
            open.push(leaf);
        }
    });
}

fn turn_to(desk: Desk, leaf: Leaf) {
    unfold(desk, leaf);
    focus(["leaf-", leaf.name()].concat());
}

/// The words of a station, each leading to what it means.
pub fn words(desk: Desk, station: Station) -> El {
    let mut line = el("p").class("words");
    for (at, term) in TERMS.iter().enumerate() {
        if term.station == station {
            line = line.add(
                button("quiet", move || {
                    unfold(desk, Leaf::Words);
                    focus(word_id(at));
                })
                .add(el("span").class("unseen").text("what is meant by "))
                .text(term.word),
            );
        }
    }
    line
}

fn word_id(at: usize) -> String {
    ["word-", &num::int(at as i64)].concat()
}

/// A leaf behind the stations, closed until it is wanted.
fn leaf(desk: Desk, leaf: Leaf, title: &str, question: &str, build: fn(Desk) -> Vec<El>) -> El {
    let open = memo(move || desk.leaves.with(|open| open.contains(&leaf)));
    let id = ["leaf-", leaf.name()].concat();
    let body = [&id, "-body"].concat();
    el("section")
        .class("station leaf")
        .attr("aria-labelledby", &id)
        .add(
            el("h2").add(
                button("", move || {
                    if open.get_untracked() {
                        desk.leaves.update(|open| open.retain(|l| *l != leaf));
                    } else {
                        unfold(desk, leaf);
                    }
                })
                .attr("id", &id)
                .attr("aria-controls", &body)
                .expanded(move || open.get())
                .add(el("span").class("title").text(title))
                .add(el("span").class("question").text(question)),
            ),
        )
        .add(
            el("div")
                .class("body")
                .attr("id", &body)
                .flag("hidden", move || !open.get())
                .when(open, move || together(|| build(desk))),
        )
}

/// Both leaves, and what only paper shows.
pub fn leaves(desk: Desk) -> Vec<El> {
    let desk = desk.part();
    vec![
        leaf(
            desk,
            Leaf::Signs,
            "What does it do?",
            "A build that misbehaves: find its sign, measure one thing.",
            signs,
        ),
        leaf(
            desk,
            Leaf::Words,
            "Words",
            "The trade's words on this sheet, in plain ones.",
            glossary,
        ),
    ]
}

fn signs(desk: Desk) -> Vec<El> {
    let rows = SIGNS
        .iter()
        .map(|sign| {
            el("li")
                .add(el("b").text(sign.does))
                .add(el("span").says(move || desk.read(|w| finding::fill(sign.measure, &w.eval))))
                .add(
                    button("quiet", move || go_to(desk, sign.station))
                        .text("To ")
                        .text(sign.station.heading().name)
                        .add(el("span").class("unseen").text(": ").text(sign.does)),
                )
        })
        .collect();
    vec![el("ul").class("signs").all(rows)]
}

fn glossary(_: Desk) -> Vec<El> {
    let mut list = el("dl");
    for (at, term) in TERMS.iter().enumerate() {
        list = list
            .add(
                el("dt")
                    .attr("id", &word_id(at))
                    .attr("tabindex", "-1")
                    .text(term.word),
            )
            .add(el("dd").text(term.means));
    }
    vec![list]
}

/// The design in words for who has only the paper: its link, and what made it.
pub fn on_paper(desk: Desk) -> El {
    let place = el("p");
    let desk = desk.part_in_sight(&place);
    place
        .class("on-paper")
        .text("This card as a link, for any later version: ")
        .add(
            el("span").says(move || desk.read(|w| pulsewright_sheet::link::write(w.eval.design()))),
        )
        .text(&[" (", report::made_by(), ")"].concat())
}
