//! Where the marks of an axis stand, and how values become places along it.

use super::{Axis, Span};
use crate::text::measure::Measure;
use crate::text::number;

/// Round values between two ends: whole multiples of 1, 2 or 5 times a power of ten.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticks {
    /// The values.
    pub values: Vec<f64>,
    /// Their distance.
    pub step: f64,
    /// Decimals that tell them apart.
    pub decimals: u32,
}

fn power(exponent: i32) -> f64 {
    libm::pow(10.0, f64::from(exponent))
}

/// Round values from `low` to `high`, at most `most` of them and at least two fifths of that.
///
/// # Example
/// ```
/// use pulsewright_sheet::plot::ticks;
/// assert_eq!(ticks(0.0, 1.0, 6).values, [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]);
/// assert_eq!(ticks(-3.0, 11.0, 5).values, [0.0, 5.0, 10.0]);
/// ```
#[must_use]
pub fn ticks(low: f64, high: f64, most: usize) -> Ticks {
    let most = most.max(2);
    let wide = high - low;
    let nothing = Ticks {
        values: Vec::new(),
        step: 0.0,
        decimals: 0,
    };
    // So narrow beside its distance from zero that neighbours could not be told apart.
    if !(wide > 1e-9 * low.abs().max(high.abs()) && wide.is_finite() && wide > 1e-290) {
        return nothing;
    }
    let first = libm::floor(libm::log10(wide / most as f64)) as i32;
    for exponent in first..=first + 2 {
        for lead in [1.0, 2.0, 5.0] {
            // Multiplied or divided, so that 3 · 0.2 is 0.6 and not its neighbour.
            let value = |n: f64| {
                if exponent >= 0 {
                    n * lead * power(exponent)
                } else {
                    n * lead / power(-exponent)
                }
            };
            let step = value(1.0);
            let (from, to) = (
                libm::ceil(low / step - 1e-9),
                libm::floor(high / step + 1e-9),
            );
            let count = to - from + 1.0;
            if step > 0.0 && count <= most as f64 {
                let mut values = Vec::new();
                for k in 0..count.max(0.0) as usize {
                    // Adding zero makes a negative zero positive.
                    values.push(value(from + k as f64) + 0.0);
                }
                return Ticks {
                    values,
                    step,
                    decimals: (-exponent).max(0) as u32,
                };
            }
        }
    }
    nothing
}

/// Times that people count in, and how they are written.
const TIMES: [(f64, &str); 21] = [
    (1e-3, "1 ms"),
    (1e-2, "10 ms"),
    (0.1, "0.1 s"),
    (0.3, "0.3 s"),
    (1.0, "1 s"),
    (3.0, "3 s"),
    (10.0, "10 s"),
    (30.0, "30 s"),
    (60.0, "1 min"),
    (180.0, "3 min"),
    (600.0, "10 min"),
    (1800.0, "30 min"),
    (3600.0, "1 h"),
    (10800.0, "3 h"),
    (36e3, "10 h"),
    (864e2, "1 d"),
    (2592e2, "3 d"),
    (864e3, "10 d"),
    (2592e3, "30 d"),
    (864e4, "100 d"),
    (864e5, "1000 d"),
];

/// An axis ready to be drawn: its ends, its unit and its ticks.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale {
    axis: Axis,
    /// Ends, in the unit shown.
    low: f64,
    high: f64,
    unit: &'static str,
    factor: f64,
    offset: f64,
    /// The ticks: share of the way, and what stands there.
    pub ticks: Vec<(f64, String)>,
}

/// Least and greatest of what is finite.
fn ends(values: &[f64]) -> Option<(f64, f64)> {
    let mut found: Option<(f64, f64)> = None;
    for &v in values {
        let (low, high) = found.unwrap_or((v, v));
        found = Some((low.min(v), high.max(v)));
    }
    found
}

impl Scale {
    /// For `values`, and for those of `edges` that lie near them.
    pub(super) fn new(axis: &Axis, values: &[f64], edges: &[f64], most: usize) -> Self {
        let measure = axis.measure;
        let log = axis.span == Span::Log;
        let shown = |values: &[f64]| {
            let mut out = Vec::with_capacity(values.len());
            for &v in values {
                if v.is_finite() && (!log || v > 0.0) {
                    out.push(measure.reported(v));
                }
            }
            out
        };
        let (values, edges) = (shown(values), shown(edges));
        let (mut low, mut high) = ends(&values).or(ends(&edges)).unwrap_or((0.0, 1.0));
        if axis.span == Span::FromZero {
            (low, high) = (low.min(0.0), high.max(0.0));
        }
        // An edge far off would press the lines flat; it is named beside the plot instead.
        let near = 0.7 * (high - low);
        let (top, bottom) = if log {
            (high * 10.0, low / 10.0)
        } else {
            (high + near, low - near)
        };
        for &edge in &edges {
            if edge > high && edge <= top {
                high = high.max(edge);
            }
            if edge < low && edge >= bottom {
                low = low.min(edge);
            }
        }
        // A swing of less than a few kelvin is none worth a plot's height.
        if measure == Measure::Temperature && axis.span == Span::Fitted {
            high = high.max(low + 10.0);
        }
        if log {
            if low.is_nan() || low <= 0.0 || high < low * 1.01 {
                (low, high) = if low > 0.0 {
                    (low / 3.0, low * 3.0)
                } else {
                    (1.0, 10.0)
                };
            }
        } else if (high - low).is_nan() || high - low <= 1e-9 * high.abs().max(low.abs()) {
            let margin = if high == 0.0 { 1.0 } else { high.abs() };
            high += margin;
            if axis.span != Span::FromZero {
                low -= margin;
            }
        }
        let largest = high.abs().max(low.abs());
        let (unit, factor, offset) = axis.notation.scale(measure, largest);
        (low, high) = (low / factor + offset, high / factor + offset);
        let mut made = ticks(low, high, most);
        if matches!(axis.span, Span::FromZero | Span::Fitted) && made.step > 0.0 {
            // To the next marks, with a little room for what touches the end.
            let margin = 0.02 * (high - low);
            let down = if low == 0.0 { 0.0 } else { margin };
            low = libm::floor((low - down) / made.step) * made.step;
            high = libm::ceil((high + margin) / made.step) * made.step;
            made = ticks(low, high, most + 2);
        }
        let mut scale = Self {
            axis: *axis,
            low,
            high,
            unit,
            factor,
            offset,
            ticks: Vec::new(),
        };
        if log {
            scale.log_ticks();
        } else {
            // Numbers without end are written with a power of ten.
            let endless = largest / factor >= 1e9 || largest / factor < 1e-5;
            for v in made.values {
                let words = if endless {
                    number::text(v, 3)
                } else {
                    number::fixed(v, made.decimals.min(12))
                };
                let words = super::real_minus(axis.notation.mark(words));
                scale.ticks.push(((v - low) / (high - low), words));
            }
        }
        scale
    }

    fn log_ticks(&mut self) {
        let (low, high) = (self.low * self.factor, self.high * self.factor);
        let inside = |v: f64| v >= low * (1.0 - 1e-9) && v <= high * (1.0 + 1e-9);
        if self.axis.measure == Measure::Time {
            for (v, words) in TIMES.into_iter().filter(|(v, _)| inside(*v)) {
                self.ticks
                    .push((self.share(v), self.axis.notation.mark(words.into())));
            }
            return;
        }
        let first = libm::floor(libm::log10(low)) as i32;
        let last = libm::ceil(libm::log10(high)) as i32;
        for v in (first..=last.min(first + 40)).map(power) {
            if inside(v) {
                self.ticks.push((self.share(v), self.axis.words(v)));
            }
        }
    }

    /// How far along `raw` lies: 0 at the low end, 1 at the high end.
    #[must_use]
    pub fn share(&self, raw: f64) -> f64 {
        let value = self.shown(raw);
        let share = if self.axis.span == Span::Log {
            if value > 0.0 {
                libm::log(value / self.low) / libm::log(self.high / self.low)
            } else {
                0.0
            }
        } else {
            (value - self.low) / (self.high - self.low)
        };
        if share.is_finite() { share } else { 0.0 }
    }

    /// The raw value at a share of the way.
    #[must_use]
    pub fn value(&self, share: f64) -> f64 {
        let shown = if self.axis.span == Span::Log {
            self.low * libm::pow(self.high / self.low, share)
        } else {
            self.low + (self.high - self.low) * share
        };
        let zero = self.axis.measure.reported(0.0);
        (shown - self.offset) * self.factor - zero
    }

    /// A raw value in the unit shown.
    fn shown(&self, raw: f64) -> f64 {
        self.axis.measure.reported(raw) / self.factor + self.offset
    }

    /// A raw value as a table says it: without its unit where the head has it.
    #[must_use]
    pub fn cell(&self, raw: f64) -> String {
        if self.axis.span == Span::Log {
            self.axis.words(raw)
        } else {
            super::real_minus(self.axis.notation.number(self.shown(raw), 3))
        }
    }

    /// `label` with the unit; a logarithmic axis has units at its ticks.
    #[must_use]
    pub fn with_unit(&self, label: &str) -> String {
        if self.axis.span == Span::Log || self.unit.is_empty() {
            label.into()
        } else {
            [label, ", ", self.unit].concat()
        }
    }

    /// Name with unit.
    #[must_use]
    pub fn name(&self) -> String {
        self.with_unit(self.axis.label)
    }
}
