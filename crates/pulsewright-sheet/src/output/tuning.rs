//! Settings of the loop found for a design: what to enter, what they bring, what limits it.
//!
//! Some hundred landings are simulated, a second's work: it is asked for, never part of an
//! evaluation.

use pulsewright_calc::landing::Settling;
use pulsewright_calc::landing::tune::{Goal, Limit, Rule, Setting, Trial, Tuned, tune};
use pulsewright_calc::position_loop::static_stiffness;
use pulsewright_calc::units::{Angle, Time};
use uom::si::time::second;

use crate::design::Design;
use crate::evaluation::simulated;
use crate::evaluation::{Absent, Eval, display};
use crate::register::movement::{self, Approach, Direction};
use crate::register::position_loop as control;
use crate::register::{self, axis, gears, verdict};
use crate::stations::shared;
use crate::stations::simulation::{self, SimulationInput};
use crate::text::measure::Measure;
use crate::text::notation::Notation;
use crate::text::number::{self, DecimalMark};

/// Settling time that is aimed at where none is asked for, s: common practice, no source.
const SETTLING: f64 = 0.25;

/// Significant digits of what is entered.
const ENTERED: i32 = 12;

/// What was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Proposal {
    /// Inputs to enter and their texts; none where the present settings are as good.
    pub entries: Vec<(String, String)>,
    /// What, now, and with the entries.
    pub rows: Vec<[String; 3]>,
    /// What is to be said about it.
    pub sentences: Vec<String>,
}

/// Finds settings of the loop for the move of a design.
///
/// # Errors
/// Why it cannot be simulated.
pub fn propose(c: &Eval<'_>) -> Result<Proposal, Absent> {
    shared::move_is_made(c)?;
    let case = simulation::case(c, simulated::MOVE)?;
    let others = simulation::other_moves(c)?;
    let start = setting(c)?;
    let goal = Goal {
        error: case.actuator.position_tolerance,
        settling: c
            .option(control::SETTLING_TARGET)?
            .unwrap_or(Time::new::<second>(SETTLING)),
    };
    let tuned =
        tune(&case.actuator, &case.legs, &others, &start, &goal).map_err(simulation::refused)?;
    let (before, after) = (&tuned.start, &tuned.found);
    let mut sentences = vec![asked(c, &goal, &tuned)?];
    if let Some(rule) = broken(before) {
        sentences.push(["The present settings ", &rule].concat());
    }
    sentences.push(compared(before, after).into());
    if after.setting != before.setting
        && let Some(rule) = broken(after)
    {
        sentences.push(["Those found ", &rule].concat());
    }
    match by_play(c)? {
        Some(sentence) => sentences.push(sentence),
        None => sentences.push(limited(c, &tuned)?),
    }
    if tuned.cut {
        sentences.push("The move is long: the search stopped before its end.".into());
    }
    Ok(Proposal {
        entries: if after.setting == before.setting {
            Vec::new()
        } else {
            entries(c, &before.setting, &after.setting)
        },
        rows: rows(c, &case, before, after)?,
        sentences,
    })
}

/// What a design has set of its loop.
fn setting(c: &Eval<'_>) -> Result<Setting, Absent> {
    Ok(Setting {
        bandwidth: c.get(control::BANDWIDTH)?,
        damping: c.get(control::DAMPING)?,
        integral_time: c.option(control::INTEGRAL_TIME)?,
        feed_forward: c.get(control::FEED_FORWARD)?,
        deadband: c.get(control::DEADBAND)?,
        sample_time: c.get(control::SAMPLE_TIME)?,
    })
}

/// What was asked, and of what it had to hold.
fn asked(c: &Eval<'_>, goal: &Goal, tuned: &Tuned) -> Result<String, Absent> {
    let farther = if shared::swing(c)?.is_none() {
        "half and twice the distance and time"
    } else {
        "half the distance, and half and twice the time"
    };
    Ok([
        "Asked: within ",
        &at_load(c, goal.error)?,
        ", ",
        &Notation::SI.said(Measure::Time, goal.settling.value, 3),
        " after the move; also with a fifth more or less friction and backlash, a fifth more winding resistance, a tenth more or less voltage, and on moves of ",
        farther,
        ". Landings simulated: ",
        &number::int(i64::from(tuned.simulations)),
        ".",
    ]
    .concat())
}

/// The rule of the loop that a setting breaks, as what is said of it.
fn broken(trial: &Trial) -> Option<String> {
    let said = |measure, value: f64| Notation::SI.said(measure, value, 2);
    Some(match trial.breaks? {
        Rule::Phase => [
            "leave a phase margin of ",
            &said(Measure::Angle, trial.phase_margin.value),
            "; 40° are needed.",
        ]
        .concat(),
        Rule::Derivative => [
            "let one count in one sample move the derivative part by ",
            &number::text(trial.derivative_kick.value, 2),
            " of the supply voltage; 0.2 is quiet.",
        ]
        .concat(),
        Rule::Sampling => [
            "ask a bandwidth of ",
            &said(Measure::Frequency, trial.setting.bandwidth.value),
            " of samples of which a tenth are ",
            &said(Measure::Frequency, 0.1 / trial.setting.sample_time.value),
            ".",
        ]
        .concat(),
    })
}

/// How what was found stands to what is set, better or worse.
fn compared(before: &Trial, after: &Trial) -> &'static str {
    let same = after.setting == before.setting;
    match (before.lands, before.met, after.lands, after.met) {
        _ if same && before.breaks.is_some() => {
            "No settings that keep this rule were found to land better."
        }
        (_, true, ..) if same => "The present settings land as asked, in all of these cases.",
        (true, ..) if same => {
            "The present settings land this move as asked, but not in all of these cases; none were found that do."
        }
        _ if same => "The present settings do not land as asked; no better ones were found.",
        (_, true, _, true) if after.cost <= before.cost => {
            "The present settings land as asked, in all of these cases; those found do too, and better."
        }
        (_, true, _, true) => {
            "The present settings land as asked, in all of these cases; those found do too. They land worse, within what is asked, for the sake of that rule."
        }
        (true, _, _, true) => {
            "The present settings land this move as asked, but not in all of these cases; those found do: they are better."
        }
        (false, _, _, true) => {
            "The present settings do not land as asked; those found do, in all of these cases: they are better."
        }
        (true, _, true, _) => {
            "Present and found settings land this move as asked, but not in all of these cases; those found come closer."
        }
        (false, _, true, _) => {
            "The present settings do not land as asked; those found land this move as asked, but not in all of these cases."
        }
        _ if after.cost <= before.cost => {
            "Neither land as asked; those found come closer: they are better."
        }
        _ => "Neither land as asked; those found land worse, for the sake of that rule.",
    }
}

/// Where a target is approached from either side and the play exceeds what is allowed, no setting cures it.
fn by_play(c: &Eval<'_>) -> Result<Option<String>, Absent> {
    let either = c.get(movement::APPROACH)? == Approach::Either
        && c.get(movement::DIRECTION)? == Direction::Both;
    let (play, allowed) = (
        c.travel(verdict::ERROR_BACKLASH)?,
        c.travel(axis::TOLERANCE_AT_LOAD)?,
    );
    if !either || play.raw() <= allowed.raw() {
        return Ok(None);
    }
    let whole = c.travel(gears::BACKLASH_AT_LOAD)?;
    let said = |travel| shown(c, travel, 3);
    Ok(Some(
        [
            "Backlash limits it, whatever the settings: approached from either side the load can stop anywhere within ",
            &said(whole),
            "; ",
            &said(allowed),
            " are allowed. Approach the target from one side, always.",
        ]
        .concat(),
    ))
}

fn at_load(c: &Eval<'_>, output: Angle) -> Result<String, Absent> {
    let travel = shared::at_load(c, output)?;
    if travel.raw() == 0.0 {
        return Ok("0".into());
    }
    Ok(shown(c, travel, 2))
}

fn shown(c: &Eval<'_>, travel: register::Travel, digits: i32) -> String {
    let (measure, factor) = display::travel_as_asked(c, travel.measure());
    Notation::SI.said(measure, factor * travel.raw(), digits)
}

/// The inputs of a setting, as they are typed, to so many digits.
fn typed(setting: &Setting, digits: i32) -> [(usize, String); 6] {
    let with = |value: f64, unit: &str| [&number::text(value, digits), unit].concat();
    let integral = setting.integral_time;
    [
        (
            control::BANDWIDTH.index(),
            with(setting.bandwidth.value, " Hz"),
        ),
        (control::DAMPING.index(), with(setting.damping.value, "")),
        (
            control::INTEGRAL_TIME.index(),
            integral.map_or("none".into(), |time| with(time.value, " s")),
        ),
        (
            control::FEED_FORWARD.index(),
            with(setting.feed_forward.value, ""),
        ),
        (
            control::DEADBAND.index(),
            number::int(i64::from(setting.deadband)),
        ),
        (
            control::SAMPLE_TIME.index(),
            with(setting.sample_time.value * 1e6, " us"),
        ),
    ]
}

/// What is to be entered: what was changed, and what would change with it because it is assumed from it.
fn entries(c: &Eval<'_>, before: &Setting, after: &Setting) -> Vec<(String, String)> {
    let (was, is) = (typed(before, ENTERED), typed(after, ENTERED));
    let mut entered = was
        .iter()
        .zip(&is)
        .map(|(was, is)| was != is)
        .collect::<Vec<_>>();
    let enter = |entered: &[bool]| {
        let mut design: Design = c.design().clone();
        for ((index, text), _) in is.iter().zip(entered).filter(|(_, entered)| **entered) {
            design.enter(*index, text, DecimalMark::Stored);
        }
        design
    };
    let design = enter(&entered);
    if let Ok(then) = setting(&Eval::new(&design)) {
        for ((then, is), entered) in typed(&then, ENTERED).iter().zip(&is).zip(&mut entered) {
            *entered |= then != is;
        }
    }
    is.into_iter()
        .zip(entered)
        .filter(|(_, entered)| *entered)
        .map(|((index, text), _)| (register::id(index).to_owned(), text))
        .collect()
}

fn settled(trial: &Trial) -> String {
    match trial.landing.settling {
        Settling::After(time) if time.value == 0.0 => "at once".into(),
        Settling::After(time) => ["in ", &Notation::SI.said(Measure::Time, time.value, 2)].concat(),
        Settling::Hunting => "hunts".into(),
        Settling::Droop => "rests beside its target".into(),
        Settling::Creeping => "creeps".into(),
        Settling::OnItsWay => "has not arrived after 1 s".into(),
        Settling::Sinking => "sinks".into(),
        Settling::RunningAway => "is driven away".into(),
        Settling::NotReached => "runs away".into(),
    }
}

fn resting(c: &Eval<'_>, trial: &Trial) -> Result<String, Absent> {
    at_load(c, trial.landing.droop.abs() + trial.landing.hunting)
}

fn rows(
    c: &Eval<'_>,
    case: &SimulationInput,
    before: &Trial,
    after: &Trial,
) -> Result<Vec<[String; 3]>, Absent> {
    let mut rows = Vec::with_capacity(12);
    let mut row = |label: &str, of: &dyn Fn(&Trial) -> Result<String, Absent>| {
        rows.push([label.into(), of(before)?, of(after)?]);
        Ok::<(), Absent>(())
    };
    row("settles", &|t| Ok(settled(t)))?;
    row("final position error", &|t| resting(c, t))?;
    row("overshoot", &|t| at_load(c, t.landing.overshoot))?;
    row("peak following error", &|t| {
        at_load(c, t.landing.worst_error)
    })?;
    row("peak current", &|t| {
        Ok(Notation::SI.said(Measure::Current, t.landing.peak_current.value, 2))
    })?;
    row("phase margin", &|t| {
        Ok(Notation::SI.said(Measure::Angle, t.phase_margin.value, 2))
    })?;
    let train = &case.actuator.train;
    row("servo stiffness", &|t| {
        let stiffness = static_stiffness(
            &t.gains,
            train.ratio,
            train.motor_constant,
            case.actuator.power.winding_resistance,
        );
        Ok(Notation::SI.said(Measure::Stiffness, stiffness.value, 2))
    })?;
    row("lands as asked", &|t| {
        Ok(match (t.lands, t.met) {
            (_, true) => "in all these cases",
            (true, false) => "in this one",
            (false, false) => "no",
        }
        .into())
    })?;
    for (place, label) in [
        "bandwidth",
        "damping ratio",
        "integral time",
        "feed-forward",
        "deadband, counts",
        "sample time",
    ]
    .into_iter()
    .enumerate()
    {
        row(label, &|t| {
            let entry = typed(&t.setting, 4).into_iter().nth(place);
            Ok(entry.map_or(String::new(), |(_, text)| text.replace("us", "µs")))
        })?;
    }
    Ok(rows)
}

/// What a limit is called.
fn named(limit: Limit) -> &'static str {
    match limit {
        Limit::Voltage => "voltage",
        Limit::Current => "current limit",
        Limit::Backlash => "backlash",
        Limit::Counts => "encoder resolution",
        Limit::SampleTime => "sample time",
        Limit::Friction => "friction",
        Limit::Nothing | Limit::Other => "",
    }
}

/// What limits it, and what would be without that.
fn limited(c: &Eval<'_>, tuned: &Tuned) -> Result<String, Absent> {
    let (limit, without) = (tuned.limit, &tuned.without);
    let what = match limit {
        Limit::Nothing => return Ok("Nothing limits it: the target is met.".into()),
        Limit::Other if without.is_empty() => {
            return Ok("What limits it was not sought: the search took all the time.".into());
        }
        Limit::Other => {
            let names: Vec<&str> = without.iter().map(|(limit, _)| named(*limit)).collect();
            let tried = match names.split_last() {
                Some((last, [])) => (*last).to_owned(),
                Some((last, first)) => [&first.join(", "), " and ", last].concat(),
                None => String::new(),
            };
            let begin = if tuned.all_taken_away {
                "No single limit explains it: "
            } else {
                "What limits it was not found before the search was ended: "
            };
            return Ok([
                begin,
                &tried,
                " taken away one at a time, none of that helped.",
            ]
            .concat());
        }
        Limit::Voltage => {
            "The voltage limits it: with four times the voltage, and no voltage drop, it "
        }
        Limit::Current => "The current limit limits it: without one it ",
        Limit::Backlash => "Backlash limits it: without backlash it ",
        Limit::Counts => {
            "The encoder resolution limits it: with counts and PWM sixteen times as fine, and ideal sensors, it "
        }
        Limit::SampleTime => "The sample time limits it: sampled eight times as often it ",
        Limit::Friction => "Friction limits it: without Coulomb friction it ",
    };
    let trial = without.iter().find(|(removed, _)| *removed == limit);
    let Some((_, trial)) = trial else {
        return Ok(what.into());
    };
    let after = match trial.landing.settling {
        Settling::After(_) => ["settles ", &settled(trial), " and rests within "].concat(),
        Settling::Hunting => "hunts within ".into(),
        _ => "comes within ".into(),
    };
    Ok([what, &after, &resting(c, trial)?, "."].concat())
}

impl Proposal {
    /// As text, to be carried from a worker to the page: a line for each entry, row and sentence.
    #[must_use]
    pub fn text(&self) -> String {
        let mut lines: Vec<String> = Vec::new();
        for (id, text) in &self.entries {
            lines.push(["=", id, "\t", text].concat());
        }
        for [what, now, then] in &self.rows {
            lines.push(["|", what, "\t", now, "\t", then].concat());
        }
        lines.extend(self.sentences.iter().cloned());
        lines.join("\n")
    }

    /// Out of [`Self::text`].
    #[must_use]
    pub fn read(text: &str) -> Self {
        let mut read = Self::default();
        for line in text.lines() {
            let mut cells = line.get(1..).unwrap_or_default().split('\t');
            let mut cell = || cells.next().unwrap_or_default().to_owned();
            match line.chars().next() {
                Some('=') => read.entries.push((cell(), cell())),
                Some('|') => read.rows.push([cell(), cell(), cell()]),
                _ => read.sentences.push(line.into()),
            }
        }
        read
    }
}
