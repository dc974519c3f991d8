//! One field, for any input of the register.

use leptos::prelude::*;
use pulsewright_sheet::design::State;
use pulsewright_sheet::design::entry::in_unit;
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::register::{self, Form, Kind, Preset, axis, gears};
use pulsewright_sheet::stations::shared::by_radius;
use wasm_bindgen::JsCast;

use crate::dom::{El, batched, button, el};
use crate::focus::keep_place;
use crate::state::page_state::PageState;
use crate::view::deciding;
use crate::view::figures::tidy;

/// The element id of a field.
pub fn element_id(index: usize) -> String {
    ["f-", &register::id(index).replace('.', "-")].concat()
}

/// Whether input `index` is used by this design's kind of axis.
pub fn applies(page: PageState, index: usize) -> bool {
    page.read(|w| {
        let kind = w.eval.get(axis::KIND).unwrap_or(Kind::Arm);
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
    tolerance.map_or(String::new(), |t| {
        [", ±", &t, " (default tolerance)"].concat()
    })
}

/// Given, assumed from what, or left out.
fn standing(page: PageState, index: usize) -> String {
    let preset = register::inputs()
        .get(index)
        .map_or(Preset::LeftOut, |i| i.preset);
    if let Some(wish) = page.read(|w| w.eval.design().wish(index)) {
        let listed = if wish.listed.is_empty() {
            "nothing".into()
        } else {
            wish.readable()
        };
        return ["wished for; entered before: ", &listed].concat();
    }
    if is_given(page, index) {
        return "entered".into();
    }
    if page.read(|w| w.eval.left_out(index)) {
        return "not used".into();
    }
    if page.read(|w| display::superseded_by(&w.eval, index).is_some()) {
        return "from tooth counts".into();
    }
    match preset {
        Preset::Computed(how) => ["typical value: ", how].concat(),
        Preset::ByClass(_) => "typical value for a motor of this size".into(),
        _ => "typical value".into(),
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
    let range = tidy(&pulsewright_sheet::design::entry::range_words(input));
    let mut parts = Vec::new();
    if !range.is_empty() {
        parts.push(["range ", &range].concat());
    }
    if !units.is_empty() {
        parts.push(["units: ", &units].concat());
    }
    parts.iter().map(|part| [" · ", part].concat()).collect()
}

/// The name of an input, as the kind of axis has it.
fn name(page: PageState, index: usize) -> &'static str {
    page.read(|w| w.eval.label(index))
}

/// Whether kinds of axis have names of their own for an input: then what is called by it follows the kind.
fn has_names(index: usize) -> bool {
    let input = register::inputs().get(index);
    input.is_some_and(|input| !input.labels.is_empty())
}

/// `el` with the name of an input and what stands before it.
fn named(el: El, page: PageState, index: usize, before: &'static str) -> El {
    if has_names(index) {
        el.text_fn(move || [before, name(page, index)].concat())
    } else {
        el.text(&[before, register::label(index)].concat())
    }
}

/// `el`, called so by those who do not see it.
fn called(el: El, page: PageState, index: usize, before: &'static str) -> El {
    if has_names(index) {
        el.attr_fn("aria-label", move || {
            Some([before, name(page, index)].concat())
        })
    } else {
        el.attr("aria-label", &[before, register::label(index)].concat())
    }
}

/// A field with its symbol, its label, its help and its message.
pub fn field(page: PageState, index: usize) -> El {
    batched(move || made(page, index))
}

/// The symbol of an input with its index, as it stands in the drawing.
pub fn symbol(index: usize) -> El {
    let symbol = register::symbol(index);
    let (base, sub) = symbol.split_once('_').unwrap_or((symbol, ""));
    // What is chosen from words has a word for its symbol, and no letter in the drawing.
    let (base, sub) = if base.chars().nth(2).is_some() {
        ("", "")
    } else {
        (base, sub)
    };
    let made = el("span")
        .class("symbol")
        .attr("aria-hidden", "true")
        .text(base);
    if sub.is_empty() {
        made
    } else {
        made.child(el("sub").text(sub))
    }
}

fn made(page: PageState, index: usize) -> El {
    let Some(input) = register::inputs().get(index) else {
        return el("div");
    };
    let id = element_id(index);
    let part = |name: &str| [id.as_str(), name].concat();
    let (help_id, message_id, more_id) = (part("-help"), part("-message"), part("-more"));
    // A message appears once a value is committed and goes as soon as it can be read.
    let committed = RwSignal::new(true);
    let message = move || {
        if committed.get() {
            page.read(|w| w.message(index))
        } else {
            None
        }
    };
    let control = control(page, index, committed, false);
    let described = [message_id.as_str(), " ", &help_id].concat();
    let input_element = control
        .0
        .attr("id", &id)
        .attr("aria-describedby", &described)
        .attr_fn("aria-invalid", move || message().map(|_| "true".into()));
    let again = if matches!(input.preset, Preset::LeftOut) {
        "clear"
    } else {
        "use typical value"
    };
    // What helps stays until another field is taken up: nothing moves away from under the mouse.
    let asked = RwSignal::new(false);
    let in_hand = move || asked.get() || page.focus.get() == Some(index);
    let back = id.clone();
    el("div")
        .class_fn(move || {
            let standing = if is_given(page, index) {
                "field given"
            } else if page.read(|w| w.eval.left_out(index)) {
                "field left-out"
            } else {
                "field"
            };
            let hand = if in_hand() { " in-hand" } else { "" };
            [standing, hand].concat()
        })
        .flag("hidden", move || !applies(page, index))
        .child(
            el("div")
                .class("line")
                .child(symbol(index))
                .child(named(el("label").attr("for", &id), page, index, ""))
                .child(
                    el("span")
                        .class("value")
                        .child(input_element)
                        .child(control.1),
                )
                .child(
                    // The keyboard has the help by standing in the field.
                    called(
                        button("why", move || asked.update(|asked| *asked = !*asked)),
                        page,
                        index,
                        "Help: ",
                    )
                    .attr("tabindex", "-1")
                    .attr("aria-controls", &more_id)
                    .expanded(in_hand)
                    .text("?"),
                ),
        )
        .child(
            el("p")
                .class("message")
                .attr("id", &message_id)
                .flag("hidden", move || message().is_none())
                .text_fn(move || {
                    message().map_or(String::new(), |m| [name(page, index), ": ", &m].concat())
                }),
        )
        .child(
            el("div")
                .class("more")
                .attr("id", &more_id)
                .flag("hidden", move || !in_hand())
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
                .child(el("p").class("moves").text_fn(move || {
                    if in_hand() {
                        moves(page, index)
                    } else {
                        String::new()
                    }
                }))
                .child(
                    button("quiet again", move || {
                        page.set_input(index, "");
                        crate::focus::focus(back.clone());
                    })
                    // By keyboard the field is emptied.
                    .attr("tabindex", "-1")
                    .flag("hidden", move || !is_given(page, index))
                    .text(again)
                    .child(named(
                        el("span").class("unseen"),
                        page,
                        index,
                        ": ",
                    )),
                ),
        )
}

/// The figure that an input moves: the first of its station's deciding ones that rests on it, else of the checks.
fn moves(page: PageState, index: usize) -> String {
    page.read(|w| {
        let station = register::station(index);
        let rests = |&result: &usize| {
            let answer = w.eval.answer(result);
            answer.found.is_ok() && answer.depends_on.has(index)
        };
        let near = station.and_then(|s| deciding::of(s).into_iter().find(rests));
        let shown = near.map(|result| {
            let value = tidy(&display::display(&w.eval, result, 3));
            [register::label(result), " ", &value].concat()
        });
        let shown = shown.or_else(|| {
            let ranked = pulsewright_sheet::evaluation::check::ranked(w.held.iter());
            let held = ranked.into_iter().find(|h| h.depends_on.has(index))?;
            let margin = pulsewright_sheet::output::verdict::margin(&w.eval, &held);
            (!margin.is_empty()).then(|| [held.check.label, ": margin ", &margin].concat())
        });
        shown.map_or(String::new(), |text| ["→ ", &text].concat())
    })
}

/// Whether the sentence asks for an input: teeth unless a radius is entered in their place, and a radius beside no teeth.
pub fn asked_in_sentence(page: PageState, index: usize) -> bool {
    let radius = page.read(|w| match w.eval.get(axis::KIND) {
        Ok(Kind::Belt) => by_radius(&w.eval, axis::PULLEY_TEETH),
        Ok(Kind::Rack) => by_radius(&w.eval, axis::PINION_TEETH),
        _ => true,
    });
    let teeth = [
        axis::PULLEY_TEETH.index(),
        axis::BELT_PITCH.index(),
        axis::PINION_TEETH.index(),
        axis::PINION_MODULE.index(),
    ];
    let other = if radius {
        teeth.contains(&index)
    } else {
        index == axis::RADIUS.index()
    };
    applies(page, index) && !other
}

/// A field within a sentence with its name under it, and its message.
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
        message.map(|m| [name(page, index), ": ", &m].concat())
    };
    let (control, unit) = control(page, index, committed, true);
    let last = core::cell::Cell::new(0);
    let control = match input.form {
        Form::Choice(_) => control,
        _ => control.attr_fn("size", move || {
            // As wide as what stands in it or would stand in it, and as it was while somebody types: nothing moves.
            let _ = page.replaced.get();
            if page.typing.get().is_some() && last.get() > 0 {
                return Some(pulsewright_sheet::text::number::int(last.get()));
            }
            let text = page.read(|w| match w.eval.design().state(index) {
                State::Refused { text, .. } => text.clone(),
                _ => display::field_text(&w.eval, index),
            });
            last.set(text.chars().count().clamp(7, 24) as i64);
            Some(pulsewright_sheet::text::number::int(last.get()))
        }),
    };
    let control = called(control, page, index, "")
        .class_fn(move || {
            if is_given(page, index) {
                "blank given"
            } else {
                "blank"
            }
            .into()
        })
        .attr("id", &id)
        .attr("aria-describedby", &[&message_id, " about-blank"].concat())
        .attr_fn("aria-invalid", move || message().map(|_| "true".into()))
        .on("focus", move |_| at.set(Some(index)));
    let slot = el("span")
        .class("slot")
        .flag("hidden", move || !asked_in_sentence(page, index))
        .child(el("span").class("value").child(control).child(unit))
        .child(named(
            el("span").class("named").attr("aria-hidden", "true"),
            page,
            index,
            "",
        ));
    let told = el("p")
        .class("message")
        .attr("id", &message_id)
        .flag("hidden", move || message().is_none())
        .text_fn(move || message().unwrap_or_default());
    (slot, told)
}

/// What is said beneath a sentence of the blank that has the keyboard.
pub fn about(page: PageState, index: usize) -> String {
    let Some(input) = register::inputs().get(index) else {
        return String::new();
    };
    let help = if input.help.is_empty() { "" } else { " · " };
    [
        name(page, index),
        ", ",
        &standing(page, index),
        &taken(page, index),
        help,
        input.help,
        &limits(input),
    ]
    .concat()
}

/// The control of an input, and its unit behind it.
fn control(
    page: PageState,
    index: usize,
    committed: RwSignal<bool>,
    in_sentence: bool,
) -> (El, El) {
    match register::inputs().get(index).map(|i| i.form) {
        Some(Form::Choice(words)) => (choice(page, index, words), el("span")),
        _ => entry(page, index, committed, in_sentence),
    }
}

/// Whether a text says its own unit, or has none to say.
fn says_its_unit(index: usize, text: &str, unit: &str) -> bool {
    let input = register::inputs().get(index);
    let bare = input.is_some_and(|input| in_unit(input, text, unit).is_some());
    !(text.trim().is_empty() || bare || index == gears::RATIO.index())
}

fn entry(page: PageState, index: usize, committed: RwSignal<bool>, in_sentence: bool) -> (El, El) {
    let form = register::inputs().get(index).map(|i| i.form);
    let wide = matches!(form, Some(Form::Text | Form::Stages | Form::Shares));
    let made = el("input")
        .attr("type", "text")
        .attr("autocomplete", "off")
        .attr("autocapitalize", "off")
        .attr("spellcheck", "false")
        .class(if wide { "wide" } else { "" });
    let tail = el("span").class("unit").attr("aria-hidden", "true");
    let Ok(node) = made.element().dyn_into::<web_sys::HtmlInputElement>() else {
        return (made, tail);
    };
    // The unit that a bare number takes: it stays what it was while somebody types.
    let unit = StoredValue::new(String::new());
    let beside = tail.element();
    let show_unit = move |text: &str| {
        let own = unit.with_value(|unit| says_its_unit(index, text, unit));
        let now = if own {
            String::new()
        } else if index == gears::RATIO.index() && !text.contains(':') {
            ": 1".into()
        } else {
            unit.get_value()
        };
        if beside.text_content().as_deref() != Some(&now) {
            beside.set_text_content(Some(&now));
        }
    };
    let (shown, beside) = (node.clone(), show_unit.clone());
    // What is assumed follows the inputs that it depends on; what a person types is left alone.
    let made = made.attr_fn("data-shown", move || {
        let _ = page.replaced.get();
        let typing = page.typing.get() == Some(index);
        let (text, of_field) = page.read(|w| {
            let text = display::field_text(&w.eval, index);
            let unit = if typing {
                String::new()
            } else {
                display::field_unit(&w.eval, index)
            };
            (text, unit)
        });
        if !typing {
            // In the sentence what is not entered is a hint.
            let hint = in_sentence && !is_given(page, index);
            let value = if hint { "" } else { text.as_str() };
            if hint && shown.placeholder() != text {
                shown.set_placeholder(&text);
            }
            if shown.value() != value {
                shown.set_value(value);
            }
            unit.set_value(of_field);
            // A hint says its unit itself.
            beside(&text);
        }
        None
    });
    let (typed, pressed, left) = (node.clone(), node.clone(), node.clone());
    let made = made
        .on("input", move |_| {
            // What stands already tells nobody anew.
            if untrack(|| committed.get()) {
                committed.set(false);
            }
            if untrack(|| page.typing.get()) != Some(index) {
                page.typing.set(Some(index));
            }
            let text = typed.value();
            show_unit(&text);
            let with_unit = unit.with_value(|unit| {
                let input = register::inputs().get(index)?;
                in_unit(input, &text, unit)
            });
            page.type_in(index, with_unit.unwrap_or(text));
        })
        .on("change", move |_| {
            committed.set(true);
            page.commit();
        })
        .on("mousedown", move |event| {
            // The whole blank is selected when it is taken up; a second press sets the caret.
            let first = document().active_element().as_ref() != Some(pressed.as_ref());
            if first {
                event.prevent_default();
                let _ = pressed.focus();
            }
        })
        .on("keydown", move |event| {
            let key = event.dyn_ref::<web_sys::KeyboardEvent>();
            if key.is_some_and(|key| key.key() == "Escape")
                && untrack(|| page.typing.get()) == Some(index)
            {
                // The value of before stands again.
                event.prevent_default();
                page.take_back_typing();
                committed.set(true);
                left.select();
            }
        })
        .on("blur", move |_| {
            committed.set(true);
            page.commit();
            // The field shows what was read; an emptied one what is assumed again.
            page.typing.set(None);
        });
    let (picked, place) = (node.clone(), node);
    let made = made.on("focus", move |_| {
        keep_place(place.as_ref(), || page.focus.set(Some(index)));
        picked.select();
    });
    (made, tail)
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
        page.type_in(index, node.value());
        page.commit();
    })
}
