//! Makes the drawings of `drawings/` small: each SVG becomes a constant of one text, which the page draws from.
//!
//! The text begins with what the ids of its inputs have in common; pieces follow, each behind a bar. The first
//! letter of a piece says what it is: paths `o` outline, `t` thin, `d` dashed, `c` centre line; circles `r`, and `R`
//! dashed; `h` an edge of what is fixed; `w` words; letters of inputs: `D` with a dimension, `A` with a bent one,
//! `L` with an arrow, `C` with a bent one, `P` alone. What cannot be said so is refused, or the page would show
//! another drawing than the file.

use std::error::Error;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs};

use roxmltree::{Document, Node};

type Result<T> = std::result::Result<T, Box<dyn Error>>;

fn main() -> Result<()> {
    println!("cargo::rerun-if-changed=drawings");
    let folder = PathBuf::from(env::var("CARGO_MANIFEST_DIR")?).join("drawings");
    let mut files = Vec::new();
    for entry in fs::read_dir(folder)? {
        files.push(entry?.path());
    }
    files.sort();
    let mut constants = String::new();
    let mut all = String::new();
    for file in &files {
        let name = name(file)?;
        let text = fs::read_to_string(file)?;
        let small = Document::parse(&text)
            .map_err(Into::into)
            .and_then(|svg| small(&svg))
            .map_err(|error| format!("{}: {error}", file.display()))?;
        let constant = name.to_ascii_uppercase();
        writeln!(constants, "pub const {constant}: &str = {small:?};")?;
        writeln!(all, "    ({name:?}, {constant}),")?;
    }
    writeln!(
        constants,
        "#[cfg(test)]\npub const ALL: &[(&str, &str)] = &[\n{all}];"
    )?;
    fs::write(
        PathBuf::from(env::var("OUT_DIR")?).join("drawings.rs"),
        constants,
    )?;
    Ok(())
}

fn name(file: &Path) -> Result<&str> {
    let name = file.file_stem().and_then(|name| name.to_str());
    let fits = |name: &&str| name.bytes().all(|b| b.is_ascii_lowercase() || b == b'_');
    let svg = file.extension().is_some_and(|extension| extension == "svg");
    name.filter(fits)
        .filter(|_| svg)
        .ok_or_else(|| format!("{}: not a name such as move_ramps.svg", file.display()).into())
}

/// The whole drawing as one text.
fn small(svg: &Document<'_>) -> Result<String> {
    let root = svg.root_element();
    if root.attribute("viewBox") != Some("0 0 400 180") {
        return Err("the page draws into viewBox=\"0 0 400 180\"".into());
    }
    let lines = root
        .children()
        .find(|node| node.has_tag_name((SVG, "g")) && node.attribute("class") == Some("lines"))
        .ok_or("no <g class=\"lines\">")?;
    let elements = || lines.children().filter(Node::is_element);
    let mut ids = elements().filter_map(|node| node.attribute("data-input"));
    let first = ids.next().unwrap_or("");
    let station = first.split_inclusive('.').next().unwrap_or("");
    let prefix = if ids.all(|id| id.starts_with(station)) {
        station
    } else {
        ""
    };
    let mut out = prefix.to_owned();
    for node in elements() {
        let line = svg.text_pos_at(node.range().start).row;
        let piece = piece(node, prefix).map_err(|error| format!("line {line}: {error}"))?;
        if piece.contains('|') {
            return Err(format!("line {line}: a bar divides the pieces of a drawing").into());
        }
        if !piece.is_empty() {
            out.push('|');
            out.push_str(&piece);
        }
    }
    Ok(out)
}

const SVG: &str = "http://www.w3.org/2000/svg";

/// One element as a piece; empty where the page makes it by itself.
fn piece(node: Node<'_, '_>, prefix: &str) -> Result<String> {
    let class = node.attribute("class").unwrap_or("");
    match (node.tag_name().name(), class) {
        ("path", "fixed") => {
            let d = only(node, &["class", "d"])?;
            Ok(format!("h{}", points(d[1], &["M", "L"])?))
        }
        // The page hatches by itself; a test holds both against each other.
        ("path", "hatching thin") => only(node, &["class", "d"]).map(|_| String::new()),
        ("path", class) => {
            let kind = match class {
                "" => "o",
                "thin" => "t",
                "dashed thin" => "d",
                "centre" => "c",
                other => return Err(format!("no path is of class {other}").into()),
            };
            let d = only(
                node,
                if class.is_empty() {
                    &["d"]
                } else {
                    &["d", "class"]
                },
            )?;
            Ok(format!("{kind}{}", d[0]))
        }
        ("circle", class) => {
            let kind = match class {
                "" => "r",
                "dashed thin" => "R",
                other => return Err(format!("no circle is of class {other}").into()),
            };
            let names = ["cx", "cy", "r", "class"];
            let names = &names[..if class.is_empty() { 3 } else { 4 }];
            Ok(format!("{kind}{}", only(node, names)?[..3].join(" ")))
        }
        ("text", "") => {
            let at = only(node, &["x", "y"])?.join(" ");
            let words = node.text().unwrap_or("");
            if words.contains(' ') {
                return Err("words of the page are one word each".into());
            }
            Ok(format!("w{at} {words}"))
        }
        ("g", "letter") => letter(node, prefix),
        (tag, class) => Err(format!("the page draws no <{tag} class=\"{class}\">").into()),
    }
}

/// A letter with the id of its input, its line and its place.
fn letter(node: Node<'_, '_>, prefix: &str) -> Result<String> {
    let id = only(node, &["class", "data-input"])?[1];
    let parts: Vec<_> = node.children().filter(Node::is_element).collect();
    let (line, text) = match parts.as_slice() {
        [text] => (None, text),
        [line, text] => (Some(line), text),
        _ => return Err("a letter is at most one path, then one text".into()),
    };
    if !text.has_tag_name((SVG, "text")) {
        return Err("a letter without its text".into());
    }
    let at = only(*text, &["x", "y"])?.join(" ");
    let id = id.strip_prefix(prefix).unwrap_or(id);
    let Some(line) = line else {
        return Ok(format!("P{id} {}", whole(&at)?));
    };
    let [class, d] = only(*line, &["class", "d"])?[..] else {
        return Err("a line without its path".into());
    };
    let bent = d.contains('Q');
    let kind = match (class, bent) {
        ("dimension", false) => "D",
        ("dimension", true) => "A",
        ("arrow", false) => "L",
        ("arrow", true) => "C",
        _ => return Err("a letter's path is of class dimension or arrow".into()),
    };
    let line = points(d, if bent { &["M", "Q", " "] } else { &["M", "L"] })?;
    Ok(format!("{kind}{id} {line} {}", whole(&at)?))
}

/// The values of exactly these attributes.
fn only<'a>(node: Node<'a, '_>, names: &[&str]) -> Result<Vec<&'a str>> {
    if let Some(other) = node.attributes().find(|a| !names.contains(&a.name())) {
        return Err(format!("the page knows no attribute {} here", other.name()).into());
    }
    let value = |name: &&str| {
        node.attribute(*name)
            .ok_or_else(|| format!("{name} is missing").into())
    };
    names.iter().map(value).collect()
}

/// The points of a path, each behind its lead, in whole numbers.
fn points(path: &str, leads: &[&str]) -> Result<String> {
    let wanted = || format!("not a path of whole numbers behind {leads:?}: {path}");
    let mut rest = path;
    let mut found = Vec::new();
    for (at, lead) in leads.iter().enumerate() {
        rest = rest.strip_prefix(lead).ok_or_else(wanted)?;
        let end = match leads.get(at + 1) {
            // A blank stands within a point as well.
            Some(&" ") => rest.match_indices(' ').nth(1).map(|(at, _)| at),
            Some(next) => rest.find(next),
            None => Some(rest.len()),
        };
        let (point, behind) = rest.split_at(end.ok_or_else(wanted)?);
        if point.split(' ').count() != 2 {
            return Err(wanted().into());
        }
        found.push(whole(point)?);
        rest = behind;
    }
    Ok(found.join(" "))
}

/// Numbers that the page reads: whole ones.
fn whole(numbers: &str) -> Result<&str> {
    for number in numbers.split(' ') {
        let _: i32 = number
            .parse()
            .map_err(|_| format!("not a whole number: {number}"))?;
    }
    Ok(numbers)
}
