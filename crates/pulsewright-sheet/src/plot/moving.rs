//! The move over its time: speed, torque, current, and how warm the winding is.

use pulsewright_calc::motion::{self, Motion, Profile};
use pulsewright_calc::units::{AngularAcceleration, Ratio, Torque};

use super::{Axis, Edge, Panel, Plot, Span, Style};
use crate::evaluation::display::display;
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::register::movement::{self, Direction};
use crate::register::{axis, drive, gears, heat, motor};
use crate::stations::shared;
use crate::text::measure::Measure;

/// Places of the smooth profile.
const PLACES: usize = 48;

/// Shares of the time at which the move is drawn; corners of a trapezoid from both sides.
fn shares(profile: Profile) -> Vec<f64> {
    match profile {
        Profile::Trapezoid { ramp_fraction } => {
            let ramp = ramp_fraction.value;
            let hair = 1e-9;
            vec![
                0.0,
                ramp,
                ramp + hair,
                1.0 - ramp - hair,
                1.0 - ramp + hair,
                1.0,
            ]
        }
        Profile::Smooth => (0..=PLACES).map(|n| n as f64 / PLACES as f64).collect(),
    }
}

/// Torque and current of one way of the move, with the rest behind it.
fn way(
    c: &Eval<'_>,
    load: Torque,
    motion: Motion,
    rest: f64,
) -> Result<[Vec<(f64, f64)>; 2], Absent> {
    let train = shared::drivetrain(c)?;
    let stage = shared::last_stage_efficiency(c)?;
    let time = motion.time.value;
    let (mut torque, mut current) = (Vec::new(), Vec::new());
    for share in shares(motion.profile) {
        let state = motion::state_at(motion.profile, Ratio::from(share));
        let acceleration: AngularAcceleration =
            (motion.distance / (motion.time * motion.time) * state.acceleration).into();
        let inertial: Torque = (train.load_inertia * acceleration).into();
        let moved =
            pulsewright_calc::axis::through_stage(load + inertial, stage).ok_or(NOT_FINITE)?;
        let drawn = motion::motor_current(train, load, acceleration);
        torque.push((share * time, moved.value));
        current.push((share * time, drawn.value));
    }
    if rest > 0.0 {
        let held = c.get(axis::HOLDING_TORQUE)?.value;
        let dwell = c.get(heat::DWELL_CURRENT)?.value;
        for at in [time, time + rest] {
            torque.push((at, held));
            current.push((at, dwell));
        }
    }
    Ok([torque, current])
}

/// The winding over one cycle, after hours of them; none where it would pass its limit or never settles.
///
/// Of [`pulsewright_calc::heat::cycle_peak_temperature`] the same steady cycling of one time constant, here at every
/// moment of move and dwell.
fn warmth(c: &Eval<'_>, time: f64, rest: f64) -> Result<Vec<(f64, f64)>, Absent> {
    let dwell = c.get(movement::DWELL)?.value;
    let constant = c.get(motor::WINDING_TIME_CONSTANT)?.value;
    let housing = c.get(heat::HOUSING_TEMPERATURE)?.value;
    let to_housing = c.get(motor::WINDING_TO_HOUSING)?.value;
    let moving = housing + to_housing * c.get(heat::MOVE_LOSS)?.value;
    let holding = housing + to_housing * c.get(heat::DWELL_LOSS)?.value;
    let left = |t: f64| libm::exp(-t / constant);
    let cycle = 1.0 - left(time + dwell);
    if cycle.is_nan() || cycle <= 0.0 {
        return Err(NOT_FINITE);
    }
    // At the start of the move and at its end, in the steady state.
    let end = holding + (moving - holding) * (1.0 - left(time)) / cycle;
    let start = holding + (end - holding) * left(dwell);
    let steps = 16;
    let mut points = Vec::with_capacity(2 * steps + 1);
    for n in 0..=steps {
        let t = time * n as f64 / steps as f64;
        points.push((t, moving + (start - moving) * left(t)));
    }
    for n in 1..=steps {
        let t = rest * n as f64 / steps as f64;
        points.push((time + t, holding + (end - holding) * left(t)));
    }
    let limit = c.get(motor::MAX_WINDING_TEMPERATURE)?.value;
    if points.iter().any(|p| p.1 > limit) {
        return Err(Absent::impossible("the winding passes its limit"));
    }
    Ok(points)
}

pub(super) fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    let motion = *shared::motion(c)?;
    let (time, dwell) = (motion.time.value, c.get(movement::DWELL)?.value);
    let rest = dwell.min(0.5 * time);
    let linear = c.get(axis::KIND)?.is_linear();
    // Along a line people think in millimetres a second.
    let (per_turn, speed_axis) = if linear {
        let travel = c.get(axis::TURN_TRAVEL)?.value / c.get(axis::LAST_STAGE_NOW)?.value;
        (
            travel / core::f64::consts::TAU,
            Axis::new("speed along the travel", Measure::Velocity, Span::FromZero),
        )
    } else {
        (
            1.0,
            Axis::new("speed at the output", Measure::Speed, Span::FromZero),
        )
    };
    let x = Axis::new("time", Measure::Time, Span::Exact);
    let mut speed = Panel::new(speed_axis);
    let mut torque = Panel::new(Axis::new(
        "torque at the output",
        Measure::Torque,
        Span::FromZero,
    ));
    let mut current = Panel::new(Axis::new("motor current", Measure::Current, Span::FromZero));
    let mean = (motion.distance / motion.time).value * per_turn;
    let mut points = Vec::new();
    for share in shares(motion.profile) {
        let state = motion::state_at(motion.profile, Ratio::from(share));
        points.push((share * time, state.speed.value * mean));
    }
    points.push((time + rest, 0.0));
    speed.line("", Style::Commanded, points);
    let direction = c.get(movement::DIRECTION)?;
    let mut worst = (0.0, 0.0);
    for (label, style, load, other) in [
        (
            "lifting (against load)",
            Style::Ordinary,
            movement::LOAD_LIFTING,
            Direction::Lowering,
        ),
        (
            "lowering (with load)",
            Style::Hot,
            movement::LOAD_LOWERING,
            Direction::Lifting,
        ),
    ] {
        if direction == other {
            continue;
        }
        let [torques, currents] = way(c, c.get(load)?, motion, rest)?;
        for &point in &currents {
            if point.1.abs() > f64::abs(worst.1) {
                worst = point;
            }
        }
        let label = if direction == Direction::Both {
            label
        } else {
            ""
        };
        torque.line(label, style, torques);
        current.line(label, style, currents);
    }
    let reach = c.get(drive::SPEED_AT_LOAD_HOT)?.value * per_turn;
    speed.limit("motor speed under load, warm", Edge::Above(reach));
    torque.limit(
        "gearbox peak",
        Edge::Above(c.get(gears::PEAK_TORQUE)?.value),
    );
    let mut panels = vec![speed, torque];
    // Of a move that cannot happen no current is told: what it would ask never flows.
    if let Err(absent) = c.get(movement::PEAK_CURRENT) {
        let why = absent.message();
        let why = why.strip_prefix("waits: ").unwrap_or(&why);
        let finding = [
            "The move as it is asked for; no current is drawn: ",
            why,
            ".",
        ]
        .concat();
        return Ok(Plot::drawn(finding, x, panels, Vec::new()));
    }
    current.limit(
        "current limit",
        Edge::Above(shared::current_allowed(c)?.value),
    );
    let peak = c.notation.said(Measure::Current, worst.1, 3);
    current.mark(&["peak ", &peak].concat(), worst.0, worst.1);
    let when = if worst.0 > 0.0 {
        [
            &c.notation.said(Measure::Time, worst.0, 2),
            " after the start: ",
        ]
        .concat()
    } else {
        "at the start: ".into()
    };
    let mut finding = [
        "The current is greatest ",
        &when,
        &peak,
        "; while it holds it is ",
        &display(c, heat::DWELL_CURRENT.index(), 3),
        ". ",
    ]
    .concat();
    panels.push(current);
    match warmth(c, time, rest) {
        Ok(points) => {
            let (mut low, mut high) = (f64::MAX, f64::MIN);
            for point in &points {
                (low, high) = (low.min(point.1), high.max(point.1));
            }
            let words = |v| c.notation.said(Measure::Temperature, v, 3);
            finding = [
                &finding,
                "In equilibrium the winding temperature varies between ",
                &words(low),
                " and ",
                &words(high),
                ".",
            ]
            .concat();
            let mut winding = Panel::new(Axis::new(
                "winding, cycle in equilibrium",
                Measure::Temperature,
                Span::Fitted,
            ));
            winding.line("", Style::Hot, points);
            winding.limit(
                "winding limit",
                Edge::Above(c.get(motor::MAX_WINDING_TEMPERATURE)?.value),
            );
            panels.push(winding);
        }
        Err(_) => finding.push_str(if c.get(heat::CYCLE_PEAK_TEMPERATURE).is_ok() {
            "Repeated, it takes the housing beyond what the bracket bears, so no temperature is drawn."
        } else {
            "Repeated, it takes the winding beyond its limit, so no temperature is drawn."
        }),
    }
    Ok(Plot::drawn(finding, x, panels, Vec::new()))
}
