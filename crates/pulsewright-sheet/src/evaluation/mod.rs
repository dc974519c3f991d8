//! Evaluation: every result of a design, each computed once, with the inputs that it rests on.
//!
//! Results ask for one another through [`Eval::get`]; the order follows by itself. What a result
//! rests on is gathered on the way, as is the working that its function names.

use core::cell::{Cell, OnceCell};
use std::borrow::Cow;
use std::rc::Rc;

use pulsewright_calc::axis::ArmMove;
use pulsewright_calc::error_budget;
use pulsewright_calc::heat::{Temperatures, ThermalModel};
use pulsewright_calc::motion::{Drivetrain, Motion};
use pulsewright_calc::ratio::Exact;
use pulsewright_calc::units::{Angle, Frequency, Length, Power, Time};

use crate::design::entry::{Entry, Refusal, Value};
use crate::design::presets::{constant_presets, number, presets};
use crate::design::{Design, State};
use crate::register::{
    self, COUNT, Form, Found, INPUT_COUNT, Key, Kind, Physical, Preset, RESULT_COUNT, Shares,
    Stages, Station, Travel, axis, motor,
};
use crate::text::label::in_sentence;
use crate::text::measure::Measure;
use crate::text::notation::Notation;

pub mod absent;
pub mod check;
pub mod display;
pub mod finding;
pub mod input_set;
pub mod margin;
pub mod simulated;

pub use absent::{Absent, Code, NOT_FINITE};
pub use input_set::Inputs;
pub use margin::{LoadCase, Margin, Status};

use absent::CYCLE;
use input_set::WORDS;
use simulated::{COMMANDS, Figures, Landed, NOT_RUN};

/// What computes a result, or what stands in for an input.
pub type Compute = fn(&Eval<'_>) -> Result<f64, Absent>;

/// What says a result in words.
pub type InWords = fn(&Eval<'_>) -> Option<String>;

/// The functions behind the register's words; the engine is handed them.
pub struct Model {
    /// What computes each result.
    pub results: [Compute; RESULT_COUNT],
    /// What computes what stands in for an input, where it is computed.
    pub presets: [Option<Compute>; INPUT_COUNT],
    /// Limits of each input that other inputs set.
    pub limits: [&'static [Limit]; INPUT_COUNT],
    /// Words in place of a result's number, where they say more.
    pub words: [Option<InWords>; RESULT_COUNT],
    /// Every station's checks, in the order of the card.
    pub checks: &'static [&'static [Check]],
    /// Every station's findings, in the order of the card.
    pub findings: &'static [&'static [Finding]],
    /// Findings that are faults, each with the check that fails by it.
    pub faults: &'static [(&'static str, &'static str)],
}

impl core::fmt::Debug for Model {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("Model")
    }
}

impl Model {
    /// Every check, in the order of the card.
    pub fn checks(&self) -> impl Iterator<Item = &'static Check> + use<> {
        self.checks.iter().copied().flatten()
    }

    /// Every finding, in the order of the card.
    pub fn findings(&self) -> impl Iterator<Item = &'static Finding> + use<> {
        self.findings.iter().copied().flatten()
    }
}

/// A limit that another input sets.
#[derive(Clone, Copy, Debug)]
pub struct Limit {
    /// How this input must stand to the other.
    pub relation: Relation,
    /// The other, in SI.
    pub other: Compute,
    /// The other, in words.
    pub name: &'static str,
    /// Why.
    pub because: &'static str,
}

/// See [`Limit`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Relation {
    Above,
    AtLeast,
    Below,
    AtMost,
}

/// What a check is about. A design is judged from the first tier on: where one fails, what hangs on it waits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tier {
    /// The board understands its pulses and its motor.
    Signals,
    /// The motor can do the move.
    Move,
    /// Nothing breaks.
    Strength,
    /// Nothing overheats, and the supply stays up.
    Heat,
    /// It is exact enough.
    Exactness,
    /// The loop is calm.
    Calm,
}

/// A check.
#[derive(Clone, Copy)]
pub struct Check {
    /// `check.name`.
    pub id: &'static str,
    /// Name in plain words.
    pub label: &'static str,
    /// What is said of it where it fails, as a sentence without its full stop.
    pub failing: &'static str,
    /// What it is about: causes come before what follows from them.
    pub tier: Tier,
    /// Station that it stamps.
    pub station: Station,
    /// What it measures.
    pub measure: Measure,
    /// Whether the capability is a limit that the need must keep: an error, a temperature, a load.
    pub limit: bool,
    /// What it finds; `None` where its optional inputs are left out.
    pub margin: fn(&Eval<'_>) -> Result<Option<Margin>, Absent>,
}

impl core::fmt::Debug for Check {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(self.id)
    }
}

/// How grave a finding is. The last three only where a person can be hurt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// The design does not do its job.
    Fault,
    /// A person can be hurt a little.
    Caution,
    /// A person can be hurt.
    Warning,
    /// A person can be killed.
    Danger,
}

impl Severity {
    /// Every one, gravest first.
    pub const GRAVEST_FIRST: [Self; 5] = [
        Self::Danger,
        Self::Warning,
        Self::Caution,
        Self::Fault,
        Self::Note,
    ];

    /// The word in the report.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Fault => "fault",
            Self::Caution => "caution",
            Self::Warning => "warning",
            Self::Danger => "danger",
        }
    }
}

/// A finding.
#[derive(Clone, Copy)]
pub struct Finding {
    /// Its id.
    pub id: &'static str,
    /// Station where it stands.
    pub station: Station,
    /// What is said; `{id}` stands for the value of an input or a result with its unit.
    pub message: &'static str,
    /// The numbers that triggered it.
    pub numbers: &'static [&'static str],
    /// When it is said, and how gravely.
    pub when: fn(&Eval<'_>) -> Result<Option<Severity>, Absent>,
}

impl core::fmt::Debug for Finding {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(self.id)
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
    depends_on: Gathered,
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
            depends_on: Gathered::default(),
            progress: Cell::new(Progress::Open),
            absent: Cell::new(CYCLE),
            measure: Cell::new(None),
            exact: Cell::new(0),
            working: Cell::new(""),
        }
    }

    #[inline(always)]
    fn keep(&self, found: Result<f64, Absent>) {
        self.progress.set(match found {
            Ok(value) => {
                self.value.set(value);
                Progress::There
            }
            Err(absent) => {
                self.absent.set(absent);
                Progress::Absent
            }
        });
    }
}

/// What rests on a refused entry: its limit, or that it is not understood.
fn refused(index: usize, refusal: &Refusal) -> Absent {
    let why = match refusal {
        Refusal::Range { because, .. } => because,
        _ => "the entry is not understood",
    };
    Absent::refused(index, why)
}

/// Place of no slot: what is computed apart.
const NOWHERE: usize = COUNT;

/// The results of one design.
pub struct Eval<'a> {
    model: &'static Model,
    /// How its numbers are shown.
    pub notation: Notation,
    design: Cow<'a, Design>,
    slots: Vec<Slot>,
    exacts: Cell<Vec<Exact>>,
    /// See [`constant_presets`].
    constant_presets: &'static [Option<Option<f64>>],
    /// What is rested on by what is being computed.
    gathered: Gathered,
    /// The index being computed.
    current: Cell<usize>,
    /// What several results are made from.
    pub(crate) intermediates: Intermediates,
    pub(crate) simulation: Simulation,
    /// What the simulations gave.
    pub(crate) landed: [Intermediate<Figures>; COMMANDS],
}

/// Something that several results are made from, made once, with what it rests on.
pub(crate) type Intermediate<T> = OnceCell<(Result<T, Absent>, Inputs)>;

/// A finding that is raised, how gravely, and what it rests on.
pub(crate) type Raised = (&'static Finding, Severity, Inputs);

/// The loop's margin, and whether it is that of the motor alone in the gears' play.
pub(crate) type LoopMargin = (pulsewright_calc::position_loop::Margin, bool);

/// The loop where neither its bandwidth nor its integral time is entered.
pub(crate) struct AssumedLoop {
    pub(crate) integral_time: Time,
    /// What bounds its bandwidth, if anything keeps the phase margin.
    pub(crate) bandwidth_limit: Option<Frequency>,
    /// Its margin with the bandwidth that is assumed.
    pub(crate) margin: Option<LoopMargin>,
}

/// What several results are made from.
#[derive(Default)]
pub(crate) struct Intermediates {
    pub(crate) made_move: Intermediate<()>,
    pub(crate) swing: Intermediate<Option<ArmMove>>,
    pub(crate) shares: Intermediate<error_budget::Shares>,
    pub(crate) gearing: Intermediate<(u64, u64)>,
    pub(crate) cold_torque: Intermediate<Margin>,
    pub(crate) cold_speed: Intermediate<Margin>,
    pub(crate) cold_voltage: Intermediate<Margin>,
    pub(crate) cycle_heat: Intermediate<Margin>,
    pub(crate) bridge_heat: Intermediate<Margin>,
    pub(crate) losses: Intermediate<(Power, Power)>,
    pub(crate) loop_margin: Intermediate<LoopMargin>,
    pub(crate) assumed_loop: Intermediate<AssumedLoop>,
    pub(crate) logic: Intermediate<Margin>,
    pub(crate) motion: Intermediate<Motion>,
    pub(crate) train: Intermediate<Drivetrain>,
    pub(crate) setting: Intermediate<(pulsewright_calc::steps::PerUnit, Measure)>,
    pub(crate) thermal_model: Intermediate<ThermalModel>,
    pub(crate) equilibrium: Intermediate<Temperatures>,
    pub(crate) raised: OnceCell<Vec<Raised>>,
    /// What limits the load, once the greatest load has been sought.
    pub(crate) load_limits: OnceCell<LoadLimits>,
}

/// The checks that limit the load.
pub(crate) struct LoadLimits {
    /// The first that more load fails.
    pub(crate) first: Option<&'static str>,
    /// Those that no load meets.
    pub(crate) at_any_load: Vec<&'static str>,
}

/// Where the figures of a simulation come from.
pub(crate) enum Simulation {
    /// Nowhere: simulated results are absent.
    Left,
    /// They are simulated when they are asked for.
    Run,
    /// The same as one of many, with so much work at most.
    Tried(u64),
    /// They were simulated elsewhere.
    Known(Rc<Landed>),
}

impl core::fmt::Debug for Eval<'_> {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("Eval")
    }
}

impl<'a> Eval<'a> {
    /// Begins with the functions of a model; nothing is computed until it is asked for.
    #[must_use]
    pub fn with(model: &'static Model, design: Cow<'a, Design>) -> Self {
        Self {
            model,
            notation: Notation::default(),
            design,
            slots: (0..COUNT).map(|_| Slot::open()).collect(),
            exacts: Cell::new(Vec::with_capacity(32)),
            constant_presets: constant_presets(),
            gathered: Gathered::default(),
            current: Cell::new(NOWHERE),
            intermediates: Intermediates::default(),
            simulation: Simulation::Left,
            landed: [const { Intermediate::new() }; COMMANDS],
        }
    }

    /// The evaluation of another design by the same functions.
    #[must_use]
    pub fn of<'b>(&self, other: &'b Design) -> Eval<'b> {
        Eval::with(self.model, Cow::Borrowed(other))
    }

    /// The functions that it is made with.
    #[must_use]
    pub fn model(&self) -> &'static Model {
        self.model
    }

    /// The same, where the landing is simulated when a result of it is asked for: some ten
    /// milliseconds, once.
    ///
    /// # Example
    /// ```
    /// use pulsewright_sheet::design::Design;
    /// use pulsewright_sheet::evaluation::Eval;
    ///
    /// let design = Design::default();
    /// assert!(Eval::new(&design).simulated().is_err());
    /// assert!(Eval::new(&design).simulating().simulated().is_ok());
    /// ```
    #[must_use]
    pub fn simulating(mut self) -> Self {
        self.simulation = Simulation::Run;
        self
    }

    /// The same as one of many that are tried, with so much work at most: what takes more is not known.
    pub(crate) fn trying(mut self, most_work: u64) -> Self {
        self.simulation = Simulation::Tried(most_work);
        self
    }

    /// What was simulated so far, in plain sub-steps.
    pub(crate) fn work(&self) -> u64 {
        let run = self.landed.iter().filter_map(|run| run.get());
        let work = run.filter_map(|(figures, _)| figures.ok());
        // Exact below 2^53.
        work.map(|figures| figures[simulated::Figure::Work as usize] as u64)
            .sum()
    }

    /// Whether landings are simulated where they are asked for.
    #[must_use]
    pub fn simulates(&self) -> bool {
        matches!(self.simulation, Simulation::Run)
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
    /// [`NOT_RUN`] where it is left out.
    pub fn simulated(&self) -> Result<(), Absent> {
        match self.simulation {
            Simulation::Left => Err(NOT_RUN),
            Simulation::Run | Simulation::Tried(_) | Simulation::Known(_) => Ok(()),
        }
    }

    /// The same, its numbers shown in this manner.
    #[must_use]
    pub fn in_notation(self, notation: Notation) -> Self {
        Self { notation, ..self }
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
        let of_result = |at| self.model.results.get(at);
        let function = match index.checked_sub(INPUT_COUNT).and_then(of_result) {
            Some(function) => *function,
            None => match self.constant(index) {
                Some(known) => {
                    slot.depends_on.insert(index);
                    slot.keep(known);
                    return;
                }
                None => |c: &Eval<'_>| c.input(),
            },
        };
        let outer = self.current.replace(index);
        let before = self.gathered.replace(Inputs::default());
        slot.progress.set(Progress::Busy);
        slot.keep(match function(self) {
            Ok(value) if !value.is_finite() => Err(NOT_FINITE),
            found => found,
        });
        slot.depends_on.set(self.gathered.replace(before));
        self.current.set(outer);
    }

    fn depend_on_input(&self, index: usize) {
        self.gathered.insert(index);
    }

    /// Keeps what the function being computed found beside its number, and gives the number.
    #[inline]
    pub(crate) fn record(&self, found: Found) -> f64 {
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
            if let Some(entry) = self
                .design
                .entry(index)
                .or_else(|| self.preset_entry(index))
            {
                return entry.exact;
            }
            // What is computed in its place is exact where it is a whole number.
            let value = slot.value.get();
            let whole = matches!(register::inputs().get(index)?.form, Form::Exact)
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
    #[inline(always)]
    fn constant(&self, index: usize) -> Option<Result<f64, Absent>> {
        let number = match self.design.state(index) {
            State::Assumed => (*self.constant_presets.get(index)?)?,
            State::Given(entry) if self.model.limits.get(index)?.is_empty() => {
                match number(entry) {
                    // A length is measured as one besides.
                    Some((_, true)) => return None,
                    number => number.map(|(value, _)| value),
                }
            }
            State::Given(_) | State::Refused { .. } => return None,
        };
        Some(number.ok_or(Absent::missing(index)))
    }

    /// The input that is being computed.
    fn input(&self) -> Result<f64, Absent> {
        let index = self.current.get();
        self.depend_on_input(index);
        let (value, length) = self.entered_or_preset(index)?;
        if self.design.entry(index).is_some()
            && let Some((rule, _)) = self.broken_limit(index, value)
        {
            return Err(Absent::refused(index, rule.because));
        }
        if length {
            self.measures(Measure::Length);
        }
        Ok(value)
    }

    /// The first limit that the entry of `index` breaks.
    fn broken_limit(&self, index: usize, value: f64) -> Option<(&'static Limit, f64)> {
        self.model.limits.get(index)?.iter().find_map(|rule| {
            let limit = (rule.other)(self).ok()?;
            let slack = 1e-12 * limit.abs();
            let kept = match rule.relation {
                Relation::Above => value > limit,
                Relation::AtLeast => value >= limit - slack,
                Relation::Below => value < limit,
                Relation::AtMost => value <= limit + slack,
            };
            (!kept).then_some((rule, limit))
        })
    }

    /// An input as given or assumed, before the rules that tie it to others, and whether it is a
    /// length where an angle was possible.
    fn entered_or_preset(&self, index: usize) -> Result<(f64, bool), Absent> {
        match self.design.state(index) {
            State::Given(entry) => number(entry).ok_or(Absent::missing(index)),
            State::Refused { refusal, .. } => Err(refused(index, refusal)),
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
                    Preset::Computed(_) => {
                        let function = self.model.presets.get(index).copied().flatten();
                        return Ok((function.ok_or(left_out)?(self)?, false));
                    }
                };
                number(&entry.ok_or(left_out)?.1).ok_or(left_out)
            }
        }
    }

    /// The preset entry that stands in for input `index`, where it is a text of the register.
    #[must_use]
    pub fn preset_entry(&self, index: usize) -> Option<&'static Entry> {
        let read = presets().get(index)?;
        let chosen = match register::inputs().get(index)?.preset {
            Preset::Fixed(_) => read.choices.first(),
            Preset::ByKind(_) => {
                let kind = self.get(axis::KIND).ok()?;
                read.choices.iter().find(|(kinds, _)| kinds.has(kind))
            }
            Preset::ByClass(_) => read.choices.get(self.class().ok()?),
            Preset::LeftOut | Preset::Computed(_) => None,
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
    ///
    /// # Example
    /// ```
    /// use pulsewright_sheet::design::link;
    /// use pulsewright_sheet::evaluation::Eval;
    /// use pulsewright_sheet::pulsewright_calc::uom::si::torque::newton_meter;
    /// use pulsewright_sheet::register::motor;
    ///
    /// let design = link::read("#pw1;motor.stall_torque=10kgf.cm")?.design;
    /// let torque = Eval::new(&design).get(motor::STALL_TORQUE)?;
    /// // Exact: a tenth of a metre and standard gravity.
    /// assert_eq!(torque.get::<newton_meter>(), 0.980665);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
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
        self.gathered.add(slot.depends_on.get());
        if slot.progress.get() == Progress::There {
            return Ok(slot.value.get());
        }
        let absent = slot.absent.get();
        Err(match absent.code {
            Code::Unlimited => Absent {
                about: index as u16,
                ..absent
            },
            // What rests on what is too hot waits.
            Code::Above => Absent::behind(index),
            _ => absent,
        })
    }

    /// An input before the rules that tie it to others: what those rules themselves compare with.
    ///
    /// # Errors
    /// Why it is not there.
    pub fn before_limits<Q>(&self, key: Key<Q>) -> Result<f64, Absent> {
        self.entered_or_preset(key.index()).map(|(value, _)| value)
    }

    /// The exact number of a key.
    ///
    /// # Errors
    /// Why it is not there.
    ///
    /// # Example
    /// ```
    /// use pulsewright_sheet::design::link;
    /// use pulsewright_sheet::evaluation::Eval;
    /// use pulsewright_sheet::pulsewright_calc::ratio;
    /// use pulsewright_sheet::register::gears;
    ///
    /// let design = link::read("#pw1;gears.stages=35:12,37:13")?.design;
    /// let exact = Eval::new(&design).exact(gears::EXACT_RATIO)?;
    /// assert_eq!(Some(exact), ratio::exact(1295, 156));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
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
                    Preset::ByKind(_) => self.entered_or_preset(index).is_err(),
                    _ => false,
                }),
        }
    }

    /// Whether nothing is entered in an input, counted among what is rested on.
    pub fn assumed_now<Q>(&self, key: Key<Q>) -> bool {
        self.depend_on_input(key.index());
        matches!(self.design.state(key.index()), State::Assumed)
    }

    /// Whether an input is left out, counted among what is rested on.
    pub fn left_out_now<Q>(&self, key: Key<Q>) -> bool {
        self.depend_on_input(key.index());
        self.left_out(key.index())
    }

    /// Whether this is an input of which the typical value is taken.
    #[must_use]
    pub fn is_typical(&self, index: usize) -> bool {
        index < INPUT_COUNT
            && matches!(self.design.state(index), State::Assumed)
            && !self.left_out(index)
    }

    /// Whether the input was entered and understood.
    pub fn given<Q>(&self, key: Key<Q>) -> bool {
        self.is_given(key.index())
    }

    /// Whether the input of number `index` was entered and understood.
    pub fn is_given(&self, index: usize) -> bool {
        self.depend_on_input(index);
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
        self.depend_on_input(index);
        match self.design.state(index) {
            State::Given(entry) => Ok(Some(&entry.value)),
            State::Refused { refusal, .. } => Err(refused(index, refusal)),
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
    pub fn depend_on(&self, inputs: Inputs) {
        self.gathered.add(inputs);
    }

    /// Runs `function` apart from any slot; gives also what it rested on.
    pub fn traced<T>(&self, function: impl FnOnce(&Self) -> T) -> (T, Inputs) {
        let outer = self.current.replace(NOWHERE);
        let before = self.gathered.get();
        let made = self.gathering(function);
        self.gathered.set(before);
        self.current.set(outer);
        made
    }

    /// The same where what was gathered before is not asked for, as that of one check before the next.
    #[inline]
    pub(crate) fn gathering<T>(&self, function: impl FnOnce(&Self) -> T) -> (T, Inputs) {
        self.gathered.set(Inputs::default());
        let made = function(self);
        (made, self.gathered.get())
    }

    /// A part, made where it is first asked for.
    pub(crate) fn shared<'p, T>(
        &self,
        part: &'p Intermediate<T>,
        make: impl FnOnce(&Self) -> Result<T, Absent>,
    ) -> Result<&'p T, Absent> {
        let (made, depends_on) = match part.get() {
            Some(made) => made,
            None => {
                // Made before it is kept: a design whose parts lead back to themselves asks again meanwhile.
                let made = self.traced(make);
                part.get_or_init(|| made)
            }
        };
        self.depend_on(*depends_on);
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

    /// The words that a result has in place of its number, where they say more.
    pub fn in_words(&self, index: usize) -> Option<String> {
        let at = index.checked_sub(INPUT_COUNT)?;
        self.model.words.get(at).copied().flatten()?(self)
    }

    /// All that is known of an index: value or absence, exact value, what it rests on, its working.
    ///
    /// # Example
    /// ```
    /// use pulsewright_sheet::design::Design;
    /// use pulsewright_sheet::evaluation::Eval;
    /// use pulsewright_sheet::register;
    ///
    /// let design = Design::default();
    /// let c = Eval::new(&design);
    /// let answer = c.answer(register::find("heat.hold_time").ok_or("no such id")?);
    /// match answer.found {
    ///     Ok(seconds) => println!("{seconds} s, resting on {} assumed figures", c.assumed(answer.depends_on).iter().count()),
    ///     Err(absent) => println!("{absent}"),
    /// }
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn answer(&self, index: usize) -> Answer {
        let Some(slot) = self.slot(index) else {
            return Answer {
                index,
                found: Err(Absent::missing(0)),
                exact: None,
                measure: Measure::Ratio,
                depends_on: Inputs::default(),
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
            depends_on: slot.depends_on.get(),
            working: if named.is_empty() {
                register::result(index).map_or("", |result| result.formula)
            } else {
                named
            },
        }
    }

    /// The name of an input or a result, as this kind of axis has it.
    ///
    /// # Example
    /// ```
    /// use pulsewright_sheet::design::link;
    /// use pulsewright_sheet::evaluation::Eval;
    /// use pulsewright_sheet::register::axis;
    ///
    /// let drum = link::read("#pw1;axis.kind=drum")?.design;
    /// assert_eq!(Eval::new(&drum).label(axis::RADIUS.index()), "Drum radius");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn label(&self, index: usize) -> &'static str {
        let own = register::inputs()
            .get(index)
            .map_or([].as_slice(), |input| input.labels);
        if own.is_empty() {
            return register::label(index);
        }
        let kind = self.get(axis::KIND).ok();
        own.iter()
            .find(|(of, _)| Some(*of) == kind)
            .map_or_else(|| register::label(index), |(_, label)| *label)
    }

    /// The inputs of `set` whose preset was used.
    #[must_use]
    pub fn assumed(&self, set: Inputs) -> Inputs {
        let mut assumed = Inputs::default();
        for i in set.iter() {
            if self.is_typical(i) {
                assumed.insert(i);
            }
        }
        assumed
    }

    /// Why an entry of input `index` changes nothing, in words: another kind of axis or another choice asks for it.
    #[must_use]
    pub fn unused(&self, index: usize) -> Option<String> {
        let input = register::inputs().get(index)?;
        if let Ok(kind) = self.get(axis::KIND)
            && !input.kinds.has(kind)
        {
            let word = Kind::WORDS.get(kind as usize)?;
            return Some(["not used with axis type ", word].concat());
        }
        let (choice, words) = input.asked_by?;
        let chosen = register::find_input(choice)?;
        let Form::Choice(all) = register::inputs().get(chosen)?.form else {
            return None;
        };
        let word = all.get(self.raw(chosen).ok()? as usize)?;
        (!words.contains(word)).then(|| {
            let label = in_sentence(register::label(chosen));
            ["not used with ", &label, " ", word].concat()
        })
    }

    /// Why an entry that was understood cannot stand beside the others, in words.
    #[must_use]
    pub fn conflict(&self, index: usize) -> Option<String> {
        let _ = self.design.entry(index)?;
        let (value, _) = self.entered_or_preset(index).ok()?;
        let (rule, limit) = self.broken_limit(index, value)?;
        let measure = register::measure(index);
        let show = |v: f64| self.notation.said(measure, v, 6);
        let must = match rule.relation {
            Relation::Above => "above ",
            Relation::AtLeast => "at least ",
            Relation::Below => "below ",
            Relation::AtMost => "at most ",
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
    pub depends_on: Inputs,
    /// The formula that was used.
    pub working: &'static str,
}
