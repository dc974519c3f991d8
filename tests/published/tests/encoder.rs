//! Magnet and Hall sensors on the motor shaft.

use published::{Case, DEGREE, design, hold, result};
use pulsewright_sheet::evaluation::Severity;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::evaluation::{Code, Eval};

#[test]
fn counts() {
    hold(&[
        Case {
            source: "given case: three pole pairs, two sensors at 90°, every edge counted",
            design: &[
                ("encoder.pole_pairs", "3"),
                ("encoder.sensor_spacing", "90 deg"),
                ("gears.ratio", "380"),
            ],
            printed: &[
                ("encoder.counts_per_motor_turn", 1.0, "12.0"),
                ("encoder.electrical_spacing", DEGREE, "270.00"),
                ("encoder.phase_error", DEGREE, "0.00"),
                ("encoder.counts_per_output_turn", 1.0, "4560.0"),
                ("encoder.angle_per_count", DEGREE, "0.0789"),
            ],
        },
        Case {
            source: "originalho.com, electrical and mechanical degrees: with six poles 360° electrical are 120°",
            design: &[
                ("encoder.pole_pairs", "3"),
                ("encoder.sensor_spacing", "120 deg"),
            ],
            printed: &[("encoder.electrical_spacing", DEGREE, "0.0")],
        },
        Case {
            source: "computed: magpylib 6.3.0, ring of six CylinderSegment: the radial field changes sign six times a turn; one sensor, both edges",
            design: &[("encoder.pole_pairs", "3"), ("encoder.sensors", "1")],
            printed: &[("encoder.counts_per_motor_turn", 1.0, "6.0")],
        },
    ]);
}

/// Given cases: two or four pole pairs with sensors at 90° give 180° or 360° electrical: no
/// direction, so that edges are lost at any speed.
#[test]
fn even_pole_pairs_give_no_direction() {
    for (pairs, electrical) in [("2", "180.0"), ("4", "0.0")] {
        let design = design(&[
            ("encoder.pole_pairs", pairs),
            ("encoder.sensor_spacing", "90 deg"),
        ]);
        let c = Eval::new(&design);
        let spacing = result(&c, "encoder.electrical_spacing").map(|angle| angle / DEGREE);
        assert!(spacing.is_ok_and(|angle| pulsewright_test_support::agrees(angle, electrical)));
        let off = result(&c, "encoder.phase_error").map(|angle| angle / DEGREE);
        assert!(off.is_ok_and(|angle| pulsewright_test_support::agrees(angle, "90.0")));
        let gap = result(&c, "encoder.shortest_edge_gap");
        assert!(gap == Err(Code::Impossible) || gap.is_ok_and(|gap| gap <= 0.0));
        let faults = finding::all(&c);
        let fault = |id| {
            let said = faults.iter().find(|said| said.finding.id == id);
            said.is_some_and(|said| said.severity == Severity::Fault)
        };
        assert!(fault("no_direction") || fault("edges_lost"), "{pairs}");
    }
}
