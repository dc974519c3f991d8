//! The command as a project's own checks call it: exit codes, the report's form, messages.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

use common::{Ran, demo, run};

mod common;

const DEMOS: [(&str, &str, &str); 4] = [
    ("turntable", "fails", "check.position"),
    ("vent_lever", "fails", "check.winding_temperature"),
    ("camera_slider", "fails", "check.brown_out"),
    ("focus_stage", "passes", "check.logic_level"),
];

fn json(from: &str) -> Value {
    let ran = run(&["report", from, "--json"]);
    assert_eq!(ran.code, Some(0), "{from}: {}", ran.err);
    serde_json::from_str(&ran.out).expect(from)
}

/// Ids of one sort as `pulsewright ids` lists them.
fn ids(sort: &str) -> BTreeSet<String> {
    run(&["ids"])
        .out
        .lines()
        .filter_map(|line| {
            line.strip_prefix(sort)?
                .split_whitespace()
                .next()
                .map(str::to_owned)
        })
        .collect()
}

fn keys(value: &Value) -> Vec<&str> {
    value
        .as_object()
        .expect("an object")
        .keys()
        .map(String::as_str)
        .collect()
}

fn texts(value: &Value) -> Vec<String> {
    let list = value.as_array().expect("a list");
    list.iter()
        .map(|text| text.as_str().expect("a text").to_owned())
        .collect()
}

fn one_of(value: &Value, words: &[&str]) {
    let word = value.as_str().expect("a word");
    assert!(words.contains(&word), "{word} is none of {words:?}");
}

const STATUS: [&str; 5] = ["passes", "tight", "fails", "unknown", "waits"];

/// Every key, in its place, of its kind; every result once, with a value or with why not.
#[test]
fn the_report_has_the_form_that_the_documentation_fixes() {
    let (inputs, results) = (ids("input"), ids("result"));
    assert!(
        inputs.len() > 150 && results.len() > 200,
        "{} {}",
        inputs.len(),
        results.len()
    );
    for (name, status, check) in DEMOS {
        let report = json(&demo(name));
        assert_eq!(
            keys(&report),
            [
                "report",
                "made_by",
                "route_card",
                "verdict",
                "quantities",
                "absent",
                "checks",
                "findings"
            ]
        );
        assert!(
            report["made_by"]
                .as_str()
                .unwrap()
                .starts_with("pulsewright ")
        );
        assert_eq!(
            (&report["report"], &report["route_card"]),
            (&1.into(), &1.into())
        );
        assert_eq!(
            keys(&report["verdict"]),
            ["status", "check", "sentence", "missing"]
        );
        assert_eq!(report["verdict"]["status"], status, "{name}");
        assert_eq!(report["verdict"]["check"], check, "{name}");

        let assumed = |value: &Value, of: &str| {
            let list = texts(value);
            assert!(
                list.windows(2).all(|pair| pair[0] < pair[1]),
                "{of}: sorted, each once: {list:?}"
            );
            assert!(
                list.iter().all(|id| inputs.contains(id)),
                "{of}: inputs only: {list:?}"
            );
        };
        for (id, entry) in report["quantities"].as_object().unwrap() {
            let with_exact = entry.get("exact").is_some();
            let mut wanted = vec!["value", "unit", "label", "display", "assumed"];
            wanted.extend(with_exact.then_some("exact"));
            assert_eq!(keys(entry), wanted, "{id}");
            let value = entry["value"].as_f64().expect(id);
            assert!(value.is_finite(), "{id}");
            assert!(entry["unit"].is_string(), "{id}");
            assert!(!entry["label"].as_str().expect(id).is_empty(), "{id}");
            assert!(!entry["display"].as_str().expect(id).is_empty(), "{id}");
            assumed(&entry["assumed"], id);
            if with_exact && entry["unit"] == "1" {
                let exact = entry["exact"].as_str().expect(id);
                let (a, b) = exact.split_once('/').expect(id);
                let quotient = a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap();
                assert!(
                    (quotient - value).abs() <= 1e-12 * value.abs(),
                    "{id}: {exact} is not {value}"
                );
            }
        }
        for (id, entry) in report["absent"].as_object().unwrap() {
            assert_eq!(keys(entry), ["code", "message"], "{id}");
            one_of(
                &entry["code"],
                &[
                    "missing",
                    "refused",
                    "unlimited",
                    "impossible",
                    "waits",
                    "above",
                ],
            );
            assert!(!entry["message"].as_str().expect(id).is_empty(), "{id}");
        }
        let mut listed: Vec<&str> = keys(&report["quantities"]);
        listed.extend(keys(&report["absent"]));
        assert_eq!(listed.len(), results.len(), "{name}: each result once");
        assert!(listed.iter().all(|id| results.contains(*id)), "{name}");

        let checks = report["checks"].as_array().unwrap();
        assert!(checks.len() > 20, "{name}");
        for entry in checks {
            let id = entry["id"].as_str().unwrap();
            let mut wanted = vec![
                "id",
                "label",
                "capability",
                "need",
                "unit",
                "margin",
                "status",
                "assumed",
            ];
            // The case where there is one; what it waits for where it is not known.
            wanted.extend(entry.get("case").map(|_| "case"));
            wanted.extend(entry.get("message").map(|_| "message"));
            assert_eq!(keys(entry), wanted, "{id}");
            assert!(id.starts_with("check."), "{id}");
            one_of(&entry["status"], &STATUS);
            assert!(
                entry["margin"].is_null() || entry["margin"].as_f64().is_some_and(f64::is_finite),
                "{id}"
            );
            if let Some(case) = entry.get("case") {
                one_of(case, &["move", "blocked", "hold"]);
            }
            assert_eq!(
                entry.get("message").is_some(),
                entry["capability"].is_null(),
                "{id}"
            );
            // Where a finding alone makes it fail, the message says it.
            let known = entry["status"] != "unknown" && entry["status"] != "waits";
            assert!(
                known || entry["capability"].is_null(),
                "{id}: {}",
                entry["status"]
            );
            assumed(&entry["assumed"], id);
        }
        let of_verdict = checks.iter().find(|entry| entry["id"] == check).unwrap();
        assert_eq!(of_verdict["status"], status);

        for entry in report["findings"].as_array().unwrap() {
            assert_eq!(keys(entry), ["id", "severity", "message", "numbers"]);
            one_of(
                &entry["severity"],
                &["note", "fault", "caution", "warning", "danger"],
            );
            let message = entry["message"].as_str().unwrap();
            assert!(
                !message.is_empty() && !message.contains(['{', '}']),
                "{message}"
            );
            for (id, number) in entry["numbers"].as_object().unwrap() {
                assert!(inputs.contains(id) || results.contains(id), "{id}");
                assert!(number.as_f64().is_some_and(f64::is_finite), "{id}");
            }
        }
    }
}

/// By hand: 36/12 · 34/13 · 38/12 · 60 = 19380/13; three pole pairs count 12 a motor turn.
#[test]
fn exact_values_are_fractions() {
    let report = json(&demo("turntable"));
    assert_eq!(
        report["quantities"]["gears.exact_ratio"]["exact"],
        "19380/13"
    );
    assert_eq!(
        report["quantities"]["encoder.counts_per_output_turn"]["exact"],
        "232560/13"
    );
    let report = json(
        "#pw1;gears.ratio=380;encoder.pole_pairs=3;encoder.sensors=2;encoder.sensor_spacing=90deg",
    );
    assert_eq!(
        report["quantities"]["encoder.counts_per_output_turn"]["value"],
        4560.0
    );
    assert_eq!(
        report["quantities"]["encoder.counts_per_motor_turn"]["exact"],
        "12/1"
    );
}

/// The file and the link of a demo are one design.
#[test]
fn a_file_and_its_link_give_the_same_report() {
    for (name, ..) in DEMOS {
        let link = fs::read_to_string(demo(name).replace(".card.json", ".link")).unwrap();
        assert_eq!(json(link.trim()), json(&demo(name)), "{name}");
        let inside = format!("see https://example.org/card.html{} for it", link.trim());
        assert_eq!(json(&inside), json(&demo(name)), "{name}");
    }
}

#[test]
fn a_computed_report_leaves_with_0_whatever_the_verdict() {
    for (name, status, _) in DEMOS {
        for format in [&[][..], &["--json"], &["--markdown"]] {
            let ran = run(&[&["report", &demo(name)], format].concat());
            assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{name}");
            assert!(ran.out.contains(status), "{name} {format:?}");
        }
    }
}

/// The bench sheet with its limits, and what a reading in the design comes to.
#[test]
fn the_report_has_the_bench_sheet() {
    let link = format!(
        "{};bench.no_load_current_read=0.3A;order.spare=yes",
        fs::read_to_string(demo("turntable").replace(".card.json", ".link"))
            .unwrap()
            .trim()
    );
    let text = run(&["report", &link]).out;
    for part in [
        "Winding resistance               7.059 Ω, between 6.14 and 8.3 Ω",
        "measured 0.3 A. Above tolerance: tight or dry gears",
        "[yes] A spare motor to open and count teeth: the calculation uses 1490.769",
        "warning: At stall this gear motor pulls with up to",
        "caution: If the sensors count the wrong way round",
    ] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    let markdown = run(&["report", &link, "--markdown"]).out;
    assert!(
        markdown.contains("| No-load current | 45 mA | between 22.5 and 67.5 mA | 0.3 A Above")
    );
}

#[test]
fn require_leaves_with_1_and_names_the_checks() {
    let ran = run(&["report", &demo("turntable"), "--require", "tight"]);
    assert_eq!(ran.code, Some(1));
    assert!(ran.err.contains("check.position fails"), "{}", ran.err);
    assert!(!ran.err.contains("is tight"), "{}", ran.err);
    assert!(
        ran.out.contains("Model") || ran.out.contains("Gears"),
        "the report is there all the same"
    );
    assert_eq!(
        run(&["report", &demo("focus_stage"), "--require=passes"]).code,
        Some(0)
    );
}

#[test]
fn require_given_leaves_with_1_and_names_the_inputs() {
    let ran = run(&["report", &demo("focus_stage"), "--require-given"]);
    assert_eq!(ran.code, Some(1));
    assert!(
        ran.err
            .contains("check.logic_level depends on typical values: wiring.logic_high"),
        "{}",
        ran.err
    );
    let given = format!(
        "{};wiring.logic_high=3.3V;wiring.input_high=2V",
        fs::read_to_string(demo("focus_stage").replace(".card.json", ".link"))
            .unwrap()
            .trim()
    );
    let ran = run(&["report", &given, "--require-given"]);
    assert!(
        !ran.err.contains("check.logic_level"),
        "what is given is not held against it: {}",
        ran.err
    );
}

/// Each with words that the message must have: the input, the limit, the reason.
#[test]
fn what_cannot_be_read_leaves_with_2_and_names_the_input() {
    for (from, parts) in [
        (
            "#pw1;motor.stal_torque=5kgf.cm",
            &["motor.stal_torque: no such input", "motor.stall_torque?"][..],
        ),
        ("#pw1;kettle.lid=5", &["kettle.lid: no such input"]),
        ("#pw9;gears.ratio=380", &["newer page"]),
        ("no-such.card.json", &["no-such.card.json: "]),
    ] {
        let ran = run(&["report", from]);
        assert_eq!(ran.code, Some(2), "{from}");
        assert_eq!(ran.out, "", "{from}");
        for part in parts {
            assert!(ran.err.contains(part), "{from}: {part}: {}", ran.err);
        }
    }
}

/// A refused entry refuses itself: the report says so, with what rests on it, and leaves with 2 where that is asked. Each
/// with words that the message must have: the input, the limit, the reason.
#[test]
fn a_refused_entry_is_told_in_the_report() {
    for (from, parts) in [
        (
            "#pw1;motor.stall_torque=5V",
            &[
                "motor.stall_torque (Stall torque)",
                "measures something else",
                "kgf·cm",
            ][..],
        ),
        (
            "#pw1;gears.ratio=0",
            &["gears.ratio (", "0.01 to 1000000", "never turn the output"],
        ),
        (
            "#pw1;encoder.pole_pairs=0",
            &["encoder.pole_pairs (", "1 to 64", "one north and one south"],
        ),
        (
            "#pw1;motor.no_load_current=2A;motor.stall_current=1A",
            &["motor.stall_current (", "no-load current"],
        ),
        (
            "#pw1;gears.stages=35.5:12",
            &["gears.stages (", "whole numbers"],
        ),
        (
            "#pw1;axis.kind=robot",
            &["axis.kind (", "“robot” is not one of arm, turntable"],
        ),
        (
            "#pw1;motor.rated_voltage=1e999V",
            &["motor.rated_voltage (", "too large"],
        ),
        (
            "#pw1;motor.rated_voltage=6V~200pct",
            &["motor.rated_voltage ("],
        ),
        (
            "#pw1;axis.kind=arm;axis.load_mass=1e-300kg",
            &[
                "axis.load_mass (",
                "2e-16 kg or more",
                "lost in the figures",
            ],
        ),
    ] {
        let ran = run(&["report", from]);
        assert_eq!(ran.code, Some(0), "{from}: {}", ran.err);
        assert!(ran.out.starts_with("unknown: "), "{from}: {}", ran.out);
        assert!(ran.out.contains("\nrefused: "), "{from}: {}", ran.out);
        for part in parts {
            assert!(ran.err.contains(part), "{from}: {part}: {}", ran.err);
        }
        let json: Value = serde_json::from_str(&run(&["report", from, "--json"]).out).unwrap();
        let message = json["refused"][0]["message"].as_str().unwrap();
        assert!(ran.err.contains(message), "{message}: {}", ran.err);
        for strict in ["--strict", "--require=tight", "--require-given"] {
            let held = run(&["report", from, strict]);
            assert_eq!(held.code, Some(2), "{from} {strict}");
            assert_eq!(held.out, ran.out, "{from} {strict}");
        }
        // What is handed on to firmware and scripts needs them all.
        assert_eq!(run(&["header", from]).code, Some(2), "{from}");
    }
    // What the chosen kind of axis or another choice does not ask for is kept, and said to be unused.
    let link = "#pw1;axis.kind=arm;axis.screw_lead=-3mm;regulator.inductance=-1H";
    for words in [&["report", link, "--strict"][..], &["header", link]] {
        let ran = run(words);
        assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{words:?}");
    }
    let said = run(&["report", link]).out;
    for part in [
        "unused: Screw lead (axis.screw_lead): not used with axis type arm",
        "unused: Buck inductance (regulator.inductance): not used with regulator type linear",
    ] {
        assert!(said.contains(part), "{said}");
    }
    // Each refused input has its line.
    let ran = run(&["report", "#pw1;gears.ratio=0;motor.stall_current=x"]);
    assert_eq!(ran.err.lines().count(), 2, "{}", ran.err);
}

#[test]
fn one_value_is_printed_alone_in_the_unit_asked_for() {
    // 6 V over 0.85 A.
    for (words, printed) in [
        (&["motor.resistance"][..], "7.05882 Ω\n"),
        (&["motor.resistance", "--unit", "mOhm"], "7058.82353 mΩ\n"),
        (&["motor.resistance", "--unit=kOhm"], "0.00705882353 kΩ\n"),
        (&["gears.exact_ratio"], "1490.769\n"),
        (
            &["motor.stall_torque", "--unit", "kgf.cm"],
            "0.0326309188 kgf·cm\n",
        ),
        (&["axis.ambient_temperature", "--unit", "degC"], "22 °C\n"),
    ] {
        let from = demo("turntable");
        let mut line = vec!["value", words[0], &from];
        line.extend(&words[1..]);
        let ran = run(&line);
        assert_eq!(
            (ran.out.as_str(), ran.err.as_str()),
            (printed, ""),
            "{words:?}"
        );
        assert_eq!(ran.code, Some(0));
    }
    for (words, part) in [
        (&["value", "no.such", "#pw1"][..], "no.such: no such id"),
        (
            &["value", "motor.resistance", "#pw1", "--unit", "V"],
            "Ohm, mOhm",
        ),
        (
            &["value", "axis.travel_force", "#pw1"],
            "axis.travel_force: ",
        ),
        (
            &["value", "motor.resistance", "#pw1;motor.stall_current=0A"],
            "motor.stall_current (",
        ),
        (
            &["value", "axis.load_mass", "#pw1;axis.load_mass=3 V"],
            "axis.load_mass (",
        ),
    ] {
        let ran = run(words);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{words:?}");
        assert!(ran.err.contains(part), "{words:?}: {}", ran.err);
    }
}

/// A link with a blank before its unit, as people write one: nothing behind the blank is lost.
#[test]
fn a_blank_in_a_link_stands_in_its_value() {
    let mass = |link: &str| run(&["value", "axis.load_mass", link, "--unit", "g"]).out;
    assert_eq!(mass("#pw1;axis.load_mass=400 g"), "400 g\n");
    assert_eq!(mass("#pw1;axis.load_mass=400 g;gears.ratio=380"), "400 g\n");
    assert_eq!(mass("see #pw1;axis.load_mass=0.4 for the lid"), "400 g\n");
}

/// Nothing that a machine says in place of a number.
fn expect_sound(ran: &Ran, from: &str) {
    assert!(
        matches!(ran.code, Some(0 | 2)),
        "{from}: {:?} {}",
        ran.code,
        ran.err
    );
    assert!(!ran.err.contains("panicked"), "{from}: {}", ran.err);
    let readable = ran.code == Some(0);
    assert_eq!(readable, !ran.out.is_empty(), "{from}");
    // What is refused of a design that can be read has its line here and in the report.
    let refused = |line: &str| line.contains(" (") && line.contains("): ");
    let told = if readable {
        ran.err.lines().all(refused)
    } else {
        !ran.err.is_empty()
    };
    assert!(told, "{from}: {}", ran.err);
    // What a person wrote is quoted.
    let parts = ran
        .out
        .split('“')
        .map(|part| part.split_once('”').map_or(part, |(_, said)| said));
    let said: String = parts.collect();
    let bad = said
        .split(|letter: char| !letter.is_alphanumeric())
        .find(|word| ["nan", "inf", "infinity"].contains(&word.to_lowercase().as_str()));
    assert_eq!(bad, None, "{from}");
}

#[test]
fn hostile_files_are_refused_without_harm() {
    let folder = std::env::temp_dir().join(format!("pulsewright-hostile-{}", std::process::id()));
    fs::create_dir_all(&folder).unwrap();
    let nested = "[".repeat(200_000);
    let large = format!(
        "{{\"route_card\": 1, \"inputs\": {{\"card.note\": \"{}\"}}}}",
        "x".repeat(2 << 20)
    );
    let files: [(&str, &[u8]); 22] = [
        ("empty", b""),
        ("open", b"{"),
        ("null", b"null"),
        ("list", b"[]"),
        ("number", b"1"),
        ("nested", nested.as_bytes()),
        ("large", large.as_bytes()),
        ("bytes", &[0xff, 0xfe, 0x00, 0x01]),
        ("mark", b"\xef\xbb\xbf{\"route_card\": 1, \"inputs\": {}}"),
        ("no inputs", b"{\"route_card\": 1}"),
        ("inputs as list", b"{\"route_card\": 1, \"inputs\": []}"),
        ("newer", b"{\"route_card\": 2, \"inputs\": {}}"),
        ("negative", b"{\"route_card\": -1, \"inputs\": {}}"),
        ("huge number", b"{\"route_card\": 1, \"inputs\": {\"motor.rated_voltage\": 1e999}}"),
        ("large number", b"{\"route_card\": 1, \"inputs\": {\"motor.rated_voltage\": 1e300}}"),
        ("object", b"{\"route_card\": 1, \"inputs\": {\"motor.rated_voltage\": {\"a\": [1]}}}"),
        ("nothing", b"{\"route_card\": 1, \"inputs\": {\"motor.rated_voltage\": null}}"),
        ("zero byte", b"{\"route_card\": 1, \"inputs\": {\"motor.rated_voltage\": \"6\\u0000V\"}}"),
        ("twice", b"{\"route_card\": 1, \"inputs\": {\"gears.ratio\": 1, \"gears.ratio\": 2}}"),
        ("proto", b"{\"route_card\": 1, \"inputs\": {\"__proto__\": 1, \"constructor\": 2}}"),
        ("not ascii", "{\"route_card\": 1, \"inputs\": {\"motor.rated_voltage\": \"６ V\", \"gears.stages\": \"٣٥:١٢\"}}".as_bytes()),
        ("negated", "{\"route_card\": 1, \"inputs\": {\"motor.stall_torque\": \"−2 kgcm\"}}".as_bytes()),
    ];
    for (name, bytes) in files {
        let file = folder.join(name.replace(' ', "-"));
        fs::write(&file, bytes).unwrap();
        let from = file.display().to_string();
        expect_sound(&run(&["report", &from, "--json"]), name);
    }
    expect_sound(&run(&["report", &folder.display().to_string()]), "a folder");
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn hostile_links_are_refused_without_harm() {
    let long = format!("#pw1;gears.ratio=380;card.note={}", "long".repeat(20_000));
    let many = format!("#pw1{}", ";gears.ratio=380".repeat(400));
    for link in [
        "#pw1",
        "#pw1;",
        "#pw",
        "#pw1;=;;=5V;%",
        "#pw1;gears.ratio=%FF%FE",
        "#pw1;gears.ratio=%",
        "#pw1;gears.ratio=%4",
        "#pw1;motor.rated_voltage",
        "#pw1;motor.rated_voltage=NaN",
        "#pw1;motor.rated_voltage=inf",
        "#pw1;motor.stall_torque=1e-300N.m",
        "#pw1;motor.stall_torque=1e-320N.m;motor.stall_current=1e-320A",
        "#pw1;gears.stages=999:1,999:1,999:1,999:1,999:1,999:1",
        "#pw1;gears.ratio=1/99999999999999999999999999999999999999999",
        "#pw1;steps.wanted_per_turn=1e-300",
        "#pw1;steps.wanted_per_turn=0.000000000000000000000000000001",
        "#pw1;axis.load_mass=0kg;axis.radius=1e-300m",
        "#pw1;card.title=<script>alert(1)</script>",
        "#pw1;__proto__=1;constructor=2;a.b=3",
        "%23pw1%3Bgears.ratio%3D380",
        &long,
        &many,
    ] {
        for format in ["--json", "--markdown"] {
            let shown: String = link.chars().take(80).collect();
            expect_sound(&run(&["report", link, format]), &shown);
        }
    }
}

/// Every input alone, and all that can be together, at the ends of its range.
#[test]
fn inputs_at_the_ends_of_their_ranges_give_sound_reports() {
    use pulsewright_sheet::register;
    let mut ends = [String::from("#pw1"), String::from("#pw1")];
    let mut computed = 0;
    for input in register::inputs() {
        for (end, all) in [input.low, input.high].into_iter().zip(&mut ends) {
            let first = end.split('|').next().unwrap_or_default();
            let text = first
                .trim_start_matches(['>', '<'])
                .replace(' ', "")
                .replace('%', "pct");
            if text.is_empty() {
                continue;
            }
            let entry = format!(";{}={text}", input.id);
            let link = format!("#pw1{entry}");
            let ran = run(&["report", &link, "--json"]);
            expect_sound(&ran, &link);
            if ran.code == Some(0) {
                computed += 1;
                all.push_str(&entry);
            }
        }
    }
    assert!(computed > 150, "{computed}");
    for all in ends {
        let ran = run(&["report", &all, "--json"]);
        assert!(
            !ran.err.contains("panicked") && ran.code.is_some(),
            "{}",
            ran.err
        );
    }
}

/// A reader that closes early is no fault of the design.
#[test]
fn a_closed_pipe_is_no_error() {
    use std::process::Stdio;
    let mut child = Command::new(env!("CARGO_BIN_EXE_pulsewright"))
        .args(["report", &demo("turntable"), "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty());
}

/// The landing is simulated for every form of the report; the figures are held in the sheet's tests.
#[test]
fn reports_hold_the_simulated_landing() {
    let turntable = demo("turntable");
    let report = json(&turntable);
    let off = &report["quantities"]["loop.final_error"];
    assert!((off["value"].as_f64().expect("a number") - 0.385e-3).abs() < 1e-6);
    assert_eq!(off["unit"], "m");
    let settling = &report["absent"]["loop.settling_time"];
    assert_eq!(settling["code"], "impossible");
    let message = settling["message"].as_str().expect("words");
    assert!(message.contains("beside its target"), "{message}");
    let misses = report["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .find(|finding| finding["id"] == "final_error_large")
        .expect("a fault");
    assert_eq!(misses["severity"], "fault");
    assert!(
        (misses["numbers"]["gears.backlash_at_load"]
            .as_f64()
            .expect("a number")
            - 0.433e-3)
            .abs()
            < 1e-6
    );
    for form in [
        &["report", &turntable][..],
        &["report", &turntable, "--markdown"],
    ] {
        let text = run(form).out;
        assert!(text.contains("Final position error"), "{text}");
        assert!(text.contains("0.3845 mm") && !text.contains("being simulated"));
    }
    let value = run(&["value", "loop.final_error", &turntable, "--unit", "um"]);
    assert!(value.out.starts_with("384.5"), "{}", value.out);
    let plot = run(&["draw", "landing", &turntable]).out;
    assert!(plot.contains("stops 0.385 mm off"));
}

/// The plain report begins with its verdict; every check that fails is named before the first figure, and so is each
/// finding, in one line.
#[test]
fn what_fails_stands_before_the_figures() {
    let link = "#pw1;axis.kind=arm;axis.load_mass=3kg;axis.radius=200mm;wiring.logic_high=12V;axis.home=none;axis.position_tolerance=2deg";
    let json: Value = serde_json::from_str(&run(&["report", link, "--json"]).out).expect("JSON");
    let plain = run(&["report", link]).out;
    let (head, _) = plain.split_once("\nAxis\n").expect("the first station");
    assert!(head.starts_with("fails: "), "{head}");
    let mut failing = 0;
    for check in json["checks"].as_array().expect("checks") {
        if check["status"] == "fails" {
            let label = check["label"].as_str().expect("a label");
            assert!(head.contains(label), "{label} is not in {head}");
            // What is wrong stands behind a colon: in a sentence.
            let behind = format!("fails: {label}: ");
            let said = head.lines().find_map(|line| line.strip_prefix(&behind));
            let begins = |said: &str| said.starts_with(|c: char| c.is_ascii_uppercase());
            assert!(!said.is_some_and(begins), "{said:?}");
            failing += 1;
        }
    }
    assert!(failing > 3, "{failing}");
    for finding in json["findings"].as_array().expect("findings") {
        let word = finding["severity"].as_str().expect("a severity");
        let message = finding["message"].as_str().expect("a message");
        let line = format!("{word}: {message}");
        assert!(head.lines().any(|said| said == line), "{line}");
    }
}

/// A lid that its motor cannot lift: every way out leads with that, with what else fails and with what can hurt.
#[test]
fn every_way_out_carries_the_verdict() {
    let sentence = "It does not do the job yet: the motor stalls at 265 mN·m on this supply, the move needs \
                    486 mN·m (55 %); look for 1.88 N·m (19.2 kgf·cm) or more at 16 to 31 r/min.";
    let warning = "warning: When the power goes, this load can fall";
    let also = "Gearbox continuous torque";
    let ways: [(&[&str], bool); 8] = [
        (&["report", LID], true),
        (&["report", LID, "--markdown"], true),
        (&["report", LID, "--json"], true),
        (&["header", LID], true),
        (&["settings", LID], true),
        (&["settings", LID, "--json"], true),
        (&["results", LID], true),
        (&["draw", "torque_speed", LID], false),
    ];
    for (words, warns) in ways {
        let ran = run(words);
        assert_eq!(ran.code, Some(0), "{words:?}: {}", ran.err);
        // A drawing breaks its lines.
        let told = ran.out.replace("</text>", " ").replace('\n', " ");
        let at = told.find(sentence);
        assert!(at.is_some(), "{words:?}: {}", ran.out);
        assert!(told.contains(also), "{words:?}");
        if warns {
            let warning = warning.trim_start_matches(if words.contains(&"--json") {
                "warning: "
            } else {
                ""
            });
            assert!(told.contains(warning), "{words:?}");
        }
    }
    let header = run(&["header", LID]).out;
    assert!(header.contains("#define PW_VERDICT 2\n"));
    let first = run(&["report", LID]).out;
    assert!(
        first.starts_with(&["fails: ", sentence].concat()),
        "{first}"
    );
    // Of a check that fails by a fault, why.
    let quick = run(&["report", &[LID, ";loop.bandwidth=4Hz"].concat()]).out;
    let why = "fails: Phase margin: phase margin is -89.5°";
    assert!(quick.contains(why), "{quick}");
    // What is not asked of this design is no line of it.
    assert!(
        !first.contains("enter one figure of the stepper"),
        "{first}"
    );
    assert!(!first.contains("? ("), "{first}");
}

const LID: &str = "#pw1;axis.load_mass=0.4kg;axis.radius=120mm;move.distance=75deg;move.time=1.5s;move.dwell=10min;motor.rated_voltage=6V;motor.no_load_speed=100r/min;motor.stall_torque=3.2kgf.cm;motor.stall_current=1.6A;gears.ratio=150:1;supply.voltage=6V";
