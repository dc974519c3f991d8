//! What is code or a comment in AsciiDoc.
//!
//! Listing, literal, fenced and comment blocks by their delimiters; paragraphs that a style or an
//! indent makes so; comment lines; monospace and literal text in a line. What is passed through, by
//! `++++` or `+++`, is HTML.

use std::ops::Range;

use crate::docs::html;
use crate::docs::lines::{lines, paragraph_end, place};

/// Styles of blocks that are shown as they are written, or not at all.
const CODE: [&str; 4] = ["source", "listing", "literal", "comment"];

/// Where code or a comment stands in `text`.
pub fn hidden(text: &str) -> Vec<Range<usize>> {
    let lines = lines(text);
    let mut found = Found::default();
    let mut paragraph: Option<Range<usize>> = None;
    let (mut is_code, mut in_table) = (false, false);
    let mut at = 0;
    while let Some(line) = lines.get(at) {
        let begins = paragraph.is_none();
        if line.is_blank() {
            spans(text, paragraph.take(), &mut found);
            at += 1;
        } else if let Some(delimiter) = delimiter(line.text, is_code) {
            spans(text, paragraph.take(), &mut found);
            let rest = lines.get(at + 1..).unwrap_or_default();
            let inside = rest
                .iter()
                .take_while(|line| line.text != delimiter)
                .count();
            let end = (at + inside + 2).min(lines.len());
            let block = place(&lines, at..end);
            if delimiter.starts_with('+') && !is_code {
                found.passed.push(block);
            } else {
                found.hidden.push(block);
            }
            (is_code, at) = (false, end);
        } else if line.text.starts_with("//") && !line.text.starts_with("///") {
            found.hidden.push(line.place.clone());
            at += 1;
        } else if begins && line.text.starts_with('[') && line.text.ends_with(']') {
            is_code = has_code_style(line.text);
            at += 1;
        } else if begins && is_title(line.text) {
            at += 1;
        } else if line.text == "|===" {
            spans(text, paragraph.take(), &mut found);
            in_table = !in_table;
            at += 1;
        } else if begins && (is_code || (line.indent > 0 && !in_table && !is_list(line.text))) {
            let end = paragraph_end(&lines, at);
            found.hidden.push(place(&lines, at..end));
            (is_code, at) = (false, end);
        } else {
            let known = paragraph.get_or_insert_with(|| line.place.clone());
            known.end = line.place.end;
            at += 1;
        }
    }
    spans(text, paragraph, &mut found);
    let Found { mut hidden, passed } = found;
    let of_html = html::hidden(text, |at| passed.iter().any(|range| range.contains(&at)));
    hidden.extend(of_html);
    hidden
}

#[derive(Default)]
struct Found {
    hidden: Vec<Range<usize>>,
    /// What is HTML.
    passed: Vec<Range<usize>>,
}

/// The line that ends the block which this line begins, where it is one of those that matter here.
fn delimiter(text: &str, is_code: bool) -> Option<&str> {
    if text == "--" {
        return is_code.then_some(text);
    }
    let mark = text.chars().next()?;
    let length = text.chars().take_while(|letter| *letter == mark).count();
    match mark {
        '`' if length == 3 && !text[3..].contains('`') => Some("```"),
        '-' | '.' | '/' | '+' if length >= 4 && length == text.len() => Some(text),
        _ => None,
    }
}

/// Whether a line of attributes makes the next block one that is shown as it is written.
fn has_code_style(line: &str) -> bool {
    let inner = line.trim_matches(['[', ']']);
    let style = inner.split([',', '%', '#', '.']).next().unwrap_or("");
    // `[,rust]` is short for a listing in that language.
    let short = inner.starts_with(',') && inner.len() > 1;
    short || CODE.contains(&style.trim())
}

/// The title of a block: a point and a letter.
fn is_title(line: &str) -> bool {
    line.strip_prefix('.')
        .is_some_and(|rest| !rest.starts_with(|c: char| c == '.' || c.is_whitespace()))
}

fn is_list(line: &str) -> bool {
    let text = line.trim_start();
    if text.ends_with("::") || text.contains(":: ") {
        return true;
    }
    let mark = text.split(' ').next().unwrap_or("");
    let all = |letter: char| !mark.is_empty() && mark.chars().all(|c| c == letter);
    let numbered = mark
        .strip_suffix('.')
        .is_some_and(|number| number.chars().all(|c| c.is_ascii_alphanumeric()));
    mark.len() < text.len() && (all('*') || all('.') || mark == "-" || numbered)
}

/// Monospace and literal text of a paragraph, and what it passes through.
fn spans(text: &str, paragraph: Option<Range<usize>>, found: &mut Found) {
    let Some(place) = paragraph else { return };
    let part = &text[..place.end];
    let mut from = place.start;
    while let Some(next) = part[from..].find(['`', '+']) {
        let at = from + next;
        let rest = &part[at..];
        let mark = rest.chars().next().unwrap_or('`');
        let length = rest.chars().take_while(|letter| *letter == mark).count();
        from = at + length;
        let word = |letter: Option<char>| letter.is_some_and(|c| c.is_alphanumeric() || c == '_');
        let before = part[..at].chars().next_back();
        let open = &rest[..length];
        // A single mark stands between words, a double one anywhere.
        let opens = match length {
            1 => !word(before) && part[from..].starts_with(|c: char| !c.is_whitespace()),
            2 => true,
            3 => mark == '+',
            _ => false,
        };
        if before == Some('\\') || !opens {
            continue;
        }
        let closes = |end: &usize| {
            let behind = part[end + length..].chars().next();
            let inside = part[..*end].chars().next_back();
            *end > from
                && (length > 1
                    || (!word(behind)
                        && behind != Some(mark)
                        && inside.is_some_and(|c| !c.is_whitespace())))
        };
        let end = part[from..]
            .match_indices(open)
            .map(|(end, _)| from + end)
            .find(closes);
        if let Some(end) = end {
            from = end + length;
            let whole = at..from;
            if length == 3 {
                found.passed.push(whole);
            } else {
                found.hidden.push(whole);
            }
        }
    }
}
