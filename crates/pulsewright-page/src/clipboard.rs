//! The clipboard.

use leptos::prelude::*;
use wasm_bindgen::JsValue;
use wasm_bindgen::closure::Closure;

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
