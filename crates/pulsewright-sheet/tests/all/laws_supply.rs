//! Laws that supply, regulator and wiring keep whatever the design.

use crate::common::{answer, enter, entered, input};
use proptest::prelude::*;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::register;

fn value(design: &Design, id: &str) -> Option<f64> {
    answer(&Eval::new(design), id).ok()
}

/// A hair for binary rounding.
const HAIR: f64 = 1e-12;

fn words(list: &'static [&'static str]) -> impl Strategy<Value = &'static str> {
    proptest::sample::select(list)
}

/// A design of any kind on any supply that its regulator can live on.
fn any_entries() -> impl Strategy<Value = Vec<(&'static str, String)>> {
    (
        words(register::Kind::WORDS),
        words(&["lifting", "lowering", "both"]),
        words(&["common", "own"]),
        words(&["linear", "buck"]),
        4.0..24.0_f64,
        0.0..1.0_f64,
        0.0..3.0_f64,
        (1..6_u32, 0..6_u32),
    )
        .prop_map(
            |(kind, direction, shared, regulator, volts, ohms, metres, (all, moving))| {
                vec![
                    ("axis.kind", kind.into()),
                    ("move.direction", direction.into()),
                    ("wiring.shared", shared.into()),
                    ("regulator.kind", regulator.into()),
                    ("supply.voltage", format!("{volts} V")),
                    ("supply.highest_voltage", format!("{} V", volts * 1.2)),
                    ("supply.lowest_voltage", format!("{} V", volts * 0.85)),
                    ("supply.source_resistance", format!("{ohms} Ohm")),
                    ("wiring.length", format!("{metres} m")),
                    ("supply.actuators", all.to_string()),
                    ("supply.moving_together", moving.min(all).to_string()),
                ]
            },
        )
}

proptest! {
    #[test]
    fn longer_wires_never_raise_the_voltage(entries in any_entries(), more in 0.0..5.0_f64) {
        let mut design = entered(&entries);
        for id in ["supply.voltage_at_worst", "supply.voltage_at_stall"] {
            let short = value(&design, id);
            let metres = design.text(input("wiring.length")).to_string();
            let metres: f64 = metres.trim_end_matches('m').trim().parse().unwrap();
            let before = metres.to_string();
            enter(&mut design, "wiring.length", &format!("{} m", metres + more));
            if let (Some(short), Some(long)) = (short, value(&design, id)) {
                prop_assert!(long <= short + HAIR * short.max(1.0), "{id}: {short} to {long}");
            } else {
                // What a short cable cannot feed, a long one cannot either.
                prop_assert!(short.is_some() || value(&design, id).is_none());
            }
            enter(&mut design, "wiring.length", &format!("{before} m"));
        }
    }

    /// Nothing is lost between input, output and heat, at the voltage that each kind is judged at.
    #[test]
    fn regulators_balance(
        entries in any_entries(),
        milliamperes in 0.0..500.0_f64,
        output in 1.0..3.3_f64,
        efficiency in 0.3..0.98_f64,
    ) {
        let mut design = entered(&entries);
        enter(&mut design, "regulator.mcu_current", &format!("{milliamperes} mA"));
        enter(&mut design, "regulator.output_voltage", &format!("{output} V"));
        enter(&mut design, "regulator.efficiency", &efficiency.to_string());
        for (kind, at) in [("linear", "drive.highest_voltage"), ("buck", "supply.voltage")] {
            enter(&mut design, "regulator.kind", kind);
            let of = |id: &str| value(&design, id).unwrap();
            let taken = of(at) * of("regulator.input_current");
            let given = of("regulator.output_voltage") * of("regulator.load_current");
            let loss = of("regulator.loss");
            prop_assert!(loss >= -HAIR * taken);
            prop_assert!((taken - given - loss).abs() <= 1e-12 * taken.max(1e-9));
            prop_assert!((of("regulator.efficiency_now") * taken - given).abs() <= 1e-12 * taken);
        }
    }

    /// Each kind names as the other's loss what the other itself would have.
    #[test]
    fn the_other_kind_is_the_other_kind(entries in any_entries()) {
        let mut design = entered(&entries);
        let mut losses = |kind: &str| {
            enter(&mut design, "regulator.kind", kind);
            (value(&design, "regulator.loss"), value(&design, "regulator.alternative_loss"))
        };
        let (linear, buck) = (losses("linear"), losses("buck"));
        prop_assert_eq!(linear, (buck.1, buck.0));
    }

    #[test]
    fn more_moving_never_draw_less(entries in any_entries(), moving in 1..5_u32) {
        let mut design = entered(&entries);
        enter(&mut design, "supply.actuators", &(2 * moving).to_string());
        let mut worst = |moving: u32| {
            enter(&mut design, "supply.moving_together", &moving.to_string());
            (value(&design, "supply.worst_current"), value(&design, "supply.stall_current"))
        };
        let (one, two) = (worst(moving), worst(2 * moving));
        if let (Some(one), Some(two)) = (one.0, two.0) {
            prop_assert!(two >= one * (1.0 - HAIR), "worst: {one} to {two}");
        }
        if let (Some(one), Some(two)) = (one.1, two.1) {
            prop_assert!(two >= one * (1.0 - HAIR), "jam: {one} to {two}");
        }
    }

    #[test]
    fn braking_never_lowers_the_voltage(entries in any_entries(), microfarads in 1.0..2000.0_f64) {
        let mut design = entered(&entries);
        enter(&mut design, "supply.bulk_capacitance", &format!("{microfarads} uF"));
        let highest = value(&design, "drive.highest_voltage").unwrap();
        let pumped = value(&design, "supply.regenerated_voltage");
        if let Some(pumped) = pumped {
            prop_assert!(pumped >= highest * (1.0 - HAIR));
        }
        if let (Some(pumped), Some(most)) = (pumped, value(&design, "supply.regenerated_voltage_bound")) {
            prop_assert!(pumped <= most * (1.0 + HAIR), "{pumped} above its bound {most}");
        }
        enter(&mut design, "supply.sinks_current", "yes");
        prop_assert!((value(&design, "supply.regenerated_voltage").unwrap() - highest).abs() <= HAIR * highest);
    }

    #[test]
    fn a_fuse_lies_in_its_window(entries in any_entries()) {
        let design = entered(&entries);
        if let Some(fuse) = value(&design, "supply.fuse") {
            let worst = value(&design, "wiring.cable_current").unwrap();
            // A time-lag fuse bears 2.75 times its current until the firmware lets go, 2 s at most
            // (IEC 60127-2, from memory).
            let own = entries.iter().any(|(id, text)| *id == "wiring.shared" && text == "own");
            let jam = if own { "drive.blocked_current" } else { "supply.stall_current" };
            let jam = value(&design, jam).unwrap();
            prop_assert!(fuse >= jam / 2.75 * (1.0 - 1e-8));
            let least = ["wiring.trace_current", "wiring.wire_current", "wiring.pin_current"]
                .map(|id| value(&design, id).unwrap())
                .into_iter()
                .fold(f64::INFINITY, f64::min);
            prop_assert!(fuse >= 1.25 * worst * (1.0 - 1e-8));
            prop_assert!(fuse <= 0.75 * least * (1.0 + 1e-8));
        }
    }

    /// Whatever the supply, each check has two numbers or a reason, and each finding its words.
    #[test]
    fn everything_is_said(
        entries in any_entries(),
        volts in 0.5..60.0_f64,
        ohms in 0.0..100.0_f64,
        metres in 0.0..200.0_f64,
        logic in 0.5..30.0_f64,
    ) {
        let mut design = entered(&entries);
        enter(&mut design, "supply.lowest_voltage", "");
        enter(&mut design, "supply.highest_voltage", "");
        enter(&mut design, "supply.voltage", &format!("{volts} V"));
        enter(&mut design, "supply.source_resistance", &format!("{ohms} Ohm"));
        enter(&mut design, "wiring.length", &format!("{metres} m"));
        enter(&mut design, "wiring.logic_high", &format!("{logic} V"));
        let c = Eval::new(&design);
        for held in check::all(&c) {
            match held.margin {
                Ok(margin) => prop_assert!(margin.capability.is_finite() && margin.need.is_finite(), "{}", held.check.id),
                Err(absent) if absent.why.is_empty() => {
                    let about = register::label(usize::from(absent.about));
                    prop_assert!(!about.is_empty() && absent.message().contains(about), "{}", absent.message());
                }
                Err(absent) => prop_assert!(absent.why.contains(' '), "{}", absent.why),
            }
        }
        for said in finding::all(&c) {
            let message = said.message(&c);
            prop_assert!(message.ends_with('.') && !message.contains(['{', '}']), "{message}");
            prop_assert!(!message.contains("NaN") && !message.contains("inf "), "{message}");
        }
    }
}
