//! Remedies are sought while nobody types, a slice at a time.

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::check::Check;
use pulsewright_sheet::remedy::Search;

use crate::dom;
use crate::focus::focus;
use crate::state::page_state::Desk;

/// Milliseconds after the last change until the search begins.
const QUIET: u32 = 350;

/// Milliseconds of a slice, after which the page gets its turn.
const SLICE: f64 = 6.0;

/// Seeks anew whenever the design has rested for a while.
pub fn follow(desk: Desk) {
    let desk = desk.part();
    dom::follow(Box::new(move || {
        desk.track();
        desk.remedies.open.track();
        desk.remedies.rested.set(false);
        later(desk, QUIET);
    }));
}

fn later(desk: Desk, milliseconds: u32) {
    let timer = Timeout::new(milliseconds, move || slice(desk));
    desk.remedies.waiting.set_value(Some(timer));
}

fn slice(desk: Desk) {
    desk.remedies.rested.set(true);
    let begin = dom::milliseconds();
    let mut more = true;
    while more && dom::milliseconds() - begin < SLICE {
        more = desk.glance(|w| desk.remedies.step(w));
    }
    desk.remedies.more.update(|n| *n += 1);
    if more {
        later(desk, 0);
    }
}

/// Reads from the search of a check, where there is one.
pub fn read<T>(desk: Desk, check: &Check, read: impl FnOnce(&Search) -> T) -> Option<T> {
    let _ = desk.remedies.more.get();
    desk.read(|w| desk.remedies.of(w, check, read))
}

/// Puts the remedy for `check` on `input` on the desk.
pub fn attempt(desk: Desk, check: &Check, input: usize) {
    let found = untrack(|| {
        read(desk, check, |search| {
            let found = search.found().iter().find(|r| r.input == input);
            found.map(|r| (r.design.clone(), r.what()))
        })
    });
    if let Some((design, what)) = found.flatten() {
        desk.change(design);
        desk.remedies.tried.set(what);
        desk.remedies.tried_at.set(desk.steps.get_untracked());
        focus("take-back".into());
    }
}
