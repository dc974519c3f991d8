//! How long the motor can hold which torque, from cold until its winding is at its limit.

use calc::heat::{HeatingTime, greatest_current_for, hold_time};
use calc::units::{ElectricCurrent, Time, Torque};
use uom::si::time::second;

use super::{Axis, Edge, Limit, Line, Mark, Panel, Plot, Span, Style};
use crate::eval::{Absent, Code, Eval};
use crate::register::movement::{self, DwellCurrent};
use crate::register::{Key, bridge, drive, gears, heat, motor};
use crate::report::display;
use crate::unit::Measure;

/// Points of the line.
const PLACES: usize = 49;

pub(super) fn draw(c: &Eval<'_>) -> Result<Plot, Absent> {
    let model = heat::model(c)?;
    let limit = c.get(motor::MAX_WINDING_TEMPERATURE)?;
    let per_ampere = c.get(gears::RATIO_NOW)? * c.get(motor::TORQUE_CONSTANT)?;
    let torque = |current: ElectricCurrent| -> Torque { (per_ampere * current).into() };
    let lasting = c.get(heat::CONTINUOUS_CURRENT)?;
    if lasting.value <= 0.0 {
        return Err(Absent::impossible(
            "the winding is at its limit before any current flows",
        ));
    }
    // From where a jam ends it to where the housing is through with warming up.
    let most = c.get(drive::BLOCKED_CURRENT)?.max(1.05 * lasting);
    let settled = 8.0 * (model.housing_time_constant + model.winding_time_constant).value;
    let mut points = Vec::with_capacity(PLACES);
    let HeatingTime::After(first) = hold_time(&model, most, limit) else {
        return Err(Absent::impossible(
            "no current that flows brings it to its limit",
        ));
    };
    let (low, high) = (first.value.max(1e-3), settled.max(3.0 * first.value));
    for n in 0..PLACES {
        let at = low * libm::pow(high / low, n as f64 / (PLACES - 1) as f64);
        let Some(current) = greatest_current_for(&model, Time::new::<second>(at), limit) else {
            continue;
        };
        points.push((at, torque(current).value));
    }
    let mut marks = Vec::new();
    let mut mark =
        |label: &str, current: Key<ElectricCurrent>, time: Key<Time>| -> Result<(), Absent> {
            let y = torque(c.get(current)?.abs()).value;
            match c.get(time) {
                Ok(time) => marks.push(Mark {
                    label: label.into(),
                    x: time.value,
                    y,
                }),
                Err(absent) if absent.code == Code::Unlimited => marks.push(Mark {
                    label: [label, ", for ever"].concat(),
                    x: high,
                    y,
                }),
                Err(absent) => return Err(absent),
            }
            Ok(())
        };
    let dwell = c.get(movement::DWELL_CURRENT)?;
    if dwell != DwellCurrent::Off {
        mark("holding", heat::DWELL_CURRENT, heat::HOLD_TIME)?;
    }
    if dwell != DwellCurrent::Settled {
        mark(
            "stopped while lifting",
            heat::CURRENT_MOST,
            heat::HOLD_TIME_MOST,
        )?;
    }
    let level = |label: String, torque: f64| Limit {
        label,
        edge: Edge::Above(torque),
    };
    let bridge_limit = c.get(bridge::CURRENT_LIMIT)?;
    let limits = vec![
        level(
            "gears, for ever".into(),
            c.get(gears::CONTINUOUS_TORQUE)?.value,
        ),
        level("gears, at most".into(), c.get(gears::PEAK_TORQUE)?.value),
        level(
            ["bridge, ", &Measure::Current.words(bridge_limit.value, 3)].concat(),
            torque(bridge_limit).value,
        ),
    ];
    let for_ever = Measure::Torque.words(torque(lasting).value, 3);
    let finding = match (dwell, c.get(heat::HOLD_TIME)) {
        (DwellCurrent::Off, _) => [
            "It holds without current here; up to ",
            &for_ever,
            " it could hold for ever.",
        ]
        .concat(),
        (_, Ok(_)) => [
            "Holding brings the winding to ",
            &display(c, motor::MAX_WINDING_TEMPERATURE.index(), 3),
            " in ",
            &display(c, heat::HOLD_TIME.index(), 2),
            "; for ever it can hold ",
            &for_ever,
            ".",
        ]
        .concat(),
        (_, Err(absent)) if absent.code == Code::Unlimited => [
            "Holding takes ",
            &Measure::Torque.words(torque(c.get(heat::DWELL_CURRENT)?.abs()).value, 3),
            " of the ",
            &for_ever,
            " that the winding bears for ever.",
        ]
        .concat(),
        (_, Err(absent)) => return Err(absent),
    };
    Ok(Plot {
        id: "hold_time",
        title: "Torque that it can hold, and for how long",
        finding,
        x: Axis {
            label: "time from cold until the winding is at its limit",
            measure: Measure::Time,
            span: Span::Log,
        },
        panels: vec![Panel {
            y: Axis {
                label: "torque held in balance",
                measure: Measure::Torque,
                span: Span::FromZero,
            },
            lines: vec![Line {
                label: "",
                style: Style::Ordinary,
                points,
            }],
            marks,
            limits,
        }],
        bars: Vec::new(),
    })
}
