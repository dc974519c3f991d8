//! The motor on this supply.

use pulsewright_calc::units::{
    AngularAcceleration, AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance,
    Force, Mass, MotorConstant, Torque,
};

use super::schema::{Heading, RESULT, ResultDefinition, Station};
use crate::text::measure::Measure;

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Drive,
    prefixes: &["drive"],
    name: "Motor on this supply",
    question: "What can this motor do on this supply?",
    about: "Motor, driver, wires and supply share one voltage. The torque–speed line is what remains for the motor. Resistance in wires and source, and a warm winding, lower it.",
};

inputs! {
    drive;

}

results! {
    drive;

    LOWEST_VOLTAGE: ElectricPotential = ResultDefinition {
        id: "drive.lowest_voltage",
        symbol: "V_least",
        label: "Lowest supply voltage in effect",
        measure: Measure::Voltage,
        meaning: "for speed, torque and the move",
        formula: "supply.voltage",
        source: "as entered, else the supply voltage",
        shown: false,
        ..RESULT
    };
    HIGHEST_VOLTAGE: ElectricPotential = ResultDefinition {
        id: "drive.highest_voltage",
        symbol: "V_most",
        label: "Highest supply voltage in effect",
        measure: Measure::Voltage,
        meaning: "for stall and reversal",
        formula: "supply.voltage",
        source: "as entered, else the supply voltage",
        shown: false,
        ..RESULT
    };
    MOTOR_RESISTANCE: ElectricalResistance = ResultDefinition {
        id: "drive.motor_resistance",
        symbol: "R_m",
        label: "Resistance of motor and driver",
        measure: Measure::Resistance,
        meaning: "behind the bulk capacitor, cold",
        formula: "motor.resistance + bridge.resistance",
        source: "series connection",
        shown: false,
        ..RESULT
    };
    SUPPLY_PATH: ElectricalResistance = ResultDefinition {
        id: "drive.supply_path_resistance",
        symbol: "R_s",
        label: "Resistance of source and cable",
        measure: Measure::Resistance,
        meaning: "before the bulk capacitor",
        formula: "supply.source_resistance + wiring.supply_resistance",
        source: "series connection",
        shown: false,
        ..RESULT
    };
    TOTAL_RESISTANCE: ElectricalResistance = ResultDefinition {
        id: "drive.total_resistance",
        symbol: "R_total",
        label: "Total circuit resistance",
        measure: Measure::Resistance,
        meaning: "winding, driver, cable and source",
        formula: "drive.motor_resistance + drive.supply_path_resistance",
        source: "series connection",
        ..RESULT
    };
    TOP_SPEED: AngularVelocity = ResultDefinition {
        id: "drive.top_speed",
        symbol: "ω_top",
        label: "Top speed at the output",
        measure: Measure::Speed,
        meaning: "at the highest supply voltage, no load",
        formula: "max(0, drive.highest_voltage - motor.no_load_current * drive.total_resistance) / (motor.back_emf_constant * gears.exact_ratio)",
        source: "voltage equation in steady state",
        shown: false,
        ..RESULT
    };
    NO_LOAD_SPEED: AngularVelocity = ResultDefinition {
        id: "drive.no_load_speed",
        symbol: "ω_free",
        label: "No-load speed at the output",
        measure: Measure::Speed,
        meaning: "cold, at full duty, nothing attached",
        formula: "max(0, supply.voltage - motor.no_load_current * drive.total_resistance) / (motor.back_emf_constant * gears.exact_ratio)",
        source: "voltage equation in steady state",
        ..RESULT
    };
    STALL_CURRENT: ElectricCurrent = ResultDefinition {
        id: "drive.stall_current",
        symbol: "I_s",
        label: "Stall current on this supply",
        measure: Measure::Current,
        meaning: "cold, at full duty, shaft held",
        formula: "supply.voltage / drive.total_resistance",
        source: "Ohm's law at standstill",
        ..RESULT
    };
    STALL_TORQUE: Torque = ResultDefinition {
        id: "drive.stall_torque",
        symbol: "T_s",
        label: "Stall torque on this supply",
        measure: Measure::Torque,
        meaning: "cold, momentary: it cannot be held",
        formula: "gears.exact_ratio * gears.efficiency * motor.torque_constant * (drive.stall_current - motor.no_load_current)",
        source: "torque balance at standstill",
        ..RESULT
    };
    CURRENT_AT_LOAD: ElectricCurrent = ResultDefinition {
        id: "drive.current_at_load",
        symbol: "I_load",
        label: "Current under load",
        measure: Measure::Current,
        meaning: "at constant speed, lifting",
        formula: "axis.load_torque / (gears.exact_ratio * gears.efficiency * motor.torque_constant) + motor.no_load_current",
        source: "torque balance through the gears",
        ..RESULT
    };
    SPEED_AT_LOAD: AngularVelocity = ResultDefinition {
        id: "drive.speed_at_load",
        symbol: "ω_load",
        label: "Speed under load",
        measure: Measure::Speed,
        meaning: "at the output, cold, at full duty",
        formula: "max(0, supply.voltage - drive.current_at_load * drive.total_resistance) / (motor.back_emf_constant * gears.exact_ratio)",
        source: "voltage equation in steady state",
        ..RESULT
    };
    FORCE_AT_RADIUS: Force = ResultDefinition {
        id: "drive.force_at_radius",
        symbol: "F_s",
        label: "Stall force at the arm length",
        measure: Measure::Force,
        meaning: "before the losses of belt, rack or screw",
        formula: "drive.stall_torque * axis.last_stage * axis.reduction_efficiency / axis.radius",
        source: "statics of the lever",
        ..RESULT
    };
    HANGING_MASS: Mass = ResultDefinition {
        id: "drive.hanging_mass",
        symbol: "m_s",
        label: "Hanging mass at stall",
        measure: Measure::Mass,
        meaning: "momentary, hung at the arm's end",
        formula: "drive.force_at_radius / g",
        source: "definition of weight",
        ..RESULT
    };
    REVERSAL_CURRENT: ElectricCurrent = ResultDefinition {
        id: "drive.reversal_current",
        symbol: "I_rev",
        label: "Reversal current at full speed",
        measure: Measure::Current,
        meaning: "the first milliseconds come from the bulk capacitor",
        formula: "(drive.highest_voltage + motor.back_emf_constant * drive.top_speed * gears.exact_ratio) / drive.motor_resistance",
        source: "voltage equation of a permanent-magnet motor, inductance left out",
        ..RESULT
    };
    HOT_WINDING: ElectricalResistance = ResultDefinition {
        id: "drive.winding_resistance_hot",
        symbol: "R_hot",
        label: "Winding resistance, warm",
        measure: Measure::Resistance,
        meaning: "at the cycle's winding temperature, at most at its limit",
        formula: "heat.resistance_at_ambient * (1 + heat.coefficient * (min(heat.winding_temperature, motor.max_winding_temperature) - axis.ambient_temperature))",
        source: "IEC 60028",
        ..RESULT
    };
    TOTAL_RESISTANCE_HOT: ElectricalResistance = ResultDefinition {
        id: "drive.total_resistance_hot",
        symbol: "R_totalhot",
        label: "Total circuit resistance, warm",
        measure: Measure::Resistance,
        meaning: "winding warm, the rest as it is",
        formula: "drive.winding_resistance_hot + bridge.resistance + drive.supply_path_resistance",
        source: "series connection",
        shown: false,
        ..RESULT
    };
    TORQUE_CONSTANT_HOT: MotorConstant = ResultDefinition {
        id: "drive.torque_constant_hot",
        symbol: "K_hot",
        label: "Torque and back-EMF constant, warm",
        measure: Measure::MotorConstant,
        meaning: "warm magnets are weaker",
        formula: "motor.torque_constant * (1 + motor.flux_coefficient * (min(heat.housing_temperature, motor.max_winding_temperature) - motor.reference_temperature))",
        source: "linear reversible coefficient of remanence (common practice, no source)",
        ..RESULT
    };
    STALL_CURRENT_HOT: ElectricCurrent = ResultDefinition {
        id: "drive.stall_current_hot",
        symbol: "I_shot",
        label: "Stall current, warm",
        measure: Measure::Current,
        meaning: "at the lowest supply voltage",
        formula: "drive.lowest_voltage / drive.total_resistance_hot",
        source: "Ohm's law at standstill",
        shown: false,
        ..RESULT
    };
    STALL_TORQUE_HOT: Torque = ResultDefinition {
        id: "drive.stall_torque_hot",
        symbol: "T_shot",
        label: "Stall torque, warm",
        measure: Measure::Torque,
        meaning: "at the lowest supply voltage",
        formula: "gears.exact_ratio * gears.efficiency * drive.torque_constant_hot * (drive.stall_current_hot - motor.no_load_current)",
        source: "torque balance at standstill",
        ..RESULT
    };
    CURRENT_AT_LOAD_HOT: ElectricCurrent = ResultDefinition {
        id: "drive.current_at_load_hot",
        symbol: "I_loadhot",
        label: "Current under load, warm",
        measure: Measure::Current,
        meaning: "with the weaker warm magnets",
        formula: "axis.load_torque / (gears.exact_ratio * gears.efficiency * drive.torque_constant_hot) + motor.no_load_current",
        source: "torque balance through the gears",
        shown: false,
        ..RESULT
    };
    SPEED_AT_LOAD_HOT: AngularVelocity = ResultDefinition {
        id: "drive.speed_at_load_hot",
        symbol: "ω_loadhot",
        label: "Speed under load, warm",
        measure: Measure::Speed,
        meaning: "at the output and the lowest supply voltage",
        formula: "max(0, supply.voltage_beside_others - drive.current_at_load_hot * drive.total_resistance_hot) / (drive.torque_constant_hot * gears.exact_ratio)",
        source: "voltage equation in steady state",
        ..RESULT
    };
    PEAK_ACCELERATION: AngularAcceleration = ResultDefinition {
        id: "drive.peak_acceleration",
        symbol: "α_s",
        label: "Peak acceleration from rest",
        measure: Measure::AngularAcceleration,
        meaning: "at the output, lifting",
        formula: "(drive.stall_torque - axis.load_torque) / (axis.load_inertia + gears.efficiency * axis.reflected_inertia)",
        source: "equation of motion of a geared load",
        ..RESULT
    };
    CURRENT_LIMIT: ElectricCurrent = ResultDefinition {
        id: "drive.current_limit",
        symbol: "I_lim",
        label: "Current limit in effect",
        measure: Measure::Current,
        meaning: "of the loop, and of a driver that limits or shuts down; a maximum rating limits nothing",
        formula: "min(bridge.current_limit, loop.current_limit)",
        source: "definition",
        shown: false,
        ..RESULT
    };
    AVAILABLE_TORQUE: Torque = ResultDefinition {
        id: "drive.available_torque",
        symbol: "T_avail",
        label: "Available torque, warm",
        measure: Measure::Torque,
        meaning: "within the current limit",
        formula: "gears.exact_ratio * gears.efficiency * drive.torque_constant_hot * (drive.stall_current_hot - motor.no_load_current)",
        source: "torque balance at standstill",
        ..RESULT
    };
    MAX_STALL_CURRENT: ElectricCurrent = ResultDefinition {
        id: "drive.max_stall_current",
        symbol: "I_smax",
        label: "Stall current at the highest supply voltage",
        measure: Measure::Current,
        meaning: "cold, before any current limit",
        formula: "drive.highest_voltage / drive.total_resistance",
        source: "Ohm's law at standstill",
        shown: false,
        ..RESULT
    };
    BLOCKED_CURRENT: ElectricCurrent = ResultDefinition {
        id: "drive.blocked_current",
        symbol: "I_jam",
        label: "Stall current (blocked)",
        measure: Measure::Current,
        meaning: "a position loop applies full duty when it is blocked",
        formula: "loop.voltage_limit * drive.max_stall_current",
        source: "Ohm's law at standstill",
        ..RESULT
    };
    UNLIMITED_CURRENT: ElectricCurrent = ResultDefinition {
        id: "drive.unlimited_current",
        symbol: "I_start",
        label: "Starting or stall current before driver limiting",
        measure: Measure::Current,
        meaning: "what a bridge meets that neither chops nor has tripped yet",
        formula: "loop.voltage_limit * drive.max_stall_current",
        source: "Ohm's law at standstill",
        shown: false,
        ..RESULT
    };
    BLOCKED_TORQUE: Torque = ResultDefinition {
        id: "drive.blocked_torque",
        symbol: "T_jam",
        label: "Stall torque (blocked)",
        measure: Measure::Torque,
        meaning: "on the gears",
        formula: "gears.exact_ratio * gears.efficiency * motor.torque_constant * (drive.blocked_current - motor.no_load_current)",
        source: "torque balance at standstill",
        ..RESULT
    };
}
