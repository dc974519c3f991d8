//! The regulator that feeds processor and sensors.

use crate::check::{Check, Room, Status};
use crate::eval::{Absent, Eval};
use crate::finding::{Finding, Severity};

use pulsewright_calc::regulator as formulas;
use pulsewright_calc::units::{
    Capacitance, ElectricCurrent, ElectricPotential, Frequency, Inductance, Power, Ratio,
    TemperatureInterval, ThermalResistance, ThermodynamicTemperature,
};

use super::{
    Form, INPUT, Input, Means, Must, Outcome, Preset, RESULT, Rule, Station, Sure, axis, bridge,
    drive, encoder, supply,
};
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
        means: Means::Fitted,
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
        means: Means::Fitted,
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
        rules: &[Rule { must: Must::Below, than: |c| c.bare(supply::VOLTAGE), name: "the supply voltage", because: "these regulators only step down" }],
        means: Means::Fitted,
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
        means: Means::Setting,
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
        means: Means::Bought,
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
        means: Means::Bought,
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
        means: Means::Fitted,
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
        means: Means::Nothing,
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
        means: Means::Bought,
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
        means: Means::Fitted,
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
        means: Means::Fitted,
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
        means: Means::Bought,
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
        means: Means::Fitted,
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
        means: Means::Fitted,
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
        means: Means::Fitted,
        help: "Buck only: fitted value, less what ceramics lose at voltage",
        ..INPUT
    };
}

results! {
    after super::supply;

    RESET_NOW: ElectricPotential = Outcome {
        id: "regulator.reset_voltage",
        symbol: "V_reset",
        label: "Reset level of the processor",
        measure: Measure::Voltage,
        meaning: "given, or the output voltage: below it the processor forgets where it is",
        formula: "regulator.output_voltage",
        source: "as given; left out, the output voltage",
        shown: false,
        ..RESULT
    }, reset_now;
    LOAD_CURRENT: ElectricCurrent = Outcome {
        id: "regulator.load_current",
        symbol: "I_logic",
        label: "Current of processor and sensors",
        measure: Measure::Current,
        meaning: "all that the regulator feeds",
        formula: "regulator.mcu_current + encoder.sensors * regulator.sensor_current + regulator.led_current + regulator.other_current",
        source: "Kirchhoff's current law",
        ..RESULT
    }, load_current;
    INPUT_CURRENT: ElectricCurrent = Outcome {
        id: "regulator.input_current",
        symbol: "I_in",
        label: "Current into the regulator",
        measure: Measure::Current,
        meaning: "from the motor supply, at its usual voltage",
        formula: "regulator.load_current + regulator.quiescent_current",
        source: "Kirchhoff's current law; buck: definition of efficiency",
        ..RESULT
    }, input_current;
    LOSS: Power = Outcome {
        id: "regulator.loss",
        symbol: "P_reg",
        label: "Heat of the regulator",
        measure: Measure::Power,
        meaning: "burnt to make the logic voltage, at the highest supply voltage",
        formula: "drive.highest_voltage * regulator.input_current - regulator.output_voltage * regulator.load_current",
        source: "power balance",
        ..RESULT
    }, loss;
    EFFICIENCY_NOW: Ratio = Outcome {
        id: "regulator.efficiency_now",
        symbol: "η_reg",
        label: "Efficiency at this load",
        measure: Measure::Share,
        meaning: "share of the power that reaches processor and sensors",
        formula: "regulator.output_voltage * regulator.load_current / (regulator.output_voltage * regulator.load_current + regulator.loss)",
        source: "definition",
        ..RESULT
    }, efficiency_now;
    OTHER_KIND_LOSS: Power = Outcome {
        id: "regulator.other_kind_loss",
        symbol: "P_other",
        label: "Heat that the other kind would make",
        measure: Measure::Power,
        meaning: "on the same job",
        formula: "regulator.output_voltage * regulator.load_current * (1 / regulator.efficiency - 1)",
        source: "power balance",
        ..RESULT
    }, other_kind_loss;
    TEMPERATURE_RISE: TemperatureInterval = Outcome {
        id: "regulator.temperature_rise",
        symbol: "ΔT_reg",
        label: "Rise of the junction",
        measure: Measure::TemperatureRise,
        meaning: "above the air around the boards",
        formula: "regulator.junction_to_ambient * regulator.loss",
        source: "definition of thermal resistance",
        ..RESULT
    }, temperature_rise;
    JUNCTION_TEMPERATURE: ThermodynamicTemperature = Outcome {
        id: "regulator.junction_temperature",
        symbol: "ϑ_reg",
        label: "Junction of the regulator",
        measure: Measure::Temperature,
        meaning: "in the air around the boards",
        formula: "board.local_ambient + regulator.temperature_rise",
        source: "definition of thermal resistance",
        ..RESULT
    }, junction_temperature;
    DUTY: Ratio = Outcome {
        id: "regulator.duty",
        symbol: "D",
        label: "Duty of the switch",
        measure: Measure::Share,
        meaning: "on-time over period",
        formula: "regulator.output_voltage / supply.voltage",
        source: "volt-second balance of the inductor",
        ..RESULT
    }, duty;
    RIPPLE_CURRENT: ElectricCurrent = Outcome {
        id: "regulator.ripple_current",
        symbol: "ΔI_L",
        label: "Ripple of the inductor current",
        measure: Measure::Current,
        meaning: "peak to peak",
        formula: "(supply.voltage - regulator.output_voltage) * regulator.duty / (regulator.switching_frequency * regulator.inductance)",
        source: "voltage over an inductor",
        ..RESULT
    }, ripple_current;
    PEAK_INDUCTOR_CURRENT: ElectricCurrent = Outcome {
        id: "regulator.peak_inductor_current",
        symbol: "I_Lpk",
        label: "Peak current of the inductor",
        measure: Measure::Current,
        meaning: "its core must not saturate below",
        formula: "regulator.load_current + regulator.ripple_current / 2",
        source: "triangular ripple",
        ..RESULT
    }, peak_inductor_current;
    OUTPUT_RIPPLE: ElectricPotential = Outcome {
        id: "regulator.output_ripple",
        symbol: "ΔV_out",
        label: "Ripple of the logic voltage",
        measure: Measure::Voltage,
        meaning: "peak to peak, by the capacitor alone",
        formula: "regulator.ripple_current / (8 * regulator.switching_frequency * regulator.output_capacitance)",
        source: "charge balance of the capacitor",
        ..RESULT
    }, output_ripple;
}

/// What every regulator needs and this design does not give.
const STEPS_DOWN: Absent = Absent::impossible(
    "the supply is not above the output voltage: these regulators only step down",
);

fn reset_now(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    match c.option(RESET_VOLTAGE)? {
        Some(given) => {
            c.working("'as given'");
            Ok(given)
        }
        None => c.get(OUTPUT_VOLTAGE),
    }
}

fn load_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(formulas::load_current(
        c.get(MCU_CURRENT)?,
        c.get(encoder::SENSORS)?,
        c.get(SENSOR_CURRENT)?,
        c.get(LED_CURRENT)?,
        c.get(OTHER_CURRENT)?,
    ))
}

fn input_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    if c.get(KIND)? == RegulatorKind::Linear {
        return linear_input_current(c);
    }
    c.working("regulator.output_voltage * regulator.load_current / (regulator.efficiency * supply.voltage)");
    buck_input_current(c)
}

fn linear_input_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(formulas::linear_input_current(
        c.get(LOAD_CURRENT)?,
        c.get(QUIESCENT_CURRENT)?,
    ))
}

fn buck_input_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(formulas::buck_input_current(
        c.get(supply::VOLTAGE)?,
        c.get(OUTPUT_VOLTAGE)?,
        c.get(LOAD_CURRENT)?,
        c.get(EFFICIENCY)?,
    ))
}

/// The heat of one kind of regulator. A buck regulator of given efficiency loses the same at any
/// supply voltage; a linear one loses most at the highest.
fn loss_of(c: &Eval<'_>, kind: RegulatorKind) -> Result<Power, Absent> {
    let (voltage, current) = match kind {
        RegulatorKind::Linear => (c.get(drive::HIGHEST_VOLTAGE)?, linear_input_current(c)?),
        RegulatorKind::Buck => (c.get(supply::VOLTAGE)?, buck_input_current(c)?),
    };
    let output = c.get(OUTPUT_VOLTAGE)?;
    formulas::headroom(voltage, output, ElectricPotential::default()).map_err(|_| STEPS_DOWN)?;
    Ok(formulas::loss(
        voltage,
        current,
        output,
        c.get(LOAD_CURRENT)?,
    ))
}

fn loss(c: &Eval<'_>) -> Result<Power, Absent> {
    let kind = c.get(KIND)?;
    if kind == RegulatorKind::Buck {
        c.working("supply.voltage * regulator.input_current - regulator.output_voltage * regulator.load_current");
    }
    loss_of(c, kind)
}

fn other_kind_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    match c.get(KIND)? {
        RegulatorKind::Linear => loss_of(c, RegulatorKind::Buck),
        RegulatorKind::Buck => {
            c.working("drive.highest_voltage * (regulator.load_current + regulator.quiescent_current) - regulator.output_voltage * regulator.load_current");
            loss_of(c, RegulatorKind::Linear)
        }
    }
}

fn efficiency_now(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let (output, load) = (c.get(OUTPUT_VOLTAGE)?, c.get(LOAD_CURRENT)?);
    let useful = output * load;
    let taken = useful + c.get(LOSS)?;
    if taken <= Power::default() {
        return Err(Absent::not_asked("nothing flows, so nothing is lost"));
    }
    Ok(useful / taken)
}

fn temperature_rise(c: &Eval<'_>) -> Result<TemperatureInterval, Absent> {
    Ok(c.get(JUNCTION_TO_AMBIENT)? * c.get(LOSS)?)
}

fn junction_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    Ok(c.get(bridge::LOCAL_AMBIENT_NOW)? + c.get(TEMPERATURE_RISE)?)
}

/// The buck regulator at work; absent for a linear one.
fn buck(c: &Eval<'_>) -> Result<formulas::BuckState, Absent> {
    if c.get(KIND)? == RegulatorKind::Linear {
        return Err(Absent::not_asked("a linear regulator switches nothing"));
    }
    formulas::buck_state(&formulas::Buck {
        input_voltage: c.get(supply::VOLTAGE)?,
        output_voltage: c.get(OUTPUT_VOLTAGE)?,
        load_current: c.get(LOAD_CURRENT)?,
        inductance: c.get(INDUCTANCE)?,
        frequency: c.get(SWITCHING_FREQUENCY)?,
        output_capacitance: c.get(OUTPUT_CAPACITANCE)?,
        rectifier: match c.get(RECTIFIER)? {
            Rectifier::Diode => formulas::Rectifier::Diode,
            Rectifier::Synchronous => formulas::Rectifier::Synchronous,
        },
    })
    .map_err(|_| STEPS_DOWN)
}

/// The buck regulator, with the working named that holds where its inductor's current rests.
fn buck_by(c: &Eval<'_>, discontinuous: &'static str) -> Result<formulas::BuckState, Absent> {
    let state = buck(c)?;
    if state.conduction == formulas::Conduction::Discontinuous {
        c.working(discontinuous);
    }
    Ok(state)
}

fn duty(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(buck_by(c, "regulator.peak_inductor_current * regulator.inductance * regulator.switching_frequency / (supply.voltage - regulator.output_voltage)")?.duty)
}

fn ripple_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(buck_by(c, "regulator.peak_inductor_current")?.ripple_current)
}

fn peak_inductor_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(buck_by(c, "sqrt(2 * regulator.load_current * regulator.output_voltage * (supply.voltage - regulator.output_voltage) / (regulator.inductance * regulator.switching_frequency * supply.voltage))")?.peak_current)
}

fn output_ripple(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let state = buck(c)?;
    if state.conduction == formulas::Conduction::Discontinuous {
        c.working(if state.peak_current > ElectricCurrent::default() {
            "regulator.load_current * (1 - regulator.load_current / regulator.peak_inductor_current) ^ 2 / (regulator.switching_frequency * regulator.output_capacitance)"
        } else {
            "0"
        });
    }
    Ok(state.output_ripple)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[Check {
    id: "check.regulator_heat",
    label: "Junction of the regulator",
    under: "the regulator burns {regulator.loss} and gets {regulator.temperature_rise} warmer than the air around it; its limit is {regulator.max_junction}",
    station: Station::Regulator,
    measure: Measure::TemperatureRise,
    room: heat_room,
}];

/// Rise allowed against rise. Where the air around the boards cannot be said, it is no cooler than
/// the room: a regulator that is too hot even there is too hot.
fn heat_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let rise = c.get(TEMPERATURE_RISE)?;
    let allowed = |local: ThermodynamicTemperature| -> Result<Room, Absent> {
        Ok(Room::of(
            c.get(MAX_JUNCTION)?.value - local.value,
            rise.value,
        ))
    };
    c.get(bridge::LOCAL_AMBIENT_NOW)
        .and_then(allowed)
        .or_else(|absent| {
            let at_best = allowed(c.get(axis::AMBIENT_TEMPERATURE)?)?;
            under_already(at_best, absent)
        })
        .map(Some)
}

/// The room of the best case, where even that is under; otherwise what is missing.
pub(super) fn under_already(at_best: Room, absent: Absent) -> Result<Room, Absent> {
    if at_best.status() == Status::Under {
        Ok(at_best)
    } else {
        Err(absent)
    }
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "regulator_overheats",
        station: Station::Regulator,
        message: "The regulator burns {regulator.loss}: its junction gets {regulator.temperature_rise} warmer than the air around it, past {regulator.max_junction}. The other kind would burn {regulator.other_kind_loss}.",
        numbers: &[
            "regulator.loss",
            "regulator.temperature_rise",
            "regulator.max_junction",
            "regulator.other_kind_loss",
        ],
        when: overheats,
    },
    Finding {
        id: "discontinuous_conduction",
        station: Station::Regulator,
        message: "At {regulator.load_current} the inductor's current rests at zero in each period. That is sound; the ripple of {regulator.output_ripple} and the duty follow other formulas, and a part that skips pulses at light load shows more ripple.",
        numbers: &[
            "regulator.load_current",
            "regulator.peak_inductor_current",
            "regulator.output_ripple",
        ],
        when: discontinuous,
    },
];

fn overheats(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    encoder::under(heat_room(c)?)
}

fn discontinuous(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((buck(c)?.conduction == formulas::Conduction::Discontinuous).then_some(Severity::Note))
}
