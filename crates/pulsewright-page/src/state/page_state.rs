//! The design on the desk: what is entered, what follows from it, and the way back.

use core::time::Duration;
use std::rc::Rc;

use leptos::prelude::*;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::manner::Manner;
use pulsewright_sheet::num::Marks;
use pulsewright_sheet::register::Station;

use crate::dom::{self, El};
use crate::state::evaluated::Worked;
use crate::state::origin::{Leaf, Opening, Origin};
use crate::state::remedies::Remedies;
use crate::state::storage;

/// The signals of the page.
#[derive(Clone, Copy)]
pub struct Desk {
    worked: RwSignal<Rc<Worked>, LocalStorage>,
    /// Changes with every change of the design: what [`Desk::read`] follows.
    beat: Memo<u32>,
    /// The beat at which what is in sight was painted last: what is out of sight follows this.
    painted: RwSignal<u32>,
    /// Rises when fields must show the design anew: another design, an undo.
    pub renewed: RwSignal<u32>,
    /// Where the design came from.
    pub origin: RwSignal<Origin>,
    /// What to tell once.
    pub notice: RwSignal<Option<String>>,
    /// The input whose field has the focus.
    pub focus: RwSignal<Option<usize>>,
    /// The input that is being typed into.
    pub typing: RwSignal<Option<usize>>,
    /// Whether the card is being printed.
    pub paper: RwSignal<bool>,
    /// Which stations stand open.
    pub open: RwSignal<Vec<Station>>,
    /// What would put right what is short.
    pub remedies: Remedies,
    /// Which leaves behind them are open.
    pub leaves: RwSignal<Vec<Leaf>>,
    past: Steps,
    future: Steps,
    settled: StoredValue<(Design, Origin), LocalStorage>,
    /// Rises with every step of the history.
    pub steps: RwSignal<u32>,
}

/// Designs that lay on the desk, each with where it came from: a step back to somebody's link must not
/// take the place of one's own card.
type Steps = StoredValue<Vec<(Design, Origin)>, LocalStorage>;

impl Desk {
    /// Lays out what the page opened with.
    pub fn new(opening: Opening) -> Self {
        let worked = RwSignal::new_local(Worked::of(opening.design.clone(), opening.manner));
        Self {
            worked,
            beat: dom::beat(move || worked.track()),
            painted: RwSignal::new(0),
            renewed: RwSignal::new(0),
            origin: RwSignal::new(opening.origin),
            notice: RwSignal::new(opening.trouble.map(String::from)),
            focus: RwSignal::new(None),
            typing: RwSignal::new(None),
            paper: RwSignal::new(false),
            open: RwSignal::new(Vec::new()),
            remedies: Remedies::new(),
            leaves: RwSignal::new(Vec::new()),
            past: StoredValue::new_local(Vec::new()),
            future: StoredValue::new_local(Vec::new()),
            settled: StoredValue::new_local((opening.design, opening.origin)),
            steps: RwSignal::new(0),
        }
    }

    /// The same desk for one part of the page.
    ///
    /// A signal takes as long to run each of its followers anew as it has followers; a part with a
    /// beat of its own keeps that number small, and typing quick.
    pub fn part(self) -> Self {
        Self {
            beat: dom::beat(move || self.track()),
            ..self
        }
    }

    /// The same for a part that may be out of sight: then it follows once what is in sight has been painted, and a
    /// key waits only for what its hand can see.
    pub fn part_in_sight(self, element: &El) -> Self {
        let seen = dom::in_sight(element);
        let at_once = move || seen.get() || self.paper.get();
        Self {
            beat: dom::memo(move || {
                if at_once() {
                    self.beat.get()
                } else {
                    self.painted.get()
                }
            }),
            ..self
        }
    }

    /// Lets what is out of sight follow after each paint.
    pub fn follow_out_of_sight(self) {
        let desk = self.part();
        let goes_on = move || {
            let now = self.state();
            if self.painted.get_untracked() != now {
                self.painted.set(now);
            }
        };
        dom::follow(Box::new(move || {
            desk.track();
            dom::once_painted(Duration::ZERO, goes_on);
        }));
    }

    /// Follows every change of the design.
    pub fn track(self) {
        dom::keep_time(self.beat);
    }

    /// A number that differs with every change of the design, not followed.
    pub fn state(self) -> u32 {
        self.beat.get_untracked()
    }

    /// Reads from the design and its results, and follows them.
    pub fn read<T>(self, read: impl FnOnce(&Worked) -> T) -> T {
        self.track();
        self.glance(read)
    }

    /// Reads without following.
    pub fn glance<T>(self, read: impl FnOnce(&Worked) -> T) -> T {
        // One way to the signal for every reader: only what reads is made anew for each.
        read(&self.worked.get_untracked())
    }

    fn works_out(self, design: Design) -> Rc<Worked> {
        Worked::of(design, self.glance(|w| w.eval.manner))
    }

    /// Shows every number in this manner.
    pub fn show_in(self, manner: Manner) {
        let design = self.glance(|w| w.eval.design().clone());
        self.worked.set(Worked::of(design, manner));
        self.renewed.update(|n| *n += 1);
    }

    /// Enters what is being typed; nothing is settled yet.
    pub fn type_in(self, index: usize, text: &str) {
        self.enter(index, text, Marks::Typed);
    }

    /// Enters a text with such marks; nothing is settled yet.
    pub fn enter(self, index: usize, text: &str, marks: Marks) {
        let design = self.with_entry(index, text, marks);
        self.adopt();
        self.worked.set(self.works_out(design));
    }

    /// The design with `text` entered into input `index`; the one on the desk stays as it is.
    pub fn with_entry(self, index: usize, text: &str, marks: Marks) -> Design {
        let mut design = self.glance(|w| w.eval.design().clone());
        design.enter(index, text, marks);
        design
    }

    /// Works the same design anew: its landing has become known.
    pub fn again(self) {
        let design = self.glance(|w| w.eval.design().clone());
        self.worked.set(self.works_out(design));
    }

    /// An example or a link that is worked on becomes one's own, unless there is one already.
    fn adopt(self) {
        if !self.is_mine() && !storage::any() {
            self.own();
        }
    }

    /// Whether one's own card lies on the desk.
    pub fn is_mine(self) -> bool {
        matches!(self.origin.get(), Origin::Mine(_))
    }

    /// What lies on the desk becomes a card of one's own.
    pub fn own(self) {
        let mine = Origin::Mine(storage::begin());
        self.origin.set(mine);
        self.settled.update_value(|before| before.1 = mine);
    }

    /// Another card of one's own, from the register's presets.
    pub fn start(self) {
        self.lay_new(Design::default());
    }

    /// Puts a design on the desk as another card of one's own.
    pub fn lay_new(self, design: Design) {
        // A card is empty as long as nothing of it is kept, and would be taken for the new one.
        self.put_away();
        self.lay(design, Origin::Mine(storage::begin()));
    }

    /// Settles what was typed: one step of the history.
    pub fn settle(self) {
        let now = (
            self.glance(|w| w.eval.design().clone()),
            self.origin.get_untracked(),
        );
        let before = self.settled.get_value();
        if now.0 == before.0 {
            self.settled.set_value(now);
            return;
        }
        self.past.update_value(|past| {
            past.push(before);
            if past.len() > 200 {
                let _ = past.remove(0);
            }
        });
        self.future.update_value(Vec::clear);
        self.settled.set_value(now);
        self.steps.update(|n| *n += 1);
    }

    /// Puts another design on the desk; the one that lay there is one step back.
    pub fn lay(self, design: Design, origin: Origin) {
        self.settle();
        self.put_away();
        let worked = self.works_out(design);
        self.open.set(worked.not_clear());
        self.worked.set(worked);
        self.origin.set(origin);
        self.settle();
        self.typing.set(None);
        self.renewed.update(|n| *n += 1);
    }

    /// Keeps what lies on the desk, before something else does.
    fn put_away(self) {
        if let Origin::Mine(number) = self.origin.get_untracked() {
            self.glance(|w| storage::keep_card(number, w.eval.design()));
        }
    }

    /// Enters `text` into input `index` and settles it: what a button does.
    pub fn put(self, index: usize, text: &str) {
        self.change(self.with_entry(index, text, Marks::Stored));
    }

    /// The same card changed in one step; the stations stay as they stand.
    pub fn change(self, design: Design) {
        self.settle();
        self.adopt();
        self.worked.set(self.works_out(design));
        self.settle();
        self.typing.set(None);
        self.renewed.update(|n| *n += 1);
    }

    /// One step back.
    pub fn undo(self) {
        self.settle();
        self.step(self.past, self.future);
    }

    /// One step forward again.
    pub fn redo(self) {
        self.step(self.future, self.past);
    }

    fn step(self, from: Steps, to: Steps) {
        let mut found = None;
        from.update_value(|list| found = list.pop());
        let Some((design, origin)) = found else {
            return;
        };
        self.put_away();
        to.update_value(|list| list.push(self.settled.get_value()));
        self.settled.set_value((design.clone(), origin));
        self.origin.set(origin);
        self.worked.set(self.works_out(design));
        self.typing.set(None);
        self.renewed.update(|n| *n += 1);
        self.steps.update(|n| *n += 1);
    }

    /// Whether there is a step back.
    pub fn can_undo(self) -> bool {
        let _ = self.steps.get();
        self.past.with_value(|past| !past.is_empty())
    }

    /// Whether there is a step forward.
    pub fn can_redo(self) -> bool {
        let _ = self.steps.get();
        self.future.with_value(|future| !future.is_empty())
    }

    /// Opens the stations that are not clear.
    pub fn unfold_what_is_not_clear(self) {
        for station in self.glance(Worked::not_clear) {
            self.unfold(station);
        }
    }

    /// Opens or closes a station.
    pub fn toggle(self, station: Station) {
        self.open
            .update(|open| match open.iter().position(|s| *s == station) {
                Some(at) => {
                    let _ = open.remove(at);
                }
                None => open.push(station),
            });
    }

    /// Opens a station.
    pub fn unfold(self, station: Station) {
        self.open.update(|open| {
            if !open.contains(&station) {
                open.push(station);
            }
        });
    }
}
