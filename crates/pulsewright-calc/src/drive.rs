//! The motor on its supply: speed, torque and current at the gearbox output at full duty.
//!
//! Every function takes the resistance of the whole path and the motor's constant, cold or hot: the
//! hot figures come from the same functions with [`heat::resistance_at`] and
//! [`motor::flux_factor`] applied before.
//!
//! [`heat::resistance_at`]: crate::heat::resistance_at
//! [`motor::flux_factor`]: crate::motor::flux_factor

use uom::si::{angular_velocity::radian_per_second, time::second};

#[cfg(not(any(test, feature = "std")))]
use crate::float::SquareRoot as _;
use crate::gears::{self, Gearing};
use crate::units::{
    Acceleration, Angle, AngularAcceleration, AngularVelocity, ElectricCurrent, ElectricPotential,
    ElectricalResistance, Energy, Force, Length, Mass, MomentOfInertia, MotorConstant, Ratio,
    STANDARD_GRAVITY, Time, Torque, finite,
};

/// Output speed at a motor current: without load at I0, with it at the current of the load.
///
/// # Formula
/// ω = (V − I·R)/(Ke·N), at least 0
///
/// # Arguments
/// * `voltage` V, open circuit \[V\]
/// * `current` I of the motor \[A\]
/// * `resistance` R of motor, bridge and supply \[Ω\]
/// * `back_emf_constant` Ke \[V·s/rad\]
/// * `ratio` N \[1\]
///
/// # Returns
/// ω of the output \[rad/s\]
///
/// # Validity
/// Steady state, full duty. 0 where the current cannot flow: the motor does not start.
///
/// # Errors
/// None where Ke·N is not above 0.
///
/// # Example
/// A 15 mm motor at 12 V: 19.8 Ω, 11.5 mN·m/A, 0.0805 mN·m of friction: 9849.4 r/min (computed
/// with a simulation library).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::drive;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, MotorConstant,
/// Ratio};
/// use uom::si::{angular_velocity::revolution_per_minute, electric_current::ampere};
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm, magnetic_flux::weber};
/// let speed = drive::speed_at_current(
///     ElectricPotential::new::<volt>(12.0),
///     ElectricCurrent::new::<ampere>(0.0805 / 11.5),
///     ElectricalResistance::new::<ohm>(19.8),
///     MotorConstant::new::<weber>(11.5e-3),
///     Ratio::from(1.0),
/// );
/// assert!(agrees(speed.unwrap().get::<revolution_per_minute>(), "9849.4"));
/// ```
///
/// # Sources
/// Voltage equation of a permanent-magnet motor in steady state.
#[must_use]
pub fn speed_at_current(
    voltage: ElectricPotential,
    current: ElectricCurrent,
    resistance: ElectricalResistance,
    back_emf_constant: MotorConstant,
    ratio: Ratio,
) -> Option<AngularVelocity> {
    let per_speed = back_emf_constant * ratio;
    (per_speed.value > 0.0).then_some(())?;
    let speed: AngularVelocity = ((voltage - current * resistance) / per_speed).into();
    Some(finite(speed)?.max(AngularVelocity::new::<radian_per_second>(0.0)))
}

/// Current of the blocked motor.
///
/// # Formula
/// Is = V/R
///
/// # Arguments
/// * `voltage` V, open circuit \[V\]
/// * `resistance` R of motor, bridge and supply \[Ω\]
///
/// # Returns
/// Is \[A\]
///
/// # Validity
/// After a few electrical time constants, without a current limit.
///
/// # Errors
/// None where R = 0.
///
/// # Example
/// 6 V over 4.2 Ω: 1.4286 A (Kothari & Nagrath, Electric Machines, Ex. 7.63, p. 231).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{drive, units::{ElectricPotential, ElectricalResistance}};
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm};
/// let current = drive::stall_current(
///     ElectricPotential::new::<volt>(6.0),
///     ElectricalResistance::new::<ohm>(4.2),
/// );
/// assert!(agrees(current.unwrap().value, "1.4286"));
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn stall_current(
    voltage: ElectricPotential,
    resistance: ElectricalResistance,
) -> Option<ElectricCurrent> {
    finite(voltage / resistance)
}

/// Torque of the blocked output.
///
/// # Formula
/// T = N·η·Kt·(Is − I0)
///
/// # Arguments
/// * `ratio` N \[1\]
/// * `efficiency` η \[1\]
/// * `torque_constant` Kt \[N·m/A\]
/// * `stall_current` Is, or the current limit where that is less \[A\]
/// * `no_load_current` I0 \[A\]
///
/// # Returns
/// T; below 0 the motor does not turn itself \[N·m\]
///
/// # Validity
/// Loaded against the motion; a gearbox may break before.
///
/// # Example
/// 6 V, 4.2 Ω, 0.0046775: 0.006682 N·m without gears and friction (Kothari & Nagrath, Electric
/// Machines, Ex. 7.63, p. 231).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{drive, units::{ElectricCurrent, MotorConstant, Ratio}};
/// use uom::si::{electric_current::ampere, magnetic_flux::weber};
/// let torque = drive::stall_torque(
///     Ratio::from(1.0),
///     Ratio::from(1.0),
///     MotorConstant::new::<weber>(0.004_677_46),
///     ElectricCurrent::new::<ampere>(6.0 / 4.2),
///     ElectricCurrent::new::<ampere>(0.0),
/// );
/// assert!(agrees(torque.value, "0.006682"));
/// ```
///
/// # Sources
/// Torque balance of a gear motor at standstill.
#[must_use]
pub fn stall_torque(
    ratio: Ratio,
    efficiency: Ratio,
    torque_constant: MotorConstant,
    stall_current: ElectricCurrent,
    no_load_current: ElectricCurrent,
) -> Torque {
    crate::motor::stall_torque(torque_constant, stall_current, no_load_current)
        * (ratio * efficiency).value
}

/// Motor current with the load, at steady speed.
///
/// # Formula
/// I = T/(N·η·Kt) + I0; a load that helps (T < 0) counts T·η_back/(N·Kt)
///
/// # Arguments
/// * `gearing` N, η, η_back
/// * `load_torque` T at the output \[N·m\]
/// * `torque_constant` Kt \[N·m/A\]
/// * `no_load_current` I0 \[A\]
///
/// # Returns
/// I; below 0 the load brakes against the motor \[A\]
///
/// # Validity
/// Compare with [`starts`].
///
/// # Errors
/// None where N, η or Kt is 0.
///
/// # Example
/// 71 mN·m through 43:1 at 0.7 take 2.36 mN·m (a maker's page,
/// with its arithmetic put right): 0.236 A at 0.01 N·m/A.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{drive, gears::Gearing};
/// use pulsewright_calc::units::{ElectricCurrent, MotorConstant, Ratio, Torque};
/// use uom::si::{electric_current::ampere, magnetic_flux::weber, torque::millinewton_meter};
/// let gearing = Gearing {
///     ratio: Ratio::from(43.0),
///     efficiency: Ratio::from(0.7),
///     back_driving_efficiency: Ratio::from(0.5),
/// };
/// let current = drive::current_at_load(
///     gearing,
///     Torque::new::<millinewton_meter>(71.0),
///     MotorConstant::new::<weber>(0.01),
///     ElectricCurrent::new::<ampere>(0.0),
/// );
/// assert!(agrees(current.unwrap().value, "0.236"));
/// ```
///
/// # Sources
/// Torque balance of a gear motor.
#[must_use]
pub fn current_at_load(
    gearing: Gearing,
    load_torque: Torque,
    torque_constant: MotorConstant,
    no_load_current: ElectricCurrent,
) -> Option<ElectricCurrent> {
    let torque = gears::torque_at_motor(gearing, load_torque)?;
    let current: ElectricCurrent = torque / torque_constant;
    finite(current + no_load_current)
}

/// Whether the motor starts with its load.
///
/// # Formula
/// I < Is
///
/// # Arguments
/// * `current_at_load` I \[A\]
/// * `stall_current` Is \[A\]
///
/// # Returns
/// True when it starts
///
/// # Validity
/// Friction at rest as in motion.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{drive, units::ElectricCurrent};
/// use uom::si::electric_current::ampere;
/// let current = ElectricCurrent::new::<ampere>;
/// assert!(drive::starts(current(0.9), current(1.0)));
/// assert!(!drive::starts(current(1.0), current(1.0)));
/// ```
///
/// # Sources
/// Torque balance at standstill.
#[must_use]
pub fn starts(current_at_load: ElectricCurrent, stall_current: ElectricCurrent) -> bool {
    current_at_load < stall_current
}

/// Force of a torque at a radius.
///
/// # Formula
/// F = T/r
///
/// # Arguments
/// * `torque` T \[N·m\]
/// * `radius` r \[m\]
///
/// # Returns
/// F \[N\]
///
/// # Validity
/// Before the losses of belt, rack or screw.
///
/// # Errors
/// None where r = 0.
///
/// # Example
/// 98.07 mN·m at 100 mm (computed).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{drive, units::{Length, Torque}};
/// use uom::si::{length::millimeter, torque::millinewton_meter};
/// let force = drive::force_at_radius(
///     Torque::new::<millinewton_meter>(98.07),
///     Length::new::<millimeter>(100.0),
/// );
/// assert!(agrees(force.unwrap().value, "0.9807"));
/// ```
///
/// # Sources
/// Statics of the lever.
#[must_use]
pub fn force_at_radius(torque: Torque, radius: Length) -> Option<Force> {
    finite(torque / radius)
}

/// Mass whose weight balances a force.
///
/// # Formula
/// m = F/g
///
/// # Arguments
/// * `force` F \[N\]
///
/// # Returns
/// m \[kg\]
///
/// # Validity
/// Standard gravity.
///
/// # Example
/// 98.07 mN·m at 100 mm balance 100 g (computed).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{drive, units::Force};
/// use uom::si::force::newton;
/// assert!(agrees(drive::hanging_mass(Force::new::<newton>(0.9807)).value, "0.1000"));
/// ```
///
/// # Sources
/// Definition of weight.
#[must_use]
pub fn hanging_mass(force: Force) -> Mass {
    force / Acceleration::new::<uom::si::acceleration::meter_per_second_squared>(STANDARD_GRAVITY)
}

/// Peak current when the motor is reversed at speed.
///
/// # Formula
/// I = (V + Ke·ω)/R
///
/// # Arguments
/// * `voltage` V at the bridge \[V\]
/// * `back_emf_constant` Ke \[V·s/rad\]
/// * `motor_speed` ω of the motor shaft \[rad/s\]
/// * `resistance` R of motor and bridge alone \[Ω\]
///
/// # Returns
/// I \[A\]
///
/// # Validity
/// Upper bound: the inductance's rise and the braking meanwhile are left out. The first
/// milliseconds
/// come from the bulk capacitor, therefore without the supply's resistance.
///
/// # Errors
/// None where R = 0.
///
/// # Example
/// No published value: 12 V and 11 V of back-EMF over 4 Ω.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::drive;
/// use pulsewright_calc::units::{AngularVelocity, ElectricPotential, ElectricalResistance, MotorConstant};
/// use uom::si::{angular_velocity::radian_per_second, electric_potential::volt};
/// use uom::si::{electrical_resistance::ohm, magnetic_flux::weber};
/// let current = drive::reversal_current(
///     ElectricPotential::new::<volt>(12.0),
///     MotorConstant::new::<weber>(0.011),
///     AngularVelocity::new::<radian_per_second>(1000.0),
///     ElectricalResistance::new::<ohm>(4.0),
/// );
/// assert!(agrees(current.unwrap().value, "5.7500"));
/// ```
///
/// # Sources
/// Voltage equation of a permanent-magnet motor.
#[must_use]
pub fn reversal_current(
    voltage: ElectricPotential,
    back_emf_constant: MotorConstant,
    motor_speed: AngularVelocity,
    resistance: ElectricalResistance,
) -> Option<ElectricCurrent> {
    let back_emf: ElectricPotential = back_emf_constant * motor_speed;
    finite((voltage + back_emf) / resistance)
}

/// Greatest acceleration of the output from rest, against the load.
///
/// # Formula
/// α = (T_stall − T_L)/(J_L + η·N²·J_r)
///
/// # Arguments
/// * `stall_torque` T_stall at the output \[N·m\]
/// * `load_torque` T_L \[N·m\]
/// * `load_inertia` J_L \[kg·m²\]
/// * `reflected_inertia` N²·J_r, of [`gears::reflected_inertia`] \[kg·m²\]
/// * `efficiency` η \[1\]
///
/// # Returns
/// α; below 0 it does not start \[rad/s²\]
///
/// # Validity
/// At standstill; it falls with speed.
///
/// # Errors
/// None where there is no inertia.
///
/// # Example
/// 100 N·m on 2 kg·m² drive 32 kg·m² through 4:1: 6.25 rad/s² (Khurmi & Gupta, Theory of Machines,
/// Ex. 3.14, p. 51).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{drive, gears, units::{MomentOfInertia, Ratio, Torque}};
/// use uom::si::{moment_of_inertia::kilogram_square_meter, torque::newton_meter};
/// let inertia = MomentOfInertia::new::<kilogram_square_meter>;
/// let acceleration = drive::peak_acceleration(
///     Torque::new::<newton_meter>(400.0),
///     Torque::new::<newton_meter>(0.0),
///     inertia(32.0),
///     gears::reflected_inertia(inertia(2.0), Ratio::from(4.0)),
///     Ratio::from(1.0),
/// );
/// assert!(agrees(acceleration.unwrap().value, "6.25"));
/// ```
///
/// # Sources
/// Equation of motion of a geared load: Khurmi & Gupta, Theory of Machines, ch. 3.
#[must_use]
pub fn peak_acceleration(
    stall_torque: Torque,
    load_torque: Torque,
    load_inertia: MomentOfInertia,
    reflected_inertia: MomentOfInertia,
    efficiency: Ratio,
) -> Option<AngularAcceleration> {
    let inertia = load_inertia + reflected_inertia * efficiency.value;
    finite(((stall_torque - load_torque) / inertia).into())
}

/// Speed at which a load sinks while the bridge only brakes: the winding shorted, no current asked
/// for.
///
/// # Formula
/// ω = max(0, T·η_back/N − Kt·I0)·(R + R_b)/(Kt²·N); 0 for gears that lock (η_back ≤ 0)
///
/// # Arguments
/// * `gearing` N, η, η_back
/// * `driving_torque` T with which the load turns the output, friction taken off: of
///   [`axis::back_driving`] \[N·m\]
/// * `torque_constant` Kt = Ke \[N·m/A\]
/// * `no_load_current` I0 \[A\]
/// * `resistance` R of the winding \[Ω\]
/// * `brake_resistance` R_b of the switches in the braking path \[Ω\]
///
/// # Returns
/// ω of the output, from rest after a few mechanical time constants \[rad/s\]
///
/// # Validity
/// Steady state. A load that moves so little may also stick: friction at rest exceeds that in
/// motion.
///
/// # Errors
/// None where N or Kt is 0.
///
/// # Example
/// 0.4 N·m behind 100:1 at η_back 0.5, 4 mN·m/A, 50 mA, 6.3 Ω: 7.0875 rad/s (SciPy 1.17.1, see the
/// tests).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{drive, gears::Gearing, units::*};
/// use uom::si::{electric_current::ampere, electrical_resistance::ohm};
/// use uom::si::{magnetic_flux::weber, torque::newton_meter};
/// let gearing = Gearing {
///     ratio: Ratio::from(100.0),
///     efficiency: Ratio::from(0.6),
///     back_driving_efficiency: Ratio::from(0.5),
/// };
/// let creep = drive::creep_braked(
///     gearing,
///     Torque::new::<newton_meter>(0.4),
///     MotorConstant::new::<weber>(0.004),
///     ElectricCurrent::new::<ampere>(0.05),
///     ElectricalResistance::new::<ohm>(6.0),
///     ElectricalResistance::new::<ohm>(0.3),
/// );
/// assert!(agrees(creep.unwrap().value, "7.0875"));
/// ```
///
/// # Sources
/// Torque balance of a shorted motor that is driven back.
///
/// [`axis::back_driving`]: crate::axis::back_driving
#[must_use]
pub fn creep_braked(
    gearing: Gearing,
    driving_torque: Torque,
    torque_constant: MotorConstant,
    no_load_current: ElectricCurrent,
    resistance: ElectricalResistance,
    brake_resistance: ElectricalResistance,
) -> Option<AngularVelocity> {
    let passed = gearing.back_driving_efficiency.max(Ratio::from(0.0));
    let current: ElectricCurrent = driving_torque * passed / (gearing.ratio * torque_constant);
    let driven = (current - no_load_current).max(ElectricCurrent::default());
    let back_emf = driven * (resistance + brake_resistance);
    finite((back_emf / (torque_constant * gearing.ratio)).into())
}

/// A load that turns an unpowered drive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Released {
    /// Torque T with which the load turns the output, friction taken off.
    pub driving_torque: Torque,
    /// J_L at the output.
    pub load_inertia: MomentOfInertia,
    /// J_r of the rotor.
    pub rotor_inertia: MomentOfInertia,
    /// Kt of the motor.
    pub torque_constant: MotorConstant,
    /// I0 of the motor.
    pub no_load_current: ElectricCurrent,
    /// Angle φ of the output down to its end.
    pub angle: Angle,
}

/// A fall from rest to the end of the travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// Time until it arrives.
    pub time: Time,
    /// Speed of the output on arrival.
    pub speed: AngularVelocity,
    /// Energy of load and rotor on arrival.
    pub energy: Energy,
}

/// Fall of a load when the bridge is asleep: no current flows.
///
/// # Formula
/// α = (T·η_back − N·Kt·I0)/(η_back·J_L + N²·J_r), t = √(2·φ/α), ω = α·t,
/// E = ½·(J_L + N²·J_r)·ω²
///
/// # Arguments
/// * `gearing` N, η, η_back
/// * `released` T, Kt, I0, J_L, J_r and φ
///
/// # Returns
/// t \[s\], ω \[rad/s\] and E \[J\]; none where it does not fall: the gears lock or friction holds it
///
/// # Validity
/// T constant over the fall: an arm, whose torque changes with its angle, at the greatest T falls
/// no faster than this. Below the speed at which the motor's voltage passes the supply's and the
/// diodes brake.
///
/// # Example
/// 0.4 N·m and 2 g·m² behind 30:1 at η_back 0.7 with 30 g·mm² of rotor fall 1 rad in 0.10206 s and
/// arrive with 0.38921 J (SciPy 1.17.1, see the tests).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{drive::{Released, fall_released}, gears::Gearing, units::*};
/// use uom::si::{angle::radian, electric_current::ampere, magnetic_flux::weber};
/// use uom::si::{moment_of_inertia::kilogram_square_meter, torque::newton_meter};
/// let gearing = Gearing {
///     ratio: Ratio::from(30.0),
///     efficiency: Ratio::from(0.75),
///     back_driving_efficiency: Ratio::from(0.7),
/// };
/// let fall = fall_released(gearing, &Released {
///     driving_torque: Torque::new::<newton_meter>(0.4),
///     load_inertia: MomentOfInertia::new::<kilogram_square_meter>(2e-3),
///     rotor_inertia: MomentOfInertia::new::<kilogram_square_meter>(3e-8),
///     torque_constant: MotorConstant::new::<weber>(0.004),
///     no_load_current: ElectricCurrent::new::<ampere>(0.05),
///     angle: Angle::new::<radian>(1.0),
/// }).unwrap();
/// assert!(agrees(fall.time.value, "0.10206"));
/// assert!(agrees(fall.energy.value, "0.38921"));
/// ```
///
/// # Sources
/// Equation of motion of a rotor that is driven back.
#[must_use]
pub fn fall_released(gearing: Gearing, released: &Released) -> Option<Fall> {
    let (ratio, passed) = (gearing.ratio, gearing.back_driving_efficiency);
    let friction: Torque = (ratio * released.torque_constant * released.no_load_current).into();
    let pull = released.driving_torque * passed.value - friction;
    let reflected = gears::reflected_inertia(released.rotor_inertia, ratio);
    let inertia = released.load_inertia * passed.value + reflected;
    (passed.value > 0.0 && pull.value > 0.0 && inertia.value > 0.0).then_some(())?;
    let angle = released.angle.value.abs();
    let acceleration = pull.value / inertia.value;
    let speed = (2.0 * angle * acceleration).sqrt();
    let speed = AngularVelocity::new::<radian_per_second>(speed);
    Some(Fall {
        time: finite(Time::new::<second>((2.0 * angle / acceleration).sqrt()))?,
        speed: finite(speed)?,
        energy: finite(crate::axis::kinetic_energy(
            released.load_inertia,
            reflected,
            speed,
        ))?,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::angular_velocity::revolution_per_minute;
    use uom::si::electric_current::ampere;
    use uom::si::electric_potential::volt;
    use uom::si::electrical_resistance::ohm;
    use uom::si::magnetic_flux::weber;
    use uom::si::torque::newton_meter;

    use super::*;
    use crate::{heat, motor, units::celsius};
    use pulsewright_test_support::agrees;

    fn path(
        volts: f64,
        amperes: f64,
        ohms: f64,
        constant: f64,
        ratio: f64,
    ) -> Option<AngularVelocity> {
        speed_at_current(
            ElectricPotential::new::<volt>(volts),
            ElectricCurrent::new::<ampere>(amperes),
            ElectricalResistance::new::<ohm>(ohms),
            MotorConstant::new::<weber>(constant),
            Ratio::from(ratio),
        )
    }

    #[test]
    fn published_no_load_speeds() {
        // Burman, Special Electrical Machines, Ex. 4.1, 4.2, 4.4, pp. 216–217.
        for (volts, constant, printed) in [(48.0, 0.12, "3819.7"), (28.0, 0.2, "1336.90")] {
            let speed = path(volts, 0.0, 1.0, constant, 1.0).unwrap();
            assert!(agrees(speed.get::<revolution_per_minute>(), printed));
        }
        // An 8 mm motor at 6 V, 2318 r/min per volt: 13 500 r/min (a maker's data sheet).
        let constant = 30.0 / (core::f64::consts::PI * 2318.0);
        let speed = path(6.0, 0.0083, 21.2, constant, 1.0).unwrap();
        assert!(agrees(speed.get::<revolution_per_minute>(), "13500"));
    }

    #[test]
    fn what_cannot_turn_stands_still() {
        assert_eq!(path(6.0, 3.0, 4.0, 0.01, 50.0).unwrap().value, 0.0);
        assert_eq!(path(6.0, 0.0, 4.0, 0.0, 50.0), None);
        assert_eq!(path(6.0, 0.0, 4.0, 0.01, 0.0), None);
        let volts = ElectricPotential::new::<volt>(6.0);
        assert_eq!(
            stall_current(volts, ElectricalResistance::new::<ohm>(0.0)),
            None
        );
    }

    #[test]
    fn warm_magnets_and_copper_lose_torque_and_gain_speed_without_load() {
        let cold = ElectricalResistance::new::<ohm>(4.0);
        let hot = heat::resistance_at(
            cold,
            heat::coefficient_at(celsius(25.0)),
            celsius(25.0),
            celsius(100.0),
        );
        let coefficient = crate::units::TemperatureCoefficient::new::<
            uom::si::temperature_coefficient::per_kelvin,
        >(-0.002);
        let flux = motor::flux_factor(coefficient, celsius(75.0), celsius(25.0)).unwrap();
        let torque = |resistance, constant: f64| {
            let stall = stall_current(ElectricPotential::new::<volt>(6.0), resistance).unwrap();
            let idle = ElectricCurrent::new::<ampere>(0.05);
            let constant = MotorConstant::new::<weber>(constant);
            stall_torque(Ratio::from(50.0), Ratio::from(0.8), constant, stall, idle)
        };
        assert!(torque(hot, 0.01 * flux.value) < torque(cold, 0.01) * 0.75);
        let no_load = |resistance: ElectricalResistance, constant| {
            path(6.0, 0.05, resistance.value, constant, 50.0).unwrap()
        };
        assert!(no_load(hot, 0.01 * flux.value) > no_load(cold, 0.01));
    }

    proptest! {
        #[test]
        fn at_the_current_of_the_stall_torque_the_output_stands(
            ratio in 1.0..500.0_f64, eta in 0.1..1.0_f64, kt in 1e-3..0.1_f64, ohms in 0.5..50.0_f64, idle in 0.0..0.1_f64,
        ) {
            let volts = ElectricPotential::new::<volt>(12.0);
            let stall = stall_current(volts, ElectricalResistance::new::<ohm>(ohms)).unwrap();
            let (kt, idle) = (MotorConstant::new::<weber>(kt), ElectricCurrent::new::<ampere>(idle));
            let gearing = Gearing {
                ratio: Ratio::from(ratio),
                efficiency: Ratio::from(eta),
                back_driving_efficiency: Ratio::from(eta),
            };
            let torque = stall_torque(gearing.ratio, gearing.efficiency, kt, stall, idle);
            prop_assume!(torque.value > 0.0);
            let current = current_at_load(gearing, torque, kt, idle).unwrap();
            prop_assert!((current - stall).value.abs() < 1e-9 * stall.value);
            let speed = path(12.0, current.value, ohms, kt.value, ratio).unwrap();
            prop_assert!(speed.value < 1e-6 * path(12.0, 0.0, ohms, kt.value, ratio).unwrap().value);
        }

        #[test]
        fn power_is_balanced_without_losses(load in 0.0..0.5_f64, ratio in 1.0..500.0_f64, kt in 1e-3..0.1_f64) {
            // No friction, lossless gears: V·I = I²·R + T·ω.
            let gearing = Gearing {
                ratio: Ratio::from(ratio),
                efficiency: Ratio::from(1.0),
                back_driving_efficiency: Ratio::from(1.0),
            };
            let torque = Torque::new::<newton_meter>(load);
            let idle = ElectricCurrent::new::<ampere>(0.0);
            let current = current_at_load(gearing, torque, MotorConstant::new::<weber>(kt), idle).unwrap();
            let amperes = current.value;
            let speed = path(12.0, amperes, 2.0, kt, ratio).unwrap();
            prop_assume!(speed > AngularVelocity::new::<radian_per_second>(0.0));
            let balance = 12.0 * amperes - amperes * amperes * 2.0 - load * speed.value;
            prop_assert!(balance.abs() < 1e-9);
        }
    }

    fn back(ratio: f64, efficiency: f64) -> Gearing {
        Gearing {
            ratio: Ratio::from(ratio),
            efficiency: Ratio::from(0.6),
            back_driving_efficiency: Ratio::from(efficiency),
        }
    }

    fn creep(gearing: Gearing, torque: f64, kt: f64, idle: f64, ohms: f64) -> Option<f64> {
        creep_braked(
            gearing,
            Torque::new::<newton_meter>(torque),
            MotorConstant::new::<weber>(kt),
            ElectricCurrent::new::<ampere>(idle),
            ElectricalResistance::new::<ohm>(ohms - 0.3),
            ElectricalResistance::new::<ohm>(0.3),
        )
        .map(|speed| speed.value)
    }

    /// SciPy 1.17.1: `solve_ivp(lambda t, y: [(T*eb/N - K*I0*tanh(y[0]/1e-3) - K*y[1])/J,
    /// (K*y[0] - R*y[1])/1e-3], (0, 20*R*J/K**2 + 0.02/R), [0, 0], method='LSODA', rtol=1e-11,
    /// atol=1e-13).y[0, -1]/N` with J = 3e-8 and 2e-8.
    #[test]
    fn creep_agrees_with_scipy() {
        let fast = creep(back(100.0, 0.5), 0.4, 0.004, 0.05, 6.3).unwrap();
        assert!((fast - 7.087_500).abs() < 1e-6);
        let slow = creep(back(298.0, 0.3), 0.9, 0.0037, 0.04, 5.1).unwrap();
        assert!((slow - 0.947_639).abs() < 1e-6);
        // Held by the motor's friction, by a locking gear, and without a motor.
        assert_eq!(creep(back(100.0, 0.5), 0.03, 0.004, 0.05, 6.3), Some(0.0));
        assert_eq!(creep(back(100.0, -0.4), 0.4, 0.004, 0.05, 6.3), Some(0.0));
        assert_eq!(creep(back(100.0, 0.5), 0.4, 0.0, 0.05, 6.3), None);
    }

    fn released(torque: f64, angle: f64) -> Released {
        Released {
            driving_torque: Torque::new::<newton_meter>(torque),
            load_inertia: MomentOfInertia::new::<uom::si::moment_of_inertia::kilogram_square_meter>(
                2e-3,
            ),
            rotor_inertia: MomentOfInertia::new::<uom::si::moment_of_inertia::kilogram_square_meter>(
                3e-8,
            ),
            torque_constant: MotorConstant::new::<weber>(0.004),
            no_load_current: ElectricCurrent::new::<ampere>(0.05),
            angle: Angle::new::<uom::si::angle::radian>(angle),
        }
    }

    /// SciPy 1.17.1: `solve_ivp` of `[y[1], (T*eb/N - K*I0)/(Jr*N + JL*eb/N)]` from rest with a
    /// terminal event at 1 rad, rtol 1e-12; ½·(JL + N²·Jr)·ω² there.
    #[test]
    fn fall_agrees_with_scipy() {
        let fall = fall_released(back(30.0, 0.7), &released(0.4, -1.0)).unwrap();
        assert!((fall.time.value - 0.102_059_093).abs() < 1e-8);
        assert!((fall.speed.value - 19.596_490_111).abs() < 1e-8);
        assert!((fall.energy.value - 0.389_206_727).abs() < 1e-8);
        assert_eq!(fall_released(back(30.0, 0.0), &released(0.4, 1.0)), None);
        assert_eq!(fall_released(back(30.0, 0.7), &released(0.008, 1.0)), None);
        assert_eq!(
            fall_released(back(30.0, 0.7), &released(f64::NAN, 1.0)),
            None
        );
    }

    proptest! {
        /// What arrives is no more than what the load gave.
        #[test]
        fn a_fall_gains_no_energy(torque in 0.05..5.0_f64, angle in 0.01..6.0_f64, ratio in 1.0..100.0_f64, eta in 0.05..1.0_f64) {
            if let Some(fall) = fall_released(back(ratio, eta), &released(torque, angle)) {
                prop_assert!(fall.energy.value <= torque * angle * (1.0 + 1e-9));
            }
        }
    }
}
