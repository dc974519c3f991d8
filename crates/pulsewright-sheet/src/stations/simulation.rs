//! The landing of a design, simulated: what moves, the command that it is given, the figures and
//! the traces.
//!
//! Figures are plain numbers in SI, all at the output, so that one simulation serves every result
//! and can be made elsewhere ([`Eval::landed`]).

use crate::evaluation::Simulation;
use crate::evaluation::simulated::{
    COMMANDS, CREEPS, CUT, DRIVEN_AWAY, FIGURES, Figure, Figures, HUNTS, MOVE, NOT_RUN, ON_ITS_WAY,
    Point, RESTS, SINKS, STEP, TOO_MUCH, UNSTABLE,
};
use pulsewright_calc::encoder::SignalErrors;
use pulsewright_calc::landing::{
    self as formulas, Actuator, Controller, Landing, Leg, Load, Mesh, OnTarget, Power, PulseInput,
    Refused, Rounding, Sample, Sensing, Settling,
};
use pulsewright_calc::motion::Profile;
use pulsewright_calc::units::{Angle, Ratio, Time, Torque};
use uom::si::time::second;

use super::shared::{
    at_output, carried, counting_direction, drivetrain, entered_travel, gearing_fraction,
    loop_gains, motion, swing,
};
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::register::movement::{self, Approach, Direction};
use crate::register::position_loop as control;
use crate::register::{axis, bridge, drive, encoder, gears, motor, steps, supply};

/// Most samples that a command may take: some seconds of work.
pub const MOST_SAMPLES: f64 = 500_000.0;

/// Longest dwell that is simulated between two moves, s: whatever settles has settled by then.
const LONGEST_DWELL: f64 = 2.0;

/// What is simulated.
#[derive(Clone, Debug, PartialEq)]
pub struct SimulationInput {
    /// What moves.
    pub actuator: Actuator,
    /// The command.
    pub legs: Vec<Leg>,
}

/// The case of a command of a design.
///
/// # Errors
/// Why it cannot be simulated, as far as that can be said without simulating.
pub fn case(c: &Eval<'_>, command: usize) -> Result<SimulationInput, Absent> {
    let legs = if command == MOVE {
        moves(c, 1.0, 1.0)?
    } else {
        vec![jump(c)?]
    };
    let actuator = actuator(c)?;
    let whole = legs[..legs.len() - 1]
        .iter()
        .fold(Time::default(), |sum, leg| sum + leg.time + leg.dwell);
    let last = legs.last().map_or(Time::default(), |leg| leg.time);
    let samples = (whole + last) / actuator.controller.sample_time;
    if samples.value > MOST_SAMPLES {
        return Err(Absent::impossible(
            "the move takes more than 500 000 samples: too long to simulate; enter a shorter move or a longer sample time",
        ));
    }
    if command == MOVE && legs[0].time < actuator.controller.sample_time {
        return Err(Absent::impossible(
            "the whole move is shorter than one sample of the loop; sample faster",
        ));
    }
    Ok(SimulationInput { actuator, legs })
}

/// What moves: at reference temperature, as simulation asks for it.
fn actuator(c: &Eval<'_>) -> Result<Actuator, Absent> {
    // Before the loss of a last stage, which goes with the gears'.
    let tilted = swing(c)?;
    let (holding, friction) = match &tilted {
        // The torque of the level arm, which then goes with the cosine of its angle.
        Some(swing) => {
            let level = pulsewright_calc::axis::arm(carried(c)?, c.get(axis::RADIUS)?);
            let stage = c.get(axis::LAST_STAGE_NOW)?;
            let held: Torque = (level.holding_torque / stage).into();
            (held, (swing.friction / stage).into())
        }
        None => {
            let holding = c.get(axis::HOLDING_TORQUE)?;
            (holding, c.get(movement::LOAD_LIFTING)? - holding)
        }
    };
    let own_limit = c.option(control::CURRENT_LIMIT)?;
    let current_limit = match c.get(bridge::LIMIT_KIND)? {
        bridge::LimitKind::Limits => Some(c.get(drive::CURRENT_LIMIT)?),
        _ => own_limit,
    };
    Ok(Actuator {
        train: *drivetrain(c)?,
        mesh: Mesh {
            backlash: play(c)?,
            stiffness: c.get(control::STIFFNESS_NOW)?,
        },
        load: Load {
            holding_torque: at_rest(c, holding)?,
            friction_torque: friction,
            start_angle: if tilted.is_some() {
                Some(c.get(axis::START_ANGLE)?)
            } else {
                None
            },
            last_stage: c.get(axis::LAST_STAGE_NOW)?,
        },
        power: Power {
            voltage: c.get(supply::VOLTAGE)?,
            source_resistance: c.get(drive::SUPPLY_PATH)?,
            board_current: c.get(supply::BOARD_CURRENT)?,
            winding_resistance: c.get(drive::MOTOR_RESISTANCE)?,
            inductance: c.option(motor::INDUCTANCE)?,
            current_limit,
        },
        sensing: sensing(c)?,
        pulses: PulseInput {
            steps_per_turn: c.get(steps::STEPS_NOW)?,
            gearing: gearing_fraction(c)?,
            rate_limit: Some(c.get(steps::RATE_LIMIT)?),
        },
        controller: Controller {
            gains: loop_gains(c)?,
            integral_time: c.option(control::INTEGRAL_TIME)?,
            feed_forward: c.get(control::FEED_FORWARD)?,
            sample_time: c.get(control::SAMPLE_TIME)?,
            delay: c.get(control::DELAY)?,
            deadband: c.get(control::DEADBAND)?,
            pwm_resolution: c.get(control::PWM_RESOLUTION)?,
            voltage_limit: c.get(control::VOLTAGE_LIMIT)?,
            on_target: match c.get(control::ON_TARGET)? {
                control::OnTarget::Drive => OnTarget::Drive,
                control::OnTarget::Brake => OnTarget::Brake,
                control::OnTarget::Release => OnTarget::Release,
            },
            rounding: Rounding::Firmware,
        },
        position_tolerance: at_output(c, c.travel(axis::TOLERANCE_AT_LOAD)?)?,
        refinement: 1,
    })
}

/// Where one side is always approached, home was found from that side too: with nothing that pushes
/// at rest, the least torque there is lays the teeth on it.
fn at_rest(c: &Eval<'_>, holding: Torque) -> Result<Torque, Absent> {
    let one_side = c.get(movement::APPROACH)? == Approach::OneSide;
    Ok(if one_side && holding.value == 0.0 {
        Torque::new::<uom::si::torque::newton_meter>(f64::MIN_POSITIVE)
    } else {
        holding
    })
}

fn sensing(c: &Eval<'_>) -> Result<Sensing, Absent> {
    if counting_direction(c)? == pulsewright_calc::encoder::Direction::None {
        return Err(Absent::impossible(
            "these sensors give no direction: a position loop is not possible",
        ));
    }
    Ok(Sensing {
        pole_pairs: c.get(encoder::POLE_PAIRS)?,
        edges_counted: c
            .get(encoder::COUNTS_NOW)
            .and_then(|_| c.get(encoder::COUNTS_PER_POLE_PAIR))?,
        errors: SignalErrors {
            phase: c.get(encoder::PHASE_ERROR)?,
            placement: c.get(encoder::PLACEMENT_PHASE_ERROR)?,
            duty: c.get(encoder::DUTY_ERROR)?,
        },
        edge_service_time: c.get(encoder::EDGE_SERVICE_TIME)?,
        hysteresis: Ratio::default(),
    })
}

/// All the play, at the output.
fn play(c: &Eval<'_>) -> Result<Angle, Absent> {
    Ok(c.get(gears::BACKLASH)?
        + c.get(axis::REDUCTION_BACKLASH)? * c.get(axis::LAST_STAGE_NOW)?.value)
}

/// How far a move from the wrong side runs past its target: twice the play and twenty counts, so
/// that the play is crossed, and the load is taken along for as much again, on either way.
///
/// # Errors
/// When gears or sensors are not there.
pub fn run_in(c: &Eval<'_>) -> Result<Angle, Absent> {
    Ok(2.0 * play(c)? + 20.0 * c.get(encoder::ANGLE_PER_COUNT)?)
}

/// The jump of the step test, the way of the working move.
fn jump(c: &Eval<'_>) -> Result<Leg, Absent> {
    let distance = at_output(c, entered_travel(c, control::STEP_TEST)?)?;
    Ok(Leg {
        profile: Profile::Smooth,
        distance: match c.get(movement::DIRECTION)? {
            Direction::Lowering => -distance,
            _ => distance,
        },
        time: Time::default(),
        dwell: Time::new::<second>(formulas::SETTLING_WINDOW),
    })
}

/// Other moves of the same kind, none faster or harder accelerated than the one asked for: half the distance, twice
/// distance and time, half the time, twice the time. An arm by its angle goes no farther, for there it carries another
/// load; what takes too many samples is left out.
///
/// # Errors
/// Why there is no move.
pub fn other_moves(c: &Eval<'_>) -> Result<Vec<Vec<Leg>>, Absent> {
    let sample_time = c.get(control::SAMPLE_TIME)?;
    let farther = swing(c)?.is_none();
    let mut others = Vec::with_capacity(4);
    let shares = [
        (0.5, core::f64::consts::FRAC_1_SQRT_2),
        (2.0, 2.0),
        (0.25, 0.5),
        (1.0, 2.0),
    ];
    for (distance, time) in shares {
        let legs = moves(c, distance, time)?;
        let samples = Time::new::<second>(end(&legs)) / sample_time;
        if (distance <= 1.0 || farther) && samples.value <= MOST_SAMPLES {
            others.push(legs);
        }
    }
    Ok(others)
}

/// The legs of the move as asked for, its distance and time taken so many times: there, or there and back, each with
/// what its approach adds.
fn moves(c: &Eval<'_>, distance: f64, time: f64) -> Result<Vec<Leg>, Absent> {
    let mut motion = *motion(c)?;
    motion.distance *= distance;
    motion.time *= time;
    let approach = c.get(movement::APPROACH)?;
    let dwell = c.get(movement::DWELL)?;
    let pause = dwell.min(Time::new::<second>(LONGEST_DWELL));
    // The side is the one on which the teeth rest under the load.
    let side = if c.get(axis::HOLDING_TORQUE)?.value < 0.0 {
        -1.0
    } else {
        1.0
    };
    let (run_in, half_play) = (run_in(c)?, 0.5 * play(c)?);
    let mut legs = Vec::with_capacity(4);
    let mut go = |way: f64, dwell: Time| {
        let past = match approach {
            Approach::Either => Angle::default(),
            Approach::Centred => half_play,
            Approach::OneSide if way == side => Angle::default(),
            Approach::OneSide => run_in,
        };
        let there = motion.distance + past;
        // As fast as the move; the way back no harder accelerated than the move.
        let leg = |distance: Angle, share: f64, dwell| Leg {
            profile: motion.profile,
            distance: way * distance,
            time: motion.time * share,
            dwell,
        };
        let longer: Ratio = there / motion.distance;
        if past.value > 0.0 {
            let shorter: Ratio = past / motion.distance;
            legs.push(leg(there, longer.value, Time::default()));
            legs.push(leg(-past, shorter.value.sqrt(), dwell));
        } else {
            legs.push(leg(there, 1.0, dwell));
        }
    };
    match c.get(movement::DIRECTION)? {
        Direction::Lifting => go(1.0, dwell),
        Direction::Lowering => go(-1.0, dwell),
        Direction::Both => {
            go(1.0, pause);
            go(-1.0, dwell);
        }
    }
    Ok(legs)
}

/// Greatest work of the step test, which is short, in plain sub-steps.
const STEP_WORK: u64 = formulas::MOST_WORK / 4;

/// Simulates a case; fills `traces` with samples evenly spread, and says how many.
///
/// # Errors
/// What the simulation refuses, in words.
pub fn run(case: &SimulationInput, traces: &mut [Sample]) -> Result<(Figures, usize), Absent> {
    // A jump takes no time.
    let jump = case.legs.iter().all(|leg| leg.time.value == 0.0);
    let most = if jump { STEP_WORK } else { formulas::MOST_WORK };
    let (landing, figures, filled) = once(case, traces, most)?;
    Ok((looked_at_closer(case, &landing, figures)?, filled))
}

/// Simulates a case once, with so much work at most.
fn once(
    case: &SimulationInput,
    traces: &mut [Sample],
    most_work: u64,
) -> Result<(Landing, Figures, usize), Absent> {
    let (landing, filled) =
        formulas::simulate_within(&case.actuator, &case.legs, traces, most_work)
            .map_err(refused)?;
    let settling = match landing.settling {
        Settling::After(time) => time.value,
        Settling::Hunting => HUNTS,
        Settling::Droop => RESTS,
        Settling::Creeping => CREEPS,
        Settling::OnItsWay => ON_ITS_WAY,
        Settling::Sinking => SINKS,
        Settling::RunningAway => DRIVEN_AWAY,
        Settling::NotReached => CUT,
    };
    let stopped = if landing.flags.unstable {
        UNSTABLE
    } else if landing.flags.run_cut {
        TOO_MUCH
    } else {
        0.0
    };
    let figures = [
        landing.overshoot.value,
        settling,
        landing.peak_current.value,
        landing.worst_error.value,
        landing.final_error.value,
        landing.droop.value,
        landing.hunting.value,
        landing.hunting_frequency.map_or(0.0, |f| f.value),
        landing.reversals as f64,
        landing.energy.value,
        landing.regenerated_energy.value,
        landing.lost_counts as f64,
        landing.greatest_error,
        landing.longest_stall.value,
        landing.duration.value,
        stopped,
        landing.breaks_loose_after.map_or(0.0, |time| time.value),
        0.0,
        landing.work as f64,
    ];
    Ok((landing, figures, filled))
}

/// Greatest share by which hunting may differ when it is computed in finer steps.
const SAME_HUNTING: f64 = 0.05;

/// The figures with whether it hunts otherwise when it is computed in steps of half the length; what would take too
/// long to compute again is taken for chaotic.
fn looked_at_closer(
    case: &SimulationInput,
    landing: &Landing,
    mut figures: Figures,
) -> Result<Figures, Absent> {
    if landing.hunting.value == 0.0 {
        return Ok(figures);
    }
    let mut chaotic = true;
    if landing.work <= formulas::MOST_WORK / 8 {
        let mut finer = case.actuator;
        finer.refinement = 2;
        let (again, _) = formulas::simulate(&finer, &case.legs, &mut []).map_err(refused)?;
        let differs = |a: f64, b: f64| (a - b).abs() > SAME_HUNTING * a.abs().max(b.abs());
        let frequency = |landing: &Landing| landing.hunting_frequency.map_or(0.0, |f| f.value);
        chaotic = differs(landing.hunting.value, again.hunting.value)
            || differs(frequency(landing), frequency(&again));
        figures[Figure::Work as usize] += again.work as f64;
    }
    figures[Figure::Chaotic as usize] = f64::from(u8::from(chaotic));
    Ok(figures)
}

/// Most samples of a move that the traces are thinned from.
const ROOM: usize = 40_000;

/// Pieces of time of which the extremes are kept: as many before the end of the command draws near
/// as from there on.
const PIECES: usize = 50;

/// Time before the end of the command from which on it is looked at more closely, s.
const NEAR: f64 = 0.5;

/// When the last move of a command ends, s.
#[must_use]
pub fn end(legs: &[Leg]) -> f64 {
    let whole: f64 = legs
        .iter()
        .map(|leg| leg.time.value + leg.dwell.value)
        .sum();
    whole - legs.last().map_or(0.0, |leg| leg.dwell.value)
}

/// The points that a drawing needs: of each piece of time those where the error and the current
/// have their extremes, in their order.
fn thinned(samples: &[Sample], legs: &[Leg]) -> Vec<Point> {
    let near = (end(legs) - NEAR).max(0.0);
    let last = samples.last().map_or(0.0, |sample| sample.time.value);
    let piece = |time: f64| {
        let share = if time < near {
            time / near
        } else {
            1.0 + (time - near) / (last - near).max(f64::MIN_POSITIVE)
        };
        (share * PIECES as f64) as usize
    };
    let mut out = Vec::with_capacity(8 * PIECES + 8);
    let mut begin = 0;
    for at in 1..=samples.len() {
        let same =
            at < samples.len() && piece(samples[at].time.value) == piece(samples[begin].time.value);
        if same {
            continue;
        }
        let mut kept = [begin; 4];
        for i in begin..at {
            let (error, current) = (samples[i].error, samples[i].current);
            if error < samples[kept[0]].error {
                kept[0] = i;
            }
            if error > samples[kept[1]].error {
                kept[1] = i;
            }
            if current < samples[kept[2]].current {
                kept[2] = i;
            }
            if current > samples[kept[3]].current {
                kept[3] = i;
            }
        }
        kept.sort_unstable();
        let mut before = usize::MAX;
        for i in kept {
            if i != before {
                let sample = &samples[i];
                out.push(Point {
                    time: sample.time.value,
                    position: sample.position.value,
                    error: sample.error.value,
                    current: sample.current.value,
                });
            }
            before = i;
        }
        begin = at;
    }
    out
}

/// Simulates a case for its traces.
///
/// # Errors
/// What the simulation refuses, in words.
pub fn trace(case: &SimulationInput) -> Result<Vec<Point>, Absent> {
    Ok(traced(case)?.1)
}

fn traced(case: &SimulationInput) -> Result<(Figures, Vec<Point>), Absent> {
    let mut samples = vec![Sample::default(); ROOM];
    let (figures, filled) = run(case, &mut samples)?;
    Ok((figures, thinned(&samples[..filled], &case.legs)))
}

/// Simulates both commands and puts figures and traces into one row of numbers, to be carried from
/// a worker to the page; a command that is refused has no number first.
#[must_use]
pub fn numbers(c: &Eval<'_>) -> Vec<f64> {
    let refused = [f64::NAN; FIGURES];
    let (of_move, trace) = case(c, MOVE)
        .and_then(|case| traced(&case))
        .unwrap_or((refused, Vec::new()));
    let of_step = case(c, STEP).and_then(|case| run(&case, &mut []));
    let mut out = Vec::with_capacity(COMMANDS * FIGURES + 4 * trace.len());
    out.extend(of_move);
    out.extend(of_step.map_or(refused, |(figures, _)| figures));
    for point in trace {
        out.extend([point.time, point.position, point.error, point.current]);
    }
    out
}

/// Why there is no simulation, in words.
pub(crate) fn refused(refused: Refused) -> Absent {
    let about = match refused {
        Refused::NoLeg => return NOT_FINITE,
        Refused::NotPositive(name) | Refused::OutOfRange(name) => name,
    };
    let key = match about {
        "winding resistance" => drive::MOTOR_RESISTANCE.index(),
        "rotor inertia" => motor::ROTOR_INERTIA.index(),
        "stiffness" => {
            return Absent::impossible(
                "the motor has no torque at standstill, and no stiffness is entered",
            );
        }
        "motor constant" => motor::TORQUE_CONSTANT.index(),
        "efficiency" | "back-driving efficiency" => movement::TRAIN_EFFICIENCY.index(),
        "friction torque" => axis::FRICTION_TORQUE.index(),
        "load inertia" => axis::LOAD_INERTIA.index(),
        "current limit" => drive::CURRENT_LIMIT.index(),
        "proportional gain" | "derivative gain" => control::PROPORTIONAL_GAIN.index(),
        _ => return Absent::impossible("a figure is outside the range that can be simulated"),
    };
    Absent {
        code: crate::evaluation::Code::Impossible,
        about: key as u16,
        why: "",
    }
}

impl Eval<'_> {
    /// Figures of the simulated command of number `command`.
    ///
    /// # Errors
    /// Why there are none; [`NOT_RUN`] where they are simulated elsewhere.
    pub fn figures(&self, command: usize) -> Result<Figures, Absent> {
        let part = self.landed.get(command).ok_or(NOT_FINITE)?;
        let figures = self.shared(part, |c| {
            let case = case(c, command)?;
            match &c.simulation {
                Simulation::Left => Err(NOT_RUN),
                Simulation::Known(landed) if !landed.figures[command][0].is_nan() => {
                    Ok(landed.figures[command])
                }
                // One of many: nobody asks how it would be in finer steps.
                Simulation::Tried(most) => {
                    once(&case, &mut [], *most).map(|(_, figures, _)| figures)
                }
                // What was refused elsewhere is refused here at once, in words.
                _ => run(&case, &mut []).map(|(figures, _)| figures),
            }
        })?;
        Ok(*figures)
    }

    /// The traces of the move; where they are not known they are simulated on their own.
    ///
    /// # Errors
    /// As [`Eval::figures`].
    pub fn trace(&self) -> Result<Vec<Point>, Absent> {
        let _ = self.figures(MOVE)?;
        match &self.simulation {
            Simulation::Left => Err(NOT_RUN),
            Simulation::Known(landed) => Ok(landed.trace.clone()),
            Simulation::Run | Simulation::Tried(_) => trace(&case(self, MOVE)?),
        }
    }
}
