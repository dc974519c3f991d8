//! Makes the program smaller, where Binaryen's `wasm-opt` is installed.

use crate::page::write;
use crate::shell::{find, output, run};
use anyhow::{Context, Result, bail};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use walrus::{ExportItem, Module};

/// What Rust 1.95 emits for this target and every current browser runs. `--all-features` would let the optimiser
/// write encodings that browsers refuse.
const WASM_FEATURES: [&str; 7] = [
    "--enable-bulk-memory",
    "--enable-bulk-memory-opt",
    "--enable-nontrapping-float-to-int",
    "--enable-sign-ext",
    "--enable-mutable-globals",
    "--enable-reference-types",
    "--enable-multivalue",
];

/// Runs the optimiser, where there is one. Returns the program and what was done.
pub fn shrink(folder: &Path, wasm: Vec<u8>) -> Result<(Vec<u8>, String)> {
    let Some(optimiser) = find(&["wasm-opt"]) else {
        let advice =
            "none: no wasm-opt on the search path (package binaryen); the page works, only larger";
        return Ok((wasm, advice.to_owned()));
    };
    // Older versions do not know every flag and do without.
    let known = output(Command::new(&optimiser).arg("--help").stdin(Stdio::null()))?;
    let known: Vec<&str> = known.split_whitespace().collect();
    let features = WASM_FEATURES.iter().filter(|flag| known.contains(flag));
    let (before, after) = (folder.join("bound.wasm"), folder.join("small.wasm"));
    write(&before, &wasm)?;
    run(Command::new(&optimiser)
        .arg("-Oz")
        .args(features)
        .arg(&before)
        .arg("-o")
        .arg(&after))?;
    let small = fs::read(&after).with_context(|| format!("could not read {}", after.display()))?;
    let version = output(Command::new(&optimiser).arg("--version"))?;
    Ok((mend_table_exports(&wasm, small)?, version.trim().to_owned()))
}

/// Binaryen 108 exports the first table under the name of the second, and the page could not start. Where an exported
/// table is of another type than before, the table of the right type is exported again.
fn mend_table_exports(before: &[u8], after: Vec<u8>) -> Result<Vec<u8>> {
    let original = Module::from_buffer(before)?;
    let mut module = Module::from_buffer(&after)?;
    let mut mended = false;
    for export in module.exports.iter_mut() {
        let ExportItem::Table(exported) = export.item else {
            continue;
        };
        let wanted = original
            .exports
            .iter()
            .find_map(|old| match old.item {
                ExportItem::Table(table) if old.name == export.name => {
                    Some(original.tables.get(table).element_ty)
                }
                _ => None,
            })
            .with_context(|| format!("the optimiser added a table named {}", export.name))?;
        if module.tables.get(exported).element_ty == wanted {
            continue;
        }
        let mut fitting = module
            .tables
            .iter()
            .filter(|table| table.element_ty == wanted);
        let (Some(table), None) = (fitting.next(), fitting.next()) else {
            bail!("the optimiser exported another table as {}", export.name);
        };
        export.item = ExportItem::Table(table.id());
        mended = true;
    }
    Ok(if mended { module.emit_wasm() } else { after })
}

#[cfg(test)]
mod tests {
    use super::*;
    use walrus::RefType;

    /// A program with a table of functions and one of references, of which it exports the named type as "slots".
    fn program(exported: RefType) -> Vec<u8> {
        let mut module = Module::default();
        let functions = module.tables.add_local(false, 1, None, RefType::FUNCREF);
        let references = module.tables.add_local(false, 1, None, RefType::EXTERNREF);
        let table = if exported == RefType::FUNCREF {
            functions
        } else {
            references
        };
        module.exports.add("slots", table);
        module.emit_wasm()
    }

    fn exported(wasm: &[u8]) -> RefType {
        let module = Module::from_buffer(wasm).unwrap();
        let export = module.exports.iter().next().unwrap();
        let ExportItem::Table(table) = export.item else {
            panic!("not a table");
        };
        module.tables.get(table).element_ty
    }

    #[test]
    fn a_table_exported_by_mistake_is_put_right() {
        let before = program(RefType::EXTERNREF);
        let after = program(RefType::FUNCREF);
        assert_eq!(exported(&after), RefType::FUNCREF);
        let mended = mend_table_exports(&before, after).unwrap();
        assert_eq!(exported(&mended), RefType::EXTERNREF);
    }

    #[test]
    fn a_program_without_that_mistake_stays_as_it_is() {
        let wasm = program(RefType::EXTERNREF);
        assert_eq!(mend_table_exports(&wasm, wasm.clone()).unwrap(), wasm);
    }
}
