//! The design on the page: what is entered, what follows from it, and the way back.

use core::time::Duration;
use std::rc::Rc;

use leptos::prelude::*;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::register::{self, Station};
use pulsewright_sheet::text::notation::Notation;
use pulsewright_sheet::text::number::DecimalMark;

use crate::dom::{self, El};
use crate::state::evaluated::Evaluated;
use crate::state::origin::{Leaf, Opening, Origin};
use crate::state::remedies::Remedies;
use crate::state::storage;

/// Where what follows from a key takes longer, ms, one key in twenty would be painted later than the 50 ms that no hand
/// notices.
const LONG: f64 = 20.0;

/// The signals of the page.
#[derive(Clone, Copy)]
pub struct PageState {
    evaluated: RwSignal<Rc<Evaluated>, LocalStorage>,
    /// Changes with every change of the design: what [`PageState::read`] follows.
    revision: Memo<u32>,
    /// The revision at which what is in sight was painted last: what is out of sight follows this.
    painted: RwSignal<u32>,
    /// Rises when fields must show the design anew: another design, an undo.
    pub replaced: RwSignal<u32>,
    /// Where the design came from.
    pub origin: RwSignal<Origin>,
    /// Where it came from before it became one's own.
    pub begun_as: RwSignal<Origin>,
    /// What to tell once.
    pub notice: RwSignal<Option<String>>,
    /// The input whose field has the focus.
    pub focus: RwSignal<Option<usize>>,
    /// The input that is being typed into.
    pub typing: RwSignal<Option<usize>>,
    /// What is typed and not entered yet: its letter is being painted.
    typed: StoredValue<Option<(usize, String)>>,
    /// What follows from a key has taken of late, ms.
    key_takes: StoredValue<f64>,
    /// Whether the card is being printed.
    pub paper: RwSignal<bool>,
    /// Whether all figures go to paper as well.
    pub appendix: RwSignal<bool>,
    /// Which stations stand open.
    pub open_stations: RwSignal<Vec<Station>>,
    /// What would put right what is short.
    pub remedies: Remedies,
    /// Which leaves behind them are open.
    pub leaves: RwSignal<Vec<Leaf>>,
    past: Steps,
    future: Steps,
    committed: StoredValue<(Design, Origin), LocalStorage>,
    /// Rises with every step of the history.
    pub steps: RwSignal<u32>,
    /// Whether the browser has refused to keep the design.
    pub unkept: RwSignal<bool>,
    /// The same design as another tab has changed it: nothing is kept before one of the two is chosen.
    pub elsewhere: RwSignal<Option<String>>,
    /// What a step of the history has undone or done again.
    pub told: RwSignal<String>,
    /// Whether the verdict's sentence is in sight.
    pub verdict_seen: RwSignal<bool>,
    /// The verdict that was spoken last: its status and its cause.
    pub spoken_of: StoredValue<String>,
}

/// Designs that lay on the page, each with where it came from: a step back to somebody's link must not
/// take the place of one's own card.
type Steps = StoredValue<Vec<(Design, Origin)>, LocalStorage>;

impl PageState {
    /// Lays out what the page opened with.
    pub fn new(opening: Opening) -> Self {
        let evaluated =
            RwSignal::new_local(Evaluated::of(opening.design.clone(), opening.notation));
        Self {
            evaluated,
            revision: dom::revision(move || evaluated.track()),
            painted: RwSignal::new(0),
            replaced: RwSignal::new(0),
            origin: RwSignal::new(opening.origin),
            begun_as: RwSignal::new(opening.origin),
            notice: RwSignal::new(opening.trouble.map(String::from)),
            focus: RwSignal::new(None),
            typing: RwSignal::new(None),
            typed: StoredValue::new(None),
            key_takes: StoredValue::new(0.0),
            paper: RwSignal::new(false),
            appendix: RwSignal::new(false),
            open_stations: RwSignal::new(Vec::new()),
            remedies: Remedies::new(),
            leaves: RwSignal::new(Vec::new()),
            past: StoredValue::new_local(Vec::new()),
            future: StoredValue::new_local(Vec::new()),
            committed: StoredValue::new_local((opening.design, opening.origin)),
            steps: RwSignal::new(0),
            unkept: RwSignal::new(false),
            elsewhere: RwSignal::new(None),
            told: RwSignal::new(String::new()),
            verdict_seen: RwSignal::new(true),
            spoken_of: StoredValue::new(String::new()),
        }
    }

    /// The same state for one part of the page.
    ///
    /// A signal takes as long to run each of its followers anew as it has followers; a part with a
    /// revision of its own keeps that number small, and typing quick.
    pub fn with_own_revision(self) -> Self {
        Self {
            revision: dom::revision(move || self.track_revision()),
            ..self
        }
    }

    /// The same for a part that may be out of sight: then it follows once what is in sight has been painted, and a
    /// key waits only for what its hand can see.
    pub fn with_revision_in_sight(self, element: &El) -> Self {
        let seen = dom::in_sight(element);
        Self {
            revision: self.at_once_where(move || seen.get()),
            ..self
        }
    }

    /// The same for a part that follows once what is in sight has been painted, wherever it stands: no hand waits for it.
    pub fn once_painted(self) -> Self {
        Self {
            revision: self.at_once_where(|| false),
            ..self
        }
    }

    /// The revision at once where it is asked for so, or on paper, and else once the page has been painted.
    fn at_once_where(self, asked: impl Fn() -> bool + Send + Sync + 'static) -> Memo<u32> {
        dom::memo(move || {
            if asked() || self.paper.get() {
                self.revision.get()
            } else {
                self.painted.get()
            }
        })
    }

    /// The same for a part that follows once nothing has been typed for a while.
    pub fn at_rest(self) -> Self {
        let rested = self.remedies.rested;
        Self {
            // Of the revision itself it would learn before it is told that there is no rest any more.
            revision: Memo::new(move |last: Option<&u32>| {
                let rests = rested.get();
                let waits = last.filter(|_| !rests);
                waits.map_or_else(|| self.current_revision(), |last| *last)
            }),
            ..self
        }
    }

    /// Lets what is out of sight follow after each paint.
    pub fn follow_out_of_sight(self) {
        let page = self.with_own_revision();
        let goes_on = move || {
            let now = self.current_revision();
            if self.painted.get_untracked() != now {
                self.painted.set(now);
            }
        };
        dom::follow(Box::new(move || {
            page.track_revision();
            dom::once_painted(Duration::ZERO, goes_on);
        }));
    }

    /// Follows every change of the design.
    pub fn track_revision(self) {
        dom::track_revision(self.revision);
    }

    /// A number that differs with every change of the design, not followed.
    pub fn current_revision(self) -> u32 {
        self.revision.get_untracked()
    }

    /// Reads from the design and its results, and follows them.
    pub fn read<T>(self, read: impl FnOnce(&Evaluated) -> T) -> T {
        self.track_revision();
        self.read_untracked(read)
    }

    /// Reads without following.
    pub fn read_untracked<T>(self, read: impl FnOnce(&Evaluated) -> T) -> T {
        // One way to the signal for every reader: only what reads is made anew for each.
        read(&self.evaluated.get_untracked())
    }

    fn evaluate(self, design: Design) -> Rc<Evaluated> {
        Evaluated::of(design, self.read_untracked(|w| w.eval.notation))
    }

    /// Shows every number in this manner.
    pub fn show_in(self, notation: Notation) {
        let design = self.read_untracked(|w| w.eval.design().clone());
        self.evaluated.set(Evaluated::of(design, notation));
        self.replaced.update(|n| *n += 1);
    }

    /// Enters what is being typed; nothing is committed yet.
    ///
    /// Where all that follows from a key takes this browser longer than [`LONG`], the letter is painted first; of the
    /// letters that come meanwhile the last text is entered.
    pub fn type_in(self, index: usize, text: String) {
        self.typed.set_value(Some((index, text)));
        if self.key_takes.get_value() < LONG {
            self.enter_typed();
        } else {
            dom::once_painted(Duration::ZERO, move || self.enter_typed());
        }
    }

    /// Enters what is typed and waits for the paint of its letter: whoever keeps or prints the design asks for that first.
    pub fn enter_typed(self) {
        let typed = self.typed.try_update_value(Option::take).flatten();
        if let Some((index, text)) = typed {
            dom::timed(
                || self.enter(index, &text, DecimalMark::Typed),
                move |took| {
                    self.key_takes
                        .update_value(|of_late| *of_late += (took - *of_late) / 4.0)
                },
            );
        }
    }

    /// Enters a text with such marks; nothing is committed yet.
    pub fn enter(self, index: usize, text: &str, marks: DecimalMark) {
        let design = self.with_entry(index, text, marks);
        self.claim_if_first();
        self.evaluated.set(self.evaluate(design));
    }

    /// The design with `text` entered into input `index`; the one on the page stays as it is.
    pub fn with_entry(self, index: usize, text: &str, marks: DecimalMark) -> Design {
        self.enter_typed();
        let mut design = self.read_untracked(|w| w.eval.design().clone());
        design.enter(index, text, marks);
        // What somebody enters is no wish any more.
        design.forget_wish(index);
        design
    }

    /// Evaluates the same design anew: its landing has become known.
    pub fn reevaluate(self) {
        let design = self.read_untracked(|w| w.eval.design().clone());
        self.evaluated.set(self.evaluate(design));
    }

    /// An example or a link that is worked on becomes one's own, unless there is one already.
    fn claim_if_first(self) {
        if !self.is_mine() && !storage::any() {
            self.claim();
        }
    }

    /// Whether one's own card lies on the page.
    pub fn is_mine(self) -> bool {
        matches!(self.origin.get(), Origin::Mine(_))
    }

    /// What lies on the page becomes a card of one's own.
    pub fn claim(self) {
        let mine = Origin::Mine(storage::begin());
        self.origin.set(mine);
        self.committed.update_value(|before| before.1 = mine);
    }

    /// Another card of one's own, from the register's presets.
    pub fn start(self) {
        self.replace_by_new(Design::default());
    }

    /// Puts a design on the page as another card of one's own.
    pub fn replace_by_new(self, design: Design) {
        // A card is empty as long as nothing of it is kept, and would be taken for the new one.
        self.save_current();
        self.replace(design, Origin::Mine(storage::begin()));
    }

    /// Commits what was typed: one step of the history.
    pub fn commit(self) {
        self.enter_typed();
        let now = (
            self.read_untracked(|w| w.eval.design().clone()),
            self.origin.get_untracked(),
        );
        let before = self.committed.get_value();
        if now.0 == before.0 {
            self.committed.set_value(now);
            return;
        }
        self.past.update_value(|past| {
            past.push(before);
            if past.len() > 200 {
                let _ = past.remove(0);
            }
        });
        self.future.update_value(Vec::clear);
        self.committed.set_value(now);
        if !self.told.with_untracked(String::is_empty) {
            self.told.set(String::new());
        }
        self.steps.update(|n| *n += 1);
    }

    /// Takes back what is being typed: the entry of before stands again.
    pub fn take_back_typing(self) {
        self.typed.set_value(None);
        let (design, _) = self.committed.get_value();
        self.evaluated.set(self.evaluate(design));
        self.typing.set(None);
        self.replaced.update(|n| *n += 1);
    }

    /// Puts another design on the page; the one that lay there is one step back.
    pub fn replace(self, design: Design, origin: Origin) {
        self.commit();
        self.save_current();
        let evaluated = self.evaluate(design);
        self.open_stations
            .set(evaluated.cause().into_iter().collect());
        self.evaluated.set(evaluated);
        self.origin.set(origin);
        self.begun_as.set(origin);
        self.commit();
        self.typing.set(None);
        self.replaced.update(|n| *n += 1);
    }

    /// Keeps what lies on the page, before something else does.
    fn save_current(self) {
        if self.elsewhere.with_untracked(Option::is_some) {
            return;
        }
        if let Origin::Mine(number) = self.origin.get_untracked() {
            self.read_untracked(|w| storage::keep_card(number, w.eval.design()));
        }
    }

    /// Enters `text` into input `index` and commits it: what a button does.
    pub fn set_input(self, index: usize, text: &str) {
        self.apply(self.with_entry(index, text, DecimalMark::Stored));
    }

    /// The same card changed in one step; the stations stay as they stand.
    pub fn apply(self, design: Design) {
        self.commit();
        self.claim_if_first();
        self.evaluated.set(self.evaluate(design));
        self.commit();
        self.typing.set(None);
        self.replaced.update(|n| *n += 1);
    }

    /// One step back.
    pub fn undo(self) {
        self.commit();
        self.step(self.past, self.future, "Undone: ");
    }

    /// One step forward again.
    pub fn redo(self) {
        self.step(self.future, self.past, "Done again: ");
    }

    fn step(self, from: Steps, to: Steps, word: &str) {
        let mut found = None;
        from.update_value(|list| found = list.pop());
        let Some((design, origin)) = found else {
            return;
        };
        self.save_current();
        let before = self.committed.get_value();
        self.told
            .set([word, &what_differs(&before.0, &design)].concat());
        to.update_value(|list| list.push(before));
        self.committed.set_value((design.clone(), origin));
        self.origin.set(origin);
        self.begun_as.set(origin);
        self.evaluated.set(self.evaluate(design));
        self.typing.set(None);
        self.replaced.update(|n| *n += 1);
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

    /// Opens the station that holds the cause in the headline, once the page is painted and whenever another one comes
    /// to hold it.
    pub fn open_the_cause(self, painted: RwSignal<bool>) {
        let cause = dom::memo(move || {
            self.read(Evaluated::cause)
                .map_or(usize::MAX, |s| s as usize)
        });
        dom::follow(Box::new(move || {
            let _ = cause.get();
            if !painted.get() {
                return;
            }
            let station = self.read_untracked(Evaluated::cause);
            let closed = |station: &Station| {
                !self
                    .open_stations
                    .with_untracked(|open| open.contains(station))
            };
            if let Some(station) = station.filter(closed) {
                // What is in hand keeps its place on the screen.
                match document().active_element() {
                    Some(hand) => crate::focus::keep_place(&hand, || self.open(station)),
                    None => self.open(station),
                }
            }
        }));
    }

    /// Opens or closes a station.
    pub fn toggle(self, station: Station) {
        self.open_stations
            .update(|open| match open.iter().position(|s| *s == station) {
                Some(at) => {
                    let _ = open.remove(at);
                }
                None => open.push(station),
            });
    }

    /// Opens a station.
    pub fn open(self, station: Station) {
        self.open_stations.update(|open| {
            if !open.contains(&station) {
                open.push(station);
            }
        });
    }
}

/// The labels of the inputs in which two designs differ, the first ones.
fn what_differs(one: &Design, other: &Design) -> String {
    let differ: Vec<usize> = (0..register::INPUT_COUNT)
        .filter(|&index| one.text(index) != other.text(index))
        .collect();
    let c = Eval::new(one);
    let label = |index: usize| c.label(index);
    match differ.as_slice() {
        [] => "another design".into(),
        [index] => {
            let was = pulsewright_sheet::design::entry_text::readable(other, *index);
            let label = label(*index);
            if was.is_empty() {
                [label, ", typical value"].concat()
            } else {
                [label, " ", &was].concat()
            }
        }
        [first, second] => [label(*first), ", ", label(*second)].concat(),
        [first, second, rest @ ..] => [
            label(*first),
            ", ",
            label(*second),
            " and ",
            &pulsewright_sheet::text::number::int(i64::try_from(rest.len()).unwrap_or(0)),
            " more",
        ]
        .concat(),
    }
}
