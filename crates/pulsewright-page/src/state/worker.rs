//! The program once more, beside the page: what takes long is asked of it, so that typing never
//! waits.

use gloo_events::EventListener;
use js_sys::Array;
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
extern "C" {
    /// Starts the program once more, beside the page. The page's script defines it.
    #[wasm_bindgen(catch, js_name = pulsewright_worker)]
    fn start_worker() -> Result<web_sys::Worker, JsValue>;
}

/// The program beside the page; it ends with this.
pub struct Worker {
    worker: web_sys::Worker,
    _answers: [EventListener; 2],
}

impl Worker {
    /// Starts it. Each answer goes to `answered`, in the order of the questions; where it breaks
    /// `failed` is told. `None` where the browser starts none.
    pub fn start(
        answered: impl Fn(JsValue) + 'static,
        failed: impl Fn() + 'static,
    ) -> Option<Self> {
        let worker = start_worker().ok()?;
        let answers = EventListener::new(&worker, "message", move |event| {
            if let Some(event) = event.dyn_ref::<web_sys::MessageEvent>() {
                answered(event.data());
            }
        });
        let failures = EventListener::new(&worker, "error", move |_| failed());
        Some(Self {
            worker,
            _answers: [answers, failures],
        })
    }

    /// Asks `function`, one that the program exports, about the design in `link`; false where that cannot
    /// be asked.
    pub fn ask(&self, function: &str, link: &str) -> bool {
        let question = Array::of2(&function.into(), &link.into());
        // Of a longer link not all would be read: another design.
        link.len() <= pulsewright_sheet::design::link::LONGEST
            && self.worker.post_message(&question).is_ok()
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}
