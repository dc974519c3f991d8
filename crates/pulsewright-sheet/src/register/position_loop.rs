//! The position loop.

use pulsewright_calc::position_loop::{
    self as formulas, DerivativeGain, Firmware, Gains, Margin, Plant, ProportionalGain, Sampling,
};
use pulsewright_calc::units::{
    Angle, AngularVelocity, ElectricCurrent, ElectricPotential, Frequency, MomentOfInertia, Ratio,
    Stiffness, Time,
};
use uom::si::angle::degree;

use super::axis::{self, Kind};
use super::{
    Form, INPUT, Input, Key, Kinds, Means, Must, Outcome, Preset, RESULT, Rule, Station, Sure,
    Travel, drive, encoder, gears, heat, motor, movement, supply,
};
use crate::check::{Check, Room};
use crate::eval::{Absent, BEYOND, Eval};
use crate::finding::{Finding, Severity};
use crate::unit::Measure;

/// Twist under the stall torque of gears whose stiffness is not given, rad (common practice, no
/// source).
const STALL_TWIST: f64 = 0.02;

choices! {
    /// What the loop does once it stands on target.
    OnTarget { Drive = "drive", Brake = "brake", Release = "release", }
}

fn tenth_of_sampling(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok(0.1 / c.bare(SAMPLE_TIME)?)
}

fn bandwidth(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok((0.1 / c.get(SAMPLE_TIME)?.value).min(4.0))
}

inputs! {
    after super::drive;

    SAMPLE_TIME: Time = Input {
        id: "loop.sample_time",
        symbol: "T_s",
        label: "Sample time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("1 ms"),
        low: "10 us",
        high: "100 ms",
        sure: Sure::Within("1 %"),
        layer: 2,
        means: Means::Setting,
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
        means: Means::Setting,
        help: "Firmware: samples between reading the count and the new PWM",
        ..INPUT
    };
    BANDWIDTH: Frequency = Input {
        id: "loop.bandwidth",
        symbol: "f_b",
        label: "Bandwidth asked for",
        form: Form::Quantity(Measure::Frequency),
        preset: Preset::From(bandwidth, "4 Hz, or a tenth of a lower sampling rate"),
        low: "0.01 Hz",
        high: "10 kHz",
        layer: 2,
        rules: &[Rule { must: Must::AtMost, than: tenth_of_sampling, name: "a tenth of the sampling rate", because: "a loop cannot act on what it has not sampled" }],
        means: Means::Setting,
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
        means: Means::Setting,
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
        means: Means::Setting,
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
        means: Means::Setting,
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
        means: Means::Setting,
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
        sure: Sure::Within("10 %"),
        layer: 3,
        means: Means::Setting,
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
        means: Means::Setting,
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
        means: Means::Setting,
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
        means: Means::Setting,
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
        means: Means::Setting,
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
        means: Means::Setting,
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
        means: Means::Nothing,
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
    after super::heat;

    INERTIA: MomentOfInertia = Outcome {
        id: "loop.inertia",
        symbol: "J_m",
        label: "Inertia at the motor shaft, gears meshed",
        measure: Measure::Inertia,
        meaning: "rotor and load together",
        formula: "motor.rotor_inertia + axis.load_inertia / (gears.exact_ratio ^ 2 * gears.efficiency)",
        source: "power balance of a gear train",
        shown: false,
        ..RESULT
    }, inertia;
    TIME_CONSTANT: Time = Outcome {
        id: "loop.time_constant",
        symbol: "τ",
        label: "Mechanical time constant with the load",
        measure: Measure::Time,
        meaning: "to 63 % of its speed, load and bridge included",
        formula: "drive.motor_resistance * loop.inertia / (motor.torque_constant * motor.back_emf_constant)",
        source: "transfer function of a permanent-magnet motor",
        ..RESULT
    }, time_constant;
    FREE_TIME_CONSTANT: Time = Outcome {
        id: "loop.free_time_constant",
        symbol: "τ_free",
        label: "Mechanical time constant in the free play",
        measure: Measure::Time,
        meaning: "the motor without its load, between two flanks",
        formula: "drive.motor_resistance * motor.rotor_inertia / (motor.torque_constant * motor.back_emf_constant)",
        source: "transfer function of a permanent-magnet motor",
        shown: false,
        ..RESULT
    }, free_time_constant;
    ELECTRICAL_TIME_CONSTANT: Time = Outcome {
        id: "loop.electrical_time_constant",
        symbol: "τ_el",
        label: "Electrical time constant with the bridge",
        measure: Measure::Time,
        meaning: "to 63 % of the current, shaft held",
        formula: "motor.inductance / drive.motor_resistance",
        source: "current rise in R and L",
        shown: false,
        ..RESULT
    }, electrical_time_constant;
    PROPORTIONAL_GAIN: ProportionalGain = Outcome {
        id: "loop.proportional_gain",
        symbol: "K_p",
        label: "Proportional gain",
        measure: Measure::ProportionalGain,
        meaning: "volts for each radian of the motor shaft",
        formula: "(2 * pi * loop.bandwidth) ^ 2 * loop.time_constant * motor.back_emf_constant",
        source: "pole placement for a second-order plant",
        ..RESULT
    }, proportional_gain;
    DERIVATIVE_GAIN: DerivativeGain = Outcome {
        id: "loop.derivative_gain",
        symbol: "K_d",
        label: "Derivative gain",
        measure: Measure::DerivativeGain,
        meaning: "volts for each radian per second of the motor shaft",
        formula: "max(0, 2 * loop.damping * 2 * pi * loop.bandwidth * loop.time_constant - 1) * motor.back_emf_constant",
        source: "pole placement for a second-order plant",
        ..RESULT
    }, derivative_gain;
    PROPORTIONAL_PER_COUNT: ElectricPotential = Outcome {
        id: "loop.proportional_per_count",
        symbol: "U_count",
        label: "Voltage for one count of error",
        measure: Measure::Voltage,
        meaning: "what one count off asks of the bridge",
        formula: "loop.proportional_gain * 2 * pi / encoder.counts_per_motor_turn",
        source: "change of units",
        ..RESULT
    }, proportional_per_count;
    PROPORTIONAL_STEPS: Ratio = Outcome {
        id: "loop.proportional_steps",
        symbol: "k_p",
        label: "Proportional gain, PWM steps for one count",
        measure: Measure::Ratio,
        meaning: "the firmware's number",
        formula: "loop.proportional_per_count * loop.pwm_resolution / supply.voltage",
        source: "change of units",
        ..RESULT
    }, proportional_steps;
    INTEGRAL_STEPS: Ratio = Outcome {
        id: "loop.integral_steps",
        symbol: "k_i",
        label: "Integral gain, PWM steps for one count in one sample",
        measure: Measure::Ratio,
        meaning: "the firmware's number",
        formula: "loop.proportional_steps * loop.sample_time / loop.integral_time",
        source: "change of units",
        ..RESULT
    }, integral_steps;
    DERIVATIVE_STEPS: Ratio = Outcome {
        id: "loop.derivative_steps",
        symbol: "k_d",
        label: "Derivative gain, PWM steps for one count a sample",
        measure: Measure::Ratio,
        meaning: "the firmware's number",
        formula: "loop.derivative_gain * loop.speed_quantum * loop.pwm_resolution / supply.voltage",
        source: "change of units",
        ..RESULT
    }, derivative_steps;
    SPEED_QUANTUM: AngularVelocity = Outcome {
        id: "loop.speed_quantum",
        symbol: "ω_q",
        label: "Smallest speed step that the loop sees",
        measure: Measure::Speed,
        meaning: "one count in one sample, at the motor shaft",
        formula: "2 * pi / (encoder.counts_per_motor_turn * loop.sample_time)",
        source: "definition",
        ..RESULT
    }, speed_quantum;
    DERIVATIVE_KICK: Ratio = Outcome {
        id: "loop.derivative_kick",
        symbol: "u_kick",
        label: "Kick of one count through the derivative",
        measure: Measure::Share,
        meaning: "share of the supply; above 0.2 it rattles",
        formula: "loop.derivative_gain * loop.speed_quantum / supply.voltage",
        source: "quantisation of a difference",
        ..RESULT
    }, derivative_kick;
    WORST_TIME_CONSTANT: Time = Outcome {
        id: "loop.worst_time_constant",
        symbol: "τ_w",
        label: "Time constant of the lesser margin",
        measure: Measure::Time,
        meaning: "load meshed, or the motor alone in the free play",
        formula: "loop.time_constant",
        source: "the lesser of both phase margins",
        shown: false,
        ..RESULT
    }, worst_time_constant;
    CROSSOVER: Frequency = Outcome {
        id: "loop.crossover",
        symbol: "f_c",
        label: "Crossover frequency",
        measure: Measure::Frequency,
        meaning: "where the loop's gain falls through 1",
        formula: "loop.proportional_gain ^ 2 + (2 * pi * loop.crossover * loop.derivative_gain) ^ 2 = (motor.back_emf_constant * 2 * pi * loop.crossover) ^ 2 * ((2 * pi * loop.crossover * loop.worst_time_constant) ^ 2 + 1) * ((2 * pi * loop.crossover * loop.electrical_time_constant) ^ 2 + 1)",
        source: "gain of the open loop is 1",
        ..RESULT
    }, crossover;
    PHASE_MARGIN: Angle = Outcome {
        id: "loop.phase_margin",
        symbol: "φ_m",
        label: "Phase margin",
        measure: Measure::Angle,
        meaning: "40° or more; the lesser of load meshed and motor in the free play",
        formula: "pi / 2 + atan(2 * pi * loop.crossover * loop.derivative_gain / loop.proportional_gain) - atan(2 * pi * loop.crossover * loop.worst_time_constant) - atan(2 * pi * loop.crossover * loop.electrical_time_constant) - (0.5 + loop.delay) * loop.sample_time * 2 * pi * loop.crossover",
        source: "phase of the open loop at its crossover, half a sample for the hold",
        ..RESULT
    }, phase_margin;
    BANDWIDTH_LIMIT: Frequency = Outcome {
        id: "loop.bandwidth_limit",
        symbol: "f_most",
        label: "Largest bandwidth worth asking for",
        measure: Measure::Frequency,
        meaning: "the derivative stays quiet and the phase margin stays",
        formula: "'the greatest bandwidth whose gains keep the derivative kick at 0.2 or less and the phase margin at 40° or more'",
        source: "both limits are common practice, no source",
        ..RESULT
    }, bandwidth_limit;
    STATIC_STIFFNESS: Stiffness = Outcome {
        id: "loop.static_stiffness",
        symbol: "k_loop",
        label: "Stiffness of the resting loop",
        measure: Measure::Stiffness,
        meaning: "at the output, before the integral part helps",
        formula: "gears.exact_ratio ^ 2 * loop.proportional_gain * motor.torque_constant / drive.motor_resistance",
        source: "steady state of motor and proportional controller",
        ..RESULT
    }, static_stiffness;
    DROOP: Angle = Outcome {
        id: "loop.droop",
        symbol: "φ_droop",
        label: "What the loop leaves at rest",
        measure: Measure::Angle,
        meaning: "at the output",
        formula: "loop.deadband * encoder.angle_per_count",
        source: "steady state of the loop",
        ..RESULT
    }, droop;
    SPEED_LAG: Angle = Outcome {
        id: "loop.speed_lag",
        symbol: "φ_lag",
        label: "Lag at the peak speed of the move",
        measure: Measure::Angle,
        meaning: "at the output, no feed-forward and no integral part",
        formula: "((motor.back_emf_constant + loop.derivative_gain) * gears.exact_ratio * move.peak_speed + drive.motor_resistance * drive.current_at_load) / (loop.proportional_gain * gears.exact_ratio)",
        source: "steady state of motor and controller",
        ..RESULT
    }, speed_lag;
    STIFFNESS_NOW: Stiffness = Outcome {
        id: "gears.stiffness",
        symbol: "k",
        label: "Torsional stiffness in effect",
        measure: Measure::Stiffness,
        meaning: "given, or guessed from the stall torque",
        formula: "drive.stall_torque / 0.02",
        source: "0.02 rad of twist at the stall torque (common practice, no source)",
        shown: false,
        ..RESULT
    }, stiffness_now;
    RESONANCE: Frequency = Outcome {
        id: "loop.resonance",
        symbol: "f_res",
        label: "Resonance of motor and load through the gears",
        measure: Measure::Frequency,
        meaning: "keep the bandwidth well below",
        formula: "sqrt(gears.stiffness * (1 / axis.load_inertia + 1 / axis.reflected_inertia)) / (2 * pi)",
        source: "two bodies on a torsion spring",
        ..RESULT
    }, resonance;
}

fn inertia(c: &Eval<'_>) -> Result<MomentOfInertia, Absent> {
    if !c.left_out_now(axis::REDUCTION) {
        c.working("motor.rotor_inertia + axis.load_inertia / (gears.exact_ratio ^ 2 * move.train_efficiency)");
    }
    Ok(formulas::inertia_at_motor(
        c.get(motor::ROTOR_INERTIA)?,
        c.get(axis::LOAD_INERTIA)?,
        c.get(gears::RATIO_NOW)?,
        c.get(movement::TRAIN_EFFICIENCY)?,
    ))
}

fn plant_of(c: &Eval<'_>, inertia: MomentOfInertia) -> Result<Plant, Absent> {
    Ok(formulas::plant(
        c.get(motor::BACK_EMF_CONSTANT)?,
        c.get(drive::MOTOR_RESISTANCE)?,
        c.get(motor::INDUCTANCE)?,
        inertia,
    ))
}

fn time_constant(c: &Eval<'_>) -> Result<Time, Absent> {
    Ok(plant_of(c, c.get(INERTIA)?)?.mechanical)
}

fn free_time_constant(c: &Eval<'_>) -> Result<Time, Absent> {
    Ok(plant_of(c, c.get(motor::ROTOR_INERTIA)?)?.mechanical)
}

fn electrical_time_constant(c: &Eval<'_>) -> Result<Time, Absent> {
    Ok(plant_of(c, c.get(motor::ROTOR_INERTIA)?)?.electrical)
}

/// The plant with one of the two mechanical time constants.
fn plant(c: &Eval<'_>, mechanical: Key<Time>) -> Result<Plant, Absent> {
    Ok(Plant {
        back_emf_constant: c.get(motor::BACK_EMF_CONSTANT)?,
        mechanical: c.get(mechanical)?,
        electrical: c.get(ELECTRICAL_TIME_CONSTANT)?,
    })
}

/// The plant of the motor in the free play, where there is any.
fn plant_in_play(c: &Eval<'_>) -> Result<Option<Plant>, Absent> {
    let play = c.get(gears::BACKLASH)?.value + c.get(axis::REDUCTION_BACKLASH)?.value;
    (play > 0.0)
        .then(|| plant(c, FREE_TIME_CONSTANT))
        .transpose()
}

/// The gains of the bandwidth and the damping asked for.
fn placed(c: &Eval<'_>) -> Result<Gains, Absent> {
    Ok(formulas::gains(
        c.get(BANDWIDTH)?,
        c.get(DAMPING)?,
        &plant(c, TIME_CONSTANT)?,
    ))
}

fn proportional_gain(c: &Eval<'_>) -> Result<ProportionalGain, Absent> {
    let made = placed(c)?.proportional;
    if core::f64::consts::TAU * (c.get(BANDWIDTH)? * c.get(TIME_CONSTANT)?).value <= 0.5 {
        c.working("2 * pi * loop.bandwidth * (1 - 2 * pi * loop.bandwidth * loop.time_constant) * motor.back_emf_constant");
    }
    Ok(made)
}

fn derivative_gain(c: &Eval<'_>) -> Result<DerivativeGain, Absent> {
    Ok(placed(c)?.derivative)
}

/// The gains of the loop, at the motor shaft.
///
/// # Errors
/// When the plant is not there.
pub fn gains(c: &Eval<'_>) -> Result<Gains, Absent> {
    Ok(Gains {
        proportional: c.get(PROPORTIONAL_GAIN)?,
        derivative: c.get(DERIVATIVE_GAIN)?,
    })
}

/// What turns the gains into the firmware's numbers.
fn firmware(c: &Eval<'_>) -> Result<Firmware, Absent> {
    Ok(Firmware {
        counts_per_motor_turn: c.get(encoder::COUNTS_NOW)?,
        sample_time: c.get(SAMPLE_TIME)?,
        pwm_resolution: Ratio::from(f64::from(c.get(PWM_RESOLUTION)?)),
        voltage: c.get(supply::VOLTAGE)?,
    })
}

fn sampling(c: &Eval<'_>) -> Result<Sampling, Absent> {
    Ok(Sampling {
        sample_time: c.get(SAMPLE_TIME)?,
        delay: delay(c)?,
    })
}

fn delay(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(Ratio::from(f64::from(c.get(DELAY)?)))
}

fn proportional_per_count(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    Ok(formulas::proportional_per_count(&gains(c)?, &firmware(c)?))
}

fn proportional_steps(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::proportional_steps(&gains(c)?, &firmware(c)?))
}

fn integral_steps(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let Some(integral_time) = c.option(INTEGRAL_TIME)? else {
        return Err(Absent::not_asked("the loop has no integral part"));
    };
    Ok(formulas::integral_steps(
        &gains(c)?,
        &firmware(c)?,
        integral_time,
    ))
}

fn derivative_steps(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::derivative_steps(&gains(c)?, &firmware(c)?))
}

fn speed_quantum(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    Ok(formulas::speed_quantum(&firmware(c)?))
}

fn derivative_kick(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::derivative_kick(&gains(c)?, &firmware(c)?))
}

fn worst_time_constant(c: &Eval<'_>) -> Result<Time, Absent> {
    let meshed = plant(c, TIME_CONSTANT)?;
    let Some(in_play) = plant_in_play(c)? else {
        return Ok(meshed.mechanical);
    };
    let (gains, sampling) = (gains(c)?, sampling(c)?);
    let least = formulas::least_margin(&gains, &meshed, Some(&in_play), &sampling);
    Ok(
        if least.ok_or(BEYOND)?
            == formulas::loop_margin(&gains, &meshed, &sampling).ok_or(BEYOND)?
        {
            meshed.mechanical
        } else {
            c.working("loop.free_time_constant");
            in_play.mechanical
        },
    )
}

fn margin(c: &Eval<'_>) -> Result<Margin, Absent> {
    let worst = plant(c, WORST_TIME_CONSTANT)?;
    formulas::loop_margin(&gains(c)?, &worst, &sampling(c)?).ok_or(BEYOND)
}

fn crossover(c: &Eval<'_>) -> Result<Frequency, Absent> {
    Ok(margin(c)?.crossover)
}

fn phase_margin(c: &Eval<'_>) -> Result<Angle, Absent> {
    let margin = margin(c)?;
    if (margin.crossover * c.get(SAMPLE_TIME)?).value >= 0.5 {
        c.working("'0: the crossover lies beyond half the sampling rate'");
    }
    Ok(margin.phase_margin)
}

fn bandwidth_limit(c: &Eval<'_>) -> Result<Frequency, Absent> {
    formulas::bandwidth_limit(&formulas::BandwidthLimit {
        meshed: plant(c, TIME_CONSTANT)?,
        in_play: plant_in_play(c)?,
        damping: c.get(DAMPING)?,
        firmware: firmware(c)?,
        delay: delay(c)?,
    })
    .ok_or(Absent::impossible(
        "no bandwidth keeps the phase margin: sample faster, or find a motor with less inertia",
    ))
}

fn static_stiffness(c: &Eval<'_>) -> Result<Stiffness, Absent> {
    Ok(formulas::static_stiffness(
        &gains(c)?,
        c.get(gears::RATIO_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(drive::MOTOR_RESISTANCE)?,
    ))
}

fn droop(c: &Eval<'_>) -> Result<Angle, Absent> {
    let proportional = if c.option(INTEGRAL_TIME)?.is_some() {
        None
    } else {
        c.working("max(abs(drive.motor_resistance * hold.current_most / (loop.proportional_gain * gears.exact_ratio)), loop.deadband * encoder.angle_per_count)");
        let at_rest = formulas::proportional_droop(
            &gains(c)?,
            c.get(heat::CURRENT_MOST)?,
            c.get(drive::MOTOR_RESISTANCE)?,
            c.get(gears::RATIO_NOW)?,
        );
        Some(at_rest.ok_or(BEYOND)?)
    };
    Ok(formulas::droop(
        proportional,
        Ratio::from(f64::from(c.get(DEADBAND)?)),
        c.get(encoder::ANGLE_PER_COUNT)?,
    ))
}

fn speed_lag(c: &Eval<'_>) -> Result<Angle, Absent> {
    let following = formulas::Following {
        back_emf_constant: c.get(motor::BACK_EMF_CONSTANT)?,
        resistance: c.get(drive::MOTOR_RESISTANCE)?,
        ratio: c.get(gears::RATIO_NOW)?,
        speed: c.get(movement::PEAK_SPEED)?,
        current: c.get(drive::CURRENT_AT_LOAD)?,
    };
    formulas::speed_lag(&gains(c)?, &following).ok_or(BEYOND)
}

fn stiffness_now(c: &Eval<'_>) -> Result<Stiffness, Absent> {
    if let Some(given) = c.option(gears::STIFFNESS)? {
        c.working("'as given'");
        return Ok(given);
    }
    Ok(c.get(drive::STALL_TORQUE)? / STALL_TWIST)
}

fn resonance(c: &Eval<'_>) -> Result<Frequency, Absent> {
    formulas::resonance(
        c.get(STIFFNESS_NOW)?,
        c.get(axis::LOAD_INERTIA)?,
        c.get(motor::ROTOR_INERTIA)?,
        c.get(gears::RATIO_NOW)?,
    )
    .ok_or(Absent::not_asked(
        "without an inertia at the load nothing swings against the motor",
    ))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[Check {
    id: "check.loop_margin",
    label: "Phase margin against 40°",
    under: "the loop is left with {loop.phase_margin} of phase, 40° keep it from swinging",
    station: Station::Loop,
    measure: Measure::Angle,
    room: margin_room,
}];

fn margin_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let least = Angle::new::<degree>(formulas::LEAST_PHASE_MARGIN_DEGREES);
    Ok(Some(Room::of(c.get(PHASE_MARGIN)?, least)))
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "runs_away",
        station: Station::Loop,
        message: "If the sensors count the wrong way round, the loop drives away from its target at full power. First power-up: load and lever off, supply limited to {settings.first_power_current}, a switch in your other hand. Turn the magnet with a finger: the motor must push back. If it pulls along, swap the two motor wires or the two sensor wires, never both.",
        numbers: &["settings.first_power_current"],
        when: |_| Ok(Some(Severity::Caution)),
    },
    Finding {
        id: "loop_derivative_coarse",
        station: Station::Loop,
        message: "One count in one sample makes the derivative part jump by {loop.derivative_kick} of the supply: it rattles. Ask less bandwidth, sample slower or count more edges.",
        numbers: &["loop.derivative_kick", "loop.speed_quantum"],
        when: derivative_coarse,
    },
    Finding {
        id: "loop_margin_low",
        station: Station::Loop,
        message: "The loop has a phase margin of {loop.phase_margin}; below 40° it swings. Ask no more than {loop.bandwidth_limit}, or sample faster.",
        numbers: &[
            "loop.phase_margin",
            "loop.crossover",
            "loop.bandwidth_limit",
        ],
        when: margin_low,
    },
];

fn derivative_coarse(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let coarse = c.get(DERIVATIVE_KICK)?.value > formulas::GREATEST_DERIVATIVE_KICK;
    Ok(coarse.then_some(Severity::Fault))
}

fn margin_low(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    encoder::under(margin_room(c)?)
}
