//! The simulated landing over time.

use super::{Axis, Edge, Limit, Line, Mark, Panel, Plot, Span, Style};
use crate::evaluation::simulated::{MOVE, Point};
use crate::evaluation::{Absent, Eval};
use crate::register::landing::FINAL_ERROR;
use crate::register::{axis, verdict};
use crate::stations::simulation;
use crate::text::measure::Measure;

/// The error at the load above the current, from the start of the command to the end of the run.
pub fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    let trace = c.trace()?;
    let factor = c.raw(verdict::TRAVEL_PER_ANGLE.index())?;
    let lands = c.travel(FINAL_ERROR)?;
    let allowed = c.travel(axis::TOLERANCE_AT_LOAD)?;
    let measure = lands.measure();
    let rest = trace.last().map_or(0.0, |point| point.time);
    let end = simulation::end(&simulation::case(c, MOVE)?.legs).min(rest);
    let off = c.notation.said(measure, lands.raw().abs(), 3);
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
    let mut error = over_time("Load ahead of its command", measure, &|p| p.error * factor);
    let limit = |label: &str, edge| Limit {
        label: label.into(),
        edge,
    };
    error.limits = vec![
        limit("error allowed", Edge::Above(allowed.raw())),
        limit("", Edge::Below(-allowed.raw())),
    ];
    error.marks = vec![Mark {
        label: ["stops ", &off, " off"].concat(),
        x: rest,
        y: lands.raw(),
    }];
    let current = over_time("Current", Measure::Current, &|p| p.current);
    Ok(Plot {
        id: "landing",
        title: "The landing, simulated",
        finding: [
            "The command ends after ",
            &c.notation.said(Measure::Time, end, 3),
            "; the load stops ",
            &off,
            " off its target, ",
            &c.notation.said(measure, allowed.raw(), 3),
            " are allowed. Without ripple, sampling jitter and warming up.",
        ]
        .concat(),
        x: Axis::new("Time", Measure::Time, Span::Exact),
        panels: vec![error, current],
        bars: Vec::new(),
    })
}
