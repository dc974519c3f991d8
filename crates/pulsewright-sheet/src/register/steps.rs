//! The pulses it must obey.

use pulsewright_calc::ratio::{self, Exact};
use pulsewright_calc::steps as formulas;
use pulsewright_calc::units::{Angle, AngularVelocity, Frequency, Length, Ratio, Time};

use super::{
    Form, INPUT, Input, Key, Means, Outcome, PerUnit, Physical, Preset, RESULT, Rational, Station,
    Sure, Travel, axis, encoder, movement,
};
use crate::check::{Check, Room};
use crate::eval::{Absent, BEYOND, Eval};
use crate::finding::{Finding, Severity};
use crate::unit::Measure;

inputs! {
    after super::encoder;

    WANTED_PER_TURN: Rational = Input {
        id: "steps.wanted_per_turn",
        symbol: "S_wanted",
        label: "Steps wanted per output turn",
        form: Form::Exact,
        preset: Preset::LeftOut,
        low: ">0",
        high: "10000000",
        layer: 2,
        means: Means::Setting,
        help: "What you want the pulse source to be set to; a round number is easier to type there",
        ..INPUT
    };
    GEARING_LIMIT: f64 = Input {
        id: "steps.gearing_limit",
        symbol: "q_max",
        label: "Largest number of the gearing fraction",
        form: Form::Whole,
        preset: Preset::Fixed("65535"),
        low: "1",
        high: "4294967295",
        layer: 3,
        means: Means::Setting,
        help: "Firmware: the largest whole number of the gearing fraction's type",
        ..INPUT
    };
    CONTROLLER_RATE_LIMIT: Frequency = Input {
        id: "steps.controller_rate_limit",
        symbol: "f_source",
        label: "Step rate of the pulse source",
        form: Form::Quantity(Measure::Frequency),
        preset: Preset::Fixed("25 kHz"),
        low: "1 Hz",
        high: "20 MHz",
        sure: Sure::Within("10 %"),
        layer: 2,
        means: Means::Bought,
        help: "Manual of the pulse source; plain 8-bit boards 25 to 50 kHz, 32-bit 100 to 250 kHz",
        ..INPUT
    };
    PULSE_HIGH: Time = Input {
        id: "steps.pulse_high",
        symbol: "t_high",
        label: "Shortest high it counts",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("3 us"),
        low: "10 ns",
        high: "10 ms",
        sure: Sure::Within("20 %"),
        layer: 3,
        means: Means::Setting,
        help: "Firmware or input stage: shortest high it still counts",
        ..INPUT
    };
    PULSE_LOW: Time = Input {
        id: "steps.pulse_low",
        symbol: "t_low",
        label: "Shortest low it counts",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("3 us"),
        low: "10 ns",
        high: "10 ms",
        sure: Sure::Within("20 %"),
        layer: 3,
        means: Means::Setting,
        help: "As above, low",
        ..INPUT
    };
    DIRECTION_SETUP: Time = Input {
        id: "steps.direction_setup",
        symbol: "t_setup",
        label: "Direction set-up it needs",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("5 us"),
        low: "0 s",
        high: "10 ms",
        sure: Sure::Within("20 %"),
        layer: 3,
        means: Means::Setting,
        help: "As above: direction must stand this long before a step edge",
        ..INPUT
    };
    SERVICE_TIME: Time = Input {
        id: "steps.service_time",
        symbol: "t_step",
        label: "Processor time for one pulse",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("2 us"),
        low: "0 s",
        high: "1 ms",
        sure: Sure::Within("30 %"),
        layer: 3,
        means: Means::Setting,
        help: "As edge_service_time, in the step interrupt; 0 when a timer counts the pulses",
        ..INPUT
    };
    SOURCE_PULSE_WIDTH: Time = Input {
        id: "steps.source_pulse_width",
        symbol: "t_pulse",
        label: "Pulse width that the source sends",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("5 us"),
        low: "10 ns",
        high: "10 ms",
        sure: Sure::Within("20 %"),
        layer: 3,
        means: Means::Setting,
        help: "Scope on the step output, or the setting of the pulse source",
        ..INPUT
    };
    SOURCE_DIRECTION_SETUP: Time = Input {
        id: "steps.source_direction_setup",
        symbol: "t_lead",
        label: "Direction lead that the source sends",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("10 us"),
        low: "0 s",
        high: "10 ms",
        sure: Sure::Within("20 %"),
        layer: 3,
        means: Means::Setting,
        help: "Scope: how long the direction stands before the first step edge",
        ..INPUT
    };
    DECIMALS: u32 = Input {
        id: "steps.decimals",
        symbol: "n_dec",
        label: "Decimals of the pulse source's setting",
        form: Form::Whole,
        preset: Preset::Fixed("3"),
        low: "0",
        high: "9",
        layer: 2,
        means: Means::Setting,
        help: "Type a long number into the pulse source's setting and see what it keeps",
        ..INPUT
    };
}

results! {
    after super::encoder;

    STEPS_PER_TURN: Rational = Outcome {
        id: "steps.per_turn",
        symbol: "S",
        label: "Steps in one output turn",
        measure: Measure::Count,
        meaning: "as wanted, or one for each count",
        formula: "steps.wanted_per_turn",
        source: "definition",
        shown: false,
        ..RESULT
    }, steps_per_turn;
    COUNTS_PER_STEP: Rational = Outcome {
        id: "steps.counts_per_step",
        symbol: "x",
        label: "Counts for one step",
        measure: Measure::Ratio,
        meaning: "exact",
        formula: "encoder.counts_per_output_turn / steps.per_turn",
        source: "definition, exact",
        ..RESULT
    }, counts_per_step;
    GEARING_NUMERATOR: Rational = Outcome {
        id: "steps.gearing_numerator",
        symbol: "p_g",
        label: "Numerator of the gearing fraction",
        measure: Measure::Count,
        meaning: "set in the firmware",
        formula: "'the fraction p/q nearest to counts per step with neither above the limit; ties take the smaller q'",
        source: "best rational approximation",
        ..RESULT
    }, gearing_numerator;
    GEARING_DENOMINATOR: Rational = Outcome {
        id: "steps.gearing_denominator",
        symbol: "q_g",
        label: "Denominator of the gearing fraction",
        measure: Measure::Count,
        meaning: "set in the firmware",
        formula: "'the fraction p/q nearest to counts per step with neither above the limit; ties take the smaller q'",
        source: "best rational approximation",
        ..RESULT
    }, gearing_denominator;
    GEARING_DRIFT: Angle = Outcome {
        id: "steps.gearing_drift_per_turn",
        symbol: "Δφ_g",
        label: "Drift of the gearing fraction each turn",
        measure: Measure::Angle,
        meaning: "gained for every commanded turn",
        formula: "2 * pi * (steps.gearing_numerator / steps.gearing_denominator / steps.counts_per_step - 1)",
        source: "formed in exact fractions first",
        ..RESULT
    }, gearing_drift;
    ANGLE_PER_STEP: Angle = Outcome {
        id: "steps.angle_per_step",
        symbol: "φ_step",
        label: "Angle of one step",
        measure: Measure::Angle,
        meaning: "at the output",
        formula: "2 * pi / steps.per_turn",
        source: "definition",
        ..RESULT
    }, angle_per_step;
    TRAVEL_PER_STEP: Length = Outcome {
        id: "steps.travel_per_step",
        symbol: "s_step",
        label: "Travel of one step",
        measure: Measure::Length,
        meaning: "at the load",
        formula: "axis.travel_per_turn / (steps.per_turn * axis.last_stage)",
        source: "geometry",
        ..RESULT
    }, travel_per_step;
    PER_UNIT: PerUnit = Outcome {
        id: "steps.per_unit",
        symbol: "k_s",
        label: "Steps for each unit of travel",
        measure: Measure::PerMillimetre,
        meaning: "what the pulse source would have to be set to",
        formula: "steps.per_turn * axis.last_stage / (1000 * axis.travel_per_turn)",
        source: "definition",
        ..RESULT
    }, per_unit;
    PER_UNIT_ROUNDED: PerUnit = Outcome {
        id: "steps.per_unit_rounded",
        symbol: "k_set",
        label: "The same, rounded to the source’s decimals",
        measure: Measure::PerMillimetre,
        meaning: "set the pulse source to this",
        formula: "'rounded half away from zero at the decimals that the source keeps'",
        source: "definition",
        ..RESULT
    }, per_unit_rounded;
    ROUNDING_ERROR: Travel = Outcome {
        id: "steps.rounding_error_over_travel",
        symbol: "e_round",
        label: "Rounding error over the move",
        measure: Measure::Angle,
        meaning: "above 0: too far",
        formula: "axis.distance_at_load * (steps.per_unit_rounded / steps.per_unit - 1)",
        source: "definition",
        ..RESULT
    }, rounding_error;
    RATE_LIMIT: Frequency = Outcome {
        id: "steps.rate_limit",
        symbol: "f_max",
        label: "Greatest step rate",
        measure: Measure::Frequency,
        meaning: "source and input together",
        formula: "min(steps.controller_rate_limit, 1 / (steps.pulse_high + steps.pulse_low))",
        source: "definition",
        ..RESULT
    }, rate_limit;
    SPEED_LIMIT: AngularVelocity = Outcome {
        id: "steps.speed_limit",
        symbol: "ω_rate",
        label: "Output speed at that rate",
        measure: Measure::Speed,
        meaning: "faster cannot be commanded",
        formula: "2 * pi * steps.rate_limit / steps.per_turn",
        source: "definition",
        ..RESULT
    }, speed_limit;
    RATE_NEEDED: Frequency = Outcome {
        id: "steps.rate_needed",
        symbol: "f_need",
        label: "Step rate of the move",
        measure: Measure::Frequency,
        meaning: "at its peak speed",
        formula: "move.peak_speed * steps.per_turn / (2 * pi)",
        source: "definition",
        ..RESULT
    }, rate_needed;
}

/// Steps in one output turn as a factor.
pub const STEPS_NOW: Key<Ratio> = STEPS_PER_TURN.as_ratio();

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
        .ok_or(BEYOND)
}

/// Numerator and denominator of the gearing fraction.
///
/// # Errors
/// When there is none.
pub fn gearing(c: &Eval<'_>) -> Result<(u64, u64), Absent> {
    formulas::gearing(c.exact(COUNTS_PER_STEP)?, c.get(GEARING_LIMIT)? as u64).ok_or(
        Absent::impossible("counts per step lie outside what a fraction with this limit can hold"),
    )
}

fn gearing_numerator(c: &Eval<'_>) -> Result<Rational, Absent> {
    ratio::exact(gearing(c)?.0.into(), 1)
        .map(Rational)
        .ok_or(BEYOND)
}

fn gearing_denominator(c: &Eval<'_>) -> Result<Rational, Absent> {
    ratio::exact(gearing(c)?.1.into(), 1)
        .map(Rational)
        .ok_or(BEYOND)
}

fn gearing_drift(c: &Eval<'_>) -> Result<Angle, Absent> {
    let whole = |key| c.exact(key).map(|e| u64::try_from(*e.numer()).unwrap_or(0));
    let fraction = (whole(GEARING_NUMERATOR)?, whole(GEARING_DENOMINATOR)?);
    formulas::drift_per_turn(fraction, c.exact(COUNTS_PER_STEP)?).ok_or(BEYOND)
}

fn angle_per_step(c: &Eval<'_>) -> Result<Angle, Absent> {
    formulas::angle_per_step(c.exact(STEPS_PER_TURN)?).ok_or(BEYOND)
}

/// Steps in one turn of the axis.
fn steps_per_axis_turn(c: &Eval<'_>) -> Result<Exact, Absent> {
    ratio::multiply(c.exact(STEPS_PER_TURN)?, c.exact(axis::LAST_STAGE)?).ok_or(BEYOND)
}

fn travel_per_step(c: &Eval<'_>) -> Result<Length, Absent> {
    formulas::travel_per_step(c.get(axis::TURN_TRAVEL)?, steps_per_axis_turn(c)?).ok_or(BEYOND)
}

fn setting<'c>(c: &'c Eval<'_>) -> Result<&'c (formulas::PerUnit, Measure), Absent> {
    c.part(&c.parts.setting, |c| {
        let (unit, measure) = if c.get(axis::KIND)?.is_linear() {
            (
                formulas::Unit::Millimeter(axis::turn_travel(c)?),
                Measure::PerMillimetre,
            )
        } else {
            (formulas::Unit::Degree, Measure::PerDegree)
        };
        let made =
            formulas::per_unit(steps_per_axis_turn(c)?, unit, c.get(DECIMALS)?).ok_or(BEYOND)?;
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
    .ok_or(BEYOND)
}

fn speed_limit(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    formulas::speed_limit(c.get(RATE_LIMIT)?, c.exact(STEPS_PER_TURN)?).ok_or(BEYOND)
}

fn rate_needed(c: &Eval<'_>) -> Result<Frequency, Absent> {
    Ok(c.get(movement::PEAK_SPEED)? / c.get(ANGLE_PER_STEP)?)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.step_rate",
        label: "Step rate of the source and the input",
        under: "the move needs {steps.rate_needed}, source and input give {steps.rate_limit}",
        station: Station::Steps,
        measure: Measure::Frequency,
        room: step_rate_room,
    },
    Check {
        id: "check.rounding",
        label: "Rounding over the move",
        under: "rounded settings end up to {steps.rounding_error_over_travel} off, you ask {axis.tolerance_at_load}",
        station: Station::Steps,
        measure: Measure::Angle,
        room: rounding_room,
    },
    Check {
        id: "check.pulse_width",
        label: "Pulse width against what the input counts",
        under: "the source sends pulses of {steps.source_pulse_width}, the input needs {steps.pulse_high}",
        station: Station::Steps,
        measure: Measure::Time,
        room: pulse_room,
    },
    Check {
        id: "check.direction_lead",
        label: "Direction lead against what the input needs",
        under: "the direction stands {steps.source_direction_setup} before a step, the input needs {steps.direction_setup}",
        station: Station::Steps,
        measure: Measure::Time,
        room: lead_room,
    },
];

fn step_rate_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    Ok(Some(Room::of(c.get(RATE_LIMIT)?, c.get(RATE_NEEDED)?)))
}

fn rounding_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let distance = c.travel(axis::DISTANCE_AT_LOAD)?;
    let share = c.get(GEARING_DRIFT)?.value.abs() / core::f64::consts::TAU;
    let rounding = c.travel(ROUNDING_ERROR)?.raw().abs();
    let drift = |size: f64| size * share + rounding;
    let need = match distance {
        Travel::Angle(angle) => Travel::Angle(Physical::from_raw(drift(angle.value))),
        Travel::Length(length) => Travel::Length(Physical::from_raw(drift(length.value))),
    };
    Ok(Some(Room::of_travel(
        c.travel(axis::TOLERANCE_AT_LOAD)?,
        need,
    )))
}

fn pulse_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    Ok(Some(Room::of(
        c.get(SOURCE_PULSE_WIDTH)?,
        c.get(PULSE_HIGH)?,
    )))
}

fn lead_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    Ok(Some(Room::of(
        c.get(SOURCE_DIRECTION_SETUP)?,
        c.get(DIRECTION_SETUP)?,
    )))
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "step_finer_than_count",
        station: Station::Steps,
        message: "One step is finer than one count ({steps.counts_per_step} of it): steps in between move nothing.",
        numbers: &["steps.counts_per_step"],
        when: finer,
    },
    Finding {
        id: "rounding_adds_up",
        station: Station::Steps,
        message: "Rounded to its decimals the pulse source ends {steps.rounding_error_over_travel} off over the move, {axis.tolerance_at_load} are allowed. Use more decimals, or wanted steps that divide evenly.",
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
        message: "The move needs {steps.rate_needed}, source and input give {steps.rate_limit}. Ask fewer steps a turn, or move slower.",
        numbers: &["steps.rate_needed", "steps.rate_limit"],
        when: rate_low,
    },
];

fn finer(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((c.get(COUNTS_PER_STEP.as_ratio())?.value < 1.0).then_some(Severity::Note))
}

fn adds_up(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    encoder::under(rounding_room(c)?)
}

fn rate_low(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    encoder::under(step_rate_room(c)?)
}
