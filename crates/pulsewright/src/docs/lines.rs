//! A text by its lines, each with its place.

use std::ops::Range;

/// A line of a text.
#[derive(Clone, Debug)]
pub struct Line<'a> {
    /// Where it stands, its end of line included.
    pub place: Range<usize>,
    /// Without blanks at its end.
    pub text: &'a str,
    /// Columns before its first letter; a tab leads to the next eighth.
    pub indent: usize,
}

impl Line<'_> {
    /// Whether there is nothing in it.
    pub fn is_blank(&self) -> bool {
        self.text.is_empty()
    }
}

/// The lines of `text`.
pub fn lines(text: &str) -> Vec<Line<'_>> {
    let mut at = 0;
    text.split_inclusive('\n')
        .map(|line| {
            let place = at..at + line.len();
            at = place.end;
            let text = line.trim_end();
            let indent = text
                .chars()
                .take_while(|letter| letter.is_whitespace())
                .fold(0, |column, letter| match letter {
                    '\t' => column + 8 - column % 8,
                    _ => column + 1,
                });
            Line {
                place,
                text,
                indent,
            }
        })
        .collect()
}

/// The first line from `from` on that is not blank and not indented deeper than `indent`: where a
/// block ends that is told by its indent.
pub fn block_end(lines: &[Line<'_>], from: usize, indent: usize) -> usize {
    let ends = |line: &Line<'_>| !line.is_blank() && line.indent <= indent;
    let rest = lines.get(from..).unwrap_or_default();
    rest.iter()
        .position(ends)
        .map_or(lines.len(), |count| from + count)
}

/// The first blank line from `from` on.
pub fn paragraph_end(lines: &[Line<'_>], from: usize) -> usize {
    let rest = lines.get(from..).unwrap_or_default();
    rest.iter()
        .position(Line::is_blank)
        .map_or(lines.len(), |count| from + count)
}

/// Where the lines `which` stand.
pub fn place(lines: &[Line<'_>], which: Range<usize>) -> Range<usize> {
    match lines.get(which) {
        Some([first, .., last]) => first.place.start..last.place.end,
        Some([only]) => only.place.clone(),
        _ => 0..0,
    }
}
