#![doc = include_str!("../README.md")]
//!
//! # How it is built
//!
//! One entry of the [`register`] and one function among the [`stations`] make a result: its label, its
//! units, its help, its working, its place in links and files and its field on the page all come from
//! there. The modules stand on floors, from the ground up: text, register, design and guide, evaluation,
//! analysis, stations, output and plot. Each names only what stands on its own floor or below.

pub use pulsewright_calc;

#[macro_use]
pub mod text;
#[macro_use]
pub mod register;
pub mod analysis;
pub mod design;
pub mod evaluation;
pub mod guide;
pub mod output;
pub mod plot;
pub mod stations;
