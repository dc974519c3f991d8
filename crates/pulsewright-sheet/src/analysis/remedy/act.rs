//! One thing that a person can do, and how it is entered.

use crate::analysis::gearbox::{self, Gearbox};
use crate::design::{Design, State};
use crate::evaluation::Eval;
use crate::register::{self, ChangedBy};
use crate::text::number::{self, DecimalMark};

/// By what means something is put right, the handiest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Means {
    /// Set, turned round, done otherwise: free.
    Setting,
    /// A small part fitted or moved.
    SmallPart,
    /// Another wire or supply.
    WireOrSupply,
    /// Another motor driver.
    Driver,
    /// Another gearbox of the family, or another drive part behind it.
    Gearbox,
    /// Another gear motor.
    Motor,
    /// Another job.
    Requirement,
}

impl Means {
    /// The same as the register names it.
    #[must_use]
    pub fn changed_by(self) -> ChangedBy {
        match self {
            Self::Setting => ChangedBy::Setting,
            Self::SmallPart => ChangedBy::Fitting,
            Self::WireOrSupply | Self::Driver | Self::Gearbox | Self::Motor => ChangedBy::Purchase,
            Self::Requirement => ChangedBy::Requirement,
        }
    }
}

/// One size of an act.
#[derive(Clone, Debug)]
pub(super) struct Rung {
    /// Inputs and their texts; an empty text takes the entry away.
    pub entries: Vec<(usize, String)>,
    /// Another gearbox of this ratio on the same motor, before the entries.
    pub gearbox: Option<String>,
    /// What is done, in words; else those of the act.
    pub words: Option<String>,
}

impl Rung {
    /// The design with it; none where an entry is refused.
    pub fn entered(&self, c: &Eval<'_>) -> Option<Design> {
        let mut other = match &self.gearbox {
            Some(ratio) => gearbox::other_gearbox(c, Gearbox::Ratio(ratio)).ok()?,
            None => c.design().clone(),
        };
        for (index, text) in &self.entries {
            other.enter(*index, text, DecimalMark::Stored);
            if matches!(other.state(*index), State::Refused { .. }) {
                return None;
            }
        }
        for index in 0..register::INPUT_COUNT {
            // What somebody sets, fits or agrees to is done; what has to be bought or be found so is wished for.
            let wished = register::inputs().get(index).is_some_and(|input| {
                !matches!(
                    input.changed_by,
                    ChangedBy::Setting | ChangedBy::Fitting | ChangedBy::Requirement
                )
            });
            let listed = c.design().text(index);
            if wished && other.text(index) != listed && index != register::card::WISHED.index() {
                other.note_wish(index, listed);
            }
        }
        Some(other)
    }
}

/// Something that a person can do, in sizes.
#[derive(Clone, Debug)]
pub(super) struct Act {
    /// The input that it is named by.
    pub input: usize,
    /// By what means.
    pub means: Means,
    /// What is done, `{}` for what then stands in the field.
    pub say: &'static str,
    /// The sizes, the mildest first.
    pub rungs: Vec<Rung>,
    /// Whether a stronger one does what a milder one does.
    pub ordered: bool,
}

/// A design with these entries; none where one is refused.
pub(super) fn with_entries(design: &Design, entries: &[(usize, String)]) -> Option<Design> {
    let mut other = design.clone();
    for (index, text) in entries {
        other.enter(*index, text, DecimalMark::Stored);
        if matches!(other.state(*index), State::Refused { .. }) {
            return None;
        }
    }
    Some(other)
}

/// `number` to `digits` significant digits, up or down.
pub(super) fn outward(number: f64, up: bool, digits: i32) -> String {
    if number == 0.0 {
        return "0".into();
    }
    let place = libm::floor(libm::log10(number.abs())) as i32 - digits + 1;
    // A power below 1 is not exact; dividing by one above 1 is.
    let (scaled, scale) = if place < 0 {
        let scale = 10_f64.powi(-place);
        (number * scale, 1.0 / scale)
    } else {
        let scale = 10_f64.powi(place);
        (number / scale, scale)
    };
    let whole = if up {
        libm::ceil(scaled - 1e-6)
    } else {
        libm::floor(scaled + 1e-6)
    };
    number::text(whole * scale, 12)
}
