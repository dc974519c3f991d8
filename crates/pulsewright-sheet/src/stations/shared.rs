//! What several stations ask: found once, for all of them.

use pulsewright_calc::axis::{ArmMove, Carried, TurnTravel};
use pulsewright_calc::error_budget::FlankLoad;
use pulsewright_calc::gears::Gearing;
use pulsewright_calc::heat::ThermalModel;
use pulsewright_calc::motion::{Drivetrain, Motion, MoveLoad};
use pulsewright_calc::position_loop::Gains;
use pulsewright_calc::units::{
    Angle, ElectricCurrent, ElectricPotential, ElectricalResistance, Power, Ratio,
    ThermalResistance, ThermodynamicTemperature, Time, Torque,
};

use uom::si::electric_current::ampere;

use crate::evaluation::{Absent, Code, Eval, Margin, NOT_FINITE, Severity, Status};
use crate::register::bridge::LimitKind;
use crate::register::movement::{Approach, Direction, Profile};
use crate::register::{
    Key, Kind, Part, Travel, axis, bridge, drive, encoder, first_input, gears, heat, motor,
    movement, position_loop, stepper, steps, supply, wiring,
};
use crate::text::measure::Measure;

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
    shown_travel(c, c.travel(key)?).map_err(|absent| match absent.about {
        OF_TRAVEL => Absent::refused(key.index(), absent.why),
        _ => absent,
    })
}

/// Stands for the input whose travel is refused, until it is known which.
const OF_TRAVEL: u16 = u16::MAX;

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
        Travel::Angle(_) if kind.is_linear() => Err(Absent::refused(
            usize::from(OF_TRAVEL),
            "an angle, but this kind of axis moves along a line",
        )),
        Travel::Length(_) if kind == Kind::Torque => Err(Absent::refused(
            usize::from(OF_TRAVEL),
            "a length, but with a load torque entered there is no arm length",
        )),
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
        Kind::Torque => Err(Absent::not_asked(
            "with a load torque entered there is no travel along a line",
        )),
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

/// An arm whose angle is given: its torques at the axis over the move. Otherwise none: nothing is
/// said of the angle, and level all the way is the worst.
///
/// # Errors
/// Why the load or the distance is not there.
pub fn swing<'c>(c: &'c Eval<'_>) -> Result<Option<&'c ArmMove>, Absent> {
    Ok(c.shared(&c.intermediates.swing, arm_move)?.as_ref())
}

fn arm_move(c: &Eval<'_>) -> Result<Option<ArmMove>, Absent> {
    if c.get(axis::KIND)? != Kind::Arm || c.left_out_now(axis::START_ANGLE) {
        return Ok(None);
    }
    let way = match c.get(movement::DIRECTION)? {
        Direction::Lowering => -1.0,
        Direction::Lifting | Direction::Both => 1.0,
    };
    let travel =
        at_output(c, c.travel(axis::DISTANCE_AT_LOAD)?)? / c.get(axis::LAST_STAGE_NOW)?.value;
    Ok(Some(pulsewright_calc::axis::arm_move(
        carried(c)?,
        c.get(axis::RADIUS)?,
        c.get(axis::START_ANGLE)?,
        way * travel,
    )))
}

/// The load of [`movement::LOAD_LIFTING`] or [`movement::LOAD_LOWERING`] over its move: that of an arm whose angle is given
/// changes with it, any other is the same all the way.
///
/// # Errors
/// Why the load or the distance is not there.
pub fn load_over(c: &Eval<'_>, load: Key<Torque>) -> Result<MoveLoad, Absent> {
    let Some(swing) = swing(c)? else {
        return Ok(c.get(load)?.into());
    };
    let (stage, travel) = (c.get(axis::LAST_STAGE_NOW)?, swing.travel.abs());
    let (lowest, force) = (swing.start.min(swing.start + swing.travel), swing.force);
    let rises = load.index() == movement::LOAD_LIFTING.index();
    let (crest, steady, start, travel) = if rises {
        (swing.crest, swing.friction + force, lowest, travel)
    } else {
        (
            -swing.crest,
            swing.friction - force,
            lowest + travel,
            -travel,
        )
    };
    Ok(MoveLoad::Swing {
        crest: (crest / stage).into(),
        steady: (steady / stage).into(),
        start,
        travel,
    })
}

/// What the axis carries.
///
/// # Errors
/// Why one of its figures is not there.
pub fn carried(c: &Eval<'_>) -> Result<Carried, Absent> {
    Ok(Carried {
        mass: c.get(axis::LOAD_MASS)?,
        external_force: c.get(axis::EXTERNAL_FORCE)?,
        drag_force: c.get(axis::DRAG_FORCE)?,
    })
}

/// The torques at the axis of the arm where it holds: at the end of the move, and of a move there and
/// back at the end where it holds more.
#[must_use]
pub fn held_load(swing: &ArmMove, direction: Direction) -> pulsewright_calc::axis::Load {
    let (start, end) = (swing.load_at_start(), swing.load_at_end());
    let starts =
        direction == Direction::Both && start.holding_torque.abs() > end.holding_torque.abs();
    if starts { start } else { end }
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
/// loads to go with it are [`movement::LOAD_LIFTING`] and [`movement::LOAD_LOWERING`].
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
    c.shared(&c.intermediates.gearing, |c| {
        pulsewright_calc::steps::gearing(
            c.exact(steps::COUNTS_PER_STEP)?,
            c.get(steps::GEARING_LIMIT)? as u64,
        )
        .ok_or(Absent::impossible(
            "no electronic gear ratio within this limit represents the counts per step",
        ))
    })
    .copied()
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

/// Whether two sensors give direction: with one there is none to lose.
///
/// # Errors
/// That what hangs on it waits.
pub fn gives_direction(c: &Eval<'_>) -> Result<(), Absent> {
    if c.get(encoder::SENSORS)? >= 2
        && counting_direction(c)? == pulsewright_calc::encoder::Direction::None
    {
        return Err(Absent::waits("waits: the sensors give no direction"));
    }
    Ok(())
}

/// Resistance of what all actuators share: the source, and the cable where there is one for all.
///
/// # Errors
/// When the source is not there.
pub fn common_resistance(
    c: &Eval<'_>,
    cable: ElectricalResistance,
) -> Result<ElectricalResistance, Absent> {
    let source = c.get(supply::SOURCE_RESISTANCE)?;
    Ok(match c.get(wiring::SHARED)? {
        wiring::Shared::Common => source + cable,
        wiring::Shared::Own => source,
    })
}

/// Voltage that the other actuators leave where those that move as well make the move in another time.
///
/// # Errors
/// When a part of it is not there.
pub fn voltage_beside_moving(c: &Eval<'_>) -> Result<impl Fn(Time) -> ElectricPotential, Absent> {
    let others = pulsewright_calc::supply::Fleet {
        actuators: c.get(supply::ACTUATORS)?.saturating_sub(1),
        moving_together: c.get(supply::MOVING_TOGETHER)?.saturating_sub(1),
    };
    let (train, asked) = (*drivetrain(c)?, *motion(c)?);
    let mut loads = [None; 2];
    let direction = c.get(movement::DIRECTION)?;
    if direction != Direction::Lowering {
        loads[0] = Some(load_over(c, movement::LOAD_LIFTING)?);
    }
    if direction != Direction::Lifting {
        loads[1] = Some(load_over(c, movement::LOAD_LOWERING)?);
    }
    let (resistance, path) = (c.get(drive::MOTOR_RESISTANCE)?, c.get(drive::SUPPLY_PATH)?);
    let (voltage, board) = (
        c.get(drive::LOWEST_VOLTAGE)?,
        c.get(supply::BOARD_AT_LOWEST)?,
    );
    let common = common_resistance(c, c.get(wiring::SUPPLY_RESISTANCE)?)?;
    let holding = match others.actuators {
        0 => ElectricCurrent::default(),
        _ => c.get(supply::HOLDING_CURRENT)?,
    };
    Ok(move |time| {
        if others.actuators == 0 {
            return voltage;
        }
        let motion = Motion { time, ..asked };
        let moving = if others.moving_together == 0 {
            Ok(holding)
        } else {
            let power =
                |load| pulsewright_calc::motion::peak_power(&train, motion, load, resistance);
            let power = loads.into_iter().flatten().map(power).reduce(Power::max);
            pulsewright_calc::supply::motor_current(power.unwrap_or_default(), voltage, path)
        };
        // Source and cable cannot give this power: nothing is left.
        moving.map_or(ElectricPotential::default(), |moving| {
            let current = others.worst_current(moving.max(holding), holding, board);
            pulsewright_calc::supply::shared_voltage(voltage, common, current).voltage
        })
    })
}

/// The current limit in effect, where there is one.
///
/// # Errors
/// When it is not understood.
pub fn limit_in_effect(c: &Eval<'_>) -> Result<Option<ElectricCurrent>, Absent> {
    match c.get(drive::CURRENT_LIMIT) {
        Ok(limit) => Ok(Some(limit)),
        Err(absent) if absent.code == Code::Unlimited => Ok(None),
        Err(absent) => Err(absent),
    }
}

/// Sizes of drivers and pins that are assumed, in amperes (common practice, no source).
pub const ASSUMED_CURRENTS: [f64; 10] = [1.5, 2.0, 3.0, 5.0, 10.0, 15.0, 20.0, 30.0, 50.0, 100.0];

/// The least of these sizes that carries the stall current of the motor alone at the highest supply
/// voltage, so that no part that is only assumed is at fault; the greatest where none does.
///
/// # Errors
/// When motor or supply are not there.
pub fn size_for_stall(
    c: &Eval<'_>,
    sizes: &[f64],
    carries: impl Fn(f64) -> ElectricCurrent,
) -> Result<f64, Absent> {
    let stall = c.get(drive::HIGHEST_VOLTAGE)? / c.get(motor::RESISTANCE)?;
    let fits = sizes.iter().copied().find(|&size| carries(size) >= stall);
    fits.or(sizes.last().copied()).ok_or(NOT_FINITE)
}

/// The assumed size of a part that is sold by its current.
///
/// # Errors
/// When motor or supply are not there.
pub fn current_for_stall(c: &Eval<'_>) -> Result<f64, Absent> {
    size_for_stall(c, &ASSUMED_CURRENTS, ElectricCurrent::new::<ampere>)
}

/// Current of a motor that is blocked at a voltage behind a resistance; without the bridge's limit
/// where it is asked what the bridge meets.
///
/// # Errors
/// When a part of it is not there.
pub fn blocked_at(
    c: &Eval<'_>,
    voltage: ElectricPotential,
    resistance: ElectricalResistance,
    limit_kind: LimitKind,
) -> Result<ElectricCurrent, Absent> {
    use pulsewright_calc::supply as formulas;
    formulas::limited_blocked_current(&formulas::BlockedPath {
        voltage,
        voltage_limit: c.get(position_loop::VOLTAGE_LIMIT)?,
        resistance,
        loop_limit: c.option(position_loop::CURRENT_LIMIT)?,
        bridge_limit: c.get(bridge::CURRENT_LIMIT)?,
        limit_kind: match limit_kind {
            LimitKind::Limits => formulas::LimitKind::Limits,
            LimitKind::ShutsDown => formulas::LimitKind::ShutsDown,
            LimitKind::None => formulas::LimitKind::None,
        },
    })
    .map(|blocked| blocked.current)
    .ok_or(NOT_FINITE)
}

/// The lower one of the loop's limit and of what the bridge allows, whether the bridge limits there
/// or only survives it: what may be asked on purpose.
///
/// # Errors
/// When it is not understood.
pub fn current_allowed(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let bridge = c.get(bridge::CURRENT_LIMIT)?;
    Ok(c.option(position_loop::CURRENT_LIMIT)?
        .map_or(bridge, |own| own.min(bridge)))
}

/// A fault where a check's margin is under.
pub fn under(margin: Option<Margin>) -> Result<Option<Severity>, Absent> {
    Ok(margin
        .filter(|r| r.status() == Status::Fails)
        .map(|_| Severity::Fault))
}

/// The margin of the best case, where even that is under; otherwise what is missing.
pub fn under_already(at_best: Margin, absent: Absent) -> Result<Margin, Absent> {
    if at_best.status() == Status::Fails {
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
        "enter one figure of the stepper to compare with it",
    ))
}

/// Share of the free play that shows in where the load stops, at the load.
///
/// # Errors
/// When the load or the gears are not there.
pub fn backlash_share(c: &Eval<'_>) -> Result<Travel, Absent> {
    // Before the loss of a last stage: that loss only scales what is left over, unless the stage
    // locks. Then the load keeps none of the gears' teeth loaded.
    let (held, friction) = match swing(c)? {
        Some(swing) => {
            // Where the weight changes sides within the move the teeth change flanks.
            let least = swing.least.max(-swing.greatest).max(Torque::default());
            let stage = c.get(axis::LAST_STAGE_NOW)?;
            ((least / stage).into(), (swing.friction / stage).into())
        }
        None => {
            let held = c.get(axis::HOLDING_TORQUE)?;
            (held, c.get(movement::LOAD_LIFTING)? - held)
        }
    };
    let locks = last_stage_efficiency(c)?.value <= 0.5;
    let flank = FlankLoad {
        holding_torque: if locks { Torque::default() } else { held },
        friction_torque: friction,
        load_inertia: c.get(axis::LOAD_INERTIA)?,
        peak_acceleration: c.get(movement::PEAK_ACCELERATION)?,
    };
    let approach = match c.get(movement::APPROACH)? {
        Approach::Either => pulsewright_calc::error_budget::Approach::Either,
        Approach::Centred => pulsewright_calc::error_budget::Approach::Centred,
        Approach::OneSide => pulsewright_calc::error_budget::Approach::OneSide,
    };
    let play = angle_of(c, c.travel(gears::BACKLASH_AT_LOAD)?)?;
    let share = pulsewright_calc::error_budget::backlash_share(play, approach, &flank);
    if approach == pulsewright_calc::error_budget::Approach::OneSide {
        c.working("'0: it always comes from the same side'");
    } else if flank.keeps_one_flank() {
        c.working("'0: the holding torque outweighs friction and acceleration, the teeth never change flanks'");
    } else if approach == pulsewright_calc::error_budget::Approach::Centred {
        c.working("gears.backlash_at_load / 2");
    } else {
        c.working("gears.backlash_at_load");
    }
    shown_angle(c, share)
}

/// Least time that any counter needs between two edges (common practice, no source).
pub const LEAST_GAP: f64 = 1e-6;

/// A travel at the load as the angle that this kind of axis has for it.
pub fn angle_of(c: &Eval<'_>, travel: Travel) -> Result<Angle, Absent> {
    Ok(at_output(c, travel)? / c.get(axis::LAST_STAGE_NOW)?.value)
}

/// Why a temperature is not there.
pub const NO_EQUILIBRIUM: Absent = Absent::impossible(
    "no thermal equilibrium: the copper loss grows faster than the heat is removed",
);

/// Winding and housing in the steady state of the cycle, beyond their limits as well: what they are told by keeps these.
///
/// # Errors
/// [`NO_EQUILIBRIUM`], or why a figure is not there.
pub fn equilibrium<'c>(
    c: &'c Eval<'_>,
) -> Result<&'c pulsewright_calc::heat::Temperatures, Absent> {
    c.shared(&c.intermediates.equilibrium, |c| {
        pulsewright_calc::heat::equilibrium(
            thermal_model(c)?,
            c.get(heat::RMS_CURRENT)?,
            c.get(heat::FRICTION_LOSS)?,
        )
        .map_err(|_| NO_EQUILIBRIUM)
    })
}

/// A temperature, where it keeps the limit of what it heats: no temperature is told beyond it.
///
/// # Errors
/// That it lies above it; or why the limit is not there.
pub fn up_to(
    c: &Eval<'_>,
    temperature: ThermodynamicTemperature,
    limit: Key<ThermodynamicTemperature>,
) -> Result<ThermodynamicTemperature, Absent> {
    if temperature > c.get(limit)? {
        return Err(Absent::above(limit.index()));
    }
    Ok(temperature)
}

/// The warming that a limit allows against the warming; beyond the limit the heat that would make it.
#[must_use]
pub fn heat_room(
    around: ThermodynamicTemperature,
    limit: ThermodynamicTemperature,
    reached: ThermodynamicTemperature,
    outward: ThermalResistance,
) -> Margin {
    let rises = Margin {
        from: around.value,
        ..Margin::of(limit.value - around.value, reached.value - around.value)
    };
    if reached <= limit {
        return rises;
    }
    Margin {
        capability: rises.capability / outward.value,
        need: rises.need / outward.value,
        measure: Some(Measure::Power),
        from: 0.0,
        ..rises
    }
}

/// Winding, bridge, cable and source before any cycle has warmed them, at the ambient temperature.
fn cold_resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(c.get(heat::RESISTANCE_AT_AMBIENT)?
        + c.get(bridge::RESISTANCE)?
        + c.get(drive::SUPPLY_PATH)?)
}

/// Torque within the current limit against the torque of the move, cold: what heat takes away is judged apart.
///
/// # Errors
/// Why a figure is not there.
pub fn torque_margin(c: &Eval<'_>) -> Result<Margin, Absent> {
    c.shared(&c.intermediates.cold_torque, cold_torque).copied()
}

fn cold_torque(c: &Eval<'_>) -> Result<Margin, Absent> {
    let stall = c.get(drive::LOWEST_VOLTAGE)? / cold_resistance(c)?;
    let torque = pulsewright_calc::drive::stall_torque(
        c.get(gears::RATIO_NOW)?,
        c.get(gears::EFFICIENCY_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        limit_in_effect(c)?.map_or(stall, |limit| stall.min(limit)),
        c.get(motor::NO_LOAD_CURRENT)?,
    );
    Ok(Margin::of(torque, c.get(movement::PEAK_TORQUE)?))
}

/// Speed with the load against that of the move, cold.
///
/// # Errors
/// Why a figure is not there.
pub fn speed_margin(c: &Eval<'_>) -> Result<Margin, Absent> {
    c.shared(&c.intermediates.cold_speed, cold_speed).copied()
}

fn cold_speed(c: &Eval<'_>) -> Result<Margin, Absent> {
    let speed = pulsewright_calc::drive::speed_at_current(
        c.get(drive::LOWEST_VOLTAGE)?,
        c.get(drive::CURRENT_AT_LOAD)?,
        cold_resistance(c)?,
        c.get(motor::BACK_EMF_CONSTANT)?,
        c.get(gears::RATIO_NOW)?,
    )
    .ok_or(NOT_FINITE)?;
    Ok(Margin::of(speed, c.get(movement::PEAK_SPEED)?))
}

/// The lowest voltage against what the worst moment of the move takes, cold.
///
/// # Errors
/// Why a figure is not there.
pub fn voltage_margin(c: &Eval<'_>) -> Result<Margin, Absent> {
    c.shared(&c.intermediates.cold_voltage, cold_voltage)
        .copied()
}

fn cold_voltage(c: &Eval<'_>) -> Result<Margin, Absent> {
    let (voltage, resistance) = (c.get(drive::LOWEST_VOLTAGE)?, cold_resistance(c)?);
    let left = |load| -> Result<ElectricPotential, Absent> {
        Ok(pulsewright_calc::motion::voltage_margin(
            drivetrain(c)?,
            *motion(c)?,
            load_over(c, load)?,
            resistance,
            voltage,
        ))
    };
    let left = match c.get(movement::DIRECTION)? {
        Direction::Lifting => left(movement::LOAD_LIFTING)?,
        Direction::Lowering => left(movement::LOAD_LOWERING)?,
        Direction::Both => left(movement::LOAD_LIFTING)?.min(left(movement::LOAD_LOWERING)?),
    };
    Ok(Margin::of(voltage, voltage - left))
}

/// Whether the motor can make the move at all: figures of a move that cannot happen wait.
///
/// # Errors
/// That they wait; or why a figure is not there.
pub fn move_is_made(c: &Eval<'_>) -> Result<(), Absent> {
    c.shared(&c.intermediates.made_move, |c| {
        // A hair for what is asked exactly at a limit; with the load there is no torque and no speed to be short of.
        let made = |margin: Margin| margin.ratio().is_none_or(|ratio| ratio >= 1.0 - 1e-6);
        let lifts = c.get(movement::DIRECTION)? != Direction::Lowering;
        if !made(voltage_margin(c)?)
            || lifts && !(made(torque_margin(c)?) && made(speed_margin(c)?))
        {
            return Err(Absent::waits("waits: the motor cannot make this move"));
        }
        Ok(())
    })
    .copied()
}
