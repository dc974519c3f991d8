//! What several stations ask: found once, for all of them.

use pulsewright_calc::axis::TurnTravel;
use pulsewright_calc::error_budget::FlankLoad;
use pulsewright_calc::gears::Gearing;
use pulsewright_calc::heat::ThermalModel;
use pulsewright_calc::motion::{Drivetrain, Motion};
use pulsewright_calc::position_loop::Gains;
use pulsewright_calc::units::{
    Angle, ElectricalResistance, Ratio, ThermodynamicTemperature, Torque,
};

use crate::evaluation::{Absent, Eval, Margin, NOT_FINITE, Severity, Status};
use crate::register::movement::{Approach, Profile};
use crate::register::{
    Key, Kind, Part, Travel, axis, encoder, first_input, gears, heat, motor, movement,
    position_loop, stepper, steps,
};

/// An angle of the gearbox output as the load shows it.
///
/// # Errors
/// When the axis is not there.
pub fn at_load(c: &Eval<'_>, output: Angle) -> Result<Travel, Absent> {
    shown_angle(c, output / c.get(axis::LAST_STAGE_NOW)?.value)
}

/// A travel at the load as an angle of the gearbox output.
///
/// # Errors
/// When it is not there.
pub fn at_output(c: &Eval<'_>, travel: Travel) -> Result<Angle, Absent> {
    let at_axis = match travel {
        Travel::Angle(angle) => angle,
        Travel::Length(length) => {
            let share = length / c.get(axis::TURN_TRAVEL)?;
            pulsewright_calc::units::turns(share.value)
        }
    };
    Ok(at_axis * c.get(axis::LAST_STAGE_NOW)?.value)
}

/// What was entered, as this kind of axis shows it.
///
/// # Errors
/// When it is not there, or is what this kind does not take.
pub fn entered_travel(c: &Eval<'_>, key: Key<Travel>) -> Result<Travel, Absent> {
    let wrong = Absent::missing(key.index());
    shown_travel(c, c.travel(key)?).map_err(|absent| {
        if usize::from(absent.about) == usize::from(u16::MAX) {
            wrong
        } else {
            absent
        }
    })
}

/// Efficiency of the last stage, 1 where there is none.
///
/// # Errors
/// When it is not understood.
pub fn last_stage_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.left_out_now(axis::REDUCTION) {
        return Ok(Ratio::from(1.0));
    }
    c.get(axis::REDUCTION_EFFICIENCY)
}

/// An angle or a length that a person entered, as this kind of axis shows it: a length along the
/// travel or as arc at the radius, an angle where a torque is given.
///
/// # Errors
/// When it was entered as what this kind does not take.
pub fn shown_travel(c: &Eval<'_>, entered: Travel) -> Result<Travel, Absent> {
    let kind = c.get(axis::KIND)?;
    match entered {
        Travel::Angle(_) if kind.is_linear() => Err(Absent::missing(usize::from(u16::MAX))),
        Travel::Length(_) if kind == Kind::Torque => Err(Absent::missing(usize::from(u16::MAX))),
        Travel::Angle(angle) if kind != Kind::Torque => Ok(Travel::Length(
            pulsewright_calc::gears::travel_of(angle, c.get(axis::TURN_TRAVEL)?),
        )),
        other => Ok(other),
    }
}

/// An angle of the axis as the load shows it.
///
/// # Errors
/// When the axis is not there.
pub fn shown_angle(c: &Eval<'_>, at_axis: Angle) -> Result<Travel, Absent> {
    if c.get(axis::KIND)? == Kind::Torque {
        return Ok(Travel::Angle(at_axis));
    }
    Ok(Travel::Length(pulsewright_calc::gears::travel_of(
        at_axis,
        c.get(axis::TURN_TRAVEL)?,
    )))
}

/// Travel per turn, with its factor of π kept apart.
///
/// # Errors
/// When the kind has no travel, or what says it is not given.
pub fn turn_travel(c: &Eval<'_>) -> Result<TurnTravel, Absent> {
    let round = |c: &Eval<'_>| {
        pulsewright_calc::axis::round_travel(c.exact(axis::RADIUS)?).ok_or(NOT_FINITE)
    };
    match c.get(axis::KIND)? {
        Kind::Belt if !by_radius(c, axis::PULLEY_TEETH) => {
            c.working("axis.pulley_teeth * axis.belt_pitch");
            pulsewright_calc::axis::belt_travel(
                c.get(axis::PULLEY_TEETH)?,
                c.exact(axis::BELT_PITCH)?,
            )
            .ok_or(NOT_FINITE)
        }
        Kind::Rack if !by_radius(c, axis::PINION_TEETH) => {
            c.working("pi * axis.pinion_module * axis.pinion_teeth");
            pulsewright_calc::axis::rack_travel(
                c.get(axis::PINION_TEETH)?,
                c.exact(axis::PINION_MODULE)?,
            )
            .ok_or(NOT_FINITE)
        }
        Kind::Screw => {
            c.working("axis.screw_lead");
            c.exact(axis::SCREW_LEAD).map(TurnTravel::Rational)
        }
        Kind::Torque => Err(Absent::not_asked("a torque given has no travel")),
        _ => round(c),
    }
}

/// A given radius beats assumed teeth; both given, the teeth are used.
pub fn by_radius(c: &Eval<'_>, teeth: Key<u32>) -> bool {
    c.given(axis::RADIUS) && !c.given(teeth)
}

/// The torques at the output, together.
///
/// # Errors
/// Why one of them is not there.
pub fn axis_load(c: &Eval<'_>) -> Result<pulsewright_calc::axis::Load, Absent> {
    Ok(pulsewright_calc::axis::Load {
        load_torque: c.get(axis::LOAD_TORQUE)?,
        holding_torque: c.get(axis::HOLDING_TORQUE)?,
        load_torque_return: c.get(axis::LOAD_TORQUE_RETURN)?,
    })
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

/// The motor as two thermal nodes.
///
/// # Errors
/// Why one of its figures is not there.
pub fn thermal_model<'c>(c: &'c Eval<'_>) -> Result<&'c ThermalModel, Absent> {
    c.shared(&c.intermediates.thermal_model, |c| {
        Ok(ThermalModel {
            resistance: c.get(heat::RESISTANCE_AT_AMBIENT)?,
            coefficient: c.get(heat::COEFFICIENT)?,
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
    Ok(pulsewright_calc::heat::resistance_at(
        c.get(heat::RESISTANCE_AT_AMBIENT)?,
        c.get(heat::COEFFICIENT)?,
        c.get(axis::AMBIENT_TEMPERATURE)?,
        temperature,
    ))
}

/// The move as the gearbox output makes it.
///
/// # Errors
/// When distance, time or profile is not there.
pub fn motion<'c>(c: &'c Eval<'_>) -> Result<&'c Motion, Absent> {
    c.shared(&c.intermediates.motion, |c| {
        Ok(Motion {
            profile: match c.get(movement::PROFILE)? {
                Profile::Trapezoid => pulsewright_calc::motion::Profile::Trapezoid {
                    ramp_fraction: c.get(movement::RAMP_FRACTION)?,
                },
                Profile::Smooth => pulsewright_calc::motion::Profile::Smooth,
            },
            distance: c.get(movement::OUTPUT_ANGLE)?,
            time: c.get(movement::TIME)?,
        })
    })
}

/// What stands between the winding and the load, the loss of a last stage in its efficiencies: the
/// loads to go with it are [`movement::LOAD_AGAINST`] and [`movement::LOAD_WITH`].
///
/// # Errors
/// Why one of its figures is not there.
pub fn drivetrain<'c>(c: &'c Eval<'_>) -> Result<&'c Drivetrain, Absent> {
    c.shared(&c.intermediates.train, |c| {
        let gears = Drivetrain {
            ratio: c.get(gears::RATIO_NOW)?,
            efficiency: c.get(gears::EFFICIENCY_NOW)?,
            back_driving_efficiency: c.get(gears::BACK_EFFICIENCY)?,
            rotor_inertia: c.get(motor::ROTOR_INERTIA)?,
            load_inertia: c.get(axis::LOAD_INERTIA)?,
            motor_constant: c.get(motor::TORQUE_CONSTANT)?,
            no_load_current: c.get(motor::NO_LOAD_CURRENT)?,
        };
        Ok(gears.through(last_stage_efficiency(c)?))
    })
}

/// Numerator and denominator of the gearing fraction.
///
/// # Errors
/// When there is none.
pub fn gearing_fraction(c: &Eval<'_>) -> Result<(u64, u64), Absent> {
    pulsewright_calc::steps::gearing(
        c.exact(steps::COUNTS_PER_STEP)?,
        c.get(steps::GEARING_LIMIT)? as u64,
    )
    .ok_or(Absent::impossible(
        "counts per step lie outside what a fraction with this limit can hold",
    ))
}

/// The gains of the loop, at the motor shaft.
///
/// # Errors
/// When the plant is not there.
pub fn loop_gains(c: &Eval<'_>) -> Result<Gains, Absent> {
    Ok(Gains {
        proportional: c.get(position_loop::PROPORTIONAL_GAIN)?,
        derivative: c.get(position_loop::DERIVATIVE_GAIN)?,
    })
}

/// Which way the sensors count.
///
/// # Errors
/// When they are not understood.
pub fn counting_direction(c: &Eval<'_>) -> Result<pulsewright_calc::encoder::Direction, Absent> {
    if c.get(encoder::SENSORS)? < 2 {
        return Ok(pulsewright_calc::encoder::Direction::None);
    }
    Ok(pulsewright_calc::encoder::direction(
        2,
        c.get(encoder::ELECTRICAL_SPACING)?,
    ))
}

/// A fault where a check's room is under.
pub fn under(margin: Option<Margin>) -> Result<Option<Severity>, Absent> {
    Ok(margin
        .filter(|r| r.status() == Status::Under)
        .map(|_| Severity::Fault))
}

/// The room of the best case, where even that is under; otherwise what is missing.
pub fn under_already(at_best: Margin, absent: Absent) -> Result<Margin, Absent> {
    if at_best.status() == Status::Under {
        Ok(at_best)
    } else {
        Err(absent)
    }
}

/// Whether anything of the stepper is given; until then all of it is left out.
///
/// # Errors
/// When nothing is.
pub fn stepper_asked(c: &Eval<'_>) -> Result<(), Absent> {
    for index in first_input(Part::stepper)..first_input(Part::stepper) + stepper::INPUTS.len() {
        if c.is_given(index) {
            return Ok(());
        }
    }
    Err(Absent::not_asked(
        "give one figure of the stepper to compare with it",
    ))
}

/// Share of the free play that shows in where the load stops, at the load.
///
/// # Errors
/// When the load or the gears are not there.
pub fn backlash_share(c: &Eval<'_>) -> Result<Travel, Absent> {
    // Before the loss of a last stage: that loss only scales what is left over, unless the stage
    // locks. Then the load keeps none of the gears' teeth loaded.
    let held = c.get(axis::HOLDING_TORQUE)?;
    let locks = last_stage_efficiency(c)?.value <= 0.5;
    let flank = FlankLoad {
        holding_torque: if locks { Torque::default() } else { held },
        friction_torque: c.get(movement::LOAD_AGAINST)? - held,
        load_inertia: c.get(axis::LOAD_INERTIA)?,
        peak_acceleration: c.get(movement::PEAK_ACCELERATION)?,
    };
    let approach = match c.get(movement::APPROACH)? {
        Approach::Either => pulsewright_calc::error_budget::Approach::Either,
        Approach::Centred => pulsewright_calc::error_budget::Approach::Centred,
        Approach::OneSide => pulsewright_calc::error_budget::Approach::OneSide,
    };
    let play = angle_of(c, c.travel(gears::FREE_PLAY)?)?;
    let share = pulsewright_calc::error_budget::backlash_share(play, approach, &flank);
    if approach == pulsewright_calc::error_budget::Approach::OneSide {
        c.working("'0: it always comes from the same side'");
    } else if flank.keeps_one_flank() {
        c.working("'0: the holding torque outweighs friction and acceleration, the teeth never change flanks'");
    } else if approach == pulsewright_calc::error_budget::Approach::Centred {
        c.working("gears.free_play_at_load / 2");
    } else {
        c.working("gears.free_play_at_load");
    }
    shown_angle(c, share)
}

/// Least time that any counter needs between two edges (common practice, no source).
pub const LEAST_GAP: f64 = 1e-6;

/// A travel at the load as the angle that this kind of axis has for it.
pub fn angle_of(c: &Eval<'_>, travel: Travel) -> Result<Angle, Absent> {
    Ok(at_output(c, travel)? / c.get(axis::LAST_STAGE_NOW)?.value)
}
