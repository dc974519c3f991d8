//! The loop tuned: what the page's button finds, and what its other button enters.

use std::path::Path;

use pulsewright_sheet::design::{card, link};
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::output::tuning::{self, Proposal};
use pulsewright_sheet::register;
use pulsewright_sheet::text::number::DecimalMark;

use crate::args::Tune;
use crate::{input, output, progress};

/// Seeks settings, enters them where that is asked for, and says what was found.
///
/// # Errors
/// What cannot be read, simulated or written.
pub fn tune(asked: &Tune) -> Result<String, Vec<String>> {
    let from = &asked.source.from;
    let linked = link::stands_in(from);
    if asked.write && (linked || from == input::STANDARD_INPUT) {
        return Err(vec![
            "--write: a link or standard input cannot be written to; without it the tuned link is printed"
                .into(),
        ]);
    }
    let design = input::design(from)?;
    let says = || "settings of the loop are sought".to_owned();
    let found = progress::shown(says, || tuning::propose(&Eval::new(&design)))
        .map_err(|absent| vec![format!("not tuned: {}", absent.message())])?;
    let mut tuned = design.clone();
    for (id, text) in &found.entries {
        if let Some(index) = register::find_input(id) {
            tuned.enter(index, text, DecimalMark::Stored);
        }
    }
    let mut said = told(&found);
    if found.entries.is_empty() {
        said.push_str("\nNothing is to be entered.\n");
        return Ok(said);
    }
    said.push_str(if asked.write {
        "\nEntered:\n"
    } else {
        "\nTo enter:\n"
    });
    for (id, text) in &found.entries {
        said.push_str(&format!("  {id} = {text}\n"));
    }
    if asked.write {
        output::put(
            &card::write(&tuned),
            Some(Path::new(from)),
            crate::paint::Paint::NONE,
        )
        .map_err(|error| vec![error])?;
    } else {
        said.push_str(&format!("\n{}\n", link::write(&tuned)));
    }
    Ok(said)
}

/// Sentences and table.
fn told(found: &Proposal) -> String {
    let mut out = found.sentences.join("\n");
    out.push_str("\n\n");
    let head = ["".to_owned(), "now".to_owned(), "found".to_owned()];
    let rows: Vec<&[String; 3]> = [&head].into_iter().chain(&found.rows).collect();
    let width = |column: usize| {
        let widths = rows.iter().map(|row| row[column].chars().count());
        widths.max().unwrap_or(0)
    };
    let (label, now) = (width(0), width(1));
    for [what, is, then] in rows {
        let line = format!("{what:label$}  {is:now$}  {then}");
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}
