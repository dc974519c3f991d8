//! The supply.

use pulsewright_calc::units::{
    Capacitance, ElectricCharge, ElectricCurrent, ElectricPotential, ElectricalResistance, Energy,
    Power, Ratio, Time,
};

use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition,
    Station, YesNo,
};
use crate::text::measure::Measure;

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Supply,
    prefixes: &["supply"],
    name: "Supply",
    question: "Does the voltage stay within its limits while moving and braking?",
    about: "If the supply voltage drops too far, the processor resets and the position is lost. If the supply cannot sink current, braking raises its voltage.",
};

inputs! {
    supply;

    VOLTAGE: ElectricPotential = Input {
        id: "supply.voltage",
        symbol: "V",
        label: "Supply voltage (no load)",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("6 V"),
        low: "0.5 V",
        high: "60 V",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 1,
        too_little: "so low nothing runs",
        too_much: "beyond 60 V a shock can hurt",
        changed_by: ChangedBy::Purchase,
        help: "Voltmeter at the supply, nothing connected",
        ..INPUT
    };
    LOWEST_VOLTAGE: ElectricPotential = Input {
        id: "supply.lowest_voltage",
        symbol: "V_low",
        label: "Lowest supply voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::LeftOut,
        low: "0.5 V",
        high: "60 V",
        default_tolerance: DefaultTolerance::Within("3 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Battery at the end of its charge: per cell alkaline 1.0, NiMH 1.0, lithium 3.0 V",
        ..INPUT
    };
    HIGHEST_VOLTAGE: ElectricPotential = Input {
        id: "supply.highest_voltage",
        symbol: "V_high",
        label: "Highest supply voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::LeftOut,
        low: "0.5 V",
        high: "65 V",
        default_tolerance: DefaultTolerance::Within("3 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Battery just charged: per cell alkaline 1.6, NiMH 1.45, lithium 4.2 V; adapter without load",
        ..INPUT
    };
    SOURCE_RESISTANCE: ElectricalResistance = Input {
        id: "supply.source_resistance",
        symbol: "R_source",
        label: "Source resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::Fixed("0.1 Ohm"),
        low: "0 Ohm",
        high: "100 Ohm",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Two readings at the supply: (volts unloaded − volts loaded) / amperes. Per cell: AA alkaline 0.15 to 0.3, NiMH 0.02 to 0.05, lithium 0.03 to 0.1 Ω",
        ..INPUT
    };
    CURRENT_LIMIT: ElectricCurrent = Input {
        id: "supply.current_limit",
        symbol: "I_supply",
        label: "Supply current limit",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Computed("2 A, or the next usual size above the stall current of the motors that move together"),
        low: "10 mA",
        high: "1000 A",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Label of the supply; cells: rated continuous discharge",
        ..INPUT
    };
    CAPACITY: ElectricCharge = Input {
        id: "supply.capacity",
        symbol: "C_batt",
        label: "Battery capacity",
        form: Form::Quantity(Measure::Charge),
        preset: Preset::LeftOut,
        low: "10 mA.h",
        high: "1000 A.h",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Label; count on 80 % of it",
        ..INPUT
    };
    RATED_HOURS: Time = Input {
        id: "supply.rated_hours",
        symbol: "H",
        label: "Discharge time of the capacity rating",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("5 h"),
        low: "0.1 h",
        high: "100 h",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "Label: the hours that the capacity is stated for; lead 20 h, others often 5 h",
        ..INPUT
    };
    PEUKERT_EXPONENT: Ratio = Input {
        id: "supply.peukert_exponent",
        symbol: "k_p",
        label: "Peukert exponent",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1.05"),
        low: "1",
        high: "1.6",
        default_tolerance: DefaultTolerance::Within("0.05"),
        layer: 3,
        help: "Lithium 1.02 to 1.05, sealed lead 1.05 to 1.15, flooded lead 1.2 to 1.6",
        ..INPUT
    };
    ACTUATORS: u32 = Input {
        id: "supply.actuators",
        symbol: "n_all",
        label: "Actuators on this supply",
        form: Form::Whole,
        preset: Preset::Fixed("1"),
        low: "1",
        too_little: "this one is among them",
        high: "64",
        layer: 2,
        changed_by: ChangedBy::Requirement,
        help: "Motors on this supply and these wires",
        ..INPUT
    };
    MOVING_TOGETHER: u32 = Input {
        id: "supply.moving_together",
        symbol: "n_moving",
        label: "Actuators moving at once",
        form: Form::Whole,
        preset: Preset::Fixed("1"),
        low: "0",
        high: "64",
        layer: 2,
        changed_by: ChangedBy::Requirement,
        help: "How many may move at the same moment",
        ..INPUT
    };
    BULK_CAPACITANCE: Capacitance = Input {
        id: "supply.bulk_capacitance",
        symbol: "C_bulk",
        label: "Bulk capacitance on the motor supply",
        form: Form::Quantity(Measure::Capacitance),
        preset: Preset::Fixed("470 uF"),
        low: "0.1 uF",
        high: "1 F",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "Add up what is fitted on the shared rail, all boards",
        ..INPUT
    };
    MAX_VOLTAGE: ElectricPotential = Input {
        id: "supply.max_voltage",
        symbol: "V_max",
        label: "Lowest abs. max. supply voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Computed("12 V, or 1.5 times a higher supply voltage"),
        low: "0.5 V",
        high: "100 V",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Lowest absolute maximum rating among motor driver, regulator and capacitors",
        ..INPUT
    };
    SINKS_CURRENT: YesNo = Input {
        id: "supply.sinks_current",
        symbol: "sinks_current",
        label: "Supply can sink current",
        form: Form::Choice(YesNo::WORDS),
        preset: Preset::Fixed("no"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Battery: yes; ordinary adapter: no",
        ..INPUT
    };
}

results! {
    supply;

    BOARD_CURRENT: ElectricCurrent = ResultDefinition {
        id: "supply.board_current",
        symbol: "I_board",
        label: "Current per board",
        measure: Measure::Current,
        meaning: "regulator and driver, without the motor",
        formula: "regulator.input_current + bridge.quiescent_current",
        source: "Kirchhoff's current law",
        ..RESULT
    };
    BOARD_AT_LOWEST: ElectricCurrent = ResultDefinition {
        id: "supply.board_at_lowest",
        symbol: "I_board_low",
        label: "Current per board, lowest voltage",
        measure: Measure::Current,
        meaning: "a buck regulator draws more at a lower voltage",
        formula: "supply.board_current",
        source: "Kirchhoff's current law; buck: definition of efficiency",
        shown: false,
        ..RESULT
    };
    BOARD_AT_HIGHEST: ElectricCurrent = ResultDefinition {
        id: "supply.board_at_highest",
        symbol: "I_board_high",
        label: "Current per board, highest voltage",
        measure: Measure::Current,
        meaning: "a buck regulator draws less at a higher voltage",
        formula: "supply.board_current",
        source: "Kirchhoff's current law; buck: definition of efficiency",
        shown: false,
        ..RESULT
    };
    PEAK_POWER: Power = ResultDefinition {
        id: "supply.peak_power",
        symbol: "p_peak",
        label: "Peak power per motor",
        measure: Measure::Power,
        meaning: "into motor and driver, at the worst moment of the move",
        formula: "'the greatest of i²·R_m + Ke·ω·i over the moves asked for'",
        source: "voltage equation of the motor times its current",
        ..RESULT
    };
    MOVING_CURRENT: ElectricCurrent = ResultDefinition {
        id: "supply.moving_current",
        symbol: "I_moving",
        label: "Supply current per moving motor",
        measure: Measure::Current,
        meaning: "at the worst moment of the move, from the lowest supply voltage",
        formula: "2 * supply.peak_power / (drive.lowest_voltage + sqrt(drive.lowest_voltage ^ 2 - 4 * drive.supply_path_resistance * supply.peak_power))",
        source: "power balance of a source with a resistance",
        ..RESULT
    };
    HOLDING_POWER: Power = ResultDefinition {
        id: "supply.holding_power",
        symbol: "p_hold",
        label: "Power per holding motor",
        measure: Measure::Power,
        meaning: "at its largest holding current, limited to that of a blocked motor; nothing where it is off at rest",
        formula: "min(hold.current_worst_case, supply.blocked_at_lowest) ^ 2 * drive.motor_resistance",
        source: "Joule's law",
        shown: false,
        ..RESULT
    };
    HOLDING_CURRENT: ElectricCurrent = ResultDefinition {
        id: "supply.holding_current",
        symbol: "I_holding",
        label: "Supply current per holding motor",
        measure: Measure::Current,
        meaning: "at its largest holding current, from the lowest supply voltage",
        formula: "2 * supply.holding_power / (drive.lowest_voltage + sqrt(drive.lowest_voltage ^ 2 - 4 * drive.supply_path_resistance * supply.holding_power))",
        source: "power balance of a source with a resistance",
        ..RESULT
    };
    BLOCKED_AT_LOWEST: ElectricCurrent = ResultDefinition {
        id: "supply.blocked_at_lowest",
        symbol: "I_jam_low",
        label: "Stall current (blocked), lowest supply voltage",
        measure: Measure::Current,
        meaning: "what a stall draws when the supply is at its lowest",
        formula: "loop.voltage_limit * drive.lowest_voltage / drive.total_resistance",
        source: "Ohm's law",
        shown: false,
        ..RESULT
    };
    OTHERS_CURRENT: ElectricCurrent = ResultDefinition {
        id: "supply.others_current",
        symbol: "I_others",
        label: "Worst-case current of the other actuators",
        measure: Measure::Current,
        meaning: "those that move together with this one at their worst, the rest hold; boards included",
        formula: "max(0, supply.moving_together - 1) * max(supply.moving_current, supply.holding_current) + (supply.actuators - 1 - max(0, supply.moving_together - 1)) * supply.holding_current + (supply.actuators - 1) * supply.board_at_lowest",
        source: "Kirchhoff's current law; the peaks of all that move coincide",
        ..RESULT
    };
    VOLTAGE_BESIDE_OTHERS: ElectricPotential = ResultDefinition {
        id: "supply.voltage_beside_others",
        symbol: "V_beside",
        label: "Supply voltage left by the other actuators",
        measure: Measure::Voltage,
        meaning: "lowest supply voltage minus their voltage drop",
        formula: "max(0, drive.lowest_voltage - supply.others_current * drive.supply_path_resistance)",
        source: "Ohm's law",
        ..RESULT
    };
    WORST_CURRENT: ElectricCurrent = ResultDefinition {
        id: "supply.worst_current",
        symbol: "I_worst",
        label: "Worst-case supply current, moving",
        measure: Measure::Current,
        meaning: "some move or start, the others hold, all boards run; from the lowest supply voltage",
        formula: "supply.moving_together * max(supply.moving_current, supply.holding_current) + (supply.actuators - supply.moving_together) * supply.holding_current + supply.actuators * supply.board_at_lowest",
        source: "Kirchhoff's current law; the peaks of all that move coincide",
        ..RESULT
    };
    STALL_CURRENT: ElectricCurrent = ResultDefinition {
        id: "supply.stall_current",
        symbol: "I_jam_supply",
        label: "Supply current at stall (blocked)",
        measure: Measure::Current,
        meaning: "all moving motors blocked, at the highest supply voltage",
        formula: "supply.moving_together * drive.blocked_current + (supply.actuators - supply.moving_together) * supply.holding_current + supply.actuators * supply.board_at_highest",
        source: "Kirchhoff's current law",
        ..RESULT
    };
    STALL_AT_LOWEST: ElectricCurrent = ResultDefinition {
        id: "supply.stall_at_lowest",
        symbol: "I_jam_supply_low",
        label: "Supply current at stall (blocked), lowest voltage",
        measure: Measure::Current,
        meaning: "all moving motors blocked, at the lowest supply voltage",
        formula: "supply.moving_together * supply.blocked_at_lowest + (supply.actuators - supply.moving_together) * supply.holding_current + supply.actuators * supply.board_at_lowest",
        source: "Kirchhoff's current law",
        shown: false,
        ..RESULT
    };
    LIFTING_ENERGY: Energy = ResultDefinition {
        id: "supply.lifting_energy",
        symbol: "E_against",
        label: "Electrical energy per move, lifting",
        measure: Measure::Energy,
        meaning: "into motor and driver; regenerated energy is not deducted",
        formula: "'the integral over the move of i²·R_m + Ke·ω·i where that is above 0'",
        source: "power balance of motor and bridge",
        shown: false,
        ..RESULT
    };
    LOWERING_ENERGY: Energy = ResultDefinition {
        id: "supply.lowering_energy",
        symbol: "E_with",
        label: "Electrical energy per move, lowering",
        measure: Measure::Energy,
        meaning: "into motor and driver; regenerated energy is not deducted",
        formula: "'the integral over the move of i²·R_m + Ke·ω·i where that is above 0'",
        source: "power balance of motor and bridge",
        shown: false,
        ..RESULT
    };
    MEAN_POWER: Power = ResultDefinition {
        id: "supply.mean_power",
        symbol: "P_mean",
        label: "Mean power per motor",
        measure: Measure::Power,
        meaning: "into motor and driver, over move and dwell",
        formula: "(supply.lifting_energy + hold.selected_current ^ 2 * drive.motor_resistance * move.dwell) / (move.time + move.dwell)",
        source: "definition of the mean",
        ..RESULT
    };
    AVERAGE_CURRENT: ElectricCurrent = ResultDefinition {
        id: "supply.average_current",
        symbol: "I_mean",
        label: "Mean supply current",
        measure: Measure::Current,
        meaning: "over moves, dwells and rests; regenerated energy is not deducted",
        formula: "supply.actuators * (supply.mean_power * move.duty / supply.voltage + supply.board_current)",
        source: "definition of the mean",
        ..RESULT
    };
    VOLTAGE_AT_WORST: ElectricPotential = ResultDefinition {
        id: "supply.voltage_at_worst",
        symbol: "V_worst",
        label: "Lowest supply voltage, moving",
        measure: Measure::Voltage,
        meaning: "at the boards, at the worst-case current",
        formula: "max(0, drive.lowest_voltage - supply.worst_current * drive.supply_path_resistance)",
        source: "Ohm's law",
        ..RESULT
    };
    VOLTAGE_AT_STALL: ElectricPotential = ResultDefinition {
        id: "supply.voltage_at_stall",
        symbol: "V_jam",
        label: "Supply voltage at stall (blocked)",
        measure: Measure::Voltage,
        meaning: "at the boards, all moving motors blocked",
        formula: "max(0, drive.lowest_voltage - supply.stall_at_lowest * drive.supply_path_resistance)",
        source: "Ohm's law",
        ..RESULT
    };
    VOLTAGE_NEEDED: ElectricPotential = ResultDefinition {
        id: "supply.voltage_needed",
        symbol: "V_need",
        label: "Min. voltage for the processor",
        measure: Measure::Voltage,
        meaning: "below it the processor resets and the position is lost",
        formula: "regulator.reset_voltage + regulator.dropout",
        source: "definition of dropout",
        ..RESULT
    };
    BROWN_OUT_MARGIN: ElectricPotential = ResultDefinition {
        id: "supply.brown_out_margin",
        symbol: "m_brown",
        label: "Brown-out margin",
        measure: Measure::Voltage,
        meaning: "at the deepest voltage sag; below 0 the processor resets",
        formula: "min(supply.voltage_at_worst, supply.voltage_at_stall) - supply.voltage_needed",
        source: "definition of dropout; steady sag",
        ..RESULT
    };
    STOP_ENERGY: Energy = ResultDefinition {
        id: "supply.stop_energy",
        symbol: "E_stop",
        label: "Kinetic energy at a stop",
        measure: Measure::Energy,
        meaning: "of all that move together",
        formula: "supply.moving_together * (motor.rotor_inertia * gears.exact_ratio ^ 2 + axis.load_inertia) * move.peak_speed ^ 2 / 2",
        source: "kinetic energy of rotation",
        ..RESULT
    };
    BOARD_POWER: Power = ResultDefinition {
        id: "supply.board_power",
        symbol: "P_own",
        label: "Power drawn by the boards",
        measure: Measure::Power,
        meaning: "the share of one moving motor",
        formula: "supply.actuators * supply.voltage * supply.board_current / supply.moving_together",
        source: "definition of power",
        shown: false,
        ..RESULT
    };
    REGENERATED_ENERGY: Energy = ResultDefinition {
        id: "supply.regenerated_energy",
        symbol: "E_back",
        label: "Regenerated energy per cycle",
        measure: Measure::Energy,
        meaning: "into the supply rail, after the boards' own consumption",
        formula: "'moving together × the integral over the moves asked for of what motor and bridge give back, less what the boards take'",
        source: "power balance of motor and bridge",
        ..RESULT
    };
    REGENERATED_VOLTAGE: ElectricPotential = ResultDefinition {
        id: "supply.regenerated_voltage",
        symbol: "V_pump",
        label: "Bus voltage after braking",
        measure: Measure::Voltage,
        meaning: "with the regenerated energy in the bulk capacitance",
        formula: "sqrt(drive.highest_voltage ^ 2 + 2 * supply.regenerated_energy / supply.bulk_capacitance)",
        source: "energy of a capacitor",
        ..RESULT
    };
    REGENERATED_VOLTAGE_BOUND: ElectricPotential = ResultDefinition {
        id: "supply.regenerated_voltage_bound",
        symbol: "V_pumpmost",
        label: "Bus voltage after braking, without losses",
        measure: Measure::Voltage,
        meaning: "upper bound for any stop or drop",
        formula: "sqrt(drive.highest_voltage ^ 2 + 2 * (supply.stop_energy + supply.moving_together * axis.drop_energy) / supply.bulk_capacitance)",
        source: "energy of a capacitor",
        ..RESULT
    };
    REGENERATION_CAPACITANCE: Capacitance = ResultDefinition {
        id: "supply.regeneration_capacitance",
        symbol: "C_back",
        label: "Capacitance for the regenerated energy",
        measure: Measure::Capacitance,
        meaning: "just reaches the lowest absolute maximum voltage",
        formula: "2 * supply.regenerated_energy / (supply.max_voltage ^ 2 - drive.highest_voltage ^ 2)",
        source: "energy of a capacitor",
        shown: false,
        ..RESULT
    };
    HOLD_UP_CAPACITANCE: Capacitance = ResultDefinition {
        id: "supply.hold_up_capacitance",
        symbol: "C_hold",
        label: "Hold-up capacitance for the first millisecond",
        measure: Measure::Capacitance,
        meaning: "of a stall or a reversal, before the source responds",
        formula: "0.001 * supply.moving_together * drive.blocked_current / (drive.lowest_voltage - supply.voltage_needed)",
        source: "charge of a capacitor; the millisecond is common practice, no source",
        shown: false,
        ..RESULT
    };
    CAPACITANCE_NEEDED: Capacitance = ResultDefinition {
        id: "supply.capacitance_needed",
        symbol: "C_need",
        label: "Required bulk capacitance",
        measure: Measure::Capacitance,
        meaning: "for regenerated energy and hold-up",
        formula: "max(supply.regeneration_capacitance, supply.hold_up_capacitance)",
        source: "the greater of the two",
        ..RESULT
    };
    RUN_TIME: Time = ResultDefinition {
        id: "supply.run_time",
        symbol: "t_run",
        label: "Battery run time",
        measure: Measure::Time,
        meaning: "from full, at the mean current",
        formula: "supply.rated_hours * (supply.capacity / (supply.average_current * supply.rated_hours)) ^ supply.peukert_exponent",
        source: "Peukert's law in its rated-hour form above the rated current; never more than the capacity",
        ..RESULT
    };
    FUSE: ElectricCurrent = ResultDefinition {
        id: "supply.fuse",
        symbol: "I_fuse",
        label: "Supply fuse",
        measure: Measure::Current,
        meaning: "carries the worst-case current and a start or stall until the stall timeout; blows before trace, wire or pin is damaged",
        formula: "'the least standard time-lag fuse of at least 1.25 × the worst current and 1/2.75 of the stall current, and at most 0.75 × the least rating of trace, wire and pin'",
        source: "IEC 60127-2 and ISO 8820-3 for the values, from memory; the factors are common practice, no source",
        ..RESULT
    };
    FIT_CAPACITANCE: Capacitance = ResultDefinition {
        id: "fit.capacitance",
        symbol: "C_fit",
        label: "Bulk capacitor to fit",
        measure: Measure::Capacitance,
        meaning: "next standard size that also leaves a margin for the bus voltage after braking",
        formula: "'the least of the E6 series that bridges the first millisecond and keeps the voltage after braking within 0.8 of the way from the highest supply voltage to what everything survives'",
        source: "IEC 60063; electrolytic capacitors come in E6 (common practice, no source)",
        ..RESULT
    };
}
