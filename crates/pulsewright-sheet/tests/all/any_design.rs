//! What is said of a design, whatever the design: thousands drawn at random, sound ones and odd ones, each with its
//! landing simulated.
//!
//! The laws are those of the judgement; nothing here is a number of a source. Every seed is fixed, so that one tree has
//! one outcome.

use crate::common::{demos_and_kinds, entered, input};
use pulsewright_sheet::analysis::bench_sheet;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::entry::{self, Value};
use pulsewright_sheet::design::link;
use pulsewright_sheet::evaluation::check::{self, CheckResult, Verdict};
use pulsewright_sheet::evaluation::finding::{self, RaisedFinding};
use pulsewright_sheet::evaluation::{Code, Eval, Severity, Status, Tier, display};
use pulsewright_sheet::output::{entered, verdict};
use pulsewright_sheet::plot;
use pulsewright_sheet::register::{self, COUNT, Form, INPUT_COUNT, Kind, landing};
use pulsewright_sheet::stations::shared;
use pulsewright_sheet::text::measure::Measure;
use pulsewright_sheet::text::number::{self, DecimalMark};
use pulsewright_sheet::text::unit;
use std::collections::BTreeMap;

/// How many designs are drawn.
const DESIGNS: u64 = 2000;

/// Numbers that look random: splitmix64 (Steele, Lea and Flood 2014, from memory; any other would do).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 up to 1.
    fn share(&mut self) -> f64 {
        (self.roll() >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    fn below(&mut self, count: usize) -> usize {
        (self.share() * count as f64) as usize
    }

    fn one_of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }

    fn chance(&mut self, share: f64) -> bool {
        self.share() < share
    }
}

/// The end of an input's range as a text that it takes; of a travel one of both readings.
fn end(dice: &mut Dice, text: &str) -> String {
    let parts: Vec<&str> = text.trim_start_matches(['>', '<']).split('|').collect();
    dice.one_of(&parts).trim().to_string()
}

/// A number in one of the units in which people write it.
fn written(dice: &mut Dice, raw: f64, measure: Measure) -> String {
    let usual = measure.usual();
    let name = if usual.is_empty() {
        ""
    } else {
        *dice.one_of(usual)
    };
    let digits = 3 + dice.below(8) as i32;
    match unit::unit(name, measure) {
        Ok(unit) => [number::text(unit.from_si(raw), digits), unit.text].concat(),
        Err(_) => number::text(raw, digits),
    }
}

/// A text for an input of a design: near what stands there, far from it, an end of its range, a word.
fn text(dice: &mut Dice, c: &Eval<'_>, index: usize, odd: bool) -> String {
    let input = &register::inputs()[index];
    match input.form {
        Form::Choice(words) => return (*dice.one_of(words)).into(),
        Form::Text => return "NaN inf <b> ×1.67".into(),
        Form::Stages => {
            let stages = 1 + dice.below(6);
            let stage = |_| {
                let driver = 8 + dice.below(20);
                format!("{}:{driver}", driver + dice.below(60))
            };
            return (0..stages).map(stage).collect::<Vec<_>>().join(",");
        }
        Form::Shares => {
            let stages = 1 + dice.below(4);
            let share = |_| format!("{:.2}", dice.between(0.2, 1.0));
            return (0..stages).map(share).collect::<Vec<_>>().join(";");
        }
        Form::Quantity(_) | Form::Whole | Form::Exact | Form::Travel => {}
    }
    if odd && dice.chance(0.12) {
        let side = if dice.chance(0.5) {
            input.low
        } else {
            input.high
        };
        return end(dice, side);
    }
    if dice.chance(0.04) {
        return "none".into();
    }
    let answer = c.answer(index);
    let now = answer.found.ok().filter(|now| *now != 0.0).or_else(|| {
        // Left out: somewhere in its range, by its size.
        let at = |text: &str| match entry::read(input, text, DecimalMark::Stored).ok()?.value {
            Value::Real(at) | Value::Angle(at) | Value::Length(at) => Some(at),
            _ => None,
        };
        let high = at(&end(dice, input.high)).filter(|high| *high > 0.0)?;
        let low = at(&end(dice, input.low)).filter(|low| *low > 0.0);
        let low = low.unwrap_or(1e-6 * high);
        Some(low * libm::pow(high / low, dice.share()))
    });
    let Some(now) = now else { return String::new() };
    let decades = if odd { 1.5 } else { 0.1 };
    let value = now * libm::pow(10.0, dice.between(-decades, decades));
    match input.form {
        Form::Whole | Form::Exact => format!("{}", value.round()),
        _ => written(dice, value, answer.measure),
    }
}

/// A gear motor's listing and a job for it, within what is sold (common practice, no source).
fn sound(dice: &mut Dice, kind: &str) -> Design {
    let (case, volts, stall, speed, amperes) = *dice.one_of(&[
        ("12 mm", 6.0, 1.5, 100.0, 0.7),
        ("16 mm", 6.0, 2.5, 80.0, 0.9),
        ("25 mm", 12.0, 7.0, 70.0, 1.3),
        ("37 mm", 12.0, 18.0, 60.0, 3.0),
    ]);
    let torque = stall * 0.098_066_5;
    let load = torque * dice.between(0.02, 0.25);
    let radius = dice.between(0.02, 0.2);
    let mass = load / (9.81 * radius);
    let mut entries = vec![
        ("axis.kind", kind.to_string()),
        ("axis.home", "switch".into()),
        ("motor.case_diameter", case.into()),
        ("motor.rated_voltage", format!("{volts} V")),
        ("motor.stall_torque", format!("{stall} kgf.cm")),
        ("motor.no_load_speed", format!("{speed} r/min")),
        ("motor.stall_current", format!("{amperes} A")),
        ("gears.ratio", (*dice.one_of(&["100", "150", "210"])).into()),
        ("supply.voltage", format!("{volts} V")),
        ("axis.load_mass", format!("{mass} kg")),
    ];
    // A quarter of the no-load speed in the mean.
    let turns = dice.between(0.1, 0.8);
    let time = turns / (speed / 60.0) * dice.between(2.5, 8.0);
    entries.push(("move.time", format!("{time} s")));
    entries.push((
        "move.dwell",
        format!("{} s", time * dice.between(1.0, 20.0)),
    ));
    let radius = format!("{} mm", radius * 1e3);
    match kind {
        "arm" | "turntable" => {
            entries.push(("axis.radius", radius));
            entries.push(("move.distance", format!("{} deg", turns * 360.0)));
        }
        "torque" => {
            entries.push(("axis.load_torque", format!("{load} N.m")));
            entries.push(("move.distance", format!("{} deg", turns * 360.0)));
        }
        _ => {
            // Of screw, belt and rack the typical travel of a turn stands.
            let design = entered(&[("axis.kind", kind)]);
            let c = Eval::new(&design);
            let travel = register::find("axis.turn_travel").and_then(|at| c.raw(at).ok());
            let travel = travel.unwrap_or(0.05);
            entries.push(("move.distance", format!("{} mm", turns * travel * 1e3)));
            entries.retain(|(id, _)| *id != "axis.load_mass");
            let mass = load * std::f64::consts::TAU / travel / 9.81;
            entries.push(("axis.load_mass", format!("{} kg", mass.min(20.0) * 0.5)));
        }
    }
    let mut design = Design::default();
    for (id, text) in entries {
        if let Some(index) = register::find_input(id) {
            design.enter(index, &text, DecimalMark::Stored);
        }
    }
    design
}

/// The design of this number.
fn design(number: u64, bases: &[(String, Design)]) -> Design {
    let dice = &mut Dice(number);
    let kind = Kind::WORDS[number as usize % Kind::WORDS.len()];
    let (mut design, odd, changes) = match number % 4 {
        0 => (sound(dice, kind), false, 0),
        1 => (sound(dice, kind), false, dice.below(8)),
        2 => (sound(dice, kind), true, dice.below(6)),
        _ => {
            let changes = 1 + dice.below(40);
            (dice.one_of(bases).1.clone(), true, changes)
        }
    };
    for _ in 0..changes {
        let index = dice.below(INPUT_COUNT);
        let before = design.text(index).to_string();
        let typed = text(dice, &Eval::new(&design), index, odd);
        design.enter(index, &typed, DecimalMark::Stored);
        // Only what is taken, beside all the others.
        if !entered::refusals(&Eval::new(&design)).is_empty() {
            design.enter(index, &before, DecimalMark::Stored);
        }
    }
    design
}

/// What is computed of a design, and what it says.
struct Told<'c> {
    c: &'c Eval<'c>,
    held: &'c [CheckResult],
    raised: &'c [RaisedFinding],
    verdict: &'c Verdict,
    texts: &'c [(&'static str, String)],
    plots: &'c [plot::Plot],
}

/// Every text but those of the plots that take hundreds of evaluations.
fn texts(
    c: &Eval<'_>,
    held: &[CheckResult],
    raised: &[RaisedFinding],
    judged: &Verdict,
    plots: &[plot::Plot],
) -> Vec<(&'static str, String)> {
    let mut texts = vec![("verdict", verdict::sentence(c, judged))];
    for held in held {
        if held.status() == Status::Fails {
            let said = held.what_fails(c);
            texts.push((held.check.id, said));
        }
    }
    texts.extend(raised.iter().map(|said| (said.finding.id, said.message(c))));
    for index in 0..COUNT {
        // What a person wrote is not what is said.
        let own = register::inputs().get(index).map(|input| input.form) == Some(Form::Text);
        if !own && register::result(index).is_none_or(|result| !result.costly) {
            texts.push((register::id(index), display::display(c, index, 4)));
        }
    }
    for row in &bench_sheet::READINGS {
        texts.push(("bench row", finding::fill_template(row.how, c)));
    }
    for plot in plots {
        texts.push((plot.id, plot.finding.clone()));
        for panel in &plot.panels {
            texts.extend(panel.marks.iter().map(|mark| (plot.id, mark.label.clone())));
            texts.extend(
                panel
                    .limits
                    .iter()
                    .map(|limit| (plot.id, limit.label.clone())),
            );
        }
    }
    texts.extend(bench_sheet::READINGS.iter().map(|row| {
        let limits = bench_sheet::limits(c, row);
        ("limits on the bench", bench_sheet::between(c, row, limits))
    }));
    texts
}

/// The limit of what each temperature is that of.
const LIMITS: [(&str, &str); 11] = [
    ("bench.regulator_temperature", "regulator.max_junction"),
    ("board.local_ambient", "motor.max_winding_temperature"),
    ("bridge.junction_temperature", "bridge.max_junction"),
    ("bridge.junction_temperature_hold", "bridge.max_junction"),
    ("bridge.junction_temperature_stall", "bridge.max_junction"),
    ("heat.winding_temperature", "motor.max_winding_temperature"),
    ("heat.housing_temperature", "motor.bracket_limit"),
    (
        "heat.cycle_peak_temperature",
        "motor.max_winding_temperature",
    ),
    ("heat.touch_temperature", "motor.bracket_limit"),
    ("regulator.junction_temperature", "regulator.max_junction"),
    ("bench.housing_temperature", "motor.bracket_limit"),
];

/// What is wrong with what a design is told, a line each.
type Wrong = Vec<String>;

fn no_fault_beside_a_pass(told: &Told<'_>, wrong: &mut Wrong) {
    let stands = matches!(told.verdict.status, Status::Passes | Status::Tight);
    for said in told.raised {
        if stands && said.severity == Severity::Fault {
            let id = said.finding.id;
            wrong.push(format!(
                "{id} is a fault, the verdict {}",
                told.verdict.status.word()
            ));
        }
    }
    for held in told.held {
        if stands && !matches!(held.status(), Status::Passes | Status::Tight) {
            let id = held.check.id;
            wrong.push(format!(
                "{id} {}, and the verdict passes",
                held.status().word()
            ));
        }
    }
}

fn no_temperature_beyond_its_limit(told: &Told<'_>, wrong: &mut Wrong) {
    let c = told.c;
    let number = |id: &str| register::find(id).and_then(|at| c.raw(at).ok());
    let hair = 1e-9;
    for index in INPUT_COUNT..COUNT {
        let answer = c.answer(index);
        if answer.measure != Measure::Temperature {
            continue;
        }
        let id = register::id(index);
        let Some((_, limit)) = LIMITS.iter().find(|(of, _)| *of == id) else {
            wrong.push(format!("{id}: a temperature without a limit"));
            continue;
        };
        if let (Ok(value), Some(limit)) = (answer.found, number(limit))
            && value > limit + hair
            && !(id == "board.local_ambient" && told.c.design().entry(input(id)).is_some())
        {
            wrong.push(format!("{id}: {value} K beyond {limit} K"));
        }
    }
    // In a text no temperature stands above the highest of all limits and entries.
    let mut highest = 65.0_f64;
    for (index, input) in register::inputs().iter().enumerate() {
        if input.form == Form::Quantity(Measure::Temperature)
            && let Ok(value) = c.raw(index)
        {
            highest = highest.max(value - 273.15);
        }
    }
    for (place, text) in told.texts {
        let mut rest = text.as_str();
        while let Some((before, after)) = rest.split_once(" °C") {
            let figure = before.rsplit([' ', '(']).next().unwrap_or("");
            let figure: f64 = figure.replace('\u{2212}', "-").parse().unwrap_or(0.0);
            if figure > highest * 1.005 {
                wrong.push(format!("{place} speaks of {figure} °C: {text}"));
            }
            rest = after;
        }
    }
    let winding = number("motor.max_winding_temperature").unwrap_or(f64::INFINITY);
    for plot in told.plots {
        for panel in plot
            .panels
            .iter()
            .filter(|p| p.y.measure == Measure::Temperature)
        {
            for line in &panel.lines {
                if line.points.iter().any(|point| point.1 > winding + 1e-6) {
                    wrong.push(format!(
                        "{} draws {} beyond the winding's limit",
                        plot.id, line.label
                    ));
                }
            }
        }
    }
}

/// What makes a figure one of the move: its currents, what follows from them, and where it lands.
fn of_the_move(id: &str) -> bool {
    const OF_THE_MOVE: [&str; 28] = [
        "move.lifting_peak",
        "move.lifting_rms",
        "move.lowering_peak",
        "move.lowering_rms",
        "move.peak_current",
        "move.rms_current",
        "heat.rms_current",
        "heat.winding_temperature",
        "heat.winding_resistance",
        "heat.housing_temperature",
        "heat.touch_temperature",
        "heat.cycle_peak_temperature",
        "heat.overheat_time",
        "heat.move_loss",
        "bridge.junction_temperature",
        "bridge.switching_loss",
        "bridge.conduction_loss",
        "bench.housing",
        "supply.peak_power",
        "supply.moving_current",
        "supply.mean_power",
        "supply.average_current",
        "supply.worst_current",
        "supply.voltage_at_worst",
        "supply.run_time",
        "supply.lifting_energy",
        "supply.lowering_energy",
        "bench.supply_current",
    ];
    let simulated = landing::OVERSHOOT.index()..=landing::STEP_PEAK_CURRENT.index();
    OF_THE_MOVE.contains(&id) || register::find(id).is_some_and(|at| simulated.contains(&at))
}

fn what_cannot_move_waits(told: &Told<'_>, wrong: &mut Wrong) {
    let c = told.c;
    let Err(absent) = shared::move_is_made(c) else {
        return;
    };
    if absent.code != Code::Waits {
        return;
    }
    for index in INPUT_COUNT..COUNT {
        let id = register::id(index);
        if of_the_move(id)
            && let Ok(value) = c.raw(index)
        {
            wrong.push(format!("{id}: {value} of a move that cannot be made"));
        }
    }
    let first = told
        .held
        .iter()
        .any(|held| held.check.tier <= Tier::Move && held.status() == Status::Fails);
    if !first && told.verdict.contradiction.is_none() {
        wrong.push("the move cannot be made, and no check says so".into());
    }
    for held in told.held {
        if [
            "check.winding_temperature",
            "check.bracket",
            "check.warm",
            "check.final_error",
            "check.path",
        ]
        .contains(&held.check.id)
            && held.status() == Status::Fails
        {
            wrong.push(format!(
                "{} fails of a move that cannot be made",
                held.check.id
            ));
        }
    }
}

/// Faults that say more than that the figures of their check fall short.
const OF_THEIR_OWN: [&str; 16] = [
    "counts_lost",
    "edges_lost",
    "stall_beyond_bridge",
    "final_error_large",
    "derivative_chatter",
    "following_error_limit_low",
    "loop_hunts",
    "stall_timeout_short",
    "loop_unstable",
    "no_direction",
    "no_home",
    "no_thermal_equilibrium",
    "reversal_overcurrent",
    "settles_late",
    "stall_timeout_long",
    "shuts_down_on_start",
];

fn nothing_fails_for_another(told: &Told<'_>, wrong: &mut Wrong) {
    for held in told.held {
        if let (Ok(margin), Some(fault)) = (held.margin, held.fault)
            && margin.status() != Status::Fails
            && !OF_THEIR_OWN.contains(&fault.id)
        {
            let (id, status) = (held.check.id, margin.status().word());
            wrong.push(format!("{id} {status} and fails by {}", fault.id));
        }
    }
    for held in told
        .held
        .iter()
        .filter(|held| held.status() == Status::Fails)
    {
        // Without a figure of its own it fails by a fault, whose message must stand by itself.
        if let Err(absent) = held.margin
            && absent.code == Code::Waits
        {
            let by = held.fault.map_or("nothing", |fault| fault.id);
            wrong.push(format!(
                "{} waits ({}) and fails by {by}",
                held.check.id,
                absent.message()
            ));
        }
    }
    for (place, text) in told.texts {
        if text.contains("? (") {
            wrong.push(format!("{place} leaves a gap: {text}"));
        }
    }
}

fn every_number_is_one(told: &Told<'_>, wrong: &mut Wrong) {
    let c = told.c;
    for index in 0..COUNT {
        if register::result(index).is_none_or(|result| !result.costly) {
            let answer = c.answer(index);
            if answer.found.is_ok_and(|value| !value.is_finite()) {
                wrong.push(format!("{} is no number", register::id(index)));
            }
            if answer
                .found
                .is_ok_and(|value| !answer.measure.reported(value).is_finite())
            {
                wrong.push(format!("{} is reported as no number", register::id(index)));
            }
        }
    }
    for held in told.held {
        if let Ok(margin) = held.margin
            && !(margin.capability.is_finite() && margin.need.is_finite())
        {
            let id = held.check.id;
            wrong.push(format!(
                "{id}: {} against {}",
                margin.capability, margin.need
            ));
        }
        if held.ratio().is_some_and(|ratio| !ratio.is_finite()) {
            wrong.push(format!("{}: a margin that is no number", held.check.id));
        }
    }
    for said in told.raised {
        for (id, value) in said.numbers(c) {
            if !value.is_finite() {
                wrong.push(format!("{}: {id} is no number", said.finding.id));
            }
        }
    }
    for plot in told.plots {
        for panel in &plot.panels {
            let points = panel.lines.iter().flat_map(|line| &line.points);
            let marks = panel.marks.iter().map(|mark| (mark.x, mark.y));
            if points
                .copied()
                .chain(marks)
                .any(|(x, y)| !(x.is_finite() && y.is_finite()))
            {
                wrong.push(format!("{} draws what is no number", plot.id));
            }
        }
    }
}

fn every_text_is_words(told: &Told<'_>, wrong: &mut Wrong) {
    for (place, text) in told.texts {
        let mut words = text.split(|letter: char| !letter.is_alphanumeric());
        if words.any(|word| matches!(word, "NaN" | "nan" | "inf" | "infinity" | "Infinity")) {
            wrong.push(format!("{place}: {text}"));
        }
        if text.contains("forced") {
            wrong.push(format!(
                "{place} speaks of a move that cannot be made: {text}"
            ));
        }
        if text.contains('{') || text.contains('}') {
            wrong.push(format!("{place} is not filled in: {text}"));
        }
    }
}

/// How a design stands, and what is wrong with what is said of it.
fn judged(number: u64, bases: &[(String, Design)]) -> (Status, bool, Wrong) {
    let design = design(number, bases);
    let c = Eval::new(&design).simulating();
    let held = check::all(&c);
    let raised = finding::all(&c);
    let verdict = check::verdict(&c, &held);
    let plots: Vec<plot::Plot> = plot::PLOTS
        .iter()
        .filter(|known| known.id != "sensitivity" && number.is_multiple_of(3))
        .filter_map(|known| known.plot(&c).ok())
        .collect();
    let texts = texts(&c, &held, &raised, &verdict, &plots);
    let told = Told {
        c: &c,
        held: &held,
        raised: &raised,
        verdict: &verdict,
        texts: &texts,
        plots: &plots,
    };
    let mut wrong = Vec::new();
    for law in [
        no_fault_beside_a_pass,
        no_temperature_beyond_its_limit,
        what_cannot_move_waits,
        nothing_fails_for_another,
        every_number_is_one,
        every_text_is_words,
    ] {
        law(&told, &mut wrong);
    }
    let waits = held.iter().any(|held| held.status() == Status::Waits);
    let wrong = wrong
        .into_iter()
        .map(|line| format!("{line}\n    {number} {}", link::write(&design)))
        .collect();
    (verdict.status, waits, wrong)
}

/// Every law, over every design. No design is without a verdict, and each verdict comes up many times.
#[test]
fn no_fault_stands_beside_a_pass_whatever_the_design() {
    let bases = demos_and_kinds();
    let threads = std::thread::available_parallelism().map_or(1, |n| n.get() as u64);
    let mut verdicts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut waiting = 0;
    let mut wrong: Vec<String> = Vec::new();
    std::thread::scope(|scope| {
        let part = |first: u64| {
            let bases = &bases;
            scope.spawn(move || {
                (first..DESIGNS)
                    .step_by(threads as usize)
                    .map(|number| judged(number, bases))
                    .collect::<Vec<_>>()
            })
        };
        let parts: Vec<_> = (0..threads).map(part).collect();
        for part in parts {
            for (status, waits, lines) in part.join().expect("a thread that came to its end") {
                *verdicts.entry(status.word()).or_default() += 1;
                waiting += usize::from(waits);
                wrong.extend(lines);
            }
        }
    });
    println!("{verdicts:?}, {waiting} with checks that wait");
    let mut kinds: BTreeMap<String, (usize, &String)> = BTreeMap::new();
    for line in &wrong {
        let kind: String = line.split(['\n', ':', '(']).next().unwrap_or("").into();
        let kind = kind.split(' ').filter(|word| word.parse::<f64>().is_err());
        let kind = kind.collect::<Vec<_>>().join(" ");
        kinds.entry(kind).or_insert((0, line)).0 += 1;
    }
    for (count, first) in kinds.values() {
        println!("{count} times: {first}");
    }
    assert!(wrong.is_empty(), "{} of {} sorts", wrong.len(), kinds.len());
    for status in ["passes", "tight", "fails", "unknown"] {
        let seen = verdicts.get(status).copied().unwrap_or(0);
        assert!(seen >= 20, "{status}: only {seen}");
    }
    assert!(waiting >= 20, "only {waiting} wait");
}
