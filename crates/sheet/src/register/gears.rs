//! The gearbox.

use crate::check::Check;
use crate::finding::Finding;

use calc::units::{Angle, Force, Ratio, Stiffness, Torque};

use super::{Form, INPUT, Input, Must, Preset, Rational, Rule, Shares, Stages, Sure};
use crate::eval::{Absent, Eval};
use crate::unit::Measure;

/// Continuous and peak torque of small metal gears by class, N·m (common practice, no source).
const GEAR_TORQUES: [(f64, f64); 4] = [(0.12, 0.3), (0.2, 0.4), (0.5, 1.2), (1.5, 4.0)];

fn continuous_torque(c: &Eval<'_>) -> Result<f64, Absent> {
    let usual = GEAR_TORQUES[c.class()?].0;
    if c.given(PEAK_TORQUE) {
        Ok(usual.min(0.4 * c.bare(PEAK_TORQUE)?))
    } else {
        Ok(usual)
    }
}

fn peak_torque(c: &Eval<'_>) -> Result<f64, Absent> {
    let usual = GEAR_TORQUES[c.class()?].1;
    if c.given(CONTINUOUS_TORQUE) {
        Ok(usual.max(2.5 * c.bare(CONTINUOUS_TORQUE)?))
    } else {
        Ok(usual)
    }
}

inputs! {
    after super::motor;

    STAGES: Stages = Input {
        id: "gears.stages",
        symbol: "stages",
        label: "Teeth of each stage, driven : driver",
        form: Form::Stages,
        preset: Preset::LeftOut,
        layer: 2,
        help: "Open the gearbox of a spare and count, motor side first; a planetary stage is (ring + sun):sun",
        ..INPUT
    };
    RATIO: Rational = Input {
        id: "gears.ratio",
        symbol: "i_given",
        label: "Ratio, motor turns per output turn",
        form: Form::Exact,
        preset: Preset::Fixed("100"),
        low: "0.01",
        high: "1000000",
        layer: 1,
        because: "0 would never turn the output, and no small gearbox goes beyond a million",
        help: "Listing: how many turns of the rear shaft make one turn of the output",
        ..INPUT
    };
    NOMINAL_RATIO: Rational = Input {
        id: "gears.nominal_ratio",
        symbol: "i_label",
        label: "Ratio on the label",
        form: Form::Exact,
        preset: Preset::LeftOut,
        low: "0.01",
        high: "1000000",
        layer: 2,
        help: "The round number on the label, when teeth or counting say another",
        ..INPUT
    };
    STAGE_COUNT: u32 = Input {
        id: "gears.stage_count",
        symbol: "n_given",
        label: "Number of stages",
        form: Form::Whole,
        preset: Preset::LeftOut,
        low: "1",
        high: "8",
        layer: 3,
        help: "Count the gear pairs; a worm alone: 1",
        ..INPUT
    };
    EFFICIENCY: Ratio = Input {
        id: "gears.efficiency",
        symbol: "η_given",
        label: "Efficiency of the whole train",
        form: Form::Quantity(Measure::Share),
        preset: Preset::LeftOut,
        low: "0.02",
        high: "1",
        sure: Sure::Within("15 %"),
        layer: 3,
        because: "nothing gives out more than goes in",
        help: "Lever and scale at two known currents below stall; else leave it out",
        ..INPUT
    };
    STAGE_EFFICIENCIES: Shares = Input {
        id: "gears.stage_efficiencies",
        symbol: "η_stages",
        label: "Efficiency of each stage",
        form: Form::Shares,
        preset: Preset::LeftOut,
        low: "0.02",
        high: "1",
        layer: 3,
        because: "nothing gives out more than goes in",
        help: "One figure a stage, motor side first, from a maker's sheet: 0.9; 0.9; 0.4",
        ..INPUT
    };
    EFFICIENCY_PER_STAGE: Ratio = Input {
        id: "gears.efficiency_per_stage",
        symbol: "η_stage",
        label: "Usual efficiency of a stage",
        form: Form::Quantity(Measure::Share),
        preset: Preset::Fixed("0.90"),
        low: "0.5",
        high: "1",
        sure: Sure::Within("0.04"),
        layer: 3,
        help: "Small metal spur stage 0.90 to 0.95, planetary stage about 0.9, single-start worm 0.3 to 0.5",
        ..INPUT
    };
    BACKLASH: Angle = Input {
        id: "gears.backlash",
        symbol: "b",
        label: "Free play at the output",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::ByClass(["3 deg", "2.5 deg", "2.5 deg", "2.5 deg"]),
        low: "0 deg",
        high: "45 deg",
        sure: Sure::Within("1 deg"),
        layer: 2,
        help: "2.5°",
        ..INPUT
    };
    STIFFNESS: Stiffness = Input {
        id: "gears.stiffness",
        symbol: "k_given",
        label: "Torsional stiffness at the output",
        form: Form::Quantity(Measure::Stiffness),
        preset: Preset::LeftOut,
        low: "0.01 N.m/rad",
        high: "100000 N.m/rad",
        sure: Sure::Within("50 %"),
        layer: 3,
        help: "Rear shaft held, hang a known weight on a lever past the free play: torque / extra angle",
        ..INPUT
    };
    CONTINUOUS_TORQUE: Torque = Input {
        id: "gears.continuous_torque",
        symbol: "T_gear",
        label: "Torque the gears take for ever",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::From(continuous_torque, "this class's usual figure, or 0.4 of a smaller given peak"),
        low: ">0 N.m",
        high: "500 N.m",
        sure: Sure::Within("25 %"),
        layer: 2,
        help: "Maker's sheet; unlisted small metal gears: 10–12 mm 0.1 to 0.25, 20–25 mm 0.3 to 0.8, 37 mm 0.8 to 1.5 N·m",
        ..INPUT
    };
    PEAK_TORQUE: Torque = Input {
        id: "gears.peak_torque",
        symbol: "T_teeth",
        label: "Torque the teeth take at most",
        form: Form::Quantity(Measure::Torque),
        preset: Preset::From(peak_torque, "this class's usual figure, or 2.5 times a larger given continuous torque"),
        low: ">0 N.m",
        high: "1000 N.m",
        sure: Sure::Within("25 %"),
        layer: 2,
        rules: &[Rule { must: Must::AtLeast, than: |c| c.bare(CONTINUOUS_TORQUE), name: "the continuous torque", because: "what teeth take for ever they also take once" }],
        help: "Maker's sheet; unlisted: 1.5 to 3 × continuous",
        ..INPUT
    };
    RADIAL_LIMIT: Force = Input {
        id: "gears.radial_limit",
        symbol: "F_radial",
        label: "Radial force the output shaft takes",
        form: Form::Quantity(Measure::Force),
        preset: Preset::ByClass(["15 N", "30 N", "40 N", "60 N"]),
        low: "1 N",
        high: "50000 N",
        sure: Sure::Within("30 %"),
        layer: 3,
        help: "60 N",
        ..INPUT
    };
    TRANSMISSION_ERROR: Angle = Input {
        id: "gears.transmission_error",
        symbol: "e_gear",
        label: "Transmission error",
        form: Form::Quantity(Measure::Angle),
        preset: Preset::Fixed("0.3 deg"),
        low: "0 deg",
        high: "10 deg",
        sure: Sure::Within("50 %"),
        layer: 3,
        help: "Counts commanded against a dial or protractor over one output turn, one direction: half the swing of the difference",
        ..INPUT
    };
}

results! {
    after super::motor;
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
