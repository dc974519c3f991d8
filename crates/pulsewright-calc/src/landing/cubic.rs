//! The cubic through the values and slopes at both ends of a step: what a figure that is read
//! between two states is read from.

#[cfg(not(any(test, feature = "std")))]
use crate::float::SquareRoot as _;
use crate::roots::bracketed;

/// Share of a step to which a moment on the cubic is found.
const TOLERANCE: f64 = 1e-9;

/// Cubic over a share of 0 to 1, its slopes for the whole step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cubic {
    pub from: f64,
    pub to: f64,
    pub slope_from: f64,
    pub slope_to: f64,
}

impl Cubic {
    pub fn at(&self, share: f64) -> f64 {
        let rise = self.to - self.from;
        let left = 1.0 - share;
        let bend = left * (self.slope_from - rise) + share * (rise - self.slope_to);
        self.from + share * (rise + left * bend)
    }

    fn slope(&self, share: f64) -> f64 {
        let left = 1.0 - share;
        let middle = 3.0 * (self.to - self.from) - self.slope_from - self.slope_to;
        self.slope_from * left * left + self.slope_to * share * share + 2.0 * share * left * middle
    }

    /// Where it turns, if its slopes have opposite signs: share and value.
    pub fn extreme(&self) -> Option<(f64, f64)> {
        if self.slope_from * self.slope_to >= 0.0 {
            return None;
        }
        // The slope is from + 2·half·t + bend·t²: of its two roots the one in the step.
        let middle = 3.0 * (self.to - self.from) - self.slope_from - self.slope_to;
        let (half, bend) = (
            middle - self.slope_from,
            self.slope_from + self.slope_to - 2.0 * middle,
        );
        let root = (half * half - bend * self.slope_from).max(0.0).sqrt();
        let sum = -(half + root.copysign(half));
        let one = self.slope_from / sum;
        let share = if (0.0..=1.0).contains(&one) {
            one
        } else {
            sum / bend
        };
        (0.0..=1.0)
            .contains(&share)
            .then(|| (share, self.at(share)))
    }

    /// Share at which a function of it changes its sign.
    pub fn crossing(&self, function: impl Fn(f64) -> f64) -> Option<f64> {
        bracketed(|share| function(self.at(share)), 0.0, 1.0, TOLERANCE, 60)
    }

    /// Integral from the start, in steps; exact, by the trapezoid with the slopes' correction.
    pub fn integral_to(&self, share: f64) -> f64 {
        let slopes = self.slope_from - self.slope(share);
        share * (0.5 * (self.from + self.at(share)) + share / 12.0 * slopes)
    }
}
