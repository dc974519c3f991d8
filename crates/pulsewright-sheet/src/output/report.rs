//! The report of a design: every result, check and finding, for people and as JSON.

use serde::Serialize;
use serde_json::{Map, Value};

use crate::design::Design;
use crate::evaluation::Eval;
use crate::evaluation::LoadCase;
use crate::evaluation::check::{self, CheckResult};
use crate::evaluation::display;
use crate::evaluation::finding;
use crate::output::entered::{refusals, unused};
use crate::register::{self, COUNT, INPUT_COUNT};
use crate::text::measure::Measure;

/// Standing line, on screen, print and command line.
pub const STANDING: &str = "A calculation, not an approval. Not for lifting or carrying people, medical use, or any function that safety rests on. Local codes and licensed practice come first; where they and this sheet differ, they are right.";

/// Version of the report's form. It rises when something in it is taken away, renamed or means something else; what is
/// added leaves it as it is.
pub const FORM: u64 = 1;

/// Ids of the assumed inputs that a result or a check rests on, sorted.
#[must_use]
pub fn assumed(c: &Eval<'_>, depends_on: crate::evaluation::Inputs) -> Vec<&'static str> {
    let mut ids: Vec<&'static str> = Vec::new();
    // The lists are short; the library's sort would be 3 kB of the page.
    for id in c.assumed(depends_on).iter().map(register::id) {
        let at = ids.iter().position(|known| *known > id);
        ids.insert(at.unwrap_or(ids.len()), id);
    }
    ids
}

/// The report as JSON, in the form that the documentation fixes; the landing is simulated for it.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::output::report;
///
/// let design = link::read("#pw1;gears.ratio=380")?.design;
/// let report = report::json(&design);
/// assert_eq!(report["quantities"]["gears.exact_ratio"]["value"], 380.0);
/// assert_eq!(report["report"], report::FORM);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn json(design: &Design) -> Value {
    let c = Eval::new(design).simulating();
    let (mut quantities, mut absent) = (Map::new(), Map::new());
    for index in INPUT_COUNT..COUNT {
        let answer = c.answer(index);
        let id = register::id(index).to_string();
        let _ = match answer.found {
            Ok(value) => quantities.insert(
                id,
                value_of(Quantity {
                    value: answer.measure.reported(value),
                    unit: answer.measure.si_name(),
                    label: register::label(index),
                    display: display::display(&c, index, 4),
                    assumed: assumed(&c, answer.depends_on),
                    exact: answer.exact.map(display::exact_text),
                }),
            ),
            Err(why) => absent.insert(
                id,
                value_of(Missing {
                    code: why.code.word(),
                    message: display::absence(&c, index, why),
                }),
            ),
        };
    }
    let held = check::all(&c);
    let verdict = check::verdict(&c, &held);
    value_of(Report {
        report: FORM,
        made_by: made_by(),
        route_card: crate::design::card::FORMAT,
        verdict: Verdict {
            status: verdict.status.word(),
            check: verdict.leading.map(|leading| leading.check.id),
            sentence: super::verdict::sentence(&c, &verdict),
            missing: verdict.missing.iter().copied().map(register::id).collect(),
            wished: (design.wishes().iter())
                .map(|wish| register::id(wish.input))
                .collect(),
        },
        refused: entries(refusals(&c)),
        unused: entries(unused(&c)),
        quantities,
        absent,
        checks: held.iter().map(|held| check_entry(&c, held)).collect(),
        findings: finding::all(&c)
            .iter()
            .map(|raised| FindingEntry {
                id: raised.finding.id,
                severity: raised.severity.word(),
                message: raised.message(&c),
                numbers: raised
                    .numbers(&c)
                    .into_iter()
                    .map(|(id, value)| (id.into(), value.into()))
                    .collect(),
            })
            .collect(),
    })
}

fn value_of(entry: impl Serialize) -> Value {
    serde_json::to_value(entry).unwrap_or_default()
}

/// The report, in the order in which it is written.
#[derive(Serialize)]
struct Report {
    report: u64,
    made_by: &'static str,
    route_card: u64,
    verdict: Verdict,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    refused: Vec<EntryMessage>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    unused: Vec<EntryMessage>,
    quantities: Map<String, Value>,
    absent: Map<String, Value>,
    checks: Vec<CheckEntry>,
    findings: Vec<FindingEntry>,
}

#[derive(Serialize)]
struct Verdict {
    status: &'static str,
    check: Option<&'static str>,
    sentence: String,
    missing: Vec<&'static str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    wished: Vec<&'static str>,
}

/// What is said of an entry.
#[derive(Serialize)]
struct EntryMessage {
    id: &'static str,
    label: &'static str,
    message: String,
}

fn entries(said: Vec<(usize, String)>) -> Vec<EntryMessage> {
    said.into_iter()
        .map(|(index, message)| EntryMessage {
            id: register::id(index),
            label: register::label(index),
            message,
        })
        .collect()
}

#[derive(Serialize)]
struct Quantity {
    value: f64,
    unit: &'static str,
    label: &'static str,
    display: String,
    assumed: Vec<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    exact: Option<String>,
}

#[derive(Serialize)]
struct Missing {
    code: &'static str,
    message: String,
}

#[derive(Serialize)]
struct CheckEntry {
    id: &'static str,
    label: &'static str,
    capability: Option<f64>,
    need: Option<f64>,
    unit: &'static str,
    margin: Option<f64>,
    status: &'static str,
    assumed: Vec<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    case: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    message: Option<String>,
}

#[derive(Serialize)]
struct FindingEntry {
    id: &'static str,
    severity: &'static str,
    message: String,
    numbers: Map<String, Value>,
}

fn check_entry(c: &Eval<'_>, held: &CheckResult) -> CheckEntry {
    let measure = held.measure();
    let margin = held.margin.ok();
    CheckEntry {
        id: held.check.id,
        label: held.check.label,
        capability: margin.map(|margin| margin.capability),
        need: margin.map(|margin| margin.need),
        unit: if measure == Measure::Temperature {
            "K"
        } else {
            measure.si_name()
        },
        margin: held.ratio(),
        status: held.status().word(),
        assumed: assumed(c, held.depends_on),
        case: margin.and_then(|margin| margin.case).map(LoadCase::word),
        message: held.margin.err().map(|absent| match held.fault {
            Some(_) => held.what_fails(c),
            None => absent.message(),
        }),
    }
}

/// Name and version of what made a report.
#[must_use]
pub fn made_by() -> &'static str {
    concat!("pulsewright ", env!("CARGO_PKG_VERSION"))
}
