//! What it all comes to.

use crate::check::Check;
use crate::finding::Finding;

use calc::error_budget::{self as formulas, FlankLoad};

use super::movement::Approach;
use super::{Travel, axis, gears, movement};
use crate::eval::{Absent, BEYOND, Eval};

results! {
    after super::stepper;
}

/// Share of the free play that shows in where the load stops, at the load.
///
/// # Errors
/// When the load or the gears are not there.
pub fn backlash_share(c: &Eval<'_>) -> Result<Travel, Absent> {
    let flank = FlankLoad {
        holding_torque: c.get(axis::HOLDING_TORQUE)?,
        friction_torque: c.get(axis::FRICTION_TORQUE)?,
        load_inertia: c.get(axis::LOAD_INERTIA)?,
        peak_acceleration: c.get(movement::PEAK_ACCELERATION)?,
    };
    let approach = match c.get(movement::APPROACH)? {
        Approach::Either => formulas::Approach::Either,
        Approach::Centred => formulas::Approach::Centred,
        Approach::OneSide => formulas::Approach::OneSide,
    };
    let play = calc::gears::free_play(
        c.get(gears::BACKLASH)?,
        c.get(axis::LAST_STAGE_NOW)?,
        c.get(axis::REDUCTION_BACKLASH)?,
    )
    .ok_or(BEYOND)?;
    axis::shown_angle(c, formulas::backlash_share(play, approach, &flank))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
