//! On paper every station stands open, and what is given behind "the rest" as well.

use gloo_events::EventListener;
use leptos::prelude::*;
use pulsewright_sheet::register::STATIONS;

use crate::state::page_state::PageState;

/// Opens every station while the card is printed.
pub fn all_open(page: PageState) {
    let before = StoredValue::new_local(Vec::new());
    EventListener::new(&window(), "beforeprint", move |_| {
        before.set_value(page.open_stations.get_untracked());
        page.open_stations
            .set(STATIONS.iter().map(|h| h.station).collect());
        page.paper.set(true);
    })
    .forget();
    EventListener::new(&window(), "afterprint", move |_| {
        page.paper.set(false);
        page.open_stations.set(before.get_value());
    })
    .forget();
}
