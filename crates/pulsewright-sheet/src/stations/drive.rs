//! The motor on this supply.

use super::shared::{
    blocked_at, gearing, last_stage_efficiency, limit_in_effect, move_is_made, speed_margin,
    torque_margin, under, voltage_margin, winding_resistance_at,
};
use crate::evaluation::Tier;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Check, LoadCase, Margin, Status};
use crate::evaluation::{Finding, Severity};
use crate::register::Kind;
use crate::register::YesNo;
use crate::register::bridge::LimitKind;
use crate::register::drive::*;
use crate::register::{
    Key, Station, axis, bridge, gears, heat, motor, movement, position_loop, supply, wiring,
};
use crate::text::measure::Measure;
use pulsewright_calc::drive as formulas;
use pulsewright_calc::heat::Temperatures;
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
        HANGING_MASS = hanging_mass;
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
        MAX_STALL_CURRENT = max_stall_current;
        BLOCKED_CURRENT = blocked_current;
        UNLIMITED_CURRENT = unlimited_current;
        BLOCKED_TORQUE = blocked_torque;
    }
    words { CURRENT_AT_LOAD = current_words; }
}

/// A load that stalls the motor would take more than flows at stall.
fn current_words(c: &Eval<'_>) -> Option<String> {
    let (needed, flows) = (c.get(CURRENT_AT_LOAD).ok()?, c.get(STALL_CURRENT).ok()?);
    let said = |current: ElectricCurrent| c.notation.said(Measure::Current, current.value, 3);
    (needed > flows).then(|| [&said(needed), " needed, ", &said(flows), " at stall"].concat())
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
            return Err(Absent::not_asked(
                "with a load torque entered there is no arm length",
            ));
        }
        Kind::Screw => return Err(Absent::not_asked("a screw has no arm length")),
        kind if kind.is_linear() => {
            c.working("drive.stall_torque * axis.last_stage * axis.reduction_efficiency * 2 * pi / axis.travel_per_turn");
            pulsewright_calc::axis::effective_radius(c.get(axis::TURN_TRAVEL)?)
        }
        _ => c.get(axis::RADIUS)?,
    };
    let passed = c.get(axis::LAST_STAGE_NOW)? * c.get(axis::REDUCTION_EFFICIENCY)?;
    formulas::force_at_radius(c.get(STALL_TORQUE)? * passed.value, radius).ok_or(NOT_FINITE)
}

fn hanging_mass(c: &Eval<'_>) -> Result<Mass, Absent> {
    Ok(formulas::hanging_mass(c.get(FORCE_AT_RADIUS)?))
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
    part: impl Fn(&Temperatures) -> ThermodynamicTemperature,
    at_limit: &'static str,
) -> Result<ThermodynamicTemperature, Absent> {
    let limit = c.get(motor::MAX_WINDING_TEMPERATURE)?;
    match super::shared::equilibrium(c).map(part) {
        Ok(temperature) if temperature <= limit => {
            // Cycles that are too much for the winding have no temperatures to show.
            if c.get(heat::HOUSING_TEMPERATURE).is_err() {
                c.working("'at the housing temperature that such cycles lead to'");
            }
            Ok(temperature)
        }
        Ok(_) => {
            c.working(at_limit);
            Ok(limit)
        }
        Err(absent) if matches!(absent.code, Code::Impossible | Code::Waits) => {
            c.working(at_limit);
            Ok(limit)
        }
        Err(absent) => Err(absent),
    }
}

fn hot_winding(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    let temperature = capped(
        c,
        |warm| warm.winding,
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
        |warm| warm.housing,
        "motor.torque_constant * (1 + motor.flux_coefficient * (motor.max_winding_temperature - motor.reference_temperature))",
    )?;
    let factor = pulsewright_calc::motor::flux_factor(
        c.get(motor::FLUX_COEFFICIENT)?,
        housing,
        c.get(motor::REFERENCE_TEMPERATURE)?,
    )
    .ok_or(Absent::impossible(
        "the magnets would lose all flux at this temperature",
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
        c.get(supply::VOLTAGE_BESIDE_OTHERS)?,
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

/// The bridge's limit, where it limits at all.
fn limit_of_bridge(c: &Eval<'_>) -> Result<Option<ElectricCurrent>, Absent> {
    Ok(match c.get(bridge::LIMIT_KIND)? {
        LimitKind::None => None,
        LimitKind::Limits | LimitKind::ShutsDown => Some(c.get(bridge::CURRENT_LIMIT)?),
    })
}

fn current_limit(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    match (limit_of_bridge(c)?, c.option(position_loop::CURRENT_LIMIT)?) {
        (Some(bridge), Some(own)) => Ok(own.min(bridge)),
        (Some(bridge), None) => {
            c.working("bridge.current_limit");
            Ok(bridge)
        }
        (None, Some(own)) => {
            c.working("loop.current_limit");
            Ok(own)
        }
        (None, None) => Err(Absent::unlimited(
            "nothing limits the current: the driver has a maximum rating only",
        )),
    }
}

fn available_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    let stall = c.get(STALL_CURRENT_HOT)?;
    let current = match limit_in_effect(c)? {
        Some(limit) => {
            c.working("gears.exact_ratio * gears.efficiency * drive.torque_constant_hot * (min(drive.stall_current_hot, drive.current_limit) - motor.no_load_current)");
            stall.min(limit)
        }
        None => stall,
    };
    torque_of(c, TORQUE_CONSTANT_HOT, current)
}

fn max_stall_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::stall_current(c.get(HIGHEST_VOLTAGE)?, c.get(TOTAL_RESISTANCE)?).ok_or(NOT_FINITE)
}

fn blocked_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    if limit_in_effect(c)?.is_some() {
        c.working("min(drive.current_limit, loop.voltage_limit * drive.max_stall_current)");
    }
    let (voltage, resistance) = (c.get(HIGHEST_VOLTAGE)?, c.get(TOTAL_RESISTANCE)?);
    blocked_at(c, voltage, resistance, c.get(bridge::LIMIT_KIND)?)
}

fn unlimited_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    if c.option(position_loop::CURRENT_LIMIT)?.is_some() {
        c.working("min(loop.current_limit, loop.voltage_limit * drive.max_stall_current)");
    }
    let (voltage, resistance) = (c.get(HIGHEST_VOLTAGE)?, c.get(TOTAL_RESISTANCE)?);
    blocked_at(c, voltage, resistance, LimitKind::None)
}

fn blocked_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    torque_of(c, motor::TORQUE_CONSTANT, c.get(BLOCKED_CURRENT)?)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.torque",
        label: "Torque for the move",
        failing: "the motor stalls at {drive.stall_torque} on this supply, the move needs {move.peak_torque}{share}[; look for {need.stall_torque} at {need.no_load_speed}]",
        tier: Tier::Move,
        station: Station::Drive,
        measure: Measure::Torque,
        limit: false,
        margin: torque_check,
    },
    Check {
        id: "check.speed",
        label: "Speed under load",
        failing: "{drive.speed_at_load} available under this load, {move.peak_speed} needed{share}",
        tier: Tier::Move,
        station: Station::Drive,
        measure: Measure::Speed,
        limit: false,
        margin: speed_check,
    },
    Check {
        id: "check.voltage",
        label: "Voltage for the move",
        failing: "voltage headroom {move.voltage_margin} at a supply voltage of {drive.lowest_voltage}",
        tier: Tier::Move,
        station: Station::Drive,
        measure: Measure::Voltage,
        limit: false,
        margin: follow_check,
    },
    Check {
        id: "check.warm",
        label: "Torque and speed, motor warm",
        failing: "cold, the motor makes the move; warm, {drive.available_torque} and {drive.speed_at_load_hot} are available, {move.peak_torque} and {move.peak_speed} needed",
        tier: Tier::Heat,
        station: Station::Drive,
        measure: Measure::Torque,
        limit: false,
        margin: warm_check,
    },
    Check {
        id: "check.gear_continuous",
        label: "Gearbox continuous torque",
        failing: "the gears take {gears.continuous_torque} continuously; holding needs {axis.holding_torque}, the cycle {move.rms_torque} RMS",
        tier: Tier::Strength,
        station: Station::Gears,
        measure: Measure::Torque,
        limit: false,
        margin: gear_hold_check,
    },
    Check {
        id: "check.gear_peak",
        label: "Gearbox peak torque",
        failing: "the gears take {gears.peak_torque} at their peak; the move needs {move.peak_torque}, a stall gives {drive.blocked_torque}",
        tier: Tier::Strength,
        station: Station::Gears,
        measure: Measure::Torque,
        limit: false,
        margin: gear_peak_check,
    },
];

fn torque_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    torque_margin(c).map(Some)
}

/// A motor that cannot turn the load has no speed with it: what fails is the torque.
fn speed_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let margin = speed_margin(c)?;
    if margin.capability <= 0.0 {
        has_torque(c)?;
    }
    Ok(Some(margin))
}

fn follow_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    has_torque(c)?;
    voltage_margin(c).map(Some)
}

/// Whether the motor has the torque for the move, where one is asked against the load.
fn has_torque(c: &Eval<'_>) -> Result<(), Absent> {
    let with = c.get(movement::DIRECTION)? == movement::Direction::Lowering;
    if !with && torque_margin(c)?.status() == Status::Fails {
        return Err(Absent::waits(
            "waits: the motor has not the torque for this move",
        ));
    }
    Ok(())
}

/// What is left of torque, speed and voltage once the cycles have warmed the motor: the least of the three margins.
fn warm_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    move_is_made(c)?;
    let voltage = c.get(supply::VOLTAGE_BESIDE_OTHERS)?;
    let margins = [
        (
            Margin::of(c.get(AVAILABLE_TORQUE)?, c.get(movement::PEAK_TORQUE)?),
            Measure::Torque,
        ),
        (
            Margin::of(c.get(SPEED_AT_LOAD_HOT)?, c.get(movement::PEAK_SPEED)?),
            Measure::Speed,
        ),
        (
            Margin::of(voltage, voltage - c.get(movement::VOLTAGE_MARGIN)?),
            Measure::Voltage,
        ),
    ];
    let ratio = |margin: &Margin| margin.ratio().unwrap_or(f64::INFINITY);
    Ok(margins
        .into_iter()
        .reduce(|least, next| {
            if ratio(&next.0) < ratio(&least.0) {
                next
            } else {
                least
            }
        })
        .map(|(margin, measure)| Margin {
            measure: Some(measure),
            ..margin
        }))
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
        message: "The motor cannot make this move on this supply: {move.peak_speed} needed, {drive.speed_at_load_hot} available under load, warm. Voltage headroom: {move.voltage_margin}. Shortest move time: {move.shortest_time}.",
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
        message: "The gears are overloaded: holding needs {axis.holding_torque} and the cycle {move.rms_torque}, they take {gears.continuous_torque} continuously.",
        numbers: &[
            "axis.holding_torque",
            "move.rms_torque",
            "gears.continuous_torque",
        ],
        when: gears_overloaded,
    },
    Finding {
        id: "teeth_overloaded",
        station: Station::Gears,
        message: "The gears are overloaded: their peak torque is {gears.peak_torque}; the move needs {move.peak_torque}, a stall gives {drive.blocked_torque}. A current limit of {gears.safe_current} protects them at stall.",
        numbers: &[
            "move.peak_torque",
            "drive.blocked_torque",
            "gears.peak_torque",
            "gears.safe_current",
        ],
        when: teeth_overloaded_at_stall,
    },
    Finding {
        id: "teeth_overloaded",
        station: Station::Gears,
        message: "The gears are overloaded: their peak torque is {gears.peak_torque}; the move needs {move.peak_torque}. It takes stronger gears, a lighter load or more time.",
        numbers: &["move.peak_torque", "gears.peak_torque"],
        when: teeth_overloaded_by_the_move,
    },
    Finding {
        id: "reversal_overcurrent",
        station: Station::Drive,
        message: "A reversal at full speed draws {drive.reversal_current} for a moment. The driver current limit is {bridge.current_limit}. Command a ramp, or brake first.",
        numbers: &["drive.reversal_current", "bridge.current_limit"],
        when: reversal_overcurrent,
    },
];

fn out_of_reach(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(follow_check(c)?)
}

fn gears_overloaded(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(gear_hold_check(c)?)
}

fn teeth_overloaded_at_stall(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok(under(gear_peak_check(c)?)?.filter(|_| a_stall_overloads(c)))
}

fn teeth_overloaded_by_the_move(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok(under(gear_peak_check(c)?)?.filter(|_| !a_stall_overloads(c)))
}

/// Whether the torque of a stall is more than the gears take: then a current limit protects them.
fn a_stall_overloads(c: &Eval<'_>) -> bool {
    let peak = c.get(gears::PEAK_TORQUE);
    c.get(BLOCKED_TORQUE)
        .is_ok_and(|stall| peak.is_ok_and(|peak| stall > peak))
}

fn reversal_overcurrent(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let reverses = c.get(movement::REVERSES_AT_SPEED)? == YesNo::Yes;
    let over = c.get(REVERSAL_CURRENT)? > c.get(bridge::CURRENT_LIMIT)?;
    Ok((reverses && over).then_some(Severity::Fault))
}
