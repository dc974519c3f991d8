//! Numbers of the register that remember the type of their quantity, and the quantities that are the sheet's own.

use core::marker::PhantomData;

use pulsewright_calc::ratio::Exact;

use crate::text::measure::Measure;

/// A number in the register that remembers the type of its quantity.
#[derive(Debug)]
pub struct Key<Q> {
    index: u16,
    quantity: PhantomData<fn() -> Q>,
}

impl<Q> Clone for Key<Q> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<Q> Copy for Key<Q> {}

impl<Q> Key<Q> {
    pub(crate) const fn at(index: usize) -> Self {
        Self {
            index: index as u16,
            quantity: PhantomData,
        }
    }
    /// Its number.
    #[must_use]
    pub const fn index(self) -> usize {
        self.index as usize
    }
}

impl Key<Rational> {
    /// The same number as a plain factor.
    #[must_use]
    pub const fn as_ratio(self) -> Key<pulsewright_calc::units::Ratio> {
        Key {
            index: self.index,
            quantity: PhantomData,
        }
    }
}

/// A quantity that fits in the sheet: SI inside.
pub trait Physical: Copy {
    /// From the sheet's number.
    fn from_raw(raw: f64) -> Self;
    /// To the sheet's number.
    fn raw(self) -> f64;
}

impl<D, U> Physical for uom::si::Quantity<D, U, f64>
where
    D: uom::si::Dimension + ?Sized,
    U: uom::si::Units<f64> + ?Sized,
    Self: Copy,
{
    fn from_raw(raw: f64) -> Self {
        Self {
            dimension: PhantomData,
            units: PhantomData,
            value: raw,
        }
    }
    fn raw(self) -> f64 {
        self.value
    }
}

impl Physical for f64 {
    fn from_raw(raw: f64) -> Self {
        raw
    }
    fn raw(self) -> f64 {
        self
    }
}

impl Physical for u32 {
    fn from_raw(raw: f64) -> Self {
        raw as Self
    }
    fn raw(self) -> f64 {
        f64::from(self)
    }
}

impl Physical for bool {
    fn from_raw(raw: f64) -> Self {
        raw != 0.0
    }
    fn raw(self) -> f64 {
        f64::from(u8::from(self))
    }
}

impl<Q: Physical> From<Q> for Found {
    fn from(quantity: Q) -> Self {
        Self {
            value: quantity.raw(),
            exact: None,
            measure: None,
        }
    }
}

/// An exact rational in the sheet; its own type, so that a key says that there is one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rational(pub Exact);

impl From<Rational> for Found {
    fn from(Rational(exact): Rational) -> Self {
        Self {
            value: pulsewright_calc::ratio::to_f64(exact).unwrap_or(f64::NAN),
            exact: Some(exact),
            measure: None,
        }
    }
}

/// A travel: an angle, or a length along it or as arc at the radius.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Travel {
    /// An angle.
    Angle(pulsewright_calc::units::Angle),
    /// A length.
    Length(pulsewright_calc::units::Length),
}

impl Travel {
    /// Its size in SI.
    #[must_use]
    pub fn raw(self) -> f64 {
        match self {
            Self::Angle(angle) => angle.value,
            Self::Length(length) => length.value,
        }
    }
    /// What it measures.
    #[must_use]
    pub fn measure(self) -> Measure {
        match self {
            Self::Angle(_) => Measure::Angle,
            Self::Length(_) => Measure::Length,
        }
    }
}

impl From<Travel> for Found {
    fn from(travel: Travel) -> Self {
        Self {
            value: travel.raw(),
            exact: None,
            measure: Some(travel.measure()),
        }
    }
}

/// Steps per millimetre or per degree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PerUnit {
    /// Its number.
    pub value: f64,
    /// The same, exact, where it is rational.
    pub exact: Option<Exact>,
    /// Per millimetre or per degree.
    pub measure: Measure,
}

impl From<PerUnit> for Found {
    fn from(per: PerUnit) -> Self {
        Self {
            value: per.value,
            exact: per.exact,
            measure: Some(per.measure),
        }
    }
}
/// Marks a list of stages.
#[derive(Clone, Copy, Debug)]
pub struct Stages;
/// Marks a list of shares.
#[derive(Clone, Copy, Debug)]
pub struct Shares;
/// Marks words.
#[derive(Clone, Copy, Debug)]
pub struct Words;

/// What a function of the register found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// The value: SI, temperatures in kelvin, choices and yes/no by number.
    pub value: f64,
    /// The same as an exact rational where it is one.
    pub exact: Option<Exact>,
    /// What it measures, where that depends on the design.
    pub measure: Option<Measure>,
}
