//! Current of a blocked motor by what limits it, and whether the parts that it flows through stand it.

use crate::common::{code, demos_and_kinds, entered, held, margin, said, value, with};
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::evaluation::{Code, Eval, LoadCase, Severity, Status};
use pulsewright_test_support::agrees;

/// A motor that asks 3.2 A of a driver for 1.5 A.
fn strong() -> Design {
    let listing = [
        ("axis.kind", "arm"),
        ("motor.stall_current", "3.5 A"),
        ("bridge.current_limit", "1.5 A"),
        ("wiring.pin_current", "5 A"),
        ("wiring.trace_width", "4 mm"),
        ("wiring.gauge", "20"),
        ("supply.current_limit", "5 A"),
    ];
    entered(&listing)
}

/// By hand: the stall current is 6 V over all resistances; a rating leaves it, the others cut it.
#[test]
fn what_limits_a_jam_is_what_limits() {
    let stall = value(&Eval::new(&strong()), "drive.max_stall_current");
    assert!(stall > 2.4, "{stall}");
    for (entries, jam, met, limit) in [
        (&[("bridge.limit_kind", "none")][..], stall, stall, None),
        (&[("bridge.limit_kind", "limits")], 1.5, stall, Some(1.5)),
        (
            &[("bridge.limit_kind", "shuts_down")],
            1.5,
            stall,
            Some(1.5),
        ),
        (
            &[
                ("bridge.limit_kind", "none"),
                ("loop.current_limit", "1.2 A"),
            ],
            1.2,
            1.2,
            Some(1.2),
        ),
        (
            &[
                ("bridge.limit_kind", "shuts_down"),
                ("loop.current_limit", "2 A"),
            ],
            1.5,
            2.0,
            Some(1.5),
        ),
        (
            &[("bridge.limit_kind", "none"), ("loop.voltage_limit", "0.4")],
            0.4 * stall,
            0.4 * stall,
            None,
        ),
    ] {
        let design = with(&strong(), entries);
        let c = Eval::new(&design);
        let near = |id: &str, by_hand: f64| {
            let found = value(&c, id);
            assert!((found - by_hand).abs() < 1e-9, "{entries:?} {id}: {found}");
        };
        near("drive.blocked_current", jam);
        near("drive.unlimited_current", met);
        match limit {
            Some(limit) => near("drive.current_limit", limit),
            None => assert_eq!(code(&c, "drive.current_limit"), Some(Code::Unlimited)),
        }
    }
}

/// Source: independent reference, version 3, "presets arm": 0.984621002543852 A.
#[test]
fn neutral_jam() {
    let design = entered(&[("axis.kind", "arm")]);
    let blocked = value(&Eval::new(&design), "drive.blocked_current");
    assert!(agrees(blocked, "0.984621002543852"), "{blocked}");
}

/// A driver that only survives its current, or trips at it, meets the whole stall current; one that
/// chops meets what it lets through. A finding of a fault is never beside checks that pass.
#[test]
fn a_jam_beyond_the_bridge_is_a_check_that_is_short() {
    for (kind, finding) in [
        ("none", "stall_beyond_bridge"),
        ("shuts_down", "shuts_down_on_start"),
    ] {
        let design = with(&strong(), &[("bridge.limit_kind", kind)]);
        let c = Eval::new(&design);
        assert_eq!(said(&c, finding).map(|(s, _)| s), Some(Severity::Fault));
        for id in ["check.stall", "check.bridge_current"] {
            let check = held(&c, id);
            assert_eq!(check.status(), Status::Fails, "{kind} {id}");
            let found = check.margin.expect("a margin");
            assert_eq!(found.case, Some(LoadCase::Blocked));
            assert_eq!(found.need, value(&c, "drive.unlimited_current"));
        }
        assert!(value(&c, "bridge.current_margin") < 1.0);
    }
    let design = with(&strong(), &[("bridge.limit_kind", "limits")]);
    let c = Eval::new(&design);
    assert!(said(&c, "stall_beyond_bridge").is_none() && said(&c, "shuts_down_on_start").is_none());
    assert_eq!(held(&c, "check.stall").status(), Status::Passes);
    assert!(value(&c, "bridge.current_margin") > 1.25);
    // A limit in the loop cures it, as the finding says.
    let design = with(&strong(), &[("loop.current_limit", "1.2 A")]);
    let c = Eval::new(&design);
    assert!(said(&c, "stall_beyond_bridge").is_none());
    assert_eq!(margin(&c, "check.stall"), 1.25);
}

/// Each part in turn is the weakest; by hand: its rating over the stall current. The sentence names
/// all of them.
#[test]
fn the_weakest_part_of_a_jam_counts() {
    for (id, text, rating) in [
        ("bridge.current_limit", "0.5 A", 0.5),
        ("wiring.pin_current", "0.4 A", 0.4),
        ("supply.current_limit", "0.5 A", 0.5),
    ] {
        let design = with(&entered(&[("axis.kind", "belt")]), &[(id, text)]);
        let c = Eval::new(&design);
        let need = if id.starts_with("supply") {
            value(&c, "supply.stall_current")
        } else {
            value(&c, "drive.blocked_current")
        };
        let found = margin(&c, "check.stall");
        assert!((found - rating / need).abs() < 1e-12, "{id}: {found}");
    }
    let design = entered(&[("axis.kind", "belt"), ("wiring.trace_width", "0.1 mm")]);
    let c = Eval::new(&design);
    let by_hand = value(&c, "wiring.trace_current") / value(&c, "drive.blocked_current");
    assert_eq!(margin(&c, "check.stall"), by_hand);
    let sentence = held(&c, "check.stall").check.failing;
    for part in ["driver", "connector", "trace", "supply"] {
        assert!(sentence.contains(part), "{part}");
    }
}

/// Torque that a move can count on: a rating does not cut it, a bridge that chops does.
#[test]
fn a_rating_is_no_limit_of_torque() {
    let torque = |kind: &str| {
        let design = with(&strong(), &[("bridge.limit_kind", kind)]);
        value(&Eval::new(&design), "drive.available_torque")
    };
    let stall = value(&Eval::new(&strong()), "drive.stall_torque_hot");
    assert_eq!(torque("none"), stall);
    assert!(torque("limits") < stall && torque("limits") == torque("shuts_down"));
}

/// Whatever the motor, parts that are only assumed carry its stall current (`common practice, no
/// source` for the sizes).
#[test]
fn assumed_parts_fit_the_motor() {
    for (stall, bridge, pins, trace, gauge) in [
        // Source: the list of sizes of the independent reference, version 3. By hand, trace and
        // wire: IPC-2221 carries 2.39 A on 1 mm and 3.21 A on 1.5 mm; AWG 26 carries 2.15 A.
        ("0.5 A", 1.5, 1.5, 1e-3, 26.0),
        ("1.6 A", 2.0, 2.0, 1e-3, 26.0),
        ("2.8 A", 3.0, 3.0, 1.5e-3, 24.0),
        ("9 A", 10.0, 10.0, 10e-3, 16.0),
    ] {
        let design = entered(&[("motor.stall_current", stall)]);
        let c = Eval::new(&design);
        for (id, size) in [
            ("bridge.current_limit", bridge),
            ("wiring.pin_current", pins),
            ("wiring.trace_width", trace),
            ("wiring.gauge", gauge),
        ] {
            let assumed = value(&c, id);
            assert!((assumed - size).abs() < 1e-12, "{stall} {id}: {assumed}");
        }
        for id in ["check.bridge_current", "check.connector", "check.trace"] {
            assert_ne!(held(&c, id).status(), Status::Fails, "{stall} {id}");
        }
    }
    for (name, design) in demos_and_kinds() {
        let c = Eval::new(&design);
        assert!(
            check::all(&c).iter().any(|h| h.check.id == "check.stall"),
            "{name}"
        );
    }
}

/// Bandwidth and integral time that are both assumed are chosen together: the loop keeps its margin with them. Of a bandwidth
/// that is entered the usual 0.2 s are assumed.
#[test]
fn an_assumed_loop_keeps_its_margin() {
    let lid = entered(&[
        ("axis.load_mass", "0.4 kg"),
        ("axis.radius", "120 mm"),
        ("move.distance", "75 deg"),
        ("motor.rated_voltage", "6 V"),
        ("motor.no_load_speed", "100 r/min"),
        ("motor.stall_torque", "3.2 kgf.cm"),
        ("motor.stall_current", "1.6 A"),
        ("gears.ratio", "150"),
    ]);
    let c = Eval::new(&lid);
    assert_eq!(value(&c, "loop.integral_time"), 1.0);
    assert!(value(&c, "loop.bandwidth") <= 0.8 * value(&c, "loop.bandwidth_limit"));
    assert_ne!(held(&c, "check.phase_margin").status(), Status::Fails);
    // The next shorter one does not keep it.
    let shorter = with(&lid, &[("loop.integral_time", "0.5 s")]);
    let shorter = held(&Eval::new(&shorter), "check.phase_margin");
    assert_eq!(shorter.status(), Status::Fails);
    let asked = with(&lid, &[("loop.bandwidth", "0.4 Hz")]);
    assert_eq!(value(&Eval::new(&asked), "loop.integral_time"), 0.2);
    for (name, design) in demos_and_kinds() {
        let design = with(
            &design,
            &[("loop.bandwidth", ""), ("loop.integral_time", "")],
        );
        let c = Eval::new(&design);
        let margin = held(&c, "check.phase_margin");
        assert_ne!(margin.status(), Status::Fails, "{name}");
    }
}
