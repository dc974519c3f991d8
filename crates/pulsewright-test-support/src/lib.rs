//! Comparing a computed number with one printed in a book, a standard or a data sheet.

/// True when `value`, rounded to the digits that `text` prints, is the number that it prints:
/// the difference is at most half a unit of the last printed digit (and a hair for binary
/// rounding of a tie).
///
/// # Example
/// ```
/// use pulsewright_test_support::agrees;
/// assert!(agrees(0.0980665, "0.0981"));
/// assert!(agrees(12_345.6, "1.235e4"));
/// assert!(!agrees(0.0986, "0.0981"));
/// assert!(!agrees(f64::NAN, "0.0981"));
/// ```
#[must_use]
pub fn agrees(value: f64, text: &str) -> bool {
    let (mantissa, exponent) = text.split_once(['e', 'E']).unwrap_or((text, "0"));
    let (Ok(expected), Ok(exponent)) = (text.parse::<f64>(), exponent.parse::<i32>()) else {
        return false;
    };
    let decimals = mantissa.split_once('.').map_or(0, |(_, tail)| tail.len());
    let Ok(decimals) = i32::try_from(decimals) else {
        return false;
    };
    let unit = 10_f64.powi(exponent - decimals);
    (value - expected).abs() <= unit * 0.500_000_1
}
