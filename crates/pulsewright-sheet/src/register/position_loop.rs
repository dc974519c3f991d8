//! The position loop.

use super::key::Travel;
use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Kind, Kinds, Preset, RESULT,
    ResultDefinition, Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::position_loop::{DerivativeGain, ProportionalGain};
use pulsewright_calc::units::{
    Angle, AngularVelocity, ElectricCurrent, ElectricPotential, Frequency, MomentOfInertia, Ratio,
    Stiffness, Time,
};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Loop,
    prefixes: &["loop"],
    name: "Loop",
    question: "Which gains to begin with, and how much room has the loop?",
    about: "Gains are start values from the motor's own time constants. Counts are coarse, and free play lets the motor run without its load: a loop asked to be quicker than both allow rattles or hunts for ever between two counts.",
};

choices! {
    /// What the loop does once it stands on target.
    OnTarget { Drive = "drive", Brake = "brake", Release = "release", }
}

inputs! {
    position_loop;

    SAMPLE_TIME: Time = Input {
        id: "loop.sample_time",
        symbol: "T_s",
        label: "Sample time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("1 ms"),
        low: "10 us",
        high: "100 ms",
        default_tolerance: DefaultTolerance::Within("1 %"),
        layer: 2,
        changed_by: ChangedBy::Setting,
        help: "Firmware: period of the control interrupt",
        ..INPUT
    };
    DELAY: u32 = Input {
        id: "loop.delay",
        symbol: "n_delay",
        label: "Samples from count to PWM",
        form: Form::Whole,
        preset: Preset::Fixed("1"),
        low: "0",
        high: "5",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: samples between reading the count and the new PWM",
        ..INPUT
    };
    BANDWIDTH: Frequency = Input {
        id: "loop.bandwidth",
        symbol: "f_b",
        label: "Bandwidth asked for",
        form: Form::Quantity(Measure::Frequency),
        preset: Preset::Computed("4 Hz, or a tenth of a lower sampling rate"),
        low: "0.01 Hz",
        high: "10 kHz",
        layer: 2,
        changed_by: ChangedBy::Setting,
        help: "Start at 4 Hz; a target, not a reading",
        ..INPUT
    };
    DAMPING: Ratio = Input {
        id: "loop.damping",
        symbol: "ζ",
        label: "Damping ratio",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1.0"),
        low: "0.4",
        high: "1",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "1 = no overshoot; 0.7 = quickest with a little",
        ..INPUT
    };
    INTEGRAL_TIME: Time = Input {
        id: "loop.integral_time",
        symbol: "T_i",
        label: "Integral time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("0.2 s"),
        low: "5 ms",
        high: "100 s",
        layer: 2,
        none: true,
        changed_by: ChangedBy::Setting,
        help: "Firmware; none only where the load never pushes at rest",
        ..INPUT
    };
    FEED_FORWARD: Ratio = Input {
        id: "loop.feed_forward",
        symbol: "k_ff",
        label: "Feed-forward of the speed",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("0"),
        low: "0",
        high: "1.5",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: share of the commanded speed added",
        ..INPUT
    };
    VOLTAGE_LIMIT: Ratio = Input {
        id: "loop.voltage_limit",
        symbol: "u_max",
        label: "Largest duty",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1"),
        low: "0.05",
        high: "1",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: largest share of full duty that the loop may ask",
        ..INPUT
    };
    CURRENT_LIMIT: ElectricCurrent = Input {
        id: "loop.current_limit",
        symbol: "I_loop",
        label: "Current limit of the loop",
        form: Form::Quantity(Measure::Current),
        preset: Preset::LeftOut,
        low: "10 mA",
        high: "200 A",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware or bridge: current at which the loop holds back; left out: the bridge's own if it chops",
        ..INPUT
    };
    ERROR_LIMIT: u32 = Input {
        id: "loop.error_limit",
        symbol: "e_limit",
        label: "Error at which it gives up",
        form: Form::Whole,
        preset: Preset::LeftOut,
        low: "1",
        high: "1000000",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: error at which it gives up and says so",
        ..INPUT
    };
    STALL_TIMEOUT: Time = Input {
        id: "loop.stall_timeout",
        symbol: "t_stall",
        label: "Time at full drive before it lets go",
        form: Form::Quantity(Measure::Time),
        preset: Preset::LeftOut,
        low: "10 ms",
        high: "1000 s",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: seconds of full drive without motion before it lets go",
        ..INPUT
    };
    ON_TARGET: OnTarget = Input {
        id: "loop.on_target",
        symbol: "on_target",
        label: "What it does on target",
        form: Form::Choice(OnTarget::WORDS),
        preset: Preset::Fixed("drive"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: what it does once it stands on target: drive on, brake, or release",
        ..INPUT
    };
    PWM_RESOLUTION: u32 = Input {
        id: "loop.pwm_resolution",
        symbol: "n_pwm",
        label: "PWM resolution",
        form: Form::Whole,
        preset: Preset::Fixed("1000"),
        low: "16",
        high: "65535",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Timer clock / PWM frequency",
        ..INPUT
    };
    DEADBAND: u32 = Input {
        id: "loop.deadband",
        symbol: "n_dead",
        label: "Deadband",
        form: Form::Whole,
        preset: Preset::Fixed("1"),
        low: "0",
        high: "1000",
        layer: 2,
        changed_by: ChangedBy::Setting,
        help: "Firmware: error left alone at rest",
        ..INPUT
    };
    STEP_TEST: Travel = Input {
        id: "loop.step_test",
        symbol: "s_test",
        label: "Step of the step test",
        form: Form::Travel,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Torque)), "10 deg"), (Kinds::only(Kind::Belt).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)), "5 mm")]),
        low: ">0",
        high: "100 turn | 1 m",
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "A jump big enough to see, small enough not to hit a stop",
        ..INPUT
    };
    SETTLING_ASKED: Time = Input {
        id: "loop.settling_asked",
        symbol: "t_asked",
        label: "Settling time asked for",
        form: Form::Quantity(Measure::Time),
        preset: Preset::LeftOut,
        low: "1 ms",
        high: "1 s",
        layer: 2,
        help: "From the end of the move until the load stays within its error; tuning aims at it, or at 0.25 s",
        ..INPUT
    };
}

results! {
    position_loop;

    INERTIA: MomentOfInertia = ResultDefinition {
        id: "loop.inertia",
        symbol: "J_m",
        label: "Inertia at the motor shaft, gears meshed",
        measure: Measure::Inertia,
        meaning: "rotor and load together",
        formula: "motor.rotor_inertia + axis.load_inertia / (gears.exact_ratio ^ 2 * gears.efficiency)",
        source: "power balance of a gear train",
        shown: false,
        ..RESULT
    };
    TIME_CONSTANT: Time = ResultDefinition {
        id: "loop.time_constant",
        symbol: "τ",
        label: "Mechanical time constant with the load",
        measure: Measure::Time,
        meaning: "to 63 % of its speed, load and bridge included",
        formula: "drive.motor_resistance * loop.inertia / (motor.torque_constant * motor.back_emf_constant)",
        source: "transfer function of a permanent-magnet motor",
        ..RESULT
    };
    FREE_TIME_CONSTANT: Time = ResultDefinition {
        id: "loop.free_time_constant",
        symbol: "τ_free",
        label: "Mechanical time constant in the free play",
        measure: Measure::Time,
        meaning: "the motor without its load, between two flanks",
        formula: "drive.motor_resistance * motor.rotor_inertia / (motor.torque_constant * motor.back_emf_constant)",
        source: "transfer function of a permanent-magnet motor",
        shown: false,
        ..RESULT
    };
    ELECTRICAL_TIME_CONSTANT: Time = ResultDefinition {
        id: "loop.electrical_time_constant",
        symbol: "τ_el",
        label: "Electrical time constant with the bridge",
        measure: Measure::Time,
        meaning: "to 63 % of the current, shaft held",
        formula: "motor.inductance / drive.motor_resistance",
        source: "current rise in R and L",
        shown: false,
        ..RESULT
    };
    PROPORTIONAL_GAIN: ProportionalGain = ResultDefinition {
        id: "loop.proportional_gain",
        symbol: "K_p",
        label: "Proportional gain",
        measure: Measure::ProportionalGain,
        meaning: "volts for each radian of the motor shaft",
        formula: "(2 * pi * loop.bandwidth) ^ 2 * loop.time_constant * motor.back_emf_constant",
        source: "pole placement for a second-order plant",
        ..RESULT
    };
    DERIVATIVE_GAIN: DerivativeGain = ResultDefinition {
        id: "loop.derivative_gain",
        symbol: "K_d",
        label: "Derivative gain",
        measure: Measure::DerivativeGain,
        meaning: "volts for each radian per second of the motor shaft",
        formula: "max(0, 2 * loop.damping * 2 * pi * loop.bandwidth * loop.time_constant - 1) * motor.back_emf_constant",
        source: "pole placement for a second-order plant",
        ..RESULT
    };
    PROPORTIONAL_PER_COUNT: ElectricPotential = ResultDefinition {
        id: "loop.proportional_per_count",
        symbol: "U_count",
        label: "Voltage for one count of error",
        measure: Measure::Voltage,
        meaning: "what one count off asks of the bridge",
        formula: "loop.proportional_gain * 2 * pi / encoder.counts_per_motor_turn",
        source: "change of units",
        ..RESULT
    };
    PROPORTIONAL_STEPS: Ratio = ResultDefinition {
        id: "loop.proportional_steps",
        symbol: "k_p",
        label: "Proportional gain, PWM steps for one count",
        measure: Measure::Ratio,
        meaning: "the firmware's number",
        formula: "loop.proportional_per_count * loop.pwm_resolution / supply.voltage",
        source: "change of units",
        ..RESULT
    };
    INTEGRAL_STEPS: Ratio = ResultDefinition {
        id: "loop.integral_steps",
        symbol: "k_i",
        label: "Integral gain, PWM steps for one count in one sample",
        measure: Measure::Ratio,
        meaning: "the firmware's number",
        formula: "loop.proportional_steps * loop.sample_time / loop.integral_time",
        source: "change of units",
        ..RESULT
    };
    DERIVATIVE_STEPS: Ratio = ResultDefinition {
        id: "loop.derivative_steps",
        symbol: "k_d",
        label: "Derivative gain, PWM steps for one count a sample",
        measure: Measure::Ratio,
        meaning: "the firmware's number",
        formula: "loop.derivative_gain * loop.speed_quantum * loop.pwm_resolution / supply.voltage",
        source: "change of units",
        ..RESULT
    };
    SPEED_QUANTUM: AngularVelocity = ResultDefinition {
        id: "loop.speed_quantum",
        symbol: "ω_q",
        label: "Smallest speed step that the loop sees",
        measure: Measure::Speed,
        meaning: "one count in one sample, at the motor shaft",
        formula: "2 * pi / (encoder.counts_per_motor_turn * loop.sample_time)",
        source: "definition",
        ..RESULT
    };
    DERIVATIVE_KICK: Ratio = ResultDefinition {
        id: "loop.derivative_kick",
        symbol: "u_kick",
        label: "Kick of one count through the derivative",
        measure: Measure::Share,
        meaning: "share of the supply; above 0.2 it rattles",
        formula: "loop.derivative_gain * loop.speed_quantum / supply.voltage",
        source: "quantisation of a difference",
        ..RESULT
    };
    WORST_TIME_CONSTANT: Time = ResultDefinition {
        id: "loop.worst_time_constant",
        symbol: "τ_w",
        label: "Time constant of the lesser margin",
        measure: Measure::Time,
        meaning: "load meshed, or the motor alone in the free play",
        formula: "loop.time_constant",
        source: "the lesser of both phase margins",
        shown: false,
        ..RESULT
    };
    CROSSOVER: Frequency = ResultDefinition {
        id: "loop.crossover",
        symbol: "f_c",
        label: "Crossover frequency",
        measure: Measure::Frequency,
        meaning: "where the loop's gain falls through 1",
        formula: "loop.proportional_gain ^ 2 + (2 * pi * loop.crossover * loop.derivative_gain) ^ 2 = (motor.back_emf_constant * 2 * pi * loop.crossover) ^ 2 * ((2 * pi * loop.crossover * loop.worst_time_constant) ^ 2 + 1) * ((2 * pi * loop.crossover * loop.electrical_time_constant) ^ 2 + 1)",
        source: "gain of the open loop is 1",
        ..RESULT
    };
    PHASE_MARGIN: Angle = ResultDefinition {
        id: "loop.phase_margin",
        symbol: "φ_m",
        label: "Phase margin",
        measure: Measure::Angle,
        meaning: "40° or more; the lesser of load meshed and motor in the free play",
        formula: "pi / 2 + atan(2 * pi * loop.crossover * loop.derivative_gain / loop.proportional_gain) - atan(2 * pi * loop.crossover * loop.worst_time_constant) - atan(2 * pi * loop.crossover * loop.electrical_time_constant) - (0.5 + loop.delay) * loop.sample_time * 2 * pi * loop.crossover",
        source: "phase of the open loop at its crossover, half a sample for the hold",
        ..RESULT
    };
    BANDWIDTH_LIMIT: Frequency = ResultDefinition {
        id: "loop.bandwidth_limit",
        symbol: "f_most",
        label: "Largest bandwidth worth asking for",
        measure: Measure::Frequency,
        meaning: "the derivative stays quiet and the phase margin stays",
        formula: "'the greatest bandwidth whose gains keep the derivative kick at 0.2 or less and the phase margin at 40° or more'",
        source: "both limits are common practice, no source",
        ..RESULT
    };
    STATIC_STIFFNESS: Stiffness = ResultDefinition {
        id: "loop.static_stiffness",
        symbol: "k_loop",
        label: "Stiffness of the resting loop",
        measure: Measure::Stiffness,
        meaning: "at the output, before the integral part helps",
        formula: "gears.exact_ratio ^ 2 * loop.proportional_gain * motor.torque_constant / drive.motor_resistance",
        source: "steady state of motor and proportional controller",
        ..RESULT
    };
    DROOP: Angle = ResultDefinition {
        id: "loop.droop",
        symbol: "φ_droop",
        label: "What the loop leaves at rest",
        measure: Measure::Angle,
        meaning: "at the output",
        formula: "loop.deadband * encoder.angle_per_count",
        source: "steady state of the loop",
        ..RESULT
    };
    SPEED_LAG: Angle = ResultDefinition {
        id: "loop.speed_lag",
        symbol: "φ_lag",
        label: "Lag at the peak speed of the move",
        measure: Measure::Angle,
        meaning: "at the output, no feed-forward and no integral part",
        formula: "((motor.back_emf_constant + loop.derivative_gain) * gears.exact_ratio * move.peak_speed + drive.motor_resistance * drive.current_at_load) / (loop.proportional_gain * gears.exact_ratio)",
        source: "steady state of motor and controller",
        ..RESULT
    };
    STIFFNESS_NOW: Stiffness = ResultDefinition {
        id: "gears.stiffness",
        symbol: "k",
        label: "Torsional stiffness in effect",
        measure: Measure::Stiffness,
        meaning: "given, or guessed from the stall torque",
        formula: "drive.stall_torque / 0.02",
        source: "0.02 rad of twist at the stall torque (common practice, no source)",
        shown: false,
        ..RESULT
    };
    RESONANCE: Frequency = ResultDefinition {
        id: "loop.resonance",
        symbol: "f_res",
        label: "Resonance of motor and load through the gears",
        measure: Measure::Frequency,
        meaning: "keep the bandwidth well below",
        formula: "sqrt(gears.stiffness * (1 / axis.load_inertia + 1 / axis.reflected_inertia)) / (2 * pi)",
        source: "two bodies on a torsion spring",
        ..RESULT
    };
}
