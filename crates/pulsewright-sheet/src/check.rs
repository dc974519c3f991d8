//! Checks: what the design can do against what it must, and how much room is left.

use crate::eval::{Absent, BEYOND, Eval, Inputs};
use crate::register::{self, Physical, Station, Travel};
use crate::unit::Measure;

/// Every station's checks, in the order of the card.
pub fn table() -> impl Iterator<Item = &'static Check> {
    register::CHECK_TABLES.iter().copied().flatten()
}

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
pub enum Case {
    /// While it moves.
    Move,
    /// Blocked: a jam or a stall.
    Blocked,
    /// While it holds.
    Hold,
}

impl Case {
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
pub struct Room {
    /// What the design can do.
    pub capability: f64,
    /// What it must do.
    pub need: f64,
    /// Which need, where there are two.
    pub case: Option<Case>,
    /// What both measure, where that depends on the design.
    pub measure: Option<Measure>,
    /// No better than this, whatever the margin.
    pub at_best: Status,
}

impl Room {
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
    pub fn in_case(self, case: Case) -> Self {
        Self {
            case: Some(case),
            ..self
        }
    }

    /// Capability over need; `None` where nothing is asked.
    #[must_use]
    pub fn margin(&self) -> Option<f64> {
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
        let status = match self.margin() {
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

/// A check.
#[derive(Clone, Copy)]
pub struct Check {
    /// `check.name`.
    pub id: &'static str,
    /// Name in plain words.
    pub label: &'static str,
    /// The question that it answers when it is under, as a sentence.
    pub under: &'static str,
    /// Station that it stamps.
    pub station: Station,
    /// What it measures.
    pub measure: Measure,
    /// What it finds; `None` where its optional inputs are left out.
    pub room: fn(&Eval<'_>) -> Result<Option<Room>, Absent>,
}

impl core::fmt::Debug for Check {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(self.id)
    }
}

/// A check of a design as it stands.
#[derive(Clone, Copy, Debug)]
pub struct Held {
    /// Which.
    pub check: &'static Check,
    /// What it found, or why it cannot be said.
    pub room: Result<Room, Absent>,
    /// What it rests on.
    pub rests_on: Inputs,
}

impl Held {
    /// How it stands.
    #[must_use]
    pub fn status(&self) -> Status {
        self.room.map_or(Status::Unknown, |room| room.status())
    }

    /// What its two figures measure.
    #[must_use]
    pub fn measure(&self) -> Measure {
        self.room
            .ok()
            .and_then(|room| room.measure)
            .unwrap_or(self.check.measure)
    }

    /// Its margin, where it has one.
    #[must_use]
    pub fn margin(&self) -> Option<f64> {
        self.room.ok().and_then(|room| room.margin())
    }
}

/// Holds every check against the design.
#[must_use]
pub fn all(c: &Eval<'_>) -> Vec<Held> {
    let mut held = Vec::with_capacity(register::CHECK_TABLES.iter().map(|t| t.len()).sum());
    for check in table() {
        let (room, rests_on) = c.apart(check.room);
        let room = match room {
            Ok(None) => continue,
            Ok(Some(room)) if room.capability.is_nan() || room.need.is_nan() => Err(BEYOND),
            Ok(Some(room)) => Ok(room),
            Err(absent) => Err(absent),
        };
        held.push(Held {
            check,
            room,
            rests_on,
        });
    }
    held
}

/// Checks in order, worst first: by status, then by margin; equals stay as they were.
pub fn ranked<'a>(held: impl Iterator<Item = &'a Held>) -> Vec<Held> {
    let mut list: Vec<Held> = Vec::new();
    for next in held {
        let at = list
            .iter()
            .position(|h| worse(next, h))
            .unwrap_or(list.len());
        list.insert(at, *next);
    }
    list
}

/// Whether `a` is worse than `b`.
fn worse(a: &Held, b: &Held) -> bool {
    let margin = |h: &Held| h.margin().unwrap_or(f64::INFINITY);
    let (x, y) = (a.status().rank(), b.status().rank());
    x > y || (x == y && margin(a) < margin(b))
}

/// The worst check: by status, then by margin; the first of equals.
#[must_use]
pub fn worst(held: &[Held]) -> Option<&Held> {
    held.iter()
        .reduce(|worst, next| if worse(next, worst) { next } else { worst })
}
