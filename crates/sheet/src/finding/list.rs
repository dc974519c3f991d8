//! The table of findings.

use super::Finding;

/// Every finding.
pub static FINDINGS: &[Finding] = &[];
