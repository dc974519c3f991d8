//! Counts for a step from the teeth of a train, and the fraction that a controller of small numbers holds for it.
//!
//! `cargo run -p pulsewright-calc --example gearing`

use pulsewright_calc::ratio::{best_fraction, exact, multiply, product};

fn main() {
    // Twelve counts for a turn of the motor, 14400 steps for a turn of the output.
    let teeth = product([(36, 12), (34, 13), (38, 12), (60, 1)]);
    let counts = exact(12, 14_400);
    let Some(per_step) = teeth
        .zip(counts)
        .and_then(|(teeth, counts)| multiply(teeth, counts))
    else {
        return eprintln!("no such train");
    };
    println!("counts for a step, exactly: {per_step}");
    for limit in [99, 255, 65_535] {
        match best_fraction(per_step, limit) {
            Some((numerator, denominator)) => {
                println!("with numbers up to {limit}: {numerator}/{denominator}");
            }
            None => println!("with numbers up to {limit}: none"),
        }
    }
}
