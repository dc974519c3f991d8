//! Numbers written in documentation, as a project's own checks hold them.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::fs;
use std::path::{Path, PathBuf};

use common::{demo, folder, run};

mod common;

/// A folder with the turntable's card and one document.
fn document(name: &str, file: &str, text: &str) -> PathBuf {
    let folder = folder(name);
    fs::copy(demo("turntable"), folder.join("turntable.card.json")).unwrap();
    let file = folder.join(file);
    fs::write(&file, text).unwrap();
    file
}

fn value(id: &str) -> String {
    let ran = run(&["value", id, &demo("turntable")]);
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

/// Checks that of the numbers in a document only the `right` ones are looked at, and that writing
/// changes nothing.
fn only_these_are_looked_at(name: &str, file: &str, text: &str, right: usize) {
    let file = document(name, file, text);
    let path = file.to_str().unwrap();
    let all = format!("numbers looked at: {right}; all agree\n");
    for task in ["--check", "--write"] {
        let ran = run(&["docs", task, path]);
        assert_eq!(
            (ran.code, ran.out.as_str()),
            (Some(0), all.as_str()),
            "{path}: {}",
            ran.err
        );
        assert_eq!(fs::read_to_string(&file).unwrap(), text);
    }
}

/// The forms of code are those of the CommonMark specification (4.4, 4.5, 6.1, 4.6).
#[test]
fn a_reader_of_markdown_sees_code_as_it_was_written() {
    let (wrong, right) = (element(CARD, "1"), element(CARD, "1490.77"));
    let over_two_lines = wrong.replace("of=", "\nof=");
    let text = format!(
        "Indented:\n\n    {wrong}\n\n- in a list:\n\n      {wrong}\n\n  {right}\n\n\
         A span `over\ntwo lines {over_two_lines}` and {right}.\n\n\
         > ```\n> {wrong}\n> ```\n\nWhat begins with `<!--` is a comment, {right} is none.\n\n\
         A tag that is none: \\{wrong}\n\n<!-- {wrong}\n\n{wrong} -->\n\n\
         <pre>\n{wrong}\n\n{wrong}</pre>\n\nHere <code>{wrong}</code> and {right}\n\n\
         1. one\n\n   {right}\n\n      {right}\n\n\
         | a | b |\n|---|---|\n| `{wrong}` | {right} |\n"
    );
    only_these_are_looked_at("markdown", "guide.md", &text, 7);
}

/// The forms are those of the reStructuredText specification: literal blocks, doctest blocks, inline
/// literals, comments, the directives `code` and `raw`.
#[test]
fn a_reader_of_restructured_text_sees_code_as_it_was_written() {
    let (wrong, right) = (element(CARD, "1"), element(CARD, "1490.77"));
    let text = format!(
        "Turntable\n=========\n\n.. role:: raw-html(raw)\n   :format: html\n\n\
         It makes :raw-html:`{right}` turns, written ``{wrong}``\nor ``over two\nlines {wrong}`` or :code:`{wrong}`.\n\n\
         So::\n\n  {wrong}\n\n  {wrong}\n\n{right}\n\n\
         Quoted::\n\n> {wrong}\n> {wrong}\n\n{right}\n\n\
         - In a list::\n\n    {wrong}\n\n  {right}\n\n\
         .. code-block:: html\n   :linenos:\n\n   {wrong}\n\n\
         .. raw:: html\n\n   {right}\n   <!-- {wrong} -->\n   <code>{wrong}</code>\n\n\
         .. note::\n\n   {right}\n\n\
         .. A comment {wrong}\n   {wrong}\n\n..\n   {wrong}\n\n..\n\n  {right}\n\n\
         .. _target:\n\n>>> print('{wrong}')\n{wrong}\n\nThe end: {right}\n"
    );
    only_these_are_looked_at("restructured", "guide.rst", &text, 8);
}

/// The forms are those of the AsciiDoc language: delimited blocks, styles of paragraphs, literal
/// paragraphs, comments, monospace, passthroughs.
#[test]
fn a_reader_of_asciidoc_sees_code_as_it_was_written() {
    let (wrong, right) = (element(CARD, "1"), element(CARD, "1490.77"));
    let text = format!(
        "= Turntable\n\nIt makes +++{right}+++ turns, written `{wrong}` or +{wrong}+\nor `over two\nlines {wrong}`.\n\n\
         // {wrong}\n{right}\n// {wrong}\n\n\
         .A listing\n[source,html]\n----\n{wrong}\n\n{wrong}\n----\n\n{right}\n\n\
         ....\n{wrong}\n....\n\n////\n{wrong}\n////\n\n```html\n{wrong}\n```\n\n\
         [source,html]\n{wrong}\n\n[,html]\n--\n{wrong}\n\n{wrong}\n--\n\n {wrong}\n {wrong}\n\n\
         * one\n ** {right}\n\n\
         ++++\n<p>{right}</p>\n<!-- {wrong} -->\n<pre>{wrong}</pre>\n++++\n\n\
         ====\n{right}\n====\n\n1 + 2 is 3 and {right} + 4.\n"
    );
    only_these_are_looked_at("asciidoc", "guide.adoc", &text, 7);
}

#[test]
fn a_reader_of_html_sees_code_as_it_was_written() {
    let (wrong, right) = (element(CARD, "1"), element(CARD, "1490.77"));
    let text = format!(
        "<p>{right}</p><PRE class=x>{wrong}\n{wrong}</PRE><p><code>{wrong}</code> {right}\n\
         <!-- {wrong} --><script>let text = '{wrong}';</script><style>/* {wrong} */</style>\n\
         <preview>{right}</preview>\n"
    );
    only_these_are_looked_at("html", "guide.html", &text, 3);
}

/// All mistakes of all files at once, each with file and line, beside what differs.
#[test]
fn one_run_lists_everything_that_is_wrong_in_all_files() {
    let first = document(
        "everything",
        "first.md",
        &[
            element(CARD, "1500"),
            "<pulse-wright design=\"turntable.card.json\" show=\"valeu\" of=\"gears.exact_ratio\">1</pulse-wright>".into(),
            element("design=\"lost.card.json\" of=\"gears.exact_ratio\"", "1"),
            "<pulse-wright design=\"turntable.card.json\" show=\"station\" of=\"Garden\"></pulse-wright>".into(),
            element("design=\"turntable.card.json\" of=\"gears.exact_ration\"", "1"),
            "<pulse-wright show=\"value\">1".into(),
            element("of=\"gears.colour\" digits=\"40\"", "1"),
            element(CARD, "1490.77"),
            element("design=\"bad.card.json\" of=\"gears.exact_ratio\"", "1"),
        ]
        .join("\n"),
    );
    let bad =
        "{\"route_card\": 1, \"inputs\": {\"gears.rattio\": 3, \"motor.rated_voltage\": \"5 A\"}}";
    fs::write(first.with_file_name("bad.card.json"), bad).unwrap();
    let second = first.with_file_name("second.rst");
    fs::write(&second, element(CARD, "1501")).unwrap();
    let (first, second) = (first.to_str().unwrap(), second.to_str().unwrap());
    let before = fs::read_to_string(first).unwrap();
    let lost = first.replace("first.md", "lost.md");
    for task in ["--check", "--write"] {
        let ran = run(&["docs", task, first, &lost, second]);
        assert_eq!(ran.code, Some(2), "{}", ran.err);
        let out: Vec<&str> = ran.out.lines().collect();
        assert!(
            out[0].starts_with(&format!("{first}:1: gears.exact_ratio: written “1500”")),
            "{}",
            ran.out
        );
        assert!(
            out[1].starts_with(&format!("{second}:1: gears.exact_ratio: written “1501”")),
            "{}",
            ran.out
        );
        assert!(
            out[2].starts_with("numbers looked at: 3; differing: 2; could not be read: 11"),
            "{}",
            ran.out
        );
        assert_eq!(out.len(), 3);
        assert_eq!(out[2].ends_with("nothing was written"), task == "--write");
        let bad = first.replace("first.md", "bad.card.json");
        let expected = [
            format!(
                "{first}:2: show=\"valeu\" is none of value, setting, check, verdict, figures, plot, station, card"
            ),
            format!(
                "{first}:3: {}",
                first.replace("first.md", "lost.card.json: ")
            ),
            format!("{first}:4: “Garden” is no station; there are Axis, "),
            format!(
                "{first}:5: “gears.exact_ration” is no input and no result; did you mean gears.exact_ratio?"
            ),
            format!("{first}:6: </pulse-wright> is missing"),
            format!("{first}:7: “gears.colour” is no input and no result"),
            format!("{first}:7: digits=\"40\": a number from 1 to 15"),
            format!("{first}:7: no design=\"…\""),
            format!("{first}:9: {bad}: gears.rattio: no such input; did you mean gears.ratio?"),
            format!("{first}:9: {bad}: motor.rated_voltage ("),
            format!("{lost}: "),
        ];
        let found: Vec<&str> = ran.err.lines().collect();
        assert_eq!(found.len(), expected.len(), "{}", ran.err);
        for (found, expected) in found.iter().zip(&expected) {
            let expected = format!("pulsewright: {expected}");
            assert!(found.starts_with(&expected), "{found}\nis not\n{expected}");
        }
        assert_eq!(fs::read_to_string(first).unwrap(), before);
        assert_eq!(fs::read_to_string(second).unwrap(), element(CARD, "1501"));
    }
}

/// The turntable's winding bears its holding current for as long as one likes.
#[test]
fn a_result_without_a_limit_is_written_as_unlimited() {
    let report = run(&["report", &demo("turntable"), "--json"]).out;
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    assert_eq!(
        report["absent"]["heat.hold_time"]["code"], "unlimited",
        "the design is meant to have no limit here"
    );
    let of = "design=\"turntable.card.json\" of=\"heat.hold_time\"";
    for written in ["unlimited", " Unlimited\n"] {
        let file = document("unlimited", "README.md", &element(of, written));
        let ran = run(&["docs", "--check", file.to_str().unwrap()]);
        assert_eq!(ran.code, Some(0), "{}{}", ran.out, ran.err);
    }
    let file = document("limited", "README.md", &element(of, "12 s"));
    let path = file.to_str().unwrap();
    let ran = run(&["docs", "--check", path]);
    assert_eq!(ran.code, Some(1));
    assert!(
        ran.out.contains("written “12 s”, computed “unlimited”"),
        "{}",
        ran.out
    );
    assert_eq!(run(&["docs", "--write", path]).code, Some(0));
    assert_eq!(fs::read_to_string(&file).unwrap(), element(of, "unlimited"));
    // Where there is a limit, the word does not hold.
    let file = document("a_limit", "README.md", &element(CARD, "unlimited"));
    assert_eq!(
        run(&["docs", "--check", file.to_str().unwrap()]).code,
        Some(1)
    );
}

#[test]
fn a_card_and_a_station_are_checked_for_what_they_name() {
    let text = "<pulse-wright design=\"turntable.card.json\"><a href=\"card.html\">The card</a></pulse-wright>\n\
                <pulse-wright design=\"turntable.card.json\" show=\"station\" of=\"Hold and heat\">See the card.</pulse-wright>\n\
                <pulse-wright design=\"turntable.card.json\" show=\"station\" of=\"hold\"></pulse-wright>\n";
    let file = document("cards", "README.md", text);
    let ran = run(&["docs", "--check", file.to_str().unwrap()]);
    assert_eq!(
        (ran.code, ran.out.as_str()),
        (Some(0), "designs checked: 3; all can be shown\n"),
        "{}",
        ran.err
    );
}

/// A link whose mark was escaped on its way is one all the same.
#[test]
fn a_link_escaped_twice_is_found() {
    let of = "design=\"https://example.org/?to=%2523pw1%253Bgears.ratio%253D123\" of=\"gears.exact_ratio\"";
    let file = document("escaped", "README.md", &element(of, "123"));
    let ran = run(&["docs", "--check", file.to_str().unwrap()]);
    assert_eq!(ran.code, Some(0), "{}{}", ran.out, ran.err);
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
            "nothing else here has this id",
        ),
        (
            element("id=\"me\" design=\"#me\" of=\"gears.exact_ratio\"", "1"),
            "nothing else here has this id",
        ),
        (
            [
                element("id=\"one\" design=\"#other\" of=\"gears.exact_ratio\"", "1"),
                element("id=\"other\" design=\"#one\" of=\"gears.exact_ratio\"", "1"),
            ]
            .concat(),
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

/// Whatever an element can show is checked for what it names.
#[test]
fn every_way_to_show_a_design_is_checked() {
    let report = run(&["report", &demo("turntable"), "--json"]).out;
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    let verdict = report["verdict"]["status"].as_str().unwrap();
    let check = &report["checks"][0];
    let (id, status) = (
        check["id"].as_str().unwrap(),
        check["status"].as_str().unwrap(),
    );
    let show = |attributes: &str, content: &str| {
        format!(
            "<pulse-wright design=\"turntable.card.json\" {attributes}>{content}</pulse-wright>\n"
        )
    };
    let right = [
        show("show=verdict", verdict),
        show(&format!("show=check of={id}"), status),
        show(
            "show=setting of=PW_SAMPLE_US class=\"number\" data-x=1 aria-label=a",
            "1 000",
        ),
        show("show=figures of=\"gears.exact_ratio loop.sample_time\"", ""),
        show("show=plot of=move page=\"\"", "<img src=\"move.svg\">"),
        show("of=gears.exact_ratio show=value digits=3", "1490"),
    ];
    let file = document("every_show", "README.md", &right.concat());
    let ran = run(&["docs", "--check", file.to_str().unwrap()]);
    assert_eq!(ran.code, Some(0), "{}{}", ran.out, ran.err);
    assert_eq!(ran.out, "numbers looked at: 4; all agree\n");

    let file = document(
        "every_show_differs",
        "README.md",
        &[
            show("show=verdict", "perhaps"),
            show(&format!("show=check of={id}"), "perhaps"),
            show("show=setting of=PW_SAMPLE_US", "1001"),
        ]
        .concat(),
    );
    let path = file.to_str().unwrap();
    let ran = run(&["docs", "--check", path]);
    assert_eq!(ran.code, Some(1), "{}{}", ran.out, ran.err);
    for (line, what, computed) in [
        (1, "verdict", verdict),
        (2, id, status),
        (3, "PW_SAMPLE_US", "1000"),
    ] {
        let found = ran.out.lines().nth(line - 1).unwrap();
        assert!(
            found.starts_with(&format!("{path}:{line}: {what}: written ")),
            "{found}"
        );
        assert!(
            found.ends_with(&format!("computed “{computed}”")),
            "{found}"
        );
    }
    assert_eq!(run(&["docs", "--write", path]).code, Some(0));
    assert_eq!(run(&["docs", "--check", path]).code, Some(0));

    for (wrong, expected) in [
        ("show=check of=check.garden", "“check.garden” is no check"),
        ("show=setting of=PW_SAMPLE_UM", "did you mean PW_SAMPLE_US?"),
        (
            "show=figures of=\"loop.sample_time gears.exact_ration\"",
            "did you mean gears.exact_ratio?",
        ),
        ("show=figures", "no of="),
        ("show=plot of=garden", "there are move, "),
        (
            "show=verdict unti=V",
            "unti=\"…\" is no attribute of it; did you mean unit?",
        ),
        ("show=card colour=red", "colour=\"…\" is no attribute of it"),
    ] {
        let file = document("every_show_wrong", "README.md", &show(wrong, ""));
        let ran = run(&["docs", "--check", file.to_str().unwrap()]);
        assert_eq!(ran.code, Some(2), "{wrong}");
        assert!(ran.err.contains(expected), "{wrong}: {}", ran.err);
    }
}

/// One design file for many pages: their blocks are filled from it and compared with it.
#[test]
fn a_block_is_filled_from_its_design_file() {
    let text = format!(
        "- A list\n\n  <script type=\"application/json\" id=\"axis\" data-from=\"turntable.card.json\"></script>\n  {}\n",
        element("design=\"#axis\" of=\"gears.exact_ratio\"", "1490.77")
    );
    let file = document("filled", "guide.md", &text);
    let path = file.to_str().unwrap();
    let ran = run(&["docs", "--check", path]);
    assert_eq!(ran.code, Some(1), "{}", ran.err);
    let expected = format!("{path}:3: this is not what stands in turntable.card.json\n");
    assert!(ran.out.starts_with(&expected), "{}", ran.out);
    assert_eq!(run(&["docs", "--write", path]).code, Some(0));
    let filled = fs::read_to_string(&file).unwrap();
    let block = filled.split("card.json\">").nth(1).unwrap();
    let block = block.split("</script>").next().unwrap();
    let read: serde_json::Value = serde_json::from_str(block).unwrap();
    let card = fs::read_to_string(demo("turntable")).unwrap();
    assert_eq!(
        read,
        serde_json::from_str::<serde_json::Value>(&card).unwrap()
    );
    assert!(
        block.lines().skip(1).all(|line| line.starts_with("  ")),
        "{block}"
    );
    assert_eq!(run(&["docs", "--check", path]).code, Some(0));
    assert_eq!(run(&["docs", "--write", path]).code, Some(0));
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        filled,
        "nothing differs"
    );

    // The file changes: block and number differ, and one run writes both.
    let card = file.with_file_name("turntable.card.json");
    let changed =
        "{\"route_card\": 1, \"inputs\": {\"gears.ratio\": 50, \"card.title\": \"</script>\"}}";
    fs::write(&card, changed).unwrap();
    let ran = run(&["docs", "--check", path]);
    assert_eq!(
        (ran.code, ran.out.lines().count()),
        (Some(1), 3),
        "{}",
        ran.out
    );
    assert_eq!(run(&["docs", "--write", path]).code, Some(0));
    let written = fs::read_to_string(&file).unwrap();
    assert!(written.contains(">50</pulse-wright>"), "{written}");
    assert_eq!(written.matches("</script>").count(), 1, "{written}");
    assert_eq!(run(&["docs", "--check", path]).code, Some(0));

    fs::remove_file(&card).unwrap();
    let ran = run(&["docs", "--write", path]);
    assert_eq!(ran.code, Some(2));
    assert!(ran.err.contains(&format!("{path}:3: ")), "{}", ran.err);
    assert_eq!(fs::read_to_string(&file).unwrap(), written);
}

/// Of two blocks with one id an element means the last one above it, as in a browser.
#[test]
fn an_id_means_the_last_block_above() {
    let block = |ratio: &str| {
        let inputs = format!("{{\"route_card\": 1, \"inputs\": {{\"gears.ratio\": {ratio}}}}}");
        format!("<script type=\"application/json\" id=\"axis\">{inputs}</script>\n\n")
    };
    let number = |text: &str| element("design=\"#axis\" of=\"gears.exact_ratio\"", text) + "\n\n";
    let text = [block("380"), number("380"), block("50"), number("50")].concat();
    let file = document("two_blocks", "guide.md", &text);
    let ran = run(&["docs", "--check", file.to_str().unwrap()]);
    assert_eq!(ran.code, Some(0), "{}{}", ran.out, ran.err);
    // Below it no text that may be joined with others keeps its block.
    let below = [number("380"), block("380")].concat();
    for (name, code) in [("guide.md", 2), ("guide.rst", 2), ("guide.html", 0)] {
        let file = document("block_below", name, &below);
        let ran = run(&["docs", "--check", file.to_str().unwrap()]);
        assert_eq!(ran.code, Some(code), "{name}: {}", ran.err);
        assert_eq!(ran.err.contains("#axis stands below, on line 3"), code == 2);
    }
}

/// What the page hands on for documentation is itself documentation that holds.
#[test]
fn the_snippet_of_any_example_holds() {
    use pulsewright_sheet::design::link;
    use pulsewright_sheet::evaluation::Eval;
    use pulsewright_sheet::guide::examples::EXAMPLES;
    use pulsewright_sheet::output::documentation::snippet;
    for example in EXAMPLES {
        let design = link::read(example.link).unwrap().design;
        let text = snippet(&Eval::new(&design).simulating());
        for name in ["guide.md", "guide.html"] {
            let file = document("snippet", name, &text);
            let ran = run(&["docs", "--check", file.to_str().unwrap()]);
            assert_eq!(
                (ran.code, ran.out.as_str()),
                (Some(0), "numbers looked at: 2; all agree\n"),
                "{}: {}{text}",
                example.link,
                ran.err
            );
        }
    }
}
