//! What it all comes to.

use crate::check::Check;
use crate::finding::Finding;

results! {
    after super::stepper;
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
