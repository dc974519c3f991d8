//! What has to move.

use super::shared::{at_output, axis_load, carried, entered_travel, held_load, swing, turn_travel};
use crate::evaluation::Check;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Finding, Severity};
use crate::register::Kind;
use crate::register::axis::*;
use crate::register::movement::Direction;
use crate::register::{Rational, Station, Travel, gears, motor, movement};
use pulsewright_calc::axis::{self as formulas, ArmMove, TurnTravel};
use pulsewright_calc::ratio;
use pulsewright_calc::units::{Angle, Energy, Force, Length, MomentOfInertia, Ratio, Torque};

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
        KINETIC_ENERGY = kinetic_energy;
        DROP_ENERGY = drop_energy;
    }
    presets {
        PAYLOAD_INERTIA = payload_inertia;
        LOAD_IS = load_is;
    }
    limits {
        HELD_TORQUE: AtMost |c| c.before_limits(LOAD_TORQUE_GIVEN), "the load torque", "the torque at rest is part of the load torque";
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

/// A torque that is held and given is a part of the load's.
fn load_is(c: &Eval<'_>) -> Result<f64, Absent> {
    let part = !c.left_out_now(HELD_TORQUE);
    Ok(f64::from(if part {
        LoadIs::Part as u8
    } else {
        LoadIs::Lifting as u8
    }))
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
            "a rotating axis has no force along a line",
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

/// What of a load torque that is given also pulls at rest, and its working: the rest is friction.
fn held_of_given(c: &Eval<'_>) -> Result<(Torque, &'static str), Absent> {
    let held = match c.get(LOAD_IS)? {
        LoadIs::Friction => return Ok((Torque::default(), "0")),
        LoadIs::Part => c.option(HELD_TORQUE)?,
        LoadIs::Lifting => None,
    };
    match held {
        Some(held) => Ok((held, "axis.held_torque")),
        None => Ok((c.get(LOAD_TORQUE_GIVEN)?, "axis.load_torque_given")),
    }
}

/// The torque of an arm where its cosine is as it is at the start of the move, at its end after a way
/// up or down, upright or level; with what is added, and what stands around the weight.
macro_rules! arm_working {
    ($drag:literal) => {
        arm_working!($drag, "", "")
    };
    ($drag:literal, $sign:literal, $close:literal) => {
        [
            arm_working!($drag, $sign, $close, "cos(axis.start_angle)"),
            arm_working!(
                $drag,
                $sign,
                $close,
                "cos(axis.start_angle + move.output_angle / axis.last_stage)"
            ),
            arm_working!(
                $drag,
                $sign,
                $close,
                "cos(axis.start_angle - move.output_angle / axis.last_stage)"
            ),
            arm_working!($drag, $sign, $close, "1"),
            arm_working!($drag, $sign, $close, "(-1)"),
        ]
    };
    ($drag:literal, $sign:literal, $close:literal, $cosine:literal) => {
        concat!(
            $sign,
            "axis.load_mass * g * axis.radius * ",
            $cosine,
            " + axis.external_force * axis.radius",
            $close,
            $drag
        )
    };
}

/// The one of the workings for the place of the move where the arm has this torque.
fn place(
    swing: &ArmMove,
    torque: Torque,
    direction: Direction,
    [start, up, down, level, far]: [&'static str; 5],
) -> &'static str {
    if torque == swing.at_end {
        if direction == Direction::Lowering {
            down
        } else {
            up
        }
    } else if torque == swing.at_start {
        start
    } else if torque > swing.at_end {
        level
    } else {
        far
    }
}

/// Torques at the axis itself, by its kind.
fn load_at_axis(c: &Eval<'_>) -> Result<formulas::Load, Absent> {
    match c.get(KIND)? {
        Kind::Arm => match swing(c)? {
            Some(swing) => Ok(formulas::Load {
                holding_torque: held_load(swing, c.get(movement::DIRECTION)?).holding_torque,
                ..swing.worst()
            }),
            None => Ok(formulas::arm(carried(c)?, c.get(RADIUS)?)),
        },
        Kind::Turntable => Ok(formulas::turntable(
            carried(c)?,
            c.get(RADIUS)?,
            c.get(FRICTION_COEFFICIENT)?,
            c.get(BEARING_RADIUS)?,
        )),
        Kind::Torque => {
            let (load_torque, holding_torque) = (c.get(LOAD_TORQUE_GIVEN)?, held_of_given(c)?.0);
            Ok(formulas::Load {
                load_torque,
                holding_torque,
                load_torque_return: load_torque - 2.0 * holding_torque,
            })
        }
        Kind::Screw if c.option(TRANSMISSION_EFFICIENCY)?.is_none() => {
            formulas::screw_by_threads(straight(c)?, screw(c)?).map_err(|error| match error {
                formulas::ScrewError::Binds => Absent::impossible(
                    "the screw jams: π·d is not above f·l·sec α, so friction grows faster than any torque",
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
        Kind::Arm => {
            if let Some(swing) = swing(c)? {
                let formula = arm_working!(" + axis.drag_force * axis.radius");
                c.working(place(swing, swing.greatest, c.get(movement::DIRECTION)?, formula));
            }
        }
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
        Kind::Arm => {
            if let Some(swing) = swing(c)? {
                let direction = c.get(movement::DIRECTION)?;
                let held = held_load(swing, direction).holding_torque;
                c.working(place(swing, held, direction, arm_working!("")));
            }
        }
        Kind::Turntable => c.working("axis.external_force * axis.radius"),
        Kind::Torque => c.working(held_of_given(c)?.1),
        _ => c.working("(axis.load_mass * g * sin(axis.slope) + axis.external_force) * axis.travel_per_turn / (2 * pi)"),
    }
    Ok(load_at_axis(c)?.holding_torque)
}

fn return_at_axis(c: &Eval<'_>) -> Result<Torque, Absent> {
    if let Some(swing) = swing(c)? {
        let formula = arm_working!(" + axis.drag_force * axis.radius", "-(", ")");
        c.working(place(
            swing,
            swing.least,
            c.get(movement::DIRECTION)?,
            formula,
        ));
    }
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

/// The load at the output where the arm of a given angle holds; it resists as a positive torque.
fn held_at_output(c: &Eval<'_>, swing: &ArmMove) -> Result<formulas::Load, Absent> {
    let held = held_load(swing, c.get(movement::DIRECTION)?);
    let held = if held.holding_torque.value < 0.0 {
        formulas::Load {
            load_torque: held.load_torque_return,
            holding_torque: -held.holding_torque,
            load_torque_return: held.load_torque,
        }
    } else {
        held
    };
    if c.left_out_now(REDUCTION) {
        return Ok(held);
    }
    formulas::carry_load(held, reduction(c)?).ok_or(NOT_FINITE)
}

fn friction_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    if let Some(swing) = swing(c)? {
        c.working(if c.left_out_now(REDUCTION) {
            "axis.drag_force * axis.radius"
        } else {
            "(abs(axis.holding_at_axis) + axis.drag_force * axis.radius) / (axis.last_stage * axis.reduction_efficiency) - abs(axis.holding_torque)"
        });
        let held = held_at_output(c, swing)?;
        return Ok(held.load_torque - held.holding_torque);
    }
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

/// The load where the axis stands.
fn standing_load(c: &Eval<'_>) -> Result<formulas::Load, Absent> {
    match swing(c)? {
        Some(swing) => held_at_output(c, swing),
        None => axis_load(c),
    }
}

fn back_driving_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    let driving = formulas::back_driving(standing_load(c)?, holds(c)?).driving_torque;
    if swing(c)?.is_some() {
        c.working(if c.left_out_now(REDUCTION) {
            "max(0, abs(axis.holding_torque) - axis.drag_force * axis.radius)"
        } else {
            "max(0, (abs(axis.holding_at_axis) - axis.drag_force * axis.radius) / axis.last_stage * (2 - 1 / axis.reduction_efficiency))"
        });
    }
    Ok(if driving.value > 0.0 {
        driving
    } else {
        Torque::default()
    })
}

fn back_drives(c: &Eval<'_>) -> Result<bool, Absent> {
    Ok(formulas::back_driving(standing_load(c)?, holds(c)?).moves)
}

fn kinetic_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    Ok(formulas::kinetic_energy(
        c.get(LOAD_INERTIA)?,
        c.get(REFLECTED_INERTIA)?,
        c.get(movement::PEAK_SPEED)?,
    ))
}

fn drop_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    let height = match c.get(KIND)? {
        Kind::Arm => {
            c.working(
                "'m·g times the height between the highest and the lowest place of the move'",
            );
            let angle = at_output(c, c.travel(DISTANCE_AT_LOAD)?)? / c.get(LAST_STAGE_NOW)?.value;
            let lowest = match c.option(START_ANGLE)? {
                Some(start) if c.get(movement::DIRECTION)? == Direction::Lowering => start - angle,
                Some(start) => start,
                None => Angle::default(),
            };
            formulas::arm_height(c.get(RADIUS)?, lowest, angle)
        }
        kind if kind.is_linear() => match c.travel(DISTANCE_AT_LOAD)? {
            Travel::Length(length) => formulas::slope_height(length, c.get(SLOPE)?),
            Travel::Angle(_) => return Err(NOT_FINITE),
        },
        Kind::Turntable => {
            c.working("0");
            Length::default()
        }
        _ => {
            return Err(Absent::not_asked(
                "with a load torque entered, the height is not known",
            ));
        }
    };
    Ok(formulas::drop_energy(c.get(LOAD_MASS)?, height))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "falls_without_power",
        station: Station::Axis,
        message: "When the power goes, this load can fall: {axis.load_mass}, {axis.holding_torque} at the shaft, {axis.drop_energy}. Gears may slow it or hold it today; friction is not a brake. Prop or hang the load before you switch off, keep hands and heads out of its path, and fit a spring, a counterweight or a brake where anyone can reach under it.",
        numbers: &[
            "axis.holding_torque",
            "axis.back_driving_torque",
            "gears.back_drive_torque",
            "axis.drop_energy",
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
        message: "Without power the position is lost, and there is no homing. Fit a switch, a stop or an index mark, or enter the one you have.",
        numbers: &[],
        when: no_home,
    },
    Finding {
        id: "inputs_disagree",
        station: Station::Axis,
        message: "Radius and tooth counts give different travel per turn. The tooth counts are used: {axis.travel_per_turn} per turn.",
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
    if c.get(HOME)? != Home::None {
        return Ok(None);
    }
    // A question before the order; a fault where a place is asked for and the load can leave it unpowered.
    let asked = c.given(POSITION_TOLERANCE) && c.get(BACK_DRIVES).unwrap_or(false);
    Ok(Some(if asked {
        Severity::Fault
    } else {
        Severity::Note
    }))
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
