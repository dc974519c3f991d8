//! The motor on this supply.

use pulsewright_calc::drive as formulas;
use pulsewright_calc::gears::Gearing;
use pulsewright_calc::units::{
    AngularAcceleration, AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance,
    Force, Length, Mass, MotorConstant, ThermodynamicTemperature, Torque,
};

use super::axis::Kind;
use super::movement::YesNo;
use super::{
    Key, Outcome, RESULT, Station, axis, bridge, encoder, gears, heat, motor, movement,
    position_loop, supply, wiring,
};
use crate::check::{Case, Check, Room};
use crate::eval::{Absent, BEYOND, Code, Eval};
use crate::finding::{Finding, Severity};
use crate::unit::Measure;

inputs! {
    after super::wiring;

}

results! {
    after super::wiring;

    LOWEST_VOLTAGE: ElectricPotential = Outcome {
        id: "drive.lowest_voltage",
        symbol: "V_least",
        label: "Lowest supply voltage in effect",
        measure: Measure::Voltage,
        meaning: "speed, torque and the move must do with it",
        formula: "supply.voltage",
        source: "given, else the supply voltage",
        shown: false,
        ..RESULT
    }, lowest_voltage;
    HIGHEST_VOLTAGE: ElectricPotential = Outcome {
        id: "drive.highest_voltage",
        symbol: "V_most",
        label: "Highest supply voltage in effect",
        measure: Measure::Voltage,
        meaning: "a jam and a reversal get it",
        formula: "supply.voltage",
        source: "given, else the supply voltage",
        shown: false,
        ..RESULT
    }, highest_voltage;
    MOTOR_RESISTANCE: ElectricalResistance = Outcome {
        id: "drive.motor_resistance",
        symbol: "R_m",
        label: "Resistance of motor and bridge",
        measure: Measure::Resistance,
        meaning: "behind the bulk capacitor, cold",
        formula: "motor.resistance + bridge.resistance",
        source: "series connection",
        shown: false,
        ..RESULT
    }, motor_resistance;
    SUPPLY_PATH: ElectricalResistance = Outcome {
        id: "drive.supply_path_resistance",
        symbol: "R_s",
        label: "Resistance of source and cable",
        measure: Measure::Resistance,
        meaning: "before the bulk capacitor",
        formula: "supply.source_resistance + wiring.supply_resistance",
        source: "series connection",
        shown: false,
        ..RESULT
    }, supply_path;
    TOTAL_RESISTANCE: ElectricalResistance = Outcome {
        id: "drive.total_resistance",
        symbol: "R_total",
        label: "Resistance of the whole path",
        measure: Measure::Resistance,
        meaning: "winding, bridge, cable and source",
        formula: "drive.motor_resistance + drive.supply_path_resistance",
        source: "series connection",
        ..RESULT
    }, total_resistance;
    TOP_SPEED: AngularVelocity = Outcome {
        id: "drive.top_speed",
        symbol: "ω_top",
        label: "Top speed at the output",
        measure: Measure::Speed,
        meaning: "at the highest supply voltage, no load",
        formula: "max(0, drive.highest_voltage - motor.no_load_current * drive.total_resistance) / (motor.back_emf_constant * gears.exact_ratio)",
        source: "voltage equation in steady state",
        shown: false,
        ..RESULT
    }, top_speed;
    NO_LOAD_SPEED: AngularVelocity = Outcome {
        id: "drive.no_load_speed",
        symbol: "ω_free",
        label: "No-load speed at the output",
        measure: Measure::Speed,
        meaning: "cold, at full duty, nothing attached",
        formula: "max(0, supply.voltage - motor.no_load_current * drive.total_resistance) / (motor.back_emf_constant * gears.exact_ratio)",
        source: "voltage equation in steady state",
        ..RESULT
    }, no_load_speed;
    STALL_CURRENT: ElectricCurrent = Outcome {
        id: "drive.stall_current",
        symbol: "I_s",
        label: "Stall current on this supply",
        measure: Measure::Current,
        meaning: "cold, at full duty, shaft held",
        formula: "supply.voltage / drive.total_resistance",
        source: "Ohm's law at standstill",
        ..RESULT
    }, stall_current;
    STALL_TORQUE: Torque = Outcome {
        id: "drive.stall_torque",
        symbol: "T_s",
        label: "Stall torque on this supply",
        measure: Measure::Torque,
        meaning: "cold, for a moment: not torque that can be held",
        formula: "gears.exact_ratio * gears.efficiency * motor.torque_constant * (drive.stall_current - motor.no_load_current)",
        source: "torque balance at standstill",
        ..RESULT
    }, stall_torque;
    CURRENT_AT_LOAD: ElectricCurrent = Outcome {
        id: "drive.current_at_load",
        symbol: "I_load",
        label: "Current with the load",
        measure: Measure::Current,
        meaning: "moving steadily against it",
        formula: "axis.load_torque / (gears.exact_ratio * gears.efficiency * motor.torque_constant) + motor.no_load_current",
        source: "torque balance through the gears",
        ..RESULT
    }, current_at_load;
    SPEED_AT_LOAD: AngularVelocity = Outcome {
        id: "drive.speed_at_load",
        symbol: "ω_load",
        label: "Speed with the load",
        measure: Measure::Speed,
        meaning: "at the output, cold, at full duty",
        formula: "max(0, supply.voltage - drive.current_at_load * drive.total_resistance) / (motor.back_emf_constant * gears.exact_ratio)",
        source: "voltage equation in steady state",
        ..RESULT
    }, speed_at_load;
    FORCE_AT_RADIUS: Force = Outcome {
        id: "drive.force_at_radius",
        symbol: "F_s",
        label: "Force of the stall torque at the radius",
        measure: Measure::Force,
        meaning: "before the losses of belt, rack or screw",
        formula: "drive.stall_torque * axis.last_stage * axis.reduction_efficiency / axis.radius",
        source: "statics of the lever",
        ..RESULT
    }, force_at_radius;
    MASS_BALANCED: Mass = Outcome {
        id: "drive.mass_balanced",
        symbol: "m_s",
        label: "Mass that this force balances",
        measure: Measure::Mass,
        meaning: "for a moment, hung straight down",
        formula: "drive.force_at_radius / g",
        source: "definition of weight",
        ..RESULT
    }, mass_balanced;
    REVERSAL_CURRENT: ElectricCurrent = Outcome {
        id: "drive.reversal_current",
        symbol: "I_rev",
        label: "Current of a reversal at full speed",
        measure: Measure::Current,
        meaning: "the first milliseconds come from the bulk capacitor",
        formula: "(drive.highest_voltage + motor.back_emf_constant * drive.top_speed * gears.exact_ratio) / drive.motor_resistance",
        source: "voltage equation of a permanent-magnet motor, inductance left out",
        ..RESULT
    }, reversal_current;
    HOT_WINDING: ElectricalResistance = Outcome {
        id: "drive.winding_resistance_hot",
        symbol: "R_hot",
        label: "Winding resistance when warm",
        measure: Measure::Resistance,
        meaning: "at the cycle's winding temperature, at most at its limit",
        formula: "heat.resistance_at_ambient * (1 + heat.coefficient * (min(heat.winding_temperature, motor.max_winding_temperature) - axis.ambient_temperature))",
        source: "IEC 60028",
        ..RESULT
    }, hot_winding;
    TOTAL_RESISTANCE_HOT: ElectricalResistance = Outcome {
        id: "drive.total_resistance_hot",
        symbol: "R_totalhot",
        label: "Resistance of the whole path when warm",
        measure: Measure::Resistance,
        meaning: "winding warm, the rest as it is",
        formula: "drive.winding_resistance_hot + bridge.resistance + drive.supply_path_resistance",
        source: "series connection",
        shown: false,
        ..RESULT
    }, total_resistance_hot;
    TORQUE_CONSTANT_HOT: MotorConstant = Outcome {
        id: "drive.torque_constant_hot",
        symbol: "K_hot",
        label: "Torque and back-EMF constant when warm",
        measure: Measure::MotorConstant,
        meaning: "warm magnets are weaker",
        formula: "motor.torque_constant * (1 + motor.flux_coefficient * (min(heat.housing_temperature, motor.max_winding_temperature) - motor.reference_temperature))",
        source: "linear reversible coefficient of remanence (common practice, no source)",
        ..RESULT
    }, torque_constant_hot;
    STALL_CURRENT_HOT: ElectricCurrent = Outcome {
        id: "drive.stall_current_hot",
        symbol: "I_shot",
        label: "Stall current when warm",
        measure: Measure::Current,
        meaning: "at the lowest supply voltage",
        formula: "drive.lowest_voltage / drive.total_resistance_hot",
        source: "Ohm's law at standstill",
        shown: false,
        ..RESULT
    }, stall_current_hot;
    STALL_TORQUE_HOT: Torque = Outcome {
        id: "drive.stall_torque_hot",
        symbol: "T_shot",
        label: "Stall torque when warm",
        measure: Measure::Torque,
        meaning: "at the lowest supply voltage",
        formula: "gears.exact_ratio * gears.efficiency * drive.torque_constant_hot * (drive.stall_current_hot - motor.no_load_current)",
        source: "torque balance at standstill",
        ..RESULT
    }, stall_torque_hot;
    CURRENT_AT_LOAD_HOT: ElectricCurrent = Outcome {
        id: "drive.current_at_load_hot",
        symbol: "I_loadhot",
        label: "Current with the load when warm",
        measure: Measure::Current,
        meaning: "weaker magnets take more of it",
        formula: "axis.load_torque / (gears.exact_ratio * gears.efficiency * drive.torque_constant_hot) + motor.no_load_current",
        source: "torque balance through the gears",
        shown: false,
        ..RESULT
    }, current_at_load_hot;
    SPEED_AT_LOAD_HOT: AngularVelocity = Outcome {
        id: "drive.speed_at_load_hot",
        symbol: "ω_loadhot",
        label: "Speed with the load when warm",
        measure: Measure::Speed,
        meaning: "at the output and the lowest supply voltage",
        formula: "max(0, drive.lowest_voltage - drive.current_at_load_hot * drive.total_resistance_hot) / (drive.torque_constant_hot * gears.exact_ratio)",
        source: "voltage equation in steady state",
        ..RESULT
    }, speed_at_load_hot;
    PEAK_ACCELERATION: AngularAcceleration = Outcome {
        id: "drive.peak_acceleration",
        symbol: "α_s",
        label: "Greatest acceleration from rest",
        measure: Measure::AngularAcceleration,
        meaning: "at the output, against the load",
        formula: "(drive.stall_torque - axis.load_torque) / (axis.load_inertia + gears.efficiency * axis.reflected_inertia)",
        source: "equation of motion of a geared load",
        ..RESULT
    }, peak_acceleration;
    CURRENT_LIMIT: ElectricCurrent = Outcome {
        id: "drive.current_limit",
        symbol: "I_lim",
        label: "Current limit in effect",
        measure: Measure::Current,
        meaning: "the lower one of bridge and loop",
        formula: "bridge.current_limit",
        source: "definition",
        shown: false,
        ..RESULT
    }, current_limit;
    AVAILABLE_TORQUE: Torque = Outcome {
        id: "drive.available_torque",
        symbol: "T_avail",
        label: "Torque within the current limit, when warm",
        measure: Measure::Torque,
        meaning: "what a move can count on",
        formula: "gears.exact_ratio * gears.efficiency * drive.torque_constant_hot * (min(drive.stall_current_hot, drive.current_limit) - motor.no_load_current)",
        source: "torque balance at standstill",
        ..RESULT
    }, available_torque;
    GREATEST_STALL_CURRENT: ElectricCurrent = Outcome {
        id: "drive.greatest_stall_current",
        symbol: "I_smax",
        label: "Stall current at the highest supply voltage",
        measure: Measure::Current,
        meaning: "cold, before any current limit",
        formula: "drive.highest_voltage / drive.total_resistance",
        source: "Ohm's law at standstill",
        shown: false,
        ..RESULT
    }, greatest_stall_current;
    BLOCKED_CURRENT: ElectricCurrent = Outcome {
        id: "drive.blocked_current",
        symbol: "I_jam",
        label: "Current of a jam",
        measure: Measure::Current,
        meaning: "a position loop asks full voltage when it is blocked",
        formula: "min(drive.current_limit, drive.greatest_stall_current)",
        source: "Ohm's law at standstill",
        ..RESULT
    }, blocked_current;
    BLOCKED_TORQUE: Torque = Outcome {
        id: "drive.blocked_torque",
        symbol: "T_jam",
        label: "Torque of a jam",
        measure: Measure::Torque,
        meaning: "what the teeth feel then",
        formula: "gears.exact_ratio * gears.efficiency * motor.torque_constant * (drive.blocked_current - motor.no_load_current)",
        source: "torque balance at standstill",
        ..RESULT
    }, blocked_torque;
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

/// The gears as torques see them.
///
/// # Errors
/// Why ratio or efficiency is not there.
pub fn gearing(c: &Eval<'_>) -> Result<Gearing, Absent> {
    Ok(Gearing {
        ratio: c.get(gears::RATIO_NOW)?,
        efficiency: c.get(gears::EFFICIENCY_NOW)?,
        back_driving_efficiency: c.get(gears::BACK_EFFICIENCY)?,
    })
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
    .ok_or(BEYOND)
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
    formulas::stall_current(c.get(supply::VOLTAGE)?, c.get(TOTAL_RESISTANCE)?).ok_or(BEYOND)
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
    .ok_or(BEYOND)
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
    formulas::force_at_radius(c.get(STALL_TORQUE)? * passed.value, radius).ok_or(BEYOND)
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
    .ok_or(BEYOND)
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
    heat::winding_resistance_at(c, temperature)
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
    formulas::stall_current(c.get(LOWEST_VOLTAGE)?, c.get(TOTAL_RESISTANCE_HOT)?).ok_or(BEYOND)
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
    .ok_or(BEYOND)
}

fn peak_acceleration(c: &Eval<'_>) -> Result<AngularAcceleration, Absent> {
    if !c.left_out_now(axis::REDUCTION) {
        c.working("(drive.stall_torque - axis.load_torque) / (axis.load_inertia / axis.reduction_efficiency + gears.efficiency * axis.reflected_inertia)");
    }
    formulas::peak_acceleration(
        c.get(STALL_TORQUE)?,
        c.get(axis::LOAD_TORQUE)?,
        c.get(axis::LOAD_INERTIA)? / axis::last_stage_efficiency(c)?.value,
        c.get(axis::REFLECTED_INERTIA)?,
        c.get(gears::EFFICIENCY_NOW)?,
    )
    .ok_or(BEYOND)
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
    formulas::stall_current(c.get(HIGHEST_VOLTAGE)?, c.get(TOTAL_RESISTANCE)?).ok_or(BEYOND)
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
        room: torque_room,
    },
    Check {
        id: "check.speed",
        label: "Speed with the load",
        under: "the move needs {move.peak_speed}, the warm motor makes {drive.speed_at_load_hot} with this load",
        station: Station::Drive,
        measure: Measure::Speed,
        room: speed_room,
    },
    Check {
        id: "check.follow",
        label: "Voltage for the move",
        under: "the worst moment of the move leaves {move.voltage_margin} of {drive.lowest_voltage}",
        station: Station::Drive,
        measure: Measure::Voltage,
        room: follow_room,
    },
    Check {
        id: "check.gear_hold",
        label: "Torque that the gears take for ever",
        under: "holding asks {axis.holding_torque} and the cycle {move.rms_torque}, the gears take {gears.continuous_torque}",
        station: Station::Gears,
        measure: Measure::Torque,
        room: gear_hold_room,
    },
    Check {
        id: "check.gear_peak",
        label: "Torque that the teeth take at most",
        under: "the move asks {move.peak_torque} and a jam {drive.blocked_torque}, the teeth take {gears.peak_torque}: limit the current to {gears.safe_current}",
        station: Station::Gears,
        measure: Measure::Torque,
        room: gear_peak_room,
    },
];

fn torque_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    Ok(Some(Room::of(
        c.get(AVAILABLE_TORQUE)?,
        c.get(movement::PEAK_TORQUE)?,
    )))
}

fn speed_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    Ok(Some(Room::of(
        c.get(SPEED_AT_LOAD_HOT)?,
        c.get(movement::PEAK_SPEED)?,
    )))
}

fn follow_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let voltage = c.get(LOWEST_VOLTAGE)?;
    let need = voltage - c.get(movement::VOLTAGE_MARGIN)?;
    Ok(Some(Room::of(voltage, need)))
}

fn gear_hold_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let (held, moved) = (
        c.get(axis::HOLDING_TORQUE)?.abs(),
        c.get(movement::RMS_TORQUE)?,
    );
    let capability = c.get(gears::CONTINUOUS_TORQUE)?;
    Ok(Some(if held >= moved {
        Room::of(capability, held).in_case(Case::Hold)
    } else {
        Room::of(capability, moved).in_case(Case::Move)
    }))
}

fn gear_peak_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let (moved, blocked) = (c.get(movement::PEAK_TORQUE)?, c.get(BLOCKED_TORQUE)?);
    let capability = c.get(gears::PEAK_TORQUE)?;
    Ok(Some(if blocked > moved {
        Room::of(capability, blocked).in_case(Case::Blocked)
    } else {
        Room::of(capability, moved).in_case(Case::Move)
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
    Ok(encoder::under(follow_room(c)?)?.or(encoder::under(speed_room(c)?)?))
}

fn gears_overloaded(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok(encoder::under(gear_hold_room(c)?)?.or(encoder::under(gear_peak_room(c)?)?))
}

fn reversal_overcurrent(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let reverses = c.get(movement::REVERSES_AT_SPEED)? == YesNo::Yes;
    let over = c.get(REVERSAL_CURRENT)? > c.get(bridge::CURRENT_LIMIT)?;
    Ok((reverses && over).then_some(Severity::Fault))
}
