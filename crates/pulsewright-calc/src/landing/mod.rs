//! The landing simulated: a sampled position loop on edge counts drives winding, rotor, gears with
//! play and loss, and the load through a move, and the load's own position is watched.
//!
//! Between events the equations are linear and are propagated exactly; contact, sticking and the
//! current limit change them at moments that are solved for. Pulse-width ripple, sampling jitter
//! and the drift of temperature are not in this model.
//!
//! Work is bounded: at most [`MOST_PERIODS`] samples and the work of [`MOST_WORK`] sub-steps, 64
//! events a period, and the run ends where the motor has turned by 1e9 rad. [`Stopped`] says which
//! of them ended it; the landing then tells what is known until then.

mod counter;
mod cubic;
mod firmware;
mod plant;
pub mod tune;

use core::{error, fmt};

use uom::si::{
    angle::radian, electric_current::ampere, electric_potential::volt, energy::joule,
    frequency::hertz, time::second,
};

use crate::encoder::SignalErrors;
#[cfg(not(any(test, feature = "std")))]
use crate::float::{Rounding as _, SquareRoot as _};
use crate::motion::{Drivetrain, Profile, state_at};
use crate::position_loop::Gains;
use crate::units::{
    Angle, ElectricCurrent, ElectricPotential, ElectricalResistance, Energy, Frequency, Inductance,
    Ratio, Stiffness, Time, Torque,
};
use counter::Counter;
use cubic::Cubic;
use firmware::{Demand, Firmware, LONGEST_DELAY};
use plant::{Constants, Losses, Observer, Passed, Plant, Winding};

/// Static over kinetic friction of the motor: common practice, no source.
pub const MOTOR_STATIC_FRICTION: f64 = 1.3;

/// Static over kinetic friction of the load: common practice, no source.
pub const LOAD_STATIC_FRICTION: f64 = 1.2;

/// Damping ratio of the tooth contact: it rebounds with 0.45 of the speed.
pub const CONTACT_DAMPING: f64 = 0.3;

/// Electrical time constant that stands in for a missing inductance, s: common practice, no
/// source.
pub const ASSUMED_ELECTRICAL_TIME: f64 = 0.2e-3;

/// Shortest period of the contact's oscillation; a stiffer contact is clipped, s.
pub const SHORTEST_CONTACT_PERIOD: f64 = 20e-6;

/// Share of the sample time below which an electrical time constant is raised to it.
pub const LEAST_ELECTRICAL_SHARE: f64 = 1.0 / 500.0;

/// Load inertia over the rotor's, seen from the output, where none is given.
pub const LEAST_INERTIA_SHARE: f64 = 1e-4;

/// Time at rest before the move, s: the load may sag.
pub const PRE_ROLL: f64 = 0.5;

/// Time in which the load must have settled, and that is run past the command, s.
pub const SETTLING_WINDOW: f64 = 1.0;

/// Time over which hunting is looked for, s.
pub const HUNTING_WINDOW: f64 = 0.5;

/// Greatest number of samples of a run.
pub const MOST_PERIODS: u64 = 2_000_000;

/// Greatest work of a run, in plain sub-steps; what takes longer than one of them counts as several.
/// A run that does all of it took 0.3 to 0.5 s where it was measured, natively.
pub const MOST_WORK: u64 = 20_000_000;

/// Motor angle that counts as unstable, rad.
const RUNAWAY: f64 = 1e9;

/// Motion below this share of a count at the output is rest.
const HUNTING_COUNTS: f64 = 0.1;

/// Share of its range of motion that a load must go back for the motion to be a swing: common
/// practice, no source.
const BACK: f64 = 0.25;

/// The play and the elasticity between motor and load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mesh {
    /// Backlash b at the output; 0 is a contact that never opens.
    pub backlash: Angle,
    /// Stiffness k at the output.
    pub stiffness: Stiffness,
}

/// What the load does to the output shaft.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Torque held at standstill, signed: positive resists the positive direction.
    pub holding_torque: Torque,
    /// Torque that always opposes motion.
    pub friction_torque: Torque,
    /// Angle of an arm from level at the start; the holding torque then goes with its cosine.
    pub start_angle: Option<Angle>,
    /// Turns of the output for one turn of that arm.
    pub last_stage: Ratio,
}

/// The supply, the bridge and the winding behind it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Power {
    /// Voltage V of the supply.
    pub voltage: ElectricPotential,
    /// Resistance R_s of source and wires.
    pub source_resistance: ElectricalResistance,
    /// Current of the boards.
    pub board_current: ElectricCurrent,
    /// Resistance R_m of winding and bridge.
    pub winding_resistance: ElectricalResistance,
    /// Inductance L of the winding.
    pub inductance: Option<Inductance>,
    /// Current at which the bridge chops, or the firmware limits.
    pub current_limit: Option<ElectricCurrent>,
}

/// The edge counter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensing {
    /// Pole pairs of the magnet.
    pub pole_pairs: u32,
    /// Edges counted in an electrical cycle: 1, 2 or 4.
    pub edges_counted: u32,
    /// Errors of the two signals, electrical.
    pub errors: SignalErrors,
    /// Time to serve one edge; 0 for a hardware counter.
    pub edge_service_time: Time,
    /// Latch hysteresis as a share of the electrical cycle, 0 by default of the model.
    pub hysteresis: Ratio,
}

/// The step input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PulseInput {
    /// Steps for one turn of the output.
    pub steps_per_turn: Ratio,
    /// Counts for each step: numerator and denominator of the gearing fraction.
    pub gearing: (u64, u64),
    /// Greatest rate of steps.
    pub rate_limit: Option<Frequency>,
}

/// What the drive does once it has been on target for 50 samples.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnTarget {
    /// The loop goes on.
    Drive,
    /// Duty 0: the winding is shorted.
    Brake,
    /// The bridge sleeps: no current.
    Release,
}

/// Whether the firmware's whole numbers are in the simulation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounding {
    /// Steps, counts and pulse width are whole.
    Firmware,
    /// All of them are real numbers: the loop as control theory has it.
    None,
}

/// The sampled controller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Controller {
    /// Gains at the motor shaft.
    pub gains: Gains,
    /// Integral time; left out, there is no integral part.
    pub integral_time: Option<Time>,
    /// Share of (Ke + Kd) times the commanded speed that is added.
    pub feed_forward: Ratio,
    /// Sample time Ts.
    pub sample_time: Time,
    /// Samples between reading the count and the new pulse width, at most 8.
    pub delay: u32,
    /// Error in counts that is left alone.
    pub deadband: u32,
    /// Steps of the pulse-width timer.
    pub pwm_resolution: u32,
    /// Greatest voltage over that of the supply.
    pub voltage_limit: Ratio,
    /// What happens on target.
    pub on_target: OnTarget,
    /// Whole numbers or real ones.
    pub rounding: Rounding,
}

/// One actuator as the simulation takes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Actuator {
    /// Motor constant, friction, inertias, ratio and efficiencies.
    pub train: Drivetrain,
    /// Play and stiffness.
    pub mesh: Mesh,
    /// Torques of the load.
    pub load: Load,
    /// Supply and winding.
    pub power: Power,
    /// Sensors.
    pub sensing: Sensing,
    /// Step input.
    pub pulses: PulseInput,
    /// Loop.
    pub controller: Controller,
    /// Error of the load at which it counts as settled; one count at the output if that is more.
    pub position_tolerance: Angle,
    /// How many times shorter than the model asks the sub-steps are; 1 but for a check.
    pub refinement: u32,
}

/// One move of a command, and the rest after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// Shape of the move.
    pub profile: Profile,
    /// Distance at the output, signed.
    pub distance: Angle,
    /// Time of the move; 0 is a jump.
    pub time: Time,
    /// Time at rest after it.
    pub dwell: Time,
}

/// One point of the traces.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sample {
    /// Time since the start of the command; negative before it.
    pub time: Time,
    /// Position of the load less the exact position of the steps asked for.
    pub error: Angle,
    /// Position of the load.
    pub position: Angle,
    /// Current of the winding.
    pub current: ElectricCurrent,
    /// Mean voltage at the winding.
    pub voltage: ElectricPotential,
    /// Duty of the bridge, signed.
    pub duty: Ratio,
}

/// When the load came to rest within its tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Settling {
    /// So long after the end of the command.
    After(Time),
    /// Not within a second: it swings to and fro.
    Hunting,
    /// Not within a second: it rests beside the target.
    Droop,
    /// Not within a second: it goes on towards the target, by less than the tolerance in half a second.
    Creeping,
    /// Not within a second: it is on its way to the target.
    OnItsWay,
    /// Not within a second: the load pulls it away from the target, against the motor or without it.
    Sinking,
    /// Not within a second: it is driven away from the target.
    RunningAway,
    /// The run ended before.
    NotReached,
}

/// What ended a run before its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Stopped {
    /// The motor ran away.
    RanAway,
    /// The command has more samples than [`MOST_PERIODS`].
    MostSamples,
    /// The sub-steps, events and edges came to [`MOST_WORK`].
    MostWork,
}

impl fmt::Display for Stopped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::RanAway => "the motor runs away",
            Self::MostSamples => "the command has too many samples to simulate",
            Self::MostWork => "the motion is too quick and too long to simulate",
        })
    }
}

impl error::Error for Stopped {}

/// What stopped or changed the run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Flags {
    /// The motor ran away.
    pub unstable: bool,
    /// A period had more than 64 events and was finished without looking for more.
    pub events_cut: bool,
    /// The bound of samples or sub-steps ended the run.
    pub run_cut: bool,
    /// The inductance was raised to a five-hundredth of the sample time.
    pub inductance_raised: bool,
    /// The contact was clipped to an oscillation of 20 µs.
    pub stiffness_clipped: bool,
}

/// The landing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Landing {
    /// How far the load went beyond the target of the last leg once it had been before it, ≥ 0.
    pub overshoot: Angle,
    /// When it was within the tolerance for good.
    pub settling: Settling,
    /// Greatest current.
    pub peak_current: ElectricCurrent,
    /// Greatest error at the load during the legs, at the sampling moments.
    pub worst_error: Angle,
    /// Load less target at the end of the last leg's dwell, or of the run if that is earlier.
    pub final_error: Angle,
    /// Target less the middle of the load's positions in the last half second.
    pub droop: Angle,
    /// Half the swing of the load in the last half second; 0 below a tenth of a count, and where it
    /// goes one way.
    pub hunting: Angle,
    /// Its frequency, where it swung at least once.
    pub hunting_frequency: Option<Frequency>,
    /// How far the load went in the last half second, from its start to its end, where it goes one
    /// way; 0 below a tenth of a count.
    pub drift: Angle,
    /// How long the motor stands still at a time, where it rests beside its target by more than the
    /// deadband and the integral part is going to break it loose.
    pub breaks_loose_after: Option<Time>,
    /// Changes of sign of the motor's speed.
    pub reversals: u64,
    /// Energy drawn from the supply by the motor, returned energy taken off: ∫V·i_s dt over the
    /// command and until the load is within its tolerance for good, like the three below.
    pub energy: Energy,
    /// Energy that the motor returned to the supply, ≥ 0.
    pub regenerated_energy: Energy,
    /// Heat of winding and bridge resistance.
    pub copper_loss: Energy,
    /// Heat of the motor's own Coulomb friction.
    pub friction_loss: Energy,
    /// Counts between the edges that the motor has passed and those that were read, in the end.
    pub lost_counts: u64,
    /// Greatest error in counts that the firmware saw, the deadband not taken off.
    pub greatest_error: f64,
    /// Longest time at the largest duty without a count.
    pub longest_stall: Time,
    /// Time simulated from the start of the command.
    pub duration: Time,
    /// Samples of the run, those before the command included.
    pub periods: u64,
    /// Events solved for.
    pub events: u64,
    /// What [`MOST_WORK`] bounds.
    pub work: u64,
    /// What stopped or changed the run.
    pub flags: Flags,
    /// What ended it before its end; the figures are then those of its `duration`.
    pub stopped: Option<Stopped>,
}

/// Where the energy of a run went, from the very start: the first equals the sum of all others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EnergyBalance {
    /// Into the winding at the bridge's terminals, less what the inductance held when the bridge
    /// was put to sleep.
    pub electrical: Energy,
    /// Heat of winding and bridge.
    pub copper: Energy,
    /// Heat of the motor's Coulomb friction.
    pub motor_friction: Energy,
    /// Heat of the loaded gears.
    pub gears: Energy,
    /// Heat of the tooth contact.
    pub damping: Energy,
    /// Heat of the load's friction.
    pub load_friction: Energy,
    /// Gained by the load against its holding torque.
    pub potential: Energy,
    /// Gained by the two inertias.
    pub kinetic: Energy,
    /// Gained by the springs of the teeth.
    pub spring: Energy,
    /// Gained by the inductance.
    pub magnetic: Energy,
}

/// Why there is no landing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refused {
    /// A quantity that must be above 0 is not, or is not finite; its name.
    NotPositive(&'static str),
    /// A quantity is negative, out of its bounds or not finite; its name.
    OutOfRange(&'static str),
    /// There is no leg to move.
    NoLeg,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPositive(name) => write!(f, "{name} not above 0"),
            Self::OutOfRange(name) => write!(f, "{name} out of range"),
            Self::NoLeg => f.write_str("no leg to move"),
        }
    }
}

impl error::Error for Refused {}

/// Simulates a command.
///
/// # Formula
/// Winding, rotor and load are linear between events; exponentials carry them from sub-step to
/// sub-step, and events are solved for. The controller is the firmware's, sample by sample.
///
/// # Arguments
/// * `actuator` what moves
/// * `legs` the moves of the command, in order
/// * `traces` room for samples evenly spread over the run from the start of the command; may be
///   empty
///
/// # Returns
/// The landing of the last leg, and how many of the samples were filled
///
/// # Validity
/// Ripple, jitter and temperature are left out. See the bounds of the module.
///
/// # Errors
/// [`Refused`] where a quantity has no physical meaning.
///
/// # Example
/// No published value: a smooth loop comes to rest on its target. The actuator is that of
/// `src/landing/example_actuator.rs`.
/// ```
/// # use pulsewright_calc::{encoder::SignalErrors, landing::*, motion::{Drivetrain, Profile}};
/// # use pulsewright_calc::{position_loop::Gains, units::*};
/// # let actuator = include!(concat!(env!("CARGO_MANIFEST_DIR"), "/src/landing/example_actuator.rs"));
/// let leg = Leg {
///     profile: Profile::Smooth,
///     distance: turns(0.25),
///     time: Time::new::<uom::si::time::second>(1.0),
///     dwell: Time::new::<uom::si::time::second>(2.0),
/// };
/// let (landing, _) = simulate(&actuator, &[leg], &mut [])?;
/// assert!(matches!(landing.settling, Settling::After(_)));
/// # Ok::<(), Refused>(())
/// ```
///
/// # Sources
/// Exponential of a linear system (Franklin, Powell & Workman, Digital Control of Dynamic
/// Systems, 4.3, from memory); sliding friction as a set-valued law with events.
pub fn simulate(
    actuator: &Actuator,
    legs: &[Leg],
    traces: &mut [Sample],
) -> Result<(Landing, usize), Refused> {
    simulate_within(actuator, legs, traces, MOST_WORK)
}

/// Simulates a command with less work than a run may take, for one of many.
///
/// # Formula
/// That of [`simulate`].
///
/// # Arguments
/// * `actuator` what moves
/// * `legs` the moves of the command, in order
/// * `traces` room for samples, as in [`simulate`]
/// * `most_work` the work that ends the run, in plain sub-steps
///
/// # Returns
/// The landing of the last leg, and how many of the samples were filled
///
/// # Validity
/// As [`simulate`].
///
/// # Errors
/// As [`simulate`].
///
/// # Example
/// No published value: what takes more ends, and says so. The actuator is that of
/// `src/landing/example_actuator.rs`.
/// ```
/// # use pulsewright_calc::{encoder::SignalErrors, landing::*, motion::{Drivetrain, Profile}};
/// # use pulsewright_calc::{position_loop::Gains, units::*};
/// # let actuator = include!(concat!(env!("CARGO_MANIFEST_DIR"), "/src/landing/example_actuator.rs"));
/// let leg = Leg {
///     profile: Profile::Smooth,
///     distance: turns(0.25),
///     time: Time::new::<uom::si::time::second>(1.0),
///     dwell: Time::new::<uom::si::time::second>(2.0),
/// };
/// let (landing, _) = simulate_within(&actuator, &[leg], &mut [], 1000)?;
/// assert_eq!(landing.stopped, Some(Stopped::MostWork));
/// # Ok::<(), Refused>(())
/// ```
///
/// # Sources
/// Those of [`simulate`].
pub fn simulate_within(
    actuator: &Actuator,
    legs: &[Leg],
    traces: &mut [Sample],
    most_work: u64,
) -> Result<(Landing, usize), Refused> {
    let mut run = Run::new(actuator, legs, None, most_work)?;
    let filled = run.go(traces);
    Ok((run.landing(), filled))
}

/// Simulates a command and sums up where its energy went, slowly.
///
/// # Formula
/// Losses are summed by quadrature of the series of each step, apart from what is stored.
///
/// # Arguments
/// * `actuator` what moves
/// * `legs` the moves of the command, in order
///
/// # Returns
/// The landing and the balance
///
/// # Validity
/// As [`simulate`].
///
/// # Errors
/// As [`simulate`].
///
/// # Example
/// No published value: what is drawn is lost or gained, within a thousandth.
/// ```
/// # use pulsewright_calc::{encoder::SignalErrors, landing::*, motion::{Drivetrain, Profile}};
/// # use pulsewright_calc::{position_loop::Gains, units::*};
/// # let actuator = include!(concat!(env!("CARGO_MANIFEST_DIR"), "/src/landing/example_actuator.rs"));
/// let leg = Leg {
///     profile: Profile::Smooth,
///     distance: turns(0.25),
///     time: Time::new::<uom::si::time::second>(1.0),
///     dwell: Time::new::<uom::si::time::second>(2.0),
/// };
/// let (_, balance) = audit(&actuator, &[leg])?;
/// let lost = balance.copper + balance.motor_friction + balance.gears + balance.damping;
/// let gained = balance.kinetic + balance.spring + balance.magnetic + balance.potential;
/// let used = lost + balance.load_friction + gained;
/// assert!((balance.electrical - used).abs() < balance.electrical * 1e-3);
/// # Ok::<(), Refused>(())
/// ```
///
/// # Sources
/// Conservation of energy.
pub fn audit(actuator: &Actuator, legs: &[Leg]) -> Result<(Landing, EnergyBalance), Refused> {
    let mut run = Run::new(actuator, legs, Some(Losses::default()), MOST_WORK)?;
    let before = run.plant.stored();
    run.go(&mut []);
    let after = run.plant.stored();
    let losses = run.plant.losses.unwrap_or_default();
    let joules = Energy::new::<joule>;
    let balance = EnergyBalance {
        electrical: joules(losses.electrical - losses.cut_off),
        copper: joules(losses.copper),
        motor_friction: joules(losses.motor_friction),
        gears: joules(losses.gears),
        damping: joules(losses.damping),
        load_friction: joules(losses.load_friction),
        potential: joules(losses.lifted),
        magnetic: joules(after[0] - before[0]),
        kinetic: joules(after[1] - before[1]),
        spring: joules(after[2] - before[2]),
    };
    Ok((run.landing(), balance))
}

/// A positive finite number, or the refusal with its name.
#[inline(never)]
fn positive(value: f64, name: &'static str) -> Result<f64, Refused> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(Refused::NotPositive(name))
    }
}

/// A finite number within bounds, or the refusal with its name.
#[inline(never)]
fn within(value: f64, low: f64, high: f64, name: &'static str) -> Result<f64, Refused> {
    if value.is_finite() && value >= low && value <= high {
        Ok(value)
    } else {
        Err(Refused::OutOfRange(name))
    }
}

/// Reads the constants out of the actuator, with what stands in for what is missing.
fn constants(actuator: &Actuator, flags: &mut Flags) -> Result<Constants, Refused> {
    let (train, power) = (&actuator.train, &actuator.power);
    let most = f64::MAX;
    let resistance = positive(power.winding_resistance.value, "winding resistance")?;
    let sample_time = positive(actuator.controller.sample_time.value, "sample time")?;
    let inductance = match power.inductance {
        Some(inductance) if inductance.value != 0.0 => positive(inductance.value, "inductance")?,
        _ => resistance * ASSUMED_ELECTRICAL_TIME,
    };
    let least = resistance * sample_time * LEAST_ELECTRICAL_SHARE;
    flags.inductance_raised = inductance < least;
    let ratio = positive(train.ratio.value, "ratio")?;
    let rotor_inertia = positive(train.rotor_inertia.value, "rotor inertia")?;
    let reflected = positive(rotor_inertia * ratio * ratio, "rotor inertia")?;
    let load_inertia = match within(train.load_inertia.value, 0.0, most, "load inertia")? {
        0.0 => LEAST_INERTIA_SHARE * reflected,
        given => given,
    };
    let common = positive(1.0 / (1.0 / reflected + 1.0 / load_inertia), "load inertia")?;
    let rate = core::f64::consts::TAU / SHORTEST_CONTACT_PERIOD;
    let stiffness = positive(actuator.mesh.stiffness.value, "stiffness")?;
    let clipped = stiffness.min(rate * rate * common);
    flags.stiffness_clipped = clipped < stiffness;
    let efficiency = within(train.efficiency.value, 1e-6, 1.0, "efficiency")?;
    let back = within(
        train.back_driving_efficiency.value,
        -1e6,
        1.0 / efficiency,
        "back-driving efficiency",
    )?;
    let motor_constant = positive(train.motor_constant.value, "motor constant")?;
    let no_load_current = within(train.no_load_current.value, 0.0, most, "no-load current")?;
    let motor_friction = motor_constant * no_load_current;
    let load_friction = within(
        actuator.load.friction_torque.value,
        0.0,
        most,
        "friction torque",
    )?;
    Ok(Constants {
        resistance,
        inductance: inductance.max(least),
        motor_constant,
        rotor_inertia,
        motor_friction,
        motor_static: MOTOR_STATIC_FRICTION * motor_friction,
        ratio,
        gear_mean: 0.5 * (1.0 / efficiency + back),
        gear_band: 0.5 * (1.0 / efficiency - back),
        half_backlash: 0.5 * within(actuator.mesh.backlash.value, 0.0, most, "backlash")?,
        stiffness: clipped,
        damping: 2.0 * CONTACT_DAMPING * (clipped * common).sqrt(),
        load_inertia,
        load_friction,
        load_static: LOAD_STATIC_FRICTION * load_friction,
        current_limit: match power.current_limit {
            Some(limit) => positive(limit.value, "current limit")?,
            None => f64::INFINITY,
        },
    })
}

/// Refuses what the firmware cannot be built from.
fn check_firmware(actuator: &Actuator, legs: &[Leg]) -> Result<(), Refused> {
    let (c, p, s) = (&actuator.controller, &actuator.pulses, &actuator.sensing);
    let most = f64::MAX;
    positive(actuator.power.voltage.value, "supply voltage")?;
    within(
        actuator.power.source_resistance.value,
        0.0,
        most,
        "source resistance",
    )?;
    within(
        actuator.power.board_current.value,
        0.0,
        most,
        "board current",
    )?;
    within(
        actuator.load.holding_torque.value,
        -most,
        most,
        "holding torque",
    )?;
    within(
        actuator.position_tolerance.value,
        0.0,
        most,
        "position tolerance",
    )?;
    let angle = actuator.load.start_angle.map_or(0.0, |angle| angle.value);
    within(angle, -most, most, "start angle")?;
    positive(actuator.load.last_stage.value, "last stage")?;
    positive(f64::from(s.pole_pairs), "pole pairs")?;
    within(s.errors.phase.value, 0.0, 4.0, "phase error")?;
    within(s.errors.placement.value, 0.0, 1e3, "placement error")?;
    within(s.errors.duty.value, 0.0, 4.0, "duty error")?;
    within(s.edge_service_time.value, 0.0, most, "edge service time")?;
    within(s.hysteresis.value, 0.0, 1.0, "hysteresis")?;
    positive(p.steps_per_turn.value, "steps per turn")?;
    positive(p.gearing.0 as f64, "gearing numerator")?;
    positive(p.gearing.1 as f64, "gearing denominator")?;
    if let Some(rate) = p.rate_limit {
        positive(rate.value, "pulse rate")?;
    }
    within(c.gains.proportional.value, -most, most, "proportional gain")?;
    within(c.gains.derivative.value, -most, most, "derivative gain")?;
    if let Some(time) = c.integral_time {
        positive(time.value, "integral time")?;
    }
    within(c.feed_forward.value, -most, most, "feed-forward")?;
    within(f64::from(c.delay), 0.0, f64::from(LONGEST_DELAY), "delay")?;
    positive(f64::from(c.pwm_resolution), "pulse-width resolution")?;
    within(c.voltage_limit.value, 0.0, 1.0, "voltage limit")?;
    for leg in legs {
        within(leg.distance.value, -most, most, "distance")?;
        within(leg.time.value, 0.0, most, "time")?;
        within(leg.dwell.value, 0.0, most, "dwell")?;
    }
    if legs.is_empty() {
        return Err(Refused::NoLeg);
    }
    Ok(())
}

/// Where the command is: legs walked through in order.
#[derive(Debug, Clone)]
struct Command<'a> {
    legs: &'a [Leg],
    index: usize,
    begin: f64,
    base: f64,
}

impl Command<'_> {
    /// Commanded angle at a time since the start, times rising from call to call; and whether a
    /// leg is being moved.
    fn at(&mut self, time: f64) -> (f64, bool) {
        if time < 0.0 {
            return (0.0, false);
        }
        while self.index + 1 < self.legs.len() {
            let leg = &self.legs[self.index];
            let end = self.begin + leg.time.value + leg.dwell.value;
            if time < end {
                break;
            }
            self.begin = end;
            self.base += leg.distance.value;
            self.index += 1;
        }
        let leg = &self.legs[self.index];
        let (elapsed, whole) = (time - self.begin, leg.time.value);
        if elapsed >= whole {
            return (self.base + leg.distance.value, false);
        }
        let share = state_at(leg.profile, Ratio::from(elapsed / whole))
            .position
            .value;
        (self.base + share * leg.distance.value, true)
    }
}

/// What is watched of one period.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Phase {
    Before,
    /// During the legs but the last.
    Legs,
    /// During the last leg.
    LastLeg,
    /// After the end of the command.
    After,
    /// In the last half second.
    Ending,
}

/// Turning points of the load in the last half second.
#[derive(Debug, Clone, Copy, Default)]
struct Swing {
    started: bool,
    least: f64,
    greatest: f64,
    /// Extremes since the last turning point, with their times.
    low: (f64, f64),
    high: (f64, f64),
    direction: i8,
    turns: u32,
    begin: f64,
    first: f64,
    last: f64,
    /// Positions at the start and at the end, and the longest ways up and down.
    from: f64,
    to: f64,
    rise: f64,
    fall: f64,
}

impl Swing {
    fn see(&mut self, time: f64, position: f64, threshold: f64) {
        self.to = position;
        if !self.started {
            self.from = position;
            (self.started, self.least, self.greatest) = (true, position, position);
            (self.low, self.high) = ((position, time), (position, time));
            self.begin = time;
            return;
        }
        self.least = self.least.min(position);
        self.greatest = self.greatest.max(position);
        self.rise = self.rise.max(position - self.least);
        self.fall = self.fall.max(self.greatest - position);
        if position < self.low.0 {
            self.low = (position, time);
        }
        if position > self.high.0 {
            self.high = (position, time);
        }
        if self.direction >= 0 && position < self.high.0 - threshold {
            let at = self.high.1;
            self.turn(at, -1);
            self.low = (position, time);
        } else if self.direction <= 0 && position > self.low.0 + threshold {
            let at = self.low.1;
            self.turn(at, 1);
            self.high = (position, time);
        }
    }

    fn turn(&mut self, time: f64, direction: i8) {
        // The edge of the window is no turning point.
        if time > self.begin {
            if self.turns == 0 {
                self.first = time;
            }
            self.turns += 1;
            self.last = time;
        }
        self.direction = direction;
    }

    fn range(&self) -> f64 {
        self.greatest - self.least
    }

    /// Whether the load swung, rather than went one way.
    fn swung(&self) -> bool {
        self.rise.min(self.fall) >= BACK * self.range()
    }

    fn drift(&self) -> f64 {
        self.to - self.from
    }

    fn frequency(&self) -> Option<f64> {
        let span = self.last - self.first;
        (self.turns >= 2 && span > 0.0).then(|| f64::from(self.turns - 1) / (2.0 * span))
    }
}

/// What the motor has drawn, given back, lost and turned since the start of the command.
#[derive(Debug, Clone, Copy, Default)]
struct Spent {
    drawn: f64,
    returned: f64,
    copper: f64,
    travelled: f64,
}

/// What is kept of a run as it goes.
#[derive(Debug, Clone)]
struct Watch {
    resistance: f64,
    conductance: f64,
    inductance: f64,
    motor_constant: f64,
    ratio: f64,
    per_ratio: f64,
    tolerance: f64,
    threshold: f64,
    target: f64,
    /// Direction of the last leg.
    sign: f64,
    command_end: f64,
    phase: Phase,
    /// Supply voltage over the voltage at the bridge, in this period.
    supply_share: f64,
    begin: f64,
    theta: f64,
    offset: f64,
    peak_current: f64,
    overshoot: f64,
    /// Whether the load has been before its target on the last leg.
    been_before: bool,
    last_outside: f64,
    reversals: u64,
    direction: f64,
    spent: Spent,
    /// The same at the end of the last step in which the load was not yet within its tolerance.
    until_settled: Spent,
    swing: Swing,
}

/// The watch and the sensors both see every step.
struct Observed<'a>(&'a mut Watch, &'a mut Counter);

impl Observer for Observed<'_> {
    #[inline(always)]
    fn see(&mut self, passed: &Passed<'_>) {
        self.0.see(passed, self.1);
    }
}

impl Watch {
    #[inline(always)]
    fn see(&mut self, passed: &Passed<'_>, counter: &mut Counter) {
        let (before, after) = (passed.before, passed.after);
        let from = self.begin + passed.elapsed;
        let to = from + passed.step;
        let theta = self.theta + after[4];
        counter.pass((from, self.theta, before[1]), (to, theta, after[1]));
        self.theta = theta;
        if self.phase == Phase::Before {
            return;
        }
        self.electric(passed);
        self.spent.travelled += after[4].abs();
        if after[1] * self.direction < 0.0 {
            self.reversals += 1;
        }
        if after[1] != 0.0 {
            self.direction = after[1];
        }
        // Each period begins with the offset anew.
        if self.phase == Phase::Legs {
            self.until_settled = self.spent;
            return;
        }
        let offset = theta * self.per_ratio - after[3] - self.target;
        let was = self.offset;
        self.offset = offset;
        let path = || Cubic {
            from: was,
            to: offset,
            slope_from: before[2] * passed.step,
            slope_to: after[2] * passed.step,
        };
        if before[2] * after[2] < 0.0
            && let Some((share, extreme)) = path().extreme()
        {
            self.place(from + share * passed.step, extreme);
        }
        let entered = offset.abs() <= self.tolerance && was.abs() > self.tolerance;
        if self.phase != Phase::LastLeg && entered {
            let share = path()
                .crossing(|offset| offset.abs() - self.tolerance)
                .unwrap_or(0.0);
            self.last_outside = self.last_outside.max(from + share * passed.step);
        }
        self.place(to, offset);
        if self.phase == Phase::LastLeg || self.last_outside >= from {
            self.until_settled = self.spent;
        }
    }

    /// Sees one position of the load, relative to the target.
    fn place(&mut self, time: f64, offset: f64) {
        let beyond = self.sign * offset;
        self.been_before |= beyond < 0.0;
        if self.been_before {
            self.overshoot = self.overshoot.max(beyond);
        }
        if self.phase == Phase::LastLeg {
            return;
        }
        if offset.abs() > self.tolerance {
            self.last_outside = time;
        }
        if self.phase == Phase::Ending {
            self.swing.see(time, offset, self.threshold);
        }
    }

    #[inline(always)]
    fn electric(&mut self, passed: &Passed<'_>) {
        let (from, to) = (passed.before[0], passed.after[0]);
        let (rate_from, rate_to) = passed.current_rates;
        let step = passed.step;
        self.peak_current = self.peak_current.max(to.abs());
        let squares = from * from + to * to;
        let heat = self.resistance
            * step
            * (0.5 * squares + step / 6.0 * (from * rate_from - to * rate_to)).max(0.0);
        self.spent.copper += heat;
        match passed.mode.winding {
            Winding::Free => {}
            Winding::Asleep => return,
            Winding::Limited(_) => {
                let energy = heat + self.motor_constant * to * passed.after[4];
                self.supply(energy);
                return;
            }
        }
        let path = || Cubic {
            from,
            to,
            slope_from: rate_from * step,
            slope_to: rate_to * step,
        };
        if rate_from * rate_to < 0.0
            && from.abs().max(to.abs()) > 0.5 * self.peak_current
            && let Some((_, extreme)) = path().extreme()
        {
            self.peak_current = self.peak_current.max(extreme.abs());
        }
        let charge = (passed.voltage * step
            - self.inductance * (to - from)
            - self.motor_constant * passed.after[4])
            * self.conductance;
        if from * to < 0.0 {
            let path = path();
            let first = step * path.integral_to(path.crossing(|current| current).unwrap_or(0.5));
            self.supply(passed.voltage * first);
            self.supply(passed.voltage * (charge - first));
        } else {
            self.supply(passed.voltage * charge);
        }
    }

    fn supply(&mut self, energy: f64) {
        let energy = energy * self.supply_share;
        if energy > 0.0 {
            self.spent.drawn += energy;
        } else {
            self.spent.returned -= energy;
        }
    }
}

/// One run.
#[derive(Debug, Clone)]
struct Run<'a> {
    plant: Plant,
    firmware: Firmware,
    counter: Counter,
    command: Command<'a>,
    watch: Watch,
    rounding: Rounding,
    voltage: f64,
    bus: f64,
    source_resistance: f64,
    holding: f64,
    start_angle: Option<f64>,
    last_stage: f64,
    sample_time: f64,
    pre_roll: u64,
    periods: u64,
    ending: u64,
    last_begin: f64,
    dwell_end: f64,
    worst_error: f64,
    final_error: Option<f64>,
    done: u64,
    /// When the motor came to rest.
    still_since: f64,
    /// Whether the bound of the work ended the run.
    exhausted: bool,
    flags: Flags,
}

impl<'a> Run<'a> {
    fn new(
        actuator: &Actuator,
        legs: &'a [Leg],
        losses: Option<Losses>,
        most_work: u64,
    ) -> Result<Self, Refused> {
        let mut flags = Flags::default();
        let constants = constants(actuator, &mut flags)?;
        check_firmware(actuator, legs)?;
        let holding = actuator.load.holding_torque.value;
        let start_angle = actuator.load.start_angle.map(|angle| angle.value);
        let resting = holding * start_angle.map_or(1.0, libm::cos);
        let twist = if resting == 0.0 {
            0.0
        } else {
            constants.half_backlash.copysign(resting) + resting / constants.stiffness
        };
        let sample_time = actuator.controller.sample_time.value;
        let plant = Plant::new(
            constants,
            sample_time,
            actuator.refinement,
            twist,
            losses,
            most_work,
        );
        let start = constants.ratio * twist;
        let counter = Counter::new(&actuator.sensing, start, most_work);
        let voltage = actuator.power.voltage.value;
        let firmware = Firmware::new(
            &actuator.controller,
            &actuator.pulses,
            counter.per_turn(),
            voltage,
            constants.motor_constant,
        );
        let count_at_output = core::f64::consts::TAU / (counter.per_turn() * constants.ratio);
        let distance: f64 = legs.iter().map(|leg| leg.distance.value).sum();
        let whole: f64 = legs
            .iter()
            .map(|leg| leg.time.value + leg.dwell.value)
            .sum();
        let last = &legs[legs.len() - 1];
        let dwell_end = whole;
        let command_end = whole - last.dwell.value;
        let window = if actuator.controller.integral_time.is_some() {
            2.0 * SETTLING_WINDOW
        } else {
            SETTLING_WINDOW
        };
        // The casts saturate, and the bound follows.
        let pre_roll = (PRE_ROLL / sample_time - 1e-9).ceil() as u64;
        let wanted = ((command_end + window) / sample_time - 1e-9).ceil() as u64;
        let periods = wanted.saturating_add(pre_roll);
        let ending = (HUNTING_WINDOW / sample_time + 1e-9).floor() as u64;
        let target = firmware.step_position(distance);
        Ok(Self {
            watch: Watch {
                resistance: constants.resistance,
                conductance: 1.0 / constants.resistance,
                inductance: constants.inductance,
                motor_constant: constants.motor_constant,
                ratio: constants.ratio,
                per_ratio: 1.0 / constants.ratio,
                tolerance: actuator.position_tolerance.value.max(count_at_output),
                threshold: HUNTING_COUNTS * count_at_output,
                target,
                sign: if last.distance.value < 0.0 { -1.0 } else { 1.0 },
                command_end,
                phase: Phase::Before,
                supply_share: 1.0,
                begin: 0.0,
                theta: start,
                offset: -target,
                peak_current: 0.0,
                overshoot: 0.0,
                been_before: false,
                last_outside: f64::NEG_INFINITY,
                reversals: 0,
                direction: 0.0,
                spent: Spent::default(),
                until_settled: Spent::default(),
                swing: Swing::default(),
            },
            plant,
            firmware,
            counter,
            command: Command {
                legs,
                index: 0,
                begin: 0.0,
                base: 0.0,
            },
            rounding: actuator.controller.rounding,
            voltage,
            bus: voltage
                - actuator.power.source_resistance.value * actuator.power.board_current.value,
            source_resistance: actuator.power.source_resistance.value,
            holding,
            start_angle,
            last_stage: actuator.load.last_stage.value,
            sample_time,
            pre_roll,
            periods,
            ending: periods.saturating_sub(ending.max(1)),
            last_begin: command_end - last.time.value,
            dwell_end,
            worst_error: 0.0,
            final_error: None,
            done: 0,
            still_since: 0.0,
            exhausted: false,
            flags,
        })
    }

    fn work(&self) -> u64 {
        self.plant.work.saturating_add(self.counter.work())
    }

    /// Position of the load.
    fn position(&self) -> f64 {
        self.watch.theta / self.watch.ratio - self.plant.x[3]
    }

    /// Torque that the load holds against at a position.
    fn holding_at(&self, position: f64) -> f64 {
        let level = |start| libm::cos(start + position / self.last_stage);
        self.holding * self.start_angle.map_or(1.0, level)
    }

    /// How long the motor, which stands, has stood and is going to stand until the integral part
    /// breaks it loose.
    fn stands_still(&self, end: f64) -> Option<f64> {
        let (rate, voltage) = self.firmware.rising()?;
        let current = self.plant.breaking_current(rate)?;
        // Duty D for a current at rest: (R + D²·R_s)·i = D·V'.
        let (resistance, source) = (self.plant.constants.resistance, self.source_resistance);
        let root = self.bus * self.bus - 4.0 * current * current * resistance * source;
        if self.bus <= 0.0 || root < 0.0 {
            return None;
        }
        let duty = 2.0 * current * resistance / (self.bus + root.sqrt());
        let needed = duty * self.voltage;
        if needed.abs() > self.firmware.limit() {
            return None;
        }
        let left = ((needed - voltage) / rate).max(0.0);
        let stood = end - self.still_since;
        (stood > 0.0 && left.is_finite()).then_some(stood + left)
    }

    /// Voltage at the winding for a duty, the supply's sag taken from the state at hand.
    fn winding_voltage(&mut self, duty: f64) -> f64 {
        let c = &self.plant.constants;
        let asked = (duty * self.bus - c.motor_constant * self.plant.x[1])
            / (c.resistance + duty * duty * self.source_resistance);
        let asked = asked.max(-c.current_limit).min(c.current_limit);
        // A source gives no voltage the other way round, however hard the motor pulls.
        let bus = (self.bus - self.source_resistance * (duty * asked).max(0.0)).max(0.0);
        self.watch.supply_share = if bus > 0.0 { self.voltage / bus } else { 0.0 };
        duty * bus
    }

    fn go(&mut self, traces: &mut [Sample]) -> usize {
        let periods = self.periods.min(MOST_PERIODS);
        let room = (traces.len() as u64).max(1);
        let stride = periods.saturating_sub(self.pre_roll).div_ceil(room).max(1);
        let mut filled = 0;
        for k in 0..periods {
            // Exact below 2^53.
            let time = (k as f64 - self.pre_roll as f64) * self.sample_time;
            let before = k < self.pre_roll;
            let (commanded, moving) = self.command.at(if before { -1.0 } else { time });
            let demand = if before || moving || time < self.watch.command_end {
                Demand::Moving
            } else {
                Demand::Ended
            };
            let count = match self.rounding {
                Rounding::Firmware => self.counter.read(self.watch.theta, time) as f64,
                Rounding::None => self.counter.exact(self.watch.theta),
            };
            let order = self.firmware.sample(commanded, count, demand, !before);
            let duty = order.map(|width| self.firmware.duty(width));
            let voltage = duty.map(|duty| self.winding_voltage(duty));
            let position = self.position();
            let error = position - self.firmware.step_position(commanded);
            if !before {
                if time < self.watch.command_end + self.sample_time {
                    self.worst_error = self.worst_error.max(error.abs());
                }
                if self.final_error.is_none() && time >= self.dwell_end - 1e-9 * self.sample_time {
                    self.final_error = Some(position - self.watch.target);
                }
                let index = k - self.pre_roll;
                if index.is_multiple_of(stride) && filled < traces.len() {
                    traces[filled] = Sample {
                        time: Time::new::<second>(time),
                        error: Angle::new::<radian>(error),
                        position: Angle::new::<radian>(position),
                        current: ElectricCurrent::new::<ampere>(self.plant.x[0]),
                        voltage: ElectricPotential::new::<volt>(voltage.unwrap_or(0.0)),
                        duty: Ratio::from(duty.unwrap_or(0.0)),
                    };
                    filled += 1;
                }
            }
            let phase = if before {
                Phase::Before
            } else if k >= self.ending && time >= self.watch.command_end {
                Phase::Ending
            } else if time >= self.watch.command_end {
                Phase::After
            } else if time >= self.last_begin {
                Phase::LastLeg
            } else {
                Phase::Legs
            };
            self.enter(phase, time);
            let holding = self.holding_at(position);
            let mut observer = Observed(&mut self.watch, &mut self.counter);
            self.plant.advance(voltage, holding, &mut observer);
            if !self.plant.exhausted {
                self.done = k + 1;
            }
            if self.plant.mode.motor != 0 {
                self.still_since = time + self.sample_time;
            }
            let healthy = self.watch.theta.abs() <= RUNAWAY
                && self.plant.x.iter().all(|value| value.is_finite());
            if !healthy {
                self.flags.unstable = true;
                break;
            }
            if self.work() >= self.plant.most_work {
                self.exhausted = true;
                break;
            }
        }
        filled
    }

    /// Sets up what is watched in a period.
    fn enter(&mut self, phase: Phase, time: f64) {
        let position = self.position();
        let first = self.watch.phase != phase;
        self.watch.begin = time;
        if first && self.watch.phase == Phase::Before {
            self.watch.peak_current = self.plant.x[0].abs();
        }
        self.watch.offset = position - self.watch.target;
        self.watch.phase = phase;
        if first && matches!(phase, Phase::After | Phase::Ending) {
            self.watch.place(time, self.watch.offset);
        }
    }

    fn landing(&self) -> Landing {
        let watch = &self.watch;
        let mut flags = self.flags;
        flags.events_cut = self.plant.events_cut;
        let mut finite = |value: f64| {
            if value.is_finite() {
                value
            } else {
                flags.unstable = true;
                0.0
            }
        };
        let (swing, spent) = (&watch.swing, &watch.until_settled);
        let moves = swing.started && 0.5 * swing.range() >= watch.threshold;
        let (hunting, drift) = match (moves, swing.swung()) {
            (false, _) => (0.0, 0.0),
            (true, true) => (0.5 * swing.range(), 0.0),
            (true, false) => (0.0, swing.drift()),
        };
        let (hunting, drift) = (finite(hunting), finite(drift));
        let offset = finite(self.position() - watch.target);
        let droop = if swing.started {
            finite(-0.5 * (swing.greatest + swing.least))
        } else {
            -offset
        };
        let final_error = finite(self.final_error.unwrap_or(offset));
        let angle = Angle::new::<radian>;
        let energy = |value: f64| Energy::new::<joule>(value);
        let duration = (self.done as f64 - self.pre_roll as f64).max(0.0) * self.sample_time;
        let since = watch.last_outside - watch.command_end;
        let mut landing = Landing {
            overshoot: angle(finite(watch.overshoot)),
            settling: Settling::NotReached,
            peak_current: ElectricCurrent::new::<ampere>(finite(watch.peak_current)),
            worst_error: angle(finite(self.worst_error)),
            final_error: angle(final_error),
            droop: angle(droop),
            hunting: angle(hunting),
            drift: angle(drift),
            breaks_loose_after: None,
            hunting_frequency: swing
                .frequency()
                .filter(|value| hunting > 0.0 && value.is_finite())
                .map(Frequency::new::<hertz>),
            reversals: watch.reversals,
            energy: energy(finite(spent.drawn - spent.returned)),
            regenerated_energy: energy(finite(spent.returned)),
            copper_loss: energy(finite(spent.copper)),
            friction_loss: energy(finite(
                spent.travelled * self.plant.constants.motor_friction,
            )),
            lost_counts: self.counter.lost(),
            greatest_error: finite(self.firmware.greatest_error),
            longest_stall: Time::new::<second>(
                self.firmware.longest_stall as f64 * self.sample_time,
            ),
            duration: Time::new::<second>(duration),
            periods: self.done,
            events: self.plant.events,
            work: self.work(),
            flags,
            stopped: None,
        };
        let complete = self.done == self.periods && !flags.unstable;
        landing.stopped = if flags.unstable {
            Some(Stopped::RanAway)
        } else if self.exhausted && !complete {
            Some(Stopped::MostWork)
        } else {
            (!complete).then_some(Stopped::MostSamples)
        };
        flags.run_cut = matches!(
            landing.stopped,
            Some(Stopped::MostSamples | Stopped::MostWork)
        );
        landing.flags = flags;
        let rests = complete && !moves;
        landing.breaks_loose_after = rests
            .then(|| self.stands_still(duration))
            .flatten()
            .map(Time::new::<second>);
        let away = offset.abs() > swing.from.abs();
        let pulled =
            drift * self.holding_at(self.position()) < 0.0 && drift * self.firmware.asked() <= 0.0;
        landing.settling = if !complete {
            Settling::NotReached
        } else if since < SETTLING_WINDOW && offset.abs() <= watch.tolerance {
            Settling::After(Time::new::<second>(since.max(0.0)))
        } else if hunting > 0.0 {
            Settling::Hunting
        } else if drift == 0.0 {
            Settling::Droop
        } else if away && pulled {
            Settling::Sinking
        } else if away {
            Settling::RunningAway
        } else if drift.abs() < watch.tolerance {
            Settling::Creeping
        } else {
            Settling::OnItsWay
        };
        landing
    }
}
