//! The stepper motor that the converted motor replaces, and the rows that compare the two.

use core::f64::consts::{PI, TAU};

use crate::units::{
    Angle, AngularAcceleration, AngularVelocity, ElectricCurrent, ElectricPotential,
    ElectricalResistance, Energy, Frequency, Inductance, MomentOfInertia, MotorConstant, Power,
    Ratio, Time, Torque,
};

/// Share of the holding torque that is left when the motor turns slowly: common practice, no
/// source.
const RUNNING_SHARE: f64 = 0.75;

/// Full steps in a turn.
///
/// # Formula
/// n = 2π/β
///
/// # Arguments
/// * `step_angle` β, full step \[rad\]
///
/// # Returns
/// n \[1\]
///
/// # Validity
/// β > 0.
///
/// # Example
/// 3° make 120 steps (Burman, Special Electrical Machines, Ex. 3.2, p. 191).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{stepper::steps_per_turn, units::Angle};
/// use uom::si::angle::degree;
/// assert!(agrees(steps_per_turn(Angle::new::<degree>(3.0)).value, "120.00"));
/// ```
///
/// # Sources
/// Burman, Special Electrical Machines, 2nd ed., ch. 3.
#[must_use]
pub fn steps_per_turn(step_angle: Angle) -> Ratio {
    Ratio::from(TAU) / Ratio::from(step_angle)
}

/// Teeth of the rotor of a two-phase hybrid motor.
///
/// # Formula
/// z = π/(2·β)
///
/// # Arguments
/// * `step_angle` β, full step \[rad\]
///
/// # Returns
/// z \[1\]
///
/// # Validity
/// β > 0; four full steps a tooth.
///
/// # Example
/// 1.8° means 50 teeth (common knowledge of the trade, no source).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{stepper::rotor_teeth, units::Angle};
/// use uom::si::angle::degree;
/// assert!(agrees(rotor_teeth(Angle::new::<degree>(1.8)).value, "50.0"));
/// ```
///
/// # Sources
/// Step angle of a four-phase machine, 360°/(4·z).
#[must_use]
pub fn rotor_teeth(step_angle: Angle) -> Ratio {
    Ratio::from(PI / 2.0) / Ratio::from(step_angle)
}

/// Angle by which the rotor lags behind its position under a steady load.
///
/// # Formula
/// δ = asin(TL/Th)/z
///
/// # Arguments
/// * `load_torque` TL \[N·m\]
/// * `holding_torque` Th \[N·m\]
/// * `step_angle` β, full step \[rad\]
///
/// # Returns
/// δ \[rad\], of the load's sign; none where |TL| ≥ Th: it loses steps
///
/// # Validity
/// Sinusoidal torque over the tooth.
///
/// # Example
/// No published value: half the holding torque is a third of the way to the crest, a third of a
/// full step.
/// ```
/// use pulsewright_calc::{stepper::load_angle, units::{Angle, Torque}};
/// use uom::si::{angle::degree, torque::newton_meter};
/// let t = Torque::new::<newton_meter>;
/// let lag = |load| load_angle(t(load), t(0.4), Angle::new::<degree>(1.8));
/// assert!((lag(0.2).unwrap().get::<degree>() - 0.6).abs() < 1e-12);
/// assert_eq!(lag(0.4), None);
/// ```
///
/// # Sources
/// Static torque curve of a hybrid stepper motor.
#[must_use]
pub fn load_angle(load_torque: Torque, holding_torque: Torque, step_angle: Angle) -> Option<Angle> {
    let share: Ratio = load_torque / holding_torque;
    let lag = libm::asin(share.value) / rotor_teeth(step_angle).value;
    (holding_torque.value > 0.0 && share.value.abs() < 1.0 && lag.is_finite())
        .then(|| Angle::new::<uom::si::angle::radian>(lag))
}

/// Position error under the load.
///
/// # Formula
/// e = |δ| + a·β
///
/// # Arguments
/// * `lag` δ, from [`load_angle`] \[rad\]
/// * `step_accuracy` a, fraction of a full step \[1\]
/// * `step_angle` β \[rad\]
///
/// # Returns
/// e \[rad\]
///
/// # Validity
/// No step lost.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{stepper::position_error, units::{Angle, Ratio}};
/// use uom::si::angle::degree;
/// let a = Angle::new::<degree>;
/// let e = position_error(a(-0.6), Ratio::from(0.05), a(1.8));
/// assert!((e.get::<degree>() - 0.69).abs() < 1e-12);
/// ```
///
/// # Sources
/// Sum of absolute bounds.
#[must_use]
pub fn position_error(lag: Angle, step_accuracy: Ratio, step_angle: Angle) -> Angle {
    lag.abs() + step_accuracy.value * step_angle
}

/// Smallest step that can be commanded; it adds no accuracy.
///
/// # Formula
/// β/m
///
/// # Arguments
/// * `step_angle` β \[rad\]
/// * `microsteps` m \[1\]
///
/// # Returns
/// Angle of a microstep \[rad\]
///
/// # Validity
/// m ≥ 1.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{stepper::smallest_step, units::{Angle, Ratio}};
/// use uom::si::angle::degree;
/// let step = smallest_step(Angle::new::<degree>(1.8), Ratio::from(16.0));
/// assert!((step.get::<degree>() - 0.1125).abs() < 1e-12);
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn smallest_step(step_angle: Angle, microsteps: Ratio) -> Angle {
    step_angle / microsteps.value
}

/// Power that holds any load, both phases on.
///
/// # Formula
/// P = 2·I²·R
///
/// # Arguments
/// * `phase_current` I \[A\]
/// * `phase_resistance` R \[Ω\]
///
/// # Returns
/// P \[W\]
///
/// # Validity
/// Full current at standstill.
///
/// # Example
/// 0.5 A in two paths of 1.5 Ω: 0.75 W (a driver's data sheet, power example).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::stepper::hold_power;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricalResistance};
/// use uom::si::{electric_current::ampere, electrical_resistance::ohm};
/// let p = hold_power(
///     ElectricCurrent::new::<ampere>(0.5),
///     ElectricalResistance::new::<ohm>(1.5),
/// );
/// assert!(agrees(p.value, "0.75"));
/// ```
///
/// # Sources
/// Joule's law.
#[must_use]
pub fn hold_power(phase_current: ElectricCurrent, phase_resistance: ElectricalResistance) -> Power {
    2.0 * phase_current * phase_current * phase_resistance
}

/// What limits a chopped winding at speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winding {
    /// Voltage V of the driver's supply.
    pub drive_voltage: ElectricPotential,
    /// Inductance L of a phase.
    pub phase_inductance: Inductance,
    /// Current I of a phase.
    pub phase_current: ElectricCurrent,
    /// Full step β.
    pub step_angle: Angle,
}

/// Speed above which the current no longer builds up inside a step and the torque falls off.
///
/// # Formula
/// ω = 2π·V/(2·L·I·n), n = 2π/β
///
/// # Arguments
/// * `winding` V \[V\], L \[H\], I \[A\], β \[rad\]
///
/// # Returns
/// ω \[rad/s\]
///
/// # Validity
/// L·I > 0; an estimate, the back-EMF is left out.
///
/// # Example
/// 12 V, 3.2 mH, 1.5 A, 200 steps: 6.25 turns a second (rule of the trade, from memory).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::stepper::{Winding, corner_speed};
/// use pulsewright_calc::units::{Angle, ElectricCurrent, ElectricPotential, Inductance};
/// use uom::si::{angle::degree, angular_velocity::revolution_per_second};
/// use uom::si::{electric_current::ampere, electric_potential::volt, inductance::millihenry};
/// let corner = corner_speed(&Winding {
///     drive_voltage: ElectricPotential::new::<volt>(12.0),
///     phase_inductance: Inductance::new::<millihenry>(3.2),
///     phase_current: ElectricCurrent::new::<ampere>(1.5),
///     step_angle: Angle::new::<degree>(1.8),
/// });
/// assert!(agrees(corner.get::<revolution_per_second>(), "6.25"));
/// ```
///
/// # Sources
/// Common practice, no source: one rise and one fall of L·I/V inside a full step.
#[must_use]
pub fn corner_speed(winding: &Winding) -> AngularVelocity {
    let build_up: Time =
        2.0 * winding.phase_inductance * winding.phase_current / winding.drive_voltage;
    (winding.step_angle / build_up).into()
}

/// Torque that is left at a speed.
///
/// # Formula
/// T = 0.75·Th·min(1, ωc/|ω|)
///
/// # Arguments
/// * `holding_torque` Th \[N·m\]
/// * `corner_speed` ωc \[rad/s\]
/// * `speed` ω \[rad/s\]
///
/// # Returns
/// T \[N·m\]
///
/// # Validity
/// An estimate; resonances are left out.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{stepper::torque_at_speed, units::{AngularVelocity, Torque}};
/// use uom::si::{angular_velocity::radian_per_second, torque::newton_meter};
/// let t = |speed| torque_at_speed(
///     Torque::new::<newton_meter>(0.5),
///     AngularVelocity::new::<radian_per_second>(40.0),
///     AngularVelocity::new::<radian_per_second>(speed),
/// ).value;
/// assert_eq!([t(0.0), t(40.0), t(-80.0)], [0.375, 0.375, 0.1875]);
/// ```
///
/// # Sources
/// Common practice, no source.
#[must_use]
pub fn torque_at_speed(
    holding_torque: Torque,
    corner_speed: AngularVelocity,
    speed: AngularVelocity,
) -> Torque {
    let share = if speed.abs() > corner_speed {
        (corner_speed / speed.abs()).value
    } else {
        1.0
    };
    RUNNING_SHARE * share * holding_torque
}

/// Speed up to which the motor carries a load: the inverse of [`torque_at_speed`].
///
/// # Formula
/// ω = ωc·0.75·Th/TL, 0 where TL ≥ 0.75·Th
///
/// # Arguments
/// * `holding_torque` Th \[N·m\]
/// * `corner_speed` ωc \[rad/s\]
/// * `load_torque` TL \[N·m\]
///
/// # Returns
/// ω \[rad/s\], none where no load bounds it
///
/// # Validity
/// As [`torque_at_speed`].
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{stepper::speed_with_load, units::{AngularVelocity, Torque}};
/// use uom::si::{angular_velocity::radian_per_second, torque::newton_meter};
/// let speed = |load| speed_with_load(
///     Torque::new::<newton_meter>(0.5),
///     AngularVelocity::new::<radian_per_second>(40.0),
///     Torque::new::<newton_meter>(load),
/// ).map(|speed| speed.value);
/// assert_eq!([speed(0.1875), speed(0.4), speed(0.0)], [Some(80.0), Some(0.0), None]);
/// ```
///
/// # Sources
/// Common practice, no source.
#[must_use]
pub fn speed_with_load(
    holding_torque: Torque,
    corner_speed: AngularVelocity,
    load_torque: Torque,
) -> Option<AngularVelocity> {
    if load_torque >= RUNNING_SHARE * holding_torque {
        return Some(0.0 * corner_speed);
    }
    let share: Ratio = RUNNING_SHARE * holding_torque / load_torque;
    let speed = corner_speed * share.value;
    (load_torque.value > 0.0 && speed.value.is_finite()).then_some(speed)
}

/// Torque that the move asks of a stepper on the axis directly.
///
/// # Formula
/// T = Tm + Jr·α
///
/// # Arguments
/// * `moving_torque` Tm = TL + JL·α, carried to the stepper's shaft \[N·m\]
/// * `rotor_inertia` Jr \[kg·m²\]
/// * `peak_acceleration` α \[rad/s²\]
///
/// # Returns
/// T \[N·m\]
///
/// # Validity
/// No gear between but a last stage, whose loss is in Tm.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{stepper::torque_for_move, units::*};
/// use uom::si::{angular_acceleration::radian_per_second_squared, torque::newton_meter};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let t = torque_for_move(
///     Torque::new::<newton_meter>(1.25),
///     MomentOfInertia::new::<kilogram_square_meter>(0.25),
///     AngularAcceleration::new::<radian_per_second_squared>(2.0),
/// );
/// assert_eq!(t.value, 1.75);
/// ```
///
/// # Sources
/// Newton's second law for rotation.
#[must_use]
pub fn torque_for_move(
    moving_torque: Torque,
    rotor_inertia: MomentOfInertia,
    peak_acceleration: AngularAcceleration,
) -> Torque {
    moving_torque + Torque::from(rotor_inertia * peak_acceleration)
}

/// Energy of one cycle: the power is the same in move and dwell.
///
/// # Formula
/// E = P·(t + td)
///
/// # Arguments
/// * `mean_power` P: a stepper's hold power, a converted motor's mean supply power \[W\]
/// * `time` t of the move \[s\]
/// * `dwell` td \[s\]
///
/// # Returns
/// E \[J\]
///
/// # Validity
/// Mean power over the whole cycle.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{stepper::cycle_energy, units::{Power, Time}};
/// use uom::si::{power::watt, time::second};
/// let s = Time::new::<second>;
/// assert_eq!(cycle_energy(Power::new::<watt>(7.5), s(2.0), s(8.0)).value, 75.0);
/// ```
///
/// # Sources
/// Definition of power.
#[must_use]
pub fn cycle_energy(mean_power: Power, time: Time, dwell: Time) -> Energy {
    mean_power * (time + dwell)
}

/// What the converted motor can hold with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Converted {
    /// Motor turns N per output turn.
    pub ratio: Ratio,
    /// Torque constant Kt.
    pub torque_constant: MotorConstant,
    /// Current Ic that the winding bears for ever.
    pub continuous_current: ElectricCurrent,
    /// Limit Ilim of the bridge.
    pub current_limit: ElectricCurrent,
    /// Continuous torque Tg of the gears, if it is known.
    pub gear_torque: Option<Torque>,
}

/// Torque that the converted motor holds for ever.
///
/// # Formula
/// T = min(N·Kt·min(Ic, Ilim), Tg)
///
/// # Arguments
/// * `converted` N \[1\], Kt \[N·m/A\], Ic, Ilim \[A\], Tg \[N·m\]
///
/// # Returns
/// T \[N·m\], not below 0
///
/// # Validity
/// No help from friction or gear losses.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{stepper::{Converted, torque_held_for_ever}, units::*};
/// use uom::si::{electric_current::ampere, magnetic_flux::weber, torque::newton_meter};
/// let motor = Converted {
///     ratio: Ratio::from(100.0),
///     torque_constant: MotorConstant::new::<weber>(0.004),
///     continuous_current: ElectricCurrent::new::<ampere>(0.25),
///     current_limit: ElectricCurrent::new::<ampere>(1.5),
///     gear_torque: None,
/// };
/// assert!((torque_held_for_ever(&motor).value - 0.1).abs() < 1e-12);
/// let gears = Some(Torque::new::<newton_meter>(0.08));
/// assert_eq!(torque_held_for_ever(&Converted { gear_torque: gears, ..motor }).value, 0.08);
/// ```
///
/// # Sources
/// Torque constant times ratio.
#[must_use]
pub fn torque_held_for_ever(converted: &Converted) -> Torque {
    let current = converted.continuous_current.min(converted.current_limit);
    let torque: Torque = (converted.ratio * converted.torque_constant * current).into();
    let torque = torque.max(0.0 * torque);
    converted
        .gear_torque
        .map_or(torque, |gears| torque.min(gears))
}

/// Speed that a rate of step pulses makes.
///
/// # Formula
/// ω = f·β/m
///
/// # Arguments
/// * `rate` f of the pulses \[Hz\]
/// * `step_angle` β, full step \[rad\]
/// * `microsteps` m \[1\]
///
/// # Returns
/// ω \[rad/s\], none where m is not above 0
///
/// # Validity
/// No step lost.
///
/// # Example
/// No published value: 3200 pulses a second at 1.8° and 16 microsteps turn once a second.
/// ```
/// use pulsewright_calc::{stepper::speed_of_pulses, units::{Angle, Frequency, Ratio}};
/// use uom::si::{angle::degree, angular_velocity::revolution_per_second, frequency::hertz};
/// let speed = speed_of_pulses(
///     Frequency::new::<hertz>(3200.0),
///     Angle::new::<degree>(1.8),
///     Ratio::from(16.0),
/// ).unwrap();
/// assert!((speed.get::<revolution_per_second>() - 1.0).abs() < 1e-12);
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn speed_of_pulses(
    rate: Frequency,
    step_angle: Angle,
    microsteps: Ratio,
) -> Option<AngularVelocity> {
    let speed: AngularVelocity = (rate * smallest_step(step_angle, microsteps)).into();
    (microsteps.value > 0.0 && speed.value.is_finite()).then_some(speed)
}

/// Speed up to which the motor carries a load and the pulse source can step it.
///
/// # Formula
/// min(ωT, f·β/m), ωT of [`speed_with_load`]
///
/// # Arguments
/// * `by_torque` ωT of [`speed_with_load`], none where no load bounds it \[rad/s\]
/// * `by_pulses` of [`speed_of_pulses`] at the greatest rate of the source \[rad/s\]
///
/// # Returns
/// ω \[rad/s\]
///
/// # Validity
/// As both.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{stepper::speed_within_pulses, units::AngularVelocity};
/// use uom::si::angular_velocity::radian_per_second;
/// let w = AngularVelocity::new::<radian_per_second>;
/// assert_eq!(speed_within_pulses(Some(w(80.0)), w(50.0)), w(50.0));
/// assert_eq!(speed_within_pulses(Some(w(20.0)), w(50.0)), w(20.0));
/// assert_eq!(speed_within_pulses(None, w(50.0)), w(50.0));
/// ```
///
/// # Sources
/// The lesser of two bounds.
#[must_use]
pub fn speed_within_pulses(
    by_torque: Option<AngularVelocity>,
    by_pulses: AngularVelocity,
) -> AngularVelocity {
    by_torque.map_or(by_pulses, |speed| speed.min(by_pulses))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use pulsewright_test_support::agrees;
    use uom::si::{
        angle::degree, angular_velocity::radian_per_second, electric_current::ampere,
        electric_potential::volt, inductance::henry, torque::newton_meter,
    };

    /// Burman, Special Electrical Machines, Ex. 3.3–3.5 and 3.9, pp. 191–194.
    #[test]
    fn step_angles() {
        let steps = |degrees: f64| steps_per_turn(Angle::new::<degree>(degrees)).value;
        assert!(agrees(3600.0 / steps(3.0), "30.00"));
        assert!(agrees(4000.0 / steps(1.8), "20.00"));
        assert!(agrees(54.0 / 360.0 * steps(1.8), "30.0"));
        assert!(agrees(2400.0 / 60.0 * steps(1.8), "8000.00"));
        // Four phases and three teeth: 30°, and the teeth back from the angle.
        assert!(agrees(rotor_teeth(Angle::new::<degree>(30.0)).value, "3.0"));
    }

    proptest! {
        /// Speed and torque are inverse of each other above the corner.
        #[test]
        fn speed_and_torque_are_inverse(hold in 0.01_f64..5.0, corner in 1.0_f64..500.0, over in 1.0_f64..50.0) {
            let holding = Torque::new::<newton_meter>(hold);
            let corner = AngularVelocity::new::<radian_per_second>(corner);
            let left = torque_at_speed(holding, corner, corner * over * 1.000_001);
            let speed = speed_with_load(holding, corner, left).unwrap();
            prop_assert!(((speed / (corner * over * 1.000_001)).value - 1.0).abs() < 1e-9);
            prop_assert!(torque_at_speed(holding, corner, speed * 1.1) <= left);
        }

        /// The lag stays below one full step and grows with the load.
        #[test]
        fn lag_grows(hold in 0.01_f64..5.0, share in 0.0_f64..0.99, step in 0.1_f64..90.0) {
            let holding = Torque::new::<newton_meter>(hold);
            let step = Angle::new::<degree>(step);
            let lag = |share: f64| load_angle(share * holding, holding, step);
            let here = lag(share).unwrap();
            prop_assert!(here < step && here <= lag(share + 0.005).unwrap());
            prop_assert_eq!(lag(1.0), None);
            prop_assert_eq!(lag(-share).unwrap(), -here);
        }

        /// More voltage or less inductance never lowers the corner.
        #[test]
        fn corner_follows_voltage(v in 3.0_f64..100.0, l in 1e-4_f64..0.1, i in 0.05_f64..10.0, more in 1.0_f64..10.0) {
            let corner = |v: f64, l: f64| corner_speed(&Winding {
                drive_voltage: ElectricPotential::new::<volt>(v),
                phase_inductance: Inductance::new::<henry>(l),
                phase_current: ElectricCurrent::new::<ampere>(i),
                step_angle: Angle::new::<degree>(1.8),
            });
            prop_assert!(corner(v * more, l) >= corner(v, l));
            prop_assert!(corner(v, l / more) >= corner(v, l));
        }
    }
}
