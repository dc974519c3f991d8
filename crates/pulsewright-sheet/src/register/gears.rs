//! The gearbox.

use pulsewright_calc::gears as formulas;
use pulsewright_calc::ratio;
use pulsewright_calc::units::{Angle, ElectricCurrent, Force, Ratio, Stiffness, Torque};

use super::motor::{self, FiguresAt};
use super::{
    Form, INPUT, Input, Key, Means, Must, Outcome, Preset, RESULT, Rational, Rule, Shares, Stages,
    Station, Sure, Travel, axis, encoder,
};
use crate::check::{Check, Room};
use crate::eval::{Absent, BEYOND, Code, Eval};
use crate::finding::{Finding, Severity};
use crate::unit::Measure;

/// Continuous and peak torque of small metal gears by class, N·m (common practice, no source).
const GEAR_TORQUES: [(f64, f64); 4] = [(0.12, 0.3), (0.2, 0.4), (0.5, 1.2), (1.5, 4.0)];

fn continuous_torque(c: &Eval<'_>) -> Result<f64, Absent> {
    let usual = GEAR_TORQUES[c.class()?].0;
    if c.given(PEAK_TORQUE) {
        Ok(usual.min(0.4 * c.bare(PEAK_TORQUE)?))
    } else {
        Ok(usual)
    }
}

fn peak_torque(c: &Eval<'_>) -> Result<f64, Absent> {
    let usual = GEAR_TORQUES[c.class()?].1;
    if c.given(CONTINUOUS_TORQUE) {
        Ok(usual.max(2.5 * c.bare(CONTINUOUS_TORQUE)?))
    } else {
        Ok(usual)
    }
}

/// No-load speed of small motors at their own shaft by class, r/min (common practice, no source).
const MOTOR_SPEED: [f64; 4] = [16_000.0, 12_000.0, 8_000.0, 6_000.0];

/// Listings often tell a speed at the output and no ratio: then the one that a usual motor of this size has there.
fn ratio(c: &Eval<'_>) -> Result<f64, Absent> {
    if !c.given(motor::NO_LOAD_SPEED) || c.get(motor::FIGURES_AT)? == FiguresAt::Motor {
        return Ok(100.0);
    }
    let turns = MOTOR_SPEED[c.class()?] / 60.0;
    let output = c.bare(motor::NO_LOAD_SPEED)? / core::f64::consts::TAU;
    Ok(libm::round(turns / output).max(1.0))
}

inputs! {
    after super::motor;

    STAGES: Stages = Input {
        id: "gears.stages",
        symbol: "stages",
        label: "Teeth of each stage, driven : driver",
        form: Form::Stages,
        preset: Preset::LeftOut,
        layer: 2,
        means: Means::Bought,
        help: "Open the gearbox of a spare and count, motor side first; a planetary stage is (ring + sun):sun",
        ..INPUT
    };
    RATIO: Rational = Input {
        id: "gears.ratio",
        symbol: "i_given",
        label: "Ratio, motor turns per output turn",
        form: Form::Exact,
        preset: Preset::From(ratio, "100, or what brings a usual motor of this size to the speed given"),
        low: "0.01",
        high: "1000000",
        layer: 1,
        because: "0 would never turn the output, and no small gearbox goes beyond a million",
        means: Means::Bought,
        help: "Listing: how many turns of the rear shaft make one turn of the output",
        ..INPUT
    };
    NOMINAL_RATIO: Rational = Input {
        id: "gears.nominal_ratio",
        symbol: "i_label",
        label: "Ratio on the label",
        form: Form::Exact,
        preset: Preset::LeftOut,
        low: "0.01",
        high: "1000000",
        layer: 2,
        means: Means::Nothing,
        help: "The round number on the label, when teeth or counting say another",
        ..INPUT
    };
    STAGE_COUNT: u32 = Input {
        id: "gears.stage_count",
        symbol: "n_given",
        label: "Number of stages",
        form: Form::Whole,
        preset: Preset::LeftOut,
        low: "1",
        high: "8",
        layer: 3,
        means: Means::Nothing,
        help: "Count the gear pairs; a worm alone: 1",
        ..INPUT
    };
    EFFICIENCY: Ratio = Input {
        id: "gears.efficiency",
        symbol: "η_given",
        label: "Efficiency of the whole train",
        form: Form::Quantity(Measure::Share),
        preset: Preset::LeftOut,
        low: "0.02",
        high: "1",
        sure: Sure::Within("15 %"),
        layer: 3,
        because: "nothing gives out more than goes in",
        means: Means::Bought,
        help: "Lever and scale at two known currents below stall; else leave it out",
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
        because: "nothing gives out more than goes in",
        help: "One figure a stage, motor side first, from a maker's sheet: 0.9; 0.9; 0.4",
        ..INPUT
    };
    EFFICIENCY_PER_STAGE: Ratio = Input {
        id: "gears.efficiency_per_stage",
        symbol: "η_stage",
        label: "Usual efficiency of a stage",
        form: Form::Quantity(Measure::Share),
        preset: Preset::Fixed("0.90"),
        low: "0.5",
        high: "1",
        sure: Sure::Within("0.04"),
        layer: 3,
        help: "Small metal spur stage 0.90 to 0.95, planetary stage about 0.9, single-start worm 0.3 to 0.5",
        ..INPUT
    };
    BACKLASH: Angle = Input {
        id: "gears.backlash",
        symbol: "b",
        label: "Free play at the output",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::ByClass(["3 deg", "2.5 deg", "2.5 deg", "2.5 deg"]),
        low: "0 deg",
        high: "45 deg",
        sure: Sure::Within("1 deg"),
        layer: 2,
        means: Means::Bought,
        help: "Rear shaft held, 100 mm pointer on the output, swing it lightly both ways (a few per cent of rated torque): swing / 100 mm",
        ..INPUT
    };
    STIFFNESS: Stiffness = Input {
        id: "gears.stiffness",
        symbol: "k_given",
        label: "Torsional stiffness at the output",
        form: Form::Quantity(Measure::Stiffness),
        preset: Preset::LeftOut,
        low: "0.01 N.m/rad",
        high: "100000 N.m/rad",
        sure: Sure::Within("50 %"),
        layer: 3,
        means: Means::Bought,
        help: "Rear shaft held, hang a known weight on a lever past the free play: torque / extra angle",
        ..INPUT
    };
    CONTINUOUS_TORQUE: Torque = Input {
        id: "gears.continuous_torque",
        symbol: "T_gear",
        label: "Torque the gears take for ever",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::From(continuous_torque, "this class's usual figure, or 0.4 of a smaller given peak"),
        low: ">0 N.m",
        high: "500 N.m",
        sure: Sure::Within("25 %"),
        layer: 2,
        means: Means::Bought,
        help: "Maker's sheet; unlisted small metal gears: 10–12 mm 0.1 to 0.25, 20–25 mm 0.3 to 0.8, 37 mm 0.8 to 1.5 N·m",
        ..INPUT
    };
    PEAK_TORQUE: Torque = Input {
        id: "gears.peak_torque",
        symbol: "T_teeth",
        label: "Torque the teeth take at most",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::From(peak_torque, "this class's usual figure, or 2.5 times a larger given continuous torque"),
        low: ">0 N.m",
        high: "1000 N.m",
        sure: Sure::Within("25 %"),
        layer: 2,
        rules: &[Rule { must: Must::AtLeast, than: |c| c.bare(CONTINUOUS_TORQUE), name: "the continuous torque", because: "what teeth take for ever they also take once" }],
        means: Means::Bought,
        help: "Maker's sheet; unlisted: 1.5 to 3 × continuous",
        ..INPUT
    };
    RADIAL_LIMIT: Force = Input {
        id: "gears.radial_limit",
        symbol: "F_radial",
        label: "Radial force the output shaft takes",
        form: Form::Quantity(Measure::Force),
        preset: Preset::ByClass(["15 N", "30 N", "40 N", "60 N"]),
        low: "1 N",
        high: "50000 N",
        sure: Sure::Within("30 %"),
        layer: 3,
        means: Means::Bought,
        help: "Maker's sheet, at the middle of the output shaft; unlisted 12–25 mm gears 10 to 50 N",
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
        sure: Sure::Within("50 %"),
        layer: 3,
        means: Means::Bought,
        help: "Counts commanded against a dial or protractor over one output turn, one direction: half the swing of the difference",
        ..INPUT
    };
}

results! {
    after super::motor;

    EXACT_RATIO: Rational = Outcome {
        id: "gears.exact_ratio",
        symbol: "N",
        label: "Exact ratio",
        measure: Measure::Ratio,
        meaning: "motor turns for one turn of the output",
        formula: "'the product of driven over driver of every stage'",
        source: "kinematics of a gear train",
        ..RESULT
    }, exact_ratio;
    NOMINAL_ERROR: Angle = Outcome {
        id: "gears.nominal_error_per_turn",
        symbol: "Δφ_label",
        label: "Drift each turn when counting by the label",
        measure: Measure::Angle,
        meaning: "gained for every commanded turn",
        formula: "2 * pi * (gears.nominal_ratio / gears.exact_ratio - 1)",
        source: "definition",
        ..RESULT
    }, nominal_error;
    STAGE_COUNT_NOW: u32 = Outcome {
        id: "gears.stage_count",
        symbol: "n",
        label: "Stages",
        measure: Measure::Count,
        meaning: "given, counted or guessed",
        formula: "ceil(ln(gears.exact_ratio) / ln(4) - 1e-12)",
        source: "stages of about 4:1 (common practice, no source)",
        shown: false,
        ..RESULT
    }, stages_now;
    IMPLIED_EFFICIENCY: Ratio = Outcome {
        id: "gears.implied_efficiency",
        symbol: "η_implied",
        label: "Efficiency that the listing implies",
        measure: Measure::Share,
        meaning: "its stall torque over what motor and ratio would give",
        formula: "motor.stall_torque / (gears.exact_ratio * motor.torque_constant * (motor.rated_voltage / motor.resistance - motor.no_load_current))",
        source: "torque balance; the ratio cancels",
        ..RESULT
    }, implied_efficiency;
    EFFICIENCY_NOW: Ratio = Outcome {
        id: "gears.efficiency",
        symbol: "η",
        label: "Efficiency of the train",
        measure: Measure::Share,
        meaning: "from motor to output",
        formula: "gears.implied_efficiency",
        source: "given, else implied by the listing, else a usual figure for each stage",
        ..RESULT
    }, efficiency_now;
    BACK_EFFICIENCY: Ratio = Outcome {
        id: "gears.back_driving_efficiency",
        symbol: "η_back",
        label: "Efficiency from output to motor",
        measure: Measure::Share,
        meaning: "0 or below: the gears lock",
        formula: "(2 - 1 / gears.efficiency ^ (1 / gears.stage_count)) ^ gears.stage_count",
        source: "equal losses both ways in each stage [derived; one stage is the textbook 2 − 1/η]",
        ..RESULT
    }, back_efficiency;
    BACK_DRIVE_TORQUE: Torque = Outcome {
        id: "gears.back_drive_torque",
        symbol: "T_back",
        label: "Torque that turns the unpowered motor",
        measure: Measure::Torque,
        meaning: "at the output; more than this and it moves",
        formula: "gears.exact_ratio * motor.torque_constant * motor.no_load_current / gears.back_driving_efficiency",
        source: "torque balance with the motor unpowered",
        ..RESULT
    }, back_drive_torque;
    SAFE_CURRENT: ElectricCurrent = Outcome {
        id: "gears.safe_current",
        symbol: "I_teeth",
        label: "Current limit that protects the teeth",
        measure: Measure::Current,
        meaning: "set the driver no higher",
        formula: "gears.peak_torque / (gears.exact_ratio * gears.efficiency * motor.torque_constant) + motor.no_load_current",
        source: "torque balance",
        ..RESULT
    }, safe_current;
    FREE_PLAY: Travel = Outcome {
        id: "gears.free_play_at_load",
        symbol: "b_load",
        label: "Free play at the load",
        measure: Measure::Angle,
        meaning: "the axis lands no better than this from both sides",
        formula: "(gears.backlash / axis.last_stage + axis.reduction_backlash) * axis.travel_per_turn / (2 * pi)",
        source: "geometry",
        ..RESULT
    }, free_play;
    FREE_PLAY_COUNTS: Ratio = Outcome {
        id: "gears.free_play_counts",
        symbol: "b_counts",
        label: "Free play in counts",
        measure: Measure::Count,
        meaning: "counts that the load does not feel",
        formula: "(gears.backlash + axis.reduction_backlash * axis.last_stage) / encoder.angle_per_count",
        source: "definition",
        ..RESULT
    }, free_play_counts;
    RADIAL_LOAD: Force = Outcome {
        id: "gears.radial_load",
        symbol: "F_r",
        label: "Side load on the output shaft",
        measure: Measure::Force,
        meaning: "without the tension of a belt",
        formula: "abs(axis.load_torque) / axis.radius",
        source: "statics",
        ..RESULT
    }, radial_load;
}

/// The exact ratio as a factor.
pub const RATIO_NOW: Key<Ratio> = EXACT_RATIO.as_ratio();

fn exact_ratio(c: &Eval<'_>) -> Result<Rational, Absent> {
    if let Some(stages) = c.stages(STAGES)? {
        return ratio::product(stages.iter().copied())
            .map(Rational)
            .ok_or(Absent::impossible(
                "the product of these stages is beyond any gearbox",
            ));
    }
    c.working("'the ratio as given'");
    c.exact(RATIO).map(Rational)
}

fn nominal_error(c: &Eval<'_>) -> Result<Angle, Absent> {
    formulas::nominal_error_per_turn(c.exact(NOMINAL_RATIO)?, c.exact(EXACT_RATIO)?).ok_or(BEYOND)
}

fn stages_now(c: &Eval<'_>) -> Result<u32, Absent> {
    if let Some(count) = c.option(STAGE_COUNT)? {
        c.working("'as given'");
        return Ok(count);
    }
    let counted = match c.shares(STAGE_EFFICIENCIES)? {
        Some(list) => Some(list.len()),
        None => c.stages(STAGES)?.map(<[_]>::len),
    };
    if let Some(count) = counted {
        c.working("'counted'");
        return u32::try_from(count).map_err(|_| BEYOND);
    }
    let ratio = c.get(RATIO_NOW)?;
    if ratio.value <= 4.0 {
        c.working("1");
    }
    formulas::stage_count(ratio).ok_or(BEYOND)
}

fn implied_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.get(motor::FIGURES_AT)? == FiguresAt::Motor {
        return Err(Absent::not_asked(
            "the figures are those of the motor alone and say nothing of the gears",
        ));
    }
    let at_motor = pulsewright_calc::motor::stall_torque(
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(motor::RATED_VOLTAGE)? / c.get(motor::RESISTANCE)?,
        c.get(motor::NO_LOAD_CURRENT)?,
    );
    formulas::implied_efficiency(c.get(motor::STALL_TORQUE)?, c.get(RATIO_NOW)?, at_motor).ok_or(
        Absent::impossible("the motor would give no torque at all at its rated voltage"),
    )
}

fn efficiency_now(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if let Some(given) = c.option(EFFICIENCY)? {
        c.working("'as given'");
        return Ok(given);
    }
    if let Some(list) = c.shares(STAGE_EFFICIENCIES)? {
        c.working("'the product of the stages' efficiencies'");
        return Ok(formulas::product_efficiency(
            list.iter().map(|&s| Ratio::from(s)),
        ));
    }
    match c.get(IMPLIED_EFFICIENCY) {
        Ok(implied) if implied.value > 0.0 && implied.value <= 1.0 => Ok(implied),
        // A refused figure of the listing is mended, not passed over.
        Err(absent) if absent.code == Code::Missing && absent.why.is_empty() => Err(absent),
        _ => {
            c.working("gears.efficiency_per_stage ^ gears.stage_count");
            Ok(formulas::estimated_efficiency(
                c.get(EFFICIENCY_PER_STAGE)?,
                c.get(STAGE_COUNT_NOW)?,
            ))
        }
    }
}

fn back_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.option(EFFICIENCY)?.is_none()
        && let Some(list) = c.shares(STAGE_EFFICIENCIES)?
    {
        c.working("'the product of 2 − 1/η of the stages; below 0 where one of them locks'");
        return formulas::back_driving_efficiency_of(list.iter().map(|&s| Ratio::from(s)))
            .ok_or(BEYOND);
    }
    let (efficiency, count) = (c.get(EFFICIENCY_NOW)?, c.get(STAGE_COUNT_NOW)?);
    if libm::pow(efficiency.value, 1.0 / f64::from(count)) <= 0.5 {
        c.working("(2 - 1 / gears.efficiency ^ (1 / gears.stage_count)) / (gears.efficiency ^ (1 / gears.stage_count)) ^ (gears.stage_count - 1)");
    }
    formulas::back_driving_efficiency(efficiency, count).ok_or(BEYOND)
}

fn back_drive_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    formulas::back_drive_torque(
        c.get(RATIO_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(motor::NO_LOAD_CURRENT)?,
        c.get(BACK_EFFICIENCY)?,
    )
    .ok_or(Absent::unlimited(
        "the gears lock: no load turns them backwards, as long as they stay dry and new",
    ))
}

fn safe_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    formulas::safe_current(
        c.get(PEAK_TORQUE)?,
        c.get(RATIO_NOW)?,
        c.get(EFFICIENCY_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(motor::NO_LOAD_CURRENT)?,
    )
    .ok_or(BEYOND)
}

fn free_play(c: &Eval<'_>) -> Result<Travel, Absent> {
    let at_axis = formulas::free_play(
        c.get(BACKLASH)?,
        c.get(axis::LAST_STAGE_NOW)?,
        c.get(axis::REDUCTION_BACKLASH)?,
    );
    if c.get(axis::KIND)? == axis::Kind::Torque {
        c.working("gears.backlash / axis.last_stage + axis.reduction_backlash");
    }
    axis::shown_angle(c, at_axis.ok_or(BEYOND)?)
}

fn free_play_counts(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let stage = c.get(axis::LAST_STAGE_NOW)?.value;
    let at_output = c.get(BACKLASH)? + c.get(axis::REDUCTION_BACKLASH)? * stage;
    Ok(at_output / c.get(encoder::ANGLE_PER_COUNT)?)
}

fn radial_load(c: &Eval<'_>) -> Result<Force, Absent> {
    if !c.left_out_now(axis::REDUCTION) {
        return Err(Absent::not_asked(
            "the last stage, not the load, sits on the output shaft",
        ));
    }
    let radius = match c.get(axis::KIND)? {
        axis::Kind::Screw | axis::Kind::Torque => {
            return Err(Absent::not_asked("a coupled shaft carries no side load"));
        }
        axis::Kind::Belt | axis::Kind::Rack => {
            c.working("abs(axis.load_torque) * 2 * pi / axis.travel_per_turn");
            pulsewright_calc::axis::effective_radius(c.get(axis::TURN_TRAVEL)?)
        }
        _ => c.get(axis::RADIUS)?,
    };
    formulas::radial_load(c.get(axis::LOAD_TORQUE)?, radius, Force::default()).ok_or(BEYOND)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.backlash",
        label: "Free play against the error allowed",
        under: "it comes back up to {gears.free_play_at_load} off, you ask {axis.tolerance_at_load}: free play of the gears",
        station: Station::Gears,
        measure: Measure::Angle,
        room: backlash_room,
    },
    Check {
        id: "check.radial",
        label: "Side load on the output shaft",
        under: "the output shaft carries {gears.radial_load} from the side, it takes {gears.radial_limit}",
        station: Station::Gears,
        measure: Measure::Force,
        room: radial_room,
    },
];

fn backlash_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    let share = super::verdict::backlash_share(c)?;
    Ok(Some(Room::of_travel(
        c.travel(axis::TOLERANCE_AT_LOAD)?,
        share,
    )))
}

fn radial_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    match c.get(RADIAL_LOAD) {
        Ok(load) => Ok(Some(Room::of(c.get(RADIAL_LIMIT)?, load))),
        Err(absent) if absent.code == Code::Missing && !absent.why.is_empty() => Ok(None),
        Err(absent) => Err(absent),
    }
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "figures_contradict",
        station: Station::Gears,
        message: "The listing contradicts itself: its stall torque would need gears that pass {gears.implied_efficiency} of what the motor gives. One figure is wrong; a usual efficiency stands in.",
        numbers: &["gears.implied_efficiency"],
        when: implied_contradicts,
    },
    Finding {
        id: "label_ratio_drift",
        station: Station::Gears,
        message: "The label says {gears.nominal_ratio}, the teeth say {gears.exact_ratio}: counting by the label drifts {gears.nominal_error_per_turn} every turn. Count by the teeth.",
        numbers: &[
            "gears.nominal_ratio",
            "gears.exact_ratio",
            "gears.nominal_error_per_turn",
        ],
        when: label_drifts,
    },
    Finding {
        id: "backlash_hides_resolution",
        station: Station::Gears,
        message: "Counts are finer than the play: one count is {encoder.arc_per_count}, the play is {gears.free_play_counts} of them. More counts cure nothing; coming from one side does.",
        numbers: &[
            "gears.free_play_counts",
            "gears.free_play_at_load",
            "encoder.arc_per_count",
        ],
        when: play_hides_counts,
    },
    Finding {
        id: "inputs_disagree",
        station: Station::Gears,
        message: "The stages say {gears.exact_ratio}, the ratio entered says {gears.ratio}; the stages are used.",
        numbers: &["gears.exact_ratio", "gears.ratio"],
        when: ratio_disagrees,
    },
];

fn implied_contradicts(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let implied = c.get(IMPLIED_EFFICIENCY)?.value;
    let impossible = !(implied > 0.0 && implied <= 1.0);
    let differs = c
        .option(EFFICIENCY)?
        .is_some_and(|given| (given.value / implied - 1.0).abs() > 0.2);
    Ok((impossible || differs).then_some(Severity::Fault))
}

fn label_drifts(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let drift = c.get(NOMINAL_ERROR)?;
    if drift.value == 0.0 {
        return Ok(None);
    }
    let share = (drift.value / core::f64::consts::TAU).abs();
    let distance = c.travel(axis::DISTANCE_AT_LOAD)?.raw();
    let allowed = c.travel(axis::TOLERANCE_AT_LOAD)?.raw();
    Ok(Some(if share * distance > allowed {
        Severity::Fault
    } else {
        Severity::Note
    }))
}

fn play_hides_counts(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((c.get(FREE_PLAY_COUNTS)?.value > 5.0).then_some(Severity::Note))
}

fn ratio_disagrees(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    if !(c.stages(STAGES)?.is_some() && c.given(RATIO)) {
        return Ok(None);
    }
    let given: Ratio = c.get(RATIO.as_ratio())?;
    let off = (given.value / c.get(RATIO_NOW)?.value - 1.0).abs();
    Ok((off > 1e-3).then_some(Severity::Note))
}
