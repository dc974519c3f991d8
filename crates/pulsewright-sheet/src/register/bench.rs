//! The bench and the order: what a meter should read, what it read, what is still open.
//!
//! The rows of the bench sheet, with what to do and what a deviation means, are in [`crate::bench`].

use pulsewright_calc::bench as formulas;
use pulsewright_calc::units::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Force, Length, Ratio,
    ThermodynamicTemperature, Time,
};

use super::{
    Form, INPUT, Input, Key, Outcome, Preset, RESULT, Rational, Station, Sure, drive, encoder,
    gears, heat, motor, regulator, supply,
};
use crate::check::Check;
use crate::eval::{Absent, BEYOND, Code, Eval};
use crate::finding::{Finding, Severity};
use crate::unit::Measure;

choices! {
    /// What the motor does when the magnet is turned by a finger.
    Polarity {
        PushesBack = "pushes_back",
        PullsAlong = "pulls_along",
    }
}

choices! {
    /// An answer.
    Answer {
        Yes = "yes",
        No = "no",
    }
}

/// A reading: left out until it is made, and as good as the meter.
const READING: Input = Input {
    layer: 2,
    low: "0",
    because: "no meter reads less on a sound build",
    ..INPUT
};

/// A question before the order.
const ORDER: Input = Input {
    form: Form::Choice(Answer::WORDS),
    layer: 2,
    help: "Before you order",
    ..INPUT
};

inputs! {
    after super::stepper;

    POLARITY: Polarity = Input {
        id: "bench.polarity",
        symbol: "polarity",
        label: "Magnet turned by a finger, the motor",
        form: Form::Choice(Polarity::WORDS),
        layer: 2,
        help: "Before anything else is tried under power",
        ..INPUT
    };
    NO_LOAD_CURRENT_READ: ElectricCurrent = Input {
        id: "bench.no_load_current_read",
        symbol: "I_0read",
        label: "No-load current, as read",
        form: Form::Quantity(Measure::Current),
        high: "100 A",
        sure: Sure::Within("2 %"),
        help: "± 2 % unless you say more",
        ..READING
    };
    NO_LOAD_SPEED_READ: pulsewright_calc::units::AngularVelocity = Input {
        id: "bench.no_load_speed_read",
        symbol: "ω_0read",
        label: "No-load speed, as read",
        form: Form::Quantity(Measure::Speed),
        high: "100000 r/min",
        sure: Sure::Within("1 %"),
        help: "± 1 % unless you say more",
        ..READING
    };
    RESISTANCE_READ: ElectricalResistance = Input {
        id: "bench.winding_resistance_read",
        symbol: "R_read",
        label: "Winding resistance, as read",
        form: Form::Quantity(Measure::Resistance),
        high: "2000 Ohm",
        sure: Sure::Within("3 %"),
        help: "± 3 % unless you say more",
        ..READING
    };
    TURNS: u32 = Input {
        id: "bench.turns",
        symbol: "n_turns",
        label: "Driven turns of the output",
        form: Form::Whole,
        preset: Preset::Fixed("10"),
        low: "1",
        high: "1000",
        because: "it takes a whole turn to come back to the mark",
        layer: 2,
        help: "Counted at a mark",
        ..INPUT
    };
    EDGES_READ: Ratio = Input {
        id: "bench.edges_read",
        symbol: "E_read",
        label: "Edges, as counted",
        form: Form::Quantity(Measure::Count),
        low: ">0",
        high: "1e12",
        because: "without an edge there is no turn",
        sure: Sure::Within("1"),
        layer: 2,
        help: "± 1 unless you say more, for how well the mark was seen",
        ..INPUT
    };
    START_VOLTAGE_READ: ElectricPotential = Input {
        id: "bench.start_voltage_read",
        symbol: "V_startread",
        label: "Supply at the start, as read",
        form: Form::Quantity(Measure::Voltage),
        high: "100 V",
        sure: Sure::Within("1 %"),
        help: "± 1 % unless you say more",
        ..READING
    };
    LOGIC_VOLTAGE_READ: ElectricPotential = Input {
        id: "bench.logic_voltage_read",
        symbol: "V_logicread",
        label: "Logic supply, as read",
        form: Form::Quantity(Measure::Voltage),
        high: "100 V",
        sure: Sure::Within("1 %"),
        help: "± 1 % unless you say more",
        ..READING
    };
    LEVER_LENGTH: Length = Input {
        id: "bench.lever_length",
        symbol: "L_lever",
        label: "Length of the lever",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Fixed("100 mm"),
        low: ">0",
        high: "2 m",
        because: "no force can be told without a lever, and a longer one is no bench test",
        sure: Sure::Within("1 mm"),
        layer: 2,
        help: "Shaft centre to the point on the scale",
        ..INPUT
    };
    LEVER_FORCE_READ: Force = Input {
        id: "bench.lever_force_read",
        symbol: "F_read",
        label: "Force on the scale, as read",
        form: Form::Quantity(Measure::Force),
        high: "50 kN",
        sure: Sure::Within("5 %"),
        help: "± 5 % unless you say more",
        ..READING
    };
    HOLD_CURRENT_READ: ElectricCurrent = Input {
        id: "bench.hold_current_read",
        symbol: "I_holdread",
        label: "Current at the target, as read",
        form: Form::Quantity(Measure::Current),
        high: "100 A",
        sure: Sure::Within("2 %"),
        help: "± 2 % unless you say more",
        ..READING
    };
    HOUSING_READ: ThermodynamicTemperature = Input {
        id: "bench.housing_temperature_read",
        symbol: "T_hread",
        label: "Housing, as read",
        form: Form::Quantity(Measure::Temperature),
        low: "-40 degC",
        high: "300 degC",
        sure: Sure::Within("2 K"),
        help: "± 2 K unless you say more",
        ..READING
    };
    REGULATOR_READ: ThermodynamicTemperature = Input {
        id: "bench.regulator_temperature_read",
        symbol: "T_regread",
        label: "Regulator, as read",
        form: Form::Quantity(Measure::Temperature),
        low: "-40 degC",
        high: "300 degC",
        sure: Sure::Within("2 K"),
        help: "± 2 K unless you say more",
        ..READING
    };
    SUPPLY_CURRENT_READ: ElectricCurrent = Input {
        id: "bench.supply_current_read",
        symbol: "I_avgread",
        label: "Mean current from the supply, as read",
        form: Form::Quantity(Measure::Current),
        high: "1000 A",
        sure: Sure::Within("2 %"),
        help: "± 2 % unless you say more",
        ..READING
    };
    SHAFT_FREE: Answer = Input {
        id: "order.shaft_free",
        symbol: "order_shaft",
        label: "Rear shaft at least 4 mm free",
        ..ORDER
    };
    BORE: Answer = Input {
        id: "order.bore",
        symbol: "order_bore",
        label: "Its diameter fits the magnet's bore",
        ..ORDER
    };
    SENSOR_PLACES: Answer = Input {
        id: "order.sensor_places",
        symbol: "order_places",
        label: "Board has a hole for the shaft and its sensors in the right places",
        ..ORDER
    };
    GAP: Answer = Input {
        id: "order.gap",
        symbol: "order_gap",
        label: "Gap between magnet and sensors drawn",
        ..ORDER
    };
    SCREWS: Answer = Input {
        id: "order.screws",
        symbol: "order_screws",
        label: "Mounting screws end before the gears",
        ..ORDER
    };
    OUTPUT_SHAFT: Answer = Input {
        id: "order.output_shaft",
        symbol: "order_output",
        label: "Output shaft fits lever or pulley",
        ..ORDER
    };
    CONNECTORS: Answer = Input {
        id: "order.connectors",
        symbol: "order_mates",
        label: "Connectors and their mates",
        ..ORDER
    };
    SPARE: Answer = Input {
        id: "order.spare",
        symbol: "order_spare",
        label: "A spare motor to open and count",
        ..ORDER
    };
    HOME: Answer = Input {
        id: "order.home",
        symbol: "order_home",
        label: "A switch or a stop to find home",
        ..ORDER
    };
    SOURCE: Answer = Input {
        id: "order.source",
        symbol: "order_source",
        label: "Supply, fuse and cable",
        ..ORDER
    };
}

results! {
    after super::verdict;

    NO_LOAD_CURRENT: ElectricCurrent = Outcome {
        id: "bench.no_load_current",
        symbol: "I_0bench",
        label: "No-load current to expect",
        measure: Measure::Current,
        meaning: "in a motor lead, nothing attached",
        formula: "motor.no_load_current",
        source: "friction of the motor does not ask how fast it turns",
        ..RESULT
    }, no_load_current;
    NO_LOAD_SPEED: pulsewright_calc::units::AngularVelocity = Outcome {
        id: "bench.no_load_speed",
        symbol: "ω_0bench",
        label: "No-load speed to expect",
        measure: Measure::Speed,
        meaning: "of the output, cold, at full duty",
        formula: "drive.no_load_speed",
        source: "voltage equation in steady state",
        ..RESULT
    }, no_load_speed;
    RESISTANCE: ElectricalResistance = Outcome {
        id: "bench.winding_resistance",
        symbol: "R_bench",
        label: "Winding resistance to expect",
        measure: Measure::Resistance,
        meaning: "at the terminals, cold",
        formula: "motor.resistance",
        source: "Ohm's law",
        ..RESULT
    }, resistance;
    TURN_COUNTS: Rational = Outcome {
        id: "bench.turn_counts",
        symbol: "E_bench",
        label: "Edges to expect",
        measure: Measure::Count,
        meaning: "over the driven turns of the output",
        formula: "bench.turns * encoder.counts_per_output_turn",
        source: "definition",
        ..RESULT
    }, turn_counts;
    EDGES_PER_DEGREE: Ratio = Outcome {
        id: "bench.edges_per_degree",
        symbol: "E_deg",
        label: "Edges in one degree of the output",
        measure: Measure::Count,
        meaning: "what an eye that misses the mark by a degree is off",
        formula: "encoder.counts_per_output_turn / 360",
        source: "definition",
        shown: false,
        ..RESULT
    }, edges_per_degree;
    EDGE_ERROR: Ratio = Outcome {
        id: "bench.edge_error",
        symbol: "ΔE",
        label: "Error of the counted edges",
        measure: Measure::Count,
        meaning: "one edge, or as you say",
        formula: "'one edge, or the ± of bench.edges_read rounded up'",
        source: "quantisation",
        shown: false,
        ..RESULT
    }, edge_error;
    COUNTED_RATIO: Rational = Outcome {
        id: "bench.counted_ratio",
        symbol: "N_counted",
        label: "Ratio from the counted edges",
        measure: Measure::Ratio,
        meaning: "motor turns for one turn of the output",
        formula: "bench.edges_read / (bench.turns * encoder.counts_per_motor_turn)",
        source: "definition of the ratio",
        ..RESULT
    }, counted_ratio;
    COUNTED_LOW: Rational = Outcome {
        id: "bench.counted_ratio_low",
        symbol: "N_least",
        label: "Least ratio that fits the edges",
        measure: Measure::Ratio,
        meaning: "as many edges fewer as the count may be off",
        formula: "(bench.edges_read - bench.edge_error) / (bench.turns * encoder.counts_per_motor_turn)",
        source: "definition of the ratio",
        ..RESULT
    }, counted_low;
    COUNTED_HIGH: Rational = Outcome {
        id: "bench.counted_ratio_high",
        symbol: "N_most",
        label: "Greatest ratio that fits the edges",
        measure: Measure::Ratio,
        meaning: "as many edges more as the count may be off",
        formula: "(bench.edges_read + bench.edge_error) / (bench.turns * encoder.counts_per_motor_turn)",
        source: "definition of the ratio",
        ..RESULT
    }, counted_high;
    START_VOLTAGE: ElectricPotential = Outcome {
        id: "bench.start_voltage",
        symbol: "V_start",
        label: "Supply at the start to expect",
        measure: Measure::Voltage,
        meaning: "at the boards, the lowest moment",
        formula: "supply.voltage_at_jam",
        source: "a motor that stands draws what a jammed one draws",
        ..RESULT
    }, start_voltage;
    LOGIC_VOLTAGE: ElectricPotential = Outcome {
        id: "bench.logic_voltage",
        symbol: "V_logic",
        label: "Logic supply to expect",
        measure: Measure::Voltage,
        meaning: "at the processor, through the start as well",
        formula: "regulator.output_voltage",
        source: "definition",
        ..RESULT
    }, logic_voltage;
    LEVER_VOLTAGE: ElectricPotential = Outcome {
        id: "bench.lever_voltage",
        symbol: "V_lever",
        label: "Voltage for the lever",
        measure: Measure::Voltage,
        meaning: "half the supply's, or less where teeth or bridge ask for it",
        formula: "min(supply.voltage / 2, drive.total_resistance * min(gears.safe_current, drive.current_limit))",
        source: "Ohm's law at standstill; half the voltage: common practice, no source",
        ..RESULT
    }, lever_voltage;
    LEVER_FORCE: Force = Outcome {
        id: "bench.lever_force",
        symbol: "F_lever",
        label: "Force on the scale to expect",
        measure: Measure::Force,
        meaning: "at that voltage, at the end of the lever",
        formula: "gears.exact_ratio * gears.efficiency * motor.torque_constant * (bench.lever_voltage / drive.total_resistance - motor.no_load_current) / bench.lever_length",
        source: "torque balance at standstill, statics of the lever",
        words: Some(|c| force_words(c, LEVER_FORCE)),
        ..RESULT
    }, lever_force;
    LEVER_LIMIT: Force = Outcome {
        id: "bench.lever_force_limit",
        symbol: "F_most",
        label: "Force at which to stop",
        measure: Measure::Force,
        meaning: "the teeth bear no more",
        formula: "gears.peak_torque / bench.lever_length",
        source: "statics of the lever",
        words: Some(|c| force_words(c, LEVER_LIMIT)),
        ..RESULT
    }, lever_limit;
    STALL_FORCE: Force = Outcome {
        id: "bench.stall_force",
        symbol: "F_stall",
        label: "Force of a full stall at the end of the lever",
        measure: Measure::Force,
        meaning: "never to be tried",
        formula: "drive.stall_torque / bench.lever_length",
        source: "statics of the lever",
        words: Some(|c| force_words(c, STALL_FORCE)),
        shown: false,
        ..RESULT
    }, stall_force;
    LEVER_TIME: Time = Outcome {
        id: "bench.lever_time",
        symbol: "t_lever",
        label: "Time allowed at the lever",
        measure: Measure::Time,
        meaning: "then let go and let it cool for ten minutes",
        formula: "min(heat.stall_time / 2, 10)",
        source: "half the time to the winding's limit, ten seconds at most (common practice, no source)",
        ..RESULT
    }, lever_time;
    HOLD_CURRENT: ElectricCurrent = Outcome {
        id: "bench.hold_current",
        symbol: "I_holdbench",
        label: "Current at the target to expect",
        measure: Measure::Current,
        meaning: "in a motor lead, ten seconds after the move",
        formula: "hold.dwell_current",
        source: "torque balance at rest",
        ..RESULT
    }, hold_current;
    HOUSING: ThermodynamicTemperature = Outcome {
        id: "bench.housing_temperature",
        symbol: "T_hbench",
        label: "Housing to expect",
        measure: Measure::Temperature,
        meaning: "the cycle repeated until it gets no warmer",
        formula: "heat.housing_temperature",
        source: "two thermal nodes in equilibrium",
        ..RESULT
    }, housing;
    REGULATOR: ThermodynamicTemperature = Outcome {
        id: "bench.regulator_temperature",
        symbol: "T_regbench",
        label: "Regulator to expect",
        measure: Measure::Temperature,
        meaning: "its inside; the package reads a little less",
        formula: "regulator.junction_temperature",
        source: "thermal resistance times loss",
        ..RESULT
    }, regulator_temperature;
    SUPPLY_CURRENT: ElectricCurrent = Outcome {
        id: "bench.supply_current",
        symbol: "I_avgbench",
        label: "Mean current from the supply to expect",
        measure: Measure::Current,
        meaning: "over the repeated cycle, boards included",
        formula: "supply.average_current",
        source: "mean power over voltage",
        ..RESULT
    }, supply_current;
    OUTSIDE: f64 = Outcome {
        id: "bench.outside",
        symbol: "n_outside",
        label: "Readings outside their limits",
        measure: Measure::Count,
        meaning: "of those that were taken",
        formula: "'readings whose own error does not reach the limits from the tolerances'",
        source: "each tolerance by itself, root of the sum of squares (JCGM 100:2008, GUM, 5.1.2, from memory)",
        shown: false,
        costly: true,
        ..RESULT
    }, outside;
    OPEN: f64 = Outcome {
        id: "order.open",
        symbol: "n_open",
        label: "Still open before the order",
        measure: Measure::Count,
        meaning: "questions without a yes",
        formula: "'questions of the list without a yes'",
        source: "definition",
        shown: false,
        ..RESULT
    }, open;
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
    let turns = pulsewright_calc::ratio::exact(c.get(TURNS)?.into(), 1).ok_or(BEYOND)?;
    pulsewright_calc::ratio::multiply(turns, c.exact(encoder::COUNTS_PER_OUTPUT_TURN)?)
        .map(Rational)
        .ok_or(BEYOND)
}

fn edges_per_degree(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(c.get(encoder::COUNTS_PER_OUTPUT_TURN.as_ratio())? / 360.0)
}

fn edge_error(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let _ = edges(c)?;
    let off = crate::tolerance::of(c, EDGES_READ.index()).unwrap_or(1.0);
    Ok(Ratio::new::<uom::si::ratio::ratio>(libm::ceil(off)))
}

/// The edges that were counted.
fn edges(c: &Eval<'_>) -> Result<Ratio, Absent> {
    c.option(EDGES_READ)?
        .ok_or(Absent::not_asked("once edges are counted"))
}

fn counted(c: &Eval<'_>, by: f64) -> Result<Rational, Absent> {
    let _ = edges(c)?;
    let off = by * c.get(EDGE_ERROR)?.value;
    let edges = c.exact(EDGES_READ)?;
    let off = pulsewright_calc::ratio::exact(off as i128, 1).ok_or(BEYOND)?;
    let counts = c.exact(encoder::COUNTS_PER_MOTOR_TURN)?;
    pulsewright_calc::ratio::add(edges, off)
        .and_then(|edges| formulas::counted_ratio(edges, c.get(TURNS).ok()?, counts))
        .map(Rational)
        .ok_or(BEYOND)
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
    c.get(supply::VOLTAGE_AT_JAM)
}

fn logic_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    c.get(regulator::OUTPUT_VOLTAGE)
}

fn lever_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let limit = c
        .get(gears::SAFE_CURRENT)?
        .min(c.get(drive::CURRENT_LIMIT)?);
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
    .ok_or(BEYOND)?;
    let no_load = c.get(motor::NO_LOAD_CURRENT)?;
    if current <= no_load {
        return Err(Absent::impossible(
            "at half the voltage it does not even move itself",
        ));
    }
    let torque = pulsewright_calc::drive::stall_torque(
        c.get(gears::RATIO_NOW)?,
        c.get(gears::EFFICIENCY_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        current,
        no_load,
    );
    pulsewright_calc::drive::force_at_radius(torque, c.get(LEVER_LENGTH)?).ok_or(BEYOND)
}

fn lever_limit(c: &Eval<'_>) -> Result<Force, Absent> {
    pulsewright_calc::drive::force_at_radius(c.get(gears::PEAK_TORQUE)?, c.get(LEVER_LENGTH)?)
        .ok_or(BEYOND)
}

fn stall_force(c: &Eval<'_>) -> Result<Force, Absent> {
    pulsewright_calc::drive::force_at_radius(c.get(drive::STALL_TORQUE)?, c.get(LEVER_LENGTH)?)
        .ok_or(BEYOND)
}

/// A force, and what a scale shows.
fn force_words(c: &Eval<'_>, key: Key<Force>) -> Option<String> {
    let force = c.get(key).ok()?;
    let show = |measure: Measure, value: f64| c.manner.said(measure, value, 3);
    let mass = pulsewright_calc::drive::mass_balanced(force).value;
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
    let rows = crate::bench::outside(c);
    Ok((rows + usize::from(polarity)) as f64)
}

fn open(c: &Eval<'_>) -> Result<f64, Absent> {
    let open = crate::bench::ORDER
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
        message: "At stall this gear motor pulls with up to {drive.stall_torque}: {bench.stall_force} at the end of the lever. Teeth strip and levers fly off without notice. Wear eye protection, use a blunt lever between two stops, stay out of its swing, begin at half the voltage, go no higher than {gears.peak_torque} and no longer than {bench.lever_time}. Moving, the axis holds {axis.moving_energy}: keep fingers out of gears, belts and the gap at the end of travel.",
        numbers: &[
            "drive.stall_torque",
            "bench.stall_force",
            "gears.peak_torque",
            "bench.lever_time",
            "axis.moving_energy",
        ],
        when: |_| Ok(Some(Severity::Warning)),
    },
];
