//! Supply: sag, run time, capacitors.

use published::{Case, MICRO, hold_with};
use pulsewright_calc::supply::{hold_up_capacitance, pumped_voltage};
use pulsewright_calc::units::{Capacitance, ElectricCurrent, ElectricPotential, Energy, Time};
use pulsewright_test_support::agrees;
use uom::si::capacitance::microfarad;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::energy::millijoule;
use uom::si::time::microsecond;

/// A motor of hardly any resistance that turns at 169.24 rad/s under 100 W, behind 1.03 Ω: the voltage
/// that is left is the book's back-EMF.
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
                    ("move.time", "5.9685 s"),
                    ("supply.voltage", "40 V"),
                ],
                printed: &[
                    ("move.peak_speed", 1.0, "169.2"),
                    ("supply.voltage_at_worst", 0.22, "169.2"),
                ],
            },
            Case {
                source: "the same at 50 V",
                design: &[
                    ("axis.load_torque_given", "0.45979 N.m"),
                    ("move.time", "4.6443 s"),
                    ("supply.voltage", "50 V"),
                    ("supply.max_voltage", "60 V"),
                ],
                printed: &[
                    ("move.peak_speed", 1.0, "217.5"),
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
        &[
            Case {
                source: "electrotechnik.net, Peukert, in its form for rated hours: 100 A·h at their 20-hour rate last 20 h",
                design: &[("supply.actuators", "5")],
                printed: &[
                    ("supply.average_current", 1.0, "5.000"),
                    ("supply.run_time", 3600.0, "20.0"),
                ],
            },
            Case {
                source: "computed: Python, 20*(100/(10*20))**1.2",
                design: &[("supply.actuators", "10")],
                printed: &[("supply.run_time", 3600.0, "8.7055")],
            },
        ],
    );
}

/// Texas Instruments, SLVAFT0 (2024): 0.2 A for 50 µs within 0.1 V need 100 µF. And ½·L·I² of 1 mH and
/// 1 A, which is 0.5 mJ, lifts 100 µF from 12 V to 12.410 V (computed: Python, (12**2 + 2*0.5e-3/1e-4)**0.5).
#[test]
fn capacitors() {
    let step = ElectricCurrent::new::<ampere>(0.2);
    let needed = hold_up_capacitance(
        step,
        Time::new::<microsecond>(50.0),
        ElectricPotential::new::<volt>(0.1),
    );
    assert!(needed.is_some_and(|needed| agrees(needed.value / MICRO, "100")));
    let lifted = pumped_voltage(
        ElectricPotential::new::<volt>(12.0),
        Energy::new::<millijoule>(0.5),
        Capacitance::new::<microfarad>(100.0),
    );
    assert!(agrees(lifted.value, "12.410"));
}
