//! The top of the page: what it is, the design's title, the job as a sentence, the verdict, the picture.

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use pulsewright_sheet::design::link;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::Finding;
use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::finding::{self, RaisedFinding};
use pulsewright_sheet::evaluation::{Check, Status};
use pulsewright_sheet::guide::examples::EXAMPLES;
use pulsewright_sheet::output::verdict::margin;
use pulsewright_sheet::register::Kind;
use pulsewright_sheet::register::{self, Station, axis, gears, motor, movement, stepper, supply};
use wasm_bindgen::JsCast;

use crate::clipboard::to_clipboard;
use crate::dom::{El, batched, button, el, follow, in_sight, memo};
use crate::focus::focus;
use crate::state::evaluated::Evaluated;
use crate::state::origin::{Leaf, Origin, example};
use crate::state::page_state::PageState;
use crate::state::storage;
use crate::view::bench::{before_you_order, open_leaf};
use crate::view::cards;
use crate::view::checks::capital;
use crate::view::drive_line::drive_line;
use crate::view::field::{about, asked_in_sentence, blank, element_id, field};
use crate::view::figures::{headline, tidy};
use crate::view::files;
use crate::view::plot;
use crate::view::remedies;
use crate::view::stamp::go_to;

/// The head of the page; what stands below sentence and verdict once these are `painted`.
pub fn head(page: PageState, painted: Memo<bool>) -> El {
    let place = el("header");
    let page = page.with_revision_in_sight(&place);
    batched(move || made(page, painted, place))
}

fn made(page: PageState, painted: Memo<bool>, place: El) -> El {
    let title = memo(move || page.read(|w| cards::title(w.eval.design())));
    follow(Box::new(move || {
        document().set_title(&[title.get().as_str(), " · Pulsewright"].concat());
    }));
    place
        .child(
            el("div")
                .class("masthead")
                .child(
                    el("p")
                        .child(el("b").text("Pulsewright"))
                        .text(" Will this gear motor do this axis’s work as a servo that takes step and direction pulses?"),
                )
                .child(
                    button("new", move || {
                        page.start();
                        focus("s-axis-load_mass".into());
                    })
                    .text("New design"),
                ),
        )
        .child(el("h1").text_fn(move || title.get()))
        .child(ribbon(page))
        .child(notice(page))
        .child(kept_elsewhere(page))
        .child(
            el("div")
                .class("first")
                .child(sentence(page))
                .child(verdict(page)),
        )
        .child(el("div").show_when(painted, move || {
            batched(move || {
                vec![
                    picture(page),
                    crate::view::print::first_page(page),
                    quiet_line(page),
                ]
            })
        }))
}

/// Torque against speed beside the drive line.
fn picture(page: PageState) -> El {
    el("div")
        .class("picture")
        .child(
            el("div")
                .class("map")
                .children(plot::of_head(page).into_iter().collect()),
        )
        .child(drive_line(page))
}

/// Where this design comes from. Once it is one's own the line stays: what is being typed below must not move.
fn ribbon(page: PageState) -> El {
    let story = move || match page.begun_as.get() {
        Origin::Example(number) => EXAMPLES.get(number).map_or("", |e| e.story),
        Origin::Link => "From a link. Your own designs are kept.",
        Origin::File => "From a file. Your own designs are kept.",
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
    .text("Back to my design");
    let hold = button("quiet", move || {
        page.claim();
        page.begun_as.set(page.origin.get_untracked());
        focus("work".into());
    })
    .flag("hidden", move || page.is_mine())
    .text("Save a copy");
    let kept = el("span")
        .flag("hidden", move || !page.is_mine())
        .text("Kept as a design of your own.");
    el("p")
        .class("ribbon")
        .flag("hidden", move || story().is_empty())
        .text_fn(move || story().into())
        .text(" ")
        .child(back)
        .text(" ")
        .child(hold)
        .child(kept)
}

/// What a button of the quiet line opens under it.
type Panel = (&'static str, fn(PageState) -> Vec<El>);

const PANELS: [Panel; 5] = [
    ("My designs", cards::cards),
    ("Examples", examples),
    ("Title, note, revision", names),
    ("Units", cards::notation),
    ("Save and export", files::panel),
];

/// All that is no part of the question: one quiet line, and what its buttons open.
fn quiet_line(page: PageState) -> El {
    files::take_drops(page);
    let open = RwSignal::new(0usize);
    let mut line = el("div")
        .class("tools")
        .attr("role", "group")
        .attr("aria-label", "This design");
    let mut panels = Vec::new();
    for (at, (name, build)) in PANELS.iter().enumerate() {
        let number = at + 1;
        let id = ["panel-", &crate::view::figures::count(number)].concat();
        line = line.child(
            button("quiet", move || {
                open.update(|o| *o = if *o == number { 0 } else { number });
            })
            .attr("aria-controls", &id)
            .expanded(move || open.get() == number)
            .text(name),
        );
        panels.push(
            el("div")
                .class(if *name == "Save and export" {
                    "panel files"
                } else {
                    "panel"
                })
                .attr("id", &id)
                .attr("role", "group")
                .attr("aria-label", name)
                .flag("hidden", move || open.get() != number)
                .show_when(memo(move || open.get() == number), move || build(page)),
        );
    }
    let leaf = |which: Leaf, name: &str| {
        button("quiet", move || {
            open_leaf(page, which);
            focus(["leaf-", which.name()].concat());
        })
        .text(name)
    };
    let line = line
        .child(
            button("quiet", move || page.undo())
                .attr_fn("aria-disabled", move || {
                    (!page.can_undo()).then(|| "true".into())
                })
                .text("Undo"),
        )
        .child(
            button("quiet", move || page.redo())
                .attr_fn("aria-disabled", move || {
                    (!page.can_redo()).then(|| "true".into())
                })
                .text("Redo"),
        )
        .child(copy_link(page))
        .child(
            button("quiet", || {
                let _ = window().print();
            })
            .text("Print"),
        )
        .child(
            button("quiet", move || {
                page.appendix.set(true);
                let _ = window().print();
            })
            .text("Print with all figures"),
        )
        .child(button("quiet", move || before_you_order(page)).text("Order checklist"))
        .child(button("quiet", move || go_to(page, Station::Bench)).text("Bench tests"))
        .child(leaf(Leaf::Signs, "Troubleshooting (symptoms)"))
        .child(leaf(Leaf::Words, "Glossary"));
    el("div")
        .class("quiet-line")
        .child(line)
        .child(
            el("p")
                .class("undone")
                .attr("role", "status")
                .text_fn(move || page.told.get()),
        )
        .children(panels)
}

fn copy_link(page: PageState) -> El {
    let copied = RwSignal::new(0u32);
    let copy = move || {
        let text = page.read_untracked(|w| link::write(w.eval.design()));
        // An address on this disk leads nowhere else: the part that carries the design does.
        let before = storage::address().or_else(storage::served_from);
        let alone = before.is_none();
        let address = [before.unwrap_or_default(), text].concat();
        let as_text = StoredValue::new(address.clone());
        to_clipboard(&address, move |took| {
            if !took && storage::framed() {
                // There is no address bar to take it from.
                page.notice.set(Some(
                    ["This frame may not copy. The link: ", &as_text.get_value()].concat(),
                ));
            }
            copied.set(match (took, alone) {
                (true, false) => 1,
                (true, true) => 2,
                (false, _) => 3,
            });
            let stays = if alone { 12_000 } else { 2500 };
            Timeout::new(stays, move || copied.set(0)).forget();
        });
    };
    el("span")
        .class("copy")
        .child(button("quiet", copy).text_fn(move || {
            match copied.get() {
                0 => "Copy link",
                3 if storage::framed() => "Take it from below",
                3 => "Take it from the address bar",
                _ => "Copied",
            }
            .into()
        }))
        .child(
            el("span")
                .class("help")
                .attr("role", "status")
                .text_fn(move || {
                    if copied.get() == 2 {
                        " This part opens the design in any copy of this page: send the file along, or say under Save and export where the page is published."
                    } else {
                        ""
                    }
                    .into()
                }),
        )
}

fn examples(page: PageState) -> Vec<El> {
    let list = EXAMPLES
        .iter()
        .enumerate()
        .map(|(number, e)| {
            el("li").child(
                button("quiet", move || {
                    page.replace(example(number), Origin::Example(number))
                })
                .text(e.title),
            )
        })
        .collect();
    vec![el("ul").class("examples").children(list)]
}

fn names(page: PageState) -> Vec<El> {
    [
        register::card::TITLE,
        register::card::NOTE,
        register::card::REVISION,
    ]
    .iter()
    .map(|key| field(page, key.index()))
    .collect()
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
                    lines.push((Some(*index), [w.eval.label(*index), ": ", message].concat()));
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

/// What the browser does not keep, and what another tab has changed, each with the way out.
fn kept_elsewhere(page: PageState) -> El {
    let other = move || page.elsewhere.with(Option::is_some);
    let take = move || {
        let text = page.elsewhere.get_untracked().unwrap_or_default();
        if let (Ok(read), Origin::Mine(number)) = (link::read(&text), page.origin.get_untracked()) {
            page.elsewhere.set(None);
            page.replace(read.design, Origin::Mine(number));
        }
        focus("work".into());
    };
    let keep = move || {
        // This one goes on as a copy under a number of its own.
        page.claim();
        page.elsewhere.set(None);
        focus("work".into());
    };
    el("div")
        .child(
            el("p")
                .class("notice unkept")
                .attr("role", "alert")
                .flag("hidden", move || !page.unkept.get())
                .text("The browser does not keep this design: its storage is full or forbidden. Save it as a file under Save and export, or copy its link, before you close the page."),
        )
        .child(
            el("p")
                .class("notice elsewhere")
                .attr("role", "alert")
                .flag("hidden", move || !other())
                .text("This design was changed in another tab. ")
                .child(button("quiet", take).text("Show the other tab’s"))
                .text(" ")
                .child(button("quiet", keep).text("Keep this one as a copy")),
        )
}

/// Opens the station of a field and goes there.
fn to_field(page: PageState, index: usize) {
    if let Some(station) = register::station(index) {
        page.open(station);
    }
    focus(element_id(index));
}

/// The job as one sentence with blanks: the register's own fields, each with its name under its line.
fn sentence(page: PageState) -> El {
    let kind = move || page.read(|w| w.eval.get(axis::KIND).unwrap_or(Kind::Arm));
    let at = RwSignal::new(None);
    let messages = StoredValue::new_local(Vec::new());
    let part = |index: usize| {
        let (blank, message) = blank(page, index, at);
        messages.update_value(|list| list.push(message));
        blank
    };
    // What only some kinds of axis ask for is made once they do; its message stands with the others.
    let measure = |(word, index): (&'static str, usize)| {
        let asked = memo(move || asked_in_sentence(page, index));
        let told = el("div");
        let place = told.element();
        messages.update_value(|list| list.push(told.flag("hidden", move || !asked.get())));
        el("span").show_when(asked, move || {
            let (blank, message) = blank(page, index, at);
            place.set_inner_html("");
            let _ = place.append_child(&message.element());
            vec![el("span").text(word), blank]
        })
    };
    let measures = [
        (" of ", axis::RADIUS.index()),
        (" of ", axis::PULLEY_TEETH.index()),
        (" × ", axis::BELT_PITCH.index()),
        (" of ", axis::PINION_TEETH.index()),
        (" × ", axis::PINION_MODULE.index()),
        (" of ", axis::SCREW_LEAD.index()),
        (" at ", axis::SLOPE.index()),
    ]
    .map(measure);
    let job = el("p")
        .text_fn(move || {
            if kind() == Kind::Torque {
                "It turns against "
            } else {
                "It moves "
            }
            .into()
        })
        .child(part(axis::LOAD_MASS.index()))
        .child(measure(("", axis::LOAD_TORQUE_GIVEN.index())))
        .text_fn(move || {
            match kind() {
                Kind::Arm => " on an ",
                Kind::Torque => ", entered as ",
                _ => " on a ",
            }
            .into()
        })
        .child(part(axis::KIND.index()))
        .children(measures.into())
        .text(" by ")
        .child(part(movement::DISTANCE.index()))
        .text(" in ")
        .child(part(movement::TIME.index()))
        .text(", stays ")
        .child(part(movement::DWELL.index()))
        .text(", to within ")
        .child(part(axis::POSITION_TOLERANCE.index()));
    let motor = el("p")
        .text("Motor: ")
        .child(part(motor::RATED_VOLTAGE.index()))
        .text(" ")
        .child(part(motor::NO_LOAD_SPEED.index()))
        .text(" ")
        .child(part(motor::NO_LOAD_CURRENT.index()))
        .text(" ")
        .child(part(motor::STALL_CURRENT.index()))
        .text(" ")
        .child(part(motor::STALL_TORQUE.index()))
        .text(" ")
        .child(part(motor::CASE_DIAMETER.index()))
        .text(" ")
        .child(part(gears::RATIO.index()));
    let supply = el("p")
        .text("The supply gives ")
        .child(part(supply::VOLTAGE.index()))
        .text(" and ")
        .child(part(supply::CURRENT_LIMIT.index()))
        .text("; it replaces a stepper of ")
        .child(part(stepper::HOLDING_TORQUE.index()));
    el("div")
        .class("asked")
        .child(
            el("div")
                .class("sentence")
                .attr("role", "group")
                .attr("aria-label", "The job in one sentence")
                .child(job)
                .child(motor)
                .child(supply)
                .on("keydown", next_blank),
        )
        .children(messages.get_value())
        .child(
            el("p")
                .class("help about-blank")
                .attr("id", "about-blank")
                .text_fn(move || {
                    at.get().map_or_else(
                        || "Enter what you know. What stays empty takes the typical value that stands in grey.".into(),
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
    let blanks = document().query_selector_all(".sentence .slot:not([hidden]) .blank");
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
        Status::Fails => [&capital(&held.what_fails(c)), "."].concat(),
        Status::Passes | Status::Tight => {
            [held.check.label, ": margin of only ", &margin(c, held), "."].concat()
        }
        Status::Unknown | Status::Waits => {
            let why = held.margin.err().map(|a| a.message()).unwrap_or_default();
            [held.check.label, ": ", &why, "."].concat()
        }
    }
}

/// The findings that the figures of a listing cannot all be true, and that a label's ratio is not that of the teeth.
fn untrue(w: &Evaluated) -> impl Iterator<Item = &RaisedFinding> {
    let ids = ["figures_contradict", "label_ratio_drift"];
    w.said.iter().filter(move |s| ids.contains(&s.finding.id))
}

/// What to look for in a listing, until a motor is given that can make the move.
fn shopping(page: PageState) -> El {
    let line = move || {
        page.read(|w| {
            let any = register::inputs_of(Station::Motor)
                .any(|input| w.eval.design().entry(input).is_some());
            let weak = w.held.iter().any(|held| {
                held.status() == Status::Fails
                    && matches!(held.check.station, Station::Drive | Station::Motor)
            });
            // Nothing to look for before the job is known.
            let job_missing = w.verdict.missing.iter().any(|&input| {
                matches!(
                    register::station(input),
                    Some(Station::Axis | Station::Move)
                )
            });
            if any && !weak || job_missing {
                return String::new();
            }
            let need = |key: usize| w.eval.raw(key).is_ok();
            let slow = register::verdict::NEED_NO_LOAD_SPEED;
            let fast = register::verdict::NEED_NO_LOAD_SPEED_MAX;
            let torque = register::verdict::NEED_STALL_TORQUE;
            if !need(torque.index()) || !need(slow.index()) || w.eval.design().is_empty() {
                return String::new();
            }
            let id = |index: usize| ["{", register::id(index), "}"].concat();
            let speed = if need(fast.index()) {
                let least = w.eval.raw(slow.index()).unwrap_or(0.0);
                let most = w.eval.raw(fast.index()).unwrap_or(0.0);
                let measure = w.eval.answer(slow.index()).measure;
                [
                    "at ",
                    &w.eval
                        .notation
                        .between(measure, least, most, 2)
                        .replace("between ", "")
                        .replace(" and ", " to "),
                    " no-load",
                ]
                .concat()
            } else {
                ["at ", &id(slow.index()), " no-load or more"].concat()
            };
            let template = [
                "To buy: a gear motor with a stall torque of ",
                &id(torque.index()),
                ", ",
                &speed,
                ", both at its output shaft.",
            ]
            .concat();
            tidy(&finding::fill_template(&template, &w.eval))
        })
    };
    el("p")
        .class("shopping")
        .flag("hidden", move || line().is_empty())
        .text_fn(line)
}

/// Whether the verdict is in sight: the foot says it where it is not.
fn verdict(page: PageState) -> El {
    let line = move || page.read(headline);
    // The failing checks, at most three, and what is untrue in a listing; what they say follows.
    let others = move || -> Vec<Other> {
        page.read_untracked(|w| {
            let bad = check::ranked(
                w.held
                    .iter()
                    .filter(|h| matches!(h.status(), Status::Fails | Status::Tight)),
            );
            let mut others: Vec<Other> = bad
                .iter()
                .take(3)
                .map(|held| Other::Check(held.check))
                .collect();
            others.extend(untrue(w).map(|said| Other::Finding(said.finding)));
            others.truncate(3);
            if w.verdict.status != Status::Fails && !w.verdict.missing.is_empty() {
                others.clear();
            }
            others
        })
    };
    let leads = move |other: Other| match other {
        Other::Check(check) => page.read(|w| {
            w.worst().is_some_and(|h| h.check.id == check.id) && w.verdict.contradiction.is_none()
        }),
        Other::Finding(_) => false,
    };
    // Each line is made anew only where another check comes to stand in it: what has the keyboard stays.
    let failing = move |at: usize| {
        let key = memo(move || {
            page.track_revision();
            others()
                .get(at)
                .map_or(String::new(), |other| other.key().into())
        });
        let build = move || {
            let Some(other) = others().get(at).copied() else {
                return Vec::new();
            };
            // The headline has said what is wrong with the first.
            let text = move || {
                let text = page.read(|w| match other {
                    Other::Check(check) if leads(other) => [check.label, ":"].concat(),
                    other => other.text(w),
                });
                tidy(&text)
            };
            let way = button("plain", move || go_to(page, other.station())).text_fn(text);
            let above = move || match others().get(at.checked_sub(1)?) {
                Some(Other::Check(check)) => Some(*check),
                _ => None,
            };
            match other {
                Other::Check(check) => vec![way, remedies::first(page, check, above)],
                Other::Finding(_) => vec![way],
            }
        };
        el("li")
            .flag("hidden", move || key.with(String::is_empty))
            .keyed(key, move || batched(build))
    };
    let lines = (0..3).map(failing).collect();
    let block = el("div").class("said");
    let seen = in_sight(&block);
    follow(Box::new(move || page.verdict_seen.set(seen.get())));
    block
        .child(
            el("p")
                .class_fn(move || ["verdict ", page.read(|w| w.verdict.status.word())].concat())
                .attr("id", "verdict-sentence")
                .text_fn(line),
        )
        .child(el("ul").class("worst").children(lines))
        .child(shopping(page))
}

/// The foot: the headline once it has scrolled away, and what was tried last.
pub fn foot(page: PageState) -> El {
    let line = move || page.read(headline);
    let go = move || {
        if let Some(station) = page.read_untracked(|w| w.worst().map(|h| h.check.station)) {
            go_to(page, station);
        }
    };
    el("footer")
        .class("foot")
        .flag("hidden", move || {
            page.verdict_seen.get() && !remedies::is_tried(page)
        })
        .child(button("plain", go).text_fn(line))
        .child(remedies::tried(page))
}

/// For those who listen: the verdict once it has changed and the design rests, not every digit.
pub fn spoken(page: PageState) -> El {
    let said = RwSignal::new(String::new());
    let page = page.with_own_revision();
    follow(Box::new(move || {
        // A value that is half typed is not spoken of.
        page.steps.track();
        if !page.remedies.rested.get() {
            return;
        }
        let whole = page.read_untracked(|w| {
            w.eval.simulated().ok()?;
            let cause = w.worst().map_or("", |h| h.check.id);
            Some((w.verdict.status.word(), cause, headline(w)))
        });
        // The landing is still being simulated.
        let Some((status, cause, sentence)) = whole else {
            return;
        };
        let key = [status, " ", cause].concat();
        if page.spoken_of.get_value() != key {
            page.spoken_of.set_value(key);
            said.set([status, ": ", &sentence].concat());
        }
    }));
    el("div")
        .class("unseen")
        .attr("role", "status")
        .attr("id", "spoken")
        .text_fn(move || said.get())
}
