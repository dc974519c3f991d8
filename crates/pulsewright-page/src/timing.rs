//! Times that the page takes of itself: only in the page that `cargo bench-page` makes for it.

use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::simulated::{Figure, MOVE};
use pulsewright_sheet::stations::simulation::{case, run};
use wasm_bindgen::prelude::wasm_bindgen;

use crate::dom::milliseconds;
use crate::state::origin::example;

/// Milliseconds for one full evaluation of the first example, over `n` of them.
#[wasm_bindgen]
pub fn bench_evaluate(n: u32) -> f64 {
    let design = example(0);
    let begin = milliseconds();
    let mut held = 0;
    for _ in 0..n {
        let card = Eval::new(&design);
        card.all();
        held += pulsewright_sheet::evaluation::check::all(&card).len();
    }
    let spent = milliseconds() - begin;
    if held == 0 {
        0.0
    } else {
        spent / f64::from(n.max(1))
    }
}

/// Milliseconds for one simulated second of an example's loop at 1 kHz, over `n` landings.
#[wasm_bindgen]
pub fn bench_landing(number: usize, n: u32) -> f64 {
    let design = example(number);
    let card = Eval::new(&design);
    let Ok(case) = case(&card, MOVE) else {
        return 0.0;
    };
    let begin = milliseconds();
    let mut simulated = 0.0;
    for _ in 0..n {
        if let Ok((figures, _)) = run(&case, &mut []) {
            simulated += figures[Figure::Duration as usize];
        }
    }
    (milliseconds() - begin) / f64::max(simulated, 1.0)
}
