//! The landing, simulated beside the page, so that typing never waits for it.
//!
//! A worker runs the same program. It is handed the design as a link and a number, and hands back
//! that number with the figures; an answer to what has changed since is dropped. Without a worker
//! the page simulates by itself once nothing has been typed for a while.

use std::cell::RefCell;
use std::rc::Rc;

use gloo_timers::callback::Timeout;
use js_sys::{Array, Float64Array};
use sheet::eval::{Absent, Eval};
use sheet::landing::{self, COMMANDS, Case, Landed};
use wasm_bindgen::prelude::*;

use crate::beside::Beside;
use crate::desk::Desk;
use crate::dom;

/// Rest after a change before it is simulated, ms.
const REST: u32 = 150;

/// The same where the page itself simulates.
const LONG_REST: u32 = 600;

/// Figures and traces of the design in a link; what the worker is asked for.
#[wasm_bindgen]
pub fn landing(link: &str) -> Vec<f64> {
    match sheet::link::read(link) {
        Ok(read) => landing::numbers(&Eval::new(&read.design)),
        Err(_) => Vec::new(),
    }
}

type Cases = [Result<Case, Absent>; COMMANDS];

fn cases(c: &Eval<'_>) -> Cases {
    core::array::from_fn(|command| landing::case(c, command))
}

/// What was simulated last, and for what.
type Last = Option<(Cases, Rc<Landed>)>;

#[derive(Default)]
struct Work {
    /// Number of the last change; answers to another are stale.
    version: u32,
    rest: Option<Timeout>,
    worker: Option<Beside>,
    /// It has not answered yet.
    busy: bool,
    /// There is no worker in this browser.
    alone: bool,
    last: Last,
}

thread_local! {
    static WORK: RefCell<Work> = RefCell::default();
}

/// The evaluation with the landing, where what moves and its command are those simulated last.
pub fn recall(eval: Eval<'static>) -> Eval<'static> {
    let known = WORK.with_borrow(|work| {
        let (cases_then, landed) = work.last.as_ref()?;
        (*cases_then == cases(&eval)).then(|| landed.clone())
    });
    match known {
        Some(landed) => eval.landed(landed),
        None => eval,
    }
}

/// Simulates whenever the design on the desk has changed.
pub fn follow(desk: Desk) {
    dom::follow(Box::new(move || {
        desk.track();
        let waits = desk.glance(|w| {
            (0..COMMANDS).any(|command| w.eval.figures(command) == Err(landing::NOT_RUN))
        });
        WORK.with_borrow_mut(|work| {
            work.version = work.version.wrapping_add(1);
            let rest = if work.alone { LONG_REST } else { REST };
            work.rest = waits.then(|| Timeout::new(rest, move || ask(desk)));
        });
    }));
}

/// Has the design simulated.
fn ask(desk: Desk) {
    let link = desk.glance(|w| sheet::link::write(w.eval.design()));
    let asked = WORK.with_borrow_mut(|work| {
        // What is not answered yet is not wanted any more.
        if work.busy {
            work.worker = None;
        }
        if work.worker.is_none() && !work.alone {
            work.worker = start(desk);
            work.alone = work.worker.is_none();
        }
        let question = Array::of2(&work.version.into(), &link.as_str().into());
        let worker = work.worker.as_ref();
        work.busy = worker.is_some_and(|worker| worker.ask(&link, &question));
        work.busy
    });
    if !asked {
        let numbers = desk.glance(|w| landing::numbers(&w.eval));
        take(desk, &numbers);
    }
}

fn start(desk: Desk) -> Option<Beside> {
    let answered = move |answer: &Array| {
        let version = answer.get(0).as_f64();
        let current = WORK.with_borrow_mut(|work| {
            work.busy = false;
            version == Some(f64::from(work.version))
        });
        if current {
            let numbers: Float64Array = answer.get(1).unchecked_into();
            take(desk, &numbers.to_vec());
        }
    };
    let failed = move || {
        WORK.with_borrow_mut(|work| {
            work.alone = true;
            work.rest = Some(Timeout::new(REST, move || {
                WORK.with_borrow_mut(|work| work.worker = None);
                ask(desk);
            }));
        });
    };
    Beside::start(answered, failed)
}

/// Lays the landing on the desk.
fn take(desk: Desk, numbers: &[f64]) {
    let Some(landed) = Landed::read(numbers) else {
        return;
    };
    let cases = desk.glance(|w| cases(&w.eval));
    WORK.with_borrow_mut(|work| work.last = Some((cases, Rc::new(landed))));
    desk.again();
}
