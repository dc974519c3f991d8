//! Rules about the source that neither the compiler nor clippy knows.

use crate::files::{list, read};
use crate::shell::{cargo, output, root};
use anyhow::{Result, bail};

/// The formulas know no format, no browser and no page; the register knows no browser and no page.
const FORBIDDEN: [(&str, &[&str]); 2] = [
    (
        "pulsewright-calc",
        &[
            "serde",
            "serde_json",
            "web-sys",
            "js-sys",
            "wasm-bindgen",
            "leptos",
        ],
    ),
    (
        "pulsewright-sheet",
        &["web-sys", "js-sys", "wasm-bindgen", "leptos"],
    ),
];

/// Fails when a crate depends on what its place in the layout forbids.
pub fn check_dependencies() -> Result<()> {
    for (package, forbidden) in FORBIDDEN {
        let tree = output(cargo().args([
            "tree",
            "--package",
            package,
            "--edges",
            "normal",
            "--prefix",
            "none",
            "--format",
            "{p}",
            "--target",
            "all",
        ]))?;
        if let Some(name) = first_forbidden(&tree, forbidden) {
            bail!(
                "{package} must not depend on {name}; `cargo tree --package {package} --invert {name}` shows why it does"
            );
        }
    }
    Ok(())
}

fn first_forbidden<'a>(tree: &str, forbidden: &[&'a str]) -> Option<&'a str> {
    forbidden
        .iter()
        .find(|name| {
            tree.lines()
                .any(|line| line.split_whitespace().next() == Some(**name))
        })
        .copied()
}

/// Fails when a file of the page would make a request or be refused by the page's own policy.
pub fn check_site() -> Result<()> {
    let mut complaints = Vec::new();
    for file in list(&root().join("site"))? {
        let kind = file.extension().and_then(|extension| extension.to_str());
        if !matches!(kind, Some("html" | "css" | "js" | "svg")) {
            continue;
        }
        for (number, line) in read(&file)?.lines().enumerate() {
            let reason = match kind {
                Some("html") => refused(line).or_else(|| refused_in_markup(line)),
                // In a script URL( makes an address; url( would be a style's.
                Some("js") => refused(&line.replace("URL(", "")),
                _ => refused(line),
            };
            if let Some(reason) = reason {
                complaints.push(format!("{}:{}: {reason}", file.display(), number + 1));
            }
        }
    }
    if !complaints.is_empty() {
        bail!(
            "the page would not be one quiet file:\n{}",
            complaints.join("\n")
        );
    }
    Ok(())
}

/// Why a line cannot stand in the page, if so.
fn refused(line: &str) -> Option<&'static str> {
    let line = line.to_ascii_lowercase();
    // Names of markup languages look like addresses and are never fetched.
    let addresses = line.replace("http://www.w3.org/", "");
    if addresses.contains("http://") || addresses.contains("https://") {
        return Some("an address on the network");
    }
    if line.contains("@import") {
        return Some("a style sheet that loads another");
    }
    if line
        .match_indices("url(")
        .map(|(at, opening)| line[at + opening.len()..].trim_start_matches(['"', '\'']))
        .any(|target| !target.starts_with("data:") && !target.starts_with('#'))
    {
        return Some("a picture or font from outside the file");
    }
    None
}

/// Why a line cannot stand in the markup, if so.
fn refused_in_markup(line: &str) -> Option<&'static str> {
    let line = line.to_ascii_lowercase();
    if line.contains(" style=") {
        return Some("a style attribute, which the page's policy refuses; use a class");
    }
    if has_handler(&line) {
        return Some("a script in an attribute, which the page's policy refuses");
    }
    None
}

fn has_handler(line: &str) -> bool {
    line.split_whitespace().any(|word| {
        word.strip_prefix("on")
            .and_then(|rest| rest.split_once('='))
            .is_some_and(|(event, _)| {
                !event.is_empty() && event.chars().all(|letter| letter.is_ascii_lowercase())
            })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn requests_are_refused() {
        assert!(refused("<img src=\"https://example.org/a.png\">").is_some());
        assert!(refused("@import \"other.css\";").is_some());
        assert!(refused("background: url(paper.png);").is_some());
        assert!(refused("background: url('paper.png');").is_some());
    }

    #[test]
    fn what_the_policy_refuses_is_refused_here_already() {
        assert!(refused_in_markup("<p style=\"color: red\">").is_some());
        assert!(refused_in_markup("<button onclick=\"go()\">").is_some());
    }

    #[test]
    fn what_a_quiet_file_may_hold_passes() {
        assert_eq!(
            refused("background: url(data:image/png;base64,AA==);"),
            None
        );
        assert_eq!(refused("fill: url(#hatch);"), None);
        assert_eq!(refused("var ns = 'http://www.w3.org/2000/svg';"), None);
        assert_eq!(refused_in_markup("<p class=\"on\" id=\"one\">"), None);
    }

    #[test]
    fn forbidden_dependencies_are_found_by_whole_name() {
        let tree = "pulsewright-calc v0.1.0 (path)\nuom v0.38.0\nserde_core v1.0.0\n";
        assert_eq!(first_forbidden(tree, &["serde", "leptos"]), None);
        assert_eq!(first_forbidden(tree, &["leptos", "uom"]), Some("uom"));
    }
}
