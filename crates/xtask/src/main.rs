//! Build steps.
fn main() {}
