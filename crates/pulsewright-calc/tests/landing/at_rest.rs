//! What is said of a load that is not where it should be: whether it swings, stands, creeps, sinks,
//! is driven away or has not arrived, and what counts as overshoot. Each case is made so that its
//! answer follows from arithmetic.

use crate::designs::{
    angle, camera_slider, focus_stage, gains, jump, smooth, time, torque, turntable, vent_lever,
};
use pulsewright_calc::landing::{Actuator, Landing, Leg, OnTarget, Settling, simulate};

fn run(a: &Actuator, legs: &[Leg]) -> Landing {
    simulate(a, legs, &mut []).unwrap().0
}

/// At 6 V the table turns by no more than 1 rad/s: 20 s are needed, 1 s is simulated.
#[test]
fn a_far_target_is_not_reached_rather_than_hunted() {
    let mut a = turntable();
    a.controller.integral_time = None;
    let far = run(&a, &[jump(20.0)]);
    assert_eq!(far.settling, Settling::OnItsWay, "{far:?}");
    assert_eq!((far.hunting.value, far.hunting_frequency), (0.0, None));
    // Half a second at its speed.
    assert!(far.drift.value > 0.2 && far.drift.value < 0.5, "{far:?}");
}

/// A lever put to sleep on its target falls, against the direction in which its torque is held.
#[test]
fn a_load_that_falls_sinks() {
    let mut a = vent_lever();
    a.load.start_angle = None;
    a.controller.on_target = OnTarget::Release;
    a.controller.deadband = 1_000_000;
    a.train.back_driving_efficiency = 0.9.into();
    a.load.friction_torque = torque(0.0);
    a.train.no_load_current *= 0.01;
    let falls = run(&a, &[smooth(0.1, 0.2, 1.0)]);
    assert_eq!(falls.settling, Settling::Sinking, "{falls:?}");
    assert!(falls.drift.value < 0.0 && falls.hunting.value == 0.0);
}

/// Gains of the wrong sign drive away from the target.
#[test]
fn wrong_gains_run_away() {
    let mut a = focus_stage();
    a.controller.integral_time = None;
    a.controller.gains = gains(-0.05, 0.0);
    let away = run(&a, &[jump(0.5)]);
    assert_eq!(away.settling, Settling::RunningAway, "{away:?}");
}

/// Gears that lock, and a load beyond the motor: it stands where it was.
#[test]
fn a_load_beyond_the_motor_stands() {
    let mut a = turntable();
    a.train.back_driving_efficiency = (2.0 - 1.0 / 0.3).into();
    a.load.holding_torque = torque(20.0);
    let stands = run(&a, &[jump(0.1)]);
    assert_eq!(stands.settling, Settling::Droop, "{stands:?}");
    // No voltage there is breaks it loose.
    assert_eq!(stands.breaks_loose_after, None);
}

/// Friction holds the motor two counts off, and the integral part takes Ti·(static less present
/// voltage)/(gain·error) to break it loose: 0.045 A in 7.46 Ω times 1.3 at most, of 0.0766 V/rad on
/// 2/12 of a turn. With no integral part it stands for good.
#[test]
fn an_integral_part_breaks_it_loose_again() {
    let mut a = turntable();
    a.controller.deadband = 0;
    a.controller.integral_time = Some(time(20.0));
    let legs = [smooth(0.3, 1.0, 1.0)];
    let rests = run(&a, &legs);
    let stands = rests.breaks_loose_after.expect("it breaks loose").value;
    assert!(stands > 0.5 && stands < 200.0, "{rests:?}");
    // It does: with a dwell until then and a leg of nothing behind it, the motor moves in the second
    // after and not in the one before.
    let moved = |dwell: f64| {
        let wait = Leg {
            dwell: time(dwell),
            ..legs[0]
        };
        let nothing = smooth(0.0, 0.0, 0.0);
        let mut short = a;
        short.controller.integral_time = Some(time(20.0));
        run(&short, &[wait, nothing])
    };
    let before = moved(stands - 4.0);
    assert_eq!(
        before
            .breaks_loose_after
            .map(|time| (time.value - stands).abs() < 0.1),
        Some(true),
        "{before:?}"
    );
    let after = moved(stands + 1.0);
    assert_ne!(after.droop, before.droop, "{after:?}");

    a.controller.integral_time = None;
    assert_eq!(run(&a, &legs).breaks_loose_after, None);
    a.controller.integral_time = Some(time(20.0));
    a.controller.deadband = 20;
    assert_eq!(
        run(&a, &legs).breaks_loose_after,
        None,
        "inside its deadband"
    );
}

/// A short way back at the end of a long move: the lag of the move is no overshoot of the way back.
#[test]
fn a_lag_is_no_overshoot() {
    let mut a = turntable();
    a.controller.integral_time = None;
    a.controller.gains = gains(0.01, 0.0);
    let legs = [smooth(0.8, 1.0, 0.0), smooth(-0.002, 0.05, 1.0)];
    let lags = run(&a, &legs);
    assert!(lags.final_error < angle(-0.001), "{lags:?}");
    assert_eq!(lags.overshoot.value, 0.0, "{lags:?}");
    // A true one is one all the same.
    let mut quick = camera_slider();
    quick.controller.gains = gains(2.0, 0.0);
    let over = run(&quick, &[jump(0.5)]);
    assert!(over.overshoot.value > 0.01, "{over:?}");
}
