//! Wires, traces, pins and levels.

use super::shared::{current_for_stall, move_is_made, size_for_stall, under, under_already};
use super::supply::{OVERLOADED, in_cable, margin_of_both, of_moves, sag_through};
use crate::design::Design;
use crate::evaluation::Tier;
use crate::evaluation::check;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Check, Margin, Status};
use crate::evaluation::{Finding, Severity};
use crate::register::wiring::*;
use crate::register::{
    Key, Physical, Station, YesNo, axis, drive, heat, movement, regulator, supply,
};
use crate::text::measure::Measure;
use crate::text::number::DecimalMark;
use pulsewright_calc::preferred;
use pulsewright_calc::units::{
    Area, ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Power, Ratio,
};
use pulsewright_calc::wiring as formulas;
use uom::si::length::meter;

station! { wiring;
    results {
        DIAMETER = diameter;
        AREA_NOW = area_now;
        SUPPLY_RESISTANCE = supply_resistance;
        VOLTAGE_DROP = voltage_drop;
        CABLE_CURRENT = cable_current;
        WIRE_CURRENT = wire_current;
        SHORT_CURRENT = short_current;
        GROUND_SHIFT = ground_shift;
        REGENERATED_POWER = regenerated_power;
        GROUND_SHIFT_BACK = ground_shift_back;
        TRACE_CURRENT = trace_current;
        TRACE_RESISTANCE = trace_resistance;
        CONTINUOUS_CURRENT = continuous_current;
        TRACE_MARGIN = trace_margin;
        PIN_MARGIN = pin_margin;
        LEVEL_MARGIN_HIGH = level_margin_high;
        LEVEL_MARGIN_LOW = level_margin_low;
        LEVEL_MARGIN_MAX = level_margin_max;
        LEVEL_MARGIN_MIN = level_margin_min;
        FIT_TRACE_WIDTH = fit_trace_width;
        FIT_GAUGE = fit_gauge;
        FIT_DIVIDER_UPPER = fit_divider_upper;
        FIT_DIVIDER_LOWER = fit_divider_lower;
    }
    presets {
        GAUGE = assumed_gauge;
        TRACE_WIDTH = assumed_trace_width;
        PIN_CURRENT = current_for_stall;
        PULSE_INTERFACE = pulse_interface;
    }
    limits {
        INPUT_MAX: Above |c| c.before_limits(INPUT_HIGH), "the level read as high", "V_IN(abs. max.) must be above V_IH(min)";
    }
}

/// Gauges that are assumed, thinnest first (common practice, no source).
const ASSUMED_GAUGES: [f64; 14] = [
    26.0, 24.0, 22.0, 20.0, 18.0, 16.0, 14.0, 12.0, 10.0, 8.0, 6.0, 4.0, 2.0, 0.0,
];

fn assumed_gauge(c: &Eval<'_>) -> Result<f64, Absent> {
    size_for_stall(c, &ASSUMED_GAUGES, |gauge| {
        formulas::wire_current(formulas::area(formulas::diameter(gauge)))
    })
}

/// Widths of traces that are assumed, in metres (common practice, no source).
const ASSUMED_WIDTHS: [f64; 10] = [
    1e-3, 1.5e-3, 2e-3, 3e-3, 5e-3, 10e-3, 15e-3, 20e-3, 30e-3, 50e-3,
];

fn assumed_trace_width(c: &Eval<'_>) -> Result<f64, Absent> {
    let (thickness, rise, layer) = (c.get(TRACE_THICKNESS)?, c.get(TRACE_RISE)?, layer(c)?);
    size_for_stall(c, &ASSUMED_WIDTHS, |width| {
        formulas::trace_current(Length::new::<meter>(width), thickness, rise, layer)
    })
}

fn diameter(c: &Eval<'_>) -> Result<Length, Absent> {
    if let Some(area) = c.option(AREA)? {
        c.working("2 * sqrt(wiring.area / pi)");
        return Ok(2.0 * (area / core::f64::consts::PI).sqrt());
    }
    Ok(formulas::diameter(c.get(GAUGE)?.value))
}

/// A given cross-section beats an assumed gauge; both given, the cross-section is used.
fn area_now(c: &Eval<'_>) -> Result<Area, Absent> {
    if let Some(area) = c.option(AREA)? {
        c.working("'as entered'");
        return Ok(area);
    }
    Ok(formulas::area(c.get(DIAMETER)?))
}

fn supply_resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(formulas::supply_resistance(
        c.get(LENGTH)?,
        c.get(AREA_NOW)?,
        c.get(TEMPERATURE)?,
    ))
}

fn cable_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    if c.get(SHARED)? == Shared::Own {
        c.working(if c.get(supply::MOVING_TOGETHER)? > 0 {
            "max(supply.moving_current, supply.holding_current) + supply.board_at_lowest"
        } else {
            "supply.holding_current + supply.board_at_lowest"
        });
    }
    in_cable(
        c,
        c.get(supply::WORST_CURRENT)?,
        c.get(supply::MOVING_CURRENT)?,
        c.get(supply::HOLDING_CURRENT)?,
    )
}

fn voltage_drop(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    Ok(formulas::voltage_drop(
        c.get(CABLE_CURRENT)?,
        c.get(SUPPLY_RESISTANCE)?,
    ))
}

fn wire_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(formulas::wire_current(c.get(AREA_NOW)?))
}

fn short_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::short_current(c.get(drive::HIGHEST_VOLTAGE)?, c.get(drive::SUPPLY_PATH)?).ok_or(
        Absent::unlimited("not known: no source resistance is entered"),
    )
}

/// What two resistors make, once both are given.
fn pulse_interface(c: &Eval<'_>) -> Result<f64, Absent> {
    let divider = c.given(DIVIDER_UPPER) && c.given(DIVIDER_LOWER);
    let assumed = if divider {
        PulseInterface::Divider
    } else {
        PulseInterface::Direct
    };
    Ok(assumed.raw())
}

fn ground_shift(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    if c.get(GROUND_AT)? != GroundAt::Supply {
        c.working("0");
        return Ok(ElectricPotential::default());
    }
    Ok(formulas::ground_shift(
        c.get(CABLE_CURRENT)?,
        c.get(SUPPLY_RESISTANCE)?,
    ))
}

fn regenerated_power(c: &Eval<'_>) -> Result<Power, Absent> {
    let (against, with) = of_moves(c, pulsewright_calc::motion::peak_regenerated_power)?;
    let each = [against, with].into_iter().flatten();
    each.reduce(Power::max).ok_or(NOT_FINITE)
}

fn ground_shift_back(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let moving = c.get(supply::MOVING_TOGETHER)?;
    if c.get(GROUND_AT)? != GroundAt::Supply
        || c.get(supply::SINKS_CURRENT)? == YesNo::No
        || moving == 0
    {
        c.working("0");
        return Ok(ElectricPotential::default());
    }
    let (voltage, path) = (c.get(drive::LOWEST_VOLTAGE)?, c.get(drive::SUPPLY_PATH)?);
    let power = c.get(REGENERATED_POWER)?;
    let board = c.get(supply::BOARD_CURRENT)?;
    let raised = (voltage * voltage + 4.0 * path * power).sqrt();
    let one = 2.0 * power / (voltage + raised);
    let back = if c.get(SHARED)? == Shared::Own {
        c.working("max(0, 2 * wiring.regenerated_power / (drive.lowest_voltage + sqrt(drive.lowest_voltage ^ 2 + 4 * drive.supply_path_resistance * wiring.regenerated_power)) - supply.board_current) * wiring.supply_resistance / 2");
        one - board
    } else {
        let actuators = c.get(supply::ACTUATORS)?;
        let still = f64::from(actuators.saturating_sub(moving));
        f64::from(moving) * one
            - still * c.get(supply::HOLDING_CURRENT)?
            - f64::from(actuators) * board
    };
    Ok(formulas::ground_shift(
        back.max(ElectricCurrent::default()),
        c.get(SUPPLY_RESISTANCE)?,
    ))
}

fn layer(c: &Eval<'_>) -> Result<formulas::TraceLayer, Absent> {
    Ok(match c.get(TRACE_LAYER)? {
        TraceLayer::Outer => formulas::TraceLayer::Outer,
        TraceLayer::Inner => formulas::TraceLayer::Inner,
    })
}

fn trace_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    if c.get(TRACE_LAYER)? == TraceLayer::Inner {
        c.working("0.024 * wiring.trace_rise ^ 0.44 * (wiring.trace_width * wiring.trace_thickness / 25.4e-6 ^ 2) ^ 0.725");
    }
    Ok(formulas::trace_current(
        c.get(TRACE_WIDTH)?,
        c.get(TRACE_THICKNESS)?,
        c.get(TRACE_RISE)?,
        layer(c)?,
    ))
}

fn trace_resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(formulas::trace_resistance(
        c.get(TRACE_WIDTH)?,
        c.get(TRACE_THICKNESS)?,
        c.get(TRACE_LENGTH)?,
        c.get(axis::AMBIENT_TEMPERATURE)? + c.get(TRACE_RISE)?,
    ))
}

fn continuous_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(c.get(movement::RMS_CURRENT)?
        .max(c.get(heat::CURRENT_WORST_CASE)?))
}

fn margin(c: &Eval<'_>, rating: ElectricCurrent) -> Result<Ratio, Absent> {
    formulas::current_margin(rating, c.get(CONTINUOUS_CURRENT)?)
        .ok_or(Absent::not_asked("no current is needed"))
}

fn trace_margin(c: &Eval<'_>) -> Result<Ratio, Absent> {
    margin(c, c.get(TRACE_CURRENT)?)
}

fn pin_margin(c: &Eval<'_>) -> Result<Ratio, Absent> {
    margin(c, c.get(PIN_CURRENT)?)
}

fn logic_input(c: &Eval<'_>) -> Result<formulas::LogicInput, Absent> {
    Ok(formulas::LogicInput {
        high: c.get(INPUT_HIGH)?,
        low: c.get(INPUT_LOW)?,
        greatest: c.get(INPUT_MAX)?,
        least: c.get(INPUT_MIN)?,
    })
}

fn logic_signal(c: &Eval<'_>) -> Result<formulas::LogicSignal, Absent> {
    Ok(formulas::LogicSignal {
        high: c.get(LOGIC_HIGH)?,
        low: c.get(LOGIC_LOW)?,
    })
}

/// Margins of both levels at the input, by what stands before it.
fn logic_margins(
    c: &Eval<'_>,
    shift: &formulas::GroundShift,
) -> Result<formulas::LogicMargins, Absent> {
    let (signal, input) = (logic_signal(c)?, logic_input(c)?);
    let none = formulas::GroundShift {
        lift: ElectricPotential::default(),
        back: ElectricPotential::default(),
    };
    let from_board = |c: &Eval<'_>| -> Result<formulas::LogicMargins, Absent> {
        let signal = formulas::LogicSignal {
            high: c.get(regulator::OUTPUT_VOLTAGE)?,
            ..signal
        };
        Ok(formulas::logic_margins(&signal, &input, &none))
    };
    Ok(match c.get(PULSE_INTERFACE)? {
        PulseInterface::Direct => formulas::logic_margins(&signal, &input, shift),
        PulseInterface::Divider => {
            let resistor =
                |key: Key<ElectricalResistance>| c.option(key)?.ok_or(Absent::missing(key.index()));
            let (upper, lower) = (resistor(DIVIDER_UPPER)?, resistor(DIVIDER_LOWER)?);
            formulas::divided_logic_margins(&signal, &input, shift, upper, lower)
                .ok_or(NOT_FINITE)?
        }
        // Its high is the board's own; its low passes on with the shift.
        PulseInterface::Shifter => {
            let (high, low) = (
                from_board(c)?,
                formulas::logic_margins(&signal, &input, shift),
            );
            formulas::LogicMargins {
                high: high.high,
                greatest: high.greatest,
                ..low
            }
        }
        PulseInterface::Isolator => from_board(c)?,
    })
}

/// One of the four margins, by its working behind each interface: direct, divider, shifter,
/// isolator.
fn level_margin(
    c: &Eval<'_>,
    shift: Key<ElectricPotential>,
    of: fn(formulas::LogicMargins) -> ElectricPotential,
    high: bool,
    workings: [&'static str; 3],
) -> Result<ElectricPotential, Absent> {
    let [divided, shifter, isolator] = workings;
    let interface = c.get(PULSE_INTERFACE)?;
    match interface {
        PulseInterface::Direct => {}
        PulseInterface::Divider => c.working(divided),
        PulseInterface::Shifter => c.working(shifter),
        PulseInterface::Isolator => c.working(isolator),
    }
    let shifted = match interface {
        PulseInterface::Direct | PulseInterface::Divider => true,
        PulseInterface::Shifter => !high,
        PulseInterface::Isolator => false,
    };
    let by = if shifted {
        c.get(shift)?
    } else {
        ElectricPotential::default()
    };
    logic_margins(c, &formulas::GroundShift { lift: by, back: by }).map(of)
}

fn level_margin_high(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let board = "regulator.output_voltage - wiring.input_high";
    let divided = "(wiring.logic_high - wiring.ground_shift) * wiring.divider_lower / (wiring.divider_upper + wiring.divider_lower) - wiring.input_high";
    level_margin(c, GROUND_SHIFT, |m| m.high, true, [divided, board, board])
}

fn level_margin_low(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let divided = "wiring.input_low - (wiring.logic_low + wiring.ground_shift_back) * wiring.divider_lower / (wiring.divider_upper + wiring.divider_lower)";
    let passed = "wiring.input_low - (wiring.logic_low + wiring.ground_shift_back)";
    let isolated = "wiring.input_low - wiring.logic_low";
    let workings = [divided, passed, isolated];
    level_margin(c, GROUND_SHIFT_BACK, |m| m.low, false, workings)
}

fn level_margin_max(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let board = "wiring.input_max - regulator.output_voltage";
    let divided = "wiring.input_max - (wiring.logic_high + wiring.ground_shift_back) * wiring.divider_lower / (wiring.divider_upper + wiring.divider_lower)";
    let workings = [divided, board, board];
    level_margin(c, GROUND_SHIFT_BACK, |m| m.greatest, true, workings)
}

fn level_margin_min(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let divided = "(wiring.logic_low - wiring.ground_shift) * wiring.divider_lower / (wiring.divider_upper + wiring.divider_lower) - wiring.input_min";
    let passed = "wiring.logic_low - wiring.ground_shift - wiring.input_min";
    let isolated = "wiring.logic_low - wiring.input_min";
    let workings = [divided, passed, isolated];
    level_margin(c, GROUND_SHIFT, |m| m.least, false, workings)
}

/// Margin from which a check is clear.
const CLEAR: f64 = 1.25;

fn fit_trace_width(c: &Eval<'_>) -> Result<Length, Absent> {
    let need = c
        .get(CONTINUOUS_CURRENT)?
        .max(c.get(drive::BLOCKED_CURRENT)?);
    let width = formulas::trace_width(
        CLEAR * need,
        c.get(TRACE_THICKNESS)?,
        c.get(TRACE_RISE)?,
        layer(c)?,
    )
    .ok_or(NOT_FINITE)?;
    preferred::trace_width_at_least(width).ok_or(Absent::impossible(
        "wider than 50 mm: use a copper area, or a wire in parallel",
    ))
}

/// Whether a cable of this area stays cool; one that cannot carry the power does not.
fn stays_cool(c: &Eval<'_>, area: Area) -> Result<bool, Absent> {
    let cable = formulas::supply_resistance(c.get(LENGTH)?, area, c.get(TEMPERATURE)?);
    match sag_through(c, cable) {
        Ok((current, ..)) => {
            let margin = Margin::of(formulas::wire_current(area), current);
            Ok(margin.status() == Status::Passes)
        }
        Err(OVERLOADED) => Ok(false),
        Err(absent) => Err(absent),
    }
}

/// The same design with a wire of this gauge.
fn with_gauge(c: &Eval<'_>, gauge: u8) -> Design {
    let mut design = c.design().clone();
    design.enter(AREA.index(), "", DecimalMark::Stored);
    design.enter(GAUGE.index(), &gauge.to_string(), DecimalMark::Stored);
    design
}

/// The thinnest wire with which every check that rests on it is clear. Where one of them is clear
/// with none, the fewest are left tight; where one is under with every wire, no wire is told.
fn fit_gauge(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let mut resting = check::all(c);
    resting.retain(|held| held.depends_on.has(AREA.index()) && held.status() != Status::Unknown);
    for held in &resting {
        c.depend_on(held.depends_on);
    }
    // How every check stands with every wire that stays cool, the thinnest first, and the least and the
    // most of capability over need.
    let mut wires: Vec<(u8, Vec<Status>)> = Vec::new();
    let mut reach = vec![(f64::INFINITY, f64::NEG_INFINITY); resting.len()];
    for &gauge in formulas::GAUGES.iter().rev() {
        if !stays_cool(c, formulas::area(formulas::diameter(gauge)))? {
            continue;
        }
        let design = with_gauge(c, gauge);
        let wired = c.of(&design);
        let stands: Vec<Status> = resting
            .iter()
            .zip(&mut reach)
            .map(|(held, (least, most))| match (held.check.margin)(&wired) {
                Ok(Some(margin)) => {
                    let ratio = margin.capability / margin.need;
                    (*least, *most) = (least.min(ratio), most.max(ratio));
                    margin.status()
                }
                Ok(None) => Status::Passes,
                // The check that it waits for is held as well.
                Err(absent) if absent.code == Code::Waits => Status::Waits,
                Err(_) => Status::Fails,
            })
            .collect();
        let done = stands.iter().all(|&status| status == Status::Passes);
        wires.push((gauge, stands));
        if done {
            break;
        }
    }
    // What no wire moves by a hundredth does not rest on it.
    let moved: Vec<bool> = reach
        .iter()
        .map(|(least, most)| least > most || most - least > 0.01 * most.abs())
        .collect();
    let mut best: Option<((usize, usize), u8)> = None;
    let mut ever_held = vec![false; resting.len()];
    for (gauge, stands) in &wires {
        let (mut failing, mut short) = (0, 0);
        for ((&status, ever), _) in stands
            .iter()
            .zip(&mut ever_held)
            .zip(&moved)
            .filter(|(_, moved)| **moved)
        {
            failing += usize::from(status == Status::Fails);
            short += usize::from(!matches!(status, Status::Passes | Status::Waits));
            *ever |= status != Status::Fails;
        }
        if best.is_none_or(|(fewest, _)| (failing, short) < fewest) {
            best = Some(((failing, short), *gauge));
        }
    }
    for (ever, moved) in ever_held.iter_mut().zip(&moved) {
        *ever |= !moved;
    }
    // A jam is named where nothing says more closely what it breaks.
    let mut never = resting.iter().zip(&ever_held).filter(|(_, ever)| !**ever);
    let first = never.next().map(|(held, _)| held.check.id);
    let never = match never.next() {
        Some((held, _)) if first == Some("check.stall") => Some(held.check.id),
        _ => first,
    };
    match best {
        Some(((0, _), gauge)) => {
            // What carries the current of a move that no wire makes possible is no wire to buy.
            move_is_made(&c.of(&with_gauge(c, gauge)))?;
            Ok(Ratio::from(f64::from(gauge)))
        }
        None => Err(Absent::impossible(
            "no wire is enough: each one overheats, or the source voltage breaks down",
        )),
        Some(_) => Err(no_wire_cures(never)),
    }
}

/// Why no wire is told, by the check that none cures.
fn no_wire_cures(check: Option<&'static str>) -> Absent {
    let found = NO_WIRE_CURES.iter().find(|(id, _)| Some(*id) == check);
    Absent::impossible(found.map_or(
        "no wire passes every check: some need a thicker one, some a thinner one",
        |(_, why)| why,
    ))
}

/// Checks that rest on the wire, each with what is said where no wire cures it.
const NO_WIRE_CURES: [(&str, &str); 14] = [
    ("check.torque", "no wire fixes the torque for the move"),
    ("check.speed", "no wire fixes the speed under load"),
    ("check.voltage", "no wire fixes the voltage for the move"),
    (
        "check.gear_peak",
        "no wire fixes the gearbox peak torque at stall",
    ),
    (
        "check.edge_gap",
        "no wire fixes the time between encoder edges",
    ),
    ("check.processor_load", "no wire fixes the CPU load"),
    ("check.position", "no wire fixes the position error"),
    ("check.bridge_current", "no wire fixes the driver current"),
    ("check.stall", "no wire fixes the stall current"),
    ("check.supply_current", "no wire fixes the supply current"),
    (
        "check.brown_out",
        "no wire fixes the brown-out margin: the source itself drops too far, or the cable is too long",
    ),
    ("check.trace", "no wire fixes the trace current"),
    ("check.connector", "no wire fixes the connector current"),
    ("check.logic_level", "no wire fixes the logic levels"),
];

/// The divider that makes the level check clear.
fn divider(c: &Eval<'_>) -> Result<formulas::Divider, Absent> {
    let shift = formulas::GroundShift {
        lift: c.get(GROUND_SHIFT)?,
        back: c.get(GROUND_SHIFT_BACK)?,
    };
    if level_check(logic_margins(c, &shift)?.least_of_all()).status() == Status::Passes {
        return Err(Absent::not_asked("the logic levels match without it"));
    }
    let (signal, input) = (logic_signal(c)?, logic_input(c)?);
    let levels = formulas::InputLevels {
        high: input.high,
        greatest: input.greatest,
        ground_shift: shift.lift.max(shift.back),
    };
    formulas::choose_divider(signal.high, &levels)
        .filter(|chosen| {
            let (upper, lower) = (chosen.upper, chosen.lower);
            formulas::divided_logic_margins(&signal, &input, &shift, upper, lower).is_some_and(
                |margins| level_check(margins.least_of_all()).status() == Status::Passes,
            )
        })
        .ok_or(Absent::impossible(
            "a divider is not enough: use a level shifter",
        ))
}

fn fit_divider_upper(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(divider(c)?.upper)
}

fn fit_divider_lower(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(divider(c)?.lower)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.trace",
        label: "Trace current",
        failing: "trace rating {wiring.trace_current} at the allowed temperature rise[; continuous current {wiring.continuous_current}]; stall current {drive.blocked_current}",
        tier: Tier::Heat,
        station: Station::Wiring,
        measure: Measure::Current,
        limit: false,
        margin: trace_check,
    },
    Check {
        id: "check.connector",
        label: "Connector current",
        failing: "connector rating {wiring.pin_current}[; continuous current {wiring.continuous_current}]; stall current {drive.blocked_current}",
        tier: Tier::Heat,
        station: Station::Wiring,
        measure: Measure::Current,
        limit: false,
        margin: pin_check,
    },
    Check {
        id: "check.logic_level",
        label: "Logic level match",
        failing: "at the input: noise margin[ high {wiring.level_margin_high},] low {wiring.level_margin_low}; margin to abs. max. {wiring.level_margin_max}[, to abs. min. {wiring.level_margin_min}]; 0.2 V is recommended",
        tier: Tier::Signals,
        station: Station::Wiring,
        measure: Measure::Voltage,
        limit: false,
        margin: logic_check,
    },
];

fn current_check(c: &Eval<'_>, rating: ElectricCurrent) -> Result<Option<Margin>, Absent> {
    margin_of_both(
        rating,
        c.get(CONTINUOUS_CURRENT),
        c.get(drive::BLOCKED_CURRENT)?,
    )
    .map(Some)
}

fn trace_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    current_check(c, c.get(TRACE_CURRENT)?)
}

fn pin_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    current_check(c, c.get(PIN_CURRENT)?)
}

/// Margin that a level needs against noise (common practice, no source), in volts.
const LEVEL_NEED: f64 = 0.2;

/// In volts: clear with all of what noise needs, tight with a part of it.
fn level_check(least: ElectricPotential) -> Margin {
    Margin {
        passes_from: 1.0,
        tight_from: 0.0,
        ..Margin::of(least.value, LEVEL_NEED)
    }
}

fn logic_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    c.shared(&c.intermediates.logic, logic_margin)
        .map(|margin| Some(*margin))
}

/// Where a ground shift cannot be said, there is at least none.
fn logic_margin(c: &Eval<'_>) -> Result<Margin, Absent> {
    let told = [
        LEVEL_MARGIN_HIGH,
        LEVEL_MARGIN_LOW,
        LEVEL_MARGIN_MAX,
        LEVEL_MARGIN_MIN,
    ]
    .map(|margin| c.get(margin));
    let least = |least: Result<ElectricPotential, Absent>, next| match (least, next) {
        (Ok(least), Ok(next)) => Ok(ElectricPotential::min(least, next)),
        (Err(absent), _) | (_, Err(absent)) => Err(absent),
    };
    let absent = match told.into_iter().reduce(least).unwrap_or(Err(NOT_FINITE)) {
        Ok(least) => return Ok(level_check(least)),
        Err(absent) => absent,
    };
    let shift = |key: Key<ElectricPotential>| c.get(key).unwrap_or_default();
    let margins = logic_margins(
        c,
        &formulas::GroundShift {
            lift: shift(GROUND_SHIFT),
            back: shift(GROUND_SHIFT_BACK),
        },
    )?;
    under_already(level_check(margins.least_of_all()), absent)
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "level_mismatch",
        station: Station::Wiring,
        message: "The supply current raises the board's ground[: ground shift {wiring.ground_shift}]. Without it the logic levels would match. Connect the signal ground at the board, with a wire beside the signal wires. Or use an isolator, or thicker and shorter supply wires.",
        numbers: &[
            "wiring.level_margin_high",
            "wiring.level_margin_low",
            "wiring.level_margin_max",
            "wiring.level_margin_min",
            "wiring.ground_shift",
            "wiring.ground_shift_back",
        ],
        when: shift_is_to_blame,
    },
    Finding {
        id: "level_mismatch",
        station: Station::Wiring,
        message: "V_OH is {wiring.logic_high}; the input has V_IH(min) {wiring.input_high} and V_IN(abs. max.) {wiring.input_max}. Fit a divider, {fit.divider_upper} from the step/dir controller and {fit.divider_lower} to ground, or a level shifter.",
        numbers: &[
            "wiring.level_margin_high",
            "wiring.level_margin_low",
            "wiring.level_margin_max",
            "wiring.level_margin_min",
            "wiring.ground_shift",
            "fit.divider_upper",
            "fit.divider_lower",
        ],
        when: divided_level,
    },
    Finding {
        id: "level_mismatch",
        station: Station::Wiring,
        message: "V_OH is {wiring.logic_high}, V_OL {wiring.logic_low}; the input has V_IH(min) {wiring.input_high}, V_IL(max) {wiring.input_low} and an absolute range of {wiring.input_min} to {wiring.input_max}. Fit a level shifter to the board's logic voltage, or an isolator.",
        numbers: &[
            "wiring.level_margin_high",
            "wiring.level_margin_low",
            "wiring.level_margin_max",
            "wiring.level_margin_min",
            "wiring.ground_shift",
        ],
        when: shifted_level,
    },
    Finding {
        id: "trace_overloaded",
        station: Station::Wiring,
        message: "Trace rating {wiring.trace_current} at a rise of {wiring.trace_rise}[; continuous current {wiring.continuous_current}]; stall current {drive.blocked_current}.[ Trace width to use: {fit.trace_width}.]",
        numbers: &[
            "wiring.trace_current",
            "wiring.continuous_current",
            "drive.blocked_current",
            "fit.trace_width",
        ],
        when: trace_overloaded,
    },
    Finding {
        id: "inputs_disagree",
        station: Station::Wiring,
        message: "Gauge and cross-section differ: {wiring.gauge} has a diameter of {wiring.diameter}. The cross-section of {wiring.area} is used.",
        numbers: &["wiring.gauge", "wiring.diameter", "wiring.area"],
        when: area_disagrees,
    },
];

/// Whether the levels would do without the ground shift.
fn fits_unshifted(c: &Eval<'_>) -> Result<bool, Absent> {
    let none = formulas::GroundShift {
        lift: ElectricPotential::default(),
        back: ElectricPotential::default(),
    };
    Ok(level_check(logic_margins(c, &none)?.least_of_all()).status() == Status::Passes)
}

/// The fault of levels that do not match, where this says what would make them.
fn mismatch(
    c: &Eval<'_>,
    cured: impl Fn(&Eval<'_>) -> Result<bool, Absent>,
) -> Result<Option<Severity>, Absent> {
    match under(logic_check(c)?)? {
        Some(fault) if cured(c)? => Ok(Some(fault)),
        _ => Ok(None),
    }
}

fn shift_is_to_blame(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    mismatch(c, fits_unshifted)
}

fn divided_level(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    mismatch(c, |c| {
        Ok(!fits_unshifted(c)? && c.get(FIT_DIVIDER_UPPER).is_ok())
    })
}

fn shifted_level(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    mismatch(c, |c| {
        Ok(!fits_unshifted(c)? && c.get(FIT_DIVIDER_UPPER).is_err())
    })
}

fn trace_overloaded(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(trace_check(c)?)
}

fn area_disagrees(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    if !(c.given(GAUGE) && c.given(AREA)) {
        return Ok(None);
    }
    let of_gauge = formulas::area(formulas::diameter(c.get(GAUGE)?.value));
    let off = (c.get(AREA_NOW)? / of_gauge).value - 1.0;
    Ok((off.abs() > 1e-3).then_some(Severity::Note))
}
