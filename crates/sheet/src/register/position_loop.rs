//! The position loop.

use crate::check::Check;
use crate::finding::Finding;

use calc::units::{ElectricCurrent, Frequency, Ratio, Time};

use super::axis::Kind;
use super::{Form, INPUT, Input, Kinds, Must, Preset, Rule, Sure, Travel};
use crate::eval::{Absent, Eval};
use crate::unit::Measure;

choices! {
    /// What the loop does once it stands on target.
    OnTarget { Drive = "drive", Brake = "brake", Release = "release", }
}

fn tenth_of_sampling(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok(0.1 / c.bare(SAMPLE_TIME)?)
}

fn bandwidth(c: &Eval<'_>) -> Result<f64, Absent> {
    Ok((0.1 / c.get(SAMPLE_TIME)?.value).min(4.0))
}

inputs! {
    after super::drive;

    SAMPLE_TIME: Time = Input {
        id: "loop.sample_time",
        symbol: "T_s",
        label: "Sample time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("1 ms"),
        low: "10 us",
        high: "100 ms",
        sure: Sure::Within("1 %"),
        layer: 2,
        help: "Firmware: period of the control interrupt",
        ..INPUT
    };
    DELAY: u32 = Input {
        id: "loop.delay",
        symbol: "n_delay",
        label: "Samples from count to PWM",
        form: Form::Whole,
        preset: Preset::Fixed("1"),
        low: "0",
        high: "5",
        layer: 3,
        help: "Firmware: samples between reading the count and the new PWM",
        ..INPUT
    };
    BANDWIDTH: Frequency = Input {
        id: "loop.bandwidth",
        symbol: "f_b",
        label: "Bandwidth asked for",
        form: Form::Quantity(Measure::Frequency),
        preset: Preset::From(bandwidth, "4 Hz, or a tenth of a lower sampling rate"),
        low: "0.01 Hz",
        high: "10 kHz",
        layer: 2,
        rules: &[Rule { must: Must::AtMost, than: tenth_of_sampling, name: "a tenth of the sampling rate", because: "a loop cannot act on what it has not sampled" }],
        help: "Start at 4 Hz; a target, not a reading",
        ..INPUT
    };
    DAMPING: Ratio = Input {
        id: "loop.damping",
        symbol: "ζ",
        label: "Damping ratio",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1.0"),
        low: "0.4",
        high: "1",
        layer: 3,
        help: "1 = no overshoot; 0.7 = quickest with a little",
        ..INPUT
    };
    INTEGRAL_TIME: Time = Input {
        id: "loop.integral_time",
        symbol: "T_i",
        label: "Integral time",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("0.2 s"),
        low: "5 ms",
        high: "100 s",
        layer: 2,
        none: true,
        help: "Firmware; none only where the load never pushes at rest",
        ..INPUT
    };
    FEED_FORWARD: Ratio = Input {
        id: "loop.feed_forward",
        symbol: "k_ff",
        label: "Feed-forward of the speed",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("0"),
        low: "0",
        high: "1.5",
        layer: 3,
        help: "Firmware: share of the commanded speed added",
        ..INPUT
    };
    VOLTAGE_LIMIT: Ratio = Input {
        id: "loop.voltage_limit",
        symbol: "u_max",
        label: "Largest duty",
        form: Form::Quantity(Measure::Ratio),
        preset: Preset::Fixed("1"),
        low: "0.05",
        high: "1",
        layer: 3,
        help: "Firmware: largest share of full duty that the loop may ask",
        ..INPUT
    };
    CURRENT_LIMIT: ElectricCurrent = Input {
        id: "loop.current_limit",
        symbol: "I_loop",
        label: "Current limit of the loop",
        form: Form::Quantity(Measure::Current),
        preset: Preset::LeftOut,
        low: "10 mA",
        high: "200 A",
        sure: Sure::Within("10 %"),
        layer: 3,
        help: "Firmware or bridge: current at which the loop holds back; left out: the bridge's own if it chops",
        ..INPUT
    };
    ERROR_LIMIT: u32 = Input {
        id: "loop.error_limit",
        symbol: "e_limit",
        label: "Error at which it gives up",
        form: Form::Whole,
        preset: Preset::LeftOut,
        low: "1",
        high: "1000000",
        layer: 3,
        help: "Firmware: error at which it gives up and says so",
        ..INPUT
    };
    STALL_TIMEOUT: Time = Input {
        id: "loop.stall_timeout",
        symbol: "t_stall",
        label: "Time at full drive before it lets go",
        form: Form::Quantity(Measure::Time),
        preset: Preset::LeftOut,
        low: "10 ms",
        high: "1000 s",
        layer: 3,
        help: "Firmware: seconds of full drive without motion before it lets go",
        ..INPUT
    };
    ON_TARGET: OnTarget = Input {
        id: "loop.on_target",
        symbol: "on_target",
        label: "What it does on target",
        form: Form::Choice(OnTarget::WORDS),
        preset: Preset::Fixed("drive"),
        layer: 3,
        help: "Firmware: what it does once it stands on target: drive on, brake, or release",
        ..INPUT
    };
    PWM_RESOLUTION: u32 = Input {
        id: "loop.pwm_resolution",
        symbol: "n_pwm",
        label: "PWM resolution",
        form: Form::Whole,
        preset: Preset::Fixed("1000"),
        low: "16",
        high: "65535",
        layer: 3,
        help: "Timer clock / PWM frequency",
        ..INPUT
    };
    DEADBAND: u32 = Input {
        id: "loop.deadband",
        symbol: "n_dead",
        label: "Deadband",
        form: Form::Whole,
        preset: Preset::Fixed("1"),
        low: "0",
        high: "1000",
        layer: 2,
        help: "Firmware: error left alone at rest",
        ..INPUT
    };
    STEP_TEST: Travel = Input {
        id: "loop.step_test",
        symbol: "s_test",
        label: "Step of the step test",
        form: Form::Travel,
        preset: Preset::ByKind(&[(Kinds::only(Kind::Arm).or(Kinds::only(Kind::Turntable)).or(Kinds::only(Kind::Torque)), "10 deg"), (Kinds::only(Kind::Belt).or(Kinds::only(Kind::Screw)).or(Kinds::only(Kind::Rack)).or(Kinds::only(Kind::Drum)), "5 mm")]),
        low: ">0",
        high: "100 turn | 1 m",
        layer: 3,
        help: "A jump big enough to see, small enough not to hit a stop",
        ..INPUT
    };
}

results! {
    after super::heat;
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
