//! The motor on this supply, at the output: torque against speed, cold and warm.

use pulsewright_calc::motion::{self, Profile};
use pulsewright_calc::units::{AngularVelocity, ElectricCurrent, Ratio, Torque};

use super::{Axis, Edge, Panel, Plot, Span, Style};
use crate::evaluation::display::display;
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::register::movement::{self, Direction};
use crate::register::{axis, drive, gears, motor};
use crate::stations::shared;
use crate::text::measure::Measure;

/// Torque against speed of the warm motor: stall torque and no-load speed at the lowest voltage.
pub(super) fn warm(c: &Eval<'_>) -> Result<(f64, f64), Absent> {
    let free = pulsewright_calc::drive::speed_at_current(
        c.get(drive::LOWEST_VOLTAGE)?,
        c.get(motor::NO_LOAD_CURRENT)?,
        c.get(drive::TOTAL_RESISTANCE_HOT)?,
        c.get(drive::TORQUE_CONSTANT_HOT)?,
        c.get(gears::RATIO_NOW)?,
    )
    .ok_or(NOT_FINITE)?;
    let stall = c.get(drive::STALL_TORQUE_HOT)?;
    if stall.value > 0.0 && free.value > 0.0 {
        Ok((stall.value, free.value))
    } else {
        Err(Absent::impossible("on this supply the motor does not turn"))
    }
}

/// Output torque of the warm motor at a current, turning.
pub(super) fn torque_at(c: &Eval<'_>, current: ElectricCurrent) -> Result<Torque, Absent> {
    Ok(pulsewright_calc::drive::stall_torque(
        c.get(gears::RATIO_NOW)?,
        c.get(gears::EFFICIENCY_NOW)?,
        c.get(drive::TORQUE_CONSTANT_HOT)?,
        current,
        c.get(motor::NO_LOAD_CURRENT)?,
    ))
}

/// The working points of the move, at the output: at its greatest torque, at its greatest speed.
fn mark_move(c: &Eval<'_>, panel: &mut Panel) -> Result<(), Absent> {
    let top = c.get(movement::PEAK_SPEED)?.value;
    let peak = c.get(movement::PEAK_TORQUE)?.value;
    let steady = match c.get(movement::DIRECTION)? {
        Direction::Lowering => c.get(axis::LOAD_TORQUE_RETURN)?.value,
        Direction::Lifting | Direction::Both => c.get(axis::LOAD_TORQUE)?.value,
    };
    let profile = shared::motion(c)?.profile;
    // The torque peaks at the end of a straight ramp, and early in a rounded one: ½ − 1/√12 of the time.
    let pulling = match profile {
        Profile::Trapezoid { .. } => top,
        Profile::Smooth => {
            let early = motion::state_at(profile, Ratio::from(0.211_324_865_405_187_1));
            top * early.speed.value / 1.875
        }
    };
    if pulling == top && (peak - steady).abs() <= 0.03 * peak.abs() {
        panel.mark("the move", top, peak);
    } else {
        panel.mark("accelerating", pulling, peak);
        panel.mark("at top speed", top, steady);
    }
    Ok(())
}

/// The limits of the gears.
pub(super) fn gear_limits(c: &Eval<'_>, panel: &mut Panel) -> Result<(), Absent> {
    let (lasting, most) = (c.get(gears::CONTINUOUS_TORQUE)?, c.get(gears::PEAK_TORQUE)?);
    panel.limit("gearbox continuous", Edge::Above(lasting.value));
    panel.limit("gearbox peak", Edge::Above(most.value));
    Ok(())
}

pub(super) fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    let (stall, free) = warm(c)?;
    let mut panel = Panel::new(Axis::new("torque", Measure::Torque, Span::FromZero));
    let line = |stall: Torque, free: AngularVelocity| vec![(0.0, stall.value), (free.value, 0.0)];
    panel.line(
        "winding cold",
        Style::Cold,
        line(c.get(drive::STALL_TORQUE)?, c.get(drive::NO_LOAD_SPEED)?),
    );
    panel.line("winding warm", Style::Hot, vec![(0.0, stall), (free, 0.0)]);
    mark_move(c, &mut panel)?;
    let holding = c.get(axis::HOLDING_TORQUE)?.value.abs();
    panel.mark("holding", 0.0, holding);
    gear_limits(c, &mut panel)?;
    let greatest = c.get(drive::MAX_STALL_CURRENT)?;
    let current = shared::limit_in_effect(c)?.unwrap_or(greatest);
    let from_limit = torque_at(c, current)?.value;
    if current < greatest {
        let words = [
            "current limit, ",
            &c.notation.said(Measure::Current, current.value, 3),
        ];
        panel.limit(&words.concat(), Edge::Above(from_limit));
    }
    let top = c.get(movement::PEAK_SPEED)?.value;
    let asked = display(c, movement::PEAK_SPEED.index(), 3);
    let finding = if top >= free {
        [
            "The move needs ",
            &asked,
            "; without any load the warm motor makes ",
            &c.notation.said(Measure::Speed, free, 3),
            " at ",
            &display(c, drive::LOWEST_VOLTAGE.index(), 3),
            ".",
        ]
        .concat()
    } else {
        let left = stall * (1.0 - top / free);
        [
            "At ",
            &asked,
            " the warm motor gives ",
            &c.notation.said(Measure::Torque, left.min(from_limit), 3),
            "; the move needs ",
            &display(c, movement::PEAK_TORQUE.index(), 3),
            " peak, holding needs ",
            &c.notation.said(Measure::Torque, holding, 3),
            ".",
        ]
        .concat()
    };
    Ok(Plot::drawn(
        finding,
        Axis::new("speed", Measure::Speed, Span::Exact),
        vec![panel],
        Vec::new(),
    ))
}
