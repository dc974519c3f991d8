//! Stamps, and the torn margin on which they fell.

use pulsewright_sheet::evaluation::Status;
use pulsewright_sheet::register::{STATIONS, Station};

use crate::dom::{El, batched, el};
use crate::focus::{anchor, focus};
use crate::state::page_state::PageState;

/// A stamp: a word and an outline. Full ring clear, notched ring tight, cut ring under, dotted ring
/// unknown.
pub fn stamp(status: Status, room: Option<String>, large: bool) -> String {
    let (ring, turn) = match status {
        Status::Clear => ("<circle cx='40' cy='40' r='35' class='ring'/>", "-4"),
        Status::Tight => (
            "<path class='ring' d='M47 5.7A35 35 0 1 1 33 5.7L36.5 13L40 17L43.5 13Z'/>",
            "5",
        ),
        Status::Under => (
            "<path class='ring heavy' d='M33 5.7A35 35 0 1 1 7 28M-2 6L20 24'/>",
            "-8",
        ),
        Status::Unknown => ("<circle cx='40' cy='40' r='35' class='ring dotted'/>", "-8"),
    };
    let lower = room.filter(|_| large).map_or(String::new(), |r| {
        ["<text x='40' y='60' class='room'>", &r, "</text>"].concat()
    });
    let y = if lower.is_empty() { "47" } else { "43" };
    [
        "<svg class='stamp",
        if large { " large" } else { "" },
        if status == Status::Unknown {
            " long"
        } else {
            ""
        },
        "' viewBox='0 0 80 80' aria-hidden='true'>",
        ring,
        "<g transform='rotate(",
        turn,
        " 40 40)'><text x='40' y='",
        y,
        "'>",
        status.word(),
        "</text>",
        &lower,
        "</g></svg>",
    ]
    .concat()
}

/// The margin: every station in order, with its stamp.
pub fn margin(page: PageState) -> El {
    batched(move || stations(page))
}

fn stations(page: PageState) -> El {
    let rows = STATIONS
        .iter()
        .map(|heading| {
            let station = heading.station;
            let is_worst =
                move || page.read(|w| w.worst().map(|h| h.check.station) == Some(station));
            let face = move || {
                let large = is_worst();
                page.read(|w| match w.stamp(station) {
                    Some((status, margin)) => {
                        let room = margin.map(|m| w.eval.notation.number(m, 2));
                        stamp(status, room, large)
                    }
                    None => "<span class='no-stamp'>·</span>".into(),
                })
            };
            let spoken = move || {
                page.read(|w| {
                    w.stamp(station)
                        .map_or(String::new(), |(s, _)| [": ", s.word()].concat())
                })
            };
            el("li")
                .class_fn(move || if is_worst() { "worst" } else { "" }.into())
                .child(
                    el("a")
                        .attr("href", &["#", &anchor(station)].concat())
                        .on("click", move |event| {
                            event.prevent_default();
                            go_to(page, station);
                        })
                        .child(el("span").text(heading.name))
                        .child(el("span").class("unseen").text_fn(spoken))
                        .child(el("span").attr("aria-hidden", "true").html_fn(face)),
                )
        })
        .collect();
    el("nav")
        .class("margin")
        .attr("aria-label", "Stations and how they stand")
        .attr("tabindex", "0")
        .child(el("ol").children(rows))
}

/// Opens a station and moves there, focus and all.
pub fn go_to(page: PageState, station: Station) {
    page.open(station);
    focus([anchor(station), "-heading".into()].concat());
}
