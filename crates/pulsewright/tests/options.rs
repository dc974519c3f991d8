//! What a person types behind a command's name: options, help, files in and out.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use common::{demo, folder, run, run_with};
use std::fs;
use std::time::{Duration, Instant};

mod common;

const COMMANDS: [&str; 14] = [
    "report",
    "rank",
    "value",
    "draw",
    "tune",
    "header",
    "settings",
    "results",
    "docs",
    "schema",
    "types",
    "ids",
    "completions",
    "man",
];

const MOTORS: &str =
    "name,motor.rated_voltage [V],motor.stall_current [A],stall torque [kgf.cm],no-load speed [rpm]
strong,6,2,50,100
weak,6,0.2,0.1,100
";

fn motors(name: &str) -> String {
    let file = folder(name).join("motors.csv");
    fs::write(&file, MOTORS).unwrap();
    file.display().to_string()
}

/// A project's own checks must never pass because an option meant nothing.
#[test]
fn an_option_that_a_command_does_not_have_is_refused() {
    let (card, table) = (demo("turntable"), motors("refused_options"));
    for words in [
        &["rank", &card, &table, "--require", "passes"][..],
        &["rank", &card, &table, "--markdown"],
        &["value", "gears.ratio", &card, "--require", "passes"],
        &["value", "gears.ratio", &card, "--json"],
        &["ids", "--write"],
        &["ids", "--require", "passes"],
        &["header", &card, "--json"],
        &["results", &card, "--json"],
        &["results", &card, "--unit", "V"],
        &["report", &card, "--unit", "mOhm"],
        &["report", &card, "--json", "--markdown"],
        &["report", &card, "--json=yes"],
        &["report", &card, "--require", "fine"],
        &["report", &card, "--require"],
        &["report", &card, "--jsn"],
        &["report", &card, "--color", "blue"],
        &["header", &card, "--color", "never"],
        &["docs", "--check", "--write", "README.md"],
        &["docs", "README.md"],
        &["docs", "--check"],
        &["tune", &card, "--json"],
        &["tune", "#pw1;axis.kind=arm", "--write"],
        &["tune", "-", "--write"],
        &["schema", &card],
        &["repot", &card],
        &["man", "repot"],
        &["completions", "shellfish"],
    ] {
        let ran = run(words);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{words:?}");
        assert!(!ran.err.is_empty(), "{words:?}");
    }
}

#[test]
fn who_forgets_to_quote_a_link_is_told_so() {
    for words in [&["report"][..], &["draw", "move"], &["report", "a", "b"]] {
        let ran = run(words);
        assert_eq!(ran.code, Some(2), "{words:?}");
        assert!(ran.err.contains("a link must be quoted"), "{}", ran.err);
    }
    let ran = run(&["report", "a", "--jsn"]);
    assert!(!ran.err.contains("quoted"), "{}", ran.err);
}

#[test]
fn every_command_has_help_with_an_example_and_a_manual_page() {
    for command in COMMANDS {
        let ran = run(&[command, "--help"]);
        assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{command}");
        let example = format!("  pulsewright {command}");
        assert!(ran.out.contains(&example), "{command}: {}", ran.out);
        assert!(ran.out.contains("Usage: "), "{command}");
        assert_eq!(run(&["help", command]).out, ran.out);
        let page = run(&["man", command]);
        assert_eq!((page.code, page.err.as_str()), (Some(0), ""), "{command}");
        let title = format!(".TH pulsewright-{command} 1 ");
        assert!(page.out.contains(&title), "{command}: {}", page.out);
    }
    for words in [&[][..], &["--help"], &["-h"], &["help"]] {
        let ran = run(words);
        assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{words:?}");
        assert!(ran.out.contains("A calculation, not an approval."));
        for command in COMMANDS {
            assert!(ran.out.contains(&format!("\n  {command} ")), "{command}");
        }
    }
    assert!(run(&["man"]).out.contains(".TH pulsewright 1 "));
    let version = run(&["--version"]).out;
    assert_eq!(
        version,
        format!("pulsewright {}\n", env!("CARGO_PKG_VERSION"))
    );
}

#[test]
fn shells_complete_every_command() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let ran = run(&["completions", shell]);
        assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{shell}");
        for command in COMMANDS {
            assert!(ran.out.contains(command), "{shell}: {command}");
        }
    }
}

#[test]
fn a_design_or_a_table_comes_from_standard_input() {
    let (card, table) = (demo("turntable"), motors("standard_input"));
    let text = fs::read_to_string(&card).unwrap();
    let wanted = run(&["report", &card]).out;
    assert_eq!(run_with(&["report", "-"], &[], &text).out, wanted);
    let link = fs::read_to_string(card.replace(".card.json", ".link")).unwrap();
    assert_eq!(run_with(&["report", "-"], &[], &link).out, wanted);
    // A note in a card may speak of a link.
    let noted = text.replacen(
        "\"inputs\": {",
        "\"inputs\": {\"card.note\": \"was #pw1;gears.ratio=2\",",
        1,
    );
    let ratio = run_with(&["value", "gears.exact_ratio", "-"], &[], &noted);
    assert_eq!(ratio.out, "1490.769\n", "{}", ratio.err);

    let wanted = run(&["rank", &card, &table]);
    assert_eq!(wanted.code, Some(0), "{}", wanted.err);
    assert_eq!(run_with(&["rank", &card, "-"], &[], MOTORS).out, wanted.out);
    assert_eq!(run_with(&["rank", "-", &table], &[], &text).out, wanted.out);
    let both = run_with(&["rank", "-", "-"], &[], &text);
    assert_eq!((both.code, both.out.as_str()), (Some(2), ""));
    assert!(both.err.contains("only one of"), "{}", both.err);
    for (input, part) in [
        ("", "standard input: this file is not complete JSON"),
        (
            "{\"route_card\": 1, \"inputs\": {\"gears.rattio\": 3}}",
            "standard input: gears.rattio: no such input",
        ),
        ("#pw1;gears.rattio=3", "gears.rattio: no such input"),
    ] {
        let ran = run_with(&["report", "-"], &[], input);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{input}");
        assert!(ran.err.contains(part), "{input}: {}", ran.err);
    }
}

/// Whoever keeps several cards is told which of them is wrong.
#[test]
fn a_message_about_a_card_names_its_file() {
    let file = folder("names_its_file").join("lever.card.json");
    let wrong =
        "{\"route_card\": 1, \"inputs\": {\"gears.rattio\": 3, \"motor.rated_voltage\": \"5 A\"}}";
    fs::write(&file, wrong).unwrap();
    let name = file.to_str().unwrap();
    let ran = run(&["report", name]);
    assert_eq!(ran.code, Some(2));
    let lines: Vec<&str> = ran.err.lines().collect();
    assert_eq!(lines.len(), 2, "{}", ran.err);
    assert!(lines[0].starts_with(&format!("pulsewright: {name}: gears.rattio: no such input")));
    assert!(lines[1].starts_with(&format!("pulsewright: {name}: motor.rated_voltage (")));
}

#[test]
fn what_is_written_to_a_file_is_what_would_have_been_printed() {
    let (card, table) = (demo("turntable"), motors("to_a_file"));
    let place = folder("outputs");
    for words in [
        &["report", &card][..],
        &["report", &card, "--json"],
        &["report", &card, "--color", "always", "--require", "passes"],
        &["rank", &card, &table],
        &["value", "gears.ratio", &card],
        &["draw", "move", &card],
        &["header", &card],
        &["settings", &card],
        &["results", &card],
        &["schema"],
        &["types"],
        &["ids"],
        &["completions", "fish"],
        &["man"],
    ] {
        let plain: Vec<&str> = words
            .iter()
            .copied()
            .filter(|word| !["--color", "always"].contains(word))
            .collect();
        let printed = run(&plain);
        let file = place.join("out");
        let path = file.to_str().unwrap();
        let ran = run(&[words, &["-o", path]].concat());
        assert_eq!(
            (ran.code, ran.out.as_str()),
            (printed.code, ""),
            "{words:?}: {}",
            ran.err
        );
        assert_eq!(fs::read_to_string(&file).unwrap(), printed.out, "{words:?}");
        let left: Vec<_> = fs::read_dir(&place).unwrap().flatten().collect();
        assert_eq!(
            left.len(),
            1,
            "{words:?}: nothing is left beside it: {left:?}"
        );
    }
    let dash = run(&["value", "gears.ratio", &card, "--output", "-"]);
    assert_eq!(dash.out, run(&["value", "gears.ratio", &card]).out);
}

#[test]
fn a_file_stays_as_it_was_when_the_new_one_cannot_be_made() {
    let place = folder("stays");
    let file = place.join("settings.h");
    fs::write(&file, "before").unwrap();
    let path = file.to_str().unwrap();
    let ran = run(&["header", "#pw1;gears.rattio=3", "-o", path]);
    assert_eq!(ran.code, Some(2));
    assert_eq!(fs::read_to_string(&file).unwrap(), "before");
    for bad in [
        place.to_str().unwrap(),
        &format!("{path}/below"),
        &format!("{}/no/such", place.display()),
    ] {
        let ran = run(&["header", "#pw1", "-o", bad]);
        assert_eq!(ran.code, Some(2), "{bad}");
        assert!(ran.err.contains(bad), "{bad}: {}", ran.err);
    }
    assert_eq!(fs::read_dir(&place).unwrap().count(), 1);
}

#[cfg(unix)]
#[test]
fn a_written_file_keeps_its_permissions_and_a_link_to_it_stays_a_link() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = folder("permissions");
    let (file, other, link) = (place.join("own"), place.join("plain"), place.join("link"));
    fs::write(&file, "before").unwrap();
    fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink(&file, &link).unwrap();
    let ran = run(&[
        "value",
        "gears.ratio",
        "#pw1;gears.ratio=3",
        "-o",
        link.to_str().unwrap(),
    ]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(fs::read_to_string(&file).unwrap(), "3\n");
    let mode = |file| fs::metadata(file).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(&file), 0o640);
    // A new one is as any other new file.
    fs::write(&other, "").unwrap();
    let new = place.join("new");
    assert_eq!(run(&["ids", "-o", new.to_str().unwrap()]).code, Some(0));
    assert_eq!(mode(&new), mode(&other));
    // A device is written to and stays one.
    assert_eq!(run(&["ids", "-o", "/dev/null"]).code, Some(0));
    assert!(!fs::metadata("/dev/null").unwrap().is_file());
}

/// Colour is beside the words and never in place of them: without it the text is the same.
#[test]
fn failing_checks_are_coloured_where_it_was_asked_for() {
    let (card, table) = (demo("turntable"), motors("colour"));
    for words in [&["report", &card][..], &["rank", &card, &table]] {
        let plain = run(words);
        assert!(!plain.out.contains('\u{1b}'), "no terminal, no colour");
        let never = run(&[words, &["--color", "never"]].concat());
        assert_eq!(never.out, plain.out);
        let coloured = run(&[words, &["--color", "always"]].concat()).out;
        assert!(coloured.contains("\u{1b}[1m\u{1b}[31mfails"), "{coloured}");
        assert!(!coloured.contains("\u{1b}[31mpasses"));
        let mut before_limits = String::new();
        for part in coloured.split('\u{1b}') {
            let code = part.strip_prefix('[').and_then(|part| part.split_once('m'));
            before_limits.push_str(code.map_or(part, |(_, text)| text));
        }
        assert_eq!(before_limits, plain.out);
        let quiet = [("NO_COLOR", "1"), ("CLICOLOR_FORCE", "1")];
        assert_eq!(run_with(words, &quiet, "").out, plain.out);
        let forced = run_with(words, &[("CLICOLOR_FORCE", "1")], "");
        assert_eq!(
            forced.out, coloured,
            "what others ask for by the environment holds"
        );
    }
    let json = run(&["report", &card, "--json", "--color", "always"]).out;
    assert!(!json.contains('\u{1b}'), "JSON is for programs");
}

#[test]
fn ids_for_a_program_say_what_the_list_for_people_says() {
    let ran = run(&["ids", "--json"]);
    let listed: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let lines: Vec<String> = listed["ids"]
        .as_array()
        .unwrap()
        .iter()
        .map(|entry| {
            let text = |key: &str| entry[key].as_str().unwrap().to_string();
            format!("{:6} {:32} {}", text("sort"), text("id"), text("label"))
        })
        .collect();
    let people = run(&["ids"]).out;
    assert_eq!(people.lines().collect::<Vec<_>>(), lines);
    let of = |id: &str| {
        let all = listed["ids"].as_array().unwrap();
        let entry = all.iter().find(|entry| entry["id"] == id).unwrap();
        entry["unit"].clone()
    };
    assert_eq!(of("motor.rated_voltage"), "V");
    assert_eq!(of("card.title"), serde_json::Value::Null);
}

/// Many numbers of simulated landings take a while; a few say nothing.
#[test]
fn who_waits_longer_than_a_second_sees_how_far_it_is() {
    let folder = folder("progress");
    let link = fs::read_to_string(demo("turntable").replace(".card.json", ".link")).unwrap();
    let text = |count: usize| -> String {
        (0..count)
            .map(|number| {
                let design = format!("{};card.note=n{number}", link.trim());
                format!("<pulse-wright design='{design}' show=value of=loop.final_error>0.3845 mm</pulse-wright>\n")
            })
            .collect()
    };
    let mut count = 20;
    loop {
        let file = folder.join("README.md");
        fs::write(&file, text(count)).unwrap();
        let began = Instant::now();
        let ran = run(&["docs", "--check", file.to_str().unwrap()]);
        let took = began.elapsed();
        assert_eq!(ran.code, Some(0), "{}{}", ran.out, ran.err);
        assert_eq!(ran.out, format!("numbers looked at: {count}; all agree\n"));
        if took < Duration::from_secs(1) {
            assert_eq!(ran.err, "", "{took:?}");
        }
        if took > Duration::from_secs(3) {
            let first = "pulsewright: numbers looked at in 0 of 1 files, 1 s\n";
            assert!(ran.err.starts_with(first), "{took:?}: {}", ran.err);
            break;
        }
        count *= 3;
    }
}
