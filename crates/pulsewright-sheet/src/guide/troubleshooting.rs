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
        measure: "Polarity. Supply limited to {settings.first_power_current}, magnet turned by a finger: the motor must push back.",
    },
    Symptom {
        does: "Counts one way only, or nothing",
        station: Station::Encoder,
        measure: "Scope on both sensors, slow turn: square waves {encoder.electrical_spacing} apart, {encoder.pole_pairs} in one turn of the magnet. Flat line: the gap, {encoder.peak_field} must reach the sensor.",
    },
    Symptom {
        does: "Loses counts when fast",
        station: Station::Encoder,
        measure: "Ten turns slow, ten turns fast, the same count: {bench.turn_counts}. At full speed two edges can be {encoder.shortest_edge_gap} apart, one takes the processor {encoder.edge_service_time}.",
    },
    Symptom {
        does: "Drifts each turn",
        station: Station::Gears,
        measure: "Edges over {bench.turns} driven turns: {bench.turn_counts} by the ratio of {gears.exact_ratio}. Another count is another ratio.",
    },
    Symptom {
        does: "Drifts over a long travel",
        station: Station::Steps,
        measure: "Long move by calliper or protractor. Rounded to its decimals the pulse source is {steps.rounding_error_over_travel} off over {move.distance}.",
    },
    Symptom {
        does: "Stops either side of the mark",
        station: Station::Gears,
        measure: "Dial at the load, come from both sides: the difference is the free play, {gears.free_play_at_load} expected. Come from one side only.",
    },
    Symptom {
        does: "Sags under load, or stops short",
        station: Station::Loop,
        measure: "Dial at the load, load on, load off: {error.droop} expected at rest. More: integral part off, or the current limit holds it.",
    },
    Symptom {
        does: "Buzzes at rest",
        station: Station::Loop,
        measure: "Widen the deadband by one, from {loop.deadband}: quiet, then it hunted between two counts. Free play is {gears.free_play_counts} counts.",
    },
    Symptom {
        does: "Resets when it starts",
        station: Station::Supply,
        measure: "Scope on the logic supply, start against a soft stop: the boards see {supply.voltage_at_jam}, they need {supply.voltage_needed}.",
    },
    Symptom {
        does: "Resets or pops when it lowers or stops",
        station: Station::Supply,
        measure: "Scope on the motor supply through a stop: up to {supply.pumped_voltage}, its parts survive {supply.max_voltage}.",
    },
    Symptom {
        does: "Gets hot standing still",
        station: Station::Heat,
        measure: "Motor current after 10 s at rest: {hold.dwell_current} expected, {heat.continuous_current} for ever.",
    },
    Symptom {
        does: "Misses steps, or steps alone",
        station: Station::Wiring,
        measure: "Scope at the board's own ground: highs of {wiring.logic_high} at least {steps.pulse_high} wide, above {wiring.input_high}; the grounds may stand {wiring.ground_shift} apart.",
    },
];
