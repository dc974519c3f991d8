//! Findings: what a person should be told, with the numbers that say so.

use super::display::display;
use super::{Absent, Code, Eval, Finding, Raised, Severity};
use crate::register;

/// A finding of a design.
#[derive(Clone, Copy, Debug)]
pub struct RaisedFinding {
    /// Which.
    pub finding: &'static Finding,
    /// How gravely.
    pub severity: Severity,
}

impl RaisedFinding {
    /// The message with the numbers in it.
    #[must_use]
    pub fn message(&self, c: &Eval<'_>) -> String {
        fill_template(self.finding.message, c)
    }

    /// The numbers that triggered it: number in the register and reported value.
    #[must_use]
    pub fn numbers(&self, c: &Eval<'_>) -> Vec<(&'static str, f64)> {
        self.finding
            .numbers
            .iter()
            .filter_map(|id| {
                let index = register::find(id)?;
                let answer = c.answer(index);
                Some((*id, answer.measure.reported(answer.found.ok()?)))
            })
            .collect()
    }
}

/// Every finding of the design, gravest first, in the order of the table.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::guide::examples::EXAMPLES;
/// use pulsewright_sheet::evaluation::finding;
///
/// let design = link::read(EXAMPLES[0].link)?.design;
/// let c = Eval::new(&design);
/// for raised in finding::all(&c) {
///     println!("{}: {}", raised.severity.word(), raised.message(&c));
/// }
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn all(c: &Eval<'_>) -> Vec<RaisedFinding> {
    let found = raised(c);
    let mut said = Vec::with_capacity(found.len());
    for severity in Severity::GRAVEST_FIRST {
        let these = found.iter().filter(|(_, grave, _)| *grave == severity);
        said.extend(these.map(|&(finding, severity, _)| RaisedFinding { finding, severity }));
    }
    said
}

/// Every finding that is raised, in the order of the table: found once, for checks and findings.
pub(super) fn raised<'c>(c: &'c Eval<'_>) -> &'c [Raised] {
    c.intermediates.raised.get_or_init(|| {
        let raises = |finding: &'static Finding| {
            let (severity, depends_on) = c.gathering(finding.when);
            Some((finding, severity.ok().flatten()?, depends_on))
        };
        c.traced(|c| c.model().findings().filter_map(raises).collect())
            .0
    })
}

/// `template` with `{id}` replaced by that input's or result's value and unit.
///
/// What stands in square brackets is left out where a value in it is not there. Elsewhere in a sentence such a value is
/// a question mark, the first one with the reason behind it; after a colon or in brackets it is the reason alone.
#[must_use]
pub fn fill_template(template: &str, c: &Eval<'_>) -> String {
    filled(template, c, false)
}

/// The same, and an input that nobody entered is called typical: what a design fails by may be a guess.
pub(super) fn filled_telling_typical(template: &str, c: &Eval<'_>) -> String {
    filled(template, c, true)
}

fn filled(template: &str, c: &Eval<'_>, typical: bool) -> String {
    let mut out = String::new();
    let mut rest = template;
    while let Some((plain, behind)) = rest.split_once('[') {
        let (clause, after) = behind.split_once(']').unwrap_or((behind, ""));
        fill(plain, c, typical, &mut out);
        if is_known(clause, c) {
            fill(clause, c, typical, &mut out);
        }
        rest = after;
    }
    fill(rest, c, typical, &mut out);
    // A clause that is left out takes its blank along.
    while let Some(at) = out.find("  ") {
        let _ = out.remove(at);
    }
    out.trim_start().into()
}

/// Whether there is something to show under this number: a value, or the limit that it passes.
fn is_shown(index: usize, c: &Eval<'_>) -> bool {
    let above = |absent: Absent| absent.code == Code::Above;
    c.answer(index).found.map_or_else(above, |_| true)
}

/// Whether every value of a clause is there.
fn is_known(clause: &str, c: &Eval<'_>) -> bool {
    clause.split('{').skip(1).all(|part| {
        let id = part.split_once('}').map_or(part, |(id, _)| id);
        register::find(id).is_none_or(|index| is_shown(index, c))
    })
}

fn fill(template: &str, c: &Eval<'_>, typical: bool, out: &mut String) {
    let mut rest = template;
    while let Some((head, tail)) = rest.split_once('{') {
        out.push_str(head);
        let Some((id, after)) = tail.split_once('}') else {
            out.push('{');
            rest = tail;
            break;
        };
        match register::find(id) {
            Some(index) => {
                let shown = display(c, index, 3);
                let traced = out.trim_end().ends_with([':', '(']);
                let bracketed = out.ends_with('(');
                if is_shown(index, c) || traced {
                    out.push_str(&shown);
                    if typical && c.is_typical(index) {
                        out.push_str(if bracketed { ", typical" } else { " (typical)" });
                    }
                } else if out.contains(&shown) {
                    out.push('?');
                } else {
                    out.push_str(&["? (", &shown, ")"].concat());
                }
            }
            None => out.push_str(id),
        }
        rest = after;
    }
    out.push_str(rest);
}
