//! Settings of the loop found against the simulation, and what keeps its landing from being better.

use alloc::{vec, vec::Vec};
use core::f64::consts::TAU;

use uom::si::{angle::degree, frequency::hertz, time::second};

use super::{
    ASSUMED_ELECTRICAL_TIME, Actuator, Landing, Leg, Refused, SETTLING_WINDOW, Settling, positive,
    simulate,
};
#[cfg(not(any(test, feature = "std")))]
use crate::float::Rounding as _;
use crate::position_loop::{
    BandwidthLimit, Firmware, GREATEST_BANDWIDTH_SHARE, GREATEST_DERIVATIVE_KICK, Gains,
    LEAST_PHASE_MARGIN_DEGREES, Plant, Sampling, bandwidth_limit_with_integral, derivative_kick,
    gains, inertia_at_motor, least_margin_with_integral, plant,
};
use crate::units::{
    Angle, ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Inductance, Ratio,
    Time, Torque,
};

/// Greatest number of simulations of one call.
pub const MOST_SIMULATIONS: u32 = SEARCHED + 6 * COMPARED;

/// Greatest number of simulations for the search of the settings.
const SEARCHED: u32 = 160;

/// Greatest number of simulations with one limit taken away.
const COMPARED: u32 = 24;

/// Greatest work of all simulations together; what comes after it is left out.
pub const MOST_WORK: u64 = 80_000_000;

/// Greatest work of the search of the settings, the rest being left for the limits.
const SEARCH_WORK: u64 = 50_000_000;

/// Cost of a setting that runs away.
const RUNAWAY: f64 = 1e12;

/// How much more, or less, friction and play a setting must bear besides, and how much more winding
/// resistance.
const WORN: f64 = 1.2;
const RUN_IN: f64 = 0.8;

/// How much more or less supply voltage it must bear.
const SUPPLY: [f64; 2] = [0.9, 1.1];

/// How many times slower it samples where sampling slower is tried.
const SLOWER: [f64; 2] = [2.0, 5.0];

/// Longest sample time that is tried, s.
const LONGEST_SAMPLE_TIME: f64 = 10e-3;

/// Shares of the largest bandwidth that are tried.
const LADDER: [f64; 7] = [0.12, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0];

/// Share of the goal at which the search rests content.
const CONTENT: f64 = 0.8;

/// Share of the shortfall that is left, above which taking away a limit changed nothing to speak of.
const NOTABLE: f64 = 0.9;

/// Share of the cost below which a change is worth making.
const WORTHWHILE: f64 = 0.99;

/// How much finer counts and samples are where they are taken away as limits.
const FINER: u32 = 16;
const FASTER: f64 = 8.0;

/// How many times the voltage is where it is taken away as a limit.
const STRONGER: u32 = 4;

/// Bounds of the integral time that the search stays in, s.
const INTEGRAL_TIMES: (f64, f64) = (5e-3, 100.0);

/// Bounds of the bandwidth, Hz.
const BANDWIDTHS: (f64, f64) = (0.01, 10e3);

/// What a person sets of a loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// Bandwidth that the gains are placed for.
    pub bandwidth: Frequency,
    /// Damping ratio that they are placed for.
    pub damping: Ratio,
    /// Integral time, or no integral part.
    pub integral_time: Option<Time>,
    /// Share of the commanded speed that is added.
    pub feed_forward: Ratio,
    /// Error in counts that is left alone.
    pub deadband: u32,
    /// Time between two samples.
    pub sample_time: Time,
}

/// A rule of the loop that a setting can break.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// 40° of phase margin.
    Phase,
    /// A derivative part that one count moves by no more than a fifth of the supply.
    Derivative,
    /// A bandwidth of no more than a tenth of the sampling rate.
    Sampling,
}

/// What is asked of the landing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Goal {
    /// Error of the load at rest.
    pub error: Angle,
    /// Time after the end of the command.
    pub settling: Time,
}

/// One setting and what became of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trial {
    /// The setting.
    pub setting: Setting,
    /// The gains that it places.
    pub gains: Gains,
    /// Phase margin of the loop, the lesser of load meshed and motor in the play.
    pub phase_margin: Angle,
    /// Share of the supply by which one count in one sample moves the derivative part.
    pub derivative_kick: Ratio,
    /// The rule that is broken, the first of those that are.
    pub breaks: Option<Rule>,
    /// The simulated landing.
    pub landing: Landing,
    /// Whether it lands as asked, as it is.
    pub lands: bool,
    /// Whether it does so besides with other friction, play, resistance and voltage, and on the other
    /// moves.
    pub met: bool,
    /// What the search makes small, the worst of all of these; infinite in none.
    pub cost: f64,
}

/// What keeps a landing from being as asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Limit {
    /// Nothing does: it is as asked.
    Nothing,
    /// Voltage of the supply and its sag.
    Voltage,
    /// Limit of the current.
    Current,
    /// Play of the gears.
    Backlash,
    /// Coarseness and errors of counts and pulse width.
    Counts,
    /// Time between two samples.
    SampleTime,
    /// Coulomb friction of motor and load.
    Friction,
    /// None of these alone.
    Other,
}

/// Settings that were found.
#[derive(Clone, Debug, PartialEq)]
pub struct Tuned {
    /// The setting that the search set out from.
    pub start: Trial,
    /// The best one found.
    pub found: Trial,
    /// What limits it.
    pub limit: Limit,
    /// The best found with each limit taken away that acts here; empty where the goal is met.
    pub without: Vec<(Limit, Trial)>,
    /// Whether each limit that acts here was taken away.
    pub all_taken_away: bool,
    /// Simulations made.
    pub simulations: u32,
    /// Whether the bound of the work ended the search before its end.
    pub cut: bool,
}

/// Finds settings of the loop for a goal, and what limits the landing with them.
///
/// # Formula
/// Makes small max(e, s) + 0.1·min(e, s) + 0.05·o, where e is the greatest error in the last half
/// second over the one asked, s the settling time over the one asked and o the overshoot over the
/// error asked. A setting that does not settle counts with s = 1 s over the time asked, plus e.
///
/// Gains are placed by [`gains`]. A setting that lands as asked comes before one that does not; of
/// such, one that does so under all that is said next; of such, one with 40° of phase margin, its
/// integral part in it, a derivative kick of 0.2 at most and a bandwidth of a tenth of the sampling
/// rate at most; of such, the one of less cost. The search changes feed-forward, integral time,
/// deadband, bandwidth and damping one at a time, samples 2 and 5 times slower, tries a ladder of
/// bandwidths up to the largest that keeps the margin, and goes on with single changes as long as they
/// gain a hundredth. A setting that looks better is simulated again, lest a landing by luck be taken:
/// with a fifth more friction, play and winding resistance and a tenth less voltage; with a fifth less
/// friction and play and a tenth more voltage; and on the other moves. The worst cost counts. It stops
/// early at four fifths of the goal, so that little is changed.
///
/// Where the goal is missed, each limit is taken away in turn (four times the voltage without sag,
/// no current limit, no backlash, counts and pulse width 16 times finer and without errors,
/// samples 8 times faster, no Coulomb friction) and the search goes on from the setting found. The
/// limit named is the one without which the cost falls most, if it falls by a tenth.
///
/// # Arguments
/// * `actuator` what moves; its gains, integral time, feed-forward, deadband and sample time are replaced
/// * `legs` the moves of the command
/// * `others` moves of the same kind that the settings must land as well
/// * `start` the setting to set out from
/// * `goal` error and settling time asked for
///
/// # Returns
/// The settings in three significant digits with their simulated landing, and what limits it
///
/// # Validity
/// The best found, not the best there is. At most [`MOST_SIMULATIONS`] simulations, none begun
/// after [`MOST_WORK`]; the same answer for the same question.
///
/// # Errors
/// [`Refused`] as [`simulate`], and where goal, bandwidth or damping is not positive.
///
/// # Example
/// No published value: the cost found is never above that of the start.
/// ```
/// # use pulsewright_calc::{encoder::SignalErrors, landing::*, motion::{Drivetrain, Profile}};
/// # use pulsewright_calc::{position_loop::Gains, units::*};
/// use pulsewright_calc::landing::tune::{Goal, Setting, tune};
/// # let actuator = include!(concat!(env!("CARGO_MANIFEST_DIR"), "/src/landing/example_actuator.rs"));
/// # let leg = Leg {
/// #     profile: Profile::Smooth,
/// #     distance: turns(0.25),
/// #     time: Time::new::<uom::si::time::second>(1.0),
/// #     dwell: Time::new::<uom::si::time::second>(2.0),
/// # };
/// let start = Setting {
///     bandwidth: Frequency::new::<uom::si::frequency::hertz>(2.0),
///     damping: Ratio::from(1.0),
///     integral_time: None,
///     feed_forward: Ratio::from(0.0),
///     deadband: 1,
///     sample_time: actuator.controller.sample_time,
/// };
/// let goal = Goal {
///     error: turns(1.0 / 360.0),
///     settling: Time::new::<uom::si::time::second>(0.2),
/// };
/// let tuned = tune(&actuator, &[leg], &[], &start, &goal)?;
/// assert!(tuned.found.cost <= tuned.start.cost);
/// # Ok::<(), Refused>(())
/// ```
///
/// # Sources
/// Coordinate search; the goal's weights are common practice, no source.
pub fn tune(
    actuator: &Actuator,
    legs: &[Leg],
    others: &[Vec<Leg>],
    start: &Setting,
    goal: &Goal,
) -> Result<Tuned, Refused> {
    positive(goal.error.value, "error asked for")?;
    positive(goal.settling.value, "settling time asked for")?;
    positive(start.bandwidth.value, "bandwidth")?;
    positive(start.damping.value, "damping")?;
    positive(start.sample_time.value, "sample time")?;
    let job = Job {
        legs,
        others,
        goal: *goal,
        kick_voltage: actuator.power.voltage,
    };
    let mut search = Search::new(*actuator, job, start, SEARCHED - COMPARED, SEARCH_WORK)?;
    let begin = search.best;
    search.repair()?;
    search.around();
    search.ladder();
    while search.around() {}
    // What the comparisons try must not help here, lest they find what the search has missed.
    search.most = SEARCHED;
    search.onwards();
    let found = if begin.breaks.is_none() || is_better(&search.best, &begin) {
        search.best
    } else {
        begin
    };
    let (mut simulations, mut work) = (search.spent, search.work);
    let cut = work >= SEARCH_WORK;
    let mut without = Vec::new();
    let mut limit = (Limit::Nothing, f64::INFINITY);
    let mut all_taken_away = true;
    if !found.met {
        limit = (Limit::Other, NOTABLE * found.cost);
        for (removed, changed, begin) in removals(actuator, &found.setting) {
            if work >= MOST_WORK {
                all_taken_away = false;
                break;
            }
            let left = MOST_WORK - work;
            let mut search = Search::new(changed, job, &begin, COMPARED, left)?;
            search.onwards();
            simulations += search.spent;
            work += search.work;
            let fair = search.best.breaks.is_none() || found.breaks.is_some();
            if fair && search.best.cost < limit.1 {
                limit = (removed, search.best.cost);
            }
            without.push((removed, search.best));
        }
    }
    Ok(Tuned {
        start: begin,
        found,
        limit: limit.0,
        without,
        all_taken_away,
        simulations,
        cut,
    })
}

/// The actuator, and the setting to begin with, with each limit taken away that acts in it.
fn removals(actuator: &Actuator, found: &Setting) -> Vec<(Limit, Actuator, Setting)> {
    let mut changed = Vec::new();
    let mut add = |limit, change: &dyn Fn(&mut Actuator)| {
        let mut copy = *actuator;
        change(&mut copy);
        changed.push((limit, copy, *found));
    };
    add(Limit::Voltage, &|a| {
        a.power.voltage *= f64::from(STRONGER);
        a.power.source_resistance = ElectricalResistance::default();
        a.controller.voltage_limit = Ratio::from(1.0);
        // The same volts for a step of the pulse width.
        a.controller.pwm_resolution = a.controller.pwm_resolution.saturating_mul(STRONGER);
    });
    if actuator.power.current_limit.is_some() {
        add(Limit::Current, &|a| a.power.current_limit = None);
    }
    if actuator.mesh.backlash.value > 0.0 {
        add(Limit::Backlash, &|a| a.mesh.backlash = Angle::default());
    }
    add(Limit::Counts, &|a| {
        a.sensing.pole_pairs = a.sensing.pole_pairs.saturating_mul(FINER);
        a.pulses.gearing.0 = a.pulses.gearing.0.saturating_mul(u64::from(FINER));
        a.sensing.errors.phase = Angle::default();
        a.sensing.errors.placement = Angle::default();
        a.sensing.errors.duty = Angle::default();
        a.sensing.edge_service_time = Time::default();
        a.sensing.hysteresis = Ratio::default();
        a.controller.pwm_resolution = a.controller.pwm_resolution.saturating_mul(FINER);
    });
    if actuator.train.no_load_current.value > 0.0 || actuator.load.friction_torque.value > 0.0 {
        add(Limit::Friction, &|a| {
            a.train.no_load_current = ElectricCurrent::default();
            a.load.friction_torque = Torque::default();
        });
    }
    let faster = Setting {
        sample_time: found.sample_time / FASTER,
        ..*found
    };
    changed.push((Limit::SampleTime, *actuator, faster));
    changed
}

/// The same with a warmer winding, more friction and more play.
fn worn(actuator: &Actuator) -> Actuator {
    let mut worn = other_friction(actuator, WORN);
    worn.power.winding_resistance *= WORN;
    worn
}

fn other_friction(actuator: &Actuator, share: f64) -> Actuator {
    let mut other = *actuator;
    other.train.no_load_current *= share;
    other.load.friction_torque *= share;
    other.mesh.backlash *= share;
    other
}

/// What is asked of a search.
#[derive(Clone, Copy)]
struct Job<'a> {
    legs: &'a [Leg],
    others: &'a [Vec<Leg>],
    goal: Goal,
    /// Voltage that the derivative kick is measured by, and that the firmware reckons with.
    kick_voltage: ElectricPotential,
}

/// A search on one actuator.
struct Search<'a> {
    actuator: Actuator,
    job: Job<'a>,
    meshed: Plant,
    in_play: Option<Plant>,
    best: Trial,
    tried: Vec<Setting>,
    spent: u32,
    most: u32,
    work: u64,
    most_work: u64,
}

impl<'a> Search<'a> {
    fn new(
        mut actuator: Actuator,
        job: Job<'a>,
        start: &Setting,
        most: u32,
        most_work: u64,
    ) -> Result<Self, Refused> {
        actuator.position_tolerance = job.goal.error;
        let (train, power) = (&actuator.train, &actuator.power);
        let resistance = power.winding_resistance;
        let inductance = match power.inductance {
            Some(inductance) if inductance.value > 0.0 => inductance,
            _ => Inductance::from(resistance * Time::new::<second>(ASSUMED_ELECTRICAL_TIME)),
        };
        let of = |inertia| plant(train.motor_constant, resistance, inductance, inertia);
        let meshed = of(inertia_at_motor(
            train.rotor_inertia,
            train.load_inertia,
            train.ratio,
            train.efficiency,
        ));
        let in_play = (actuator.mesh.backlash.value > 0.0).then(|| of(train.rotor_inertia));
        let (placed, landing) = run(&actuator, job.legs, start, &meshed, 1.0)?;
        let mut search = Self {
            best: Trial {
                setting: *start,
                gains: placed,
                phase_margin: Angle::default(),
                derivative_kick: Ratio::default(),
                breaks: None,
                landing,
                lands: false,
                met: false,
                cost: RUNAWAY,
            },
            actuator,
            job,
            meshed,
            in_play,
            tried: vec![*start],
            spent: 1,
            most,
            work: landing.work,
            most_work,
        };
        let begin = search.judged(*start, placed, landing);
        search.best = search.held(begin, None);
        Ok(search)
    }

    fn firmware(&self, setting: &Setting) -> Firmware {
        let edges = match self.actuator.sensing.edges_counted {
            1 => 1.0,
            2 => 2.0,
            _ => 4.0,
        };
        Firmware {
            counts_per_motor_turn: Ratio::from(edges * f64::from(self.actuator.sensing.pole_pairs)),
            sample_time: setting.sample_time,
            pwm_resolution: Ratio::from(f64::from(self.actuator.controller.pwm_resolution)),
            voltage: self.job.kick_voltage,
        }
    }

    fn delay(&self) -> Ratio {
        Ratio::from(f64::from(self.actuator.controller.delay))
    }

    /// A tenth of the sampling rate.
    fn sampled(setting: &Setting) -> f64 {
        GREATEST_BANDWIDTH_SHARE / setting.sample_time.value
    }

    /// The largest bandwidth that keeps the margin, Hz; none keeps it with too quick an integral part.
    fn largest(&self, setting: &Setting) -> f64 {
        let limit = BandwidthLimit {
            meshed: self.meshed,
            in_play: self.in_play,
            damping: setting.damping,
            firmware: self.firmware(setting),
            delay: self.delay(),
        };
        bandwidth_limit_with_integral(&limit, setting.integral_time)
            .or_else(|| bandwidth_limit_with_integral(&limit, None))
            .map_or(f64::INFINITY, |limit| limit.value)
            .min(Self::sampled(setting))
            .min(BANDWIDTHS.1)
    }

    /// Phase margin, derivative kick and the rule that a setting breaks.
    fn ruled(&self, setting: &Setting, placed: &Gains) -> (Angle, Ratio, Option<Rule>) {
        let sampling = Sampling {
            sample_time: setting.sample_time,
            delay: self.delay(),
        };
        let margin = least_margin_with_integral(
            placed,
            setting.integral_time,
            &self.meshed,
            self.in_play.as_ref(),
            &sampling,
        )
        .map_or(Angle::default(), |(margin, _)| margin.phase_margin);
        let kick = derivative_kick(placed, &self.firmware(setting));
        // The largest bandwidth keeps 40° but for the last digit.
        let breaks = if margin.get::<degree>() < LEAST_PHASE_MARGIN_DEGREES - 1e-6 {
            Some(Rule::Phase)
        } else if kick.value > GREATEST_DERIVATIVE_KICK {
            Some(Rule::Derivative)
        } else if setting.bandwidth.value > Self::sampled(setting) * (1.0 + 1e-9) {
            Some(Rule::Sampling)
        } else {
            None
        };
        (margin, kick, breaks)
    }

    fn breaks_rule(&self, setting: &Setting) -> bool {
        let placed = gains(setting.bandwidth, setting.damping, &self.meshed);
        self.ruled(setting, &placed).2.is_some()
    }

    /// Weighs a simulated setting.
    fn judged(&self, setting: Setting, placed: Gains, landing: Landing) -> Trial {
        let (phase_margin, derivative_kick, breaks) = self.ruled(&setting, &placed);
        let (cost, lands) = self.weighed(&landing);
        Trial {
            setting,
            gains: placed,
            phase_margin,
            derivative_kick,
            breaks,
            landing,
            lands,
            met: lands,
            cost,
        }
    }

    /// Cost of a landing, and whether it is as asked.
    fn weighed(&self, landing: &Landing) -> (f64, bool) {
        let goal = self.job.goal;
        let off = landing.droop.abs() + landing.hunting.max(0.5 * landing.drift.abs());
        let error = (off / goal.error).value;
        let settled = match landing.settling {
            Settling::After(time) => Some((time / goal.settling).value),
            _ => None,
        };
        let wrong = landing.flags.unstable || landing.flags.run_cut;
        let late = settled.unwrap_or(SETTLING_WINDOW / goal.settling.value + error);
        let overshoot = (landing.overshoot / goal.error).value;
        let cost = error.max(late) + 0.1 * error.min(late) + 0.05 * overshoot;
        let lands = settled.is_some_and(|late| late <= 1.0) && error <= 1.0 && !wrong;
        if wrong || !cost.is_finite() {
            (RUNAWAY, false)
        } else {
            (cost.min(RUNAWAY), lands)
        }
    }

    fn content(&self) -> bool {
        self.best.breaks.is_none() && self.best.met && self.best.cost <= CONTENT
    }

    /// A trial with the worst that becomes of it when friction, play, winding, supply and move are
    /// others; given up once it is no better than `than`.
    fn held(&mut self, mut trial: Trial, than: Option<&Trial>) -> Trial {
        let others = self.job.others;
        let plain = self.actuator;
        let cases = [
            (worn(&plain), SUPPLY[0]),
            (other_friction(&plain, RUN_IN), SUPPLY[1]),
        ];
        let harder = cases.map(|(actuator, supply)| (actuator, self.job.legs, supply));
        let moves = others.iter().map(|legs| (plain, legs.as_slice(), 1.0));
        for (actuator, legs, supply) in harder.into_iter().chain(moves) {
            if than.is_some_and(|best| !is_better(&trial, best)) {
                break;
            }
            if self.work >= self.most_work {
                // What has not been seen does not count.
                trial.met = false;
                break;
            }
            self.spent += 1;
            let Ok((_, landing)) = run(&actuator, legs, &trial.setting, &self.meshed, supply)
            else {
                continue;
            };
            self.work = self.work.saturating_add(landing.work);
            let (cost, mut lands) = self.weighed(&landing);
            // A rest that does not last is none.
            lands &= landing.breaks_loose_after.is_none();
            trial.met &= lands;
            trial.cost = trial.cost.max(cost);
        }
        trial.met &= trial.landing.breaks_loose_after.is_none();
        trial
    }

    /// Simulates a setting and takes it where it is better; whether it was.
    fn offer(&mut self, mut setting: Setting) -> bool {
        if self.best.breaks.is_none() && self.breaks_rule(&setting) {
            // As much of the bandwidth as keeps the rules with what was changed.
            setting = self.with_bandwidth(setting.bandwidth.value, setting);
        }
        // A setting that looks better is simulated again in each of the cases.
        let again = 3 + self.job.others.len() as u32;
        let done = self.spent + again > self.most
            || self.work >= self.most_work
            || self.content()
            || self.tried.contains(&setting);
        if done {
            return false;
        }
        self.tried.push(setting);
        if self.best.breaks.is_none() && self.breaks_rule(&setting) {
            return false;
        }
        self.spent += 1;
        let Ok((placed, landing)) = run(&self.actuator, self.job.legs, &setting, &self.meshed, 1.0)
        else {
            return false;
        };
        self.work = self.work.saturating_add(landing.work);
        let trial = self.judged(setting, placed, landing);
        let best = self.best;
        if !is_better(&trial, &best) {
            return false;
        }
        let trial = self.held(trial, Some(&best));
        let better = is_better(&trial, &best);
        if better {
            self.best = trial;
        }
        better
    }

    /// The best setting with another bandwidth and damping, within what keeps the margin.
    fn placed(&self, bandwidth: f64, damping: Ratio) -> Setting {
        self.with_bandwidth(
            bandwidth,
            Setting {
                damping,
                ..self.best.setting
            },
        )
    }

    fn with_bandwidth(&self, bandwidth: f64, setting: Setting) -> Setting {
        let bandwidth = rounded_down(bandwidth.min(self.largest(&setting)).max(BANDWIDTHS.0));
        Setting {
            bandwidth: Frequency::new::<hertz>(bandwidth),
            ..setting
        }
    }

    fn with_integral(&self, time: f64) -> Setting {
        let time = rounded_down(time.clamp(INTEGRAL_TIMES.0, INTEGRAL_TIMES.1));
        Setting {
            integral_time: Some(Time::new::<second>(time)),
            ..self.best.setting
        }
    }

    /// Tries bandwidths all over the range, the nearest to the present one first.
    fn ladder(&mut self) {
        let Setting {
            damping, bandwidth, ..
        } = self.best.setting;
        let largest = self.largest(&self.best.setting);
        let mut rungs = LADDER.map(|share| share * largest);
        let distance = |rung: f64| libm::log(rung / bandwidth.value).abs();
        rungs.sort_by(|a, b| distance(*a).total_cmp(&distance(*b)));
        for rung in rungs {
            self.offer(self.placed(rung, damping));
        }
    }

    /// Changes one thing at a time about the best; whether anything helped.
    fn around(&mut self) -> bool {
        let mut better = false;
        for share in [0.0, 0.5, 1.0] {
            let feed_forward = Ratio::from(share);
            better |= self.offer(Setting {
                feed_forward,
                ..self.best.setting
            });
        }
        better |= self.offer(Setting {
            integral_time: None,
            ..self.best.setting
        });
        for turns in [16.0, 8.0, 4.0, 2.0] {
            let natural = TAU * self.best.setting.bandwidth.value;
            better |= self.offer(self.with_integral(turns / natural));
        }
        for deadband in [0, 1, 2] {
            better |= self.offer(Setting {
                deadband,
                ..self.best.setting
            });
        }
        for factor in [1.15, 1.0 / 1.15] {
            let best = self.best.setting;
            better |= self.offer(self.placed(factor * best.bandwidth.value, best.damping));
        }
        for damping in [1.0, 0.85, 0.7] {
            let bandwidth = self.best.setting.bandwidth.value;
            better |= self.offer(self.placed(bandwidth, Ratio::from(damping)));
        }
        better | self.slower()
    }

    /// Samples more slowly, the bandwidth within what keeps the margin then: where counts are coarse, the
    /// derivative part is quieter.
    fn slower(&mut self) -> bool {
        let mut better = false;
        for times in SLOWER {
            if self.best.derivative_kick.value > 0.0
                && let Some(slower) = self.sampled_slower(times)
            {
                better |= self.offer(slower);
            }
        }
        better
    }

    /// The best setting sampled so many times slower than at the start.
    fn sampled_slower(&self, times: f64) -> Option<Setting> {
        let sample_time = times * self.tried.first()?.sample_time.value;
        let best = self.best.setting;
        let slower = Setting {
            sample_time: Time::new::<second>(sample_time),
            ..best
        };
        (sample_time <= LONGEST_SAMPLE_TIME)
            .then(|| self.with_bandwidth(best.bandwidth.value, slower))
    }

    /// Where the rules are broken, goes on from the nearest setting that keeps them, however it lands.
    fn repair(&mut self) -> Result<(), Refused> {
        if self.best.breaks.is_none() {
            return Ok(());
        }
        let mut sampled: Vec<Setting> = vec![self.best.setting];
        sampled.extend(
            SLOWER
                .iter()
                .filter_map(|&times| self.sampled_slower(times)),
        );
        let nearest = sampled
            .iter()
            .flat_map(|setting| {
                let without = Setting {
                    integral_time: None,
                    ..*setting
                };
                let without = self.with_bandwidth(setting.bandwidth.value, without);
                // Eight periods of the loop's own, each over 2π: an integral part that takes little phase.
                let slow = 8.0 / (TAU * without.bandwidth.value);
                let slower = Setting {
                    integral_time: setting
                        .integral_time
                        .map(|time| Time::new::<second>(rounded_down(time.value.max(slow)))),
                    ..without
                };
                [*setting, slower, without]
            })
            .map(|setting| self.with_bandwidth(setting.bandwidth.value, setting))
            .find(|setting| !self.breaks_rule(setting));
        if let Some(setting) = nearest {
            self.tried.push(setting);
            self.spent += 1;
            let (placed, landing) =
                run(&self.actuator, self.job.legs, &setting, &self.meshed, 1.0)?;
            self.work = self.work.saturating_add(landing.work);
            let trial = self.judged(setting, placed, landing);
            self.best = self.held(trial, None);
        }
        Ok(())
    }

    /// Goes on from the best towards a livelier loop, as far as the budget reaches.
    fn onwards(&mut self) {
        for factor in [1.5, 2.5, 0.7] {
            let best = self.best.setting;
            self.offer(self.placed(factor * best.bandwidth.value, best.damping));
        }
        let best = self.best.setting;
        if let Some(time) = best.integral_time {
            self.offer(self.with_integral(0.5 * time.value));
            self.offer(Setting {
                integral_time: None,
                ..self.best.setting
            });
        }
        self.offer(Setting {
            deadband: 0,
            ..self.best.setting
        });
    }
}

/// Whether one trial is to be taken rather than another.
fn is_better(trial: &Trial, than: &Trial) -> bool {
    let rank = |trial: &Trial| (trial.lands, trial.met, trial.breaks.is_none());
    rank(trial) > rank(than) || (rank(trial) == rank(than) && trial.cost < WORTHWHILE * than.cost)
}

/// Places the gains of a setting and simulates it, with `supply` times the voltage that the firmware reckons with.
fn run(
    actuator: &Actuator,
    legs: &[Leg],
    setting: &Setting,
    meshed: &Plant,
    supply: f64,
) -> Result<(Gains, Landing), Refused> {
    let mut tried = *actuator;
    let placed = gains(setting.bandwidth, setting.damping, meshed);
    // A duty is reckoned from the voltage that is expected, so that all it does goes with the one there is.
    let fed = actuator.train.motor_constant + placed.derivative;
    let scaled = Gains {
        proportional: placed.proportional * supply,
        derivative: placed.derivative * supply,
    };
    let fed_now = actuator.train.motor_constant + scaled.derivative;
    tried.power.voltage *= supply;
    tried.controller.gains = scaled;
    tried.controller.integral_time = setting.integral_time;
    tried.controller.feed_forward = setting.feed_forward * (supply * (fed / fed_now).value);
    tried.controller.deadband = setting.deadband;
    tried.controller.sample_time = setting.sample_time;
    let (landing, _) = simulate(&tried, legs, &mut [])?;
    Ok((placed, landing))
}

/// A positive number with three significant digits, not above it but for its last bits.
fn rounded_down(value: f64) -> f64 {
    let digits = 2 - libm::floor(libm::log10(value)) as i32;
    let scale = 10_f64.powi(digits.abs());
    let nudged = value * (1.0 + 1e-9);
    if digits >= 0 {
        libm::floor(nudged * scale) / scale
    } else {
        libm::floor(nudged / scale) * scale
    }
}
