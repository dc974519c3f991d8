//! The four demos against an independent reference computation of the register: loop, position
//! error, what cures a shortfall, ranking.

use crate::common::{code, demo, demos, entered, held, input, margin, said, value_of, with};
use pulsewright_sheet::analysis::gearbox::{self, Gearbox};
use pulsewright_sheet::analysis::solve;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Severity;
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::evaluation::display::display;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::evaluation::{Code, Eval};
use pulsewright_sheet::output::rank::{self, ColumnMeaning, TableError};
use pulsewright_sheet::register;
use pulsewright_test_support::agrees;

/// Source: independent reference computation of the register.
#[test]
fn loops_of_the_demos() {
    for (name, phase, kick) in [
        ("turntable", "60.1", "0"),
        ("vent_lever", "50.5", "0.01"),
        ("camera_slider", "44.7", "0"),
        ("focus_stage", "67.3", "0"),
    ] {
        let design = demo(name);
        let degrees = value_of(&design, "loop.phase_margin").to_degrees();
        assert!(agrees(degrees, phase), "{name}: {degrees}");
        let share = value_of(&design, "loop.derivative_kick");
        assert!(agrees(share, kick), "{name}: {share}");
    }
}

/// Source: independent reference computation of the register.
#[test]
fn errors_of_the_demos() {
    let worst = |design: &Design| 1e3 * value_of(design, "error.worst");
    let turntable = demo("turntable");
    assert!(agrees(worst(&turntable), "0.622"));
    assert!(agrees(
        worst(&with(&turntable, &[("move.approach", "one_side")])),
        "0.190"
    ));
    assert!(agrees(
        worst(&with(&turntable, &[("move.approach", "centred")])),
        "0.406"
    ));
    assert!(agrees(
        margin(&Eval::new(&turntable), "check.position"),
        "0.48"
    ));
    let one_side = with(&turntable, &[("move.approach", "one_side")]);
    assert!(agrees(
        margin(&Eval::new(&one_side), "check.position"),
        "1.58"
    ));
    let lever = demo("vent_lever");
    let degrees = (worst(&lever) / 110.0).to_degrees();
    assert!(agrees(degrees, "2.2"), "{degrees}");
    assert_eq!(value_of(&lever, "error.backlash"), 0.0);
    let slider = demo("camera_slider");
    assert!(agrees(worst(&slider), "0.656"));
    assert!(agrees(
        margin(&Eval::new(&slider), "check.position"),
        "0.61"
    ));
    let mended = with(&slider, &[("steps.decimals", "3")]);
    assert!(agrees(1e3 * value_of(&mended, "error.rounding"), "0.037"));
    assert!(agrees(
        margin(&Eval::new(&mended), "check.position"),
        "1.50"
    ));
    assert!(agrees(1e3 * worst(&demo("focus_stage")), "8.4"));
}

/// Source: independent reference computation of the register (cures by bisection to 1.25).
#[test]
fn cures_of_the_demos() {
    let said = [("move.holding_current", "no_friction")];
    let lever = with(&demo("vent_lever"), &said);
    let cure =
        |id: &str, check: &str| solve::nearest(&Eval::new(&lever), input(id), check).expect(id);
    assert!(agrees(
        cure("axis.load_mass", "check.winding_temperature"),
        "0.743"
    ));
    assert!(agrees(
        1e3 * cure("axis.radius", "check.winding_temperature"),
        "78.7"
    ));
    assert!(agrees(
        cure("gears.ratio", "check.winding_temperature"),
        "97.5"
    ));
    assert!(agrees(
        cure("motor.housing_to_ambient", "check.winding_temperature"),
        "2"
    ));
    let ambient = cure("axis.ambient_temperature", "check.holding_current") - 273.15;
    assert!(agrees(ambient, "-15"), "{ambient}");
    assert_eq!(
        cure("move.holding_current", "check.winding_temperature"),
        2.0
    );
    // Each leaves all other checks clear: the whole verdict follows.
    for design in [
        with(&lever, &[("axis.load_mass", "0.742 kg")]),
        with(&lever, &[("axis.radius", "78.6 mm")]),
        gearbox::other_gearbox(&Eval::new(&lever), Gearbox::Ratio("97.6")).expect("a gearbox"),
    ] {
        for held in check::all(&Eval::new(&design)) {
            let motor_side = !matches!(held.check.id, "check.logic_level" | "check.brown_out");
            assert!(
                !motor_side || held.ratio().is_none_or(|m| m >= 1.25),
                "{held:?}"
            );
        }
    }
    let turntable = demo("turntable");
    let play = solve::nearest(
        &Eval::new(&turntable),
        input("gears.backlash"),
        "check.position",
    )
    .expect("a cure");
    assert!(agrees(play.to_degrees(), "0.019"), "{play}");
    let approach = solve::nearest(
        &Eval::new(&turntable),
        input("move.approach"),
        "check.position",
    );
    assert_eq!(approach, Some(2.0));
    for id in ["encoder.pole_pairs", "loop.deadband", "motor.no_load_speed"] {
        assert_eq!(
            solve::nearest(&Eval::new(&turntable), input(id), "check.position"),
            None,
            "{id}"
        );
    }
    let slider = demo("camera_slider");
    assert_eq!(
        solve::nearest(
            &Eval::new(&slider),
            input("steps.decimals"),
            "check.position"
        ),
        Some(3.0)
    );
}

#[test]
fn a_cure_clears_its_check_and_a_little_less_does_not() {
    let lever = demo("vent_lever");
    for id in [
        "axis.load_mass",
        "axis.radius",
        "motor.housing_to_ambient",
        "motor.winding_to_housing",
    ] {
        for check in ["check.holding_current", "check.winding_temperature"] {
            let Some(cure) = solve::nearest(&Eval::new(&lever), input(id), check) else {
                continue;
            };
            let present = value_of(&lever, id);
            let at = |v: f64| {
                let text = pulsewright_sheet::text::number::text(v, 13);
                margin(&Eval::new(&with(&lever, &[(id, text)])), check)
            };
            assert!(at(cure) >= 1.25 - 1e-12, "{id} {check}");
            assert!(at(cure + (present - cure) * 1e-6) < 1.25, "{id} {check}");
        }
    }
}

/// The load found is the greatest: a hair more and the check named is under.
#[test]
fn greatest_loads() {
    for (name, besides) in [
        ("turntable", &[][..]),
        ("vent_lever", &[]),
        ("camera_slider", &["check.position"]),
        ("focus_stage", &[]),
    ] {
        let design = demo(name);
        let most = solve::max_load(&Eval::new(&design)).expect(name);
        assert_eq!(most.input, input("axis.load_mass"));
        assert_eq!(most.besides, besides, "{name}");
        let at = |load: f64| {
            let text = pulsewright_sheet::text::number::text(load, 13);
            check::all(&Eval::new(&with(&design, &[("axis.load_mass", text)])))
        };
        for held in at(most.load)
            .iter()
            .filter(|h| h.depends_on.has(most.input))
        {
            let met = held.ratio().is_none_or(|m| m >= 1.0 - 1e-9);
            assert!(met || besides.contains(&held.check.id), "{name}: {held:?}");
        }
        let binding = most.check.expect("a check binds");
        let more = at(most.load * (1.0 + 1e-6));
        let held = more.iter().find(|h| h.check.id == binding).expect("held");
        assert!(held.ratio().is_some_and(|m| m < 1.0), "{name}: {held:?}");
    }
    // Twice the motor's speed: no load is light enough.
    let fast = with(&demo("turntable"), &[("move.time", "0.5 s")]);
    let shown = |design: &Design| {
        let c = Eval::new(design);
        display(&c, register::find("verdict.max_load").expect("an id"), 3)
    };
    assert_eq!(shown(&fast), "none: too slow at any load");
    let slider = shown(&demo("camera_slider"));
    let (_, fails) = slider
        .split_once("; fails at any load: ")
        .expect("what fails");
    assert_eq!(fails, "position error, rounding of steps/unit");
    assert!(shown(&demo("turntable")).ends_with(", limited by: backlash"));
    let torque = entered(&[("axis.kind", "torque")]);
    let most = solve::max_load(&Eval::new(&torque)).expect("torque");
    assert_eq!(most.input, input("axis.load_torque_given"));
    assert!(most.load > value_of(&torque, "axis.load_torque_given"));
}

/// No published value: without a figure of the stepper nothing is compared.
#[test]
fn comparison_needs_a_stepper() {
    let neutral = Design::default();
    let asked = with(&neutral, &[("stepper.mass", "260 g")]);
    for result in register::results()
        .iter()
        .filter(|r| r.id.starts_with("compare."))
    {
        assert_eq!(
            code(&Eval::new(&neutral), result.id),
            Some(Code::Missing),
            "{}",
            result.id
        );
        assert_eq!(code(&Eval::new(&asked), result.id), None, "{}", result.id);
    }
    let rows = |end: &str| {
        let all = register::results().iter();
        all.filter(|r| r.id.starts_with("compare.") && r.id.ends_with(end))
            .count()
    };
    assert_eq!((rows("_converted"), rows("_stepper")), (10, 10));
    // 0.26 kg, 1.2 A in 2.5 Ω: 7.2 W to hold, arithmetic.
    assert!(agrees(
        value_of(&asked, "compare.hold_power_stepper"),
        "7.20"
    ));
    assert!(agrees(
        value_of(&asked, "compare.torque_per_mass_stepper"),
        "1.538"
    ));
}

/// The torque held for ten seconds leaves the winding at its limit after ten seconds.
#[test]
fn ten_seconds_are_ten_seconds() {
    let slider = with(&demo("camera_slider"), &[("gears.peak_torque", "5 N.m")]);
    let held = value_of(&slider, "compare.torque_10_s_converted");
    let per_ampere =
        value_of(&slider, "gears.exact_ratio") * value_of(&slider, "motor.torque_constant");
    let current = held / per_ampere;
    let limit =
        value_of(&slider, "bridge.current_limit").min(value_of(&slider, "drive.stall_current"));
    assert!(current <= limit * (1.0 + 1e-12));
    if current < limit * (1.0 - 1e-9) {
        let c = Eval::new(&slider);
        let model = pulsewright_sheet::stations::shared::thermal_model(&c).expect("a model");
        let hot = c
            .get(register::motor::MAX_WINDING_TEMPERATURE)
            .expect("a limit");
        let current = pulsewright_calc::units::ElectricCurrent::new::<
            uom::si::electric_current::ampere,
        >(current);
        let pulsewright_calc::heat::HeatingTime::After(time) =
            pulsewright_calc::heat::hold_time(model, current, hot)
        else {
            panic!("unlimited")
        };
        assert!((time.value - 10.0).abs() < 1e-6);
    }
}

#[test]
fn words_of_the_settings() {
    let c = |design: &Design, id: &str| {
        let c = Eval::new(design);
        display(&c, register::find(id).expect(id), 4)
    };
    let slider = demo("camera_slider");
    assert!(c(&slider, "settings.max_speed").ends_with(" mm/min"));
    assert_eq!(c(&slider, "settings.steps_per_unit"), "9.69 per mm");
    assert!(c(&demo("vent_lever"), "settings.max_speed").ends_with(" °/min"));
    assert!(c(&demo("vent_lever"), "settings.acceleration").ends_with(" °/s²"));
    // All digits of a number that goes into the firmware.
    let fixed = value_of(&slider, "settings.proportional_fixed");
    assert_eq!(
        c(&slider, "settings.proportional_fixed"),
        pulsewright_sheet::text::number::int(fixed as i64)
    );
    let off = with(&slider, &[("loop.integral_time", "none")]);
    assert_eq!(
        code(&Eval::new(&off), "settings.integral_fixed"),
        Some(Code::Missing)
    );
    assert_eq!(code(&Eval::new(&off), "error.worst"), None);
}

#[test]
fn the_first_power_up_is_always_warned_of() {
    for (_, design) in demos() {
        let c = Eval::new(&design);
        let all = finding::all(&c);
        let said = all
            .iter()
            .find(|s| s.finding.id == "runs_away")
            .expect("runs_away");
        assert_eq!(said.severity, Severity::Caution);
        let idle = value_of(&design, "motor.no_load_current");
        assert_eq!(
            said.numbers(&c),
            [("settings.first_power_current", 3.0 * idle)]
        );
    }
    let fast = with(&demo("vent_lever"), &[("loop.bandwidth", "50 Hz")]);
    let c = Eval::new(&fast);
    for id in ["derivative_chatter", "loop_margin_low"] {
        assert!(said(&c, id).is_some(), "{id}");
    }
}

/// The same gearbox again changes nothing; another one keeps motor, play and strength.
#[test]
fn another_gearbox_on_the_same_motor() {
    for (name, design) in demos() {
        let stages = design.text(input("gears.stages")).to_string();
        let same =
            gearbox::other_gearbox(&Eval::new(&design), Gearbox::Stages(&stages)).expect(name);
        let (a, b) = (Eval::new(&design), Eval::new(&same));
        for held in check::all(&a) {
            let again = self::held(&b, held.check.id);
            let (x, y) = (held.ratio().unwrap_or(0.0), again.ratio().unwrap_or(0.0));
            assert!(
                (x - y).abs() <= 1e-9 * x.abs().max(1.0),
                "{name}: {}: {x} {y}",
                held.check.id
            );
        }
        let twice =
            gearbox::other_gearbox(&Eval::new(&design), Gearbox::Ratio("12.5")).expect(name);
        for id in [
            "motor.back_emf_constant",
            "gears.backlash",
            "gears.peak_torque",
        ] {
            let (x, y) = (value_of(&design, id), value_of(&twice, id));
            assert!((x / y - 1.0).abs() < 1e-9, "{name}: {id}: {x} {y}");
        }
        assert_eq!(value_of(&twice, "gears.exact_ratio"), 12.5);
        // Equal stages: the loss of one stage stays what it was.
        let per_stage = |d: &Design| {
            libm::pow(
                value_of(d, "gears.efficiency"),
                1.0 / value_of(d, "gears.stage_count"),
            )
        };
        assert!(
            (per_stage(&design) / per_stage(&twice) - 1.0).abs() < 1e-9,
            "{name}"
        );
    }
    assert!(gearbox::other_gearbox(&Eval::new(&Design::default()), Gearbox::Ratio("x")).is_err());
    assert!(
        gearbox::other_gearbox(&Eval::new(&Design::default()), Gearbox::Stages("12:36")).is_err()
    );
}

#[test]
fn tolerances_go_with_the_figures() {
    let torque = [("motor.stall_torque", "1.55 kgf.cm ± 12 %")];
    let design = with(&demo("camera_slider"), &torque);
    let other =
        gearbox::other_gearbox(&Eval::new(&design), Gearbox::Ratio("50")).expect("a gearbox");
    assert!(other.text(input("motor.stall_torque")).ends_with("~12pct"));
}

#[test]
fn tables_of_motors() {
    let design = demo("vent_lever");
    let table = "Motor;Voltage;No-load speed (rpm);Stall torque [kgf.cm];Stall current (A);Ratio;Colour;Motor can diameter [mm]\r\n\
        strong;12;62,5;33;3,0;87,5;red;37\r\n\
        listed;12 V;78;26,5;3;69,755;red;37\r\n\
        weak;6;100;\"2,5\";0,8;100:1;;37\r\n\
        odd;12;fast;26;3;1:70;;37\r\n";
    let ranking = rank::rank(&design, table).expect("a table");
    let taken: Vec<Option<&str>> = ranking
        .headings
        .iter()
        .map(|h| match &h.taken {
            ColumnMeaning::Input { index, .. } => Some(register::id(*index)),
            ColumnMeaning::Name => Some("name"),
            ColumnMeaning::Nothing(_) => None,
        })
        .collect();
    assert_eq!(
        taken,
        [
            Some("name"),
            Some("motor.rated_voltage"),
            Some("motor.no_load_speed"),
            Some("motor.stall_torque"),
            Some("motor.stall_current"),
            Some("gears.ratio"),
            None,
            Some("motor.case_diameter")
        ]
    );
    let refused: Vec<(usize, &str)> = ranking
        .refused
        .iter()
        .map(|r| (r.line, r.text.as_str()))
        .collect();
    assert_eq!(refused, [(5, "fast"), (5, "1:70")]);
    let names: Vec<&str> = ranking.motors.iter().map(|m| m.name.as_str()).collect();
    assert_eq!(names.len(), 4);
    let ranks: Vec<u8> = ranking.motors.iter().map(|m| m.status.rank()).collect();
    assert!(ranks.is_sorted(), "{ranks:?}");
    let odd = ranking
        .motors
        .iter()
        .find(|m| m.name == "odd")
        .expect("odd");
    assert_eq!(odd.missing, ["motor.no_load_speed"]);
    // The decimal comma of such a table, and the unit of its heading.
    let strong = ranking
        .motors
        .iter()
        .find(|m| m.name == "strong")
        .expect("strong");
    assert_eq!(
        value_of(&strong.design, "motor.no_load_speed"),
        62.5 * core::f64::consts::PI / 30.0
    );
    assert_eq!(value_of(&strong.design, "gears.exact_ratio"), 87.5);
    // The old motor's inertia went, its added mass stayed.
    assert_eq!(strong.design.text(input("motor.rotor_inertia")), "");
    assert_eq!(strong.design.text(input("motor.added_mass")), "24g");
    let before = |a: &str, b: &str| {
        let at = |n: &str| names.iter().position(|m| *m == n);
        at(a) < at(b)
    };
    assert!(before("strong", "weak"), "{names:?}");
}

#[test]
fn tables_by_ids_and_of_gearboxes() {
    let design = demo("vent_lever");
    let table = "name,gears.ratio\nA,97.6\nB,69.755\n\"C, short\",10\n";
    let ranking = rank::rank(&design, table).expect("a table");
    assert_eq!(ranking.refused, []);
    let motor_of = |name: &str| {
        ranking
            .motors
            .iter()
            .find(|m| m.name == name)
            .expect("motor")
    };
    assert_eq!(ranking.motors.first().map(|m| m.name.as_str()), Some("A"));
    let constant = value_of(&design, "motor.torque_constant");
    for name in ["A", "B", "C, short"] {
        let here = value_of(&motor_of(name).design, "motor.torque_constant");
        assert!((here / constant - 1.0).abs() < 1e-9, "{name}");
    }
    // Bare numbers under an id are SI; a wrong unit is named, not guessed.
    let ranking = rank::rank(&design, "motor.mass,gears.backlash [V]\n0.3,2\n").expect("a table");
    assert_eq!(value_of(&ranking.motors[0].design, "motor.mass"), 0.3);
    assert!(
        matches!(&ranking.headings[1].taken, ColumnMeaning::Nothing(why) if why.contains("no unit"))
    );
    // Words without a unit anywhere: 2 may be N·m or kgf·cm.
    let ranking = rank::rank(&design, "stall torque\n2\n").expect("a table");
    assert_eq!(ranking.refused.len(), 1);
    for (table, expected) in [
        ("", TableError::Empty),
        ("a,b\n1,2", TableError::NoHeading),
        ("ratio\n\"1", TableError::OpenQuote(2)),
    ] {
        assert_eq!(
            rank::rank(&design, table).err(),
            Some(expected),
            "{table:?}"
        );
    }
}
