//! Sizes that can be bought: preferred numbers, fuses, trace widths, and what to look for in a
//! motor listing.

use core::marker::PhantomData;

use uom::si::{Dimension, Quantity, SI};

use crate::units::{AngularVelocity, Capacitance, ElectricCurrent, Length, Time, Torque};

/// A computed value this close to a standard one, relatively, is that standard one.
const HAIR: f64 = 1e-9;

/// Powers of ten that a part's value may have; up to 10^15 a power is exact in binary.
const DECADES: [f64; 31] = [
    1e-15, 1e-14, 1e-13, 1e-12, 1e-11, 1e-10, 1e-9, 1e-8, 1e-7, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 1e-1,
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
];

/// Place of 10^0 in [`DECADES`].
const UNITY: usize = 15;

const E3: [u8; 3] = [10, 22, 47];
const E6: [u8; 6] = [10, 15, 22, 33, 47, 68];
const E12: [u8; 12] = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82];
const E24: [u8; 24] = [
    10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
];

/// Rated currents of miniature fuses up to 10 A (IEC 60127-2) and of blade fuses above
/// (ISO 8820-3), in amperes, from memory.
const FUSES: [f64; 31] = [
    0.032, 0.040, 0.050, 0.063, 0.080, 0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8,
    1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0,
];

/// Trace widths as people draw them, in millimetres: common practice, no source.
const TRACE_WIDTHS: [f64; 25] = [
    0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0,
    10.0, 12.0, 15.0, 20.0, 30.0, 40.0, 50.0,
];

/// A series of preferred numbers of IEC 60063.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Series {
    /// Three values a decade.
    E3,
    /// Six values a decade, parts of ± 20 %.
    E6,
    /// Twelve values a decade, parts of ± 10 %.
    E12,
    /// Twenty-four values a decade, parts of ± 5 %.
    E24,
}

impl Series {
    /// The values of one decade, in tenths: 10 to 91 stand for 1.0 to 9.1. This is the table of
    /// the standard; the power law 10^(k/n) misses eight members of E24.
    #[must_use]
    pub fn tenths(self) -> &'static [u8] {
        match self {
            Self::E3 => &E3,
            Self::E6 => &E6,
            Self::E12 => &E12,
            Self::E24 => &E24,
        }
    }
}

/// The value `tenths`/10 in the decade at `place`, at least 1, of [`DECADES`], rounded once.
fn member(tenths: u8, place: usize) -> f64 {
    if place > UNITY {
        f64::from(tenths) * DECADES[place - 1]
    } else {
        f64::from(tenths) / DECADES[2 * UNITY + 1 - place]
    }
}

/// The members of a series just not above and just not below a value.
fn neighbours(value: f64, series: Series) -> Option<(f64, f64)> {
    let lowest = DECADES[1];
    if !(value >= lowest && value < DECADES[DECADES.len() - 1]) {
        return None;
    }
    let place = DECADES.partition_point(|decade| *decade <= value * (1.0 + HAIR)) - 1;
    let tenths = series.tenths();
    let scaled = value / DECADES[place] * 10.0;
    let above = tenths.partition_point(|tenth| f64::from(*tenth) < scaled * (1.0 - HAIR));
    let upper = match tenths.get(above) {
        Some(tenth) => member(*tenth, place),
        None => member(10, place + 1),
    };
    let meets = tenths
        .get(above)
        .is_some_and(|tenth| f64::from(*tenth) <= scaled * (1.0 + HAIR));
    // A decade starts at 1.0, so that a value which meets no member has one below it.
    let lower = if meets {
        upper
    } else {
        member(tenths[above.saturating_sub(1)], place)
    };
    Some((lower, upper))
}

/// A quantity of the same dimension with another SI value.
fn with_value<D: Dimension + ?Sized>(value: f64) -> Quantity<D, SI<f64>, f64> {
    Quantity {
        dimension: PhantomData,
        units: PhantomData,
        value,
    }
}

/// Least preferred value that is not below the one asked for; within 1e-9 counts as equal.
///
/// # Arguments
/// * `value` in its SI unit: ohm, farad, henry
/// * `series` of IEC 60063
///
/// # Returns
/// The part's value, or none outside 1e-14 to 1e15 in SI units.
///
/// # Validity
/// Any positive value in that range.
///
/// # Example
/// Members of E24 that a power law misses (IEC 60063 as listed).
/// ```
/// use pulsewright_calc::preferred::{Series, at_least};
/// use pulsewright_calc::units::ElectricalResistance;
/// use uom::si::electrical_resistance::kiloohm;
/// let next = |r| at_least(ElectricalResistance::new::<kiloohm>(r), Series::E24).unwrap().value;
/// assert_eq!([next(2.61), next(2.873), next(8.254)], [2700.0, 3000.0, 9100.0]);
/// assert_eq!(next(9.2), 10_000.0);
/// ```
///
/// # Sources
/// IEC 60063, table.
#[must_use]
pub fn at_least<D: Dimension + ?Sized>(
    value: Quantity<D, SI<f64>, f64>,
    series: Series,
) -> Option<Quantity<D, SI<f64>, f64>> {
    neighbours(value.value, series).map(|(_, upper)| with_value(upper))
}

/// Greatest preferred value that is not above the one asked for; within 1e-9 counts as equal.
///
/// # Arguments
/// * `value` in its SI unit: ohm, farad, henry
/// * `series` of IEC 60063
///
/// # Returns
/// The part's value, or none outside 1e-14 to 1e15 in SI units.
///
/// # Validity
/// Any positive value in that range.
///
/// # Example
/// ```
/// use pulsewright_calc::preferred::{Series, at_most};
/// use pulsewright_calc::units::ElectricalResistance;
/// use uom::si::electrical_resistance::ohm;
/// let r = at_most(ElectricalResistance::new::<ohm>(0.99), Series::E12).unwrap();
/// assert_eq!(r.value, 0.82);
/// ```
///
/// # Sources
/// IEC 60063, table.
#[must_use]
pub fn at_most<D: Dimension + ?Sized>(
    value: Quantity<D, SI<f64>, f64>,
    series: Series,
) -> Option<Quantity<D, SI<f64>, f64>> {
    neighbours(value.value, series).map(|(lower, _)| with_value(lower))
}

/// Preferred value of the smallest ratio to the one asked for, the lower one in a tie.
///
/// # Arguments
/// * `value` in its SI unit: ohm, farad, henry
/// * `series` of IEC 60063
///
/// # Returns
/// The part's value, or none outside 1e-14 to 1e15 in SI units.
///
/// # Validity
/// Any positive value in that range.
///
/// # Example
/// ```
/// use pulsewright_calc::preferred::{Series, nearest};
/// use pulsewright_calc::units::ElectricalResistance;
/// use uom::si::electrical_resistance::ohm;
/// let r = nearest(ElectricalResistance::new::<ohm>(5000.0), Series::E12).unwrap();
/// assert_eq!(r.value, 4700.0);
/// ```
///
/// # Sources
/// IEC 60063, table.
#[must_use]
pub fn nearest<D: Dimension + ?Sized>(
    value: Quantity<D, SI<f64>, f64>,
    series: Series,
) -> Option<Quantity<D, SI<f64>, f64>> {
    neighbours(value.value, series).map(|(lower, upper)| {
        let lower_is_nearer = value.value / lower <= upper / value.value;
        with_value(if lower_is_nearer { lower } else { upper })
    })
}

/// Least standard electrolytic capacitor of at least the capacitance asked for.
///
/// # Arguments
/// * `needed` C \[F\]
///
/// # Returns
/// A member of E6 from 1 µF to 1 F, none where more is needed.
///
/// # Validity
/// C ≥ 0; the part's own tolerance of ± 20 % is left to the caller.
///
/// # Example
/// ```
/// use pulsewright_calc::{preferred, units::Capacitance};
/// use uom::si::capacitance::microfarad;
/// let c = preferred::capacitor_at_least(Capacitance::new::<microfarad>(340.0)).unwrap();
/// assert_eq!(c, Capacitance::new::<microfarad>(470.0));
/// ```
///
/// # Sources
/// IEC 60063; that electrolytic capacitors come in E6 from 1 µF is common practice, no source.
#[must_use]
pub fn capacitor_at_least(needed: Capacitance) -> Option<Capacitance> {
    let least = Capacitance::new::<uom::si::capacitance::microfarad>(1.0);
    let greatest = Capacitance::new::<uom::si::capacitance::farad>(1.0);
    if needed < least {
        return Some(least);
    }
    at_least(needed, Series::E6).filter(|part| *part <= greatest)
}

/// The least of a rising table of sizes that is not below the one asked for.
fn from_table(table: &[f64], needed: f64) -> Option<f64> {
    let place = table.partition_point(|size| *size < needed * (1.0 - HAIR));
    table.get(place).copied().filter(|_| needed.is_finite())
}

/// Least standard fuse of at least the current asked for.
///
/// # Arguments
/// * `needed` I \[A\]
///
/// # Returns
/// The rated current, 32 mA to 40 A, none above.
///
/// # Validity
/// Miniature fuses to 10 A, blade fuses above.
///
/// # Example
/// ```
/// use pulsewright_calc::{preferred, units::ElectricCurrent};
/// use uom::si::electric_current::ampere;
/// let fuse = preferred::fuse_at_least(ElectricCurrent::new::<ampere>(2.6)).unwrap();
/// assert_eq!(fuse.value, 3.15);
/// ```
///
/// # Sources
/// IEC 60127-2 and ISO 8820-3, rated currents, from memory.
#[must_use]
pub fn fuse_at_least(needed: ElectricCurrent) -> Option<ElectricCurrent> {
    from_table(&FUSES, needed.value).map(with_value)
}

/// Standard fuse that carries the worst current and protects the weakest conductor.
///
/// # Formula
/// least standard If with 1.25·Iw ≤ If ≤ 0.75·Ir
///
/// # Arguments
/// * `worst_current` Iw in operation \[A\]
/// * `least_rating` Ir, least of trace, wire and pin \[A\]
///
/// # Returns
/// If \[A\], none where no standard fuse lies between.
///
/// # Validity
/// Room temperature; a fuse carries less when hot.
///
/// # Example
/// ```
/// use pulsewright_calc::{preferred, units::ElectricCurrent};
/// use uom::si::electric_current::ampere;
/// let fuse = |worst, rating| preferred::fuse(
///     ElectricCurrent::new::<ampere>(worst),
///     ElectricCurrent::new::<ampere>(rating),
/// );
/// assert_eq!(fuse(0.8, 1.5).map(|i| i.value), Some(1.0));
/// assert_eq!(fuse(0.9, 1.5), None);
/// ```
///
/// # Sources
/// The factors are common practice, no source.
#[must_use]
pub fn fuse(
    worst_current: ElectricCurrent,
    least_rating: ElectricCurrent,
) -> Option<ElectricCurrent> {
    fuse_at_least(1.25 * worst_current).filter(|rated| *rated <= 0.75 * least_rating * (1.0 + HAIR))
}

/// Least customary trace width that is not below the one asked for.
///
/// # Arguments
/// * `needed` w \[m\]
///
/// # Returns
/// 0.15 mm to 50 mm, none above.
///
/// # Validity
/// Widths as drawn; the board maker's own least width may be greater.
///
/// # Example
/// ```
/// use pulsewright_calc::{preferred, units::Length};
/// use uom::si::length::millimeter;
/// let w = preferred::trace_width_at_least(Length::new::<millimeter>(0.31)).unwrap();
/// assert_eq!(w, Length::new::<millimeter>(0.4));
/// ```
///
/// # Sources
/// Common practice, no source.
#[must_use]
pub fn trace_width_at_least(needed: Length) -> Option<Length> {
    from_table(&TRACE_WIDTHS, needed.value * 1e3).map(Length::new::<uom::si::length::millimeter>)
}

/// Stall torque at the output to look for in a listing.
///
/// # Formula
/// Ts = max(4·|Th|, 3.3·|Tp|)
///
/// # Arguments
/// * `holding_torque` Th \[N·m\]
/// * `peak_torque` Tp of the move \[N·m\]
///
/// # Returns
/// Ts \[N·m\]
///
/// # Validity
/// A first choice before any motor is known; the checks judge the motor then given.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{preferred, units::Torque};
/// use uom::si::torque::newton_meter;
/// let t = |x| Torque::new::<newton_meter>(x);
/// assert_eq!(preferred::stall_torque_needed(t(0.1), t(0.2)), t(0.66));
/// assert_eq!(preferred::stall_torque_needed(t(-0.2), t(0.2)), t(0.8));
/// ```
///
/// # Sources
/// Continuous torque of 25 to 30 % of the stall torque: common practice, no source.
#[must_use]
pub fn stall_torque_needed(holding_torque: Torque, peak_torque: Torque) -> Torque {
    (4.0 * holding_torque.abs()).max(3.3 * peak_torque.abs())
}

/// Range of no-load speeds at the output to look for in a listing.
///
/// # Formula
/// 1.3·|ω| to 2.5·|ω|
///
/// # Arguments
/// * `peak_speed` ω of the move \[rad/s\]
///
/// # Returns
/// Least and greatest no-load speed \[rad/s\].
///
/// # Validity
/// A first choice before any motor is known.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{preferred, units::AngularVelocity};
/// use uom::si::angular_velocity::radian_per_second;
/// let (least, greatest) =
///     preferred::no_load_speed_needed(AngularVelocity::new::<radian_per_second>(2.0));
/// assert_eq!((least.value, greatest.value), (2.6, 5.0));
/// ```
///
/// # Sources
/// Work at 70 to 90 % of the no-load speed (a maker's selection guide); the range is common
/// practice, no source.
#[must_use]
pub fn no_load_speed_needed(peak_speed: AngularVelocity) -> (AngularVelocity, AngularVelocity) {
    (1.3 * peak_speed.abs(), 2.5 * peak_speed.abs())
}

/// Multiple of its rated current that a time-lag fuse bears for a start or a jam: IEC 60127-2,
/// time-lag, pre-arcing time at 2.75 times 0.6 to 10 s, from memory.
pub const TIME_LAG_MULTIPLE: f64 = 2.75;

/// Time after which a time-lag fuse has blown at [`TIME_LAG_MULTIPLE`], in seconds: the same.
pub const TIME_LAG_SECONDS: f64 = 10.0;

/// What a fuse must carry and what it must protect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FuseNeed {
    /// Worst current that lasts, Iw.
    pub lasting: ElectricCurrent,
    /// Current of a start or a jam, Ij.
    pub jam: ElectricCurrent,
    /// Time t for which it flows until the firmware gives up.
    pub jam_time: Time,
    /// Least rating Ir of wire, trace and pin.
    pub least_rating: ElectricCurrent,
}

/// Why there is no fuse.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum NoFuse {
    /// A current is negative or no number.
    Impossible,
    /// The standard series ends below what must be carried.
    BeyondSeries {
        /// Rated current asked for.
        needed: ElectricCurrent,
    },
    /// What carries the lasting current lets the weakest conductor burn.
    LastingCurrent {
        /// Standard fuse that would carry all that is asked.
        carries: ElectricCurrent,
        /// Greatest rated current that protects.
        protects: ElectricCurrent,
    },
    /// What carries a start or a jam lets the weakest conductor burn.
    Jam {
        /// Standard fuse that would carry all that is asked.
        carries: ElectricCurrent,
        /// Greatest rated current that protects.
        protects: ElectricCurrent,
    },
}

impl core::fmt::Display for NoFuse {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(match self {
            Self::Impossible => "no fuse for such currents",
            Self::BeyondSeries { .. } => "no standard fuse carries this current",
            Self::LastingCurrent { .. } => {
                "a fuse that carries the lasting current does not protect the weakest conductor"
            }
            Self::Jam { .. } => {
                "a fuse that carries a start or a jam does not protect the weakest conductor"
            }
        })
    }
}

impl core::error::Error for NoFuse {}

/// Standard time-lag fuse that carries the lasting current and a start or a jam, and protects the
/// weakest conductor.
///
/// # Formula
/// least standard If with max(1.25·Iw, Ij/2.75) ≤ If ≤ 0.75·Ir; a jam of t > 10 s lasts: 1.25·Ij
///
/// # Arguments
/// * `need` Iw, Ij, Ir \[A\], t \[s\]
///
/// # Returns
/// If \[A\]
///
/// # Validity
/// Time-lag characteristic, room temperature; a fuse carries less when hot. At 2.75 times its
/// current a fuse of the standard may blow after 0.6 s and must within 10 s: a longer jam may blow
/// it, and it is meant for nothing that happens often.
///
/// # Errors
/// [`NoFuse`], with which need and which conductor cannot both be served.
///
/// # Example
/// No published value: 0.8 A for good and 3 A until the firmware gives up, on a pin of 2 A.
/// ```
/// use pulsewright_calc::preferred::{FuseNeed, NoFuse, time_lag_fuse};
/// use pulsewright_calc::units::{ElectricCurrent, Time};
/// use uom::si::{electric_current::ampere, time::second};
/// let a = ElectricCurrent::new::<ampere>;
/// let fuse = |jam| time_lag_fuse(&FuseNeed {
///     lasting: a(0.8), jam: a(jam), jam_time: Time::new::<second>(2.0), least_rating: a(2.0),
/// });
/// assert_eq!(fuse(3.0), Ok(a(1.25)));
/// assert_eq!(fuse(5.0), Err(NoFuse::Jam { carries: a(2.0), protects: a(1.5) }));
/// ```
///
/// # Sources
/// IEC 60127-2, time-lag, from memory; the factors 1.25 and 0.75 are common practice, no source.
pub fn time_lag_fuse(need: &FuseNeed) -> Result<ElectricCurrent, NoFuse> {
    let sound = [need.lasting.value, need.jam.value, need.jam_time.value]
        .into_iter()
        .all(|value| value.is_finite() && value >= 0.0);
    (sound && need.least_rating.value >= 0.0)
        .then_some(())
        .ok_or(NoFuse::Impossible)?;
    let lasting = 1.25 * need.lasting;
    let jam = if need.jam_time.value > TIME_LAG_SECONDS {
        1.25 * need.jam
    } else {
        need.jam / TIME_LAG_MULTIPLE
    };
    let needed = lasting.max(jam);
    let carries = fuse_at_least(needed).ok_or(NoFuse::BeyondSeries { needed })?;
    let protects = 0.75 * need.least_rating;
    let protected = |rated: ElectricCurrent| rated <= protects * (1.0 + HAIR);
    if protected(carries) {
        Ok(carries)
    } else if fuse_at_least(lasting).is_some_and(protected) {
        Err(NoFuse::Jam { carries, protects })
    } else {
        Err(NoFuse::LastingCurrent { carries, protects })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::ElectricalResistance;
    use proptest::prelude::*;
    use uom::si::electrical_resistance::ohm;

    fn ohms(value: f64) -> ElectricalResistance {
        ElectricalResistance::new::<ohm>(value)
    }

    /// IEC 60063 as listed: eight members of E24 are not the rounded power law.
    #[test]
    fn e24_is_the_table_not_the_power_law() {
        let misses = E24
            .iter()
            .zip(0_i32..)
            .filter(|(tenths, place)| {
                let law = libm::exp10(f64::from(*place) / 24.0);
                f64::from(**tenths) != libm::round(law * 10.0)
            })
            .map(|(tenths, _)| *tenths)
            .collect::<Vec<_>>();
        assert_eq!(misses, [27, 30, 33, 36, 39, 43, 47, 82]);
    }

    /// Each coarser series of IEC 60063 is every second member of the next finer one.
    #[test]
    fn coarser_series_skip_members() {
        for (coarse, fine) in [(&E3[..], &E6[..]), (&E6, &E12), (&E12, &E24)] {
            let skipped = fine.iter().step_by(2).copied().collect::<Vec<_>>();
            assert_eq!(coarse, skipped);
        }
    }

    #[test]
    fn decades_join() {
        for (value, below, above) in [
            (1.0, 1.0, 1.0),
            (0.999, 0.91, 1.0),
            (1e-6, 1e-6, 1e-6),
            (9.5e-13, 9.1e-13, 1e-12),
            (1e14, 1e14, 1e14),
            (46_999.999_999_999, 47_000.0, 47_000.0),
            (47_000.000_000_001, 47_000.0, 47_000.0),
            (99_999.999_999_999, 100_000.0, 100_000.0),
        ] {
            assert_eq!(
                at_most(ohms(value), Series::E24),
                Some(ohms(below)),
                "{value}"
            );
            assert_eq!(
                at_least(ohms(value), Series::E24),
                Some(ohms(above)),
                "{value}"
            );
        }
        for value in [0.0, -1.0, 1e-15, 1e15, f64::NAN, f64::INFINITY] {
            assert_eq!(at_least(ohms(value), Series::E6), None);
        }
    }

    #[test]
    fn sizes_end() {
        let amperes = ElectricCurrent::new::<uom::si::electric_current::ampere>;
        assert_eq!(fuse_at_least(amperes(0.0)), Some(amperes(0.032)));
        assert_eq!(fuse_at_least(amperes(40.0)), Some(amperes(40.0)));
        assert_eq!(fuse_at_least(amperes(40.1)), None);
        assert_eq!(fuse_at_least(amperes(f64::NAN)), None);
        let farads = Capacitance::new::<uom::si::capacitance::farad>;
        assert_eq!(capacitor_at_least(farads(0.0)), Some(farads(1e-6)));
        assert_eq!(capacitor_at_least(farads(0.7)), Some(farads(1.0)));
        assert_eq!(capacitor_at_least(farads(1.1)), None);
        let metres = Length::new::<uom::si::length::meter>;
        assert_eq!(trace_width_at_least(metres(0.051)), None);
    }

    proptest! {
        #[test]
        fn fuse_keeps_its_window(worst in 0.01_f64..60.0, rating in 0.01_f64..100.0) {
            let amperes = ElectricCurrent::new::<uom::si::electric_current::ampere>;
            if let Some(fuse) = fuse(amperes(worst), amperes(rating)) {
                prop_assert!(fuse.value >= 1.249_999 * worst && fuse.value <= 0.750_001 * rating);
            }
        }

        #[test]
        fn neighbours_enclose(value in 1e-12_f64..1e12) {
            for series in [Series::E3, Series::E6, Series::E12, Series::E24] {
                let (lower, upper) = neighbours(value, series).unwrap();
                prop_assert!(lower <= value * (1.0 + HAIR) && value * (1.0 - HAIR) <= upper);
                prop_assert!(upper / lower < 2.3);
                let near = nearest(ohms(value), series).unwrap().value;
                prop_assert!(near == lower || near == upper);
                // A member is its own neighbour.
                prop_assert_eq!(neighbours(lower, series), Some((lower, lower)));
            }
        }
    }

    fn need(lasting: f64, jam: f64, time: f64, rating: f64) -> FuseNeed {
        let a = ElectricCurrent::new::<uom::si::electric_current::ampere>;
        FuseNeed {
            lasting: a(lasting),
            jam: a(jam),
            jam_time: Time::new::<uom::si::time::second>(time),
            least_rating: a(rating),
        }
    }

    #[test]
    fn fuse_by_hand() {
        let fuse = |lasting, jam, time, rating| {
            time_lag_fuse(&need(lasting, jam, time, rating)).map(|fuse| fuse.value)
        };
        // 1.25·0.5 = 0.625 A; 4/2.75 = 1.4545 A; 0.75·3 = 2.25 A.
        assert_eq!(fuse(0.5, 1.0, 1.0, 3.0), Ok(0.63));
        assert_eq!(fuse(0.5, 4.0, 1.0, 3.0), Ok(1.6));
        // A jam that lasts is carried like any lasting current: 5 A.
        assert!(matches!(fuse(0.5, 4.0, 11.0, 3.0), Err(NoFuse::Jam { .. })));
        assert_eq!(fuse(0.5, 4.0, 11.0, 7.0), Ok(5.0));
        // 1.25·2 = 2.5 A on 0.75·3 A.
        let error = fuse(2.0, 4.0, 1.0, 3.0);
        assert!(matches!(error, Err(NoFuse::LastingCurrent { .. })));
        assert!(matches!(
            fuse(40.0, 0.0, 1.0, 90.0),
            Err(NoFuse::BeyondSeries { .. })
        ));
        for broken in [
            need(f64::NAN, 1.0, 1.0, 3.0),
            need(1.0, -1.0, 1.0, 3.0),
            need(1.0, 1.0, 1.0, f64::NAN),
        ] {
            assert_eq!(time_lag_fuse(&broken), Err(NoFuse::Impossible));
        }
    }

    proptest! {
        /// What is chosen carries and protects; what is refused has no member that does both.
        #[test]
        fn fuse_carries_and_protects(
            lasting in 0.01_f64..30.0, jam in 0.01_f64..90.0, time in 0.0_f64..20.0, rating in 0.01_f64..60.0,
        ) {
            let carries = (1.25 * lasting).max(if time > 10.0 { 1.25 * jam } else { jam / 2.75 });
            let suits = |fuse: f64| fuse >= carries * (1.0 - 2e-9) && fuse <= 0.75 * rating * (1.0 + 2e-9);
            match time_lag_fuse(&need(lasting, jam, time, rating)) {
                Ok(fuse) => prop_assert!(suits(fuse.value)),
                Err(_) => prop_assert!(!FUSES.iter().any(|fuse| *fuse >= carries && *fuse <= 0.75 * rating)),
            }
        }
    }
}
