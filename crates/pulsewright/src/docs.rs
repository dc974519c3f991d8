//! Numbers written in documentation, held against the computed ones.
//!
//! A number stands in an element that names what it is:
//! `<pulse-wright design="#pw1;…" show="value" of="heat.hold_time" unit="s" digits="2">12 s</pulse-wright>`.
//! `design` is a link, `#name` of a JSON block or of another such element in the same file, or a
//! `.card.json` file beside it. Markdown's code and HTML's comments are left alone.

use pulsewright_sheet::design::Design;
use pulsewright_sheet::eval::Eval;
use pulsewright_sheet::written::{self, Asked};
use std::collections::HashMap;
use std::ops::Range;
use std::path::Path;

use crate::input;

/// What came out of some files.
#[derive(Debug, Default)]
pub struct Outcome {
    /// How many numbers were looked at.
    pub looked_at: usize,
    /// What differs, a line each: file, line of the file, both numbers.
    pub differing: Vec<String>,
}

/// Holds the numbers of `files` against the computed ones; writes those that differ where `write`.
///
/// # Errors
/// A file, a design or an element that cannot be read, with file and line.
pub fn run(files: &[String], write: bool) -> Result<Outcome, String> {
    let mut outcome = Outcome::default();
    let mut changed = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(file).map_err(|e| format!("{file}: {e}"))?;
        let page = Page::read(file, &text)?;
        let mut new = text.clone();
        // From the end, so that the places before stay where they are.
        let mut lines = Vec::new();
        for element in page.elements.iter().rev() {
            if element.attribute("show") != Some("value") {
                continue;
            }
            outcome.looked_at += 1;
            if let Some((line, computed)) = page.differing(element)? {
                lines.push(line);
                new.replace_range(element.content.clone(), &escaped(&computed));
            }
        }
        lines.reverse();
        if !lines.is_empty() {
            changed.push((file, new));
        }
        outcome.differing.extend(lines);
    }
    if write {
        // Only when every file was read: all or none.
        for (file, new) in changed {
            std::fs::write(file, new).map_err(|e| format!("{file}: {e}"))?;
        }
    }
    Ok(outcome)
}

/// An element of the page.
struct Element {
    /// Line, from 1.
    line: usize,
    attributes: Vec<(String, String)>,
    /// Where its content stands in the text.
    content: Range<usize>,
}

impl Element {
    fn attribute(&self, name: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(known, _)| known == name);
        found.map(|(_, value)| value.as_str())
    }
}

struct Page<'a> {
    file: &'a str,
    text: &'a str,
    elements: Vec<Element>,
    /// JSON blocks by their id.
    blocks: HashMap<String, Range<usize>>,
}

impl<'a> Page<'a> {
    fn read(file: &'a str, text: &'a str) -> Result<Self, String> {
        let hidden = hidden(file, text);
        let is_hidden = |at: usize| hidden.iter().any(|range| range.contains(&at));
        let (mut elements, mut blocks) = (Vec::new(), HashMap::new());
        for (name, close) in [("<pulse-wright", "</pulse-wright"), ("<script", "</script")] {
            let mut from = 0;
            while let Some(at) = find(text, name, from) {
                from = at + name.len();
                let begins = text[from..].starts_with(|c: char| c.is_whitespace() || c == '>');
                if !begins || is_hidden(at) {
                    continue;
                }
                let line = line_of(text, at);
                let (attributes, content) = attributes(text, from)
                    .ok_or_else(|| format!("{file}:{line}: this {name}> has no end"))?;
                let end = find(text, close, content)
                    .ok_or_else(|| format!("{file}:{line}: {close}> is missing"))?;
                from = end;
                let element = Element {
                    line,
                    attributes,
                    content: content..end,
                };
                if name == "<pulse-wright" {
                    elements.push(element);
                } else if let (Some("application/json"), Some(id)) =
                    (element.attribute("type"), element.attribute("id"))
                {
                    let _ = blocks.insert(id.to_string(), element.content.clone());
                }
            }
        }
        Ok(Self {
            file,
            text,
            elements,
            blocks,
        })
    }

    /// The line to report and the number that should stand there, where it is another one.
    fn differing(&self, element: &Element) -> Result<Option<(String, String)>, String> {
        let place = format!("{}:{}", self.file, element.line);
        let fail = |message: String| format!("{place}: {message}");
        let of = element
            .attribute("of")
            .ok_or_else(|| fail("no of=\"…\": say which result".into()))?;
        let digits = match element.attribute("digits") {
            None => 0,
            Some(digits) => match digits.parse() {
                Ok(number @ 1..=15) => number,
                _ => return Err(fail(format!("digits=\"{digits}\": a number from 1 to 15"))),
            },
        };
        let content = &self.text[element.content.clone()];
        if content.contains('<') {
            return Err(fail(format!(
                "only text can stand between the tags, not “{content}”"
            )));
        }
        let asked = Asked {
            of,
            unit: element.attribute("unit").unwrap_or(""),
            digits,
        };
        let design = self.design(element, 0).map_err(fail)?;
        let c = Eval::new(&design).simulating();
        let computed = written::text(&c, &asked).map_err(|why| fail(format!("{of}: {why}")))?;
        let written = unescaped(content);
        if written::agrees(&c, &asked, &written) {
            return Ok(None);
        }
        let written = written.trim();
        // The decimal mark of the page stays.
        let comma = written::with_comma(&computed);
        let uses_comma = written.contains(',') && !written.contains('.');
        let computed = if uses_comma { comma } else { computed };
        let line = format!("{place}: {of}: written “{written}”, computed “{computed}”");
        Ok(Some((line, computed)))
    }

    fn design(&self, element: &Element, depth: usize) -> Result<Design, String> {
        let from = element
            .attribute("design")
            .ok_or("no design=\"…\": a link, #name or a .card.json file")?;
        if from.contains("#pw") || from.contains("%23pw") {
            return input::design(from);
        }
        if let Some(name) = from.strip_prefix('#') {
            if let Some(block) = self.blocks.get(name) {
                return input::card_text(from, &self.text[block.clone()]);
            }
            let other = self
                .elements
                .iter()
                .find(|other| other.attribute("id") == Some(name));
            return match other {
                Some(other) if depth < 8 => self.design(other, depth + 1),
                Some(_) => Err(format!("design=\"{from}\" leads in a circle")),
                None => Err(format!("design=\"{from}\": nothing here has this id")),
            };
        }
        let beside = Path::new(self.file).with_file_name(from);
        input::design(&beside.to_string_lossy())
    }
}

/// Where `text` is a comment or Markdown's code.
fn hidden(file: &str, text: &str) -> Vec<Range<usize>> {
    let mut ranges = Vec::new();
    let mut from = 0;
    while let Some(at) = find(text, "<!--", from) {
        from = find(text, "-->", at).map_or(text.len(), |end| end + 3);
        ranges.push(at..from);
    }
    let name = file.to_ascii_lowercase();
    if !name.ends_with(".md") && !name.ends_with(".markdown") {
        return ranges;
    }
    let mut fence: Option<(char, usize, usize)> = None;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let inner = line.trim();
        let mark = inner.chars().next().filter(|c| matches!(c, '`' | '~'));
        let length = mark.map_or(0, |mark| inner.chars().take_while(|c| *c == mark).count());
        match (fence, mark) {
            (Some((open, least, begin)), Some(mark))
                if mark == open && length >= least && inner.len() == length =>
            {
                ranges.push(begin..at + line.len());
                fence = None;
            }
            (None, Some(mark)) if length >= 3 => fence = Some((mark, length, at)),
            (None, _) => spans(line, at, &mut ranges),
            _ => {}
        }
        at += line.len();
    }
    if let Some((_, _, begin)) = fence {
        ranges.push(begin..text.len());
    }
    ranges
}

/// Code between backticks in one line.
fn spans(line: &str, at: usize, ranges: &mut Vec<Range<usize>>) {
    let mut open: Option<(usize, usize)> = None;
    let bytes = line.as_bytes();
    let mut i = 0;
    while i < bytes.len() {
        if bytes[i] != b'`' {
            i += 1;
            continue;
        }
        let run = bytes[i..].iter().take_while(|b| **b == b'`').count();
        match open {
            Some((begin, length)) if length == run => {
                ranges.push(at + begin..at + i + run);
                open = None;
            }
            None => open = Some((i, run)),
            Some(_) => {}
        }
        i += run;
    }
}

/// The attributes from `at`, and where the content begins.
fn attributes(text: &str, at: usize) -> Option<(Vec<(String, String)>, usize)> {
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

/// Where `wanted` stands from `from` on, whatever the case of its letters.
fn find(text: &str, wanted: &str, from: usize) -> Option<usize> {
    let (text, wanted) = (text.as_bytes(), wanted.as_bytes());
    let last = text.len().checked_sub(wanted.len())?;
    (from..=last).find(|&at| text[at..at + wanted.len()].eq_ignore_ascii_case(wanted))
}

fn line_of(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
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

fn unescaped(text: &str) -> String {
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

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;")
}
