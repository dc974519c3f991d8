//! Why a result is not there.

use crate::design::entry;
use crate::register;
use crate::text::label::in_sentence;

/// Why a result is not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Code {
    /// Something that it needs is not given.
    Missing,
    /// An entry that it needs is refused.
    Refused,
    /// There is no limit: longer than any time, more than any load.
    Unlimited,
    /// It cannot be.
    Impossible,
    /// It is not judged until something else is put right.
    Waits,
    /// It lies above the limit of what it heats.
    Above,
}

impl Code {
    /// The word in the report.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Missing => "missing",
            Self::Refused => "refused",
            Self::Unlimited => "unlimited",
            Self::Impossible => "impossible",
            Self::Waits => "waits",
            Self::Above => "above",
        }
    }
}

/// A result that is not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Absent {
    /// Why.
    pub code: Code,
    /// The input or result that it is about.
    pub about: u16,
    /// In words; empty where the code and what it is about say it all.
    pub why: &'static str,
}

/// Where a formula has no finite answer.
pub const NOT_FINITE: Absent = Absent::impossible("the figures lead beyond any number");

/// Where a formula leads back to itself.
pub(super) const CYCLE: Absent = Absent::impossible("circular dependency");

impl Absent {
    /// It waits for `about`.
    #[must_use]
    pub const fn missing(about: usize) -> Self {
        Self {
            code: Code::Missing,
            about: about as u16,
            why: "",
        }
    }
    /// The entry of input `about` is outside its range; or, where `why` says so, refused for another reason.
    #[must_use]
    pub const fn refused(about: usize, why: &'static str) -> Self {
        Self {
            code: Code::Refused,
            about: about as u16,
            why,
        }
    }
    /// It has no limit.
    #[must_use]
    pub const fn unlimited(why: &'static str) -> Self {
        Self {
            code: Code::Unlimited,
            about: 0,
            why,
        }
    }
    /// It cannot be.
    #[must_use]
    pub const fn impossible(why: &'static str) -> Self {
        Self {
            code: Code::Impossible,
            about: 0,
            why,
        }
    }
    /// It waits until what `why` says is put right.
    #[must_use]
    pub const fn waits(why: &'static str) -> Self {
        Self {
            code: Code::Waits,
            about: 0,
            why,
        }
    }
    /// It waits until what is under this number comes below its limit.
    #[must_use]
    pub const fn behind(about: usize) -> Self {
        Self {
            code: Code::Waits,
            about: about as u16,
            why: "",
        }
    }
    /// It lies above the limit of this number.
    #[must_use]
    pub const fn above(limit: usize) -> Self {
        Self {
            code: Code::Above,
            about: limit as u16,
            why: "",
        }
    }
    /// It does not apply to this design.
    #[must_use]
    pub const fn not_asked(why: &'static str) -> Self {
        Self {
            code: Code::Missing,
            about: 0,
            why,
        }
    }

    /// Whether it is asked of this design at all; see [`Absent::not_asked`].
    #[must_use]
    pub const fn is_asked(&self) -> bool {
        !matches!(self.code, Code::Missing) || self.why.is_empty()
    }

    /// In words.
    #[must_use]
    pub fn message(&self) -> String {
        if self.code == Code::Refused {
            return self.refusal();
        }
        if !self.why.is_empty() {
            return self.why.into();
        }
        let label = register::label(usize::from(self.about));
        match self.code {
            Code::Missing | Code::Refused => ["missing: ", label].concat(),
            Code::Unlimited => ["no limit: ", label].concat(),
            Code::Impossible => ["cannot be: ", label].concat(),
            Code::Waits => ["waits: ", &in_sentence(label), " is above its limit"].concat(),
            Code::Above => ["above its limit: ", label].concat(),
        }
    }
}

errors_in_words!(Absent);

impl Absent {
    /// The refused entry by its label, with the limit and its reason.
    fn refusal(&self) -> String {
        let index = usize::from(self.about);
        let label = in_sentence(register::label(index));
        match register::inputs().get(index) {
            Some(input) if entry::is_of_range(input, self.why) => [
                "refused: ",
                &label,
                " must be ",
                &entry::range_words(input),
                "; ",
                self.why,
            ]
            .concat(),
            _ => ["refused: ", &label, "; ", self.why].concat(),
        }
    }
}
