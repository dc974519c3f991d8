//! The motion asked for.

use super::key::Travel;
use super::schema::{
    ChangedBy, Form, Heading, INPUT, Input, Kind, Kinds, Preset, RESULT, ResultDefinition, Station,
    YesNo,
};
use crate::text::measure::Measure;
use pulsewright_calc::motion::{self as formulas};
use pulsewright_calc::units::{
    Acceleration, Angle, AngularAcceleration, AngularVelocity, ElectricCurrent, ElectricPotential,
    Ratio, Time, Torque, Velocity,
};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Move,
    prefixes: &["move"],
    name: "Move",
    question: "How far, how fast, how often?",
    about: "Speed sets the voltage needed. Acceleration and load set the current. The pause between moves sets the temperature, which takes many cycles to settle.",
};

choices! {
    /// Profile of the move.
    Profile { Trapezoid = "trapezoid", Smooth = "smooth", }
}

choices! {
    /// Which current flows while the axis stands at its target.
    DwellCurrent {
        NoFriction = "no_friction",
        FrictionAgainst = "friction_against",
        FrictionHelps = "friction_helps",
        Off = "off",
    }
}

choices! {
    /// How the target is approached.
    Approach { Either = "either", Centred = "centred", OneSide = "one_side", }
}

choices! {
    /// Direction of the working move.
    Direction { Lifting = "lifting", Lowering = "lowering", Both = "both", }
}

impl Direction {
    /// The same as the formulas take it.
    #[must_use]
    pub const fn formula(self) -> formulas::Direction {
        match self {
            Self::Lifting => formulas::Direction::Lifting,
            Self::Lowering => formulas::Direction::Lowering,
            Self::Both => formulas::Direction::Both,
        }
    }
}

inputs! {
    movement;

    DISTANCE: Travel = Input {
        id: "move.distance",
        symbol: "s",
        label: "Distance of the move",
        form: Form::Travel,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Torque)), "90 deg"), (Kinds::only(Kind::Turntable), "180 deg"), (Kinds::only(Kind::Belt).or(Kinds::only(Kind::Rack)), "100 mm"), (Kinds::only(Kind::Drum), "200 mm"), (Kinds::only(Kind::Screw), "10 mm")]),
        low: ">0",
        high: "1000000 turn | 10 km",
        layer: 1,
        too_little: "a move that goes nowhere needs no motor",
        changed_by: ChangedBy::Requirement,
        help: "The longest move of the job",
        ..INPUT
    };
    TIME: Time = Input {
        id: "move.time",
        symbol: "t",
        label: "Move time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Torque)), "0.5 s"), (Kinds::only(Kind::Turntable).or(Kinds::only(Kind::Rack)), "2 s"), (Kinds::only(Kind::Belt), "3 s"), (Kinds::only(Kind::Drum), "4 s"), (Kinds::only(Kind::Screw), "5 s")]),
        low: "1 ms",
        high: "10 h",
        layer: 1,
        changed_by: ChangedBy::Requirement,
        help: "Start of motion to standstill",
        ..INPUT
    };
    PROFILE: Profile = Input {
        id: "move.profile",
        symbol: "profile",
        label: "Motion profile",
        form: Form::Choice(Profile::WORDS),
        preset: Preset::Fixed("trapezoid"),
        layer: 2,
        changed_by: ChangedBy::Setting,
        help: "What your step/dir controller does: straight ramps, or rounded",
        ..INPUT
    };
    RAMP_FRACTION: Ratio = Input {
        id: "move.ramp_fraction",
        symbol: "f_ramp",
        label: "Ramp time / move time",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1/3"),
        low: "0.01",
        high: "0.5",
        layer: 3,
        too_much: "at 0.5 the two ramps fill the whole move",
        changed_by: ChangedBy::Setting,
        help: "Acceleration time / move time",
        asked_by: Some(("move.profile", &["trapezoid"])),
        ..INPUT
    };
    DWELL: Time = Input {
        id: "move.dwell",
        symbol: "t_dwell",
        label: "Dwell (hold) time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("2 s"),
        low: "0 s",
        high: "30 d",
        layer: 2,
        changed_by: ChangedBy::Requirement,
        help: "How long it holds at the target before it moves again",
        ..INPUT
    };
    DWELL_CURRENT: DwellCurrent = Input {
        id: "move.holding_current",
        symbol: "dwell_current",
        label: "Holding current",
        form: Form::Choice(DwellCurrent::WORDS),
        preset: Preset::Fixed("no_friction"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Meter in a motor lead after 10 s at the target: compare with the three holding currents",
        ..INPUT
    };
    APPROACH: Approach = Input {
        id: "move.approach",
        symbol: "approach",
        label: "Approach direction",
        form: Form::Choice(Approach::WORDS),
        preset: Preset::Fixed("either"),
        layer: 2,
        changed_by: ChangedBy::Setting,
        help: "Does the move always end coming from the same side, run past and back to the middle of the backlash, or end from either side?",
        ..INPUT
    };
    DIRECTION: Direction = Input {
        id: "move.direction",
        symbol: "direction",
        label: "Loaded direction",
        form: Form::Choice(Direction::WORDS),
        preset: Preset::Fixed("lifting"),
        layer: 2,
        changed_by: ChangedBy::Requirement,
        help: "Does the move with the load lift it, lower it, or go there and back?",
        ..INPUT
    };
    DUTY: Ratio = Input {
        id: "move.duty",
        symbol: "duty",
        label: "Duty cycle",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1"),
        low: "0",
        high: "1",
        too_much: "1 is all of the time",
        layer: 3,
        changed_by: ChangedBy::Requirement,
        help: "Share of the time spent in such cycles; the rest is switched off",
        ..INPUT
    };
    REVERSES_AT_SPEED: YesNo = Input {
        id: "move.reverses_at_speed",
        symbol: "reverses",
        label: "Reversal at full speed",
        form: Form::Choice(YesNo::WORDS),
        preset: Preset::Fixed("no"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Does your motion ever command full speed the other way without a ramp?",
        ..INPUT
    };
    PATH_TOLERANCE: Travel = Input {
        id: "move.path_tolerance",
        symbol: "e_path",
        label: "Path tolerance",
        form: Form::Travel,
        preset: Preset::LeftOut,
        low: ">0",
        high: "360 deg | 1 m",
        too_little: "no axis follows its path exactly",
        too_much: "an axis that may stray anywhere has no path",
        layer: 3,
        changed_by: ChangedBy::Requirement,
        help: "Only where the path itself matters, as for a pen or a tool; how far off it may be while it moves",
        ..INPUT
    };
}

/// Current in the terms of the workings: gears driving.
macro_rules! driving {
    ($torque:literal, $sign:literal) => {
        driving!($torque, $sign, "gears.efficiency")
    };
    ($torque:literal, $sign:literal, $efficiency:literal) => {
        concat!(
            "(", $torque, " ", $sign, " axis.load_inertia * move.peak_acceleration) / (gears.exact_ratio * ", $efficiency, " * motor.torque_constant) ",
            $sign, " motor.rotor_inertia * gears.exact_ratio * move.peak_acceleration / motor.torque_constant + motor.no_load_current"
        )
    };
}

/// The same, load driving.
macro_rules! driven {
    ($torque:literal, $sign:literal) => {
        driven!($torque, $sign, "gears.back_driving_efficiency")
    };
    ($torque:literal, $sign:literal, $efficiency:literal) => {
        concat!(
            "(", $torque, " ", $sign, " axis.load_inertia * move.peak_acceleration) * ", $efficiency, " / (gears.exact_ratio * motor.torque_constant) ",
            $sign, " motor.rotor_inertia * gears.exact_ratio * move.peak_acceleration / motor.torque_constant + motor.no_load_current"
        )
    };
}

macro_rules! steady_driving {
    ($torque:literal) => {
        steady_driving!($torque, "gears.efficiency")
    };
    ($torque:literal, $efficiency:literal) => {
        concat!(
            $torque,
            " / (gears.exact_ratio * ",
            $efficiency,
            " * motor.torque_constant) + motor.no_load_current"
        )
    };
}

macro_rules! steady_driven {
    ($torque:literal) => {
        steady_driven!($torque, "gears.back_driving_efficiency")
    };
    ($torque:literal, $efficiency:literal) => {
        concat!(
            $torque,
            " * ",
            $efficiency,
            " / (gears.exact_ratio * motor.torque_constant) + motor.no_load_current"
        )
    };
}

/// The arguments are the mean square of the load torque and that of the acceleration over its peak.
macro_rules! rms_torque {
    ($load:literal, $share:literal) => {
        concat!(
            "sqrt(((", $load, " + ", $share, " * (axis.load_inertia * move.peak_acceleration) ^ 2) * move.time + axis.holding_torque ^ 2 * move.dwell) / (move.time + move.dwell))"
        )
    };
}

pub(crate) use {driven, driving, rms_torque, steady_driven, steady_driving};

results! {
    movement;

    LOAD_LIFTING: Torque = ResultDefinition {
        id: "move.load_lifting",
        symbol: "T_L0",
        label: "Load torque before the loss of the extra reduction, lifting",
        measure: Measure::Torque,
        meaning: "the extra reduction loses its share of load and acceleration together",
        formula: "axis.torque_at_axis / axis.last_stage",
        source: "kinematics of the last stage",
        shown: false,
        ..RESULT
    };
    LOAD_LOWERING: Torque = ResultDefinition {
        id: "move.load_lowering",
        symbol: "T_R0",
        label: "Load torque before the loss of the extra reduction, lowering",
        measure: Measure::Torque,
        meaning: "the extra reduction loses its share of load and acceleration together",
        formula: "axis.return_at_axis / axis.last_stage",
        source: "kinematics of the last stage",
        shown: false,
        ..RESULT
    };
    TRAIN_EFFICIENCY: Ratio = ResultDefinition {
        id: "move.train_efficiency",
        symbol: "η_all",
        label: "Efficiency of gears and extra reduction",
        measure: Measure::Share,
        meaning: "motor driving",
        formula: "gears.efficiency * axis.reduction_efficiency",
        source: "stages in a row",
        shown: false,
        ..RESULT
    };
    TRAIN_BACK_EFFICIENCY: Ratio = ResultDefinition {
        id: "move.train_back_efficiency",
        symbol: "η_allback",
        label: "Efficiency of gears and extra reduction, load driving",
        measure: Measure::Ratio,
        meaning: "0 or below: the load must be driven even where it helps",
        formula: "(2 - 1 / axis.reduction_efficiency) * gears.back_driving_efficiency",
        source: "stages in a row",
        shown: false,
        ..RESULT
    };

    PEAK_SPEED: AngularVelocity = ResultDefinition {
        id: "move.peak_speed",
        symbol: "ω_peak",
        label: "Peak speed at the output",
        measure: Measure::Speed,
        meaning: "of the gear motor’s output",
        formula: "move.output_angle / (move.time * (1 - move.ramp_fraction))",
        source: "trapezoid",
        ..RESULT
    };
    PEAK_ACCELERATION: AngularAcceleration = ResultDefinition {
        id: "move.peak_acceleration",
        symbol: "α_peak",
        label: "Peak acceleration at the output",
        measure: Measure::AngularAcceleration,
        meaning: "of the gear motor’s output",
        formula: "move.peak_speed / (move.ramp_fraction * move.time)",
        source: "trapezoid",
        ..RESULT
    };
    OUTPUT_ANGLE: Angle = ResultDefinition {
        id: "move.output_angle",
        symbol: "φ_move",
        label: "Angle of the move at the output",
        measure: Measure::Angle,
        meaning: "what the gear motor turns",
        formula: "axis.distance_at_load / axis.travel_per_turn * 2 * pi * axis.last_stage",
        source: "geometry",
        shown: false,
        ..RESULT
    };
    PEAK_TRAVEL_SPEED: Velocity = ResultDefinition {
        id: "move.peak_travel_speed",
        symbol: "v_peak",
        label: "Peak speed of the load",
        measure: Measure::Velocity,
        meaning: "along the travel",
        formula: "move.peak_speed / axis.last_stage * axis.travel_per_turn / (2 * pi)",
        source: "definition of the travel per turn",
        ..RESULT
    };
    PEAK_TRAVEL_ACCELERATION: Acceleration = ResultDefinition {
        id: "move.peak_travel_acceleration",
        symbol: "a_peak",
        label: "Peak acceleration of the load",
        measure: Measure::Acceleration,
        meaning: "along the travel",
        formula: "move.peak_acceleration / axis.last_stage * axis.travel_per_turn / (2 * pi)",
        source: "definition of the travel per turn",
        ..RESULT
    };
    LIFTING_STARTING: ElectricCurrent = ResultDefinition {
        id: "move.lifting_starting",
        symbol: "I_start",
        label: "Accelerating current, lifting",
        measure: Measure::Current,
        meaning: "moving against the load, at the peak acceleration",
        formula: driving!("axis.load_torque", "+"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    };
    LIFTING_STEADY: ElectricCurrent = ResultDefinition {
        id: "move.lifting_steady",
        symbol: "I_run",
        label: "Current at constant speed, lifting",
        measure: Measure::Current,
        meaning: "moving against the load, between the ramps",
        formula: steady_driving!("axis.load_torque"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    };
    LIFTING_BRAKING: ElectricCurrent = ResultDefinition {
        id: "move.lifting_braking",
        symbol: "I_brake",
        label: "Decelerating current, lifting",
        measure: Measure::Current,
        meaning: "below 0 the motor brakes",
        formula: driving!("axis.load_torque", "-"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    };
    LIFTING_PEAK: ElectricCurrent = ResultDefinition {
        id: "move.lifting_peak",
        symbol: "I_move",
        label: "Peak current, lifting",
        measure: Measure::Current,
        meaning: "moving against the load, whichever its sign",
        formula: "max(max(abs(move.lifting_starting), abs(move.lifting_steady)), abs(move.lifting_braking))",
        source: "the current is linear in the acceleration",
        shown: false,
        ..RESULT
    };
    LIFTING_RMS: ElectricCurrent = ResultDefinition {
        id: "move.lifting_rms",
        symbol: "I_moverms",
        label: "RMS current, lifting",
        measure: Measure::Current,
        meaning: "moving against the load, without the dwell",
        formula: "sqrt(move.ramp_fraction * (move.lifting_starting ^ 2 + move.lifting_braking ^ 2) + (1 - 2 * move.ramp_fraction) * move.lifting_steady ^ 2)",
        source: "sum over the segments",
        shown: false,
        ..RESULT
    };
    LIFTING_VOLTAGE: ElectricPotential = ResultDefinition {
        id: "move.lifting_voltage",
        symbol: "U_move",
        label: "Peak motor voltage, lifting",
        measure: Measure::Voltage,
        meaning: "back-EMF and voltage drop, winding warm",
        formula: "motor.back_emf_constant * gears.exact_ratio * move.peak_speed + drive.total_resistance_hot * max(0, max(move.lifting_steady, max(move.lifting_starting, move.lifting_braking)))",
        source: "voltage equation of the motor",
        shown: false,
        ..RESULT
    };
    LOWERING_STARTING: ElectricCurrent = ResultDefinition {
        id: "move.lowering_starting",
        symbol: "I_start_back",
        label: "Accelerating current, lowering",
        measure: Measure::Current,
        meaning: "moving with the load, at the peak acceleration",
        formula: driving!("axis.load_torque_return", "+"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    };
    LOWERING_STEADY: ElectricCurrent = ResultDefinition {
        id: "move.lowering_steady",
        symbol: "I_run_back",
        label: "Current at constant speed, lowering",
        measure: Measure::Current,
        meaning: "moving with the load, between the ramps",
        formula: steady_driving!("axis.load_torque_return"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    };
    LOWERING_BRAKING: ElectricCurrent = ResultDefinition {
        id: "move.lowering_braking",
        symbol: "I_brake_back",
        label: "Decelerating current, lowering",
        measure: Measure::Current,
        meaning: "below 0 the motor brakes",
        formula: driving!("axis.load_torque_return", "-"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    };
    LOWERING_PEAK: ElectricCurrent = ResultDefinition {
        id: "move.lowering_peak",
        symbol: "I_move_back",
        label: "Peak current, lowering",
        measure: Measure::Current,
        meaning: "moving with the load, whichever its sign",
        formula: "max(max(abs(move.lowering_starting), abs(move.lowering_steady)), abs(move.lowering_braking))",
        source: "the current is linear in the acceleration",
        shown: false,
        ..RESULT
    };
    LOWERING_RMS: ElectricCurrent = ResultDefinition {
        id: "move.lowering_rms",
        symbol: "I_moverms_back",
        label: "RMS current, lowering",
        measure: Measure::Current,
        meaning: "moving with the load, without the dwell",
        formula: "sqrt(move.ramp_fraction * (move.lowering_starting ^ 2 + move.lowering_braking ^ 2) + (1 - 2 * move.ramp_fraction) * move.lowering_steady ^ 2)",
        source: "sum over the segments",
        shown: false,
        ..RESULT
    };
    LOWERING_VOLTAGE: ElectricPotential = ResultDefinition {
        id: "move.lowering_voltage",
        symbol: "U_move_back",
        label: "Peak motor voltage, lowering",
        measure: Measure::Voltage,
        meaning: "back-EMF and voltage drop, winding warm",
        formula: "motor.back_emf_constant * gears.exact_ratio * move.peak_speed + drive.total_resistance_hot * max(0, max(move.lowering_steady, max(move.lowering_starting, move.lowering_braking)))",
        source: "voltage equation of the motor",
        shown: false,
        ..RESULT
    };
    PEAK_CURRENT: ElectricCurrent = ResultDefinition {
        id: "move.peak_current",
        symbol: "I_peak",
        label: "Peak current",
        measure: Measure::Current,
        meaning: "over the moves and the dwell",
        formula: "max(move.lifting_peak, abs(hold.selected_current))",
        source: "torque balance at the motor shaft",
        ..RESULT
    };
    RMS_CURRENT: ElectricCurrent = ResultDefinition {
        id: "move.rms_current",
        symbol: "I_rms",
        label: "RMS current",
        measure: Measure::Current,
        meaning: "over the moves and the dwell; it heats the winding",
        formula: "sqrt((move.lifting_rms ^ 2 * move.time + hold.selected_current ^ 2 * move.dwell) / (move.time + move.dwell))",
        source: "definition of the root mean square",
        ..RESULT
    };
    PEAK_TORQUE: Torque = ResultDefinition {
        id: "move.peak_torque",
        symbol: "T_peak",
        label: "Peak torque at the output",
        measure: Measure::Torque,
        meaning: "load and acceleration together",
        formula: "abs(axis.load_torque) + axis.load_inertia * move.peak_acceleration",
        source: "torque balance at the output",
        ..RESULT
    };
    RMS_TORQUE: Torque = ResultDefinition {
        id: "move.rms_torque",
        symbol: "T_rms",
        label: "RMS torque at the output",
        measure: Measure::Torque,
        meaning: "over the moves and the dwell; it wears the gears",
        formula: rms_torque!("axis.load_torque ^ 2", "2 * move.ramp_fraction"),
        source: "closed integrals of the profile",
        ..RESULT
    };
    VOLTAGE_MARGIN: ElectricPotential = ResultDefinition {
        id: "move.voltage_margin",
        symbol: "U_margin",
        label: "Voltage headroom",
        measure: Measure::Voltage,
        meaning: "below 0 the motor cannot make the move",
        formula: "supply.voltage_beside_others - move.lifting_voltage",
        source: "voltage equation of the motor",
        ..RESULT
    };
    SHORTEST_TIME: Time = ResultDefinition {
        id: "move.shortest_time",
        symbol: "t_min",
        label: "Shortest move time",
        measure: Measure::Time,
        meaning: "within the limits of voltage, current, gears, step rate and encoder",
        formula: "'the least time in which the limits of voltage, current, gear torque, pulse rate and edge gap are kept'",
        source: "the same formulas solved for the time",
        ..RESULT
    };
}
