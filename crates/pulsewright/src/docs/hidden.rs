//! Where a document shows text as it is written, or not at all: code and comments are left alone.

use std::ops::Range;
use std::path::Path;

use crate::docs::{asciidoc, html, markdown, restructured_text};

/// Where `text` is code or a comment, by the kind of `file`.
pub fn hidden(file: &Path, text: &str) -> Vec<Range<usize>> {
    let kind = file.extension().and_then(|kind| kind.to_str());
    let ranges = match kind.unwrap_or("").to_ascii_lowercase().as_str() {
        "md" | "markdown" => markdown::hidden(text),
        "rst" | "rest" => restructured_text::hidden(text),
        "adoc" | "asciidoc" | "asc" => asciidoc::hidden(text),
        "html" | "htm" | "xhtml" => html::hidden(text, |_| true),
        _ => html::hidden(text, |at| text[at..].starts_with("<!--")),
    };
    ranges
        .into_iter()
        .filter(|range| !range.is_empty())
        .collect()
}
