//! The motor as bought: its winding and its constant, from the figures of a listing.

#[cfg(not(any(test, feature = "std")))]
use crate::float::SquareRoot as _;
use crate::units::{
    AngularVelocity, DampingConstant, ElectricCurrent, ElectricPotential, ElectricalResistance,
    Inductance, Mass, MomentOfInertia, MotorConstant, Ratio, TemperatureCoefficient,
    ThermodynamicTemperature, Time, Torque, TorquePerMass, finite,
};

/// Winding resistance that the listed stall current implies.
///
/// # Formula
/// R = V / Is
///
/// # Arguments
/// * `rated_voltage` V \[V\]
/// * `stall_current` Is \[A\]
///
/// # Returns
/// R \[Ω\]
///
/// # Validity
/// Is > 0. A listing's stall current is taken briefly and cold; leads and brushes are in it.
///
/// # Example
/// 6 V over 4.2 Ω stalls at 1.4286 A (Kothari & Nagrath, Electric Machines, Ex. 7.63, p. 231).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential};
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
/// * `rated_voltage` V \[V\]
/// * `no_load_current` I0 \[A\]
/// * `resistance` R \[Ω\]
/// * `no_load_speed` ω0 of the motor shaft \[rad/s\]
///
/// # Returns
/// Ke \[V·s/rad\]
///
/// # Validity
/// ω0 > 0 and V > I0·R; friction is Coulomb, armature reaction is left out (a few per cent).
///
/// # Example
/// 6 V, 14.5 mA at 12 125 r/min, 4.2 Ω: 0.0046775 V·s/rad (Kothari & Nagrath, Ex. 7.63, p. 231).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance};
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
    (rated_voltage - no_load_current * resistance) / no_load_speed
}

/// Best efficiency of the motor alone.
///
/// # Formula
/// ηmax = (1 − √(I0 / Is))²
///
/// # Arguments
/// * `no_load_current` I0 \[A\]
/// * `stall_current` Is = V/R \[A\]
///
/// # Returns
/// ηmax \[1\]
///
/// # Validity
/// 0 ≤ I0 < Is; reproduces data sheets of small motors within 2 points.
///
/// # Example
/// An 8 mm motor, 6 V, 21.2 Ω, 8.3 mA: 69 % printed (a maker's data sheet).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motor, units::ElectricCurrent};
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

/// Winding resistance: the measured one, or else the one that the listed stall current implies.
///
/// # Formula
/// R = terminal resistance if given, else V / Is
///
/// # Arguments
/// * `terminal_resistance` measured at the terminals \[Ω\]
/// * `rated_voltage` V \[V\]
/// * `stall_current` Is \[A\]
///
/// # Returns
/// R \[Ω\]
///
/// # Validity
/// At the temperature at which it was measured. See [`resistance_from_stall`].
///
/// # Errors
/// None where it is implied by a stall current of 0.
///
/// # Example
/// 6 V and 1.4286 A imply 4.2 Ω (Kothari & Nagrath, Electric Machines, Ex. 7.63, p. 231).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential, ElectricalResistance};
/// use uom::si::{electric_current::ampere, electric_potential::volt, electrical_resistance::ohm};
/// let volts = ElectricPotential::new::<volt>(6.0);
/// let amperes = ElectricCurrent::new::<ampere>(1.4286);
/// assert!(agrees(motor::resistance(None, volts, amperes).unwrap().value, "4.2"));
/// let measured = ElectricalResistance::new::<ohm>(4.5);
/// assert_eq!(motor::resistance(Some(measured), volts, amperes), Some(measured));
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn resistance(
    terminal_resistance: Option<ElectricalResistance>,
    rated_voltage: ElectricPotential,
    stall_current: ElectricCurrent,
) -> Option<ElectricalResistance> {
    terminal_resistance.or_else(|| finite(resistance_from_stall(rated_voltage, stall_current)))
}

/// Torque that the motor's own Coulomb friction takes, the gears' idling included.
///
/// # Formula
/// M0 = Kt·I0
///
/// # Arguments
/// * `torque_constant` Kt \[N·m/A\]
/// * `no_load_current` I0 \[A\]
///
/// # Returns
/// M0 at the motor shaft \[N·m\]
///
/// # Validity
/// Coulomb friction only; the speed-dependent share in I0 counts as Coulomb.
///
/// # Example
/// 6 V motor, Km = 0.0046775, 14.5 mA at 12 125 r/min: 0.08612 W of rotational loss
/// (Kothari & Nagrath, Ex. 7.63, p. 231).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{AngularVelocity, ElectricCurrent, MotorConstant};
/// use uom::si::{angular_velocity::revolution_per_minute, electric_current::milliampere};
/// use uom::si::magnetic_flux::weber;
/// let torque = motor::friction_torque(
///     MotorConstant::new::<weber>(0.004_677_46),
///     ElectricCurrent::new::<milliampere>(14.5),
/// );
/// let loss = torque * AngularVelocity::new::<revolution_per_minute>(12_125.0);
/// assert!(agrees(loss.value, "0.08612"));
/// ```
///
/// # Sources
/// Torque balance at no load.
#[must_use]
pub fn friction_torque(torque_constant: MotorConstant, no_load_current: ElectricCurrent) -> Torque {
    (torque_constant * no_load_current).into()
}

/// Stall torque at the motor shaft that the winding itself can give.
///
/// # Formula
/// Ms = Kt·(Is − I0)
///
/// # Arguments
/// * `torque_constant` Kt \[N·m/A\]
/// * `stall_current` Is = V/R \[A\]
/// * `no_load_current` I0 \[A\]
///
/// # Returns
/// Ms \[N·m\]
///
/// # Validity
/// Linear motor without saturation. Some makers' sheets leave I0 out.
///
/// # Example
/// A 15 mm motor, 9 V, 10.6 Ω, 8.55 mN·m/A, friction 0.08 mN·m: 7.18 mN·m (a maker's data sheet).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{ElectricCurrent, MotorConstant};
/// use uom::si::{electric_current::ampere, magnetic_flux::weber};
/// let torque = motor::stall_torque(
///     MotorConstant::new::<weber>(8.55e-3),
///     ElectricCurrent::new::<ampere>(9.0 / 10.6),
///     ElectricCurrent::new::<ampere>(0.08 / 8.55),
/// );
/// assert!(agrees(torque.value * 1e3, "7.18"));
/// ```
///
/// # Sources
/// Torque balance at standstill.
#[must_use]
pub fn stall_torque(
    torque_constant: MotorConstant,
    stall_current: ElectricCurrent,
    no_load_current: ElectricCurrent,
) -> Torque {
    (torque_constant * (stall_current - no_load_current)).into()
}

/// Motor constant: torque per square root of the copper loss, held squared.
///
/// # Formula
/// Km² = Kt²/R
///
/// # Arguments
/// * `torque_constant` Kt \[N·m/A\]
/// * `resistance` R \[Ω\]
///
/// # Returns
/// Km² \[N·m·s\]; its square root is Km in N·m/√W
///
/// # Validity
/// At the temperature of R and Kt.
///
/// # Errors
/// None where R = 0.
///
/// # Example
/// No published value: 0.02 N·m/A over 4 Ω give 0.01 N·m/√W.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{ElectricalResistance, MotorConstant};
/// use uom::si::{electrical_resistance::ohm, magnetic_flux::weber};
/// let squared = motor::motor_constant(
///     MotorConstant::new::<weber>(0.02),
///     ElectricalResistance::new::<ohm>(4.0),
/// );
/// assert!(agrees(squared.unwrap().value.sqrt(), "0.0100"));
/// ```
///
/// # Sources
/// Definition in trade use (common practice, no source).
#[must_use]
pub fn motor_constant(
    torque_constant: MotorConstant,
    resistance: ElectricalResistance,
) -> Option<DampingConstant> {
    finite(torque_constant * torque_constant / resistance)
}

/// Mechanical time constant: of the run-up without load.
///
/// # Formula
/// τm = R·J/(Kt·Ke)
///
/// # Arguments
/// * `resistance` R \[Ω\]
/// * `inertia` J about the motor shaft \[kg·m²\]
/// * `torque_constant` Kt = Ke \[N·m/A\]
///
/// # Returns
/// τm \[s\]
///
/// # Validity
/// Inductance left out: τm well above L/R.
///
/// # Errors
/// None where Kt = 0.
///
/// # Example
/// A 13 mm motor, 12 V: 5.74 Ω, 0.165 g·cm², 4.05 mN·m/A: 5.77 ms (a maker's catalogue page).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{ElectricalResistance, MomentOfInertia, MotorConstant};
/// use uom::si::{electrical_resistance::ohm, magnetic_flux::weber};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let time = motor::mechanical_time_constant(
///     ElectricalResistance::new::<ohm>(5.74),
///     MomentOfInertia::new::<kilogram_square_meter>(0.165e-7),
///     MotorConstant::new::<weber>(4.05e-3),
/// );
/// assert!(agrees(time.unwrap().value * 1e3, "5.77"));
/// ```
///
/// # Sources
/// First-order equation of motion of the unloaded motor.
#[must_use]
pub fn mechanical_time_constant(
    resistance: ElectricalResistance,
    inertia: MomentOfInertia,
    torque_constant: MotorConstant,
) -> Option<Time> {
    finite(resistance * inertia / (torque_constant * torque_constant))
}

/// Electrical time constant of the winding.
///
/// # Formula
/// τe = L/R
///
/// # Arguments
/// * `inductance` L \[H\]
/// * `resistance` R \[Ω\]
///
/// # Returns
/// τe \[s\]
///
/// # Validity
/// L at the frequency of interest; small-signal figures fall with current.
///
/// # Errors
/// None where R = 0.
///
/// # Example
/// No published value: 2 mH over 4 Ω give 0.5 ms.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{ElectricalResistance, Inductance};
/// use uom::si::{electrical_resistance::ohm, inductance::millihenry};
/// let time = motor::electrical_time_constant(
///     Inductance::new::<millihenry>(2.0),
///     ElectricalResistance::new::<ohm>(4.0),
/// );
/// assert!(agrees(time.unwrap().value, "0.0005"));
/// ```
///
/// # Sources
/// First-order equation of an inductive circuit.
#[must_use]
pub fn electrical_time_constant(
    inductance: Inductance,
    resistance: ElectricalResistance,
) -> Option<Time> {
    finite(inductance / resistance)
}

/// Current at which the motor alone is most efficient.
///
/// # Formula
/// I = √(I0·Is)
///
/// # Arguments
/// * `no_load_current` I0 \[A\]
/// * `stall_current` Is = V/R \[A\]
///
/// # Returns
/// I \[A\]
///
/// # Validity
/// 0 ≤ I0 < Is, as for [`best_efficiency`].
///
/// # Errors
/// None where the currents have opposite signs.
///
/// # Example
/// No published value: 0.1 A and 1.6 A give 0.4 A.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{motor, units::ElectricCurrent};
/// use uom::si::electric_current::ampere;
/// let current = motor::best_efficiency_current(
///     ElectricCurrent::new::<ampere>(0.1),
///     ElectricCurrent::new::<ampere>(1.6),
/// );
/// assert!(agrees(current.unwrap().value, "0.4000"));
/// ```
///
/// # Sources
/// Greatest value of mechanical over electrical power on the linear speed–torque line.
#[must_use]
pub fn best_efficiency_current(
    no_load_current: ElectricCurrent,
    stall_current: ElectricCurrent,
) -> Option<ElectricCurrent> {
    let product = no_load_current * stall_current;
    (product.value >= 0.0).then(|| product.sqrt())
}

/// Listed stall torque at the gearbox output per mass carried along.
///
/// # Formula
/// T/(m + m⁺)
///
/// # Arguments
/// * `stall_torque` T at the output \[N·m\]
/// * `mass` m of the gear motor \[kg\]
/// * `added_mass` m⁺ of boards, magnet and housing \[kg\]
///
/// # Returns
/// Torque per mass \[N·m/kg\]
///
/// # Validity
/// Stall torque lasts seconds: this is no torque to hold.
///
/// # Errors
/// None where there is no mass.
///
/// # Example
/// No published value: 0.45 N·m and 150 g give 3 N·m/kg.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{Mass, Torque};
/// use uom::si::{mass::gram, torque::newton_meter};
/// let specific = motor::torque_per_mass(
///     Torque::new::<newton_meter>(0.45),
///     Mass::new::<gram>(120.0),
///     Mass::new::<gram>(30.0),
/// );
/// assert!(agrees(specific.unwrap().value, "3.000"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn torque_per_mass(
    stall_torque: Torque,
    mass: Mass,
    added_mass: Mass,
) -> Option<TorquePerMass> {
    finite(stall_torque / (mass + added_mass))
}

/// Listed over computed stall torque at the motor shaft: a check of the listing.
///
/// # Formula
/// listed/(Kt·(V/R − I0))
///
/// # Arguments
/// * `listed` stall torque as listed for the motor alone \[N·m\]
/// * `computed` of [`stall_torque`] \[N·m\]
///
/// # Returns
/// Ratio \[1\]
///
/// # Validity
/// 0.8 to 1.1 is consistent (common practice, no source).
///
/// # Errors
/// None where nothing is left to compare with: the winding gives no torque.
///
/// # Example
/// 6.98 mN·m listed against 5.1 Ω, 6 mN·m/A and 0.08 mN·m of friction at 6 V (a maker's data
/// sheet): consistent.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{ElectricCurrent, MotorConstant, Torque};
/// use uom::si::{electric_current::ampere, magnetic_flux::weber, torque::newton_meter};
/// let computed = motor::stall_torque(
///     MotorConstant::new::<weber>(6e-3),
///     ElectricCurrent::new::<ampere>(6.0 / 5.1),
///     ElectricCurrent::new::<ampere>(0.08 / 6.0),
/// );
/// let ratio = motor::stall_ratio(Torque::new::<newton_meter>(6.98e-3), computed);
/// assert!(agrees(ratio.unwrap().value, "1.000"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn stall_ratio(listed: Torque, computed: Torque) -> Option<Ratio> {
    (computed.value > 0.0).then_some(())?;
    finite(listed / computed)
}

/// What a listing says about speed, torque and gear efficiency: the figures that another gearbox
/// changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Listing {
    /// No-load speed at the place where the listing states it.
    pub no_load_speed: AngularVelocity,
    /// Stall torque at the same place.
    pub stall_torque: Torque,
    /// Efficiency of the gearbox.
    pub efficiency: Ratio,
}

/// The same motor before another gearbox: figures at the old output become figures at the motor.
///
/// # Formula
/// ω → ω·N, T → T/(N·η), η → η^(n′/n)
///
/// # Arguments
/// * `listing` figures at the output of the old gearbox, and its efficiency η
/// * `ratio` N of the old gearbox \[1\]
/// * `stage_count` n of the old gearbox \[1\]
/// * `new_stage_count` n′ of the new gearbox \[1\]
///
/// # Returns
/// Figures at the motor, and the efficiency of the new gearbox
///
/// # Validity
/// Equal stages; the idling of the old gears stays in the no-load current. For figures that are at
/// the motor already only the efficiency is to be taken from the result.
///
/// # Errors
/// None where N or η is not above 0 or the old gearbox has no stage.
///
/// # Example
/// No published value: 0.9 N·m and 10 rad/s behind 100:1 at 0.81 in two stages.
/// ```
/// use pulsewright_calc::motor::{Listing, with_other_gearbox};
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::units::{AngularVelocity, Ratio, Torque};
/// use uom::si::{angular_velocity::radian_per_second, torque::newton_meter};
/// let old = Listing {
///     no_load_speed: AngularVelocity::new::<radian_per_second>(10.0),
///     stall_torque: Torque::new::<newton_meter>(0.9),
///     efficiency: Ratio::from(0.81),
/// };
/// let new = with_other_gearbox(old, Ratio::from(100.0), 2, 1).unwrap();
/// assert!(agrees(new.no_load_speed.value, "1000.0"));
/// assert!(agrees(new.stall_torque.value, "0.011111"));
/// assert!(agrees(new.efficiency.value, "0.9000"));
/// ```
///
/// # Sources
/// Speed and torque of a gear train with losses.
#[must_use]
pub fn with_other_gearbox(
    listing: Listing,
    ratio: Ratio,
    stage_count: u32,
    new_stage_count: u32,
) -> Option<Listing> {
    (ratio.value > 0.0 && listing.efficiency.value > 0.0 && stage_count > 0).then_some(())?;
    let exponent = f64::from(new_stage_count) / f64::from(stage_count);
    Some(Listing {
        no_load_speed: finite((listing.no_load_speed * ratio).into())?,
        stall_torque: finite((listing.stall_torque / (ratio * listing.efficiency)).into())?,
        efficiency: finite(Ratio::from(libm::pow(listing.efficiency.value, exponent)))?,
    })
}

/// Share of the magnets' flux that is left at a temperature, and with it of Kt and Ke.
///
/// # Formula
/// 1 + k·(T_housing − T_ref)
///
/// # Arguments
/// * `coefficient` k, reversible; ferrite −0.002, NdFeB −0.0011 \[1/K\]
/// * `housing` T_housing, the magnets' temperature \[K\]
/// * `reference` T_ref of the listed figures \[K\]
///
/// # Returns
/// Factor \[1\]
///
/// # Validity
/// Reversible range of the magnets; beyond it flux is lost for good.
///
/// # Errors
/// None where no flux would be left.
///
/// # Example
/// No published value: ferrite 50 K warmer keeps 0.9.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::motor;
/// use pulsewright_calc::units::{TemperatureCoefficient, celsius};
/// use uom::si::temperature_coefficient::per_kelvin;
/// let k = TemperatureCoefficient::new::<per_kelvin>(-0.002);
/// let factor = motor::flux_factor(k, celsius(75.0), celsius(25.0)).unwrap();
/// assert!(agrees(factor.value, "0.9000"));
/// ```
///
/// # Sources
/// Linear reversible coefficient of remanence, as magnet data state it (common practice, no
/// source).
#[must_use]
pub fn flux_factor(
    coefficient: TemperatureCoefficient,
    housing: ThermodynamicTemperature,
    reference: ThermodynamicTemperature,
) -> Option<Ratio> {
    let factor = 1.0 + coefficient.value * (housing.value - reference.value);
    (factor > 0.0).then_some(())?;
    finite(Ratio::from(factor))
}

/// Multiple of its rated voltage up to which a motor is commonly run: common practice, no source.
pub const USUAL_OVERVOLTAGE: f64 = 1.5;

/// Multiple of the rated voltage above which brushes and bearings wear faster: common practice, no
/// source.
pub const TIGHT_OVERVOLTAGE: f64 = 1.25;

/// Multiple of the rated voltage above which a motor is not run: common practice, no source.
pub const GREATEST_OVERVOLTAGE: f64 = 2.0;

/// What a supply's voltage does to a motor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VoltageStress {
    /// Up to 1.25 times the rated voltage.
    Usual,
    /// Above that: brushes and the shaft's bearings wear faster.
    Raised,
    /// Above twice the rated voltage.
    TooHigh,
}

/// A supply's voltage beside a motor's rated one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VoltageRating {
    /// Highest over rated voltage.
    pub multiple: Ratio,
    /// 1.5 times the rated voltage over the highest.
    pub margin: Ratio,
    /// What that means.
    pub stress: VoltageStress,
}

/// Highest voltage of the supply against what the motor is rated for.
///
/// # Formula
/// m = V_high/V; margin 1.5/m; raised above m = 1.25, too high above m = 2
///
/// # Arguments
/// * `highest_voltage` V_high of the supply \[V\]
/// * `rated_voltage` V of the motor \[V\]
///
/// # Returns
/// m, the margin and the stress
///
/// # Validity
/// Brushed motors; speed and brush wear go with the voltage, heat is judged apart.
///
/// # Errors
/// None where a voltage is not above 0.
///
/// # Example
/// No published value: a 6 V motor on 7.5, 8.4 and 12.6 V.
/// ```
/// use pulsewright_calc::motor::{VoltageStress, voltage_rating};
/// use pulsewright_calc::units::ElectricPotential;
/// use uom::si::electric_potential::volt;
/// let v = ElectricPotential::new::<volt>;
/// let stress = |high| voltage_rating(v(high), v(6.0)).unwrap().stress;
/// assert_eq!(stress(7.5), VoltageStress::Usual);
/// assert_eq!(stress(8.4), VoltageStress::Raised);
/// assert_eq!(stress(12.6), VoltageStress::TooHigh);
/// assert_eq!(voltage_rating(v(9.0), v(6.0)).unwrap().margin.value, 1.0);
/// assert_eq!(voltage_rating(v(9.0), v(0.0)), None);
/// ```
///
/// # Sources
/// Common practice, no source.
#[must_use]
pub fn voltage_rating(
    highest_voltage: ElectricPotential,
    rated_voltage: ElectricPotential,
) -> Option<VoltageRating> {
    (highest_voltage.value > 0.0 && rated_voltage.value > 0.0).then_some(())?;
    let multiple: Ratio = finite(highest_voltage / rated_voltage)?;
    Some(VoltageRating {
        multiple,
        margin: finite(Ratio::from(USUAL_OVERVOLTAGE) / multiple)?,
        stress: if multiple.value > GREATEST_OVERVOLTAGE {
            VoltageStress::TooHigh
        } else if multiple.value > TIGHT_OVERVOLTAGE {
            VoltageStress::Raised
        } else {
            VoltageStress::Usual
        },
    })
}
