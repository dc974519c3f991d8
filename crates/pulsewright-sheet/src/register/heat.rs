//! Hold and heat.

use pulsewright_calc::heat::{self as formulas, HeatingTime, StallDrive, ThermalModel, Touch};
use pulsewright_calc::units::{
    ElectricCurrent, ElectricalResistance, Power, TemperatureCoefficient, ThermalResistance,
    ThermodynamicTemperature, Time, Torque,
};

use super::movement::{Direction, DwellCurrent};
use super::{Key, Outcome, RESULT, Station, axis, bridge, drive, encoder, gears, motor, movement};
use crate::check::{Check, Room, Status};
use crate::eval::{Absent, BEYOND, Code, Eval};
use crate::finding::{Finding, Severity};
use crate::unit::Measure;

results! {
    after super::drive;

    RESISTANCE_AT_AMBIENT: ElectricalResistance = Outcome {
        id: "heat.resistance_at_ambient",
        symbol: "R_a",
        label: "Winding resistance at the ambient temperature",
        measure: Measure::Resistance,
        meaning: "before it warms up",
        formula: "motor.resistance * (1 + alpha_20 * (axis.ambient_temperature - 20)) / (1 + alpha_20 * (motor.reference_temperature - 20))",
        source: "IEC 60028",
        shown: false,
        ..RESULT
    }, resistance_at_ambient;
    COEFFICIENT: TemperatureCoefficient = Outcome {
        id: "heat.coefficient",
        symbol: "β_a",
        label: "Temperature coefficient of copper at ambient",
        measure: Measure::PerKelvin,
        meaning: "how fast the resistance grows",
        formula: "alpha_20 / (1 + alpha_20 * (axis.ambient_temperature - 20))",
        source: "IEC 60028",
        shown: false,
        ..RESULT
    }, coefficient;
    THERMAL_RESISTANCE: ThermalResistance = Outcome {
        id: "heat.thermal_resistance",
        symbol: "R_th",
        label: "Thermal resistance, winding to ambient",
        measure: Measure::ThermalResistance,
        meaning: "kelvin for each watt of heat",
        formula: "motor.winding_to_housing + motor.housing_to_ambient",
        source: "series connection",
        shown: false,
        ..RESULT
    }, thermal_resistance;
    HOLD_CURRENT: ElectricCurrent = Outcome {
        id: "hold.current",
        symbol: "I_hold",
        label: "Current to hold in balance",
        measure: Measure::Current,
        meaning: "neither friction nor gear losses help",
        formula: "abs(axis.holding_torque) / (gears.exact_ratio * motor.torque_constant)",
        source: "statics of a gear train",
        ..RESULT
    }, hold_current;
    CURRENT_MOST: ElectricCurrent = Outcome {
        id: "hold.current_most",
        symbol: "I_settled",
        label: "Current where a loop stopped while lifting",
        measure: Measure::Current,
        meaning: "friction and gear losses against it",
        formula: "drive.current_at_load",
        source: "torque balance through the gears",
        ..RESULT
    }, current_most;
    CURRENT_LEAST: ElectricCurrent = Outcome {
        id: "hold.current_least",
        symbol: "I_relaxed",
        label: "Current that is enough once relaxed",
        measure: Measure::Current,
        meaning: "friction and gear losses hold with it",
        formula: "max(0, (abs(axis.holding_torque) - axis.friction_torque) * max(0, gears.back_driving_efficiency) / (gears.exact_ratio * motor.torque_constant) - motor.no_load_current)",
        source: "torque balance of a gear train on the point of being driven back",
        ..RESULT
    }, current_least;
    DWELL_CURRENT: ElectricCurrent = Outcome {
        id: "hold.dwell_current",
        symbol: "I_dwell",
        label: "Current while it holds, as chosen",
        measure: Measure::Current,
        meaning: "the one of the three that move.dwell_current names",
        formula: "hold.current",
        source: "definition",
        shown: false,
        ..RESULT
    }, dwell_current;
    HOLD_POWER: Power = Outcome {
        id: "hold.power",
        symbol: "P_hold",
        label: "Power to hold",
        measure: Measure::Power,
        meaning: "heat in the winding once it is warm",
        formula: "hold.dwell_current ^ 2 * heat.resistance_at_ambient / (1 - heat.coefficient * hold.dwell_current ^ 2 * heat.resistance_at_ambient * heat.thermal_resistance)",
        source: "steady heat balance of the two nodes",
        ..RESULT
    }, hold_power;
    CONTINUOUS_CURRENT: ElectricCurrent = Outcome {
        id: "heat.continuous_current",
        symbol: "I_cont",
        label: "Continuous current",
        measure: Measure::Current,
        meaning: "the winding bears it for ever",
        formula: "sqrt((motor.max_winding_temperature - axis.ambient_temperature) / (heat.resistance_at_ambient * (1 + heat.coefficient * (motor.max_winding_temperature - axis.ambient_temperature)) * heat.thermal_resistance))",
        source: "steady heat balance of the two nodes",
        ..RESULT
    }, continuous_current;
    CONTINUOUS_TORQUE: Torque = Outcome {
        id: "heat.continuous_torque",
        symbol: "T_cont",
        label: "Continuous torque at the output",
        measure: Measure::Torque,
        meaning: "turning, for ever, and not more than the gears take",
        formula: "min(gears.continuous_torque, gears.exact_ratio * gears.efficiency * motor.torque_constant * max(0, heat.continuous_current - motor.no_load_current))",
        source: "torque balance through the gears",
        ..RESULT
    }, continuous_torque;
    FRICTION_LOSS: Power = Outcome {
        id: "heat.friction_loss",
        symbol: "P_f",
        label: "Heat of the motor's friction",
        measure: Measure::Power,
        meaning: "mean over move and dwell, into the housing",
        formula: "motor.friction_torque * gears.exact_ratio * move.output_angle / (move.time + move.dwell)",
        source: "work of a constant torque",
        ..RESULT
    }, friction_loss;
    HEATING_CURRENT: ElectricCurrent = Outcome {
        id: "heat.heating_current",
        symbol: "I_heat",
        label: "Current that heats",
        measure: Measure::Current,
        meaning: "root mean square over the cycle, ripple included",
        formula: "sqrt(move.rms_current ^ 2 + bridge.ripple_current ^ 2 / 12)",
        source: "root mean square of a triangle",
        ..RESULT
    }, heating_current;
    WINDING_TEMPERATURE: ThermodynamicTemperature = Outcome {
        id: "heat.winding_temperature",
        symbol: "ϑ_w",
        label: "Mean temperature of the winding",
        measure: Measure::Temperature,
        meaning: "after hours of such cycles",
        formula: "axis.ambient_temperature + (heat.heating_current ^ 2 * heat.resistance_at_ambient * heat.thermal_resistance + heat.friction_loss * motor.housing_to_ambient) / (1 - heat.coefficient * heat.heating_current ^ 2 * heat.resistance_at_ambient * heat.thermal_resistance)",
        source: "steady heat balance of the two nodes",
        words: Some(winding_words),
        ..RESULT
    }, winding_temperature;
    WINDING_RESISTANCE: ElectricalResistance = Outcome {
        id: "heat.winding_resistance",
        symbol: "R_w",
        label: "Winding resistance at that temperature",
        measure: Measure::Resistance,
        meaning: "warm copper resists more",
        formula: "heat.resistance_at_ambient * (1 + heat.coefficient * (heat.winding_temperature - axis.ambient_temperature))",
        source: "IEC 60028",
        shown: false,
        ..RESULT
    }, winding_resistance;
    HOUSING_TEMPERATURE: ThermodynamicTemperature = Outcome {
        id: "heat.housing_temperature",
        symbol: "ϑ_h",
        label: "Temperature of the housing",
        measure: Measure::Temperature,
        meaning: "after hours of such cycles",
        formula: "axis.ambient_temperature + motor.housing_to_ambient * (heat.heating_current ^ 2 * heat.winding_resistance + heat.friction_loss)",
        source: "steady heat balance of the two nodes",
        ..RESULT
    }, housing_temperature;
    MOVE_LOSS: Power = Outcome {
        id: "heat.move_loss",
        symbol: "P_m",
        label: "Heat of the winding in the move",
        measure: Measure::Power,
        meaning: "the warmer one of the moves in the cycle",
        formula: "(move.against_rms ^ 2 + bridge.ripple_current ^ 2 / 12) * heat.winding_resistance",
        source: "Joule's law",
        shown: false,
        ..RESULT
    }, move_loss;
    DWELL_LOSS: Power = Outcome {
        id: "heat.dwell_loss",
        symbol: "P_d",
        label: "Heat of the winding while it holds",
        measure: Measure::Power,
        meaning: "between the moves",
        formula: "(hold.dwell_current ^ 2 + bridge.ripple_current ^ 2 / 12) * heat.winding_resistance",
        source: "Joule's law",
        shown: false,
        ..RESULT
    }, dwell_loss;
    CYCLE_PEAK_TEMPERATURE: ThermodynamicTemperature = Outcome {
        id: "heat.cycle_peak_temperature",
        symbol: "ϑ_peak",
        label: "Peak temperature of the winding",
        measure: Measure::Temperature,
        meaning: "at its warmest moment in each cycle",
        formula: "heat.housing_temperature + motor.winding_to_housing * (heat.dwell_loss + (heat.move_loss - heat.dwell_loss) * (1 - exp(-move.time / motor.winding_time_constant)) / (1 - exp(-(move.time + move.dwell) / motor.winding_time_constant)))",
        source: "steady cycling of one thermal time constant (Dubey, Fundamentals of Electrical Drives, 4.4)",
        words: Some(peak_words),
        ..RESULT
    }, cycle_peak_temperature;
    OVERHEAT_TIME: Time = Outcome {
        id: "heat.overheat_time",
        symbol: "t_over",
        label: "Time until such cycles bring the winding to its limit",
        measure: Measure::Time,
        meaning: "from cold",
        formula: "'from cold until the winding is at its limit, two nodes'",
        source: "linear system of two nodes",
        shown: false,
        ..RESULT
    }, overheat_time;
    HOLD_TIME: Time = Outcome {
        id: "heat.hold_time",
        symbol: "t_hold",
        label: "Time it can hold",
        measure: Measure::Time,
        meaning: "from cold until the winding is at its limit",
        formula: "'from cold until the winding is at its limit, two nodes'",
        source: "linear system of two nodes",
        ..RESULT
    }, hold_time;
    HOLD_TIME_MOST: Time = Outcome {
        id: "heat.hold_time_most",
        symbol: "t_most",
        label: "Time it can hold where a loop stopped while lifting",
        measure: Measure::Time,
        meaning: "from cold until the winding is at its limit",
        formula: "'from cold until the winding is at its limit, two nodes'",
        source: "linear system of two nodes",
        ..RESULT
    }, hold_time_most;
    STALL_TIME: Time = Outcome {
        id: "heat.stall_time",
        symbol: "t_stall",
        label: "Time it can stall",
        measure: Measure::Time,
        meaning: "from cold until the winding is at its limit",
        formula: "'from cold until the winding is at its limit, two nodes; the current falls as the copper warms'",
        source: "linear system of two nodes",
        ..RESULT
    }, stall_time;
    TOUCH_TEMPERATURE: ThermodynamicTemperature = Outcome {
        id: "heat.touch_temperature",
        symbol: "ϑ_touch",
        label: "Temperature to the touch",
        measure: Measure::Temperature,
        meaning: "how long bare metal may be touched",
        formula: "heat.housing_temperature",
        source: "ISO 13732-1, bare metal (from memory)",
        words: Some(touch_words),
        ..RESULT
    }, touch_temperature;
}

/// Why a temperature is not there.
const NO_EQUILIBRIUM: Absent = Absent::impossible(
    "no thermal equilibrium, the copper loss grows faster than the heat flows off",
);

/// The motor as two thermal nodes.
///
/// # Errors
/// Why one of its figures is not there.
pub fn model<'c>(c: &'c Eval<'_>) -> Result<&'c ThermalModel, Absent> {
    c.part(&c.parts.thermal_model, |c| {
        Ok(ThermalModel {
            resistance: c.get(RESISTANCE_AT_AMBIENT)?,
            coefficient: c.get(COEFFICIENT)?,
            ambient: c.get(axis::AMBIENT_TEMPERATURE)?,
            winding_to_housing: c.get(motor::WINDING_TO_HOUSING)?,
            housing_to_ambient: c.get(motor::HOUSING_TO_AMBIENT)?,
            winding_time_constant: c.get(motor::WINDING_TIME_CONSTANT)?,
            housing_time_constant: c.get(motor::HOUSING_TIME_CONSTANT)?,
        })
    })
}

/// Winding resistance at a temperature.
///
/// # Errors
/// Why the resistance is not there.
pub fn winding_resistance_at(
    c: &Eval<'_>,
    temperature: ThermodynamicTemperature,
) -> Result<ElectricalResistance, Absent> {
    Ok(formulas::resistance_at(
        c.get(RESISTANCE_AT_AMBIENT)?,
        c.get(COEFFICIENT)?,
        c.get(axis::AMBIENT_TEMPERATURE)?,
        temperature,
    ))
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
    .ok_or(BEYOND)
}

fn current_most(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    c.get(drive::CURRENT_AT_LOAD)
}

fn current_least(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::relaxed_current(
        drive::gearing(c)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(axis::HOLDING_TORQUE)?,
        c.get(axis::FRICTION_TORQUE)?,
        c.get(motor::NO_LOAD_CURRENT)?,
    )
    .ok_or(BEYOND)
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
    formulas::hold_power(model(c)?, c.get(DWELL_CURRENT)?).map_err(|_| NO_EQUILIBRIUM)
}

fn continuous_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(formulas::continuous_current(
        model(c)?,
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
    c.part(&c.parts.equilibrium, |c| {
        formulas::equilibrium(model(c)?, c.get(HEATING_CURRENT)?, c.get(FRICTION_LOSS)?)
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
        model(c)?,
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
        model(c)?,
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
        model(c)?,
        c.get(current)?.abs(),
        c.get(motor::MAX_WINDING_TEMPERATURE)?,
    ))
}

fn overheat_time(c: &Eval<'_>) -> Result<Time, Absent> {
    until_hot(formulas::cycling_time(
        model(c)?,
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
        model(c)?,
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
    let show = |index| crate::report::display(c, index, 3);
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
            &c.manner.said(Measure::Temperature, housing.value, 3),
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
        room: hold_heat_room,
    },
    Check {
        id: "check.cycle_heat",
        label: "Warmth of the cycle",
        under: "repeated for hours, such cycles are too much for the winding: {heat.cycle_peak_temperature}",
        station: Station::Heat,
        measure: Measure::TemperatureRise,
        room: cycle_heat_room,
    },
];

fn hold_heat_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    Ok(Some(Room::of(
        c.get(CONTINUOUS_CURRENT)?,
        c.get(DWELL_CURRENT)?.abs(),
    )))
}

fn cycle_heat_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let ambient = c.get(axis::AMBIENT_TEMPERATURE)?.value;
    match c.get(CYCLE_PEAK_TEMPERATURE) {
        Ok(peak) => Ok(Some(Room::of(
            c.get(motor::MAX_WINDING_TEMPERATURE)?.value - ambient,
            peak.value - ambient,
        ))),
        // Without an equilibrium there is no temperature; the currents still say how far off it is.
        Err(absent) if absent == NO_EQUILIBRIUM => Ok(Some(Room {
            measure: Some(Measure::Current),
            at_best: Status::Under,
            ..Room::of(c.get(CONTINUOUS_CURRENT)?, c.get(HEATING_CURRENT)?)
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
    encoder::under(hold_heat_room(c)?)
}

fn cycle_overheats(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let _ = c.get(CYCLE_PEAK_TEMPERATURE)?;
    encoder::under(cycle_heat_room(c)?)
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
