//! On paper: the first page with verdict, drive line, settings, parts to fit and the order; the second with the bench
//! tests; all figures of the stations only where they are asked for.

use gloo_events::EventListener;
use leptos::prelude::*;
use pulsewright_sheet::analysis::bench_sheet::ORDER;
use pulsewright_sheet::output::report;
use pulsewright_sheet::register::{self, COUNT, INPUT_COUNT, STATIONS, Station, wiring};
use wasm_bindgen::prelude::wasm_bindgen;

use crate::dom::{El, batched, el, memo};
use crate::state::page_state::PageState;
use crate::view::bench::question;
use crate::view::cards;
use crate::view::checks::why;
use crate::view::result::value;

#[wasm_bindgen]
extern "C" {
    /// A style sheet made by a script: the page's policy lets no other be added.
    type CSSStyleSheet;
    #[wasm_bindgen(constructor, catch)]
    fn new() -> Result<CSSStyleSheet, wasm_bindgen::JsValue>;
    #[wasm_bindgen(method, js_name = replaceSync, catch)]
    fn replace_sync(this: &CSSStyleSheet, text: &str) -> Result<(), wasm_bindgen::JsValue>;
}

/// Opens what goes to paper while the design is printed.
pub fn all_open(page: PageState) {
    let before = StoredValue::new_local(Vec::new());
    EventListener::new(&window(), "beforeprint", move |_| {
        page.enter_typed();
        before.set_value(page.open_stations.get_untracked());
        let appendix = page.appendix.get_untracked();
        page.open_stations.set(if appendix {
            STATIONS.iter().map(|h| h.station).collect()
        } else {
            vec![Station::Bench]
        });
        if let Some(root) = document().document_element() {
            let _ = root.set_attribute("data-appendix", if appendix { "yes" } else { "no" });
        }
        name_the_pages(page);
        page.paper.set(true);
    })
    .forget();
    EventListener::new(&window(), "afterprint", move |_| {
        page.paper.set(false);
        page.appendix.set(false);
        page.open_stations.set(before.get_value());
    })
    .forget();
}

/// Title, revision and date at the head of every page, its number at the foot.
fn name_the_pages(page: PageState) {
    let (title, revision) = page.read_untracked(|w| {
        let design = w.eval.design();
        let revision = design.text(register::card::REVISION.index());
        (cards::title(design), String::from(revision))
    });
    let quoted = |text: &str| -> String {
        let plain: String = text.chars().filter(|c| !c.is_control()).take(120).collect();
        plain.replace('\\', "\\\\").replace('"', "\\\"")
    };
    let date = String::from(js_sys::Date::new_0().to_iso_string());
    let revision = if revision.is_empty() {
        String::new()
    } else {
        ["revision ", &quoted(&revision), " · "].concat()
    };
    let rule = [
        "@page{margin:15mm 12mm 14mm;@top-left{content:\"",
        &quoted(&title),
        "\";font:9pt sans-serif}@top-right{content:\"",
        &revision,
        date.get(..10).unwrap_or(""),
        "\";font:9pt sans-serif}@bottom-right{content:counter(page) \" / \" counter(pages);font:9pt sans-serif}}",
    ]
    .concat();
    if let Ok(sheet) = CSSStyleSheet::new()
        && sheet.replace_sync(&rule).is_ok()
    {
        let list = js_sys::Array::of1(&sheet);
        let _ = js_sys::Reflect::set(&document(), &"adoptedStyleSheets".into(), &list);
    }
}

/// Results of a part of the verdict, as far as they are there.
fn lines(page: PageState, prefix: &str) -> Vec<El> {
    (INPUT_COUNT..COUNT)
        .filter(|&i| register::id(i).starts_with(prefix))
        .filter(|&i| register::result(i).is_some_and(|r| r.shown))
        .filter(|&i| page.read_untracked(|w| w.eval.answer(i).found.is_ok()))
        .map(|i| {
            el("li")
                .child(el("span").text(register::label(i)))
                .text(" ")
                .child(el("b").text_fn(move || value(page, i)))
        })
        .collect()
}

/// What is to be fitted; where nothing is known of it yet, why.
fn to_fit(page: PageState) -> Vec<El> {
    let known = lines(page, "fit.");
    if !known.is_empty() {
        return known;
    }
    let absent = page.read_untracked(|w| w.eval.answer(wiring::FIT_GAUGE.index()).found.err());
    vec![el("li").text(&absent.as_ref().map_or(String::new(), why))]
}

/// The line that stands on every card.
pub fn standing() -> El {
    el("p").class("standing-line").text(report::STANDING)
}

/// What only the first page of paper shows: settings, parts to fit, the order.
pub fn first_page(page: PageState) -> El {
    let build = move || {
        let part = |name: &str, class: &str, lines: Vec<El>| {
            el("section")
                .child(el("h3").text(name))
                .child(el("ul").class(class).children(lines))
        };
        batched(|| {
            vec![
                part(
                    "Settings for firmware and step/dir controller",
                    "listed",
                    lines(page, "settings."),
                ),
                part("To fit", "listed", to_fit(page)),
                part(
                    "Order checklist",
                    "order",
                    ORDER.iter().map(|row| question(page, row)).collect(),
                ),
                standing(),
            ]
        })
    };
    el("div")
        .class("first-page")
        .show_when(memo(move || page.paper.get()), build)
}
