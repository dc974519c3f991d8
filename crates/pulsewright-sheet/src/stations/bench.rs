//! The bench and the order: what a meter should read, what it read, what is still open.
//!
//! The rows of the bench sheet, with what to do and what a deviation means, are in [`crate::analysis::bench_sheet`].

use crate::evaluation::Check;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Finding, Severity};
use crate::register::bench::*;
use crate::register::{
    Key, Rational, Station, drive, encoder, gears, heat, motor, position_loop, regulator, supply,
};
use crate::text::measure::Measure;
use crate::text::number;
use pulsewright_calc::bench as formulas;
use pulsewright_calc::units::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Force, Ratio,
    ThermodynamicTemperature, Time,
};

station! { bench;
    results {
        NO_LOAD_CURRENT = no_load_current;
        NO_LOAD_SPEED = no_load_speed;
        RESISTANCE = resistance;
        TURN_COUNTS = turn_counts;
        EDGES_PER_DEGREE = edges_per_degree;
        EDGE_ERROR = edge_error;
        COUNTED_RATIO = counted_ratio;
        COUNTED_LOW = counted_low;
        COUNTED_HIGH = counted_high;
        START_VOLTAGE = start_voltage;
        LOGIC_VOLTAGE = logic_voltage;
        LEVER_VOLTAGE = lever_voltage;
        LEVER_FORCE = lever_force;
        LEVER_LIMIT = lever_limit;
        STALL_FORCE = stall_force;
        LEVER_TIME = lever_time;
        HOLD_CURRENT = hold_current;
        HOUSING = housing;
        REGULATOR = regulator_temperature;
        SUPPLY_CURRENT = supply_current;
        OUTSIDE = outside;
        OPEN = open;
    }
    words {
        TURN_COUNTS = whole_counts;
        LEVER_FORCE = |c| force_words(c, LEVER_FORCE);
        LEVER_LIMIT = |c| force_words(c, LEVER_LIMIT);
        STALL_FORCE = |c| force_words(c, STALL_FORCE);
    }
}

fn no_load_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    c.get(motor::NO_LOAD_CURRENT)
}

fn no_load_speed(c: &Eval<'_>) -> Result<pulsewright_calc::units::AngularVelocity, Absent> {
    c.get(drive::NO_LOAD_SPEED)
}

fn resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    c.get(motor::RESISTANCE)
}

fn turn_counts(c: &Eval<'_>) -> Result<Rational, Absent> {
    let turns = pulsewright_calc::ratio::exact(c.get(TURNS)?.into(), 1).ok_or(NOT_FINITE)?;
    pulsewright_calc::ratio::multiply(turns, c.exact(encoder::COUNTS_PER_OUTPUT_TURN)?)
        .map(Rational)
        .ok_or(NOT_FINITE)
}

/// Edges come whole: what a counter shows.
fn whole_counts(c: &Eval<'_>) -> Option<String> {
    let counts = c.answer(TURN_COUNTS.index()).found.ok()?;
    (counts.fract() != 0.0 && counts < 1e15).then(|| number::int(counts.round() as i64))
}

fn edges_per_degree(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(c.get(encoder::COUNTS_PER_OUTPUT_TURN.as_ratio())? / 360.0)
}

fn edge_error(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let _ = edges(c)?;
    let off = crate::analysis::tolerance::of(c, EDGES_READ.index()).unwrap_or(1.0);
    Ok(Ratio::new::<uom::si::ratio::ratio>(libm::ceil(off)))
}

/// The edges that were counted.
fn edges(c: &Eval<'_>) -> Result<Ratio, Absent> {
    c.option(EDGES_READ)?
        .ok_or(Absent::not_asked("once edges have been counted"))
}

fn counted(c: &Eval<'_>, by: f64) -> Result<Rational, Absent> {
    let _ = edges(c)?;
    let off = by * c.get(EDGE_ERROR)?.value;
    let edges = c.exact(EDGES_READ)?;
    let off = pulsewright_calc::ratio::exact(off as i128, 1).ok_or(NOT_FINITE)?;
    let counts = c.exact(encoder::COUNTS_PER_MOTOR_TURN)?;
    pulsewright_calc::ratio::add(edges, off)
        .and_then(|edges| formulas::counted_ratio(edges, c.get(TURNS).ok()?, counts))
        .map(Rational)
        .ok_or(NOT_FINITE)
}

fn counted_ratio(c: &Eval<'_>) -> Result<Rational, Absent> {
    counted(c, 0.0)
}

fn counted_low(c: &Eval<'_>) -> Result<Rational, Absent> {
    counted(c, -1.0)
}

fn counted_high(c: &Eval<'_>) -> Result<Rational, Absent> {
    counted(c, 1.0)
}

fn start_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    c.get(supply::VOLTAGE_AT_STALL)
}

fn logic_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    c.get(regulator::OUTPUT_VOLTAGE)
}

fn lever_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    if !c.left_out_now(position_loop::CURRENT_LIMIT) {
        c.working("min(supply.voltage / 2, drive.total_resistance * min(gears.safe_current, min(bridge.current_limit, loop.current_limit)))");
    }
    let limit = c
        .get(gears::SAFE_CURRENT)?
        .min(super::shared::current_allowed(c)?);
    Ok(formulas::lever_voltage(
        c.get(supply::VOLTAGE)?,
        c.get(drive::TOTAL_RESISTANCE)?,
        limit,
    ))
}

fn lever_force(c: &Eval<'_>) -> Result<Force, Absent> {
    let current = pulsewright_calc::drive::stall_current(
        c.get(LEVER_VOLTAGE)?,
        c.get(drive::TOTAL_RESISTANCE)?,
    )
    .ok_or(NOT_FINITE)?;
    let no_load = c.get(motor::NO_LOAD_CURRENT)?;
    if current <= no_load {
        return Err(Absent::impossible(
            "at half the voltage the motor does not turn",
        ));
    }
    let torque = pulsewright_calc::drive::stall_torque(
        c.get(gears::RATIO_NOW)?,
        c.get(gears::EFFICIENCY_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        current,
        no_load,
    );
    pulsewright_calc::drive::force_at_radius(torque, c.get(LEVER_LENGTH)?).ok_or(NOT_FINITE)
}

fn lever_limit(c: &Eval<'_>) -> Result<Force, Absent> {
    pulsewright_calc::drive::force_at_radius(c.get(gears::PEAK_TORQUE)?, c.get(LEVER_LENGTH)?)
        .ok_or(NOT_FINITE)
}

fn stall_force(c: &Eval<'_>) -> Result<Force, Absent> {
    pulsewright_calc::drive::force_at_radius(c.get(drive::STALL_TORQUE)?, c.get(LEVER_LENGTH)?)
        .ok_or(NOT_FINITE)
}

/// A force, and what a scale shows.
fn force_words(c: &Eval<'_>, key: Key<Force>) -> Option<String> {
    let force = c.get(key).ok()?;
    let show = |measure: Measure, value: f64| c.notation.said(measure, value, 3);
    let mass = pulsewright_calc::drive::hanging_mass(force).value;
    Some(
        [
            &show(Measure::Force, force.value),
            ", ",
            &show(Measure::Mass, mass),
            " on a scale",
        ]
        .concat(),
    )
}

fn lever_time(c: &Eval<'_>) -> Result<Time, Absent> {
    let most = Time::new::<uom::si::time::second>(10.0);
    match c.get(heat::STALL_TIME) {
        Ok(time) => Ok((time / 2.0).min(most)),
        Err(absent) if absent.code == Code::Unlimited => {
            c.working("10");
            Ok(most)
        }
        Err(absent) => Err(absent),
    }
}

fn hold_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    c.get(heat::DWELL_CURRENT)
}

fn housing(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    c.get(heat::HOUSING_TEMPERATURE)
}

fn regulator_temperature(c: &Eval<'_>) -> Result<ThermodynamicTemperature, Absent> {
    c.get(regulator::JUNCTION_TEMPERATURE)
}

fn supply_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    c.get(supply::AVERAGE_CURRENT)
}

fn outside(c: &Eval<'_>) -> Result<f64, Absent> {
    let polarity = c.raw(POLARITY.index()) == Ok(f64::from(Polarity::PullsAlong as u8));
    let rows = crate::analysis::bench_sheet::outside(c);
    Ok((rows + usize::from(polarity)) as f64)
}

fn open(c: &Eval<'_>) -> Result<f64, Absent> {
    let open = crate::analysis::bench_sheet::ORDER
        .iter()
        .filter(|row| c.raw(row.answer) != Ok(f64::from(Answer::Yes as u8)))
        .count();
    Ok(open as f64)
}

/// The bench holds nothing that a design must bear.
pub const CHECKS: &[Check] = &[];

/// What the bench must tell.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "wrong_polarity",
        station: Station::Bench,
        message: "The motor pulls along instead of pushing back: swap the two motor wires or the two sensor wires, never both, and turn the magnet again before anything else.",
        numbers: &[],
        when: |c| {
            let pulls = c.option(POLARITY)? == Some(Polarity::PullsAlong);
            Ok(pulls.then_some(Severity::Caution))
        },
    },
    Finding {
        id: "lever_test",
        station: Station::Bench,
        message: "[At stall this gear motor pulls with up to {drive.stall_torque}: {bench.stall_force} at the end of the lever. ] Teeth strip and levers fly off without notice. Wear eye protection, use a blunt lever between two stops, stay out of its swing, begin at half the voltage, go no higher than {gears.peak_torque}[ and no longer than {bench.lever_time}]. Moving, the axis holds {axis.kinetic_energy}: keep fingers out of gears, belts and the gap at the end of travel.",
        numbers: &[
            "drive.stall_torque",
            "bench.stall_force",
            "gears.peak_torque",
            "bench.lever_time",
            "axis.kinetic_energy",
        ],
        when: |_| Ok(Some(Severity::Warning)),
    },
];
