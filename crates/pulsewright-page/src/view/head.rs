//! The top of the card: its title, the job as a sentence, the verdict, what to mend first.

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::design::link;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::Finding;
use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::evaluation::finding::{self, RaisedFinding};
use pulsewright_sheet::evaluation::{Check, Status};
use pulsewright_sheet::guide::examples::EXAMPLES;
use pulsewright_sheet::output::report;
use pulsewright_sheet::register::Kind;
use pulsewright_sheet::register::{self, Station, axis, gears, motor, movement, stepper, supply};
use wasm_bindgen::JsCast;

use crate::clipboard::to_clipboard;
use crate::dom::{El, batched, button, el, follow, memo};
use crate::focus::focus;
use crate::state::evaluated::Evaluated;
use crate::state::origin::{Origin, example};
use crate::state::page_state::PageState;
use crate::state::storage;
use crate::view::bench::ways;
use crate::view::cards;
use crate::view::checks::capital;
use crate::view::field::{about, applies, blank, element_id, field};
use crate::view::files::files;
use crate::view::remedies;
use crate::view::stamp::go_to;

/// The card's head.
pub fn head(page: PageState) -> El {
    let place = el("header");
    let page = page.with_revision_in_sight(&place);
    batched(move || made(page, place))
}

fn made(page: PageState, place: El) -> El {
    let title = memo(move || page.read(|w| cards::title(w.eval.design())));
    let (opener, files) = files(page);
    follow(Box::new(move || {
        document().set_title(&[title.get().as_str(), " · Pulsewright"].concat());
    }));
    place
        .child(
            el("div")
                .class("top")
                .child(el("h1").text_fn(move || title.get()))
                .child(tools(page, opener)),
        )
        .child(files)
        .child(ribbon(page))
        .child(notice(page))
        .child(name(page))
        .child(sentence(page))
        .child(shopping(page))
        .child(verdict(page))
        .child(ways(page))
}

fn tools(page: PageState, files: El) -> El {
    let copied = RwSignal::new(0u32);
    let copy = move || {
        let text = page.read_untracked(|w| link::write(w.eval.design()));
        // An address on this disk leads nowhere else: the part that carries the design does.
        let before = storage::address().or_else(storage::served_from);
        let address = [before.unwrap_or_default(), text].concat();
        to_clipboard(&address, move |took| {
            copied.set(if took { 1 } else { 2 });
            Timeout::new(2500, move || copied.set(0)).forget();
        });
    };
    let copy_label = move || match copied.get() {
        0 => "Copy link",
        1 => "Copied",
        _ => "Take it from the address bar",
    };
    el("div")
        .class("tools")
        .attr("role", "group")
        .attr("aria-label", "This card")
        .child(
            button("", move || {
                page.start();
                focus("s-axis-load_mass".into());
            })
            .text("Start mine"),
        )
        .child(
            button("", move || page.undo())
                .flag("disabled", move || !page.can_undo())
                .text("Undo"),
        )
        .child(
            button("", move || page.redo())
                .flag("disabled", move || !page.can_redo())
                .text("Redo"),
        )
        .child(button("", copy).text_fn(move || copy_label().into()))
        .child(files)
        .child(
            button("", || {
                let _ = window().print();
            })
            .text("Print"),
        )
}

/// Where this card comes from, as long as it is not one's own; and the way to the examples.
fn ribbon(page: PageState) -> El {
    let story = move || match page.origin.get() {
        Origin::Example(number) => EXAMPLES.get(number).map_or("", |e| e.story),
        Origin::Link => "From a link. Your own card, if you have one, is kept.",
        Origin::File => "From a file. Your own cards, if you have any, are kept.",
        Origin::Mine(_) => "",
    };
    let back = button("quiet", move || {
        if let Some((number, design)) = storage::mine() {
            page.replace(design, Origin::Mine(number));
        }
    })
    .flag("hidden", move || {
        page.is_mine() || storage::mine().is_none()
    })
    .text("Back to mine");
    let hold = button("quiet", move || {
        page.claim();
    })
    .flag("hidden", move || page.is_mine())
    .text("Keep this as mine");
    let examples = EXAMPLES
        .iter()
        .enumerate()
        .map(|(number, e)| {
            button("quiet", move || {
                page.replace(example(number), Origin::Example(number))
            })
            .text(e.title)
        })
        .collect();
    el("div")
        .class("ribbon")
        .child(
            el("p")
                .text_fn(move || story().into())
                .text(" ")
                .child(back)
                .text(" ")
                .child(hold),
        )
        .child(
            el("p")
                .class("examples")
                .child(el("span").text("Examples:"))
                .children(examples),
        )
}

/// What belongs to the card as a whole, each behind its button.
fn name(page: PageState) -> El {
    let open = RwSignal::new(0u32);
    let fields = move || {
        [
            register::card::TITLE,
            register::card::NOTE,
            register::card::REVISION,
        ]
        .iter()
        .map(|key| field(page, key.index()))
        .collect()
    };
    let tab = |number: u32, name: &str| {
        button("quiet", move || {
            open.update(|o| *o = if *o == number { 0 } else { number });
        })
        .expanded(move || open.get() == number)
        .text(name)
    };
    let under = |number: u32, build: fn(PageState) -> Vec<El>| {
        el("div").show_when(memo(move || open.get() == number), move || build(page))
    };
    el("div")
        .class("rest")
        .child(
            el("p")
                .class("tools")
                .child(tab(1, "Title, note, revision"))
                .child(tab(2, "Cards"))
                .child(tab(3, "Units")),
        )
        .child(el("div").show_when(memo(move || open.get() == 1), fields))
        .child(under(2, cards::cards))
        .child(under(3, cards::notation))
}

/// What to look for in a listing, as long as no motor is given.
fn shopping(page: PageState) -> El {
    let no_motor = move || {
        page.read(|w| {
            register::inputs_of(Station::Motor).all(|i| w.eval.design().entry(i).is_none())
        })
    };
    let line = move || {
        page.read(|w| {
            finding::fill_template(
                "No motor is given yet; the usual small one stands in. Look for a listing with a stall torque of {need.stall_torque} and a no-load speed of {need.no_load_speed}, both at the output.",
                &w.eval,
            )
        })
    };
    el("p")
        .class("shopping")
        .flag("hidden", move || !no_motor())
        .text_fn(line)
}

/// What has to be told: a link that could not be read, ids that nobody knows, refused values.
fn notice(page: PageState) -> El {
    let lines = move || {
        let mut lines: Vec<(Option<usize>, String)> =
            page.notice.get().into_iter().map(|l| (None, l)).collect();
        page.read(|w| {
            let design = w.eval.design();
            let mut tell = |what: &str, entries: &[(String, String)]| {
                if !entries.is_empty() {
                    let ids: Vec<&str> = entries.iter().map(|(id, _)| id.as_str()).collect();
                    lines.push((None, [what, &ids.join(", ")].concat()));
                }
            };
            tell(
                "Not known to this version, kept as they are: ",
                &design.unknown,
            );
            tell("Entered twice, the first counts: ", &design.repeated);
            // While something is being typed its own field tells.
            let typing = page.typing.get();
            for (index, message) in &w.refused {
                if typing != Some(*index) {
                    lines.push((
                        Some(*index),
                        [register::label(*index), ": ", message].concat(),
                    ));
                }
            }
        });
        lines
    };
    let key = memo(move || {
        lines()
            .into_iter()
            .map(|(_, l)| l)
            .collect::<Vec<_>>()
            .join("\n")
    });
    el("div")
        .class("notice")
        .attr("role", "status")
        .flag("hidden", move || key.with(String::is_empty))
        .keyed(key, move || {
            lines()
                .into_iter()
                .map(|(index, line)| match index {
                    Some(index) => {
                        el("p").child(button("plain", move || to_field(page, index)).text(&line))
                    }
                    None => el("p").text(&line),
                })
                .collect()
        })
}

/// Opens the station of a field and goes there.
fn to_field(page: PageState, index: usize) {
    if let Some(station) = register::station(index) {
        page.open(station);
    }
    focus(element_id(index));
}

/// The job as one sentence with blanks: the register's own fields.
fn sentence(page: PageState) -> El {
    let kind = move || page.read(|w| w.eval.get(axis::KIND).unwrap_or(Kind::Arm));
    let at = RwSignal::new(None);
    let messages = StoredValue::new_local(Vec::new());
    let part = |index: usize| {
        let (blank, message) = blank(page, index, at);
        messages.update_value(|list| list.push(message));
        blank
    };
    let radius = axis::RADIUS.index();
    let sentence = el("p")
        .class("sentence")
        .attr("role", "group")
        .attr("aria-label", "The job in one sentence")
        .text("I move ")
        .child(part(axis::LOAD_MASS.index()))
        .child(part(axis::LOAD_TORQUE_GIVEN.index()))
        .text_fn(move || {
            if kind() == Kind::Arm {
                " on an "
            } else {
                " on a "
            }
            .into()
        })
        .child(part(axis::KIND.index()))
        .child(
            el("span")
                .flag("hidden", move || !applies(page, radius))
                .text(" of radius ")
                .child(part(radius)),
        )
        .text(" by ")
        .child(part(movement::DISTANCE.index()))
        .text(" in ")
        .child(part(movement::TIME.index()))
        .text(" to within ")
        .child(part(axis::POSITION_TOLERANCE.index()))
        .text(" with a ")
        .child(part(motor::CASE_DIAMETER.index()))
        .text(" gear motor of ")
        .child(part(gears::RATIO.index()))
        .text(" : 1, ")
        .child(part(motor::STALL_TORQUE.index()))
        .text(" and ")
        .child(part(motor::NO_LOAD_SPEED.index()))
        .text(" at ")
        .child(part(motor::RATED_VOLTAGE.index()))
        .text(", fed with ")
        .child(part(supply::VOLTAGE.index()))
        .text(". It replaces a stepper of ")
        .child(part(stepper::HOLDING_TORQUE.index()))
        .text(".")
        .on("keydown", next_blank);
    el("div")
        .child(sentence)
        .children(messages.get_value())
        .child(
            el("p")
                .class("help about-blank")
                .attr("id", "about-blank")
                .text_fn(move || {
                    at.get().map_or_else(
                        || "Fill in what you know; what is dashed is assumed.".into(),
                        |index| about(page, index),
                    )
                }),
        )
}

/// Enter goes on to the next blank.
fn next_blank(event: &web_sys::Event) {
    let key = js_sys::Reflect::get(event, &"key".into()).ok();
    if key.and_then(|key| key.as_string()).as_deref() != Some("Enter") {
        return;
    }
    let blanks = document().query_selector_all(".sentence .blank:not([hidden])");
    let (Ok(blanks), Some(now)) = (blanks, document().active_element()) else {
        return;
    };
    let at = (0..blanks.length()).find(|&i| blanks.get(i).is_some_and(|b| b == *now));
    let next = at.and_then(|at| blanks.get(at + 1));
    if let Some(next) = next.and_then(|n| n.dyn_into::<web_sys::HtmlElement>().ok()) {
        event.prevent_default();
        let _ = next.focus();
    }
}

/// What one check comes to, as a sentence.
fn worst_sentence(c: &Eval<'_>, worst: &CheckResult) -> String {
    match worst.status() {
        Status::Clear if worst.ratio().is_none() => "It does the job, with room everywhere.".into(),
        Status::Clear => [
            "It does the job, with room everywhere. Least of it: ",
            worst.check.label,
            ", ",
            &room(c, worst),
            ".",
        ]
        .concat(),
        Status::Tight => ["It does the job, barely. ", &short(c, worst)].concat(),
        Status::Under => [
            "It does not do the job yet: ",
            &finding::fill_template(worst.check.under, c),
            ".",
        ]
        .concat(),
        Status::Unknown => ["It cannot be said yet. ", &short(c, worst)].concat(),
    }
}

/// The greatest load as a sentence: sought once nobody types.
fn carries(page: PageState) -> String {
    if !page.remedies.rested.get() {
        return "…".into();
    }
    page.read(|w| {
        let asked = match w.eval.get(axis::KIND) {
            Ok(Kind::Torque) => axis::LOAD_TORQUE_GIVEN.index(),
            _ => axis::LOAD_MASS.index(),
        };
        let most = register::verdict::GREATEST_LOAD.index();
        let (Ok(needed), Ok(carried)) = (w.eval.raw(asked), w.eval.raw(most)) else {
            return String::new();
        };
        let short = w.worst().is_some_and(|h| h.status() == Status::Under);
        let (before, behind) = if short && carried >= needed {
            ("Load is not what is short: it would carry ", ", you ask ")
        } else {
            ("It carries ", " here, you ask ")
        };
        [
            before,
            &display::display(&w.eval, most, 3),
            behind,
            &display::display(&w.eval, asked, 3),
            ".",
        ]
        .concat()
    })
}

/// What stands under the verdict.
#[derive(Clone, Copy)]
enum Other {
    Check(&'static Check),
    Finding(&'static Finding),
}

impl Other {
    /// What tells it from every other: one finding's id may have several messages.
    fn key(self) -> &'static str {
        match self {
            Self::Check(check) => check.id,
            Self::Finding(finding) => finding.message,
        }
    }

    fn station(self) -> Station {
        match self {
            Self::Check(check) => check.station,
            Self::Finding(finding) => finding.station,
        }
    }

    fn text(self, w: &Evaluated) -> String {
        match self {
            Self::Check(check) => {
                let held = w.held(check);
                held.map_or(String::new(), |held| short(&w.eval, held))
            }
            Self::Finding(finding) => finding::fill_template(finding.message, &w.eval),
        }
    }
}

/// A check that is not clear, in a sentence.
fn short(c: &Eval<'_>, held: &CheckResult) -> String {
    match held.status() {
        Status::Under => [&capital(&finding::fill_template(held.check.under, c)), "."].concat(),
        Status::Clear | Status::Tight => {
            [held.check.label, ": room of only ", &room(c, held), "."].concat()
        }
        Status::Unknown => {
            let why = held.margin.err().map(|a| a.message()).unwrap_or_default();
            [held.check.label, ": ", &why, "."].concat()
        }
    }
}

fn room(c: &Eval<'_>, held: &CheckResult) -> String {
    c.notation.number(held.ratio().unwrap_or(1.0), 3)
}

/// The findings that the figures of a listing cannot all be true, and that a label's ratio is not that of the teeth.
fn untrue(w: &Evaluated) -> impl Iterator<Item = &RaisedFinding> {
    let ids = ["figures_contradict", "label_ratio_drift"];
    w.said.iter().filter(move |s| ids.contains(&s.finding.id))
}

/// The verdict: one sentence, and the next two.
fn verdict(page: PageState) -> El {
    let line = move || {
        page.read(|w| {
            w.worst()
                .map_or(String::new(), |worst| worst_sentence(&w.eval, worst))
        })
    };
    // The next two checks, and what is untrue in a listing; what they say follows.
    let others = move || -> Vec<Other> {
        page.read_untracked(|w| {
            let bad = check::ranked(w.held.iter().filter(|h| h.status() != Status::Clear));
            let next = bad.iter().skip(1).take(2);
            let mut others: Vec<Other> = next.map(|held| Other::Check(held.check)).collect();
            others.extend(untrue(w).map(|said| Other::Finding(said.finding)));
            others
        })
    };
    let key = memo(move || {
        page.track_revision();
        let ids: Vec<&str> = others().into_iter().map(Other::key).collect();
        ids.join(" ")
    });
    let worst = memo(move || page.read(|w| w.worst().map_or("", |h| h.check.id).to_string()));
    el("div")
        .child(el("p").class("verdict").text_fn(line))
        .child(el("p").class("carries").text_fn(move || carries(page)))
        .child(el("div").keyed(worst, move || {
            let worst = page.read_untracked(|w| w.worst().map(|held| held.check));
            worst
                .map(|check| remedies::first(page, check))
                .into_iter()
                .collect()
        }))
        .child(el("ul").class("worst").keyed(key, move || {
            let line = |other: Other| {
                let text = move || page.read(|w| other.text(w));
                let way = button("plain", move || go_to(page, other.station())).text_fn(text);
                let line = el("li").child(way);
                match other {
                    Other::Check(check) => line.child(remedies::first(page, check)),
                    Other::Finding(_) => line,
                }
            };
            batched(|| others().into_iter().map(line).collect())
        }))
}

/// The line that stands on every card.
pub fn standing() -> El {
    el("p").class("standing-line").text(report::STANDING)
}

/// The foot: the worst, always in sight.
pub fn foot(page: PageState) -> El {
    let line = move || {
        page.read(|w| {
            w.worst().map_or(String::new(), |h| {
                let text = match h.status() {
                    Status::Under => finding::fill_template(h.check.under, &w.eval),
                    Status::Clear => ["least room: ", h.check.label].concat(),
                    _ => h.check.label.to_string(),
                };
                [
                    h.check.station.heading().name,
                    " ",
                    h.status().word(),
                    ": ",
                    &text,
                ]
                .concat()
            })
        })
    };
    let go = move || {
        if let Some(station) = page.read_untracked(|w| w.worst().map(|h| h.check.station)) {
            go_to(page, station);
        }
    };
    el("footer")
        .class("foot")
        .child(button("plain", go).text_fn(line))
        .child(remedies::tried(page))
}

/// For those who listen: every change of the worst stamp, not of every digit.
pub fn spoken(page: PageState) -> El {
    el("div")
        .class("unseen")
        .attr("role", "status")
        .text_fn(move || {
            // A value that is half typed is not spoken of.
            page.steps.track();
            page.read_untracked(|w| {
                w.worst().map_or(String::new(), |h| {
                    [h.check.station.heading().name, " ", h.status().word()].concat()
                })
            })
        })
}
