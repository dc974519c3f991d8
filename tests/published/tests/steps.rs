//! The pulses it must obey.

use published::{Case, RPM, TURN, hold};

#[test]
fn electronic_gearing() {
    hold(&[
        Case {
            source: "Hayes, On the Teeth of Wheels, American Scientist 2000 (from memory): 191/23 is nearly 83/10",
            design: &[
                ("encoder.pole_pairs", "1"),
                ("encoder.counts_per_pole_pair", "1"),
                ("gears.ratio", "191"),
                ("steps.wanted_per_turn", "23"),
                ("steps.gearing_limit", "100"),
            ],
            printed: &[
                ("steps.counts_per_step", 1.0, "8.304348"),
                ("steps.gearing_numerator", 1.0, "83.0"),
                ("steps.gearing_denominator", 1.0, "10.0"),
            ],
        },
        Case {
            source: "355/113 for π, 2.668·10⁻⁷ too large (classical; Austin, Trees, Teeth, and Time, AMS Feature Column 2008)",
            design: &[
                ("encoder.pole_pairs", "1"),
                ("encoder.counts_per_pole_pair", "1"),
                ("gears.ratio", "3.14159265358979"),
                ("steps.wanted_per_turn", "1"),
                ("steps.gearing_limit", "1000"),
            ],
            printed: &[
                ("steps.gearing_numerator", 1.0, "355.0"),
                ("steps.gearing_denominator", 1.0, "113.0"),
                ("steps.gearing_drift_per_turn", 2e-7, "2.668"),
            ],
        },
    ]);
}

#[test]
fn rates_and_settings() {
    hold(&[
        Case {
            source: "Burman, Special Electrical Machines, Ex. 3.3, p. 191: 1.8° and 4000 pulses a second turn 20 times a second",
            design: &[
                ("steps.wanted_per_turn", "200"),
                ("steps.controller_rate_limit", "4 kHz"),
            ],
            printed: &[("steps.speed_limit", TURN, "20.00")],
        },
        Case {
            source: "Burman, Special Electrical Machines, Ex. 3.5, p. 192: 2400 r/min at 200 steps a turn are 8000 pulses a second",
            design: &[
                ("steps.wanted_per_turn", "200"),
                ("steps.controller_rate_limit", "8000 Hz"),
            ],
            printed: &[("steps.speed_limit", RPM, "2400.00")],
        },
        Case {
            source: "common practice, no source: 200 steps in sixteenths on a pulley of 20 teeth of 2 mm are 80 steps a millimetre",
            design: &[
                ("axis.kind", "belt"),
                ("axis.pulley_teeth", "20"),
                ("axis.belt_pitch", "2 mm"),
                ("steps.wanted_per_turn", "3200"),
            ],
            printed: &[
                ("steps.per_unit", 1.0, "80.000"),
                ("steps.travel_per_step", 1e-6, "12.500"),
                ("steps.rounding_error_over_travel", 1.0, "0.000"),
            ],
        },
        Case {
            source: "common practice, no source: 200 steps in sixteenths on a screw of 8 mm lead are 400 steps a millimetre",
            design: &[
                ("axis.kind", "screw"),
                ("axis.screw_lead", "8 mm"),
                ("steps.wanted_per_turn", "3200"),
            ],
            printed: &[("steps.per_unit", 1.0, "400.000")],
        },
    ]);
}
