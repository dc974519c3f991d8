//! Remedies are sought while nobody types, a slice at a time.

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::analysis::remedy::Search;
use pulsewright_sheet::evaluation::Check;

use crate::dom;
use crate::focus::focus;
use crate::state::page_state::PageState;

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
    }
}

/// Reads from the search of a check, where there is one.
pub fn read<T>(page: PageState, check: &Check, read: impl FnOnce(&Search) -> T) -> Option<T> {
    let _ = page.remedies.more.get();
    page.read(|w| page.remedies.of(w, check, read))
}

/// Puts the remedy for `check` on `input` on the page.
pub fn attempt(page: PageState, check: &Check, input: usize) {
    let found = untrack(|| {
        read(page, check, |search| {
            let found = search.found().iter().find(|r| r.input == input);
            found.map(|r| (r.design.clone(), r.what()))
        })
    });
    if let Some((design, what)) = found.flatten() {
        page.apply(design);
        page.remedies.tried.set(what);
        page.remedies.tried_at.set(page.steps.get_untracked());
        focus("take-back".into());
    }
}
