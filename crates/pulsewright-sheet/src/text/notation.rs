//! How numbers are shown: in which family of units, and with which decimal mark.
//!
//! It changes nothing of a design: what a person typed keeps its unit, links and files keep their
//! point.

use super::measure::{Measure, UnitSystem};
use super::number;
use super::unit::with_unit;

/// How numbers are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Notation {
    /// In which units.
    pub units: UnitSystem,
    /// With a comma before the decimals.
    pub comma: bool,
}

impl Notation {
    /// SI with a point.
    pub const SI: Self = Self {
        units: UnitSystem::Si,
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
        self.mark(number::text(value, digits))
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

    /// A raw value with its unit as one text; no space before °.
    #[must_use]
    pub fn said(self, measure: Measure, raw: f64, digits: i32) -> String {
        let (number, unit) = self.shown(measure, raw, digits);
        with_unit(&number, unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const INCHES: Notation = Notation {
        units: UnitSystem::Inch,
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
        let workshop = Notation {
            units: UnitSystem::Workshop,
            comma: true,
        };
        // Exact: 4.6 kgf·cm = 4.6 · 0.0980665 N·m.
        assert_eq!(workshop.said(Measure::Torque, 0.451_105_9, 4), "4,6 kgf·cm");
        assert_eq!(workshop.said(Measure::Torque, 1e-3, 4), "10,2 gf·cm");
        assert_eq!(workshop.said(Measure::Voltage, 0.0125, 4), "12,5 mV");
    }

    #[test]
    fn what_is_shown_can_be_typed() {
        for (units, _) in UnitSystem::ALL {
            let notation = Notation {
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
                    let text = notation.said(measure, raw, 13);
                    let (number, rest) =
                        number::split(&text, number::DecimalMark::Stored).expect(&text);
                    let unit = crate::text::unit::unit(rest, measure).expect(&text);
                    let back = unit.to_si(number.value);
                    assert!((back - raw).abs() <= 1e-9 * raw, "{text} {back} {raw}");
                }
            }
        }
    }
}
