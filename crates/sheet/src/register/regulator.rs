//! The regulator that feeds processor and sensors.

use crate::check::Check;
use crate::finding::Finding;

use calc::units::{
    Capacitance, ElectricCurrent, ElectricPotential, Frequency, Inductance, Ratio,
    ThermalResistance, ThermodynamicTemperature,
};

use super::{Form, INPUT, Input, Must, Preset, Rule, Sure};
use crate::unit::Measure;

choices! {
    /// Kind of regulator.
    RegulatorKind { Linear = "linear", Buck = "buck", }
}

choices! {
    /// Rectifier of a buck regulator.
    Rectifier { Diode = "diode", Synchronous = "synchronous", }
}

inputs! {
    after super::supply;

    KIND: RegulatorKind = Input {
        id: "regulator.kind",
        symbol: "kind",
        label: "Kind of regulator",
        form: Form::Choice(RegulatorKind::WORDS),
        preset: Preset::Fixed("linear"),
        layer: 2,
        help: "With an inductor beside it: buck",
        ..INPUT
    };
    RECTIFIER: Rectifier = Input {
        id: "regulator.rectifier",
        symbol: "rectifier",
        label: "Rectifier of the buck regulator",
        form: Form::Choice(Rectifier::WORDS),
        preset: Preset::Fixed("diode"),
        layer: 3,
        help: "Buck only: a diode beside the chip, or none",
        ..INPUT
    };
    OUTPUT_VOLTAGE: ElectricPotential = Input {
        id: "regulator.output_voltage",
        symbol: "V_out",
        label: "Output voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("3.3 V"),
        low: "0.8 V",
        high: "12 V",
        sure: Sure::Within("2 %"),
        layer: 2,
        rules: &[Rule { must: Must::Below, than: |c| c.bare(super::supply::VOLTAGE), name: "the supply voltage", because: "these regulators only step down" }],
        help: "Meter at the processor",
        ..INPUT
    };
    RESET_VOLTAGE: ElectricPotential = Input {
        id: "regulator.reset_voltage",
        symbol: "V_reset",
        label: "Reset level of the processor",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::LeftOut,
        low: "0.5 V",
        high: "12 V",
        sure: Sure::Within("3 %"),
        layer: 3,
        rules: &[Rule { must: Must::AtMost, than: |c| c.bare(OUTPUT_VOLTAGE), name: "the output voltage", because: "a processor that resets at its own supply never runs" }],
        help: "Processor's sheet: brown-out level it is set to",
        ..INPUT
    };
    DROPOUT: ElectricPotential = Input {
        id: "regulator.dropout",
        symbol: "V_drop",
        label: "Dropout voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("0.3 V"),
        low: "0 V",
        high: "5 V",
        sure: Sure::Within("20 %"),
        layer: 2,
        help: "Data sheet at your logic current; old three-terminal parts 1.2 to 2 V; buck: input minus output at full duty",
        ..INPUT
    };
    QUIESCENT_CURRENT: ElectricCurrent = Input {
        id: "regulator.quiescent_current",
        symbol: "I_qr",
        label: "Quiescent current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("0.1 mA"),
        low: "0 A",
        high: "50 mA",
        sure: Sure::Within("50 %"),
        layer: 3,
        help: "Data sheet, ground current",
        ..INPUT
    };
    JUNCTION_TO_AMBIENT: ThermalResistance = Input {
        id: "regulator.junction_to_ambient",
        symbol: "R_jar",
        label: "Thermal resistance, junction to ambient",
        form: Form::Quantity(Measure::ThermalResistance),
        preset: Preset::Fixed("180 K/W"),
        low: "5 K/W",
        high: "500 K/W",
        sure: Sure::Within("30 %"),
        layer: 3,
        help: "Data sheet, small-board figure",
        ..INPUT
    };
    MAX_JUNCTION: ThermodynamicTemperature = Input {
        id: "regulator.max_junction",
        symbol: "ϑ_jmaxr",
        label: "Limit of the junction",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("125 degC"),
        low: "85 degC",
        high: "200 degC",
        sure: Sure::Near,
        layer: 3,
        help: "Data sheet",
        ..INPUT
    };
    MCU_CURRENT: ElectricCurrent = Input {
        id: "regulator.mcu_current",
        symbol: "I_mcu",
        label: "Current of the processor",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("15 mA"),
        low: "0 A",
        high: "1 A",
        sure: Sure::Within("30 %"),
        layer: 3,
        help: "Meter in the logic feed, firmware running; 5 to 30 mA",
        ..INPUT
    };
    SENSOR_CURRENT: ElectricCurrent = Input {
        id: "regulator.sensor_current",
        symbol: "I_sensor",
        label: "Current of one sensor",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("4 mA"),
        low: "0 A",
        high: "100 mA",
        sure: Sure::Within("30 %"),
        layer: 3,
        help: "Data sheet, supply current of one sensor",
        ..INPUT
    };
    LED_CURRENT: ElectricCurrent = Input {
        id: "regulator.led_current",
        symbol: "I_led",
        label: "Current of the LEDs",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("3 mA"),
        low: "0 A",
        high: "100 mA",
        sure: Sure::Within("20 %"),
        layer: 3,
        help: "(logic volts − 2) / series resistor",
        ..INPUT
    };
    OTHER_CURRENT: ElectricCurrent = Input {
        id: "regulator.other_current",
        symbol: "I_other",
        label: "Current of everything else",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("1 mA"),
        low: "0 A",
        high: "1 A",
        sure: Sure::Within("50 %"),
        layer: 3,
        help: "Pull-ups, displays, radio: add up",
        ..INPUT
    };
    EFFICIENCY: Ratio = Input {
        id: "regulator.efficiency",
        symbol: "η_buck",
        label: "Efficiency of the buck regulator",
        form: Form::Quantity(Measure::Share),
        preset: Preset::Fixed("0.85"),
        low: "0.2",
        high: "0.99",
        sure: Sure::Within("0.05"),
        layer: 3,
        help: "Buck only: data sheet curve at your logic current, not its best point",
        ..INPUT
    };
    SWITCHING_FREQUENCY: Frequency = Input {
        id: "regulator.switching_frequency",
        symbol: "f_sw",
        label: "Switching frequency",
        form: Form::Quantity(Measure::Frequency),
        preset: Preset::Fixed("1 MHz"),
        low: "20 kHz",
        high: "10 MHz",
        sure: Sure::Within("10 %"),
        layer: 3,
        help: "Buck only: data sheet",
        ..INPUT
    };
    INDUCTANCE: Inductance = Input {
        id: "regulator.inductance",
        symbol: "L_buck",
        label: "Inductance of the buck regulator",
        form: Form::Quantity(Measure::Inductance),
        preset: Preset::Fixed("10 uH"),
        low: "0.1 uH",
        high: "10 mH",
        sure: Sure::Within("20 %"),
        layer: 3,
        help: "Buck only: marking on the inductor",
        ..INPUT
    };
    OUTPUT_CAPACITANCE: Capacitance = Input {
        id: "regulator.output_capacitance",
        symbol: "C_out",
        label: "Output capacitance",
        form: Form::Quantity(Measure::Capacitance),
        preset: Preset::Fixed("22 uF"),
        low: "0.1 uF",
        high: "10 mF",
        sure: Sure::Within("30 %"),
        layer: 3,
        help: "Buck only: fitted value, less what ceramics lose at voltage",
        ..INPUT
    };
}

results! {
    after super::supply;
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
