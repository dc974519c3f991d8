//! Magnet ring and Hall sensors on the motor shaft: counts, phase between the sensors, edge timing.
//!
//! Electrical angles are pole pairs times mechanical angles.

use core::f64::consts::{FRAC_PI_2, PI, TAU};

use uom::si::angle::radian;

#[cfg(not(any(test, feature = "std")))]
use crate::float::Rounding as _;
use crate::ratio::{self, Exact};
use crate::units::{
    Angle, AngularVelocity, Frequency, Length, MagneticFluxDensity, Ratio, Time, finite, turns,
};

/// Which way the counts run when the motor turns forward.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Counts rise: the second sensor lags by less than half an electrical turn.
    Forward,
    /// Counts fall: the two signals are to be swapped.
    Backward,
    /// Both directions look the same.
    None,
}

/// Phase error in degrees at and above which direction cannot be told.
const NO_DIRECTION: f64 = 89.999;

/// Counts per turn of the motor.
///
/// # Formula
/// C = e·p
///
/// # Arguments
/// * `edges_counted` e per electrical cycle: 1, 2 or 4 \[1\]
/// * `pole_pairs` p of the magnet ring \[1\]
///
/// # Returns
/// C \[1\]
///
/// # Validity
/// Exact. 4 needs two sensors.
///
/// # Example
/// Six poles: one electrical cycle is 120° mechanical, so four
/// edges a cycle make 12 counts a turn.
/// ```
/// assert_eq!(pulsewright_calc::encoder::counts_per_motor_turn(4, 3), 12);
/// ```
///
/// # Sources
/// Electrical angle = pole pairs × mechanical angle.
#[must_use]
pub fn counts_per_motor_turn(edges_counted: u32, pole_pairs: u32) -> u64 {
    u64::from(edges_counted) * u64::from(pole_pairs)
}

/// Counts per turn of the gearbox output.
///
/// # Formula
/// C·N
///
/// # Arguments
/// * `counts_per_motor_turn` C \[1\]
/// * `ratio` N \[1\]
///
/// # Returns
/// Counts, exact \[1\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where the product does not fit.
///
/// # Example
/// 12 counts behind 75:1 are 900 (computed).
/// ```
/// use pulsewright_calc::{encoder, ratio::exact};
/// assert_eq!(encoder::counts_per_output_turn(12, exact(75, 1).unwrap()), exact(900, 1));
/// ```
///
/// # Sources
/// Kinematics.
#[must_use]
pub fn counts_per_output_turn(counts_per_motor_turn: u64, ratio: Exact) -> Option<Exact> {
    ratio::multiply(ratio::exact(counts_per_motor_turn.into(), 1)?, ratio)
}

/// Output angle of one count.
///
/// # Formula
/// 2π/C
///
/// # Arguments
/// * `counts_per_output_turn` C \[1\]
///
/// # Returns
/// Angle \[rad\]
///
/// # Validity
/// Mean over a turn; a single count is uneven by the phase and duty errors.
///
/// # Errors
/// None where C = 0.
///
/// # Example
/// No published value: 900 counts are 0.4° each.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{encoder, ratio::exact};
/// use uom::si::angle::degree;
/// let angle = encoder::angle_per_count(exact(900, 1).unwrap()).unwrap();
/// assert!(agrees(angle.get::<degree>(), "0.40000"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn angle_per_count(counts_per_output_turn: Exact) -> Option<Angle> {
    per_turn(counts_per_output_turn).map(turns)
}

/// Travel of one count, along a linear axis or along the arc of a rotary one.
///
/// # Formula
/// L/C
///
/// # Arguments
/// * `travel_per_turn` L, 2π·radius for an arc \[m\]
/// * `counts_per_output_turn` C \[1\]
///
/// # Returns
/// Travel \[m\]
///
/// # Validity
/// Mean over a turn.
///
/// # Errors
/// None where C = 0.
///
/// # Example
/// No published value: 40 mm a turn over 900 counts.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{encoder, ratio::exact, units::Length};
/// use uom::si::length::millimeter;
/// let turn = Length::new::<millimeter>(40.0);
/// let arc = encoder::arc_per_count(turn, exact(900, 1).unwrap()).unwrap();
/// assert!(agrees(arc.get::<millimeter>(), "0.04444"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn arc_per_count(travel_per_turn: Length, counts_per_output_turn: Exact) -> Option<Length> {
    per_turn(counts_per_output_turn).map(|share| travel_per_turn * share)
}

/// Share of a turn that one of so many equal parts is.
fn per_turn(parts: Exact) -> Option<f64> {
    ratio::to_f64(ratio::divide(ratio::exact(1, 1)?, parts)?)
}

/// Distance between the sensors in electrical angle.
///
/// # Formula
/// p·φ mod 2π
///
/// # Arguments
/// * `pole_pairs` p \[1\]
/// * `sensor_spacing` φ, mechanical \[rad\]
///
/// # Returns
/// Electrical angle, from 0 to below 2π \[rad\]
///
/// # Validity
/// Evenly magnetised poles.
///
/// # Example
/// Three pole pairs: 120° mechanical is a whole electrical turn,
/// and 150° a quarter more.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{encoder, units::Angle};
/// use uom::si::angle::degree;
/// let spacing = encoder::electrical_spacing(3, Angle::new::<degree>(150.0));
/// assert!(agrees(spacing.get::<degree>(), "90.000"));
/// ```
///
/// # Sources
/// Electrical angle = pole pairs × mechanical angle.
#[must_use]
pub fn electrical_spacing(pole_pairs: u32, sensor_spacing: Angle) -> Angle {
    let angle = (f64::from(pole_pairs) * sensor_spacing.value).rem_euclid(TAU);
    // A hair below 0 rounds up to a whole turn, which is 0.
    Angle::new::<radian>(if angle < TAU { angle } else { 0.0 })
}

/// Distance of the electrical spacing from quadrature.
///
/// # Formula
/// min(|θ − 90°|, |θ − 270°|)
///
/// # Arguments
/// * `electrical_spacing` θ, from 0 to 2π \[rad\]
///
/// # Returns
/// Phase error, 0 to 90° \[rad\]
///
/// # Validity
/// 90° means that both signals change together: no direction.
///
/// # Example
/// No published value: 100° is 10° off.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{encoder, units::Angle};
/// use uom::si::angle::degree;
/// let error = encoder::phase_error(Angle::new::<degree>(100.0));
/// assert!(agrees(error.get::<degree>(), "10.000"));
/// ```
///
/// # Sources
/// Definition of quadrature.
#[must_use]
pub fn phase_error(electrical_spacing: Angle) -> Angle {
    let angle = electrical_spacing.value;
    let error = (angle - FRAC_PI_2)
        .abs()
        .min((angle - 3.0 * FRAC_PI_2).abs());
    Angle::new::<radian>(error)
}

/// Which way the counts run.
///
/// # Formula
/// θ nearer to 90°: forward; to 270°: backward; one sensor, or both as far: none
///
/// # Arguments
/// * `sensors` number of sensors \[1\]
/// * `electrical_spacing` θ, from 0 to 2π \[rad\]
///
/// # Returns
/// The direction
///
/// # Validity
/// Within 0.001° of equal distance counts as none.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{encoder::{Direction, direction}, units::Angle};
/// use uom::si::angle::degree;
/// assert_eq!(direction(2, Angle::new::<degree>(100.0)), Direction::Forward);
/// assert_eq!(direction(2, Angle::new::<degree>(270.0)), Direction::Backward);
/// assert_eq!(direction(2, Angle::new::<degree>(180.0)), Direction::None);
/// assert_eq!(direction(1, Angle::new::<degree>(90.0)), Direction::None);
/// ```
///
/// # Sources
/// Quadrature decoding.
#[must_use]
pub fn direction(sensors: u32, electrical_spacing: Angle) -> Direction {
    if sensors < 2 || phase_error(electrical_spacing).value >= NO_DIRECTION.to_radians() {
        Direction::None
    } else if electrical_spacing.value < PI {
        Direction::Forward
    } else {
        Direction::Backward
    }
}

/// Phase error that a misplaced sensor adds.
///
/// # Formula
/// p·e/r
///
/// # Arguments
/// * `pole_pairs` p \[1\]
/// * `placement_error` e along the circle \[m\]
/// * `placement_radius` r of the sensors' circle \[m\]
///
/// # Returns
/// Electrical angle \[rad\]
///
/// # Validity
/// e much smaller than r; a radial error is not in it.
///
/// # Errors
/// None where r = 0.
///
/// # Example
/// No published value: 0.3 mm at 6 mm with three pole pairs is 0.15 rad.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{encoder, units::Length};
/// use uom::si::length::millimeter;
/// let error = encoder::placement_phase_error(
///     3,
///     Length::new::<millimeter>(0.3),
///     Length::new::<millimeter>(6.0),
/// );
/// assert!(agrees(error.unwrap().value, "0.15000"));
/// ```
///
/// # Sources
/// Arc over radius.
#[must_use]
pub fn placement_phase_error(
    pole_pairs: u32,
    placement_error: Length,
    placement_radius: Length,
) -> Option<Angle> {
    finite((placement_error / placement_radius * f64::from(pole_pairs)).into())
}

/// Counts per second at a motor speed.
///
/// # Formula
/// C·ω/2π
///
/// # Arguments
/// * `counts_per_motor_turn` C \[1\]
/// * `motor_speed` ω of the motor shaft \[rad/s\]
///
/// # Returns
/// Rate \[Hz\]
///
/// # Validity
/// Mean over a turn.
///
/// # Example
/// No published value: 12 counts at 6000 r/min.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{encoder, units::AngularVelocity};
/// use uom::si::angular_velocity::revolution_per_minute;
/// let speed = AngularVelocity::new::<revolution_per_minute>(6000.0);
/// assert!(agrees(encoder::edge_rate(12, speed).value, "1200.0"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn edge_rate(counts_per_motor_turn: u64, motor_speed: AngularVelocity) -> Frequency {
    (motor_speed * (counts_per_motor_turn as f64 / TAU)).into()
}

/// Errors of the two signals, in electrical angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SignalErrors {
    /// Distance from quadrature as designed, of [`phase_error`].
    pub phase: Angle,
    /// What placing the sensors adds, of [`placement_phase_error`].
    pub placement: Angle,
    /// Largest edge shifts of both sensors together.
    pub duty: Angle,
}

/// Shortest time between two edges.
///
/// # Formula
/// two sensors: (90° − phase − placement − duty)/360°/(p·n); one: (180° − duty)/360°/(p·n),
/// n = ω/2π
///
/// # Arguments
/// * `sensors` number of sensors \[1\]
/// * `errors` phase, placement, duty \[rad\]
/// * `pole_pairs` p \[1\]
/// * `motor_speed` ω of the motor shaft \[rad/s\]
///
/// # Returns
/// Time; at or below 0 edges are lost \[s\]
///
/// # Validity
/// All errors at their worst at once.
///
/// # Errors
/// None at standstill: there is no next edge.
///
/// # Example
/// No published value: perfect signals of three pole pairs at 100 turns a second, 1/1200 s.
/// ```
/// use pulsewright_calc::encoder::{SignalErrors, shortest_edge_gap};
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::units::{Angle, AngularVelocity};
/// use uom::si::{angle::degree, angular_velocity::revolution_per_second};
/// let zero = Angle::new::<degree>(0.0);
/// let errors = SignalErrors { phase: zero, placement: zero, duty: zero };
/// let speed = AngularVelocity::new::<revolution_per_second>(100.0);
/// assert!(agrees(shortest_edge_gap(2, errors, 3, speed).unwrap().value * 1e6, "833.33"));
/// assert!(agrees(shortest_edge_gap(1, errors, 3, speed).unwrap().value * 1e6, "1666.67"));
/// ```
///
/// # Sources
/// Geometry of quadrature signals.
#[must_use]
pub fn shortest_edge_gap(
    sensors: u32,
    errors: SignalErrors,
    pole_pairs: u32,
    motor_speed: AngularVelocity,
) -> Option<Time> {
    let gap = if sensors < 2 {
        turns(0.5) - errors.duty
    } else {
        turns(0.25) - errors.phase - errors.placement - errors.duty
    };
    let electrical_speed = motor_speed.abs() * f64::from(pole_pairs);
    (electrical_speed.value > 0.0).then_some(())?;
    finite(gap / electrical_speed)
}

/// Share of the processor's time that serving edges takes.
///
/// # Formula
/// f·t
///
/// # Arguments
/// * `edge_rate` f \[Hz\]
/// * `edge_service_time` t for one edge, 0 with a hardware counter \[s\]
///
/// # Returns
/// Load \[1\]
///
/// # Validity
/// Mean; above 1 the processor falls behind.
///
/// # Example
/// No published value: 20 kHz at 5 µs.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{encoder, units::{Frequency, Time}};
/// use uom::si::{frequency::kilohertz, time::microsecond};
/// let load = encoder::processor_load(
///     Frequency::new::<kilohertz>(20.0),
///     Time::new::<microsecond>(5.0),
/// );
/// assert!(agrees(load.value, "0.1000"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn processor_load(edge_rate: Frequency, edge_service_time: Time) -> Ratio {
    edge_rate * edge_service_time
}

/// The k-th place around the ring where a second sensor is in quadrature.
///
/// # Formula
/// φ = 90°·(2k + 1)/p
///
/// # Arguments
/// * `pole_pairs` p \[1\]
/// * `index` k, from 0 \[1\]
///
/// # Returns
/// Mechanical spacing; even k count forward, odd k backward \[rad\]
///
/// # Validity
/// Evenly magnetised poles. There are 2p places in one turn.
///
/// # Errors
/// None from k = 2p on: the ring is full.
///
/// # Example
/// Three pole pairs: 30°, 90°, 150°, … (six sign changes a turn).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::encoder::good_spacing;
/// use uom::si::angle::degree;
/// let all: Vec<f64> = (0..).map_while(|k| good_spacing(3, k)).map(|a|
/// a.get::<degree>()).collect();
/// assert_eq!(all.len(), 6);
/// assert!(agrees(all[0], "30.000") && agrees(all[2], "150.000"));
/// ```
///
/// # Sources
/// Definition of quadrature.
#[must_use]
pub fn good_spacing(pole_pairs: u32, index: u32) -> Option<Angle> {
    let (pairs, index) = (f64::from(pole_pairs), f64::from(index));
    (index < 2.0 * pairs).then(|| turns((2.0 * index + 1.0) / (4.0 * pairs)))
}

/// Peak field over the field at which the sensor surely switches.
///
/// # Formula
/// B_peak/B_op
///
/// # Arguments
/// * `peak_field` B_peak at the sensor \[T\]
/// * `operate_point` B_op, the sensor's greatest \[T\]
///
/// # Returns
/// Margin; 2 and above is sound (common practice, no source) \[1\]
///
/// # Validity
/// At the working gap and temperature.
///
/// # Errors
/// None where B_op = 0.
///
/// # Example
/// No published value: 20 mT over 5 mT.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{encoder, units::MagneticFluxDensity};
/// use uom::si::magnetic_flux_density::millitesla;
/// let margin = encoder::field_margin(
///     MagneticFluxDensity::new::<millitesla>(20.0),
///     MagneticFluxDensity::new::<millitesla>(5.0),
/// );
/// assert!(agrees(margin.unwrap().value, "4.000"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn field_margin(
    peak_field: MagneticFluxDensity,
    operate_point: MagneticFluxDensity,
) -> Option<Ratio> {
    finite(peak_field / operate_point)
}

/// How late an edge comes because the sensor needs a field to switch.
///
/// # Formula
/// asin(B_op/B_peak)
///
/// # Arguments
/// * `peak_field` B_peak at the sensor \[T\]
/// * `operate_point` B_op \[T\]
///
/// # Returns
/// Electrical angle, 0 to 90° \[rad\]
///
/// # Validity
/// Sinusoidal field, latch with symmetric thresholds.
///
/// # Errors
/// None where B_op > B_peak: the sensor never switches.
///
/// # Example
/// No published value: half the peak is 30°.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{encoder, units::MagneticFluxDensity};
/// use uom::si::{angle::degree, magnetic_flux_density::millitesla};
/// let shift = encoder::hysteresis_shift(
///     MagneticFluxDensity::new::<millitesla>(20.0),
///     MagneticFluxDensity::new::<millitesla>(10.0),
/// );
/// assert!(agrees(shift.unwrap().get::<degree>(), "30.000"));
/// ```
///
/// # Sources
/// Geometry of a sine.
#[must_use]
pub fn hysteresis_shift(
    peak_field: MagneticFluxDensity,
    operate_point: MagneticFluxDensity,
) -> Option<Angle> {
    let share = (operate_point / peak_field).value;
    (0.0..=1.0)
        .contains(&share)
        .then(|| Angle::new::<radian>(libm::asin(share)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn good_spacings_are_in_quadrature(pole_pairs in 1..30_u32, k in 0..60_u32) {
            if let Some(spacing) = good_spacing(pole_pairs, k) {
                let electrical = electrical_spacing(pole_pairs, spacing);
                prop_assert!(phase_error(electrical).value < 1e-9);
                let expected = if k % 2 == 0 { Direction::Forward } else { Direction::Backward };
                prop_assert_eq!(direction(2, electrical), expected);
            } else {
                prop_assert!(k >= 2 * pole_pairs);
            }
        }

        #[test]
        fn electrical_spacing_is_within_one_turn(pole_pairs in 0..50_u32, spacing in -10.0..10.0_f64) {
            let spacing = electrical_spacing(pole_pairs, turns(spacing));
            prop_assert!((0.0..TAU).contains(&spacing.value));
            prop_assert!((0.0..=FRAC_PI_2 + 1e-12).contains(&phase_error(spacing).value));
        }
    }

    #[test]
    fn a_hair_below_zero_is_still_within_one_turn() {
        assert_eq!(electrical_spacing(1, turns(-1e-30)).value, 0.0);
    }

    #[test]
    fn errors_beyond_a_quarter_lose_edges() {
        let errors = SignalErrors {
            phase: turns(0.1),
            placement: turns(0.1),
            duty: turns(0.1),
        };
        let speed = turns(100.0) / Time::new::<uom::si::time::second>(1.0);
        assert!(shortest_edge_gap(2, errors, 3, speed.into()).unwrap().value < 0.0);
        let still = turns(0.0) / Time::new::<uom::si::time::second>(1.0);
        assert_eq!(shortest_edge_gap(2, errors, 3, still.into()), None);
    }

    #[test]
    fn a_field_too_weak_never_switches() {
        let weak = MagneticFluxDensity::new::<uom::si::magnetic_flux_density::tesla>(1.0);
        assert_eq!(hysteresis_shift(weak, weak * 1.01), None);
        assert_eq!(hysteresis_shift(weak * 0.0, weak * 0.0), None);
    }
}
