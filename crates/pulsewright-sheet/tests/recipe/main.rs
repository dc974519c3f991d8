//! The recipe of DEVELOPERS.md, acted out to the letter: in a copy of the two crates a result, a station with a field, a
//! check and a finding, and a plot are added as it says; the copy compiles and evaluates them.
//!
//! The copy lies under `target` and is a workspace of its own, without network. Where nothing has changed since the last
//! time nothing is compiled.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops where something is not there"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The crates that are copied, and what of them.
const COPIED: [&str; 2] = ["crates/pulsewright-calc", "crates/pulsewright-sheet"];
const PARTS: [&str; 4] = ["README.md", "Cargo.toml", "src", "demos"];

/// What the changed sheet prints: without an entry, with a brake that is strong enough, with one beyond any limit.
/// By hand: the assumed 60 g at 50 mm pull with 0.06·9.80665·0.05 = 29.4 mN·m.
const PRINTED: &str = "\
drive.output_power true at Motor on this supply
brake.spare_torque false at Brake
check.brake fails
brake_slips The brake slips: it holds 1 mN·m, the load pulls with 29.4 mN·m.
plot 2 lines The brake holds 1 mN·m.
drive.output_power true at Motor on this supply
brake.spare_torque true at Brake
check.brake passes
brake_slips is not said
plot 2 lines The brake holds 5 N·m.
refused 1 kN·m: it must be above 0 N·m, at most 100 N·m; more than is found with small gear motors
";

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Rust blocks of a Markdown text, without the indentation of a list.
fn blocks(text: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let Some(indent) = line
            .find("```rust")
            .filter(|at| line[..*at].trim().is_empty())
        else {
            continue;
        };
        let mut block = String::new();
        for line in lines.by_ref() {
            if line.trim() == "```" && line.find('`') == Some(indent) {
                break;
            }
            block.push_str(line.get(indent..).unwrap_or(""));
            block.push('\n');
        }
        all.push(block);
    }
    all
}

/// Where the group that opens behind `from` ends: the place of its closing bracket.
fn end_of_group(text: &str, from: usize) -> Option<usize> {
    let mut open = 0_usize;
    for (at, character) in text[from..].char_indices() {
        match character {
            '{' | '[' | '(' => open += 1,
            '}' | ']' | ')' => {
                open = open.checked_sub(1)?;
                if open == 0 {
                    return Some(from + at);
                }
            }
            _ => {}
        }
    }
    None
}

/// The text with a block put where its place says.
fn put(text: &str, place: &str, block: &str) -> Result<String, String> {
    let one = |mark: &str| match text.matches(mark).count() {
        1 => Ok(text.find(mark).unwrap_or(0)),
        n => Err(format!("“{mark}” stands there {n} times")),
    };
    let line_of = |at: usize| text[..at].rfind('\n').map_or(0, |end| end + 1);
    let insert = |at: usize| [&text[..at], block, &text[at..]].concat();
    if place == "at the end" {
        return Ok([text, "\n", block].concat());
    }
    if let Some(mark) = place.strip_prefix("at the end of ") {
        let at = one(mark)? + mark.len();
        let end = end_of_group(text, at).ok_or_else(|| format!("{mark} does not end"))?;
        return Ok(insert(line_of(end)));
    }
    if let Some(mark) = place.strip_prefix("before ") {
        return Ok(insert(line_of(one(mark)?)));
    }
    if let Some(mark) = place.strip_prefix("after ") {
        let at = one(mark)?;
        let end = text[at..].find('\n').map_or(text.len(), |end| at + end + 1);
        return Ok(insert(end));
    }
    if let Some(mark) = place.strip_prefix("in place of ") {
        let at = one(mark)?;
        return Ok([&text[..at], block.trim_end(), &text[at + mark.len()..]].concat());
    }
    Err(format!("no such place: {place}"))
}

/// Every file below `from`, with its path from the root.
fn files(root: &Path, from: &Path, all: &mut BTreeMap<PathBuf, Vec<u8>>) {
    if from.is_dir() {
        for entry in fs::read_dir(from).expect("a folder").flatten() {
            files(root, &entry.path(), all);
        }
    } else if from.is_file() {
        let path = from.strip_prefix(root).expect("below the root");
        let _ = all.insert(path.into(), fs::read(from).expect("a file"));
    }
}

/// The copied files, with the blocks put in.
fn changed(recipe: &[String]) -> BTreeMap<PathBuf, Vec<u8>> {
    let root = root();
    let mut all = BTreeMap::new();
    for part in COPIED
        .iter()
        .flat_map(|krate| PARTS.map(|part| root.join(krate).join(part)))
    {
        files(&root, &part, &mut all);
    }
    for (number, block) in recipe.iter().enumerate() {
        let (head, body) = block.split_once('\n').expect("a first line");
        let head = head
            .strip_prefix("// ")
            .unwrap_or_else(|| panic!("no place: {head}"));
        let (path, place) = head
            .split_once(", ")
            .unwrap_or_else(|| panic!("no place: {head}"));
        let path = PathBuf::from(path);
        let text = if place == "new" {
            assert!(!all.contains_key(&path), "{head}: it is there");
            body.to_string()
        } else {
            let old = all
                .get(&path)
                .unwrap_or_else(|| panic!("{head}: no such file"));
            let old = String::from_utf8(old.clone()).expect("a text");
            put(&old, place, body).unwrap_or_else(|why| panic!("block {number}, {head}: {why}"))
        };
        let _ = all.insert(path, text.into_bytes());
    }
    // Benches and tests are not copied; the examples' folder is the recipe's own.
    let krate = PathBuf::from("crates/pulsewright-sheet/Cargo.toml");
    for path in [krate, "crates/pulsewright-calc/Cargo.toml".into()] {
        let text = String::from_utf8(all[&path].clone()).expect("a text");
        let _ = all.insert(path, without_tests(&text).into_bytes());
    }
    let workspace = read(&root.join("Cargo.toml"));
    let kept = workspace.lines().filter(|line| {
        !["members = ", "default-members = "]
            .iter()
            .any(|key| line.starts_with(key))
    });
    let kept: Vec<&str> = kept.collect();
    let workspace =
        kept.join("\n")
            .replacen("[workspace]", "[workspace]\nmembers = [\"crates/*\"]", 1);
    let _ = all.insert("Cargo.toml".into(), workspace.into_bytes());
    let _ = all.insert(
        "Cargo.lock".into(),
        fs::read(root.join("Cargo.lock")).expect("a lock"),
    );
    all
}

/// A crate's manifest without its benches and without what only tests need.
fn without_tests(manifest: &str) -> String {
    let mut out = String::new();
    let mut skip = false;
    for line in manifest.lines() {
        if line.starts_with('[') {
            skip = ["[[bench]]", "[dev-dependencies]"].contains(&line);
        }
        if !skip {
            out.push_str(line);
            out.push('\n');
        }
    }
    out
}

/// Writes what differs, and takes away what is no longer there: what stays is not compiled again.
fn write(folder: &Path, wanted: &BTreeMap<PathBuf, Vec<u8>>) {
    let mut there = BTreeMap::new();
    files(folder, &folder.join("crates"), &mut there);
    for path in there.keys().filter(|path| !wanted.contains_key(*path)) {
        fs::remove_file(folder.join(path)).expect("removed");
    }
    for (path, bytes) in wanted {
        let path = folder.join(path);
        // The lock is the copy's own once it has lost the other crates.
        let own = path.ends_with("Cargo.lock") && path.is_file();
        if !own && fs::read(&path).ok().as_ref() != Some(bytes) {
            fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
            fs::write(&path, bytes).expect("written");
        }
    }
}

/// The blocks of DEVELOPERS.md: those that name their place, and those that only show.
fn guide() -> (Vec<String>, Vec<String>) {
    let all = blocks(&read(&root().join("DEVELOPERS.md")));
    all.into_iter()
        .partition(|block| block.starts_with("// crates/"))
}

/// What is acted out: what DEVELOPERS.md says with its place, and what `recipe.md` says for it.
fn recipe() -> Vec<String> {
    let mut all = guide().0;
    all.extend(blocks(include_str!("recipe.md")));
    all
}

/// What DEVELOPERS.md shows as code is acted out here to the line.
#[test]
fn the_guide_shows_what_is_acted_out() {
    let (placed, shown) = guide();
    assert!(placed.len() + shown.len() >= 2, "{placed:?} {shown:?}");
    let recipe = recipe().concat();
    let known: BTreeSet<&str> = recipe.lines().map(str::trim).collect();
    for line in shown.iter().flat_map(|block| block.lines()) {
        assert!(known.contains(line.trim()), "not acted out: {line}");
    }
}

#[test]
fn the_recipe_compiles_and_evaluates() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("recipe");
    write(&folder, &changed(&recipe()));
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    let output = Command::new(cargo)
        .args([
            "run",
            "--offline",
            "--quiet",
            "--package",
            "pulsewright-sheet",
            "--example",
            "recipe",
        ])
        .current_dir(&folder)
        .env("CARGO_TARGET_DIR", folder.join("target"))
        // The debugging information of the copy is of use to nobody.
        .env("CARGO_PROFILE_DEV_DEBUG", "false")
        .env("CARGO_PROFILE_DEV_OPT_LEVEL", "0")
        .output()
        .expect("cargo");
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{said}");
    // A warning is a line that the recipe has forgotten.
    assert!(!said.contains("warning"), "{said}");
    assert_eq!(String::from_utf8_lossy(&output.stdout), PRINTED);
}
