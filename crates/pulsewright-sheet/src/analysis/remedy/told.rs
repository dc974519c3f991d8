//! Remedies of checks that only a simulated move shows, as text: they are sought beside the page, which never waits.

use super::{Search, is_short, seen_without_landing};
use crate::design::link;
use crate::evaluation::Eval;
use crate::evaluation::check;
use crate::register;

/// A remedy, as it was told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// The id of its check.
    pub check: String,
    /// The input that it is named by.
    pub input: usize,
    /// What is done.
    pub what: String,
    /// What comes of it.
    pub outcome: String,
    /// The design with it, as a link.
    pub link: String,
}

/// The remedies of every check of `c` that is short and rests on a simulated move, a line each; `c` simulates.
///
/// # Example
/// ```
/// use pulsewright_sheet::analysis::remedy::told;
/// use pulsewright_sheet::{design::link, evaluation::Eval, guide::examples::EXAMPLES};
///
/// // The turntable stops on the other flank of its backlash.
/// let design = link::read(EXAMPLES[0].link)?.design;
/// let told = told::read(&told::tell(&Eval::new(&design).simulating()));
/// assert_eq!(told[0].check, "check.final_error");
/// assert_eq!(told[0].what, "Always approach from the same side");
/// assert_eq!(link::read(&told[0].link)?.design.text(pulsewright_sheet::register::find_input("move.approach").ok_or("an input")?), "one_side");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn tell(c: &Eval<'_>) -> String {
    let held = check::all(c);
    let of_move = held
        .iter()
        .filter(|h| is_short(h) && !seen_without_landing(c, h.check));
    let mut lines: Vec<String> = Vec::new();
    for held in check::ranked(of_move) {
        let mut search = Search::new(c, &held);
        while !search.settled() && search.step() {}
        lines.extend(search.found().iter().map(|remedy| {
            [
                held.check.id,
                register::inputs().get(remedy.input).map_or("", |i| i.id),
                &remedy.what(),
                &remedy.outcome(),
                &link::write(&remedy.design),
            ]
            .join("\t")
        }));
    }
    lines.join("\n")
}

/// Out of [`tell`].
#[must_use]
pub fn read(text: &str) -> Vec<Told> {
    let line = |line: &str| {
        let mut cells = line.split('\t');
        let mut cell = || cells.next().map(str::to_owned);
        Some(Told {
            check: cell()?,
            input: register::find_input(&cell()?)?,
            what: cell()?,
            outcome: cell()?,
            link: cell()?,
        })
    };
    text.lines().filter_map(line).collect()
}
