//! Rest and steady motion meet the closed forms.

use crate::designs::{
    angle, current, gains, jump, random, smooth, time, torque, trapezoid, turntable, vent_lever,
};
use crate::zero_order_hold::linear;
use pulsewright_calc::landing::{Actuator, Leg, Rounding, Sample, Settling, simulate};
use pulsewright_calc::position_loop::{Following, droop, following_error, proportional_droop};
use pulsewright_calc::units::Ratio;

/// Positions at the samples of a run.
fn positions(actuator: &Actuator, legs: &[Leg]) -> Vec<f64> {
    let mut samples = vec![Sample::default(); 200_000];
    let (_, filled) = simulate(actuator, legs, &mut samples).unwrap();
    samples[..filled]
        .iter()
        .map(|sample| sample.position.value)
        .collect()
}

#[test]
fn a_loop_without_losses_rests_at_its_static_droop() {
    let mut actuator = linear();
    actuator.controller.gains = gains(0.2, 2e-3);
    let (landing, _) = simulate(&actuator, &[smooth(0.5, 0.5, 1.0)], &mut []).unwrap();
    // R_m·T/(N·Kt·Kp·N): the model's own balance at rest.
    let expected = 6.0 * 0.05 / (100.0 * 4e-3 * 0.2 * 100.0);
    assert!(
        (landing.droop.value / expected - 1.0).abs() < 1e-6,
        "{landing:?}"
    );
}

#[test]
fn no_random_design_rests_beyond_the_register_s_droop() {
    for seed in 1..=20 {
        let (actuator, leg) = random(seed);
        let (landing, _) = simulate(&actuator, &[leg], &mut []).unwrap();
        let train = &actuator.train;
        let holding =
            actuator.load.holding_torque.value.abs() + actuator.load.friction_torque.value;
        let most = current(
            holding / (train.ratio.value * train.efficiency.value * train.motor_constant.value),
        ) + train.no_load_current;
        let count = angle(std::f64::consts::TAU / (12.0 * train.ratio.value));
        let proportional = proportional_droop(
            &actuator.controller.gains,
            most,
            actuator.power.winding_resistance,
            train.ratio,
        );
        let bound = droop(proportional, Ratio::from(1.0), count);
        // The count is rounded, and static friction exceeds the kinetic one that the form takes.
        assert!(
            landing.droop.value.abs() <= 1.3 * bound.value + 2.0 * count.value,
            "{seed}: {:?} beyond {bound:?}",
            landing.droop
        );
    }
}

#[test]
fn steady_motion_lags_as_the_closed_form_says() {
    for seed in [1, 2, 3, 4, 5] {
        let (mut actuator, leg) = random(seed);
        actuator.controller.rounding = Rounding::None;
        actuator.controller.delay = 1;
        actuator.power.source_resistance *= 0.0;
        actuator.power.board_current = current(0.0);
        actuator.load.holding_torque = torque(actuator.load.holding_torque.value.abs());
        let speed = 0.3 * leg.distance.value.abs() / leg.time.value;
        // Ramps of four seconds, then steady for four.
        let long = trapezoid(speed * 8.0, 12.0, 1.0);
        let at = positions(&actuator, &[long]);
        let lag = 4.0 * speed - at[6000];
        let train = &actuator.train;
        let load = actuator.load.holding_torque.value + actuator.load.friction_torque.value;
        let at_load = current(
            load / (train.ratio.value * train.efficiency.value * train.motor_constant.value),
        ) + train.no_load_current;
        let expected = following_error(
            &actuator.controller.gains,
            &Following {
                back_emf_constant: train.motor_constant,
                ratio: train.ratio,
                speed: speed_of(speed),
                resistance: actuator.power.winding_resistance,
                current: at_load,
            },
        )
        .unwrap();
        // The form ends at the motor; the teeth twist a little more than at the start.
        let twist = actuator.load.friction_torque.value / actuator.mesh.stiffness.value;
        let expected = expected.value + twist;
        assert!(
            (lag / expected - 1.0).abs() < 1e-4,
            "{seed}: {lag}, {expected}"
        );
    }
}

fn speed_of(value: f64) -> pulsewright_calc::units::AngularVelocity {
    pulsewright_calc::units::AngularVelocity::new::<uom::si::angular_velocity::radian_per_second>(
        value,
    )
}

#[test]
fn a_shorted_motor_lowers_at_the_speed_of_the_closed_form() {
    let mut actuator = vent_lever();
    actuator.load.start_angle = None;
    actuator.controller.gains = gains(0.0, 0.0);
    actuator.controller.integral_time = None;
    let at = positions(&actuator, &[jump(0.1)]);
    let speed = (at[900] - at[800]) / 0.1;
    let train = &actuator.train;
    let (ratio, constant) = (train.ratio.value, train.motor_constant.value);
    let pull = actuator.load.holding_torque.value * train.back_driving_efficiency.value / ratio
        - constant * train.no_load_current.value;
    let expected = pull * actuator.power.winding_resistance.value / (constant * constant * ratio);
    assert!(
        (-speed / expected - 1.0).abs() < 1e-6,
        "{speed}, {expected}"
    );
}

#[test]
fn locking_gears_stay_put_without_power() {
    let mut actuator = vent_lever();
    actuator.train.efficiency = Ratio::from(0.4);
    actuator.train.back_driving_efficiency = Ratio::from(2.0 - 1.0 / 0.4);
    actuator.controller.gains = gains(0.0, 0.0);
    actuator.controller.integral_time = None;
    for holding in [-3.0, 0.5, 1.2, 40.0] {
        actuator.load.holding_torque = torque(holding);
        let at = positions(&actuator, &[jump(0.1)]);
        let moved = at
            .iter()
            .fold(0.0_f64, |most, position| most.max(position.abs()));
        assert!(moved < 1e-9, "{holding}: moved by {moved}");
    }
}

/// The demo turntable's own move, half a turn in ten seconds, and back.
#[test]
fn the_turntable_comes_back_into_its_play_and_one_sided_approach_cures_it() {
    let actuator = turntable();
    let radius = 0.155;
    let play = actuator.mesh.backlash;
    let out = smooth(std::f64::consts::PI, 10.0, 2.0);
    let back = Leg {
        distance: -out.distance,
        ..out
    };
    // Past the target by half as much again as the play, then forth as every move from this side.
    let past = Leg {
        distance: -out.distance - play * 1.5,
        ..out
    };
    let forth = Leg {
        distance: play * 1.5,
        time: time(3.0),
        ..out
    };
    let land = |legs: &[Leg]| {
        let (landing, _) = simulate(&actuator, legs, &mut []).unwrap();
        (landing.final_error.value * radius, landing.settling)
    };
    let (there, settled) = land(&[out]);
    assert!(there.abs() < 0.1e-3, "{there}");
    assert!(matches!(settled, Settling::After(_)));
    let (returned, settled) = land(&[out, back]);
    assert!((0.3e-3..0.45e-3).contains(&returned), "{returned}");
    assert_eq!(settled, Settling::Droop);
    let (cured, settled) = land(&[out, past, forth]);
    assert!(cured.abs() < 0.1e-3, "{cured}");
    assert!(matches!(settled, Settling::After(_)));
}
