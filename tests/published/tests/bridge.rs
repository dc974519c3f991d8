//! The H-bridge driver.

use published::{Case, hold, hold_with};

#[test]
fn ripple() {
    hold(&[
        Case {
            source: "Gupta & Singhal, Power Electronics, Ex. 5.7, p. 257, a tenth of the 200 V: V/(4·f·L)",
            design: &[
                ("supply.voltage", "20 V"),
                ("motor.inductance", "6 mH"),
                ("bridge.pwm_frequency", "1 kHz"),
            ],
            printed: &[("bridge.ripple_current", 0.1, "8.33")],
        },
        Case {
            source: "Gupta & Singhal, Power Electronics, Ex. 5.8, p. 258, a tenth of the 300 V: 50 mH for 20 % of 30 A",
            design: &[
                ("supply.voltage", "30 V"),
                ("motor.inductance", "50 mH"),
                ("bridge.pwm_frequency", "250 Hz"),
            ],
            printed: &[("bridge.ripple_current", 0.1, "6.00")],
        },
    ]);
}

/// A steady motor current: 10 mN·m an ampere, no gear, no friction, no inertia to speak of.
#[test]
fn losses() {
    hold_with(
        &[
            ("axis.kind", "torque"),
            ("axis.load_inertia_given", "0 kg.m2"),
            ("move.dwell", "0 s"),
            ("motor.figures_at", "motor"),
            ("motor.no_load_current", "0 A"),
            ("motor.rotor_inertia", "0.001 g.cm2"),
            ("gears.ratio", "1"),
            ("gears.efficiency", "1"),
        ],
        &[
            Case {
                source: "Texas Instruments, SLVA504A (2021), worked example: 13.5 V, 1 A, 100 mΩ a side, edges of 13.5 V/µs, 20 kHz; its parts 0.1 + 0.05 + 0.05 W and 0.27 W",
                design: &[
                    ("axis.load_torque_given", "10 mN.m"),
                    ("motor.rated_voltage", "13.5 V"),
                    ("motor.no_load_speed", "1350 rad/s"),
                    ("supply.voltage", "13.5 V"),
                    ("bridge.high_side", "100 mOhm"),
                    ("bridge.low_side", "100 mOhm"),
                    ("bridge.temperature_coefficient", "0 1/K"),
                    ("bridge.rise_time", "1 us"),
                    ("bridge.fall_time", "1 us"),
                    ("bridge.pwm_frequency", "20 kHz"),
                    ("bridge.quiescent_current", "10 mA"),
                    ("board.local_ambient", "25 degC"),
                ],
                printed: &[
                    ("move.rms_current", 1.0, "1.000"),
                    ("bridge.conduction_loss", 1.0, "0.200"),
                    ("bridge.switching_loss", 1.0, "0.270"),
                    ("bridge.quiescent_loss", 1.0, "0.1350"),
                ],
            },
            Case {
                source: "Texas Instruments, SLOSE51A, power dissipation example: 24 V, 0.5 A, 100 ns, 40 kHz, 3.8 mA; half of its two bridges' 0.096 W",
                design: &[
                    ("axis.load_torque_given", "5 mN.m"),
                    ("motor.rated_voltage", "24 V"),
                    ("motor.no_load_speed", "2400 rad/s"),
                    ("supply.voltage", "24 V"),
                    ("bridge.rise_time", "100 ns"),
                    ("bridge.fall_time", "100 ns"),
                    ("bridge.pwm_frequency", "40 kHz"),
                    ("bridge.quiescent_current", "3.8 mA"),
                    ("board.local_ambient", "25 degC"),
                ],
                printed: &[
                    ("bridge.switching_loss", 0.5, "0.096"),
                    ("bridge.quiescent_loss", 1.0, "0.0912"),
                ],
            },
            Case {
                source: "Jacob, Power Electronics, Ex. 6.7, p. 289, loss not rounded: 0.11 Ω, 2.6 times as much when hot, √0.4·28 V/6.286 Ω, 62 K/W at 40 °C",
                design: &[
                    ("axis.load_torque_given", "28.171 mN.m"),
                    ("motor.rated_voltage", "28 V"),
                    ("motor.no_load_speed", "2800 rad/s"),
                    ("supply.voltage", "28 V"),
                    ("bridge.high_side", "55 mOhm"),
                    ("bridge.low_side", "55 mOhm"),
                    ("bridge.temperature_coefficient", "0.010276 1/K"),
                    ("bridge.rise_time", "0 s"),
                    ("bridge.fall_time", "0 s"),
                    ("bridge.quiescent_current", "0 A"),
                    ("bridge.junction_to_ambient", "62 K/W"),
                    // The example asks no limit: no temperature is told above it.
                    ("bridge.max_junction", "200 degC"),
                    ("board.local_ambient", "40 degC"),
                ],
                printed: &[
                    ("bridge.conduction_loss", 1.0, "2.27"),
                    ("bridge.junction_temperature", 1.0, "180.7"),
                ],
            },
        ],
    );
}
