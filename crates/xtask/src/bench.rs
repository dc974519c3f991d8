//! `cargo bench-page`: how large and how fast the page is beside a minimal one. It asserts nothing.

use crate::page::{self, Made, Which};
use crate::shell::{self, cargo};
use anyhow::Result;

/// Prints sizes, then lets the browser package measure times. `field` is the CSS selector of the field to type in.
pub fn run(field: Option<&str>) -> Result<()> {
    let minimal = page::make(Which::Minimal, true)?;
    let made = page::make(Which::Pulsewright, true)?;
    println!("optimiser: {}\n", made.optimiser);
    println!(
        "{:<32}{:>14}{:>14}{:>9}",
        "", "pulsewright", "minimal", "ratio"
    );
    let rows: [(&str, fn(&Made) -> usize); 3] = [
        ("wasm, bytes", |made| made.wasm),
        ("wasm, gzip, bytes", |made| made.packed_wasm),
        ("whole file, bytes", |made| made.html),
    ];
    for (name, size) in rows {
        let (ours, theirs) = (size(&made), size(&minimal));
        println!(
            "{name:<32}{ours:>14}{theirs:>14}{:>9.2}",
            ours as f64 / theirs as f64
        );
    }
    shell::run(
        cargo()
            .args([
                "run",
                "--quiet",
                "--package",
                "browser",
                "--bin",
                "measure",
                "--",
            ])
            .arg(&made.file)
            .arg(&minimal.file)
            .args(field),
    )
}
