//! Tuning the loop: asked for by a button, sought beside the page, entered by another button.

use std::cell::RefCell;

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::output::tuning::{Proposal, propose};
use pulsewright_sheet::register;
use pulsewright_sheet::text::number::DecimalMark;
use wasm_bindgen::prelude::*;

use crate::dom::{El, button, el, memo};
use crate::state::page_state::PageState;
use crate::state::worker::Worker;

/// Settings found for the design in a link, as text; what the worker is asked for.
#[wasm_bindgen]
pub fn tune(link: &str) -> String {
    let read = match pulsewright_sheet::design::link::read(link) {
        Ok(read) => read,
        Err(refused) => return refused.message().into(),
    };
    match propose(&Eval::new(&read.design)) {
        Ok(proposal) => proposal.text(),
        Err(absent) => absent.message(),
    }
}

thread_local! {
    /// The program beside the page, while it seeks.
    static SEEKING: RefCell<Option<Worker>> = const { RefCell::new(None) };
}

/// What is shown.
#[derive(Clone, Copy)]
struct State {
    page: PageState,
    /// The design that it is for, as a link; empty before anything was asked.
    asked: RwSignal<String>,
    /// What was found for it; empty while it is sought.
    found: RwSignal<String>,
    /// The design that it was entered into, as a link.
    entered: RwSignal<String>,
}

fn link(page: PageState) -> String {
    page.read_untracked(|w| pulsewright_sheet::design::link::write(w.eval.design()))
}

/// The button, and what was found.
pub fn tuning(page: PageState) -> El {
    let state = State {
        page,
        asked: RwSignal::new(String::new()),
        found: RwSignal::new(String::new()),
        entered: RwSignal::new(String::new()),
    };
    // A change of the design makes what was found for another stale.
    let is = move |of: RwSignal<String>| {
        page.track_revision();
        of.with(|of| !of.is_empty() && *of == link(page))
    };
    let key = memo(move || {
        if is(state.asked) {
            state.found.get()
        } else {
            String::new()
        }
    });
    let status = move || match (is(state.asked), state.found.with(String::is_empty)) {
        (true, true) => "Searching …",
        (true, false) => "Found:",
        _ if is(state.entered) => "Entered. Undo restores the old settings.",
        _ => "",
    };
    el("div")
        .class("tuning")
        .child(
            button("quiet", move || seek(state))
                .attr("aria-describedby", "tuning-help")
                .text("Tune the loop"),
        )
        .child(el("p").class("help").attr("id", "tuning-help").text(
            "Searches bandwidth, damping, integral time, feed-forward and deadband with the simulated move, and says what limits it.",
        ))
        .child(el("p").attr("role", "status").text_fn(move || status().into()))
        .child(el("div").keyed(key, move || {
            key.with_untracked(|text| shown(state, &Proposal::read(text)))
        }))
}

fn seek(state: State) {
    let link = link(state.page);
    if state.asked.with_untracked(|asked| *asked == link) {
        return;
    }
    state.found.set(String::new());
    state.asked.set(link.clone());
    let begun = begin(state, &link);
    let alone = begun.is_none();
    SEEKING.set(begun);
    if alone {
        here(state);
    }
}

/// Seeks on the page itself, once it has said so.
fn here(state: State) {
    Timeout::new(50, move || {
        let made = state.page.read_untracked(|w| propose(&w.eval));
        state.found.set(match made {
            Ok(proposal) => proposal.text(),
            Err(absent) => absent.message(),
        });
    })
    .forget();
}

fn begin(state: State, link: &str) -> Option<Worker> {
    let answered = move |answer: JsValue| {
        state.found.set(answer.as_string().unwrap_or_default());
        // The listener that is running must not be dropped by itself.
        Timeout::new(0, || SEEKING.set(None)).forget();
    };
    let worker = Worker::start(answered, move || here(state))?;
    worker.ask("tune", link).then_some(worker)
}

fn shown(state: State, proposal: &Proposal) -> Vec<El> {
    let mut parts: Vec<El> = proposal
        .sentences
        .iter()
        .map(|sentence| el("p").text(sentence))
        .collect();
    let row = |tag: &str, [what, now, then]: [&str; 3]| {
        el("tr")
            .child(el("th").attr("scope", "row").text(what))
            .child(el(tag).text(now))
            .child(el(tag).text(then))
    };
    let mut rows = vec![row("th", ["", "now", "found"])];
    for [what, now, then] in &proposal.rows {
        let line = row("td", [what, now, then]);
        rows.push(if now == then {
            line
        } else {
            line.class("changed")
        });
    }
    if proposal.entries.is_empty() {
        return parts;
    }
    parts.push(el("table").children(rows));
    parts.push(button("quiet", move || enter(state)).text("Use these settings"));
    parts
}

/// Enters what was found: one step of the history.
fn enter(state: State) {
    let proposal = state.found.with_untracked(|text| Proposal::read(text));
    let mut design = state.page.read_untracked(|w| w.eval.design().clone());
    for (id, text) in &proposal.entries {
        if let Some(index) = register::find_input(id) {
            design.enter(index, text, DecimalMark::Stored);
        }
    }
    state.page.apply(design);
    state.entered.set(link(state.page));
}
