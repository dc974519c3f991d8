//! What it all comes to: the error at the load, what to buy and to set, and the comparison.

use super::key::{Found, Travel};
use super::schema::{Heading, RESULT, ResultDefinition, Station};
use crate::text::measure::Measure;
use pulsewright_calc::units::{
    AngularVelocity, ElectricCurrent, Energy, Mass, Power, Ratio, Time, Torque, TorquePerMass,
};

/// What is said of the station.
pub(crate) const HEADING: Heading = Heading {
    station: Station::Verdict,
    prefixes: &[
        "error", "compare", "check", "need", "fit", "settings", "verdict",
    ],
    name: "Verdict",
    question: "Does it do the job, and which check decides?",
    about: "The worst check decides. The result is as certain as its values: measure the typical values on the bench.",
};

inputs! {
    verdict;
}

results! {
    verdict;

    TRAVEL_PER_ANGLE: Measured = ResultDefinition {
        id: "error.travel_per_angle",
        symbol: "s_rad",
        label: "Travel of the load per radian of the output",
        measure: Measure::Length,
        meaning: "carries errors from the output to the load",
        formula: "axis.travel_per_turn / (2 * pi * axis.last_stage)",
        source: "geometry",
        shown: false,
        ..RESULT
    };
    ERROR_BACKLASH: Travel = ResultDefinition {
        id: "error.backlash",
        symbol: "e_play",
        label: "Backlash contribution",
        measure: Measure::Angle,
        meaning: "0 where the load keeps the teeth on one side, or the approach is one-sided",
        formula: "gears.backlash_at_load",
        source: "lost motion at a reversal (common practice, no source)",
        ..RESULT
    };
    ERROR_WIND_UP: Travel = ResultDefinition {
        id: "error.wind_up",
        symbol: "e_twist",
        label: "Wind-up",
        measure: Measure::Angle,
        meaning: "twist of gears and shaft under the load; the encoder does not see it",
        formula: "error.travel_per_angle * axis.holding_torque / gears.stiffness",
        source: "Hooke's law",
        ..RESULT
    };
    ERROR_HALF_COUNT: Travel = ResultDefinition {
        id: "error.half_count",
        symbol: "e_count",
        label: "Encoder resolution ±½ count",
        measure: Measure::Angle,
        meaning: "finer the sensors cannot tell",
        formula: "error.travel_per_angle * encoder.angle_per_count / 2",
        source: "quantisation",
        ..RESULT
    };
    ERROR_HALF_STEP: Travel = ResultDefinition {
        id: "error.half_step",
        symbol: "e_step",
        label: "Step resolution ±½ step",
        measure: Measure::Angle,
        meaning: "finer cannot be commanded",
        formula: "error.travel_per_angle * steps.angle_per_step / 2",
        source: "quantisation",
        ..RESULT
    };
    ERROR_STEADY_STATE: Travel = ResultDefinition {
        id: "error.steady_state",
        symbol: "e_droop",
        label: "Steady-state error",
        measure: Measure::Angle,
        meaning: "the deadband, or the error that the loop needs to push against the load",
        formula: "error.travel_per_angle * loop.steady_state_error",
        source: "steady state of the loop",
        ..RESULT
    };
    ERROR_ROUNDING: Travel = ResultDefinition {
        id: "error.rounding",
        symbol: "e_rounding",
        label: "Rounding of steps/unit over the move",
        measure: Measure::Angle,
        meaning: "grows with the distance",
        formula: "steps.rounding_error_over_travel",
        source: "definition",
        ..RESULT
    };
    ERROR_TRANSMISSION: Travel = ResultDefinition {
        id: "error.transmission",
        symbol: "e_teeth",
        label: "Transmission error",
        measure: Measure::Angle,
        meaning: "repeats every turn of the output",
        formula: "error.travel_per_angle * gears.transmission_error",
        source: "transmission error of a gear train",
        ..RESULT
    };
    ERROR_WORST: Travel = ResultDefinition {
        id: "error.worst",
        symbol: "e_worst",
        label: "Position error, worst case",
        measure: Measure::Angle,
        meaning: "at the load, all contributions in the same direction",
        formula: "abs(error.backlash) + abs(error.wind_up) + abs(error.half_count) + abs(error.half_step) + abs(error.steady_state) + abs(error.rounding) + abs(error.transmission)",
        source: "sum of absolute bounds",
        ..RESULT
    };
    ERROR_STANDARD_UNCERTAINTY: Travel = ResultDefinition {
        id: "error.standard_uncertainty",
        symbol: "e_likely",
        label: "Position error, standard uncertainty (1σ)",
        measure: Measure::Angle,
        meaning: "at the load, about two moves in three end within it",
        formula: "sqrt((error.backlash ^ 2 + error.wind_up ^ 2 + error.half_count ^ 2 + error.half_step ^ 2 + error.steady_state ^ 2 + error.rounding ^ 2 + error.transmission ^ 2) / 3)",
        source: "JCGM 100:2008 (GUM), 4.3.7 and 5.1.2, from memory; rectangular and independent shares",
        ..RESULT
    };
    ERROR_HOMING: Travel = ResultDefinition {
        id: "error.homing",
        symbol: "e_start",
        label: "Homing error",
        measure: Measure::Angle,
        meaning: "shifts every position from one power-up to the next",
        formula: "'the repeatability of home, as the load shows it'",
        source: "definition",
        ..RESULT
    };
    ERROR_AFTER_HOMING: Travel = ResultDefinition {
        id: "error.worst_after_homing",
        symbol: "e_homed",
        label: "Position error after homing again, worst case",
        measure: Measure::Angle,
        meaning: "against marks made before the power went",
        formula: "error.worst + error.homing",
        source: "sum of absolute bounds",
        ..RESULT
    };
    NEED_STALL_TORQUE: Torque = ResultDefinition {
        id: "need.stall_torque",
        symbol: "T_buy",
        label: "Required stall torque",
        measure: Measure::Torque,
        meaning: "gear motor, at its output",
        formula: "max(4 * abs(axis.holding_torque), 3.3 * abs(move.peak_torque))",
        source: "continuous torque of 25 to 30 % of the stall torque (common practice, no source)",
        ..RESULT
    };
    NEED_NO_LOAD_SPEED: AngularVelocity = ResultDefinition {
        id: "need.no_load_speed",
        symbol: "ω_buy",
        label: "Min. no-load speed",
        measure: Measure::Speed,
        meaning: "gear motor, at its output",
        formula: "1.3 * move.peak_speed",
        source: "1.3 to 2.5 times the peak speed (common practice, no source)",
        ..RESULT
    };
    NEED_NO_LOAD_SPEED_MAX: AngularVelocity = ResultDefinition {
        id: "need.no_load_speed_max",
        symbol: "ω_buymost",
        label: "Max. useful no-load speed",
        measure: Measure::Speed,
        meaning: "a faster one wastes torque",
        formula: "2.5 * move.peak_speed",
        source: "1.3 to 2.5 times the peak speed (common practice, no source)",
        shown: false,
        ..RESULT
    };
    STEPS_PER_UNIT: Measured = ResultDefinition {
        id: "settings.steps_per_unit",
        symbol: "k_source",
        label: "Steps per mm or °",
        measure: Measure::PerMillimetre,
        meaning: "for the step/dir controller",
        formula: "steps.per_unit_rounded",
        source: "definition",
        ..RESULT
    };
    MAX_SPEED: Measured = ResultDefinition {
        id: "settings.max_speed",
        symbol: "v_top",
        label: "Max. speed setting",
        measure: Measure::Speed,
        meaning: "for the step/dir controller; 20 % of the warm motor's speed under load is left to the loop",
        formula: "min(steps.speed_limit, 0.8 * drive.speed_at_load_hot) / axis.last_stage",
        source: "a reserve of a fifth (common practice, no source)",
        ..RESULT
    };
    ACCELERATION: Measured = ResultDefinition {
        id: "settings.acceleration",
        symbol: "a_set",
        label: "Acceleration setting",
        measure: Measure::AngularAcceleration,
        meaning: "for the step/dir controller; every check was made with it",
        formula: "move.peak_acceleration / axis.last_stage",
        source: "definition",
        ..RESULT
    };
    PULSE_WIDTH: Time = ResultDefinition {
        id: "settings.pulse_width",
        symbol: "t_set",
        label: "Min. pulse width setting",
        measure: Measure::Time,
        meaning: "for the step/dir controller",
        formula: "1.25 * steps.pulse_high",
        source: "what the input needs, with the margin of a check that passes",
        ..RESULT
    };
    DIRECTION_SETUP: Time = ResultDefinition {
        id: "settings.direction_setup",
        symbol: "t_setlead",
        label: "Min. DIR set-up time setting",
        measure: Measure::Time,
        meaning: "for the step/dir controller; before the first step",
        formula: "1.25 * steps.direction_setup",
        source: "what the input needs, with the margin of a check that passes",
        ..RESULT
    };
    STALL_TIMEOUT: Time = ResultDefinition {
        id: "settings.stall_timeout",
        symbol: "t_letgo",
        label: "Stall timeout",
        measure: Measure::Time,
        meaning: "for the firmware",
        formula: "min(heat.stall_time / 2, 2)",
        source: "drop the current after 1 to 2 s without motion (common practice, no source)",
        ..RESULT
    };
    HOLD_DUTY: Ratio = ResultDefinition {
        id: "settings.hold_duty",
        symbol: "D_hold",
        label: "Holding duty cycle",
        measure: Measure::Share,
        meaning: "winding cold, with the supply's voltage drop",
        formula: "2 * hold.selected_current * drive.motor_resistance / (supply.voltage + sqrt(supply.voltage ^ 2 - 4 * drive.supply_path_resistance * drive.motor_resistance * hold.selected_current ^ 2))",
        source: "power balance of supply and winding",
        shown: false,
        ..RESULT
    };
    HOLD_PWM: Ratio = ResultDefinition {
        id: "settings.hold_pwm",
        symbol: "n_hold",
        label: "Holding PWM value",
        measure: Measure::Count,
        meaning: "for the firmware, of its full scale",
        formula: "ceil(settings.hold_duty * loop.pwm_resolution)",
        source: "definition",
        ..RESULT
    };
    ERROR_LIMIT: Ratio = ResultDefinition {
        id: "settings.error_limit",
        symbol: "n_giveup",
        label: "Following-error limit",
        measure: Measure::Count,
        meaning: "for the firmware, in counts",
        formula: "ceil(2 * max(abs(loop.following_error), axis.tolerance_at_load / error.travel_per_angle) / encoder.angle_per_count)",
        source: "twice what a sound move shows (common practice, no source)",
        ..RESULT
    };
    PROPORTIONAL_FIXED: Ratio = ResultDefinition {
        id: "settings.proportional_fixed",
        symbol: "q_p",
        label: "Kp (Q16.16)",
        measure: Measure::Count,
        meaning: "for the firmware, as a whole number: times 65 536",
        formula: "round(loop.proportional_steps * 65536)",
        source: "definition of a fixed-point number",
        ..RESULT
    };
    PROPORTIONAL_ROUNDING: Ratio = ResultDefinition {
        id: "settings.proportional_rounding",
        symbol: "ε_p",
        label: "Rounding error of Kp",
        measure: Measure::Share,
        meaning: "above 0: stored too large",
        formula: "settings.proportional_fixed / (loop.proportional_steps * 65536) - 1",
        source: "definition",
        shown: false,
        ..RESULT
    };
    INTEGRAL_FIXED: Ratio = ResultDefinition {
        id: "settings.integral_fixed",
        symbol: "q_i",
        label: "Ki (Q16.16)",
        measure: Measure::Count,
        meaning: "for the firmware, as a whole number: times 65 536",
        formula: "round(loop.integral_steps * 65536)",
        source: "definition of a fixed-point number",
        ..RESULT
    };
    INTEGRAL_ROUNDING: Ratio = ResultDefinition {
        id: "settings.integral_rounding",
        symbol: "ε_i",
        label: "Rounding error of Ki",
        measure: Measure::Share,
        meaning: "above 0: stored too large",
        formula: "settings.integral_fixed / (loop.integral_steps * 65536) - 1",
        source: "definition",
        shown: false,
        ..RESULT
    };
    DERIVATIVE_FIXED: Ratio = ResultDefinition {
        id: "settings.derivative_fixed",
        symbol: "q_d",
        label: "Kd (Q16.16)",
        measure: Measure::Count,
        meaning: "for the firmware, as a whole number: times 65 536",
        formula: "round(loop.derivative_steps * 65536)",
        source: "definition of a fixed-point number",
        ..RESULT
    };
    DERIVATIVE_ROUNDING: Ratio = ResultDefinition {
        id: "settings.derivative_rounding",
        symbol: "ε_d",
        label: "Rounding error of Kd",
        measure: Measure::Share,
        meaning: "above 0: stored too large",
        formula: "settings.derivative_fixed / (loop.derivative_steps * 65536) - 1",
        source: "definition",
        shown: false,
        ..RESULT
    };
    FIRST_POWER_CURRENT: ElectricCurrent = ResultDefinition {
        id: "settings.first_power_current",
        symbol: "I_first",
        label: "Supply current limit for the first power-up",
        measure: Measure::Current,
        meaning: "enough to turn, too little to break anything",
        formula: "3 * motor.no_load_current",
        source: "common practice, no source",
        ..RESULT
    };
    SHORTEST_TIME: Time = ResultDefinition {
        id: "verdict.shortest_time",
        symbol: "t_least",
        label: "Shortest time for this move",
        measure: Measure::Time,
        meaning: "within the limits of voltage, current, gears, step rate and encoder",
        formula: "move.shortest_time",
        source: "the move solved for its time",
        ..RESULT
    };
    MAX_LOAD: SolvedLoad = ResultDefinition {
        id: "verdict.max_load",
        symbol: "m_most",
        label: "Largest load that passes every check",
        measure: Measure::Mass,
        meaning: "as far as the checks depend on the load",
        formula: "'sought by halving on the whole evaluation'",
        source: "every check solved for the load",
        shown: false,
        costly: true,
    };
    CONTINUOUS_TORQUE_CONVERTED: Torque = ResultDefinition {
        id: "compare.continuous_torque_converted",
        symbol: "held_conv",
        label: "Continuous holding torque, converted motor",
        measure: Measure::Torque,
        meaning: "no help from friction or gear losses",
        formula: "min(gears.exact_ratio * motor.torque_constant * min(heat.continuous_current, bridge.current_limit), gears.continuous_torque)",
        source: "torque constant times ratio",
        ..RESULT
    };
    CONTINUOUS_TORQUE_STEPPER: Torque = ResultDefinition {
        id: "compare.continuous_torque_stepper",
        symbol: "held_step",
        label: "Continuous holding torque, stepper",
        measure: Measure::Torque,
        meaning: "no help from friction or gear losses",
        formula: "stepper.holding_torque",
        source: "the listing",
        ..RESULT
    };
    TORQUE_10_S_CONVERTED: Torque = ResultDefinition {
        id: "compare.torque_10_s_converted",
        symbol: "held10_conv",
        label: "Holding torque for 10 s, converted motor",
        measure: Measure::Torque,
        meaning: "from cold, within the limits of gears, driver and supply",
        formula: "'the greatest torque whose current leaves the winding below its limit for ten seconds from cold, within gears.peak_torque, bridge.current_limit and drive.stall_current'",
        source: "two thermal nodes",
        ..RESULT
    };
    TORQUE_10_S_STEPPER: Torque = ResultDefinition {
        id: "compare.torque_10_s_stepper",
        symbol: "held10_step",
        label: "Holding torque for 10 s, stepper",
        measure: Measure::Torque,
        meaning: "from cold, within the limits of gears, driver and supply",
        formula: "stepper.holding_torque",
        source: "the listing",
        ..RESULT
    };
    TORQUE_PER_MASS_CONVERTED: TorquePerMass = ResultDefinition {
        id: "compare.torque_per_mass_converted",
        symbol: "heldmass_conv",
        label: "Holding torque per mass, converted motor",
        measure: Measure::TorquePerMass,
        meaning: "continuous, boards included",
        formula: "compare.continuous_torque_converted / (motor.mass + motor.added_mass)",
        source: "definition",
        ..RESULT
    };
    TORQUE_PER_MASS_STEPPER: TorquePerMass = ResultDefinition {
        id: "compare.torque_per_mass_stepper",
        symbol: "heldmass_step",
        label: "Holding torque per mass, stepper",
        measure: Measure::TorquePerMass,
        meaning: "continuous, boards included",
        formula: "stepper.torque_per_mass",
        source: "definition",
        ..RESULT
    };
    HOLD_POWER_CONVERTED: Power = ResultDefinition {
        id: "compare.hold_power_converted",
        symbol: "holdpower_conv",
        label: "Power to hold this load, converted motor",
        measure: Measure::Power,
        meaning: "from the supply, processor included",
        formula: "hold.power + supply.voltage * regulator.input_current",
        source: "copper loss and the boards' own draw",
        ..RESULT
    };
    HOLD_POWER_STEPPER: Power = ResultDefinition {
        id: "compare.hold_power_stepper",
        symbol: "holdpower_step",
        label: "Power to hold this load, stepper",
        measure: Measure::Power,
        meaning: "from the supply, processor included",
        formula: "stepper.hold_power",
        source: "Joule's law",
        ..RESULT
    };
    SMALLEST_STEP_CONVERTED: Travel = ResultDefinition {
        id: "compare.smallest_step_converted",
        symbol: "smallest_conv",
        label: "Smallest commanded step, converted motor",
        measure: Measure::Angle,
        meaning: "at the load; microsteps add no accuracy",
        formula: "error.travel_per_angle * max(steps.angle_per_step, encoder.angle_per_count)",
        source: "definition",
        ..RESULT
    };
    SMALLEST_STEP_STEPPER: Travel = ResultDefinition {
        id: "compare.smallest_step_stepper",
        symbol: "smallest_step",
        label: "Smallest commanded step, stepper",
        measure: Measure::Angle,
        meaning: "at the load; microsteps add no accuracy",
        formula: "error.travel_per_angle * stepper.smallest_step",
        source: "definition",
        ..RESULT
    };
    POSITION_ERROR_CONVERTED: Travel = ResultDefinition {
        id: "compare.position_error_converted",
        symbol: "poserr_conv",
        label: "Position error under the load, converted motor",
        measure: Measure::Angle,
        meaning: "at the load, at its worst",
        formula: "error.worst",
        source: "sum of absolute bounds",
        ..RESULT
    };
    POSITION_ERROR_STEPPER: Travel = ResultDefinition {
        id: "compare.position_error_stepper",
        symbol: "poserr_step",
        label: "Position error under the load, stepper",
        measure: Measure::Angle,
        meaning: "at the load, at its worst",
        formula: "error.travel_per_angle * stepper.position_error",
        source: "sum of absolute bounds",
        ..RESULT
    };
    SPEED_WITH_LOAD_CONVERTED: AngularVelocity = ResultDefinition {
        id: "compare.speed_with_load_converted",
        symbol: "loadspeed_conv",
        label: "Speed under load, converted motor",
        measure: Measure::Speed,
        meaning: "at the output, warm",
        formula: "drive.speed_at_load_hot",
        source: "voltage equation in steady state",
        ..RESULT
    };
    SPEED_WITH_LOAD_STEPPER: AngularVelocity = ResultDefinition {
        id: "compare.speed_with_load_stepper",
        symbol: "loadspeed_step",
        label: "Speed under load, stepper",
        measure: Measure::Speed,
        meaning: "at the output, warm",
        formula: "stepper.speed_with_load",
        source: "the torque estimate solved for speed (common practice, no source)",
        ..RESULT
    };
    MOVE_TORQUE_CONVERTED: Torque = ResultDefinition {
        id: "compare.move_torque_converted",
        symbol: "movetorque_conv",
        label: "Torque for the move, converted motor",
        measure: Measure::Torque,
        meaning: "peak at the output",
        formula: "move.peak_torque",
        source: "Newton's second law for rotation",
        ..RESULT
    };
    MOVE_TORQUE_STEPPER: Torque = ResultDefinition {
        id: "compare.move_torque_stepper",
        symbol: "movetorque_step",
        label: "Torque for the move, stepper",
        measure: Measure::Torque,
        meaning: "peak at the output",
        formula: "stepper.torque_for_move",
        source: "Newton's second law for rotation",
        ..RESULT
    };
    CYCLE_ENERGY_CONVERTED: Energy = ResultDefinition {
        id: "compare.cycle_energy_converted",
        symbol: "cycle_conv",
        label: "Energy per cycle, converted motor",
        measure: Measure::Energy,
        meaning: "move and dwell, from the supply",
        formula: "(supply.mean_power + supply.voltage * supply.board_current) * (move.time + move.dwell)",
        source: "mean power times time",
        ..RESULT
    };
    CYCLE_ENERGY_STEPPER: Energy = ResultDefinition {
        id: "compare.cycle_energy_stepper",
        symbol: "cycle_step",
        label: "Energy per cycle, stepper",
        measure: Measure::Energy,
        meaning: "move and dwell, from the supply",
        formula: "stepper.hold_power * (move.time + move.dwell)",
        source: "the same power whatever it does",
        ..RESULT
    };
    MASS_CONVERTED: Mass = ResultDefinition {
        id: "compare.mass_converted",
        symbol: "mass_conv",
        label: "Mass, converted motor",
        measure: Measure::Mass,
        meaning: "with boards, magnet and housing",
        formula: "motor.mass + motor.added_mass",
        source: "definition",
        ..RESULT
    };
    MASS_STEPPER: Mass = ResultDefinition {
        id: "compare.mass_stepper",
        symbol: "mass_step",
        label: "Mass, stepper",
        measure: Measure::Mass,
        meaning: "with boards, magnet and housing",
        formula: "stepper.mass",
        source: "definition",
        ..RESULT
    };
}

/// A result whose measure follows the kind of axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    pub(crate) value: f64,
    pub(crate) measure: Measure,
}

impl From<Measured> for Found {
    fn from(found: Measured) -> Self {
        Self {
            value: found.value,
            exact: None,
            measure: Some(found.measure),
        }
    }
}

/// A load found by solving: a mass, or a torque where that is what is given.
#[derive(Clone, Copy, Debug)]
pub struct SolvedLoad {
    pub(crate) load: f64,
    pub(crate) measure: Measure,
}

impl From<SolvedLoad> for Found {
    fn from(solved: SolvedLoad) -> Self {
        Self {
            value: solved.load,
            exact: None,
            measure: Some(solved.measure),
        }
    }
}
