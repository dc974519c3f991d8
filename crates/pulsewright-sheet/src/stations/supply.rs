//! The supply.

use super::shared::under_already;
use super::shared::{
    common_resistance, drivetrain, load_over, motion, move_is_made, size_for_stall, under,
};
use crate::evaluation::Tier;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Check, LoadCase, Margin, Status};
use crate::evaluation::{Finding, Severity};
use crate::register::YesNo;
use crate::register::movement::{self, Direction, DwellCurrent};
use crate::register::supply::*;
use crate::register::{
    Key, Station, axis, bridge, drive, gears, heat, motor, position_loop, regulator, verdict,
    wiring,
};
use crate::text::measure::Measure;
use pulsewright_calc::motion::{Drivetrain, Motion, MoveLoad};
use pulsewright_calc::motor::VoltageStress;
use pulsewright_calc::preferred::{self, FuseNeed, NoFuse};
use pulsewright_calc::supply as formulas;
use pulsewright_calc::units::{
    Capacitance, ElectricCurrent, ElectricPotential, ElectricalResistance, Energy, Power, Time,
    Torque,
};
use uom::si::electric_current::ampere;
use uom::si::time::second;

station! { supply;
    results {
        BOARD_CURRENT = board_current;
        BOARD_AT_LOWEST = board_at_lowest;
        BOARD_AT_HIGHEST = board_at_highest;
        OTHERS_CURRENT = others_current;
        VOLTAGE_BESIDE_OTHERS = voltage_beside_others;
        PEAK_POWER = peak_power;
        MOVING_CURRENT = moving_current;
        HOLDING_POWER = holding_power;
        HOLDING_CURRENT = holding_current;
        BLOCKED_AT_LOWEST = blocked_at_lowest;
        WORST_CURRENT = worst_current;
        STALL_CURRENT = stall_current;
        STALL_AT_LOWEST = stall_at_lowest;
        LIFTING_ENERGY = against_energy;
        LOWERING_ENERGY = with_energy;
        MEAN_POWER = mean_power;
        AVERAGE_CURRENT = average_current;
        VOLTAGE_AT_WORST = voltage_at_worst;
        VOLTAGE_AT_STALL = voltage_at_stall;
        VOLTAGE_NEEDED = voltage_needed;
        BROWN_OUT_MARGIN = brown_out_margin;
        STOP_ENERGY = stop_energy;
        BOARD_POWER = own_draw;
        REGENERATED_ENERGY = regenerated_energy;
        REGENERATED_VOLTAGE = regenerated_voltage;
        REGENERATED_VOLTAGE_BOUND = regenerated_voltage_bound;
        REGENERATION_CAPACITANCE = regeneration_capacitance;
        HOLD_UP_CAPACITANCE = hold_up;
        CAPACITANCE_NEEDED = capacitance_needed;
        RUN_TIME = run_time;
        FUSE = fuse;
        FIT_CAPACITANCE = fit_capacitance;
    }
    presets {
        CURRENT_LIMIT = current_limit;
        MAX_VOLTAGE = max_voltage;
    }
    limits {
        LOWEST_VOLTAGE: AtMost |c| c.before_limits(VOLTAGE), "the supply voltage", "the lowest voltage is not above the supply voltage";
        HIGHEST_VOLTAGE: AtLeast |c| c.before_limits(VOLTAGE), "the supply voltage", "the highest voltage is not below the supply voltage";
        MOVING_TOGETHER: AtMost |c| c.before_limits(ACTUATORS), "all actuators", "no more can move than there are actuators actuators";
        MAX_VOLTAGE: Above |c| c.before_limits(VOLTAGE), "the supply voltage", "the absolute maximum must be above the supply voltage";
    }
}

/// Supplies that are assumed, in amperes (common practice, no source).
const ASSUMED_SUPPLIES: [f64; 10] = [2.0, 3.0, 5.0, 10.0, 15.0, 20.0, 30.0, 50.0, 100.0, 200.0];

/// A supply that bears the stall of all motors that move together.
fn current_limit(c: &Eval<'_>) -> Result<f64, Absent> {
    let together = c.before_limits(MOVING_TOGETHER)?.max(1.0);
    size_for_stall(c, &ASSUMED_SUPPLIES, |size| {
        ElectricCurrent::new::<ampere>(size / together)
    })
}

fn max_voltage(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok((1.5 * c.before_limits(VOLTAGE)?).max(12.0))
}

/// More power is asked for than source and cable can give.
pub(super) const OVERLOADED: Absent =
    Absent::impossible("source and cable cannot deliver this power at any current");

fn board_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(c.get(regulator::INPUT_CURRENT)? + c.get(bridge::QUIESCENT_CURRENT)?)
}

/// Current of one board at a supply voltage.
fn board_at(
    c: &Eval<'_>,
    voltage: ElectricPotential,
    buck: &'static str,
) -> Result<ElectricCurrent, Absent> {
    if c.get(regulator::KIND)? == regulator::RegulatorKind::Linear {
        return c.get(BOARD_CURRENT);
    }
    c.working(buck);
    let regulator = pulsewright_calc::regulator::buck_input_current(
        voltage,
        c.get(regulator::OUTPUT_VOLTAGE)?,
        c.get(regulator::LOAD_CURRENT)?,
        c.get(regulator::EFFICIENCY)?,
    );
    Ok(regulator + c.get(bridge::QUIESCENT_CURRENT)?)
}

fn board_at_lowest(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    board_at(
        c,
        c.get(drive::LOWEST_VOLTAGE)?,
        "regulator.output_voltage * regulator.load_current / (regulator.efficiency * drive.lowest_voltage) + bridge.quiescent_current",
    )
}

fn board_at_highest(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    board_at(
        c,
        c.get(drive::HIGHEST_VOLTAGE)?,
        "regulator.output_voltage * regulator.load_current / (regulator.efficiency * drive.highest_voltage) + bridge.quiescent_current",
    )
}

fn others_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let others = c.get(ACTUATORS)?.saturating_sub(1);
    if others == 0 {
        c.working("0");
        return Ok(ElectricCurrent::default());
    }
    let holding = c.get(HOLDING_CURRENT)?;
    let beside = formulas::Fleet {
        actuators: others,
        moving_together: c.get(MOVING_TOGETHER)?.saturating_sub(1),
    };
    let moving = if beside.moving_together == 0 {
        c.working("(supply.actuators - 1) * (supply.holding_current + supply.board_at_lowest)");
        holding
    } else {
        c.get(MOVING_CURRENT)?.max(holding)
    };
    Ok(beside.worst_current(moving, holding, c.get(BOARD_AT_LOWEST)?))
}

fn voltage_beside_others(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    if c.get(wiring::SHARED)? == wiring::Shared::Own {
        c.working(
            "max(0, drive.lowest_voltage - supply.others_current * supply.source_resistance)",
        );
    }
    let resistance = common_resistance(c, c.get(wiring::SUPPLY_RESISTANCE)?)?;
    let left = formulas::shared_voltage(
        c.get(drive::LOWEST_VOLTAGE)?,
        resistance,
        c.get(OTHERS_CURRENT)?,
    );
    Ok(left.voltage)
}

fn fleet(c: &Eval<'_>) -> Result<formulas::Fleet, Absent> {
    Ok(formulas::Fleet {
        actuators: c.get(ACTUATORS)?,
        moving_together: c.get(MOVING_TOGETHER)?,
    })
}

/// Something of each move asked for: against the load, with it, or both.
pub(super) fn of_moves<T>(
    c: &Eval<'_>,
    of: impl Fn(&Drivetrain, Motion, MoveLoad, ElectricalResistance) -> T,
) -> Result<(Option<T>, Option<T>), Absent> {
    let (train, motion, resistance) =
        (drivetrain(c)?, *motion(c)?, c.get(drive::MOTOR_RESISTANCE)?);
    let (load, back) = (
        load_over(c, movement::LOAD_LIFTING)?,
        load_over(c, movement::LOAD_LOWERING)?,
    );
    let direction = c.get(movement::DIRECTION)?;
    let against = (direction != Direction::Lowering).then(|| of(train, motion, load, resistance));
    let with = (direction != Direction::Lifting).then(|| of(train, motion, back, resistance));
    Ok((against, with))
}

fn peak_power(c: &Eval<'_>) -> Result<Power, Absent> {
    move_is_made(c)?;
    greatest_power(c)
}

/// The greatest power of the move, whether the motor can make it or not: another cable may let it.
fn greatest_power(c: &Eval<'_>) -> Result<Power, Absent> {
    let (against, with) = of_moves(c, pulsewright_calc::motion::peak_power)?;
    [against, with]
        .into_iter()
        .flatten()
        .reduce(Power::max)
        .ok_or(NOT_FINITE)
}

/// Supply current of one motor of this power through a cable of this resistance.
fn current_of(
    c: &Eval<'_>,
    power: Power,
    cable: ElectricalResistance,
) -> Result<ElectricCurrent, Absent> {
    formulas::motor_current(
        power,
        c.get(drive::LOWEST_VOLTAGE)?,
        c.get(SOURCE_RESISTANCE)? + cable,
    )
    .map_err(|_| OVERLOADED)
}

fn moving_through(c: &Eval<'_>, cable: ElectricalResistance) -> Result<ElectricCurrent, Absent> {
    if c.get(MOVING_TOGETHER)? == 0 {
        return Ok(ElectricCurrent::default());
    }
    current_of(c, greatest_power(c)?, cable)
}

fn moving_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    move_is_made(c)?;
    let current = if c.get(MOVING_TOGETHER)? == 0 {
        ElectricCurrent::default()
    } else {
        current_of(c, c.get(PEAK_POWER)?, c.get(wiring::SUPPLY_RESISTANCE)?)?
    };
    if current == ElectricCurrent::default() {
        c.working("0");
    }
    Ok(current)
}

fn holding_power(c: &Eval<'_>) -> Result<Power, Absent> {
    if c.get(movement::DWELL_CURRENT)? == DwellCurrent::Off {
        c.working("0");
    }
    hold_through(c, c.get(wiring::SUPPLY_RESISTANCE)?)
}

fn hold_through(c: &Eval<'_>, cable: ElectricalResistance) -> Result<Power, Absent> {
    if c.get(movement::DWELL_CURRENT)? == DwellCurrent::Off {
        return Ok(Power::default());
    }
    let current = c
        .get(heat::CURRENT_WORST_CASE)?
        .min(blocked_through(c, cable)?);
    Ok(current * current * c.get(drive::MOTOR_RESISTANCE)?)
}

fn holding_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let current = current_of(c, c.get(HOLDING_POWER)?, c.get(wiring::SUPPLY_RESISTANCE)?)?;
    if current == ElectricCurrent::default() {
        c.working("0");
    }
    Ok(current)
}

/// Current of a blocked motor at the lowest supply voltage.
fn blocked_through(c: &Eval<'_>, cable: ElectricalResistance) -> Result<ElectricCurrent, Absent> {
    super::shared::blocked_at(
        c,
        c.get(drive::LOWEST_VOLTAGE)?,
        c.get(drive::MOTOR_RESISTANCE)? + c.get(SOURCE_RESISTANCE)? + cable,
        c.get(bridge::LIMIT_KIND)?,
    )
}

fn blocked_at_lowest(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    if super::shared::limit_in_effect(c)?.is_some() {
        c.working("min(drive.current_limit, loop.voltage_limit * drive.lowest_voltage / drive.total_resistance)");
    }
    blocked_through(c, c.get(wiring::SUPPLY_RESISTANCE)?)
}

/// What all draw together, and no more than a short draws: a current that cannot flow does not.
struct Together {
    board: ElectricCurrent,
    voltage: ElectricPotential,
    common: ElectricalResistance,
}

impl Together {
    fn at_lowest(c: &Eval<'_>, cable: ElectricalResistance) -> Result<Self, Absent> {
        Ok(Self {
            board: c.get(BOARD_AT_LOWEST)?,
            voltage: c.get(drive::LOWEST_VOLTAGE)?,
            common: common_resistance(c, cable)?,
        })
    }

    fn current(
        &self,
        c: &Eval<'_>,
        moving: ElectricCurrent,
        holding: ElectricCurrent,
    ) -> Result<(ElectricCurrent, bool), Absent> {
        let asked = fleet(c)?.worst_current(moving, holding, self.board);
        let short = self.voltage / self.common;
        // Without a resistance the short is infinite, or no number.
        Ok(if asked > short {
            (short, true)
        } else {
            (asked, false)
        })
    }

    /// The same with its working where less flows than is asked for: behind the cable and without one.
    fn told(
        &self,
        c: &Eval<'_>,
        moving: ElectricCurrent,
        holding: ElectricCurrent,
        [common, own]: [&'static str; 2],
    ) -> Result<ElectricCurrent, Absent> {
        let (current, shorted) = self.current(c, moving, holding)?;
        if shorted {
            c.working(match c.get(wiring::SHARED)? {
                wiring::Shared::Common => common,
                wiring::Shared::Own => own,
            });
        }
        Ok(current)
    }
}

const SHORT_AT_LOWEST: [&str; 2] = [
    "drive.lowest_voltage / drive.supply_path_resistance",
    "drive.lowest_voltage / supply.source_resistance",
];

/// Those that may move may also stand, after a move with the load at more than they moved with.
fn worst_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let holding = c.get(HOLDING_CURRENT)?;
    Together::at_lowest(c, c.get(wiring::SUPPLY_RESISTANCE)?)?.told(
        c,
        c.get(MOVING_CURRENT)?.max(holding),
        holding,
        SHORT_AT_LOWEST,
    )
}

fn stall_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let together = Together {
        board: c.get(BOARD_AT_HIGHEST)?,
        voltage: c.get(drive::HIGHEST_VOLTAGE)?,
        common: common_resistance(c, c.get(wiring::SUPPLY_RESISTANCE)?)?,
    };
    together.told(
        c,
        c.get(drive::BLOCKED_CURRENT)?,
        c.get(HOLDING_CURRENT)?,
        [
            "drive.highest_voltage / drive.supply_path_resistance",
            "drive.highest_voltage / supply.source_resistance",
        ],
    )
}

fn stall_at_lowest(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Together::at_lowest(c, c.get(wiring::SUPPLY_RESISTANCE)?)?.told(
        c,
        c.get(BLOCKED_AT_LOWEST)?,
        c.get(HOLDING_CURRENT)?,
        SHORT_AT_LOWEST,
    )
}

fn energy_of(c: &Eval<'_>, load: Key<Torque>, other_way: Direction) -> Result<Energy, Absent> {
    if c.get(movement::DIRECTION)? == other_way {
        return Err(Absent::not_asked("no move in that direction"));
    }
    Ok(pulsewright_calc::motion::drawn_energy(
        drivetrain(c)?,
        *motion(c)?,
        load_over(c, load)?,
        c.get(drive::MOTOR_RESISTANCE)?,
    ))
}

fn against_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    move_is_made(c)?;
    energy_of(c, movement::LOAD_LIFTING, Direction::Lowering)
}

fn with_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    move_is_made(c)?;
    energy_of(c, movement::LOAD_LOWERING, Direction::Lifting)
}

fn mean_power(c: &Eval<'_>) -> Result<Power, Absent> {
    let drawn = match c.get(movement::DIRECTION)? {
        Direction::Lifting => c.get(LIFTING_ENERGY)?,
        Direction::Lowering => {
            c.working("(supply.lowering_energy + hold.selected_current ^ 2 * drive.motor_resistance * move.dwell) / (move.time + move.dwell)");
            c.get(LOWERING_ENERGY)?
        }
        Direction::Both => {
            c.working("((supply.lifting_energy + supply.lowering_energy) / 2 + hold.selected_current ^ 2 * drive.motor_resistance * move.dwell) / (move.time + move.dwell)");
            pulsewright_calc::motion::Direction::Both
                .mean(c.get(LIFTING_ENERGY)?, c.get(LOWERING_ENERGY)?)
        }
    };
    Ok(pulsewright_calc::motion::mean_power(
        drawn,
        c.get(heat::DWELL_CURRENT)?,
        c.get(drive::MOTOR_RESISTANCE)?,
        c.get(movement::TIME)?,
        c.get(movement::DWELL)?,
    ))
}

fn average_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(fleet(c)?.average_current(
        c.get(MEAN_POWER)?,
        c.get(movement::DUTY)?,
        c.get(VOLTAGE)?,
        c.get(BOARD_CURRENT)?,
    ))
}

/// Voltage at the boards: `all` flows through the source, `own` through the cable.
fn behind(
    c: &Eval<'_>,
    all: ElectricCurrent,
    own: ElectricCurrent,
    cable: ElectricalResistance,
) -> Result<ElectricPotential, Absent> {
    let behind = formulas::voltage_behind(
        c.get(drive::LOWEST_VOLTAGE)?,
        &[(all, c.get(SOURCE_RESISTANCE)?), (own, cable)],
    );
    Ok(behind.max(ElectricPotential::default()))
}

/// Current of the cable that carries most: the whole where one pair of wires serves all, otherwise
/// that of the actuator which draws most.
///
/// # Errors
/// When a part of it is not there.
pub(super) fn in_cable(
    c: &Eval<'_>,
    all: ElectricCurrent,
    moving: ElectricCurrent,
    holding: ElectricCurrent,
) -> Result<ElectricCurrent, Absent> {
    if c.get(wiring::SHARED)? == wiring::Shared::Common {
        return Ok(all);
    }
    let moves = c.get(MOVING_TOGETHER)? > 0;
    let most = if moves { moving.max(holding) } else { holding };
    Ok(most + c.get(BOARD_AT_LOWEST)?)
}

fn voltage_at_worst(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    if c.get(wiring::SHARED)? == wiring::Shared::Own {
        c.working("max(0, drive.lowest_voltage - supply.worst_current * supply.source_resistance - wiring.cable_current * wiring.supply_resistance)");
    }
    behind(
        c,
        c.get(WORST_CURRENT)?,
        c.get(wiring::CABLE_CURRENT)?,
        c.get(wiring::SUPPLY_RESISTANCE)?,
    )
}

fn voltage_at_stall(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    if c.get(wiring::SHARED)? == wiring::Shared::Own {
        c.working(if c.get(MOVING_TOGETHER)? > 0 {
            "max(0, drive.lowest_voltage - supply.stall_at_lowest * supply.source_resistance - (max(supply.blocked_at_lowest, supply.holding_current) + supply.board_at_lowest) * wiring.supply_resistance)"
        } else {
            "max(0, drive.lowest_voltage - supply.stall_at_lowest * supply.source_resistance - (supply.holding_current + supply.board_at_lowest) * wiring.supply_resistance)"
        });
    }
    let all = c.get(STALL_AT_LOWEST)?;
    let own = in_cable(c, all, c.get(BLOCKED_AT_LOWEST)?, c.get(HOLDING_CURRENT)?)?;
    behind(c, all, own, c.get(wiring::SUPPLY_RESISTANCE)?)
}

/// The sag through a cable of another resistance: its current and the voltage behind it while
/// moving, and the voltage in a jam.
///
/// # Errors
/// When source and cable cannot give the power, or a part of it is not there.
pub(super) fn sag_through(
    c: &Eval<'_>,
    cable: ElectricalResistance,
) -> Result<(ElectricCurrent, ElectricPotential, ElectricPotential), Absent> {
    let holding = current_of(c, hold_through(c, cable)?, cable)?;
    let together = Together::at_lowest(c, cable)?;
    let of = |moving: ElectricCurrent| -> Result<(ElectricCurrent, ElectricPotential), Absent> {
        let (all, _) = together.current(c, moving, holding)?;
        let own = in_cable(c, all, moving, holding)?;
        Ok((own, behind(c, all, own, cable)?))
    };
    let (own, at_worst) = of(moving_through(c, cable)?.max(holding))?;
    let (_, at_jam) = of(blocked_through(c, cable)?)?;
    Ok((own, at_worst, at_jam))
}

fn voltage_needed(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    Ok(c.get(regulator::RESET_NOW)? + c.get(regulator::DROPOUT)?)
}

fn brown_out_margin(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    Ok(formulas::brown_out_margin(
        c.get(VOLTAGE_AT_WORST)?,
        c.get(VOLTAGE_AT_STALL)?,
        c.get(regulator::RESET_NOW)?,
        c.get(regulator::DROPOUT)?,
    ))
}

fn stop_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    move_is_made(c)?;
    Ok(fleet(c)?.energy_together(formulas::stop_energy(
        c.get(motor::ROTOR_INERTIA)?,
        c.get(gears::RATIO_NOW)?,
        c.get(axis::LOAD_INERTIA)?,
        c.get(movement::PEAK_SPEED)?,
    )))
}

fn own_draw(c: &Eval<'_>) -> Result<Power, Absent> {
    fleet(c)?
        .own_draw(c.get(VOLTAGE)?, c.get(BOARD_CURRENT)?)
        .ok_or(Absent::not_asked("no move, so no braking"))
}

fn regenerated_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    let fleet = fleet(c)?;
    if fleet.moving_together == 0 || c.get(SINKS_CURRENT)? == YesNo::Yes {
        c.working("0");
        return Ok(Energy::default());
    }
    move_is_made(c)?;
    let own_draw = c.get(BOARD_POWER)?;
    let (against, with) = of_moves(c, |train, motion, load, resistance| {
        pulsewright_calc::motion::regenerated_energy(train, motion, load, resistance, own_draw)
    })?;
    let each = [against, with].into_iter().flatten();
    Ok(fleet.energy_together(each.fold(Energy::default(), |sum, e| sum + e)))
}

fn regenerated_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    Ok(formulas::regenerated_voltage(
        c.get(drive::HIGHEST_VOLTAGE)?,
        c.get(REGENERATED_ENERGY)?,
        c.get(BULK_CAPACITANCE)?,
    ))
}

fn regenerated_voltage_bound(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let highest = c.get(drive::HIGHEST_VOLTAGE)?;
    if c.get(SINKS_CURRENT)? == YesNo::Yes {
        c.working("drive.highest_voltage");
        return Ok(highest);
    }
    let fall = fleet(c)?.energy_together(c.get(axis::DROP_ENERGY)?);
    Ok(formulas::regenerated_voltage(
        highest,
        c.get(STOP_ENERGY)? + fall,
        c.get(BULK_CAPACITANCE)?,
    ))
}

/// The capacitance that keeps the voltage after braking below `most`.
fn capacitance_below(c: &Eval<'_>, most: ElectricPotential) -> Result<Capacitance, Absent> {
    formulas::capacitance_for_energy(
        c.get(REGENERATED_ENERGY)?,
        most,
        c.get(drive::HIGHEST_VOLTAGE)?,
    )
    .ok_or(Absent::impossible(
        "the highest supply voltage is already the lowest abs. max. supply voltage: no capacitor helps",
    ))
}

fn regeneration_capacitance(c: &Eval<'_>) -> Result<Capacitance, Absent> {
    let capacitance = capacitance_below(c, c.get(MAX_VOLTAGE)?)?;
    if capacitance == Capacitance::default() {
        c.working("0");
    }
    Ok(capacitance)
}

fn hold_up(c: &Eval<'_>) -> Result<Capacitance, Absent> {
    let step = if c.get(movement::REVERSES_AT_SPEED)? == YesNo::Yes {
        c.working("0.001 * supply.moving_together * drive.reversal_current / (drive.lowest_voltage - supply.voltage_needed)");
        c.get(drive::REVERSAL_CURRENT)?
    } else {
        c.get(drive::BLOCKED_CURRENT)?
    };
    formulas::hold_up_capacitance(
        step * f64::from(c.get(MOVING_TOGETHER)?),
        Time::new::<second>(formulas::HOLD_UP_SECONDS),
        c.get(drive::LOWEST_VOLTAGE)? - c.get(VOLTAGE_NEEDED)?,
    )
    .ok_or(Absent::impossible(
        "no brown-out margin at the lowest supply voltage: no capacitor helps",
    ))
}

fn capacitance_needed(c: &Eval<'_>) -> Result<Capacitance, Absent> {
    let (back, hold) = (
        c.get(REGENERATION_CAPACITANCE)?,
        c.get(HOLD_UP_CAPACITANCE)?,
    );
    Ok(back.max(hold))
}

/// Share of what lies above the highest voltage that a passing check leaves to pumping.
const CLEAR_SHARE: f64 = 0.8;

fn fit_capacitance(c: &Eval<'_>) -> Result<Capacitance, Absent> {
    let highest = c.get(drive::HIGHEST_VOLTAGE)?;
    let clear = highest + (c.get(MAX_VOLTAGE)? - highest) * CLEAR_SHARE;
    let needed = capacitance_below(c, clear)?.max(c.get(HOLD_UP_CAPACITANCE)?);
    preferred::capacitor_at_least(needed).ok_or(Absent::impossible("more than 1 F: not practical"))
}

fn run_time(c: &Eval<'_>) -> Result<Time, Absent> {
    let Some(capacity) = c.option(CAPACITY)? else {
        return Err(Absent::missing(CAPACITY.index()));
    };
    let current = c.get(AVERAGE_CURRENT)?;
    if current <= ElectricCurrent::default() {
        return Err(Absent::unlimited("no current is drawn from the battery"));
    }
    if current * c.get(RATED_HOURS)? <= capacity {
        c.working("supply.capacity / supply.average_current");
    }
    formulas::lasting_run_time(
        c.get(RATED_HOURS)?,
        capacity,
        current,
        c.get(PEUKERT_EXPONENT)?,
    )
    .ok_or(NOT_FINITE)
}

/// What the fuse at the source carries: all of a common wire, or one actuator's own.
fn fuse(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let jam = match c.get(wiring::SHARED)? {
        wiring::Shared::Common => c.get(STALL_CURRENT)?,
        wiring::Shared::Own => c.get(drive::BLOCKED_CURRENT)? + c.get(BOARD_AT_HIGHEST)?,
    };
    let least_rating = c
        .get(wiring::TRACE_CURRENT)?
        .min(c.get(wiring::WIRE_CURRENT)?)
        .min(c.get(wiring::PIN_CURRENT)?);
    preferred::time_lag_fuse(&FuseNeed {
        lasting: c.get(wiring::CABLE_CURRENT)?,
        jam,
        jam_time: c.get(verdict::STALL_TIMEOUT)?,
        least_rating,
    })
    .map_err(|none| match none {
        NoFuse::BeyondSeries { .. } => {
            Absent::impossible("no standard fuse carries this current")
        }
        NoFuse::LastingCurrent { .. } => Absent::impossible(
            "a fuse of 1.25 × the worst-case current does not protect the weakest of trace, wire and connector, rated at 0.75",
        ),
        NoFuse::Jam { .. } => Absent::impossible(
            "a time-lag fuse that carries a start or a stall does not protect the weakest of trace, wire and connector, rated at 0.75",
        ),
        _ => NOT_FINITE,
    })
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.supply_current",
        label: "Supply current",
        failing: "{supply.current_limit} available[; {supply.stall_current} needed at stall][; {supply.peak_power} per motor at the worst moment of the move]",
        tier: Tier::Heat,
        station: Station::Supply,
        measure: Measure::Current,
        limit: false,
        margin: current_check,
    },
    Check {
        id: "check.brown_out",
        label: "Brown-out margin",
        failing: "{supply.voltage_needed} needed, or the processor resets and the position is lost[; {supply.voltage_at_worst} available while moving][; {supply.voltage_at_stall} at stall]",
        tier: Tier::Heat,
        station: Station::Supply,
        measure: Measure::Voltage,
        limit: true,
        margin: brown_out_check,
    },
    Check {
        id: "check.voltage_rating",
        label: "Supply voltage / rated motor voltage",
        failing: "the highest supply voltage {drive.highest_voltage} is more than twice the rated motor voltage {motor.rated_voltage}. The brushes arc and wear[. The no-load speed of {drive.no_load_speed} at the output is too high for the bearings]",
        tier: Tier::Move,
        station: Station::Supply,
        measure: Measure::Voltage,
        limit: true,
        margin: voltage_rating_check,
    },
    Check {
        id: "check.regenerated_voltage",
        label: "Bus voltage after braking",
        failing: "lowest abs. max. supply voltage {supply.max_voltage}[, bus voltage after braking {supply.regenerated_voltage}]",
        tier: Tier::Strength,
        station: Station::Supply,
        measure: Measure::Voltage,
        limit: true,
        margin: regenerated_voltage_check,
    },
];

/// The greatest power that the source can give against the power that is asked for.
fn overloaded_check(c: &Eval<'_>) -> Result<Margin, Absent> {
    let (voltage, resistance) = (c.get(drive::LOWEST_VOLTAGE)?, c.get(drive::SUPPLY_PATH)?);
    let breaks_down = |power, case| {
        let overload = formulas::motor_current(power, voltage, resistance).err()?;
        Some(Margin {
            measure: Some(Measure::Power),
            ..Margin::of(overload.available, overload.demanded).in_load_case(case)
        })
    };
    // What it cannot hold it cannot, whatever the move may be.
    match breaks_down(c.get(HOLDING_POWER)?, LoadCase::Hold) {
        Some(held) => Ok(held),
        None => breaks_down(c.get(PEAK_POWER)?, LoadCase::Move).ok_or(OVERLOADED),
    }
}

/// The greater of a moving need and a blocked one against a rating. Where the move cannot be
/// computed, a rating that the blocked current passes is under already.
///
/// # Errors
/// Why the moving need is not there.
pub(super) fn margin_of_both(
    rating: ElectricCurrent,
    moving: Result<ElectricCurrent, Absent>,
    blocked: ElectricCurrent,
) -> Result<Margin, Absent> {
    let in_jam = Margin::of(rating, blocked).in_load_case(LoadCase::Blocked);
    match moving {
        Ok(moving) if moving > blocked => {
            Ok(Margin::of(rating, moving).in_load_case(LoadCase::Move))
        }
        Ok(_) => Ok(in_jam),
        Err(absent) => under_already(in_jam, absent),
    }
}

fn current_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let moving = c.get(WORST_CURRENT);
    if moving == Err(OVERLOADED) {
        return overloaded_check(c).map(Some);
    }
    margin_of_both(c.get(CURRENT_LIMIT)?, moving, c.get(STALL_CURRENT)?).map(Some)
}

/// What may be lost before a reset against what is lost. The boards' own current is the least need.
fn brown_out_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let lowest = c.get(drive::LOWEST_VOLTAGE)?;
    let needed = c.get(VOLTAGE_NEEDED)?;
    let margin = match c.get(VOLTAGE_AT_WORST) {
        Ok(at_worst) => Margin {
            from: -lowest.value,
            ..Margin::of(lowest - needed, lowest - at_worst).in_load_case(LoadCase::Move)
        },
        Err(OVERLOADED) => overloaded_check(c)?,
        Err(absent) => {
            let boards = c.get(BOARD_CURRENT)? * c.get(drive::SUPPLY_PATH)?;
            under_already(Margin::of(lowest - needed, boards), absent)?
        }
    };
    let resets = c.get(VOLTAGE_AT_STALL).is_ok_and(|at_jam| at_jam < needed);
    Ok(Some(Margin {
        at_best: if resets {
            Status::Tight
        } else {
            Status::Passes
        },
        ..margin
    }))
}

fn regenerated_voltage_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let (highest, most) = (c.get(drive::HIGHEST_VOLTAGE)?, c.get(MAX_VOLTAGE)?);
    if most < highest {
        return Ok(Some(Margin::of(most, highest)));
    }
    Ok(Some(Margin {
        from: highest.value,
        ..Margin::of(most - highest, c.get(REGENERATED_VOLTAGE)? - highest)
    }))
}

/// Brushes and bearings bear the mean voltage: what the firmware's duty leaves of the highest.
fn voltage_rating_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let rated = c.get(motor::RATED_VOLTAGE)?;
    let highest = c.get(drive::HIGHEST_VOLTAGE)? * c.get(position_loop::VOLTAGE_LIMIT)?;
    let rating = pulsewright_calc::motor::voltage_rating(highest, rated).ok_or(NOT_FINITE)?;
    Ok(Some(Margin {
        at_best: match rating.stress {
            VoltageStress::Usual => Status::Passes,
            VoltageStress::Raised => Status::Tight,
            VoltageStress::TooHigh => Status::Fails,
        },
        ..Margin::of(2.0 * rated, highest)
    }))
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "brown_out",
        station: Station::Supply,
        message: "Below {supply.voltage_needed} the processor resets and the position is lost.[ Supply voltage at the boards at stall: {supply.voltage_at_stall}.][ While moving: {supply.voltage_at_worst}.]",
        numbers: &[
            "supply.voltage_at_worst",
            "supply.voltage_at_stall",
            "supply.voltage_needed",
            "supply.brown_out_margin",
        ],
        when: brown_out,
    },
    Finding {
        id: "brown_out",
        station: Station::Supply,
        message: "At stall the supply voltage drops to {supply.voltage_at_stall}. The processor needs {supply.voltage_needed}: it resets, and the position is lost.",
        numbers: &["supply.voltage_at_stall", "supply.voltage_needed"],
        when: jam_resets,
    },
    Finding {
        id: "regeneration_overvoltage",
        station: Station::Supply,
        message: "The bus voltage after braking goes above the lowest abs. max. supply voltage of {supply.max_voltage}[: it reaches {supply.regenerated_voltage}]. Decelerate less, use a supply that can sink current[, or fit {fit.capacitance}].",
        numbers: &[
            "supply.regenerated_voltage",
            "supply.max_voltage",
            "supply.regenerated_energy",
            "fit.capacitance",
        ],
        when: overpumped,
    },
    Finding {
        id: "supply_overloaded",
        station: Station::Supply,
        message: "Supply current limit: {supply.current_limit}. Needed: [{supply.worst_current} while moving, ]{supply.stall_current} at stall.",
        numbers: &[
            "supply.current_limit",
            "supply.worst_current",
            "supply.stall_current",
        ],
        when: overloaded,
    },
    Finding {
        id: "supply_overloaded",
        station: Station::Supply,
        message: "Source and cable cannot deliver at any current what is needed[: {supply.peak_power} for the move][, {supply.holding_power} at rest]. Their resistance is {drive.supply_path_resistance}. Use a source with less resistance, thicker or shorter wires, or less acceleration.",
        numbers: &[
            "supply.peak_power",
            "supply.holding_power",
            "drive.supply_path_resistance",
            "drive.lowest_voltage",
        ],
        when: breaks_down,
    },
    Finding {
        id: "energy_source",
        station: Station::Supply,
        message: "Into a short, this supply drives {wiring.short_current}. Put the {supply.fuse} fuse within a hand's width of the source. Lithium cells burn when shorted, crushed, overcharged or charged below freezing: protected cells, a charger made for them, never unattended. Mains only through a closed, certified supply bought ready-made; nothing here is a reason to open one.",
        numbers: &["wiring.short_current", "supply.fuse"],
        when: fused_short,
    },
    Finding {
        id: "energy_source",
        station: Station::Supply,
        message: "Into a short, this supply drives {wiring.short_current}. Put a fuse within a hand's width of the source; its size cannot be said ({supply.fuse}). Lithium cells burn when shorted, crushed, overcharged or charged below freezing: protected cells, a charger made for them, never unattended. Mains only through a closed, certified supply bought ready-made; nothing here is a reason to open one.",
        numbers: &["wiring.short_current"],
        when: unfused_short,
    },
];

fn brown_out(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(brown_out_check(c)?)
}

fn jam_resets(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let resets = c.get(VOLTAGE_AT_STALL)? < c.get(VOLTAGE_NEEDED)?;
    Ok((resets && !matches!(brown_out(c), Ok(Some(_)))).then_some(Severity::Note))
}

fn overpumped(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(regenerated_voltage_check(c)?)
}

fn overloaded(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    if breaks_down(c)?.is_some() {
        return Ok(None);
    }
    under(current_check(c)?)
}

fn breaks_down(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((c.get(WORST_CURRENT) == Err(OVERLOADED)).then_some(Severity::Fault))
}

/// Lasting current above which a short is no longer held harmless: that of a limited power source
/// below 30 V (IEC 62368-1, annex Q, from memory), in amperes.
const LIMITED_SOURCE: f64 = 8.0;

/// A battery limits nothing and burns by itself. A mains supply gives little more than its label
/// says, so that both its label and Ohm's law must pass the limit.
fn short_is_dangerous(c: &Eval<'_>) -> Result<bool, Absent> {
    if c.option(CAPACITY)?.is_some() || c.get(SINKS_CURRENT)? == YesNo::Yes {
        return Ok(true);
    }
    let lasting = c.get(CURRENT_LIMIT)?.value;
    let short = match c.get(wiring::SHORT_CURRENT) {
        Ok(current) => current.value,
        Err(absent) if absent.code == Code::Unlimited => lasting,
        Err(absent) => return Err(absent),
    };
    Ok(short.min(lasting) > LIMITED_SOURCE)
}

fn fused_short(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((short_is_dangerous(c)? && c.get(FUSE).is_ok()).then_some(Severity::Danger))
}

fn unfused_short(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((short_is_dangerous(c)? && c.get(FUSE).is_err()).then_some(Severity::Danger))
}
