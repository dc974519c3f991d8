//! The checks and the findings of a station.

use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::evaluation::{Absent, Eval};
use pulsewright_sheet::evaluation::{Check, LoadCase, Status};
use pulsewright_sheet::evaluation::{Finding, Severity};
use pulsewright_sheet::output::verdict::margin as margin_words;
use pulsewright_sheet::register::Station;
use pulsewright_sheet::text::measure::Measure;
use pulsewright_sheet::text::number;

use crate::dom::{El, batched, el, memo};
use crate::state::evaluated::Evaluated;
use crate::state::page_state::PageState;
use crate::view::figures::tidy;
use crate::view::remedies;
use crate::view::stamp::stamp;

/// The two figures of a check that does not fail, and its margin, in words: what fails says its own.
fn figures(c: &Eval<'_>, held: &CheckResult) -> String {
    let Ok(margin) = held.margin else {
        let why = held.margin.err().map(|a| a.message()).unwrap_or_default();
        // The status has said so.
        return why
            .strip_prefix("waits: ")
            .map_or(why.clone(), String::from);
    };
    let limit = held.check.limit;
    let measure = match held.measure() {
        Measure::TemperatureRise if limit => Measure::Temperature,
        measure => measure,
    };
    let (measure, factor) = match margin.measure {
        Some(travel) => display::travel_as_asked(c, travel),
        None => (measure, 1.0),
    };
    let show = |v: f64| {
        let value = factor * (v + margin.from).abs();
        c.notation.said(measure, value, 3)
    };
    let case = margin.case.map_or("", |case| match case {
        LoadCase::Blocked => " at stall",
        LoadCase::Hold => " while holding",
        LoadCase::Move => " while moving",
    });
    let (has, needs) = (show(margin.capability), show(margin.need));
    let compared = match held.ratio() {
        _ if limit && margin.from < 0.0 => [&needs, case, ", at least ", &has, " needed"].concat(),
        _ if limit => [&needs, case, ", ", &has, " allowed"].concat(),
        Some(_) => [&has, " available, ", &needs, " needed", case].concat(),
        None => [&has, " available, none needed"].concat(),
    };
    match margin_words(c, held).as_str() {
        "" => compared,
        margin => [&compared, ": margin ", margin].concat(),
    }
}

/// What a check says: its figures; where it fails, what is wrong and by how much.
fn sentence(c: &Eval<'_>, held: &CheckResult) -> String {
    let said = match (held.status(), margin_words(c, held).as_str()) {
        (Status::Fails, "") => [": ", &held.what_fails(c)].concat(),
        (Status::Fails, margin) => [", margin ", margin, ": ", &held.what_fails(c)].concat(),
        _ => [": ", &figures(c, held)].concat(),
    };
    tidy(&[&said, ". "].concat())
}

/// `template` with the figures of the design.
pub fn filled(page: PageState, template: &str) -> String {
    tidy(&page.read(|w| finding::fill_template(template, &w.eval)))
}

fn rests(w: &Evaluated, held: &CheckResult) -> String {
    match w.assumed_in(held.depends_on) {
        0 => "Uses entered values only.".into(),
        1 => "Uses 1 typical value.".into(),
        n => ["Uses ", &number::int(n as i64), " typical values."].concat(),
    }
}

/// The checks of a station, worst first. They are made anew where one comes, goes or changes its status;
/// what they say follows.
pub fn checks(page: PageState, station: Station) -> El {
    let page = page.with_own_revision();
    let held = move || {
        page.read_untracked(|w| check::ranked(w.held.iter().filter(|h| h.check.station == station)))
    };
    let key = memo(move || {
        page.track_revision();
        let parts: Vec<&str> = held()
            .iter()
            .flat_map(|h| [h.check.id, " ", h.status().word(), " "])
            .collect();
        parts.concat()
    });
    let says = move |check: &'static Check, say: fn(&Evaluated, &CheckResult) -> String| {
        move || page.read(|w| w.held(check).map_or(String::new(), |held| say(w, held)))
    };
    el("ul").class("checks").keyed(key, move || {
        let line = |h: &CheckResult| {
            el("li")
                .class(h.status().word())
                .child(el("span").drawing(&stamp(h.status())))
                .child(
                    el("span")
                        .child(el("b").text(h.check.label))
                        .child(
                            el("span")
                                .class("how-it-stands")
                                .text(", ")
                                .text(h.status().word()),
                        )
                        .text_fn(says(h.check, |w, held| sentence(&w.eval, held)))
                        .child(el("span").class("assumed").text_fn(says(h.check, rests)))
                        .children(remedies::under(page, h)),
                )
        };
        batched(|| held().iter().map(line).collect())
    })
}

/// Why something is not there, as a sentence.
pub fn why(absent: &Absent) -> String {
    [&capital(&absent.message()), "."].concat()
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
pub fn findings(page: PageState, station: Station) -> El {
    let page = page.with_own_revision();
    let said = move || -> Vec<(&'static Finding, Severity)> {
        page.read_untracked(|w| {
            w.said
                .iter()
                .filter(|s| s.finding.station == station)
                .map(|s| (s.finding, s.severity))
                .collect()
        })
    };
    let key = memo(move || {
        page.track_revision();
        let parts: Vec<&str> = said()
            .iter()
            // One id may have several messages.
            .flat_map(|(finding, severity)| [finding.message, severity.word()])
            .collect();
        parts.concat()
    });
    let message = move |finding: &'static Finding| move || filled(page, finding.message);
    el("div").class("findings").keyed(key, move || {
        let line = |(finding, severity): (&'static Finding, Severity)| {
            let lead = if severity > Severity::Fault {
                [&capital(severity.word()), ". "].concat()
            } else {
                String::new()
            };
            el("p")
                .class(&["finding ", severity.word()].concat())
                .child(el("b").text(&lead))
                .text_fn(message(finding))
        };
        batched(|| said().into_iter().map(line).collect())
    })
}
