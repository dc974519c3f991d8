//! Numbers written in documentation, held against the computed ones.
//!
//! A number stands in an element that names what it is:
//! `<pulse-wright design="#pw1;…" show="value" of="heat.hold_time" unit="s" digits="2">12 s</pulse-wright>`.
//! `design` is a link, `#name` of a JSON block or of another such element in the same file, or a
//! `.card.json` file beside it. Code and comments are left alone, by the kind of the file.

use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::output::Staged;
use crate::progress;

mod asciidoc;
mod designs;
mod element;
mod hidden;
mod html;
mod lines;
mod markdown;
mod page;
mod restructured_text;

use designs::Designs;
use page::{Page, RaisedFinding};

/// What came out of some files.
#[derive(Debug, Default)]
pub struct Outcome {
    /// How many numbers were looked at.
    pub numbers: usize,
    /// How many cards and stations can be shown.
    pub cards: usize,
    /// What differs, a line each: file, line of the file, both numbers.
    pub differing: Vec<String>,
    /// What could not be read, a line each: file, line of the file, why.
    pub unreadable: Vec<String>,
    /// Whether the numbers were to be written.
    pub write: bool,
}

impl Outcome {
    /// What differs, and how many were looked at.
    pub fn summary(&self) -> String {
        let (all, differing, unreadable) =
            (self.numbers, self.differing.len(), self.unreadable.len());
        let mut out = String::new();
        for line in &self.differing {
            out.push_str(&[line, "\n"].concat());
        }
        out.push_str(&match (self.write, differing, unreadable) {
            (_, 0, 0) if all == 0 => format!("designs checked: {}; all can be shown\n", self.cards),
            (_, 0, 0) => format!("numbers looked at: {all}; all agree\n"),
            (true, _, 0) => format!("numbers looked at: {all}; written anew: {differing}\n"),
            (false, _, 0) => format!("numbers looked at: {all}; differing: {differing}\n"),
            (true, ..) => format!(
                "numbers looked at: {all}; differing: {differing}; could not be read: {unreadable}; nothing was written\n"
            ),
            (false, ..) => format!(
                "numbers looked at: {all}; differing: {differing}; could not be read: {unreadable}\n"
            ),
        });
        out
    }

    /// The exit code: what cannot be read weighs more than what differs.
    pub fn code(&self) -> u8 {
        if !self.unreadable.is_empty() {
            2
        } else {
            u8::from(!self.write && !self.differing.is_empty())
        }
    }
}

/// Holds the numbers of `files` against the computed ones; writes those that differ where `write` and
/// everything could be read: all files or none.
///
/// # Errors
/// A file that cannot be written.
pub fn run(files: &[&Path], write: bool) -> Result<Outcome, String> {
    let mut outcome = Outcome {
        write,
        ..Outcome::default()
    };
    let mut changed = Vec::new();
    let done = AtomicUsize::new(0);
    let says = || {
        let done = done.load(Ordering::Relaxed);
        format!("numbers looked at in {done} of {} files", files.len())
    };
    progress::shown(says, || {
        let mut designs = Designs::default();
        for file in files {
            match fs::read_to_string(file) {
                Ok(text) => {
                    if let Some(new) = look(file, &text, &mut designs, &mut outcome) {
                        changed.push((*file, new));
                    }
                }
                Err(error) => outcome
                    .unreadable
                    .push(format!("{}: {error}", file.display())),
            }
            let _ = done.fetch_add(1, Ordering::Relaxed);
        }
    });
    if write && outcome.unreadable.is_empty() {
        let staged: Result<Vec<Staged>, String> = changed
            .iter()
            .map(|(file, new)| Staged::new(file, new))
            .collect();
        for file in staged? {
            file.place()?;
        }
    }
    Ok(outcome)
}

/// Looks at one document; its new text where anything in it differs.
fn look(file: &Path, text: &str, designs: &mut Designs, outcome: &mut Outcome) -> Option<String> {
    let mut differing = Vec::new();
    for said in Page::read(file, text).said(designs) {
        match said {
            RaisedFinding::Shown => outcome.cards += 1,
            RaisedFinding::Holds => outcome.numbers += 1,
            RaisedFinding::Differs(line, place, computed) => {
                outcome.numbers += 1;
                outcome.differing.push(line);
                differing.push((place, computed));
            }
            RaisedFinding::Unreadable(lines) => outcome.unreadable.extend(lines),
        }
    }
    if differing.is_empty() {
        return None;
    }
    differing.sort_by_key(|(place, _)| place.start);
    let mut new = text.to_string();
    // From the end, so that the places before stay where they are.
    for (place, computed) in differing.into_iter().rev() {
        new.replace_range(place, &computed);
    }
    Some(new)
}
