//! The stepper that it replaces.

use published::{Case, hold};

#[test]
fn steppers() {
    hold(&[
        Case {
            source: "given case: a stepper of 1.8° has 200 steps a turn, and 50 rotor teeth",
            design: &[("stepper.step_angle", "1.8 deg")],
            printed: &[
                ("stepper.steps_per_turn", 1.0, "200.000"),
                ("stepper.rotor_teeth", 1.0, "50.000"),
            ],
        },
        Case {
            source: "Burman, Special Electrical Machines, Ex. 3.2, p. 191: 3°",
            design: &[("stepper.step_angle", "3 deg")],
            printed: &[("stepper.steps_per_turn", 1.0, "120.00")],
        },
        Case {
            source: "Burman, Special Electrical Machines, Ex. 3.9, p. 194, read backwards: four phases, 30°, three teeth",
            design: &[("stepper.step_angle", "30 deg")],
            printed: &[("stepper.rotor_teeth", 1.0, "3.000")],
        },
        Case {
            source: "Burman, Special Electrical Machines, Ex. 3.12, p. 195: 3·10⁻⁴ kg·m² up 31.4 rad/s in 100 ms against 0.05 N·m, the inertia in the rotor",
            design: &[
                ("axis.kind", "torque"),
                ("axis.load_torque_given", "0.05 N.m"),
                ("axis.load_inertia_given", "0 kg.m2"),
                ("move.distance", "180 deg"),
                ("move.time", "200 ms"),
                ("move.ramp_fraction", "0.5"),
                ("stepper.rotor_inertia", "3000 g.cm2"),
            ],
            printed: &[("stepper.torque_for_move", 1.0, "0.1442")],
        },
        Case {
            source: "Texas Instruments, SLOSE51A, power dissipation example, its 2·I²·R: 0.5 A in 1.5 Ω twice",
            design: &[
                ("stepper.phase_current", "0.5 A"),
                ("stepper.phase_resistance", "1.5 Ohm"),
            ],
            printed: &[("stepper.hold_power", 1.0, "0.750")],
        },
    ]);
}
