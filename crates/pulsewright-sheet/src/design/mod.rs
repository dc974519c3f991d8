//! A design: what a person has entered, nothing else, and nothing of it lost.

pub mod card;
pub mod entry;
pub mod entry_text;
pub mod link;
pub mod open;
pub mod presets;
pub mod schema;
mod wishes;

pub use wishes::Wish;

use self::entry::{Entry, Refusal};
use crate::register::{self, INPUT_COUNT};
use crate::text::number::DecimalMark;

/// What an input of a design holds.
#[derive(Clone, Debug, PartialEq)]
pub enum State {
    /// Nothing entered: the register's preset stands in.
    Assumed,
    /// An entry that was understood.
    Given(Entry),
    /// An entry that was not; kept, so that it can be mended.
    Refused {
        /// As typed.
        text: String,
        /// Why.
        refusal: Refusal,
    },
}

/// What a person has entered.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    states: Vec<State>,
    /// Ids that this register does not have, kept with their texts.
    pub unknown: Vec<(String, String)>,
    /// Entries of an id that was there before; the first counts.
    pub repeated: Vec<(String, String)>,
}

impl Default for Design {
    fn default() -> Self {
        Self {
            states: vec![State::Assumed; INPUT_COUNT],
            unknown: Vec::new(),
            repeated: Vec::new(),
        }
    }
}

impl Design {
    /// Enters `text` into the input of number `index`; an empty text takes the entry away.
    ///
    /// # Example
    /// ```
    /// use pulsewright_sheet::design::Design;
    /// use pulsewright_sheet::register::gears;
    /// use pulsewright_sheet::text::number::DecimalMark;
    ///
    /// let mut design = Design::default();
    /// design.enter(gears::EFFICIENCY.index(), "0,65", DecimalMark::Typed);
    /// assert_eq!(design.text(gears::EFFICIENCY.index()), "0.65");
    /// ```
    pub fn enter(&mut self, index: usize, text: &str, marks: DecimalMark) {
        let (Some(input), Some(state)) =
            (register::inputs().get(index), self.states.get_mut(index))
        else {
            return;
        };
        *state = if text.trim().is_empty() {
            State::Assumed
        } else {
            match entry::read(input, text, marks) {
                Ok(entry) => State::Given(entry),
                Err(refusal) => State::Refused {
                    text: text.into(),
                    refusal,
                },
            }
        };
    }

    /// Enters `text` under `id`, as a link or a file does; true when the design now follows it. What it does not follow
    /// is kept: an unknown id, a refused text, a second entry of an id.
    ///
    /// # Example
    /// ```
    /// use pulsewright_sheet::design::Design;
    ///
    /// let mut design = Design::default();
    /// assert!(design.enter_id("gears.ratio", "380"));
    /// assert!(!design.enter_id("gears.ratio", "298"));
    /// assert!(!design.enter_id("gears.rattio", "380"));
    /// assert!(!design.enter_id("motor.rated_voltage", "5 A"));
    /// assert_eq!(design.unknown, [("gears.rattio".into(), "380".into())]);
    /// ```
    pub fn enter_id(&mut self, id: &str, text: &str) -> bool {
        match register::find_input(id) {
            Some(index) if matches!(self.states.get(index), Some(State::Assumed)) => {
                self.enter(index, text, DecimalMark::Stored);
                !matches!(self.state(index), State::Refused { .. })
            }
            Some(_) => {
                self.repeated.push((id.into(), text.into()));
                false
            }
            None => {
                let known = self.unknown.iter().any(|(known, _)| known == id);
                let kept = if known {
                    &mut self.repeated
                } else {
                    &mut self.unknown
                };
                kept.push((id.into(), text.into()));
                false
            }
        }
    }

    /// What the input of number `index` holds.
    #[must_use]
    pub fn state(&self, index: usize) -> &State {
        self.states.get(index).unwrap_or(&State::Assumed)
    }

    /// The entry of input `index`, if it was understood.
    #[must_use]
    pub fn entry(&self, index: usize) -> Option<&Entry> {
        match self.state(index) {
            State::Given(entry) => Some(entry),
            _ => None,
        }
    }

    /// The text that stands in input `index`: as a link carries it, or as typed where it was refused.
    #[must_use]
    pub fn text(&self, index: usize) -> &str {
        match self.state(index) {
            State::Given(entry) => &entry.text,
            State::Refused { text, .. } => text,
            State::Assumed => "",
        }
    }

    /// The text of input `index` as links and files carry it. One refused for a point that can be
    /// read in two ways is carried with commas: a point there is a decimal point, and the reader
    /// would settle what its writer left open.
    #[must_use]
    pub fn carried(&self, index: usize) -> String {
        let text = self.text(index);
        match (self.state(index), register::inputs().get(index)) {
            (State::Refused { .. }, Some(input))
                if entry::read(input, text, DecimalMark::Stored).is_ok() =>
            {
                text.replace('.', ",")
            }
            _ => text.into(),
        }
    }

    /// Numbers of the inputs whose own text was refused, with the message.
    #[must_use]
    pub fn refused(&self) -> Vec<(usize, String)> {
        self.states
            .iter()
            .enumerate()
            .filter_map(|(i, s)| match s {
                State::Refused { refusal, .. } => Some((i, refusal.message())),
                _ => None,
            })
            .collect()
    }

    /// Whether nothing at all is entered.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.unknown.is_empty() && self.states.iter().all(|s| matches!(s, State::Assumed))
    }
}
