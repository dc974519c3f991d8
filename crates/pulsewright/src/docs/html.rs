//! What is no text of the page in HTML: comments, code, scripts, styles.

use std::ops::Range;

/// Elements whose content is code.
const CODE: [&str; 5] = ["pre", "code", "script", "style", "textarea"];

/// Where a comment or code stands in `text`; `is_markup` says where a `<` begins a tag at all.
pub fn hidden(text: &str, is_markup: impl Fn(usize) -> bool) -> Vec<Range<usize>> {
    let mut ranges = Vec::new();
    let mut from = 0;
    while let Some(at) = find(text, "<", from) {
        from = at + 1;
        if !is_markup(at) {
            continue;
        }
        let range = if text[at..].starts_with("<!--") {
            at..find(text, "-->", at).map_or(text.len(), |end| end + 3)
        } else if let Some(name) = CODE.iter().find(|name| begins(text, at, name)) {
            // Without what the tag itself says: the id of a JSON block is read.
            let content = find(text, ">", at).map_or(text.len(), |end| end + 1);
            content..find(text, &["</", name].concat(), content).unwrap_or(text.len())
        } else {
            continue;
        };
        from = range.end.max(from);
        ranges.push(range);
    }
    ranges
}

/// Whether the tag at `at` is one of this name.
pub fn begins(text: &str, at: usize, name: &str) -> bool {
    let Some(rest) = text.get(at + 1..) else {
        return false;
    };
    let named = rest
        .get(..name.len())
        .is_some_and(|begin| begin.eq_ignore_ascii_case(name));
    named && rest[name.len()..].starts_with(|c: char| c.is_whitespace() || matches!(c, '>' | '/'))
}

/// Where `wanted` stands from `from` on, whatever the case of its letters.
pub fn find(text: &str, wanted: &str, from: usize) -> Option<usize> {
    let (text, wanted) = (text.as_bytes(), wanted.as_bytes());
    let last = text.len().checked_sub(wanted.len())?;
    (from..=last).find(|&at| text[at..at + wanted.len()].eq_ignore_ascii_case(wanted))
}
