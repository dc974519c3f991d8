//! Winding and housing over repeated cycles of the move, from cold until nothing changes any more.

use pulsewright_calc::heat::{copper_loss, warming_up};
use pulsewright_calc::units::Time;
use uom::si::time::second;

use super::{Axis, Edge, Line, Panel, Plot, Span, Style};
use crate::evaluation::display::display;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::register::{heat, motor, movement};
use crate::stations::shared;
use crate::text::measure::Measure;

/// Points of a line.
const PLACES: usize = 61;

/// Nearness to the end at which nothing changes any more, K.
const STILL: f64 = 0.5;

pub(super) fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    let model = shared::thermal_model(c)?;
    let (current, friction) = (c.get(heat::RMS_CURRENT)?, c.get(heat::FRICTION_LOSS)?);
    let after = |time: f64| {
        warming_up(model, current, friction, Time::new::<second>(time)).map_err(|_| NOT_FINITE)
    };
    let cycle = (c.get(movement::TIME)? + c.get(movement::DWELL)?).value;
    let limit = c.get(motor::MAX_WINDING_TEMPERATURE)?;
    let bracket = c.option(motor::BRACKET_LIMIT)?;
    let peak = c.get(heat::CYCLE_PEAK_TEMPERATURE);
    let overheats = match c.get(heat::OVERHEAT_TIME) {
        Ok(time) => Some(time.value),
        Err(absent) if absent.code == Code::Unlimited => None,
        Err(absent) => return Err(absent),
    };
    // What a cycle swings about its mean, and the loss at which it does.
    let mut swing = (0.0, f64::INFINITY);
    let mut last = model.housing_time_constant.value.max(cycle);
    let finding;
    if let Some(time) = overheats {
        last = time;
        finding = [
            "The cycle brings the winding to ",
            &display(c, motor::MAX_WINDING_TEMPERATURE.index(), 3),
            " in ",
            &c.notation.said(Measure::Time, time, 2),
            " from cold.",
        ]
        .concat();
    } else {
        let steady = c.get(heat::WINDING_TEMPERATURE)?;
        if let Ok(peak) = peak {
            swing = (
                (peak.value - steady.value).max(0.0),
                copper_loss(model, current, steady).value,
            );
        }
        for _ in 0..12 {
            if steady.value - after(last)?.winding.value < STILL {
                break;
            }
            last *= 1.5;
        }
        finding = [
            "After ",
            &c.notation.said(Measure::Time, last, 2),
            " of cycles it is in equilibrium: winding at ",
            &display(c, heat::CYCLE_PEAK_TEMPERATURE.index(), 2),
            " peak, housing at ",
            &display(c, heat::HOUSING_TEMPERATURE.index(), 2),
            ".",
        ]
        .concat();
    }
    let [mut warmest, mut winding, mut housing] = [const { Vec::new() }; 3];
    for n in 0..PLACES {
        // Closer together at the beginning, where the winding warms by itself.
        let share = n as f64 / (PLACES - 1) as f64;
        let time = last * share * share;
        let at = after(time)?;
        let share = copper_loss(model, current, at.winding).value / swing.1;
        let peak = at.winding.value + swing.0 * share;
        // Before the first cycle is over there is no warmest moment of one.
        if time >= cycle && swing.0 > 0.0 {
            warmest.push((time, peak));
        }
        winding.push((time, at.winding.value));
        if bracket.is_none_or(|limit| at.housing <= limit) {
            housing.push((time, at.housing.value));
        }
    }
    let line = |label, style, points| Line {
        label,
        style,
        points,
    };
    let mut lines = vec![
        line("winding, cycle mean", Style::Ordinary, winding),
        line("housing", Style::Cold, housing),
    ];
    if warmest.len() > 1 {
        lines.insert(0, line("winding, cycle peak", Style::Hot, warmest));
    }
    let mut panel = Panel::new(Axis::new("temperature", Measure::Temperature, Span::Fitted));
    panel.lines = lines;
    panel.limit("winding limit", Edge::Above(limit.value));
    if let Some(time) = overheats {
        panel.mark("at its limit", time, limit.value);
    }
    Ok(Plot::drawn(
        finding,
        Axis::new("time from cold", Measure::Time, Span::FromZero),
        vec![panel],
        Vec::new(),
    ))
}
