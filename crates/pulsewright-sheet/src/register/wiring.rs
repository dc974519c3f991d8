//! Wires, traces, pins and levels.

use crate::check::{Check, Room, Status};
use crate::eval::{Absent, BEYOND, Eval};
use crate::finding::{Finding, Severity};

use pulsewright_calc::preferred;
use pulsewright_calc::units::{
    Area, ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Ratio,
    TemperatureInterval, ThermodynamicTemperature,
};
use pulsewright_calc::wiring as formulas;

use super::regulator::under_already;
use super::{
    Form, INPUT, Input, Means, Must, Outcome, Preset, RESULT, Rule, Station, Sure, axis, drive,
    encoder, heat, movement, supply,
};
use crate::unit::Measure;

choices! {
    /// Wires of several actuators.
    Shared { Common = "common", Own = "own", }
}

choices! {
    /// Layer of the trace.
    TraceLayer { Outer = "outer", Inner = "inner", }
}

inputs! {
    after super::regulator;

    GAUGE: Ratio = Input {
        id: "wiring.gauge",
        symbol: "gauge",
        label: "Wire gauge",
        form: Form::Quantity(Measure::Gauge),
        preset: Preset::Fixed("26 AWG"),
        low: "0",
        high: "40",
        layer: 2,
        means: Means::Fitted,
        help: "Printed on the insulation; give area instead for mm² wire",
        ..INPUT
    };
    AREA: Area = Input {
        id: "wiring.area",
        symbol: "A_given",
        label: "Cross-section of the wire",
        form: Form::Quantity(Measure::Area),
        preset: Preset::LeftOut,
        low: "0.005 mm2",
        high: "50 mm2",
        sure: Sure::Within("5 %"),
        layer: 2,
        means: Means::Fitted,
        help: "Printed on the insulation; excludes gauge",
        ..INPUT
    };
    LENGTH: Length = Input {
        id: "wiring.length",
        symbol: "l_wire",
        label: "Length of the cable, one way",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Fixed("0.5 m"),
        low: "0 m",
        high: "200 m",
        sure: Sure::Within("5 %"),
        layer: 2,
        means: Means::Fitted,
        help: "Along the cable, one way, supply to motor board",
        ..INPUT
    };
    TEMPERATURE: ThermodynamicTemperature = Input {
        id: "wiring.temperature",
        symbol: "ϑ_wire",
        label: "Temperature of the cable",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("30 degC"),
        low: "-40 degC",
        high: "120 degC",
        sure: Sure::Within("10 K"),
        layer: 3,
        help: "Hottest stretch of the cable",
        ..INPUT
    };
    SHARED: Shared = Input {
        id: "wiring.shared",
        symbol: "shared",
        label: "Wires of several actuators",
        form: Form::Choice(Shared::WORDS),
        preset: Preset::Fixed("common"),
        layer: 3,
        means: Means::Fitted,
        help: "One pair of wires for all motors, or one pair each",
        ..INPUT
    };
    TRACE_WIDTH: Length = Input {
        id: "wiring.trace_width",
        symbol: "w",
        label: "Width of the trace",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Fixed("1 mm"),
        low: "0.05 mm",
        high: "50 mm",
        sure: Sure::Within("10 %"),
        layer: 2,
        means: Means::Fitted,
        help: "Board layout, narrowest motor-current trace",
        ..INPUT
    };
    TRACE_THICKNESS: Length = Input {
        id: "wiring.trace_thickness",
        symbol: "t_copper",
        label: "Thickness of the copper",
        form: Form::Quantity(Measure::Thickness),
        preset: Preset::Fixed("35 um"),
        low: "5 um",
        high: "500 um",
        sure: Sure::Within("10 %"),
        layer: 3,
        means: Means::Fitted,
        help: "Board order: 1 oz/ft² = 35 µm",
        ..INPUT
    };
    TRACE_LENGTH: Length = Input {
        id: "wiring.trace_length",
        symbol: "l_trace",
        label: "Length of the trace",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Fixed("20 mm"),
        low: "0 m",
        high: "2 m",
        sure: Sure::Within("10 %"),
        layer: 3,
        means: Means::Fitted,
        help: "Board layout, both conductors together",
        ..INPUT
    };
    TRACE_RISE: TemperatureInterval = Input {
        id: "wiring.trace_rise",
        symbol: "ΔT_trace",
        label: "Temperature rise allowed to the trace",
        form: Form::Quantity(Measure::TemperatureRise),
        preset: Preset::Fixed("10 K"),
        low: "1 K",
        high: "100 K",
        layer: 3,
        means: Means::Asked,
        help: "How much warmer than the board the trace may get",
        ..INPUT
    };
    TRACE_LAYER: TraceLayer = Input {
        id: "wiring.trace_layer",
        symbol: "layer",
        label: "Layer of the trace",
        form: Form::Choice(TraceLayer::WORDS),
        preset: Preset::Fixed("outer"),
        layer: 3,
        means: Means::Fitted,
        help: "Board layout",
        ..INPUT
    };
    PIN_CURRENT: ElectricCurrent = Input {
        id: "wiring.pin_current",
        symbol: "I_pin",
        label: "Current of the connector pins",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("1.5 A"),
        low: "50 mA",
        high: "100 A",
        sure: Sure::Near,
        layer: 2,
        means: Means::Fitted,
        help: "Connector's sheet: 2.54 mm pitch about 3 A, 2 mm 2 A, 1 mm 1 A; pins in parallel add up",
        ..INPUT
    };
    LOGIC_HIGH: ElectricPotential = Input {
        id: "wiring.logic_high",
        symbol: "V_oh",
        label: "High level of the pulse source",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("3.3 V"),
        low: "0.5 V",
        high: "30 V",
        sure: Sure::Within("5 %"),
        layer: 2,
        means: Means::Fitted,
        help: "Meter at the step output, held high",
        ..INPUT
    };
    INPUT_HIGH: ElectricPotential = Input {
        id: "wiring.input_high",
        symbol: "V_ih",
        label: "Least level read as high",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("2.31 V"),
        low: "0.3 V",
        high: "30 V",
        sure: Sure::Within("5 %"),
        layer: 2,
        means: Means::Bought,
        help: "Processor's sheet: lowest level read as high",
        ..INPUT
    };
    INPUT_MAX: ElectricPotential = Input {
        id: "wiring.input_max",
        symbol: "V_imax",
        label: "Most the input survives",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("3.6 V"),
        low: "0.3 V",
        high: "40 V",
        sure: Sure::Near,
        layer: 2,
        rules: &[Rule { must: Must::Above, than: |c| c.bare(INPUT_HIGH), name: "the level read as high", because: "an input that cannot be driven high reads nothing" }],
        means: Means::Bought,
        help: "Processor's sheet: absolute maximum of that pin; 5.5 V only if it says tolerant",
        ..INPUT
    };
}

results! {
    after super::regulator;

    DIAMETER: Length = Outcome {
        id: "wiring.diameter",
        symbol: "d_wire",
        label: "Diameter of the wire",
        measure: Measure::Length,
        meaning: "a solid one of that size",
        formula: "0.000127 * 92 ^ ((36 - wiring.gauge) / 39)",
        source: "ASTM B258",
        ..RESULT
    }, diameter;
    AREA_NOW: Area = Outcome {
        id: "wiring.area",
        symbol: "A",
        label: "Cross-section of the wire",
        measure: Measure::Area,
        meaning: "given, or of the gauge",
        formula: "pi / 4 * wiring.diameter ^ 2",
        source: "geometry",
        ..RESULT
    }, area_now;
    SUPPLY_RESISTANCE: ElectricalResistance = Outcome {
        id: "wiring.supply_resistance",
        symbol: "R_wire",
        label: "Resistance of the cable, there and back",
        measure: Measure::Resistance,
        meaning: "at its own temperature",
        formula: "2 * wiring.length * rho_20 * (1 + alpha_20 * (wiring.temperature - 20)) / wiring.area",
        source: "resistivity of copper, IEC 60028",
        ..RESULT
    }, supply_resistance;
    VOLTAGE_DROP: ElectricPotential = Outcome {
        id: "wiring.voltage_drop",
        symbol: "ΔV_wire",
        label: "Voltage lost along the cable",
        measure: Measure::Voltage,
        meaning: "in the worst moment of moving",
        formula: "wiring.cable_current * wiring.supply_resistance",
        source: "Ohm's law",
        ..RESULT
    }, voltage_drop;
    CABLE_CURRENT: ElectricCurrent = Outcome {
        id: "wiring.cable_current",
        symbol: "I_cable",
        label: "Current of the cable",
        measure: Measure::Current,
        meaning: "in the worst moment of moving",
        formula: "supply.worst_current",
        source: "Kirchhoff's current law",
        shown: false,
        ..RESULT
    }, cable_current;
    WIRE_CURRENT: ElectricCurrent = Outcome {
        id: "wiring.wire_current",
        symbol: "I_wire",
        label: "Current that the wire may carry",
        measure: Measure::Current,
        meaning: "a short lead in free air at room temperature; bundled or hot ones carry less",
        formula: "10 * (wiring.area / 0.000001) ^ 0.75",
        source: "10 A for 1 mm² (common practice, no source)",
        ..RESULT
    }, wire_current;
    SHORT_CURRENT: ElectricCurrent = Outcome {
        id: "wiring.short_current",
        symbol: "I_short",
        label: "Current of a short at the board",
        measure: Measure::Current,
        meaning: "from a source that limits nothing, at its highest voltage",
        formula: "drive.highest_voltage / drive.supply_path_resistance",
        source: "Ohm's law",
        ..RESULT
    }, short_current;
    GROUND_SHIFT: ElectricPotential = Outcome {
        id: "wiring.ground_shift",
        symbol: "ΔV_gnd",
        label: "Shift of the board's ground",
        measure: Measure::Voltage,
        meaning: "against that of the pulse source, in the worst moment of moving",
        formula: "wiring.cable_current * wiring.supply_resistance / 2",
        source: "Ohm's law; both wires alike, grounds joined at the supply",
        ..RESULT
    }, ground_shift;
    TRACE_CURRENT: ElectricCurrent = Outcome {
        id: "wiring.trace_current",
        symbol: "I_trace",
        label: "Current that the trace may carry",
        measure: Measure::Current,
        meaning: "at the rise that you allow it",
        formula: "0.048 * wiring.trace_rise ^ 0.44 * (wiring.trace_width * wiring.trace_thickness / 25.4e-6 ^ 2) ^ 0.725",
        source: "IPC-2221B (2012), sec. 6.2",
        ..RESULT
    }, trace_current;
    TRACE_RESISTANCE: ElectricalResistance = Outcome {
        id: "wiring.trace_resistance",
        symbol: "R_trace",
        label: "Resistance of the trace",
        measure: Measure::Resistance,
        meaning: "warmed by the rise that you allow it",
        formula: "rho_20 * (1 + alpha_20 * (axis.ambient_temperature + wiring.trace_rise - 20)) * wiring.trace_length / (wiring.trace_width * wiring.trace_thickness)",
        source: "resistivity of copper, IEC 60028",
        ..RESULT
    }, trace_resistance;
    LASTING_CURRENT: ElectricCurrent = Outcome {
        id: "wiring.lasting_current",
        symbol: "I_lasting",
        label: "Lasting current of the motor",
        measure: Measure::Current,
        meaning: "the greater of the move's RMS current and the most that it holds with",
        formula: "max(move.rms_current, hold.current_most)",
        source: "definition",
        shown: false,
        ..RESULT
    }, lasting_current;
    TRACE_MARGIN: Ratio = Outcome {
        id: "wiring.trace_margin",
        symbol: "m_trace",
        label: "Rating of the trace over the lasting current",
        measure: Measure::Ratio,
        meaning: "a jam is held against it in the check",
        formula: "wiring.trace_current / wiring.lasting_current",
        source: "capability over need",
        ..RESULT
    }, trace_margin;
    PIN_MARGIN: Ratio = Outcome {
        id: "wiring.pin_margin",
        symbol: "m_pin",
        label: "Rating of the pins over the lasting current",
        measure: Measure::Ratio,
        meaning: "a jam is held against it in the check",
        formula: "wiring.pin_current / wiring.lasting_current",
        source: "capability over need",
        ..RESULT
    }, pin_margin;
    LEVEL_MARGIN_HIGH: ElectricPotential = Outcome {
        id: "wiring.level_margin_high",
        symbol: "m_high",
        label: "Margin of the high level",
        measure: Measure::Voltage,
        meaning: "above the least that the input reads as high, less the ground shift",
        formula: "wiring.logic_high - wiring.input_high - wiring.ground_shift",
        source: "definition of a noise margin",
        ..RESULT
    }, level_margin_high;
    LEVEL_MARGIN_MAX: ElectricPotential = Outcome {
        id: "wiring.level_margin_max",
        symbol: "m_max",
        label: "Margin to what the input survives",
        measure: Measure::Voltage,
        meaning: "below the most that the input survives, less the ground shift",
        formula: "wiring.input_max - wiring.logic_high - wiring.ground_shift",
        source: "definition of a noise margin",
        ..RESULT
    }, level_margin_max;
    FIT_TRACE_WIDTH: Length = Outcome {
        id: "fit.trace_width",
        symbol: "w_fit",
        label: "Trace width to draw",
        measure: Measure::Length,
        meaning: "least customary width that carries moves and jams with room",
        formula: "'the least customary width that carries 1.25 × the greater of the lasting and the blocked current at the rise allowed'",
        source: "IPC-2221B (2012), sec. 6.2, solved for the width; the widths are common practice, no source",
        ..RESULT
    }, fit_trace_width;
    FIT_GAUGE: Ratio = Outcome {
        id: "fit.gauge",
        symbol: "gauge_fit",
        label: "Wire gauge to fit",
        measure: Measure::Gauge,
        meaning: "thinnest that keeps the processor running and stays cool",
        formula: "'the thinnest even gauge with which the sag uses at most 0.8 of what may be lost before a reset, a jam resets nothing, and 1.25 × the current of the cable is carried'",
        source: "ASTM B258; even gauges are the ones sold (common practice, no source)",
        ..RESULT
    }, fit_gauge;
    FIT_DIVIDER_UPPER: ElectricalResistance = Outcome {
        id: "fit.divider_upper",
        symbol: "R_upper",
        label: "Upper resistor of a divider for the pulses",
        measure: Measure::Resistance,
        meaning: "from the pulse source to the input",
        formula: "'the E24 pair of 3 to 30 kΩ together with the best lesser margin, each resistor at its worse end of ± 1 %'",
        source: "IEC 60063",
        ..RESULT
    }, fit_divider_upper;
    FIT_DIVIDER_LOWER: ElectricalResistance = Outcome {
        id: "fit.divider_lower",
        symbol: "R_lower",
        label: "Lower resistor of a divider for the pulses",
        measure: Measure::Resistance,
        meaning: "from the input to ground",
        formula: "'the E24 pair of 3 to 30 kΩ together with the best lesser margin, each resistor at its worse end of ± 1 %'",
        source: "IEC 60063",
        ..RESULT
    }, fit_divider_lower;
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
    supply::in_cable(
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
    .ok_or(BEYOND)?;
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
    let (current, at_worst, at_jam) = supply::sag_through(c, cable)?;
    let clear = |room: Room| room.status() == Status::Clear;
    Ok(at_jam >= needed
        && clear(Room::of(lowest - needed, lowest - at_worst))
        && clear(Room::of(formulas::wire_current(area), current)))
}

fn fit_gauge(c: &Eval<'_>) -> Result<Ratio, Absent> {
    // Thicker wire serves no worse, so that those which serve come first.
    let mut missing = None;
    let serving = formulas::GAUGES.partition_point(|&gauge| {
        match serves(c, formulas::area(formulas::diameter(gauge))) {
            Ok(serves) => serves,
            Err(absent) => {
                missing = Some(absent).filter(|absent| *absent != supply::OVERLOADED);
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
    let as_it_is = level_room(formulas::level_margins(logic_high, &levels));
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
        room: trace_room,
    },
    Check {
        id: "check.pin",
        label: "Current of the pins",
        under: "the pins carry {wiring.pin_current}; the motor asks {wiring.lasting_current} for long and {drive.blocked_current} in a jam",
        station: Station::Wiring,
        measure: Measure::Current,
        room: pin_room,
    },
    Check {
        id: "check.logic_level",
        label: "Level of the pulses",
        under: "a high of {wiring.logic_high} at an input that reads {wiring.input_high} as high and survives {wiring.input_max} leaves less than 0.2 V of margin (ground shift: {wiring.ground_shift})",
        station: Station::Wiring,
        measure: Measure::Voltage,
        room: logic_room,
    },
];

fn current_room(c: &Eval<'_>, rating: ElectricCurrent) -> Result<Option<Room>, Absent> {
    supply::room_of_both(
        rating,
        c.get(LASTING_CURRENT),
        c.get(drive::BLOCKED_CURRENT)?,
    )
    .map(Some)
}

fn trace_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    current_room(c, c.get(TRACE_CURRENT)?)
}

fn pin_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    current_room(c, c.get(PIN_CURRENT)?)
}

/// Margin that a level needs against noise (common practice, no source), in volts.
const LEVEL_NEED: f64 = 0.2;

fn level_room(margins: formulas::LevelMargins) -> Room {
    Room::of(margins.lesser().value, LEVEL_NEED)
}

/// Where the ground shift cannot be said, there is at least none.
fn logic_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    match c.get(GROUND_SHIFT) {
        Ok(shift) => Ok(level_room(level_margins(c, shift)?)),
        Err(absent) => {
            let none = ElectricPotential::default();
            under_already(level_room(level_margins(c, none)?), absent)
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
    let fault = encoder::under(logic_room(c)?)?;
    Ok(fault.filter(|_| c.get(FIT_DIVIDER_UPPER).is_ok()))
}

fn shifted_level(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let fault = encoder::under(logic_room(c)?)?;
    Ok(fault.filter(|_| c.get(FIT_DIVIDER_UPPER).is_err()))
}

fn trace_overloaded(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    encoder::under(trace_room(c)?)
}

fn area_disagrees(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    if !(c.given(GAUGE) && c.given(AREA)) {
        return Ok(None);
    }
    let of_gauge = formulas::area(formulas::diameter(c.get(GAUGE)?.value));
    let off = (c.get(AREA_NOW)? / of_gauge).value - 1.0;
    Ok((off.abs() > 1e-3).then_some(Severity::Note))
}
