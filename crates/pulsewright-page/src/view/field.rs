//! One field, for any input of the register.

use leptos::prelude::*;
use pulsewright_sheet::design::State;
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::register::{self, Form, Preset};
use wasm_bindgen::JsCast;

use crate::dom::{El, batched, button, el};
use crate::state::page_state::PageState;

/// The element id of a field.
pub fn element_id(index: usize) -> String {
    ["f-", &register::id(index).replace('.', "-")].concat()
}

/// Whether input `index` is used by this design's kind of axis.
pub fn applies(page: PageState, index: usize) -> bool {
    page.read(|w| {
        let kind = w
            .eval
            .get(register::axis::KIND)
            .unwrap_or(register::Kind::Arm);
        register::inputs()
            .get(index)
            .is_some_and(|i| i.kinds.has(kind))
    })
}

fn is_given(page: PageState, index: usize) -> bool {
    page.read(|w| !matches!(w.eval.design().state(index), State::Assumed))
}

/// The tolerance that is taken where none is typed.
fn taken(page: PageState, index: usize) -> String {
    let tolerance = page.read(|w| display::untyped(&w.eval, index));
    tolerance.map_or(String::new(), |t| [", ± ", &t, " taken"].concat())
}

/// Given, assumed from what, or left out.
fn standing(page: PageState, index: usize) -> String {
    let preset = register::inputs()
        .get(index)
        .map_or(Preset::LeftOut, |i| i.preset);
    if is_given(page, index) {
        return "given".into();
    }
    if page.read(|w| w.eval.left_out(index)) {
        return "left out".into();
    }
    if page.read(|w| display::superseded_by(&w.eval, index).is_some()) {
        return "follows from the teeth".into();
    }
    match preset {
        Preset::Computed(how) => ["assumed: ", how].concat(),
        Preset::ByClass(_) => "assumed: usual for a motor of this size".into(),
        _ => "assumed".into(),
    }
}

/// The limits and units of a field, as they follow its help.
fn limits(input: &register::Input) -> String {
    let units = match input.form {
        Form::Quantity(measure) => {
            let names: Vec<String> = measure
                .usual()
                .iter()
                .map(|u| pulsewright_sheet::text::unit::pretty(u))
                .collect();
            names.join(", ")
        }
        Form::Travel => "°, turn, mm, in".into(),
        _ => String::new(),
    };
    let range = pulsewright_sheet::design::entry::range_words(input);
    let mut parts = Vec::new();
    if !range.is_empty() {
        parts.push(["takes ", &range].concat());
    }
    if !units.is_empty() {
        parts.push(["units: ", &units].concat());
    }
    parts.iter().map(|part| [" · ", part].concat()).collect()
}

/// A field with its label, its help and its message.
pub fn field(page: PageState, index: usize) -> El {
    batched(move || made(page, index))
}

fn made(page: PageState, index: usize) -> El {
    let Some(input) = register::inputs().get(index) else {
        return el("div");
    };
    let id = element_id(index);
    let (help_id, message_id) = (
        [id.as_str(), "-help"].concat(),
        [id.as_str(), "-message"].concat(),
    );
    // A message appears once a value is committed and goes as soon as it can be read.
    let committed = RwSignal::new(true);
    let message = move || {
        if committed.get() {
            page.read(|w| w.message(index))
        } else {
            None
        }
    };
    let control = match input.form {
        Form::Choice(words) => choice(page, index, words),
        _ => entry(page, index, committed),
    };
    let described = [message_id.as_str(), " ", &help_id].concat();
    let control = control
        .attr("id", &id)
        .attr("aria-describedby", &described)
        .attr_fn("aria-invalid", move || message().map(|_| "true".into()));
    let again = if matches!(input.preset, Preset::LeftOut) {
        "leave out"
    } else {
        "assume again"
    };
    el("div")
        .class_fn(move || {
            if is_given(page, index) {
                "field given"
            } else if page.read(|w| w.eval.left_out(index)) {
                "field left-out"
            } else {
                "field"
            }
            .into()
        })
        .flag("hidden", move || !applies(page, index))
        .child(
            el("div")
                .class("line")
                .child(el("label").attr("for", &id).text(input.label))
                .child(control),
        )
        .child(
            el("p")
                .class("message")
                .attr("id", &message_id)
                .flag("hidden", move || message().is_none())
                .text_fn(move || {
                    message().map_or(String::new(), |m| [input.label, ": ", &m].concat())
                }),
        )
        .child(
            el("p")
                .class("help")
                .attr("id", &help_id)
                .child(
                    el("span")
                        .class("standing")
                        .text_fn(move || standing(page, index)),
                )
                .text_fn(move || taken(page, index))
                .text(&if input.help.is_empty() {
                    String::new()
                } else {
                    [" · ", input.help].concat()
                })
                .child(el("span").class("limits").text(&limits(input))),
        )
        .child(
            button("quiet again", move || page.set_input(index, ""))
                .flag("hidden", move || !is_given(page, index))
                .text(again)
                .child(
                    el("span")
                        .class("unseen")
                        .text(&[": ", input.label].concat()),
                ),
        )
}

/// A field within a sentence, without its label, and its message.
pub fn blank(page: PageState, index: usize, at: RwSignal<Option<usize>>) -> (El, El) {
    batched(move || made_blank(page, index, at))
}

fn made_blank(page: PageState, index: usize, at: RwSignal<Option<usize>>) -> (El, El) {
    let Some(input) = register::inputs().get(index) else {
        return (el("span"), el("p"));
    };
    let id = ["s", element_id(index).get(1..).unwrap_or_default()].concat();
    let message_id = [id.as_str(), "-message"].concat();
    let committed = RwSignal::new(true);
    let message = move || {
        let message = page.read(|w| w.message(index)).filter(|_| committed.get());
        message.map(|m| [input.label, ": ", &m].concat())
    };
    let control = match input.form {
        Form::Choice(words) => choice(page, index, words),
        _ => entry(page, index, committed).attr_fn("size", move || {
            // As wide as what stands in it or is being typed.
            let text = page.read(|w| match w.eval.design().state(index) {
                State::Refused { text, .. } => text.clone(),
                _ => display::field_text(&w.eval, index),
            });
            let width = text.chars().count().clamp(3, 24);
            Some(pulsewright_sheet::text::number::int(width as i64))
        }),
    };
    let control = control
        .class_fn(move || {
            if is_given(page, index) {
                "blank given"
            } else {
                "blank"
            }
            .into()
        })
        .attr("id", &id)
        .attr("aria-label", input.label)
        .attr("aria-describedby", &[&message_id, " about-blank"].concat())
        .attr_fn("aria-invalid", move || message().map(|_| "true".into()))
        .flag("hidden", move || !applies(page, index))
        .on("focus", move |_| at.set(Some(index)))
        .on("blur", move |_| at.set(None));
    let told = el("p")
        .class("message")
        .attr("id", &message_id)
        .flag("hidden", move || message().is_none())
        .text_fn(move || message().unwrap_or_default());
    (control, told)
}

/// What is said beneath a sentence of the blank that has the keyboard.
pub fn about(page: PageState, index: usize) -> String {
    let Some(input) = register::inputs().get(index) else {
        return String::new();
    };
    let help = if input.help.is_empty() { "" } else { " · " };
    [
        input.label,
        ", ",
        &standing(page, index),
        &taken(page, index),
        help,
        input.help,
        &limits(input),
    ]
    .concat()
}

fn entry(page: PageState, index: usize, committed: RwSignal<bool>) -> El {
    let form = register::inputs().get(index).map(|i| i.form);
    let wide = matches!(form, Some(Form::Text | Form::Stages | Form::Shares));
    let made = el("input")
        .attr("type", "text")
        .attr("autocomplete", "off")
        .attr("autocapitalize", "off")
        .attr("spellcheck", "false")
        .class(if wide { "wide" } else { "" });
    let Ok(node) = made.element().dyn_into::<web_sys::HtmlInputElement>() else {
        return made;
    };
    let shown = node.clone();
    // What is assumed follows the inputs that it depends on; what a person types is left alone.
    let made = made.attr_fn("data-shown", move || {
        let _ = page.replaced.get();
        let typing = page.typing.get() == Some(index);
        let text = page.read(|w| display::field_text(&w.eval, index));
        if !typing && shown.value() != text {
            shown.set_value(&text);
        }
        None
    });
    let (typed, picked) = (node.clone(), node);
    made.on("input", move |_| {
        // What stands already tells nobody anew.
        if untrack(|| committed.get()) {
            committed.set(false);
        }
        if untrack(|| page.typing.get()) != Some(index) {
            page.typing.set(Some(index));
        }
        page.type_in(index, &typed.value());
    })
    .on("change", move |_| {
        committed.set(true);
        page.commit();
    })
    .on("focus", move |_| {
        page.focus.set(Some(index));
        if !untrack(|| is_given(page, index)) {
            picked.select();
        }
    })
    .on("blur", move |_| {
        committed.set(true);
        page.commit();
        // The field shows what was read; an emptied one what is assumed again.
        page.typing.set(None);
    })
}

fn choice(page: PageState, index: usize, words: &'static [&'static str]) -> El {
    let options = words
        .iter()
        .map(|word| {
            el("option")
                .attr("value", word)
                .text(&word.replace('_', " "))
        })
        .collect();
    let made = el("select").children(options);
    let Ok(node) = made.element().dyn_into::<web_sys::HtmlSelectElement>() else {
        return made;
    };
    let shown = node.clone();
    made.attr_fn("data-shown", move || {
        let _ = page.replaced.get();
        let at = page.read(|w| w.eval.answer(index).found.map_or(0, |v| v as usize));
        shown.set_value(words.get(at).copied().unwrap_or(""));
        None
    })
    .on("focus", move |_| page.focus.set(Some(index)))
    .on("change", move |_| {
        page.type_in(index, &node.value());
        page.commit();
    })
}
