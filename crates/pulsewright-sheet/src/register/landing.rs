//! The landing, simulated: results of the position loop that a formula cannot give.

use pulsewright_calc::units::{Angle, ElectricCurrent, Energy, Frequency, Ratio, Time};

use super::{Key, Outcome, Physical, RESULT, Station, Travel, axis, encoder, heat, movement};
use super::{position_loop as control, verdict};
use crate::check::Check;
use crate::eval::{Absent, Code, Eval};
use crate::finding::{Finding, Severity};
use crate::landing::{CUT, Figure, Figures, HUNTS, MOVE, RESTS, STEP, TOO_MUCH, UNSTABLE};
use crate::unit::Measure;

/// The working of what is simulated, with the constants of the model.
const MODEL: &str = "'simulated sample by sample: step pulses, counts, PWM; winding, rotor, teeth with play and loss, load. Static friction 1.3 times the motor’s own and 1.2 times the load’s, tooth contact damped 0.3, sensors without hysteresis; a move from the wrong side runs past its target by twice the play and 20 counts. Without ripple, sampling jitter and warming up'";

/// Where it comes from.
const SOURCE: &str =
    "exponentials of the linear system between events; the firmware’s own whole numbers";

/// A simulated result.
const SIMULATED: Outcome = Outcome {
    formula: MODEL,
    source: SOURCE,
    costly: true,
    ..RESULT
};

results! {
    after super::position_loop;

    OVERSHOOT: Travel = Outcome {
        id: "loop.overshoot",
        symbol: "e_over",
        label: "Overshoot",
        measure: Measure::Angle,
        meaning: "how far the load runs beyond its target",
        ..SIMULATED
    }, overshoot;
    SETTLING_TIME: Time = Outcome {
        id: "loop.settling_time",
        symbol: "t_settle",
        label: "Settling time",
        measure: Measure::Time,
        meaning: "from the end of the command until the load stays within the error allowed",
        ..SIMULATED
    }, settling_time;
    FINAL_ERROR: Travel = Outcome {
        id: "loop.final_error",
        symbol: "e_final",
        label: "Where it lands beside its target",
        measure: Measure::Angle,
        meaning: "at the end of move and dwell; above 0 on the side that the load resists",
        ..SIMULATED
    }, final_error;
    WORST_ERROR: Travel = Outcome {
        id: "loop.worst_error",
        symbol: "e_way",
        label: "Largest error on the way",
        measure: Measure::Angle,
        meaning: "load against the steps asked for, during the move",
        ..SIMULATED
    }, worst_error;
    GREATEST_COUNTS: Ratio = Outcome {
        id: "loop.greatest_error_counts",
        symbol: "n_way",
        label: "Largest error that the loop sees",
        measure: Measure::Count,
        meaning: "in counts; an error limit must lie above it",
        ..SIMULATED
    }, greatest_counts;
    RESTING_DROOP: Travel = Outcome {
        id: "loop.resting_droop",
        symbol: "e_rest",
        label: "Droop in the end",
        measure: Measure::Angle,
        meaning: "target less the middle of the last half second",
        shown: false,
        ..SIMULATED
    }, resting_droop;
    HUNTING: Travel = Outcome {
        id: "loop.hunting",
        symbol: "e_hunt",
        label: "Hunting at rest",
        measure: Measure::Angle,
        meaning: "the load swings by so much either way; 0 where it stands still",
        ..SIMULATED
    }, hunting;
    HUNTING_FREQUENCY: Frequency = Outcome {
        id: "loop.hunting_frequency",
        symbol: "f_hunt",
        label: "Frequency of the hunting",
        measure: Measure::Frequency,
        meaning: "a hum from some ten hertz on",
        ..SIMULATED
    }, hunting_frequency;
    PEAK_CURRENT: ElectricCurrent = Outcome {
        id: "loop.peak_current",
        symbol: "I_land",
        label: "Peak current of the landing",
        measure: Measure::Current,
        meaning: "winding, without its ripple",
        ..SIMULATED
    }, peak_current;
    REVERSALS: Ratio = Outcome {
        id: "loop.reversals",
        symbol: "n_rev",
        label: "Reversals of the motor",
        measure: Measure::Count,
        meaning: "each one crosses the play",
        ..SIMULATED
    }, reversals;
    LONGEST_STALL: Time = Outcome {
        id: "loop.longest_stall",
        symbol: "t_full",
        label: "Longest time at full drive without a count",
        measure: Measure::Time,
        meaning: "a stall timeout must be longer",
        ..SIMULATED
    }, longest_stall;
    LOST_COUNTS: Ratio = Outcome {
        id: "loop.lost_counts",
        symbol: "n_lost",
        label: "Counts lost",
        measure: Measure::Count,
        meaning: "edges that came closer than they can be served",
        ..SIMULATED
    }, lost_counts;
    ENERGY: Energy = Outcome {
        id: "loop.energy",
        symbol: "W_move",
        label: "Energy of the move",
        measure: Measure::Energy,
        meaning: "from the supply, for the motor alone",
        ..SIMULATED
    }, energy;
    RETURNED_ENERGY: Energy = Outcome {
        id: "loop.returned_energy",
        symbol: "W_back",
        label: "Energy given back",
        measure: Measure::Energy,
        meaning: "to the supply, braking and lowering",
        ..SIMULATED
    }, returned_energy;
    STEP_OVERSHOOT: Travel = Outcome {
        id: "loop.step_overshoot",
        symbol: "e_jump",
        label: "Step test: overshoot",
        measure: Measure::Angle,
        meaning: "after one jump of the step test",
        ..SIMULATED
    }, step_overshoot;
    STEP_SETTLING_TIME: Time = Outcome {
        id: "loop.step_settling_time",
        symbol: "t_jump",
        label: "Step test: settling time",
        measure: Measure::Time,
        meaning: "after one jump of the step test",
        ..SIMULATED
    }, step_settling_time;
    STEP_PEAK_CURRENT: ElectricCurrent = Outcome {
        id: "loop.step_peak_current",
        symbol: "I_jump",
        label: "Step test: peak current",
        measure: Measure::Current,
        meaning: "compare with the meter’s peak",
        ..SIMULATED
    }, step_peak_current;
}

/// Whether the result of this number is a simulated one.
#[must_use]
pub fn has(index: usize) -> bool {
    index
        .checked_sub(RESULTS_AT)
        .is_some_and(|at| at < RESULTS.len())
}

/// The figures of a command that came to its end.
fn figures(c: &Eval<'_>, command: usize) -> Result<Figures, Absent> {
    let figures = c.figures(command)?;
    let stopped = figures[Figure::Stopped as usize];
    if stopped == UNSTABLE {
        Err(Absent::impossible(
            "the loop runs away from its target: ask less bandwidth, or sample faster",
        ))
    } else if stopped == TOO_MUCH {
        Err(Absent::impossible(
            "too much happens to simulate it to the end: contacts chatter in every sample",
        ))
    } else {
        Ok(figures)
    }
}

/// One figure of a command.
fn figure<Q: Physical>(c: &Eval<'_>, command: usize, which: Figure) -> Result<Q, Absent> {
    Ok(Q::from_raw(figures(c, command)?[which as usize]))
}

/// A figure of a command, as the load shows it.
fn travel(c: &Eval<'_>, command: usize, which: Figure) -> Result<Travel, Absent> {
    axis::at_load(c, figure::<Angle>(c, command, which)?)
}

fn settled(c: &Eval<'_>, command: usize) -> Result<Time, Absent> {
    let time: Time = figure(c, command, Figure::Settling)?;
    if time.value >= 0.0 {
        return Ok(time);
    }
    Err(Absent::impossible(if time.value == HUNTS {
        "it never settles: it hunts about its target"
    } else if time.value == RESTS {
        "it does not settle within a second: it rests beside its target, or creeps"
    } else {
        debug_assert_eq!(time.value, CUT);
        "the simulation ended before"
    }))
}

fn overshoot(c: &Eval<'_>) -> Result<Travel, Absent> {
    travel(c, MOVE, Figure::Overshoot)
}

fn settling_time(c: &Eval<'_>) -> Result<Time, Absent> {
    settled(c, MOVE)
}

fn final_error(c: &Eval<'_>) -> Result<Travel, Absent> {
    travel(c, MOVE, Figure::FinalError)
}

fn worst_error(c: &Eval<'_>) -> Result<Travel, Absent> {
    travel(c, MOVE, Figure::WorstError)
}

fn greatest_counts(c: &Eval<'_>) -> Result<Ratio, Absent> {
    figure(c, MOVE, Figure::GreatestCounts)
}

fn resting_droop(c: &Eval<'_>) -> Result<Travel, Absent> {
    travel(c, MOVE, Figure::Droop)
}

fn hunting(c: &Eval<'_>) -> Result<Travel, Absent> {
    travel(c, MOVE, Figure::Hunting)
}

fn hunting_frequency(c: &Eval<'_>) -> Result<Frequency, Absent> {
    let frequency: Frequency = figure(c, MOVE, Figure::HuntingFrequency)?;
    if frequency.value > 0.0 {
        Ok(frequency)
    } else {
        Err(Absent::impossible("it does not hunt"))
    }
}

fn peak_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    figure(c, MOVE, Figure::PeakCurrent)
}

fn reversals(c: &Eval<'_>) -> Result<Ratio, Absent> {
    figure(c, MOVE, Figure::Reversals)
}

fn longest_stall(c: &Eval<'_>) -> Result<Time, Absent> {
    figure(c, MOVE, Figure::LongestStall)
}

fn lost_counts(c: &Eval<'_>) -> Result<Ratio, Absent> {
    figure(c, MOVE, Figure::LostCounts)
}

fn energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    figure(c, MOVE, Figure::Energy)
}

fn returned_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    figure(c, MOVE, Figure::ReturnedEnergy)
}

fn step_overshoot(c: &Eval<'_>) -> Result<Travel, Absent> {
    travel(c, STEP, Figure::Overshoot)
}

fn step_settling_time(c: &Eval<'_>) -> Result<Time, Absent> {
    settled(c, STEP)
}

fn step_peak_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    figure(c, STEP, Figure::PeakCurrent)
}

/// This part has no check: a check is held at every keystroke, many times where something is
/// solved for.
pub const CHECKS: &[Check] = &[];

/// Findings of the landing.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "loop_unstable",
        station: Station::Loop,
        message: "Simulated, the loop runs away from its target. Ask no more than {loop.bandwidth_limit} of bandwidth, or sample faster.",
        numbers: &["loop.bandwidth", "loop.phase_margin"],
        when: unstable,
    },
    Finding {
        id: "loop_hunts",
        station: Station::Loop,
        message: "Simulated, the load never comes to rest: it swings by {loop.hunting} either way. Widen the deadband by one count, ask less bandwidth, or take play out of the gears.",
        numbers: &["loop.hunting", "encoder.angle_per_count"],
        when: hunts,
    },
    Finding {
        id: "landing_misses",
        station: Station::Loop,
        message: "Simulated, it comes back from the other side and lands {loop.final_error} beside its target; you allow {axis.tolerance_at_load}. The counts are right: between them and the load lies the play, {gears.free_play_at_load} at the load, and a move the other way ends on its other flank. Approach from one side, always: the play then drops out.",
        numbers: &[
            "loop.final_error",
            "axis.tolerance_at_load",
            "gears.free_play_at_load",
        ],
        when: misses_by_play,
    },
    Finding {
        id: "landing_misses",
        station: Station::Loop,
        message: "Simulated, it lands {loop.final_error} beside its target; you allow {axis.tolerance_at_load}.",
        numbers: &["loop.final_error", "axis.tolerance_at_load"],
        when: misses_otherwise,
    },
    Finding {
        id: "settles_late",
        station: Station::Loop,
        message: "Simulated, the load settles {loop.settling_time} after the move; you ask for {loop.settling_asked}. Tune the loop, here below: it also tells what limits it.",
        numbers: &["loop.settling_time", "loop.settling_asked"],
        when: settles_late,
    },
    Finding {
        id: "counts_lost",
        station: Station::Loop,
        message: "Simulated, {loop.lost_counts} counts are lost on the way: the position is wrong from then on, and nothing tells.",
        numbers: &["loop.lost_counts", "encoder.edge_service_time"],
        when: counts_lost,
    },
    Finding {
        id: "loop_gives_up",
        station: Station::Loop,
        message: "On the way the loop is up to {loop.greatest_error_counts} counts behind, and gives up at {loop.error_limit}: a sound move ends in an error. Raise the limit, feed the speed forward, or go slower.",
        numbers: &["loop.greatest_error_counts", "loop.error_limit"],
        when: gives_up,
    },
    Finding {
        id: "loop_lets_go",
        station: Station::Loop,
        message: "In a sound move the loop drives fully without a count for {loop.longest_stall}, and lets go after {loop.stall_timeout}. Give it longer, or more voltage.",
        numbers: &["loop.longest_stall", "loop.stall_timeout"],
        when: lets_go,
    },
    Finding {
        id: "stall_timeout_long",
        station: Station::Loop,
        message: "Stalled, the winding reaches its limit after {heat.stall_time}, and the loop lets go only after {loop.stall_timeout}. Set {settings.stall_timeout}.",
        numbers: &[
            "loop.stall_timeout",
            "heat.stall_time",
            "settings.stall_timeout",
        ],
        when: timeout_long,
    },
];

fn unstable(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    c.simulated()?;
    let away = c.figures(MOVE)?[Figure::Stopped as usize] == UNSTABLE;
    Ok(away.then_some(Severity::Fault))
}

/// More than half a count either way.
fn hunts(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    c.simulated()?;
    let swing: Angle = figure(c, MOVE, Figure::Hunting)?;
    Ok((swing > 0.5 * c.get(encoder::ANGLE_PER_COUNT)?).then_some(Severity::Fault))
}

/// Whether it lands outside the error allowed, and whether the play is what puts it there.
fn misses(c: &Eval<'_>) -> Result<(bool, bool), Absent> {
    c.simulated()?;
    let off = c.travel(FINAL_ERROR)?.raw().abs();
    let allowed = c.travel(axis::TOLERANCE_AT_LOAD)?.raw();
    let play = c.travel(verdict::ERROR_BACKLASH)?.raw();
    Ok((off > allowed, off - play < allowed && play > 0.0))
}

fn misses_by_play(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let back = c.get(movement::DIRECTION)? == movement::Direction::Both;
    Ok((misses(c)? == (true, true) && back).then_some(Severity::Fault))
}

fn misses_otherwise(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let back = c.get(movement::DIRECTION)? == movement::Direction::Both;
    let (off, by_play) = misses(c)?;
    Ok((off && !(by_play && back)).then_some(Severity::Fault))
}

/// Not settling at all is told by other findings, or by the result itself.
fn settles_late(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    c.simulated()?;
    let Some(asked) = c.option(control::SETTLING_ASKED)? else {
        return Ok(None);
    };
    Ok((c.get(SETTLING_TIME)? > asked).then_some(Severity::Fault))
}

fn counts_lost(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    c.simulated()?;
    let lost: Ratio = c.get(LOST_COUNTS)?;
    Ok((lost.value > 0.0).then_some(Severity::Fault))
}

/// A fault where a limit that is given is reached.
fn reached<Q: Physical, R: Physical>(
    c: &Eval<'_>,
    limit: Key<Q>,
    value: Key<R>,
) -> Result<Option<Severity>, Absent> {
    c.simulated()?;
    let Some(limit) = c.option(limit)? else {
        return Ok(None);
    };
    Ok((c.get(value)?.raw() >= limit.raw()).then_some(Severity::Fault))
}

fn gives_up(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    reached(c, control::ERROR_LIMIT, GREATEST_COUNTS)
}

fn lets_go(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    reached(c, control::STALL_TIMEOUT, LONGEST_STALL)
}

fn timeout_long(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let Some(timeout) = c.option(control::STALL_TIMEOUT)? else {
        return Ok(None);
    };
    match c.get(heat::STALL_TIME) {
        Ok(time) => Ok((timeout > time).then_some(Severity::Fault)),
        Err(absent) if absent.code == Code::Unlimited => Ok(None),
        Err(absent) => Err(absent),
    }
}
