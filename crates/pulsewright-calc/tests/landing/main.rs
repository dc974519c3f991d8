//! Proofs of the simulated landing: against control theory, against a brute-force integrator that
//! is written straight from the model, against the energy balance, against closed forms, and
//! against bad input.

// A check that cannot run has failed.
#![allow(clippy::unwrap_used)]

mod at_rest;
mod balance;
mod bounded;
mod brute_force;
mod closed_forms;
mod designs;
mod forced;
mod refined;
mod tuned;
mod zero_order_hold;
