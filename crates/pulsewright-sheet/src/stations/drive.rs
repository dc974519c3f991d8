//! The motor on this supply.

use super::shared::{gearing, last_stage_efficiency, under, winding_resistance_at};
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Check, LoadCase, Margin};
use crate::evaluation::{Finding, Severity};
use crate::register::Kind;
use crate::register::YesNo;
use crate::register::drive::*;
use crate::register::{
    Key, Station, axis, bridge, gears, heat, motor, movement, position_loop, supply, wiring,
};
use crate::text::measure::Measure;
use pulsewright_calc::drive as formulas;
use pulsewright_calc::units::{
    AngularAcceleration, AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance,
    Force, Length, Mass, MotorConstant, ThermodynamicTemperature, Torque,
};

station! { drive;
    results {
        LOWEST_VOLTAGE = lowest_voltage;
        HIGHEST_VOLTAGE = highest_voltage;
        MOTOR_RESISTANCE = motor_resistance;
        SUPPLY_PATH = supply_path;
        TOTAL_RESISTANCE = total_resistance;
        TOP_SPEED = top_speed;
        NO_LOAD_SPEED = no_load_speed;
        STALL_CURRENT = stall_current;
        STALL_TORQUE = stall_torque;
        CURRENT_AT_LOAD = current_at_load;
        SPEED_AT_LOAD = speed_at_load;
        FORCE_AT_RADIUS = force_at_radius;
        MASS_BALANCED = mass_balanced;
        REVERSAL_CURRENT = reversal_current;
        HOT_WINDING = hot_winding;
        TOTAL_RESISTANCE_HOT = total_resistance_hot;
        TORQUE_CONSTANT_HOT = torque_constant_hot;
        STALL_CURRENT_HOT = stall_current_hot;
        STALL_TORQUE_HOT = stall_torque_hot;
        CURRENT_AT_LOAD_HOT = current_at_load_hot;
        SPEED_AT_LOAD_HOT = speed_at_load_hot;
        PEAK_ACCELERATION = peak_acceleration;
        CURRENT_LIMIT = current_limit;
        AVAILABLE_TORQUE = available_torque;
        GREATEST_STALL_CURRENT = greatest_stall_current;
        BLOCKED_CURRENT = blocked_current;
        BLOCKED_TORQUE = blocked_torque;
    }
}

fn at_extreme(
    c: &Eval<'_>,
    extreme: Key<ElectricPotential>,
    working: &'static str,
) -> Result<ElectricPotential, Absent> {
    match c.option(extreme)? {
        Some(voltage) => {
            c.working(working);
            Ok(voltage)
        }
        None => c.get(supply::VOLTAGE),
    }
}

fn lowest_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    at_extreme(c, supply::LOWEST_VOLTAGE, "supply.lowest_voltage")
}

fn highest_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    at_extreme(c, supply::HIGHEST_VOLTAGE, "supply.highest_voltage")
}

fn motor_resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(c.get(motor::RESISTANCE)? + c.get(bridge::RESISTANCE)?)
}

fn supply_path(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(c.get(supply::SOURCE_RESISTANCE)? + c.get(wiring::SUPPLY_RESISTANCE)?)
}

fn total_resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(c.get(MOTOR_RESISTANCE)? + c.get(SUPPLY_PATH)?)
}

/// Output speed at full duty of a voltage and a current, cold.
fn cold_speed(
    c: &Eval<'_>,
    voltage: ElectricPotential,
    current: ElectricCurrent,
) -> Result<AngularVelocity, Absent> {
    formulas::speed_at_current(
        voltage,
        current,
        c.get(TOTAL_RESISTANCE)?,
        c.get(motor::BACK_EMF_CONSTANT)?,
        c.get(gears::RATIO_NOW)?,
    )
    .ok_or(NOT_FINITE)
}

/// Output torque of a current at standstill.
fn torque_of(
    c: &Eval<'_>,
    constant: Key<MotorConstant>,
    current: ElectricCurrent,
) -> Result<Torque, Absent> {
    Ok(formulas::stall_torque(
        c.get(gears::RATIO_NOW)?,
        c.get(gears::EFFICIENCY_NOW)?,
        c.get(constant)?,
        current,
        c.get(motor::NO_LOAD_CURRENT)?,
    ))
}

fn top_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    cold_speed(c, c.get(HIGHEST_VOLTAGE)?, c.get(motor::NO_LOAD_CURRENT)?)
}

fn no_load_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    cold_speed(c, c.get(supply::VOLTAGE)?, c.get(motor::NO_LOAD_CURRENT)?)
}

fn stall_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::stall_current(c.get(supply::VOLTAGE)?, c.get(TOTAL_RESISTANCE)?).ok_or(NOT_FINITE)
}

fn stall_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    torque_of(c, motor::TORQUE_CONSTANT, c.get(STALL_CURRENT)?)
}

fn current_with(
    c: &Eval<'_>,
    constant: Key<MotorConstant>,
    helped: &'static str,
) -> Result<ElectricCurrent, Absent> {
    let load = c.get(axis::LOAD_TORQUE)?;
    if load.value < 0.0 {
        c.working(helped);
    }
    formulas::current_at_load(
        gearing(c)?,
        load,
        c.get(constant)?,
        c.get(motor::NO_LOAD_CURRENT)?,
    )
    .ok_or(NOT_FINITE)
}

fn current_at_load(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    current_with(
        c,
        motor::TORQUE_CONSTANT,
        "axis.load_torque * gears.back_driving_efficiency / (gears.exact_ratio * motor.torque_constant) + motor.no_load_current",
    )
}

fn speed_at_load(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    cold_speed(c, c.get(supply::VOLTAGE)?, c.get(CURRENT_AT_LOAD)?)
}

fn force_at_radius(c: &Eval<'_>) -> Result<Force, Absent> {
    let radius: Length = match c.get(axis::KIND)? {
        Kind::Torque => {
            return Err(Absent::not_asked("a torque given has no radius"));
        }
        Kind::Screw => return Err(Absent::not_asked("a screw has no lever")),
        kind if kind.is_linear() => {
            c.working("drive.stall_torque * axis.last_stage * axis.reduction_efficiency * 2 * pi / axis.travel_per_turn");
            pulsewright_calc::axis::effective_radius(c.get(axis::TURN_TRAVEL)?)
        }
        _ => c.get(axis::RADIUS)?,
    };
    let passed = c.get(axis::LAST_STAGE_NOW)? * c.get(axis::REDUCTION_EFFICIENCY)?;
    formulas::force_at_radius(c.get(STALL_TORQUE)? * passed.value, radius).ok_or(NOT_FINITE)
}

fn mass_balanced(c: &Eval<'_>) -> Result<Mass, Absent> {
    Ok(formulas::mass_balanced(c.get(FORCE_AT_RADIUS)?))
}

fn reversal_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::reversal_current(
        c.get(HIGHEST_VOLTAGE)?,
        c.get(motor::BACK_EMF_CONSTANT)?,
        (c.get(TOP_SPEED)? * c.get(gears::RATIO_NOW)?).into(),
        c.get(MOTOR_RESISTANCE)?,
    )
    .ok_or(NOT_FINITE)
}

/// A temperature of the motor for a figure of the drive: at most the winding's limit, which also
/// stands in where no equilibrium is found.
fn capped(
    c: &Eval<'_>,
    key: Key<ThermodynamicTemperature>,
    at_limit: &'static str,
) -> Result<ThermodynamicTemperature, Absent> {
    let limit = c.get(motor::MAX_WINDING_TEMPERATURE)?;
    match c.get(key) {
        Ok(temperature) => Ok(temperature.min(limit)),
        Err(absent) if absent.code == Code::Impossible => {
            c.working(at_limit);
            Ok(limit)
        }
        Err(absent) => Err(absent),
    }
}

fn hot_winding(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    let temperature = capped(
        c,
        heat::WINDING_TEMPERATURE,
        "heat.resistance_at_ambient * (1 + heat.coefficient * (motor.max_winding_temperature - axis.ambient_temperature))",
    )?;
    winding_resistance_at(c, temperature)
}

fn total_resistance_hot(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(c.get(HOT_WINDING)? + c.get(bridge::RESISTANCE)? + c.get(SUPPLY_PATH)?)
}

fn torque_constant_hot(c: &Eval<'_>) -> Result<MotorConstant, Absent> {
    let housing = capped(
        c,
        heat::HOUSING_TEMPERATURE,
        "motor.torque_constant * (1 + motor.flux_coefficient * (motor.max_winding_temperature - motor.reference_temperature))",
    )?;
    let factor = pulsewright_calc::motor::flux_factor(
        c.get(motor::FLUX_COEFFICIENT)?,
        housing,
        c.get(motor::REFERENCE_TEMPERATURE)?,
    )
    .ok_or(Absent::impossible(
        "no flux would be left in the magnets at this temperature",
    ))?;
    Ok(c.get(motor::TORQUE_CONSTANT)? * factor)
}

fn stall_current_hot(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::stall_current(c.get(LOWEST_VOLTAGE)?, c.get(TOTAL_RESISTANCE_HOT)?).ok_or(NOT_FINITE)
}

fn stall_torque_hot(c: &Eval<'_>) -> Result<Torque, Absent> {
    torque_of(c, TORQUE_CONSTANT_HOT, c.get(STALL_CURRENT_HOT)?)
}

fn current_at_load_hot(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    current_with(
        c,
        TORQUE_CONSTANT_HOT,
        "axis.load_torque * gears.back_driving_efficiency / (gears.exact_ratio * drive.torque_constant_hot) + motor.no_load_current",
    )
}

fn speed_at_load_hot(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    formulas::speed_at_current(
        c.get(LOWEST_VOLTAGE)?,
        c.get(CURRENT_AT_LOAD_HOT)?,
        c.get(TOTAL_RESISTANCE_HOT)?,
        c.get(TORQUE_CONSTANT_HOT)?,
        c.get(gears::RATIO_NOW)?,
    )
    .ok_or(NOT_FINITE)
}

fn peak_acceleration(c: &Eval<'_>) -> Result<AngularAcceleration, Absent> {
    if !c.left_out_now(axis::REDUCTION) {
        c.working("(drive.stall_torque - axis.load_torque) / (axis.load_inertia / axis.reduction_efficiency + gears.efficiency * axis.reflected_inertia)");
    }
    formulas::peak_acceleration(
        c.get(STALL_TORQUE)?,
        c.get(axis::LOAD_TORQUE)?,
        c.get(axis::LOAD_INERTIA)? / last_stage_efficiency(c)?.value,
        c.get(axis::REFLECTED_INERTIA)?,
        c.get(gears::EFFICIENCY_NOW)?,
    )
    .ok_or(NOT_FINITE)
}

fn current_limit(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let bridge = c.get(bridge::CURRENT_LIMIT)?;
    Ok(match c.option(position_loop::CURRENT_LIMIT)? {
        Some(own) => {
            c.working("min(bridge.current_limit, loop.current_limit)");
            own.min(bridge)
        }
        None => bridge,
    })
}

fn available_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    let current = c.get(STALL_CURRENT_HOT)?.min(c.get(CURRENT_LIMIT)?);
    torque_of(c, TORQUE_CONSTANT_HOT, current)
}

fn greatest_stall_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::stall_current(c.get(HIGHEST_VOLTAGE)?, c.get(TOTAL_RESISTANCE)?).ok_or(NOT_FINITE)
}

fn blocked_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(pulsewright_calc::supply::blocked_current(
        c.get(CURRENT_LIMIT)?,
        c.get(HIGHEST_VOLTAGE)?,
        c.get(TOTAL_RESISTANCE)?,
    ))
}

fn blocked_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    torque_of(c, motor::TORQUE_CONSTANT, c.get(BLOCKED_CURRENT)?)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.torque",
        label: "Torque for the move",
        under: "the move needs {move.peak_torque}, the warm motor gives {drive.available_torque} within its current limit",
        station: Station::Drive,
        measure: Measure::Torque,
        margin: torque_check,
    },
    Check {
        id: "check.speed",
        label: "Speed with the load",
        under: "the move needs {move.peak_speed}, the warm motor makes {drive.speed_at_load_hot} with this load",
        station: Station::Drive,
        measure: Measure::Speed,
        margin: speed_check,
    },
    Check {
        id: "check.follow",
        label: "Voltage for the move",
        under: "the worst moment of the move leaves {move.voltage_margin} of {drive.lowest_voltage}",
        station: Station::Drive,
        measure: Measure::Voltage,
        margin: follow_check,
    },
    Check {
        id: "check.gear_hold",
        label: "Torque that the gears take for ever",
        under: "holding asks {axis.holding_torque} and the cycle {move.rms_torque}, the gears take {gears.continuous_torque}",
        station: Station::Gears,
        measure: Measure::Torque,
        margin: gear_hold_check,
    },
    Check {
        id: "check.gear_peak",
        label: "Torque that the teeth take at most",
        under: "the move asks {move.peak_torque} and a jam {drive.blocked_torque}, the teeth take {gears.peak_torque}: limit the current to {gears.safe_current}",
        station: Station::Gears,
        measure: Measure::Torque,
        margin: gear_peak_check,
    },
];

fn torque_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    Ok(Some(Margin::of(
        c.get(AVAILABLE_TORQUE)?,
        c.get(movement::PEAK_TORQUE)?,
    )))
}

fn speed_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    Ok(Some(Margin::of(
        c.get(SPEED_AT_LOAD_HOT)?,
        c.get(movement::PEAK_SPEED)?,
    )))
}

fn follow_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let voltage = c.get(LOWEST_VOLTAGE)?;
    let need = voltage - c.get(movement::VOLTAGE_MARGIN)?;
    Ok(Some(Margin::of(voltage, need)))
}

fn gear_hold_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let (held, moved) = (
        c.get(axis::HOLDING_TORQUE)?.abs(),
        c.get(movement::RMS_TORQUE)?,
    );
    let capability = c.get(gears::CONTINUOUS_TORQUE)?;
    Ok(Some(if held >= moved {
        Margin::of(capability, held).in_load_case(LoadCase::Hold)
    } else {
        Margin::of(capability, moved).in_load_case(LoadCase::Move)
    }))
}

fn gear_peak_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let (moved, blocked) = (c.get(movement::PEAK_TORQUE)?, c.get(BLOCKED_TORQUE)?);
    let capability = c.get(gears::PEAK_TORQUE)?;
    Ok(Some(if blocked > moved {
        Margin::of(capability, blocked).in_load_case(LoadCase::Blocked)
    } else {
        Margin::of(capability, moved).in_load_case(LoadCase::Move)
    }))
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "move_out_of_reach",
        station: Station::Drive,
        message: "The motor cannot make this move on this supply: it needs {move.peak_speed} at its peak, {drive.speed_at_load_hot} is what the warm motor makes with the load, and the worst moment leaves {move.voltage_margin}. Heat and supply figures are as demanded, not as achieved. Shortest time of this move: {move.shortest_time}.",
        numbers: &[
            "move.peak_speed",
            "drive.speed_at_load_hot",
            "move.voltage_margin",
        ],
        when: out_of_reach,
    },
    Finding {
        id: "gears_overloaded",
        station: Station::Gears,
        message: "The gears are overloaded: holding asks {axis.holding_torque}, the move {move.peak_torque} and a jam {drive.blocked_torque}; they take {gears.continuous_torque} for ever and {gears.peak_torque} at most. A current limit of {gears.safe_current} protects the teeth in a jam.",
        numbers: &[
            "axis.holding_torque",
            "move.rms_torque",
            "move.peak_torque",
            "drive.blocked_torque",
            "gears.continuous_torque",
            "gears.peak_torque",
            "gears.safe_current",
        ],
        when: gears_overloaded,
    },
    Finding {
        id: "reversal_overcurrent",
        station: Station::Drive,
        message: "A reversal at full speed draws {drive.reversal_current} for a moment, the bridge takes {bridge.current_limit}. Command a ramp, or brake first.",
        numbers: &["drive.reversal_current", "bridge.current_limit"],
        when: reversal_overcurrent,
    },
];

fn out_of_reach(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok(under(follow_check(c)?)?.or(under(speed_check(c)?)?))
}

fn gears_overloaded(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok(under(gear_hold_check(c)?)?.or(under(gear_peak_check(c)?)?))
}

fn reversal_overcurrent(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let reverses = c.get(movement::REVERSES_AT_SPEED)? == YesNo::Yes;
    let over = c.get(REVERSAL_CURRENT)? > c.get(bridge::CURRENT_LIMIT)?;
    Ok((reverses && over).then_some(Severity::Fault))
}
