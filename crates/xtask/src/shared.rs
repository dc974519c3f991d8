//! What else stands in `dist`: the embedding script, the schema of the design file, and the page as it is served.

use crate::packing::{fill, lines, must_not_contain};
use crate::page::{Made, Optimiser, Program, Which, program, read, write};
use crate::shell::{cargo, output, root};
use anyhow::{Context, Result};
use base64::{Engine, engine::general_purpose::STANDARD};

/// Makes everything beside the page.
pub fn make(optimiser: Optimiser, page: &Made) -> Result<()> {
    let dist = root().join("dist");
    let script = embed(optimiser)?;
    println!("embed script:  {:>9} bytes", script.len());
    write(&dist.join("pulsewright-embed.js"), script.as_bytes())?;
    write(&dist.join("route-card.schema.json"), schema()?.as_bytes())?;
    let _ = page;
    Ok(())
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
