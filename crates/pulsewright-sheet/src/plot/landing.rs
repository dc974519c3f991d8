//! The simulated landing over time.

use super::{Axis, Edge, Line, Panel, Plot, Span, Style};
use crate::evaluation::simulated::{MOVE, Point};
use crate::evaluation::{Absent, Eval, display};
use crate::register::landing::FINAL_ERROR;
use crate::register::{axis, verdict};
use crate::stations::simulation;
use crate::text::measure::Measure;

/// The last fifth of the run, enlarged: how the load comes to rest.
pub fn draw_end(c: &Eval<'_>) -> Result<Plot, Absent> {
    let whole = draw(c)?;
    let mut panels = whole.panels;
    panels.truncate(1);
    let mut from = 0.0;
    for panel in &mut panels {
        for line in &mut panel.lines {
            let last = line.points.last().map_or(0.0, |point| point.0);
            from = 0.8 * last;
            line.points.retain(|point| point.0 >= from);
        }
        // The other edge of what is allowed has no name of its own, and mostly lies far off.
        panel.limits.retain(|limit| !limit.label.is_empty());
    }
    let from = c.notation.said(Measure::Time, from, 2);
    Ok(Plot {
        finding: ["The error at the load from ", &from, " on."].concat(),
        panels,
        ..whole
    })
}

/// The error at the load above the current, from the start of the command to the end of the run.
pub fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    let trace = c.trace()?;
    let lands = c.travel(FINAL_ERROR)?;
    let (measure, asked) = display::travel_as_asked(c, lands.measure());
    let factor = asked * c.raw(verdict::TRAVEL_PER_ANGLE.index())?;
    let allowed = asked * c.travel(axis::TOLERANCE_AT_LOAD)?.raw();
    let lands = asked * lands.raw();
    let rest = trace.last().map_or(0.0, |point| point.time);
    let end = simulation::end(&simulation::case(c, MOVE)?.legs).min(rest);
    let off = c.notation.said(measure, lands.abs(), 3);
    let over_time = |label, measure, of: &dyn Fn(&Point) -> f64| Panel {
        y: Axis::new(label, measure, Span::Fitted),
        lines: vec![Line {
            label: "",
            style: Style::Ordinary,
            points: trace.iter().map(|point| (point.time, of(point))).collect(),
        }],
        marks: Vec::new(),
        limits: Vec::new(),
    };
    let mut error = over_time("Following error of the load", measure, &|p| {
        p.error * factor
    });
    error.limit("position tolerance", Edge::Above(allowed));
    error.limit("", Edge::Below(-allowed));
    error.mark(&["stops ", &off, " off"].concat(), rest, lands);
    let current = over_time("Current", Measure::Current, &|p| p.current);
    let finding = [
        "The command ends after ",
        &c.notation.said(Measure::Time, end, 3),
        "; the load stops ",
        &off,
        " beside its target; ",
        &c.notation.said(measure, allowed, 3),
        " is the position tolerance. Without current ripple, sampling jitter and warming up.",
    ]
    .concat();
    Ok(Plot::drawn(
        finding,
        Axis::new("Time", Measure::Time, Span::Exact),
        vec![error, current],
        Vec::new(),
    ))
}
