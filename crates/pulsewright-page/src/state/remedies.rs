//! Remedies that were sought, kept for the designs that they are of.

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::analysis::remedy::told::Told;
use pulsewright_sheet::analysis::remedy::{self, Search};
use pulsewright_sheet::evaluation::Check;
use pulsewright_sheet::evaluation::check::{self, CheckResult};

use crate::state::evaluated::Evaluated;

/// Searches that are kept: those of some steps back and forth.
const KEPT: usize = 24;

/// What is sought beside the page, with simulated moves.
#[derive(Default)]
pub struct Beside {
    /// The design that was asked about, as a link.
    pub of: String,
    /// What was found; none while it is sought.
    pub told: Option<Vec<Told>>,
}

/// What was sought and found.
#[derive(Clone, Copy)]
pub struct Remedies {
    kept: StoredValue<Vec<Search>, LocalStorage>,
    /// The search that goes on later.
    pub waiting: StoredValue<Option<Timeout>, LocalStorage>,
    /// Whether the design has not changed for a while.
    pub rested: RwSignal<bool>,
    /// Rises when more was found.
    pub more: RwSignal<u32>,
    /// What is sought beside the page.
    pub beside: StoredValue<Beside, LocalStorage>,
    /// Checks whose remedies stand open, each in commas.
    pub open: RwSignal<String>,
    /// What was tried, and at which step of the history.
    pub tried: RwSignal<String>,
    /// That step.
    pub tried_at: RwSignal<u32>,
}

impl Remedies {
    /// Nothing sought yet.
    pub fn new() -> Self {
        Self {
            kept: StoredValue::new_local(Vec::new()),
            waiting: StoredValue::new_local(None),
            rested: RwSignal::new(false),
            more: RwSignal::new(0),
            beside: StoredValue::new_local(Beside::default()),
            open: RwSignal::new(String::new()),
            tried: RwSignal::new(String::new()),
            tried_at: RwSignal::new(0),
        }
    }

    /// Takes one step in the first search that is not at its end; false where there is none.
    pub fn step(self, w: &Evaluated) -> bool {
        let open = self.open.get_untracked();
        let worst = check::ranked(w.held.iter().filter(|h| remedy::is_short(h)));
        worst.iter().enumerate().any(|(place, held)| {
            let whole = open.contains(&in_commas(held.check));
            (whole || place < 3)
                && self.kept.try_update_value(|kept| {
                    let search = find(kept, w, held);
                    let end = if whole {
                        search.done()
                    } else {
                        search.settled()
                    };
                    !end && search.step()
                }) == Some(true)
        })
    }

    /// Whether a check on the page takes simulated moves to be put right.
    pub fn takes_moves(self, w: &Evaluated) -> bool {
        self.kept.with_value(|kept| {
            let of_here =
                |s: &Search, h: &CheckResult| s.is_elsewhere() && s.is_of(&w.eval, h.check);
            let short = w.held.iter().filter(|h| remedy::is_short(h));
            short
                .into_iter()
                .any(|h| kept.iter().any(|s| of_here(s, h)))
        })
    }

    /// Reads from the search of a check, where there is one.
    pub fn of<T>(self, w: &Evaluated, check: &Check, read: impl FnOnce(&Search) -> T) -> Option<T> {
        self.kept
            .with_value(|kept| kept.iter().find(|s| s.is_of(&w.eval, check)).map(read))
    }
}

fn find<'a>(kept: &'a mut Vec<Search>, w: &Evaluated, held: &CheckResult) -> &'a mut Search {
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

/// How a check stands in the list of those that are open.
pub fn in_commas(check: &Check) -> String {
    [",", check.id, ","].concat()
}
