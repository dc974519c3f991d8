//! The position loop.

use super::shared::{at_output, entered_travel, loop_gains, under};
use crate::evaluation::Tier;
use crate::evaluation::{Absent, AssumedLoop, Eval, LoopMargin, NOT_FINITE};
use crate::evaluation::{Check, Margin};
use crate::evaluation::{Finding, Severity};
use crate::register::axis;
use crate::register::position_loop::*;
use crate::register::{
    Key, Physical, Station, drive, encoder, gears, heat, motor, movement, steps, supply,
};
use crate::text::measure::Measure;
use pulsewright_calc::position_loop::{
    self as formulas, DerivativeGain, Firmware, Gains, Plant, ProportionalGain, Sampling,
};
use pulsewright_calc::units::{
    Angle, AngularVelocity, ElectricPotential, Frequency, MomentOfInertia, Ratio, Stiffness, Time,
};
use uom::si::angle::degree;

station! { position_loop;
    results {
        INERTIA = inertia;
        TIME_CONSTANT = time_constant;
        FREE_TIME_CONSTANT = free_time_constant;
        ELECTRICAL_TIME_CONSTANT = electrical_time_constant;
        PROPORTIONAL_GAIN = proportional_gain;
        DERIVATIVE_GAIN = derivative_gain;
        PROPORTIONAL_PER_COUNT = proportional_per_count;
        PROPORTIONAL_STEPS = proportional_steps;
        INTEGRAL_STEPS = integral_steps;
        DERIVATIVE_STEPS = derivative_steps;
        SPEED_QUANTUM = speed_quantum;
        DERIVATIVE_KICK = derivative_kick;
        WORST_TIME_CONSTANT = worst_time_constant;
        CROSSOVER = crossover;
        PHASE_MARGIN = phase_margin;
        BANDWIDTH_LIMIT = bandwidth_limit;
        STATIC_STIFFNESS = static_stiffness;
        DROOP = droop;
        FOLLOWING_ERROR = following_error;
        STIFFNESS_NOW = stiffness_now;
        RESONANCE = resonance;
        STEP_RAMP = step_ramp;
    }
    presets {
        BANDWIDTH = bandwidth;
        INTEGRAL_TIME = integral_time;
    }
    limits {
        BANDWIDTH: AtMost tenth_of_sampling, "a tenth of the sampling rate", "the bandwidth is limited by the sampling rate";
    }
}

/// Twist under the stall torque of gears whose stiffness is not given, rad (common practice, no
/// source).
const STALL_TWIST: f64 = 0.02;

fn tenth_of_sampling(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok(0.1 / c.before_limits(SAMPLE_TIME)?)
}

fn bandwidth(c: &Eval<'_>) -> Result<f64, Absent> {
    let usual = usual_bandwidth(c)?;
    Ok(c.get(BANDWIDTH_LIMIT)
        .map_or(usual, |limit| within(usual, limit)))
}

fn usual_bandwidth(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok((0.1 / c.get(SAMPLE_TIME)?.value).min(4.0))
}

/// What is assumed makes no fault by itself.
fn within(usual: f64, limit: Frequency) -> f64 {
    usual.min(0.8 * limit.value)
}

/// Integral times that are assumed, s: the first with which the bandwidth that is assumed keeps the phase margin.
const INTEGRAL_TIMES: [f64; 9] = [0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];

fn integral_time(c: &Eval<'_>) -> Result<f64, Absent> {
    let usual = INTEGRAL_TIMES[0];
    if !c.assumed_now(BANDWIDTH) {
        return Ok(usual);
    }
    Ok(assumed_loop(c).map_or(usual, |assumed| assumed.integral_time.value))
}

/// The loop where neither its bandwidth nor its integral time is entered.
fn assumed_loop<'c>(c: &'c Eval<'_>) -> Result<&'c AssumedLoop, Absent> {
    c.shared(&c.intermediates.assumed_loop, |c| {
        let (limit, sampling, usual) = (limit(c)?, sampling(c)?, usual_bandwidth(c)?);
        let with = |seconds| {
            let integral_time = Some(Time::from_raw(seconds));
            let bandwidth_limit = formulas::bandwidth_limit_with_integral(&limit, integral_time);
            let bandwidth = bandwidth_limit.map(|found| Frequency::from_raw(within(usual, found)));
            AssumedLoop {
                integral_time: Time::from_raw(seconds),
                bandwidth_limit,
                margin: bandwidth.and_then(|bandwidth| {
                    formulas::least_margin_with_integral(
                        &formulas::gains(bandwidth, limit.damping, &limit.meshed),
                        integral_time,
                        &limit.meshed,
                        limit.in_play.as_ref(),
                        &sampling,
                    )
                }),
            }
        };
        let least = Angle::new::<degree>(formulas::LEAST_PHASE_MARGIN_DEGREES);
        let keeps = |assumed: &AssumedLoop| {
            let margin = assumed.margin;
            margin.is_some_and(|(margin, _)| margin.phase_margin >= least)
        };
        let tried = || INTEGRAL_TIMES.into_iter().map(with);
        let found = tried().find(keeps).or_else(|| tried().next());
        found.ok_or(NOT_FINITE)
    })
}

/// The same, where that is the case.
fn assumed_now<'c>(c: &'c Eval<'_>) -> Option<Result<&'c AssumedLoop, Absent>> {
    (c.assumed_now(INTEGRAL_TIME) && c.assumed_now(BANDWIDTH)).then(|| assumed_loop(c))
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
    Ok(formulas::proportional_per_count(
        &loop_gains(c)?,
        &firmware(c)?,
    ))
}

fn proportional_steps(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::proportional_steps(&loop_gains(c)?, &firmware(c)?))
}

fn integral_steps(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let Some(integral_time) = c.option(INTEGRAL_TIME)? else {
        return Err(Absent::not_asked("the loop has no integral part"));
    };
    Ok(formulas::integral_steps(
        &loop_gains(c)?,
        &firmware(c)?,
        integral_time,
    ))
}

fn derivative_steps(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::derivative_steps(&loop_gains(c)?, &firmware(c)?))
}

fn speed_quantum(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    Ok(formulas::speed_quantum(&firmware(c)?))
}

fn derivative_kick(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::derivative_kick(&loop_gains(c)?, &firmware(c)?))
}

/// The lesser margin of the loop, with the load meshed or with the motor alone in the free play.
fn least_margin<'c>(c: &'c Eval<'_>) -> Result<&'c LoopMargin, Absent> {
    c.shared(&c.intermediates.loop_margin, |c| {
        let (gains, integral) = (loop_gains(c)?, c.option(INTEGRAL_TIME)?);
        if let Some(margin) = assumed_now(c)
            .transpose()?
            .and_then(|assumed| assumed.margin)
        {
            return Ok(margin);
        }
        formulas::least_margin_with_integral(
            &gains,
            integral,
            &plant(c, TIME_CONSTANT)?,
            plant_in_play(c)?.as_ref(),
            &sampling(c)?,
        )
        .ok_or(NOT_FINITE)
    })
}

fn worst_time_constant(c: &Eval<'_>) -> Result<Time, Absent> {
    let (_, in_play) = *least_margin(c)?;
    if in_play {
        c.working("loop.free_time_constant");
        return c.get(FREE_TIME_CONSTANT);
    }
    c.get(TIME_CONSTANT)
}

fn margin(c: &Eval<'_>) -> Result<formulas::Margin, Absent> {
    least_margin(c).map(|(margin, _)| *margin)
}

fn crossover(c: &Eval<'_>) -> Result<Frequency, Absent> {
    if c.option(INTEGRAL_TIME)?.is_none() {
        c.working("loop.proportional_gain ^ 2 + (2 * pi * loop.crossover * loop.derivative_gain) ^ 2 = (motor.back_emf_constant * 2 * pi * loop.crossover) ^ 2 * ((2 * pi * loop.crossover * loop.worst_time_constant) ^ 2 + 1) * ((2 * pi * loop.crossover * loop.electrical_time_constant) ^ 2 + 1)");
    }
    Ok(margin(c)?.crossover)
}

fn phase_margin(c: &Eval<'_>) -> Result<Angle, Absent> {
    let margin = margin(c)?;
    if (margin.crossover * c.get(SAMPLE_TIME)?).value >= 0.5 {
        c.working("'0: the crossover frequency is above half the sampling rate'");
    } else if c.option(INTEGRAL_TIME)?.is_none() {
        c.working("pi / 2 + atan(2 * pi * loop.crossover * loop.derivative_gain / loop.proportional_gain) - atan(2 * pi * loop.crossover * loop.worst_time_constant) - atan(2 * pi * loop.crossover * loop.electrical_time_constant) - (0.5 + loop.delay) * loop.sample_time * 2 * pi * loop.crossover");
    }
    Ok(margin.phase_margin)
}

/// What bounds the bandwidth.
fn limit(c: &Eval<'_>) -> Result<formulas::BandwidthLimit, Absent> {
    Ok(formulas::BandwidthLimit {
        meshed: plant(c, TIME_CONSTANT)?,
        in_play: plant_in_play(c)?,
        damping: c.get(DAMPING)?,
        firmware: firmware(c)?,
        delay: delay(c)?,
    })
}

fn bandwidth_limit(c: &Eval<'_>) -> Result<Frequency, Absent> {
    let integral = c.option(INTEGRAL_TIME)?;
    let found = match assumed_now(c) {
        Some(assumed) => assumed?.bandwidth_limit,
        None => formulas::bandwidth_limit_with_integral(&limit(c)?, integral),
    };
    found.ok_or(Absent::impossible(
        "no bandwidth keeps the phase margin: increase the integral time, sample faster, or choose a motor with less inertia",
    ))
}

fn static_stiffness(c: &Eval<'_>) -> Result<Stiffness, Absent> {
    Ok(formulas::static_stiffness(
        &loop_gains(c)?,
        c.get(gears::RATIO_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(drive::MOTOR_RESISTANCE)?,
    ))
}

fn droop(c: &Eval<'_>) -> Result<Angle, Absent> {
    let proportional = if c.option(INTEGRAL_TIME)?.is_some() {
        None
    } else {
        c.working("max(abs(drive.motor_resistance * hold.current_worst_case / (loop.proportional_gain * gears.exact_ratio)), loop.deadband * encoder.angle_per_count)");
        let at_rest = formulas::proportional_droop(
            &loop_gains(c)?,
            c.get(heat::CURRENT_WORST_CASE)?,
            c.get(drive::MOTOR_RESISTANCE)?,
            c.get(gears::RATIO_NOW)?,
        );
        Some(at_rest.ok_or(NOT_FINITE)?)
    };
    Ok(formulas::droop(
        proportional,
        Ratio::from(f64::from(c.get(DEADBAND)?)),
        c.get(encoder::ANGLE_PER_COUNT)?,
    ))
}

fn following_error(c: &Eval<'_>) -> Result<Angle, Absent> {
    let following = formulas::Following {
        back_emf_constant: c.get(motor::BACK_EMF_CONSTANT)?,
        resistance: c.get(drive::MOTOR_RESISTANCE)?,
        ratio: c.get(gears::RATIO_NOW)?,
        speed: c.get(movement::PEAK_SPEED)?,
        current: c.get(drive::CURRENT_AT_LOAD)?,
    };
    formulas::following_error(&loop_gains(c)?, &following).ok_or(NOT_FINITE)
}

fn stiffness_now(c: &Eval<'_>) -> Result<Stiffness, Absent> {
    if let Some(given) = c.option(gears::STIFFNESS)? {
        c.working("'as entered'");
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
        "without load inertia there is no resonance",
    ))
}

fn step_ramp(c: &Eval<'_>) -> Result<Time, Absent> {
    let turns = at_output(c, entered_travel(c, STEP_TEST)?)?.value / core::f64::consts::TAU;
    Ok(turns * c.get(steps::STEPS_NOW)? / c.get(steps::RATE_LIMIT)?)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[Check {
    id: "check.phase_margin",
    label: "Phase margin",
    failing: "phase margin is {loop.phase_margin}; at least 40° is needed, or it oscillates",
    tier: Tier::Calm,
    station: Station::Loop,
    measure: Measure::Angle,
    limit: false,
    margin: margin_check,
}];

fn margin_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let least = Angle::new::<degree>(formulas::LEAST_PHASE_MARGIN_DEGREES);
    Ok(Some(Margin::of(c.get(PHASE_MARGIN)?, least)))
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
        id: "derivative_chatter",
        station: Station::Loop,
        message: "One count makes the D-term step by {loop.derivative_kick} of the supply voltage: D-term chatter. Reduce the bandwidth, sample slower or count more edges.",
        numbers: &["loop.derivative_kick", "loop.speed_quantum"],
        when: derivative_coarse,
    },
    Finding {
        id: "loop_margin_low",
        station: Station::Loop,
        message: "Phase margin is {loop.phase_margin}; at least 40° is needed, or it oscillates. Tune the loop, or sample faster.",
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
    under(margin_check(c)?)
}
