//! The motor as bought.

use published::{Case, MILLI, hold};

#[test]
fn motors() {
    hold(&[
        Case {
            source: "Kothari & Nagrath, Electric Machines, Ex. 7.63, p. 231: no-load test of a 6 V motor; the loss at 12125 r/min",
            design: &[
                ("motor.figures_at", "motor"),
                ("motor.rated_voltage", "6 V"),
                ("motor.no_load_speed", "12125 r/min"),
                ("motor.no_load_current", "14.5 mA"),
                ("motor.terminal_resistance", "4.2 Ohm"),
            ],
            printed: &[
                ("motor.back_emf_constant", 1.0, "0.0046775"),
                ("motor.torque_constant", 1.0, "0.0046775"),
                (
                    "motor.friction_torque",
                    1.0 / (12_125.0 * published::RPM),
                    "0.08612",
                ),
            ],
        },
        Case {
            source: "Burman, Special Electrical Machines, Ex. 4.1, p. 216, read backwards: 48 V, 3819.7 r/min",
            design: &[
                ("motor.figures_at", "motor"),
                ("motor.rated_voltage", "48 V"),
                ("motor.no_load_speed", "3819.7 r/min"),
                ("motor.no_load_current", "0 A"),
            ],
            printed: &[("motor.torque_constant", 1.0, "0.12")],
        },
        Case {
            source: "Burman, Special Electrical Machines, Ex. 4.4, p. 217, read backwards: 1 N·m at 5 A, 28 V, 1336.90 r/min",
            design: &[
                ("motor.figures_at", "motor"),
                ("motor.rated_voltage", "28 V"),
                ("motor.no_load_speed", "1336.90 r/min"),
                ("motor.no_load_current", "0 A"),
                ("motor.stall_current", "5 A"),
                ("motor.stall_torque", "1 N.m"),
            ],
            printed: &[
                ("motor.torque_constant", 1.0, "0.200"),
                ("motor.stall_ratio", 1.0, "1.000"),
                ("motor.resistance", 1.0, "5.60"),
            ],
        },
        Case {
            source: "computed: gym-electric-motor 3.0.3, DcPermanentlyExcitedMotor(r_a=19.8, l_a=420e-6, psi_e=11.5e-3, j_rotor=0.56e-7).electrical_ode run up by SciPy 1.17.1, read backwards from its 9849.4 r/min",
            design: &[
                ("motor.figures_at", "motor"),
                ("motor.rated_voltage", "12 V"),
                ("motor.no_load_speed", "9849.4 r/min"),
                ("motor.no_load_current", "7 mA"),
                ("motor.terminal_resistance", "19.8 Ohm"),
                ("motor.inductance", "420 uH"),
                ("motor.rotor_inertia", "0.56 g.cm2"),
            ],
            printed: &[
                ("motor.torque_constant", MILLI, "11.50"),
                // The run reaches 63.2 % after 8.385 ms, a hair later for its inductance.
                ("motor.mechanical_time_constant", MILLI, "8.38"),
                ("motor.electrical_time_constant", MILLI, "0.0212"),
            ],
        },
        Case {
            source: "FAULHABER, data sheet of the 0816…SR series, 6 V winding (8 mm, 4.5 g)",
            design: &[
                ("motor.figures_at", "motor"),
                ("motor.rated_voltage", "6 V"),
                ("motor.no_load_speed", "13500 r/min"),
                ("motor.no_load_current", "8.3 mA"),
                ("motor.terminal_resistance", "21.2 Ohm"),
                ("motor.rotor_inertia", "0.052 g.cm2"),
            ],
            printed: &[
                ("motor.torque_constant", MILLI, "4.12"),
                ("motor.friction_torque", MILLI, "0.034"),
                ("motor.best_efficiency", 0.01, "69"),
                ("motor.mechanical_time_constant", MILLI, "6.5"),
            ],
        },
    ]);
}
