//! Winding, rotor, gears and load between two samples: linear inside a mode, propagated by cached
//! matrix exponentials, with the events between modes found on the Taylor series of the step.

#[cfg(not(any(test, feature = "std")))]
use crate::float::{Rounding as _, SquareRoot as _};
use crate::roots::bracketed;

/// Greatest number of events in a period; beyond it the period ends in its present mode.
const MOST_EVENTS: u32 = 64;

/// Terms of a series; at a rate times step of 1 the last one is below 1e-26.
const TERMS: usize = 26;

/// Greatest rate times step for which a series is formed.
const LONGEST_SERIES: f64 = 1.0;

/// Greatest distance between an event and the moment found for it, s.
const EVENT_TOLERANCE: f64 = 1e-12;

/// Moments, as shares of a step, at which a guard that starts at its limit is looked at.
const FRESH: [f64; 8] = [1e-4, 1e-3, 1e-2, 0.05, 0.15, 0.35, 0.6, 0.85];

/// Work of a sub-step whose guards are not all at hand, of one series, and of looking for the moment
/// of one event on it, in plain sub-steps: measured.
const GUARDED_WORK: u64 = 2;
const SERIES_WORK: u64 = 16;
const CROSSING_WORK: u64 = 32;

/// Points and weights of a Gauss–Legendre sum of six points on 0 to 1 (Abramowitz & Stegun,
/// table 25.4).
const GAUSS: [(f64, f64); 6] = [
    (0.033_765_242_898_423_99, 0.085_662_246_189_585_17),
    (0.169_395_306_766_867_74, 0.180_380_786_524_069_3),
    (0.380_690_406_958_401_56, 0.233_956_967_286_345_52),
    (0.619_309_593_041_598_5, 0.233_956_967_286_345_52),
    (0.830_604_693_233_132_3, 0.180_380_786_524_069_3),
    (0.966_234_757_101_576, 0.085_662_246_189_585_17),
];

/// Current, motor speed, load speed and twist, then the motor angle turned since the step began.
pub(super) type State = [f64; 5];

const CURRENT: usize = 0;
const MOTOR: usize = 1;
const LOAD: usize = 2;
const TWIST: usize = 3;
const TURNED: usize = 4;

/// Constants of the plant, in SI.
#[derive(Debug, Clone, Copy)]
pub(super) struct Constants {
    pub resistance: f64,
    pub inductance: f64,
    pub motor_constant: f64,
    pub rotor_inertia: f64,
    pub motor_friction: f64,
    pub motor_static: f64,
    pub ratio: f64,
    /// a and h of the model: mean of and half the difference between 1/η and η_r.
    pub gear_mean: f64,
    pub gear_band: f64,
    pub half_backlash: f64,
    pub stiffness: f64,
    pub damping: f64,
    pub load_inertia: f64,
    pub load_friction: f64,
    pub load_static: f64,
    pub current_limit: f64,
}

impl Constants {
    /// What a tooth torque of 1 accelerates, the gear loss in its stronger direction included.
    fn mobility(&self) -> f64 {
        let gain = self.gear_mean + self.gear_band;
        let gain = gain.max((self.gear_mean - self.gear_band).abs());
        gain / (self.ratio * self.ratio * self.rotor_inertia) + 1.0 / self.load_inertia
    }

    /// Fastest rate of any mode, 1/s: what a series must be short against.
    fn fastest_rate(&self) -> f64 {
        (self.resistance / self.inductance)
            .max(self.motor_constant / (self.inductance * self.rotor_inertia).sqrt())
            .max((self.stiffness * self.mobility()).sqrt())
            .max(self.damping * self.mobility())
    }

    /// Longest sub-step of a period.
    fn longest_step(&self, period: f64) -> f64 {
        let contact = core::f64::consts::FRAC_PI_8 / (self.stiffness * self.mobility()).sqrt();
        (0.5 * period)
            .min(contact)
            .min(0.5 * self.inductance / self.resistance)
            .min(LONGEST_SERIES / self.fastest_rate())
    }

    fn backlash_free(&self) -> bool {
        self.half_backlash == 0.0
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Winding {
    Free,
    /// The current rests at its limit, with this sign.
    Limited(i8),
    Asleep,
}

/// Which equations hold: each sign is that of the closed side or of the motion, 0 for none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Mode {
    pub contact: i8,
    pub motor: i8,
    pub load: i8,
    pub winding: Winding,
}

impl Mode {
    fn index(self) -> usize {
        let digit = |sign: i8| usize::from((sign + 1).unsigned_abs());
        let frozen = usize::from(self.winding != Winding::Free);
        digit(self.contact) + 3 * (digit(self.motor) + 3 * (digit(self.load) + 3 * frozen))
    }
}

const MODES: usize = 54;

/// Linear equations of one mode: rates of the state and the tooth torque T.
#[derive(Debug, Clone, Copy, Default)]
struct Equations {
    current: [f64; 3],
    motor: [f64; 3],
    load: [f64; 3],
    torque: [f64; 4],
    inverse_ratio: f64,
}

/// Inputs of the equations: winding voltage, one, and the load's holding torque.
pub(super) type Inputs = [f64; 3];

impl Equations {
    fn torque(&self, x: &State, one: f64) -> f64 {
        let t = &self.torque;
        t[0] * x[MOTOR] + t[1] * x[LOAD] + t[2] * x[TWIST] + t[3] * one
    }

    fn rates(&self, x: &State, inputs: &Inputs) -> State {
        let [voltage, one, holding] = *inputs;
        let torque = self.torque(x, one);
        let (c, m, l) = (&self.current, &self.motor, &self.load);
        [
            c[0] * x[CURRENT] + c[1] * x[MOTOR] + c[2] * voltage,
            m[0] * x[CURRENT] + m[1] * torque + m[2] * one,
            l[0] * torque + l[1] * one + l[2] * holding,
            x[MOTOR] * self.inverse_ratio - x[LOAD],
            x[MOTOR],
        ]
    }
}

/// Exponential of one mode over a sub-step: the new state from the old and from the inputs.
#[derive(Debug, Clone, Copy, Default)]
struct Transition {
    state: [[f64; 4]; 5],
    inputs: [[f64; 3]; 5],
}

impl Transition {
    fn of(equations: &Equations, step: f64, rate: f64) -> Self {
        let mut halvings = 0;
        let mut short = step;
        while short * rate > LONGEST_SERIES && halvings < 60 {
            short *= 0.5;
            halvings += 1;
        }
        let mut transition = Self::default();
        for column in 0..7 {
            let mut x = [0.0; 5];
            let mut inputs = [0.0; 3];
            if column < 4 {
                x[column] = 1.0;
            } else {
                inputs[column - 4] = 1.0;
            }
            let end = Series::of(equations, &x, &inputs, short).at(1.0);
            for (row, value) in end.iter().enumerate() {
                if column < 4 {
                    transition.state[row][column] = *value;
                } else {
                    transition.inputs[row][column - 4] = *value;
                }
            }
        }
        for _ in 0..halvings {
            transition = transition.twice();
        }
        transition
    }

    /// The same over twice the time.
    fn twice(&self) -> Self {
        let mut twice = *self;
        for row in 0..5 {
            let turned = f64::from(u8::from(row == TURNED));
            for column in 0..4 {
                let product: f64 = (0..4)
                    .map(|k| self.state[row][k] * self.state[k][column])
                    .sum();
                twice.state[row][column] = product + turned * self.state[row][column];
            }
            for column in 0..3 {
                let product: f64 = (0..4)
                    .map(|k| self.state[row][k] * self.inputs[k][column])
                    .sum();
                // The old input adds to every row but is itself carried only by the turned angle.
                twice.inputs[row][column] = product + self.inputs[row][column];
                if row == TURNED {
                    twice.inputs[row][column] += self.inputs[row][column];
                }
            }
        }
        twice
    }

    /// What constant inputs add over the step.
    fn forced(&self, inputs: &Inputs) -> State {
        self.inputs
            .map(|row| row[0] * inputs[0] + row[1] * inputs[1] + row[2] * inputs[2])
    }

    #[inline]
    fn apply(&self, x: &State, forced: &State) -> State {
        let [a, b, c, d, e] = &self.state;
        let row = |m: &[f64; 4]| m[0] * x[0] + m[1] * x[1] + m[2] * x[2] + m[3] * x[3];
        [
            forced[0] + row(a),
            forced[1] + row(b),
            forced[2] + row(c),
            forced[3] + row(d),
            forced[4] + row(e),
        ]
    }
}

/// Taylor series of the state over a step, in the share of it that has passed.
#[derive(Debug, Clone, Copy)]
struct Series {
    terms: [State; TERMS],
    count: usize,
}

impl Series {
    fn of(equations: &Equations, x: &State, inputs: &Inputs, step: f64) -> Self {
        let mut terms = [[0.0; 5]; TERMS];
        terms[0] = *x;
        terms[0][TURNED] = 0.0;
        let mut greatest = terms[0].map(f64::abs);
        let mut inputs = *inputs;
        let mut count = 1;
        let mut quiet = 0;
        while count < TERMS && quiet < 3 {
            let factor = step / count as f64;
            let term = equations
                .rates(&terms[count - 1], &inputs)
                .map(|rate| rate * factor);
            inputs = [0.0; 3];
            let mut small = true;
            for (size, value) in greatest.iter_mut().zip(&term) {
                small &= value.abs() <= 1e-18 * *size;
                *size = size.max(value.abs());
            }
            quiet = if small { quiet + 1 } else { 0 };
            terms[count] = term;
            count += 1;
        }
        Self { terms, count }
    }

    fn at(&self, share: f64) -> State {
        let mut x = self.terms[self.count - 1];
        for term in self.terms[..self.count - 1].iter().rev() {
            for (value, add) in x.iter_mut().zip(term) {
                *value = *value * share + add;
            }
        }
        x
    }
}

/// One of the four kinds of guard, in the order in which simultaneous events are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Guard {
    Contact,
    Motor,
    Load,
    Winding,
}

const GUARDS: [Guard; 4] = [Guard::Contact, Guard::Motor, Guard::Load, Guard::Winding];

/// Where in a step a guard is crossed.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Crossing {
    /// At this share of the step.
    At(f64),
    /// At its very start, by a body that has just begun to move and does not get away.
    Fresh,
}

impl Crossing {
    fn share(self) -> f64 {
        match self {
            Self::At(share) => share,
            Self::Fresh => 0.0,
        }
    }
}

/// What was turned into heat or stored elsewhere, J; the parts of the energy balance.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Losses {
    pub electrical: f64,
    pub copper: f64,
    pub motor_friction: f64,
    pub gears: f64,
    pub damping: f64,
    pub load_friction: f64,
    pub lifted: f64,
    pub cut_off: f64,
}

/// One accepted step, as an observer sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Passed<'a> {
    pub elapsed: f64,
    pub step: f64,
    pub before: &'a State,
    pub after: &'a State,
    pub mode: Mode,
    pub voltage: f64,
    /// Rates of the current at both ends.
    pub current_rates: (f64, f64),
}

/// Who looks at every accepted step.
pub(super) trait Observer {
    /// Sees one step. Inlined: most of a run is the plain step with this look at it.
    fn see(&mut self, passed: &Passed<'_>);
}

/// Shows a step that is not one of many.
#[inline(never)]
fn seen(observer: &mut impl Observer, passed: &Passed<'_>) {
    observer.see(passed);
}

/// The plant with its present state and mode.
#[derive(Debug, Clone)]
pub(super) struct Plant {
    pub constants: Constants,
    pub mode: Mode,
    pub x: State,
    pub losses: Option<Losses>,
    pub events: u64,
    pub events_cut: bool,
    /// Sub-steps, series and crossings so far, in plain sub-steps.
    pub work: u64,
    /// How much of it there may be.
    pub most_work: u64,
    /// Whether that ended the last period before its end.
    pub exhausted: bool,
    sub_steps: u32,
    sub_step: f64,
    period: f64,
    rate: f64,
    equations: [Equations; MODES],
    transitions: [Option<Transition>; MODES],
    winding_decay: f64,
}

impl Plant {
    pub fn new(
        constants: Constants,
        period: f64,
        refinement: u32,
        twist: f64,
        losses: Option<Losses>,
        most_work: u64,
    ) -> Self {
        let rate = constants.fastest_rate();
        let longest = constants.longest_step(period);
        let sub_steps = (period / longest * f64::from(refinement.max(1)) * (1.0 - 1e-12)).ceil();
        // The cast saturates; the caller bounds the work.
        let sub_steps = (sub_steps as u32).max(1);
        let contact =
            if twist > constants.half_backlash || (constants.backlash_free() && twist >= 0.0) {
                1
            } else if twist < -constants.half_backlash {
                -1
            } else {
                0
            };
        let mut plant = Self {
            constants,
            mode: Mode {
                contact,
                motor: 0,
                load: 0,
                winding: Winding::Free,
            },
            x: [0.0, 0.0, 0.0, twist, 0.0],
            losses,
            events: 0,
            events_cut: false,
            work: 0,
            most_work,
            exhausted: false,
            sub_steps,
            sub_step: period / f64::from(sub_steps),
            period,
            rate,
            equations: [Equations::default(); MODES],
            transitions: [None; MODES],
            winding_decay: libm::exp(-period * constants.resistance / constants.inductance),
        };
        for contact in -1..=1 {
            for motor in -1..=1 {
                for load in -1..=1 {
                    for winding in [Winding::Free, Winding::Asleep] {
                        let mode = Mode {
                            contact,
                            motor,
                            load,
                            winding,
                        };
                        plant.equations[mode.index()] = plant.equations_of(mode);
                    }
                }
            }
        }
        if plant.motor_is_smooth() {
            plant.mode.motor = 1;
        }
        if plant.load_is_smooth() {
            plant.mode.load = 1;
        }
        plant
    }

    /// Without any friction the sign of the speed does not matter, and a body never sticks.
    fn motor_is_smooth(&self) -> bool {
        self.constants.motor_friction == 0.0 && self.constants.gear_band == 0.0
    }

    fn load_is_smooth(&self) -> bool {
        self.constants.load_friction == 0.0
    }

    fn equations_of(&self, mode: Mode) -> Equations {
        let c = &self.constants;
        let (contact, motor, load) = (
            f64::from(mode.contact),
            f64::from(mode.motor),
            f64::from(mode.load),
        );
        let mut equations = Equations {
            inverse_ratio: 1.0 / c.ratio,
            ..Equations::default()
        };
        if mode.winding == Winding::Free {
            equations.current =
                [-c.resistance, -c.motor_constant, 1.0].map(|value| value / c.inductance);
        }
        if mode.contact != 0 {
            equations.torque = [
                c.damping / c.ratio,
                -c.damping,
                c.stiffness,
                -contact * c.half_backlash * c.stiffness,
            ];
        }
        if mode.motor != 0 {
            let gain = c.gear_mean + motor * contact * c.gear_band;
            equations.motor = [c.motor_constant, -gain / c.ratio, -motor * c.motor_friction]
                .map(|value| value / c.rotor_inertia);
        }
        if mode.load != 0 {
            equations.load =
                [1.0, -load * c.load_friction, -1.0].map(|value| value / c.load_inertia);
        }
        equations
    }

    fn active(&self) -> &Equations {
        &self.equations[self.mode.index()]
    }

    /// Tooth torque T.
    pub fn torque(&self) -> f64 {
        self.active().torque(&self.x, 1.0)
    }

    /// Torque that the winding and the teeth put on the rotor, and the static limit of its friction.
    fn motor_balance(&self, x: &State, torque: f64) -> (f64, f64) {
        let c = &self.constants;
        (
            c.motor_constant * x[CURRENT] - c.gear_mean * torque / c.ratio,
            c.motor_static + c.gear_band * torque.abs() / c.ratio,
        )
    }

    /// The current at which the motor, which sticks, breaks loose in the direction of `way`.
    pub fn breaking_current(&self, way: f64) -> Option<f64> {
        let c = &self.constants;
        let (drive, limit) = self.motor_balance(&self.x, self.torque());
        let teeth = c.motor_constant * self.x[CURRENT] - drive;
        let current = (teeth + limit.copysign(way)) / c.motor_constant;
        let sticks = self.mode.motor == 0 && self.mode.winding != Winding::Asleep;
        (sticks && current.abs() < c.current_limit).then_some(current)
    }

    fn voltage_left(&self, x: &State, voltage: f64) -> f64 {
        let c = &self.constants;
        voltage - c.resistance * x[CURRENT] - c.motor_constant * x[MOTOR]
    }

    /// How far an open contact is from closing on one side: ≤ 0 open.
    fn approach(&self, x: &State, side: f64) -> f64 {
        let c = &self.constants;
        let press = side * x[TWIST] - c.half_backlash;
        let speed = side * (x[MOTOR] / c.ratio - x[LOAD]);
        press.min((c.stiffness * press + c.damping * speed) / c.stiffness)
    }

    /// Value of a guard: negative where its event has happened.
    fn guard(&self, guard: Guard, x: &State, inputs: &Inputs) -> f64 {
        self.guard_at(guard, x, self.active().torque(x, 1.0), inputs)
    }

    /// The same where the tooth torque is known.
    #[inline]
    fn guard_at(&self, guard: Guard, x: &State, torque: f64, inputs: &Inputs) -> f64 {
        let c = &self.constants;
        match guard {
            Guard::Contact if self.mode.contact == 0 => {
                -self.approach(x, 1.0).max(self.approach(x, -1.0))
            }
            Guard::Contact => f64::from(self.mode.contact) * torque,
            Guard::Motor if self.motor_is_smooth() => 1.0,
            Guard::Motor if self.mode.motor != 0 => f64::from(self.mode.motor) * x[MOTOR],
            Guard::Motor => {
                let (drive, limit) = self.motor_balance(x, torque);
                limit * (1.0 + 1e-12) - drive.abs()
            }
            Guard::Load if self.load_is_smooth() => 1.0,
            Guard::Load if self.mode.load != 0 => f64::from(self.mode.load) * x[LOAD],
            Guard::Load => c.load_static * (1.0 + 1e-12) - (torque - inputs[2]).abs(),
            Guard::Winding => match self.mode.winding {
                Winding::Free => c.current_limit * (1.0 + 1e-12) - x[CURRENT].abs(),
                Winding::Limited(sign) => f64::from(sign) * self.voltage_left(x, inputs[0]),
                Winding::Asleep => 1.0,
            },
        }
    }

    fn clear(&self, x: &State, inputs: &Inputs) -> bool {
        let torque = self.active().torque(x, 1.0);
        self.guard_at(Guard::Contact, x, torque, inputs) >= 0.0
            && self.guard_at(Guard::Motor, x, torque, inputs) >= 0.0
            && self.guard_at(Guard::Load, x, torque, inputs) >= 0.0
            && self.guard_at(Guard::Winding, x, torque, inputs) >= 0.0
    }

    /// Signs of tooth torque, motor and load speed that the present mode keeps and its greatest current,
    /// where these four are all its guards.
    fn gates(&self) -> Option<[f64; 4]> {
        let Mode {
            contact,
            motor,
            load,
            winding,
        } = self.mode;
        let moves = contact != 0 && motor != 0 && load != 0;
        let sign = |smooth: bool, sign: i8| if smooth { 0.0 } else { f64::from(sign) };
        (moves && winding == Winding::Free).then(|| {
            [
                f64::from(contact),
                sign(self.motor_is_smooth(), motor),
                sign(self.load_is_smooth(), load),
                self.constants.current_limit * (1.0 + 1e-12),
            ]
        })
    }

    /// Where in the step a violated guard is crossed.
    fn crossing(&self, guard: Guard, series: &Series, inputs: &Inputs, step: f64) -> Crossing {
        let value = |share: f64| self.guard(guard, &series.at(share), inputs);
        let low = if value(0.0) > 0.0 {
            Some(0.0)
        } else {
            FRESH.into_iter().find(|&share| value(share) > 0.0)
        };
        match low {
            None => Crossing::Fresh,
            Some(low) => {
                let tolerance = EVENT_TOLERANCE / step;
                Crossing::At(bracketed(value, low, 1.0, tolerance, 80).unwrap_or(1.0))
            }
        }
    }

    /// Changes the mode at an event; what has just begun to move and does not get away sticks.
    fn change(&mut self, guard: Guard, inputs: &Inputs, crossing: Crossing) {
        let c = self.constants;
        match guard {
            Guard::Contact => {
                let was = self.mode.contact;
                let press = |x: &State, side: i8| f64::from(side) * x[TWIST] - c.half_backlash;
                self.mode.contact = if c.backlash_free() {
                    -was
                } else if was != 0 {
                    0
                } else if self.approach(&self.x, 1.0) >= self.approach(&self.x, -1.0) {
                    1
                } else {
                    -1
                };
                // The spring that opens while still pressed relaxes by itself in its damper.
                let (side, sign) = if was == 0 {
                    (self.mode.contact, -0.5)
                } else {
                    (was, 0.5)
                };
                if let Some(losses) = &mut self.losses
                    && !c.backlash_free()
                {
                    let left = press(&self.x, side);
                    losses.damping += sign * c.stiffness * left * left;
                }
            }
            Guard::Motor => {
                let moving = self.mode.motor != 0;
                let (drive, limit) = self.motor_balance(&self.x, self.torque());
                let sticks = moving && (crossing == Crossing::Fresh || drive.abs() <= limit);
                self.mode.motor = if sticks { 0 } else { sign_of(drive) };
            }
            Guard::Load => {
                let moving = self.mode.load != 0;
                let drive = self.torque() - inputs[2];
                let sticks =
                    moving && (crossing == Crossing::Fresh || drive.abs() <= c.load_static);
                self.mode.load = if sticks { 0 } else { sign_of(drive) };
            }
            Guard::Winding => {
                self.mode.winding = match self.mode.winding {
                    Winding::Free => {
                        let sign = sign_of(self.x[CURRENT]);
                        self.x[CURRENT] = f64::from(sign) * c.current_limit;
                        Winding::Limited(sign)
                    }
                    _ => Winding::Free,
                };
            }
        }
    }

    /// Takes the mode changes that are due without any time passing, after an event or a new
    /// voltage: what stuck may be overloaded, and the winding may leave or meet its limit.
    fn settle(&mut self, inputs: &Inputs, event: Option<Guard>) {
        let c = self.constants;
        let torque = self.torque();
        if self.mode.motor == 0 {
            let (drive, limit) = self.motor_balance(&self.x, torque);
            if drive.abs() > limit * (1.0 + 1e-9) {
                self.mode.motor = sign_of(drive);
            }
        }
        if self.mode.load == 0 {
            let drive = torque - inputs[2];
            if drive.abs() > c.load_static * (1.0 + 1e-9) {
                self.mode.load = sign_of(drive);
            }
        }
        let left = self.voltage_left(&self.x, inputs[0]);
        match self.mode.winding {
            Winding::Limited(sign) if f64::from(sign) * left < 0.0 => {
                self.mode.winding = Winding::Free
            }
            // Just released, the current hangs at its limit with no voltage left either way.
            Winding::Free if event == Some(Guard::Winding) => {}
            Winding::Free if self.x[CURRENT].abs() >= c.current_limit * (1.0 - 1e-12) => {
                let sign = sign_of(self.x[CURRENT]);
                if f64::from(sign) * left > 0.0 {
                    self.x[CURRENT] = f64::from(sign) * c.current_limit;
                    self.mode.winding = Winding::Limited(sign);
                }
            }
            _ => {}
        }
    }

    /// Carries the state over one period of constant voltage; an absent voltage is a sleeping
    /// bridge. The observer sees every step.
    pub fn advance(&mut self, voltage: Option<f64>, holding: f64, observer: &mut impl Observer) {
        let inputs = [voltage.unwrap_or(0.0), 1.0, holding];
        self.mode.winding = match (voltage, self.mode.winding) {
            (None, _) => {
                if let Some(losses) = &mut self.losses {
                    losses.cut_off +=
                        0.5 * self.constants.inductance * self.x[CURRENT] * self.x[CURRENT];
                }
                self.x[CURRENT] = 0.0;
                Winding::Asleep
            }
            (Some(_), Winding::Asleep) => Winding::Free,
            (Some(_), winding) => winding,
        };
        self.settle(&inputs, None);
        if self.rests(&inputs, observer) {
            return;
        }
        let mut events = 0;
        let mut step = 0;
        while step < self.sub_steps && !self.exhausted {
            if self.losses.is_none() && events <= MOST_EVENTS {
                step = self.glide(step, &inputs, observer);
            }
            if step < self.sub_steps && !self.exhausted {
                let elapsed = f64::from(step) * self.sub_step;
                self.by_series(&inputs, elapsed, &mut events, observer);
                step += 1;
            }
        }
    }

    /// Takes whole sub-steps of the present mode until one of them would cross a guard, and says which. Most
    /// of a run is this loop: all that it needs is at hand.
    fn glide(&mut self, from: u32, inputs: &Inputs, observer: &mut impl Observer) -> u32 {
        let index = self.mode.index();
        let transition = self.transition(index);
        let forced = transition.forced(inputs);
        let gates = self.gates();
        let equations = self.equations[index];
        let [by_current, by_speed, by_voltage] = equations.current;
        let rate =
            |x: &State| by_current * x[CURRENT] + by_speed * x[MOTOR] + by_voltage * inputs[0];
        let mut x = self.x;
        let mut rate_before = rate(&x);
        let mut step = from;
        let each = if gates.is_some() { 1 } else { GUARDED_WORK };
        // The cast saturates.
        let left = (self.most_work.saturating_sub(self.work) / each) as u32;
        let last = self.sub_steps.min(from.saturating_add(left));
        while step < last {
            let next = transition.apply(&x, &forced);
            let clear = match gates {
                Some([contact, motor, load, most]) => {
                    contact * equations.torque(&next, 1.0) >= 0.0
                        && motor * next[MOTOR] >= 0.0
                        && load * next[LOAD] >= 0.0
                        && next[CURRENT].abs() <= most
                }
                None => self.clear(&next, inputs),
            };
            if !clear {
                self.work += each;
                break;
            }
            let rate_after = rate(&next);
            observer.see(&Passed {
                elapsed: f64::from(step) * self.sub_step,
                step: self.sub_step,
                before: &x,
                after: &next,
                mode: self.mode,
                voltage: inputs[0],
                current_rates: (rate_before, rate_after),
            });
            rate_before = rate_after;
            x = next;
            step += 1;
        }
        self.x = x;
        self.work += each * u64::from(step - from);
        self.exhausted = self.work + each > self.most_work;
        step
    }

    fn transition(&mut self, index: usize) -> Transition {
        let (step, rate) = (self.sub_step, self.rate);
        let equations = &self.equations[index];
        *self.transitions[index].get_or_insert_with(|| Transition::of(equations, step, rate))
    }

    /// A period in which everything is stuck: only the current moves, monotonically, so that the
    /// guards need a look at the end alone.
    fn rests(&mut self, inputs: &Inputs, observer: &mut impl Observer) -> bool {
        let stuck = self.mode.motor == 0 && self.mode.load == 0;
        if !stuck || self.losses.is_some() {
            return false;
        }
        let mut next = self.x;
        next[TURNED] = 0.0;
        if self.mode.winding == Winding::Free {
            let last = inputs[0] / self.constants.resistance;
            next[CURRENT] = last + (self.x[CURRENT] - last) * self.winding_decay;
            if (next[CURRENT] - self.x[CURRENT]).abs() >= 1e-9 {
                return false;
            }
        }
        if !self.clear(&next, inputs) {
            return false;
        }
        self.work += 1;
        let rate = self.active().rates(&self.x, inputs)[CURRENT];
        seen(
            observer,
            &Passed {
                elapsed: 0.0,
                step: self.period,
                before: &self.x,
                after: &next,
                mode: self.mode,
                voltage: inputs[0],
                current_rates: (rate, self.active().rates(&next, inputs)[CURRENT]),
            },
        );
        self.x = next;
        true
    }

    /// One sub-step by series, with the events in it.
    fn by_series(
        &mut self,
        inputs: &Inputs,
        elapsed: f64,
        events: &mut u32,
        observer: &mut impl Observer,
    ) {
        let end = elapsed + self.sub_step;
        let mut from = elapsed;
        let longest = LONGEST_SERIES / self.rate;
        while end - from > 1e-15 * self.period {
            if self.work >= self.most_work {
                self.exhausted = true;
                return;
            }
            let step = (end - from).min(longest);
            let series = Series::of(self.active(), &self.x, inputs, step);
            self.work += SERIES_WORK;
            let last = series.at(1.0);
            let mut share = 1.0;
            let mut event = None;
            if *events <= MOST_EVENTS {
                for guard in GUARDS {
                    if self.guard(guard, &last, inputs) < 0.0 {
                        self.work += CROSSING_WORK;
                        let crossing = self.crossing(guard, &series, inputs, step);
                        if event.is_none() || (share - crossing.share()) * step > EVENT_TOLERANCE {
                            share = crossing.share();
                            event = Some((guard, crossing));
                        }
                    }
                }
            } else {
                self.events_cut = true;
            }
            let mut next = if event.is_none() {
                last
            } else {
                series.at(share)
            };
            match event {
                Some((Guard::Motor, _)) if self.mode.motor != 0 => next[MOTOR] = 0.0,
                Some((Guard::Load, _)) if self.mode.load != 0 => next[LOAD] = 0.0,
                _ => {}
            }
            if self.losses.is_some() {
                self.account(&series, share, step, inputs);
            }
            let before = self.x;
            let equations = *self.active();
            self.x = next;
            seen(
                observer,
                &Passed {
                    elapsed: from,
                    step: share * step,
                    before: &before,
                    after: &next,
                    mode: self.mode,
                    voltage: inputs[0],
                    current_rates: (
                        equations.rates(&before, inputs)[CURRENT],
                        equations.rates(&next, inputs)[CURRENT],
                    ),
                },
            );
            from = if event.is_none() && step >= end - from {
                end
            } else {
                from + share * step
            };
            if let Some((guard, crossing)) = event {
                self.change(guard, inputs, crossing);
                self.settle(inputs, Some(guard));
                *events += 1;
                self.events += 1;
            }
        }
    }

    /// Adds the energies of one step to the balance.
    fn account(&mut self, series: &Series, share: f64, step: f64, inputs: &Inputs) {
        let c = self.constants;
        let equations = *self.active();
        let mode = self.mode;
        let mut sums = [0.0; 4];
        let mut output_turned = 0.0;
        for (point, weight) in GAUSS {
            let x = series.at(point * share);
            let torque = equations.torque(&x, 1.0);
            let twist_rate = x[MOTOR] / c.ratio - x[LOAD];
            let weight = weight * share * step;
            sums[0] += weight * x[CURRENT] * x[CURRENT];
            sums[1] += weight * x[CURRENT] * x[MOTOR];
            sums[2] += weight * torque * x[MOTOR] / c.ratio;
            sums[3] += weight * f64::from(mode.contact.abs()) * twist_rate * twist_rate;
            output_turned += weight * x[LOAD];
        }
        let end = series.at(share);
        let Some(losses) = &mut self.losses else {
            return;
        };
        let copper = c.resistance * sums[0];
        losses.copper += copper;
        losses.electrical += match mode.winding {
            Winding::Free => {
                let charge = (inputs[0] * share * step
                    - c.inductance * (end[CURRENT] - series.terms[0][CURRENT])
                    - c.motor_constant * end[TURNED])
                    / c.resistance;
                inputs[0] * charge
            }
            Winding::Limited(_) => copper + c.motor_constant * sums[1],
            Winding::Asleep => 0.0,
        };
        losses.motor_friction += f64::from(mode.motor) * c.motor_friction * end[TURNED];
        let gain = c.gear_mean + f64::from(mode.motor * mode.contact) * c.gear_band;
        losses.gears += (gain - 1.0) * sums[2];
        losses.damping += c.damping * sums[3];
        losses.load_friction += f64::from(mode.load) * c.load_friction * output_turned;
        losses.lifted += inputs[2] * output_turned;
    }

    /// Energy in the inductance, the two inertias and the closed contact.
    pub fn stored(&self) -> [f64; 3] {
        let c = &self.constants;
        let press = if self.mode.contact == 0 {
            0.0
        } else {
            f64::from(self.mode.contact) * self.x[TWIST] - c.half_backlash
        };
        [
            0.5 * c.inductance * self.x[CURRENT] * self.x[CURRENT],
            0.5 * (c.rotor_inertia * self.x[MOTOR] * self.x[MOTOR]
                + c.load_inertia * self.x[LOAD] * self.x[LOAD]),
            0.5 * c.stiffness * press * press,
        ]
    }
}

fn sign_of(value: f64) -> i8 {
    if value < 0.0 { -1 } else { 1 }
}
