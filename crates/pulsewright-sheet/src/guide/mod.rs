//! What is told beside a design.

pub mod examples;
pub mod glossary;
pub mod troubleshooting;
