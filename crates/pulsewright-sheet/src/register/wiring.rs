//! Wires, traces, pins and levels.

use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition,
    Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::units::{
    Area, ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Ratio,
    TemperatureInterval, ThermodynamicTemperature,
};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Wiring,
    prefixes: &["wiring"],
    name: "Wiring",
    question: "Do wires, traces and pins carry it, and do the levels fit?",
    about: "Thin wire costs voltage just when the motor needs it. A pulse that the input does not read as high is a step that never happened.",
};

choices! {
    /// Wires of several actuators.
    Shared { Common = "common", Own = "own", }
}

choices! {
    /// Layer of the trace.
    TraceLayer { Outer = "outer", Inner = "inner", }
}

inputs! {
    wiring;

    GAUGE: Ratio = Input {
        id: "wiring.gauge",
        symbol: "gauge",
        label: "Wire gauge",
        form: Form::Quantity(Measure::Gauge),
        preset: Preset::Fixed("26 AWG"),
        low: "0",
        high: "40",
        layer: 2,
        changed_by: ChangedBy::Fitting,
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
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
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
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
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
        default_tolerance: DefaultTolerance::Within("10 K"),
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
        changed_by: ChangedBy::Fitting,
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
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
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
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
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
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
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
        changed_by: ChangedBy::Requirement,
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
        changed_by: ChangedBy::Fitting,
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
        default_tolerance: DefaultTolerance::Unstated,
        layer: 2,
        changed_by: ChangedBy::Fitting,
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
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
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
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
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
        default_tolerance: DefaultTolerance::Unstated,
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Processor's sheet: absolute maximum of that pin; 5.5 V only if it says tolerant",
        ..INPUT
    };
}

results! {
    wiring;

    DIAMETER: Length = ResultDefinition {
        id: "wiring.diameter",
        symbol: "d_wire",
        label: "Diameter of the wire",
        measure: Measure::Length,
        meaning: "a solid one of that size",
        formula: "0.000127 * 92 ^ ((36 - wiring.gauge) / 39)",
        source: "ASTM B258",
        ..RESULT
    };
    AREA_NOW: Area = ResultDefinition {
        id: "wiring.area",
        symbol: "A",
        label: "Cross-section of the wire",
        measure: Measure::Area,
        meaning: "given, or of the gauge",
        formula: "pi / 4 * wiring.diameter ^ 2",
        source: "geometry",
        ..RESULT
    };
    SUPPLY_RESISTANCE: ElectricalResistance = ResultDefinition {
        id: "wiring.supply_resistance",
        symbol: "R_wire",
        label: "Resistance of the cable, there and back",
        measure: Measure::Resistance,
        meaning: "at its own temperature",
        formula: "2 * wiring.length * rho_20 * (1 + alpha_20 * (wiring.temperature - 20)) / wiring.area",
        source: "resistivity of copper, IEC 60028",
        ..RESULT
    };
    VOLTAGE_DROP: ElectricPotential = ResultDefinition {
        id: "wiring.voltage_drop",
        symbol: "ΔV_wire",
        label: "Voltage lost along the cable",
        measure: Measure::Voltage,
        meaning: "in the worst moment of moving",
        formula: "wiring.cable_current * wiring.supply_resistance",
        source: "Ohm's law",
        ..RESULT
    };
    CABLE_CURRENT: ElectricCurrent = ResultDefinition {
        id: "wiring.cable_current",
        symbol: "I_cable",
        label: "Current of the cable",
        measure: Measure::Current,
        meaning: "in the worst moment of moving",
        formula: "supply.worst_current",
        source: "Kirchhoff's current law",
        shown: false,
        ..RESULT
    };
    WIRE_CURRENT: ElectricCurrent = ResultDefinition {
        id: "wiring.wire_current",
        symbol: "I_wire",
        label: "Current that the wire may carry",
        measure: Measure::Current,
        meaning: "a short lead in free air at room temperature; bundled or hot ones carry less",
        formula: "10 * (wiring.area / 0.000001) ^ 0.75",
        source: "10 A for 1 mm² (common practice, no source)",
        ..RESULT
    };
    SHORT_CURRENT: ElectricCurrent = ResultDefinition {
        id: "wiring.short_current",
        symbol: "I_short",
        label: "Current of a short at the board",
        measure: Measure::Current,
        meaning: "from a source that limits nothing, at its highest voltage",
        formula: "drive.highest_voltage / drive.supply_path_resistance",
        source: "Ohm's law",
        ..RESULT
    };
    GROUND_SHIFT: ElectricPotential = ResultDefinition {
        id: "wiring.ground_shift",
        symbol: "ΔV_gnd",
        label: "Shift of the board's ground",
        measure: Measure::Voltage,
        meaning: "against that of the pulse source, in the worst moment of moving",
        formula: "wiring.cable_current * wiring.supply_resistance / 2",
        source: "Ohm's law; both wires alike, grounds joined at the supply",
        ..RESULT
    };
    TRACE_CURRENT: ElectricCurrent = ResultDefinition {
        id: "wiring.trace_current",
        symbol: "I_trace",
        label: "Current that the trace may carry",
        measure: Measure::Current,
        meaning: "at the rise that you allow it",
        formula: "0.048 * wiring.trace_rise ^ 0.44 * (wiring.trace_width * wiring.trace_thickness / 25.4e-6 ^ 2) ^ 0.725",
        source: "IPC-2221B (2012), sec. 6.2",
        ..RESULT
    };
    TRACE_RESISTANCE: ElectricalResistance = ResultDefinition {
        id: "wiring.trace_resistance",
        symbol: "R_trace",
        label: "Resistance of the trace",
        measure: Measure::Resistance,
        meaning: "warmed by the rise that you allow it",
        formula: "rho_20 * (1 + alpha_20 * (axis.ambient_temperature + wiring.trace_rise - 20)) * wiring.trace_length / (wiring.trace_width * wiring.trace_thickness)",
        source: "resistivity of copper, IEC 60028",
        ..RESULT
    };
    LASTING_CURRENT: ElectricCurrent = ResultDefinition {
        id: "wiring.lasting_current",
        symbol: "I_lasting",
        label: "Lasting current of the motor",
        measure: Measure::Current,
        meaning: "the greater of the move's RMS current and the most that it holds with",
        formula: "max(move.rms_current, hold.current_most)",
        source: "definition",
        shown: false,
        ..RESULT
    };
    TRACE_MARGIN: Ratio = ResultDefinition {
        id: "wiring.trace_margin",
        symbol: "m_trace",
        label: "Rating of the trace over the lasting current",
        measure: Measure::Ratio,
        meaning: "a jam is held against it in the check",
        formula: "wiring.trace_current / wiring.lasting_current",
        source: "capability over need",
        ..RESULT
    };
    PIN_MARGIN: Ratio = ResultDefinition {
        id: "wiring.pin_margin",
        symbol: "m_pin",
        label: "Rating of the pins over the lasting current",
        measure: Measure::Ratio,
        meaning: "a jam is held against it in the check",
        formula: "wiring.pin_current / wiring.lasting_current",
        source: "capability over need",
        ..RESULT
    };
    LEVEL_MARGIN_HIGH: ElectricPotential = ResultDefinition {
        id: "wiring.level_margin_high",
        symbol: "m_high",
        label: "Margin of the high level",
        measure: Measure::Voltage,
        meaning: "above the least that the input reads as high, less the ground shift",
        formula: "wiring.logic_high - wiring.input_high - wiring.ground_shift",
        source: "definition of a noise margin",
        ..RESULT
    };
    LEVEL_MARGIN_MAX: ElectricPotential = ResultDefinition {
        id: "wiring.level_margin_max",
        symbol: "m_max",
        label: "Margin to what the input survives",
        measure: Measure::Voltage,
        meaning: "below the most that the input survives, less the ground shift",
        formula: "wiring.input_max - wiring.logic_high - wiring.ground_shift",
        source: "definition of a noise margin",
        ..RESULT
    };
    FIT_TRACE_WIDTH: Length = ResultDefinition {
        id: "fit.trace_width",
        symbol: "w_fit",
        label: "Trace width to draw",
        measure: Measure::Length,
        meaning: "least customary width that carries moves and jams with room",
        formula: "'the least customary width that carries 1.25 × the greater of the lasting and the blocked current at the rise allowed'",
        source: "IPC-2221B (2012), sec. 6.2, solved for the width; the widths are common practice, no source",
        ..RESULT
    };
    FIT_GAUGE: Ratio = ResultDefinition {
        id: "fit.gauge",
        symbol: "gauge_fit",
        label: "Wire gauge to fit",
        measure: Measure::Gauge,
        meaning: "thinnest that keeps the processor running and stays cool",
        formula: "'the thinnest even gauge with which the sag uses at most 0.8 of what may be lost before a reset, a jam resets nothing, and 1.25 × the current of the cable is carried'",
        source: "ASTM B258; even gauges are the ones sold (common practice, no source)",
        ..RESULT
    };
    FIT_DIVIDER_UPPER: ElectricalResistance = ResultDefinition {
        id: "fit.divider_upper",
        symbol: "R_upper",
        label: "Upper resistor of a divider for the pulses",
        measure: Measure::Resistance,
        meaning: "from the pulse source to the input",
        formula: "'the E24 pair of 3 to 30 kΩ together with the best lesser margin, each resistor at its worse end of ± 1 %'",
        source: "IEC 60063",
        ..RESULT
    };
    FIT_DIVIDER_LOWER: ElectricalResistance = ResultDefinition {
        id: "fit.divider_lower",
        symbol: "R_lower",
        label: "Lower resistor of a divider for the pulses",
        measure: Measure::Resistance,
        meaning: "from the input to ground",
        formula: "'the E24 pair of 3 to 30 kΩ together with the best lesser margin, each resistor at its worse end of ± 1 %'",
        source: "IEC 60063",
        ..RESULT
    };
}
