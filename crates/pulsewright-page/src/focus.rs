//! Where the keyboard is: the way to an element, and what keeps it in sight.

use std::cell::RefCell;

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
            Kept::of(element, None).keep();
        }
    })
    .forget();
}

/// Whether the engine itself keeps what is read in its place while what stands above it grows; WebKit not always.
fn anchors() -> bool {
    let style = document().body().map(|body| body.style());
    style
        .is_some_and(|style| js_sys::Reflect::has(&style, &"overflowAnchor".into()).unwrap_or(true))
}

/// Runs `change` and scrolls by as much as it moves `element`: what is in hand keeps its place on the screen.
pub fn keep_place(element: &web_sys::Element, change: impl FnOnce()) {
    let before = Kept::of(element.clone(), Some(FRAMES_KEPT));
    change();
    let in_hand = KEPT.with_borrow(|kept| {
        kept.as_ref()
            .is_some_and(|k| k.frames.is_none() && k.goes_on())
    });
    if !in_hand {
        before.keep();
    }
}

/// What opens is not whole in the first frame: its plots come later, and what was out of sight gets its true height.
const FRAMES_KEPT: u32 = 40;

thread_local! {
    static KEPT: RefCell<Option<Kept>> = const { RefCell::new(None) };
}

/// What keeps its place on the screen, one element at a time.
struct Kept {
    element: web_sys::Element,
    /// Where it stands on the screen.
    top: f64,
    /// How far the page is scrolled.
    scrolled: f64,
    /// For so many frames more, or as long as it is in hand.
    frames: Option<u32>,
}

impl Kept {
    fn of(element: web_sys::Element, frames: Option<u32>) -> Self {
        let mut kept = Self {
            element,
            top: 0.0,
            scrolled: 0.0,
            frames,
        };
        kept.look();
        kept
    }

    fn look(&mut self) {
        self.top = self.element.get_bounding_client_rect().top();
        self.scrolled = window().scroll_y().unwrap_or(0.0);
    }

    fn goes_on(&self) -> bool {
        match self.frames {
            Some(left) => left > 0 && self.element.is_connected(),
            None => document().active_element().as_ref() == Some(&self.element),
        }
    }

    fn keep(self) {
        let last = KEPT.replace(Some(self));
        match last {
            // What it moved until now is not forgotten, and its frames go on for the new one.
            Some(mut last) => last.settle(),
            None => next_frame(),
        }
    }

    /// Scrolls by as much as it has moved on the page; a hand that scrolls does not move it there.
    fn settle(&mut self) {
        let (top, scrolled) = (self.top, self.scrolled);
        self.look();
        let on_screen = self.top - top;
        let on_page = on_screen + self.scrolled - scrolled;
        // Where the engine itself has scrolled against it, what is left on the screen.
        if on_page.abs() >= 1.0 && on_screen.abs() >= 1.0 {
            window().scroll_by_with_x_and_y(0.0, on_screen);
            self.look();
        }
    }
}

fn next_frame() {
    request_animation_frame(|| {
        let kept = KEPT.take().filter(Kept::goes_on);
        if let Some(mut kept) = kept {
            kept.settle();
            kept.frames = kept.frames.map(|left| left - 1);
            KEPT.set(Some(kept));
            next_frame();
        }
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
