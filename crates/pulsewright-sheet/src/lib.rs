//! The register, the design and its report.
//!
//! One entry of the [`register`] and one function make an input or a result: its label, its units,
//! its help, its working, its place in links and files and its field on the page all come from
//! there.

pub mod bench;
pub mod card;
pub mod check;
pub mod compare;
pub mod csv;
pub mod design;
pub mod entry;
pub mod eval;
pub mod examples;
pub mod finding;
pub mod formula;
pub mod glossary;
pub mod header;
pub mod json;
pub mod landing;
pub mod link;
pub mod manner;
pub mod num;
pub mod plot;
pub mod rank;
pub mod register;
pub mod remedy;
pub mod report;
pub mod schema;
pub mod settings;
pub mod slide;
pub mod solve;
pub mod tolerance;
pub mod trouble;
pub mod tuning;
pub mod unit;
pub mod written;
