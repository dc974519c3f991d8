//! The pulses it must obey.

use crate::check::Check;
use crate::finding::Finding;

use calc::units::{Frequency, Time};

use super::{Form, INPUT, Input, Preset, Rational, Sure};
use crate::unit::Measure;

inputs! {
    after super::encoder;

    WANTED_PER_TURN: Rational = Input {
        id: "steps.wanted_per_turn",
        symbol: "S_wanted",
        label: "Steps wanted per output turn",
        form: Form::Exact,
        preset: Preset::LeftOut,
        low: ">0",
        high: "10000000",
        layer: 2,
        help: "What you want the pulse source to be set to; a round number is easier to type there",
        ..INPUT
    };
    GEARING_LIMIT: f64 = Input {
        id: "steps.gearing_limit",
        symbol: "q_max",
        label: "Largest number of the gearing fraction",
        form: Form::Whole,
        preset: Preset::Fixed("65535"),
        low: "1",
        high: "4294967295",
        layer: 3,
        help: "Firmware: the largest whole number of the gearing fraction's type",
        ..INPUT
    };
    CONTROLLER_RATE_LIMIT: Frequency = Input {
        id: "steps.controller_rate_limit",
        symbol: "f_source",
        label: "Step rate of the pulse source",
        form: Form::Quantity(Measure::Frequency),
        preset: Preset::Fixed("25 kHz"),
        low: "1 Hz",
        high: "20 MHz",
        sure: Sure::Within("10 %"),
        layer: 2,
        help: "Manual of the pulse source; plain 8-bit boards 25 to 50 kHz, 32-bit 100 to 250 kHz",
        ..INPUT
    };
    PULSE_HIGH: Time = Input {
        id: "steps.pulse_high",
        symbol: "t_high",
        label: "Shortest high it counts",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("3 us"),
        low: "10 ns",
        high: "10 ms",
        sure: Sure::Within("20 %"),
        layer: 3,
        help: "Firmware or input stage: shortest high it still counts",
        ..INPUT
    };
    PULSE_LOW: Time = Input {
        id: "steps.pulse_low",
        symbol: "t_low",
        label: "Shortest low it counts",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("3 us"),
        low: "10 ns",
        high: "10 ms",
        sure: Sure::Within("20 %"),
        layer: 3,
        help: "As above, low",
        ..INPUT
    };
    DIRECTION_SETUP: Time = Input {
        id: "steps.direction_setup",
        symbol: "t_setup",
        label: "Direction set-up it needs",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("5 us"),
        low: "0 s",
        high: "10 ms",
        sure: Sure::Within("20 %"),
        layer: 3,
        help: "As above: direction must stand this long before a step edge",
        ..INPUT
    };
    SERVICE_TIME: Time = Input {
        id: "steps.service_time",
        symbol: "t_step",
        label: "Processor time for one pulse",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("2 us"),
        low: "0 s",
        high: "1 ms",
        sure: Sure::Within("30 %"),
        layer: 3,
        help: "As edge_service_time, in the step interrupt; 0 when a timer counts the pulses",
        ..INPUT
    };
    SOURCE_PULSE_WIDTH: Time = Input {
        id: "steps.source_pulse_width",
        symbol: "t_pulse",
        label: "Pulse width that the source sends",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("5 us"),
        low: "10 ns",
        high: "10 ms",
        sure: Sure::Within("20 %"),
        layer: 3,
        help: "Scope on the step output, or the setting of the pulse source",
        ..INPUT
    };
    SOURCE_DIRECTION_SETUP: Time = Input {
        id: "steps.source_direction_setup",
        symbol: "t_lead",
        label: "Direction lead that the source sends",
        form: Form::Quantity(Measure::Time),
        preset: Preset::Fixed("10 us"),
        low: "0 s",
        high: "10 ms",
        sure: Sure::Within("20 %"),
        layer: 3,
        help: "Scope: how long the direction stands before the first step edge",
        ..INPUT
    };
    DECIMALS: u32 = Input {
        id: "steps.decimals",
        symbol: "n_dec",
        label: "Decimals of the pulse source's setting",
        form: Form::Whole,
        preset: Preset::Fixed("3"),
        low: "0",
        high: "9",
        layer: 2,
        help: "Type a long number into the pulse source's setting and see what it keeps",
        ..INPUT
    };
}

results! {
    after super::encoder;
}

/// This station's checks.
pub const CHECKS: &[Check] = &[];

/// This station's findings.
pub const FINDINGS: &[Finding] = &[];
