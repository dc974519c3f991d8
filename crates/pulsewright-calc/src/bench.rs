//! The bench: what a count of edges says of the gears, and a lever test that breaks none.

use alloc::vec::Vec;

use crate::ratio::{self, Exact};
use crate::units::{ElectricCurrent, ElectricPotential, ElectricalResistance};

/// Ratio of the gears from edges counted over whole turns of the output.
///
/// # Formula
/// N = E/(n·C)
///
/// # Arguments
/// * `edges` E counted \[1\]
/// * `turns` n of the output \[1\]
/// * `counts` C for each turn of the motor \[1\]
///
/// # Returns
/// N, turns of the motor per turn of the output \[1\]
///
/// # Validity
/// Exact; as good as the edges are counted and the mark is seen.
///
/// # Errors
/// None where n or C is 0, or the fraction does not fit 128 bits.
///
/// # Example
/// No published value: 12 edges a motor turn, 12 000 edges over ten turns, 100:1.
/// ```
/// use pulsewright_calc::bench::counted_ratio;
/// use pulsewright_calc::ratio::exact;
/// let (edges, counts) = (exact(12_000, 1).unwrap(), exact(12, 1).unwrap());
/// assert_eq!(counted_ratio(edges, 10, counts), exact(100, 1));
/// assert_eq!(counted_ratio(edges, 0, counts), None);
/// ```
///
/// # Sources
/// Definition of the ratio.
#[must_use]
pub fn counted_ratio(edges: Exact, turns: u32, counts: Exact) -> Option<Exact> {
    let whole = ratio::exact(turns.into(), 1)?;
    ratio::divide(edges, ratio::multiply(whole, counts)?)
}

/// The simplest fractions in a band that gear wheels can make.
///
/// # Formula
/// p/q in lowest terms with low ≤ p/q ≤ high, q from 1 upwards, where neither p nor q has a prime
/// factor above `teeth`: a greater prime would need a wheel of as many teeth.
///
/// # Arguments
/// * `low`, `high` the band \[1\]
/// * `teeth` greatest prime factor \[1\]
/// * `most` fractions that are sought
///
/// # Returns
/// Numerators and denominators, the smallest denominator first \[1\]
///
/// # Validity
/// Exact; denominators up to 2000, some ten thousand trials.
///
/// # Errors
/// None left out; nothing where the band holds no such fraction, or its bounds do not fit.
///
/// # Example
/// No published value: 9975/143 is the train 35:11 · 19:13 · 15:1; the band of ± 1 edge in ten turns
/// of twelve edges a motor turn holds it.
/// ```
/// use pulsewright_calc::bench::tooth_fractions;
/// use pulsewright_calc::ratio::exact;
/// let found = tooth_fractions(exact(8369, 120).unwrap(), exact(8372, 120).unwrap(), 97, 3);
/// assert_eq!(found.first(), Some(&(279, 4)));
/// assert!(tooth_fractions(exact(2, 1).unwrap(), exact(1, 1).unwrap(), 97, 3).is_empty());
/// ```
///
/// # Sources
/// Hayes, On the Teeth of Wheels, American Scientist 2000: primes in gear trains.
#[must_use]
pub fn tooth_fractions(low: Exact, high: Exact, teeth: u32, most: usize) -> Vec<(u64, u64)> {
    let mut found = Vec::new();
    let mut trials = 0;
    for q in 1_i128..=2000 {
        if !made_of(q.unsigned_abs(), teeth) {
            continue;
        }
        let (Some(from), Some(to)) = (times(low, q), times(high, q)) else {
            return found;
        };
        // Up for the lower bound: the least p with p/q ≥ low.
        let exact = low
            .numer()
            .checked_mul(q)
            .is_some_and(|n| n % low.denom() == 0);
        let mut p = (if exact { from } else { from + 1 }).max(1);
        while p <= to {
            trials += 1;
            if found.len() >= most || trials > 20_000 {
                return found;
            }
            if divisor(p, q) == 1
                && made_of(p.unsigned_abs(), teeth)
                && let (Ok(p), Ok(q)) = (u64::try_from(p), u64::try_from(q))
            {
                found.push((p, q));
            }
            p += 1;
        }
    }
    found
}

/// Whole part of `value`·q.
fn times(value: Exact, q: i128) -> Option<i128> {
    Some(value.numer().checked_mul(q)?.div_euclid(*value.denom()))
}

fn divisor(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// Whether `n` has no prime factor above `teeth`.
fn made_of(mut n: u128, teeth: u32) -> bool {
    for factor in 2..=u128::from(teeth) {
        while n > 1 && n.is_multiple_of(factor) {
            n /= factor;
        }
    }
    n == 1
}

/// Voltage at which a lever and a scale may hold the output.
///
/// # Formula
/// V = min(V_s/2, R·I_lim)
///
/// # Arguments
/// * `supply` V_s \[V\]
/// * `resistance` R of motor, bridge and supply together \[Ω\]
/// * `limit` I_lim, the least current that teeth, bridge or loop allow \[A\]
///
/// # Returns
/// V \[V\]
///
/// # Validity
/// Blocked shaft, cold: a warm one draws less.
///
/// # Errors
/// None.
///
/// # Example
/// No published value: 6 V through 6 Ω and teeth that bear 0.4 A: 2.4 V.
/// ```
/// use pulsewright_calc::bench::lever_voltage;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential, ElectricalResistance};
/// use uom::si::{electric_current::ampere, electric_potential::volt, electrical_resistance::ohm};
/// let voltage = lever_voltage(
///     ElectricPotential::new::<volt>(6.0),
///     ElectricalResistance::new::<ohm>(6.0),
///     ElectricCurrent::new::<ampere>(0.4),
/// );
/// assert!(pulsewright_test_support::agrees(voltage.value, "2.4"));
/// ```
///
/// # Sources
/// Half the voltage to begin with: common practice, no source. Ohm's law.
#[must_use]
pub fn lever_voltage(
    supply: ElectricPotential,
    resistance: ElectricalResistance,
    limit: ElectricCurrent,
) -> ElectricPotential {
    (supply / 2.0).min(resistance * limit)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fraction(n: i128, d: i128) -> Exact {
        Exact::new(n, d)
    }

    /// Independent of the search: every fraction of the band by the definition, in floating point.
    #[test]
    fn the_fractions_are_those_of_the_definition() {
        let (low, high) = (fraction(69_749, 1000), fraction(69_761, 1000));
        let greatest_prime = |mut n: u64| {
            let mut greatest = 1;
            let mut d = 2;
            while n > 1 {
                if n.is_multiple_of(d) {
                    n /= d;
                    greatest = d;
                } else {
                    d += 1;
                }
            }
            greatest
        };
        let mut expected = Vec::new();
        for q in 1..=200_u64 {
            for p in 69 * q..=70 * q {
                let x = p as f64 / q as f64;
                let (a, b) = (i128::from(p), i128::from(q));
                if (69.749..=69.761).contains(&x)
                    && divisor(a, b) == 1
                    && greatest_prime(p) <= 97
                    && greatest_prime(q) <= 97
                {
                    expected.push((p, q));
                }
            }
        }
        let found = tooth_fractions(low, high, 97, expected.len());
        assert_eq!(found, expected);
        // The teeth of the vent lever's invented gears, 9975/143, are among them.
        assert!(found.contains(&(9975, 143)));
    }

    #[test]
    fn a_bound_itself_is_inside() {
        let two = fraction(2, 1);
        assert_eq!(tooth_fractions(two, two, 97, 5), vec![(2, 1)]);
    }

    #[test]
    fn great_numbers_end() {
        let low = fraction(i128::MAX / 3, 1);
        assert!(tooth_fractions(low, low, 97, 5).len() <= 5);
        let wide = tooth_fractions(fraction(1, 1), fraction(1_000_000, 1), 2, 100);
        assert!(wide.len() <= 100);
    }
}
