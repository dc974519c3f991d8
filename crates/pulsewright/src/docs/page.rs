//! A document: the elements in it, and what each says beside what is computed.

use pulsewright_sheet::design::link;
use pulsewright_sheet::evaluation::{Code, Eval};
use pulsewright_sheet::output::quoted;
use pulsewright_sheet::register::{self, COUNT, STATIONS};
use std::collections::HashMap;
use std::ops::Range;
use std::path::Path;

use crate::docs::designs::{Designs, Worked};
use crate::docs::element::{Element, attributes, unescaped};
use crate::docs::hidden::hidden;
use crate::docs::html::{begins, find};
use crate::input::{STANDARD_INPUT, nearest};

/// What is written for a result without a limit.
const UNLIMITED: &str = "unlimited";

/// A document.
pub struct Page<'a> {
    file: &'a Path,
    text: &'a str,
    hidden: Vec<Range<usize>>,
    elements: Vec<Element>,
    /// JSON blocks by their id.
    blocks: HashMap<String, Range<usize>>,
    /// Elements that have no end, by their line.
    broken: Vec<(usize, String)>,
}

/// What an element came to.
pub enum RaisedFinding {
    /// A number that holds.
    Holds,
    /// A number that does not: the line to report, where it stands, what should stand there.
    Differs(String, Range<usize>, String),
    /// A card or a station that can be shown.
    Shown,
    /// What is wrong with it.
    Unreadable(Vec<String>),
}

impl<'a> Page<'a> {
    /// The elements of a document.
    pub fn read(file: &'a Path, text: &'a str) -> Self {
        let mut page = Self {
            file,
            text,
            hidden: hidden(file, text),
            elements: Vec::new(),
            blocks: HashMap::new(),
            broken: Vec::new(),
        };
        for name in ["pulse-wright", "script"] {
            page.gather(name);
        }
        page
    }

    fn gather(&mut self, name: &str) {
        let (open, close) = (["<", name].concat(), ["</", name].concat());
        let is_element = name == "pulse-wright";
        let seen = |wanted: &str, from: usize| {
            let mut from = from;
            loop {
                let at = find(self.text, wanted, from)?;
                from = at + wanted.len();
                let tag = wanted == close || begins(self.text, at, name);
                if tag && !self.hidden.iter().any(|range| range.contains(&at)) {
                    return Some(at);
                }
            }
        };
        let (mut elements, mut blocks, mut broken) = (Vec::new(), Vec::new(), Vec::new());
        let mut from = 0;
        while let Some(at) = seen(&open, from) {
            from = at + open.len();
            let line = line_of(self.text, at);
            let Some((attributes, content)) = attributes(self.text, from) else {
                broken.push((line, format!("this {open}> has no end")));
                continue;
            };
            let end = seen(&close, content)
                .filter(|end| !is_element || seen(&open, content).is_none_or(|next| next > *end));
            let Some(end) = end else {
                broken.push((line, format!("{close}> is missing")));
                continue;
            };
            from = end;
            let element = Element {
                line,
                attributes,
                content: content..end,
            };
            if is_element {
                elements.push(element);
            } else if let (Some("application/json"), Some(id)) =
                (element.attribute("type"), element.attribute("id"))
            {
                blocks.push((id.to_string(), element.content));
            }
        }
        self.elements.extend(elements);
        // Of two blocks with one id the first counts, as in a browser.
        for (id, place) in blocks {
            let _ = self.blocks.entry(id).or_insert(place);
        }
        if is_element {
            self.broken.extend(broken);
        }
    }

    /// What each element came to, by its line.
    pub fn said(&self, designs: &mut Designs) -> Vec<RaisedFinding> {
        let mut all: Vec<(usize, RaisedFinding)> = Vec::new();
        for (line, message) in &self.broken {
            let message = format!("{}: {message}", self.place(*line));
            all.push((*line, RaisedFinding::Unreadable(vec![message])));
        }
        for element in &self.elements {
            let said = self.of(element, designs).unwrap_or_else(|wrong| {
                let place = self.place(element.line);
                let lines = wrong.iter().map(|line| format!("{place}: {line}"));
                RaisedFinding::Unreadable(lines.collect())
            });
            all.push((element.line, said));
        }
        all.sort_by_key(|(line, _)| *line);
        all.into_iter().map(|(_, said)| said).collect()
    }

    fn place(&self, line: usize) -> String {
        format!("{}:{line}", self.file.display())
    }

    fn of(&self, element: &Element, designs: &mut Designs) -> Result<RaisedFinding, Vec<String>> {
        // Whatever is wrong with one element is said at once.
        let mut wrong = Vec::new();
        let show = element.attribute("show").unwrap_or("card");
        let of = element.attribute("of");
        let index = match (show, of) {
            ("card", _) => None,
            ("station", of) => {
                wrong.extend(no_station(of));
                None
            }
            ("value", None) => {
                wrong.push("no of=\"…\": say which result".into());
                None
            }
            ("value", Some(of)) => {
                let index = register::find(of);
                if index.is_none() {
                    wrong.push(no_such_id(of));
                }
                index
            }
            _ => {
                wrong.push(format!("show=\"{show}\" is none of value, station, card"));
                None
            }
        };
        let digits = match element.attribute("digits").map(str::parse) {
            None => 0,
            Some(Ok(number @ 1..=15)) => number,
            Some(_) => {
                let digits = element.attribute("digits").unwrap_or("");
                wrong.push(format!("digits=\"{digits}\": a number from 1 to 15"));
                0
            }
        };
        let content = &self.text[element.content.clone()];
        let overlaps = |range: &Range<usize>| {
            range.start < element.content.end && element.content.start < range.end
        };
        if show == "value" && (content.contains('<') || self.hidden.iter().any(overlaps)) {
            wrong.push(format!(
                "only text can stand between the tags, not “{content}”"
            ));
        }
        let c = match self.design(element, 0, designs) {
            Ok(Ok(c)) => Some(c),
            Ok(Err(lines)) => {
                wrong.extend(lines.iter().cloned());
                None
            }
            Err(line) => {
                wrong.push(line);
                None
            }
        };
        let (Some(c), true) = (c, wrong.is_empty()) else {
            return Err(wrong);
        };
        let Some((index, of)) = index.zip(of) else {
            return Ok(RaisedFinding::Shown);
        };
        let asked = quoted::Quotation {
            of,
            unit: element.attribute("unit").unwrap_or(""),
            digits,
        };
        let text = unescaped(content);
        let computed = match computed(c, index, &asked, &text) {
            Ok(None) => return Ok(RaisedFinding::Holds),
            Ok(Some(computed)) => computed,
            Err(why) => return Err(vec![format!("{of}: {why}")]),
        };
        let line = format!(
            "{}: {of}: written “{}”, computed “{computed}”",
            self.place(element.line),
            text.trim()
        );
        Ok(RaisedFinding::Differs(
            line,
            element.content.clone(),
            computed,
        ))
    }

    fn design<'d>(
        &self,
        element: &Element,
        depth: usize,
        designs: &'d mut Designs,
    ) -> Result<&'d Worked, String> {
        let from = element
            .attribute("design")
            .filter(|from| !from.is_empty() && *from != STANDARD_INPUT)
            .ok_or("no design=\"…\": a link, #name or a .card.json file")?;
        if link::stands_in(from) {
            return Ok(designs.of(from));
        }
        if let Some(name) = from.strip_prefix('#') {
            if let Some(block) = self.blocks.get(name) {
                let text = &self.text[block.clone()];
                let line = line_of(self.text, block.start);
                let place = format!("{from} from line {line} of {} on", self.file.display());
                return Ok(designs.of_text(&place, text));
            }
            let other = self
                .elements
                .iter()
                .find(|other| other.attribute("id") == Some(name));
            return match other {
                Some(other) if depth < 8 => self.design(other, depth + 1, designs),
                Some(_) => Err(format!("design=\"{from}\" leads in a circle")),
                None => Err(format!("design=\"{from}\": nothing here has this id")),
            };
        }
        let beside = self.file.with_file_name(from);
        Ok(designs.of(&beside.to_string_lossy()))
    }
}

/// What should stand there in place of `text`, where it is something else.
fn computed(
    c: &Eval<'_>,
    index: usize,
    asked: &quoted::Quotation<'_>,
    text: &str,
) -> Result<Option<String>, String> {
    if let Err(absent) = c.answer(index).found {
        if absent.code != Code::Unlimited {
            return Err(absent.message());
        }
        let text = text.trim();
        let holds = text.eq_ignore_ascii_case(UNLIMITED) || text == absent.message();
        return Ok((!holds).then(|| UNLIMITED.into()));
    }
    let computed = quoted::text(c, asked)?;
    if quoted::agrees(c, asked, text) {
        return Ok(None);
    }
    // The decimal mark of the page stays.
    let uses_comma = text.contains(',') && !text.contains('.');
    Ok(Some(if uses_comma {
        quoted::with_comma(&computed)
    } else {
        computed
    }))
}

fn no_such_id(of: &str) -> String {
    let known = (0..COUNT).map(register::id);
    match nearest(of, known) {
        Some(near) => format!("“{of}” is no input and no result; did you mean {near}?"),
        None => format!("“{of}” is no input and no result; `pulsewright ids` lists them"),
    }
}

/// What is wrong with the name of a station: as on the card, or as its ids begin.
fn no_station(of: Option<&str>) -> Option<String> {
    let Some(of) = of else {
        return Some("no of=\"…\": say which station".into());
    };
    register::station_named(of).is_none().then(|| {
        let names: Vec<&str> = STATIONS.iter().map(|heading| heading.name).collect();
        format!("“{of}” is no station; there are {}", names.join(", "))
    })
}

fn line_of(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
}
