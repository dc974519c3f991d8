//! The landing, simulated beside the page, so that typing never waits for it.
//!
//! A worker runs the same program; it is handed the design as a link and hands back the figures.
//! Without one the page simulates by itself once nothing has been typed for a while.

use std::cell::RefCell;

use gloo_timers::callback::Timeout;
use js_sys::Float64Array;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::simulated::{COMMANDS, NOT_RUN};
use pulsewright_sheet::stations::simulation::numbers;
use pulsewright_sheet::text::number::DecimalMark;
use wasm_bindgen::prelude::*;

use crate::dom;
use crate::state::page_state::PageState;
use crate::state::simulated::{self, Cases, cases};
use crate::state::worker::Worker;

/// Rest after a change before it is simulated, ms.
const REST: u32 = 150;

/// The same where the page itself simulates.
const LONG_REST: u32 = 600;

/// Figures and traces of the design in a link; what the worker is asked for.
#[wasm_bindgen]
pub fn landing(link: &str) -> Vec<f64> {
    match pulsewright_sheet::design::link::read(link) {
        Ok(read) => numbers(&Eval::new(&read.design)),
        Err(_) => Vec::new(),
    }
}

/// An input and its text.
type Entered = (usize, String);

#[derive(Default)]
struct Work {
    rest: Option<Timeout>,
    worker: Option<Worker>,
    /// There is no worker in this browser.
    alone: bool,
    /// What the worker was asked for and has not answered, and the entry that is made with the answer.
    asked: Option<(Cases, Option<Entered>)>,
    /// The entry that is to follow.
    next: Option<Entered>,
}

thread_local! {
    static WORK: RefCell<Work> = RefCell::default();
}

/// Whether the landing of the design on the page is still to be simulated.
fn waits(page: PageState) -> bool {
    page.read_untracked(|w| (0..COMMANDS).any(|command| w.eval.figures(command) == Err(NOT_RUN)))
}

/// Simulates whenever the design on the page has changed.
pub fn follow(page: PageState) {
    dom::follow(Box::new(move || {
        page.track_revision();
        let waits = waits(page);
        WORK.with_borrow_mut(|work| {
            let rest = if work.alone { LONG_REST } else { REST };
            work.rest = waits.then(|| Timeout::new(rest, move || ask(page)));
        });
    }));
}

/// Has the design simulated.
fn ask(page: PageState) {
    let asked = WORK.with_borrow_mut(|work| {
        work.next = None;
        page.read_untracked(|w| put(page, work, &w.eval, None))
    });
    if !asked {
        let (cases, landed) = page.read_untracked(|w| (cases(&w.eval), numbers(&w.eval)));
        if simulated::keep(cases, &landed) {
            page.reevaluate();
        }
    }
}

/// Asks the worker about a design; false where there is none that could answer.
fn put(page: PageState, work: &mut Work, c: &Eval<'_>, entry: Option<Entered>) -> bool {
    // What is not answered yet is not wanted any more.
    if work.asked.take().is_some() {
        work.worker = None;
    }
    if work.worker.is_none() && !work.alone {
        work.worker = start(page);
        work.alone = work.worker.is_none();
    }
    let link = pulsewright_sheet::design::link::write(c.design());
    let worker = work.worker.as_ref();
    let asked = worker.is_some_and(|worker| worker.ask("landing", &link));
    work.asked = asked.then(|| (cases(c), entry));
    asked
}

/// Makes an entry once its landing is known, so that a hand that slides sees everything move as
/// one. Of the entries that come meanwhile the last is made next.
pub fn enter(page: PageState, index: usize, text: String) {
    let design = page.with_entry(index, &text, DecimalMark::Stored);
    let eval = Eval::new(&design);
    let waits = WORK.with_borrow_mut(|work| {
        if matches!(work.asked, Some((_, Some(_)))) {
            work.next = Some((index, text.clone()));
            return true;
        }
        let now = cases(&eval);
        if work.alone || simulated::is_last(&now) || now.iter().all(Result::is_err) {
            return false;
        }
        work.rest = None;
        put(page, work, &eval, Some((index, text.clone())))
    });
    if !waits {
        page.enter(index, &text, DecimalMark::Stored);
    }
}

/// Makes the last entry that still waits for its landing: the hand has let go.
pub fn let_go(page: PageState) {
    let waiting = WORK.with_borrow_mut(|work| {
        let asked = work.asked.as_mut().and_then(|(_, entry)| entry.take());
        work.next.take().or(asked)
    });
    if let Some((index, text)) = waiting {
        page.enter(index, &text, DecimalMark::Stored);
    }
}

fn start(page: PageState) -> Option<Worker> {
    let answered = move |answer: JsValue| {
        let (asked, next) = WORK.with_borrow_mut(|work| (work.asked.take(), work.next.take()));
        let Some((of, entry)) = asked else {
            return;
        };
        let numbers: Float64Array = answer.unchecked_into();
        let wanted = waits(page) && page.read_untracked(|w| cases(&w.eval) == of);
        let kept = simulated::keep(of, &numbers.to_vec());
        match entry {
            Some((index, text)) => page.enter(index, &text, DecimalMark::Stored),
            None if wanted && kept => page.reevaluate(),
            None => {}
        }
        if let Some((index, text)) = next {
            enter(page, index, text);
        }
    };
    let failed = move || {
        WORK.with_borrow_mut(|work| {
            work.alone = true;
            work.rest = Some(Timeout::new(REST, move || {
                WORK.with_borrow_mut(|work| work.worker = None);
                let_go(page);
                ask(page);
            }));
        });
    };
    Worker::start(answered, failed)
}
