//! The motion asked for.

use super::shared::{
    at_output, drivetrain, last_stage_efficiency, load_over, motion, move_is_made, swing,
    thermal_model, voltage_beside_moving,
};
use crate::evaluation::Check;
use crate::evaluation::Finding;
use crate::evaluation::{Absent, Code, Eval};
use crate::register::movement::*;
use crate::register::{Key, bridge, drive, encoder, gears, heat, motor, steps, supply};
use crate::register::{Kind, axis};
use crate::text::measure::Measure;
use pulsewright_calc::motion::{self as formulas, Drivetrain, Limits, Motion, MoveLoad};
use pulsewright_calc::units::{
    Acceleration, Angle, AngularAcceleration, AngularVelocity, ElectricCurrent, ElectricPotential,
    ElectricalResistance, Ratio, Time, Torque, Velocity,
};

station! { movement;
    results {
        LOAD_LIFTING = load_against;
        LOAD_LOWERING = load_with;
        TRAIN_EFFICIENCY = train_efficiency;
        TRAIN_BACK_EFFICIENCY = train_back_efficiency;
        PEAK_SPEED = peak_speed;
        PEAK_ACCELERATION = peak_acceleration;
        OUTPUT_ANGLE = output_angle;
        PEAK_TRAVEL_SPEED = peak_travel_speed;
        PEAK_TRAVEL_ACCELERATION = peak_travel_acceleration;
        LIFTING_STARTING = against_starting;
        LIFTING_STEADY = against_steady;
        LIFTING_BRAKING = against_braking;
        LIFTING_PEAK = against_peak;
        LIFTING_RMS = against_rms;
        LIFTING_VOLTAGE = against_voltage;
        LOWERING_STARTING = with_starting;
        LOWERING_STEADY = with_steady;
        LOWERING_BRAKING = with_braking;
        LOWERING_PEAK = with_peak;
        LOWERING_RMS = with_rms;
        LOWERING_VOLTAGE = with_voltage;
        PEAK_CURRENT = peak_current;
        RMS_CURRENT = rms_current;
        PEAK_TORQUE = peak_torque;
        RMS_TORQUE = rms_torque;
        VOLTAGE_MARGIN = voltage_margin;
        SHORTEST_TIME = shortest_time;
    }
    words { SHORTEST_TIME = shortest_time_words; }
}

fn peak_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    if c.get(PROFILE)? == Profile::Smooth {
        c.working("1.875 * move.output_angle / move.time");
    }
    Ok(formulas::peak_speed(*motion(c)?))
}

fn peak_acceleration(c: &Eval<'_>) -> Result<AngularAcceleration, Absent> {
    if c.get(PROFILE)? == Profile::Smooth {
        c.working("10 / sqrt(3) / 1.875 * move.peak_speed / move.time");
    }
    Ok(formulas::peak_acceleration(*motion(c)?))
}

fn output_angle(c: &Eval<'_>) -> Result<Angle, Absent> {
    if c.get(axis::KIND)? == Kind::Torque {
        c.working("axis.distance_at_load * axis.last_stage");
    }
    at_output(c, c.travel(axis::DISTANCE_AT_LOAD)?)
}

/// Refuses what only an axis along a line has.
fn along_a_line(c: &Eval<'_>) -> Result<(), Absent> {
    if c.get(axis::KIND)?.is_linear() {
        Ok(())
    } else {
        Err(Absent::not_asked(
            "a rotating axis has no travel along a line",
        ))
    }
}

fn peak_travel_speed(c: &Eval<'_>) -> Result<Velocity, Absent> {
    along_a_line(c)?;
    let at_axis = c.get(PEAK_SPEED)? / c.get(axis::LAST_STAGE_NOW)?.value;
    Ok(formulas::travel_speed(at_axis, c.get(axis::TURN_TRAVEL)?))
}

fn peak_travel_acceleration(c: &Eval<'_>) -> Result<Acceleration, Absent> {
    along_a_line(c)?;
    let at_axis = c.get(PEAK_ACCELERATION)? / c.get(axis::LAST_STAGE_NOW)?.value;
    Ok(formulas::travel_acceleration(
        at_axis,
        c.get(axis::TURN_TRAVEL)?,
    ))
}

fn load_against(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok((c.get(axis::TORQUE_AT_AXIS)? / c.get(axis::LAST_STAGE_NOW)?).into())
}

fn load_with(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok((c.get(axis::RETURN_AT_AXIS)? / c.get(axis::LAST_STAGE_NOW)?).into())
}

fn train_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.left_out_now(axis::REDUCTION) {
        c.working("gears.efficiency");
    }
    Ok(drivetrain(c)?.efficiency)
}

fn train_back_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.left_out_now(axis::REDUCTION) {
        c.working("gears.back_driving_efficiency");
    } else if c.get(axis::REDUCTION_EFFICIENCY)?.value < 0.5 {
        c.working("(2 - 1 / axis.reduction_efficiency) / gears.efficiency");
    }
    Ok(drivetrain(c)?.back_driving_efficiency)
}

/// One of the two moves of a cycle and its results.
struct Half {
    torque: Key<Torque>,
    starting: Key<ElectricCurrent>,
    steady: Key<ElectricCurrent>,
    braking: Key<ElectricCurrent>,
    /// Workings at the start, steady and at the end: load driving; then, with a last stage, motor
    /// driving and load driving.
    driven: [&'static str; 3],
    staged_driving: [&'static str; 3],
    staged_driven: [&'static str; 3],
    smooth_rms: &'static str,
}

impl Half {
    /// Current at so many peak accelerations: 1, 0 or −1.
    fn current(&self, c: &Eval<'_>, share: f64) -> Result<ElectricCurrent, Absent> {
        let torque = c.get(self.torque)?;
        let acceleration = c.get(PEAK_ACCELERATION)? * share;
        let inertial: Torque = (c.get(axis::LOAD_INERTIA)? * acceleration).into();
        let workings = match (
            c.left_out_now(axis::REDUCTION),
            (torque + inertial).value < 0.0,
        ) {
            (true, false) => None,
            (true, true) => Some(self.driven),
            (false, false) => Some(self.staged_driving),
            (false, true) => Some(self.staged_driven),
        };
        if let Some([starting, steady, braking]) = workings {
            c.working(if share > 0.0 {
                starting
            } else if share < 0.0 {
                braking
            } else {
                steady
            });
        }
        Ok(formulas::motor_current(
            drivetrain(c)?,
            torque,
            acceleration,
        ))
    }

    /// Whether the gears change between driving and being driven within the move.
    fn changes(&self, c: &Eval<'_>) -> Result<bool, Absent> {
        let torque = c.get(self.torque)?;
        let inertial: Torque = (c.get(axis::LOAD_INERTIA)? * c.get(PEAK_ACCELERATION)?).into();
        Ok(torque.abs() < inertial)
    }

    fn peak(&self, c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
        move_is_made(c)?;
        let load = load_over(c, self.torque)?;
        let peak = formulas::peak_current(drivetrain(c)?, *motion(c)?, load);
        if swing(c)?.is_some() {
            c.working("'the greatest over the move, the weight by the angle of every moment'");
            return Ok(peak);
        }
        let ends = c
            .get(self.starting)?
            .abs()
            .max(c.get(self.steady)?.abs())
            .max(c.get(self.braking)?.abs());
        if peak > ends * (1.0 + 1e-12) {
            c.working("'the greatest over the move: where the load begins to drive'");
        }
        Ok(peak)
    }

    fn rms(&self, c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
        move_is_made(c)?;
        if c.get(PROFILE)? == Profile::Smooth {
            c.working(if self.changes(c)? {
                "'√(∫i² dt / t), in pieces: within the move the load begins to drive'"
            } else {
                self.smooth_rms
            });
        }
        if swing(c)?.is_some() {
            c.working("'√(∫i² dt / t), the weight by the angle of every moment'");
        }
        let load = load_over(c, self.torque)?;
        Ok(formulas::rms_current(drivetrain(c)?, *motion(c)?, load))
    }

    fn voltage(&self, c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
        if c.get(PROFILE)? == Profile::Smooth {
            c.working("'the greatest of R·i + K_e·N·ω over the move'");
        }
        if swing(c)?.is_some() {
            c.working(
                "'the greatest of R·i + K_e·N·ω over the move, the weight by the angle of every moment'",
            );
        }
        let left = formulas::voltage_margin(
            drivetrain(c)?,
            *motion(c)?,
            load_over(c, self.torque)?,
            c.get(drive::TOTAL_RESISTANCE_HOT)?,
            ElectricPotential::default(),
        );
        Ok(-left)
    }
}

const AGAINST: Half = Half {
    torque: LOAD_LIFTING,
    starting: LIFTING_STARTING,
    steady: LIFTING_STEADY,
    braking: LIFTING_BRAKING,
    driven: [
        driven!("axis.load_torque", "+"),
        steady_driven!("axis.load_torque"),
        driven!("axis.load_torque", "-"),
    ],
    staged_driving: [
        driving!("move.load_lifting", "+", "move.train_efficiency"),
        steady_driving!("move.load_lifting", "move.train_efficiency"),
        driving!("move.load_lifting", "-", "move.train_efficiency"),
    ],
    staged_driven: [
        driven!("move.load_lifting", "+", "move.train_back_efficiency"),
        steady_driven!("move.load_lifting", "move.train_back_efficiency"),
        driven!("move.load_lifting", "-", "move.train_back_efficiency"),
    ],
    smooth_rms: "sqrt(move.lifting_steady ^ 2 + 18 / 35 * (move.lifting_starting - move.lifting_steady) ^ 2)",
};

const WITH: Half = Half {
    torque: LOAD_LOWERING,
    starting: LOWERING_STARTING,
    steady: LOWERING_STEADY,
    braking: LOWERING_BRAKING,
    driven: [
        driven!("axis.load_torque_return", "+"),
        steady_driven!("axis.load_torque_return"),
        driven!("axis.load_torque_return", "-"),
    ],
    staged_driving: [
        driving!("move.load_lowering", "+", "move.train_efficiency"),
        steady_driving!("move.load_lowering", "move.train_efficiency"),
        driving!("move.load_lowering", "-", "move.train_efficiency"),
    ],
    staged_driven: [
        driven!("move.load_lowering", "+", "move.train_back_efficiency"),
        steady_driven!("move.load_lowering", "move.train_back_efficiency"),
        driven!("move.load_lowering", "-", "move.train_back_efficiency"),
    ],
    smooth_rms: "sqrt(move.lowering_steady ^ 2 + 18 / 35 * (move.lowering_starting - move.lowering_steady) ^ 2)",
};

fn against_starting(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    AGAINST.current(c, 1.0)
}

fn against_steady(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    AGAINST.current(c, 0.0)
}

fn against_braking(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    AGAINST.current(c, -1.0)
}

fn against_peak(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    AGAINST.peak(c)
}

fn against_rms(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    AGAINST.rms(c)
}

fn against_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    AGAINST.voltage(c)
}

fn with_starting(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    WITH.current(c, 1.0)
}

fn with_steady(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    WITH.current(c, 0.0)
}

fn with_braking(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    WITH.current(c, -1.0)
}

fn with_peak(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    WITH.peak(c)
}

fn with_rms(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    WITH.rms(c)
}

fn with_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    WITH.voltage(c)
}

/// The greater of two results over the moves that are asked for; names its formula.
fn greatest<Q: crate::register::Physical + PartialOrd>(
    c: &Eval<'_>,
    (against, with): (Key<Q>, Key<Q>),
    [back, both]: [&'static str; 2],
) -> Result<Q, Absent> {
    match c.get(DIRECTION)? {
        Direction::Lifting => c.get(against),
        Direction::Lowering => {
            c.working(back);
            c.get(with)
        }
        Direction::Both => {
            c.working(both);
            Ok(formulas::Direction::Both.greatest(c.get(against)?, c.get(with)?))
        }
    }
}

fn peak_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let moving = greatest(
        c,
        (LIFTING_PEAK, LOWERING_PEAK),
        [
            "max(move.lowering_peak, abs(hold.selected_current))",
            "max(max(move.lifting_peak, move.lowering_peak), abs(hold.selected_current))",
        ],
    )?;
    Ok(moving.max(c.get(heat::DWELL_CURRENT)?.abs()))
}

fn rms_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let direction = c.get(DIRECTION)?;
    match direction {
        Direction::Lifting => {}
        Direction::Lowering => c.working("sqrt((move.lowering_rms ^ 2 * move.time + hold.selected_current ^ 2 * move.dwell) / (move.time + move.dwell))"),
        Direction::Both => c.working("sqrt(((move.lifting_rms ^ 2 + move.lowering_rms ^ 2) / 2 * move.time + hold.selected_current ^ 2 * move.dwell) / (move.time + move.dwell))"),
    }
    let half = |moving| -> Result<ElectricCurrent, Absent> {
        Ok(formulas::rms_with_dwell(
            c.get(moving)?,
            c.get(heat::DWELL_CURRENT)?,
            c.get(TIME)?,
            c.get(DWELL)?,
        ))
    };
    match direction {
        Direction::Lifting => half(LIFTING_RMS),
        Direction::Lowering => half(LOWERING_RMS),
        Direction::Both => Ok(formulas::rms_of_cycle(
            formulas::Direction::Both,
            half(LIFTING_RMS)?,
            half(LOWERING_RMS)?,
        )),
    }
}

/// What is told of each move that is asked for: against the load, with it.
fn of_halves<T>(
    c: &Eval<'_>,
    of: impl Fn(MoveLoad) -> T,
    both: impl Fn(T, T) -> T,
) -> Result<T, Absent> {
    let half = |load| Ok(of(load_over(c, load)?));
    Ok(match c.get(DIRECTION)? {
        Direction::Lifting => half(LOAD_LIFTING)?,
        Direction::Lowering => half(LOAD_LOWERING)?,
        Direction::Both => both(half(LOAD_LIFTING)?, half(LOAD_LOWERING)?),
    })
}

macro_rules! staged_peak {
    ($torque:literal) => {
        concat!(
            "max((axis.load_inertia * move.peak_acceleration + ",
            $torque,
            ") / axis.reduction_efficiency, (axis.load_inertia * move.peak_acceleration - ",
            $torque,
            ") * abs(2 - 1 / axis.reduction_efficiency))"
        )
    };
}

fn peak_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.working(match (c.left_out_now(axis::REDUCTION), c.get(DIRECTION)?) {
        (true, Direction::Lifting) => "abs(axis.load_torque) + axis.load_inertia * move.peak_acceleration",
        (true, Direction::Lowering) => "abs(axis.load_torque_return) + axis.load_inertia * move.peak_acceleration",
        (true, Direction::Both) => "max(abs(axis.load_torque), abs(axis.load_torque_return)) + axis.load_inertia * move.peak_acceleration",
        (false, Direction::Lifting) => staged_peak!("move.load_lifting"),
        (false, Direction::Lowering) => staged_peak!("move.load_lowering"),
        (false, Direction::Both) => concat!(
            "max(", staged_peak!("move.load_lifting"), ", ", staged_peak!("move.load_lowering"), ")"
        ),
    });
    if swing(c)?.is_some() {
        c.working("'the greatest |T| over the move, the weight by the angle of every moment'");
    }
    let (motion, inertia) = (*motion(c)?, c.get(axis::LOAD_INERTIA)?);
    let stage = last_stage_efficiency(c)?;
    of_halves(
        c,
        |load| formulas::greatest_torque(motion, load, inertia, stage),
        |against, with| against.max(with),
    )
}

fn rms_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.working(match (c.get(PROFILE)?, c.get(DIRECTION)?) {
        _ if !c.left_out_now(axis::REDUCTION) => {
            "'√(∫T² dt / (t + dwell)), T carried through the last stage with its loss'"
        }
        (Profile::Trapezoid, Direction::Lifting) => {
            rms_torque!("axis.load_torque ^ 2", "2 * move.ramp_fraction")
        }
        (Profile::Trapezoid, Direction::Lowering) => {
            rms_torque!("axis.load_torque_return ^ 2", "2 * move.ramp_fraction")
        }
        (Profile::Trapezoid, Direction::Both) => rms_torque!(
            "(axis.load_torque ^ 2 + axis.load_torque_return ^ 2) / 2",
            "2 * move.ramp_fraction"
        ),
        (Profile::Smooth, Direction::Lifting) => rms_torque!("axis.load_torque ^ 2", "18 / 35"),
        (Profile::Smooth, Direction::Lowering) => {
            rms_torque!("axis.load_torque_return ^ 2", "18 / 35")
        }
        (Profile::Smooth, Direction::Both) => rms_torque!(
            "(axis.load_torque ^ 2 + axis.load_torque_return ^ 2) / 2",
            "18 / 35"
        ),
    });
    if swing(c)?.is_some() {
        c.working("'√(∫T² dt / (t + dwell)), the weight by the angle of every moment'");
    }
    let (motion, inertia) = (*motion(c)?, c.get(axis::LOAD_INERTIA)?);
    let stage = last_stage_efficiency(c)?;
    let (holding, dwell) = (c.get(axis::HOLDING_TORQUE)?, c.get(DWELL)?);
    of_halves(
        c,
        |load| formulas::rms_torque(motion, load, inertia, stage, holding, dwell),
        // Both moves and their dwells last equally long.
        |against, with| ((against * against + with * with) / 2.0).sqrt().into(),
    )
}

fn voltage_margin(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let need = greatest(
        c,
        (LIFTING_VOLTAGE, LOWERING_VOLTAGE),
        [
            "supply.voltage_beside_others - move.lowering_voltage",
            "supply.voltage_beside_others - max(move.lifting_voltage, move.lowering_voltage)",
        ],
    )?;
    Ok(c.get(supply::VOLTAGE_BESIDE_OTHERS)? - need)
}

/// Output speed at which the edges come as fast as they can be served.
fn edge_speed(c: &Eval<'_>) -> Result<Option<AngularVelocity>, Absent> {
    match c.get(encoder::SHORTEST_EDGE_GAP) {
        Ok(gap) if gap.value > 0.0 => {
            let least = c
                .get(encoder::EDGE_SERVICE_TIME)?
                .value
                .max(super::shared::LEAST_GAP);
            Ok(Some(c.get(drive::TOP_SPEED)? * (gap.value / least)))
        }
        Ok(_) => Err(Absent::impossible("edges are lost at any speed")),
        Err(absent) if absent.code == Code::Unlimited => Ok(None),
        Err(absent) => Err(absent),
    }
}

/// Resistance of winding, bridge and source, as warm as the cycle is with a move of another time.
fn warm_resistance<'a>(
    c: &'a Eval<'_>,
    train: &'a Drivetrain,
) -> Result<impl Fn(Time) -> ElectricalResistance + 'a, Absent> {
    let (asked, direction) = (*motion(c)?, c.get(DIRECTION)?.formula());
    let (against, with) = (load_over(c, LOAD_LIFTING)?, load_over(c, LOAD_LOWERING)?);
    let (dwell, dwell_current) = (c.get(DWELL)?, c.get(heat::DWELL_CURRENT)?);
    let (model, ripple) = (thermal_model(c)?, c.get(bridge::RIPPLE_CURRENT)?);
    let limit = c.get(motor::MAX_WINDING_TEMPERATURE)?;
    let others = c.get(drive::TOTAL_RESISTANCE_HOT)? - c.get(drive::HOT_WINDING)?;
    Ok(move |time| {
        let rms = |load| {
            let moving = formulas::rms_current(train, Motion { time, ..asked }, load);
            formulas::rms_with_dwell(moving, dwell_current, time, dwell)
        };
        let current = match direction {
            formulas::Direction::Lifting => rms(against),
            formulas::Direction::Lowering => rms(with),
            formulas::Direction::Both => formulas::rms_of_cycle(direction, rms(against), rms(with)),
        };
        let friction = pulsewright_calc::heat::friction_loss(
            train.motor_constant,
            train.no_load_current,
            train.ratio,
            asked.distance,
            time + dwell,
        );
        let current = pulsewright_calc::heat::rms_current(current, ripple);
        let winding = pulsewright_calc::heat::equilibrium(model, current, friction)
            .map_or(limit, |found| found.winding.min(limit));
        pulsewright_calc::heat::resistance_at(
            model.resistance,
            model.coefficient,
            model.ambient,
            winding,
        ) + others
    })
}

/// What a move must keep.
fn limits(c: &Eval<'_>) -> Result<Limits, Absent> {
    let by_pulses = c.get(steps::SPEED_LIMIT)?;
    Ok(Limits {
        voltage: c.get(drive::LOWEST_VOLTAGE)?,
        current: Some(super::shared::current_allowed(c)?),
        torque: Some(c.get(gears::PEAK_TORQUE)?),
        last_stage_efficiency: last_stage_efficiency(c)?,
        speed: Some(edge_speed(c)?.map_or(by_pulses, |edges| edges.min(by_pulses))),
    })
}

fn shortest_time(c: &Eval<'_>) -> Result<Time, Absent> {
    let limits = limits(c)?;
    let asked = *motion(c)?;
    let train = drivetrain(c)?;
    let resistance = warm_resistance(c, train)?;
    let voltage = voltage_beside_moving(c)?;
    let behind = |time| formulas::Behind {
        resistance: resistance(time),
        voltage: Some(voltage(time)),
    };
    let half = |load, limits: &Limits| {
        formulas::shortest_time(
            train,
            asked.profile,
            asked.distance,
            load_over(c, load)?,
            limits,
            behind,
            asked.time,
        )
        .ok_or(Absent::impossible(
            "none: the motor cannot move this load, however slowly",
        ))
    };
    match c.get(DIRECTION)? {
        Direction::Lifting => half(LOAD_LIFTING, &limits),
        Direction::Lowering => half(LOAD_LOWERING, &limits),
        Direction::Both => {
            let time = half(LOAD_LIFTING, &limits)?;
            // Mostly the way back is made in this time too, and need not be sought on its own.
            let speed = formulas::peak_speed(Motion { time, ..asked });
            let limits = Limits {
                speed: if time.value > 0.0 {
                    Some(speed)
                } else {
                    limits.speed
                },
                ..limits
            };
            Ok(half(LOAD_LOWERING, &limits)?.max(time))
        }
    }
}

/// The same with the limit that it comes up to.
fn shortest_time_words(c: &Eval<'_>) -> Option<String> {
    let time = c.get(SHORTEST_TIME).ok()?;
    let limit = exhausted(c, time).ok()?;
    let said = c.notation.said(Measure::Time, time.value, 3);
    Some([&said, ", limited by ", limit].concat())
}

/// Of what a move of this time uses up the greatest share.
fn exhausted(c: &Eval<'_>, time: Time) -> Result<&'static str, Absent> {
    let (limits, train, inertia) = (limits(c)?, drivetrain(c)?, c.get(axis::LOAD_INERTIA)?);
    let motion = Motion {
        time,
        ..*motion(c)?
    };
    let resistance = warm_resistance(c, train)?(time);
    let voltage = voltage_beside_moving(c)?(time);
    type Share = (Ratio, &'static str);
    let greater = |a: Share, b: Share| if b.0 > a.0 { b } else { a };
    let of_half = |load| {
        let left = formulas::voltage_margin(train, motion, load, resistance, voltage);
        let mut most = (
            Ratio::from(1.0) - left / limits.voltage,
            "the supply voltage",
        );
        if let Some(limit) = limits.current {
            let current = formulas::peak_current(train, motion, load);
            most = greater(most, (current / limit, "the current limit"));
        }
        if let Some(limit) = limits.torque {
            let stage = limits.last_stage_efficiency;
            let torque = formulas::greatest_torque(motion, load, inertia, stage);
            most = greater(most, (torque / limit, "the gears"));
        }
        most
    };
    let mut most = of_halves(c, of_half, greater)?;
    if let Some(limit) = limits.speed {
        let name = if limit >= c.get(steps::SPEED_LIMIT)? {
            "the step rate"
        } else {
            "the encoder edges"
        };
        most = greater(most, (formulas::peak_speed(motion) / limit, name));
    }
    Ok(most.1)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
