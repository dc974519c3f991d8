//! Bad input gives a flag or a refusal in bounded time, and never NaN.

use crate::designs::{
    Random, angle, current, gains, inertia, jump, ohms, random, smooth, time, torque, turntable,
};
use pulsewright_calc::landing::{
    Actuator, Landing, Leg, MOST_PERIODS, MOST_WORK, OnTarget, Refused, Sample, Settling, Stopped,
    simulate,
};
use pulsewright_calc::units::{Inductance, Ratio, Stiffness};
use uom::si::{inductance::henry, torque::newton_meter};

fn all_finite(landing: &Landing) -> bool {
    let settled = match landing.settling {
        Settling::After(time) => time.value,
        _ => 0.0,
    };
    [
        landing.overshoot.value,
        landing.peak_current.value,
        landing.worst_error.value,
        landing.final_error.value,
        landing.droop.value,
        landing.hunting.value,
        landing.hunting_frequency.map_or(0.0, |value| value.value),
        landing.energy.value,
        landing.regenerated_energy.value,
        landing.copper_loss.value,
        landing.friction_loss.value,
        landing.duration.value,
        settled,
    ]
    .iter()
    .all(|value| value.is_finite())
}

/// The work is bounded, that of the sub-steps and that of the edges each, and a run that it ends
/// says so.
#[track_caller]
fn bounded(name: &str, landing: &Landing) {
    assert!(landing.work <= 2 * MOST_WORK + 1000, "{name}: {landing:?}");
    let cut = matches!(
        landing.stopped,
        Some(Stopped::MostSamples | Stopped::MostWork)
    );
    assert_eq!(landing.flags.run_cut, cut, "{name}");
    assert_eq!(
        landing.flags.unstable,
        landing.stopped == Some(Stopped::RanAway),
        "{name}"
    );
    if landing.stopped.is_some() {
        assert_eq!(landing.settling, Settling::NotReached, "{name}");
    }
}

/// Runs and checks what must hold for every run.
#[track_caller]
fn run(name: &str, actuator: &Actuator, legs: &[Leg]) -> Landing {
    let mut samples = [Sample::default(); 500];
    let started = std::time::Instant::now();
    let (landing, filled) = simulate(actuator, legs, &mut samples).unwrap();
    let took = started.elapsed();
    println!(
        "{name}: {took:?} {:?} {} events, {:?}",
        landing.settling, landing.events, landing.flags
    );
    assert!(all_finite(&landing), "{name}: {landing:?}");
    assert!(samples[..filled].iter().all(|sample| {
        [
            sample.error.value,
            sample.current.value,
            sample.voltage.value,
            sample.position.value,
        ]
        .iter()
        .all(|value| value.is_finite())
    }));
    assert!(took.as_secs() < 30, "{name}: {took:?}");
    bounded(name, &landing);
    landing
}

#[test]
fn unstable_gains_hunt() {
    let mut actuator = crate::designs::camera_slider();
    actuator.controller.deadband = 0;
    actuator.controller.gains = gains(1e6, 0.0);
    let wild = run("huge Kp", &actuator, &[jump(0.5)]);
    assert!(
        wild.hunting.value > 0.0 && wild.hunting_frequency.is_some(),
        "{wild:?}"
    );
    actuator.controller.gains = gains(1.0, 1e6);
    run("huge Kd", &actuator, &[jump(0.01)]);
    actuator.controller.gains = gains(-1.0, 0.0);
    let wrong = run("wrong sign", &actuator, &[jump(0.01)]);
    assert!(!matches!(wrong.settling, Settling::After(_)));
    actuator.controller.gains = gains(f64::MAX, f64::MAX);
    run("greatest gains", &actuator, &[jump(0.01)]);
}

#[test]
fn degenerate_plants_run_or_are_refused() {
    let base = turntable();
    let mut actuator = base;
    actuator.train.rotor_inertia = inertia(0.0);
    assert_eq!(
        simulate(&actuator, &[jump(0.1)], &mut []),
        Err(Refused::NotPositive("rotor inertia"))
    );
    actuator = base;
    actuator.train.load_inertia = inertia(0.0);
    run("no load inertia", &actuator, &[jump(0.01)]);
    actuator = base;
    actuator.power.inductance = Some(Inductance::new::<henry>(0.0));
    run("no inductance", &actuator, &[jump(0.01)]);
    actuator.power.inductance = Some(Inductance::new::<henry>(1e-12));
    assert!(
        run("tiny inductance", &actuator, &[jump(0.01)])
            .flags
            .inductance_raised
    );
    actuator = base;
    actuator.mesh.backlash = angle(6.0);
    run("huge backlash", &actuator, &[jump(0.01)]);
    actuator.mesh.backlash = angle(1e9);
    run("absurd backlash", &actuator, &[jump(0.01)]);
    actuator = base;
    actuator.mesh.stiffness = Stiffness::new::<newton_meter>(1e12);
    assert!(
        run("rigid gears", &actuator, &[jump(0.01)])
            .flags
            .stiffness_clipped
    );
    actuator = base;
    actuator.train.efficiency = Ratio::from(0.02);
    actuator.train.back_driving_efficiency = Ratio::from(-48.0);
    run("worst gears", &actuator, &[jump(0.01)]);
    actuator = base;
    actuator.power.source_resistance = ohms(1e6);
    run("no supply", &actuator, &[jump(0.01)]);
    actuator = base;
    actuator.load.holding_torque = torque(1e6);
    run("the load runs away", &actuator, &[jump(0.01)]);
    assert_eq!(simulate(&base, &[], &mut []), Err(Refused::NoLeg));
}

#[test]
fn long_and_short_commands_are_bounded() {
    let mut actuator = turntable();
    let turns = std::f64::consts::TAU;
    let far = run("a million turns", &actuator, &[jump(1e6 * turns)]);
    assert_eq!(far.settling, Settling::OnItsWay);
    let month = run("a month", &actuator, &[smooth(turns, 2.6e6, 1.0)]);
    assert!(month.flags.run_cut && month.periods <= MOST_PERIODS);
    assert_eq!(month.stopped, Some(Stopped::MostSamples));
    run("an instant", &actuator, &[smooth(0.1, 1e-9, 0.0)]);
    actuator.controller.sample_time = time(0.1);
    run(
        "sample time beyond the move",
        &actuator,
        &[smooth(0.1, 0.03, 0.01)],
    );
    actuator.controller.sample_time = time(100.0);
    run(
        "sample time beyond everything",
        &actuator,
        &[smooth(0.1, 0.03, 0.01)],
    );
    actuator.controller.sample_time = time(1e-5);
    run(
        "shortest sample time",
        &actuator,
        &[smooth(0.1, 0.03, 0.01)],
    );
}

#[test]
fn one_period_may_not_take_all_the_time() {
    // A rotor of next to nothing has a rate that would ask billions of sub-steps of each sample.
    let mut actuator = turntable();
    actuator.train.rotor_inertia = inertia(1e-24);
    actuator.controller.sample_time = time(0.5);
    let quick = run("no rotor, seldom sampled", &actuator, &[jump(1.0)]);
    assert_eq!(quick.stopped, Some(Stopped::MostWork));
    // The period in which it ended is not counted as passed.
    assert!(quick.duration.value < 2.0, "{quick:?}");

    // A load that nothing holds spins the motor, and no edge leaves time for the next.
    let mut actuator = turntable();
    actuator.train.efficiency = Ratio::from(1.0);
    actuator.train.back_driving_efficiency = Ratio::from(1.0);
    actuator.load.holding_torque = torque(1e5);
    actuator.sensing.errors.duty = angle(1.0);
    actuator.sensing.pole_pairs = 100_000;
    let edges = run("edges without end", &actuator, &[jump(1.0)]);
    assert_eq!(edges.stopped, Some(Stopped::MostWork));
}

#[test]
fn whatever_is_not_a_number_is_refused() {
    let spoil: [fn(&mut Actuator, f64); 18] = [
        |a, x| a.train.ratio = Ratio::from(x),
        |a, x| a.train.efficiency = Ratio::from(x),
        |a, x| a.train.back_driving_efficiency = Ratio::from(x),
        |a, x| a.train.rotor_inertia.value = x,
        |a, x| a.train.load_inertia.value = x,
        |a, x| a.train.motor_constant.value = x,
        |a, x| a.train.no_load_current.value = x,
        |a, x| a.mesh.backlash.value = x,
        |a, x| a.mesh.stiffness.value = x,
        |a, x| a.load.holding_torque.value = x,
        |a, x| a.load.friction_torque.value = x,
        |a, x| a.load.start_angle = Some(angle(x)),
        |a, x| a.power.voltage.value = x,
        |a, x| a.power.winding_resistance.value = x,
        |a, x| a.power.source_resistance.value = x,
        |a, x| a.controller.gains.proportional.value = x,
        |a, x| a.controller.sample_time.value = x,
        |a, x| a.position_tolerance.value = x,
    ];
    for (index, change) in spoil.iter().enumerate() {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let mut actuator = turntable();
            change(&mut actuator, value);
            assert!(
                simulate(&actuator, &[jump(0.1)], &mut []).is_err(),
                "{index}: {value}"
            );
        }
    }
    assert!(simulate(&turntable(), &[jump(f64::NAN)], &mut []).is_err());
}

/// A design whose figures are spread far beyond what anyone would build.
pub fn bad(seed: u64, r: &mut Random) -> (Actuator, Leg) {
    let (mut actuator, leg) = random(seed);
    actuator.controller.gains = gains(r.spread(1e-4, 1e3), r.spread(1e-6, 1.0));
    actuator.controller.deadband = (r.unit() * 3.0) as u32;
    actuator.controller.delay = (r.unit() * 6.0) as u32;
    actuator.controller.sample_time = time(r.spread(5e-5, 2e-2));
    actuator.controller.pwm_resolution = r.spread(16.0, 65_535.0) as u32;
    actuator.controller.integral_time = (r.unit() < 0.5).then(|| time(r.spread(5e-3, 10.0)));
    actuator.controller.on_target =
        [OnTarget::Drive, OnTarget::Brake, OnTarget::Release][(r.unit() * 3.0) as usize];
    actuator.mesh.backlash = angle(if r.unit() < 0.2 {
        0.0
    } else {
        r.spread(1e-4, 0.8)
    });
    actuator.load.holding_torque *= r.spread(0.1, 100.0);
    actuator.load.friction_torque *= r.spread(0.01, 30.0);
    actuator.train.no_load_current *= r.spread(0.01, 3.0);
    actuator.train.rotor_inertia *= r.spread(1e-2, 10.0);
    actuator.train.load_inertia *= r.spread(1e-3, 10.0);
    let efficiency = r.spread(0.05, 1.0);
    actuator.train.efficiency = Ratio::from(efficiency);
    actuator.train.back_driving_efficiency = Ratio::from(2.0 - 1.0 / efficiency);
    if r.unit() < 0.3 {
        actuator.power.current_limit = Some(current(r.spread(0.01, 1.0)));
    }
    if r.unit() < 0.3 {
        actuator.load.start_angle = Some(angle(r.between(-3.0, 3.0)));
    }
    (actuator, leg)
}

#[test]
fn random_bad_designs_end() {
    let mut numbers = Random(77);
    let many = if std::env::var_os("LANDING_ALL").is_some() {
        2000
    } else {
        150
    };
    let mut cut = 0;
    for seed in 1..=many {
        let (actuator, leg) = bad(seed, &mut numbers);
        let mut samples = [Sample::default(); 100];
        let started = std::time::Instant::now();
        let (landing, _) = simulate(&actuator, &[leg], &mut samples).unwrap();
        assert!(all_finite(&landing), "{seed}: {landing:?}");
        bounded(&seed.to_string(), &landing);
        assert!(started.elapsed().as_secs() < 30, "{seed}");
        cut += u64::from(landing.flags.events_cut);
        if landing.flags.events_cut {
            println!("{seed}: {} events", landing.events);
        }
    }
    // More than 64 events in a period of up to 20 ms are rare even here.
    assert!(cut * 100 <= many, "{cut} of {many}");
}
