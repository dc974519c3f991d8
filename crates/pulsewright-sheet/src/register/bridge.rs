//! The H-bridge driver.

use pulsewright_calc::units::{
    ElectricCurrent, ElectricalResistance, Frequency, Power, Ratio, TemperatureCoefficient,
    ThermalResistance, ThermodynamicTemperature, Time,
};

use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition,
    Station,
};
use crate::text::measure::Measure;

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Bridge,
    prefixes: &["bridge", "board"],
    name: "Motor driver",
    question: "Does the motor driver (H-bridge) carry the current without overheating?",
    about: "A stall, or a reversal at speed, needs far more current than the move. The driver is often in the same warm housing as the motor.",
};

choices! {
    /// What the bridge does at its current limit.
    LimitKind { Limits = "limits", ShutsDown = "shuts_down", None = "none", }
}

choices! {
    /// How the current decays while the PWM is off.
    Decay { Slow = "slow", Fast = "fast", }
}

inputs! {
    bridge;

    HIGH_SIDE: ElectricalResistance = Input {
        id: "bridge.high_side",
        symbol: "R_high",
        label: "High-side on-resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::Fixed("220 mOhm"),
        low: "0.5 mOhm",
        high: "20 Ohm",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Data sheet at 25 °C and your motor voltage, highest figure",
        ..INPUT
    };
    LOW_SIDE: ElectricalResistance = Input {
        id: "bridge.low_side",
        symbol: "R_low",
        label: "Low-side on-resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::Fixed("180 mOhm"),
        low: "0.5 mOhm",
        high: "20 Ohm",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "As above; a data sheet with one figure for both: half each",
        ..INPUT
    };
    TEMPERATURE_COEFFICIENT: TemperatureCoefficient = Input {
        id: "bridge.temperature_coefficient",
        symbol: "α_bridge",
        label: "Temperature coefficient of on-resistance",
        form: Form::Quantity(Measure::PerKelvin),
        preset: Preset::Fixed("0.005 1/K"),
        low: "0 1/K",
        high: "0.02 1/K",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        help: "Data sheet curve: (R at 125 °C / R at 25 °C − 1) / 100 K",
        ..INPUT
    };
    CURRENT_LIMIT: ElectricCurrent = Input {
        id: "bridge.current_limit",
        symbol: "I_bridge",
        label: "Driver current limit",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Computed("1.5 A, or the next usual size above the stall current of the motor"),
        low: "10 mA",
        high: "200 A",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 1,
        changed_by: ChangedBy::Purchase,
        help: "Data sheet: peak current or lowest over-current threshold; the lower one",
        ..INPUT
    };
    LIMIT_KIND: LimitKind = Input {
        id: "bridge.limit_kind",
        symbol: "limit_kind",
        label: "Over-current behaviour",
        form: Form::Choice(LimitKind::WORDS),
        preset: Preset::Fixed("none"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Data sheet: does it limit the current, shut down, or neither (only a maximum rating)?",
        ..INPUT
    };
    JUNCTION_TO_AMBIENT: ThermalResistance = Input {
        id: "bridge.junction_to_ambient",
        symbol: "R_ja",
        label: "Thermal resistance, junction to ambient",
        form: Form::Quantity(Measure::ThermalResistance),
        preset: Preset::Fixed("80 K/W"),
        low: "5 K/W",
        high: "500 K/W",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "Data sheet, small-board figure: 2 × 2 mm pad package 60 to 90, SOT-23-6 150 to 200, pad-backed TSSOP 35 to 45",
        ..INPUT
    };
    MAX_JUNCTION: ThermodynamicTemperature = Input {
        id: "bridge.max_junction",
        symbol: "ϑ_jmax",
        label: "Max. driver junction temperature",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("150 degC"),
        low: "85 degC",
        high: "200 degC",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "Data sheet, absolute maximum",
        ..INPUT
    };
    PWM_FREQUENCY: Frequency = Input {
        id: "bridge.pwm_frequency",
        symbol: "f_pwm",
        label: "PWM frequency",
        form: Form::Quantity(Measure::Frequency),
        preset: Preset::Fixed("20 kHz"),
        low: "100 Hz",
        high: "500 kHz",
        default_tolerance: DefaultTolerance::Within("1 %"),
        layer: 2,
        changed_by: ChangedBy::Setting,
        help: "Firmware. Below 20 kHz it can be heard",
        ..INPUT
    };
    RISE_TIME: Time = Input {
        id: "bridge.rise_time",
        symbol: "t_rise",
        label: "Rise time at the motor",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("200 ns"),
        low: "0 s",
        high: "10 us",
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Data sheet or scope at the motor terminal, 10 to 90 %",
        ..INPUT
    };
    FALL_TIME: Time = Input {
        id: "bridge.fall_time",
        symbol: "t_fall",
        label: "Fall time at the motor",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("200 ns"),
        low: "0 s",
        high: "10 us",
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "As above",
        ..INPUT
    };
    QUIESCENT_CURRENT: ElectricCurrent = Input {
        id: "bridge.quiescent_current",
        symbol: "I_qb",
        label: "Driver quiescent current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("1.5 mA"),
        low: "0 A",
        high: "100 mA",
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Data sheet, supply current when awake and idle",
        ..INPUT
    };
    DECAY: Decay = Input {
        id: "bridge.decay",
        symbol: "decay",
        label: "Decay mode",
        form: Form::Choice(Decay::WORDS),
        preset: Preset::Fixed("slow"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware's off state: both low sides on = slow; opposite pair or both off = fast",
        ..INPUT
    };
    LOCAL_AMBIENT: ThermodynamicTemperature = Input {
        id: "board.local_ambient",
        symbol: "ϑ_local",
        label: "Air temperature around the boards",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::LeftOut,
        low: "-40 degC",
        high: "150 degC",
        default_tolerance: DefaultTolerance::Within("5 K"),
        layer: 3,
        help: "Thermometer near the motor driver after half an hour, cover on",
        ..INPUT
    };
}

results! {
    bridge;

    RESISTANCE: ElectricalResistance = ResultDefinition {
        id: "bridge.resistance",
        symbol: "R_bridge",
        label: "Driver on-resistance, both switches",
        measure: Measure::Resistance,
        meaning: "one high-side and one low-side switch carry the motor current",
        formula: "bridge.high_side + bridge.low_side",
        source: "series connection",
        ..RESULT
    };
    RIPPLE_CURRENT: ElectricCurrent = ResultDefinition {
        id: "bridge.ripple_current",
        symbol: "ΔI_pwm",
        label: "Motor current ripple",
        measure: Measure::Current,
        meaning: "peak to peak, at its worst",
        formula: "supply.voltage / (4 * motor.inductance * bridge.pwm_frequency)",
        source: "ripple at half duty (Gupta & Singhal, Power Electronics, ch. 5)",
        ..RESULT
    };
    LOCAL_AMBIENT_NOW: ThermodynamicTemperature = ResultDefinition {
        id: "board.local_ambient",
        symbol: "ϑ_board",
        label: "Air temperature around the boards",
        measure: Measure::Temperature,
        meaning: "boards in the motor's housing get as warm as it",
        formula: "heat.housing_temperature",
        source: "as entered, else the temperature of the housing",
        ..RESULT
    };
    QUIESCENT_LOSS: Power = ResultDefinition {
        id: "bridge.quiescent_loss",
        symbol: "P_qb",
        label: "Driver quiescent loss",
        measure: Measure::Power,
        meaning: "while awake",
        formula: "supply.voltage * bridge.quiescent_current",
        source: "definition",
        shown: false,
        ..RESULT
    };
    SWITCHING_LOSS: Power = ResultDefinition {
        id: "bridge.switching_loss",
        symbol: "P_sw",
        label: "Driver switching loss",
        measure: Measure::Power,
        meaning: "over the cycle",
        formula: "supply.voltage * move.rms_current * (bridge.rise_time + bridge.fall_time) * bridge.pwm_frequency / 2",
        source: "straight edges (application note SLVA504A)",
        ..RESULT
    };
    JUNCTION_TEMPERATURE: ThermodynamicTemperature = ResultDefinition {
        id: "bridge.junction_temperature",
        symbol: "ϑ_j",
        label: "Driver junction temperature",
        measure: Measure::Temperature,
        meaning: "over the cycle, in equilibrium",
        formula: "25 + (board.local_ambient - 25 + bridge.junction_to_ambient * (move.rms_current ^ 2 * bridge.resistance + bridge.switching_loss + bridge.quiescent_loss)) / (1 - bridge.junction_to_ambient * bridge.temperature_coefficient * move.rms_current ^ 2 * bridge.resistance)",
        source: "heat balance of one thermal resistance [derived]",
        ..RESULT
    };
    CONDUCTION_LOSS: Power = ResultDefinition {
        id: "bridge.conduction_loss",
        symbol: "P_on",
        label: "Driver conduction loss",
        measure: Measure::Power,
        meaning: "over the cycle, switches warm",
        formula: "move.rms_current ^ 2 * bridge.resistance * (1 + bridge.temperature_coefficient * (bridge.junction_temperature - 25))",
        source: "Joule's law",
        ..RESULT
    };
    SWITCHING_LOSS_HOLD: Power = ResultDefinition {
        id: "bridge.switching_loss_hold",
        symbol: "P_swh",
        label: "Driver switching loss while holding",
        measure: Measure::Power,
        meaning: "at the largest holding current",
        formula: "supply.voltage * abs(hold.current_worst_case) * (bridge.rise_time + bridge.fall_time) * bridge.pwm_frequency / 2",
        source: "straight edges (application note SLVA504A)",
        shown: false,
        ..RESULT
    };
    JUNCTION_HOLD: ThermodynamicTemperature = ResultDefinition {
        id: "bridge.junction_temperature_hold",
        symbol: "ϑ_jhold",
        label: "Driver junction temperature while holding",
        measure: Measure::Temperature,
        meaning: "at the largest holding current",
        formula: "25 + (board.local_ambient - 25 + bridge.junction_to_ambient * (hold.current_worst_case ^ 2 * bridge.resistance + bridge.switching_loss_hold + bridge.quiescent_loss)) / (1 - bridge.junction_to_ambient * bridge.temperature_coefficient * hold.current_worst_case ^ 2 * bridge.resistance)",
        source: "heat balance of one thermal resistance [derived]",
        ..RESULT
    };
    JUNCTION_STALL: ThermodynamicTemperature = ResultDefinition {
        id: "bridge.junction_temperature_stall",
        symbol: "ϑ_jstall",
        label: "Driver junction temperature at stall",
        measure: Measure::Temperature,
        meaning: "in equilibrium; at full duty nothing switches",
        formula: "25 + (board.local_ambient - 25 + bridge.junction_to_ambient * (drive.blocked_current ^ 2 * bridge.resistance + bridge.quiescent_loss)) / (1 - bridge.junction_to_ambient * bridge.temperature_coefficient * drive.blocked_current ^ 2 * bridge.resistance)",
        source: "heat balance of one thermal resistance [derived]",
        ..RESULT
    };
    CURRENT_MARGIN: Ratio = ResultDefinition {
        id: "bridge.current_margin",
        symbol: "k_bridge",
        label: "Driver current limit / largest current",
        measure: Measure::Ratio,
        meaning: "moving, holding, and where the driver does not limit it, starting or at stall",
        formula: "bridge.current_limit / max(max(move.peak_current, abs(hold.current_worst_case)), drive.unlimited_current)",
        source: "definition",
        ..RESULT
    };
}
