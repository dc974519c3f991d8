//! The landing, simulated: results of the position loop that a formula cannot give.

use super::shared::at_load;
use crate::evaluation::Check;
use crate::evaluation::simulated::{
    CUT, Figure, Figures, HUNTS, MOVE, RESTS, STEP, TOO_MUCH, UNSTABLE,
};
use crate::evaluation::{Absent, Code, Eval};
use crate::evaluation::{Finding, Severity};
use crate::register::landing::*;
use crate::register::{Key, Physical, Station, Travel, axis, encoder, heat, movement};
use crate::register::{position_loop as control, verdict};
use pulsewright_calc::units::{Angle, ElectricCurrent, Energy, Frequency, Ratio, Time};

station! { landing;
    results {
        OVERSHOOT = overshoot;
        SETTLING_TIME = settling_time;
        FINAL_ERROR = final_error;
        WORST_ERROR = worst_error;
        GREATEST_COUNTS = greatest_counts;
        RESTING_DROOP = resting_droop;
        HUNTING = hunting;
        HUNTING_FREQUENCY = hunting_frequency;
        PEAK_CURRENT = peak_current;
        REVERSALS = reversals;
        LONGEST_STALL = longest_stall;
        LOST_COUNTS = lost_counts;
        ENERGY = energy;
        RETURNED_ENERGY = returned_energy;
        STEP_OVERSHOOT = step_overshoot;
        STEP_SETTLING_TIME = step_settling_time;
        STEP_PEAK_CURRENT = step_peak_current;
    }
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
    at_load(c, figure::<Angle>(c, command, which)?)
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
