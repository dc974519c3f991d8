//! The H-bridge: its resistance, the ripple that its switching leaves in the winding, its losses
//! and its junction.

use core::{error, fmt};

use crate::units::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Inductance, Power, Ratio,
    TemperatureCoefficient, ThermalResistance, ThermodynamicTemperature, Time, celsius,
};

/// How the current runs on while the bridge is off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decay {
    /// Both low sides on: the winding sees no voltage.
    Slow,
    /// Opposite pair or diodes: the winding sees the reversed supply.
    Fast,
}

impl Decay {
    /// Supply voltages between the on and the off state: 1 slow, 2 fast.
    fn swing(self) -> f64 {
        match self {
            Self::Slow => 1.0,
            Self::Fast => 2.0,
        }
    }
}

/// On-resistance of the path through the bridge.
///
/// # Formula
/// R = Rhs + Rls
///
/// # Arguments
/// * `high_side` Rhs at 25 °C \[Ω\]
/// * `low_side` Rls at 25 °C \[Ω\]
///
/// # Returns
/// R \[Ω\]
///
/// # Validity
/// One high and one low switch conduct at a time.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{bridge, units::ElectricalResistance};
/// use uom::si::electrical_resistance::milliohm;
/// let m = |r| ElectricalResistance::new::<milliohm>(r);
/// assert_eq!(bridge::resistance(m(250.0), m(125.0)), m(375.0));
/// ```
///
/// # Sources
/// Two resistances in series.
#[must_use]
pub fn resistance(
    high_side: ElectricalResistance,
    low_side: ElectricalResistance,
) -> ElectricalResistance {
    high_side + low_side
}

/// Worst ripple of the winding current, peak to peak, at half duty.
///
/// # Formula
/// ΔI = V/(4·L·f) slow, V/(2·L·f) fast
///
/// # Arguments
/// * `voltage` V \[V\]
/// * `inductance` L \[H\]
/// * `frequency` f of the switching \[Hz\]
/// * `decay`
///
/// # Returns
/// ΔI \[A\]
///
/// # Validity
/// L·f > 0; continuous current. Within 1 % of the exponentials of [`chopped_current`] while
/// 1/f ≤ 0.7·L/R, always on the high side.
///
/// # Example
/// 200 V, 6 mH, 1 kHz: 8.33 A (Gupta & Singhal, Power Electronics, Ex. 5.7, p. 257); 300 V at
/// 250 Hz with 50 mH: 20 % of 30 A (the same, Ex. 5.8, p. 258).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::bridge::{self, Decay};
/// use pulsewright_calc::units::{ElectricPotential, Frequency, Inductance};
/// use uom::si::{electric_potential::volt, frequency::hertz, inductance::millihenry};
/// let ripple = |v, l, f| bridge::ripple_current(
///     ElectricPotential::new::<volt>(v),
///     Inductance::new::<millihenry>(l),
///     Frequency::new::<hertz>(f),
///     Decay::Slow,
/// );
/// assert!(agrees(ripple(200.0, 6.0, 1000.0).value, "8.33"));
/// assert!(agrees(ripple(300.0, 50.0, 250.0).value, "6.0"));
/// ```
///
/// # Sources
/// Gupta & Singhal, Power Electronics, 6th ed., ch. 5.
#[must_use]
pub fn ripple_current(
    voltage: ElectricPotential,
    inductance: Inductance,
    frequency: Frequency,
    decay: Decay,
) -> ElectricCurrent {
    decay.swing() * voltage / (4.0 * inductance * frequency)
}

/// A winding switched at a fixed duty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chopper {
    /// Supply voltage V.
    pub voltage: ElectricPotential,
    /// Back-EMF E, constant over a period.
    pub back_emf: ElectricPotential,
    /// Resistance R of the loop.
    pub resistance: ElectricalResistance,
    /// Inductance L of the loop.
    pub inductance: Inductance,
    /// Switching frequency f.
    pub frequency: Frequency,
    /// Share D of the period with the supply on, 0 to 1.
    pub duty: Ratio,
    /// What the off state does.
    pub decay: Decay,
}

/// Extremes of a periodic current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurrentBand {
    /// Current at the end of the on-time.
    pub greatest: ElectricCurrent,
    /// Current at the end of the off-time.
    pub least: ElectricCurrent,
}

/// Exact band of the current in a chopped winding.
///
/// # Formula
/// With x = R/(L·f), U the swing V or 2·V and U0 the off voltage 0 or −V:
/// Imax = (U0 − E)/R + U/R·(1 − e^(−D·x))/(1 − e^(−x)),
/// Imin = Imax − U/R·(1 − e^(−D·x))·(1 − e^(−(1−D)·x))/(1 − e^(−x))
///
/// # Arguments
/// * `chopper` V, E \[V\], R \[Ω\], L \[H\], f \[Hz\], D \[1\], decay
///
/// # Returns
/// Imax and Imin \[A\]
///
/// # Validity
/// R, L, f > 0, 0 ≤ D ≤ 1, continuous current.
///
/// # Example
/// 200 V, 4 Ω, 6 mH, 1 kHz, half duty: 29.13 A and 20.87 A (Gupta & Singhal, Power Electronics,
/// Ex. 5.7, p. 257).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::bridge::{Chopper, Decay, chopped_current};
/// use pulsewright_calc::units::{ElectricPotential, ElectricalResistance, Frequency, Inductance, Ratio};
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm};
/// use uom::si::{frequency::kilohertz, inductance::millihenry};
/// let band = chopped_current(&Chopper {
///     voltage: ElectricPotential::new::<volt>(200.0),
///     back_emf: ElectricPotential::new::<volt>(0.0),
///     resistance: ElectricalResistance::new::<ohm>(4.0),
///     inductance: Inductance::new::<millihenry>(6.0),
///     frequency: Frequency::new::<kilohertz>(1.0),
///     duty: Ratio::from(0.5),
///     decay: Decay::Slow,
/// });
/// assert!(agrees(band.greatest.value, "29.13"));
/// assert!(agrees(band.least.value, "20.87"));
/// ```
///
/// # Sources
/// Gupta & Singhal, Power Electronics, 6th ed., ch. 5.
#[must_use]
pub fn chopped_current(chopper: &Chopper) -> CurrentBand {
    let decays = chopper.resistance / (chopper.inductance * chopper.frequency);
    let share = |part: f64| -libm::expm1(-(decays.value * part));
    let swing = chopper.decay.swing();
    let off = (1.0 - swing) * chopper.voltage - chopper.back_emf;
    let step = swing * chopper.voltage / chopper.resistance;
    let rise = share(chopper.duty.value) / share(1.0);
    let greatest = off / chopper.resistance + step * rise;
    CurrentBand {
        greatest,
        least: greatest - step * rise * share(1.0 - chopper.duty.value),
    }
}

/// Heat that the current makes in the bridge's on-resistance.
///
/// # Formula
/// P = I²·R
///
/// # Arguments
/// * `current` I, root mean square \[A\]
/// * `resistance` R at its temperature \[Ω\]
///
/// # Returns
/// P \[W\]
///
/// # Validity
/// Any.
///
/// # Example
/// 1 A in 100 mΩ: 0.1 W (application note SLVA504A, worked example).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{bridge, units::{ElectricCurrent, ElectricalResistance}};
/// use uom::si::{electric_current::ampere, electrical_resistance::milliohm};
/// let p = bridge::conduction_loss(
///     ElectricCurrent::new::<ampere>(1.0),
///     ElectricalResistance::new::<milliohm>(100.0),
/// );
/// assert!(agrees(p.value, "0.1"));
/// ```
///
/// # Sources
/// Joule's law.
#[must_use]
pub fn conduction_loss(current: ElectricCurrent, resistance: ElectricalResistance) -> Power {
    current * current * resistance
}

/// The edges of a switching bridge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Switching {
    /// Supply voltage V.
    pub voltage: ElectricPotential,
    /// Rise time tr at the output.
    pub rise_time: Time,
    /// Fall time tf at the output.
    pub fall_time: Time,
    /// Switching frequency f.
    pub frequency: Frequency,
    /// One half bridge switches in slow decay, both in fast decay.
    pub decay: Decay,
}

/// Heat of the switching edges.
///
/// # Formula
/// P = ½·V·I·(tr + tf)·f, twice that in fast decay
///
/// # Arguments
/// * `current` I \[A\]
/// * `switching` V \[V\], tr, tf \[s\], f \[Hz\], decay
///
/// # Returns
/// P \[W\]
///
/// # Validity
/// Straight edges; with I the root mean square current, an upper bound of the mean.
///
/// # Example
/// 13.5 V, 1 A, edges of 1 µs, 20 kHz: 0.27 W of the low side's 0.32 W (application note
/// SLVA504A, worked example).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::bridge::{self, Decay, Switching};
/// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, Frequency, Time};
/// use uom::si::{electric_current::ampere, electric_potential::volt};
/// use uom::si::{electrical_resistance::milliohm, frequency::kilohertz, time::microsecond};
/// let current = ElectricCurrent::new::<ampere>(1.0);
/// let switching = bridge::switching_loss(current, &Switching {
///     voltage: ElectricPotential::new::<volt>(13.5),
///     rise_time: Time::new::<microsecond>(1.0),
///     fall_time: Time::new::<microsecond>(1.0),
///     frequency: Frequency::new::<kilohertz>(20.0),
///     decay: Decay::Slow,
/// });
/// let on = bridge::conduction_loss(current, ElectricalResistance::new::<milliohm>(100.0));
/// assert!(agrees((0.5 * on + switching).value, "0.32"));
/// ```
///
/// # Sources
/// Application note SLVA504A, rev. July 2021.
#[must_use]
pub fn switching_loss(current: ElectricCurrent, switching: &Switching) -> Power {
    let edges = switching.rise_time + switching.fall_time;
    0.5 * switching.decay.swing()
        * (switching.voltage * current.abs())
        * (edges * switching.frequency)
}

/// What heats and what cools the bridge's junction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Junction {
    /// Temperature Tl around the package.
    pub local_ambient: ThermodynamicTemperature,
    /// Thermal resistance θ from junction to surroundings.
    pub junction_to_ambient: ThermalResistance,
    /// On-resistance R25 of both switches at 25 °C.
    pub resistance_at_25: ElectricalResistance,
    /// Temperature coefficient c of the on-resistance, about 25 °C.
    pub temperature_coefficient: TemperatureCoefficient,
    /// Current I, root mean square.
    pub current: ElectricCurrent,
    /// Losses P0 that do not depend on the temperature: switching and quiescent.
    pub other_loss: Power,
}

/// The junction grows hotter without end: the loss rises faster than it is carried away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Overheats;

impl fmt::Display for Overheats {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the junction heats without end")
    }
}

impl error::Error for Overheats {}

/// Junction temperature at which loss and cooling balance.
///
/// # Formula
/// Tj = Tl + θ·(I²·R25·(1 + c·(Tj − 25 °C)) + P0), solved:
/// Tj = 25 °C + (Tl − 25 °C + θ·(I²·R25 + P0))/(1 − θ·c·I²·R25)
///
/// # Arguments
/// * `junction` Tl \[K\], θ \[K/W\], R25 \[Ω\], c \[1/K\], I \[A\], P0 \[W\]
///
/// # Returns
/// Tj \[K\]
///
/// # Validity
/// Steady state; resistance linear in temperature.
///
/// # Errors
/// [`Overheats`] where θ·c·I²·R25 ≥ 1.
///
/// # Example
/// 2.3 W over 62 K/W at 40 °C: 182.6 °C (Jacob, Power Electronics, Ex. 6.7, p. 289).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{bridge::{self, Junction}, units::*};
/// use uom::si::{electric_current::ampere, electrical_resistance::ohm, power::watt};
/// use uom::si::{temperature_coefficient::per_kelvin, temperature_interval::kelvin};
/// let tj = bridge::junction_temperature(&Junction {
///     local_ambient: celsius(40.0),
///     junction_to_ambient: TemperatureInterval::new::<kelvin>(62.0) / Power::new::<watt>(1.0),
///     resistance_at_25: ElectricalResistance::new::<ohm>(0.286),
///     temperature_coefficient: TemperatureCoefficient::new::<per_kelvin>(0.0),
///     current: ElectricCurrent::new::<ampere>(0.0),
///     other_loss: Power::new::<watt>(2.3),
/// });
/// assert!(agrees(in_celsius(tj.unwrap()), "182.6"));
/// ```
///
/// # Sources
/// Heat balance of one thermal resistance; the closed form is derived here.
pub fn junction_temperature(junction: &Junction) -> Result<ThermodynamicTemperature, Overheats> {
    let reference = celsius(25.0);
    let cold = conduction_loss(junction.current, junction.resistance_at_25);
    let rise = (junction.junction_to_ambient * (cold + junction.other_loss)).value;
    let feedback =
        (junction.junction_to_ambient * cold).value * junction.temperature_coefficient.value;
    let above = (junction.local_ambient.value - reference.value + rise) / (1.0 - feedback);
    if feedback < 1.0 && above.is_finite() {
        Ok(celsius(25.0 + above))
    } else {
        Err(Overheats)
    }
}

/// Margin of the bridge's current limit over the greatest current that is asked of it.
///
/// # Formula
/// m = Ilim / max(Ipeak, Ihold, Irev)
///
/// # Arguments
/// * `current_limit` Ilim \[A\]
/// * `peak_current` Ipeak of the move \[A\]
/// * `hold_current_most` Ihold \[A\]
/// * `reversal_current` Irev, if the firmware reverses at speed \[A\]
///
/// # Returns
/// m \[1\], none where no current is asked.
///
/// # Validity
/// Stall is judged apart.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{bridge, units::ElectricCurrent};
/// use uom::si::electric_current::ampere;
/// let i = ElectricCurrent::new::<ampere>;
/// let margin = |reversal| bridge::current_margin(i(1.5), i(0.5), i(0.6), reversal).unwrap().value;
/// assert_eq!([margin(None), margin(Some(i(2.0)))], [2.5, 0.75]);
/// ```
///
/// # Sources
/// Capability over need.
#[must_use]
pub fn current_margin(
    current_limit: ElectricCurrent,
    peak_current: ElectricCurrent,
    hold_current_most: ElectricCurrent,
    reversal_current: Option<ElectricCurrent>,
) -> Option<Ratio> {
    let need = peak_current.abs().max(hold_current_most.abs());
    let need = reversal_current.map_or(need, |reversal| need.max(reversal.abs()));
    (need.value > 0.0).then(|| current_limit / need)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::in_celsius;
    use proptest::prelude::*;
    use pulsewright_test_support::agrees;
    use uom::si::{
        electric_current::ampere, electric_potential::volt, electrical_resistance::ohm,
        frequency::hertz, inductance::henry, power::watt, temperature_coefficient::per_kelvin,
        temperature_interval::kelvin, time::second,
    };

    fn thermal_resistance(value: f64) -> ThermalResistance {
        crate::units::TemperatureInterval::new::<kelvin>(value) / Power::new::<watt>(1.0)
    }

    fn chopper(v: f64, r: f64, l: f64, f: f64, duty: f64, decay: Decay) -> Chopper {
        Chopper {
            voltage: ElectricPotential::new::<volt>(v),
            back_emf: ElectricPotential::new::<volt>(0.0),
            resistance: ElectricalResistance::new::<ohm>(r),
            inductance: Inductance::new::<henry>(l),
            frequency: Frequency::new::<hertz>(f),
            duty: Ratio::from(duty),
            decay,
        }
    }

    /// Four edges of two bridges, 24 V, 0.5 A, 100 ns, 40 kHz, 1.5 Ω, 3.8 mA (a driver's data
    /// sheet, power example).
    #[test]
    fn two_bridges_of_a_stepper_driver() {
        let current = ElectricCurrent::new::<ampere>(0.5);
        let conduction = 2.0 * conduction_loss(current, ElectricalResistance::new::<ohm>(1.5));
        assert!(agrees(conduction.value, "0.75"));
        let edges = Switching {
            voltage: ElectricPotential::new::<volt>(24.0),
            rise_time: Time::new::<second>(100e-9),
            fall_time: Time::new::<second>(100e-9),
            frequency: Frequency::new::<hertz>(40e3),
            decay: Decay::Slow,
        };
        let switching = 2.0 * switching_loss(current, &edges);
        assert!(agrees(switching.value, "0.096"));
        let fast = switching_loss(
            current,
            &Switching {
                decay: Decay::Fast,
                ..edges
            },
        );
        assert_eq!(fast, switching);
        let quiescent = edges.voltage * ElectricCurrent::new::<ampere>(3.8e-3);
        assert!(agrees((conduction + switching + quiescent).value, "0.9372"));
    }

    /// 28 V over 6 Ω at duty 0.4 through 0.286 Ω: 2.27 W; over 62 K/W from 40 °C that is
    /// 180.7 °C (Jacob, Power Electronics, Ex. 6.7, p. 289, loss not rounded).
    #[test]
    fn hot_switch() {
        let current = ElectricCurrent::new::<ampere>(28.0 / 6.286 * 0.4_f64.sqrt());
        let resistance = ElectricalResistance::new::<ohm>(0.286);
        assert!(agrees(conduction_loss(current, resistance).value, "2.27"));
        let junction = Junction {
            local_ambient: celsius(40.0),
            junction_to_ambient: thermal_resistance(62.0),
            resistance_at_25: resistance,
            temperature_coefficient: TemperatureCoefficient::new::<per_kelvin>(0.0),
            current,
            other_loss: Power::new::<watt>(0.0),
        };
        assert!(agrees(
            in_celsius(junction_temperature(&junction).unwrap()),
            "180.7"
        ));
        // Where the closed form has no answer, the iteration runs away.
        let unstable = Junction {
            temperature_coefficient: TemperatureCoefficient::new::<per_kelvin>(0.008),
            ..junction
        };
        assert_eq!(junction_temperature(&unstable), Err(Overheats));
    }

    /// 220 V, 10 Ω, 15 mH, 1250 Hz, half duty (Bimbhra, Power Electronics, Ex. 7.15, p. 414):
    /// 12.458 A, 9.54 A, ripple 2.92 A. ngspice 39, transient of the same circuits: 12.4580 and
    /// 9.5420 A; for 200 V, 4 Ω, 6 mH, 1 kHz 29.1285 and 20.8715 A.
    #[test]
    fn exact_ripple() {
        let band = chopped_current(&chopper(220.0, 10.0, 15e-3, 1250.0, 0.5, Decay::Slow));
        assert!(agrees(band.greatest.value, "12.458"));
        assert!(agrees(band.least.value, "9.54"));
        assert!(agrees((band.greatest - band.least).value, "2.92"));
        assert!((band.greatest.value - 12.4580).abs() < 2e-4);
        assert!((band.least.value - 9.5420).abs() < 2e-4);
        let band = chopped_current(&chopper(200.0, 4.0, 6e-3, 1000.0, 0.5, Decay::Slow));
        assert!((band.greatest.value - 29.1285).abs() < 5e-4);
        assert!((band.least.value - 20.8715).abs() < 5e-4);
        // The root mean square of a triangle on the mean, printed in the same example.
        let ripple = (band.greatest - band.least).value;
        assert!(agrees(
            (25.0_f64.powi(2) + ripple.powi(2) / 12.0).sqrt(),
            "25.11"
        ));
    }

    proptest! {
        /// The linear estimate is the limit of the exponentials for a short period, and half
        /// duty is the worst.
        #[test]
        fn linear_ripple_bounds_the_exact_one(
            r in 0.1_f64..20.0, l in 1e-5_f64..1e-2, f in 2e3_f64..1e5, duty in 0.01_f64..0.99,
            fast in any::<bool>(),
        ) {
            let decay = if fast { Decay::Fast } else { Decay::Slow };
            let case = chopper(12.0, r, l, f, duty, decay);
            let band = chopped_current(&case);
            let exact = (band.greatest - band.least).value;
            let bound = ripple_current(case.voltage, case.inductance, case.frequency, decay).value;
            prop_assert!(exact > 0.0 && exact <= bound * (1.0 + 1e-9));
            // At full duty the current is that of the resistance.
            let full = chopped_current(&Chopper { duty: Ratio::from(1.0), ..case });
            prop_assert!((full.least.value * r / 12.0 - 1.0).abs() < 1e-9);
        }

        /// The closed form satisfies the balance that it solves.
        #[test]
        fn junction_balances(
            local in -20.0_f64..100.0, theta in 5.0_f64..300.0, r25 in 0.01_f64..2.0,
            c in 0.0_f64..0.01, i in 0.0_f64..3.0, other in 0.0_f64..0.5,
        ) {
            let junction = Junction {
                local_ambient: celsius(local),
                junction_to_ambient: thermal_resistance(theta),
                resistance_at_25: ElectricalResistance::new::<ohm>(r25),
                temperature_coefficient: TemperatureCoefficient::new::<per_kelvin>(c),
                current: ElectricCurrent::new::<ampere>(i),
                other_loss: Power::new::<watt>(other),
            };
            match junction_temperature(&junction) {
                Ok(tj) => {
                    let tj = in_celsius(tj);
                    let hot = r25 * (1.0 + c * (tj - 25.0));
                    let again = local + theta * (i * i * hot + other);
                    prop_assert!((tj - again).abs() <= 1e-9 * (1.0 + tj.abs()) / (1.0 - theta * c * i * i * r25));
                }
                Err(Overheats) => prop_assert!(theta * c * i * i * r25 >= 1.0),
            }
        }
    }
}
