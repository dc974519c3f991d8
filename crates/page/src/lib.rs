//! The page: the route card as Leptos components over the sheet.

use leptos::prelude::*;
use wasm_bindgen::prelude::wasm_bindgen;

/// Puts the page into the document.
///
/// The page's script calls this by name; it does not run by itself, because a worker loads the same module.
#[wasm_bindgen]
pub fn start() {
    mount_to_body(Card);
}

/// The whole card.
#[component]
fn Card() -> impl IntoView {
    let name = RwSignal::new(String::new());
    view! {
        <main>
            <h1>"Pulsewright"</h1>
            <p>
                <label for="name">"Name of this design"</label>
                <input id="name" type="text" autocomplete="off" bind:value=name />
            </p>
            <p>"Card for: " <output for="name">{move || name.get()}</output></p>
        </main>
    }
}
