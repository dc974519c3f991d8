//! JSON as text, for what the page writes: there the program that writes any value would cost more than
//! all that it would write.

/// A text in quotation marks (RFC 8259, section 7).
///
/// # Example
/// ```
/// assert_eq!(pulsewright_sheet::text::json::quoted("a \"b\"\n"), r#""a \"b\"\n""#);
/// assert_eq!(pulsewright_sheet::text::json::quoted("\u{1}\\"), r#""\u0001\\""#);
/// ```
#[must_use]
pub fn quoted(text: &str) -> String {
    const HEX: &[u8; 16] = b"0123456789abcdef";
    let mut out = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            '\0'..='\u{1f}' => {
                let code = letter as usize;
                out.push_str("\\u00");
                out.push(char::from(HEX[code >> 4]));
                out.push(char::from(HEX[code & 15]));
            }
            letter => out.push(letter),
        }
    }
    out.push('"');
    out
}

/// An object of members whose values are JSON already, indented by `depth` steps.
///
/// # Example
/// ```
/// use pulsewright_sheet::text::json::object;
/// assert_eq!(object(&[("a", "1".into())], 0), "{\n  \"a\": 1\n}");
/// assert_eq!(object(&[], 3), "{}");
/// ```
#[must_use]
pub fn object(members: &[(&str, String)], depth: usize) -> String {
    if members.is_empty() {
        return "{}".into();
    }
    let end = ["\n", &"  ".repeat(depth)].concat();
    let between = [end.as_str(), "  "].concat();
    let lines: Vec<String> = members
        .iter()
        .map(|(name, value)| [between.as_str(), &quoted(name), ": ", value].concat())
        .collect();
    ["{", &lines.join(","), &end, "}"].concat()
}

/// A list of texts on one line.
///
/// # Example
/// ```
/// assert_eq!(pulsewright_sheet::text::json::texts(&["a", "b"]), r#"["a", "b"]"#);
/// ```
#[must_use]
pub fn texts(texts: &[&str]) -> String {
    let all: Vec<String> = texts.iter().map(|t| quoted(t)).collect();
    ["[", &all.join(", "), "]"].concat()
}
