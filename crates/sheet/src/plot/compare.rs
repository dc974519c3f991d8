//! Converted motor and stepper on one axis: torque against speed, and what this job asks of each.

use calc::units::AngularVelocity;
use uom::si::angular_velocity::radian_per_second;

use super::torque_speed::{torque_at, warm};
use super::{Axis, Line, Mark, Panel, Plot, Span, Style};
use crate::eval::{Absent, Eval};
use crate::register::{axis, drive, gears, movement, stepper};
use crate::report::display;
use crate::unit::Measure;

/// Places of the stepper's falling line.
const PLACES: usize = 40;

pub(super) fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    stepper::asked(c)?;
    let (stall, free) = warm(c)?;
    if !(stall.value > 0.0 && free.value > 0.0) {
        return Err(Absent::impossible("on this supply the motor does not turn"));
    }
    // The warm motor's line, cut where current limit or teeth end it.
    let cap = torque_at(c, c.get(drive::CURRENT_LIMIT)?)?
        .min(c.get(gears::PEAK_TORQUE)?)
        .value;
    let converted = |speed: f64| (stall.value * (1.0 - speed / free.value)).min(cap).max(0.0);
    let bend = free.value * (1.0 - cap / stall.value).clamp(0.0, 1.0);
    let line: Vec<(f64, f64)> = [0.0, bend, free.value]
        .into_iter()
        .map(|speed| (speed, converted(speed)))
        .collect();
    let top = c.get(movement::PEAK_SPEED)?.value;
    let (holding, corner) = (
        c.get(stepper::HOLDING_TORQUE)?,
        c.get(stepper::CORNER_SPEED)?,
    );
    let estimate = |speed: f64| {
        let speed = AngularVelocity::new::<radian_per_second>(speed);
        calc::stepper::torque_at_speed(holding, corner, speed).value
    };
    let end = (1.3 * free.value).max(1.5 * top);
    let mut stepped = vec![(0.0, estimate(0.0))];
    if corner.value < end {
        for n in 0..=PLACES {
            let share = n as f64 / PLACES as f64;
            let speed = corner.value * libm::pow(end / corner.value, share);
            stepped.push((speed, estimate(speed)));
        }
    } else {
        stepped.push((end, estimate(end)));
    }
    let (asked, asked_of_stepper) = (
        c.get(movement::PEAK_TORQUE)?.value,
        c.get(stepper::TORQUE_FOR_MOVE)?.value,
    );
    let mark = |label: &str, x, y| Mark {
        label: label.into(),
        x,
        y,
    };
    let mut marks = vec![mark(
        "holding",
        0.0,
        c.get(axis::HOLDING_TORQUE)?.abs().value,
    )];
    if (asked - asked_of_stepper).abs() <= 0.02 * asked {
        marks.push(mark("the move", top, asked));
    } else {
        marks.push(mark("the move, converted", top, asked));
        marks.push(mark("the move, stepper", top, asked_of_stepper));
    }
    let words = |torque| Measure::Torque.words(torque, 3);
    let finding = [
        "At ",
        &display(c, movement::PEAK_SPEED.index(), 3),
        " the converted motor gives ",
        &words(converted(top)),
        " and is asked ",
        &words(asked),
        "; the stepper gives about ",
        &words(estimate(top)),
        " and is asked ",
        &words(asked_of_stepper),
        ", its own rotor included.",
    ]
    .concat();
    Ok(Plot {
        id: "compare",
        title: "Converted motor and stepper, torque against speed",
        finding,
        x: Axis {
            label: "speed",
            measure: Measure::Speed,
            span: Span::Exact,
        },
        panels: vec![Panel {
            y: Axis {
                label: "torque at the shaft",
                measure: Measure::Torque,
                span: Span::FromZero,
            },
            lines: vec![
                Line {
                    label: "converted motor, warm, within teeth and current limit",
                    style: Style::Ordinary,
                    points: line,
                },
                Line {
                    label: "stepper, estimated",
                    style: Style::Hot,
                    points: stepped,
                },
            ],
            marks,
            limits: Vec::new(),
        }],
        bars: Vec::new(),
    })
}
