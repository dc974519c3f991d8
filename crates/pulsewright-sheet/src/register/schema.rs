//! The shape of the register's entries: what is said of a station, an input, a result.

use crate::text::measure::Measure;

/// The parts of the register in the order of the card, the one list of them: module, and the station that it makes where
/// it makes one. Numbering, tables and stations follow from it; hand it to a macro that makes something of it.
macro_rules! stations {
    ($make:ident) => {
        $make! {
            card;
            axis Axis;
            movement Move;
            motor Motor;
            gears Gears;
            encoder Encoder;
            steps Steps;
            bridge Bridge;
            supply Supply;
            regulator Regulator;
            wiring Wiring;
            drive Drive;
            heat Heat;
            position_loop Loop;
            landing;
            stepper Stepper;
            verdict Verdict;
            bench Bench;
        }
    };
}

macro_rules! station_names {
    ($($module:ident $($station:ident)?;)+) => {
        /// A station of the route card, in the order in which power and motion flow.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[allow(missing_docs)]
        pub enum Station { $($($station,)?)+ }
    };
}
stations! { station_names }

/// Words that a choice takes, as an enumeration that the sheet can hold.
macro_rules! choices {
    ($(#[$note:meta])* $name:ident { $($variant:ident = $word:literal,)+ }) => {
        $(#[$note])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[allow(missing_docs)]
        #[repr(u8)]
        pub enum $name { $($variant,)+ }

        impl $name {
            /// The words, in the order of the variants.
            pub const WORDS: &'static [&'static str] = &[$($word,)+];
            /// Every variant.
            pub const EVERY: &'static [Self] = &[$(Self::$variant,)+];
        }

        impl $crate::register::key::Physical for $name {
            fn from_raw(raw: f64) -> Self {
                Self::EVERY.get(raw as usize).copied().unwrap_or(Self::EVERY[0])
            }
            fn raw(self) -> f64 {
                f64::from(self as u8)
            }
        }
    };
}

/// What is said of a station.
#[derive(Clone, Copy, Debug)]
pub struct Heading {
    /// Which.
    pub station: Station,
    /// What the ids of its inputs and results begin with.
    pub prefixes: &'static [&'static str],
    /// Its name on the card.
    pub name: &'static str,
    /// Its one question in plain words.
    pub question: &'static str,
    /// Why it matters and how it goes wrong, in two or three sentences.
    pub about: &'static str,
}

choices! {
    /// Kind of axis.
    Kind {
        Arm = "arm",
        Turntable = "turntable",
        Belt = "belt",
        Screw = "screw",
        Rack = "rack",
        Drum = "drum",
        Torque = "torque",
    }
}

impl Kind {
    /// Whether the axis moves along a line: its travel is a length.
    #[must_use]
    pub const fn is_linear(self) -> bool {
        matches!(self, Self::Belt | Self::Screw | Self::Rack | Self::Drum)
    }
}

choices! {
    /// A yes or a no.
    YesNo { No = "no", Yes = "yes", }
}

/// The kinds of axis, as a set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kinds(u8);

impl Kinds {
    /// Every kind.
    pub const ALL: Self = Self(0x7f);
    /// Only this one.
    #[must_use]
    pub const fn only(kind: Kind) -> Self {
        Self(1 << kind as u8)
    }
    /// Either set.
    #[must_use]
    pub const fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
    /// Whether `kind` is one of them.
    #[must_use]
    pub const fn has(self, kind: Kind) -> bool {
        self.0 & (1 << kind as u8) != 0
    }
}

/// What can be typed into an input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// A number with a unit.
    Quantity(Measure),
    /// A whole number.
    Whole,
    /// One word of a list.
    Choice(&'static [&'static str]),
    /// An exact number: a decimal as written, or a fraction `a/b` or `a:b`.
    Exact,
    /// Gear stages, pairs driven:driver.
    Stages,
    /// A list of shares, one a stage.
    Shares,
    /// An angle on rotary kinds, a length on linear kinds.
    Travel,
    /// Words.
    Text,
}

/// What stands in when nothing is given.
#[derive(Clone, Copy, Debug)]
pub enum Preset {
    /// Nothing: the definition says what happens then.
    LeftOut,
    /// Always this.
    Fixed(&'static str),
    /// By axis.kind: the first pair whose set has the kind; left out if none has.
    ByKind(&'static [(Kinds, &'static str)]),
    /// By motor.case_diameter: 10–12, 16, 20–25, 37 mm.
    ByClass([&'static str; 4]),
    /// Computed from other inputs and results, by a function of the station; the text says how.
    Computed(&'static str),
}

/// How sure an assumed value is, or a given one whose tolerance is not said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DefaultTolerance {
    /// It has no tolerance: a whole number, a choice, a wish.
    None,
    /// Known well enough to leave the tolerance out until one is given.
    Unstated,
    /// ± this much, as typed.
    Within(&'static str),
}

/// By what means a person can change an input to cure a shortfall, the handiest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChangedBy {
    /// A setting of the firmware or of the pulse source.
    Setting,
    /// Something that is fitted, wired or laid out.
    Fitting,
    /// Another part bought.
    Purchase,
    /// What is asked of the axis.
    Requirement,
    /// As it is found: only measuring can make it another.
    Measurement,
    /// Nothing is cured by it: it says what the other figures mean, is a limit of what parts bear, or
    /// comes in a few sizes only.
    Nothing,
}

/// An input.
#[derive(Clone, Copy, Debug)]
pub struct Input {
    /// `station.name`; never renamed once released.
    pub id: &'static str,
    /// Symbol in formulas, `base_subscript`.
    pub symbol: &'static str,
    /// Name in the trade's terms.
    pub label: &'static str,
    /// What it is called on a kind of axis that has a name of its own for it.
    pub labels: &'static [(Kind, &'static str)],
    /// What can be typed.
    pub form: Form,
    /// What stands in.
    pub preset: Preset,
    /// Least value; a leading `>` excludes the limit itself.
    pub low: &'static str,
    /// Greatest value; a leading `<` excludes the limit itself.
    pub high: &'static str,
    /// Why nothing below the least value is taken, where it is not that the size has no sign, would be none at all, or
    /// is less than is found.
    pub too_little: &'static str,
    /// Why nothing above the greatest value is taken, likewise.
    pub too_much: &'static str,
    /// Tolerance when none is given.
    pub default_tolerance: DefaultTolerance,
    /// Whether the word `none` leaves it out although it has a default.
    pub none: bool,
    /// Whether of several sides, typed as a listing has them (`12 × 10 × 26 mm`), the smallest is taken.
    pub smallest_side: bool,
    /// 1 asked first, 2 in the opened station, 3 behind "the rest".
    pub layer: u8,
    /// Kinds of axis that use it.
    pub kinds: Kinds,
    /// The input whose choice asks for it, and the words of that choice that do; none where it is always asked.
    pub asked_by: Option<(&'static str, &'static [&'static str])>,
    /// By what means it can be changed.
    pub changed_by: ChangedBy,
    /// Where to find it or how to measure it.
    pub help: &'static str,
}

/// Least size of an entry that is not 0, as a share of the greatest that its input takes: smaller ones are lost in the
/// figures, or lead beyond any number.
pub const SMALLEST_SHARE: f64 = 1e-18;
/// No size from here on is too small, whatever the greatest; in SI.
pub const SMALLEST_SIZE: f64 = 1e-12;

/// The parts that most inputs share.
pub(crate) const INPUT: Input = Input {
    id: "",
    symbol: "",
    label: "",
    labels: &[],
    form: Form::Text,
    preset: Preset::LeftOut,
    low: "",
    high: "",
    too_little: "",
    too_much: "",
    default_tolerance: DefaultTolerance::None,
    none: false,
    smallest_side: false,
    layer: 3,
    kinds: Kinds::ALL,
    asked_by: None,
    changed_by: ChangedBy::Measurement,
    help: "",
};

/// A result.
#[derive(Clone, Copy, Debug)]
pub struct ResultDefinition {
    /// `station.name`; never renamed once released.
    pub id: &'static str,
    /// Symbol in formulas.
    pub symbol: &'static str,
    /// Name in the trade's terms.
    pub label: &'static str,
    /// What it measures.
    pub measure: Measure,
    /// What it means in the workshop; `{}` stands for the value with its unit.
    pub meaning: &'static str,
    /// Its formula over ids (see [`super::formula`]); a function may name another
    /// where it has cases.
    pub formula: &'static str,
    /// Where the formula comes from.
    pub source: &'static str,
    /// Whether the card lists it; what only serves other results is left to the report.
    pub shown: bool,
    /// Whether it takes hundreds of evaluations of its own: computed only where it is asked for.
    pub costly: bool,
}

/// The parts that most results share.
pub(crate) const RESULT: ResultDefinition = ResultDefinition {
    id: "",
    symbol: "",
    label: "",
    measure: Measure::Ratio,
    meaning: "",
    formula: "",
    source: "",
    shown: true,
    costly: false,
};
