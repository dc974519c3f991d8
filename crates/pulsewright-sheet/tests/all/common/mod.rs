//! What every test needs: the examples, entries by id, and what an evaluation says under an id.

use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::card;
use pulsewright_sheet::evaluation::Severity;
use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::evaluation::{Absent, Code, Eval};
use pulsewright_sheet::register;
use pulsewright_sheet::stations;
use pulsewright_sheet::text::number::DecimalMark;

/// The four examples as files, by name, in the order in which the page offers them.
pub const DEMOS: [(&str, &str); 4] = [
    (
        "turntable",
        include_str!("../../../demos/turntable.card.json"),
    ),
    (
        "vent_lever",
        include_str!("../../../demos/vent_lever.card.json"),
    ),
    (
        "camera_slider",
        include_str!("../../../demos/camera_slider.card.json"),
    ),
    (
        "focus_stage",
        include_str!("../../../demos/focus_stage.card.json"),
    ),
];

/// The example of this name.
#[track_caller]
pub fn demo(name: &str) -> Design {
    let found = DEMOS.iter().find(|(known, _)| *known == name);
    card::read(found.expect(name).1).expect(name)
}

/// Every example with its name.
pub fn demos() -> impl Iterator<Item = (&'static str, Design)> {
    DEMOS.iter().map(|(name, _)| (*name, demo(name)))
}

/// Every example, and of each kind of axis the design in which nothing else is given.
pub fn demos_and_kinds() -> Vec<(String, Design)> {
    let kinds = register::Kind::WORDS.iter();
    let kinds = kinds.map(|kind| (format!("neutral {kind}"), entered(&[("axis.kind", kind)])));
    let demos = demos().map(|(name, design)| (name.to_string(), design));
    demos.chain(kinds).collect()
}

/// The number of the input of this id.
#[track_caller]
pub fn input(id: &str) -> usize {
    register::find_input(id).expect(id)
}

/// Enters a text, which must be taken; an empty one takes the entry away.
#[track_caller]
pub fn enter(design: &mut Design, id: &str, text: &str) {
    design.enter(input(id), text, DecimalMark::Stored);
    let taken = text.is_empty() || design.entry(input(id)).is_some();
    assert!(taken, "{id} refuses {text}");
}

/// The same design with these entries besides; each must be taken.
#[track_caller]
pub fn with<T: AsRef<str>>(design: &Design, entries: &[(&str, T)]) -> Design {
    let mut design = design.clone();
    for (id, text) in entries {
        enter(&mut design, id, text.as_ref());
    }
    design
}

/// These entries and nothing else.
#[track_caller]
pub fn entered<T: AsRef<str>>(entries: &[(&str, T)]) -> Design {
    with(&Design::default(), entries)
}

/// The number under an id, SI, temperatures in kelvin; or why it is not there.
#[track_caller]
pub fn answer(c: &Eval<'_>, id: &str) -> Result<f64, Absent> {
    c.raw(register::find(id).expect(id))
}

/// The number under an id, SI, temperatures in kelvin.
#[track_caller]
pub fn value(c: &Eval<'_>, id: &str) -> f64 {
    match answer(c, id) {
        Ok(value) => value,
        Err(absent) => panic!("{id}: {}", absent.message()),
    }
}

/// The same of a design that is evaluated for it alone.
#[track_caller]
pub fn value_of(design: &Design, id: &str) -> f64 {
    value(&Eval::new(design), id)
}

/// Why what is under an id is not there, if it is not.
#[track_caller]
pub fn code(c: &Eval<'_>, id: &str) -> Option<Code> {
    answer(c, id).err().map(|absent| absent.code)
}

/// A check, evaluated.
#[track_caller]
pub fn held(c: &Eval<'_>, id: &str) -> CheckResult {
    let all = check::all(c);
    *all.iter().find(|held| held.check.id == id).expect(id)
}

/// The margin of a check; where nothing is asked, all the room there is.
#[track_caller]
pub fn margin(c: &Eval<'_>, id: &str) -> f64 {
    held(c, id).ratio().unwrap_or(f64::INFINITY)
}

/// How gravely a finding is told, and in which words, if it is told.
#[track_caller]
pub fn said(c: &Eval<'_>, id: &str) -> Option<(Severity, String)> {
    assert!(stations::findings().any(|f| f.id == id), "no finding {id}");
    let all = finding::all(c);
    let said = all.iter().find(|said| said.finding.id == id);
    said.map(|said| (said.severity, said.message(c)))
}
