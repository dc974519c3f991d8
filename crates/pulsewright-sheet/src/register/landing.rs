//! The landing, simulated: results of the position loop that a formula cannot give.

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
        meaning: "how far the load runs beyond its target",
        ..SIMULATED
    };
    SETTLING_TIME: Time = ResultDefinition {
        id: "loop.settling_time",
        symbol: "t_settle",
        label: "Settling time",
        measure: Measure::Time,
        meaning: "from the end of the command until the load stays within the error allowed",
        ..SIMULATED
    };
    FINAL_ERROR: Travel = ResultDefinition {
        id: "loop.final_error",
        symbol: "e_final",
        label: "Where it lands beside its target",
        measure: Measure::Angle,
        meaning: "at the end of move and dwell; above 0 on the side that the load resists",
        ..SIMULATED
    };
    WORST_ERROR: Travel = ResultDefinition {
        id: "loop.worst_error",
        symbol: "e_way",
        label: "Largest error on the way",
        measure: Measure::Angle,
        meaning: "load against the steps asked for, during the move",
        ..SIMULATED
    };
    GREATEST_COUNTS: Ratio = ResultDefinition {
        id: "loop.greatest_error_counts",
        symbol: "n_way",
        label: "Largest error that the loop sees",
        measure: Measure::Count,
        meaning: "in counts; an error limit must lie above it",
        ..SIMULATED
    };
    RESTING_DROOP: Travel = ResultDefinition {
        id: "loop.resting_droop",
        symbol: "e_rest",
        label: "Droop in the end",
        measure: Measure::Angle,
        meaning: "target less the middle of the last half second",
        shown: false,
        ..SIMULATED
    };
    HUNTING: Travel = ResultDefinition {
        id: "loop.hunting",
        symbol: "e_hunt",
        label: "Hunting at rest",
        measure: Measure::Angle,
        meaning: "the load swings by so much either way; 0 where it stands still",
        ..SIMULATED
    };
    HUNTING_FREQUENCY: Frequency = ResultDefinition {
        id: "loop.hunting_frequency",
        symbol: "f_hunt",
        label: "Frequency of the hunting",
        measure: Measure::Frequency,
        meaning: "a hum from some ten hertz on",
        ..SIMULATED
    };
    PEAK_CURRENT: ElectricCurrent = ResultDefinition {
        id: "loop.peak_current",
        symbol: "I_land",
        label: "Peak current of the landing",
        measure: Measure::Current,
        meaning: "winding, without its ripple",
        ..SIMULATED
    };
    REVERSALS: Ratio = ResultDefinition {
        id: "loop.reversals",
        symbol: "n_rev",
        label: "Reversals of the motor",
        measure: Measure::Count,
        meaning: "each one crosses the play",
        ..SIMULATED
    };
    LONGEST_STALL: Time = ResultDefinition {
        id: "loop.longest_stall",
        symbol: "t_full",
        label: "Longest time at full drive without a count",
        measure: Measure::Time,
        meaning: "a stall timeout must be longer",
        ..SIMULATED
    };
    LOST_COUNTS: Ratio = ResultDefinition {
        id: "loop.lost_counts",
        symbol: "n_lost",
        label: "Counts lost",
        measure: Measure::Count,
        meaning: "edges that came closer than they can be served",
        ..SIMULATED
    };
    ENERGY: Energy = ResultDefinition {
        id: "loop.energy",
        symbol: "W_move",
        label: "Energy of the move",
        measure: Measure::Energy,
        meaning: "from the supply, for the motor alone",
        ..SIMULATED
    };
    RETURNED_ENERGY: Energy = ResultDefinition {
        id: "loop.returned_energy",
        symbol: "W_back",
        label: "Energy given back",
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
}

/// Whether the result of this number is a simulated one.
#[must_use]
pub fn has(index: usize) -> bool {
    index
        .checked_sub(super::first_result(super::Part::landing))
        .is_some_and(|at| at < RESULTS.len())
}
