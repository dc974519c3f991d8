//! Roots and roundings of floating-point numbers where there is no standard library, under the
//! names of its methods. The numbers are the same.

use core::marker::PhantomData;

use uom::si::{Dimension, ISQ, Quantity, Units};
use uom::typenum::{Integer, P2, PartialDiv, PartialQuot};

pub(crate) trait SquareRoot {
    type Root;
    fn sqrt(self) -> Self::Root;
}

pub(crate) trait Rounding {
    fn floor(self) -> Self;
    fn ceil(self) -> Self;
    fn round(self) -> Self;
    fn rem_euclid(self, divisor: Self) -> Self;
    fn powi(self, exponent: i32) -> Self;
}

impl SquareRoot for f64 {
    type Root = Self;

    fn sqrt(self) -> Self {
        libm::sqrt(self)
    }
}

/// Dimension whose square is `D`.
type Half<D> = ISQ<
    PartialQuot<<D as Dimension>::L, P2>,
    PartialQuot<<D as Dimension>::M, P2>,
    PartialQuot<<D as Dimension>::T, P2>,
    PartialQuot<<D as Dimension>::I, P2>,
    PartialQuot<<D as Dimension>::Th, P2>,
    PartialQuot<<D as Dimension>::N, P2>,
    PartialQuot<<D as Dimension>::J, P2>,
>;

impl<D, U> SquareRoot for Quantity<D, U, f64>
where
    D: Dimension + ?Sized,
    U: Units<f64> + ?Sized,
    D::L: PartialDiv<P2, Output: Integer>,
    D::M: PartialDiv<P2, Output: Integer>,
    D::T: PartialDiv<P2, Output: Integer>,
    D::I: PartialDiv<P2, Output: Integer>,
    D::Th: PartialDiv<P2, Output: Integer>,
    D::N: PartialDiv<P2, Output: Integer>,
    D::J: PartialDiv<P2, Output: Integer>,
{
    type Root = Quantity<Half<D>, U, f64>;

    fn sqrt(self) -> Self::Root {
        Quantity {
            dimension: PhantomData,
            units: PhantomData,
            value: libm::sqrt(self.value),
        }
    }
}

impl Rounding for f64 {
    fn floor(self) -> Self {
        libm::floor(self)
    }

    fn ceil(self) -> Self {
        libm::ceil(self)
    }

    fn round(self) -> Self {
        libm::round(self)
    }

    fn rem_euclid(self, divisor: Self) -> Self {
        let rest = self % divisor;
        if rest < 0.0 {
            rest + divisor.abs()
        } else {
            rest
        }
    }

    /// By squaring, as the compiler's own routine.
    fn powi(self, exponent: i32) -> Self {
        let (mut power, mut factor, mut left) = (1.0, self, exponent.unsigned_abs());
        while left > 0 {
            if left & 1 == 1 {
                power *= factor;
            }
            factor *= factor;
            left >>= 1;
        }
        if exponent < 0 { 1.0 / power } else { power }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// The standard library's own methods, bit by bit.
        #[test]
        fn numbers_are_those_of_the_standard_library(
            value in any::<f64>(),
            near in -1e6..1e6_f64,
            divisor in 1e-3..1e3_f64,
            exponent in -6..7_i32,
        ) {
            let same = |ours: f64, theirs: f64| ours.to_bits() == theirs.to_bits();
            for value in [value, near, near.trunc() + 0.5] {
                prop_assert!(same(Rounding::floor(value), value.floor()));
                prop_assert!(same(Rounding::ceil(value), value.ceil()));
                prop_assert!(same(Rounding::round(value), value.round()));
                prop_assert!(same(Rounding::powi(value, exponent), value.powi(exponent)));
                prop_assert!(same(SquareRoot::sqrt(value.abs()), value.abs().sqrt()));
            }
            prop_assert!(same(Rounding::rem_euclid(near, divisor), near.rem_euclid(divisor)));
            let area = crate::units::Area::new::<uom::si::area::square_meter>(near.abs());
            prop_assert_eq!(SquareRoot::sqrt(area), area.sqrt());
        }
    }
}
