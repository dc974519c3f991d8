//! The motion asked for.

use pulsewright_calc::motion::{self as formulas, Drivetrain, Limits, Motion};
use pulsewright_calc::units::{
    Acceleration, Angle, AngularAcceleration, AngularVelocity, ElectricCurrent, ElectricPotential,
    ElectricalResistance, Ratio, Time, Torque, Velocity,
};

use super::axis::{self, Kind};
use super::{
    Form, INPUT, Input, Key, Kinds, Means, Outcome, Preset, RESULT, Travel, bridge, drive, encoder,
    gears, heat, motor, steps,
};
use crate::check::Check;
use crate::eval::{Absent, Code, Eval};
use crate::finding::Finding;
use crate::unit::Measure;

choices! {
    /// Profile of the move.
    Profile { Trapezoid = "trapezoid", Smooth = "smooth", }
}

choices! {
    /// Which current flows while the axis stands at its target.
    DwellCurrent {
        Balanced = "balanced",
        Settled = "settled",
        Relaxed = "relaxed",
        Off = "off",
    }
}

choices! {
    /// How the target is approached.
    Approach { Either = "either", Centred = "centred", OneSide = "one_side", }
}

choices! {
    /// Direction of the working move.
    Direction { Against = "against", With = "with", Both = "both", }
}

impl Direction {
    /// The same as the formulas take it.
    #[must_use]
    pub const fn formula(self) -> formulas::Direction {
        match self {
            Self::Against => formulas::Direction::Against,
            Self::With => formulas::Direction::With,
            Self::Both => formulas::Direction::Both,
        }
    }
}

choices! {
    /// A yes or a no.
    YesNo { No = "no", Yes = "yes", }
}

inputs! {
    after super::axis;

    DISTANCE: Travel = Input {
        id: "move.distance",
        symbol: "s",
        label: "Distance of the move",
        form: Form::Travel,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Torque)), "90 deg"), (Kinds::only(Kind::Turntable), "180 deg"), (Kinds::only(Kind::Belt).or(Kinds::only(Kind::Rack)), "100 mm"), (Kinds::only(Kind::Drum), "200 mm"), (Kinds::only(Kind::Screw), "10 mm")]),
        low: ">0",
        high: "1000000 turn | 10 km",
        layer: 1,
        because: "a move that goes nowhere needs no motor",
        means: Means::Asked,
        help: "The longest move of the job",
        ..INPUT
    };
    TIME: Time = Input {
        id: "move.time",
        symbol: "t",
        label: "Time for the move",
        form: Form::Quantity(Measure::Time),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Torque)), "0.5 s"), (Kinds::only(Kind::Turntable).or(Kinds::only(Kind::Rack)), "2 s"), (Kinds::only(Kind::Belt), "3 s"), (Kinds::only(Kind::Drum), "4 s"), (Kinds::only(Kind::Screw), "5 s")]),
        low: "1 ms",
        high: "10 h",
        layer: 1,
        means: Means::Asked,
        help: "Start of motion to standstill",
        ..INPUT
    };
    PROFILE: Profile = Input {
        id: "move.profile",
        symbol: "profile",
        label: "Profile of the move",
        form: Form::Choice(Profile::WORDS),
        preset: Preset::Fixed("trapezoid"),
        layer: 2,
        means: Means::Setting,
        help: "What your pulse source does: straight ramps, or rounded",
        ..INPUT
    };
    RAMP_FRACTION: Ratio = Input {
        id: "move.ramp_fraction",
        symbol: "f_ramp",
        label: "Share of the time in each ramp",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1/3"),
        low: "0.01",
        high: "0.5",
        layer: 3,
        because: "two ramps fill the whole move at 0.5",
        means: Means::Setting,
        help: "Ramp time / move time",
        ..INPUT
    };
    DWELL: Time = Input {
        id: "move.dwell",
        symbol: "t_dwell",
        label: "Time at the target",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("2 s"),
        low: "0 s",
        high: "30 d",
        layer: 2,
        means: Means::Asked,
        help: "How long it holds at the target before it moves again",
        ..INPUT
    };
    DWELL_CURRENT: DwellCurrent = Input {
        id: "move.dwell_current",
        symbol: "dwell_current",
        label: "Current while it holds",
        form: Form::Choice(DwellCurrent::WORDS),
        preset: Preset::Fixed("balanced"),
        layer: 3,
        means: Means::Setting,
        help: "Meter in a motor lead after 10 s at the target: compare with the three hold currents",
        ..INPUT
    };
    APPROACH: Approach = Input {
        id: "move.approach",
        symbol: "approach",
        label: "How the target is approached",
        form: Form::Choice(Approach::WORDS),
        preset: Preset::Fixed("either"),
        layer: 2,
        means: Means::Setting,
        help: "Does the move always end coming from the same side, run past and back to the middle of the play, or end from either side?",
        ..INPUT
    };
    DIRECTION: Direction = Input {
        id: "move.direction",
        symbol: "direction",
        label: "Direction of the working move",
        form: Form::Choice(Direction::WORDS),
        preset: Preset::Fixed("against"),
        layer: 2,
        means: Means::Asked,
        help: "Does the working move lift, lower, or go there and back?",
        ..INPUT
    };
    DUTY: Ratio = Input {
        id: "move.duty",
        symbol: "duty",
        label: "Share of time in such cycles",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1"),
        low: "0",
        high: "1",
        layer: 3,
        means: Means::Asked,
        help: "Share of the time spent in such cycles, the rest switched off",
        ..INPUT
    };
    REVERSES_AT_SPEED: YesNo = Input {
        id: "move.reverses_at_speed",
        symbol: "reverses",
        label: "Reverses at full speed",
        form: Form::Choice(YesNo::WORDS),
        preset: Preset::Fixed("no"),
        layer: 3,
        means: Means::Setting,
        help: "Does your motion ever command full speed the other way without a ramp?",
        ..INPUT
    };
}

/// Current in the terms of the workings: gears driving.
macro_rules! driving {
    ($torque:literal, $sign:literal) => {
        driving!($torque, $sign, "gears.efficiency")
    };
    ($torque:literal, $sign:literal, $efficiency:literal) => {
        concat!(
            "(", $torque, " ", $sign, " axis.load_inertia * move.peak_acceleration) / (gears.exact_ratio * ", $efficiency, " * motor.torque_constant) ",
            $sign, " motor.rotor_inertia * gears.exact_ratio * move.peak_acceleration / motor.torque_constant + motor.no_load_current"
        )
    };
}

/// The same, load driving.
macro_rules! driven {
    ($torque:literal, $sign:literal) => {
        driven!($torque, $sign, "gears.back_driving_efficiency")
    };
    ($torque:literal, $sign:literal, $efficiency:literal) => {
        concat!(
            "(", $torque, " ", $sign, " axis.load_inertia * move.peak_acceleration) * ", $efficiency, " / (gears.exact_ratio * motor.torque_constant) ",
            $sign, " motor.rotor_inertia * gears.exact_ratio * move.peak_acceleration / motor.torque_constant + motor.no_load_current"
        )
    };
}

macro_rules! steady_driving {
    ($torque:literal) => {
        steady_driving!($torque, "gears.efficiency")
    };
    ($torque:literal, $efficiency:literal) => {
        concat!(
            $torque,
            " / (gears.exact_ratio * ",
            $efficiency,
            " * motor.torque_constant) + motor.no_load_current"
        )
    };
}

macro_rules! steady_driven {
    ($torque:literal) => {
        steady_driven!($torque, "gears.back_driving_efficiency")
    };
    ($torque:literal, $efficiency:literal) => {
        concat!(
            $torque,
            " * ",
            $efficiency,
            " / (gears.exact_ratio * motor.torque_constant) + motor.no_load_current"
        )
    };
}

/// The arguments are the mean square of the load torque and that of the acceleration over its peak.
macro_rules! rms_torque {
    ($load:literal, $share:literal) => {
        concat!(
            "sqrt(((", $load, " + ", $share, " * (axis.load_inertia * move.peak_acceleration) ^ 2) * move.time + axis.holding_torque ^ 2 * move.dwell) / (move.time + move.dwell))"
        )
    };
}

results! {
    after super::axis;

    LOAD_AGAINST: Torque = Outcome {
        id: "move.load_against",
        symbol: "T_L0",
        label: "Load torque at the output before the loss of the last stage",
        measure: Measure::Torque,
        meaning: "the last stage loses its share of load and acceleration together",
        formula: "axis.torque_at_axis / axis.last_stage",
        source: "kinematics of the last stage",
        shown: false,
        ..RESULT
    }, load_against;
    LOAD_WITH: Torque = Outcome {
        id: "move.load_with",
        symbol: "T_R0",
        label: "Torque for the way back before the loss of the last stage",
        measure: Measure::Torque,
        meaning: "the last stage loses its share of load and acceleration together",
        formula: "axis.return_at_axis / axis.last_stage",
        source: "kinematics of the last stage",
        shown: false,
        ..RESULT
    }, load_with;
    TRAIN_EFFICIENCY: Ratio = Outcome {
        id: "move.train_efficiency",
        symbol: "η_all",
        label: "Efficiency of gears and last stage",
        measure: Measure::Share,
        meaning: "motor driving",
        formula: "gears.efficiency * axis.reduction_efficiency",
        source: "stages in a row",
        shown: false,
        ..RESULT
    }, train_efficiency;
    TRAIN_BACK_EFFICIENCY: Ratio = Outcome {
        id: "move.train_back_efficiency",
        symbol: "η_allback",
        label: "Efficiency of last stage and gears, load driving",
        measure: Measure::Ratio,
        meaning: "0 or below: the load must be driven even where it helps",
        formula: "(2 - 1 / axis.reduction_efficiency) * gears.back_driving_efficiency",
        source: "stages in a row",
        shown: false,
        ..RESULT
    }, train_back_efficiency;

    PEAK_SPEED: AngularVelocity = Outcome {
        id: "move.peak_speed",
        symbol: "ω_peak",
        label: "Peak speed at the output",
        measure: Measure::Speed,
        meaning: "of the gear motor’s output",
        formula: "move.output_angle / (move.time * (1 - move.ramp_fraction))",
        source: "trapezoid",
        ..RESULT
    }, peak_speed;
    PEAK_ACCELERATION: AngularAcceleration = Outcome {
        id: "move.peak_acceleration",
        symbol: "α_peak",
        label: "Peak acceleration at the output",
        measure: Measure::AngularAcceleration,
        meaning: "of the gear motor’s output",
        formula: "move.peak_speed / (move.ramp_fraction * move.time)",
        source: "trapezoid",
        ..RESULT
    }, peak_acceleration;
    OUTPUT_ANGLE: Angle = Outcome {
        id: "move.output_angle",
        symbol: "φ_move",
        label: "Angle of the move at the output",
        measure: Measure::Angle,
        meaning: "what the gear motor turns",
        formula: "axis.distance_at_load / axis.travel_per_turn * 2 * pi * axis.last_stage",
        source: "geometry",
        shown: false,
        ..RESULT
    }, output_angle;
    PEAK_TRAVEL_SPEED: Velocity = Outcome {
        id: "move.peak_travel_speed",
        symbol: "v_peak",
        label: "Peak speed along the travel",
        measure: Measure::Velocity,
        meaning: "of the load",
        formula: "move.peak_speed / axis.last_stage * axis.travel_per_turn / (2 * pi)",
        source: "definition of the travel per turn",
        ..RESULT
    }, peak_travel_speed;
    PEAK_TRAVEL_ACCELERATION: Acceleration = Outcome {
        id: "move.peak_travel_acceleration",
        symbol: "a_peak",
        label: "Peak acceleration along the travel",
        measure: Measure::Acceleration,
        meaning: "of the load",
        formula: "move.peak_acceleration / axis.last_stage * axis.travel_per_turn / (2 * pi)",
        source: "definition of the travel per turn",
        ..RESULT
    }, peak_travel_acceleration;
    AGAINST_STARTING: ElectricCurrent = Outcome {
        id: "move.against_starting",
        symbol: "I_start",
        label: "Current at the start of the move against the load",
        measure: Measure::Current,
        meaning: "at the peak acceleration",
        formula: driving!("axis.load_torque", "+"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    }, against_starting;
    AGAINST_STEADY: ElectricCurrent = Outcome {
        id: "move.against_steady",
        symbol: "I_run",
        label: "Current at steady speed against the load",
        measure: Measure::Current,
        meaning: "between the ramps",
        formula: steady_driving!("axis.load_torque"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    }, against_steady;
    AGAINST_BRAKING: ElectricCurrent = Outcome {
        id: "move.against_braking",
        symbol: "I_brake",
        label: "Current at the end of the move against the load",
        measure: Measure::Current,
        meaning: "below 0 the motor brakes",
        formula: driving!("axis.load_torque", "-"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    }, against_braking;
    AGAINST_PEAK: ElectricCurrent = Outcome {
        id: "move.against_peak",
        symbol: "I_move",
        label: "Peak current of the move against the load",
        measure: Measure::Current,
        meaning: "whichever its sign",
        formula: "max(max(abs(move.against_starting), abs(move.against_steady)), abs(move.against_braking))",
        source: "the current is linear in the acceleration",
        shown: false,
        ..RESULT
    }, against_peak;
    AGAINST_RMS: ElectricCurrent = Outcome {
        id: "move.against_rms",
        symbol: "I_moverms",
        label: "Root mean square current of the move against the load",
        measure: Measure::Current,
        meaning: "without its dwell",
        formula: "sqrt(move.ramp_fraction * (move.against_starting ^ 2 + move.against_braking ^ 2) + (1 - 2 * move.ramp_fraction) * move.against_steady ^ 2)",
        source: "sum over the segments",
        shown: false,
        ..RESULT
    }, against_rms;
    AGAINST_VOLTAGE: ElectricPotential = Outcome {
        id: "move.against_voltage",
        symbol: "U_move",
        label: "Greatest voltage of the move against the load",
        measure: Measure::Voltage,
        meaning: "back-EMF and drop, winding warm",
        formula: "motor.back_emf_constant * gears.exact_ratio * move.peak_speed + drive.total_resistance_hot * max(0, max(move.against_steady, max(move.against_starting, move.against_braking)))",
        source: "voltage equation of the motor",
        shown: false,
        ..RESULT
    }, against_voltage;
    WITH_STARTING: ElectricCurrent = Outcome {
        id: "move.with_starting",
        symbol: "I_start_back",
        label: "Current at the start of the move with the load",
        measure: Measure::Current,
        meaning: "at the peak acceleration",
        formula: driving!("axis.load_torque_return", "+"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    }, with_starting;
    WITH_STEADY: ElectricCurrent = Outcome {
        id: "move.with_steady",
        symbol: "I_run_back",
        label: "Current at steady speed with the load",
        measure: Measure::Current,
        meaning: "between the ramps",
        formula: steady_driving!("axis.load_torque_return"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    }, with_steady;
    WITH_BRAKING: ElectricCurrent = Outcome {
        id: "move.with_braking",
        symbol: "I_brake_back",
        label: "Current at the end of the move with the load",
        measure: Measure::Current,
        meaning: "below 0 the motor brakes",
        formula: driving!("axis.load_torque_return", "-"),
        source: "torque balance at the motor shaft",
        shown: false,
        ..RESULT
    }, with_braking;
    WITH_PEAK: ElectricCurrent = Outcome {
        id: "move.with_peak",
        symbol: "I_move_back",
        label: "Peak current of the move with the load",
        measure: Measure::Current,
        meaning: "whichever its sign",
        formula: "max(max(abs(move.with_starting), abs(move.with_steady)), abs(move.with_braking))",
        source: "the current is linear in the acceleration",
        shown: false,
        ..RESULT
    }, with_peak;
    WITH_RMS: ElectricCurrent = Outcome {
        id: "move.with_rms",
        symbol: "I_moverms_back",
        label: "Root mean square current of the move with the load",
        measure: Measure::Current,
        meaning: "without its dwell",
        formula: "sqrt(move.ramp_fraction * (move.with_starting ^ 2 + move.with_braking ^ 2) + (1 - 2 * move.ramp_fraction) * move.with_steady ^ 2)",
        source: "sum over the segments",
        shown: false,
        ..RESULT
    }, with_rms;
    WITH_VOLTAGE: ElectricPotential = Outcome {
        id: "move.with_voltage",
        symbol: "U_move_back",
        label: "Greatest voltage of the move with the load",
        measure: Measure::Voltage,
        meaning: "back-EMF and drop, winding warm",
        formula: "motor.back_emf_constant * gears.exact_ratio * move.peak_speed + drive.total_resistance_hot * max(0, max(move.with_steady, max(move.with_starting, move.with_braking)))",
        source: "voltage equation of the motor",
        shown: false,
        ..RESULT
    }, with_voltage;
    PEAK_CURRENT: ElectricCurrent = Outcome {
        id: "move.peak_current",
        symbol: "I_peak",
        label: "Peak current",
        measure: Measure::Current,
        meaning: "over the moves and the dwell",
        formula: "max(move.against_peak, abs(hold.dwell_current))",
        source: "torque balance at the motor shaft",
        ..RESULT
    }, peak_current;
    RMS_CURRENT: ElectricCurrent = Outcome {
        id: "move.rms_current",
        symbol: "I_rms",
        label: "Root mean square current",
        measure: Measure::Current,
        meaning: "over the moves and the dwell: what heats",
        formula: "sqrt((move.against_rms ^ 2 * move.time + hold.dwell_current ^ 2 * move.dwell) / (move.time + move.dwell))",
        source: "definition of the root mean square",
        ..RESULT
    }, rms_current;
    PEAK_TORQUE: Torque = Outcome {
        id: "move.peak_torque",
        symbol: "T_peak",
        label: "Peak torque at the output",
        measure: Measure::Torque,
        meaning: "load and acceleration together",
        formula: "abs(axis.load_torque) + axis.load_inertia * move.peak_acceleration",
        source: "torque balance at the output",
        ..RESULT
    }, peak_torque;
    RMS_TORQUE: Torque = Outcome {
        id: "move.rms_torque",
        symbol: "T_rms",
        label: "Root mean square torque at the output",
        measure: Measure::Torque,
        meaning: "over the moves and the dwell: what wears the gears",
        formula: rms_torque!("axis.load_torque ^ 2", "2 * move.ramp_fraction"),
        source: "closed integrals of the profile",
        ..RESULT
    }, rms_torque;
    VOLTAGE_MARGIN: ElectricPotential = Outcome {
        id: "move.voltage_margin",
        symbol: "U_margin",
        label: "Voltage left at the worst moment",
        measure: Measure::Voltage,
        meaning: "below 0 the move is impossible",
        formula: "drive.lowest_voltage - move.against_voltage",
        source: "voltage equation of the motor",
        ..RESULT
    }, voltage_margin;
    SHORTEST_TIME: Time = Outcome {
        id: "move.shortest_time",
        symbol: "t_min",
        label: "Shortest time of the move",
        measure: Measure::Time,
        meaning: "voltage, current, gears, pulses and edges kept",
        formula: "'the least time in which the limits of voltage, current, gear torque, pulse rate and edge gap are kept'",
        source: "the same formulas solved for the time",
        ..RESULT
    }, shortest_time;
}

/// The move as the gearbox output makes it.
///
/// # Errors
/// When distance, time or profile is not there.
pub fn motion<'c>(c: &'c Eval<'_>) -> Result<&'c Motion, Absent> {
    c.part(&c.parts.motion, |c| {
        Ok(Motion {
            profile: match c.get(PROFILE)? {
                Profile::Trapezoid => formulas::Profile::Trapezoid {
                    ramp_fraction: c.get(RAMP_FRACTION)?,
                },
                Profile::Smooth => formulas::Profile::Smooth,
            },
            distance: c.get(OUTPUT_ANGLE)?,
            time: c.get(TIME)?,
        })
    })
}

fn peak_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    if c.get(PROFILE)? == Profile::Smooth {
        c.working("1.875 * move.output_angle / move.time");
    }
    Ok(formulas::peak_speed(*motion(c)?))
}

fn peak_acceleration(c: &Eval<'_>) -> Result<AngularAcceleration, Absent> {
    if c.get(PROFILE)? == Profile::Smooth {
        c.working("10 / sqrt(3) / 1.875 * move.peak_speed / move.time");
    }
    Ok(formulas::peak_acceleration(*motion(c)?))
}

fn output_angle(c: &Eval<'_>) -> Result<Angle, Absent> {
    if c.get(axis::KIND)? == Kind::Torque {
        c.working("axis.distance_at_load * axis.last_stage");
    }
    axis::at_output(c, c.travel(axis::DISTANCE_AT_LOAD)?)
}

/// Refuses what only an axis along a line has.
fn along_a_line(c: &Eval<'_>) -> Result<(), Absent> {
    if c.get(axis::KIND)?.is_linear() {
        Ok(())
    } else {
        Err(Absent::not_asked(
            "a turning axis has no travel along a line",
        ))
    }
}

fn peak_travel_speed(c: &Eval<'_>) -> Result<Velocity, Absent> {
    along_a_line(c)?;
    let at_axis = c.get(PEAK_SPEED)? / c.get(axis::LAST_STAGE_NOW)?.value;
    Ok(formulas::travel_speed(at_axis, c.get(axis::TURN_TRAVEL)?))
}

fn peak_travel_acceleration(c: &Eval<'_>) -> Result<Acceleration, Absent> {
    along_a_line(c)?;
    let at_axis = c.get(PEAK_ACCELERATION)? / c.get(axis::LAST_STAGE_NOW)?.value;
    Ok(formulas::travel_acceleration(
        at_axis,
        c.get(axis::TURN_TRAVEL)?,
    ))
}

fn load_against(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok((c.get(axis::TORQUE_AT_AXIS)? / c.get(axis::LAST_STAGE_NOW)?).into())
}

fn load_with(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok((c.get(axis::RETURN_AT_AXIS)? / c.get(axis::LAST_STAGE_NOW)?).into())
}

/// What stands between the winding and the load, the loss of a last stage in its efficiencies: the
/// loads to go with it are [`LOAD_AGAINST`] and [`LOAD_WITH`].
///
/// # Errors
/// Why one of its figures is not there.
pub fn train<'c>(c: &'c Eval<'_>) -> Result<&'c Drivetrain, Absent> {
    c.part(&c.parts.train, |c| {
        let gears = Drivetrain {
            ratio: c.get(gears::RATIO_NOW)?,
            efficiency: c.get(gears::EFFICIENCY_NOW)?,
            back_driving_efficiency: c.get(gears::BACK_EFFICIENCY)?,
            rotor_inertia: c.get(motor::ROTOR_INERTIA)?,
            load_inertia: c.get(axis::LOAD_INERTIA)?,
            motor_constant: c.get(motor::TORQUE_CONSTANT)?,
            no_load_current: c.get(motor::NO_LOAD_CURRENT)?,
        };
        Ok(gears.through(axis::last_stage_efficiency(c)?))
    })
}

fn train_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.left_out_now(axis::REDUCTION) {
        c.working("gears.efficiency");
    }
    Ok(train(c)?.efficiency)
}

fn train_back_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.left_out_now(axis::REDUCTION) {
        c.working("gears.back_driving_efficiency");
    } else if c.get(axis::REDUCTION_EFFICIENCY)?.value < 0.5 {
        c.working("(2 - 1 / axis.reduction_efficiency) / gears.efficiency");
    }
    Ok(train(c)?.back_driving_efficiency)
}

/// One of the two moves of a cycle and its results.
struct Half {
    torque: Key<Torque>,
    starting: Key<ElectricCurrent>,
    steady: Key<ElectricCurrent>,
    braking: Key<ElectricCurrent>,
    /// Workings at the start, steady and at the end: load driving; then, with a last stage, motor
    /// driving and load driving.
    driven: [&'static str; 3],
    staged_driving: [&'static str; 3],
    staged_driven: [&'static str; 3],
    smooth_rms: &'static str,
}

const AGAINST: Half = Half {
    torque: LOAD_AGAINST,
    starting: AGAINST_STARTING,
    steady: AGAINST_STEADY,
    braking: AGAINST_BRAKING,
    driven: [
        driven!("axis.load_torque", "+"),
        steady_driven!("axis.load_torque"),
        driven!("axis.load_torque", "-"),
    ],
    staged_driving: [
        driving!("move.load_against", "+", "move.train_efficiency"),
        steady_driving!("move.load_against", "move.train_efficiency"),
        driving!("move.load_against", "-", "move.train_efficiency"),
    ],
    staged_driven: [
        driven!("move.load_against", "+", "move.train_back_efficiency"),
        steady_driven!("move.load_against", "move.train_back_efficiency"),
        driven!("move.load_against", "-", "move.train_back_efficiency"),
    ],
    smooth_rms: "sqrt(move.against_steady ^ 2 + 18 / 35 * (move.against_starting - move.against_steady) ^ 2)",
};

const WITH: Half = Half {
    torque: LOAD_WITH,
    starting: WITH_STARTING,
    steady: WITH_STEADY,
    braking: WITH_BRAKING,
    driven: [
        driven!("axis.load_torque_return", "+"),
        steady_driven!("axis.load_torque_return"),
        driven!("axis.load_torque_return", "-"),
    ],
    staged_driving: [
        driving!("move.load_with", "+", "move.train_efficiency"),
        steady_driving!("move.load_with", "move.train_efficiency"),
        driving!("move.load_with", "-", "move.train_efficiency"),
    ],
    staged_driven: [
        driven!("move.load_with", "+", "move.train_back_efficiency"),
        steady_driven!("move.load_with", "move.train_back_efficiency"),
        driven!("move.load_with", "-", "move.train_back_efficiency"),
    ],
    smooth_rms: "sqrt(move.with_steady ^ 2 + 18 / 35 * (move.with_starting - move.with_steady) ^ 2)",
};

impl Half {
    /// Current at so many peak accelerations: 1, 0 or −1.
    fn current(&self, c: &Eval<'_>, share: f64) -> Result<ElectricCurrent, Absent> {
        let torque = c.get(self.torque)?;
        let acceleration = c.get(PEAK_ACCELERATION)? * share;
        let inertial: Torque = (c.get(axis::LOAD_INERTIA)? * acceleration).into();
        let workings = match (
            c.left_out_now(axis::REDUCTION),
            (torque + inertial).value < 0.0,
        ) {
            (true, false) => None,
            (true, true) => Some(self.driven),
            (false, false) => Some(self.staged_driving),
            (false, true) => Some(self.staged_driven),
        };
        if let Some([starting, steady, braking]) = workings {
            c.working(if share > 0.0 {
                starting
            } else if share < 0.0 {
                braking
            } else {
                steady
            });
        }
        Ok(formulas::motor_current(train(c)?, torque, acceleration))
    }

    /// Whether the gears change between driving and being driven within the move.
    fn changes(&self, c: &Eval<'_>) -> Result<bool, Absent> {
        let torque = c.get(self.torque)?;
        let inertial: Torque = (c.get(axis::LOAD_INERTIA)? * c.get(PEAK_ACCELERATION)?).into();
        Ok(torque.abs() < inertial)
    }

    fn peak(&self, c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
        let peak = formulas::peak_current(train(c)?, *motion(c)?, c.get(self.torque)?);
        let ends = c
            .get(self.starting)?
            .abs()
            .max(c.get(self.steady)?.abs())
            .max(c.get(self.braking)?.abs());
        if peak > ends * (1.0 + 1e-12) {
            c.working("'the greatest over the move: where the load begins to drive'");
        }
        Ok(peak)
    }

    fn rms(&self, c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
        if c.get(PROFILE)? == Profile::Smooth {
            c.working(if self.changes(c)? {
                "'√(∫i² dt / t), in pieces: within the move the load begins to drive'"
            } else {
                self.smooth_rms
            });
        }
        Ok(formulas::rms_current(
            train(c)?,
            *motion(c)?,
            c.get(self.torque)?,
        ))
    }

    fn voltage(&self, c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
        if c.get(PROFILE)? == Profile::Smooth {
            c.working("'the greatest of R·i + K_e·N·ω over the move'");
        }
        let left = formulas::voltage_margin(
            train(c)?,
            *motion(c)?,
            c.get(self.torque)?,
            c.get(drive::TOTAL_RESISTANCE_HOT)?,
            ElectricPotential::default(),
        );
        Ok(-left)
    }
}

fn against_starting(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    AGAINST.current(c, 1.0)
}
fn against_steady(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    AGAINST.current(c, 0.0)
}
fn against_braking(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    AGAINST.current(c, -1.0)
}
fn against_peak(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    AGAINST.peak(c)
}
fn against_rms(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    AGAINST.rms(c)
}
fn against_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    AGAINST.voltage(c)
}
fn with_starting(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    WITH.current(c, 1.0)
}
fn with_steady(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    WITH.current(c, 0.0)
}
fn with_braking(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    WITH.current(c, -1.0)
}
fn with_peak(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    WITH.peak(c)
}
fn with_rms(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    WITH.rms(c)
}
fn with_voltage(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    WITH.voltage(c)
}

/// The greater of two results over the moves that are asked for; names its formula.
fn greatest<Q: super::Physical + PartialOrd>(
    c: &Eval<'_>,
    (against, with): (Key<Q>, Key<Q>),
    [back, both]: [&'static str; 2],
) -> Result<Q, Absent> {
    match c.get(DIRECTION)? {
        Direction::Against => c.get(against),
        Direction::With => {
            c.working(back);
            c.get(with)
        }
        Direction::Both => {
            c.working(both);
            Ok(formulas::Direction::Both.greatest(c.get(against)?, c.get(with)?))
        }
    }
}

fn peak_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let moving = greatest(
        c,
        (AGAINST_PEAK, WITH_PEAK),
        [
            "max(move.with_peak, abs(hold.dwell_current))",
            "max(max(move.against_peak, move.with_peak), abs(hold.dwell_current))",
        ],
    )?;
    Ok(moving.max(c.get(heat::DWELL_CURRENT)?.abs()))
}

fn rms_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    let direction = c.get(DIRECTION)?;
    match direction {
        Direction::Against => {}
        Direction::With => c.working("sqrt((move.with_rms ^ 2 * move.time + hold.dwell_current ^ 2 * move.dwell) / (move.time + move.dwell))"),
        Direction::Both => c.working("sqrt(((move.against_rms ^ 2 + move.with_rms ^ 2) / 2 * move.time + hold.dwell_current ^ 2 * move.dwell) / (move.time + move.dwell))"),
    }
    let half = |moving| -> Result<ElectricCurrent, Absent> {
        Ok(formulas::rms_with_dwell(
            c.get(moving)?,
            c.get(heat::DWELL_CURRENT)?,
            c.get(TIME)?,
            c.get(DWELL)?,
        ))
    };
    match direction {
        Direction::Against => half(AGAINST_RMS),
        Direction::With => half(WITH_RMS),
        Direction::Both => Ok(formulas::rms_of_cycle(
            formulas::Direction::Both,
            half(AGAINST_RMS)?,
            half(WITH_RMS)?,
        )),
    }
}

/// A torque at the output for each move that is asked for: against the load, with it.
fn of_halves(
    c: &Eval<'_>,
    of: impl Fn(Torque) -> Torque,
    both: impl Fn(Torque, Torque) -> Torque,
) -> Result<Torque, Absent> {
    Ok(match c.get(DIRECTION)? {
        Direction::Against => of(c.get(LOAD_AGAINST)?),
        Direction::With => of(c.get(LOAD_WITH)?),
        Direction::Both => both(of(c.get(LOAD_AGAINST)?), of(c.get(LOAD_WITH)?)),
    })
}

macro_rules! staged_peak {
    ($torque:literal) => {
        concat!(
            "max((axis.load_inertia * move.peak_acceleration + ",
            $torque,
            ") / axis.reduction_efficiency, (axis.load_inertia * move.peak_acceleration - ",
            $torque,
            ") * abs(2 - 1 / axis.reduction_efficiency))"
        )
    };
}

fn peak_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.working(match (c.left_out_now(axis::REDUCTION), c.get(DIRECTION)?) {
        (true, Direction::Against) => "abs(axis.load_torque) + axis.load_inertia * move.peak_acceleration",
        (true, Direction::With) => "abs(axis.load_torque_return) + axis.load_inertia * move.peak_acceleration",
        (true, Direction::Both) => "max(abs(axis.load_torque), abs(axis.load_torque_return)) + axis.load_inertia * move.peak_acceleration",
        (false, Direction::Against) => staged_peak!("move.load_against"),
        (false, Direction::With) => staged_peak!("move.load_with"),
        (false, Direction::Both) => concat!(
            "max(", staged_peak!("move.load_against"), ", ", staged_peak!("move.load_with"), ")"
        ),
    });
    let inertia = c.get(axis::LOAD_INERTIA)?;
    let acceleration = c.get(PEAK_ACCELERATION)?;
    let stage = axis::last_stage_efficiency(c)?;
    of_halves(
        c,
        |load| formulas::peak_torque(load, inertia, acceleration, stage),
        |against, with| against.max(with),
    )
}

fn rms_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.working(match (c.get(PROFILE)?, c.get(DIRECTION)?) {
        _ if !c.left_out_now(axis::REDUCTION) => {
            "'√(∫T² dt / (t + dwell)), T carried through the last stage with its loss'"
        }
        (Profile::Trapezoid, Direction::Against) => {
            rms_torque!("axis.load_torque ^ 2", "2 * move.ramp_fraction")
        }
        (Profile::Trapezoid, Direction::With) => {
            rms_torque!("axis.load_torque_return ^ 2", "2 * move.ramp_fraction")
        }
        (Profile::Trapezoid, Direction::Both) => rms_torque!(
            "(axis.load_torque ^ 2 + axis.load_torque_return ^ 2) / 2",
            "2 * move.ramp_fraction"
        ),
        (Profile::Smooth, Direction::Against) => rms_torque!("axis.load_torque ^ 2", "18 / 35"),
        (Profile::Smooth, Direction::With) => rms_torque!("axis.load_torque_return ^ 2", "18 / 35"),
        (Profile::Smooth, Direction::Both) => rms_torque!(
            "(axis.load_torque ^ 2 + axis.load_torque_return ^ 2) / 2",
            "18 / 35"
        ),
    });
    let (motion, inertia) = (*motion(c)?, c.get(axis::LOAD_INERTIA)?);
    let stage = axis::last_stage_efficiency(c)?;
    let (holding, dwell) = (c.get(axis::HOLDING_TORQUE)?, c.get(DWELL)?);
    of_halves(
        c,
        |load| formulas::rms_torque(motion, load, inertia, stage, holding, dwell),
        // Both moves and their dwells last equally long.
        |against, with| ((against * against + with * with) / 2.0).sqrt().into(),
    )
}

fn voltage_margin(c: &Eval<'_>) -> Result<ElectricPotential, Absent> {
    let need = greatest(
        c,
        (AGAINST_VOLTAGE, WITH_VOLTAGE),
        [
            "drive.lowest_voltage - move.with_voltage",
            "drive.lowest_voltage - max(move.against_voltage, move.with_voltage)",
        ],
    )?;
    Ok(c.get(drive::LOWEST_VOLTAGE)? - need)
}

/// Output speed at which the edges come as fast as they can be served.
fn edge_speed(c: &Eval<'_>) -> Result<Option<AngularVelocity>, Absent> {
    match c.get(encoder::SHORTEST_EDGE_GAP) {
        Ok(gap) if gap.value > 0.0 => {
            let least = c
                .get(encoder::EDGE_SERVICE_TIME)?
                .value
                .max(encoder::LEAST_GAP);
            Ok(Some(c.get(drive::TOP_SPEED)? * (gap.value / least)))
        }
        Ok(_) => Err(Absent::impossible("edges are lost at any speed")),
        Err(absent) if absent.code == Code::Unlimited => Ok(None),
        Err(absent) => Err(absent),
    }
}

/// Resistance of winding, bridge and source, as warm as the cycle is with a move of another time.
fn warm_resistance<'a>(
    c: &'a Eval<'_>,
    train: &'a Drivetrain,
) -> Result<impl Fn(Time) -> ElectricalResistance + 'a, Absent> {
    let (asked, direction) = (*motion(c)?, c.get(DIRECTION)?.formula());
    let (against, with) = (c.get(LOAD_AGAINST)?, c.get(LOAD_WITH)?);
    let (dwell, dwell_current) = (c.get(DWELL)?, c.get(heat::DWELL_CURRENT)?);
    let (model, ripple) = (heat::model(c)?, c.get(bridge::RIPPLE_CURRENT)?);
    let limit = c.get(motor::MAX_WINDING_TEMPERATURE)?;
    let others = c.get(drive::TOTAL_RESISTANCE_HOT)? - c.get(drive::HOT_WINDING)?;
    Ok(move |time| {
        let rms = |load| {
            let moving = formulas::rms_current(train, Motion { time, ..asked }, load);
            formulas::rms_with_dwell(moving, dwell_current, time, dwell)
        };
        let current = match direction {
            formulas::Direction::Against => rms(against),
            formulas::Direction::With => rms(with),
            formulas::Direction::Both => formulas::rms_of_cycle(direction, rms(against), rms(with)),
        };
        let friction = pulsewright_calc::heat::friction_loss(
            train.motor_constant,
            train.no_load_current,
            train.ratio,
            asked.distance,
            time + dwell,
        );
        let current = pulsewright_calc::heat::heating_current(current, ripple);
        let winding = pulsewright_calc::heat::equilibrium(model, current, friction)
            .map_or(limit, |found| found.winding.min(limit));
        pulsewright_calc::heat::resistance_at(
            model.resistance,
            model.coefficient,
            model.ambient,
            winding,
        ) + others
    })
}

fn shortest_time(c: &Eval<'_>) -> Result<Time, Absent> {
    let by_pulses = c.get(steps::SPEED_LIMIT)?;
    let limits = Limits {
        voltage: c.get(drive::LOWEST_VOLTAGE)?,
        current: Some(c.get(drive::CURRENT_LIMIT)?),
        torque: Some(c.get(gears::PEAK_TORQUE)?),
        last_stage_efficiency: axis::last_stage_efficiency(c)?,
        speed: Some(edge_speed(c)?.map_or(by_pulses, |edges| edges.min(by_pulses))),
    };
    let asked = *motion(c)?;
    let train = train(c)?;
    let resistance = warm_resistance(c, train)?;
    let half = |load| {
        formulas::shortest_time(
            train,
            asked.profile,
            asked.distance,
            c.get(load)?,
            &limits,
            &resistance,
            asked.time,
        )
        .ok_or(Absent::impossible(
            "no time is long enough: the motor cannot move this load",
        ))
    };
    match c.get(DIRECTION)? {
        Direction::Against => half(LOAD_AGAINST),
        Direction::With => half(LOAD_WITH),
        Direction::Both => Ok(half(LOAD_AGAINST)?.max(half(LOAD_WITH)?)),
    }
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
