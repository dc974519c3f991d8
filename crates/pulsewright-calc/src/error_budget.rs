//! The position error at the load: its shares, their worst sum and their likely sum.

#[cfg(not(any(test, feature = "std")))]
use crate::float::SquareRoot as _;
use crate::units::{Angle, AngularAcceleration, MomentOfInertia, Ratio, Torque};

/// From which side a position is approached.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Approach {
    /// From either side, with no care taken.
    Either,
    /// From either side; the firmware puts the play half and half about the target.
    Centred,
    /// Always from the same side.
    OneSide,
}

/// What decides whether the teeth stay on one flank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlankLoad {
    /// Torque Th that holds the load at standstill, of either sign.
    pub holding_torque: Torque,
    /// Friction Tf of the load.
    pub friction_torque: Torque,
    /// Load inertia JL at the output.
    pub load_inertia: MomentOfInertia,
    /// Greatest acceleration α of the move.
    pub peak_acceleration: AngularAcceleration,
}

impl FlankLoad {
    /// True when the holding torque outweighs friction and acceleration, so that the teeth never
    /// change flanks.
    #[must_use]
    pub fn keeps_one_flank(&self) -> bool {
        let inertial: Torque = (self.load_inertia * self.peak_acceleration).into();
        self.holding_torque.abs() > self.friction_torque.abs() + inertial.abs()
    }
}

/// Share of the backlash in the position error.
///
/// # Formula
/// 0 where |Th| > Tf + JL·α or one side is kept; b from either side; b/2 centred
///
/// # Arguments
/// * `backlash` b, all stages, at the load \[rad\]
/// * `approach`
/// * `load` Th, Tf \[N·m\], JL \[kg·m²\], α \[rad/s²\]
///
/// # Returns
/// Share of the error \[rad\]
///
/// # Validity
/// The sensor is on the motor's side of the play.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::error_budget::{Approach, FlankLoad, backlash_share};
/// use pulsewright_calc::units::{Angle, AngularAcceleration, MomentOfInertia, Torque};
/// use uom::si::{angle::degree, angular_acceleration::radian_per_second_squared};
/// use uom::si::{moment_of_inertia::kilogram_square_meter, torque::newton_meter};
/// let play = Angle::new::<degree>(3.0);
/// let load = FlankLoad {
///     holding_torque: Torque::new::<newton_meter>(0.1),
///     friction_torque: Torque::new::<newton_meter>(0.08),
///     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(0.01),
///     peak_acceleration: AngularAcceleration::new::<radian_per_second_squared>(3.0),
/// };
/// assert_eq!(backlash_share(play, Approach::Either, &load), play);
/// assert_eq!(backlash_share(play, Approach::Centred, &load), 0.5 * play);
/// assert_eq!(backlash_share(play, Approach::OneSide, &load).value, 0.0);
/// let heavy = FlankLoad { holding_torque: Torque::new::<newton_meter>(-0.2), ..load };
/// assert_eq!(backlash_share(play, Approach::Either, &heavy).value, 0.0);
/// ```
///
/// # Sources
/// Lost motion at a reversal: common practice, no source.
#[must_use]
pub fn backlash_share(backlash: Angle, approach: Approach, load: &FlankLoad) -> Angle {
    let share = match approach {
        Approach::OneSide => 0.0,
        _ if load.keeps_one_flank() => 0.0,
        Approach::Centred => 0.5,
        Approach::Either => 1.0,
    };
    share * backlash
}

/// Twist of gears and shaft under the holding torque.
///
/// # Formula
/// e = Th/k
///
/// # Arguments
/// * `holding_torque` Th \[N·m\]
/// * `stiffness` k at the output \[N·m/rad\]
///
/// # Returns
/// e \[rad\], none where k is not positive
///
/// # Validity
/// Linear twist.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{error_budget::holding_twist, units::{Stiffness, Torque}};
/// use uom::si::torque::newton_meter;
/// let t = Torque::new::<newton_meter>;
/// assert_eq!(holding_twist(t(0.5), t(50.0)).unwrap().value, 0.01);
/// assert_eq!(holding_twist(t(0.5), t(0.0)), None);
/// ```
///
/// # Sources
/// Hooke's law.
#[must_use]
pub fn holding_twist(holding_torque: Torque, stiffness: crate::units::Stiffness) -> Option<Angle> {
    let twist: Ratio = holding_torque / stiffness;
    (stiffness.value > 0.0 && twist.value.is_finite()).then(|| twist.into())
}

/// The shares of the position error, each at the load and of either sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shares {
    /// Play of the gears, from [`backlash_share`].
    pub backlash: Angle,
    /// Twist under the holding torque.
    pub holding_twist: Angle,
    /// Half an encoder count.
    pub half_count: Angle,
    /// Half a commanded step.
    pub half_step: Angle,
    /// What the position loop leaves at rest.
    pub droop: Angle,
    /// Rounding of the controller's steps per unit over the travel.
    pub rounding: Angle,
    /// Unevenness of the teeth.
    pub transmission: Angle,
}

impl Shares {
    fn sum(&self, term: impl Fn(f64) -> f64) -> f64 {
        [
            self.backlash,
            self.holding_twist,
            self.half_count,
            self.half_step,
            self.droop,
            self.rounding,
            self.transmission,
        ]
        .iter()
        .map(|share| term(share.value))
        .sum()
    }
}

/// Position error when every share is at its worst at once.
///
/// # Formula
/// e = Σ|ei|
///
/// # Arguments
/// * `shares` ei \[rad\]
///
/// # Returns
/// e \[rad\]
///
/// # Validity
/// An upper bound.
///
/// # Example
/// See [`likely`].
///
/// # Sources
/// Sum of absolute bounds.
#[must_use]
pub fn worst(shares: &Shares) -> Angle {
    Angle::new::<uom::si::angle::radian>(shares.sum(f64::abs))
}

/// Standard uncertainty of the position when each share is rectangular and independent.
///
/// # Formula
/// e = √(Σei²/3)
///
/// # Arguments
/// * `shares` ei, half widths \[rad\]
///
/// # Returns
/// e \[rad\]
///
/// # Validity
/// Independent shares.
///
/// # Example
/// A rectangular bound a has the standard uncertainty a/√3 (GUM, 4.3.7; from memory).
/// ```
/// use pulsewright_calc::{error_budget::{Shares, likely, worst}, units::Angle};
/// use uom::si::angle::radian;
/// let a = Angle::new::<radian>;
/// let shares = Shares {
///     backlash: a(3.0), holding_twist: a(-4.0), half_count: a(0.0), half_step: a(0.0),
///     droop: a(0.0), rounding: a(0.0), transmission: a(0.0),
/// };
/// assert_eq!(worst(&shares).value, 7.0);
/// assert!((likely(&shares).value - 5.0 / 3_f64.sqrt()).abs() < 1e-15);
/// ```
///
/// # Sources
/// JCGM 100:2008 (GUM), 4.3.7 and 5.1.2, from memory.
#[must_use]
pub fn likely(shares: &Shares) -> Angle {
    Angle::new::<uom::si::angle::radian>((shares.sum(|share| share * share) / 3.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use uom::si::angle::radian;

    proptest! {
        /// The likely error is below the worst, and no share can lower either.
        #[test]
        fn sums_are_ordered(values in prop::array::uniform7(-1.0_f64..1.0), more in 0.0_f64..1.0) {
            let shares = |last: f64| {
                let [a, b, c, d, e, f, _] = values.map(Angle::new::<radian>);
                Shares {
                    backlash: a,
                    holding_twist: b,
                    half_count: c,
                    half_step: d,
                    droop: e,
                    rounding: f,
                    transmission: Angle::new::<radian>(last),
                }
            };
            let (little, much) = (shares(values[6]), shares(values[6].abs() + more));
            prop_assert!(likely(&little) <= worst(&little));
            prop_assert!(worst(&little) <= worst(&much));
            prop_assert!(likely(&little) <= likely(&much));
        }
    }
}
