//! One's own cards: which there are, another one, away with one, two side by side; and how numbers are
//! shown.

use leptos::prelude::*;
use pulsewright_sheet::compare::{self, What};
use pulsewright_sheet::design::Design;
use pulsewright_sheet::eval::Eval;
use pulsewright_sheet::manner::{Manner, Units};
use pulsewright_sheet::num::Marks;
use pulsewright_sheet::register::card::TITLE;
use wasm_bindgen::JsCast;

use crate::dom::{El, button, el, memo};
use crate::focus::focus;
use crate::state::origin::{Origin, example};
use crate::state::page_state::Desk;
use crate::state::storage;

/// The title of a card, or what stands in for it.
pub fn title(design: &Design) -> String {
    match design.text(TITLE.index()) {
        "" => "My axis".into(),
        text => text.into(),
    }
}

/// The number of the card on the desk.
fn here(desk: Desk) -> u32 {
    match desk.origin.get() {
        Origin::Mine(number) => number,
        _ => 0,
    }
}

/// Cards with something in them, and the one on the desk as it stands there.
fn shelf(desk: Desk) -> Vec<(u32, Design)> {
    let here = untrack(|| here(desk));
    let now = desk.glance(|w| w.eval.design().clone());
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
pub fn cards(desk: Desk) -> Vec<El> {
    let desk = desk.part();
    // Rises when a card came or went without the desk.
    let came = RwSignal::new(0u32);
    let gone: StoredValue<Option<(u32, Design)>, LocalStorage> = StoredValue::new_local(None);
    let beside = RwSignal::new(0u32);
    let key = memo(move || {
        let _ = (came.get(), here(desk), desk.steps.get());
        let names: Vec<String> = shelf(desk)
            .iter()
            .map(|(number, design)| {
                [
                    &pulsewright_sheet::num::int(i64::from(*number)),
                    " ",
                    &title(design),
                ]
                .concat()
            })
            .collect();
        [
            names.join("\n"),
            pulsewright_sheet::num::int(i64::from(here(desk))),
        ]
        .concat()
    });
    let away = move |number: u32| {
        let card = shelf(desk).into_iter().find(|(n, _)| *n == number);
        gone.set_value(card);
        storage::drop_card(number);
        if number == untrack(|| here(desk)) {
            match storage::mine() {
                Some((number, design)) => desk.lay(design, Origin::Mine(number)),
                None => desk.lay(example(0), Origin::Example(0)),
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
        let current = number == untrack(|| here(desk));
        let lay = move || {
            if let Some(design) = storage::card(number) {
                desk.lay(design, Origin::Mine(number));
            }
        };
        let shown = if current {
            el("b").text(&name)
        } else {
            button("quiet", lay).text(&name)
        };
        let actions = el("span")
            .class("actions")
            .add(
                button("quiet", move || double(desk, number))
                    .text("Duplicate")
                    .add(unseen()),
            )
            .add(
                button("quiet", move || away(number))
                    .text("Delete")
                    .add(unseen()),
            );
        let actions = if current {
            actions
        } else {
            actions.add(
                button("quiet", move || {
                    beside.update(|n| *n = if *n == number { 0 } else { number });
                })
                .expanded(move || beside.get() == number)
                .text("Compare")
                .add(unseen()),
            )
        };
        el("li").add(shown).text(" ").add(actions)
    };
    let none = move || key.with(|_| shelf(desk).is_empty());
    vec![
        el("p")
            .class("help")
            .flag("hidden", move || !none())
            .text("None is kept yet. “Start mine” begins one; so does changing an example."),
        el("ul")
            .class("cards")
            .attr("id", "cards")
            .attr("tabindex", "-1")
            .list(key, move || shelf(desk).into_iter().map(row).collect()),
        el("p")
            .flag("hidden", move || {
                let _ = came.get();
                gone.with_value(Option::is_none)
            })
            .says(move || {
                let _ = came.get();
                gone.with_value(|card| {
                    card.as_ref().map_or(String::new(), |(_, d)| {
                        ["Deleted: ", &title(d), ". "].concat()
                    })
                })
            })
            .add(
                button("quiet", back)
                    .attr("id", "bring-back")
                    .text("Bring it back"),
            ),
        el("div").when(memo(move || beside.get() != 0), move || {
            vec![side_by_side(desk, beside)]
        }),
    ]
}

/// A copy of a card, as a card of its own.
fn double(desk: Desk, number: u32) {
    let card = shelf(desk).into_iter().find(|(n, _)| *n == number);
    if let Some((_, mut design)) = card {
        let name = [&title(&design), ", copy"].concat();
        design.enter(TITLE.index(), &name, Marks::Stored);
        desk.lay_new(design);
    }
}

/// The card on the desk beside another one: only what differs.
fn side_by_side(desk: Desk, beside: RwSignal<u32>) -> El {
    let rows = move || {
        let other = storage::card(beside.get()).unwrap_or_default();
        desk.read(|w| {
            let there = Eval::new(&other).in_manner(w.eval.manner);
            compare::differences(&w.eval, &there)
        })
    };
    let key = memo(move || {
        let parts = rows().into_iter();
        let parts = parts.map(|d| [d.id, "\t", &d.first, "\t", &d.second, "\n"].concat());
        [
            &pulsewright_sheet::num::int(i64::from(beside.get())),
            " ",
            &parts.collect::<String>(),
        ]
        .concat()
    });
    let build = move || {
        let other = title(&storage::card(beside.get_untracked()).unwrap_or_default());
        let mine = desk.glance(|w| title(w.eval.design()));
        let rows = untrack(rows);
        let head = |text: &str, scope: &str| el("th").attr("scope", scope).text(text);
        let mut lines = vec![
            el("tr")
                .add(el("td"))
                .add(head(&mine, "col"))
                .add(head(&other, "col")),
        ];
        for (what, name) in [
            (What::Stamp, "How it stands"),
            (What::Input, "What is entered or assumed"),
            (What::Result, "What follows"),
        ] {
            let of: Vec<_> = rows.iter().filter(|d| d.what == what).collect();
            if !of.is_empty() {
                lines.push(el("tr").add(head(name, "colgroup").attr("colspan", "3").class("part")));
            }
            for d in of {
                let cell = |text: &str| el("td").text(if text.is_empty() { "–" } else { text });
                lines.push(
                    el("tr")
                        .add(head(d.label, "row"))
                        .add(cell(&d.first))
                        .add(cell(&d.second)),
                );
            }
        }
        if rows.is_empty() {
            return vec![el("p").text("Nothing differs.")];
        }
        vec![el("table").class("beside").all(lines)]
    };
    el("div")
        .class("scrolls")
        .attr("tabindex", "0")
        .attr("role", "region")
        .attr("aria-label", "Two cards side by side: what differs")
        .list(key, build)
}

/// How numbers are shown: units and decimal mark.
pub fn manner(desk: Desk) -> Vec<El> {
    let desk = desk.part();
    let now = move || desk.read(|w| w.eval.manner);
    let put = move |manner: Manner| {
        storage::keep_manner(manner);
        desk.show_in(manner);
    };
    let names: Vec<&str> = Units::ALL.iter().map(|(_, name)| *name).collect();
    let units = pick(
        "units",
        "Units of what is shown",
        &names,
        move || {
            let units = now().units;
            Units::ALL
                .iter()
                .position(|(u, _)| *u == units)
                .unwrap_or(0)
        },
        move |at| {
            let units = Units::ALL.get(at).map_or(Units::Si, |(units, _)| *units);
            put(Manner {
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
            put(Manner {
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
    let select = el("select").attr("id", id).all(options.collect());
    let Ok(node) = select.element().dyn_into::<web_sys::HtmlSelectElement>() else {
        return select;
    };
    let shown = node.clone();
    let select = select
        .attr_of("data-shown", move || {
            shown.set_selected_index(i32::try_from(now()).unwrap_or(0));
            None
        })
        .on("change", move |_| {
            put(usize::try_from(node.selected_index()).unwrap_or(0))
        });
    el("div").class("field").add(
        el("div")
            .class("line")
            .add(el("label").attr("for", id).text(label))
            .add(select),
    )
}
