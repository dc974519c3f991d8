//! What it all comes to: the error at the load, what to buy and to set, and the comparison.

use super::shared::{angle_of, backlash_share};
use super::shared::{
    at_load, at_output, entered_travel, shown_angle, stepper_asked, thermal_model,
};
use crate::analysis::solve::CLEAR;
use crate::evaluation::Finding;
use crate::evaluation::LoadLimits;
use crate::evaluation::Tier;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Check, Margin, Status};
use crate::register::movement::{self};
use crate::register::verdict::*;
use crate::register::{
    Key, Station, Travel, axis, bridge, drive, encoder, gears, heat, motor,
    position_loop as control, regulator, stepper, steps, supply,
};
use crate::text::label::in_sentence;
use crate::text::measure::Measure;
use crate::text::measure::UnitSystem;
use crate::text::number;
use pulsewright_calc::error_budget::{self as formulas, Shares};
use pulsewright_calc::position_loop::{self, FixedPoint};
use pulsewright_calc::preferred;
use pulsewright_calc::stepper::Converted;
use pulsewright_calc::units::{
    Angle, AngularVelocity, ElectricCurrent, Energy, Mass, Power, Ratio, Time, Torque,
    TorquePerMass,
};

station! { verdict;
    results {
        TRAVEL_PER_ANGLE = travel_per_angle;
        ERROR_BACKLASH = backlash_share;
        ERROR_WIND_UP = twist;
        ERROR_HALF_COUNT = half_count;
        ERROR_HALF_STEP = half_step;
        ERROR_STEADY_STATE = droop;
        ERROR_ROUNDING = rounding;
        ERROR_TRANSMISSION = transmission;
        ERROR_WORST = worst;
        ERROR_STANDARD_UNCERTAINTY = likely;
        ERROR_HOMING = home;
        ERROR_AFTER_HOMING = after_homing;
        NEED_STALL_TORQUE = need_stall_torque;
        NEED_NO_LOAD_SPEED = need_no_load_speed;
        NEED_NO_LOAD_SPEED_MAX = need_no_load_speed_most;
        STEPS_PER_UNIT = steps_per_unit;
        MAX_SPEED = max_speed;
        ACCELERATION = acceleration;
        PULSE_WIDTH = pulse_width;
        DIRECTION_SETUP = direction_setup;
        STALL_TIMEOUT = stall_timeout;
        HOLD_DUTY = hold_duty;
        HOLD_PWM = hold_pwm;
        ERROR_LIMIT = error_limit;
        PROPORTIONAL_FIXED = proportional_fixed;
        PROPORTIONAL_ROUNDING = proportional_rounding;
        INTEGRAL_FIXED = integral_fixed;
        INTEGRAL_ROUNDING = integral_rounding;
        DERIVATIVE_FIXED = derivative_fixed;
        DERIVATIVE_ROUNDING = derivative_rounding;
        FIRST_POWER_CURRENT = first_power_current;
        SHORTEST_TIME = shortest_time;
        MAX_LOAD = max_load;
        CONTINUOUS_TORQUE_CONVERTED = held_for_ever_converted;
        CONTINUOUS_TORQUE_STEPPER = held_for_ever_stepper;
        TORQUE_10_S_CONVERTED = held_10_s_converted;
        TORQUE_10_S_STEPPER = held_10_s_stepper;
        TORQUE_PER_MASS_CONVERTED = held_per_mass_converted;
        TORQUE_PER_MASS_STEPPER = held_per_mass_stepper;
        HOLD_POWER_CONVERTED = hold_power_converted;
        HOLD_POWER_STEPPER = hold_power_stepper;
        SMALLEST_STEP_CONVERTED = smallest_step_converted;
        SMALLEST_STEP_STEPPER = smallest_step_stepper;
        POSITION_ERROR_CONVERTED = position_error_converted;
        POSITION_ERROR_STEPPER = position_error_stepper;
        SPEED_WITH_LOAD_CONVERTED = speed_with_load_converted;
        SPEED_WITH_LOAD_STEPPER = speed_with_load_stepper;
        MOVE_TORQUE_CONVERTED = move_torque_converted;
        MOVE_TORQUE_STEPPER = move_torque_stepper;
        CYCLE_ENERGY_CONVERTED = cycle_energy_converted;
        CYCLE_ENERGY_STEPPER = cycle_energy_stepper;
        MASS_CONVERTED = mass_converted;
        MASS_STEPPER = mass_stepper;
    }
    words {
        NEED_STALL_TORQUE = need_stall_words;
        NEED_NO_LOAD_SPEED = need_speed_words;
        MAX_LOAD = max_load_words;
        SHORTEST_TIME = |c| c.in_words(movement::SHORTEST_TIME.index());
        MAX_SPEED = top_rate_words;
        ACCELERATION = acceleration_words;
        PROPORTIONAL_FIXED = |c| whole_words(c, PROPORTIONAL_FIXED);
        INTEGRAL_FIXED = |c| whole_words(c, INTEGRAL_FIXED);
        DERIVATIVE_FIXED = |c| whole_words(c, DERIVATIVE_FIXED);
    }
}

/// The travel as an angle of the axis: what [`axis::shown_angle`] makes a travel of.
fn travel_per_angle(c: &Eval<'_>) -> Result<Measured, Absent> {
    let radian = Angle::new::<uom::si::angle::radian>(1.0);
    let travel = at_load(c, radian)?;
    let measure = match travel {
        Travel::Angle(_) => {
            c.working("1 / axis.last_stage");
            Measure::Ratio
        }
        Travel::Length(_) => Measure::Length,
    };
    Ok(Measured {
        value: travel.raw(),
        measure,
    })
}

fn twist(c: &Eval<'_>) -> Result<Travel, Absent> {
    let twist =
        formulas::holding_twist(c.get(axis::HOLDING_TORQUE)?, c.get(control::STIFFNESS_NOW)?);
    at_load(c, twist.ok_or(NOT_FINITE)?)
}

fn half_count(c: &Eval<'_>) -> Result<Travel, Absent> {
    at_load(c, c.get(encoder::ANGLE_PER_COUNT)? / 2.0)
}

fn half_step(c: &Eval<'_>) -> Result<Travel, Absent> {
    at_load(c, c.get(steps::ANGLE_PER_STEP)? / 2.0)
}

fn droop(c: &Eval<'_>) -> Result<Travel, Absent> {
    at_load(c, c.get(control::DROOP)?)
}

fn rounding(c: &Eval<'_>) -> Result<Travel, Absent> {
    c.travel(steps::ROUNDING_ERROR)
}

fn transmission(c: &Eval<'_>) -> Result<Travel, Absent> {
    at_load(c, c.get(gears::TRANSMISSION_ERROR)?)
}

/// The shares of the position error, as angles of the axis.
fn shares<'c>(c: &'c Eval<'_>) -> Result<&'c Shares, Absent> {
    c.shared(&c.intermediates.shares, each_share)
}

fn each_share(c: &Eval<'_>) -> Result<Shares, Absent> {
    let share = |key: Key<Travel>| c.travel(key).and_then(|travel| angle_of(c, travel));
    Ok(Shares {
        backlash: share(ERROR_BACKLASH)?,
        holding_twist: share(ERROR_WIND_UP)?,
        half_count: share(ERROR_HALF_COUNT)?,
        half_step: share(ERROR_HALF_STEP)?,
        droop: share(ERROR_STEADY_STATE)?,
        rounding: share(ERROR_ROUNDING)?,
        transmission: share(ERROR_TRANSMISSION)?,
    })
}

fn worst(c: &Eval<'_>) -> Result<Travel, Absent> {
    shown_angle(c, formulas::worst(shares(c)?))
}

fn likely(c: &Eval<'_>) -> Result<Travel, Absent> {
    shown_angle(c, formulas::likely(shares(c)?))
}

fn home(c: &Eval<'_>) -> Result<Travel, Absent> {
    if c.get(axis::HOME)? == axis::Home::None || c.left_out_now(axis::HOME_REPEATABILITY) {
        return Err(Absent::not_asked("homing repeatability is not entered"));
    }
    entered_travel(c, axis::HOME_REPEATABILITY)
}

fn after_homing(c: &Eval<'_>) -> Result<Travel, Absent> {
    let both = angle_of(c, c.travel(ERROR_WORST)?)? + angle_of(c, c.travel(ERROR_HOMING)?)?;
    shown_angle(c, both)
}

fn need_stall_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok(preferred::stall_torque_needed(
        c.get(axis::HOLDING_TORQUE)?,
        c.get(movement::PEAK_TORQUE)?,
    ))
}

/// A torque as listings write it, beside SI.
fn need_stall_words(c: &Eval<'_>) -> Option<String> {
    let torque = c.get(NEED_STALL_TORQUE).ok()?.value;
    let said = c.notation.said(Measure::Torque, torque, 3);
    if c.notation.units != UnitSystem::Si {
        return Some([&said, " or more"].concat());
    }
    let listed = c.notation.number(torque / KILOGRAM_FORCE_CENTIMETRE, 3);
    Some([&said, " (", &listed, " kgf·cm) or more"].concat())
}

/// 1 kgf·cm in N·m, exact (NIST SP 811, B.8).
const KILOGRAM_FORCE_CENTIMETRE: f64 = pulsewright_calc::units::STANDARD_GRAVITY / 100.0;

fn need_no_load_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    Ok(preferred::no_load_speed_needed(c.get(movement::PEAK_SPEED)?).0)
}

fn need_no_load_speed_most(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    Ok(preferred::no_load_speed_needed(c.get(movement::PEAK_SPEED)?).1)
}

fn need_speed_words(c: &Eval<'_>) -> Option<String> {
    let shown = |key: Key<AngularVelocity>| {
        let speed = c.get(key).ok()?.value;
        Some(c.notation.shown(Measure::Speed, speed, 2))
    };
    let ((least, _), (most, unit)) = (shown(NEED_NO_LOAD_SPEED)?, shown(NEED_NO_LOAD_SPEED_MAX)?);
    Some([&least, " to ", &most, " ", unit].concat())
}

fn steps_per_unit(c: &Eval<'_>) -> Result<Measured, Absent> {
    Ok(Measured {
        value: c.raw(steps::PER_UNIT_ROUNDED.index())?,
        measure: if c.get(axis::KIND)?.is_linear() {
            Measure::PerMillimetre
        } else {
            Measure::PerDegree
        },
    })
}

/// A rate of the output as the pulse source takes it: along the travel, or of the axis.
fn for_source(
    c: &Eval<'_>,
    output: f64,
    along: Measure,
    around: Measure,
) -> Result<Measured, Absent> {
    let (value, measure) = if c.get(axis::KIND)?.is_linear() {
        (output * c.raw(TRAVEL_PER_ANGLE.index())?, along)
    } else {
        (output / c.get(axis::LAST_STAGE_NOW)?.value, around)
    };
    Ok(Measured { value, measure })
}

fn max_speed(c: &Eval<'_>) -> Result<Measured, Absent> {
    let with_load = c.get(drive::SPEED_AT_LOAD_HOT)?;
    if with_load.value <= 0.0 {
        return Err(Absent::impossible("the motor cannot move this load"));
    }
    let top = position_loop::top_speed(c.get(steps::SPEED_LIMIT)?, with_load);
    if c.get(axis::KIND)?.is_linear() {
        c.working("min(steps.speed_limit, 0.8 * drive.speed_at_load_hot) * error.travel_per_angle");
    }
    for_source(c, top.value, Measure::Velocity, Measure::Speed)
}

/// The value of `key` times `linear` or `rotary`, with the unit that the pulse source takes.
fn source_words(
    c: &Eval<'_>,
    key: Key<Measured>,
    linear: (f64, &str),
    rotary: (f64, &str),
) -> Option<String> {
    let value = c.raw(key.index()).ok()?;
    let (factor, unit) = if c.get(axis::KIND).ok()?.is_linear() {
        linear
    } else {
        rotary
    };
    Some([&c.notation.number(value * factor, 4), " ", unit].concat())
}

fn top_rate_words(c: &Eval<'_>) -> Option<String> {
    source_words(
        c,
        MAX_SPEED,
        (60e3, "mm/min"),
        (60.0_f64.to_degrees(), "°/min"),
    )
}

fn acceleration(c: &Eval<'_>) -> Result<Measured, Absent> {
    let peak = c.get(movement::PEAK_ACCELERATION)?.value;
    if c.get(axis::KIND)?.is_linear() {
        c.working("move.peak_acceleration * error.travel_per_angle");
    }
    for_source(c, peak, Measure::Acceleration, Measure::AngularAcceleration)
}

fn acceleration_words(c: &Eval<'_>) -> Option<String> {
    source_words(
        c,
        ACCELERATION,
        (1e3, "mm/s²"),
        (1.0_f64.to_degrees(), "°/s²"),
    )
}

fn pulse_width(c: &Eval<'_>) -> Result<Time, Absent> {
    Ok(CLEAR * c.get(steps::PULSE_HIGH)?)
}

fn direction_setup(c: &Eval<'_>) -> Result<Time, Absent> {
    Ok(CLEAR * c.get(steps::DIRECTION_SETUP)?)
}

fn stall_timeout(c: &Eval<'_>) -> Result<Time, Absent> {
    let stall_time = match c.get(heat::STALL_TIME) {
        Ok(time) => Some(time),
        Err(absent) if absent.code == Code::Unlimited => {
            c.working("2");
            None
        }
        Err(absent) => return Err(absent),
    };
    Ok(position_loop::stall_timeout(stall_time))
}

fn hold_duty(c: &Eval<'_>) -> Result<Ratio, Absent> {
    position_loop::hold_duty(
        c.get(heat::DWELL_CURRENT)?,
        c.get(drive::MOTOR_RESISTANCE)?,
        c.get(supply::VOLTAGE)?,
        c.get(drive::SUPPLY_PATH)?,
    )
    .ok_or(Absent::impossible(
        "full duty does not give the holding current for this load",
    ))
}

fn hold_pwm(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let full = f64::from(c.get(control::PWM_RESOLUTION)?);
    Ok(Ratio::from(libm::ceil(c.get(HOLD_DUTY)?.value * full)))
}

fn error_limit(c: &Eval<'_>) -> Result<Ratio, Absent> {
    position_loop::error_limit(
        c.get(control::FOLLOWING_ERROR)?,
        at_output(c, c.travel(axis::TOLERANCE_AT_LOAD)?)?,
        c.get(encoder::ANGLE_PER_COUNT)?,
    )
    .ok_or(NOT_FINITE)
}

/// A gain as the firmware stores it.
fn stored(c: &Eval<'_>, gain: Key<Ratio>) -> Result<FixedPoint, Absent> {
    position_loop::fixed_point(c.get(gain)?).ok_or(Absent::impossible(
        "the gain does not fit Q16.16: 32 768 or more",
    ))
}

fn fixed(c: &Eval<'_>, gain: Key<Ratio>) -> Result<Ratio, Absent> {
    Ok(Ratio::from(f64::from(stored(c, gain)?.raw)))
}

fn rounded(c: &Eval<'_>, gain: Key<Ratio>) -> Result<Ratio, Absent> {
    if c.get(gain)?.value == 0.0 {
        c.working("0");
    }
    Ok(stored(c, gain)?.rounding)
}

/// A whole number with all its digits.
fn whole_words(c: &Eval<'_>, key: Key<Ratio>) -> Option<String> {
    Some(number::int(c.get(key).ok()?.value as i64))
}

fn proportional_fixed(c: &Eval<'_>) -> Result<Ratio, Absent> {
    fixed(c, control::PROPORTIONAL_STEPS)
}

fn proportional_rounding(c: &Eval<'_>) -> Result<Ratio, Absent> {
    rounded(c, control::PROPORTIONAL_STEPS)
}

fn integral_fixed(c: &Eval<'_>) -> Result<Ratio, Absent> {
    fixed(c, control::INTEGRAL_STEPS)
}

fn integral_rounding(c: &Eval<'_>) -> Result<Ratio, Absent> {
    rounded(c, control::INTEGRAL_STEPS)
}

fn derivative_fixed(c: &Eval<'_>) -> Result<Ratio, Absent> {
    fixed(c, control::DERIVATIVE_STEPS)
}

fn derivative_rounding(c: &Eval<'_>) -> Result<Ratio, Absent> {
    rounded(c, control::DERIVATIVE_STEPS)
}

fn first_power_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(3.0 * c.get(motor::NO_LOAD_CURRENT)?)
}

fn shortest_time(c: &Eval<'_>) -> Result<Time, Absent> {
    c.get(movement::SHORTEST_TIME)
}

fn held_for_ever_converted(c: &Eval<'_>) -> Result<Torque, Absent> {
    stepper_asked(c)?;
    Ok(pulsewright_calc::stepper::torque_held_for_ever(
        &Converted {
            ratio: c.get(gears::RATIO_NOW)?,
            torque_constant: c.get(motor::TORQUE_CONSTANT)?,
            continuous_current: c.get(heat::CONTINUOUS_CURRENT)?,
            current_limit: c.get(bridge::CURRENT_LIMIT)?,
            gear_torque: Some(c.get(gears::CONTINUOUS_TORQUE)?),
        },
    ))
}

fn held_for_ever_stepper(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.get(stepper::HOLDING_TORQUE)
}

fn held_10_s_converted(c: &Eval<'_>) -> Result<Torque, Absent> {
    stepper_asked(c)?;
    let ten_seconds = Time::new::<uom::si::time::second>(10.0);
    let current = pulsewright_calc::heat::greatest_current_for(
        thermal_model(c)?,
        ten_seconds,
        c.get(motor::MAX_WINDING_TEMPERATURE)?,
    )
    .unwrap_or_default();
    Ok(pulsewright_calc::stepper::torque_held_for_ever(
        &Converted {
            ratio: c.get(gears::RATIO_NOW)?,
            torque_constant: c.get(motor::TORQUE_CONSTANT)?,
            continuous_current: current,
            current_limit: c
                .get(bridge::CURRENT_LIMIT)?
                .min(c.get(drive::STALL_CURRENT)?),
            gear_torque: Some(c.get(gears::PEAK_TORQUE)?),
        },
    ))
}

fn held_10_s_stepper(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.get(stepper::HOLDING_TORQUE)
}

fn held_per_mass_converted(c: &Eval<'_>) -> Result<TorquePerMass, Absent> {
    let held = c.get(CONTINUOUS_TORQUE_CONVERTED)?;
    pulsewright_calc::motor::torque_per_mass(held, c.get(motor::MASS)?, c.get(motor::ADDED_MASS)?)
        .ok_or(NOT_FINITE)
}

fn held_per_mass_stepper(c: &Eval<'_>) -> Result<TorquePerMass, Absent> {
    c.get(stepper::TORQUE_PER_MASS)
}

fn hold_power_converted(c: &Eval<'_>) -> Result<Power, Absent> {
    stepper_asked(c)?;
    Ok(c.get(heat::HOLD_POWER)? + c.get(supply::VOLTAGE)? * c.get(regulator::INPUT_CURRENT)?)
}

fn hold_power_stepper(c: &Eval<'_>) -> Result<Power, Absent> {
    c.get(stepper::HOLD_POWER)
}

fn smallest_step_converted(c: &Eval<'_>) -> Result<Travel, Absent> {
    stepper_asked(c)?;
    let (step, count) = (
        c.get(steps::ANGLE_PER_STEP)?,
        c.get(encoder::ANGLE_PER_COUNT)?,
    );
    at_load(c, step.max(count))
}

fn smallest_step_stepper(c: &Eval<'_>) -> Result<Travel, Absent> {
    at_load(c, c.get(stepper::SMALLEST_STEP)?)
}

fn position_error_converted(c: &Eval<'_>) -> Result<Travel, Absent> {
    stepper_asked(c)?;
    c.travel(ERROR_WORST)
}

fn position_error_stepper(c: &Eval<'_>) -> Result<Travel, Absent> {
    at_load(c, c.get(stepper::POSITION_ERROR)?)
}

fn speed_with_load_converted(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    stepper_asked(c)?;
    c.get(drive::SPEED_AT_LOAD_HOT)
}

fn speed_with_load_stepper(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    c.get(stepper::SPEED_WITH_LOAD)
}

fn move_torque_converted(c: &Eval<'_>) -> Result<Torque, Absent> {
    stepper_asked(c)?;
    c.get(movement::PEAK_TORQUE)
}

fn move_torque_stepper(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.get(stepper::TORQUE_FOR_MOVE)
}

fn cycle_energy_converted(c: &Eval<'_>) -> Result<Energy, Absent> {
    stepper_asked(c)?;
    let boards = c.get(supply::VOLTAGE)? * c.get(supply::BOARD_CURRENT)?;
    Ok(pulsewright_calc::stepper::cycle_energy(
        c.get(supply::MEAN_POWER)? + boards,
        c.get(movement::TIME)?,
        c.get(movement::DWELL)?,
    ))
}

fn cycle_energy_stepper(c: &Eval<'_>) -> Result<Energy, Absent> {
    Ok(pulsewright_calc::stepper::cycle_energy(
        c.get(stepper::HOLD_POWER)?,
        c.get(movement::TIME)?,
        c.get(movement::DWELL)?,
    ))
}

fn mass_converted(c: &Eval<'_>) -> Result<Mass, Absent> {
    stepper_asked(c)?;
    Ok(c.get(motor::MASS)? + c.get(motor::ADDED_MASS)?)
}

fn mass_stepper(c: &Eval<'_>) -> Result<Mass, Absent> {
    c.get(stepper::MASS)
}

fn max_load(c: &Eval<'_>) -> Result<SolvedLoad, Absent> {
    let held = crate::evaluation::check::all(c);
    for held in &held {
        c.depend_on(held.depends_on);
    }
    let solved = crate::analysis::solve::max_load(c);
    // What the motor cannot do with any load, it cannot do without one.
    let limits = c.intermediates.load_limits.get_or_init(|| {
        let load = solved.as_ref();
        let first = load.ok().and_then(|load| load.check);
        let mut besides = load.map_or_else(Clone::clone, |load| load.besides.clone());
        let load = crate::analysis::solve::load_input(c);
        let without = held
            .iter()
            .filter(|held| held.status() == Status::Fails && !held.depends_on.has(load))
            .map(|held| held.check.id);
        for check in without {
            if !besides.contains(&check) {
                besides.push(check);
            }
        }
        LoadLimits {
            first,
            at_any_load: besides,
        }
    });
    let besides = &limits.at_any_load;
    let at_any = [
        ("check.torque", "none: too little torque at any load"),
        ("check.speed", "none: too slow at any load"),
        ("check.voltage", "none: too little voltage at any load"),
    ];
    if let Some((_, why)) = at_any.into_iter().find(|(id, _)| besides.contains(id)) {
        return Err(Absent::impossible(why));
    }
    let Ok(solved) = solved else {
        return Err(Absent::impossible("none: some check fails at any load"));
    };
    if solved.check.is_none() {
        return Err(Absent::unlimited(
            "no check limits the load within its range",
        ));
    }
    Ok(SolvedLoad {
        load: solved.load,
        measure: crate::register::measure(solved.input),
    })
}

/// The same with the check that limits it, and with those that fail at any load, which are left out of account.
fn max_load_words(c: &Eval<'_>) -> Option<String> {
    let answer = c.answer(MAX_LOAD.index());
    let load = answer.found.ok()?;
    let limits = c.intermediates.load_limits.get()?;
    let label = |id: &&str| {
        let mut checks = c.model().checks();
        checks
            .find(|check| check.id == *id)
            .map(|check| in_sentence(check.label))
    };
    let mut said = c.notation.said(answer.measure, load, 3);
    if let Some(first) = limits.first.as_ref().and_then(label) {
        said = [&said, ", limited by: ", &first].concat();
    }
    let besides: Vec<String> = limits.at_any_load.iter().filter_map(label).collect();
    if !besides.is_empty() {
        said = [&said, "; fails at any load: ", &besides.join(", ")].concat();
    }
    Some(said)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.position",
        label: "Position error",
        failing: "worst-case position error {error.worst}, position tolerance {axis.tolerance_at_load}",
        tier: Tier::Exactness,
        station: Station::Verdict,
        measure: Measure::Angle,
        limit: true,
        margin: position_check,
    },
    Check {
        id: "check.homing",
        label: "Position error after homing again",
        failing: "homing error {error.homing}; worst-case position error after homing again {error.worst_after_homing}, position tolerance {axis.tolerance_at_load}",
        tier: Tier::Exactness,
        station: Station::Verdict,
        measure: Measure::Angle,
        limit: true,
        margin: homing_check,
    },
];

fn position_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    Ok(Some(Margin::of_travel(
        c.travel(axis::TOLERANCE_AT_LOAD)?,
        c.travel(ERROR_WORST)?,
    )))
}

/// Asked where home is found by something whose repeatability is known, and an error is allowed.
fn homing_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    if c.get(axis::HOME)? == axis::Home::None
        || c.left_out_now(axis::HOME_REPEATABILITY)
        || !c.given(axis::POSITION_TOLERANCE)
    {
        return Ok(None);
    }
    Ok(Some(Margin::of_travel(
        c.travel(axis::TOLERANCE_AT_LOAD)?,
        c.travel(ERROR_AFTER_HOMING)?,
    )))
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
