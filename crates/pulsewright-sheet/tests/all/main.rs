//! What the sheet promises, in one program: linked once, its tests side by side.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test stops where something is not there"
)]

mod common;

mod any_design;
mod bench;
mod codecs;
mod compare;
mod cycle_heat;
mod entries;
mod exports;
mod landing;
mod laws_loop;
mod laws_motion;
mod laws_supply;
mod plots;
mod reference_loop;
mod reference_motion;
mod reference_supply;
mod reference_v3;
mod register;
mod remedies;
mod rest;
mod schema;
mod stall;
mod tolerances;
mod tuning;
