//! `cargo verify`: everything that must hold before a change is taken, in the order in which it fails fastest.

use crate::program::{self, Optimiser};
use crate::shell::{self, cargo, root};
use crate::{dist, floors, licences, rules, tools};
use anyhow::{Result, bail};
use std::process::Command;
use std::time::Instant;

/// The largest that the page may be, in bytes, with Binaryen's optimiser; where we stand is in the README.
const PAGE_BUDGET: usize = 640_000;

/// The largest that the embedding element's script may be.
const EMBED_BUDGET: usize = 420_000;

/// Said before the first run, so that nobody thinks that it hangs.
const FIRST_RUN: &str = "the first run fetches tools and builds everything, for the tests, the page and the browsers: \
                         much longer than later ones; each step shows its progress, and its time at the end";

const SEED: &str = "PROPTEST_RNG_SEED";
const ENGINES: &str = "PULSEWRIGHT_ENGINES";

type Step = (&'static str, fn() -> Result<()>);

const STEPS: [Step; 13] = [
    ("toolchain and target", program::ensure_wasm_target),
    ("formatting", format),
    ("lints", lints),
    ("dependencies", rules::check_dependencies),
    ("floors", floors::check),
    ("licences", licences::check),
    ("site", rules::check_site),
    ("tests", tests),
    ("documentation", documentation),
    ("tools", tools::ensure),
    ("page and its size", size),
    ("module", module),
    ("browser tests", browser_tests),
];

/// Runs the steps whose name contains this, or all, and stops at the first that fails.
pub fn run(only: Option<&str>) -> Result<()> {
    let steps: Vec<&Step> = STEPS
        .iter()
        .filter(|(name, _)| only.is_none_or(|part| name.contains(part)))
        .collect();
    if steps.is_empty() {
        let names = STEPS.map(|(name, _)| name).join(", ");
        bail!("no step is called that; the steps are: {names}");
    }
    if only.is_none() && !root().join("target/tools").exists() {
        println!("{FIRST_RUN}");
    }
    let mut done = Vec::new();
    for (number, (name, step)) in steps.iter().enumerate() {
        println!("\n[{}/{}] {name}", number + 1, steps.len());
        let began = Instant::now();
        let result = step();
        done.push((*name, began.elapsed().as_secs_f64(), result.is_ok()));
        if result.is_err() {
            summary(&done, &steps);
            return result;
        }
    }
    summary(&done, &steps);
    Ok(())
}

fn summary(done: &[(&str, f64, bool)], steps: &[&Step]) {
    println!("\nsummary");
    for (name, seconds, passed) in done {
        let outcome = if *passed { "ok" } else { "FAILED" };
        println!("  {outcome:<7}{seconds:>7.1} s  {name}");
    }
    for (name, _) in &steps[done.len()..] {
        println!("  not run          {name}");
    }
}

fn format() -> Result<()> {
    shell::run(cargo().args(["fmt", "--all", "--check"]))
}

/// Every package but this one, and this one. In each step the same two, and apart: what a package rests on is compiled
/// anew wherever others are chosen beside it, and this one is there before all.
const OTHERS: [&str; 3] = ["--workspace", "--exclude", "xtask"];
const ITSELF: [&str; 2] = ["--package", "xtask"];

fn lints() -> Result<()> {
    let strictly = ["--", "-D", "warnings"];
    shell::run(
        cargo()
            .arg("clippy")
            .args(OTHERS)
            .args(["--all-targets", "--features", "pulsewright-page/bench"])
            .args(strictly),
    )?;
    shell::run(
        cargo()
            .arg("clippy")
            .args(ITSELF)
            .arg("--all-targets")
            .args(strictly),
    )?;
    // Others ask for its standard library.
    shell::run(
        cargo()
            .args(["clippy", "--package", "pulsewright-calc"])
            .args(["--lib", "--no-default-features"])
            .args(strictly),
    )
}

/// The laws hold for designs drawn at random: here for the same ones each time, so that one tree has one outcome;
/// `cargo test` draws others.
fn tests() -> Result<()> {
    for packages in [OTHERS.as_slice(), &ITSELF] {
        let mut command = cargo();
        if std::env::var_os(SEED).is_none() {
            command.env(SEED, "1");
        }
        // Browsers come later.
        command.env(ENGINES, "none");
        shell::run(command.arg("test").args(packages))?;
    }
    Ok(())
}

fn documentation() -> Result<()> {
    for packages in [OTHERS.as_slice(), &ITSELF] {
        let mut command = cargo();
        command.env("RUSTDOCFLAGS", "-D warnings");
        shell::run(command.args(["doc", "--no-deps"]).args(packages))?;
    }
    Ok(())
}

/// The page and the element's script, in kilobytes of a thousand bytes, made with the pinned optimiser.
fn size() -> Result<()> {
    let made = dist::make(Optimiser::WhereInstalled)?;
    let mut over = false;
    for (name, bytes, budget) in [
        ("page", made.page.html, PAGE_BUDGET),
        ("embed script", made.embed, EMBED_BUDGET),
    ] {
        println!("{name}: {bytes} bytes of at most {budget}");
        over |= bytes > budget;
    }
    if over {
        bail!("over the size budget; optimiser: {}", made.page.optimiser);
    }
    Ok(())
}

/// The ES module that the step before left in `dist`, in node, which npm brings.
fn module() -> Result<()> {
    shell::run(
        Command::new("node")
            .current_dir(root().join("tests/module"))
            .args(["--test", "evaluate.test.mjs", "unpack.test.mjs"]),
    )
}

fn browser_tests() -> Result<()> {
    shell::run(cargo().arg("test").args(OTHERS).args(["--test", "page"]))
}
