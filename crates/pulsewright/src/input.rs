//! A design from a file, a link or standard input; what is wrong with it names the input.

use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::card;
use pulsewright_sheet::design::link::{self, Read};
use pulsewright_sheet::design::open::{open, open_by};
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::output::entered;
use pulsewright_sheet::register;
use std::io::Read as _;

/// What stands for standard input.
pub const STANDARD_INPUT: &str = "-";

/// The design at `from`.
///
/// # Errors
/// What is wrong with it, a line each, a refused value too.
pub fn design(from: &str) -> Result<Design, Vec<String>> {
    let (design, refused) = with_refusals(from)?;
    if refused.is_empty() {
        Ok(design)
    } else {
        Err(refused)
    }
}

/// The design at `from` with what is said of its refused values, a line each: each refuses itself, not the design.
///
/// # Errors
/// Why there is no design, a line each; an unknown input with what is refused beside it.
pub fn with_refusals(from: &str) -> Result<(Design, Vec<String>), Vec<String>> {
    if from == STANDARD_INPUT {
        let name = "standard input";
        read(name, &text(name, std::io::stdin())?)
    } else if link::stands_in(from) {
        read("", from)
    } else {
        let file = std::fs::File::open(from).map_err(|e| vec![format!("{from}: {e}")])?;
        read(from, &text(from, file)?)
    }
}

/// All of a table.
///
/// # Errors
/// Why it cannot be read.
pub fn table(from: &str) -> Result<String, String> {
    if from == STANDARD_INPUT {
        let mut text = String::new();
        return match std::io::stdin().read_to_string(&mut text) {
            Ok(_) => Ok(text),
            Err(error) => Err(format!("standard input: {error}")),
        };
    }
    std::fs::read_to_string(from).map_err(|e| format!("{from}: {e}"))
}

/// No more than one byte beyond what a design can be, however much is there.
fn text(from: &str, source: impl std::io::Read) -> Result<String, Vec<String>> {
    let fail = |error: String| vec![format!("{from}: {error}")];
    let mut bytes = Vec::new();
    source
        .take(card::LONGEST as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| fail(e.to_string()))?;
    if bytes.len() > card::LONGEST {
        return Err(fail(card::CardError::TooLong.message()));
    }
    String::from_utf8(bytes).map_err(|_| fail("this is no text in UTF-8".into()))
}

/// The design of a file's text, or of the link in it; `from` says where it stands, empty where it is the link itself.
///
/// # Errors
/// What is wrong with it, a line each, each with `from`.
pub fn carried(from: &str, text: &str) -> Result<Design, Vec<String>> {
    let (design, refused) = read(from, text)?;
    if refused.is_empty() {
        Ok(design)
    } else {
        Err(refused)
    }
}

fn read(from: &str, text: &str) -> Result<(Design, Vec<String>), Vec<String>> {
    let (place, read) = if from.is_empty() {
        (String::new(), open(text))
    } else {
        (format!("{from}: "), open_by(text, &card::read))
    };
    let Read { design, trouble } = read.map_err(|error| vec![format!("{place}{error}")])?;
    match trouble {
        Some(trouble) => Err(vec![format!("{place}{trouble}")]),
        None => sound(design, &place),
    }
}

/// The design with its refused values, where nothing in it is unknown.
fn sound(design: Design, place: &str) -> Result<(Design, Vec<String>), Vec<String>> {
    let unknown: Vec<String> = design
        .unknown
        .iter()
        .map(|(id, _)| match near(id) {
            Some(near) => format!("{place}{id}: no such input; did you mean {near}?"),
            None => format!("{place}{id}: no such input; `pulsewright ids` lists them"),
        })
        .collect();
    let c = Eval::new(&design);
    let refused = entered::refusals(&c).into_iter().map(|(index, message)| {
        let (id, label) = (register::id(index), c.label(index));
        format!("{place}{id} ({label}): {message}")
    });
    if unknown.is_empty() {
        let refused = refused.collect();
        Ok((design, refused))
    } else {
        Err(unknown.into_iter().chain(refused).collect())
    }
}

/// The input id that differs least, where one is close.
fn near(id: &str) -> Option<&'static str> {
    nearest(id, register::inputs().iter().map(|input| input.id))
}

/// The one of `known` that differs least from `typed`, where one is close.
pub fn nearest<'a>(typed: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    known
        .map(|known| (distance(typed, known), known))
        .min()
        .filter(|(distance, _)| *distance <= 3)
        .map(|(_, known)| known)
}

/// Edit distance.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut diagonal = std::mem::replace(&mut row[0], i + 1);
        for (j, y) in b.iter().enumerate() {
            let cost = diagonal + usize::from(x != *y);
            diagonal = row[j + 1];
            row[j + 1] = cost.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}
