//! Remedies on the page: in the head, and under their check behind a button.

use leptos::prelude::*;
use pulsewright_sheet::analysis::remedy;
use pulsewright_sheet::evaluation::Check;
use pulsewright_sheet::evaluation::check::CheckResult;

use crate::dom::{El, button, el, memo};
use crate::state::page_state::PageState;
use crate::state::remedies::in_commas;
use crate::state::remedy_search::{Way, attempt, known};
use crate::view::figures::tidy;

/// That it is still sought.
fn sought(tag: &str) -> El {
    el(tag).class("cure sought").text("…")
}

/// A remedy as a line with its button.
fn line(page: PageState, check: &'static Check, tag: &str, way: &Way) -> El {
    let input = way.input;
    el(tag)
        .class("cure")
        .text(&tidy(
            &[way.what.as_str(), ": ", &way.outcome, ". "].concat(),
        ))
        .child(
            button("quiet", move || attempt(page, check, input))
                .text("Try")
                .child(el("span").class("unseen").text(": ").text(&way.what)),
        )
}

/// The first remedy of a check at the head of the card; where the line above has offered the same, only that it is.
pub fn first(
    page: PageState,
    check: &'static Check,
    above: impl Fn() -> Option<&'static Check> + Copy + Send + Sync + 'static,
) -> El {
    let short = move || page.read(|w| w.held(check).is_some_and(remedy::is_short));
    let settled = move |check| known(page, check).filter(|known| known.settled);
    let is_same = move |way: &Way| {
        let above = above().and_then(settled);
        let above = above.as_ref().and_then(|known| known.ways.first());
        above.is_some_and(|above| above.what == way.what)
    };
    let key = memo(move || {
        if !short() {
            return "clear".into();
        }
        settled(check).map_or_else(String::new, |known| {
            let first = known.ways.first();
            first.map_or("none".into(), |way| {
                let same = if is_same(way) { "=" } else { "" };
                [way.what.as_str(), &way.outcome, same].concat()
            })
        })
    });
    el("div").keyed(key, move || {
        if !short() {
            return Vec::new();
        }
        let Some(known) = settled(check) else {
            return vec![sought("p")];
        };
        if let Some(way) = known.ways.first().filter(|way| is_same(way)) {
            let does = way.outcome.split([',', ';']).next().unwrap_or_default();
            let text = ["The same change ", does, "."].concat();
            return vec![el("p").class("cure").text(&tidy(&text))];
        }
        let none = known
            .none
            .map(|none| el("p").class("cure").text(&tidy(&none)));
        let first = known.ways.first().map(|way| line(page, check, "p", way));
        none.into_iter().chain(first).collect()
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
        let (count, done) = known(page, check).map_or((0, false), |k| (k.ways.len(), k.done));
        [
            pulsewright_sheet::text::number::int(count as i64),
            if done { "!" } else { "" }.into(),
        ]
        .concat()
    });
    let list = move || {
        let Some(known) = known(page, check) else {
            return vec![sought("li")];
        };
        let mut lines: Vec<El> = Vec::new();
        if !known.done {
            lines.push(sought("li"));
        } else if let Some(none) = &known.none {
            lines.push(el("li").class("cure").text(&tidy(none)));
        }
        let ways = known.ways.iter().map(|way| line(page, check, "li", way));
        lines.extend(ways);
        if !known.done {
            lines.rotate_left(1);
        }
        lines
    };
    vec![
        button("quiet", toggle)
            .expanded(move || open.get())
            .text("Ways to fix it")
            .child(el("span").class("unseen").text(": ").text(check.label)),
        el("div").show_when(open, move || vec![el("ul").class("cures").keyed(key, list)]),
    ]
}

fn what_was_tried(page: PageState) -> String {
    if page.remedies.tried_at.get() == page.steps.get() {
        page.remedies.tried.get()
    } else {
        String::new()
    }
}

/// Whether something was tried and nothing else done since.
pub fn is_tried(page: PageState) -> bool {
    !what_was_tried(page).is_empty()
}

/// What was tried last, with the way back, as long as nothing else was done since.
pub fn tried(page: PageState) -> El {
    el("span")
        .class("tried")
        .flag("hidden", move || !is_tried(page))
        .child(el("span").text_fn(move || ["Tried: ", &what_was_tried(page), ". "].concat()))
        .child(
            button("quiet", move || {
                page.undo();
                crate::focus::focus("work".into());
            })
            .attr("id", "take-back")
            .text("Undo")
            .child(el("span").class("unseen").text(" what was tried")),
        )
}
