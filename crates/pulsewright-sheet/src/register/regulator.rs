//! The regulator that feeds processor and sensors.

use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition,
    Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::units::{
    Capacitance, ElectricCurrent, ElectricPotential, Frequency, Inductance, Power, Ratio,
    TemperatureInterval, ThermalResistance, ThermodynamicTemperature,
};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Regulator,
    prefixes: &["regulator"],
    name: "Regulator",
    question: "What supplies the processor and the sensors, and how warm does it get?",
    about: "A linear regulator on a high supply voltage dissipates more than its load. A buck regulator dissipates less and needs more parts.",
};

choices! {
    /// Kind of regulator.
    RegulatorKind { Linear = "linear", Buck = "buck", }
}

choices! {
    /// Rectifier of a buck regulator.
    Rectifier { Diode = "diode", Synchronous = "synchronous", }
}

inputs! {
    regulator;

    KIND: RegulatorKind = Input {
        id: "regulator.kind",
        symbol: "kind",
        label: "Regulator type",
        form: Form::Choice(RegulatorKind::WORDS),
        preset: Preset::Fixed("linear"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "With an inductor beside it: buck",
        ..INPUT
    };
    RECTIFIER: Rectifier = Input {
        id: "regulator.rectifier",
        symbol: "rectifier",
        label: "Buck rectifier",
        form: Form::Choice(Rectifier::WORDS),
        preset: Preset::Fixed("diode"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "Buck only: a diode beside the chip, or none",
        asked_by: Some(("regulator.kind", &["buck"])),
        ..INPUT
    };
    OUTPUT_VOLTAGE: ElectricPotential = Input {
        id: "regulator.output_voltage",
        symbol: "V_out",
        label: "Logic supply voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("3.3 V"),
        low: "0.8 V",
        high: "12 V",
        default_tolerance: DefaultTolerance::Within("2 %"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "Meter at the processor",
        ..INPUT
    };
    RESET_VOLTAGE: ElectricPotential = Input {
        id: "regulator.reset_voltage",
        symbol: "V_reset",
        label: "Processor brown-out level",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::LeftOut,
        low: "0.5 V",
        high: "12 V",
        default_tolerance: DefaultTolerance::Within("3 %"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Processor's data sheet: brown-out level that is set",
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
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Data sheet at your logic current; old three-terminal parts 1.2 to 2 V; buck: input minus output at full duty",
        ..INPUT
    };
    QUIESCENT_CURRENT: ElectricCurrent = Input {
        id: "regulator.quiescent_current",
        symbol: "I_qr",
        label: "Regulator quiescent current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("0.1 mA"),
        low: "0 A",
        high: "50 mA",
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
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
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "Data sheet, small-board figure",
        ..INPUT
    };
    MAX_JUNCTION: ThermodynamicTemperature = Input {
        id: "regulator.max_junction",
        symbol: "ϑ_jmaxr",
        label: "Max. regulator junction temperature",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("125 degC"),
        low: "85 degC",
        high: "200 degC",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "Data sheet",
        ..INPUT
    };
    MCU_CURRENT: ElectricCurrent = Input {
        id: "regulator.mcu_current",
        symbol: "I_mcu",
        label: "Processor current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("15 mA"),
        low: "0 A",
        high: "1 A",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        help: "Meter in the logic feed, firmware running; 5 to 30 mA",
        ..INPUT
    };
    SENSOR_CURRENT: ElectricCurrent = Input {
        id: "regulator.sensor_current",
        symbol: "I_sensor",
        label: "Current per sensor",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("4 mA"),
        low: "0 A",
        high: "100 mA",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Data sheet, supply current of one sensor",
        ..INPUT
    };
    LED_CURRENT: ElectricCurrent = Input {
        id: "regulator.led_current",
        symbol: "I_led",
        label: "LED current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("3 mA"),
        low: "0 A",
        high: "100 mA",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "(logic volts − 2) / series resistor",
        ..INPUT
    };
    OTHER_CURRENT: ElectricCurrent = Input {
        id: "regulator.other_current",
        symbol: "I_other",
        label: "Other logic current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("1 mA"),
        low: "0 A",
        high: "1 A",
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "Pull-ups, displays, radio: add up",
        ..INPUT
    };
    EFFICIENCY: Ratio = Input {
        id: "regulator.efficiency",
        symbol: "η_buck",
        label: "Buck efficiency",
        form: Form::Quantity(Measure::Share),
        preset: Preset::Fixed("0.85"),
        low: "0.2",
        high: "0.99",
        default_tolerance: DefaultTolerance::Within("0.05"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
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
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "Buck only: data sheet",
        asked_by: Some(("regulator.kind", &["buck"])),
        ..INPUT
    };
    INDUCTANCE: Inductance = Input {
        id: "regulator.inductance",
        symbol: "L_buck",
        label: "Buck inductance",
        form: Form::Quantity(Measure::Inductance),
        preset: Preset::Fixed("10 uH"),
        low: "0.1 uH",
        high: "10 mH",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "Buck only: marking on the inductor",
        asked_by: Some(("regulator.kind", &["buck"])),
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
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "Buck only: fitted value, less what ceramics lose at voltage",
        asked_by: Some(("regulator.kind", &["buck"])),
        ..INPUT
    };
}

results! {
    regulator;

    RESET_NOW: ElectricPotential = ResultDefinition {
        id: "regulator.reset_voltage",
        symbol: "V_reset",
        label: "Processor brown-out level",
        measure: Measure::Voltage,
        meaning: "entered, or the output voltage; below it the position is lost",
        formula: "regulator.output_voltage",
        source: "as entered, else the output voltage",
        shown: false,
        ..RESULT
    };
    LOAD_CURRENT: ElectricCurrent = ResultDefinition {
        id: "regulator.load_current",
        symbol: "I_logic",
        label: "Logic supply current",
        measure: Measure::Current,
        meaning: "all that the regulator feeds",
        formula: "regulator.mcu_current + encoder.sensors * regulator.sensor_current + regulator.led_current + regulator.other_current",
        source: "Kirchhoff's current law",
        ..RESULT
    };
    INPUT_CURRENT: ElectricCurrent = ResultDefinition {
        id: "regulator.input_current",
        symbol: "I_in",
        label: "Regulator input current",
        measure: Measure::Current,
        meaning: "from the motor supply, at its nominal voltage",
        formula: "regulator.load_current + regulator.quiescent_current",
        source: "Kirchhoff's current law; buck: definition of efficiency",
        ..RESULT
    };
    LOSS: Power = ResultDefinition {
        id: "regulator.loss",
        symbol: "P_reg",
        label: "Regulator dissipation",
        measure: Measure::Power,
        meaning: "at the highest supply voltage",
        formula: "drive.highest_voltage * regulator.input_current - regulator.output_voltage * regulator.load_current",
        source: "power balance",
        ..RESULT
    };
    EFFICIENCY_NOW: Ratio = ResultDefinition {
        id: "regulator.efficiency_now",
        symbol: "η_reg",
        label: "Regulator efficiency at this load",
        measure: Measure::Share,
        meaning: "share of the power that reaches processor and sensors",
        formula: "regulator.output_voltage * regulator.load_current / (regulator.output_voltage * regulator.load_current + regulator.loss)",
        source: "definition",
        ..RESULT
    };
    ALTERNATIVE_LOSS: Power = ResultDefinition {
        id: "regulator.alternative_loss",
        symbol: "P_other",
        label: "Dissipation of the alternative",
        measure: Measure::Power,
        meaning: "the other regulator type at the same load",
        formula: "regulator.output_voltage * regulator.load_current * (1 / regulator.efficiency - 1)",
        source: "power balance",
        ..RESULT
    };
    TEMPERATURE_RISE: TemperatureInterval = ResultDefinition {
        id: "regulator.temperature_rise",
        symbol: "ΔT_reg",
        label: "Regulator junction temperature rise",
        measure: Measure::TemperatureRise,
        meaning: "above the air around the boards",
        formula: "regulator.junction_to_ambient * regulator.loss",
        source: "definition of thermal resistance",
        ..RESULT
    };
    JUNCTION_TEMPERATURE: ThermodynamicTemperature = ResultDefinition {
        id: "regulator.junction_temperature",
        symbol: "ϑ_reg",
        label: "Regulator junction temperature",
        measure: Measure::Temperature,
        meaning: "in the air around the boards",
        formula: "board.local_ambient + regulator.temperature_rise",
        source: "definition of thermal resistance",
        ..RESULT
    };
    DUTY: Ratio = ResultDefinition {
        id: "regulator.duty",
        symbol: "D",
        label: "Buck duty cycle",
        measure: Measure::Share,
        meaning: "on-time over period",
        formula: "regulator.output_voltage / supply.voltage",
        source: "volt-second balance of the inductor",
        ..RESULT
    };
    RIPPLE_CURRENT: ElectricCurrent = ResultDefinition {
        id: "regulator.ripple_current",
        symbol: "ΔI_L",
        label: "Inductor ripple current",
        measure: Measure::Current,
        meaning: "peak to peak",
        formula: "(supply.voltage - regulator.output_voltage) * regulator.duty / (regulator.switching_frequency * regulator.inductance)",
        source: "voltage over an inductor",
        ..RESULT
    };
    PEAK_INDUCTOR_CURRENT: ElectricCurrent = ResultDefinition {
        id: "regulator.peak_inductor_current",
        symbol: "I_Lpk",
        label: "Peak inductor current",
        measure: Measure::Current,
        meaning: "must stay below the saturation current",
        formula: "regulator.load_current + regulator.ripple_current / 2",
        source: "triangular ripple",
        ..RESULT
    };
    OUTPUT_RIPPLE: ElectricPotential = ResultDefinition {
        id: "regulator.output_ripple",
        symbol: "ΔV_out",
        label: "Output voltage ripple",
        measure: Measure::Voltage,
        meaning: "peak to peak, by the capacitor alone",
        formula: "regulator.ripple_current / (8 * regulator.switching_frequency * regulator.output_capacitance)",
        source: "charge balance of the capacitor",
        ..RESULT
    };
}
