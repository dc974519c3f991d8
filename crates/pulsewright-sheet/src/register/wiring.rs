//! Wires, traces, pins and levels.

use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition,
    Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::units::{
    Area, ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Power, Ratio,
    TemperatureInterval, ThermodynamicTemperature,
};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Wiring,
    prefixes: &["wiring"],
    name: "Wiring",
    question: "Do wires, traces and connectors carry the current, and do the logic levels match?",
    about: "Thin wire drops voltage when the motor needs it. A step pulse that the input does not read as high is a lost step.",
};

choices! {
    /// Wires of several actuators.
    Shared { Common = "common", Own = "own", }
}

choices! {
    /// Layer of the trace.
    TraceLayer { Outer = "outer", Inner = "inner", }
}

choices! {
    /// Where the ground of the pulses joins that of the board.
    GroundAt { Supply = "supply", Board = "board", Isolated = "isolated", }
}

choices! {
    /// What stands between the pulse source and the input.
    PulseInterface { Direct = "direct", Divider = "divider", Shifter = "shifter", Isolator = "isolator", }
}

inputs! {
    wiring;

    GAUGE: Ratio = Input {
        id: "wiring.gauge",
        symbol: "gauge",
        label: "Wire gauge (AWG)",
        form: Form::Quantity(Measure::Gauge),
        preset: Preset::Computed("26 AWG, or the next thicker even gauge that carries the stall current of the motor"),
        low: "0",
        high: "40",
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "Printed on the insulation; enter the cross-section instead for mm² wire",
        ..INPUT
    };
    AREA: Area = Input {
        id: "wiring.area",
        symbol: "A_w",
        label: "Wire cross-section",
        form: Form::Quantity(Measure::Area),
        preset: Preset::LeftOut,
        low: "0.005 mm2",
        high: "50 mm2",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "Printed on the insulation; replaces the gauge",
        ..INPUT
    };
    LENGTH: Length = Input {
        id: "wiring.length",
        symbol: "l_wire",
        label: "Cable length, one way",
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
        label: "Cable temperature",
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
        label: "Shared supply wires",
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
        label: "Trace width",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Computed("1 mm, or the next usual width that carries the stall current of the motor"),
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
        label: "Copper thickness",
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
        label: "Trace length",
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
        label: "Allowed trace temperature rise",
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
        label: "Trace layer",
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
        label: "Connector current rating",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Computed("1.5 A, or the next usual size above the stall current of the motor"),
        low: "50 mA",
        high: "100 A",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "Connector's data sheet: 2.54 mm pitch about 3 A, 2 mm 2 A, 1 mm 1 A; pins in parallel add up",
        ..INPUT
    };
    LOGIC_HIGH: ElectricPotential = Input {
        id: "wiring.logic_high",
        symbol: "V_oh",
        label: "V_OH of the step/dir controller",
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
        label: "V_IH(min) of the input",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("2.31 V"),
        low: "0.3 V",
        high: "30 V",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Processor's data sheet: lowest level read as high",
        ..INPUT
    };
    INPUT_MAX: ElectricPotential = Input {
        id: "wiring.input_max",
        symbol: "V_imax",
        label: "V_IN(abs. max.) of the input",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("3.6 V"),
        low: "0.3 V",
        high: "40 V",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Processor's data sheet: absolute maximum of that pin; 5.5 V only if it is 5 V tolerant",
        ..INPUT
    };
    LOGIC_LOW: ElectricPotential = Input {
        id: "wiring.logic_low",
        symbol: "V_ol",
        label: "V_OL of the step/dir controller",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("0.2 V"),
        low: "0 V",
        high: "10 V",
        default_tolerance: DefaultTolerance::Within("25 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "Meter at the step output, held low",
        ..INPUT
    };
    INPUT_LOW: ElectricPotential = Input {
        id: "wiring.input_low",
        symbol: "V_il",
        label: "V_IL(max) of the input",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("0.99 V"),
        low: "0 V",
        high: "20 V",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Processor's data sheet: highest level read as low, often 0.3 of its supply",
        ..INPUT
    };
    INPUT_MIN: ElectricPotential = Input {
        id: "wiring.input_min",
        symbol: "V_imin",
        label: "V_IN(abs. min.) of the input",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("-0.3 V"),
        low: "-30 V",
        high: "0 V",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Processor's data sheet: absolute minimum of that pin, against its own ground",
        ..INPUT
    };
    GROUND_AT: GroundAt = Input {
        id: "wiring.ground_at",
        symbol: "ground_at",
        label: "Ground connection of the step signals",
        form: Form::Choice(GroundAt::WORDS),
        preset: Preset::Fixed("supply"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "supply: controller and board meet at the supply only; board: a ground wire beside the pulse wires and none elsewhere; isolated: no common ground",
        ..INPUT
    };
    PULSE_INTERFACE: PulseInterface = Input {
        id: "wiring.pulse_interface",
        symbol: "interface",
        label: "Interface of the step signals",
        form: Form::Choice(PulseInterface::WORDS),
        preset: Preset::Computed("direct; a divider once both its resistors are entered"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "A wire, two resistors, a level shifter or an isolator fed by the board",
        ..INPUT
    };
    DIVIDER_UPPER: ElectricalResistance = Input {
        id: "wiring.divider_upper",
        symbol: "R_div1",
        label: "Upper divider resistor",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::LeftOut,
        low: "10 Ohm",
        high: "1 MOhm",
        default_tolerance: DefaultTolerance::Within("1 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "From the step/dir controller to the input",
        asked_by: Some(("wiring.pulse_interface", &["divider"])),
        ..INPUT
    };
    DIVIDER_LOWER: ElectricalResistance = Input {
        id: "wiring.divider_lower",
        symbol: "R_div2",
        label: "Lower divider resistor",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::LeftOut,
        low: "10 Ohm",
        high: "1 MOhm",
        default_tolerance: DefaultTolerance::Within("1 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "From the input to the board's ground",
        asked_by: Some(("wiring.pulse_interface", &["divider"])),
        ..INPUT
    };
}

results! {
    wiring;

    DIAMETER: Length = ResultDefinition {
        id: "wiring.diameter",
        symbol: "d_wire",
        label: "Wire diameter",
        measure: Measure::Length,
        meaning: "solid wire of that gauge",
        formula: "0.000127 * 92 ^ ((36 - wiring.gauge) / 39)",
        source: "ASTM B258",
        ..RESULT
    };
    AREA_NOW: Area = ResultDefinition {
        id: "wiring.area",
        symbol: "A",
        label: "Wire cross-section",
        measure: Measure::Area,
        meaning: "entered, or of the gauge",
        formula: "pi / 4 * wiring.diameter ^ 2",
        source: "geometry",
        ..RESULT
    };
    SUPPLY_RESISTANCE: ElectricalResistance = ResultDefinition {
        id: "wiring.supply_resistance",
        symbol: "R_wire",
        label: "Cable resistance, both wires",
        measure: Measure::Resistance,
        meaning: "at its own temperature",
        formula: "2 * wiring.length * rho_20 * (1 + alpha_20 * (wiring.temperature - 20)) / wiring.area",
        source: "resistivity of copper, IEC 60028",
        ..RESULT
    };
    VOLTAGE_DROP: ElectricPotential = ResultDefinition {
        id: "wiring.voltage_drop",
        symbol: "ΔV_wire",
        label: "Cable voltage drop",
        measure: Measure::Voltage,
        meaning: "in the worst moment of moving",
        formula: "wiring.cable_current * wiring.supply_resistance",
        source: "Ohm's law",
        ..RESULT
    };
    CABLE_CURRENT: ElectricCurrent = ResultDefinition {
        id: "wiring.cable_current",
        symbol: "I_cable",
        label: "Cable current",
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
        label: "Current rating of the wire",
        measure: Measure::Current,
        meaning: "a short lead in free air at room temperature; bundled or hot ones carry less",
        formula: "10 * (wiring.area / 0.000001) ^ 0.75",
        source: "10 A for 1 mm² (common practice, no source)",
        ..RESULT
    };
    SHORT_CURRENT: ElectricCurrent = ResultDefinition {
        id: "wiring.short_current",
        symbol: "I_short",
        label: "Short-circuit current at the board",
        measure: Measure::Current,
        meaning: "from a source that limits nothing, at its highest voltage",
        formula: "drive.highest_voltage / drive.supply_path_resistance",
        source: "Ohm's law",
        ..RESULT
    };
    GROUND_SHIFT: ElectricPotential = ResultDefinition {
        id: "wiring.ground_shift",
        symbol: "ΔV_gnd",
        label: "Ground shift of the board",
        measure: Measure::Voltage,
        meaning: "against the step/dir controller's ground, at the worst-case current",
        formula: "wiring.cable_current * wiring.supply_resistance / 2",
        source: "Ohm's law; both wires alike, grounds joined at the supply",
        ..RESULT
    };
    REGENERATED_POWER: Power = ResultDefinition {
        id: "wiring.regenerated_power",
        symbol: "p_back",
        label: "Peak regenerated power per motor",
        measure: Measure::Power,
        meaning: "at the worst moment of the move",
        formula: "'the greatest of −(i²·R_m + Ke·ω·i) over the moves asked for, 0 where none is returned'",
        source: "voltage equation of the motor times its current",
        shown: false,
        ..RESULT
    };
    GROUND_SHIFT_BACK: ElectricPotential = ResultDefinition {
        id: "wiring.ground_shift_back",
        symbol: "ΔV_gndback",
        label: "Ground shift of the board, regenerating",
        measure: Measure::Voltage,
        meaning: "with the current that flows back into the supply",
        formula: "max(0, supply.moving_together * 2 * wiring.regenerated_power / (drive.lowest_voltage + sqrt(drive.lowest_voltage ^ 2 + 4 * drive.supply_path_resistance * wiring.regenerated_power)) - (supply.actuators - supply.moving_together) * supply.holding_current - supply.actuators * supply.board_current) * wiring.supply_resistance / 2",
        source: "power balance of a source with a resistance; both wires alike",
        ..RESULT
    };
    TRACE_CURRENT: ElectricCurrent = ResultDefinition {
        id: "wiring.trace_current",
        symbol: "I_trace",
        label: "Current rating of the trace",
        measure: Measure::Current,
        meaning: "at the allowed temperature rise",
        formula: "0.048 * wiring.trace_rise ^ 0.44 * (wiring.trace_width * wiring.trace_thickness / 25.4e-6 ^ 2) ^ 0.725",
        source: "IPC-2221B (2012), sec. 6.2",
        ..RESULT
    };
    TRACE_RESISTANCE: ElectricalResistance = ResultDefinition {
        id: "wiring.trace_resistance",
        symbol: "R_trace",
        label: "Trace resistance",
        measure: Measure::Resistance,
        meaning: "at the allowed temperature rise",
        formula: "rho_20 * (1 + alpha_20 * (axis.ambient_temperature + wiring.trace_rise - 20)) * wiring.trace_length / (wiring.trace_width * wiring.trace_thickness)",
        source: "resistivity of copper, IEC 60028",
        ..RESULT
    };
    CONTINUOUS_CURRENT: ElectricCurrent = ResultDefinition {
        id: "wiring.continuous_current",
        symbol: "I_lasting",
        label: "Continuous (RMS) current",
        measure: Measure::Current,
        meaning: "the greater of the cycle's RMS current and the largest holding current",
        formula: "max(move.rms_current, hold.current_worst_case)",
        source: "definition",
        shown: false,
        ..RESULT
    };
    TRACE_MARGIN: Ratio = ResultDefinition {
        id: "wiring.trace_margin",
        symbol: "m_trace",
        label: "Trace rating / continuous current",
        measure: Measure::Ratio,
        meaning: "the stall current is judged in the check",
        formula: "wiring.trace_current / wiring.continuous_current",
        source: "capability over need",
        ..RESULT
    };
    PIN_MARGIN: Ratio = ResultDefinition {
        id: "wiring.pin_margin",
        symbol: "m_pin",
        label: "Connector rating / continuous current",
        measure: Measure::Ratio,
        meaning: "the stall current is judged in the check",
        formula: "wiring.pin_current / wiring.continuous_current",
        source: "capability over need",
        ..RESULT
    };
    LEVEL_MARGIN_HIGH: ElectricPotential = ResultDefinition {
        id: "wiring.level_margin_high",
        symbol: "m_high",
        label: "Noise margin, high level",
        measure: Measure::Voltage,
        meaning: "at the input, above the least that it reads as high",
        formula: "wiring.logic_high - wiring.ground_shift - wiring.input_high",
        source: "definition of a noise margin",
        ..RESULT
    };
    LEVEL_MARGIN_LOW: ElectricPotential = ResultDefinition {
        id: "wiring.level_margin_low",
        symbol: "m_low",
        label: "Noise margin, low level",
        measure: Measure::Voltage,
        meaning: "at the input, below the greatest that it reads as low",
        formula: "wiring.input_low - (wiring.logic_low + wiring.ground_shift_back)",
        source: "definition of a noise margin",
        ..RESULT
    };
    LEVEL_MARGIN_MAX: ElectricPotential = ResultDefinition {
        id: "wiring.level_margin_max",
        symbol: "m_max",
        label: "Margin to V_IN(abs. max.)",
        measure: Measure::Voltage,
        meaning: "at the input, high level",
        formula: "wiring.input_max - (wiring.logic_high + wiring.ground_shift_back)",
        source: "definition of a noise margin",
        ..RESULT
    };
    LEVEL_MARGIN_MIN: ElectricPotential = ResultDefinition {
        id: "wiring.level_margin_min",
        symbol: "m_min",
        label: "Margin to V_IN(abs. min.)",
        measure: Measure::Voltage,
        meaning: "at the input, low level",
        formula: "wiring.logic_low - wiring.ground_shift - wiring.input_min",
        source: "definition of a noise margin",
        ..RESULT
    };
    FIT_TRACE_WIDTH: Length = ResultDefinition {
        id: "fit.trace_width",
        symbol: "w_fit",
        label: "Trace width to use",
        measure: Measure::Length,
        meaning: "smallest common width that carries move and stall currents with margin",
        formula: "'the least customary width that carries 1.25 × the greater of the continuous and the stall current at the rise allowed'",
        source: "IPC-2221B (2012), sec. 6.2, solved for the width; the widths are common practice, no source",
        ..RESULT
    };
    FIT_GAUGE: Ratio = ResultDefinition {
        id: "fit.gauge",
        symbol: "gauge_fit",
        label: "Wire gauge to use (AWG)",
        measure: Measure::Gauge,
        meaning: "thinnest with which every check that depends on it passes",
        formula: "'the thinnest even gauge that carries 1.25 × the current of the cable and with which every check that rests on the wire passes; where a check stays tight with every wire, the one that leaves the fewest tight'",
        source: "ASTM B258; even gauges are the ones sold (common practice, no source)",
        costly: true,
        ..RESULT
    };
    FIT_DIVIDER_UPPER: ElectricalResistance = ResultDefinition {
        id: "fit.divider_upper",
        symbol: "R_upper",
        label: "Upper divider resistor to fit",
        measure: Measure::Resistance,
        meaning: "from the step/dir controller to the input",
        formula: "'the E24 pair of 3 to 30 kΩ together with the best lesser margin, each resistor at its worse end of ± 1 %'",
        source: "IEC 60063",
        ..RESULT
    };
    FIT_DIVIDER_LOWER: ElectricalResistance = ResultDefinition {
        id: "fit.divider_lower",
        symbol: "R_lower",
        label: "Lower divider resistor to fit",
        measure: Measure::Resistance,
        meaning: "from the input to ground",
        formula: "'the E24 pair of 3 to 30 kΩ together with the best lesser margin, each resistor at its worse end of ± 1 %'",
        source: "IEC 60063",
        ..RESULT
    };
}
