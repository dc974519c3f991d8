//! The supply: what it must give, how far it sags, and how far a braking motor pumps it up.

use core::{error, fmt};

use uom::si::capacitance::farad;

#[cfg(not(any(test, feature = "std")))]
use crate::float::SquareRoot as _;
use crate::units::{
    AngularVelocity, Capacitance, ElectricCharge, ElectricCurrent, ElectricPotential,
    ElectricalResistance, Energy, MomentOfInertia, Power, Ratio, Time,
};

/// More power is asked for than the source can give at any current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct SupplyOverloaded {
    /// Power asked for.
    pub demanded: Power,
    /// Greatest power of the source, V²/(4·R_s).
    pub available: Power,
}

impl fmt::Display for SupplyOverloaded {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("supply overloaded")
    }
}

impl error::Error for SupplyOverloaded {}

/// The actuators on one supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fleet {
    /// How many there are.
    pub actuators: u32,
    /// How many may move at the same moment, ≤ `actuators`.
    pub moving_together: u32,
}

/// Hold-up that bridges the first moment of a reversal or load step.
pub const HOLD_UP_SECONDS: f64 = 1e-3;

/// Current that a power draws through the resistance of the source.
///
/// # Formula
/// I = (V − √(V² − 4·R_s·p))/(2·R_s) = 2·p/(V + √(V² − 4·R_s·p)); 0 for p ≤ 0
///
/// # Arguments
/// * `power` p behind the resistance \[W\]
/// * `voltage` V, open circuit \[V\]
/// * `source_resistance` R_s of source and wires \[Ω\]
///
/// # Returns
/// I, the lesser of the two that give this power \[A\]
///
/// # Validity
/// V > 0; the second form also holds for R_s = 0.
///
/// # Errors
/// [`SupplyOverloaded`] where V² < 4·R_s·p.
///
/// # Example
/// 100 W at 40 V through 1.03 Ω: the motor of constant 0.22 V·s/rad runs at 169.2 rad/s
/// (Fitzgerald, Kingsley & Umans, Electric Machinery, Ex. 11.5, p. 573), so that 2.686 A flow.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::supply::motor_current;
/// use pulsewright_calc::units::{ElectricPotential, ElectricalResistance, Power};
/// use uom::si::{electric_potential::volt, electrical_resistance::ohm, power::watt};
/// let (voltage, r) = (ElectricPotential::new::<volt>(40.0),
/// ElectricalResistance::new::<ohm>(1.03));
/// let current = motor_current(Power::new::<watt>(100.0), voltage, r)?;
/// assert!(agrees((voltage - current * r).value / 0.22, "169.2"));
/// assert!(motor_current(Power::new::<watt>(400.0), voltage, r).is_err());
/// # Ok::<(), pulsewright_calc::supply::SupplyOverloaded>(())
/// ```
///
/// # Sources
/// Power balance of a source with a resistance.
pub fn motor_current(
    power: Power,
    voltage: ElectricPotential,
    source_resistance: ElectricalResistance,
) -> Result<ElectricCurrent, SupplyOverloaded> {
    if power <= Power::default() {
        return Ok(ElectricCurrent::default());
    }
    let squared = voltage * voltage;
    let radicand = squared - power * source_resistance * 4.0;
    // A hair for binary rounding: a matched load draws just what there is.
    if radicand < -1e-12 * squared {
        return Err(SupplyOverloaded {
            demanded: power,
            available: squared / source_resistance / 4.0,
        });
    }
    let root = if radicand.value > 0.0 {
        radicand.sqrt()
    } else {
        ElectricPotential::default()
    };
    Ok(power * 2.0 / (voltage + root))
}

impl Fleet {
    fn moving(self) -> f64 {
        f64::from(self.moving_together.min(self.actuators))
    }

    fn all(self) -> f64 {
        f64::from(self.actuators)
    }

    /// Current of the supply while some actuators draw one current and the rest hold.
    ///
    /// # Formula
    /// I = n_m·I_m + (n − n_m)·I_h + n·I_b
    ///
    /// # Arguments
    /// * `moving` I_m of each that moves: the greatest of the move, or
    ///   min(current limit, V/R_total) for a jam \[A\]
    /// * `holding` I_h of each that holds \[A\]
    /// * `board` I_b, regulator input and bridge of each \[A\]
    ///
    /// # Returns
    /// I \[A\]
    ///
    /// # Validity
    /// The peaks of those that move together coincide.
    ///
    /// # Example
    /// 2 of 3 at 1 A, one at 0.2 A, boards 0.01 A: 2.23 A (no published value: identity).
    /// ```
    /// # use pulsewright_test_support::agrees;
    /// use pulsewright_calc::{supply::Fleet, units::ElectricCurrent};
    /// use uom::si::electric_current::ampere;
    /// let amperes = ElectricCurrent::new::<ampere>;
    /// let fleet = Fleet { actuators: 3, moving_together: 2 };
    /// let current = fleet.worst_current(amperes(1.0), amperes(0.2), amperes(0.01));
    /// assert!(agrees(current.value, "2.23"));
    /// ```
    ///
    /// # Sources
    /// Kirchhoff's current law.
    #[must_use]
    pub fn worst_current(
        self,
        moving: ElectricCurrent,
        holding: ElectricCurrent,
        board: ElectricCurrent,
    ) -> ElectricCurrent {
        moving * self.moving() + holding * (self.all() - self.moving()) + board * self.all()
    }

    /// Mean current of the supply.
    ///
    /// # Formula
    /// I = n·(P·D/V + I_b)
    ///
    /// # Arguments
    /// * `mean_power` P of one motor over its cycle, returned power not counted \[W\]
    /// * `duty` D, share of time in such cycles \[1\]
    /// * `voltage` V \[V\]
    /// * `board` I_b, regulator input and bridge of each \[A\]
    ///
    /// # Returns
    /// I \[A\]
    ///
    /// # Validity
    /// V > 0; the sag of the source is left out.
    ///
    /// # Example
    /// 2 × (6 W × 0.5 at 12 V + 0.05 A): 0.6 A (no published value: identity).
    /// ```
    /// # use pulsewright_test_support::agrees;
    /// use pulsewright_calc::supply::Fleet;
    /// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential, Power, Ratio};
    /// use uom::si::{electric_current::ampere, electric_potential::volt, power::watt};
    /// let fleet = Fleet { actuators: 2, moving_together: 1 };
    /// let current = fleet.average_current(
    ///     Power::new::<watt>(6.0),
    ///     Ratio::from(0.5),
    ///     ElectricPotential::new::<volt>(12.0),
    ///     ElectricCurrent::new::<ampere>(0.05),
    /// );
    /// assert!(agrees(current.value, "0.60"));
    /// ```
    ///
    /// # Sources
    /// Definition of the mean.
    #[must_use]
    pub fn average_current(
        self,
        mean_power: Power,
        duty: Ratio,
        voltage: ElectricPotential,
        board: ElectricCurrent,
    ) -> ElectricCurrent {
        (mean_power * duty / voltage + board) * self.all()
    }

    /// Power that the boards consume, as the share of one moving motor.
    ///
    /// # Formula
    /// P_b = n·V·I_b/n_m
    ///
    /// # Arguments
    /// * `voltage` V \[V\]
    /// * `board` I_b, regulator input and bridge of each \[A\]
    ///
    /// # Returns
    /// P_b \[W\]; nothing where no motor moves
    ///
    /// # Validity
    /// All motors that move brake at once.
    ///
    /// # Example
    /// 3 × 12 V × 10 mA for 2 motors: 0.18 W (no published value: identity).
    /// ```
    /// # use pulsewright_test_support::agrees;
    /// use pulsewright_calc::supply::Fleet;
    /// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential};
    /// use uom::si::{electric_current::ampere, electric_potential::volt};
    /// let fleet = Fleet { actuators: 3, moving_together: 2 };
    /// let voltage = ElectricPotential::new::<volt>(12.0);
    /// let own = fleet.own_draw(voltage, ElectricCurrent::new::<ampere>(0.01));
    /// assert!(own.is_some_and(|power| agrees(power.value, "0.18")));
    /// ```
    ///
    /// # Sources
    /// Definition of power.
    #[must_use]
    pub fn own_draw(self, voltage: ElectricPotential, board: ElectricCurrent) -> Option<Power> {
        (self.moving() > 0.0).then(|| voltage * board * self.all() / self.moving())
    }

    /// Energy of one motor times those that move together.
    ///
    /// # Formula
    /// E = n_m·e
    ///
    /// # Arguments
    /// * `each` e of one, returned over its cycle or stored in its motion \[J\]
    ///
    /// # Returns
    /// E \[J\]
    ///
    /// # Validity
    /// All brake at once.
    ///
    /// # Example
    /// ```
    /// use pulsewright_calc::{supply::Fleet, units::Energy};
    /// use uom::si::energy::joule;
    /// let fleet = Fleet { actuators: 3, moving_together: 2 };
    /// assert_eq!(fleet.energy_together(Energy::new::<joule>(0.5)), Energy::new::<joule>(1.0));
    /// ```
    ///
    /// # Sources
    /// Sum of energies.
    #[must_use]
    pub fn energy_together(self, each: Energy) -> Energy {
        each * self.moving()
    }
}

/// Current of a blocked motor.
///
/// # Formula
/// min(I_lim, V/R_total)
///
/// # Arguments
/// * `current_limit` I_lim of the bridge \[A\]
/// * `voltage` V \[V\]
/// * `resistance` R_total of winding, bridge and source \[Ω\]
///
/// # Returns
/// The current \[A\]
///
/// # Validity
/// R_total > 0. A position loop asks for full voltage after any jam.
///
/// # Example
/// 6 V over 4.2 Ω: 1.4286 A (Kothari & Nagrath, Electric Machines, Ex. 7.63, p. 231).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::supply::blocked_current;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential, ElectricalResistance};
/// use uom::si::{electric_current::ampere, electric_potential::volt, electrical_resistance::ohm};
/// let current = blocked_current(
///     ElectricCurrent::new::<ampere>(2.0),
///     ElectricPotential::new::<volt>(6.0),
///     ElectricalResistance::new::<ohm>(4.2),
/// );
/// assert!(agrees(current.value, "1.4286"));
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn blocked_current(
    current_limit: ElectricCurrent,
    voltage: ElectricPotential,
    resistance: ElectricalResistance,
) -> ElectricCurrent {
    current_limit.min(voltage / resistance)
}

/// Voltage that is left behind the source and its wires.
///
/// # Formula
/// V − I·R_s; with wires of their own V − I·R_source − I_own·R_wire
///
/// # Arguments
/// * `voltage` V, open circuit \[V\]
/// * `drops` each current and the resistance that it flows through \[A, Ω\]
///
/// # Returns
/// The voltage, below zero where the current is impossible, zero where the drops are the whole of it but
/// for rounding (10⁻¹² of it) \[V\]
///
/// # Validity
/// Direct current.
///
/// # Example
/// 1.5 A through 0.5 m there and back of 0.1339 Ω/m drop 0.2008 V.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::supply::voltage_behind;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential, ElectricalResistance};
/// use uom::si::{electric_current::ampere, electric_potential::volt, electrical_resistance::ohm};
/// let open = ElectricPotential::new::<volt>(6.0);
/// let wire = ElectricalResistance::new::<ohm>(0.133_89);
/// let left = voltage_behind(open, &[(ElectricCurrent::new::<ampere>(1.5), wire)]);
/// assert!(agrees((open - left).value, "0.2008"));
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn voltage_behind(
    voltage: ElectricPotential,
    drops: &[(ElectricCurrent, ElectricalResistance)],
) -> ElectricPotential {
    let left = drops.iter().fold(voltage, |left, &(current, resistance)| {
        left - current * resistance
    });
    if left.abs() <= voltage.abs() * 1e-12 {
        return ElectricPotential::default();
    }
    left
}

/// Voltage between the deepest sag and the reset of the processor.
///
/// # Formula
/// min(V_worst, V_jam) − (V_reset + V_dropout)
///
/// # Arguments
/// * `at_worst` V_worst, in the worst moment of moving \[V\]
/// * `at_jam` V_jam, blocked \[V\]
/// * `reset_voltage` V_reset \[V\]
/// * `dropout` V_dropout of the regulator \[V\]
///
/// # Returns
/// The margin; below zero the processor resets and the position is lost \[V\]
///
/// # Validity
/// Steady sag; the first millisecond is the capacitor's.
///
/// # Example
/// 5.2 and 4.4 V over 3.3 + 0.3 V: 0.8 V (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{supply::brown_out_margin, units::ElectricPotential};
/// use uom::si::electric_potential::volt;
/// let volts = ElectricPotential::new::<volt>;
/// let margin = brown_out_margin(volts(5.2), volts(4.4), volts(3.3), volts(0.3));
/// assert!(agrees(margin.value, "0.80"));
/// ```
///
/// # Sources
/// Definition of dropout.
#[must_use]
pub fn brown_out_margin(
    at_worst: ElectricPotential,
    at_jam: ElectricPotential,
    reset_voltage: ElectricPotential,
    dropout: ElectricPotential,
) -> ElectricPotential {
    at_worst.min(at_jam) - (reset_voltage + dropout)
}

/// Energy of motion of one actuator.
///
/// # Formula
/// E = ½·(J_r·N² + J_L)·ω²
///
/// # Arguments
/// * `rotor_inertia` J_r \[kg·m²\]
/// * `ratio` N \[1\]
/// * `load_inertia` J_L \[kg·m²\]
/// * `speed` ω of the output \[rad/s\]
///
/// # Returns
/// E \[J\]
///
/// # Validity
/// Rigid train.
///
/// # Example
/// J_r = 10⁻⁶ kg·m² through 10:1 and 10⁻⁴ kg·m² at 100 rad/s: 1 J (no published value: identity).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::supply::stop_energy;
/// use pulsewright_calc::units::{AngularVelocity, MomentOfInertia, Ratio};
/// use uom::si::{angular_velocity::radian_per_second, moment_of_inertia::kilogram_square_meter};
/// let inertia = MomentOfInertia::new::<kilogram_square_meter>;
/// let speed = AngularVelocity::new::<radian_per_second>(100.0);
/// let energy = stop_energy(inertia(1e-6), Ratio::from(10.0), inertia(1e-4), speed);
/// assert!(agrees(energy.value, "1.00"));
/// ```
///
/// # Sources
/// Kinetic energy of rotation.
#[must_use]
pub fn stop_energy(
    rotor_inertia: MomentOfInertia,
    ratio: Ratio,
    load_inertia: MomentOfInertia,
    speed: AngularVelocity,
) -> Energy {
    let squared: uom::si::f64::Frequency = speed.into();
    (rotor_inertia * ratio * ratio + load_inertia) * squared * squared * 0.5
}

/// Voltage to which energy pumps the rail up.
///
/// # Formula
/// √(V² + 2·E/C)
///
/// # Arguments
/// * `voltage` V before \[V\]
/// * `energy` E that goes into the capacitor \[J\]
/// * `capacitance` C of the rail \[F\]
///
/// # Returns
/// The voltage \[V\]
///
/// # Validity
/// C > 0, E ≥ 0; the source takes nothing back.
///
/// # Example
/// ½·1 mH·(1 A)² into 100 µF at 12 V: 12.410 V.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::supply::regenerated_voltage;
/// use pulsewright_calc::units::{Capacitance, ElectricPotential, Energy};
/// use uom::si::{capacitance::microfarad, electric_potential::volt, energy::millijoule};
/// let voltage = regenerated_voltage(
///     ElectricPotential::new::<volt>(12.0),
///     Energy::new::<millijoule>(0.5),
///     Capacitance::new::<microfarad>(100.0),
/// );
/// assert!(agrees(voltage.value, "12.410"));
/// ```
///
/// # Sources
/// Energy of a capacitor.
#[must_use]
pub fn regenerated_voltage(
    voltage: ElectricPotential,
    energy: Energy,
    capacitance: Capacitance,
) -> ElectricPotential {
    (voltage * voltage + energy * 2.0 / capacitance).sqrt()
}

/// Capacitance that takes returned energy without passing a voltage.
///
/// # Formula
/// C = 2·E/(V_max² − V²)
///
/// # Arguments
/// * `energy` E \[J\]
/// * `max_voltage` V_max that bridge and regulator survive \[V\]
/// * `voltage` V before \[V\]
///
/// # Returns
/// C \[F\]; nothing where V_max ≤ V and energy returns
///
/// # Validity
/// E ≥ 0; zero energy needs no capacitor.
///
/// # Example
/// The inverse of [`regenerated_voltage`]: 0.5 mJ from 12 to 12.4097 V, 100 µF.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::supply::capacitance_for_energy;
/// use pulsewright_calc::units::{ElectricPotential, Energy};
/// use uom::si::{electric_potential::volt, energy::millijoule};
/// let volts = ElectricPotential::new::<volt>;
/// let c = capacitance_for_energy(Energy::new::<millijoule>(0.5), volts(12.4097), volts(12.0));
/// assert!(c.is_some_and(|c| agrees(c.value * 1e6, "100.0")));
/// ```
///
/// # Sources
/// Energy of a capacitor.
#[must_use]
pub fn capacitance_for_energy(
    energy: Energy,
    max_voltage: ElectricPotential,
    voltage: ElectricPotential,
) -> Option<Capacitance> {
    if energy <= Energy::default() {
        return Some(Capacitance::new::<farad>(0.0));
    }
    (max_voltage > voltage).then(|| energy * 2.0 / (max_voltage * max_voltage - voltage * voltage))
}

/// Capacitance that holds the rail up over a load step.
///
/// # Formula
/// C = ΔI·T/ΔV
///
/// # Arguments
/// * `current_step` ΔI that the source does not yet give: for a reversal the reversal current, for
///   a start the blocked current \[A\]
/// * `duration` T until the source follows; [`HOLD_UP_SECONDS`] \[s\]
/// * `allowed_drop` ΔV = V − (reset voltage + dropout of the regulator) \[V\]
///
/// # Returns
/// C \[F\]; nothing where no drop is allowed
///
/// # Validity
/// The step is constant for T and comes from the capacitor alone.
///
/// # Example
/// 0.2 A for 50 µs within 0.1 V: 100 µF (TI SLVAFT0).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::supply::hold_up_capacitance;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential, Time};
/// use uom::si::{electric_current::ampere, electric_potential::volt, time::microsecond};
/// let c = hold_up_capacitance(
///     ElectricCurrent::new::<ampere>(0.2),
///     Time::new::<microsecond>(50.0),
///     ElectricPotential::new::<volt>(0.1),
/// );
/// assert!(c.is_some_and(|c| agrees(c.value * 1e6, "100")));
/// ```
///
/// # Sources
/// TI SLVAFT0 (2024).
#[must_use]
pub fn hold_up_capacitance(
    current_step: ElectricCurrent,
    duration: Time,
    allowed_drop: ElectricPotential,
) -> Option<Capacitance> {
    (allowed_drop > ElectricPotential::default())
        .then(|| current_step.max(ElectricCurrent::default()) * duration / allowed_drop)
}

/// Run time of a battery.
///
/// # Formula
/// t = H·(C/(I·H))^k
///
/// # Arguments
/// * `rated_time` H, the hours that the capacity is stated for \[s\]
/// * `capacity` C \[A·s\]
/// * `current` I, the mean \[A\]
/// * `exponent` k of Peukert \[1\]
///
/// # Returns
/// t \[s\]; nothing for I ≤ 0
///
/// # Validity
/// Currents near the rated one.
///
/// # Example
/// 100 A·h, k 1.2, 5 A: 20.0 h where the capacity is that of 20 h; 14.5 h in the 1 A-reference form
/// t = C/I^k (electrotechnik.net, Peukert's law), which is this form at H = C/(1 A).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::supply::run_time;
/// use pulsewright_calc::units::{ElectricCharge, ElectricCurrent, Ratio, Time};
/// use uom::si::{electric_charge::ampere_hour, electric_current::ampere, time::hour};
/// let run = |hours: f64, charge: f64| run_time(
///     Time::new::<hour>(hours),
///     ElectricCharge::new::<ampere_hour>(charge),
///     ElectricCurrent::new::<ampere>(5.0),
///     Ratio::from(1.2),
/// );
/// assert!(run(20.0, 100.0).is_some_and(|time| agrees(time.value / 3600.0, "20.0")));
/// assert!(run(100.0, 100.0).is_some_and(|time| agrees(time.value / 3600.0, "14.5")));
/// ```
///
/// # Sources
/// Peukert's law in its rated-hour form.
#[must_use]
pub fn run_time(
    rated_time: Time,
    capacity: ElectricCharge,
    current: ElectricCurrent,
    exponent: Ratio,
) -> Option<Time> {
    if current <= ElectricCurrent::default() || rated_time <= Time::default() {
        return None;
    }
    let share: Ratio = capacity / (current * rated_time);
    let time = rated_time * libm::pow(share.value, exponent.value);
    time.value.is_finite().then_some(time)
}

/// What a current limit of a bridge does when it is reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitKind {
    /// It chops: the current stays at the limit.
    Limits,
    /// It trips: the bridge lets go, and comes back by itself or on command.
    ShutsDown,
    /// It is only a rating: nothing limits, and more than it harms.
    None,
}

/// What limits the current of a blocked motor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BlockedBy {
    /// Winding, bridge and source.
    Resistance,
    /// The firmware's current limit.
    Loop,
    /// The bridge's current limit, at which it chops or trips.
    Bridge,
}

/// The path of a blocked motor's current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BlockedPath {
    /// Highest voltage V of the supply.
    pub voltage: ElectricPotential,
    /// Greatest share D of it that the firmware gives the motor.
    pub voltage_limit: Ratio,
    /// Cold resistance R_total of winding, bridge and source.
    pub resistance: ElectricalResistance,
    /// Current limit of the firmware, where it has one.
    pub loop_limit: Option<ElectricCurrent>,
    /// Current limit of the bridge.
    pub bridge_limit: ElectricCurrent,
    /// What the bridge does at it.
    pub limit_kind: LimitKind,
}

/// The current of a blocked motor and what limits it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blocked {
    /// The current.
    pub current: ElectricCurrent,
    /// What limits it.
    pub limited_by: BlockedBy,
}

/// Current that a start or a jam asks for.
///
/// # Formula
/// least of D·V/R_total, I_loop, and I_bridge where the bridge chops or trips
///
/// # Arguments
/// * `path` V \[V\], D \[1\], R_total \[Ω\], I_loop, I_bridge \[A\]
///
/// # Returns
/// The current \[A\] and what limits it; none where R_total is not above 0
///
/// # Validity
/// Cold, after a few electrical time constants. Exact at D = 1; below, the source carries D times
/// the current only, and R_total is winding and bridge plus D²·R_s. A bridge that trips lets go at
/// its limit.
///
/// # Example
/// 12.6 V over 5.45 Ω: 2.31193 A (SciPy 1.17.1, see the tests), whatever the bridge is rated for,
/// and 1.5 A where it chops there.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::supply::*;
/// use pulsewright_calc::units::{ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio};
/// use uom::si::{electric_current::ampere, electric_potential::volt, electrical_resistance::ohm};
/// let blocked = |limit_kind| limited_blocked_current(&BlockedPath {
///     voltage: ElectricPotential::new::<volt>(12.6),
///     voltage_limit: Ratio::from(1.0),
///     resistance: ElectricalResistance::new::<ohm>(5.45),
///     loop_limit: None,
///     bridge_limit: ElectricCurrent::new::<ampere>(1.5),
///     limit_kind,
/// }).unwrap();
/// assert!(agrees(blocked(LimitKind::None).current.value, "2.31193"));
/// assert!(agrees(blocked(LimitKind::Limits).current.value, "1.50000"));
/// assert_eq!(blocked(LimitKind::Limits).limited_by, BlockedBy::Bridge);
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn limited_blocked_current(path: &BlockedPath) -> Option<Blocked> {
    let by_resistance = path.voltage_limit * path.voltage / path.resistance;
    (path.resistance.value > 0.0 && by_resistance.value.is_finite()).then_some(())?;
    let mut least = Blocked {
        current: by_resistance,
        limited_by: BlockedBy::Resistance,
    };
    let bridge = (path.limit_kind != LimitKind::None).then_some(path.bridge_limit);
    for (limit, limited_by) in [
        (path.loop_limit, BlockedBy::Loop),
        (bridge, BlockedBy::Bridge),
    ] {
        if let Some(current) = limit.filter(|limit| *limit < least.current) {
            least = Blocked {
                current,
                limited_by,
            };
        }
    }
    Some(least)
}

/// What is left of a supply once others have drawn from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shared {
    /// Voltage that is left.
    pub voltage: ElectricPotential,
    /// Current that the others can draw: no more than the short-circuit current.
    pub others: ElectricCurrent,
}

/// Voltage that other actuators leave for this one on one supply and one wire.
///
/// # Formula
/// I = min(I_others, V/R_s), V_left = V − R_s·I
///
/// # Arguments
/// * `voltage` V, open circuit \[V\]
/// * `source_resistance` R_s of the source and of the wire that all share \[Ω\]
/// * `others` I_others, their worst current together; below 0 counts as 0 \[A\]
///
/// # Returns
/// V_left ≥ 0 \[V\], and I: a current that cannot flow does not \[A\]
///
/// # Validity
/// Steady. What the others draw is taken as it is, not less for the lower voltage.
///
/// # Example
/// 3 A of others through 0.25 Ω leave 5.25 V of 6 V; 30 A cannot flow (no published value:
/// identity).
/// ```
/// use pulsewright_calc::{supply::shared_voltage, units::*};
/// use uom::si::{electric_current::ampere, electric_potential::volt, electrical_resistance::ohm};
/// let left = |amperes| shared_voltage(
///     ElectricPotential::new::<volt>(6.0),
///     ElectricalResistance::new::<ohm>(0.25),
///     ElectricCurrent::new::<ampere>(amperes),
/// );
/// assert_eq!((left(3.0).voltage.value, left(3.0).others.value), (5.25, 3.0));
/// assert_eq!((left(30.0).voltage.value, left(30.0).others.value), (0.0, 24.0));
/// ```
///
/// # Sources
/// Ohm's law.
#[must_use]
pub fn shared_voltage(
    voltage: ElectricPotential,
    source_resistance: ElectricalResistance,
    others: ElectricCurrent,
) -> Shared {
    let asked = others.max(ElectricCurrent::default());
    let sag = asked * source_resistance;
    if sag > voltage {
        Shared {
            voltage: ElectricPotential::default(),
            others: voltage.max(ElectricPotential::default()) / source_resistance,
        }
    } else {
        Shared {
            voltage: voltage - sag,
            others: asked,
        }
    }
}

/// Run time of a battery, never more than its charge allows.
///
/// # Formula
/// I ≤ C/H: t = C/I; above: t = H·(C/(I·H))^k, not above C/I
///
/// # Arguments
/// * `rated_time` H, the hours that the capacity is stated for \[s\]
/// * `capacity` C \[A·s\]
/// * `current` I, the mean \[A\]
/// * `exponent` k of Peukert \[1\]
///
/// # Returns
/// t \[s\]; nothing for I ≤ 0 or H ≤ 0
///
/// # Validity
/// Self-discharge left out. Peukert's law is an observation of currents above the rated one; below,
/// it would give more charge than there is.
///
/// # Example
/// 100 A·h, k 1.2: at 5 A 14.5 h where it is rated at 1 A (electrotechnik.net, Peukert's law), and
/// 40 h at 2.5 A where it is rated for 20 h.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::supply::lasting_run_time;
/// use pulsewright_calc::units::{ElectricCharge, ElectricCurrent, Ratio, Time};
/// use uom::si::{electric_charge::ampere_hour, electric_current::ampere, time::hour};
/// let run = |hours: f64, amperes: f64| lasting_run_time(
///     Time::new::<hour>(hours),
///     ElectricCharge::new::<ampere_hour>(100.0),
///     ElectricCurrent::new::<ampere>(amperes),
///     Ratio::from(1.2),
/// ).unwrap().get::<hour>();
/// assert!(agrees(run(100.0, 5.0), "14.5"));
/// assert!(agrees(run(20.0, 2.5), "40.0"));
/// ```
///
/// # Sources
/// Peukert's law in its rated-hour form; conservation of charge.
#[must_use]
pub fn lasting_run_time(
    rated_time: Time,
    capacity: ElectricCharge,
    current: ElectricCurrent,
    exponent: Ratio,
) -> Option<Time> {
    let by_law = run_time(rated_time, capacity, current, exponent)?;
    let by_charge: Time = capacity / current;
    if current * rated_time <= capacity {
        by_charge.value.is_finite().then_some(by_charge)
    } else {
        Some(by_law.min(by_charge))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::{electric_potential::volt, electrical_resistance::ohm, power::watt};

    use super::*;

    proptest! {
        /// What a blocked circuit draws leaves nothing, whatever the order of rounding.
        #[test]
        fn a_short_circuit_leaves_no_voltage(v in 1.0_f64..60.0, parts in prop::collection::vec(1e-3_f64..10.0, 2..5)) {
            let voltage = ElectricPotential::new::<volt>(v);
            let resistances: Vec<_> = parts.iter().map(|&r| ElectricalResistance::new::<ohm>(r)).collect();
            let total: ElectricalResistance = resistances.iter().copied().sum();
            let drops: Vec<_> = resistances.iter().map(|&r| (voltage / total, r)).collect();
            prop_assert_eq!(voltage_behind(voltage, &drops).value, 0.0);
        }

        /// What the source gives is the power and its own loss.
        #[test]
        fn source_balances(
            power in -5.0..40.0_f64, volts in 1.0..60.0_f64, r in 0.0..2.0_f64,
        ) {
            let (voltage, resistance) = (
                ElectricPotential::new::<volt>(volts),
                ElectricalResistance::new::<ohm>(r),
            );
            match motor_current(Power::new::<watt>(power), voltage, resistance) {
                Ok(current) => {
                    let left = voltage_behind(voltage, &[(current, resistance)]);
                    prop_assert!((left * current).value - power.max(0.0) < 1e-9 * (1.0 + power.abs()));
                    prop_assert!((left * current).value - power.max(0.0) > -1e-9 * (1.0 + power.abs()));
                    prop_assert!(left >= voltage * 0.499);
                }
                Err(error) => prop_assert!(error.demanded > error.available),
            }
        }

        /// A resistor equal to that of the source takes all that the source can give.
        #[test]
        fn matched_load_is_served(volts in 0.5..60.0_f64, r in 0.001..100.0_f64) {
            let voltage = ElectricPotential::new::<volt>(volts);
            let resistance = ElectricalResistance::new::<ohm>(r);
            let current = voltage / (resistance * 2.0);
            let drawn = motor_current(current * current * resistance, voltage, resistance).unwrap();
            prop_assert!((drawn / current - Ratio::from(1.0)).value.abs() < 1e-5);
        }

        /// The capacitance that is asked for just reaches the voltage that is allowed.
        #[test]
        fn capacitance_is_the_inverse_of_pumping(
            joules in 1e-6..10.0_f64, volts in 3.0..40.0_f64, more in 0.1..20.0_f64,
        ) {
            let energy = Energy::new::<uom::si::energy::joule>(joules);
            let before = ElectricPotential::new::<volt>(volts);
            let most = ElectricPotential::new::<volt>(volts + more);
            let capacitance = capacitance_for_energy(energy, most, before).unwrap();
            let pumped = regenerated_voltage(before, energy, capacitance);
            prop_assert!((pumped / most - Ratio::from(1.0)).value.abs() < 1e-9);
        }
    }

    fn path(share: f64, loop_limit: Option<f64>, kind: LimitKind) -> BlockedPath {
        let ampere = ElectricCurrent::new::<uom::si::electric_current::ampere>;
        BlockedPath {
            voltage: ElectricPotential::new::<volt>(12.6),
            voltage_limit: Ratio::from(share),
            resistance: ElectricalResistance::new::<ohm>(5.1 + 0.35 * share * share),
            loop_limit: loop_limit.map(ampere),
            bridge_limit: ampere(1.2),
            limit_kind: kind,
        }
    }

    /// SciPy 1.17.1: `solve_ivp(lambda t, i: [(D*(12.6 - 0.35*D*i[0]) - 5.1*i[0])/1e-3], (0, 0.008),
    /// [0], rtol=1e-11, atol=1e-13).y[0, -1]` for D = 1 and ½.
    #[test]
    fn blocked_current_agrees_with_scipy() {
        for (share, amperes) in [(1.0, 2.311_926_61), (0.5, 1.214_457_83)] {
            let found = limited_blocked_current(&path(share, None, LimitKind::None)).unwrap();
            assert!((found.current.value - amperes).abs() < 1e-7, "{share}");
            assert_eq!(found.limited_by, BlockedBy::Resistance);
        }
    }

    #[test]
    fn a_rating_limits_nothing_and_a_limit_does() {
        let found = |loop_limit, kind| {
            let found = limited_blocked_current(&path(1.0, loop_limit, kind)).unwrap();
            (found.current.value, found.limited_by)
        };
        assert_eq!(found(Some(1.5), LimitKind::None), (1.5, BlockedBy::Loop));
        assert_eq!(
            found(Some(1.5), LimitKind::Limits),
            (1.2, BlockedBy::Bridge)
        );
        assert_eq!(
            found(Some(1.0), LimitKind::ShutsDown),
            (1.0, BlockedBy::Loop)
        );
        assert_eq!(found(None, LimitKind::ShutsDown), (1.2, BlockedBy::Bridge));
        let mut none = path(1.0, None, LimitKind::None);
        none.resistance = ElectricalResistance::new::<ohm>(0.0);
        assert_eq!(limited_blocked_current(&none), None);
    }

    proptest! {
        /// No battery gives more charge than it has, and none lasts longer at a greater current.
        #[test]
        fn charge_is_never_gained(
            hours in 0.5..100.0_f64, charge in 0.1..100.0_f64, current in 0.001..100.0_f64,
            more in 1.0..10.0_f64, k in 1.0..1.6_f64,
        ) {
            let run = |amperes: f64| lasting_run_time(
                Time::new::<uom::si::time::hour>(hours),
                ElectricCharge::new::<uom::si::electric_charge::ampere_hour>(charge),
                ElectricCurrent::new::<uom::si::electric_current::ampere>(amperes),
                Ratio::from(k),
            ).unwrap().get::<uom::si::time::hour>();
            prop_assert!(run(current) * current <= charge * (1.0 + 1e-12));
            prop_assert!(run(current * more) <= run(current) * (1.0 + 1e-12));
        }

        /// Nothing is left below 0, and what is left and what is lost make the whole.
        #[test]
        fn shared_voltage_is_never_negative(volts in 0.0..60.0_f64, r in 0.0..5.0_f64, amperes in -5.0..200.0_f64) {
            let (voltage, r) = (ElectricPotential::new::<volt>(volts), ElectricalResistance::new::<ohm>(r));
            let asked = ElectricCurrent::new::<uom::si::electric_current::ampere>(amperes);
            let left = shared_voltage(voltage, r, asked);
            prop_assert!(left.voltage.value >= 0.0 && left.others.value >= 0.0);
            prop_assert!(left.others.value <= amperes.max(0.0));
            prop_assert!((left.voltage + left.others * r - voltage).value.abs() < 1e-9);
        }
    }
}
