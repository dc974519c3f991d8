//! The register holds together: every entry is complete, reads itself and computes.

use std::collections::{BTreeSet, HashSet};

use crate::common::{code, demo, demos_and_kinds, entered, with};
use pulsewright_sheet::analysis::bench_sheet::READINGS;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::entry::{self, Refusal};
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::evaluation::{Code, Eval};
use pulsewright_sheet::register::formula::{self, Formula};
use pulsewright_sheet::register::{self, COUNT, Form, INPUT_COUNT, Preset};
use pulsewright_sheet::text::measure::Measure;
use pulsewright_sheet::text::number::{self, DecimalMark};

/// The reasons that results of the designs here give for not being there.
const REASONS: [(&str, &str); 29] = [
    ("impossible", "a divider is not enough: use a level shifter"),
    (
        "impossible",
        "no wire passes every check: some need a thicker one, some a thinner one",
    ),
    ("impossible", "no wire fixes the driver current"),
    ("waits", "waits: the motor cannot make this move"),
    (
        "impossible",
        "no wire fixes the brown-out margin: the source itself drops too far, or the cable is too long",
    ),
    (
        "impossible",
        "no wire fixes the gearbox peak torque at stall",
    ),
    (
        "impossible",
        "these sensors give no direction: a position loop is not possible",
    ),
    ("missing", "a coupled shaft carries no radial load"),
    ("missing", "a linear regulator does not switch"),
    ("missing", "a screw has no arm length"),
    (
        "missing",
        "with a load torque entered there is no arm length",
    ),
    (
        "missing",
        "with a load torque entered there is no travel along a line",
    ),
    (
        "missing",
        "with a load torque entered, the height is not known",
    ),
    ("missing", "a rotating axis has no force along a line"),
    ("missing", "a rotating axis has no travel along a line"),
    ("missing", "being simulated …"),
    (
        "missing",
        "enter one figure of the stepper to compare with it",
    ),
    ("missing", "no move in that direction"),
    ("missing", "homing repeatability is not entered"),
    ("missing", "once edges have been counted"),
    (
        "missing",
        "with one sensor there is no angle between sensors",
    ),
    (
        "missing",
        "the figures are at the output: the gearbox efficiency implied by the listing says whether they agree",
    ),
    (
        "missing",
        "the figures are those of the motor alone, without the gears",
    ),
    (
        "missing",
        "the extra reduction, not the load, is on the output shaft",
    ),
    ("missing", "the logic levels match without it"),
    ("missing", "the loop has no integral part"),
    (
        "unlimited",
        "nothing limits the current: the driver has a maximum rating only",
    ),
    ("unlimited", "unlimited: the winding stays within its limit"),
    ("impossible", "none: too slow at any load"),
];

/// Results whose working is words in some design: an integral, a search, a choice that is no one formula.
const IN_WORDS: [&str; 72] = [
    "axis.back_drives",
    "axis.distance_at_load",
    "axis.drop_energy",
    "axis.last_stage",
    "axis.return_at_axis",
    "axis.tolerance_at_load",
    "bench.edge_error",
    "bench.out_of_tolerance",
    "board.local_ambient",
    "compare.torque_10_s_converted",
    "drive.torque_constant_hot",
    "encoder.direction",
    "encoder.valid_spacings",
    "error.backlash",
    "error.homing",
    "fit.capacitance",
    "fit.divider_lower",
    "fit.divider_upper",
    "fit.gauge",
    "fit.trace_width",
    "gears.back_driving_efficiency",
    "gears.efficiency",
    "gears.exact_ratio",
    "gears.stage_count",
    "gears.stiffness",
    "heat.hold_time",
    "heat.hold_time_worst_case",
    "heat.overheat_time",
    "heat.stall_time",
    "loop.bandwidth_limit",
    "loop.breaks_loose",
    "loop.energy",
    "loop.final_error",
    "loop.peak_following_error_counts",
    "loop.hunting",
    "loop.hunting_frequency",
    "loop.longest_stall",
    "loop.lost_counts",
    "loop.overshoot",
    "loop.peak_current",
    "loop.resting_error",
    "loop.regenerated_energy",
    "loop.reversals",
    "loop.settling_time",
    "loop.simulated_time",
    "loop.step_overshoot",
    "loop.step_peak_current",
    "loop.step_ramp",
    "loop.step_settling_time",
    "loop.peak_following_error",
    "move.lifting_peak",
    "move.lifting_rms",
    "move.lifting_voltage",
    "move.peak_torque",
    "move.rms_torque",
    "move.shortest_time",
    "move.lowering_peak",
    "move.lowering_rms",
    "move.lowering_voltage",
    "order.open",
    "regulator.reset_voltage",
    "steps.gearing_denominator",
    "steps.gearing_numerator",
    "steps.per_unit_rounded",
    "supply.lifting_energy",
    "supply.fuse",
    "supply.peak_power",
    "supply.regenerated_energy",
    "supply.lowering_energy",
    "verdict.max_load",
    "wiring.area",
    "wiring.regenerated_power",
];

/// An input, where it is seen, what else is given, and two texts.
type NeedingOthers = (
    &'static str,
    Effort,
    &'static [(&'static str, &'static str)],
    [&'static str; 2],
);

/// Inputs that change nothing unless others are given.
const NEEDING_OTHERS: &[NeedingOthers] = &[
    (
        "axis.home_repeatability",
        Effort::Ordinary,
        &[("axis.home", "switch")],
        ["0.05 mm", "0.1 mm"],
    ),
    (
        "axis.held_torque",
        Effort::Ordinary,
        &[("axis.kind", "torque")],
        ["10 mN.m", "20 mN.m"],
    ),
    (
        "gears.stages",
        Effort::Ordinary,
        &[],
        ["40:10,40:10", "50:10,40:10"],
    ),
    (
        "gears.efficiency_per_stage",
        Effort::Ordinary,
        &[("motor.figures_at", "motor")],
        ["0.8", "0.9"],
    ),
    (
        "supply.lowest_voltage",
        Effort::Ordinary,
        &[("supply.voltage", "12 V")],
        ["10 V", "11 V"],
    ),
    (
        "supply.highest_voltage",
        Effort::Ordinary,
        &[("supply.voltage", "12 V")],
        ["13 V", "14 V"],
    ),
    (
        "regulator.reset_voltage",
        Effort::Ordinary,
        &[],
        ["2.5 V", "2.9 V"],
    ),
    (
        "wiring.shared",
        Effort::Ordinary,
        &[("supply.actuators", "4"), ("supply.moving_together", "2")],
        ["common", "own"],
    ),
    (
        "wiring.divider_upper",
        Effort::Ordinary,
        &[("wiring.divider_lower", "3.3 kOhm")],
        ["1.8 kOhm", "1.5 kOhm"],
    ),
    (
        "wiring.divider_lower",
        Effort::Ordinary,
        &[("wiring.divider_upper", "1.8 kOhm")],
        ["3.3 kOhm", "3.6 kOhm"],
    ),
    (
        "move.path_tolerance",
        Effort::Simulated,
        &[],
        ["0.1 deg", "5 deg"],
    ),
    ("loop.feed_forward", Effort::Simulated, &[], ["0", "1"]),
    ("loop.voltage_limit", Effort::Simulated, &[], ["0.1", "1"]),
    ("loop.error_limit", Effort::Simulated, &[], ["1", "1000000"]),
    (
        "loop.on_target",
        Effort::Simulated,
        &[("gears.efficiency", "0.95")],
        ["drive", "release"],
    ),
    (
        "loop.step_test",
        Effort::Simulated,
        &[],
        ["5 deg", "10 deg"],
    ),
    (
        "loop.settling_target",
        Effort::Simulated,
        &[],
        ["1 ms", "1 s"],
    ),
    ("bench.edges_read", Effort::Ordinary, &[], ["8371", "8000"]),
];

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
            Preset::LeftOut | Preset::Computed(_) => Vec::new(),
        };
        for text in texts {
            if let Err(refusal) = entry::read(input, text, DecimalMark::Stored) {
                panic!("{}: {text}: {}", input.id, refusal.message());
            }
        }
        if let register::DefaultTolerance::Within(text) = input.default_tolerance
            && !matches!(input.preset, Preset::LeftOut | Preset::Computed(_))
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
            if let Err(refusal) = entry::read(input, &text, DecimalMark::Stored) {
                panic!("{}: {text}: {}", input.id, refusal.message());
            }
        }
    }
}

/// A number far outside on either side is refused, and the refusal says what was typed, which limit it
/// breaks and why that is there.
#[test]
fn limits_are_read() {
    for input in register::inputs() {
        let unit = match input.form {
            Form::Choice(_) | Form::Text | Form::Stages => continue,
            Form::Quantity(measure) => measure.usual().first().copied().unwrap_or(""),
            Form::Travel => "deg",
            _ => "",
        };
        let range = entry::range_words(input);
        assert!(!range.is_empty(), "{}", input.id);
        let hot = matches!(input.form, Form::Quantity(Measure::Temperature));
        let too_little = match input.too_little {
            _ if !input.low.starts_with('-') && !hot => "it is entered without a sign",
            "" => "less than is found with small gear motors",
            own => own,
        };
        let too_much = match input.too_much {
            "" => "more than is found with small gear motors",
            own => own,
        };
        for (number, reason) in [("-1e30", too_little), ("1e30", too_much)] {
            let typed = [number, " ", unit].concat();
            let refusal = entry::read(input, &typed, DecimalMark::Typed).expect_err(input.id);
            let message = refusal.message();
            match refusal {
                Refusal::Range { limit, because, .. } => {
                    assert!(because.contains(' '), "{}: {because}", input.id);
                    assert_eq!(because, reason, "{}", input.id);
                    assert!(
                        range.contains(&limit) || input.form == Form::Travel,
                        "{}: {limit}, {range}",
                        input.id
                    );
                    assert!(
                        message.ends_with(&["; ", because].concat()),
                        "{}: {message}",
                        input.id
                    );
                }
                other => panic!("{}: {typed}: {other:?}: {message}", input.id),
            }
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

/// A result is a finite number, or it waits for something that is not there and names it, or it gives one of the
/// reasons of this table.
#[test]
fn every_result_is_computed_or_says_why_not() {
    let mut met = BTreeSet::new();
    let mut new = BTreeSet::new();
    for (name, design) in demos_and_kinds().into_iter().chain(probing()) {
        let c = Eval::new(&design);
        for index in INPUT_COUNT..COUNT {
            let id = register::id(index);
            let absent = match c.answer(index).found {
                Ok(value) => {
                    assert!(value.is_finite(), "{name}: {id}");
                    continue;
                }
                Err(absent) => absent,
            };
            let about = usize::from(absent.about);
            if absent.code == Code::Refused {
                // The entry that it needs, by its label: what stands there cannot be used beside the others.
                assert!(!design.text(about).is_empty(), "{name}: {id}");
                let label = pulsewright_sheet::text::label::in_sentence(register::label(about));
                let said = absent.message();
                assert!(
                    said.starts_with(&format!("refused: {label}")),
                    "{name}: {said}"
                );
                assert!(said.ends_with(absent.why), "{name}: {said}");
                continue;
            }
            if absent.why.is_empty() {
                // What it waits for is another one, known by name, and not there either.
                if absent.code == Code::Above {
                    assert!(c.raw(about).is_ok(), "{name}: {id}: no limit");
                    continue;
                }
                if absent.code == Code::Waits {
                    let hot = c.answer(about).found.map_err(|absent| absent.code);
                    assert_eq!(hot, Err(Code::Above), "{name}: {id}");
                    continue;
                }
                assert_eq!(absent.code, Code::Missing, "{name}: {id}");
                assert_ne!(about, index, "{name}: {id}");
                let (wanted, label) = (register::id(about), register::label(about));
                assert!(register::station(about).is_some(), "{name}: {id}: {wanted}");
                // A travel is entered as an angle or as a length, and each kind of axis understands one of them only.
                let travel = register::inputs()
                    .get(about)
                    .is_some_and(|i| i.form == Form::Travel);
                assert!(
                    travel || c.raw(about).is_err(),
                    "{name}: {id}: {wanted} is there"
                );
                assert_eq!(absent.message(), format!("missing: {label}"));
            } else {
                assert_eq!(absent.message(), absent.why, "{name}: {id}");
                if REASONS.contains(&(absent.code.word(), absent.why)) {
                    met.insert((absent.code.word(), absent.why));
                } else {
                    new.insert((absent.code.word(), absent.why));
                }
            }
        }
    }
    assert!(new.is_empty(), "not in the table: {new:#?}");
    let gone: Vec<_> = REASONS
        .iter()
        .filter(|reason| !met.contains(*reason))
        .collect();
    assert!(gone.is_empty(), "no longer given: {gone:#?}");
}

/// Every working, with the numbers put in, gives the result beside it; those in words are known by name.
#[test]
fn workings_evaluate_to_their_results() {
    let (mut held, mut prose) = (BTreeSet::new(), BTreeSet::new());
    for result in register::results() {
        if let Some(Formula::Words(_)) = formula::read(result.formula) {
            prose.insert(result.id);
        }
    }
    for (name, design) in demos_and_kinds().into_iter().chain(probing()) {
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
            let (left, right, by) = match &read {
                Formula::Words(_) => {
                    prose.insert(id);
                    continue;
                }
                Formula::Expression(node) => {
                    (node.value(&of), Some(answer.measure.reported(value)), 1e-9)
                }
                Formula::Equation(left, right) => (left.value(&of), right.value(&of), 1e-6),
            };
            let (Some(a), Some(b)) = (left, right) else {
                panic!("{name}: {id}: a part of {} is missing", answer.working)
            };
            assert!(
                (a - b).abs() <= by * a.abs().max(b.abs()).max(1e-12),
                "{name}: {id}: {a} is not {b}: {}",
                answer.working
            );
            held.insert(id);
        }
    }
    let known: BTreeSet<&str> = IN_WORDS.into_iter().collect();
    assert_eq!(prose, known, "workings in words");
    let untried: Vec<&str> = register::results()
        .iter()
        .map(|result| result.id)
        .filter(|id| !held.contains(id) && !known.contains(id))
        .collect();
    assert!(untried.is_empty(), "no design computes them: {untried:?}");
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
fn probing() -> Vec<(String, Design)> {
    let turns: [&[(&str, &str)]; 19] = [
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
            ("supply.capacity", "200 mA.h"),
            ("supply.voltage", "12 V"),
        ],
        &[
            ("supply.highest_voltage", "8 V"),
            ("supply.lowest_voltage", "5 V"),
            ("supply.capacity", "20 A.h"),
            ("wiring.shared", "own"),
        ],
        &[
            ("stepper.holding_torque", "0.4 N.m"),
            ("move.direction", "both"),
            ("move.holding_current", "friction_against"),
        ],
        &[
            ("encoder.sensors", "1"),
            ("move.reverses_at_speed", "yes"),
            ("bridge.limit_kind", "shuts_down"),
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
            ("axis.home_repeatability", "0.05 mm"),
            ("bench.edges_read", "8371"),
            ("regulator.reset_voltage", "2.9 V"),
            ("gears.nominal_ratio", "99"),
            ("bridge.decay", "fast"),
        ],
        &[
            ("axis.start_angle", "-30 deg"),
            ("axis.drag_force", "0.1 N"),
        ],
        &[
            ("axis.start_angle", "50 deg"),
            ("axis.external_force", "0.2 N"),
            ("move.direction", "lowering"),
            ("axis.reduction", "3"),
            ("axis.reduction_efficiency", "0.9"),
        ],
        &[("bridge.current_limit", "0.3 A")],
        &[("bridge.current_limit", "0.5 A"), ("wiring.length", "20 m")],
        &[("axis.load_is", "friction")],
        &[
            ("axis.held_torque", "12 mN.m"),
            ("move.direction", "lowering"),
        ],
        &[("axis.start_angle", "100 deg"), ("move.direction", "both")],
    ];
    let mut all = Vec::new();
    for kind in register::Kind::WORDS {
        for turn in turns {
            let design = with(&entered(&[("axis.kind", kind)]), turn);
            all.push((format!("{kind} {turn:?}"), design));
        }
    }
    all
}

/// What is evaluated for a report.
#[derive(Clone, Copy, PartialEq)]
enum Effort {
    /// What every keystroke evaluates.
    Ordinary,
    /// Also what takes hundreds of evaluations.
    Costly,
    /// Also the simulated landing.
    Simulated,
}

/// What is said under an id.
type Report = (&'static str, String);

/// All that is reported of a design but the value of `input` itself: results, checks, findings, each by its content.
fn reported(c: &Eval<'_>, input: usize, effort: Effort) -> Vec<Report> {
    let mut all = Vec::new();
    for index in INPUT_COUNT..COUNT {
        let skipped = register::result(index)
            .is_some_and(|result| result.costly && effort == Effort::Ordinary);
        // A result of the same id is the input as it is in effect.
        if !skipped && register::id(index) != register::id(input) {
            let found = c.answer(index).found;
            all.push((
                register::id(index),
                format!("{:?}", found.map_err(|a| a.message())),
            ));
        }
    }
    for held in check::all(c) {
        let margin = held.margin.map(|margin| (margin.capability, margin.need));
        all.push((
            held.check.id,
            format!("{:?}", margin.map_err(|a| a.message())),
        ));
    }
    for said in finding::all(c) {
        all.push((said.finding.id, said.severity.word().into()));
    }
    all
}

/// Texts that an input may take: what it is now and somewhat more or less, its ends, its words.
fn texts(c: &Eval<'_>, index: usize) -> Vec<String> {
    let input = &register::inputs()[index];
    let mut all: Vec<String> = Vec::new();
    if let Form::Choice(words) = input.form {
        all.extend(words.iter().map(|word| (*word).to_string()));
        return all;
    }
    // A reading is taken beside what is expected of it.
    let row = READINGS.iter().find(|row| row.read == index);
    let answer = c.answer(row.map_or(index, |row| row.expect));
    let unit = match answer.measure {
        Measure::Temperature => "degC",
        measure if matches!(input.form, Form::Quantity(_) | Form::Travel) => measure.si_name(),
        _ => "",
    };
    if let Ok(value) = answer.found {
        for factor in [1.0, 1.1, 0.9, 2.0, 0.5, 5.0] {
            let value = answer.measure.reported(value) * factor;
            let value = if input.form == Form::Whole {
                value.round()
            } else {
                value
            };
            all.push([&number::text(value, 9), " ", unit].concat());
        }
    }
    for end in [input.low, input.high] {
        all.push(end.trim_start_matches(['>', '<']).to_string());
    }
    all
}

/// What changes in the report where `index` is one text and then another; both must be taken.
fn changed(
    design: &Design,
    index: usize,
    texts: &[String],
    effort: Effort,
) -> Option<&'static str> {
    let mut first: Option<Vec<Report>> = None;
    for text in texts {
        let mut design = design.clone();
        design.enter(index, text, DecimalMark::Stored);
        let c = Eval::new(&design);
        let c = match effort {
            Effort::Simulated => c.simulating(),
            _ => c,
        };
        if design.entry(index).is_none() || c.conflict(index).is_some() {
            continue;
        }
        let now = reported(&c, index, effort);
        let Some(before) = &first else {
            first = Some(now);
            continue;
        };
        let differs = |one: &[Report], other: &[Report]| {
            let found = one.iter().find(|report| !other.contains(report));
            found.map(|(id, _)| *id)
        };
        if *before != now {
            return differs(before, &now).or_else(|| differs(&now, before));
        }
    }
    None
}

/// Every input changes a result, a check or a finding: in some design, two values of it that are both taken are not
/// reported alike.
#[test]
fn nothing_is_asked_in_vain() {
    let designs = demos_and_kinds();
    let mut vain = Vec::new();
    for (index, input) in register::inputs().iter().enumerate() {
        // Title, notes and the like are words for the reader alone.
        if input.form == Form::Text {
            assert!(input.id.starts_with("card."), "{}", input.id);
            continue;
        }
        let found = match NEEDING_OTHERS.iter().find(|(id, ..)| *id == input.id) {
            Some((_, effort, others, texts)) => {
                let texts = texts.map(String::from);
                changed(&entered(others), index, &texts, *effort)
            }
            None => {
                // What readings say is one number of its own.
                let reading = READINGS.iter().any(|row| row.read == index);
                let effort = if reading {
                    Effort::Costly
                } else {
                    Effort::Ordinary
                };
                designs.iter().find_map(|(_, design)| {
                    let texts = texts(&Eval::new(design), index);
                    changed(design, index, &texts, effort)
                })
            }
        };
        match found {
            Some(id) => println!("{} changes {id}", input.id),
            None => vain.push(input.id),
        }
    }
    assert!(vain.is_empty(), "{vain:#?}");
}

/// A torque given has no travel: a sentence that asks for one says so once, where it can be read.
#[test]
fn what_is_not_there_is_a_question_in_a_sentence() {
    let design = entered(&[("axis.kind", "torque")]);
    let c = Eval::new(&design);
    let said = |template: &str| finding::fill_template(template, &c);
    let why = "with a load torque entered there is no travel along a line";
    let twice = "One count is {encoder.arc_per_count}, two are twice {encoder.arc_per_count}.";
    assert_eq!(
        said(twice),
        format!("One count is ? ({why}), two are twice ?.")
    );
    let alone = "One count: {encoder.arc_per_count}.";
    assert_eq!(said(alone), format!("One count: {why}."));
}
