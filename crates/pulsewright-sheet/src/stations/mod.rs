//! What computes the register's results: one module a station, of the same name as its words in the [register](crate::register).

use std::borrow::Cow;

use crate::design::Design;
use crate::evaluation::{Check, Compute, Eval, Finding, InWords, Limit, Model};
use crate::register::{INPUT_COUNT, Key, Preset, RESULT_COUNT, inputs};

/// The functions of one part of the register, each with the number of its entry.
#[derive(Clone, Copy)]
struct Functions {
    results: &'static [(usize, Compute)],
    presets: &'static [(usize, Compute)],
    limits: &'static [(usize, &'static [Limit])],
    words: &'static [(usize, InWords)],
    checks: &'static [Check],
    findings: &'static [Finding],
}

/// What a function gives, of the type that its key asks for.
fn typed<Q>(_: Key<Q>, quantity: Q) -> Q {
    quantity
}

/// Ties the functions of a part to its entries: `KEY = function;`. A result without a function, or with one of another
/// type, does not compile.
macro_rules! station {
    ($part:ident;
        results { $($result:ident = $function:path;)* }
        $(presets { $($preset:ident = $stands_in:expr;)* })?
        $(limits { $($limited:ident: $relation:ident $other:expr, $name:literal, $because:literal;)* })?
        $(words { $($worded:ident = $in_words:expr;)* })?
    ) => {
        pub(super) const FUNCTIONS: crate::stations::Functions = crate::stations::Functions {
            results: &[$((crate::register::$part::$result.index(), {
                fn computed(
                    c: &crate::evaluation::Eval<'_>,
                ) -> Result<f64, crate::evaluation::Absent> {
                    let found = crate::stations::typed(crate::register::$part::$result, $function(c)?);
                    Ok(c.record(found.into()))
                }
                computed
            }),)*],
            presets: &[$($((crate::register::$part::$preset.index(), $stands_in),)*)?],
            limits: &[$($((crate::register::$part::$limited.index(), &[crate::evaluation::Limit {
                relation: crate::evaluation::Relation::$relation,
                other: $other,
                name: $name,
                because: $because,
            }]),)*)?],
            words: &[$($((crate::register::$part::$worded.index(), $in_words),)*)?],
            checks: CHECKS,
            findings: FINDINGS,
        };
    };
}

mod axis;
mod bench;
mod bridge;
mod card;
mod drive;
mod encoder;
mod gears;
mod heat;
mod landing;
mod motor;
mod movement;
mod position_loop;
mod regulator;
pub mod shared;
pub mod simulation;
mod stepper;
mod steps;
mod supply;
mod verdict;
mod wiring;

macro_rules! every_function {
    ($($part:ident $($station:ident)?;)+) => {
        const FUNCTIONS: &[Functions] = &[$($part::FUNCTIONS,)+];
        const CHECKS: &[&[Check]] = &[$($part::FUNCTIONS.checks,)+];
        const FINDINGS: &[&[Finding]] = &[$($part::FUNCTIONS.findings,)+];
    };
}
stations! { every_function }

/// Stands where no function was tied, which does not compile.
fn nothing(_: &Eval<'_>) -> Result<f64, crate::evaluation::Absent> {
    Err(crate::evaluation::NOT_FINITE)
}

/// Findings that are faults, each with the check that fails by it: no fault stands beside a verdict that passes. Where
/// one stands here twice, it fails the first of its checks only where none of them fails by itself.
const FAULTS: &[(&str, &str)] = &[
    ("no_direction", "check.direction"),
    ("edges_lost", "check.edges"),
    ("processor_overloaded", "check.processor_load"),
    ("step_rate_low", "check.step_rate"),
    ("level_mismatch", "check.logic_level"),
    ("move_out_of_reach", "check.voltage"),
    ("reversal_overcurrent", "check.bridge_current"),
    ("shuts_down_on_start", "check.stall"),
    ("stall_beyond_bridge", "check.stall"),
    ("gears_overloaded", "check.gear_continuous"),
    ("teeth_overloaded", "check.gear_peak"),
    ("hold_overheats", "check.holding_current"),
    ("cycle_overheats", "check.winding_temperature"),
    ("no_thermal_equilibrium", "check.winding_temperature"),
    ("softens_bracket", "check.bracket"),
    ("bridge_overheats", "check.bridge_temperature"),
    ("regulator_overheats", "check.regulator_temperature"),
    ("brown_out", "check.brown_out"),
    ("regeneration_overvoltage", "check.regenerated_voltage"),
    ("supply_overloaded", "check.supply_current"),
    ("trace_overloaded", "check.trace"),
    ("rounding_adds_up", "check.rounding"),
    ("no_home", "check.homing"),
    ("loop_margin_low", "check.phase_margin"),
    ("derivative_chatter", "check.phase_margin"),
    ("loop_unstable", "check.final_error"),
    ("loop_hunts", "check.final_error"),
    ("final_error_large", "check.final_error"),
    ("not_arrived", "check.final_error"),
    ("settles_late", "check.final_error"),
    ("counts_lost", "check.final_error"),
    ("following_error_limit_low", "check.final_error"),
    ("stall_timeout_short", "check.final_error"),
    ("stall_timeout_long", "check.stall_time"),
];

/// The functions of every station.
static MODEL: Model = {
    let mut results: [Compute; RESULT_COUNT] = [nothing; RESULT_COUNT];
    let mut tied = [false; RESULT_COUNT];
    let mut presets: [Option<Compute>; INPUT_COUNT] = [None; INPUT_COUNT];
    let mut limits: [&'static [Limit]; INPUT_COUNT] = [&[]; INPUT_COUNT];
    let mut words: [Option<InWords>; RESULT_COUNT] = [None; RESULT_COUNT];
    let mut part = 0;
    while part < FUNCTIONS.len() {
        let of = FUNCTIONS[part];
        let mut row = 0;
        while row < of.results.len() {
            let at = of.results[row].0 - INPUT_COUNT;
            assert!(!tied[at], "a result has two functions");
            tied[at] = true;
            results[at] = of.results[row].1;
            row += 1;
        }
        row = 0;
        while row < of.presets.len() {
            presets[of.presets[row].0] = Some(of.presets[row].1);
            row += 1;
        }
        row = 0;
        while row < of.limits.len() {
            limits[of.limits[row].0] = of.limits[row].1;
            row += 1;
        }
        row = 0;
        while row < of.words.len() {
            words[of.words[row].0 - INPUT_COUNT] = Some(of.words[row].1);
            row += 1;
        }
        part += 1;
    }
    let mut at = 0;
    while at < RESULT_COUNT {
        assert!(tied[at], "a result has no function");
        at += 1;
    }
    at = 0;
    while at < INPUT_COUNT {
        let computed = matches!(inputs()[at].preset, Preset::Computed(_));
        assert!(
            computed == presets[at].is_some(),
            "a computed preset has no function, or another has one"
        );
        at += 1;
    }
    Model {
        results,
        presets,
        limits,
        words,
        checks: CHECKS,
        findings: FINDINGS,
        faults: FAULTS,
    }
};

impl<'a> Eval<'a> {
    /// Begins with every station's functions; nothing is computed until it is asked for.
    #[must_use]
    pub fn new(design: &'a Design) -> Self {
        Self::with(&MODEL, Cow::Borrowed(design))
    }

    /// The same with the design inside, for whoever keeps it.
    #[must_use]
    pub fn owned(design: Design) -> Eval<'static> {
        Eval::with(&MODEL, Cow::Owned(design))
    }
}

/// Every station's checks, in the order of the card.
pub fn checks() -> impl Iterator<Item = &'static Check> {
    MODEL.checks()
}

/// Every station's findings, in the order of the card.
pub fn findings() -> impl Iterator<Item = &'static Finding> {
    MODEL.findings()
}
