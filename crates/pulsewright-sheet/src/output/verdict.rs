//! The verdict in words: every way out leads with it.

use crate::design::State;
use crate::design::entry::Refusal;
use crate::evaluation::check::{self, CheckResult, Verdict};
use crate::evaluation::finding::{self, fill_template};
use crate::evaluation::{Eval, Severity, Status, display};
use crate::register::{self, Kind, axis};
use crate::text::label::in_sentence;
use crate::text::number;

/// The margin of a check: `×1.67`; empty where nothing is asked.
#[must_use]
pub fn margin(c: &Eval<'_>, held: &CheckResult) -> String {
    held.ratio().map_or(String::new(), |ratio| {
        ["×", &c.notation.number(ratio, 3)].concat()
    })
}

/// The verdict as a sentence: it names the check that decides, or what is still to be entered.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::{Eval, check};
/// use pulsewright_sheet::output::verdict::sentence;
///
/// let empty = Design::default();
/// let c = Eval::new(&empty);
/// let said = sentence(&c, &check::verdict(&c, &check::all(&c)));
/// assert!(said.starts_with("7 more values are needed: "), "{said}");
/// ```
///
/// What fails with typical values alone does not hide what is still to be entered:
/// ```
/// # use pulsewright_sheet::design::link;
/// # use pulsewright_sheet::evaluation::{Eval, check};
/// # use pulsewright_sheet::output::verdict::sentence;
/// let design = link::read("#pw1;axis.load_mass=400g")?.design;
/// let c = Eval::new(&design);
/// let said = sentence(&c, &check::verdict(&c, &check::all(&c)));
/// assert!(said.starts_with("6 more values are needed: "), "{said}");
/// assert!(said.contains("Until then, with typical values, it does not do the job: the motor stalls at "), "{said}");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// A design does its job once its landing has been simulated, not before:
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::{Eval, check};
/// use pulsewright_sheet::guide::examples::EXAMPLES;
/// use pulsewright_sheet::output::verdict::sentence;
///
/// let design = link::read(EXAMPLES[3].link)?.design;
/// let said = |c: Eval<'_>| sentence(&c, &check::verdict(&c, &check::all(&c)));
/// assert!(said(Eval::new(&design)).starts_with("So far every check passes"));
/// assert!(said(Eval::new(&design).simulating()).starts_with("It does the job"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn sentence(c: &Eval<'_>, verdict: &Verdict) -> String {
    [judged(c, verdict), typical_lever(c, verdict), wished(c)].concat()
}

/// What turns the motor's motion into the load's, where a verdict is spoken and nobody has entered it.
fn typical_lever(c: &Eval<'_>, verdict: &Verdict) -> String {
    let spoken = matches!(
        verdict.status,
        Status::Passes | Status::Tight | Status::Fails
    );
    if !spoken || !verdict.missing.is_empty() {
        return String::new();
    }
    let lever = match c.get(axis::KIND) {
        Ok(Kind::Arm | Kind::Turntable | Kind::Drum) => axis::RADIUS.index(),
        Ok(Kind::Screw) => axis::SCREW_LEAD.index(),
        Ok(Kind::Belt) => axis::PULLEY_TEETH.index(),
        Ok(Kind::Rack) => axis::PINION_TEETH.index(),
        Ok(Kind::Torque) | Err(_) => return String::new(),
    };
    if c.is_given(lever) || c.is_given(axis::RADIUS.index()) {
        return String::new();
    }
    let (label, value) = (c.label(lever), display::display(c, lever, 3));
    [
        " Typical value taken: ",
        &in_sentence(label),
        ", ",
        &value,
        ".",
    ]
    .concat()
}

/// On how many wished figures it rests; nothing where on none.
fn wished(c: &Eval<'_>) -> String {
    match c.design().wishes().len() {
        0 => String::new(),
        1 => " It rests on 1 wished figure, which no listing says yet.".into(),
        many => [
            " It rests on ",
            &number::int(many as i64),
            " wished figures, which no listing says yet.",
        ]
        .concat(),
    }
}

fn judged(c: &Eval<'_>, verdict: &Verdict) -> String {
    if let Some(contradiction) = verdict.contradiction {
        return ["Not known yet. ", &fill_template(contradiction.message, c)].concat();
    }
    let Some(leading) = &verdict.leading else {
        return "No checks apply.".into();
    };
    let label = leading.check.label;
    let margin = margin(c, leading);
    // What the landing may still fail does not do the job yet.
    let (passes, tight) = match c.simulated() {
        Ok(()) => (
            "It does the job: every check passes.",
            "It does the job with little margin. ",
        ),
        Err(_) => (
            "So far every check passes; the landing is not simulated yet.",
            "So far every check passes, one with little margin; the landing is not simulated yet. ",
        ),
    };
    match verdict.status {
        Status::Fails => {
            let why = leading.what_fails(c);
            let rests_on = |index: &usize| leading.depends_on.has(*index);
            match verdict.missing.iter().any(rests_on) {
                true => [
                    &needed(c, &verdict.missing),
                    " Until then, with typical values, it does not do the job: ",
                    &why,
                    ".",
                ]
                .concat(),
                false => ["It does not do the job yet: ", &why, "."].concat(),
            }
        }
        Status::Unknown | Status::Waits if refused_of(c, verdict).is_some() => [
            "Not known yet. ",
            &refused_of(c, verdict).unwrap_or_default(),
        ]
        .concat(),
        Status::Unknown | Status::Waits if !verdict.missing.is_empty() => {
            needed(c, &verdict.missing)
        }
        Status::Unknown | Status::Waits => {
            let why = leading.margin.err().map(|absent| absent.message());
            [
                "Not known yet. ",
                label,
                ": ",
                &why.unwrap_or_default(),
                ".",
            ]
            .concat()
        }
        Status::Tight => [tight, label, ": ", &margin, "."].concat(),
        Status::Passes if margin.is_empty() => passes.into(),
        Status::Passes => [passes, " Smallest margin: ", label, ", ", &margin, "."].concat(),
    }
}

/// What is still to be entered, in a sentence.
fn needed(c: &Eval<'_>, missing: &[usize]) -> String {
    let labels: Vec<String> = missing
        .iter()
        .map(|&index| in_sentence(c.label(index)))
        .collect();
    let needed = match labels.len() {
        1 => " more value is needed: ",
        _ => " more values are needed: ",
    };
    [
        &number::int(labels.len() as i64),
        needed,
        &labels.join(", "),
        ".",
    ]
    .concat()
}

/// A refused entry of those that a verdict rests on at least, in a sentence.
fn refused_of(c: &Eval<'_>, verdict: &Verdict) -> Option<String> {
    let mut missing = verdict.missing.iter();
    missing.find_map(|&index| match c.design().state(index) {
        State::Refused { refusal, .. } => {
            let label = in_sentence(c.label(index));
            // What begins with the value itself reads on from the label.
            let mark = match refusal {
                Refusal::Range { .. } | Refusal::Whole(_) | Refusal::Reversed(..) => " ",
                _ => ": ",
            };
            Some(["Refused: ", &label, mark, &refusal.message(), "."].concat())
        }
        _ => None,
    })
}

/// The refused entries of a design, a line each.
#[must_use]
pub fn refusals(c: &Eval<'_>) -> Vec<String> {
    super::entered::refusals(c)
        .into_iter()
        .map(|(index, message)| {
            let (label, id) = (c.label(index), register::id(index));
            ["refused: ", label, " (", id, "): ", &message].concat()
        })
        .collect()
}

/// The verdict with what must stand beside it on any way out: the refused entries, the failing checks and the warnings, a
/// line each, first the verdict itself.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::output::verdict;
///
/// let design = Design::default();
/// assert!(verdict::lines(&Eval::new(&design))[0].starts_with("unknown: "));
/// ```
#[must_use]
pub fn lines(c: &Eval<'_>) -> Vec<String> {
    let held = check::all(c);
    let verdict = check::verdict(c, &held);
    let mut lines = vec![[verdict.status.word(), ": ", &sentence(c, &verdict)].concat()];
    lines.extend(refusals(c));
    let leading = verdict.leading.map(|leading| leading.check.id);
    for failing in check::ranked(held.iter().filter(|held| held.status() == Status::Fails)) {
        if Some(failing.check.id) != leading || verdict.status != Status::Fails {
            let said = failing.what_fails(c);
            lines.push(["fails: ", failing.check.label, ": ", &said, "."].concat());
        }
    }
    for raised in finding::all(c) {
        if raised.severity > Severity::Fault {
            lines.push([raised.severity.word(), ": ", &raised.message(c)].concat());
        }
    }
    lines
}

/// The verdict as a number, for a macro: 0 passes, 1 tight, 2 fails, 3 unknown.
#[must_use]
pub fn code(status: Status) -> u8 {
    match status {
        Status::Passes => 0,
        Status::Tight => 1,
        Status::Fails => 2,
        Status::Unknown | Status::Waits => 3,
    }
}
