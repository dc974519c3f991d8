//! The gearbox: ratio, efficiency in both directions, what it holds by itself and what it stands.
//!
//! The exact ratio itself comes from [`ratio::product`] of the stages or [`ratio::from_decimal`].

#[cfg(not(any(test, feature = "std")))]
use crate::float::Rounding as _;
use crate::ratio::{self, Exact};
use crate::units::{
    Angle, ElectricCurrent, Force, Length, MomentOfInertia, MotorConstant, Ratio, Torque, finite,
    turns,
};

/// A gear train as the torques see it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gearing {
    /// N, motor turns per output turn.
    pub ratio: Ratio,
    /// η, from motor to output.
    pub efficiency: Ratio,
    /// η_back, from output to motor; 0 or below where it locks.
    pub back_driving_efficiency: Ratio,
}

/// A planetary stage with its ring fixed, sun driving and carrier driven, as a stage pair.
///
/// # Formula
/// i = (z_r + z_s)/z_s
///
/// # Arguments
/// * `ring` z_r \[1\]
/// * `sun` z_s \[1\]
///
/// # Returns
/// (driven, driver) = (z_r + z_s, z_s) \[1\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where the sun has no teeth or the sum does not fit.
///
/// # Example
/// Sun 40, ring 90: 0.308 turns of the arm a turn of the sun (Khurmi & Gupta, Theory of Machines,
/// Ex. 13.7, p. 444).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, ratio};
/// let i = ratio::product(gears::planetary_stage(90, 40)).and_then(ratio::to_f64).unwrap();
/// assert!(agrees(1.0 / i, "0.308"));
/// ```
///
/// # Sources
/// Willis's equation: Khurmi & Gupta, Theory of Machines, ch. 13.
#[must_use]
pub fn planetary_stage(ring: u32, sun: u32) -> Option<(u32, u32)> {
    (sun > 0).then_some(())?;
    Some((ring.checked_add(sun)?, sun))
}

/// Output angle gained per commanded turn when the firmware counts by the ratio on the label.
///
/// # Formula
/// 2π·(N_label/N − 1)
///
/// # Arguments
/// * `nominal` N_label \[1\]
/// * `actual` N \[1\]
///
/// # Returns
/// Actual minus commanded angle per turn \[rad\]
///
/// # Validity
/// Formed exactly, rounded once.
///
/// # Errors
/// None where N = 0 or the quotient does not fit.
///
/// # Example
/// No published value: labelled 50, made 49: 2π/49 too far.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, ratio::exact};
/// let error = gears::nominal_error_per_turn(exact(50, 1).unwrap(), exact(49, 1).unwrap());
/// assert!(agrees(error.unwrap().value, "0.12823"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn nominal_error_per_turn(nominal: Exact, actual: Exact) -> Option<Angle> {
    let error = ratio::subtract(ratio::divide(nominal, actual)?, ratio::exact(1, 1)?)?;
    ratio::to_f64(error).map(turns)
}

/// Number of stages that a ratio suggests.
///
/// # Formula
/// n = ⌈ln N/ln 4⌉, at least 1
///
/// # Arguments
/// * `ratio` N \[1\]
///
/// # Returns
/// n \[1\]
///
/// # Validity
/// Spur and planetary boxes of small gear motors, within one stage (common practice, no source). A
/// worm is one stage whatever its ratio.
///
/// # Errors
/// None where N is no finite number.
///
/// # Example
/// Three stages for 120, as the book splits it (Wentzell, Machine Design, Ex. 11.6, p. 243), come
/// out as four: an estimate for small motors.
/// ```
/// use pulsewright_calc::{gears, units::Ratio};
/// assert_eq!(gears::stage_count(Ratio::from(120.0)), Some(4));
/// assert_eq!(gears::stage_count(Ratio::from(64.0)), Some(3));
/// assert_eq!(gears::stage_count(Ratio::from(1.0)), Some(1));
/// ```
///
/// # Sources
/// A stage of small gear motors reduces by 3 to 5 (common practice, no source).
#[must_use]
pub fn stage_count(ratio: Ratio) -> Option<u32> {
    ratio.value.is_finite().then_some(())?;
    // Powers of 4 are exact, so that no rounding of logarithms decides at 4, 16, 64.
    let mut count = 1;
    let mut reach = 4.0;
    while reach < ratio.value {
        reach *= 4.0;
        count += 1;
    }
    Some(count)
}

/// Efficiency that a stall torque listed at the output implies.
///
/// # Formula
/// η = T/(N·Kt·(V/R − I0))
///
/// # Arguments
/// * `stall_torque` T listed at the output \[N·m\]
/// * `ratio` N \[1\]
/// * `motor_stall_torque` Kt·(V/R − I0), of [`crate::motor::stall_torque`] \[N·m\]
///
/// # Returns
/// η \[1\]
///
/// # Validity
/// Outside (0, 1] the listing contradicts itself. With Kt from a speed at the output, N cancels.
///
/// # Errors
/// None where N or the motor's torque is not above 0.
///
/// # Example
/// 71 mN·m through 43:1 take 2.36 mN·m at 70 % (a maker's page,
/// with its arithmetic put right).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::{Ratio, Torque}};
/// use uom::si::torque::millinewton_meter;
/// let eta = gears::implied_efficiency(
///     Torque::new::<millinewton_meter>(71.0),
///     Ratio::from(43.0),
///     Torque::new::<millinewton_meter>(2.36),
/// );
/// assert!(agrees(eta.unwrap().value, "0.70"));
/// ```
///
/// # Sources
/// Torque balance of a gear train with losses.
#[must_use]
pub fn implied_efficiency(
    stall_torque: Torque,
    ratio: Ratio,
    motor_stall_torque: Torque,
) -> Option<Ratio> {
    (ratio.value > 0.0 && motor_stall_torque.value > 0.0).then_some(())?;
    finite(stall_torque / (ratio * motor_stall_torque))
}

/// Efficiency estimated from that of a stage.
///
/// # Formula
/// η = η_sⁿ
///
/// # Arguments
/// * `per_stage` η_s \[1\]
/// * `stage_count` n \[1\]
///
/// # Returns
/// η \[1\]
///
/// # Validity
/// 0 < η_s ≤ 1. Loaded near its rating; lightly loaded boxes are worse.
///
/// # Example
/// No published value: three stages of 0.9.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::Ratio};
/// assert!(agrees(gears::estimated_efficiency(Ratio::from(0.9), 3).value, "0.7290"));
/// ```
///
/// # Sources
/// Efficiencies in series multiply.
#[must_use]
pub fn estimated_efficiency(per_stage: Ratio, stage_count: u32) -> Ratio {
    Ratio::from(power(per_stage.value, stage_count))
}

/// A whole power.
fn power(of: f64, times: u32) -> f64 {
    of.powi(times.try_into().unwrap_or(i32::MAX))
}

/// Efficiency of stages that are each known.
///
/// # Formula
/// η = Π ηᵢ
///
/// # Arguments
/// * `stages` ηᵢ \[1\]
///
/// # Returns
/// η \[1\]
///
/// # Validity
/// 0 < ηᵢ ≤ 1.
///
/// # Example
/// No published value: 0.9 and 0.8.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::Ratio};
/// let eta = gears::product_efficiency([0.9, 0.8].map(Ratio::from));
/// assert!(agrees(eta.value, "0.7200"));
/// ```
///
/// # Sources
/// Efficiencies in series multiply.
#[must_use]
pub fn product_efficiency(stages: impl IntoIterator<Item = Ratio>) -> Ratio {
    stages
        .into_iter()
        .fold(Ratio::from(1.0), |product, stage| product * stage)
}

/// Efficiency of one stage or drive when its output drives its input.
///
/// # Formula
/// η_back = 2 − 1/η
///
/// # Arguments
/// * `efficiency` η when the input drives \[1\]
///
/// # Returns
/// η_back, at or below 0 where it locks \[1\]
///
/// # Validity
/// The friction torque is the same both ways, as with Coulomb friction under the same load.
///
/// # Errors
/// None where η ≤ 0.
///
/// # Example
/// A frictionless-collar thread T8×8 with μ = 0.15: η = 0.6612 (computed from Shigley, ch. 8);
/// driven backwards tan(λ − ρ)/tan λ is 0.54, and 2 − 1/η about 0.49.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::Ratio};
/// let back = gears::back_efficiency(Ratio::from(0.6612)).unwrap();
/// assert!(agrees(back.value, "0.49"));
/// ```
///
/// # Sources
/// Shigley, Mechanical Engineering Design, ch. 8 (from memory).
#[must_use]
pub fn back_efficiency(efficiency: Ratio) -> Option<Ratio> {
    (efficiency.value > 0.0).then_some(())?;
    finite(Ratio::from(2.0 - 1.0 / efficiency.value))
}

/// Efficiency of a train of equal stages when its output drives the motor.
///
/// # Formula
/// s = η^(1/n); (2 − 1/s)ⁿ for s > ½, else (2 − 1/s)/s^(n−1)
///
/// # Arguments
/// * `efficiency` η of the whole train, motor to output \[1\]
/// * `stage_count` n \[1\]
///
/// # Returns
/// η_back, at or below 0 where it locks \[1\]
///
/// # Validity
/// Equal stages. Below s = ½ the last stage locks, and the torque that the motor must then add
/// passes the n − 1 stages before it forwards. Continuous at s = ½.
///
/// # Errors
/// None where η ≤ 0 or n = 0.
///
/// # Example
/// No published value: 0.81 in two stages of 0.9 gives (8/9)²; a worm of 0.4 locks with −½.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::Ratio};
/// let back = |eta: f64, n| gears::back_driving_efficiency(Ratio::from(eta), n).unwrap().value;
/// assert!(agrees(back(0.81, 2), "0.790123"));
/// assert!(agrees(back(0.4, 1), "-0.5000"));
/// ```
///
/// # Sources
/// [`back_efficiency`] for each stage in turn, derived here.
#[must_use]
pub fn back_driving_efficiency(efficiency: Ratio, stage_count: u32) -> Option<Ratio> {
    (efficiency.value > 0.0 && stage_count > 0).then_some(())?;
    let stage = libm::pow(efficiency.value, 1.0 / f64::from(stage_count));
    let back = 2.0 - 1.0 / stage;
    finite(Ratio::from(if stage > 0.5 {
        power(back, stage_count)
    } else {
        back / power(stage, stage_count - 1)
    }))
}

/// Efficiency of a train of known stages when its output drives the motor.
///
/// # Formula
/// Π (2 − 1/ηᵢ), made 0 or negative if any factor is
///
/// # Arguments
/// * `stages` ηᵢ, motor to output \[1\]
///
/// # Returns
/// η_back, at or below 0 where it locks \[1\]
///
/// # Validity
/// One locking stage locks the train, however many more there are.
///
/// # Errors
/// None where an ηᵢ ≤ 0.
///
/// # Example
/// No published value: 0.8 and 0.9 give 0.75·(8/9); two locking stages still lock.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::Ratio};
/// let back = |stages: [f64; 2]| {
///     gears::back_driving_efficiency_of(stages.map(Ratio::from)).unwrap().value
/// };
/// assert!(agrees(back([0.8, 0.9]), "0.66667"));
/// assert!(agrees(back([0.4, 0.4]), "-0.2500"));
/// ```
///
/// # Sources
/// [`back_efficiency`] for each stage in turn.
#[must_use]
pub fn back_driving_efficiency_of(stages: impl IntoIterator<Item = Ratio>) -> Option<Ratio> {
    let mut product = 1.0;
    let mut locks = false;
    for stage in stages {
        let back = back_efficiency(stage)?.value;
        locks |= back <= 0.0;
        product *= back.abs();
    }
    finite(Ratio::from(if locks { -product } else { product }))
}

/// Torque at the motor shaft that balances a torque at the output, the motor's own friction apart.
///
/// # Formula
/// T/(N·η) for T ≥ 0, else T·η_back/N
///
/// # Arguments
/// * `gearing` N, η, η_back
/// * `torque` T at the output; positive resists the motion \[N·m\]
///
/// # Returns
/// Torque at the motor shaft \[N·m\]
///
/// # Validity
/// In motion. Through a locking train a load that helps must still be driven: the result is then
/// positive.
///
/// # Errors
/// None where N or η is 0.
///
/// # Example
/// 50 N·m through 10:1 at 0.9: 5.556 N·m (Gupta, Elements of Electric Drives, Ex. 3, p. 18).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears::{Gearing, torque_at_motor}, units::{Ratio, Torque}};
/// use uom::si::torque::newton_meter;
/// let gearing = Gearing {
///     ratio: Ratio::from(10.0),
///     efficiency: Ratio::from(0.9),
///     back_driving_efficiency: Ratio::from(0.89),
/// };
/// let torque = torque_at_motor(gearing, Torque::new::<newton_meter>(50.0));
/// assert!(agrees(torque.unwrap().value, "5.556"));
/// ```
///
/// # Sources
/// Torque balance of a gear train with losses.
#[must_use]
pub fn torque_at_motor(gearing: Gearing, torque: Torque) -> Option<Torque> {
    finite(if torque.value >= 0.0 {
        (torque / (gearing.ratio * gearing.efficiency)).into()
    } else {
        (torque * gearing.back_driving_efficiency / gearing.ratio).into()
    })
}

/// Rotor inertia as the output feels it.
///
/// # Formula
/// N²·J_r
///
/// # Arguments
/// * `rotor_inertia` J_r \[kg·m²\]
/// * `ratio` N \[1\]
///
/// # Returns
/// Inertia at the output \[kg·m²\]
///
/// # Validity
/// Gears' own inertia left out: it is small behind the first stage.
///
/// # Example
/// 0.4 kg·m² behind 10:1 beside 10 kg·m²: 0.5 kg·m² at the motor, 50 at the output (Gupta, Elements
/// of Electric Drives, Ex. 3, p. 18).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::{MomentOfInertia, Ratio}};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let reflected = gears::reflected_inertia(
///     MomentOfInertia::new::<kilogram_square_meter>(0.4),
///     Ratio::from(10.0),
/// );
/// assert!(agrees((reflected.value + 10.0) / 100.0, "0.5"));
/// ```
///
/// # Sources
/// Kinetic energy of a geared rotor.
#[must_use]
pub fn reflected_inertia(rotor_inertia: MomentOfInertia, ratio: Ratio) -> MomentOfInertia {
    rotor_inertia * ratio.value * ratio.value
}

/// Load torque above which the unpowered motor turns.
///
/// # Formula
/// T = N·Kt·I0/η_back
///
/// # Arguments
/// * `ratio` N \[1\]
/// * `torque_constant` Kt \[N·m/A\]
/// * `no_load_current` I0 \[A\]
/// * `back_driving_efficiency` η_back \[1\]
///
/// # Returns
/// T at the output; none where the train locks \[N·m\]
///
/// # Validity
/// Winding open or the bridge off; a shorted winding brakes but does not hold. Never to be relied
/// on
/// for safety: vibration, grease and wear lower it.
///
/// # Example
/// No published value: 100·0.005 N·m/A·0.04 A/0.5 = 0.04 N·m.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::{ElectricCurrent, MotorConstant, Ratio}};
/// use uom::si::{electric_current::ampere, magnetic_flux::weber};
/// let torque = |eta: f64| gears::back_drive_torque(
///     Ratio::from(100.0),
///     MotorConstant::new::<weber>(0.005),
///     ElectricCurrent::new::<ampere>(0.04),
///     Ratio::from(eta),
/// );
/// assert!(agrees(torque(0.5).unwrap().value, "0.0400"));
/// assert_eq!(torque(-0.1), None);
/// ```
///
/// # Sources
/// Torque balance of the driven-back train.
#[must_use]
pub fn back_drive_torque(
    ratio: Ratio,
    torque_constant: MotorConstant,
    no_load_current: ElectricCurrent,
    back_driving_efficiency: Ratio,
) -> Option<Torque> {
    (back_driving_efficiency.value > 0.0).then_some(())?;
    finite((ratio * torque_constant * no_load_current / back_driving_efficiency).into())
}

/// Current limit that protects the teeth.
///
/// # Formula
/// I = T_peak/(N·η·Kt) + I0
///
/// # Arguments
/// * `peak_torque` T_peak of the gearbox \[N·m\]
/// * `ratio` N \[1\]
/// * `efficiency` η \[1\]
/// * `torque_constant` Kt \[N·m/A\]
/// * `no_load_current` I0 \[A\]
///
/// # Returns
/// I \[A\]
///
/// # Validity
/// Blocked slowly; a hard stop at speed adds the rotor's momentum.
///
/// # Errors
/// None where N·η·Kt is not above 0.
///
/// # Example
/// No published value: 1 N·m/(100·0.8·0.0125 N·m/A) + 0.05 A = 1.05 A.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::{ElectricCurrent, MotorConstant, Ratio, Torque}};
/// use uom::si::{electric_current::ampere, magnetic_flux::weber, torque::newton_meter};
/// let current = gears::safe_current(
///     Torque::new::<newton_meter>(1.0),
///     Ratio::from(100.0),
///     Ratio::from(0.8),
///     MotorConstant::new::<weber>(0.0125),
///     ElectricCurrent::new::<ampere>(0.05),
/// );
/// assert!(agrees(current.unwrap().value, "1.0500"));
/// ```
///
/// # Sources
/// Torque balance of a gear train with losses.
#[must_use]
pub fn safe_current(
    peak_torque: Torque,
    ratio: Ratio,
    efficiency: Ratio,
    torque_constant: MotorConstant,
    no_load_current: ElectricCurrent,
) -> Option<ElectricCurrent> {
    let per_ampere = ratio * efficiency * torque_constant;
    (per_ampere.value > 0.0).then_some(())?;
    let current: ElectricCurrent = peak_torque / per_ampere;
    finite(current + no_load_current)
}

/// Free play where the position counts, with a last stage behind the gear motor.
///
/// # Formula
/// b/i + b_i
///
/// # Arguments
/// * `backlash` b at the gearbox output \[rad\]
/// * `reduction` i of the last stage, 1 without one \[1\]
/// * `reduction_backlash` b_i of the last stage, at the axis \[rad\]
///
/// # Returns
/// Free play at the axis \[rad\]
///
/// # Validity
/// Unloaded, both flanks just touched.
///
/// # Errors
/// None where i = 0.
///
/// # Example
/// No published value: 2° behind 4:1 with 0.1° of its own is 0.6°.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::{Angle, Ratio}};
/// use uom::si::angle::degree;
/// let play = gears::free_play(
///     Angle::new::<degree>(2.0),
///     Ratio::from(4.0),
///     Angle::new::<degree>(0.1),
/// );
/// assert!(agrees(play.unwrap().get::<degree>(), "0.6000"));
/// ```
///
/// # Sources
/// Kinematics of a gear train.
#[must_use]
pub fn free_play(backlash: Angle, reduction: Ratio, reduction_backlash: Angle) -> Option<Angle> {
    finite(backlash / reduction.value + reduction_backlash)
}

/// An angle of the axis as travel of its load.
///
/// # Formula
/// s = φ·L/2π
///
/// # Arguments
/// * `angle` φ \[rad\]
/// * `travel_per_turn` L, 2π·radius for an arm or a rim \[m\]
///
/// # Returns
/// s \[m\]
///
/// # Validity
/// Exact kinematics.
///
/// # Example
/// No published value: 0.9° on a 40 mm belt pulley is 0.1 mm.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::{Angle, Length}};
/// use uom::si::{angle::degree, length::millimeter};
/// let travel = gears::travel_of(Angle::new::<degree>(0.9), Length::new::<millimeter>(40.0));
/// assert!(agrees(travel.get::<millimeter>(), "0.1000"));
/// ```
///
/// # Sources
/// Kinematics.
#[must_use]
pub fn travel_of(angle: Angle, travel_per_turn: Length) -> Length {
    travel_per_turn * (angle.value / core::f64::consts::TAU)
}

/// Side load on the output shaft.
///
/// # Formula
/// F = |T|/r + F_belt
///
/// # Arguments
/// * `load_torque` T at the output \[N·m\]
/// * `radius` r at which it acts \[m\]
/// * `belt_tension` F_belt, both strands together at rest \[N\]
///
/// # Returns
/// F \[N\]
///
/// # Validity
/// Upper bound: the parts are added as if they pulled the same way. Gear separation left out.
///
/// # Errors
/// None where r = 0.
///
/// # Example
/// A 20-tooth pulley of 12.7324 mm pitch diameter at 67.01 mN·m carries 10 N/0.95 (computed).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::{Force, Length, Torque}};
/// use uom::si::{force::newton, length::millimeter, torque::millinewton_meter};
/// let load = gears::radial_load(
///     Torque::new::<millinewton_meter>(67.01),
///     Length::new::<millimeter>(12.7324 / 2.0),
///     Force::new::<newton>(0.0),
/// );
/// assert!(agrees(load.unwrap().value * 0.95, "10.00"));
/// ```
///
/// # Sources
/// Statics.
#[must_use]
pub fn radial_load(load_torque: Torque, radius: Length, belt_tension: Force) -> Option<Force> {
    let force: Force = load_torque.abs() / radius;
    finite(force + belt_tension)
}

/// Efficiency of a train of known stages when its output drives the motor, the stages in their
/// order.
///
/// # Formula
/// From output to motor, with bᵢ = 2 − 1/ηᵢ: × bᵢ while the load drives; from the first stage with
/// bᵢ ≤ 0 on, which locks, the motor drives the ones before it forwards: ÷ ηᵢ
///
/// # Arguments
/// * `stages` ηᵢ, motor to output \[1\]
///
/// # Returns
/// η_back, at or below 0 where it locks \[1\]
///
/// # Validity
/// The ratio of the torque at the motor to that of a lossless train. Equal stages give
/// [`back_driving_efficiency`].
///
/// # Errors
/// None where an ηᵢ ≤ 0.
///
/// # Example
/// No published value: a stage of 0.94 before a worm of 0.42 gives (2 − 1/0.42)/0.94.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears, units::Ratio};
/// let back = |stages: [f64; 2]| {
///     gears::back_driving_efficiency_through(stages.map(Ratio::from)).unwrap().value
/// };
/// assert!(agrees(back([0.94, 0.42]), "-0.405"));
/// assert!(agrees(back([0.42, 0.94]), "-0.357"));
/// assert!(agrees(back([0.8, 0.9]), "0.66667"));
/// ```
///
/// # Sources
/// [`back_efficiency`] and the torque balance of each stage in turn.
#[must_use]
pub fn back_driving_efficiency_through(stages: impl IntoIterator<Item = Ratio>) -> Option<Ratio> {
    let (mut passed, mut forwards) = (1.0, 1.0);
    for stage in stages {
        let back = back_efficiency(stage)?.value;
        passed = if back > 0.0 {
            passed * back
        } else {
            forwards * back
        };
        forwards /= stage.value;
    }
    finite(Ratio::from(passed))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::ratio::{exact, product, to_f64};
    use pulsewright_test_support::agrees;

    #[test]
    fn published_trains() {
        // Wentzell, Machine Design, Ex. 11.1, p. 217: 3600 r/min and 200 lb·in through 60/20·60/20.
        let train = product([(60, 20), (60, 20)]).and_then(to_f64).unwrap();
        assert!(agrees(3600.0 / train, "400.00"));
        assert!(agrees(200.0 * train, "1800.00"));
        // Ex. 11.2, p. 219: 65/20·60/20 with an idler, 3000 r/min and 10 lb·in.
        let idler = product([(65, 20), (22, 20), (60, 22)])
            .and_then(to_f64)
            .unwrap();
        assert!(agrees(idler, "9.75"));
        assert!(agrees(3000.0 / idler, "307.69"));
        assert!(agrees(10.0 * idler, "97.50"));
        // Ex. 11.6, p. 243.
        let three = product([(80, 20), (100, 20), (120, 20)]).unwrap();
        assert_eq!(Some(three), exact(120, 1));
    }

    #[test]
    fn published_planetary_stages() {
        // Khurmi & Gupta, Ex. 13.20; University of Ljubljana, Planetary transmissions.
        for (ring, sun, printed) in [(64, 16, "5"), (108, 21, "6.14286")] {
            let i = product(planetary_stage(ring, sun))
                .and_then(to_f64)
                .unwrap();
            assert!(agrees(i, printed), "{ring} {sun}");
        }
        assert_eq!(planetary_stage(60, 0), None);
        assert_eq!(planetary_stage(u32::MAX, 1), None);
    }

    #[test]
    fn label_that_is_right_drifts_by_nothing() {
        let n = product([(35, 12), (37, 13), (36, 12), (38, 11)]).unwrap();
        assert_eq!(nominal_error_per_turn(n, n).unwrap().value, 0.0);
        assert_eq!(nominal_error_per_turn(n, exact(0, 1).unwrap()), None);
    }

    #[test]
    fn stage_count_changes_just_above_the_powers_of_four() {
        for (ratio, count) in [
            (0.2, 1),
            (4.0, 1),
            (4.001, 2),
            (16.0, 2),
            (256.0, 4),
            (256.1, 5),
        ] {
            assert_eq!(stage_count(Ratio::from(ratio)), Some(count), "{ratio}");
        }
        assert_eq!(stage_count(Ratio::from(f64::INFINITY)), None);
    }

    proptest! {
        #[test]
        fn lossless_gears_are_lossless_backwards(n in 1..8_u32) {
            let one = Ratio::from(1.0);
            prop_assert_eq!(back_driving_efficiency(one, n), Some(one));
            prop_assert_eq!(back_driving_efficiency_of(core::iter::repeat_n(one, n as usize)), Some(one));
        }

        #[test]
        fn one_stage_is_the_textbook_form(eta in 0.01..1.0_f64) {
            let eta = Ratio::from(eta);
            let (general, single) = (back_driving_efficiency(eta, 1).unwrap(), back_efficiency(eta).unwrap());
            prop_assert!((general.value - single.value).abs() <= 1e-12 * single.value.abs().max(1.0));
        }

        #[test]
        fn equal_stages_agree_with_the_list(stage in 0.51..1.0_f64, n in 1..6_u32) {
            let whole = estimated_efficiency(Ratio::from(stage), n);
            let list = back_driving_efficiency_of(core::iter::repeat_n(Ratio::from(stage), n as usize)).unwrap();
            let train = back_driving_efficiency(whole, n).unwrap();
            prop_assert!((list.value - train.value).abs() < 1e-9);
        }

        #[test]
        fn back_driving_never_beats_driving(eta in 0.01..1.0_f64, n in 1..6_u32) {
            let back = back_driving_efficiency(Ratio::from(eta), n).unwrap().value;
            prop_assert!(back <= eta + 1e-12);
            prop_assert_eq!(back > 0.0, libm::pow(eta, 1.0 / f64::from(n)) > 0.5);
        }
    }

    proptest! {
        #[test]
        fn stages_in_order_agree_with_a_walk_from_the_output(
            stages in proptest::collection::vec(0.2..1.0_f64, 1..6),
        ) {
            // A torque of 1 at the output, carried stage by stage to the motor.
            let walked = stages.iter().rev().fold(1.0, |torque, eta| {
                if torque > 0.0 { torque * (2.0 - 1.0 / eta) } else { torque / eta }
            });
            let found = back_driving_efficiency_through(stages.iter().copied().map(Ratio::from));
            prop_assert!((found.unwrap().value - walked).abs() < 1e-9 * walked.abs().max(1.0));
        }

        #[test]
        fn equal_stages_in_order_agree_with_the_whole(stage in 0.15..1.0_f64, n in 1..6_u32) {
            let list = core::iter::repeat_n(Ratio::from(stage), n as usize);
            let found = back_driving_efficiency_through(list).unwrap().value;
            let whole = estimated_efficiency(Ratio::from(stage), n);
            let expected = back_driving_efficiency(whole, n).unwrap().value;
            prop_assert!((found - expected).abs() < 1e-9 * expected.abs().max(1.0));
        }
    }

    #[test]
    fn no_stage_is_no_loss_and_no_efficiency_is_none() {
        let one = Ratio::from(1.0);
        assert_eq!(back_driving_efficiency_through([]), Some(one));
        assert_eq!(
            back_driving_efficiency_through([one, Ratio::from(0.0)]),
            None
        );
        assert_eq!(
            back_driving_efficiency_through([Ratio::from(f64::NAN)]),
            None
        );
    }
}
