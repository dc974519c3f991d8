//! The regulator that feeds processor and sensors: linear, or a step-down (buck) converter.

use core::{error, fmt};

#[cfg(not(any(test, feature = "std")))]
use crate::float::SquareRoot as _;
use crate::units::{
    Capacitance, ElectricCurrent, ElectricPotential, Frequency, Inductance, Power, Ratio,
    TemperatureInterval, ThermalResistance, ThermodynamicTemperature, Time,
};

/// The input is too low: less than output voltage and dropout together.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct InputTooLow {
    /// Voltage that is there.
    pub input: ElectricPotential,
    /// Voltage that is needed.
    pub needed: ElectricPotential,
}

impl fmt::Display for InputTooLow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("input voltage too low")
    }
}

impl error::Error for InputTooLow {}

/// What lets the inductor's current flow on while the switch is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rectifier {
    /// A diode: the current stops at zero.
    Diode,
    /// A second switch: the current may reverse.
    Synchronous,
}

/// A step-down converter at work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Buck {
    /// Input V.
    pub input_voltage: ElectricPotential,
    /// Output Vout, 0 < Vout < V.
    pub output_voltage: ElectricPotential,
    /// Load current I.
    pub load_current: ElectricCurrent,
    /// Inductance L.
    pub inductance: Inductance,
    /// Switching frequency f.
    pub frequency: Frequency,
    /// Output capacitance C.
    pub output_capacitance: Capacitance,
    /// What carries the current while the switch is open.
    pub rectifier: Rectifier,
}

/// Currents and voltages of a step-down converter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BuckState {
    /// Whether the inductor's current never stops.
    pub conduction: Conduction,
    /// On-time over period D.
    pub duty: Ratio,
    /// Ripple of the inductor's current ΔI, peak to peak.
    pub ripple_current: ElectricCurrent,
    /// Greatest current of the inductor.
    pub peak_current: ElectricCurrent,
    /// Ripple of the output voltage, peak to peak, by the capacitor alone.
    pub output_ripple: ElectricPotential,
}

/// Conduction of the inductor of a converter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Conduction {
    /// Its current never stops.
    Continuous,
    /// Its current rests at zero in each period.
    Discontinuous,
}

/// Whether the input suffices.
///
/// # Formula
/// V ≥ Vout + V_dropout
///
/// # Arguments
/// * `input_voltage` V \[V\]
/// * `output_voltage` Vout \[V\]
/// * `dropout` V_dropout \[V\]
///
/// # Returns
/// What is left above it \[V\]
///
/// # Validity
/// Dropout at the load current of use.
///
/// # Errors
/// [`InputTooLow`] where the output is no longer regulated.
///
/// # Example
/// 3.4 V do not make 3.3 V with a dropout of 0.3 V (no published value: identity).
/// ```
/// use pulsewright_calc::{regulator::headroom, units::ElectricPotential};
/// use uom::si::electric_potential::volt;
/// let volts = ElectricPotential::new::<volt>;
/// assert!(headroom(volts(3.4), volts(3.3), volts(0.3)).is_err());
/// assert!(headroom(volts(6.0), volts(3.3), volts(0.3)).is_ok());
/// ```
///
/// # Sources
/// Definition of dropout.
pub fn headroom(
    input_voltage: ElectricPotential,
    output_voltage: ElectricPotential,
    dropout: ElectricPotential,
) -> Result<ElectricPotential, InputTooLow> {
    let needed = output_voltage + dropout;
    if input_voltage >= needed {
        Ok(input_voltage - needed)
    } else {
        Err(InputTooLow {
            input: input_voltage,
            needed,
        })
    }
}

/// Current that the logic takes from the regulator.
///
/// # Formula
/// I = I_mcu + n·I_sensor + I_led + I_other
///
/// # Arguments
/// * `mcu`, `led`, `other` I_mcu, I_led, I_other \[A\]
/// * `sensors` n
/// * `sensor` I_sensor of each \[A\]
///
/// # Returns
/// I \[A\]
///
/// # Validity
/// Mean currents.
///
/// # Example
/// 15 + 2 × 4 + 3 + 1 mA: 27 mA (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{regulator::load_current, units::ElectricCurrent};
/// use uom::si::electric_current::milliampere;
/// let milli = ElectricCurrent::new::<milliampere>;
/// let load = load_current(milli(15.0), 2, milli(4.0), milli(3.0), milli(1.0));
/// assert!(agrees(load.value, "0.027"));
/// ```
///
/// # Sources
/// Kirchhoff's current law.
#[must_use]
pub fn load_current(
    mcu: ElectricCurrent,
    sensors: u32,
    sensor: ElectricCurrent,
    led: ElectricCurrent,
    other: ElectricCurrent,
) -> ElectricCurrent {
    mcu + sensor * f64::from(sensors) + led + other
}

/// Input current of a linear regulator.
///
/// # Formula
/// I_in = I + I_q
///
/// # Arguments
/// * `load` I \[A\]
/// * `quiescent` I_q \[A\]
///
/// # Returns
/// I_in \[A\]
///
/// # Validity
/// Input above output and dropout.
///
/// # Example
/// 27 mA and 0.1 mA: 27.1 mA (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{regulator::linear_input_current, units::ElectricCurrent};
/// use uom::si::electric_current::milliampere;
/// let milli = ElectricCurrent::new::<milliampere>;
/// assert!(agrees(linear_input_current(milli(27.0), milli(0.1)).value, "0.0271"));
/// ```
///
/// # Sources
/// Kirchhoff's current law.
#[must_use]
pub fn linear_input_current(load: ElectricCurrent, quiescent: ElectricCurrent) -> ElectricCurrent {
    load + quiescent
}

/// Input current of a step-down converter.
///
/// # Formula
/// I_in = Vout·I/(η·V)
///
/// # Arguments
/// * `input_voltage` V \[V\]
/// * `output_voltage` Vout \[V\]
/// * `load` I \[A\]
/// * `efficiency` η at this load, quiescent current included \[1\]
///
/// # Returns
/// I_in \[A\]
///
/// # Validity
/// V > 0, 0 < η ≤ 1; input above output and dropout.
///
/// # Example
/// 5 V × 0.5 A from 12 V at 0.9: 0.2315 A (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::regulator::buck_input_current;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential, Ratio};
/// use uom::si::{electric_current::ampere, electric_potential::volt};
/// let volts = ElectricPotential::new::<volt>;
/// let half = ElectricCurrent::new::<ampere>(0.5);
/// let current = buck_input_current(volts(12.0), volts(5.0), half, Ratio::from(0.9));
/// assert!(agrees(current.value, "0.2315"));
/// ```
///
/// # Sources
/// Definition of efficiency.
#[must_use]
pub fn buck_input_current(
    input_voltage: ElectricPotential,
    output_voltage: ElectricPotential,
    load: ElectricCurrent,
    efficiency: Ratio,
) -> ElectricCurrent {
    output_voltage * load / (input_voltage * efficiency)
}

/// Heat of a regulator.
///
/// # Formula
/// P = V·I_in − Vout·I
///
/// # Arguments
/// * `input_voltage` V \[V\]
/// * `input_current` I_in \[A\]
/// * `output_voltage` Vout \[V\]
/// * `load` I \[A\]
///
/// # Returns
/// P \[W\]
///
/// # Validity
/// Steady state.
///
/// # Example
/// 12 V to 5 V at 0.5 A, linear: 3.5 W (Jacob, Power Electronics, Ex. 4.3, p. 168).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{regulator::loss, units::{ElectricCurrent, ElectricPotential}};
/// use uom::si::{electric_current::ampere, electric_potential::volt};
/// let volts = ElectricPotential::new::<volt>;
/// let half = ElectricCurrent::new::<ampere>(0.5);
/// assert!(agrees(loss(volts(12.0), half, volts(5.0), half).value, "3.5"));
/// assert!(agrees(loss(volts(15.0), half, volts(5.0), half).value, "5.0"));
/// ```
///
/// # Sources
/// Power balance.
#[must_use]
pub fn loss(
    input_voltage: ElectricPotential,
    input_current: ElectricCurrent,
    output_voltage: ElectricPotential,
    load: ElectricCurrent,
) -> Power {
    input_voltage * input_current - output_voltage * load
}

/// Efficiency of a regulator at its present load.
///
/// # Formula
/// η = Vout·I/(V·I_in)
///
/// # Arguments
/// * `input_voltage` V \[V\]
/// * `input_current` I_in \[A\]
/// * `output_voltage` Vout \[V\]
/// * `load` I \[A\]
///
/// # Returns
/// η \[1\]; nothing where no power goes in
///
/// # Validity
/// Steady state.
///
/// # Example
/// 12 V to 5 V, linear: 0.417 (no published value: the ratio of voltages).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{regulator::efficiency, units::{ElectricCurrent, ElectricPotential}};
/// use uom::si::{electric_current::ampere, electric_potential::volt};
/// let volts = ElectricPotential::new::<volt>;
/// let half = ElectricCurrent::new::<ampere>(0.5);
/// let now = efficiency(volts(12.0), half, volts(5.0), half);
/// assert!(now.is_some_and(|now| agrees(now.value, "0.417")));
/// ```
///
/// # Sources
/// Definition of efficiency.
#[must_use]
pub fn efficiency(
    input_voltage: ElectricPotential,
    input_current: ElectricCurrent,
    output_voltage: ElectricPotential,
    load: ElectricCurrent,
) -> Option<Ratio> {
    let input = input_voltage * input_current;
    (input > Power::default()).then(|| output_voltage * load / input)
}

/// Junction temperature of a part that heats itself.
///
/// # Formula
/// Tj = T_local + θ·P
///
/// # Arguments
/// * `local_ambient` T_local \[°C\]
/// * `junction_to_ambient` θ \[K/W\]
/// * `loss` P \[W\]
///
/// # Returns
/// Tj \[°C\]
///
/// # Validity
/// θ of the board that is meant; it may differ from the sheet by half.
///
/// # Example
/// 1.667 W over 60 K/W at 50 °C: 150 °C (Franco, Design with Operational Amplifiers, Ex. 11.14,
/// p. 531).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::regulator::junction_temperature;
/// use pulsewright_calc::units::{celsius, in_celsius, Power, ThermalResistance};
/// use uom::si::power::watt;
/// let theta = ThermalResistance { value: 60.0, ..ThermalResistance::default() };
/// let junction = junction_temperature(celsius(50.0), theta, Power::new::<watt>(1.6667));
/// assert!(agrees(in_celsius(junction), "150"));
/// ```
///
/// # Sources
/// Definition of thermal resistance.
#[must_use]
pub fn junction_temperature(
    local_ambient: ThermodynamicTemperature,
    junction_to_ambient: ThermalResistance,
    loss: Power,
) -> ThermodynamicTemperature {
    let rise: TemperatureInterval = junction_to_ambient * loss;
    local_ambient + rise
}

/// Duty, ripple and peak current of a step-down converter.
///
/// # Formula
/// Continuous: D = Vout/V, ΔI = (V − Vout)·D/(f·L), peak I + ΔI/2, output ripple ΔI/(8·f·C).
/// A diode and I < ΔI/2: I_pk = √(2·I·Vout·(V − Vout)/(L·f·V)), D = I_pk·L·f/(V − Vout), ΔI = I_pk,
/// output ripple
/// I·(1 − I/I_pk)²/(f·C)
///
/// # Arguments
/// * `buck` the converter
///
/// # Returns
/// [`BuckState`]
///
/// # Validity
/// Ideal switches, capacitor without series resistance; at light load parts that skip pulses show
/// more ripple.
///
/// # Errors
/// [`InputTooLow`] where Vout ≥ V.
///
/// # Example
/// 12 to 5 V, 0.5 A, 220 µH, 100 kHz: duty 0.417 and ΔI 132.58 mA (Jacob, Power Electronics,
/// Ex. 7.2, unrounded; Franco, Ex. 11.17, p. 539).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::regulator::*;
/// use pulsewright_calc::units::{Capacitance, ElectricCurrent, ElectricPotential, Frequency, Inductance};
/// use uom::si::{capacitance::microfarad, electric_current::ampere, electric_potential::volt};
/// use uom::si::{frequency::kilohertz, inductance::microhenry};
/// let state = buck_state(&Buck {
///     input_voltage: ElectricPotential::new::<volt>(12.0),
///     output_voltage: ElectricPotential::new::<volt>(5.0),
///     load_current: ElectricCurrent::new::<ampere>(0.5),
///     inductance: Inductance::new::<microhenry>(220.0),
///     frequency: Frequency::new::<kilohertz>(100.0),
///     output_capacitance: Capacitance::new::<microfarad>(22.0),
///     rectifier: Rectifier::Diode,
/// })?;
/// assert!(agrees(state.duty.value, "0.417"));
/// assert!(agrees(state.ripple_current.value * 1e3, "132.58"));
/// # Ok::<(), InputTooLow>(())
/// ```
///
/// # Sources
/// Jacob, Power Electronics: Principles and Applications, ch. 7; the discontinuous case from the
/// volt-second and charge balance.
pub fn buck_state(buck: &Buck) -> Result<BuckState, InputTooLow> {
    let (input, output, load) = (buck.input_voltage, buck.output_voltage, buck.load_current);
    if input <= output {
        return Err(InputTooLow {
            input,
            needed: output,
        });
    }
    let period: Time = buck.frequency.recip();
    let duty: Ratio = output / input;
    let ripple: ElectricCurrent = (input - output) * duty * period / buck.inductance;
    if buck.rectifier == Rectifier::Synchronous || load * 2.0 >= ripple {
        return Ok(BuckState {
            conduction: Conduction::Continuous,
            duty,
            ripple_current: ripple,
            peak_current: load + ripple / 2.0,
            output_ripple: ripple * period / buck.output_capacitance / 8.0,
        });
    }
    let load = load.max(ElectricCurrent::default());
    // I_pk² = 2·I·Vout·(V − Vout)/(L·f·V), which is 2·I·ΔI with the ripple of continuous flow.
    let peak: ElectricCurrent = (load * ripple * 2.0).sqrt();
    let share = if peak > ElectricCurrent::default() {
        Ratio::from(1.0) - load / peak
    } else {
        Ratio::from(0.0)
    };
    Ok(BuckState {
        conduction: Conduction::Discontinuous,
        duty: peak * buck.inductance / (period * (input - output)),
        ripple_current: peak,
        peak_current: peak,
        output_ripple: load * share * share * period / buck.output_capacitance,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::{
        capacitance::farad, electric_current::ampere, electric_potential::volt, frequency::hertz,
        inductance::henry,
    };

    use super::*;
    use pulsewright_test_support::agrees;

    fn buck(figures: [f64; 6], rectifier: Rectifier) -> Buck {
        Buck {
            input_voltage: ElectricPotential::new::<volt>(figures[0]),
            output_voltage: ElectricPotential::new::<volt>(figures[1]),
            load_current: ElectricCurrent::new::<ampere>(figures[2]),
            inductance: Inductance::new::<henry>(figures[3]),
            frequency: Frequency::new::<hertz>(figures[4]),
            output_capacitance: Capacitance::new::<farad>(figures[5]),
            rectifier,
        }
    }

    /// 28 to 3.3 V, 3 A, 6.8 µH and 570 kHz each 20 % low in product: peak 3.47 A, root mean
    /// square 3.01 A (TI SLVS839, application section).
    #[test]
    fn inductor_procedure_of_a_data_sheet() {
        let figures = [28.0, 3.3, 3.0, 6.8e-6 * 0.8, 570e3, 47e-6];
        let state = buck_state(&buck(figures, Rectifier::Diode)).unwrap();
        assert!(agrees(state.peak_current.value, "3.47"));
        let rms =
            crate::heat::rms_current(ElectricCurrent::new::<ampere>(3.0), state.ripple_current);
        assert!(agrees(rms.value, "3.01"));
    }

    /// 12 to 5 V at 0.5 A: an inductor of 155.556 µH at 150 kHz makes a peak of 562.5 mA (Jacob,
    /// Ex. 7.5, p. 341).
    #[test]
    fn peak_current_of_a_book() {
        let figures = [12.0, 5.0, 0.5, 155.556e-6, 150e3, 47e-6];
        let state = buck_state(&buck(figures, Rectifier::Diode)).unwrap();
        assert!(agrees(state.peak_current.value * 1e3, "562.5"), "{state:?}");
    }

    /// 36 to 5 V, 0.6 A, 1.1 MHz: 16.31 µH make a ripple of 40 % of the load (TI SLVAE09B).
    #[test]
    fn inductor_of_an_application_note() {
        let state = buck_state(&buck(
            [36.0, 5.0, 0.6, 16.31e-6, 1.1e6, 22e-6],
            Rectifier::Diode,
        ))
        .unwrap();
        assert!(agrees(state.ripple_current.value / 0.6, "0.40"));
    }

    proptest! {
        /// Mean of the inductor's current is the load, and both cases meet at the border.
        #[test]
        fn charge_balances(
            input in 4.0..40.0_f64, share in 0.05..0.95_f64, load in 0.0..1.0_f64,
        ) {
            let figures = [input, input * share, load, 10e-6, 1e6, 22e-6];
            let state = buck_state(&buck(figures, Rectifier::Diode)).unwrap();
            let mean = match state.conduction {
                Conduction::Continuous => {
                    state.peak_current - state.ripple_current / 2.0
                }
                Conduction::Discontinuous => {
                    // Rise for D, fall for D·(V − Vout)/Vout of the period.
                    let flowing = state.duty * (1.0 + (1.0 - share) / share);
                    prop_assert!(flowing.value <= 1.0 + 1e-9);
                    state.peak_current * flowing / 2.0
                }
            };
            prop_assert!((mean.value - load).abs() < 1e-9);
            let border = buck_state(&buck(figures, Rectifier::Synchronous)).unwrap();
            let half = border.ripple_current.value / 2.0;
            let at = |load: f64| {
                buck_state(&buck(
                    [input, input * share, load, 10e-6, 1e6, 22e-6],
                    Rectifier::Diode,
                ))
                .unwrap()
            };
            let (above, below) = (at(half * (1.0 + 1e-9)), at(half * (1.0 - 1e-9)));
            prop_assert!((above.peak_current / below.peak_current).value - 1.0 < 1e-6);
            prop_assert!(((above.output_ripple / below.output_ripple).value - 1.0).abs() < 1e-6);
        }
    }

    /// No outside source: the charge above the load current is integrated over one period.
    #[test]
    fn discontinuous_ripple_is_the_charge_above_the_load() {
        let state = buck_state(&buck(
            [12.0, 5.0, 0.02, 10e-6, 1e6, 22e-6],
            Rectifier::Diode,
        ))
        .unwrap();
        let (peak, duty) = (state.peak_current.value, state.duty.value);
        let flowing = duty * 12.0 / 5.0;
        let steps = 100_000_u32;
        let charge: f64 = (0..steps)
            .map(|k| (f64::from(k) + 0.5) / f64::from(steps))
            .map(|t| {
                let current = if t < duty {
                    peak * t / duty
                } else {
                    (peak * (flowing - t) / (flowing - duty)).max(0.0)
                };
                (current - 0.02).max(0.0) / f64::from(steps)
            })
            .sum();
        let ripple = charge / (1e6 * 22e-6);
        assert!(
            (state.output_ripple.value / ripple - 1.0).abs() < 1e-6,
            "{ripple}"
        );
    }
}
