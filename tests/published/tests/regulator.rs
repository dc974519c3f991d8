//! The regulator of the boards.

use published::{Case, MILLI, hold, hold_with};

#[test]
fn linear() {
    hold_with(
        &[
            ("regulator.sensor_current", "0 A"),
            ("regulator.led_current", "0 A"),
            ("regulator.other_current", "0 A"),
            ("regulator.quiescent_current", "0 A"),
        ],
        &[
            Case {
                source: "Franco, Design with Operational Amplifiers, Ex. 11.14, p. 531: 8 V to 5 V, 0.556 A, 60 K/W at 50 °C reach 150 °C",
                design: &[
                    ("supply.voltage", "8 V"),
                    ("regulator.output_voltage", "5 V"),
                    ("regulator.mcu_current", "555.6 mA"),
                    ("regulator.junction_to_ambient", "60 K/W"),
                    // Its own limit is the 150 °C; no temperature is told above a limit, by a rounding either.
                    ("regulator.max_junction", "160 degC"),
                    ("board.local_ambient", "50 degC"),
                ],
                printed: &[
                    ("regulator.loss", 1.0, "1.67"),
                    ("regulator.junction_temperature", 1.0, "150"),
                ],
            },
            Case {
                source: "Jacob, Power Electronics, Ex. 4.3, p. 168: 12 V to 5 V at 0.5 A",
                design: &[
                    ("supply.voltage", "12 V"),
                    ("regulator.output_voltage", "5 V"),
                    ("regulator.mcu_current", "0.5 A"),
                ],
                printed: &[
                    ("regulator.loss", 1.0, "3.5"),
                    ("regulator.input_current", 1.0, "0.5000"),
                ],
            },
            Case {
                source: "Jacob, Power Electronics, Ex. 1.6a, p. 29: 15 V to 5 V at 0.5 A",
                design: &[
                    ("supply.voltage", "15 V"),
                    ("regulator.output_voltage", "5 V"),
                    ("regulator.mcu_current", "0.5 A"),
                ],
                printed: &[("regulator.loss", 1.0, "5.0")],
            },
        ],
    );
}

#[test]
fn buck() {
    hold(&[
        Case {
            source: "Jacob, Power Electronics, Ex. 7.2, on-time of 4.167 µs not rounded: 12 V to 5 V, 0.5 A, 100 kHz, 220 µH",
            design: &[
                ("regulator.kind", "buck"),
                ("supply.voltage", "12 V"),
                ("regulator.output_voltage", "5 V"),
                ("regulator.mcu_current", "0.5 A"),
                ("regulator.sensor_current", "0 A"),
                ("regulator.led_current", "0 A"),
                ("regulator.other_current", "0 A"),
                ("regulator.switching_frequency", "100 kHz"),
                ("regulator.inductance", "220 uH"),
            ],
            printed: &[
                ("regulator.duty", 0.1, "4.167"),
                ("regulator.ripple_current", MILLI, "132.58"),
            ],
        },
        Case {
            source: "Jacob, Power Electronics, Ex. 7.5, p. 341: 155.556 µH at 150 kHz ripple a quarter of 0.5 A",
            design: &[
                ("regulator.kind", "buck"),
                ("supply.voltage", "12 V"),
                ("regulator.output_voltage", "5 V"),
                ("regulator.mcu_current", "0.5 A"),
                ("regulator.sensor_current", "0 A"),
                ("regulator.led_current", "0 A"),
                ("regulator.other_current", "0 A"),
                ("regulator.switching_frequency", "150 kHz"),
                ("regulator.inductance", "155.5556 uH"),
            ],
            printed: &[("regulator.peak_inductor_current", MILLI, "562.5")],
        },
        Case {
            source: "Texas Instruments, SLVAE09B: 36 V to 5 V, 0.6 A, 1.1 MHz, 16.3 µH for a ripple of 0.4",
            design: &[
                ("regulator.kind", "buck"),
                ("supply.voltage", "36 V"),
                ("regulator.output_voltage", "5 V"),
                ("regulator.mcu_current", "0.6 A"),
                ("regulator.sensor_current", "0 A"),
                ("regulator.led_current", "0 A"),
                ("regulator.other_current", "0 A"),
                ("regulator.switching_frequency", "1.1 MHz"),
                ("regulator.inductance", "16.3 uH"),
            ],
            printed: &[("regulator.ripple_current", 0.6, "0.40")],
        },
        Case {
            source: "Franco, Design with Operational Amplifiers, Ex. 11.17, p. 539: ideal duty at 12 V",
            design: &[
                ("regulator.kind", "buck"),
                ("regulator.rectifier", "synchronous"),
                ("supply.voltage", "12 V"),
                ("regulator.output_voltage", "5 V"),
            ],
            printed: &[("regulator.duty", 0.01, "41.7")],
        },
        Case {
            source: "Franco, Ex. 11.17, p. 539: ideal duty at 8 V",
            design: &[
                ("regulator.kind", "buck"),
                ("regulator.rectifier", "synchronous"),
                ("supply.voltage", "8 V"),
                ("regulator.output_voltage", "5 V"),
            ],
            printed: &[("regulator.duty", 0.01, "62.5")],
        },
    ]);
}
