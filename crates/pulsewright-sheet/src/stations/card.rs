//! The card itself: what people write on it.

use crate::evaluation::{Check, Finding};

station! { card;
    results {
    }
}

pub const CHECKS: &[Check] = &[];
pub const FINDINGS: &[Finding] = &[];
