//! A station of the card.

use leptos::prelude::*;
use pulsewright_sheet::analysis::gearbox::{self, Gearbox};
use pulsewright_sheet::register::{self, COUNT, Heading, INPUT_COUNT, Station};
use pulsewright_sheet::text::number;
use wasm_bindgen::JsCast;

use crate::dom::{El, batched, button, el, memo};
use crate::focus::anchor;
use crate::state::page_state::PageState;
use crate::view::bench;
use crate::view::checks::{checks, findings};
use crate::view::drawing::drawing;
use crate::view::field::{applies, field};
use crate::view::plot::plots;
use crate::view::result::result;
use crate::view::stamp::stamp;
use crate::view::tuning::tuning;

/// Inputs of a station in some layers.
fn inputs_of(station: Station, layers: &[u8]) -> Vec<usize> {
    let of = |i: usize, layer: u8| register::station(i) == Some(station) && layers.contains(&layer);
    (0..INPUT_COUNT)
        .filter(|&i| {
            register::inputs()
                .get(i)
                .is_some_and(|input| of(i, input.layer))
        })
        .collect()
}

/// A station: head with its question and stamp; fields, results, checks, cautions when it is open.
pub fn station(page: PageState, heading: &'static Heading) -> El {
    let place = el("section");
    let page = page.with_revision_in_sight(&place);
    batched(move || section(page, heading, place))
}

fn section(page: PageState, heading: &'static Heading, place: El) -> El {
    let station = heading.station;
    let id = anchor(station);
    let heading_id = [id.as_str(), "-heading"].concat();
    let body_id = [id.as_str(), "-body"].concat();
    let open = memo(move || page.open_stations.with(|open| open.contains(&station)));
    let spoken = move || {
        page.read(|w| {
            w.stamp(station)
                .map_or(String::new(), |(s, _)| [", ", s.word()].concat())
        })
    };
    let face = move || {
        page.read(|w| {
            w.stamp(station)
                .map_or(String::new(), |(s, _)| stamp(s, None, false))
        })
    };
    place
        .class("station")
        .attr("id", &id)
        .attr("aria-labelledby", &heading_id)
        .child(
            el("h2")
                .child(
                    button("", move || page.toggle(station))
                        .attr("id", &heading_id)
                        .attr("aria-controls", &body_id)
                        .expanded(move || open.get())
                        .child(
                            el("span")
                                .class("title")
                                .text(heading.name)
                                .child(el("span").class("unseen").text_fn(spoken)),
                        )
                        .child(el("span").class("question").text(heading.question)),
                )
                .child(el("span").html_fn(face)),
        )
        .child(
            el("div")
                .class("body")
                .attr("id", &body_id)
                .flag("hidden", move || !open.get())
                .show_when(open, move || batched(|| body(page, heading))),
        )
}

fn body(page: PageState, heading: &'static Heading) -> Vec<El> {
    let station = heading.station;
    if station == Station::Bench {
        let mut sheet = vec![el("p").class("about").text(heading.about)];
        sheet.extend(bench::body(page));
        return sheet;
    }
    let first: Vec<El> = inputs_of(station, &[1, 2])
        .into_iter()
        .map(|i| field(page, i))
        .collect();
    let mut groups: Vec<(&str, Vec<El>)> = Vec::new();
    for i in INPUT_COUNT..COUNT {
        if register::station(i) == Some(station) && register::result(i).is_some_and(|r| r.shown) {
            let part = part(i);
            match groups.last_mut() {
                Some((last, results)) if *last == part => results.push(result(page, i)),
                _ => groups.push((part, vec![result(page, i)])),
            }
        }
    }
    let lines: usize = groups.iter().map(|(_, results)| results.len() + 1).sum();
    let groups = groups.into_iter().map(|(part, results)| {
        let group = el("div").class("group");
        let group = if part.is_empty() {
            group
        } else {
            group.child(el("h3").text(part))
        };
        group.child(el("div").children(results))
    });
    // Results stand beside the fields; where they would stand alone for long, under them.
    let columns = if 2 * lines > 3 * first.len() + 18 {
        "columns long"
    } else {
        "columns"
    };
    vec![
        el("div")
            .class("opening")
            .child(el("p").class("about").text(heading.about))
            .child(drawing(page, station)),
        bench::words(page, station),
        findings(page, station),
        el("div")
            .class(columns)
            .child(
                el("div")
                    .class("fields")
                    .children(first)
                    .child(rest(page, station))
                    .children(actions(page, station))
                    .children(plots(page, station)),
            )
            .child(
                el("div")
                    .class("results")
                    .child(checks(page, station))
                    .children(groups.collect()),
            ),
    ]
}

/// What a result of the verdict or the loop belongs to; the other stations have one part.
fn part(index: usize) -> &'static str {
    if register::landing::has(index) {
        return "The landing, simulated";
    }
    match register::id(index).split('.').next().unwrap_or("") {
        "fit" => "To fit",
        "error" => "Where the error comes from",
        "need" => "To look for in a listing",
        "settings" => "To set in firmware and pulse source",
        "verdict" => "What it can do",
        "compare" => "Beside the stepper",
        _ => "",
    }
}

/// The fields behind "the rest".
fn rest(page: PageState, station: Station) -> El {
    let list = inputs_of(station, &[3]);
    let open = RwSignal::new(false);
    let used = list.clone();
    let of_kind =
        move || -> Vec<usize> { used.iter().copied().filter(|&i| applies(page, i)).collect() };
    let counted = of_kind.clone();
    let label = move || {
        let list = counted();
        let given = page.read(|w| {
            list.iter()
                .filter(|&&i| w.eval.design().entry(i).is_some())
                .count()
        });
        let assumed = number::int((list.len() - given) as i64);
        [
            "The rest: ",
            &number::int(given as i64),
            " given, ",
            &assumed,
            " assumed",
        ]
        .concat()
    };
    el("div")
        .class("rest")
        .flag("hidden", move || of_kind().is_empty())
        .child(
            button("quiet", move || open.update(|o| *o = !*o))
                .expanded(move || open.get())
                .text_fn(label),
        )
        .child(
            el("div").show_when(memo(move || open.get() || page.paper.get()), move || {
                batched(|| list.iter().map(|&i| field(page, i)).collect())
            }),
        )
}

/// What can be done at a station besides entering.
fn actions(page: PageState, station: Station) -> Vec<El> {
    match station {
        Station::Gears => vec![other_gearbox(page)],
        Station::Loop => vec![tuning(page)],
        _ => Vec::new(),
    }
}

/// The same motor behind another gearbox, by its ratio or its teeth.
fn other_gearbox(page: PageState) -> El {
    let refused = RwSignal::new(String::new());
    let field = el("input")
        .attr("type", "text")
        .attr("id", "other-gearbox")
        .attr("autocomplete", "off");
    let node: Option<web_sys::HtmlInputElement> = field.element().dyn_into().ok();
    let attempt = move || {
        let typed = node.as_ref().map(|n| n.value()).unwrap_or_default();
        let pairs = typed.contains([':', '/']) && !typed.trim().ends_with(":1");
        let train = if pairs {
            Gearbox::Stages(&typed)
        } else {
            Gearbox::Ratio(&typed)
        };
        match page.read_untracked(|w| gearbox::other_gearbox(&w.eval, train)) {
            Ok(design) => {
                refused.set(String::new());
                page.apply(design);
            }
            Err(absent) => refused.set(absent.message()),
        }
    };
    el("div")
        .class("field")
        .child(
            el("div")
                .class("line")
                .child(el("label").attr("for", "other-gearbox").text("Same motor, another gearbox"))
                .child(field.attr("aria-describedby", "other-gearbox-help")),
        )
        .child(el("p").class("message").flag("hidden", move || refused.with(String::is_empty)).text_fn(move || refused.get()))
        .child(
            el("p")
                .class("help")
                .attr("id", "other-gearbox-help")
                .text("Ratio or teeth of the other one. The motor's own figures stay; speed, torque and efficiency at the output follow. "),
        )
        .child(button("quiet", attempt).text("Fit it"))
}
