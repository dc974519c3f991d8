//! `cargo page`: source to one HTML file.

use crate::optimiser::shrink;
use crate::packing::{Parts, gzip, pack};
use crate::shell::{cargo, output, root, run};
use anyhow::{Context, Result, bail};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use wasm_bindgen_cli_support::Bindgen;

pub const WASM_TARGET: &str = "wasm32-unknown-unknown";

/// What was asked for on the command line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Options {
    open: bool,
    optimiser: Optimiser,
}

/// Whether the program is made smaller.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Optimiser {
    WhereInstalled,
    Unused,
}

impl Options {
    pub fn parse(arguments: &[String]) -> Result<Self> {
        let mut options = Self {
            open: true,
            optimiser: Optimiser::WhereInstalled,
        };
        for argument in arguments {
            match argument.as_str() {
                "--no-open" => options.open = false,
                "--no-optimise" => options.optimiser = Optimiser::Unused,
                other => bail!("cargo page knows --no-open and --no-optimise, not {other}"),
            }
        }
        Ok(options)
    }
}

/// What is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    Pulsewright,
    /// The same page, which takes times of itself.
    Timed,
    /// The yardstick: `crates/pulsewright-page/examples/minimal.rs`, packed the same way, without a style of its own.
    Minimal,
    /// The program behind the embedding element: the sheet without the page.
    Embed,
}

/// A finished file and how big it and its program are, in bytes.
#[derive(Debug)]
pub struct Made {
    pub file: PathBuf,
    pub wasm: usize,
    pub packed_wasm: usize,
    pub html: usize,
    pub optimiser: String,
}

/// Makes all of `dist`, says how big it is, and shows the page where there is a screen.
pub fn make_and_open(options: &Options) -> Result<()> {
    let made = make_all(options.optimiser)?;
    if options.open {
        open(&made.file);
    }
    Ok(())
}

/// Makes the page and what stands beside it in `dist`, and says how big they are.
pub fn make_all(optimiser: Optimiser) -> Result<Made> {
    let made = make(Which::Pulsewright, optimiser)?;
    println!("optimiser:     {}", made.optimiser);
    println!("program:       {:>9} bytes of wasm", made.wasm);
    println!("program, gzip: {:>9} bytes", made.packed_wasm);
    println!("whole file:    {:>9} bytes", made.html);
    println!("{}", made.file.display());
    crate::shared::make(optimiser, &made)?;
    Ok(made)
}

/// Makes one of the pages.
pub fn make(which: Which, optimiser: Optimiser) -> Result<Made> {
    let Program {
        glue,
        packed,
        size,
        optimiser,
    } = program(which, optimiser)?;
    let packed_wasm = packed.len();
    let site = root().join("site");
    let style = match which {
        Which::Pulsewright | Which::Timed => read(&site.join("style.css"))?,
        Which::Minimal | Which::Embed => String::new(),
    };
    let html = pack(&Parts {
        template: read(&site.join("index.html"))?,
        style,
        boot: read(&site.join("boot.js"))?,
        glue,
        program: packed,
    })?;
    let file = match which {
        Which::Pulsewright => root().join("dist/pulsewright.html"),
        Which::Timed => root().join("target/timed/pulsewright.html"),
        Which::Minimal | Which::Embed => root().join("target/minimal/minimal.html"),
    };
    write(&file, html.as_bytes())?;
    Ok(Made {
        file,
        wasm: size,
        packed_wasm,
        html: html.len(),
        optimiser,
    })
}

/// A program for the browser with the script that connects it.
pub struct Program {
    pub glue: String,
    /// Gzipped.
    pub packed: Vec<u8>,
    /// Before that, in bytes.
    pub size: usize,
    pub optimiser: String,
}

/// Compiles, binds, shrinks and packs one of the programs.
pub fn program(which: Which, optimiser: Optimiser) -> Result<Program> {
    ensure_wasm_target()?;
    let raw = compile(which)?;
    let (glue, bound) = bind(which, &raw)?;
    let (wasm, optimiser) = match optimiser {
        Optimiser::WhereInstalled => shrink(&work_folder(which)?, bound)?,
        Optimiser::Unused => (bound, "none, as asked".to_owned()),
    };
    Ok(Program {
        glue,
        packed: gzip(&wasm)?,
        size: wasm.len(),
        optimiser,
    })
}

/// Adds the WebAssembly target to the toolchain that runs us, when it is missing.
pub fn ensure_wasm_target() -> Result<()> {
    let folder = output(
        Command::new(std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into()))
            .current_dir(root())
            .args(["--print", "target-libdir", "--target", WASM_TARGET]),
    )?;
    if Path::new(folder.trim()).is_dir() {
        return Ok(());
    }
    println!("adding the target {WASM_TARGET}");
    run(Command::new("rustup")
        .current_dir(root())
        .args(["target", "add", WASM_TARGET]))
    .with_context(|| {
        format!(
            "Rust here cannot compile for the browser. `rustup target add {WASM_TARGET}` should add that and did \
             not; without rustup, install the package of your distribution that holds Rust's library for {WASM_TARGET}"
        )
    })
}

/// Compiles the page and returns where its program lies.
fn compile(which: Which) -> Result<PathBuf> {
    let (selection, name): (&[&str], _) = match which {
        Which::Pulsewright => (
            &["--package", "pulsewright-page", "--lib"],
            "pulsewright_page",
        ),
        Which::Timed => (
            &[
                "--package",
                "pulsewright-page",
                "--lib",
                "--features",
                "bench",
            ],
            "pulsewright_page",
        ),
        Which::Minimal => (
            &["--package", "pulsewright-page", "--example", "minimal"],
            "minimal",
        ),
        Which::Embed => (
            &["--package", "pulsewright-embed", "--lib"],
            "pulsewright_embed",
        ),
    };
    let messages = output(
        cargo()
            .args(["build", "--profile", "page"])
            .args(["--target", WASM_TARGET])
            .args(["--message-format", "json-render-diagnostics"])
            .args(selection),
    )?;
    // Cargo says where it put the file, so that its settings for the target folder need not be known here.
    messages
        .lines()
        .filter_map(|line| serde_json::from_str::<serde_json::Value>(line).ok())
        .filter(|message| message["target"]["name"] == name)
        .filter_map(|message| {
            message["filenames"]
                .as_array()?
                .iter()
                .filter_map(|file| file.as_str())
                .find(|file| file.ends_with(".wasm"))
                .map(PathBuf::from)
        })
        .next_back()
        .with_context(|| format!("cargo built no wasm file for {name}"))
}

/// Makes the script that connects the program with the browser, and the program that fits it.
fn bind(which: Which, raw: &Path) -> Result<(String, Vec<u8>)> {
    let folder = work_folder(which)?;
    let snippets = folder.join("snippets");
    if snippets.exists() {
        fs::remove_dir_all(&snippets)
            .with_context(|| format!("could not empty {}", snippets.display()))?;
    }
    Bindgen::new()
        .input_path(raw)
        .out_name("page")
        .typescript(false)
        .omit_default_module_path(true)
        .no_modules(true)?
        .generate(&folder)
        .context("the binding generator failed")?;
    if snippets.exists() {
        bail!(
            "a dependency of the page brings JavaScript files of its own, which one HTML file cannot hold: {}",
            snippets.display()
        );
    }
    let wasm = folder.join("page_bg.wasm");
    let program = fs::read(&wasm).with_context(|| format!("could not read {}", wasm.display()))?;
    Ok((read(&folder.join("page.js"))?, program))
}

/// Where the steps of one page leave their files.
fn work_folder(which: Which) -> Result<PathBuf> {
    let folder = root().join(match which {
        Which::Pulsewright => "target/packing",
        Which::Timed => "target/timed",
        Which::Minimal => "target/minimal",
        Which::Embed => "target/embedding",
    });
    fs::create_dir_all(&folder).with_context(|| format!("could not make {}", folder.display()))?;
    Ok(folder)
}

fn open(file: &Path) {
    let has_screen = match std::env::consts::OS {
        "windows" => true,
        "macos" => std::env::var_os("SSH_CONNECTION").is_none(),
        _ => ["DISPLAY", "WAYLAND_DISPLAY"]
            .iter()
            .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty())),
    };
    if !has_screen {
        println!("no screen here: open that file in a browser");
        return;
    }
    let mut command = match std::env::consts::OS {
        "windows" => Command::new("explorer"),
        "macos" => Command::new("open"),
        _ => Command::new("xdg-open"),
    };
    let started = command
        .arg(file)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    if started.is_err() {
        println!("found no way to start a browser: open that file in one");
    }
}

pub fn read(path: &Path) -> Result<String> {
    fs::read_to_string(path).with_context(|| format!("could not read {}", path.display()))
}

pub fn write(path: &Path, bytes: &[u8]) -> Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)
            .with_context(|| format!("could not make {}", folder.display()))?;
    }
    fs::write(path, bytes).with_context(|| format!("could not write {}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(words: &[&str]) -> Result<Options> {
        Options::parse(
            &words
                .iter()
                .map(|word| (*word).to_owned())
                .collect::<Vec<_>>(),
        )
    }

    #[test]
    fn options_are_understood_in_any_order() {
        let both = Options {
            open: false,
            optimiser: Optimiser::Unused,
        };
        assert_eq!(parse(&["--no-optimise", "--no-open"]).unwrap(), both);
        let none = Options {
            open: true,
            optimiser: Optimiser::WhereInstalled,
        };
        assert_eq!(parse(&[]).unwrap(), none);
    }

    #[test]
    fn an_unknown_option_is_named() {
        let message = parse(&["--fast"]).unwrap_err().to_string();
        assert!(message.contains("--fast"), "{message}");
    }
}
