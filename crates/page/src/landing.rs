//! The landing, simulated beside the page, so that typing never waits for it.
//!
//! A worker runs the same program. It is handed the design as a link and a number, and hands back
//! that number with the figures; an answer to what has changed since is dropped. Without a worker
//! the page simulates by itself once nothing has been typed for a while.

use std::cell::RefCell;
use std::rc::Rc;

use gloo_events::EventListener;
use gloo_timers::callback::Timeout;
use js_sys::{Array, Float64Array};
use leptos::prelude::*;
use sheet::eval::{Absent, Eval};
use sheet::landing::{self, COMMANDS, Case, Landed};
use wasm_bindgen::prelude::*;

use crate::desk::Desk;

/// Rest after a change before it is simulated, ms.
const REST: u32 = 150;

/// The same where the page itself simulates.
const LONG_REST: u32 = 600;

#[wasm_bindgen]
extern "C" {
    /// Starts the program once more, beside the page. The page's script defines it.
    #[wasm_bindgen(catch, js_name = pulsewright_worker)]
    pub fn beside() -> Result<web_sys::Worker, JsValue>;
}

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

/// The program beside the page.
struct Worker {
    worker: web_sys::Worker,
    busy: bool,
    _answers: [EventListener; 2],
}

impl Drop for Worker {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}

#[derive(Default)]
struct Work {
    /// Number of the last change; answers to another are stale.
    version: u32,
    rest: Option<Timeout>,
    worker: Option<Worker>,
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
    let effect = RenderEffect::new(move |_| {
        desk.track();
        let waits = desk.glance(|w| {
            (0..COMMANDS).any(|command| w.eval.figures(command) == Err(landing::NOT_RUN))
        });
        WORK.with_borrow_mut(|work| {
            work.version = work.version.wrapping_add(1);
            let rest = if work.alone { LONG_REST } else { REST };
            work.rest = waits.then(|| Timeout::new(rest, move || ask(desk)));
        });
    });
    on_cleanup(move || drop(effect));
}

/// Has the design simulated.
fn ask(desk: Desk) {
    let link = desk.glance(|w| sheet::link::write(w.eval.design()));
    let asked = WORK.with_borrow_mut(|work| {
        // What is not answered yet is not wanted any more.
        if work.worker.as_ref().is_some_and(|worker| worker.busy) {
            work.worker = None;
        }
        if work.worker.is_none() && !work.alone {
            work.worker = start(desk);
            work.alone = work.worker.is_none();
        }
        let Some(worker) = work.worker.as_mut() else {
            return false;
        };
        let message = Array::of2(&work.version.into(), &link.as_str().into());
        // Of a longer link not all would be read: another design.
        worker.busy =
            link.len() <= sheet::link::LONGEST && worker.worker.post_message(&message).is_ok();
        worker.busy
    });
    if !asked {
        let numbers = desk.glance(|w| landing::numbers(&w.eval));
        take(desk, &numbers);
    }
}

fn start(desk: Desk) -> Option<Worker> {
    let worker = beside().ok()?;
    let answers = EventListener::new(&worker, "message", move |event| {
        let Some(event) = event.dyn_ref::<web_sys::MessageEvent>() else {
            return;
        };
        let answer: Array = event.data().unchecked_into();
        let version = answer.get(0).as_f64();
        let current = WORK.with_borrow_mut(|work| {
            if let Some(worker) = work.worker.as_mut() {
                worker.busy = false;
            }
            version == Some(f64::from(work.version))
        });
        if current {
            let numbers: Float64Array = answer.get(1).unchecked_into();
            take(desk, &numbers.to_vec());
        }
    });
    let failures = EventListener::new(&worker, "error", move |event| {
        event.prevent_default();
        WORK.with_borrow_mut(|work| {
            work.alone = true;
            work.rest = Some(Timeout::new(REST, move || {
                WORK.with_borrow_mut(|work| work.worker = None);
                ask(desk);
            }));
        });
    });
    Some(Worker {
        worker,
        busy: false,
        _answers: [answers, failures],
    })
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
