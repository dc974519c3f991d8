//! Settings found by the search are never worse than what it set out from, and what it names as
//! the limit is the limit that each design was made for.

use crate::bounded::bad;
use crate::designs::{
    Random, angle, camera_slider, current, focus_stage, jump, random, smooth, step_tests, time,
    torque, turntable, vent_lever,
};
use pulsewright_calc::landing::tune::{Goal, Limit, MOST_SIMULATIONS, Setting, Tuned, tune};
use pulsewright_calc::landing::{Actuator, Leg, Settling, simulate};
use pulsewright_calc::units::{Frequency, Ratio};
use uom::si::{angle::degree, frequency::hertz};

/// The register's start values.
fn start(actuator: &Actuator) -> Setting {
    Setting {
        bandwidth: Frequency::new::<hertz>(4.0),
        damping: Ratio::from(1.0),
        integral_time: actuator.controller.integral_time,
        feed_forward: Ratio::from(0.0),
        deadband: actuator.controller.deadband,
    }
}

fn goal(actuator: &Actuator, settling: f64) -> Goal {
    Goal {
        error: actuator.position_tolerance,
        settling: time(settling),
    }
}

/// What is asked, met or not, and what was found, for the log of a failure.
fn brief(name: &str, tuned: &Tuned) -> String {
    let mut text = format!(
        "{name}: {:?}, {} simulations",
        tuned.limit, tuned.simulations
    );
    let named = tuned.without.iter().map(|(limit, trial)| (*limit, trial));
    for (limit, trial) in [
        (Limit::Nothing, &tuned.start),
        (Limit::Nothing, &tuned.found),
    ]
    .into_iter()
    .chain(named)
    {
        text += &format!(
            "\n  {limit:?}: cost {:.3}, margin kept {}, {:?}, {:?}",
            trial.cost, trial.keeps_margin, trial.landing.settling, trial.setting
        );
    }
    text
}

/// Tunes and checks what must hold for every answer.
#[track_caller]
fn tuned(name: &str, actuator: &Actuator, legs: &[Leg], goal: &Goal) -> Tuned {
    let start = start(actuator);
    let answer = tune(actuator, legs, &start, goal).unwrap();
    let text = brief(name, &answer);
    println!("{text}");
    assert_eq!(
        answer,
        tune(actuator, legs, &start, goal).unwrap(),
        "{name}: differs"
    );
    assert!(answer.simulations <= MOST_SIMULATIONS, "{text}");
    assert_eq!(answer.start.setting, start);
    let (start, found) = (&answer.start, &answer.found);
    assert!(found.keeps_margin >= start.keeps_margin, "{text}");
    if found.keeps_margin == start.keeps_margin {
        assert!(found.cost <= start.cost, "{text}");
    }
    if found.keeps_margin {
        assert!(found.phase_margin.get::<degree>() > 39.999, "{text}");
    }
    assert_eq!(found.met, answer.limit == Limit::Nothing, "{text}");
    assert!(
        answer.cut || found.met == answer.without.is_empty(),
        "{text}"
    );
    // What is shown is what was simulated: the gains of the setting give the landing.
    let mut again = *actuator;
    again.position_tolerance = goal.error;
    again.controller.gains = found.gains;
    again.controller.integral_time = found.setting.integral_time;
    again.controller.feed_forward = found.setting.feed_forward;
    again.controller.deadband = found.setting.deadband;
    assert_eq!(simulate(&again, legs, &mut []).unwrap().0, found.landing);
    if found.met {
        let settled =
            matches!(found.landing.settling, Settling::After(time) if time <= goal.settling);
        assert!(settled, "{text}");
        assert!(
            found.landing.droop.abs() + found.landing.hunting <= goal.error,
            "{text}"
        );
    }
    answer
}

#[test]
fn is_never_worse_than_the_start() {
    for (name, actuator, leg) in step_tests() {
        for settling in [0.5, 0.1, 0.02] {
            tuned(name, &actuator, &[leg], &goal(&actuator, settling));
        }
    }
    for seed in 1..=20 {
        let (actuator, leg) = random(seed);
        let name = format!("random {seed}");
        tuned(&name, &actuator, &[leg], &goal(&actuator, 0.1));
    }
}

#[test]
fn a_good_start_is_left_alone() {
    let (_, actuator, leg) = step_tests()[1];
    let answer = tuned("focus stage", &actuator, &[leg], &goal(&actuator, 0.5));
    // As it is, and with more friction.
    assert_eq!(answer.simulations, 2);
    assert_eq!(answer.found, answer.start);
}

/// Each design is good for its goal but for one thing.
#[track_caller]
fn limited(name: &str, limit: Limit, actuator: &Actuator, legs: &[Leg], goal: &Goal) {
    let answer = tuned(name, actuator, legs, goal);
    assert_eq!(answer.limit, limit, "{}", brief(name, &answer));
}

#[test]
fn voltage_limits_a_long_jump() {
    // At 6 V the table turns by no more than 1 rad/s.
    let a = turntable();
    limited("far", Limit::Voltage, &a, &[jump(1.5)], &goal(&a, 0.6));
}

#[test]
fn current_limits_a_heavy_wheel() {
    // 0.15 rad in half a second take up to 0.4 N·m for 0.12 kg·m², 0.08 A give 0.14 N·m.
    let mut a = fine_counts(turntable());
    a.train.load_inertia *= 15.0;
    a.train.no_load_current = current(0.0);
    a.load.friction_torque = torque(0.0);
    a.load.holding_torque = torque(0.0);
    a.mesh.backlash = angle(0.0);
    a.controller.integral_time = None;
    a.power.current_limit = Some(current(0.08));
    limited(
        "wheel",
        Limit::Current,
        &a,
        &[smooth(0.15, 0.5, 1.0)],
        &goal(&a, 0.2),
    );
}

/// The same with 16 times as many counts and steps of the pulse width.
fn fine_counts(mut a: Actuator) -> Actuator {
    a.sensing.pole_pairs *= 16;
    a.pulses.gearing.0 *= 16;
    a.controller.pwm_resolution *= 16;
    a
}

#[test]
fn backlash_limits_a_table_that_comes_back() {
    let mut a = turntable();
    a.mesh.backlash *= 40.0;
    // Nothing seats the load on one flank: with friction it stays in the play, without it floats.
    a.load.holding_torque = torque(0.0);
    let out = smooth(0.5, 2.0, 1.0);
    let back = Leg {
        distance: -out.distance,
        ..out
    };
    let asked = Goal {
        error: angle(0.1e-3 / 0.155),
        settling: time(0.5),
    };
    limited("table", Limit::Backlash, &a, &[out, back], &asked);
}

#[test]
fn counts_limit_an_error_below_one() {
    let mut a = camera_slider();
    a.mesh.backlash = angle(0.0);
    a.train.no_load_current = current(0.0);
    a.load.friction_torque = torque(0.0);
    let asked = Goal {
        error: angle(0.05 * std::f64::consts::TAU / (12.0 * a.train.ratio.value)),
        settling: time(0.5),
    };
    limited(
        "slider",
        Limit::Counts,
        &a,
        &[smooth(1.0, 0.5, 1.0)],
        &asked,
    );
}

#[test]
fn samples_limit_a_short_jump() {
    let mut a = focus_stage();
    a.controller.sample_time = time(20e-3);
    limited(
        "slow",
        Limit::SampleTime,
        &a,
        &[jump(0.2)],
        &goal(&a, 0.015),
    );
}

#[test]
fn friction_limits_a_stiff_slide() {
    let mut a = fine_counts(focus_stage());
    a.mesh.backlash = angle(0.0);
    a.load.friction_torque = torque(0.06);
    let asked = Goal {
        error: angle(2e-3),
        settling: time(0.03),
    };
    limited("slide", Limit::Friction, &a, &[jump(0.02)], &asked);
}

#[test]
fn no_limit_alone_explains_a_load_beyond_the_motor() {
    // Gears that lock, so that it stays put; four times the stall torque is 5.7 N·m.
    let mut a = turntable();
    a.train.back_driving_efficiency = Ratio::from(2.0 - 1.0 / 0.3);
    a.load.holding_torque = torque(20.0);
    limited("stays", Limit::Other, &a, &[jump(0.1)], &goal(&a, 0.5));
}

#[test]
fn an_unstable_start_is_left_behind() {
    for actuator in [turntable(), focus_stage(), vent_lever()] {
        let mut wild = start(&actuator);
        wild.bandwidth = Frequency::new::<hertz>(300.0);
        wild.damping = Ratio::from(0.4);
        wild.integral_time = Some(time(5e-3));
        wild.deadband = 0;
        let asked = goal(&actuator, 0.5);
        let answer = tune(&actuator, &[jump(0.05)], &wild, &asked).unwrap();
        let text = brief("wild", &answer);
        assert!(!answer.start.keeps_margin, "{text}");
        assert!(answer.found.keeps_margin && answer.found.met, "{text}");
    }
}

#[test]
fn what_has_no_meaning_is_refused() {
    let a = turntable();
    let (good, asked) = (start(&a), goal(&a, 0.5));
    for value in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let mut setting = good;
        setting.bandwidth.value = value;
        assert!(tune(&a, &[jump(0.1)], &setting, &asked).is_err(), "{value}");
        let mut wanted = asked;
        wanted.settling.value = value;
        assert!(tune(&a, &[jump(0.1)], &good, &wanted).is_err(), "{value}");
        wanted = asked;
        wanted.error.value = value;
        assert!(tune(&a, &[jump(0.1)], &good, &wanted).is_err(), "{value}");
    }
    assert!(tune(&a, &[], &good, &asked).is_err());
}

#[test]
fn bad_designs_end() {
    let mut numbers = Random(78);
    for seed in 1..=10 {
        let (actuator, leg) = bad(seed, &mut numbers);
        let started = std::time::Instant::now();
        let asked = Goal {
            error: angle(0.01),
            settling: time(0.2),
        };
        let answer = tune(&actuator, &[leg], &start(&actuator), &asked).unwrap();
        assert!(answer.found.cost.is_finite() && answer.simulations <= MOST_SIMULATIONS);
        let took = started.elapsed();
        println!("{seed}: {:?}, {took:?}", answer.limit);
        assert!(took.as_secs() < 60, "{seed}: {took:?}");
    }
}
