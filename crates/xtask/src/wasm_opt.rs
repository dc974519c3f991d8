//! Makes the program smaller, where Binaryen's `wasm-opt` is installed.

use crate::files::write;
use crate::shell::{find, output, root, run};
use anyhow::{Context, Result};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The version that sizes are judged with, as npm names it.
pub const BINARYEN: &str = "132.0.0";

/// Versions before this one cannot read what Rust and the binding generator make (108 knows no `table.fill` and
/// exports the wrong table).
const OLDEST: u32 = 120;

/// What Rust 1.95 emits for this target and every current browser runs. `--all-features` would let the optimiser
/// write encodings that browsers refuse.
const WASM_FEATURES: [&str; 7] = [
    "--enable-bulk-memory",
    "--enable-bulk-memory-opt",
    "--enable-nontrapping-float-to-int",
    "--enable-sign-ext",
    "--enable-mutable-globals",
    "--enable-reference-types",
    "--enable-multivalue",
];

/// The optimiser that `cargo verify` puts among its tools.
pub fn pinned() -> PathBuf {
    root().join("target/tools/node_modules/.bin/wasm-opt")
}

/// Runs the optimiser, where there is one that is new enough. Returns the program and what was done.
pub fn shrink(folder: &Path, wasm: Vec<u8>) -> Result<(Vec<u8>, String)> {
    let without = |why: String| {
        Ok((
            wasm.clone(),
            format!(
                "none: {why}\n               the page works and is a quarter larger; for the smaller one: \
                 npm install --prefix target/tools binaryen@{BINARYEN}"
            ),
        ))
    };
    let pinned = pinned();
    let Some(optimiser) = (if pinned.is_file() {
        Some(pinned)
    } else {
        find(&["wasm-opt"])
    }) else {
        return without("no wasm-opt on the search path (Binaryen)".into());
    };
    let told = output(
        Command::new(&optimiser)
            .arg("--version")
            .stdin(Stdio::null()),
    )?;
    let version = number(&told);
    if version < OLDEST {
        return without(format!(
            "Binaryen {version} is too old, {OLDEST} or newer is needed"
        ));
    }
    let (before, after) = (folder.join("bound.wasm"), folder.join("small.wasm"));
    write(&before, &wasm)?;
    println!("shrinking the program with {}: half a minute", told.trim());
    run(Command::new(&optimiser)
        // Functions of one module next to each other compress better: 2 % smaller. A function with one caller stays on
        // its own as well, unless it is a few instructions: what is alike stands together, 5 % smaller.
        .args(["-Oz", "--converge", "--reorder-functions-by-name"])
        .args(["--one-caller-inline-max-function-size", "16"])
        .args(WASM_FEATURES)
        .arg(&before)
        .arg("-o")
        .arg(&after))?;
    let small = fs::read(&after).with_context(|| format!("could not read {}", after.display()))?;
    Ok((small, told.trim().to_owned()))
}

/// The number in "wasm-opt version 132 (version_132)".
fn number(told: &str) -> u32 {
    told.split_whitespace()
        .find_map(|word| word.parse().ok())
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a release is made with is what sizes are judged with, and what is verified is what is pinned.
    #[test]
    fn workflows_name_the_versions_in_use() {
        let text = |path: &str| crate::files::read(&root().join(path)).unwrap();
        let release = text(".github/workflows/release.yml");
        assert!(
            release.contains(&format!("binaryen@{BINARYEN}\n")),
            "{BINARYEN}"
        );
        let pinned = text("rust-toolchain.toml");
        let (_, pinned) = pinned.split_once("channel = \"").unwrap();
        let minor = pinned
            .split('"')
            .next()
            .unwrap()
            .rsplit_once('.')
            .unwrap()
            .0;
        let image = format!("container: rust:{minor}-");
        assert!(
            text(".github/workflows/verify.yml").contains(&image),
            "{image}"
        );
    }

    #[test]
    fn versions_are_read() {
        assert_eq!(number("wasm-opt version 132 (version_132)"), 132);
        assert_eq!(number("wasm-opt version 108"), 108);
        assert_eq!(number("something else"), 0);
    }
}
