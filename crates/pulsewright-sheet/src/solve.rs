//! Values that make a design just do: found on the real evaluation, by bracketing and bisection.
//!
//! Nothing of this belongs to the ordinary evaluation: each call evaluates the design some hundred
//! times, a bounded number, and is asked for where an answer is shown.

use crate::check::{self, Check, Room, Status};
use crate::design::Design;
use crate::eval::{Eval, Inputs};
use crate::num::{self, Marks};
use crate::rank::{self, Train};
use crate::register::{self, Form, Input, axis, gears};
use crate::unit::Measure;

/// Margin of a check that is clear.
pub const CLEAR: f64 = 1.25;

/// Steps outwards on either side of the present value.
const WALK: i32 = 72;

/// Halvings of a bracket.
const HALVINGS: u32 = 48;

/// The greatest load that a design carries.
#[derive(Clone, Debug, PartialEq)]
pub struct GreatestLoad {
    /// The input that says the load: axis.load_mass, or axis.load_torque_given for kind torque.
    pub input: usize,
    /// The load, in SI.
    pub load: f64,
    /// The check that binds; none where the range of the input ends first.
    pub check: Option<&'static str>,
    /// Checks that the load has a part in and that no load meets, not the present one and not none
    /// at all: they are left out of account.
    pub besides: Vec<&'static str>,
}

/// The load at which the worst of the checks that it has a part in just reaches the margin 1.
///
/// The greatest load up to which every such check is met, sought from the present one upwards, or
/// downwards where one is not met. `None` where no load meets them all.
#[must_use]
pub fn greatest_load(design: &Design) -> Option<GreatestLoad> {
    let (input, present, held) = {
        let c = Eval::new(design);
        let input = match c.get(axis::KIND).ok()? {
            axis::Kind::Torque => axis::LOAD_TORQUE_GIVEN.index(),
            _ => axis::LOAD_MASS.index(),
        };
        (input, c.raw(input).ok()?, check::all(&c))
    };
    let mut trial = Trial::new(design, input)?;
    let checks: Vec<&Check> = held
        .iter()
        .filter(|h| h.rests_on.has(input))
        .map(|h| h.check)
        .collect();
    let (none, now) = (trial.met(&checks, 0.0)?, trial.met(&checks, present)?);
    let met_at_some: Vec<bool> = none.iter().zip(&now).map(|(a, b)| *a || *b).collect();
    let of = |curable: bool| {
        let checks = checks.iter().zip(&met_at_some);
        checks
            .filter(move |(_, met)| **met == curable)
            .map(|(check, _)| *check)
    };
    let curable: Vec<&Check> = of(true).collect();
    if curable.is_empty() {
        return None;
    }
    let mut pass = |load: f64| matches!(trial.fails(&curable, load), Some(None));
    let (mut good, mut bad) = (present, present);
    if pass(present) {
        for _ in 0..WALK {
            bad = 1.5 * bad.max(1e-3);
            if !pass(bad) {
                break;
            }
            good = bad;
        }
    } else {
        let mut found = false;
        for _ in 0..WALK {
            good *= 0.85;
            found = pass(good);
            if found {
                break;
            }
            bad = good;
        }
        if !found {
            good = 0.0;
            if !pass(good) {
                return None;
            }
        }
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (good + bad);
        if middle == good || middle == bad {
            break;
        }
        if pass(middle) {
            good = middle;
        } else {
            bad = middle;
        }
    }
    // Where the input refuses the next greater load no check binds, but the range of the input.
    let check = trial.fails(&curable, bad).flatten().map(|check| check.id);
    let besides = of(false).map(|check| check.id).collect();
    Some(GreatestLoad {
        input,
        load: good,
        check,
        besides,
    })
}

/// The value of the numeric input `index` nearest to its present one at which `check` reaches the
/// margin [`CLEAR`]; whole numbers, and choices by the number of their word, are searched.
///
/// `None` where no value in the input's range does, or the check does not rest on the input.
/// Distances grow by a quarter from one trial to the next: what holds only between two of them is
/// passed over. A ratio is changed as another gearbox on the same motor ([`rank::other_gearbox`]).
#[must_use]
pub fn nearest(design: &Design, index: usize, check: &str) -> Option<f64> {
    let check = check::table().find(|c| c.id == check)?;
    nearest_within(design, index, check, WALK, 1e-10)
}

/// [`nearest`] within so many steps, and to a relative `fineness`.
pub(crate) fn nearest_within(
    design: &Design,
    index: usize,
    check: &Check,
    steps: i32,
    fineness: f64,
) -> Option<f64> {
    let input = register::inputs().get(index)?;
    let mut trial = Trial::new(design, index)?;
    let (room, rests_on) = trial.room(check);
    let rests = rests_on.has(index)
        || (index == gears::RATIO.index() && rests_on.has(gears::STAGES.index()));
    if !rests {
        return None;
    }
    if let Form::Choice(words) = input.form {
        let present = trial.present;
        if room.is_some_and(|room| room.status() == Status::Clear) {
            return present;
        }
        return (0..words.len())
            .map(|word| word as f64)
            .find(|&word| Some(word) != present && trial.clears(word, check));
    }
    let present = trial.present?;
    if room.is_some_and(|room| room.status() == Status::Clear) {
        return Some(present);
    }
    let walk = Walk::new(input, present, fineness);
    let (mut above, mut below) = (Side::at(present), Side::at(present));
    for step in 0..steps {
        let up = above.next(walk.up(step), &mut trial, check);
        let down = below.next(walk.down(step), &mut trial, check);
        let up = up.map(|bracket| walk.narrow(bracket, &mut trial, check));
        let down = down.map(|bracket| walk.narrow(bracket, &mut trial, check));
        match (up, down) {
            (Some(a), Some(b)) => {
                return Some(if walk.distance(a) <= walk.distance(b) {
                    a
                } else {
                    b
                });
            }
            (Some(value), None) | (None, Some(value)) => return Some(value),
            (None, None) if above.ended && below.ended => return None,
            (None, None) => {}
        }
    }
    None
}

/// Whether a check reaches a margin: nothing asked is always met.
fn reaches(room: Room, margin: f64) -> bool {
    room.margin().is_none_or(|m| m >= margin - 1e-12)
}

/// What a check finds, and what it rests on.
fn room(c: &Eval<'_>, check: &Check) -> (Option<Room>, Inputs) {
    let (room, rests_on) = c.apart(check.room);
    let room = room
        .ok()
        .flatten()
        .filter(|room| !room.capability.is_nan() && !room.need.is_nan());
    (room, rests_on)
}

fn is_met(c: &Eval<'_>, check: &Check) -> bool {
    room(c, check).0.is_some_and(|room| reaches(room, 1.0))
}

/// A copy of a design in which one input is tried.
pub(crate) struct Trial<'a> {
    base: &'a Design,
    design: Design,
    index: usize,
    input: &'static Input,
    pub(crate) present: Option<f64>,
    /// Angle or length, where it is a travel.
    pub(crate) measure: Measure,
}

impl<'a> Trial<'a> {
    pub(crate) fn new(base: &'a Design, index: usize) -> Option<Self> {
        let input = register::inputs().get(index)?;
        let c = Eval::new(base);
        // A result of the same id is the value in effect; of a ratio it is that of the stages.
        let in_effect = if index == gears::RATIO.index() {
            gears::RATIO_NOW.index()
        } else {
            index
        };
        let present = c
            .raw(in_effect)
            .or_else(|absent| register::find(input.id).map_or(Err(absent), |i| c.raw(i)));
        Some(Self {
            base,
            design: base.clone(),
            index,
            input,
            present: present.ok(),
            measure: c.answer(index).measure,
        })
    }

    /// Puts the value in; false where the input refuses it.
    fn set(&mut self, value: f64) -> bool {
        if self.index == gears::RATIO.index() {
            let text = num::text(value, 12);
            let other = rank::other_gearbox(self.base, Train::Ratio(&text));
            return match other {
                Ok(design) => {
                    self.design = design;
                    true
                }
                Err(_) => false,
            };
        }
        let Some(text) = text(self.input, self.measure, value) else {
            return false;
        };
        self.design.enter(self.index, &text, Marks::Stored);
        self.design.entry(self.index).is_some()
    }

    /// What the check finds now, and what it rests on.
    fn room(&self, check: &Check) -> (Option<Room>, Inputs) {
        room(&Eval::new(&self.design), check)
    }

    /// Which of the checks are met at this value; nothing where the input refuses it.
    fn met(&mut self, checks: &[&Check], value: f64) -> Option<Vec<bool>> {
        self.set(value).then(|| {
            let c = Eval::new(&self.design);
            checks.iter().map(|check| is_met(&c, check)).collect()
        })
    }

    /// The first of the checks that is not met at this value; nothing where the input refuses it.
    fn fails<'c>(&mut self, checks: &[&'c Check], value: f64) -> Option<Option<&'c Check>> {
        self.set(value).then(|| {
            let c = Eval::new(&self.design);
            checks.iter().find(|check| !is_met(&c, check)).copied()
        })
    }

    fn clears(&mut self, value: f64, check: &Check) -> bool {
        self.set(value)
            && self
                .room(check)
                .0
                .is_some_and(|room| room.status() == Status::Clear)
    }
}

/// The text of a value for an input: a bare number in SI, or a word.
fn text(input: &Input, measure: Measure, value: f64) -> Option<String> {
    Some(match input.form {
        Form::Quantity(measure) => num::text(measure.reported(value), 13),
        Form::Whole => num::text(libm::round(value), 13),
        Form::Exact => num::text(value, 12),
        Form::Travel if measure == Measure::Length => [&num::text(value, 13), "m"].concat(),
        Form::Travel => [&num::text(value, 13), "rad"].concat(),
        Form::Choice(words) => (*words.get(value as usize)?).into(),
        Form::Stages | Form::Shares | Form::Text => return None,
    })
}

/// How far the search goes at each step.
pub(crate) struct Walk {
    present: f64,
    fineness: f64,
    /// Factors below and above, not differences: for what cannot be negative.
    factors: bool,
    whole: bool,
}

impl Walk {
    pub(crate) fn new(input: &Input, present: f64, fineness: f64) -> Self {
        let whole = matches!(input.form, Form::Whole)
            || matches!(input.form, Form::Quantity(Measure::Gauge));
        let signed = input.low.starts_with('-');
        Self {
            present,
            fineness,
            factors: !whole && !signed && present > 0.0,
            whole,
        }
    }

    /// Relative or absolute distance of a step.
    fn reach(&self, step: i32) -> f64 {
        let grown = libm::pow(1.25, f64::from(step));
        if self.whole {
            libm::round(grown).max(f64::from(step) + 1.0)
        } else if self.factors {
            0.01 * grown
        } else if self.present == 0.0 {
            1e-5 * grown
        } else {
            // Of a temperature a third of a kelvin.
            0.001 * self.present.abs() * grown
        }
    }

    fn up(&self, step: i32) -> f64 {
        let reach = self.reach(step);
        if self.factors {
            self.present * (1.0 + reach)
        } else {
            self.present + reach
        }
    }

    fn down(&self, step: i32) -> f64 {
        let reach = self.reach(step);
        if self.factors {
            self.present / (1.0 + reach)
        } else {
            self.present - reach
        }
    }

    pub(crate) fn distance(&self, value: f64) -> f64 {
        if self.factors {
            let ratio = value / self.present;
            ratio.max(1.0 / ratio)
        } else {
            (value - self.present).abs()
        }
    }

    /// The end of the bracket that clears, brought as near to the other as the numbers allow.
    fn narrow(&self, (mut bad, mut good): (f64, f64), trial: &mut Trial<'_>, check: &Check) -> f64 {
        for _ in 0..HALVINGS {
            let mut middle = 0.5 * (bad + good);
            if self.whole {
                middle = libm::round(middle);
            }
            if middle == bad || middle == good || (good - bad).abs() <= self.fineness * good.abs() {
                break;
            }
            if trial.clears(middle, check) {
                good = middle;
            } else {
                bad = middle;
            }
        }
        good
    }
}

/// One side of the present value.
struct Side {
    last: f64,
    ended: bool,
}

impl Side {
    fn at(present: f64) -> Self {
        Self {
            last: present,
            ended: false,
        }
    }

    /// Tries the next value; a bracket (does not clear, clears) where it does. Where the value is
    /// refused, the end of the range is sought and tried in its place.
    fn next(&mut self, value: f64, trial: &mut Trial<'_>, check: &Check) -> Option<(f64, f64)> {
        if self.ended {
            return None;
        }
        let mut value = value;
        if !trial.set(value) {
            self.ended = true;
            let (mut inside, mut outside) = (self.last, value);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (inside + outside);
                if trial.set(middle) {
                    inside = middle;
                } else {
                    outside = middle;
                }
            }
            value = inside;
        }
        if trial.clears(value, check) {
            return Some((self.last, value));
        }
        self.last = value;
        None
    }
}
