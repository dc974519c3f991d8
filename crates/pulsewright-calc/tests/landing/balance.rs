//! The energy that goes into the winding is all found again, whatever happens in the run.

use crate::bounded::bad;
use crate::designs::Random;
use crate::designs::{
    angle, camera_slider, current, focus_stage, gains, jump, random, smooth, step_tests, time,
    turntable, vent_lever,
};
use pulsewright_calc::landing::{Actuator, Landing, Leg, OnTarget, audit, simulate};
use pulsewright_calc::units::Ratio;

#[track_caller]
fn closes(name: &str, actuator: &Actuator, legs: &[Leg]) -> Landing {
    let (landing, e) = audit(actuator, legs).unwrap();
    let parts = [
        e.copper,
        e.motor_friction,
        e.gears,
        e.damping,
        e.load_friction,
        e.potential,
        e.kinetic,
        e.spring,
        e.magnetic,
    ];
    let sum: f64 = parts.iter().map(|part| part.value).sum();
    let scale: f64 = parts.iter().map(|part| part.value.abs()).sum();
    // A load that stays put takes no energy at all.
    let left = (e.electrical.value - sum).abs() / scale.max(f64::MIN_POSITIVE);
    println!("{name}: {left:.1e}, {} events", landing.events);
    assert!(left <= 1e-6, "{name}: {left}\n{e:?}\n{landing:?}");
    for loss in [e.copper, e.motor_friction, e.gears, e.load_friction] {
        assert!(
            loss.value >= -1e-12 * scale,
            "{name}: a loss gives energy: {e:?}"
        );
    }
    landing
}

#[test]
fn closes_over_the_demos() {
    for (name, actuator, leg) in step_tests() {
        closes(name, &actuator, &[leg]);
    }
    let table = smooth(0.3, 1.0, 0.5);
    let back = Leg {
        distance: -table.distance,
        ..table
    };
    for actuator in [turntable(), camera_slider(), focus_stage(), vent_lever()] {
        closes("there and back", &actuator, &[table, back]);
    }
}

#[test]
fn closes_over_random_designs() {
    for seed in 1..=20 {
        let (actuator, leg) = random(seed);
        let series = closes(&format!("random {seed}"), &actuator, &[leg]);
        // What was audited by series is the run that the exponentials give.
        let (landing, _) = simulate(&actuator, &[leg], &mut []).unwrap();
        let share = landing.energy.value / series.energy.value;
        assert!((share - 1.0).abs() < 1e-3, "{seed}: {share}");
        let apart = (landing.final_error - series.final_error).value.abs();
        assert!(
            apart < 1e-4 * actuator.position_tolerance.value,
            "{seed}: {apart}"
        );
    }
}

#[test]
fn closes_where_everything_acts() {
    let (plain, leg) = random(20);
    let back = Leg {
        distance: -leg.distance,
        ..leg
    };

    let mut meshed = plain;
    meshed.mesh.backlash = angle(0.0);
    closes("no backlash", &meshed, &[leg, back]);

    let mut limited = plain;
    limited.power.current_limit = Some(current(0.2));
    closes("current limit", &limited, &[leg, back]);

    let mut arm = plain;
    arm.load.start_angle = Some(angle(-0.5));
    arm.load.holding_torque *= 3.0;
    closes("arm", &arm, &[leg, back]);

    let mut asleep = plain;
    asleep.controller.on_target = OnTarget::Release;
    closes("release", &asleep, &[leg, back]);

    let mut locking = plain;
    locking.train.efficiency = Ratio::from(0.35);
    locking.train.back_driving_efficiency = Ratio::from(2.0 - 1.0 / 0.35);
    closes("locking gears", &locking, &[leg, back]);

    let mut hunting = plain;
    hunting.controller.gains = gains(3.0, 0.0);
    hunting.controller.deadband = 0;
    hunting.controller.integral_time = Some(time(0.02));
    closes("hunting", &hunting, &[jump(0.1)]);
}

#[test]
fn closes_over_bad_designs() {
    let mut numbers = Random(77);
    let mut moved = 0;
    for seed in 1..=30 {
        let (actuator, leg) = bad(seed, &mut numbers);
        let landing = closes(&format!("bad {seed}"), &actuator, &[leg]);
        moved += u32::from(landing.events > 2);
    }
    assert!(moved > 10, "{moved}");
}
