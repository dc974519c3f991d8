//! One's own cards: which there are, another one, away with one, two side by side; and how numbers are
//! shown.

use core::cmp::Ordering;
use std::rc::Rc;

use leptos::prelude::*;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::output::compare::{self, What};
use pulsewright_sheet::register::card::TITLE;
use pulsewright_sheet::text::measure::UnitSystem;
use pulsewright_sheet::text::notation::Notation;
use pulsewright_sheet::text::number::DecimalMark;
use wasm_bindgen::JsCast;

use crate::dom::{El, button, el, memo};
use crate::focus::focus;
use crate::state::evaluated::Evaluated;
use crate::state::origin::{Origin, example};
use crate::state::page_state::PageState;
use crate::state::storage;
use crate::view::figures::{headline, tidy};

/// The title of a card, or what stands in for it.
pub fn title(design: &Design) -> String {
    match design.text(TITLE.index()) {
        "" => "My design".into(),
        text => text.into(),
    }
}

/// The number of the card on the page.
fn here(page: PageState) -> u32 {
    match page.origin.get() {
        Origin::Mine(number) => number,
        _ => 0,
    }
}

/// Cards with something in them, and the one on the page as it stands there.
fn shelf(page: PageState) -> Vec<(u32, Design)> {
    let here = untrack(|| here(page));
    let now = page.read_untracked(|w| w.eval.design().clone());
    let mut cards = storage::cards();
    cards.retain(|(number, design)| *number == here || !design.is_empty());
    for (number, design) in &mut cards {
        if *number == here {
            *design = now.clone();
        }
    }
    cards
}

/// The list of cards.
pub fn cards(page: PageState) -> Vec<El> {
    let page = page.with_own_revision();
    // Rises when a card came or went and the design stayed.
    let came = RwSignal::new(0u32);
    let gone: StoredValue<Option<(u32, Design)>, LocalStorage> = StoredValue::new_local(None);
    let beside = RwSignal::new(0u32);
    let key = memo(move || {
        let _ = (came.get(), here(page), page.steps.get());
        let names: Vec<String> = shelf(page)
            .iter()
            .map(|(number, design)| {
                [
                    &pulsewright_sheet::text::number::int(i64::from(*number)),
                    " ",
                    &title(design),
                ]
                .concat()
            })
            .collect();
        [
            names.join("\n"),
            pulsewright_sheet::text::number::int(i64::from(here(page))),
        ]
        .concat()
    });
    let away = move |number: u32| {
        let card = shelf(page).into_iter().find(|(n, _)| *n == number);
        gone.set_value(card);
        storage::drop_card(number);
        if number == untrack(|| here(page)) {
            match storage::mine() {
                Some((number, design)) => page.replace(design, Origin::Mine(number)),
                None => page.replace(example(0), Origin::Example(0)),
            }
            // What lay there was kept while it was laid aside.
            storage::drop_card(number);
        }
        came.update(|n| *n += 1);
        focus("bring-back".into());
    };
    let back = move || {
        if let Some((number, design)) = gone.get_value() {
            storage::keep_card(number, &design);
            gone.set_value(None);
            came.update(|n| *n += 1);
            focus("cards".into());
        }
    };
    let row = move |(number, design): (u32, Design)| {
        let name = title(&design);
        let unseen = || el("span").class("unseen").text(": ").text(&name);
        let current = number == untrack(|| here(page));
        let open = move || {
            if let Some(design) = storage::card(number) {
                page.replace(design, Origin::Mine(number));
            }
        };
        let shown = if current {
            el("b").text(&name)
        } else {
            button("quiet", open).text(&name)
        };
        let actions = el("span")
            .class("actions")
            .child(
                button("quiet", move || double(page, number))
                    .text("Duplicate")
                    .child(unseen()),
            )
            .child(
                button("quiet", move || away(number))
                    .text("Delete")
                    .child(unseen()),
            );
        let actions = if current {
            actions
        } else {
            actions.child(
                button("quiet", move || {
                    beside.update(|n| *n = if *n == number { 0 } else { number });
                })
                .expanded(move || beside.get() == number)
                .text("Compare")
                .child(unseen()),
            )
        };
        el("li").child(shown).text(" ").child(actions)
    };
    let none = move || key.with(|_| shelf(page).is_empty());
    vec![
        el("p")
            .class("help")
            .flag("hidden", move || !none())
            .text("No design is saved yet. “New design” starts one; so does changing an example."),
        el("ul")
            .class("cards")
            .attr("id", "cards")
            .attr("tabindex", "-1")
            .keyed(key, move || shelf(page).into_iter().map(row).collect()),
        el("p")
            .flag("hidden", move || {
                let _ = came.get();
                gone.with_value(Option::is_none)
            })
            .text_fn(move || {
                let _ = came.get();
                gone.with_value(|card| {
                    card.as_ref().map_or(String::new(), |(_, d)| {
                        ["Deleted: ", &title(d), ". "].concat()
                    })
                })
            })
            .child(
                button("quiet", back)
                    .attr("id", "bring-back")
                    .text("Restore"),
            ),
        el("div").show_when(memo(move || beside.get() != 0), move || {
            vec![side_by_side(page, beside)]
        }),
    ]
}

/// A copy of a card, as a card of its own.
fn double(page: PageState, number: u32) {
    let card = shelf(page).into_iter().find(|(n, _)| *n == number);
    if let Some((_, mut design)) = card {
        let name = [&title(&design), ", copy"].concat();
        design.enter(TITLE.index(), &name, DecimalMark::Stored);
        page.replace_by_new(design);
    }
}

/// The card on the page beside another one: only what differs.
fn side_by_side(page: PageState, beside: RwSignal<u32>) -> El {
    // Simulated once: it stays what it is while it stands beside this one.
    let kept: StoredValue<Option<Rc<Evaluated>>, LocalStorage> = StoredValue::new_local(None);
    let there = move || {
        let design = storage::card(beside.get()).unwrap_or_default();
        let notation = page.read(|w| w.eval.notation);
        let same = |w: &Rc<Evaluated>| *w.eval.design() == design && w.eval.notation == notation;
        let there = kept.get_value().filter(same);
        let there = there.unwrap_or_else(|| Evaluated::simulated(design, notation));
        kept.set_value(Some(there.clone()));
        there
    };
    let rows = memo(move || {
        let there = there();
        page.read(|w| compare::differences(&w.eval, &there.eval))
    });
    // What follows from what differs: much, and folded.
    let all = RwSignal::new(false);
    let key = memo(move || {
        let parts = rows.get().into_iter();
        let parts = parts.map(|d| [d.id, "\t", &d.first, "\t", &d.second, "\n"].concat());
        [
            pulsewright_sheet::text::number::int(i64::from(beside.get())).as_str(),
            if all.get() { " all " } else { " " },
            &parts.collect::<String>(),
        ]
        .concat()
    });
    let build = move || {
        let there = untrack(there);
        let other = title(there.eval.design());
        let (mine, here) = page.read_untracked(|w| (title(w.eval.design()), headline(w)));
        let rows = rows.get_untracked();
        let head = |text: &str, scope: &str| el("th").attr("scope", scope).text(text);
        let mut lines = vec![
            el("tr")
                .child(el("td"))
                .child(head(&mine, "col"))
                .child(head(&other, "col"))
                .child(head(&[&mine, " is"].concat(), "col")),
            el("tr")
                .child(head("Verdict", "row"))
                .child(el("td").text(&here))
                .child(el("td").text(&headline(&there)))
                .child(el("td")),
        ];
        let count = rows.iter().filter(|d| d.what == What::Result).count();
        for (what, name) in [
            (What::Stamp, "Checks"),
            (What::Input, "Inputs"),
            (What::Result, "Results"),
        ] {
            let of: Vec<_> = rows.iter().filter(|d| d.what == what).collect();
            if what == What::Result && !all.get_untracked() {
                continue;
            }
            if !of.is_empty() {
                lines.push(
                    el("tr").child(head(name, "colgroup").attr("colspan", "4").class("part")),
                );
            }
            for d in of {
                let cell = |text: &str| el("td").text(if text.is_empty() { "–" } else { text });
                lines.push(
                    el("tr")
                        .child(head(d.label, "row"))
                        .child(cell(&tidy(&d.first)))
                        .child(cell(&tidy(&d.second)))
                        .child(el("td").text(match d.stands {
                            Ordering::Greater => "better",
                            Ordering::Less => "worse",
                            Ordering::Equal => "",
                        })),
                );
            }
        }
        if rows.is_empty() {
            return vec![el("p").text("Nothing differs.")];
        }
        let fold = button("quiet", move || {
            all.update(|all| *all = !*all);
            focus("compare-all".into());
        })
        .attr("id", "compare-all")
        .expanded(move || all.get())
        .text(
            &[
                "Figures that differ (",
                &crate::view::figures::count(count),
                ")",
            ]
            .concat(),
        );
        vec![el("table").class("beside").children(lines), fold]
    };
    el("div")
        .class("scrolls")
        .attr("tabindex", "0")
        .attr("role", "region")
        .attr("aria-label", "Two designs compared")
        .keyed(key, build)
}

/// How numbers are shown: units and decimal mark.
pub fn notation(page: PageState) -> Vec<El> {
    let page = page.with_own_revision();
    let now = move || page.read(|w| w.eval.notation);
    let put = move |notation: Notation| {
        storage::keep_notation(notation);
        page.show_in(notation);
    };
    let names: Vec<&str> = UnitSystem::ALL.iter().map(|(_, name)| *name).collect();
    let units = pick(
        "units",
        "Units of what is shown",
        &names,
        move || {
            let units = now().units;
            UnitSystem::ALL
                .iter()
                .position(|(u, _)| *u == units)
                .unwrap_or(0)
        },
        move |at| {
            let units = UnitSystem::ALL
                .get(at)
                .map_or(UnitSystem::Si, |(units, _)| *units);
            put(Notation {
                units,
                ..untrack(now)
            });
        },
    );
    let mark = pick(
        "mark",
        "Decimal mark",
        &["4.5", "4,5"],
        move || usize::from(now().comma),
        move |at| {
            put(Notation {
                comma: at == 1,
                ..untrack(now)
            });
        },
    );
    vec![
        units,
        mark,
        el("p")
            .class("help")
            .text("What you typed keeps its own unit; both marks are read everywhere."),
    ]
}

fn pick(
    id: &str,
    label: &str,
    names: &[&str],
    now: impl Fn() -> usize + 'static,
    put: impl Fn(usize) + 'static,
) -> El {
    let options = names
        .iter()
        .map(|name| el("option").attr("value", name).text(name));
    let select = el("select").attr("id", id).children(options.collect());
    let Ok(node) = select.element().dyn_into::<web_sys::HtmlSelectElement>() else {
        return select;
    };
    let shown = node.clone();
    let select = select
        .attr_fn("data-shown", move || {
            shown.set_selected_index(i32::try_from(now()).unwrap_or(0));
            None
        })
        .on("change", move |_| {
            put(usize::try_from(node.selected_index()).unwrap_or(0))
        });
    el("div").class("field").child(
        el("div")
            .class("line")
            .child(el("label").attr("for", id).text(label))
            .child(select),
    )
}
