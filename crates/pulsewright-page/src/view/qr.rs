//! The link as a QR code on the printed card.

use gloo_events::EventListener;
use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::design::link;
use pulsewright_sheet::text::number::push_int;
use qrcodegen::{QrCode, QrCodeEcc};
use wasm_bindgen::prelude::{Closure, JsValue, wasm_bindgen};

use crate::dom::{self, El, el};
use crate::state::page_state::PageState;
use crate::state::storage;

/// Most bytes that a code holds and a telephone still reads from paper.
const MOST: usize = 1200;

/// Where this page stands for everybody: as somebody has said, or where it was served from.
pub fn address() -> Option<String> {
    storage::address().or_else(|| {
        let host = window().location().hostname().ok()?;
        let here = matches!(host.as_str(), "localhost" | "127.0.0.1" | "[::1]");
        storage::served_from().filter(|_| !here)
    })
}

#[wasm_bindgen]
extern "C" {
    /// The browser's own zlib, in the page's script: one in the program would cost the page 20 kB.
    #[wasm_bindgen(js_name = pulsewright_pack, catch)]
    fn pack(text: &str) -> Result<js_sys::Promise, JsValue>;
}

/// The code as a drawing: one path, a square for each dark run of a row, four light ones around.
fn drawing(text: &str) -> Option<String> {
    let code = QrCode::encode_text(text, QrCodeEcc::Low).ok()?;
    let size = code.size();
    let mut path = String::new();
    for y in 0..size {
        let mut x = 0;
        while x < size {
            let begin = x;
            while x < size && code.get_module(x, y) {
                x += 1;
            }
            if x > begin {
                for (letter, number) in [("M", begin), (" ", y), ("h", x - begin)] {
                    path.push_str(letter);
                    push_int(&mut path, i64::from(number));
                }
                path.push_str("v1H");
                push_int(&mut path, i64::from(begin));
                path.push('z');
            }
            x += 1;
        }
    }
    let side = pulsewright_sheet::text::number::int(i64::from(size + 8));
    Some(
        [
            "<svg viewBox='-4 -4 ",
            &side,
            " ",
            &side,
            "' role='img' aria-label='QR code of this card'><path d='",
            &path,
            "'/></svg>",
        ]
        .concat(),
    )
}

/// The place of the code on paper. It is drawn a moment after each change of the card, and left out
/// where it would lag behind.
pub fn code(page: PageState) -> El {
    let figure = el("figure").class("code");
    let place = figure.element();
    // The link that was drawn.
    let drawn: StoredValue<String, LocalStorage> = StoredValue::new_local(String::new());
    let follow = page.once_painted();
    let waiting: StoredValue<Option<Timeout>, LocalStorage> = StoredValue::new_local(None);
    let (target, current) = (place.clone(), move || {
        page.read_untracked(|w| link::write(w.eval.design()))
    });
    let draw = move || {
        waiting.set_value(None);
        let plain = current();
        if plain == drawn.get_value() {
            return;
        }
        let Ok(promise) = pack(&plain) else { return };
        let target = target.clone();
        let done = Closure::once(move |packed: JsValue| {
            let text = address()
                .zip(packed.as_string())
                .map(|(address, packed)| [address, packed].concat())
                .filter(|text| text.len() <= MOST);
            let drawing = text.and_then(|text| drawing(&text));
            target.set_inner_html(&drawing.unwrap_or_default());
            drawn.set_value(plain);
        });
        let _ = promise.then(&done);
        done.forget();
    };
    let again = draw.clone();
    dom::follow(Box::new(move || {
        follow.track_revision();
        if waiting.with_value(Option::is_none) && address().is_some() {
            waiting.set_value(Some(Timeout::new(700, draw.clone())));
        }
    }));
    // An address that was set or changed makes another code.
    EventListener::new(&window(), "pulsewright-address", move |_| {
        drawn.set_value(String::new());
        place.set_inner_html("");
        again();
    })
    .forget();
    let stale = figure.element();
    EventListener::new(&window(), "beforeprint", move |_| {
        if drawn.get_value() != current() || address().is_none() {
            stale.set_inner_html("");
            drawn.set_value(String::new());
        }
    })
    .forget();
    figure
}
