//! Simulated move: results of the position loop that a formula cannot give.

use super::key::Travel;
use super::schema::{RESULT, ResultDefinition};
use pulsewright_calc::units::{ElectricCurrent, Energy, Frequency, Ratio, Time};

use crate::text::measure::Measure;

inputs! {
    landing;
}

/// The working of what is simulated, with the constants of the model.
const MODEL: &str = "'simulated sample by sample: step pulses, counts, PWM; winding, rotor, teeth with play and loss, load. Static friction 1.3 times the motor’s own and 1.2 times the load’s, tooth contact damped 0.3, sensors without hysteresis; a move from the wrong side runs past its target by twice the play and 20 counts. Without ripple, sampling jitter and warming up'";

/// Where it comes from.
const SOURCE: &str =
    "exponentials of the linear system between events; the firmware’s own whole numbers";

/// A simulated result.
const SIMULATED: ResultDefinition = ResultDefinition {
    formula: MODEL,
    source: SOURCE,
    costly: true,
    ..RESULT
};

results! {
    landing;

    OVERSHOOT: Travel = ResultDefinition {
        id: "loop.overshoot",
        symbol: "e_over",
        label: "Overshoot",
        measure: Measure::Angle,
        meaning: "how far the load runs beyond its target, once it has been before it",
        ..SIMULATED
    };
    SETTLING_TIME: Time = ResultDefinition {
        id: "loop.settling_time",
        symbol: "t_settle",
        label: "Settling time",
        measure: Measure::Time,
        meaning: "from the end of the command until the load stays within the tolerance",
        ..SIMULATED
    };
    FINAL_ERROR: Travel = ResultDefinition {
        id: "loop.final_error",
        symbol: "e_final",
        label: "Final position error",
        measure: Measure::Angle,
        meaning: "at the end of move and dwell; above 0 on the side that the load resists",
        ..SIMULATED
    };
    PEAK_FOLLOWING_ERROR: Travel = ResultDefinition {
        id: "loop.peak_following_error",
        symbol: "e_way",
        label: "Peak following error (load)",
        measure: Measure::Angle,
        meaning: "load against command, during the move",
        ..SIMULATED
    };
    PEAK_FOLLOWING_ERROR_COUNTS: Ratio = ResultDefinition {
        id: "loop.peak_following_error_counts",
        symbol: "n_way",
        label: "Peak following error (counts)",
        measure: Measure::Count,
        meaning: "the following-error limit must be higher",
        ..SIMULATED
    };
    RESTING_ERROR: Travel = ResultDefinition {
        id: "loop.resting_error",
        symbol: "e_rest",
        label: "Steady-state error at the end",
        measure: Measure::Angle,
        meaning: "target minus the mean of the last half second",
        shown: false,
        ..SIMULATED
    };
    HUNTING: Travel = ResultDefinition {
        id: "loop.hunting",
        symbol: "e_hunt",
        label: "Limit cycle (hunting) amplitude",
        measure: Measure::Angle,
        meaning: "the load swings by so much either way; 0 where it stands still or goes one way",
        ..SIMULATED
    };
    BREAKS_LOOSE: Time = ResultDefinition {
        id: "loop.breaks_loose",
        symbol: "t_loose",
        label: "Stands still before it breaks loose again",
        measure: Measure::Time,
        meaning: "beside its target by more than the deadband, until the integral part breaks it loose",
        ..SIMULATED
    };
    HUNTING_FREQUENCY: Frequency = ResultDefinition {
        id: "loop.hunting_frequency",
        symbol: "f_hunt",
        label: "Limit cycle (hunting) frequency",
        measure: Measure::Frequency,
        meaning: "audible from some ten hertz on",
        ..SIMULATED
    };
    PEAK_CURRENT: ElectricCurrent = ResultDefinition {
        id: "loop.peak_current",
        symbol: "I_land",
        label: "Peak current in the simulated move",
        measure: Measure::Current,
        meaning: "winding, without its ripple",
        ..SIMULATED
    };
    REVERSALS: Ratio = ResultDefinition {
        id: "loop.reversals",
        symbol: "n_rev",
        label: "Motor reversals",
        measure: Measure::Count,
        meaning: "each one crosses the backlash",
        ..SIMULATED
    };
    LONGEST_STALL: Time = ResultDefinition {
        id: "loop.longest_stall",
        symbol: "t_full",
        label: "Longest full drive without a count",
        measure: Measure::Time,
        meaning: "the stall timeout must be longer",
        ..SIMULATED
    };
    LOST_COUNTS: Ratio = ResultDefinition {
        id: "loop.lost_counts",
        symbol: "n_lost",
        label: "Lost counts",
        measure: Measure::Count,
        meaning: "edges that the motor passed less those that were read, at the end",
        ..SIMULATED
    };
    ENERGY: Energy = ResultDefinition {
        id: "loop.energy",
        symbol: "W_move",
        label: "Energy per move",
        measure: Measure::Energy,
        meaning: "of the move and its settling, from the supply, for the motor alone",
        ..SIMULATED
    };
    REGENERATED_ENERGY: Energy = ResultDefinition {
        id: "loop.regenerated_energy",
        symbol: "W_back",
        label: "Regenerated energy per move",
        measure: Measure::Energy,
        meaning: "to the supply, braking and lowering",
        ..SIMULATED
    };
    STEP_OVERSHOOT: Travel = ResultDefinition {
        id: "loop.step_overshoot",
        symbol: "e_jump",
        label: "Step test: overshoot",
        measure: Measure::Angle,
        meaning: "after one jump of the step test",
        ..SIMULATED
    };
    STEP_SETTLING_TIME: Time = ResultDefinition {
        id: "loop.step_settling_time",
        symbol: "t_jump",
        label: "Step test: settling time",
        measure: Measure::Time,
        meaning: "after one jump of the step test",
        ..SIMULATED
    };
    STEP_PEAK_CURRENT: ElectricCurrent = ResultDefinition {
        id: "loop.step_peak_current",
        symbol: "I_jump",
        label: "Step test: peak current",
        measure: Measure::Current,
        meaning: "compare with the meter’s peak",
        ..SIMULATED
    };
    SIMULATED_TIME: Time = ResultDefinition {
        id: "loop.simulated_time",
        symbol: "t_sim",
        label: "Time simulated",
        measure: Measure::Time,
        meaning: "from the start of the move",
        shown: false,
        ..SIMULATED
    };
}

/// Whether the result of this number is a simulated one.
#[must_use]
pub fn has(index: usize) -> bool {
    index
        .checked_sub(super::first_result(super::Part::landing))
        .is_some_and(|at| at < RESULTS.len())
}
