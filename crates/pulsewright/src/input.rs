//! A design from a file or a link; what is wrong with it names the input.

use pulsewright_sheet::design::Design;
use pulsewright_sheet::eval::Eval;
use pulsewright_sheet::{card, link, register, report};

/// Reads the design at `from`.
pub fn design(from: &str) -> Result<Design, String> {
    if link::stands_in(from) {
        let read = link::read(from).map_err(|e| e.message().to_string())?;
        if let Some(trouble) = read.trouble {
            return Err(trouble.message().into());
        }
        sound(read.design)
    } else {
        let text = std::fs::read_to_string(from).map_err(|e| format!("{from}: {e}"))?;
        card_text(from, &text)
    }
}

/// Reads a design file's text; `from` says where it stands.
pub fn card_text(from: &str, text: &str) -> Result<Design, String> {
    sound(card::read(text).map_err(|e| format!("{from}: {}", e.message()))?)
}

/// The design, where nothing in it is unknown or refused.
fn sound(design: Design) -> Result<Design, String> {
    if let Some((id, _)) = design.unknown.first() {
        return Err(match near(id) {
            Some(near) => format!("{id}: no such input; did you mean {near}?"),
            None => format!("{id}: no such input; `pulsewright ids` lists them"),
        });
    }
    let c = Eval::new(&design);
    let refused = report::refusals(&c);
    if refused.is_empty() {
        return Ok(design);
    }
    let lines: Vec<String> = refused
        .iter()
        .map(|(index, message)| {
            format!(
                "{} ({}): {message}",
                register::id(*index),
                register::label(*index)
            )
        })
        .collect();
    Err(lines.join("\npulsewright: "))
}

/// The input id that differs least, where one is close.
fn near(id: &str) -> Option<&'static str> {
    register::inputs()
        .iter()
        .map(|input| (distance(id, input.id), input.id))
        .min()
        .filter(|(distance, _)| *distance <= 3)
        .map(|(_, id)| id)
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
