//! The move over its time: speed, torque, current, and how warm the winding is.

use calc::motion::{self, Drivetrain, Motion, Profile};
use calc::units::{AngularAcceleration, Ratio, Torque};

use super::{Axis, Edge, Limit, Line, Mark, Panel, Plot, Span, Style};
use crate::eval::{Absent, BEYOND, Eval};
use crate::register::movement::{self, Direction};
use crate::register::{axis, drive, gears, heat, motor};
use crate::report::display;
use crate::unit::Measure;

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

/// One way of the move with the dwell behind it.
struct Way {
    label: &'static str,
    style: Style,
    torque: Vec<(f64, f64)>,
    current: Vec<(f64, f64)>,
}

fn way(
    c: &Eval<'_>,
    (label, style): (&'static str, Style),
    load: Torque,
    train: &Drivetrain,
    motion: Motion,
    rest: f64,
) -> Result<Way, Absent> {
    let stage = axis::last_stage_efficiency(c)?;
    let time = motion.time.value;
    let scale = motion.distance / (motion.time * motion.time);
    let (mut torque, mut current) = (Vec::new(), Vec::new());
    for share in shares(motion.profile) {
        let state = motion::state_at(motion.profile, Ratio::from(share));
        let acceleration: AngularAcceleration = (scale * state.acceleration).into();
        let at = share * time;
        let inertial: Torque = (train.load_inertia * acceleration).into();
        let moved = calc::axis::through_stage(load + inertial, stage).ok_or(BEYOND)?;
        torque.push((at, moved.value));
        current.push((at, motion::motor_current(train, load, acceleration).value));
    }
    if rest > 0.0 {
        let held = c.get(axis::HOLDING_TORQUE)?.value;
        let dwell = c.get(heat::DWELL_CURRENT)?.value;
        torque.extend([(time, held), (time + rest, held)]);
        current.extend([(time, dwell), (time + rest, dwell)]);
    }
    Ok(Way {
        label,
        style,
        torque,
        current,
    })
}

/// The winding over one cycle, after hours of them; none where it would pass its limit or never settles.
///
/// Of [`calc::heat::cycle_peak_temperature`] the same steady cycling of one time constant, here at every
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
        return Err(BEYOND);
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

/// The greatest by size.
fn peak(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    points
        .iter()
        .copied()
        .reduce(|a, b| if b.1.abs() > a.1.abs() { b } else { a })
}

pub(super) fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    let motion = movement::motion(c)?;
    let train = movement::train(c)?;
    let (time, dwell) = (motion.time.value, c.get(movement::DWELL)?.value);
    let rest = dwell.min(0.5 * time);
    let against = ("against the load", Style::Ordinary);
    let with = ("with the load", Style::Hot);
    let ways = match c.get(movement::DIRECTION)? {
        Direction::Against => vec![(against, movement::LOAD_AGAINST)],
        Direction::With => vec![(with, movement::LOAD_WITH)],
        Direction::Both => vec![
            (against, movement::LOAD_AGAINST),
            (with, movement::LOAD_WITH),
        ],
    };
    let mut drawn = Vec::new();
    for (named, load) in ways {
        drawn.push(way(c, named, c.get(load)?, &train, motion, rest)?);
    }
    let panel = |label, measure, limits| Panel {
        y: Axis {
            label,
            measure,
            span: if measure == Measure::Temperature {
                Span::Fitted
            } else {
                Span::FromZero
            },
        },
        lines: Vec::new(),
        marks: Vec::new(),
        limits,
    };
    let above = |label: &str, at: f64| Limit {
        label: label.into(),
        edge: Edge::Above(at),
    };
    let linear = c.get(axis::KIND)?.is_linear();
    // Along a line people think in millimetres a second.
    let (per_turn, speed_measure) = if linear {
        let travel = c.get(axis::TURN_TRAVEL)? / core::f64::consts::TAU;
        (
            (travel / c.get(axis::LAST_STAGE_NOW)?).value,
            Measure::Velocity,
        )
    } else {
        (1.0, Measure::Speed)
    };
    let reach = c.get(drive::SPEED_AT_LOAD_HOT)?.value * per_turn;
    let mut speed = panel(
        if linear {
            "speed along the travel"
        } else {
            "speed at the output"
        },
        speed_measure,
        vec![above("what the warm motor makes with the load", reach)],
    );
    let mut torque = panel(
        "torque at the output",
        Measure::Torque,
        vec![above("gears, at most", c.get(gears::PEAK_TORQUE)?.value)],
    );
    let mut current = panel(
        "motor current",
        Measure::Current,
        vec![above("current limit", c.get(drive::CURRENT_LIMIT)?.value)],
    );
    let turn = (motion.distance / motion.time).value * per_turn;
    let mut points: Vec<(f64, f64)> = shares(motion.profile)
        .into_iter()
        .map(|share| {
            let state = motion::state_at(motion.profile, Ratio::from(share));
            (share * time, state.speed.value * turn)
        })
        .collect();
    points.push((time + rest, 0.0));
    speed.lines.push(Line {
        label: "",
        style: Style::Commanded,
        points,
    });
    let named = drawn.len() > 1;
    let mut worst: Option<(f64, f64)> = None;
    for way in drawn {
        if let Some(found) = peak(&way.current)
            && worst.is_none_or(|w| found.1.abs() > w.1.abs())
        {
            worst = Some(found);
        }
        let label = if named { way.label } else { "" };
        torque.lines.push(Line {
            label,
            style: way.style,
            points: way.torque,
        });
        current.lines.push(Line {
            label,
            style: way.style,
            points: way.current,
        });
    }
    let peak_words = |at: f64| Measure::Current.words(at, 3);
    if let Some((x, y)) = worst {
        current.marks.push(Mark {
            label: ["peak ", &peak_words(y)].concat(),
            x,
            y,
        });
    }
    let mut panels = vec![speed, torque, current];
    let mut finding = match worst {
        Some((at, most)) => [
            "The current is greatest ",
            &if at > 0.0 {
                [&Measure::Time.words(at, 2), " after the start: "].concat()
            } else {
                "at the start: ".into()
            },
            &peak_words(most),
            "; while it holds it is ",
            &display(c, heat::DWELL_CURRENT.index(), 3),
            ".",
        ]
        .concat(),
        None => String::new(),
    };
    match warmth(c, time, rest) {
        Ok(points) => {
            let ends = points
                .iter()
                .fold((f64::MAX, f64::MIN), |e, p| (e.0.min(p.1), e.1.max(p.1)));
            let words = |v| Measure::Temperature.words(v, 3);
            finding = [
                &finding,
                " After hours of it the winding swings between ",
                &words(ends.0),
                " and ",
                &words(ends.1),
                ".",
            ]
            .concat();
            let mut winding = panel(
                "winding, after hours of such cycles",
                Measure::Temperature,
                vec![above(
                    "its limit",
                    c.get(motor::MAX_WINDING_TEMPERATURE)?.value,
                )],
            );
            winding.lines.push(Line {
                label: "",
                style: Style::Hot,
                points,
            });
            panels.push(winding);
        }
        Err(_) => {
            finding.push_str(
                " Repeated, it takes the winding beyond its limit, so no temperature is drawn.",
            );
        }
    }
    Ok(Plot {
        id: "move",
        title: if rest < dwell {
            "The move, and the beginning of its rest"
        } else {
            "The move and its rest"
        },
        finding,
        x: Axis {
            label: "time",
            measure: Measure::Time,
            span: Span::Exact,
        },
        panels,
        bars: Vec::new(),
    })
}
