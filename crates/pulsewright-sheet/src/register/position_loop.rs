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
    question: "Which gains are a good start, and what is the phase margin?",
    about: "The gains are start values from the motor's time constants. Encoder resolution and backlash limit the bandwidth: above it there is D-term chatter or a limit cycle (hunting).",
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
        label: "Loop delay (samples)",
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
        label: "Target bandwidth",
        form: Form::Quantity(Measure::Frequency),
        preset: Preset::Computed("4 Hz, or a tenth of a lower sampling rate, or 0.8 of what keeps the phase margin where that is less"),
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
        preset: Preset::Computed("0.2 s, or where no bandwidth is entered the next of 0.5, 1, 2, 5 s and so on with which the loop keeps its phase margin"),
        low: "5 ms",
        high: "100 s",
        layer: 2,
        none: true,
        changed_by: ChangedBy::Setting,
        help: "Firmware; none only where the load does not push at rest",
        ..INPUT
    };
    FEED_FORWARD: Ratio = Input {
        id: "loop.feed_forward",
        symbol: "k_ff",
        label: "Velocity feed-forward",
        form: Form::Quantity(Measure::Ratio),
        // With 1 the lag is less, but pulses come whole: a sample holds one more or one less, and the peak current of the
        // turntable is simulated with ten times that of the smooth move.
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
        label: "Max. duty cycle",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1"),
        low: "0.05",
        high: "1",
        too_much: "1 is all that the supply gives",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: largest share of full duty that the loop may ask",
        ..INPUT
    };
    CURRENT_LIMIT: ElectricCurrent = Input {
        id: "loop.current_limit",
        symbol: "I_loop",
        label: "Loop current limit",
        form: Form::Quantity(Measure::Current),
        preset: Preset::LeftOut,
        low: "10 mA",
        high: "200 A",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware or driver: current at which the loop limits itself; empty: the driver's own if it limits",
        ..INPUT
    };
    ERROR_LIMIT: u32 = Input {
        id: "loop.error_limit",
        symbol: "e_limit",
        label: "Following-error limit",
        form: Form::Whole,
        preset: Preset::LeftOut,
        low: "1",
        high: "1000000",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: error at which it stops with a fault",
        ..INPUT
    };
    STALL_TIMEOUT: Time = Input {
        id: "loop.stall_timeout",
        symbol: "t_stall",
        label: "Stall timeout",
        form: Form::Quantity(Measure::Time),
        preset: Preset::LeftOut,
        low: "10 ms",
        high: "1000 s",
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: seconds of full drive without motion before it switches off",
        ..INPUT
    };
    ON_TARGET: OnTarget = Input {
        id: "loop.on_target",
        symbol: "on_target",
        label: "Behaviour on target",
        form: Form::Choice(OnTarget::WORDS),
        preset: Preset::Fixed("drive"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Firmware: what it does once on target: drive on, brake, or release",
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
        label: "Step-test amplitude",
        form: Form::Travel,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Torque)), "10 deg"), (Kinds::only(Kind::Belt).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)), "5 mm")]),
        low: ">0",
        high: "100 turn | 1 m",
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "A jump big enough to see, small enough not to hit a stop",
        ..INPUT
    };
    SETTLING_TARGET: Time = Input {
        id: "loop.settling_target",
        symbol: "t_asked",
        label: "Target settling time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::LeftOut,
        low: "1 ms",
        high: "1 s",
        layer: 2,
        help: "From the end of the move until the load stays within its tolerance; tuning aims at it, or at 0.25 s",
        ..INPUT
    };
}

results! {
    position_loop;

    INERTIA: MomentOfInertia = ResultDefinition {
        id: "loop.inertia",
        symbol: "J_m",
        label: "Total inertia at the motor shaft",
        measure: Measure::Inertia,
        meaning: "rotor and load, gears in contact",
        formula: "motor.rotor_inertia + axis.load_inertia / (gears.exact_ratio ^ 2 * gears.efficiency)",
        source: "power balance of a gear train",
        shown: false,
        ..RESULT
    };
    TIME_CONSTANT: Time = ResultDefinition {
        id: "loop.time_constant",
        symbol: "τ",
        label: "Mechanical time constant with load",
        measure: Measure::Time,
        meaning: "to 63 % of its speed, load and driver included",
        formula: "drive.motor_resistance * loop.inertia / (motor.torque_constant * motor.back_emf_constant)",
        source: "transfer function of a permanent-magnet motor",
        ..RESULT
    };
    FREE_TIME_CONSTANT: Time = ResultDefinition {
        id: "loop.free_time_constant",
        symbol: "τ_free",
        label: "Mechanical time constant within the backlash",
        measure: Measure::Time,
        meaning: "the motor without its load",
        formula: "drive.motor_resistance * motor.rotor_inertia / (motor.torque_constant * motor.back_emf_constant)",
        source: "transfer function of a permanent-magnet motor",
        shown: false,
        ..RESULT
    };
    ELECTRICAL_TIME_CONSTANT: Time = ResultDefinition {
        id: "loop.electrical_time_constant",
        symbol: "τ_el",
        label: "Electrical time constant with driver",
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
        label: "Proportional gain Kp",
        measure: Measure::ProportionalGain,
        meaning: "volts per radian of the motor shaft",
        formula: "(2 * pi * loop.bandwidth) ^ 2 * loop.time_constant * motor.back_emf_constant",
        source: "pole placement for a second-order plant",
        ..RESULT
    };
    DERIVATIVE_GAIN: DerivativeGain = ResultDefinition {
        id: "loop.derivative_gain",
        symbol: "K_d",
        label: "Derivative gain Kd",
        measure: Measure::VoltagePerSpeed,
        meaning: "volts per radian per second of the motor shaft",
        formula: "max(0, 2 * loop.damping * 2 * pi * loop.bandwidth * loop.time_constant - 1) * motor.back_emf_constant",
        source: "pole placement for a second-order plant",
        ..RESULT
    };
    PROPORTIONAL_PER_COUNT: ElectricPotential = ResultDefinition {
        id: "loop.proportional_per_count",
        symbol: "U_count",
        label: "Voltage per count of error",
        measure: Measure::Voltage,
        meaning: "what one count off asks of the bridge",
        formula: "loop.proportional_gain * 2 * pi / encoder.counts_per_motor_turn",
        source: "change of units",
        ..RESULT
    };
    PROPORTIONAL_STEPS: Ratio = ResultDefinition {
        id: "loop.proportional_steps",
        symbol: "k_p",
        label: "Proportional gain Kp (PWM steps per count)",
        measure: Measure::Ratio,
        meaning: "for the firmware",
        formula: "loop.proportional_per_count * loop.pwm_resolution / supply.voltage",
        source: "change of units",
        ..RESULT
    };
    INTEGRAL_STEPS: Ratio = ResultDefinition {
        id: "loop.integral_steps",
        symbol: "k_i",
        label: "Integral gain Ki (PWM steps per count per sample)",
        measure: Measure::Ratio,
        meaning: "for the firmware",
        formula: "loop.proportional_steps * loop.sample_time / loop.integral_time",
        source: "change of units",
        ..RESULT
    };
    DERIVATIVE_STEPS: Ratio = ResultDefinition {
        id: "loop.derivative_steps",
        symbol: "k_d",
        label: "Derivative gain Kd (PWM steps per count/sample)",
        measure: Measure::Ratio,
        meaning: "for the firmware",
        formula: "loop.derivative_gain * loop.speed_quantum * loop.pwm_resolution / supply.voltage",
        source: "change of units",
        ..RESULT
    };
    SPEED_QUANTUM: AngularVelocity = ResultDefinition {
        id: "loop.speed_quantum",
        symbol: "ω_q",
        label: "Speed resolution of the loop",
        measure: Measure::Speed,
        meaning: "one count in one sample, at the motor shaft",
        formula: "2 * pi / (encoder.counts_per_motor_turn * loop.sample_time)",
        source: "definition",
        ..RESULT
    };
    DERIVATIVE_KICK: Ratio = ResultDefinition {
        id: "loop.derivative_kick",
        symbol: "u_kick",
        label: "D-term step per count",
        measure: Measure::Share,
        meaning: "share of the supply; above 0.2 the D-term chatters",
        formula: "loop.derivative_gain * loop.speed_quantum / supply.voltage",
        source: "quantisation of a difference",
        ..RESULT
    };
    WORST_TIME_CONSTANT: Time = ResultDefinition {
        id: "loop.worst_time_constant",
        symbol: "τ_w",
        label: "Time constant with the smaller phase margin",
        measure: Measure::Time,
        meaning: "gears in contact, or the motor alone within the backlash",
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
        formula: "loop.proportional_gain ^ 2 + (2 * pi * loop.crossover * loop.derivative_gain - loop.proportional_gain / (2 * pi * loop.crossover * loop.integral_time)) ^ 2 = (motor.back_emf_constant * 2 * pi * loop.crossover) ^ 2 * ((2 * pi * loop.crossover * loop.worst_time_constant) ^ 2 + 1) * ((2 * pi * loop.crossover * loop.electrical_time_constant) ^ 2 + 1)",
        source: "gain of the open loop is 1",
        ..RESULT
    };
    PHASE_MARGIN: Angle = ResultDefinition {
        id: "loop.phase_margin",
        symbol: "φ_m",
        label: "Phase margin",
        measure: Measure::Angle,
        meaning: "at least 40°, integral part included; the smaller of gears in contact and motor within the backlash",
        formula: "pi / 2 + atan(2 * pi * loop.crossover * loop.derivative_gain / loop.proportional_gain - 1 / (2 * pi * loop.crossover * loop.integral_time)) - atan(2 * pi * loop.crossover * loop.worst_time_constant) - atan(2 * pi * loop.crossover * loop.electrical_time_constant) - (0.5 + loop.delay) * loop.sample_time * 2 * pi * loop.crossover",
        source: "phase of the open loop at its crossover, half a sample for the hold; of several crossovers the one that leaves the least",
        ..RESULT
    };
    BANDWIDTH_LIMIT: Frequency = ResultDefinition {
        id: "loop.bandwidth_limit",
        symbol: "f_most",
        label: "Max. useful bandwidth",
        measure: Measure::Frequency,
        meaning: "within the limits of D-term chatter and phase margin",
        formula: "'the greatest bandwidth whose gains keep the D-term step per count at 0.2 or less and the phase margin at 40° or more'",
        source: "both limits are common practice, no source",
        ..RESULT
    };
    STATIC_STIFFNESS: Stiffness = ResultDefinition {
        id: "loop.static_stiffness",
        symbol: "k_loop",
        label: "Servo stiffness",
        measure: Measure::Stiffness,
        meaning: "at the output, without the integral part",
        formula: "gears.exact_ratio ^ 2 * loop.proportional_gain * motor.torque_constant / drive.motor_resistance",
        source: "steady state of motor and proportional controller",
        ..RESULT
    };
    DROOP: Angle = ResultDefinition {
        id: "loop.steady_state_error",
        symbol: "φ_droop",
        label: "Steady-state error",
        measure: Measure::Angle,
        meaning: "at the output",
        formula: "loop.deadband * encoder.angle_per_count",
        source: "steady state of the loop",
        ..RESULT
    };
    FOLLOWING_ERROR: Angle = ResultDefinition {
        id: "loop.following_error",
        symbol: "φ_lag",
        label: "Following error at peak speed",
        measure: Measure::Angle,
        meaning: "at the output, without feed-forward and integral part",
        formula: "((motor.back_emf_constant + loop.derivative_gain) * gears.exact_ratio * move.peak_speed + drive.motor_resistance * drive.current_at_load) / (loop.proportional_gain * gears.exact_ratio)",
        source: "steady state of motor and controller",
        ..RESULT
    };
    STIFFNESS_NOW: Stiffness = ResultDefinition {
        id: "gears.stiffness",
        symbol: "k",
        label: "Torsional stiffness in effect",
        measure: Measure::Stiffness,
        meaning: "entered, or estimated from the stall torque",
        formula: "drive.stall_torque / 0.02",
        source: "0.02 rad of twist at the stall torque (common practice, no source)",
        shown: false,
        ..RESULT
    };
    RESONANCE: Frequency = ResultDefinition {
        id: "loop.resonance",
        symbol: "f_res",
        label: "Resonance frequency of motor and load",
        measure: Measure::Frequency,
        meaning: "keep the bandwidth well below",
        formula: "sqrt(gears.stiffness * (1 / axis.load_inertia + 1 / axis.reflected_inertia)) / (2 * pi)",
        source: "two bodies on a torsion spring",
        ..RESULT
    };
    STEP_RAMP: Time = ResultDefinition {
        id: "loop.step_ramp",
        symbol: "t_pulses",
        label: "Step test: time of its pulses",
        measure: Measure::Time,
        meaning: "the step/dir controller sends no more steps in a second than it can",
        formula: "'the steps of the jump at the max. step rate of the controller'",
        source: "quotient",
        ..RESULT
    };
}
