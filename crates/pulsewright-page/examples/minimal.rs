//! The smallest page worth the name, made and packed as the real one: a paragraph and a button.

use leptos::prelude::*;
use wasm_bindgen::prelude::wasm_bindgen;

/// Puts the page into the document.
#[wasm_bindgen]
pub fn start() {
    mount_to_body(Counter);
}

/// A button that counts how often it was pressed.
#[component]
fn Counter() -> impl IntoView {
    let presses = RwSignal::new(0_u32);
    view! {
        <p>"Pressed " {move || presses.get()} " times"</p>
        <button on:click=move |_| presses.update(|count| *count += 1)>"Press"</button>
    }
}
