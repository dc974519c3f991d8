//! The motion asked for.

use crate::check::Check;
use crate::finding::Finding;

use calc::motion::{self as formulas, Motion};
use calc::units::{AngularAcceleration, AngularVelocity, Ratio, Time};

use super::axis::{self, Kind};
use super::{Form, INPUT, Input, Kinds, Outcome, Preset, RESULT, Travel};
use crate::eval::{Absent, Eval};
use crate::unit::Measure;

choices! {
    /// Profile of the move.
    Profile { Trapezoid = "trapezoid", Smooth = "smooth", }
}

choices! {
    /// Which current flows while the axis stands at its target.
    DwellCurrent {
        Balanced = "balanced",
        Settled = "settled",
        Relaxed = "relaxed",
        Off = "off",
    }
}

choices! {
    /// How the target is approached.
    Approach { Either = "either", Centred = "centred", OneSide = "one_side", }
}

choices! {
    /// Direction of the working move.
    Direction { Against = "against", With = "with", Both = "both", }
}

choices! {
    /// A yes or a no.
    YesNo { No = "no", Yes = "yes", }
}

inputs! {
    after super::axis;

    DISTANCE: Travel = Input {
        id: "move.distance",
        symbol: "s",
        label: "Distance of the move",
        form: Form::Travel,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Torque)), "90 deg"), (Kinds::only(Kind::Turntable), "180 deg"), (Kinds::only(Kind::Belt).or(Kinds::only(Kind::Rack)), "100 mm"), (Kinds::only(Kind::Drum), "200 mm"), (Kinds::only(Kind::Screw), "10 mm")]),
        low: ">0",
        high: "1000000 turn | 10 km",
        layer: 1,
        because: "a move that goes nowhere needs no motor",
        help: "The longest move of the job",
        ..INPUT
    };
    TIME: Time = Input {
        id: "move.time",
        symbol: "t",
        label: "Time for the move",
        form: Form::Quantity(Measure::Time),
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Torque)), "0.5 s"), (Kinds::only(Kind::Turntable).or(Kinds::only(Kind::Rack)), "2 s"), (Kinds::only(Kind::Belt), "3 s"), (Kinds::only(Kind::Drum), "4 s"), (Kinds::only(Kind::Screw), "5 s")]),
        low: "1 ms",
        high: "10 h",
        layer: 1,
        help: "Start of motion to standstill",
        ..INPUT
    };
    PROFILE: Profile = Input {
        id: "move.profile",
        symbol: "profile",
        label: "Profile of the move",
        form: Form::Choice(Profile::WORDS),
        preset: Preset::Fixed("trapezoid"),
        layer: 2,
        help: "What your pulse source does: straight ramps, or rounded",
        ..INPUT
    };
    RAMP_FRACTION: Ratio = Input {
        id: "move.ramp_fraction",
        symbol: "f_ramp",
        label: "Share of the time in each ramp",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1/3"),
        low: "0.01",
        high: "0.5",
        layer: 3,
        because: "two ramps fill the whole move at 0.5",
        help: "Ramp time / move time",
        ..INPUT
    };
    DWELL: Time = Input {
        id: "move.dwell",
        symbol: "t_dwell",
        label: "Time at the target",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("2 s"),
        low: "0 s",
        high: "30 d",
        layer: 2,
        help: "How long it holds at the target before it moves again",
        ..INPUT
    };
    DWELL_CURRENT: DwellCurrent = Input {
        id: "move.dwell_current",
        symbol: "dwell_current",
        label: "Current while it holds",
        form: Form::Choice(DwellCurrent::WORDS),
        preset: Preset::Fixed("balanced"),
        layer: 3,
        help: "Meter in a motor lead after 10 s at the target: compare with the three hold currents",
        ..INPUT
    };
    APPROACH: Approach = Input {
        id: "move.approach",
        symbol: "approach",
        label: "How the target is approached",
        form: Form::Choice(Approach::WORDS),
        preset: Preset::Fixed("either"),
        layer: 2,
        help: "Does the move always end coming from the same side, run past and back to the middle of the play, or end from either side?",
        ..INPUT
    };
    DIRECTION: Direction = Input {
        id: "move.direction",
        symbol: "direction",
        label: "Direction of the working move",
        form: Form::Choice(Direction::WORDS),
        preset: Preset::Fixed("against"),
        layer: 2,
        help: "Does the working move lift, lower, or go there and back?",
        ..INPUT
    };
    DUTY: Ratio = Input {
        id: "move.duty",
        symbol: "duty",
        label: "Share of time in such cycles",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1"),
        low: "0",
        high: "1",
        layer: 3,
        help: "Share of the time spent in such cycles, the rest switched off",
        ..INPUT
    };
    REVERSES_AT_SPEED: YesNo = Input {
        id: "move.reverses_at_speed",
        symbol: "reverses",
        label: "Reverses at full speed",
        form: Form::Choice(YesNo::WORDS),
        preset: Preset::Fixed("no"),
        layer: 3,
        help: "Does your motion ever command full speed the other way without a ramp?",
        ..INPUT
    };
}

results! {
    after super::axis;

    PEAK_SPEED: AngularVelocity = Outcome {
        id: "move.peak_speed",
        symbol: "ω_peak",
        label: "Peak speed at the output",
        measure: Measure::Speed,
        meaning: "of the gear motor’s output",
        formula: "axis.distance_at_load / axis.travel_per_turn * 2 * pi * axis.last_stage / (move.time * (1 - move.ramp_fraction))",
        source: "trapezoid",
        ..RESULT
    }, peak_speed;
    PEAK_ACCELERATION: AngularAcceleration = Outcome {
        id: "move.peak_acceleration",
        symbol: "α_peak",
        label: "Peak acceleration at the output",
        measure: Measure::AngularAcceleration,
        meaning: "of the gear motor’s output",
        formula: "move.peak_speed / (move.ramp_fraction * move.time)",
        source: "trapezoid",
        ..RESULT
    }, peak_acceleration;
}

/// The move as the gearbox output makes it.
///
/// # Errors
/// When distance, time or profile is not there.
pub fn motion(c: &Eval<'_>) -> Result<Motion, Absent> {
    Ok(Motion {
        profile: match c.get(PROFILE)? {
            Profile::Trapezoid => formulas::Profile::Trapezoid {
                ramp_fraction: c.get(RAMP_FRACTION)?,
            },
            Profile::Smooth => formulas::Profile::Smooth,
        },
        distance: axis::at_output(c, c.travel(axis::DISTANCE_AT_LOAD)?)?,
        time: c.get(TIME)?,
    })
}

fn peak_speed(c: &Eval<'_>) -> Result<AngularVelocity, Absent> {
    let angle = c.get(axis::KIND)? == Kind::Torque;
    c.working(match (c.get(PROFILE)?, angle) {
        (Profile::Trapezoid, false) => "axis.distance_at_load / axis.travel_per_turn * 2 * pi * axis.last_stage / (move.time * (1 - move.ramp_fraction))",
        (Profile::Trapezoid, true) => "axis.distance_at_load * axis.last_stage / (move.time * (1 - move.ramp_fraction))",
        (Profile::Smooth, false) => "1.875 * axis.distance_at_load / axis.travel_per_turn * 2 * pi * axis.last_stage / move.time",
        (Profile::Smooth, true) => "1.875 * axis.distance_at_load * axis.last_stage / move.time",
    });
    Ok(formulas::peak_speed(motion(c)?))
}

fn peak_acceleration(c: &Eval<'_>) -> Result<AngularAcceleration, Absent> {
    if c.get(PROFILE)? == Profile::Smooth {
        c.working("10 / sqrt(3) / 1.875 * move.peak_speed / move.time");
    }
    Ok(formulas::peak_acceleration(motion(c)?))
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
