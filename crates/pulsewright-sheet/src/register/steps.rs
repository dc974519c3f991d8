//! The pulses it must obey.

use super::key::{Key, PerUnit, Rational, Travel};
use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition,
    Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::units::{Angle, AngularVelocity, Frequency, Length, Ratio, Time};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Steps,
    prefixes: &["steps"],
    name: "Steps",
    question: "What must the step/dir controller be set to?",
    about: "Counts seldom divide evenly into the desired steps. The firmware's electronic gear ratio and the controller's decimal places decide whether the position drifts.",
};

inputs! {
    steps;

    WANTED_PER_TURN: Rational = Input {
        id: "steps.wanted_per_turn",
        symbol: "S_wanted",
        label: "Desired steps per output turn",
        form: Form::Exact,
        preset: Preset::LeftOut,
        low: ">0",
        high: "10000000",
        layer: 2,
        changed_by: ChangedBy::Setting,
        help: "A round number is easier to enter in the step/dir controller",
        ..INPUT
    };
    GEARING_LIMIT: f64 = Input {
        id: "steps.gearing_limit",
        symbol: "q_max",
        label: "Largest gear ratio number",
        form: Form::Whole,
        preset: Preset::Fixed("65535"),
        low: "1",
        high: "4294967295",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: the largest whole number of the electronic gear ratio's type",
        ..INPUT
    };
    CONTROLLER_RATE_LIMIT: Frequency = Input {
        id: "steps.controller_rate_limit",
        symbol: "f_source",
        label: "Max. step rate of the controller",
        form: Form::Quantity(Measure::Frequency),
        preset: Preset::Fixed("25 kHz"),
        low: "1 Hz",
        high: "20 MHz",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Manual of the step/dir controller; plain 8-bit boards 25 to 50 kHz, 32-bit 100 to 250 kHz",
        ..INPUT
    };
    PULSE_HIGH: Time = Input {
        id: "steps.pulse_high",
        symbol: "t_high",
        label: "Min. pulse high time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("3 us"),
        low: "10 ns",
        high: "10 ms",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware or input stage: shortest high time that it counts",
        ..INPUT
    };
    PULSE_LOW: Time = Input {
        id: "steps.pulse_low",
        symbol: "t_low",
        label: "Min. pulse low time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("3 us"),
        low: "10 ns",
        high: "10 ms",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware or input stage: shortest low time that it counts",
        ..INPUT
    };
    DIRECTION_SETUP: Time = Input {
        id: "steps.direction_setup",
        symbol: "t_setup",
        label: "Required DIR set-up time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("5 us"),
        low: "0 s",
        high: "10 ms",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware or input stage: DIR must be stable this long before a step edge",
        ..INPUT
    };
    SERVICE_TIME: Time = Input {
        id: "steps.service_time",
        symbol: "t_step",
        label: "CPU time per step pulse",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("2 us"),
        low: "0 s",
        high: "1 ms",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "As the CPU time per encoder edge, in the step interrupt; 0 when a timer counts the pulses",
        ..INPUT
    };
    SENT_PULSE_WIDTH: Time = Input {
        id: "steps.sent_pulse_width",
        symbol: "t_pulse",
        label: "Pulse width sent",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("5 us"),
        low: "10 ns",
        high: "10 ms",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Scope on the step output, or the setting of the step/dir controller",
        ..INPUT
    };
    SENT_DIRECTION_SETUP: Time = Input {
        id: "steps.sent_direction_setup",
        symbol: "t_lead",
        label: "DIR set-up time sent",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("10 us"),
        low: "0 s",
        high: "10 ms",
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Scope: time from the DIR change to the first step edge",
        ..INPUT
    };
    DECIMALS: u32 = Input {
        id: "steps.decimals",
        symbol: "n_dec",
        label: "Decimal places of steps/unit",
        form: Form::Whole,
        preset: Preset::Fixed("3"),
        low: "0",
        high: "9",
        layer: 2,
        changed_by: ChangedBy::Setting,
        help: "Enter a long number in the step/dir controller's setting and see what it keeps",
        ..INPUT
    };
}

results! {
    steps;

    STEPS_PER_TURN: Rational = ResultDefinition {
        id: "steps.per_turn",
        symbol: "S",
        label: "Steps per output turn",
        measure: Measure::Count,
        meaning: "as entered, or one per count",
        formula: "steps.wanted_per_turn",
        source: "definition",
        shown: false,
        ..RESULT
    };
    COUNTS_PER_STEP: Rational = ResultDefinition {
        id: "steps.counts_per_step",
        symbol: "x",
        label: "Counts per step",
        measure: Measure::Ratio,
        meaning: "exact",
        formula: "encoder.counts_per_output_turn / steps.per_turn",
        source: "definition, exact",
        ..RESULT
    };
    GEARING_NUMERATOR: Rational = ResultDefinition {
        id: "steps.gearing_numerator",
        symbol: "p_g",
        label: "Electronic gear ratio, numerator",
        measure: Measure::Count,
        meaning: "set in the firmware",
        formula: "'the fraction p/q nearest to counts per step with neither above the limit; ties take the smaller q'",
        source: "best rational approximation",
        ..RESULT
    };
    GEARING_DENOMINATOR: Rational = ResultDefinition {
        id: "steps.gearing_denominator",
        symbol: "q_g",
        label: "Electronic gear ratio, denominator",
        measure: Measure::Count,
        meaning: "set in the firmware",
        formula: "'the fraction p/q nearest to counts per step with neither above the limit; ties take the smaller q'",
        source: "best rational approximation",
        ..RESULT
    };
    GEARING_DRIFT: Angle = ResultDefinition {
        id: "steps.gearing_drift_per_turn",
        symbol: "Δφ_g",
        label: "Drift per turn from the electronic gear ratio",
        measure: Measure::Angle,
        meaning: "accumulates with every commanded turn",
        formula: "2 * pi * (steps.gearing_numerator / steps.gearing_denominator / steps.counts_per_step - 1)",
        source: "formed in exact fractions first",
        ..RESULT
    };
    ANGLE_PER_STEP: Angle = ResultDefinition {
        id: "steps.angle_per_step",
        symbol: "φ_step",
        label: "Angle per step",
        measure: Measure::Angle,
        meaning: "at the output",
        formula: "2 * pi / steps.per_turn",
        source: "definition",
        ..RESULT
    };
    TRAVEL_PER_STEP: Length = ResultDefinition {
        id: "steps.travel_per_step",
        symbol: "s_step",
        label: "Travel per step",
        measure: Measure::Length,
        meaning: "at the load",
        formula: "axis.travel_per_turn / (steps.per_turn * axis.last_stage)",
        source: "geometry",
        ..RESULT
    };
    PER_UNIT: PerUnit = ResultDefinition {
        id: "steps.per_unit",
        symbol: "k_s",
        label: "Steps per mm or ° (exact)",
        measure: Measure::PerMillimetre,
        meaning: "before rounding to the controller's decimal places",
        formula: "steps.per_turn * axis.last_stage / (1000 * axis.travel_per_turn)",
        source: "definition",
        ..RESULT
    };
    PER_UNIT_ROUNDED: PerUnit = ResultDefinition {
        id: "steps.per_unit_rounded",
        symbol: "k_set",
        label: "Steps per mm or °",
        measure: Measure::PerMillimetre,
        meaning: "rounded to the controller's decimal places: enter this",
        formula: "'rounded half away from zero at the decimals that the source keeps'",
        source: "definition",
        ..RESULT
    };
    ROUNDING_ERROR: Travel = ResultDefinition {
        id: "steps.rounding_error_over_travel",
        symbol: "e_round",
        label: "Rounding error over the move",
        measure: Measure::Angle,
        meaning: "above 0: too far",
        formula: "axis.distance_at_load * (steps.per_unit_rounded / steps.per_unit - 1)",
        source: "definition",
        ..RESULT
    };
    RATE_LIMIT: Frequency = ResultDefinition {
        id: "steps.rate_limit",
        symbol: "f_max",
        label: "Max. step rate",
        measure: Measure::Frequency,
        meaning: "the lower of controller and input",
        formula: "min(steps.controller_rate_limit, 1 / (steps.pulse_high + steps.pulse_low))",
        source: "definition",
        ..RESULT
    };
    SPEED_LIMIT: AngularVelocity = ResultDefinition {
        id: "steps.speed_limit",
        symbol: "ω_rate",
        label: "Output speed at the max. step rate",
        measure: Measure::Speed,
        meaning: "faster cannot be commanded",
        formula: "2 * pi * steps.rate_limit / steps.per_turn",
        source: "definition",
        ..RESULT
    };
    RATE_NEEDED: Frequency = ResultDefinition {
        id: "steps.rate_needed",
        symbol: "f_need",
        label: "Step rate at peak speed",
        measure: Measure::Frequency,
        meaning: "at its peak speed",
        formula: "move.peak_speed * steps.per_turn / (2 * pi)",
        source: "definition",
        ..RESULT
    };
}

/// Steps in one output turn as a factor.
pub const STEPS_NOW: Key<Ratio> = STEPS_PER_TURN.as_ratio();
