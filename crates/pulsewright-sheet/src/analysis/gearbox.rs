//! The same motor before another gearbox.

use pulsewright_calc::motor::{Listing, with_other_gearbox};

use crate::design::entry::{Tolerance, Value};
use crate::design::{Design, State};
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::register::{Physical, gears, motor};
use crate::text::number::{self, DecimalMark};

/// The gear train that stands in for the present one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gearbox<'a> {
    /// A ratio, exact as written.
    Ratio(&'a str),
    /// Its stages, driven:driver.
    Stages(&'a str),
}

/// The same motor with another gearbox.
///
/// Figures that are stated at the output become figures of the motor, and the efficiency that of as
/// many stages as the new train has; then the train is entered. What was entered for the old train
/// alone (stages, label, efficiencies of stages) goes; its play, strength and stiffness stay, as do
/// tolerances that are shares.
///
/// # Errors
/// Why the present figures or the new train cannot be used.
pub fn other_gearbox(c: &Eval<'_>, train: Gearbox<'_>) -> Result<Design, Absent> {
    let design = c.design();
    let mut other = design.clone();
    for old in [
        gears::STAGES.index(),
        gears::NOMINAL_RATIO.index(),
        gears::STAGE_EFFICIENCIES.index(),
    ] {
        other.enter(old, "", DecimalMark::Stored);
    }
    match train {
        Gearbox::Ratio(text) => other.enter(gears::RATIO.index(), text, DecimalMark::Stored),
        Gearbox::Stages(text) => {
            other.enter(gears::RATIO.index(), "", DecimalMark::Stored);
            other.enter(gears::STAGE_COUNT.index(), "", DecimalMark::Stored);
            other.enter(gears::STAGES.index(), text, DecimalMark::Stored);
        }
    }
    let (old_ratio, old_count) = (c.get(gears::RATIO_NOW)?, c.get(gears::STAGE_COUNT_NOW)?);
    let new_ratio = c.of(&other).get(gears::RATIO_NOW)?;
    if matches!(train, Gearbox::Ratio(_)) && other.entry(gears::STAGE_COUNT.index()).is_none() {
        // Stages that were counted differ from the usual number as they did before.
        let usual = |ratio| pulsewright_calc::gears::stage_count(ratio).ok_or(NOT_FINITE);
        let (old_usual, new_usual) = (usual(old_ratio)?, usual(new_ratio)?);
        let count = (new_usual + old_count)
            .saturating_sub(old_usual)
            .clamp(1, 8);
        if count != new_usual {
            let text = number::int(i64::from(count));
            other.enter(gears::STAGE_COUNT.index(), &text, DecimalMark::Stored);
        }
    }
    let new_count = c.of(&other).get(gears::STAGE_COUNT_NOW)?;
    let at_output = c.get(motor::FIGURES_AT)? == motor::FiguresAt::Output;
    let listing = Listing {
        no_load_speed: c.get(motor::NO_LOAD_SPEED)?,
        stall_torque: c.get(motor::STALL_TORQUE)?,
        efficiency: c.get(gears::EFFICIENCY_NOW)?,
    };
    let new = with_other_gearbox(listing, old_ratio, old_count, new_count).ok_or(NOT_FINITE)?;
    if at_output {
        other.enter(motor::FIGURES_AT.index(), "motor", DecimalMark::Stored);
        replace(
            &mut other,
            motor::NO_LOAD_SPEED.index(),
            new.no_load_speed.raw(),
        );
        replace(
            &mut other,
            motor::STALL_TORQUE.index(),
            new.stall_torque.raw(),
        );
    }
    let assumed = matches!(design.state(gears::EFFICIENCY.index()), State::Assumed)
        && matches!(
            design.state(gears::STAGE_EFFICIENCIES.index()),
            State::Assumed
        );
    // Figures of the motor alone say nothing of the gears: an efficiency that was assumed from the
    // stages is assumed from the new ones.
    if at_output || !assumed {
        replace(&mut other, gears::EFFICIENCY.index(), new.efficiency.raw());
    }
    for index in [
        motor::NO_LOAD_SPEED.index(),
        motor::STALL_TORQUE.index(),
        gears::EFFICIENCY.index(),
    ] {
        if matches!(other.state(index), State::Refused { .. }) {
            return Err(Absent::missing(index));
        }
    }
    Ok(other)
}

/// Enters a number in SI in place of what stands there, with its tolerance as a share.
fn replace(design: &mut Design, index: usize, value: f64) {
    let share = design
        .entry(index)
        .and_then(|entry| match (entry.tolerance?, &entry.value) {
            (Tolerance::Relative(share), _) => Some(share),
            (Tolerance::Absolute(size), Value::Real(old)) => Some(size / old.abs()),
            _ => None,
        });
    let mut text = number::text(value, 15);
    if let Some(share) = share.filter(|share| share.is_finite()) {
        text = [&text, "~", &number::text(100.0 * share, 6), "pct"].concat();
    }
    design.enter(index, &text, DecimalMark::Stored);
}
