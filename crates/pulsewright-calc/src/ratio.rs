//! Exact rational numbers: gear ratios, counts, steps, and the best fraction that a controller's
//! electronic gearing can hold.
//!
//! Nothing here panics, wraps or loses a digit: what does not fit 128 bits is `None`.

use core::cmp::Ordering;

use num_rational::Ratio;

/// An exact rational number in lowest terms with a positive denominator.
pub type Exact = Ratio<i128>;

/// Numerator over denominator, in lowest terms.
///
/// # Formula
/// n/d
///
/// # Arguments
/// * `numerator` n \[1\]
/// * `denominator` d \[1\]
///
/// # Returns
/// n/d \[1\]
///
/// # Validity
/// Exact for everything but −2¹²⁷, which has no absolute value in 128 bits.
///
/// # Errors
/// None where d = 0 or a part is −2¹²⁷.
///
/// # Example
/// No published value: 6/−4 = −3/2.
/// ```
/// use pulsewright_calc::ratio::{Exact, exact};
/// assert_eq!(exact(6, -4), Some(Exact::new_raw(-3, 2)));
/// assert_eq!(exact(1, 0), None);
/// ```
///
/// # Sources
/// Arithmetic of fractions.
#[must_use]
pub fn exact(numerator: i128, denominator: i128) -> Option<Exact> {
    (denominator != 0 && numerator != i128::MIN && denominator != i128::MIN)
        .then(|| reduced(numerator, denominator))
}

/// Product of gear stages.
///
/// # Formula
/// N = Π driven/driver
///
/// # Arguments
/// * `stages` teeth of the driven and of the driving wheel of each stage \[1\]
///
/// # Returns
/// N, turns of the first shaft per turn of the last \[1\]
///
/// # Validity
/// Exact. An idler cancels. No stage at all gives 1. Six stages of three-digit teeth fit with room
/// for as many again.
///
/// # Errors
/// None where a wheel has no teeth or the product does not fit.
///
/// # Example
/// 65/20 · 60/20 with an idler of 22 teeth: 9.75 (Wentzell, Machine Design, Ex. 11.2, p. 219).
/// ```
/// use pulsewright_calc::ratio::{exact, product};
/// assert_eq!(product([(65, 20), (22, 20), (60, 22)]), exact(975, 100));
/// ```
///
/// # Sources
/// Train value of ordinary gear trains: Wentzell, Machine Design, ch. 11.
#[must_use]
pub fn product(stages: impl IntoIterator<Item = (u32, u32)>) -> Option<Exact> {
    stages
        .into_iter()
        .try_fold(Exact::new_raw(1, 1), |product, (driven, driver)| {
            let stage = exact(driven.into(), driver.into())?;
            multiply(product, (driven > 0).then_some(stage)?)
        })
}

/// The exact value of a decimal number as written.
///
/// # Formula
/// digits · 10^(exponent − decimals)
///
/// # Arguments
/// * `text` sign, digits with at most one decimal point, and an optional exponent after e or E
///
/// # Returns
/// The number \[1\]
///
/// # Validity
/// Exact; 38 significant digits, size 10⁻³⁸ to 10³⁸.
///
/// # Errors
/// None for anything else: no digit, blanks, a comma, or a number that does not fit.
///
/// # Example
/// No published value: 51.45 = 1029/20.
/// ```
/// use pulsewright_calc::ratio::{exact, from_decimal};
/// assert_eq!(from_decimal("51.45"), exact(1029, 20));
/// assert_eq!(from_decimal("-2.5e-3"), exact(-1, 400));
/// assert_eq!(from_decimal("5,1"), None);
/// ```
///
/// # Sources
/// Decimal notation.
#[must_use]
pub fn from_decimal(text: &str) -> Option<Exact> {
    let (mantissa, exponent) = text.split_once(['e', 'E']).unwrap_or((text, "0"));
    let exponent: i32 = exponent.parse().ok()?;
    let (negative, digits) = match mantissa.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, mantissa.strip_prefix('+').unwrap_or(mantissa)),
    };
    let mut value: i128 = 0;
    let mut scale = exponent;
    let mut after_point = false;
    let mut any = false;
    // Zeros at the end of the decimals are held back: they change nothing unless a digit follows.
    let mut held_zeros: u32 = 0;
    for byte in digits.bytes() {
        match byte {
            b'.' if !after_point => after_point = true,
            b'0' if after_point => {
                any = true;
                held_zeros = held_zeros.checked_add(1)?;
            }
            b'0'..=b'9' => {
                any = true;
                if value != 0 || held_zeros == 0 {
                    value = value.checked_mul(power_of_ten(held_zeros.checked_add(1)?)?)?;
                }
                value = value.checked_add(i128::from(byte - b'0'))?;
                if after_point {
                    scale = scale.checked_sub(i32::try_from(held_zeros).ok()?.checked_add(1)?)?;
                }
                held_zeros = 0;
            }
            _ => return None,
        }
    }
    if !any {
        return None;
    }
    if value == 0 {
        return exact(0, 1);
    }
    let power = exact(power_of_ten(scale.unsigned_abs())?, 1)?;
    let value = exact(if negative { -value } else { value }, 1)?;
    if scale < 0 {
        divide(value, power)
    } else {
        multiply(value, power)
    }
}

/// Product of two exact numbers.
///
/// # Formula
/// a·b
///
/// # Arguments
/// * `left` a \[1\]
/// * `right` b \[1\]
///
/// # Returns
/// a·b \[1\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where the product does not fit.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::ratio::{exact, multiply};
/// assert_eq!(multiply(exact(2, 3).unwrap(), exact(9, 4).unwrap()), exact(3, 2));
/// ```
///
/// # Sources
/// Arithmetic of fractions.
#[must_use]
pub fn multiply(left: Exact, right: Exact) -> Option<Exact> {
    let (left, right) = (sound(left)?, sound(right)?);
    // Both are reduced, so that what is left after reducing crosswise is reduced too.
    let across = gcd(left.numer().unsigned_abs(), right.denom().unsigned_abs());
    let back = gcd(right.numer().unsigned_abs(), left.denom().unsigned_abs());
    let numerator = times(
        divided(*left.numer(), across),
        divided(*right.numer(), back),
    )?;
    let denominator = times(
        divided(*left.denom(), back),
        divided(*right.denom(), across),
    )?;
    sound(Exact::new_raw(numerator, denominator))
}

/// Quotient of two exact numbers.
///
/// # Formula
/// a/b
///
/// # Arguments
/// * `left` a \[1\]
/// * `right` b \[1\]
///
/// # Returns
/// a/b \[1\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where b = 0 or the quotient does not fit.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::ratio::{divide, exact};
/// assert_eq!(divide(exact(2, 3).unwrap(), exact(-4, 9).unwrap()), exact(-3, 2));
/// assert_eq!(divide(exact(2, 3).unwrap(), exact(0, 9).unwrap()), None);
/// ```
///
/// # Sources
/// Arithmetic of fractions.
#[must_use]
pub fn divide(left: Exact, right: Exact) -> Option<Exact> {
    let right = sound(right)?;
    let (numerator, denominator) = (*right.numer(), *right.denom());
    // Reduced as it was.
    let inverse = match numerator.signum() {
        0 => return None,
        sign => Exact::new_raw(sign * denominator, sign * numerator),
    };
    multiply(left, inverse)
}

/// Sum of two exact numbers.
///
/// # Formula
/// a + b
///
/// # Arguments
/// * `left` a \[1\]
/// * `right` b \[1\]
///
/// # Returns
/// a + b \[1\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where the sum does not fit.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::ratio::{add, exact};
/// assert_eq!(add(exact(1, 6).unwrap(), exact(1, 3).unwrap()), exact(1, 2));
/// ```
///
/// # Sources
/// Arithmetic of fractions.
#[must_use]
pub fn add(left: Exact, right: Exact) -> Option<Exact> {
    let (left, right) = (sound(left)?, sound(right)?);
    let common = gcd(left.denom().unsigned_abs(), right.denom().unsigned_abs());
    let own = divided(*left.denom(), common);
    let other = divided(*right.denom(), common);
    let numerator = times(*left.numer(), other)?.checked_add(times(*right.numer(), own)?)?;
    exact(numerator, times(own, *right.denom())?)
}

/// Difference of two exact numbers.
///
/// # Formula
/// a − b
///
/// # Arguments
/// * `left` a \[1\]
/// * `right` b \[1\]
///
/// # Returns
/// a − b \[1\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where the difference does not fit.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::ratio::{exact, subtract};
/// assert_eq!(subtract(exact(1, 6).unwrap(), exact(1, 2).unwrap()), exact(-1, 3));
/// ```
///
/// # Sources
/// Arithmetic of fractions.
#[must_use]
pub fn subtract(left: Exact, right: Exact) -> Option<Exact> {
    let right = sound(right)?;
    add(left, Exact::new_raw(-right.numer(), *right.denom()))
}

/// The nearest binary floating-point number.
///
/// # Formula
/// Long division to 64 bits, the rest as a sticky bit, one rounding to even.
///
/// # Arguments
/// * `value` n/d \[1\]
///
/// # Returns
/// n/d \[1\]
///
/// # Validity
/// Correctly rounded for every value: the result lies between 2⁻¹²⁷ and 2¹²⁷ and is never subnormal.
///
/// # Errors
/// None where the value is no number (a denominator of 0 made without [`exact`]).
///
/// # Example
/// No published value: 1/3.
/// ```
/// use pulsewright_calc::ratio::{exact, to_f64};
/// assert_eq!(exact(1, 3).and_then(to_f64), Some(1.0 / 3.0));
/// assert_eq!(exact(-(1 << 100), 3 << 90).and_then(to_f64), Some(-1024.0 / 3.0));
/// ```
///
/// # Sources
/// Round to nearest, ties to even: IEEE 754, 4.3.1 (from memory).
#[must_use]
pub fn to_f64(value: Exact) -> Option<f64> {
    let value = sound(value)?;
    let (numerator, denominator) = (value.numer().unsigned_abs(), value.denom().unsigned_abs());
    if numerator == 0 {
        return Some(0.0);
    }
    // Both exact as floating-point numbers: the division rounds once.
    const EXACT: u128 = 1 << 53;
    if numerator <= EXACT && denominator <= EXACT {
        return Some(*value.numer() as i64 as f64 / denominator as u64 as f64);
    }
    let mut quotient = numerator / denominator;
    let mut rest = numerator % denominator;
    let mut exponent = 0;
    // The rest is below the denominator, which is below 2^127, so that doubling it fits.
    while quotient < 1 << 63 {
        rest <<= 1;
        let bit = rest >= denominator;
        if bit {
            rest -= denominator;
        }
        quotient = (quotient << 1) | u128::from(bit);
        exponent -= 1;
    }
    let magnitude = libm::scalbn((quotient | u128::from(rest != 0)) as f64, exponent);
    Some(if *value.numer() < 0 {
        -magnitude
    } else {
        magnitude
    })
}

/// The value rounded to a number of decimals, a half away from zero.
///
/// # Formula
/// sgn x · ⌊|x|·10ⁿ + ½⌋ / 10ⁿ
///
/// # Arguments
/// * `value` x \[1\]
/// * `decimals` n \[1\]
///
/// # Returns
/// The rounded number \[1\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where x·10ⁿ does not fit.
///
/// # Example
/// No published value: 80.125 to two decimals.
/// ```
/// use pulsewright_calc::ratio::{from_decimal, round_to_decimals};
/// let x = from_decimal("-80.125").unwrap();
/// assert_eq!(round_to_decimals(x, 2), from_decimal("-80.13"));
/// ```
///
/// # Sources
/// Rounding half away from zero, as controllers' settings are commonly rounded (common practice,
/// no source).
#[must_use]
pub fn round_to_decimals(value: Exact, decimals: u32) -> Option<Exact> {
    let power = power_of_ten(decimals)?;
    let scaled = multiply(value, exact(power, 1)?)?;
    let (numerator, denominator) = (*scaled.numer(), *scaled.denom());
    let whole = divided(numerator, denominator.unsigned_abs());
    let rest = numerator - whole * denominator;
    // |rest| ≥ d/2 without doubling, which could overflow.
    let up = rest.abs() >= denominator - rest.abs();
    let rounded = whole.checked_add(if up { numerator.signum() } else { 0 })?;
    exact(rounded, power)
}

/// The fraction with bounded parts that is nearest to a number.
///
/// # Formula
/// p/q with 1 ≤ p, q ≤ limit of least |p/q − x|; a tie takes the smaller q, then the smaller p.
///
/// The two neighbours of x among the admissible fractions are found by walking down the
/// Stern–Brocot tree, a whole partial quotient at a time: every fraction strictly between two
/// neighbours has parts at least those of their mediant, so the walk ends where the mediant leaves
/// the bounds. Their errors are compared as 192-bit integers.
///
/// # Arguments
/// * `value` x \[1\]
/// * `limit` greatest numerator and denominator \[1\]
///
/// # Returns
/// (p, q) in lowest terms \[1\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where x > limit or x < 1/limit.
///
/// # Example
/// 191/23 = [8; 3, 3, 2] has the convergents 8/1, 25/3, 83/10 (Hayes, On the Teeth of Wheels,
/// American Scientist 2000, recalled and recomputed).
/// ```
/// use pulsewright_calc::ratio::{best_fraction, exact};
/// let x = exact(191, 23).unwrap();
/// assert_eq!(best_fraction(x, 9), Some((8, 1)));
/// assert_eq!(best_fraction(x, 25), Some((25, 3)));
/// assert_eq!(best_fraction(x, 83), Some((83, 10)));
/// assert_eq!(best_fraction(x, 191), Some((191, 23)));
/// assert_eq!(best_fraction(x, 8), None);
/// ```
///
/// # Sources
/// 1. Hayes, On the Teeth of Wheels, American Scientist 2000.
/// 2. Graham, Knuth, Patashnik, Concrete Mathematics, 4.5 (from memory).
#[must_use]
pub fn best_fraction(value: Exact, limit: u64) -> Option<(u64, u64)> {
    let value = sound(value)?;
    if *value.numer() <= 0 {
        return None;
    }
    let (numerator, denominator) = (value.numer().unsigned_abs(), value.denom().unsigned_abs());
    let bound = u128::from(limit);
    // A product beyond 128 bits is greater than either part of the value, and so is the greatest
    // number of 128 bits.
    let times = |part: u128| part.saturating_mul(bound);
    if numerator > times(denominator) || denominator > times(numerator) {
        return None;
    }
    // Neighbours a/b < x < c/d and their residuals n·b − m·a and m·c − n·d for x = n/m.
    let (mut low_p, mut low_q, mut low_rest) = (0_u128, 1_u128, numerator);
    let (mut high_p, mut high_q, mut high_rest) = (1_u128, 0_u128, denominator);
    while low_rest > 0 && high_rest > 0 && low_p + high_p <= bound && low_q + high_q <= bound {
        if low_rest >= high_rest {
            let steps = steps_within(
                low_rest / high_rest,
                bound,
                (low_p, high_p),
                (low_q, high_q),
            );
            low_p += steps * high_p;
            low_q += steps * high_q;
            low_rest -= steps * high_rest;
        } else {
            let steps = steps_within(
                high_rest / low_rest,
                bound,
                (high_p, low_p),
                (high_q, low_q),
            );
            high_p += steps * low_p;
            high_q += steps * low_q;
            high_rest -= steps * low_rest;
        }
    }
    let (low_q, high_q) = (u64::try_from(low_q).ok()?, u64::try_from(high_q).ok()?);
    let take_low = if low_rest == 0 || high_rest == 0 {
        low_rest == 0
    } else {
        match wide_product(low_rest, high_q).cmp(&wide_product(high_rest, low_q)) {
            Ordering::Less => true,
            Ordering::Equal => low_q <= high_q,
            Ordering::Greater => false,
        }
    };
    let (p, q) = if take_low {
        (low_p, low_q)
    } else {
        (high_p, high_q)
    };
    Some((u64::try_from(p).ok()?, q))
}

/// As many steps as asked for, but no more than keep start + steps·stride within the bound for
/// both parts.
fn steps_within(wanted: u128, bound: u128, p: (u128, u128), q: (u128, u128)) -> u128 {
    [p, q].into_iter().fold(wanted, |steps, (start, stride)| {
        match (bound - start).checked_div(stride) {
            Some(most) => steps.min(most),
            None => steps,
        }
    })
}

/// The full product of a 128-bit and a 64-bit number, high part first.
fn wide_product(left: u128, right: u64) -> (u128, u128) {
    let right = u128::from(right);
    let mask = u128::from(u64::MAX);
    let low = (left & mask) * right;
    let high = (left >> 64) * right + (low >> 64);
    (high, low & mask)
}

/// The value, if it is a number on which `num_rational` cannot overflow unseen.
fn sound(value: Exact) -> Option<Exact> {
    (*value.denom() > 0 && *value.numer() != i128::MIN).then_some(value)
}

/// 10ⁿ, where it fits.
/// Fraction of two numbers of which none is the least of its type, and the second not 0.
fn reduced(numerator: i128, denominator: i128) -> Exact {
    let common = gcd(numerator.unsigned_abs(), denominator.unsigned_abs());
    let sign = if denominator < 0 { -1 } else { 1 };
    Exact::new_raw(
        sign * divided(numerator, common),
        sign * divided(denominator, common),
    )
}

/// Greatest common divisor; of 0 and a number that number. Most numbers here fit 64 bits, where it
/// takes no division.
fn gcd(a: u128, b: u128) -> u128 {
    let (mut a, mut b) = (a, b);
    loop {
        if a <= 1 || b <= 1 {
            return if a == 0 || b == 0 { a | b } else { 1 };
        }
        if let (Ok(a), Ok(b)) = (u64::try_from(a), u64::try_from(b)) {
            return gcd_of_words(a, b).into();
        }
        (a, b) = (b, a % b);
    }
}

/// Stein's algorithm on two numbers that are not 0.
fn gcd_of_words(a: u64, b: u64) -> u64 {
    let shift = (a | b).trailing_zeros();
    let (mut a, mut b) = (a >> a.trailing_zeros(), b >> b.trailing_zeros());
    while a != b {
        let apart = a.abs_diff(b);
        a = a.min(b);
        b = apart >> apart.trailing_zeros();
    }
    a << shift
}

/// Quotient towards 0, without a division of 128 bits where 64 do; by 1 where the divisor is 0.
fn divided(number: i128, by: u128) -> i128 {
    match (i64::try_from(number), i64::try_from(by)) {
        (_, Ok(0 | 1)) => number,
        (Ok(number), Ok(by)) => (number / by).into(),
        // A divisor beyond the type is beyond any number too.
        _ => i128::try_from(by).map_or(0, |by| number / by),
    }
}

/// Product, without a check for overflow where none can be.
fn times(a: i128, b: i128) -> Option<i128> {
    match (i64::try_from(a), i64::try_from(b)) {
        (Ok(a), Ok(b)) => Some(i128::from(a) * i128::from(b)),
        _ => a.checked_mul(b),
    }
}

fn power_of_ten(exponent: u32) -> Option<i128> {
    10_i128.checked_pow(exponent)
}

#[cfg(test)]
mod tests {
    use num_traits::{CheckedAdd, CheckedMul, CheckedSub};
    use proptest::prelude::*;

    use super::*;

    /// The definition itself, by trying every fraction.
    fn by_search(n: i128, m: i128, limit: i128) -> Option<(u64, u64)> {
        if n > limit * m || m > limit * n {
            return None;
        }
        let mut best: Option<(i128, i128)> = None;
        for q in 1..=limit {
            for p in 1..=limit {
                let better = best.is_none_or(|(bp, bq)| {
                    // |p/q − n/m| < |bp/bq − n/m|, all over q·bq·m.
                    (p * m - n * q).abs() * bq < (bp * m - n * bq).abs() * q
                });
                if better {
                    best = Some((p, q));
                }
            }
        }
        best.map(|(p, q)| (u64::try_from(p).unwrap(), u64::try_from(q).unwrap()))
    }

    #[test]
    fn best_fraction_is_that_of_an_exhaustive_search() {
        for limit in 1..=12_i128 {
            for n in 1..=40 {
                for m in 1..=40 {
                    let found = best_fraction(exact(n, m).unwrap(), limit.try_into().unwrap());
                    assert_eq!(found, by_search(n, m, limit), "{n}/{m} within {limit}");
                }
            }
        }
    }

    #[test]
    fn best_fraction_of_pi_is_355_over_113() {
        // Sources: Hayes 2000; 355/113 − π = 2.668e-7.
        let pi = from_decimal("3.14159265358979323846264338327950288").unwrap();
        assert_eq!(best_fraction(pi, 400), Some((355, 113)));
        assert_eq!(best_fraction(pi, 30), Some((22, 7)));
        assert!(pulsewright_test_support::agrees(
            (355.0 / 113.0 - core::f64::consts::PI) * 1e7,
            "2.668"
        ));
    }

    #[test]
    fn extreme_values_neither_panic_nor_wrap() {
        let huge = exact(i128::MAX, 1).unwrap();
        let tiny = exact(1, i128::MAX).unwrap();
        assert_eq!(multiply(huge, huge), None);
        assert_eq!(divide(huge, tiny), None);
        assert_eq!(add(huge, huge), None);
        assert_eq!(subtract(exact(-i128::MAX, 1).unwrap(), huge), None);
        assert_eq!(best_fraction(huge, u64::MAX), None);
        assert_eq!(best_fraction(tiny, u64::MAX), None);
        assert_eq!(best_fraction(exact(0, 1).unwrap(), 5), None);
        assert_eq!(best_fraction(exact(1, 1).unwrap(), 0), None);
        let near_one = exact(i128::MAX, i128::MAX - 1).unwrap();
        assert_eq!(best_fraction(near_one, u64::MAX), Some((1, 1)));
        assert_eq!(to_f64(huge), Some(2_f64.powi(127)));
        assert_eq!(to_f64(tiny), Some(2_f64.powi(-127)));
        let broken = Exact::new_raw(1, 0);
        assert_eq!(to_f64(broken), None);
        assert_eq!(multiply(broken, huge), None);
        assert_eq!(divide(huge, broken), None);
        assert_eq!(best_fraction(broken, 9), None);
        assert_eq!(exact(i128::MIN, 1), None);
        assert_eq!(round_to_decimals(huge, 1), None);
        assert_eq!(round_to_decimals(huge, 99), None);
        assert_eq!(round_to_decimals(huge, 0), Some(huge));
    }

    #[test]
    fn six_stages_of_three_digit_teeth_are_exact() {
        let train = product([(997, 101); 6]).unwrap();
        assert_eq!(*train.numer(), 997_i128.pow(6));
        assert_eq!(*train.denom(), 101_i128.pow(6));
        assert_eq!(product([(0, 12)]), None);
        assert_eq!(product([(12, 0)]), None);
        assert_eq!(product([]), exact(1, 1));
    }

    #[test]
    fn decimals_as_written() {
        for (text, n, d) in [
            ("0", 0, 1),
            ("000.000", 0, 1),
            (".5", 1, 2),
            ("5.", 5, 1),
            ("+0.050", 1, 20),
            ("1.000000000000000000000000000000000000000000000000", 1, 1),
            ("100.01", 10_001, 100),
            ("12e3", 12_000, 1),
            ("1.5E-2", 3, 200),
            ("0.00012", 3, 25_000),
        ] {
            assert_eq!(from_decimal(text), exact(n, d), "{text}");
        }
        for text in [
            "",
            ".",
            "-",
            "e5",
            "1e",
            "1e99",
            "1e-99",
            "1.2.3",
            "1 2",
            "nan",
            "inf",
            "1e9999999999",
            "--1",
            "1e-2147483648",
            "999999999999999999999999999999999999999999",
        ] {
            assert_eq!(from_decimal(text), None, "{text}");
        }
    }

    #[test]
    fn rounds_a_half_away_from_zero() {
        for (text, decimals, rounded) in [
            ("2.5", 0, "3"),
            ("-2.5", 0, "-3"),
            ("2.499", 0, "2"),
            ("1.005", 2, "1.01"),
            ("-0.004", 2, "0"),
            ("7", 3, "7"),
        ] {
            let value = from_decimal(text).unwrap();
            assert_eq!(
                round_to_decimals(value, decimals),
                from_decimal(rounded),
                "{text}"
            );
        }
    }

    proptest! {
        #[test]
        fn best_fraction_agrees_with_search(n in 1..2_000_i128, m in 1..2_000_i128, limit in 1..40_i128) {
            let found = best_fraction(exact(n, m).unwrap(), limit.try_into().unwrap());
            prop_assert_eq!(found, by_search(n, m, limit));
        }

        #[test]
        fn a_fraction_within_the_limit_is_found_exactly(p in 1..65_536_u64, q in 1..65_536_u64) {
            let x = exact(p.into(), q.into()).unwrap();
            let (found_p, found_q) = best_fraction(x, 65_535).unwrap();
            prop_assert_eq!(exact(found_p.into(), found_q.into()), Some(x));
        }

        #[test]
        fn floating_point_value_is_nearest(n in any::<i64>(), d in 1..i64::MAX) {
            // Both parts below 2^53 divide with one rounding.
            let (n, d) = (n >> 11, (d >> 11) | 1);
            prop_assert_eq!(to_f64(exact(n.into(), d.into()).unwrap()), Some(n as f64 / d as f64));
        }

        #[test]
        fn floating_point_value_reads_decimals_as_the_parser_does(text in "[0-9]{1,12}\\.[0-9]{1,12}") {
            prop_assert_eq!(from_decimal(&text).and_then(to_f64), text.parse().ok());
        }

        /// The library's own checked arithmetic is another program for the same.
        #[test]
        fn arithmetic_agrees_with_the_library(
            a in any::<i128>(), b in any::<i128>(), c in any::<i128>(), d in any::<i128>(),
            shifts in prop::array::uniform4(1..127_u32),
        ) {
            let [a, b, c, d] = [(a, shifts[0]), (b, shifts[1]), (c, shifts[2]), (d, shifts[3])]
                .map(|(n, shift)| n >> shift);
            if let (Some(x), Some(y)) = (exact(a, b), exact(c, d)) {
                prop_assert_eq!(x, Exact::new(a, b));
                // The library refuses some products that fit once they are reduced.
                for (ours, theirs) in [
                    (multiply(x, y), x.checked_mul(&y)),
                    (add(x, y), x.checked_add(&y)),
                    (subtract(x, y), x.checked_sub(&y)),
                ] {
                    prop_assert!(theirs.is_none() || ours == theirs);
                    if let Some(found) = ours {
                        prop_assert_eq!(found, Exact::new(*found.numer(), *found.denom()));
                    }
                }
                prop_assert!(add(x, y).is_none_or(|sum| subtract(sum, y).is_none_or(|back| back == x)));
            }
        }

        #[test]
        fn arithmetic_never_panics(a in any::<i128>(), b in any::<i128>(), c in any::<i128>(), d in any::<i128>(), limit in any::<u64>()) {
            if let (Some(x), Some(y)) = (exact(a, b), exact(c, d)) {
                let _ = (multiply(x, y), divide(x, y), add(x, y), subtract(x, y));
                let _ = round_to_decimals(x, (limit % 45) as u32);
                prop_assert!(to_f64(x).is_some_and(f64::is_finite));
                if let Some((p, q)) = best_fraction(x, limit) {
                    prop_assert!(p >= 1 && q >= 1 && p <= limit && q <= limit);
                }
            }
        }
    }
}
