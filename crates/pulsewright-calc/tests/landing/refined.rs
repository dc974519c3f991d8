//! Halving every sub-step moves no reported figure by more than 0.1 %.

use crate::designs::{random, smooth, step_tests, turntable};
use pulsewright_calc::landing::{Actuator, Landing, Leg, Settling, simulate};

fn figures(landing: &Landing) -> [f64; 10] {
    [
        landing.overshoot.value,
        landing.worst_error.value,
        landing.final_error.value,
        landing.droop.value,
        landing.hunting.value,
        landing.peak_current.value,
        landing.energy.value,
        landing.regenerated_energy.value,
        landing.copper_loss.value,
        landing.friction_loss.value,
    ]
}

#[track_caller]
fn unmoved(name: &str, actuator: &Actuator, legs: &[Leg]) {
    let count = std::f64::consts::TAU / (12.0 * actuator.train.ratio.value);
    let (coarse, _) = simulate(actuator, legs, &mut []).unwrap();
    let mut fine = *actuator;
    fine.refinement = 2;
    let (fine, _) = simulate(&fine, legs, &mut []).unwrap();
    let energy = fine.energy.value + fine.regenerated_energy.value;
    let floors = [
        count, count, count, count, count, 1e-3, energy, energy, energy, energy,
    ];
    let mut worst: f64 = 0.0;
    for ((a, b), floor) in figures(&coarse).into_iter().zip(figures(&fine)).zip(floors) {
        worst = worst.max((a - b).abs() / b.abs().max(floor));
    }
    println!("{name}: moves by {worst:.1e}");
    assert!(
        worst <= 1e-3,
        "{name}: moves by {worst}\n{coarse:?}\n{fine:?}"
    );
    match (coarse.settling, fine.settling) {
        (Settling::After(a), Settling::After(b)) => {
            assert!(
                (a - b).value.abs() <= 1e-3 * b.value.max(0.05),
                "{name}: {a:?}, {b:?}"
            );
        }
        (a, b) => assert_eq!(a, b, "{name}"),
    }
    assert_eq!(coarse.reversals, fine.reversals, "{name}");
}

#[test]
fn halving_moves_nothing() {
    for (name, actuator, leg) in step_tests() {
        unmoved(name, &actuator, &[leg]);
    }
    let table = smooth(0.3, 1.0, 0.5);
    unmoved(
        "there and back",
        &turntable(),
        &[
            table,
            Leg {
                distance: -table.distance,
                ..table
            },
        ],
    );
    for seed in 1..=20 {
        let (actuator, leg) = random(seed);
        unmoved(&format!("random {seed}"), &actuator, &[leg]);
    }
}
