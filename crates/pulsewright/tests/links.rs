//! Links that earlier versions wrote, and links as people hand them on: all must open for ever, and mean the same.
//!
//! `tests/links/vN/NAME.link` is a link as version N wrote or met it; `NAME.json` beside it says what it means: each
//! entry as it is read, what is refused, unknown or repeated, and results that rest on its entries alone, so that no
//! better assumed figure can change them.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use pulsewright_sheet::design::State;
use pulsewright_sheet::design::link;
use pulsewright_sheet::output::report;
use pulsewright_sheet::register;
use serde_json::{Map, Value, json};
use std::fs;
use std::path::{Path, PathBuf};

/// Results that follow from definitions and geometry: no better model can make them other numbers.
const LASTING: [&str; 14] = [
    "axis.travel_per_turn",
    "axis.holding_torque",
    "axis.load_torque",
    "encoder.angle_per_count",
    "encoder.counts_per_motor_turn",
    "encoder.counts_per_output_turn",
    "encoder.electrical_spacing",
    "gears.exact_ratio",
    "gears.nominal_error_per_turn",
    "motor.resistance",
    "motor.shaft_speed",
    "motor.torque_constant",
    "regulator.load_current",
    "steps.per_turn",
];

/// The links kept so far, by folder and name; one more is added here, none ever goes.
const KEPT: [&str; 24] = [
    "v0/coded_numbers",
    "v0/empty",
    "v0/encoded_whole",
    "v0/example_camera_slider",
    "v0/example_focus_stage",
    "v0/example_turntable",
    "v0/example_vent_lever",
    "v0/fractions",
    "v0/imperial_units",
    "v0/inside_text",
    "v0/issue_numbers",
    "v0/left_out",
    "v0/long_note",
    "v0/mangled_separators",
    "v0/not_yet_used",
    "v0/one_sensor",
    "v0/packed_turntable",
    "v0/refused_values",
    "v0/repeated_ids",
    "v0/tolerances",
    "v0/tooth_counts",
    "v0/torque_given",
    "v0/unknown_ids",
    "v0/words_and_signs",
];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/links")
}

/// Every link that was ever kept, with the file that says what it means.
fn kept() -> Vec<(PathBuf, PathBuf)> {
    let mut all: Vec<(PathBuf, PathBuf)> = fs::read_dir(folder())
        .unwrap()
        .flatten()
        .filter(|version| version.path().is_dir())
        .flat_map(|version| fs::read_dir(version.path()).unwrap().flatten())
        .map(|file| file.path())
        .filter(|path| path.extension().is_some_and(|kind| kind == "link"))
        .map(|path| (path.with_extension("json"), path))
        .map(|(meaning, link)| (link, meaning))
        .collect();
    all.sort();
    all
}

/// No link is lost, and none is kept that this list does not know.
#[test]
fn every_kept_link_is_there() {
    let all: Vec<String> = kept()
        .iter()
        .map(|(link, _)| link.strip_prefix(folder()).unwrap().with_extension(""))
        .map(|name| name.to_str().unwrap().replace('\\', "/"))
        .collect();
    assert_eq!(all, KEPT);
}

/// What a link means to this version.
fn meaning(text: &str) -> Value {
    let read = link::read(text).expect("a link");
    let mut entries = Map::new();
    for (index, input) in register::inputs().iter().enumerate() {
        if let State::Given(entry) = read.design.state(index) {
            let _ = entries.insert(input.id.into(), entry.text.clone().into());
        }
    }
    let pairs = |list: &[(String, String)]| -> Value { json!(list) };
    let whole = report::json(&read.design);
    let mut results = Map::new();
    for id in LASTING {
        let found = &whole["quantities"][id];
        if found["assumed"].as_array().is_some_and(Vec::is_empty) {
            let mut kept = json!({ "value": found["value"], "unit": found["unit"] });
            if !found["exact"].is_null() {
                kept["exact"] = found["exact"].clone();
            }
            let _ = results.insert(id.into(), kept);
        }
    }
    json!({
        "entries": entries,
        "refused": read.design.refused().iter().map(|(index, _)| register::id(*index)).collect::<Vec<_>>(),
        "unknown": pairs(&read.design.unknown),
        "repeated": pairs(&read.design.repeated),
        "cut": read.trouble.is_some(),
        "results": results,
    })
}

#[test]
fn every_link_opens_for_ever_and_means_the_same() {
    for (link, file) in kept() {
        let name = link.display();
        let now = meaning(fs::read_to_string(&link).unwrap().trim_end_matches('\n'));
        let kept = fs::read_to_string(&file).unwrap_or_else(|_| {
            panic!("nothing says what {name} means; where this is right, keep it as JSON beside it:\n{now:#}")
        });
        let then: Value = serde_json::from_str(&kept).expect("JSON");
        for part in ["entries", "refused", "unknown", "repeated", "cut"] {
            assert_eq!(now[part], then[part], "{name}: {part}");
        }
        for (id, then) in then["results"].as_object().unwrap() {
            let now = &now["results"][id];
            assert_eq!(now["unit"], then["unit"], "{name}: {id}");
            assert_eq!(now["exact"], then["exact"], "{name}: {id}");
            let (now, then) = (
                now["value"].as_f64().expect(id),
                then["value"].as_f64().expect(id),
            );
            assert!(
                (now - then).abs() <= 1e-9 * then.abs(),
                "{name}: {id}: {now}, it was {then}"
            );
        }
    }
}

/// Saving again loses nothing: the link that is written from what was read means what the first one meant.
#[test]
fn saving_a_link_again_loses_nothing() {
    for (file, _) in kept() {
        let text = fs::read_to_string(&file).unwrap();
        let first = link::read(&text).expect("a link").design;
        let again = link::read(&link::write(&first)).expect("a link").design;
        assert_eq!(again, first, "{}", file.display());
        assert_eq!(
            link::write(&again),
            link::write(&first),
            "{}",
            file.display()
        );
    }
}

/// The examples that this version ships are kept as it writes them.
#[test]
fn the_examples_are_kept_as_they_are_written() {
    for example in pulsewright_sheet::guide::examples::EXAMPLES {
        let text = example.link.trim();
        assert_eq!(link::write(&link::read(text).expect("a link").design), text);
        let found = kept()
            .iter()
            .any(|(file, _)| fs::read_to_string(file).unwrap().trim() == text);
        assert!(
            found,
            "{} is not in tests/links; keep it there before a release",
            example.title
        );
    }
}
