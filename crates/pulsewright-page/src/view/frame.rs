//! In a frame the page tells its host how tall it is, and nothing else.

use std::rc::Rc;

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::{Closure, JsValue};

use crate::state::storage::framed;

/// Tells the host the height of the card, now and whenever it changes. The host checks who says so.
///
/// A frame out of sight is not laid out, and nothing observes it: the card is measured for it once it is made,
/// and again when what takes longer has come.
pub fn tell_height() {
    if !framed() {
        return;
    }
    let Some(body) = document().body() else {
        return;
    };
    // What is out of sight in a frame is laid out: its height is asked for.
    if let Some(root) = document().document_element() {
        let _ = root.set_attribute("data-framed", "");
    }
    let told = body.clone();
    let tell = Rc::new(move || {
        let message = js_sys::Object::new();
        let height = JsValue::from_f64(f64::from(told.offset_height()));
        let _ = js_sys::Reflect::set(&message, &"pulse-wright-height".into(), &height);
        if let Ok(Some(host)) = window().parent() {
            // A height is no secret: any host may know it.
            let _ = host.post_message(&message, "*");
        }
    });
    for wait in [0, 1000, 3000] {
        let tell = tell.clone();
        Timeout::new(wait, move || tell()).forget();
    }
    let tell = Closure::<dyn Fn()>::new(move || tell());
    if let Ok(observer) = web_sys::ResizeObserver::new(tell.as_ref().unchecked_ref()) {
        observer.observe(&body);
        core::mem::forget(observer);
    }
    tell.forget();
}
