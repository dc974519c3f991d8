//! Laws that hold for any design: move, drive, hold and heat. Physics and definitions, no published
//! values.

use proptest::prelude::*;

use crate::common::{answer, code, entered, held, input, margin, said, value, with};
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::evaluation::display::display;
use pulsewright_sheet::evaluation::{Code, Eval, Status};
use pulsewright_sheet::register::formula::{self, Formula};
use pulsewright_sheet::register::{self, COUNT, INPUT_COUNT};
use pulsewright_sheet::text::number::DecimalMark;

#[track_caller]
fn close(a: f64, b: f64) {
    assert!(
        (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-12),
        "{a} is not {b}"
    );
}

/// Resistance of the winding as warm as its cycles make it; none where they never end.
fn warmth(c: &Eval<'_>) -> f64 {
    answer(c, "heat.winding_resistance").unwrap_or(f64::INFINITY)
}

/// The same design with another time for its move.
fn asking(design: &Design, seconds: f64) -> Eval<'static> {
    Eval::owned(with(design, &[("move.time", format!("{seconds} s"))]))
}

/// One of a list of words.
fn word(words: &'static [&'static str]) -> impl Strategy<Value = String> {
    prop::sample::select(words).prop_map(String::from)
}

/// A number between two limits, evenly by its logarithm, with a unit.
fn figure(low: f64, high: f64, unit: &'static str) -> impl Strategy<Value = String> {
    (libm::log(low)..libm::log(high)).prop_map(move |x| format!("{:.6} {unit}", libm::exp(x)))
}

type Entries = Vec<(&'static str, String)>;

/// A motor, a gearbox and a supply.
fn any_drive() -> impl Strategy<Value = Entries> {
    (
        (
            figure(3.0, 24.0, "V"),
            figure(20.0, 600.0, "r/min"),
            0.0..0.2_f64,
            figure(0.3, 6.0, "A"),
            figure(0.05, 20.0, "g.cm2"),
            figure(5.0, 500.0, "1"),
        ),
        (
            0.2..1.0_f64,
            1..5_u32,
            figure(3.0, 24.0, "V"),
            0.0..0.8_f64,
            word(&["slow", "fast"]),
            -30.0..60.0_f64,
        ),
    )
        .prop_map(
            |(
                (rated, speed, idle, stall, inertia, ratio),
                (eta, stages, supply, source, decay, ambient),
            )| {
                let amperes: f64 = stall.trim_end_matches(" A").parse().unwrap();
                vec![
                    ("motor.rated_voltage", rated),
                    ("motor.no_load_speed", speed),
                    ("motor.no_load_current", format!("{:.6} A", idle * amperes)),
                    ("motor.stall_current", stall),
                    ("motor.rotor_inertia", inertia),
                    ("gears.ratio", ratio.trim_end_matches(" 1").into()),
                    ("gears.efficiency", format!("{eta:.4}")),
                    ("gears.stage_count", stages.to_string()),
                    ("supply.voltage", supply),
                    ("supply.max_voltage", "30 V".into()),
                    ("supply.source_resistance", format!("{source:.4} Ohm")),
                    ("bridge.decay", decay),
                    ("axis.ambient_temperature", format!("{ambient:.2} degC")),
                ]
            },
        )
}

/// An axis that resists the move, and the move.
fn any_axis() -> impl Strategy<Value = Entries> {
    (
        word(register::Kind::WORDS),
        figure(0.01, 5.0, "kg"),
        figure(0.1, 30.0, "s"),
        0.0..60.0_f64,
        word(&["trapezoid", "smooth"]),
        word(&["no_friction", "friction_against", "friction_helps"]),
        0.01..0.5_f64,
        0.0..90.0_f64,
    )
        .prop_map(|(kind, mass, time, dwell, profile, current, ramp, slope)| {
            let mut entries = vec![
                ("move.time", time),
                ("move.dwell", format!("{dwell:.3} s")),
                ("move.profile", profile),
                ("move.holding_current", current),
                ("move.ramp_fraction", format!("{ramp:.4}")),
            ];
            if kind == "torque" {
                entries.push(("axis.load_torque_given", mass.replace("kg", "N.m")));
            } else {
                entries.push(("axis.load_mass", mass));
            }
            if ["belt", "rack", "drum", "screw"].contains(&kind.as_str()) {
                entries.push(("axis.slope", format!("{slope:.3} deg")));
            }
            entries.push(("axis.kind", kind));
            entries
        })
}

/// The same and also moves with the load, loads that push, currents that are limited.
fn anything() -> impl Strategy<Value = Entries> {
    (
        any_drive(),
        any_axis(),
        word(&["lifting", "lowering", "both"]),
        word(&["no_friction", "friction_against", "friction_helps", "off"]),
        -20.0..20.0_f64,
        prop::option::of(0.05..2.0_f64),
        prop::option::of(0.7..1.0_f64),
        prop::option::of(word(&["20:1", "3:2", "1:2"])),
        word(&["limits", "shuts_down", "none"]),
        word(&["no", "yes"]),
    )
        .prop_map(
            |(drive, axis, direction, current, force, limit, low, last, kind, reverses)| {
                let mut all = [drive, axis].concat();
                all.push(("move.direction", direction));
                all.push(("move.holding_current", current));
                all.push(("bridge.limit_kind", kind));
                all.push(("move.reverses_at_speed", reverses));
                if !all.contains(&("axis.kind", "torque".into())) {
                    all.push(("axis.external_force", format!("{force:.4} N")));
                }
                if let Some(limit) = limit {
                    all.push(("loop.current_limit", format!("{limit:.4} A")));
                }
                if let Some(share) = low {
                    let (_, text) = all.iter().find(|(id, _)| *id == "supply.voltage").unwrap();
                    let volts: f64 = text.trim_end_matches(" V").parse().unwrap();
                    all.push(("supply.lowest_voltage", format!("{:.6} V", share * volts)));
                    all.push(("supply.highest_voltage", format!("{:.6} V", 1.1 * volts)));
                }
                if let Some(last) = last {
                    all.push(("axis.reduction", last));
                    all.push(("axis.reduction_efficiency", "0.6".into()));
                }
                all
            },
        )
}

/// The entries with those of `changes` in place of their own.
fn changed(entries: &Entries, changes: &[(&'static str, String)]) -> Design {
    let mut all = entries.clone();
    all.retain(|(id, _)| !changes.iter().any(|(changed, _)| changed == id));
    all.extend_from_slice(changes);
    entered(&all)
}

const CONSISTENT: [&str; 6] = ["move.", "drive.", "hold.", "heat.", "bridge.", "board."];

/// A long pause no longer cools a slow move: up to 7 s keep the limits, and from 12 s on, where the winding is
/// warmest but hardly anything turns.
#[test]
fn of_two_stretches_of_time_that_do_the_shortest_is_of_the_one_asked_for() {
    let design = pulsewright_sheet::design::link::read(
        "#pw1;motor.rated_voltage=15.905751V;motor.no_load_speed=155.442703r/min;motor.no_load_current=0.432368A;\
         motor.stall_current=3.402952A;motor.rotor_inertia=1g.cm2;gears.ratio=5;gears.efficiency=0.5193;\
         gears.stage_count=1;supply.voltage=6.090186V;supply.max_voltage=30V;supply.source_resistance=0.4117Ohm;\
         bridge.decay=slow;axis.ambient_temperature=30.25degC;move.dwell=30.163s;move.profile=trapezoid;\
         move.holding_current=friction_helps;move.ramp_fraction=0.2756;axis.load_torque_given=0.195373N.m;axis.kind=torque",
    )
    .unwrap()
    .design;
    let shortest = |seconds: f64| value(&asking(&design, seconds), "move.shortest_time");
    assert!(shortest(4.4) < 4.0, "{}", shortest(4.4));
    assert!((11.0..12.0).contains(&shortest(14.0)));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    /// Whatever the design, every working with its numbers gives its result, and nothing is neither
    /// a number nor a reason.
    #[test]
    fn workings_hold_for_any_design(entries in anything()) {
        let design = entered(&entries);
        let c = Eval::new(&design);
        for index in INPUT_COUNT..COUNT {
            let id = register::id(index);
            if !CONSISTENT.iter().any(|prefix| id.starts_with(prefix)) {
                continue;
            }
            let answer = c.answer(index);
            let Ok(found) = answer.found else { continue };
            prop_assert!(found.is_finite(), "{}", id);
            let of = |i: usize| {
                let a = c.answer(i);
                a.found.ok().map(|v| a.measure.reported(v))
            };
            let value = answer.measure.reported(found);
            if let Some(Formula::Expression(node)) = formula::read(answer.working) {
                let worked = node.value(&of);
                prop_assert!(worked.is_some(), "{}: {}", id, answer.working);
                let worked = worked.unwrap();
                // Where currents of both signs nearly cancel, the last digits are lost either way.
                let scale = value.abs().max(worked.abs()).max(1e-6);
                prop_assert!(
                    (worked - value).abs() <= 1e-9 * scale,
                    "{}: {} is not {}: {}", id, worked, value, answer.working
                );
            }
        }
        for held in check::all(&c) {
            if let Ok(margin) = held.margin {
                prop_assert!(margin.capability.is_finite() && margin.need.is_finite(), "{}", held.check.id);
            }
        }
        for said in pulsewright_sheet::evaluation::finding::all(&c) {
            prop_assert!(!said.message(&c).contains("NaN"));
        }
    }

    /// What goes in is copper loss and shaft power; what the shaft gets is load, gear loss and
    /// friction.
    #[test]
    fn power_balances_on_the_drive_line(drive in any_drive(), axis in any_axis()) {
        let design = entered(&[drive, axis].concat());
        let c = Eval::new(&design);
        let output = value(&c, "drive.speed_at_load");
        if output > 0.0 && value(&c, "axis.load_torque") >= 0.0 {
            let (volts, current) = (value(&c, "supply.voltage"), value(&c, "drive.current_at_load"));
            let constant = value(&c, "motor.torque_constant");
            let shaft = constant * current * output * value(&c, "gears.exact_ratio");
            let copper = current * current * value(&c, "drive.total_resistance");
            close(volts * current, copper + shaft);
            let load = value(&c, "axis.load_torque") * output;
            let gear_loss = load * (1.0 / value(&c, "gears.efficiency") - 1.0);
            let friction = value(&c, "motor.friction_torque") * output * value(&c, "gears.exact_ratio");
            close(shaft, load + gear_loss + friction);
        }
    }

    /// All heat of the winding goes through the housing, and with the friction's into the air.
    #[test]
    fn heat_balances_in_the_steady_state(entries in anything()) {
        let design = entered(&entries);
        let c = Eval::new(&design);
        let winding = answer(&c, "heat.winding_temperature");
        if let Ok(winding) = winding {
            let housing = value(&c, "heat.housing_temperature");
            let current = value(&c, "heat.rms_current");
            let copper = current * current * value(&c, "heat.winding_resistance");
            let inward = (winding - housing) / value(&c, "motor.winding_to_housing");
            prop_assert!((inward - copper).abs() <= 1e-9 * (1.0 + copper), "{} {}", inward, copper);
            let ambient = value(&c, "axis.ambient_temperature");
            let outward = (housing - ambient) / value(&c, "motor.housing_to_ambient");
            let all = copper + value(&c, "heat.friction_loss");
            prop_assert!((outward - all).abs() <= 1e-9 * (1.0 + all), "{} {}", outward, all);
        }
    }

    /// The same bare motor behind twice the ratio: half the speed, twice the torque.
    #[test]
    fn twice_the_ratio_is_half_the_speed_and_twice_the_torque(
        drive in any_drive(), ratio in 5.0..200.0_f64,
    ) {
        let at = |ratio: f64| changed(&drive, &[
            ("motor.figures_at", "motor".into()),
            ("motor.no_load_speed", "9000 r/min".into()),
            ("gears.ratio", format!("{ratio:.3}")),
        ]);
        let ratio = (ratio * 1000.0).round() / 1000.0;
        let (once, twice) = (at(ratio), at(2.0 * ratio));
        let (c, d) = (Eval::new(&once), Eval::new(&twice));
        close(value(&d, "drive.no_load_speed"), value(&c, "drive.no_load_speed") / 2.0);
        close(value(&d, "drive.stall_torque"), value(&c, "drive.stall_torque") * 2.0);
        close(value(&d, "hold.current"), value(&c, "hold.current") / 2.0);
        close(value(&d, "drive.stall_current"), value(&c, "drive.stall_current"));
        close(value(&d, "heat.continuous_current"), value(&c, "heat.continuous_current"));
    }

    /// More load never makes room.
    #[test]
    fn more_load_never_raises_a_margin(
        drive in any_drive(), axis in any_axis(), more in 1.01..3.0_f64,
    ) {
        let entries = [drive, axis].concat();
        let load = entries.iter().find(|(id, _)| ["axis.load_mass", "axis.load_torque_given"].contains(id));
        let (id, text) = load.unwrap();
        let (number, unit) = text.split_once(' ').unwrap();
        let heavier = format!("{:.6} {unit}", number.parse::<f64>().unwrap() * more);
        // Warm magnets are weaker and turn faster without load: only without that is the law strict
        // for the speed.
        for (flux, ids) in [
            ("-0.002 1/K", ["check.torque", "check.voltage", "check.holding_current"]),
            ("0 1/K", ["check.torque", "check.voltage", "check.speed"]),
        ] {
            let flux = ("motor.flux_coefficient", flux.into());
            let light = changed(&entries, std::slice::from_ref(&flux));
            let heavy = changed(&entries, &[flux, (id, heavier.clone())]);
            let (c, d) = (Eval::new(&light), Eval::new(&heavy));
            for id in ids {
                // What waits for a motor that has the torque has no margin.
                let room = |c: &Eval<'_>| match held(c, id).status() {
                    Status::Waits => 0.0,
                    _ => margin(c, id),
                };
                let (before, after) = (room(&c), room(&d));
                prop_assert!(after <= before * (1.0 + 1e-9), "{}: {} becomes {}", id, before, after);
            }
        }
    }

    /// Perfect gears, no friction, no play: the formulas of the textbook.
    #[test]
    fn ideal_limits_are_the_textbook(drive in any_drive(), mass in 0.01..2.0_f64) {
        let design = changed(&drive, &[
            ("motor.no_load_current", "0 A".into()),
            ("gears.efficiency", "1".into()),
            ("gears.backlash", "0 deg".into()),
            ("axis.load_mass", format!("{mass:.6} kg")),
        ]);
        let c = Eval::new(&design);
        let volts = value(&c, "supply.voltage");
        let ratio = value(&c, "gears.exact_ratio");
        let constant = value(&c, "motor.torque_constant");
        let resistance = value(&c, "drive.total_resistance");
        let torque = value(&c, "axis.load_torque");
        close(constant, value(&c, "motor.rated_voltage") / value(&c, "motor.shaft_speed"));
        close(value(&c, "drive.no_load_speed"), volts / (constant * ratio));
        close(value(&c, "drive.stall_torque"), ratio * constant * volts / resistance);
        close(value(&c, "gears.back_driving_efficiency"), 1.0);
        // Without friction all three currents that hold are one.
        for id in ["hold.current", "hold.current_worst_case", "hold.current_best_case"] {
            close(value(&c, id), torque / (ratio * constant));
        }
        // Speed falls in a straight line from no load to stall.
        let share = torque / value(&c, "drive.stall_torque");
        if share < 1.0 {
            close(value(&c, "drive.speed_at_load"), value(&c, "drive.no_load_speed") * (1.0 - share));
        }
        prop_assert_eq!(held(&c, "check.backlash").margin.unwrap().need, 0.0);
    }

    /// It holds for ever exactly where the continuous current is not passed.
    #[test]
    fn for_ever_is_the_continuous_current(entries in anything()) {
        let design = entered(&entries);
        let c = Eval::new(&design);
        let most = value(&c, "motor.max_winding_temperature");
        let steady = answer(&c, "heat.winding_temperature");
        for (time, passes) in [
            (
                "heat.hold_time_worst_case",
                value(&c, "hold.current_worst_case").abs() > value(&c, "heat.continuous_current"),
            ),
            // Friction warms the housing besides.
            ("heat.overheat_time", steady.is_err() || steady.unwrap() > most),
        ] {
            // What comes of a move that cannot be made waits.
            if code(&c, time) == Some(Code::Waits) {
                continue;
            }
            prop_assert_eq!(code(&c, time), (!passes).then_some(Code::Unlimited));
        }
    }

    /// Asked in its own shortest time, with the winding as warm as that makes it, a move keeps its
    /// limits by a hair and that time is still the shortest.
    #[test]
    fn shortest_time_is_its_own(drive in any_drive(), axis in any_axis()) {
        let mut design = entered(&[drive, axis].concat());
        let Ok(shortest) = answer(&Eval::new(&design), "move.shortest_time") else { return Ok(()); };
        design.enter(
            input("move.time"),
            &format!("{:.15e} s", shortest * (1.0 + 1e-7)),
            DecimalMark::Stored,
        );
        prop_assume!(design.refused().is_empty());
        let c = Eval::new(&design);
        let again = value(&c, "move.shortest_time");
        prop_assert!((again / shortest - 1.0).abs() < 1e-6, "{again} {shortest}");
        prop_assert!(value(&c, "move.voltage_margin") >= 0.0);
    }

    /// What the shortest time is said to be limited by is used up in that time, whole.
    #[test]
    fn what_limits_the_shortest_time_is_used_up(drive in any_drive(), axis in any_axis()) {
        let mut design = entered(&[drive, axis].concat());
        let Ok(shortest) = answer(&Eval::new(&design), "move.shortest_time") else { return Ok(()); };
        design.enter(input("move.time"), &format!("{shortest:.15e} s"), DecimalMark::Stored);
        prop_assume!(design.refused().is_empty());
        let c = Eval::new(&design);
        let own = answer(&c, "loop.current_limit").unwrap_or(f64::INFINITY);
        let said = display(&c, register::find("move.shortest_time").expect("a result"), 3);
        let share = match said.split_once(", limited by ").expect("a limit").1 {
            "the supply voltage" => 1.0 - value(&c, "move.voltage_margin") / value(&c, "drive.lowest_voltage"),
            "the current limit" => value(&c, "move.peak_current") / value(&c, "bridge.current_limit").min(own),
            "the gears" => value(&c, "move.peak_torque") / value(&c, "gears.peak_torque"),
            "the step rate" => value(&c, "move.peak_speed") / value(&c, "steps.speed_limit"),
            "the encoder edges" => 3e-6 / value(&c, "encoder.shortest_edge_gap")
                * value(&c, "move.peak_speed") / value(&c, "drive.top_speed"),
            other => panic!("{other}"),
        };
        prop_assert!((share - 1.0).abs() < 1e-3, "{said}: {share}");
    }

    /// A move keeps every limit exactly where it is asked no shorter than its shortest time.
    #[test]
    fn limits_are_kept_from_the_shortest_time_on(drive in any_drive(), axis in any_axis()) {
        let design = entered(&[drive, axis].concat());
        let c = Eval::new(&design);
        prop_assume!(code(&c, "move.lifting_peak") != Some(Code::Waits));
        let own = answer(&c, "loop.current_limit").unwrap_or(f64::INFINITY);
        let allowed = value(&c, "bridge.current_limit").min(own);
        let kept = value(&c, "move.voltage_margin") >= 0.0
            && value(&c, "move.lifting_peak") <= allowed
            && value(&c, "move.peak_torque") <= value(&c, "gears.peak_torque")
            && value(&c, "move.peak_speed") <= value(&c, "steps.speed_limit");
        let served = answer(&c, "encoder.shortest_edge_gap")
            .map_or(f64::INFINITY, |gap| gap * value(&c, "drive.top_speed") / 3e-6);
        let kept = kept && value(&c, "move.peak_speed") <= served;
        match answer(&c, "move.shortest_time") {
            Ok(time) if (value(&c, "move.time") / time - 1.0).abs() < 1e-6 => {}
            // A slower move that heats the winding more asks for more voltage, not less.
            Ok(time) if warmth(&c) > warmth(&asking(&design, time)) => {}
            Ok(time) => prop_assert_eq!(kept, value(&c, "move.time") > time),
            Err(absent) => {
                prop_assert_eq!(absent.code, Code::Impossible);
                prop_assert!(!kept);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// What stands in for the current of a listing that does not tell it never contradicts the rest of that listing.
    #[test]
    fn an_assumed_stall_current_fits_its_listing(
        at in prop::sample::select(&["output", "motor"][..]),
        case in prop::sample::select(&["12 mm", "16 mm", "25 mm", "37 mm"][..]),
        torque in 0.01..3.0_f64,
        speed in 5.0..500.0_f64,
        voltage in 3.0..24.0_f64,
    ) {
        let (torque, speed) = if at == "motor" { (torque / 50.0, speed * 50.0) } else { (torque, speed) };
        let listing = entered(&[
            ("motor.figures_at", at.into()),
            ("motor.case_diameter", case.into()),
            ("motor.stall_torque", format!("{torque} N.m")),
            ("motor.no_load_speed", format!("{speed} r/min")),
            ("motor.rated_voltage", format!("{voltage} V")),
        ]);
        let c = Eval::new(&listing);
        prop_assume!(value(&c, "motor.stall_current") < 100.0);
        if at == "motor" {
            prop_assert!((value(&c, "motor.stall_ratio") - 1.0).abs() < 1e-9);
        } else {
            prop_assert!((value(&c, "gears.implied_efficiency") - 0.5917).abs() < 1e-9);
        }
        prop_assert_eq!(said(&c, "figures_contradict"), None);
    }
}

/// A motor of which nothing is told is the usual small one; a measured winding says its current.
#[test]
fn without_a_listing_the_stall_current_is_the_usual_one() {
    let c = |entries: &[(&str, String)]| Eval::owned(entered(entries));
    close(value(&c(&[]), "motor.stall_current"), 1.1);
    close(value(&c(&[]), "motor.no_load_current"), 0.06);
    let measured = c(&[
        ("motor.terminal_resistance", "4 Ohm".into()),
        ("motor.rated_voltage", "12 V".into()),
    ]);
    close(value(&measured, "motor.stall_current"), 3.0);
}

/// A speed at the output and no ratio: that of a usual motor of this size, a whole number and exact as such.
#[test]
fn without_a_ratio_a_usual_motor_turns_the_output_at_its_speed() {
    let ratio = |entries: &[(&str, &str)]| {
        let c = Eval::owned(entered(entries));
        let exact = c.exact(register::gears::RATIO).unwrap();
        assert_eq!(
            value(&c, "gears.exact_ratio"),
            *exact.numer() as f64 / *exact.denom() as f64
        );
        (*exact.numer(), *exact.denom())
    };
    let size = ("motor.case_diameter", "37 mm");
    assert_eq!(ratio(&[]), (100, 1));
    assert_eq!(ratio(&[size]), (100, 1));
    assert_eq!(
        ratio(&[size, ("motor.no_load_speed", "330 r/min")]),
        (18, 1)
    );
    assert_eq!(ratio(&[("motor.no_load_speed", "160 r/min")]), (100, 1));
    assert_eq!(
        ratio(&[
            ("motor.no_load_speed", "9000 r/min"),
            ("motor.figures_at", "motor")
        ]),
        (100, 1)
    );
    assert_eq!(
        ratio(&[
            ("motor.no_load_speed", "160 r/min"),
            ("gears.ratio", "298/3")
        ]),
        (298, 3)
    );
}
