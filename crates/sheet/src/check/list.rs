//! The table of checks.

use super::Check;

/// Every check, in the order of the stations.
pub static CHECKS: &[Check] = &[];
