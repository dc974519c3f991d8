//! The motor on this supply.

use crate::check::Check;
use crate::finding::Finding;

inputs! {
    after super::wiring;

}

results! {
    after super::wiring;
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
