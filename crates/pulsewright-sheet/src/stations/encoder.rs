//! Magnet and Hall sensors on the motor shaft.

use super::shared::{at_load, counting_direction, gives_direction, under};
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Check, Margin};
use crate::evaluation::{Finding, Severity};
use crate::evaluation::{Status, Tier};
use crate::register::encoder::*;
use crate::register::{Rational, Station, axis, drive, gears, steps};
use crate::text::measure::Measure;
use pulsewright_calc::encoder as formulas;
use pulsewright_calc::ratio;
use pulsewright_calc::units::{Angle, AngularVelocity, Frequency, Length, Ratio, Time};

station! { encoder;
    results {
        COUNTS_PER_MOTOR_TURN = counts_per_motor_turn;
        COUNTS_PER_OUTPUT_TURN = counts_per_output_turn;
        ANGLE_PER_COUNT = angle_per_count;
        ARC_PER_COUNT = arc_per_count;
        ELECTRICAL_SPACING = electrical_spacing;
        PHASE_ERROR = phase_error;
        DIRECTION = direction;
        PLACEMENT_PHASE_ERROR = placement_phase_error;
        VALID_SPACINGS = good_spacing;
        EDGE_RATE = edge_rate;
        SHORTEST_EDGE_GAP = shortest_edge_gap;
        PROCESSOR_LOAD = processor_load;
        FIELD_MARGIN = field_margin;
        HYSTERESIS_SHIFT = hysteresis_shift;
    }
    presets {
        COUNTS_PER_POLE_PAIR = edges_counted;
        SENSOR_SPACING = sensor_spacing;
    }
    limits {
        COUNTS_PER_POLE_PAIR: AtMost edges_there_are, "two edges a sensor", "edges that are not there cannot be counted";
    }
    words {
        DIRECTION = direction_words;
        VALID_SPACINGS = good_spacing_words;
    }
}

fn edges_counted(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok(if c.get(SENSORS)? == 2 { 4.0 } else { 2.0 })
}

fn edges_there_are(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok(2.0 * c.before_limits(SENSORS)?)
}

fn counts(c: &Eval<'_>) -> Result<u64, Absent> {
    let edges = c.get(COUNTS_PER_POLE_PAIR)?;
    if edges == 3 {
        return Err(Absent::impossible(
            "firmware counts one, two or all four edges of a cycle, never three",
        ));
    }
    Ok(formulas::counts_per_motor_turn(edges, c.get(POLE_PAIRS)?))
}

fn counts_per_motor_turn(c: &Eval<'_>) -> Result<Rational, Absent> {
    ratio::exact(counts(c)?.into(), 1)
        .map(Rational)
        .ok_or(NOT_FINITE)
}

fn counts_per_output_turn(c: &Eval<'_>) -> Result<Rational, Absent> {
    formulas::counts_per_output_turn(counts(c)?, c.exact(gears::EXACT_RATIO)?)
        .map(Rational)
        .ok_or(NOT_FINITE)
}

fn angle_per_count(c: &Eval<'_>) -> Result<Angle, Absent> {
    formulas::angle_per_count(c.exact(COUNTS_PER_OUTPUT_TURN)?).ok_or(NOT_FINITE)
}

fn arc_per_count(c: &Eval<'_>) -> Result<Length, Absent> {
    let at_axis = ratio::multiply(c.exact(COUNTS_PER_OUTPUT_TURN)?, c.exact(axis::LAST_STAGE)?)
        .ok_or(NOT_FINITE)?;
    formulas::arc_per_count(c.get(axis::TURN_TRAVEL)?, at_axis).ok_or(NOT_FINITE)
}

fn electrical_spacing(c: &Eval<'_>) -> Result<Angle, Absent> {
    two_sensors(c)?;
    Ok(formulas::electrical_spacing(
        c.get(POLE_PAIRS)?,
        c.get(SENSOR_SPACING)?,
    ))
}

fn two_sensors(c: &Eval<'_>) -> Result<(), Absent> {
    if c.get(SENSORS)? == 2 {
        Ok(())
    } else {
        Err(Absent::not_asked(
            "with one sensor there is no angle between sensors",
        ))
    }
}

fn phase_error(c: &Eval<'_>) -> Result<Angle, Absent> {
    Ok(formulas::phase_error(c.get(ELECTRICAL_SPACING)?))
}

fn direction(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok(match counting_direction(c)? {
        formulas::Direction::Forward => 1.0,
        formulas::Direction::Backward => -1.0,
        formulas::Direction::None => 0.0,
    })
}

fn direction_words(c: &Eval<'_>) -> Option<String> {
    let words = match counting_direction(c).ok()? {
        formulas::Direction::Forward => "forward",
        formulas::Direction::Backward => "backward: swap the two signals",
        formulas::Direction::None => "none: it cannot tell which way it turns",
    };
    Some(words.into())
}

fn placement_phase_error(c: &Eval<'_>) -> Result<Angle, Absent> {
    two_sensors(c)?;
    formulas::placement_phase_error(
        c.get(POLE_PAIRS)?,
        c.get(PLACEMENT_ERROR)?,
        c.get(PLACEMENT_RADIUS)?,
    )
    .ok_or(NOT_FINITE)
}

/// Every mechanical angle at which a second sensor gives direction.
fn good_places(pole_pairs: u32) -> impl Iterator<Item = Angle> {
    (0..2 * pole_pairs).filter_map(move |k| formulas::good_spacing(pole_pairs, k))
}

/// Where a second sensor is assumed: at the good place nearest a quarter turn, of two the lesser.
fn sensor_spacing(c: &Eval<'_>) -> Result<f64, Absent> {
    let quarter = pulsewright_calc::units::turns(0.25);
    // A hair for two places that are as near as each other.
    let away = |place: Angle| libm::round((place - quarter).abs().value * 1e9);
    good_places(c.get(POLE_PAIRS)?)
        .min_by(|a, b| away(*a).total_cmp(&away(*b)))
        .map(|place| place.value)
        .ok_or(NOT_FINITE)
}

fn good_spacing(c: &Eval<'_>) -> Result<Angle, Absent> {
    let here = c.get(SENSOR_SPACING)?;
    good_places(c.get(POLE_PAIRS)?)
        .min_by(|a, b| (*a - here).abs().value.total_cmp(&(*b - here).abs().value))
        .ok_or(NOT_FINITE)
}

fn good_spacing_words(c: &Eval<'_>) -> Option<String> {
    let pole_pairs = c.get(POLE_PAIRS).ok()?;
    let all = 2 * pole_pairs;
    let mut out = String::new();
    for (at, place) in good_places(pole_pairs).take(8).enumerate() {
        if at > 0 {
            out.push_str(", ");
        }
        out.push_str(&c.notation.number(place.value.to_degrees(), 4));
        out.push('°');
    }
    if all > 8 {
        out.push_str(" and so on, every ");
        out.push_str(&c.notation.number(180.0 / f64::from(pole_pairs), 4));
        out.push('°');
    }
    Some(out)
}

/// Top speed of the motor shaft.
fn top_motor_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    Ok((c.get(drive::TOP_SPEED)? * c.get(gears::RATIO_NOW)?).into())
}

fn edge_rate(c: &Eval<'_>) -> Result<Frequency, Absent> {
    Ok(formulas::edge_rate(counts(c)?, top_motor_speed(c)?))
}

fn shortest_edge_gap(c: &Eval<'_>) -> Result<Time, Absent> {
    let sensors = c.get(SENSORS)?;
    let duty = c.get(DUTY_ERROR)?;
    let errors = if sensors < 2 {
        c.working("(pi - encoder.duty_error) / (encoder.pole_pairs * drive.top_speed * gears.exact_ratio)");
        formulas::SignalErrors {
            phase: Angle::default(),
            placement: Angle::default(),
            duty,
        }
    } else {
        formulas::SignalErrors {
            phase: c.get(PHASE_ERROR)?,
            placement: c.get(PLACEMENT_PHASE_ERROR)?,
            duty,
        }
    };
    formulas::shortest_edge_gap(sensors, errors, c.get(POLE_PAIRS)?, top_motor_speed(c)?).ok_or(
        Absent::unlimited("the motor does not turn, so no edge follows another"),
    )
}

fn processor_load(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::processor_load(
        c.get(EDGE_RATE)?,
        c.get(EDGE_SERVICE_TIME)?,
    ))
}

fn field_margin(c: &Eval<'_>) -> Result<Ratio, Absent> {
    formulas::field_margin(c.get(PEAK_FIELD)?, c.get(OPERATE_POINT)?).ok_or(NOT_FINITE)
}

fn hysteresis_shift(c: &Eval<'_>) -> Result<Angle, Absent> {
    formulas::hysteresis_shift(c.get(PEAK_FIELD)?, c.get(OPERATE_POINT)?).ok_or(Absent::impossible(
        "the field does not reach B_OP: the sensor does not switch",
    ))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.direction",
        label: "Direction from the sensors (phase error)",
        failing: "the sensors give no direction",
        tier: Tier::Signals,
        station: Station::Encoder,
        measure: Measure::Angle,
        limit: true,
        margin: direction_check,
    },
    Check {
        id: "check.edges",
        label: "Encoder edges",
        failing: "phase, placement and duty errors add up to a quarter period: counts are lost at any speed",
        tier: Tier::Signals,
        station: Station::Encoder,
        measure: Measure::Angle,
        limit: true,
        margin: edges_check,
    },
    Check {
        id: "check.resolution",
        label: "Resolution of encoder and steps",
        failing: "one count or step is larger than the position tolerance of {axis.tolerance_at_load}",
        tier: Tier::Exactness,
        station: Station::Encoder,
        measure: Measure::Angle,
        limit: true,
        margin: resolution_check,
    },
    Check {
        id: "check.field",
        label: "Field at the sensor",
        failing: "{encoder.peak_field} at the sensor; at least 2 × B_OP ({encoder.operate_point}) is needed",
        tier: Tier::Signals,
        station: Station::Encoder,
        measure: Measure::Field,
        limit: false,
        margin: field_check,
    },
    Check {
        id: "check.edge_gap",
        label: "Time between encoder edges",
        failing: "at top speed edges are {encoder.shortest_edge_gap} apart, too short for the processor",
        tier: Tier::Signals,
        station: Station::Encoder,
        measure: Measure::Time,
        limit: false,
        margin: edge_gap_check,
    },
    Check {
        id: "check.processor_load",
        label: "CPU load of encoder and step interrupts",
        failing: "encoder and step interrupts take more than 70 % of the CPU time; the loop needs the rest",
        tier: Tier::Signals,
        station: Station::Encoder,
        measure: Measure::Share,
        limit: true,
        margin: processor_check,
    },
];

/// A quarter of an electrical turn against the distance from it; one sensor has none.
fn direction_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    if c.get(SENSORS)? < 2 {
        return Ok(Some(Margin {
            measure: Some(Measure::Count),
            ..Margin::of(1_u32, 2_u32)
        }));
    }
    let quarter = pulsewright_calc::units::turns(0.25);
    let error = c.get(PHASE_ERROR)?;
    Ok(Some(match counting_direction(c)? {
        formulas::Direction::None => Margin {
            at_best: Status::Fails,
            ..Margin::of(quarter, error)
        },
        _ => Margin::of(quarter, error),
    }))
}

const NO_DIRECTION: Absent = Absent::waits("waits: the sensors give no direction");

/// Whether two sensors stand so that they give no direction.
fn undirected(c: &Eval<'_>) -> Result<bool, Absent> {
    Ok(c.get(SENSORS)? > 1 && counting_direction(c)? == formulas::Direction::None)
}

/// The angle between two edges against the errors that can eat it up.
fn edges_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let duty = c.get(DUTY_ERROR)?;
    if c.get(SENSORS)? < 2 {
        return Ok(Some(Margin::of(pulsewright_calc::units::turns(0.5), duty)));
    }
    if undirected(c)? {
        return Err(NO_DIRECTION);
    }
    let errors = c.get(PHASE_ERROR)? + c.get(PLACEMENT_PHASE_ERROR)? + duty;
    Ok(Some(Margin::of(
        pulsewright_calc::units::turns(0.25),
        errors,
    )))
}

fn resolution_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let (count, step) = (c.get(ANGLE_PER_COUNT)?, c.get(steps::ANGLE_PER_STEP)?);
    let coarser = if count > step { count } else { step };
    Ok(Some(Margin::of_travel(
        c.travel(axis::TOLERANCE_AT_LOAD)?,
        at_load(c, coarser)?,
    )))
}

fn field_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    Ok(Some(Margin::of(
        c.get(PEAK_FIELD)?,
        2.0 * c.get(OPERATE_POINT)?,
    )))
}

fn edge_gap_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    gives_direction(c)?;
    let need = c
        .get(EDGE_SERVICE_TIME)?
        .value
        .max(super::shared::LEAST_GAP);
    if undirected(c)? {
        return Err(NO_DIRECTION);
    }
    match c.get(SHORTEST_EDGE_GAP) {
        // Without any time between two edges none is too short.
        Ok(gap) if gap.value <= 0.0 => Err(Absent::waits("waits: edges are lost at any speed")),
        Ok(gap) => Ok(Some(Margin::of(gap.value, need))),
        Err(absent) if absent.code == Code::Unlimited => Ok(Some(Margin::of(1.0, 0.0))),
        Err(absent) => Err(absent),
    }
}

/// Share of the processor that edges and pulses may take (common practice, no source).
const MOST_LOAD: f64 = 0.7;

fn processor_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let pulses = c.get(steps::RATE_NEEDED)? * c.get(steps::SERVICE_TIME)?;
    Ok(Some(Margin::of(
        MOST_LOAD,
        c.get(PROCESSOR_LOAD)?.value + pulses.value,
    )))
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "no_direction",
        station: Station::Encoder,
        message: "These sensors give no direction[: with {encoder.pole_pairs} pole pairs their electrical angle is {encoder.electrical_spacing}]. Place the second sensor at {encoder.valid_spacings}.",
        numbers: &[
            "encoder.electrical_spacing",
            "encoder.phase_error",
            "encoder.valid_spacings",
        ],
        when: no_direction,
    },
    Finding {
        id: "counts_reversed",
        station: Station::Encoder,
        message: "At an electrical angle of {encoder.electrical_spacing} the count direction is reversed. Swap the two sensor signals or the two motor wires, never both.",
        numbers: &["encoder.electrical_spacing"],
        when: backwards,
    },
    Finding {
        id: "edges_lost",
        station: Station::Encoder,
        message: "Phase, placement and duty errors add up to a quarter period: counts are lost at any speed.",
        numbers: &[
            "encoder.shortest_edge_gap",
            "encoder.phase_error",
            "encoder.placement_phase_error",
        ],
        when: edges_lost,
    },
    Finding {
        id: "processor_overloaded",
        station: Station::Encoder,
        message: "Encoder and step interrupts take more than 70 % of the CPU time: edge rate {encoder.edge_rate}, step rate {steps.rate_needed}. Count in hardware, count fewer edges, or move slower.",
        numbers: &[
            "encoder.edge_rate",
            "encoder.processor_load",
            "steps.rate_needed",
        ],
        when: overloaded,
    },
];

fn no_direction(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((counting_direction(c)? == formulas::Direction::None).then_some(Severity::Fault))
}

fn backwards(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((counting_direction(c)? == formulas::Direction::Backward).then_some(Severity::Note))
}

fn edges_lost(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    if undirected(c)? {
        return Ok(None);
    }
    Ok((c.get(SHORTEST_EDGE_GAP)?.value <= 0.0).then_some(Severity::Fault))
}

fn overloaded(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(processor_check(c)?)
}
