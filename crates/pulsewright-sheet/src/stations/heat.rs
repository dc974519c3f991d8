//! Hold and heat.

use super::shared::{
    NO_EQUILIBRIUM, equilibrium, gearing, heat_room, swing, thermal_model, under, up_to,
    winding_resistance_at,
};
use crate::evaluation::Tier;
use crate::evaluation::display;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Check, LoadCase, Margin, Status};
use crate::evaluation::{Finding, Severity};
use crate::register::heat::*;
use crate::register::movement::{Direction, DwellCurrent};
use crate::register::position_loop as control;
use crate::register::{Key, Station, axis, bridge, drive, gears, motor, movement, position_loop};
use crate::text::measure::Measure;
use pulsewright_calc::axis::Load;
use pulsewright_calc::heat::{self as formulas, HeatingTime, StallDrive, Touch};
use pulsewright_calc::units::{
    AngularVelocity, ElectricCurrent, ElectricalResistance, Power, TemperatureCoefficient,
    ThermalResistance, ThermodynamicTemperature, Time, Torque,
};

station! { heat;
    results {
        RESISTANCE_AT_AMBIENT = resistance_at_ambient;
        COEFFICIENT = coefficient;
        THERMAL_RESISTANCE = thermal_resistance;
        HOLD_CURRENT = hold_current;
        CURRENT_WORST_CASE = current_most;
        CURRENT_BEST_CASE = current_least;
        CREEP_BRAKED = creep_braked;
        DWELL_CURRENT = dwell_current;
        HOLD_POWER = hold_power;
        CONTINUOUS_CURRENT = continuous_current;
        CONTINUOUS_TORQUE = continuous_torque;
        FRICTION_LOSS = friction_loss;
        RMS_CURRENT = rms_current;
        WINDING_TEMPERATURE = winding_temperature;
        WINDING_RESISTANCE = winding_resistance;
        HOUSING_TEMPERATURE = housing_temperature;
        MOVE_LOSS = move_loss;
        DWELL_LOSS = dwell_loss;
        CYCLE_PEAK_TEMPERATURE = cycle_peak_temperature;
        OVERHEAT_TIME = overheat_time;
        HOLD_TIME = hold_time;
        HOLD_TIME_WORST_CASE = hold_time_most;
        STALL_TIME = stall_time;
        TOUCH_TEMPERATURE = touch_temperature;
    }
    words {
        WINDING_TEMPERATURE = winding_words;
        CYCLE_PEAK_TEMPERATURE = peak_words;
        TOUCH_TEMPERATURE = touch_words;
    }
}

fn resistance_at_ambient(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    let reference = c.get(motor::REFERENCE_TEMPERATURE)?;
    Ok(formulas::resistance_at(
        c.get(motor::RESISTANCE)?,
        formulas::coefficient_at(reference),
        reference,
        c.get(axis::AMBIENT_TEMPERATURE)?,
    ))
}

fn coefficient(c: &Eval<'_>) -> Result<TemperatureCoefficient, Absent> {
    Ok(formulas::coefficient_at(c.get(axis::AMBIENT_TEMPERATURE)?))
}

fn thermal_resistance(c: &Eval<'_>) -> Result<ThermalResistance, Absent> {
    Ok(c.get(motor::WINDING_TO_HOUSING)? + c.get(motor::HOUSING_TO_AMBIENT)?)
}

fn hold_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::balanced_current(
        c.get(gears::RATIO_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(axis::HOLDING_TORQUE)?,
    )
    .ok_or(NOT_FINITE)
}

fn current_most(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    if swing(c)?.is_none() {
        return c.get(drive::CURRENT_AT_LOAD);
    }
    c.working("(abs(axis.holding_torque) + axis.friction_torque) / (gears.exact_ratio * gears.efficiency * motor.torque_constant) + motor.no_load_current");
    let held = c.get(axis::HOLDING_TORQUE)?.abs();
    let load = Load {
        load_torque: held + c.get(axis::FRICTION_TORQUE)?,
        holding_torque: held,
        load_torque_return: Torque::default(),
    };
    let range = formulas::holding_range(
        gearing(c)?,
        c.get(motor::TORQUE_CONSTANT)?,
        load,
        c.get(motor::NO_LOAD_CURRENT)?,
    );
    Ok(range.ok_or(NOT_FINITE)?.most)
}

fn current_least(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::relaxed_current(
        gearing(c)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(axis::HOLDING_TORQUE)?,
        c.get(axis::FRICTION_TORQUE)?,
        c.get(motor::NO_LOAD_CURRENT)?,
    )
    .ok_or(NOT_FINITE)
}

/// Torque with which the standing load drives the gears back.
fn driving_back(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok(c.get(axis::HOLDING_TORQUE)?.abs() - c.get(axis::FRICTION_TORQUE)?)
}

fn creep_braked(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    // The motor is shorted through both low sides.
    pulsewright_calc::drive::creep_braked(
        gearing(c)?,
        driving_back(c)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(motor::NO_LOAD_CURRENT)?,
        c.get(motor::RESISTANCE)?,
        2.0 * c.get(bridge::LOW_SIDE)?,
    )
    .ok_or(NOT_FINITE)
}

fn dwell_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    match c.get(movement::DWELL_CURRENT)? {
        DwellCurrent::NoFriction => c.get(HOLD_CURRENT),
        DwellCurrent::FrictionAgainst => {
            c.working("hold.current_worst_case");
            c.get(CURRENT_WORST_CASE)
        }
        DwellCurrent::FrictionHelps => {
            c.working("hold.current_best_case");
            c.get(CURRENT_BEST_CASE)
        }
        DwellCurrent::Off => {
            c.working("0");
            Ok(ElectricCurrent::default())
        }
    }
}

fn hold_power(c: &Eval<'_>) -> Result<Power, Absent> {
    formulas::hold_power(thermal_model(c)?, c.get(DWELL_CURRENT)?).map_err(|_| NO_EQUILIBRIUM)
}

fn continuous_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(formulas::continuous_current(
        thermal_model(c)?,
        c.get(motor::MAX_WINDING_TEMPERATURE)?,
    ))
}

fn continuous_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    let turned = formulas::continuous_torque(
        c.get(gears::RATIO_NOW)?,
        c.get(gears::EFFICIENCY_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(CONTINUOUS_CURRENT)?,
        c.get(motor::NO_LOAD_CURRENT)?,
    );
    Ok(turned.min(c.get(gears::CONTINUOUS_TORQUE)?))
}

fn friction_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    Ok(formulas::friction_loss(
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(motor::NO_LOAD_CURRENT)?,
        c.get(gears::RATIO_NOW)?,
        c.get(movement::OUTPUT_ANGLE)?,
        c.get(movement::TIME)? + c.get(movement::DWELL)?,
    ))
}

fn rms_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    with_ripple(c, c.get(movement::RMS_CURRENT)?)
}

fn with_ripple(c: &Eval<'_>, current: ElectricCurrent) -> Result<ElectricCurrent, Absent> {
    Ok(formulas::rms_current(
        current,
        c.get(bridge::RIPPLE_CURRENT)?,
    ))
}

fn winding_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    up_to(c, equilibrium(c)?.winding, motor::MAX_WINDING_TEMPERATURE)
}

fn winding_resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    winding_resistance_at(c, c.get(WINDING_TEMPERATURE)?)
}

fn housing_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    let housing = housing_itself(c)?;
    match c.option(motor::BRACKET_LIMIT)? {
        Some(_) => up_to(c, housing, motor::BRACKET_LIMIT),
        None => Ok(housing),
    }
}

/// The housing about a winding that keeps its limit, whatever the bracket bears.
fn housing_itself(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    let _ = c.get(WINDING_TEMPERATURE)?;
    Ok(equilibrium(c)?.housing)
}

fn move_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    let direction = c.get(movement::DIRECTION)?;
    c.working(match direction {
        Direction::Lifting => {
            "(move.lifting_rms ^ 2 + bridge.ripple_current ^ 2 / 12) * heat.winding_resistance"
        }
        Direction::Lowering => {
            "(move.lowering_rms ^ 2 + bridge.ripple_current ^ 2 / 12) * heat.winding_resistance"
        }
        Direction::Both => {
            "(max(move.lifting_rms, move.lowering_rms) ^ 2 + bridge.ripple_current ^ 2 / 12) * heat.winding_resistance"
        }
    });
    let _ = c.get(WINDING_TEMPERATURE)?;
    losses(c).map(|(moving, _)| moving)
}

fn dwell_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    if c.get(movement::DWELL_CURRENT)? == DwellCurrent::Off {
        c.working("0");
        return Ok(Power::default());
    }
    let _ = c.get(WINDING_TEMPERATURE)?;
    losses(c).map(|(_, dwell)| dwell)
}

fn cycle_peak_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    let losses = losses(c)?;
    if losses.0 < losses.1 {
        c.working("heat.housing_temperature + motor.winding_to_housing * (heat.move_loss + (heat.dwell_loss - heat.move_loss) * (1 - exp(-move.dwell / motor.winding_time_constant)) / (1 - exp(-(move.time + move.dwell) / motor.winding_time_constant)))");
    }
    let peak = up_to(c, peak_itself(c)?, motor::MAX_WINDING_TEMPERATURE)?;
    // Where ripple is large, a mean that counts it through the rest as well can pass the limit before the peak does.
    let _ = c.get(WINDING_TEMPERATURE)?;
    Ok(peak)
}

/// Copper loss of move and dwell at the cycle's winding temperature.
fn losses(c: &Eval<'_>) -> Result<(Power, Power), Absent> {
    c.shared(&c.intermediates.losses, losses_made).copied()
}

fn losses_made(c: &Eval<'_>) -> Result<(Power, Power), Absent> {
    let (model, winding) = (thermal_model(c)?, equilibrium(c)?.winding);
    let loss = |current| -> Result<Power, Absent> {
        Ok(formulas::copper_loss(
            model,
            with_ripple(c, current)?,
            winding,
        ))
    };
    let rests = c.get(movement::DWELL_CURRENT)? == DwellCurrent::Off;
    let dwell = if rests {
        Power::default()
    } else {
        loss(c.get(DWELL_CURRENT)?)?
    };
    Ok((loss(moving_rms(c)?)?, dwell))
}

fn peak_itself(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    Ok(formulas::cycle_peak_temperature(
        thermal_model(c)?,
        equilibrium(c)?.housing,
        losses(c)?,
        (c.get(movement::TIME)?, c.get(movement::DWELL)?),
    ))
}

fn moving_rms(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let of = c.get(movement::DIRECTION)?.formula();
    Ok(of.greatest(
        c.get(movement::LIFTING_RMS)?,
        c.get(movement::LOWERING_RMS)?,
    ))
}

fn until_hot(time: HeatingTime) -> Result<Time, Absent> {
    match time {
        HeatingTime::After(time) => Ok(time),
        HeatingTime::Unlimited => Err(Absent::unlimited(
            "unlimited: the winding stays within its limit",
        )),
    }
}

fn time_at(c: &Eval<'_>, current: Key<ElectricCurrent>) -> Result<Time, Absent> {
    until_hot(formulas::hold_time(
        thermal_model(c)?,
        c.get(current)?.abs(),
        c.get(motor::MAX_WINDING_TEMPERATURE)?,
    ))
}

fn overheat_time(c: &Eval<'_>) -> Result<Time, Absent> {
    until_hot(formulas::cycling_time(
        thermal_model(c)?,
        c.get(RMS_CURRENT)?,
        c.get(FRICTION_LOSS)?,
        c.get(motor::MAX_WINDING_TEMPERATURE)?,
    ))
}

fn hold_time(c: &Eval<'_>) -> Result<Time, Absent> {
    if c.get(movement::DWELL_CURRENT)? == DwellCurrent::Off {
        return Err(Absent::not_asked("it holds without current"));
    }
    time_at(c, DWELL_CURRENT)
}

fn hold_time_most(c: &Eval<'_>) -> Result<Time, Absent> {
    time_at(c, CURRENT_WORST_CASE)
}

fn stall_time(c: &Eval<'_>) -> Result<Time, Absent> {
    let voltage = c.get(position_loop::VOLTAGE_LIMIT)? * c.get(drive::HIGHEST_VOLTAGE)?;
    let resistance = c.get(bridge::RESISTANCE)? + c.get(drive::SUPPLY_PATH)?;
    // It never asks more than the cold winding lets through.
    let cold = voltage / (c.get(RESISTANCE_AT_AMBIENT)? + resistance);
    let stall = StallDrive {
        voltage,
        resistance,
        current_limit: super::shared::limit_in_effect(c)?.unwrap_or(2.0 * cold),
    };
    until_hot(formulas::stall_time(
        thermal_model(c)?,
        &stall,
        c.get(motor::MAX_WINDING_TEMPERATURE)?,
    ))
}

fn touch_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    c.get(HOUSING_TEMPERATURE)
}

/// A temperature beyond the winding's limit as "above 90 °C, after 4 s".
fn beyond_limit(c: &Eval<'_>, key: Key<ThermodynamicTemperature>) -> Option<String> {
    if c.get(key).err()? != Absent::behind(key.index()) {
        return None;
    }
    let show = |index| display::display(c, index, 3);
    let above = ["above ", &show(motor::MAX_WINDING_TEMPERATURE.index())].concat();
    Some(if c.get(OVERHEAT_TIME).is_ok() {
        [&above, ", after ", &show(OVERHEAT_TIME.index())].concat()
    } else {
        [&above, ", for a time in every cycle"].concat()
    })
}

fn winding_words(c: &Eval<'_>) -> Option<String> {
    beyond_limit(c, WINDING_TEMPERATURE)
}

fn peak_words(c: &Eval<'_>) -> Option<String> {
    beyond_limit(c, CYCLE_PEAK_TEMPERATURE)
}

/// Times for which bare metal may be touched, longest first, and the words for each.
const TOUCHES: [(Touch, &str); 5] = [
    (Touch::EightHours, "safe for prolonged contact"),
    (Touch::TenMinutes, "contact for 10 min at most"),
    (Touch::OneMinute, "contact for 1 min at most"),
    (Touch::TenSeconds, "contact for 10 s at most"),
    (Touch::OneSecond, "contact for 1 s at most"),
];

fn touch_words(c: &Eval<'_>) -> Option<String> {
    let housing = c.get(TOUCH_TEMPERATURE).ok()?;
    let words = TOUCHES
        .iter()
        .find(|(touch, _)| housing <= formulas::touch_limit(*touch))
        .map_or("burns at a touch", |(_, words)| words);
    Some(
        [
            &c.notation.said(Measure::Temperature, housing.value, 3),
            ": ",
            words,
        ]
        .concat(),
    )
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.holding_current",
        label: "Holding current",
        failing: "{heat.continuous_current} continuous current available, {hold.selected_current} needed to hold; max. hold time {heat.hold_time}",
        tier: Tier::Heat,
        station: Station::Heat,
        measure: Measure::Current,
        limit: false,
        margin: hold_heat_check,
    },
    Check {
        id: "check.hold",
        label: "Holding without drifting",
        failing: "with the holding current set to {move.holding_current} the load turns the shaft: back-driving torque of the load {axis.back_driving_torque}, of the gear motor {gears.back_drive_torque}. Unpowered it falls; braked it creeps at {hold.creep_braked}",
        tier: Tier::Strength,
        station: Station::Heat,
        measure: Measure::Torque,
        limit: false,
        margin: hold_check,
    },
    Check {
        id: "check.winding_temperature",
        label: "Winding temperature over the cycle",
        failing: "in continuous cycles the winding gets too hot ({heat.cycle_peak_temperature})",
        tier: Tier::Heat,
        station: Station::Heat,
        measure: Measure::TemperatureRise,
        limit: true,
        margin: cycle_heat_check,
    },
    Check {
        id: "check.bracket",
        label: "Housing and bracket temperature",
        failing: "the housing reaches {heat.housing_temperature}, the bracket softens at {motor.bracket_limit}",
        tier: Tier::Heat,
        station: Station::Heat,
        measure: Measure::TemperatureRise,
        limit: true,
        margin: bracket_check,
    },
    Check {
        id: "check.stall_time",
        label: "Stall timeout",
        failing: "max. stall time {heat.stall_time}, stall timeout {loop.stall_timeout}",
        tier: Tier::Heat,
        station: Station::Heat,
        measure: Measure::Time,
        limit: false,
        margin: stall_time_check,
    },
];

fn bracket_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let Some(limit) = c.option(motor::BRACKET_LIMIT)? else {
        return Ok(None);
    };
    let ambient = c.get(axis::AMBIENT_TEMPERATURE)?;
    let outside = c.get(motor::HOUSING_TO_AMBIENT)?;
    let housing = housing_itself(c)?;
    Ok(Some(heat_room(ambient, limit, housing, outside)))
}

fn stall_time_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let Some(timeout) = c.option(control::STALL_TIMEOUT)? else {
        return Ok(None);
    };
    match c.get(STALL_TIME) {
        Ok(time) => Ok(Some(Margin::of(time, timeout))),
        Err(absent) if absent.code == Code::Unlimited => Ok(Some(Margin::of(1.0, 0.0))),
        Err(absent) => Err(absent),
    }
}

fn hold_heat_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let bears = c.get(CONTINUOUS_CURRENT)?;
    let chosen = Margin::of(bears, c.get(DWELL_CURRENT)?.abs());
    if c.given(movement::DWELL_CURRENT) || chosen.status() == Status::Fails {
        return Ok(Some(chosen));
    }
    // Nothing is said of the current: it lies between balance and where a loop that stopped while
    // lifting rests. What only some of it passes is tight.
    let most = Margin::of(bears, c.get(CURRENT_WORST_CASE)?.abs());
    Ok(Some(match most.status() {
        Status::Fails => Margin::of(bears, bears),
        _ => Margin {
            at_best: chosen.status(),
            ..most
        },
    }))
}

/// What pulls at rest against what stays by itself; of a current that balances the load nothing is asked.
fn hold_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let current = match c.get(movement::DWELL_CURRENT)? {
        DwellCurrent::NoFriction | DwellCurrent::FrictionAgainst => return Ok(None),
        DwellCurrent::Off => ElectricCurrent::default(),
        DwellCurrent::FrictionHelps => c.get(CURRENT_BEST_CASE)?,
    };
    let pulls = c.get(axis::BACK_DRIVING_TORQUE)?;
    let stays = pulsewright_calc::gears::back_drive_torque(
        c.get(gears::RATIO_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(motor::NO_LOAD_CURRENT)? + current,
        c.get(gears::BACK_EFFICIENCY)?,
    );
    let margin = match stays {
        Some(stays) => Margin::of(stays, pulls),
        // Gears that lock pass nothing on to the motor.
        None => Margin::of(pulls, Torque::default()),
    };
    Ok(Some(margin.in_load_case(LoadCase::Hold)))
}

fn cycle_heat_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    c.shared(&c.intermediates.cycle_heat, cycle_heat)
        .map(|margin| Some(*margin))
}

fn cycle_heat(c: &Eval<'_>) -> Result<Margin, Absent> {
    match peak_itself(c) {
        Ok(peak) => Ok(heat_room(
            c.get(axis::AMBIENT_TEMPERATURE)?,
            c.get(motor::MAX_WINDING_TEMPERATURE)?,
            peak,
            c.get(THERMAL_RESISTANCE)?,
        )),
        // Without an equilibrium there is no temperature; the currents still say how far off it is.
        Err(absent) if absent == NO_EQUILIBRIUM => Ok(Margin {
            measure: Some(Measure::Current),
            at_best: Status::Fails,
            ..Margin::of(c.get(CONTINUOUS_CURRENT)?, c.get(RMS_CURRENT)?)
        }),
        Err(absent) => Err(absent),
    }
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "hold_overheats",
        station: Station::Heat,
        message: "Stall torque is not torque you can hold. Holding {axis.holding_torque} takes {hold.selected_current}; the winding reaches {motor.max_winding_temperature} after {heat.hold_time}[, and a stall brings it there in {heat.stall_time}]. Counterbalance the load, relax the current once it stands, or take a larger motor.",
        numbers: &[
            "axis.holding_torque",
            "hold.selected_current",
            "heat.continuous_current",
            "heat.hold_time",
        ],
        when: hold_overheats,
    },
    Finding {
        id: "hold_not_entered",
        station: Station::Heat,
        message: "The holding current is not entered. Depending on friction it is {hold.current} to {hold.current_worst_case}; the continuous current is {heat.continuous_current}. Relax the loop once it stands, or enter the holding current.",
        numbers: &[
            "hold.current",
            "hold.current_worst_case",
            "heat.continuous_current",
        ],
        when: hold_not_said,
    },
    Finding {
        id: "cycle_overheats",
        station: Station::Heat,
        message: "In continuous cycles the winding gets too hot ({heat.cycle_peak_temperature}). Accelerate less, pause longer or hold with less current.",
        numbers: &[
            "heat.rms_current",
            "heat.cycle_peak_temperature",
            "motor.max_winding_temperature",
        ],
        when: cycle_overheats,
    },
    Finding {
        id: "no_thermal_equilibrium",
        station: Station::Heat,
        message: "At this current there is no thermal equilibrium: the winding resistance rises with temperature, and the heat grows faster than it is removed. Continuous current: {heat.continuous_current}.",
        numbers: &[
            "heat.rms_current",
            "hold.selected_current",
            "heat.continuous_current",
        ],
        when: no_thermal_equilibrium,
    },
    Finding {
        id: "softens_bracket",
        station: Station::Heat,
        message: "The housing reaches {heat.housing_temperature}, and the bracket softens at {motor.bracket_limit}. Print it from a material with a higher softening temperature, or conduct the heat into metal.",
        numbers: &["heat.housing_temperature", "motor.bracket_limit"],
        when: softens_bracket,
    },
    Finding {
        id: "hot_to_touch",
        station: Station::Heat,
        message: "The housing gets hot[, up to {heat.housing_temperature}]. Bare metal burns skin at 48 °C in ten minutes and at about 65 °C at a touch (ISO 13732-1). Keep hands off it or cover it. Stop a stall after {settings.stall_timeout} and let it cool for ten minutes before the next.",
        numbers: &["heat.housing_temperature"],
        when: hot_to_touch,
    },
];

fn hold_overheats(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(hold_heat_check(c)?)
}

fn hold_not_said(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let tight = hold_heat_check(c)?.is_some_and(|margin| margin.status() == Status::Tight);
    let assumed = !c.given(movement::DWELL_CURRENT);
    let differs = c.get(CURRENT_WORST_CASE)?.abs() > c.get(HOLD_CURRENT)?;
    Ok((tight && assumed && differs).then_some(Severity::Caution))
}

fn cycle_overheats(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    match c.get(CYCLE_PEAK_TEMPERATURE) {
        Err(absent) if absent == NO_EQUILIBRIUM => Ok(None),
        _ => under(cycle_heat_check(c)?),
    }
}

fn no_thermal_equilibrium(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let none = |found: Result<(), Absent>| match found {
        Err(absent) if absent.code == Code::Impossible => absent == NO_EQUILIBRIUM,
        _ => false,
    };
    let cycle = equilibrium(c).map(drop);
    if let Err(absent) = cycle
        && absent.code == Code::Waits
    {
        return Err(absent);
    }
    let held = c.get(HOLD_POWER).map(drop);
    Ok((none(cycle) || none(held)).then_some(Severity::Fault))
}

fn softens_bracket(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(bracket_check(c)?)
}

fn hot_to_touch(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let housing = equilibrium(c)?.housing;
    Ok(if housing > formulas::touch_limit(Touch::OneSecond) {
        Some(Severity::Warning)
    } else {
        (housing > formulas::touch_limit(Touch::TenMinutes)).then_some(Severity::Caution)
    })
}
