//! The simulated loop against worked examples of control courses: a smooth motor, sampled so fast
//! that sampling does not show, without play, rounding or Coulomb friction.
//!
//! Viscous friction b is not in the model. A motor with b, R and K turns as one without b, with
//! R + b·L/J and √(K² + b·R) in their place and K over that as much voltage: the characteristic
//! polynomial J·L·s² + (J·R + b·L)·s + b·R + K² is the same.

#![allow(clippy::expect_used)]

use pulsewright_calc::encoder::SignalErrors;
use pulsewright_calc::landing::{
    Actuator, Controller, Landing, Leg, Load, Mesh, OnTarget, Power, PulseInput, Rounding, Sample,
    Sensing, Settling, simulate,
};
use pulsewright_calc::motion::{Drivetrain, Profile};
use pulsewright_calc::position_loop::Gains;
use pulsewright_calc::units::{
    Angle, ElectricCurrent, ElectricPotential, ElectricalResistance, Inductance, MomentOfInertia,
    MotorConstant, Ratio, Stiffness, Time, Torque,
};
use pulsewright_test_support::agrees;
use uom::si::angle::radian;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::inductance::henry;
use uom::si::magnetic_flux::weber;
use uom::si::moment_of_inertia::kilogram_square_meter;
use uom::si::time::second;
use uom::si::torque::newton_meter;

/// A motor without Coulomb friction: J, R, K, L and the viscous friction b.
struct Motor {
    inertia: f64,
    resistance: f64,
    constant: f64,
    inductance: f64,
    viscous: f64,
}

impl Motor {
    /// The constant of the motor that turns alike without viscous friction.
    fn alike(&self) -> f64 {
        (self.constant * self.constant + self.viscous * self.resistance).sqrt()
    }
}

/// The loop Kp·error − Kd·speed, with so much feed-forward, sampled every `sample_time`.
fn actuator(motor: &Motor, gains: (f64, f64), feed_forward: f64, sample_time: f64) -> Actuator {
    let one = Ratio::from(1.0);
    let inertia = MomentOfInertia::new::<kilogram_square_meter>;
    // Two stiffly coupled bodies, the lesser a thousandth.
    let load = 1e-3 * motor.inertia;
    let resistance = motor.resistance + motor.viscous * motor.inductance / motor.inertia;
    Actuator {
        train: Drivetrain {
            ratio: one,
            efficiency: one,
            back_driving_efficiency: one,
            rotor_inertia: inertia(motor.inertia - load),
            load_inertia: inertia(load),
            motor_constant: MotorConstant::new::<weber>(motor.alike()),
            no_load_current: ElectricCurrent::default(),
        },
        mesh: Mesh {
            backlash: Angle::default(),
            stiffness: Stiffness::new::<newton_meter>(load * 1e8),
        },
        load: Load {
            holding_torque: Torque::default(),
            friction_torque: Torque::default(),
            start_angle: None,
            last_stage: one,
        },
        power: Power {
            voltage: ElectricPotential::new::<volt>(1e6),
            source_resistance: ElectricalResistance::default(),
            board_current: ElectricCurrent::default(),
            winding_resistance: ElectricalResistance::new::<ohm>(resistance),
            inductance: Some(Inductance::new::<henry>(motor.inductance)),
            current_limit: None,
        },
        sensing: Sensing {
            pole_pairs: 1000,
            edges_counted: 4,
            errors: SignalErrors {
                phase: Angle::default(),
                placement: Angle::default(),
                duty: Angle::default(),
            },
            edge_service_time: Time::default(),
            hysteresis: Ratio::default(),
        },
        pulses: PulseInput {
            steps_per_turn: one * 4000.0,
            gearing: (1, 1),
            rate_limit: None,
        },
        controller: Controller {
            gains: Gains {
                proportional: ElectricPotential::new::<volt>(gains.0),
                derivative: MotorConstant::new::<weber>(gains.1),
            },
            integral_time: None,
            feed_forward: one * feed_forward,
            sample_time: Time::new::<second>(sample_time),
            delay: 0,
            deadband: 0,
            pwm_resolution: 1000,
            voltage_limit: one,
            on_target: OnTarget::Drive,
            rounding: Rounding::None,
        },
        position_tolerance: Angle::new::<radian>(0.02),
        refinement: 1,
    }
}

/// A jump by one radian: the landing and the positions with their times.
fn step(actuator: &Actuator) -> (Landing, Vec<(f64, f64)>) {
    let jump = Leg {
        profile: Profile::Smooth,
        distance: Angle::new::<radian>(1.0),
        time: Time::default(),
        dwell: Time::new::<second>(1.0),
    };
    let mut samples = vec![Sample::default(); 10_000];
    let (landing, filled) = simulate(actuator, &[jump], &mut samples).expect("a landing");
    let path = samples[..filled]
        .iter()
        .map(|sample| (sample.time.value, sample.position.value))
        .collect();
    (landing, path)
}

/// When the path is greatest, and when it first passes one.
fn peak_and_rise(path: &[(f64, f64)]) -> (f64, f64) {
    let most = path.iter().fold(
        (0.0, 0.0),
        |most: (f64, f64), point| {
            if point.1 > most.1 { *point } else { most }
        },
    );
    let at = path.partition_point(|point| point.0 < most.0 && point.1 < 1.0);
    let (a, b) = (path[at - 1], path[at]);
    (most.0, a.0 + (b.0 - a.0) * (1.0 - a.1) / (b.1 - a.1))
}

/// The plant 1/(s·(s + 1)) under Kp = ωn², Kd = 2ζ·ωn − 1: the loop s² + 2ζ·ωn·s + ωn².
fn second_order(natural: f64, damping: f64) -> Actuator {
    let motor = Motor {
        inertia: 1.0,
        resistance: 1.0,
        constant: 1.0,
        inductance: 2e-5,
        viscous: 0.0,
    };
    let gains = (natural * natural, 2.0 * damping * natural - 1.0);
    actuator(&motor, gains, 0.0, 2e-5)
}

/// Nagoor Kani, Control Systems, Ex. 3.6: 16/(s² + 4s + 16).
#[test]
fn second_order_step_of_a_course_book() {
    let (landing, path) = step(&second_order(4.0, 0.5));
    let (peak, rise) = peak_and_rise(&path);
    assert!(
        agrees(100.0 * landing.overshoot.value, "16.3"),
        "{landing:?}"
    );
    assert!(agrees(peak, "0.907"), "{peak}");
    assert!(agrees(rise, "0.605"), "{rise}");
}

/// Ogata, Modern Control Engineering, Ex. 5-1, from memory: ζ 0.6, ωn 5 rad/s.
#[test]
fn second_order_step_of_another() {
    let (landing, path) = step(&second_order(5.0, 0.6));
    let (peak, rise) = peak_and_rise(&path);
    assert!(agrees(landing.overshoot.value, "0.095"), "{landing:?}");
    assert!(agrees(peak, "0.785"), "{peak}");
    assert!(agrees(rise, "0.55"), "{rise}");
}

/// Control Tutorials, DC Motor Position: System Analysis, ctms.engin.umich.edu: unity feedback of
/// J 3.2284·10⁻⁶, b 3.5077·10⁻⁶, K 0.0274, R 4, L 2.75·10⁻⁶. The tutorial's settling time of
/// 0.1351 s is the estimate 4/(ζ·ωn); the true one is python-control 0.10.2's,
/// `step_info(feedback(P, 1))`: 0.1303 s.
#[test]
fn unity_feedback_of_a_tutorial() {
    let motor = Motor {
        inertia: 3.2284e-6,
        resistance: 4.0,
        constant: 0.0274,
        inductance: 2.75e-6,
        viscous: 3.5077e-6,
    };
    let gain = motor.constant / motor.alike();
    let (landing, path) = step(&actuator(&motor, (gain, 0.0), 0.0, 2e-6));
    assert!(agrees(landing.overshoot.value, "0.0716"), "{landing:?}");
    assert!(
        matches!(landing.settling, Settling::After(time) if agrees(time.value, "0.1303")),
        "{landing:?}"
    );
    // ωn of overshoot and peak time, as the tutorial reads ζ 0.643 and 46.1 rad/s.
    let decay = -logarithm(landing.overshoot.value) / std::f64::consts::PI;
    let damping = decay / (1.0 + decay * decay).sqrt();
    let (peak, _) = peak_and_rise(&path);
    let natural = std::f64::consts::PI / (peak * (1.0 - damping * damping).sqrt());
    assert!(agrees(damping, "0.643"), "{damping}");
    assert!(agrees(natural, "46.1"), "{natural}");
}

/// Control Tutorials, DC Motor Speed: System Analysis, ctms.engin.umich.edu: J 0.01, b 0.1, K 0.01,
/// R 1, L 0.5; 1 V, from rest. Settled within 2 % after 2.07 s, the slow pole at −2.0; DC gain 0.1.
#[test]
fn speed_step_of_a_tutorial() {
    let motor = Motor {
        inertia: 0.01,
        resistance: 1.0,
        constant: 0.01,
        inductance: 0.5,
        viscous: 0.1,
    };
    // Open loop: the fed-forward speed is a constant voltage, here that of 1 V.
    let voltage = motor.constant / motor.alike();
    let fed = voltage / motor.alike();
    let open = actuator(&motor, (0.0, 0.0), 1.0, 1e-3);
    let ramp = 1e-3;
    let command = Leg {
        profile: Profile::Trapezoid {
            ramp_fraction: Ratio::from(ramp),
        },
        distance: Angle::new::<radian>(fed * 4.0 * (1.0 - ramp)),
        time: Time::new::<second>(4.0),
        dwell: Time::default(),
    };
    let mut samples = vec![Sample::default(); 5000];
    let (_, filled) = simulate(&open, &[command], &mut samples).expect("a landing");
    assert!(filled >= 4000);
    let speed = |at: usize| {
        (samples[at + 1].position - samples[at - 1].position).value
            / (samples[at + 1].time - samples[at - 1].time).value
    };
    let last = speed(3900);
    assert!(agrees(last, "0.1"), "{last}");
    // Half of the command's ramp of 4 ms is not the motor's.
    let settled = (1..3900)
        .rev()
        .find(|&at| (speed(at) / fed - 1.0).abs() > 0.02);
    let settled = samples[settled.expect("a start") + 1].time.value - 2e-3;
    assert!(agrees(settled, "2.07"), "{settled}");
    let left = |at: usize| 1.0 - speed(at) / fed;
    let pole = logarithm(left(2000) / left(1500)) / 0.5;
    assert!(agrees(pole, "-2.0"), "{pole}");
}

#[allow(clippy::disallowed_methods)]
fn logarithm(value: f64) -> f64 {
    value.ln()
}
