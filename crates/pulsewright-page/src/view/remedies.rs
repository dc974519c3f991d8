//! Remedies on the page: in the head, and under their check behind a button.

use leptos::prelude::*;
use pulsewright_sheet::analysis::remedy::{self, Remedy};
use pulsewright_sheet::evaluation::Check;
use pulsewright_sheet::evaluation::check::CheckResult;

use crate::dom::{El, button, el, memo};
use crate::state::page_state::PageState;
use crate::state::remedies::in_commas;
use crate::state::remedy_search::{attempt, read};

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
fn line(page: PageState, check: &'static Check, tag: &str, remedy: &Remedy) -> El {
    let (input, what) = (remedy.input, remedy.what());
    el(tag)
        .class("cure")
        .text(&[what.as_str(), ": ", &remedy.outcome(), ". "].concat())
        .child(
            button("quiet", move || attempt(page, check, input))
                .text("Try it")
                .child(el("span").class("unseen").text(": ").text(&what)),
        )
}

/// The first remedy of a check at the head of the card.
pub fn first(page: PageState, check: &'static Check) -> El {
    let short = move || page.read(|w| w.held(check).is_some_and(remedy::is_short));
    let key = memo(move || {
        let found = read(page, check, |search| {
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
    el("div").keyed(key, move || {
        if !short() {
            return Vec::new();
        }
        let found = read(page, check, |search| {
            if !search.settled() {
                return vec![sought("p")];
            }
            vec![match search.found().first() {
                Some(remedy) => line(page, check, "p", remedy),
                None => none("p"),
            }]
        });
        found.unwrap_or_else(|| vec![sought("p")])
    })
}

/// The remedies of a check in its station, behind a button.
pub fn under(page: PageState, held: &CheckResult) -> Vec<El> {
    if !remedy::is_short(held) {
        return Vec::new();
    }
    let check = held.check;
    let id = in_commas(check);
    let there = id.clone();
    let open = memo(move || page.remedies.open.with(|open| open.contains(&there)));
    let toggle = move || {
        page.remedies.open.update(|open| {
            *open = if open.contains(&id) {
                open.replace(&id, "")
            } else {
                [open.as_str(), &id].concat()
            };
        });
    };
    let key = memo(move || {
        let count = read(page, check, |s| (s.found().len(), s.done()));
        let (count, done) = count.unwrap_or_default();
        [
            pulsewright_sheet::text::number::int(count as i64),
            if done { "!" } else { "" }.into(),
        ]
        .concat()
    });
    let list = move || {
        let made = read(page, check, |search| {
            let mut lines: Vec<El> = search
                .found()
                .iter()
                .map(|remedy| line(page, check, "li", remedy))
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
            .child(el("span").class("unseen").text(": ").text(check.label)),
        el("div").show_when(open, move || vec![el("ul").class("cures").keyed(key, list)]),
    ]
}

/// What was tried last, with the way back, as long as nothing else was done since.
pub fn tried(page: PageState) -> El {
    let what = move || {
        if page.remedies.tried_at.get() == page.steps.get() {
            page.remedies.tried.get()
        } else {
            String::new()
        }
    };
    el("span")
        .class("tried")
        .flag("hidden", move || what().is_empty())
        .child(el("span").text_fn(move || [&what(), ". "].concat()))
        .child(
            button("quiet", move || page.undo())
                .attr("id", "take-back")
                .text("Take it back"),
        )
}
