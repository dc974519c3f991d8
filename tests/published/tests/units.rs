//! Units as people write them, against NIST SP 811 and the definitions.

use published::{Case, MILLI, hold};

#[test]
fn units() {
    hold(&[
        Case {
            source: "NIST SP 811 (2008), App. B.8, moment of force",
            design: &[
                ("axis.kind", "torque"),
                ("axis.load_torque_given", "1 ozf.in"),
            ],
            printed: &[("axis.load_torque", MILLI, "7.061552")],
        },
        Case {
            source: "NIST SP 811 (2008), App. B.8, moment of force",
            design: &[
                ("axis.kind", "torque"),
                ("axis.load_torque_given", "1 lbf.in"),
            ],
            printed: &[("axis.load_torque", 1.0, "0.1129848")],
        },
        Case {
            source: "NIST SP 811 (2008), App. B.8: 1 kgf·m = 9.80665 N·m exactly",
            design: &[
                ("axis.kind", "torque"),
                ("axis.load_torque_given", "1 kgf.cm"),
            ],
            printed: &[("axis.load_torque", 1.0, "0.098066500000")],
        },
        Case {
            source: "the same times 2.5",
            design: &[
                ("axis.kind", "torque"),
                ("axis.load_torque_given", "2.5 kgf·cm"),
            ],
            printed: &[("axis.load_torque", 1.0, "0.245166250000")],
        },
        Case {
            source: "the same times 10",
            design: &[
                ("axis.kind", "torque"),
                ("axis.load_torque_given", "10 kgf.cm"),
            ],
            printed: &[("axis.load_torque", 1.0, "0.980665000000")],
        },
        Case {
            source: "Kosow, Electric Machinery and Transformers, Ex. 4-23, p. 123: 0.1591 N·m are 22.5 ozf·in",
            design: &[
                ("axis.kind", "torque"),
                ("axis.load_torque_given", "22.5 ozf.in"),
            ],
            printed: &[("axis.load_torque", 1.0, "0.159")],
        },
        Case {
            source: "NIST SP 811 (2008), App. B.8, force (from memory): a lever of one metre",
            design: &[
                ("axis.load_mass", "0 g"),
                ("axis.radius", "1 m"),
                ("axis.external_force", "1 lbf"),
            ],
            printed: &[("axis.holding_torque", 1.0, "4.448222")],
        },
        Case {
            source: "NIST SP 811 (2008), App. B.8, force (from memory): a lever of one metre",
            design: &[
                ("axis.load_mass", "0 g"),
                ("axis.radius", "1 m"),
                ("axis.external_force", "1 ozf"),
            ],
            printed: &[("axis.holding_torque", 1.0, "0.2780139")],
        },
        Case {
            source: "NIST SP 811 (2008), App. B.8, moment of inertia (from memory): 1 lb·in²",
            design: &[
                ("axis.load_mass", "1 lb"),
                ("axis.radius", "1 in"),
                ("axis.payload_inertia", "0 kg.m2"),
            ],
            printed: &[("axis.load_inertia", 1e-4, "2.926397")],
        },
        Case {
            source: "NIST SP 811 (2008), App. B.8, moment of inertia (from memory): 1 lb·ft²",
            design: &[
                ("axis.load_mass", "16 oz"),
                ("axis.radius", "1 ft"),
                ("axis.payload_inertia", "0 kg.m2"),
            ],
            printed: &[("axis.load_inertia", 1e-2, "4.214011")],
        },
        Case {
            source: "NIST SP 811 (2008), App. B.8: revolution per minute",
            design: &[
                ("motor.no_load_speed", "1 r/min"),
                ("supply.voltage", "6 V"),
            ],
            printed: &[("motor.no_load_speed", 1.0, "0.1047198")],
        },
        Case {
            source: "NIST SP 811 (2008), App. B.8: degree Fahrenheit (from memory)",
            design: &[("axis.ambient_temperature", "98.6 °F")],
            printed: &[("axis.ambient_temperature", 1.0, "37.0")],
        },
        Case {
            source: "international inch of 25.4 mm exactly (NIST SP 811, App. B.6)",
            design: &[("axis.kind", "screw"), ("axis.screw_lead", "0.5 in")],
            printed: &[("axis.travel_per_turn", MILLI, "12.700000")],
        },
        Case {
            source: "1 g·cm² = 10⁻⁷ kg·m² by definition",
            design: &[
                ("axis.kind", "torque"),
                ("axis.load_inertia_given", "74000 g.cm2"),
            ],
            printed: &[("axis.load_inertia", MILLI, "7.400000")],
        },
    ]);
}
