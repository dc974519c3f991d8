//! The motion asked for: its profile, and what the motor must draw, press and turn to follow it.
//!
//! A move is seen in the frame in which the motor turns forward; for the move that comes back the
//! load torque is the one of returning. Over a trapezoid the current is constant in each segment
//! and power is linear in time; over the smooth profile current and power are polynomials of
//! degree 3 and 7, so that a Gauss–Legendre sum of four points between their kinks is exact.

use core::ops::{Add, Div};

use uom::si::{
    angle::radian, electric_current::ampere, electric_potential::volt, energy::joule,
    magnetic_flux::weber, power::watt, time::second, torque::newton_meter,
};

#[cfg(not(any(test, feature = "std")))]
use crate::float::SquareRoot as _;
use crate::roots::{bracketed, bracketed_between};
use crate::units::{
    Acceleration, Angle, AngularAcceleration, AngularVelocity, ElectricCurrent, ElectricPotential,
    ElectricalResistance, Energy, Length, MomentOfInertia, MotorConstant, Power, Ratio, Time,
    Torque, Velocity, within,
};

/// Shape of a move from rest to rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Profile {
    /// Speed rises and falls in straight ramps.
    Trapezoid {
        /// Time of one ramp over the time of the move; held between 0.001 and ½.
        ramp_fraction: Ratio,
    },
    /// Polynomial of fifth order in position: no step in acceleration.
    Smooth,
}

/// A move of the output from rest to rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Shape of the move.
    pub profile: Profile,
    /// Distance d at the output, ≥ 0.
    pub distance: Angle,
    /// Time t, > 0.
    pub time: Time,
}

/// Load torque over a move, in its direction: positive where it must be driven.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MoveLoad {
    /// The same all the way.
    Steady(Torque),
    /// An arm about a level axis: steady + crest·cos(start + travel·share of the way).
    Swing {
        /// What the arm pulls where it is level, in the direction of the move.
        crest: Torque,
        /// What does not change with its angle: friction, and a force along the travel.
        steady: Torque,
        /// Angle from level where the move begins.
        start: Angle,
        /// Angle that the arm turns over the move, signed.
        travel: Angle,
    },
}

impl From<Torque> for MoveLoad {
    fn from(torque: Torque) -> Self {
        Self::Steady(torque)
    }
}

/// What stands behind a motor that makes a move of some time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Behind {
    /// Resistance of winding, bridge and source.
    pub resistance: ElectricalResistance,
    /// Voltage that other actuators leave; none where it is that of the limits.
    pub voltage: Option<ElectricPotential>,
}

impl From<ElectricalResistance> for Behind {
    fn from(resistance: ElectricalResistance) -> Self {
        Self {
            resistance,
            voltage: None,
        }
    }
}

/// Where a move is at one moment, for unit distance and unit time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Position over distance.
    pub position: Ratio,
    /// Speed times time over distance.
    pub speed: Ratio,
    /// Acceleration times time² over distance.
    pub acceleration: Ratio,
}

/// Which moves make a cycle; each is followed by a dwell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// The move against the load.
    Lifting,
    /// The move with the load.
    Lowering,
    /// There and back.
    Both,
}

impl Direction {
    /// The greater value of the moves in the cycle.
    ///
    /// # Example
    /// ```
    /// use pulsewright_calc::motion::Direction;
    /// assert_eq!(Direction::Both.greatest(1.0, 2.0), 2.0);
    /// assert_eq!(Direction::Lifting.greatest(1.0, 2.0), 1.0);
    /// ```
    #[must_use]
    pub fn greatest<T: PartialOrd>(self, against: T, with: T) -> T {
        match self {
            Self::Lifting => against,
            Self::Lowering => with,
            Self::Both if with > against => with,
            Self::Both => against,
        }
    }

    /// The mean of a quantity over the cycle, given its mean over each move and its dwell.
    ///
    /// # Example
    /// ```
    /// use pulsewright_calc::motion::Direction;
    /// assert_eq!(Direction::Both.mean(1.0, 2.0), 1.5);
    /// assert_eq!(Direction::Lowering.mean(1.0, 2.0), 2.0);
    /// ```
    #[must_use]
    pub fn mean<T: Add<Output = T> + Div<f64, Output = T>>(self, against: T, with: T) -> T {
        match self {
            Self::Lifting => against,
            Self::Lowering => with,
            Self::Both => (against + with) / 2.0,
        }
    }
}

/// What stands between the winding and the load. Load torque and inertia count before the loss of a
/// last stage after the output; [`Drivetrain::through`] puts that loss into the efficiencies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drivetrain {
    /// Motor turns per output turn N.
    pub ratio: Ratio,
    /// Efficiency of the gears η, motor driving.
    pub efficiency: Ratio,
    /// Efficiency of the gears η_back, load driving; ≤ 0 for gears that lock.
    pub back_driving_efficiency: Ratio,
    /// Rotor inertia J_r.
    pub rotor_inertia: MomentOfInertia,
    /// Inertia of the load at the output J_L.
    pub load_inertia: MomentOfInertia,
    /// Torque constant Kt = back-EMF constant Ke.
    pub motor_constant: MotorConstant,
    /// No-load current I0, the Coulomb friction of the motor and its gears.
    pub no_load_current: ElectricCurrent,
}

impl Drivetrain {
    /// A motor on the output itself, before a last stage: its current in amperes is its torque in newton metres.
    ///
    /// # Formula
    /// N = η = Kt = 1, I0 = 0, through the stage
    ///
    /// # Arguments
    /// * `rotor_inertia` J_r \[kg·m²\]
    /// * `load_inertia` J_L \[kg·m²\]
    /// * `last_stage_efficiency` η_s; 1 without a stage \[1\]
    ///
    /// # Returns
    /// The train
    ///
    /// # Validity
    /// As [`Self::through`].
    ///
    /// # Errors
    /// None.
    ///
    /// # Example
    /// See [`greatest_torque`], which is made with it; no source.
    ///
    /// # Sources
    /// Torque balance at the output.
    #[must_use]
    pub fn direct(
        rotor_inertia: MomentOfInertia,
        load_inertia: MomentOfInertia,
        last_stage_efficiency: Ratio,
    ) -> Self {
        let train = Self {
            ratio: Ratio::from(1.0),
            efficiency: Ratio::from(1.0),
            back_driving_efficiency: Ratio::from(1.0),
            rotor_inertia,
            load_inertia,
            motor_constant: MotorConstant::new::<weber>(1.0),
            no_load_current: ElectricCurrent::default(),
        };
        train.through(last_stage_efficiency)
    }

    /// The same train with a last stage after its output.
    ///
    /// # Formula
    /// η·η_s; back (2 − 1/η_s)·η_back, or (2 − 1/η_s)/η where the stage locks: a load that helps
    /// must then be driven, through the gears the other way
    ///
    /// # Arguments
    /// * `efficiency` η_s of the stage \[1\]
    ///
    /// # Returns
    /// The train seen from before the loss of the stage
    ///
    /// # Validity
    /// 0 < η_s ≤ 1. The ratio of the stage is in load torque, inertia and speed already.
    ///
    /// # Example
    /// Gears of 0.5, back 0, behind a stage of 0.4: 0.2, and back −0.5/0.5 = −1 (no published
    /// value).
    /// ```
    /// use pulsewright_calc::{motion::Drivetrain, units::{ElectricCurrent, MomentOfInertia, MotorConstant,
    /// Ratio}};
    /// let train = Drivetrain {
    ///     ratio: Ratio::from(100.0),
    ///     efficiency: Ratio::from(0.5),
    ///     back_driving_efficiency: Ratio::from(0.0),
    ///     rotor_inertia: MomentOfInertia::default(),
    ///     load_inertia: MomentOfInertia::default(),
    ///     motor_constant: MotorConstant::default(),
    ///     no_load_current: ElectricCurrent::default(),
    /// }
    /// .through(Ratio::from(0.4));
    /// assert!((train.efficiency.value - 0.2).abs() < 1e-15);
    /// assert!((train.back_driving_efficiency.value + 1.0).abs() < 1e-15);
    /// ```
    ///
    /// # Sources
    /// Torque balance of two stages with losses in a row.
    #[must_use]
    pub fn through(self, efficiency: Ratio) -> Self {
        let back = stage_back(efficiency);
        Self {
            efficiency: self.efficiency * efficiency,
            back_driving_efficiency: if back >= 0.0 {
                self.back_driving_efficiency * back
            } else {
                Ratio::from(back) / self.efficiency
            },
            ..self
        }
    }
}

/// What a stage makes of a torque that helps; below 0 it locks.
fn stage_back(efficiency: Ratio) -> f64 {
    2.0 - 1.0 / efficiency.value
}

/// What a move must keep to; a limit left out does not bind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Supply voltage V.
    pub voltage: ElectricPotential,
    /// Current of the bridge.
    pub current: Option<ElectricCurrent>,
    /// Torque that the gears bear at the output.
    pub torque: Option<Torque>,
    /// Efficiency of the stage after the output; 1 without one.
    pub last_stage_efficiency: Ratio,
    /// Speed of the output that pulse rate and edge gap allow.
    pub speed: Option<AngularVelocity>,
}

/// Top of the normalised acceleration of the smooth profile, 10/√3.
const SMOOTH_ACCELERATION: f64 = 5.773_502_691_896_258;

/// Top of the normalised speed of the smooth profile, 15/8.
const SMOOTH_SPEED: f64 = 1.875;

/// Normalised acceleration of the smooth profile, from the middle of the move.
fn smooth_acceleration(s: f64) -> f64 {
    30.0 * s * (4.0 * s * s - 1.0)
}

/// Normalised speed of the smooth profile, from the middle of the move.
fn smooth_speed(s: f64) -> f64 {
    let share = 1.0 - 4.0 * s * s;
    SMOOTH_SPEED * share * share
}

impl Profile {
    /// Ramp fraction held between 0.001 and ½; the smooth profile has none.
    fn ramp(ramp_fraction: Ratio) -> f64 {
        within(ramp_fraction.value, 0.001, 0.5)
    }

    /// Normalised peaks of speed and acceleration.
    fn peaks(self) -> (f64, f64) {
        match self {
            Self::Trapezoid { ramp_fraction } => {
                let ramp = Self::ramp(ramp_fraction);
                let speed = 1.0 / (1.0 - ramp);
                (speed, speed / ramp)
            }
            Self::Smooth => (SMOOTH_SPEED, SMOOTH_ACCELERATION),
        }
    }

    /// Mean of the square of the normalised acceleration.
    fn mean_square_acceleration(self) -> f64 {
        match self {
            Self::Trapezoid { ramp_fraction } => {
                let (_, acceleration) = self.peaks();
                2.0 * Self::ramp(ramp_fraction) * acceleration * acceleration
            }
            Self::Smooth => 120.0 / 7.0,
        }
    }
}

/// Where a move is at a share of its time.
///
/// # Formula
/// Trapezoid with ramp fraction f, v = 1/(1 − f), a = v/f: ½·a·τ², v·(τ − f/2), 1 − ½·a·(1 − τ)².
/// Smooth: 10·τ³ − 15·τ⁴ + 6·τ⁵.
///
/// # Arguments
/// * `profile` the shape
/// * `elapsed` τ = time since the start over the time of the move \[1\], held between 0 and 1
///
/// # Returns
/// Position, speed and acceleration for unit distance and unit time \[1\]
///
/// # Validity
/// Rest to rest; at the corner of a trapezoid the acceleration is that of the ramp.
///
/// # Example
/// Half way in half the time (no published value: symmetry).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::{state_at, Profile}, units::Ratio};
/// let middle = state_at(Profile::Smooth, Ratio::from(0.5));
/// assert!(agrees(middle.position.value, "0.500000"));
/// assert!(agrees(middle.speed.value, "1.875"));
/// ```
///
/// # Sources
/// Lynch & Park, Modern Robotics, 9.2.
#[must_use]
pub fn state_at(profile: Profile, elapsed: Ratio) -> State {
    let share = within(elapsed.value, 0.0, 1.0);
    let (position, speed, acceleration) = match profile {
        Profile::Trapezoid { ramp_fraction } => {
            let ramp = Profile::ramp(ramp_fraction);
            let (top, slope) = profile.peaks();
            let left = 1.0 - share;
            if share <= ramp {
                (0.5 * slope * share * share, slope * share, slope)
            } else if left > ramp {
                (top * (share - 0.5 * ramp), top, 0.0)
            } else {
                (1.0 - 0.5 * slope * left * left, slope * left, -slope)
            }
        }
        Profile::Smooth => (
            share * share * share * (10.0 + share * (6.0 * share - 15.0)),
            smooth_speed(share - 0.5),
            smooth_acceleration(share - 0.5),
        ),
    };
    State {
        position: Ratio::from(position),
        speed: Ratio::from(speed),
        acceleration: Ratio::from(acceleration),
    }
}

/// Greatest speed of a move, at the output.
///
/// # Formula
/// Trapezoid d/(t·(1 − f)); smooth 1.875·d/t
///
/// # Arguments
/// * `motion` profile, distance d \[rad\] and time t \[s\]
///
/// # Returns
/// The peak speed \[rad/s\]
///
/// # Validity
/// t > 0, rest to rest.
///
/// # Example
/// Unit distance in unit time: 1.5 for a third of ramps, 1.875 smooth (Modern Robotics, 9.2).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::*, units::{Angle, Ratio, Time}};
/// use uom::si::{angle::radian, time::second};
/// let unit = |profile| Motion {
///     profile,
///     distance: Angle::new::<radian>(1.0),
///     time: Time::new::<second>(1.0),
/// };
/// let third = Profile::Trapezoid { ramp_fraction: Ratio::from(1.0 / 3.0) };
/// assert!(agrees(peak_speed(unit(third)).value, "1.5"));
/// assert!(agrees(peak_speed(unit(Profile::Smooth)).value, "1.875"));
/// ```
///
/// # Sources
/// Lynch & Park, Modern Robotics, 9.2.
#[must_use]
pub fn peak_speed(motion: Motion) -> AngularVelocity {
    let (speed, _) = motion.profile.peaks();
    AngularVelocity::from(motion.distance / motion.time) * speed
}

/// Greatest acceleration of a move, at the output.
///
/// # Formula
/// Trapezoid v/(f·t) with v the peak speed; smooth (10/√3)·d/t²
///
/// # Arguments
/// * `motion` profile, distance d \[rad\] and time t \[s\]
///
/// # Returns
/// The peak acceleration \[rad/s²\]
///
/// # Validity
/// t > 0, rest to rest; the greatest deceleration is the same.
///
/// # Example
/// Unit distance in unit time: 4.5 for a third of ramps, 5.774 smooth (Modern Robotics, 9.2).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::*, units::{Angle, Ratio, Time}};
/// use uom::si::{angle::radian, time::second};
/// let unit = |profile| Motion {
///     profile,
///     distance: Angle::new::<radian>(1.0),
///     time: Time::new::<second>(1.0),
/// };
/// let third = Profile::Trapezoid { ramp_fraction: Ratio::from(1.0 / 3.0) };
/// assert!(agrees(peak_acceleration(unit(third)).value, "4.5"));
/// assert!(agrees(peak_acceleration(unit(Profile::Smooth)).value, "5.774"));
/// ```
///
/// # Sources
/// Lynch & Park, Modern Robotics, 9.2.
#[must_use]
pub fn peak_acceleration(motion: Motion) -> AngularAcceleration {
    let (_, acceleration) = motion.profile.peaks();
    AngularAcceleration::from(motion.distance / motion.time / motion.time) * acceleration
}

/// Speed along the travel of a linear axis.
///
/// # Formula
/// v = ω·s/(2π)
///
/// # Arguments
/// * `speed` ω of the output \[rad/s\]
/// * `travel_per_turn` s \[m\]
///
/// # Returns
/// v \[m/s\]
///
/// # Validity
/// Any.
///
/// # Example
/// One turn a second of 40 mm travel: 40 mm/s (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::travel_speed, units::{AngularVelocity, Length}};
/// use uom::si::{angular_velocity::revolution_per_second, length::millimeter};
/// let speed = travel_speed(
///     AngularVelocity::new::<revolution_per_second>(1.0),
///     Length::new::<millimeter>(40.0),
/// );
/// assert!(agrees(speed.value, "0.0400"));
/// ```
///
/// # Sources
/// Definition of the travel per turn.
#[must_use]
pub fn travel_speed(speed: AngularVelocity, travel_per_turn: Length) -> Velocity {
    let turns: uom::si::f64::Frequency = speed.into();
    turns * travel_per_turn / core::f64::consts::TAU
}

/// Acceleration along the travel of a linear axis.
///
/// # Formula
/// a = α·s/(2π)
///
/// # Arguments
/// * `acceleration` α of the output \[rad/s²\]
/// * `travel_per_turn` s \[m\]
///
/// # Returns
/// a \[m/s²\]
///
/// # Validity
/// Any.
///
/// # Example
/// 2π rad/s² at 40 mm a turn: 0.04 m/s² (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::travel_acceleration, units::{AngularAcceleration, Length}};
/// use uom::si::{angular_acceleration::radian_per_second_squared, length::millimeter};
/// let acceleration = travel_acceleration(
///     AngularAcceleration::new::<radian_per_second_squared>(core::f64::consts::TAU),
///     Length::new::<millimeter>(40.0),
/// );
/// assert!(agrees(acceleration.value, "0.0400"));
/// ```
///
/// # Sources
/// Definition of the travel per turn.
#[must_use]
pub fn travel_acceleration(
    acceleration: AngularAcceleration,
    travel_per_turn: Length,
) -> Acceleration {
    acceleration * travel_per_turn / core::f64::consts::TAU
}

/// Motor current against acceleration: two straight lines that meet where the gears change from
/// driving to being driven. It is convex, for η_back ≤ η ≤ 1/η.
#[derive(Clone, Copy)]
struct CurrentLine {
    /// Current at no acceleration and its slope, motor driving.
    driving: (f64, f64),
    /// The same, load driving.
    driven: (f64, f64),
    load_torque: f64,
    load_inertia: f64,
}

impl CurrentLine {
    fn new(train: &Drivetrain, load_torque: Torque) -> Self {
        let (ratio, constant) = (train.ratio.value, train.motor_constant.value);
        let rotor = train.rotor_inertia.value * ratio / constant;
        let line = |gain: f64| {
            (
                load_torque.value * gain + train.no_load_current.value,
                train.load_inertia.value * gain + rotor,
            )
        };
        Self {
            driving: line(1.0 / (ratio * train.efficiency.value * constant)),
            driven: line(train.back_driving_efficiency.value / (ratio * constant)),
            load_torque: load_torque.value,
            load_inertia: train.load_inertia.value,
        }
    }

    fn branch(&self, acceleration: f64) -> (f64, f64) {
        if self.load_torque + self.load_inertia * acceleration >= 0.0 {
            self.driving
        } else {
            self.driven
        }
    }

    fn at(&self, acceleration: f64) -> f64 {
        let (constant, slope) = self.branch(acceleration);
        constant + slope * acceleration
    }

    /// Greatest size of its slope.
    fn steepest(&self) -> f64 {
        self.driving.1.abs().max(self.driven.1.abs())
    }

    /// Acceleration at which the load begins to drive; not finite where the load has no inertia.
    fn kink(&self) -> f64 {
        -self.load_torque / self.load_inertia
    }

    /// Accelerations at which the current of either line is zero; not finite for a level line.
    fn zeros(&self) -> [f64; 2] {
        [self.driving, self.driven].map(|(constant, slope)| -constant / slope)
    }

    /// Least and greatest current for accelerations up to ± `peak`.
    fn range(&self, peak: f64) -> (f64, f64) {
        let ends = (self.at(peak), self.at(-peak));
        let (low, high) = (ends.0.min(ends.1), ends.0.max(ends.1));
        let kink = self.kink();
        if kink.abs() < peak {
            let middle = self.at(kink);
            (low.min(middle), high.max(middle))
        } else {
            (low, high)
        }
    }
}

/// Where to split a smooth move, ascending; at most ten kinks and zeros of the current and four
/// zeros of the voltage between each two of them.
#[derive(Clone, Copy)]
struct Splits {
    at: [f64; 64],
    count: usize,
}

impl Splits {
    fn ends() -> Self {
        let mut at = [0.5; 64];
        at[0] = -0.5;
        Self { at, count: 2 }
    }

    /// Inserts a point inside the move, in order.
    fn insert(&mut self, point: f64) {
        if !(point > -0.5 && point < 0.5) || self.count >= self.at.len() {
            return;
        }
        let mut index = self.count;
        while index > 0 && self.at[index - 1] > point {
            self.at[index] = self.at[index - 1];
            index -= 1;
        }
        self.at[index] = point;
        self.count += 1;
    }

    fn pieces(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.at[..self.count]
            .windows(2)
            .map(|pair| (pair[0], pair[1]))
    }
}

/// Gauss–Legendre sum of four points, exact for polynomials up to degree 7 (Abramowitz & Stegun,
/// table 25.4).
fn gauss(low: f64, high: f64, function: impl Fn(f64) -> f64) -> f64 {
    const POINTS: [(f64, f64); 2] = [
        (0.339_981_043_584_856_3, 0.652_145_154_862_546_1),
        (0.861_136_311_594_052_6, 0.347_854_845_137_453_85),
    ];
    let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
    POINTS
        .iter()
        .map(|&(x, weight)| weight * (function(middle - half * x) + function(middle + half * x)))
        .sum::<f64>()
        * half
}

/// The three angles' cosines of a cubic with three real roots: cos((acos x + 2πk)/3).
fn thirds(x: f64) -> [f64; 3] {
    let angle = libm::acos(within(x, -1.0, 1.0)) / 3.0;
    let (sine, cosine) = (libm::sin(angle), libm::cos(angle));
    let turned = 0.5 * 3.0_f64.sqrt() * sine;
    [cosine, -0.5 * cosine - turned, -0.5 * cosine + turned]
}

/// Three numbers in order.
fn ascending([a, b, c]: [f64; 3]) -> [f64; 3] {
    let (low, high) = (a.min(b), a.max(b));
    [low.min(c), low.max(c.min(high)), high.max(c)]
}

/// A smooth move in numbers: current, speed and power from the middle of the move, s = τ − ½.
#[derive(Clone, Copy)]
struct SmoothMove {
    line: CurrentLine,
    /// d/t² and d/t.
    acceleration: f64,
    speed: f64,
    time: f64,
    /// Ke·N and the resistance.
    emf: f64,
    resistance: f64,
}

impl SmoothMove {
    fn current(&self, s: f64) -> f64 {
        self.line.at(self.acceleration * smooth_acceleration(s))
    }

    fn back_emf(&self, s: f64) -> f64 {
        self.emf * self.speed * smooth_speed(s)
    }

    fn voltage(&self, s: f64) -> f64 {
        self.current(s) * self.resistance + self.back_emf(s)
    }

    fn power(&self, s: f64) -> f64 {
        let current = self.current(s);
        current * (current * self.resistance + self.back_emf(s))
    }

    fn power_slope(&self, s: f64) -> f64 {
        let (constant, slope) = self.line.branch(self.acceleration * smooth_acceleration(s));
        let current = constant + slope * self.acceleration * smooth_acceleration(s);
        let current_slope = slope * self.acceleration * 30.0 * (12.0 * s * s - 1.0);
        (2.0 * current * self.resistance + self.back_emf(s)) * current_slope
            + self.emf * self.speed * smooth_acceleration(s) * current
    }

    /// Moments at which the acceleration has a value: 120·s³ − 30·s = value/(d/t²).
    fn moments_of(&self, acceleration: f64) -> [f64; 3] {
        let share = acceleration / (self.acceleration * SMOOTH_ACCELERATION);
        if share.abs() <= 1.0 {
            thirds(share).map(|cosine| cosine / 3.0_f64.sqrt())
        } else {
            [f64::NAN; 3]
        }
    }

    /// Moments at which R·i + Ke·N·ω is stationary for a current of this slope against
    /// acceleration: s³ + 3κ·s² − s/4 − κ/4 = 0 with κ = R·slope/(Ke·N·t); always three roots.
    fn stationary_voltage(&self, slope: f64) -> [f64; 3] {
        let kappa = self.resistance * slope / (self.emf * self.time);
        let third = 1.0 / 12.0 + kappa * kappa;
        let radius = third.sqrt();
        thirds(-kappa * kappa * kappa / (third * radius)).map(|cosine| {
            let s = 2.0 * radius * cosine - kappa;
            // One Newton step repairs the cancellation at large κ.
            let value = s * (s * (s + 3.0 * kappa) - 0.25) - 0.25 * kappa;
            let tangent = s * (3.0 * s + 6.0 * kappa) - 0.25;
            if tangent == 0.0 {
                s
            } else {
                s - value / tangent
            }
        })
    }

    fn kinks(&self) -> Splits {
        let mut splits = Splits::ends();
        for s in self.moments_of(self.line.kink()) {
            splits.insert(s);
        }
        splits
    }

    /// Splits between which neither current nor voltage, hence not the power, changes sign.
    fn signs(&self) -> Splits {
        let mut splits = self.kinks();
        for zero in self.line.zeros() {
            for s in self.moments_of(zero) {
                splits.insert(s);
            }
        }
        let outer = splits;
        for (low, high) in outer.pieces() {
            let middle = 0.5 * (low + high);
            if self.current(middle) >= 0.0 {
                continue;
            }
            let (_, slope) = self
                .line
                .branch(self.acceleration * smooth_acceleration(middle));
            let turns = ascending(self.stationary_voltage(slope));
            let mut from = low;
            for to in turns.into_iter().chain([high]) {
                let to = within(to, from, high);
                if let Some(s) = bracketed(|s| self.voltage(s), from, to, 1e-12, 40) {
                    splits.insert(s);
                }
                from = to;
            }
        }
        splits
    }

    fn squared_current(&self) -> f64 {
        if self.line.kink().abs() >= self.acceleration * SMOOTH_ACCELERATION {
            let (constant, slope) = self.line.branch(0.0);
            let change = slope * self.acceleration;
            let swing = change * change * Profile::Smooth.mean_square_acceleration();
            return (constant * constant + swing) * self.time;
        }
        let total: f64 = self
            .kinks()
            .pieces()
            .map(|(low, high)| {
                gauss(low, high, |s| {
                    let current = self.current(s);
                    current * current
                })
            })
            .sum();
        total * self.time
    }

    fn drawn_energy(&self) -> f64 {
        let (least, _) = self.line.range(self.acceleration * SMOOTH_ACCELERATION);
        let splits = if least >= 0.0 {
            self.kinks()
        } else {
            self.signs()
        };
        let total: f64 = splits
            .pieces()
            .filter(|(low, high)| self.power(0.5 * (low + high)) > 0.0)
            .map(|(low, high)| gauss(low, high, |s| self.power(s)))
            .sum();
        total * self.time
    }

    fn regenerated_energy(&self, own_draw: f64) -> f64 {
        let (least, _) = self.line.range(self.acceleration * SMOOTH_ACCELERATION);
        if least >= 0.0 {
            return 0.0;
        }
        let surplus = |s: f64| -self.power(s) - own_draw;
        let total: f64 = self
            .signs()
            .pieces()
            .filter(|(low, high)| self.power(0.5 * (low + high)) < 0.0)
            .map(|(low, high)| {
                if own_draw <= 0.0 {
                    return gauss(low, high, surplus);
                }
                // The surplus is one lobe or none; its ends are found between sixteen samples.
                let step = (high - low) / 16.0;
                let (mut sum, mut from) = (0.0, low);
                for index in 1..=16_u8 {
                    let to = low + step * f64::from(index);
                    let left = from;
                    from = to;
                    sum += match (surplus(left) > 0.0, surplus(to) > 0.0) {
                        (true, true) => gauss(left, to, surplus),
                        (false, false) => 0.0,
                        (rising, _) => match bracketed(surplus, left, to, 1e-12, 40) {
                            Some(root) if rising => gauss(left, root, surplus),
                            Some(root) => gauss(root, to, surplus),
                            None => 0.0,
                        },
                    };
                }
                sum
            })
            .sum();
        total * self.time
    }

    /// The greatest power, or of the sign −1 the greatest that is returned.
    fn greatest_power(&self, sign: f64) -> f64 {
        let power = |s: f64| sign * self.power(s);
        let mut best = -0.5;
        let mut at_best = power(best);
        let mut consider = |s: f64, value: f64| {
            if value > at_best {
                (best, at_best) = (s, value);
            }
        };
        for index in 1..=16_u8 {
            let s = f64::from(index) / 16.0 - 0.5;
            consider(s, power(s));
        }
        for s in self.moments_of(self.line.kink()) {
            if s.abs() <= 0.5 {
                consider(s, power(s));
            }
        }
        let (low, high) = ((best - 1.0 / 16.0).max(-0.5), (best + 1.0 / 16.0).min(0.5));
        bracketed(|s| self.power_slope(s), low, high, 1e-7, 40)
            .map_or(at_best, |s| power(s).max(at_best))
    }

    /// Moment at which R·i + Ke·N·ω is greatest for a current of this slope against acceleration:
    /// the one root of [`Self::stationary_voltage`] in the half of the move where R·i rises first.
    fn greatest_voltage(&self, slope: f64) -> f64 {
        let kappa = self.resistance * slope / (self.emf * self.time);
        // Right at both ends of κ and within 3 % between them; two steps of Halley make it exact.
        let mut s = -kappa / (1.0 + 12.0 * kappa * kappa).sqrt();
        for _ in 0..2 {
            let value = s * (s * (s + 3.0 * kappa) - 0.25) - 0.25 * kappa;
            let tangent = s * (3.0 * s + 6.0 * kappa) - 0.25;
            let bend = 3.0 * (s + kappa);
            s -= value * tangent / (tangent * tangent - value * bend);
        }
        s
    }

    /// Greatest R·max(i, 0) + Ke·N·ω. Where the current passes through zero it bends upwards, which
    /// is no maximum.
    fn voltage_demand(&self) -> f64 {
        let demand = |s: f64| self.resistance * self.current(s).max(0.0) + self.back_emf(s);
        let mut most = demand(-0.5).max(demand(0.0)).max(demand(0.5));
        let mut consider = |s: f64| {
            if s.abs() < 0.5 {
                most = most.max(demand(s));
            }
        };
        let kink = self.line.kink();
        if kink.abs() < self.acceleration * SMOOTH_ACCELERATION {
            consider(self.greatest_voltage(self.line.driving.1));
            consider(self.greatest_voltage(self.line.driven.1));
            for s in self.moments_of(kink) {
                consider(s);
            }
        } else {
            consider(self.greatest_voltage(self.line.branch(0.0).1));
        }
        most.max(0.0)
    }
}

/// One stretch of a trapezoid: time, back-EMF at its ends, current.
#[derive(Clone, Copy)]
struct Segment {
    time: f64,
    back_emf: (f64, f64),
    current: f64,
}

impl Segment {
    /// Power at its ends, between which it is linear.
    fn power(&self, resistance: f64) -> (f64, f64) {
        let copper = self.current * self.current * resistance;
        (
            copper + self.back_emf.0 * self.current,
            copper + self.back_emf.1 * self.current,
        )
    }
}

/// Mean of the positive part of a quantity that runs linearly between two values.
fn mean_positive(from: f64, to: f64) -> f64 {
    let (low, high) = (from.min(to), from.max(to));
    if low >= 0.0 {
        0.5 * (low + high)
    } else if high <= 0.0 {
        0.0
    } else {
        0.5 * high * high / (high - low)
    }
}

/// A move of an arm by its angle, in numbers: its load changes at every moment, so that what the move
/// asks is found piece by piece.
#[derive(Clone, Copy)]
struct SwungMove {
    train: Drivetrain,
    profile: Profile,
    /// Distance and time.
    distance: f64,
    time: f64,
    /// Torque of the level arm, what does not change, angle at the start and angle turned.
    crest: f64,
    steady: f64,
    start: f64,
    travel: f64,
    resistance: f64,
}

/// One stretch of a move within which nothing jumps, from and to shares of its time.
type Stretch = (f64, f64);

/// Cells into which a stretch is cut; within each the load is as good as a polynomial.
const CELLS: u8 = 32;

impl SwungMove {
    /// The stretches: ramp, steady, ramp; the smooth profile has one.
    fn stretches(&self) -> [Stretch; 3] {
        match self.profile {
            Profile::Trapezoid { ramp_fraction } => {
                let ramp = Profile::ramp(ramp_fraction);
                [(0.0, ramp), (ramp, 1.0 - ramp), (1.0 - ramp, 1.0)]
            }
            Profile::Smooth => [(0.0, 1.0), (1.0, 1.0), (1.0, 1.0)],
        }
    }

    /// Position, speed and acceleration for unit distance and time, at a moment of a stretch.
    fn state(&self, stretch: usize, moment: f64) -> (f64, f64, f64) {
        match self.profile {
            Profile::Trapezoid { ramp_fraction } => {
                let ramp = Profile::ramp(ramp_fraction);
                let top = 1.0 / (1.0 - ramp);
                let steep = top / ramp;
                let left = 1.0 - moment;
                match stretch {
                    0 => (0.5 * steep * moment * moment, steep * moment, steep),
                    1 => (top * (moment - 0.5 * ramp), top, 0.0),
                    _ => (1.0 - 0.5 * steep * left * left, steep * left, -steep),
                }
            }
            Profile::Smooth => {
                let s = moment - 0.5;
                let way = moment * moment * moment * (10.0 + moment * (6.0 * moment - 15.0));
                (way, smooth_speed(s), smooth_acceleration(s))
            }
        }
    }

    /// Torque at the output, current and back-EMF at a moment of a stretch.
    fn at(&self, stretch: usize, moment: f64) -> (f64, f64, f64) {
        let (way, speed, acceleration) = self.state(stretch, moment);
        let acceleration = acceleration * self.distance / (self.time * self.time);
        let load = self.steady + self.crest * libm::cos(self.start + self.travel * way);
        let train = &self.train;
        let (ratio, constant) = (train.ratio.value, train.motor_constant.value);
        let torque = load + train.load_inertia.value * acceleration;
        let gear = if torque >= 0.0 {
            torque / (ratio * train.efficiency.value)
        } else {
            torque * train.back_driving_efficiency.value / ratio
        };
        let rotor = train.rotor_inertia.value * ratio * acceleration;
        let current = (gear + rotor) / constant + train.no_load_current.value;
        (
            torque,
            current,
            constant * ratio * speed * self.distance / self.time,
        )
    }

    fn power(&self, stretch: usize, moment: f64) -> f64 {
        let (_, current, back_emf) = self.at(stretch, moment);
        current * (current * self.resistance + back_emf)
    }

    /// The integral over the move of a function that bends where one of `signs` changes its own.
    fn integral(
        &self,
        signs: &[&dyn Fn(usize, f64) -> f64],
        function: &dyn Fn(usize, f64) -> f64,
    ) -> f64 {
        fn over(
            stretch: usize,
            (low, high): Stretch,
            signs: &[&dyn Fn(usize, f64) -> f64],
            function: &dyn Fn(usize, f64) -> f64,
        ) -> f64 {
            let Some((sign, others)) = signs.split_first() else {
                return gauss(low, high, |moment| function(stretch, moment));
            };
            if (sign(stretch, low) > 0.0) != (sign(stretch, high) > 0.0)
                && let Some(root) = bracketed(|at| sign(stretch, at), low, high, 1e-13, 60)
            {
                return over(stretch, (low, root), others, function)
                    + over(stretch, (root, high), others, function);
            }
            over(stretch, (low, high), others, function)
        }
        let mut sum = 0.0;
        for (stretch, (low, high)) in self.stretches().into_iter().enumerate() {
            if high <= low {
                continue;
            }
            let width = (high - low) / f64::from(CELLS);
            for cell in 0..CELLS {
                let from = low + width * f64::from(cell);
                sum += over(stretch, (from, from + width), signs, function);
            }
        }
        sum * self.time
    }

    /// The greatest value of a function over the move: every cell's end that its neighbours do not
    /// pass is followed to its crest.
    fn greatest(&self, function: impl Fn(usize, f64) -> f64) -> f64 {
        let mut greatest = f64::NEG_INFINITY;
        for (stretch, (low, high)) in self.stretches().into_iter().enumerate() {
            if high <= low {
                continue;
            }
            let width = (high - low) / f64::from(CELLS);
            let at = |cell: u8| (low + width * f64::from(cell)).min(high);
            let (mut before, mut here) = (f64::NEG_INFINITY, function(stretch, low));
            for cell in 0..=CELLS {
                let after = if cell < CELLS {
                    function(stretch, at(cell + 1))
                } else {
                    f64::NEG_INFINITY
                };
                greatest = greatest.max(here);
                if here >= before && here >= after {
                    let ends = (at(cell.saturating_sub(1)), at((cell + 1).min(CELLS)));
                    greatest = greatest.max(crest_between(|s| function(stretch, s), ends));
                }
                (before, here) = (here, after);
            }
        }
        greatest
    }

    fn peak_current(&self) -> f64 {
        self.greatest(|stretch, moment| self.at(stretch, moment).1.abs())
    }

    fn voltage_demand(&self) -> f64 {
        self.greatest(|stretch, moment| {
            let (_, current, back_emf) = self.at(stretch, moment);
            self.resistance * current.max(0.0) + back_emf
        })
        .max(0.0)
    }

    fn squared_current(&self) -> f64 {
        self.integral(&[&|stretch, s| self.at(stretch, s).0], &|stretch, s| {
            let current = self.at(stretch, s).1;
            current * current
        })
    }

    fn energy_above(&self, sign: f64, own_draw: f64) -> f64 {
        let surplus = |stretch: usize, s: f64| sign * self.power(stretch, s) - own_draw;
        self.integral(
            &[&|stretch, s| self.at(stretch, s).0, &surplus],
            &|stretch, s| surplus(stretch, s).max(0.0),
        )
    }
}

/// The greatest value of a function with one crest between two places (golden section).
fn crest_between(function: impl Fn(f64) -> f64, (mut low, mut high): (f64, f64)) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let (mut left, mut right) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_left, mut at_right) = (function(left), function(right));
    for _ in 0..50 {
        if at_left >= at_right {
            (high, right, at_right) = (right, left, at_left);
            left = high - GOLDEN * (high - low);
            at_left = function(left);
        } else {
            (low, left, at_left) = (left, right, at_right);
            right = low + GOLDEN * (high - low);
            at_right = function(right);
        }
    }
    at_left.max(at_right)
}

/// A move in numbers.
enum Course {
    Trapezoid([Segment; 3], f64),
    Smooth(SmoothMove),
    Swung(SwungMove),
}

impl Course {
    fn new(
        train: &Drivetrain,
        motion: Motion,
        load: MoveLoad,
        resistance: ElectricalResistance,
    ) -> Self {
        match load {
            MoveLoad::Steady(torque) => {
                Self::on(CurrentLine::new(train, torque), train, motion, resistance)
            }
            MoveLoad::Swing {
                crest,
                steady,
                start,
                travel,
            } => Self::Swung(SwungMove {
                train: *train,
                profile: motion.profile,
                distance: motion.distance.value,
                time: motion.time.value,
                crest: crest.value,
                steady: steady.value,
                start: start.value,
                travel: travel.value,
                resistance: resistance.value,
            }),
        }
    }

    fn on(
        line: CurrentLine,
        train: &Drivetrain,
        motion: Motion,
        resistance: ElectricalResistance,
    ) -> Self {
        let emf = train.motor_constant.value * train.ratio.value;
        let time = motion.time.value;
        match motion.profile {
            Profile::Trapezoid { ramp_fraction } => {
                let ramp = Profile::ramp(ramp_fraction);
                let top = emf * peak_speed(motion).value;
                let acceleration = peak_acceleration(motion).value;
                let segment = |share: f64, back_emf, acceleration| Segment {
                    time: share * time,
                    back_emf,
                    current: line.at(acceleration),
                };
                Self::Trapezoid(
                    [
                        segment(ramp, (0.0, top), acceleration),
                        segment(1.0 - 2.0 * ramp, (top, top), 0.0),
                        segment(ramp, (top, 0.0), -acceleration),
                    ],
                    resistance.value,
                )
            }
            Profile::Smooth => {
                let speed = motion.distance.value / time;
                Self::Smooth(SmoothMove {
                    line,
                    acceleration: speed / time,
                    speed,
                    time,
                    emf,
                    resistance: resistance.value,
                })
            }
        }
    }

    fn peak_current(&self) -> f64 {
        match self {
            Self::Trapezoid(segments, _) => segments
                .iter()
                .filter(|segment| segment.time > 0.0)
                .map(|segment| segment.current.abs())
                .fold(0.0, f64::max),
            Self::Smooth(course) => {
                let (low, high) = course.line.range(course.acceleration * SMOOTH_ACCELERATION);
                high.max(-low)
            }
            Self::Swung(course) => course.peak_current(),
        }
    }

    fn voltage_demand(&self) -> f64 {
        match self {
            Self::Trapezoid(segments, resistance) => segments
                .iter()
                .filter(|segment| segment.time > 0.0)
                .map(|segment| {
                    segment.back_emf.0.max(segment.back_emf.1)
                        + resistance * segment.current.max(0.0)
                })
                .fold(0.0, f64::max),
            Self::Smooth(course) => course.voltage_demand(),
            Self::Swung(course) => course.voltage_demand(),
        }
    }
}

/// Motor current at one acceleration of the output.
///
/// # Formula
/// i = (g + J_r·N·α)/Kt + I0, with T = T_L + J_L·α: g = T/(N·η) for T ≥ 0, else T·η_back/N
///
/// # Arguments
/// * `train` the drivetrain
/// * `load_torque` T_L, positive where it must be driven \[N·m\]
/// * `acceleration` α of the output in the direction of motion \[rad/s²\]
///
/// # Returns
/// i, negative where the motor brakes \[A\]
///
/// # Validity
/// Moving forward: I0 opposes motion. Gears that lock (η_back ≤ 0) must be driven down too.
///
/// # Example
/// 50 N·m through 10:1 of efficiency 0.9 are 5.556 N·m at the motor (J. B. Gupta, Elements of
/// Electric Drives, Ex. 3, p. 18); with a constant of 1 N·m/A as many amperes.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motion::*;
/// use pulsewright_calc::units::{AngularAcceleration, ElectricCurrent, MotorConstant, MomentOfInertia, Ratio,
/// Torque};
/// use uom::si::{angular_acceleration::radian_per_second_squared, electric_current::ampere};
/// use uom::si::{magnetic_flux::weber, moment_of_inertia::kilogram_square_meter};
/// use uom::si::torque::newton_meter;
/// let train = Drivetrain {
///     ratio: Ratio::from(10.0),
///     efficiency: Ratio::from(0.9),
///     back_driving_efficiency: Ratio::from(0.889),
///     rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(0.4),
///     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(10.0),
///     motor_constant: MotorConstant::new::<weber>(1.0),
///     no_load_current: ElectricCurrent::new::<ampere>(0.0),
/// };
/// let current = motor_current(
///     &train,
///     Torque::new::<newton_meter>(50.0),
///     AngularAcceleration::new::<radian_per_second_squared>(0.0),
/// );
/// assert!(agrees(current.value, "5.556"));
/// ```
///
/// # Sources
/// Torque balance at the motor shaft; back-driving efficiency: see `gears`.
#[must_use]
pub fn motor_current(
    train: &Drivetrain,
    load_torque: Torque,
    acceleration: AngularAcceleration,
) -> ElectricCurrent {
    ElectricCurrent::new::<ampere>(CurrentLine::new(train, load_torque).at(acceleration.value))
}

/// Greatest current of a move, whichever its sign.
///
/// # Formula
/// max |i|
///
/// # Arguments
/// * `train` the drivetrain
/// * `motion` the move
/// * `load` T_L in its direction, the same all the way or that of an arm by its angle \[N·m\]
///
/// # Returns
/// The peak current \[A\]
///
/// # Validity
/// As [`motor_current`]; exact for both profiles, because the current is linear in acceleration
/// but for one kink.
///
/// # Example
/// The move of [`rms_current`]'s example: 4 mN·m and 2·10⁻⁶ kg·m² over 837.76 rad/s² are 5.6755
/// mN·m
/// (no published value: arithmetic); at 1 N·m/A as many amperes.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motion::*;
/// # use pulsewright_calc::units::{Angle, ElectricCurrent, MomentOfInertia, MotorConstant, Ratio, Time,
/// Torque};
/// # use uom::si::{angle::revolution, electric_current::ampere, magnetic_flux::weber};
/// # use uom::si::{moment_of_inertia::kilogram_square_meter, time::millisecond,
/// torque::newton_meter};
/// # let train = Drivetrain {
/// #     ratio: Ratio::from(1.0),
/// #     efficiency: Ratio::from(1.0),
/// #     back_driving_efficiency: Ratio::from(1.0),
/// #     rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(2e-6),
/// #     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(0.0),
/// #     motor_constant: MotorConstant::new::<weber>(1.0),
/// #     no_load_current: ElectricCurrent::new::<ampere>(0.0),
/// # };
/// # let motion = Motion {
/// #     profile: Profile::Trapezoid { ramp_fraction: Ratio::from(0.25) },
/// #     distance: Angle::new::<revolution>(1.0),
/// #     time: Time::new::<millisecond>(200.0),
/// # };
/// let peak = peak_current(&train, motion, Torque::new::<newton_meter>(4e-3));
/// assert!(agrees(peak.value * 1e3, "5.6755"));
/// ```
///
/// # Sources
/// [`motor_current`].
#[must_use]
pub fn peak_current(
    train: &Drivetrain,
    motion: Motion,
    load: impl Into<MoveLoad>,
) -> ElectricCurrent {
    let course = Course::new(train, motion, load.into(), ElectricalResistance::default());
    ElectricCurrent::new::<ampere>(course.peak_current())
}

/// Root-mean-square current of a move, without its dwell.
///
/// # Formula
/// I = √(∫i² dt / t)
///
/// # Arguments
/// * `train` the drivetrain
/// * `motion` the move
/// * `load` T_L in its direction, the same all the way or that of an arm by its angle \[N·m\]
///
/// # Returns
/// I \[A\]
///
/// # Validity
/// As [`motor_current`]; exact for both profiles.
///
/// # Example
/// 2·10⁻⁶ kg·m² and 4 mN·m, one turn in 50 + 100 + 50 ms, 100 ms at rest: 3.4062 mN·m; with a
/// constant of 1 N·m/A as many amperes.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motion::*;
/// use pulsewright_calc::units::{Angle, ElectricCurrent, MomentOfInertia, MotorConstant, Ratio, Time, Torque};
/// use uom::si::{angle::revolution, electric_current::ampere, magnetic_flux::weber};
/// use uom::si::{moment_of_inertia::kilogram_square_meter, time::millisecond,
/// torque::newton_meter};
/// let train = Drivetrain {
///     ratio: Ratio::from(1.0),
///     efficiency: Ratio::from(1.0),
///     back_driving_efficiency: Ratio::from(1.0),
///     rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(2e-6),
///     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(0.0),
///     motor_constant: MotorConstant::new::<weber>(1.0),
///     no_load_current: ElectricCurrent::new::<ampere>(0.0),
/// };
/// let motion = Motion {
///     profile: Profile::Trapezoid { ramp_fraction: Ratio::from(0.25) },
///     distance: Angle::new::<revolution>(1.0),
///     time: Time::new::<millisecond>(200.0),
/// };
/// let moving = rms_current(&train, motion, Torque::new::<newton_meter>(4e-3));
/// let rest = ElectricCurrent::new::<ampere>(0.0);
/// let all = rms_with_dwell(moving, rest, motion.time, Time::new::<millisecond>(100.0));
/// assert!(agrees(all.value * 1e3, "3.4062"));
/// ```
///
/// # Sources
/// Any servo handbook; the sum over segments.
#[must_use]
pub fn rms_current(
    train: &Drivetrain,
    motion: Motion,
    load: impl Into<MoveLoad>,
) -> ElectricCurrent {
    let course = Course::new(train, motion, load.into(), ElectricalResistance::default());
    let squared = match &course {
        Course::Trapezoid(segments, _) => segments
            .iter()
            .map(|segment| segment.current * segment.current * segment.time)
            .sum(),
        Course::Smooth(course) => course.squared_current(),
        Course::Swung(course) => course.squared_current(),
    };
    ElectricCurrent::new::<ampere>((squared / motion.time.value).sqrt())
}

/// Root-mean-square current of a move and the dwell after it.
///
/// # Formula
/// √((I²·t + I_d²·t_d)/(t + t_d))
///
/// # Arguments
/// * `moving` I, root mean square over the move \[A\]
/// * `dwell_current` I_d \[A\]
/// * `time` t of the move \[s\]
/// * `dwell` t_d \[s\]
///
/// # Returns
/// The root-mean-square current \[A\]
///
/// # Validity
/// t > 0, t_d ≥ 0.
///
/// # Example
/// 3 A for 1 s, then 1 A for 3 s: 1.7321 A (no published value: arithmetic). See also
/// [`rms_current`].
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::rms_with_dwell, units::{ElectricCurrent, Time}};
/// use uom::si::{electric_current::ampere, time::second};
/// let (amperes, seconds) = (ElectricCurrent::new::<ampere>, Time::new::<second>);
/// let rms = rms_with_dwell(amperes(3.0), amperes(1.0), seconds(1.0), seconds(3.0));
/// assert!(agrees(rms.value, "1.7321"));
/// ```
///
/// # Sources
/// Definition of the root mean square.
#[must_use]
pub fn rms_with_dwell(
    moving: ElectricCurrent,
    dwell_current: ElectricCurrent,
    time: Time,
    dwell: Time,
) -> ElectricCurrent {
    ((moving * moving * time + dwell_current * dwell_current * dwell) / (time + dwell)).sqrt()
}

/// Root-mean-square current of a cycle from those of its halves, each with its dwell.
///
/// # Formula
/// Both ways √((I_a² + I_w²)/2), because the halves last equally long
///
/// # Arguments
/// * `direction` which halves are in the cycle
/// * `against`, `with` root mean square over the move against and with the load and its dwell \[A\]
///
/// # Returns
/// The root-mean-square current \[A\]
///
/// # Validity
/// Any.
///
/// # Example
/// 3 A and 4 A: 3.536 A (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::{rms_of_cycle, Direction}, units::ElectricCurrent};
/// use uom::si::electric_current::ampere;
/// let amperes = ElectricCurrent::new::<ampere>;
/// let rms = rms_of_cycle(Direction::Both, amperes(3.0), amperes(4.0));
/// assert!(agrees(rms.value, "3.536"));
/// ```
///
/// # Sources
/// Definition of the root mean square.
#[must_use]
pub fn rms_of_cycle(
    direction: Direction,
    against: ElectricCurrent,
    with: ElectricCurrent,
) -> ElectricCurrent {
    direction.mean(against * against, with * with).sqrt()
}

/// Greatest torque that the gears pass on to the load during a move.
///
/// # Formula
/// max((J_L·α̂ + T_L)/η_s, (J_L·α̂ − T_L)·|2 − 1/η_s|), for the deceleration is as great as the
/// acceleration; |T_L| + J_L·α̂ for η_s = 1
///
/// # Arguments
/// * `load_torque` T_L, before the loss of a last stage \[N·m\]
/// * `load_inertia` J_L \[kg·m²\]
/// * `peak_acceleration` α̂ \[rad/s²\]
/// * `last_stage_efficiency` η_s of a stage after the output; 1 without one \[1\]
///
/// # Returns
/// The peak torque at the output \[N·m\]
///
/// # Validity
/// The backlash is taken up; impacts in it are not counted.
///
/// # Example
/// 3·10⁻⁴ kg·m² over 314.16 rad/s² against 0.05 N·m: 0.1442 N·m (Burman, Special Electrical
/// Machines, Ex. 3.12, p. 195).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motion::peak_torque;
/// use pulsewright_calc::units::{AngularAcceleration, MomentOfInertia, Ratio, Torque};
/// use uom::si::{angular_acceleration::radian_per_second_squared, torque::newton_meter};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let torque = peak_torque(
///     Torque::new::<newton_meter>(0.05),
///     MomentOfInertia::new::<kilogram_square_meter>(3e-4),
///     AngularAcceleration::new::<radian_per_second_squared>(314.16),
///     Ratio::from(1.0),
/// );
/// assert!(agrees(torque.value, "0.1442"));
/// ```
///
/// # Sources
/// Torque balance at the output.
#[must_use]
pub fn peak_torque(
    load_torque: Torque,
    load_inertia: MomentOfInertia,
    peak_acceleration: AngularAcceleration,
    last_stage_efficiency: Ratio,
) -> Torque {
    let inertial = Torque::from(load_inertia * peak_acceleration);
    let driving: Torque = ((inertial + load_torque) / last_stage_efficiency).into();
    driving.max((inertial - load_torque) * stage_back(last_stage_efficiency).abs())
}

/// Greatest torque at the output over a move, whichever its sign.
///
/// # Formula
/// max over the move of |T|, T = T_L + J_L·α; through a last stage T = (T_L + J_L·α)/η_s when that is
/// ≥ 0, else (T_L + J_L·α)·(2 − 1/η_s)
///
/// # Arguments
/// * `motion` the move
/// * `load` T_L, before the loss of a last stage \[N·m\]
/// * `load_inertia` J_L \[kg·m²\]
/// * `last_stage_efficiency` η_s of a stage after the output; 1 without one \[1\]
///
/// # Returns
/// The peak torque \[N·m\]
///
/// # Validity
/// As [`peak_torque`], which it is for a load that is the same all the way.
///
/// # Errors
/// None.
///
/// # Example
/// A weight that pulls with 1 N·m where its arm is level, turned from there to upright: 1 N·m
/// (statics, no source).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::*, units::{Angle, MomentOfInertia, Ratio, Time, Torque}};
/// use uom::si::{angle::degree, time::second, torque::newton_meter};
/// let quarter = Angle::new::<degree>(90.0);
/// let motion = Motion {
///     profile: Profile::Smooth,
///     distance: quarter,
///     time: Time::new::<second>(1.0),
/// };
/// let load = MoveLoad::Swing {
///     crest: Torque::new::<newton_meter>(1.0),
///     steady: Torque::default(),
///     start: Angle::default(),
///     travel: quarter,
/// };
/// let torque = greatest_torque(motion, load, MomentOfInertia::default(), Ratio::from(1.0));
/// assert!(agrees(torque.value, "1.0000"));
/// ```
///
/// # Sources
/// Torque balance at the output.
#[must_use]
pub fn greatest_torque(
    motion: Motion,
    load: impl Into<MoveLoad>,
    load_inertia: MomentOfInertia,
    last_stage_efficiency: Ratio,
) -> Torque {
    match load.into() {
        MoveLoad::Steady(torque) => peak_torque(
            torque,
            load_inertia,
            peak_acceleration(motion),
            last_stage_efficiency,
        ),
        load => {
            let stage = Drivetrain::direct(
                MomentOfInertia::default(),
                load_inertia,
                last_stage_efficiency,
            );
            Torque::new::<newton_meter>(peak_current(&stage, motion, load).value)
        }
    }
}

/// Root-mean-square torque at the output over a move and the dwell after it.
///
/// # Formula
/// √((∫T² dt + T_h²·t_d)/(t + t_d)), T = T_L + J_L·α, where ∫α dt = 0 and the mean of α² is
/// 2·f·α̂² for the trapezoid and (120/7)·(d/t²)² for the smooth profile. Through a last stage
/// T = (T_L + J_L·α)/η_s when that is ≥ 0, else (T_L + J_L·α)·(2 − 1/η_s)
///
/// # Arguments
/// * `motion` the move of time t \[s\]
/// * `load` T_L, before the loss of a last stage \[N·m\]
/// * `load_inertia` J_L \[kg·m²\]
/// * `last_stage_efficiency` η_s of a stage after the output; 1 without one \[1\]
/// * `holding_torque` T_h during the dwell \[N·m\]
/// * `dwell` t_d \[s\]
///
/// # Returns
/// The root-mean-square torque \[N·m\]
///
/// # Validity
/// t > 0, t_d ≥ 0.
///
/// # Example
/// 2·10⁻⁶ kg·m² and 4 mN·m, one turn in 50 + 100 + 50 ms, 100 ms at rest: 3.4062 mN·m.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::*, units::{Angle, MomentOfInertia, Ratio, Time, Torque}};
/// use uom::si::{angle::revolution, time::millisecond, torque::newton_meter};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let motion = Motion {
///     profile: Profile::Trapezoid { ramp_fraction: Ratio::from(0.25) },
///     distance: Angle::new::<revolution>(1.0),
///     time: Time::new::<millisecond>(200.0),
/// };
/// let rms = rms_torque(
///     motion,
///     Torque::new::<newton_meter>(4e-3),
///     MomentOfInertia::new::<kilogram_square_meter>(2e-6),
///     Ratio::from(1.0),
///     Torque::new::<newton_meter>(0.0),
///     Time::new::<millisecond>(100.0),
/// );
/// assert!(agrees(rms.value * 1e3, "3.4062"));
/// ```
///
/// # Sources
/// Any servo handbook; the closed integrals.
#[must_use]
pub fn rms_torque(
    motion: Motion,
    load: impl Into<MoveLoad>,
    load_inertia: MomentOfInertia,
    last_stage_efficiency: Ratio,
    holding_torque: Torque,
    dwell: Time,
) -> Torque {
    let time = motion.time;
    let moving = match load.into() {
        MoveLoad::Steady(load_torque) if last_stage_efficiency.value >= 1.0 => {
            let unit: AngularAcceleration = (motion.distance / time / time).into();
            let inertial: Torque = (load_inertia * unit).into();
            load_torque * load_torque
                + inertial * inertial * motion.profile.mean_square_acceleration()
        }
        load => {
            let stage = Drivetrain::direct(
                MomentOfInertia::default(),
                load_inertia,
                last_stage_efficiency,
            );
            let torque = Torque::new::<newton_meter>(rms_current(&stage, motion, load).value);
            torque * torque
        }
    };
    let squared = (moving * time + holding_torque * holding_torque * dwell) / (time + dwell);
    Torque::new::<newton_meter>(squared.value.sqrt())
}

/// Voltage that is left at the worst moment of a move.
///
/// # Formula
/// min over the move of V − R·max(i, 0) − Ke·N·ω
///
/// # Arguments
/// * `train` the drivetrain
/// * `motion` the move
/// * `load` T_L in its direction, the same all the way or that of an arm by its angle \[N·m\]
/// * `resistance` R of winding, bridge and source \[Ω\]
/// * `voltage` V, the lowest of the supply \[V\]
///
/// # Returns
/// The margin; below zero the move is impossible \[V\]
///
/// # Validity
/// As [`motor_current`]. At the segment ends of a trapezoid, at the stationary points of a cubic
/// for the smooth profile.
///
/// # Example
/// The move of [`rms_current`]'s example at 50 V, 1 Ω and 1 V·s/rad: 41.888 rad/s and 5.6755 mA
/// leave
/// 8.1064 V (no published value: arithmetic).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::*, units::{ElectricPotential, ElectricalResistance}};
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm};
/// # use pulsewright_calc::units::{Angle, ElectricCurrent, MomentOfInertia, MotorConstant, Ratio, Time,
/// Torque};
/// # use uom::si::{angle::revolution, electric_current::ampere, magnetic_flux::weber};
/// # use uom::si::{moment_of_inertia::kilogram_square_meter, time::millisecond,
/// torque::newton_meter};
/// # let train = Drivetrain {
/// #     ratio: Ratio::from(1.0),
/// #     efficiency: Ratio::from(1.0),
/// #     back_driving_efficiency: Ratio::from(1.0),
/// #     rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(2e-6),
/// #     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(0.0),
/// #     motor_constant: MotorConstant::new::<weber>(1.0),
/// #     no_load_current: ElectricCurrent::new::<ampere>(0.0),
/// # };
/// # let motion = Motion {
/// #     profile: Profile::Trapezoid { ramp_fraction: Ratio::from(0.25) },
/// #     distance: Angle::new::<revolution>(1.0),
/// #     time: Time::new::<millisecond>(200.0),
/// # };
/// let left = voltage_margin(
///     &train,
///     motion,
///     Torque::new::<newton_meter>(4e-3),
///     ElectricalResistance::new::<ohm>(1.0),
///     ElectricPotential::new::<volt>(50.0),
/// );
/// assert!(agrees(left.value, "8.1064"));
/// ```
///
/// # Sources
/// Voltage equation of the motor.
#[must_use]
pub fn voltage_margin(
    train: &Drivetrain,
    motion: Motion,
    load: impl Into<MoveLoad>,
    resistance: ElectricalResistance,
    voltage: ElectricPotential,
) -> ElectricPotential {
    let course = Course::new(train, motion, load.into(), resistance);
    voltage - ElectricPotential::new::<volt>(course.voltage_demand())
}

/// Greatest power that a move draws from the bridge's supply terminals.
///
/// # Formula
/// max over the move of p = i²·R_m + Ke·N·ω·i
///
/// # Arguments
/// * `train` the drivetrain
/// * `motion` the move
/// * `load` T_L in its direction, the same all the way or that of an arm by its angle \[N·m\]
/// * `resistance` R_m of winding and bridge \[Ω\]
///
/// # Returns
/// The peak power; the greatest supply current follows from it, which rises with it \[W\]
///
/// # Validity
/// As [`motor_current`]; 33 samples and a root of the slope for the smooth profile.
///
/// # Example
/// The move of [`rms_current`]'s example with 1 Ω: 41.888 V and 5.6755 mA at the end of the ramp,
/// and 32 µW
/// of copper loss, 0.23777 W (no published value: arithmetic).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::*, units::ElectricalResistance};
/// use uom::si::electrical_resistance::ohm;
/// # use pulsewright_calc::units::{Angle, ElectricCurrent, MomentOfInertia, MotorConstant, Ratio, Time,
/// Torque};
/// # use uom::si::{angle::revolution, electric_current::ampere, magnetic_flux::weber};
/// # use uom::si::{moment_of_inertia::kilogram_square_meter, time::millisecond,
/// torque::newton_meter};
/// # let train = Drivetrain {
/// #     ratio: Ratio::from(1.0),
/// #     efficiency: Ratio::from(1.0),
/// #     back_driving_efficiency: Ratio::from(1.0),
/// #     rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(2e-6),
/// #     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(0.0),
/// #     motor_constant: MotorConstant::new::<weber>(1.0),
/// #     no_load_current: ElectricCurrent::new::<ampere>(0.0),
/// # };
/// # let motion = Motion {
/// #     profile: Profile::Trapezoid { ramp_fraction: Ratio::from(0.25) },
/// #     distance: Angle::new::<revolution>(1.0),
/// #     time: Time::new::<millisecond>(200.0),
/// # };
/// let load = Torque::new::<newton_meter>(4e-3);
/// let power = peak_power(&train, motion, load, ElectricalResistance::new::<ohm>(1.0));
/// assert!(agrees(power.value, "0.23777"));
/// ```
///
/// # Sources
/// Power balance of motor and bridge.
#[must_use]
pub fn peak_power(
    train: &Drivetrain,
    motion: Motion,
    load: impl Into<MoveLoad>,
    resistance: ElectricalResistance,
) -> Power {
    greatest_power(train, motion, load.into(), resistance, 1.0)
}

/// Greatest of `sign` times the power of motor and bridge at any moment of a move.
fn greatest_power(
    train: &Drivetrain,
    motion: Motion,
    load: MoveLoad,
    resistance: ElectricalResistance,
    sign: f64,
) -> Power {
    let power = match Course::new(train, motion, load, resistance) {
        Course::Trapezoid(segments, resistance) => segments
            .iter()
            .filter(|segment| segment.time > 0.0)
            .map(|segment| {
                let (from, to) = segment.power(resistance);
                (sign * from).max(sign * to)
            })
            .fold(f64::NEG_INFINITY, f64::max),
        Course::Smooth(course) => course.greatest_power(sign),
        Course::Swung(course) => course.greatest(|stretch, s| sign * course.power(stretch, s)),
    };
    Power::new::<watt>(power)
}

/// Greatest power that motor and bridge return to the supply at any moment of a move.
///
/// # Formula
/// max(0, −p) over the move, p = i²·R_m + Ke·N·ω·i
///
/// # Arguments
/// * `train` the drivetrain
/// * `motion` the move
/// * `load` T_L in its direction, the same all the way or that of an arm by its angle \[N·m\]
/// * `resistance` R_m of winding and bridge \[Ω\]
///
/// # Returns
/// The power; 0 where none is returned \[W\]
///
/// # Validity
/// As [`peak_power`].
///
/// # Errors
/// None.
///
/// # Example
/// The move of [`rms_current`]'s example without a load and with 1 Ω: the ramp down begins with
/// 41.888 V and −1.6755 mA, less 2.8 µW of copper loss, 0.070181 W (no published value:
/// arithmetic).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::*, units::ElectricalResistance};
/// use uom::si::electrical_resistance::ohm;
/// # use pulsewright_calc::units::{Angle, ElectricCurrent, MomentOfInertia, MotorConstant, Ratio, Time,
/// Torque};
/// # use uom::si::{angle::revolution, electric_current::ampere, magnetic_flux::weber};
/// # use uom::si::{moment_of_inertia::kilogram_square_meter, time::millisecond,
/// torque::newton_meter};
/// # let train = Drivetrain {
/// #     ratio: Ratio::from(1.0),
/// #     efficiency: Ratio::from(1.0),
/// #     back_driving_efficiency: Ratio::from(1.0),
/// #     rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(2e-6),
/// #     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(0.0),
/// #     motor_constant: MotorConstant::new::<weber>(1.0),
/// #     no_load_current: ElectricCurrent::new::<ampere>(0.0),
/// # };
/// # let motion = Motion {
/// #     profile: Profile::Trapezoid { ramp_fraction: Ratio::from(0.25) },
/// #     distance: Angle::new::<revolution>(1.0),
/// #     time: Time::new::<millisecond>(200.0),
/// # };
/// let resistance = ElectricalResistance::new::<ohm>(1.0);
/// let power = |load| peak_regenerated_power(&train, motion, load, resistance).value;
/// assert!(agrees(power(Torque::default()), "0.070181"));
/// assert_eq!(power(Torque::new::<newton_meter>(4e-3)), 0.0);
/// ```
///
/// # Sources
/// Power balance of motor and bridge.
#[must_use]
pub fn peak_regenerated_power(
    train: &Drivetrain,
    motion: Motion,
    load: impl Into<MoveLoad>,
    resistance: ElectricalResistance,
) -> Power {
    greatest_power(train, motion, load.into(), resistance, -1.0).max(Power::default())
}

/// Energy that a move draws, not reckoning what it returns.
///
/// # Formula
/// ∫ max(0, p) dt, p = i²·R_m + Ke·N·ω·i
///
/// # Arguments
/// * `train` the drivetrain
/// * `motion` the move
/// * `load` T_L in its direction, the same all the way or that of an arm by its angle \[N·m\]
/// * `resistance` R_m of winding and bridge \[Ω\]
///
/// # Returns
/// The energy \[J\]
///
/// # Validity
/// As [`motor_current`]; exact for both profiles.
///
/// # Example
/// The move of [`rms_current`]'s example with 1 Ω: 4 mN·m over one turn are 25.133 mJ, and 3.5 µJ
/// of copper
/// loss (no published value: energy balance).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::*, units::ElectricalResistance};
/// use uom::si::electrical_resistance::ohm;
/// # use pulsewright_calc::units::{Angle, ElectricCurrent, MomentOfInertia, MotorConstant, Ratio, Time,
/// Torque};
/// # use uom::si::{angle::revolution, electric_current::ampere, magnetic_flux::weber};
/// # use uom::si::{moment_of_inertia::kilogram_square_meter, time::millisecond,
/// torque::newton_meter};
/// # let train = Drivetrain {
/// #     ratio: Ratio::from(1.0),
/// #     efficiency: Ratio::from(1.0),
/// #     back_driving_efficiency: Ratio::from(1.0),
/// #     rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(2e-6),
/// #     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(0.0),
/// #     motor_constant: MotorConstant::new::<weber>(1.0),
/// #     no_load_current: ElectricCurrent::new::<ampere>(0.0),
/// # };
/// # let motion = Motion {
/// #     profile: Profile::Trapezoid { ramp_fraction: Ratio::from(0.25) },
/// #     distance: Angle::new::<revolution>(1.0),
/// #     time: Time::new::<millisecond>(200.0),
/// # };
/// let load = Torque::new::<newton_meter>(4e-3);
/// let energy = drawn_energy(&train, motion, load, ElectricalResistance::new::<ohm>(1.0));
/// assert!(agrees(energy.value * 1e3, "25.136"));
/// ```
///
/// # Sources
/// Power balance of motor and bridge.
#[must_use]
pub fn drawn_energy(
    train: &Drivetrain,
    motion: Motion,
    load: impl Into<MoveLoad>,
    resistance: ElectricalResistance,
) -> Energy {
    let energy = match Course::new(train, motion, load.into(), resistance) {
        Course::Trapezoid(segments, resistance) => segments
            .iter()
            .map(|segment| {
                let (from, to) = segment.power(resistance);
                segment.time * mean_positive(from, to)
            })
            .sum(),
        Course::Smooth(course) => course.drawn_energy(),
        Course::Swung(course) => course.energy_above(1.0, 0.0),
    };
    Energy::new::<joule>(energy)
}

/// Energy that a move pushes back into the supply rail.
///
/// # Formula
/// ∫ max(0, −p − P_b) dt, p = i²·R_m + Ke·N·ω·i
///
/// # Arguments
/// * `train` the drivetrain
/// * `motion` the move
/// * `load` T_L in its direction, the same all the way or that of an arm by its angle \[N·m\]
/// * `resistance` R_m of winding and bridge \[Ω\]
/// * `own_draw` P_b that the boards consume at the same time, the share of this motor \[W\]
///
/// # Returns
/// The energy \[J\]
///
/// # Validity
/// As [`motor_current`], with a bridge that returns current (synchronous, slow or fast decay).
///
/// # Example
/// The move of [`rms_current`]'s example without a load: the 1.7546 mJ of the rotor at 41.888
/// rad/s come
/// back, less 0.14 µJ of copper loss (no published value: energy balance).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::*, units::{ElectricalResistance, Power}};
/// use uom::si::electrical_resistance::ohm;
/// # use pulsewright_calc::units::{Angle, ElectricCurrent, MomentOfInertia, MotorConstant, Ratio, Time,
/// Torque};
/// # use uom::si::{angle::revolution, electric_current::ampere, magnetic_flux::weber};
/// # use uom::si::{moment_of_inertia::kilogram_square_meter, time::millisecond,
/// torque::newton_meter};
/// # let train = Drivetrain {
/// #     ratio: Ratio::from(1.0),
/// #     efficiency: Ratio::from(1.0),
/// #     back_driving_efficiency: Ratio::from(1.0),
/// #     rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(2e-6),
/// #     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(0.0),
/// #     motor_constant: MotorConstant::new::<weber>(1.0),
/// #     no_load_current: ElectricCurrent::new::<ampere>(0.0),
/// # };
/// # let motion = Motion {
/// #     profile: Profile::Trapezoid { ramp_fraction: Ratio::from(0.25) },
/// #     distance: Angle::new::<revolution>(1.0),
/// #     time: Time::new::<millisecond>(200.0),
/// # };
/// let energy = regenerated_energy(
///     &train,
///     motion,
///     Torque::default(),
///     ElectricalResistance::new::<ohm>(1.0),
///     Power::default(),
/// );
/// assert!(agrees(energy.value * 1e3, "1.7545"));
/// ```
///
/// # Sources
/// Power balance of motor and bridge.
#[must_use]
pub fn regenerated_energy(
    train: &Drivetrain,
    motion: Motion,
    load: impl Into<MoveLoad>,
    resistance: ElectricalResistance,
    own_draw: Power,
) -> Energy {
    let energy = match Course::new(train, motion, load.into(), resistance) {
        Course::Trapezoid(segments, resistance) => segments
            .iter()
            .map(|segment| {
                let (from, to) = segment.power(resistance);
                segment.time * mean_positive(-from - own_draw.value, -to - own_draw.value)
            })
            .sum(),
        Course::Smooth(course) => course.regenerated_energy(own_draw.value),
        Course::Swung(course) => course.energy_above(-1.0, own_draw.value),
    };
    Energy::new::<joule>(energy)
}

/// Mean power of a move and the dwell after it.
///
/// # Formula
/// P = (E + I_d²·R_m·t_d)/(t + t_d)
///
/// # Arguments
/// * `drawn` E of the move \[J\]
/// * `dwell_current` I_d \[A\]
/// * `resistance` R_m of winding and bridge \[Ω\]
/// * `time` t of the move \[s\]
/// * `dwell` t_d \[s\]
///
/// # Returns
/// P \[W\]
///
/// # Validity
/// t > 0, t_d ≥ 0.
///
/// # Example
/// 2 J in 1 s, then 1 A through 1 Ω for 1 s: 1.5 W (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motion::mean_power;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricalResistance, Energy, Time};
/// use uom::si::{electric_current::ampere, electrical_resistance::ohm, energy::joule,
/// time::second};
/// let power = mean_power(
///     Energy::new::<joule>(2.0),
///     ElectricCurrent::new::<ampere>(1.0),
///     ElectricalResistance::new::<ohm>(1.0),
///     Time::new::<second>(1.0),
///     Time::new::<second>(1.0),
/// );
/// assert!(agrees(power.value, "1.50"));
/// ```
///
/// # Sources
/// Definition of the mean.
#[must_use]
pub fn mean_power(
    drawn: Energy,
    dwell_current: ElectricCurrent,
    resistance: ElectricalResistance,
    time: Time,
    dwell: Time,
) -> Power {
    let held: Energy = dwell_current * dwell_current * resistance * dwell;
    (drawn + held) / (time + dwell)
}

/// Least time in which a move keeps its limits.
///
/// # Formula
/// Least t with V ≥ R·max(i, 0) + Ke·N·ω and |i| ≤ I_lim throughout, [`peak_torque`] ≤ T_lim and
/// ω̂ ≤ ω_lim. Torque and speed are closed forms; voltage and current are one root in 1/t, because
/// both demands rise with 1/t.
///
/// # Arguments
/// * `train` the drivetrain
/// * `profile` the shape
/// * `distance` d \[rad\]
/// * `load` T_L in the direction of the move \[N·m\]
/// * `limits` what must be kept
/// * `behind` R(t) of winding, bridge and source together, as warm as a move of time t makes
///   them \[Ω\], and what other actuators that make it as well leave of the voltage \[V\]
/// * `asked` a time that may do where no longer one does, or on a shorter stretch than others \[s\]
///
/// # Returns
/// t \[s\]; nothing where neither the longest nor the time asked for is long enough
///
/// # Validity
/// d > 0; a move of no distance takes no time. Where R falls with a shorter time (a pause that no
/// longer cools a slow move) several stretches of time can do; this is the end of one of them, no
/// longer than the time asked for where that does.
///
/// # Example
/// The move of [`rms_current`]'s example, kept to its own peak speed: 200 ms (no published value:
/// inverse).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motion::*, units::{ElectricPotential, ElectricalResistance}};
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm};
/// # use pulsewright_calc::units::{Angle, ElectricCurrent, MomentOfInertia, MotorConstant, Ratio, Time,
/// Torque};
/// # use uom::si::{angle::revolution, electric_current::ampere, magnetic_flux::weber};
/// # use uom::si::{moment_of_inertia::kilogram_square_meter, time::millisecond,
/// torque::newton_meter};
/// # let train = Drivetrain {
/// #     ratio: Ratio::from(1.0),
/// #     efficiency: Ratio::from(1.0),
/// #     back_driving_efficiency: Ratio::from(1.0),
/// #     rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(2e-6),
/// #     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(0.0),
/// #     motor_constant: MotorConstant::new::<weber>(1.0),
/// #     no_load_current: ElectricCurrent::new::<ampere>(0.0),
/// # };
/// # let motion = Motion {
/// #     profile: Profile::Trapezoid { ramp_fraction: Ratio::from(0.25) },
/// #     distance: Angle::new::<revolution>(1.0),
/// #     time: Time::new::<millisecond>(200.0),
/// # };
/// let limits = Limits {
///     voltage: ElectricPotential::new::<volt>(50.0),
///     current: None,
///     torque: None,
///     last_stage_efficiency: Ratio::from(1.0),
///     speed: Some(peak_speed(motion)),
/// };
/// let load = Torque::new::<newton_meter>(4e-3);
/// let ohms = |_| ElectricalResistance::new::<ohm>(1.0);
/// let asked = motion.time;
/// let time = shortest_time(&train, motion.profile, motion.distance, load, &limits, ohms, asked);
/// assert!(agrees(time.unwrap().value, "0.20000"));
/// ```
///
/// # Sources
/// [`voltage_margin`], [`peak_current`], [`peak_torque`] and [`peak_speed`] solved for time.
#[must_use]
pub fn shortest_time<B: Into<Behind>>(
    train: &Drivetrain,
    profile: Profile,
    distance: Angle,
    load: impl Into<MoveLoad>,
    limits: &Limits,
    behind: impl Fn(Time) -> B,
    asked: Time,
) -> Option<Time> {
    let load_torque = match load.into() {
        MoveLoad::Steady(torque) => torque,
        swing => return shortest_swing(train, profile, distance, swing, limits, behind, asked),
    };
    let (speed, acceleration) = profile.peaks();
    let distance = distance.value;
    let line = CurrentLine::new(train, load_torque);
    let behind_at = |time: f64| {
        let behind: Behind = behind(Time::new::<second>(time)).into();
        let voltage = behind.voltage.unwrap_or(limits.voltage).value;
        (behind.resistance, voltage)
    };
    let demand_at = |rate: f64| {
        let motion = Motion {
            profile,
            distance: Angle::new::<radian>(distance),
            time: Time::new::<second>(1.0 / rate),
        };
        let (resistance, voltage) = behind_at(1.0 / rate);
        let course = Course::on(line, train, motion, resistance);
        let voltage = (voltage - course.voltage_demand()) / limits.voltage.value;
        match limits.current {
            Some(current) => voltage.min(1.0 - course.peak_current() / current.value),
            None => voltage,
        }
    };
    let steady = line.at(0.0);
    // What is left of the gears' torque for the inertia, before the loss of the last stage.
    let room = limits.torque.map(|limit| {
        let stage = limits.last_stage_efficiency;
        let back = stage_back(stage).abs();
        let driving = limit.value * stage.value - load_torque.value;
        if back > 0.0 {
            driving.min(limit.value / back + load_torque.value)
        } else {
            driving
        }
    });
    let starts = limits
        .current
        .is_none_or(|current| steady.abs() <= current.value)
        && room.is_none_or(|room| room >= 0.0);
    if !starts {
        return None;
    }
    if distance <= 0.0 {
        return Some(Time::new::<second>(0.0));
    }
    let emf = train.motor_constant.value * train.ratio.value;
    // Here the back-EMF alone takes the whole voltage.
    let mut rate = limits.voltage.value / (emf * speed * distance);
    if let Some(limit) = limits.speed {
        rate = rate.min(limit.value / (speed * distance));
    }
    if let Some(room) = room {
        let inertial = train.load_inertia.value * acceleration * distance;
        if inertial > 0.0 {
            rate = rate.min((room / inertial).sqrt());
        }
    }
    if rate <= 0.0 || !rate.is_finite() {
        return None;
    }
    let at_rate = demand_at(rate);
    if at_rate < 0.0 {
        // Peaks of current and speed at one moment ask for more than any moment does: what bears
        // that is possible, unless the winding is warmer than at the faster rate.
        let (warm, voltage) = behind_at(1.0 / rate);
        let warm = warm.value;
        let room = voltage - warm * steady.max(0.0);
        let growth = line.steepest() * acceleration * distance;
        let linear = emf * speed * distance;
        let mut slow = 0.0;
        if room > 0.0 {
            slow = 2.0 * room / (linear + (linear * linear + 4.0 * warm * growth * room).sqrt());
            if let Some(limit) = limits.current {
                slow = slow.min(((limit.value - steady.abs()) / growth).sqrt());
            }
        }
        slow = slow.min(rate) * (1.0 - 1e-9);
        let steady = rate * 1e-9;
        let mut at_slow = -1.0;
        if slow > steady {
            at_slow = demand_at(slow);
        }
        if at_slow < 0.0 {
            // A rate near zero stands for the steady motion.
            (slow, at_slow) = (steady, demand_at(steady));
        }
        if at_slow < 0.0 {
            slow = 1.0 / asked.value;
            if !(steady..rate).contains(&slow) {
                return None;
            }
            at_slow = demand_at(slow);
        }
        if at_slow < 0.0 {
            return None;
        }
        // Of several stretches that of the time asked for, where it does.
        let asked = 1.0 / asked.value;
        if slow < asked && asked < rate {
            let at_asked = demand_at(asked);
            if at_asked >= 0.0 {
                (slow, at_slow) = (asked, at_asked);
            }
        }
        let ends = ((slow, at_slow), (rate, at_rate));
        rate = bracketed_between(demand_at, ends, rate * 1e-10, 80)?;
    }
    Some(Time::new::<second>(1.0 / rate))
}

/// [`shortest_time`] of an arm by its angle.
fn shortest_swing<B: Into<Behind>>(
    train: &Drivetrain,
    profile: Profile,
    distance: Angle,
    load: MoveLoad,
    limits: &Limits,
    behind: impl Fn(Time) -> B,
    asked: Time,
) -> Option<Time> {
    let stage = Drivetrain::direct(
        MomentOfInertia::default(),
        train.load_inertia,
        limits.last_stage_efficiency,
    );
    // What is left, as a share, at a rate: moves a second.
    let left = |rate: f64| {
        let time = Time::new::<second>(1.0 / rate);
        let motion = Motion {
            profile,
            distance,
            time,
        };
        let behind: Behind = behind(time).into();
        let course = Course::new(train, motion, load, behind.resistance);
        let left_of = |course: &Course, most: f64| 1.0 - course.peak_current() / most;
        let voltage = behind.voltage.unwrap_or(limits.voltage).value - course.voltage_demand();
        let voltage = voltage / limits.voltage.value;
        let current = limits
            .current
            .map_or(1.0, |most| left_of(&course, most.value));
        let torque = limits.torque.map_or(1.0, |most| {
            let none = ElectricalResistance::default();
            left_of(&Course::new(&stage, motion, load, none), most.value)
        });
        voltage.min(current).min(torque)
    };
    if distance.value <= 0.0 {
        return (left(1.0) >= 0.0).then(Time::default);
    }
    let way = profile.peaks().0 * distance.value;
    // Here the back-EMF alone takes the whole voltage.
    let emf = train.motor_constant.value * train.ratio.value;
    let mut fastest = limits.voltage.value / (emf * way);
    if let Some(limit) = limits.speed {
        fastest = fastest.min(limit.value / way);
    }
    if fastest <= 0.0 || !fastest.is_finite() {
        return None;
    }
    let at_fastest = left(fastest);
    if at_fastest >= 0.0 {
        return Some(Time::new::<second>(1.0 / fastest));
    }
    // Of several stretches that of the time asked for; a rate near zero stands for the steady motion.
    let asked = 1.0 / asked.value;
    let slow = [asked, fastest * 1e-9]
        .into_iter()
        .filter(|rate| *rate > 0.0 && *rate < fastest)
        .map(|rate| (rate, left(rate)))
        .find(|(_, left)| *left >= 0.0)?;
    let ends = (slow, (fastest, at_fastest));
    bracketed_between(left, ends, fastest * 1e-10, 80).map(|rate| Time::new::<second>(1.0 / rate))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::{
        angular_velocity::radian_per_second, electrical_resistance::ohm,
        moment_of_inertia::kilogram_square_meter,
    };

    use super::*;

    /// N, η, η_back, J_r, J_L, Ke, I0.
    fn train(figures: [f64; 7]) -> Drivetrain {
        Drivetrain {
            ratio: Ratio::from(figures[0]),
            efficiency: Ratio::from(figures[1]),
            back_driving_efficiency: Ratio::from(figures[2]),
            rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(figures[3]),
            load_inertia: MomentOfInertia::new::<kilogram_square_meter>(figures[4]),
            motor_constant: MotorConstant::new::<weber>(figures[5]),
            no_load_current: ElectricCurrent::new::<ampere>(figures[6]),
        }
    }

    fn motion(profile: Profile, distance: f64, time: f64) -> Motion {
        Motion {
            profile,
            distance: Angle::new::<radian>(distance),
            time: Time::new::<second>(time),
        }
    }

    fn trapezoid(ramp: f64) -> Profile {
        Profile::Trapezoid {
            ramp_fraction: Ratio::from(ramp),
        }
    }

    fn torque(value: f64) -> Torque {
        Torque::new::<newton_meter>(value)
    }

    /// No time is asked for.
    fn never() -> Time {
        Time::new::<second>(f64::INFINITY)
    }

    fn ohms(value: f64) -> ElectricalResistance {
        ElectricalResistance::new::<ohm>(value)
    }

    #[track_caller]
    fn close(value: f64, expected: f64, tolerance: f64) {
        assert!(
            (value - expected).abs() <= tolerance * expected.abs().max(1e-9),
            "{value} is not {expected}"
        );
    }

    /// Midpoint sums and maxima over 2 000 000 points, numpy: `t·h·Σ max(p, 0)` and the like with
    /// τ = (k + ½)·h, i and p as the doc comments define them.
    #[test]
    fn smooth_moves_agree_with_quadrature() {
        let cases: [([f64; 7], [f64; 5], [f64; 7]); 4] = [
            (
                [100.0, 0.6, 0.4, 2e-8, 2e-3, 5e-3, 0.05],
                [6.0, 0.05, 2.0, 0.3, 0.02],
                [
                    1.123_320_42,
                    0.607_664_866,
                    1.048_957_97,
                    0.028_586_400_7,
                    0.026_494_515_3,
                    11.128_021_8,
                    10.470_612_1,
                ],
            ),
            (
                [100.0, 0.6, 0.4, 2e-7, 2e-3, 5e-3, 0.02],
                [6.0, -0.1, 2.0, 0.3, 0.02],
                [
                    1.055_200_64,
                    0.642_874_274,
                    0.833_397_917,
                    0.060_304_177_5,
                    0.058_952_159_6,
                    9.881_986_97,
                    9.753_703_37,
                ],
            ),
            (
                [100.0, 0.4, -0.5, 2e-8, 2e-3, 5e-3, 0.05],
                [6.0, -0.1, 2.0, 0.3, 0.02],
                [
                    0.884_320_622,
                    0.453_762_161,
                    0.731_827_774,
                    0.0,
                    0.0,
                    7.372_114_28,
                    8.744_603_35,
                ],
            ),
            (
                [30.0, 0.8, 0.75, 2e-7, 8e-3, 8e-3, 0.01],
                [2.0, -0.05, 3.0, 0.4, 0.3],
                [
                    4.341_322_19,
                    2.641_866_04,
                    5.877_671_05,
                    0.040_616_959_5,
                    0.028_035_121_8,
                    44.535_224,
                    10.350_271_9,
                ],
            ),
        ];
        for (figures, [r, load, distance, time, own], expected) in cases {
            let (train, load, r) = (train(figures), torque(load), ohms(r));
            let motion = motion(Profile::Smooth, distance, time);
            let own = Power::new::<watt>(own);
            let rail = ElectricPotential::new::<volt>(12.0);
            let results = [
                peak_current(&train, motion, load).value,
                rms_current(&train, motion, load).value,
                drawn_energy(&train, motion, load, r).value,
                regenerated_energy(&train, motion, load, r, Power::default()).value,
                regenerated_energy(&train, motion, load, r, own).value,
                peak_power(&train, motion, load, r).value,
                12.0 - voltage_margin(&train, motion, load, r, rail).value,
            ];
            for (value, expected) in results.into_iter().zip(expected) {
                close(value, expected, 1e-6);
            }
        }
    }

    /// No outside source: the same quantities summed over 40 000 moments of `state_at`.
    #[test]
    fn trapezoids_agree_with_sums_over_time() {
        let train = train([100.0, 0.6, 0.4, 2e-7, 2e-3, 5e-3, 0.02]);
        let (motion, load, r) = (motion(trapezoid(0.2), 2.0, 0.3), torque(-0.2), ohms(2.0));
        let [mut squared, mut drawn, mut returned] = [0.0; 3];
        let steps = 40_000_u16;
        let slice = 0.3 / f64::from(steps);
        for k in 0..steps {
            let state = state_at(
                motion.profile,
                Ratio::from((f64::from(k) + 0.5) / f64::from(steps)),
            );
            let alpha = AngularAcceleration::from(motion.distance / motion.time / motion.time)
                * state.acceleration.value;
            let i = motor_current(&train, load, alpha).value;
            let p = i * i * 2.0 + 0.5 * i * state.speed.value * 2.0 / 0.3;
            squared += i * i * slice;
            drawn += p.max(0.0) * slice;
            returned += (-p - 0.1).max(0.0) * slice;
        }
        let own = Power::new::<watt>(0.1);
        close(
            rms_current(&train, motion, load).value,
            (squared / 0.3).sqrt(),
            1e-6,
        );
        close(drawn_energy(&train, motion, load, r).value, drawn, 1e-6);
        assert!(returned > 0.0);
        close(
            regenerated_energy(&train, motion, load, r, own).value,
            returned,
            1e-5,
        );
    }

    fn any_profile() -> impl Strategy<Value = Profile> {
        prop_oneof![
            Just(Profile::Smooth),
            (1..=50_u8).prop_map(|percent| trapezoid(f64::from(percent) / 100.0))
        ]
    }

    fn any_train() -> impl Strategy<Value = Drivetrain> {
        (
            10.0..300.0_f64,
            0.35..0.95_f64,
            1e-9..3e-7_f64,
            1e-6..1e-2_f64,
            2e-3..2e-2_f64,
            0.005..0.2_f64,
        )
            .prop_map(|(ratio, efficiency, rotor, inertia, constant, idle)| {
                train([
                    ratio,
                    efficiency,
                    2.0 - 1.0 / efficiency,
                    rotor,
                    inertia,
                    constant,
                    idle,
                ])
            })
    }

    proptest! {
        /// Drawn less returned is copper, friction, gear loss and the work on the load.
        #[test]
        fn energy_balances(
            train in any_train(),
            profile in any_profile(),
            load in -0.2..0.2_f64,
            distance in 0.1..6.0_f64,
            time in 0.1..2.0_f64,
        ) {
            let motion = motion(profile, distance, time);
            let (load, r) = (torque(load), ohms(5.0));
            let net = (drawn_energy(&train, motion, load, r)
                - regenerated_energy(&train, motion, load, r, Power::default()))
            .value;
            let copper = rms_current(&train, motion, load).value.powi(2) * 5.0 * time;
            let friction = (train.motor_constant * train.no_load_current * train.ratio).value
                * distance;
            // What goes into the gears: T·Ω/η forward, T·Ω·η_back backward, summed over time.
            let steps = 4000_u16;
            let mut gears = 0.0;
            for k in 0..steps {
                let state =
                    state_at(profile, Ratio::from((f64::from(k) + 0.5) / f64::from(steps)));
                let alpha = state.acceleration.value * distance / (time * time);
                let pressed = load.value + train.load_inertia.value * alpha;
                let gain = if pressed >= 0.0 {
                    1.0 / train.efficiency.value
                } else {
                    train.back_driving_efficiency.value
                };
                gears += pressed * gain * state.speed.value * distance / f64::from(steps);
            }
            let scale = copper + friction + gears.abs() + load.value.abs() * distance;
            prop_assert!((net - copper - friction - gears).abs() < 1e-3 * scale + 1e-6,
                "{net} {copper} {friction} {gears}");
        }

        /// Twice the torques, inertias and idle current are twice the current.
        #[test]
        fn current_scales(train in any_train(), profile in any_profile(), load in -0.2..0.2_f64) {
            let motion = motion(profile, 1.0, 0.5);
            let double = Drivetrain {
                rotor_inertia: train.rotor_inertia * 2.0,
                load_inertia: train.load_inertia * 2.0,
                no_load_current: train.no_load_current * 2.0,
                ..train
            };
            let one = rms_current(&train, motion, torque(load)).value;
            let two = rms_current(&double, motion, torque(2.0 * load)).value;
            prop_assert!((two - 2.0 * one).abs() <= 1e-9 * two);
        }

        /// The shortest time uses one limit up, and a little less time breaks it.
        #[test]
        fn shortest_time_is_at_a_limit(
            train in any_train(),
            profile in any_profile(),
            load in -0.2..0.2_f64,
            amperes in 0.3..3.0_f64,
            speed in 0.5..50.0_f64,
            stage in prop_oneof![Just(1.0), 0.3..1.0_f64],
        ) {
            let load = torque(load);
            let train = train.through(Ratio::from(stage));
            let limits = Limits {
                voltage: ElectricPotential::new::<volt>(12.0),
                current: Some(ElectricCurrent::new::<ampere>(amperes)),
                torque: Some(torque(0.5)),
                last_stage_efficiency: Ratio::from(stage),
                speed: Some(AngularVelocity::new::<radian_per_second>(speed)),
            };
            // A winding that a shorter move makes warmer.
            let warm = |time: Time| ohms(5.0 + 1.0 / (1.0 + time.value));
            let kept = |time: f64| {
                let motion = motion(profile, 1.5, time);
                voltage_margin(&train, motion, load, warm(motion.time), limits.voltage).value
                    >= 0.0
                    && peak_current(&train, motion, load).value <= amperes
                    && peak_torque(
                        load,
                        train.load_inertia,
                        peak_acceleration(motion),
                        Ratio::from(stage),
                    )
                    .value
                        <= 0.5
                    && peak_speed(motion).value <= speed
            };
            let distance = Angle::new::<radian>(1.5);
            match shortest_time(&train, profile, distance, load, &limits, warm, never()) {
                Some(time) => {
                    prop_assert!(kept(time.value * (1.0 + 1e-6)));
                    prop_assert!(!kept(time.value * (1.0 - 1e-6)));
                }
                None => prop_assert!(!kept(1e6)),
            }
        }

        /// Position, speed and acceleration of a profile are each the slope of the one before.
        #[test]
        fn profile_is_consistent(profile in any_profile(), share in 0.001..0.999_f64) {
            let at = |share| state_at(profile, Ratio::from(share));
            let (before, after) = (at(share - 1e-6), at(share + 1e-6));
            let slope = (after.position - before.position).value / 2e-6;
            prop_assert!((slope - at(share).speed.value).abs() < 2e-4);
            let sum = at(share).position + at(1.0 - share).position;
            prop_assert!((sum.value - 1.0).abs() < 1e-12);
        }
    }

    /// Sums over time of a torque that is carried moment by moment (no published value).
    #[test]
    fn torque_through_a_last_stage_agrees_with_sums_over_time() {
        for (profile, load, stage) in [
            (Profile::Smooth, 0.02, 0.4),
            (Profile::Smooth, -0.05, 0.8),
            (trapezoid(0.3), 0.01, 0.7),
            (trapezoid(0.2), -0.03, 0.45),
        ] {
            let motion = motion(profile, 1.5, 0.4);
            let inertia = MomentOfInertia::new::<kilogram_square_meter>(1e-3);
            let samples = 200_000;
            let (mut squares, mut most) = (0.0, 0.0_f64);
            for index in 0..samples {
                let elapsed = (f64::from(index) + 0.5) / f64::from(samples);
                let acceleration =
                    state_at(profile, Ratio::from(elapsed)).acceleration.value * 1.5 / (0.4 * 0.4);
                let before = load + 1e-3 * acceleration;
                let carried = if before >= 0.0 {
                    before / stage
                } else {
                    before * (2.0 - 1.0 / stage)
                };
                squares += carried * carried;
                most = most.max(carried.abs());
            }
            let stage = Ratio::from(stage);
            let none = (Torque::default(), Time::default());
            let rms = rms_torque(motion, torque(load), inertia, stage, none.0, none.1);
            close(rms.value, (squares / f64::from(samples)).sqrt(), 1e-6);
            let peak = peak_torque(torque(load), inertia, peak_acceleration(motion), stage);
            close(peak.value, most, 1e-6);
        }
    }

    /// Shortest time of a smooth move by 1 rad against 0.4 N·m from 6 V.
    fn shortest(resistance: impl Fn(Time) -> ElectricalResistance, asked: Time) -> Option<Time> {
        let train = lifting_train();
        let limits = Limits {
            voltage: ElectricPotential::new::<volt>(6.0),
            current: None,
            torque: None,
            last_stage_efficiency: Ratio::from(1.0),
            speed: None,
        };
        let (distance, load) = (Angle::new::<radian>(1.0), torque(0.4));
        shortest_time(
            &train,
            Profile::Smooth,
            distance,
            load,
            &limits,
            resistance,
            asked,
        )
    }

    fn lifting_train() -> Drivetrain {
        train([100.0, 0.6, 0.4, 2e-8, 2e-3, 5e-3, 0.05])
    }

    #[test]
    fn no_time_is_long_enough() {
        assert_eq!(shortest(|_| ohms(6.0), never()), None);
    }

    /// A winding that is cool enough around 0.4 s alone: only the time asked for shows that any does.
    #[test]
    fn a_slower_move_may_be_the_warmer_one() {
        let warm = |time: Time| ohms(1.0 + 100.0 * (time.value - 0.4).powi(2));
        assert_eq!(shortest(warm, never()), None);
        let asked = Time::new::<second>(0.4);
        let found = shortest(warm, asked).expect("0.4 s will do");
        assert!(found < asked, "{found:?}");
        let margin = |time: Time| {
            let motion = motion(Profile::Smooth, 1.0, time.value);
            let volts = ElectricPotential::new::<volt>(6.0);
            voltage_margin(&lifting_train(), motion, torque(0.4), warm(time), volts)
        };
        assert!(margin(found).value.abs() < 1e-6 && margin(asked).value > 0.0);
    }
}
