//! The page: the route card over the sheet.
//!
//! Everything that a field or a result shows comes from the register; nothing of it is written here
//! a second time. One Leptos signal holds the design with its results (`state::page_state::PageState`); every piece
//! of the page reads from it.

use core::time::Duration;

use leptos::prelude::*;
use wasm_bindgen::prelude::wasm_bindgen;

mod clipboard;
mod dom;
mod focus;
mod state;
#[cfg(feature = "bench")]
mod timing;
mod view;

use dom::el;
use state::page_state::PageState;
use state::{address, remedy_search, simulation, storage};
use view::{bench, frame, head, print, qr, slider, stamp, station};

/// Puts the page into the document.
///
/// The page's script calls this by name; it does not run by itself, because a worker loads the same
/// module.
#[wasm_bindgen]
pub fn start() {
    dom::mount(|| {
        let page = PageState::new(address::opening());
        page.follow_out_of_sight();
        address::follow(page);
        simulation::follow(page);
        slider::follow(page);
        remedy_search::follow(page);
        print::all_open(page);
        frame::tell_height();
        focus::keep_in_sight();
        let painted = painted(page);
        let rest = move || {
            let mut rest: Vec<_> = pulsewright_sheet::register::STATIONS
                .iter()
                .map(|heading| station::station(page, heading))
                .collect();
            rest.extend(bench::leaves(page));
            rest.extend([bench::on_paper(page), print::standing(), qr::code(page)]);
            rest
        };
        vec![
            el("a")
                .class("skip")
                .attr("href", "#work")
                .text("To the design")
                // The address keeps the design.
                .on("click", |event| {
                    event.prevent_default();
                    focus::focus("work".into());
                }),
            el("div")
                .class("sheet")
                .child(stamp::margin(page, painted))
                .child(
                    el("main")
                        .attr("id", "work")
                        .attr("tabindex", "-1")
                        .child(head::head(page, painted))
                        .child(el("div").show_when(painted, rest)),
                ),
            head::foot(page),
            head::spoken(page),
        ]
    });
}

/// Whether the top of the card with its stamps is on the screen: a person reads that first, and it is there sooner
/// when the rest is made after it.
fn painted(page: PageState) -> Memo<bool> {
    let painted = RwSignal::new(false);
    let goes_on = move || {
        if !painted.get_untracked() {
            painted.set(true);
        }
    };
    // Here, where there is an owner: what follows without one is gone at once.
    page.open_the_cause(painted);
    // A frame that is out of sight is painted when somebody scrolls to it; its host gives it room before.
    if storage::framed() {
        goes_on();
    }
    // A frame takes that long from its beginning to the screen.
    dom::once_painted(Duration::from_millis(30), goes_on);
    dom::memo(move || painted.get() || page.paper.get())
}
