//! Numbers as people type them, and numbers as the card shows them.

/// A number as read: its value and its text with a decimal point and nothing else.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    /// The value, in whatever unit follows it.
    pub value: f64,
    /// Canonical text: sign, digits, a point, an exponent; safe in a link and in JSON.
    pub text: String,
}

/// Why a text is not a number.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum NumberError {
    /// Nothing there.
    Empty,
    /// It does not begin with a number.
    Words(String),
    /// One comma or point before exactly three digits: two readings.
    Thousands {
        /// As typed.
        typed: String,
        /// Read with a decimal mark.
        decimal: String,
        /// Read with a thousands mark.
        grouped: String,
    },
    /// Beyond what a double can hold.
    Size(String),
}

impl NumberError {
    /// The message, without the field's name.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::Empty => "nothing entered".into(),
            Self::Words(text) => ["“", text, "” does not begin with a number"].concat(),
            Self::Thousands {
                typed,
                decimal,
                grouped,
            } => [
                typed, " can be ", decimal, " or ", grouped, ": write ", decimal, "0 or ", grouped,
            ]
            .concat(),
            Self::Size(text) => [text, " is too large or too small for any machine"].concat(),
        }
    }
}

errors_in_words!(NumberError);

/// How a lone mark before three digits is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DecimalMark {
    /// In a file or a link a point is decimal, always.
    Stored,
    /// Typed by a person: a comma or a point may be a thousands mark.
    Typed,
}

const PREFIXES: [(char, i32); 9] = [
    ('R', 0),
    ('k', 3),
    ('K', 3),
    ('M', 6),
    ('m', -3),
    ('u', -6),
    ('µ', -6),
    ('μ', -6),
    ('n', -9),
];

fn is_blank(c: char) -> bool {
    c == ' ' || c == '\u{a0}' || c == '\u{2009}' || c == '\u{202f}' || c == '\t'
}

/// Splits `text` into the number that it begins with and the rest.
///
/// # Errors
/// [`NumberError`] when it does not begin with one or when it can be read in two ways.
///
/// # Example
/// ```
/// use pulsewright_sheet::text::number::{split, DecimalMark};
/// let (n, rest) = split("4,5 kgf·cm", DecimalMark::Typed).unwrap();
/// assert_eq!((n.value, n.text.as_str(), rest), (4.5, "4.5", "kgf·cm"));
/// assert_eq!(split("1k2", DecimalMark::Typed).unwrap().0.value, 1200.0);
/// assert_eq!(split("4R7", DecimalMark::Typed).unwrap().0.text, "4.7");
/// assert!(split("1,600", DecimalMark::Typed).is_err());
/// assert_eq!(split("1.600", DecimalMark::Stored).unwrap().0.value, 1.6);
/// ```
pub fn split(text: &str, marks: DecimalMark) -> Result<(Number, &str), NumberError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(NumberError::Empty);
    }
    if marks == DecimalMark::Typed
        && let Some(found) = fraction(text)
    {
        return Ok(found);
    }
    if marks == DecimalMark::Stored
        && let Some(found) = plain(text)
    {
        return Ok(found);
    }
    read(text, marks)
}

/// A number as links and files mostly carry it, without marks and blanks that could mean something else: read at once.
fn plain(text: &str) -> Option<(Number, &str)> {
    let bytes = text.as_bytes();
    let digits = |from: usize| {
        let behind = bytes.get(from..).unwrap_or_default();
        from + behind.iter().take_while(|b| b.is_ascii_digit()).count()
    };
    let start = usize::from(bytes.first() == Some(&b'-'));
    let mut end = digits(start);
    if end > start && bytes.get(end) == Some(&b'.') {
        let fraction = digits(end + 1);
        end = if fraction > end + 1 { fraction } else { start };
    }
    let ends = match bytes.get(end) {
        None | Some(b'%') => true,
        // Not an exponent, and no letter that stands for the mark.
        Some(unit) => {
            unit.is_ascii_alphabetic()
                && !matches!(unit, b'e' | b'E')
                && !bytes.get(end + 1).is_some_and(u8::is_ascii_digit)
        }
    };
    // So many digits are neither too large nor too small.
    if end == start || end > 20 || !ends {
        return None;
    }
    let (number, rest) = text.split_at_checked(end)?;
    Some((
        Number {
            value: number.parse().ok()?,
            text: number.into(),
        },
        rest,
    ))
}

/// A number in any spelling.
fn read(text: &str, marks: DecimalMark) -> Result<(Number, &str), NumberError> {
    let chars: Vec<(usize, char)> = text.char_indices().collect();
    let at = |i: usize| chars.get(i).map(|&(_, c)| c);
    let mut i = 0;
    let mut out = String::new();
    match at(0) {
        Some('-' | '\u{2212}') => {
            out.push('-');
            i = 1;
        }
        Some('+') => i = 1,
        _ => {}
    }
    while at(i).is_some_and(is_blank) {
        i += 1;
    }
    let body_start = i;
    let mut body = String::new(); // digits and marks, blanks between digits dropped
    // Exponent of a letter that stands for the mark, as in 4R7.
    let mut code: Option<i32> = None;
    loop {
        match at(i) {
            Some(c) if c.is_ascii_digit() => body.push(c),
            Some(c @ ('.' | ','))
                if code.is_none()
                    && (at(i + 1).is_some_and(|d| d.is_ascii_digit()) || body_is_digits(&body)) =>
            {
                // A list "35:12,37:13" never comes here: stage lists have their own reader.
                if !at(i + 1).is_some_and(|d| d.is_ascii_digit()) && c == ',' {
                    break;
                }
                // "5.N" would be odd; a mark with no digit behind it ends "5." only before blank or end.
                if !at(i + 1).is_some_and(|d| d.is_ascii_digit())
                    && at(i + 1).is_some_and(|d| !is_blank(d))
                {
                    break;
                }
                body.push(c);
            }
            Some('\'') if at(i + 1).is_some_and(|d| d.is_ascii_digit()) => {}
            Some(c) if is_blank(c) => {
                let mut j = i;
                while at(j).is_some_and(is_blank) {
                    j += 1;
                }
                // "0.005 1/K": the 1 belongs to the unit.
                let per = at(j) == Some('1') && at(j + 1) == Some('/');
                if !body.is_empty() && !per && at(j).is_some_and(|d| d.is_ascii_digit()) {
                    i = j;
                    continue;
                }
                break;
            }
            Some(c)
                if code.is_none()
                    && !body.contains(['.', ','])
                    && !body.is_empty()
                    && at(i + 1).is_some_and(|d| d.is_ascii_digit()) =>
            {
                match PREFIXES.iter().find(|(p, _)| *p == c) {
                    Some(&(_, exponent)) => {
                        code = Some(exponent);
                        body.push('.');
                    }
                    None => break,
                }
            }
            _ => break,
        }
        i += 1;
    }
    if !body.contains(|c: char| c.is_ascii_digit()) {
        return Err(NumberError::Words(text.chars().take(40).collect()));
    }
    let typed_end = chars.get(i).map_or(text.len(), |&(b, _)| b);
    let typed_start = chars.get(body_start).map_or(0, |&(b, _)| b);
    let typed = text.get(typed_start..typed_end).unwrap_or("").trim();
    let plain = if code.is_some() {
        decimal_reading(&body)
    } else {
        marks_to_point(&body, typed, marks)?
    };
    out.push_str(&plain);
    // Exponent: e or E, only with digits behind it.
    if code.is_none() && matches!(at(i), Some('e' | 'E')) {
        let mut j = i + 1;
        let mut exponent = String::new();
        match at(j) {
            Some('-' | '\u{2212}') => {
                exponent.push('-');
                j += 1;
            }
            Some('+') => j += 1,
            _ => {}
        }
        let digits = j;
        while let Some(c) = at(j).filter(char::is_ascii_digit) {
            exponent.push(c);
            j += 1;
        }
        if j > digits && exponent.len() < 6 {
            out.push('e');
            out.push_str(&exponent);
            i = j;
        }
    }
    if let Some(exponent) = code.filter(|&exponent| exponent != 0) {
        out.push('e');
        push_int(&mut out, i64::from(exponent));
    }
    let value: f64 = out
        .parse()
        .map_err(|_| NumberError::Words(text.chars().take(40).collect()))?;
    // What is too small to be held is not nothing.
    let lost = value == 0.0
        && out
            .split(['e', 'E'])
            .next()
            .is_some_and(|digits| digits.contains(|c: char| c.is_ascii_digit() && c != '0'));
    if !value.is_finite() || lost {
        return Err(NumberError::Size(out));
    }
    let rest = chars
        .get(i)
        .map_or("", |&(b, _)| text.get(b..).unwrap_or(""))
        .trim();
    Ok((Number { value, text: out }, rest))
}

/// Fractions with a sign of their own.
const VULGAR: [(char, f64); 9] = [
    ('½', 0.5),
    ('¼', 0.25),
    ('¾', 0.75),
    ('⅓', 1.0 / 3.0),
    ('⅔', 2.0 / 3.0),
    ('⅛', 0.125),
    ('⅜', 0.375),
    ('⅝', 0.625),
    ('⅞', 0.875),
];

/// A number with a common fraction, as on a ruler: `1/2`, `4 3/4`, `½`, `4½`.
fn fraction(text: &str) -> Option<(Number, &str)> {
    let (negative, body) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(body) => (true, body.trim_start()),
        None => (false, text),
    };
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count().min(9);
    let head = digits(body);
    let (first, behind) = body.split_at(head);
    let whole: f64 = if first.is_empty() {
        0.0
    } else {
        first.parse().ok()?
    };
    let spaced = behind.trim_start_matches(is_blank);
    let vulgar = spaced
        .chars()
        .next()
        .and_then(|c| VULGAR.iter().find(|(v, _)| *v == c));
    let over = |above: &str, rest: &str| -> Option<(f64, usize)> {
        let below = digits(rest);
        let numbers: (f64, f64) = (above.parse().ok()?, rest.get(..below)?.parse().ok()?);
        let ends = !rest[below..]
            .starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '/'));
        (numbers.1 > 0.0 && ends).then_some((numbers.0 / numbers.1, below))
    };
    let (value, rest) = if let Some((sign, share)) = vulgar {
        (whole + share, spaced.get(sign.len_utf8()..)?)
    } else if let Some(rest) = behind.strip_prefix('/') {
        let (share, used) = over(first, rest)?;
        (share, rest.get(used..)?)
    } else if !first.is_empty() && spaced.len() < behind.len() {
        let above = digits(spaced);
        let rest = spaced.get(above..)?.strip_prefix('/')?;
        let (share, used) = over(spaced.get(..above)?, rest)?;
        (whole + share, rest.get(used..)?)
    } else {
        return None;
    };
    let value = if negative { -value } else { value };
    let text = self::text(value, 12);
    // What is kept of it is its text: the value is that of the text.
    let value = text.parse().unwrap_or(value);
    Some((Number { value, text }, rest.trim()))
}

fn body_is_digits(body: &str) -> bool {
    !body.is_empty() && body.bytes().all(|b| b.is_ascii_digit())
}

/// `body` with its last mark as the decimal point.
fn decimal_reading(body: &str) -> String {
    let digits = |part: &str| -> String { part.chars().filter(char::is_ascii_digit).collect() };
    let Some(last) = body.rfind([',', '.']) else {
        return digits(body);
    };
    let head = digits(&body[..last]);
    let head = if head.is_empty() { "0" } else { &head };
    let tail = &body[last + 1..];
    if tail.is_empty() {
        head.into()
    } else {
        [head, ".", tail].concat()
    }
}

/// Settles what the marks in `body` are; gives digits with at most one point.
fn marks_to_point(body: &str, typed: &str, marks: DecimalMark) -> Result<String, NumberError> {
    let commas = body.matches(',').count();
    let points = body.matches('.').count();
    let grouped: String = body.chars().filter(char::is_ascii_digit).collect();
    let Some(last) = body.rfind([',', '.']) else {
        return Ok(grouped);
    };
    let decimal = decimal_reading(body);
    let thousands = |mark: char| {
        let mut parts = body.split(mark);
        let first = parts.next().unwrap_or("");
        !first.is_empty()
            && first.len() <= 3
            && !first.starts_with('0')
            && parts.all(|p| p.len() == 3)
    };
    match (commas, points) {
        (1, 0) | (0, 1) => {
            let head = &body[..last];
            let can_group = body.len() - last - 1 == 3
                && !head.is_empty()
                && head.len() <= 3
                && !head.starts_with('0');
            let by_rule = points == 1 && marks == DecimalMark::Stored;
            if can_group && !by_rule {
                return Err(NumberError::Thousands {
                    typed: typed.into(),
                    decimal,
                    grouped,
                });
            }
            Ok(decimal)
        }
        (n, 0) if n > 1 && thousands(',') => Ok(grouped),
        (0, n) if n > 1 && thousands('.') => Ok(grouped),
        (c, p) if (c == 1 || p == 1) && c > 0 && p > 0 => {
            let inner = if body.as_bytes().get(last) == Some(&b'.') {
                ','
            } else {
                '.'
            };
            let head = &body[..last];
            let mut parts = head.split(inner);
            let first = parts.next().unwrap_or("");
            if !first.is_empty() && first.len() <= 3 && parts.all(|p| p.len() == 3) {
                Ok(decimal)
            } else {
                Err(NumberError::Words(typed.into()))
            }
        }
        _ => Err(NumberError::Words(typed.into())),
    }
}

/// Appends a whole number.
pub fn push_int(out: &mut String, value: i64) {
    let mut digits = [0u8; 20];
    let mut n = value.unsigned_abs();
    let mut at = digits.len();
    loop {
        at -= 1;
        digits[at] = b'0' + u8::try_from(n % 10).unwrap_or(0);
        n /= 10;
        if n == 0 {
            break;
        }
    }
    if value < 0 {
        out.push('-');
    }
    for &d in &digits[at..] {
        out.push(char::from(d));
    }
}

/// Whole number as text.
#[must_use]
pub fn int(value: i64) -> String {
    let mut out = String::new();
    push_int(&mut out, value);
    out
}

fn power_of_ten(exponent: i32) -> f64 {
    10_f64.powi(exponent)
}

/// `value` rounded to `digits` significant digits, 1 to 15: decimal digits and the exponent of the
/// first. `None` for zero and for what is not finite.
fn significant(value: f64, digits: i32) -> Option<(u64, i32)> {
    let x = value.abs();
    if x == 0.0 || !x.is_finite() {
        return None;
    }
    let mut exponent = libm::floor(libm::log10(x)) as i32;
    let scaled = |e: i32| {
        let shift = digits - 1 - e;
        // Two factors, so that neither leaves the range of a double.
        if shift > 290 {
            x * power_of_ten(290) * power_of_ten(shift - 290)
        } else if shift >= 0 {
            x * power_of_ten(shift)
        } else {
            x / power_of_ten(-shift)
        }
    };
    let mut n = libm::round(scaled(exponent));
    if n >= power_of_ten(digits) {
        exponent += 1;
        n = libm::round(scaled(exponent));
    } else if n < power_of_ten(digits - 1) {
        exponent -= 1;
        n = libm::round(scaled(exponent));
    }
    Some((n as u64, exponent))
}

/// `value` to `digits` significant digits, without trailing zeros behind the point; very large and
/// very small values with a power of ten (`1.2e-9`).
///
/// # Example
/// ```
/// use pulsewright_sheet::text::number::text;
/// assert_eq!(text(1490.769_23, 7), "1490.769");
/// assert_eq!(text(0.045, 4), "0.045");
/// assert_eq!(text(-12_345.0, 3), "-12300");
/// assert_eq!(text(1.25e-12, 3), "1.25e-12");
/// assert_eq!(text(0.0, 3), "0");
/// ```
#[must_use]
pub fn text(value: f64, digits: i32) -> String {
    let digits = digits.clamp(1, 15);
    let Some((n, exponent)) = significant(value, digits) else {
        return "0".into();
    };
    let mut figures = int(i64::try_from(n).unwrap_or(i64::MAX));
    let mut out = String::new();
    if value < 0.0 {
        out.push('-');
    }
    if (-5..=8).contains(&exponent) {
        if exponent < 0 {
            out.push_str("0.");
            for _ in 0..(-exponent - 1) {
                out.push('0');
            }
            out.push_str(figures.trim_end_matches('0'));
            return out;
        }
        let whole = usize::try_from(exponent).unwrap_or(0) + 1;
        while figures.len() < whole {
            figures.push('0');
        }
        let (head, tail) = figures.split_at(whole);
        out.push_str(head);
        let tail = tail.trim_end_matches('0');
        if !tail.is_empty() {
            out.push('.');
            out.push_str(tail);
        }
        return out;
    }
    let (head, tail) = figures.split_at(1);
    out.push_str(head);
    let tail = tail.trim_end_matches('0');
    if !tail.is_empty() {
        out.push('.');
        out.push_str(tail);
    }
    out.push('e');
    push_int(&mut out, i64::from(exponent));
    out
}

/// `value` with exactly `decimals` digits behind the point, rounded half away from zero.
///
/// # Example
/// ```
/// use pulsewright_sheet::text::number::fixed;
/// assert_eq!(fixed(1.0, 2), "1.00");
/// assert_eq!(fixed(-0.004, 2), "0.00");
/// ```
#[must_use]
pub fn fixed(value: f64, decimals: u32) -> String {
    let scale = power_of_ten(decimals as i32);
    let n = libm::round(value.abs() * scale);
    if !n.is_finite() || n >= 9e18 {
        return text(value, 9);
    }
    let mut figures = int(n as i64);
    while figures.len() <= decimals as usize {
        figures.insert(0, '0');
    }
    let point = figures.len() - decimals as usize;
    let mut out = String::new();
    if value < 0.0 && n > 0.0 {
        out.push('-');
    }
    out.push_str(&figures[..point]);
    if decimals > 0 {
        out.push('.');
        out.push_str(&figures[point..]);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(typed: &str) -> f64 {
        split(typed, DecimalMark::Typed).expect(typed).0.value
    }

    #[test]
    fn numbers_as_people_type_them() {
        for (typed, expected) in [
            ("4.5", 4.5),
            ("4,5", 4.5),
            ("+4,5", 4.5),
            ("\u{2212}3", -3.0),
            ("- 3", -3.0),
            ("1 600", 1600.0),
            ("1\u{202f}600,5", 1600.5),
            ("12,3456", 12.3456),
            ("0,120", 0.12),
            ("0.120", 0.12),
            (".5", 0.5),
            ("5.", 5.0),
            ("1,600.5", 1600.5),
            ("1.600,5", 1600.5),
            ("1,600,000", 1_600_000.0),
            ("1e3", 1000.0),
            ("2E-3", 0.002),
            ("1k2", 1200.0),
            ("4R7", 4.7),
            ("2u2", 2.2e-6),
            ("3m3", 3.3e-3),
            ("1M5", 1.5e6),
        ] {
            assert_eq!(value(typed), expected, "{typed}");
        }
    }

    #[test]
    fn what_is_read_at_once_is_read_the_same() {
        let heads = ["", "-", "+", "--"];
        let numbers = [
            "0",
            "7",
            "007",
            "1.5",
            "1.600",
            "0.25",
            ".5",
            "5.",
            "1.2.3",
            "1,5",
            "12 000",
            "1'000",
            "12345678901234567890.12",
            "0.0",
            "",
        ];
        let tails = [
            "", "V", " V", "%", "e3", "e", "E-2", "k2", "R7", "m", "mN.m", "g.cm2", "/K", " 1/K",
            "°C", "µF", ".", "m2", "x",
        ];
        let mut at_once = 0;
        for head in heads {
            for number in numbers {
                for tail in tails {
                    let text = [head, number, tail].concat();
                    let text = text.trim();
                    let Some(found) = plain(text) else { continue };
                    at_once += 1;
                    assert_eq!(read(text, DecimalMark::Stored), Ok(found), "{text}");
                }
            }
        }
        assert!(at_once > 60, "{at_once}");
    }

    #[test]
    fn fractions_of_a_ruler() {
        // Arithmetic, no source.
        for (typed, expected, behind) in [
            ("1/2 in", 0.5, "in"),
            ("½", 0.5, ""),
            ("4 3/4 in", 4.75, "in"),
            ("4½\"", 4.5, "\""),
            ("-1/8", -0.125, ""),
            ("30 1/min", 30.0, "1/min"),
            ("0.005 1/K", 0.005, "1/K"),
        ] {
            let (number, rest) = split(typed, DecimalMark::Typed).expect(typed);
            assert_eq!((number.value, rest), (expected, behind), "{typed}");
        }
        // Links carry no fraction of this kind.
        assert_eq!(split("35/12", DecimalMark::Stored).expect("35").1, "/12");
        assert!(
            split("1/0", DecimalMark::Typed).is_ok_and(|(n, rest)| n.value == 1.0 && rest == "/0")
        );
    }

    #[test]
    fn two_readings_are_refused_and_named() {
        let refused = split("1,600", DecimalMark::Typed).expect_err("ambiguous");
        assert_eq!(
            refused.message(),
            "1,600 can be 1.600 or 1600: write 1.6000 or 1600"
        );
        assert!(split("1.600", DecimalMark::Typed).is_err());
        assert!(split("1,600", DecimalMark::Stored).is_err());
        assert!(split("1234,567", DecimalMark::Typed).is_ok());
    }

    #[test]
    fn what_is_no_number_is_said() {
        for typed in ["", "  ", "volts", "-", ".", "1e999", "e5"] {
            assert!(split(typed, DecimalMark::Typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn units_stay_behind() {
        assert_eq!(split("5e", DecimalMark::Typed).expect("5").1, "e");
        assert_eq!(split("25kHz", DecimalMark::Typed).expect("25").1, "kHz");
        assert_eq!(split("35 AWG", DecimalMark::Typed).expect("35").1, "AWG");
        assert_eq!(split("5.N", DecimalMark::Typed).expect("5").1, ".N");
        let (number, rest) = split("-0.005 1/K", DecimalMark::Typed).expect("per kelvin");
        assert_eq!((number.value, rest), (-0.005, "1/K"));
    }

    #[test]
    fn shown_numbers_survive_reading() {
        let mut x = 1.234_567e-300;
        while x < 1e300 {
            let back: f64 = text(x, 12).parse().expect("number");
            assert!((back / x - 1.0).abs() < 1e-11, "{x:e}");
            x *= 77.7;
        }
    }
}
