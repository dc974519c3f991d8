//! The gear motor as bought.

use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition,
    Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::units::{
    AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Inductance, Length,
    Mass, MomentOfInertia, MotorConstant, Ratio, TemperatureCoefficient, ThermalResistance,
    ThermodynamicTemperature, Time, Torque, TorquePerMass,
};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Motor,
    prefixes: &["motor"],
    name: "Motor",
    question: "What can the motor do, according to its listing?",
    about: "Two motor constants follow from four figures of a listing. Where the figures contradict each other, one of them is wrong.",
};

choices! {
    /// Shaft on which the listing states speed and torque.
    FiguresAt { Output = "output", Motor = "motor", }
}

inputs! {
    motor;

    CASE_DIAMETER: Length = Input {
        id: "motor.case_diameter",
        symbol: "d_case",
        label: "Motor can diameter (smaller side)",
        form: Form::Quantity(Measure::Length),
        preset: Preset::Computed("12 mm, or the smallest that gear motors of the stall torque entered are sold with"),
        low: "3 mm",
        high: "80 mm",
        default_tolerance: DefaultTolerance::Unstated,
        smallest_side: true,
        layer: 2,
        changed_by: ChangedBy::Nothing,
        help: "Listing, of 12 × 10 × 26 mm the 10 mm; or calliper across the motor can. It selects the typical values of a size class",
        ..INPUT
    };
    BRACKET_LIMIT: ThermodynamicTemperature = Input {
        id: "motor.bracket_limit",
        symbol: "ϑ_bracket",
        label: "Bracket softening temperature",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::LeftOut,
        low: "30 degC",
        high: "300 degC",
        default_tolerance: DefaultTolerance::Within("5 K"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
        help: "PLA 55, PETG 75, ABS 95 °C; leave empty for metal",
        ..INPUT
    };
    FIGURES_AT: FiguresAt = Input {
        id: "motor.figures_at",
        symbol: "figures_at",
        label: "Figures given at",
        form: Form::Choice(FiguresAt::WORDS),
        preset: Preset::Fixed("output"),
        layer: 1,
        changed_by: ChangedBy::Nothing,
        help: "Listing of a gear motor that names a ratio: output shaft. Data sheet of a bare motor: motor shaft",
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
        default_tolerance: DefaultTolerance::Unstated,
        layer: 1,
        too_little: "no hobby motor is listed so low",
        too_much: "beyond 60 V a shock can hurt, and no hobby motor is listed so",
        changed_by: ChangedBy::Nothing,
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
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 1,
        changed_by: ChangedBy::Purchase,
        help: "Count turns of a marked shaft for 60 s at rated voltage, nothing attached, after one minute of running",
        ..INPUT
    };
    NO_LOAD_CURRENT: ElectricCurrent = Input {
        id: "motor.no_load_current",
        symbol: "I_0",
        label: "No-load current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Computed("60 mA, or this class's usual share of the stall current"),
        low: "0 A",
        high: "100 A",
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 1,
        changed_by: ChangedBy::Purchase,
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
        default_tolerance: DefaultTolerance::Within("20 %"),
        layer: 1,
        too_little: "a motor without torque turns nothing",
        changed_by: ChangedBy::Purchase,
        help: "Listing. It cannot be held: see Hold and heat. Measure only at half voltage, lever and scale, under 2 s, then double",
        ..INPUT
    };
    STALL_CURRENT: ElectricCurrent = Input {
        id: "motor.stall_current",
        symbol: "I_stall",
        label: "Stall current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::Computed("1.1 A, or what the torque, speed and voltage entered take at a usual efficiency"),
        low: ">0 A",
        high: "100 A",
        default_tolerance: DefaultTolerance::Within("15 %"),
        layer: 1,
        changed_by: ChangedBy::Purchase,
        help: "Listing, or rated voltage / winding resistance",
        ..INPUT
    };
    TERMINAL_RESISTANCE: ElectricalResistance = Input {
        id: "motor.terminal_resistance",
        symbol: "R_meas",
        label: "Winding resistance, measured",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::LeftOut,
        low: "0.02 Ohm",
        high: "2000 Ohm",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 2,
        help: "Pass 0.1 to 0.2 A from a limited supply, shaft held, volts / amperes, six shaft positions, middle value. A plain ohmmeter reads the brushes too",
        ..INPUT
    };
    INDUCTANCE: Inductance = Input {
        id: "motor.inductance",
        symbol: "L",
        label: "Winding inductance",
        form: Form::Quantity(Measure::Inductance),
        preset: Preset::Computed("this class's usual L/R times the resistance"),
        low: "1 uH",
        high: "1 H",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
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
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Rarely listed: ½·m·r² with 40 to 50 % of the bare motor's mass; or fit it from a run-up on the bench sheet",
        ..INPUT
    };
    MASS: Mass = Input {
        id: "motor.mass",
        symbol: "m_motor",
        label: "Gear motor mass",
        form: Form::Quantity(Measure::Mass),
        preset: Preset::ByClass(["10 g", "32 g", "95 g", "205 g"]),
        low: ">0 kg",
        high: "20 kg",
        default_tolerance: DefaultTolerance::Within("5 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Kitchen scale, gear motor with leads",
        ..INPUT
    };
    ADDED_MASS: Mass = Input {
        id: "motor.added_mass",
        symbol: "m_added",
        label: "Mass added by the conversion",
        form: Form::Quantity(Measure::Mass),
        preset: Preset::Fixed("8 g"),
        low: "0 kg",
        high: "5 kg",
        default_tolerance: DefaultTolerance::Within("10 %"),
        layer: 2,
        changed_by: ChangedBy::Fitting,
        help: "Kitchen scale: boards, magnet, cover, screws",
        ..INPUT
    };
    REFERENCE_TEMPERATURE: ThermodynamicTemperature = Input {
        id: "motor.reference_temperature",
        symbol: "ϑ_ref",
        label: "Reference temperature of the data",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("25 degC"),
        low: "-20 degC",
        high: "60 degC",
        default_tolerance: DefaultTolerance::Within("3 K"),
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "Listing's footnote; 20 to 25 °C when silent",
        ..INPUT
    };
    MAX_WINDING_TEMPERATURE: ThermodynamicTemperature = Input {
        id: "motor.max_winding_temperature",
        symbol: "ϑ_max",
        label: "Max. winding temperature",
        form: Form::Quantity(Measure::Temperature),
        preset: Preset::Fixed("90 degC"),
        low: "40 degC",
        high: "220 degC",
        default_tolerance: DefaultTolerance::Within("5 K"),
        layer: 2,
        too_little: "enamel and brushes of any motor bear more",
        too_much: "enamel and brushes of any motor end there",
        changed_by: ChangedBy::Nothing,
        help: "Insulation class (A 105, B 130, F 155, H 180 °C); unmarked small motors 85 to 100 °C; brushes may allow less",
        ..INPUT
    };
    FLUX_COEFFICIENT: TemperatureCoefficient = Input {
        id: "motor.flux_coefficient",
        symbol: "α_flux",
        label: "Magnet temperature coefficient",
        form: Form::Quantity(Measure::PerKelvin),
        preset: Preset::Fixed("-0.002 1/K"),
        low: "-0.005 1/K",
        high: "0 1/K",
        default_tolerance: DefaultTolerance::Within("0.0005 1/K"),
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
        default_tolerance: DefaultTolerance::Within("40 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
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
        default_tolerance: DefaultTolerance::Within("40 %"),
        layer: 3,
        changed_by: ChangedBy::Fitting,
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
        default_tolerance: DefaultTolerance::Within("40 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
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
        default_tolerance: DefaultTolerance::Within("40 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Same run: time to 63 % of the can's rise",
        ..INPUT
    };
}

results! {
    motor;

    SHAFT_SPEED: AngularVelocity = ResultDefinition {
        id: "motor.shaft_speed",
        symbol: "ω_0",
        label: "No-load speed of the motor shaft",
        measure: Measure::Speed,
        meaning: "the motor's own shaft, before the gears",
        formula: "motor.no_load_speed",
        source: "the listing; at the output, times the ratio",
        ..RESULT
    };
    RESISTANCE: ElectricalResistance = ResultDefinition {
        id: "motor.resistance",
        symbol: "R",
        label: "Winding resistance",
        measure: Measure::Resistance,
        meaning: "brushes and leads are in it",
        formula: "motor.rated_voltage / motor.stall_current",
        source: "Ohm's law at standstill",
        ..RESULT
    };
    BACK_EMF_CONSTANT: MotorConstant = ResultDefinition {
        id: "motor.back_emf_constant",
        symbol: "K_e",
        label: "Back-EMF constant",
        measure: Measure::VoltagePerSpeed,
        meaning: "volts per radian per second of the motor shaft",
        formula: "(motor.rated_voltage - motor.no_load_current * motor.resistance) / motor.shaft_speed",
        source: "voltage equation of a permanent-magnet motor in steady state",
        ..RESULT
    };
    TORQUE_CONSTANT: MotorConstant = ResultDefinition {
        id: "motor.torque_constant",
        symbol: "K_t",
        label: "Torque constant",
        measure: Measure::MotorConstant,
        meaning: "at the motor shaft, per ampere",
        formula: "motor.back_emf_constant",
        source: "equal to the back-EMF constant in SI, from the power balance",
        ..RESULT
    };
    FRICTION_TORQUE: Torque = ResultDefinition {
        id: "motor.friction_torque",
        symbol: "T_f",
        label: "Friction torque at the motor shaft",
        measure: Measure::Torque,
        meaning: "idling gears included",
        formula: "motor.torque_constant * motor.no_load_current",
        source: "torque balance at no load; friction taken as Coulomb",
        ..RESULT
    };
    MOTOR_CONSTANT: f64 = ResultDefinition {
        id: "motor.motor_constant",
        symbol: "K_m",
        label: "Motor constant",
        measure: Measure::MotorFigure,
        meaning: "torque per square root of the heat in watts",
        formula: "motor.torque_constant / sqrt(motor.resistance)",
        source: "definition in trade use (common practice, no source)",
        ..RESULT
    };
    MECHANICAL_TIME_CONSTANT: Time = ResultDefinition {
        id: "motor.mechanical_time_constant",
        symbol: "τ_m",
        label: "Mechanical time constant",
        measure: Measure::Time,
        meaning: "to 63 % of its speed, nothing attached",
        formula: "motor.resistance * motor.rotor_inertia / (motor.torque_constant * motor.back_emf_constant)",
        source: "first-order run-up of a permanent-magnet motor",
        ..RESULT
    };
    ELECTRICAL_TIME_CONSTANT: Time = ResultDefinition {
        id: "motor.electrical_time_constant",
        symbol: "τ_e",
        label: "Electrical time constant",
        measure: Measure::Time,
        meaning: "to 63 % of the stall current, shaft held",
        formula: "motor.inductance / motor.resistance",
        source: "current rise in R and L",
        ..RESULT
    };
    BEST_EFFICIENCY: Ratio = ResultDefinition {
        id: "motor.best_efficiency",
        symbol: "η_best",
        label: "Peak efficiency of the motor alone",
        measure: Measure::Share,
        meaning: "at a load of a tenth to a fifth of the stall torque",
        formula: "(1 - sqrt(motor.no_load_current / (motor.rated_voltage / motor.resistance))) ^ 2",
        source: "greatest value of mechanical over electrical power on the linear line",
        ..RESULT
    };
    BEST_EFFICIENCY_CURRENT: ElectricCurrent = ResultDefinition {
        id: "motor.best_efficiency_current",
        symbol: "I_best",
        label: "Current at peak efficiency",
        measure: Measure::Current,
        meaning: "where most of each watt becomes work",
        formula: "sqrt(motor.no_load_current * motor.rated_voltage / motor.resistance)",
        source: "same",
        ..RESULT
    };
    TORQUE_PER_MASS: TorquePerMass = ResultDefinition {
        id: "motor.torque_per_mass",
        symbol: "T_mass",
        label: "Stall torque per mass",
        measure: Measure::TorquePerMass,
        meaning: "of the listing; it cannot be held",
        formula: "motor.stall_torque / (motor.mass + motor.added_mass)",
        source: "definition",
        ..RESULT
    };
    STALL_RATIO: Ratio = ResultDefinition {
        id: "motor.stall_ratio",
        symbol: "T_ratio",
        label: "Listed / calculated stall torque",
        measure: Measure::Ratio,
        meaning: "1 where the listing agrees with itself",
        formula: "motor.stall_torque / (motor.torque_constant * (motor.rated_voltage / motor.resistance - motor.no_load_current))",
        source: "torque balance at standstill",
        ..RESULT
    };
}
