//! A station of the card.

use leptos::prelude::*;
use pulsewright_sheet::analysis::gearbox::{self, Gearbox};
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::register::{self, COUNT, Heading, INPUT_COUNT, Station, axis, verdict};
use pulsewright_sheet::text::number;
use wasm_bindgen::JsCast;

use crate::dom::{El, batched, button, el, memo};
use crate::focus::anchor;
use crate::state::page_state::PageState;
use crate::view::bench;
use crate::view::checks::{checks, findings, why};
use crate::view::deciding;
use crate::view::drawing::drawing;
use crate::view::field::{applies, field};
use crate::view::figures::tidy;
use crate::view::plot::plots;
use crate::view::result::{result, row, value};
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
    let stands = move || {
        page.read(|w| {
            let status = w.stamp(station).map(|(status, _)| status);
            status.map_or(String::new(), |status| w.in_words(station, status).into())
        })
    };
    let face = move || page.read(|w| w.stamp(station).map_or(String::new(), |(s, _)| stamp(s)));
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
                                .child(el("span").class("name").text(heading.name))
                                .child(el("span").class("unseen").text(", "))
                                .child(el("span").class("how-it-stands").text_fn(stands)),
                        )
                        .child(el("span").class("question").text(heading.question)),
                )
                .child(el("span").class("face").html_fn(face)),
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
    let deciding = deciding::of(station);
    let large: Vec<El> = deciding.iter().map(|&i| result(page, i)).collect();
    // Where nothing is asked the figures stand beside the drawing.
    let (beside, below) = if first.is_empty() {
        (large, Vec::new())
    } else {
        (Vec::new(), large)
    };
    vec![
        bench::words(page, station),
        el("div")
            .class("work")
            .child(
                el("div")
                    .class("fields")
                    .children(first)
                    .child(el("div").class("results deciding").children(beside))
                    .child(rest(page, station))
                    .children(actions(page, station)),
            )
            .child(
                el("div")
                    .class("opening")
                    .child(drawing(page, station))
                    .child(el("p").class("about").text(heading.about)),
            ),
        findings(page, station),
        checks(page, station),
        el("div").class("results deciding").children(below),
        el("div").children(error_budget(page, station)),
        el("div").class("plots").children(plots(page, station)),
        el("div").children(beside_the_stepper(page, station)),
        all_figures(page, station, deciding),
    ]
}

/// All other figures of a station in one plain table, folded.
fn all_figures(page: PageState, station: Station, deciding: Vec<usize>) -> El {
    let open = RwSignal::new(false);
    let mut list: Vec<usize> = Vec::new();
    for i in INPUT_COUNT..COUNT {
        let shown = register::result(i).is_some_and(|r| r.shown);
        if register::station(i) == Some(station) && shown && !deciding.contains(&i) && !compared(i)
        {
            list.push(i);
        }
    }
    if list.is_empty() {
        return el("div");
    }
    let count = list.len();
    let id = [&anchor(station), "-figures"].concat();
    let name = station.heading().name;
    let build = move || {
        let head = |text: &str| el("th").attr("scope", "col").text(text);
        let mut rows = vec![
            el("tr")
                .child(head("Symbol"))
                .child(head("Figure"))
                .child(head("Value").class("number"))
                .child(head("Range"))
                .child(head("Calculation")),
        ];
        let mut last = "";
        for &i in &list {
            let part = part(i);
            if part != last && !part.is_empty() {
                rows.push(
                    el("tr").child(
                        el("th")
                            .attr("scope", "colgroup")
                            .attr("colspan", "5")
                            .class("part")
                            .text(part),
                    ),
                );
            }
            last = part;
            rows.extend(row(page, i));
        }
        vec![
            el("div")
                .class("scrolls")
                .attr("tabindex", "0")
                .attr("role", "region")
                .attr("aria-label", &["All figures: ", name].concat())
                .child(el("table").class("figures").children(rows)),
        ]
    };
    el("div")
        .class("rest all-figures")
        .child(
            button("quiet", move || open.update(|o| *o = !*o))
                .attr("aria-controls", &id)
                .expanded(move || open.get())
                .text(&["All other figures (", &number::int(count as i64), ")"].concat())
                .child(el("span").class("unseen").text(": ").text(name)),
        )
        .child(
            el("div")
                .attr("id", &id)
                .show_when(memo(move || open.get() || page.paper.get()), move || {
                    batched(&build)
                }),
        )
}

/// Whether a figure stands in the comparison with the stepper.
fn compared(index: usize) -> bool {
    register::id(index).starts_with("compare.")
}

/// Where the position error comes from: stacked, the largest share first, against what is allowed.
fn error_budget(page: PageState, station: Station) -> Vec<El> {
    if station != Station::Verdict {
        return Vec::new();
    }
    let page = page.with_own_revision();
    let shares = move || {
        page.read(|w| {
            let c = &w.eval;
            let of = |i: usize| c.raw(i).ok().filter(|v| *v > 0.0);
            let total = of(verdict::ERROR_WORST.index());
            let allowed = of(axis::TOLERANCE_AT_LOAD.index());
            let mut parts: Vec<(usize, f64)> = [
                verdict::ERROR_BACKLASH,
                verdict::ERROR_WIND_UP,
                verdict::ERROR_HALF_COUNT,
                verdict::ERROR_HALF_STEP,
                verdict::ERROR_STEADY_STATE,
                verdict::ERROR_ROUNDING,
                verdict::ERROR_TRANSMISSION,
            ]
            .iter()
            .filter_map(|key| Some((key.index(), of(key.index())?)))
            .collect();
            parts.sort_by(|a, b| b.1.total_cmp(&a.1));
            (parts, total, allowed)
        })
    };
    let picture = move || {
        let (parts, total, allowed) = shares();
        let Some(total) = total else {
            return String::new();
        };
        let whole = total.max(allowed.unwrap_or(0.0)) * 1.02;
        let across = |v: f64| number::fixed(v / whole * 600.0, 1);
        let mut out = String::from(
            "<svg viewBox='0 0 602 46' class='budget' preserveAspectRatio='none' aria-hidden='true'>",
        );
        let mut at = 0.0;
        for (n, (_, value)) in parts.iter().enumerate() {
            out.push_str(
                &[
                    "<rect class='share share-",
                    &number::int(n as i64),
                    "' x='",
                    &across(at),
                    "' y='12' height='22' width='",
                    &across(*value),
                    "'/>",
                ]
                .concat(),
            );
            at += value;
        }
        if let Some(allowed) = allowed {
            out.push_str(&["<path class='allowed' d='M", &across(allowed), " 2V44'/>"].concat());
        }
        out.push_str("</svg>");
        out
    };
    let words = move || {
        let (parts, total, allowed) = shares();
        page.read_untracked(|w| {
            let said = |i: usize| tidy(&display::display(&w.eval, i, 2));
            let list: Vec<String> = parts
                .iter()
                .map(|(i, _)| [register::label(*i), " ", &said(*i)].concat())
                .collect();
            if total.is_none() {
                return String::new();
            }
            let allowed = if allowed.is_some() {
                [
                    "; the line marks the ",
                    &said(axis::TOLERANCE_AT_LOAD.index()),
                    " that are allowed",
                ]
                .concat()
            } else {
                String::new()
            };
            ["From left to right: ", &list.join(", "), &allowed, "."].concat()
        })
    };
    vec![
        el("figure")
            .class("error-budget")
            .child(el("h3").text("Where the position error comes from"))
            .child(el("div").html_fn(picture))
            .child(el("p").class("help").text_fn(words)),
    ]
}

/// Converted motor and stepper in three columns.
fn beside_the_stepper(page: PageState, station: Station) -> Vec<El> {
    if station != Station::Verdict {
        return Vec::new();
    }
    let head = |text: &str| el("th").attr("scope", "col").text(text);
    let mut rows = vec![
        el("tr")
            .child(el("td"))
            .child(head("Converted motor"))
            .child(head("Stepper")),
    ];
    let all: Vec<usize> = (INPUT_COUNT..COUNT)
        .filter(|&i| compared(i) && register::result(i).is_some_and(|r| r.shown))
        .collect();
    for pair in all.chunks(2) {
        let [one, other] = pair else { continue };
        let (one, other) = (*one, *other);
        let name = register::label(one).split(", ").next().unwrap_or("");
        let cell = |i: usize| {
            el("td")
                .class("result")
                .attr("id", &["r-", &register::id(i).replace('.', "-")].concat())
                .child(el("strong").text_fn(move || value(page, i)))
        };
        rows.push(
            el("tr")
                .child(el("th").attr("scope", "row").text(name))
                .child(cell(one))
                .child(cell(other)),
        );
    }
    // Nothing stands in the table before one figure of the stepper does.
    let missing = memo(move || {
        let found = all
            .first()
            .map(|&first| page.read(|w| w.eval.answer(first).found));
        let absent = found
            .and_then(Result::err)
            .filter(|absent| !absent.is_asked());
        absent.as_ref().map_or(String::new(), why)
    });
    vec![
        el("h3").text("Compared with the stepper"),
        el("p").class("help").text_fn(move || missing.get()),
        el("div")
            .class("scrolls")
            .flag("hidden", move || !missing.get().is_empty())
            .attr("tabindex", "0")
            .attr("role", "region")
            .attr("aria-label", "Converted motor and stepper")
            .child(el("table").class("beside").children(rows)),
    ]
}

/// What a result of the verdict or the loop belongs to; the other stations have one part.
fn part(index: usize) -> &'static str {
    if register::landing::has(index) {
        return "Simulated move";
    }
    match register::id(index).split('.').next().unwrap_or("") {
        "fit" => "To fit",
        "error" => "Where the error comes from",
        "need" => "Required of the motor",
        "settings" => "Settings for firmware and step/dir controller",
        "verdict" => "What it can do",
        "compare" => "Compared with the stepper",
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
        [
            "More inputs (",
            &number::int(list.len() as i64),
            "; ",
            &number::int(given as i64),
            " entered)",
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
                .text("Ratio or tooth counts of the other gearbox. The motor's data stay; speed, torque and efficiency at the output follow. "),
        )
        .child(button("quiet", attempt).text("Fit it"))
}
