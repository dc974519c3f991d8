//! The quantities that the formulas take and give, all in SI inside, and the constants of nature
//! and of convention that they share.
//!
//! Dimensions live in these types. Angles, angular speeds, torques and inertias carry `uom`'s angle
//! kind: an expression that leaves or enters it needs `.into()`, and an [`Angle`] becomes a plain
//! factor through `Ratio::from`.

use uom::si::{ISQ, Quantity, SI};
use uom::typenum::{N1, N2, P1, P2, P3, Z0};

pub use uom::si::f64::{
    Acceleration, Angle, AngularAcceleration, AngularVelocity, Area, Capacitance, ElectricCharge,
    ElectricCurrent, ElectricPotential, ElectricalResistance, ElectricalResistivity, Energy, Force,
    Frequency, HeatCapacity, Inductance, Length, MagneticFlux, MagneticFluxDensity, Mass,
    MomentOfInertia, Power, Ratio, TemperatureCoefficient, TemperatureInterval,
    ThermodynamicTemperature, Time, Torque, Velocity,
};

/// Torque constant Kt, N·m/A, and back-EMF constant Ke, V·s/rad: the same number in SI and the
/// same dimension, that of a magnetic flux.
pub type MotorConstant = MagneticFlux;

/// Torsional stiffness, N·m/rad: dimension of a torque, the radian counting as 1.
pub type Stiffness = Torque;

/// Thermal resistance, K/W.
pub type ThermalResistance = Quantity<ISQ<N2, N1, P3, Z0, P1, Z0, Z0>, SI<f64>, f64>;

/// Motor figure of merit Kt/√R, N·m/√W, held squared: Kt²/R in N·m·s.
pub type DampingConstant = Quantity<ISQ<P2, P1, N1, Z0, Z0, Z0, Z0>, SI<f64>, f64>;

/// Standard acceleration of free fall, exact by definition (CGPM 1901), in m/s².
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// Temperature coefficient of copper's resistance at 20 °C, per kelvin: annealed copper of 100 %
/// conductivity, IEC 60028.
pub const COPPER_COEFFICIENT_20: f64 = 0.003_93;

/// Resistivity of annealed copper at 20 °C, Ω·m: 1/58 Ω·mm²/m, IEC 60028.
pub const COPPER_RESISTIVITY_20: f64 = 1e-6 / 58.0;

/// 0 °C in kelvin, exact.
pub const ZERO_CELSIUS: f64 = 273.15;

/// An absolute temperature from degrees Celsius.
///
/// # Example
/// ```
/// assert_eq!(pulsewright_calc::units::celsius(25.0).value, 298.15);
/// ```
#[must_use]
pub fn celsius(degrees: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<uom::si::thermodynamic_temperature::kelvin>(
        degrees + ZERO_CELSIUS,
    )
}

/// Degrees Celsius of an absolute temperature.
///
/// # Example
/// ```
/// use pulsewright_calc::units::{celsius, in_celsius};
/// assert!((in_celsius(celsius(25.0)) - 25.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn in_celsius(temperature: ThermodynamicTemperature) -> f64 {
    temperature.value - ZERO_CELSIUS
}

/// Torque per mass, N·m/kg: dimension of an energy per mass.
pub type TorquePerMass = uom::si::f64::AvailableEnergy;

/// The quantity, where it is a finite number: the guard behind every division and root whose
/// denominator or radicand comes from outside the function.
///
/// # Example
/// ```
/// use pulsewright_calc::units::{Ratio, finite};
/// assert!(finite(Ratio::from(1.0) / Ratio::from(0.0)).is_none());
/// assert_eq!(finite(Ratio::from(2.0)), Some(Ratio::from(2.0)));
/// ```
#[must_use]
pub fn finite<D, U>(quantity: Quantity<D, U, f64>) -> Option<Quantity<D, U, f64>>
where
    D: uom::si::Dimension + ?Sized,
    U: uom::si::Units<f64> + ?Sized,
{
    quantity.value.is_finite().then_some(quantity)
}

/// An angle of so many whole turns.
///
/// # Example
/// ```
/// assert_eq!(pulsewright_calc::units::turns(0.5).value, core::f64::consts::PI);
/// ```
#[must_use]
pub fn turns(count: f64) -> Angle {
    Angle::new::<uom::si::angle::radian>(core::f64::consts::TAU * count)
}

/// `value` held between two bounds; a NaN becomes the lower one.
///
/// In place of [`f64::clamp`], whose panic message brings the formatting of floating-point numbers
/// into the page, 15 kB of it.
#[allow(clippy::manual_clamp)]
pub(crate) fn within(value: f64, low: f64, high: f64) -> f64 {
    value.max(low).min(high)
}
