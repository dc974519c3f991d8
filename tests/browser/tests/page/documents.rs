//! The element and the frame in real documentation, built by the tools that people build theirs with.

use crate::card;
use anyhow::{Context, Result, ensure};
use browser::{Outcome, Page, root};
use serde_json::json;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A program that `cargo verify` fetched for this.
fn tool(place: &str) -> Result<PathBuf> {
    let program = root().join("target/tools").join(place);
    ensure!(
        program.is_file(),
        "{} is not here; `cargo verify` installs it",
        program.display()
    );
    Ok(program)
}

fn run(command: &mut Command) -> Outcome {
    let output = command.output()?;
    ensure!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    Ok(())
}

/// A source folder of its own beside the page's, with some files of `tests/browser/documents` and of `dist` in it.
fn sources(page: &Page, name: &str, files: &[(&str, &str)]) -> Result<PathBuf> {
    let folder = page.folder().join(name);
    let _ = fs::remove_dir_all(&folder);
    for (from, to) in files {
        let target = folder.join(to);
        fs::create_dir_all(target.parent().context("a folder")?)?;
        let from = match from.strip_prefix("dist/") {
            Some(_) => root().join(from),
            None => root().join("tests/browser/documents").join(from),
        };
        fs::copy(&from, &target).with_context(|| from.display().to_string())?;
    }
    Ok(folder)
}

/// 36:12, 34:13, 38:12, 60:1 make 19380/13 = 1490.769…: arithmetic, no source.
fn holds(page: &Page, folder: &Path, file: &str) -> Outcome {
    page.open_file(&folder.join(file))?;
    let script = "const face = id => {
            const element = document.getElementById(id), shown = element.shadowRoot.lastChild;
            return [element.getAttribute('state'), shown.localName === 'slot' ? element.textContent : shown.textContent];
        };
        return [face('right'), face('wrong'), face('station')[1].startsWith('Gears')];";
    let wanted = json!([["ready", "1490.77"], ["ready", "1490.769"], true]);
    page.wait_until("the numbers are right", || {
        Ok(page.execute(script, json!([]))? == wanted)
    })?;
    page.wait_until("the frame is as tall as its card", || {
        let height = page.execute(
            "return document.querySelector('iframe').getBoundingClientRect().height",
            json!([]),
        )?;
        Ok(height.as_f64().is_some_and(|height| height > 1000.0))
    })?;
    page.enter_frame(Some("iframe"))?;
    card::open_everything(page, false)?;
    assert_eq!(card::result(page, "gears.exact_ratio")?, "1490.769");
    page.enter_frame(None)?;

    let errors = page.take_errors()?;
    let errors: Vec<&String> = errors
        .iter()
        .filter(|error| *error != "the page keeps no list of errors")
        .collect();
    assert!(errors.is_empty(), "{errors:?}");
    let own = format!("file://{}/", folder.display());
    let foreign: Vec<String> = page
        .requests()?
        .into_iter()
        .filter(|address| !address.starts_with(&own))
        .collect();
    assert!(foreign.is_empty(), "asked for {foreign:?}");
    // What is looked at after every test is our own page.
    page.open()
}

const EMBED: &str = "dist/pulsewright-embed.js";
const PAGE: &str = "dist/pulsewright.html";

pub fn a_bare_page(page: &Page) -> Outcome {
    let files = [
        ("bare.html", "bare.html"),
        (EMBED, "pulsewright-embed.js"),
        (PAGE, "pulsewright.html"),
    ];
    holds(page, &sources(page, "bare", &files)?, "bare.html")
}

pub fn a_book_of_mdbook(page: &Page) -> Outcome {
    let files = [
        ("book/book.toml", "book.toml"),
        ("book/src/SUMMARY.md", "src/SUMMARY.md"),
        ("page.md", "src/turntable.md"),
        (EMBED, "pulsewright-embed.js"),
        (PAGE, "src/pulsewright.html"),
    ];
    let folder = sources(page, "book", &files)?;
    run(Command::new(tool("documents/bin/mdbook")?)
        .arg("build")
        .arg(&folder))?;
    holds(page, &folder.join("book"), "turntable.html")
}

pub fn a_manual_of_sphinx(page: &Page) -> Outcome {
    let files = [
        ("manual/conf.py", "conf.py"),
        ("manual/index.rst", "index.rst"),
        (EMBED, "_static/pulsewright-embed.js"),
        (PAGE, "extra/pulsewright.html"),
    ];
    let folder = sources(page, "manual", &files)?;
    run(Command::new(tool("documents/bin/sphinx-build")?)
        .args(["-q", "-W", "-b", "html"])
        .arg(&folder)
        .arg(folder.join("built")))?;
    holds(page, &folder.join("built"), "index.html")
}

pub fn a_site_of_mkdocs(page: &Page) -> Outcome {
    let files = [
        ("site/mkdocs.yml", "mkdocs.yml"),
        ("page.md", "docs/index.md"),
        (EMBED, "docs/pulsewright-embed.js"),
        (PAGE, "docs/pulsewright.html"),
    ];
    let folder = sources(page, "mkdocs", &files)?;
    run(Command::new(tool("documents/bin/mkdocs")?)
        .args(["build", "--quiet", "--strict", "--config-file"])
        .arg(folder.join("mkdocs.yml")))?;
    holds(page, &folder.join("site"), "index.html")
}
