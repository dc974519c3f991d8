//! Wires, traces, pins and levels.

use crate::check::Check;
use crate::finding::Finding;

use calc::units::{
    Area, ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Ratio,
    TemperatureInterval, ThermodynamicTemperature,
};
use calc::wiring as formulas;

use super::{Form, INPUT, Input, Must, Outcome, Preset, RESULT, Rule, Sure};
use crate::eval::{Absent, Eval};
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
        meaning: "a solid one of that gauge",
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
}

fn diameter(c: &Eval<'_>) -> Result<Length, Absent> {
    Ok(formulas::diameter(c.get(GAUGE)?.value as i32))
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

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
