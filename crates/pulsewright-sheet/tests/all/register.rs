//! The register holds together: every entry is complete, reads itself and computes.

use std::collections::HashSet;

use crate::common::{code, demo, demos_and_kinds, with};
use pulsewright_sheet::design::Design;
use pulsewright_sheet::entry;
use pulsewright_sheet::eval::{Code, Eval};
use pulsewright_sheet::formula::{self, Formula};
use pulsewright_sheet::num::Marks;
use pulsewright_sheet::register::{self, COUNT, Form, INPUT_COUNT, Preset};

#[test]
fn ids_are_unique_and_complete() {
    let mut seen = HashSet::new();
    for input in register::inputs() {
        assert!(seen.insert(input.id), "{} twice", input.id);
        assert!(
            !input.label.is_empty() && !input.symbol.is_empty(),
            "{}",
            input.id
        );
        assert!(!input.help.is_empty(), "{} has no help", input.id);
        assert!((1..=3).contains(&input.layer), "{}", input.id);
    }
    let mut seen = HashSet::new();
    for result in register::results() {
        assert!(seen.insert(result.id), "{} twice", result.id);
        assert!(
            !result.label.is_empty() && !result.symbol.is_empty(),
            "{}",
            result.id
        );
        assert!(!result.source.is_empty(), "{} has no source", result.id);
        assert!(!result.meaning.is_empty(), "{} says nothing", result.id);
    }
}

#[test]
fn every_id_has_a_station() {
    for index in 0..COUNT {
        let id = register::id(index);
        assert!(
            id.starts_with("card.") || register::station(index).is_some(),
            "{id}"
        );
    }
}

#[test]
fn presets_lie_within_their_own_limits() {
    for input in register::inputs() {
        let texts: Vec<&str> = match input.preset {
            Preset::Fixed(text) => vec![text],
            Preset::ByKind(list) => list.iter().map(|(_, text)| *text).collect(),
            Preset::ByClass(texts) => texts.to_vec(),
            Preset::LeftOut | Preset::From(..) => Vec::new(),
        };
        for text in texts {
            if let Err(refusal) = entry::read(input, text, Marks::Stored) {
                panic!("{}: {text}: {}", input.id, refusal.message());
            }
        }
        if let register::Sure::Within(text) = input.sure
            && !matches!(input.preset, Preset::LeftOut | Preset::From(..))
        {
            let text = format!(
                "{} ~ {text}",
                match input.preset {
                    Preset::Fixed(t) => t,
                    Preset::ByKind(list) => list[0].1,
                    Preset::ByClass(t) => t[0],
                    _ => "",
                }
            );
            if let Err(refusal) = entry::read(input, &text, Marks::Stored) {
                panic!("{}: {text}: {}", input.id, refusal.message());
            }
        }
    }
}

#[test]
fn limits_are_read() {
    for input in register::inputs() {
        if matches!(input.form, Form::Choice(_) | Form::Text | Form::Stages) {
            continue;
        }
        assert!(!entry::range_words(input).is_empty(), "{}", input.id);
        // Far outside on either side is refused, with a reason.
        for text in ["-1e30", "1e30"] {
            let unit = match input.form {
                Form::Quantity(measure) => measure.usual().first().copied().unwrap_or(""),
                Form::Travel => "deg",
                _ => "",
            };
            let typed = format!("{text} {unit}");
            let refusal = entry::read(input, &typed, Marks::Typed).expect_err(input.id);
            assert!(refusal.message().contains(';') || !refusal.message().is_empty());
        }
    }
}

#[test]
fn formulas_are_read_and_name_what_is_used() {
    for result in register::results() {
        assert!(
            formula::read(result.formula).is_some(),
            "{}: {}",
            result.id,
            result.formula
        );
    }
}

#[test]
fn every_result_is_computed_or_says_why_not() {
    for (name, design) in demos_and_kinds() {
        let c = Eval::new(&design);
        for index in INPUT_COUNT..COUNT {
            let answer = c.answer(index);
            match answer.found {
                Ok(value) => assert!(value.is_finite(), "{name}: {}", register::id(index)),
                Err(absent) => {
                    let message = absent.message();
                    assert!(
                        !message.contains("depends on itself"),
                        "{name}: {}",
                        register::id(index)
                    );
                    assert!(
                        message.len() > 10,
                        "{name}: {}: {message}",
                        register::id(index)
                    );
                }
            }
        }
    }
}

/// Every working, with the numbers put in, gives the result beside it.
#[test]
fn workings_evaluate_to_their_results() {
    let mut held = 0;
    for (name, design) in demos_and_kinds() {
        let c = Eval::new(&design);
        for index in INPUT_COUNT..COUNT {
            let answer = c.answer(index);
            let Ok(value) = answer.found else { continue };
            let id = register::id(index);
            let read = formula::read(answer.working)
                .unwrap_or_else(|| panic!("{name}: {id}: no formula in {}", answer.working));
            let of = |i: usize| {
                let a = c.answer(i);
                a.found.ok().map(|v| a.measure.reported(v))
            };
            let value = answer.measure.reported(value);
            let close =
                |a: f64, b: f64, by: f64| (a - b).abs() <= by * a.abs().max(b.abs()).max(1e-12);
            match read {
                Formula::Words(_) => {}
                Formula::Expression(node) => {
                    let worked = node.value(&of).unwrap_or_else(|| {
                        panic!("{name}: {id}: a part of {} is missing", answer.working)
                    });
                    assert!(
                        close(worked, value, 1e-9),
                        "{name}: {id}: {worked} is not {value}: {}",
                        answer.working
                    );
                    held += 1;
                }
                Formula::Equation(left, right) => {
                    let (a, b) = (left.value(&of), right.value(&of));
                    let (Some(a), Some(b)) = (a, b) else {
                        panic!("{name}: {id}: a part of {} is missing", answer.working)
                    };
                    assert!(
                        close(a, b, 1e-6),
                        "{name}: {id}: {a} is not {b}: {}",
                        answer.working
                    );
                    held += 1;
                }
            }
        }
    }
    assert!(
        held > 300,
        "only {held} workings were held against their results"
    );
}

#[test]
fn unlimited_is_not_missing() {
    let geared = demo("turntable");
    assert_eq!(code(&Eval::new(&geared), "gears.back_drive_torque"), None);
    let one_stage = with(&geared, &[("gears.stage_count", "1")]);
    let found = code(&Eval::new(&one_stage), "gears.back_drive_torque");
    assert_eq!(found, Some(Code::Unlimited));
}

/// Designs that between them ask everything: every kind, and every choice that opens another path.
fn probing() -> Vec<Design> {
    let turns: [&[(&str, &str)]; 12] = [
        &[],
        &[
            ("motor.figures_at", "motor"),
            ("gears.stages", "40:10,40:10"),
        ],
        &[
            ("gears.stage_efficiencies", "0.9,0.9"),
            ("axis.reduction", "3"),
        ],
        &[
            ("regulator.kind", "buck"),
            ("supply.capacity", "2 A.h"),
            ("supply.voltage", "12 V"),
        ],
        &[
            ("supply.highest_voltage", "8 V"),
            ("supply.lowest_voltage", "5 V"),
            ("wiring.shared", "own"),
        ],
        &[
            ("stepper.holding_torque", "0.4 N.m"),
            ("move.direction", "both"),
            ("move.dwell_current", "settled"),
        ],
        &[
            ("encoder.sensors", "1"),
            ("move.reverses_at_speed", "yes"),
            ("bridge.limit_kind", "trips"),
        ],
        &[
            ("loop.integral_time", "none"),
            ("move.profile", "smooth"),
            ("move.approach", "centred"),
        ],
        &[
            ("wiring.area", "0.2 mm2"),
            ("motor.terminal_resistance", "5 Ohm"),
            ("gears.stage_count", "3"),
        ],
        &[
            ("gears.efficiency", "0.6"),
            ("gears.stiffness", "9 N.m/rad"),
            ("steps.wanted_per_turn", "1600"),
        ],
        &[
            ("loop.current_limit", "0.8 A"),
            ("board.local_ambient", "40 degC"),
            ("motor.bracket_limit", "55 degC"),
        ],
        &[
            ("axis.home", "switch"),
            ("regulator.reset_voltage", "2.9 V"),
            ("gears.nominal_ratio", "99"),
            ("bridge.decay", "fast"),
        ],
    ];
    let mut all = Vec::new();
    for kind in register::axis::Kind::WORDS {
        for turn in turns {
            let mut design = Design::default();
            assert!(design.enter_id("axis.kind", kind));
            for (id, text) in turn {
                assert!(design.enter_id(id, text));
            }
            all.push(design);
        }
    }
    all
}

/// Every input changes a result, a check or a finding.
#[test]
fn nothing_is_asked_in_vain() {
    let mut used = HashSet::new();
    for design in probing() {
        let c = Eval::new(&design).simulating();
        for index in INPUT_COUNT..COUNT {
            used.extend(c.answer(index).rests_on.iter());
        }
        for held in pulsewright_sheet::check::all(&c) {
            used.extend(held.rests_on.iter());
        }
        for finding in pulsewright_sheet::finding::table() {
            used.extend(c.apart(finding.when).1.iter());
        }
    }
    let unused: Vec<&str> = (0..INPUT_COUNT)
        .filter(|i| !used.contains(i) && !register::id(*i).starts_with("card."))
        .map(register::id)
        .collect();
    assert!(unused.is_empty(), "{unused:?}");
}

/// A torque given has no travel: a sentence that asks for one says so once, where it can be read.
#[test]
fn what_is_not_there_is_a_question_in_a_sentence() {
    let mut design = Design::default();
    assert!(design.enter_id("axis.kind", "torque"));
    let c = Eval::new(&design);
    let said = |template: &str| pulsewright_sheet::finding::fill(template, &c);
    let why = "a torque given has no travel";
    let twice = "One count is {encoder.arc_per_count}, two are twice {encoder.arc_per_count}.";
    assert_eq!(
        said(twice),
        format!("One count is ? ({why}), two are twice ?.")
    );
    let alone = "One count: {encoder.arc_per_count}.";
    assert_eq!(said(alone), format!("One count: {why}."));
}
