//! Holding and heat.

use published::{Case, hold, hold_with};
use pulsewright_calc::heat::{HeatingTime, ThermalModel, hold_time};
use pulsewright_calc::units::{
    ElectricCurrent, ElectricalResistance, TemperatureCoefficient, ThermalResistance, Time, celsius,
};
use uom::si::electric_current::ampere;
use uom::si::electrical_resistance::ohm;
use uom::si::time::minute;

#[test]
fn copper() {
    hold(&[
        Case {
            source: "NBS Handbook 100, Copper Wire Tables (1966), Table 2 (from memory): coefficient at 25 °C",
            design: &[("axis.ambient_temperature", "25 degC")],
            printed: &[("heat.coefficient", 1.0, "0.00385")],
        },
        Case {
            source: "NBS Handbook 100, Copper Wire Tables (1966), Table 2 (from memory): coefficient at 0 °C",
            design: &[("axis.ambient_temperature", "0 degC")],
            printed: &[("heat.coefficient", 1.0, "0.00427")],
        },
        Case {
            source: "resistance method with 234.5 K (UL motor text; computed): 1.20 times the resistance of 25 °C at 76.9 °C",
            design: &[
                ("motor.terminal_resistance", "10 Ohm"),
                ("motor.reference_temperature", "25 degC"),
                ("axis.ambient_temperature", "76.9 degC"),
            ],
            printed: &[("heat.resistance_at_ambient", 1.0, "12.00")],
        },
    ]);
}

/// 20 and 48 K/W, 85 °C at 22 °C: the thermally lasting current of three windings.
#[test]
fn continuous_current() {
    const SHEET: &str =
        "FAULHABER, data sheet of the 0816…SR series (8 mm, 4.5 g), values at 22 °C";
    hold_with(
        &[
            ("motor.reference_temperature", "22 degC"),
            ("axis.ambient_temperature", "22 degC"),
            ("motor.max_winding_temperature", "85 degC"),
            ("motor.winding_to_housing", "20 K/W"),
            ("motor.housing_to_ambient", "48 K/W"),
        ],
        &[
            Case {
                source: SHEET,
                design: &[("motor.terminal_resistance", "5.4 Ohm")],
                printed: &[
                    ("heat.continuous_current", 1.0, "0.37"),
                    ("heat.thermal_resistance", 1.0, "68.0"),
                ],
            },
            Case {
                source: SHEET,
                design: &[("motor.terminal_resistance", "21.2 Ohm")],
                printed: &[("heat.continuous_current", 1.0, "0.19")],
            },
            Case {
                source: SHEET,
                design: &[("motor.terminal_resistance", "47 Ohm")],
                printed: &[("heat.continuous_current", 1.0, "0.13")],
            },
        ],
    );
}

/// Books of electric drives know one time constant and a resistance that stays: the winding is
/// that node, and the housing stands at ambient.
#[test]
fn short_time_ratings() {
    let minutes = |rise_limit: f64, steady_rise: f64, constant: f64| {
        let kelvin_per_watt = |value| ThermalResistance {
            value,
            ..ThermalResistance::default()
        };
        let model = ThermalModel {
            resistance: ElectricalResistance::new::<ohm>(1.0),
            coefficient: TemperatureCoefficient::default(),
            ambient: celsius(0.0),
            winding_to_housing: kelvin_per_watt(steady_rise),
            housing_to_ambient: kelvin_per_watt(1e-9),
            winding_time_constant: Time::new::<minute>(constant),
            housing_time_constant: Time::new::<minute>(1.0),
        };
        let one = ElectricCurrent::new::<ampere>(1.0);
        match hold_time(&model, one, celsius(rise_limit)) {
            HeatingTime::After(time) => time.get::<minute>(),
            HeatingTime::Unlimited => f64::INFINITY,
        }
    };
    for (rise_limit, steady_rise, constant, printed, source) in [
        (
            30.0,
            60.0,
            57.71,
            "40.0",
            "Gupta & Singhal, Fundamentals of Electric Drives and Control, Ex. 4.1, p. 49: 30 K of 60 K",
        ),
        (
            20.0,
            40.0,
            43.28,
            "30.0",
            "the same, Ex. 4.2, p. 50: 20 K of 40 K",
        ),
        (
            30.0,
            40.0,
            43.28,
            "60.0",
            "the same, Ex. 4.2, p. 50: 30 K of 40 K",
        ),
        (
            25.0 * 25.0,
            46.96 * 46.96,
            90.0,
            "30.0",
            "the same, Ex. 4.11, p. 63 (recomputed): 25 kW bear 46.96 kW for half an hour",
        ),
    ] {
        let found = minutes(rise_limit, steady_rise, constant);
        assert!(
            pulsewright_test_support::agrees(found, printed),
            "{source}: {found}"
        );
    }
}
