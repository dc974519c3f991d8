//! Wires, traces, pins and levels.

use super::shared::under;
use super::shared::under_already;
use super::supply::{OVERLOADED, in_cable, margin_of_both, sag_through};
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::evaluation::{Check, Margin, Status};
use crate::evaluation::{Finding, Severity};
use crate::register::wiring::*;
use crate::register::{Station, axis, drive, heat, movement, supply};
use crate::text::measure::Measure;
use pulsewright_calc::preferred;
use pulsewright_calc::units::{
    Area, ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Ratio,
};
use pulsewright_calc::wiring as formulas;

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
        TRACE_CURRENT = trace_current;
        TRACE_RESISTANCE = trace_resistance;
        LASTING_CURRENT = lasting_current;
        TRACE_MARGIN = trace_margin;
        PIN_MARGIN = pin_margin;
        LEVEL_MARGIN_HIGH = level_margin_high;
        LEVEL_MARGIN_MAX = level_margin_max;
        FIT_TRACE_WIDTH = fit_trace_width;
        FIT_GAUGE = fit_gauge;
        FIT_DIVIDER_UPPER = fit_divider_upper;
        FIT_DIVIDER_LOWER = fit_divider_lower;
    }
    limits {
        INPUT_MAX: Above |c| c.before_limits(INPUT_HIGH), "the level read as high", "an input that cannot be driven high reads nothing";
    }
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
        c.working("'as given'");
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
            "max(supply.moving_current, supply.holding_current) + supply.board_current"
        } else {
            "supply.holding_current + supply.board_current"
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
        Absent::unlimited("more than can be said: no resistance is given"),
    )
}

fn ground_shift(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    Ok(formulas::ground_shift(
        c.get(CABLE_CURRENT)?,
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

fn lasting_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(c.get(movement::RMS_CURRENT)?
        .max(c.get(heat::CURRENT_MOST)?))
}

fn margin(c: &Eval<'_>, rating: ElectricCurrent) -> Result<Ratio, Absent> {
    formulas::current_margin(rating, c.get(LASTING_CURRENT)?)
        .ok_or(Absent::not_asked("no current is asked for"))
}

fn trace_margin(c: &Eval<'_>) -> Result<Ratio, Absent> {
    margin(c, c.get(TRACE_CURRENT)?)
}

fn pin_margin(c: &Eval<'_>) -> Result<Ratio, Absent> {
    margin(c, c.get(PIN_CURRENT)?)
}

fn levels(c: &Eval<'_>, ground_shift: ElectricPotential) -> Result<formulas::InputLevels, Absent> {
    Ok(formulas::InputLevels {
        high: c.get(INPUT_HIGH)?,
        greatest: c.get(INPUT_MAX)?,
        ground_shift,
    })
}

fn level_margins(
    c: &Eval<'_>,
    ground_shift: ElectricPotential,
) -> Result<formulas::LevelMargins, Absent> {
    Ok(formulas::level_margins(
        c.get(LOGIC_HIGH)?,
        &levels(c, ground_shift)?,
    ))
}

fn level_margin_high(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    Ok(level_margins(c, c.get(GROUND_SHIFT)?)?.high)
}

fn level_margin_max(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    Ok(level_margins(c, c.get(GROUND_SHIFT)?)?.greatest)
}

/// Margin from which a check is clear.
const CLEAR: f64 = 1.25;

fn fit_trace_width(c: &Eval<'_>) -> Result<Length, Absent> {
    let need = c.get(LASTING_CURRENT)?.max(c.get(drive::BLOCKED_CURRENT)?);
    let width = formulas::trace_width(
        CLEAR * need,
        c.get(TRACE_THICKNESS)?,
        c.get(TRACE_RISE)?,
        layer(c)?,
    )
    .ok_or(NOT_FINITE)?;
    preferred::trace_width_at_least(width).ok_or(Absent::impossible(
        "wider than 50 mm: no trace but an area of copper, or a wire beside it",
    ))
}

/// Whether a cable of this area keeps the processor running with room and stays cool.
fn serves(c: &Eval<'_>, area: Area) -> Result<bool, Absent> {
    let cable = formulas::supply_resistance(c.get(LENGTH)?, area, c.get(TEMPERATURE)?);
    let (lowest, needed) = (
        c.get(drive::LOWEST_VOLTAGE)?,
        c.get(supply::VOLTAGE_NEEDED)?,
    );
    let (current, at_worst, at_jam) = sag_through(c, cable)?;
    let clear = |margin: Margin| margin.status() == Status::Clear;
    Ok(at_jam >= needed
        && clear(Margin::of(lowest - needed, lowest - at_worst))
        && clear(Margin::of(formulas::wire_current(area), current)))
}

fn fit_gauge(c: &Eval<'_>) -> Result<Ratio, Absent> {
    // Thicker wire serves no worse, so that those which serve come first.
    let mut missing = None;
    let serving = formulas::GAUGES.partition_point(|&gauge| {
        match serves(c, formulas::area(formulas::diameter(gauge))) {
            Ok(serves) => serves,
            Err(absent) => {
                missing = Some(absent).filter(|absent| *absent != OVERLOADED);
                false
            }
        }
    });
    if let Some(absent) = missing {
        return Err(absent);
    }
    match formulas::GAUGES[..serving].last() {
        Some(&gauge) => Ok(Ratio::from(f64::from(gauge))),
        None => Err(Absent::impossible(
            "no wire cures it: the source itself sags too far, or the way is too long",
        )),
    }
}

/// The divider that cures a high level which does not fit.
fn divider(c: &Eval<'_>) -> Result<formulas::Divider, Absent> {
    let levels = levels(c, c.get(GROUND_SHIFT)?)?;
    let logic_high = c.get(LOGIC_HIGH)?;
    let as_it_is = level_check(formulas::level_margins(logic_high, &levels));
    if as_it_is.status() == Status::Clear {
        return Err(Absent::not_asked("the levels fit as they are"));
    }
    formulas::choose_divider(logic_high, &levels)
        .filter(|divider| divider.margins.lesser().value > as_it_is.capability)
        .ok_or(Absent::impossible(
            "no divider helps here: a level shifter does",
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
        label: "Current of the trace",
        under: "the trace carries {wiring.trace_current} at the rise that you allow; the motor asks {wiring.lasting_current} for long and {drive.blocked_current} in a jam",
        station: Station::Wiring,
        measure: Measure::Current,
        margin: trace_check,
    },
    Check {
        id: "check.pin",
        label: "Current of the pins",
        under: "the pins carry {wiring.pin_current}; the motor asks {wiring.lasting_current} for long and {drive.blocked_current} in a jam",
        station: Station::Wiring,
        measure: Measure::Current,
        margin: pin_check,
    },
    Check {
        id: "check.logic_level",
        label: "Level of the pulses",
        under: "a high of {wiring.logic_high} at an input that reads {wiring.input_high} as high and survives {wiring.input_max} leaves less than 0.2 V of margin (ground shift: {wiring.ground_shift})",
        station: Station::Wiring,
        measure: Measure::Voltage,
        margin: logic_check,
    },
];

fn current_check(c: &Eval<'_>, rating: ElectricCurrent) -> Result<Option<Margin>, Absent> {
    margin_of_both(
        rating,
        c.get(LASTING_CURRENT),
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

fn level_check(margins: formulas::LevelMargins) -> Margin {
    Margin::of(margins.lesser().value, LEVEL_NEED)
}

/// Where the ground shift cannot be said, there is at least none.
fn logic_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    match c.get(GROUND_SHIFT) {
        Ok(shift) => Ok(level_check(level_margins(c, shift)?)),
        Err(absent) => {
            let none = ElectricPotential::default();
            under_already(level_check(level_margins(c, none)?), absent)
        }
    }
    .map(Some)
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "level_mismatch",
        station: Station::Wiring,
        message: "The pulses come with {wiring.logic_high}; the input reads {wiring.input_high} as high and survives {wiring.input_max}. Fit a divider, {fit.divider_upper} from the source and {fit.divider_lower} to ground, or a level shifter.",
        numbers: &[
            "wiring.level_margin_high",
            "wiring.level_margin_max",
            "wiring.ground_shift",
            "fit.divider_upper",
            "fit.divider_lower",
        ],
        when: divided_level,
    },
    Finding {
        id: "level_mismatch",
        station: Station::Wiring,
        message: "The pulses come with {wiring.logic_high}; the input reads {wiring.input_high} as high and survives {wiring.input_max}, and the grounds may stand {wiring.ground_shift} apart. Fit a level shifter, or thicker and shorter supply wires where the ground shift is the cause.",
        numbers: &[
            "wiring.level_margin_high",
            "wiring.level_margin_max",
            "wiring.ground_shift",
        ],
        when: shifted_level,
    },
    Finding {
        id: "trace_overloaded",
        station: Station::Wiring,
        message: "The trace carries {wiring.trace_current} when it may get {wiring.trace_rise} warmer; the motor asks {wiring.lasting_current} for long and {drive.blocked_current} in a jam. Width to draw: {fit.trace_width}.",
        numbers: &[
            "wiring.trace_current",
            "wiring.lasting_current",
            "drive.blocked_current",
            "fit.trace_width",
        ],
        when: trace_overloaded,
    },
    Finding {
        id: "inputs_disagree",
        station: Station::Wiring,
        message: "The gauge and the cross-section do not say the same wire: {wiring.gauge} is {wiring.diameter} thick; the cross-section of {wiring.area} is used.",
        numbers: &["wiring.gauge", "wiring.diameter", "wiring.area"],
        when: area_disagrees,
    },
];

fn divided_level(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let fault = under(logic_check(c)?)?;
    Ok(fault.filter(|_| c.get(FIT_DIVIDER_UPPER).is_ok()))
}

fn shifted_level(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let fault = under(logic_check(c)?)?;
    Ok(fault.filter(|_| c.get(FIT_DIVIDER_UPPER).is_err()))
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
