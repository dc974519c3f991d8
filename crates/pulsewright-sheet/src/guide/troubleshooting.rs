//! What does it do? Signs of a build that misbehaves, each with the station that explains it and one
//! measurement with the design's own figures.

use crate::register::Station;

/// A sign.
#[derive(Clone, Copy, Debug)]
pub struct Symptom {
    /// What it does.
    pub does: &'static str,
    /// Where the cause stands.
    pub station: Station,
    /// The one measurement; `{id}` stands for a value.
    pub measure: &'static str,
}

/// Every sign.
pub const SIGNS: [Symptom; 12] = [
    Symptom {
        does: "Runs away at power-up",
        station: Station::Bench,
        measure: "Wrong polarity. Limit the supply to {settings.first_power_current} and turn the magnet by a finger: the motor must push back.",
    },
    Symptom {
        does: "Counts in one direction only, or not at all",
        station: Station::Encoder,
        measure: "Scope on both sensors, slow turn: square waves {encoder.electrical_spacing} apart, {encoder.pole_pairs} periods per turn of the magnet. No signal: the gap is too large; {encoder.peak_field} must reach the sensor.",
    },
    Symptom {
        does: "Loses counts at high speed",
        station: Station::Encoder,
        measure: "Ten turns slow and ten turns fast must give the same count: {bench.turn_counts}. At full speed two edges can be {encoder.shortest_edge_gap} apart; one edge takes {encoder.edge_service_time} of CPU time.",
    },
    Symptom {
        does: "Position drifts every turn",
        station: Station::Gears,
        measure: "Count the edges over {bench.turns} turns: {bench.turn_counts} expected with the ratio {gears.exact_ratio}. A different count means a different ratio.",
    },
    Symptom {
        does: "Position drifts over a long travel",
        station: Station::Steps,
        measure: "Measure a long move by calliper or protractor. Rounding of steps/unit gives {steps.rounding_error_over_travel} over {move.distance}.",
    },
    Symptom {
        does: "Stops on either side of the target",
        station: Station::Gears,
        measure: "Dial at the load, approach from both sides: the difference is the backlash, {gears.backlash_at_load} expected. Approach from one side only.",
    },
    Symptom {
        does: "Steady-state error under load",
        station: Station::Loop,
        measure: "Dial at the load, with and without load: {error.steady_state} expected at rest. If it is more, the integral part is off, or the current limit is reached.",
    },
    Symptom {
        does: "Buzzes at rest (limit cycle)",
        station: Station::Loop,
        measure: "Widen the deadband by one, from {loop.deadband}. If it is quiet then, it was a limit cycle between two counts. Backlash is {gears.backlash_counts} counts.",
    },
    Symptom {
        does: "Processor resets at the start of a move",
        station: Station::Supply,
        measure: "Scope on the logic supply, start against a soft stop: {supply.voltage_at_stall} at the boards, {supply.voltage_needed} needed.",
    },
    Symptom {
        does: "Resets or parts fail when it lowers or stops",
        station: Station::Supply,
        measure: "Scope on the motor supply during a stop: up to {supply.regenerated_voltage}; lowest abs. max. supply voltage {supply.max_voltage}.",
    },
    Symptom {
        does: "Gets hot at standstill",
        station: Station::Heat,
        measure: "Motor current after 10 s at rest: {hold.selected_current} expected; continuous current {heat.continuous_current}.",
    },
    Symptom {
        does: "Misses steps, or makes extra steps",
        station: Station::Wiring,
        measure: "Scope against the board's own ground: V_OH {wiring.logic_high}, V_IH(min) {wiring.input_high}, pulse high time at least {steps.pulse_high}. Ground shift up to {wiring.ground_shift}.",
    },
];
