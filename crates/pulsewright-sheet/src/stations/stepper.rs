//! The stepper that it replaces.

use super::shared::{last_stage_efficiency, load_over, motion, stepper_asked, swing};
use crate::evaluation::Check;
use crate::evaluation::Finding;
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::register::movement::Direction;
use crate::register::stepper::*;
use crate::register::{Key, axis, movement, steps};
use pulsewright_calc::motion::Drivetrain;
use pulsewright_calc::stepper as formulas;
use pulsewright_calc::units::{Angle, AngularVelocity, Mass, Power, Ratio, Torque, TorquePerMass};

station! { stepper;
    results {
        STEPS_PER_TURN = steps_per_turn;
        ROTOR_TEETH = rotor_teeth;
        LOAD_ANGLE = load_angle;
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

fn load_angle(c: &Eval<'_>) -> Result<Angle, Absent> {
    let holding = c.get(HOLDING_TORQUE)?;
    formulas::load_angle(c.get(axis::LOAD_TORQUE)?, holding, c.get(STEP_ANGLE)?).ok_or(
        Absent::impossible("the load is more than its holding torque: it loses steps"),
    )
}

fn position_error(c: &Eval<'_>) -> Result<Angle, Absent> {
    Ok(formulas::position_error(
        c.get(LOAD_ANGLE)?,
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

/// Torque of the stepper in a ramp: up or down, the load driven or driving, one of the two moves.
macro_rules! staged {
    ($load:literal) => {
        [staged!($load, "+"), staged!($load, "-")]
    };
    ($load:literal, $sign:literal) => {
        [
            staged!($load, $sign, "/ axis.reduction_efficiency"),
            staged!($load, $sign, "* (2 - 1 / axis.reduction_efficiency)"),
        ]
    };
    ($load:literal, $sign:literal, $stage:literal) => {
        concat!(
            "abs((",
            $load,
            " ",
            $sign,
            " axis.load_inertia * move.peak_acceleration) ",
            $stage,
            " ",
            $sign,
            " stepper.rotor_inertia * move.peak_acceleration)"
        )
    };
}

/// One of the two moves for the stepper in place of the gear motor: its load, and its workings
/// without and with a last stage.
struct Half {
    load: Key<Torque>,
    direct: &'static str,
    staged: [[&'static str; 2]; 2],
}

const AGAINST: Half = Half {
    load: movement::LOAD_LIFTING,
    direct: "abs(axis.load_torque) + (stepper.rotor_inertia + axis.load_inertia) * move.peak_acceleration",
    staged: staged!("move.load_lifting"),
};

const WITH: Half = Half {
    load: movement::LOAD_LOWERING,
    direct: "abs(axis.load_torque_return) + (stepper.rotor_inertia + axis.load_inertia) * move.peak_acceleration",
    staged: staged!("move.load_lowering"),
};

impl Half {
    /// The greatest torque of this move, whichever its sign, and its working.
    fn greatest(&self, c: &Eval<'_>) -> Result<(Torque, &'static str), Absent> {
        let peak = c.get(movement::PEAK_ACCELERATION)?;
        let (load_inertia, rotor) = (c.get(axis::LOAD_INERTIA)?, c.get(ROTOR_INERTIA)?);
        let (stage, direct) = (last_stage_efficiency(c)?, c.left_out_now(axis::REDUCTION));
        if swing(c)?.is_some() {
            let train = Drivetrain::direct(rotor, load_inertia, stage);
            let load = load_over(c, self.load)?;
            let peak = pulsewright_calc::motion::peak_current(&train, *motion(c)?, load);
            let torque = Torque::new::<uom::si::torque::newton_meter>(peak.value);
            return Ok((
                torque,
                "'the greatest over the move, the weight by the angle of every moment'",
            ));
        }
        let load = c.get(self.load)?;
        let mut greatest = (Torque::default(), self.direct);
        for (ramp, acceleration) in [peak, -peak].into_iter().enumerate() {
            let inertial: Torque = (load_inertia * acceleration).into();
            let moving = load + inertial;
            let through = pulsewright_calc::axis::through_stage(moving, stage);
            let torque = formulas::torque_for_move(through.ok_or(NOT_FINITE)?, rotor, acceleration);
            if torque.abs() > greatest.0 {
                let working = if direct {
                    self.direct
                } else {
                    self.staged[ramp][usize::from(moving.value < 0.0)]
                };
                greatest = (torque.abs(), working);
            }
        }
        Ok(greatest)
    }
}

fn torque_for_move(c: &Eval<'_>) -> Result<Torque, Absent> {
    let (torque, working) = match c.get(movement::DIRECTION)? {
        Direction::Lifting => AGAINST.greatest(c)?,
        Direction::Lowering => WITH.greatest(c)?,
        Direction::Both => {
            let (against, with) = (AGAINST.greatest(c)?, WITH.greatest(c)?);
            if with.0 > against.0 { with } else { against }
        }
    };
    c.working(working);
    Ok(torque)
}

fn speed_with_load(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    let microsteps = Ratio::from(f64::from(c.get(MICROSTEPS)?));
    let rate = c.get(steps::CONTROLLER_RATE_LIMIT)?;
    let by_pulses =
        formulas::speed_of_pulses(rate, c.get(STEP_ANGLE)?, microsteps).ok_or(NOT_FINITE)?;
    let (holding, load) = (c.get(HOLDING_TORQUE)?, c.get(axis::LOAD_TORQUE)?);
    let by_torque = formulas::speed_with_load(holding, c.get(CORNER_SPEED)?, load);
    if by_torque.is_none_or(|speed| speed > by_pulses) {
        c.working("steps.controller_rate_limit * stepper.step_angle / stepper.microsteps");
    } else if by_torque.is_some_and(|speed| speed.value == 0.0) {
        c.working("'0: the load is more than three quarters of its holding torque'");
    }
    Ok(formulas::speed_within_pulses(by_torque, by_pulses))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
