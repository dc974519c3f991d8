//! The event-driven simulation against the brute-force integrator.

use crate::brute_force::{Figures, march};
use crate::designs::{
    angle, camera_slider, current, focus_stage, random, smooth, step_tests, trapezoid, turntable,
    vent_lever,
};
use calc::landing::{Actuator, Leg, OnTarget, Sample, Settling, simulate};
use calc::units::{Frequency, Ratio};
use uom::si::frequency::hertz;

/// Step of the brute-force integrator, s.
const FINE: f64 = 0.5e-6;

/// Variable that makes the slow comparisons run in full.
const ALL: &str = "LANDING_ALL";

/// Compares the figures of a run with those of the brute-force integrator. Angles are compared
/// with the count at the output as the least scale, energies with the energy drawn.
fn compare(name: &str, a: &Actuator, legs: &[Leg], tolerance: f64) {
    let mut samples = vec![Sample::default(); 100_000];
    let (landing, filled) = simulate(a, legs, &mut samples).unwrap();
    let figures = march(a, legs, FINE);
    assert_eq!(filled, figures.positions.len(), "{name}: samples");
    let count = std::f64::consts::TAU / (12.0 * a.train.ratio.value);
    let widest = samples[..filled]
        .iter()
        .zip(&figures.positions)
        .map(|(sample, position)| (sample.position.value - position).abs())
        .fold(0.0, f64::max);
    let drawn = figures.energy + figures.returned;
    let swing = if figures.swing < 0.1 * count { 0.0 } else { figures.swing };
    let rows = [
        ("overshoot", landing.overshoot.value, figures.overshoot, count),
        ("peak current", landing.peak_current.value, figures.peak_current, 1e-3),
        ("worst error", landing.worst_error.value, figures.worst_error, count),
        ("final error", landing.final_error.value, figures.final_error, count),
        ("droop", landing.droop.value, figures.droop, count),
        ("hunting", landing.hunting.value, swing, count),
        ("energy", landing.energy.value, figures.energy, drawn),
        ("copper", landing.copper_loss.value, figures.copper, drawn),
        ("returned", landing.returned_energy.value, figures.returned, drawn),
    ];
    let mut worst = (0.0, "");
    for (label, value, reference, floor) in rows {
        let difference = (value - reference).abs() / reference.abs().max(floor);
        if difference > worst.0 {
            worst = (difference, label);
        }
    }
    assert!(worst.0 <= tolerance, "{name}: {worst:?}\n{landing:?}\n{}", brief(&figures));
    assert_eq!(landing.reversals, figures.reversals, "{name}: reversals");
    let since = figures.last_outside;
    match landing.settling {
        Settling::After(time) => {
            let difference = (time.value - since.max(0.0)).abs();
            assert!(difference <= tolerance * since.max(0.1), "{name}: settling {time:?}, {since}");
        }
        _ => assert!(since > 0.999, "{name}: settled at {since}"),
    }
    println!(
        "{name}: within {:.1e} ({}), positions within {:.1e} count, {} events in {} samples",
        worst.0, worst.1, widest / count, landing.events, landing.periods,
    );
}

fn brief(figures: &Figures) -> String {
    let mut copy = figures.clone();
    copy.positions.clear();
    format!("{copy:?}")
}

#[test]
fn step_tests_of_the_demos_agree() {
    for (name, actuator, leg) in step_tests() {
        compare(name, &actuator, &[leg], 0.01);
    }
}

#[test]
fn moves_of_the_demos_agree() {
    // The moves of the cards, shortened in distance and time alike unless everything is to run.
    let share = if std::env::var_os(ALL).is_some() { 1.0 } else { 0.1 };
    let turns = std::f64::consts::TAU;
    let slide = smooth(0.9 / 0.032 * turns * share, 18.0 * share, 6.0);
    compare("camera slider moves", &camera_slider(), &[slide], 0.01);
    let focus = trapezoid(6.0 / 0.7 * turns * share, 8.0 * share, 20.0);
    compare("focus stage moves", &focus_stage(), &[focus], 0.01);
    let table = smooth(0.5 * turns * share, 10.0 * share, 1.0);
    let back = Leg { distance: -table.distance, ..table };
    compare("turntable moves", &turntable(), &[table], 0.01);
    compare("turntable there and back", &turntable(), &[table, back], 0.01);
    let vent = trapezoid(65.0_f64.to_radians() * share, 20.0 * share, 7200.0);
    compare("vent lever moves", &vent_lever(), &[vent], 0.01);
}

#[test]
fn random_designs_agree() {
    for seed in 1..=20 {
        let (actuator, leg) = random(seed);
        compare(&format!("random {seed}"), &actuator, &[leg], 0.01);
    }
}

#[test]
fn smooth_runs_agree_closely() {
    // Nothing sticks where there is no Coulomb friction and the gears lose nothing.
    for seed in 21..=24 {
        let (mut actuator, leg) = random(seed);
        actuator.train.no_load_current = current(0.0);
        actuator.load.friction_torque *= 0.0;
        actuator.train.efficiency = Ratio::from(1.0);
        actuator.train.back_driving_efficiency = Ratio::from(1.0);
        compare(&format!("smooth {seed}"), &actuator, &[leg], 0.001);
    }
}

#[test]
fn what_no_reference_exercised_agrees() {
    let base = random(31);
    let (plain, leg) = base;

    let mut meshed = plain;
    meshed.mesh.backlash = angle(0.0);
    compare("no backlash", &meshed, &[leg], 0.01);

    let mut prompt = plain;
    prompt.controller.delay = 0;
    compare("no delay", &prompt, &[leg], 0.01);
    prompt.controller.delay = 3;
    compare("three samples of delay", &prompt, &[leg], 0.01);

    let mut limited = plain;
    limited.power.current_limit = Some(current(0.3));
    compare("current limit", &limited, &[leg], 0.01);

    let mut slow = plain;
    slow.pulses.rate_limit = Some(Frequency::new::<hertz>(1500.0));
    compare("rate of pulses limited", &slow, &[leg], 0.01);
    slow.pulses.rate_limit = Some(Frequency::new::<hertz>(650.0));
    compare("less than a step a sample", &slow, &[leg], 0.01);

    let mut arm = plain;
    arm.load.start_angle = Some(angle(0.6));
    compare("arm", &arm, &[leg], 0.01);

    for (name, on_target) in [("brake", OnTarget::Brake), ("release", OnTarget::Release)] {
        let mut actuator = plain;
        actuator.controller.on_target = on_target;
        compare(name, &actuator, &[leg], 0.01);
    }

    let mut weak = plain;
    weak.controller.voltage_limit = Ratio::from(0.7);
    weak.controller.feed_forward = Ratio::from(1.0);
    compare("voltage limit and feed-forward", &weak, &[leg], 0.01);

    let mut locking = plain;
    locking.train.efficiency = Ratio::from(0.35);
    locking.train.back_driving_efficiency = Ratio::from(2.0 - 1.0 / 0.35);
    let back = Leg { distance: -leg.distance, ..leg };
    compare("locking gears", &locking, &[leg], 0.01);
    compare("locking gears, the other way", &locking, &[back], 0.01);
}
