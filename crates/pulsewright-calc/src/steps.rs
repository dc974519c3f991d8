//! The pulses that the actuator obeys: electronic gearing, steps per millimetre or degree, rates.

use core::f64::consts::PI;

use crate::axis::TurnTravel;
#[cfg(not(any(test, feature = "std")))]
use crate::float::Rounding as _;
use crate::ratio::{self, Exact};
use crate::units::{Angle, AngularVelocity, Frequency, Length, Ratio, Time, finite, turns};

/// Counts that one step asks for.
///
/// # Formula
/// x = counts per output turn/steps per output turn
///
/// # Arguments
/// * `counts_per_output_turn` \[1\]
/// * `wanted_per_turn` steps per turn, none for one count a step \[1\]
///
/// # Returns
/// x, exact \[1\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where no step per turn is wanted or the quotient does not fit.
///
/// # Example
/// 12·75 counts over 3200 steps: 9/32 (computed).
/// ```
/// use pulsewright_calc::{ratio::exact, steps};
/// let x = steps::counts_per_step(exact(12 * 75, 1).unwrap(), exact(3200, 1));
/// assert_eq!(x, exact(9, 32));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn counts_per_step(
    counts_per_output_turn: Exact,
    wanted_per_turn: Option<Exact>,
) -> Option<Exact> {
    match wanted_per_turn {
        Some(wanted) => ratio::divide(counts_per_output_turn, wanted),
        None => ratio::exact(1, 1),
    }
}

/// Steps per output turn.
///
/// # Formula
/// wanted, or the counts per output turn
///
/// # Arguments
/// * `counts_per_output_turn` \[1\]
/// * `wanted_per_turn` steps per turn, none for one count a step \[1\]
///
/// # Returns
/// Steps, exact \[1\]
///
/// # Validity
/// Exact. With a last stage, times its exact ratio per turn of the axis.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{ratio::exact, steps};
/// let counts = exact(900, 1).unwrap();
/// assert_eq!(steps::steps_per_turn(counts, None), counts);
/// assert_eq!(steps::steps_per_turn(counts, exact(3200, 1)), exact(3200, 1).unwrap());
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn steps_per_turn(counts_per_output_turn: Exact, wanted_per_turn: Option<Exact>) -> Exact {
    wanted_per_turn.unwrap_or(counts_per_output_turn)
}

/// The fraction that the firmware's electronic gearing holds.
///
/// # Formula
/// p/q with 1 ≤ p, q ≤ limit of least |p/q − x|; a tie takes the smaller q
///
/// # Arguments
/// * `counts_per_step` x \[1\]
/// * `limit` greatest part, 65535 for 16 bits \[1\]
///
/// # Returns
/// (p, q) \[1\]
///
/// # Validity
/// Exact, see [`ratio::best_fraction`].
///
/// # Errors
/// None where x > limit or x < 1/limit.
///
/// # Example
/// 12·75 counts over 3200 steps: 9/32 (computed).
/// ```
/// use pulsewright_calc::{ratio::exact, steps};
/// assert_eq!(steps::gearing(exact(900, 3200).unwrap(), 65_535), Some((9, 32)));
/// ```
///
/// # Sources
/// Hayes, On the Teeth of Wheels, American Scientist 2000.
#[must_use]
pub fn gearing(counts_per_step: Exact, limit: u64) -> Option<(u64, u64)> {
    ratio::best_fraction(counts_per_step, limit)
}

/// Output angle that the electronic gearing gains per commanded turn.
///
/// # Formula
/// 2π·(p/q ÷ x − 1)
///
/// # Arguments
/// * `gearing` p, q \[1\]
/// * `counts_per_step` x \[1\]
///
/// # Returns
/// Drift per turn; exactly 0 where the fraction fits \[rad\]
///
/// # Validity
/// Formed exactly, rounded once.
///
/// # Errors
/// None where q or x is 0 or the quotient does not fit.
///
/// # Example
/// 83/10 for 191/23 (Hayes, On the Teeth of Wheels) is −1/1910 of a turn off.
/// ```
/// use pulsewright_calc::{ratio::exact, steps};
/// let x = exact(191, 23).unwrap();
/// let drift = steps::drift_per_turn((83, 10), x).unwrap();
/// assert_eq!(drift, pulsewright_calc::units::turns(-1.0 / 1910.0));
/// assert_eq!(steps::drift_per_turn((191, 23), x).unwrap().value, 0.0);
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn drift_per_turn(gearing: (u64, u64), counts_per_step: Exact) -> Option<Angle> {
    let held = ratio::exact(gearing.0.into(), gearing.1.into())?;
    relative_error(held, counts_per_step).map(turns)
}

/// a/b − 1, rounded once.
fn relative_error(held: Exact, wanted: Exact) -> Option<f64> {
    let error = ratio::subtract(ratio::divide(held, wanted)?, ratio::exact(1, 1)?)?;
    ratio::to_f64(error)
}

/// Angle of one step.
///
/// # Formula
/// 2π/s
///
/// # Arguments
/// * `steps_per_turn` s \[1\]
///
/// # Returns
/// Angle \[rad\]
///
/// # Validity
/// As commanded; below one count the axis cannot follow single steps.
///
/// # Errors
/// None where s = 0.
///
/// # Example
/// 120 steps a turn are 3° (Burman, Special Electrical Machines, Ex. 3.2–3.5,
/// pp. 191–194).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{ratio::exact, steps};
/// use uom::si::angle::degree;
/// let angle = steps::angle_per_step(exact(120, 1).unwrap()).unwrap();
/// assert!(agrees(angle.get::<degree>(), "3.000"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn angle_per_step(steps_per_turn: Exact) -> Option<Angle> {
    ratio::to_f64(ratio::divide(ratio::exact(1, 1)?, steps_per_turn)?).map(turns)
}

/// Travel of one step.
///
/// # Formula
/// L/s
///
/// # Arguments
/// * `travel_per_turn` L \[m\]
/// * `steps_per_turn` s \[1\]
///
/// # Returns
/// Travel \[m\]
///
/// # Validity
/// As commanded.
///
/// # Errors
/// None where s = 0.
///
/// # Example
/// No published value: 40 mm over 3200 steps.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{ratio::exact, steps, units::Length};
/// use uom::si::length::millimeter;
/// let turn = Length::new::<millimeter>(40.0);
/// let travel = steps::travel_per_step(turn, exact(3200, 1).unwrap()).unwrap();
/// assert!(agrees(travel.get::<millimeter>(), "0.01250"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn travel_per_step(travel_per_turn: Length, steps_per_turn: Exact) -> Option<Length> {
    let share = ratio::to_f64(ratio::divide(ratio::exact(1, 1)?, steps_per_turn)?)?;
    Some(travel_per_turn * share)
}

/// What a controller counts travel in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Degrees of a rotary axis.
    Degree,
    /// Millimetres of a linear axis with this travel per turn.
    Millimeter(TurnTravel),
}

/// A controller's steps-per-millimetre or steps-per-degree setting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PerUnit {
    /// Steps per millimetre or degree.
    pub value: f64,
    /// The same, exact, where it is rational.
    pub exact: Option<Exact>,
    /// The value rounded to the setting's decimals, a half away from zero.
    pub rounded: f64,
    /// rounded/value − 1: share of any travel that it goes too far.
    pub error: Ratio,
}

/// Steps per millimetre or degree, and the rounding of the setting.
///
/// # Formula
/// s/L or s/360; rounded half away from zero; error = rounded/value − 1
///
/// # Arguments
/// * `steps_per_turn` s of the shaft that the travel per turn is of \[1\]
/// * `unit` degrees, or millimetres with L \[m\]
/// * `decimals` of the setting \[1\]
///
/// # Returns
/// The setting \[1/mm or 1/deg\]; the error over a travel is the travel times `error`
///
/// # Validity
/// Rounded exactly where the value is rational, else (with π) in binary floating point.
///
/// # Errors
/// None where L or s is 0 or a number does not fit.
///
/// # Example
/// No published value: 3200 steps over a 40 mm belt turn are 80 a millimetre; 1000 steps over a
/// degree scale are 2.777…, kept as 2.78: 0.08 % too far.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis::TurnTravel, ratio::exact, steps::{Unit, per_unit}};
/// let belt = TurnTravel::Rational(exact(40, 1000).unwrap());
/// let linear = per_unit(exact(3200, 1).unwrap(), Unit::Millimeter(belt), 2).unwrap();
/// assert_eq!((linear.exact, linear.error.value), (exact(80, 1), 0.0));
/// let rotary = per_unit(exact(1000, 1).unwrap(), Unit::Degree, 2).unwrap();
/// assert_eq!(rotary.rounded, 2.78);
/// assert!(agrees(rotary.error.value, "0.0008"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn per_unit(steps_per_turn: Exact, unit: Unit, decimals: u32) -> Option<PerUnit> {
    let millimeters = |meters| ratio::multiply(meters, ratio::exact(1000, 1)?);
    match unit {
        Unit::Degree => rational_setting(
            ratio::divide(steps_per_turn, ratio::exact(360, 1)?)?,
            decimals,
        ),
        Unit::Millimeter(TurnTravel::Rational(travel)) => rational_setting(
            ratio::divide(steps_per_turn, millimeters(travel)?)?,
            decimals,
        ),
        Unit::Millimeter(TurnTravel::TimesPi(travel)) => {
            let value = ratio::to_f64(ratio::divide(steps_per_turn, millimeters(travel)?)?)? / PI;
            let power = libm::pow(10.0, f64::from(decimals));
            let scaled = (value * power).round() / power;
            // Where the decimals reach below the value's own last bit there is nothing to round.
            let rounded = if scaled.is_finite() { scaled } else { value };
            Some(PerUnit {
                value,
                exact: None,
                rounded,
                error: finite(Ratio::from(rounded / value - 1.0))?,
            })
        }
    }
}

/// A setting whose value is rational.
fn rational_setting(value: Exact, decimals: u32) -> Option<PerUnit> {
    let rounded = ratio::round_to_decimals(value, decimals)?;
    Some(PerUnit {
        value: ratio::to_f64(value)?,
        exact: Some(value),
        rounded: ratio::to_f64(rounded)?,
        error: Ratio::from(relative_error(rounded, value)?),
    })
}

/// Highest step rate that source and input pass.
///
/// # Formula
/// f = min(f_controller, 1/(t_high + t_low))
///
/// # Arguments
/// * `controller_rate_limit` f_controller, none where unknown \[Hz\]
/// * `pulse_high` t_high \[s\]
/// * `pulse_low` t_low \[s\]
///
/// # Returns
/// f; none where nothing limits it \[Hz\]
///
/// # Validity
/// Steady rate; a controller's jitter shortens single pulses.
///
/// # Example
/// No published value: 2 µs high and 3 µs low pass 200 kHz, the controller gives 50 kHz.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{steps, units::{Frequency, Time}};
/// use uom::si::{frequency::kilohertz, time::microsecond};
/// let (high, low) = (Time::new::<microsecond>(2.0), Time::new::<microsecond>(3.0));
/// let input = steps::rate_limit(None, high, low).unwrap();
/// assert!(agrees(input.get::<kilohertz>(), "200.00"));
/// let both = steps::rate_limit(Some(Frequency::new::<kilohertz>(50.0)), high, low).unwrap();
/// assert!(agrees(both.get::<kilohertz>(), "50.00"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn rate_limit(
    controller_rate_limit: Option<Frequency>,
    pulse_high: Time,
    pulse_low: Time,
) -> Option<Frequency> {
    let pulse = finite((pulse_high + pulse_low).recip()).filter(|rate| rate.value > 0.0);
    match (controller_rate_limit, pulse) {
        (Some(controller), Some(pulse)) => Some(if controller < pulse {
            controller
        } else {
            pulse
        }),
        (one, other) => one.or(other),
    }
}

/// Output speed at a step rate.
///
/// # Formula
/// ω = 2π·f/s
///
/// # Arguments
/// * `rate` f \[Hz\]
/// * `steps_per_turn` s of the output \[1\]
///
/// # Returns
/// ω \[rad/s\]
///
/// # Validity
/// Exact kinematics.
///
/// # Errors
/// None where s = 0.
///
/// # Example
/// 1.8° steps (200 a turn) at 4000 Hz: 20 turns a second (Burman, Special Electrical Machines,
/// Ex. 3.2–3.5, pp. 191–194).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{ratio::exact, steps, units::Frequency};
/// use uom::si::{angular_velocity::revolution_per_second, frequency::hertz};
/// let speed = steps::speed_limit(Frequency::new::<hertz>(4000.0), exact(200, 1).unwrap());
/// assert!(agrees(speed.unwrap().get::<revolution_per_second>(), "20.00"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn speed_limit(rate: Frequency, steps_per_turn: Exact) -> Option<AngularVelocity> {
    finite((angle_per_step(steps_per_turn)? * rate).into())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::ratio::{exact, from_decimal, product};

    #[test]
    fn a_gear_train_that_fits_does_not_drift() {
        let n = product([(35, 12), (37, 13), (36, 12)]).unwrap();
        let counts = crate::encoder::counts_per_output_turn(12, n).unwrap();
        let x = counts_per_step(counts, exact(3600, 1)).unwrap();
        let held = gearing(x, 65_535).unwrap();
        assert_eq!(drift_per_turn(held, x).unwrap().value, 0.0);
        assert_eq!(drift_per_turn((1, 0), x), None);
        assert_eq!(drift_per_turn((1, 1), exact(0, 1).unwrap()), None);
    }

    #[test]
    fn rounds_rational_settings_exactly() {
        // 5 steps over 8 mm are 0.625 a millimetre, a tie at two decimals.
        let lead = TurnTravel::Rational(from_decimal("8e-3").unwrap());
        let setting = per_unit(exact(5, 1).unwrap(), Unit::Millimeter(lead), 2).unwrap();
        assert_eq!((setting.value, setting.rounded), (0.625, 0.63));
        assert_eq!(setting.error.value, 0.008);
        // 1.005 is below the tie in binary and must still round up.
        let lead = TurnTravel::Rational(from_decimal("1").unwrap());
        let setting = per_unit(exact(1005, 1).unwrap(), Unit::Millimeter(lead), 2).unwrap();
        assert_eq!(setting.rounded, 1.01);
    }

    #[test]
    fn impossible_settings_are_refused() {
        let zero = exact(0, 1).unwrap();
        let one = exact(1, 1).unwrap();
        assert_eq!(per_unit(zero, Unit::Degree, 2), None);
        for travel in [TurnTravel::Rational(zero), TurnTravel::TimesPi(zero)] {
            assert_eq!(per_unit(one, Unit::Millimeter(travel), 2), None);
        }
        let round = per_unit(one, Unit::Millimeter(TurnTravel::TimesPi(one)), 400).unwrap();
        assert_eq!((round.rounded, round.error.value), (round.value, 0.0));
        assert_eq!(angle_per_step(zero), None);
        let never = Time::new::<uom::si::time::second>(0.0);
        assert_eq!(rate_limit(None, never, never), None);
    }

    proptest! {
        #[test]
        fn drift_is_small_and_has_the_sign_of_the_error(n in 1..1_000_000_i128, d in 1..100_000_i128) {
            let x = exact(n, d).unwrap();
            if let Some((p, q)) = gearing(x, 65_535) {
                let drift = drift_per_turn((p, q), x).unwrap().value;
                let (left, right) = (i128::from(p) * d, i128::from(q) * n);
                prop_assert_eq!(drift.total_cmp(&0.0), left.cmp(&right));
            }
        }

        #[test]
        fn rounding_is_within_half_a_digit(n in 1..10_000_000_i128, decimals in 0..6_u32, round in any::<bool>()) {
            let turn = from_decimal("0.0375").unwrap();
            let turn = if round { TurnTravel::TimesPi(turn) } else { TurnTravel::Rational(turn) };
            let setting = per_unit(exact(n, 1).unwrap(), Unit::Millimeter(turn), decimals).unwrap();
            let half = 0.5 / 10_f64.powi(decimals.try_into().unwrap());
            prop_assert!((setting.rounded - setting.value).abs() <= half * (1.0 + 1e-6));
        }
    }
}
