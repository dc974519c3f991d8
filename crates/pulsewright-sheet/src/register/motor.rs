//! The gear motor as bought.

use crate::check::Check;
use crate::finding::{Finding, Severity};

use pulsewright_calc::motor as formulas;
use pulsewright_calc::units::{
    AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Inductance, Length,
    Mass, MomentOfInertia, MotorConstant, Ratio, TemperatureCoefficient, ThermalResistance,
    ThermodynamicTemperature, Time, Torque, TorquePerMass,
};

use super::gears;
use super::{Form, INPUT, Input, Means, Must, Outcome, Preset, RESULT, Rule, Station, Sure};
use crate::eval::{Absent, BEYOND, Eval};
use crate::unit::Measure;

choices! {
    /// Shaft on which the listing states speed and torque.
    FiguresAt { Output = "output", Motor = "motor", }
}

/// No-load current as a share of the stall current, by class (common practice, no source).
const IDLE_SHARE: [f64; 4] = [0.06, 0.06, 0.05, 0.05];

/// L/R of small motors by class, in seconds (common practice, no source).
const WINDING_TIME: [f64; 4] = [0.165e-3, 0.30e-3, 0.40e-3, 0.52e-3];

/// Share of the motor's stall torque that the gears of the usual small listing (2.1 kgf·cm, 160 r/min, 6 V, 1.1 A) let
/// through: what its figures imply.
const LISTED_EFFICIENCY: f64 = 0.5917;

fn no_load_current(c: &Eval<'_>) -> Result<f64, Absent> {
    if !c.given(STALL_CURRENT) && !is_listed(c) {
        return Ok(0.06);
    }
    Ok(c.bare(STALL_CURRENT)? * IDLE_SHARE[c.class()?])
}

/// Whether the motor is told by more than its size.
fn is_listed(c: &Eval<'_>) -> bool {
    c.given(STALL_TORQUE)
        || c.given(NO_LOAD_SPEED)
        || c.given(RATED_VOLTAGE)
        || c.given(TERMINAL_RESISTANCE)
}

/// T_stall·n_0 = η·V_rated·I_stall·(1 − I_0/I_stall)² with the usual share of no-load current: 1.1 A would contradict
/// the figures of any other motor than the one assumed.
fn stall_current(c: &Eval<'_>) -> Result<f64, Absent> {
    const MOST: f64 = 100.0;
    if !is_listed(c) {
        return Ok(1.1);
    }
    let voltage = c.bare(RATED_VOLTAGE)?;
    if let Some(measured) = c.option(TERMINAL_RESISTANCE)? {
        return Ok((voltage / measured.value).min(MOST));
    }
    let gears = match c.get(FIGURES_AT)? {
        FiguresAt::Motor => 1.0,
        FiguresAt::Output => c
            .option(gears::EFFICIENCY)?
            .map_or(LISTED_EFFICIENCY, |given| given.value),
    };
    let turning = 1.0 - IDLE_SHARE[c.class()?];
    let power = c.bare(STALL_TORQUE)? * c.bare(NO_LOAD_SPEED)?;
    Ok((power / (gears * voltage * turning * turning)).min(MOST))
}

fn inductance(c: &Eval<'_>) -> Result<f64, Absent> {
    let resistance = match c.option(TERMINAL_RESISTANCE)? {
        Some(measured) => measured,
        None => c.get(RATED_VOLTAGE)? / c.get(STALL_CURRENT)?,
    };
    Ok(resistance.value * WINDING_TIME[c.class()?])
}

inputs! {
    after super::movement;

    CASE_DIAMETER: Length = Input {
        id: "motor.case_diameter",
        symbol: "d_case",
        label: "Diameter of the motor case",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Fixed("12 mm"),
        low: "3 mm",
        high: "80 mm",
        sure: Sure::Near,
        layer: 2,
        means: Means::Nothing,
        help: "Calliper across the motor can; it picks the assumed values of a class",
        ..INPUT
    };
    BRACKET_LIMIT: ThermodynamicTemperature = Input {
        id: "motor.bracket_limit",
        symbol: "ϑ_bracket",
        label: "Softening of the bracket",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::LeftOut,
        low: "30 degC",
        high: "300 degC",
        sure: Sure::Within("5 K"),
        layer: 3,
        means: Means::Fitted,
        help: "Where the bracket softens: PLA 55, PETG 75, ABS 95 °C; leave out for metal",
        ..INPUT
    };
    FIGURES_AT: FiguresAt = Input {
        id: "motor.figures_at",
        symbol: "figures_at",
        label: "Shaft of the speed and torque figures",
        form: Form::Choice(FiguresAt::WORDS),
        preset: Preset::Fixed("output"),
        layer: 1,
        means: Means::Nothing,
        help: "Listing of a gear motor that names a ratio: output. Sheet of a bare motor: motor",
        ..INPUT
    };
    RATED_VOLTAGE: ElectricPotential = Input {
        id: "motor.rated_voltage",
        symbol: "V_rated",
        label: "Rated voltage",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::Fixed("6 V"),
        low: "0.5 V",
        high: "60 V",
        sure: Sure::Near,
        layer: 1,
        because: "beyond 60 V a shock can hurt, and no hobby motor is listed so",
        means: Means::Nothing,
        help: "Listing; the voltage at which the other figures hold, not your supply",
        ..INPUT
    };
    NO_LOAD_SPEED: AngularVelocity = Input {
        id: "motor.no_load_speed",
        symbol: "n_0",
        label: "No-load speed",
        form: Form::Quantity(Measure::Speed),
        preset: Preset::Fixed("160 r/min"),
        low: "0.1 r/min",
        high: "100000 r/min",
        sure: Sure::Within("10 %"),
        layer: 1,
        means: Means::Bought,
        help: "Count turns of a marked shaft for 60 s at rated voltage, nothing attached, after one minute of running",
        ..INPUT
    };
    NO_LOAD_CURRENT: ElectricCurrent = Input {
        id: "motor.no_load_current",
        symbol: "I_0",
        label: "No-load current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::From(no_load_current, "60 mA, or this class's usual share of the stall current"),
        low: "0 A",
        high: "100 A",
        sure: Sure::Within("50 %"),
        layer: 1,
        rules: &[Rule { must: Must::Below, than: |c| c.bare(STALL_CURRENT), name: "the stall current", because: "a motor draws least when it runs free" }],
        means: Means::Bought,
        help: "Ammeter in series during the same run. Not on the listing: 5 to 10 % of the stall current",
        ..INPUT
    };
    STALL_TORQUE: Torque = Input {
        id: "motor.stall_torque",
        symbol: "T_stall",
        label: "Stall torque",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::Fixed("2.1 kgf.cm"),
        low: ">0 N.m",
        high: "100 N.m",
        sure: Sure::Within("20 %"),
        layer: 1,
        because: "a motor that pulls nothing turns nothing, and 100 N·m is no small gear motor",
        means: Means::Bought,
        help: "Listing. A figure to compute with, not one to hold: see Hold and heat. Measure only at half voltage, lever and scale, under 2 s, then double",
        ..INPUT
    };
    STALL_CURRENT: ElectricCurrent = Input {
        id: "motor.stall_current",
        symbol: "I_stall",
        label: "Stall current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::From(stall_current, "1.1 A, or what the torque, speed and voltage given take at a usual efficiency"),
        low: ">0 A",
        high: "100 A",
        sure: Sure::Within("15 %"),
        layer: 1,
        rules: &[Rule { must: Must::Above, than: |c| c.bare(NO_LOAD_CURRENT), name: "the no-load current", because: "a stalled motor draws most" }],
        means: Means::Bought,
        help: "Listing, or rated voltage / winding resistance",
        ..INPUT
    };
    TERMINAL_RESISTANCE: ElectricalResistance = Input {
        id: "motor.terminal_resistance",
        symbol: "R_given",
        label: "Winding resistance, measured",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::LeftOut,
        low: "0.02 Ohm",
        high: "2000 Ohm",
        sure: Sure::Within("10 %"),
        layer: 2,
        help: "Pass 0.1 to 0.2 A from a limited supply, shaft held, volts / amperes, six shaft positions, middle value. A plain ohmmeter reads the brushes too",
        ..INPUT
    };
    INDUCTANCE: Inductance = Input {
        id: "motor.inductance",
        symbol: "L",
        label: "Winding inductance",
        form: Form::Quantity(Measure::Inductance),
        preset: Preset::From(inductance, "this class's usual L/R times the resistance"),
        low: "1 uH",
        high: "1 H",
        sure: Sure::Within("30 %"),
        layer: 3,
        means: Means::Bought,
        help: "LCR meter at 1 kHz on the terminals, shaft held",
        ..INPUT
    };
    ROTOR_INERTIA: MomentOfInertia = Input {
        id: "motor.rotor_inertia",
        symbol: "J_r",
        label: "Rotor inertia",
        form: Form::Quantity(Measure::Inertia),
        preset: Preset::ByClass(["0.15 g.cm2", "1.1 g.cm2", "4 g.cm2", "14 g.cm2"]),
        low: "0.001 g.cm2",
        high: "10000 g.cm2",
        sure: Sure::Within("50 %"),
        layer: 3,
        means: Means::Bought,
        help: "Rarely listed: ½·m·r² with 40 to 50 % of the bare motor's mass; or fit it from a run-up on the bench sheet",
        ..INPUT
    };
    MASS: Mass = Input {
        id: "motor.mass",
        symbol: "m_motor",
        label: "Mass of the gear motor",
        form: Form::Quantity(Measure::Mass),
        preset: Preset::ByClass(["10 g", "32 g", "95 g", "205 g"]),
        low: ">0 kg",
        high: "20 kg",
        sure: Sure::Within("5 %"),
        layer: 2,
        means: Means::Bought,
        help: "Kitchen scale, gear motor with leads",
        ..INPUT
    };
    ADDED_MASS: Mass = Input {
        id: "motor.added_mass",
        symbol: "m_added",
        label: "Mass that the conversion adds",
        form: Form::Quantity(Measure::Mass),
        preset: Preset::Fixed("8 g"),
        low: "0 kg",
        high: "5 kg",
        sure: Sure::Within("10 %"),
        layer: 2,
        means: Means::Fitted,
        help: "Kitchen scale: boards, magnet, cover, screws",
        ..INPUT
    };
    REFERENCE_TEMPERATURE: ThermodynamicTemperature = Input {
        id: "motor.reference_temperature",
        symbol: "ϑ_ref",
        label: "Temperature of the listed figures",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("25 degC"),
        low: "-20 degC",
        high: "60 degC",
        sure: Sure::Within("3 K"),
        layer: 3,
        means: Means::Nothing,
        help: "Listing's footnote; 20 to 25 °C when silent",
        ..INPUT
    };
    MAX_WINDING_TEMPERATURE: ThermodynamicTemperature = Input {
        id: "motor.max_winding_temperature",
        symbol: "ϑ_max",
        label: "Limit of the winding",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("90 degC"),
        low: "40 degC",
        high: "220 degC",
        sure: Sure::Within("5 K"),
        layer: 2,
        because: "enamel and brushes of any motor end there", rules: &[Rule { must: Must::Above, than: |c| c.bare(super::axis::AMBIENT_TEMPERATURE), name: "the ambient temperature", because: "a winding at its limit before it runs cannot run" }],
        means: Means::Nothing,
        help: "Insulation class (A 105, B 130, F 155, H 180 °C); unmarked small motors 85 to 100 °C; brushes may allow less",
        ..INPUT
    };
    FLUX_COEFFICIENT: TemperatureCoefficient = Input {
        id: "motor.flux_coefficient",
        symbol: "α_flux",
        label: "Flux lost per kelvin",
        form: Form::Quantity(Measure::PerKelvin),
        preset: Preset::Fixed("-0.002 1/K"),
        low: "-0.005 1/K",
        high: "0 1/K",
        sure: Sure::Within("0.0005 1/K"),
        layer: 3,
        help: "Ferrite −0.002, neodymium −0.0011 1/K; unmarked cheap motors: ferrite",
        ..INPUT
    };
    WINDING_TO_HOUSING: ThermalResistance = Input {
        id: "motor.winding_to_housing",
        symbol: "R_wh",
        label: "Thermal resistance, winding to housing",
        form: Form::Quantity(Measure::ThermalResistance),
        preset: Preset::ByClass(["15 K/W", "9 K/W", "7 K/W", "6 K/W"]),
        low: "0.1 K/W",
        high: "300 K/W",
        sure: Sure::Within("40 %"),
        layer: 3,
        means: Means::Bought,
        help: "Bench sheet warm-up: winding heat from its resistance, can by thermometer, difference / watts",
        ..INPUT
    };
    HOUSING_TO_AMBIENT: ThermalResistance = Input {
        id: "motor.housing_to_ambient",
        symbol: "R_ha",
        label: "Thermal resistance, housing to ambient",
        form: Form::Quantity(Measure::ThermalResistance),
        preset: Preset::ByClass(["45 K/W", "24 K/W", "18 K/W", "14 K/W"]),
        low: "0.1 K/W",
        high: "600 K/W",
        sure: Sure::Within("40 %"),
        layer: 3,
        means: Means::Fitted,
        help: "Same run, when steady: (can − room) / watts. Halve it when bolted to metal",
        ..INPUT
    };
    WINDING_TIME_CONSTANT: Time = Input {
        id: "motor.winding_time_constant",
        symbol: "τ_w",
        label: "Thermal time constant of the winding",
        form: Form::Quantity(Measure::Time),
        preset: Preset::ByClass(["12 s", "16 s", "20 s", "25 s"]),
        low: "0.2 s",
        high: "1000 s",
        sure: Sure::Within("40 %"),
        layer: 3,
        means: Means::Bought,
        help: "Same run: time to 63 % of the fast first rise. Coreless 4 to 10 s, iron core 10 to 40 s",
        ..INPUT
    };
    HOUSING_TIME_CONSTANT: Time = Input {
        id: "motor.housing_time_constant",
        symbol: "τ_h",
        label: "Thermal time constant of the housing",
        form: Form::Quantity(Measure::Time),
        preset: Preset::ByClass(["210 s", "320 s", "560 s", "900 s"]),
        low: "5 s",
        high: "20000 s",
        sure: Sure::Within("40 %"),
        layer: 3,
        rules: &[Rule { must: Must::Above, than: |c| c.bare(WINDING_TIME_CONSTANT), name: "the winding's time constant", because: "the can is heavier than its winding" }],
        means: Means::Bought,
        help: "Same run: time to 63 % of the can's rise",
        ..INPUT
    };
}

results! {
    after super::movement;

    SHAFT_SPEED: AngularVelocity = Outcome {
        id: "motor.shaft_speed",
        symbol: "ω_0",
        label: "No-load speed of the motor shaft",
        measure: Measure::Speed,
        meaning: "the motor's own shaft, before the gears",
        formula: "motor.no_load_speed",
        source: "the listing; at the output, times the ratio",
        ..RESULT
    }, shaft_speed;
    RESISTANCE: ElectricalResistance = Outcome {
        id: "motor.resistance",
        symbol: "R",
        label: "Winding resistance",
        measure: Measure::Resistance,
        meaning: "brushes and leads are in it",
        formula: "motor.rated_voltage / motor.stall_current",
        source: "Ohm's law at standstill",
        ..RESULT
    }, resistance;
    BACK_EMF_CONSTANT: MotorConstant = Outcome {
        id: "motor.back_emf_constant",
        symbol: "K_e",
        label: "Back-EMF constant",
        measure: Measure::MotorConstant,
        meaning: "volts for each radian per second of the motor shaft",
        formula: "(motor.rated_voltage - motor.no_load_current * motor.resistance) / motor.shaft_speed",
        source: "voltage equation of a permanent-magnet motor in steady state",
        ..RESULT
    }, back_emf_constant;
    TORQUE_CONSTANT: MotorConstant = Outcome {
        id: "motor.torque_constant",
        symbol: "K_t",
        label: "Torque constant",
        measure: Measure::MotorConstant,
        meaning: "at the motor shaft, for each ampere",
        formula: "motor.back_emf_constant",
        source: "equal to the back-EMF constant in SI, from the power balance",
        ..RESULT
    }, torque_constant;
    FRICTION_TORQUE: Torque = Outcome {
        id: "motor.friction_torque",
        symbol: "T_f",
        label: "Friction torque at the motor shaft",
        measure: Measure::Torque,
        meaning: "idling gears included",
        formula: "motor.torque_constant * motor.no_load_current",
        source: "torque balance at no load; friction taken as Coulomb",
        ..RESULT
    }, friction_torque;
    MOTOR_CONSTANT: f64 = Outcome {
        id: "motor.motor_constant",
        symbol: "K_m",
        label: "Motor constant",
        measure: Measure::MotorFigure,
        meaning: "torque for each root of a watt of heat",
        formula: "motor.torque_constant / sqrt(motor.resistance)",
        source: "definition in trade use (common practice, no source)",
        ..RESULT
    }, motor_constant;
    MECHANICAL_TIME_CONSTANT: Time = Outcome {
        id: "motor.mechanical_time_constant",
        symbol: "τ_m",
        label: "Mechanical time constant",
        measure: Measure::Time,
        meaning: "to 63 % of its speed, nothing attached",
        formula: "motor.resistance * motor.rotor_inertia / (motor.torque_constant * motor.back_emf_constant)",
        source: "first-order run-up of a permanent-magnet motor",
        ..RESULT
    }, mechanical_time_constant;
    ELECTRICAL_TIME_CONSTANT: Time = Outcome {
        id: "motor.electrical_time_constant",
        symbol: "τ_e",
        label: "Electrical time constant",
        measure: Measure::Time,
        meaning: "to 63 % of the stall current, shaft held",
        formula: "motor.inductance / motor.resistance",
        source: "current rise in R and L",
        ..RESULT
    }, electrical_time_constant;
    BEST_EFFICIENCY: Ratio = Outcome {
        id: "motor.best_efficiency",
        symbol: "η_best",
        label: "Best efficiency of the motor alone",
        measure: Measure::Share,
        meaning: "at a load of a tenth to a fifth of the stall torque",
        formula: "(1 - sqrt(motor.no_load_current / (motor.rated_voltage / motor.resistance))) ^ 2",
        source: "greatest value of mechanical over electrical power on the linear line",
        ..RESULT
    }, best_efficiency;
    BEST_EFFICIENCY_CURRENT: ElectricCurrent = Outcome {
        id: "motor.best_efficiency_current",
        symbol: "I_best",
        label: "Current of best efficiency",
        measure: Measure::Current,
        meaning: "where most of each watt becomes work",
        formula: "sqrt(motor.no_load_current * motor.rated_voltage / motor.resistance)",
        source: "same",
        ..RESULT
    }, best_efficiency_current;
    TORQUE_PER_MASS: TorquePerMass = Outcome {
        id: "motor.torque_per_mass",
        symbol: "T_mass",
        label: "Listed stall torque for its mass",
        measure: Measure::TorquePerMass,
        meaning: "a figure of listings, not one to hold",
        formula: "motor.stall_torque / (motor.mass + motor.added_mass)",
        source: "definition",
        ..RESULT
    }, torque_per_mass;
    STALL_RATIO: Ratio = Outcome {
        id: "motor.stall_ratio",
        symbol: "T_ratio",
        label: "Listed stall torque over the computed one",
        measure: Measure::Ratio,
        meaning: "1 where the listing agrees with itself",
        formula: "motor.stall_torque / (motor.torque_constant * (motor.rated_voltage / motor.resistance - motor.no_load_current))",
        source: "torque balance at standstill",
        ..RESULT
    }, stall_ratio;
}

fn shaft_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    let listed = c.get(NO_LOAD_SPEED)?;
    match c.get(FIGURES_AT)? {
        FiguresAt::Motor => Ok(listed),
        FiguresAt::Output => {
            c.working("motor.no_load_speed * gears.exact_ratio");
            Ok((listed * c.get(gears::RATIO_NOW)?).into())
        }
    }
}

fn resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    if let Some(measured) = c.option(TERMINAL_RESISTANCE)? {
        c.working("motor.terminal_resistance");
        return Ok(measured);
    }
    Ok(formulas::resistance_from_stall(
        c.get(RATED_VOLTAGE)?,
        c.get(STALL_CURRENT)?,
    ))
}

/// Current that the rated voltage drives through the standing winding.
fn rated_stall_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(c.get(RATED_VOLTAGE)? / c.get(RESISTANCE)?)
}

fn back_emf_constant(c: &Eval<'_>) -> Result<MotorConstant, Absent> {
    let constant = formulas::back_emf_constant(
        c.get(RATED_VOLTAGE)?,
        c.get(NO_LOAD_CURRENT)?,
        c.get(RESISTANCE)?,
        c.get(SHAFT_SPEED)?,
    );
    if constant.value > 0.0 {
        Ok(constant)
    } else {
        Err(Absent::impossible(
            "the no-load current times the resistance takes the whole rated voltage: nothing is left to turn the motor",
        ))
    }
}

fn torque_constant(c: &Eval<'_>) -> Result<MotorConstant, Absent> {
    c.get(BACK_EMF_CONSTANT)
}

fn friction_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok(formulas::friction_torque(
        c.get(TORQUE_CONSTANT)?,
        c.get(NO_LOAD_CURRENT)?,
    ))
}

fn motor_constant(c: &Eval<'_>) -> Result<f64, Absent> {
    let squared = formulas::motor_constant(c.get(TORQUE_CONSTANT)?, c.get(RESISTANCE)?);
    Ok(squared.ok_or(BEYOND)?.value.sqrt())
}

fn mechanical_time_constant(c: &Eval<'_>) -> Result<Time, Absent> {
    formulas::mechanical_time_constant(
        c.get(RESISTANCE)?,
        c.get(ROTOR_INERTIA)?,
        c.get(TORQUE_CONSTANT)?,
    )
    .ok_or(BEYOND)
}

fn electrical_time_constant(c: &Eval<'_>) -> Result<Time, Absent> {
    formulas::electrical_time_constant(c.get(INDUCTANCE)?, c.get(RESISTANCE)?).ok_or(BEYOND)
}

fn best_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    Ok(formulas::best_efficiency(
        c.get(NO_LOAD_CURRENT)?,
        rated_stall_current(c)?,
    ))
}

fn best_efficiency_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::best_efficiency_current(c.get(NO_LOAD_CURRENT)?, rated_stall_current(c)?)
        .ok_or(BEYOND)
}

fn torque_per_mass(c: &Eval<'_>) -> Result<TorquePerMass, Absent> {
    let mut torque = c.get(STALL_TORQUE)?;
    if c.get(FIGURES_AT)? == FiguresAt::Motor {
        c.working("motor.stall_torque * gears.exact_ratio * gears.efficiency / (motor.mass + motor.added_mass)");
        torque = (torque * c.get(gears::RATIO_NOW)? * c.get(gears::EFFICIENCY_NOW)?).into();
    }
    formulas::torque_per_mass(torque, c.get(MASS)?, c.get(ADDED_MASS)?).ok_or(BEYOND)
}

fn stall_ratio(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.get(FIGURES_AT)? == FiguresAt::Output {
        return Err(Absent::not_asked(
            "the figures are at the output: gears.implied_efficiency says whether they agree",
        ));
    }
    let computed = formulas::stall_torque(
        c.get(TORQUE_CONSTANT)?,
        rated_stall_current(c)?,
        c.get(NO_LOAD_CURRENT)?,
    );
    formulas::stall_ratio(c.get(STALL_TORQUE)?, computed).ok_or(BEYOND)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[Finding {
    id: "figures_contradict",
    station: Station::Motor,
    message: "The listing contradicts itself: its stall torque is {motor.stall_ratio} of what its own current, voltage and speed give. One figure is wrong; measure the resistance first.",
    numbers: &["motor.stall_ratio"],
    when: stall_contradicts,
}];

fn stall_contradicts(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let ratio = c.get(STALL_RATIO)?.value;
    Ok((!(0.8..=1.1).contains(&ratio)).then_some(Severity::Fault))
}
