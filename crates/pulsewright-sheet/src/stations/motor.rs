//! The gear motor as bought.

use crate::analysis::remedy::classes::{self, CLASSES};
use crate::evaluation::Check;
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::evaluation::{Finding, Severity};
use crate::register::Station;
use crate::register::axis;
use crate::register::gears;
use crate::register::motor::*;
use pulsewright_calc::motor as formulas;
use pulsewright_calc::units::{
    AngularVelocity, ElectricCurrent, ElectricalResistance, MotorConstant, Ratio, Time, Torque,
    TorquePerMass,
};

station! { motor;
    results {
        SHAFT_SPEED = shaft_speed;
        RESISTANCE = resistance;
        BACK_EMF_CONSTANT = back_emf_constant;
        TORQUE_CONSTANT = torque_constant;
        FRICTION_TORQUE = friction_torque;
        MOTOR_CONSTANT = motor_constant;
        MECHANICAL_TIME_CONSTANT = mechanical_time_constant;
        ELECTRICAL_TIME_CONSTANT = electrical_time_constant;
        BEST_EFFICIENCY = best_efficiency;
        BEST_EFFICIENCY_CURRENT = best_efficiency_current;
        TORQUE_PER_MASS = torque_per_mass;
        STALL_RATIO = stall_ratio;
    }
    presets {
        CASE_DIAMETER = case_diameter;
        NO_LOAD_CURRENT = no_load_current;
        STALL_CURRENT = stall_current;
        INDUCTANCE = inductance;
    }
    limits {
        NO_LOAD_CURRENT: Below |c| c.before_limits(STALL_CURRENT), "the stall current", "the no-load current is less than the stall current";
        STALL_CURRENT: Above |c| c.before_limits(NO_LOAD_CURRENT), "the no-load current", "the stall current is more than the no-load current";
        MAX_WINDING_TEMPERATURE: Above |c| c.before_limits(axis::AMBIENT_TEMPERATURE), "the ambient temperature", "the winding limit must be above the ambient temperature";
        HOUSING_TIME_CONSTANT: Above |c| c.before_limits(WINDING_TIME_CONSTANT), "the winding's time constant", "the housing's time constant is longer than the winding's";
    }
}

/// The smallest class whose gear motors are sold with the stall torque that is entered: 20 kgf·cm is no 12 mm motor.
/// What is assumed of its gears then fits it.
fn case_diameter(c: &Eval<'_>) -> Result<f64, Absent> {
    let torque = if c.given(STALL_TORQUE) && c.get(FIGURES_AT)? == FiguresAt::Output {
        c.before_limits(STALL_TORQUE)?
    } else {
        0.0
    };
    Ok(CLASSES[classes::of_torque(torque)].diameter)
}

/// No-load current as a share of the stall current, by class (common practice, no source).
const IDLE_SHARE: [f64; 4] = [0.06, 0.06, 0.05, 0.05];

/// L/R of small motors by class, in seconds (common practice, no source).
const WINDING_TIME: [f64; 4] = [0.165e-3, 0.30e-3, 0.40e-3, 0.52e-3];

/// Share of the motor's stall torque that the gears of the usual small listing (2.1 kgf·cm, 160 r/min, 6 V, 1.1 A) let
/// through: what its figures imply.
const LISTED_EFFICIENCY: f64 = 0.5917;

fn no_load_current(c: &Eval<'_>) -> Result<f64, Absent> {
    if !c.given(STALL_CURRENT) && !is_listed(c) {
        return Ok(0.06);
    }
    Ok(c.before_limits(STALL_CURRENT)? * IDLE_SHARE[c.class()?])
}

/// Whether the motor is told by more than its size.
fn is_listed(c: &Eval<'_>) -> bool {
    c.given(STALL_TORQUE)
        || c.given(NO_LOAD_SPEED)
        || c.given(RATED_VOLTAGE)
        || c.given(TERMINAL_RESISTANCE)
}

/// T_stall·n_0 = η·V_rated·I_stall·(1 − I_0/I_stall)² with the usual share of no-load current: 1.1 A would contradict
/// the figures of any other motor than the one assumed.
fn stall_current(c: &Eval<'_>) -> Result<f64, Absent> {
    const MOST: f64 = 100.0;
    if !is_listed(c) {
        return Ok(1.1);
    }
    let voltage = c.before_limits(RATED_VOLTAGE)?;
    if let Some(measured) = c.option(TERMINAL_RESISTANCE)? {
        return Ok((voltage / measured.value).min(MOST));
    }
    let gears = match c.get(FIGURES_AT)? {
        FiguresAt::Motor => 1.0,
        FiguresAt::Output => c
            .option(gears::EFFICIENCY)?
            .map_or(LISTED_EFFICIENCY, |given| given.value),
    };
    let turning = 1.0 - IDLE_SHARE[c.class()?];
    let power = c.before_limits(STALL_TORQUE)? * c.before_limits(NO_LOAD_SPEED)?;
    Ok((power / (gears * voltage * turning * turning)).min(MOST))
}

fn inductance(c: &Eval<'_>) -> Result<f64, Absent> {
    let resistance = match c.option(TERMINAL_RESISTANCE)? {
        Some(measured) => measured,
        None => c.get(RATED_VOLTAGE)? / c.get(STALL_CURRENT)?,
    };
    Ok(resistance.value * WINDING_TIME[c.class()?])
}

fn shaft_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    let listed = c.get(NO_LOAD_SPEED)?;
    match c.get(FIGURES_AT)? {
        FiguresAt::Motor => Ok(listed),
        FiguresAt::Output => {
            c.working("motor.no_load_speed * gears.exact_ratio");
            Ok((listed * c.get(gears::RATIO_NOW)?).into())
        }
    }
}

fn resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    if let Some(measured) = c.option(TERMINAL_RESISTANCE)? {
        c.working("motor.terminal_resistance");
        return Ok(measured);
    }
    Ok(formulas::resistance_from_stall(
        c.get(RATED_VOLTAGE)?,
        c.get(STALL_CURRENT)?,
    ))
}

/// Current that the rated voltage drives through the standing winding.
fn rated_stall_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(c.get(RATED_VOLTAGE)? / c.get(RESISTANCE)?)
}

fn back_emf_constant(c: &Eval<'_>) -> Result<MotorConstant, Absent> {
    let constant = formulas::back_emf_constant(
        c.get(RATED_VOLTAGE)?,
        c.get(NO_LOAD_CURRENT)?,
        c.get(RESISTANCE)?,
        c.get(SHAFT_SPEED)?,
    );
    if constant.value > 0.0 {
        Ok(constant)
    } else {
        Err(Absent::impossible(
            "no-load current times resistance exceeds the rated voltage",
        ))
    }
}

fn torque_constant(c: &Eval<'_>) -> Result<MotorConstant, Absent> {
    c.get(BACK_EMF_CONSTANT)
}

fn friction_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok(formulas::friction_torque(
        c.get(TORQUE_CONSTANT)?,
        c.get(NO_LOAD_CURRENT)?,
    ))
}

fn motor_constant(c: &Eval<'_>) -> Result<f64, Absent> {
    let squared = formulas::motor_constant(c.get(TORQUE_CONSTANT)?, c.get(RESISTANCE)?);
    Ok(squared.ok_or(NOT_FINITE)?.value.sqrt())
}

fn mechanical_time_constant(c: &Eval<'_>) -> Result<Time, Absent> {
    formulas::mechanical_time_constant(
        c.get(RESISTANCE)?,
        c.get(ROTOR_INERTIA)?,
        c.get(TORQUE_CONSTANT)?,
    )
    .ok_or(NOT_FINITE)
}

fn electrical_time_constant(c: &Eval<'_>) -> Result<Time, Absent> {
    formulas::electrical_time_constant(c.get(INDUCTANCE)?, c.get(RESISTANCE)?).ok_or(NOT_FINITE)
}

fn best_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::best_efficiency(
        c.get(NO_LOAD_CURRENT)?,
        rated_stall_current(c)?,
    ))
}

fn best_efficiency_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::best_efficiency_current(c.get(NO_LOAD_CURRENT)?, rated_stall_current(c)?)
        .ok_or(NOT_FINITE)
}

fn torque_per_mass(c: &Eval<'_>) -> Result<TorquePerMass, Absent> {
    let mut torque = c.get(STALL_TORQUE)?;
    if c.get(FIGURES_AT)? == FiguresAt::Motor {
        c.working("motor.stall_torque * gears.exact_ratio * gears.efficiency / (motor.mass + motor.added_mass)");
        torque = (torque * c.get(gears::RATIO_NOW)? * c.get(gears::EFFICIENCY_NOW)?).into();
    }
    formulas::torque_per_mass(torque, c.get(MASS)?, c.get(ADDED_MASS)?).ok_or(NOT_FINITE)
}

fn stall_ratio(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.get(FIGURES_AT)? == FiguresAt::Output {
        return Err(Absent::not_asked(
            "the figures are at the output: the gearbox efficiency implied by the listing says whether they agree",
        ));
    }
    let computed = formulas::stall_torque(
        c.get(TORQUE_CONSTANT)?,
        rated_stall_current(c)?,
        c.get(NO_LOAD_CURRENT)?,
    );
    formulas::stall_ratio(c.get(STALL_TORQUE)?, computed).ok_or(NOT_FINITE)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[Finding {
    id: "figures_contradict",
    station: Station::Motor,
    message: "The listing contradicts itself: listed / calculated stall torque is {motor.stall_ratio}. One figure is wrong. Measure the winding resistance first.",
    numbers: &["motor.stall_ratio"],
    when: stall_contradicts,
}];

fn stall_contradicts(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let ratio = c.get(STALL_RATIO)?.value;
    Ok((!(0.8..=1.1).contains(&ratio)).then_some(Severity::Fault))
}
