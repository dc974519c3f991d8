//! Simulated move: results of the position loop that a formula cannot give.

use super::shared::{at_load, counting_direction, entered_travel, move_is_made};
use crate::evaluation::simulated::{
    CREEPS, CUT, DRIVEN_AWAY, Figure, Figures, HUNTS, MOVE, ON_ITS_WAY, RESTS, SINKS, STEP,
    TOO_MUCH, UNSTABLE,
};
use crate::evaluation::{Absent, Code, Eval, display};
use crate::evaluation::{Check, Margin, Tier};
use crate::evaluation::{Finding, Severity};
use crate::register::landing::*;
use crate::register::{Key, Physical, Station, Travel, axis, encoder, heat, movement};
use crate::register::{position_loop as control, verdict};
use crate::text::measure::Measure;
use pulsewright_calc::units::{Angle, ElectricCurrent, Energy, Frequency, Ratio, Time};

station! { landing;
    results {
        OVERSHOOT = overshoot;
        SETTLING_TIME = settling_time;
        FINAL_ERROR = final_error;
        PEAK_FOLLOWING_ERROR = worst_error;
        PEAK_FOLLOWING_ERROR_COUNTS = greatest_counts;
        RESTING_ERROR = resting_droop;
        HUNTING = hunting;
        HUNTING_FREQUENCY = hunting_frequency;
        BREAKS_LOOSE = breaks_loose;
        PEAK_CURRENT = peak_current;
        REVERSALS = reversals;
        LONGEST_STALL = longest_stall;
        LOST_COUNTS = lost_counts;
        ENERGY = energy;
        REGENERATED_ENERGY = regenerated_energy;
        STEP_OVERSHOOT = step_overshoot;
        STEP_SETTLING_TIME = step_settling_time;
        STEP_PEAK_CURRENT = step_peak_current;
        SIMULATED_TIME = simulated_time;
    }
    words {
        FINAL_ERROR = |c| about(c, FINAL_ERROR.index());
        RESTING_ERROR = |c| about(c, RESTING_ERROR.index());
        HUNTING = |c| about(c, HUNTING.index());
        HUNTING_FREQUENCY = |c| about(c, HUNTING_FREQUENCY.index());
        REVERSALS = |c| about(c, REVERSALS.index());
    }
}

/// What depends on the last digit of everything is said in one digit.
fn about(c: &Eval<'_>, index: usize) -> Option<String> {
    if c.figures(MOVE).ok()?[Figure::Chaotic as usize] == 0.0 {
        return None;
    }
    let answer = c.answer(index);
    let value = answer.found.ok().filter(|value| *value != 0.0)?;
    let (measure, value) = display::as_asked(c, index, answer.measure, value);
    Some(["about ", &c.notation.said(measure, value, 1)].concat())
}

/// The figures of a command, as far as it was simulated, that did not run away.
fn until_stopped(c: &Eval<'_>, command: usize) -> Result<Figures, Absent> {
    // Of a move that cannot be made nothing is told.
    move_is_made(c).or_else(|absent| match absent.code {
        Code::Waits => Err(absent),
        _ => Ok(()),
    })?;
    let figures = c.figures(command)?;
    if figures[Figure::Stopped as usize] == UNSTABLE {
        return Err(Absent::impossible(
            "the loop is unstable: tune its settings",
        ));
    }
    Ok(figures)
}

/// The figures of a command that came to its end.
fn figures(c: &Eval<'_>, command: usize) -> Result<Figures, Absent> {
    let figures = until_stopped(c, command)?;
    if figures[Figure::Stopped as usize] == TOO_MUCH {
        return Err(Absent::impossible(
            "the motion is too quick and too long to simulate to its end",
        ));
    }
    Ok(figures)
}

/// A figure that has grown until the simulation ended, whatever ended it: it is at least that.
fn so_far<Q: Physical>(c: &Eval<'_>, command: usize, which: Figure) -> Result<Q, Absent> {
    Ok(Q::from_raw(until_stopped(c, command)?[which as usize]))
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
        "it does not settle: limit cycle (hunting)"
    } else if time.value == RESTS {
        "it does not settle: it stops beside its target"
    } else if time.value == CREEPS {
        "it does not settle within a second: it creeps towards its target"
    } else if time.value == ON_ITS_WAY {
        "it has not arrived a second after the command: it is still on its way"
    } else if time.value == SINKS {
        "it does not settle: its load pulls it away from its target"
    } else if time.value == DRIVEN_AWAY {
        "it does not settle: the loop drives it away from its target"
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
    at_load(c, so_far::<Angle>(c, MOVE, Figure::WorstError)?)
}

fn greatest_counts(c: &Eval<'_>) -> Result<Ratio, Absent> {
    so_far(c, MOVE, Figure::GreatestCounts)
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
        Err(Absent::impossible("no limit cycle"))
    }
}

fn breaks_loose(c: &Eval<'_>) -> Result<Time, Absent> {
    let time: Time = figure(c, MOVE, Figure::BreaksLoose)?;
    if time.value > 0.0 {
        Ok(time)
    } else {
        Err(Absent::impossible("nothing breaks it loose"))
    }
}

fn peak_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    so_far(c, MOVE, Figure::PeakCurrent)
}

fn reversals(c: &Eval<'_>) -> Result<Ratio, Absent> {
    figure(c, MOVE, Figure::Reversals)
}

fn longest_stall(c: &Eval<'_>) -> Result<Time, Absent> {
    so_far(c, MOVE, Figure::LongestStall)
}

fn lost_counts(c: &Eval<'_>) -> Result<Ratio, Absent> {
    figure(c, MOVE, Figure::LostCounts)
}

fn energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    figure(c, MOVE, Figure::Energy)
}

fn regenerated_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    figure(c, MOVE, Figure::ReturnedEnergy)
}

fn step_overshoot(c: &Eval<'_>) -> Result<Travel, Absent> {
    travel(c, STEP, Figure::Overshoot)
}

fn step_settling_time(c: &Eval<'_>) -> Result<Time, Absent> {
    settled(c, STEP)
}

fn step_peak_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    so_far(c, STEP, Figure::PeakCurrent)
}

fn simulated_time(c: &Eval<'_>) -> Result<Time, Absent> {
    so_far(c, MOVE, Figure::Duration)
}

/// Checks of the landing: held where it is simulated.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.final_error",
        label: "Final position error (simulated)",
        failing: "simulated final position error {loop.final_error}, position tolerance {axis.tolerance_at_load}",
        tier: Tier::Exactness,
        station: Station::Loop,
        measure: Measure::Length,
        limit: true,
        margin: landing_check,
    },
    Check {
        id: "check.path",
        label: "Following error (simulated)",
        failing: "peak following error {loop.peak_following_error}, path tolerance {move.path_tolerance}",
        tier: Tier::Exactness,
        station: Station::Loop,
        measure: Measure::Length,
        limit: true,
        margin: path_check,
    },
];

/// Whether a landing is simulated.
fn landed(c: &Eval<'_>) -> Result<bool, Absent> {
    if c.simulated().is_err() {
        return Ok(false);
    }
    judged(c).map(|()| true)
}

/// Whether there is a landing to judge: one of a move that is made and counted.
fn judged(c: &Eval<'_>) -> Result<(), Absent> {
    c.simulated()?;
    move_is_made(c)?;
    if counting_direction(c)? == pulsewright_calc::encoder::Direction::None {
        return Err(Absent::waits("waits: the sensors give no direction"));
    }
    match c.get(encoder::SHORTEST_EDGE_GAP) {
        Ok(gap) if gap.value <= 0.0 => Err(Absent::waits("waits: counts are lost at any speed")),
        Ok(_) => Ok(()),
        Err(absent) if absent.code == Code::Unlimited => Ok(()),
        Err(absent) => Err(absent),
    }
}

fn landing_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    if !landed(c)? {
        return Ok(None);
    }
    let (off, allowed) = (c.travel(FINAL_ERROR)?, c.travel(axis::TOLERANCE_AT_LOAD)?);
    Ok(Some(of_sizes(allowed, off)))
}

/// A travel allowed against the size of another.
fn of_sizes(allowed: Travel, off: Travel) -> Margin {
    Margin {
        need: off.raw().abs(),
        ..Margin::of_travel(allowed, off)
    }
}

fn path_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    if c.left_out_now(movement::PATH_TOLERANCE) || !landed(c)? {
        return Ok(None);
    }
    let allowed = entered_travel(c, movement::PATH_TOLERANCE)?;
    Ok(Some(of_sizes(allowed, c.travel(PEAK_FOLLOWING_ERROR)?)))
}

/// Findings of the landing.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "loop_unstable",
        station: Station::Loop,
        message: "In the simulation the loop is unstable. Tune the loop: tuning seeks settings that keep their phase margin.",
        numbers: &["loop.bandwidth", "loop.phase_margin"],
        when: unstable,
    },
    Finding {
        id: "loop_hunts",
        station: Station::Loop,
        message: "In the simulation the load does not come to rest: limit cycle (hunting) of ±{loop.hunting}. Tune the loop: tuning seeks settings that come to rest, and says what prevents it.",
        numbers: &["loop.hunting", "encoder.angle_per_count"],
        when: hunts,
    },
    Finding {
        id: "final_error_large",
        station: Station::Loop,
        message: "Simulated final position error {loop.final_error} after a return move; position tolerance {axis.tolerance_at_load}. The encoder count is right; the error is the backlash of {gears.backlash_at_load} at the load. Always approach from one side: the backlash then has no effect.",
        numbers: &[
            "loop.final_error",
            "axis.tolerance_at_load",
            "gears.backlash_at_load",
        ],
        when: misses_by_play,
    },
    Finding {
        id: "final_error_large",
        station: Station::Loop,
        message: "Simulated, the load sinks away from its target: it is {loop.final_error} beside it after the dwell and goes on; position tolerance {axis.tolerance_at_load}. Nothing holds it: neither gears nor motor.",
        numbers: &["loop.final_error", "axis.tolerance_at_load"],
        when: |c| misses_as(c, SINKS),
    },
    Finding {
        id: "final_error_large",
        station: Station::Loop,
        message: "Simulated, the loop drives the load away from its target: it is {loop.final_error} beside it after the dwell; position tolerance {axis.tolerance_at_load}. Tune the loop: tuning seeks settings that keep their margin.",
        numbers: &["loop.final_error", "axis.tolerance_at_load"],
        when: |c| misses_as(c, DRIVEN_AWAY),
    },
    Finding {
        id: "final_error_large",
        station: Station::Loop,
        message: "Simulated, it creeps: at the end of the dwell it is still {loop.final_error} beside its target; position tolerance {axis.tolerance_at_load}. Tune the loop: tuning also says what limits it.",
        numbers: &["loop.final_error", "axis.tolerance_at_load"],
        when: |c| misses_as(c, CREEPS),
    },
    Finding {
        id: "final_error_large",
        station: Station::Loop,
        message: "Simulated, it has not arrived: at the end of the dwell it is still on its way, {loop.final_error} beside its target; position tolerance {axis.tolerance_at_load}. Give the move more time, or tune the loop: it also tells what limits it.",
        numbers: &["loop.final_error", "axis.tolerance_at_load"],
        when: |c| misses_as(c, ON_ITS_WAY),
    },
    Finding {
        id: "final_error_large",
        station: Station::Loop,
        message: "Simulated final position error {loop.final_error}; position tolerance {axis.tolerance_at_load}. Tune the loop: tuning also says what limits it.",
        numbers: &["loop.final_error", "axis.tolerance_at_load"],
        when: |c| misses_as(c, RESTS),
    },
    Finding {
        id: "not_arrived",
        station: Station::Loop,
        message: "Simulated, it has not arrived at the end of its dwell: it needs {loop.settling_time}, it has {move.dwell}. Give it a longer dwell or a slower move, or tune the loop: it also tells what limits it.",
        numbers: &["loop.settling_time", "move.dwell"],
        when: not_arrived,
    },
    Finding {
        id: "loop_breaks_loose",
        station: Station::Loop,
        message: "Simulated, it stands beside its target by more than the deadband, and the integral part goes on: it will break loose again, every {loop.breaks_loose}. Tune the loop: tuning seeks settings that come to rest.",
        numbers: &["loop.breaks_loose", "loop.deadband"],
        when: breaks_loose_again,
    },
    Finding {
        id: "simulation_ended",
        station: Station::Loop,
        message: "The motion is too quick and too long to simulate to its end: {loop.simulated_time} of it were. Until then it was up to {loop.peak_following_error} off, with up to {loop.peak_current}; where it lands is not known.",
        numbers: &[
            "loop.simulated_time",
            "loop.peak_following_error",
            "loop.peak_current",
        ],
        when: ended,
    },
    Finding {
        id: "step_test_is_a_ramp",
        station: Station::Loop,
        message: "The step/dir controller limits the step test: it makes {steps.rate_limit}, so that a jump by {loop.step_test} takes {loop.step_ramp}. Overshoot and settling are then those of this ramp; test with a shorter jump.",
        numbers: &["steps.rate_limit", "loop.step_ramp"],
        when: step_is_a_ramp,
    },
    Finding {
        id: "settles_late",
        station: Station::Loop,
        message: "Simulated settling time {loop.settling_time}; target {loop.settling_target}. Tune the loop: tuning also says what limits it.",
        numbers: &["loop.settling_time", "loop.settling_target"],
        when: settles_late,
    },
    Finding {
        id: "counts_lost",
        station: Station::Loop,
        message: "In the simulation {loop.lost_counts} counts are lost during the move. The position is wrong from then on, without any error message.",
        numbers: &["loop.lost_counts", "encoder.edge_service_time"],
        when: counts_lost,
    },
    Finding {
        id: "following_error_limit_low",
        station: Station::Loop,
        message: "The peak following error is {loop.peak_following_error_counts} counts, and the following-error limit is {loop.error_limit}: a normal move ends in a fault. Raise the limit, use velocity feed-forward, or move slower.",
        numbers: &["loop.peak_following_error_counts", "loop.error_limit"],
        when: gives_up,
    },
    Finding {
        id: "stall_timeout_short",
        station: Station::Loop,
        message: "In a normal move there is full drive without a count for {loop.longest_stall}, and the stall timeout is {loop.stall_timeout}. Set a longer timeout, or use a higher voltage.",
        numbers: &["loop.longest_stall", "loop.stall_timeout"],
        when: lets_go,
    },
    Finding {
        id: "stall_timeout_long",
        station: Station::Loop,
        message: "Max. stall time is {heat.stall_time}, and the stall timeout is {loop.stall_timeout}. Set a stall timeout of {settings.stall_timeout}.",
        numbers: &[
            "loop.stall_timeout",
            "heat.stall_time",
            "settings.stall_timeout",
        ],
        when: timeout_long,
    },
];

fn unstable(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    judged(c)?;
    let away = c.figures(MOVE)?[Figure::Stopped as usize] == UNSTABLE;
    Ok(away.then_some(Severity::Fault))
}

/// More than half a count either way.
fn hunts(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    judged(c)?;
    let swing: Angle = figure(c, MOVE, Figure::Hunting)?;
    Ok((swing > 0.5 * c.get(encoder::ANGLE_PER_COUNT)?).then_some(Severity::Fault))
}

/// Whether it lands outside the error allowed, and whether the play is what puts it there.
fn misses(c: &Eval<'_>) -> Result<(bool, bool), Absent> {
    judged(c)?;
    let off = c.travel(FINAL_ERROR)?.raw().abs();
    let allowed = c.travel(axis::TOLERANCE_AT_LOAD)?.raw();
    let play = c.travel(verdict::ERROR_BACKLASH)?.raw();
    Ok((off > allowed, off - play < allowed && play > 0.0))
}

fn misses_by_play(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let back = c.get(movement::DIRECTION)? == movement::Direction::Both;
    Ok((misses(c)? == (true, true) && back).then_some(Severity::Fault))
}

/// Whether it lands outside the error allowed for another reason than the play, and comes to rest, or does not, as
/// `why` says.
fn misses_as(c: &Eval<'_>, why: f64) -> Result<Option<Severity>, Absent> {
    let (off, _) = misses(c)?;
    if !off || misses_by_play(c)?.is_some() {
        return Ok(None);
    }
    let settling = figures(c, MOVE)?[Figure::Settling as usize];
    // Hunting, and what comes to rest after the dwell, are told by findings of their own.
    let stirs = settling == HUNTS && hunts(c)?.is_none();
    let settling = if stirs { RESTS } else { settling };
    Ok((settling == why).then_some(Severity::Fault))
}

/// Settled at last, but after the dwell that is given.
fn not_arrived(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    c.simulated()?;
    let dwell = c.get(movement::DWELL)?;
    let late = misses(c)?.0 && c.get(SETTLING_TIME)? > dwell;
    Ok(late.then_some(Severity::Fault))
}

fn breaks_loose_again(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    c.simulated()?;
    Ok(c.get(BREAKS_LOOSE).is_ok().then_some(Severity::Note))
}

fn ended(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    c.simulated()?;
    let stopped = c.figures(MOVE)?[Figure::Stopped as usize];
    Ok((stopped == TOO_MUCH).then_some(Severity::Note))
}

/// Share of the loop's own time that a ramp may take and still pass for a jump: common practice, no source.
const SUDDEN: f64 = 0.1;

fn step_is_a_ramp(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    c.simulated()?;
    let own = 1.0 / (core::f64::consts::TAU * c.get(control::BANDWIDTH)?);
    Ok((c.get(control::STEP_RAMP)? > SUDDEN * own).then_some(Severity::Note))
}

/// Not settling at all is told by other findings, or by the result itself.
fn settles_late(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    judged(c)?;
    let Some(asked) = c.option(control::SETTLING_TARGET)? else {
        return Ok(None);
    };
    Ok((c.get(SETTLING_TIME)? > asked).then_some(Severity::Fault))
}

fn counts_lost(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    judged(c)?;
    let lost: Ratio = c.get(LOST_COUNTS)?;
    Ok((lost.value > 0.0).then_some(Severity::Fault))
}

/// A fault where a limit that is given is reached.
fn reached<Q: Physical, R: Physical>(
    c: &Eval<'_>,
    limit: Key<Q>,
    value: Key<R>,
) -> Result<Option<Severity>, Absent> {
    judged(c)?;
    let Some(limit) = c.option(limit)? else {
        return Ok(None);
    };
    Ok((c.get(value)?.raw() >= limit.raw()).then_some(Severity::Fault))
}

fn gives_up(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    reached(c, control::ERROR_LIMIT, PEAK_FOLLOWING_ERROR_COUNTS)
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
