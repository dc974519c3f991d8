//! What is handed on: the C header, the settings as JSON and Markdown, results as CSV, the schema.

use crate::common::{demo, demos, entered, input, with};
use proptest::prelude::*;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::link;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::guide::examples::EXAMPLES;
use pulsewright_sheet::output::c_header;
use pulsewright_sheet::output::results_table;
use pulsewright_sheet::output::settings;
use pulsewright_sheet::register;
use pulsewright_sheet::text::csv;
use pulsewright_sheet::text::number;
use serde_json::Value;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::process::Command;

fn settings_json(c: &Eval<'_>) -> Value {
    serde_json::from_str(&settings::json(c)).expect("JSON")
}

/// The system's C compiler, where there is one; some systems have none, and the header is tested
/// without it then.
fn compiler() -> Option<&'static str> {
    let found = ["cc", "gcc", "clang"]
        .into_iter()
        .find(|name| Command::new(name).arg("--version").output().is_ok());
    if found.is_none() {
        println!("no C compiler here: the header was read and not compiled");
    }
    found
}

/// Compiles the headers with a program that prints their numbers, each header twice in one file,
/// and runs it: name and number a line.
fn compiled(compiler: &str, folder: &Path, texts: &[String]) -> Vec<HashMap<String, String>> {
    std::fs::create_dir_all(folder).unwrap();
    let mut all = Vec::new();
    for (number, text) in texts.iter().enumerate() {
        let header = folder.join(format!("settings_{number}.h"));
        std::fs::write(&header, text).unwrap();
        let include = format!("#include \"settings_{number}.h\"\n");
        let mut program = format!("#include <stdio.h>\n{include}{include}int main(void) {{\n");
        for setting in &settings::SETTINGS {
            let name = setting.name;
            program.push_str(&format!(
                "#ifdef {name}\nprintf(\"{name} %lld\\n\", (long long)-{name} * -1);\n#endif\n"
            ));
        }
        program.push_str("puts(\"PW_MADE_BY \" PW_MADE_BY);\nreturn 0;\n}\n");
        let source = folder.join(format!("print_{number}.c"));
        let binary = folder.join(format!("print_{number}"));
        std::fs::write(&source, program).unwrap();
        let output = Command::new(compiler)
            .args(["-std=c99", "-pedantic", "-Wall", "-Wextra", "-Werror", "-o"])
            .arg(&binary)
            .arg(&source)
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.success(), "{said}\n{text}");
        let printed = String::from_utf8(Command::new(&binary).output().unwrap().stdout).unwrap();
        all.push(
            printed
                .lines()
                .filter_map(|line| line.split_once(' '))
                .map(|(name, value)| (name.into(), value.into()))
                .collect(),
        );
    }
    all
}

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(name)
}

/// Designs that try the header: every example, what a person can write into its title, numbers at
/// their ends.
pub fn hard() -> Vec<Design> {
    let mut designs: Vec<Design> = demos().map(|(_, design)| design).collect();
    for title in [
        "*/ #error no /*",
        "/*/*/ **//** ??/ \\",
        "two\nlines\r\n#error \u{2028}three",
        "\u{202e}turned\u{2066}",
        "\"quoted\" \\ ümläut 漢字",
        "*",
        "/",
    ] {
        designs.push(with(&demo("turntable"), &[("card.title", title)]));
    }
    designs.push(Design::default());
    designs.push(with(&demo("turntable"), &[("loop.integral_time", "none")]));
    designs.push(with(
        &demo("turntable"),
        &[
            ("loop.pwm_resolution", "65535"),
            ("loop.sample_time", "333.33 us"),
        ],
    ));
    designs.push(with(
        &demo("turntable"),
        &[
            ("gears.stages", "997:101,991:103,983:107,977:109"),
            ("loop.error_limit", "77"),
            ("loop.stall_timeout", "1.5 s"),
            ("loop.voltage_limit", "0.85"),
            ("loop.current_limit", "0.4 A"),
        ],
    ));
    designs.push(with(&demo("turntable"), &[("bridge.limit_kind", "none")]));
    // A text that is refused travels along.
    let mut refused = demo("turntable");
    refused.enter(
        input("gears.stages"),
        "9973:10",
        number::DecimalMark::Stored,
    );
    assert_eq!(refused.refused().len(), 1);
    designs.push(refused);
    designs
}

#[test]
fn the_header_compiles_and_says_the_same_numbers() {
    let designs = hard();
    let texts: Vec<String> = designs
        .iter()
        .map(|design| c_header::write(&Eval::new(design)))
        .collect();
    for text in &texts {
        // Everything stands in comments, definitions and the guard.
        let mut rest = text.as_str();
        let mut before_limits = String::new();
        while let Some((before, after)) = rest.split_once("/*") {
            before_limits.push_str(before);
            let (comment, after) = after.split_once("*/").expect("a comment that ends");
            assert!(!comment.contains("/*"), "{text}");
            rest = after;
        }
        before_limits.push_str(rest);
        for line in before_limits.lines().filter(|line| !line.trim().is_empty()) {
            let known = ["#ifndef PULSEWRIGHT_", "#define P", "#endif"];
            assert!(known.iter().any(|k| line.starts_with(k)), "{line}");
        }
    }
    let Some(compiler) = compiler() else { return };
    let printed = compiled(compiler, &folder("header"), &texts);
    for (design, printed) in designs.iter().zip(&printed) {
        let c = Eval::new(design);
        let json = settings_json(&c);
        assert_eq!(
            printed["PW_MADE_BY"],
            pulsewright_sheet::output::report::made_by()
        );
        for setting in &settings::SETTINGS {
            let value = &json["settings"][setting.name]["value"];
            let said = printed.get(setting.name).cloned();
            assert_eq!(
                said,
                value.as_i64().map(|v| v.to_string()),
                "{}",
                setting.name
            );
            // What is not there is said to be left out, with the reason.
            let reason = json["left_out"][setting.name].as_str();
            assert_eq!(value.is_null(), reason.is_some_and(|r| !r.is_empty()));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever stands in the title, the compiler takes the header.
    #[test]
    fn titles_stay_in_their_comment(title in "\\PC{0,30}|[*/?\\\\\"'\n\r\t<>!#= -]{0,30}") {
        let Some(compiler) = compiler() else { return Ok(()) };
        let mut design = demo("turntable");
        design.enter(input("card.title"), &title, number::DecimalMark::Stored);
        let text = c_header::write(&Eval::new(&design));
        let printed = compiled(compiler, &folder("titles"), std::slice::from_ref(&text));
        let left_out = text.matches("is not defined:").count();
        prop_assert_eq!(printed[0].len() + left_out, settings::SETTINGS.len() + 1);
    }
}

/// The numbers of the turntable's header, worked out by hand from its design: arithmetic, no source.
#[test]
fn settings_of_the_turntable() {
    let design = demo("turntable");
    let c = Eval::new(&design);
    let json = settings_json(&c);
    let value = |name: &str| json["settings"][name]["value"].as_i64().unwrap();
    // Stages 36:12, 34:13, 38:12, 60:1 make 3·(34/13)·(19/6)·60 = 19380/13; four edges of a magnet
    // with the default number of pole pairs.
    let pairs = c.get(register::encoder::POLE_PAIRS).unwrap();
    let counts = 19380 * 4 * i64::from(pairs);
    assert_eq!(value("PW_COUNTS_PER_TURN_NUM"), counts);
    assert_eq!(value("PW_COUNTS_PER_TURN_DEN"), 13);
    // 14400 steps a turn: counts/(13·14400) in lowest terms, by Euclid's algorithm.
    let (mut a, mut b) = (counts, 13 * 14400);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    assert_eq!(value("PW_GEARING_NUMERATOR"), counts / a);
    assert_eq!(value("PW_GEARING_DENOMINATOR"), 13 * 14400 / a);
    assert_eq!(value("PW_SAMPLE_US"), 1000);
    assert_eq!(value("PW_PWM_FULL_SCALE"), 1000);
    assert_eq!(value("PW_PWM_LIMIT"), 1000);
    assert_eq!(value("PW_DEADBAND_COUNTS"), 1);
    let gain = c
        .get(register::position_loop::PROPORTIONAL_STEPS)
        .unwrap()
        .value;
    assert_eq!(value("PW_KP_Q16"), (gain * 65536.0).round() as i64);
    // What is given stands before what is computed.
    let design = with(
        &demo("turntable"),
        &[("loop.error_limit", "77"), ("loop.stall_timeout", "1.5 s")],
    );
    let json = settings_json(&Eval::new(&design));
    assert_eq!(json["settings"]["PW_ERROR_LIMIT_COUNTS"]["value"], 77);
    assert_eq!(json["settings"]["PW_STALL_TIMEOUT_MS"]["value"], 1500);
}

#[test]
fn a_bridge_that_does_not_chop_sets_no_current_limit() {
    let design = with(&demo("turntable"), &[("bridge.limit_kind", "none")]);
    let json = settings_json(&Eval::new(&design));
    assert!(json["settings"]["PW_CURRENT_LIMIT_MA"].is_null());
    assert!(!c_header::write(&Eval::new(&design)).contains("#define PW_CURRENT_LIMIT_MA"));
    let design = with(
        &demo("turntable"),
        &[
            ("bridge.limit_kind", "none"),
            ("loop.current_limit", "0.4 A"),
        ],
    );
    let json = settings_json(&Eval::new(&design));
    assert_eq!(json["settings"]["PW_CURRENT_LIMIT_MA"]["value"], 400);
}

/// The exact ratio of the turntable's stages, 3·(34/13)·(19/6)·60: arithmetic, no source.
#[test]
fn exact_figures_stand_in_the_table_as_fractions() {
    let design = demo("turntable");
    let table = results_table::results(&Eval::new(&design));
    let rows = csv::records(&table, ',').unwrap();
    let exact = |id: &str| {
        let row = rows.iter().find(|(_, row)| row[0] == id).expect(id);
        row.1[7].clone()
    };
    assert_eq!(exact("gears.exact_ratio"), "19380/13");
    assert_eq!(exact("motor.torque_constant"), "");
}

/// The law that the header tells names what the header defines, and holds for the feed-forward too: it asks for the
/// voltage of the commanded speed, and for what the derivative takes away again (derivation: the terms of the law that
/// stand still where count follows target exactly).
#[test]
fn the_header_tells_how_its_numbers_are_used() {
    let design = with(
        &demo("turntable"),
        &[("loop.feed_forward", "1"), ("loop.on_target", "brake")],
    );
    let c = Eval::new(&design);
    let text = c_header::write(&c);
    let (comment, definitions) = text.split_once("#ifndef").unwrap();
    for part in ["64 bits", "Direction:", "the bridge brakes until"] {
        assert!(comment.contains(part), "{part}: {comment}");
    }
    assert!(!c_header::write(&Eval::new(&demo("turntable"))).contains("the bridge brakes until"));
    let words = comment.split(|letter: char| !letter.is_ascii_alphanumeric() && letter != '_');
    let named: Vec<&str> = words.filter(|word| word.starts_with("PW_")).collect();
    assert!(named.len() >= 9, "{named:?}");
    for name in named {
        assert!(definitions.contains(&format!("#define {name} ")), "{name}");
    }

    let json = settings_json(&c);
    let value = |name: &str| json["settings"][name]["value"].as_i64().unwrap() as f64;
    let back = c.get(register::motor::BACK_EMF_CONSTANT).unwrap().value;
    let volts = c.get(register::supply::VOLTAGE).unwrap().value;
    let counts = c.raw(register::find("encoder.counts_per_motor_turn").unwrap());
    // One count a sample of 1 ms, as a speed in rad/s.
    let speed = core::f64::consts::TAU / counts.unwrap() / 1e-3;
    let steps = back * speed / volts * 1000.0 * 65536.0;
    let expected = steps + value("PW_KD_Q16");
    assert!((value("PW_KF_Q16") - expected).abs() <= 1.0, "{expected}");
    let off = settings_json(&Eval::new(&demo("turntable")));
    assert_eq!(off["settings"]["PW_KF_Q16"]["value"], 0);
}

/// The link that a header or a settings file carries brings the same design back.
#[test]
fn the_design_comes_back_from_every_form() {
    for design in hard() {
        let c = Eval::new(&design);
        let json = settings_json(&c);
        for text in [
            c_header::write(&c),
            settings::markdown(&c),
            json["link"].as_str().unwrap().into(),
        ] {
            assert_eq!(link::read(&text).unwrap().design, design, "{text}");
        }
    }
}

/// A jam behind a gearbox that bears 0.2 N·m: with nothing that limits the current the duty must, I·R/V
/// (arithmetic, no source).
#[test]
fn the_duty_is_limited_by_the_gears_where_no_current_is_sensed() {
    let strong = [
        ("motor.stall_torque", "12 kgf.cm"),
        ("motor.stall_current", "1.6 A"),
        ("supply.voltage", "6 V"),
        ("gears.peak_torque", "0.2 N.m"),
        ("bridge.limit_kind", "none"),
    ];
    let limit = |entries: &[(&str, &str)]| {
        let design = entered(entries);
        let c = Eval::new(&design);
        let figure = |id: &str| c.raw(register::find(id).unwrap()).unwrap();
        let duty = figure("gears.safe_current") * figure("drive.total_resistance")
            / figure("drive.highest_voltage");
        let set = settings_json(&c)["settings"]["PW_PWM_LIMIT"]["value"].as_f64();
        (set.unwrap(), duty * figure("loop.pwm_resolution"))
    };
    let (set, duty) = limit(&strong);
    assert!(duty > 100.0 && duty < 900.0, "{duty}");
    assert!(set <= duty + 1e-6 && set > duty - 1.0, "{set} {duty}");
    // Where the loop limits the current it need not.
    let mut sensed = strong.to_vec();
    sensed.push(("loop.current_limit", "0.4 A"));
    assert_eq!(limit(&sensed).0, 1000.0);
}

#[test]
fn markdown_holds_every_setting_and_no_markup_of_others() {
    let design = with(
        &demo("turntable"),
        &[("card.title", "<img src=x> [a](javascript:b) | `c`")],
    );
    let text = settings::markdown(&Eval::new(&design));
    for setting in &settings::SETTINGS {
        assert!(
            text.contains(&format!("`{}`", setting.name)),
            "{}",
            setting.name
        );
    }
    let heading = text.lines().next().unwrap();
    // CommonMark, section 2.4: a backslash before ASCII punctuation makes it a plain character.
    let expected = r"# Settings: \<img src\=x\> \[a\]\(javascript\:b\) \| \`c\`";
    assert_eq!(heading, expected);
    for line in text.lines().filter(|line| line.starts_with("| ")) {
        assert!(matches!(line.matches(" |").count(), 2 | 5), "{line}");
    }
}

#[test]
fn results_as_a_table_are_the_report() {
    for (_, design) in demos() {
        let c = Eval::new(&design).simulating();
        let report = pulsewright_sheet::output::report::json(&design);
        let table = csv::records(&results_table::results(&c), ',').unwrap();
        let heading = [
            "id", "label", "value", "unit", "display", "basis", "assumed", "exact",
        ];
        assert_eq!(table[0].1, heading);
        let mut seen = 0;
        for (line, row) in &table[1..] {
            assert_eq!(row.len(), heading.len(), "line {line}");
            if row[5] != "computed" {
                continue;
            }
            seen += 1;
            let said = &report["quantities"][&row[0]];
            let value = said["value"].as_f64().unwrap();
            let printed: f64 = row[2].parse().unwrap();
            assert!((printed - value).abs() <= 1e-14 * value.abs(), "{row:?}");
            assert_eq!(said["unit"], row[3].as_str());
            assert_eq!(said["exact"].as_str().unwrap_or_default(), row[7]);
        }
        assert_eq!(seen, report["quantities"].as_object().unwrap().len());
        assert_eq!(report["report"], 1);
    }
}

/// What the page offers is what the files hold.
#[test]
fn examples_as_links_are_the_files() {
    let links = EXAMPLES.map(|example| link::read(example.link).unwrap().design);
    let files: Vec<Design> = demos().map(|(_, design)| design).collect();
    assert_eq!(links.as_slice(), files);
}
