//! Files: the card itself, out and in again, and what is handed on from it.

use gloo_events::{EventListener, EventListenerOptions};
use leptos::prelude::*;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::card::{self, CardError};
use pulsewright_sheet::design::link::{self, Read};
use pulsewright_sheet::design::open::{OpenError, open_by};
use pulsewright_sheet::output::c_header;
use pulsewright_sheet::output::documentation;
use pulsewright_sheet::output::results_table;
use pulsewright_sheet::output::settings;
use pulsewright_sheet::register::card::TITLE;
use wasm_bindgen::{JsCast, JsValue};

use crate::dom::{El, button, el};
use crate::state::origin::Origin;
use crate::state::page_state::PageState;
use crate::state::storage;

/// What can be saved: how it is called, how its name ends, its type, its text.
type Kind = (
    &'static str,
    &'static str,
    &'static str,
    fn(&pulsewright_sheet::evaluation::Eval<'_>) -> String,
);

const KINDS: [Kind; 6] = [
    ("Save this design", ".card.json", "application/json", |c| {
        card::write(c.design())
    }),
    (
        "Firmware settings (C header)",
        "-settings.h",
        "text/x-c",
        c_header::write,
    ),
    (
        "Firmware settings (JSON)",
        "-settings.json",
        "application/json",
        settings::json,
    ),
    (
        "Settings (Markdown)",
        "-settings.md",
        "text/markdown",
        settings::markdown,
    ),
    (
        "All results (CSV)",
        "-figures.csv",
        "text/csv",
        results_table::results,
    ),
    (
        "For documentation (Markdown)",
        "-documentation.md",
        "text/markdown",
        documentation::snippet,
    ),
];

/// What can be saved, handed on and opened.
pub fn panel(page: PageState) -> Vec<El> {
    let chooser = el("input")
        .attr("type", "file")
        .attr("aria-label", "Design file")
        .attr("accept", ".json,.h,.md,.txt")
        .flag("hidden", || true);
    let input: web_sys::HtmlInputElement = chooser.element().unchecked_into();
    let (chosen, asked) = (input.clone(), input);
    let chooser = chooser.on("change", move |_| {
        open_first(page, chosen.files());
        // The same file can be chosen once more.
        chosen.set_value("");
    });
    let mut rows = vec![
        chooser,
        button("quiet", move || asked.click()).text("Open a design file"),
    ];
    for (label, end, kind, write) in KINDS {
        rows.push(
            button("quiet", move || {
                let (name, text) = page.read_untracked(|w| {
                    (name(w.eval.design().text(TITLE.index())), write(&w.eval))
                });
                save(&[&name, end].concat(), kind, &text);
            })
            .text(label),
        );
    }
    rows.push(el("p").class("help").text(
        "Or drop a design file anywhere on this page. It is added to your designs; none is replaced.",
    ));
    if storage::framed() {
        rows.push(el("p").class("help").text(
            "In a frame nothing is kept, and the page around decides whether files can be saved, the design printed and the link copied. The link as text, to copy by hand:",
        ));
        rows.push(
            el("p")
                .attr("id", "framed-link")
                .text_fn(move || page.read(|w| link::write(w.eval.design()))),
        );
    }
    rows.push(published());
    rows
}

/// Where the page is published: what a link begins with and a code on paper leads to.
fn published() -> El {
    let wrong = RwSignal::new(false);
    let field = el("input")
        .attr("id", "address")
        .attr("inputmode", "url")
        .attr("autocomplete", "off")
        .attr("aria-describedby", "address-help")
        .attr("value", &storage::address().unwrap_or_default())
        .flag("aria-invalid", move || wrong.get());
    let typed: web_sys::HtmlInputElement = field.element().unchecked_into();
    el("div")
        .class("field")
        .child(
            el("div")
                .class("line")
                .child(el("label").attr("for", "address").text("Address where this page is published"))
                .child(field.class("wide").on("change", move |_| {
                    wrong.set(!storage::set_address(&typed.value()));
                    if let Ok(event) = web_sys::Event::new("pulsewright-address") {
                        let _ = window().dispatch_event(&event);
                    }
                })),
        )
        .child(el("p").class("message").attr("role", "alert").flag("hidden", move || !wrong.get()).text(
            "An address of the web begins with https:// or http://.",
        ))
        .child(el("p").class("help").attr("id", "address-help").text(
            "Links that you copy begin with it, and the printed design carries them as a QR code. Left out: a link is only its part from #, and no code is printed.",
        ))
}

/// The begin of a file's name, from the card's title.
fn name(title: &str) -> String {
    let mut out = String::new();
    for letter in title.chars().take(60) {
        if letter.is_ascii_alphanumeric() {
            out.push(letter.to_ascii_lowercase());
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    let out = out.trim_end_matches('-');
    if out.is_empty() { "my-axis" } else { out }.into()
}

/// Hands a text to the browser as a file to keep.
fn save(name: &str, kind: &str, text: &str) {
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    let options = web_sys::BlobPropertyBag::new();
    options.set_type(kind);
    let Ok(blob) = web_sys::Blob::new_with_str_sequence_and_options(&parts, &options) else {
        return;
    };
    let Ok(address) = web_sys::Url::create_object_url_with_blob(&blob) else {
        return;
    };
    let anchor = el("a").attr("href", &address).attr("download", name);
    let anchor: web_sys::HtmlElement = anchor.element().unchecked_into();
    anchor.click();
    // The browser has taken it by then.
    gloo_timers::callback::Timeout::new(60_000, move || {
        let _ = web_sys::Url::revoke_object_url(&address);
    })
    .forget();
}

/// Reads the first of some files and lays it on the page.
fn open_first(page: PageState, files: Option<web_sys::FileList>) {
    let Some(file) = files.and_then(|files| files.get(0)) else {
        return;
    };
    let name = file.name();
    let trouble = move |what: &str| page.notice.set(Some([&name, ": ", what].concat()));
    if file.size() > card::LONGEST as f64 {
        trouble(&CardError::TooLong.message());
        return;
    }
    let Ok(reader) = web_sys::FileReader::new() else {
        return;
    };
    let read = reader.clone();
    EventListener::once(&reader, "loadend", move |_| {
        match read.result().ok().and_then(|text| text.as_string()) {
            Some(text) => match understood(&text) {
                Ok(Read { design, trouble }) => {
                    page.notice.set(trouble.map(|t| t.message().into()));
                    page.replace(design, Origin::File);
                }
                Err(error) => trouble(&error.message()),
            },
            None => trouble("the browser could not read this file"),
        }
    })
    .forget();
    let _ = reader.read_as_text(&file);
}

/// The design of a card file, or of any text that carries its link, such as a header made from it.
fn understood(text: &str) -> Result<Read, OpenError> {
    open_by(text, &|text| match js_sys::JSON::parse(text) {
        Ok(value) => from_json(&value),
        Err(error) => Err(CardError::Unread(
            js_sys::Object::from(error).to_string().into(),
        )),
    })
}

/// The browser has read the JSON: a reader of our own would cost the page 30 kB.
fn from_json(value: &JsValue) -> Result<Design, CardError> {
    let part = |name: &str| js_sys::Reflect::get(value, &name.into()).unwrap_or(JsValue::NULL);
    let format = part("route_card")
        .as_f64()
        .filter(|f| *f >= 0.0 && f.fract() == 0.0);
    let inputs = part("inputs");
    let entries = (inputs.is_object() && !js_sys::Array::is_array(&inputs)).then(|| {
        js_sys::Object::entries(inputs.unchecked_ref())
            .iter()
            .filter_map(|entry| {
                let pair: js_sys::Array = entry.unchecked_into();
                let (id, value) = (pair.get(0).as_string()?, pair.get(1));
                let text = if let Some(text) = value.as_string() {
                    text
                } else if let Some(yes) = value.as_bool() {
                    if yes { "yes" } else { "no" }.into()
                } else if value.is_null() {
                    return None;
                } else {
                    String::from(js_sys::JSON::stringify(&value).ok()?)
                };
                Some((id, text))
            })
            .collect()
    });
    card::assembled(format.map(|f| f as u64), entries)
}

/// A file dropped anywhere on the page is opened.
pub fn take_drops(page: PageState) {
    // Text that is dragged into a field stays the browser's business.
    let carried = |event: &web_sys::Event| {
        let transfer = event.dyn_ref::<web_sys::DragEvent>()?.data_transfer()?;
        let files = transfer.types().includes(&"Files".into(), 0);
        files.then_some(transfer)
    };
    let may_prevent = EventListenerOptions::enable_prevent_default();
    EventListener::new_with_options(&document(), "dragover", may_prevent, move |event| {
        if carried(event).is_some() {
            event.prevent_default();
        }
    })
    .forget();
    EventListener::new_with_options(&document(), "drop", may_prevent, move |event| {
        if let Some(transfer) = carried(event) {
            event.prevent_default();
            open_first(page, transfer.files());
        }
    })
    .forget();
}
