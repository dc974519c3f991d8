//! Labels within sentences.

/// A label without its capital, where its first word is no abbreviation and no letter that stands for itself.
///
/// # Example
/// ```
/// use pulsewright_sheet::text::label::in_sentence;
///
/// assert_eq!(in_sentence("Stall torque"), "stall torque");
/// assert_eq!(in_sentence("PWM frequency"), "PWM frequency");
/// assert_eq!(in_sentence("Q factor"), "Q factor");
/// assert_eq!(in_sentence("Kp (Q16.16)"), "Kp (Q16.16)");
/// assert_eq!(in_sentence("A blocked motor"), "a blocked motor");
/// ```
#[must_use]
pub fn in_sentence(label: &str) -> String {
    let mut out = String::from(label);
    let article = label.starts_with("A ");
    let gain = label.starts_with('K') && label.chars().nth(2).is_none_or(|c| !c.is_alphabetic());
    let small = article || (!gain && label.chars().nth(1).is_some_and(char::is_lowercase));
    if small && let Some(first) = out.get_mut(..1) {
        first.make_ascii_lowercase();
    }
    out
}
