//! What the page knows, without a piece of markup: the design with all that follows from it, and what keeps it,
//! simulates it and seeks remedies for it.

pub mod address;
pub mod evaluated;
pub mod origin;
pub mod page_state;
pub mod remedies;
pub mod remedy_search;
pub mod simulated;
pub mod simulation;
pub mod storage;
pub mod worker;
