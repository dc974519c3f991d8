//! The checks and the findings of a station.

use pulsewright_sheet::check::{self, Case, Check, Held, Status};
use pulsewright_sheet::eval::Eval;
use pulsewright_sheet::finding::{self, Finding, Severity};
use pulsewright_sheet::manner::Manner;
use pulsewright_sheet::num;
use pulsewright_sheet::register::Station;
use pulsewright_sheet::unit::Measure;

use crate::dom::{El, el, memo, together};
use crate::state::evaluated::Worked;
use crate::state::page_state::Desk;
use crate::view::remedies;
use crate::view::stamp::stamp;

/// A check's two figures and its room, in words.
fn figures(manner: Manner, held: &Held) -> String {
    let Ok(room) = held.room else {
        return held.room.err().map(|a| a.message()).unwrap_or_default();
    };
    let measure = match held.measure() {
        Measure::Temperature => Measure::TemperatureRise,
        measure => measure,
    };
    let show = |v: f64| manner.said(measure, v, 3);
    let case = room.case.map_or("", |case| match case {
        Case::Blocked => " when blocked",
        Case::Hold => " while it holds",
        Case::Move => " while it moves",
    });
    match held.margin() {
        Some(margin) => [
            "has ",
            &show(room.capability),
            ", needs ",
            &show(room.need),
            case,
            ": room ",
            &manner.number(margin, 3),
        ]
        .concat(),
        None => "nothing asked".into(),
    }
}

/// What a check says: its figures, what is wrong where it is under.
fn sentence(c: &Eval<'_>, held: &Held) -> String {
    let wrong = match held.status() {
        Status::Under => [". ", &capital(&finding::fill(held.check.under, c))].concat(),
        _ => String::new(),
    };
    [": ", &figures(c.manner, held), &wrong, ". "].concat()
}

fn rests(w: &Worked, held: &Held) -> String {
    match w.assumed_in(held.rests_on) {
        0 => "Rests on given figures.".into(),
        1 => "Rests on 1 assumed figure.".into(),
        n => ["Rests on ", &num::int(n as i64), " assumed figures."].concat(),
    }
}

/// The checks of a station, worst first. They are made anew where one comes, goes or changes its status;
/// what they say follows.
pub fn checks(desk: Desk, station: Station) -> El {
    let desk = desk.part();
    let held = move || {
        desk.glance(|w| check::ranked(w.held.iter().filter(|h| h.check.station == station)))
    };
    let key = memo(move || {
        desk.track();
        let parts: Vec<&str> = held()
            .iter()
            .flat_map(|h| [h.check.id, " ", h.status().word(), " "])
            .collect();
        parts.concat()
    });
    let says = move |check: &'static Check, say: fn(&Worked, &Held) -> String| {
        move || desk.read(|w| w.held(check).map_or(String::new(), |held| say(w, held)))
    };
    el("ul").class("checks").list(key, move || {
        let line = |h: &Held| {
            el("li")
                .class(h.status().word())
                .add(el("span").drawing(&stamp(h.status(), None, false)))
                .add(
                    el("span")
                        .add(el("b").text(h.check.label))
                        .add(
                            el("span")
                                .class("unseen")
                                .text(", ")
                                .text(h.status().word()),
                        )
                        .says(says(h.check, |w, held| sentence(&w.eval, held)))
                        .add(el("span").class("assumed").says(says(h.check, rests)))
                        .all(remedies::under(desk, h)),
                )
        };
        together(|| held().iter().map(line).collect())
    })
}

/// First letter as a capital.
pub fn capital(text: &str) -> String {
    let mut out = String::from(text);
    if let Some(first) = out.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    out
}

/// What is to be said at a station, as [`checks`] are.
pub fn findings(desk: Desk, station: Station) -> El {
    let desk = desk.part();
    let said = move || -> Vec<(&'static Finding, Severity)> {
        desk.glance(|w| {
            w.said
                .iter()
                .filter(|s| s.finding.station == station)
                .map(|s| (s.finding, s.severity))
                .collect()
        })
    };
    let key = memo(move || {
        desk.track();
        let parts: Vec<&str> = said()
            .iter()
            // One id may have several messages.
            .flat_map(|(finding, severity)| [finding.message, severity.word()])
            .collect();
        parts.concat()
    });
    let message = move |finding: &'static Finding| {
        move || desk.read(|w| finding::fill(finding.message, &w.eval))
    };
    el("div").class("findings").list(key, move || {
        let line = |(finding, severity): (&'static Finding, Severity)| {
            let lead = if severity > Severity::Fault {
                [&capital(severity.word()), ". "].concat()
            } else {
                String::new()
            };
            el("p")
                .class(&["finding ", severity.word()].concat())
                .add(el("b").text(&lead))
                .says(message(finding))
        };
        together(|| said().into_iter().map(line).collect())
    })
}
