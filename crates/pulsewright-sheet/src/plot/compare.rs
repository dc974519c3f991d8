//! Converted motor and stepper on one axis: torque against speed, and what this job asks of each.

use pulsewright_calc::units::AngularVelocity;
use uom::si::angular_velocity::radian_per_second;

use super::torque_speed::{torque_at, warm};
use super::{Axis, Panel, Plot, Span, Style, within};
use crate::evaluation::display::display;
use crate::evaluation::{Absent, Eval};
use crate::register::{axis, gears, movement, stepper};
use crate::stations::shared;
use crate::text::measure::Measure;

/// Places of the stepper's falling line.
const PLACES: usize = 40;

pub(super) fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    shared::stepper_asked(c)?;
    let (stall, free) = warm(c)?;
    // The warm motor's line, cut where current limit or teeth end it.
    let cap = torque_at(c, shared::current_allowed(c)?)?
        .min(c.get(gears::PEAK_TORQUE)?)
        .value;
    let converted = |speed: f64| within(stall * (1.0 - speed / free), 0.0, cap);
    let bend = free * within(1.0 - cap / stall, 0.0, 1.0);
    let top = c.get(movement::PEAK_SPEED)?.value;
    let holding = c.get(stepper::HOLDING_TORQUE)?;
    let corner = c.get(stepper::CORNER_SPEED)?;
    let estimate = |speed: f64| {
        let speed = AngularVelocity::new::<radian_per_second>(speed);
        pulsewright_calc::stepper::torque_at_speed(holding, corner, speed).value
    };
    let end = (1.3 * free).max(1.5 * top);
    let mut stepped = vec![(0.0, estimate(0.0))];
    let from = corner.value.min(end);
    for n in 0..=PLACES {
        let speed = from * libm::pow(end / from, n as f64 / PLACES as f64);
        stepped.push((speed, estimate(speed)));
    }
    let mut panel = Panel::new(Axis::new(
        "torque at the shaft",
        Measure::Torque,
        Span::FromZero,
    ));
    panel.line(
        "converted motor, warm, within gearbox peak torque and current limit",
        Style::Ordinary,
        vec![(0.0, converted(0.0)), (bend, converted(bend)), (free, 0.0)],
    );
    panel.line("stepper, estimated", Style::Hot, stepped);
    let asked = c.get(movement::PEAK_TORQUE)?.value;
    let of_stepper = c.get(stepper::TORQUE_FOR_MOVE)?.value;
    panel.mark("holding", 0.0, c.get(axis::HOLDING_TORQUE)?.value.abs());
    if (asked - of_stepper).abs() <= 0.02 * asked {
        panel.mark("the move", top, asked);
    } else {
        panel.mark("the move, converted", top, asked);
        panel.mark("the move, stepper", top, of_stepper);
    }
    let words = |torque| c.notation.said(Measure::Torque, torque, 3);
    let finding = [
        "At ",
        &display(c, movement::PEAK_SPEED.index(), 3),
        " the converted motor gives ",
        &words(converted(top)),
        ", needed ",
        &words(asked),
        "; the stepper gives about ",
        &words(estimate(top)),
        ", needed ",
        &words(of_stepper),
        ", its own rotor included.",
    ]
    .concat();
    Ok(Plot::drawn(
        finding,
        Axis::new("speed", Measure::Speed, Span::Exact),
        vec![panel],
        Vec::new(),
    ))
}
