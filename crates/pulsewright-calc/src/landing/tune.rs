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
    LEAST_PHASE_MARGIN_DEGREES, Plant, Sampling, bandwidth_limit, derivative_kick, gains,
    inertia_at_motor, least_margin, plant,
};
use crate::units::{
    Angle, ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Inductance, Ratio,
    Time, Torque,
};

/// Greatest number of simulations of one call.
pub const MOST_SIMULATIONS: u32 = SEARCHED + 6 * COMPARED;

/// Greatest number of simulations for the search of the settings.
const SEARCHED: u32 = 50;

/// Greatest number of simulations with one limit taken away.
const COMPARED: u32 = 8;

/// Greatest work of all simulations together; what comes after it is left out.
pub const MOST_WORK: u64 = 60_000_000;

/// Cost of a setting that runs away.
const RUNAWAY: f64 = 1e12;

/// How much more friction, play and winding resistance a setting must bear besides.
const WORN: f64 = 1.2;

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
    /// Whether margin, derivative kick and bandwidth are within what the sheet asks.
    pub keeps_margin: bool,
    /// The simulated landing.
    pub landing: Landing,
    /// Whether error and settling time are as asked, with a fifth more friction, play and resistance
    /// too.
    pub met: bool,
    /// What the search makes small, the worse with and without those.
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
/// Gains are placed by [`gains`], and a setting with a phase margin below 40°, a derivative kick
/// above 0.2 or a bandwidth above a tenth of the sampling rate always comes after one without. The
/// search changes feed-forward, integral time, deadband, bandwidth and damping one at a time, tries a
/// ladder of bandwidths up to the largest that keeps the margin, and goes on with single changes as
/// long as they gain a hundredth. A setting that looks better is simulated a second time with a fifth
/// more friction, play and winding resistance, and the worse of both costs counts, lest a landing by
/// luck be taken. It stops early at four fifths of the goal, so that little is changed.
///
/// Where the goal is missed, each limit is taken away in turn (four times the voltage without sag,
/// no current limit, no backlash, counts and pulse width 16 times finer and without errors,
/// samples 8 times faster, no Coulomb friction) and the search goes on from the setting found. The
/// limit named is the one without which the cost falls most, if it falls by a tenth.
///
/// # Arguments
/// * `actuator` what moves; its gains, integral time, feed-forward and deadband are replaced
/// * `legs` the moves of the command
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
/// };
/// let goal = Goal {
///     error: turns(1.0 / 360.0),
///     settling: Time::new::<uom::si::time::second>(0.2),
/// };
/// let tuned = tune(&actuator, &[leg], &start, &goal)?;
/// assert!(tuned.found.cost <= tuned.start.cost);
/// # Ok::<(), Refused>(())
/// ```
///
/// # Sources
/// Coordinate search; the goal's weights are common practice, no source.
pub fn tune(
    actuator: &Actuator,
    legs: &[Leg],
    start: &Setting,
    goal: &Goal,
) -> Result<Tuned, Refused> {
    positive(goal.error.value, "error asked for")?;
    positive(goal.settling.value, "settling time asked for")?;
    positive(start.bandwidth.value, "bandwidth")?;
    positive(start.damping.value, "damping")?;
    let mut search = Search::new(*actuator, legs, *goal, start, SEARCHED - COMPARED)?;
    let begin = search.best;
    search.around();
    search.ladder();
    while search.around() {}
    // What the comparisons try must not help here, lest they find what the search has missed.
    search.most = SEARCHED;
    search.onwards();
    let found = search.best;
    let (mut simulations, mut work) = (search.spent, search.work);
    let mut without = Vec::new();
    let mut limit = (Limit::Nothing, f64::INFINITY);
    if !found.met {
        limit = (Limit::Other, NOTABLE * found.cost);
        for (removed, changed) in removals(actuator) {
            if work >= MOST_WORK {
                break;
            }
            let mut search = Search::new(changed, legs, *goal, &found.setting, COMPARED)?;
            search.kick_voltage = actuator.power.voltage;
            search.work += work;
            search.onwards();
            simulations += search.spent;
            work = search.work;
            let fair = search.best.keeps_margin || !found.keeps_margin;
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
        simulations,
        cut: work >= MOST_WORK,
    })
}

/// The actuator with each limit taken away that acts in it.
fn removals(actuator: &Actuator) -> Vec<(Limit, Actuator)> {
    let mut changed = Vec::new();
    let mut add = |limit, change: &dyn Fn(&mut Actuator)| {
        let mut copy = *actuator;
        change(&mut copy);
        changed.push((limit, copy));
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
    add(Limit::SampleTime, &|a| a.controller.sample_time /= FASTER);
    if actuator.train.no_load_current.value > 0.0 || actuator.load.friction_torque.value > 0.0 {
        add(Limit::Friction, &|a| {
            a.train.no_load_current = ElectricCurrent::default();
            a.load.friction_torque = Torque::default();
        });
    }
    changed
}

/// The same with a warmer winding, more friction and more play.
fn worn(actuator: &Actuator) -> Actuator {
    let mut worn = *actuator;
    worn.power.winding_resistance *= WORN;
    worn.train.no_load_current *= WORN;
    worn.load.friction_torque *= WORN;
    worn.mesh.backlash *= WORN;
    worn
}

/// A search on one actuator.
struct Search<'a> {
    actuator: Actuator,
    worn: Actuator,
    legs: &'a [Leg],
    goal: Goal,
    meshed: Plant,
    in_play: Option<Plant>,
    /// Voltage that the derivative kick is measured by.
    kick_voltage: ElectricPotential,
    best: Trial,
    tried: Vec<Setting>,
    spent: u32,
    most: u32,
    work: u64,
}

impl<'a> Search<'a> {
    fn new(
        mut actuator: Actuator,
        legs: &'a [Leg],
        goal: Goal,
        start: &Setting,
        most: u32,
    ) -> Result<Self, Refused> {
        actuator.position_tolerance = goal.error;
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
        let kick_voltage = power.voltage;
        let (placed, landing) = run(&actuator, legs, start, &meshed)?;
        let mut search = Self {
            best: Trial {
                setting: *start,
                gains: placed,
                phase_margin: Angle::default(),
                keeps_margin: false,
                landing,
                met: false,
                cost: RUNAWAY,
            },
            worn: worn(&actuator),
            actuator,
            legs,
            goal,
            meshed,
            in_play,
            kick_voltage,
            tried: vec![*start],
            spent: 1,
            most,
            work: landing.work,
        };
        let begin = search.judged(*start, placed, landing);
        search.best = search.worse(begin);
        Ok(search)
    }

    fn firmware(&self) -> Firmware {
        let edges = match self.actuator.sensing.edges_counted {
            1 => 1.0,
            2 => 2.0,
            _ => 4.0,
        };
        Firmware {
            counts_per_motor_turn: Ratio::from(edges * f64::from(self.actuator.sensing.pole_pairs)),
            sample_time: self.actuator.controller.sample_time,
            pwm_resolution: Ratio::from(f64::from(self.actuator.controller.pwm_resolution)),
            voltage: self.kick_voltage,
        }
    }

    fn delay(&self) -> Ratio {
        Ratio::from(f64::from(self.actuator.controller.delay))
    }

    /// A tenth of the sampling rate.
    fn sampled(&self) -> f64 {
        GREATEST_BANDWIDTH_SHARE / self.actuator.controller.sample_time.value
    }

    /// The largest bandwidth that keeps the margin, Hz.
    fn largest(&self, damping: Ratio) -> f64 {
        let limit = bandwidth_limit(&BandwidthLimit {
            meshed: self.meshed,
            in_play: self.in_play,
            damping,
            firmware: self.firmware(),
            delay: self.delay(),
        });
        limit
            .map_or(f64::INFINITY, |limit| limit.value)
            .min(self.sampled())
            .min(BANDWIDTHS.1)
    }

    /// Weighs a simulated setting.
    fn judged(&self, setting: Setting, placed: Gains, landing: Landing) -> Trial {
        let sampling = Sampling {
            sample_time: self.actuator.controller.sample_time,
            delay: self.delay(),
        };
        let margin = least_margin(&placed, &self.meshed, self.in_play.as_ref(), &sampling)
            .map_or(Angle::default(), |margin| margin.phase_margin);
        let kick = derivative_kick(&placed, &self.firmware());
        let asked = self.goal.error;
        let error = ((landing.droop.abs() + landing.hunting) / asked).value;
        let settled = match landing.settling {
            Settling::After(time) => Some((time / self.goal.settling).value),
            _ => None,
        };
        let wrong = landing.flags.unstable || landing.flags.run_cut;
        let late = settled.unwrap_or(SETTLING_WINDOW / self.goal.settling.value + error);
        let overshoot = (landing.overshoot / asked).value;
        let cost = error.max(late) + 0.1 * error.min(late) + 0.05 * overshoot;
        Trial {
            setting,
            gains: placed,
            phase_margin: margin,
            // The largest bandwidth keeps 40° but for the last digit.
            keeps_margin: margin.get::<degree>() >= LEAST_PHASE_MARGIN_DEGREES - 1e-6
                && kick.value <= GREATEST_DERIVATIVE_KICK
                && setting.bandwidth.value <= self.sampled() * (1.0 + 1e-9),
            landing,
            met: settled.is_some_and(|late| late <= 1.0) && error <= 1.0 && !wrong,
            cost: if wrong || !cost.is_finite() {
                RUNAWAY
            } else {
                cost.min(RUNAWAY)
            },
        }
    }

    fn content(&self) -> bool {
        self.best.keeps_margin && self.best.met && self.best.cost <= CONTENT
    }

    /// A trial with what becomes of it in the worn actuator, where that is worse.
    fn worse(&mut self, trial: Trial) -> Trial {
        self.spent += 1;
        let Ok((_, landing)) = run(&self.worn, self.legs, &trial.setting, &self.meshed) else {
            return trial;
        };
        self.work = self.work.saturating_add(landing.work);
        let other = self.judged(trial.setting, trial.gains, landing);
        Trial {
            met: trial.met && other.met,
            cost: trial.cost.max(other.cost),
            ..trial
        }
    }

    fn is_better(&self, trial: &Trial) -> bool {
        (trial.keeps_margin && !self.best.keeps_margin)
            || (trial.keeps_margin == self.best.keeps_margin
                && trial.cost < WORTHWHILE * self.best.cost)
    }

    /// Simulates a setting and takes it where it is better; whether it was.
    fn offer(&mut self, setting: Setting) -> bool {
        // A setting that looks better is simulated once more.
        let done = self.spent + 2 > self.most
            || self.work >= MOST_WORK
            || self.content()
            || self.tried.contains(&setting);
        if done {
            return false;
        }
        self.tried.push(setting);
        self.spent += 1;
        let Ok((placed, landing)) = run(&self.actuator, self.legs, &setting, &self.meshed) else {
            return false;
        };
        self.work = self.work.saturating_add(landing.work);
        let mut trial = self.judged(setting, placed, landing);
        if !self.is_better(&trial) {
            return false;
        }
        trial = self.worse(trial);
        let better = self.is_better(&trial);
        if better {
            self.best = trial;
        }
        better
    }

    /// The best setting with another bandwidth and damping, within what keeps the margin.
    fn placed(&self, bandwidth: f64, damping: Ratio) -> Setting {
        let bandwidth = rounded_down(bandwidth.min(self.largest(damping)).max(BANDWIDTHS.0));
        Setting {
            bandwidth: Frequency::new::<hertz>(bandwidth),
            damping,
            ..self.best.setting
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
        let largest = self.largest(damping);
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
        better
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

/// Places the gains of a setting and simulates it.
fn run(
    actuator: &Actuator,
    legs: &[Leg],
    setting: &Setting,
    meshed: &Plant,
) -> Result<(Gains, Landing), Refused> {
    let mut tried = *actuator;
    let placed = gains(setting.bandwidth, setting.damping, meshed);
    tried.controller.gains = placed;
    tried.controller.integral_time = setting.integral_time;
    tried.controller.feed_forward = setting.feed_forward;
    tried.controller.deadband = setting.deadband;
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
