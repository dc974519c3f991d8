//! What is code or a comment in Markdown, as its parser reads it.

use pulldown_cmark::{Event, Options, Parser, Tag};
use std::ops::Range;

use crate::docs::html;

/// Where code or a comment stands in `text`.
pub fn hidden(text: &str) -> Vec<Range<usize>> {
    let options = Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES | Options::ENABLE_TASKLISTS;
    let (mut code, mut markup) = (Vec::new(), Vec::new());
    for (event, place) in Parser::new_ext(text, options).into_offset_iter() {
        match event {
            Event::Start(Tag::CodeBlock(_)) | Event::Code(_) => code.push(place),
            Event::Start(Tag::HtmlBlock) | Event::Html(_) | Event::InlineHtml(_) => {
                markup.push(place);
            }
            _ => {}
        }
    }
    // A backslash takes its meaning from a tag.
    let escaped = text.match_indices("\\<").filter_map(|(at, _)| {
        let before = text[..=at]
            .bytes()
            .rev()
            .take_while(|b| *b == b'\\')
            .count();
        let place = at + 1..at + 2;
        let inside = markup.iter().chain(&code).any(|range| range.contains(&at));
        (before % 2 == 1 && !inside).then_some(place)
    });
    let escaped: Vec<Range<usize>> = escaped.collect();
    let within = |at: usize| markup.iter().any(|range| range.contains(&at));
    let of_html = html::hidden(text, within);
    code.extend(escaped);
    code.extend(of_html);
    code
}
