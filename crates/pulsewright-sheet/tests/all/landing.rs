//! The simulated landing in the sheet: what is simulated, what is said of it, and that it ends.
//!
//! The simulation itself is held against a second implementation and closed forms in calc's tests;
//! here a design becomes its case, and the case becomes results, findings and traces.

use std::rc::Rc;

use crate::common::{answer, demo, demos, entered, input, said, value, value_of, with};
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::Severity;
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::evaluation::simulated::{self, Figure, Landed, MOVE, STEP};
use pulsewright_sheet::register;
use pulsewright_sheet::stations::simulation;
use pulsewright_sheet::text::number::DecimalMark;

/// The results that come from the simulation.
fn simulated_results() -> impl Iterator<Item = &'static register::ResultDefinition> {
    (register::INPUT_COUNT..register::COUNT)
        .filter(|&index| register::landing::has(index))
        .filter_map(register::result)
}

fn message(c: &Eval<'_>, id: &str) -> String {
    match answer(c, id) {
        Ok(value) => panic!("{id} is there: {value}"),
        Err(absent) => absent.message(),
    }
}

/// What the fault says, which must be there.
#[track_caller]
fn fault(c: &Eval<'_>, id: &str) -> String {
    let (severity, message) = said(c, id).expect(id);
    assert_eq!(severity, Severity::Fault, "{id}");
    message
}

/// Why a result of a simulation that was run is not there.
const REASONS: [&str; 14] = [
    "waits: the motor cannot make this move",
    "no limit cycle",
    "nothing breaks it loose",
    "it does not settle: it stops beside its target",
    "it does not settle within a second: it creeps towards its target",
    "it has not arrived a second after the command: it is still on its way",
    "it does not settle: its load pulls it away from its target",
    "it does not settle: the loop drives it away from its target",
    "it does not settle: limit cycle (hunting)",
    "the loop is unstable: tune its settings",
    "the move takes more than 500 000 samples: too long to simulate; enter a shorter move or a longer sample time",
    "the whole move is shorter than one sample of the loop; sample faster",
    "these sensors give no direction: a position loop is not possible",
    "the motion is too quick and too long to simulate to its end",
];

/// Every result is finite, or says why it is not there.
#[track_caller]
fn all_said(c: &Eval<'_>, name: &str) {
    for result in simulated_results() {
        let index = register::find(result.id).expect(result.id);
        match c.raw(index) {
            Ok(value) => assert!(value.is_finite(), "{name}: {}", result.id),
            Err(absent) => {
                let message = absent.message();
                let known = if absent.why.is_empty() {
                    // Another figure is at fault, which is named.
                    let about = usize::from(absent.about);
                    about != 0 && message.contains(register::label(about))
                } else {
                    REASONS.contains(&absent.why)
                };
                assert!(known, "{name}: {}: {message}", result.id);
            }
        }
    }
}

/// The story of the first example. The play is 0.16° at 155 mm: 0.433 mm of arc. The motor runs on
/// by one count inside its deadband, 0.054 mm, and the teeth twist by some hundredths of a
/// millimetre: 0.385 mm are left.
#[test]
fn the_turntable_lands_beside_its_mark_coming_back() {
    let design = demo("turntable");
    let c = Eval::new(&design).simulating();
    let (off, play) = (
        value(&c, "loop.final_error"),
        value(&c, "gears.backlash_at_load"),
    );
    let count = value(&c, "encoder.arc_per_count");
    assert!((off - 0.385e-3).abs() < 0.5e-6, "{off}");
    assert!((off - play).abs() < 1.5 * count, "{off} of {play}");
    assert!(off > value(&c, "axis.tolerance_at_load"));
    let why = fault(&c, "final_error_large");
    assert!(why.contains("after a return move"), "{why}");
    assert!(
        why.contains("0.433 mm") && why.contains("0.385 mm"),
        "{why}"
    );
    assert!(message(&c, "loop.settling_time").contains("beside its target"));

    // Going there only, it ends on the flank on which it was homed.
    let there = with(&demo("turntable"), &[("move.direction", "lifting")]);
    let c = Eval::new(&there).simulating();
    assert!(value(&c, "loop.final_error").abs() < count);
    assert_eq!(said(&c, "final_error_large"), None);
}

#[test]
fn approaching_from_one_side_cures_the_turntable() {
    let design = with(&demo("turntable"), &[("move.approach", "one_side")]);
    let c = Eval::new(&design).simulating();
    let off = value(&c, "loop.final_error");
    assert!((off - 0.0703e-3).abs() < 0.5e-6, "{off}");
    assert!(off < 1.5 * value(&c, "encoder.arc_per_count"));
    assert_eq!(said(&c, "final_error_large"), None);
    assert_eq!(value(&c, "loop.settling_time"), 0.0);

    // Only the way back is run in; the run-in is twice the play and twenty counts.
    let case = simulation::case(&c, MOVE).expect("a case");
    let distances: Vec<f64> = case.legs.iter().map(|leg| leg.distance.value).collect();
    let run_in = 2.0 * 0.16_f64.to_radians() + 20.0 * value(&c, "encoder.angle_per_count");
    assert_eq!(distances.len(), 3);
    for (is, expected) in
        distances
            .iter()
            .zip([std::f64::consts::PI, -std::f64::consts::PI - run_in, run_in])
    {
        assert!((is - expected).abs() < 1e-12, "{distances:?}");
    }
    // It is accelerated no harder than the move.
    let hardness = |leg: &pulsewright_calc::landing::Leg| {
        leg.distance.value.abs() / (leg.time * leg.time).value
    };
    let asked = hardness(&case.legs[0]);
    assert!(
        case.legs
            .iter()
            .all(|leg| hardness(leg) <= asked * (1.0 + 1e-12))
    );
}

/// Where nothing pushes at rest, home was found from the same side too.
#[test]
fn one_side_needs_no_load_that_pushes() {
    let level = [
        ("axis.external_force", "0 N"),
        ("move.approach", "one_side"),
    ];
    for direction in ["lifting", "lowering", "both"] {
        let design = with(
            &with(&demo("turntable"), &level),
            &[("move.direction", direction)],
        );
        let c = Eval::new(&design).simulating();
        let off = value(&c, "loop.final_error").abs();
        assert!(
            off < 2.0 * value(&c, "encoder.arc_per_count"),
            "{direction}: {off}"
        );
    }
}

/// Centred, the load stops half the play off, whichever side it came from.
#[test]
fn a_centred_approach_leaves_half_the_play() {
    let design = with(&demo("turntable"), &[("move.approach", "centred")]);
    let c = Eval::new(&design).simulating();
    let (off, share) = (value(&c, "loop.final_error"), value(&c, "error.backlash"));
    assert!((share - 0.2164e-3).abs() < 0.1e-6, "{share}");
    assert!(
        (off - share).abs() < value(&c, "encoder.arc_per_count"),
        "{off}"
    );
}

/// The demos as the case is built for them: figures of their cards and of the closed forms.
#[test]
fn a_case_is_what_the_card_says() {
    let design = with(&demo("vent_lever"), &[("axis.start_angle", "-20 deg")]);
    let c = Eval::new(&design);
    let case = simulation::case(&c, MOVE).expect("a case");
    let actuator = case.actuator;
    assert_eq!(actuator.controller.deadband, 2);
    assert_eq!(actuator.pulses.gearing, (133, 286));
    assert_eq!(
        actuator.power.current_limit, None,
        "a rating only: it does not chop"
    );
    assert!((actuator.load.start_angle.expect("given").value + 20_f64.to_radians()).abs() < 1e-12);
    assert_eq!(
        simulation::case(&Eval::new(&demo("vent_lever")), MOVE)
            .expect("a case")
            .actuator
            .load
            .start_angle,
        None
    );
    // The torque of the level arm: the landing takes the cosine itself.
    let level = value_of(&demo("vent_lever"), "axis.holding_torque");
    assert!((actuator.load.holding_torque.value - level).abs() < 1e-15);
    // 2.5° of play at the output.
    assert!((actuator.mesh.backlash.value - 2.5_f64.to_radians()).abs() < 1e-12);
    assert_eq!(case.legs.len(), 1);
    assert_eq!(case.legs[0].time.value, 20.0);

    let chops = with(
        &demo("vent_lever"),
        &[
            ("bridge.limit_kind", "limits"),
            ("loop.current_limit", "5 A"),
        ],
    );
    let limit = |design: &Design| {
        simulation::case(&Eval::new(design), MOVE)
            .expect("a case")
            .actuator
            .power
            .current_limit
    };
    assert_eq!(limit(&chops).expect("limited").value, 4.0);
    let own = with(&demo("vent_lever"), &[("loop.current_limit", "0.8 A")]);
    assert_eq!(limit(&own).expect("limited").value, 0.8);

    // A last stage of 3 adds its play to the gears', and its angle counts at the arm.
    let staged = with(
        &demo("vent_lever"),
        &[
            ("axis.reduction", "3"),
            ("axis.reduction_backlash", "0.5 deg"),
        ],
    );
    let c = Eval::new(&staged);
    let actuator = simulation::case(&c, MOVE).expect("a case").actuator;
    assert!((actuator.mesh.backlash.value - 4_f64.to_radians()).abs() < 1e-12);
    assert_eq!(actuator.load.last_stage.value, 3.0);
}

/// The other way, and there and back, are the same move with its sign.
#[test]
fn the_command_goes_the_way_of_the_move() {
    let legs = |direction: &str| {
        let design = with(
            &demo("focus_stage"),
            &[("move.direction", direction), ("move.dwell", "1 h")],
        );
        let c = Eval::new(&design);
        let legs = simulation::case(&c, MOVE).expect("a case").legs;
        let step = simulation::case(&c, STEP).expect("a case").legs;
        assert_eq!(step.len(), 1);
        assert_eq!(step[0].time.value, 0.0);
        let turn = std::f64::consts::TAU / 0.7e-3;
        let step = step[0].distance.value / turn;
        let moves: Vec<f64> = legs.iter().map(|leg| leg.distance.value / turn).collect();
        (moves, step, legs[0].dwell.value)
    };
    let close = |a: f64, b: f64| (a - b).abs() < 1e-12;
    let (against, step, _) = legs("lifting");
    assert!(against.len() == 1 && close(against[0], 6e-3) && close(step, 0.05e-3));
    let (with, step, _) = legs("lowering");
    assert!(with.len() == 1 && close(with[0], -6e-3) && close(step, -0.05e-3));
    let (both, _, pause) = legs("both");
    assert!(both.len() == 2 && close(both[0], 6e-3) && close(both[1], -6e-3));
    // Nobody waits an hour for an hour's dwell: all has settled after two seconds.
    assert_eq!(pause, 2.0);
}

/// What the demos do, as the simulation has it.
#[test]
fn the_demos_land() {
    for (name, final_error, settles, peak) in [
        ("turntable", 0.385e-3, None, 0.0688),
        ("vent_lever", 1.142e-3, Some(0.0), 1.487),
        ("camera_slider", 0.0806e-3, Some(0.0), 0.618),
        ("focus_stage", 5.85e-6, Some(0.0), 0.0842),
    ] {
        let design = demo(name);
        let c = Eval::new(&design).simulating();
        all_said(&c, name);
        let near = |value: f64, expected: f64| (value - expected).abs() <= 2e-3 * expected;
        let is = value(&c, "loop.final_error");
        assert!(near(is, final_error), "{name}: {is}");
        let time = c.raw(register::landing::SETTLING_TIME.index()).ok();
        assert_eq!(time, settles, "{name}");
        assert!(near(value(&c, "loop.peak_current"), peak), "{name}");
        // Static friction is up to 1.3 times the kinetic; the loop asks no more than that and a
        // little to get going.
        let steady = value(&c, "move.peak_current");
        assert!(
            peak > 0.9 * steady && peak < 1.4 * steady,
            "{name}: {steady}"
        );
        assert_eq!(value(&c, "loop.hunting"), 0.0, "{name}");
        assert_eq!(value(&c, "loop.lost_counts"), 0.0, "{name}");
    }
}

/// Without integral part a load that pushes hangs at the closed form of the droop, or less: friction
/// holds it on the way there.
#[test]
fn droop_and_lag_agree_with_their_closed_forms() {
    let design = with(
        &demo("camera_slider"),
        &[
            ("loop.integral_time", "none"),
            ("loop.deadband", "0"),
            ("move.profile", "trapezoid"),
            // The closed forms know no sag of the supply.
            ("supply.source_resistance", "0.1 mOhm"),
            ("wiring.gauge", "10"),
            ("wiring.length", "10 mm"),
        ],
    );
    let c = Eval::new(&design).simulating();
    let factor = value(&c, "error.travel_per_angle");
    let count = value(&c, "encoder.arc_per_count");
    // The closed forms know no static friction, which is 1.3 times the motor's own.
    let stiction = 0.3 * value(&c, "motor.no_load_current") * value(&c, "drive.motor_resistance")
        / (value(&c, "loop.proportional_gain") * value(&c, "gears.exact_ratio"))
        * factor;
    let (droop, closed) = (
        value(&c, "loop.resting_error"),
        value(&c, "loop.steady_state_error") * factor,
    );
    assert!(
        droop > 0.0 && droop < closed + stiction + count,
        "{droop}, {closed}"
    );
    assert!(droop > 0.5 * closed, "{droop}, {closed}");
    let (lag, closed) = (
        value(&c, "loop.peak_following_error"),
        value(&c, "loop.following_error") * factor,
    );
    assert!(
        (lag - closed).abs() < stiction + 2.0 * count + 0.02 * closed,
        "{lag}, {closed}"
    );
    // Fed forward, the speed costs no lag any more.
    let fed = with(&design, &[("loop.feed_forward", "1")]);
    let c = Eval::new(&fed).simulating();
    assert!(value(&c, "loop.peak_following_error") < 0.75 * lag);
}

#[test]
fn a_loop_too_quick_for_its_counts_hunts() {
    let design = with(
        &demo("camera_slider"),
        &[
            ("loop.bandwidth", "45 Hz"),
            ("loop.deadband", "0"),
            ("gears.backlash", "3 deg"),
            ("loop.delay", "5"),
        ],
    );
    let c = Eval::new(&design).simulating();
    all_said(&c, "quick");
    let why = fault(&c, "loop_hunts");
    assert!(why.contains("does not come to rest"), "{why}");
    assert!(value(&c, "loop.hunting") > 0.5 * value(&c, "encoder.arc_per_count"));
    assert!(value(&c, "loop.hunting_frequency") > 1.0);
    assert!(message(&c, "loop.settling_time").contains("hunting"));
}

#[test]
fn limits_of_the_firmware_are_held_against_the_move() {
    let tight = with(
        &demo("turntable"),
        &[("loop.error_limit", "10"), ("loop.stall_timeout", "1000 s")],
    );
    let c = Eval::new(&tight).simulating();
    assert_eq!(value(&c, "loop.peak_following_error_counts"), 14.0);
    assert!(fault(&c, "following_error_limit_low").contains("14 counts"));
    assert!(said(&c, "stall_timeout_long").is_some());
    let wide = with(
        &demo("turntable"),
        &[("loop.error_limit", "20"), ("loop.stall_timeout", "1 s")],
    );
    let c = Eval::new(&wide).simulating();
    assert_eq!(said(&c, "following_error_limit_low"), None);
    assert_eq!(said(&c, "stall_timeout_short"), None);
    assert_eq!(said(&c, "stall_timeout_long"), None);
    // A quarter of the voltage does not start this motor: full drive, and no count.
    let weak = with(
        &demo("vent_lever"),
        &[("loop.voltage_limit", "0.3"), ("loop.stall_timeout", "1 s")],
    );
    let c = Eval::new(&weak).simulating();
    assert!(value(&c, "loop.longest_stall") > 5.0);
    assert!(said(&c, "stall_timeout_short").is_some());
}

#[test]
fn what_cannot_be_simulated_says_why() {
    let long = with(&demo("turntable"), &[("move.time", "10 h")]);
    let c = Eval::new(&long).simulating();
    all_said(&c, "long");
    assert!(message(&c, "loop.overshoot").contains("too long to simulate"));
    let slow = with(
        &demo("turntable"),
        &[
            ("loop.sample_time", "100 ms"),
            ("loop.bandwidth", "0.5 Hz"),
            ("move.time", "10 ms"),
            ("move.distance", "0.001 deg"),
        ],
    );
    let slow = Eval::new(&slow).simulating();
    assert!(message(&slow, "loop.final_error").contains("shorter than one sample"));
    // The step test is as long as ever.
    assert!(value(&c, "loop.step_peak_current") > 0.0);
    let blind = with(&demo("turntable"), &[("encoder.sensor_spacing", "60 deg")]);
    let c = Eval::new(&blind).simulating();
    assert!(message(&c, "loop.overshoot").contains("no direction"));
    let mut waiting = demo("turntable");
    waiting.enter(input("gears.backlash"), "wide", DecimalMark::Stored);
    let c = Eval::new(&waiting).simulating();
    assert!(message(&c, "loop.final_error").contains("backlash at the output"));
}

/// Figures at the far ends of their ranges: an answer or a reason, and soon.
#[test]
fn the_ends_of_the_ranges_are_bounded() {
    let cases: [(&str, &[(&str, &str)]); 12] = [
        (
            "little inertia",
            &[
                ("motor.rotor_inertia", "0.001 g.cm2"),
                ("axis.payload_inertia", "0 g.cm2"),
            ],
        ),
        ("little inductance", &[("motor.inductance", "1 uH")]),
        ("huge backlash", &[("gears.backlash", "30 deg")]),
        (
            "huge backlash, run in",
            &[
                ("gears.backlash", "30 deg"),
                ("move.approach", "one_side"),
                ("move.distance", "0.1 deg"),
            ],
        ),
        (
            "a million turns",
            &[("move.distance", "1000000 turn"), ("move.time", "10 s")],
        ),
        (
            "a jump of a hundred turns",
            &[("loop.step_test", "100 turn")],
        ),
        (
            "sampled more slowly than it moves",
            &[
                ("loop.sample_time", "100 ms"),
                ("move.time", "10 ms"),
                ("move.distance", "0.001 deg"),
                ("loop.bandwidth", "0.5 Hz"),
            ],
        ),
        (
            "sampled every 10 µs",
            &[("loop.sample_time", "10 us"), ("move.time", "1 s")],
        ),
        ("no play", &[("gears.backlash", "0 deg")]),
        ("stiff", &[("gears.stiffness", "100000 N.m/rad")]),
        (
            "released",
            &[
                ("loop.on_target", "release"),
                ("axis.external_force", "5 N"),
            ],
        ),
        (
            "braked",
            &[("loop.on_target", "brake"), ("loop.deadband", "1000")],
        ),
    ];
    for (name, changes) in cases {
        let design = with(&demo("turntable"), changes);
        let c = Eval::new(&design).simulating();
        let refused = pulsewright_sheet::output::entered::refusals(&c);
        assert!(refused.is_empty(), "{name}: {refused:?}");
        let begin = std::time::Instant::now();
        all_said(&c, name);
        let took = begin.elapsed();
        println!(
            "{name}: {took:?}, {}",
            display::display(&c, register::landing::FINAL_ERROR.index(), 4)
        );
        assert!(took.as_secs() < 20, "{name}: {took:?}");
    }
}

/// Every kind of axis, both ways and either side: an answer or a reason.
#[test]
fn every_kind_lands_or_says_why() {
    for kind in register::Kind::WORDS {
        for direction in ["lifting", "lowering", "both"] {
            for approach in ["either", "centred", "one_side"] {
                let design = entered(&[
                    ("axis.kind", *kind),
                    ("move.direction", direction),
                    ("move.approach", approach),
                    ("motor.stall_torque", "4.6 kgf.cm"),
                    ("gears.stages", "35:12,37:13,35:14"),
                ]);
                let c = Eval::new(&design).simulating();
                all_said(&c, &[kind, direction, approach].join(" "));
                let stopped = c.figures(MOVE).expect(kind)[Figure::Stopped as usize];
                assert_eq!(stopped, 0.0, "{kind} {direction} {approach}");
            }
        }
    }
}

/// An ordinary evaluation simulates nothing: it runs at every keystroke.
#[test]
fn an_ordinary_evaluation_waits_for_no_simulation() {
    let design = demo("turntable");
    let c = Eval::new(&design);
    for result in simulated_results() {
        assert!(result.costly, "{}", result.id);
        let index = register::find(result.id).expect(result.id);
        assert_eq!(c.raw(index), Err(simulated::NOT_RUN), "{}", result.id);
        // What it rests on is known all the same.
        let play = register::gears::BACKLASH.index();
        assert!(c.answer(index).depends_on.has(play), "{}", result.id);
    }
    assert!(c.trace().is_err());
}

/// A worker's numbers give the same results, refusals included.
#[test]
fn figures_travel_as_numbers() {
    for changes in [
        &[][..],
        &[("move.time", "10 h")],
        &[("encoder.sensors", "1")],
        &[("loop.step_test", "1 mile")],
    ] {
        let mut design = demo("turntable");
        for (id, text) in changes {
            design.enter(input(id), text, DecimalMark::Stored);
        }
        let here = Eval::new(&design).simulating();
        let numbers = simulation::numbers(&Eval::new(&design));
        let landed = Landed::read(&numbers).expect("figures");
        let there = Eval::new(&design).landed(Rc::new(landed));
        for result in simulated_results() {
            let index = register::find(result.id).expect(result.id);
            assert_eq!(
                here.answer(index),
                there.answer(index),
                "{changes:?} {}",
                result.id
            );
        }
        assert_eq!(here.trace(), there.trace());
    }
    assert_eq!(Landed::read(&[0.0; 5]), None);
}

/// Few points, and the extremes among them.
#[test]
fn traces_keep_their_extremes() {
    for (name, design) in demos() {
        let c = Eval::new(&design).simulating();
        let trace = c.trace().expect("a trace");
        assert!(trace.len() > 100 && trace.len() <= 408, "{}", trace.len());
        assert!(trace.windows(2).all(|pair| pair[0].time < pair[1].time));
        let case = simulation::case(&c, MOVE).expect("a case");
        let end = simulation::end(&case.legs) + 1e-3;
        let during = trace.iter().filter(|point| point.time < end);
        let worst = during.fold(0.0, |worst: f64, point| worst.max(point.error.abs()));
        let figures = c.figures(MOVE).expect("figures");
        assert_eq!(worst, figures[Figure::WorstError as usize], "{name}");
        // Between two samples the current can peak a little higher.
        let most = trace
            .iter()
            .fold(0.0, |most: f64, point| most.max(point.current.abs()));
        let peak = figures[Figure::PeakCurrent as usize];
        assert!(most <= peak && most > 0.9 * peak, "{most} of {peak}");
    }
}

/// What homing adds stands beside the error of one power-up.
#[test]
fn home_adds_its_own_error() {
    let design = with(
        &demo("turntable"),
        &[
            ("axis.home", "switch"),
            ("axis.home_repeatability", "0.05 mm"),
        ],
    );
    let c = Eval::new(&design);
    assert!((value(&c, "error.homing") - 0.05e-3).abs() < 1e-15);
    let sum = value(&c, "error.worst") + 0.05e-3;
    assert!((value(&c, "error.worst_after_homing") - sum).abs() < 1e-12);
    let without = with(
        &demo("turntable"),
        &[("axis.home_repeatability", "0.05 mm")],
    );
    let c = Eval::new(&without);
    assert!(message(&c, "error.homing").contains("homing"));
}

/// The words of a load that is not where it should be are those of what it does.
#[test]
fn what_it_does_instead_of_settling_is_named() {
    let mut late = Vec::new();
    for (name, time) in [
        ("camera_slider", "16 s"),
        ("focus_stage", "4 s"),
        ("vent_lever", "10 s"),
    ] {
        for bandwidth in ["2 Hz", "3 Hz", "4 Hz", "6 Hz", "9 Hz"] {
            let quick = [
                ("move.direction", "lifting"),
                ("move.dwell", "10 ms"),
                ("move.time", time),
                ("loop.bandwidth", bandwidth),
            ];
            late.push(with(&demo(name), &quick));
        }
    }
    let settles_late = |design: &&Design| {
        let c = Eval::new(design).simulating();
        answer(&c, "loop.settling_time").is_ok_and(|time| time > 0.01)
            && said(&c, "not_arrived").is_some()
    };
    let late = late.iter().find(settles_late).expect("one of them is late");
    let c = Eval::new(late).simulating();
    let (settling, dwell) = (value(&c, "loop.settling_time"), value(&c, "move.dwell"));
    assert!(settling > dwell, "{settling}");
    let why = fault(&c, "not_arrived");
    assert!(
        why.contains("has not arrived") && why.contains("it has 10 ms"),
        "{why}"
    );
    assert_eq!(said(&c, "loop_hunts"), None);
    assert_eq!(said(&c, "final_error_large"), None);

    // A loop that is slow and not fed forward lags behind, and one without an integral part goes one way.
    let slow = ["turntable", "camera_slider", "focus_stage", "vent_lever"];
    let slow = slow.iter().flat_map(|name| {
        ["0.05 Hz", "0.1 Hz", "0.2 Hz", "0.5 Hz"].map(|bandwidth| {
            let slow = [
                ("loop.bandwidth", bandwidth),
                ("loop.feed_forward", "0"),
                ("loop.integral_time", "none"),
            ];
            with(&demo(name), &slow)
        })
    });
    let on_its_way = |design: &Design| {
        let c = Eval::new(design).simulating();
        let settling = answer(&c, "loop.settling_time");
        settling.is_err_and(|absent| absent.message().contains("still on its way"))
    };
    let far = slow
        .into_iter()
        .find(on_its_way)
        .expect("one is on its way");
    assert_eq!(value(&Eval::new(&far).simulating(), "loop.hunting"), 0.0);

    // A hundred turns a second are beyond any of the examples: of a move that cannot be made nothing is told.
    let far = with(
        &demo("turntable"),
        &[("move.distance", "720 deg"), ("move.time", "0.5 s")],
    );
    let c = Eval::new(&far).simulating();
    for id in ["loop.hunting", "loop.settling_time", "loop.final_error"] {
        assert_eq!(message(&c, id), "waits: the motor cannot make this move");
    }
}

/// The integral part goes on while it stands two counts off: 20 s of integral time take a while.
#[test]
fn a_slow_limit_cycle_is_no_rest() {
    let slow = ["turntable", "camera_slider", "focus_stage"].map(|name| {
        let slow = [("loop.deadband", "0"), ("loop.integral_time", "20 s")];
        with(&demo(name), &slow)
    });
    let loose =
        |design: &&Design| said(&Eval::new(design).simulating(), "loop_breaks_loose").is_some();
    let design = slow
        .iter()
        .find(loose)
        .expect("one of them stands beside its target");
    let c = Eval::new(design).simulating();
    let (severity, why) = said(&c, "loop_breaks_loose").expect("said");
    assert_eq!(severity, Severity::Note);
    let every = value(&c, "loop.breaks_loose");
    assert!(every > 1.0, "{every}");
    assert!(why.contains("it will break loose again, every"), "{why}");
    let still = with(design, &[("loop.integral_time", "none")]);
    assert_eq!(
        said(&Eval::new(&still).simulating(), "loop_breaks_loose"),
        None
    );
}

/// 0.5 turn at 14 400 steps a turn and 25 kHz takes 288 ms.
#[test]
fn a_pulse_source_that_limits_the_step_test_is_named() {
    let jump = with(&demo("turntable"), &[("loop.step_test", "180 deg")]);
    let c = Eval::new(&jump).simulating();
    let steps = value(&c, "steps.per_turn") * 0.5;
    let time = steps / value(&c, "steps.rate_limit");
    assert!((value(&c, "loop.step_ramp") - time).abs() < 1e-12);
    let (severity, why) = said(&c, "step_test_is_a_ramp").expect("said");
    assert_eq!(severity, Severity::Note);
    assert!(
        why.contains("The step/dir controller limits the step test"),
        "{why}"
    );
    let short = demo("turntable");
    assert_eq!(
        said(&Eval::new(&short).simulating(), "step_test_is_a_ramp"),
        None
    );
}

/// Hunting that comes out otherwise in finer steps is told in one digit; hunting that does not, in full.
#[test]
fn chaotic_figures_are_told_as_such() {
    let mut seen = [0, 0];
    for (name, bandwidth) in [
        ("camera_slider", "45 Hz"),
        ("vent_lever", "20 Hz"),
        ("vent_lever", "45 Hz"),
        ("focus_stage", "45 Hz"),
        ("turntable", "45 Hz"),
    ] {
        for delay in ["3", "5"] {
            let design = with(
                &demo(name),
                &[
                    ("loop.bandwidth", bandwidth),
                    ("loop.deadband", "0"),
                    ("gears.backlash", "3 deg"),
                    ("loop.delay", delay),
                ],
            );
            let c = Eval::new(&design).simulating();
            let case = simulation::case(&c, MOVE).expect("a case");
            let hunting = |refinement: u32| {
                let mut actuator = case.actuator;
                actuator.refinement = refinement;
                let (landing, _) =
                    pulsewright_calc::landing::simulate(&actuator, &case.legs, &mut [])
                        .expect("runs");
                landing.hunting.value
            };
            if hunting(1) == 0.0 {
                continue;
            }
            let differs = (hunting(1) / hunting(2) - 1.0).abs() > 0.06;
            let shown = display::display(&c, register::landing::HUNTING.index(), 4);
            if differs {
                assert!(shown.starts_with("about "), "{shown}");
            }
            seen[usize::from(shown.starts_with("about "))] += 1;
            if let Some(rest) = shown.strip_prefix("about ") {
                let digits = rest.chars().filter(|c| ('1'..='9').contains(c)).count();
                assert_eq!(digits, 1, "{shown}");
            }
        }
    }
    println!("{seen:?}");
    assert!(seen[1] > 0, "none of them is chaotic");
}
