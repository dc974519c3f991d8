//! The stepper that it replaces.

use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition,
    Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::units::{
    Angle, AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Inductance,
    Mass, MomentOfInertia, Power, Ratio, Torque, TorquePerMass,
};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Stepper,
    prefixes: &["stepper"],
    name: "Stepper",
    question: "How does a stepper compare?",
    about: "A stepper holds without an encoder and draws full current to do it. Both are calculated for the same axis.",
};

inputs! {
    stepper;

    STEP_ANGLE: Angle = Input {
        id: "stepper.step_angle",
        symbol: "θ_step",
        label: "Step angle",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::Computed("1.8°, once anything of the stepper is entered"),
        low: "0.1 deg",
        high: "90 deg",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 2,
        changed_by: ChangedBy::Nothing,
        help: "Label: 1.8° = 200 steps, 0.9° = 400",
        ..INPUT
    };
    HOLDING_TORQUE: Torque = Input {
        id: "stepper.holding_torque",
        symbol: "T_hold",
        label: "Holding torque",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::Computed("0.40 N·m, once anything of the stepper is entered"),
        low: ">0 N.m",
        high: "100 N.m",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 2,
        changed_by: ChangedBy::Nothing,
        help: "Label or listing, at rated phase current",
        ..INPUT
    };
    PHASE_CURRENT: ElectricCurrent = Input {
        id: "stepper.phase_current",
        symbol: "I_ph",
        label: "Phase current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Computed("1.2 A, once anything of the stepper is entered"),
        low: "10 mA",
        high: "20 A",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Nothing,
        help: "Label; the driver's setting if lower",
        ..INPUT
    };
    PHASE_RESISTANCE: ElectricalResistance = Input {
        id: "stepper.phase_resistance",
        symbol: "R_ph",
        label: "Phase resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::Computed("2.5 Ω, once anything of the stepper is entered"),
        low: "0.05 Ohm",
        high: "500 Ohm",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 2,
        changed_by: ChangedBy::Nothing,
        help: "Ohmmeter across one phase",
        ..INPUT
    };
    PHASE_INDUCTANCE: Inductance = Input {
        id: "stepper.phase_inductance",
        symbol: "L_ph",
        label: "Phase inductance",
        form: Form::Quantity(Measure::Inductance),
        preset: Preset::Computed("3.5 mH, once anything of the stepper is entered"),
        low: "0.05 mH",
        high: "500 mH",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "Label or LCR meter across one phase",
        ..INPUT
    };
    DRIVE_VOLTAGE: ElectricPotential = Input {
        id: "stepper.drive_voltage",
        symbol: "V_drive",
        label: "Stepper driver voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Computed("12 V, once anything of the stepper is entered"),
        low: "3 V",
        high: "100 V",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Nothing,
        help: "Supply of its driver",
        ..INPUT
    };
    MICROSTEPS: u32 = Input {
        id: "stepper.microsteps",
        symbol: "n_micro",
        label: "Microsteps per full step",
        form: Form::Whole,
        preset: Preset::Computed("16, once anything of the stepper is entered"),
        low: "1",
        high: "256",
        layer: 2,
        changed_by: ChangedBy::Nothing,
        help: "Jumpers or setting of its driver",
        ..INPUT
    };
    ROTOR_INERTIA: MomentOfInertia = Input {
        id: "stepper.rotor_inertia",
        symbol: "J_step",
        label: "Stepper rotor inertia",
        form: Form::Quantity(Measure::Inertia),
        preset: Preset::Computed("54 g·cm², once anything of the stepper is entered"),
        low: "0.1 g.cm2",
        high: "50000 g.cm2",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "Listing",
        ..INPUT
    };
    MASS: Mass = Input {
        id: "stepper.mass",
        symbol: "m_step",
        label: "Stepper mass with driver",
        form: Form::Quantity(Measure::Mass),
        preset: Preset::Computed("260 g, once anything of the stepper is entered"),
        low: ">0 kg",
        high: "20 kg",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Nothing,
        help: "Kitchen scale, motor and driver board",
        ..INPUT
    };
    STEP_ACCURACY: Ratio = Input {
        id: "stepper.step_accuracy",
        symbol: "a_step",
        label: "Step accuracy",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Computed("0.05 of a step, once anything of the stepper is entered"),
        low: "0",
        high: "0.5",
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "Listing, usually ± 5 % of a full step",
        ..INPUT
    };
}

results! {
    stepper;

    STEPS_PER_TURN: Ratio = ResultDefinition {
        id: "stepper.steps_per_turn",
        symbol: "n_steps",
        label: "Full steps per turn",
        measure: Measure::Count,
        meaning: "of its own shaft",
        formula: "2 * pi / stepper.step_angle",
        source: "definition",
        ..RESULT
    };
    ROTOR_TEETH: Ratio = ResultDefinition {
        id: "stepper.rotor_teeth",
        symbol: "z",
        label: "Rotor teeth",
        measure: Measure::Count,
        meaning: "50 for a motor of 1.8°",
        formula: "pi / (2 * stepper.step_angle)",
        source: "two-phase hybrid motor, four steps a tooth",
        ..RESULT
    };
    LOAD_ANGLE: Angle = ResultDefinition {
        id: "stepper.load_angle",
        symbol: "δ_lag",
        label: "Load angle",
        measure: Measure::Angle,
        meaning: "how far the rotor lags behind its step",
        formula: "asin(axis.load_torque / stepper.holding_torque) / stepper.rotor_teeth",
        source: "static torque curve of a hybrid stepper motor",
        ..RESULT
    };
    POSITION_ERROR: Angle = ResultDefinition {
        id: "stepper.position_error",
        symbol: "e_stepper",
        label: "Position error under the load",
        measure: Measure::Angle,
        meaning: "at its own shaft, no step lost",
        formula: "abs(stepper.load_angle) + stepper.step_accuracy * stepper.step_angle",
        source: "sum of absolute bounds",
        ..RESULT
    };
    SMALLEST_STEP: Angle = ResultDefinition {
        id: "stepper.smallest_step",
        symbol: "θ_micro",
        label: "Smallest commanded step",
        measure: Measure::Angle,
        meaning: "smoother, not more accurate",
        formula: "stepper.step_angle / stepper.microsteps",
        source: "definition",
        ..RESULT
    };
    HOLD_POWER: Power = ResultDefinition {
        id: "stepper.hold_power",
        symbol: "P_step",
        label: "Stepper holding power",
        measure: Measure::Power,
        meaning: "drawn whatever the load is",
        formula: "2 * stepper.phase_current ^ 2 * stepper.phase_resistance",
        source: "Joule's law, both phases on",
        ..RESULT
    };
    TORQUE_PER_MASS: TorquePerMass = ResultDefinition {
        id: "stepper.torque_per_mass",
        symbol: "T_step_mass",
        label: "Holding torque per mass",
        measure: Measure::TorquePerMass,
        meaning: "continuously, driver included",
        formula: "stepper.holding_torque / stepper.mass",
        source: "definition",
        ..RESULT
    };
    CORNER_SPEED: AngularVelocity = ResultDefinition {
        id: "stepper.corner_speed",
        symbol: "ω_corner",
        label: "Corner speed",
        measure: Measure::Speed,
        meaning: "above it the current no longer builds up within a step",
        formula: "2 * pi * stepper.drive_voltage / (2 * stepper.phase_inductance * stepper.phase_current * stepper.steps_per_turn)",
        source: "one rise and one fall of the current within a step (common practice, no source)",
        ..RESULT
    };
    TORQUE_AT_SPEED: Torque = ResultDefinition {
        id: "stepper.torque_at_speed",
        symbol: "T_speed",
        label: "Available torque at peak speed",
        measure: Measure::Torque,
        meaning: "an estimate, without resonance",
        formula: "0.75 * stepper.holding_torque * min(1, stepper.corner_speed / move.peak_speed)",
        source: "three quarters of the holding torque up to the corner (common practice, no source)",
        ..RESULT
    };
    TORQUE_FOR_MOVE: Torque = ResultDefinition {
        id: "stepper.torque_for_move",
        symbol: "T_stepmove",
        label: "Torque required for the move",
        measure: Measure::Torque,
        meaning: "in place of the gear motor, on the same shaft; the most over the moves asked for, ramps up and down",
        formula: "abs(axis.load_torque) + (stepper.rotor_inertia + axis.load_inertia) * move.peak_acceleration",
        source: "Newton's second law for rotation",
        ..RESULT
    };
    SPEED_WITH_LOAD: AngularVelocity = ResultDefinition {
        id: "stepper.speed_with_load",
        symbol: "ω_steploaded",
        label: "Max. speed under load",
        measure: Measure::Speed,
        meaning: "above it the stepper loses steps, or the controller's step rate ends",
        formula: "min(steps.controller_rate_limit * stepper.step_angle / stepper.microsteps, stepper.corner_speed * 0.75 * stepper.holding_torque / axis.load_torque)",
        source: "the torque estimate solved for speed (common practice, no source), within the pulses of the source",
        ..RESULT
    };
}
