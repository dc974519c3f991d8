//! Magnet and Hall sensors on the motor shaft.

use crate::check::Check;
use crate::finding::Finding;

use calc::units::{Angle, Length, MagneticFluxDensity, Time};

use super::{Form, INPUT, Input, Must, Preset, Rule, Sure};
use crate::eval::{Absent, Eval};
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
        help: "6 mm",
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
        help: "Sensor's data sheet, largest operate point",
        ..INPUT
    };
}

results! {
    after super::gears;
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
