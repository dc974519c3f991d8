//! The controller between two samples: steps in, counts in, pulse width out, all in the firmware's
//! own whole numbers.

use super::{Controller, OnTarget, PulseInput, Rounding};
#[cfg(not(any(test, feature = "std")))]
use crate::float::Rounding as _;

/// Samples within the deadband after which the drive counts as on target.
const SAMPLES_ON_TARGET: u32 = 50;

/// A step that is due within this share of a step after a sampling moment is counted at it: what
/// the rounding of the command's floating-point numbers leaves open.
const SAME_MOMENT: f64 = 1e-9;

/// Longest delay in samples.
pub(super) const LONGEST_DELAY: u32 = 8;

/// What the bridge is told: a pulse width in steps of the timer, or to sleep.
pub(super) type Order = Option<f64>;

/// Whether the command has ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Demand {
    Moving,
    Ended,
}

/// Whole part below, as the firmware's integers hold it; the cast saturates.
fn whole(value: f64) -> i64 {
    value.floor() as i64
}

/// Whole steps that a command of so many steps has reached: half a step ahead of each, so that
/// the error of a step is at most half of one.
fn steps_reached(wanted: f64) -> f64 {
    (wanted + 0.5 + SAME_MOMENT).floor()
}

/// Half away from zero.
fn rounded(value: f64) -> f64 {
    value.round()
}

#[derive(Debug, Clone)]
pub(super) struct Firmware {
    rounding: Rounding,
    steps_per_radian: f64,
    numerator: i128,
    denominator: i128,
    steps_each_period: f64,
    allowance: f64,
    steps: i64,
    proportional: f64,
    derivative: f64,
    integral: f64,
    feed_forward: f64,
    deadband: f64,
    resolution: f64,
    voltage: f64,
    limit: f64,
    on_target: OnTarget,
    samples_inside: u32,
    accumulated: f64,
    /// What the integral part adds in a sample, and the voltage, both as of the last one.
    step: f64,
    asked: f64,
    sample_time: f64,
    last: Option<(f64, f64)>,
    stalled: u64,
    /// Greatest error in counts since the command began.
    pub greatest_error: f64,
    /// Most samples in a row at the largest duty without a count.
    pub longest_stall: u64,
    orders: [Order; LONGEST_DELAY as usize + 1],
    delay: usize,
}

impl Firmware {
    pub fn new(
        controller: &Controller,
        pulses: &PulseInput,
        counts_per_motor_turn: f64,
        voltage: f64,
        motor_constant: f64,
    ) -> Self {
        let quantum = core::f64::consts::TAU / counts_per_motor_turn;
        let sample_time = controller.sample_time.value;
        let (proportional, derivative) = (
            controller.gains.proportional.value,
            controller.gains.derivative.value,
        );
        Self {
            rounding: controller.rounding,
            steps_per_radian: pulses.steps_per_turn.value / core::f64::consts::TAU,
            numerator: i128::from(pulses.gearing.0),
            denominator: i128::from(pulses.gearing.1.max(1)),
            steps_each_period: pulses
                .rate_limit
                .map_or(f64::INFINITY, |rate| (rate.value * sample_time).max(0.0)),
            allowance: 0.0,
            steps: 0,
            proportional: quantum * proportional,
            derivative: quantum * derivative / sample_time,
            integral: controller.integral_time.map_or(0.0, |time| {
                quantum * proportional * sample_time / time.value
            }),
            feed_forward: controller.feed_forward.value * quantum * (motor_constant + derivative)
                / sample_time,
            deadband: f64::from(controller.deadband),
            resolution: f64::from(controller.pwm_resolution),
            voltage,
            limit: controller.voltage_limit.value * voltage,
            on_target: controller.on_target,
            samples_inside: 0,
            accumulated: 0.0,
            step: 0.0,
            asked: 0.0,
            sample_time,
            last: None,
            stalled: 0,
            greatest_error: 0.0,
            longest_stall: 0,
            orders: [Some(0.0); LONGEST_DELAY as usize + 1],
            delay: controller.delay.min(LONGEST_DELAY) as usize,
        }
    }

    /// Exact position of the step that a commanded angle has reached, rad.
    pub fn step_position(&self, commanded: f64) -> f64 {
        match self.rounding {
            Rounding::Firmware => {
                steps_reached(commanded * self.steps_per_radian) / self.steps_per_radian
            }
            Rounding::None => commanded,
        }
    }

    /// Steps counted so far, and the count that the gearing fraction asks for them.
    fn target(&mut self, commanded: f64) -> f64 {
        let wanted = commanded * self.steps_per_radian;
        if self.rounding == Rounding::None {
            return wanted * self.numerator as f64 / self.denominator as f64;
        }
        let wanted = whole(steps_reached(wanted));
        let missing = wanted.saturating_sub(self.steps);
        if self.steps_each_period.is_finite() {
            // What is left of a step's time carries over, so that a limit below one step a sample
            // still lets pulses through; an idle input saves up no more than one step.
            let allowance = self.allowance + self.steps_each_period;
            let taken = whole(allowance).min(missing.saturating_abs());
            self.steps = self.steps.saturating_add(taken * missing.signum());
            self.allowance = if self.steps == wanted {
                (allowance - taken as f64).min((1.0 - self.steps_each_period).max(0.0))
            } else {
                allowance - taken as f64
            };
        } else {
            self.steps = wanted;
        }
        let doubled = 2 * i128::from(self.steps) * self.numerator + self.denominator;
        doubled.div_euclid(2 * self.denominator) as f64
    }

    /// One sample: takes the commanded angle and the count, gives the order now in force; what a
    /// watcher would note is noted from the start of the command on.
    pub fn sample(&mut self, commanded: f64, count: f64, demand: Demand, noted: bool) -> Order {
        let target = self.target(commanded);
        let difference = target - count;
        let error = if difference.abs() <= self.deadband && self.rounding == Rounding::Firmware {
            0.0
        } else {
            difference
        };
        let (last_target, last_count) = self.last.unwrap_or((target, count));
        self.last = Some((target, count));

        let step = self.integral * error;
        self.accumulated += step;
        let parts = self.proportional * error - self.derivative * (count - last_count)
            + self.feed_forward * (target - last_target);
        let mut voltage = parts + self.accumulated;
        // Saturated and pushing on: the integral waits. The limit is what saturates.
        if voltage.abs() > self.limit && voltage * error > 0.0 {
            self.accumulated -= step;
            voltage = parts + self.accumulated;
        }
        (self.step, self.asked) = (step, voltage);
        let share = voltage.max(-self.limit).min(self.limit) / self.voltage * self.resolution;
        let width = match self.rounding {
            Rounding::Firmware => rounded(share).max(-self.resolution).min(self.resolution),
            Rounding::None => share,
        };

        if noted {
            self.greatest_error = self.greatest_error.max(difference.abs());
            let full = voltage.abs() >= self.limit && count == last_count;
            self.stalled = if full { self.stalled + 1 } else { 0 };
            self.longest_stall = self.longest_stall.max(self.stalled);
        }
        self.samples_inside = if demand == Demand::Moving || difference.abs() > self.deadband {
            0
        } else {
            self.samples_inside.saturating_add(1)
        };
        let order = match self.on_target {
            OnTarget::Brake if self.samples_inside >= SAMPLES_ON_TARGET => Some(0.0),
            OnTarget::Release if self.samples_inside >= SAMPLES_ON_TARGET => None,
            _ => Some(width),
        };
        self.orders.copy_within(0..LONGEST_DELAY as usize, 1);
        self.orders[0] = order;
        self.orders[self.delay]
    }

    /// How fast the integral part changes the voltage, V/s, and the voltage; none where it does not.
    pub fn rising(&self) -> Option<(f64, f64)> {
        let rate = self.step / self.sample_time;
        (rate != 0.0).then_some((rate, self.asked))
    }

    /// The voltage of the last sample.
    pub fn asked(&self) -> f64 {
        self.asked
    }

    /// Greatest voltage.
    pub fn limit(&self) -> f64 {
        self.limit
    }

    /// Duty of an order.
    pub fn duty(&self, width: f64) -> f64 {
        width / self.resolution
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pulses at every tenth sample exactly, their moments in floating point: without the hair
    /// some of them come a sample late, at others' last bit.
    #[test]
    fn a_pulse_at_a_sampling_moment_is_counted() {
        let (mut late, per_turn) = (0, 1200.0);
        for k in 0..2000_i32 {
            let step = f64::from(k);
            let angle = core::f64::consts::TAU * (step + 0.5) / per_turn;
            let wanted = angle * (per_turn / core::f64::consts::TAU);
            late += u32::from((wanted + 0.5).floor() != step + 1.0);
            assert_eq!(steps_reached(wanted), step + 1.0, "{k}");
            assert_eq!(steps_reached(wanted - 1e-6), step, "{k}");
        }
        assert!(late > 0, "nothing was ever in doubt");
    }
}
