//! What has to move: torques, inertias and travel of each kind of axis, at the axis or carried
//! through a last stage to the gearbox output.
//!
//! Positive is the direction in which the load resists. A [`Load`] holds the steady torques of one
//! axis; each kind has its own function that makes one.

use core::f64::consts::{FRAC_PI_2, PI, TAU};
use core::{error, fmt};

#[cfg(not(any(test, feature = "std")))]
use crate::float::Rounding as _;
use crate::gears;
use crate::ratio::{self, Exact};
use crate::units::{
    Angle, AngularVelocity, Energy, Force, Length, Mass, MomentOfInertia, Ratio, STANDARD_GRAVITY,
    Torque, finite,
};

/// What the axis carries and what pulls at it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carried {
    /// Mass carried.
    pub mass: Mass,
    /// Force along the travel or at the radius, also at standstill; positive resists.
    pub external_force: Force,
    /// Force that only opposes motion, whichever way.
    pub drag_force: Force,
}

/// A straight travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Travel {
    /// What is carried along it.
    pub carried: Carried,
    /// β, upwards in the positive direction.
    pub slope: Angle,
    /// μ of the carried mass on its guide.
    pub friction_coefficient: Ratio,
}

/// Steady torques of an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Moving against the load.
    pub load_torque: Torque,
    /// Held at standstill without the help of friction.
    pub holding_torque: Torque,
    /// Moving the other way; positive must be driven.
    pub load_torque_return: Torque,
}

impl Load {
    /// What always opposes motion.
    ///
    /// # Formula
    /// load_torque − holding_torque
    ///
    /// # Returns
    /// Friction torque \[N·m\]
    ///
    /// # Validity
    /// Moving against the load.
    ///
    /// # Example
    /// See [`turntable`]: no published value.
    ///
    /// # Sources
    /// Definition.
    #[must_use]
    pub fn friction_torque(&self) -> Torque {
        self.load_torque - self.holding_torque
    }

    /// A load whose friction is the same both ways.
    fn symmetric(holding_torque: Torque, friction_torque: Torque) -> Self {
        Self {
            load_torque: holding_torque + friction_torque,
            holding_torque,
            load_torque_return: friction_torque - holding_torque,
        }
    }
}

/// A screw: its thread and its thrust collar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screw {
    /// l, advance per turn.
    pub lead: Length,
    /// d, mean diameter of the thread.
    pub mean_diameter: Length,
    /// f of the thread.
    pub thread_friction: Ratio,
    /// α, half the thread angle.
    pub flank_angle: Angle,
    /// f_c of the collar.
    pub collar_friction: Ratio,
    /// d_c, mean diameter of the collar.
    pub collar_diameter: Length,
}

/// Why a screw has no torque.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ScrewError {
    /// π·d ≤ f·l·sec α: friction grows faster than the torque, and the screw jams.
    Binds,
    /// A diameter is not above 0, the flank angle not below 90°, or a figure no number.
    Impossible,
}

impl fmt::Display for ScrewError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Binds => "the thread binds",
            Self::Impossible => "no such thread",
        })
    }
}

impl error::Error for ScrewError {}

/// The last stage between gear motor and axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reduction {
    /// i, turns of the gearbox output per turn of the axis.
    pub ratio: Ratio,
    /// η, from gearbox to axis.
    pub efficiency: Ratio,
}

/// Travel of one turn in metres, exact: a rational number, or one times π.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TurnTravel {
    /// Belt and screw.
    Rational(Exact),
    /// Anything round.
    TimesPi(Exact),
}

/// Weight of a mass under standard gravity.
fn weight(mass: Mass) -> Force {
    mass * crate::units::Acceleration::new::<uom::si::acceleration::meter_per_second_squared>(
        STANDARD_GRAVITY,
    )
}

/// Force along a straight travel, moving in the positive direction.
///
/// # Formula
/// Z = m·g·(sin β + μ·cos β) + F + F_drag
///
/// # Arguments
/// * `travel` m \[kg\], F, F_drag \[N\], β \[rad\], μ \[1\]
///
/// # Returns
/// Z; below 0 the load pulls along \[N\]
///
/// # Validity
/// −90° ≤ β ≤ 90°; dry friction.
///
/// # Example
/// 50 kg, μ = 0.6, level, g = 9.8 m/s² in the source, at 60 mm through 20:1: 0.882 N·m (a worked
/// sizing case).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::axis::{Carried, Travel, travel_force};
/// use pulsewright_calc::units::{Angle, Force, Mass, Ratio, STANDARD_GRAVITY};
/// use uom::si::{angle::degree, force::newton, mass::kilogram};
/// let zero = Force::new::<newton>(0.0);
/// let travel = Travel {
///     carried: Carried { mass: Mass::new::<kilogram>(50.0), external_force: zero, drag_force:
/// zero },
///     slope: Angle::new::<degree>(0.0),
///     friction_coefficient: Ratio::from(0.6),
/// };
/// let at_book_gravity = travel_force(travel).value * 9.8 / STANDARD_GRAVITY;
/// assert!(agrees(at_book_gravity * 0.06 / 20.0, "0.882"));
/// ```
///
/// # Sources
/// Statics of the inclined plane.
#[must_use]
pub fn travel_force(travel: Travel) -> Force {
    holding_force(travel) + opposing_force(travel)
}

/// Force along a straight travel at standstill, without friction.
///
/// # Formula
/// m·g·sin β + F
///
/// # Arguments
/// * `travel` m \[kg\], F \[N\], β \[rad\]
///
/// # Returns
/// Force \[N\]
///
/// # Validity
/// −90° ≤ β ≤ 90°.
///
/// # Example
/// No published value: 1 kg at 30° weighs 4.903 N along the slope.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::axis::{Carried, Travel, holding_force};
/// use pulsewright_calc::units::{Angle, Force, Mass, Ratio};
/// use uom::si::{angle::degree, force::newton, mass::kilogram};
/// let zero = Force::new::<newton>(0.0);
/// let force = holding_force(Travel {
///     carried: Carried { mass: Mass::new::<kilogram>(1.0), external_force: zero, drag_force: zero
/// },
///     slope: Angle::new::<degree>(30.0),
///     friction_coefficient: Ratio::from(0.2),
/// });
/// assert!(agrees(force.value, "4.903325"));
/// ```
///
/// # Sources
/// Statics of the inclined plane.
#[must_use]
pub fn holding_force(travel: Travel) -> Force {
    weight(travel.carried.mass) * libm::sin(travel.slope.value) + travel.carried.external_force
}

/// Force that opposes a straight travel whichever way it goes.
fn opposing_force(travel: Travel) -> Force {
    weight(travel.carried.mass) * travel.friction_coefficient * libm::cos(travel.slope.value)
        + travel.carried.drag_force
}

/// A level arm with its mass at the end.
///
/// # Formula
/// holding = m·g·r + F·r; friction = F_drag·r
///
/// # Arguments
/// * `carried` m \[kg\], F, F_drag \[N\]
/// * `radius` r to the mass's centre \[m\]
///
/// # Returns
/// The torques \[N·m\]
///
/// # Validity
/// Worst position: level. At an angle the weight's share falls with the cosine.
///
/// # Example
/// 100 g at 100 mm: 98.07 mN·m (computed).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis::{self, Carried}, units::{Force, Length, Mass}};
/// use uom::si::{force::newton, length::millimeter, mass::gram};
/// let zero = Force::new::<newton>(0.0);
/// let load = axis::arm(
///     Carried { mass: Mass::new::<gram>(100.0), external_force: zero, drag_force: zero },
///     Length::new::<millimeter>(100.0),
/// );
/// assert!(agrees(load.load_torque.value * 1e3, "98.07"));
/// assert!(agrees(load.load_torque_return.value * 1e3, "-98.07"));
/// ```
///
/// # Sources
/// Statics of the lever.
#[must_use]
pub fn arm(carried: Carried, radius: Length) -> Load {
    Load::symmetric(
        ((weight(carried.mass) + carried.external_force) * radius).into(),
        (carried.drag_force * radius).into(),
    )
}

/// A turntable about a vertical axis.
///
/// # Formula
/// holding = F·r; friction = μ·m·g·r_b + F_drag·r
///
/// # Arguments
/// * `carried` m \[kg\], F, F_drag \[N\]
/// * `radius` r at which the forces act \[m\]
/// * `friction_coefficient` μ of the bearing \[1\]
/// * `bearing_radius` r_b \[m\]
///
/// # Returns
/// The torques \[N·m\]
///
/// # Validity
/// Balanced load; dry friction.
///
/// # Example
/// No published value: 2 kg on μ = 0.1 at 25 mm take 49.03 mN·m both ways.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis::{self, Carried}, units::{Force, Length, Mass, Ratio}};
/// use uom::si::{force::newton, length::millimeter, mass::kilogram};
/// let zero = Force::new::<newton>(0.0);
/// let load = axis::turntable(
///     Carried { mass: Mass::new::<kilogram>(2.0), external_force: zero, drag_force: zero },
///     Length::new::<millimeter>(150.0),
///     Ratio::from(0.1),
///     Length::new::<millimeter>(25.0),
/// );
/// assert!(agrees(load.load_torque.value * 1e3, "49.03"));
/// assert_eq!(load.load_torque, load.load_torque_return);
/// ```
///
/// # Sources
/// Friction of a ring bearing.
#[must_use]
pub fn turntable(
    carried: Carried,
    radius: Length,
    friction_coefficient: Ratio,
    bearing_radius: Length,
) -> Load {
    let bearing = weight(carried.mass) * friction_coefficient * bearing_radius;
    Load::symmetric(
        (carried.external_force * radius).into(),
        (bearing + carried.drag_force * radius).into(),
    )
}

/// A belt, rack or drum, or a screw by its efficiency.
///
/// # Formula
/// load = Z·r/η, for Z < 0 Z·r·(2 − 1/η); holding = (m·g·sin β + F)·r; return = 2·friction − load
///
/// # Arguments
/// * `travel` what moves, of [`travel_force`] Z
/// * `radius` r of the pitch circle; lead/2π for a screw \[m\]
/// * `efficiency` η of the transmission \[1\]
///
/// # Returns
/// The torques \[N·m\]
///
/// # Validity
/// 0 < η ≤ 1, the same at any load; lightly loaded transmissions are worse.
///
/// # Errors
/// None where η ≤ 0.
///
/// # Example
/// 10 N on a 20-tooth pulley of 2 mm pitch at 0.95: 67.01 mN·m (computed).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::axis::{self, Carried, Travel};
/// use pulsewright_calc::units::{Angle, Force, Length, Mass, Ratio};
/// use uom::si::{angle::degree, force::newton, length::millimeter, mass::kilogram};
/// let travel = Travel {
///     carried: Carried {
///         mass: Mass::new::<kilogram>(0.0),
///         external_force: Force::new::<newton>(10.0),
///         drag_force: Force::new::<newton>(0.0),
///     },
///     slope: Angle::new::<degree>(0.0),
///     friction_coefficient: Ratio::from(0.0),
/// };
/// let radius = axis::effective_radius(Length::new::<millimeter>(40.0));
/// let load = axis::linear(travel, radius, Ratio::from(0.95)).unwrap();
/// assert!(agrees(load.load_torque.value * 1e3, "67.01"));
/// ```
///
/// # Sources
/// Torque balance of a transmission with losses.
#[must_use]
pub fn linear(travel: Travel, radius: Length, efficiency: Ratio) -> Option<Load> {
    let force = travel_force(travel);
    let factor = driven_factor(force.value, efficiency)?;
    let holding_torque: Torque = (holding_force(travel) * radius).into();
    let load_torque: Torque = finite((force * radius * factor).into())?;
    Some(Load::symmetric(
        holding_torque,
        load_torque - holding_torque,
    ))
}

/// What a transmission makes of a load: 1/η where it resists, 2 − 1/η where it helps.
fn driven_factor(load: f64, efficiency: Ratio) -> Option<Ratio> {
    let back = gears::back_efficiency(efficiency)?;
    if load >= 0.0 {
        finite(efficiency.recip())
    } else {
        Some(back)
    }
}

/// Torque to turn a screw against, or with, an axial force.
///
/// # Formula
/// F ≥ 0: F·(d/2)·(l + π·f·d·sec α)/(π·d − f·l·sec α) + F·f_c·d_c/2
///
/// F < 0: |F|·(d/2)·(π·f·d·sec α − l)/(π·d + f·l·sec α) + |F|·f_c·d_c/2
///
/// # Arguments
/// * `axial_force` F, positive against the motion \[N\]
/// * `screw` l, d, d_c \[m\], f, f_c \[1\], α \[rad\]
///
/// # Returns
/// Torque; below 0 the force turns the screw \[N·m\]
///
/// # Validity
/// Sliding friction, the same at rest and in motion: real threads start harder.
///
/// # Errors
/// [`ScrewError`]: binds, or impossible figures.
///
/// # Example
/// d = 30 mm, l = 8 mm, f = f_c = 0.08, d_c = 40 mm, 6.4 kN: 26.18 N·m up, 9.77 N·m down (Shigley,
/// Mechanical Engineering Design, Ex. 8-1; results from memory).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::axis::{Screw, screw_torque};
/// use pulsewright_calc::units::{Angle, Force, Length, Ratio};
/// use uom::si::{angle::degree, force::newton, length::millimeter};
/// let screw = Screw {
///     lead: Length::new::<millimeter>(8.0),
///     mean_diameter: Length::new::<millimeter>(30.0),
///     thread_friction: Ratio::from(0.08),
///     flank_angle: Angle::new::<degree>(0.0),
///     collar_friction: Ratio::from(0.08),
///     collar_diameter: Length::new::<millimeter>(40.0),
/// };
/// let torque = |newtons| screw_torque(Force::new::<newton>(newtons), screw).unwrap().value;
/// assert!(agrees(torque(6400.0), "26.18"));
/// assert!(agrees(torque(-6400.0), "9.77"));
/// ```
///
/// # Sources
/// Shigley, Mechanical Engineering Design, 8-2 (from memory).
pub fn screw_torque(axial_force: Force, screw: Screw) -> Result<Torque, ScrewError> {
    let cosine = libm::cos(screw.flank_angle.value);
    let sound = screw.mean_diameter.value > 0.0
        && cosine > 0.0
        && screw.flank_angle.value.abs() < FRAC_PI_2;
    sound.then_some(()).ok_or(ScrewError::Impossible)?;
    let friction = screw.thread_friction / cosine;
    let circumference = PI * screw.mean_diameter;
    // Binding is a property of the thread: it is told whichever way the force points.
    let rising = circumference - friction * screw.lead;
    (rising.value > 0.0)
        .then_some(())
        .ok_or(ScrewError::Binds)?;
    let slope = if axial_force.value >= 0.0 {
        (screw.lead + friction * circumference) / rising
    } else {
        (friction * circumference - screw.lead) / (circumference + friction * screw.lead)
    };
    let arm = screw.mean_diameter * slope + screw.collar_friction * screw.collar_diameter;
    finite((axial_force.abs() * arm / 2.0).into()).ok_or(ScrewError::Impossible)
}

/// A screw by its thread.
///
/// # Formula
/// load: [`screw_torque`] against Z; holding = (m·g·sin β + F)·l/2π; return: [`screw_torque`]
/// against −F_t, F_t = m·g·(sin β − μ·cos β) + F − F_drag
///
/// # Arguments
/// * `travel` what moves, of [`travel_force`] Z
/// * `screw` the thread and collar
///
/// # Returns
/// The torques \[N·m\]
///
/// # Validity
/// As for [`screw_torque`]. Where F_t < 0 the guide's friction resists the way back too.
///
/// # Errors
/// [`ScrewError`]: binds, or impossible figures.
///
/// # Example
/// Dp = 1.354 in, L = 1/3 in, f = 0.15, 2900 lbf: 453.68 lb·in (Wentzell, Machine Design, Ex. 18.1,
/// p. 399).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::axis::{self, Carried, Screw, Travel};
/// use pulsewright_calc::units::{Angle, Force, Length, Mass, Ratio};
/// use uom::si::{angle::degree, force::newton, length::inch, mass::kilogram};
/// let pound_force = 4.448_221_615_260_5;
/// let screw = Screw {
///     lead: Length::new::<inch>(1.0 / 3.0),
///     mean_diameter: Length::new::<inch>(1.354),
///     thread_friction: Ratio::from(0.15),
///     flank_angle: Angle::new::<degree>(0.0),
///     collar_friction: Ratio::from(0.0),
///     collar_diameter: Length::new::<inch>(0.0),
/// };
/// let travel = Travel {
///     carried: Carried {
///         mass: Mass::new::<kilogram>(0.0),
///         external_force: Force::new::<newton>(2900.0 * pound_force),
///         drag_force: Force::new::<newton>(0.0),
///     },
///     slope: Angle::new::<degree>(0.0),
///     friction_coefficient: Ratio::from(0.0),
/// };
/// let load = axis::screw_by_threads(travel, screw).unwrap();
/// assert!(agrees(load.load_torque.value / (pound_force * 0.0254), "453.68"));
/// ```
///
/// # Sources
/// Shigley, Mechanical Engineering Design, 8-2 (from memory).
pub fn screw_by_threads(travel: Travel, screw: Screw) -> Result<Load, ScrewError> {
    let holding = holding_force(travel);
    Ok(Load {
        load_torque: screw_torque(travel_force(travel), screw)?,
        holding_torque: (holding * effective_radius(screw.lead)).into(),
        load_torque_return: screw_torque(opposing_force(travel) - holding, screw)?,
    })
}

/// A load whose torque is given.
///
/// # Formula
/// holding = T; friction = F_drag·r
///
/// # Arguments
/// * `load_torque` T \[N·m\]
/// * `drag_force` F_drag \[N\]
/// * `radius` r at which it acts, 0 where there is none \[m\]
///
/// # Returns
/// The torques \[N·m\]
///
/// # Validity
/// T acts at standstill too.
///
/// # Example
/// No published value: 0.5 N·m and 2 N at 50 mm.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::{Force, Length, Torque}};
/// use uom::si::{force::newton, length::millimeter, torque::newton_meter};
/// let load = axis::given(
///     Torque::new::<newton_meter>(0.5),
///     Force::new::<newton>(2.0),
///     Length::new::<millimeter>(50.0),
/// );
/// assert!(agrees(load.load_torque.value, "0.6000"));
/// assert!(agrees(load.load_torque_return.value, "-0.4000"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn given(load_torque: Torque, drag_force: Force, radius: Length) -> Load {
    Load::symmetric(load_torque, (drag_force * radius).into())
}

/// Radius at which a travel per turn comes about.
///
/// # Formula
/// r = L/2π
///
/// # Arguments
/// * `travel_per_turn` L: pulley, pinion or drum circumference, or a screw's lead \[m\]
///
/// # Returns
/// r \[m\]
///
/// # Validity
/// Exact.
///
/// # Example
/// 20 teeth of 2 mm: 12.732 mm pitch diameter (computed).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::Length};
/// use uom::si::length::millimeter;
/// let radius = axis::effective_radius(Length::new::<millimeter>(40.0));
/// assert!(agrees(2.0 * radius.get::<millimeter>(), "12.732"));
/// ```
///
/// # Sources
/// Circumference of a circle.
#[must_use]
pub fn effective_radius(travel_per_turn: Length) -> Length {
    travel_per_turn / TAU
}

/// Travel per turn of a toothed belt.
///
/// # Formula
/// teeth·pitch
///
/// # Arguments
/// * `teeth` of the pulley \[1\]
/// * `pitch` of the belt, in metres
///
/// # Returns
/// Travel, rational \[m\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where it does not fit.
///
/// # Example
/// 20 teeth of 2 mm: 40 mm (computed).
/// ```
/// use pulsewright_calc::{axis, ratio::{exact, from_decimal}};
/// let travel = axis::belt_travel(20, from_decimal("2e-3").unwrap());
/// assert_eq!(travel, exact(40, 1000).map(axis::TurnTravel::Rational));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn belt_travel(teeth: u32, pitch: Exact) -> Option<TurnTravel> {
    ratio::multiply(ratio::exact(teeth.into(), 1)?, pitch).map(TurnTravel::Rational)
}

/// Travel per turn of a rack and pinion.
///
/// # Formula
/// π·module·teeth
///
/// # Arguments
/// * `teeth` of the pinion \[1\]
/// * `module` in metres
///
/// # Returns
/// Travel, a rational times π \[m\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where it does not fit.
///
/// # Example
/// No published value: module 0.5 mm and 16 teeth go 25.133 mm a turn.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, ratio::from_decimal};
/// let travel = axis::rack_travel(16, from_decimal("0.5e-3").unwrap()).unwrap();
/// assert!(agrees(axis::travel_length(travel).unwrap().value * 1e3, "25.133"));
/// ```
///
/// # Sources
/// Definition of the module.
#[must_use]
pub fn rack_travel(teeth: u32, module: Exact) -> Option<TurnTravel> {
    ratio::multiply(ratio::exact(teeth.into(), 1)?, module).map(TurnTravel::TimesPi)
}

/// Travel per turn at a radius.
///
/// # Formula
/// 2π·r
///
/// # Arguments
/// * `radius` r in metres
///
/// # Returns
/// Travel, a rational times π \[m\]
///
/// # Validity
/// Exact.
///
/// # Errors
/// None where it does not fit.
///
/// # Example
/// No published value: 10 mm go 62.832 mm a turn.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, ratio::from_decimal};
/// let travel = axis::round_travel(from_decimal("0.01").unwrap()).unwrap();
/// assert!(agrees(axis::travel_length(travel).unwrap().value * 1e3, "62.832"));
/// ```
///
/// # Sources
/// Circumference of a circle.
#[must_use]
pub fn round_travel(radius: Exact) -> Option<TurnTravel> {
    ratio::multiply(ratio::exact(2, 1)?, radius).map(TurnTravel::TimesPi)
}

/// Travel per turn as a length.
///
/// # Formula
/// q or q·π
///
/// # Arguments
/// * `travel` q in metres
///
/// # Returns
/// Travel \[m\]
///
/// # Validity
/// Rounded once, with π twice.
///
/// # Errors
/// None where q is no number.
///
/// # Example
/// No published value: a lead of 8 mm.
/// ```
/// use pulsewright_calc::{axis::{TurnTravel, travel_length}, ratio::exact};
/// let lead = TurnTravel::Rational(exact(8, 1000).unwrap());
/// assert_eq!(travel_length(lead).unwrap().value, 0.008);
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn travel_length(travel: TurnTravel) -> Option<Length> {
    let meters = match travel {
        TurnTravel::Rational(meters) => ratio::to_f64(meters)?,
        TurnTravel::TimesPi(meters) => ratio::to_f64(meters)? * PI,
    };
    Some(Length::new::<uom::si::length::meter>(meters))
}

/// Inertia of a carried mass and what turns with the shaft.
///
/// # Formula
/// J = J_p + m·r²
///
/// # Arguments
/// * `payload_inertia` J_p about the shaft \[kg·m²\]
/// * `mass` m \[kg\]
/// * `radius` r: arm, pitch radius, or lead/2π of a screw \[m\]
///
/// # Returns
/// J \[kg·m²\]
///
/// # Validity
/// Mass as a point; its own inertia about its centre belongs into J_p. A turntable has J_p alone.
///
/// # Example
/// 600 kg at 2 m/s and 1500 r/min beside 0.4 + 10·0.1² kg·m²: 0.6 kg·m² (Gupta, Elements of
/// Electric
/// Drives, Ex. 4, p. 19).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::{Length, Mass, MomentOfInertia}};
/// use uom::si::{length::meter, mass::kilogram, moment_of_inertia::kilogram_square_meter};
/// let inertia = axis::load_inertia(
///     MomentOfInertia::new::<kilogram_square_meter>(0.5),
///     Mass::new::<kilogram>(600.0),
///     Length::new::<meter>(2.0 / (1500.0 * core::f64::consts::PI / 30.0)),
/// );
/// assert!(agrees(inertia.value, "0.6"));
/// ```
///
/// # Sources
/// Kinetic energy of a point mass.
#[must_use]
pub fn load_inertia(
    payload_inertia: MomentOfInertia,
    mass: Mass,
    radius: Length,
) -> MomentOfInertia {
    payload_inertia + mass * radius * radius
}

/// The load as the gearbox output feels it through the last stage.
///
/// # Formula
/// resisting torques T/(i·η), helping ones T·(2 − 1/η)/i; holding T/i
///
/// # Arguments
/// * `load` at the axis
/// * `reduction` i, η of the last stage \[1\]
///
/// # Returns
/// The load at the gearbox output
///
/// # Validity
/// 0 < η ≤ 1. A stage that locks turns a helping load into one that must be driven.
///
/// # Errors
/// None where i or η is not above 0.
///
/// # Example
/// 50 N·m through 10:1 at 0.9: 5.556 N·m (Gupta, Elements of Electric Drives, Ex. 3, p. 18).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis::{self, Reduction}, units::{Force, Length, Ratio, Torque}};
/// use uom::si::{force::newton, length::meter, torque::newton_meter};
/// let load = axis::given(
///     Torque::new::<newton_meter>(50.0),
///     Force::new::<newton>(0.0),
///     Length::new::<meter>(0.0),
/// );
/// let reduction = Reduction { ratio: Ratio::from(10.0), efficiency: Ratio::from(0.9) };
/// let carried = axis::carry_load(load, reduction).unwrap();
/// assert!(agrees(carried.load_torque.value, "5.556"));
/// assert!(agrees(carried.holding_torque.value, "5.000"));
/// ```
///
/// # Sources
/// Torque balance of a transmission with losses.
#[must_use]
pub fn carry_load(load: Load, reduction: Reduction) -> Option<Load> {
    (reduction.ratio.value > 0.0).then_some(())?;
    let carry =
        |torque: Torque| through_stage((torque / reduction.ratio).into(), reduction.efficiency);
    Some(Load {
        load_torque: carry(load.load_torque)?,
        holding_torque: finite((load.holding_torque / reduction.ratio).into())?,
        load_torque_return: carry(load.load_torque_return)?,
    })
}

/// A torque carried to the gearbox output through the loss of the last stage.
///
/// # Formula
/// T/η when T ≥ 0, else T·(2 − 1/η)
///
/// # Arguments
/// * `torque` T, the ratio in it already \[N·m\]
/// * `efficiency` η of the last stage \[1\]
///
/// # Returns
/// The torque at the gearbox output \[N·m\]
///
/// # Validity
/// 0 < η ≤ 1.
///
/// # Errors
/// None where η is not above 0.
///
/// # Example
/// 5 N·m at 0.9: 5.556 N·m (Gupta, Elements of Electric Drives, Ex. 3, p. 18, after its 10:1).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::{Ratio, Torque}};
/// use uom::si::torque::newton_meter;
/// let carried = axis::through_stage(Torque::new::<newton_meter>(5.0), Ratio::from(0.9));
/// assert!(agrees(carried.unwrap().value, "5.556"));
/// ```
///
/// # Sources
/// Torque balance of a transmission with losses.
#[must_use]
pub fn through_stage(torque: Torque, efficiency: Ratio) -> Option<Torque> {
    finite(torque * driven_factor(torque.value, efficiency)?.value)
}

/// Inertia as the gearbox output feels it through the last stage.
///
/// # Formula
/// J/i²
///
/// # Arguments
/// * `inertia` J at the axis \[kg·m²\]
/// * `ratio` i of the last stage \[1\]
///
/// # Returns
/// Inertia at the gearbox output \[kg·m²\]
///
/// # Validity
/// The last stage's own wheels left out.
///
/// # Errors
/// None where i = 0.
///
/// # Example
/// 10 kg·m² behind 10:1 beside 0.4: 0.5 kg·m² (Gupta, Elements of Electric Drives, Ex. 3, p. 18).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::{MomentOfInertia, Ratio}};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let load = MomentOfInertia::new::<kilogram_square_meter>(10.0);
/// let carried = axis::carry_inertia(load, Ratio::from(10.0)).unwrap();
/// assert!(agrees(0.4 + carried.value, "0.5"));
/// ```
///
/// # Sources
/// Kinetic energy of a geared inertia.
#[must_use]
pub fn carry_inertia(inertia: MomentOfInertia, ratio: Ratio) -> Option<MomentOfInertia> {
    finite(inertia / (ratio.value * ratio.value))
}

/// Whether the load moves an unpowered drive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BackDriving {
    /// Torque with which the load turns the gearbox output; 0 or below: its own friction holds it.
    pub driving_torque: Torque,
    /// True when the load moves.
    pub moves: bool,
    /// Torque that would turn the motor over the driving torque; none where nothing drives or the
    /// gears lock.
    pub margin: Option<Ratio>,
}

/// Whether the load moves when the power is off.
///
/// # Formula
/// driving = the greater of −load_torque_return and −load_torque; moves where driving > T_back
///
/// # Arguments
/// * `load` at the gearbox output
/// * `back_drive_torque` T_back, none where the gears lock \[N·m\]
///
/// # Returns
/// Driving torque, whether it moves, and the margin T_back/driving
///
/// # Validity
/// −load_torque_return is holding − friction for every kind but the screw by threads, whose
/// friction
/// differs between the two ways. "Does not move" is friction's word: never to be relied on for
/// safety.
///
/// # Example
/// No published value: 0.5 N·m hanging, 0.1 N·m of friction, against 0.3 N·m.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::{Force, Length, Torque}};
/// use uom::si::{force::newton, length::meter, torque::newton_meter};
/// let load = axis::given(
///     Torque::new::<newton_meter>(0.5),
///     Force::new::<newton>(1.0),
///     Length::new::<meter>(0.1),
/// );
/// let result = axis::back_driving(load, Some(Torque::new::<newton_meter>(0.3)));
/// assert!(result.moves);
/// assert!(agrees(result.driving_torque.value, "0.4000"));
/// assert!(agrees(result.margin.unwrap().value, "0.7500"));
/// assert!(!axis::back_driving(load, None).moves);
/// ```
///
/// # Sources
/// Statics; for the screw Shigley, Mechanical Engineering Design, 8-2 (from memory).
#[must_use]
pub fn back_driving(load: Load, back_drive_torque: Option<Torque>) -> BackDriving {
    let driving_torque = if load.load_torque < load.load_torque_return {
        -load.load_torque
    } else {
        -load.load_torque_return
    };
    let drives = driving_torque.value > 0.0;
    BackDriving {
        driving_torque,
        moves: drives && back_drive_torque.is_some_and(|holds| driving_torque > holds),
        margin: back_drive_torque
            .filter(|_| drives)
            .and_then(|holds| finite(holds / driving_torque)),
    }
}

/// Energy of the moving axis with the rotor behind it.
///
/// # Formula
/// E = ½·(J_L + N²·J_r)·ω²
///
/// # Arguments
/// * `load_inertia` J_L \[kg·m²\]
/// * `reflected_inertia` N²·J_r, of [`gears::reflected_inertia`] \[kg·m²\]
/// * `speed` ω of the output \[rad/s\]
///
/// # Returns
/// E \[J\]
///
/// # Validity
/// All three at the same shaft.
///
/// # Example
/// No published value: 0.03 + 0.01 kg·m² at 10 rad/s hold 2 J.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::{AngularVelocity, MomentOfInertia}};
/// use uom::si::angular_velocity::radian_per_second;
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let energy = axis::kinetic_energy(
///     MomentOfInertia::new::<kilogram_square_meter>(0.03),
///     MomentOfInertia::new::<kilogram_square_meter>(0.01),
///     AngularVelocity::new::<radian_per_second>(10.0),
/// );
/// assert!(agrees(energy.value, "2.000"));
/// ```
///
/// # Sources
/// Kinetic energy.
#[must_use]
pub fn kinetic_energy(
    load_inertia: MomentOfInertia,
    reflected_inertia: MomentOfInertia,
    speed: AngularVelocity,
) -> Energy {
    (load_inertia + reflected_inertia) * speed * speed / 2.0
}

/// Energy that the load would give back in falling the height of its travel.
///
/// # Formula
/// E = m·g·h
///
/// # Arguments
/// * `mass` m \[kg\]
/// * `height` h, of [`slope_height`] or [`arm_height`] \[m\]
///
/// # Returns
/// E \[J\]
///
/// # Validity
/// Standard gravity.
///
/// # Example
/// No published value: 2 kg over 0.5 m.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::{Length, Mass}};
/// use uom::si::{length::meter, mass::kilogram};
/// let energy = axis::drop_energy(Mass::new::<kilogram>(2.0), Length::new::<meter>(0.5));
/// assert!(agrees(energy.value, "9.80665"));
/// ```
///
/// # Sources
/// Potential energy.
#[must_use]
pub fn drop_energy(mass: Mass, height: Length) -> Energy {
    weight(mass) * height
}

/// Height between the ends of a straight travel.
///
/// # Formula
/// h = |s·sin β|
///
/// # Arguments
/// * `distance` s \[m\]
/// * `slope` β \[rad\]
///
/// # Returns
/// h \[m\]
///
/// # Validity
/// Straight travel.
///
/// # Example
/// No published value: 1 m at 30°.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::{Angle, Length}};
/// use uom::si::{angle::degree, length::meter};
/// let height = axis::slope_height(Length::new::<meter>(1.0), Angle::new::<degree>(-30.0));
/// assert!(agrees(height.value, "0.5000"));
/// ```
///
/// # Sources
/// Geometry.
#[must_use]
pub fn slope_height(distance: Length, slope: Angle) -> Length {
    (distance * libm::sin(slope.value)).abs()
}

/// Height between the highest and the lowest point of an arm's travel.
///
/// # Formula
/// h = r·(max sin θ − min sin θ) over the travel
///
/// # Arguments
/// * `radius` r \[m\]
/// * `start_angle` of the arm from level \[rad\]
/// * `distance` angle travelled \[rad\]
///
/// # Returns
/// h \[m\]
///
/// # Validity
/// Arm about a level axis.
///
/// # Example
/// No published value: 0.2 m from −30° by 60°, and through the top.
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::{Angle, Length}};
/// use uom::si::{angle::degree, length::meter};
/// let height = |from, by| {
///     let angle = Angle::new::<degree>;
///     axis::arm_height(Length::new::<meter>(0.2), angle(from), angle(by)).value
/// };
/// assert!(agrees(height(-30.0, 60.0), "0.2000"));
/// assert!(agrees(height(0.0, 180.0), "0.2000"));
/// assert!(agrees(height(0.0, 720.0), "0.4000"));
/// ```
///
/// # Sources
/// Geometry.
#[must_use]
pub fn arm_height(radius: Length, start_angle: Angle, distance: Angle) -> Length {
    let end = start_angle.value + distance.value;
    let (from, to) = (start_angle.value.min(end), start_angle.value.max(end));
    let (first, last) = (libm::sin(from), libm::sin(to));
    // The top, or the bottom, is passed where a whole turn from it lies within the travel.
    let passes = |angle: f64| ((to - angle) / TAU).floor() >= ((from - angle) / TAU).ceil();
    let highest = if passes(FRAC_PI_2) {
        1.0
    } else {
        first.max(last)
    };
    let lowest = if passes(-FRAC_PI_2) {
        -1.0
    } else {
        first.min(last)
    };
    radius * (highest - lowest)
}

/// Load inertia over the rotor's, both at the output.
///
/// # Formula
/// J_L/(N²·J_r)
///
/// # Arguments
/// * `load_inertia` J_L \[kg·m²\]
/// * `reflected_inertia` N²·J_r, of [`gears::reflected_inertia`] \[kg·m²\]
///
/// # Returns
/// Ratio \[1\]
///
/// # Validity
/// Both at the same shaft.
///
/// # Errors
/// None where the rotor has no inertia.
///
/// # Example
/// 32 kg·m² and 2 kg·m² behind the best ratio for acceleration, 4: equal (Khurmi & Gupta, Theory of
/// Machines, Ex. 3.14, p. 51).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, gears, units::{MomentOfInertia, Ratio}};
/// use uom::si::moment_of_inertia::kilogram_square_meter;
/// let inertia = MomentOfInertia::new::<kilogram_square_meter>;
/// let reflected = gears::reflected_inertia(inertia(2.0), Ratio::from(4.0));
/// assert!(agrees(axis::inertia_ratio(inertia(32.0), reflected).unwrap().value, "1.000"));
/// ```
///
/// # Sources
/// Definition.
#[must_use]
pub fn inertia_ratio(
    load_inertia: MomentOfInertia,
    reflected_inertia: MomentOfInertia,
) -> Option<Ratio> {
    finite(load_inertia / reflected_inertia)
}

/// Torque of an arm's weight at an angle.
///
/// # Formula
/// m·g·r·cos θ
///
/// # Arguments
/// * `mass` m \[kg\]
/// * `radius` r to the mass's centre \[m\]
/// * `angle` θ of the arm from level; 0 is level, 90° straight up \[rad\]
///
/// # Returns
/// Torque; below 0 past the vertical, where the weight helps a rising angle \[N·m\]
///
/// # Validity
/// Arm about a level axis, standard gravity.
///
/// # Example
/// 0.4 kg at 120 mm, 30° above level and 30° past the top: 407.655 and −235.360 mN·m (MuJoCo 4.0.0,
/// `qfrc_bias` of a resting hinge, see the tests).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::{axis, units::{Angle, Length, Mass}};
/// use uom::si::{angle::degree, length::millimeter, mass::kilogram};
/// let torque = |degrees| axis::gravity_torque(
///     Mass::new::<kilogram>(0.4),
///     Length::new::<millimeter>(120.0),
///     Angle::new::<degree>(degrees),
/// ).value * 1e3;
/// assert!(agrees(torque(30.0), "407.655"));
/// assert!(agrees(torque(120.0), "-235.360"));
/// ```
///
/// # Sources
/// Statics of the lever.
#[must_use]
pub fn gravity_torque(mass: Mass, radius: Length, angle: Angle) -> Torque {
    (weight(mass) * radius * libm::cos(angle.value)).into()
}

/// Torques of an arm over a move: what the weight and a steady force do, and friction beside it.
///
/// Every torque is signed along a rising angle: positive resists it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArmMove {
    /// Held at the start of the move.
    pub at_start: Torque,
    /// Held at its end.
    pub at_end: Torque,
    /// Greatest torque held anywhere in the move.
    pub greatest: Torque,
    /// Least torque held anywhere in the move; below 0 the load pulls the angle up.
    pub least: Torque,
    /// What always opposes motion.
    pub friction: Torque,
    /// Angle from level at the start of the move, and the angle turned, signed.
    pub start: Angle,
    /// See `start`.
    pub travel: Angle,
    /// What the weight alone pulls where the arm is level.
    pub crest: Torque,
    /// What a force along the travel pulls at every angle.
    pub force: Torque,
}

impl ArmMove {
    /// The load standing at the start of the move.
    #[must_use]
    pub fn load_at_start(&self) -> Load {
        Load::symmetric(self.at_start, self.friction)
    }

    /// The load standing at the end of the move.
    #[must_use]
    pub fn load_at_end(&self) -> Load {
        Load::symmetric(self.at_end, self.friction)
    }

    /// The load at the worst place of each: rising where the torque is greatest, returning where
    /// it is least, holding where its size is greatest.
    #[must_use]
    pub fn worst(&self) -> Load {
        let holding_torque = if self.greatest.abs() >= self.least.abs() {
            self.greatest
        } else {
            self.least
        };
        Load {
            load_torque: self.greatest + self.friction,
            holding_torque,
            load_torque_return: self.friction - self.least,
        }
    }
}

/// Torques of an arm over a move from one angle to another.
///
/// # Formula
/// T(θ) = m·g·r·cos θ + F·r at θ = θ0, θ0 + φ, and its greatest and least over all θ between: where
/// the arm passes level, ± m·g·r + F·r, else the greater and the less of both ends; friction =
/// F_drag·r
///
/// # Arguments
/// * `carried` m \[kg\], F, F_drag \[N\]
/// * `radius` r to the mass's centre \[m\]
/// * `start_angle` θ0 of the arm from level \[rad\]
/// * `travel` φ of the move, signed \[rad\]
///
/// # Returns
/// The torques \[N·m\]
///
/// # Validity
/// Arm about a level axis; F along the travel at every angle. Where nothing is known of the angle,
/// [`arm`] is the worst case.
///
/// # Example
/// 0.4 kg at 120 mm from 60° by 150°: 0.23536 N·m at the start, and passing level on the far side
/// −0.47072 N·m (MuJoCo 4.0.0, see the tests).
/// ```
/// # use pulsewright_test_support::agrees;
/// use pulsewright_calc::axis::{self, Carried};
/// use pulsewright_calc::units::{Angle, Force, Length, Mass};
/// use uom::si::{angle::degree, force::newton, length::millimeter, mass::kilogram};
/// let zero = Force::new::<newton>(0.0);
/// let carried =
///     Carried { mass: Mass::new::<kilogram>(0.4), external_force: zero, drag_force: zero };
/// let (start, travel) = (Angle::new::<degree>(60.0), Angle::new::<degree>(150.0));
/// let torques = axis::arm_move(carried, Length::new::<millimeter>(120.0), start, travel);
/// assert!(agrees(torques.at_start.value, "0.23536"));
/// assert!(agrees(torques.greatest.value, "0.23536"));
/// assert!(agrees(torques.least.value, "-0.47072"));
/// ```
///
/// # Sources
/// Statics of the lever.
#[must_use]
pub fn arm_move(carried: Carried, radius: Length, start_angle: Angle, travel: Angle) -> ArmMove {
    let end_angle = start_angle + travel;
    let force: Torque = (carried.external_force * radius).into();
    let crest: Torque = (weight(carried.mass) * radius).into();
    let at = |angle| gravity_torque(carried.mass, radius, angle) + force;
    let (at_start, at_end) = (at(start_angle), at(end_angle));
    let (from, to) = (
        start_angle.value.min(end_angle.value),
        start_angle.value.max(end_angle.value),
    );
    // Level is passed where a whole turn from it lies within the travel.
    let passes = |angle: f64| ((to - angle) / TAU).floor() >= ((from - angle) / TAU).ceil();
    ArmMove {
        at_start,
        at_end,
        greatest: if passes(0.0) {
            crest + force
        } else {
            at_start.max(at_end)
        },
        least: if passes(PI) {
            force - crest
        } else {
            at_start.min(at_end)
        },
        friction: (carried.drag_force * radius).into(),
        start: start_angle,
        travel,
        crest,
        force,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::angle::degree;
    use uom::si::force::newton;
    use uom::si::length::{meter, millimeter};
    use uom::si::mass::kilogram;
    use uom::si::torque::newton_meter;

    use super::*;
    use pulsewright_test_support::agrees;

    fn screw(lead: f64, diameter: f64, friction: f64, flank: f64) -> Screw {
        Screw {
            lead: Length::new::<millimeter>(lead),
            mean_diameter: Length::new::<millimeter>(diameter),
            thread_friction: Ratio::from(friction),
            flank_angle: Angle::new::<degree>(flank),
            collar_friction: Ratio::from(0.0),
            collar_diameter: Length::new::<millimeter>(0.0),
        }
    }

    fn travel(mass: f64, slope: f64, friction: f64, force: f64, drag: f64) -> Travel {
        Travel {
            carried: Carried {
                mass: Mass::new::<kilogram>(mass),
                external_force: Force::new::<newton>(force),
                drag_force: Force::new::<newton>(drag),
            },
            slope: Angle::new::<degree>(slope),
            friction_coefficient: Ratio::from(friction),
        }
    }

    fn torque(axial_force: f64, screw: Screw) -> f64 {
        screw_torque(Force::new::<newton>(axial_force), screw)
            .unwrap()
            .value
    }

    fn efficiency(axial_force: f64, screw: Screw) -> f64 {
        axial_force * screw.lead.value / (TAU * torque(axial_force, screw))
    }

    #[test]
    fn shigley_square_thread_with_collar() {
        // Shigley, Mechanical Engineering Design, Ex. 8-1 (results from memory).
        let mut jack = screw(8.0, 30.0, 0.08, 0.0);
        jack.collar_friction = Ratio::from(0.08);
        jack.collar_diameter = Length::new::<millimeter>(40.0);
        let load = screw_by_threads(travel(0.0, 0.0, 0.0, 6400.0, 0.0), jack).unwrap();
        assert!(agrees(
            (load.holding_torque / load.load_torque).value,
            "0.311"
        ));
        assert!(!back_driving(load, Some(Torque::new::<newton_meter>(0.0))).moves);
    }

    #[test]
    fn wentzell_square_thread() {
        // Wentzell, Machine Design, Ex. 18.1–18.2, pp. 399–400: η in per cent.
        let thread = screw(25.4 / 3.0, 25.4 * 1.354, 0.15, 0.0);
        assert!(agrees(100.0 * efficiency(2900.0, thread), "33.91"));
        assert!(
            torque(-2900.0, thread) > 0.0,
            "self-locking, as the book says"
        );
    }

    #[test]
    fn jindal_triple_start_trapezoidal_thread() {
        // Jindal, Machine Design, Ex. 16-2, p. 451, recomputed with dm = 46.5 mm. The book's thread
        // model is tan(φ ± α) with μ/cos 15°, the same as sec α beside f.
        let mut thread = screw(21.0, 46.5, 0.12, 15.0);
        thread.collar_friction = Ratio::from(0.15);
        thread.collar_diameter = Length::new::<millimeter>(40.0);
        assert!(agrees(torque(20_000.0, thread), "186.88"));
        assert!(agrees(torque(-20_000.0, thread), "51.083"));
        assert!(agrees(efficiency(20_000.0, thread), "0.3577"));
    }

    #[test]
    fn tayal_screw_jack() {
        // Tayal, Engineering Mechanics, Ex. 7.10: force in kN at a 0.5 m lever; the radius of 50
        // mm is that of the thread, and lowering needs the force printed with a minus sign.
        let thread = screw(12.5, 100.0, 0.2, 0.0);
        assert!(agrees(torque(50_000.0, thread) / 0.5 / 1e3, "1.208561"));
        assert!(agrees(-torque(-50_000.0, thread) / 0.5 / 1e3, "-0.794732"));
        assert!(agrees(100.0 * efficiency(50_000.0, thread), "16.461202"));
    }

    #[test]
    fn screw_by_efficiency() {
        // A ball screw of 10 mm lead, 20 kN, 0.7: 45.5 N·m (engineeringprep.com, problem 516).
        let radius = effective_radius(Length::new::<millimeter>(10.0));
        let moved = travel(0.0, 0.0, 0.0, 20_000.0, 0.0);
        let load = linear(moved, radius, Ratio::from(0.7)).unwrap();
        assert!(agrees(load.load_torque.value, "45.5"));
    }

    #[test]
    fn self_locking_limit() {
        // Computed from Shigley ch. 8: 30° thread, μ = 0.15.
        assert!(agrees(
            efficiency(10.0, screw(8.0, 7.0, 0.15, 15.0)),
            "0.6612"
        ));
        assert!(agrees(
            efficiency(10.0, screw(2.0, 7.0, 0.15, 15.0)),
            "0.3641"
        ));
        assert!(torque(-10.0, screw(8.0, 7.0, 0.15, 15.0)) < 0.0);
        assert!(torque(-10.0, screw(2.0, 7.0, 0.15, 15.0)) > 0.0);
    }

    #[test]
    fn rack_of_the_published_checks() {
        // Computed: module 0.5, 16 teeth, 10 N, 0.9: 44.44 mN·m.
        let turn = rack_travel(16, ratio::from_decimal("0.5e-3").unwrap()).unwrap();
        let radius = effective_radius(travel_length(turn).unwrap());
        let moved = travel(0.0, 0.0, 0.0, 10.0, 0.0);
        let load = linear(moved, radius, Ratio::from(0.9)).unwrap();
        assert!(agrees(load.load_torque.value * 1e3, "44.44"));
    }

    #[test]
    fn impossible_screws_are_refused() {
        let force = Force::new::<newton>(1.0);
        for binding in [screw(100.0, 10.0, 0.5, 0.0), screw(8.0, 7.0, 0.5, 85.0)] {
            assert_eq!(screw_torque(force, binding), Err(ScrewError::Binds));
            assert_eq!(screw_torque(-force, binding), Err(ScrewError::Binds));
        }
        for none in [
            screw(8.0, 0.0, 0.1, 0.0),
            screw(8.0, 7.0, 0.1, 90.0),
            screw(8.0, 7.0, 0.1, 360.0),
        ] {
            assert_eq!(screw_torque(force, none), Err(ScrewError::Impossible));
        }
        let jack = screw(100.0, 10.0, 0.5, 0.0);
        assert!(screw_by_threads(travel(1.0, 0.0, 0.0, 0.0, 0.0), jack).is_err());
    }

    #[test]
    fn load_that_pulls_moves_itself() {
        // A slope of −30° without friction: the load torque itself is negative.
        let radius = Length::new::<meter>(0.01);
        let load = linear(travel(1.0, -30.0, 0.0, 0.0, 0.0), radius, Ratio::from(0.9)).unwrap();
        let result = back_driving(load, Some(Torque::new::<newton_meter>(0.01)));
        assert!(load.load_torque.value < 0.0 && result.moves);
        assert!(!back_driving(load, Some(Torque::new::<newton_meter>(1.0))).moves);
    }

    proptest! {
        #[test]
        fn no_friction_is_the_textbook_ideal(
            mass in 0.0..10.0_f64, slope in -90.0..90.0_f64, force in -50.0..50.0_f64, lead in 1.0..40.0_f64,
        ) {
            let moved = travel(mass, slope, 0.0, force, 0.0);
            let radius = effective_radius(Length::new::<millimeter>(lead));
            let belt = linear(moved, radius, Ratio::from(1.0)).unwrap();
            let screw = screw_by_threads(moved, screw(lead, 20.0, 0.0, 15.0)).unwrap();
            for load in [belt, screw] {
                let ideal = load.holding_torque.value;
                prop_assert!((load.load_torque.value - ideal).abs() < 1e-12);
                prop_assert!((load.load_torque_return.value + ideal).abs() < 1e-12);
                prop_assert!(load.friction_torque().value.abs() < 1e-12);
            }
        }

        #[test]
        fn friction_never_helps(
            mass in 0.0..10.0_f64, slope in -90.0..90.0_f64, mu in 0.0..1.0_f64, force in -50.0..50.0_f64,
            drag in 0.0..20.0_f64, eta in 0.05..1.0_f64, i in 0.2..50.0_f64,
        ) {
            let moved = travel(mass, slope, mu, force, drag);
            let belt = linear(moved, Length::new::<meter>(0.01), Ratio::from(eta)).unwrap();
            let screw = screw_by_threads(moved, screw(8.0, 10.0, mu / 2.0, 15.0)).unwrap();
            let reduction = Reduction { ratio: Ratio::from(i), efficiency: Ratio::from(eta) };
            for load in [belt, screw, carry_load(belt, reduction).unwrap(), carry_load(screw, reduction).unwrap()] {
                prop_assert!(load.friction_torque().value >= -1e-12);
                prop_assert!((load.load_torque + load.load_torque_return).value >= -1e-12);
            }
        }

        #[test]
        fn a_last_stage_of_one_changes_nothing(holding in -5.0..5.0_f64, drag in 0.0..5.0_f64) {
            let load = given(Torque::new::<newton_meter>(holding), Force::new::<newton>(drag), Length::new::<meter>(1.0));
            let one = Reduction { ratio: Ratio::from(1.0), efficiency: Ratio::from(1.0) };
            prop_assert_eq!(carry_load(load, one), Some(load));
        }

        #[test]
        fn arm_height_is_that_of_a_fine_search(start in -400.0..400.0_f64, by in -800.0..800.0_f64) {
            let (start, by) = (Angle::new::<degree>(start), Angle::new::<degree>(by));
            let height = arm_height(Length::new::<meter>(1.0), start, by).value;
            let sines = (0..=4000).map(|k| libm::sin(start.value + by.value * f64::from(k) / 4000.0));
            let (low, high) = sines.fold((2.0_f64, -2.0_f64), |(l, h), s| (l.min(s), h.max(s)));
            prop_assert!((height - (high - low)).abs() < 1e-4);
        }
    }

    fn arm_from(start: f64, travel: f64, force: f64, drag: f64) -> ArmMove {
        let carried = Carried {
            mass: Mass::new::<kilogram>(0.4),
            external_force: Force::new::<newton>(force),
            drag_force: Force::new::<newton>(drag),
        };
        arm_move(
            carried,
            Length::new::<meter>(0.12),
            Angle::new::<degree>(start),
            Angle::new::<degree>(travel),
        )
    }

    /// MuJoCo 4.0.0, gravity −9.80665 m/s²: a sphere of 0.4 kg at 0.12 m on a hinge about −y;
    /// `d.qpos[0] = radians(a); mj_forward(m, d); d.qfrc_bias[0]`, and the least and greatest of
    /// it over 721 angles of each move.
    #[test]
    fn arm_by_angle_agrees_with_mujoco() {
        for (degrees, torque) in [
            (0.0, 0.470_719_200),
            (-50.0, 0.302_572_469),
            (30.0, 0.407_654_785),
            (89.0, 0.008_215_183),
            (120.0, -0.235_359_600),
            (180.0, -0.470_719_200),
            (250.0, -0.160_995_448),
        ] {
            let angle = Angle::new::<degree>(degrees);
            let mass = Mass::new::<kilogram>(0.4);
            let found = gravity_torque(mass, Length::new::<meter>(0.12), angle);
            assert!((found.value - torque).abs() < 1e-9, "{degrees}");
        }
        for (start, travel, least, greatest) in [
            (-50.0, 75.0, 0.302_572_469, 0.470_719_200),
            (30.0, 60.0, 0.0, 0.407_654_785),
            (60.0, 150.0, -0.470_719_200, 0.235_359_600),
            (100.0, -250.0, -0.407_654_785, 0.470_719_200),
            (-170.0, 400.0, -0.470_719_200, 0.470_719_200),
        ] {
            let torques = arm_from(start, travel, 0.0, 0.0);
            assert!((torques.least.value - least).abs() < 1e-9, "{start}");
            assert!((torques.greatest.value - greatest).abs() < 1e-9, "{start}");
        }
    }

    #[test]
    fn arm_keeps_force_and_friction_apart() {
        // By hand: a spring of 1 N and a cable of 0.5 N at 0.12 m, weight 0.470719 N·m.
        let torques = arm_from(0.0, 180.0, 1.0, 0.5);
        assert!(agrees(torques.at_start.value, "0.590719"));
        assert!(agrees(torques.at_end.value, "-0.350719"));
        assert!(agrees(torques.friction.value, "0.0600"));
        let worst = torques.worst();
        assert!(agrees(worst.load_torque.value, "0.650719"));
        assert!(agrees(worst.load_torque_return.value, "0.410719"));
        assert!(agrees(worst.holding_torque.value, "0.590719"));
        assert!(agrees(torques.load_at_end().load_torque.value, "-0.290719"));
        // A level arm that does not move is the plain arm.
        let still = arm_from(0.0, 0.0, 1.0, 0.5).load_at_start();
        let carried = Carried {
            mass: Mass::new::<kilogram>(0.4),
            external_force: Force::new::<newton>(1.0),
            drag_force: Force::new::<newton>(0.5),
        };
        assert_eq!(still, arm(carried, Length::new::<meter>(0.12)));
    }

    proptest! {
        #[test]
        fn arm_extremes_are_those_of_a_fine_search(
            start in -400.0..400.0_f64, by in -800.0..800.0_f64, force in -5.0..5.0_f64,
        ) {
            let torques = arm_from(start, by, force, 0.0);
            let at = |k: u32| {
                let angle = Angle::new::<degree>(start + by * f64::from(k) / 4000.0);
                gravity_torque(Mass::new::<kilogram>(0.4), Length::new::<meter>(0.12), angle).value
                    + 0.12 * force
            };
            let (low, high) = (0..=4000).map(at).fold((9.0_f64, -9.0_f64), |(l, h), t| (l.min(t), h.max(t)));
            prop_assert!((torques.least.value - low).abs() < 1e-5);
            prop_assert!((torques.greatest.value - high).abs() < 1e-5);
        }
    }
}
