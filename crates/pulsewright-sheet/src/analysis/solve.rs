//! Values that make a design just do: found on the real evaluation, by bracketing and bisection.
//!
//! Nothing of this belongs to the ordinary evaluation: each call evaluates the design some hundred
//! times, a bounded number, and is asked for where an answer is shown.

use crate::analysis::gearbox::{self, Gearbox};
use crate::analysis::tolerance;
use crate::design::Design;
use crate::evaluation::{Absent, Check, Eval, Inputs, Margin, Status};
use crate::register::Kind;
use crate::register::{self, Form, Input, axis, gears};
use crate::text::measure::Measure;
use crate::text::number::{self, DecimalMark};

/// Margin of a check that is clear.
pub const CLEAR: f64 = 1.25;

/// Steps outwards on either side of the present value.
const WALK: i32 = 72;

/// Halvings of a bracket.
const HALVINGS: u32 = 48;

/// The greatest load that a design carries, whatever load is entered.
#[derive(Clone, Debug, PartialEq)]
pub struct GreatestLoad {
    /// The input that says the load: axis.load_mass, or axis.load_torque_given for kind torque.
    pub input: usize,
    /// The load, in SI.
    pub load: f64,
    /// The check that binds; none where the range of the input ends first.
    pub check: Option<&'static str>,
    /// Checks that the load has a part in and that no load meets: they are left out of account.
    pub besides: Vec<&'static str>,
}

/// The least load that is tried beside none at all, in SI, and the ratio of one to the next.
const LEAST_LOAD: f64 = 1e-5;
const NEXT_LOAD: f64 = 1.5;

/// The load at which the worst of the checks that it has a part in just reaches the margin 1.
///
/// The greatest load up to which every such check is met, sought from none at all upwards: the load that is entered has
/// no say.
///
/// # Errors
/// The checks that fail at any load, where no load meets the others.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::guide::examples::EXAMPLES;
/// use pulsewright_sheet::analysis::solve;
/// use pulsewright_sheet::register;
///
/// let design = link::read(EXAMPLES[0].link)?.design;
/// let c = Eval::new(&design);
/// if let Ok(greatest) = solve::max_load(&c) {
///     println!("{}: at most {}", register::label(greatest.input), greatest.load);
/// }
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn max_load(c: &Eval<'_>) -> Result<GreatestLoad, Vec<&'static str>> {
    let c = &c.of(c.design());
    let input = load_input(c);
    let mut trial = Trial::new(c, input).ok_or_else(Vec::new)?;
    let checks: Vec<&'static Check> = c.model().checks().collect();
    // Of each check whether the load has a part in it, some load meets it, and some load fails it.
    let mut seen = vec![[false; 3]; checks.len()];
    let mut loads: Vec<(f64, Vec<(Stand, bool)>)> = Vec::new();
    let mut load = 0.0;
    while let Some(stands) = trial.stand(&checks, load) {
        for (seen, (stand, has)) in seen.iter_mut().zip(&stands) {
            seen[0] |= has;
            seen[1] |= *stand == Stand::Met;
            seen[2] |= *stand == Stand::Fails;
        }
        loads.push((load, stands));
        load = (NEXT_LOAD * load).max(LEAST_LOAD);
    }
    let of = |which: [bool; 3]| {
        let checks = checks.iter().zip(&seen);
        checks.filter_map(move |(check, seen)| {
            (seen[..2] == which[..2] && (seen[2] || !which[2])).then_some(*check)
        })
    };
    let curable: Vec<&Check> = of([true, true, false]).collect();
    let besides: Vec<&'static str> = of([true, false, true]).map(|check| check.id).collect();
    let passes = |(_, stands): &(f64, Vec<(Stand, bool)>)| {
        let good = |stand| matches!(stand, Stand::Met | Stand::NotAsked);
        let mut stands = seen.iter().zip(stands);
        stands.all(|(seen, (stand, _))| !(seen[0] && seen[1]) || good(*stand))
    };
    let first = loads.iter().position(passes);
    let Some(first) = first.filter(|_| !curable.is_empty()) else {
        return Err(besides);
    };
    let last = first
        + loads[first..]
            .iter()
            .take_while(|load| passes(load))
            .count();
    let bad = loads.get(last).map_or(load, |(load, _)| *load);
    let mut pass = |load: f64| matches!(trial.fails(&curable, load), Some(None));
    let (good, bad) = bisect((loads[last - 1].0, bad), 0.0, &|middle| middle, &mut pass);
    // Where the input refuses the next greater load no check binds, but the range of the input.
    let check = trial.fails(&curable, bad).flatten().map(|check| check.id);
    Ok(GreatestLoad {
        input,
        load: good,
        check,
        besides,
    })
}

/// The input in which the load of the axis is entered.
pub(crate) fn load_input(c: &Eval<'_>) -> usize {
    match c.get(axis::KIND) {
        Ok(Kind::Torque) => axis::LOAD_TORQUE_GIVEN.index(),
        _ => axis::LOAD_MASS.index(),
    }
}

/// The value of the numeric input `index` nearest to its present one at which `check` reaches the
/// margin [`CLEAR`]; whole numbers, and choices by the number of their word, are searched.
///
/// `None` where no value in the input's range does, or the check does not rest on the input.
/// Distances grow by a quarter from one trial to the next: what holds only between two of them is
/// passed over. A ratio is changed as another gearbox on the same motor ([`gearbox::other_gearbox`]).
#[must_use]
pub fn nearest(c: &Eval<'_>, index: usize, check: &str) -> Option<f64> {
    let check = c.model().checks().find(|known| known.id == check)?;
    nearest_within(c, index, check, WALK, 1e-10)
}

/// [`nearest`] within so many steps, and to a relative `fineness`.
pub(crate) fn nearest_within(
    c: &Eval<'_>,
    index: usize,
    check: &Check,
    steps: i32,
    fineness: f64,
) -> Option<f64> {
    let input = register::inputs().get(index)?;
    let mut trial = Trial::new(c, index)?;
    let (margin, depends_on) = trial.margin_of(check);
    let rests = depends_on.has(index)
        || (index == gears::RATIO.index() && depends_on.has(gears::STAGES.index()));
    if !rests {
        return None;
    }
    if let Form::Choice(words) = input.form {
        let present = trial.present;
        if margin.is_some_and(|margin| margin.status() == Status::Passes) {
            return present;
        }
        return (0..words.len())
            .map(|word| word as f64)
            .find(|&word| Some(word) != present && trial.clears(word, check));
    }
    let present = trial.present?;
    if margin.is_some_and(|margin| margin.status() == Status::Passes) {
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

/// A bracket narrowed by halving until its ends are neighbours, or within a relative `fineness`: the end at which it
/// `holds`, and the one at which it does not. `place` puts a middle where a value can be.
fn bisect(
    (mut good, mut bad): (f64, f64),
    fineness: f64,
    place: &dyn Fn(f64) -> f64,
    holds: &mut dyn FnMut(f64) -> bool,
) -> (f64, f64) {
    for _ in 0..HALVINGS {
        let middle = place(0.5 * (good + bad));
        if middle == good || middle == bad || (good - bad).abs() <= fineness * good.abs() {
            break;
        }
        if holds(middle) {
            good = middle;
        } else {
            bad = middle;
        }
    }
    (good, bad)
}

/// The value of `input` at which the result `expect` is `target`: bracketed by factors, then halved.
pub(crate) fn solved(c: &Eval<'_>, input: usize, expect: usize, target: f64) -> Option<f64> {
    let at = |value: f64| -> Option<f64> {
        let moved = tolerance::shifted(c.design(), input, value)?;
        let moved = c.of(&moved);
        moved.answer(expect).found.ok().map(|v| v - target)
    };
    let effect = register::find(register::id(input)).and_then(|i| c.raw(i).ok());
    let start = effect.filter(|v| *v > 0.0).unwrap_or(1.0);
    let here = at(start)?;
    let (mut up, mut down) = ((start, here), (start, here));
    let mut bracket = None;
    for _ in 0..60 {
        if let Some(value) = at(up.0 * 1.3) {
            let next = (up.0 * 1.3, value);
            if up.1 * next.1 <= 0.0 {
                bracket = Some((up, next));
                break;
            }
            up = next;
        }
        if let Some(value) = at(down.0 / 1.3) {
            let next = (down.0 / 1.3, value);
            if down.1 * next.1 <= 0.0 {
                bracket = Some((down, next));
                break;
            }
            down = next;
        }
    }
    let (one_side, other) = bracket?;
    let mut lost = false;
    let mut same_side = |middle| match at(middle) {
        Some(value) => one_side.1 * value > 0.0,
        None => {
            lost = true;
            true
        }
    };
    let (a, b) = bisect((one_side.0, other.0), 0.0, &|middle| middle, &mut same_side);
    (!lost).then_some(0.5 * (a + b))
}

/// Whether a check reaches a margin: nothing asked is always met.
fn reaches(margin: Margin, ratio: f64) -> bool {
    margin.ratio().is_none_or(|found| found >= ratio - 1e-12)
}

/// What a check finds, and what it rests on.
fn margin_of(c: &Eval<'_>, check: &Check) -> (Option<Margin>, Inputs) {
    let (margin, depends_on) = c.traced(check.margin);
    let margin = margin
        .ok()
        .flatten()
        .filter(|margin| !margin.capability.is_nan() && !margin.need.is_nan());
    (margin, depends_on)
}

/// How a check stands at a value that is tried.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stand {
    Met,
    Fails,
    NotAsked,
    /// It cannot be said.
    Open,
}

fn stand(margin: Result<Option<Margin>, Absent>) -> Stand {
    match margin {
        Ok(None) => Stand::NotAsked,
        Ok(Some(margin)) if margin.capability.is_nan() || margin.need.is_nan() => Stand::Open,
        Ok(Some(margin)) if reaches(margin, 1.0) => Stand::Met,
        Ok(Some(_)) => Stand::Fails,
        Err(_) => Stand::Open,
    }
}

/// A copy of a design in which one input is tried.
pub(crate) struct Trial<'a, 'd> {
    base: &'a Eval<'d>,
    design: Design,
    index: usize,
    input: &'static Input,
    pub(crate) present: Option<f64>,
    /// Angle or length, where it is a travel.
    pub(crate) measure: Measure,
}

impl<'a, 'd> Trial<'a, 'd> {
    pub(crate) fn new(c: &'a Eval<'d>, index: usize) -> Option<Self> {
        let input = register::inputs().get(index)?;
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
            base: c,
            design: c.design().clone(),
            index,
            input,
            present: present.ok(),
            measure: c.answer(index).measure,
        })
    }

    /// Puts the value in; false where the input refuses it.
    fn set(&mut self, value: f64) -> bool {
        if self.index == gears::RATIO.index() {
            let text = number::text(value, 12);
            let other = gearbox::other_gearbox(self.base, Gearbox::Ratio(&text));
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
        self.design.enter(self.index, &text, DecimalMark::Stored);
        self.design.entry(self.index).is_some()
    }

    /// What the check finds now, and what it rests on.
    fn margin_of(&self, check: &Check) -> (Option<Margin>, Inputs) {
        margin_of(&self.base.of(&self.design), check)
    }

    /// How each check stands at this value, and whether it rests on the input; nothing where the input refuses the value.
    fn stand(&mut self, checks: &[&Check], value: f64) -> Option<Vec<(Stand, bool)>> {
        self.set(value).then(|| {
            let c = self.base.of(&self.design);
            let stands = |check: &&Check| {
                let (margin, depends_on) = c.traced(check.margin);
                (stand(margin), depends_on.has(self.index))
            };
            checks.iter().map(stands).collect()
        })
    }

    /// The first of the checks that is not met at this value; nothing where the input refuses it.
    fn fails<'c>(&mut self, checks: &[&'c Check], value: f64) -> Option<Option<&'c Check>> {
        self.set(value).then(|| {
            let c = self.base.of(&self.design);
            let met =
                |check: &&&Check| matches!(stand((check.margin)(&c)), Stand::Met | Stand::NotAsked);
            checks.iter().find(|check| !met(check)).copied()
        })
    }

    fn clears(&mut self, value: f64, check: &Check) -> bool {
        self.set(value)
            && self
                .margin_of(check)
                .0
                .is_some_and(|margin| margin.status() == Status::Passes)
    }
}

/// The text of a value for an input: a bare number in SI, or a word.
fn text(input: &Input, measure: Measure, value: f64) -> Option<String> {
    Some(match input.form {
        Form::Quantity(measure) => number::text(measure.reported(value), 13),
        Form::Whole => number::text(libm::round(value), 13),
        Form::Exact => number::text(value, 12),
        Form::Travel if measure == Measure::Length => [&number::text(value, 13), "m"].concat(),
        Form::Travel => [&number::text(value, 13), "rad"].concat(),
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
    fn narrow(&self, (bad, good): (f64, f64), trial: &mut Trial<'_, '_>, check: &Check) -> f64 {
        let place = |middle| {
            if self.whole {
                libm::round(middle)
            } else {
                middle
            }
        };
        let mut clears = |middle| trial.clears(middle, check);
        bisect((good, bad), self.fineness, &place, &mut clears).0
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
    fn next(&mut self, value: f64, trial: &mut Trial<'_, '_>, check: &Check) -> Option<(f64, f64)> {
        if self.ended {
            return None;
        }
        let mut value = value;
        if !trial.set(value) {
            self.ended = true;
            let mut inside = |middle| trial.set(middle);
            value = bisect((self.last, value), 0.0, &|middle| middle, &mut inside).0;
        }
        if trial.clears(value, check) {
            return Some((self.last, value));
        }
        self.last = value;
        None
    }
}
