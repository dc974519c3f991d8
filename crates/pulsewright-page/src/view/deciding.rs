//! The three to five figures of each station that decide: they stand large, all others in a table.

use pulsewright_sheet::register::{
    Station, axis, bridge, drive, encoder, gears, heat, landing, motor, movement, position_loop,
    regulator, stepper, steps, supply, verdict, wiring,
};

/// The deciding figures of a station, by their number in the register.
pub fn of(station: Station) -> Vec<usize> {
    match station {
        Station::Axis => vec![
            axis::HOLDING_TORQUE.index(),
            axis::LOAD_TORQUE.index(),
            axis::INERTIA_RATIO.index(),
            axis::BACK_DRIVES.index(),
        ],
        Station::Move => vec![
            movement::PEAK_TORQUE.index(),
            movement::PEAK_SPEED.index(),
            movement::PEAK_CURRENT.index(),
            movement::SHORTEST_TIME.index(),
        ],
        Station::Motor => vec![
            motor::RESISTANCE.index(),
            motor::STALL_RATIO.index(),
            motor::BEST_EFFICIENCY.index(),
        ],
        Station::Gears => vec![
            gears::EXACT_RATIO.index(),
            gears::EFFICIENCY_NOW.index(),
            gears::BACKLASH_AT_LOAD.index(),
            gears::SAFE_CURRENT.index(),
        ],
        Station::Encoder => vec![
            encoder::COUNTS_PER_OUTPUT_TURN.index(),
            encoder::ARC_PER_COUNT.index(),
            encoder::DIRECTION.index(),
            encoder::VALID_SPACINGS.index(),
            encoder::EDGE_RATE.index(),
        ],
        Station::Steps => vec![
            steps::PER_UNIT.index(),
            steps::GEARING_NUMERATOR.index(),
            steps::GEARING_DENOMINATOR.index(),
            steps::RATE_NEEDED.index(),
            steps::SPEED_LIMIT.index(),
        ],
        Station::Bridge => vec![
            bridge::CURRENT_MARGIN.index(),
            bridge::JUNCTION_TEMPERATURE.index(),
            bridge::JUNCTION_HOLD.index(),
            bridge::JUNCTION_STALL.index(),
        ],
        Station::Supply => vec![
            supply::WORST_CURRENT.index(),
            supply::VOLTAGE_AT_WORST.index(),
            supply::REGENERATED_VOLTAGE.index(),
            supply::FUSE.index(),
            supply::FIT_CAPACITANCE.index(),
        ],
        Station::Regulator => vec![
            regulator::LOAD_CURRENT.index(),
            regulator::LOSS.index(),
            regulator::JUNCTION_TEMPERATURE.index(),
        ],
        Station::Wiring => vec![
            wiring::VOLTAGE_DROP.index(),
            wiring::GROUND_SHIFT.index(),
            wiring::LEVEL_MARGIN_HIGH.index(),
            wiring::FIT_GAUGE.index(),
        ],
        Station::Drive => vec![
            drive::STALL_TORQUE.index(),
            drive::NO_LOAD_SPEED.index(),
            drive::SPEED_AT_LOAD_HOT.index(),
            drive::CURRENT_AT_LOAD.index(),
        ],
        Station::Heat => vec![
            heat::DWELL_CURRENT.index(),
            heat::WINDING_TEMPERATURE.index(),
            heat::HOLD_TIME.index(),
            heat::TOUCH_TEMPERATURE.index(),
        ],
        Station::Loop => vec![
            landing::FINAL_ERROR.index(),
            landing::SETTLING_TIME.index(),
            position_loop::PHASE_MARGIN.index(),
            position_loop::BANDWIDTH_LIMIT.index(),
            position_loop::DROOP.index(),
        ],
        Station::Stepper => vec![
            stepper::TORQUE_FOR_MOVE.index(),
            stepper::TORQUE_AT_SPEED.index(),
            stepper::POSITION_ERROR.index(),
            stepper::HOLD_POWER.index(),
        ],
        Station::Verdict => vec![
            verdict::ERROR_WORST.index(),
            verdict::ERROR_STANDARD_UNCERTAINTY.index(),
            verdict::MAX_LOAD.index(),
            verdict::SHORTEST_TIME.index(),
        ],
        Station::Bench => Vec::new(),
    }
}
