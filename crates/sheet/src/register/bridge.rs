//! The H-bridge driver.

use crate::check::Check;
use crate::finding::Finding;

use calc::bridge as formulas;
use calc::units::{
    ElectricCurrent, ElectricalResistance, Frequency, TemperatureCoefficient, ThermalResistance,
    ThermodynamicTemperature, Time,
};

use super::{Form, INPUT, Input, Outcome, Preset, RESULT, Sure};
use crate::eval::{Absent, Eval};
use crate::unit::Measure;

choices! {
    /// What the bridge does at its current limit.
    LimitKind { Chops = "chops", Trips = "trips", Rating = "rating", }
}

choices! {
    /// How the current decays while the PWM is off.
    Decay { Slow = "slow", Fast = "fast", }
}

inputs! {
    after super::steps;

    HIGH_SIDE: ElectricalResistance = Input {
        id: "bridge.high_side",
        symbol: "R_high",
        label: "High-side resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::Fixed("220 mOhm"),
        low: "0.5 mOhm",
        high: "20 Ohm",
        sure: Sure::Within("20 %"),
        layer: 2,
        help: "Data sheet at 25 °C and your motor voltage, highest figure",
        ..INPUT
    };
    LOW_SIDE: ElectricalResistance = Input {
        id: "bridge.low_side",
        symbol: "R_low",
        label: "Low-side resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::Fixed("180 mOhm"),
        low: "0.5 mOhm",
        high: "20 Ohm",
        sure: Sure::Within("20 %"),
        layer: 2,
        help: "As above; a sheet with one figure for both: half each",
        ..INPUT
    };
    TEMPERATURE_COEFFICIENT: TemperatureCoefficient = Input {
        id: "bridge.temperature_coefficient",
        symbol: "α_bridge",
        label: "Temperature coefficient of the resistance",
        form: Form::Quantity(Measure::PerKelvin),
        preset: Preset::Fixed("0.005 1/K"),
        low: "0 1/K",
        high: "0.02 1/K",
        sure: Sure::Within("30 %"),
        layer: 3,
        help: "Data sheet curve: (R at 125 °C / R at 25 °C − 1) / 100 K",
        ..INPUT
    };
    CURRENT_LIMIT: ElectricCurrent = Input {
        id: "bridge.current_limit",
        symbol: "I_bridge",
        label: "Current limit of the bridge",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("1.5 A"),
        low: "10 mA",
        high: "200 A",
        sure: Sure::Within("10 %"),
        layer: 1,
        help: "Data sheet: peak current or lowest over-current trip; the lower one",
        ..INPUT
    };
    LIMIT_KIND: LimitKind = Input {
        id: "bridge.limit_kind",
        symbol: "limit_kind",
        label: "What the limit does",
        form: Form::Choice(LimitKind::WORDS),
        preset: Preset::Fixed("rating"),
        layer: 3,
        help: "Data sheet: does it regulate the current, switch off, or only survive it?",
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
        sure: Sure::Within("30 %"),
        layer: 3,
        help: "Data sheet, small-board figure: 2 × 2 mm pad package 60 to 90, SOT-23-6 150 to 200, pad-backed TSSOP 35 to 45",
        ..INPUT
    };
    MAX_JUNCTION: ThermodynamicTemperature = Input {
        id: "bridge.max_junction",
        symbol: "ϑ_jmax",
        label: "Limit of the junction",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("150 degC"),
        low: "85 degC",
        high: "200 degC",
        sure: Sure::Near,
        layer: 3,
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
        sure: Sure::Within("1 %"),
        layer: 2,
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
        sure: Sure::Within("50 %"),
        layer: 3,
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
        sure: Sure::Within("50 %"),
        layer: 3,
        help: "As above",
        ..INPUT
    };
    QUIESCENT_CURRENT: ElectricCurrent = Input {
        id: "bridge.quiescent_current",
        symbol: "I_qb",
        label: "Quiescent current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("1.5 mA"),
        low: "0 A",
        high: "100 mA",
        sure: Sure::Within("50 %"),
        layer: 3,
        help: "Data sheet, supply current when awake and idle",
        ..INPUT
    };
    DECAY: Decay = Input {
        id: "bridge.decay",
        symbol: "decay",
        label: "Decay while the PWM is off",
        form: Form::Choice(Decay::WORDS),
        preset: Preset::Fixed("slow"),
        layer: 3,
        help: "Firmware's off state: both low sides on = slow; opposite pair or both off = fast",
        ..INPUT
    };
    LOCAL_AMBIENT: ThermodynamicTemperature = Input {
        id: "board.local_ambient",
        symbol: "ϑ_local",
        label: "Air around the boards",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::LeftOut,
        low: "-40 degC",
        high: "150 degC",
        sure: Sure::Within("5 K"),
        layer: 3,
        help: "Thermometer on the bridge's neighbourhood after half an hour, cover on",
        ..INPUT
    };
}

results! {
    after super::steps;

    RESISTANCE: ElectricalResistance = Outcome {
        id: "bridge.resistance",
        symbol: "R_bridge",
        label: "Resistance of both switches",
        measure: Measure::Resistance,
        meaning: "one high and one low side carry the motor current",
        formula: "bridge.high_side + bridge.low_side",
        source: "series connection",
        ..RESULT
    }, resistance;
}

fn resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(formulas::resistance(c.get(HIGH_SIDE)?, c.get(LOW_SIDE)?))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
