//! Figures as print sets them: a minus sign, digits in groups.

use pulsewright_sheet::output::verdict;
use pulsewright_sheet::text::number;

use crate::state::evaluated::Evaluated;

/// A narrow blank that does not break.
const GAP: char = '\u{202f}';

/// A space at which no line ends.
const HELD: char = '\u{a0}';

/// The units, of those without a sign of their own, that stand behind numbers.
const UNITS: [&str; 26] = [
    "mm", "m", "g", "kg", "s", "ms", "min", "h", "V", "mV", "A", "mA", "N", "W", "mW", "J", "mJ",
    "kJ", "Hz", "kHz", "K", "mT", "nF", "mH", "AWG", "r/min",
];

/// Whether `text` begins with a unit.
fn begins_with_a_unit(text: &str) -> bool {
    let end = text.find([' ', ',', ';', ':', ')', '.']);
    let word = text.get(..end.unwrap_or(text.len())).unwrap_or("");
    UNITS.contains(&word) || word.contains(['·', '°', 'µ', 'Ω', '%'])
}

/// `text` with a real minus before its numbers, five or more digits in groups of three, and each number on the line of
/// its unit and of its ≥.
pub fn tidy(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let mut last = ' ';
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
        // Part numbers, ids and what stands behind a decimal mark are left as they are.
        let begins = !last.is_alphanumeric() && !matches!(last, '.' | ',' | '_' | '#');
        if digits > 0 {
            let (figure, behind) = rest.split_at(digits);
            // Nor is the number of a standard a figure: ISO 13732-1.
            let part = behind.strip_prefix('-');
            let named = part.is_some_and(|part| part.starts_with(|d: char| d.is_ascii_digit()));
            if begins && digits >= 5 && !named {
                for (at, digit) in figure.chars().enumerate() {
                    if at > 0 && (digits - at).is_multiple_of(3) {
                        out.push(GAP);
                    }
                    out.push(digit);
                }
            } else {
                out.push_str(figure);
            }
            last = '0';
            rest = behind;
            continue;
        }
        let number_behind = rest
            .get(1..)
            .is_some_and(|behind| behind.starts_with(|d: char| d.is_ascii_digit()));
        if c == '-' && number_behind && matches!(last, ' ' | '(' | '\u{a0}' | '±') {
            out.push('\u{2212}');
        } else if c == ' '
            && (matches!(last, '≥' | '≤')
                || last == '0' && begins_with_a_unit(rest.get(1..).unwrap_or("")))
        {
            out.push(HELD);
        } else {
            out.push(c);
        }
        last = c;
        rest = rest.get(c.len_utf8()..).unwrap_or("");
    }
    out
}

/// The verdict in a sentence.
pub fn headline(w: &Evaluated) -> String {
    tidy(&verdict::sentence(&w.eval, &w.verdict))
}

/// A count as text.
pub fn count(n: usize) -> String {
    number::int(i64::try_from(n).unwrap_or(i64::MAX))
}

#[cfg(test)]
mod tests {
    use super::tidy;

    #[test]
    fn digits_are_grouped_and_minus_is_minus() {
        assert_eq!(
            tidy("-30° and 2759733"),
            "\u{2212}30° and 2\u{202f}759\u{202f}733"
        );
        assert_eq!(tidy("1490.769231"), "1490.769231");
        assert_eq!(
            tidy("step-direction, 4560 counts"),
            "step-direction, 4560 counts"
        );
        assert_eq!(tidy("ISO 13732-1"), "ISO 13732-1");
        assert_eq!(
            tidy("0.7 mm, 2 mN·m for 3 s. At 4 of 7"),
            "0.7\u{a0}mm, 2\u{a0}mN·m for 3\u{a0}s. At 4 of 7"
        );
        assert_eq!(
            tidy("stall torque ≥ 20 kgf·cm"),
            "stall torque ≥\u{a0}20\u{a0}kgf·cm"
        );
    }
}
