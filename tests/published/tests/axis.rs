//! Torque, inertia and travel of an axis.

use published::{Case, POUND_INCH, design, hold, result};
use pulsewright_sheet::evaluation::Eval;

#[test]
fn screws() {
    hold(&[
        Case {
            source: "Shigley, Mechanical Engineering Design, Ex. 8-1 (results from memory), a tenth of the 6.4 kN",
            design: &[
                ("axis.kind", "screw"),
                ("axis.load_mass", "0 g"),
                ("axis.external_force", "640 N"),
                ("axis.screw_lead", "8 mm"),
                ("axis.screw_mean_diameter", "30 mm"),
                ("axis.screw_thread_friction", "0.08"),
                ("axis.screw_flank_angle", "0 deg"),
                ("axis.collar_friction", "0.08"),
                ("axis.collar_diameter", "40 mm"),
            ],
            printed: &[
                ("axis.load_torque", 0.1, "26.18"),
                ("axis.load_torque_return", 0.1, "9.77"),
            ],
        },
        Case {
            source: "Wentzell, Machine Design, Ex. 18.1, p. 399: a tenth of 2900 lbf",
            design: &[
                ("axis.kind", "screw"),
                ("axis.load_mass", "0 g"),
                ("axis.external_force", "290 lbf"),
                ("axis.screw_lead", "0.333333333 in"),
                ("axis.screw_mean_diameter", "1.3540 in"),
                ("axis.screw_thread_friction", "0.15"),
                ("axis.screw_flank_angle", "0 deg"),
                ("axis.collar_friction", "0"),
            ],
            printed: &[("axis.load_torque", 0.1 * POUND_INCH, "453.68")],
        },
        Case {
            source: "Tayal, Engineering Mechanics, Ex. 7.10: force in kN at a lever of 0.5 m, a tenth of 50 kN",
            design: &[
                ("axis.kind", "screw"),
                ("axis.load_mass", "0 g"),
                ("axis.external_force", "5 kN"),
                ("axis.screw_lead", "12.5 mm"),
                ("axis.screw_mean_diameter", "100 mm"),
                ("axis.screw_thread_friction", "0.2"),
                ("axis.screw_flank_angle", "0 deg"),
                ("axis.collar_friction", "0"),
            ],
            // The book counts the force that lowers as negative.
            printed: &[
                ("axis.load_torque", 50.0, "1.208561"),
                ("axis.load_torque_return", 50.0, "0.794732"),
            ],
        },
        Case {
            source: "engineeringprep.com, problem 516: ball screw, a tenth of 20 kN",
            design: &[
                ("axis.kind", "screw"),
                ("axis.load_mass", "0 g"),
                ("axis.external_force", "2 kN"),
                ("axis.screw_lead", "10 mm"),
                ("axis.transmission_efficiency", "0.7"),
            ],
            printed: &[("axis.load_torque", 0.1, "45.5")],
        },
    ]);
}

#[test]
fn belts_racks_and_levers() {
    hold(&[Case {
        source: "Gupta, Elements of Electric Drives, Ex. 3, p. 18: 50 N·m and 10 kg·m² behind 10:1 at 0.9",
        design: &[
            ("axis.kind", "torque"),
            ("axis.load_torque_given", "50 N.m"),
            ("axis.load_inertia_given", "10 kg.m2"),
            ("axis.reduction", "10:1"),
            ("axis.reduction_efficiency", "0.9"),
        ],
        printed: &[
            ("axis.load_torque", 1.0, "5.556"),
            ("axis.load_inertia", 1.0, "0.1"),
        ],
    }]);
}

/// λ = 20.0° drives back against ρ = 8.8°, λ = 5.2° does not (Shigley, ch. 8, for trapezoidal
/// threads of 30°, 7 mm, μ = 0.15; computed).
#[test]
fn steep_threads_drive_back() {
    for (lead, drives) in [("8 mm", true), ("2 mm", false)] {
        let design = design(&[
            ("axis.kind", "screw"),
            ("axis.external_force", "100 N"),
            ("axis.screw_lead", lead),
            ("axis.screw_mean_diameter", "7 mm"),
            ("axis.screw_thread_friction", "0.15"),
            ("axis.screw_flank_angle", "15 deg"),
            ("axis.collar_friction", "0"),
        ]);
        let returns = result(&Eval::new(&design), "axis.load_torque_return");
        assert_eq!(returns.map(|torque| torque < 0.0), Ok(drives), "{lead}");
    }
}
