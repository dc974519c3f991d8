//! The stepper that it replaces.

use pulsewright_calc::stepper as formulas;
use pulsewright_calc::units::{
    Angle, AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Inductance,
    Mass, MomentOfInertia, Power, Ratio, Torque, TorquePerMass,
};

use super::{Form, INPUT, Input, Means, Outcome, Preset, RESULT, Sure, axis, movement};
use crate::check::Check;
use crate::eval::{Absent, BEYOND, Eval};
use crate::finding::Finding;
use crate::unit::Measure;

/// Whether anything of the stepper is given; until then all of it is left out.
///
/// # Errors
/// When nothing is.
pub fn asked(c: &Eval<'_>) -> Result<(), Absent> {
    for index in INPUTS_AT..INPUTS_AT + INPUTS.len() {
        if c.is_given(index) {
            return Ok(());
        }
    }
    Err(Absent::not_asked(
        "give one figure of the stepper to compare with it",
    ))
}

macro_rules! once_asked {
    ($($name:ident = $value:expr;)*) => {$(
        fn $name(c: &Eval<'_>) -> Result<f64, Absent> {
            asked(c).map(|()| $value)
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

inputs! {
    after super::position_loop;

    STEP_ANGLE: Angle = Input {
        id: "stepper.step_angle",
        symbol: "θ_step",
        label: "Step angle",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::From(step_angle, "1.8°, once anything of the stepper is given"),
        low: "0.1 deg",
        high: "90 deg",
        sure: Sure::Near,
        layer: 2,
        means: Means::Nothing,
        help: "Label: 1.8° = 200 steps, 0.9° = 400",
        ..INPUT
    };
    HOLDING_TORQUE: Torque = Input {
        id: "stepper.holding_torque",
        symbol: "T_hold",
        label: "Holding torque",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::From(holding_torque, "0.40 N·m, once anything of the stepper is given"),
        low: ">0 N.m",
        high: "100 N.m",
        sure: Sure::Within("10 %"),
        layer: 2,
        means: Means::Nothing,
        help: "Label or listing, at rated phase current",
        ..INPUT
    };
    PHASE_CURRENT: ElectricCurrent = Input {
        id: "stepper.phase_current",
        symbol: "I_ph",
        label: "Phase current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::From(phase_current, "1.2 A, once anything of the stepper is given"),
        low: "10 mA",
        high: "20 A",
        sure: Sure::Within("5 %"),
        layer: 2,
        means: Means::Nothing,
        help: "Label; the driver's setting if lower",
        ..INPUT
    };
    PHASE_RESISTANCE: ElectricalResistance = Input {
        id: "stepper.phase_resistance",
        symbol: "R_ph",
        label: "Phase resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::From(phase_resistance, "2.5 Ω, once anything of the stepper is given"),
        low: "0.05 Ohm",
        high: "500 Ohm",
        sure: Sure::Within("10 %"),
        layer: 2,
        means: Means::Nothing,
        help: "Ohmmeter across one phase",
        ..INPUT
    };
    PHASE_INDUCTANCE: Inductance = Input {
        id: "stepper.phase_inductance",
        symbol: "L_ph",
        label: "Phase inductance",
        form: Form::Quantity(Measure::Inductance),
        preset: Preset::From(phase_inductance, "3.5 mH, once anything of the stepper is given"),
        low: "0.05 mH",
        high: "500 mH",
        sure: Sure::Within("20 %"),
        layer: 3,
        means: Means::Nothing,
        help: "Label or LCR meter across one phase",
        ..INPUT
    };
    DRIVE_VOLTAGE: ElectricPotential = Input {
        id: "stepper.drive_voltage",
        symbol: "V_drive",
        label: "Voltage of its driver",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::From(drive_voltage, "12 V, once anything of the stepper is given"),
        low: "3 V",
        high: "100 V",
        sure: Sure::Within("5 %"),
        layer: 2,
        means: Means::Nothing,
        help: "Supply of its driver",
        ..INPUT
    };
    MICROSTEPS: u32 = Input {
        id: "stepper.microsteps",
        symbol: "n_micro",
        label: "Microsteps",
        form: Form::Whole,
        preset: Preset::From(microsteps, "16, once anything of the stepper is given"),
        low: "1",
        high: "256",
        layer: 2,
        means: Means::Nothing,
        help: "Jumpers or setting of its driver",
        ..INPUT
    };
    ROTOR_INERTIA: MomentOfInertia = Input {
        id: "stepper.rotor_inertia",
        symbol: "J_step",
        label: "Rotor inertia",
        form: Form::Quantity(Measure::Inertia),
        preset: Preset::From(rotor_inertia, "54 g·cm², once anything of the stepper is given"),
        low: "0.1 g.cm2",
        high: "50000 g.cm2",
        sure: Sure::Within("20 %"),
        layer: 3,
        means: Means::Nothing,
        help: "Listing",
        ..INPUT
    };
    MASS: Mass = Input {
        id: "stepper.mass",
        symbol: "m_step",
        label: "Mass with its driver",
        form: Form::Quantity(Measure::Mass),
        preset: Preset::From(mass, "260 g, once anything of the stepper is given"),
        low: ">0 kg",
        high: "20 kg",
        sure: Sure::Within("5 %"),
        layer: 2,
        means: Means::Nothing,
        help: "Kitchen scale, motor and driver board",
        ..INPUT
    };
    STEP_ACCURACY: Ratio = Input {
        id: "stepper.step_accuracy",
        symbol: "a_step",
        label: "Accuracy, as a share of a step",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::From(step_accuracy, "0.05 of a step, once anything of the stepper is given"),
        low: "0",
        high: "0.5",
        layer: 3,
        means: Means::Nothing,
        help: "Listing, usually ± 5 % of a full step",
        ..INPUT
    };
}

results! {
    after super::landing;

    STEPS_PER_TURN: Ratio = Outcome {
        id: "stepper.steps_per_turn",
        symbol: "n_steps",
        label: "Full steps in a turn",
        measure: Measure::Count,
        meaning: "of its own shaft",
        formula: "2 * pi / stepper.step_angle",
        source: "definition",
        ..RESULT
    }, steps_per_turn;
    ROTOR_TEETH: Ratio = Outcome {
        id: "stepper.rotor_teeth",
        symbol: "z",
        label: "Teeth of the rotor",
        measure: Measure::Count,
        meaning: "50 for a motor of 1.8°",
        formula: "pi / (2 * stepper.step_angle)",
        source: "two-phase hybrid motor, four steps a tooth",
        ..RESULT
    }, rotor_teeth;
    LAG_UNDER_LOAD: Angle = Outcome {
        id: "stepper.lag_under_load",
        symbol: "δ_lag",
        label: "Lag of the rotor under the load",
        measure: Measure::Angle,
        meaning: "how far it hangs behind its step",
        formula: "asin(axis.load_torque / stepper.holding_torque) / stepper.rotor_teeth",
        source: "static torque curve of a hybrid stepper motor",
        ..RESULT
    }, lag_under_load;
    POSITION_ERROR: Angle = Outcome {
        id: "stepper.position_error",
        symbol: "e_stepper",
        label: "Position error under the load",
        measure: Measure::Angle,
        meaning: "at its own shaft, no step lost",
        formula: "abs(stepper.lag_under_load) + stepper.step_accuracy * stepper.step_angle",
        source: "sum of absolute bounds",
        ..RESULT
    }, position_error;
    SMALLEST_STEP: Angle = Outcome {
        id: "stepper.smallest_step",
        symbol: "θ_micro",
        label: "Smallest commanded step",
        measure: Measure::Angle,
        meaning: "smoother, not more accurate",
        formula: "stepper.step_angle / stepper.microsteps",
        source: "definition",
        ..RESULT
    }, smallest_step;
    HOLD_POWER: Power = Outcome {
        id: "stepper.hold_power",
        symbol: "P_step",
        label: "Power to hold",
        measure: Measure::Power,
        meaning: "drawn whatever the load is",
        formula: "2 * stepper.phase_current ^ 2 * stepper.phase_resistance",
        source: "Joule's law, both phases on",
        ..RESULT
    }, hold_power;
    TORQUE_PER_MASS: TorquePerMass = Outcome {
        id: "stepper.torque_per_mass",
        symbol: "T_step_mass",
        label: "Held torque for its mass",
        measure: Measure::TorquePerMass,
        meaning: "for ever, with its driver",
        formula: "stepper.holding_torque / stepper.mass",
        source: "definition",
        ..RESULT
    }, torque_per_mass;
    CORNER_SPEED: AngularVelocity = Outcome {
        id: "stepper.corner_speed",
        symbol: "ω_corner",
        label: "Corner speed",
        measure: Measure::Speed,
        meaning: "above it the current no longer builds up within a step",
        formula: "2 * pi * stepper.drive_voltage / (2 * stepper.phase_inductance * stepper.phase_current * stepper.steps_per_turn)",
        source: "one rise and one fall of the current within a step (common practice, no source)",
        ..RESULT
    }, corner_speed;
    TORQUE_AT_SPEED: Torque = Outcome {
        id: "stepper.torque_at_speed",
        symbol: "T_speed",
        label: "Torque left at the peak speed of the move",
        measure: Measure::Torque,
        meaning: "an estimate, without resonance",
        formula: "0.75 * stepper.holding_torque * min(1, stepper.corner_speed / move.peak_speed)",
        source: "three quarters of the holding torque up to the corner (common practice, no source)",
        ..RESULT
    }, torque_at_speed;
    TORQUE_FOR_MOVE: Torque = Outcome {
        id: "stepper.torque_for_move",
        symbol: "T_stepmove",
        label: "Torque that the move asks of the stepper",
        measure: Measure::Torque,
        meaning: "in place of the gear motor, on the same shaft",
        formula: "axis.load_torque + (stepper.rotor_inertia + axis.load_inertia) * move.peak_acceleration",
        source: "Newton's second law for rotation",
        ..RESULT
    }, torque_for_move;
    SPEED_WITH_LOAD: AngularVelocity = Outcome {
        id: "stepper.speed_with_load",
        symbol: "ω_steploaded",
        label: "Speed with the load",
        measure: Measure::Speed,
        meaning: "above it the stepper loses steps",
        formula: "stepper.corner_speed * 0.75 * stepper.holding_torque / axis.load_torque",
        source: "the torque estimate solved for speed (common practice, no source)",
        ..RESULT
    }, speed_with_load;
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
        .ok_or(BEYOND)
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
        pulsewright_calc::axis::through_stage(moving, axis::last_stage_efficiency(c)?)
            .ok_or(BEYOND)?,
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
