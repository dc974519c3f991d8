//! The supply.

use super::shared::under_already;
use super::shared::{drivetrain, motion, under};
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Check, LoadCase, Margin, Status};
use crate::evaluation::{Finding, Severity};
use crate::register::YesNo;
use crate::register::movement::{self, Direction};
use crate::register::supply::*;
use crate::register::{
    Key, Physical, Station, axis, bridge, drive, gears, heat, motor, regulator, wiring,
};
use crate::text::measure::Measure;
use pulsewright_calc::motion::{Drivetrain, Motion};
use pulsewright_calc::preferred;
use pulsewright_calc::supply as formulas;
use pulsewright_calc::units::{
    Capacitance, ElectricCurrent, ElectricPotential, ElectricalResistance, Energy, Power, Time,
    Torque,
};
use uom::si::time::second;

station! { supply;
    results {
        BOARD_CURRENT = board_current;
        PEAK_POWER = peak_power;
        MOVING_CURRENT = moving_current;
        HOLDING_POWER = holding_power;
        HOLDING_CURRENT = holding_current;
        BLOCKED_AT_LOWEST = blocked_at_lowest;
        WORST_CURRENT = worst_current;
        JAM_CURRENT = jam_current;
        JAM_AT_LOWEST = jam_at_lowest;
        AGAINST_ENERGY = against_energy;
        WITH_ENERGY = with_energy;
        MEAN_POWER = mean_power;
        AVERAGE_CURRENT = average_current;
        VOLTAGE_AT_WORST = voltage_at_worst;
        VOLTAGE_AT_JAM = voltage_at_jam;
        VOLTAGE_NEEDED = voltage_needed;
        BROWN_OUT_MARGIN = brown_out_margin;
        STOP_ENERGY = stop_energy;
        OWN_DRAW = own_draw;
        RETURNED_ENERGY = returned_energy;
        PUMPED_VOLTAGE = pumped_voltage;
        PUMPED_VOLTAGE_BOUND = pumped_voltage_bound;
        RETURN_CAPACITANCE = return_capacitance;
        HOLD_UP_CAPACITANCE = hold_up;
        CAPACITANCE_NEEDED = capacitance_needed;
        RUN_TIME = run_time;
        FUSE = fuse;
        FIT_CAPACITANCE = fit_capacitance;
    }
    presets {
        MAX_VOLTAGE = max_voltage;
    }
    limits {
        LOWEST_VOLTAGE: AtMost |c| c.before_limits(VOLTAGE), "the supply voltage", "the lowest is not above the usual";
        HIGHEST_VOLTAGE: AtLeast |c| c.before_limits(VOLTAGE), "the supply voltage", "the highest is not below the usual";
        MOVING_TOGETHER: AtMost |c| c.before_limits(ACTUATORS), "all actuators", "no more can move than there are";
        MAX_VOLTAGE: Above |c| c.before_limits(VOLTAGE), "the supply voltage", "parts that do not survive the supply are gone at once";
    }
    words {
        PEAK_POWER = |c| as_demanded(c, PEAK_POWER);
        WORST_CURRENT = |c| as_demanded(c, WORST_CURRENT);
        AVERAGE_CURRENT = |c| as_demanded(c, AVERAGE_CURRENT);
        VOLTAGE_AT_WORST = |c| as_demanded(c, VOLTAGE_AT_WORST);
    }
}

fn max_voltage(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok((1.5 * c.before_limits(VOLTAGE)?).max(12.0))
}

/// More power is asked for than source and cable can give.
pub(super) const OVERLOADED: Absent =
    Absent::impossible("nothing steady: source and cable cannot give this power at any current");

/// A figure of a move that the motor cannot make on this supply, in words; `None` where it can.
fn as_demanded<Q: Physical>(c: &Eval<'_>, key: Key<Q>) -> Option<String> {
    if c.get(movement::VOLTAGE_MARGIN).ok()?.value >= 0.0 {
        return None;
    }
    let value = c.get(key).ok()?.raw();
    let said = c
        .notation
        .said(crate::register::measure(key.index()), value, 3);
    Some([&said, " as demanded, not as achieved"].concat())
}

fn board_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(c.get(regulator::INPUT_CURRENT)? + c.get(bridge::QUIESCENT_CURRENT)?)
}

fn fleet(c: &Eval<'_>) -> Result<formulas::Fleet, Absent> {
    Ok(formulas::Fleet {
        actuators: c.get(ACTUATORS)?,
        moving_together: c.get(MOVING_TOGETHER)?,
    })
}

/// Something of each move asked for: against the load, with it, or both.
fn of_moves<T>(
    c: &Eval<'_>,
    of: impl Fn(&Drivetrain, Motion, Torque, ElectricalResistance) -> T,
) -> Result<(Option<T>, Option<T>), Absent> {
    let (train, motion, resistance) =
        (drivetrain(c)?, *motion(c)?, c.get(drive::MOTOR_RESISTANCE)?);
    let (load, back) = (c.get(movement::LOAD_AGAINST)?, c.get(movement::LOAD_WITH)?);
    let direction = c.get(movement::DIRECTION)?;
    let against = (direction != Direction::With).then(|| of(train, motion, load, resistance));
    let with = (direction != Direction::Against).then(|| of(train, motion, back, resistance));
    Ok((against, with))
}

fn peak_power(c: &Eval<'_>) -> Result<Power, Absent> {
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
    current_of(c, c.get(PEAK_POWER)?, cable)
}

fn moving_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let current = moving_through(c, c.get(wiring::SUPPLY_RESISTANCE)?)?;
    if current == ElectricCurrent::default() {
        c.working("0");
    }
    Ok(current)
}

fn holding_power(c: &Eval<'_>) -> Result<Power, Absent> {
    hold_through(c, c.get(wiring::SUPPLY_RESISTANCE)?)
}

fn hold_through(c: &Eval<'_>, cable: ElectricalResistance) -> Result<Power, Absent> {
    let current = c.get(heat::CURRENT_MOST)?.min(blocked_through(c, cable)?);
    Ok(current * current * c.get(drive::MOTOR_RESISTANCE)?)
}

fn holding_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    current_of(c, c.get(HOLDING_POWER)?, c.get(wiring::SUPPLY_RESISTANCE)?)
}

/// Current of a blocked motor at the lowest supply voltage.
fn blocked_through(c: &Eval<'_>, cable: ElectricalResistance) -> Result<ElectricCurrent, Absent> {
    Ok(formulas::blocked_current(
        c.get(drive::CURRENT_LIMIT)?,
        c.get(drive::LOWEST_VOLTAGE)?,
        c.get(drive::MOTOR_RESISTANCE)? + c.get(SOURCE_RESISTANCE)? + cable,
    ))
}

fn blocked_at_lowest(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    blocked_through(c, c.get(wiring::SUPPLY_RESISTANCE)?)
}

fn together(
    c: &Eval<'_>,
    moving: ElectricCurrent,
    holding: ElectricCurrent,
) -> Result<ElectricCurrent, Absent> {
    Ok(fleet(c)?.worst_current(moving, holding, c.get(BOARD_CURRENT)?))
}

/// Those that may move may also stand, after a move with the load at more than they moved with.
fn worst_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let holding = c.get(HOLDING_CURRENT)?;
    together(c, c.get(MOVING_CURRENT)?.max(holding), holding)
}

fn jam_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    together(c, c.get(drive::BLOCKED_CURRENT)?, c.get(HOLDING_CURRENT)?)
}

fn jam_at_lowest(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    together(c, c.get(BLOCKED_AT_LOWEST)?, c.get(HOLDING_CURRENT)?)
}

fn energy_of(c: &Eval<'_>, load: Key<Torque>, other_way: Direction) -> Result<Energy, Absent> {
    if c.get(movement::DIRECTION)? == other_way {
        return Err(Absent::not_asked("no move is made that way"));
    }
    Ok(pulsewright_calc::motion::drawn_energy(
        drivetrain(c)?,
        *motion(c)?,
        c.get(load)?,
        c.get(drive::MOTOR_RESISTANCE)?,
    ))
}

fn against_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    energy_of(c, movement::LOAD_AGAINST, Direction::With)
}

fn with_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    energy_of(c, movement::LOAD_WITH, Direction::Against)
}

fn mean_power(c: &Eval<'_>) -> Result<Power, Absent> {
    let drawn = match c.get(movement::DIRECTION)? {
        Direction::Against => c.get(AGAINST_ENERGY)?,
        Direction::With => {
            c.working("(supply.with_energy + hold.dwell_current ^ 2 * drive.motor_resistance * move.dwell) / (move.time + move.dwell)");
            c.get(WITH_ENERGY)?
        }
        Direction::Both => {
            c.working("((supply.against_energy + supply.with_energy) / 2 + hold.dwell_current ^ 2 * drive.motor_resistance * move.dwell) / (move.time + move.dwell)");
            pulsewright_calc::motion::Direction::Both
                .mean(c.get(AGAINST_ENERGY)?, c.get(WITH_ENERGY)?)
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
    Ok(formulas::voltage_behind(
        c.get(drive::LOWEST_VOLTAGE)?,
        &[(all, c.get(SOURCE_RESISTANCE)?), (own, cable)],
    ))
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
    Ok(most + c.get(BOARD_CURRENT)?)
}

fn voltage_at_worst(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    if c.get(wiring::SHARED)? == wiring::Shared::Own {
        c.working("drive.lowest_voltage - supply.worst_current * supply.source_resistance - wiring.cable_current * wiring.supply_resistance");
    }
    behind(
        c,
        c.get(WORST_CURRENT)?,
        c.get(wiring::CABLE_CURRENT)?,
        c.get(wiring::SUPPLY_RESISTANCE)?,
    )
}

fn voltage_at_jam(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    if c.get(wiring::SHARED)? == wiring::Shared::Own {
        c.working(if c.get(MOVING_TOGETHER)? > 0 {
            "drive.lowest_voltage - supply.jam_at_lowest * supply.source_resistance - (max(supply.blocked_at_lowest, supply.holding_current) + supply.board_current) * wiring.supply_resistance"
        } else {
            "drive.lowest_voltage - supply.jam_at_lowest * supply.source_resistance - (supply.holding_current + supply.board_current) * wiring.supply_resistance"
        });
    }
    let all = c.get(JAM_AT_LOWEST)?;
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
    let of = |moving: ElectricCurrent| -> Result<(ElectricCurrent, ElectricPotential), Absent> {
        let all = together(c, moving, holding)?;
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
        c.get(VOLTAGE_AT_JAM)?,
        c.get(regulator::RESET_NOW)?,
        c.get(regulator::DROPOUT)?,
    ))
}

fn stop_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
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
        .ok_or(Absent::not_asked("nothing moves, so nothing brakes"))
}

fn returned_energy(c: &Eval<'_>) -> Result<Energy, Absent> {
    let fleet = fleet(c)?;
    if fleet.moving_together == 0 || c.get(TAKES_BACK)? == YesNo::Yes {
        c.working("0");
        return Ok(Energy::default());
    }
    let own_draw = c.get(OWN_DRAW)?;
    let (against, with) = of_moves(c, |train, motion, load, resistance| {
        pulsewright_calc::motion::returned_energy(train, motion, load, resistance, own_draw)
    })?;
    let each = [against, with].into_iter().flatten();
    Ok(fleet.energy_together(each.fold(Energy::default(), |sum, e| sum + e)))
}

fn pumped_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    Ok(formulas::pumped_voltage(
        c.get(drive::HIGHEST_VOLTAGE)?,
        c.get(RETURNED_ENERGY)?,
        c.get(BULK_CAPACITANCE)?,
    ))
}

fn pumped_voltage_bound(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let highest = c.get(drive::HIGHEST_VOLTAGE)?;
    if c.get(TAKES_BACK)? == YesNo::Yes {
        c.working("drive.highest_voltage");
        return Ok(highest);
    }
    let fall = fleet(c)?.energy_together(c.get(axis::FALL_ENERGY)?);
    Ok(formulas::pumped_voltage(
        highest,
        c.get(STOP_ENERGY)? + fall,
        c.get(BULK_CAPACITANCE)?,
    ))
}

/// The capacitance that keeps the voltage after braking below `most`.
fn capacitance_below(c: &Eval<'_>, most: ElectricPotential) -> Result<Capacitance, Absent> {
    formulas::capacitance_for_energy(
        c.get(RETURNED_ENERGY)?,
        most,
        c.get(drive::HIGHEST_VOLTAGE)?,
    )
    .ok_or(Absent::impossible(
        "the highest supply voltage is already what the parts survive: no capacitor helps",
    ))
}

fn return_capacitance(c: &Eval<'_>) -> Result<Capacitance, Absent> {
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
        "the lowest supply voltage leaves nothing above a reset: no capacitor helps",
    ))
}

fn capacitance_needed(c: &Eval<'_>) -> Result<Capacitance, Absent> {
    let (back, hold) = (c.get(RETURN_CAPACITANCE)?, c.get(HOLD_UP_CAPACITANCE)?);
    Ok(back.max(hold))
}

/// Share of the room above the highest voltage that a clear check leaves to pumping.
const CLEAR_SHARE: f64 = 0.8;

fn fit_capacitance(c: &Eval<'_>) -> Result<Capacitance, Absent> {
    let highest = c.get(drive::HIGHEST_VOLTAGE)?;
    let clear = highest + (c.get(MAX_VOLTAGE)? - highest) * CLEAR_SHARE;
    let needed = capacitance_below(c, clear)?.max(c.get(HOLD_UP_CAPACITANCE)?);
    preferred::capacitor_at_least(needed)
        .ok_or(Absent::impossible("more than 1 F: no capacitor does this"))
}

fn run_time(c: &Eval<'_>) -> Result<Time, Absent> {
    let Some(capacity) = c.option(CAPACITY)? else {
        return Err(Absent::missing(CAPACITY.index()));
    };
    let current = c.get(AVERAGE_CURRENT)?;
    if current <= ElectricCurrent::default() {
        return Err(Absent::unlimited("nothing draws on the battery"));
    }
    formulas::run_time(
        c.get(RATED_HOURS)?,
        capacity,
        current,
        c.get(PEUKERT_EXPONENT)?,
    )
    .ok_or(NOT_FINITE)
}

fn fuse(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let worst = c.get(WORST_CURRENT)?;
    let least = c
        .get(wiring::TRACE_CURRENT)?
        .min(c.get(wiring::WIRE_CURRENT)?)
        .min(c.get(wiring::PIN_CURRENT)?);
    preferred::fuse(worst, least).ok_or(Absent::impossible(
        "no standard fuse lies between 1.25 × the worst current and 0.75 × the least rating of trace, wire and pin",
    ))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.supply_current",
        label: "Current of the supply",
        under: "the supply gives {supply.current_limit}; a jam asks for {supply.jam_current}, and each motor takes {supply.peak_power} in the worst moment of its move",
        station: Station::Supply,
        measure: Measure::Current,
        margin: current_check,
    },
    Check {
        id: "check.brown_out",
        label: "Supply voltage against a reset",
        under: "below {supply.voltage_needed} the processor resets and the position is lost; a jam leaves {supply.voltage_at_jam}, the move {supply.voltage_at_worst}",
        station: Station::Supply,
        measure: Measure::Voltage,
        margin: brown_out_check,
    },
    Check {
        id: "check.pumped_voltage",
        label: "Voltage after braking",
        under: "a stop pumps the supply rail up to {supply.pumped_voltage}, its parts survive {supply.max_voltage}",
        station: Station::Supply,
        measure: Measure::Voltage,
        margin: pumped_check,
    },
];

/// The greatest power that the source can give against the power that is asked for.
fn overloaded_check(c: &Eval<'_>) -> Result<Margin, Absent> {
    let (voltage, resistance) = (c.get(drive::LOWEST_VOLTAGE)?, c.get(drive::SUPPLY_PATH)?);
    let power = c.get(PEAK_POWER)?;
    match formulas::motor_current(power, voltage, resistance) {
        Err(overload) => Ok(Margin {
            measure: Some(Measure::Power),
            ..Margin::of(overload.available, overload.demanded)
        }
        .in_load_case(LoadCase::Move)),
        Ok(_) => Err(OVERLOADED),
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
    margin_of_both(c.get(CURRENT_LIMIT)?, moving, c.get(JAM_CURRENT)?).map(Some)
}

/// What may be lost before a reset against what is lost. The boards' own current is the least need.
fn brown_out_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let lowest = c.get(drive::LOWEST_VOLTAGE)?;
    let needed = c.get(VOLTAGE_NEEDED)?;
    let margin = match c.get(VOLTAGE_AT_WORST) {
        Ok(at_worst) => Margin::of(lowest - needed, lowest - at_worst).in_load_case(LoadCase::Move),
        Err(OVERLOADED) => overloaded_check(c)?,
        Err(absent) => {
            let boards = c.get(BOARD_CURRENT)? * c.get(drive::SUPPLY_PATH)?;
            under_already(Margin::of(lowest - needed, boards), absent)?
        }
    };
    let resets = c.get(VOLTAGE_AT_JAM).is_ok_and(|at_jam| at_jam < needed);
    Ok(Some(Margin {
        at_best: if resets { Status::Tight } else { Status::Clear },
        ..margin
    }))
}

fn pumped_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    let (highest, most) = (c.get(drive::HIGHEST_VOLTAGE)?, c.get(MAX_VOLTAGE)?);
    if most < highest {
        return Ok(Some(Margin::of(most, highest)));
    }
    Ok(Some(Margin::of(
        most - highest,
        c.get(PUMPED_VOLTAGE)? - highest,
    )))
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "brown_out",
        station: Station::Supply,
        message: "Below {supply.voltage_needed} the processor resets and the position is lost. A jam leaves {supply.voltage_at_jam} at the boards, the move {supply.voltage_at_worst}.",
        numbers: &[
            "supply.voltage_at_worst",
            "supply.voltage_at_jam",
            "supply.voltage_needed",
            "supply.brown_out_margin",
        ],
        when: brown_out,
    },
    Finding {
        id: "brown_out",
        station: Station::Supply,
        message: "A jam pulls the supply down to {supply.voltage_at_jam}, below the {supply.voltage_needed} that the processor needs: it resets, and the position is lost with the jam.",
        numbers: &["supply.voltage_at_jam", "supply.voltage_needed"],
        when: jam_resets,
    },
    Finding {
        id: "overpumped",
        station: Station::Supply,
        message: "Braking pumps the supply rail up to {supply.pumped_voltage}; its parts survive {supply.max_voltage}. Fit {fit.capacitance}, brake more gently, or take a supply that takes current back.",
        numbers: &[
            "supply.pumped_voltage",
            "supply.max_voltage",
            "supply.returned_energy",
            "fit.capacitance",
        ],
        when: overpumped,
    },
    Finding {
        id: "supply_overloaded",
        station: Station::Supply,
        message: "The supply gives {supply.current_limit}. The motors ask for {supply.worst_current} when they move and {supply.jam_current} in a jam.",
        numbers: &[
            "supply.current_limit",
            "supply.worst_current",
            "supply.jam_current",
        ],
        when: overloaded,
    },
    Finding {
        id: "supply_overloaded",
        station: Station::Supply,
        message: "The move asks for {supply.peak_power}; source and cable cannot give it at any current: {drive.supply_path_resistance} stand before the motor, and the voltage breaks down. Take a stiffer source, thicker or shorter wires, or a gentler move.",
        numbers: &[
            "supply.peak_power",
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
    let resets = c.get(VOLTAGE_AT_JAM)? < c.get(VOLTAGE_NEEDED)?;
    Ok((resets && !matches!(brown_out(c), Ok(Some(_)))).then_some(Severity::Note))
}

fn overpumped(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    under(pumped_check(c)?)
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
    if c.option(CAPACITY)?.is_some() || c.get(TAKES_BACK)? == YesNo::Yes {
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
