//! Supply: sag, run time.

use published::{Case, hold_with};

/// A motor of hardly any resistance that takes 100 W behind 1.03 Ω: the voltage that is left is the book's
/// back-EMF. Its move asks for the speed that the motor can just make, which its 21 mΩ keep a little below the book's.
#[test]
fn sag_at_constant_power() {
    hold_with(
        &[
            ("axis.kind", "torque"),
            ("axis.load_inertia_given", "0 kg.m2"),
            ("move.distance", "1000 rad"),
            ("move.ramp_fraction", "0.01"),
            ("motor.figures_at", "motor"),
            ("motor.rated_voltage", "40 V"),
            ("motor.no_load_speed", "181.818182 rad/s"),
            ("motor.no_load_current", "0 A"),
            ("motor.terminal_resistance", "20 mOhm"),
            ("motor.rotor_inertia", "0.001 g.cm2"),
            ("gears.ratio", "1"),
            ("gears.efficiency", "1"),
            ("bridge.high_side", "0.5 mOhm"),
            ("bridge.low_side", "0.5 mOhm"),
            ("bridge.quiescent_current", "0 A"),
            ("bridge.current_limit", "10 A"),
            ("supply.source_resistance", "1.03 Ohm"),
            ("wiring.length", "0 m"),
            ("regulator.mcu_current", "0 A"),
            ("regulator.sensor_current", "0 A"),
            ("regulator.led_current", "0 A"),
            ("regulator.other_current", "0 A"),
            ("regulator.quiescent_current", "0 A"),
        ],
        &[
            Case {
                source: "Fitzgerald, Kingsley & Umans, Electric Machinery, Ex. 11.5, p. 573: 100 W at 40 V through 1.03 Ω, 0.22 V·s",
                design: &[
                    ("axis.load_torque_given", "0.59088 N.m"),
                    ("move.time", "5.97773 s"),
                    ("supply.voltage", "40 V"),
                ],
                printed: &[
                    ("supply.peak_power", 1.0, "100.0"),
                    ("supply.voltage_at_worst", 0.22, "169.2"),
                ],
            },
            Case {
                source: "the same at 50 V",
                design: &[
                    ("axis.load_torque_given", "0.45979 N.m"),
                    ("move.time", "4.64884 s"),
                    ("supply.voltage", "50 V"),
                    ("supply.max_voltage", "60 V"),
                ],
                printed: &[
                    ("supply.peak_power", 1.0, "100.0"),
                    ("supply.voltage_at_worst", 0.22, "217.5"),
                ],
            },
        ],
    );
}

/// Five boards of 1 A and motors that rest.
#[test]
fn run_time() {
    hold_with(
        &[
            ("move.duty", "0"),
            ("supply.capacity", "100 A.h"),
            ("supply.rated_hours", "20 h"),
            ("supply.peukert_exponent", "1.2"),
            ("regulator.mcu_current", "1 A"),
            ("regulator.sensor_current", "0 A"),
            ("regulator.led_current", "0 A"),
            ("regulator.other_current", "0 A"),
            ("regulator.quiescent_current", "0 A"),
            ("bridge.quiescent_current", "0 A"),
        ],
        &[Case {
            source: "electrotechnik.net, Peukert, in its form for rated hours: 100 A·h at their 20-hour rate last 20 h",
            design: &[("supply.actuators", "5")],
            printed: &[
                ("supply.average_current", 1.0, "5.000"),
                ("supply.run_time", 3600.0, "20.0"),
            ],
        }],
    );
}
