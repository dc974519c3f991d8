//! In a frame the page tells its host how tall it is, and nothing else.

use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::{Closure, JsValue};

/// Tells the host the height of the card, now and whenever it changes. The host checks who says so.
pub fn tell_height() {
    if !crate::keep::framed() {
        return;
    }
    let Some(body) = document().body() else {
        return;
    };
    let told = body.clone();
    let tell = Closure::<dyn Fn()>::new(move || {
        let message = js_sys::Object::new();
        let height = JsValue::from_f64(f64::from(told.offset_height()));
        let _ = js_sys::Reflect::set(&message, &"pulse-wright-height".into(), &height);
        if let Ok(Some(host)) = window().parent() {
            // A height is no secret: any host may know it.
            let _ = host.post_message(&message, "*");
        }
    });
    if let Ok(observer) = web_sys::ResizeObserver::new(tell.as_ref().unchecked_ref()) {
        observer.observe(&body);
        core::mem::forget(observer);
    }
    tell.forget();
}
