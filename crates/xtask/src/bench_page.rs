//! `cargo bench-page`: how large and how fast the page is beside a minimal one. It asserts nothing.

use crate::program::{Artifact, Optimiser, compile};
use crate::shell::{self, cargo};
use crate::{dist, page};
use anyhow::Result;

/// Prints sizes, then lets the browser package measure times. `field` is the CSS selector of the field to type in.
pub fn run(field: Option<&str>) -> Result<()> {
    let minimal = page::make(&compile(Artifact::Minimal)?, Optimiser::WhereInstalled)?;
    let timed = page::make(&compile(Artifact::Timed)?, Optimiser::WhereInstalled)?;
    let made = dist::make(Optimiser::WhereInstalled)?.page;
    println!();
    println!(
        "{:<40}{:>14}{:>14}{:>9}",
        "", "pulsewright", "minimal", "ratio"
    );
    let rows = [
        ("wasm, bytes", made.wasm, minimal.wasm),
        ("wasm, gzip, bytes", made.packed_wasm, minimal.packed_wasm),
        ("whole file, bytes", made.html, minimal.html),
    ];
    for (name, ours, theirs) in rows {
        println!(
            "{name:<40}{ours:>14}{theirs:>14}{:>9.2}",
            ours as f64 / theirs as f64
        );
    }
    shell::run(
        cargo()
            .args(["run", "--package", "browser", "--bin", "measure", "--"])
            .arg(&made.file)
            .arg(&minimal.file)
            .arg(&timed.file)
            .args(field),
    )
}
