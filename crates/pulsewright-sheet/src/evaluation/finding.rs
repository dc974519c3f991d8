//! Findings: what a person should be told, with the numbers that say so.

use super::display::display;
use super::{Eval, Finding, Severity};
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
#[must_use]
pub fn all(c: &Eval<'_>) -> Vec<RaisedFinding> {
    let found: Vec<RaisedFinding> = c
        .model()
        .findings()
        .filter_map(|finding| {
            let severity = (finding.when)(c).ok().flatten()?;
            Some(RaisedFinding { finding, severity })
        })
        .collect();
    let mut said = Vec::with_capacity(found.len());
    for severity in Severity::GRAVEST_FIRST {
        said.extend(found.iter().filter(|s| s.severity == severity).copied());
    }
    said
}

/// `template` with `{id}` replaced by that input's or result's value and unit.
///
/// Within a sentence a value that is not there is a question mark, the first one with the reason behind it; after a
/// colon or in brackets it is the reason alone.
#[must_use]
pub fn fill_template(template: &str, c: &Eval<'_>) -> String {
    let mut out = String::new();
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
                if c.raw(index).is_ok() || traced {
                    out.push_str(&shown);
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
    out
}
