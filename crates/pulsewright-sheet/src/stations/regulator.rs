//! The regulator that feeds processor and sensors.

use super::shared::{heat_room, under, under_already, up_to};
use crate::evaluation::Tier;
use crate::evaluation::{Absent, Eval};
use crate::evaluation::{Check, Margin};
use crate::evaluation::{Finding, Severity};
use crate::register::regulator::*;
use crate::register::{Station, axis, bridge, drive, encoder, supply};
use crate::text::measure::Measure;
use pulsewright_calc::regulator as formulas;
use pulsewright_calc::units::{
    ElectricCurrent, ElectricPotential, Power, Ratio, TemperatureInterval, ThermodynamicTemperature,
};

station! { regulator;
    results {
        RESET_NOW = reset_now;
        LOAD_CURRENT = load_current;
        INPUT_CURRENT = input_current;
        LOSS = loss;
        EFFICIENCY_NOW = efficiency_now;
        ALTERNATIVE_LOSS = other_kind_loss;
        TEMPERATURE_RISE = temperature_rise;
        JUNCTION_TEMPERATURE = junction_temperature;
        DUTY = duty;
        RIPPLE_CURRENT = ripple_current;
        PEAK_INDUCTOR_CURRENT = peak_inductor_current;
        OUTPUT_RIPPLE = output_ripple;
    }
    limits {
        OUTPUT_VOLTAGE: Below |c| c.before_limits(supply::VOLTAGE), "the supply voltage", "these regulators can only step down";
        RESET_VOLTAGE: AtMost |c| c.before_limits(OUTPUT_VOLTAGE), "the output voltage", "the brown-out level must be below the logic supply voltage";
    }
}

/// What every regulator needs and this design does not give.
const STEPS_DOWN: Absent = Absent::impossible(
    "the supply is not above the output voltage: these regulators can only step down",
);

fn reset_now(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    match c.option(RESET_VOLTAGE)? {
        Some(given) => {
            c.working("'as entered'");
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
        return Err(Absent::not_asked("no current, so no loss"));
    }
    Ok(useful / taken)
}

fn temperature_rise(c: &Eval<'_>) -> Result<TemperatureInterval, Absent> {
    let rise = rise(c)?;
    // What surrounds it is no cooler than the room.
    let at_least = c.get(axis::AMBIENT_TEMPERATURE)? + rise;
    up_to(c, at_least, MAX_JUNCTION)?;
    Ok(rise)
}

fn rise(c: &Eval<'_>) -> Result<TemperatureInterval, Absent> {
    Ok(c.get(JUNCTION_TO_AMBIENT)? * c.get(LOSS)?)
}

fn junction_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    let junction = c.get(bridge::LOCAL_AMBIENT_NOW)? + rise(c)?;
    up_to(c, junction, MAX_JUNCTION)
}

/// The buck regulator at work; absent for a linear one.
fn buck(c: &Eval<'_>) -> Result<formulas::BuckState, Absent> {
    if c.get(KIND)? == RegulatorKind::Linear {
        return Err(Absent::not_asked("a linear regulator does not switch"));
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
    id: "check.regulator_temperature",
    label: "Regulator junction temperature",
    failing: "dissipation {regulator.loss}; the junction goes above its limit of {regulator.max_junction}",
    tier: Tier::Heat,
    station: Station::Regulator,
    measure: Measure::TemperatureRise,
    limit: true,
    margin: heat_check,
}];

/// Rise allowed against rise. Where the air around the boards cannot be said, it is no cooler than
/// the room: a regulator that is too hot even there is too hot.
fn heat_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let rise = rise(c)?;
    let allowed = |local: ThermodynamicTemperature| -> Result<Margin, Absent> {
        let (limit, outward) = (c.get(MAX_JUNCTION)?, c.get(JUNCTION_TO_AMBIENT)?);
        Ok(heat_room(local, limit, local + rise, outward))
    };
    c.get(bridge::LOCAL_AMBIENT_NOW)
        .and_then(allowed)
        .or_else(|absent| {
            let at_best = allowed(c.get(axis::AMBIENT_TEMPERATURE)?)?;
            under_already(at_best, absent)
        })
        .map(Some)
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "regulator_overheats",
        station: Station::Regulator,
        message: "Regulator dissipation is {regulator.loss}: the junction goes above its limit of {regulator.max_junction}. Dissipation of the alternative: {regulator.alternative_loss}.",
        numbers: &[
            "regulator.loss",
            "regulator.max_junction",
            "regulator.alternative_loss",
        ],
        when: overheats,
    },
    Finding {
        id: "discontinuous_conduction",
        station: Station::Regulator,
        message: "At {regulator.load_current} the buck regulator runs in discontinuous mode. That is normal. The ripple of {regulator.output_ripple} and the duty cycle follow other formulas; a regulator that skips pulses at light load has more ripple.",
        numbers: &[
            "regulator.load_current",
            "regulator.peak_inductor_current",
            "regulator.output_ripple",
        ],
        when: discontinuous,
    },
];

fn overheats(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(heat_check(c)?)
}

fn discontinuous(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((buck(c)?.conduction == formulas::Conduction::Discontinuous).then_some(Severity::Note))
}
