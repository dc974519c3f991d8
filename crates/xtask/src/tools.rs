//! What the browser tests and the size figure need beside Rust, and how it gets here.

use crate::shell::{cargo, find, root, run};
use crate::wasm_opt::{BINARYEN, pinned};
use anyhow::{Result, bail};
use std::path::Path;
use std::process::Command;

/// A program from outside, by the names it goes under, and Debian's package of it.
struct Tool {
    names: &'static [&'static str],
    package: &'static str,
    engine: Option<&'static str>,
}

const TOOLS: [Tool; 7] = [
    Tool {
        names: &["npm"],
        package: "npm",
        engine: None,
    },
    // Reads what Chromium printed.
    Tool {
        names: &["pdftotext"],
        package: "poppler-utils",
        engine: Some("chromium"),
    },
    Tool {
        names: &["chromium", "chromium-browser", "google-chrome"],
        package: "chromium",
        engine: Some("chromium"),
    },
    Tool {
        names: &["chromedriver"],
        package: "chromium-driver",
        engine: Some("chromium"),
    },
    Tool {
        names: &["firefox-esr", "firefox"],
        package: "firefox-esr",
        engine: Some("firefox"),
    },
    Tool {
        names: &["WebKitWebDriver"],
        package: "webkit2gtk-driver",
        engine: Some("webkit"),
    },
    Tool {
        names: &["Xvfb"],
        package: "xvfb",
        engine: Some("webkit"),
    },
];

/// The version of the rules of accessibility that a program can check.
const AXE: &str = "4.14.1";

/// The version of Firefox's driver, which is built here: Debian has no package of it.
const GECKODRIVER: &str = "0.37.1";

/// What other people build documentation with, to see the embedding element in it: a Rust program and two Python ones.
const MDBOOK: &str = "0.5.4";
const PYTHON: [&str; 2] = ["sphinx==9.0.4", "mkdocs==1.6.1"];

/// Makes sure that everything is here for the engines that the browser tests will use.
pub fn ensure() -> Result<()> {
    let engines = std::env::var("PULSEWRIGHT_ENGINES").unwrap_or_default();
    let wanted = |engine: &str| engines.trim().is_empty() || engines.contains(engine);

    let mut missing = missing_packages(&wanted);
    if !missing.is_empty() && may_install() {
        println!("installing {}", missing.join(" "));
        run(Command::new("apt-get").args(["update", "--quiet", "--quiet"]))?;
        run(Command::new("apt-get")
            .env("DEBIAN_FRONTEND", "noninteractive")
            .args([
                "install",
                "--yes",
                "--quiet",
                "--quiet",
                "--no-install-recommends",
            ])
            .args(&missing))?;
        missing = missing_packages(&wanted);
    }
    if !missing.is_empty() {
        bail!(
            "these are missing (named as Debian names the packages): {names}\n\
             On Debian or Ubuntu: sudo apt-get install {names}\n\
             Elsewhere install the same programs; the tests look for them on the search path.\n\
             To test in fewer engines, set PULSEWRIGHT_ENGINES, for example to chromium,firefox",
            names = missing.join(" ")
        );
    }
    if !pinned().is_file() {
        fetch("binaryen", BINARYEN)?;
    }
    let rules = root().join("target/tools/node_modules/axe-core");
    let told = std::fs::read_to_string(rules.join("package.json")).unwrap_or_default();
    if wanted("chromium") && !told.contains(&format!("\"version\": \"{AXE}\"")) {
        fetch("axe-core", AXE)?;
    }
    if wanted("firefox") && find(&["geckodriver"]).is_none() {
        build("geckodriver", GECKODRIVER, &[])?;
    }
    if wanted("chromium") && find(&["mdbook"]).is_none() {
        build("mdbook", MDBOOK, &["--no-default-features"])?;
    }
    if wanted("chromium") {
        python()?;
    }
    Ok(())
}

/// Builds a program of a registry's package, once.
fn build(package: &str, version: &str, options: &[&str]) -> Result<()> {
    println!("building {package} {version}, once");
    let tools = root().join("target/tools");
    run(cargo()
        .args(["install", package, "--version", version, "--locked"])
        .args(options)
        .arg("--root")
        .arg(&tools)
        .arg("--target-dir")
        .arg(tools.join("build")))
}

/// The Python programs, in an environment of their own.
fn python() -> Result<()> {
    let folder = root().join("target/tools/documents");
    let pip = folder.join("bin/pip");
    let there = |name: &str| folder.join("bin").join(name).is_file();
    if there("sphinx-build") && there("mkdocs") {
        return Ok(());
    }
    println!("fetching {}, once", PYTHON.join(" and "));
    let make = || run(Command::new("python3").args(["-m", "venv"]).arg(&folder));
    if make().is_err() {
        if !may_install() {
            bail!("Python with its module venv is missing; on Debian the package python3-venv");
        }
        run(Command::new("apt-get")
            .env("DEBIAN_FRONTEND", "noninteractive")
            .args([
                "install",
                "--yes",
                "--quiet",
                "--quiet",
                "--no-install-recommends",
            ])
            .arg("python3-venv"))?;
        make()?;
    }
    run(Command::new(pip).args(["install", "--quiet"]).args(PYTHON))
}

/// Gets a package of npm, once.
fn fetch(package: &str, version: &str) -> Result<()> {
    println!("fetching {package} {version}, once");
    run(Command::new("npm")
        .args(["install", "--no-audit", "--no-fund", "--silent", "--prefix"])
        .arg(root().join("target/tools"))
        .arg(format!("{package}@{version}")))
}

fn missing_packages(wanted: &dyn Fn(&str) -> bool) -> Vec<&'static str> {
    TOOLS
        .iter()
        .filter(|tool| tool.engine.is_none_or(wanted))
        .filter(|tool| find(tool.names).is_none())
        .map(|tool| tool.package)
        .collect()
}

/// Whether this is a Debian-like system and we are its administrator.
fn may_install() -> bool {
    let is_root = Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|output| output.stdout.trim_ascii() == b"0");
    is_root && Path::new("/etc/debian_version").exists() && find(&["apt-get"]).is_some()
}
