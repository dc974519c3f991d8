//! An input slid by hand: the entries around the value that stands there.

use crate::analysis::remedy::rounded;
use crate::design::Design;
use crate::design::entry::{self, Entry};
use crate::evaluation::Eval;
use crate::evaluation::display;
use crate::register::{self, ChangedBy, Form};
use crate::text::measure::Measure;
use crate::text::notation::Notation;
use crate::text::number::DecimalMark;

/// How far it goes on either side of what is above zero.
const FACTOR: f64 = 4.0;

/// How far a temperature goes on either side, K.
const WARMER: f64 = 40.0;

/// The values that an input is slid through, in its own range, around the one that stands there.
///
/// ```
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::register;
/// use pulsewright_sheet::output::slider::Slide;
///
/// let read = link::read("#pw1;supply.voltage=12V~2%").expect("a link of ours");
/// let slide = Slide::new(&Eval::new(&read.design), register::supply::VOLTAGE.index()).expect("a number above zero");
/// assert_eq!(slide.place(), 0.5);
/// assert_eq!(slide.entry(0.75).expect("within the range").text, "24V~2pct");
/// ```
#[derive(Clone, Debug)]
pub struct Slide {
    design: Design,
    notation: Notation,
    index: usize,
    measure: Measure,
    present: f64,
    low: f64,
    high: f64,
    /// Equal steps are equal factors.
    factors: bool,
}

impl Slide {
    /// From a quarter of the present value to four times it where it is above zero, four times it to either
    /// side where it is below, the whole range where it is zero; never out of the input's own range.
    /// `None` where there is no number to slide, or nothing is designed by it.
    #[must_use]
    pub fn new(c: &Eval<'_>, index: usize) -> Option<Self> {
        let input = register::inputs().get(index)?;
        let listed = matches!(
            input.form,
            Form::Choice(_) | Form::Stages | Form::Shares | Form::Text
        );
        let taken_place_of = display::superseded_by(c, index).is_some();
        if listed || taken_place_of || input.changed_by == ChangedBy::Nothing {
            return None;
        }
        let answer = c.answer(index);
        let (present, measure) = (answer.found.ok()?, answer.measure);
        let (least, most) = entry::bounds(input, measure);
        let (low, high) = if measure == Measure::Temperature {
            (present - WARMER, present + WARMER)
        } else if present == 0.0 {
            (least?, most?)
        } else {
            let far = FACTOR * present.abs();
            (
                if present > 0.0 {
                    present / FACTOR
                } else {
                    -far
                },
                far,
            )
        };
        let low = least.map_or(low, |least| low.max(least));
        let high = most.map_or(high, |most| high.min(most));
        (low < high).then(|| Self {
            design: c.design().clone(),
            notation: c.notation,
            index,
            measure,
            present,
            low,
            high,
            factors: low > 0.0 && measure != Measure::Temperature,
        })
    }

    /// Where the present value stands, from 0 to 1.
    #[must_use]
    pub fn place(&self) -> f64 {
        let Self {
            present, low, high, ..
        } = *self;
        if self.factors {
            libm::log(present / low) / libm::log(high / low)
        } else {
            (present - low) / (high - low)
        }
    }

    /// The entry at `place`, in the unit and with the tolerance that stand in the field; `None` where the
    /// input refuses it.
    #[must_use]
    pub fn entry(&self, place: f64) -> Option<Entry> {
        let Self { low, high, .. } = *self;
        let value = if self.factors {
            low * libm::pow(high / low, place)
        } else {
            low + (high - low) * place
        };
        let up = value < self.present;
        let text = rounded(
            &Eval::new(&self.design).in_notation(self.notation),
            self.index,
            self.measure,
            value,
            up,
            3,
        )?;
        let input = register::inputs().get(self.index)?;
        entry::read(input, &text, DecimalMark::Stored).ok()
    }
}
