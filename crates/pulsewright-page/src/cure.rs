//! Remedies on the page: sought while nobody types, a slice at a time, and kept for the designs that
//! they are of.

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::check::{self, Check, Held};
use pulsewright_sheet::remedy::{self, Remedy, Search};

use crate::desk::{Desk, Worked};
use crate::dom::{self, El, button, el, memo};
use crate::stamp::focus;

/// Milliseconds after the last change until the search begins.
const QUIET: u32 = 350;

/// Milliseconds of a slice, after which the page gets its turn.
const SLICE: f64 = 6.0;

/// Searches that are kept: those of some steps back and forth.
const KEPT: usize = 24;

/// What was sought and found.
#[derive(Clone, Copy)]
pub struct Cures {
    kept: StoredValue<Vec<Search>, LocalStorage>,
    waiting: StoredValue<Option<Timeout>, LocalStorage>,
    /// Whether the design has not changed for a while.
    pub rested: RwSignal<bool>,
    /// Rises when more was found.
    beat: RwSignal<u32>,
    /// Checks whose remedies stand open, each in commas.
    open: RwSignal<String>,
    /// What was tried, and at which step of the history.
    tried: RwSignal<String>,
    tried_at: RwSignal<u32>,
}

impl Cures {
    /// Nothing sought yet.
    pub fn new() -> Self {
        Self {
            kept: StoredValue::new_local(Vec::new()),
            waiting: StoredValue::new_local(None),
            rested: RwSignal::new(false),
            beat: RwSignal::new(0),
            open: RwSignal::new(String::new()),
            tried: RwSignal::new(String::new()),
            tried_at: RwSignal::new(0),
        }
    }
}

/// Seeks anew whenever the design has rested for a while.
pub fn follow(desk: Desk) {
    let desk = desk.part();
    dom::follow(Box::new(move || {
        desk.track();
        desk.cures.open.track();
        desk.cures.rested.set(false);
        later(desk, QUIET);
    }));
}

fn later(desk: Desk, milliseconds: u32) {
    let timer = Timeout::new(milliseconds, move || slice(desk));
    desk.cures.waiting.set_value(Some(timer));
}

fn slice(desk: Desk) {
    desk.cures.rested.set(true);
    let clock = || window().performance().map_or(0.0, |p| p.now());
    let begin = clock();
    let mut more = true;
    while more && clock() - begin < SLICE {
        more = step(desk);
    }
    desk.cures.beat.update(|n| *n += 1);
    if more {
        later(desk, 0);
    }
}

/// Takes one step in the first search that is not at its end; false where there is none.
fn step(desk: Desk) -> bool {
    let open = desk.cures.open.get_untracked();
    desk.glance(|w| {
        let worst = check::ranked(w.held.iter().filter(|h| remedy::is_short(h)));
        worst.iter().enumerate().any(|(place, held)| {
            let whole = open.contains(&in_commas(held.check));
            (whole || place < 3)
                && desk.cures.kept.try_update_value(|kept| {
                    let search = find(kept, w, held);
                    let end = if whole {
                        search.done()
                    } else {
                        search.settled()
                    };
                    !end && search.step()
                }) == Some(true)
        })
    })
}

fn find<'a>(kept: &'a mut Vec<Search>, w: &Worked, held: &Held) -> &'a mut Search {
    let at = kept.iter().position(|s| s.is_of(&w.eval, held.check));
    let at = at.unwrap_or_else(|| {
        if kept.len() >= KEPT {
            let _ = kept.remove(0);
        }
        kept.push(Search::new(&w.eval, held));
        kept.len() - 1
    });
    &mut kept[at]
}

fn in_commas(check: &Check) -> String {
    [",", check.id, ","].concat()
}

/// Reads from the search of a check, where there is one.
fn read<T>(desk: Desk, check: &Check, read: impl FnOnce(&Search) -> T) -> Option<T> {
    let _ = desk.cures.beat.get();
    desk.read(|w| {
        desk.cures
            .kept
            .with_value(|kept| kept.iter().find(|s| s.is_of(&w.eval, check)).map(read))
    })
}

/// Puts the remedy for `check` on `input` on the desk.
fn attempt(desk: Desk, check: &Check, input: usize) {
    let found = untrack(|| {
        read(desk, check, |search| {
            let found = search.found().iter().find(|r| r.input == input);
            found.map(|r| (r.design.clone(), r.what()))
        })
    });
    if let Some((design, what)) = found.flatten() {
        desk.change(design);
        desk.cures.tried.set(what);
        desk.cures.tried_at.set(desk.steps.get_untracked());
        focus("take-back".into());
    }
}

/// That it is still sought.
fn sought(tag: &str) -> El {
    el(tag).class("cure").text("…")
}

/// That there is none.
fn none(tag: &str) -> El {
    el(tag)
        .class("cure")
        .text("No single change puts it right.")
}

/// A remedy as a line with its button.
fn line(desk: Desk, check: &'static Check, tag: &str, remedy: &Remedy) -> El {
    let (input, what) = (remedy.input, remedy.what());
    el(tag)
        .class("cure")
        .text(&[what.as_str(), ": ", &remedy.outcome(), ". "].concat())
        .add(
            button("quiet", move || attempt(desk, check, input))
                .text("Try it")
                .add(el("span").class("unseen").text(": ").text(&what)),
        )
}

/// The first remedy of a check at the head of the card.
pub fn first(desk: Desk, check: &'static Check) -> El {
    let short = move || desk.read(|w| w.held(check).is_some_and(remedy::is_short));
    let key = memo(move || {
        let found = read(desk, check, |search| {
            let first = search.found().first();
            search
                .settled()
                .then(|| first.map_or("none".into(), |r| [r.what(), r.outcome()].concat()))
        });
        if short() {
            found.flatten().unwrap_or_default()
        } else {
            "clear".into()
        }
    });
    el("div").list(key, move || {
        if !short() {
            return Vec::new();
        }
        let found = read(desk, check, |search| {
            if !search.settled() {
                return vec![sought("p")];
            }
            vec![match search.found().first() {
                Some(remedy) => line(desk, check, "p", remedy),
                None => none("p"),
            }]
        });
        found.unwrap_or_else(|| vec![sought("p")])
    })
}

/// The remedies of a check in its station, behind a button.
pub fn under(desk: Desk, held: &Held) -> Vec<El> {
    if !remedy::is_short(held) {
        return Vec::new();
    }
    let check = held.check;
    let id = in_commas(check);
    let there = id.clone();
    let open = memo(move || desk.cures.open.with(|open| open.contains(&there)));
    let toggle = move || {
        desk.cures.open.update(|open| {
            *open = if open.contains(&id) {
                open.replace(&id, "")
            } else {
                [open.as_str(), &id].concat()
            };
        });
    };
    let key = memo(move || {
        let count = read(desk, check, |s| (s.found().len(), s.done()));
        let (count, done) = count.unwrap_or_default();
        [
            pulsewright_sheet::num::int(count as i64),
            if done { "!" } else { "" }.into(),
        ]
        .concat()
    });
    let list = move || {
        let made = read(desk, check, |search| {
            let mut lines: Vec<El> = search
                .found()
                .iter()
                .map(|remedy| line(desk, check, "li", remedy))
                .collect();
            if !search.done() {
                lines.push(sought("li"));
            } else if lines.is_empty() {
                lines.push(none("li"));
            }
            lines
        });
        made.unwrap_or_else(|| vec![sought("li")])
    };
    vec![
        button("quiet", toggle)
            .expanded(move || open.get())
            .text("What would put it right")
            .add(el("span").class("unseen").text(": ").text(check.label)),
        el("div").when(open, move || vec![el("ul").class("cures").list(key, list)]),
    ]
}

/// What was tried last, with the way back, as long as nothing else was done since.
pub fn tried(desk: Desk) -> El {
    let what = move || {
        if desk.cures.tried_at.get() == desk.steps.get() {
            desk.cures.tried.get()
        } else {
            String::new()
        }
    };
    el("span")
        .class("tried")
        .flag("hidden", move || what().is_empty())
        .add(el("span").says(move || [&what(), ". "].concat()))
        .add(
            button("quiet", move || desk.undo())
                .attr("id", "take-back")
                .text("Take it back"),
        )
}
