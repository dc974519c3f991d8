//! How long the motor can hold which torque, from cold until its winding is at its limit.

use pulsewright_calc::heat::{HeatingTime, greatest_current_for, hold_time};
use pulsewright_calc::units::{ElectricCurrent, Time};
use uom::si::time::second;

use super::torque_speed::gear_limits;
use super::{Axis, Edge, Panel, Plot, Span, Style};
use crate::evaluation::display::display;
use crate::evaluation::{Absent, Code, Eval};
use crate::register::movement::{self, DwellCurrent};
use crate::register::{bridge, drive, gears, heat, motor};
use crate::stations::shared;
use crate::text::measure::Measure;

/// Points of the line.
const PLACES: usize = 49;

pub(super) fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    let model = shared::thermal_model(c)?;
    let limit = c.get(motor::MAX_WINDING_TEMPERATURE)?;
    let per_ampere = c.get(gears::RATIO_NOW)?.value * c.get(motor::TORQUE_CONSTANT)?.value;
    let torque = |current: ElectricCurrent| per_ampere * current.value.abs();
    let lasting = c.get(heat::CONTINUOUS_CURRENT)?;
    // From where a jam ends it to where the housing is through with warming up.
    let most = c.get(drive::BLOCKED_CURRENT)?.max(1.05 * lasting);
    let first = match hold_time(model, most, limit) {
        HeatingTime::After(time) if lasting.value > 0.0 => time.value.max(1e-3),
        _ => {
            return Err(Absent::impossible(
                "no current brings the winding to its limit",
            ));
        }
    };
    let settled = 8.0 * (model.housing_time_constant + model.winding_time_constant).value;
    let last = settled.max(3.0 * first);
    let mut points = Vec::with_capacity(PLACES);
    for n in 0..PLACES {
        let at = first * libm::pow(last / first, n as f64 / (PLACES - 1) as f64);
        if let Some(current) = greatest_current_for(model, Time::new::<second>(at), limit) {
            points.push((at, torque(current)));
        }
    }
    let mut panel = Panel::new(Axis::new(
        "holding torque, ideal",
        Measure::Torque,
        Span::FromZero,
    ));
    panel.line("", Style::Ordinary, points);
    let dwell = c.get(movement::DWELL_CURRENT)?;
    for (label, current, time) in [
        ("holding", heat::DWELL_CURRENT, heat::HOLD_TIME),
        (
            "worst case (friction against)",
            heat::CURRENT_WORST_CASE,
            heat::HOLD_TIME_WORST_CASE,
        ),
    ] {
        match c.get(time) {
            Ok(time) => panel.mark(label, time.value, torque(c.get(current)?)),
            Err(absent) if absent.code == Code::Unlimited => panel.mark_beyond(
                &[label, ", continuously"].concat(),
                last,
                torque(c.get(current)?),
            ),
            // It holds without current.
            Err(_) if dwell == DwellCurrent::Off => {}
            Err(absent) => return Err(absent),
        }
        if dwell == DwellCurrent::FrictionAgainst {
            break;
        }
    }
    gear_limits(c, &mut panel)?;
    let bridge = c.get(bridge::CURRENT_LIMIT)?;
    panel.limit(
        &[
            "driver at ",
            &c.notation.said(Measure::Current, bridge.value, 3),
        ]
        .concat(),
        Edge::Above(torque(bridge)),
    );
    let for_ever = c.notation.said(Measure::Torque, torque(lasting), 3);
    let finding = match c.get(heat::HOLD_TIME) {
        _ if dwell == DwellCurrent::Off => [
            "It holds without current here; up to ",
            &for_ever,
            " it could hold continuously.",
        ]
        .concat(),
        Ok(_) => [
            "Holding brings the winding to ",
            &display(c, motor::MAX_WINDING_TEMPERATURE.index(), 3),
            " in ",
            &display(c, heat::HOLD_TIME.index(), 2),
            "; continuously it can hold ",
            &for_ever,
            ".",
        ]
        .concat(),
        Err(_) => [
            "Holding takes ",
            &c.notation
                .said(Measure::Torque, torque(c.get(heat::DWELL_CURRENT)?), 3),
            " of the ",
            &for_ever,
            " that the continuous current gives.",
        ]
        .concat(),
    };
    Ok(Plot::drawn(
        finding,
        Axis::new(
            "time from cold until the winding is at its limit",
            Measure::Time,
            Span::Log,
        ),
        vec![panel],
        Vec::new(),
    ))
}
