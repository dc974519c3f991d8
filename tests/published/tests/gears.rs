//! Gears: ratio, torque, back-driving.

use published::{Case, design, hold, result};
use pulsewright_sheet::evaluation::{Code, Eval};

#[test]
fn trains() {
    hold(&[
        Case {
            source: "Wentzell, Machine Design, Ex. 11.1, p. 217: 3600 r/min to 400 r/min",
            design: &[("gears.stages", "60:20, 60:20")],
            printed: &[
                ("gears.exact_ratio", 3600.0 / 400.0, "1.00000"),
                ("gears.stage_count", 1.0, "2"),
            ],
        },
        Case {
            source: "Wentzell, Machine Design, Ex. 11.2, p. 219: an idler cancels; 3000 r/min to 307.69 r/min",
            design: &[("gears.stages", "65:20, 22:20, 60:22")],
            printed: &[
                ("gears.exact_ratio", 1.0, "9.75000"),
                ("gears.exact_ratio", 3000.0 / 307.69, "1.0000"),
            ],
        },
        Case {
            source: "Wentzell, Machine Design, Ex. 11.6, p. 243: 120 in three stages",
            design: &[("gears.stages", "80:20 100:20 120:20")],
            printed: &[("gears.exact_ratio", 1.0, "120.00")],
        },
        Case {
            source: "Khurmi & Gupta, Theory of Machines, Ex. 13.20, p. 465: planetary stage, sun 16, ring 64",
            design: &[("gears.stages", "80:16")],
            printed: &[("gears.exact_ratio", 1.0, "5.000")],
        },
        Case {
            source: "University of Ljubljana, LECAD, Planetary transmissions, node 8: sun 21, ring 108",
            design: &[("gears.stages", "129:21")],
            printed: &[("gears.exact_ratio", 1.0, "6.14286")],
        },
        Case {
            source: "KHK, Gear Technical Reference, planetary example (from memory): 16, 48, twice, sold as 16:1",
            design: &[
                ("gears.stages", "64:16, 64:16"),
                ("gears.nominal_ratio", "16"),
            ],
            printed: &[
                ("gears.exact_ratio", 1.0, "16.000"),
                ("gears.nominal_error_per_turn", 1.0, "0.000"),
            ],
        },
    ]);
}

/// A worm of 0.4 locks and one of 0.6 drives back with 1/3 (2 − 1/η: Shigley, ch. 8; the limits of
/// 0.45 and 0.55: SEVA-tec, worm gear FAQ).
#[test]
fn worms_lock() {
    let back = |efficiency: &str| {
        let design = design(&[
            ("gears.ratio", "40"),
            ("gears.stage_count", "1"),
            ("gears.efficiency", efficiency),
        ]);
        let c = Eval::new(&design);
        let torque = result(&c, "gears.back_drive_torque");
        (result(&c, "gears.back_driving_efficiency"), torque)
    };
    let (locked, never) = back("0.4");
    assert!(locked.is_ok_and(|share| pulsewright_test_support::agrees(share, "-0.500")));
    assert_eq!(never, Err(Code::Unlimited));
    let (free, turns) = back("0.6");
    assert!(free.is_ok_and(|share| pulsewright_test_support::agrees(share, "0.3333")));
    assert!(turns.is_ok());
}
