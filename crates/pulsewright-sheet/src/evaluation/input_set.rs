//! Sets of inputs: what a result rests on.

use crate::register::INPUT_COUNT;

/// A set of inputs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Inputs(pub(super) [u64; WORDS]);

/// Words of a set of inputs.
pub(super) const WORDS: usize = INPUT_COUNT.div_ceil(64);

impl Inputs {
    /// Adds one.
    pub fn insert(&mut self, index: usize) {
        if let Some(word) = self.0.get_mut(index / 64) {
            *word |= 1 << (index % 64);
        }
    }
    /// Whether it is in.
    #[must_use]
    pub fn has(self, index: usize) -> bool {
        self.0
            .get(index / 64)
            .is_some_and(|w| w & (1 << (index % 64)) != 0)
    }
    /// Both together.
    #[must_use]
    #[inline(always)]
    pub fn or(self, other: Self) -> Self {
        let ([a, b, c, d], [p, q, r, s]) = (self.0, other.0);
        Self([a | p, b | q, c | r, d | s])
    }
    /// Their numbers.
    pub fn iter(self) -> impl Iterator<Item = usize> {
        (0..INPUT_COUNT).filter(move |&i| self.has(i))
    }
}
