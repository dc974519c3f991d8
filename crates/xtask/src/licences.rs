//! Whose work we may ship: the licence of every package, held against the list in `deny.toml`.

use crate::files::read;
use crate::shell::{self, cargo, find, output, root};
use anyhow::{Context, Result, bail};
use serde_json::Value;

/// Checks licences and banned packages, and lets cargo-deny look closer where it is installed.
pub fn check() -> Result<()> {
    let rules = read(&root().join("deny.toml"))?;
    let allowed = quoted(&rules, "\nallow = [", "]")?;
    // Each ban is a line with the name first and a reason.
    let banned: Vec<&str> = rules
        .lines()
        .filter_map(|line| line.trim().strip_prefix("{ crate = \"")?.split('"').next())
        .collect();
    let told = output(cargo().args([
        "metadata",
        "--format-version",
        "1",
        "--all-features",
        "--locked",
    ]))?;
    let metadata: Value = serde_json::from_str(&told)?;
    let packages = metadata["packages"]
        .as_array()
        .context("cargo metadata lists no packages")?;
    let mut complaints = Vec::new();
    for package in packages {
        let name = package["name"]
            .as_str()
            .unwrap_or("a package without a name");
        let licence = package["license"].as_str().unwrap_or("none named");
        if !allows(licence, &allowed) {
            complaints.push(format!("{name}: its licence is not on the list: {licence}"));
        }
        if banned.contains(&name) {
            complaints.push(format!("{name}: deny.toml bans it"));
        }
    }
    if !complaints.is_empty() {
        bail!("deny.toml does not allow these:\n{}", complaints.join("\n"));
    }
    println!(
        "the licences of {} packages are on the list of deny.toml",
        packages.len()
    );
    if find(&["cargo-deny"]).is_some() {
        shell::run(cargo().args(["deny", "--offline", "check", "bans", "licenses", "sources"]))?;
    }
    Ok(())
}

/// The texts in quotes between two marks.
fn quoted<'a>(text: &'a str, begin: &str, end: &str) -> Result<Vec<&'a str>> {
    let (_, rest) = text
        .split_once(begin)
        .with_context(|| format!("deny.toml has no {}", begin.trim()))?;
    let (list, _) = rest
        .split_once(end)
        .context("deny.toml: a list without an end")?;
    Ok(list.split('"').skip(1).step_by(2).collect())
}

/// Whether an expression of licences can be met by those allowed (SPDX specification 2.3, annex D: AND binds closer
/// than OR; a bar is how cargo used to write OR).
fn allows(expression: &str, allowed: &[&str]) -> bool {
    let spaced = expression
        .replace('(', " ( ")
        .replace(')', " ) ")
        .replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut rest = words.as_slice();
    either(&mut rest, allowed) && rest.is_empty()
}

fn either(rest: &mut &[&str], allowed: &[&str]) -> bool {
    let mut good = both(rest, allowed);
    while let ["OR", after @ ..] = *rest {
        *rest = after;
        good |= both(rest, allowed);
    }
    good
}

fn both(rest: &mut &[&str], allowed: &[&str]) -> bool {
    let mut good = one(rest, allowed);
    while let ["AND", after @ ..] = *rest {
        *rest = after;
        good &= one(rest, allowed);
    }
    good
}

fn one(rest: &mut &[&str], allowed: &[&str]) -> bool {
    match *rest {
        ["(", after @ ..] => {
            *rest = after;
            let good = either(rest, allowed);
            let closed = rest.first() == Some(&")");
            *rest = rest.get(1..).unwrap_or_default();
            good && closed
        }
        [name, "WITH", exception, after @ ..] => {
            *rest = after;
            allowed.contains(&format!("{name} WITH {exception}").as_str())
        }
        [name, after @ ..] => {
            *rest = after;
            allowed.contains(name)
        }
        [] => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expressions_are_read() {
        let allowed = ["MIT", "Apache-2.0", "Apache-2.0 WITH LLVM-exception"];
        for good in [
            "MIT",
            "MIT OR GPL-3.0-only",
            "GPL-3.0-only/MIT",
            "(GPL-3.0-only OR MIT) AND Apache-2.0",
            "GPL-3.0-only AND ISC OR MIT",
            "Apache-2.0 WITH LLVM-exception OR ISC",
        ] {
            assert!(allows(good, &allowed), "{good}");
        }
        for bad in [
            "",
            "none named",
            "GPL-3.0-only",
            "MIT AND GPL-3.0-only",
            "GPL-3.0-only AND (MIT OR Apache-2.0)",
            "GPL-3.0-only OR ISC AND MIT",
            "Apache-2.0 WITH Other-exception",
            "(MIT",
            "MIT)",
            "MIT MIT",
        ] {
            assert!(!allows(bad, &allowed), "{bad}");
        }
    }

    #[test]
    fn the_list_is_read() {
        let text = "[licenses]\nallow = [\n    \"MIT\",\n    \"Apache-2.0 WITH LLVM-exception\",\n]\n[bans]";
        let list = quoted(text, "\nallow = [", "]").unwrap();
        assert_eq!(list, ["MIT", "Apache-2.0 WITH LLVM-exception"]);
        assert!(quoted("[licenses]", "\nallow = [", "]").is_err());
    }
}
