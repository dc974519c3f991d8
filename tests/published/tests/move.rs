//! The motion asked for.

use published::{Case, hold};

#[test]
fn moves() {
    hold(&[
        Case {
            source: "Lynch & Park, Modern Robotics, 9.2: fifth order, unit distance in unit time",
            design: &[
                ("axis.kind", "torque"),
                ("move.profile", "smooth"),
                ("move.distance", "1 rad"),
                ("move.time", "1 s"),
            ],
            printed: &[
                ("move.peak_speed", 1.0, "1.875"),
                ("move.peak_acceleration", 1.0, "5.774"),
            ],
        },
        Case {
            source: "linearmotiontips.com, motion profiles: thirds",
            design: &[
                ("axis.kind", "torque"),
                ("move.distance", "1 rad"),
                ("move.time", "1 s"),
                ("move.ramp_fraction", "1/3"),
            ],
            printed: &[
                ("move.peak_speed", 1.0, "1.5"),
                ("move.peak_acceleration", 1.0, "4.5"),
            ],
        },
        Case {
            source: "linearmotiontips.com, motion profiles: triangle, here 100 mm in 1 s along a belt",
            design: &[
                ("axis.kind", "belt"),
                ("move.distance", "100 mm"),
                ("move.time", "1 s"),
                ("move.ramp_fraction", "0.5"),
            ],
            printed: &[
                ("move.peak_travel_speed", 0.1, "2.000"),
                ("move.peak_travel_acceleration", 0.1, "4.000"),
            ],
        },
        Case {
            source: "Burman, Special Electrical Machines, Ex. 3.12, p. 195: 3·10⁻⁴ kg·m² up 31.4 rad/s in 100 ms against 0.05 N·m",
            design: &[
                ("axis.kind", "torque"),
                ("axis.load_torque_given", "0.05 N.m"),
                ("axis.load_inertia_given", "0.0003 kg.m2"),
                ("move.distance", "180 deg"),
                ("move.time", "200 ms"),
                ("move.ramp_fraction", "0.5"),
            ],
            printed: &[
                ("move.peak_acceleration", 1.0, "314.2"),
                ("move.peak_torque", 1.0, "0.1442"),
            ],
        },
        Case {
            source: "Burman, Special Electrical Machines, Ex. 3.13, p. 195: 10⁻⁴ kg·m² up 100 rad/s in 0.2 s against 0.06 N·m",
            design: &[
                ("axis.kind", "torque"),
                ("axis.load_torque_given", "0.06 N.m"),
                ("axis.load_inertia_given", "0.0001 kg.m2"),
                ("move.distance", "20 rad"),
                ("move.time", "0.4 s"),
                ("move.ramp_fraction", "0.5"),
            ],
            printed: &[
                ("move.peak_speed", 1.0, "100.0"),
                ("move.peak_torque", 1.0, "0.1100"),
            ],
        },
    ]);
}
