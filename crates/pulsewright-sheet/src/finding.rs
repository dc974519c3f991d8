//! Findings: what a person should be told, with the numbers that say so.

use crate::eval::{Absent, Eval};
use crate::register::{self, Station};

/// Every station's findings, in the order of the card.
pub fn table() -> impl Iterator<Item = &'static Finding> {
    register::FINDING_TABLES.iter().copied().flatten()
}

/// How grave a finding is. The last three only where a person can be hurt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// The design does not do its job.
    Fault,
    /// A person can be hurt a little.
    Caution,
    /// A person can be hurt.
    Warning,
    /// A person can be killed.
    Danger,
}

impl Severity {
    /// Every one, gravest first.
    pub const GRAVEST_FIRST: [Self; 5] = [
        Self::Danger,
        Self::Warning,
        Self::Caution,
        Self::Fault,
        Self::Note,
    ];

    /// The word in the report.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Fault => "fault",
            Self::Caution => "caution",
            Self::Warning => "warning",
            Self::Danger => "danger",
        }
    }
}

/// A finding.
#[derive(Clone, Copy)]
pub struct Finding {
    /// Its id.
    pub id: &'static str,
    /// Station where it stands.
    pub station: Station,
    /// What is said; `{id}` stands for the value of an input or a result with its unit.
    pub message: &'static str,
    /// The numbers that triggered it.
    pub numbers: &'static [&'static str],
    /// When it is said, and how gravely.
    pub when: fn(&Eval<'_>) -> Result<Option<Severity>, Absent>,
}

impl core::fmt::Debug for Finding {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(self.id)
    }
}

/// A finding of a design.
#[derive(Clone, Copy, Debug)]
pub struct Said {
    /// Which.
    pub finding: &'static Finding,
    /// How gravely.
    pub severity: Severity,
}

impl Said {
    /// The message with the numbers in it.
    #[must_use]
    pub fn message(&self, c: &Eval<'_>) -> String {
        fill(self.finding.message, c)
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
pub fn all(c: &Eval<'_>) -> Vec<Said> {
    let found: Vec<Said> = table()
        .filter_map(|finding| {
            let severity = (finding.when)(c).ok().flatten()?;
            Some(Said { finding, severity })
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
pub fn fill(template: &str, c: &Eval<'_>) -> String {
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
                let shown = crate::report::display(c, index, 3);
                let apart = out.trim_end().ends_with([':', '(']);
                if c.raw(index).is_ok() || apart {
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
