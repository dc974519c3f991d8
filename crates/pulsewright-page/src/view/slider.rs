//! The slider of the field in hand: everything on the card moves with it.

use std::cell::RefCell;
use std::rc::Rc;

use leptos::prelude::*;
use pulsewright_sheet::output::slider::Slide;
use wasm_bindgen::JsCast;
use web_sys::HtmlInputElement;

use crate::dom::{self, el};
use crate::state::page_state::PageState;
use crate::state::simulation;
use crate::view::field;

/// Steps from end to end.
const STEPS: f64 = 240.0;

/// Puts the one slider of the page into the field that has the keyboard.
///
/// Its ends stay where they are while it is slid; typing and every other change of the card set them
/// anew around what stands in the field then.
pub fn follow(page: PageState) {
    let made = el("input")
        .class("slide")
        .attr("type", "range")
        .attr("max", &pulsewright_sheet::text::number::int(STEPS as i64));
    let Ok(slider) = made.element().dyn_into::<HtmlInputElement>() else {
        return;
    };
    let slid: Rc<RefCell<Option<(usize, Slide)>>> = Rc::default();
    let (shown, held) = (slider.clone(), slid.clone());
    // Whoever types looks at the field.
    let typed = page.once_painted();
    dom::follow(Box::new(move || {
        let _ = page.replaced.get();
        if page.typing.get().is_some() {
            typed.track_revision();
        }
        let index = page.focus.get();
        let now = index.and_then(|i| Some((i, page.read_untracked(|w| Slide::new(&w.eval, i))?)));
        let line = now.as_ref().and_then(|(index, _)| {
            document()
                .get_element_by_id(&field::element_id(*index))?
                .closest(".line")
                .ok()
                .flatten()
        });
        match (line, &now) {
            (Some(line), Some((index, slide))) => {
                if line.next_sibling().as_ref() != Some(&shown) {
                    let _ = line.insert_adjacent_element("afterend", &shown);
                }
                let before = held.borrow().as_ref().map(|(index, _)| *index);
                if before != Some(*index) {
                    let name = page.read_untracked(|w| w.eval.label(*index));
                    let label = ["Adjust ", name].concat();
                    let _ = shown.set_attribute("aria-label", &label);
                }
                shown.set_value_as_number(slide.place() * STEPS);
                let text = page.read_untracked(|w| {
                    pulsewright_sheet::evaluation::display::field_text(&w.eval, *index)
                });
                let _ = shown.set_attribute("aria-valuetext", &text);
            }
            _ => shown.remove(),
        }
        *held.borrow_mut() = now;
    }));
    let made = made.on("input", move |_| {
        let entry = slid.borrow().as_ref().and_then(|(index, slide)| {
            Some((*index, slide.entry(slider.value_as_number() / STEPS)?))
        });
        if let Some((index, entry)) = entry {
            let words = pulsewright_sheet::design::entry_text::entry_text(index, &entry);
            let _ = slider.set_attribute("aria-valuetext", &words);
            simulation::enter(page, index, entry.text);
        }
    });
    let _ = made.on("change", move |_| {
        simulation::let_go(page);
        page.commit();
    });
}
