//! A document: the elements in it, and what each says beside what is computed.

use pulsewright_sheet::design::{Design, card, link};
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::output::quoted::{self, Quotation, Show};
use pulsewright_sheet::output::settings;
use pulsewright_sheet::plot;
use pulsewright_sheet::register::{self, COUNT};
use std::fs;
use std::ops::Range;
use std::path::Path;

use crate::docs::designs::{Designs, Worked};
use crate::docs::element::{Element, attributes, escaped, unescaped, unknown};
use crate::docs::hidden::hidden;
use crate::docs::html::{begins, find};
use crate::input::{STANDARD_INPUT, nearest};

/// A document.
pub struct Page<'a> {
    file: &'a Path,
    text: &'a str,
    hidden: Vec<Range<usize>>,
    elements: Vec<Element>,
    /// JSON blocks with an id.
    blocks: Vec<Element>,
    /// Elements that have no end, by their line.
    broken: Vec<(usize, String)>,
}

/// What an element came to.
pub enum RaisedFinding {
    /// A number that holds.
    Holds,
    /// A number, or a block, that does not: the line to report, where it stands, what should stand there.
    Differs(String, Range<usize>, String),
    /// A card or a part of it that can be shown, or a block that holds the design of its file.
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
            blocks: Vec::new(),
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
                begin: at,
                attributes,
                content: content..end,
            };
            if is_element {
                elements.push(element);
            } else if element.attribute("type") == Some("application/json")
                && element.attribute("id").is_some()
            {
                blocks.push(element);
            }
        }
        self.elements.extend(elements);
        self.blocks.extend(blocks);
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
        for block in &self.blocks {
            let Some(from) = block.attribute("data-from") else {
                continue;
            };
            let said = self.block(block, from).unwrap_or_else(|wrong| {
                let place = self.place(block.line);
                RaisedFinding::Unreadable(vec![format!("{place}: {wrong}")])
            });
            all.push((block.line, said));
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
        let mut wrong: Vec<String> = unknown(element);
        let of = element.attribute("of").unwrap_or("");
        let show = match Show::named(element.attribute("show").unwrap_or("card")) {
            Ok(show) => {
                wrong.extend(no_such(show, of));
                show
            }
            Err(message) => {
                wrong.push(message);
                Show::Card
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
        if show.is_text() && (content.contains('<') || self.hidden.iter().any(overlaps)) {
            wrong.push(format!(
                "only text can stand between the tags, not “{content}”"
            ));
        }
        wrong.extend(self.below(element));
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
        let asked = Quotation {
            of,
            unit: element.attribute("unit").unwrap_or(""),
            digits,
        };
        if !show.is_text() {
            return shown(c, show, of);
        }
        let text = unescaped(content);
        let computed = match quoted::quote(c, show, &asked, &text) {
            Ok(quoted) if quoted.agrees => return Ok(RaisedFinding::Holds),
            // The decimal mark of the page stays.
            Ok(quoted) if text.contains(',') && !text.contains('.') => {
                quoted::with_comma(&quoted.text)
            }
            Ok(quoted) => quoted.text,
            Err(why) => return Err(vec![named(of, &why.message())]),
        };
        let differs = format!("written “{}”, computed “{computed}”", text.trim());
        let what = if of.is_empty() { "verdict" } else { of };
        let line = format!("{}: {what}: {differs}", self.place(element.line));
        let place = element.content.clone();
        Ok(RaisedFinding::Differs(line, place, escaped(&computed)))
    }

    /// Holds the block against the design file that it is filled from.
    fn block(&self, block: &Element, from: &str) -> Result<RaisedFinding, String> {
        let file = self.file.with_file_name(from);
        let text = fs::read_to_string(&file).map_err(|e| format!("{}: {e}", file.display()))?;
        let read = |text: &str| serde_json::from_str::<serde_json::Value>(text);
        let wanted = match (card::read(&text), read(&text)) {
            (Ok(_), Ok(wanted)) => wanted,
            (Err(error), _) => return Err(format!("{}: {error}", file.display())),
            (_, Err(error)) => return Err(format!("{}: {error}", file.display())),
        };
        if read(&self.text[block.content.clone()]).is_ok_and(|written| written == wanted) {
            return Ok(RaisedFinding::Shown);
        }
        let line = format!(
            "{}: this is not what stands in {from}",
            self.place(block.line)
        );
        // As deep as the tag, so that the block stays a part of what it stands in.
        let before = self.text[..block.begin].rsplit('\n').next().unwrap_or("");
        // No tag can begin in it.
        let safe = |text: &str| text.replace('<', "\\u003c");
        let filled = if before.trim().is_empty() {
            let lines = text.lines().filter(|line| !line.trim().is_empty());
            let lines: String = lines.map(|line| [before, line, "\n"].concat()).collect();
            ["\n", &safe(&lines), before].concat()
        } else {
            safe(&wanted.to_string())
        };
        Ok(RaisedFinding::Differs(line, block.content.clone(), filled))
    }

    /// What is wrong with a design that stands below the element, in a text that tools may join with others: of the
    /// joined page the element would take the one above it, which belongs to another text.
    fn below(&self, element: &Element) -> Option<String> {
        let kind = self.file.extension()?.to_str()?.to_ascii_lowercase();
        if ["html", "htm", "xhtml"].contains(&kind.as_str()) {
            return None;
        }
        let from = element.attribute("design")?;
        let target = self.named(element, from.strip_prefix('#')?)?;
        let other = target.element();
        let line = other.line;
        (other.begin > element.begin).then(|| {
            format!("{from} stands below, on line {line}: put it above, or a site joined into one page takes another’s")
        })
    }

    /// What `#name` of an element means, as in a browser: of blocks and other elements the last one before it, else the
    /// first one behind.
    fn named(&self, element: &Element, name: &str) -> Option<Target<'_>> {
        let blocks = self.blocks.iter().map(Target::Block);
        let elements = self.elements.iter().map(Target::Element);
        let mut all: Vec<Target<'_>> = blocks
            .chain(elements)
            .filter(|target| {
                let other = target.element();
                other.attribute("id") == Some(name) && other.begin != element.begin
            })
            .collect();
        all.sort_by_key(|target| target.element().begin);
        let before = all
            .iter()
            .rposition(|target| target.element().begin < element.begin);
        all.into_iter().nth(before.unwrap_or(0))
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
            return match self.named(element, name) {
                Some(Target::Block(block)) => {
                    if let Some(file) = block.attribute("data-from") {
                        let file = self.file.with_file_name(file);
                        return Ok(designs.of(&file.to_string_lossy()));
                    }
                    let text = &self.text[block.content.clone()];
                    let line = line_of(self.text, block.content.start);
                    let place = format!("{from} from line {line} of {} on", self.file.display());
                    Ok(designs.of_text(&place, text))
                }
                Some(Target::Element(other)) if depth < 8 => self.design(other, depth + 1, designs),
                Some(Target::Element(_)) => Err(format!("design=\"{from}\" leads in a circle")),
                None => Err(format!("design=\"{from}\": nothing else here has this id")),
            };
        }
        let beside = self.file.with_file_name(from);
        Ok(designs.of(&beside.to_string_lossy()))
    }
}

/// What an id of the document leads to.
enum Target<'a> {
    Block(&'a Element),
    Element(&'a Element),
}

impl Target<'_> {
    fn element(&self) -> &Element {
        match self {
            Self::Block(element) | Self::Element(element) => element,
        }
    }
}

/// `message` with what it is about, where it does not say so itself.
fn named(of: &str, message: &str) -> String {
    if of.is_empty() || message.contains(of) {
        message.into()
    } else {
        format!("{of}: {message}")
    }
}

/// Whether the card or the part of it can be shown.
fn shown(c: &Eval<'_>, show: Show, of: &str) -> Result<RaisedFinding, Vec<String>> {
    if let (Show::Plot, Some(known)) = (show, plot::find(of)) {
        let _ = known
            .plot(c)
            .map_err(|absent| vec![named(of, &absent.message())])?;
    }
    Ok(RaisedFinding::Shown)
}

/// What is wrong with what an element asks for, with what is meant where that is near.
fn no_such(show: Show, of: &str) -> Option<String> {
    let empty = Design::default();
    let c = Eval::new(&empty);
    let trouble = quoted::trouble(&c, show, of)?;
    let ids: Vec<&str> = match show {
        Show::Value | Show::Figures => (0..COUNT).map(register::id).collect(),
        Show::Setting => settings::SETTINGS.iter().map(|known| known.name).collect(),
        Show::Check => c.model().checks().map(|check| check.id).collect(),
        _ => return Some(trouble),
    };
    if of.trim().is_empty() {
        return Some(trouble);
    }
    // Of several the one that is wrong.
    let wrong = of.split_whitespace().find(|id| !ids.contains(id))?;
    let hint = match (nearest(wrong, ids.into_iter()), show) {
        (Some(near), _) => format!("; did you mean {near}?"),
        (None, Show::Value | Show::Figures) => "; `pulsewright ids` lists them".into(),
        (None, _) => String::new(),
    };
    Some(trouble + &hint)
}

fn line_of(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
}
