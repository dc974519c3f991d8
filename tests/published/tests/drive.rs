//! The motor on its supply. A bridge has at least half a milliohm a side; it is taken off the
//! winding where a source has none.

use published::{Case, MILLI, RPM, hold_with};

#[test]
fn drives() {
    hold_with(
        &[
            ("motor.figures_at", "motor"),
            ("bridge.high_side", "0.5 mOhm"),
            ("bridge.low_side", "0.5 mOhm"),
            ("wiring.length", "0 m"),
            ("supply.source_resistance", "0 Ohm"),
            ("gears.efficiency", "1"),
        ],
        &[
            Case {
                source: "Kothari & Nagrath, Electric Machines, Ex. 7.63, p. 231: 6 V, 4.2 Ω in all, no load at 12125 r/min and 14.5 mA",
                design: &[
                    ("motor.rated_voltage", "6 V"),
                    ("motor.no_load_speed", "12125 r/min"),
                    ("motor.no_load_current", "14.5 mA"),
                    ("motor.terminal_resistance", "4.1990 Ohm"),
                    ("supply.voltage", "6 V"),
                    ("gears.ratio", "1"),
                ],
                printed: &[
                    ("drive.stall_current", 1.0, "1.4286"),
                    // The book's 6.682 mN·m at the rotor, less the friction of 0.0678 mN·m that it also gives as 0.08612 W.
                    ("drive.stall_torque", MILLI, "6.614"),
                    ("drive.no_load_speed", RPM, "12125"),
                ],
            },
            Case {
                source: "Del Toro, Electrical Engineering Fundamentals, Ex. 20-4, p. 780, a tenth of its volts and ohms: 70 % of 55 V, 30 A",
                design: &[
                    ("axis.kind", "torque"),
                    ("axis.load_torque_given", "17.82 N.m"),
                    ("motor.rated_voltage", "38.5 V"),
                    ("motor.no_load_speed", "64.8148148 rad/s"),
                    ("motor.no_load_current", "0 A"),
                    ("motor.terminal_resistance", "99 mOhm"),
                    ("supply.voltage", "38.5 V"),
                    ("gears.ratio", "1"),
                ],
                printed: &[
                    ("drive.current_at_load", 1.0, "30.0"),
                    ("drive.speed_at_load", 1.0, "59.76"),
                ],
            },
            Case {
                source: "Del Toro, Electrical Engineering Fundamentals, Ex. 20-4, p. 780: the same at 40 %",
                design: &[
                    ("axis.kind", "torque"),
                    ("axis.load_torque_given", "17.82 N.m"),
                    ("motor.rated_voltage", "38.5 V"),
                    ("motor.no_load_speed", "64.8148148 rad/s"),
                    ("motor.no_load_current", "0 A"),
                    ("motor.terminal_resistance", "99 mOhm"),
                    ("supply.voltage", "22 V"),
                    ("gears.ratio", "1"),
                ],
                printed: &[("drive.speed_at_load", 1.0, "31.99")],
            },
            Case {
                source: "Khurmi & Gupta, Theory of Machines, Ex. 3.14, p. 51, a ten-thousandth of torque and inertia: 2 kg·m² drive 32 kg·m² through 4:1",
                design: &[
                    ("axis.kind", "torque"),
                    ("axis.load_torque_given", "0 N.m"),
                    ("axis.load_inertia_given", "0.0032 kg.m2"),
                    ("motor.rated_voltage", "12 V"),
                    ("motor.no_load_speed", "1000 rad/s"),
                    ("motor.no_load_current", "0 A"),
                    ("motor.terminal_resistance", "14.399 Ohm"),
                    ("motor.rotor_inertia", "2000 g.cm2"),
                    ("supply.voltage", "12 V"),
                    ("gears.ratio", "4"),
                ],
                printed: &[
                    ("drive.peak_acceleration", 1.0, "6.25"),
                    ("axis.inertia_ratio", 1.0, "1.0000"),
                ],
            },
        ],
    );
}

/// Half the no-load speed at half the stall torque.
#[test]
fn point_of_greatest_power() {
    hold_with(
        &[
            ("axis.kind", "torque"),
            ("motor.rated_voltage", "12 V"),
            ("motor.no_load_current", "0 A"),
            ("bridge.high_side", "0.5 mOhm"),
            ("bridge.low_side", "0.5 mOhm"),
            ("wiring.length", "0 m"),
            ("supply.source_resistance", "0 Ohm"),
            ("supply.voltage", "12 V"),
        ],
        &[
            Case {
                source: "MIT, Understanding D.C. Motor Characteristics, lancet.mit.edu/motors/motors4.html: 600 r/min, 0.325 N·m",
                design: &[
                    ("axis.load_torque_given", "0.1625 N.m"),
                    ("motor.no_load_speed", "600 r/min"),
                    ("motor.stall_current", "2.2 A"),
                    ("motor.stall_torque", "0.3250 N.m"),
                ],
                printed: &[("drive.speed_at_load", RPM, "300")],
            },
            Case {
                source: "MIT, the same page: 3750 r/min, 0.0722 N·m",
                design: &[
                    ("axis.load_torque_given", "0.0361 N.m"),
                    ("motor.no_load_speed", "3750 r/min"),
                    ("motor.stall_current", "3 A"),
                    ("motor.stall_torque", "0.0722 N.m"),
                ],
                printed: &[("drive.speed_at_load", RPM, "1875")],
            },
            Case {
                source: "MIT, the same page: 92 r/min, 1.6 N·m",
                design: &[
                    ("axis.load_torque_given", "0.8 N.m"),
                    ("motor.no_load_speed", "92 r/min"),
                    ("motor.stall_current", "1.6 A"),
                    ("motor.stall_torque", "1.6 N.m"),
                ],
                printed: &[("drive.speed_at_load", RPM, "46")],
            },
        ],
    );
}
