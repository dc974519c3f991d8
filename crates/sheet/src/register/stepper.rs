//! The stepper that it replaces.

use crate::check::Check;
use crate::finding::Finding;

use calc::units::{
    Angle, ElectricCurrent, ElectricPotential, ElectricalResistance, Inductance, Mass,
    MomentOfInertia, Ratio, Torque,
};

use super::{Form, INPUT, Input, Preset, Sure};
use crate::eval::{Absent, Eval};
use crate::unit::Measure;

/// Whether anything of the stepper is given; until then all of it is left out.
fn asked(c: &Eval<'_>) -> Result<(), Absent> {
    for index in INPUTS_AT..INPUTS_AT + INPUTS.len() {
        if c.is_given(index) {
            return Ok(());
        }
    }
    Err(Absent::not_asked(
        "give one figure of the stepper to compare with it",
    ))
}

macro_rules! once_asked {
    ($($name:ident = $value:expr;)*) => {$(
        fn $name(c: &Eval<'_>) -> Result<f64, Absent> {
            asked(c).map(|()| $value)
        }
    )*};
}

once_asked! {
    step_angle = 1.8_f64.to_radians();
    holding_torque = 0.40;
    phase_current = 1.2;
    phase_resistance = 2.5;
    phase_inductance = 3.5e-3;
    drive_voltage = 12.0;
    microsteps = 16.0;
    rotor_inertia = 54e-7;
    mass = 0.260;
    step_accuracy = 0.05;
}

inputs! {
    after super::position_loop;

    STEP_ANGLE: Angle = Input {
        id: "stepper.step_angle",
        symbol: "θ_step",
        label: "Step angle",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::From(step_angle, "1.8°, once anything of the stepper is given"),
        low: "0.1 deg",
        high: "90 deg",
        sure: Sure::Near,
        layer: 2,
        help: "Label: 1.8° = 200 steps, 0.9° = 400",
        ..INPUT
    };
    HOLDING_TORQUE: Torque = Input {
        id: "stepper.holding_torque",
        symbol: "T_hold",
        label: "Holding torque",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::From(holding_torque, "0.40 N·m, once anything of the stepper is given"),
        low: ">0 N.m",
        high: "100 N.m",
        sure: Sure::Within("10 %"),
        layer: 2,
        help: "Label or listing, at rated phase current",
        ..INPUT
    };
    PHASE_CURRENT: ElectricCurrent = Input {
        id: "stepper.phase_current",
        symbol: "I_ph",
        label: "Phase current",
        form: Form::Quantity(Measure::Current),
        preset: Preset::From(phase_current, "1.2 A, once anything of the stepper is given"),
        low: "10 mA",
        high: "20 A",
        sure: Sure::Within("5 %"),
        layer: 2,
        help: "Label; the driver's setting if lower",
        ..INPUT
    };
    PHASE_RESISTANCE: ElectricalResistance = Input {
        id: "stepper.phase_resistance",
        symbol: "R_ph",
        label: "Phase resistance",
        form: Form::Quantity(Measure::Resistance),
        preset: Preset::From(phase_resistance, "2.5 Ω, once anything of the stepper is given"),
        low: "0.05 Ohm",
        high: "500 Ohm",
        sure: Sure::Within("10 %"),
        layer: 2,
        help: "Ohmmeter across one phase",
        ..INPUT
    };
    PHASE_INDUCTANCE: Inductance = Input {
        id: "stepper.phase_inductance",
        symbol: "L_ph",
        label: "Phase inductance",
        form: Form::Quantity(Measure::Inductance),
        preset: Preset::From(phase_inductance, "3.5 mH, once anything of the stepper is given"),
        low: "0.05 mH",
        high: "500 mH",
        sure: Sure::Within("20 %"),
        layer: 3,
        help: "Label or LCR meter across one phase",
        ..INPUT
    };
    DRIVE_VOLTAGE: ElectricPotential = Input {
        id: "stepper.drive_voltage",
        symbol: "V_drive",
        label: "Voltage of its driver",
        form: Form::Quantity(Measure::Voltage),
        preset: Preset::From(drive_voltage, "12 V, once anything of the stepper is given"),
        low: "3 V",
        high: "100 V",
        sure: Sure::Within("5 %"),
        layer: 2,
        help: "Supply of its driver",
        ..INPUT
    };
    MICROSTEPS: u32 = Input {
        id: "stepper.microsteps",
        symbol: "n_micro",
        label: "Microsteps",
        form: Form::Whole,
        preset: Preset::From(microsteps, "16, once anything of the stepper is given"),
        low: "1",
        high: "256",
        layer: 2,
        help: "Jumpers or setting of its driver",
        ..INPUT
    };
    ROTOR_INERTIA: MomentOfInertia = Input {
        id: "stepper.rotor_inertia",
        symbol: "J_step",
        label: "Rotor inertia",
        form: Form::Quantity(Measure::Inertia),
        preset: Preset::From(rotor_inertia, "54 g·cm², once anything of the stepper is given"),
        low: "0.1 g.cm2",
        high: "50000 g.cm2",
        sure: Sure::Within("20 %"),
        layer: 3,
        help: "Listing",
        ..INPUT
    };
    MASS: Mass = Input {
        id: "stepper.mass",
        symbol: "m_step",
        label: "Mass with its driver",
        form: Form::Quantity(Measure::Mass),
        preset: Preset::From(mass, "260 g, once anything of the stepper is given"),
        low: ">0 kg",
        high: "20 kg",
        sure: Sure::Within("5 %"),
        layer: 2,
        help: "Kitchen scale, motor and driver board",
        ..INPUT
    };
    STEP_ACCURACY: Ratio = Input {
        id: "stepper.step_accuracy",
        symbol: "a_step",
        label: "Accuracy, as a share of a step",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::From(step_accuracy, "0.05 of a step, once anything of the stepper is given"),
        low: "0",
        high: "0.5",
        layer: 3,
        help: "Listing, usually ± 5 % of a full step",
        ..INPUT
    };
}

results! {
    after super::position_loop;
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
