//! Checks: what the design can do against what it must, and how much room is left.

use super::{Absent, Check, Eval, Inputs, Margin, NOT_FINITE, Status};
use crate::text::measure::Measure;

/// A check of a design as it stands.
#[derive(Clone, Copy, Debug)]
pub struct CheckResult {
    /// Which.
    pub check: &'static Check,
    /// What it found, or why it cannot be said.
    pub margin: Result<Margin, Absent>,
    /// What it rests on.
    pub depends_on: Inputs,
}

impl CheckResult {
    /// How it stands.
    #[must_use]
    pub fn status(&self) -> Status {
        self.margin
            .map_or(Status::Unknown, |margin| margin.status())
    }

    /// What its two figures measure.
    #[must_use]
    pub fn measure(&self) -> Measure {
        self.margin
            .ok()
            .and_then(|margin| margin.measure)
            .unwrap_or(self.check.measure)
    }

    /// Its margin, where it has one.
    #[must_use]
    pub fn ratio(&self) -> Option<f64> {
        self.margin.ok().and_then(|margin| margin.ratio())
    }
}

/// Holds every check against the design.
#[must_use]
pub fn all(c: &Eval<'_>) -> Vec<CheckResult> {
    let mut held = Vec::with_capacity(c.model().checks.iter().map(|t| t.len()).sum());
    for check in c.model().checks() {
        let (margin, depends_on) = c.traced(check.margin);
        let margin = match margin {
            Ok(None) => continue,
            Ok(Some(margin)) if margin.capability.is_nan() || margin.need.is_nan() => {
                Err(NOT_FINITE)
            }
            Ok(Some(margin)) => Ok(margin),
            Err(absent) => Err(absent),
        };
        held.push(CheckResult {
            check,
            margin,
            depends_on,
        });
    }
    held
}

/// Checks in order, worst first: by status, then by margin; equals stay as they were.
pub fn ranked<'a>(held: impl Iterator<Item = &'a CheckResult>) -> Vec<CheckResult> {
    let mut list: Vec<CheckResult> = Vec::new();
    for next in held {
        let at = list
            .iter()
            .position(|h| worse(next, h))
            .unwrap_or(list.len());
        list.insert(at, *next);
    }
    list
}

/// Whether `a` is worse than `b`.
fn worse(a: &CheckResult, b: &CheckResult) -> bool {
    let margin = |h: &CheckResult| h.ratio().unwrap_or(f64::INFINITY);
    let (x, y) = (a.status().rank(), b.status().rank());
    x > y || (x == y && margin(a) < margin(b))
}

/// The worst check: by status, then by margin; the first of equals.
#[must_use]
pub fn worst(held: &[CheckResult]) -> Option<&CheckResult> {
    held.iter()
        .reduce(|worst, next| if worse(next, worst) { next } else { worst })
}
