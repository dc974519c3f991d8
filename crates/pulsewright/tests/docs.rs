//! Numbers written in documentation, as a project's own checks hold them.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::fs;
use std::path::{Path, PathBuf};

use common::run;

mod common;

/// A folder with the turntable's card and one document.
fn document(folder: &str, name: &str, text: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(folder);
    fs::create_dir_all(&folder).unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../sheet/demos/turntable.card.json");
    fs::copy(demo, folder.join("turntable.card.json")).unwrap();
    let file = folder.join(name);
    fs::write(&file, text).unwrap();
    file
}

fn value(id: &str) -> String {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../sheet/demos/turntable.card.json");
    let ran = run(&["value", id, demo.to_str().unwrap()]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    ran.out.trim().into()
}

fn element(attributes: &str, content: &str) -> String {
    format!("<pulse-wright show=\"value\" {attributes}>{content}</pulse-wright>")
}

const CARD: &str = "design=\"turntable.card.json\" of=\"gears.exact_ratio\"";

/// The project's own front page does what it asks of others.
#[test]
fn the_front_page_holds() {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../README.md");
    let ran = run(&["docs", "--check", readme.to_str().unwrap()]);
    assert_eq!(
        (ran.code, ran.out.as_str()),
        (Some(0), "numbers looked at: 1; all agree\n"),
        "{}",
        ran.err
    );
}

/// 36:12, 34:13, 38:12, 60:1 make 19380/13 = 1490.769…: arithmetic, no source.
#[test]
fn a_number_that_holds_passes_and_one_that_does_not_is_named_with_its_line() {
    let good = format!(
        "# Turntable\n\nThe gears make {} turns.\n",
        element(CARD, "1490.77")
    );
    let file = document("holds", "README.md", &good);
    let ran = run(&["docs", "--check", file.to_str().unwrap()]);
    assert_eq!(
        (ran.code, ran.out.as_str()),
        (Some(0), "numbers looked at: 1; all agree\n")
    );

    let bad = good.replace("1490.77", "1500");
    let file = document("differs", "README.md", &bad);
    let name = file.to_str().unwrap();
    let ran = run(&["docs", "--check", name]);
    assert_eq!(ran.code, Some(1));
    let shown = value("gears.exact_ratio");
    let expected = format!("{name}:3: gears.exact_ratio: written “1500”, computed “{shown}”\n");
    assert!(ran.out.starts_with(&expected), "{}", ran.out);
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        bad,
        "--check changes nothing"
    );

    let ran = run(&["docs", "--write", name]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        bad.replace("1500", &shown)
    );
    assert_eq!(run(&["docs", "--check", name]).code, Some(0));
}

#[test]
fn designs_come_from_links_blocks_and_other_elements() {
    let text = format!(
        "<!doctype html><p>{}</p>\n<p>{}\n{}</p>\n<script type=\"application/json\" id=\"card\">\n{}\n</script>\n",
        element(
            "id=one design='#pw1;gears.ratio=380&amp;axis.kind=arm' of=gears.exact_ratio",
            "380"
        ),
        element("design=\"#one\" of=\"axis.kind\"", "arm"),
        element(
            "design=\"#card\" of=\"loop.sample_time\" unit=\"us\" digits=\"3\"",
            "2000&nbsp;&micro;s"
        ),
        "{\"route_card\": 1, \"inputs\": {\"loop.sample_time\": \"2 ms\"}}"
    );
    let file = document("sources", "page.html", &text);
    let ran = run(&["docs", "--check", file.to_str().unwrap()]);
    assert_eq!(
        (ran.code, ran.out.as_str()),
        (Some(0), "numbers looked at: 3; all agree\n"),
        "{}",
        ran.err
    );
}

#[test]
fn the_comma_of_a_page_stays() {
    let text = element(CARD, "1500,5");
    let file = document("comma", "seite.html", &text);
    let ran = run(&["docs", "--write", file.to_str().unwrap()]);
    assert_eq!(ran.code, Some(0));
    let shown = value("gears.exact_ratio").replace('.', ",");
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        text.replace("1500,5", &shown)
    );
}

/// Where the syntax itself is explained, nothing is checked or changed.
#[test]
fn code_and_comments_are_left_alone() {
    let wrong = element(CARD, "1");
    let text = format!(
        "```html\n{wrong}\n```\n\n~~~~\n{wrong}\n```\n~~~~\n\nWrite `{wrong}` or ``a ` {wrong}``.\n\n<!-- {wrong}\n{wrong} -->\n{}\n",
        element(CARD, "1490.77")
    );
    let file = document("code", "guide.md", &text);
    let ran = run(&["docs", "--check", file.to_str().unwrap()]);
    assert_eq!(
        (ran.code, ran.out.as_str()),
        (Some(0), "numbers looked at: 1; all agree\n"),
        "{}",
        ran.err
    );
}

#[test]
fn what_cannot_be_read_is_named_and_nothing_is_written() {
    for (number, (text, expected)) in [
        (element("of=\"gears.exact_ratio\"", "1"), ":2: no design"),
        (element("design=\"turntable.card.json\"", "1"), ":2: no of="),
        (
            element("design=\"turntable.card.json\" of=\"gears.colour\"", "1"),
            "no input and no result",
        ),
        (element(&format!("{CARD} unit=\"V\""), "1"), "is no unit"),
        (element(&format!("{CARD} digits=\"many\""), "1"), "digits"),
        (element(CARD, "<b>1</b>"), "only text"),
        (
            element("design=\"missing.card.json\" of=\"gears.exact_ratio\"", "1"),
            "missing.card.json",
        ),
        (
            element("design=\"#nobody\" of=\"gears.exact_ratio\"", "1"),
            "nothing here has this id",
        ),
        (
            element("id=\"me\" design=\"#me\" of=\"gears.exact_ratio\"", "1"),
            "circle",
        ),
        (
            element(
                "design=\"#pw1;gears.rattio=380\" of=\"gears.exact_ratio\"",
                "1",
            ),
            "did you mean gears.ratio",
        ),
        (
            element(
                "design=\"#pw2;gears.ratio=380\" of=\"gears.exact_ratio\"",
                "1",
            ),
            "newer",
        ),
        ("<pulse-wright show=\"value\"".into(), "no end"),
        ("<pulse-wright show=\"value\">1".into(), "missing"),
        ("Nothing here.".into(), "nothing was checked"),
    ]
    .into_iter()
    .enumerate()
    {
        let wrong = element(CARD, "99");
        let before = if text.starts_with("Nothing") {
            ""
        } else {
            wrong.as_str()
        };
        let all = format!("{before}\n{text}");
        let file = document(&format!("refused_{number}"), "README.md", &all);
        let ran = run(&["docs", "--write", file.to_str().unwrap()]);
        assert_eq!(ran.code, Some(2), "{text}: {}", ran.out);
        assert!(ran.err.contains(expected), "{text}: {}", ran.err);
        assert_eq!(fs::read_to_string(&file).unwrap(), all);
    }
    assert_eq!(run(&["docs", "README.md"]).code, Some(2));
    assert_eq!(
        run(&["docs", "--check", "--write", "README.md"]).code,
        Some(2)
    );
}

#[test]
fn what_is_handed_on_comes_from_the_command_too() {
    let card = document("hand_on", "README.md", "").with_file_name("turntable.card.json");
    let card = card.to_str().unwrap();
    let header = run(&["header", card]);
    assert_eq!(header.code, Some(0));
    assert!(
        header.out.contains("#define PW_SAMPLE_US 1000\n"),
        "{}",
        header.out
    );
    let settings: serde_json::Value =
        serde_json::from_str(&run(&["settings", card, "--json"]).out).unwrap();
    assert_eq!(settings["settings"]["PW_SAMPLE_US"]["value"], 1000);
    assert!(
        run(&["settings", card])
            .out
            .contains("| `PW_SAMPLE_US` | 1000 |")
    );
    assert!(run(&["results", card]).out.starts_with("id,label,value,"));
    let schema: serde_json::Value = serde_json::from_str(&run(&["schema"]).out).unwrap();
    assert_eq!(schema["properties"]["route_card"]["const"], 1);
}
