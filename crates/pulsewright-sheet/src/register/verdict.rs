//! What it all comes to: the error at the load, what to buy and to set, and the comparison.

use pulsewright_calc::error_budget::{self as formulas, FlankLoad, Shares};
use pulsewright_calc::position_loop::{self, FixedPoint};
use pulsewright_calc::preferred;
use pulsewright_calc::stepper::Converted;
use pulsewright_calc::units::{
    Angle, AngularVelocity, ElectricCurrent, Energy, Mass, Power, Ratio, Time, Torque,
    TorquePerMass,
};

use super::movement::{self, Approach};
use super::{
    Found, Key, Outcome, RESULT, Station, Travel, axis, bridge, drive, encoder, gears, heat, motor,
    position_loop as control, regulator, stepper, steps, supply,
};
use crate::check::{Check, Room};
use crate::eval::{Absent, BEYOND, Code, Eval};
use crate::finding::Finding;
use crate::manner::Units;
use crate::num;
use crate::solve::CLEAR;
use crate::unit::Measure;

results! {
    after super::stepper;

    TRAVEL_PER_ANGLE: Measured = Outcome {
        id: "error.travel_per_angle",
        symbol: "s_rad",
        label: "Travel of the load for one radian of the output",
        measure: Measure::Length,
        meaning: "carries errors from the output to the load",
        formula: "axis.travel_per_turn / (2 * pi * axis.last_stage)",
        source: "geometry",
        shown: false,
        ..RESULT
    }, travel_per_angle;
    ERROR_BACKLASH: Travel = Outcome {
        id: "error.backlash",
        symbol: "e_play",
        label: "Share of the free play",
        measure: Measure::Angle,
        meaning: "0 where the load keeps the teeth on one flank, or one side is always approached",
        formula: "gears.free_play_at_load",
        source: "lost motion at a reversal (common practice, no source)",
        ..RESULT
    }, backlash_share;
    ERROR_TWIST: Travel = Outcome {
        id: "error.twist",
        symbol: "e_twist",
        label: "Twist of gears and shaft while it holds",
        measure: Measure::Angle,
        meaning: "the sensor sits before it and does not see it",
        formula: "error.travel_per_angle * axis.holding_torque / gears.stiffness",
        source: "Hooke's law",
        ..RESULT
    }, twist;
    ERROR_HALF_COUNT: Travel = Outcome {
        id: "error.half_count",
        symbol: "e_count",
        label: "Half a count",
        measure: Measure::Angle,
        meaning: "finer the sensors cannot tell",
        formula: "error.travel_per_angle * encoder.angle_per_count / 2",
        source: "quantisation",
        ..RESULT
    }, half_count;
    ERROR_HALF_STEP: Travel = Outcome {
        id: "error.half_step",
        symbol: "e_step",
        label: "Half a step",
        measure: Measure::Angle,
        meaning: "finer cannot be commanded",
        formula: "error.travel_per_angle * steps.angle_per_step / 2",
        source: "quantisation",
        ..RESULT
    }, half_step;
    ERROR_DROOP: Travel = Outcome {
        id: "error.droop",
        symbol: "e_droop",
        label: "What the loop leaves at rest",
        measure: Measure::Angle,
        meaning: "its deadband, or what it needs to push against the load",
        formula: "error.travel_per_angle * loop.droop",
        source: "steady state of the loop",
        ..RESULT
    }, droop;
    ERROR_ROUNDING: Travel = Outcome {
        id: "error.rounding",
        symbol: "e_rounding",
        label: "Rounding of the pulse source over the move",
        measure: Measure::Angle,
        meaning: "grows with the distance",
        formula: "steps.rounding_error_over_travel",
        source: "definition",
        ..RESULT
    }, rounding;
    ERROR_TRANSMISSION: Travel = Outcome {
        id: "error.transmission",
        symbol: "e_teeth",
        label: "Unevenness of the teeth",
        measure: Measure::Angle,
        meaning: "comes back every turn of the output",
        formula: "error.travel_per_angle * gears.transmission_error",
        source: "transmission error of a gear train",
        ..RESULT
    }, transmission;
    ERROR_WORST: Travel = Outcome {
        id: "error.worst",
        symbol: "e_worst",
        label: "Position error, everything at its worst",
        measure: Measure::Angle,
        meaning: "at the load, all shares the same way at once",
        formula: "abs(error.backlash) + abs(error.twist) + abs(error.half_count) + abs(error.half_step) + abs(error.droop) + abs(error.rounding) + abs(error.transmission)",
        source: "sum of absolute bounds",
        ..RESULT
    }, worst;
    ERROR_LIKELY: Travel = Outcome {
        id: "error.likely",
        symbol: "e_likely",
        label: "Position error, standard uncertainty",
        measure: Measure::Angle,
        meaning: "at the load, two moves in three end within it",
        formula: "sqrt((error.backlash ^ 2 + error.twist ^ 2 + error.half_count ^ 2 + error.half_step ^ 2 + error.droop ^ 2 + error.rounding ^ 2 + error.transmission ^ 2) / 3)",
        source: "JCGM 100:2008 (GUM), 4.3.7 and 5.1.2, from memory; rectangular and independent shares",
        ..RESULT
    }, likely;
    ERROR_HOME: Travel = Outcome {
        id: "error.home",
        symbol: "e_start",
        label: "What homing adds",
        measure: Measure::Angle,
        meaning: "shifts every position from one power-up to the next",
        formula: "'the repeatability of home, as the load shows it'",
        source: "definition",
        ..RESULT
    }, home;
    ERROR_AFTER_HOMING: Travel = Outcome {
        id: "error.worst_after_homing",
        symbol: "e_homed",
        label: "Position error after another homing, at its worst",
        measure: Measure::Angle,
        meaning: "against marks made before the power went",
        formula: "error.worst + error.home",
        source: "sum of absolute bounds",
        ..RESULT
    }, after_homing;
    NEED_STALL_TORQUE: Torque = Outcome {
        id: "need.stall_torque",
        symbol: "T_buy",
        label: "Stall torque to look for in a listing",
        measure: Measure::Torque,
        meaning: "of a gear motor, at its output",
        formula: "max(4 * abs(axis.holding_torque), 3.3 * abs(move.peak_torque))",
        source: "continuous torque of 25 to 30 % of the stall torque (common practice, no source)",
        words: Some(need_stall_words),
        ..RESULT
    }, need_stall_torque;
    NEED_NO_LOAD_SPEED: AngularVelocity = Outcome {
        id: "need.no_load_speed",
        symbol: "ω_buy",
        label: "No-load speed to look for in a listing",
        measure: Measure::Speed,
        meaning: "of a gear motor, at its output",
        formula: "1.3 * move.peak_speed",
        source: "1.3 to 2.5 times the peak speed (common practice, no source)",
        words: Some(need_speed_words),
        ..RESULT
    }, need_no_load_speed;
    NEED_NO_LOAD_SPEED_MOST: AngularVelocity = Outcome {
        id: "need.no_load_speed_most",
        symbol: "ω_buymost",
        label: "Greatest no-load speed to look for",
        measure: Measure::Speed,
        meaning: "a faster one wastes torque",
        formula: "2.5 * move.peak_speed",
        source: "1.3 to 2.5 times the peak speed (common practice, no source)",
        shown: false,
        ..RESULT
    }, need_no_load_speed_most;
    STEPS_PER_UNIT: Measured = Outcome {
        id: "settings.steps_per_unit",
        symbol: "k_source",
        label: "Steps for each unit of travel",
        measure: Measure::PerMillimetre,
        meaning: "for the pulse source",
        formula: "steps.per_unit_rounded",
        source: "definition",
        ..RESULT
    }, steps_per_unit;
    TOP_RATE: Measured = Outcome {
        id: "settings.top_rate",
        symbol: "v_top",
        label: "Top rate",
        measure: Measure::Speed,
        meaning: "for the pulse source; a fifth is left to the loop",
        formula: "min(steps.speed_limit, 0.8 * drive.speed_at_load) / axis.last_stage",
        source: "a reserve of a fifth (common practice, no source)",
        words: Some(top_rate_words),
        ..RESULT
    }, top_rate;
    ACCELERATION: Measured = Outcome {
        id: "settings.acceleration",
        symbol: "a_set",
        label: "Acceleration",
        measure: Measure::AngularAcceleration,
        meaning: "for the pulse source; the one that every check was held with",
        formula: "move.peak_acceleration / axis.last_stage",
        source: "definition",
        words: Some(acceleration_words),
        ..RESULT
    }, acceleration;
    PULSE_WIDTH: Time = Outcome {
        id: "settings.pulse_width",
        symbol: "t_set",
        label: "Pulse width",
        measure: Measure::Time,
        meaning: "for the pulse source; at least",
        formula: "1.25 * steps.pulse_high",
        source: "what the input needs, with the room of a clear check",
        ..RESULT
    }, pulse_width;
    DIRECTION_LEAD: Time = Outcome {
        id: "settings.direction_lead",
        symbol: "t_setlead",
        label: "Direction before the first step",
        measure: Measure::Time,
        meaning: "for the pulse source; at least",
        formula: "1.25 * steps.direction_setup",
        source: "what the input needs, with the room of a clear check",
        ..RESULT
    }, direction_lead;
    STALL_TIMEOUT: Time = Outcome {
        id: "settings.stall_timeout",
        symbol: "t_letgo",
        label: "Time at full drive before it lets go",
        measure: Measure::Time,
        meaning: "for the firmware",
        formula: "min(heat.stall_time / 2, 2)",
        source: "drop the current after 1 to 2 s without motion (common practice, no source)",
        ..RESULT
    }, stall_timeout;
    HOLD_DUTY: Ratio = Outcome {
        id: "settings.hold_duty",
        symbol: "D_hold",
        label: "Duty that holds the load",
        measure: Measure::Share,
        meaning: "winding cold, the supply's sag counted",
        formula: "2 * hold.dwell_current * drive.motor_resistance / (supply.voltage + sqrt(supply.voltage ^ 2 - 4 * drive.supply_path_resistance * drive.motor_resistance * hold.dwell_current ^ 2))",
        source: "power balance of supply and winding",
        shown: false,
        ..RESULT
    }, hold_duty;
    HOLD_PWM: Ratio = Outcome {
        id: "settings.hold_pwm",
        symbol: "n_hold",
        label: "PWM that holds the load",
        measure: Measure::Count,
        meaning: "for the firmware, of its full scale",
        formula: "ceil(settings.hold_duty * loop.pwm_resolution)",
        source: "definition",
        ..RESULT
    }, hold_pwm;
    ERROR_LIMIT: Ratio = Outcome {
        id: "settings.error_limit",
        symbol: "n_giveup",
        label: "Error at which to give up",
        measure: Measure::Count,
        meaning: "for the firmware, in counts",
        formula: "ceil(2 * max(abs(loop.speed_lag), axis.tolerance_at_load / error.travel_per_angle) / encoder.angle_per_count)",
        source: "twice what a sound move shows (common practice, no source)",
        ..RESULT
    }, error_limit;
    PROPORTIONAL_FIXED: Ratio = Outcome {
        id: "settings.proportional_fixed",
        symbol: "q_p",
        label: "Proportional gain in 65 536ths",
        measure: Measure::Count,
        meaning: "for the firmware, 16.16 fixed point",
        formula: "round(loop.proportional_steps * 65536)",
        source: "definition of a fixed-point number",
        words: Some(|c| whole_words(c, PROPORTIONAL_FIXED)),
        ..RESULT
    }, proportional_fixed;
    PROPORTIONAL_ROUNDING: Ratio = Outcome {
        id: "settings.proportional_rounding",
        symbol: "ε_p",
        label: "Rounding of that gain",
        measure: Measure::Share,
        meaning: "above 0: stored too great",
        formula: "settings.proportional_fixed / (loop.proportional_steps * 65536) - 1",
        source: "definition",
        shown: false,
        ..RESULT
    }, proportional_rounding;
    INTEGRAL_FIXED: Ratio = Outcome {
        id: "settings.integral_fixed",
        symbol: "q_i",
        label: "Integral gain in 65 536ths",
        measure: Measure::Count,
        meaning: "for the firmware, 16.16 fixed point",
        formula: "round(loop.integral_steps * 65536)",
        source: "definition of a fixed-point number",
        words: Some(|c| whole_words(c, INTEGRAL_FIXED)),
        ..RESULT
    }, integral_fixed;
    INTEGRAL_ROUNDING: Ratio = Outcome {
        id: "settings.integral_rounding",
        symbol: "ε_i",
        label: "Rounding of that gain",
        measure: Measure::Share,
        meaning: "above 0: stored too great",
        formula: "settings.integral_fixed / (loop.integral_steps * 65536) - 1",
        source: "definition",
        shown: false,
        ..RESULT
    }, integral_rounding;
    DERIVATIVE_FIXED: Ratio = Outcome {
        id: "settings.derivative_fixed",
        symbol: "q_d",
        label: "Derivative gain in 65 536ths",
        measure: Measure::Count,
        meaning: "for the firmware, 16.16 fixed point",
        formula: "round(loop.derivative_steps * 65536)",
        source: "definition of a fixed-point number",
        words: Some(|c| whole_words(c, DERIVATIVE_FIXED)),
        ..RESULT
    }, derivative_fixed;
    DERIVATIVE_ROUNDING: Ratio = Outcome {
        id: "settings.derivative_rounding",
        symbol: "ε_d",
        label: "Rounding of that gain",
        measure: Measure::Share,
        meaning: "above 0: stored too great",
        formula: "settings.derivative_fixed / (loop.derivative_steps * 65536) - 1",
        source: "definition",
        shown: false,
        ..RESULT
    }, derivative_rounding;
    FIRST_POWER_CURRENT: ElectricCurrent = Outcome {
        id: "settings.first_power_current",
        symbol: "I_first",
        label: "Current limit of the supply for the first power-up",
        measure: Measure::Current,
        meaning: "enough to turn, too little to break anything",
        formula: "3 * motor.no_load_current",
        source: "common practice, no source",
        ..RESULT
    }, first_power_current;
    SHORTEST_TIME: Time = Outcome {
        id: "verdict.shortest_time",
        symbol: "t_least",
        label: "Shortest time for this move",
        measure: Measure::Time,
        meaning: "voltage, current, gears, pulse rate and edges all kept",
        formula: "move.shortest_time",
        source: "the move solved for its time",
        ..RESULT
    }, shortest_time;
    GREATEST_LOAD: SolvedLoad = Outcome {
        id: "verdict.greatest_load",
        symbol: "m_most",
        label: "Greatest load that it carries",
        measure: Measure::Mass,
        meaning: "where the first check that the load has a part in is just met",
        formula: "'sought by halving on the whole evaluation'",
        source: "every check solved for the load",
        shown: false,
        costly: true,
        ..RESULT
    }, greatest_load;
    HELD_FOR_EVER_CONVERTED: Torque = Outcome {
        id: "compare.held_for_ever_converted",
        symbol: "held_conv",
        label: "Torque held for ever, converted motor",
        measure: Measure::Torque,
        meaning: "no help from friction or gear losses",
        formula: "min(gears.exact_ratio * motor.torque_constant * min(heat.continuous_current, bridge.current_limit), gears.continuous_torque)",
        source: "torque constant times ratio",
        ..RESULT
    }, held_for_ever_converted;
    HELD_FOR_EVER_STEPPER: Torque = Outcome {
        id: "compare.held_for_ever_stepper",
        symbol: "held_step",
        label: "Torque held for ever, stepper",
        measure: Measure::Torque,
        meaning: "no help from friction or gear losses",
        formula: "stepper.holding_torque",
        source: "the listing",
        ..RESULT
    }, held_for_ever_stepper;
    HELD_10_S_CONVERTED: Torque = Outcome {
        id: "compare.held_10_s_converted",
        symbol: "held10_conv",
        label: "Torque held for 10 s, converted motor",
        measure: Measure::Torque,
        meaning: "from cold, within what teeth, bridge and supply give",
        formula: "'the greatest torque whose current leaves the winding below its limit for ten seconds from cold, within gears.peak_torque, bridge.current_limit and drive.stall_current'",
        source: "two thermal nodes",
        ..RESULT
    }, held_10_s_converted;
    HELD_10_S_STEPPER: Torque = Outcome {
        id: "compare.held_10_s_stepper",
        symbol: "held10_step",
        label: "Torque held for 10 s, stepper",
        measure: Measure::Torque,
        meaning: "from cold, within what teeth, bridge and supply give",
        formula: "stepper.holding_torque",
        source: "the listing",
        ..RESULT
    }, held_10_s_stepper;
    HELD_PER_MASS_CONVERTED: TorquePerMass = Outcome {
        id: "compare.held_per_mass_converted",
        symbol: "heldmass_conv",
        label: "Held torque for its mass, converted motor",
        measure: Measure::TorquePerMass,
        meaning: "held for ever, boards included",
        formula: "compare.held_for_ever_converted / (motor.mass + motor.added_mass)",
        source: "definition",
        ..RESULT
    }, held_per_mass_converted;
    HELD_PER_MASS_STEPPER: TorquePerMass = Outcome {
        id: "compare.held_per_mass_stepper",
        symbol: "heldmass_step",
        label: "Held torque for its mass, stepper",
        measure: Measure::TorquePerMass,
        meaning: "held for ever, boards included",
        formula: "stepper.torque_per_mass",
        source: "definition",
        ..RESULT
    }, held_per_mass_stepper;
    HOLD_POWER_CONVERTED: Power = Outcome {
        id: "compare.hold_power_converted",
        symbol: "holdpower_conv",
        label: "Power to hold this load, converted motor",
        measure: Measure::Power,
        meaning: "from the supply, processor included",
        formula: "hold.power + supply.voltage * regulator.input_current",
        source: "copper loss and the boards' own draw",
        ..RESULT
    }, hold_power_converted;
    HOLD_POWER_STEPPER: Power = Outcome {
        id: "compare.hold_power_stepper",
        symbol: "holdpower_step",
        label: "Power to hold this load, stepper",
        measure: Measure::Power,
        meaning: "from the supply, processor included",
        formula: "stepper.hold_power",
        source: "Joule's law",
        ..RESULT
    }, hold_power_stepper;
    SMALLEST_STEP_CONVERTED: Travel = Outcome {
        id: "compare.smallest_step_converted",
        symbol: "smallest_conv",
        label: "Smallest commanded step, converted motor",
        measure: Measure::Angle,
        meaning: "at the load; microsteps add no accuracy",
        formula: "error.travel_per_angle * max(steps.angle_per_step, encoder.angle_per_count)",
        source: "definition",
        ..RESULT
    }, smallest_step_converted;
    SMALLEST_STEP_STEPPER: Travel = Outcome {
        id: "compare.smallest_step_stepper",
        symbol: "smallest_step",
        label: "Smallest commanded step, stepper",
        measure: Measure::Angle,
        meaning: "at the load; microsteps add no accuracy",
        formula: "error.travel_per_angle * stepper.smallest_step",
        source: "definition",
        ..RESULT
    }, smallest_step_stepper;
    POSITION_ERROR_CONVERTED: Travel = Outcome {
        id: "compare.position_error_converted",
        symbol: "poserr_conv",
        label: "Position error under the load, converted motor",
        measure: Measure::Angle,
        meaning: "at the load, at its worst",
        formula: "error.worst",
        source: "sum of absolute bounds",
        ..RESULT
    }, position_error_converted;
    POSITION_ERROR_STEPPER: Travel = Outcome {
        id: "compare.position_error_stepper",
        symbol: "poserr_step",
        label: "Position error under the load, stepper",
        measure: Measure::Angle,
        meaning: "at the load, at its worst",
        formula: "error.travel_per_angle * stepper.position_error",
        source: "sum of absolute bounds",
        ..RESULT
    }, position_error_stepper;
    SPEED_WITH_LOAD_CONVERTED: AngularVelocity = Outcome {
        id: "compare.speed_with_load_converted",
        symbol: "loadspeed_conv",
        label: "Speed with the load, converted motor",
        measure: Measure::Speed,
        meaning: "at the output, warm",
        formula: "drive.speed_at_load_hot",
        source: "voltage equation in steady state",
        ..RESULT
    }, speed_with_load_converted;
    SPEED_WITH_LOAD_STEPPER: AngularVelocity = Outcome {
        id: "compare.speed_with_load_stepper",
        symbol: "loadspeed_step",
        label: "Speed with the load, stepper",
        measure: Measure::Speed,
        meaning: "at the output, warm",
        formula: "stepper.speed_with_load",
        source: "the torque estimate solved for speed (common practice, no source)",
        ..RESULT
    }, speed_with_load_stepper;
    MOVE_TORQUE_CONVERTED: Torque = Outcome {
        id: "compare.move_torque_converted",
        symbol: "movetorque_conv",
        label: "Torque for the move, converted motor",
        measure: Measure::Torque,
        meaning: "peak at the output",
        formula: "move.peak_torque",
        source: "Newton's second law for rotation",
        ..RESULT
    }, move_torque_converted;
    MOVE_TORQUE_STEPPER: Torque = Outcome {
        id: "compare.move_torque_stepper",
        symbol: "movetorque_step",
        label: "Torque for the move, stepper",
        measure: Measure::Torque,
        meaning: "peak at the output",
        formula: "stepper.torque_for_move",
        source: "Newton's second law for rotation",
        ..RESULT
    }, move_torque_stepper;
    CYCLE_ENERGY_CONVERTED: Energy = Outcome {
        id: "compare.cycle_energy_converted",
        symbol: "cycle_conv",
        label: "Energy of one cycle, converted motor",
        measure: Measure::Energy,
        meaning: "move and dwell, from the supply",
        formula: "(supply.mean_power + supply.voltage * supply.board_current) * (move.time + move.dwell)",
        source: "mean power times time",
        ..RESULT
    }, cycle_energy_converted;
    CYCLE_ENERGY_STEPPER: Energy = Outcome {
        id: "compare.cycle_energy_stepper",
        symbol: "cycle_step",
        label: "Energy of one cycle, stepper",
        measure: Measure::Energy,
        meaning: "move and dwell, from the supply",
        formula: "stepper.hold_power * (move.time + move.dwell)",
        source: "the same power whatever it does",
        ..RESULT
    }, cycle_energy_stepper;
    MASS_CONVERTED: Mass = Outcome {
        id: "compare.mass_converted",
        symbol: "mass_conv",
        label: "Mass, converted motor",
        measure: Measure::Mass,
        meaning: "with boards, magnet and housing",
        formula: "motor.mass + motor.added_mass",
        source: "definition",
        ..RESULT
    }, mass_converted;
    MASS_STEPPER: Mass = Outcome {
        id: "compare.mass_stepper",
        symbol: "mass_step",
        label: "Mass, stepper",
        measure: Measure::Mass,
        meaning: "with boards, magnet and housing",
        formula: "stepper.mass",
        source: "definition",
        ..RESULT
    }, mass_stepper;
}

/// A result whose measure follows the kind of axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    value: f64,
    measure: Measure,
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

/// The travel as an angle of the axis: what [`axis::shown_angle`] makes a travel of.
fn angle_of(c: &Eval<'_>, travel: Travel) -> Result<Angle, Absent> {
    Ok(axis::at_output(c, travel)? / c.get(axis::LAST_STAGE_NOW)?.value)
}

fn travel_per_angle(c: &Eval<'_>) -> Result<Measured, Absent> {
    let radian = Angle::new::<uom::si::angle::radian>(1.0);
    let travel = axis::at_load(c, radian)?;
    let measure = match travel {
        Travel::Angle(_) => {
            c.working("1 / axis.last_stage");
            Measure::Ratio
        }
        Travel::Length(_) => Measure::Length,
    };
    Ok(Measured {
        value: travel.raw(),
        measure,
    })
}

/// Share of the free play that shows in where the load stops, at the load.
///
/// # Errors
/// When the load or the gears are not there.
pub fn backlash_share(c: &Eval<'_>) -> Result<Travel, Absent> {
    // Before the loss of a last stage: that loss only scales what is left over, unless the stage
    // locks. Then the load keeps none of the gears' teeth loaded.
    let held = c.get(axis::HOLDING_TORQUE)?;
    let locks = axis::last_stage_efficiency(c)?.value <= 0.5;
    let flank = FlankLoad {
        holding_torque: if locks { Torque::default() } else { held },
        friction_torque: c.get(movement::LOAD_AGAINST)? - held,
        load_inertia: c.get(axis::LOAD_INERTIA)?,
        peak_acceleration: c.get(movement::PEAK_ACCELERATION)?,
    };
    let approach = match c.get(movement::APPROACH)? {
        Approach::Either => formulas::Approach::Either,
        Approach::Centred => formulas::Approach::Centred,
        Approach::OneSide => formulas::Approach::OneSide,
    };
    let play = angle_of(c, c.travel(gears::FREE_PLAY)?)?;
    let share = formulas::backlash_share(play, approach, &flank);
    if approach == formulas::Approach::OneSide {
        c.working("'0: it always comes from the same side'");
    } else if flank.keeps_one_flank() {
        c.working("'0: the holding torque outweighs friction and acceleration, the teeth never change flanks'");
    } else if approach == formulas::Approach::Centred {
        c.working("gears.free_play_at_load / 2");
    } else {
        c.working("gears.free_play_at_load");
    }
    axis::shown_angle(c, share)
}

fn twist(c: &Eval<'_>) -> Result<Travel, Absent> {
    let twist =
        formulas::holding_twist(c.get(axis::HOLDING_TORQUE)?, c.get(control::STIFFNESS_NOW)?);
    axis::at_load(c, twist.ok_or(BEYOND)?)
}

fn half_count(c: &Eval<'_>) -> Result<Travel, Absent> {
    axis::at_load(c, c.get(encoder::ANGLE_PER_COUNT)? / 2.0)
}

fn half_step(c: &Eval<'_>) -> Result<Travel, Absent> {
    axis::at_load(c, c.get(steps::ANGLE_PER_STEP)? / 2.0)
}

fn droop(c: &Eval<'_>) -> Result<Travel, Absent> {
    axis::at_load(c, c.get(control::DROOP)?)
}

fn rounding(c: &Eval<'_>) -> Result<Travel, Absent> {
    c.travel(steps::ROUNDING_ERROR)
}

fn transmission(c: &Eval<'_>) -> Result<Travel, Absent> {
    axis::at_load(c, c.get(gears::TRANSMISSION_ERROR)?)
}

/// The shares of the position error, as angles of the axis.
fn shares(c: &Eval<'_>) -> Result<Shares, Absent> {
    let share = |key: Key<Travel>| c.travel(key).and_then(|travel| angle_of(c, travel));
    Ok(Shares {
        backlash: share(ERROR_BACKLASH)?,
        holding_twist: share(ERROR_TWIST)?,
        half_count: share(ERROR_HALF_COUNT)?,
        half_step: share(ERROR_HALF_STEP)?,
        droop: share(ERROR_DROOP)?,
        rounding: share(ERROR_ROUNDING)?,
        transmission: share(ERROR_TRANSMISSION)?,
    })
}

fn worst(c: &Eval<'_>) -> Result<Travel, Absent> {
    axis::shown_angle(c, formulas::worst(&shares(c)?))
}

fn likely(c: &Eval<'_>) -> Result<Travel, Absent> {
    axis::shown_angle(c, formulas::likely(&shares(c)?))
}

fn home(c: &Eval<'_>) -> Result<Travel, Absent> {
    if c.get(axis::HOME)? == axis::Home::None || c.left_out_now(axis::HOME_REPEATABILITY) {
        return Err(Absent::not_asked(
            "nothing is said of how well home is found again",
        ));
    }
    axis::entered(c, axis::HOME_REPEATABILITY)
}

fn after_homing(c: &Eval<'_>) -> Result<Travel, Absent> {
    let both = angle_of(c, c.travel(ERROR_WORST)?)? + angle_of(c, c.travel(ERROR_HOME)?)?;
    axis::shown_angle(c, both)
}

fn need_stall_torque(c: &Eval<'_>) -> Result<Torque, Absent> {
    Ok(preferred::stall_torque_needed(
        c.get(axis::HOLDING_TORQUE)?,
        c.get(movement::PEAK_TORQUE)?,
    ))
}

/// A torque as listings write it, beside SI.
fn need_stall_words(c: &Eval<'_>) -> Option<String> {
    let torque = c.get(NEED_STALL_TORQUE).ok()?.value;
    let said = c.manner.said(Measure::Torque, torque, 3);
    if c.manner.units != Units::Si {
        return Some([&said, " or more"].concat());
    }
    let listed = c.manner.number(torque / KILOGRAM_FORCE_CENTIMETRE, 3);
    Some([&said, " (", &listed, " kgf·cm) or more"].concat())
}

/// 1 kgf·cm in N·m, exact (NIST SP 811, B.8).
const KILOGRAM_FORCE_CENTIMETRE: f64 = pulsewright_calc::units::STANDARD_GRAVITY / 100.0;

fn need_no_load_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    Ok(preferred::no_load_speed_needed(c.get(movement::PEAK_SPEED)?).0)
}

fn need_no_load_speed_most(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    Ok(preferred::no_load_speed_needed(c.get(movement::PEAK_SPEED)?).1)
}

fn need_speed_words(c: &Eval<'_>) -> Option<String> {
    let shown = |key: Key<AngularVelocity>| {
        let speed = c.get(key).ok()?.value;
        Some(c.manner.shown(Measure::Speed, speed, 3))
    };
    let ((least, _), (most, unit)) = (shown(NEED_NO_LOAD_SPEED)?, shown(NEED_NO_LOAD_SPEED_MOST)?);
    Some([&least, " to ", &most, " ", unit].concat())
}

fn steps_per_unit(c: &Eval<'_>) -> Result<Measured, Absent> {
    Ok(Measured {
        value: c.raw(steps::PER_UNIT_ROUNDED.index())?,
        measure: if c.get(axis::KIND)?.is_linear() {
            Measure::PerMillimetre
        } else {
            Measure::PerDegree
        },
    })
}

/// A rate of the output as the pulse source takes it: along the travel, or of the axis.
fn for_source(
    c: &Eval<'_>,
    output: f64,
    along: Measure,
    around: Measure,
) -> Result<Measured, Absent> {
    let (value, measure) = if c.get(axis::KIND)?.is_linear() {
        (output * c.raw(TRAVEL_PER_ANGLE.index())?, along)
    } else {
        (output / c.get(axis::LAST_STAGE_NOW)?.value, around)
    };
    Ok(Measured { value, measure })
}

fn top_rate(c: &Eval<'_>) -> Result<Measured, Absent> {
    let top = position_loop::top_speed(c.get(steps::SPEED_LIMIT)?, c.get(drive::SPEED_AT_LOAD)?);
    if c.get(axis::KIND)?.is_linear() {
        c.working("min(steps.speed_limit, 0.8 * drive.speed_at_load) * error.travel_per_angle");
    }
    for_source(c, top.value, Measure::Velocity, Measure::Speed)
}

/// The value of `key` times `linear` or `rotary`, with the unit that the pulse source takes.
fn source_words(
    c: &Eval<'_>,
    key: Key<Measured>,
    linear: (f64, &str),
    rotary: (f64, &str),
) -> Option<String> {
    let value = c.raw(key.index()).ok()?;
    let (factor, unit) = if c.get(axis::KIND).ok()?.is_linear() {
        linear
    } else {
        rotary
    };
    Some([&c.manner.number(value * factor, 4), " ", unit].concat())
}

fn top_rate_words(c: &Eval<'_>) -> Option<String> {
    source_words(
        c,
        TOP_RATE,
        (60e3, "mm/min"),
        (60.0_f64.to_degrees(), "°/min"),
    )
}

fn acceleration(c: &Eval<'_>) -> Result<Measured, Absent> {
    let peak = c.get(movement::PEAK_ACCELERATION)?.value;
    if c.get(axis::KIND)?.is_linear() {
        c.working("move.peak_acceleration * error.travel_per_angle");
    }
    for_source(c, peak, Measure::Acceleration, Measure::AngularAcceleration)
}

fn acceleration_words(c: &Eval<'_>) -> Option<String> {
    source_words(
        c,
        ACCELERATION,
        (1e3, "mm/s²"),
        (1.0_f64.to_degrees(), "°/s²"),
    )
}

fn pulse_width(c: &Eval<'_>) -> Result<Time, Absent> {
    Ok(CLEAR * c.get(steps::PULSE_HIGH)?)
}

fn direction_lead(c: &Eval<'_>) -> Result<Time, Absent> {
    Ok(CLEAR * c.get(steps::DIRECTION_SETUP)?)
}

fn stall_timeout(c: &Eval<'_>) -> Result<Time, Absent> {
    let stall_time = match c.get(heat::STALL_TIME) {
        Ok(time) => Some(time),
        Err(absent) if absent.code == Code::Unlimited => {
            c.working("2");
            None
        }
        Err(absent) => return Err(absent),
    };
    Ok(position_loop::stall_timeout(stall_time))
}

fn hold_duty(c: &Eval<'_>) -> Result<Ratio, Absent> {
    position_loop::hold_duty(
        c.get(heat::DWELL_CURRENT)?,
        c.get(drive::MOTOR_RESISTANCE)?,
        c.get(supply::VOLTAGE)?,
        c.get(drive::SUPPLY_PATH)?,
    )
    .ok_or(Absent::impossible(
        "even full duty does not drive the current that holds this load",
    ))
}

fn hold_pwm(c: &Eval<'_>) -> Result<Ratio, Absent> {
    let full = f64::from(c.get(control::PWM_RESOLUTION)?);
    Ok(Ratio::from(libm::ceil(c.get(HOLD_DUTY)?.value * full)))
}

fn error_limit(c: &Eval<'_>) -> Result<Ratio, Absent> {
    position_loop::error_limit(
        c.get(control::SPEED_LAG)?,
        axis::at_output(c, c.travel(axis::TOLERANCE_AT_LOAD)?)?,
        c.get(encoder::ANGLE_PER_COUNT)?,
    )
    .ok_or(BEYOND)
}

/// A gain as the firmware stores it.
fn stored(c: &Eval<'_>, gain: Key<Ratio>) -> Result<FixedPoint, Absent> {
    position_loop::fixed_point(c.get(gain)?).ok_or(Absent::impossible(
        "the gain does not fit 16.16 fixed point: 32 768 or more",
    ))
}

fn fixed(c: &Eval<'_>, gain: Key<Ratio>) -> Result<Ratio, Absent> {
    Ok(Ratio::from(f64::from(stored(c, gain)?.raw)))
}

fn rounded(c: &Eval<'_>, gain: Key<Ratio>) -> Result<Ratio, Absent> {
    if c.get(gain)?.value == 0.0 {
        c.working("0");
    }
    Ok(stored(c, gain)?.rounding)
}

/// A whole number with all its digits.
fn whole_words(c: &Eval<'_>, key: Key<Ratio>) -> Option<String> {
    Some(num::int(c.get(key).ok()?.value as i64))
}

fn proportional_fixed(c: &Eval<'_>) -> Result<Ratio, Absent> {
    fixed(c, control::PROPORTIONAL_STEPS)
}

fn proportional_rounding(c: &Eval<'_>) -> Result<Ratio, Absent> {
    rounded(c, control::PROPORTIONAL_STEPS)
}

fn integral_fixed(c: &Eval<'_>) -> Result<Ratio, Absent> {
    fixed(c, control::INTEGRAL_STEPS)
}

fn integral_rounding(c: &Eval<'_>) -> Result<Ratio, Absent> {
    rounded(c, control::INTEGRAL_STEPS)
}

fn derivative_fixed(c: &Eval<'_>) -> Result<Ratio, Absent> {
    fixed(c, control::DERIVATIVE_STEPS)
}

fn derivative_rounding(c: &Eval<'_>) -> Result<Ratio, Absent> {
    rounded(c, control::DERIVATIVE_STEPS)
}

fn first_power_current(c: &Eval<'_>) -> Result<ElectricCurrent, Absent> {
    Ok(3.0 * c.get(motor::NO_LOAD_CURRENT)?)
}

fn shortest_time(c: &Eval<'_>) -> Result<Time, Absent> {
    c.get(movement::SHORTEST_TIME)
}

fn held_for_ever_converted(c: &Eval<'_>) -> Result<Torque, Absent> {
    stepper::asked(c)?;
    Ok(pulsewright_calc::stepper::torque_held_for_ever(
        &Converted {
            ratio: c.get(gears::RATIO_NOW)?,
            torque_constant: c.get(motor::TORQUE_CONSTANT)?,
            continuous_current: c.get(heat::CONTINUOUS_CURRENT)?,
            current_limit: c.get(bridge::CURRENT_LIMIT)?,
            gear_torque: Some(c.get(gears::CONTINUOUS_TORQUE)?),
        },
    ))
}

fn held_for_ever_stepper(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.get(stepper::HOLDING_TORQUE)
}

fn held_10_s_converted(c: &Eval<'_>) -> Result<Torque, Absent> {
    stepper::asked(c)?;
    let ten_seconds = Time::new::<uom::si::time::second>(10.0);
    let current = pulsewright_calc::heat::greatest_current_for(
        heat::model(c)?,
        ten_seconds,
        c.get(motor::MAX_WINDING_TEMPERATURE)?,
    )
    .unwrap_or_default();
    Ok(pulsewright_calc::stepper::torque_held_for_ever(
        &Converted {
            ratio: c.get(gears::RATIO_NOW)?,
            torque_constant: c.get(motor::TORQUE_CONSTANT)?,
            continuous_current: current,
            current_limit: c
                .get(bridge::CURRENT_LIMIT)?
                .min(c.get(drive::STALL_CURRENT)?),
            gear_torque: Some(c.get(gears::PEAK_TORQUE)?),
        },
    ))
}

fn held_10_s_stepper(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.get(stepper::HOLDING_TORQUE)
}

fn held_per_mass_converted(c: &Eval<'_>) -> Result<TorquePerMass, Absent> {
    let held = c.get(HELD_FOR_EVER_CONVERTED)?;
    pulsewright_calc::motor::torque_per_mass(held, c.get(motor::MASS)?, c.get(motor::ADDED_MASS)?)
        .ok_or(BEYOND)
}

fn held_per_mass_stepper(c: &Eval<'_>) -> Result<TorquePerMass, Absent> {
    c.get(stepper::TORQUE_PER_MASS)
}

fn hold_power_converted(c: &Eval<'_>) -> Result<Power, Absent> {
    stepper::asked(c)?;
    Ok(c.get(heat::HOLD_POWER)? + c.get(supply::VOLTAGE)? * c.get(regulator::INPUT_CURRENT)?)
}

fn hold_power_stepper(c: &Eval<'_>) -> Result<Power, Absent> {
    c.get(stepper::HOLD_POWER)
}

fn smallest_step_converted(c: &Eval<'_>) -> Result<Travel, Absent> {
    stepper::asked(c)?;
    let (step, count) = (
        c.get(steps::ANGLE_PER_STEP)?,
        c.get(encoder::ANGLE_PER_COUNT)?,
    );
    axis::at_load(c, step.max(count))
}

fn smallest_step_stepper(c: &Eval<'_>) -> Result<Travel, Absent> {
    axis::at_load(c, c.get(stepper::SMALLEST_STEP)?)
}

fn position_error_converted(c: &Eval<'_>) -> Result<Travel, Absent> {
    stepper::asked(c)?;
    c.travel(ERROR_WORST)
}

fn position_error_stepper(c: &Eval<'_>) -> Result<Travel, Absent> {
    axis::at_load(c, c.get(stepper::POSITION_ERROR)?)
}

fn speed_with_load_converted(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    stepper::asked(c)?;
    c.get(drive::SPEED_AT_LOAD_HOT)
}

fn speed_with_load_stepper(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    c.get(stepper::SPEED_WITH_LOAD)
}

fn move_torque_converted(c: &Eval<'_>) -> Result<Torque, Absent> {
    stepper::asked(c)?;
    c.get(movement::PEAK_TORQUE)
}

fn move_torque_stepper(c: &Eval<'_>) -> Result<Torque, Absent> {
    c.get(stepper::TORQUE_FOR_MOVE)
}

fn cycle_energy_converted(c: &Eval<'_>) -> Result<Energy, Absent> {
    stepper::asked(c)?;
    let boards = c.get(supply::VOLTAGE)? * c.get(supply::BOARD_CURRENT)?;
    Ok(pulsewright_calc::stepper::cycle_energy(
        c.get(supply::MEAN_POWER)? + boards,
        c.get(movement::TIME)?,
        c.get(movement::DWELL)?,
    ))
}

fn cycle_energy_stepper(c: &Eval<'_>) -> Result<Energy, Absent> {
    Ok(pulsewright_calc::stepper::cycle_energy(
        c.get(stepper::HOLD_POWER)?,
        c.get(movement::TIME)?,
        c.get(movement::DWELL)?,
    ))
}

fn mass_converted(c: &Eval<'_>) -> Result<Mass, Absent> {
    stepper::asked(c)?;
    Ok(c.get(motor::MASS)? + c.get(motor::ADDED_MASS)?)
}

fn mass_stepper(c: &Eval<'_>) -> Result<Mass, Absent> {
    c.get(stepper::MASS)
}

/// A load found by solving: a mass, or a torque where that is what is given.
#[derive(Clone, Copy, Debug)]
pub struct SolvedLoad {
    load: f64,
    measure: Measure,
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

fn greatest_load(c: &Eval<'_>) -> Result<SolvedLoad, Absent> {
    for held in crate::check::all(c) {
        c.rest_on(held.rests_on);
    }
    let solved = crate::solve::greatest_load(c.design()).ok_or(Absent::impossible(
        "no load at all meets every check that it has a part in",
    ))?;
    if solved.check.is_none() {
        return Err(Absent::unlimited(
            "no check stops the load before the end of its range",
        ));
    }
    Ok(SolvedLoad {
        load: solved.load,
        measure: crate::register::measure(solved.input),
    })
}

/// This station's checks.
pub const CHECKS: &[Check] = &[Check {
    id: "check.position",
    label: "Position error against the error allowed",
    under: "it ends up to {error.worst} off, you ask {axis.tolerance_at_load}",
    station: Station::Verdict,
    measure: Measure::Angle,
    room: position_room,
}];

fn position_room(c: &Eval<'_>) -> Result<Option<Room>, Absent> {
    Ok(Some(Room::of_travel(
        c.travel(axis::TOLERANCE_AT_LOAD)?,
        c.travel(ERROR_WORST)?,
    )))
}

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
