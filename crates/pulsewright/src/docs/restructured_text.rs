//! What is code or a comment in reStructuredText.
//!
//! Its forms as its specification names them: literal blocks behind `::`, indented or quoted; the
//! directives whose content is code; doctest blocks; inline literals; comments.

use std::ops::Range;

use crate::docs::html;
use crate::docs::lines::{Line, block_end, lines, paragraph_end, place};

/// Directives whose content is shown as it is written.
const CODE: [&str; 12] = [
    "code",
    "code-block",
    "sourcecode",
    "parsed-literal",
    "literalinclude",
    "prompt",
    "doctest",
    "testcode",
    "testoutput",
    "productionlist",
    "math",
    "graphviz",
];

/// Roles whose text is shown as it is written.
const CODE_ROLES: [&str; 2] = [":code:`", ":literal:`"];

/// Where code or a comment stands in `text`.
pub fn hidden(text: &str) -> Vec<Range<usize>> {
    let lines = lines(text);
    let (mut ranges, mut raw): (Vec<Range<usize>>, Vec<Range<usize>>) = (Vec::new(), Vec::new());
    let mut paragraph: Option<Paragraph> = None;
    let mut at = 0;
    while let Some(line) = lines.get(at) {
        if line.is_blank() {
            literals(text, paragraph.take(), &mut ranges);
            at += 1;
            continue;
        }
        let (body, indent) = body(line);
        let markup = body
            .strip_prefix("..")
            .filter(|rest| rest.is_empty() || rest.starts_with(char::is_whitespace));
        if let Some(rest) = markup {
            literals(text, paragraph.take(), &mut ranges);
            let end = block_end(&lines, at + 1, indent);
            let content = at + 1..end;
            match explicit(rest.trim_start()) {
                Explicit::Text => at += 1,
                Explicit::Html => {
                    raw.push(place(&lines, content));
                    at = end;
                }
                Explicit::Code => {
                    ranges.push(place(&lines, content));
                    at = end;
                }
                Explicit::Comment => {
                    // Two points alone before a blank line end something; nothing follows them.
                    let alone = rest.is_empty() && lines.get(at + 1).is_none_or(Line::is_blank);
                    let end = if alone { at + 1 } else { end };
                    ranges.push(place(&lines, at..end));
                    at = end;
                }
            }
            continue;
        }
        if paragraph.is_none() && body.starts_with(">>> ") {
            let end = paragraph_end(&lines, at);
            ranges.push(place(&lines, at..end));
            at = end;
            continue;
        }
        let known = paragraph.get_or_insert_with(|| Paragraph {
            place: line.place.clone(),
            indent,
        });
        known.place.end = line.place.end;
        let indent = known.indent;
        at += 1;
        if body.ends_with("::") && lines.get(at).is_none_or(Line::is_blank) {
            literals(text, paragraph.take(), &mut ranges);
            let (begin, end) = literal_block(&lines, at, indent);
            ranges.push(place(&lines, begin..end));
            at = end;
        }
    }
    literals(text, paragraph, &mut ranges);
    let of_html = html::hidden(text, |at| raw.iter().any(|range| range.contains(&at)));
    ranges.extend(of_html);
    ranges
}

struct Paragraph {
    place: Range<usize>,
    /// Where its text begins, behind the mark of a list.
    indent: usize,
}

/// The text of a line behind the marks of lists, and its column.
fn body<'a>(line: &Line<'a>) -> (&'a str, usize) {
    let mut text = line.text.trim_start();
    let mut indent = line.indent;
    loop {
        let mark = match text.split_once(' ') {
            Some((mark @ ("-" | "*" | "+" | "•"), _)) => mark,
            Some((mark, _)) => {
                let number = mark
                    .strip_suffix(['.', ')'])
                    .map(|number| number.trim_start_matches('('));
                match number {
                    Some("#") => mark,
                    Some(number)
                        if !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()) =>
                    {
                        mark
                    }
                    _ => return (text, indent),
                }
            }
            None => return (text, indent),
        };
        let rest = &text[mark.len()..];
        let behind = rest.trim_start();
        indent += mark.chars().count() + rest.len() - behind.len();
        text = behind;
    }
}

/// The lines of the literal block that a paragraph of this indent announces.
fn literal_block(lines: &[Line<'_>], from: usize, indent: usize) -> (usize, usize) {
    let rest = lines.get(from..).unwrap_or_default();
    let blanks = rest.iter().take_while(|line| line.is_blank()).count();
    let begin = from + blanks;
    let Some(first) = lines.get(begin) else {
        return (begin, begin);
    };
    if first.indent > indent {
        return (begin, block_end(lines, begin, indent));
    }
    // Quoted: each line begins with the same mark.
    let mark = first.text.trim_start().chars().next();
    let quoted = mark.is_some_and(|mark| mark.is_ascii_punctuation());
    if !quoted || first.indent < indent {
        return (begin, begin);
    }
    let same = |line: &&Line<'_>| line.text.trim_start().chars().next() == mark;
    let count = lines[begin..].iter().take_while(same).count();
    (begin, begin + count)
}

enum Explicit {
    /// A note, a target, a footnote: text like any other.
    Text,
    Html,
    Code,
    Comment,
}

/// What two points and a blank begin.
fn explicit(rest: &str) -> Explicit {
    if rest.starts_with(['_', '[', '|']) {
        return Explicit::Text;
    }
    let Some((name, behind)) = rest.split_once("::") else {
        return Explicit::Comment;
    };
    let name = name.trim_end();
    let is_name = !name.is_empty()
        && name
            .chars()
            .all(|letter| letter.is_alphanumeric() || "-_.:+".contains(letter));
    if !is_name || !(behind.is_empty() || behind.starts_with(char::is_whitespace)) {
        return Explicit::Comment;
    }
    let name = name.to_ascii_lowercase();
    if name == "raw" {
        return Explicit::Html;
    }
    if CODE.contains(&name.as_str()) {
        Explicit::Code
    } else {
        Explicit::Text
    }
}

/// The inline literals of a paragraph.
fn literals(text: &str, paragraph: Option<Paragraph>, ranges: &mut Vec<Range<usize>>) {
    let Some(Paragraph { place, .. }) = paragraph else {
        return;
    };
    let part = &text[..place.end];
    let mut from = place.start;
    while let Some(found) = part[from..].find('`') {
        let at = from + found;
        let rest = &part[at..];
        let role = CODE_ROLES.iter().any(|role| part[..=at].ends_with(role));
        let escaped = part[..at].ends_with('\\');
        let mark = if rest.starts_with("``") { "``" } else { "`" };
        from = at + mark.len();
        let begins = rest[mark.len()..].starts_with(|c: char| !c.is_whitespace());
        if escaped || !begins || (mark == "`" && !role) {
            continue;
        }
        let end = part[from..]
            .match_indices(mark)
            .map(|(end, _)| from + end)
            .find(|end| *end > from && !part[..*end].ends_with(char::is_whitespace));
        if let Some(end) = end {
            from = end + mark.len();
            ranges.push(at..from);
        }
    }
}
