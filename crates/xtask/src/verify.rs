//! `cargo verify`: everything that must hold before a change is taken, in the order in which it fails fastest.

use crate::page::{self, Optimiser, WASM_TARGET, Which};
use crate::shell::{self, cargo, find};
use crate::{rules, tools};
use anyhow::{Result, bail};
use std::time::Instant;

/// The page may be this many times as large as the minimal page packed the same way. The aim is 4, with everything in;
/// where we stand is in the README. What the register says of its inputs and results is a quarter of the file.
const SIZE_BUDGET: f64 = 12.5;

const SEED: &str = "PROPTEST_RNG_SEED";

type Step = (&'static str, fn() -> Result<()>);

const STEPS: [Step; 12] = [
    ("toolchain and target", page::ensure_wasm_target),
    ("formatting", format),
    ("lints", lints),
    ("lints of the page, for the browser", page_lints),
    ("dependencies", rules::check_dependencies),
    ("licences", licences),
    ("site", rules::check_site),
    ("tests", tests),
    ("documentation", documentation),
    ("tools", tools::ensure),
    ("page and its size", size),
    ("browser tests", browser_tests),
];

/// Runs every step and stops at the first that fails.
pub fn run() -> Result<()> {
    let mut done = Vec::new();
    for (number, (name, step)) in STEPS.iter().enumerate() {
        println!("\n[{}/{}] {name}", number + 1, STEPS.len());
        let began = Instant::now();
        let result = step();
        done.push((name, began.elapsed().as_secs_f64(), result.is_ok()));
        if result.is_err() {
            summary(&done);
            return result;
        }
    }
    summary(&done);
    Ok(())
}

fn summary(done: &[(&&str, f64, bool)]) {
    println!("\nsummary");
    for (name, seconds, passed) in done {
        let outcome = if *passed { "ok" } else { "FAILED" };
        println!("  {outcome:<7}{seconds:>7.1} s  {name}");
    }
    for (name, _) in &STEPS[done.len()..] {
        println!("  not run          {name}");
    }
}

fn format() -> Result<()> {
    shell::run(cargo().args(["fmt", "--all", "--check"]))
}

fn lints() -> Result<()> {
    shell::run(cargo().args([
        "clippy",
        "--workspace",
        "--all-targets",
        "--",
        "-D",
        "warnings",
    ]))
}

fn page_lints() -> Result<()> {
    shell::run(cargo().args([
        "clippy",
        "--package",
        "pulsewright-page",
        "--lib",
        "--examples",
        "--features",
        "bench",
        "--target",
        WASM_TARGET,
        "--",
        "-D",
        "warnings",
    ]))
}

/// Only where cargo-deny is installed: it is a tool for those who add a dependency, not for everybody.
fn licences() -> Result<()> {
    if find(&["cargo-deny"]).is_none() {
        println!("cargo-deny is not installed: licences and bans were not checked");
        return Ok(());
    }
    shell::run(cargo().args(["deny", "--offline", "check", "bans", "licenses", "sources"]))
}

/// The laws hold for designs drawn at random: here for the same ones each time, so that one tree has one outcome;
/// `cargo test` draws others.
fn tests() -> Result<()> {
    let mut command = cargo();
    if std::env::var_os(SEED).is_none() {
        command.env(SEED, "1");
    }
    shell::run(command.args(["test", "--workspace", "--exclude", "browser"]))
}

fn documentation() -> Result<()> {
    let mut command = cargo();
    command.env("RUSTDOCFLAGS", "-D warnings");
    shell::run(command.args(["doc", "--no-deps", "--workspace"]))
}

fn size() -> Result<()> {
    let minimal = page::make(Which::Minimal, Optimiser::WhereInstalled)?;
    let made = page::make_all(Optimiser::WhereInstalled)?;
    let ratio = made.html as f64 / minimal.html as f64;
    println!(
        "{} bytes, {ratio:.2} times the minimal page's {} (at most {SIZE_BUDGET}); optimiser: {}",
        made.html, minimal.html, made.optimiser
    );
    if ratio > SIZE_BUDGET {
        bail!("the page is over its size budget");
    }
    Ok(())
}

fn browser_tests() -> Result<()> {
    shell::run(cargo().args(["test", "--package", "browser"]))
}
