//! The H-bridge driver.

use super::shared::{heat_room, under, under_already, up_to};
use crate::evaluation::Tier;
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::evaluation::{Check, LoadCase, Margin, Status};
use crate::evaluation::{Finding, Severity};
use crate::register::YesNo;
use crate::register::bridge::*;
use crate::register::{Key, Station, drive, heat, motor, movement, supply, wiring};
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
    presets {
        CURRENT_LIMIT = super::shared::current_for_stall;
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
        c.working("'as entered'");
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
        heat::CURRENT_WORST_CASE,
        "supply.voltage * abs(hold.current_worst_case) * (bridge.rise_time + bridge.fall_time) * bridge.pwm_frequency",
    )
}

/// Why a junction temperature is not there.
const OVERHEATS: Absent = Absent::impossible(
    "the driver's loss grows faster with its temperature than the heat is removed",
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

/// A junction temperature up to the limit of the chip.
fn told(
    c: &Eval<'_>,
    junction: Result<ThermodynamicTemperature, Absent>,
) -> Result<ThermodynamicTemperature, Absent> {
    match junction {
        Err(absent) if absent == OVERHEATS => Err(Absent::above(MAX_JUNCTION.index())),
        Err(absent) => Err(absent),
        Ok(junction) => up_to(c, junction, MAX_JUNCTION),
    }
}

fn junction_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    told(c, junction_moving(c))
}

fn junction_moving(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
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
    told(c, junction_holding(c))
}

fn junction_holding(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    junction(c, heat::CURRENT_WORST_CASE, c.get(SWITCHING_LOSS_HOLD)?)
}

fn junction_stall(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    told(c, junction(c, drive::BLOCKED_CURRENT, Power::default()))
}

fn reversal(c: &Eval<'_>) -> Result<Option<ElectricCurrent>, Absent> {
    Ok(match c.get(movement::REVERSES_AT_SPEED)? {
        YesNo::Yes => Some(c.get(drive::REVERSAL_CURRENT)?),
        YesNo::No => None,
    })
}

/// What is asked of the bridge, and when: moving, holding, and where it does not chop a start or a
/// jam as well.
fn asked(c: &Eval<'_>) -> Result<(ElectricCurrent, LoadCase), Absent> {
    let reversal = reversal(c)?;
    let chops = c.get(LIMIT_KIND)? == LimitKind::Limits;
    let needs = [
        Some((c.get(movement::PEAK_CURRENT)?, LoadCase::Move)),
        Some((c.get(heat::CURRENT_WORST_CASE)?.abs(), LoadCase::Hold)),
        reversal.map(|current| (current, LoadCase::Move)),
        match chops {
            true => None,
            false => Some((c.get(drive::UNLIMITED_CURRENT)?, LoadCase::Blocked)),
        },
    ];
    c.working(match (chops, reversal.is_some()) {
        (true, false) => "bridge.current_limit / max(move.peak_current, abs(hold.current_worst_case))",
        (true, true) => "bridge.current_limit / max(max(move.peak_current, abs(hold.current_worst_case)), drive.reversal_current)",
        (false, false) => "bridge.current_limit / max(max(move.peak_current, abs(hold.current_worst_case)), drive.unlimited_current)",
        (false, true) => "bridge.current_limit / max(max(move.peak_current, abs(hold.current_worst_case)), max(drive.unlimited_current, drive.reversal_current))",
    });
    needs
        .into_iter()
        .flatten()
        .reduce(|most, next| if next.0 > most.0 { next } else { most })
        .ok_or(NOT_FINITE)
}

fn current_margin(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let (asked, _) = asked(c)?;
    pulsewright_calc::wiring::current_margin(c.get(CURRENT_LIMIT)?, asked)
        .ok_or(Absent::unlimited("no current is needed"))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.bridge_current",
        label: "Driver current",
        failing: "driver current limit {bridge.current_limit}. Needed:[ move {move.peak_current},][ holding {hold.current_worst_case},] start or stall {drive.unlimited_current}[, reversal at full speed {drive.reversal_current}]",
        tier: Tier::Strength,
        station: Station::Bridge,
        measure: Measure::Current,
        limit: false,
        margin: bridge_current_check,
    },
    Check {
        id: "check.stall",
        label: "Stall current (blocked)",
        failing: "when the motor is blocked: driver {drive.unlimited_current}, limit {bridge.current_limit}; connector {drive.blocked_current}, rating {wiring.pin_current}; trace {drive.blocked_current}, rating {wiring.trace_current}[; supply {supply.stall_current}, limit {supply.current_limit}]",
        tier: Tier::Strength,
        station: Station::Bridge,
        measure: Measure::Current,
        limit: false,
        margin: stall_check,
    },
    Check {
        id: "check.bridge_temperature",
        label: "Driver junction temperature",
        failing: "the driver reaches {bridge.junction_temperature} in the cycle and {bridge.junction_temperature_hold} while holding; its limit is {bridge.max_junction}",
        tier: Tier::Heat,
        station: Station::Bridge,
        measure: Measure::TemperatureRise,
        limit: true,
        margin: bridge_heat_check,
    },
];

fn bridge_current_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let rating = c.get(CURRENT_LIMIT)?;
    match asked(c) {
        Ok((need, case)) => Ok(Some(Margin::of(rating, need).in_load_case(case))),
        // What a jam or a reversal breaks stands, whatever the move may be.
        Err(absent) => {
            let reversed = reversal(c)?.map(|current| (current, LoadCase::Move));
            let jammed = match c.get(LIMIT_KIND)? {
                LimitKind::Limits => None,
                _ => Some((c.get(drive::UNLIMITED_CURRENT)?, LoadCase::Blocked)),
            };
            let (need, case) = match (reversed, jammed) {
                (Some(a), Some(b)) if a.0 > b.0 => a,
                (a, b) => b.or(a).ok_or(absent)?,
            };
            under_already(Margin::of(rating, need).in_load_case(case), absent).map(Some)
        }
    }
}

/// The weakest of what a jam's current goes through. A bridge that chops is not asked for more than
/// it gives.
fn stall_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let blocked = c.get(drive::BLOCKED_CURRENT)?;
    let mut parts = [
        Some(Margin::of(c.get(wiring::PIN_CURRENT)?, blocked)),
        Some(Margin::of(c.get(wiring::TRACE_CURRENT)?, blocked)),
        None,
        None,
    ];
    if c.get(LIMIT_KIND)? != LimitKind::Limits {
        let before = c.get(drive::UNLIMITED_CURRENT)?;
        parts[2] = Some(Margin::of(c.get(CURRENT_LIMIT)?, before));
    }
    let supply = c.get(supply::STALL_CURRENT);
    if let Ok(jam) = supply {
        parts[3] = Some(Margin::of(c.get(supply::CURRENT_LIMIT)?, jam));
    }
    let room = |margin: &Margin| margin.ratio().unwrap_or(f64::INFINITY);
    let weakest = parts
        .into_iter()
        .flatten()
        .reduce(|least, next| {
            if room(&next) < room(&least) {
                next
            } else {
                least
            }
        })
        .ok_or(NOT_FINITE)?
        .in_load_case(LoadCase::Blocked);
    match supply {
        Ok(_) => Ok(Some(weakest)),
        Err(absent) => under_already(weakest, absent).map(Some),
    }
}

fn bridge_heat_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    c.shared(&c.intermediates.bridge_heat, bridge_heat)
        .map(|margin| Some(*margin))
}

fn bridge_heat(c: &Eval<'_>) -> Result<Margin, Absent> {
    let (local, limit) = (c.get(LOCAL_AMBIENT_NOW)?, c.get(MAX_JUNCTION)?);
    let outward = c.get(JUNCTION_TO_AMBIENT)?;
    let both = junction_moving(c).and_then(|cycle| Ok((cycle, junction_holding(c)?)));
    match both {
        Ok((cycle, held)) if held > cycle => {
            Ok(heat_room(local, limit, held, outward).in_load_case(LoadCase::Hold))
        }
        Ok((cycle, _)) => Ok(heat_room(local, limit, cycle, outward).in_load_case(LoadCase::Move)),
        // No temperature is reached; the current beyond which none is says how far off it is.
        Err(absent) if absent == OVERHEATS => {
            let cooled = c.get(JUNCTION_TO_AMBIENT)?
                * c.get(TEMPERATURE_COEFFICIENT)?
                * c.get(RESISTANCE)?;
            let need = c
                .get(movement::RMS_CURRENT)?
                .max(c.get(heat::CURRENT_WORST_CASE)?.abs());
            Ok(Margin {
                measure: Some(Measure::Current),
                at_best: Status::Fails,
                ..Margin::of(1.0 / cooled.value.sqrt(), need.value)
            })
        }
        Err(absent) => Err(absent),
    }
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "shuts_down_on_start",
        station: Station::Bridge,
        message: "This driver shuts down at {bridge.current_limit}, and a start at full duty draws {drive.unlimited_current}: it shuts down before the motor turns. Ramp the duty cycle, set a loop current limit, or choose a driver that limits the current.",
        numbers: &["bridge.current_limit", "drive.unlimited_current"],
        when: trips_on_start,
    },
    Finding {
        id: "stall_beyond_bridge",
        station: Station::Bridge,
        message: "A blocked motor draws {drive.unlimited_current}, and nothing limits the current to the driver's maximum of {bridge.current_limit}. Set a loop current limit, or choose a driver that limits the current.",
        numbers: &["bridge.current_limit", "drive.unlimited_current"],
        when: jam_beyond_bridge,
    },
    Finding {
        id: "bridge_overheats",
        station: Station::Bridge,
        message: "The driver overheats: {bridge.junction_temperature} in the cycle, {bridge.junction_temperature_hold} while holding, in air of {board.local_ambient}. Its limit is {bridge.max_junction}. Use more copper under it, a cooler place or a driver with lower on-resistance.",
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
        message: "A PWM frequency of {bridge.pwm_frequency} is audible. From 20 kHz on it is not.",
        numbers: &["bridge.pwm_frequency"],
        when: audible_pwm,
    },
];

/// A fault where a bridge of this kind of limit is asked for more than its limit in a jam.
fn beyond(c: &Eval<'_>, kind: LimitKind) -> Result<Option<Severity>, Absent> {
    let over = c.get(drive::UNLIMITED_CURRENT)? > c.get(CURRENT_LIMIT)?;
    Ok((c.get(LIMIT_KIND)? == kind && over).then_some(Severity::Fault))
}

fn trips_on_start(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    beyond(c, LimitKind::ShutsDown)
}

fn jam_beyond_bridge(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    beyond(c, LimitKind::None)
}

fn bridge_overheats(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(bridge_heat_check(c)?)
}

fn audible_pwm(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((c.get(PWM_FREQUENCY)?.value < 20e3).then_some(Severity::Note))
}
