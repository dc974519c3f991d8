//! The register: every input and every result, one entry each.
//!
//! A station is a module: its inputs, its results, the functions that compute them. Inputs and
//! results share one numbering; a [`Key`] is a number that remembers the type of its quantity.

use core::marker::PhantomData;

use pulsewright_calc::ratio::Exact;

use crate::check::Check;
use crate::eval::{Absent, Eval};
use crate::finding::Finding;
use crate::unit::Measure;

#[macro_use]
mod macros;

pub mod axis;
pub mod bench;
pub mod bridge;
pub mod card;
pub mod drive;
pub mod encoder;
pub mod gears;
pub mod heat;
pub mod landing;
pub mod motor;
pub mod movement;
pub mod position_loop;
pub mod regulator;
pub mod stepper;
pub mod steps;
pub mod supply;
pub mod verdict;
pub mod wiring;

/// A station of the route card, in the order in which power and motion flow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Station {
    Axis,
    Move,
    Motor,
    Gears,
    Encoder,
    Steps,
    Bridge,
    Supply,
    Regulator,
    Wiring,
    Drive,
    Heat,
    Loop,
    Stepper,
    Verdict,
    Bench,
}

/// What is said of a station.
#[derive(Clone, Copy, Debug)]
pub struct Heading {
    /// Which.
    pub station: Station,
    /// Its name on the card.
    pub name: &'static str,
    /// Its one question in plain words.
    pub question: &'static str,
    /// Why it matters and how it goes wrong, in two or three sentences.
    pub about: &'static str,
}

/// The stations in order.
pub const STATIONS: [Heading; 16] = [
    Heading {
        station: Station::Axis,
        name: "Axis",
        question: "What has to move, and how hard does it push back?",
        about: "Everything else is measured against this load. Weigh and measure it first: a load guessed by half is a motor bought twice.",
    },
    Heading {
        station: Station::Move,
        name: "Move",
        question: "How far, how fast, how often?",
        about: "Speed sets the voltage that is needed, acceleration and load set the current, and the pause between moves decides how warm it all gets. One move on the bench proves little: the hundredth in a row is the warm one.",
    },
    Heading {
        station: Station::Motor,
        name: "Motor",
        question: "What does the motor really give, behind the figures of its listing?",
        about: "Two constants follow from four figures of a listing. Where the figures contradict each other, one of them is wrong, and it shows here before money is spent.",
    },
    Heading {
        station: Station::Gears,
        name: "Gears",
        question: "How many motor turns make exactly one turn, and how much gets through?",
        about: "The ratio on a label is rounded; only tooth counts tell the exact one. Free play decides how well the axis lands, and teeth strip long before a motor stalls for good.",
    },
    Heading {
        station: Station::Encoder,
        name: "Encoder",
        question: "Will the sensors give a direction, and never lose an edge?",
        about: "Two sensors on one magnet ring give direction only where they sit a quarter of an electrical turn apart, and that depends on the number of poles.",
    },
    Heading {
        station: Station::Steps,
        name: "Steps",
        question: "What must the pulse source be set to, and does it add up?",
        about: "Counts seldom divide evenly into the steps that are wanted. The firmware's gearing fraction and the decimals of the pulse source decide whether position drifts.",
    },
    Heading {
        station: Station::Bridge,
        name: "Bridge",
        question: "Does the driver carry the current without cooking?",
        about: "A stall, or a reversal at speed, asks for far more current than the move. The driver sits in the same warm housing as the motor.",
    },
    Heading {
        station: Station::Supply,
        name: "Supply",
        question: "Does the voltage stay up when the motors pull, and down when they stop?",
        about: "A sagging supply resets the processor and the position is lost. A supply that cannot take current back is pumped up by every stop.",
    },
    Heading {
        station: Station::Regulator,
        name: "Regulator",
        question: "What feeds the processor and the sensors, and what does that cost?",
        about: "A linear regulator on a high supply burns more than everything it feeds. A switching one wastes less and needs more headroom and parts.",
    },
    Heading {
        station: Station::Wiring,
        name: "Wiring",
        question: "Do wires, traces and pins carry it, and do the levels fit?",
        about: "Thin wire costs voltage just when the motor needs it. A pulse that the input does not read as high is a step that never happened.",
    },
    Heading {
        station: Station::Drive,
        name: "Drive",
        question: "What does this motor do on this supply?",
        about: "The motor, the driver, the wires and the supply share one voltage. This is the line of torque against speed that is left of it: a motor that is quick on a stiff bench supply is not so through thin wire, and weaker still once it is warm.",
    },
    Heading {
        station: Station::Heat,
        name: "Hold and heat",
        question: "How long can it hold, and how warm does it get?",
        about: "Stall torque is not torque that can be held. Copper that warms up resists more and warms up faster; seconds, minutes or for ever is the question.",
    },
    Heading {
        station: Station::Loop,
        name: "Loop",
        question: "Which gains to begin with, and how much room has the loop?",
        about: "Gains are start values from the motor's own time constants. Counts are coarse, and free play lets the motor run without its load: a loop asked to be quicker than both allow rattles or hunts for ever between two counts.",
    },
    Heading {
        station: Station::Stepper,
        name: "Stepper",
        question: "What would the stepper have done?",
        about: "A stepper holds without counting and burns power to do it. Side by side, each keeps something and gives something up; a conversion that only moves the trouble shows here.",
    },
    Heading {
        station: Station::Verdict,
        name: "Verdict",
        question: "Does it do the job, and what is the least room?",
        about: "A chain holds what its weakest link holds: the worst check is the verdict, however good the others are. A verdict on guessed figures is a guess; the bench makes it one on measured ones.",
    },
    Heading {
        station: Station::Bench,
        name: "Bench sheet",
        question: "What should the meter read, and what does it mean when it does not?",
        about: "Listings promise, a bench tells. Each reading has the limits that the tolerances give it; a reading outside them says which figure to doubt, before the build goes wrong under load. Read from the top: the first lines keep fingers and teeth whole.",
    },
];

impl Station {
    /// What is said of it.
    #[must_use]
    pub fn heading(self) -> &'static Heading {
        STATIONS
            .iter()
            .find(|h| h.station == self)
            .unwrap_or(&STATIONS[0])
    }
}

/// The kinds of axis, as a set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kinds(u8);

impl Kinds {
    /// Every kind.
    pub const ALL: Self = Self(0x7f);
    /// Only this one.
    #[must_use]
    pub const fn only(kind: axis::Kind) -> Self {
        Self(1 << kind as u8)
    }
    /// Either set.
    #[must_use]
    pub const fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
    /// Whether `kind` is one of them.
    #[must_use]
    pub const fn has(self, kind: axis::Kind) -> bool {
        self.0 & (1 << kind as u8) != 0
    }
}

/// What can be typed into an input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// A number with a unit.
    Quantity(Measure),
    /// A whole number.
    Whole,
    /// One word of a list.
    Choice(&'static [&'static str]),
    /// An exact number: a decimal as written, or a fraction `a/b` or `a:b`.
    Exact,
    /// Gear stages, pairs driven:driver.
    Stages,
    /// A list of shares, one a stage.
    Shares,
    /// An angle on rotary kinds, a length on linear kinds.
    Travel,
    /// Words.
    Text,
}

/// What stands in when nothing is given.
#[derive(Clone, Copy, Debug)]
pub enum Preset {
    /// Nothing: the definition says what happens then.
    LeftOut,
    /// Always this.
    Fixed(&'static str),
    /// By axis.kind: the first pair whose set has the kind; left out if none has.
    ByKind(&'static [(Kinds, &'static str)]),
    /// By motor.case_diameter: 10–12, 16, 20–25, 37 mm.
    ByClass([&'static str; 4]),
    /// Computed from other inputs and results; the text says how.
    From(fn(&Eval<'_>) -> Result<f64, Absent>, &'static str),
}

/// How sure an assumed value is, or a given one whose tolerance is not said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sure {
    /// It has no tolerance: a whole number, a choice, a wish.
    Exact,
    /// Known well enough to leave the tolerance out until one is given.
    Near,
    /// ± this much, as typed.
    Within(&'static str),
}

/// By what means a person can change an input to cure a shortfall, the handiest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Means {
    /// A setting of the firmware or of the pulse source.
    Setting,
    /// Something that is fitted, wired or laid out.
    Fitted,
    /// Another part bought.
    Bought,
    /// What is asked of the axis.
    Asked,
    /// As it is found: only measuring can make it another.
    Found,
    /// Nothing is cured by it: it says what the other figures mean, is a limit of what parts bear, or
    /// comes in a few sizes only.
    Nothing,
}

/// A limit that another input sets.
#[derive(Clone, Copy, Debug)]
pub struct Rule {
    /// How this input must stand to the other.
    pub must: Must,
    /// The other, in SI.
    pub than: fn(&Eval<'_>) -> Result<f64, Absent>,
    /// The other, in words.
    pub name: &'static str,
    /// Why.
    pub because: &'static str,
}

/// See [`Rule`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Must {
    Above,
    AtLeast,
    Below,
    AtMost,
}

/// An input.
#[derive(Clone, Copy, Debug)]
pub struct Input {
    /// `station.name`; never renamed once released.
    pub id: &'static str,
    /// Symbol in formulas, `base_subscript`.
    pub symbol: &'static str,
    /// Name in the trade's terms.
    pub label: &'static str,
    /// What can be typed.
    pub form: Form,
    /// What stands in.
    pub preset: Preset,
    /// Least value; a leading `>` excludes the limit itself.
    pub low: &'static str,
    /// Greatest value; a leading `<` excludes the limit itself.
    pub high: &'static str,
    /// Why the limits are where they are.
    pub because: &'static str,
    /// Limits that other inputs set.
    pub rules: &'static [Rule],
    /// Tolerance when none is given.
    pub sure: Sure,
    /// Whether the word `none` leaves it out although it has a default.
    pub none: bool,
    /// 1 asked first, 2 in the opened station, 3 behind "the rest".
    pub layer: u8,
    /// Kinds of axis that use it.
    pub kinds: Kinds,
    /// By what means it can be changed.
    pub means: Means,
    /// Where to find it or how to measure it.
    pub help: &'static str,
}

/// The parts that most inputs share.
pub(crate) const INPUT: Input = Input {
    id: "",
    symbol: "",
    label: "",
    form: Form::Text,
    preset: Preset::LeftOut,
    low: "",
    high: "",
    because: "beyond that it is no small gear motor's job, or a slip of the pen",
    rules: &[],
    sure: Sure::Exact,
    none: false,
    layer: 3,
    kinds: Kinds::ALL,
    means: Means::Found,
    help: "",
};

/// What a function of the register found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// The value: SI, temperatures in kelvin, choices and yes/no by number.
    pub value: f64,
    /// The same as an exact rational where it is one.
    pub exact: Option<Exact>,
    /// What it measures, where that depends on the design.
    pub measure: Option<Measure>,
}

/// A result.
#[derive(Clone, Copy)]
pub struct Outcome {
    /// `station.name`; never renamed once released.
    pub id: &'static str,
    /// Symbol in formulas.
    pub symbol: &'static str,
    /// Name in the trade's terms.
    pub label: &'static str,
    /// What it measures.
    pub measure: Measure,
    /// What it means in the workshop; `{}` stands for the value with its unit.
    pub meaning: &'static str,
    /// Its formula over ids (see [`crate::formula`]); a function may name another with
    /// [`Eval::working`].
    pub formula: &'static str,
    /// Where the formula comes from.
    pub source: &'static str,
    /// Whether the card lists it; what only serves other results is left to the report.
    pub shown: bool,
    /// Whether it takes hundreds of evaluations of its own: computed only where it is asked for.
    pub costly: bool,
    /// Words instead of the number, where they say more.
    pub words: Option<fn(&Eval<'_>) -> Option<String>>,
    /// The function: the number, with what belongs beside it kept in the evaluation.
    pub compute: fn(&Eval<'_>) -> Result<f64, Absent>,
}

impl core::fmt::Debug for Outcome {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(self.id)
    }
}

fn no_function(_: &Eval<'_>) -> Result<f64, Absent> {
    Err(Absent::missing(0))
}

/// The parts that most results share.
pub(crate) const RESULT: Outcome = Outcome {
    id: "",
    symbol: "",
    label: "",
    measure: Measure::Ratio,
    meaning: "",
    formula: "",
    source: "",
    shown: true,
    costly: false,
    words: None,
    compute: no_function,
};

/// A number in the register that remembers the type of its quantity.
#[derive(Debug)]
pub struct Key<Q> {
    index: u16,
    quantity: PhantomData<fn() -> Q>,
}

impl<Q> Clone for Key<Q> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<Q> Copy for Key<Q> {}

impl<Q> Key<Q> {
    pub(crate) const fn at(index: usize) -> Self {
        Self {
            index: index as u16,
            quantity: PhantomData,
        }
    }
    /// Its number.
    #[must_use]
    pub const fn index(self) -> usize {
        self.index as usize
    }
    /// Its id.
    #[must_use]
    pub fn id(self) -> &'static str {
        id(self.index())
    }
}

impl Key<Rational> {
    /// The same number as a plain factor.
    #[must_use]
    pub const fn as_ratio(self) -> Key<pulsewright_calc::units::Ratio> {
        Key {
            index: self.index,
            quantity: PhantomData,
        }
    }
}

/// A quantity that fits in the sheet: SI inside.
pub trait Physical: Copy {
    /// From the sheet's number.
    fn from_raw(raw: f64) -> Self;
    /// To the sheet's number.
    fn raw(self) -> f64;
}

impl<D, U> Physical for uom::si::Quantity<D, U, f64>
where
    D: uom::si::Dimension + ?Sized,
    U: uom::si::Units<f64> + ?Sized,
    Self: Copy,
{
    fn from_raw(raw: f64) -> Self {
        Self {
            dimension: PhantomData,
            units: PhantomData,
            value: raw,
        }
    }
    fn raw(self) -> f64 {
        self.value
    }
}

impl Physical for f64 {
    fn from_raw(raw: f64) -> Self {
        raw
    }
    fn raw(self) -> f64 {
        self
    }
}

impl Physical for u32 {
    fn from_raw(raw: f64) -> Self {
        raw as Self
    }
    fn raw(self) -> f64 {
        f64::from(self)
    }
}

impl Physical for bool {
    fn from_raw(raw: f64) -> Self {
        raw != 0.0
    }
    fn raw(self) -> f64 {
        f64::from(u8::from(self))
    }
}

impl<Q: Physical> From<Q> for Found {
    fn from(quantity: Q) -> Self {
        Self {
            value: quantity.raw(),
            exact: None,
            measure: None,
        }
    }
}

/// An exact rational in the sheet; its own type, so that a key says that there is one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rational(pub Exact);

impl From<Rational> for Found {
    fn from(Rational(exact): Rational) -> Self {
        Self {
            value: pulsewright_calc::ratio::to_f64(exact).unwrap_or(f64::NAN),
            exact: Some(exact),
            measure: None,
        }
    }
}

/// A travel: an angle, or a length along it or as arc at the radius.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Travel {
    /// An angle.
    Angle(pulsewright_calc::units::Angle),
    /// A length.
    Length(pulsewright_calc::units::Length),
}

impl Travel {
    /// Its size in SI.
    #[must_use]
    pub fn raw(self) -> f64 {
        match self {
            Self::Angle(angle) => angle.value,
            Self::Length(length) => length.value,
        }
    }
    /// What it measures.
    #[must_use]
    pub fn measure(self) -> Measure {
        match self {
            Self::Angle(_) => Measure::Angle,
            Self::Length(_) => Measure::Length,
        }
    }
}

impl From<Travel> for Found {
    fn from(travel: Travel) -> Self {
        Self {
            value: travel.raw(),
            exact: None,
            measure: Some(travel.measure()),
        }
    }
}

/// Steps per millimetre or per degree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PerUnit {
    /// Its number.
    pub value: f64,
    /// The same, exact, where it is rational.
    pub exact: Option<Exact>,
    /// Per millimetre or per degree.
    pub measure: Measure,
}

impl From<PerUnit> for Found {
    fn from(per: PerUnit) -> Self {
        Self {
            value: per.value,
            exact: per.exact,
            measure: Some(per.measure),
        }
    }
}
/// Marks a list of stages.
#[derive(Clone, Copy, Debug)]
pub struct Stages;
/// Marks a list of shares.
#[derive(Clone, Copy, Debug)]
pub struct Shares;
/// Marks words.
#[derive(Clone, Copy, Debug)]
pub struct Words;

/// Every station's inputs, in the order of the card.
const INPUT_TABLES: [&[Input]; 15] = [
    card::INPUTS,
    axis::INPUTS,
    movement::INPUTS,
    motor::INPUTS,
    gears::INPUTS,
    encoder::INPUTS,
    steps::INPUTS,
    bridge::INPUTS,
    supply::INPUTS,
    regulator::INPUTS,
    wiring::INPUTS,
    drive::INPUTS,
    position_loop::INPUTS,
    stepper::INPUTS,
    bench::INPUTS,
];

/// How many inputs there are.
pub const INPUT_COUNT: usize = bench::INPUTS_AT + bench::INPUTS.len();

/// Every station's results.
const RESULT_TABLES: [&[Outcome]; 17] = [
    axis::RESULTS,
    movement::RESULTS,
    motor::RESULTS,
    gears::RESULTS,
    encoder::RESULTS,
    steps::RESULTS,
    bridge::RESULTS,
    supply::RESULTS,
    regulator::RESULTS,
    wiring::RESULTS,
    drive::RESULTS,
    heat::RESULTS,
    position_loop::RESULTS,
    landing::RESULTS,
    stepper::RESULTS,
    verdict::RESULTS,
    bench::RESULTS,
];

/// Every station's checks.
pub(crate) const CHECK_TABLES: [&[Check]; 17] = [
    axis::CHECKS,
    movement::CHECKS,
    motor::CHECKS,
    gears::CHECKS,
    encoder::CHECKS,
    steps::CHECKS,
    bridge::CHECKS,
    supply::CHECKS,
    regulator::CHECKS,
    wiring::CHECKS,
    drive::CHECKS,
    heat::CHECKS,
    position_loop::CHECKS,
    landing::CHECKS,
    stepper::CHECKS,
    verdict::CHECKS,
    bench::CHECKS,
];

/// Every station's findings.
pub(crate) const FINDING_TABLES: [&[Finding]; 17] = [
    axis::FINDINGS,
    movement::FINDINGS,
    motor::FINDINGS,
    gears::FINDINGS,
    encoder::FINDINGS,
    steps::FINDINGS,
    bridge::FINDINGS,
    supply::FINDINGS,
    regulator::FINDINGS,
    wiring::FINDINGS,
    drive::FINDINGS,
    heat::FINDINGS,
    position_loop::FINDINGS,
    landing::FINDINGS,
    stepper::FINDINGS,
    verdict::FINDINGS,
    bench::FINDINGS,
];

/// How many inputs and results there are together.
pub const COUNT: usize = bench::RESULTS_AT + bench::RESULTS.len();

static INPUTS: [Input; INPUT_COUNT] = {
    let mut all = [INPUT; INPUT_COUNT];
    let (mut table, mut at) = (0, 0);
    while table < INPUT_TABLES.len() {
        let mut row = 0;
        while row < INPUT_TABLES[table].len() {
            all[at] = INPUT_TABLES[table][row];
            at += 1;
            row += 1;
        }
        table += 1;
    }
    all
};

static RESULTS: [Outcome; COUNT - INPUT_COUNT] = {
    let mut all = [RESULT; COUNT - INPUT_COUNT];
    let (mut table, mut at) = (0, 0);
    while table < RESULT_TABLES.len() {
        let mut row = 0;
        while row < RESULT_TABLES[table].len() {
            all[at] = RESULT_TABLES[table][row];
            at += 1;
            row += 1;
        }
        table += 1;
    }
    all
};

/// Every input, by number.
#[must_use]
pub fn inputs() -> &'static [Input] {
    &INPUTS
}

/// Every result; the first has the number [`INPUT_COUNT`].
#[must_use]
pub fn results() -> &'static [Outcome] {
    &RESULTS
}

/// The result of this number, where it is one.
#[must_use]
pub fn result(index: usize) -> Option<&'static Outcome> {
    RESULTS.get(index.checked_sub(INPUT_COUNT)?)
}

/// The id of this number.
#[must_use]
pub fn id(index: usize) -> &'static str {
    match INPUTS.get(index) {
        Some(input) => input.id,
        None => result(index).map_or("", |r| r.id),
    }
}

/// The label of this number.
#[must_use]
pub fn label(index: usize) -> &'static str {
    match INPUTS.get(index) {
        Some(input) => input.label,
        None => result(index).map_or("", |r| r.label),
    }
}

/// The symbol of this number.
#[must_use]
pub fn symbol(index: usize) -> &'static str {
    match INPUTS.get(index) {
        Some(input) => input.symbol,
        None => result(index).map_or("", |r| r.symbol),
    }
}

/// What the number measures.
#[must_use]
pub fn measure(index: usize) -> Measure {
    match INPUTS.get(index) {
        Some(input) => match input.form {
            Form::Quantity(measure) => measure,
            Form::Travel => Measure::Angle,
            Form::Shares => Measure::Share,
            Form::Exact => Measure::Ratio,
            _ => Measure::Count,
        },
        None => result(index).map_or(Measure::Ratio, |r| r.measure),
    }
}

/// The number of an id. A result stands before an input of the same id: it is the value in effect
/// (`gears.efficiency` given, implied or estimated).
#[must_use]
pub fn find(wanted: &str) -> Option<usize> {
    let result = RESULTS
        .iter()
        .position(|r| r.id == wanted)
        .map(|at| INPUT_COUNT + at);
    result.or_else(|| find_input(wanted))
}

/// The number of an input's id.
#[must_use]
pub fn find_input(wanted: &str) -> Option<usize> {
    INPUTS.iter().position(|i| i.id == wanted)
}

/// The station that shows an input or a result, by its id's prefix.
#[must_use]
pub fn station(index: usize) -> Option<Station> {
    let prefix = id(index).split('.').next()?;
    Some(match prefix {
        "axis" => Station::Axis,
        "move" => Station::Move,
        "motor" => Station::Motor,
        "gears" => Station::Gears,
        "encoder" => Station::Encoder,
        "steps" => Station::Steps,
        "bridge" | "board" => Station::Bridge,
        "supply" => Station::Supply,
        "regulator" => Station::Regulator,
        "wiring" => Station::Wiring,
        "drive" => Station::Drive,
        "hold" | "heat" => Station::Heat,
        "loop" => Station::Loop,
        "stepper" => Station::Stepper,
        "bench" | "order" => Station::Bench,
        "error" | "compare" | "check" | "need" | "fit" | "settings" | "verdict" => Station::Verdict,
        _ => return None,
    })
}
