#![doc = include_str!("../README.md")]
//!
//! # How it is built
//!
//! Pure functions, one module a station of the route card: quantities of [`units`] in, quantities
//! out. Nothing here reads a clock, a file or a random number, and what every keystroke computes
//! allocates nothing: only [`landing::tune`] and [`bench::tooth_fractions`] return lists.
//! Elementary functions come from `libm`, so that a number checked natively is bit for bit the number
//! that the page shows.
//!
//! What this crate does not do: it knows no defaults, no names and no limits of what people may
//! enter; those are data of the register in the `pulsewright-sheet` crate.
//!
//! In the examples `agrees(value, "0.0981")` holds a value against the digits that a book prints: it
//! must round to them.

#![cfg_attr(not(any(test, feature = "std")), no_std)]
// Where some other crate of a build brings the standard library, its methods come before those of `float`.
#![cfg_attr(not(feature = "std"), allow(unused_imports, dead_code))]

extern crate alloc;

pub use uom;

#[cfg(any(test, not(feature = "std")))]
mod float;
pub mod units;

pub mod axis;
pub mod bench;
pub mod bridge;
pub mod drive;
pub mod encoder;
pub mod error_budget;
pub mod gears;
pub mod heat;
pub mod landing;
pub mod motion;
pub mod motor;
pub mod position_loop;
pub mod preferred;
pub mod ratio;
pub mod regulator;
pub mod roots;
pub mod stepper;
pub mod steps;
pub mod supply;
pub mod wiring;
