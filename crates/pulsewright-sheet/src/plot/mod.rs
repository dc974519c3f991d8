//! Plots: what a station can show better as lines than as numbers.
//!
//! A [`Plot`] is plain data made from an evaluation: lines, this job's points, limits. [`layout()`]
//! turns it into shapes, [`svg()`] writes them; [`Plot::read`] and [`Plot::tables`] say the same in
//! numbers. All values are SI, temperatures in kelvin, as everywhere in the sheet.

use crate::evaluation::{Absent, Eval};
use crate::register::Station;
use crate::text::measure::Measure;
use crate::text::notation::Notation;

mod compare;
mod cycle_heat;
mod hold_time;
mod landing;
pub mod layout;
mod moving;
mod scale;
mod sensitivity;
mod svg;
mod torque_speed;

pub use layout::{Width, layout};
pub use scale::{Scale, Ticks, ticks};
pub use svg::{standalone, svg};

/// A plot: one or more panels above one another that share x, or bars.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    /// Its name on the command line.
    pub id: &'static str,
    /// What is plotted.
    pub title: &'static str,
    /// What it shows, with numbers, in a sentence.
    pub finding: String,
    /// Along the bottom.
    pub x: Axis,
    /// From top to bottom.
    pub panels: Vec<Panel>,
    /// In place of panels: bars along x, the longest first.
    pub bars: Vec<Bar>,
}

/// An axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// Its name, without a unit.
    pub label: &'static str,
    /// What it measures.
    pub measure: Measure,
    /// How far it reaches.
    pub span: Span,
    /// How its numbers are shown.
    pub notation: Notation,
}

/// How far an axis reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Span {
    /// From zero to the mark behind the data.
    FromZero,
    /// From the mark before the data to the mark behind them.
    Fitted,
    /// Exactly as far as the data.
    Exact,
    /// Exactly as far as the data, a decade as long as another; data must be above zero.
    Log,
}

/// Lines over x with one y axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Up the left side.
    pub y: Axis,
    /// The lines.
    pub lines: Vec<Line>,
    /// This job's points.
    pub marks: Vec<Mark>,
    /// What must not be crossed.
    pub limits: Vec<Limit>,
}

/// A line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What it is.
    pub label: &'static str,
    /// How it is drawn.
    pub style: Style,
    /// Points with x rising.
    pub points: Vec<(f64, f64)>,
}

/// How a line is drawn: the dashes differ, not the colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Style {
    Cold,
    Hot,
    Ordinary,
    Commanded,
}

impl Style {
    /// Its class.
    #[must_use]
    pub const fn class(self) -> &'static str {
        match self {
            Self::Cold => "cold",
            Self::Hot => "hot",
            Self::Ordinary => "ordinary",
            Self::Commanded => "commanded",
        }
    }
}

/// A point of this job.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it is.
    pub label: String,
    /// Where along x.
    pub x: f64,
    /// Where along y.
    pub y: f64,
    /// Whether it belongs further along x than the plot goes, and is drawn at its end.
    pub beyond: bool,
}

/// A limit, drawn as an edge with hatching on the side where one must not be.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// What it is.
    pub label: String,
    /// Where it is.
    pub edge: Edge,
}

/// An edge, named by the side that is forbidden.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Edge {
    /// Larger y.
    Above(f64),
    /// Smaller y.
    Below(f64),
    /// Larger x.
    RightOf(f64),
    /// Smaller x.
    LeftOf(f64),
}

impl Edge {
    /// Where it is.
    #[must_use]
    pub const fn at(self) -> f64 {
        match self {
            Self::Above(at) | Self::Below(at) | Self::RightOf(at) | Self::LeftOf(at) => at,
        }
    }
    /// Whether it runs along x.
    #[must_use]
    pub const fn is_level(self) -> bool {
        matches!(self, Self::Above(_) | Self::Below(_))
    }
}

/// A bar from the left side.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// What it belongs to.
    pub label: String,
    /// How long it is.
    pub length: f64,
    /// What it means.
    pub sentence: String,
}

/// A plot of the card.
#[derive(Clone, Copy, Debug)]
pub struct Known {
    /// Its name on the command line.
    pub id: &'static str,
    /// What is plotted.
    pub title: &'static str,
    /// The station that shows it.
    pub station: Station,
    /// The function that makes it.
    draw: fn(&Eval<'_>) -> Result<Plot, Absent>,
}

impl Known {
    /// The plot of a design, its numbers shown as the evaluation shows them.
    ///
    /// # Errors
    /// Why there is none.
    pub fn plot(&self, c: &Eval<'_>) -> Result<Plot, Absent> {
        let mut plot = (self.draw)(c)?;
        (plot.id, plot.title) = (self.id, self.title);
        plot.x.notation = c.notation;
        for panel in &mut plot.panels {
            panel.y.notation = c.notation;
        }
        Ok(plot)
    }
}

/// Every plot, in the order of the card.
pub const PLOTS: &[Known] = &[
    Known {
        id: "move",
        title: "The move and its rest",
        station: Station::Move,
        draw: moving::draw,
    },
    Known {
        id: "torque_speed",
        title: "Torque against speed, at the output",
        station: Station::Drive,
        draw: torque_speed::draw,
    },
    Known {
        id: "hold_time",
        title: "Holding torque and hold time",
        station: Station::Heat,
        draw: hold_time::draw,
    },
    Known {
        id: "cycle_heat",
        title: "Winding and housing as the cycle repeats",
        station: Station::Heat,
        draw: cycle_heat::draw,
    },
    Known {
        id: "landing",
        title: "Simulated move",
        station: Station::Loop,
        draw: landing::draw,
    },
    Known {
        id: "landing_end",
        title: "End of the simulated move, enlarged",
        station: Station::Loop,
        draw: landing::draw_end,
    },
    Known {
        id: "compare",
        title: "Converted motor and stepper, torque against speed",
        station: Station::Stepper,
        draw: compare::draw,
    },
    Known {
        id: "sensitivity",
        title: "What matters most",
        station: Station::Verdict,
        draw: sensitivity::draw,
    },
];

/// The plot of this name.
#[must_use]
pub fn find(id: &str) -> Option<&'static Known> {
    PLOTS.iter().find(|known| known.id == id)
}

/// What a plot says at one place along x.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The place, with its unit.
    pub place: String,
    /// The lines there: name and value with its unit.
    pub values: Vec<(&'static str, String)>,
}

impl Reading {
    /// In one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let mut out = self.place.clone();
        for (n, (label, value)) in self.values.iter().enumerate() {
            out.push_str(if n == 0 { ": " } else { ", " });
            out.push_str(label);
            if !label.is_empty() {
                out.push(' ');
            }
            out.push_str(value);
        }
        if self.values.is_empty() {
            out.push_str(": no line reaches so far");
        }
        out
    }
}

/// `value` held between two ends; the lower one where it is no number.
fn within(value: f64, low: f64, high: f64) -> f64 {
    // Unlike the standard library's this cannot panic, and brings no formatting of floats with it.
    if value > high {
        high
    } else if value > low {
        value
    } else {
        low
    }
}

/// A table of what is plotted.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// The heads of its columns.
    pub head: Vec<String>,
    /// Its rows, a cell for each head.
    pub rows: Vec<Vec<String>>,
}

/// How many places of x a table lists.
const PLACES: usize = 11;

impl Plot {
    /// What was drawn, before it has the name under which it is known.
    fn drawn(finding: String, x: Axis, panels: Vec<Panel>, bars: Vec<Bar>) -> Self {
        Self {
            id: "",
            title: "",
            finding,
            x,
            panels,
            bars,
        }
    }
    /// The x axis as drawn.
    #[must_use]
    pub fn x_scale(&self) -> Scale {
        let (mut xs, mut edges) = (Vec::new(), Vec::new());
        for panel in &self.panels {
            for line in &panel.lines {
                for point in &line.points {
                    xs.push(point.0);
                }
            }
            for mark in &panel.marks {
                xs.push(mark.x);
            }
            for limit in &panel.limits {
                if !limit.edge.is_level() {
                    edges.push(limit.edge.at());
                }
            }
        }
        for bar in &self.bars {
            xs.push(bar.length);
        }
        Scale::new(&self.x, &xs, &edges, 6)
    }

    /// What the plot says at `share` of the way along x.
    #[must_use]
    pub fn read(&self, share: f64) -> Reading {
        let share = within(share, 0.0, 1.0);
        if !self.bars.is_empty() {
            let at = libm::round(share * (self.bars.len() - 1) as f64) as usize;
            if let Some(bar) = self.bars.get(at) {
                return Reading {
                    place: bar.label.clone(),
                    values: vec![("", bar.sentence.clone())],
                };
            }
        }
        let x = self.x_scale().value(share);
        let mut values = Vec::new();
        for panel in &self.panels {
            for line in &panel.lines {
                if let Some(y) = line.at(x) {
                    values.push((line.label, panel.y.words(y)));
                }
            }
        }
        Reading {
            place: self.x.words(x),
            values,
        }
    }

    /// In how many steps a key goes along x.
    #[must_use]
    pub fn steps(&self) -> usize {
        if self.bars.is_empty() {
            50
        } else {
            self.bars.len().saturating_sub(1).max(1)
        }
    }

    /// The same in numbers: the lines at places along x, then points and limits; or the bars.
    #[must_use]
    pub fn tables(&self) -> Vec<Table> {
        let x = self.x_scale();
        let mut rows: Vec<Vec<String>> = Vec::new();
        let mut head = vec![x.name()];
        if !self.bars.is_empty() {
            for bar in &self.bars {
                rows.push(vec![
                    bar.label.clone(),
                    x.cell(bar.length),
                    bar.sentence.clone(),
                ]);
            }
            head.insert(0, String::new());
            head.push(String::new());
            return vec![Table { head, rows }];
        }
        let place = |at: usize| x.value(at as f64 / (PLACES - 1) as f64);
        for at in 0..PLACES {
            rows.push(vec![x.cell(place(at))]);
        }
        let mut points = Vec::new();
        for panel in &self.panels {
            let y = panel.scale(4);
            for line in &panel.lines {
                head.push(match line.label {
                    "" => y.name(),
                    label => y.with_unit(label),
                });
                for (at, row) in rows.iter_mut().enumerate() {
                    row.push(match line.at(place(at)) {
                        Some(value) => y.cell(value),
                        None => "–".into(),
                    });
                }
            }
            for mark in &panel.marks {
                points.push(vec![
                    mark.label.clone(),
                    if mark.beyond {
                        "–".into()
                    } else {
                        self.x.words(mark.x)
                    },
                    panel.y.words(mark.y),
                ]);
            }
            for limit in &panel.limits {
                let side = match limit.edge {
                    Edge::Above(_) | Edge::RightOf(_) => "at most ",
                    Edge::Below(_) | Edge::LeftOf(_) => "at least ",
                };
                let level = limit.edge.is_level();
                let axis = if level { panel.y } else { self.x };
                let mut row = vec![limit.label.clone(), String::new()];
                let value = [side, &axis.words(limit.edge.at())].concat();
                row.insert(if level { 2 } else { 1 }, value);
                points.push(row);
            }
        }
        let mut tables = vec![Table { head, rows }];
        if !points.is_empty() {
            let mut head = vec![String::new(), self.x.label.into(), String::new()];
            if let [only] = self.panels.as_slice() {
                head.truncate(2);
                head.push(only.y.label.into());
            }
            tables.push(Table { head, rows: points });
        }
        tables
    }
}

/// A number with a real minus.
fn real_minus(text: String) -> String {
    text.replace('-', "−")
}

impl Axis {
    /// A raw value with its unit.
    fn words(&self, raw: f64) -> String {
        real_minus(self.notation.said(self.measure, raw, 3))
    }

    /// All three.
    #[must_use]
    pub const fn new(label: &'static str, measure: Measure, span: Span) -> Self {
        Self {
            label,
            measure,
            span,
            notation: Notation::SI,
        }
    }
}

impl Panel {
    /// An empty one.
    #[must_use]
    pub const fn new(y: Axis) -> Self {
        Self {
            y,
            lines: Vec::new(),
            marks: Vec::new(),
            limits: Vec::new(),
        }
    }

    /// Adds a line.
    pub fn line(&mut self, label: &'static str, style: Style, points: Vec<(f64, f64)>) {
        self.lines.push(Line {
            label,
            style,
            points,
        });
    }

    /// Adds a point of the job.
    pub fn mark(&mut self, label: &str, x: f64, y: f64) {
        self.marks.push(Mark {
            label: label.into(),
            x,
            y,
            beyond: false,
        });
    }

    /// Adds a point of the job that belongs further along x than `end`.
    pub fn mark_beyond(&mut self, label: &str, end: f64, y: f64) {
        self.marks.push(Mark {
            label: label.into(),
            x: end,
            y,
            beyond: true,
        });
    }

    /// Adds a limit.
    pub fn limit(&mut self, label: &str, edge: Edge) {
        self.limits.push(Limit {
            label: label.into(),
            edge,
        });
    }

    /// The y axis as drawn, with about `most` ticks.
    #[must_use]
    pub fn scale(&self, most: usize) -> Scale {
        let (mut ys, mut edges) = (Vec::new(), Vec::new());
        for line in &self.lines {
            for point in &line.points {
                ys.push(point.1);
            }
        }
        for mark in &self.marks {
            ys.push(mark.y);
        }
        for limit in &self.limits {
            if limit.edge.is_level() {
                edges.push(limit.edge.at());
            }
        }
        Scale::new(&self.y, &ys, &edges, most)
    }
}

impl Line {
    /// Its y at `x`, between its points; `None` beyond its ends.
    #[must_use]
    pub fn at(&self, x: f64) -> Option<f64> {
        let (first, last) = (self.points.first()?, self.points.last()?);
        let slack = 1e-9 * (last.0 - first.0).abs();
        if !(x >= first.0 - slack && x <= last.0 + slack) {
            return None;
        }
        let behind = self.points.partition_point(|p| p.0 < x);
        let Some(b) = self.points.get(behind) else {
            return Some(last.1);
        };
        let Some(a) = behind.checked_sub(1).and_then(|at| self.points.get(at)) else {
            return Some(b.1);
        };
        let wide = b.0 - a.0;
        if wide > 0.0 {
            Some(a.1 + (b.1 - a.1) * ((x - a.0) / wide))
        } else {
            Some(b.1)
        }
    }
}
