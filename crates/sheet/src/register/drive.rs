//! The motor on this supply.

use crate::check::Check;
use crate::finding::Finding;

use calc::drive as formulas;
use calc::units::{AngularVelocity, ElectricalResistance};

use super::{Outcome, RESULT, bridge, gears, motor, supply, wiring};
use crate::eval::{Absent, BEYOND, Eval};
use crate::unit::Measure;

inputs! {
    after super::wiring;

}

results! {
    after super::wiring;

    TOTAL_RESISTANCE: ElectricalResistance = Outcome {
        id: "drive.total_resistance",
        symbol: "R_total",
        label: "Resistance of the whole path",
        measure: Measure::Resistance,
        meaning: "winding, bridge, cable and source",
        formula: "motor.resistance + bridge.resistance + supply.source_resistance + wiring.supply_resistance",
        source: "series connection",
        ..RESULT
    }, total_resistance;
    TOP_SPEED: AngularVelocity = Outcome {
        id: "drive.top_speed",
        symbol: "ω_top",
        label: "Top speed at the output",
        measure: Measure::Speed,
        meaning: "at the highest supply voltage, no load",
        formula: "(supply.voltage - motor.no_load_current * drive.total_resistance) / (motor.back_emf_constant * gears.exact_ratio)",
        source: "voltage equation in steady state",
        shown: false,
        ..RESULT
    }, top_speed;
}

fn total_resistance(c: &Eval<'_>) -> Result<ElectricalResistance, Absent> {
    Ok(c.get(motor::RESISTANCE)?
        + c.get(bridge::RESISTANCE)?
        + c.get(supply::SOURCE_RESISTANCE)?
        + c.get(wiring::SUPPLY_RESISTANCE)?)
}

fn top_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    let voltage = match c.option(supply::HIGHEST_VOLTAGE)? {
        Some(highest) => {
            c.working("max(0, supply.highest_voltage - motor.no_load_current * drive.total_resistance) / (motor.back_emf_constant * gears.exact_ratio)");
            highest
        }
        None => c.get(supply::VOLTAGE)?,
    };
    formulas::speed_at_current(
        voltage,
        c.get(motor::NO_LOAD_CURRENT)?,
        c.get(TOTAL_RESISTANCE)?,
        c.get(motor::BACK_EMF_CONSTANT)?,
        c.get(gears::RATIO_NOW)?,
    )
    .ok_or(BEYOND)
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
