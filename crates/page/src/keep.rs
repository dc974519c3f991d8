//! The link in the address bar and what the browser keeps: nothing is lost on reload.
//!
//! One's own design is kept apart from a link that somebody sent: opening a link never overwrites it.

use gloo_events::EventListener;
use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use sheet::design::Design;
use sheet::link;

use crate::desk::{Desk, Opening, Origin, example};

/// One's own design, as its link.
const MINE: &str = "pulsewright.mine";
/// An example's or a link's design as it is shown, behind a word that says which, so that a reload
/// knows.
const SHOWN: &str = "pulsewright.shown";

/// The link in the address and the one that should be there, when the page goes away before the address
/// has followed; for this tab alone.
const LEFT: &str = "pulsewright.left";

/// The browser's store, where it has one and lets us.
fn store() -> Option<web_sys::Storage> {
    if framed() {
        return None;
    }
    window().local_storage().ok().flatten()
}

/// Whether the page stands in a frame: then nothing is kept.
pub fn framed() -> bool {
    let window = window();
    !window
        .parent()
        .ok()
        .flatten()
        .is_some_and(|parent| parent == window)
}

fn kept(key: &str) -> Option<String> {
    store()?.get_item(key).ok().flatten()
}

fn keep(key: &str, text: &str) {
    if let Some(store) = store() {
        let _ = store.set_item(key, text);
    }
}

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
    let mine = kept(MINE);
    if !hash.contains("#pw") && !hash.contains("%23pw") {
        return last(mine, None);
    }
    match link::read(&hash) {
        Ok(read) => {
            let text = link::write(&read.design);
            let origin = if mine.as_deref() == Some(text.as_str()) {
                Origin::Mine
            } else {
                // A reload of an example, or of a link, is still that.
                kept(SHOWN)
                    .and_then(|shown| {
                        let (tag, shown) = shown.split_once(' ')?;
                        let number = tag.strip_prefix("example").and_then(|n| n.parse().ok());
                        let other = if tag == "file" {
                            Origin::File
                        } else {
                            Origin::Link
                        };
                        (shown == text).then_some(number.map_or(other, Origin::Example))
                    })
                    .unwrap_or(Origin::Link)
            };
            Opening {
                design: read.design,
                origin,
                trouble: read.trouble.map(link::NotLink::message),
            }
        }
        Err(trouble) => last(mine, Some(trouble.message())),
    }
}

fn last(mine: Option<String>, trouble: Option<&'static str>) -> Opening {
    match mine.and_then(|text| link::read(&text).ok()) {
        Some(read) => Opening {
            design: read.design,
            origin: Origin::Mine,
            trouble,
        },
        None => Opening {
            design: example(0),
            origin: Origin::Example(0),
            trouble,
        },
    }
}

/// One's own design, where one is kept.
pub fn mine() -> Option<Design> {
    kept(MINE)
        .and_then(|text| link::read(&text).ok())
        .map(|read| read.design)
}

/// Where this page is published, as somebody has said.
const ADDRESS: &str = "pulsewright.address";

/// The address where this page is published, where one was set.
pub fn address() -> Option<String> {
    kept(ADDRESS).filter(|address| !address.is_empty())
}

/// Sets the address where this page is published; what is no address of the web is refused. An empty
/// text takes it away.
pub fn set_address(text: &str) -> bool {
    let text = text.trim();
    let text = text.split('#').next().unwrap_or("");
    let good = text.is_empty() || text.starts_with("https://") || text.starts_with("http://");
    if good {
        keep(ADDRESS, text);
    }
    good
}

/// Keeps address bar and store in step with the desk, at most once in half a second.
pub fn follow(desk: Desk) {
    let waiting: StoredValue<Option<Timeout>, LocalStorage> = StoredValue::new_local(None);
    let write = move || {
        waiting.set_value(None);
        let text = desk.glance(|w| link::write(w.eval.design()));
        let origin = desk.origin.get_untracked();
        match origin {
            Origin::Mine => keep(MINE, &text),
            Origin::Example(number) => {
                keep(
                    SHOWN,
                    &["example", &sheet::num::int(number as i64), " ", &text].concat(),
                );
            }
            Origin::Link => keep(SHOWN, &["link ", &text].concat()),
            Origin::File => keep(SHOWN, &["file ", &text].concat()),
        }
        if hash() != text
            && let Ok(history) = window().history()
        {
            let _ = history.replace_state_with_url(&wasm_bindgen::JsValue::NULL, "", Some(&text));
        }
    };
    let effect = RenderEffect::new(move |_| {
        desk.track();
        let _ = desk.origin.get();
        if waiting.with_value(Option::is_none) {
            waiting.set_value(Some(Timeout::new(500, write)));
        }
    });
    on_cleanup(move || drop(effect));
    // What was typed in the last half second is kept when the page goes away.
    EventListener::new(&window(), "pagehide", move |_| {
        let address = hash();
        write();
        if let Ok(Some(tab)) = window().session_storage()
            && !framed()
        {
            let text = desk.glance(|w| link::write(w.eval.design()));
            let _ = tab.set_item(LEFT, &[&address, " ", &text].concat());
        }
    })
    .forget();
    EventListener::new(&window(), "hashchange", move |_| {
        let hash = hash();
        if hash.contains("#pw") && hash != desk.glance(|w| link::write(w.eval.design())) {
            match link::read(&hash) {
                Ok(read) => {
                    desk.notice.set(read.trouble.map(|t| t.message().into()));
                    desk.lay(read.design, Origin::Link);
                }
                Err(trouble) => desk.notice.set(Some(trouble.message().into())),
            }
        }
    })
    .forget();
}

/// Hands `text` to the clipboard; false where there is none.
pub fn to_clipboard(text: &str) -> bool {
    let there = js_sys::Reflect::get(&window().navigator(), &"clipboard".into())
        .is_ok_and(|clipboard| clipboard.is_object());
    if there {
        let _ = window().navigator().clipboard().write_text(text);
    }
    there
}
