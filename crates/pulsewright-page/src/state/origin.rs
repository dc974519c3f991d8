//! Where a design came from, and what the page opens with.

use pulsewright_sheet::design::Design;
use pulsewright_sheet::guide::examples::EXAMPLES;
use pulsewright_sheet::text::notation::Notation;

/// Where a design came from.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// One's own, by the number under which it is kept.
    Mine(u32),
    /// An example, by number.
    Example(usize),
    /// Somebody's link.
    Link,
    /// A file.
    File,
}

/// A leaf behind the stations.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Leaf {
    /// What a build does that misbehaves.
    Signs,
    /// The trade's words.
    Words,
}

impl Leaf {
    /// Its name in element ids.
    pub fn name(self) -> &'static str {
        match self {
            Self::Signs => "signs",
            Self::Words => "words",
        }
    }
}

/// What the page opens with.
pub struct Opening {
    /// The design.
    pub design: Design,
    /// Where it came from.
    pub origin: Origin,
    /// How numbers are shown.
    pub notation: Notation,
    /// What could not be read.
    pub trouble: Option<&'static str>,
}

/// The design of example `number`.
pub fn example(number: usize) -> Design {
    EXAMPLES
        .get(number)
        .and_then(|e| pulsewright_sheet::design::link::read(e.link).ok())
        .map(|read| read.design)
        .unwrap_or_default()
}
