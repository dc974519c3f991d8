//! Figures that somebody wishes for: what a part would have to be, not what a listing says.
//!
//! The wished figure stands in its field, for everything is computed with it; `card.wished` names it and carries what
//! stood there before: `motor.stall_torque:3.2kgf.cm,gears.stages:36:12,34:13,motor.stall_current`. Behind an id
//! stands its text, none where nothing was entered.

use super::{Design, State, entry, entry_text};
use crate::register::{self, card};
use crate::text::number::DecimalMark;

/// A figure that is wished for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wish {
    /// The input.
    pub input: usize,
    /// What stood in it before, as a link carries it; empty where nothing did.
    pub listed: String,
}

impl Wish {
    /// What stood there before, as people read it.
    #[must_use]
    pub fn readable(&self) -> String {
        let input = register::inputs().get(self.input);
        let entry = input.and_then(|i| entry::read(i, &self.listed, DecimalMark::Stored).ok());
        entry.map_or_else(
            || self.listed.clone(),
            |entry| entry_text::entry_text(self.input, &entry),
        )
    }
}

impl Design {
    /// The figures that are wished for, in the order in which they were.
    ///
    /// # Example
    /// ```
    /// use pulsewright_sheet::design::link;
    /// use pulsewright_sheet::register::motor;
    ///
    /// let text = "#pw1;card.wished=motor.stall_torque:3.2kgf.cm;motor.stall_torque=19kgf.cm";
    /// let mut design = link::read(text).expect("a link of ours").design;
    /// assert_eq!(design.wishes()[0].listed, "3.2kgf.cm");
    /// design.take_wish_back(motor::STALL_TORQUE.index());
    /// assert_eq!(link::write(&design), "#pw1;motor.stall_torque=3.2kgf.cm");
    /// ```
    #[must_use]
    pub fn wishes(&self) -> Vec<Wish> {
        let mut wishes: Vec<Wish> = Vec::new();
        for piece in self.text(card::WISHED.index()).split(',') {
            let (id, listed) = piece.split_once(':').unwrap_or((piece, ""));
            match register::find_input(id.trim()) {
                Some(input) => {
                    if wishes.iter().all(|wish| wish.input != input) {
                        wishes.push(Wish {
                            input,
                            listed: listed.into(),
                        });
                    }
                }
                // A comma within a text: stages and shares have them.
                None => {
                    if let Some(last) = wishes.last_mut() {
                        last.listed = [&last.listed, ",", piece].concat();
                    }
                }
            }
        }
        wishes
    }

    /// The wish for input `index`, where it is one.
    #[must_use]
    pub fn wish(&self, index: usize) -> Option<Wish> {
        self.wishes().into_iter().find(|wish| wish.input == index)
    }

    /// Notes that what stands in input `index` is wished for, in place of `listed`; a wish for a wish keeps what was
    /// listed first, and none is left where that stands there again.
    pub fn note_wish(&mut self, index: usize, listed: &str) {
        let mut wishes = self.wishes();
        if wishes.iter().all(|wish| wish.input != index) {
            wishes.push(Wish {
                input: index,
                listed: listed.into(),
            });
        }
        wishes.retain(|wish| self.text(wish.input) != wish.listed);
        self.carry(&wishes);
    }

    /// Takes input `index` for a figure of its own again: somebody has entered it.
    pub fn forget_wish(&mut self, index: usize) {
        let mut wishes = self.wishes();
        wishes.retain(|wish| wish.input != index);
        self.carry(&wishes);
    }

    /// Puts what was listed back in the place of what is wished for.
    pub fn take_wish_back(&mut self, index: usize) {
        if let Some(wish) = self.wish(index) {
            self.enter(index, &wish.listed, DecimalMark::Stored);
            self.forget_wish(index);
        }
    }

    /// Whether input `index` was entered as a figure of its own, and not wished for.
    #[must_use]
    pub fn is_own(&self, index: usize) -> bool {
        !matches!(self.state(index), State::Assumed) && self.wish(index).is_none()
    }

    fn carry(&mut self, wishes: &[Wish]) {
        let pieces: Vec<String> = wishes
            .iter()
            .map(|wish| {
                let id = register::id(wish.input);
                if wish.listed.is_empty() {
                    id.into()
                } else {
                    [id, ":", &wish.listed].concat()
                }
            })
            .collect();
        self.enter(card::WISHED.index(), &pieces.join(","), DecimalMark::Stored);
    }
}
