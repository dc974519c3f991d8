//! Magnet and Hall sensors on the motor shaft.

use super::key::{Key, Rational};
use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition,
    Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::units::{Angle, Frequency, Length, MagneticFluxDensity, Ratio, Time};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Encoder,
    prefixes: &["encoder"],
    name: "Encoder",
    question: "Do the sensors give a direction and every edge?",
    about: "Two sensors on one magnet give the direction only in quadrature: 90° electrical apart. The mechanical angle depends on the number of pole pairs.",
};

inputs! {
    encoder;

    POLE_PAIRS: u32 = Input {
        id: "encoder.pole_pairs",
        symbol: "p",
        label: "Magnet pole pairs",
        form: Form::Whole,
        preset: Preset::Fixed("3"),
        low: "1",
        high: "64",
        layer: 1,
        too_little: "a magnet has at least one north and one south",
        too_much: "rings with more pairs are finer than these sensors",
        changed_by: ChangedBy::Fitting,
        help: "Scope or LED on one sensor, one slow turn of the rear shaft: high pulses = pole pairs",
        ..INPUT
    };
    SENSORS: u32 = Input {
        id: "encoder.sensors",
        symbol: "n_sensors",
        label: "Number of sensors",
        form: Form::Whole,
        preset: Preset::Fixed("2"),
        low: "1",
        high: "2",
        layer: 2,
        too_little: "without a sensor nothing is counted",
        too_much: "two tell the direction, and no more are read here",
        changed_by: ChangedBy::Fitting,
        help: "Count them; one sensor can't tell direction",
        ..INPUT
    };
    COUNTS_PER_POLE_PAIR: u32 = Input {
        id: "encoder.counts_per_pole_pair",
        symbol: "q_edges",
        label: "Counts per pole pair (×4, ×2)",
        form: Form::Whole,
        preset: Preset::Computed("4 with two sensors, 2 with one"),
        low: "1",
        high: "4",
        layer: 2,
        too_much: "two sensors have four edges a cycle, one has two",
        changed_by: ChangedBy::Nothing,
        help: "Firmware: both edges of both sensors = ×4, one edge of each = ×2",
        ..INPUT
    };
    SENSOR_SPACING: Angle = Input {
        id: "encoder.sensor_spacing",
        symbol: "θ_s",
        label: "Angle between the sensors",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::Computed("the good place nearest 90°, of two the lesser"),
        low: ">0 deg",
        high: "<360 deg",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 1,
        too_little: "at the same place both say the same",
        too_much: "a full turn apart is the same place",
        changed_by: ChangedBy::Fitting,
        help: "Board drawing: angle between the sensors seen from the shaft",
        ..INPUT
    };
    PLACEMENT_ERROR: Length = Input {
        id: "encoder.placement_error",
        symbol: "e_s",
        label: "Sensor placement error",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Fixed("0.2 mm"),
        low: "0 mm",
        high: "3 mm",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "Board and soldering: 0.1 mm by machine, 0.2 to 0.3 mm by hand, between the two sensors",
        ..INPUT
    };
    PLACEMENT_RADIUS: Length = Input {
        id: "encoder.placement_radius",
        symbol: "r_s",
        label: "Sensor placement radius",
        form: Form::Quantity(Measure::Length),
        preset: Preset::ByClass(["3 mm", "4 mm", "5 mm", "6 mm"]),
        low: "0.5 mm",
        high: "50 mm",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "Shaft centre to the sensing element",
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
        default_tolerance: DefaultTolerance::Unstated,
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Scope, steady speed, each sensor: 360° × (high share of the period − ½); add the two",
        ..INPUT
    };
    EDGE_SERVICE_TIME: Time = Input {
        id: "encoder.edge_service_time",
        symbol: "t_edge",
        label: "CPU time per encoder edge",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("3 us"),
        low: "0 s",
        high: "1 ms",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        changed_by: ChangedBy::Setting,
        help: "Raise a spare pin on entering the interrupt, drop it on leaving, scope it. 0 when a timer counts",
        ..INPUT
    };
    PEAK_FIELD: MagneticFluxDensity = Input {
        id: "encoder.peak_field",
        symbol: "B_peak",
        label: "Peak magnetic field at the sensor",
        form: Form::Quantity(Measure::Field),
        preset: Preset::Fixed("30 mT"),
        low: "1 mT",
        high: "1 T",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Magnet maker's curve at your gap; or a Hall meter at the sensor's place; small multi-pole rings 20 to 60 mT",
        ..INPUT
    };
    OPERATE_POINT: MagneticFluxDensity = Input {
        id: "encoder.operate_point",
        symbol: "B_op",
        label: "Sensor operate point B_OP (max.)",
        form: Form::Quantity(Measure::Field),
        preset: Preset::Fixed("9 mT"),
        low: "0.5 mT",
        high: "100 mT",
        default_tolerance: DefaultTolerance::Unstated,
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Sensor's data sheet, largest operate point",
        ..INPUT
    };
}

results! {
    encoder;

    COUNTS_PER_MOTOR_TURN: Rational = ResultDefinition {
        id: "encoder.counts_per_motor_turn",
        symbol: "C_m",
        label: "Counts per motor turn",
        measure: Measure::Count,
        meaning: "edges that the firmware counts",
        formula: "encoder.counts_per_pole_pair * encoder.pole_pairs",
        source: "definition",
        ..RESULT
    };
    COUNTS_PER_OUTPUT_TURN: Rational = ResultDefinition {
        id: "encoder.counts_per_output_turn",
        symbol: "C",
        label: "Counts per output turn",
        measure: Measure::Count,
        meaning: "at the gear motor’s output",
        formula: "encoder.counts_per_motor_turn * gears.exact_ratio",
        source: "definition, exact",
        ..RESULT
    };
    ANGLE_PER_COUNT: Angle = ResultDefinition {
        id: "encoder.angle_per_count",
        symbol: "φ_count",
        label: "Angle per count",
        measure: Measure::Angle,
        meaning: "at the output",
        formula: "2 * pi / encoder.counts_per_output_turn",
        source: "definition",
        ..RESULT
    };
    ARC_PER_COUNT: Length = ResultDefinition {
        id: "encoder.arc_per_count",
        symbol: "s_count",
        label: "Travel per count",
        measure: Measure::Length,
        meaning: "at the load",
        formula: "axis.travel_per_turn / (encoder.counts_per_output_turn * axis.last_stage)",
        source: "geometry",
        ..RESULT
    };
    ELECTRICAL_SPACING: Angle = ResultDefinition {
        id: "encoder.electrical_spacing",
        symbol: "θ_e",
        label: "Electrical angle between the sensors",
        measure: Measure::Angle,
        meaning: "90° or 270° is quadrature",
        formula: "mod(encoder.pole_pairs * encoder.sensor_spacing, 2 * pi)",
        source: "electrical angle = pole pairs × mechanical angle",
        ..RESULT
    };
    PHASE_ERROR: Angle = ResultDefinition {
        id: "encoder.phase_error",
        symbol: "δ_phase",
        label: "Quadrature phase error",
        measure: Measure::Angle,
        meaning: "electrical; at 90° there is no direction",
        formula: "min(abs(encoder.electrical_spacing - pi / 2), abs(encoder.electrical_spacing - 3 * pi / 2))",
        source: "definition",
        ..RESULT
    };
    DIRECTION: f64 = ResultDefinition {
        id: "encoder.direction",
        symbol: "direction_counts",
        label: "Count direction",
        measure: Measure::Ratio,
        meaning: "of the count while the motor turns forward (as a number 1, −1, none 0)",
        formula: "'1 near 90°, −1 near 270°, 0 with one sensor or no quadrature'",
        source: "quadrature decoding",
        ..RESULT
    };
    PLACEMENT_PHASE_ERROR: Angle = ResultDefinition {
        id: "encoder.placement_phase_error",
        symbol: "δ_place",
        label: "Phase error from sensor placement",
        measure: Measure::Angle,
        meaning: "electrical",
        formula: "encoder.pole_pairs * encoder.placement_error / encoder.placement_radius",
        source: "arc over radius, times the pole pairs",
        ..RESULT
    };
    VALID_SPACINGS: Angle = ResultDefinition {
        id: "encoder.valid_spacings",
        symbol: "θ_good",
        label: "Valid sensor angles",
        measure: Measure::Angle,
        meaning: "mechanical; the one nearest to the entry is calculated, all are listed",
        formula: "'90°·(2k + 1)/pole pairs; the one nearest to the spacing entered'",
        source: "quadrature",
        ..RESULT
    };
    EDGE_RATE: Frequency = ResultDefinition {
        id: "encoder.edge_rate",
        symbol: "f_edge",
        label: "Edge rate at top speed",
        measure: Measure::Frequency,
        meaning: "at the highest supply voltage, no load",
        formula: "encoder.counts_per_motor_turn * drive.top_speed * gears.exact_ratio / (2 * pi)",
        source: "definition",
        ..RESULT
    };
    SHORTEST_EDGE_GAP: Time = ResultDefinition {
        id: "encoder.shortest_edge_gap",
        symbol: "t_gap",
        label: "Shortest time between two edges",
        measure: Measure::Time,
        meaning: "0 or below: edges are lost",
        formula: "(pi / 2 - encoder.phase_error - encoder.placement_phase_error - encoder.duty_error) / (encoder.pole_pairs * drive.top_speed * gears.exact_ratio)",
        source: "geometry of quadrature signals, all errors at their worst",
        ..RESULT
    };
    PROCESSOR_LOAD: Ratio = ResultDefinition {
        id: "encoder.processor_load",
        symbol: "u_edge",
        label: "CPU load of encoder interrupts",
        measure: Measure::Share,
        meaning: "share of the total CPU time",
        formula: "encoder.edge_rate * encoder.edge_service_time",
        source: "definition",
        ..RESULT
    };
    FIELD_MARGIN: Ratio = ResultDefinition {
        id: "encoder.field_margin",
        symbol: "m_field",
        label: "Field / B_OP",
        measure: Measure::Ratio,
        meaning: "should be 2 or more at the largest gap",
        formula: "encoder.peak_field / encoder.operate_point",
        source: "definition",
        ..RESULT
    };
    HYSTERESIS_SHIFT: Angle = ResultDefinition {
        id: "encoder.hysteresis_shift",
        symbol: "δ_hyst",
        label: "Edge shift from B_OP",
        measure: Measure::Angle,
        meaning: "electrical",
        formula: "asin(encoder.operate_point / encoder.peak_field)",
        source: "sine-shaped field",
        ..RESULT
    };
}

/// Counts in one motor turn as a factor.
pub const COUNTS_NOW: Key<Ratio> = COUNTS_PER_MOTOR_TURN.as_ratio();
