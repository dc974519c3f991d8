//! Roots of one unknown between two bounds, for the few results that have no closed form.
//!
//! Numbers here are plain, because the unknown may be a time, a speed or a current; the callers
//! keep the dimensions.

use crate::units::within;

/// Root of a continuous function between two bounds where its sign differs.
///
/// # Formula
/// Chandrupatla's method: inverse quadratic interpolation where it is safe, bisection elsewhere.
///
/// # Arguments
/// * `function` the function
/// * `low`, `high` the bounds, in either order
/// * `tolerance` greatest distance from the root that is accepted, in the unit of the bounds
/// * `iterations` greatest number of evaluations between the bounds
///
/// # Returns
/// The root, or nothing: where the sign is the same at both bounds, where a value is not finite,
/// and where `iterations` did not suffice.
///
/// # Validity
/// Any continuous function; the interval at least halves in every second step or so.
///
/// # Example
/// x³ = 2 at 1.259921 (no published value: the cube root of 2).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::roots::bracketed;
/// let root = bracketed(|x| x * x * x - 2.0, 1.0, 2.0, 1e-12, 60);
/// assert!(root.is_some_and(|x| agrees(x, "1.259921")));
/// assert!(bracketed(|x| x * x + 1.0, -1.0, 1.0, 1e-12, 60).is_none());
/// ```
///
/// # Sources
/// T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145–149, from memory.
#[must_use]
pub fn bracketed(
    mut function: impl FnMut(f64) -> f64,
    low: f64,
    high: f64,
    tolerance: f64,
    iterations: usize,
) -> Option<f64> {
    let ends = ((low, function(low)), (high, function(high)));
    bracketed_between(function, ends, tolerance, iterations)
}

/// The same where the values at both bounds are known.
pub(crate) fn bracketed_between(
    mut function: impl FnMut(f64) -> f64,
    (low, high): ((f64, f64), (f64, f64)),
    tolerance: f64,
    iterations: usize,
) -> Option<f64> {
    let ((mut a, mut at_a), (mut b, mut at_b)) = (high, low);
    if at_a == 0.0 {
        return Some(a);
    }
    if at_b == 0.0 {
        return Some(b);
    }
    if !at_a.is_finite() || !at_b.is_finite() || (at_a > 0.0) == (at_b > 0.0) {
        return None;
    }
    let mut share = 0.5;
    for _ in 0..iterations {
        let x = a + share * (b - a);
        let at_x = function(x);
        if !at_x.is_finite() {
            return None;
        }
        let (c, at_c);
        if (at_x > 0.0) == (at_a > 0.0) {
            (c, at_c) = (a, at_a);
        } else {
            (c, at_c) = (b, at_b);
            (b, at_b) = (a, at_a);
        }
        (a, at_a) = (x, at_x);
        let (best, at_best) = if at_a.abs() < at_b.abs() {
            (a, at_a)
        } else {
            (b, at_b)
        };
        let nearest = (tolerance + 2.0 * f64::EPSILON * best.abs()) / (b - a).abs();
        if at_best == 0.0 || nearest > 0.5 {
            return Some(best);
        }
        let xi = (a - b) / (c - b);
        let phi = (at_a - at_b) / (at_c - at_b);
        share = if phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi {
            at_a / (at_b - at_a) * at_c / (at_b - at_c)
                + (c - a) / (b - a) * at_a / (at_c - at_a) * at_b / (at_c - at_b)
        } else {
            0.5
        };
        share = within(share, nearest, 1.0 - nearest);
    }
    None
}

/// Root of a rising function at or right of a start where it is not yet positive.
///
/// # Formula
/// Halley's step x − f/(f′ − f·f″/(2f′)), replaced by bisection where it leaves the bracket found so
/// far and by doubling where there is no upper bound yet.
///
/// # Arguments
/// * `function` gives value, slope and the slope's slope at x
/// * `start` x where the value is ≤ 0, ≥ 0 itself
/// * `step` first guess of the distance to the root, > 0
/// * `tolerance` relative change of x that ends the search; what is left then is its cube or so
/// * `iterations` greatest number of evaluations
///
/// # Returns
/// The root, or nothing where a value is not finite or `iterations` did not suffice.
///
/// # Validity
/// A function that rises through zero once right of `start`.
///
/// # Example
/// x² = 2 at 1.41421356 (no published value: the square root of 2).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::roots::rising;
/// let root = rising(|x| (x * x - 2.0, 2.0 * x, 2.0), 0.0, 1.0, 1e-6, 60);
/// assert!(root.is_some_and(|x| agrees(x, "1.41421356")));
/// ```
///
/// # Sources
/// Halley's method; the bracket after Press et al., Numerical Recipes, 9.4, from memory.
#[must_use]
pub fn rising(
    mut function: impl FnMut(f64) -> (f64, f64, f64),
    start: f64,
    step: f64,
    tolerance: f64,
    iterations: usize,
) -> Option<f64> {
    let (mut low, mut high) = (start, f64::INFINITY);
    let mut x = start + step;
    for _ in 0..iterations {
        let (value, slope, bend) = function(x);
        if !value.is_finite() || !slope.is_finite() {
            return None;
        }
        if value <= 0.0 {
            low = x;
        } else {
            high = x;
        }
        let inverse = 1.0 / slope;
        let newton = value * inverse;
        let straight = 1.0 - 0.5 * newton * bend * inverse;
        // Far from the root the bend says nothing, and Newton's own step is the safer one.
        let step = x - if straight > 0.5 && straight < 2.0 {
            newton / straight
        } else {
            newton
        };
        let next = if step.is_finite() && step >= low && step <= high {
            step
        } else if high.is_finite() {
            0.5 * (low + high)
        } else {
            start + 2.0 * (x - start)
        };
        if (next - x).abs() <= tolerance * next.abs() {
            return Some(next);
        }
        x = next;
    }
    None
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Dekker's test functions as Brent used them have no printed roots at hand; these are
    /// identities: the root is put in by hand.
    #[test]
    fn finds_steep_flat_and_kinked_roots() {
        let functions: [fn(f64) -> f64; 4] = [
            |x| (x - 0.3).powi(9),
            |x| libm::exp(50.0 * (x - 0.3)) - 1.0,
            |x| if x < 0.3 { x - 0.3 } else { 100.0 * (x - 0.3) },
            |x| libm::atan(1e3 * (x - 0.3)),
        ];
        for function in functions {
            let mut count = 0;
            let root = bracketed(
                |x| {
                    count += 1;
                    function(x)
                },
                -1.0,
                4.0,
                1e-9,
                100,
            )
            .unwrap();
            assert!((root - 0.3).abs() <= 1e-8, "{root}");
            assert!(count < 60, "{count}");
        }
    }

    #[test]
    fn refuses_what_it_cannot_do() {
        assert_eq!(bracketed(|_| f64::NAN, 0.0, 1.0, 1e-9, 9), None);
        assert_eq!(bracketed(|x| x - 0.3, 0.0, 1.0, 1e-12, 1), None);
        assert_eq!(rising(|_| (-1.0, 0.0, 0.0), 0.0, 1.0, 1e-9, 20), None);
    }

    proptest! {
        #[test]
        fn both_solvers_return_the_root(root in 1e-6..1e3_f64, power in 1..4_i32) {
            let f = |x: f64| x.powi(power) - root.powi(power);
            let slope = |x: f64| f64::from(power) * x.powi(power - 1);
            let a = bracketed(f, 0.0, 2e3, root * 1e-10, 200);
            let bend = |x: f64| f64::from(power * (power - 1)) * x.powi(power - 2);
            let b = rising(|x| (f(x), slope(x), bend(x)), 0.0, 1.0, 1e-6, 200);
            prop_assert!(a.is_some_and(|x| (x / root - 1.0).abs() < 1e-9));
            prop_assert!(b.is_some_and(|x| (x / root - 1.0).abs() < 1e-14));
        }
    }
}
