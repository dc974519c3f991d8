//! Evaluation: every result of a design, each computed once, with the inputs that it rests on.
//!
//! Results ask for one another through [`Eval::get`]; the order follows by itself. What a result
//! rests on is gathered on the way, as is the working that its function names.

use core::cell::Cell;
use std::borrow::Cow;
use std::sync::OnceLock;

use calc::ratio::Exact;
use calc::units::{Angle, Length};

use crate::design::{Design, State};
use crate::entry::{self, Entry, ReadPreset, Value};
use crate::register::{
    self, COUNT, INPUT_COUNT, Key, Must, Physical, Preset, Shares, Stages, Travel, axis, motor,
};
use crate::unit::Measure;

/// Why a result is not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Code {
    /// Something that it needs is not given or not understood.
    Missing,
    /// There is no limit: longer than any time, more than any load.
    Unlimited,
    /// It cannot be.
    Impossible,
}

impl Code {
    /// The word in the report.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Missing => "missing",
            Self::Unlimited => "unlimited",
            Self::Impossible => "impossible",
        }
    }
}

/// A result that is not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Absent {
    /// Why.
    pub code: Code,
    /// The input or result that it is about.
    pub about: u16,
    /// In words; empty where the code and what it is about say it all.
    pub why: &'static str,
}

/// Where a formula has no finite answer.
pub const BEYOND: Absent = Absent::impossible("the figures lead beyond any number");

impl Absent {
    /// It waits for `about`.
    #[must_use]
    pub const fn missing(about: usize) -> Self {
        Self {
            code: Code::Missing,
            about: about as u16,
            why: "",
        }
    }
    /// It has no limit.
    #[must_use]
    pub const fn unlimited(why: &'static str) -> Self {
        Self {
            code: Code::Unlimited,
            about: 0,
            why,
        }
    }
    /// It cannot be.
    #[must_use]
    pub const fn impossible(why: &'static str) -> Self {
        Self {
            code: Code::Impossible,
            about: 0,
            why,
        }
    }
    /// It does not apply to this design.
    #[must_use]
    pub const fn not_asked(why: &'static str) -> Self {
        Self {
            code: Code::Missing,
            about: 0,
            why,
        }
    }

    /// In words.
    #[must_use]
    pub fn message(&self) -> String {
        if !self.why.is_empty() {
            return self.why.into();
        }
        let label = register::label(usize::from(self.about));
        let id = register::id(usize::from(self.about));
        match self.code {
            Code::Missing => ["waits for ", id, " (", label, ")"].concat(),
            Code::Unlimited => ["no limit: ", label].concat(),
            Code::Impossible => ["cannot be: ", label].concat(),
        }
    }
}

/// A set of inputs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Inputs([u64; 4]);

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
    pub fn or(self, other: Self) -> Self {
        let mut both = self;
        for (a, b) in both.0.iter_mut().zip(other.0) {
            *a |= b;
        }
        both
    }
    /// Their numbers.
    pub fn iter(self) -> impl Iterator<Item = usize> {
        (0..INPUT_COUNT).filter(move |&i| self.has(i))
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Progress {
    Open,
    Busy,
    Done,
}

#[derive(Clone, Copy)]
struct Slot {
    progress: Progress,
    found: Result<f64, Absent>,
    exact: Option<Exact>,
    /// What it measures, where that depends on the design.
    measure: Option<Measure>,
    rests_on: Inputs,
    working: &'static str,
}

const OPEN: Slot = Slot {
    progress: Progress::Open,
    found: Ok(0.0),
    exact: None,
    measure: None,
    rests_on: Inputs([0; 4]),
    working: "",
};

/// The results of one design.
pub struct Eval<'a> {
    design: Cow<'a, Design>,
    slots: Vec<Cell<Slot>>,
    rests_on: Cell<Inputs>,
    working: Cell<&'static str>,
}

impl core::fmt::Debug for Eval<'_> {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("Eval")
    }
}

fn presets() -> &'static [ReadPreset] {
    static READ: OnceLock<Vec<ReadPreset>> = OnceLock::new();
    READ.get_or_init(|| register::inputs().iter().map(entry::preset).collect())
}

impl<'a> Eval<'a> {
    /// Begins; nothing is computed until it is asked for.
    #[must_use]
    pub fn new(design: &'a Design) -> Self {
        Self::begin(Cow::Borrowed(design))
    }

    /// The same with the design inside, for whoever keeps it.
    #[must_use]
    pub fn owned(design: Design) -> Eval<'static> {
        Eval::begin(Cow::Owned(design))
    }

    fn begin(design: Cow<'a, Design>) -> Self {
        Self {
            design,
            slots: vec![Cell::new(OPEN); COUNT],
            rests_on: Cell::new(Inputs::default()),
            working: Cell::new(""),
        }
    }

    /// The design.
    #[must_use]
    pub fn design(&self) -> &Design {
        &self.design
    }

    fn slot(&self, index: usize) -> Slot {
        let Some(cell) = self.slots.get(index) else {
            return Slot {
                found: Err(Absent::missing(0)),
                ..OPEN
            };
        };
        let slot = cell.get();
        match slot.progress {
            Progress::Done => slot,
            Progress::Busy => Slot {
                found: Err(Absent::impossible("it depends on itself")),
                ..slot
            },
            Progress::Open => {
                let outer = (
                    self.rests_on.replace(Inputs::default()),
                    self.working.replace(""),
                );
                cell.set(Slot {
                    progress: Progress::Busy,
                    ..slot
                });
                let mut made = self.compute(index);
                made.rests_on = self.rests_on.get();
                made.working = self.working.get();
                made.progress = Progress::Done;
                if !made.found.is_ok_and(f64::is_finite) && made.found.is_ok() {
                    made.found = Err(BEYOND);
                }
                cell.set(made);
                self.rests_on.set(outer.0);
                self.working.set(outer.1);
                made
            }
        }
    }

    /// The slot, and what it rests on added to what is being computed.
    fn ask(&self, index: usize) -> Slot {
        let slot = self.slot(index);
        self.rests_on.set(self.rests_on.get().or(slot.rests_on));
        slot
    }

    fn compute(&self, index: usize) -> Slot {
        if index < INPUT_COUNT {
            return self.input(index);
        }
        let Some(result) = register::result(index) else {
            return Slot {
                found: Err(Absent::missing(0)),
                ..OPEN
            };
        };
        self.working.set(result.formula);
        match (result.compute)(self) {
            Ok(found) => Slot {
                found: Ok(found.value),
                exact: found.exact,
                measure: found.measure,
                ..OPEN
            },
            Err(absent) => Slot {
                found: Err(absent),
                ..OPEN
            },
        }
    }

    fn input(&self, index: usize) -> Slot {
        let mut on = self.rests_on.get();
        on.insert(index);
        self.rests_on.set(on);
        let slot = self.unruled(index);
        if let (Ok(value), Some(_)) = (slot.found, self.design.entry(index))
            && self.broken_rule(index, value).is_some()
        {
            return Slot {
                found: Err(Absent::missing(index)),
                ..slot
            };
        }
        slot
    }

    /// The first rule that the entry of `index` breaks.
    fn broken_rule(&self, index: usize, value: f64) -> Option<(&'static register::Rule, f64)> {
        let input = register::inputs().get(index)?;
        input.rules.iter().find_map(|rule| {
            let limit = (rule.than)(self).ok()?;
            let slack = 1e-12 * limit.abs();
            let kept = match rule.must {
                Must::Above => value > limit,
                Must::AtLeast => value >= limit - slack,
                Must::Below => value < limit,
                Must::AtMost => value <= limit + slack,
            };
            (!kept).then_some((rule, limit))
        })
    }

    /// An input as given or assumed, before the rules that tie it to others.
    fn unruled(&self, index: usize) -> Slot {
        let of = |entry: &Entry| -> Slot {
            let found = match &entry.value {
                Value::Real(v) | Value::Angle(v) | Value::Length(v) => Ok(*v),
                Value::Choice(v) => Ok(f64::from(*v)),
                Value::Stages(_) | Value::Shares(_) | Value::Text(_) => Ok(0.0),
                Value::None => Err(Absent::missing(index)),
            };
            Slot {
                found,
                exact: entry.exact,
                measure: matches!(entry.value, Value::Length(_)).then_some(Measure::Length),
                ..OPEN
            }
        };
        match self.design.state(index) {
            State::Given(entry) => of(entry),
            State::Refused { .. } => Slot {
                found: Err(Absent::missing(index)),
                ..OPEN
            },
            State::Assumed => {
                let left_out = Slot {
                    found: Err(Absent::missing(index)),
                    ..OPEN
                };
                let Some(input) = register::inputs().get(index) else {
                    return left_out;
                };
                let read = presets().get(index).map_or(&[][..], |p| &p.choices);
                match input.preset {
                    Preset::LeftOut => left_out,
                    Preset::Fixed(_) => read.first().map_or(left_out, |(_, e)| of(e)),
                    Preset::ByKind(_) => match self.get(axis::KIND) {
                        Ok(kind) => read
                            .iter()
                            .find(|(kinds, _)| kinds.has(kind))
                            .map_or(left_out, |(_, e)| of(e)),
                        Err(absent) => Slot {
                            found: Err(absent),
                            ..OPEN
                        },
                    },
                    Preset::ByClass(_) => match self.class() {
                        Ok(class) => read.get(class).map_or(left_out, |(_, e)| of(e)),
                        Err(absent) => Slot {
                            found: Err(absent),
                            ..OPEN
                        },
                    },
                    Preset::From(function, _) => match function(self) {
                        Ok(value) => Slot {
                            found: Ok(value),
                            ..OPEN
                        },
                        Err(absent) => Slot {
                            found: Err(absent),
                            ..OPEN
                        },
                    },
                }
            }
        }
    }

    /// The preset entry that stands in for input `index`, where it is a text of the register.
    #[must_use]
    pub fn stand_in(&self, index: usize) -> Option<&'static Entry> {
        let read = presets().get(index)?;
        let chosen = match register::inputs().get(index)?.preset {
            Preset::Fixed(_) => read.choices.first(),
            Preset::ByKind(_) => {
                let kind = self.get(axis::KIND).ok()?;
                read.choices.iter().find(|(kinds, _)| kinds.has(kind))
            }
            Preset::ByClass(_) => read.choices.get(self.class().ok()?),
            Preset::LeftOut | Preset::From(..) => None,
        };
        chosen.map(|(_, entry)| entry)
    }

    /// Class of the motor by its case: 0 for 10–12 mm, 1 for 16 mm, 2 for 20–25 mm, 3 for 37 mm.
    ///
    /// # Errors
    /// When the case diameter is not understood.
    pub fn class(&self) -> Result<usize, Absent> {
        let diameter = self.get(motor::CASE_DIAMETER)?.value;
        Ok(match diameter {
            d if d < 0.014 => 0,
            d if d < 0.018 => 1,
            d if d < 0.031 => 2,
            _ => 3,
        })
    }

    /// The quantity of a key.
    ///
    /// # Errors
    /// Why it is not there.
    pub fn get<Q: Physical>(&self, key: Key<Q>) -> Result<Q, Absent> {
        self.raw(key.index()).map(Q::from_raw)
    }

    /// The number behind an index: SI, temperatures in kelvin.
    ///
    /// # Errors
    /// Why it is not there.
    pub fn raw(&self, index: usize) -> Result<f64, Absent> {
        self.ask(index).found.map_err(|absent| match absent.code {
            Code::Unlimited => Absent {
                code: Code::Unlimited,
                about: index as u16,
                why: absent.why,
            },
            _ => absent,
        })
    }

    /// An input before the rules that tie it to others: what those rules themselves compare with.
    ///
    /// # Errors
    /// Why it is not there.
    pub fn bare<Q>(&self, key: Key<Q>) -> Result<f64, Absent> {
        self.unruled(key.index()).found
    }

    /// The exact number of a key.
    ///
    /// # Errors
    /// Why it is not there.
    pub fn exact<Q>(&self, key: Key<Q>) -> Result<Exact, Absent> {
        let slot = self.ask(key.index());
        slot.found
            .and_then(|_| slot.exact.ok_or(Absent::missing(key.index())))
    }

    /// An input that may be left out: `None` when it is.
    ///
    /// # Errors
    /// When it was entered and not understood.
    pub fn option<Q: Physical>(&self, key: Key<Q>) -> Result<Option<Q>, Absent> {
        match self.get(key) {
            Ok(q) => Ok(Some(q)),
            Err(absent) if self.left_out(key.index()) => {
                let _ = absent;
                Ok(None)
            }
            Err(absent) => Err(absent),
        }
    }

    /// Whether input `index` is left out: nothing entered and no preset, or the word `none`.
    #[must_use]
    pub fn left_out(&self, index: usize) -> bool {
        match self.design.state(index) {
            State::Given(entry) => entry.value == Value::None,
            State::Refused { .. } => false,
            State::Assumed => register::inputs()
                .get(index)
                .is_some_and(|i| match i.preset {
                    Preset::LeftOut => true,
                    Preset::ByKind(_) => self.unruled(index).found.is_err(),
                    _ => false,
                }),
        }
    }

    /// Whether an input is left out, counted among what is rested on.
    pub fn left_out_now<Q>(&self, key: Key<Q>) -> bool {
        let mut on = self.rests_on.get();
        on.insert(key.index());
        self.rests_on.set(on);
        self.left_out(key.index())
    }

    /// Whether the input was entered and understood.
    pub fn given<Q>(&self, key: Key<Q>) -> bool {
        self.is_given(key.index())
    }

    /// Whether the input of number `index` was entered and understood.
    pub fn is_given(&self, index: usize) -> bool {
        let mut on = self.rests_on.get();
        on.insert(index);
        self.rests_on.set(on);
        self.design
            .entry(index)
            .is_some_and(|e| e.value != Value::None)
    }

    /// An angle or a length.
    ///
    /// # Errors
    /// Why it is not there.
    pub fn travel(&self, key: Key<Travel>) -> Result<Travel, Absent> {
        let slot = self.ask(key.index());
        slot.found.map(|v| {
            if slot.measure == Some(Measure::Length) {
                Travel::Length(Length::from_raw(v))
            } else {
                Travel::Angle(Angle::from_raw(v))
            }
        })
    }

    /// Stages, where they are given.
    ///
    /// # Errors
    /// When they were entered and not understood.
    pub fn stages(&self, key: Key<Stages>) -> Result<Option<&[(u32, u32)]>, Absent> {
        self.list(key.index()).map(|value| match value {
            Some(Value::Stages(pairs)) => Some(pairs.as_slice()),
            _ => None,
        })
    }

    /// Shares, where they are given.
    ///
    /// # Errors
    /// When they were entered and not understood.
    pub fn shares(&self, key: Key<Shares>) -> Result<Option<&[f64]>, Absent> {
        self.list(key.index()).map(|value| match value {
            Some(Value::Shares(list)) => Some(list.as_slice()),
            _ => None,
        })
    }

    fn list(&self, index: usize) -> Result<Option<&Value>, Absent> {
        let mut on = self.rests_on.get();
        on.insert(index);
        self.rests_on.set(on);
        match self.design.state(index) {
            State::Given(entry) => Ok(Some(&entry.value)),
            State::Refused { .. } => Err(Absent::missing(index)),
            State::Assumed => Ok(None),
        }
    }

    /// Names the formula that the function being computed used, where it is not the entry's own.
    pub fn working(&self, formula: &'static str) {
        self.working.set(formula);
    }

    /// Adds inputs to what is rested on.
    pub fn rest_on(&self, inputs: Inputs) {
        self.rests_on.set(self.rests_on.get().or(inputs));
    }

    /// Runs `function` apart from any slot; gives also what it rested on.
    pub fn apart<T>(&self, function: impl FnOnce(&Self) -> T) -> (T, Inputs) {
        let outer = (
            self.rests_on.replace(Inputs::default()),
            self.working.replace(""),
        );
        let made = function(self);
        let on = self.rests_on.get();
        self.rests_on.set(outer.0);
        self.working.set(outer.1);
        (made, on)
    }

    /// Computes everything but what is costly.
    pub fn all(&self) {
        for index in INPUT_COUNT..COUNT {
            if register::result(index).is_some_and(|r| !r.costly) {
                let _ = self.slot(index);
            }
        }
    }

    /// All that is known of an index: value or absence, exact value, what it rests on, its working.
    #[must_use]
    pub fn answer(&self, index: usize) -> Answer {
        let slot = self.slot(index);
        Answer {
            index,
            found: slot.found,
            exact: slot.exact,
            measure: slot.measure.unwrap_or_else(|| register::measure(index)),
            rests_on: slot.rests_on,
            working: slot.working,
        }
    }

    /// The inputs of `set` whose preset was used.
    #[must_use]
    pub fn assumed(&self, set: Inputs) -> Inputs {
        let mut assumed = Inputs::default();
        for i in set.iter() {
            if matches!(self.design.state(i), State::Assumed) && !self.left_out(i) {
                assumed.insert(i);
            }
        }
        assumed
    }

    /// Why an entry that was understood cannot stand beside the others, in words.
    #[must_use]
    pub fn conflict(&self, index: usize) -> Option<String> {
        let _ = self.design.entry(index)?;
        let value = self.unruled(index).found.ok()?;
        let (rule, limit) = self.broken_rule(index, value)?;
        let measure = register::measure(index);
        let show = |v: f64| {
            let (number, unit) = measure.shown(v, 6);
            [number.as_str(), " ", unit].concat().trim().to_string()
        };
        let must = match rule.must {
            Must::Above => "above ",
            Must::AtLeast => "at least ",
            Must::Below => "below ",
            Must::AtMost => "at most ",
        };
        Some(
            [
                &show(value),
                ": it must be ",
                must,
                rule.name,
                " (",
                &show(limit),
                "); ",
                rule.because,
            ]
            .concat(),
        )
    }
}

/// All that is known of one input or result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Answer {
    /// Which.
    pub index: usize,
    /// SI, temperatures in kelvin; or why it is not there.
    pub found: Result<f64, Absent>,
    /// The same as an exact rational where it is one.
    pub exact: Option<Exact>,
    /// What it measures.
    pub measure: Measure,
    /// The inputs that it rests on.
    pub rests_on: Inputs,
    /// The formula that was used.
    pub working: &'static str,
}
