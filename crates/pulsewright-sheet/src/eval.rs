//! Evaluation: every result of a design, each computed once, with the inputs that it rests on.
//!
//! Results ask for one another through [`Eval::get`]; the order follows by itself. What a result
//! rests on is gathered on the way, as is the working that its function names.

use core::cell::{Cell, OnceCell};
use std::borrow::Cow;
use std::rc::Rc;
use std::sync::OnceLock;

use pulsewright_calc::heat::{Temperatures, ThermalModel};
use pulsewright_calc::motion::{Drivetrain, Motion};
use pulsewright_calc::ratio::Exact;
use pulsewright_calc::units::{Angle, Length};

use crate::design::{Design, State};
use crate::entry::{self, Entry, ReadPreset, Value};
use crate::landing::{self, Figures, Landed, Point};
use crate::manner::Manner;
use crate::register::{
    self, COUNT, Found, INPUT_COUNT, Key, Must, Physical, Preset, Shares, Stages, Travel, axis,
    motor,
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

/// Where a formula leads back to itself.
const CIRCLE: Absent = Absent::impossible("it depends on itself");

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
pub struct Inputs([u64; WORDS]);

/// Words of a set of inputs.
const WORDS: usize = INPUT_COUNT.div_ceil(64);

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

#[derive(Clone, Copy, PartialEq)]
enum Progress {
    Open,
    Busy,
    There,
    Absent,
}

/// Inputs that are gathered in place: most of an evaluation is this. Its words are named, not looped over: where a
/// program is made small, those of a loop lie in memory and are copied by a call. Beyond 256 inputs the compiler asks
/// for a fifth.
#[derive(Default)]
struct Gathered([Cell<u64>; WORDS]);

impl Gathered {
    #[inline(always)]
    fn get(&self) -> Inputs {
        let [a, b, c, d] = &self.0;
        Inputs([a.get(), b.get(), c.get(), d.get()])
    }

    #[inline(always)]
    fn set(&self, inputs: Inputs) {
        let ([a, b, c, d], [p, q, r, s]) = (&self.0, inputs.0);
        a.set(p);
        b.set(q);
        c.set(r);
        d.set(s);
    }

    #[inline(always)]
    fn replace(&self, inputs: Inputs) -> Inputs {
        let before = self.get();
        self.set(inputs);
        before
    }

    fn insert(&self, index: usize) {
        if let Some(word) = self.0.get(index / 64) {
            word.set(word.get() | 1 << (index % 64));
        }
    }

    #[inline(always)]
    fn add(&self, inputs: Inputs) {
        self.set(self.get().or(inputs));
    }
}

/// What is known of one index. Its parts are apart, so that asking for a number moves no more than
/// the number and what it rests on.
struct Slot {
    value: Cell<f64>,
    rests_on: Gathered,
    progress: Cell<Progress>,
    /// Why there is no value.
    absent: Cell<Absent>,
    /// What it measures, where that depends on the design.
    measure: Cell<Option<Measure>>,
    /// Place of the exact value among those of the evaluation, counted from 1; 0 for none.
    exact: Cell<u16>,
    /// The formula that its function named; empty for the entry's own.
    working: Cell<&'static str>,
}

impl Slot {
    #[inline(always)]
    fn open() -> Self {
        Self {
            value: Cell::new(0.0),
            rests_on: Gathered::default(),
            progress: Cell::new(Progress::Open),
            absent: Cell::new(CIRCLE),
            measure: Cell::new(None),
            exact: Cell::new(0),
            working: Cell::new(""),
        }
    }
}

/// Place of no slot: what is computed apart.
const NOWHERE: usize = COUNT;

/// The results of one design.
pub struct Eval<'a> {
    /// How its numbers are shown.
    pub manner: Manner,
    design: Cow<'a, Design>,
    slots: Vec<Slot>,
    exacts: Cell<Vec<Exact>>,
    /// What is assumed of each input where that is always the same.
    always: &'static [Option<f64>],
    /// What is rested on by what is being computed.
    gathered: Gathered,
    /// The index being computed.
    current: Cell<usize>,
    /// What several results are made from.
    pub(crate) parts: Parts,
    simulation: Simulation,
    /// What the simulations gave.
    landed: [Part<Figures>; landing::COMMANDS],
}

/// Something that several results are made from, made once, with what it rests on.
pub(crate) type Part<T> = OnceCell<(Result<T, Absent>, Inputs)>;

/// What several results are made from.
#[derive(Default)]
pub(crate) struct Parts {
    pub(crate) motion: Part<Motion>,
    pub(crate) train: Part<Drivetrain>,
    pub(crate) setting: Part<(pulsewright_calc::steps::PerUnit, Measure)>,
    pub(crate) thermal_model: Part<ThermalModel>,
    pub(crate) equilibrium: Part<Temperatures>,
}

/// Where the figures of a simulation come from.
enum Simulation {
    /// Nowhere: simulated results are absent.
    Left,
    /// They are simulated when they are asked for.
    Run,
    /// They were simulated elsewhere.
    Known(Rc<Landed>),
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

/// What is assumed of each input where that is always the same, as a number.
fn always() -> &'static [Option<f64>] {
    static KNOWN: OnceLock<Vec<Option<f64>>> = OnceLock::new();
    KNOWN.get_or_init(|| {
        let known = |(index, input): (usize, &register::Input)| match input.preset {
            Preset::Fixed(_) => {
                let (_, entry) = presets().get(index)?.choices.first()?;
                number(index, entry)
                    .ok()
                    .and_then(|(value, length)| (!length).then_some(value))
            }
            _ => None,
        };
        register::inputs().iter().enumerate().map(known).collect()
    })
}

/// A number and whether it is a length where an angle was possible.
fn number(index: usize, entry: &Entry) -> Result<(f64, bool), Absent> {
    match &entry.value {
        Value::Real(v) | Value::Angle(v) => Ok((*v, false)),
        Value::Length(v) => Ok((*v, true)),
        Value::Choice(v) => Ok((f64::from(*v), false)),
        Value::Stages(_) | Value::Shares(_) | Value::Text(_) => Ok((0.0, false)),
        Value::None => Err(Absent::missing(index)),
    }
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
            manner: Manner::default(),
            design,
            slots: (0..COUNT).map(|_| Slot::open()).collect(),
            exacts: Cell::new(Vec::with_capacity(32)),
            always: always(),
            gathered: Gathered::default(),
            current: Cell::new(NOWHERE),
            parts: Parts::default(),
            simulation: Simulation::Left,
            landed: [const { Part::new() }; landing::COMMANDS],
        }
    }

    /// The same, where the landing is simulated when a result of it is asked for: some ten
    /// milliseconds, once.
    #[must_use]
    pub fn simulating(mut self) -> Self {
        self.simulation = Simulation::Run;
        self
    }

    /// The same with the landing of this very design, simulated elsewhere.
    #[must_use]
    pub fn landed(mut self, landed: Rc<Landed>) -> Self {
        self.simulation = Simulation::Known(landed);
        self
    }

    /// Whether there is a simulation at all: whoever only passes its findings on need not prepare one.
    ///
    /// # Errors
    /// [`landing::NOT_RUN`] where it is left out.
    pub fn simulated(&self) -> Result<(), Absent> {
        match self.simulation {
            Simulation::Left => Err(landing::NOT_RUN),
            Simulation::Run | Simulation::Known(_) => Ok(()),
        }
    }

    /// Figures of the simulated command of number `command`.
    ///
    /// # Errors
    /// Why there are none; [`landing::NOT_RUN`] where they are simulated elsewhere.
    pub fn figures(&self, command: usize) -> Result<Figures, Absent> {
        let part = self.landed.get(command).ok_or(BEYOND)?;
        let figures = self.part(part, |c| {
            let case = landing::case(c, command)?;
            match &c.simulation {
                Simulation::Left => Err(landing::NOT_RUN),
                Simulation::Known(landed) if !landed.figures[command][0].is_nan() => {
                    Ok(landed.figures[command])
                }
                // What was refused elsewhere is refused here at once, in words.
                _ => landing::run(&case, &mut []).map(|(figures, _)| figures),
            }
        })?;
        Ok(*figures)
    }

    /// The traces of the move; where they are not known they are simulated on their own.
    ///
    /// # Errors
    /// As [`Eval::figures`].
    pub fn trace(&self) -> Result<Vec<Point>, Absent> {
        let _ = self.figures(landing::MOVE)?;
        match &self.simulation {
            Simulation::Left => Err(landing::NOT_RUN),
            Simulation::Known(landed) => Ok(landed.trace.clone()),
            Simulation::Run => landing::trace(&landing::case(self, landing::MOVE)?),
        }
    }

    /// The same, its numbers shown in this manner.
    #[must_use]
    pub fn in_manner(self, manner: Manner) -> Self {
        Self { manner, ..self }
    }

    /// The design.
    #[must_use]
    pub fn design(&self) -> &Design {
        &self.design
    }

    /// The slot of `index`, computed.
    #[inline(always)]
    fn slot(&self, index: usize) -> Option<&Slot> {
        let slot = self.slots.get(index)?;
        if slot.progress.get() == Progress::Open {
            self.fill(index, slot);
        }
        Some(slot)
    }

    #[inline(never)]
    fn fill(&self, index: usize, slot: &Slot) {
        let function = match register::result(index) {
            Some(result) => result.compute,
            None => match self.alone(index) {
                Some(value) => {
                    slot.value.set(value);
                    slot.rests_on.insert(index);
                    slot.progress.set(Progress::There);
                    return;
                }
                None => |c: &Eval<'_>| c.input(),
            },
        };
        let outer = self.current.replace(index);
        let before = self.gathered.replace(Inputs::default());
        slot.progress.set(Progress::Busy);
        let progress = match function(self) {
            Ok(value) if value.is_finite() => {
                slot.value.set(value);
                Progress::There
            }
            found => {
                slot.absent.set(found.err().unwrap_or(BEYOND));
                Progress::Absent
            }
        };
        slot.progress.set(progress);
        slot.rests_on.set(self.gathered.replace(before));
        self.current.set(outer);
    }

    fn rest_on_input(&self, index: usize) {
        self.gathered.insert(index);
    }

    /// Keeps what the function being computed found beside its number, and gives the number.
    #[inline]
    pub(crate) fn keep(&self, found: Found) -> f64 {
        if let Some(measure) = found.measure {
            self.measures(measure);
        }
        if let Some(exact) = found.exact {
            self.keep_exact(exact);
        }
        found.value
    }

    fn measures(&self, measure: Measure) {
        if let Some(slot) = self.slots.get(self.current.get()) {
            slot.measure.set(Some(measure));
        }
    }

    #[inline(never)]
    fn keep_exact(&self, exact: Exact) {
        if let Some(slot) = self.slots.get(self.current.get()) {
            let mut exacts = self.exacts.take();
            exacts.push(exact);
            slot.exact.set(exacts.len() as u16);
            self.exacts.set(exacts);
        }
    }

    /// The exact value of a slot that was computed.
    fn exact_of(&self, index: usize, slot: &Slot) -> Option<Exact> {
        if index < INPUT_COUNT {
            if let Some(entry) = self.design.entry(index).or_else(|| self.stand_in(index)) {
                return entry.exact;
            }
            // What is computed in its place is exact where it is a whole number.
            let value = slot.value.get();
            let whole = matches!(register::inputs().get(index)?.form, register::Form::Exact)
                && slot.progress.get() == Progress::There
                && value == libm::round(value)
                && value.abs() < 1e15;
            return whole.then(|| Exact::from_integer(value as i128));
        }
        let at = usize::from(slot.exact.get()).checked_sub(1)?;
        let exacts = self.exacts.take();
        let exact = exacts.get(at).copied();
        self.exacts.set(exacts);
        exact
    }

    /// An input that rests on nothing but itself: most do.
    fn alone(&self, index: usize) -> Option<f64> {
        match self.design.state(index) {
            State::Assumed => *self.always.get(index)?,
            State::Given(entry) => match (&entry.value, register::inputs().get(index)?.rules) {
                (Value::Real(value), []) => Some(*value),
                _ => None,
            },
            State::Refused { .. } => None,
        }
    }

    /// The input that is being computed.
    fn input(&self) -> Result<f64, Absent> {
        let index = self.current.get();
        self.rest_on_input(index);
        let (value, length) = self.unruled(index)?;
        if self.design.entry(index).is_some() && self.broken_rule(index, value).is_some() {
            return Err(Absent::missing(index));
        }
        if length {
            self.measures(Measure::Length);
        }
        Ok(value)
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

    /// An input as given or assumed, before the rules that tie it to others, and whether it is a
    /// length where an angle was possible.
    fn unruled(&self, index: usize) -> Result<(f64, bool), Absent> {
        match self.design.state(index) {
            State::Given(entry) => number(index, entry),
            State::Refused { .. } => Err(Absent::missing(index)),
            State::Assumed => {
                let left_out = Absent::missing(index);
                let input = register::inputs().get(index).ok_or(left_out)?;
                let read = presets().get(index).map_or(&[][..], |p| &p.choices);
                let entry = match input.preset {
                    Preset::LeftOut => None,
                    Preset::Fixed(_) => read.first(),
                    Preset::ByKind(_) => {
                        let kind = self.get(axis::KIND)?;
                        read.iter().find(|(kinds, _)| kinds.has(kind))
                    }
                    Preset::ByClass(_) => read.get(self.class()?),
                    Preset::From(function, _) => return Ok((function(self)?, false)),
                };
                number(index, &entry.ok_or(left_out)?.1)
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
        self.number(key.index()).map(Q::from_raw)
    }

    /// The number behind an index: SI, temperatures in kelvin.
    ///
    /// # Errors
    /// Why it is not there.
    pub fn raw(&self, index: usize) -> Result<f64, Absent> {
        self.number(index)
    }

    // Within `get` and `raw`: much of an evaluation is asking, and where calls cost, as in a browser, one less is a
    // tenth less time.
    #[inline(always)]
    fn number(&self, index: usize) -> Result<f64, Absent> {
        let slot = self.slot(index).ok_or(Absent::missing(0))?;
        self.gathered.add(slot.rests_on.get());
        if slot.progress.get() == Progress::There {
            return Ok(slot.value.get());
        }
        let absent = slot.absent.get();
        Err(match absent.code {
            Code::Unlimited => Absent {
                about: index as u16,
                ..absent
            },
            _ => absent,
        })
    }

    /// An input before the rules that tie it to others: what those rules themselves compare with.
    ///
    /// # Errors
    /// Why it is not there.
    pub fn bare<Q>(&self, key: Key<Q>) -> Result<f64, Absent> {
        self.unruled(key.index()).map(|(value, _)| value)
    }

    /// The exact number of a key.
    ///
    /// # Errors
    /// Why it is not there.
    pub fn exact<Q>(&self, key: Key<Q>) -> Result<Exact, Absent> {
        let index = key.index();
        let _ = self.raw(index)?;
        self.slot(index)
            .and_then(|slot| self.exact_of(index, slot))
            .ok_or(Absent::missing(index))
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
                    Preset::ByKind(_) => self.unruled(index).is_err(),
                    _ => false,
                }),
        }
    }

    /// Whether an input is left out, counted among what is rested on.
    pub fn left_out_now<Q>(&self, key: Key<Q>) -> bool {
        self.rest_on_input(key.index());
        self.left_out(key.index())
    }

    /// Whether the input was entered and understood.
    pub fn given<Q>(&self, key: Key<Q>) -> bool {
        self.is_given(key.index())
    }

    /// Whether the input of number `index` was entered and understood.
    pub fn is_given(&self, index: usize) -> bool {
        self.rest_on_input(index);
        self.design
            .entry(index)
            .is_some_and(|e| e.value != Value::None)
    }

    /// An angle or a length.
    ///
    /// # Errors
    /// Why it is not there.
    pub fn travel(&self, key: Key<Travel>) -> Result<Travel, Absent> {
        let value = self.raw(key.index())?;
        let length = self
            .slot(key.index())
            .is_some_and(|slot| slot.measure.get() == Some(Measure::Length));
        Ok(if length {
            Travel::Length(Length::from_raw(value))
        } else {
            Travel::Angle(Angle::from_raw(value))
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
        self.rest_on_input(index);
        match self.design.state(index) {
            State::Given(entry) => Ok(Some(&entry.value)),
            State::Refused { .. } => Err(Absent::missing(index)),
            State::Assumed => Ok(None),
        }
    }

    /// Names the formula that the function being computed used, where it is not the entry's own.
    pub fn working(&self, formula: &'static str) {
        if let Some(slot) = self.slots.get(self.current.get()) {
            slot.working.set(formula);
        }
    }

    /// Adds inputs to what is rested on.
    pub fn rest_on(&self, inputs: Inputs) {
        self.gathered.add(inputs);
    }

    /// Runs `function` apart from any slot; gives also what it rested on.
    pub fn apart<T>(&self, function: impl FnOnce(&Self) -> T) -> (T, Inputs) {
        let outer = self.current.replace(NOWHERE);
        let before = self.gathered.replace(Inputs::default());
        let made = function(self);
        let on = self.gathered.replace(before);
        self.current.set(outer);
        (made, on)
    }

    /// A part, made where it is first asked for.
    pub(crate) fn part<'p, T>(
        &self,
        part: &'p Part<T>,
        make: impl FnOnce(&Self) -> Result<T, Absent>,
    ) -> Result<&'p T, Absent> {
        let (made, rests_on) = match part.get() {
            Some(made) => made,
            None => {
                // Made before it is kept: a design whose parts lead back to themselves asks again meanwhile.
                let made = self.apart(make);
                part.get_or_init(|| made)
            }
        };
        self.rest_on(*rests_on);
        made.as_ref().map_err(|absent| *absent)
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
        let Some(slot) = self.slot(index) else {
            return Answer {
                index,
                found: Err(Absent::missing(0)),
                exact: None,
                measure: Measure::Ratio,
                rests_on: Inputs::default(),
                working: "",
            };
        };
        let found = if slot.progress.get() == Progress::There {
            Ok(slot.value.get())
        } else {
            Err(slot.absent.get())
        };
        let named = slot.working.get();
        Answer {
            index,
            found,
            exact: found.ok().and_then(|_| self.exact_of(index, slot)),
            measure: slot
                .measure
                .get()
                .unwrap_or_else(|| register::measure(index)),
            rests_on: slot.rests_on.get(),
            working: if named.is_empty() {
                register::result(index).map_or("", |result| result.formula)
            } else {
                named
            },
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
        let (value, _) = self.unruled(index).ok()?;
        let (rule, limit) = self.broken_rule(index, value)?;
        let measure = register::measure(index);
        let show = |v: f64| self.manner.said(measure, v, 6);
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
