//! How numbers are shown: in which family of units, and with which decimal mark.
//!
//! It changes nothing of a design: what a person typed keeps its unit, links and files keep their
//! point.

use crate::num;
use crate::unit::{Measure, with_unit};

/// A family of units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// SI with its prefixes, degrees and turns.
    #[default]
    Si,
    /// The same, with forces and torques in the kilogram-force of listings and scales.
    Workshop,
    /// Inch, ounce and pound, and what follows from them.
    Inch,
}

/// Units in which a measure is shown: name, factor to SI, and from which size on, smallest first.
type Shown = &'static [(&'static str, f64, f64)];

/// Standard gravity.
const G: f64 = pulsewright_calc::units::STANDARD_GRAVITY;
const INCH: f64 = 0.0254;
const POUND: f64 = 0.453_592_37;
const OUNCE: f64 = POUND / 16.0;

impl Units {
    /// The families in order, each with its name.
    pub const ALL: [(Self, &'static str); 3] = [
        (Self::Si, "SI"),
        (Self::Workshop, "kgf·cm"),
        (Self::Inch, "inch"),
    ];

    /// Whether this family shows a measure otherwise than SI does.
    #[must_use]
    pub fn differ(self, measure: Measure) -> bool {
        self.own(measure).is_some()
    }

    /// The units of a measure that this family shows otherwise than SI does.
    fn own(self, measure: Measure) -> Option<Shown> {
        Some(match (self, measure) {
            (Self::Workshop, Measure::Torque) => &[
                ("gf·cm", G * 1e-5, 0.0),
                ("kgf·cm", G * 1e-2, 0.0999 * G * 1e-2),
            ],
            (Self::Workshop, Measure::Force) => &[("gf", G * 1e-3, 0.0), ("kgf", G, 0.999 * G)],
            (Self::Workshop, Measure::Stiffness) => &[("kgf·cm/rad", G * 1e-2, 0.0)],
            (Self::Workshop, Measure::MotorConstant) => &[("gf·cm/A", G * 1e-5, 0.0)],
            (Self::Inch, Measure::Length) => &[("in", INCH, 0.0)],
            (Self::Inch, Measure::Thickness) => &[("mil", 1e-3 * INCH, 0.0)],
            (Self::Inch, Measure::Mass) => &[("oz", OUNCE, 0.0), ("lb", POUND, 0.999 * POUND)],
            (Self::Inch, Measure::Force) => &[
                ("ozf", OUNCE * G, 0.0),
                ("lbf", POUND * G, 0.999 * POUND * G),
            ],
            (Self::Inch, Measure::Torque) => &[
                ("ozf·in", OUNCE * G * INCH, 0.0),
                ("lbf·in", POUND * G * INCH, 9.99 * POUND * G * INCH),
            ],
            (Self::Inch, Measure::Inertia) => &[("oz·in²", OUNCE * INCH * INCH, 0.0)],
            (Self::Inch, Measure::Stiffness) => &[("lbf·in/rad", POUND * G * INCH, 0.0)],
            (Self::Inch, Measure::MotorConstant) => &[("ozf·in/A", OUNCE * G * INCH, 0.0)],
            (Self::Inch, Measure::Velocity) => &[("in/s", INCH, 0.0)],
            (Self::Inch, Measure::Acceleration) => &[("in/s²", INCH, 0.0)],
            (Self::Inch, Measure::Temperature | Measure::TemperatureRise) => {
                &[("°F", 5.0 / 9.0, 0.0)]
            }
            _ => return None,
        })
    }
}

/// How numbers are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Manner {
    /// In which units.
    pub units: Units,
    /// With a comma before the decimals.
    pub comma: bool,
}

impl Manner {
    /// SI with a point.
    pub const SI: Self = Self {
        units: Units::Si,
        comma: false,
    };

    /// A number with its decimal mark, as `text` writes it with a point.
    #[must_use]
    pub fn mark(self, text: String) -> String {
        if self.comma {
            text.replace('.', ",")
        } else {
            text
        }
    }

    /// A plain number.
    #[must_use]
    pub fn number(self, value: f64, digits: i32) -> String {
        self.mark(num::text(value, digits))
    }

    /// A raw value as number and unit, to `digits` significant digits.
    #[must_use]
    pub fn shown(self, measure: Measure, raw: f64, digits: i32) -> (String, &'static str) {
        if !self.units.differ(measure) {
            let (number, unit) = measure.shown(raw, digits);
            return (self.mark(number), unit);
        }
        let (name, factor, offset) = self.scale(measure, raw);
        let value = measure.reported(raw) / factor + offset;
        (self.number(value, digits), name)
    }

    /// The unit in which a raw value is shown, its size in SI, and what stands at its zero.
    #[must_use]
    pub fn scale(self, measure: Measure, raw: f64) -> (&'static str, f64, f64) {
        let Some(units) = self.units.own(measure) else {
            let (name, factor) = measure.scale(raw);
            return (name, factor, 0.0);
        };
        let size = raw.abs();
        let fits = |unit: &&(&str, f64, f64)| size >= unit.2;
        let found = units.iter().rev().find(fits).copied();
        let (name, factor, _) = found.unwrap_or(("", 1.0, 0.0));
        let offset = if measure == Measure::Temperature {
            32.0
        } else {
            0.0
        };
        (name, factor, offset)
    }

    /// Two ends of a range: `between 30 and 90 mA`.
    #[must_use]
    pub fn between(self, measure: Measure, low: f64, high: f64, digits: i32) -> String {
        let (low, unit) = self.shown(measure, low, digits);
        let (high, unit_high) = self.shown(measure, high, digits);
        let unit = if unit == unit_high { "" } else { unit };
        let spaced = |number: &str, unit: &str| [number, " ", unit].concat().trim_end().to_string();
        [
            "between ",
            &spaced(&low, unit),
            " and ",
            &spaced(&high, unit_high),
        ]
        .concat()
    }

    /// A raw value with its unit as one text; no space before ° and %.
    #[must_use]
    pub fn said(self, measure: Measure, raw: f64, digits: i32) -> String {
        let (number, unit) = self.shown(measure, raw, digits);
        with_unit(&number, unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const INCHES: Manner = Manner {
        units: Units::Inch,
        comma: false,
    };

    #[test]
    fn inch_and_workshop() {
        // NIST SP 811 (2008), appendix B.8: 1 ozf·in = 7.061552e-3 N·m, 1 lbf = 4.448222 N.
        assert_eq!(INCHES.said(Measure::Torque, 0.706_155_2, 4), "100 ozf·in");
        assert_eq!(INCHES.said(Measure::Torque, 2.259_697, 4), "20 lbf·in");
        assert_eq!(INCHES.said(Measure::Force, 44.482_22, 4), "10 lbf");
        assert_eq!(INCHES.said(Measure::Length, 0.0254, 4), "1 in");
        // 25 °C is 77 °F, and 10 K are 18 °F: arithmetic.
        assert_eq!(INCHES.said(Measure::Temperature, 298.15, 4), "77 °F");
        assert_eq!(INCHES.said(Measure::TemperatureRise, 10.0, 4), "18 °F");
        assert_eq!(INCHES.said(Measure::Voltage, 6.0, 4), "6 V");
        let workshop = Manner {
            units: Units::Workshop,
            comma: true,
        };
        // Exact: 4.6 kgf·cm = 4.6 · 0.0980665 N·m.
        assert_eq!(workshop.said(Measure::Torque, 0.451_105_9, 4), "4,6 kgf·cm");
        assert_eq!(workshop.said(Measure::Torque, 1e-3, 4), "10,2 gf·cm");
        assert_eq!(workshop.said(Measure::Voltage, 0.0125, 4), "12,5 mV");
    }

    #[test]
    fn what_is_shown_can_be_typed() {
        for (units, _) in Units::ALL {
            let manner = Manner {
                units,
                comma: false,
            };
            for measure in [
                Measure::Torque,
                Measure::Force,
                Measure::Length,
                Measure::Thickness,
                Measure::Mass,
                Measure::Inertia,
                Measure::Stiffness,
                Measure::MotorConstant,
                Measure::Velocity,
                Measure::Acceleration,
                Measure::Temperature,
                Measure::TemperatureRise,
            ] {
                for raw in [2.5e-3, 0.31, 47.0, 330.0] {
                    let text = manner.said(measure, raw, 13);
                    let (number, rest) = num::split(&text, num::Marks::Stored).expect(&text);
                    let unit = crate::unit::unit(rest, measure).expect(&text);
                    let back = unit.to_si(number.value);
                    assert!((back - raw).abs() <= 1e-9 * raw, "{text} {back} {raw}");
                }
            }
        }
    }
}
