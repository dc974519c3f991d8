//! The gearbox.

use super::shared::shown_angle;
use crate::evaluation::Tier;
use crate::evaluation::{Absent, Code, Eval, NOT_FINITE};
use crate::evaluation::{Check, Margin};
use crate::evaluation::{Finding, Severity};
use crate::register::Kind;
use crate::register::gears::*;
use crate::register::motor::{self, FiguresAt};
use crate::register::{Rational, Station, Travel, axis, encoder, verdict};
use crate::text::measure::Measure;
use pulsewright_calc::gears as formulas;
use pulsewright_calc::ratio;
use pulsewright_calc::units::{Angle, ElectricCurrent, Force, Ratio, Torque};

station! { gears;
    results {
        EXACT_RATIO = exact_ratio;
        NOMINAL_ERROR = nominal_error;
        STAGE_COUNT_NOW = stages_now;
        IMPLIED_EFFICIENCY = implied_efficiency;
        EFFICIENCY_NOW = efficiency_now;
        BACK_EFFICIENCY = back_efficiency;
        BACK_DRIVE_TORQUE = back_drive_torque;
        SAFE_CURRENT = safe_current;
        BACKLASH_AT_LOAD = free_play;
        BACKLASH_COUNTS = backlash_counts;
        RADIAL_LOAD = radial_load;
    }
    presets {
        RATIO = ratio;
        CONTINUOUS_TORQUE = continuous_torque;
        PEAK_TORQUE = peak_torque;
    }
    limits {
        PEAK_TORQUE: AtLeast |c| c.before_limits(CONTINUOUS_TORQUE), "the continuous torque", "the peak torque is at least the continuous torque";
    }
}

/// Continuous and peak torque of small metal gears by class, N·m (common practice, no source).
const GEAR_TORQUES: [(f64, f64); 4] = [(0.12, 0.3), (0.2, 0.4), (0.5, 1.2), (1.5, 4.0)];

fn continuous_torque(c: &Eval<'_>) -> Result<f64, Absent> {
    let usual = GEAR_TORQUES[c.class()?].0;
    if c.given(PEAK_TORQUE) {
        Ok(usual.min(0.4 * c.before_limits(PEAK_TORQUE)?))
    } else {
        Ok(usual)
    }
}

fn peak_torque(c: &Eval<'_>) -> Result<f64, Absent> {
    let usual = GEAR_TORQUES[c.class()?].1;
    if c.given(CONTINUOUS_TORQUE) {
        Ok(usual.max(2.5 * c.before_limits(CONTINUOUS_TORQUE)?))
    } else {
        Ok(usual)
    }
}

/// No-load speed of small motors at their own shaft by class, r/min (common practice, no source).
const MOTOR_SPEED: [f64; 4] = [16_000.0, 12_000.0, 8_000.0, 6_000.0];

/// The number on the label where that is entered. Listings often tell a speed at the output and no ratio: then the one
/// that a usual motor of this size has there.
fn ratio(c: &Eval<'_>) -> Result<f64, Absent> {
    if c.given(NOMINAL_RATIO) {
        return Ok(c.get(NOMINAL_RATIO.as_ratio())?.value);
    }
    if !c.given(motor::NO_LOAD_SPEED) || c.get(motor::FIGURES_AT)? == FiguresAt::Motor {
        return Ok(100.0);
    }
    let turns = MOTOR_SPEED[c.class()?] / 60.0;
    let output = c.before_limits(motor::NO_LOAD_SPEED)? / core::f64::consts::TAU;
    Ok(libm::round(turns / output).max(1.0))
}

fn exact_ratio(c: &Eval<'_>) -> Result<Rational, Absent> {
    if let Some(stages) = c.stages(STAGES)? {
        return ratio::product(stages.iter().copied())
            .map(Rational)
            .ok_or(Absent::impossible(
                "the product of these stages is beyond any gearbox",
            ));
    }
    if c.given(NOMINAL_RATIO) && !c.given(RATIO) {
        c.working("gears.nominal_ratio");
        return c.exact(NOMINAL_RATIO).map(Rational);
    }
    c.working("'the ratio as entered'");
    c.exact(RATIO).map(Rational)
}

fn nominal_error(c: &Eval<'_>) -> Result<Angle, Absent> {
    formulas::nominal_error_per_turn(c.exact(NOMINAL_RATIO)?, c.exact(EXACT_RATIO)?)
        .ok_or(NOT_FINITE)
}

fn stages_now(c: &Eval<'_>) -> Result<u32, Absent> {
    if let Some(count) = c.option(STAGE_COUNT)? {
        c.working("'as entered'");
        return Ok(count);
    }
    let counted = match c.shares(STAGE_EFFICIENCIES)? {
        Some(list) => Some(list.len()),
        None => c.stages(STAGES)?.map(<[_]>::len),
    };
    if let Some(count) = counted {
        c.working("'counted'");
        return u32::try_from(count).map_err(|_| NOT_FINITE);
    }
    let ratio = c.get(RATIO_NOW)?;
    if ratio.value <= 4.0 {
        c.working("1");
    }
    formulas::stage_count(ratio).ok_or(NOT_FINITE)
}

fn implied_efficiency(c: &Eval<'_>) -> Result<Ratio, Absent> {
    if c.get(motor::FIGURES_AT)? == FiguresAt::Motor {
        return Err(Absent::not_asked(
            "the figures are those of the motor alone, without the gears",
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
        c.working("'as entered'");
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
        Err(absent) if absent.code == Code::Refused => Err(absent),
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
        c.working("'from the output on, × (2 − 1/η) of each stage; once one of them locks, ÷ η of those before it'");
        return formulas::back_driving_efficiency_through(list.iter().map(|&s| Ratio::from(s)))
            .ok_or(NOT_FINITE);
    }
    let (efficiency, count) = (c.get(EFFICIENCY_NOW)?, c.get(STAGE_COUNT_NOW)?);
    // Half or less in each of its stages.
    if efficiency.value <= libm::exp2(-f64::from(count)) {
        c.working("(2 - 1 / gears.efficiency ^ (1 / gears.stage_count)) / (gears.efficiency ^ (1 / gears.stage_count)) ^ (gears.stage_count - 1)");
    }
    formulas::back_driving_efficiency(efficiency, count).ok_or(NOT_FINITE)
}

fn back_drive_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    formulas::back_drive_torque(
        c.get(RATIO_NOW)?,
        c.get(motor::TORQUE_CONSTANT)?,
        c.get(motor::NO_LOAD_CURRENT)?,
        c.get(BACK_EFFICIENCY)?,
    )
    .ok_or(Absent::unlimited(
        "the gears are self-locking while they are dry and new",
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
    .ok_or(NOT_FINITE)
}

fn free_play(c: &Eval<'_>) -> Result<Travel, Absent> {
    let at_axis = formulas::free_play(
        c.get(BACKLASH)?,
        c.get(axis::LAST_STAGE_NOW)?,
        c.get(axis::REDUCTION_BACKLASH)?,
    );
    if c.get(axis::KIND)? == Kind::Torque {
        c.working("gears.backlash / axis.last_stage + axis.reduction_backlash");
    }
    shown_angle(c, at_axis.ok_or(NOT_FINITE)?)
}

fn backlash_counts(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let stage = c.get(axis::LAST_STAGE_NOW)?.value;
    let at_output = c.get(BACKLASH)? + c.get(axis::REDUCTION_BACKLASH)? * stage;
    Ok(at_output / c.get(encoder::ANGLE_PER_COUNT)?)
}

fn radial_load(c: &Eval<'_>) -> Result<Force, Absent> {
    if !c.left_out_now(axis::REDUCTION) {
        return Err(Absent::not_asked(
            "the extra reduction, not the load, is on the output shaft",
        ));
    }
    let radius = match c.get(axis::KIND)? {
        Kind::Screw | Kind::Torque => {
            return Err(Absent::not_asked("a coupled shaft carries no radial load"));
        }
        Kind::Belt | Kind::Rack => {
            c.working("abs(axis.load_torque) * 2 * pi / axis.travel_per_turn");
            pulsewright_calc::axis::effective_radius(c.get(axis::TURN_TRAVEL)?)
        }
        _ => c.get(axis::RADIUS)?,
    };
    // The weight of an arm hangs on its shaft at any angle.
    let load = match super::shared::swing(c)? {
        Some(swing) => {
            c.working("abs(axis.load_mass * g + axis.external_force + axis.drag_force)");
            swing.crest + swing.force + swing.friction
        }
        None => c.get(axis::LOAD_TORQUE)?,
    };
    formulas::radial_load(load, radius, Force::default()).ok_or(NOT_FINITE)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[
    Check {
        id: "check.backlash",
        label: "Backlash",
        failing: "backlash at the load {gears.backlash_at_load}, position tolerance {axis.tolerance_at_load}",
        tier: Tier::Exactness,
        station: Station::Gears,
        measure: Measure::Angle,
        limit: true,
        margin: backlash_check,
    },
    Check {
        id: "check.radial",
        label: "Radial load",
        failing: "radial load {gears.radial_load}, limit {gears.radial_limit}",
        tier: Tier::Strength,
        station: Station::Gears,
        measure: Measure::Force,
        limit: true,
        margin: radial_check,
    },
];

fn backlash_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    Ok(Some(Margin::of_travel(
        c.travel(axis::TOLERANCE_AT_LOAD)?,
        c.travel(verdict::ERROR_BACKLASH)?,
    )))
}

fn radial_check(c: &Eval<'_>) -> Result<Option<Margin>, Absent> {
    match c.get(RADIAL_LOAD) {
        Ok(load) => Ok(Some(Margin::of(c.get(RADIAL_LIMIT)?, load))),
        Err(absent) if absent.code == Code::Missing && !absent.why.is_empty() => Ok(None),
        Err(absent) => Err(absent),
    }
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[
    Finding {
        id: "figures_contradict",
        station: Station::Gears,
        message: "The listing contradicts itself: its stall torque would need a gearbox efficiency of {gears.implied_efficiency}. One figure is wrong. A typical efficiency is used.",
        numbers: &["gears.implied_efficiency"],
        when: implied_contradicts,
    },
    Finding {
        id: "figures_contradict",
        station: Station::Gears,
        message: "The listing contradicts itself: its stall torque would need a gearbox efficiency of {gears.implied_efficiency}; {gears.stage_count} spur stages have far more. One figure is wrong, or of another gearbox.",
        numbers: &["gears.implied_efficiency", "gears.stage_count"],
        when: implied_too_small,
    },
    Finding {
        id: "label_ratio_drift",
        station: Station::Gears,
        message: "Nominal ratio {gears.nominal_ratio}, exact ratio {gears.exact_ratio}: with the nominal ratio the position drifts by {gears.nominal_error_per_turn} every turn. Use the exact ratio.",
        numbers: &[
            "gears.nominal_ratio",
            "gears.exact_ratio",
            "gears.nominal_error_per_turn",
        ],
        when: label_drifts,
    },
    Finding {
        id: "label_ratio_drift",
        station: Station::Gears,
        message: "Nominal ratio {gears.nominal_ratio}, exact ratio {gears.exact_ratio}: the difference is too large for rounding. It is a miscount, or another gearbox. Count the teeth again, or let the motor turn the output once and count its own turns.",
        numbers: &["gears.nominal_ratio", "gears.exact_ratio"],
        when: label_is_of_another,
    },
    Finding {
        id: "backlash_hides_resolution",
        station: Station::Gears,
        message: "[One count is {encoder.arc_per_count}. ]The backlash is {gears.backlash_counts} counts. Backlash limits the accuracy, not the encoder. Always approach from one side.",
        numbers: &[
            "gears.backlash_counts",
            "gears.backlash_at_load",
            "encoder.arc_per_count",
        ],
        when: play_hides_counts,
    },
    Finding {
        id: "inputs_disagree",
        station: Station::Gears,
        message: "The tooth counts give {gears.exact_ratio}, the ratio entered is {gears.ratio}. The tooth counts are used.",
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

/// Efficiency below which no gearbox of spur stages lies (common practice, no source); a single stage may be a worm.
const LEAST_SPUR_EFFICIENCY: f64 = 0.15;

fn implied_too_small(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let implied = c.get(IMPLIED_EFFICIENCY)?.value;
    let spur = c.get(STAGE_COUNT_NOW)? > 1 && !c.given(STAGE_EFFICIENCIES) && !c.given(EFFICIENCY);
    let small = implied > 0.0 && implied < LEAST_SPUR_EFFICIENCY;
    Ok((spur && small).then_some(Severity::Fault))
}

/// Share of the ratio beyond which a label is no longer a rounded one (common practice, no source).
const ROUNDED_LABEL: f64 = 0.05;

/// How far label and teeth are apart, as a share of the label's ratio.
fn label_error(c: &Eval<'_>) -> Result<f64, Absent> {
    let drift = c.get(NOMINAL_ERROR)?;
    Ok((drift.value / core::f64::consts::TAU).abs())
}

fn label_is_of_another(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    Ok((label_error(c)? > ROUNDED_LABEL).then_some(Severity::Fault))
}

fn label_drifts(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    let share = label_error(c)?;
    if share == 0.0 || share > ROUNDED_LABEL {
        return Ok(None);
    }
    // Settings are counted by the teeth: the label misleads nobody but who reads it.
    Ok(Some(Severity::Note))
}

fn play_hides_counts(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    // Where the teeth never change flanks it hides nothing.
    let shows = c.travel(verdict::ERROR_BACKLASH)?.raw() > 0.0;
    Ok((shows && c.get(BACKLASH_COUNTS)?.value > 5.0).then_some(Severity::Note))
}

fn ratio_disagrees(c: &Eval<'_>) -> Result<Option<Severity>, Absent> {
    if !(c.stages(STAGES)?.is_some() && c.given(RATIO)) {
        return Ok(None);
    }
    let given: Ratio = c.get(RATIO.as_ratio())?;
    let off = (given.value / c.get(RATIO_NOW)?.value - 1.0).abs();
    Ok((off > 1e-3).then_some(Severity::Note))
}
