//! The stepper that it replaces.

use super::shared::{last_stage_efficiency, stepper_asked};
use crate::evaluation::Check;
use crate::evaluation::Finding;
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::register::stepper::*;
use crate::register::{axis, movement};
use pulsewright_calc::stepper as formulas;
use pulsewright_calc::units::{Angle, AngularVelocity, Mass, Power, Ratio, Torque, TorquePerMass};

station! { stepper;
    results {
        STEPS_PER_TURN = steps_per_turn;
        ROTOR_TEETH = rotor_teeth;
        LAG_UNDER_LOAD = lag_under_load;
        POSITION_ERROR = position_error;
        SMALLEST_STEP = smallest_step;
        HOLD_POWER = hold_power;
        TORQUE_PER_MASS = torque_per_mass;
        CORNER_SPEED = corner_speed;
        TORQUE_AT_SPEED = torque_at_speed;
        TORQUE_FOR_MOVE = torque_for_move;
        SPEED_WITH_LOAD = speed_with_load;
    }
    presets {
        STEP_ANGLE = step_angle;
        HOLDING_TORQUE = holding_torque;
        PHASE_CURRENT = phase_current;
        PHASE_RESISTANCE = phase_resistance;
        PHASE_INDUCTANCE = phase_inductance;
        DRIVE_VOLTAGE = drive_voltage;
        MICROSTEPS = microsteps;
        ROTOR_INERTIA = rotor_inertia;
        MASS = mass;
        STEP_ACCURACY = step_accuracy;
    }
}

macro_rules! once_asked {
    ($($name:ident = $value:expr;)*) => {$(
        fn $name(c: &Eval<'_>) -> Result<f64, Absent> {
            stepper_asked(c).map(|()| $value)
        }
    )*};
}

once_asked! {
    step_angle = 1.8_f64.to_radians();
    holding_torque = 0.40;
    phase_current = 1.2;
    phase_resistance = 2.5;
    phase_inductance = 3.5e-3;
    drive_voltage = 12.0;
    microsteps = 16.0;
    rotor_inertia = 54e-7;
    mass = 0.260;
    step_accuracy = 0.05;
}

fn steps_per_turn(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::steps_per_turn(c.get(STEP_ANGLE)?))
}

fn rotor_teeth(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::rotor_teeth(c.get(STEP_ANGLE)?))
}

fn lag_under_load(c: &Eval<'_>) -> Result<Angle, Absent> {
    let holding = c.get(HOLDING_TORQUE)?;
    formulas::lag_under_load(c.get(axis::LOAD_TORQUE)?, holding, c.get(STEP_ANGLE)?).ok_or(
        Absent::impossible("the load is more than its holding torque: it loses steps"),
    )
}

fn position_error(c: &Eval<'_>) -> Result<Angle, Absent> {
    Ok(formulas::position_error(
        c.get(LAG_UNDER_LOAD)?,
        c.get(STEP_ACCURACY)?,
        c.get(STEP_ANGLE)?,
    ))
}

fn smallest_step(c: &Eval<'_>) -> Result<Angle, Absent> {
    let microsteps = Ratio::from(f64::from(c.get(MICROSTEPS)?));
    Ok(formulas::smallest_step(c.get(STEP_ANGLE)?, microsteps))
}

fn hold_power(c: &Eval<'_>) -> Result<Power, Absent> {
    Ok(formulas::hold_power(
        c.get(PHASE_CURRENT)?,
        c.get(PHASE_RESISTANCE)?,
    ))
}

fn torque_per_mass(c: &Eval<'_>) -> Result<TorquePerMass, Absent> {
    pulsewright_calc::motor::torque_per_mass(c.get(HOLDING_TORQUE)?, c.get(MASS)?, Mass::default())
        .ok_or(NOT_FINITE)
}

fn corner_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    Ok(formulas::corner_speed(&formulas::Winding {
        drive_voltage: c.get(DRIVE_VOLTAGE)?,
        phase_inductance: c.get(PHASE_INDUCTANCE)?,
        phase_current: c.get(PHASE_CURRENT)?,
        step_angle: c.get(STEP_ANGLE)?,
    }))
}

fn torque_at_speed(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok(formulas::torque_at_speed(
        c.get(HOLDING_TORQUE)?,
        c.get(CORNER_SPEED)?,
        c.get(movement::PEAK_SPEED)?,
    ))
}

fn torque_for_move(c: &Eval<'_>) -> Result<Torque, Absent> {
    let (rotor, acceleration) = (c.get(ROTOR_INERTIA)?, c.get(movement::PEAK_ACCELERATION)?);
    let inertial: Torque = (c.get(axis::LOAD_INERTIA)? * acceleration).into();
    let moving = c.get(movement::LOAD_AGAINST)? + inertial;
    if !c.left_out_now(axis::REDUCTION) {
        c.working(if moving.value >= 0.0 {
            "(move.load_against + axis.load_inertia * move.peak_acceleration) / axis.reduction_efficiency + stepper.rotor_inertia * move.peak_acceleration"
        } else {
            "(move.load_against + axis.load_inertia * move.peak_acceleration) * (2 - 1 / axis.reduction_efficiency) + stepper.rotor_inertia * move.peak_acceleration"
        });
    }
    Ok(formulas::torque_for_move(
        pulsewright_calc::axis::through_stage(moving, last_stage_efficiency(c)?)
            .ok_or(NOT_FINITE)?,
        rotor,
        acceleration,
    ))
}

fn speed_with_load(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    let corner = c.get(CORNER_SPEED)?;
    let speed =
        formulas::speed_with_load(c.get(HOLDING_TORQUE)?, corner, c.get(axis::LOAD_TORQUE)?)
            .ok_or(Absent::unlimited("no load bounds its speed"))?;
    if speed.value == 0.0 {
        c.working("'0: the load is more than three quarters of its holding torque'");
    }
    Ok(speed)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
