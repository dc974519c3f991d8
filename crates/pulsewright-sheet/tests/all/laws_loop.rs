//! Laws that loop, position error, solving and ranking keep whatever the design.

use crate::common::{answer, entered, input, value_of, with};
use proptest::prelude::*;
use pulsewright_sheet::analysis::solve;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::{check, display};
use pulsewright_sheet::output::rank;
use pulsewright_sheet::register::{self, COUNT, INPUT_COUNT, Kind};
use pulsewright_sheet::text::measure::Measure;
use pulsewright_sheet::text::number;

/// A design of any kind with a motor, a move and a loop drawn at random.
fn any_design() -> impl Strategy<Value = Design> {
    (
        prop::sample::select(Kind::WORDS),
        prop::sample::select(&["either", "centred", "one_side"][..]),
        (10.0..800.0_f64, 0.4..3.0_f64, 0.02..0.3_f64),
        (0.5..15.0_f64, 0.4..1.0_f64, 0.1..5.0_f64, 0..6_u32),
        (20..600_u32, 0.2..6.0_f64, 1..12_u32),
    )
        .prop_map(|(kind, approach, motor, control, gears)| {
            let (speed, current, idle) = motor;
            let (bandwidth, damping, sample, delay) = control;
            let (ratio, play, poles) = gears;
            entered(&[
                ("axis.kind", kind.into()),
                ("move.approach", approach.into()),
                ("motor.no_load_speed", format!("{speed} r/min")),
                ("motor.stall_current", format!("{current} A")),
                ("motor.no_load_current", format!("{} A", idle * current)),
                ("loop.bandwidth", format!("{bandwidth} Hz")),
                ("loop.damping", format!("{damping}")),
                ("loop.sample_time", format!("{sample} ms")),
                ("loop.delay", delay.to_string()),
                ("gears.ratio", ratio.to_string()),
                ("gears.backlash", format!("{play} deg")),
                ("encoder.pole_pairs", poles.to_string()),
                ("stepper.mass", "260 g".into()),
            ])
        })
}

/// Checks that a heavier load may ease: its weight brakes where braking pumped the supply up, it
/// keeps the teeth on one flank, and its inertia is part of the loop's plant.
const EASED: [&str; 4] = [
    "check.regenerated_voltage",
    "check.phase_margin",
    "check.backlash",
    "check.position",
];

/// At its limit of bandwidth the loop keeps both conditions, and a little above it does not.
fn bandwidth_limit_is_one(design: &Design) {
    let c = Eval::new(design);
    let Ok(limit) = answer(&c, "loop.bandwidth_limit") else {
        return;
    };
    if limit < 0.01 || limit * value_of(design, "loop.sample_time") > 0.099 {
        return;
    }
    let found = |bandwidth: f64| {
        let at = with(design, &[("loop.bandwidth", &format!("{bandwidth}"))]);
        let margin = value_of(&at, "loop.phase_margin").to_degrees();
        (value_of(&at, "loop.derivative_kick"), margin)
    };
    let (kick, margin) = found(limit);
    assert!(
        kick <= 0.2 + 1e-9 && margin >= 40.0 - 1e-6,
        "{kick} {margin}"
    );
    let (kick, margin) = found(limit * 1.001);
    assert!(kick > 0.2 || margin < 40.0, "{kick} {margin}");
}

/// Here the crossover leaps to half the sampling frequency within a hundredth of the bandwidth: a hair too much
/// and there is no margin at all.
#[test]
fn the_bandwidth_limit_lies_on_the_good_side() {
    let entries = [
        ("axis.kind", "arm"),
        ("move.approach", "either"),
        ("motor.no_load_speed", "228.16791942065734 r/min"),
        ("motor.no_load_current", "0.05706507242451605 A"),
        ("motor.stall_current", "2.8532536212258024 A"),
        ("gears.ratio", "23"),
        ("gears.backlash", "0.2 deg"),
        ("encoder.pole_pairs", "4"),
        ("loop.sample_time", "3.8240526005808952 ms"),
        ("loop.delay", "0"),
        ("loop.bandwidth", "0.5 Hz"),
        ("loop.damping", "0.9579619733129239"),
        ("stepper.mass", "260 g"),
    ];
    bandwidth_limit_is_one(&entered(&entries.map(|(id, text)| (id, text.to_string()))));
}

proptest! {
    #[test]
    fn more_backlash_never_lowers_the_error(design in any_design(), more in 0.0..10.0_f64) {
        let play = value_of(&design, "gears.backlash") + more.to_radians();
        let worse = with(&design, &[("gears.backlash", &format!("{play} rad"))]);
        for id in ["error.worst", "error.standard_uncertainty"] {
            prop_assert!(value_of(&worse, id) >= value_of(&design, id) * (1.0 - 1e-12), "{id}");
        }
    }

    #[test]
    fn the_likely_error_is_no_greater_than_the_worst(design in any_design()) {
        prop_assert!(value_of(&design, "error.standard_uncertainty") <= value_of(&design, "error.worst"));
        let shares = ["backlash", "wind_up", "half_count", "half_step", "steady_state", "rounding", "transmission"];
        let sum: f64 = shares.iter().map(|s| value_of(&design, &format!("error.{s}")).abs()).sum();
        prop_assert!((sum / value_of(&design, "error.worst") - 1.0).abs() < 1e-9);
    }

    #[test]
    fn more_delay_never_raises_the_phase_margin(design in any_design()) {
        let margin = |delay: u32| {
            value_of(&with(&design, &[("loop.delay", &delay.to_string())]), "loop.phase_margin")
        };
        for delay in 0..5 {
            prop_assert!(margin(delay + 1) <= margin(delay) + 1e-12);
        }
    }

    #[test]
    fn gains_scale(design in any_design(), twice in 2..5_u32) {
        let by = f64::from(twice);
        let ratio = |other: &Design, id: &str| value_of(other, id) / value_of(&design, id);
        let close = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-12;
        // A finer timer has more steps for the same voltage, a finer encoder fewer for one count.
        let pwm = with(&design, &[("loop.pwm_resolution", &(1000 * twice).to_string())]);
        prop_assert!(close(ratio(&pwm, "loop.proportional_steps"), by));
        let poles = value_of(&design, "encoder.pole_pairs") * by;
        let fine = with(&design, &[("encoder.pole_pairs", &number::text(poles, 6))]);
        prop_assert!(close(ratio(&fine, "loop.proportional_per_count"), 1.0 / by));
        let slow = with(&design, &[("loop.integral_time", &format!("{} s", 0.2 * by))]);
        prop_assert!(close(ratio(&slow, "loop.integral_steps"), 1.0 / by));
        // Where ωn·τ is above a half the proportional gain goes with the square of the bandwidth.
        let bandwidth = value_of(&design, "loop.bandwidth");
        let turns = core::f64::consts::TAU * bandwidth * value_of(&design, "loop.time_constant");
        if turns > 0.5 && bandwidth * by * value_of(&design, "loop.sample_time") < 0.1 {
            let quick = with(&design, &[("loop.bandwidth", &format!("{}", bandwidth * by))]);
            prop_assert!(close(ratio(&quick, "loop.proportional_gain"), by * by));
        }
        // What the firmware stores is within half a unit of what it should be.
        let stored = value_of(&design, "settings.proportional_fixed");
        let meant = value_of(&design, "loop.proportional_steps");
        prop_assert!((stored - 65_536.0 * meant).abs() <= 0.5);
    }

    #[test]
    fn the_bandwidth_limit_is_one(design in any_design()) {
        bandwidth_limit_is_one(&design);
    }

    /// The working move against the load: a heavier one eases nothing but the named checks.
    #[test]
    fn more_load_never_raises_a_margin(design in any_design(), more in 1.001..4.0_f64) {
        let kind = Eval::new(&design).get(register::axis::KIND).unwrap();
        let load = if kind == Kind::Torque {
            "axis.load_torque_given"
        } else {
            "axis.load_mass"
        };
        let heavier = with(&design, &[(load, &format!("{}", value_of(&design, load) * more))]);
        let (a, b) = (Eval::new(&design), Eval::new(&heavier));
        let (light, heavy) = (check::all(&a), check::all(&b));
        let rests = light.iter().filter(|h| h.depends_on.has(input(load)));
        for held in rests.filter(|h| !EASED.contains(&h.check.id)) {
            let again = heavy.iter().find(|h| h.check.id == held.check.id).unwrap();
            // What is under may become unknown, where the supply breaks down, but no better.
            let least = held.status().rank().min(pulsewright_sheet::evaluation::Status::Waits.rank());
            prop_assert!(again.status().rank() >= least, "{}", held.check.id);
            let (Ok(before), Ok(after)) = (held.margin, again.margin) else { continue };
            if before.measure != after.measure {
                // Beyond any equilibrium currents stand for the temperatures.
                continue;
            }
            let margin = |margin: pulsewright_sheet::evaluation::Margin| margin.ratio().unwrap_or(f64::INFINITY);
            let (before, after) = (margin(before), margin(after));
            prop_assert!(after <= before * (1.0 + 1e-9), "{}: {before} {after}", held.check.id);
        }
    }

    /// One design in two sets of units; both texts denote the same number exactly.
    #[test]
    fn units_do_not_matter(
        kind in prop::sample::select(Kind::WORDS),
        grams in 20..900_i64,
        inches in 20..400_i64,
        volts in 40..200_i64,
        milliamperes in 300..3000_i64,
        torque in 20..400_i64,
        speed in 30..900_i64,
        play in 1..30_i64,
        warm in 0..7_i64,
        seconds in 5..300_i64,
        inertia in 1..900_i64,
    ) {
        let scaled = |n: i64, over: i64| {
            let digits = over.ilog10() as usize;
            format!("{}.{:0digits$}", n / over, n % over)
        };
        let pairs = [
            ("axis.load_mass", format!("{grams} g"), format!("{} kg", scaled(grams, 1000))),
            ("axis.radius", format!("{} in", scaled(inches, 100)), format!("{} mm", scaled(inches * 254, 1000))),
            ("supply.voltage", format!("{} V", scaled(volts, 10)), format!("{} mV", volts * 100)),
            ("motor.stall_current", format!("{milliamperes} mA"), scaled(milliamperes, 1000)),
            ("motor.stall_torque", format!("{} kgf.cm", scaled(torque, 10)), format!("{} N.m", scaled(torque * 980_665, 100_000_000))),
            ("motor.no_load_speed", format!("{speed} r/min"), format!("{} deg/s", speed * 6)),
            ("gears.backlash", format!("{} deg", scaled(play * 36, 100)), format!("{} turn", scaled(play, 1000))),
            ("axis.ambient_temperature", format!("{} degF", 50 + 9 * warm), format!("{} degC", 10 + 5 * warm)),
            ("move.time", format!("{} s", scaled(seconds, 10)), format!("{} ms", seconds * 100)),
            ("motor.rotor_inertia", format!("{} g.cm2", scaled(inertia, 100)), format!("{} kg.m2", scaled(inertia, 1_000_000_000))),
            ("stepper.mass", "260 g".into(), "0.26".into()),
        ];
        let one = pairs.clone().map(|(id, a, _)| (id, a));
        let two = pairs.map(|(id, _, b)| (id, b));
        let one = with(&entered(&one), &[("axis.kind", kind)]);
        let two = with(&entered(&two), &[("axis.kind", kind)]);
        let (a, b) = (Eval::new(&one), Eval::new(&two));
        // On the brink of thermal runaway everything leans on a small difference; no motor is there.
        let housing = answer(&a, "heat.housing_temperature");
        prop_assume!(housing.is_ok_and(|kelvin| kelvin < 1000.0));
        for index in INPUT_COUNT..COUNT {
            match (a.answer(index).found, b.answer(index).found) {
                (Ok(x), Ok(y)) => {
                    // A share may be what is left of 1, a current what is left of a few milliamperes,
                    // what braking returns what is left of what moved.
                    let least = match register::measure(index) {
                        Measure::Ratio | Measure::Share => 1.0,
                        Measure::Current | Measure::Torque | Measure::Voltage => 1e-3,
                        Measure::Energy => 1e-4,
                        Measure::Capacitance => 1e-6,
                        _ => 0.0,
                    };
                    let size = x.abs().max(y.abs()).max(least);
                    // What is solved for is as exact as its search.
                    let solved = register::result(index).is_some_and(|r| r.costly);
                    // The bandwidth that is assumed follows from the greatest one.
                    let leans = register::id(index) == "loop.bandwidth_limit"
                        || a.answer(index).depends_on.has(input("loop.bandwidth"));
                    let by = if solved {
                        1e-6
                    } else if leans {
                        1e-9
                    } else {
                        1e-12
                    };
                    prop_assert!((x - y).abs() <= by * size, "{}: {x} {y}", register::id(index));
                }
                (x, y) => prop_assert_eq!(x.is_ok(), y.is_ok(), "{}", register::id(index)),
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever is asked, the answer clears its check, or there is none.
    #[test]
    fn a_cure_clears(design in any_design(), at in 0..INPUT_COUNT, which in any::<prop::sample::Index>()) {
        let c = Eval::new(&design);
        let held = check::all(&c);
        let check = held[which.index(held.len())].check.id;
        let Some(cure) = solve::nearest(&Eval::new(&design), at, check) else { return Ok(()) };
        prop_assert!(cure.is_finite());
        let register::Form::Quantity(measure) = register::inputs()[at].form else { return Ok(()) };
        let text = number::text(measure.reported(cure), 13);
        let mended = with(&design, &[(register::inputs()[at].id, &text)]);
        let c = Eval::new(&mended);
        let again = check::all(&c);
        let margin = again.iter().find(|h| h.check.id == check).expect(check).ratio();
        prop_assert!(margin.is_none_or(|m| m >= solve::CLEAR - 1e-9), "{check}: {margin:?}");
    }

    /// The greatest load is that of the design, whatever load is entered.
    #[test]
    fn the_greatest_load_does_not_depend_on_the_load(design in any_design(), loads in [-4.0_f64..2.0, -4.0_f64..2.0]) {
        let most = |load: f64| {
            let text = number::text(libm::exp10(load), 13);
            let id = match Eval::new(&design).get(register::axis::KIND) {
                Ok(Kind::Torque) => "axis.load_torque_given",
                _ => "axis.load_mass",
            };
            let loaded = with(&design, &[(id, &text)]);
            let c = Eval::new(&loaded);
            let shown = display::display(&c, register::verdict::MAX_LOAD.index(), 6);
            (solve::max_load(&c), shown)
        };
        prop_assert_eq!(most(loads[0]), most(loads[1]));
    }

    /// The greatest load is finite and meets every check that it has a part in.
    #[test]
    fn the_greatest_load_is_carried(design in any_design()) {
        let Ok(most) = solve::max_load(&Eval::new(&design)) else { return Ok(()) };
        prop_assert!(most.load.is_finite() && most.load >= 0.0);
        let text = number::text(most.load, 13);
        let loaded = with(&design, &[(register::inputs()[most.input].id, &text)]);
        let c = Eval::new(&loaded);
        for held in check::all(&c).iter().filter(|h| h.depends_on.has(most.input)) {
            let met = held.ratio().is_none_or(|m| m >= 1.0 - 1e-9);
            prop_assert!(met || most.besides.contains(&held.check.id), "{}", held.check.id);
        }
    }

    /// Any text as a table: read or refused, never more motors than lines.
    #[test]
    fn any_table(text in "(ratio|stall torque \\(kgf.cm\\)|rpm|name)([,;](voltage|gears.stages|mass \\[g\\]))?\n(\\PC{0,12}[,;]?\\PC{0,8}\n){0,4}") {
        if let Ok(ranking) = rank::rank(&Design::default(), &text) {
            prop_assert!(ranking.motors.len() < text.lines().count().max(1));
        }
    }
}
