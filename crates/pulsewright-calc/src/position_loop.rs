//! The position loop: its start values, what they become in the firmware's numbers, and the
//! margins that they leave.
//!
//! The plant goes from motor voltage to motor angle; gains are referred to the motor's shaft.

use core::f64::consts::{FRAC_PI_2, PI, TAU};

use uom::si::{angle::radian, frequency::hertz};

#[cfg(not(any(test, feature = "std")))]
use crate::float::{Rounding as _, SquareRoot as _};
use crate::roots::{bracketed, bracketed_between};
use crate::units::{
    Angle, AngularVelocity, DampingConstant, ElectricCurrent, ElectricPotential,
    ElectricalResistance, Frequency, Inductance, MomentOfInertia, MotorConstant, Ratio, Stiffness,
    Time,
};

/// Proportional gain, V/rad: the dimension of a voltage, the radian counting as 1.
pub type ProportionalGain = ElectricPotential;

/// Derivative gain, V·s/rad: the dimension of a back-EMF constant.
pub type DerivativeGain = MotorConstant;

/// Least phase margin of a loop that is left alone, in degrees: common practice, no source.
pub const LEAST_PHASE_MARGIN_DEGREES: f64 = 40.0;

/// Greatest share of the supply that one count in one sample may make the derivative part jump:
/// common practice, no source.
pub const GREATEST_DERIVATIVE_KICK: f64 = 0.2;

/// Greatest bandwidth over the sampling rate: common practice, no source.
pub const GREATEST_BANDWIDTH_SHARE: f64 = 0.1;

/// The motor with its load as the loop sees it: K/(s·(τ·s + 1)·(τe·s + 1)), K = 1/Ke.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plant {
    /// Back-EMF constant Ke.
    pub back_emf_constant: MotorConstant,
    /// Mechanical time constant τ.
    pub mechanical: Time,
    /// Electrical time constant τe.
    pub electrical: Time,
}

/// Inertia at the motor shaft with the gears meshed.
///
/// # Formula
/// J = Jr + JL/(N²·η)
///
/// # Arguments
/// * `rotor_inertia` Jr \[kg·m²\]
/// * `load_inertia` JL at the output \[kg·m²\]
/// * `ratio` N \[1\]
/// * `efficiency` η of the gears \[1\]
///
/// # Returns
/// J \[kg·m²\]
///
/// # Validity
/// N, η > 0; the motor drives.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{position_loop::inertia_at_motor, units::{MomentOfInertia, Ratio}};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let j = MomentOfInertia::new::<kilogram_square_meter>;
/// let at_motor = inertia_at_motor(j(1.0), j(64.0), Ratio::from(8.0), Ratio::from(0.5));
/// assert_eq!(at_motor, j(3.0));
/// ```
///
/// # Sources
/// Power balance of a gear train.
#[must_use]
pub fn inertia_at_motor(
    rotor_inertia: MomentOfInertia,
    load_inertia: MomentOfInertia,
    ratio: Ratio,
    efficiency: Ratio,
) -> MomentOfInertia {
    rotor_inertia + load_inertia / (ratio * ratio * efficiency).value
}

/// The plant of a motor that turns a given inertia.
///
/// # Formula
/// τ = R·J/Ke², τe = L/R
///
/// # Arguments
/// * `back_emf_constant` Ke = Kt \[V·s/rad\]
/// * `resistance` R, motor and bridge \[Ω\]
/// * `inductance` L \[H\]
/// * `inertia` J at the motor shaft \[kg·m²\]
///
/// # Returns
/// Ke \[V·s/rad\], τ and τe \[s\]
///
/// # Validity
/// Ke, R, J > 0; friction is left out; the two time constants lie apart (τ ≫ τe).
///
/// # Example
/// 4 Ω, 0.0274 V·s/rad, 3.2284e-6 kg·m²: unity feedback of this plant, without its small
/// friction, has ωn = √(K/τ) = 46.1 rad/s (Control Tutorials, DC Motor Position, University of
/// Michigan).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{position_loop::plant, units::*};
/// use uom::si::{electrical_resistance::ohm, inductance::henry, magnetic_flux::weber};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let plant = plant(
///     MotorConstant::new::<weber>(0.0274),
///     ElectricalResistance::new::<ohm>(4.0),
///     Inductance::new::<henry>(2.75e-6),
///     MomentOfInertia::new::<kilogram_square_meter>(3.2284e-6),
/// );
/// let natural = (plant.back_emf_constant * plant.mechanical).value.sqrt().recip();
/// assert!(agrees(natural, "46.1"));
/// ```
///
/// # Sources
/// Transfer function of a permanent-magnet motor.
#[must_use]
pub fn plant(
    back_emf_constant: MotorConstant,
    resistance: ElectricalResistance,
    inductance: Inductance,
    inertia: MomentOfInertia,
) -> Plant {
    let damping: DampingConstant = back_emf_constant * back_emf_constant / resistance;
    Plant {
        back_emf_constant,
        mechanical: inertia / damping,
        electrical: inductance / resistance,
    }
}

/// Gains of the position loop, at the motor shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gains {
    /// Kp, V/rad.
    pub proportional: ProportionalGain,
    /// Kd, V·s/rad.
    pub derivative: DerivativeGain,
}

/// Gains that place the poles of the loop, electrical time constant and delay left out.
///
/// # Formula
/// ωn = 2π·f; Kd = max(0, (2ζ·ωn·τ − 1)·Ke);
/// Kp = ωn²·τ·Ke for ωn·τ > ½, else ωn·(1 − ωn·τ)·Ke
///
/// # Arguments
/// * `bandwidth` f \[Hz\]
/// * `damping` ζ \[1\]
/// * `plant` Ke \[V·s/rad\], τ \[s\]
///
/// # Returns
/// Kp \[V/rad\] and Kd \[V·s/rad\]
///
/// # Validity
/// 0.4 ≤ ζ ≤ 1. Above ωn·τ = ½ the poles are those of ωn and ζ, or better damped where Kd is 0;
/// below, one pole is at ωn and the other, at 1/τ − ωn, is faster.
///
/// # Example
/// The closed loop s² + 4·s + 16, ωn = 4, ζ = 0.5 (Nagoor Kani, Control Systems, Ex. 3.6), on a
/// plant 1/(s·(s + 1)): Kp = 16, Kd = 3.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{position_loop::{Plant, gains}, units::*};
/// use uom::si::{frequency::hertz, magnetic_flux::weber, time::second};
/// let plant = Plant {
///     back_emf_constant: MotorConstant::new::<weber>(1.0),
///     mechanical: Time::new::<second>(1.0),
///     electrical: Time::new::<second>(0.0),
/// };
/// let bandwidth = Frequency::new::<hertz>(4.0 / core::f64::consts::TAU);
/// let gains = gains(bandwidth, Ratio::from(0.5), &plant);
/// assert!(agrees(gains.proportional.value, "16.0"));
/// assert!(agrees(gains.derivative.value, "3.0"));
/// ```
///
/// # Sources
/// Pole placement for a second-order plant.
#[must_use]
pub fn gains(bandwidth: Frequency, damping: Ratio, plant: &Plant) -> Gains {
    let natural = TAU * bandwidth;
    let turns = (natural * plant.mechanical).value;
    let share = if turns > 0.5 { turns } else { 1.0 - turns };
    Gains {
        proportional: share * natural * plant.back_emf_constant,
        derivative: (2.0 * damping.value * turns - 1.0).max(0.0) * plant.back_emf_constant,
    }
}

/// What turns gains at the shaft into numbers of the firmware.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Firmware {
    /// Encoder counts C in a motor turn.
    pub counts_per_motor_turn: Ratio,
    /// Period Ts of the control interrupt.
    pub sample_time: Time,
    /// Steps of the pulse-width timer at full duty.
    pub pwm_resolution: Ratio,
    /// Supply voltage V at full duty.
    pub voltage: ElectricPotential,
}

impl Firmware {
    fn angle_per_count(&self) -> Angle {
        Angle::new::<radian>(TAU / self.counts_per_motor_turn.value)
    }

    fn steps_per_volt(&self, volts: ElectricPotential) -> Ratio {
        volts / self.voltage * self.pwm_resolution
    }
}

/// Voltage that a position error of one count asks for.
///
/// # Formula
/// Kp·2π/C
///
/// # Arguments
/// * `gains` Kp \[V/rad\]
/// * `firmware` C \[1\]
///
/// # Returns
/// Volts a count \[V\]
///
/// # Validity
/// C > 0.
///
/// # Example
/// See [`proportional_steps`].
///
/// # Sources
/// Change of units.
#[must_use]
pub fn proportional_per_count(gains: &Gains, firmware: &Firmware) -> ElectricPotential {
    gains.proportional * Ratio::from(firmware.angle_per_count())
}

/// Proportional gain in steps of the pulse-width timer a count.
///
/// # Formula
/// Kp·2π/C·n/V
///
/// # Arguments
/// * `gains` Kp \[V/rad\]
/// * `firmware` C, n \[1\], V \[V\]
///
/// # Returns
/// Steps a count \[1\]
///
/// # Validity
/// C, V > 0.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{position_loop::*, units::*};
/// use uom::si::{electric_potential::volt, magnetic_flux::weber, time::millisecond};
/// let firmware = Firmware {
///     counts_per_motor_turn: Ratio::from(12.0),
///     sample_time: Time::new::<millisecond>(1.0),
///     pwm_resolution: Ratio::from(1000.0),
///     voltage: ElectricPotential::new::<volt>(6.0),
/// };
/// let turn = core::f64::consts::TAU;
/// let gains = Gains {
///     proportional: ElectricPotential::new::<volt>(0.9 / turn),
///     derivative: MotorConstant::new::<weber>(0.009 / turn),
/// };
/// assert!((proportional_per_count(&gains, &firmware).value - 0.075).abs() < 1e-15);
/// assert!((proportional_steps(&gains, &firmware).value - 12.5).abs() < 1e-12);
/// assert!((derivative_steps(&gains, &firmware).value - 125.0).abs() < 1e-12);
/// assert!((derivative_kick(&gains, &firmware).value - 0.125).abs() < 1e-15);
/// let integral = integral_steps(&gains, &firmware, Time::new::<millisecond>(200.0));
/// assert!((integral.value - 0.0625).abs() < 1e-12);
/// ```
///
/// # Sources
/// Change of units.
#[must_use]
pub fn proportional_steps(gains: &Gains, firmware: &Firmware) -> Ratio {
    firmware.steps_per_volt(proportional_per_count(gains, firmware))
}

/// Derivative gain in steps of the pulse-width timer for one count a sample.
///
/// # Formula
/// Kd·2π/(C·Ts)·n/V
///
/// # Arguments
/// * `gains` Kd \[V·s/rad\]
/// * `firmware` C, n \[1\], Ts \[s\], V \[V\]
///
/// # Returns
/// Steps for one count a sample \[1\]
///
/// # Validity
/// C, Ts, V > 0.
///
/// # Example
/// See [`proportional_steps`].
///
/// # Sources
/// Change of units.
#[must_use]
pub fn derivative_steps(gains: &Gains, firmware: &Firmware) -> Ratio {
    derivative_kick(gains, firmware) * firmware.pwm_resolution
}

/// Integral gain in steps of the pulse-width timer for an error of one count during one sample.
///
/// # Formula
/// Kp/Ti·2π/C·Ts·n/V
///
/// # Arguments
/// * `gains` Kp \[V/rad\]
/// * `firmware` C, n \[1\], Ts \[s\], V \[V\]
/// * `integral_time` Ti \[s\]
///
/// # Returns
/// Steps for one count and one sample \[1\]
///
/// # Validity
/// C, V, Ti > 0.
///
/// # Example
/// See [`proportional_steps`].
///
/// # Sources
/// Change of units.
#[must_use]
pub fn integral_steps(gains: &Gains, firmware: &Firmware, integral_time: Time) -> Ratio {
    proportional_steps(gains, firmware) * (firmware.sample_time / integral_time)
}

/// A gain as the firmware stores it: a whole number of 65 536ths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FixedPoint {
    /// The whole number.
    pub raw: i32,
    /// Relative error of the stored gain, + = too great; 0 for a gain of 0.
    pub rounding: Ratio,
}

/// A gain in 16.16 fixed point, half away from zero.
///
/// # Formula
/// q = round(g·2^16), error q/(g·2^16) − 1
///
/// # Arguments
/// * `gain` g in steps of the pulse-width timer \[1\]
///
/// # Returns
/// q and its relative error \[1\], none where q does not fit 32 bits
///
/// # Validity
/// |g| < 32 768.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{position_loop::fixed_point, units::Ratio};
/// let stored = fixed_point(Ratio::from(0.1)).unwrap();
/// assert_eq!(stored.raw, 6554);
/// assert!((stored.rounding.value - 6.1e-5).abs() < 1e-6);
/// assert_eq!(fixed_point(Ratio::from(32_768.0)), None);
/// ```
///
/// # Sources
/// Definition of a fixed-point number.
#[must_use]
pub fn fixed_point(gain: Ratio) -> Option<FixedPoint> {
    let scaled = gain.value * 65_536.0;
    let rounded = libm::round(scaled);
    if !(rounded >= f64::from(i32::MIN) && rounded <= f64::from(i32::MAX)) {
        return None;
    }
    let rounding = if scaled == 0.0 {
        0.0
    } else {
        rounded / scaled - 1.0
    };
    #[expect(clippy::cast_possible_truncation, reason = "whole and in range")]
    let raw = rounded as i32;
    Some(FixedPoint {
        raw,
        rounding: Ratio::from(rounding),
    })
}

/// Step between two speeds that the difference of two counts can tell apart.
///
/// # Formula
/// 2π/(C·Ts)
///
/// # Arguments
/// * `firmware` C \[1\], Ts \[s\]
///
/// # Returns
/// Speed of the motor \[rad/s\]
///
/// # Validity
/// C, Ts > 0.
///
/// # Example
/// No published value: one count of 12 in 1 ms is 5000 turns a minute.
/// ```
/// use pulsewright_calc::{position_loop::{Firmware, speed_quantum}, units::*};
/// use uom::si::{angular_velocity::revolution_per_minute, electric_potential::volt};
/// let quantum = speed_quantum(&Firmware {
///     counts_per_motor_turn: Ratio::from(12.0),
///     sample_time: Time::new::<uom::si::time::millisecond>(1.0),
///     pwm_resolution: Ratio::from(1000.0),
///     voltage: ElectricPotential::new::<volt>(6.0),
/// });
/// assert!((quantum.get::<revolution_per_minute>() - 5000.0).abs() < 1e-9);
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn speed_quantum(firmware: &Firmware) -> AngularVelocity {
    (firmware.angle_per_count() / firmware.sample_time).into()
}

/// Share of the supply by which one count in one sample makes the derivative part jump.
///
/// # Formula
/// Kd·2π/(C·Ts)/V
///
/// # Arguments
/// * `gains` Kd \[V·s/rad\]
/// * `firmware` C \[1\], Ts \[s\], V \[V\]
///
/// # Returns
/// Share \[1\]; above 0.2 the derivative is coarse
///
/// # Validity
/// C, Ts, V > 0.
///
/// # Example
/// See [`proportional_steps`].
///
/// # Sources
/// Quantisation of a difference; the limit is common practice, no source.
#[must_use]
pub fn derivative_kick(gains: &Gains, firmware: &Firmware) -> Ratio {
    let jump: ElectricPotential = gains.derivative * speed_quantum(firmware);
    jump / firmware.voltage
}

/// How the controller samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sampling {
    /// Period Ts of the control interrupt.
    pub sample_time: Time,
    /// Samples d between reading the count and the new voltage.
    pub delay: Ratio,
}

impl Sampling {
    /// Dead time of the loop, (½ + d)·Ts: half a sample for the hold.
    #[must_use]
    pub fn dead_time(&self) -> Time {
        (0.5 + self.delay.value) * self.sample_time
    }
}

/// Where the loop's gain crosses one, and how far its phase is then from −180°.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margin {
    /// Frequency at which the open loop has the gain 1.
    pub crossover: Frequency,
    /// Phase margin; 0 from half the sampling frequency on, below 0 for an unstable loop.
    pub phase_margin: Angle,
}

/// Crossover and phase margin of the position loop.
///
/// # Formula
/// L(s) = (Kp + Kd·s)/(Ke·s·(τ·s + 1)·(τe·s + 1))·e^(−(½ + d)·Ts·s); |L(jωc)| = 1;
/// φ = π/2 + atan(Kd·ωc/Kp) − atan(τ·ωc) − atan(τe·ωc) − (½ + d)·Ts·ωc, 0 where ωc ≥ π/Ts
///
/// # Arguments
/// * `gains` Kp \[V/rad\], Kd \[V·s/rad\]
/// * `plant` Ke \[V·s/rad\], τ, τe \[s\]
/// * `sampling` Ts \[s\], d \[1\]
///
/// # Returns
/// ωc/2π \[Hz\] and φ \[rad\], none where Kp, Ke or τ is not positive
///
/// # Validity
/// Linear loop. |L| = 1 has one solution: in ωc² it is a cubic whose coefficients change sign
/// once, even where the derivative part makes |L| rise on the way.
///
/// # Example
/// Unity feedback of the plant of the Control Tutorials, DC Motor Position (friction left out),
/// sampled at 1 ms with one sample of delay; python-control 0.10.2, see the tests: 5.0895 Hz,
/// 58.438°.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{position_loop::*, units::*};
/// use uom::si::{angle::degree, electric_potential::volt, electrical_resistance::ohm};
/// use uom::si::{inductance::henry, magnetic_flux::weber, time::millisecond};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let plant = plant(
///     MotorConstant::new::<weber>(0.0274),
///     ElectricalResistance::new::<ohm>(4.0),
///     Inductance::new::<henry>(2.75e-6),
///     MomentOfInertia::new::<kilogram_square_meter>(3.2284e-6),
/// );
/// let gains = Gains {
///     proportional: ElectricPotential::new::<volt>(1.0),
///     derivative: MotorConstant::new::<weber>(0.0),
/// };
/// let sampling = Sampling {
///     sample_time: Time::new::<millisecond>(1.0),
///     delay: Ratio::from(1.0),
/// };
/// let margin = loop_margin(&gains, &plant, &sampling).unwrap();
/// assert!(agrees(margin.crossover.value, "5.0895"));
/// assert!(agrees(margin.phase_margin.get::<degree>(), "58.438"));
/// ```
///
/// # Sources
/// Bode's margins; the cubic is derived here.
#[must_use]
pub fn loop_margin(gains: &Gains, plant: &Plant, sampling: &Sampling) -> Option<Margin> {
    let (crossover, phase) = crossing(gains, plant, sampling)?;
    let beyond = crossover * sampling.sample_time.value >= PI;
    Some(Margin {
        crossover: Frequency::new::<hertz>(crossover / TAU),
        phase_margin: Angle::new::<radian>(if beyond { 0.0 } else { phase }),
    })
}

/// The lesser of the margins with the load meshed and with the motor alone in the gears' play.
///
/// # Formula
/// The [`loop_margin`] of lesser φ
///
/// # Arguments
/// * `gains` Kp \[V/rad\], Kd \[V·s/rad\]
/// * `meshed` plant with J = Jr + JL/(N²·η)
/// * `in_play` plant with J = Jr, where there is backlash
/// * `sampling` Ts \[s\], d \[1\]
///
/// # Returns
/// ωc/2π \[Hz\] and φ \[rad\] of the worse case, none as in [`loop_margin`]
///
/// # Validity
/// As [`loop_margin`].
///
/// # Example
/// No published value; see the tests.
///
/// # Sources
/// The motor alone in the play: common practice, no source.
#[must_use]
pub fn least_margin(
    gains: &Gains,
    meshed: &Plant,
    in_play: Option<&Plant>,
    sampling: &Sampling,
) -> Option<Margin> {
    let meshed = loop_margin(gains, meshed, sampling)?;
    let Some(in_play) = in_play else {
        return Some(meshed);
    };
    let free = loop_margin(gains, in_play, sampling)?;
    Some(if free.phase_margin < meshed.phase_margin {
        free
    } else {
        meshed
    })
}

/// Crossover in rad/s and phase margin in rad, not cut at half the sampling frequency.
fn crossing(gains: &Gains, plant: &Plant, sampling: &Sampling) -> Option<(f64, f64)> {
    let (kp, kd) = (gains.proportional.value, gains.derivative.value);
    let ke = plant.back_emf_constant.value;
    let (tau, electrical) = (plant.mechanical.value, plant.electrical.value);
    if !(kp > 0.0 && ke > 0.0 && tau > 0.0 && electrical >= 0.0) {
        return None;
    }
    let squared = crossing_squared(kp * tau / ke, kd / ke, electrical / tau)?;
    let crossover = squared.sqrt() / tau;
    // (Kp + j·Kd·ω)·(1 − j·τ·ω)·(1 − j·τe·ω) has the phase of L plus 90°, between −180° and 90°.
    let (a, b) = (crossover * tau, crossover * electrical);
    let (real, imaginary) = (1.0 - a * b, -(a + b));
    let lead = kd * crossover;
    let phase = libm::atan2(kp * imaginary + lead * real, kp * real - lead * imaginary);
    let margin = FRAC_PI_2 + phase - crossover * sampling.dead_time().value;
    (crossover.is_finite() && margin.is_finite()).then_some((crossover, margin))
}

/// The positive root u = (ωc·τ)² of r²·u³ + (1 + r²)·u² + (1 − d²)·u − p², where p = Kp·τ/Ke,
/// d = Kd/Ke and r = τe/τ.
///
/// The polynomial is convex for u > 0 and negative at 0, so that Newton's steps from any point
/// above the root fall to it without overshooting.
fn crossing_squared(p: f64, d: f64, r: f64) -> Option<f64> {
    let (cubic, square, linear, constant) = (r * r, 1.0 + r * r, 1.0 - d * d, p * p);
    let mut u = above_crossing(p, d, r);
    for _ in 0..64 {
        let value = ((cubic * u + square) * u + linear) * u - constant;
        let slope = (3.0 * cubic * u + 2.0 * square) * u + linear;
        let step = value / slope;
        u -= step;
        if step.is_nan() || step <= 1e-15 * u {
            break;
        }
    }
    (u.is_finite() && u > 0.0).then_some(u)
}

/// A place at or above the root of [`crossing_squared`], and not far.
fn above_crossing(p: f64, d: f64, r: f64) -> f64 {
    let (cubic, square, linear, constant) = (r * r, 1.0 + r * r, 1.0 - d * d, p * p);
    // Without its cubic term the polynomial has its root too high.
    let root = (linear * linear + 4.0 * square * constant).sqrt();
    let u = if linear >= 0.0 {
        2.0 * constant / (linear + root)
    } else {
        (root - linear) / (2.0 * square)
    };
    // Where the cubic term rules, the root without the square term is nearer.
    if cubic * u <= square {
        return u;
    }
    u.min(if linear >= 0.0 {
        libm::cbrt(constant / cubic)
    } else {
        (-2.0 * linear / cubic)
            .sqrt()
            .max(libm::cbrt(2.0 * constant / cubic))
    })
}

/// What bounds the bandwidth of the loop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandwidthLimit {
    /// The plant with the load meshed, for which the gains are made.
    pub meshed: Plant,
    /// The plant of the motor alone, where there is backlash.
    pub in_play: Option<Plant>,
    /// Damping ζ asked for.
    pub damping: Ratio,
    /// Counts, sample time and voltage of the firmware.
    pub firmware: Firmware,
    /// Samples between reading the count and the new voltage.
    pub delay: Ratio,
}

/// Largest bandwidth that keeps the derivative quiet and the phase margin.
///
/// # Formula
/// greatest f with [`derivative_kick`] ≤ 0.2 and [`least_margin`] ≥ 40° for the [`gains`] of f
///
/// # Arguments
/// * `limit` plants, ζ \[1\], C \[1\], Ts \[s\], V \[V\], d \[1\]
///
/// # Returns
/// f \[Hz\], none where no bandwidth does or a figure is not positive
///
/// # Validity
/// Sought downwards in steps of a factor 1.4, then to 1e-9: a window of good margins narrower
/// than a step, above a range of bad ones, is passed over.
///
/// # Example
/// No published value: at the limit one of the two conditions holds exactly.
/// ```
/// use pulsewright_calc::{position_loop::*, units::*};
/// use uom::si::{angle::degree, electric_potential::volt, magnetic_flux::weber};
/// use uom::si::time::{microsecond, millisecond};
/// let plant = Plant {
///     back_emf_constant: MotorConstant::new::<weber>(0.004),
///     mechanical: Time::new::<millisecond>(20.0),
///     electrical: Time::new::<microsecond>(200.0),
/// };
/// let firmware = Firmware {
///     counts_per_motor_turn: Ratio::from(1200.0),
///     sample_time: Time::new::<millisecond>(1.0),
///     pwm_resolution: Ratio::from(1000.0),
///     voltage: ElectricPotential::new::<volt>(6.0),
/// };
/// let (damping, delay) = (Ratio::from(1.0), Ratio::from(1.0));
/// let limit = BandwidthLimit { meshed: plant, in_play: None, damping, firmware, delay };
/// let most = gains(bandwidth_limit(&limit).unwrap(), damping, &plant);
/// let sampling = Sampling { sample_time: firmware.sample_time, delay };
/// let margin = loop_margin(&most, &plant, &sampling).unwrap();
/// assert!((margin.phase_margin.get::<degree>() - 40.0).abs() < 1e-6);
/// assert!(derivative_kick(&most, &firmware).value < 0.2);
/// ```
///
/// # Sources
/// Both limits are common practice, no source.
#[must_use]
pub fn bandwidth_limit(limit: &BandwidthLimit) -> Option<Frequency> {
    let (tau, ke) = (
        limit.meshed.mechanical.value,
        limit.meshed.back_emf_constant.value,
    );
    let electrical = limit.meshed.electrical.value;
    let sampling = Sampling {
        sample_time: limit.firmware.sample_time,
        delay: limit.delay,
    };
    let (sample, dead) = (sampling.sample_time.value, sampling.dead_time().value);
    let asked = LEAST_PHASE_MARGIN_DEGREES.to_radians();
    // Distance from the nearer limit, continuous: margin, or half the sampling frequency.
    let excess = |natural: f64| -> Option<f64> {
        let bandwidth = Frequency::new::<hertz>(natural / TAU);
        let gains = gains(bandwidth, limit.damping, &limit.meshed);
        let distance = |plant: &Plant| {
            let (crossover, phase) = crossing(&gains, plant, &sampling)?;
            Some((phase - asked).min(PI - crossover * sample))
        };
        let meshed = distance(&limit.meshed)?;
        match &limit.in_play {
            Some(plant) => Some(meshed.min(distance(plant)?)),
            None => Some(meshed),
        }
    };
    // The kick bounds Kd, hence ωn; and a crossover past half the sampling frequency, or a dead
    // time that eats all of 180° − 40°, bounds Kp.
    let kick = GREATEST_DERIVATIVE_KICK
        * (limit.firmware.voltage
            / (limit.meshed.back_emf_constant * speed_quantum(&limit.firmware)))
        .value;
    let quiet = (1.0 + kick) / (2.0 * limit.damping.value * tau);
    let fastest = (PI / sample).min((PI - asked) / dead);
    let gain = fastest
        * (1.0 + (tau * fastest).powi(2)).sqrt()
        * (1.0 + (electrical * fastest).powi(2)).sqrt();
    let bounded = (gain / tau).sqrt().max(0.5 / tau);
    let mut bad = quiet.min(bounded);
    if !(bad > 0.0 && bad.is_finite() && ke > 0.0) {
        return None;
    }
    let mut bad_excess = excess(bad)?;
    if bad_excess >= 0.0 {
        return Some(Frequency::new::<hertz>(bad / TAU));
    }
    for _ in 0..64 {
        let good = bad / 1.4;
        let good_excess = excess(good)?;
        if good_excess >= 0.0 {
            let natural = falling_root(excess, (good, good_excess), (bad, bad_excess))?;
            return Some(Frequency::new::<hertz>(natural / TAU));
        }
        (bad, bad_excess) = (good, good_excess);
    }
    None
}

/// Root of a function that is not negative at the lower end and negative at the upper one, by
/// the Illinois form of the secant rule. The result is on the good side, by a hair more than two
/// evaluations of one bandwidth differ: past the root there may be no crossover below half the
/// sampling frequency, and then no margin at all.
fn falling_root(
    function: impl Fn(f64) -> Option<f64>,
    (mut good, mut above): (f64, f64),
    (mut bad, mut below): (f64, f64),
) -> Option<f64> {
    const HAIR: f64 = 1e-10;
    let mut last_was_good = None;
    for _ in 0..100 {
        let middle = (good * below - bad * above) / (below - above);
        if bad - good <= HAIR * good || !(good < middle && middle < bad) {
            break;
        }
        let value = function(middle)?;
        let is_good = value >= 0.0;
        if is_good {
            (good, above) = (middle, value);
        } else {
            (bad, below) = (middle, value);
        }
        if value.abs() < 1e-10 {
            break;
        }
        // The end that stays put twice weighs half.
        if last_was_good == Some(is_good) {
            if is_good { below *= 0.5 } else { above *= 0.5 }
        }
        last_was_good = Some(is_good);
    }
    // The rule may have come to the root from above, with the good end still far off.
    let mut back = HAIR;
    while good < bad * (1.0 - back) {
        if function(bad * (1.0 - back))? >= 0.0 {
            good = bad * (1.0 - back);
            break;
        }
        back *= 10.0;
    }
    Some(good * (1.0 - HAIR))
}

/// Torque that the resting loop sets against a displacement of the output.
///
/// # Formula
/// k = N²·Kp·Kt/R
///
/// # Arguments
/// * `gains` Kp \[V/rad\]
/// * `ratio` N \[1\]
/// * `torque_constant` Kt \[N·m/A\]
/// * `resistance` R, motor and bridge \[Ω\]
///
/// # Returns
/// k at the output \[N·m/rad\]
///
/// # Validity
/// R > 0; no integral part, voltage not at its limit, no friction.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{position_loop::{Gains, static_stiffness}, units::*};
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm, magnetic_flux::weber};
/// let gains = Gains {
///     proportional: ElectricPotential::new::<volt>(0.5),
///     derivative: MotorConstant::new::<weber>(0.0),
/// };
/// let k = static_stiffness(
///     &gains,
///     Ratio::from(100.0),
///     MotorConstant::new::<weber>(0.004),
///     ElectricalResistance::new::<ohm>(5.0),
/// );
/// assert!((k.value - 4.0).abs() < 1e-12);
/// ```
///
/// # Sources
/// Steady state of motor and proportional controller.
#[must_use]
pub fn static_stiffness(
    gains: &Gains,
    ratio: Ratio,
    torque_constant: MotorConstant,
    resistance: ElectricalResistance,
) -> Stiffness {
    (ratio * ratio * gains.proportional * torque_constant / resistance).into()
}

/// Displacement of the output that a proportional loop needs to ask for a current.
///
/// # Formula
/// R·I/(Kp·N)
///
/// # Arguments
/// * `gains` Kp \[V/rad\]
/// * `current` I at rest, hold.current_worst_case \[A\]
/// * `resistance` R, motor and bridge \[Ω\]
/// * `ratio` N \[1\]
///
/// # Returns
/// Displacement at the output \[rad\], none where Kp·N is not positive
///
/// # Validity
/// No integral part, voltage not at its limit.
///
/// # Example
/// No published value: the torque of the current over the [`static_stiffness`].
/// ```
/// use pulsewright_calc::{position_loop::*, units::*};
/// use uom::si::{electric_current::ampere, electric_potential::volt};
/// use uom::si::{electrical_resistance::ohm, magnetic_flux::weber};
/// let kt = MotorConstant::new::<weber>(0.004);
/// let gains = Gains { proportional: ElectricPotential::new::<volt>(0.5), derivative: 0.0 * kt };
/// let (r, n) = (ElectricalResistance::new::<ohm>(5.0), Ratio::from(100.0));
/// let i = ElectricCurrent::new::<ampere>(0.1);
/// let droop = proportional_droop(&gains, i, r, n).unwrap();
/// let torque: Torque = (n * kt * i).into();
/// let by_stiffness = torque / static_stiffness(&gains, n, kt, r);
/// assert!((droop.value - by_stiffness.value).abs() < 1e-15);
/// ```
///
/// # Sources
/// Steady state of motor and proportional controller.
#[must_use]
pub fn proportional_droop(
    gains: &Gains,
    current: ElectricCurrent,
    resistance: ElectricalResistance,
    ratio: Ratio,
) -> Option<Angle> {
    let droop: Ratio = resistance * current / (gains.proportional * ratio);
    ((gains.proportional * ratio).value > 0.0 && droop.value.is_finite()).then(|| droop.into())
}

/// What the loop leaves at rest.
///
/// # Formula
/// max(droop without integral, deadband·count), with an integral part deadband·count
///
/// # Arguments
/// * `proportional` droop of a loop without integral part, from [`proportional_droop`]; none for
///   a loop with one \[rad\]
/// * `deadband` in counts \[1\]
/// * `angle_per_count` at the output \[rad\]
///
/// # Returns
/// Error at the output \[rad\]
///
/// # Validity
/// At rest, the integral settled.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{position_loop::droop, units::{Angle, Ratio}};
/// use uom::si::angle::degree;
/// let (d, count) = (Angle::new::<degree>, Angle::new::<degree>(0.25));
/// assert_eq!(droop(Some(d(1.5)), Ratio::from(2.0), count), d(1.5));
/// assert_eq!(droop(None, Ratio::from(2.0), count), d(0.5));
/// ```
///
/// # Sources
/// Steady state of the loop.
#[must_use]
pub fn droop(proportional: Option<Angle>, deadband: Ratio, angle_per_count: Angle) -> Angle {
    let dead = deadband.value * angle_per_count;
    proportional.map_or(dead, |droop| droop.abs().max(dead))
}

/// A loop that follows at constant speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Following {
    /// Back-EMF constant Ke.
    pub back_emf_constant: MotorConstant,
    /// Resistance R of motor and bridge.
    pub resistance: ElectricalResistance,
    /// Motor turns N per output turn.
    pub ratio: Ratio,
    /// Speed ω of the output, move.peak_speed.
    pub speed: AngularVelocity,
    /// Current I that the load asks for, drive.current_at_load.
    pub current: ElectricCurrent,
}

/// Angle by which the output lags behind the command at constant speed.
///
/// # Formula
/// [(Ke + Kd)·N·ω + R·I]/(Kp·N)
///
/// # Arguments
/// * `gains` Kp \[V/rad\], Kd \[V·s/rad\]
/// * `following` Ke \[V·s/rad\], R \[Ω\], N \[1\], ω \[rad/s\], I \[A\]
///
/// # Returns
/// Lag at the output \[rad\], none where Kp·N is not positive
///
/// # Validity
/// No feed-forward, no integral part, derivative of the measured count, voltage not at its limit.
///
/// # Example
/// No published value: without load and derivative the lag is ω/(Kp/Ke).
/// ```
/// use pulsewright_calc::{position_loop::*, units::*};
/// use uom::si::{angular_velocity::radian_per_second, electric_current::ampere};
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm, magnetic_flux::weber};
/// let following = Following {
///     back_emf_constant: MotorConstant::new::<weber>(0.004),
///     resistance: ElectricalResistance::new::<ohm>(5.0),
///     ratio: Ratio::from(100.0),
///     speed: AngularVelocity::new::<radian_per_second>(2.0),
///     current: ElectricCurrent::new::<ampere>(0.0),
/// };
/// let gains = Gains {
///     proportional: ElectricPotential::new::<volt>(0.1),
///     derivative: MotorConstant::new::<weber>(0.0),
/// };
/// assert!((following_error(&gains, &following).unwrap().value - 2.0 / 25.0).abs() < 1e-15);
/// ```
///
/// # Sources
/// Steady state of motor and controller.
#[must_use]
pub fn following_error(gains: &Gains, following: &Following) -> Option<Angle> {
    let opposing: ElectricPotential =
        (following.back_emf_constant + gains.derivative) * (following.ratio * following.speed);
    let per_angle = gains.proportional * following.ratio;
    let lag: Ratio = (opposing + following.resistance * following.current) / per_angle;
    (per_angle.value > 0.0 && lag.value.is_finite()).then(|| lag.into())
}

/// Frequency at which motor and load swing against each other through the gears.
///
/// # Formula
/// f = √(k·(1/JL + 1/(N²·Jr)))/2π
///
/// # Arguments
/// * `stiffness` k at the output \[N·m/rad\]
/// * `load_inertia` JL \[kg·m²\]
/// * `rotor_inertia` Jr \[kg·m²\]
/// * `ratio` N \[1\]
///
/// # Returns
/// f \[Hz\], none where an inertia or k is not positive
///
/// # Validity
/// No backlash, small damping.
///
/// # Example
/// No published value: equal inertias swing at √2 times the frequency of either alone.
/// ```
/// use pulsewright_calc::{position_loop::resonance, units::*};
/// use uom::si::{moment_of_inertia::kilogram_square_meter, torque::newton_meter};
/// let j = MomentOfInertia::new::<kilogram_square_meter>;
/// let k = Torque::new::<newton_meter>(8.0);
/// let f = resonance(k, j(4.0), j(0.04), Ratio::from(10.0)).unwrap();
/// assert!((f.value - 2.0 / core::f64::consts::TAU).abs() < 1e-15);
/// assert_eq!(resonance(k, j(0.0), j(0.04), Ratio::from(10.0)), None);
/// ```
///
/// # Sources
/// Two bodies on a torsion spring.
#[must_use]
pub fn resonance(
    stiffness: Stiffness,
    load_inertia: MomentOfInertia,
    rotor_inertia: MomentOfInertia,
    ratio: Ratio,
) -> Option<Frequency> {
    let motor = rotor_inertia * (ratio * ratio).value;
    if !(load_inertia.value > 0.0 && motor.value > 0.0 && stiffness.value > 0.0) {
        return None;
    }
    let squared = stiffness / load_inertia + stiffness / motor;
    let frequency = squared.value.sqrt() / TAU;
    frequency
        .is_finite()
        .then(|| Frequency::new::<hertz>(frequency))
}

/// Duty that keeps a current in the standing motor, the supply's sag counted.
///
/// # Formula
/// D·(V − D·I·Rs) = I·R: D = 2·I·R/(V + √(V² − 4·Rs·R·I²))
///
/// # Arguments
/// * `current` I \[A\]
/// * `resistance` R, motor and bridge \[Ω\]
/// * `voltage` V \[V\]
/// * `source_resistance` Rs, source and cable \[Ω\]
///
/// # Returns
/// D \[1\], none where the supply cannot keep the current: D > 1 or the root is not real
///
/// # Validity
/// V > 0, Rs ≥ 0, at rest.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{position_loop::hold_duty, units::*};
/// use uom::si::{electric_current::ampere, electric_potential::volt};
/// use uom::si::electrical_resistance::ohm;
/// let r = ElectricalResistance::new::<ohm>;
/// let duty = |i, source| hold_duty(
///     ElectricCurrent::new::<ampere>(i), r(5.0), ElectricPotential::new::<volt>(6.0), r(source),
/// ).map(|duty| duty.value);
/// assert_eq!(duty(0.3, 0.0), Some(0.25));
/// let d = duty(0.3, 1.0).unwrap();
/// assert!((d * (6.0 - d * 0.3) - 1.5).abs() < 1e-12);
/// assert_eq!(duty(1.3, 0.0), None);
/// ```
///
/// # Sources
/// Power balance of supply and winding.
#[must_use]
pub fn hold_duty(
    current: ElectricCurrent,
    resistance: ElectricalResistance,
    voltage: ElectricPotential,
    source_resistance: ElectricalResistance,
) -> Option<Ratio> {
    let drop = current * resistance;
    let sag = source_resistance * current;
    let root = (voltage * voltage - 4.0 * (sag * drop)).sqrt();
    let duty: Ratio = 2.0 * drop / (voltage + root);
    (voltage.value > 0.0 && duty.value.abs() <= 1.0).then_some(duty)
}

/// Time after which the firmware should give up a blocked move.
///
/// # Formula
/// min(ts/2, 2 s)
///
/// # Arguments
/// * `stall_time` ts until the stalled winding is too hot, none where it never is \[s\]
///
/// # Returns
/// Time \[s\]
///
/// # Validity
/// From a cold motor.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{position_loop::stall_timeout, units::Time};
/// use uom::si::time::second;
/// let s = Time::new::<second>;
/// assert_eq!(stall_timeout(Some(s(3.0))), s(1.5));
/// assert_eq!(stall_timeout(None), s(2.0));
/// ```
///
/// # Sources
/// Drop the current after 1 to 2 s without motion: common practice, no source.
#[must_use]
pub fn stall_timeout(stall_time: Option<Time>) -> Time {
    let longest = Time::new::<uom::si::time::second>(2.0);
    stall_time.map_or(longest, |time| longest.min(0.5 * time))
}

/// Error in counts at which the firmware should give up a move.
///
/// # Formula
/// n = ⌈2·max(|φ|, e)/a⌉
///
/// # Arguments
/// * `following_error` φ of the output at the peak speed of the move \[rad\]
/// * `tolerance` e that the axis is allowed, at the output \[rad\]
/// * `angle_per_count` a at the output \[rad\]
///
/// # Returns
/// n \[1\], none where a is not positive
///
/// # Validity
/// Any; a loop with integral part or feed-forward lags less.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{position_loop::error_limit, units::Angle};
/// use uom::si::angle::degree;
/// let d = Angle::new::<degree>;
/// assert_eq!(error_limit(d(5.0), d(2.0), d(0.3)).unwrap().value, 34.0);
/// assert_eq!(error_limit(d(1.0), d(2.0), d(0.3)).unwrap().value, 14.0);
/// assert_eq!(error_limit(d(1.0), d(2.0), d(0.0)), None);
/// ```
///
/// # Sources
/// Twice what a sound move shows: common practice, no source.
#[must_use]
pub fn error_limit(
    following_error: Angle,
    tolerance: Angle,
    angle_per_count: Angle,
) -> Option<Ratio> {
    let counts: Ratio = 2.0 * following_error.abs().max(tolerance) / angle_per_count;
    (angle_per_count.value > 0.0 && counts.value.is_finite())
        .then(|| Ratio::from(libm::ceil(counts.value)))
}

/// Greatest speed to set in the controller.
///
/// # Formula
/// min(ωp, 0.8·ωl)
///
/// # Arguments
/// * `speed_limit` ωp at which the pulses come too fast \[rad/s\]
/// * `speed_at_load` ωl of the drive \[rad/s\]
///
/// # Returns
/// Speed of the output \[rad/s\]
///
/// # Validity
/// Any.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{position_loop::top_speed, units::AngularVelocity};
/// use uom::si::angular_velocity::radian_per_second;
/// let w = AngularVelocity::new::<radian_per_second>;
/// assert_eq!(top_speed(w(5.0), w(5.0)), w(4.0));
/// assert_eq!(top_speed(w(3.0), w(5.0)), w(3.0));
/// ```
///
/// # Sources
/// A reserve of a fifth for the loop: common practice, no source.
#[must_use]
pub fn top_speed(speed_limit: AngularVelocity, speed_at_load: AngularVelocity) -> AngularVelocity {
    speed_limit.min(0.8 * speed_at_load)
}

/// Crossover and phase margin of the position loop with its integral part.
///
/// # Formula
/// L(s) = (Kp + Kp/(Ti·s) + Kd·s)/(Ke·s·(τ·s + 1)·(τe·s + 1))·e^(−(½ + d)·Ts·s); |L(jωc)| = 1;
/// φ = π/2 + atan((Kd·ωc − Kp/(Ti·ωc))/Kp) − atan(τ·ωc) − atan(τe·ωc) − (½ + d)·Ts·ωc, 0 where
/// ωc ≥ π/Ts; the least of them where the gain is 1 more than once
///
/// # Arguments
/// * `gains` Kp \[V/rad\], Kd \[V·s/rad\]
/// * `integral_time` Ti, none for a loop without integral part \[s\]
/// * `plant` Ke \[V·s/rad\], τ, τe \[s\]
/// * `sampling` Ts \[s\], d \[1\]
///
/// # Returns
/// ωc/2π \[Hz\] and φ \[rad\], none where Kp, Ti, Ke or τ is not positive
///
/// # Validity
/// Linear loop. A short Ti with a large Kd gives three crossovers: in ωc² they are the roots of a
/// quartic. Without integral part it is [`loop_margin`].
///
/// # Example
/// The loop of [`loop_margin`]'s example with Ti = 0.2 s; python-control 0.10.2, see the tests:
/// 32.2866 rad/s, 49.375°.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{position_loop::*, units::*};
/// use uom::si::{angle::degree, electric_potential::volt, electrical_resistance::ohm};
/// use uom::si::{inductance::henry, magnetic_flux::weber, time::millisecond};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let plant = plant(
///     MotorConstant::new::<weber>(0.0274),
///     ElectricalResistance::new::<ohm>(4.0),
///     Inductance::new::<henry>(2.75e-6),
///     MomentOfInertia::new::<kilogram_square_meter>(3.2284e-6),
/// );
/// let gains = Gains {
///     proportional: ElectricPotential::new::<volt>(1.0),
///     derivative: MotorConstant::new::<weber>(0.0),
/// };
/// let sampling = Sampling {
///     sample_time: Time::new::<millisecond>(1.0),
///     delay: Ratio::from(1.0),
/// };
/// let integral = Some(Time::new::<millisecond>(200.0));
/// let margin = loop_margin_with_integral(&gains, integral, &plant, &sampling).unwrap();
/// assert!(agrees(core::f64::consts::TAU * margin.crossover.value, "32.2866"));
/// assert!(agrees(margin.phase_margin.get::<degree>(), "49.375"));
/// ```
///
/// # Sources
/// Bode's margins; the quartic is derived here.
#[must_use]
pub fn loop_margin_with_integral(
    gains: &Gains,
    integral_time: Option<Time>,
    plant: &Plant,
    sampling: &Sampling,
) -> Option<Margin> {
    let Some(integral_time) = integral_time else {
        return loop_margin(gains, plant, sampling);
    };
    let (kp, kd) = (gains.proportional.value, gains.derivative.value);
    let (ke, ti) = (plant.back_emf_constant.value, integral_time.value);
    let (tau, electrical) = (plant.mechanical.value, plant.electrical.value);
    if !(kp > 0.0 && ti > 0.0 && ke > 0.0 && tau > 0.0 && electrical >= 0.0) {
        return None;
    }
    let proportional = kp * tau / ke;
    let crossings = crossings_squared(
        proportional,
        kd / ke,
        proportional * tau / ti,
        electrical / tau,
    )?;
    let mut least: Option<Margin> = None;
    for squared in crossings.into_iter().flatten() {
        let crossover = squared.sqrt() / tau;
        let beyond = crossover * sampling.sample_time.value >= PI;
        // (1 + j·lead)·(1 − j·τ·ω)·(1 − j·τe·ω) has the phase of L plus 90°, between −270° and 90°.
        let lead = kd * crossover / kp - 1.0 / (ti * crossover);
        let (a, b) = (crossover * tau, crossover * electrical);
        let (real, imaginary) = (1.0 - a * b, -(a + b));
        let around = libm::atan2(imaginary + lead * real, real - lead * imaginary);
        let turned = if around > FRAC_PI_2 { TAU } else { 0.0 };
        let phase = FRAC_PI_2 + around - turned - crossover * sampling.dead_time().value;
        let margin = Margin {
            crossover: Frequency::new::<hertz>(crossover / TAU),
            phase_margin: Angle::new::<radian>(if beyond { 0.0 } else { phase }),
        };
        (crossover.is_finite() && phase.is_finite()).then_some(())?;
        if least.is_none_or(|least| margin.phase_margin < least.phase_margin) {
            least = Some(margin);
        }
    }
    least
}

/// The lesser of the margins with the load meshed and with the motor alone in the gears' play, of
/// the loop with its integral part.
///
/// # Formula
/// The [`loop_margin_with_integral`] of lesser φ
///
/// # Arguments
/// * `gains` Kp \[V/rad\], Kd \[V·s/rad\]
/// * `integral_time` Ti, none for a loop without integral part \[s\]
/// * `meshed` plant with J = Jr + JL/(N²·η)
/// * `in_play` plant with J = Jr, where there is backlash
/// * `sampling` Ts \[s\], d \[1\]
///
/// # Returns
/// ωc/2π \[Hz\] and φ \[rad\] of the worse case and whether it is that in the play, none as in
/// [`loop_margin_with_integral`]
///
/// # Validity
/// As [`loop_margin_with_integral`].
///
/// # Example
/// No published value; see the tests.
///
/// # Sources
/// The motor alone in the play: common practice, no source.
#[must_use]
pub fn least_margin_with_integral(
    gains: &Gains,
    integral_time: Option<Time>,
    meshed: &Plant,
    in_play: Option<&Plant>,
    sampling: &Sampling,
) -> Option<(Margin, bool)> {
    let margin = |plant| loop_margin_with_integral(gains, integral_time, plant, sampling);
    let meshed = margin(meshed)?;
    let Some(in_play) = in_play else {
        return Some((meshed, false));
    };
    let free = margin(in_play)?;
    Some(if free.phase_margin < meshed.phase_margin {
        (free, true)
    } else {
        (meshed, false)
    })
}

/// Greatest bandwidth of the loop with its integral part that keeps the phase margin and a quiet
/// derivative.
///
/// # Formula
/// The greatest f with Kd·ωq ≤ 0.2·V and the φ of [`least_margin_with_integral`] at 40° or more, gains of
/// [`gains`]
///
/// # Arguments
/// * `limit` as for [`bandwidth_limit`]
/// * `integral_time` Ti, none for a loop without integral part \[s\]
///
/// # Returns
/// f \[Hz\], none where no bandwidth keeps the margin
///
/// # Validity
/// As [`bandwidth_limit`]. An integral part takes the margin of slow loops as well: what keeps it is a
/// range, and one narrower than 3 % of its frequency may be missed.
///
/// # Example
/// No published value; see the tests: the margin at the limit is the one asked for.
///
/// # Sources
/// Both limits are common practice, no source.
#[must_use]
pub fn bandwidth_limit_with_integral(
    limit: &BandwidthLimit,
    integral_time: Option<Time>,
) -> Option<Frequency> {
    /// Ratio of two bandwidths that are tried one after the other, and how many: over seven decades.
    const COARSE: (f64, u32) = (1.25, 73);
    /// The same around each that comes nearer than its neighbours and misses what keeps the margin.
    const FINE: (f64, u32) = (1.03, 16);
    let Some(integral_time) = integral_time else {
        return bandwidth_limit(limit);
    };
    let sampling = Sampling {
        sample_time: limit.firmware.sample_time,
        delay: limit.delay,
    };
    let least = LEAST_PHASE_MARGIN_DEGREES.to_radians();
    let room = |asked: f64| {
        let gains = gains(Frequency::new::<hertz>(asked), limit.damping, &limit.meshed);
        let quiet = GREATEST_DERIVATIVE_KICK - derivative_kick(&gains, &limit.firmware).value;
        if quiet < 0.0 {
            return quiet;
        }
        let margin = least_margin_with_integral(
            &gains,
            Some(integral_time),
            &limit.meshed,
            limit.in_play.as_ref(),
            &sampling,
        );
        margin.map_or(-1.0, |(margin, _)| {
            quiet.min(margin.phase_margin.value - least)
        })
    };
    // The integral part takes phase, and from a derivative part some gain: what it adds to the limit is less than
    // this, and seldom a quarter.
    let without = bandwidth_limit(limit).map(|without| without.value);
    let (near, far) = match without {
        Some(without) => (1.25 * without, 4.0 * without),
        None => (f64::INFINITY, 1.0 / sampling.sample_time.value),
    };
    let mut begins = (far, room(far));
    if !far.is_finite() || begins.1 >= 0.0 {
        return None;
    }
    if near < far {
        let at_near = room(near);
        if at_near < 0.0 {
            begins = (near, at_near);
            // Where the derivative part is the limit, the integral part has no say.
            let (below, above) = (
                without? * (1.0 - LIMIT_WITHIN),
                without? * (1.0 + 100.0 * LIMIT_WITHIN),
            );
            if room(above) < 0.0 && room(below) >= 0.0 {
                return Some(Frequency::new::<hertz>(below));
            }
        }
    }
    // From one that does not keep the margin downwards, the greatest that does.
    let descend =
        |from: (f64, f64), (step, tried): (f64, u32), peak: &dyn Fn(f64) -> Option<f64>| {
            let (mut before, mut bad) = (from, from);
            for _ in 0..tried {
                let next = bad.0 / step;
                let good = (next, room(next));
                if good.1 >= 0.0 {
                    let root = bracketed_between(room, (good, bad), LIMIT_WITHIN * next, 60);
                    let keeps = |asked: f64| room(asked) >= 0.0;
                    return Some(good_side(keeps, (good.0, bad.0), root));
                }
                if bad.1 > good.1 && bad.1 > before.1 {
                    let found = peak(before.0);
                    if found.is_some() {
                        return found;
                    }
                }
                (before, bad) = (bad, good);
            }
            None
        };
    let around = |above: f64| descend((above, room(above)), FINE, &|_| None);
    descend(begins, COARSE, &around).map(Frequency::new::<hertz>)
}

/// How near to the limit of the bandwidth the answer is, as a share of it.
const LIMIT_WITHIN: f64 = 1e-11;

/// The place nearest to `root` that keeps, between one that does and one that does not; past the root there may be no
/// margin at all.
fn good_side(
    keeps: impl Fn(f64) -> bool,
    (mut good, mut bad): (f64, f64),
    root: Option<f64>,
) -> f64 {
    if let Some(root) = root {
        let below = root * (1.0 - LIMIT_WITHIN);
        if below > good {
            if keeps(below) {
                return below;
            }
            bad = below;
        }
    }
    while bad - good > LIMIT_WITHIN * good {
        let between = 0.5 * (good + bad);
        if keeps(between) {
            good = between;
        } else {
            bad = between;
        }
    }
    good
}

/// The positive roots u = (ωc·τ)² of g(u) = r²·u² + (1 + r²)·u + 1 − d² − (p² − 2·d·q)/u − q²/u²,
/// where p = Kp·τ/Ke, d = Kd/Ke, q = Kp·τ²/(Ke·Ti) and r = τe/τ: one, or three.
///
/// Where p² ≥ 2·d·q, g rises throughout. Else u³·g′ is convex and above 0 at u = 0: it has no root
/// or two, and g rises, falls and rises.
fn crossings_squared(p: f64, d: f64, q: f64, r: f64) -> Option<[Option<f64>; 3]> {
    let (square, linear, constant) = (r * r, 1.0 + r * r, 1.0 - d * d);
    let (inverse, inverse_square) = (2.0 * d * q - p * p, q * q);
    let g = |u: f64| (square * u + linear) * u + constant + (inverse - inverse_square / u) / u;
    if inverse > 0.0 {
        // u³·g′, its slope, and the one root of the slope.
        let h = |u: f64| ((2.0 * square * u + linear) * u * u - inverse) * u + 2.0 * inverse_square;
        let slope = |u: f64| (8.0 * square * u + 3.0 * linear) * u * u - inverse;
        let turn = rising_root(slope, 0.0, (inverse / (3.0 * linear)).sqrt())?;
        if h(turn) < 0.0 {
            let greatest = bracketed(h, 0.0, turn, 0.0, 400)?;
            let least = rising_root(h, turn, turn)?;
            let between = (g(greatest) > 0.0 && g(least) < 0.0)
                .then(|| bracketed(g, greatest, least, 0.0, 400))
                .flatten();
            let first = (g(greatest) > 0.0)
                .then(|| rising_root(g, 0.0, greatest))
                .flatten();
            let last = (g(least) < 0.0)
                .then(|| rising_root(g, least, least))
                .flatten();
            return Some([first, between, last]);
        }
    }
    let one = if inverse > 0.0 {
        None
    } else {
        single(p, d, q, r)
    };
    Some([Some(one.or_else(|| rising_root(g, 0.0, 1.0))?), None, None])
}

/// The root of u²·g(u) where p² ≥ 2·d·q, by Newton's steps from near that without integral part.
///
/// The polynomial begins below 0 and falls as long as it is concave: where it rises it is convex, and from any such
/// place Newton's steps come to the root from above.
fn single(p: f64, d: f64, q: f64, r: f64) -> Option<f64> {
    let (square, linear, constant) = (r * r, 1.0 + r * r, 1.0 - d * d);
    let (inverse, inverse_square) = (2.0 * d * q - p * p, q * q);
    let mut u = above_crossing(p, d, r);
    for _ in 0..64 {
        let value = (((square * u + linear) * u + constant) * u + inverse) * u - inverse_square;
        let slope = ((4.0 * square * u + 3.0 * linear) * u + 2.0 * constant) * u + inverse;
        let step = value / slope;
        u -= step;
        if !(slope > 0.0 && u > 0.0 && u.is_finite()) {
            return None;
        }
        if step.abs() <= 1e-11 * u {
            return Some(u);
        }
    }
    None
}

/// Root above `low` of a function that is below 0 just above it and rises through 0 once; `guess`
/// is a distance from `low`.
fn rising_root(function: impl Fn(f64) -> f64, low: f64, guess: f64) -> Option<f64> {
    let (mut near, mut far) = (guess, guess);
    for _ in 0..500 {
        let (below, above) = (function(low + near) <= 0.0, function(low + far) >= 0.0);
        if below && above {
            return bracketed(function, low + near, low + far, 0.0, 400);
        }
        near *= if below { 1.0 } else { 0.25 };
        far *= if above { 1.0 } else { 4.0 };
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use uom::si::{
        angle::degree, electric_potential::volt, electrical_resistance::ohm, inductance::henry,
        magnetic_flux::weber, moment_of_inertia::kilogram_square_meter, time::second,
    };

    fn sampling(sample: f64, delay: f64) -> Sampling {
        Sampling {
            sample_time: Time::new::<second>(sample),
            delay: Ratio::from(delay),
        }
    }

    fn gains_of(kp: f64, kd: f64) -> Gains {
        Gains {
            proportional: ElectricPotential::new::<volt>(kp),
            derivative: MotorConstant::new::<weber>(kd),
        }
    }

    fn plant_of(ke: f64, tau: f64, electrical: f64) -> Plant {
        Plant {
            back_emf_constant: MotorConstant::new::<weber>(ke),
            mechanical: Time::new::<second>(tau),
            electrical: Time::new::<second>(electrical),
        }
    }

    /// python-control 0.10.2, numpy 2: with tau = R·J/Ke², te = L/R,
    /// `_, pm, _, wp = control.margin(tf([Kd, Kp], [1])·tf([1/Ke], [tau, 1, 0])·tf([1], [te, 1]))`,
    /// then wp and pm − degrees(wp·(½ + d)·Ts); the same from `FrequencyResponseData` of the
    /// product with its e^(−jωTd).
    #[test]
    #[expect(clippy::unreadable_literal, reason = "as printed by the library")]
    fn margins_agree_with_python_control() {
        for [ke, r, l, j, kp, kd, ts, d, crossover, margin] in [
            [
                4e-3, 6.0, 1.2e-3, 3e-8, 0.9, 4e-3, 1e-3, 1.0, 141.381941, 50.53139,
            ],
            [
                4.6775e-3, 4.2, 8e-4, 6e-8, 0.3, 0.0, 1e-3, 1.0, 54.358289, 52.68465,
            ],
            [
                0.02, 1.5, 1e-3, 5e-6, 20.0, 0.2, 2e-4, 1.0, 511.565951, 57.26647,
            ],
            [
                0.01, 3.0, 5e-2, 1e-7, 2.0, 0.01, 1e-3, 0.0, 106.158309, 36.72726,
            ],
            [
                0.0274, 4.0, 2.75e-6, 3.2284e-6, 1.0, 0.0, 1e-3, 1.0, 31.978071, 58.43764,
            ],
            [
                4e-3,
                6.0,
                1.2e-3,
                3e-8,
                60.0,
                0.3,
                1e-4,
                2.0,
                4808.499352,
                -24.08088,
            ],
            [
                3e-3, 8.0, 0.0, 2e-8, 0.5, 0.02, 5e-4, 3.0, 371.614554, 57.49770,
            ],
        ] {
            let plant = plant(
                MotorConstant::new::<weber>(ke),
                ElectricalResistance::new::<ohm>(r),
                Inductance::new::<henry>(l),
                MomentOfInertia::new::<kilogram_square_meter>(j),
            );
            let found = loop_margin(&gains_of(kp, kd), &plant, &sampling(ts, d)).unwrap();
            assert!(
                (found.crossover.value * TAU / crossover - 1.0).abs() < 1e-7,
                "{crossover}"
            );
            let degrees = found.phase_margin.get::<degree>();
            assert!((degrees - margin).abs() < 1e-5, "{crossover}: {degrees}");
        }
    }

    /// Without delay and electrical time constant the loop is ωn²/(s² + 2ζ·ωn·s + ωn²) and its
    /// margin atan(2ζ/√(√(1 + 4ζ⁴) − 2ζ²)): the textbook relation, from memory.
    #[test]
    fn margin_of_a_second_order_loop() {
        let zeta = 0.5_f64;
        // ωn·τ = 1/(2ζ): no derivative part.
        let plant = plant_of(0.01, 0.05, 0.0);
        let bandwidth = Frequency::new::<hertz>(1.0 / (2.0 * zeta * 0.05) / TAU);
        let gains = gains(bandwidth, Ratio::from(zeta), &plant);
        assert!(gains.derivative.value.abs() < 1e-15);
        let none = sampling(1e-12, 0.0);
        let margin = loop_margin(&gains, &plant, &none).unwrap().phase_margin;
        let z2 = zeta * zeta;
        let textbook = libm::atan(2.0 * zeta / ((1.0 + 4.0 * z2 * z2).sqrt() - 2.0 * z2).sqrt());
        assert!((margin.value - textbook).abs() < 1e-9);
    }

    #[test]
    fn nothing_without_gain_or_inertia() {
        let s = sampling(1e-3, 1.0);
        let plant = plant_of(0.004, 0.01, 1e-4);
        assert_eq!(loop_margin(&gains_of(0.0, 0.1), &plant, &s), None);
        assert_eq!(loop_margin(&gains_of(f64::NAN, 0.1), &plant, &s), None);
        assert_eq!(loop_margin(&gains_of(1e300, 0.1), &plant, &s), None);
        assert_eq!(
            loop_margin(&gains_of(1.0, 0.1), &plant_of(0.004, 0.0, 0.0), &s),
            None
        );
        assert_eq!(
            loop_margin(&gains_of(1.0, 0.1), &plant_of(0.0, 0.1, 0.0), &s),
            None
        );
        // Past half the sampling frequency the margin is 0.
        let slow = loop_margin(&gains_of(50.0, 0.5), &plant, &sampling(0.1, 0.0)).unwrap();
        assert_eq!(slow.phase_margin.value, 0.0);
    }

    prop_compose! {
        fn plants()(
            ke in 1e-3_f64..0.1, tau in 1e-3_f64..0.5, electrical in 1e-3_f64..0.7,
        ) -> Plant {
            plant_of(ke, tau, electrical * tau)
        }
    }

    proptest! {
        /// The open loop has the gain 1 at the crossover and the phase that is stated.
        #[test]
        fn gain_is_one_at_the_crossover(
            plant in plants(), p in 0.01_f64..1e4, d in 0.0_f64..100.0,
            exponent in -6.0_f64..-1.0, delay in 0.0_f64..5.0,
        ) {
            let (ke, tau) = (plant.back_emf_constant.value, plant.mechanical.value);
            let gains = gains_of(p * ke / tau, d * ke);
            let found = loop_margin(&gains, &plant, &sampling(libm::exp10(exponent), delay)).unwrap();
            let w = found.crossover.value * TAU;
            let numerator = libm::hypot(gains.proportional.value, gains.derivative.value * w);
            let denominator = ke * w * libm::hypot(1.0, w * tau) * libm::hypot(1.0, w * plant.electrical.value);
            prop_assert!((numerator / denominator - 1.0).abs() < 1e-9);
            let phase = FRAC_PI_2 + libm::atan(gains.derivative.value * w / gains.proportional.value)
                - libm::atan(w * tau) - libm::atan(w * plant.electrical.value)
                - w * (0.5 + delay) * libm::exp10(exponent);
            let expected = if w * libm::exp10(exponent) >= PI { 0.0 } else { phase };
            prop_assert!((found.phase_margin.value - expected).abs() < 1e-9);
        }

        /// More delay never more phase margin.
        #[test]
        fn delay_eats_margin(
            plant in plants(), p in 0.01_f64..1e3, d in 0.0_f64..20.0, delay in 0.0_f64..4.0, more in 0.0_f64..4.0,
        ) {
            let (ke, tau) = (plant.back_emf_constant.value, plant.mechanical.value);
            let gains = gains_of(p * ke / tau, d * ke);
            let margin = |delay: f64| loop_margin(&gains, &plant, &sampling(1e-3, delay)).unwrap().phase_margin;
            prop_assert!(margin(delay + more) <= margin(delay));
        }

        /// The lesser margin is never above either.
        #[test]
        fn lesser_margin(plant in plants(), free in 0.05_f64..1.0, p in 0.01_f64..1e3, d in 0.0_f64..20.0) {
            let (ke, tau) = (plant.back_emf_constant.value, plant.mechanical.value);
            let gains = gains_of(p * ke / tau, d * ke);
            let in_play = Plant { mechanical: plant.mechanical * free, ..plant };
            let s = sampling(1e-3, 1.0);
            let least = least_margin(&gains, &plant, Some(&in_play), &s).unwrap();
            for each in [&plant, &in_play] {
                prop_assert!(least.phase_margin <= loop_margin(&gains, each, &s).unwrap().phase_margin);
            }
            prop_assert_eq!(least_margin(&gains, &plant, None, &s), loop_margin(&gains, &plant, &s));
        }

        /// The gains place the poles: the closed loop of the plant without τe has ωn and ζ.
        #[test]
        fn poles_are_placed(
            plant in plants(), turns in prop_oneof![0.01_f64..1.0, 1.0_f64..20.0], zeta in 0.4_f64..1.0,
        ) {
            let (ke, tau) = (plant.back_emf_constant.value, plant.mechanical.value);
            let natural = turns / tau;
            let gains = gains(Frequency::new::<hertz>(natural / TAU), Ratio::from(zeta), &plant);
            // τ·s² + (1 + Kd/Ke)·s + Kp/Ke
            let (b, c) = ((1.0 + gains.derivative.value / ke) / tau, gains.proportional.value / ke / tau);
            if turns > 0.5 {
                prop_assert!((c.sqrt() / natural - 1.0).abs() < 1e-9);
                prop_assert!(b >= 2.0 * zeta * natural * (1.0 - 1e-9));
                prop_assert!(gains.derivative.value == 0.0 || (b / (2.0 * zeta * natural) - 1.0).abs() < 1e-9);
            } else {
                // −ωn is a pole.
                prop_assert!((natural * natural - b * natural + c).abs() < 1e-9 * c);
            }
        }

        /// The bandwidth limit keeps both conditions, and a little more breaks one.
        #[test]
        fn bandwidth_limit_is_the_limit(
            plant in plants(), free in 0.05_f64..1.0, zeta in 0.4_f64..1.0, counts in 4.0_f64..4000.0,
            exponent in -4.5_f64..-2.0, volts in 1.0_f64..30.0, delay in 0.0_f64..4.0, play in any::<bool>(),
        ) {
            let in_play = play.then(|| Plant { mechanical: plant.mechanical * free, ..plant });
            let limit = BandwidthLimit {
                meshed: plant,
                in_play,
                damping: Ratio::from(zeta),
                firmware: Firmware {
                    counts_per_motor_turn: Ratio::from(counts),
                    sample_time: Time::new::<second>(libm::exp10(exponent)),
                    pwm_resolution: Ratio::from(1000.0),
                    voltage: ElectricPotential::new::<volt>(volts),
                },
                delay: Ratio::from(delay),
            };
            let keeps = |bandwidth: Frequency, slack: f64| {
                let gains = gains(bandwidth, limit.damping, &plant);
                let s = Sampling { sample_time: limit.firmware.sample_time, delay: limit.delay };
                let margin = least_margin(&gains, &plant, in_play.as_ref(), &s).unwrap();
                derivative_kick(&gains, &limit.firmware).value <= 0.2 + slack
                    && margin.phase_margin.get::<degree>() >= 40.0 - slack
            };
            let found = bandwidth_limit(&limit).unwrap();
            prop_assert!(keeps(found, 1e-6));
            prop_assert!(!keeps(found * 1.000_01, 0.0));
            for step in 1..60 {
                prop_assert!(!keeps(found * 1.4_f64.powi(step), 0.0), "{step}");
            }
        }
    }

    /// python-control 0.10.2, numpy 2.4.6: with tau = R·J/Ke², te = L/R,
    /// `_, pm, _, _, wp, _ = control.stability_margins(tf([Kd, Kp, Kp/Ti], [1, 0])·tf(\[1/Ke\],
    /// [tau, 1, 0])·tf(\[1\], [te, 1]), returnall=True)`, then wp and pm − degrees(wp·(½ + d)·Ts).
    #[test]
    #[expect(clippy::unreadable_literal, reason = "as printed by the library")]
    fn margins_with_integral_agree_with_python_control() {
        for [ke, r, l, j, kp, kd, ti, ts, d, crossover, margin] in [
            [
                4e-3, 6.0, 1.2e-3, 3e-8, 0.9, 4e-3, 0.2, 1e-3, 1.0, 139.831494, 49.182162,
            ],
            [
                4.6775e-3, 4.2, 8e-4, 6e-8, 0.3, 0.0, 0.05, 1e-3, 1.0, 56.869570, 31.890448,
            ],
            [
                0.02, 1.5, 1e-3, 5e-6, 20.0, 0.2, 0.02, 2e-4, 1.0, 502.944719, 57.405821,
            ],
            [
                0.0274, 4.0, 2.75e-6, 3.2284e-6, 1.0, 0.0, 0.2, 1e-3, 1.0, 32.286627, 49.375115,
            ],
            [
                4e-3,
                6.0,
                1.2e-3,
                3e-8,
                60.0,
                0.3,
                0.01,
                1e-4,
                2.0,
                4805.693470,
                -24.026811,
            ],
            [
                3e-3, 8.0, 0.0, 2e-8, 0.5, 0.02, 0.02, 5e-4, 3.0, 368.140429, 57.853774,
            ],
        ] {
            let plant = plant(
                MotorConstant::new::<weber>(ke),
                ElectricalResistance::new::<ohm>(r),
                Inductance::new::<henry>(l),
                MomentOfInertia::new::<kilogram_square_meter>(j),
            );
            let integral = Some(Time::new::<second>(ti));
            let s = sampling(ts, d);
            let found = loop_margin_with_integral(&gains_of(kp, kd), integral, &plant, &s).unwrap();
            assert!(
                (found.crossover.value * TAU / crossover - 1.0).abs() < 1e-7,
                "{crossover}"
            );
            let degrees = found.phase_margin.get::<degree>();
            assert!((degrees - margin).abs() < 1e-5, "{crossover}: {degrees}");
        }
    }

    /// The same library and recipe, no dead time, Ke = τ = 1, τe = 0.01: the first two loops have
    /// three crossovers each, of which the first has the least margin.
    #[test]
    #[expect(clippy::unreadable_literal, reason = "as printed by the library")]
    fn the_worst_of_three_crossovers_counts() {
        for [kp, kd, ti, crossover, margin] in [
            [1.5, 6.0, 0.05, 1.932489110, -42.851741],
            [0.2, 3.0, 0.1, 0.691630274, -21.306999],
            [0.5, 3.0, 0.02, 2.158105615, -60.786209],
            [2.0, 5.0, 0.3, 4.591379824, 94.344940],
        ] {
            let integral = Some(Time::new::<second>(ti));
            let (plant, s) = (plant_of(1.0, 1.0, 0.01), sampling(1e-12, 0.0));
            let found = loop_margin_with_integral(&gains_of(kp, kd), integral, &plant, &s).unwrap();
            assert!(
                (found.crossover.value * TAU / crossover - 1.0).abs() < 1e-8,
                "{crossover}"
            );
            assert!((found.phase_margin.get::<degree>() - margin).abs() < 1e-5);
        }
        let crossings = crossings_squared(1.5, 6.0, 30.0, 0.01).unwrap();
        let expected = [1.932489110, 3.728253159, 4.156429509];
        for (found, expected) in crossings.into_iter().zip(expected) {
            assert!((found.unwrap().sqrt() - expected).abs() < 1e-8);
        }
    }

    #[test]
    fn no_margin_without_an_integral_time_above_nothing() {
        let (plant, s) = (plant_of(0.004, 0.01, 1e-4), sampling(1e-3, 1.0));
        for seconds in [0.0, -1.0, f64::NAN] {
            let integral = Some(Time::new::<second>(seconds));
            let found = loop_margin_with_integral(&gains_of(1.0, 0.01), integral, &plant, &s);
            assert_eq!(found, None);
        }
        for (kp, kd) in [
            (1e300, 0.1),
            (1.0, f64::NAN),
            (f64::NAN, 0.0),
            (1e-300, 0.0),
        ] {
            let integral = Some(Time::new::<second>(0.2));
            let found = loop_margin_with_integral(&gains_of(kp, kd), integral, &plant, &s);
            assert!(found.is_none_or(|margin| margin.phase_margin.value.is_finite()));
        }
    }

    proptest! {
        /// At the limit both conditions are kept, a thousandth above it one is broken; without a limit no bandwidth
        /// keeps them.
        #[test]
        fn the_limit_with_integral_is_one(
            plant in plants(), free in 0.05_f64..1.0, zeta in 0.4_f64..1.0, counts in 4.0_f64..4000.0,
            exponent in -4.5_f64..-2.0, integral in -2.0_f64..1.0, play in any::<bool>(),
        ) {
            let in_play = play.then(|| Plant { mechanical: plant.mechanical * free, ..plant });
            let limit = BandwidthLimit {
                meshed: plant,
                in_play,
                damping: Ratio::from(zeta),
                firmware: Firmware {
                    counts_per_motor_turn: Ratio::from(counts),
                    sample_time: Time::new::<second>(libm::exp10(exponent)),
                    pwm_resolution: Ratio::from(1000.0),
                    voltage: ElectricPotential::new::<volt>(6.0),
                },
                delay: Ratio::from(1.0),
            };
            let integral = Some(Time::new::<second>(libm::exp10(integral)));
            let s = sampling(libm::exp10(exponent), 1.0);
            let keeps = |bandwidth| {
                let gains = gains(bandwidth, limit.damping, &plant);
                let least = least_margin_with_integral(&gains, integral, &plant, in_play.as_ref(), &s);
                derivative_kick(&gains, &limit.firmware).value <= GREATEST_DERIVATIVE_KICK
                    && least.unwrap().0.phase_margin.get::<degree>() >= LEAST_PHASE_MARGIN_DEGREES - 1e-9
            };
            let Some(most) = bandwidth_limit_with_integral(&limit, integral) else {
                // What keeps the margin is nowhere wider than 3 %.
                let (mut tried, mut wide) = (1.0 / s.sample_time.value, 0);
                for _ in 0..1090 {
                    tried /= 1.015;
                    wide = if keeps(Frequency::new::<hertz>(tried)) { wide + 1 } else { 0 };
                    prop_assert!(wide < 3, "{}", tried);
                }
                return Ok(());
            };
            prop_assert!(keeps(most));
            prop_assert!(!keeps(1.001 * most));
        }

        /// The sign of the margin is that of Routh's condition (1 + d)·p > q of z³ + (1 + d)·z² +
        /// p·z + q, without dead time and electrical time constant: the textbook criterion, from
        /// memory.
        #[test]
        fn the_margin_tells_whether_the_loop_is_stable(
            p in -3.0_f64..3.0, d in prop_oneof![Just(0.0), 0.0_f64..10.0], times in -2.0_f64..2.0,
        ) {
            // With Ke = τ = 1, q = p/Ti.
            let (p, ti) = (libm::exp10(p), libm::exp10(times));
            let (plant, s) = (plant_of(1.0, 1.0, 0.0), sampling(1e-15, 0.0));
            let integral = Some(Time::new::<second>(ti));
            let found = loop_margin_with_integral(&gains_of(p, d), integral, &plant, &s).unwrap();
            let routh = (1.0 + d) * ti - 1.0;
            prop_assume!(routh.abs() > 1e-6);
            prop_assert_eq!(found.phase_margin.value > 0.0, routh > 0.0);
        }

        /// A very long integral time is none.
        #[test]
        fn slow_integral_is_none(plant in plants(), p in 0.01_f64..1e3, d in 0.0_f64..20.0) {
            let (ke, tau) = (plant.back_emf_constant.value, plant.mechanical.value);
            let (gains, s) = (gains_of(p * ke / tau, d * ke), sampling(1e-3, 1.0));
            let integral = Some(Time::new::<second>(1e9));
            let with = loop_margin_with_integral(&gains, integral, &plant, &s).unwrap();
            let without = loop_margin(&gains, &plant, &s).unwrap();
            // The integral adds a crossover of its own only where Kd > Ke and far below.
            prop_assert!(with.phase_margin <= without.phase_margin + Angle::new::<radian>(1e-6));
            if d <= 1.0 {
                prop_assert!((with.crossover / without.crossover - Ratio::from(1.0)).value.abs() < 1e-6);
                prop_assert!((with.phase_margin - without.phase_margin).value.abs() < 1e-6);
            }
            prop_assert_eq!(loop_margin_with_integral(&gains, None, &plant, &s), Some(without));
        }

        /// The lesser margin with integral is never above either.
        #[test]
        fn lesser_margin_with_integral(
            plant in plants(), free in 0.05_f64..1.0, p in 0.01_f64..1e3, d in 0.0_f64..20.0, times in -2.0_f64..1.0,
        ) {
            let (ke, tau) = (plant.back_emf_constant.value, plant.mechanical.value);
            let (gains, s) = (gains_of(p * ke / tau, d * ke), sampling(1e-3, 1.0));
            let integral = Some(Time::new::<second>(libm::exp10(times)));
            let in_play = Plant { mechanical: plant.mechanical * free, ..plant };
            let (least, free) = least_margin_with_integral(&gains, integral, &plant, Some(&in_play), &s).unwrap();
            let single = [&plant, &in_play].map(|plant| loop_margin_with_integral(&gains, integral, plant, &s).unwrap());
            for each in single {
                prop_assert!(least.phase_margin <= each.phase_margin);
            }
            prop_assert_eq!(least, single[usize::from(free)]);
        }
    }
}
