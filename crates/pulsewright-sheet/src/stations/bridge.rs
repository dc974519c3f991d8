//! The H-bridge driver.

use super::shared::under;
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::evaluation::{Check, LoadCase, Margin, Status};
use crate::evaluation::{Finding, Severity};
use crate::register::YesNo;
use crate::register::bridge::*;
use crate::register::{Key, Station, drive, heat, motor, movement, position_loop, supply};
use crate::text::measure::Measure;
use pulsewright_calc::bridge as formulas;
use pulsewright_calc::units::{
    ElectricCurrent, ElectricalResistance, Power, Ratio, ThermodynamicTemperature,
};

station! { bridge;
    results {
        RESISTANCE = resistance;
        RIPPLE_CURRENT = ripple_current;
        LOCAL_AMBIENT_NOW = local_ambient;
        QUIESCENT_LOSS = quiescent_loss;
        SWITCHING_LOSS = switching_loss;
        JUNCTION_TEMPERATURE = junction_temperature;
        CONDUCTION_LOSS = conduction_loss;
        SWITCHING_LOSS_HOLD = switching_loss_hold;
        JUNCTION_HOLD = junction_hold;
        JUNCTION_STALL = junction_stall;
        CURRENT_MARGIN = current_margin;
    }
}

fn resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(formulas::resistance(c.get(HIGH_SIDE)?, c.get(LOW_SIDE)?))
}

fn decay(c: &Eval<'_>) -> Result<formulas::Decay, Absent> {
    Ok(match c.get(DECAY)? {
        Decay::Slow => formulas::Decay::Slow,
        Decay::Fast => formulas::Decay::Fast,
    })
}

fn ripple_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let decay = decay(c)?;
    if decay == formulas::Decay::Fast {
        c.working("supply.voltage / (2 * motor.inductance * bridge.pwm_frequency)");
    }
    Ok(formulas::ripple_current(
        c.get(supply::VOLTAGE)?,
        c.get(motor::INDUCTANCE)?,
        c.get(PWM_FREQUENCY)?,
        decay,
    ))
}

fn local_ambient(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    if let Some(given) = c.option(LOCAL_AMBIENT)? {
        c.working("'as given'");
        return Ok(given);
    }
    c.get(heat::HOUSING_TEMPERATURE)
}

fn quiescent_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    Ok(c.get(supply::VOLTAGE)? * c.get(QUIESCENT_CURRENT)?)
}

fn edges(c: &Eval<'_>, current: Key<ElectricCurrent>, fast: &'static str) -> Result<Power, Absent> {
    let decay = decay(c)?;
    if decay == formulas::Decay::Fast {
        c.working(fast);
    }
    let switching = formulas::Switching {
        voltage: c.get(supply::VOLTAGE)?,
        rise_time: c.get(RISE_TIME)?,
        fall_time: c.get(FALL_TIME)?,
        frequency: c.get(PWM_FREQUENCY)?,
        decay,
    };
    Ok(formulas::switching_loss(c.get(current)?, &switching))
}

fn switching_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    edges(
        c,
        movement::RMS_CURRENT,
        "supply.voltage * move.rms_current * (bridge.rise_time + bridge.fall_time) * bridge.pwm_frequency",
    )
}

fn switching_loss_hold(c: &Eval<'_>) -> Result<Power, Absent> {
    edges(
        c,
        heat::CURRENT_MOST,
        "supply.voltage * abs(hold.current_most) * (bridge.rise_time + bridge.fall_time) * bridge.pwm_frequency",
    )
}

/// Why a junction temperature is not there.
const OVERHEATS: Absent = Absent::impossible(
    "the bridge's loss grows faster with its temperature than it is carried away",
);

fn junction(
    c: &Eval<'_>,
    current: Key<ElectricCurrent>,
    switching: Power,
) -> Result<ThermodynamicTemperature, Absent> {
    formulas::junction_temperature(&formulas::Junction {
        local_ambient: c.get(LOCAL_AMBIENT_NOW)?,
        junction_to_ambient: c.get(JUNCTION_TO_AMBIENT)?,
        resistance_at_25: c.get(RESISTANCE)?,
        temperature_coefficient: c.get(TEMPERATURE_COEFFICIENT)?,
        current: c.get(current)?,
        other_loss: switching + c.get(QUIESCENT_LOSS)?,
    })
    .map_err(|_| OVERHEATS)
}

fn junction_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    junction(c, movement::RMS_CURRENT, c.get(SWITCHING_LOSS)?)
}

fn conduction_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    let warm = pulsewright_calc::heat::resistance_at(
        c.get(RESISTANCE)?,
        c.get(TEMPERATURE_COEFFICIENT)?,
        pulsewright_calc::units::celsius(25.0),
        c.get(JUNCTION_TEMPERATURE)?,
    );
    Ok(formulas::conduction_loss(
        c.get(movement::RMS_CURRENT)?,
        warm,
    ))
}

fn junction_hold(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    junction(c, heat::CURRENT_MOST, c.get(SWITCHING_LOSS_HOLD)?)
}

fn junction_stall(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    junction(c, drive::BLOCKED_CURRENT, Power::default())
}

fn reversal(c: &Eval<'_>) -> Result<Option<ElectricCurrent>, Absent> {
    Ok(match c.get(movement::REVERSES_AT_SPEED)? {
        YesNo::Yes => Some(c.get(drive::REVERSAL_CURRENT)?),
        YesNo::No => None,
    })
}

fn current_margin(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let reversal = reversal(c)?;
    if reversal.is_some() {
        c.working("bridge.current_limit / max(max(move.peak_current, abs(hold.current_most)), drive.reversal_current)");
    }
    formulas::current_margin(
        c.get(CURRENT_LIMIT)?,
        c.get(movement::PEAK_CURRENT)?,
        c.get(heat::CURRENT_MOST)?,
        reversal,
    )
    .ok_or(Absent::unlimited("no current is asked"))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.bridge_current",
        label: "Current of the bridge",
        under: "the move asks {move.peak_current} and holding {hold.current_most}, the bridge takes {bridge.current_limit}; a jam asks {drive.stall_current}, a reversal at full speed {drive.reversal_current}",
        station: Station::Bridge,
        measure: Measure::Current,
        margin: bridge_current_check,
    },
    Check {
        id: "check.bridge_heat",
        label: "Warmth of the bridge",
        under: "the driver chip gets {bridge.junction_temperature} in the cycle and {bridge.junction_temperature_hold} while it holds, it stands {bridge.max_junction}",
        station: Station::Bridge,
        measure: Measure::TemperatureRise,
        margin: bridge_heat_check,
    },
];

/// Current that a start or a jam asks before the bridge limits it.
fn inrush(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let stall = c.get(drive::GREATEST_STALL_CURRENT)?;
    Ok(c.option(position_loop::CURRENT_LIMIT)?
        .map_or(stall, |own| own.min(stall)))
}

fn bridge_current_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let mut needs = vec![
        (c.get(movement::PEAK_CURRENT)?, LoadCase::Move),
        (c.get(heat::CURRENT_MOST)?.abs(), LoadCase::Hold),
    ];
    if let Some(reversal) = reversal(c)? {
        needs.push((reversal, LoadCase::Move));
    }
    if c.get(LIMIT_KIND)? == LimitKind::Trips {
        needs.push((inrush(c)?, LoadCase::Blocked));
    }
    let greatest = needs
        .into_iter()
        .reduce(|most, next| if next.0 > most.0 { next } else { most });
    let (need, case) = greatest.ok_or(NOT_FINITE)?;
    Ok(Some(
        Margin::of(c.get(CURRENT_LIMIT)?, need).in_load_case(case),
    ))
}

fn bridge_heat_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let local = c.get(LOCAL_AMBIENT_NOW)?.value;
    let capability = c.get(MAX_JUNCTION)?.value - local;
    let both = c
        .get(JUNCTION_TEMPERATURE)
        .and_then(|cycle| Ok((cycle.value - local, c.get(JUNCTION_HOLD)?.value - local)));
    match both {
        Ok((cycle, held)) if held > cycle => Ok(Some(
            Margin::of(capability, held).in_load_case(LoadCase::Hold),
        )),
        Ok((cycle, _)) => Ok(Some(
            Margin::of(capability, cycle).in_load_case(LoadCase::Move),
        )),
        // No temperature is reached; the current beyond which none is says how far off it is.
        Err(absent) if absent == OVERHEATS => {
            let cooled = c.get(JUNCTION_TO_AMBIENT)?
                * c.get(TEMPERATURE_COEFFICIENT)?
                * c.get(RESISTANCE)?;
            let need = c
                .get(movement::RMS_CURRENT)?
                .max(c.get(heat::CURRENT_MOST)?.abs());
            Ok(Some(Margin {
                measure: Some(Measure::Current),
                at_best: Status::Under,
                ..Margin::of(1.0 / cooled.value.sqrt(), need.value)
            }))
        }
        Err(absent) => Err(absent),
    }
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "trips_on_start",
        station: Station::Bridge,
        message: "This bridge switches off at {bridge.current_limit}, and a start at full duty asks {drive.greatest_stall_current}: it trips before it turns. Ramp the duty, set a current limit in the loop, or take a bridge that chops.",
        numbers: &["bridge.current_limit", "drive.greatest_stall_current"],
        when: trips_on_start,
    },
    Finding {
        id: "jam_beyond_bridge",
        station: Station::Bridge,
        message: "A jam asks {drive.greatest_stall_current}, and nothing holds the current to the {bridge.current_limit} that this bridge survives. Set a current limit in the loop, or take a bridge that chops.",
        numbers: &["bridge.current_limit", "drive.greatest_stall_current"],
        when: jam_beyond_bridge,
    },
    Finding {
        id: "bridge_overheats",
        station: Station::Bridge,
        message: "The driver chip overheats: {bridge.junction_temperature} in the cycle, {bridge.junction_temperature_hold} while it holds, with {board.local_ambient} around it; it stands {bridge.max_junction}. More copper under it, a cooler place or a driver of lower resistance.",
        numbers: &[
            "bridge.junction_temperature",
            "bridge.junction_temperature_hold",
            "board.local_ambient",
            "bridge.max_junction",
        ],
        when: bridge_overheats,
    },
    Finding {
        id: "audible_pwm",
        station: Station::Bridge,
        message: "A PWM frequency of {bridge.pwm_frequency} can be heard; from 20 kHz on it cannot.",
        numbers: &["bridge.pwm_frequency"],
        when: audible_pwm,
    },
];

/// A fault where a bridge of this kind of limit is asked for more than its limit in a jam.
fn beyond(c: &Eval<'_>, kind: LimitKind) -> Result<Option<Severity>, Absent> {
    let over = inrush(c)? > c.get(CURRENT_LIMIT)?;
    Ok((c.get(LIMIT_KIND)? == kind && over).then_some(Severity::Fault))
}

fn trips_on_start(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    beyond(c, LimitKind::Trips)
}

fn jam_beyond_bridge(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    beyond(c, LimitKind::Rating)
}

fn bridge_overheats(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(bridge_heat_check(c)?)
}

fn audible_pwm(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((c.get(PWM_FREQUENCY)?.value < 20e3).then_some(Severity::Note))
}
