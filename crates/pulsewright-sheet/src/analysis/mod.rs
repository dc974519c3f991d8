//! What many evaluations of changed designs tell.

pub mod bench_sheet;
pub mod gearbox;
pub mod remedy;
pub mod solve;
pub mod tolerance;
