//! The designs that documents name, each worked out once.

use pulsewright_sheet::evaluation::Eval;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

use crate::input;

/// A design worked out, or what is wrong with it.
pub type Worked = Result<Eval<'static>, Vec<String>>;

/// Designs by what names them.
#[derive(Default)]
pub struct Designs(HashMap<String, Worked>);

impl Designs {
    /// The design of a link or a file.
    pub fn of(&mut self, from: &str) -> &Worked {
        match self.0.entry(from.to_string()) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(new) => {
                let design = input::design(from);
                new.insert(design.map(|design| Eval::owned(design).simulating()))
            }
        }
    }

    /// The design whose text stands at `place`.
    pub fn of_text(&mut self, place: &str, text: &str) -> &Worked {
        match self.0.entry(place.to_string()) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(new) => {
                let design = input::carried(place, text);
                new.insert(design.map(|design| Eval::owned(design).simulating()))
            }
        }
    }
}
