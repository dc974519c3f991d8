//! The motor on this supply, at the output: torque against speed, cold and warm.

use calc::motion::{self, Profile};
use calc::units::{AngularVelocity, ElectricCurrent, Ratio, Torque};

use super::{Axis, Edge, Limit, Line, Mark, Panel, Plot, Span, Style};
use crate::eval::{Absent, BEYOND, Eval};
use crate::register::movement::{self, Direction};
use crate::register::{axis, drive, gears, motor};
use crate::report::display;
use crate::unit::Measure;

/// Torque against speed of the warm motor: stall torque and no-load speed at the lowest voltage.
pub(super) fn warm(c: &Eval<'_>) -> Result<(Torque, AngularVelocity), Absent> {
    let free = calc::drive::speed_at_current(
        c.get(drive::LOWEST_VOLTAGE)?,
        c.get(motor::NO_LOAD_CURRENT)?,
        c.get(drive::TOTAL_RESISTANCE_HOT)?,
        c.get(drive::TORQUE_CONSTANT_HOT)?,
        c.get(gears::RATIO_NOW)?,
    )
    .ok_or(BEYOND)?;
    Ok((c.get(drive::STALL_TORQUE_HOT)?, free))
}

/// Output torque of the warm motor at a current, turning.
pub(super) fn torque_at(c: &Eval<'_>, current: ElectricCurrent) -> Result<Torque, Absent> {
    Ok(calc::drive::stall_torque(
        c.get(gears::RATIO_NOW)?,
        c.get(gears::EFFICIENCY_NOW)?,
        c.get(drive::TORQUE_CONSTANT_HOT)?,
        current,
        c.get(motor::NO_LOAD_CURRENT)?,
    ))
}

/// The working points of the move, at the output: at its greatest torque, at its greatest speed.
pub(super) fn points_of_move(c: &Eval<'_>) -> Result<Vec<Mark>, Absent> {
    let top = c.get(movement::PEAK_SPEED)?.value;
    let peak = c.get(movement::PEAK_TORQUE)?.value;
    let steady = match c.get(movement::DIRECTION)? {
        Direction::With => c.get(axis::LOAD_TORQUE_RETURN)?.value,
        Direction::Against | Direction::Both => c.get(axis::LOAD_TORQUE)?.value,
    };
    let motion = movement::motion(c)?;
    // The torque peaks at the end of a straight ramp, and early in a rounded one: ½ − 1/√12 of the time.
    let pulling = match motion.profile {
        Profile::Trapezoid { .. } => top,
        Profile::Smooth => {
            let share = motion::state_at(motion.profile, Ratio::from(0.211_324_865_405_187_1));
            top * share.speed.value / 1.875
        }
    };
    let one = (peak - steady).abs() <= 0.03 * peak.abs() && pulling == top;
    if one {
        return Ok(vec![Mark {
            label: "the move".into(),
            x: top,
            y: peak,
        }]);
    }
    Ok(vec![
        Mark {
            label: "the move, gathering speed".into(),
            x: pulling,
            y: peak,
        },
        Mark {
            label: "the move, at speed".into(),
            x: top,
            y: steady,
        },
    ])
}

/// The limits of the gears.
pub(super) fn gear_limits(c: &Eval<'_>) -> Result<Vec<Limit>, Absent> {
    let limit = |label: &str, torque: Torque| Limit {
        label: label.into(),
        edge: Edge::Above(torque.value),
    };
    Ok(vec![
        limit("gears, for ever", c.get(gears::CONTINUOUS_TORQUE)?),
        limit("gears, at most", c.get(gears::PEAK_TORQUE)?),
    ])
}

pub(super) fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    let (stall, free) = warm(c)?;
    let cold_stall = c.get(drive::STALL_TORQUE)?;
    let cold_free = c.get(drive::NO_LOAD_SPEED)?;
    if !(cold_stall.value > 0.0 && stall.value > 0.0 && free.value > 0.0) {
        return Err(Absent::impossible("on this supply the motor does not turn"));
    }
    let mut marks = points_of_move(c)?;
    let holding = c.get(axis::HOLDING_TORQUE)?.abs();
    marks.push(Mark {
        label: "holding".into(),
        x: 0.0,
        y: holding.value,
    });
    let mut limits = gear_limits(c)?;
    let current = c.get(drive::CURRENT_LIMIT)?;
    let from_limit = torque_at(c, current)?;
    if current < c.get(drive::GREATEST_STALL_CURRENT)? {
        limits.push(Limit {
            label: ["current limit, ", &Measure::Current.words(current.value, 3)].concat(),
            edge: Edge::Above(from_limit.value),
        });
    }
    let line = |label, style, stall: Torque, free: AngularVelocity| Line {
        label,
        style,
        points: vec![(0.0, stall.value), (free.value, 0.0)],
    };
    let top = c.get(movement::PEAK_SPEED)?;
    let left = stall * (1.0 - (top / free).value);
    let finding = if top >= free {
        [
            "The move asks ",
            &display(c, movement::PEAK_SPEED.index(), 3),
            "; without any load the warm motor makes ",
            &Measure::Speed.words(free.value, 3),
            " at ",
            &display(c, drive::LOWEST_VOLTAGE.index(), 3),
            ".",
        ]
        .concat()
    } else {
        [
            "At ",
            &display(c, movement::PEAK_SPEED.index(), 3),
            " the warm motor gives ",
            &Measure::Torque.words(left.min(from_limit).value, 3),
            "; the move asks ",
            &display(c, movement::PEAK_TORQUE.index(), 3),
            " at most, holding asks ",
            &Measure::Torque.words(holding.value, 3),
            ".",
        ]
        .concat()
    };
    Ok(Plot {
        id: "torque_speed",
        title: "Torque against speed, at the output",
        finding,
        x: Axis {
            label: "speed",
            measure: Measure::Speed,
            span: Span::FromZero,
        },
        panels: vec![Panel {
            y: Axis {
                label: "torque",
                measure: Measure::Torque,
                span: Span::FromZero,
            },
            lines: vec![
                line("winding cold", Style::Cold, cold_stall, cold_free),
                line("winding warm", Style::Hot, stall, free),
            ],
            marks,
            limits,
        }],
        bars: Vec::new(),
    })
}
