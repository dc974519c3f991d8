//! What the browser keeps: one's own cards, how numbers are shown, where the page is published.

use leptos::prelude::*;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::link;
use pulsewright_sheet::text::measure::UnitSystem;
use pulsewright_sheet::text::notation::Notation;

pub use crate::dom::framed;

/// One's own cards, each as its link under this and its number.
const CARD: &str = "pulsewright.card.";
/// The number of the card last worked on.
const LAST: &str = "pulsewright.last";
/// One's own design while there was but one.
const MINE: &str = "pulsewright.mine";
/// How numbers are shown: the family of units, a blank, the decimal mark.
const NOTATION: &str = "pulsewright.manner";

/// The browser's store, where it has one and lets us.
fn store() -> Option<web_sys::Storage> {
    if framed() {
        return None;
    }
    window().local_storage().ok().flatten()
}

/// The text kept under a key.
pub fn kept(key: &str) -> Option<String> {
    store()?.get_item(key).ok().flatten()
}

/// Keeps a text under a key; whether it is kept. A frame keeps nothing, and is asked for nothing.
pub fn keep(key: &str, text: &str) -> bool {
    framed() || store().is_some_and(|store| store.set_item(key, text).is_ok())
}

/// How numbers were shown last.
pub fn notation() -> Notation {
    let kept = kept(NOTATION).unwrap_or_default();
    let (units, mark) = kept.split_once(' ').unwrap_or_default();
    let found = UnitSystem::ALL.iter().find(|(_, name)| *name == units);
    Notation {
        units: found.map_or(UnitSystem::Si, |(units, _)| *units),
        comma: mark == ",",
    }
}

/// Keeps how numbers are shown.
pub fn keep_notation(notation: Notation) {
    let found = UnitSystem::ALL
        .iter()
        .find(|(units, _)| *units == notation.units);
    let name = found.map_or("", |(_, name)| name);
    let _ = keep(
        NOTATION,
        &[name, if notation.comma { " ," } else { " ." }].concat(),
    );
}

/// The key of the card of this number.
pub fn key(number: u32) -> String {
    [
        CARD,
        &pulsewright_sheet::text::number::int(i64::from(number)),
    ]
    .concat()
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
    let _ = keep(&key(number), &link::write(design));
}

/// Throws a card away.
pub fn drop_card(number: u32) {
    if let Some(store) = store() {
        let _ = store.remove_item(&key(number));
    }
}

/// A design of the time when there was but one becomes the first card.
pub fn take_over_mine() {
    if let Some(text) = kept(MINE) {
        let _ = keep(&key(begin()), &text);
        if let Some(store) = store() {
            let _ = store.remove_item(MINE);
        }
    }
}

/// Keeps which card was worked on last.
pub fn keep_last(number: u32) {
    let _ = keep(
        LAST,
        &pulsewright_sheet::text::number::int(i64::from(number)),
    );
}

/// The number of the card last worked on.
pub fn last_card() -> Option<u32> {
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
        let _ = keep(ADDRESS, text);
    }
    good
}
