//! What is inside the page and the element's script, as a list for machines: CycloneDX 1.6, from `cargo metadata`.

use crate::files::{read, write};
use crate::shell::{cargo, output, root};
use anyhow::{Context, Result};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// What the browser runs.
const SHIPPED: [&str; 2] = ["pulsewright-page", "pulsewright-embed"];

/// Writes `dist/pulsewright.cdx.json`.
pub fn make() -> Result<()> {
    let told = output(cargo().args([
        "metadata",
        "--format-version",
        "1",
        "--locked",
        "--filter-platform",
        "wasm32-unknown-unknown",
    ]))?;
    let metadata: Value = serde_json::from_str(&told)?;
    let lock = read(&root().join("Cargo.lock"))?;
    let listed = list(&metadata, &checksums(&lock))?;
    let file = root().join("dist/pulsewright.cdx.json");
    write(
        &file,
        (serde_json::to_string_pretty(&listed)? + "\n").as_bytes(),
    )?;
    println!("{}", file.display());
    Ok(())
}

/// The SHA-256 of each package, by name and version.
fn checksums(lock: &str) -> BTreeMap<(String, String), String> {
    let value = |part: &str, key: &str| {
        part.lines()
            .find_map(|line| line.strip_prefix(key)?.strip_prefix(" = \""))
            .map(|rest| rest.trim_end_matches('"').to_owned())
    };
    lock.split("[[package]]")
        .filter_map(|part| {
            let named = (value(part, "name")?, value(part, "version")?);
            Some((named, value(part, "checksum")?))
        })
        .collect()
}

fn list(metadata: &Value, checksums: &BTreeMap<(String, String), String>) -> Result<Value> {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let all = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let packages: BTreeMap<String, Value> = all(&metadata["packages"])
        .into_iter()
        .map(|package| (text(&package["id"]), package))
        .collect();
    let needs: BTreeMap<String, Vec<String>> = all(&metadata["resolve"]["nodes"])
        .iter()
        .map(|node| (text(&node["id"]), needed(node)))
        .collect();
    let mut waiting: Vec<String> = packages
        .iter()
        .filter(|(_, package)| SHIPPED.contains(&text(&package["name"]).as_str()))
        .map(|(id, _)| id.clone())
        .collect();
    let mut inside = BTreeSet::new();
    while let Some(id) = waiting.pop() {
        if inside.insert(id.clone()) {
            waiting.extend(needs.get(&id).cloned().unwrap_or_default());
        }
    }
    let purl = |id: &String| {
        let package = &packages[id];
        // A plus means a blank in an address.
        let version = text(&package["version"]).replace('+', "%2B");
        format!("pkg:cargo/{}@{version}", text(&package["name"]))
    };
    let mut components = Vec::new();
    let mut dependencies = Vec::new();
    for id in &inside {
        let package = packages.get(id).context("a package that is not listed")?;
        let (name, version) = (text(&package["name"]), text(&package["version"]));
        // A bar is how cargo used to write OR.
        let licence = text(&package["license"]).replace('/', " OR ");
        let mut component = json!({
            "type": "library",
            "bom-ref": purl(id),
            "name": name,
            "version": version,
            "purl": purl(id),
            "licenses": [{"expression": licence}],
        });
        if let Some(sum) = checksums.get(&(name, version)) {
            component["hashes"] = json!([{"alg": "SHA-256", "content": sum}]);
        }
        components.push(component);
        let needed: Vec<String> = needs.get(id).into_iter().flatten().map(purl).collect();
        dependencies.push(json!({"ref": purl(id), "dependsOn": needed}));
    }
    Ok(json!({
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "version": 1,
        "metadata": {"component": {
            "type": "application",
            "bom-ref": "pulsewright",
            "name": "pulsewright",
            "version": env!("CARGO_PKG_VERSION"),
            "licenses": [{"expression": "MIT"}],
        }},
        "components": components,
        "dependencies": dependencies,
    }))
}

/// What a package needs where it runs; what builds or tests it alone is not inside.
fn needed(node: &Value) -> Vec<String> {
    let runs = |dependency: &&Value| {
        let kinds = dependency["dep_kinds"].as_array();
        kinds.is_some_and(|kinds| kinds.iter().any(|kind| kind["kind"].is_null()))
    };
    let dependencies = node["deps"].as_array();
    let dependencies = dependencies.into_iter().flatten().filter(runs);
    let mut ids: Vec<String> = dependencies
        .filter_map(|dependency| Some(dependency["pkg"].as_str()?.to_owned()))
        .collect();
    ids.sort();
    ids.dedup();
    ids
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_runs_is_listed_and_what_builds_is_not() {
        let package = |id: &str, name: &str, licence: &str| json!({"id": id, "name": name, "version": "1.0.0+a", "license": licence});
        let needs = |id: &str, kind: Value| json!({"pkg": id, "dep_kinds": [{"kind": kind}]});
        let metadata = json!({
            "packages": [
                package("p", "pulsewright-page", "MIT"), package("r", "runs", "MIT/Apache-2.0"),
                package("b", "builds", "MIT"), package("o", "other", "MIT"),
            ],
            "resolve": {"nodes": [
                {"id": "p", "deps": [needs("r", Value::Null), needs("b", "build".into())]},
                {"id": "r", "deps": []}, {"id": "b", "deps": []}, {"id": "o", "deps": [needs("r", Value::Null)]},
            ]},
        });
        let lock = "[[package]]\nname = \"runs\"\nversion = \"1.0.0+a\"\nchecksum = \"abc\"\n\n[[package]]\nname = \"builds\"\nversion = \"2.0.0\"\n";
        let listed = list(&metadata, &checksums(lock)).unwrap();
        let components = listed["components"].as_array().unwrap();
        let names: Vec<&str> = components
            .iter()
            .filter_map(|c| c["name"].as_str())
            .collect();
        assert_eq!(names, ["pulsewright-page", "runs"]);
        assert_eq!(components[1]["purl"], "pkg:cargo/runs@1.0.0%2Ba");
        assert_eq!(
            components[1]["licenses"][0]["expression"],
            "MIT OR Apache-2.0"
        );
        assert_eq!(components[1]["hashes"][0]["content"], "abc");
        assert_eq!(
            listed["dependencies"][0]["dependsOn"],
            json!(["pkg:cargo/runs@1.0.0%2Ba"])
        );
    }
}
