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
        let Some(element) = target else {
            return;
        };
        if element.matches(":focus-visible") == Ok(true) {
            let nearest = web_sys::ScrollIntoViewOptions::new();
            nearest.set_block(web_sys::ScrollLogicalPosition::Nearest);
            element.scroll_into_view_with_scroll_into_view_options(&nearest);
        }
        if !anchors() && element.matches("input") == Ok(true) {
            keep_for(element.clone(), place(&element), u32::MAX);
        }
    })
    .forget();
}

/// Whether the engine itself keeps what is read in its place while what stands above it grows; WebKit does not.
fn anchors() -> bool {
    let style = document().body().map(|body| body.style());
    style
        .is_some_and(|style| js_sys::Reflect::has(&style, &"overflowAnchor".into()).unwrap_or(true))
}

/// Runs `change` and scrolls by as much as it moves `element`: what is in hand keeps its place on the screen.
pub fn keep_place(element: &web_sys::Element, change: impl FnOnce()) {
    let before = place(element);
    change();
    keep_for(element.clone(), before, FRAMES_KEPT);
}

/// What opens is not whole in the first frame: its plots come later, and what was out of sight gets its true height.
const FRAMES_KEPT: u32 = 40;

/// Where an element stands on the screen, and how far the page is scrolled.
fn place(element: &web_sys::Element) -> (f64, f64) {
    let scrolled = window().scroll_y().unwrap_or(0.0);
    (element.get_bounding_client_rect().top(), scrolled)
}

fn keep_for(element: web_sys::Element, (top, scrolled): (f64, f64), frames: u32) {
    if frames == 0 || !element.is_connected() {
        return;
    }
    // As long as it is in hand, where that is asked.
    if frames > FRAMES_KEPT && document().active_element().as_ref() != Some(&element) {
        return;
    }
    request_animation_frame(move || {
        let (now, by_then) = place(&element);
        let moved = now - top;
        // A hand that scrolls moves the element by as much as the page: that is its new place.
        let by_hand = (moved + by_then - scrolled).abs() < 1.0;
        let back = if by_hand || moved.abs() < 1.0 {
            0.0
        } else {
            moved
        };
        if back != 0.0 {
            window().scroll_by_with_x_and_y(0.0, back);
        }
        // Not what the window says now: WebKit scrolls a moment later.
        let top = if by_hand { now } else { top };
        keep_for(element, (top, by_then + back), frames - 1);
    });
}

/// Goes to an element as a step of the browser's history: Back leads to where one was.
pub fn go(id: String) {
    if !crate::dom::framed()
        && let Ok(history) = window().history()
    {
        let _ = history.push_state(&id.as_str().into(), "");
    }
    focus(id);
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
    // A station begins at the top of the screen; a field only has to be in sight.
    if id.ends_with("-heading") {
        place.scroll_into_view();
    } else {
        let nearest = web_sys::ScrollIntoViewOptions::new();
        nearest.set_block(web_sys::ScrollLogicalPosition::Nearest);
        place.scroll_into_view_with_scroll_into_view_options(&nearest);
    }
    let _ = place.focus();
    // What is still hidden does not take it.
    document()
        .active_element()
        .is_some_and(|now| &now == AsRef::<web_sys::Element>::as_ref(&place))
}
