//! Stamps, and the torn margin on which they fell.

use leptos::prelude::*;
use pulsewright_sheet::evaluation::Status;
use pulsewright_sheet::register::{STATIONS, Station};

use crate::dom::{El, batched, el};
use crate::focus::{anchor, go};
use crate::state::page_state::PageState;
use crate::view::figures::count;

/// The outline of a status: full ring where it passes, notched where it is tight, cut where it fails, dotted where it
/// is not known.
fn ring(status: Status) -> &'static str {
    match status {
        Status::Passes => "<circle cx='40' cy='40' r='33' class='ring'/>",
        Status::Tight => {
            "<path class='ring' d='M47 7.7A33 33 0 1 1 33 7.7L36.5 18L40 24L43.5 18Z'/>"
        }
        Status::Fails => "<path class='ring heavy' d='M33 7.7A33 33 0 1 1 9 28M2 8L24 30'/>",
        Status::Unknown | Status::Waits => "<circle cx='40' cy='40' r='33' class='ring dotted'/>",
    }
}

/// A small ring, without a word: that stands beside it.
pub fn stamp(status: Status) -> String {
    [
        "<svg class='stamp' viewBox='0 0 80 80' aria-hidden='true'>",
        ring(status),
        "</svg>",
    ]
    .concat()
}

/// The margin: every station in order on one line, with its ring, its name and how it stands. It stays in sight once
/// the page is painted: what stays is a layer of its own, and the first picture of two layers takes one frame longer.
pub fn margin(page: PageState, painted: Memo<bool>) -> El {
    // Apart from the lines, which need not follow anew when the page is painted.
    batched(move || stations(page)).class_fn(move || {
        let stays = painted.get();
        if stays { "margin stays" } else { "margin" }.into()
    })
}

/// What stands behind a station's name: its status and margin, or what of it is entered.
fn standing(page: PageState, station: Station) -> String {
    page.read(|w| match w.stamp(station) {
        Some((status, margin)) => {
            let margin = margin.filter(|_| matches!(status, Status::Fails | Status::Tight));
            let margin = margin.map_or(String::new(), |m| {
                [" ×", &w.eval.notation.number(m, 2)].concat()
            });
            [w.in_words(station, status), &margin].concat()
        }
        None => {
            let (entered, of) = w.entered(station);
            if of == 0 {
                return String::new();
            }
            [&count(entered), " of ", &count(of), " entered"].concat()
        }
    })
}

fn stations(page: PageState) -> El {
    let rows = STATIONS
        .iter()
        .map(|heading| {
            let station = heading.station;
            let is_worst = move || page.read(|w| w.cause() == Some(station));
            let face = move || {
                page.read(|w| {
                    w.stamp(station)
                        .map_or(String::new(), |(status, _)| stamp(status))
                })
            };
            el("li")
                .class_fn(move || if is_worst() { "cause" } else { "" }.into())
                .child(
                    el("a")
                        .attr("href", &["#", &anchor(station)].concat())
                        .on("click", move |event| {
                            event.prevent_default();
                            go_to(page, station);
                        })
                        .child(
                            el("span")
                                .class("face")
                                .attr("aria-hidden", "true")
                                .html_fn(face),
                        )
                        .child(el("span").class("name").text(heading.name))
                        .child(el("span").class("unseen").text(": "))
                        .child(
                            el("span")
                                .class("how-it-stands")
                                .text_fn(move || standing(page, station)),
                        ),
                )
        })
        .collect();
    el("nav")
        .attr("aria-label", "Stations and their status")
        .child(el("ol").children(rows))
}

/// Opens a station and moves there, focus and all.
pub fn go_to(page: PageState, station: Station) {
    page.open(station);
    go([anchor(station), "-heading".into()].concat());
}
