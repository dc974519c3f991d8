//! The model once more, marched in fixed tiny steps straight from its text: no modes, no
//! exponentials, no solved events. Slow, and independent of the code under test.

use pulsewright_calc::landing::{
    Actuator, LOAD_STATIC_FRICTION, Leg, MOTOR_STATIC_FRICTION, OnTarget, Rounding,
};
use pulsewright_calc::motion::state_at;
use pulsewright_calc::units::Ratio;
use std::f64::consts::TAU;

/// Figures of a brute-force run, in SI.
#[derive(Debug, Clone, Default)]
pub struct Figures {
    pub overshoot: f64,
    pub last_outside: f64,
    pub peak_current: f64,
    pub worst_error: f64,
    pub final_error: f64,
    pub droop: f64,
    pub swing: f64,
    /// From the start to the end of the last half second, and the longest ways up and down in it.
    pub drift: f64,
    pub up: f64,
    pub down: f64,
    pub reversals: u64,
    pub energy: f64,
    pub returned: f64,
    pub copper: f64,
    pub lost: u64,
    /// Position of the load at each sample from the start of the command.
    pub positions: Vec<f64>,
}

#[derive(Debug, Clone, Copy)]
struct Body {
    inverse_inertia: f64,
    /// Sign of its motion, 0 while it sticks.
    motion: f64,
}

impl Body {
    /// Acceleration under a drive torque against friction that is kinetic or static.
    fn acceleration(&self, drive: f64, kinetic: f64) -> f64 {
        if self.motion == 0.0 {
            0.0
        } else {
            (drive - self.motion * kinetic) * self.inverse_inertia
        }
    }

    /// At the end of a step: stops where the speed changed sign, slips where overloaded.
    fn settle(&mut self, speed: &mut f64, drive: f64, limit: f64) {
        if self.motion != 0.0 && *speed * self.motion < 0.0 {
            *speed = 0.0;
            self.motion = 0.0;
        }
        if self.motion == 0.0 {
            *speed = 0.0;
            if drive.abs() > limit {
                self.motion = drive.signum();
            }
        }
    }
}

/// The edge counter, looking at the levels at every step.
#[derive(Debug)]
struct Table {
    edges: [f64; 4],
    hysteresis: f64,
    service: f64,
    /// Cycles since the start, latched for each edge as it was last passed.
    latched: [i64; 4],
    seen: (bool, bool),
    served: (bool, bool),
    waiting: bool,
    busy_until: f64,
    count: i64,
    /// Counts of the edges passed, as the latches stood at the start.
    passed_before: i64,
}

impl Figures {
    /// Frequency of the last half second, from the crossings of its middle.
    pub fn hunting_frequency(&self, sample_time: f64) -> Option<f64> {
        let window = (0.5 / sample_time).round() as usize;
        let last = &self.positions[self.positions.len().saturating_sub(window)..];
        let high = last
            .iter()
            .fold(f64::NEG_INFINITY, |most, &value| most.max(value));
        let low = last
            .iter()
            .fold(f64::INFINITY, |least, &value| least.min(value));
        let middle = 0.5 * (high + low);
        let crossings: Vec<usize> = (1..last.len())
            .filter(|&at| (last[at] > middle) != (last[at - 1] > middle))
            .collect();
        let (first, end) = (crossings.first()?, crossings.last()?);
        let span = (end - first) as f64 * sample_time;
        (span > 0.0).then(|| (crossings.len() - 1) as f64 / (2.0 * span))
    }
}

impl Table {
    /// Edges that were passed and not read, once the last one has been served.
    fn lost(&mut self, x: f64) -> u64 {
        self.look(x, f64::INFINITY);
        let passed: i64 = self.latched.iter().sum();
        (passed - self.passed_before - self.count).unsigned_abs()
    }

    fn look(&mut self, x: f64, now: f64) {
        for (latch, edge) in self.latched.iter_mut().zip(self.edges) {
            *latch = (*latch).max((x - edge - self.hysteresis).floor() as i64);
            *latch = (*latch).min((x - edge + self.hysteresis).floor() as i64);
        }
        let l = &self.latched;
        let levels = (l[0] > l[2], l[1] > l[3]);
        if levels != self.seen {
            self.seen = levels;
            self.waiting = true;
        }
        if !self.waiting || now < self.busy_until {
            return;
        }
        self.waiting = false;
        self.busy_until = now + self.service;
        // Quadrature as a Gray code: the place of a pair in the sequence 00, 10, 11, 01.
        let place = |(a, b): (bool, bool)| i64::from(b) * 3 + i64::from(a) * (1 - 2 * i64::from(b));
        match (place(levels) - place(self.served)).rem_euclid(4) {
            1 => self.count += 1,
            3 => self.count -= 1,
            _ => {}
        }
        self.served = levels;
    }
}

/// Marches a command in steps of `fine` seconds.
pub fn march(a: &Actuator, legs: &[Leg], fine: f64) -> Figures {
    let ratio = a.train.ratio.value;
    let (eta, back) = (
        a.train.efficiency.value,
        a.train.back_driving_efficiency.value,
    );
    let (mean, band) = ((1.0 / eta + back) / 2.0, (1.0 / eta - back) / 2.0);
    let kt = a.train.motor_constant.value;
    let friction = kt * a.train.no_load_current.value;
    let jr = a.train.rotor_inertia.value;
    let jl = a.train.load_inertia.value;
    let je = ratio * ratio * jr * jl / (ratio * ratio * jr + jl);
    let k = a.mesh.stiffness.value;
    let c = 2.0 * 0.3 * (k * je).sqrt();
    let b = a.mesh.backlash.value;
    let rm = a.power.winding_resistance.value;
    let l = a.power.inductance.unwrap().value;
    let rs = a.power.source_resistance.value;
    let limit = a
        .power
        .current_limit
        .map_or(f64::INFINITY, |limit| limit.value);
    let v = a.power.voltage.value;
    let vprime = v - rs * a.power.board_current.value;
    let tc = a.load.friction_torque.value;
    let ts = a.controller.sample_time.value;
    let smooth_motor = friction == 0.0 && band == 0.0;
    let smooth_load = tc == 0.0;

    let arm = |angle: f64| {
        a.load
            .start_angle
            .map_or(1.0, |start| libm::cos(start.value + angle))
    };
    let resting = a.load.holding_torque.value * arm(0.0);
    let twist = if resting == 0.0 {
        0.0
    } else {
        resting.signum() * b / 2.0 + resting / k
    };
    let (mut i, mut w, mut speed, mut out) = (0.0_f64, 0.0_f64, 0.0_f64, 0.0_f64);
    let theta_start = ratio * twist;
    let mut theta = theta_start;
    let mut motor = Body {
        inverse_inertia: 1.0 / jr,
        motion: f64::from(u8::from(smooth_motor)),
    };
    let mut load = Body {
        inverse_inertia: 1.0 / jl,
        motion: f64::from(u8::from(smooth_load)),
    };

    let contact = |theta: f64, out: f64, w: f64, speed: f64| {
        let delta = theta / ratio - out;
        let rate = w / ratio - speed;
        if b == 0.0 {
            return k * delta + c * rate;
        }
        for side in [1.0, -1.0] {
            let press = side * delta - b / 2.0;
            let force = k * press + c * side * rate;
            if press > 0.0 && force > 0.0 {
                return side * force;
            }
        }
        0.0
    };

    // The sensors, the pulses and the controller.
    let pole_pairs = f64::from(a.sensing.pole_pairs);
    let d = a.sensing.errors.duty.value / (2.0 * TAU);
    let psi = (a.sensing.errors.phase.value + a.sensing.errors.placement.value) / TAU;
    let edges = [0.125 - d, 0.375 + psi - d, 0.625 + d, 0.875 + psi + d];
    let counted: &[usize] = match a.sensing.edges_counted {
        1 => &[0],
        2 => &[0, 2],
        _ => &[0, 1, 2, 3],
    };
    let counts = counted.len() as f64 * pole_pairs;
    let service = a.sensing.edge_service_time.value;
    let hysteresis = a.sensing.hysteresis.value;
    let careful = service > 1e-5 || hysteresis > 0.0 || 0.25 - psi - 2.0 * d <= 0.0;
    let start_levels = (edges[2] > 1.0, edges[3] > 1.0);
    let mut table = Table {
        edges,
        hysteresis,
        service,
        latched: edges.map(|edge| (-edge).floor() as i64),
        seen: start_levels,
        served: start_levels,
        waiting: false,
        busy_until: f64::NEG_INFINITY,
        count: 0,
        passed_before: edges.iter().map(|edge| (-edge).floor() as i64).sum(),
    };
    let count = |theta: f64| {
        let x = pole_pairs * (theta - theta_start) / TAU;
        let passed = counted.iter().filter(|&&edge| x - x.floor() >= edges[edge]);
        counted.len() as i64 * x.floor() as i64 + passed.count() as i64
    };
    let q = TAU / counts;
    let steps_per_turn = a.pulses.steps_per_turn.value;
    let (num, den) = (a.pulses.gearing.0 as i128, a.pulses.gearing.1 as i128);
    let kp = a.controller.gains.proportional.value;
    let kd = a.controller.gains.derivative.value;
    let ki = a
        .controller
        .integral_time
        .map_or(0.0, |time| kp / time.value);
    let kf = a.controller.feed_forward.value * (kt + kd);
    let resolution = f64::from(a.controller.pwm_resolution);
    let deadband = i64::from(a.controller.deadband);
    let most = a.controller.voltage_limit.value * v;
    assert_eq!(a.controller.rounding, Rounding::Firmware);

    let whole: f64 = legs
        .iter()
        .map(|leg| leg.time.value + leg.dwell.value)
        .sum();
    let last = legs.last().unwrap();
    let command_end = whole - last.dwell.value;
    let target_exact: f64 = legs.iter().map(|leg| leg.distance.value).sum();
    let command = |t: f64| {
        let (mut base, mut begin) = (0.0, 0.0);
        for leg in legs {
            if t < begin + leg.time.value {
                let share = Ratio::from((t - begin) / leg.time.value);
                return base + leg.distance.value * state_at(leg.profile, share).position.value;
            }
            base += leg.distance.value;
            begin += leg.time.value + leg.dwell.value;
            if t < begin {
                return base;
            }
        }
        base
    };
    let on_step =
        |angle: f64| (angle * steps_per_turn / TAU + 0.5 + 1e-9).floor() / steps_per_turn * TAU;
    let target = on_step(target_exact);
    let sign = if last.distance.value < 0.0 { -1.0 } else { 1.0 };
    let tolerance = a.position_tolerance.value.max(q / ratio);

    let window = if ki == 0.0 { 1.0 } else { 2.0 };
    let before = (0.5 / ts - 1e-9).ceil() as i64;
    let after = ((command_end + window) / ts - 1e-9).ceil() as i64;
    let ending = after - (0.5 / ts + 1e-9).floor() as i64;
    let inner = (ts / fine).round().max(1.0) as usize;
    let h = ts / inner as f64;

    let mut figures = Figures {
        last_outside: f64::NEG_INFINITY,
        ..Figures::default()
    };
    let (mut high, mut low) = (f64::NEG_INFINITY, f64::INFINITY);
    let mut ending_positions = Vec::new();
    let mut been_before = false;
    let (mut s, mut allowance) = (0_i64, 0.0_f64);
    let (mut n_before, mut r_before) = (None, None);
    let mut z = 0.0;
    let mut orders = vec![Some(0.0); 10];
    let mut inside = 0;
    let mut direction = 0.0_f64;
    let mut final_error = None;
    // Drawn, returned and lost as heat so far, and up to the moment of settling.
    let mut spent = (0.0, 0.0, 0.0);
    let mut until_settled = spent;

    for step in -before..after {
        let t = step as f64 * ts;
        let wanted_angle = if step < 0 { 0.0 } else { command(t) };
        let wanted = (wanted_angle * steps_per_turn / TAU + 0.5 + 1e-9).floor() as i64;
        match a.pulses.rate_limit {
            None => s = wanted,
            Some(rate) => {
                allowance += rate.value * ts;
                let taken = (allowance.floor() as i64).min((wanted - s).abs());
                s += taken * (wanted - s).signum();
                allowance -= taken as f64;
                if s == wanted {
                    allowance = allowance.min((1.0 - rate.value * ts).max(0.0));
                }
            }
        }
        let r = (2 * i128::from(s) * num + den).div_euclid(2 * den) as i64;
        let n = if careful { table.count } else { count(theta) };
        let eps = if (r - n).abs() <= deadband { 0 } else { r - n } as f64;
        let dn = (n - n_before.unwrap_or(n)) as f64;
        let dr = (r - r_before.unwrap_or(r)) as f64;
        (n_before, r_before) = (Some(n), Some(r));
        z += ki * q * eps * ts;
        let mut voltage = q * (kp * eps - kd * dn / ts + kf * dr / ts) + z;
        if voltage.abs() > most && voltage * eps > 0.0 {
            z -= ki * q * eps * ts;
            voltage = q * (kp * eps - kd * dn / ts + kf * dr / ts) + z;
        }
        let p = (voltage.clamp(-most, most) / v * resolution)
            .round()
            .clamp(-resolution, resolution);
        let commanding = t < command_end;
        inside = if (r - n).abs() <= deadband && !commanding {
            inside + 1
        } else {
            0
        };
        let order = match a.controller.on_target {
            OnTarget::Brake if inside >= 50 => Some(0.0),
            OnTarget::Release if inside >= 50 => None,
            _ => Some(p),
        };
        orders.insert(0, order);
        orders.truncate(10);
        let force = orders[a.controller.delay as usize];

        let duty = force.unwrap_or(0.0) / resolution;
        let estimate = ((duty * vprime - kt * w) / (rm + duty * duty * rs)).clamp(-limit, limit);
        let bus = (vprime - rs * (duty * estimate).max(0.0)).max(0.0);
        let u = duty * bus;
        let asleep = force.is_none();
        let holding = a.load.holding_torque.value * arm(out);
        if step >= 0 {
            figures.positions.push(out);
            if t < command_end + ts {
                figures.worst_error = figures.worst_error.max((out - on_step(wanted_angle)).abs());
            }
            if final_error.is_none() && t >= whole - 1e-9 * ts {
                final_error = Some(out - target);
            }
        }
        if asleep {
            i = 0.0;
        }

        let derivatives =
            |i: f64, w: f64, theta: f64, speed: f64, out: f64, motor: &Body, load: &Body| {
                let tooth = contact(theta, out, w, speed);
                let di = if asleep {
                    0.0
                } else {
                    (u - rm * i - kt * w) / l
                };
                let dw = motor.acceleration(
                    kt * i - mean * tooth / ratio,
                    friction + band * tooth.abs() / ratio,
                );
                let dspeed = load.acceleration(tooth - holding, tc);
                (di, dw, dspeed)
            };
        for small in 0..inner {
            let (was_i, was_w) = (i, w);
            // Midpoint rule.
            let (di, dw, ds) = derivatives(i, w, theta, speed, out, &motor, &load);
            let half = 0.5 * h;
            let (im, wm, sm) = (i + half * di, w + half * dw, speed + half * ds);
            let im = im.clamp(-limit, limit);
            let (thm, om) = (theta + half * w, out + half * speed);
            let (di, dw, ds) = derivatives(im, wm, thm, sm, om, &motor, &load);
            i = (i + h * di).clamp(-limit, limit);
            theta += h * wm;
            out += h * sm;
            w += h * dw;
            speed += h * ds;
            let tooth = contact(theta, out, w, speed);
            if !smooth_motor {
                let drive = kt * i - mean * tooth / ratio;
                let stick = MOTOR_STATIC_FRICTION * friction + band * tooth.abs() / ratio;
                motor.settle(&mut w, drive, stick);
            }
            if !smooth_load {
                load.settle(&mut speed, tooth - holding, LOAD_STATIC_FRICTION * tc);
            }
            if careful {
                table.look(
                    pole_pairs * (theta - theta_start) / TAU,
                    t + (small + 1) as f64 * h,
                );
            }
            if step < 0 {
                continue;
            }
            let now = t + (small + 1) as f64 * h;
            figures.peak_current = figures.peak_current.max(i.abs());
            let middle = 0.5 * (i + was_i);
            spent.2 += rm * middle * middle * h;
            let limited = i.abs() >= limit && was_i.abs() >= limit;
            let power = if limited {
                (rm * i + kt * 0.5 * (w + was_w)) * i
            } else {
                u * middle
            };
            let from_supply = if bus > 0.0 { power * v / bus * h } else { 0.0 };
            spent.0 += from_supply;
            spent.1 += (-from_supply).max(0.0);
            if w * direction < 0.0 {
                figures.reversals += 1;
            }
            if w != 0.0 {
                direction = w;
            }
            let offset = out - target;
            if t >= command_end - last.time.value {
                been_before |= sign * offset < 0.0;
                if been_before {
                    figures.overshoot = figures.overshoot.max(sign * offset);
                }
            }
            if now > command_end && offset.abs() > tolerance {
                figures.last_outside = now;
            }
            if now <= command_end || offset.abs() > tolerance {
                until_settled = spent;
            }
            if step >= ending {
                high = high.max(offset);
                low = low.min(offset);
                ending_positions.push(offset);
            }
        }
    }
    (figures.energy, figures.returned, figures.copper) = until_settled;
    if careful {
        figures.lost = table.lost(pole_pairs * (theta - theta_start) / TAU);
    }
    figures.drift = out - target - ending_positions.first().unwrap_or(&0.0);
    let longest = |sign: f64| {
        let mut least = f64::INFINITY;
        ending_positions.iter().fold(0.0, |most: f64, position| {
            least = least.min(sign * position);
            most.max(sign * position - least)
        })
    };
    (figures.up, figures.down) = (longest(1.0), longest(-1.0));
    figures.final_error = final_error.unwrap_or(out - target);
    figures.droop = -0.5 * (high + low);
    figures.swing = 0.5 * (high - low);
    figures.last_outside -= command_end;
    figures
}
