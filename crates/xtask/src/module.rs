//! The calculator as an ES module: `dist/module`, a package that npm packs as it stands.

use crate::files::{read, write};
use crate::one_file::{dense, fill, lines, with_unpacking};
use crate::program::Program;
use crate::shell::root;
use anyhow::Result;
use serde_json::json;

/// Writes the package, with the element's program inside.
pub fn make(program: &Program, types: &str) -> Result<()> {
    let (site, package) = (root().join("site"), root().join("dist/module"));
    let script = with_unpacking(&read(&site.join("module.js"))?)?;
    let script = fill(script, "/* glue */\n", &lines(&program.glue))?;
    let script = fill(
        script,
        "const PROGRAM = \"program\";\n",
        &format!("const PROGRAM = \"{}\";\n", dense(&program.packed)),
    )?;
    let described = json!({
        "name": "pulsewright",
        "version": env!("CARGO_PKG_VERSION"),
        "description": "Will this gear motor do this axis's work? A design in, its report out",
        "license": "MIT",
        "type": "module",
        "exports": {".": {"types": "./pulsewright.d.ts", "default": "./pulsewright.js"}},
        "types": "./pulsewright.d.ts",
        "files": ["pulsewright.js", "pulsewright.d.ts"],
        "sideEffects": false,
        "engines": {"node": ">=18"},
        "keywords": ["actuator", "dc-motor", "gear-motor", "step-direction", "calculator"],
    });
    let described = serde_json::to_string_pretty(&described)? + "\n";
    for (name, text) in [
        ("pulsewright.js", script.as_str()),
        ("pulsewright.d.ts", types),
        ("package.json", &described),
        ("README.md", &read(&site.join("module.md"))?),
        ("LICENSE", &read(&root().join("LICENSE"))?),
    ] {
        write(&package.join(name), text.as_bytes())?;
    }
    Ok(())
}
