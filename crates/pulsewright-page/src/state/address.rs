//! The link in the address bar: what the page opens with, and how address and store follow the design.
//!
//! One's own design is kept apart from a link that somebody sent: opening a link never overwrites it.

use gloo_events::EventListener;
use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::design::link;
use pulsewright_sheet::guide::examples::EXAMPLES;
use wasm_bindgen::{JsCast, JsValue};

use crate::dom;
use crate::state::origin::{Opening, Origin, example};
use crate::state::page_state::PageState;
use crate::state::storage::{
    cards, framed, keep, keep_last, kept, key, last_card, mine, notation, take_over_mine,
};

/// An example's or a link's design as it is shown, behind a word that says which, so that a reload
/// knows.
const SHOWN: &str = "pulsewright.shown";

/// The link in the address and the one that should be there, when the page goes away before the address
/// has followed; for this tab alone.
const LEFT: &str = "pulsewright.left";

fn hash() -> String {
    window().location().hash().unwrap_or_default()
}

/// What the address should say: on a reload it may be half a second behind.
fn hash_with_what_was_left() -> String {
    let hash = hash();
    let tab = window().session_storage().ok().flatten();
    let left = tab.and_then(|tab| tab.get_item(LEFT).ok().flatten());
    match left.as_deref().and_then(|left| left.split_once(' ')) {
        Some((address, text)) if address == hash => text.into(),
        _ => hash,
    }
}

/// What the page opens with: a link in the address, else the design last worked on, else the first
/// example.
pub fn opening() -> Opening {
    let hash = hash_with_what_was_left();
    take_over_mine();
    if !link::stands_in(&hash) {
        return last(None);
    }
    match link::read(&hash) {
        Ok(read) => {
            let origin = origin_of(&link::write(&read.design));
            Opening {
                design: read.design,
                origin,
                notation: notation(),
                trouble: read.trouble.map(link::LinkError::message),
            }
        }
        Err(trouble) => last(Some(trouble.message())),
    }
}

/// Where the design of a link comes from: one's own, an example, what was shown last, else somebody's.
fn origin_of(text: &str) -> Origin {
    let same = |number: &u32| kept(&key(*number)).as_deref() == Some(text);
    let mine = last_card().filter(same);
    let mine = mine.or_else(|| cards().into_iter().map(|(n, _)| n).find(same));
    if let Some(number) = mine {
        return Origin::Mine(number);
    }
    // A reload of an example, or of a link, is still that.
    let shown = kept(SHOWN).and_then(|shown| {
        let (tag, shown) = shown.split_once(' ')?;
        let number = tag.strip_prefix("example").and_then(|n| n.parse().ok());
        let other = if tag == "file" {
            Origin::File
        } else {
            Origin::Link
        };
        (shown == text).then_some(number.map_or(other, Origin::Example))
    });
    shown.unwrap_or(Origin::Link)
}

/// The example of this link, where it is one.
fn example_of(text: &str) -> Option<Origin> {
    let found = (0..EXAMPLES.len()).find(|&number| link::write(&example(number)) == text);
    found.map(Origin::Example)
}

fn last(trouble: Option<&'static str>) -> Opening {
    match mine() {
        Some((number, design)) => Opening {
            design,
            origin: Origin::Mine(number),
            notation: notation(),
            trouble,
        },
        None => Opening {
            design: example(0),
            origin: Origin::Example(0),
            notation: notation(),
            trouble,
        },
    }
}

/// Keeps address bar and store in step with the page, at most once in half a second.
pub fn follow(page: PageState) {
    let waiting: StoredValue<Option<Timeout>, LocalStorage> = StoredValue::new_local(None);
    // The address as this page knows it: another one is somebody's, and the news of it is under way.
    let known = StoredValue::new_local(hash());
    // What this tab has kept last: another text under the same number is another tab's.
    let kept_text = StoredValue::new(String::new());
    let write_as = move |step: bool| {
        page.enter_typed();
        waiting.set_value(None);
        let text = page.read_untracked(|w| link::write(w.eval.design()));
        let origin = page.origin.get_untracked();
        match origin {
            Origin::Mine(number) => {
                // What another tab has changed meanwhile is overwritten only when somebody says so.
                if page.elsewhere.with_untracked(Option::is_none) && kept_text.get_value() != text {
                    let refused = !keep(&key(number), &text);
                    if page.unkept.get_untracked() != refused {
                        page.unkept.set(refused);
                    }
                    kept_text.set_value(text.clone());
                }
                keep_last(number);
            }
            Origin::Example(number) => {
                let _ = keep(
                    SHOWN,
                    &[
                        "example",
                        &pulsewright_sheet::text::number::int(number as i64),
                        " ",
                        &text,
                    ]
                    .concat(),
                );
            }
            Origin::Link => {
                let _ = keep(SHOWN, &["link ", &text].concat());
            }
            Origin::File => {
                let _ = keep(SHOWN, &["file ", &text].concat());
            }
        }
        let address = hash();
        if address != text
            && address == known.get_value()
            && let Ok(history) = window().history()
        {
            // Another design is a step that the browser's Back takes back.
            let _ = if step && !framed() {
                history.push_state_with_url(&JsValue::NULL, "", Some(&text))
            } else {
                // The place that was gone to stays one of the browser's history.
                let place = history.state().unwrap_or(JsValue::NULL);
                history.replace_state_with_url(&place, "", Some(&text))
            };
            known.set_value(hash());
        }
    };
    let write = move || write_as(false);
    let mut last = page.origin.get_untracked();
    let mut replaced = page.replaced.get_untracked();
    dom::follow(Box::new(move || {
        page.track_revision();
        let origin = page.origin.get();
        if origin != last {
            // Another card is no key among many: it is kept at once.
            last = origin;
            let now = page.replaced.get_untracked();
            write_as(now != replaced);
            replaced = now;
        } else if waiting.with_value(Option::is_none) {
            waiting.set_value(Some(Timeout::new(500, write)));
        }
    }));
    // A field that is left, a choice that is made: nothing more comes in that half second.
    EventListener::new(&window(), "change", move |_| write()).forget();
    // What was typed in the last half second is kept when the page goes away.
    EventListener::new(&window(), "pagehide", move |_| {
        let address = hash();
        write();
        if let Ok(Some(tab)) = window().session_storage()
            && !framed()
        {
            let text = page.read_untracked(|w| link::write(w.eval.design()));
            let _ = tab.set_item(LEFT, &[&address, " ", &text].concat());
        }
    })
    .forget();
    // Back and forward go through the places that were gone to as well.
    EventListener::new(&window(), "popstate", move |event| {
        let event = event.dyn_ref::<web_sys::PopStateEvent>();
        if let Some(place) = event.and_then(|event| event.state().as_string()) {
            crate::focus::focus(place);
        }
    })
    .forget();
    // Another tab has kept something.
    EventListener::new(&window(), "storage", move |event| {
        let Some(event) = event.dyn_ref::<web_sys::StorageEvent>() else {
            return;
        };
        let Origin::Mine(number) = page.origin.get_untracked() else {
            return;
        };
        let mine = page.read_untracked(|w| link::write(w.eval.design()));
        if event.key().as_deref() == Some(key(number).as_str())
            && let Some(text) = event.new_value()
        {
            let other = (text != mine).then_some(text);
            page.elsewhere.set(other);
        }
    })
    .forget();
    EventListener::new(&window(), "hashchange", move |_| {
        let hash = hash();
        known.set_value(hash.clone());
        if link::stands_in(&hash) && hash != page.read_untracked(|w| link::write(w.eval.design())) {
            match link::read(&hash) {
                Ok(read) => {
                    page.notice.set(read.trouble.map(|t| t.message().into()));
                    let text = link::write(&read.design);
                    let origin = match origin_of(&text) {
                        Origin::Link => example_of(&text).unwrap_or(Origin::Link),
                        known => known,
                    };
                    page.replace(read.design, origin);
                }
                Err(trouble) => page.notice.set(Some(trouble.message().into())),
            }
        }
    })
    .forget();
}
