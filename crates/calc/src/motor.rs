//! The motor as bought: its winding and its constant, from the figures of a listing.

use crate::units::{
    AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, MotorConstant, Ratio,
};

/// Winding resistance that the listed stall current implies.
///
/// # Formula
/// R = V / Is
///
/// # Arguments
/// * `rated_voltage` V [V]
/// * `stall_current` Is [A]
///
/// # Returns
/// R [Ω]
///
/// # Validity
/// Is > 0. A listing's stall current is taken briefly and cold; leads and brushes are in it.
///
/// # Example
/// 6 V over 4.2 Ω stalls at 1.4286 A (Kothari & Nagrath, Electric Machines, Ex. 7.63, p. 231).
/// ```
/// use calc::{motor, printed::agrees};
/// use calc::units::{ElectricCurrent, ElectricPotential};
/// use uom::si::{electric_current::ampere, electric_potential::volt};
/// let r = motor::resistance_from_stall(
///     ElectricPotential::new::<volt>(6.0),
///     ElectricCurrent::new::<ampere>(1.4286),
/// );
/// assert!(agrees(r.value, "4.2"));
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn resistance_from_stall(
    rated_voltage: ElectricPotential,
    stall_current: ElectricCurrent,
) -> ElectricalResistance {
    rated_voltage / stall_current
}

/// Back-EMF constant, equal to the torque constant in SI, from the no-load run.
///
/// # Formula
/// Ke = (V − I0·R) / ω0
///
/// # Arguments
/// * `rated_voltage` V [V]
/// * `no_load_current` I0 [A]
/// * `resistance` R [Ω]
/// * `no_load_speed` ω0 of the motor shaft [rad/s]
///
/// # Returns
/// Ke [V·s/rad]
///
/// # Validity
/// ω0 > 0 and V > I0·R; friction is Coulomb, armature reaction is left out (a few per cent).
///
/// # Example
/// 6 V, 14.5 mA at 12 125 r/min, 4.2 Ω: 0.0046775 V·s/rad (Kothari & Nagrath, Ex. 7.63, p. 231).
/// ```
/// use calc::{motor, printed::agrees};
/// use calc::units::{AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance};
/// use uom::si::{angular_velocity::revolution_per_minute, electric_current::milliampere};
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm};
/// let ke = motor::back_emf_constant(
///     ElectricPotential::new::<volt>(6.0),
///     ElectricCurrent::new::<milliampere>(14.5),
///     ElectricalResistance::new::<ohm>(4.2),
///     AngularVelocity::new::<revolution_per_minute>(12_125.0),
/// );
/// assert!(agrees(ke.value, "0.0046775"));
/// ```
///
/// # Sources
/// Voltage equation of a permanent-magnet motor in steady state.
#[must_use]
pub fn back_emf_constant(
    rated_voltage: ElectricPotential,
    no_load_current: ElectricCurrent,
    resistance: ElectricalResistance,
    no_load_speed: AngularVelocity,
) -> MotorConstant {
    ((rated_voltage - no_load_current * resistance) / no_load_speed).into()
}

/// Best efficiency of the motor alone.
///
/// # Formula
/// ηmax = (1 − √(I0 / Is))²
///
/// # Arguments
/// * `no_load_current` I0 [A]
/// * `stall_current` Is = V/R [A]
///
/// # Returns
/// ηmax [1]
///
/// # Validity
/// 0 ≤ I0 < Is; reproduces data sheets of small motors within 2 points.
///
/// # Example
/// An 8 mm motor, 6 V, 21.2 Ω, 8.3 mA: 69 % printed (a maker's data sheet, case C007 of the
/// published checks).
/// ```
/// use calc::{motor, printed::agrees, units::ElectricCurrent};
/// use uom::si::electric_current::ampere;
/// let best = motor::best_efficiency(
///     ElectricCurrent::new::<ampere>(0.0083),
///     ElectricCurrent::new::<ampere>(6.0 / 21.2),
/// );
/// assert!(agrees(best.value, "0.69"));
/// ```
///
/// # Sources
/// Greatest value of mechanical over electrical power on the linear speed–torque line.
#[must_use]
pub fn best_efficiency(no_load_current: ElectricCurrent, stall_current: ElectricCurrent) -> Ratio {
    let root = (no_load_current / stall_current).sqrt();
    (Ratio::from(1.0) - root) * (Ratio::from(1.0) - root)
}
