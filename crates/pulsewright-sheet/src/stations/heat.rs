//! Hold and heat.

use super::shared::{gearing, thermal_model, under, winding_resistance_at};
use crate::evaluation::display;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Check, Margin, Status};
use crate::evaluation::{Finding, Severity};
use crate::register::heat::*;
use crate::register::movement::{Direction, DwellCurrent};
use crate::register::{Key, Station, axis, bridge, drive, gears, motor, movement};
use crate::text::measure::Measure;
use pulsewright_calc::heat::{self as formulas, HeatingTime, StallDrive, Touch};
use pulsewright_calc::units::{
    ElectricCurrent, ElectricalResistance, Power, TemperatureCoefficient, ThermalResistance,
    ThermodynamicTemperature, Time, Torque,
};

station! { heat;
    results {
        RESISTANCE_AT_AMBIENT = resistance_at_ambient;
        COEFFICIENT = coefficient;
        THERMAL_RESISTANCE = thermal_resistance;
        HOLD_CURRENT = hold_current;
        CURRENT_MOST = current_most;
        CURRENT_LEAST = current_least;
        DWELL_CURRENT = dwell_current;
        HOLD_POWER = hold_power;
        CONTINUOUS_CURRENT = continuous_current;
        CONTINUOUS_TORQUE = continuous_torque;
        FRICTION_LOSS = friction_loss;
        HEATING_CURRENT = heating_current;
        WINDING_TEMPERATURE = winding_temperature;
        WINDING_RESISTANCE = winding_resistance;
        HOUSING_TEMPERATURE = housing_temperature;
        MOVE_LOSS = move_loss;
        DWELL_LOSS = dwell_loss;
        CYCLE_PEAK_TEMPERATURE = cycle_peak_temperature;
        OVERHEAT_TIME = overheat_time;
        HOLD_TIME = hold_time;
        HOLD_TIME_MOST = hold_time_most;
        STALL_TIME = stall_time;
        TOUCH_TEMPERATURE = touch_temperature;
    }
    words {
        WINDING_TEMPERATURE = winding_words;
        CYCLE_PEAK_TEMPERATURE = peak_words;
        TOUCH_TEMPERATURE = touch_words;
    }
}

/// Why a temperature is not there.
const NO_EQUILIBRIUM: Absent = Absent::impossible(
    "no thermal equilibrium, the copper loss grows faster than the heat flows off",
);

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
    c.get(drive::CURRENT_AT_LOAD)
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

fn dwell_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    match c.get(movement::DWELL_CURRENT)? {
        DwellCurrent::Balanced => c.get(HOLD_CURRENT),
        DwellCurrent::Settled => {
            c.working("hold.current_most");
            c.get(CURRENT_MOST)
        }
        DwellCurrent::Relaxed => {
            c.working("hold.current_least");
            c.get(CURRENT_LEAST)
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

fn heating_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    with_ripple(c, c.get(movement::RMS_CURRENT)?)
}

fn with_ripple(c: &Eval<'_>, current: ElectricCurrent) -> Result<ElectricCurrent, Absent> {
    Ok(formulas::heating_current(
        current,
        c.get(bridge::RIPPLE_CURRENT)?,
    ))
}

fn equilibrium<'c>(c: &'c Eval<'_>) -> Result<&'c formulas::Temperatures, Absent> {
    c.shared(&c.intermediates.equilibrium, |c| {
        formulas::equilibrium(
            thermal_model(c)?,
            c.get(HEATING_CURRENT)?,
            c.get(FRICTION_LOSS)?,
        )
        .map_err(|_| NO_EQUILIBRIUM)
    })
}

fn winding_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    Ok(equilibrium(c)?.winding)
}

fn winding_resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    winding_resistance_at(c, c.get(WINDING_TEMPERATURE)?)
}

fn housing_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    Ok(equilibrium(c)?.housing)
}

fn move_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    let direction = c.get(movement::DIRECTION)?;
    c.working(match direction {
        Direction::Against => {
            "(move.against_rms ^ 2 + bridge.ripple_current ^ 2 / 12) * heat.winding_resistance"
        }
        Direction::With => {
            "(move.with_rms ^ 2 + bridge.ripple_current ^ 2 / 12) * heat.winding_resistance"
        }
        Direction::Both => {
            "(max(move.against_rms, move.with_rms) ^ 2 + bridge.ripple_current ^ 2 / 12) * heat.winding_resistance"
        }
    });
    let current = direction
        .formula()
        .greatest(c.get(movement::AGAINST_RMS)?, c.get(movement::WITH_RMS)?);
    loss(c, with_ripple(c, current)?)
}

fn loss(c: &Eval<'_>, current: ElectricCurrent) -> Result<Power, Absent> {
    Ok(formulas::copper_loss(
        thermal_model(c)?,
        current,
        c.get(WINDING_TEMPERATURE)?,
    ))
}

fn dwell_loss(c: &Eval<'_>) -> Result<Power, Absent> {
    if c.get(movement::DWELL_CURRENT)? == DwellCurrent::Off {
        c.working("0");
        return Ok(Power::default());
    }
    loss(c, with_ripple(c, c.get(DWELL_CURRENT)?)?)
}

fn cycle_peak_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    let losses = (c.get(MOVE_LOSS)?, c.get(DWELL_LOSS)?);
    if losses.0 < losses.1 {
        c.working("heat.housing_temperature + motor.winding_to_housing * (heat.move_loss + (heat.dwell_loss - heat.move_loss) * (1 - exp(-move.dwell / motor.winding_time_constant)) / (1 - exp(-(move.time + move.dwell) / motor.winding_time_constant)))");
    }
    Ok(formulas::cycle_peak_temperature(
        thermal_model(c)?,
        c.get(HOUSING_TEMPERATURE)?,
        losses,
        (c.get(movement::TIME)?, c.get(movement::DWELL)?),
    ))
}

fn until_hot(time: HeatingTime) -> Result<Time, Absent> {
    match time {
        HeatingTime::After(time) => Ok(time),
        HeatingTime::Unlimited => Err(Absent::unlimited("unlimited: the winding bears it")),
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
        c.get(HEATING_CURRENT)?,
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
    time_at(c, CURRENT_MOST)
}

fn stall_time(c: &Eval<'_>) -> Result<Time, Absent> {
    let stall = StallDrive {
        voltage: c.get(drive::HIGHEST_VOLTAGE)?,
        resistance: c.get(bridge::RESISTANCE)? + c.get(drive::SUPPLY_PATH)?,
        current_limit: c.get(drive::CURRENT_LIMIT)?,
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
    let limit = c.get(motor::MAX_WINDING_TEMPERATURE).ok()?;
    if c.get(key).ok()? <= limit {
        return None;
    }
    let show = |index| display::display(c, index, 3);
    let above = ["above ", &show(motor::MAX_WINDING_TEMPERATURE.index())].concat();
    Some(if c.get(OVERHEAT_TIME).is_ok() {
        [&above, ", after ", &show(OVERHEAT_TIME.index())].concat()
    } else {
        [&above, ", for a while in every cycle"].concat()
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
    (Touch::EightHours, "a hand may rest on it"),
    (Touch::TenMinutes, "touch it for 10 min at most"),
    (Touch::OneMinute, "touch it for 1 min at most"),
    (Touch::TenSeconds, "touch it for 10 s at most"),
    (Touch::OneSecond, "touch it for 1 s at most"),
];

fn touch_words(c: &Eval<'_>) -> Option<String> {
    let housing = c.get(TOUCH_TEMPERATURE).ok()?;
    let words = TOUCHES
        .iter()
        .find(|(touch, _)| housing <= formulas::touch_limit(*touch))
        .map_or("it burns at a touch", |(_, words)| words);
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
        id: "check.hold_heat",
        label: "Current to hold against what the winding bears",
        under: "holding takes {hold.dwell_current}, the winding bears {heat.continuous_current} for ever: it is at its limit after {heat.hold_time}",
        station: Station::Heat,
        measure: Measure::Current,
        margin: hold_heat_check,
    },
    Check {
        id: "check.cycle_heat",
        label: "Warmth of the cycle",
        under: "repeated for hours, such cycles are too much for the winding: {heat.cycle_peak_temperature}",
        station: Station::Heat,
        measure: Measure::TemperatureRise,
        margin: cycle_heat_check,
    },
];

fn hold_heat_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    Ok(Some(Margin::of(
        c.get(CONTINUOUS_CURRENT)?,
        c.get(DWELL_CURRENT)?.abs(),
    )))
}

fn cycle_heat_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let ambient = c.get(axis::AMBIENT_TEMPERATURE)?.value;
    match c.get(CYCLE_PEAK_TEMPERATURE) {
        Ok(peak) => Ok(Some(Margin::of(
            c.get(motor::MAX_WINDING_TEMPERATURE)?.value - ambient,
            peak.value - ambient,
        ))),
        // Without an equilibrium there is no temperature; the currents still say how far off it is.
        Err(absent) if absent == NO_EQUILIBRIUM => Ok(Some(Margin {
            measure: Some(Measure::Current),
            at_best: Status::Under,
            ..Margin::of(c.get(CONTINUOUS_CURRENT)?, c.get(HEATING_CURRENT)?)
        })),
        Err(absent) => Err(absent),
    }
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "hold_overheats",
        station: Station::Heat,
        message: "Stall torque is not torque you can hold. Holding {axis.holding_torque} takes {hold.dwell_current}; the winding reaches {motor.max_winding_temperature} after {heat.hold_time}, and a stall brings it there in {heat.stall_time}. Counterbalance the load, relax the current once it stands, or take a larger motor.",
        numbers: &[
            "axis.holding_torque",
            "hold.dwell_current",
            "heat.continuous_current",
            "heat.hold_time",
        ],
        when: hold_overheats,
    },
    Finding {
        id: "cycle_overheats",
        station: Station::Heat,
        message: "Repeated for hours, this cycle is too much for the winding: {heat.cycle_peak_temperature}. Move more gently, rest longer or hold with less current.",
        numbers: &[
            "heat.heating_current",
            "heat.cycle_peak_temperature",
            "motor.max_winding_temperature",
        ],
        when: cycle_overheats,
    },
    Finding {
        id: "no_thermal_equilibrium",
        station: Station::Heat,
        message: "At this current the winding warms without end: warm copper resists more, and the heat grows faster than it flows off. It bears {heat.continuous_current} for ever.",
        numbers: &[
            "heat.heating_current",
            "hold.dwell_current",
            "heat.continuous_current",
        ],
        when: no_thermal_equilibrium,
    },
    Finding {
        id: "softens_bracket",
        station: Station::Heat,
        message: "The housing gets {heat.housing_temperature} warm, and the bracket softens at {motor.bracket_limit}. Print it from something that stands the heat, or let metal carry the heat away.",
        numbers: &["heat.housing_temperature", "motor.bracket_limit"],
        when: softens_bracket,
    },
    Finding {
        id: "hot_to_touch",
        station: Station::Heat,
        message: "The housing can go to {heat.housing_temperature}. Bare metal burns skin at 48 °C in ten minutes and at about 65 °C at a touch (ISO 13732-1). Keep hands off it or cover it. Stop a stall after {settings.stall_timeout} and let it cool for ten minutes before the next.",
        numbers: &["heat.housing_temperature"],
        when: hot_to_touch,
    },
];

fn hold_overheats(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(hold_heat_check(c)?)
}

fn cycle_overheats(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let _ = c.get(CYCLE_PEAK_TEMPERATURE)?;
    under(cycle_heat_check(c)?)
}

fn no_thermal_equilibrium(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let none = |found: Result<(), Absent>| match found {
        Err(absent) if absent.code == Code::Impossible => absent == NO_EQUILIBRIUM,
        _ => false,
    };
    let cycle = c.get(WINDING_TEMPERATURE).map(drop);
    let held = c.get(HOLD_POWER).map(drop);
    Ok((none(cycle) || none(held)).then_some(Severity::Fault))
}

fn softens_bracket(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let over = c.get(HOUSING_TEMPERATURE)? > c.get(motor::BRACKET_LIMIT)?;
    Ok(over.then_some(Severity::Fault))
}

fn hot_to_touch(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let housing = c.get(HOUSING_TEMPERATURE)?;
    Ok(if housing > formulas::touch_limit(Touch::OneSecond) {
        Some(Severity::Warning)
    } else {
        (housing > formulas::touch_limit(Touch::TenMinutes)).then_some(Severity::Caution)
    })
}
