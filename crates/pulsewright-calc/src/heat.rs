//! Heat of the motor: copper, two thermal nodes, and how long a current may flow.
//!
//! The winding stands in the housing, the housing in the ambient air; each has a thermal
//! resistance outward and a time constant of its own. Copper feedback is linear in temperature, so
//! that at constant current the two nodes are a linear system with two real, different
//! eigenvalues (its off-diagonal terms are positive) and everything is a closed form but one root.

use core::{error, fmt};

use uom::si::{
    electric_current::ampere, temperature_coefficient::per_kelvin, temperature_interval::kelvin,
    time::second,
};

#[cfg(not(any(test, feature = "std")))]
use crate::float::SquareRoot as _;
use crate::gears::Gearing;
use crate::roots::{bracketed, rising};
use crate::units::{
    Angle, COPPER_COEFFICIENT_20, ElectricCurrent, ElectricPotential, ElectricalResistance,
    MotorConstant, Power, Ratio, TemperatureCoefficient, TemperatureInterval, ThermalResistance,
    ThermodynamicTemperature, Time, Torque, celsius, finite, in_celsius, within,
};

/// The thermal model of a motor in its ambient air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThermalModel {
    /// Winding resistance at ambient temperature R_a.
    pub resistance: ElectricalResistance,
    /// Temperature coefficient of the winding at ambient temperature β_a.
    pub coefficient: TemperatureCoefficient,
    /// Ambient temperature T_a.
    pub ambient: ThermodynamicTemperature,
    /// Thermal resistance from winding to housing R_wh.
    pub winding_to_housing: ThermalResistance,
    /// Thermal resistance from housing to ambient R_ha.
    pub housing_to_ambient: ThermalResistance,
    /// Time constant of the winding τ_w; its heat capacity is τ_w/R_wh.
    pub winding_time_constant: Time,
    /// Time constant of the housing τ_h; its heat capacity is τ_h/R_ha.
    pub housing_time_constant: Time,
}

/// Temperatures of the two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Temperatures {
    /// Of the winding.
    pub winding: ThermodynamicTemperature,
    /// Of the housing.
    pub housing: ThermodynamicTemperature,
}

/// How long a current may flow from cold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeatingTime {
    /// Until the winding is at its limit.
    After(Time),
    /// It never reaches the limit.
    Unlimited,
}

/// Copper loss grows faster with temperature than the heat that flows off: no equilibrium exists.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoThermalEquilibrium;

impl fmt::Display for NoThermalEquilibrium {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("no thermal equilibrium")
    }
}

impl error::Error for NoThermalEquilibrium {}

/// Time for which a bare metal surface is touched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Touch {
    /// By accident, 1 s.
    OneSecond,
    /// On purpose, 10 s.
    TenSeconds,
    /// 1 min.
    OneMinute,
    /// 10 min.
    TenMinutes,
    /// 8 h and longer.
    EightHours,
}

/// Rise of one temperature over another.
fn rise_over(
    temperature: ThermodynamicTemperature,
    base: ThermodynamicTemperature,
) -> TemperatureInterval {
    TemperatureInterval::new::<kelvin>(temperature.value - base.value)
}

impl ThermalModel {
    /// Thermal resistance from winding to ambient.
    fn total(&self) -> ThermalResistance {
        self.winding_to_housing + self.housing_to_ambient
    }

    fn at(&self, winding: f64, housing: f64) -> Temperatures {
        Temperatures {
            winding: self.ambient + TemperatureInterval::new::<kelvin>(winding),
            housing: self.ambient + TemperatureInterval::new::<kelvin>(housing),
        }
    }
}

/// Temperature coefficient of copper at another reference temperature.
///
/// # Formula
/// α(T) = α20/(1 + α20·(T − 20 °C)), α20 = 0.00393/K
///
/// # Arguments
/// * `reference` T \[°C\]
///
/// # Returns
/// α(T) \[1/K\]
///
/// # Validity
/// Annealed copper, above −234 °C; good to 1 % up to 200 °C.
///
/// # Example
/// 0.00385 at 25 °C (NBS Handbook 100, table 2, from memory).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{heat::coefficient_at, units::celsius};
/// assert!(agrees(coefficient_at(celsius(25.0)).value, "0.00385"));
/// ```
///
/// # Sources
/// IEC 60028.
#[must_use]
pub fn coefficient_at(reference: ThermodynamicTemperature) -> TemperatureCoefficient {
    let span = in_celsius(reference) - 20.0;
    TemperatureCoefficient::new::<per_kelvin>(
        COPPER_COEFFICIENT_20 / (1.0 + COPPER_COEFFICIENT_20 * span),
    )
}

/// Resistance of a conductor at another temperature.
///
/// # Formula
/// R(T) = R1·(1 + α1·(T − T1))
///
/// # Arguments
/// * `resistance` R1 at T1 \[Ω\]
/// * `coefficient` α1 at T1 \[1/K\]
/// * `reference` T1 \[°C\]
/// * `temperature` T \[°C\]
///
/// # Returns
/// R(T) \[Ω\]
///
/// # Validity
/// Linear; for copper from −50 to 200 °C.
///
/// # Example
/// 10 Ω and 0.004/K at 20 °C: 13.2 Ω at 100 °C (Bird, Electrical Circuit Theory and Technology,
/// ch. 3, Ex. 11, p. 28).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::heat::resistance_at;
/// use pulsewright_calc::units::{celsius, ElectricalResistance, TemperatureCoefficient};
/// use uom::si::{electrical_resistance::ohm, temperature_coefficient::per_kelvin};
/// let r = resistance_at(
///     ElectricalResistance::new::<ohm>(10.0),
///     TemperatureCoefficient::new::<per_kelvin>(0.004),
///     celsius(20.0),
///     celsius(100.0),
/// );
/// assert!(agrees(r.value, "13.2"));
/// ```
///
/// # Sources
/// IEC 60028; Bird, ch. 3.
#[must_use]
pub fn resistance_at(
    resistance: ElectricalResistance,
    coefficient: TemperatureCoefficient,
    reference: ThermodynamicTemperature,
    temperature: ThermodynamicTemperature,
) -> ElectricalResistance {
    let factor: Ratio = coefficient * rise_over(temperature, reference);
    resistance * (Ratio::from(1.0) + factor)
}

/// Current that the winding bears for ever.
///
/// # Formula
/// I = √((T_max − T_a)/(R(T_max)·(R_wh + R_ha)))
///
/// # Arguments
/// * `model` the thermal model
/// * `limit` T_max \[°C\]
///
/// # Returns
/// I; zero where the ambient is at the limit \[A\]
///
/// # Validity
/// No friction loss (standstill), still air, the mounting of the thermal resistances.
///
/// # Example
/// 20 + 48 K/W, 63 K of rise, 21.2 Ω, 0.0038/K: 0.19 A (a maker's data sheet of an 8 mm motor).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::heat::*;
/// use pulsewright_calc::units::{celsius, ElectricalResistance, TemperatureCoefficient, ThermalResistance,
/// Time};
/// use uom::si::{electrical_resistance::ohm, temperature_coefficient::per_kelvin};
/// let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// let model = ThermalModel {
///     resistance: ElectricalResistance::new::<ohm>(21.2),
///     coefficient: TemperatureCoefficient::new::<per_kelvin>(0.0038),
///     ambient: celsius(22.0),
///     winding_to_housing: kelvin_per_watt(20.0),
///     housing_to_ambient: kelvin_per_watt(48.0),
///     winding_time_constant: Time::default(),
///     housing_time_constant: Time::default(),
/// };
/// assert!(agrees(continuous_current(&model, celsius(85.0)).value, "0.19"));
/// ```
///
/// # Sources
/// Steady heat balance of the two nodes.
#[must_use]
pub fn continuous_current(
    model: &ThermalModel,
    limit: ThermodynamicTemperature,
) -> ElectricCurrent {
    let rise = rise_over(limit, model.ambient);
    if rise <= TemperatureInterval::default() {
        return ElectricCurrent::default();
    }
    let hot = resistance_at(model.resistance, model.coefficient, model.ambient, limit);
    let power: Power = rise / model.total();
    (power / hot).sqrt()
}

/// Torque at the output that a current holds while it turns against its friction.
///
/// # Formula
/// T = N·η·Kt·(I − I0), not below zero
///
/// # Arguments
/// * `ratio` N \[1\]
/// * `efficiency` η \[1\]
/// * `motor_constant` Kt \[N·m/A\]
/// * `current` I \[A\]
/// * `no_load_current` I0 \[A\]
///
/// # Returns
/// T, before the limit of the gears \[N·m\]
///
/// # Validity
/// Motor driving.
///
/// # Example
/// 100:1, η 0.5, 0.01 N·m/A, 1.1 A over 0.1 A: 0.5 N·m (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::heat::continuous_torque;
/// use pulsewright_calc::units::{ElectricCurrent, MotorConstant, Ratio};
/// use uom::si::{electric_current::ampere, magnetic_flux::weber};
/// let torque = continuous_torque(
///     Ratio::from(100.0),
///     Ratio::from(0.5),
///     MotorConstant::new::<weber>(0.01),
///     ElectricCurrent::new::<ampere>(1.1),
///     ElectricCurrent::new::<ampere>(0.1),
/// );
/// assert!(agrees(torque.value, "0.500"));
/// ```
///
/// # Sources
/// Torque balance through the gears.
#[must_use]
pub fn continuous_torque(
    ratio: Ratio,
    efficiency: Ratio,
    motor_constant: MotorConstant,
    current: ElectricCurrent,
    no_load_current: ElectricCurrent,
) -> Torque {
    let useful = (current - no_load_current).max(ElectricCurrent::default());
    Torque::from(motor_constant * useful * ratio * efficiency)
}

/// Current that holds a load in balance: neither friction nor the losses of the gears help.
///
/// # Formula
/// I = |T|/(N·Kt)
///
/// # Arguments
/// * `ratio` N \[1\]
/// * `torque_constant` Kt \[N·m/A\]
/// * `holding_torque` T at the output \[N·m\]
///
/// # Returns
/// I \[A\]
///
/// # Validity
/// Standstill.
///
/// # Errors
/// None where N·Kt is 0.
///
/// # Example
/// 0.5 N·m behind 100:1 at 0.01 N·m/A: 0.5 A (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{heat::balanced_current, units::{MotorConstant, Ratio, Torque}};
/// use uom::si::{magnetic_flux::weber, torque::newton_meter};
/// let current = balanced_current(
///     Ratio::from(100.0),
///     MotorConstant::new::<weber>(0.01),
///     Torque::new::<newton_meter>(-0.5),
/// );
/// assert!(agrees(current.unwrap().value, "0.500"));
/// ```
///
/// # Sources
/// Statics of a gear train.
#[must_use]
pub fn balanced_current(
    ratio: Ratio,
    torque_constant: MotorConstant,
    holding_torque: Torque,
) -> Option<ElectricCurrent> {
    finite(holding_torque.abs() / (ratio * torque_constant))
}

/// Least current that still holds a load: friction and the losses of the gears hold with it.
///
/// # Formula
/// I = (|T| − T_C)·η_back/(N·Kt) − I0, at least 0; 0 for gears that lock (η_back ≤ 0)
///
/// # Arguments
/// * `gearing` N, η, η_back
/// * `torque_constant` Kt \[N·m/A\]
/// * `holding_torque` T at the output \[N·m\]
/// * `friction_torque` T_C of the axis at the output \[N·m\]
/// * `no_load_current` I0 \[A\]
///
/// # Returns
/// I \[A\]
///
/// # Validity
/// Standstill; friction at rest as in motion. Vibration takes friction away.
///
/// # Errors
/// None where N·Kt is 0.
///
/// # Example
/// 0.5 N·m with 0.1 N·m of friction, 100:1, η_back 0.5, 0.01 N·m/A, I0 0.05 A: 0.15 A (no published
/// value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{gears::Gearing, heat::relaxed_current};
/// use pulsewright_calc::units::{ElectricCurrent, MotorConstant, Ratio, Torque};
/// use uom::si::{electric_current::ampere, magnetic_flux::weber, torque::newton_meter};
/// let gearing = Gearing {
///     ratio: Ratio::from(100.0),
///     efficiency: Ratio::from(0.6),
///     back_driving_efficiency: Ratio::from(0.5),
/// };
/// let current = relaxed_current(
///     gearing,
///     MotorConstant::new::<weber>(0.01),
///     Torque::new::<newton_meter>(0.5),
///     Torque::new::<newton_meter>(0.1),
///     ElectricCurrent::new::<ampere>(0.05),
/// );
/// assert!(agrees(current.unwrap().value, "0.150"));
/// ```
///
/// # Sources
/// Torque balance of a gear train on the point of being driven back.
#[must_use]
pub fn relaxed_current(
    gearing: Gearing,
    torque_constant: MotorConstant,
    holding_torque: Torque,
    friction_torque: Torque,
    no_load_current: ElectricCurrent,
) -> Option<ElectricCurrent> {
    let pull = holding_torque.abs() - friction_torque;
    let passed = gearing.back_driving_efficiency.max(Ratio::default());
    let current = pull * passed / (gearing.ratio * torque_constant);
    Some(finite(current - no_load_current)?.max(ElectricCurrent::default()))
}

/// Mean heat of the motor's Coulomb friction over a cycle.
///
/// # Formula
/// P_f = Kt·I0·N·φ/t
///
/// # Arguments
/// * `motor_constant` Kt \[N·m/A\]
/// * `no_load_current` I0 \[A\]
/// * `ratio` N \[1\]
/// * `travelled` φ, output angle travelled in the cycle, both ways \[rad\]
/// * `cycle_time` t, moves and dwells \[s\]
///
/// # Returns
/// P_f \[W\]
///
/// # Validity
/// t > 0; zero at standstill.
///
/// # Example
/// 0.01 N·m/A, 0.1 A, 100:1, 2 rad in 4 s: 0.05 W (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::heat::friction_loss;
/// use pulsewright_calc::units::{Angle, ElectricCurrent, MotorConstant, Ratio, Time};
/// use uom::si::{angle::radian, electric_current::ampere, magnetic_flux::weber, time::second};
/// let loss = friction_loss(
///     MotorConstant::new::<weber>(0.01),
///     ElectricCurrent::new::<ampere>(0.1),
///     Ratio::from(100.0),
///     Angle::new::<radian>(2.0),
///     Time::new::<second>(4.0),
/// );
/// assert!(agrees(loss.value, "0.050"));
/// ```
///
/// # Sources
/// Work of a constant torque.
#[must_use]
pub fn friction_loss(
    motor_constant: MotorConstant,
    no_load_current: ElectricCurrent,
    ratio: Ratio,
    travelled: Angle,
    cycle_time: Time,
) -> Power {
    motor_constant * no_load_current * ratio * Ratio::from(travelled) / cycle_time
}

/// Current that heats the winding like the mean course and its ripple together.
///
/// # Formula
/// √(I² + ΔI²/12)
///
/// # Arguments
/// * `rms_current` I of the cycle \[A\]
/// * `ripple_current` ΔI, peak to peak \[A\]
///
/// # Returns
/// The heating current \[A\]
///
/// # Validity
/// Triangular ripple.
///
/// # Example
/// 3 A and 0.9306 A peak to peak: 3.01 A (TI SLVS839, application section, of an inductor).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{heat::rms_current, units::ElectricCurrent};
/// use uom::si::electric_current::ampere;
/// let ripple = 3.3 * (28.0 - 3.3) / (28.0 * 6.8e-6 * 570e3 * 0.8);
/// let current = rms_current(
///     ElectricCurrent::new::<ampere>(3.0),
///     ElectricCurrent::new::<ampere>(ripple),
/// );
/// assert!(agrees(current.value, "3.01"));
/// ```
///
/// # Sources
/// Root mean square of a triangle.
#[must_use]
pub fn rms_current(
    rms_current: ElectricCurrent,
    ripple_current: ElectricCurrent,
) -> ElectricCurrent {
    (rms_current * rms_current + ripple_current * ripple_current / 12.0).sqrt()
}

/// Steady temperatures of winding and housing.
///
/// # Formula
/// T_w = T_a + (I²·R_a·Rth + P_f·R_ha)/(1 − β_a·I²·R_a·Rth), Rth = R_wh + R_ha;
/// T_h = T_a + R_ha·(I²·R(T_w) + P_f)
///
/// # Arguments
/// * `model` the thermal model
/// * `current` I \[A\]
/// * `friction_loss` P_f, into the housing \[W\]
///
/// # Returns
/// Both temperatures
///
/// # Validity
/// Periods short against the time constants, or a constant current.
///
/// # Errors
/// [`NoThermalEquilibrium`] where the denominator is not positive.
///
/// # Example
/// At the continuous current the winding is at its limit (no published value: inverse).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::heat::*;
/// use pulsewright_calc::units::{celsius, in_celsius, ElectricalResistance, Power, ThermalResistance, Time};
/// use uom::si::electrical_resistance::ohm;
/// let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// let model = ThermalModel {
///     resistance: ElectricalResistance::new::<ohm>(5.5),
///     coefficient: coefficient_at(celsius(25.0)),
///     ambient: celsius(25.0),
///     winding_to_housing: kelvin_per_watt(15.0),
///     housing_to_ambient: kelvin_per_watt(45.0),
///     winding_time_constant: Time::default(),
///     housing_time_constant: Time::default(),
/// };
/// let current = continuous_current(&model, celsius(90.0));
/// let steady = equilibrium(&model, current, Power::default())?;
/// assert!(agrees(in_celsius(steady.winding), "90.000"));
/// assert!(equilibrium(&model, current * 3.0, Power::default()).is_err());
/// # Ok::<(), NoThermalEquilibrium>(())
/// ```
///
/// # Sources
/// Steady heat balance of the two nodes.
pub fn equilibrium(
    model: &ThermalModel,
    current: ElectricCurrent,
    friction_loss: Power,
) -> Result<Temperatures, NoThermalEquilibrium> {
    let cold: Power = current * current * model.resistance;
    let copper: TemperatureInterval = cold * model.total();
    let friction: TemperatureInterval = friction_loss * model.housing_to_ambient;
    let feedback: Ratio = model.coefficient * copper;
    let denominator = 1.0 - feedback.value;
    if denominator <= 0.0 {
        return Err(NoThermalEquilibrium);
    }
    let winding = (copper + friction) / denominator;
    let factor: Ratio = model.coefficient * winding;
    let loss = cold * (Ratio::from(1.0) + factor);
    let housing: TemperatureInterval = (loss + friction_loss) * model.housing_to_ambient;
    if winding.value.is_finite() && housing.value.is_finite() {
        Ok(model.at(winding.value, housing.value))
    } else {
        Err(NoThermalEquilibrium)
    }
}

/// Greatest winding temperature within a cycle of move and dwell that repeats for ever.
///
/// # Formula
/// T = T_h + R_wh·[P_d + (P_m − P_d)·(1 − e^(−t/τ_w))/(1 − e^(−(t + t_d)/τ_w))], at the end of the
/// move; for P_m < P_d the same with move and dwell exchanged, at the end of the dwell
///
/// # Arguments
/// * `model` the thermal model
/// * `housing` T_h, its steady mean \[°C\]
/// * `move_loss`, `dwell_loss` P_m, P_d, mean copper loss in the move and in the dwell \[W\]
/// * `time`, `dwell` t, t_d \[s\]
///
/// # Returns
/// The peak temperature \[°C\]
///
/// # Validity
/// Housing steady over the cycle (t + t_d short against τ_h).
///
/// # Example
/// τ 60 s, 10 s on, 20 s off, 15 K unloaded and 104.4 K loaded in the steady state: 49.9 K
/// (Dubey, Fundamentals of Electrical Drives, Ex. 4.1, p. 47).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::heat::*;
/// use pulsewright_calc::units::{celsius, in_celsius, ElectricalResistance, Power, ThermalResistance, Time};
/// use uom::si::{electrical_resistance::ohm, power::watt, time::second};
/// let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// let model = ThermalModel {
///     resistance: ElectricalResistance::new::<ohm>(1.0),
///     coefficient: coefficient_at(celsius(20.0)),
///     ambient: celsius(0.0),
///     winding_to_housing: kelvin_per_watt(1.0),
///     housing_to_ambient: kelvin_per_watt(1.0),
///     winding_time_constant: Time::new::<second>(60.0),
///     housing_time_constant: Time::new::<second>(1e4),
/// };
/// let peak = cycle_peak_temperature(
///     &model,
///     celsius(0.0),
///     (Power::new::<watt>(104.4), Power::new::<watt>(15.0)),
///     (Time::new::<second>(10.0), Time::new::<second>(20.0)),
/// );
/// assert!(agrees(in_celsius(peak), "49.9"));
/// ```
///
/// # Sources
/// Dubey, Fundamentals of Electrical Drives, 4.4: steady cycling of one thermal time constant.
#[must_use]
pub fn cycle_peak_temperature(
    model: &ThermalModel,
    housing: ThermodynamicTemperature,
    (move_loss, dwell_loss): (Power, Power),
    (time, dwell): (Time, Time),
) -> ThermodynamicTemperature {
    let (hot, cool, warming) = if move_loss < dwell_loss {
        (dwell_loss, move_loss, dwell)
    } else {
        (move_loss, dwell_loss, time)
    };
    let constant = model.winding_time_constant;
    let fill = |time: Time| -libm::expm1(-(time / constant).value);
    let whole = fill(time + dwell);
    let share = if whole > 0.0 {
        fill(warming) / whole
    } else {
        1.0
    };
    let rise: TemperatureInterval = (cool + (hot - cool) * share) * model.winding_to_housing;
    housing + rise
}

/// Copper loss of a current at a winding temperature.
///
/// # Formula
/// P = I²·R(T)
///
/// # Arguments
/// * `model` the thermal model
/// * `current` I \[A\]
/// * `winding` T \[°C\]
///
/// # Returns
/// P \[W\]
///
/// # Validity
/// As [`resistance_at`].
///
/// # Example
/// 2 A through 5.5 Ω at ambient: 22 W (no published value: arithmetic).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{heat::*, units::ElectricCurrent};
/// use uom::si::electric_current::ampere;
/// # use pulsewright_calc::units::{celsius, in_celsius, ElectricalResistance, TemperatureCoefficient,
/// # ThermalResistance, Time};
/// # use uom::si::{electrical_resistance::ohm, temperature_coefficient::per_kelvin, time::second};
/// # let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// # let model = ThermalModel {
/// #     resistance: ElectricalResistance::new::<ohm>(5.5),
/// #     coefficient: coefficient_at(celsius(25.0)),
/// #     ambient: celsius(25.0),
/// #     winding_to_housing: kelvin_per_watt(15.0),
/// #     housing_to_ambient: kelvin_per_watt(45.0),
/// #     winding_time_constant: Time::new::<second>(12.0),
/// #     housing_time_constant: Time::new::<second>(210.0),
/// # };
/// let loss = copper_loss(&model, ElectricCurrent::new::<ampere>(2.0), model.ambient);
/// assert!(agrees(loss.value, "22.0"));
/// ```
///
/// # Sources
/// Joule's law.
#[must_use]
pub fn copper_loss(
    model: &ThermalModel,
    current: ElectricCurrent,
    winding: ThermodynamicTemperature,
) -> Power {
    let resistance = resistance_at(model.resistance, model.coefficient, model.ambient, winding);
    current * current * resistance
}

/// Power that holding takes once the winding is as warm as that current makes it.
///
/// # Formula
/// P = I²·R(T_w), T_w the [`equilibrium`] at I without friction
///
/// # Arguments
/// * `model` the thermal model
/// * `current` I \[A\]
///
/// # Returns
/// P \[W\]
///
/// # Validity
/// Standstill for longer than three housing time constants.
///
/// # Errors
/// [`NoThermalEquilibrium`] where the winding warms without end.
///
/// # Example
/// 60 K/W at the current that ends at 65 K of rise: 65/60 W (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::heat::*;
/// # use pulsewright_calc::units::{celsius, in_celsius, ElectricalResistance, TemperatureCoefficient,
/// # ThermalResistance, Time};
/// # use uom::si::{electrical_resistance::ohm, temperature_coefficient::per_kelvin, time::second};
/// # let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// # let model = ThermalModel {
/// #     resistance: ElectricalResistance::new::<ohm>(5.5),
/// #     coefficient: coefficient_at(celsius(25.0)),
/// #     ambient: celsius(25.0),
/// #     winding_to_housing: kelvin_per_watt(15.0),
/// #     housing_to_ambient: kelvin_per_watt(45.0),
/// #     winding_time_constant: Time::new::<second>(12.0),
/// #     housing_time_constant: Time::new::<second>(210.0),
/// # };
/// let current = continuous_current(&model, celsius(90.0));
/// assert!(agrees(hold_power(&model, current)?.value, "1.08333"));
/// # Ok::<(), NoThermalEquilibrium>(())
/// ```
///
/// # Sources
/// [`equilibrium`].
pub fn hold_power(
    model: &ThermalModel,
    current: ElectricCurrent,
) -> Result<Power, NoThermalEquilibrium> {
    let steady = equilibrium(model, current, Power::default())?;
    Ok(copper_loss(model, current, steady.winding))
}

/// The two nodes in numbers: x′ = A·x + b for the rises x = (winding, housing), with the heat
/// `constant + slope·x_w` into the winding.
#[derive(Clone, Copy)]
struct TwoNodes {
    /// A.
    a: [[f64; 2]; 2],
    /// b.
    drive: [f64; 2],
    /// Eigenvalues, the greater first.
    lambda: [f64; 2],
}

/// Below this exponent six terms of the series of (eˣ − 1)/x are exact, at a tenth of the time.
const SHORT: f64 = 0.01;

/// Shares of the powers of a short exponent x in (eˣ − 1)/x: Σ xⁿ/(n + 1)!.
const SERIES: [f64; 6] = [
    1.0,
    1.0 / 2.0,
    1.0 / 6.0,
    1.0 / 24.0,
    1.0 / 120.0,
    1.0 / 720.0,
];

/// What carries heat away, and what one watt does to each node: a model without its heat.
#[derive(Clone, Copy)]
struct Network {
    inner: f64,
    outer: f64,
    winding: f64,
    housing: f64,
}

impl Network {
    fn of(model: &ThermalModel) -> Self {
        let inner = 1.0 / model.winding_to_housing.value;
        let outer = 1.0 / model.housing_to_ambient.value;
        Self {
            inner,
            outer,
            winding: 1.0 / (model.winding_time_constant.value * inner),
            housing: 1.0 / (model.housing_time_constant.value * outer),
        }
    }
}

impl TwoNodes {
    fn new(network: Network, constant: f64, slope: f64) -> Self {
        let Network {
            inner,
            outer,
            winding,
            housing,
        } = network;
        let a = [
            [(slope - inner) * winding, inner * winding],
            [inner * housing, -(inner + outer) * housing],
        ];
        let mean = 0.5 * (a[0][0] + a[1][1]);
        let half = 0.5 * (a[0][0] - a[1][1]);
        let root = (half * half + a[0][1] * a[1][0]).sqrt();
        // The one of greater size first, the other from the determinant, free of cancellation.
        let determinant = winding * housing * (inner * outer - slope * (inner + outer));
        let lambda = if mean <= 0.0 {
            let fast = mean - root;
            [determinant / fast, fast]
        } else {
            let fast = mean + root;
            [fast, determinant / fast]
        };
        Self {
            a,
            drive: [constant * winding, 0.0],
            lambda,
        }
    }

    /// Heat of a constant current.
    fn at_current(model: &ThermalModel, current: f64) -> Self {
        let cold = current * current * model.resistance.value;
        Self::new(Network::of(model), cold, cold * model.coefficient.value)
    }

    /// The same with a constant heat into the housing.
    fn with_friction(mut self, model: &ThermalModel, friction: f64) -> Self {
        self.drive[1] =
            friction * model.housing_to_ambient.value / model.housing_time_constant.value;
        self
    }

    fn rates(&self, state: [f64; 2]) -> [f64; 2] {
        [
            self.a[0][0] * state[0] + self.a[0][1] * state[1] + self.drive[0],
            self.a[1][0] * state[0] + self.a[1][1] * state[1] + self.drive[1],
        ]
    }

    /// Shares of both eigenvectors in the rates, for the winding and for the housing.
    fn modes(&self, [w, h]: [f64; 2]) -> [[f64; 2]; 2] {
        let [slow, fast] = self.lambda;
        let share = 1.0 / (slow - fast);
        [
            [
                ((self.a[0][0] - fast) * w + self.a[0][1] * h) * share,
                ((slow - self.a[0][0]) * w - self.a[0][1] * h) * share,
            ],
            [
                (self.a[1][0] * w + (self.a[1][1] - fast) * h) * share,
                ((slow - self.a[1][1]) * h - self.a[1][0] * w) * share,
            ],
        ]
    }

    /// ∫e^(λ·s) ds from 0 to `time`, for both eigenvalues.
    fn integrals(&self, time: f64) -> [f64; 2] {
        self.lambda.map(|lambda| {
            let exponent = lambda * time;
            if exponent.abs() < SHORT {
                let sum = SERIES.iter().rev();
                time * sum.fold(0.0, |sum, share| sum * exponent + share)
            } else {
                libm::expm1(exponent) / lambda
            }
        })
    }

    /// The same to another `time`, from those to one before or behind it.
    fn moved(&self, integrals: [f64; 2], from: f64, time: f64) -> [f64; 2] {
        let by = time - from;
        if self.lambda.iter().any(|l| (l * by).abs() >= SHORT) {
            return self.integrals(time);
        }
        let more = self.integrals(by);
        core::array::from_fn(|i| integrals[i] + (1.0 + self.lambda[i] * integrals[i]) * more[i])
    }

    fn after(&self, state: [f64; 2], time: f64) -> [f64; 2] {
        let integrals = self.integrals(time);
        let [winding, housing] = self.modes(self.rates(state));
        [
            state[0] + winding[0] * integrals[0] + winding[1] * integrals[1],
            state[1] + housing[0] * integrals[0] + housing[1] * integrals[1],
        ]
    }

    /// Time until the winding has risen to `target`, if it does, and the state then.
    fn time_to(&self, state: [f64; 2], target: f64) -> Option<(f64, [f64; 2])> {
        let span = target - state[0];
        if span <= 0.0 {
            return Some((0.0, state));
        }
        let rates = self.rates(state);
        let [[slow, fast], housing] = self.modes(rates);
        if rates[0] <= 0.0 {
            return None;
        }
        let [first, last] = self.lambda;
        let bend = [slow * first, fast * last];
        let start = self.first_guess([slow, fast], rates[0], span);
        let (mut time, mut integrals) = (0.0, [0.0; 2]);
        let found = rising(
            |next| {
                integrals = self.moved(integrals, time, next);
                time = next;
                let left = [1.0 + first * integrals[0], 1.0 + last * integrals[1]];
                (
                    slow * integrals[0] + fast * integrals[1] - span,
                    slow * left[0] + fast * left[1],
                    bend[0] * left[0] + bend[1] * left[1],
                )
            },
            0.0,
            start,
            // A step of this share leaves its third power.
            2e-3,
            100,
        )?;
        let integrals = self.moved(integrals, time, found);
        let warmed = state[1] + housing[0] * integrals[0] + housing[1] * integrals[1];
        Some((found, [target, warmed]))
    }

    /// A time near that at which the winding has risen by `span`.
    fn first_guess(&self, [slow, fast]: [f64; 2], rate: f64, span: f64) -> f64 {
        let [first, last] = self.lambda;
        // Constant acceleration, where it changes the rate by less than half.
        let square = rate * rate + 2.0 * (slow * first + fast * last) * span;
        if square > 0.25 * rate * rate && square < 2.25 * rate * rate {
            let root = square.sqrt();
            let time = 2.0 * span / (rate + root);
            // What a constant change of the acceleration adds, at the rate that is reached.
            let jerk = slow * first * first + fast * last * last;
            return time * (1.0 - within(jerk * time * time / (6.0 * root), -0.5, 0.5));
        }
        // The slow mode alone, the fast one taken as over: a time that is not yet too long.
        let rest = span + fast / last;
        let shift = first * rest / slow;
        let slow_alone = if fast > 0.0 && last < 0.0 && rest > 0.0 && slow > 0.0 && shift > -1.0 {
            if shift == 0.0 {
                rest / slow
            } else {
                libm::log1p(shift) / first
            }
        } else {
            0.0
        };
        slow_alone.max(span / rate)
    }
}

/// Temperatures after a constant current has flowed from cold for a time.
///
/// # Formula
/// x(t) = A⁻¹·(e^(A·t) − 1)·b for the rises x of winding and housing, with
/// C_w·θ_w′ = I²·R_a·(1 + β_a·θ_w) − (θ_w − θ_h)/R_wh and
/// C_h·θ_h′ = (θ_w − θ_h)/R_wh − θ_h/R_ha
///
/// # Arguments
/// * `model` the thermal model
/// * `current` I \[A\]
/// * `time` t since cold \[s\]
///
/// # Returns
/// Both temperatures
///
/// # Validity
/// Standstill; two lumps. Also where a current has no equilibrium.
///
/// # Errors
/// [`NoThermalEquilibrium`] where the temperature is beyond any number.
///
/// # Example
/// 1 W over 60 K/W with a time constant of 57.708 min: 30 K after 40 min and 45 K after 80 min
/// (Gupta & Singhal, Fundamentals of Electric Drives and Control, Ex. 4.1, p. 49, read backwards).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{heat::*, units::ElectricCurrent};
/// use uom::si::{electric_current::ampere, time::minute};
/// # use pulsewright_calc::units::{celsius, in_celsius, ElectricalResistance, TemperatureCoefficient,
/// # ThermalResistance, Time};
/// # use uom::si::{electrical_resistance::ohm, temperature_coefficient::per_kelvin, time::second};
/// # let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// # let model = ThermalModel {
/// #     resistance: ElectricalResistance::new::<ohm>(1.0),
/// #     coefficient: TemperatureCoefficient::default(),
/// #     ambient: celsius(25.0),
/// #     winding_to_housing: kelvin_per_watt(60.0),
/// #     housing_to_ambient: kelvin_per_watt(1e-9),
/// #     winding_time_constant: Time::new::<second>(57.708 * 60.0),
/// #     housing_time_constant: Time::new::<second>(1e-3),
/// # };
/// let current = ElectricCurrent::new::<ampere>(1.0);
/// for (minutes, rise) in [(40.0, "30.0"), (80.0, "45.0")] {
///     let after = temperatures_after(&model, current, Time::new::<minute>(minutes))?;
///     assert!(agrees(in_celsius(after.winding) - 25.0, rise));
/// }
/// # Ok::<(), NoThermalEquilibrium>(())
/// ```
///
/// # Sources
/// Linear system of two nodes.
pub fn temperatures_after(
    model: &ThermalModel,
    current: ElectricCurrent,
    time: Time,
) -> Result<Temperatures, NoThermalEquilibrium> {
    warming_up(model, current, Power::default(), time)
}

/// Temperatures of a cycle that has repeated from cold for a time, its losses spread evenly.
///
/// # Formula
/// As [`temperatures_after`], with C_h·θ_h′ = (θ_w − θ_h)/R_wh − θ_h/R_ha + P_f
///
/// # Arguments
/// * `model` the thermal model
/// * `current` I, the root mean square of the cycle \[A\]
/// * `friction_loss` P_f, the cycle's mean, into the housing \[W\]
/// * `time` t since cold \[s\]
///
/// # Returns
/// Both temperatures, the mean over a cycle
///
/// # Validity
/// Cycles short against the time constants; for longer ones the winding swings about this line.
/// Also where there is no equilibrium.
///
/// # Errors
/// [`NoThermalEquilibrium`] where the temperature is beyond any number.
///
/// # Example
/// After ever so long it is the [`equilibrium`] (no published value: limit).
/// ```
/// use pulsewright_calc::{heat::*, units::ElectricCurrent};
/// use uom::si::{electric_current::ampere, power::watt};
/// # use pulsewright_calc::units::{celsius, ElectricalResistance, Power, ThermalResistance, Time};
/// # use uom::si::{electrical_resistance::ohm, time::second};
/// # let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// # let model = ThermalModel {
/// #     resistance: ElectricalResistance::new::<ohm>(5.5),
/// #     coefficient: coefficient_at(celsius(25.0)),
/// #     ambient: celsius(25.0),
/// #     winding_to_housing: kelvin_per_watt(15.0),
/// #     housing_to_ambient: kelvin_per_watt(45.0),
/// #     winding_time_constant: Time::new::<second>(12.0),
/// #     housing_time_constant: Time::new::<second>(210.0),
/// # };
/// let (current, friction) = (ElectricCurrent::new::<ampere>(0.25), Power::new::<watt>(0.1));
/// let late = warming_up(&model, current, friction, 100.0 * model.housing_time_constant)?;
/// let steady = equilibrium(&model, current, friction)?;
/// assert!((late.winding.value - steady.winding.value).abs() < 1e-9);
/// assert!((late.housing.value - steady.housing.value).abs() < 1e-9);
/// # Ok::<(), NoThermalEquilibrium>(())
/// ```
///
/// # Sources
/// Linear system of two nodes.
pub fn warming_up(
    model: &ThermalModel,
    current: ElectricCurrent,
    friction_loss: Power,
    time: Time,
) -> Result<Temperatures, NoThermalEquilibrium> {
    let [winding, housing] = TwoNodes::at_current(model, current.value)
        .with_friction(model, friction_loss.value)
        .after([0.0; 2], time.value.max(0.0));
    if winding.is_finite() && housing.is_finite() {
        Ok(model.at(winding, housing))
    } else {
        Err(NoThermalEquilibrium)
    }
}

/// Time for which a constant current may flow from cold.
///
/// # Formula
/// θ_w(t) = T_max − T_a, with θ_w of [`temperatures_after`]
///
/// # Arguments
/// * `model` the thermal model
/// * `current` I \[A\]
/// * `limit` T_max \[°C\]
///
/// # Returns
/// The time, or that it is unlimited: I ≤ [`continuous_current`]
///
/// # Validity
/// Standstill, from cold; two lumps.
///
/// # Example
/// 1 W over 60 K/W with a time constant of 57.708 min: 30 K are reached after 40 min, 61 K never
/// (Gupta & Singhal, Fundamentals of Electric Drives and Control, Ex. 4.1, p. 49, read backwards).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{heat::*, units::ElectricCurrent};
/// use uom::si::{electric_current::ampere, time::minute};
/// # use pulsewright_calc::units::{celsius, in_celsius, ElectricalResistance, TemperatureCoefficient,
/// # ThermalResistance, Time};
/// # use uom::si::{electrical_resistance::ohm, temperature_coefficient::per_kelvin, time::second};
/// # let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// # let model = ThermalModel {
/// #     resistance: ElectricalResistance::new::<ohm>(1.0),
/// #     coefficient: TemperatureCoefficient::default(),
/// #     ambient: celsius(25.0),
/// #     winding_to_housing: kelvin_per_watt(60.0),
/// #     housing_to_ambient: kelvin_per_watt(1e-9),
/// #     winding_time_constant: Time::new::<second>(57.708 * 60.0),
/// #     housing_time_constant: Time::new::<second>(1e-3),
/// # };
/// let current = ElectricCurrent::new::<ampere>(1.0);
/// let HeatingTime::After(time) = hold_time(&model, current, celsius(55.0)) else { panic!() };
/// assert!(agrees(time.get::<minute>(), "40.0"));
/// assert_eq!(hold_time(&model, current, celsius(86.0)), HeatingTime::Unlimited);
/// ```
///
/// # Sources
/// Linear system of two nodes; Halley's method from a closed first guess.
#[must_use]
pub fn hold_time(
    model: &ThermalModel,
    current: ElectricCurrent,
    limit: ThermodynamicTemperature,
) -> HeatingTime {
    let rise = rise_over(limit, model.ambient);
    if rise <= TemperatureInterval::default() {
        return HeatingTime::After(Time::default());
    }
    if current <= continuous_current(model, limit) {
        return HeatingTime::Unlimited;
    }
    TwoNodes::at_current(model, current.value)
        .time_to([0.0; 2], rise.value)
        .map_or(HeatingTime::Unlimited, |(time, _)| {
            HeatingTime::After(Time::new::<second>(time))
        })
}

/// Time for which a cycle may repeat from cold, its losses spread evenly.
///
/// # Formula
/// θ_w(t) = T_max − T_a, with θ_w of [`warming_up`]
///
/// # Arguments
/// * `model` the thermal model
/// * `current` I, the root mean square of the cycle \[A\]
/// * `friction_loss` P_f, the cycle's mean, into the housing \[W\]
/// * `limit` T_max \[°C\]
///
/// # Returns
/// The time, or that it is unlimited: the [`equilibrium`] is at the limit or below
///
/// # Validity
/// As [`warming_up`]; I > 0.
///
/// # Example
/// Without friction it is the [`hold_time`] (no published value: identity).
/// ```
/// use pulsewright_calc::{heat::*, units::{ElectricCurrent, Power}};
/// use uom::si::{electric_current::ampere, power::watt};
/// # use pulsewright_calc::units::{celsius, ElectricalResistance, ThermalResistance, Time};
/// # use uom::si::{electrical_resistance::ohm, time::second};
/// # let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// # let model = ThermalModel {
/// #     resistance: ElectricalResistance::new::<ohm>(5.5),
/// #     coefficient: coefficient_at(celsius(25.0)),
/// #     ambient: celsius(25.0),
/// #     winding_to_housing: kelvin_per_watt(15.0),
/// #     housing_to_ambient: kelvin_per_watt(45.0),
/// #     winding_time_constant: Time::new::<second>(12.0),
/// #     housing_time_constant: Time::new::<second>(210.0),
/// # };
/// let (current, limit) = (ElectricCurrent::new::<ampere>(0.6), celsius(90.0));
/// let dry = cycling_time(&model, current, Power::default(), limit);
/// assert_eq!(dry, hold_time(&model, current, limit));
/// let rubbing = cycling_time(&model, current, Power::new::<watt>(0.1), limit);
/// assert!(matches!((dry, rubbing), (HeatingTime::After(a), HeatingTime::After(b)) if b < a));
/// ```
///
/// # Sources
/// Linear system of two nodes.
#[must_use]
pub fn cycling_time(
    model: &ThermalModel,
    current: ElectricCurrent,
    friction_loss: Power,
    limit: ThermodynamicTemperature,
) -> HeatingTime {
    let rise = rise_over(limit, model.ambient);
    if rise <= TemperatureInterval::default() {
        return HeatingTime::After(Time::default());
    }
    if equilibrium(model, current, friction_loss).is_ok_and(|steady| steady.winding <= limit) {
        return HeatingTime::Unlimited;
    }
    TwoNodes::at_current(model, current.value)
        .with_friction(model, friction_loss.value)
        .time_to([0.0; 2], rise.value)
        .map_or(HeatingTime::Unlimited, |(time, _)| {
            HeatingTime::After(Time::new::<second>(time))
        })
}

/// Greatest current that may flow from cold for a time.
///
/// # Formula
/// The I at which [`hold_time`] is t
///
/// # Arguments
/// * `model` the thermal model
/// * `time` t > 0 \[s\]
/// * `limit` T_max \[°C\]
///
/// # Returns
/// I \[A\]; nothing where the ambient is at the limit or t is not positive
///
/// # Validity
/// As [`hold_time`].
///
/// # Example
/// A time constant of 80 min, 15 min on: 50 kW become 120.9 kW, and loss goes with power squared
/// (Gupta & Singhal, Fundamentals of Electric Drives and Control, Ex. 4.9, p. 62).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::heat::*;
/// use uom::si::time::minute;
/// # use pulsewright_calc::units::{celsius, in_celsius, ElectricalResistance, TemperatureCoefficient,
/// # ThermalResistance, Time};
/// # use uom::si::{electrical_resistance::ohm, temperature_coefficient::per_kelvin, time::second};
/// # let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// # let model = ThermalModel {
/// #     resistance: ElectricalResistance::new::<ohm>(1.0),
/// #     coefficient: TemperatureCoefficient::default(),
/// #     ambient: celsius(25.0),
/// #     winding_to_housing: kelvin_per_watt(60.0),
/// #     housing_to_ambient: kelvin_per_watt(1e-9),
/// #     winding_time_constant: Time::new::<second>(80.0 * 60.0),
/// #     housing_time_constant: Time::new::<second>(1e-3),
/// # };
/// let limit = celsius(65.0);
/// let short = greatest_current_for(&model, Time::new::<minute>(15.0), limit).unwrap();
/// let overload = short / continuous_current(&model, limit);
/// assert!(agrees(50.0 * overload.value, "120.9"));
/// ```
///
/// # Sources
/// [`hold_time`]. The root lies between the currents whose loss is that of the cold and of the
/// hot winding throughout.
#[must_use]
pub fn greatest_current_for(
    model: &ThermalModel,
    time: Time,
    limit: ThermodynamicTemperature,
) -> Option<ElectricCurrent> {
    let rise = rise_over(limit, model.ambient).value;
    if rise <= 0.0 || time.value <= 0.0 {
        return None;
    }
    // Rise for 1 W without feedback bounds the loss that is allowed from above.
    let [unit, _] = TwoNodes::new(Network::of(model), 1.0, 0.0).after([0.0; 2], time.value);
    let most = rise / unit;
    let least = most / (1.0 + model.coefficient.value * rise);
    let (low, high) = (least * (1.0 - 1e-9), most * (1.0 + 1e-9));
    let loss = bracketed(
        |loss| {
            let nodes = TwoNodes::new(Network::of(model), loss, loss * model.coefficient.value);
            nodes.after([0.0; 2], time.value)[0] - rise
        },
        low,
        high,
        1e-10 * most,
        60,
    )?;
    Some(ElectricCurrent::new::<ampere>(
        (loss / model.resistance.value).sqrt(),
    ))
}

/// What drives a blocked motor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StallDrive {
    /// Supply voltage V.
    pub voltage: ElectricPotential,
    /// Resistance R_r of bridge and source together.
    pub resistance: ElectricalResistance,
    /// Current limit of the bridge.
    pub current_limit: ElectricCurrent,
}

/// Number of pieces into which the fall of the stall current is cut.
const STALL_PIECES: u8 = 12;

/// Time for which a blocked motor may get full voltage from cold.
///
/// # Formula
/// θ_w(t) = T_max − T_a with the copper loss P(θ_w) = i²·R(θ_w), i = min(I_lim, V/(R(θ_w) + R_r))
///
/// # Arguments
/// * `model` the thermal model
/// * `drive` voltage, resistance and current limit
/// * `limit` T_max \[°C\]
///
/// # Returns
/// The time, or that it is unlimited
///
/// # Validity
/// Standstill, from cold; two lumps; β_a > 0. While the limit holds the current the solution is
/// exact.
/// Beyond, P(θ_w) is replaced on each of twelve pieces of the temperature, finer towards the end,
/// by
/// the straight line through its two Gauss points, on which the solution is exact again; the error
/// falls with the fourth power of the number of pieces: below 5e-7 in the tests, of which one is
/// close to unlimited; 2e-7 in the middle and 2e-6 at most over 400 random designs.
///
/// # Example
/// 6 V, 0.5 Ω before the winding and no current limit: 21.965 s (no published value: the equation
/// integrated by another program, see the tests).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{heat::*, units::{ElectricCurrent, ElectricPotential}};
/// use uom::si::{electric_current::ampere, electric_potential::volt};
/// # use pulsewright_calc::units::{celsius, in_celsius, ElectricalResistance, TemperatureCoefficient,
/// # ThermalResistance, Time};
/// # use uom::si::{electrical_resistance::ohm, temperature_coefficient::per_kelvin, time::second};
/// # let kelvin_per_watt = |value| ThermalResistance { value, ..ThermalResistance::default() };
/// # let model = ThermalModel {
/// #     resistance: ElectricalResistance::new::<ohm>(5.5),
/// #     coefficient: coefficient_at(celsius(25.0)),
/// #     ambient: celsius(25.0),
/// #     winding_to_housing: kelvin_per_watt(15.0),
/// #     housing_to_ambient: kelvin_per_watt(45.0),
/// #     winding_time_constant: Time::new::<second>(12.0),
/// #     housing_time_constant: Time::new::<second>(210.0),
/// # };
/// let drive = StallDrive {
///     voltage: ElectricPotential::new::<volt>(6.0),
///     resistance: ElectricalResistance::new::<ohm>(0.5),
///     current_limit: ElectricCurrent::new::<ampere>(9.0),
/// };
/// let HeatingTime::After(time) = stall_time(&model, &drive, celsius(90.0)) else { panic!() };
/// assert!(agrees(time.value, "21.965"));
/// ```
///
/// # Sources
/// Linear system of two nodes. It is unlimited exactly where P·Rth ≤ θ at the limit or where the
/// current limit ceases: P·Rth − θ has the sign of a concave function on either side.
#[must_use]
pub fn stall_time(
    model: &ThermalModel,
    drive: &StallDrive,
    limit: ThermodynamicTemperature,
) -> HeatingTime {
    let rise = rise_over(limit, model.ambient).value;
    if rise <= 0.0 {
        return HeatingTime::After(Time::default());
    }
    let (cold, coefficient) = (model.resistance.value, model.coefficient.value);
    let resistance = |theta: f64| cold * (1.0 + coefficient * theta);
    let (voltage, rest) = (drive.voltage.value, drive.resistance.value);
    let held = drive.current_limit.value;
    // Rise at which the voltage no longer drives the limit.
    let switch = if held > 0.0 {
        within(
            ((voltage / held - rest) / cold - 1.0) / coefficient,
            0.0,
            rise,
        )
    } else {
        return HeatingTime::Unlimited;
    };
    let loss = |theta: f64| {
        let resistance = resistance(theta);
        let current = held.min(voltage / (resistance + rest));
        current * current * resistance
    };
    let total = model.total().value;
    if [switch, rise]
        .into_iter()
        .any(|theta| loss(theta) * total <= theta)
    {
        return HeatingTime::Unlimited;
    }
    let mut state = [0.0; 2];
    let mut elapsed = 0.0;
    let mut advance = |nodes: TwoNodes, target: f64| {
        let (time, then) = nodes.time_to(state, target)?;
        state = then;
        elapsed += time;
        Some(elapsed)
    };
    let mut reached = advance(TwoNodes::at_current(model, held), switch);
    let network = Network::of(model);
    let span = rise - switch;
    let mut low = switch;
    for index in 1..=STALL_PIECES {
        // Finer towards the end, where the winding warms slowest.
        let left = f64::from(STALL_PIECES - index) / f64::from(STALL_PIECES);
        let high = rise - span * left * left;
        if reached.is_none() || high <= low {
            break;
        }
        let middle = 0.5 * (low + high);
        let offset = 0.5 * (high - low) / 3.0_f64.sqrt();
        let (before, after) = (loss(middle - offset), loss(middle + offset));
        let slope = (after - before) / (2.0 * offset);
        let nodes = TwoNodes::new(network, 0.5 * (before + after) - slope * middle, slope);
        reached = advance(nodes, high);
        low = high;
    }
    reached.map_or(HeatingTime::Unlimited, |time| {
        HeatingTime::After(Time::new::<second>(time))
    })
}

/// Surface temperature of bare metal below which touching it does not burn.
///
/// # Formula
/// Table: 65 °C for 1 s, 55 °C for 10 s, 51 °C for 1 min, 48 °C for 10 min, 43 °C for 8 h and
/// longer
///
/// # Arguments
/// * `touch` how long it is touched
///
/// # Returns
/// The burn threshold, its lower bound where the standard gives a band \[°C\]
///
/// # Validity
/// Bare metal, healthy adult skin; below the threshold touching may still hurt.
///
/// # Example
/// 51 °C for a minute (ISO 13732-1, from memory).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{heat::{touch_limit, Touch}, units::in_celsius};
/// assert!(agrees(in_celsius(touch_limit(Touch::OneMinute)), "51"));
/// ```
///
/// # Sources
/// ISO 13732-1:2006, table 1 and figure 2, from memory.
#[must_use]
pub fn touch_limit(touch: Touch) -> ThermodynamicTemperature {
    celsius(match touch {
        Touch::OneSecond => 65.0,
        Touch::TenSeconds => 55.0,
        Touch::OneMinute => 51.0,
        Touch::TenMinutes => 48.0,
        Touch::EightHours => 43.0,
    })
}

/// Currents between which a load may be held where nothing is said of how.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldingRange {
    /// In balance: neither friction nor the losses of the gears help or hinder.
    pub balanced: ElectricCurrent,
    /// Where a loop that stopped while lifting rests: friction and losses against it.
    pub most: ElectricCurrent,
}

/// Currents between which a loop holds a load that it has stopped with.
///
/// # Formula
/// balanced: [`balanced_current`]; most: T_lift/(N·η·Kt) + I0
///
/// # Arguments
/// * `gearing` N, η, η_back
/// * `torque_constant` Kt \[N·m/A\]
/// * `load` at the gearbox output; lifting is the way that its holding torque resists \[N·m\]
/// * `no_load_current` I0 \[A\]
///
/// # Returns
/// Both currents \[A\]; the most is never below the balanced one
///
/// # Validity
/// Standstill; friction at rest as in motion. A firmware that relaxes holds with less than either:
/// [`relaxed_current`].
///
/// # Errors
/// None where N, η or Kt is not above 0.
///
/// # Example
/// 0.5 N·m held and 0.1 N·m of friction behind 100:1 at 0.6, 10 mN·m/A, 50 mA: 0.5 to 1.05 A (no
/// published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, gears::Gearing, heat::holding_range, units::*};
/// use uom::si::{electric_current::ampere, force::newton, length::meter};
/// use uom::si::{magnetic_flux::weber, torque::newton_meter};
/// let gearing = Gearing {
///     ratio: Ratio::from(100.0),
///     efficiency: Ratio::from(0.6),
///     back_driving_efficiency: Ratio::from(0.5),
/// };
/// let load = axis::given(
///     Torque::new::<newton_meter>(0.5),
///     Force::new::<newton>(1.0),
///     Length::new::<meter>(0.1),
/// );
/// let (kt, idle) = (MotorConstant::new::<weber>(0.01), ElectricCurrent::new::<ampere>(0.05));
/// let range = holding_range(gearing, kt, load, idle).unwrap();
/// assert!(agrees(range.balanced.value, "0.500"));
/// assert!(agrees(range.most.value, "1.050"));
/// ```
///
/// # Sources
/// Torque balance of a gear train at standstill.
#[must_use]
pub fn holding_range(
    gearing: Gearing,
    torque_constant: MotorConstant,
    load: crate::axis::Load,
    no_load_current: ElectricCurrent,
) -> Option<HoldingRange> {
    let driven = gearing.ratio * gearing.efficiency * torque_constant;
    (gearing.ratio.value > 0.0 && driven.value > 0.0).then_some(())?;
    let balanced = balanced_current(gearing.ratio, torque_constant, load.holding_torque)?;
    let lifting = if load.holding_torque.value < 0.0 {
        load.load_torque_return
    } else {
        load.load_torque
    };
    let lifted: ElectricCurrent = lifting / driven;
    Some(HoldingRange {
        balanced,
        most: finite(lifted + no_load_current)?.max(balanced),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::{electric_potential::volt, electrical_resistance::ohm, power::watt};

    use super::*;
    use pulsewright_test_support::agrees;

    /// R_a, R_wh, R_ha, τ_w, τ_h at 25 °C.
    fn model(figures: [f64; 5]) -> ThermalModel {
        let kelvin_per_watt = |value| ThermalResistance {
            value,
            ..ThermalResistance::default()
        };
        ThermalModel {
            resistance: ElectricalResistance::new::<ohm>(figures[0]),
            coefficient: coefficient_at(celsius(25.0)),
            ambient: celsius(25.0),
            winding_to_housing: kelvin_per_watt(figures[1]),
            housing_to_ambient: kelvin_per_watt(figures[2]),
            winding_time_constant: Time::new::<second>(figures[3]),
            housing_time_constant: Time::new::<second>(figures[4]),
        }
    }

    const SMALL: [f64; 5] = [5.5, 15.0, 45.0, 12.0, 210.0];

    fn amperes(value: f64) -> ElectricCurrent {
        ElectricCurrent::new::<ampere>(value)
    }

    fn seconds(time: HeatingTime) -> f64 {
        match time {
            HeatingTime::After(time) => time.value,
            HeatingTime::Unlimited => f64::INFINITY,
        }
    }

    #[track_caller]
    fn close(value: f64, expected: f64, tolerance: f64) {
        assert!(
            (value / expected - 1.0).abs() <= tolerance,
            "{value} is not {expected}"
        );
    }

    /// scipy 1.17.1: `solve_ivp(f, (0, h), [0, 0], rtol=1e-12, atol=1e-12, events=ev)`, f as in
    /// the doc comment of `temperatures_after`, ev at a rise of 65 K; DOP853, Radau for the first.
    #[test]
    fn hold_times_agree_with_an_integrated_equation() {
        let model = model(SMALL);
        for (current, expected) in [
            (0.45, 361.552_816_716_6),
            (0.6, 103.086_183_853_93),
            (1.1, 9.753_880_140_37),
        ] {
            close(
                seconds(hold_time(&model, amperes(current), celsius(90.0))),
                expected,
                1e-8,
            );
        }
        assert_eq!(
            hold_time(&model, amperes(0.35), celsius(90.0)),
            HeatingTime::Unlimited
        );
    }

    /// scipy 1.17.1, the same equation at a fixed time: with an equilibrium and without one.
    #[test]
    fn temperatures_agree_with_an_integrated_equation() {
        let model = model(SMALL);
        for (current, time, winding, housing) in [
            (0.6, 30.0, 34.273_214_21, 7.479_343_34),
            (2.0, 100.0, 33_104.983_401_42, 7_568.308_999_79),
        ] {
            let after =
                temperatures_after(&model, amperes(current), Time::new::<second>(time)).unwrap();
            close(rise_over(after.winding, model.ambient).value, winding, 1e-8);
            close(rise_over(after.housing, model.ambient).value, housing, 1e-8);
        }
        assert_eq!(
            temperatures_after(&model, amperes(50.0), Time::new::<second>(1e6)),
            Err(NoThermalEquilibrium)
        );
    }

    /// scipy 1.17.1, with 0.12 W into the housing: `solve_ivp(f, (0, t), [0, 0], method="DOP853",
    /// rtol=1e-12, atol=1e-12)`.
    #[test]
    fn warming_up_agrees_with_an_integrated_equation() {
        let model = model(SMALL);
        for (current, time, winding, housing) in [
            (0.25, 60.0, 8.476_003_379, 4.057_825_855),
            (0.25, 900.0, 27.436_942_313, 21.773_197_765),
            (0.6, 30.0, 34.726_507_743, 8.133_223_016),
            (0.0, 100.0, 1.638_603_806, 1.820_716_354),
        ] {
            let after = warming_up(
                &model,
                amperes(current),
                Power::new::<watt>(0.12),
                Time::new::<second>(time),
            )
            .unwrap();
            close(rise_over(after.winding, model.ambient).value, winding, 1e-8);
            close(rise_over(after.housing, model.ambient).value, housing, 1e-8);
        }
    }

    /// Each cycle followed piece by piece, exactly, comes to rest about the line of the averaged
    /// losses, and its warmest moment is the one that `cycle_peak_temperature` says.
    #[test]
    fn cycles_one_by_one_go_about_the_averaged_line() {
        let model = model(SMALL);
        let (moving, resting, time, dwell) = (0.5, 0.1, 1.5, 3.5);
        let squares: f64 = (moving * moving * time + resting * resting * dwell) / (time + dwell);
        let current = amperes(squares.sqrt());
        let friction = Power::new::<watt>(0.0);
        let mut state = [0.0; 2];
        let mut elapsed = 0.0;
        while elapsed < 3000.0 {
            let warm = TwoNodes::at_current(&model, moving).after(state, time);
            let cool = TwoNodes::at_current(&model, resting).after(warm, dwell);
            elapsed += time + dwell;
            let line = warming_up(&model, current, friction, Time::new::<second>(elapsed)).unwrap();
            let line = [line.winding, line.housing].map(|t| rise_over(t, model.ambient).value);
            // The line runs between the coolest and the warmest moment of each cycle.
            assert!(
                cool[0] < line[0] + 0.1 && line[0] < warm[0] + 0.1,
                "{elapsed}"
            );
            assert!(
                (cool[1] - line[1]).abs() < 0.2,
                "{elapsed}: {cool:?}, {line:?}"
            );
            if elapsed > 2900.0 {
                let steady = equilibrium(&model, current, friction).unwrap();
                let loss = |current: f64| copper_loss(&model, amperes(current), steady.winding);
                let peak = cycle_peak_temperature(
                    &model,
                    steady.housing,
                    (loss(moving), loss(resting)),
                    (Time::new::<second>(time), Time::new::<second>(dwell)),
                );
                let peak = rise_over(peak, model.ambient).value;
                assert!((warm[0] - peak).abs() < 0.01 * peak, "{warm:?}, {peak}");
            }
            state = cool;
        }
    }

    /// scipy 1.17.1: the same equation with I = min(limit, V/(R + R_r)); the third is close to
    /// unlimited, the fourth is unlimited.
    #[test]
    fn stall_times_agree_with_an_integrated_equation() {
        let model = model(SMALL);
        for (voltage, rest, held, expected) in [
            (6.0, 0.5, 9.0, 21.964_973_185_863),
            (6.0, 0.5, 0.95, 22.092_609_045_816),
            (3.2, 0.5, 9.0, 368.612_622_546_07),
            (12.0, 6.0, 9.0, 14.348_362_538_411),
            (2.92, 0.5, 9.0, f64::INFINITY),
        ] {
            let drive = StallDrive {
                voltage: ElectricPotential::new::<volt>(voltage),
                resistance: ElectricalResistance::new::<ohm>(rest),
                current_limit: amperes(held),
            };
            let time = seconds(stall_time(&model, &drive, celsius(90.0)));
            assert!(
                time == expected || (time / expected - 1.0).abs() < 1e-6,
                "{time} is not {expected}"
            );
        }
    }

    /// One node of 90 min, 30 min on: 25 kW become 46.96 kW (Gupta & Singhal, Fundamentals of
    /// Electric Drives and Control, Ex. 4.11, p. 63). Loss goes with power squared; the second node
    /// is made to vanish.
    #[test]
    fn short_time_rating_of_a_book() {
        let one_node = ThermalModel {
            coefficient: TemperatureCoefficient::default(),
            ..model([1.0, 1.0, 1e-9, 90.0 * 60.0, 1e-3])
        };
        let limit = celsius(65.0);
        let short = greatest_current_for(&one_node, Time::new::<second>(30.0 * 60.0), limit);
        let overload = short.unwrap() / continuous_current(&one_node, limit);
        assert!(agrees(25.0 * overload.value, "46.96"), "{overload:?}");
    }

    /// A maker's data sheet of a 13 mm motor: 1.31 A against 1.337 A, for the sheet also counts
    /// friction and iron loss (3 %).
    #[test]
    fn continuous_current_of_a_data_sheet() {
        let motor = ThermalModel {
            coefficient: TemperatureCoefficient::new::<per_kelvin>(0.0039),
            ..model([1.4, 2.46, 32.0, 1.0, 100.0])
        };
        close(continuous_current(&motor, celsius(155.0)).value, 1.31, 0.03);
    }

    /// Where holding takes more than moving the winding is warmest at the end of the dwell: the
    /// same cycle read the other way round.
    #[test]
    fn a_cycle_peaks_at_the_end_of_its_warmer_half() {
        let model = model(SMALL);
        let (watts, seconds) = (Power::new::<watt>, Time::new::<second>);
        let peak = |losses, times| cycle_peak_temperature(&model, celsius(40.0), losses, times);
        let dwelling = peak((watts(0.2), watts(1.5)), (seconds(3.0), seconds(8.0)));
        let moving = peak((watts(1.5), watts(0.2)), (seconds(8.0), seconds(3.0)));
        assert_eq!(dwelling, moving);
        assert!(dwelling > celsius(40.0 + 15.0 * (0.2 * 3.0 + 1.5 * 8.0) / 11.0));
    }

    fn any_model() -> impl Strategy<Value = ThermalModel> {
        (
            0.5..50.0_f64,
            0.5..60.0_f64,
            1.0..100.0_f64,
            0.2..100.0_f64,
            1.1..500.0_f64,
        )
            .prop_map(|(r, inner, outer, fast, factor)| {
                model([r, inner, outer, fast, fast * factor])
            })
    }

    proptest! {
        #[test]
        fn more_current_is_never_held_longer(
            model in any_model(), factor in 0.5..30.0_f64, more in 1.0..2.0_f64,
        ) {
            let limit = celsius(90.0);
            let current = continuous_current(&model, limit) * factor;
            let (long, short) = (
                seconds(hold_time(&model, current, limit)),
                seconds(hold_time(&model, current * more, limit)),
            );
            prop_assert!(short <= long * (1.0 + 1e-9), "{short} {long}");
            prop_assert_eq!(long.is_infinite(), factor <= 1.0);
        }

        #[test]
        fn a_cycle_is_at_its_limit_after_its_time(
            model in any_model(), factor in 0.3..10.0_f64, friction in 0.0..3.0_f64,
        ) {
            let limit = celsius(90.0);
            let current = continuous_current(&model, limit) * factor;
            let friction = Power::new::<watt>(friction);
            match cycling_time(&model, current, friction, limit) {
                HeatingTime::After(time) => {
                    let reached = warming_up(&model, current, friction, time).unwrap();
                    prop_assert!((in_celsius(reached.winding) - 90.0).abs() < 1e-6);
                }
                HeatingTime::Unlimited => {
                    let steady = equilibrium(&model, current, friction).unwrap();
                    prop_assert!(steady.winding <= limit);
                }
            }
        }

        #[test]
        fn greatest_current_is_the_inverse_of_hold_time(
            model in any_model(), time in 0.01..1e4_f64,
        ) {
            let limit = celsius(90.0);
            let wanted = Time::new::<second>(time);
            let current = greatest_current_for(&model, wanted, limit).unwrap();
            let reached = temperatures_after(&model, current, wanted).unwrap();
            prop_assert!((in_celsius(reached.winding) - 90.0).abs() < 1e-6);
        }

        #[test]
        fn stall_at_a_low_limit_is_a_hold(model in any_model(), factor in 1.01..20.0_f64) {
            let limit = celsius(90.0);
            let current = continuous_current(&model, limit) * factor;
            let drive = StallDrive {
                voltage: current * model.resistance * 3.0,
                resistance: ElectricalResistance::default(),
                current_limit: current,
            };
            let (stall, hold) = (
                seconds(stall_time(&model, &drive, limit)),
                seconds(hold_time(&model, current, limit)),
            );
            prop_assert!((stall / hold - 1.0).abs() < 1e-9);
        }

        #[test]
        fn held_power_times_resistance_is_the_rise(model in any_model(), factor in 0.0..1.0_f64) {
            let current = continuous_current(&model, celsius(90.0)) * factor;
            let steady = equilibrium(&model, current, Power::new::<watt>(0.0)).unwrap();
            let rise = hold_power(&model, current).unwrap() * model.total();
            let expected = rise_over(steady.winding, model.ambient);
            prop_assert!((rise.value - expected.value).abs() <= 1e-9 * (1.0 + expected.value));
            let late = temperatures_after(
                &model, current, model.housing_time_constant * 1000.0).unwrap();
            prop_assert!(((late.winding - expected).value - model.ambient.value).abs() < 1e-3);
        }
    }

    proptest! {
        /// The range is the same for a load that pulls the other way, and relaxing lies below it.
        #[test]
        fn holding_range_is_symmetric(
            held in 0.0..2.0_f64, drag in 0.0..1.0_f64, eta in 0.3..1.0_f64, idle in 0.0..0.2_f64,
        ) {
            let gearing = Gearing {
                ratio: Ratio::from(100.0),
                efficiency: Ratio::from(eta),
                back_driving_efficiency: Ratio::from(2.0 - 1.0 / eta),
            };
            let (kt, idle) = (
                MotorConstant::new::<uom::si::magnetic_flux::weber>(0.01),
                ElectricCurrent::new::<ampere>(idle),
            );
            let load = |held: f64| crate::axis::given(
                Torque::new::<uom::si::torque::newton_meter>(held),
                uom::si::f64::Force::new::<uom::si::force::newton>(drag),
                uom::si::f64::Length::new::<uom::si::length::meter>(1.0),
            );
            let range = holding_range(gearing, kt, load(held), idle).unwrap();
            let other = holding_range(gearing, kt, load(-held), idle).unwrap();
            prop_assert_eq!(range.balanced, other.balanced);
            prop_assert!((range.most - other.most).value.abs() < 1e-12);
            prop_assert!(range.balanced <= range.most);
            let friction = load(held).friction_torque();
            let least = relaxed_current(gearing, kt, load(held).holding_torque, friction, idle).unwrap();
            prop_assert!(least <= range.balanced + ElectricCurrent::new::<ampere>(1e-12));
        }
    }
}
