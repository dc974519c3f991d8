//! The bench sheet: what to do, what to expect with its limits, what a deviation means, and the way
//! of a reading back into the design; and the list before the order.

use pulsewright_calc::ratio::Exact;

use crate::analysis::{solve, tolerance};
use crate::design::{Design, State};
use crate::evaluation::Eval;
use crate::evaluation::{display, finding};
use crate::register::{self, bench as keys, gears, heat, motor, movement, regulator, supply};
use crate::text::number::{self, DecimalMark};

/// What a reading determines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sets {
    /// The input of this number, which is the reading itself.
    Same(usize),
    /// The input of this number: the value at which the sheet expects the reading.
    Solved(usize),
    /// How the current at the target is named.
    Holding,
    /// The ratio, by the fractions of [`fractions`].
    Ratio,
    /// Nothing alone: several inputs could be the cause.
    Nothing,
}

/// A row of the bench sheet.
#[derive(Clone, Copy, Debug)]
pub struct Reading {
    /// Number of the result that is expected.
    pub expect: usize,
    /// Number of the input that takes the reading.
    pub read: usize,
    /// What it determines.
    pub sets: Sets,
    /// Number of another input that the row needs.
    pub also: Option<usize>,
    /// What to do, safely; `{id}` stands for a value.
    pub how: &'static str,
    /// What a reading below the limits means.
    pub below: &'static str,
    /// What a reading above them means.
    pub above: &'static str,
}

/// The rows in the order in which they are read, behind the polarity.
pub const READINGS: [Reading; 11] = [
    Reading {
        expect: keys::RESISTANCE.index(),
        read: keys::RESISTANCE_READ.index(),
        sets: Sets::Same(motor::TERMINAL_RESISTANCE.index()),
        also: None,
        how: "Motor driver disconnected. 0.1 to 0.2 A from a supply with a current limit, magnet held still; volts / amperes at six shaft positions, take the median. A plain ohmmeter includes the brushes.",
        below: "another winding: the stall current is higher than listed; check driver and supply",
        above: "brushes, leads or another winding: less torque. A warm motor reads 0.4 % more per kelvin",
    },
    Reading {
        expect: keys::NO_LOAD_CURRENT.index(),
        read: keys::NO_LOAD_CURRENT_READ.index(),
        sets: Sets::Same(motor::NO_LOAD_CURRENT.index()),
        also: None,
        how: "Load and lever off. One minute at full duty on {supply.voltage}, then the ammeter in one motor lead.",
        below: "less friction than entered: good, unless the duty cycle was below 100 %",
        above: "tight or dry gears, a magnet that rubs, a bent shaft, or brushes not run in: run it for an hour, then measure again",
    },
    Reading {
        expect: keys::NO_LOAD_SPEED.index(),
        read: keys::NO_LOAD_SPEED_READ.index(),
        sets: Sets::Solved(motor::NO_LOAD_SPEED.index()),
        also: None,
        how: "Same run: time ten turns of a mark on the output.",
        below: "voltage drop (measure at the motor), or another ratio or winding than listed",
        above: "another ratio or winding than listed, or a higher voltage than entered",
    },
    Reading {
        expect: keys::TURN_COUNTS.index(),
        read: keys::EDGES_READ.index(),
        sets: Sets::Ratio,
        also: Some(keys::TURNS.index()),
        how: "Drive the output at 1 to 2 V from mark to mark and count the edges. Never turn the output by hand: that strips gears.[ One degree at the mark is {bench.edges_per_degree} edges.]",
        below: "edges get lost, or the ratio is smaller. The same ten turns at full speed lose more? Then edges",
        above: "edges bounce, or the ratio is greater",
    },
    Reading {
        expect: keys::START_VOLTAGE.index(),
        read: keys::START_VOLTAGE_READ.index(),
        sets: Sets::Solved(supply::SOURCE_RESISTANCE.index()),
        also: None,
        how: "Scope, or a meter that keeps the minimum, at the boards. Start at full duty against a soft stop, {settings.stall_timeout} at most.",
        below: "source, wires or a connector have more resistance than entered",
        above: "a source with less resistance than entered, or a meter too slow for the voltage dip",
    },
    Reading {
        expect: keys::LOGIC_VOLTAGE.index(),
        read: keys::LOGIC_VOLTAGE_READ.index(),
        sets: Sets::Same(regulator::OUTPUT_VOLTAGE.index()),
        also: None,
        how: "Meter at the processor, while it runs and through the same start.",
        below: "the regulator is in dropout (min. input {supply.voltage_needed}) or overloaded",
        above: "the wrong regulator or a missing ground: disconnect at once",
    },
    Reading {
        expect: keys::LEVER_FORCE.index(),
        read: keys::LEVER_FORCE_READ.index(),
        sets: Sets::Solved(gears::EFFICIENCY.index()),
        also: Some(keys::LEVER_LENGTH.index()),
        how: "Lever against a scale[, {bench.lever_voltage} set at the supply][, {bench.lever_time} at most]. Stop at {bench.lever_force_limit}, whichever comes first.",
        below: "lower gearbox efficiency than entered, or a warm winding",
        above: "higher gearbox efficiency than entered; the torque at stall is also higher",
    },
    Reading {
        expect: keys::HOLD_CURRENT.index(),
        read: keys::HOLD_CURRENT_READ.index(),
        sets: Sets::Holding,
        also: None,
        how: "Load on, at the target for 10 s, ammeter in one motor lead.[ Ideal {hold.current}, friction against {hold.current_worst_case}, friction helps {hold.current_best_case}.]",
        below: "friction helps",
        above: "friction acts against it: the loop came to rest while lifting",
    },
    Reading {
        expect: keys::HOUSING.index(),
        read: keys::HOUSING_READ.index(),
        sets: Sets::Solved(motor::HOUSING_TO_AMBIENT.index()),
        also: None,
        how: "Repeat the cycle for five times {motor.housing_time_constant}, thermometer taped to the can. Do not touch it to test.",
        below: "better cooling than entered",
        above: "worse cooling than entered, or more friction: the winding is hotter than calculated",
    },
    Reading {
        expect: keys::REGULATOR.index(),
        read: keys::REGULATOR_READ.index(),
        sets: Sets::Solved(regulator::JUNCTION_TO_AMBIENT.index()),
        also: None,
        how: "Same run, thermometer on the regulator's package.",
        below: "better cooling than entered, or the package surface is cooler than the junction",
        above: "it supplies more current than entered: measure it",
    },
    Reading {
        expect: keys::SUPPLY_CURRENT.index(),
        read: keys::SUPPLY_CURRENT_READ.index(),
        sets: Sets::Nothing,
        also: None,
        how: "Same run, a meter that averages in the supply's lead.",
        below: "less friction or load than entered",
        above: "more load or friction than entered: weigh the load, check the axis for tight spots",
    },
];

/// A question before the order.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// Number of the input that takes the answer.
    pub answer: usize,
    /// This design's figures; `{id}` stands for a value.
    pub figures: &'static str,
}

/// The questions before the order.
pub const ORDER: [Row; 10] = [
    Row {
        answer: keys::SHAFT_FREE.index(),
        figures: "motor can {motor.case_diameter}; the magnet needs it",
    },
    Row {
        answer: keys::BORE.index(),
        figures: "ring of {encoder.pole_pairs} pole pairs",
    },
    Row {
        answer: keys::SENSOR_PLACES.index(),
        figures: "second sensor at {encoder.valid_spacings}, both {encoder.placement_radius} from the shaft",
    },
    Row {
        answer: keys::GAP.index(),
        figures: "at the largest gap the field must be at least 2 × {encoder.operate_point}; {encoder.peak_field} is used here",
    },
    Row {
        answer: keys::SCREWS.index(),
        figures: "measure the depth; a screw that is too long blocks the first gear",
    },
    Row {
        answer: keys::OUTPUT_SHAFT.index(),
        figures: "and transmits {move.peak_torque}",
    },
    Row {
        answer: keys::CONNECTORS.index(),
        figures: "[continuous {wiring.continuous_current}, ]stall {drive.blocked_current}",
    },
    Row {
        answer: keys::SPARE.index(),
        figures: "the calculation uses {gears.exact_ratio}",
    },
    Row {
        answer: keys::HOME.index(),
        figures: "entered: {axis.home}",
    },
    Row {
        answer: keys::SOURCE.index(),
        figures: "{supply.voltage}, [fuse {supply.fuse}, ]cable {wiring.gauge}, {wiring.length} one way",
    },
];

/// Least and greatest that the tolerances let one expect; both the same for what is exact.
pub type Limits = (f64, f64);

/// The limits of the row's result from the tolerances of all that it rests on; `None` where it is not
/// there.
#[must_use]
pub fn limits(c: &Eval<'_>, row: &Reading) -> Option<Limits> {
    let value = c.answer(row.expect).found.ok()?;
    let range = tolerance::range(c, row.expect);
    Some(range.map_or((value, value), |range| (range.low, range.high)))
}

/// How a reading stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Not taken, or nothing to hold it against.
    Open,
    /// Inside the limits, its own error counted.
    Within,
    /// Below them.
    Below,
    /// Above them.
    Above,
}

/// How the reading of a row stands against its limits.
#[must_use]
pub fn standing(c: &Eval<'_>, row: &Reading, limits: Option<Limits>) -> Standing {
    let (Ok(read), Some((low, high))) = (c.answer(row.read).found, limits) else {
        return Standing::Open;
    };
    let off = tolerance::of(c, row.read).unwrap_or(0.0);
    // A hair for binary rounding.
    let hair = 1e-9 * read.abs();
    if read + off < low - hair {
        Standing::Below
    } else if read - off > high + hair {
        Standing::Above
    } else {
        Standing::Within
    }
}

/// How many readings of a design stand outside their limits.
#[must_use]
pub fn outside(c: &Eval<'_>) -> usize {
    READINGS
        .iter()
        .filter(|row| c.raw(row.read).is_ok())
        .filter(|row| {
            matches!(
                standing(c, row, limits(c, row)),
                Standing::Below | Standing::Above
            )
        })
        .count()
}

/// The limits in words: `between 30 and 90 mA`; empty for what is exact.
#[must_use]
pub fn between(c: &Eval<'_>, row: &Reading, limits: Option<Limits>) -> String {
    let Some((low, high)) = limits.filter(|(low, high)| low < high) else {
        return String::new();
    };
    let measure = c.answer(row.expect).measure;
    c.notation.between(measure, low, high, 3)
}

/// The name of a row.
#[must_use]
pub fn name(row: &Reading) -> &'static str {
    register::label(row.expect).trim_end_matches(", expected")
}

/// What a row says of its reading; empty where none was taken.
#[must_use]
pub fn verdict(c: &Eval<'_>, row: &Reading, limits: Option<Limits>) -> String {
    match standing(c, row, limits) {
        Standing::Open => String::new(),
        Standing::Within => "Within tolerance.".into(),
        Standing::Below => [
            "Below tolerance: ",
            &finding::fill_template(row.below, c),
            ".",
        ]
        .concat(),
        Standing::Above => [
            "Above tolerance: ",
            &finding::fill_template(row.above, c),
            ".",
        ]
        .concat(),
    }
}

/// What the button of a row is called; `None` where the reading determines nothing, or nothing new.
#[must_use]
pub fn offer(c: &Eval<'_>, row: &Reading) -> Option<String> {
    let _ = c.design().entry(row.read)?;
    let read = c.answer(row.read).found.ok()?;
    match row.sets {
        Sets::Same(input) | Sets::Solved(input) => {
            let now = c.answer(row.expect).found;
            // Rounded as it is written: what was taken over is not offered again.
            let new = now.is_err() || now.is_ok_and(|now| (now - read).abs() > 2e-5 * read.abs());
            let given = c.design().entry(input).is_some();
            (new || !given).then(|| ["Use this reading: ", register::label(input)].concat())
        }
        Sets::Holding => {
            let word = *movement::DwellCurrent::WORDS.get(nearest_hold(c, read)?)?;
            (c.design().text(movement::DWELL_CURRENT.index()) != word)
                .then(|| ["Use this reading: it holds ", word].concat())
        }
        Sets::Ratio | Sets::Nothing => None,
    }
}

/// The word of move.holding_current whose current is nearest to the reading.
fn nearest_hold(c: &Eval<'_>, read: f64) -> Option<usize> {
    use movement::DwellCurrent as Dwell;
    [
        (Dwell::NoFriction, heat::HOLD_CURRENT),
        (Dwell::FrictionAgainst, heat::CURRENT_WORST_CASE),
        (Dwell::FrictionHelps, heat::CURRENT_BEST_CASE),
    ]
    .into_iter()
    .filter_map(|(word, key)| Some((word as usize, (c.raw(key.index()).ok()? - read).abs())))
    .min_by(|(_, a), (_, b)| a.total_cmp(b))
    .map(|(word, _)| word)
}

/// The design with the reading of a row taken over.
///
/// # Errors
/// Why not, in words.
pub fn take(c: &Eval<'_>, row: &Reading) -> Result<Design, String> {
    let c = &c.of(c.design());
    let design = c.design();
    let entry = design.entry(row.read).ok_or("there is no reading")?;
    let read = c.answer(row.read).found.map_err(|a| a.message())?;
    let (input, text) = match row.sets {
        Sets::Same(input) => {
            let mut text = entry.text.clone();
            if entry.tolerance.is_none()
                && let Some((meter, _)) = display::assumed_tolerance(c, row.read)
            {
                text = [&text, "~", meter].concat();
            }
            (input, text)
        }
        Sets::Solved(input) => {
            let off = tolerance::of(c, row.read).unwrap_or(0.0);
            let none = || {
                [
                    "no ",
                    register::label(input),
                    " would give this reading: check other values first",
                ]
                .concat()
            };
            let value = solve::solved(c, input, row.expect, read).ok_or_else(none)?;
            let side = |to: f64| {
                solve::solved(c, input, row.expect, to).map_or(0.0, |v| (v - value).abs())
            };
            (
                input,
                written(input, value, side(read - off).max(side(read + off))),
            )
        }
        Sets::Holding => {
            let word = nearest_hold(c, read).and_then(|at| movement::DwellCurrent::WORDS.get(at));
            let word = word.ok_or("the currents to compare with are not there")?;
            (movement::DWELL_CURRENT.index(), (*word).into())
        }
        Sets::Ratio | Sets::Nothing => return Err("this reading alone determines no value".into()),
    };
    let mut taken = design.clone();
    taken.enter(input, &text, DecimalMark::Stored);
    match taken.state(input) {
        State::Refused { refusal, .. } => Err(refusal.message()),
        _ => c.of(&taken).conflict(input).map_or(Ok(taken), Err),
    }
}

/// A value with its tolerance, as a link carries it, in the unit that shows it best.
fn written(input: usize, value: f64, off: f64) -> String {
    let measure = register::measure(input);
    let (number, unit) = measure.shown(value, 5);
    let scale = number
        .parse::<f64>()
        .ok()
        .map(|n| n / value)
        .filter(|s| s.is_finite());
    match scale.filter(|_| off > 0.0) {
        Some(scale) => [&number, unit, "~", &number::text(off * scale, 2), unit].concat(),
        None => [&number, unit].concat(),
    }
}

/// Greatest prime of a fraction that wheels are thought to make: small gears have fewer teeth
/// (common practice, no source).
const TEETH: u32 = 97;

/// The simplest tooth fractions that fit the counted edges, at most four, that of the design left out.
#[must_use]
pub fn fractions(c: &Eval<'_>) -> Vec<(u64, u64)> {
    let (Ok(low), Ok(high)) = (c.exact(keys::COUNTED_LOW), c.exact(keys::COUNTED_HIGH)) else {
        return Vec::new();
    };
    let now = c.exact(gears::EXACT_RATIO).ok();
    let mut found = pulsewright_calc::bench::tooth_fractions(low, high, TEETH, 5);
    found.retain(|(p, q)| pulsewright_calc::ratio::exact((*p).into(), (*q).into()) != now);
    found.truncate(4);
    found
}

/// Whether the ratio of the design fits the counted edges; `None` where none are counted.
#[must_use]
pub fn ratio_fits(c: &Eval<'_>) -> Option<bool> {
    let low: Exact = c.exact(keys::COUNTED_LOW).ok()?;
    let high: Exact = c.exact(keys::COUNTED_HIGH).ok()?;
    let now = c.exact(gears::EXACT_RATIO).ok()?;
    Some(now >= low && now <= high)
}

/// The design with the ratio p/q from counting: stages make way, a rounded ratio becomes the label's,
/// and the number of stages stays what it was.
#[must_use]
pub fn take_fraction(c: &Eval<'_>, p: u64, q: u64) -> Design {
    let design = c.design();
    let part = |n: u64| number::int(i64::try_from(n).unwrap_or(i64::MAX));
    let mut taken = design.clone();
    let free = |input: usize| matches!(design.state(input), State::Assumed);
    let stages = gears::STAGES.index();
    if !free(stages) {
        if free(gears::STAGE_COUNT.index())
            && let Ok(count) = c.get(gears::STAGE_COUNT_NOW)
        {
            let text = number::int(i64::from(count));
            taken.enter(gears::STAGE_COUNT.index(), &text, DecimalMark::Stored);
        }
        taken.enter(stages, "", DecimalMark::Stored);
    } else if free(gears::NOMINAL_RATIO.index())
        && let Some(label) = design.entry(gears::RATIO.index())
    {
        taken.enter(
            gears::NOMINAL_RATIO.index(),
            &label.text,
            DecimalMark::Stored,
        );
    }
    let text = [part(p).as_str(), "/", &part(q)].concat();
    taken.enter(gears::RATIO.index(), &text, DecimalMark::Stored);
    taken
}
