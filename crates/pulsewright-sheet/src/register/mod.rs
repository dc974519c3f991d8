//! The register: every input and every result, one entry each, in words.
//!
//! A station is a module: its inputs, its results. What computes them has the same name among the
//! [stations](crate::stations). Inputs and results share one numbering; a [`Key`] is a number that
//! remembers the type of its quantity.

#[macro_use]
pub mod schema;
pub mod key;

pub use key::{Found, Key, PerUnit, Physical, Rational, Shares, Stages, Travel, Words};
pub use schema::{
    ChangedBy, DefaultTolerance, Form, Heading, Input, Kind, Kinds, Preset, ResultDefinition,
    SMALLEST_SHARE, SMALLEST_SIZE, Station, YesNo,
};

use crate::text::measure::Measure;
use schema::{INPUT, RESULT};

/// The inputs of a part of the register: `part; KEY: Type = Input { … };`. They are numbered in the order of the entries.
macro_rules! inputs {
    ($part:ident; $($key:ident: $type:ty = $entry:expr;)*) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms, dead_code)]
        enum InputAt { $($key,)* }
        $(
            /// The input of this name.
            pub const $key: $crate::register::Key<$type> = $crate::register::Key::at(
                $crate::register::first_input($crate::register::Part::$part) + InputAt::$key as usize,
            );
        )*
        /// The inputs.
        pub(crate) const INPUTS: &[$crate::register::Input] = &[$($entry,)*];
    };
}

/// The results of a part of the register: `part; KEY: Type = Outcome { … };`.
macro_rules! results {
    ($part:ident; $($key:ident: $type:ty = $entry:expr;)*) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms, dead_code)]
        enum ResultAt { $($key,)* }
        $(
            /// The result of this name.
            pub const $key: $crate::register::Key<$type> = $crate::register::Key::at(
                $crate::register::first_result($crate::register::Part::$part) + ResultAt::$key as usize,
            );
        )*
        /// The results.
        pub(crate) const RESULTS: &[$crate::register::ResultDefinition] = &[$($entry,)*];
    };
}

pub mod axis;
pub mod bench;
pub mod bridge;
pub mod card;
pub mod drive;
pub mod encoder;
pub mod formula;
pub mod gears;
pub mod heat;
pub mod landing;
pub mod motor;
pub mod movement;
pub mod position_loop;
pub mod regulator;
pub mod stepper;
pub mod steps;
pub mod supply;
pub mod verdict;
pub mod wiring;

macro_rules! tables {
    ($($part:ident $($station:ident)?;)+) => {
        /// A part of the register, for the numbering.
        #[allow(non_camel_case_types)]
        #[derive(Clone, Copy)]
        pub(crate) enum Part { $($part,)+ }

        const INPUT_TABLES: &[&[Input]] = &[$($part::INPUTS,)+];
        const RESULT_TABLES: &[&[ResultDefinition]] = &[$($part::RESULTS,)+];

        /// The stations in order.
        pub const STATIONS: &[Heading] = &[$($({
            let _ = Station::$station;
            $part::HEADING
        },)?)+];
    };
}
stations! { tables }

/// Number of the first input of a part.
pub(crate) const fn first_input(part: Part) -> usize {
    let (mut at, mut table) = (0, 0);
    while table < part as usize {
        at += INPUT_TABLES[table].len();
        table += 1;
    }
    at
}

/// Number of the first result of a part.
pub(crate) const fn first_result(part: Part) -> usize {
    let (mut at, mut table) = (INPUT_COUNT, 0);
    while table < part as usize {
        at += RESULT_TABLES[table].len();
        table += 1;
    }
    at
}

/// How many inputs there are.
pub const INPUT_COUNT: usize = {
    let (mut count, mut table) = (0, 0);
    while table < INPUT_TABLES.len() {
        count += INPUT_TABLES[table].len();
        table += 1;
    }
    count
};

/// How many results there are.
pub const RESULT_COUNT: usize = {
    let (mut count, mut table) = (0, 0);
    while table < RESULT_TABLES.len() {
        count += RESULT_TABLES[table].len();
        table += 1;
    }
    count
};

/// How many inputs and results there are together.
pub const COUNT: usize = INPUT_COUNT + RESULT_COUNT;

impl Station {
    /// What is said of it.
    #[must_use]
    pub fn heading(self) -> &'static Heading {
        STATIONS
            .iter()
            .find(|h| h.station == self)
            .unwrap_or(&STATIONS[0])
    }
}

impl<Q> Key<Q> {
    /// Its id.
    #[must_use]
    pub fn id(self) -> &'static str {
        id(self.index())
    }
}

static INPUTS: [Input; INPUT_COUNT] = {
    let mut all = [INPUT; INPUT_COUNT];
    let (mut table, mut at) = (0, 0);
    while table < INPUT_TABLES.len() {
        let mut row = 0;
        while row < INPUT_TABLES[table].len() {
            all[at] = INPUT_TABLES[table][row];
            at += 1;
            row += 1;
        }
        table += 1;
    }
    all
};

static RESULTS: [ResultDefinition; RESULT_COUNT] = {
    let mut all = [RESULT; RESULT_COUNT];
    let (mut table, mut at) = (0, 0);
    while table < RESULT_TABLES.len() {
        let mut row = 0;
        while row < RESULT_TABLES[table].len() {
            all[at] = RESULT_TABLES[table][row];
            at += 1;
            row += 1;
        }
        table += 1;
    }
    all
};

/// Every input, by number.
#[must_use]
pub const fn inputs() -> &'static [Input] {
    &INPUTS
}

/// Every result; the first has the number [`INPUT_COUNT`].
#[must_use]
pub fn results() -> &'static [ResultDefinition] {
    &RESULTS
}

/// The result of this number, where it is one.
#[must_use]
pub fn result(index: usize) -> Option<&'static ResultDefinition> {
    RESULTS.get(index.checked_sub(INPUT_COUNT)?)
}

/// The id of this number.
#[must_use]
pub fn id(index: usize) -> &'static str {
    match INPUTS.get(index) {
        Some(input) => input.id,
        None => result(index).map_or("", |r| r.id),
    }
}

/// The label of this number.
#[must_use]
pub fn label(index: usize) -> &'static str {
    match INPUTS.get(index) {
        Some(input) => input.label,
        None => result(index).map_or("", |r| r.label),
    }
}

/// The symbol of this number.
#[must_use]
pub fn symbol(index: usize) -> &'static str {
    match INPUTS.get(index) {
        Some(input) => input.symbol,
        None => result(index).map_or("", |r| r.symbol),
    }
}

/// What the number measures.
#[must_use]
pub fn measure(index: usize) -> Measure {
    match INPUTS.get(index) {
        Some(input) => match input.form {
            Form::Quantity(measure) => measure,
            Form::Travel => Measure::Angle,
            Form::Shares => Measure::Share,
            Form::Exact => Measure::Ratio,
            _ => Measure::Count,
        },
        None => result(index).map_or(Measure::Ratio, |r| r.measure),
    }
}

/// The number of an id. A result stands before an input of the same id: it is the value in effect
/// (`gears.efficiency` given, implied or estimated).
#[must_use]
pub fn find(wanted: &str) -> Option<usize> {
    let result = RESULTS
        .iter()
        .position(|r| r.id == wanted)
        .map(|at| INPUT_COUNT + at);
    result.or_else(|| find_input(wanted))
}

/// The number of an input's id.
#[must_use]
pub fn find_input(wanted: &str) -> Option<usize> {
    INPUTS.iter().position(|i| i.id == wanted)
}

/// The station that shows an input or a result, by its id's prefix.
#[must_use]
pub fn station(index: usize) -> Option<Station> {
    let prefix = id(index).split('.').next()?;
    let heading = STATIONS.iter().find(|h| h.prefixes.contains(&prefix))?;
    Some(heading.station)
}

/// The inputs of a station, by their numbers.
pub fn inputs_of(station: Station) -> impl Iterator<Item = usize> {
    (0..INPUT_COUNT).filter(move |&index| self::station(index) == Some(station))
}

/// The station of this name, as on the card or as its ids begin; the case of letters does not count.
///
/// # Example
/// ```
/// use pulsewright_sheet::register::{Station, station_named};
///
/// let of = |name| station_named(name).map(|heading| heading.station);
/// assert_eq!(of("Hold and heat"), Some(Station::Heat));
/// assert_eq!(of("hold-and-heat"), Some(Station::Heat));
/// assert_eq!(of("hold"), Some(Station::Heat));
/// assert_eq!(of("card"), None);
/// ```
#[must_use]
pub fn station_named(name: &str) -> Option<&'static Heading> {
    let name = name.trim().to_ascii_lowercase();
    let hyphened = |text: &str| text.to_ascii_lowercase().replace(' ', "-");
    let by_name = STATIONS
        .iter()
        .find(|heading| hyphened(heading.name) == hyphened(&name));
    by_name.or_else(|| {
        let begin = [name.as_str(), "."].concat();
        let index = (0..COUNT).find(|&index| id(index).starts_with(&begin))?;
        station(index).map(Station::heading)
    })
}
