//! Hold and heat.

use pulsewright_calc::units::{
    AngularVelocity, ElectricCurrent, ElectricalResistance, Power, TemperatureCoefficient,
    ThermalResistance, ThermodynamicTemperature, Time, Torque,
};

use super::schema::{Heading, RESULT, ResultDefinition, Station};
use crate::text::measure::Measure;

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Heat,
    prefixes: &["hold", "heat"],
    name: "Hold and heat",
    question: "How long can it hold, and how warm does it get?",
    about: "Stall torque cannot be held: the winding overheats. Its resistance rises with temperature, so it heats faster.",
};

inputs! {
    heat;
}

results! {
    heat;

    RESISTANCE_AT_AMBIENT: ElectricalResistance = ResultDefinition {
        id: "heat.resistance_at_ambient",
        symbol: "R_a",
        label: "Winding resistance at ambient temperature",
        measure: Measure::Resistance,
        meaning: "cold",
        formula: "motor.resistance * (1 + alpha_20 * (axis.ambient_temperature - 20)) / (1 + alpha_20 * (motor.reference_temperature - 20))",
        source: "IEC 60028",
        shown: false,
        ..RESULT
    };
    COEFFICIENT: TemperatureCoefficient = ResultDefinition {
        id: "heat.coefficient",
        symbol: "β_a",
        label: "Copper temperature coefficient at ambient",
        measure: Measure::PerKelvin,
        meaning: "how fast the resistance grows",
        formula: "alpha_20 / (1 + alpha_20 * (axis.ambient_temperature - 20))",
        source: "IEC 60028",
        shown: false,
        ..RESULT
    };
    THERMAL_RESISTANCE: ThermalResistance = ResultDefinition {
        id: "heat.thermal_resistance",
        symbol: "R_th",
        label: "Thermal resistance, winding to ambient",
        measure: Measure::ThermalResistance,
        meaning: "kelvin per watt of heat",
        formula: "motor.winding_to_housing + motor.housing_to_ambient",
        source: "series connection",
        shown: false,
        ..RESULT
    };
    HOLD_CURRENT: ElectricCurrent = ResultDefinition {
        id: "hold.current",
        symbol: "I_hold",
        label: "Holding current, ideal",
        measure: Measure::Current,
        meaning: "without friction and gear losses",
        formula: "abs(axis.holding_torque) / (gears.exact_ratio * motor.torque_constant)",
        source: "statics of a gear train",
        ..RESULT
    };
    CURRENT_WORST_CASE: ElectricCurrent = ResultDefinition {
        id: "hold.current_worst_case",
        symbol: "I_settled",
        label: "Holding current, worst case (friction against)",
        measure: Measure::Current,
        meaning: "the loop stopped while lifting",
        formula: "drive.current_at_load",
        source: "torque balance through the gears",
        ..RESULT
    };
    CURRENT_BEST_CASE: ElectricCurrent = ResultDefinition {
        id: "hold.current_best_case",
        symbol: "I_relaxed",
        label: "Holding current, best case (friction helps)",
        measure: Measure::Current,
        meaning: "the loop was relaxed after stopping",
        formula: "max(0, (abs(axis.holding_torque) - axis.friction_torque) * max(0, gears.back_driving_efficiency) / (gears.exact_ratio * motor.torque_constant) - motor.no_load_current)",
        source: "torque balance of a gear train on the point of being driven back",
        ..RESULT
    };
    CREEP_BRAKED: AngularVelocity = ResultDefinition {
        id: "hold.creep_braked",
        symbol: "ω_creep",
        label: "Creep speed when braked",
        measure: Measure::Speed,
        meaning: "at the output, firmware only brakes; 0 where friction and gears hold it",
        formula: "hold.current_best_case * (motor.resistance + 2 * bridge.low_side) / (motor.back_emf_constant * gears.exact_ratio)",
        source: "torque balance of a shorted motor that is driven back",
        ..RESULT
    };
    DWELL_CURRENT: ElectricCurrent = ResultDefinition {
        id: "hold.selected_current",
        symbol: "I_dwell",
        label: "Holding current, as selected",
        measure: Measure::Current,
        meaning: "ideal, worst or best case, as chosen under Move: Holding current",
        formula: "hold.current",
        source: "definition",
        shown: false,
        ..RESULT
    };
    HOLD_POWER: Power = ResultDefinition {
        id: "hold.power",
        symbol: "P_hold",
        label: "Holding power",
        measure: Measure::Power,
        meaning: "heat in the winding once it is warm",
        formula: "hold.selected_current ^ 2 * heat.resistance_at_ambient / (1 - heat.coefficient * hold.selected_current ^ 2 * heat.resistance_at_ambient * heat.thermal_resistance)",
        source: "steady heat balance of the two nodes",
        ..RESULT
    };
    CONTINUOUS_CURRENT: ElectricCurrent = ResultDefinition {
        id: "heat.continuous_current",
        symbol: "I_cont",
        label: "Continuous current",
        measure: Measure::Current,
        meaning: "keeps the winding within its limit continuously",
        formula: "sqrt((motor.max_winding_temperature - axis.ambient_temperature) / (heat.resistance_at_ambient * (1 + heat.coefficient * (motor.max_winding_temperature - axis.ambient_temperature)) * heat.thermal_resistance))",
        source: "steady heat balance of the two nodes",
        ..RESULT
    };
    CONTINUOUS_TORQUE: Torque = ResultDefinition {
        id: "heat.continuous_torque",
        symbol: "T_cont",
        label: "Continuous torque at the output",
        measure: Measure::Torque,
        meaning: "turning continuously, within the gearbox continuous torque",
        formula: "min(gears.continuous_torque, gears.exact_ratio * gears.efficiency * motor.torque_constant * max(0, heat.continuous_current - motor.no_load_current))",
        source: "torque balance through the gears",
        ..RESULT
    };
    FRICTION_LOSS: Power = ResultDefinition {
        id: "heat.friction_loss",
        symbol: "P_f",
        label: "Motor friction loss",
        measure: Measure::Power,
        meaning: "mean over move and dwell, into the housing",
        formula: "motor.friction_torque * gears.exact_ratio * move.output_angle / (move.time + move.dwell)",
        source: "work of a constant torque",
        ..RESULT
    };
    RMS_CURRENT: ElectricCurrent = ResultDefinition {
        id: "heat.rms_current",
        symbol: "I_heat",
        label: "RMS current over the cycle",
        measure: Measure::Current,
        meaning: "ripple included",
        formula: "sqrt(move.rms_current ^ 2 + bridge.ripple_current ^ 2 / 12)",
        source: "root mean square of a triangle",
        ..RESULT
    };
    WINDING_TEMPERATURE: ThermodynamicTemperature = ResultDefinition {
        id: "heat.winding_temperature",
        symbol: "ϑ_w",
        label: "Winding temperature over the cycle",
        measure: Measure::Temperature,
        meaning: "mean, in equilibrium",
        formula: "axis.ambient_temperature + (heat.rms_current ^ 2 * heat.resistance_at_ambient * heat.thermal_resistance + heat.friction_loss * motor.housing_to_ambient) / (1 - heat.coefficient * heat.rms_current ^ 2 * heat.resistance_at_ambient * heat.thermal_resistance)",
        source: "steady heat balance of the two nodes",
        ..RESULT
    };
    WINDING_RESISTANCE: ElectricalResistance = ResultDefinition {
        id: "heat.winding_resistance",
        symbol: "R_w",
        label: "Winding resistance at that temperature",
        measure: Measure::Resistance,
        meaning: "warm copper resists more",
        formula: "heat.resistance_at_ambient * (1 + heat.coefficient * (heat.winding_temperature - axis.ambient_temperature))",
        source: "IEC 60028",
        shown: false,
        ..RESULT
    };
    HOUSING_TEMPERATURE: ThermodynamicTemperature = ResultDefinition {
        id: "heat.housing_temperature",
        symbol: "ϑ_h",
        label: "Motor housing temperature",
        measure: Measure::Temperature,
        meaning: "in equilibrium",
        formula: "axis.ambient_temperature + motor.housing_to_ambient * (heat.rms_current ^ 2 * heat.winding_resistance + heat.friction_loss)",
        source: "steady heat balance of the two nodes",
        ..RESULT
    };
    MOVE_LOSS: Power = ResultDefinition {
        id: "heat.move_loss",
        symbol: "P_m",
        label: "Winding loss while moving",
        measure: Measure::Power,
        meaning: "the warmer one of the moves in the cycle",
        formula: "(move.lifting_rms ^ 2 + bridge.ripple_current ^ 2 / 12) * heat.winding_resistance",
        source: "Joule's law",
        shown: false,
        ..RESULT
    };
    DWELL_LOSS: Power = ResultDefinition {
        id: "heat.dwell_loss",
        symbol: "P_d",
        label: "Winding loss while holding",
        measure: Measure::Power,
        meaning: "between the moves",
        formula: "(hold.selected_current ^ 2 + bridge.ripple_current ^ 2 / 12) * heat.winding_resistance",
        source: "Joule's law",
        shown: false,
        ..RESULT
    };
    CYCLE_PEAK_TEMPERATURE: ThermodynamicTemperature = ResultDefinition {
        id: "heat.cycle_peak_temperature",
        symbol: "ϑ_peak",
        label: "Peak winding temperature in the cycle",
        measure: Measure::Temperature,
        meaning: "at its warmest moment in each cycle",
        formula: "heat.housing_temperature + motor.winding_to_housing * (heat.dwell_loss + (heat.move_loss - heat.dwell_loss) * (1 - exp(-move.time / motor.winding_time_constant)) / (1 - exp(-(move.time + move.dwell) / motor.winding_time_constant)))",
        source: "steady cycling of one thermal time constant (Dubey, Fundamentals of Electrical Drives, 4.4)",
        ..RESULT
    };
    OVERHEAT_TIME: Time = ResultDefinition {
        id: "heat.overheat_time",
        symbol: "t_over",
        label: "Time until the cycle overheats the winding",
        measure: Measure::Time,
        meaning: "from cold",
        formula: "'from cold until the winding is at its limit, two nodes'",
        source: "linear system of two nodes",
        shown: false,
        ..RESULT
    };
    HOLD_TIME: Time = ResultDefinition {
        id: "heat.hold_time",
        symbol: "t_hold",
        label: "Max. hold time",
        measure: Measure::Time,
        meaning: "from cold until the winding is at its limit",
        formula: "'from cold until the winding is at its limit, two nodes'",
        source: "linear system of two nodes",
        ..RESULT
    };
    HOLD_TIME_WORST_CASE: Time = ResultDefinition {
        id: "heat.hold_time_worst_case",
        symbol: "t_most",
        label: "Max. hold time, worst case (friction against)",
        measure: Measure::Time,
        meaning: "from cold until the winding is at its limit",
        formula: "'from cold until the winding is at its limit, two nodes'",
        source: "linear system of two nodes",
        ..RESULT
    };
    STALL_TIME: Time = ResultDefinition {
        id: "heat.stall_time",
        symbol: "t_stall",
        label: "Max. stall time",
        measure: Measure::Time,
        meaning: "from cold until the winding is at its limit",
        formula: "'from cold until the winding is at its limit, two nodes; the current falls as the copper warms'",
        source: "linear system of two nodes",
        ..RESULT
    };
    TOUCH_TEMPERATURE: ThermodynamicTemperature = ResultDefinition {
        id: "heat.touch_temperature",
        symbol: "ϑ_touch",
        label: "Max. touch temperature",
        measure: Measure::Temperature,
        meaning: "for the time that bare metal may be touched",
        formula: "heat.housing_temperature",
        source: "ISO 13732-1, bare metal (from memory)",
        ..RESULT
    };
}
