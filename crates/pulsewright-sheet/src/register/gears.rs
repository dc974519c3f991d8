//! The gearbox.

use super::key::{Key, Rational, Shares, Stages, Travel};
use super::schema::{
    ChangedBy, DefaultTolerance, Form, Heading, INPUT, Input, Preset, RESULT, ResultDefinition,
    Station,
};
use crate::text::measure::Measure;
use pulsewright_calc::units::{Angle, ElectricCurrent, Force, Ratio, Stiffness, Torque};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Gears,
    prefixes: &["gears"],
    name: "Gears",
    question: "What is the exact gear ratio, and how much torque does it transmit?",
    about: "The ratio on a label is rounded; tooth counts give the exact one. Backlash limits the position accuracy. Gear teeth can break at a torque below the stall torque.",
};

inputs! {
    gears;

    STAGES: Stages = Input {
        id: "gears.stages",
        symbol: "stages",
        label: "Tooth counts, driven:driver, motor side first",
        form: Form::Stages,
        preset: Preset::LeftOut,
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Open the gearbox of a spare and count; a planetary stage is (ring + sun):sun",
        ..INPUT
    };
    RATIO: Rational = Input {
        id: "gears.ratio",
        symbol: "i",
        label: "Gear ratio",
        form: Form::Exact,
        preset: Preset::Computed("the nominal ratio where that is entered; else what brings a usual motor of this size to the speed entered; else 100"),
        low: "0.01",
        high: "1000000",
        layer: 1,
        too_little: "so small a ratio would never turn the output",
        too_much: "no small gearbox goes beyond a million",
        changed_by: ChangedBy::Purchase,
        help: "Listing: motor turns per output turn",
        ..INPUT
    };
    NOMINAL_RATIO: Rational = Input {
        id: "gears.nominal_ratio",
        symbol: "i_label",
        label: "Nominal ratio on the label",
        form: Form::Exact,
        preset: Preset::LeftOut,
        low: "0.01",
        high: "1000000",
        layer: 2,
        changed_by: ChangedBy::Nothing,
        help: "The round number on the label, where tooth counts or measured counts differ",
        ..INPUT
    };
    STAGE_COUNT: u32 = Input {
        id: "gears.stage_count",
        symbol: "n_s",
        label: "Number of stages",
        form: Form::Whole,
        preset: Preset::LeftOut,
        low: "1",
        high: "8",
        layer: 3,
        changed_by: ChangedBy::Nothing,
        help: "Count the gear pairs; a worm alone: 1",
        ..INPUT
    };
    EFFICIENCY: Ratio = Input {
        id: "gears.efficiency",
        symbol: "η_g",
        label: "Gearbox efficiency",
        form: Form::Quantity(Measure::Share),
        preset: Preset::LeftOut,
        low: "0.02",
        high: "1",
        default_tolerance: DefaultTolerance::Within("15 %"),
        layer: 3,
        too_much: "nothing gives out more than goes in",
        changed_by: ChangedBy::Purchase,
        help: "Lever and scale at two known currents below stall; otherwise leave it empty",
        ..INPUT
    };
    STAGE_EFFICIENCIES: Shares = Input {
        id: "gears.stage_efficiencies",
        symbol: "η_stages",
        label: "Efficiency of each stage",
        form: Form::Shares,
        preset: Preset::LeftOut,
        low: "0.02",
        high: "1",
        layer: 3,
        too_much: "nothing gives out more than goes in",
        help: "One figure a stage, motor side first, from the data sheet: 0.9; 0.9; 0.4",
        ..INPUT
    };
    EFFICIENCY_PER_STAGE: Ratio = Input {
        id: "gears.efficiency_per_stage",
        symbol: "η_stage",
        label: "Typical efficiency per stage",
        form: Form::Quantity(Measure::Share),
        preset: Preset::Fixed("0.90"),
        low: "0.5",
        high: "1",
        too_much: "nothing gives out more than goes in",
        default_tolerance: DefaultTolerance::Within("0.04"),
        layer: 3,
        help: "Small metal spur stage 0.90 to 0.95, planetary stage about 0.9, single-start worm 0.3 to 0.5",
        ..INPUT
    };
    BACKLASH: Angle = Input {
        id: "gears.backlash",
        symbol: "b",
        label: "Backlash at the output",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::ByClass(["3 deg", "2.5 deg", "2.5 deg", "2.5 deg"]),
        low: "0 deg",
        high: "45 deg",
        default_tolerance: DefaultTolerance::Within("1 deg"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Rear shaft held, 100 mm pointer on the output, swing it lightly both ways (a few per cent of rated torque): swing / 100 mm",
        ..INPUT
    };
    STIFFNESS: Stiffness = Input {
        id: "gears.stiffness",
        symbol: "k_g",
        label: "Torsional stiffness at the output",
        form: Form::Quantity(Measure::Stiffness),
        preset: Preset::LeftOut,
        low: "0.01 N.m/rad",
        high: "100000 N.m/rad",
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Rear shaft held, hang a known weight on a lever until the backlash is taken up: torque / extra angle",
        ..INPUT
    };
    CONTINUOUS_TORQUE: Torque = Input {
        id: "gears.continuous_torque",
        symbol: "T_gear",
        label: "Gearbox continuous torque",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::Computed("this class's usual figure, or 0.4 of a smaller peak that is entered"),
        low: ">0 N.m",
        high: "500 N.m",
        default_tolerance: DefaultTolerance::Within("25 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Data sheet; unlisted small metal gears: 10–12 mm 0.1 to 0.25, 20–25 mm 0.3 to 0.8, 37 mm 0.8 to 1.5 N·m",
        ..INPUT
    };
    PEAK_TORQUE: Torque = Input {
        id: "gears.peak_torque",
        symbol: "T_teeth",
        label: "Gearbox peak torque",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::Computed("this class's usual figure, or 2.5 times a larger continuous torque that is entered"),
        low: ">0 N.m",
        high: "1000 N.m",
        default_tolerance: DefaultTolerance::Within("25 %"),
        layer: 2,
        changed_by: ChangedBy::Purchase,
        help: "Data sheet; unlisted: 1.5 to 3 × continuous",
        ..INPUT
    };
    RADIAL_LIMIT: Force = Input {
        id: "gears.radial_limit",
        symbol: "F_radial",
        label: "Max. radial load",
        form: Form::Quantity(Measure::Force),
        preset: Preset::ByClass(["15 N", "30 N", "40 N", "60 N"]),
        low: "1 N",
        high: "50000 N",
        default_tolerance: DefaultTolerance::Within("30 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Data sheet, at the middle of the output shaft; unlisted 12–25 mm gears 10 to 50 N",
        ..INPUT
    };
    TRANSMISSION_ERROR: Angle = Input {
        id: "gears.transmission_error",
        symbol: "e_gear",
        label: "Transmission error",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::Fixed("0.3 deg"),
        low: "0 deg",
        high: "10 deg",
        default_tolerance: DefaultTolerance::Within("50 %"),
        layer: 3,
        changed_by: ChangedBy::Purchase,
        help: "Counts commanded against a dial or protractor over one output turn, one direction: half the swing of the difference",
        ..INPUT
    };
}

results! {
    gears;

    EXACT_RATIO: Rational = ResultDefinition {
        id: "gears.exact_ratio",
        symbol: "N",
        label: "Exact gear ratio",
        measure: Measure::Ratio,
        meaning: "motor turns per output turn",
        formula: "'the product of driven over driver of every stage'",
        source: "kinematics of a gear train",
        ..RESULT
    };
    NOMINAL_ERROR: Angle = ResultDefinition {
        id: "gears.nominal_error_per_turn",
        symbol: "Δφ_label",
        label: "Drift per turn with the label's ratio",
        measure: Measure::Angle,
        meaning: "accumulates with every commanded turn",
        formula: "2 * pi * (gears.nominal_ratio / gears.exact_ratio - 1)",
        source: "definition",
        ..RESULT
    };
    STAGE_COUNT_NOW: u32 = ResultDefinition {
        id: "gears.stage_count",
        symbol: "n",
        label: "Number of stages",
        measure: Measure::Count,
        meaning: "entered, counted or estimated",
        formula: "ceil(ln(gears.exact_ratio) / ln(4) - 1e-12)",
        source: "stages of about 4:1 (common practice, no source)",
        shown: false,
        ..RESULT
    };
    IMPLIED_EFFICIENCY: Ratio = ResultDefinition {
        id: "gears.implied_efficiency",
        symbol: "η_implied",
        label: "Gearbox efficiency implied by the listing",
        measure: Measure::Share,
        meaning: "listed stall torque / motor torque × ratio",
        formula: "motor.stall_torque / (gears.exact_ratio * motor.torque_constant * (motor.rated_voltage / motor.resistance - motor.no_load_current))",
        source: "torque balance; the ratio cancels",
        ..RESULT
    };
    EFFICIENCY_NOW: Ratio = ResultDefinition {
        id: "gears.efficiency",
        symbol: "η",
        label: "Gearbox efficiency",
        measure: Measure::Share,
        meaning: "from motor to output",
        formula: "gears.implied_efficiency",
        source: "as entered, else implied by the listing, else a usual figure for each stage",
        ..RESULT
    };
    BACK_EFFICIENCY: Ratio = ResultDefinition {
        id: "gears.back_driving_efficiency",
        symbol: "η_back",
        label: "Back-driving efficiency",
        measure: Measure::Share,
        meaning: "from output to motor; 0 or below: self-locking",
        formula: "(2 - 1 / gears.efficiency ^ (1 / gears.stage_count)) ^ gears.stage_count",
        source: "equal losses both ways in each stage [derived; one stage is the textbook 2 − 1/η]",
        ..RESULT
    };
    BACK_DRIVE_TORQUE: Torque = ResultDefinition {
        id: "gears.back_drive_torque",
        symbol: "T_back",
        label: "Back-driving torque of the gear motor",
        measure: Measure::Torque,
        meaning: "at the output, motor unpowered; more than this turns it",
        formula: "gears.exact_ratio * motor.torque_constant * motor.no_load_current / gears.back_driving_efficiency",
        source: "torque balance with the motor unpowered",
        ..RESULT
    };
    SAFE_CURRENT: ElectricCurrent = ResultDefinition {
        id: "gears.safe_current",
        symbol: "I_teeth",
        label: "Current limit that protects the gears",
        measure: Measure::Current,
        meaning: "set the driver no higher",
        formula: "gears.peak_torque / (gears.exact_ratio * gears.efficiency * motor.torque_constant) + motor.no_load_current",
        source: "torque balance",
        ..RESULT
    };
    BACKLASH_AT_LOAD: Travel = ResultDefinition {
        id: "gears.backlash_at_load",
        symbol: "b_load",
        label: "Backlash at the load",
        measure: Measure::Angle,
        meaning: "how far the load can move in the backlash where nothing keeps the teeth on one side",
        formula: "(gears.backlash / axis.last_stage + axis.reduction_backlash) * axis.travel_per_turn / (2 * pi)",
        source: "geometry",
        ..RESULT
    };
    BACKLASH_COUNTS: Ratio = ResultDefinition {
        id: "gears.backlash_counts",
        symbol: "b_counts",
        label: "Backlash in counts",
        measure: Measure::Count,
        meaning: "counts within which the load does not move",
        formula: "(gears.backlash + axis.reduction_backlash * axis.last_stage) / encoder.angle_per_count",
        source: "definition",
        ..RESULT
    };
    RADIAL_LOAD: Force = ResultDefinition {
        id: "gears.radial_load",
        symbol: "F_r",
        label: "Radial load",
        measure: Measure::Force,
        meaning: "on the output shaft, without belt tension",
        formula: "abs(axis.load_torque) / axis.radius",
        source: "statics",
        ..RESULT
    };
}

/// The exact ratio as a factor.
pub const RATIO_NOW: Key<Ratio> = EXACT_RATIO.as_ratio();
