//! The supply's cable, the traces of the board, the pins, and the level of the step signal.

use core::f64::consts::PI;

#[cfg(not(any(test, feature = "std")))]
use crate::float::SquareRoot as _;
use crate::preferred::Series;
use crate::units::{
    Area, COPPER_COEFFICIENT_20, COPPER_RESISTIVITY_20, ElectricCurrent, ElectricPotential,
    ElectricalResistance, ElectricalResistivity, Length, Ratio, TemperatureInterval,
    ThermodynamicTemperature, in_celsius,
};
use uom::si::{
    area::square_millimeter, electric_current::ampere, electrical_resistance::ohm,
    electrical_resistivity::ohm_meter, length::millimeter,
};

/// Diameter of American wire gauge 36, in millimetres, exact (ASTM B258).
const GAUGE_36_MILLIMETRES: f64 = 0.127;

/// Natural logarithm of 92, the ratio of the diameters of gauges 0000 and 36, 39 steps apart (ASTM B258).
const LN_GAUGE_SPAN: f64 = 4.521_788_577_049_041;

/// The gauges of hook-up wire that are sold, thickest first: common practice, no source.
pub const GAUGES: [u8; 16] = [0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30];

/// Current of a copper wire of 1 mm² in free air: common practice, no source.
const SQUARE_MILLIMETRE_AMPERES: f64 = 10.0;

/// A thousandth of an inch, in metres, exact.
const MIL: f64 = 25.4e-6;

/// Diameter of a solid wire of an American wire gauge.
///
/// # Formula
/// d = 0.127 mm·92^((36 − n)/39)
///
/// # Arguments
/// * `gauge` n, −3 to 40, whole for wire that is sold; 0 is 1/0, −1 is 2/0
///
/// # Returns
/// d \[m\]
///
/// # Validity
/// Solid wire; stranded wire of a gauge has the same copper area.
///
/// # Example
/// AWG 18: 40.303 mil, AWG 30: 10.025 mil (table of NBS Handbook 100).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::wiring::diameter;
/// use uom::si::length::mil;
/// assert!(agrees(diameter(18).get::<mil>(), "40.303"));
/// assert!(agrees(diameter(30).get::<mil>(), "10.025"));
/// ```
///
/// # Sources
/// ASTM B258.
#[must_use]
pub fn diameter(gauge: impl Into<f64>) -> Length {
    let steps = (36.0 - gauge.into()) / 39.0;
    Length::new::<millimeter>(GAUGE_36_MILLIMETRES * libm::exp(steps * LN_GAUGE_SPAN))
}

/// Copper area of a round wire.
///
/// # Formula
/// A = π·d²/4
///
/// # Arguments
/// * `diameter` d \[m\]
///
/// # Returns
/// A \[m²\]
///
/// # Validity
/// Solid round wire.
///
/// # Example
/// 64.08 mil is 4106 circular mils of π/4 mil² each (Beiser, Prob. 5.4, p. 47).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{units::Length, wiring::area};
/// use uom::si::length::mil;
/// let circular_mils = area(Length::new::<mil>(64.08)) / area(Length::new::<mil>(1.0));
/// assert!(agrees(circular_mils.value, "4106"));
/// ```
///
/// # Sources
/// Area of a circle.
#[must_use]
pub fn area(diameter: Length) -> Area {
    PI / 4.0 * (diameter * diameter)
}

/// Resistivity of annealed copper at a temperature.
///
/// # Formula
/// ρ = ρ20·(1 + α20·(T − 20 °C))
///
/// # Arguments
/// * `temperature` T \[K\]
///
/// # Returns
/// ρ \[Ω·m\], not below 0
///
/// # Validity
/// −50 to 200 °C; ρ20 = 1/58 Ω·mm²/m, α20 = 0.00393/K.
///
/// # Example
/// 1.7241 µΩ·cm at 20 °C (IEC 60028, 100 % conductivity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{units::celsius, wiring::copper_resistivity};
/// assert!(agrees(copper_resistivity(celsius(20.0)).value, "1.7241e-8"));
/// ```
///
/// # Sources
/// IEC 60028.
#[must_use]
pub fn copper_resistivity(temperature: ThermodynamicTemperature) -> ElectricalResistivity {
    let factor = 1.0 + COPPER_COEFFICIENT_20 * (in_celsius(temperature) - 20.0);
    ElectricalResistivity::new::<ohm_meter>(COPPER_RESISTIVITY_20 * factor.max(0.0))
}

/// Resistance of a conductor of constant section.
///
/// # Formula
/// R = ρ·l/A
///
/// # Arguments
/// * `resistivity` ρ \[Ω·m\]
/// * `length` l \[m\]
/// * `area` A \[m²\]
///
/// # Returns
/// R \[Ω\]
///
/// # Validity
/// A > 0, direct current.
///
/// # Example
/// 250 m of 0.5 mm wire at 1.8e-8 Ω·m: 22.92 Ω (Robertson, Ex. 1.17, p. 22).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{units::{ElectricalResistivity, Length}, wiring};
/// use uom::si::{electrical_resistivity::ohm_meter, length::{meter, millimeter}};
/// let r = wiring::conductor_resistance(
///     ElectricalResistivity::new::<ohm_meter>(1.8e-8),
///     Length::new::<meter>(250.0),
///     wiring::area(Length::new::<millimeter>(0.5)),
/// );
/// assert!(agrees(r.value, "22.92"));
/// ```
///
/// # Sources
/// Definition of resistivity.
#[must_use]
pub fn conductor_resistance(
    resistivity: ElectricalResistivity,
    length: Length,
    area: Area,
) -> ElectricalResistance {
    resistivity * length / area
}

/// Resistance of the cable, both conductors.
///
/// # Formula
/// R = 2·l·ρ(T)/A
///
/// # Arguments
/// * `length` l, one way \[m\]
/// * `area` A of one conductor \[m²\]
/// * `temperature` T \[K\]
///
/// # Returns
/// R \[Ω\]
///
/// # Validity
/// A > 0; contacts are left out.
///
/// # Example
/// 1000 ft of AWG 18 in all, at 20 °C: 6.385 Ω (table of NBS Handbook 100).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{units::{Length, celsius}, wiring};
/// use uom::si::length::foot;
/// let area = wiring::area(wiring::diameter(18));
/// let r = wiring::supply_resistance(Length::new::<foot>(500.0), area, celsius(20.0));
/// assert!(agrees(r.value, "6.385"));
/// ```
///
/// # Sources
/// IEC 60028 for the resistivity.
#[must_use]
pub fn supply_resistance(
    length: Length,
    area: Area,
    temperature: ThermodynamicTemperature,
) -> ElectricalResistance {
    conductor_resistance(copper_resistivity(temperature), 2.0 * length, area)
}

/// Voltage lost along the cable.
///
/// # Formula
/// ΔV = I·R
///
/// # Arguments
/// * `worst_current` I of the supply \[A\]
/// * `supply_resistance` R, both conductors \[Ω\]
///
/// # Returns
/// ΔV \[V\]
///
/// # Validity
/// Any.
///
/// # Example
/// 1.5 A through 0.5 m of AWG 26, both ways: 0.2008 V (from the table of NBS
/// Handbook 100).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{units::{ElectricCurrent, Length, celsius}, wiring};
/// use uom::si::{electric_current::ampere, length::meter};
/// let area = wiring::area(wiring::diameter(26));
/// let r = wiring::supply_resistance(Length::new::<meter>(0.5), area, celsius(20.0));
/// let drop = wiring::voltage_drop(ElectricCurrent::new::<ampere>(1.5), r);
/// assert!((drop.value - 0.2008).abs() < 1e-4);
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn voltage_drop(
    worst_current: ElectricCurrent,
    supply_resistance: ElectricalResistance,
) -> ElectricPotential {
    worst_current * supply_resistance
}

/// Lift of the board's ground above the controller's by the supply current.
///
/// # Formula
/// ΔV = I·R/2
///
/// # Arguments
/// * `worst_current` I of the supply \[A\]
/// * `supply_resistance` R, both conductors \[Ω\]
///
/// # Returns
/// ΔV \[V\]
///
/// # Validity
/// Both conductors alike, grounds joined at the supply.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{units::{ElectricCurrent, ElectricalResistance}, wiring};
/// use uom::si::{electric_current::ampere, electrical_resistance::ohm};
/// let i = ElectricCurrent::new::<ampere>(1.5);
/// let r = ElectricalResistance::new::<ohm>(0.5);
/// assert_eq!(2.0 * wiring::ground_shift(i, r), wiring::voltage_drop(i, r));
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn ground_shift(
    worst_current: ElectricCurrent,
    supply_resistance: ElectricalResistance,
) -> ElectricPotential {
    0.5 * voltage_drop(worst_current, supply_resistance)
}

/// Current of a short circuit at the board.
///
/// # Formula
/// I = V/Rs
///
/// # Arguments
/// * `voltage` V \[V\]
/// * `source_resistance` Rs, source and cable \[Ω\]
///
/// # Returns
/// I \[A\], none where nothing limits it.
///
/// # Validity
/// A supply without a current limit.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{units::{ElectricPotential, ElectricalResistance}, wiring};
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm};
/// let v = ElectricPotential::new::<volt>(6.0);
/// let i = wiring::short_current(v, ElectricalResistance::new::<ohm>(0.25));
/// assert_eq!(i.map(|i| i.value), Some(24.0));
/// assert_eq!(wiring::short_current(v, ElectricalResistance::new::<ohm>(0.0)), None);
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn short_current(
    voltage: ElectricPotential,
    source_resistance: ElectricalResistance,
) -> Option<ElectricCurrent> {
    let current = voltage / source_resistance;
    (source_resistance.value > 0.0 && current.value.is_finite()).then_some(current)
}

/// Current that a single copper wire in free air may carry.
///
/// # Formula
/// I = 10 A·(A/mm²)^(3/4)
///
/// # Arguments
/// * `area` A of copper \[m²\]
///
/// # Returns
/// I \[A\], 0 for no area
///
/// # Validity
/// Short leads at room temperature; bundled or hot cables carry less.
///
/// # Example
/// 4 mm²: 28 A, where the table of IEC 60364-5-52 has 27 A.
/// ```
/// use pulsewright_calc::{units::Area, wiring::wire_current};
/// use uom::si::area::square_millimeter;
/// let a = |mm2| wire_current(Area::new::<square_millimeter>(mm2)).value;
/// assert!((a(1.0) - 10.0).abs() < 1e-9 && (a(16.0) - 80.0).abs() < 1e-9);
/// assert!((a(4.0) - 27.0).abs() < 0.05 * 27.0 && a(1.31) < 22.0 && a(5.26) < 55.0);
/// ```
///
/// # Sources
/// The exponent is that of heat carried away by the surface. Below the chassis wiring column of the
/// Handbook of Electronic Tables and Formulas for American Wire Gauge (10 AWG, 5.26 mm², 55 A; 12 AWG,
/// 3.31 mm², 41 A; 16 AWG, 1.31 mm², 22 A) and near IEC 60364-5-52, three loaded cores in conduit at
/// 30 °C, method B2 (4 mm², 27 A; 6 mm², 34 A); 10 A/mm² would be 40 A and 60 A there.
#[must_use]
pub fn wire_current(area: Area) -> ElectricCurrent {
    let root = area.get::<square_millimeter>().max(0.0).sqrt();
    ElectricCurrent::new::<ampere>(SQUARE_MILLIMETRE_AMPERES * root * root.sqrt())
}

/// Where a trace lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TraceLayer {
    /// On the surface of the board.
    Outer,
    /// Inside the board.
    Inner,
}

impl TraceLayer {
    /// Factor k of the curve fit, A/(mil^1.45·K^0.44).
    fn factor(self) -> f64 {
        match self {
            Self::Outer => 0.048,
            Self::Inner => 0.024,
        }
    }
}

/// Current that warms a trace by a given rise.
///
/// # Formula
/// I = k·ΔT^0.44·A^0.725, A in mil², k = 0.048 outer, 0.024 inner
///
/// # Arguments
/// * `width` w \[m\]
/// * `thickness` t \[m\]
/// * `rise` ΔT over the board \[K\]
/// * `layer`
///
/// # Returns
/// I \[A\], 0 where there is no copper or no rise
///
/// # Validity
/// To 35 A outer, 17.5 A inner, ΔT 10 to 100 K, w to 400 mil; half the factor is conservative
/// for inner layers (IPC-2152).
///
/// # Example
/// 11.8 mil of 1 oz copper carry 1 A at 10 K (computed from the fit).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::units::{Length, TemperatureInterval};
/// use pulsewright_calc::wiring::{TraceLayer, trace_current};
/// use uom::si::{length::mil, temperature_interval::kelvin};
/// let i = trace_current(
///     Length::new::<mil>(11.8),
///     Length::new::<mil>(1.378),
///     TemperatureInterval::new::<kelvin>(10.0),
///     TraceLayer::Outer,
/// );
/// assert!(agrees(i.value, "1.00"));
/// ```
///
/// # Sources
/// IPC-2221B (2012), sec. 6.2, curve fit of fig. 6-4.
#[must_use]
pub fn trace_current(
    width: Length,
    thickness: Length,
    rise: TemperatureInterval,
    layer: TraceLayer,
) -> ElectricCurrent {
    let square_mils = (width * thickness).value / (MIL * MIL);
    let exponent = 0.44 * libm::log(rise.value.max(0.0)) + 0.725 * libm::log(square_mils.max(0.0));
    ElectricCurrent::new::<ampere>(layer.factor() * libm::exp(exponent))
}

/// Least width of a trace that carries a current at a given rise: the inverse of
/// [`trace_current`].
///
/// # Formula
/// w = (I/(k·ΔT^0.44))^(1/0.725)/t
///
/// # Arguments
/// * `current` I \[A\]
/// * `thickness` t \[m\]
/// * `rise` ΔT over the board \[K\]
/// * `layer`
///
/// # Returns
/// w \[m\], none where t or ΔT is not positive
///
/// # Validity
/// As [`trace_current`]; the board maker's least width and the standard widths come after.
///
/// # Example
/// 1 oz copper, 10 K: 3 A outer 53.8 mil, inner 140.0 mil (computed).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::units::{ElectricCurrent, Length, TemperatureInterval};
/// use pulsewright_calc::wiring::{TraceLayer, trace_width};
/// use uom::si::{electric_current::ampere, length::mil, temperature_interval::kelvin};
/// let width = |layer| trace_width(
///     ElectricCurrent::new::<ampere>(3.0),
///     Length::new::<mil>(1.378),
///     TemperatureInterval::new::<kelvin>(10.0),
///     layer,
/// );
/// assert!(agrees(width(TraceLayer::Outer).unwrap().get::<mil>(), "53.8"));
/// assert!(agrees(width(TraceLayer::Inner).unwrap().get::<mil>(), "140.0"));
/// ```
///
/// # Sources
/// IPC-2221B (2012), sec. 6.2, solved for the width.
#[must_use]
pub fn trace_width(
    current: ElectricCurrent,
    thickness: Length,
    rise: TemperatureInterval,
    layer: TraceLayer,
) -> Option<Length> {
    if !(thickness.value > 0.0 && rise.value > 0.0) {
        return None;
    }
    let fitted = libm::log(current.value.max(0.0) / layer.factor());
    let square_mils = libm::exp((fitted - 0.44 * libm::log(rise.value)) / 0.725);
    let width = Area::new::<uom::si::area::square_meter>(square_mils * MIL * MIL) / thickness;
    width.value.is_finite().then_some(width)
}

/// Resistance of a trace of copper.
///
/// # Formula
/// R = ρ(T)·l/(w·t)
///
/// # Arguments
/// * `width` w \[m\]
/// * `thickness` t \[m\]
/// * `length` l, both conductors together \[m\]
/// * `temperature` T of the trace: ambient and its rise \[K\]
///
/// # Returns
/// R \[Ω\]
///
/// # Validity
/// w, t > 0; plated copper is a few per cent worse.
///
/// # Example
/// A square of 1 oz copper, 34 µm, at 20 °C: 0.5 mΩ (published column on squares).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{units::{Length, celsius}, wiring::trace_resistance};
/// use uom::si::length::{micrometer, millimeter};
/// let mm = |x| Length::new::<millimeter>(x);
/// let r = trace_resistance(mm(3.0), Length::new::<micrometer>(34.0), mm(3.0), celsius(20.0));
/// assert!(agrees(r.value, "0.5e-3"));
/// ```
///
/// # Sources
/// IEC 60028 for the resistivity.
#[must_use]
pub fn trace_resistance(
    width: Length,
    thickness: Length,
    length: Length,
    temperature: ThermodynamicTemperature,
) -> ElectricalResistance {
    conductor_resistance(copper_resistivity(temperature), length, width * thickness)
}

/// Margin of a trace's, a pin's or a wire's rating over the lasting current.
///
/// # Formula
/// m = Ir/I
///
/// # Arguments
/// * `rating` Ir \[A\]
/// * `lasting` I, the greater of the move's RMS current and the most that it holds with \[A\]
///
/// # Returns
/// m \[1\], none where no current is asked
///
/// # Validity
/// Any.
///
/// # Example
/// No published value.
/// ```
/// use pulsewright_calc::{units::ElectricCurrent, wiring::current_margin};
/// use uom::si::electric_current::ampere;
/// let i = ElectricCurrent::new::<ampere>;
/// assert_eq!(current_margin(i(1.5), i(0.5)).unwrap().value, 3.0);
/// assert_eq!(current_margin(i(1.5), i(0.0)), None);
/// ```
///
/// # Sources
/// Capability over need.
#[must_use]
pub fn current_margin(rating: ElectricCurrent, lasting: ElectricCurrent) -> Option<Ratio> {
    (lasting.value > 0.0).then(|| rating / lasting)
}

/// What the processor's pin needs and bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InputLevels {
    /// Least voltage read as high.
    pub high: ElectricPotential,
    /// Greatest voltage that the pin bears.
    pub greatest: ElectricPotential,
    /// Difference of the two grounds, which counts against both.
    pub ground_shift: ElectricPotential,
}

/// Distances of a high level from what the pin needs and from what it bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelMargins {
    /// Above the least voltage read as high.
    pub high: ElectricPotential,
    /// Below the greatest voltage that the pin bears.
    pub greatest: ElectricPotential,
}

impl LevelMargins {
    /// The lesser of the two margins.
    #[must_use]
    pub fn lesser(self) -> ElectricPotential {
        self.high.min(self.greatest)
    }
}

/// Margins of the step signal's high level.
///
/// # Formula
/// mh = Vh − VIH − ΔVg, mx = VImax − Vh − ΔVg
///
/// # Arguments
/// * `logic_high` Vh of the controller \[V\]
/// * `input` VIH, VImax, ΔVg \[V\]
///
/// # Returns
/// mh and mx \[V\]; below 0 is a mismatch
///
/// # Validity
/// Static levels.
///
/// # Example
/// No published value: a 5 V signal into a pin that bears 3.6 V.
/// ```
/// use pulsewright_calc::{units::ElectricPotential, wiring::{InputLevels, level_margins}};
/// use uom::si::electric_potential::volt;
/// let v = ElectricPotential::new::<volt>;
/// let pin = InputLevels { high: v(2.5), greatest: v(3.5), ground_shift: v(0.25) };
/// let margins = level_margins(v(5.0), &pin);
/// assert_eq!((margins.high, margins.greatest), (v(2.25), v(-1.75)));
/// ```
///
/// # Sources
/// Definition of a noise margin.
#[must_use]
pub fn level_margins(logic_high: ElectricPotential, input: &InputLevels) -> LevelMargins {
    LevelMargins {
        high: logic_high - input.high - input.ground_shift,
        greatest: input.greatest - logic_high - input.ground_shift,
    }
}

/// Output of an unloaded divider.
///
/// # Formula
/// V = Vin·R2/(R1 + R2)
///
/// # Arguments
/// * `input` Vin \[V\]
/// * `upper` R1 \[Ω\]
/// * `lower` R2, with any load in parallel \[Ω\]
///
/// # Returns
/// V \[V\]
///
/// # Validity
/// R1 + R2 > 0.
///
/// # Example
/// 1 V over 1 kΩ and 1 kΩ: 0.5 V; loaded by 500 Ω, R2 is 333.333 Ω: 0.25 V (Jacob, Power
/// Electronics, Ex. 1.1, p. 6).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::units::{ElectricPotential, ElectricalResistance};
/// use pulsewright_calc::wiring::divider_output;
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm};
/// let output = |lower| divider_output(
///     ElectricPotential::new::<volt>(1.0),
///     ElectricalResistance::new::<ohm>(1000.0),
///     ElectricalResistance::new::<ohm>(lower),
/// );
/// assert!(agrees(output(1000.0).value, "0.5"));
/// assert!(agrees(output(333.333).value, "0.25"));
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn divider_output(
    input: ElectricPotential,
    upper: ElectricalResistance,
    lower: ElectricalResistance,
) -> ElectricPotential {
    input * (lower / (upper + lower))
}

/// A voltage divider of two standard resistors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Divider {
    /// Resistor from the signal to the pin.
    pub upper: ElectricalResistance,
    /// Resistor from the pin to ground.
    pub lower: ElectricalResistance,
    /// Output with both resistors at their nominal value.
    pub output: ElectricPotential,
    /// Margins with each resistor at its worse end of ± 1 %.
    pub margins: LevelMargins,
}

/// Tolerance of the divider's resistors.
const DIVIDER_TOLERANCE: f64 = 0.01;

/// Total resistance of a divider, in ohms: its least value; the greatest is ten times that, so
/// that each pair of mantissas has one size. Common practice, no source.
const DIVIDER_LEAST_TOTAL: f64 = 3e3;

/// E24 divider that brings a high level into the pin's range with the best lesser margin.
///
/// # Formula
/// greatest min(Vh·r− − VIH, VImax − Vh·r+) − ΔVg over the pairs with 3 kΩ ≤ R1 + R2 < 30 kΩ,
/// r = R2/(R1 + R2), r± its ends for resistors of ± 1 %
///
/// # Arguments
/// * `logic_high` Vh of the controller \[V\]
/// * `input` VIH, VImax, ΔVg \[V\]
///
/// # Returns
/// The divider, none where no pair leaves both margins above 0 or the level is already at or
/// below the middle of the range, so that dividing it does not help.
///
/// # Validity
/// The pin draws no current; edges slow to R1‖R2 times the pin's capacitance.
///
/// # Example
/// No published value: 5 V into a pin for 2.31 to 3.6 V.
/// ```
/// use pulsewright_calc::{units::ElectricPotential, wiring::{InputLevels, choose_divider}};
/// use uom::si::electric_potential::volt;
/// let v = ElectricPotential::new::<volt>;
/// let pin = InputLevels { high: v(2.31), greatest: v(3.6), ground_shift: v(0.0) };
/// let divider = choose_divider(v(5.0), &pin).unwrap();
/// assert!((divider.output - v(2.955)).abs() < v(0.03));
/// assert!(divider.margins.lesser() > v(0.59));
/// assert_eq!(choose_divider(v(2.0), &pin), None);
/// ```
///
/// # Sources
/// IEC 60063 for E24.
#[must_use]
pub fn choose_divider(logic_high: ElectricPotential, input: &InputLevels) -> Option<Divider> {
    let share = (0.5 * (input.high + input.greatest) / logic_high).value;
    if !(share > 0.0 && share < 1.0) {
        return None;
    }
    let series = Series::E24.tenths();
    let wanted = share / (1.0 - share);
    // Lower resistor over upper one, decade by decade: 10^k with 1 ≤ wanted·10^-k < 10.
    let decade = libm::floor(libm::log10(wanted));
    let scale = libm::exp10(decade);
    let (near, next) = (wanted / scale, wanted / scale * 0.1);
    let mut best: Option<(f64, f64, f64)> = None;
    for upper in series {
        let upper = f64::from(*upper);
        // Between 10 and 1000: the member below and the one above, of this decade or the next.
        let (ideal, scale) = if upper * near < 99.9 {
            (upper * near, scale)
        } else {
            (upper * next, scale * 10.0)
        };
        let above = series.partition_point(|member| f64::from(*member) < ideal);
        let below = series[above.saturating_sub(1)];
        let above = series.get(above).map_or(100.0, |member| f64::from(*member));
        for lower in [f64::from(below) * scale, above * scale] {
            let margin = divider_margins(logic_high, input, upper, lower)
                .lesser()
                .value;
            if margin > best.map_or(0.0, |(most, ..)| most + 1e-9) {
                best = Some((margin, upper, lower));
            }
        }
    }
    best.map(|(_, upper, lower)| divider_of(logic_high, input, upper, lower))
}

/// Output of a divider of two mantissas.
fn output_of(logic_high: ElectricPotential, upper: f64, lower: f64) -> ElectricPotential {
    let resistor = ElectricalResistance::new::<ohm>;
    divider_output(logic_high, resistor(upper), resistor(lower))
}

/// Margins of a divider of two mantissas, whose resistors lie at the worst ends of their tolerance.
fn divider_margins(
    logic_high: ElectricPotential,
    input: &InputLevels,
    upper: f64,
    lower: f64,
) -> LevelMargins {
    let (more, less) = (1.0 + DIVIDER_TOLERANCE, 1.0 - DIVIDER_TOLERANCE);
    let least = output_of(logic_high, upper * more, lower * less);
    let greatest = output_of(logic_high, upper * less, lower * more);
    LevelMargins {
        high: level_margins(least, input).high,
        greatest: level_margins(greatest, input).greatest,
    }
}

/// The divider of two mantissas, sized to the customary total.
fn divider_of(
    logic_high: ElectricPotential,
    input: &InputLevels,
    upper: f64,
    lower: f64,
) -> Divider {
    let mut size = 1.0;
    while (upper + lower) * size < DIVIDER_LEAST_TOTAL {
        size *= 10.0;
    }
    while (upper + lower) * size >= 10.0 * DIVIDER_LEAST_TOTAL {
        size /= 10.0;
    }
    Divider {
        upper: ElectricalResistance::new::<ohm>(upper * size),
        lower: ElectricalResistance::new::<ohm>(lower * size),
        output: output_of(logic_high, upper, lower),
        margins: divider_margins(logic_high, input, upper, lower),
    }
}

/// The two levels that a controller's output gives against its own ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogicSignal {
    /// High level, at its lowest.
    pub high: ElectricPotential,
    /// Low level, at its highest.
    pub low: ElectricPotential,
}

/// What the board's input reads and bears against its own ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogicInput {
    /// Least voltage read as high.
    pub high: ElectricPotential,
    /// Greatest voltage read as low.
    pub low: ElectricPotential,
    /// Greatest voltage that the pin bears.
    pub greatest: ElectricPotential,
    /// Least voltage that the pin bears; commonly −0.3 V.
    pub least: ElectricPotential,
}

/// How far the board's ground stands from the controller's, at the two ends of what the supply
/// current does; both 0 where the signal has a ground of its own or an isolator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundShift {
    /// Lift of the board's ground by the worst supply current, ≥ 0.
    pub lift: ElectricPotential,
    /// The reverse by a current that flows back, ≥ 0.
    pub back: ElectricPotential,
}

/// Distances of the two levels from what the input reads and from what it bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogicMargins {
    /// High level above the least voltage read as high.
    pub high: ElectricPotential,
    /// Low level below the greatest voltage read as low.
    pub low: ElectricPotential,
    /// High level below the greatest voltage that the pin bears.
    pub greatest: ElectricPotential,
    /// Low level above the least voltage that the pin bears.
    pub least: ElectricPotential,
}

impl LogicMargins {
    /// The least of the four margins.
    #[must_use]
    pub fn least_of_all(self) -> ElectricPotential {
        self.high.min(self.low).min(self.greatest).min(self.least)
    }
}

/// Margins of both levels of a signal at the board's input.
///
/// # Formula
/// mh = Vh − s − VIH, ml = VIL − (Vl + s′), mx = VImax − (Vh + s′), mn = (Vl − s) − VImin
///
/// # Arguments
/// * `signal` Vh, Vl of the controller \[V\]
/// * `input` VIH, VIL, VImax, VImin of the board \[V\]
/// * `shift` s, s′ \[V\]
///
/// # Returns
/// mh, ml, mx and mn \[V\]; below 0 is a mismatch
///
/// # Validity
/// Static levels, wired straight. 0.2 V is a margin for noise and edges: common practice, no
/// source.
///
/// # Example
/// 3.3 V levels of JESD8C.01 (from memory: VOH 2.4 V, VOL 0.4 V, VIH 2.0 V, VIL 0.8 V, input
/// −0.3 V to VDD + 0.3 V) leave 0.4 V both ways, and 0.1 V where the board's ground is 0.3 V up.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::units::ElectricPotential;
/// use pulsewright_calc::wiring::{GroundShift, LogicInput, LogicSignal, logic_margins};
/// use uom::si::electric_potential::volt;
/// let v = ElectricPotential::new::<volt>;
/// let signal = LogicSignal { high: v(2.4), low: v(0.4) };
/// let input = LogicInput { high: v(2.0), low: v(0.8), greatest: v(3.6), least: v(-0.3) };
/// let margins = |lift| {
///     logic_margins(&signal, &input, &GroundShift { lift: v(lift), back: v(0.0) })
/// };
/// assert!(agrees(margins(0.0).high.value, "0.4"));
/// assert!(agrees(margins(0.0).low.value, "0.4"));
/// assert!(agrees(margins(0.3).high.value, "0.1"));
/// assert!(agrees(margins(0.3).least.value, "0.4"));
/// ```
///
/// # Sources
/// Definition of a noise margin.
#[must_use]
pub fn logic_margins(
    signal: &LogicSignal,
    input: &LogicInput,
    shift: &GroundShift,
) -> LogicMargins {
    shared_margins(signal, input, shift, 1.0)
}

/// Margins of both levels of a signal that a divider at the board brings down.
///
/// # Formula
/// As [`logic_margins`], with every level at the board times R2/(R1 + R2): mh = (Vh − s)·r − VIH …
///
/// # Arguments
/// * `signal` Vh, Vl of the controller \[V\]
/// * `input` VIH, VIL, VImax, VImin of the board \[V\]
/// * `shift` s, s′ \[V\]
/// * `upper` R1 from the signal to the pin \[Ω\]
/// * `lower` R2 from the pin to the board's ground \[Ω\]
///
/// # Returns
/// mh, ml, mx and mn \[V\]; below 0 is a mismatch
///
/// # Validity
/// The pin draws no current. Resistors as given: their tolerance is theirs.
///
/// # Errors
/// None where a resistance is negative or both are 0.
///
/// # Example
/// No published value: 5 V over 1.8 kΩ and 3.3 kΩ is 3.235 V at a pin for 2.0 to 3.6 V.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::units::{ElectricPotential, ElectricalResistance};
/// use pulsewright_calc::wiring::{GroundShift, LogicInput, LogicSignal, divided_logic_margins};
/// use uom::si::{electric_potential::volt, electrical_resistance::kiloohm};
/// let (v, k) = (ElectricPotential::new::<volt>, ElectricalResistance::new::<kiloohm>);
/// let signal = LogicSignal { high: v(5.0), low: v(0.2) };
/// let input = LogicInput { high: v(2.0), low: v(0.8), greatest: v(3.6), least: v(-0.3) };
/// let none = GroundShift { lift: v(0.0), back: v(0.0) };
/// let margins = divided_logic_margins(&signal, &input, &none, k(1.8), k(3.3)).unwrap();
/// assert!(agrees(margins.high.value, "1.235"));
/// assert!(agrees(margins.greatest.value, "0.365"));
/// assert_eq!(divided_logic_margins(&signal, &input, &none, k(0.0), k(0.0)), None);
/// ```
///
/// # Sources
/// Ohm's law; definition of a noise margin.
#[must_use]
pub fn divided_logic_margins(
    signal: &LogicSignal,
    input: &LogicInput,
    shift: &GroundShift,
    upper: ElectricalResistance,
    lower: ElectricalResistance,
) -> Option<LogicMargins> {
    let share = (lower / (upper + lower)).value;
    (upper.value >= 0.0 && lower.value >= 0.0 && share.is_finite())
        .then(|| shared_margins(signal, input, shift, share))
}

/// Margins where a share of every level reaches the pin.
fn shared_margins(
    signal: &LogicSignal,
    input: &LogicInput,
    shift: &GroundShift,
    share: f64,
) -> LogicMargins {
    LogicMargins {
        high: (signal.high - shift.lift) * share - input.high,
        low: input.low - (signal.low + shift.back) * share,
        greatest: input.greatest - (signal.high + shift.back) * share,
        least: (signal.low - shift.lift) * share - input.least,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::celsius;
    use proptest::prelude::*;
    use pulsewright_test_support::agrees;
    use uom::si::{
        electric_potential::volt,
        length::{foot, meter, mil},
        temperature_interval::kelvin,
    };

    /// Table of NBS Handbook 100: diameter in mil and resistance of 1000 ft at 20 °C.
    /// The table cuts 20.1008 and 15.9406 mil short; those are compared with one digit less.
    #[test]
    fn gauges() {
        for (gauge, mils, ohms) in [
            (18, "40.303", "6.385"),
            (20, "31.961", "10.15"),
            (22, "25.347", "16.14"),
            (24, "20.10", "25.67"),
            (26, "15.94", "40.81"),
            (28, "12.641", "64.90"),
            (30, "10.025", "103.2"),
            (36, "5.000", "414.8"),
        ] {
            let diameter = diameter(gauge);
            // 31.9615 and 12.6415 print as 31.961 and 12.641: a cut, too.
            let value = diameter.get::<mil>();
            assert!(
                agrees(value, mils) || agrees(value - 0.0005, mils),
                "AWG {gauge}: {value}"
            );
            let thousand_feet = Length::new::<foot>(500.0);
            let r = supply_resistance(thousand_feet, area(diameter), celsius(20.0));
            assert!(agrees(r.value, ohms), "AWG {gauge}: {}", r.value);
        }
    }

    /// Grob/Schultz, Basic Electronics, Ex. 11-3 and 11-4, pp. 335–342, and Beiser, Prob. 5.5
    /// and 5.6, pp. 47–48, all with 10.4 Ω·cmil/ft.
    #[test]
    fn circular_mil_examples() {
        let circular_mil = area(Length::new::<mil>(1.0));
        let feet = |length: f64| Length::new::<foot>(length);
        let rho = 10.4 * ElectricalResistance::new::<ohm>(1.0) * circular_mil / feet(1.0);
        let r = |length: f64, circular_mils: f64| {
            conductor_resistance(rho, feet(length), circular_mils * circular_mil).value
        };
        assert!(agrees(r(100.0, 1022.0), "1.02"));
        assert!(agrees(r(100.0, 509.5), "2.04"));
        assert!(agrees(r(1500.0, 80.0 * 80.0), "2.44"));
        assert!(agrees(r(400.0, 52.66 * 52.66), "1.500"));
    }

    /// Widths by the curve fit of IPC-2221; the first two are widely quoted.
    #[test]
    fn trace_widths() {
        for (amperes, layer, rise, mils) in [
            (1.0, TraceLayer::Outer, 10.0, "11.8"),
            (1.0, TraceLayer::Inner, 10.0, "30.8"),
            (2.0, TraceLayer::Outer, 10.0, "30.8"),
            (3.0, TraceLayer::Outer, 20.0, "35.3"),
        ] {
            let width = trace_width(
                ElectricCurrent::new::<ampere>(amperes),
                Length::new::<mil>(1.378),
                TemperatureInterval::new::<kelvin>(rise),
                layer,
            );
            assert!(agrees(width.unwrap().get::<mil>(), mils));
        }
    }

    /// 10 000 mil by 10 mil of ½ oz copper are 1000 squares: 1.0 Ω.
    #[test]
    fn trace_of_a_thousand_squares() {
        let r = trace_resistance(
            Length::new::<mil>(10.0),
            Length::new::<meter>(17e-6),
            Length::new::<mil>(10_000.0),
            celsius(20.0),
        );
        assert!(agrees(r.value, "1.0"));
    }

    #[test]
    fn nothing_from_nothing() {
        let zero = Length::new::<meter>(0.0);
        let rise = TemperatureInterval::new::<kelvin>(10.0);
        assert_eq!(
            trace_current(zero, zero, rise, TraceLayer::Outer).value,
            0.0
        );
        let ampere_1 = ElectricCurrent::new::<ampere>(1.0);
        assert_eq!(trace_width(ampere_1, zero, rise, TraceLayer::Outer), None);
    }

    fn levels(high: f64, greatest: f64, shift: f64) -> InputLevels {
        let volts = ElectricPotential::new::<volt>;
        InputLevels {
            high: volts(high),
            greatest: volts(greatest),
            ground_shift: volts(shift),
        }
    }

    proptest! {
        #[test]
        fn wider_trace_never_less_current(
            width in 1e-5_f64..1e-2, more in 0.0_f64..1e-2, t in 5e-6_f64..1e-4, rise in 1.0_f64..100.0,
        ) {
            let rise = TemperatureInterval::new::<kelvin>(rise);
            let thickness = Length::new::<meter>(t);
            let current = |w: f64| trace_current(Length::new::<meter>(w), thickness, rise, TraceLayer::Inner);
            prop_assert!(current(width + more) >= current(width));
            let back = trace_width(current(width), thickness, rise, TraceLayer::Inner).unwrap();
            prop_assert!((back.value / width - 1.0).abs() < 1e-9);
        }

        /// No pair of E24 has a better lesser margin than the chosen one.
        #[test]
        fn divider_is_the_best(
            vh in 1.0_f64..30.0, high in 0.3_f64..6.0, width in 0.05_f64..3.0, shift in 0.0_f64..0.3,
        ) {
            let input = levels(high, high + width, shift);
            let logic = ElectricPotential::new::<volt>(vh);
            let mut most = 0.0_f64;
            for upper in Series::E24.tenths() {
                for lower in Series::E24.tenths() {
                    // The share of a level just above the middle is nearly 1.
                    for decade in [0.001, 0.01, 0.1, 1.0, 10.0, 100.0, 1e3, 1e4, 1e5, 1e6] {
                        let divider =
                            divider_of(logic, &input, f64::from(*upper), f64::from(*lower) * decade);
                        most = most.max(divider.margins.lesser().value);
                    }
                }
            }
            match choose_divider(logic, &input) {
                Some(divider) => {
                    prop_assert!(divider.margins.lesser().value > most - 1e-8);
                    let total = (divider.upper + divider.lower).value;
                    prop_assert!((2999.0..30_001.0).contains(&total));
                    let series = |r| crate::preferred::nearest(r, Series::E24).unwrap();
                    prop_assert!((series(divider.upper) / divider.upper - Ratio::from(1.0)).abs().value < 1e-12);
                    prop_assert!((series(divider.lower) / divider.lower - Ratio::from(1.0)).abs().value < 1e-12);
                }
                None => prop_assert!(most < 1e-8 || 0.5 * (2.0 * high + width) >= vh),
            }
        }
    }

    #[test]
    fn a_long_cable_eats_the_margins_at_the_right_ends() {
        // By hand: 3.3 V into 3.3 V, ground 0.3 V up or 0.1 V down.
        let v = ElectricPotential::new::<volt>;
        let signal = LogicSignal {
            high: v(3.3),
            low: v(0.2),
        };
        let input = LogicInput {
            high: v(2.31),
            low: v(0.99),
            greatest: v(3.6),
            least: v(-0.3),
        };
        let shift = GroundShift {
            lift: v(0.3),
            back: v(0.1),
        };
        let margins = logic_margins(&signal, &input, &shift);
        for (margin, by_hand) in [
            (margins.high, "0.69"),
            (margins.low, "0.69"),
            (margins.greatest, "0.20"),
            (margins.least, "0.20"),
        ] {
            assert!(agrees(margin.value, by_hand), "{}", margin.value);
        }
        assert!(agrees(margins.least_of_all().value, "0.20"));
    }

    proptest! {
        /// A divider that is prescribed, entered again, is no worse than it was promised to be.
        #[test]
        fn a_prescribed_divider_clears_what_it_was_prescribed_for(
            vh in 1.0_f64..30.0, high in 0.3_f64..6.0, width in 0.05_f64..3.0, shift in 0.0_f64..0.3,
        ) {
            let v = ElectricPotential::new::<volt>;
            if let Some(divider) = choose_divider(v(vh), &levels(high, high + width, shift)) {
                let margins = divided_logic_margins(
                    &LogicSignal { high: v(vh), low: v(0.0) },
                    &LogicInput { high: v(high), low: v(high), greatest: v(high + width), least: v(-0.3) },
                    &GroundShift { lift: v(shift), back: v(shift) },
                    divider.upper,
                    divider.lower,
                ).unwrap();
                prop_assert!(margins.high >= divider.margins.high);
                prop_assert!(margins.greatest >= divider.margins.greatest);
            }
        }

        /// A divider of nothing above is a wire.
        #[test]
        fn nothing_above_is_a_wire(vh in -5.0_f64..30.0, vl in -5.0_f64..5.0, lift in 0.0_f64..1.0, back in 0.0_f64..1.0) {
            let v = ElectricPotential::new::<volt>;
            let signal = LogicSignal { high: v(vh), low: v(vl) };
            let input = LogicInput { high: v(2.0), low: v(0.8), greatest: v(3.6), least: v(-0.3) };
            let shift = GroundShift { lift: v(lift), back: v(back) };
            let r = ElectricalResistance::new::<ohm>;
            let wire = divided_logic_margins(&signal, &input, &shift, r(0.0), r(1000.0));
            prop_assert_eq!(wire, Some(logic_margins(&signal, &input, &shift)));
        }
    }
}
