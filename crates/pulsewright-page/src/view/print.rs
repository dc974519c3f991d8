//! On paper every station stands open, and what is given behind "the rest" as well.

use gloo_events::EventListener;
use leptos::prelude::*;
use pulsewright_sheet::register::STATIONS;

use crate::state::page_state::Desk;

/// Opens every station while the card is printed.
pub fn all_open(desk: Desk) {
    let before = StoredValue::new_local(Vec::new());
    EventListener::new(&window(), "beforeprint", move |_| {
        before.set_value(desk.open.get_untracked());
        desk.open.set(STATIONS.iter().map(|h| h.station).collect());
        desk.paper.set(true);
    })
    .forget();
    EventListener::new(&window(), "afterprint", move |_| {
        desk.paper.set(false);
        desk.open.set(before.get_value());
    })
    .forget();
}
