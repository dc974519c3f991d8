//! An element of a page: its attributes, its content, and the references in them.

use std::ops::Range;

use crate::input::nearest;

/// An element of the page.
pub struct Element {
    /// Line, from 1.
    pub line: usize,
    /// Where it begins in the text.
    pub begin: usize,
    pub attributes: Vec<(String, String)>,
    /// Where its content stands in the text.
    pub content: Range<usize>,
}

impl Element {
    /// The value of an attribute, where it is there.
    pub fn attribute(&self, name: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(known, _)| known == name);
        found.map(|(_, value)| value.as_str())
    }
}

/// Attributes that the element knows.
const OWN: [&str; 6] = ["design", "show", "of", "unit", "digits", "page"];

/// Attributes that any element of HTML takes, and those that the element sets by itself.
const GLOBAL: [&str; 15] = [
    "id",
    "class",
    "style",
    "lang",
    "dir",
    "title",
    "hidden",
    "slot",
    "part",
    "role",
    "tabindex",
    "translate",
    "inert",
    "state",
    "assumed",
];

/// What is wrong with the names of attributes, a line each.
pub fn unknown(element: &Element) -> Vec<String> {
    let free = |name: &str| ["data-", "aria-", "on"].iter().any(|f| name.starts_with(f));
    let known = |name: &str| OWN.contains(&name) || GLOBAL.contains(&name) || free(name);
    let names = element.attributes.iter().map(|(name, _)| name.as_str());
    names
        .filter(|name| !known(name))
        .map(|name| {
            // Every short name is near to any other.
            let long = OWN.into_iter().filter(|own| own.len() > 3);
            match nearest(name, long) {
                Some(near) => format!("{name}=\"…\" is no attribute of it; did you mean {near}?"),
                None => {
                    let all = OWN.join(", ");
                    format!("{name}=\"…\" is no attribute of it; it knows {all}")
                }
            }
        })
        .collect()
}

/// The attributes from `at`, and where the content begins.
pub fn attributes(text: &str, at: usize) -> Option<(Vec<(String, String)>, usize)> {
    let mut found: Vec<(String, String)> = Vec::new();
    let mut at = at;
    loop {
        let rest = text.get(at..)?;
        let blanks = rest.len() - rest.trim_start().len();
        at += blanks;
        let rest = rest.trim_start();
        if rest.starts_with('>') {
            return Some((found, at + 1));
        }
        let length = rest.find(|c: char| c.is_whitespace() || c == '=' || c == '>')?;
        let name = rest.get(..length)?.to_ascii_lowercase();
        at += length;
        let behind = rest.get(length..)?;
        let Some(value) = behind.trim_start().strip_prefix('=') else {
            if length == 0 {
                at += 1;
            } else {
                found.push((name, String::new()));
            }
            continue;
        };
        at += behind.len() - value.len();
        let trimmed = value.trim_start();
        at += value.len() - trimmed.len();
        let quote = trimmed.chars().next()?;
        let (value, used) = if matches!(quote, '"' | '\'') {
            let end = trimmed.get(1..)?.find(quote)?;
            (trimmed.get(1..=end)?, end + 2)
        } else {
            let end = trimmed.find(|c: char| c.is_whitespace() || c == '>')?;
            (trimmed.get(..end)?, end)
        };
        found.push((name, unescaped(value)));
        at += used;
    }
}

/// The character references that numbers and links are written with.
const NAMED: [(&str, &str); 12] = [
    ("&nbsp;", "\u{a0}"),
    ("&thinsp;", "\u{2009}"),
    ("&deg;", "°"),
    ("&micro;", "µ"),
    ("&Omega;", "Ω"),
    ("&ohm;", "Ω"),
    ("&middot;", "·"),
    ("&minus;", "\u{2212}"),
    ("&lt;", "<"),
    ("&gt;", ">"),
    ("&quot;", "\""),
    // Last, so that what it makes is not read again.
    ("&amp;", "&"),
];

/// `text` with its character references replaced by what they stand for.
pub fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find('&') {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        let end = rest.find(';').map(|end| end + 1);
        let numbered = end.and_then(|end| {
            let number = rest.get(2..end - 1).filter(|_| rest.starts_with("&#"))?;
            let code = match number.strip_prefix(['x', 'X']) {
                Some(hex) => u32::from_str_radix(hex, 16),
                None => number.parse(),
            };
            Some((end, char::from_u32(code.ok()?)?.to_string()))
        });
        let named = NAMED.iter().find(|(name, _)| rest.starts_with(name));
        let (used, letter) = match (numbered, named) {
            (Some(numbered), _) => numbered,
            (None, Some((name, letter))) => (name.len(), (*letter).to_string()),
            (None, None) => (1, "&".to_string()),
        };
        out.push_str(&letter);
        rest = &rest[used..];
    }
    out.push_str(rest);
    out
}

/// `text` as it can stand between tags.
pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;")
}
