//! The motion asked for.

use super::shared::{at_output, drivetrain, last_stage_efficiency, motion, thermal_model};
use crate::evaluation::Check;
use crate::evaluation::Finding;
use crate::evaluation::{Absent, Code, Eval};
use crate::register::movement::*;
use crate::register::{Key, bridge, drive, encoder, gears, heat, motor, steps};
use crate::register::{Kind, axis};
use pulsewright_calc::motion::{self as formulas, Drivetrain, Limits, Motion};
use pulsewright_calc::units::{
    Acceleration, Angle, AngularAcceleration, AngularVelocity, ElectricCurrent, ElectricPotential,
    ElectricalResistance, Ratio, Time, Torque, Velocity,
};

station! { movement;
    results {
        LOAD_AGAINST = load_against;
        LOAD_WITH = load_with;
        TRAIN_EFFICIENCY = train_efficiency;
        TRAIN_BACK_EFFICIENCY = train_back_efficiency;
        PEAK_SPEED = peak_speed;
        PEAK_ACCELERATION = peak_acceleration;
        OUTPUT_ANGLE = output_angle;
        PEAK_TRAVEL_SPEED = peak_travel_speed;
        PEAK_TRAVEL_ACCELERATION = peak_travel_acceleration;
        AGAINST_STARTING = against_starting;
        AGAINST_STEADY = against_steady;
        AGAINST_BRAKING = against_braking;
        AGAINST_PEAK = against_peak;
        AGAINST_RMS = against_rms;
        AGAINST_VOLTAGE = against_voltage;
        WITH_STARTING = with_starting;
        WITH_STEADY = with_steady;
        WITH_BRAKING = with_braking;
        WITH_PEAK = with_peak;
        WITH_RMS = with_rms;
        WITH_VOLTAGE = with_voltage;
        PEAK_CURRENT = peak_current;
        RMS_CURRENT = rms_current;
        PEAK_TORQUE = peak_torque;
        RMS_TORQUE = rms_torque;
        VOLTAGE_MARGIN = voltage_margin;
        SHORTEST_TIME = shortest_time;
    }
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
            "a turning axis has no travel along a line",
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
        let peak = formulas::peak_current(drivetrain(c)?, *motion(c)?, c.get(self.torque)?);
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
        if c.get(PROFILE)? == Profile::Smooth {
            c.working(if self.changes(c)? {
                "'√(∫i² dt / t), in pieces: within the move the load begins to drive'"
            } else {
                self.smooth_rms
            });
        }
        Ok(formulas::rms_current(
            drivetrain(c)?,
            *motion(c)?,
            c.get(self.torque)?,
        ))
    }

    fn voltage(&self, c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
        if c.get(PROFILE)? == Profile::Smooth {
            c.working("'the greatest of R·i + K_e·N·ω over the move'");
        }
        let left = formulas::voltage_margin(
            drivetrain(c)?,
            *motion(c)?,
            c.get(self.torque)?,
            c.get(drive::TOTAL_RESISTANCE_HOT)?,
            ElectricPotential::default(),
        );
        Ok(-left)
    }
}

const AGAINST: Half = Half {
    torque: LOAD_AGAINST,
    starting: AGAINST_STARTING,
    steady: AGAINST_STEADY,
    braking: AGAINST_BRAKING,
    driven: [
        driven!("axis.load_torque", "+"),
        steady_driven!("axis.load_torque"),
        driven!("axis.load_torque", "-"),
    ],
    staged_driving: [
        driving!("move.load_against", "+", "move.train_efficiency"),
        steady_driving!("move.load_against", "move.train_efficiency"),
        driving!("move.load_against", "-", "move.train_efficiency"),
    ],
    staged_driven: [
        driven!("move.load_against", "+", "move.train_back_efficiency"),
        steady_driven!("move.load_against", "move.train_back_efficiency"),
        driven!("move.load_against", "-", "move.train_back_efficiency"),
    ],
    smooth_rms: "sqrt(move.against_steady ^ 2 + 18 / 35 * (move.against_starting - move.against_steady) ^ 2)",
};

const WITH: Half = Half {
    torque: LOAD_WITH,
    starting: WITH_STARTING,
    steady: WITH_STEADY,
    braking: WITH_BRAKING,
    driven: [
        driven!("axis.load_torque_return", "+"),
        steady_driven!("axis.load_torque_return"),
        driven!("axis.load_torque_return", "-"),
    ],
    staged_driving: [
        driving!("move.load_with", "+", "move.train_efficiency"),
        steady_driving!("move.load_with", "move.train_efficiency"),
        driving!("move.load_with", "-", "move.train_efficiency"),
    ],
    staged_driven: [
        driven!("move.load_with", "+", "move.train_back_efficiency"),
        steady_driven!("move.load_with", "move.train_back_efficiency"),
        driven!("move.load_with", "-", "move.train_back_efficiency"),
    ],
    smooth_rms: "sqrt(move.with_steady ^ 2 + 18 / 35 * (move.with_starting - move.with_steady) ^ 2)",
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
        Direction::Against => c.get(against),
        Direction::With => {
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
        (AGAINST_PEAK, WITH_PEAK),
        [
            "max(move.with_peak, abs(hold.dwell_current))",
            "max(max(move.against_peak, move.with_peak), abs(hold.dwell_current))",
        ],
    )?;
    Ok(moving.max(c.get(heat::DWELL_CURRENT)?.abs()))
}

fn rms_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let direction = c.get(DIRECTION)?;
    match direction {
        Direction::Against => {}
        Direction::With => c.working("sqrt((move.with_rms ^ 2 * move.time + hold.dwell_current ^ 2 * move.dwell) / (move.time + move.dwell))"),
        Direction::Both => c.working("sqrt(((move.against_rms ^ 2 + move.with_rms ^ 2) / 2 * move.time + hold.dwell_current ^ 2 * move.dwell) / (move.time + move.dwell))"),
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
        Direction::Against => half(AGAINST_RMS),
        Direction::With => half(WITH_RMS),
        Direction::Both => Ok(formulas::rms_of_cycle(
            formulas::Direction::Both,
            half(AGAINST_RMS)?,
            half(WITH_RMS)?,
        )),
    }
}

/// A torque at the output for each move that is asked for: against the load, with it.
fn of_halves(
    c: &Eval<'_>,
    of: impl Fn(Torque) -> Torque,
    both: impl Fn(Torque, Torque) -> Torque,
) -> Result<Torque, Absent> {
    Ok(match c.get(DIRECTION)? {
        Direction::Against => of(c.get(LOAD_AGAINST)?),
        Direction::With => of(c.get(LOAD_WITH)?),
        Direction::Both => both(of(c.get(LOAD_AGAINST)?), of(c.get(LOAD_WITH)?)),
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
        (true, Direction::Against) => "abs(axis.load_torque) + axis.load_inertia * move.peak_acceleration",
        (true, Direction::With) => "abs(axis.load_torque_return) + axis.load_inertia * move.peak_acceleration",
        (true, Direction::Both) => "max(abs(axis.load_torque), abs(axis.load_torque_return)) + axis.load_inertia * move.peak_acceleration",
        (false, Direction::Against) => staged_peak!("move.load_against"),
        (false, Direction::With) => staged_peak!("move.load_with"),
        (false, Direction::Both) => concat!(
            "max(", staged_peak!("move.load_against"), ", ", staged_peak!("move.load_with"), ")"
        ),
    });
    let inertia = c.get(axis::LOAD_INERTIA)?;
    let acceleration = c.get(PEAK_ACCELERATION)?;
    let stage = last_stage_efficiency(c)?;
    of_halves(
        c,
        |load| formulas::peak_torque(load, inertia, acceleration, stage),
        |against, with| against.max(with),
    )
}

fn rms_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.working(match (c.get(PROFILE)?, c.get(DIRECTION)?) {
        _ if !c.left_out_now(axis::REDUCTION) => {
            "'√(∫T² dt / (t + dwell)), T carried through the last stage with its loss'"
        }
        (Profile::Trapezoid, Direction::Against) => {
            rms_torque!("axis.load_torque ^ 2", "2 * move.ramp_fraction")
        }
        (Profile::Trapezoid, Direction::With) => {
            rms_torque!("axis.load_torque_return ^ 2", "2 * move.ramp_fraction")
        }
        (Profile::Trapezoid, Direction::Both) => rms_torque!(
            "(axis.load_torque ^ 2 + axis.load_torque_return ^ 2) / 2",
            "2 * move.ramp_fraction"
        ),
        (Profile::Smooth, Direction::Against) => rms_torque!("axis.load_torque ^ 2", "18 / 35"),
        (Profile::Smooth, Direction::With) => rms_torque!("axis.load_torque_return ^ 2", "18 / 35"),
        (Profile::Smooth, Direction::Both) => rms_torque!(
            "(axis.load_torque ^ 2 + axis.load_torque_return ^ 2) / 2",
            "18 / 35"
        ),
    });
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
        (AGAINST_VOLTAGE, WITH_VOLTAGE),
        [
            "drive.lowest_voltage - move.with_voltage",
            "drive.lowest_voltage - max(move.against_voltage, move.with_voltage)",
        ],
    )?;
    Ok(c.get(drive::LOWEST_VOLTAGE)? - need)
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
    let (against, with) = (c.get(LOAD_AGAINST)?, c.get(LOAD_WITH)?);
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
            formulas::Direction::Against => rms(against),
            formulas::Direction::With => rms(with),
            formulas::Direction::Both => formulas::rms_of_cycle(direction, rms(against), rms(with)),
        };
        let friction = pulsewright_calc::heat::friction_loss(
            train.motor_constant,
            train.no_load_current,
            train.ratio,
            asked.distance,
            time + dwell,
        );
        let current = pulsewright_calc::heat::heating_current(current, ripple);
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

fn shortest_time(c: &Eval<'_>) -> Result<Time, Absent> {
    let by_pulses = c.get(steps::SPEED_LIMIT)?;
    let limits = Limits {
        voltage: c.get(drive::LOWEST_VOLTAGE)?,
        current: Some(c.get(drive::CURRENT_LIMIT)?),
        torque: Some(c.get(gears::PEAK_TORQUE)?),
        last_stage_efficiency: last_stage_efficiency(c)?,
        speed: Some(edge_speed(c)?.map_or(by_pulses, |edges| edges.min(by_pulses))),
    };
    let asked = *motion(c)?;
    let train = drivetrain(c)?;
    let resistance = warm_resistance(c, train)?;
    let half = |load| {
        formulas::shortest_time(
            train,
            asked.profile,
            asked.distance,
            c.get(load)?,
            &limits,
            &resistance,
            asked.time,
        )
        .ok_or(Absent::impossible(
            "no time is long enough: the motor cannot move this load",
        ))
    };
    match c.get(DIRECTION)? {
        Direction::Against => half(LOAD_AGAINST),
        Direction::With => half(LOAD_WITH),
        Direction::Both => Ok(half(LOAD_AGAINST)?.max(half(LOAD_WITH)?)),
    }
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
