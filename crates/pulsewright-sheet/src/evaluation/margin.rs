//! Capability over need, and how a check stands with it.

use crate::register::{Physical, Travel};
use crate::text::measure::Measure;

/// How a check stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Room of 1.25 or more.
    Clear,
    /// Room of 1 to 1.25.
    Tight,
    /// Not enough.
    Under,
    /// Cannot be said.
    Unknown,
}

impl Status {
    /// The word on the stamp.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Clear => "clear",
            Self::Tight => "tight",
            Self::Under => "under",
            Self::Unknown => "unknown",
        }
    }

    /// How bad: under, unknown, tight, clear.
    #[must_use]
    pub fn rank(self) -> u8 {
        match self {
            Self::Under => 3,
            Self::Unknown => 2,
            Self::Tight => 1,
            Self::Clear => 0,
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
    /// No better than this, whatever the margin.
    pub at_best: Status,
}

impl Margin {
    /// From two quantities.
    pub fn of<Q: Physical>(capability: Q, need: Q) -> Self {
        Self {
            capability: capability.raw(),
            need: need.raw(),
            case: None,
            measure: None,
            at_best: Status::Clear,
        }
    }

    /// From two travels of one kind.
    #[must_use]
    pub fn of_travel(capability: Travel, need: Travel) -> Self {
        Self {
            capability: capability.raw(),
            need: need.raw(),
            case: None,
            measure: Some(capability.measure()),
            at_best: Status::Clear,
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
        let status = match self.ratio() {
            None => Status::Clear,
            Some(m) if m >= 1.25 - 1e-12 => Status::Clear,
            Some(m) if m >= 1.0 - 1e-12 => Status::Tight,
            Some(_) => Status::Under,
        };
        if status.rank() < self.at_best.rank() {
            self.at_best
        } else {
            status
        }
    }
}
