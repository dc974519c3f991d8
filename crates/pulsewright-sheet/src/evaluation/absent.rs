//! Why a result is not there.

use crate::register;

/// Why a result is not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Code {
    /// Something that it needs is not given or not understood.
    Missing,
    /// There is no limit: longer than any time, more than any load.
    Unlimited,
    /// It cannot be.
    Impossible,
}

impl Code {
    /// The word in the report.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Missing => "missing",
            Self::Unlimited => "unlimited",
            Self::Impossible => "impossible",
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
pub(super) const CYCLE: Absent = Absent::impossible("it depends on itself");

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
    /// It does not apply to this design.
    #[must_use]
    pub const fn not_asked(why: &'static str) -> Self {
        Self {
            code: Code::Missing,
            about: 0,
            why,
        }
    }

    /// In words.
    #[must_use]
    pub fn message(&self) -> String {
        if !self.why.is_empty() {
            return self.why.into();
        }
        let label = register::label(usize::from(self.about));
        let id = register::id(usize::from(self.about));
        match self.code {
            Code::Missing => ["waits for ", id, " (", label, ")"].concat(),
            Code::Unlimited => ["no limit: ", label].concat(),
            Code::Impossible => ["cannot be: ", label].concat(),
        }
    }
}

errors_in_words!(Absent);
