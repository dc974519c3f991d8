//! What else stands in `dist`: the embedding script, the schema of the design file, and the page as it is served.

use crate::packing::{fill, hash, lines, must_not_contain};
use crate::page::{Made, Optimiser, Program, Which, program, read, write};
use crate::shell::{cargo, output, root};
use anyhow::{Context, Result};
use base64::{Engine, engine::general_purpose::STANDARD};
use sha2::{Digest, Sha256};

/// Makes everything beside the page.
pub fn make(optimiser: Optimiser, page: &Made) -> Result<()> {
    let dist = root().join("dist");
    let script = embed(optimiser)?;
    println!("embed script:  {:>9} bytes", script.len());
    write(&dist.join("pulsewright-embed.js"), script.as_bytes())?;
    write(&dist.join("route-card.schema.json"), schema()?.as_bytes())?;
    served(page)
}

/// The page as a web server hands it out, which may ask that server for a few files of its own: what makes it an
/// application that can be installed, and a worker that keeps it for where there is no network.
fn served(page: &Made) -> Result<()> {
    let (dist, site) = (root().join("dist"), root().join("site"));
    let register = lines(&read(&site.join("serve.js"))?);
    must_not_contain(&register, "</script", "site/serve.js")?;
    let html = read(&page.file)?;
    let html = fill(
        html,
        "worker-src blob:; ",
        "worker-src blob: 'self'; manifest-src 'self'; ",
    )?;
    let html = fill(html, "img-src data:; ", "img-src data: 'self'; ")?;
    let html = fill(
        html,
        " 'wasm-unsafe-eval'",
        &format!(" '{}' 'wasm-unsafe-eval'", hash(&register)),
    )?;
    let html = fill(
        html,
        "<link rel=\"icon\" href=\"data:,\">\n",
        "<link rel=\"icon\" href=\"icon.svg\">\n<link rel=\"manifest\" href=\"pulsewright.webmanifest\">\n",
    )?;
    let html = fill(
        html,
        "</body>\n",
        &format!("<script>{register}</script>\n</body>\n"),
    )?;

    let mut files = Vec::new();
    for name in ["pulsewright.webmanifest", "icon.svg"] {
        files.push((name, read(&site.join(name))?));
    }
    files.push(("index.html", html));
    let mut listed = serde_json::Map::new();
    let mut all = String::new();
    for (name, text) in &files {
        write(&dist.join(name), text.as_bytes())?;
        let digest = STANDARD.encode(Sha256::digest(text));
        all.push_str(&digest);
        let _ = listed.insert((*name).into(), digest.into());
    }
    let worker = lines(&read(&site.join("worker.js"))?);
    let version = format!("pulsewright-{}", STANDARD.encode(Sha256::digest(&all)));
    let worker = fill(
        worker,
        "const VERSION = \"version\";\n",
        &format!("const VERSION = \"{version}\";\n"),
    )?;
    let worker = fill(
        worker,
        "const FILES = {};\n",
        &format!("const FILES = {};\n", serde_json::Value::Object(listed)),
    )?;
    write(&dist.join("worker.js"), worker.as_bytes())
}

/// The element's script with the program inside.
fn embed(optimiser: Optimiser) -> Result<String> {
    let Program { glue, packed, .. } = program(Which::Embed, optimiser)?;
    let template = lines(&read(&root().join("site/embed.js"))?);
    let script = fill(template, "/* glue */\n", &lines(&glue))?;
    let script = fill(
        script,
        "const PROGRAM = \"program\";\n",
        &format!("const PROGRAM = \"{}\";\n", STANDARD.encode(packed)),
    )?;
    // Somebody may put the whole script into a page.
    must_not_contain(&script, "</script", "the embedding script")?;
    Ok(script)
}

/// The schema as the command prints it: the register is its source.
fn schema() -> Result<String> {
    output(cargo().args(["run", "--quiet", "--package", "pulsewright", "--", "schema"]))
        .context("the schema of the design file")
}
