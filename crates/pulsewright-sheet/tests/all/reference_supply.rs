//! Supply, regulator and wiring of the four demos and of the neutral design, against an independent
//! reference computation of the register.

use crate::common::{
    answer, code, demo, demos_and_kinds, enter, entered, held, margin, said, value, with,
};
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Severity;
use pulsewright_sheet::evaluation::Status;
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::evaluation::{Code, Eval};
use pulsewright_sheet::register;
use pulsewright_test_support::agrees;

const CHECKS: [&str; 7] = [
    "check.supply_current",
    "check.brown_out",
    "check.regenerated_voltage",
    "check.regulator_temperature",
    "check.trace",
    "check.connector",
    "check.logic_level",
];

/// Volts while moving and in a jam, volts that are needed, mean current, hours on the battery.
#[test]
fn sags_and_currents_of_the_demos() {
    for (name, moving, jammed, needed, mean, hours) in [
        ("turntable", "5.97", "5.62", "3.6", "0.031", None),
        ("vent_lever", "12.0", "11.4", "4.5", "0.252", Some("27.7")),
        (
            "camera_slider",
            "5.27",
            "4.36",
            "5.45",
            "0.305",
            Some("5.2"),
        ),
        ("focus_stage", "5.99", "5.84", "3.6", "0.036", None),
    ] {
        let design = demo(name);
        let c = Eval::new(&design);
        let mut wrong = Vec::new();
        let mut hold = |id: &str, times: f64, printed: &str| {
            let value = value(&c, id) * times;
            if !agrees(value, printed) {
                wrong.push(format!("{id} = {value}, printed {printed}"));
            }
        };
        hold("supply.voltage_at_worst", 1.0, moving);
        hold("supply.voltage_at_stall", 1.0, jammed);
        hold("supply.voltage_needed", 1.0, needed);
        hold("supply.average_current", 1.0, mean);
        match hours {
            Some(hours) => hold("supply.run_time", 1.0 / 3600.0, hours),
            None => assert_eq!(code(&c, "supply.run_time"), Some(Code::Missing)),
        }
        assert!(wrong.is_empty(), "{wrong:#?}");
    }
}

/// How the checks of these stations stand. The reference names the slider's brown-out and nothing
/// else.
#[test]
fn checks_of_the_demos() {
    for (name, under) in [
        ("turntable", &[][..]),
        ("vent_lever", &[]),
        ("camera_slider", &["check.brown_out"]),
        ("focus_stage", &[]),
    ] {
        let design = demo(name);
        let c = Eval::new(&design);
        for id in CHECKS {
            let status = if under.contains(&id) {
                Status::Fails
            } else if name == "vent_lever"
                && ["check.bridge_temperature", "check.regulator_temperature"].contains(&id)
            {
                // Its winding is above its limit: how warm the boards get behind it cannot be said.
                Status::Waits
            } else {
                Status::Passes
            };
            assert_eq!(held(&c, id).status(), status, "{id}");
        }
    }
    let design = demo("vent_lever");
    let c = Eval::new(&design);
    assert!(agrees(value(&c, "wiring.ground_shift"), "0.106"));
    // By hand: 3.3 V − 0.106 V − 2.31 V; the other way round nothing flows back: 3.6 V − 3.3 V.
    assert!(agrees(value(&c, "wiring.level_margin_high"), "0.884"));
    assert!(agrees(value(&c, "wiring.level_margin_max"), "0.300"));
}

/// The slider's cells cannot hold its 5 V logic up; the rule in volts of sag gives 0.75.
#[test]
fn slider_browns_out() {
    let design = demo("camera_slider");
    let c = Eval::new(&design);
    let check = held(&c, "check.brown_out");
    assert_eq!(check.status(), Status::Fails);
    assert!(agrees(check.ratio().expect("a margin"), "0.75"));
    let (severity, message) = said(&c, "brown_out").expect("it is said");
    assert_eq!(severity, Severity::Fault);
    assert!(message.contains("5.45 V"), "{message}");
    // Half the stall torque that this lid needs is no matter of wire.
    let heavy = with(
        &Design::default(),
        &[("axis.load_mass", "0.4 kg"), ("axis.radius", "120 mm")],
    );
    assert_eq!(code(&Eval::new(&heavy), "fit.gauge"), Some(Code::Waits));
    // No wire cures what the cells lose in themselves.
    assert_eq!(code(&c, "fit.gauge"), Some(Code::Impossible));
    let why = answer(&c, "fit.gauge").expect_err("no wire").message();
    assert!(why.contains("the source itself drops too far"), "{why}");
}

/// The three cures that the reference computation found by bisection to a margin of 1.25.
#[test]
fn slider_is_cured() {
    for (id, text, clear) in [
        ("supply.source_resistance", "0.68 Ohm", true),
        ("supply.source_resistance", "0.72 Ohm", false),
        ("regulator.output_voltage", "4.62 V", true),
        ("regulator.output_voltage", "4.65 V", false),
    ] {
        let design = with(&demo("camera_slider"), &[(id, text)]);
        let c = Eval::new(&design);
        let margin = margin(&c, "check.brown_out");
        assert_eq!(margin >= 1.25, clear, "{id} = {text}: {margin}");
    }
}

/// Every check of these stations is clear in the neutral design; the pins are the tightest, against
/// a jam.
#[test]
fn neutral_design_is_clear() {
    for kind in register::Kind::WORDS {
        let design = entered(&[("axis.kind", kind)]);
        let c = Eval::new(&design);
        for id in CHECKS {
            assert_eq!(held(&c, id).status(), Status::Passes, "{kind}: {id}");
        }
        let margin = margin(&c, "check.connector");
        assert!(agrees(margin, "1.52"), "{kind}: {margin}");
        assert!(said(&c, "energy_source").is_none());
    }
}

/// The vent lever's buck regulator rests in each period at 27 mA.
#[test]
fn vent_lever_conducts_discontinuously() {
    let design = demo("vent_lever");
    let c = Eval::new(&design);
    assert_eq!(
        said(&c, "discontinuous_conduction").map(|(severity, _)| severity),
        Some(Severity::Note)
    );
    // By hand: √(2·27 mA·3.3 V·9 V/(33 µH·600 kHz·12.3 V)).
    assert!(agrees(
        value(&c, "regulator.peak_inductor_current"),
        "0.0812"
    ));
}

/// A battery is a danger however small; a mains supply only from 8 A on.
#[test]
fn energy_sources() {
    let says = |design: &Design| said(&Eval::new(design), "energy_source");
    let plain = Design::default();
    assert_eq!(says(&plain), None);
    for entries in [
        &[("supply.capacity", "2 A.h")][..],
        &[("supply.sinks_current", "yes")],
        &[("supply.current_limit", "10 A")],
    ] {
        let (severity, message) = says(&with(&plain, entries)).expect("it is said");
        assert_eq!(severity, Severity::Danger);
        assert!(message.contains(" fuse within a hand's width"), "{message}");
    }
    // 10 A on the label, but 6 V over 1.1 Ω is no more than 5.5 A.
    let far = [
        ("supply.current_limit", "10 A"),
        ("supply.source_resistance", "1.1 Ohm"),
    ];
    assert_eq!(says(&with(&plain, &far)), None);
}

/// What can be said without the move is said: the jam, the regulator, the short.
#[test]
fn something_is_said_without_the_move() {
    let mut design = entered(&[("axis.kind", "belt")]);
    // An angle, but a belt moves along a line.
    enter(&mut design, "move.distance", "90 deg");
    let c = Eval::new(&design);
    for id in [
        "supply.stall_current",
        "supply.voltage_at_stall",
        "supply.voltage_needed",
        "regulator.loss",
        "regulator.temperature_rise",
        "wiring.short_current",
        "wiring.trace_current",
    ] {
        assert!(answer(&c, id).is_ok(), "{id}");
    }
    assert!(answer(&c, "supply.worst_current").is_err());
    assert_eq!(held(&c, "check.brown_out").status(), Status::Unknown);
    // What is under whatever the move may be, is under.
    for (id, text) in [
        ("supply.lowest_voltage", "3.5 V"),
        ("wiring.pin_current", "0.5 A"),
        ("supply.current_limit", "0.5 A"),
        ("wiring.logic_high", "5 V"),
        ("regulator.junction_to_ambient", "500 K/W"),
        ("regulator.mcu_current", "200 mA"),
    ] {
        enter(&mut design, id, text);
    }
    let c = Eval::new(&design);
    for id in [
        "check.brown_out",
        "check.connector",
        "check.supply_current",
        "check.logic_level",
        "check.regulator_temperature",
    ] {
        assert_eq!(held(&c, id).status(), Status::Fails, "{id}");
    }
}

/// A cable that cannot carry the power lets the motor make no move: what hangs on it waits.
#[test]
fn overload_waits() {
    let design = with(
        &demo("camera_slider"),
        &[("supply.source_resistance", "4 Ohm")],
    );
    let c = Eval::new(&design);
    assert_eq!(code(&c, "supply.worst_current"), Some(Code::Waits));
    assert_eq!(held(&c, "check.voltage").status(), Status::Fails);
    assert_eq!(held(&c, "check.supply_current").status(), Status::Waits);
}

/// A 5 V source at a 3.3 V pin: a divider that makes the level fit, and it does.
#[test]
fn levels_are_divided() {
    let design = entered(&[("wiring.logic_high", "5 V")]);
    let c = Eval::new(&design);
    assert_eq!(held(&c, "check.logic_level").status(), Status::Fails);
    let (upper, lower) = (
        value(&c, "fit.divider_upper"),
        value(&c, "fit.divider_lower"),
    );
    let divided = 5.0 * lower / (upper + lower);
    assert!((2.31 + 0.25..3.6 - 0.25).contains(&divided), "{divided}");
    let (_, message) = said(&c, "level_mismatch").expect("it is said");
    assert!(message.contains("divider"), "{message}");
    // The pair that is prescribed can be entered, and clears the check.
    let entries = [
        ("wiring.divider_upper", format!("{upper} Ohm")),
        ("wiring.divider_lower", format!("{lower} Ohm")),
    ];
    let divided = with(&design, &entries);
    let c = Eval::new(&divided);
    assert_eq!(held(&c, "check.logic_level").status(), Status::Passes);
    assert!(said(&c, "level_mismatch").is_none());
    assert_eq!(code(&c, "fit.divider_upper"), Some(Code::Missing));
    // A level that is too low cannot be divided up.
    let design = entered(&[("wiring.logic_high", "1.8 V")]);
    let c = Eval::new(&design);
    assert!(answer(&c, "fit.divider_upper").is_err());
    let (_, message) = said(&c, "level_mismatch").expect("it is said");
    assert!(message.contains("level shifter"), "{message}");
}

/// A gauge and a cross-section that differ are named, and the cross-section is used.
#[test]
fn gauge_and_area_disagree() {
    let design = entered(&[("wiring.gauge", "26"), ("wiring.area", "0.25 mm2")]);
    let c = Eval::new(&design);
    assert!(agrees(value(&c, "wiring.area") * 1e6, "0.25"));
    assert!(said(&c, "inputs_disagree").is_some());
    let alike = entered(&[("wiring.gauge", "36"), ("wiring.area", "0.0126677 mm2")]);
    assert!(said(&Eval::new(&alike), "inputs_disagree").is_none());
}

/// The sizes that are advised make their checks clear.
#[test]
fn what_fits_is_clear() {
    let narrow = [("wiring.trace_width", "0.3 mm")];
    let design = with(&demo("vent_lever"), &narrow);
    let c = Eval::new(&design);
    assert_eq!(held(&c, "check.trace").status(), Status::Fails);
    assert!(said(&c, "trace_overloaded").is_some());
    let millimetres = value(&c, "fit.trace_width") * 1e3;
    let design = with(
        &demo("vent_lever"),
        &[("wiring.trace_width", &format!("{millimetres} mm"))],
    );
    assert_eq!(
        held(&Eval::new(&design), "check.trace").status(),
        Status::Passes
    );

    let far = [("wiring.length", "25 m"), ("wiring.gauge", "30")];
    let design = with(&demo("vent_lever"), &far);
    let c = Eval::new(&design);
    assert_ne!(held(&c, "check.brown_out").status(), Status::Passes);
    let gauge = value(&c, "fit.gauge");
    let wired = [
        ("wiring.length", "25 m".to_string()),
        ("wiring.gauge", gauge.to_string()),
    ];
    let design = with(&demo("vent_lever"), &wired);
    let c = Eval::new(&design);
    assert_eq!(held(&c, "check.brown_out").status(), Status::Passes);

    // A quick, heavy turntable pumps a small capacitor up.
    let quick = [
        ("axis.kind", "turntable"),
        ("axis.payload_inertia", "20000 g.cm2"),
        ("gears.ratio", "20"),
        ("gears.efficiency", "0.9"),
        ("motor.no_load_speed", "800 r/min"),
        ("move.distance", "28800 deg"),
        ("move.time", "12 s"),
        ("supply.bulk_capacitance", "10 uF"),
    ];
    let design = entered(&quick);
    let c = Eval::new(&design);
    assert_eq!(
        held(&c, "check.regenerated_voltage").status(),
        Status::Fails
    );
    assert!(said(&c, "regeneration_overvoltage").is_some());
    let microfarads = value(&c, "fit.capacitance") * 1e6;
    let design = with(
        &design,
        &[("supply.bulk_capacitance", &format!("{microfarads} uF"))],
    );
    let c = Eval::new(&design);
    assert_eq!(
        held(&c, "check.regenerated_voltage").status(),
        Status::Passes
    );
}

/// A move that the motor cannot make has no current; what is said of it says so and no more.
#[test]
fn impossible_moves_have_no_current() {
    let shown = |time: &str| {
        let design = with(&demo("focus_stage"), &[("move.time", time)]);
        let c = Eval::new(&design);
        let index = register::find("supply.worst_current").expect("an id");
        pulsewright_sheet::evaluation::display::display(&c, index, 3)
    };
    assert_eq!(shown("8 s"), "61.1 mA");
    assert_eq!(shown("2 s"), "waits: the motor cannot make this move");
}

const MARGINS: [&str; 4] = [
    "wiring.level_margin_high",
    "wiring.level_margin_low",
    "wiring.level_margin_max",
    "wiring.level_margin_min",
];

/// Source: "presets arm", "presets screw" and "presets torque" of the independent reference, version
/// 3: shift, four margins, and the least of them in volts.
#[test]
fn levels_of_the_neutral_design() {
    for (kind, shift, margins) in [
        (
            "arm",
            "0.0105124286536",
            [
                "0.979487571346",
                "0.790000000000",
                "0.300000000000",
                "0.489487571346",
            ],
        ),
        (
            "screw",
            "0.00553286872949",
            [
                "0.984467131271",
                "0.790000000000",
                "0.300000000000",
                "0.494467131271",
            ],
        ),
        (
            "torque",
            "0.0106651857707",
            [
                "0.979334814229",
                "0.790000000000",
                "0.300000000000",
                "0.489334814229",
            ],
        ),
    ] {
        let design = entered(&[("axis.kind", kind)]);
        let c = Eval::new(&design);
        let found = value(&c, "wiring.ground_shift");
        assert!(agrees(found, shift), "{kind}: {found}");
        assert_eq!(value(&c, "wiring.ground_shift_back"), 0.0);
        for (id, printed) in MARGINS.iter().zip(margins) {
            let found = value(&c, id);
            assert!(agrees(found, printed), "{kind} {id}: {found}");
        }
        let check = held(&c, "check.logic_level");
        assert_eq!(check.status(), Status::Passes);
        assert!(agrees(
            check.margin.expect("a margin").capability,
            "0.300000000000"
        ));
    }
}

/// By hand: what stands between the pulses and the input, without a ground shift.
#[test]
fn every_interface_has_its_four_margins() {
    let low = |r: f64| 0.99 - 0.2 * r;
    let least = |r: f64| 0.2 * r + 0.3;
    let divided = 3.3 / 5.1;
    for (entries, margins) in [
        (&[][..], [5.0 - 2.31, low(1.0), 3.6 - 5.0, least(1.0)]),
        (
            &[
                ("wiring.divider_upper", "1.8 kOhm"),
                ("wiring.divider_lower", "3.3 kOhm"),
            ],
            [
                5.0 * divided - 2.31,
                low(divided),
                3.6 - 5.0 * divided,
                least(divided),
            ],
        ),
        (
            &[("wiring.pulse_interface", "shifter")],
            [3.3 - 2.31, low(1.0), 3.6 - 3.3, least(1.0)],
        ),
        (
            &[("wiring.pulse_interface", "isolator")],
            [3.3 - 2.31, low(1.0), 3.6 - 3.3, least(1.0)],
        ),
    ] {
        let apart = [("wiring.logic_high", "5 V"), ("wiring.ground_at", "board")];
        let design = with(&entered(&apart), entries);
        let c = Eval::new(&design);
        assert_eq!(value(&c, "wiring.ground_shift"), 0.0);
        for (id, by_hand) in MARGINS.iter().zip(margins) {
            let found = value(&c, id);
            assert!((found - by_hand).abs() < 1e-12, "{entries:?} {id}: {found}");
        }
    }
    // A divider of which nothing is told cannot be judged.
    let design = entered(&[("wiring.pulse_interface", "divider")]);
    let c = Eval::new(&design);
    assert_eq!(code(&c, "wiring.level_margin_high"), Some(Code::Missing));
    assert_eq!(held(&c, "check.logic_level").status(), Status::Unknown);
}

/// By hand, in volts: the low level passes with 0.2 V, is tight down to 0 V and fails below.
#[test]
fn levels_are_judged_in_volts() {
    for (low, status) in [
        ("0.79 V", Status::Passes),
        ("0.8 V", Status::Tight),
        ("0.99 V", Status::Tight),
        ("1 V", Status::Fails),
    ] {
        let design = entered(&[("wiring.logic_low", low)]);
        let c = Eval::new(&design);
        assert_eq!(held(&c, "check.logic_level").status(), status, "{low}");
        assert_eq!(
            said(&c, "level_mismatch").is_some(),
            status == Status::Fails
        );
    }
}

/// 5 m of wire between 3.3 V and 3.3 V do not fail the level; a ground shift that does is named, and
/// a ground at the board or an isolator takes it away.
#[test]
fn a_ground_shift_is_named_and_taken_away() {
    let far = entered(&[("axis.kind", "arm"), ("wiring.length", "5 m")]);
    assert_eq!(
        held(&Eval::new(&far), "check.logic_level").status(),
        Status::Passes
    );
    let farther = [("wiring.length", "18 m"), ("wiring.input_high", "3 V")];
    let design = with(&far, &farther);
    let c = Eval::new(&design);
    assert_eq!(held(&c, "check.logic_level").status(), Status::Fails);
    let (_, message) = said(&c, "level_mismatch").expect("it is said");
    assert!(message.contains("ground shift"), "{message}");
    for cure in [
        ("wiring.ground_at", "board"),
        ("wiring.ground_at", "isolated"),
        ("wiring.pulse_interface", "isolator"),
    ] {
        let design = with(&design, &[cure]);
        let c = Eval::new(&design);
        assert_eq!(
            held(&c, "check.logic_level").status(),
            Status::Passes,
            "{cure:?}"
        );
    }
}

/// Power that braking gives back lowers the board's ground where the supply takes it; by hand:
/// nothing where it does not, and half the drop of the wire where it does.
#[test]
fn a_returned_current_shifts_the_ground_the_other_way() {
    let quick = [
        ("axis.kind", "turntable"),
        ("axis.payload_inertia", "20000 g.cm2"),
        ("gears.ratio", "20"),
        ("gears.efficiency", "0.9"),
        ("motor.no_load_speed", "800 r/min"),
        ("move.distance", "28800 deg"),
        ("move.time", "12 s"),
        ("wiring.length", "10 m"),
    ];
    let design = entered(&quick);
    let c = Eval::new(&design);
    let power = value(&c, "wiring.regenerated_power");
    assert!(power > 0.1, "{power}");
    assert_eq!(value(&c, "wiring.ground_shift_back"), 0.0);
    let design = with(&design, &[("supply.sinks_current", "yes")]);
    let c = Eval::new(&design);
    let path = value(&c, "drive.supply_path_resistance");
    let volts = value(&c, "drive.lowest_voltage");
    // What flows back meets the source's voltage and its own drop: V·i + R·i² = p.
    let back = value(&c, "wiring.ground_shift_back") * 2.0 / value(&c, "wiring.supply_resistance");
    let current = back + value(&c, "supply.board_current");
    assert!((volts * current + path * current * current - power).abs() < 1e-9 * power);
}

/// No published value: with the wire that is told no check that rests on it is under, and each is as
/// clear as any thinner wire leaves it; where none is told, the check that is named is under with
/// every wire.
#[test]
fn the_wire_to_fit_is_the_thinnest_that_serves() {
    let gauges = [
        "30", "28", "26", "24", "22", "20", "18", "16", "12", "8", "4", "0",
    ];
    let wire = crate::common::input("wiring.area");
    let wired = |design: &Design, gauge: &str| {
        let design = with(design, &[("wiring.area", ""), ("wiring.gauge", gauge)]);
        let c = Eval::new(&design);
        let resting = check::all(&c)
            .into_iter()
            .filter(|held| held.depends_on.has(wire) && held.status() != Status::Unknown);
        resting
            .map(|held| (held.check.id, held.status()))
            .collect::<Vec<_>>()
    };
    let short = |checks: &[(&str, Status)]| checks.iter().filter(|c| c.1 != Status::Passes).count();
    let far = [("wiring.length", "25 m")];
    let mut told = 0;
    for (name, design) in demos_and_kinds() {
        for design in [design.clone(), with(&design, &far)] {
            let Ok(gauge) = answer(&Eval::new(&design), "fit.gauge") else {
                continue;
            };
            told += 1;
            // What every wire leaves as it is does not rest on it.
            let with_each = gauges.map(|gauge| wired(&design, gauge));
            let rests = |check: &(&str, Status)| {
                let failing = (check.0, Status::Fails);
                !with_each.iter().all(|checks| {
                    let waiting = checks.contains(&(check.0, Status::Waits));
                    waiting || checks.contains(&failing)
                })
            };
            let mut at = wired(&design, &gauge.to_string());
            at.retain(rests);
            assert!(at.iter().all(|c| c.1 != Status::Fails), "{name}: {at:?}");
            for thinner in gauges
                .iter()
                .filter(|g| g.parse::<f64>().is_ok_and(|g| g > gauge))
            {
                let mut checks = wired(&design, thinner);
                checks.retain(rests);
                let cool = {
                    let design = with(&design, &[("wiring.area", ""), ("wiring.gauge", thinner)]);
                    let c = Eval::new(&design);
                    answer(&c, "wiring.cable_current")
                        .is_ok_and(|current| value(&c, "wiring.wire_current") >= 1.25 * current)
                };
                let under = checks.iter().any(|c| c.1 == Status::Fails);
                assert!(
                    !cool || under || short(&checks) > short(&at),
                    "{name}: {thinner}"
                );
            }
        }
    }
    assert!(told > 10, "{told}");
    for (id, text, named) in [
        ("wiring.pin_current", "0.2 A", "the connector current"),
        ("bridge.current_limit", "0.2 A", "the driver current"),
        (
            "gears.peak_torque",
            "1 mN.m",
            "the gearbox peak torque at stall",
        ),
    ] {
        let first = entered(&[("gears.continuous_torque", "0.5 mN.m")]);
        let design = with(
            &if id.starts_with("gears") {
                first
            } else {
                Design::default()
            },
            &[(id, text)],
        );
        let c = Eval::new(&design);
        let why = answer(&c, "fit.gauge").expect_err("no wire").message();
        assert!(why.contains(named), "{id}: {why}");
    }
}
