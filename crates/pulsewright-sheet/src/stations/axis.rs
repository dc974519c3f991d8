//! What has to move.

use super::shared::{at_output, axis_load, entered_travel, turn_travel};
use crate::evaluation::Check;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Finding, Severity};
use crate::register::Kind;
use crate::register::axis::*;
use crate::register::{Rational, Station, Travel, gears, motor, movement};
use pulsewright_calc::axis::{self as formulas, TurnTravel};
use pulsewright_calc::ratio;
use pulsewright_calc::units::{Energy, Force, Length, MomentOfInertia, Ratio, Torque};

station! { axis;
    results {
        LAST_STAGE = last_stage;
        TRAVEL_PER_TURN = travel_per_turn;
        TRAVEL_FORCE = travel_force;
        TORQUE_AT_AXIS = torque_at_axis;
        HOLDING_AT_AXIS = holding_at_axis;
        RETURN_AT_AXIS = return_at_axis;
        LOAD_TORQUE = load_torque;
        HOLDING_TORQUE = holding_torque;
        FRICTION_TORQUE = friction_torque;
        LOAD_TORQUE_RETURN = load_torque_return;
        LOAD_INERTIA = load_inertia;
        REFLECTED_INERTIA = reflected_inertia;
        INERTIA_RATIO = inertia_ratio;
        TOLERANCE_AT_LOAD = tolerance_at_load;
        DISTANCE_AT_LOAD = distance_at_load;
        BACK_DRIVES = back_drives;
        BACK_DRIVING_TORQUE = back_driving_torque;
        MOVING_ENERGY = moving_energy;
        FALL_ENERGY = fall_energy;
    }
    presets {
        PAYLOAD_INERTIA = payload_inertia;
    }
}

/// A turntable with a mass and no inertia given: a disc of that mass.
fn payload_inertia(c: &Eval<'_>) -> Result<f64, Absent> {
    match c.get(KIND)? {
        Kind::Turntable => {
            let radius = c.get(RADIUS)?;
            let inertia: MomentOfInertia = 0.5 * c.get(LOAD_MASS)? * radius * radius;
            Ok(inertia.value)
        }
        _ => Ok(0.0),
    }
}

fn last_stage(c: &Eval<'_>) -> Result<Rational, Absent> {
    if c.left_out_now(REDUCTION) {
        return ratio::exact(1, 1).map(Rational).ok_or(NOT_FINITE);
    }
    c.exact(REDUCTION).map(Rational)
}

fn travel_per_turn(c: &Eval<'_>) -> Result<TurnLength, Absent> {
    let travel = turn_travel(c)?;
    let exact = match travel {
        TurnTravel::Rational(exact) => Some(exact),
        TurnTravel::TimesPi(_) => None,
    };
    let length = formulas::travel_length(travel).ok_or(NOT_FINITE)?;
    Ok(TurnLength { length, exact })
}

fn carried(c: &Eval<'_>) -> Result<formulas::Carried, Absent> {
    Ok(formulas::Carried {
        mass: c.get(LOAD_MASS)?,
        external_force: c.get(EXTERNAL_FORCE)?,
        drag_force: c.get(DRAG_FORCE)?,
    })
}

fn straight(c: &Eval<'_>) -> Result<formulas::Travel, Absent> {
    Ok(formulas::Travel {
        carried: carried(c)?,
        slope: c.get(SLOPE)?,
        friction_coefficient: c.get(FRICTION_COEFFICIENT)?,
    })
}

fn travel_force(c: &Eval<'_>) -> Result<Force, Absent> {
    if c.get(KIND)?.is_linear() {
        Ok(formulas::travel_force(straight(c)?))
    } else {
        Err(Absent::not_asked(
            "a turning axis has no force along a line",
        ))
    }
}

fn screw(c: &Eval<'_>) -> Result<formulas::Screw, Absent> {
    Ok(formulas::Screw {
        lead: c.get(SCREW_LEAD)?,
        mean_diameter: c.get(SCREW_MEAN_DIAMETER)?,
        thread_friction: c.get(SCREW_THREAD_FRICTION)?,
        flank_angle: c.get(SCREW_FLANK_ANGLE)?,
        collar_friction: c.get(COLLAR_FRICTION)?,
        collar_diameter: c.get(COLLAR_DIAMETER)?,
    })
}

/// Torques at the axis itself, by its kind.
fn load_at_axis(c: &Eval<'_>) -> Result<formulas::Load, Absent> {
    match c.get(KIND)? {
        Kind::Arm => Ok(formulas::arm(carried(c)?, c.get(RADIUS)?)),
        Kind::Turntable => Ok(formulas::turntable(
            carried(c)?,
            c.get(RADIUS)?,
            c.get(FRICTION_COEFFICIENT)?,
            c.get(BEARING_RADIUS)?,
        )),
        Kind::Torque => Ok(formulas::given(
            c.get(LOAD_TORQUE_GIVEN)?,
            Force::default(),
            Length::default(),
        )),
        Kind::Screw if c.option(TRANSMISSION_EFFICIENCY)?.is_none() => {
            formulas::screw_by_threads(straight(c)?, screw(c)?).map_err(|error| match error {
                formulas::ScrewError::Binds => Absent::impossible(
                    "the screw binds: π·d is not above f·l·sec α, so friction grows faster than any torque",
                ),
                _ => Absent::impossible("no thread has this diameter and flank angle"),
            })
        }
        _ => {
            let efficiency = c.option(TRANSMISSION_EFFICIENCY)?.unwrap_or(Ratio::from(1.0));
            let radius = formulas::effective_radius(c.get(TURN_TRAVEL)?);
            formulas::linear(straight(c)?, radius, efficiency).ok_or(NOT_FINITE)
        }
    }
}

/// Whether the screw is computed by its threads.
fn by_threads(c: &Eval<'_>) -> Result<bool, Absent> {
    Ok(c.get(KIND)? == Kind::Screw && c.option(TRANSMISSION_EFFICIENCY)?.is_none())
}

const RAISE: &str = "axis.travel_force * axis.screw_mean_diameter / 2 * (axis.screw_lead + pi * axis.screw_thread_friction * axis.screw_mean_diameter / cos(axis.screw_flank_angle)) / (pi * axis.screw_mean_diameter - axis.screw_thread_friction * axis.screw_lead / cos(axis.screw_flank_angle)) + axis.travel_force * axis.collar_friction * axis.collar_diameter / 2";

fn torque_at_axis(c: &Eval<'_>) -> Result<Torque, Absent> {
    let torque = load_at_axis(c)?.load_torque;
    match c.get(KIND)? {
        Kind::Arm => {}
        Kind::Turntable => c.working("axis.friction_coefficient * axis.load_mass * g * axis.bearing_radius + axis.external_force * axis.radius + axis.drag_force * axis.radius"),
        Kind::Torque => c.working("axis.load_torque_given"),
        Kind::Screw if by_threads(c)? => c.working(if c.get(TRAVEL_FORCE)?.value >= 0.0 {
            RAISE
        } else {
            "'the load drives the screw: -Z·(d/2)·(π·f·d·sec α − l)/(π·d + f·l·sec α) plus the collar'"
        }),
        _ if c.get(TRAVEL_FORCE)?.value >= 0.0 => c.working(
            "axis.travel_force * axis.travel_per_turn / (2 * pi * axis.transmission_efficiency)",
        ),
        _ => c.working(
            "axis.travel_force * axis.travel_per_turn / (2 * pi) * (2 - 1 / axis.transmission_efficiency)",
        ),
    }
    Ok(torque)
}

fn holding_at_axis(c: &Eval<'_>) -> Result<Torque, Absent> {
    match c.get(KIND)? {
        Kind::Arm => {}
        Kind::Turntable => c.working("axis.external_force * axis.radius"),
        Kind::Torque => c.working("axis.load_torque_given"),
        _ => c.working("(axis.load_mass * g * sin(axis.slope) + axis.external_force) * axis.travel_per_turn / (2 * pi)"),
    }
    Ok(load_at_axis(c)?.holding_torque)
}

fn return_at_axis(c: &Eval<'_>) -> Result<Torque, Absent> {
    if by_threads(c)? {
        c.working("'lowering by the thread: F_t·(d/2)·(π·f·d·sec α − l)/(π·d + f·l·sec α) + |F_t|·f_c·d_c/2, F_t the force that pushes back; raising where friction on the slope is the greater'");
    }
    Ok(load_at_axis(c)?.load_torque_return)
}

fn reduction(c: &Eval<'_>) -> Result<formulas::Reduction, Absent> {
    Ok(formulas::Reduction {
        ratio: c.get(LAST_STAGE_NOW)?,
        efficiency: c.get(REDUCTION_EFFICIENCY)?,
    })
}

/// The torques of the axis carried to the gearbox output.
fn load_at_output(c: &Eval<'_>) -> Result<formulas::Load, Absent> {
    let at_axis = formulas::Load {
        load_torque: c.get(TORQUE_AT_AXIS)?,
        holding_torque: c.get(HOLDING_AT_AXIS)?,
        load_torque_return: c.get(RETURN_AT_AXIS)?,
    };
    if c.left_out_now(REDUCTION) {
        return Ok(at_axis);
    }
    formulas::carry_load(at_axis, reduction(c)?).ok_or(NOT_FINITE)
}

fn load_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    if !c.left_out_now(REDUCTION) {
        c.working(if c.get(TORQUE_AT_AXIS)?.value >= 0.0 {
            "axis.torque_at_axis / (axis.last_stage * axis.reduction_efficiency)"
        } else {
            "axis.torque_at_axis / axis.last_stage * (2 - 1 / axis.reduction_efficiency)"
        });
    }
    Ok(load_at_output(c)?.load_torque)
}

fn holding_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok(load_at_output(c)?.holding_torque)
}

fn friction_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok(c.get(LOAD_TORQUE)? - c.get(HOLDING_TORQUE)?)
}

fn load_torque_return(c: &Eval<'_>) -> Result<Torque, Absent> {
    if !c.left_out_now(REDUCTION) {
        c.working(if c.get(RETURN_AT_AXIS)?.value >= 0.0 {
            "axis.return_at_axis / (axis.last_stage * axis.reduction_efficiency)"
        } else {
            "axis.return_at_axis / axis.last_stage * (2 - 1 / axis.reduction_efficiency)"
        });
    }
    Ok(load_at_output(c)?.load_torque_return)
}

fn load_inertia(c: &Eval<'_>) -> Result<MomentOfInertia, Absent> {
    let at_axis = match c.get(KIND)? {
        Kind::Torque => {
            c.working("axis.load_inertia_given / axis.last_stage ^ 2");
            c.get(LOAD_INERTIA_GIVEN)?
        }
        Kind::Turntable => {
            c.working("axis.payload_inertia / axis.last_stage ^ 2");
            c.get(PAYLOAD_INERTIA)?
        }
        Kind::Arm => {
            formulas::load_inertia(c.get(PAYLOAD_INERTIA)?, c.get(LOAD_MASS)?, c.get(RADIUS)?)
        }
        _ => {
            c.working("(axis.payload_inertia + axis.load_mass * (axis.travel_per_turn / (2 * pi)) ^ 2) / axis.last_stage ^ 2");
            let radius = formulas::effective_radius(c.get(TURN_TRAVEL)?);
            formulas::load_inertia(c.get(PAYLOAD_INERTIA)?, c.get(LOAD_MASS)?, radius)
        }
    };
    formulas::carry_inertia(at_axis, c.get(LAST_STAGE_NOW)?).ok_or(NOT_FINITE)
}

fn reflected_inertia(c: &Eval<'_>) -> Result<MomentOfInertia, Absent> {
    Ok(pulsewright_calc::gears::reflected_inertia(
        c.get(motor::ROTOR_INERTIA)?,
        c.get(gears::RATIO_NOW)?,
    ))
}

fn inertia_ratio(c: &Eval<'_>) -> Result<Ratio, Absent> {
    formulas::inertia_ratio(c.get(LOAD_INERTIA)?, c.get(REFLECTED_INERTIA)?).ok_or(NOT_FINITE)
}

fn tolerance_at_load(c: &Eval<'_>) -> Result<Travel, Absent> {
    entered_travel(c, POSITION_TOLERANCE)
}

fn distance_at_load(c: &Eval<'_>) -> Result<Travel, Absent> {
    entered_travel(c, movement::DISTANCE)
}

/// Torque that turns the unpowered motor from the output; `None` where the gears lock.
fn holds(c: &Eval<'_>) -> Result<Option<Torque>, Absent> {
    match c.get(gears::BACK_DRIVE_TORQUE) {
        Ok(torque) => Ok(Some(torque)),
        Err(absent) if absent.code == Code::Unlimited => Ok(None),
        Err(absent) => Err(absent),
    }
}

fn back_driving_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    let driving = formulas::back_driving(axis_load(c)?, holds(c)?).driving_torque;
    Ok(if driving.value > 0.0 {
        driving
    } else {
        Torque::default()
    })
}

fn back_drives(c: &Eval<'_>) -> Result<bool, Absent> {
    Ok(formulas::back_driving(axis_load(c)?, holds(c)?).moves)
}

fn moving_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    Ok(formulas::moving_energy(
        c.get(LOAD_INERTIA)?,
        c.get(REFLECTED_INERTIA)?,
        c.get(movement::PEAK_SPEED)?,
    ))
}

fn fall_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    let height = match c.get(KIND)? {
        Kind::Arm => {
            c.working(
                "'m·g times the height between the highest and the lowest place of the move'",
            );
            let angle = at_output(c, c.travel(DISTANCE_AT_LOAD)?)? / c.get(LAST_STAGE_NOW)?.value;
            formulas::arm_height(c.get(RADIUS)?, c.get(START_ANGLE)?, angle)
        }
        kind if kind.is_linear() => match c.travel(DISTANCE_AT_LOAD)? {
            Travel::Length(length) => formulas::slope_height(length, c.get(SLOPE)?),
            Travel::Angle(_) => return Err(NOT_FINITE),
        },
        Kind::Turntable => {
            c.working("0");
            Length::default()
        }
        _ => return Err(Absent::not_asked("a torque given says nothing of a height")),
    };
    Ok(formulas::fall_energy(c.get(LOAD_MASS)?, height))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "falls_without_power",
        station: Station::Axis,
        message: "When the power goes, this load can fall: {axis.load_mass}, {axis.holding_torque} at the shaft, {axis.fall_energy}. Gears may slow it or hold it today; friction is not a brake. Prop or hang the load before you switch off, keep hands and heads out of its path, and fit a spring, a counterweight or a brake where anyone can reach under it.",
        numbers: &[
            "axis.holding_torque",
            "axis.back_driving_torque",
            "gears.back_drive_torque",
            "axis.fall_energy",
        ],
        when: falls,
    },
    Finding {
        id: "falls_without_power",
        station: Station::Axis,
        message: "When the power goes, this load can turn the shaft backwards: {axis.holding_torque}. Gears may slow it or hold it today; friction is not a brake. Prop the load before you switch off, keep hands and heads out of its path, and fit a spring, a counterweight or a brake where anyone can reach it.",
        numbers: &[
            "axis.holding_torque",
            "axis.back_driving_torque",
            "gears.back_drive_torque",
        ],
        when: turns_back,
    },
    Finding {
        id: "held_by_friction",
        station: Station::Axis,
        message: "With the power off only friction holds this load against {axis.holding_torque} at the shaft. It may hold, it may creep with vibration, grease and wear; never rely on it where someone can be hurt.",
        numbers: &[
            "axis.holding_torque",
            "axis.back_driving_torque",
            "gears.back_drive_torque",
        ],
        when: held,
    },
    Finding {
        id: "no_home",
        station: Station::Axis,
        message: "Counts are lost without power, and nothing finds home again. Fit a switch, a stop or an index mark, or say which you have.",
        numbers: &[],
        when: no_home,
    },
    Finding {
        id: "inputs_disagree",
        station: Station::Axis,
        message: "The radius and the teeth do not say the same travel; the teeth are used ({axis.travel_per_turn} a turn).",
        numbers: &["axis.radius", "axis.travel_per_turn"],
        when: radius_disagrees,
    },
];

fn pulled(c: &Eval<'_>) -> Result<bool, Absent> {
    Ok(c.get(HOLDING_TORQUE)?.value.abs() > 0.0)
}

fn falls(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let carries = c.get(KIND)? != Kind::Torque;
    Ok((carries && pulled(c)? && c.get(BACK_DRIVES)?).then_some(Severity::Warning))
}

fn turns_back(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let before_limits = c.get(KIND)? == Kind::Torque;
    Ok((before_limits && pulled(c)? && c.get(BACK_DRIVES)?).then_some(Severity::Warning))
}

fn held(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((pulled(c)? && !c.get(BACK_DRIVES)?).then_some(Severity::Warning))
}

fn no_home(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((c.get(HOME)? == Home::None).then_some(Severity::Fault))
}

fn radius_disagrees(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let both = match c.get(KIND)? {
        Kind::Belt => c.given(RADIUS) && c.given(PULLEY_TEETH),
        Kind::Rack => c.given(RADIUS) && c.given(PINION_TEETH),
        _ => false,
    };
    if !both {
        return Ok(None);
    }
    let by_teeth = formulas::effective_radius(c.get(TURN_TRAVEL)?);
    let off = (c.get(RADIUS)?.value / by_teeth.value - 1.0).abs();
    Ok((off > 1e-3).then_some(Severity::Note))
}
