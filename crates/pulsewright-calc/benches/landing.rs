//! Time of the simulated landing: the step tests of the demo cards, for each second simulated; and
//! of a search of settings that misses its goal, which is the longest.
//!
//! `cargo bench -p pulsewright-calc --bench landing` prints the least and the middle of many runs.

// Beside it, on the same machine, scipy 1.17.1 with the linear plant of `tests/landing/zero_order_hold.rs`
// at a period of 1 ms, for each second simulated, the least of seven: `Ad, Bd, *_ =
// cont2discrete((A, B, C, D), 1e-3)` and `x = Ad @ x + Bd @ u` with the controller in Python 8.8 ms;
// `solve_ivp(f, (0, 1e-3), x, method="DOP853", rtol=1e-8, atol=1e-10)` period by period 272 ms,
// "LSODA" 309 ms. None of them looks for an event; here 0.15 to 0.34 ms, events solved for.

use std::hint::black_box;
use std::time::{Duration, Instant};

use pulsewright_calc::landing::tune::{Goal, Setting, tune};
use pulsewright_calc::landing::{Sample, simulate};
use pulsewright_calc::units::{Frequency, Ratio};
use uom::si::frequency::hertz;

#[allow(dead_code)]
#[path = "../tests/landing/designs.rs"]
mod designs;

const RUNS: usize = 200;

fn main() {
    let mut samples = vec![Sample::default(); 1000];
    for (name, actuator, leg) in designs::step_tests() {
        let mut times: Vec<Duration> = (0..RUNS)
            .map(|_| {
                let start = Instant::now();
                let result = simulate(black_box(&actuator), black_box(&[leg]), &mut samples);
                let took = start.elapsed();
                let _ = black_box(result);
                took
            })
            .collect();
        times.sort_unstable();
        let Ok((landing, _)) = simulate(&actuator, &[leg], &mut samples) else {
            println!("{name}: refused");
            continue;
        };
        let seconds = landing.periods as f64 * actuator.controller.sample_time.value;
        let each = |time: Duration| time.as_secs_f64() / seconds * 1e6;
        println!(
            "{name}: {:.0} µs least, {:.0} µs in the middle, for each of {seconds:.1} s; {} events",
            each(times[0]),
            each(times[RUNS / 2]),
            landing.events,
        );
        let start = Setting {
            bandwidth: Frequency::new::<hertz>(4.0),
            damping: Ratio::from(1.0),
            integral_time: actuator.controller.integral_time,
            feed_forward: Ratio::from(0.0),
            deadband: actuator.controller.deadband,
            sample_time: actuator.controller.sample_time,
        };
        let goal = Goal {
            error: actuator.position_tolerance,
            settling: designs::time(0.02),
        };
        let begin = Instant::now();
        if let Ok(tuned) = tune(black_box(&actuator), &[leg], &[], &start, &goal) {
            println!(
                "  {:.0} ms for {} simulations: {:?}",
                begin.elapsed().as_secs_f64() * 1e3,
                tuned.simulations,
                tuned.limit
            );
        }
    }
}
