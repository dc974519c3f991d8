//! The supply.

use crate::check::{Case, Check, Room, Status};
use crate::eval::{Absent, BEYOND, Code, Eval};
use crate::finding::{Finding, Severity};

use pulsewright_calc::motion::{Drivetrain, Motion};
use pulsewright_calc::preferred;
use pulsewright_calc::supply as formulas;
use pulsewright_calc::units::{
    Capacitance, ElectricCharge, ElectricCurrent, ElectricPotential, ElectricalResistance, Energy,
    Power, Ratio, Time, Torque,
};
use uom::si::time::second;

use super::movement::{self, Direction, YesNo};
use super::regulator::under_already;
use super::{
    Form, INPUT, Input, Key, Means, Must, Outcome, Physical, Preset, RESULT, Rule, Station, Sure,
    axis, bridge, drive, encoder, gears, heat, motor, regulator, wiring,
};
use crate::unit::Measure;

fn max_voltage(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok((1.5 * c.bare(VOLTAGE)?).max(12.0))
}

inputs! {
    after super::bridge;

    VOLTAGE: ElectricPotential = Input {
        id: "supply.voltage",
        symbol: "V",
        label: "Supply voltage, no load",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("6 V"),
        low: "0.5 V",
        high: "60 V",
        sure: Sure::Within("5 %"),
        layer: 1,
        because: "beyond 60 V a shock can hurt, and below 0.5 V nothing runs",
        means: Means::Bought,
        help: "Voltmeter at the supply, nothing connected",
        ..INPUT
    };
    LOWEST_VOLTAGE: ElectricPotential = Input {
        id: "supply.lowest_voltage",
        symbol: "V_low",
        label: "Lowest supply voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::LeftOut,
        low: "0.5 V",
        high: "60 V",
        sure: Sure::Within("3 %"),
        layer: 2,
        rules: &[Rule { must: Must::AtMost, than: |c| c.bare(VOLTAGE), name: "the supply voltage", because: "the lowest is not above the usual" }],
        means: Means::Bought,
        help: "Battery at the end of its charge: per cell alkaline 1.0, NiMH 1.0, lithium 3.0 V",
        ..INPUT
    };
    HIGHEST_VOLTAGE: ElectricPotential = Input {
        id: "supply.highest_voltage",
        symbol: "V_high",
        label: "Highest supply voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::LeftOut,
        low: "0.5 V",
        high: "65 V",
        sure: Sure::Within("3 %"),
        layer: 2,
        rules: &[Rule { must: Must::AtLeast, than: |c| c.bare(VOLTAGE), name: "the supply voltage", because: "the highest is not below the usual" }],
        means: Means::Bought,
        help: "Battery just charged: per cell alkaline 1.6, NiMH 1.45, lithium 4.2 V; adapter without load",
        ..INPUT
    };
    SOURCE_RESISTANCE: ElectricalResistance = Input {
        id: "supply.source_resistance",
        symbol: "R_source",
        label: "Source resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::Fixed("0.1 Ohm"),
        low: "0 Ohm",
        high: "100 Ohm",
        sure: Sure::Within("30 %"),
        layer: 2,
        means: Means::Bought,
        help: "Two readings at the supply: (volts unloaded − volts loaded) / amperes. Per cell: AA alkaline 0.15 to 0.3, NiMH 0.02 to 0.05, lithium 0.03 to 0.1 Ω",
        ..INPUT
    };
    CURRENT_LIMIT: ElectricCurrent = Input {
        id: "supply.current_limit",
        symbol: "I_supply",
        label: "Current limit of the supply",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Fixed("2 A"),
        low: "10 mA",
        high: "1000 A",
        sure: Sure::Within("10 %"),
        layer: 2,
        means: Means::Bought,
        help: "Label of the supply; cells: rated continuous discharge",
        ..INPUT
    };
    CAPACITY: ElectricCharge = Input {
        id: "supply.capacity",
        symbol: "C_batt",
        label: "Battery capacity",
        form: Form::Quantity(Measure::Charge),
        preset: Preset::LeftOut,
        low: "10 mA.h",
        high: "1000 A.h",
        sure: Sure::Within("20 %"),
        layer: 2,
        means: Means::Bought,
        help: "Label; count on 80 % of it",
        ..INPUT
    };
    RATED_HOURS: Time = Input {
        id: "supply.rated_hours",
        symbol: "H",
        label: "Hours of the capacity rating",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("5 h"),
        low: "0.1 h",
        high: "100 h",
        sure: Sure::Near,
        layer: 3,
        means: Means::Nothing,
        help: "Label: the hours that the capacity is stated for; lead 20 h, others often 5 h",
        ..INPUT
    };
    PEUKERT_EXPONENT: Ratio = Input {
        id: "supply.peukert_exponent",
        symbol: "k_p",
        label: "Peukert exponent",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1.05"),
        low: "1",
        high: "1.6",
        sure: Sure::Within("0.05"),
        layer: 3,
        help: "Lithium 1.02 to 1.05, sealed lead 1.05 to 1.15, flooded lead 1.2 to 1.6",
        ..INPUT
    };
    ACTUATORS: u32 = Input {
        id: "supply.actuators",
        symbol: "n_all",
        label: "Actuators on this supply",
        form: Form::Whole,
        preset: Preset::Fixed("1"),
        low: "1",
        high: "64",
        layer: 2,
        means: Means::Asked,
        help: "Motors on this supply and these wires",
        ..INPUT
    };
    MOVING_TOGETHER: u32 = Input {
        id: "supply.moving_together",
        symbol: "n_moving",
        label: "Actuators that move together",
        form: Form::Whole,
        preset: Preset::Fixed("1"),
        low: "0",
        high: "64",
        layer: 2,
        rules: &[Rule { must: Must::AtMost, than: |c| c.bare(ACTUATORS), name: "all actuators", because: "no more can move than there are" }],
        means: Means::Asked,
        help: "How many may move at the same moment",
        ..INPUT
    };
    BULK_CAPACITANCE: Capacitance = Input {
        id: "supply.bulk_capacitance",
        symbol: "C_bulk",
        label: "Capacitance on the motor supply",
        form: Form::Quantity(Measure::Capacitance),
        preset: Preset::Fixed("470 uF"),
        low: "0.1 uF",
        high: "1 F",
        sure: Sure::Within("20 %"),
        layer: 2,
        means: Means::Fitted,
        help: "Add up what is fitted on the shared rail, all boards",
        ..INPUT
    };
    MAX_VOLTAGE: ElectricPotential = Input {
        id: "supply.max_voltage",
        symbol: "V_max",
        label: "Voltage that everything survives",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::From(max_voltage, "12 V, or 1.5 times a higher supply voltage"),
        low: "0.5 V",
        high: "100 V",
        sure: Sure::Near,
        layer: 2,
        rules: &[Rule { must: Must::Above, than: |c| c.bare(VOLTAGE), name: "the supply voltage", because: "parts that do not survive the supply are gone at once" }],
        means: Means::Bought,
        help: "Lowest absolute maximum among bridge, regulator and capacitors",
        ..INPUT
    };
    TAKES_BACK: YesNo = Input {
        id: "supply.takes_back",
        symbol: "takes_back",
        label: "Supply takes current back",
        form: Form::Choice(YesNo::WORDS),
        preset: Preset::Fixed("no"),
        layer: 3,
        means: Means::Bought,
        help: "Battery: yes; ordinary adapter: no",
        ..INPUT
    };
}

results! {
    after super::bridge;

    BOARD_CURRENT: ElectricCurrent = Outcome {
        id: "supply.board_current",
        symbol: "I_board",
        label: "Current of one board",
        measure: Measure::Current,
        meaning: "regulator and bridge, without the motor",
        formula: "regulator.input_current + bridge.quiescent_current",
        source: "Kirchhoff's current law",
        ..RESULT
    }, board_current;
    PEAK_POWER: Power = Outcome {
        id: "supply.peak_power",
        symbol: "p_peak",
        label: "Peak power of one motor",
        measure: Measure::Power,
        meaning: "into motor and bridge, at the worst moment of the move",
        formula: "'the greatest of i²·R_m + Ke·ω·i over the moves asked for'",
        source: "voltage equation of the motor times its current",
        words: Some(|c| as_demanded(c, PEAK_POWER)),
        ..RESULT
    }, peak_power;
    MOVING_CURRENT: ElectricCurrent = Outcome {
        id: "supply.moving_current",
        symbol: "I_moving",
        label: "Supply current of one moving motor",
        measure: Measure::Current,
        meaning: "at the worst moment of the move, from the lowest supply voltage",
        formula: "2 * supply.peak_power / (drive.lowest_voltage + sqrt(drive.lowest_voltage ^ 2 - 4 * drive.supply_path_resistance * supply.peak_power))",
        source: "power balance of a source with a resistance",
        ..RESULT
    }, moving_current;
    HOLDING_POWER: Power = Outcome {
        id: "supply.holding_power",
        symbol: "p_hold",
        label: "Power of one holding motor",
        measure: Measure::Power,
        meaning: "with the most that it may hold with, but no more than a blocked one draws",
        formula: "min(hold.current_most, supply.blocked_at_lowest) ^ 2 * drive.motor_resistance",
        source: "Joule's law",
        shown: false,
        ..RESULT
    }, holding_power;
    HOLDING_CURRENT: ElectricCurrent = Outcome {
        id: "supply.holding_current",
        symbol: "I_holding",
        label: "Supply current of one holding motor",
        measure: Measure::Current,
        meaning: "with the most that it may hold with, from the lowest supply voltage",
        formula: "2 * supply.holding_power / (drive.lowest_voltage + sqrt(drive.lowest_voltage ^ 2 - 4 * drive.supply_path_resistance * supply.holding_power))",
        source: "power balance of a source with a resistance",
        ..RESULT
    }, holding_current;
    BLOCKED_AT_LOWEST: ElectricCurrent = Outcome {
        id: "supply.blocked_at_lowest",
        symbol: "I_jam_low",
        label: "Current of a blocked motor, lowest voltage",
        measure: Measure::Current,
        meaning: "what a jam draws when the supply is at its lowest",
        formula: "min(drive.current_limit, drive.lowest_voltage / drive.total_resistance)",
        source: "Ohm's law",
        shown: false,
        ..RESULT
    }, blocked_at_lowest;
    WORST_CURRENT: ElectricCurrent = Outcome {
        id: "supply.worst_current",
        symbol: "I_worst",
        label: "Worst current while moving",
        measure: Measure::Current,
        meaning: "some move or stand, the others hold, all boards run; from the lowest supply voltage",
        formula: "supply.moving_together * max(supply.moving_current, supply.holding_current) + (supply.actuators - supply.moving_together) * supply.holding_current + supply.actuators * supply.board_current",
        source: "Kirchhoff's current law; the peaks of all that move coincide",
        words: Some(|c| as_demanded(c, WORST_CURRENT)),
        ..RESULT
    }, worst_current;
    JAM_CURRENT: ElectricCurrent = Outcome {
        id: "supply.jam_current",
        symbol: "I_jam_supply",
        label: "Current in a jam",
        measure: Measure::Current,
        meaning: "all that move are blocked, at the highest supply voltage",
        formula: "supply.moving_together * drive.blocked_current + (supply.actuators - supply.moving_together) * supply.holding_current + supply.actuators * supply.board_current",
        source: "Kirchhoff's current law",
        ..RESULT
    }, jam_current;
    JAM_AT_LOWEST: ElectricCurrent = Outcome {
        id: "supply.jam_at_lowest",
        symbol: "I_jam_supply_low",
        label: "Current in a jam, lowest voltage",
        measure: Measure::Current,
        meaning: "all that move are blocked when the supply is at its lowest",
        formula: "supply.moving_together * supply.blocked_at_lowest + (supply.actuators - supply.moving_together) * supply.holding_current + supply.actuators * supply.board_current",
        source: "Kirchhoff's current law",
        shown: false,
        ..RESULT
    }, jam_at_lowest;
    AGAINST_ENERGY: Energy = Outcome {
        id: "supply.against_energy",
        symbol: "E_against",
        label: "Energy of the move against the load",
        measure: Measure::Energy,
        meaning: "into motor and bridge; what is returned does not count",
        formula: "'the integral over the move of i²·R_m + Ke·ω·i where that is above 0'",
        source: "power balance of motor and bridge",
        shown: false,
        ..RESULT
    }, against_energy;
    WITH_ENERGY: Energy = Outcome {
        id: "supply.with_energy",
        symbol: "E_with",
        label: "Energy of the move with the load",
        measure: Measure::Energy,
        meaning: "into motor and bridge; what is returned does not count",
        formula: "'the integral over the move of i²·R_m + Ke·ω·i where that is above 0'",
        source: "power balance of motor and bridge",
        shown: false,
        ..RESULT
    }, with_energy;
    MEAN_POWER: Power = Outcome {
        id: "supply.mean_power",
        symbol: "P_mean",
        label: "Mean power of one motor",
        measure: Measure::Power,
        meaning: "into motor and bridge, over move and dwell",
        formula: "(supply.against_energy + hold.dwell_current ^ 2 * drive.motor_resistance * move.dwell) / (move.time + move.dwell)",
        source: "definition of the mean",
        ..RESULT
    }, mean_power;
    AVERAGE_CURRENT: ElectricCurrent = Outcome {
        id: "supply.average_current",
        symbol: "I_mean",
        label: "Mean current of the supply",
        measure: Measure::Current,
        meaning: "over moves, dwells and rests; what is returned does not count",
        formula: "supply.actuators * (supply.mean_power * move.duty / supply.voltage + supply.board_current)",
        source: "definition of the mean",
        words: Some(|c| as_demanded(c, AVERAGE_CURRENT)),
        ..RESULT
    }, average_current;
    VOLTAGE_AT_WORST: ElectricPotential = Outcome {
        id: "supply.voltage_at_worst",
        symbol: "V_worst",
        label: "Supply voltage at worst",
        measure: Measure::Voltage,
        meaning: "at the boards, in the worst moment of moving",
        formula: "drive.lowest_voltage - supply.worst_current * drive.supply_path_resistance",
        source: "Ohm's law",
        words: Some(|c| as_demanded(c, VOLTAGE_AT_WORST)),
        ..RESULT
    }, voltage_at_worst;
    VOLTAGE_AT_JAM: ElectricPotential = Outcome {
        id: "supply.voltage_at_jam",
        symbol: "V_jam",
        label: "Supply voltage in a jam",
        measure: Measure::Voltage,
        meaning: "at the boards, with all that move blocked",
        formula: "drive.lowest_voltage - supply.jam_at_lowest * drive.supply_path_resistance",
        source: "Ohm's law",
        ..RESULT
    }, voltage_at_jam;
    VOLTAGE_NEEDED: ElectricPotential = Outcome {
        id: "supply.voltage_needed",
        symbol: "V_need",
        label: "Voltage that keeps the processor running",
        measure: Measure::Voltage,
        meaning: "below it the processor resets and the position is lost",
        formula: "regulator.reset_voltage + regulator.dropout",
        source: "definition of dropout",
        ..RESULT
    }, voltage_needed;
    BROWN_OUT_MARGIN: ElectricPotential = Outcome {
        id: "supply.brown_out_margin",
        symbol: "m_brown",
        label: "Voltage left above a reset",
        measure: Measure::Voltage,
        meaning: "in the deepest sag; below 0 the processor resets",
        formula: "min(supply.voltage_at_worst, supply.voltage_at_jam) - supply.voltage_needed",
        source: "definition of dropout; steady sag",
        ..RESULT
    }, brown_out_margin;
    STOP_ENERGY: Energy = Outcome {
        id: "supply.stop_energy",
        symbol: "E_stop",
        label: "Energy of motion that a stop sets free",
        measure: Measure::Energy,
        meaning: "of all that move together",
        formula: "supply.moving_together * (motor.rotor_inertia * gears.exact_ratio ^ 2 + axis.load_inertia) * move.peak_speed ^ 2 / 2",
        source: "kinetic energy of rotation",
        ..RESULT
    }, stop_energy;
    OWN_DRAW: Power = Outcome {
        id: "supply.own_draw",
        symbol: "P_own",
        label: "Power that the boards take for themselves",
        measure: Measure::Power,
        meaning: "as the share of one moving motor",
        formula: "supply.actuators * supply.voltage * supply.board_current / supply.moving_together",
        source: "definition of power",
        shown: false,
        ..RESULT
    }, own_draw;
    RETURNED_ENERGY: Energy = Outcome {
        id: "supply.returned_energy",
        symbol: "E_back",
        label: "Energy that braking returns",
        measure: Measure::Energy,
        meaning: "into the supply rail in one cycle, after the boards have taken theirs",
        formula: "'moving together × the integral over the moves asked for of what motor and bridge give back, less what the boards take'",
        source: "power balance of motor and bridge",
        ..RESULT
    }, returned_energy;
    PUMPED_VOLTAGE: ElectricPotential = Outcome {
        id: "supply.pumped_voltage",
        symbol: "V_pump",
        label: "Voltage after braking",
        measure: Measure::Voltage,
        meaning: "to which the rail is pumped up",
        formula: "sqrt(drive.highest_voltage ^ 2 + 2 * supply.returned_energy / supply.bulk_capacitance)",
        source: "energy of a capacitor",
        ..RESULT
    }, pumped_voltage;
    PUMPED_VOLTAGE_BOUND: ElectricPotential = Outcome {
        id: "supply.pumped_voltage_bound",
        symbol: "V_pumpmost",
        label: "Voltage after braking, nothing lost",
        measure: Measure::Voltage,
        meaning: "no stop and no fall can pump it higher",
        formula: "sqrt(drive.highest_voltage ^ 2 + 2 * (supply.stop_energy + supply.moving_together * axis.fall_energy) / supply.bulk_capacitance)",
        source: "energy of a capacitor",
        ..RESULT
    }, pumped_voltage_bound;
    RETURN_CAPACITANCE: Capacitance = Outcome {
        id: "supply.return_capacitance",
        symbol: "C_back",
        label: "Capacitance that takes the returned energy",
        measure: Measure::Capacitance,
        meaning: "and just reaches what everything survives",
        formula: "2 * supply.returned_energy / (supply.max_voltage ^ 2 - drive.highest_voltage ^ 2)",
        source: "energy of a capacitor",
        shown: false,
        ..RESULT
    }, return_capacitance;
    HOLD_UP_CAPACITANCE: Capacitance = Outcome {
        id: "supply.hold_up_capacitance",
        symbol: "C_hold",
        label: "Capacitance that bridges the first millisecond",
        measure: Measure::Capacitance,
        meaning: "of a jam or a reversal, before the source follows",
        formula: "0.001 * supply.moving_together * drive.blocked_current / (drive.lowest_voltage - supply.voltage_needed)",
        source: "charge of a capacitor; the millisecond is common practice, no source",
        shown: false,
        ..RESULT
    }, hold_up;
    CAPACITANCE_NEEDED: Capacitance = Outcome {
        id: "supply.capacitance_needed",
        symbol: "C_need",
        label: "Capacitance needed on the motor supply",
        measure: Measure::Capacitance,
        meaning: "takes what braking returns and holds the logic up",
        formula: "max(supply.return_capacitance, supply.hold_up_capacitance)",
        source: "the greater of the two",
        ..RESULT
    }, capacitance_needed;
    RUN_TIME: Time = Outcome {
        id: "supply.run_time",
        symbol: "t_run",
        label: "Running time of the battery",
        measure: Measure::Time,
        meaning: "from full, at the mean current",
        formula: "supply.rated_hours * (supply.capacity / (supply.average_current * supply.rated_hours)) ^ supply.peukert_exponent",
        source: "Peukert's law in its rated-hour form",
        ..RESULT
    }, run_time;
    FUSE: ElectricCurrent = Outcome {
        id: "supply.fuse",
        symbol: "I_fuse",
        label: "Fuse at the source",
        measure: Measure::Current,
        meaning: "carries the worst current, blows before trace, wire or pin suffers",
        formula: "'the least standard fuse of at least 1.25 × the worst current and at most 0.75 × the least rating of trace, wire and pin'",
        source: "IEC 60127-2 and ISO 8820-3 for the values, from memory; the factors are common practice, no source",
        ..RESULT
    }, fuse;
    FIT_CAPACITANCE: Capacitance = Outcome {
        id: "fit.capacitance",
        symbol: "C_fit",
        label: "Capacitor to fit on the motor supply",
        measure: Measure::Capacitance,
        meaning: "next standard size that also leaves room above the voltage after braking",
        formula: "'the least of the E6 series that bridges the first millisecond and keeps the voltage after braking within 0.8 of the way from the highest supply voltage to what everything survives'",
        source: "IEC 60063; electrolytic capacitors come in E6 (common practice, no source)",
        ..RESULT
    }, fit_capacitance;
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
    let said = c.manner.said(super::measure(key.index()), value, 3);
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
    let (train, motion, resistance) = (
        movement::train(c)?,
        *movement::motion(c)?,
        c.get(drive::MOTOR_RESISTANCE)?,
    );
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
        .ok_or(BEYOND)
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
        movement::train(c)?,
        *movement::motion(c)?,
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
    .ok_or(BEYOND)
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
        room: current_room,
    },
    Check {
        id: "check.brown_out",
        label: "Supply voltage against a reset",
        under: "below {supply.voltage_needed} the processor resets and the position is lost; a jam leaves {supply.voltage_at_jam}, the move {supply.voltage_at_worst}",
        station: Station::Supply,
        measure: Measure::Voltage,
        room: brown_out_room,
    },
    Check {
        id: "check.pumped_voltage",
        label: "Voltage after braking",
        under: "a stop pumps the supply rail up to {supply.pumped_voltage}, its parts survive {supply.max_voltage}",
        station: Station::Supply,
        measure: Measure::Voltage,
        room: pumped_room,
    },
];

/// The greatest power that the source can give against the power that is asked for.
fn overloaded_room(c: &Eval<'_>) -> Result<Room, Absent> {
    let (voltage, resistance) = (c.get(drive::LOWEST_VOLTAGE)?, c.get(drive::SUPPLY_PATH)?);
    let power = c.get(PEAK_POWER)?;
    match formulas::motor_current(power, voltage, resistance) {
        Err(overload) => Ok(Room {
            measure: Some(Measure::Power),
            ..Room::of(overload.available, overload.demanded)
        }
        .in_case(Case::Move)),
        Ok(_) => Err(OVERLOADED),
    }
}

/// The greater of a moving need and a blocked one against a rating. Where the move cannot be
/// computed, a rating that the blocked current passes is under already.
///
/// # Errors
/// Why the moving need is not there.
pub(super) fn room_of_both(
    rating: ElectricCurrent,
    moving: Result<ElectricCurrent, Absent>,
    blocked: ElectricCurrent,
) -> Result<Room, Absent> {
    let in_jam = Room::of(rating, blocked).in_case(Case::Blocked);
    match moving {
        Ok(moving) if moving > blocked => Ok(Room::of(rating, moving).in_case(Case::Move)),
        Ok(_) => Ok(in_jam),
        Err(absent) => under_already(in_jam, absent),
    }
}

fn current_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let moving = c.get(WORST_CURRENT);
    if moving == Err(OVERLOADED) {
        return overloaded_room(c).map(Some);
    }
    room_of_both(c.get(CURRENT_LIMIT)?, moving, c.get(JAM_CURRENT)?).map(Some)
}

/// What may be lost before a reset against what is lost. The boards' own current is the least need.
fn brown_out_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let lowest = c.get(drive::LOWEST_VOLTAGE)?;
    let needed = c.get(VOLTAGE_NEEDED)?;
    let room = match c.get(VOLTAGE_AT_WORST) {
        Ok(at_worst) => Room::of(lowest - needed, lowest - at_worst).in_case(Case::Move),
        Err(OVERLOADED) => overloaded_room(c)?,
        Err(absent) => {
            let boards = c.get(BOARD_CURRENT)? * c.get(drive::SUPPLY_PATH)?;
            under_already(Room::of(lowest - needed, boards), absent)?
        }
    };
    let resets = c.get(VOLTAGE_AT_JAM).is_ok_and(|at_jam| at_jam < needed);
    Ok(Some(Room {
        at_best: if resets { Status::Tight } else { Status::Clear },
        ..room
    }))
}

fn pumped_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let (highest, most) = (c.get(drive::HIGHEST_VOLTAGE)?, c.get(MAX_VOLTAGE)?);
    if most < highest {
        return Ok(Some(Room::of(most, highest)));
    }
    Ok(Some(Room::of(
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
    encoder::under(brown_out_room(c)?)
}

fn jam_resets(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let resets = c.get(VOLTAGE_AT_JAM)? < c.get(VOLTAGE_NEEDED)?;
    Ok((resets && !matches!(brown_out(c), Ok(Some(_)))).then_some(Severity::Note))
}

fn overpumped(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    encoder::under(pumped_room(c)?)
}

fn overloaded(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    if breaks_down(c)?.is_some() {
        return Ok(None);
    }
    encoder::under(current_room(c)?)
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
