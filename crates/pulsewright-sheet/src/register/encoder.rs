//! Magnet and Hall sensors on the motor shaft.

use pulsewright_calc::encoder as formulas;
use pulsewright_calc::ratio;
use pulsewright_calc::units::{
    Angle, AngularVelocity, Frequency, Length, MagneticFluxDensity, Ratio, Time,
};

use super::{
    Form, INPUT, Input, Key, Means, Must, Outcome, Preset, RESULT, Rational, Rule, Station, Sure,
    axis, drive, gears, steps,
};
use crate::check::{Check, Room, Status};
use crate::eval::{Absent, BEYOND, Code, Eval};
use crate::finding::{Finding, Severity};
use crate::unit::Measure;

fn edges_counted(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok(if c.get(SENSORS)? == 2 { 4.0 } else { 2.0 })
}

fn edges_there_are(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok(2.0 * c.bare(SENSORS)?)
}

inputs! {
    after super::gears;

    POLE_PAIRS: u32 = Input {
        id: "encoder.pole_pairs",
        symbol: "p",
        label: "Pole pairs of the magnet",
        form: Form::Whole,
        preset: Preset::Fixed("3"),
        low: "1",
        high: "64",
        layer: 1,
        because: "a magnet has at least one north and one south, and rings with more than 64 pairs are finer than these sensors",
        means: Means::Fitted,
        help: "Scope or LED on one sensor, one slow turn of the rear shaft: high pulses = pole pairs",
        ..INPUT
    };
    SENSORS: u32 = Input {
        id: "encoder.sensors",
        symbol: "n_sensors",
        label: "Sensors",
        form: Form::Whole,
        preset: Preset::Fixed("2"),
        low: "1",
        high: "2",
        layer: 2,
        because: "one counts, two tell the direction, and no more are read here",
        means: Means::Fitted,
        help: "Count them; one sensor can't tell direction",
        ..INPUT
    };
    EDGES_COUNTED: u32 = Input {
        id: "encoder.edges_counted",
        symbol: "q_edges",
        label: "Edges counted per magnet cycle",
        form: Form::Whole,
        preset: Preset::From(edges_counted, "4 with two sensors, 2 with one"),
        low: "1",
        high: "4",
        layer: 2,
        because: "two sensors have four edges a cycle, one has two", rules: &[Rule { must: Must::AtMost, than: edges_there_are, name: "two edges a sensor", because: "edges that are not there cannot be counted" }],
        means: Means::Nothing,
        help: "Firmware: both edges of both sensors = 4",
        ..INPUT
    };
    SENSOR_SPACING: Angle = Input {
        id: "encoder.sensor_spacing",
        symbol: "θ_s",
        label: "Angle between the sensors",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::Fixed("90 deg"),
        low: ">0 deg",
        high: "<360 deg",
        sure: Sure::Near,
        layer: 1,
        because: "a full turn apart is the same place",
        means: Means::Fitted,
        help: "Board drawing: angle between the sensors seen from the shaft",
        ..INPUT
    };
    PLACEMENT_ERROR: Length = Input {
        id: "encoder.placement_error",
        symbol: "e_s",
        label: "Placement error of the sensors",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Fixed("0.2 mm"),
        low: "0 mm",
        high: "3 mm",
        sure: Sure::Near,
        layer: 3,
        means: Means::Fitted,
        help: "Board and soldering: 0.1 mm by machine, 0.2 to 0.3 mm by hand, between the two sensors",
        ..INPUT
    };
    PLACEMENT_RADIUS: Length = Input {
        id: "encoder.placement_radius",
        symbol: "r_s",
        label: "Radius on which the sensors sit",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByClass(["3 mm", "4 mm", "5 mm", "6 mm"]),
        low: "0.5 mm",
        high: "50 mm",
        sure: Sure::Within("5 %"),
        layer: 2,
        means: Means::Fitted,
        help: "Shaft centre to the sensor's active spot",
        ..INPUT
    };
    DUTY_ERROR: Angle = Input {
        id: "encoder.duty_error",
        symbol: "δ_duty",
        label: "Duty error of both sensors, electrical",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::Fixed("12 deg"),
        low: "0 deg",
        high: "90 deg",
        sure: Sure::Near,
        layer: 3,
        means: Means::Bought,
        help: "Scope, steady speed, each sensor: 360° × (high share of the period − ½); add the two",
        ..INPUT
    };
    EDGE_SERVICE_TIME: Time = Input {
        id: "encoder.edge_service_time",
        symbol: "t_edge",
        label: "Processor time for one edge",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("3 us"),
        low: "0 s",
        high: "1 ms",
        sure: Sure::Within("30 %"),
        layer: 3,
        means: Means::Setting,
        help: "Raise a spare pin on entering the interrupt, drop it on leaving, scope it. 0 when a timer counts",
        ..INPUT
    };
    PEAK_FIELD: MagneticFluxDensity = Input {
        id: "encoder.peak_field",
        symbol: "B_peak",
        label: "Peak field at the sensor",
        form: Form::Quantity(Measure::Field),
        preset: Preset::Fixed("30 mT"),
        low: "1 mT",
        high: "1 T",
        sure: Sure::Within("30 %"),
        layer: 3,
        means: Means::Bought,
        help: "Magnet maker's curve at your gap; or a Hall meter at the sensor's place; small multi-pole rings 20 to 60 mT",
        ..INPUT
    };
    OPERATE_POINT: MagneticFluxDensity = Input {
        id: "encoder.operate_point",
        symbol: "B_op",
        label: "Operate point of the sensor, largest",
        form: Form::Quantity(Measure::Field),
        preset: Preset::Fixed("9 mT"),
        low: "0.5 mT",
        high: "100 mT",
        sure: Sure::Near,
        layer: 3,
        means: Means::Bought,
        help: "Sensor's data sheet, largest operate point",
        ..INPUT
    };
}

results! {
    after super::gears;

    COUNTS_PER_MOTOR_TURN: Rational = Outcome {
        id: "encoder.counts_per_motor_turn",
        symbol: "C_m",
        label: "Counts in one motor turn",
        measure: Measure::Count,
        meaning: "edges that the firmware counts",
        formula: "encoder.edges_counted * encoder.pole_pairs",
        source: "definition",
        ..RESULT
    }, counts_per_motor_turn;
    COUNTS_PER_OUTPUT_TURN: Rational = Outcome {
        id: "encoder.counts_per_output_turn",
        symbol: "C",
        label: "Counts in one output turn",
        measure: Measure::Count,
        meaning: "at the gear motor’s output",
        formula: "encoder.counts_per_motor_turn * gears.exact_ratio",
        source: "definition, exact",
        ..RESULT
    }, counts_per_output_turn;
    ANGLE_PER_COUNT: Angle = Outcome {
        id: "encoder.angle_per_count",
        symbol: "φ_count",
        label: "Angle of one count",
        measure: Measure::Angle,
        meaning: "at the output",
        formula: "2 * pi / encoder.counts_per_output_turn",
        source: "definition",
        ..RESULT
    }, angle_per_count;
    ARC_PER_COUNT: Length = Outcome {
        id: "encoder.arc_per_count",
        symbol: "s_count",
        label: "Travel of one count",
        measure: Measure::Length,
        meaning: "at the load",
        formula: "axis.travel_per_turn / (encoder.counts_per_output_turn * axis.last_stage)",
        source: "geometry",
        ..RESULT
    }, arc_per_count;
    ELECTRICAL_SPACING: Angle = Outcome {
        id: "encoder.electrical_spacing",
        symbol: "θ_e",
        label: "Electrical angle between the sensors",
        measure: Measure::Angle,
        meaning: "90° or 270° is quadrature",
        formula: "mod(encoder.pole_pairs * encoder.sensor_spacing, 2 * pi)",
        source: "electrical angle = pole pairs × mechanical angle",
        ..RESULT
    }, electrical_spacing;
    PHASE_ERROR: Angle = Outcome {
        id: "encoder.phase_error",
        symbol: "δ_phase",
        label: "Distance from quadrature",
        measure: Measure::Angle,
        meaning: "electrical; 90° means no direction at all",
        formula: "min(abs(encoder.electrical_spacing - pi / 2), abs(encoder.electrical_spacing - 3 * pi / 2))",
        source: "definition",
        ..RESULT
    }, phase_error;
    DIRECTION: f64 = Outcome {
        id: "encoder.direction",
        symbol: "direction_counts",
        label: "Direction of the counts",
        measure: Measure::Ratio,
        meaning: "1 forward, −1 backward, 0 none",
        formula: "'1 near 90°, −1 near 270°, 0 with one sensor or no quadrature'",
        source: "quadrature decoding",
        words: Some(direction_words),
        ..RESULT
    }, direction;
    PLACEMENT_PHASE_ERROR: Angle = Outcome {
        id: "encoder.placement_phase_error",
        symbol: "δ_place",
        label: "Phase error of placing the sensors",
        measure: Measure::Angle,
        meaning: "electrical",
        formula: "encoder.pole_pairs * encoder.placement_error / encoder.placement_radius",
        source: "arc over radius, times the pole pairs",
        ..RESULT
    }, placement_phase_error;
    GOOD_SPACINGS: Angle = Outcome {
        id: "encoder.good_spacings",
        symbol: "θ_good",
        label: "Places for the second sensor",
        measure: Measure::Angle,
        meaning: "mechanical; the nearest one is computed, every one is listed",
        formula: "'90°·(2k + 1)/pole pairs; the one nearest to the spacing entered'",
        source: "quadrature",
        words: Some(good_spacing_words),
        ..RESULT
    }, good_spacing;
    EDGE_RATE: Frequency = Outcome {
        id: "encoder.edge_rate",
        symbol: "f_edge",
        label: "Edges each second at top speed",
        measure: Measure::Frequency,
        meaning: "at the highest supply voltage, no load",
        formula: "encoder.counts_per_motor_turn * drive.top_speed * gears.exact_ratio / (2 * pi)",
        source: "definition",
        ..RESULT
    }, edge_rate;
    SHORTEST_EDGE_GAP: Time = Outcome {
        id: "encoder.shortest_edge_gap",
        symbol: "t_gap",
        label: "Shortest time between two edges",
        measure: Measure::Time,
        meaning: "0 or below: edges are lost",
        formula: "(pi / 2 - encoder.phase_error - encoder.placement_phase_error - encoder.duty_error) / (encoder.pole_pairs * drive.top_speed * gears.exact_ratio)",
        source: "geometry of quadrature signals, all errors at their worst",
        ..RESULT
    }, shortest_edge_gap;
    PROCESSOR_LOAD: Ratio = Outcome {
        id: "encoder.processor_load",
        symbol: "u_edge",
        label: "Processor time for the edges",
        measure: Measure::Share,
        meaning: "share of all its time",
        formula: "encoder.edge_rate * encoder.edge_service_time",
        source: "definition",
        ..RESULT
    }, processor_load;
    FIELD_MARGIN: Ratio = Outcome {
        id: "encoder.field_margin",
        symbol: "m_field",
        label: "Field over operate point",
        measure: Measure::Ratio,
        meaning: "2 or more at the largest gap",
        formula: "encoder.peak_field / encoder.operate_point",
        source: "definition",
        ..RESULT
    }, field_margin;
    HYSTERESIS_SHIFT: Angle = Outcome {
        id: "encoder.hysteresis_shift",
        symbol: "δ_hyst",
        label: "Shift of an edge by the operate point",
        measure: Measure::Angle,
        meaning: "electrical",
        formula: "asin(encoder.operate_point / encoder.peak_field)",
        source: "sine-shaped field",
        ..RESULT
    }, hysteresis_shift;
}

/// Counts in one motor turn as a factor.
pub const COUNTS_NOW: Key<Ratio> = COUNTS_PER_MOTOR_TURN.as_ratio();

fn counts(c: &Eval<'_>) -> Result<u64, Absent> {
    let edges = c.get(EDGES_COUNTED)?;
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
        .ok_or(BEYOND)
}

fn counts_per_output_turn(c: &Eval<'_>) -> Result<Rational, Absent> {
    formulas::counts_per_output_turn(counts(c)?, c.exact(gears::EXACT_RATIO)?)
        .map(Rational)
        .ok_or(BEYOND)
}

fn angle_per_count(c: &Eval<'_>) -> Result<Angle, Absent> {
    formulas::angle_per_count(c.exact(COUNTS_PER_OUTPUT_TURN)?).ok_or(BEYOND)
}

fn arc_per_count(c: &Eval<'_>) -> Result<Length, Absent> {
    let at_axis = ratio::multiply(c.exact(COUNTS_PER_OUTPUT_TURN)?, c.exact(axis::LAST_STAGE)?)
        .ok_or(BEYOND)?;
    formulas::arc_per_count(c.get(axis::TURN_TRAVEL)?, at_axis).ok_or(BEYOND)
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
            "one sensor stands in no angle to another",
        ))
    }
}

fn phase_error(c: &Eval<'_>) -> Result<Angle, Absent> {
    Ok(formulas::phase_error(c.get(ELECTRICAL_SPACING)?))
}

/// Which way the sensors count.
///
/// # Errors
/// When they are not understood.
pub fn way(c: &Eval<'_>) -> Result<formulas::Direction, Absent> {
    if c.get(SENSORS)? < 2 {
        return Ok(formulas::Direction::None);
    }
    Ok(formulas::direction(2, c.get(ELECTRICAL_SPACING)?))
}

fn direction(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok(match way(c)? {
        formulas::Direction::Forward => 1.0,
        formulas::Direction::Backward => -1.0,
        formulas::Direction::None => 0.0,
    })
}

fn direction_words(c: &Eval<'_>) -> Option<String> {
    let words = match way(c).ok()? {
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
    .ok_or(BEYOND)
}

/// Every mechanical angle at which a second sensor gives direction.
fn good_places(pole_pairs: u32) -> impl Iterator<Item = Angle> {
    (0..2 * pole_pairs).filter_map(move |k| formulas::good_spacing(pole_pairs, k))
}

fn good_spacing(c: &Eval<'_>) -> Result<Angle, Absent> {
    let here = c.get(SENSOR_SPACING)?;
    good_places(c.get(POLE_PAIRS)?)
        .min_by(|a, b| (*a - here).abs().value.total_cmp(&(*b - here).abs().value))
        .ok_or(BEYOND)
}

fn good_spacing_words(c: &Eval<'_>) -> Option<String> {
    let pole_pairs = c.get(POLE_PAIRS).ok()?;
    let all = 2 * pole_pairs;
    let mut out = String::new();
    for (at, place) in good_places(pole_pairs).take(8).enumerate() {
        if at > 0 {
            out.push_str(", ");
        }
        out.push_str(&c.manner.number(place.value.to_degrees(), 4));
        out.push('°');
    }
    if all > 8 {
        out.push_str(" and so on, every ");
        out.push_str(&c.manner.number(180.0 / f64::from(pole_pairs), 4));
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
    formulas::field_margin(c.get(PEAK_FIELD)?, c.get(OPERATE_POINT)?).ok_or(BEYOND)
}

fn hysteresis_shift(c: &Eval<'_>) -> Result<Angle, Absent> {
    formulas::hysteresis_shift(c.get(PEAK_FIELD)?, c.get(OPERATE_POINT)?).ok_or(Absent::impossible(
        "the field never reaches the operate point: the sensor does not switch",
    ))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.resolution",
        label: "Counts and steps against the error allowed",
        under: "one count or step is coarser than the error that you allow, {axis.tolerance_at_load}",
        station: Station::Encoder,
        measure: Measure::Angle,
        room: resolution_room,
    },
    Check {
        id: "check.field",
        label: "Field at the sensor",
        under: "the magnet gives {encoder.peak_field} at the sensor, twice the operate point of {encoder.operate_point} is wanted",
        station: Station::Encoder,
        measure: Measure::Field,
        room: field_room,
    },
    Check {
        id: "check.edge_gap",
        label: "Shortest time between edges",
        under: "edges follow each other after {encoder.shortest_edge_gap} at top speed, faster than they can be served",
        station: Station::Encoder,
        measure: Measure::Time,
        room: edge_gap_room,
    },
    Check {
        id: "check.processor_load",
        label: "Processor time for edges and pulses",
        under: "edges and pulses take more of the processor than the 0.7 that leaves it time for the loop",
        station: Station::Encoder,
        measure: Measure::Share,
        room: processor_room,
    },
];

fn resolution_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let (count, step) = (c.get(ANGLE_PER_COUNT)?, c.get(steps::ANGLE_PER_STEP)?);
    let coarser = if count > step { count } else { step };
    Ok(Some(Room::of_travel(
        c.travel(axis::TOLERANCE_AT_LOAD)?,
        axis::at_load(c, coarser)?,
    )))
}

fn field_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    Ok(Some(Room::of(
        c.get(PEAK_FIELD)?,
        2.0 * c.get(OPERATE_POINT)?,
    )))
}

/// Least time that any counter needs between two edges (common practice, no source).
pub(super) const LEAST_GAP: f64 = 1e-6;

fn edge_gap_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let need = c.get(EDGE_SERVICE_TIME)?.value.max(LEAST_GAP);
    match c.get(SHORTEST_EDGE_GAP) {
        Ok(gap) => Ok(Some(Room::of(gap.value, need))),
        Err(absent) if absent.code == Code::Unlimited => Ok(Some(Room::of(1.0, 0.0))),
        Err(absent) => Err(absent),
    }
}

/// Share of the processor that edges and pulses may take (common practice, no source).
const MOST_LOAD: f64 = 0.7;

fn processor_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let pulses = c.get(steps::RATE_NEEDED)? * c.get(steps::SERVICE_TIME)?;
    Ok(Some(Room::of(
        MOST_LOAD,
        c.get(PROCESSOR_LOAD)?.value + pulses.value,
    )))
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "no_direction",
        station: Station::Encoder,
        message: "These sensors give no direction: with {encoder.pole_pairs} pole pairs they stand {encoder.electrical_spacing} apart electrically. Put the second one at {encoder.good_spacings}.",
        numbers: &[
            "encoder.electrical_spacing",
            "encoder.phase_error",
            "encoder.good_spacings",
        ],
        when: no_direction,
    },
    Finding {
        id: "counts_run_backwards",
        station: Station::Encoder,
        message: "At {encoder.electrical_spacing} electrical the counts run the other way round: swap the two sensor signals or the two motor wires, never both.",
        numbers: &["encoder.electrical_spacing"],
        when: backwards,
    },
    Finding {
        id: "edges_lost",
        station: Station::Encoder,
        message: "Phase, placement and duty errors together leave no time between two edges: counts are lost at any speed.",
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
        message: "Edges and pulses ask more of the processor than 0.7 of its time: {encoder.edge_rate} edges and {steps.rate_needed} pulses a second. Count in hardware, count fewer edges, or go slower.",
        numbers: &[
            "encoder.edge_rate",
            "encoder.processor_load",
            "steps.rate_needed",
        ],
        when: overloaded,
    },
];

fn no_direction(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((way(c)? == formulas::Direction::None).then_some(Severity::Fault))
}

fn backwards(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((way(c)? == formulas::Direction::Backward).then_some(Severity::Note))
}

fn edges_lost(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((c.get(SHORTEST_EDGE_GAP)?.value <= 0.0).then_some(Severity::Fault))
}

fn overloaded(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(processor_room(c)?)
}

/// A fault where a check's room is under.
pub(super) fn under(room: Option<Room>) -> Result<Option<Severity>, Absent> {
    Ok(room
        .filter(|r| r.status() == Status::Under)
        .map(|_| Severity::Fault))
}
