//! Settings of the loop found for a design: what to enter, what they bring, what limits it.
//!
//! Some hundred landings are simulated, a second's work: it is asked for, never part of an
//! evaluation.

use crate::evaluation::simulated;
use crate::stations::shared;
use pulsewright_calc::landing::Settling;
use pulsewright_calc::landing::tune::{Goal, Limit, Setting, Trial, tune};
use pulsewright_calc::position_loop::static_stiffness;
use pulsewright_calc::units::{Angle, Time};
use uom::si::time::second;

use crate::evaluation::{Absent, Eval};
use crate::register::position_loop as control;
use crate::register::{self};
use crate::stations::simulation::{self, SimulationInput};
use crate::text::measure::Measure;
use crate::text::notation::Notation;
use crate::text::number;

/// Settling time that is aimed at where none is asked for, s: common practice, no source.
const SETTLING: f64 = 0.25;

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
    let case = simulation::case(c, simulated::MOVE)?;
    let start = Setting {
        bandwidth: c.get(control::BANDWIDTH)?,
        damping: c.get(control::DAMPING)?,
        integral_time: c.option(control::INTEGRAL_TIME)?,
        feed_forward: c.get(control::FEED_FORWARD)?,
        deadband: c.get(control::DEADBAND)?,
    };
    let goal = Goal {
        error: case.actuator.position_tolerance,
        settling: c
            .option(control::SETTLING_ASKED)?
            .unwrap_or(Time::new::<second>(SETTLING)),
    };
    let tuned = tune(&case.actuator, &case.legs, &start, &goal).map_err(simulation::refused)?;
    let (before, after) = (&tuned.start, &tuned.found);
    let mut sentences = vec![
        [
            "Asked: within ",
            &at_load(c, goal.error)?,
            ", ",
            &Notation::SI.said(Measure::Time, goal.settling.value, 3),
            " after the move; also with a fifth more friction, play and winding resistance. Landings simulated: ",
            &number::int(i64::from(tuned.simulations)),
            ".",
        ]
        .concat(),
    ];
    if after == before && tuned.limit == Limit::Nothing {
        sentences.push("The present settings land as asked.".into());
    } else if after == before {
        sentences.push("The present settings are as good as any that were tried.".into());
    } else if after.keeps_margin && !before.keeps_margin {
        sentences.push("The present settings do not keep 40° of phase margin, a quiet derivative and a tenth of the sampling rate; those found do.".into());
    }
    if after != before || tuned.limit != Limit::Nothing {
        sentences.push(limited(c, tuned.limit, &tuned.without)?);
    }
    if tuned.cut {
        sentences.push("The move is long: the search was ended before it was through.".into());
    }
    Ok(Proposal {
        entries: if after == before {
            Vec::new()
        } else {
            entries(&after.setting)
        },
        rows: rows(c, &case, before, after)?,
        sentences,
    })
}

fn at_load(c: &Eval<'_>, output: Angle) -> Result<String, Absent> {
    let travel = shared::at_load(c, output)?;
    if travel.raw() == 0.0 {
        return Ok("0".into());
    }
    Ok(Notation::SI.said(travel.measure(), travel.raw(), 2))
}

/// The inputs of a setting, as they are typed.
fn entries(setting: &Setting) -> Vec<(String, String)> {
    let with = |value: f64, unit: &str| [&number::text(value, 12), unit].concat();
    let entry = |index: usize, text: String| (register::id(index).to_owned(), text);
    vec![
        entry(
            control::BANDWIDTH.index(),
            with(setting.bandwidth.value, " Hz"),
        ),
        entry(control::DAMPING.index(), with(setting.damping.value, "")),
        entry(
            control::INTEGRAL_TIME.index(),
            setting
                .integral_time
                .map_or("none".into(), |time| with(time.value, " s")),
        ),
        entry(
            control::FEED_FORWARD.index(),
            with(setting.feed_forward.value, ""),
        ),
        entry(
            control::DEADBAND.index(),
            number::int(i64::from(setting.deadband)),
        ),
    ]
}

fn settled(trial: &Trial) -> String {
    match trial.landing.settling {
        Settling::After(time) if time.value == 0.0 => "at once".into(),
        Settling::After(time) => ["in ", &Notation::SI.said(Measure::Time, time.value, 2)].concat(),
        Settling::Hunting => "hunts".into(),
        Settling::Droop => "not within 1 s".into(),
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
    row("rests beside its target by", &|t| resting(c, t))?;
    row("overshoot", &|t| at_load(c, t.landing.overshoot))?;
    row("largest error on the way", &|t| {
        at_load(c, t.landing.worst_error)
    })?;
    row("peak current", &|t| {
        Ok(Notation::SI.said(Measure::Current, t.landing.peak_current.value, 2))
    })?;
    row("phase margin", &|t| {
        Ok(Notation::SI.said(Measure::Angle, t.phase_margin.value, 2))
    })?;
    let train = &case.actuator.train;
    row("stiffness at rest", &|t| {
        let stiffness = static_stiffness(
            &t.gains,
            train.ratio,
            train.motor_constant,
            case.actuator.power.winding_resistance,
        );
        Ok(Notation::SI.said(Measure::Stiffness, stiffness.value, 2))
    })?;
    for (place, label) in [
        "bandwidth",
        "damping ratio",
        "integral time",
        "feed-forward",
        "deadband, counts",
    ]
    .into_iter()
    .enumerate()
    {
        row(label, &|t| {
            let entry = entries(&t.setting).into_iter().nth(place);
            Ok(entry.map_or(String::new(), |(_, text)| text))
        })?;
    }
    Ok(rows)
}

/// What limits it, and what would be without that.
fn limited(c: &Eval<'_>, limit: Limit, without: &[(Limit, Trial)]) -> Result<String, Absent> {
    let what = match limit {
        Limit::Nothing => return Ok("Nothing limits it: it lands as asked.".into()),
        Limit::Other => {
            return Ok("No single limit explains it: voltage, current limit, play, counts, sample time and friction were each taken away, and none of that helped.".into());
        }
        Limit::Voltage => "The voltage limits it: with four times as much, and no sag, it ",
        Limit::Current => "The current limit limits it: without one it ",
        Limit::Backlash => "The play limits it: without play it ",
        Limit::Counts => {
            "The counts limit it: with counts and PWM sixteen times as fine, and true sensors, it "
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
        _ => "rests within ".into(),
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
