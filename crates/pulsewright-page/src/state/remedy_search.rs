//! Remedies are sought while nobody types, a slice at a time.

use std::cell::RefCell;

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::analysis::remedy::Remedy;
use pulsewright_sheet::analysis::remedy::told::{self, Told};
use pulsewright_sheet::design;
use pulsewright_sheet::evaluation::{Check, Eval};
use wasm_bindgen::prelude::*;

use crate::dom;
use crate::focus::focus;
use crate::state::page_state::PageState;
use crate::state::remedies::Beside;
use crate::state::worker::Worker;

/// Milliseconds after the last change until the search begins.
const QUIET: u32 = 350;

/// Milliseconds of a slice, after which the page gets its turn.
const SLICE: f64 = 6.0;

/// Seeks anew whenever the design has rested for a while.
pub fn follow(page: PageState) {
    let page = page.with_own_revision();
    dom::follow(Box::new(move || {
        page.track_revision();
        page.remedies.open.track();
        page.remedies.rested.set(false);
        later(page, QUIET);
    }));
}

fn later(page: PageState, milliseconds: u32) {
    let timer = Timeout::new(milliseconds, move || slice(page));
    page.remedies.waiting.set_value(Some(timer));
}

fn slice(page: PageState) {
    page.remedies.rested.set(true);
    let begin = dom::milliseconds();
    let mut more = true;
    while more && dom::milliseconds() - begin < SLICE {
        more = page.read_untracked(|w| page.remedies.step(w));
    }
    page.remedies.more.update(|n| *n += 1);
    if more {
        later(page, 0);
    } else {
        ask(page);
    }
}

/// The remedies of the design in a link that take simulated moves, as text; what the worker is asked for.
#[wasm_bindgen]
pub fn remedies(link: &str) -> String {
    design::link::read(link).map_or_else(
        |_| String::new(),
        |read| told::tell(&Eval::new(&read.design).simulating()),
    )
}

thread_local! {
    /// The program beside the page, while it seeks.
    static SEEKING: RefCell<Option<Worker>> = const { RefCell::new(None) };
}

fn link(page: PageState) -> String {
    page.read_untracked(|w| design::link::write(w.eval.design()))
}

/// Seeks beside the page what takes simulated moves.
fn ask(page: PageState) {
    let beside = page.remedies.beside;
    let link = link(page);
    if !page.read_untracked(|w| page.remedies.takes_moves(w)) || beside.with_value(|b| b.of == link)
    {
        return;
    }
    let tell = move |told: Vec<Told>| {
        beside.update_value(|b| b.told = Some(told));
        page.remedies.more.update(|n| *n += 1);
        // The listener that is running must not be dropped by itself.
        Timeout::new(0, || SEEKING.set(None)).forget();
    };
    beside.set_value(Beside {
        of: link.clone(),
        told: None,
    });
    let answered = move |answer: JsValue| tell(told::read(&answer.as_string().unwrap_or_default()));
    let worker = Worker::start(answered, move || tell(Vec::new()));
    let asked = worker.filter(|worker| worker.ask("remedies", &link));
    if asked.is_none() {
        tell(Vec::new());
    }
    SEEKING.set(asked);
}

/// A remedy, as it is shown.
pub struct Way {
    /// The input that it is named by.
    pub input: usize,
    /// What is done.
    pub what: String,
    /// What comes of it.
    pub outcome: String,
}

/// What is known of the remedies of a check.
pub struct Known {
    /// Those that were found.
    pub ways: Vec<Way>,
    /// Whether the first of them stays the first.
    pub settled: bool,
    /// Whether all were sought.
    pub done: bool,
    /// Why there is nothing to set, fit or buy, where that is known.
    pub none: Option<String>,
}

/// What is known of the remedies of a check; nothing before they are sought.
pub fn known(page: PageState, check: &Check) -> Option<Known> {
    let _ = page.remedies.more.get();
    let found = page.read(|w| {
        page.remedies.of(w, check, |search| {
            let way = |r: &Remedy| Way {
                input: r.input,
                what: r.what(),
                outcome: r.outcome(),
            };
            (!search.is_elsewhere()).then(|| Known {
                ways: search.found().iter().map(way).collect(),
                settled: search.settled(),
                done: search.done(),
                none: (search.first().is_none()).then(|| {
                    search.impasse().map_or_else(
                        || "No way to fix it was found.".into(),
                        |impasse| [&impasse.message, "."].concat(),
                    )
                }),
            })
        })
    })?;
    found.or_else(|| Some(beside(page, check)))
}

/// The same of a check whose remedies take simulated moves.
fn beside(page: PageState, check: &Check) -> Known {
    let told = told_of(page, |told| {
        let of_it = told.iter().filter(|told| told.check == check.id);
        let way = |told: &Told| Way {
            input: told.input,
            what: told.what.clone(),
            outcome: told.outcome.clone(),
        };
        of_it.map(way).collect::<Vec<Way>>()
    });
    let done = told.is_some();
    let ways = told.unwrap_or_default();
    Known {
        settled: done,
        done,
        none: ways
            .is_empty()
            .then(|| "Tune the loop, in the station Loop: it says what limits this move.".into()),
        ways,
    }
}

/// Reads what was told of the design on the page.
fn told_of<T>(page: PageState, read: impl FnOnce(&[Told]) -> T) -> Option<T> {
    let link = link(page);
    page.remedies.beside.with_value(|beside| {
        let told = beside.told.as_deref().filter(|_| beside.of == link);
        told.map(read)
    })
}

/// Puts the remedy for `check` on `input` on the page.
pub fn attempt(page: PageState, check: &Check, input: usize) {
    let found = untrack(|| {
        page.read(|w| {
            page.remedies.of(w, check, |search| {
                let found = search.found().iter().find(|r| r.input == input);
                found.map(|r| (r.design.clone(), r.what()))
            })
        })
        .flatten()
        .or_else(|| {
            told_of(page, |told| {
                let found = told
                    .iter()
                    .find(|t| t.check == check.id && t.input == input)?;
                let design = design::link::read(&found.link).ok()?.design;
                Some((design, found.what.clone()))
            })
            .flatten()
        })
    });
    if let Some((design, what)) = found {
        page.apply(design);
        page.remedies.tried.set(what);
        page.remedies.tried_at.set(page.steps.get_untracked());
        focus("take-back".into());
    }
}
