//! Capability over need, and how a check stands with it.

use crate::register::{Physical, Travel};
use crate::text::measure::Measure;

/// How a check stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// A margin of 1.25 or more, or from where the check says.
    Passes,
    /// A margin of 1 to 1.25, or from where the check says.
    Tight,
    /// Not enough.
    Fails,
    /// Cannot be said.
    Unknown,
    /// Is not judged until another check is put right.
    Waits,
}

impl Status {
    /// The word on the stamp.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Passes => "passes",
            Self::Tight => "tight",
            Self::Fails => "fails",
            Self::Unknown => "unknown",
            Self::Waits => "waits",
        }
    }

    /// How bad: fails, unknown, waits, tight, passes.
    #[must_use]
    pub fn rank(self) -> u8 {
        match self {
            Self::Fails => 4,
            Self::Unknown => 3,
            Self::Waits => 2,
            Self::Tight => 1,
            Self::Passes => 0,
        }
    }
}

/// Which of two needs a check was held against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadCase {
    /// While it moves.
    Move,
    /// Blocked: a jam or a stall.
    Blocked,
    /// While it holds.
    Hold,
}

impl LoadCase {
    /// The word in the report.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Move => "move",
            Self::Blocked => "blocked",
            Self::Hold => "hold",
        }
    }
}

/// What a check found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// What the design can do.
    pub capability: f64,
    /// What it must do.
    pub need: f64,
    /// Which need, where there are two.
    pub case: Option<LoadCase>,
    /// What both measure, where that depends on the design.
    pub measure: Option<Measure>,
    /// Where both begin, as a rise begins at the temperature around; below 0 where they go down from there.
    pub from: f64,
    /// No better than this, whatever the margin.
    pub at_best: Status,
    /// Capability over need from which it is clear.
    pub passes_from: f64,
    /// Capability over need from which it is tight; 0 where the need is all reserve.
    pub tight_from: f64,
}

impl Margin {
    /// From two quantities.
    pub fn of<Q: Physical>(capability: Q, need: Q) -> Self {
        Self {
            capability: capability.raw(),
            need: need.raw(),
            case: None,
            measure: None,
            from: 0.0,
            at_best: Status::Passes,
            passes_from: 1.25,
            tight_from: 1.0,
        }
    }

    /// From two travels of one kind.
    #[must_use]
    pub fn of_travel(capability: Travel, need: Travel) -> Self {
        Self {
            measure: Some(capability.measure()),
            ..Self::of(capability.raw(), need.raw())
        }
    }

    /// The same with its case named.
    #[must_use]
    pub fn in_load_case(self, case: LoadCase) -> Self {
        Self {
            case: Some(case),
            ..self
        }
    }

    /// Capability over need; `None` where nothing is asked.
    #[must_use]
    pub fn ratio(&self) -> Option<f64> {
        if self.need <= 0.0 {
            None
        } else if self.capability <= 0.0 {
            Some(0.0)
        } else {
            Some(self.capability / self.need)
        }
    }

    /// How it stands.
    #[must_use]
    pub fn status(&self) -> Status {
        // A hair for binary rounding: a need equal to the capability is met.
        let reaches = |share: f64| self.capability >= self.need * (share - 1e-12);
        let status = if self.need <= 0.0 || reaches(self.passes_from) {
            Status::Passes
        } else if reaches(self.tight_from) {
            Status::Tight
        } else {
            Status::Fails
        };
        if status.rank() < self.at_best.rank() {
            self.at_best
        } else {
            status
        }
    }
}
