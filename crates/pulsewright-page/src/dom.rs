//! Elements, made without a type for each shape.
//!
//! Leptos' own `view!` makes a type of every piece of markup; on a page of hundreds of fields and
//! results that come from a table this cost 260 kB of program, more than everything that computes.
//! Here every element has one type, and every piece that follows a signal is one boxed closure under
//! a Leptos effect. An effect lives as long as the owner in which it was made: what
//! [`El::show_when`] and [`El::keyed`] replace goes with its effects and listeners.

use core::time::Duration;
use std::cell::{Cell, RefCell};
use std::rc::Rc;

use gloo_events::EventListener;
use leptos::prelude::*;
use wasm_bindgen::prelude::Closure;
use wasm_bindgen::{JsCast, UnwrapThrowExt};

/// An element under construction.
#[derive(Clone)]
pub struct El(web_sys::Element);

/// A new element.
pub fn el(tag: &str) -> El {
    match document().create_element(tag) {
        Ok(element) => El(element),
        // A tag of ours is always a good one; the body stands in so that nothing can panic.
        Err(_) => El(body()),
    }
}

fn body() -> web_sys::Element {
    document().body().map_or_else(
        || document().document_element().unwrap_throw(),
        JsCast::unchecked_into,
    )
}

/// A button that does `act`.
pub fn button(class: &str, act: impl Fn() + 'static) -> El {
    el("button")
        .attr("type", "button")
        .class(class)
        .on("click", move |_| act())
}

/// A value that follows what `read` reads, and tells only when it has changed.
pub fn memo<T>(read: impl Fn() -> T + Send + Sync + 'static) -> Memo<T>
where
    T: PartialEq + Send + Sync + 'static,
{
    memo_boxed(Box::new(read))
}

fn memo_boxed<T>(read: Box<dyn Fn() -> T + Send + Sync>) -> Memo<T>
where
    T: PartialEq + Send + Sync + 'static,
{
    Memo::new(move |_| outside_batch(&read))
}

/// A number that rises whenever what `read` follows has changed.
pub fn revision(read: impl Fn() + Send + Sync + 'static) -> Memo<u32> {
    Memo::new(move |last: Option<&u32>| {
        outside_batch(&read);
        last.map_or(0, |n| n.wrapping_add(1))
    })
}

/// Follows a revision.
pub fn track_revision(revision: Memo<u32>) {
    if FOLLOWED.get() == Followed::Revision(revision) {
        return;
    }
    // Reading, not only tracking: a memo that was never read follows nothing.
    let _ = revision.get();
    if FOLLOWED.get() != Followed::OutsideBatch {
        FOLLOWED.set(Followed::Revision(revision));
    }
}

/// What runs now has to follow for itself.
fn outside_batch<T>(run: impl FnOnce() -> T) -> T {
    let outer = FOLLOWED.replace(Followed::OutsideBatch);
    let made = run();
    FOLLOWED.set(outer);
    made
}

/// What was followed last by what runs as one: once is enough for all of it.
#[derive(Clone, Copy, PartialEq)]
enum Followed {
    OutsideBatch,
    Nothing,
    Revision(Memo<u32>),
}

/// What is to be done when a signal has changed.
type Change = Box<dyn FnMut()>;

thread_local! {
    /// What follows as one, while that is built.
    static BATCH: RefCell<Option<Vec<Change>>> = const { RefCell::new(None) };
    static FOLLOWED: Cell<Followed> = const { Cell::new(Followed::OutsideBatch) };
}

/// Runs `change` now and whenever a signal that it read has changed.
pub fn follow(change: Change) {
    let mut change = change;
    let effect = RenderEffect::new(move |_| {
        // What is built by a change follows by itself.
        let outer = BATCH.take();
        outside_batch(&mut change);
        BATCH.set(outer);
    });
    on_cleanup(move || drop(effect));
}

/// The same for what an element says and how it looks, which can be done with others as one.
fn follow_with_others(change: Change) {
    let alone = BATCH.with_borrow_mut(|batch| match batch {
        Some(others) => {
            others.push(change);
            None
        }
        None => Some(change),
    });
    if let Some(change) = alone {
        follow(change);
    }
}

/// Lets all texts and attributes of what is built follow as one: each of them follows the same signals,
/// and following costs more than looking whether something has changed. What is built within it follows with it.
pub fn batched<T>(build: impl FnOnce() -> T) -> T {
    if BATCH.with_borrow(Option::is_some) {
        build()
    } else {
        batched_apart(build)
    }
}

/// The same for what follows other signals than what it stands in.
pub fn batched_apart<T>(build: impl FnOnce() -> T) -> T {
    let outer = BATCH.replace(Some(Vec::new()));
    let made = build();
    let mut changes = BATCH.replace(outer).unwrap_or_default();
    follow(Box::new(move || {
        FOLLOWED.set(Followed::Nothing);
        changes.iter_mut().for_each(|change| change());
    }));
    made
}

impl El {
    /// The element itself.
    pub fn element(&self) -> web_sys::Element {
        self.0.clone()
    }

    /// Its class.
    pub fn class(self, class: &str) -> Self {
        if !class.is_empty() {
            self.0.set_class_name(class);
        }
        self
    }

    /// An attribute.
    pub fn attr(self, name: &str, value: &str) -> Self {
        let _ = self.0.set_attribute(name, value);
        self
    }

    /// Text behind what is there.
    pub fn text(self, text: &str) -> Self {
        let _ = self.0.append_child(&document().create_text_node(text));
        self
    }

    /// Markup of our own making; never anything that a person or a link wrote.
    pub fn drawing(self, markup: &str) -> Self {
        self.0.set_inner_html(markup);
        self
    }

    /// A child behind what is there.
    pub fn child(self, child: El) -> Self {
        let _ = self.0.append_child(&child.0);
        self
    }

    /// Children behind what is there.
    pub fn children(self, children: Vec<El>) -> Self {
        for child in children {
            let _ = self.0.append_child(&child.0);
        }
        self
    }

    /// Listens.
    pub fn on(self, event: &'static str, act: impl Fn(&web_sys::Event) + 'static) -> Self {
        self.on_boxed(event, Box::new(act))
    }

    fn on_boxed(self, event: &'static str, act: Box<dyn Fn(&web_sys::Event)>) -> Self {
        let listener = EventListener::new_with_options(
            &self.0,
            event,
            gloo_events::EventListenerOptions::enable_prevent_default(),
            move |event| act(event),
        );
        let held = StoredValue::new_local(Some(listener));
        on_cleanup(move || held.dispose());
        self
    }

    /// Text that follows.
    pub fn text_fn(self, text: impl Fn() -> String + 'static) -> Self {
        self.text_fn_boxed(Box::new(text))
    }

    fn text_fn_boxed(self, text: Box<dyn Fn() -> String>) -> Self {
        let node = document().create_text_node("");
        let _ = self.0.append_child(&node);
        let mut last = String::new();
        follow_with_others(Box::new(move || {
            let now = text();
            if now != last {
                node.set_data(&now);
                last = now;
            }
        }));
        self
    }

    /// An attribute that follows: present where there is a value.
    pub fn attr_fn(self, name: &'static str, value: impl Fn() -> Option<String> + 'static) -> Self {
        self.attr_fn_boxed(name, Box::new(value))
    }

    fn attr_fn_boxed(self, name: &'static str, value: Box<dyn Fn() -> Option<String>>) -> Self {
        let element = self.0.clone();
        let mut last: Option<String> = None;
        follow_with_others(Box::new(move || {
            let now = value();
            if now != last {
                let _ = match &now {
                    Some(text) => element.set_attribute(name, text),
                    None => element.remove_attribute(name),
                };
                last = now;
            }
        }));
        self
    }

    /// An attribute without a value that is there while `flag` holds.
    pub fn flag(self, name: &'static str, flag: impl Fn() -> bool + 'static) -> Self {
        self.attr_fn(name, move || flag().then(String::new))
    }

    /// `aria-expanded` as `open` says.
    pub fn expanded(self, open: impl Fn() -> bool + 'static) -> Self {
        self.attr_fn("aria-expanded", move || {
            Some(if open() { "true" } else { "false" }.into())
        })
    }

    /// A class that follows.
    pub fn class_fn(self, class: impl Fn() -> String + 'static) -> Self {
        self.attr_fn("class", move || Some(class()))
    }

    /// Drawing that follows.
    pub fn html_fn(self, markup: impl Fn() -> String + 'static) -> Self {
        self.html_fn_boxed(Box::new(markup))
    }

    fn html_fn_boxed(self, markup: Box<dyn Fn() -> String>) -> Self {
        let element = self.0.clone();
        let mut last = String::new();
        follow_with_others(Box::new(move || {
            let now = markup();
            if now != last {
                element.set_inner_html(&now);
                last = now;
            }
        }));
        self
    }

    /// Children that are there while `open` holds.
    pub fn show_when(self, open: Memo<bool>, build: impl Fn() -> Vec<El> + 'static) -> Self {
        self.show_when_boxed(open, Box::new(build))
    }

    fn show_when_boxed(self, open: Memo<bool>, build: Box<dyn Fn() -> Vec<El>>) -> Self {
        let element = self.0.clone();
        follow(Box::new(move || {
            element.set_inner_html("");
            if open.get() {
                for child in untrack(&build) {
                    let _ = element.append_child(&child.0);
                }
            }
        }));
        self
    }

    /// Children that are made anew whenever `key` changes.
    pub fn keyed(self, key: Memo<String>, build: impl Fn() -> Vec<El> + 'static) -> Self {
        self.keyed_boxed(key, Box::new(build))
    }

    fn keyed_boxed(self, key: Memo<String>, build: Box<dyn Fn() -> Vec<El>>) -> Self {
        let element = self.0.clone();
        follow(Box::new(move || {
            // Reading, not only tracking: a memo that was never read follows nothing.
            key.with(|_| ());
            element.set_inner_html("");
            for child in untrack(&build) {
                let _ = element.append_child(&child.0);
            }
        }));
        self
    }
}

/// Whether an element is on the screen; as long as nothing is known of it, it counts as seen.
pub fn in_sight(element: &El) -> RwSignal<bool> {
    let seen = RwSignal::new(true);
    let tell = Closure::<dyn Fn(js_sys::Array)>::new(move |entries: js_sys::Array| {
        let last: web_sys::IntersectionObserverEntry = entries.pop().unchecked_into();
        let now = last.is_intersecting();
        // The element may be gone before its observer.
        if seen.try_get_untracked().is_some_and(|before| before != now) {
            let _ = seen.try_set(now);
        }
    });
    if let Ok(observer) = web_sys::IntersectionObserver::new(tell.as_ref().unchecked_ref()) {
        observer.observe(&element.0);
        core::mem::forget(observer);
    }
    tell.forget();
    seen
}

/// Runs `act` once a frame has been made, and `wait` after it; behind other windows none is made, and it runs a moment
/// later. It may run twice.
pub fn once_painted(wait: Duration, act: impl Fn() + Copy + 'static) {
    request_animation_frame(move || set_timeout(act, wait));
    set_timeout(act, Duration::from_millis(300));
}

/// Does `act` and tells what it took, in milliseconds, with all that follows from it and the frame that shows it, but
/// without the wait for that frame.
pub fn timed(act: impl FnOnce(), tell: impl FnOnce(f64) + 'static) {
    let begin = milliseconds();
    let worked = Rc::new(Cell::new(0.0));
    let work = worked.clone();
    act();
    // What follows from it stands before this in the same queue.
    leptos::task::spawn_local(async move { worked.set(milliseconds() - begin) });
    request_animation_frame(move || {
        let frame = milliseconds();
        let end = move || tell(work.get() + milliseconds() - frame);
        set_timeout(end, Duration::ZERO);
    });
}

/// Milliseconds since the page was opened.
pub fn milliseconds() -> f64 {
    window().performance().map_or(0.0, |p| p.now())
}

/// Whether the page stands in a frame: then nothing is kept.
pub fn framed() -> bool {
    let window = window();
    !window
        .parent()
        .ok()
        .flatten()
        .is_some_and(|parent| parent == window)
}

/// Puts what `build` makes into the body, and keeps what it follows for as long as the page lives.
pub fn mount(build: impl FnOnce() -> Vec<El> + 'static) {
    mount_to_body(move || {
        let body = body();
        for child in build() {
            let _ = body.append_child(&child.0);
        }
    });
}
