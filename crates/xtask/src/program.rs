//! A program for the browser: compiled, bound to its script, shrunk and packed.

use crate::files::read;
use crate::one_file::gzip;
use crate::shell::{cargo, output, root, run};
use crate::wasm_opt::shrink;
use anyhow::{Context, Result, bail};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use wasm_bindgen_cli_support::Bindgen;

const WASM_TARGET: &str = "wasm32-unknown-unknown";

/// Whether the program is made smaller.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Optimiser {
    WhereInstalled,
    Unused,
}

/// What is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Artifact {
    Page,
    /// The same page, which takes times of itself.
    Timed,
    /// The yardstick: `crates/pulsewright-page/examples/minimal.rs`, packed the same way, without a style of its own.
    Minimal,
    /// The program behind the embedding element: the sheet without the page.
    Embed,
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

/// A program as the compiler left it.
pub struct Compiled {
    pub artifact: Artifact,
    file: PathBuf,
}

/// Binds, shrinks and packs what is compiled: half a minute of one core.
pub fn finish(compiled: &Compiled, optimiser: Optimiser) -> Result<Program> {
    let artifact = compiled.artifact;
    let (glue, bound) = bind(artifact, &compiled.file)?;
    let (wasm, optimiser) = match optimiser {
        Optimiser::WhereInstalled => shrink(&work_folder(artifact)?, bound)?,
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

/// Compiles one of the programs.
pub fn compile(artifact: Artifact) -> Result<Compiled> {
    ensure_wasm_target()?;
    let (selection, name): (&[&str], _) = match artifact {
        Artifact::Page => (
            &["--package", "pulsewright-page", "--lib"],
            "pulsewright_page",
        ),
        Artifact::Timed => (
            &[
                "--package",
                "pulsewright-page",
                "--lib",
                "--features",
                "bench",
            ],
            "pulsewright_page",
        ),
        Artifact::Minimal => (
            &["--package", "pulsewright-page", "--example", "minimal"],
            "minimal",
        ),
        Artifact::Embed => (
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
        .map(|file| Compiled { artifact, file })
        .with_context(|| format!("cargo built no wasm file for {name}"))
}

/// Makes the script that connects the program with the browser, and the program that fits it.
fn bind(artifact: Artifact, raw: &Path) -> Result<(String, Vec<u8>)> {
    let folder = work_folder(artifact)?;
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
            "a dependency of the page brings JavaScript files of its own, artifact one HTML file cannot hold: {}",
            snippets.display()
        );
    }
    let wasm = folder.join("page_bg.wasm");
    let program = fs::read(&wasm).with_context(|| format!("could not read {}", wasm.display()))?;
    Ok((read(&folder.join("page.js"))?, program))
}

/// Where the steps of one page leave their files.
fn work_folder(artifact: Artifact) -> Result<PathBuf> {
    let folder = root().join(match artifact {
        Artifact::Page => "target/packing",
        Artifact::Timed => "target/timed",
        Artifact::Minimal => "target/minimal",
        Artifact::Embed => "target/embedding",
    });
    fs::create_dir_all(&folder).with_context(|| format!("could not make {}", folder.display()))?;
    Ok(folder)
}
