//! The bench and the order: what a meter should read, what it read, what is still open.
//!
//! The rows of the bench sheet, with what to do and what a deviation means, are in [`crate::analysis::bench_sheet`].

use super::key::Rational;
use super::schema::{
    DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition, Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::units::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Force, Length, Ratio,
    ThermodynamicTemperature, Time,
};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Bench,
    prefixes: &["bench", "order"],
    name: "Bench tests",
    question: "What should be measured, and what does a deviation mean?",
    about: "Each measurement has limits that follow from the tolerances. A measurement outside them says which value to check. Work from the top: the first tests are the safety tests.",
};

choices! {
    /// What the motor does when the magnet is turned by a finger.
    Polarity {
        PushesBack = "pushes_back",
        PullsAlong = "pulls_along",
    }
}

choices! {
    /// An answer.
    Answer {
        Yes = "yes",
        No = "no",
    }
}

/// A reading: left out until it is made, and as good as the meter.
const READING: Input = Input {
    layer: 2,
    low: "0",
    too_little: "no meter reads less on a sound build",
    ..INPUT
};

/// A question before the order.
const ORDER: Input = Input {
    form: Form::Choice(Answer::WORDS),
    layer: 2,
    help: "Before you order",
    ..INPUT
};

inputs! {
    bench;

    POLARITY: Polarity = Input {
        id: "bench.polarity",
        symbol: "polarity",
        label: "Motor response when the magnet is turned by a finger",
        form: Form::Choice(Polarity::WORDS),
        layer: 2,
        help: "Before anything else is tried under power",
        ..INPUT
    };
    NO_LOAD_CURRENT_READ: ElectricCurrent = Input {
        id: "bench.no_load_current_read",
        symbol: "I_0read",
        label: "No-load current, measured",
        form: Form::Quantity(Measure::Current),
        high: "100 A",
        default_tolerance: DefaultTolerance::Within("2 %"),
        help: "± 2 % unless you say more",
        ..READING
    };
    NO_LOAD_SPEED_READ: pulsewright_calc::units::AngularVelocity = Input {
        id: "bench.no_load_speed_read",
        symbol: "ω_0read",
        label: "No-load speed, measured",
        form: Form::Quantity(Measure::Speed),
        high: "100000 r/min",
        default_tolerance: DefaultTolerance::Within("1 %"),
        help: "± 1 % unless you say more",
        ..READING
    };
    RESISTANCE_READ: ElectricalResistance = Input {
        id: "bench.winding_resistance_read",
        symbol: "R_read",
        label: "Winding resistance, measured",
        form: Form::Quantity(Measure::Resistance),
        high: "2000 Ohm",
        default_tolerance: DefaultTolerance::Within("3 %"),
        help: "± 3 % unless you say more",
        ..READING
    };
    TURNS: u32 = Input {
        id: "bench.turns",
        symbol: "n_turns",
        label: "Output turns driven",
        form: Form::Whole,
        preset: Preset::Fixed("10"),
        low: "1",
        high: "1000",
        too_little: "it takes a whole turn to come back to the mark",
        too_much: "nobody counts so many turns by hand",
        layer: 2,
        help: "Counted at a mark",
        ..INPUT
    };
    EDGES_READ: Ratio = Input {
        id: "bench.edges_read",
        symbol: "E_read",
        label: "Encoder edges, counted",
        form: Form::Quantity(Measure::Count),
        low: ">0",
        high: "1e12",
        too_little: "without an edge there is no turn",
        default_tolerance: DefaultTolerance::Within("1"),
        layer: 2,
        help: "± 1 unless you say more, for how well the mark was seen",
        ..INPUT
    };
    START_VOLTAGE_READ: ElectricPotential = Input {
        id: "bench.start_voltage_read",
        symbol: "V_startread",
        label: "Supply voltage at start, measured",
        form: Form::Quantity(Measure::Voltage),
        high: "100 V",
        default_tolerance: DefaultTolerance::Within("1 %"),
        help: "± 1 % unless you say more",
        ..READING
    };
    LOGIC_VOLTAGE_READ: ElectricPotential = Input {
        id: "bench.logic_voltage_read",
        symbol: "V_logicread",
        label: "Logic supply voltage, measured",
        form: Form::Quantity(Measure::Voltage),
        high: "100 V",
        default_tolerance: DefaultTolerance::Within("1 %"),
        help: "± 1 % unless you say more",
        ..READING
    };
    LEVER_LENGTH: Length = Input {
        id: "bench.lever_length",
        symbol: "L_lever",
        label: "Lever length",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Fixed("100 mm"),
        low: ">0",
        high: "2 m",
        too_little: "no force can be told without a lever",
        too_much: "a longer lever is no bench test",
        default_tolerance: DefaultTolerance::Within("1 mm"),
        layer: 2,
        help: "Shaft centre to the point on the scale",
        ..INPUT
    };
    LEVER_FORCE_READ: Force = Input {
        id: "bench.lever_force_read",
        symbol: "F_read",
        label: "Force on the scale, measured",
        form: Form::Quantity(Measure::Force),
        high: "50 kN",
        default_tolerance: DefaultTolerance::Within("5 %"),
        help: "± 5 % unless you say more",
        ..READING
    };
    HOLD_CURRENT_READ: ElectricCurrent = Input {
        id: "bench.hold_current_read",
        symbol: "I_holdread",
        label: "Holding current, measured",
        form: Form::Quantity(Measure::Current),
        high: "100 A",
        default_tolerance: DefaultTolerance::Within("2 %"),
        help: "± 2 % unless you say more",
        ..READING
    };
    HOUSING_READ: ThermodynamicTemperature = Input {
        id: "bench.housing_temperature_read",
        symbol: "T_hread",
        label: "Motor housing temperature, measured",
        form: Form::Quantity(Measure::Temperature),
        low: "-40 degC",
        high: "300 degC",
        default_tolerance: DefaultTolerance::Within("2 K"),
        help: "± 2 K unless you say more",
        ..READING
    };
    REGULATOR_READ: ThermodynamicTemperature = Input {
        id: "bench.regulator_temperature_read",
        symbol: "T_regread",
        label: "Regulator temperature, measured",
        form: Form::Quantity(Measure::Temperature),
        low: "-40 degC",
        high: "300 degC",
        default_tolerance: DefaultTolerance::Within("2 K"),
        help: "± 2 K unless you say more",
        ..READING
    };
    SUPPLY_CURRENT_READ: ElectricCurrent = Input {
        id: "bench.supply_current_read",
        symbol: "I_avgread",
        label: "Mean supply current, measured",
        form: Form::Quantity(Measure::Current),
        high: "1000 A",
        default_tolerance: DefaultTolerance::Within("2 %"),
        help: "± 2 % unless you say more",
        ..READING
    };
    SHAFT_FREE: Answer = Input {
        id: "order.shaft_free",
        symbol: "order_shaft",
        label: "At least 4 mm of the rear shaft is free",
        ..ORDER
    };
    BORE: Answer = Input {
        id: "order.bore",
        symbol: "order_bore",
        label: "Rear shaft diameter fits the magnet's bore",
        ..ORDER
    };
    SENSOR_PLACES: Answer = Input {
        id: "order.sensor_places",
        symbol: "order_places",
        label: "Board has a hole for the shaft and its sensors in the right places",
        ..ORDER
    };
    GAP: Answer = Input {
        id: "order.gap",
        symbol: "order_gap",
        label: "Gap between magnet and sensors is drawn",
        ..ORDER
    };
    SCREWS: Answer = Input {
        id: "order.screws",
        symbol: "order_screws",
        label: "Mounting screws end before the gears",
        ..ORDER
    };
    OUTPUT_SHAFT: Answer = Input {
        id: "order.output_shaft",
        symbol: "order_output",
        label: "Output shaft fits lever or pulley",
        ..ORDER
    };
    CONNECTORS: Answer = Input {
        id: "order.connectors",
        symbol: "order_mates",
        label: "Connectors and mating connectors are on the list",
        ..ORDER
    };
    SPARE: Answer = Input {
        id: "order.spare",
        symbol: "order_spare",
        label: "A spare motor to open and count teeth",
        ..ORDER
    };
    HOME: Answer = Input {
        id: "order.home",
        symbol: "order_home",
        label: "A switch or a stop for homing",
        ..ORDER
    };
    SOURCE: Answer = Input {
        id: "order.supply",
        symbol: "order_source",
        label: "Supply, fuse and cable are on the list",
        ..ORDER
    };
}

results! {
    bench;

    NO_LOAD_CURRENT: ElectricCurrent = ResultDefinition {
        id: "bench.no_load_current",
        symbol: "I_0bench",
        label: "No-load current, expected",
        measure: Measure::Current,
        meaning: "in a motor lead, nothing attached",
        formula: "motor.no_load_current",
        source: "friction of the motor does not ask how fast it turns",
        ..RESULT
    };
    NO_LOAD_SPEED: pulsewright_calc::units::AngularVelocity = ResultDefinition {
        id: "bench.no_load_speed",
        symbol: "ω_0bench",
        label: "No-load speed, expected",
        measure: Measure::Speed,
        meaning: "of the output, cold, at full duty",
        formula: "drive.no_load_speed",
        source: "voltage equation in steady state",
        ..RESULT
    };
    RESISTANCE: ElectricalResistance = ResultDefinition {
        id: "bench.winding_resistance",
        symbol: "R_bench",
        label: "Winding resistance, expected",
        measure: Measure::Resistance,
        meaning: "at the terminals, cold",
        formula: "motor.resistance",
        source: "Ohm's law",
        ..RESULT
    };
    TURN_COUNTS: Rational = ResultDefinition {
        id: "bench.turn_counts",
        symbol: "E_bench",
        label: "Encoder edges, expected",
        measure: Measure::Count,
        meaning: "over the driven turns of the output",
        formula: "bench.turns * encoder.counts_per_output_turn",
        source: "definition",
        ..RESULT
    };
    EDGES_PER_DEGREE: Ratio = ResultDefinition {
        id: "bench.edges_per_degree",
        symbol: "E_deg",
        label: "Encoder edges per degree of the output",
        measure: Measure::Count,
        meaning: "error of the count where the mark is missed by one degree",
        formula: "encoder.counts_per_output_turn / 360",
        source: "definition",
        shown: false,
        ..RESULT
    };
    EDGE_ERROR: Ratio = ResultDefinition {
        id: "bench.edge_error",
        symbol: "ΔE",
        label: "Error of the counted edges",
        measure: Measure::Count,
        meaning: "one edge, or as entered",
        formula: "'one edge, or the ± of bench.edges_read rounded up'",
        source: "quantisation",
        shown: false,
        ..RESULT
    };
    COUNTED_RATIO: Rational = ResultDefinition {
        id: "bench.counted_ratio",
        symbol: "N_counted",
        label: "Gear ratio from the counted edges",
        measure: Measure::Ratio,
        meaning: "motor turns for one turn of the output",
        formula: "bench.edges_read / (bench.turns * encoder.counts_per_motor_turn)",
        source: "definition of the ratio",
        ..RESULT
    };
    COUNTED_LOW: Rational = ResultDefinition {
        id: "bench.counted_ratio_low",
        symbol: "N_least",
        label: "Lowest gear ratio that fits the edges",
        measure: Measure::Ratio,
        meaning: "as many edges fewer as the count may be off",
        formula: "(bench.edges_read - bench.edge_error) / (bench.turns * encoder.counts_per_motor_turn)",
        source: "definition of the ratio",
        ..RESULT
    };
    COUNTED_HIGH: Rational = ResultDefinition {
        id: "bench.counted_ratio_high",
        symbol: "N_most",
        label: "Highest gear ratio that fits the edges",
        measure: Measure::Ratio,
        meaning: "as many edges more as the count may be off",
        formula: "(bench.edges_read + bench.edge_error) / (bench.turns * encoder.counts_per_motor_turn)",
        source: "definition of the ratio",
        ..RESULT
    };
    START_VOLTAGE: ElectricPotential = ResultDefinition {
        id: "bench.start_voltage",
        symbol: "V_start",
        label: "Supply voltage at start, expected",
        measure: Measure::Voltage,
        meaning: "at the boards, the lowest moment",
        formula: "supply.voltage_at_stall",
        source: "a motor at standstill draws its stall current",
        ..RESULT
    };
    LOGIC_VOLTAGE: ElectricPotential = ResultDefinition {
        id: "bench.logic_voltage",
        symbol: "V_logic",
        label: "Logic supply voltage, expected",
        measure: Measure::Voltage,
        meaning: "at the processor, through the start as well",
        formula: "regulator.output_voltage",
        source: "definition",
        ..RESULT
    };
    LEVER_VOLTAGE: ElectricPotential = ResultDefinition {
        id: "bench.lever_voltage",
        symbol: "V_lever",
        label: "Supply voltage for the lever test",
        measure: Measure::Voltage,
        meaning: "half the supply voltage, or less where gears or driver require it",
        formula: "min(supply.voltage / 2, drive.total_resistance * min(gears.safe_current, bridge.current_limit))",
        source: "Ohm's law at standstill; half the voltage: common practice, no source",
        ..RESULT
    };
    LEVER_FORCE: Force = ResultDefinition {
        id: "bench.lever_force",
        symbol: "F_lever",
        label: "Force on the scale, expected",
        measure: Measure::Force,
        meaning: "at that voltage, at the end of the lever",
        formula: "gears.exact_ratio * gears.efficiency * motor.torque_constant * (bench.lever_voltage / drive.total_resistance - motor.no_load_current) / bench.lever_length",
        source: "torque balance at standstill, statics of the lever",
        ..RESULT
    };
    LEVER_LIMIT: Force = ResultDefinition {
        id: "bench.lever_force_limit",
        symbol: "F_most",
        label: "Force limit of the lever test",
        measure: Measure::Force,
        meaning: "gearbox peak torque at the lever",
        formula: "gears.peak_torque / bench.lever_length",
        source: "statics of the lever",
        ..RESULT
    };
    STALL_FORCE: Force = ResultDefinition {
        id: "bench.stall_force",
        symbol: "F_stall",
        label: "Stall force at the end of the lever",
        measure: Measure::Force,
        meaning: "never to be tried",
        formula: "drive.stall_torque / bench.lever_length",
        source: "statics of the lever",
        shown: false,
        ..RESULT
    };
    LEVER_TIME: Time = ResultDefinition {
        id: "bench.lever_time",
        symbol: "t_lever",
        label: "Time limit of the lever test",
        measure: Measure::Time,
        meaning: "then let go and let it cool for ten minutes",
        formula: "min(heat.stall_time / 2, 10)",
        source: "half the time to the winding's limit, ten seconds at most (common practice, no source)",
        ..RESULT
    };
    HOLD_CURRENT: ElectricCurrent = ResultDefinition {
        id: "bench.hold_current",
        symbol: "I_holdbench",
        label: "Holding current, expected",
        measure: Measure::Current,
        meaning: "in a motor lead, ten seconds after the move",
        formula: "hold.selected_current",
        source: "torque balance at rest",
        ..RESULT
    };
    HOUSING: ThermodynamicTemperature = ResultDefinition {
        id: "bench.housing_temperature",
        symbol: "T_hbench",
        label: "Motor housing temperature, expected",
        measure: Measure::Temperature,
        meaning: "the cycle repeated until it gets no warmer",
        formula: "heat.housing_temperature",
        source: "two thermal nodes in equilibrium",
        ..RESULT
    };
    REGULATOR: ThermodynamicTemperature = ResultDefinition {
        id: "bench.regulator_temperature",
        symbol: "T_regbench",
        label: "Regulator temperature, expected",
        measure: Measure::Temperature,
        meaning: "its inside; the package reads a little less",
        formula: "regulator.junction_temperature",
        source: "thermal resistance times loss",
        ..RESULT
    };
    SUPPLY_CURRENT: ElectricCurrent = ResultDefinition {
        id: "bench.supply_current",
        symbol: "I_avgbench",
        label: "Mean supply current, expected",
        measure: Measure::Current,
        meaning: "over the repeated cycle, boards included",
        formula: "supply.average_current",
        source: "mean power over voltage",
        ..RESULT
    };
    OUTSIDE: f64 = ResultDefinition {
        id: "bench.out_of_tolerance",
        symbol: "n_outside",
        label: "Readings out of tolerance",
        measure: Measure::Count,
        meaning: "of those that were taken",
        formula: "'readings whose own error does not reach the limits from the tolerances'",
        source: "each tolerance by itself, root of the sum of squares (JCGM 100:2008, GUM, 5.1.2, from memory)",
        shown: false,
        costly: true,
    };
    OPEN: f64 = ResultDefinition {
        id: "order.open",
        symbol: "n_open",
        label: "Open items before ordering",
        measure: Measure::Count,
        meaning: "questions without a yes",
        formula: "'questions of the list without a yes'",
        source: "definition",
        shown: false,
        ..RESULT
    };
}
