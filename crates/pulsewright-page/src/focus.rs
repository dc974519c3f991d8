//! Where the keyboard is: the way to an element, and what keeps it in sight.

use gloo_events::EventListener;
use leptos::prelude::*;
use pulsewright_sheet::register::Station;
use wasm_bindgen::JsCast;

/// The anchor of a station.
pub fn anchor(station: Station) -> String {
    station
        .heading()
        .name
        .to_ascii_lowercase()
        .replace(' ', "-")
}

/// Brings whatever gets the keyboard out from behind the foot; not every engine does by itself.
pub fn keep_in_sight() {
    EventListener::new(&document(), "focusin", |event| {
        let target = event
            .target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok());
        // Not under a mouse: what it presses must not move away.
        if let Some(element) = target
            && element.matches(":focus-visible") == Ok(true)
        {
            let nearest = web_sys::ScrollIntoViewOptions::new();
            nearest.set_block(web_sys::ScrollLogicalPosition::Nearest);
            element.scroll_into_view_with_scroll_into_view_options(&nearest);
        }
    })
    .forget();
}

/// Brings an element into view and gives it the focus: at once, or when it is there.
pub fn focus(id: String) {
    if !bring(&id) {
        gloo_timers::callback::Timeout::new(0, move || {
            let _ = bring(&id);
        })
        .forget();
    }
}

fn bring(id: &str) -> bool {
    let place = document().get_element_by_id(id);
    let Some(place) = place.and_then(|p| p.dyn_into::<web_sys::HtmlElement>().ok()) else {
        return false;
    };
    place.scroll_into_view();
    let _ = place.focus();
    // What is still hidden does not take it.
    document()
        .active_element()
        .is_some_and(|now| &now == AsRef::<web_sys::Element>::as_ref(&place))
}
