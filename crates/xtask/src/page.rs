//! Source to one HTML file.

use crate::files::{read, write};
use crate::one_file::{Parts, pack, with_unpacking};
use crate::program::{Artifact, Compiled, Optimiser, Program, finish};
use crate::shell::root;
use anyhow::Result;
use std::path::PathBuf;

/// A finished file and how big it and its program are, in bytes.
#[derive(Debug)]
pub struct Built {
    pub file: PathBuf,
    pub wasm: usize,
    pub packed_wasm: usize,
    pub html: usize,
    pub optimiser: String,
}

/// Makes one of the pages from its program.
pub fn make(compiled: &Compiled, optimiser: Optimiser) -> Result<Built> {
    let artifact = compiled.artifact;
    let Program {
        glue,
        packed,
        size,
        optimiser,
    } = finish(compiled, optimiser)?;
    let packed_wasm = packed.len();
    let site = root().join("site");
    let (style, first_screen) = match artifact {
        Artifact::Page | Artifact::Timed => (
            read(&site.join("style.css"))?,
            read(&site.join("first-screen.html"))?,
        ),
        Artifact::Minimal | Artifact::Embed => (String::new(), String::new()),
    };
    let html = pack(&Parts {
        template: read(&site.join("index.html"))?,
        style,
        first_screen,
        boot: with_unpacking(&read(&site.join("boot.js"))?)?,
        glue,
        program: packed,
    })?;
    let file = match artifact {
        Artifact::Page => root().join("dist/pulsewright.html"),
        Artifact::Timed => root().join("target/timed/pulsewright.html"),
        Artifact::Minimal | Artifact::Embed => root().join("target/minimal/minimal.html"),
    };
    write(&file, html.as_bytes())?;
    Ok(Built {
        file,
        wasm: size,
        packed_wasm,
        html: html.len(),
        optimiser,
    })
}
