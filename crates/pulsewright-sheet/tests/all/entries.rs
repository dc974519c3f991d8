//! What an entry does that cannot be: it refuses itself, and says so; what nobody asks for changes nothing; and every size
//! that is taken leads to numbers. Laws; nothing here is a number of a source.

use crate::common::{demos_and_kinds, entered, input};
use proptest::prelude::*;
use pulsewright_sheet::design::entry::Refusal;
use pulsewright_sheet::design::{Design, State};
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::evaluation::{Code, Eval, Status};
use pulsewright_sheet::output::{entered, report, verdict};
use pulsewright_sheet::register::{self, COUNT, Form, INPUT_COUNT, Input, Kind, SMALLEST_SHARE};
use pulsewright_sheet::text::number::DecimalMark;
use serde_json::Value;

/// The ends of an input's range: number and unit of each reading.
fn ends(text: &str) -> Vec<(f64, String)> {
    let parts = text.trim_start_matches(['>', '<']).split('|');
    parts
        .filter_map(|part| {
            let part = part.trim();
            let digits = part.find(|c: char| !"+-.0123456789e".contains(c));
            let (number, unit) = part.split_at(digits.unwrap_or(part.len()));
            Some((number.trim().parse().ok()?, unit.trim().to_string()))
        })
        .collect()
}

/// A text beyond the greatest value of an input, where it has one.
fn beyond(input: &Input) -> Option<String> {
    let (number, unit) = ends(input.high).into_iter().next()?;
    Some(match input.form {
        Form::Whole => format!("{}", number * 3.0 + 1.0),
        _ => format!("{} {unit}", number.abs() * 3.0 + 1.0),
    })
}

/// Texts at the ends of what an input takes: the least, the greatest, the smallest size, nothing.
fn extremes(input: &Input) -> Vec<String> {
    let mut texts: Vec<String> = Vec::new();
    for (number, unit) in ends(input.high) {
        texts.push(format!("{number} {unit}"));
        texts.push(format!("{:e} {unit}", number * SMALLEST_SHARE * 1.01));
    }
    texts.extend(
        ends(input.low)
            .iter()
            .map(|(number, unit)| format!("{number} {unit}")),
    );
    if let Form::Choice(words) = input.form {
        texts.extend(words.iter().map(|word| (*word).to_string()));
    }
    let mut design = Design::default();
    let index = register::find_input(input.id).expect(input.id);
    texts.retain(|text| {
        design.enter(index, text, DecimalMark::Stored);
        design.entry(index).is_some()
    });
    texts
}

#[test]
fn an_entry_outside_its_range_refuses_itself_alone() {
    let mut rested = 0;
    for (name, sound) in demos_and_kinds() {
        let before = Eval::new(&sound);
        for (index, input) in register::inputs().iter().enumerate() {
            let Some(text) = beyond(input) else { continue };
            let mut design = sound.clone();
            design.enter(index, &text, DecimalMark::Stored);
            let State::Refused { refusal, .. } = design.state(index) else {
                panic!("{name}: {} takes {text}", input.id);
            };
            let Refusal::Range { because, .. } = refusal else {
                panic!("{}: {text}", input.id);
            };
            let because = *because;
            let c = Eval::new(&design);
            let refused: Vec<usize> = entered::refusals(&c).iter().map(|(at, _)| *at).collect();
            let unused: Vec<usize> = entered::unused(&c).iter().map(|(at, _)| *at).collect();
            if c.unused(index).is_some() {
                assert!(unused.contains(&index) && !refused.contains(&index));
            } else {
                assert!(refused.contains(&index) && !unused.contains(&index));
                let lines = verdict::lines(&c);
                assert!(lines[1].starts_with("refused: "), "{lines:?}");
                assert!(
                    lines.iter().any(|line| line.contains(c.label(index))),
                    "{lines:?}"
                );
            }
            for at in INPUT_COUNT..COUNT {
                if register::result(at).is_none_or(|result| result.costly) {
                    continue;
                }
                let (sound, now) = (before.answer(at), c.answer(at));
                if !sound.depends_on.has(index) && !now.depends_on.has(index) {
                    assert_eq!(
                        sound.found,
                        now.found,
                        "{name}: {}: {}",
                        input.id,
                        register::id(at)
                    );
                }
                // What names the refused entry names its limit too.
                if let Err(absent) = now.found
                    && absent.code == Code::Refused
                    && usize::from(absent.about) == index
                {
                    rested += 1;
                    let said = absent.message();
                    let label = input.label.to_lowercase();
                    assert!(said.to_lowercase().contains(&label), "{said}");
                    assert!(said.contains(because), "{said}");
                }
            }
        }
    }
    assert!(
        rested > 10_000,
        "only {rested} results rested on a refused entry"
    );
}

/// The report without what is said of entries.
fn figures(design: &Design) -> Value {
    let mut report = report::json(design);
    let all = report.as_object_mut().expect("an object");
    let _ = (all.remove("unused"), all.remove("refused"));
    report
}

/// Of every kind of axis and choice: what is not asked for is kept, said to be unused, and changes nothing, whatever
/// stands in it.
#[test]
fn what_is_not_asked_for_changes_nothing() {
    let choices = [
        &[
            "regulator.kind=linear",
            "wiring.pulse_interface=direct",
            "move.profile=smooth",
        ][..],
        &[
            "regulator.kind=buck",
            "wiring.pulse_interface=shifter",
            "axis.home=none",
        ],
    ];
    let (mut met, mut axes) = (0, 0);
    for kind in Kind::WORDS {
        for chosen in choices {
            let mut design = entered(&[("axis.kind", kind)]);
            for entry in chosen {
                let (id, word) = entry.split_once('=').expect("a choice");
                design.enter(input(id), word, DecimalMark::Stored);
            }
            let sound = figures(&design);
            let mut all = design.clone();
            for (index, input) in register::inputs().iter().enumerate() {
                if Eval::new(&design).unused(index).is_none() {
                    continue;
                }
                met += 1;
                axes += u32::from(input.asked_by.is_none());
                let text = extremes(input).pop().unwrap_or_default();
                let text = if met % 3 == 0 {
                    beyond(input).unwrap_or(text)
                } else {
                    text
                };
                all.enter(index, &text, DecimalMark::Stored);
                let c = Eval::new(&all);
                // What is given may itself be the choice that asks for it.
                if c.unused(index).is_none() {
                    all.enter(index, "", DecimalMark::Stored);
                    continue;
                }
                assert_eq!(entered::refusals(&c), [], "{kind}: {} = {text}", input.id);
                let said = entered::unused(&c);
                assert!(
                    said.iter().any(|(at, _)| *at == index),
                    "{kind}: {}",
                    input.id
                );
                assert_eq!(all.carried(index).trim(), all.text(index).trim());
            }
            let with = figures(&all);
            if sound != with {
                let part = |report: &Value, part: &str| report[part].to_string();
                for name in ["verdict", "quantities", "absent", "checks", "findings"] {
                    assert_eq!(part(&sound, name), part(&with, name), "{kind}: {name}");
                }
            }
        }
    }
    assert!(met > 100 && axes > 60, "{met} {axes}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Whatever sizes are entered of those that are taken, what is held against one another are numbers, and so is every
    /// result that is told.
    #[test]
    fn margins_are_numbers_for_every_size_that_is_taken(
        base in any::<prop::sample::Index>(),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>()), 1..40),
    ) {
        let bases = demos_and_kinds();
        let mut design = base.get(&bases).1.clone();
        for (index, end) in changes {
            let index = index.index(INPUT_COUNT);
            let texts = extremes(&register::inputs()[index]);
            if !texts.is_empty() {
                design.enter(index, &texts[end.index(texts.len())], DecimalMark::Stored);
            }
        }
        let c = Eval::new(&design);
        for held in check::all(&c) {
            if let Ok(margin) = held.margin {
                let id = held.check.id;
                prop_assert!(margin.capability.is_finite() && margin.need.is_finite(), "{}: {:?}", id, margin);
                prop_assert!(held.ratio().is_none_or(f64::is_finite), "{}: {:?}", id, margin);
            } else {
                prop_assert!(!matches!(held.status(), Status::Passes | Status::Tight));
            }
        }
    }
}
