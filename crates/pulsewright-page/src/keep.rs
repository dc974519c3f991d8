//! The link in the address bar and what the browser keeps: nothing is lost on reload.
//!
//! One's own design is kept apart from a link that somebody sent: opening a link never overwrites it.

use gloo_events::EventListener;
use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::link;
use pulsewright_sheet::manner::{Manner, Units};

use wasm_bindgen::JsValue;
use wasm_bindgen::closure::Closure;

use crate::desk::{Desk, Opening, Origin, example};
use crate::dom;

/// One's own cards, each as its link under this and its number.
const CARD: &str = "pulsewright.card.";
/// The number of the card last worked on.
const LAST: &str = "pulsewright.last";
/// One's own design while there was but one.
const MINE: &str = "pulsewright.mine";
/// An example's or a link's design as it is shown, behind a word that says which, so that a reload
/// knows.
const SHOWN: &str = "pulsewright.shown";

/// How numbers are shown: the family of units, a blank, the decimal mark.
const MANNER: &str = "pulsewright.manner";

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
    // A design of the time when there was but one becomes the first card.
    if let Some(text) = kept(MINE) {
        keep(&key(begin()), &text);
        if let Some(store) = store() {
            let _ = store.remove_item(MINE);
        }
    }
    if !hash.contains("#pw") && !hash.contains("%23pw") {
        return last(None);
    }
    match link::read(&hash) {
        Ok(read) => {
            let text = link::write(&read.design);
            let same = |number: &u32| kept(&key(*number)).as_deref() == Some(text.as_str());
            let mine = last_card().filter(same);
            let mine = mine.or_else(|| cards().into_iter().map(|(n, _)| n).find(same));
            let origin = if let Some(number) = mine {
                Origin::Mine(number)
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
                manner: manner(),
                trouble: read.trouble.map(link::NotLink::message),
            }
        }
        Err(trouble) => last(Some(trouble.message())),
    }
}

fn last(trouble: Option<&'static str>) -> Opening {
    match mine() {
        Some((number, design)) => Opening {
            design,
            origin: Origin::Mine(number),
            manner: manner(),
            trouble,
        },
        None => Opening {
            design: example(0),
            origin: Origin::Example(0),
            manner: manner(),
            trouble,
        },
    }
}

/// How numbers were shown last.
fn manner() -> Manner {
    let kept = kept(MANNER).unwrap_or_default();
    let (units, mark) = kept.split_once(' ').unwrap_or_default();
    let found = Units::ALL.iter().find(|(_, name)| *name == units);
    Manner {
        units: found.map_or(Units::Si, |(units, _)| *units),
        comma: mark == ",",
    }
}

/// Keeps how numbers are shown.
pub fn keep_manner(manner: Manner) {
    let found = Units::ALL.iter().find(|(units, _)| *units == manner.units);
    let name = found.map_or("", |(_, name)| name);
    keep(
        MANNER,
        &[name, if manner.comma { " ," } else { " ." }].concat(),
    );
}

fn key(number: u32) -> String {
    [CARD, &pulsewright_sheet::num::int(i64::from(number))].concat()
}

/// One's own cards in the order in which they were begun.
pub fn cards() -> Vec<(u32, Design)> {
    let mut cards: Vec<(u32, Design)> = Vec::new();
    let Some(store) = store() else { return cards };
    for at in 0..store.length().unwrap_or(0) {
        let name = store.key(at).ok().flatten().unwrap_or_default();
        let number = name.strip_prefix(CARD).and_then(|n| n.parse().ok());
        if let Some(number) = number
            && let Some(design) = card(number)
        {
            let place = cards.iter().position(|(n, _)| *n > number);
            cards.insert(place.unwrap_or(cards.len()), (number, design));
        }
    }
    cards
}

/// The card of this number.
pub fn card(number: u32) -> Option<Design> {
    let text = kept(&key(number))?;
    link::read(&text).ok().map(|read| read.design)
}

/// The number of a new card: that of one with nothing in it, or the next.
pub fn begin() -> u32 {
    let cards = cards();
    let empty = cards.iter().find(|(_, design)| design.is_empty());
    let next = cards.last().map_or(1, |(number, _)| number + 1);
    let number = empty.map_or(next, |(number, _)| *number);
    // Another tab must not begin the same one.
    keep_card(number, &Design::default());
    number
}

/// Whether any card is kept.
pub fn any() -> bool {
    store().is_some_and(|store| {
        (0..store.length().unwrap_or(0)).any(|at| {
            let name = store.key(at).ok().flatten();
            name.is_some_and(|name| name.starts_with(CARD))
        })
    })
}

/// Keeps a card.
pub fn keep_card(number: u32, design: &Design) {
    keep(&key(number), &link::write(design));
}

/// Throws a card away.
pub fn drop_card(number: u32) {
    if let Some(store) = store() {
        let _ = store.remove_item(&key(number));
    }
}

fn last_card() -> Option<u32> {
    kept(LAST)?.parse().ok()
}

/// One's own card last worked on, where one is kept.
pub fn mine() -> Option<(u32, Design)> {
    let last = last_card().and_then(|number| Some((number, card(number)?)));
    last.or_else(|| cards().pop())
}

/// Where this page is published, as somebody has said.
const ADDRESS: &str = "pulsewright.address";

/// The address where this page is published, where one was set.
pub fn address() -> Option<String> {
    kept(ADDRESS).filter(|address| !address.is_empty())
}

/// The address that this page was served from; none where it was opened from a disk.
pub fn served_from() -> Option<String> {
    let location = window().location();
    let served = location.protocol().is_ok_and(|p| p.starts_with("http"));
    let whole = location.href().ok().filter(|_| served)?;
    Some(whole.split('#').next().unwrap_or("").into())
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
    // The address as this page knows it: another one is somebody's, and the news of it is under way.
    let known = StoredValue::new_local(hash());
    let write = move || {
        waiting.set_value(None);
        let text = desk.glance(|w| link::write(w.eval.design()));
        let origin = desk.origin.get_untracked();
        match origin {
            Origin::Mine(number) => {
                keep(&key(number), &text);
                keep(LAST, &pulsewright_sheet::num::int(i64::from(number)));
            }
            Origin::Example(number) => {
                keep(
                    SHOWN,
                    &[
                        "example",
                        &pulsewright_sheet::num::int(number as i64),
                        " ",
                        &text,
                    ]
                    .concat(),
                );
            }
            Origin::Link => keep(SHOWN, &["link ", &text].concat()),
            Origin::File => keep(SHOWN, &["file ", &text].concat()),
        }
        let address = hash();
        if address != text
            && address == known.get_value()
            && let Ok(history) = window().history()
        {
            let _ = history.replace_state_with_url(&JsValue::NULL, "", Some(&text));
            known.set_value(hash());
        }
    };
    let mut last = desk.origin.get_untracked();
    dom::follow(Box::new(move || {
        desk.track();
        let origin = desk.origin.get();
        if origin != last {
            // Another card is no key among many: it is kept at once.
            last = origin;
            write();
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
            let text = desk.glance(|w| link::write(w.eval.design()));
            let _ = tab.set_item(LEFT, &[&address, " ", &text].concat());
        }
    })
    .forget();
    EventListener::new(&window(), "hashchange", move |_| {
        let hash = hash();
        known.set_value(hash.clone());
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

/// Hands `text` to the clipboard and tells `then` whether it took it.
pub fn to_clipboard(text: &str, then: impl Fn(bool) + Copy + 'static) {
    let there = js_sys::Reflect::get(&window().navigator(), &"clipboard".into())
        .is_ok_and(|clipboard| clipboard.is_object());
    if !there {
        return then(false);
    }
    let told = |took: bool| Closure::new(move |_: JsValue| then(took));
    let (took, refused) = (told(true), told(false));
    let _ = window()
        .navigator()
        .clipboard()
        .write_text(text)
        .then2(&took, &refused);
    // One of the two is called later, by the browser.
    took.forget();
    refused.forget();
}
