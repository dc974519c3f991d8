//! The pulses it must obey.

use super::shared::{gearing_fraction, turn_travel, under};
use crate::evaluation::Tier;
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::evaluation::{Check, Margin};
use crate::evaluation::{Finding, Severity};
use crate::register::steps::*;
use crate::register::{PerUnit, Physical, Rational, Station, Travel, axis, encoder, movement};
use crate::text::measure::Measure;
use pulsewright_calc::ratio::{self, Exact};
use pulsewright_calc::steps as formulas;
use pulsewright_calc::units::{Angle, AngularVelocity, Frequency, Length};

station! { steps;
    results {
        STEPS_PER_TURN = steps_per_turn;
        COUNTS_PER_STEP = counts_per_step;
        GEARING_NUMERATOR = gearing_numerator;
        GEARING_DENOMINATOR = gearing_denominator;
        GEARING_DRIFT = gearing_drift;
        ANGLE_PER_STEP = angle_per_step;
        TRAVEL_PER_STEP = travel_per_step;
        PER_UNIT = per_unit;
        PER_UNIT_ROUNDED = per_unit_rounded;
        ROUNDING_ERROR = rounding_error;
        RATE_LIMIT = rate_limit;
        SPEED_LIMIT = speed_limit;
        RATE_NEEDED = rate_needed;
    }
}

fn wanted(c: &Eval<'_>) -> Result<Option<Exact>, Absent> {
    if c.left_out_now(WANTED_PER_TURN) {
        return Ok(None);
    }
    c.exact(WANTED_PER_TURN).map(Some)
}

fn steps_per_turn(c: &Eval<'_>) -> Result<Rational, Absent> {
    let wanted = wanted(c)?;
    if wanted.is_none() {
        c.working("encoder.counts_per_output_turn");
    }
    Ok(Rational(formulas::steps_per_turn(
        c.exact(encoder::COUNTS_PER_OUTPUT_TURN)?,
        wanted,
    )))
}

fn counts_per_step(c: &Eval<'_>) -> Result<Rational, Absent> {
    formulas::counts_per_step(c.exact(encoder::COUNTS_PER_OUTPUT_TURN)?, wanted(c)?)
        .map(Rational)
        .ok_or(NOT_FINITE)
}

fn gearing_numerator(c: &Eval<'_>) -> Result<Rational, Absent> {
    ratio::exact(gearing_fraction(c)?.0.into(), 1)
        .map(Rational)
        .ok_or(NOT_FINITE)
}

fn gearing_denominator(c: &Eval<'_>) -> Result<Rational, Absent> {
    ratio::exact(gearing_fraction(c)?.1.into(), 1)
        .map(Rational)
        .ok_or(NOT_FINITE)
}

fn gearing_drift(c: &Eval<'_>) -> Result<Angle, Absent> {
    let whole = |key| c.exact(key).map(|e| u64::try_from(*e.numer()).unwrap_or(0));
    let fraction = (whole(GEARING_NUMERATOR)?, whole(GEARING_DENOMINATOR)?);
    formulas::drift_per_turn(fraction, c.exact(COUNTS_PER_STEP)?).ok_or(NOT_FINITE)
}

fn angle_per_step(c: &Eval<'_>) -> Result<Angle, Absent> {
    formulas::angle_per_step(c.exact(STEPS_PER_TURN)?).ok_or(NOT_FINITE)
}

/// Steps in one turn of the axis.
fn steps_per_axis_turn(c: &Eval<'_>) -> Result<Exact, Absent> {
    ratio::multiply(c.exact(STEPS_PER_TURN)?, c.exact(axis::LAST_STAGE)?).ok_or(NOT_FINITE)
}

fn travel_per_step(c: &Eval<'_>) -> Result<Length, Absent> {
    formulas::travel_per_step(c.get(axis::TURN_TRAVEL)?, steps_per_axis_turn(c)?).ok_or(NOT_FINITE)
}

fn setting<'c>(c: &'c Eval<'_>) -> Result<&'c (formulas::PerUnit, Measure), Absent> {
    c.shared(&c.intermediates.setting, |c| {
        let (unit, measure) = if c.get(axis::KIND)?.is_linear() {
            (
                formulas::Unit::Millimeter(turn_travel(c)?),
                Measure::PerMillimetre,
            )
        } else {
            (formulas::Unit::Degree, Measure::PerDegree)
        };
        let made = formulas::per_unit(steps_per_axis_turn(c)?, unit, c.get(DECIMALS)?)
            .ok_or(NOT_FINITE)?;
        Ok((made, measure))
    })
}

fn per_unit(c: &Eval<'_>) -> Result<PerUnit, Absent> {
    let (made, measure) = *setting(c)?;
    c.working(if measure == Measure::PerMillimetre {
        "steps.per_turn * axis.last_stage / (1000 * axis.travel_per_turn)"
    } else {
        "steps.per_turn * axis.last_stage / 360"
    });
    Ok(PerUnit {
        value: made.value,
        exact: made.exact,
        measure,
    })
}

fn per_unit_rounded(c: &Eval<'_>) -> Result<PerUnit, Absent> {
    let (made, measure) = *setting(c)?;
    c.working("'rounded half away from zero at the decimals that the source keeps'");
    Ok(PerUnit {
        value: made.rounded,
        exact: None,
        measure,
    })
}

fn rounding_error(c: &Eval<'_>) -> Result<Travel, Absent> {
    let share = setting(c)?.0.error;
    c.working("axis.distance_at_load * (steps.per_unit_rounded / steps.per_unit - 1)");
    Ok(match c.travel(axis::DISTANCE_AT_LOAD)? {
        Travel::Angle(angle) => Travel::Angle(angle * share.value),
        Travel::Length(length) => Travel::Length(length * share),
    })
}

fn rate_limit(c: &Eval<'_>) -> Result<Frequency, Absent> {
    formulas::rate_limit(
        Some(c.get(CONTROLLER_RATE_LIMIT)?),
        c.get(PULSE_HIGH)?,
        c.get(PULSE_LOW)?,
    )
    .ok_or(NOT_FINITE)
}

fn speed_limit(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    formulas::speed_limit(c.get(RATE_LIMIT)?, c.exact(STEPS_PER_TURN)?).ok_or(NOT_FINITE)
}

fn rate_needed(c: &Eval<'_>) -> Result<Frequency, Absent> {
    Ok(c.get(movement::PEAK_SPEED)? / c.get(ANGLE_PER_STEP)?)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.step_rate",
        label: "Step rate",
        failing: "{steps.rate_limit} available, {steps.rate_needed} needed{share}",
        tier: Tier::Signals,
        station: Station::Steps,
        measure: Measure::Frequency,
        limit: false,
        margin: step_rate_check,
    },
    Check {
        id: "check.rounding",
        label: "Rounding of steps/unit",
        failing: "rounding error over the move {steps.rounding_error_over_travel}, position tolerance {axis.tolerance_at_load}",
        tier: Tier::Exactness,
        station: Station::Steps,
        measure: Measure::Angle,
        limit: true,
        margin: rounding_check,
    },
    Check {
        id: "check.pulse_width",
        label: "Step pulse width",
        failing: "pulse width sent {steps.sent_pulse_width}, min. pulse high time {steps.pulse_high}",
        tier: Tier::Signals,
        station: Station::Steps,
        measure: Measure::Time,
        limit: false,
        margin: pulse_check,
    },
    Check {
        id: "check.direction_setup",
        label: "DIR set-up time",
        failing: "DIR set-up time sent {steps.sent_direction_setup}, required {steps.direction_setup}",
        tier: Tier::Signals,
        station: Station::Steps,
        measure: Measure::Time,
        limit: false,
        margin: lead_check,
    },
];

fn step_rate_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    Ok(Some(Margin::of(c.get(RATE_LIMIT)?, c.get(RATE_NEEDED)?)))
}

fn rounding_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let distance = c.travel(axis::DISTANCE_AT_LOAD)?;
    let share = c.get(GEARING_DRIFT)?.value.abs() / core::f64::consts::TAU;
    let rounding = c.travel(ROUNDING_ERROR)?.raw().abs();
    let drift = |size: f64| size * share + rounding;
    let need = match distance {
        Travel::Angle(angle) => Travel::Angle(Physical::from_raw(drift(angle.value))),
        Travel::Length(length) => Travel::Length(Physical::from_raw(drift(length.value))),
    };
    Ok(Some(Margin::of_travel(
        c.travel(axis::TOLERANCE_AT_LOAD)?,
        need,
    )))
}

fn pulse_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    Ok(Some(Margin::of(
        c.get(SENT_PULSE_WIDTH)?,
        c.get(PULSE_HIGH)?,
    )))
}

fn lead_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    Ok(Some(Margin::of(
        c.get(SENT_DIRECTION_SETUP)?,
        c.get(DIRECTION_SETUP)?,
    )))
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "step_finer_than_count",
        station: Station::Steps,
        message: "One step is smaller than one count ({steps.gearing_numerator} counts in {steps.gearing_denominator} steps): not every step moves the motor.",
        numbers: &["steps.gearing_numerator", "steps.gearing_denominator"],
        when: finer,
    },
    Finding {
        id: "rounding_adds_up",
        station: Station::Steps,
        message: "Rounding of steps/unit gives an error of {steps.rounding_error_over_travel} over the move; position tolerance {axis.tolerance_at_load}. Use more decimal places, or steps per turn that divide evenly.",
        numbers: &[
            "steps.per_unit",
            "steps.per_unit_rounded",
            "steps.rounding_error_over_travel",
        ],
        when: adds_up,
    },
    Finding {
        id: "step_rate_low",
        station: Station::Steps,
        message: "Step rate: {steps.rate_limit} available, {steps.rate_needed} needed. Use fewer steps per turn, or move slower.",
        numbers: &["steps.rate_needed", "steps.rate_limit"],
        when: rate_low,
    },
];

fn finer(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((c.get(COUNTS_PER_STEP.as_ratio())?.value < 1.0).then_some(Severity::Note))
}

fn adds_up(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(rounding_check(c)?)
}

fn rate_low(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(step_rate_check(c)?)
}
