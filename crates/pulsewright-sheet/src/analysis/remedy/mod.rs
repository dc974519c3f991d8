//! Remedies: what a practitioner would offer for a check that is short, and what else that does.
//!
//! What can be done is a catalogue: settings, parts in the sizes in which they are sold, another gear motor with all of
//! its figures. Each is entered and evaluated before it is offered. Another job comes last. A search goes act by act, so
//! that whoever must not be held up can take a step at a time.

mod act;
mod catalogue;
pub(crate) mod classes;
mod motor;
pub mod told;
mod tuning;

pub use act::Means;

use std::borrow::Cow;
use std::cell::Cell;

use act::{Act, Rung, outward};

use crate::analysis::solve::{self, Trial};
use crate::design::{Design, State};
use crate::evaluation::check::{self, CheckResult};
use crate::evaluation::finding;
use crate::evaluation::{Check, Finding, Margin, Severity, Status, Tier};
use crate::evaluation::{Eval, Model, display};
use crate::register::{self, ChangedBy, Form, axis, movement, supply};
use crate::text::label::in_sentence;
use crate::text::measure::Measure;
use crate::text::notation::Notation;
use crate::text::number::{self, DecimalMark};
use crate::text::unit::{self, Unit};

/// How near the value at which the check becomes clear is found before it is rounded.
const FINENESS: f64 = 1e-4;

/// Steps outwards: up to a factor of about 50.
const STEPS: i32 = 38;

/// How much worse, relatively, a margin counts as worse.
const HAIR: f64 = 2e-3;

/// Sizes of an act without an order that are tried in one step.
const SIZES: usize = 2;

/// Sizes of the second act of a pair that are tried.
const MOST_SIZES: usize = 12;

/// Sizes of an act that break another check which are mended.
const BROKEN: usize = 2;

/// How much of what can be done about a check that another act breaks is tried.
const MENDS: usize = 8;

/// How many of these are tried in all.
const MOST_MENDS: usize = 48;

/// How many settings of the loop are tried for other gears.
const RETUNINGS: usize = 24;

/// How many pairs are tried where nothing alone cures.
const PAIRS: usize = 24;

/// Greatest work of the simulated moves of one search, in plain sub-steps: a count, so that every machine finds the same.
pub const MOST_WORK: u64 = 8_000_000;

/// What puts a check right.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// The check.
    pub check: &'static Check,
    /// The input that it is named by; no two remedies of a check have the same.
    pub input: usize,
    /// The text of that input, as a link carries it; empty where it is taken away.
    pub text: String,
    /// By what means.
    pub means: Means,
    /// By what means, as the register names it.
    pub changed_by: ChangedBy,
    /// How the check stands with it: passes, or tight where it failed.
    pub status: Status,
    /// Checks that get worse, each with how it stands then.
    pub worse: Vec<(&'static Check, Status)>,
    /// Checks that waited and can be judged with it, as far as they fail.
    pub uncovers: Vec<&'static Check>,
    /// Cautions of people that were not there before.
    pub said: Vec<&'static Finding>,
    /// The design with it.
    pub design: Design,
    words: String,
    /// How many other checks of the move it leaves failing.
    leaves: usize,
    /// Whether it is two acts.
    two: bool,
    /// Its place in the catalogue.
    place: usize,
    model: &'static Model,
    notation: Notation,
}

impl Remedy {
    fn evaluated(&self) -> Eval<'_> {
        Eval::with(self.model, Cow::Borrowed(&self.design)).in_notation(self.notation)
    }

    /// Whether the check passes and nothing else gets worse.
    #[must_use]
    pub fn harmless(&self) -> bool {
        self.worse.is_empty() && self.said.is_empty() && self.status == Status::Passes
    }

    /// Whether another check fails that did not.
    #[must_use]
    pub fn breaks(&self) -> bool {
        self.worse
            .iter()
            .any(|(_, status)| *status == Status::Fails)
    }

    /// The inputs in which something else stands with it, beside those whose entry it takes away.
    #[must_use]
    pub fn inputs(&self, before: &Design) -> Vec<usize> {
        (0..register::INPUT_COUNT)
            .filter(|&index| index != register::card::WISHED.index())
            .filter(|&index| {
                let text = self.design.text(index);
                !text.is_empty() && text != before.text(index)
            })
            .collect()
    }

    /// What is done, in words: "Limit the loop's current to 1.3 A".
    #[must_use]
    pub fn what(&self) -> String {
        let value = display::field_text(&self.evaluated(), self.input).replace('_', " ");
        self.words.replace("{}", &value)
    }

    /// What comes of it, in words: "fixes it; no other check gets worse".
    #[must_use]
    pub fn outcome(&self) -> String {
        let mut parts: Vec<String> = self
            .worse
            .iter()
            .map(|(check, status)| [&in_sentence(check.label), ": ", status.word()].concat())
            .collect();
        if !self.said.is_empty() {
            let c = self.evaluated();
            // The check of a matter says enough of it.
            let told = |f: &Finding| self.worse.iter().any(|(k, _)| k.station == f.station);
            parts.extend(self.said.iter().filter(|f| !told(f)).map(|f| {
                let message = finding::fill_template(f.message, &c);
                let first = message
                    .split_once(". ")
                    .map_or(message.as_str(), |(a, _)| a);
                in_sentence(first.trim_end_matches('.'))
            }));
        }
        let fixed = if self.status == Status::Passes {
            "fixes it"
        } else {
            "helps, and leaves it tight"
        };
        let mut out = if parts.is_empty() {
            [fixed, "; no other check gets worse"].concat()
        } else {
            [fixed, ", but then: ", &parts.join("; ")].concat()
        };
        if !self.uncovers.is_empty() {
            let labels: Vec<String> = self.uncovers.iter().map(|k| in_sentence(k.label)).collect();
            out = [&out, "; next to fix: ", &labels.join("; ")].concat();
        }
        out
    }

    /// Where it stands among others: another job last, then what breaks something, then two acts and what leaves the
    /// move short elsewhere, then by means.
    fn order(&self) -> (bool, bool, bool, usize, bool, Means, bool, usize) {
        (
            self.means == Means::Requirement,
            self.breaks(),
            self.two,
            self.leaves,
            self.status != Status::Passes,
            self.means,
            !self.worse.is_empty() || !self.said.is_empty(),
            self.place,
        )
    }
}

/// Why nothing that can be set, fitted or bought puts a check right.
#[derive(Clone, Debug, PartialEq)]
pub struct Impasse {
    /// `beyond_classes`: no gear motor of any class does it; `none_cures`: all that there is was tried; `stopped`: what
    /// was tried took all of [`MOST_WORK`].
    pub id: &'static str,
    /// In words, with the numbers.
    pub message: String,
    /// Capability over need with the nearest of what was tried, where there is one.
    pub nearest: Option<f64>,
}

/// How a check stood before.
#[derive(Clone, Copy, Debug)]
struct Stood {
    id: &'static str,
    status: Status,
    ratio: Option<f64>,
}

/// What comes nearest to a cure.
#[derive(Clone, Debug)]
struct Nearest {
    ratio: f64,
    words: String,
    fails: Option<&'static Check>,
}

/// What is still to be tried.
#[derive(Clone, Debug)]
enum Left {
    /// One act, from this size on.
    One(usize, usize),
    /// A size of an act that cures and breaks something else, with this of what can be done about that.
    Mend(usize, usize, &'static Check, usize),
    /// The strongest size of one act with another act.
    Two(usize, usize, usize),
    /// Another value of an input of the job: what it is called, whether more is asked of it.
    Job(usize, bool),
}

/// The search for the remedies of one check.
#[derive(Clone, Debug)]
pub struct Search {
    held: CheckResult,
    model: &'static Model,
    design: Design,
    notation: Notation,
    /// Whether landings are simulated for it.
    simulates: bool,
    /// How much was simulated.
    work: Cell<u64>,
    /// Whether they would have to be, and are not: nothing is tried.
    elsewhere: bool,
    before: Vec<Stood>,
    said: Vec<&'static str>,
    refused: usize,
    acts: Vec<Act>,
    /// The next last.
    left: Vec<Left>,
    /// Of each act that helps: the best margin, and the size that brings it.
    helps: Vec<(usize, usize, f64)>,
    /// Of each act that cures and breaks something else: the size, and the check that fails by it.
    breaks: Vec<(usize, usize, &'static Check)>,
    /// The nearest of what does not cure, and what then fails where the check itself would pass.
    nearest: Option<Nearest>,
    beyond: Option<String>,
    paired: bool,
    found: Vec<Remedy>,
}

impl Search {
    /// Begins; `held` is a check of `c` that is tight or fails.
    #[must_use]
    pub fn new(c: &Eval<'_>, held: &CheckResult) -> Self {
        let mut search = Self {
            held: *held,
            model: c.model(),
            design: c.design().clone(),
            notation: c.notation,
            simulates: c.simulates(),
            work: Cell::new(0),
            elsewhere: false,
            before: check::all(c)
                .iter()
                .map(|h| Stood {
                    id: h.check.id,
                    status: h.status(),
                    ratio: h.ratio(),
                })
                .collect(),
            said: grave(c).iter().map(|f| f.id).collect(),
            refused: refused(c),
            acts: Vec::new(),
            left: Vec::new(),
            helps: Vec::new(),
            breaks: Vec::new(),
            nearest: None,
            beyond: None,
            paired: false,
            found: Vec::new(),
        };
        let of_landing = c.simulated().is_ok() && !seen_without_landing(c, held.check);
        // A landing that was simulated elsewhere is not simulated here, step by step.
        if is_short(held) && (!of_landing || search.simulates) {
            let now = search.now();
            let acts = catalogue::acts(&now, held);
            let jobs = jobs(&now, held);
            let beyond = motor::beyond(&now);
            drop(now);
            search.beyond = beyond;
            search.left.extend(jobs.into_iter().rev());
            search
                .left
                .extend((0..acts.len()).rev().map(|act| Left::One(act, 0)));
            search.acts = acts;
        } else {
            search.paired = true;
            search.elsewhere = is_short(held);
        }
        search.simulates &= of_landing;
        search
    }

    fn now(&self) -> Eval<'_> {
        Eval::with(self.model, Cow::Borrowed(&self.design)).in_notation(self.notation)
    }

    /// The evaluation of a design that is tried; what it simulates is counted by [`Search::counted`].
    fn tried<'d>(&self, design: &'d Design) -> Eval<'d> {
        let c = Eval::with(self.model, Cow::Borrowed(design)).in_notation(self.notation);
        if self.simulates {
            c.trying(MOST_WORK.saturating_sub(self.work.get()))
        } else {
            c
        }
    }

    fn counted<T>(&self, c: &Eval<'_>, told: T) -> T {
        self.work.set(self.work.get().saturating_add(c.work()));
        told
    }

    /// How much was simulated, in plain sub-steps.
    #[must_use]
    pub fn work(&self) -> u64 {
        self.work.get()
    }

    /// Whether it ended before everything was tried.
    fn stopped(&self) -> bool {
        self.work.get() >= MOST_WORK
    }

    /// Whether it is the search for `check` in the design of `c`, shown as there.
    #[must_use]
    pub fn is_of(&self, c: &Eval<'_>, check: &Check) -> bool {
        self.held.check.id == check.id && self.notation == c.notation && self.design == *c.design()
    }

    /// Whether it takes simulated moves that are not run here: see [`told`].
    #[must_use]
    pub fn is_elsewhere(&self) -> bool {
        self.elsewhere
    }

    /// Whether everything was tried.
    #[must_use]
    pub fn done(&self) -> bool {
        self.left.is_empty()
    }

    /// Tries one thing; false where none is left.
    pub fn step(&mut self) -> bool {
        if self.stopped() {
            self.left.clear();
            return false;
        }
        if !self.paired && !matches!(self.left.last(), Some(Left::One(..))) {
            self.paired = true;
            self.pair();
        }
        let Some(next) = self.left.pop() else {
            return false;
        };
        let remedy = match next {
            Left::One(act, from) => self.one(act, from),
            Left::Mend(act, size, check, second) => self.mend(act, size, check, second),
            Left::Two(first, size, second) => self.two(first, size, second),
            Left::Job(input, more) => self.job(input, more),
        };
        if let Some(remedy) = remedy {
            self.keep(remedy);
        }
        true
    }

    fn keep(&mut self, remedy: Remedy) {
        let same = (self.found.iter()).position(|known| known.input == remedy.input);
        if let Some(same) = same {
            if self.found[same].order() <= remedy.order() {
                return;
            }
            let _ = self.found.remove(same);
        }
        let at = self.found.iter().position(|f| remedy.order() < f.order());
        self.found.insert(at.unwrap_or(self.found.len()), remedy);
    }

    /// What was found so far, the first to do first.
    #[must_use]
    pub fn found(&self) -> &[Remedy] {
        &self.found
    }

    /// The first thing to do; another job is none.
    #[must_use]
    pub fn first(&self) -> Option<&Remedy> {
        self.found.first().filter(|r| r.means != Means::Requirement)
    }

    /// Whether nothing that is left can come before the first that was found.
    #[must_use]
    pub fn settled(&self) -> bool {
        match (self.found.first(), self.left.last()) {
            (_, None) => true,
            (Some(first), Some(Left::One(next, _))) => {
                let means = self.acts.get(*next).map(|act| act.means);
                first.status == Status::Passes
                    && !first.breaks()
                    && first.leaves == 0
                    && (first.harmless() || means > Some(first.means))
            }
            (Some(first), Some(_)) => {
                self.paired
                    && first.means != Means::Requirement
                    && (!first.two || first.status == Status::Passes)
                    && !first.breaks()
            }
            (None, _) => false,
        }
    }

    /// Why there is nothing to set, fit or buy; none where there is, or while it is still sought.
    #[must_use]
    pub fn impasse(&self) -> Option<Impasse> {
        if !self.done() || self.first().is_some() || self.acts.is_empty() && self.found.is_empty() {
            return None;
        }
        if let Some(beyond) = (self.beyond.as_ref()).filter(|_| self.is_of_motor()) {
            return Some(Impasse {
                id: "beyond_classes",
                message: ["Not with a gear motor of these classes: ", beyond].concat(),
                nearest: (self.nearest.as_ref())
                    .map(|nearest| nearest.ratio)
                    .filter(|ratio| ratio.is_finite()),
            });
        }
        let (ratio, tried) = match &self.nearest {
            Some(Nearest {
                ratio,
                words,
                fails,
            }) => {
                let begin = ["; the nearest: ", words].concat();
                let margin = ["×", &self.notation.number(*ratio, 3)].concat();
                let end = match fails {
                    Some(check) => [", but then fails: ", &in_sentence(check.label)].concat(),
                    None if ratio.is_finite() => [": ", &margin].concat(),
                    None => ", which another entry rules out".into(),
                };
                (
                    Some(*ratio).filter(|ratio| ratio.is_finite()),
                    [begin, end].concat(),
                )
            }
            None => (None, String::new()),
        };
        let (id, begin) = if self.stopped() {
            (
                "stopped",
                "Not everything was tried, this move takes too long to simulate",
            )
        } else {
            (
                "none_cures",
                "Nothing that can be set, fitted or bought in these classes fixes it",
            )
        };
        Some(Impasse {
            id,
            message: [begin, &tried].concat(),
            nearest: ratio,
        })
    }

    fn is_of_motor(&self) -> bool {
        self.acts.iter().any(|act| act.means == Means::Motor)
            || matches!(
                self.held.check.id,
                "check.torque"
                    | "check.gear_continuous"
                    | "check.speed"
                    | "check.voltage"
                    | "check.warm"
            )
    }

    /// How the check stands in a design, and its margin; none where it cannot be said.
    fn standing(&self, design: &Design) -> Option<(Status, Option<f64>)> {
        let c = self.tried(design);
        let id = self.held.check.id;
        // A fault may fail it whatever its margin.
        if self.held.fault.is_some() {
            let held = self.counted(&c, check::all(&c));
            return match held.iter().find(|h| h.check.id == id) {
                Some(held) => Some((held.status(), held.ratio())),
                None => Some((Status::Passes, None)),
            };
        }
        // What is not asked any more passes.
        let margin: Result<Option<Margin>, _> = (self.held.check.margin)(&c);
        let margin = self.counted(&c, margin).ok()?;
        Some(margin.map_or((Status::Passes, None), |margin| {
            (margin.status(), margin.ratio())
        }))
    }

    fn stands(&self, rung: &Rung, on: &Eval<'_>) -> Option<(Design, Status, Option<f64>)> {
        let design = rung.entered(on)?;
        let (status, ratio) = self.standing(&design)?;
        Some((design, status, ratio))
    }

    /// The mildest size of an act with which the check passes and nothing breaks; of an act whose sizes have no order
    /// some of them, the others later.
    fn one(&mut self, at: usize, from: usize) -> Option<Remedy> {
        let act = self.acts.get(at)?.clone();
        let to = if act.ordered {
            act.rungs.len()
        } else {
            from + SIZES
        };
        let design = self.design.clone();
        let sized = self.sized(&act, &design, at, from..to.min(act.rungs.len()));
        let found = sized.kept;
        if let Some((ratio, size)) = sized.best {
            self.helps.push((at, size, ratio));
        }
        if let Some((size, check)) = sized.breaks
            && (self.breaks.iter())
                .filter(|(known, ..)| *known == at)
                .count()
                < BROKEN
        {
            self.breaks.push((at, size, check));
        }
        let nearest = match (sized.breaks, sized.best) {
            (Some((size, check)), _) => Some((f64::INFINITY, size, Some(check))),
            (None, Some((ratio, size))) => Some((ratio, size, None)),
            (None, None) => None,
        };
        if let (None, Some((ratio, size, fails))) = (&found, nearest) {
            let held = self.held.ratio().unwrap_or(0.0);
            let farther = (self.nearest.as_ref()).is_none_or(|known| ratio > known.ratio);
            if ratio > held && farther {
                let rung = act.rungs.get(size)?;
                let design = rung.entered(&self.now())?;
                self.nearest = Some(Nearest {
                    ratio,
                    words: self.in_words(&act, rung, &design),
                    fails,
                });
            }
        }
        let harmless = found.as_ref().is_some_and(Remedy::harmless);
        if to < act.rungs.len() && !harmless {
            self.left.push(Left::One(at, to));
        }
        found
    }

    /// What an act says with one of its sizes in a design.
    fn in_words(&self, act: &Act, rung: &Rung, design: &Design) -> String {
        let c = Eval::with(self.model, Cow::Borrowed(design)).in_notation(self.notation);
        let value = display::field_text(&c, act.input).replace('_', " ");
        said(act, rung).replace("{}", &value)
    }

    /// The best size of an act upon a design: the remedy where it is one, and the greatest margin that was seen.
    fn sized(
        &self,
        act: &Act,
        upon: &Design,
        place: usize,
        sizes: core::ops::Range<usize>,
    ) -> Sized {
        let on = Eval::with(self.model, Cow::Borrowed(upon)).in_notation(self.notation);
        let mut best: Option<(f64, usize)> = None;
        let asked = self.held.ratio().is_some();
        let mut note = |(status, ratio): (Status, Option<f64>), size: usize| {
            let ratio = ratio.unwrap_or(f64::INFINITY);
            // A fault fails it whatever its margin.
            let counts = match status {
                Status::Passes | Status::Tight => ratio.is_finite() || asked,
                Status::Fails => ratio < 1.0,
                Status::Unknown | Status::Waits => false,
            };
            if counts && best.is_none_or(|(known, _)| ratio > known) {
                best = Some((ratio, size));
            }
        };
        let (mut begin, end) = (sizes.start, sizes.end);
        if act.ordered && end - begin > 2 {
            // The first size that passes, between one that does not and the strongest that does.
            let (mut low, mut high) = (begin, end);
            while low < high {
                let middle = (low + high) / 2;
                let stands = (act.rungs.get(middle)).and_then(|rung| self.stands(rung, &on));
                if let Some((_, status, ratio)) = &stands {
                    note((*status, *ratio), middle);
                }
                if stands.is_some_and(|(_, status, _)| status == Status::Passes) {
                    high = middle;
                } else {
                    low = middle + 1;
                }
            }
            begin = low.min(end - 1);
        }
        let mut kept: Option<Remedy> = None;
        let mut breaks = None;
        let mut judged = 0;
        for size in begin..end {
            let Some(rung) = act.rungs.get(size) else {
                continue;
            };
            let Some((design, status, ratio)) = self.stands(rung, &on) else {
                continue;
            };
            note((status, ratio), size);
            let enough = status == Status::Passes
                || status == Status::Tight && self.held.status() == Status::Fails;
            if !enough || judged >= 4 {
                continue;
            }
            judged += 1;
            match self.judged(act, said(act, rung), design, place) {
                Ok(remedy) => {
                    let harmless = remedy.harmless();
                    let failing = remedy.worse.iter().find(|(_, s)| *s == Status::Fails);
                    if let (Some((check, _)), None) = (failing, breaks) {
                        breaks = Some((size, *check));
                    }
                    if kept
                        .as_ref()
                        .is_none_or(|known| remedy.order() < known.order())
                    {
                        kept = Some(remedy);
                    }
                    if harmless {
                        break;
                    }
                }
                Err(Some(check)) => breaks = breaks.or(Some((size, check))),
                Err(None) => {}
            }
        }
        Sized { kept, best, breaks }
    }

    /// Acts that help but do not cure alone, two at a time.
    fn pair(&mut self) {
        if self.has_a_cure() {
            return;
        }
        self.two_that_help();
        // What breaks something else is mended first: the last that is put on the list.
        let mut mends = Vec::new();
        for (act, size, check) in &self.breaks {
            mends.extend((0..MENDS).map(|second| Left::Mend(*act, *size, check, second)));
        }
        mends.truncate(MOST_MENDS);
        self.left.extend(mends.into_iter().rev());
    }

    /// Whether one act was found that breaks nothing, or two with which the check passes; another job aside.
    fn has_a_cure(&self) -> bool {
        let cures =
            |r: &Remedy| r.status == Status::Passes && !r.breaks() && r.means != Means::Requirement;
        self.found.iter().any(cures)
    }

    fn two_that_help(&mut self) {
        let before = self.held.ratio().unwrap_or(0.0);
        let mut helps: Vec<(usize, usize, f64)> = self
            .helps
            .iter()
            .copied()
            .filter(|(at, _, ratio)| {
                *ratio > 1.03 * before && self.acts.get(*at).is_some_and(|a| a.means < Means::Motor)
            })
            .collect();
        helps.sort_by_key(|(at, ..)| *at);
        let mut pairs = Vec::new();
        for (place, (first, size, _)) in helps.iter().enumerate() {
            for (second, ..) in helps.iter().skip(place + 1) {
                pairs.push(Left::Two(*first, *size, *second));
            }
        }
        pairs.truncate(PAIRS);
        self.left.extend(pairs.into_iter().rev());
    }

    /// The strongest size of one act, and upon it the mildest of another with which the check passes.
    fn two(&self, first: usize, size: usize, second: usize) -> Option<Remedy> {
        if self.has_a_cure() {
            return None;
        }
        let (one, other) = (self.acts.get(first)?, self.acts.get(second)?);
        if one.input == other.input {
            return None;
        }
        let rung = one.rungs.get(size)?;
        let upon = rung.entered(&self.now())?;
        let sizes = 0..other.rungs.len().min(MOST_SIZES);
        let mut remedy = (self.sized(other, &upon, self.acts.len() + first, sizes)).kept?;
        let begin = self.in_words(one, rung, &upon);
        remedy.words = [&begin, ", and ", &in_sentence(&remedy.words)].concat();
        remedy.means = one.means.max(other.means);
        remedy.changed_by = remedy.means.changed_by();
        Some(remedy)
    }

    /// A size of an act that breaks another check, and upon it one of what is done about that one.
    fn mend(
        &self,
        first: usize,
        size: usize,
        broken: &'static Check,
        second: usize,
    ) -> Option<Remedy> {
        if self.has_a_cure() {
            return None;
        }
        let act = self.acts.get(first)?;
        let rung = act.rungs.get(size)?;
        let upon = rung.entered(&self.now())?;
        let on = Eval::with(self.model, Cow::Borrowed(&upon)).in_notation(self.notation);
        let held = check::all(&on);
        let held = held.iter().find(|h| h.check.id == broken.id)?;
        let others = catalogue::acts(&on, held);
        let other = others.get(second)?;
        let place = self.acts.len() + first;
        let both = Act {
            means: act.means.max(other.means),
            ..act.clone()
        };
        let mut remedy = other.rungs.iter().take(MOST_SIZES).find_map(|mended| {
            let design = mended.entered(&on)?;
            let remedy = self
                .judged(&both, said(other, mended), design, place)
                .ok()?;
            (!remedy.breaks()).then_some(remedy)
        })?;
        let begin = self.in_words(act, rung, &upon);
        let c = remedy.evaluated();
        let value = display::field_text(&c, other.input).replace('_', " ");
        drop(c);
        let end = in_sentence(&remedy.words.replace("{}", &value));
        remedy.words = [&begin, ", and ", &end].concat();
        Some(remedy)
    }

    /// What becomes of everything else; where that rules it out, what fails by it. With other gears or another motor
    /// the loop is set anew where it is not calm.
    fn judged(
        &self,
        act: &Act,
        words: String,
        design: Design,
        place: usize,
    ) -> Result<Remedy, Option<&'static Check>> {
        let retuned = (act.means == Means::Gearbox || act.means == Means::Motor)
            .then(|| self.retuned(&design))
            .flatten();
        let plain = self.weighed(act, words.clone(), design, place);
        let Some((design, how)) = retuned else {
            return plain;
        };
        let words = [&words, ", and ", &in_sentence(&how)].concat();
        self.weighed(act, words, design, place).or(plain)
    }

    /// A design with a loop that is calm again, where it was and is not.
    fn retuned(&self, design: &Design) -> Option<(Design, String)> {
        const CALM: &str = "check.phase_margin";
        let before = self.before.iter().find(|stood| stood.id == CALM)?;
        let c = self.tried(design);
        let check = self.model.checks().find(|known| known.id == CALM)?;
        let faulty = |c: &Eval<'_>| {
            let ids = self.model.faults.iter().filter(|(_, of)| *of == CALM);
            ids.map(|(id, _)| id).any(|id| {
                let known = self.model.findings().filter(|finding| finding.id == *id);
                known
                    .map(|finding| (finding.when)(c))
                    .any(|said| said == Ok(Some(Severity::Fault)))
            })
        };
        let stands = |c: &Eval<'_>| {
            if self.counted(c, faulty(c)) {
                return Some(Status::Fails);
            }
            let margin = (check.margin)(c).ok().flatten()?;
            Some(margin.status())
        };
        let now = stands(&c)?;
        if now.rank() <= before.status.rank() || before.status == Status::Fails {
            return None;
        }
        tuning::calmer(&c)
            .into_iter()
            .take(RETUNINGS)
            .find_map(|rung| {
                let other = rung.entered(&c)?;
                let calm = stands(&self.tried(&other))?.rank() <= before.status.rank();
                calm.then(|| (other, rung.words.unwrap_or_default()))
            })
    }

    fn weighed(
        &self,
        act: &Act,
        words: String,
        design: Design,
        place: usize,
    ) -> Result<Remedy, Option<&'static Check>> {
        let (status, worse, uncovers, said, leaves) = {
            let c = self.tried(&design);
            if refused(&c) > self.refused {
                return Err(None);
            }
            let held = self.counted(&c, check::all(&c));
            let after = held.iter().find(|h| h.check.id == self.held.check.id);
            let status = after.map_or(Status::Passes, CheckResult::status);
            let better = status == Status::Passes
                || status == Status::Tight && self.held.status() == Status::Fails;
            if !better {
                return Err(None);
            }
            let (mut worse, mut uncovers) = (Vec::new(), Vec::new());
            let of_move = |h: &&CheckResult| {
                h.check.tier == Tier::Move
                    && h.status() == Status::Fails
                    && h.check.id != self.held.check.id
            };
            let moves = self.held.check.tier == Tier::Move;
            let leaves = if moves {
                held.iter().filter(of_move).count()
            } else {
                0
            };
            for after in held.iter().filter(|h| h.check.id != self.held.check.id) {
                match self.compare(after) {
                    Change::None => {}
                    Change::Worse => worse.push((after.check, after.status())),
                    Change::Uncovered => uncovers.push(after.check),
                    Change::Never => return Err(Some(after.check)),
                }
            }
            // What a station says of its own check is told by that.
            let said: Vec<&'static Finding> = grave(&c)
                .into_iter()
                .filter(|f| !self.said.contains(&f.id) && f.station != self.held.check.station)
                .collect();
            if contradicted(&c) && !contradicted(&self.now()) {
                return Err(None);
            }
            (status, worse, uncovers, said, leaves)
        };
        Ok(Remedy {
            check: self.held.check,
            input: act.input,
            text: design.text(act.input).into(),
            means: act.means,
            changed_by: act.means.changed_by(),
            status,
            worse,
            uncovers,
            said,
            design,
            words,
            leaves,
            two: place >= self.acts.len() && place != usize::MAX,
            place,
            model: self.model,
            notation: self.notation,
        })
    }

    /// What becomes of another check.
    fn compare(&self, after: &CheckResult) -> Change {
        let before = self.before.iter().find(|b| b.id == after.check.id);
        let (status, ratio) = (after.status(), after.ratio());
        let fell = |before: &Stood| match (before.ratio, ratio) {
            (Some(before), Some(after)) => after < before * (1.0 - HAIR),
            (None, Some(_)) => before.status != Status::Fails,
            _ => false,
        };
        let bad = match before {
            Some(before) if before.status == Status::Fails => {
                // What fails must not fail worse.
                return if status == Status::Fails && fell(before) {
                    Change::Never
                } else {
                    Change::None
                };
            }
            Some(before) if matches!(before.status, Status::Waits | Status::Unknown) => {
                return if status == Status::Fails {
                    Change::Uncovered
                } else {
                    Change::None
                };
            }
            Some(before) if before.status == Status::Tight => {
                status == Status::Fails || status == Status::Tight && fell(before)
            }
            _ => matches!(status, Status::Fails | Status::Tight),
        };
        if !bad {
            return Change::None;
        }
        let causes =
            after.check.tier <= self.held.check.tier || self.held.status() == Status::Tight;
        if status == Status::Fails && causes {
            Change::Never
        } else {
            Change::Worse
        }
    }

    /// Another job: the value of one input nearest to the present one at which the check passes.
    fn job(&self, input: usize, more: bool) -> Option<Remedy> {
        let now = self.now();
        let value = solve::nearest_within(&now, input, self.held.check, STEPS, FINENESS)?;
        let trial = Trial::new(&now, input)?;
        let present = trial.present?;
        if (value > present) != more || value == present || value <= 0.0 {
            return None;
        }
        // An error ten times the one allowed is no wish any more.
        let tolerance =
            input == axis::POSITION_TOLERANCE.index() || input == movement::PATH_TOLERANCE.index();
        if tolerance && value > 3.0 * present {
            return None;
        }
        let mut last = String::new();
        for digits in 2..=5 {
            let text = rounded(&now, input, trial.measure, value, more, digits)?;
            if text == last {
                continue;
            }
            last.clone_from(&text);
            let act = Act {
                input,
                means: Means::Requirement,
                say: "",
                rungs: vec![Rung {
                    entries: vec![(input, text)],
                    gearbox: None,
                    words: None,
                }],
                ordered: true,
            };
            let Some(design) = act.rungs[0].entered(&now) else {
                continue;
            };
            let sign = if more { " ≥ {}" } else { " ≤ {}" };
            let words = [
                "Relax the requirement: ",
                &in_sentence(now.label(input)),
                sign,
            ]
            .concat();
            let remedy = self.judged(&act, words, design, usize::MAX).ok();
            if let Some(remedy) = remedy.filter(|r| r.status == Status::Passes) {
                return Some(remedy);
            }
        }
        None
    }
}

/// What an act brings upon a design.
struct Sized {
    /// The remedy, where it is one.
    kept: Option<Remedy>,
    /// The greatest margin that was seen, and the size that brings it.
    best: Option<(f64, usize)>,
    /// A size with which the check passes and another fails, and that one.
    breaks: Option<(usize, &'static Check)>,
}

/// What becomes of a check beside the one that is put right.
enum Change {
    None,
    Worse,
    Uncovered,
    Never,
}

/// What an act says with one of its sizes.
fn said(act: &Act, rung: &Rung) -> String {
    rung.words.clone().unwrap_or_else(|| act.say.into())
}

/// Whether a check is held without a simulated landing.
fn seen_without_landing(c: &Eval<'_>, check: &Check) -> bool {
    let plain = c.of(c.design());
    check::all(&plain).iter().any(|h| h.check.id == check.id)
}

/// How many entries are refused, by their own text or beside the others.
fn refused(c: &Eval<'_>) -> usize {
    (0..register::INPUT_COUNT)
        .filter(|&index| match c.design().state(index) {
            State::Refused { .. } => true,
            State::Given(_) => c.conflict(index).is_some(),
            State::Assumed => false,
        })
        .count()
}

/// Whether figures of a design cannot all be true.
fn contradicted(c: &Eval<'_>) -> bool {
    check::verdict(c, &[]).contradiction.is_some()
}

/// What of the job a check rests on, and whether more of it is easier: what somebody agrees to as the last way out.
fn jobs(c: &Eval<'_>, held: &CheckResult) -> Vec<Left> {
    let id = held.check.id.trim_start_matches("check.");
    let load = match c.get(axis::KIND) {
        Ok(register::Kind::Torque) => axis::LOAD_TORQUE_GIVEN.index(),
        _ => axis::LOAD_MASS.index(),
    };
    let (time, tolerance) = (movement::TIME.index(), axis::POSITION_TOLERANCE.index());
    let list: &[(usize, bool)] = match id {
        "torque" | "gear_continuous" | "holding_current" | "warm" | "radial" => &[(load, false)],
        "gear_peak" => &[(load, false), (time, true)],
        "winding_temperature" => &[(load, false), (movement::DWELL.index(), true)],
        "speed" | "voltage" => &[(time, true), (movement::DISTANCE.index(), false)],
        "step_rate" | "edge_gap" | "processor_load" => &[(time, true)],
        "regenerated_voltage" => &[(time, true), (load, false)],
        "bridge_current" | "bridge_temperature" | "trace" | "connector" => {
            &[(load, false), (time, true)]
        }
        "brown_out" | "supply_current" => &[(supply::ACTUATORS.index(), false), (load, false)],
        "backlash" | "position" | "resolution" | "rounding" | "homing" | "final_error" => {
            &[(tolerance, true)]
        }
        "path" => &[(time, true), (movement::PATH_TOLERANCE.index(), true)],
        _ => &[],
    };
    let on = held.depends_on;
    list.iter()
        .filter(|(input, _)| on.has(*input))
        .map(|(input, more)| Left::Job(*input, *more))
        .collect()
}

/// Every remedy of a check of a design, the first to do first.
///
/// # Example
/// ```
/// use pulsewright_sheet::analysis::remedy;
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::{Eval, check};
/// use pulsewright_sheet::guide::examples::EXAMPLES;
///
/// let design = link::read(EXAMPLES[0].link)?.design;
/// let c = Eval::new(&design);
/// let held = check::all(&c);
/// if let Some(short) = check::worst(&held) {
///     for remedy in remedy::remedies(&c, short) {
///         println!("{}: {}", short.check.label, remedy.what());
///     }
/// }
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn remedies(c: &Eval<'_>, held: &CheckResult) -> Vec<Remedy> {
    let mut search = Search::new(c, held);
    while search.step() {}
    search.found
}

/// The first remedy of a check, or why there is none.
#[must_use]
pub fn first(c: &Eval<'_>, held: &CheckResult) -> (Option<Remedy>, Option<Impasse>) {
    let mut search = Search::new(c, held);
    while !search.settled() && search.step() {}
    (search.first().cloned(), search.impasse())
}

/// A check that is short, with the first thing to do about it, or why there is none.
#[derive(Clone, Debug)]
pub struct Advice {
    /// The check.
    pub held: CheckResult,
    /// The first thing to do; where nothing but another job is left, that.
    pub remedy: Option<Remedy>,
    /// Why nothing can be set, fitted or bought.
    pub impasse: Option<Impasse>,
}

/// The worst three checks that are tight or fail, each with the first thing to do.
#[must_use]
pub fn of_the_worst(c: &Eval<'_>, held: &[CheckResult]) -> Vec<Advice> {
    check::ranked(held.iter().filter(|h| is_short(h)))
        .into_iter()
        .take(3)
        .map(|held| {
            let mut search = Search::new(c, &held);
            while !search.settled() && search.step() {}
            Advice {
                held,
                impasse: search.impasse(),
                remedy: search.found.into_iter().next(),
            }
        })
        .collect()
}

/// Whether a check is tight or fails: what a remedy can be sought for.
#[must_use]
pub fn is_short(held: &CheckResult) -> bool {
    matches!(held.status(), Status::Tight | Status::Fails)
}

/// Cautions of people: faults are those of their checks.
fn grave(c: &Eval<'_>) -> Vec<&'static Finding> {
    let said = finding::all(c);
    let grave = said.iter().filter(|s| s.severity > Severity::Fault);
    grave.map(|s| s.finding).collect()
}

/// The entry of `value`, away from the present one, to `digits` significant digits or one more where
/// that few would go more than 3 % too far: in the unit and with the tolerance that stand there.
pub(crate) fn rounded(
    c: &Eval<'_>,
    index: usize,
    measure: Measure,
    value: f64,
    up: bool,
    digits: i32,
) -> Option<String> {
    let input = register::inputs().get(index)?;
    let (unit, tolerance) = match input.form {
        Form::Choice(words) => return words.get(value as usize).map(|w| (*w).into()),
        Form::Whole => return Some(number::text(libm::round(value), 13)),
        Form::Quantity(Measure::Gauge) => return Some(number::text(libm::round(value), 3)),
        Form::Quantity(measure) => own_unit(c, index, measure, value)?,
        Form::Travel => own_unit(c, index, measure, value)?,
        Form::Exact => (None, String::new()),
        Form::Stages | Form::Shares | Form::Text => return None,
    };
    let number = unit.as_ref().map_or(value, |unit| unit.from_si(value));
    let mut text = outward(number, up, digits);
    let gone: f64 = text.parse().ok()?;
    if (gone - number).abs() > 0.03 * number.abs() {
        text = outward(number, up, digits + 1);
    }
    let name = unit.map_or(String::new(), |unit| unit.text);
    Some([text, name, tolerance].concat())
}

/// The unit that stands in a field, given or assumed, and the tolerance that was given with it.
fn own_unit(
    c: &Eval<'_>,
    index: usize,
    measure: Measure,
    value: f64,
) -> Option<(Option<Unit>, String)> {
    let given = c.design().entry(index);
    let text = given
        .or_else(|| {
            c.preset_entry(index)
                .filter(|_| !c.notation.units.differ(measure))
        })
        .map(|e| e.text.as_str());
    let (body, tolerance) = match text.and_then(|text| text.split_once('~')) {
        Some((body, tail)) => (Some(body), tail),
        None => (text, ""),
    };
    let name = match body {
        Some(body) => number::split(body, DecimalMark::Stored).ok()?.1,
        None => c.notation.shown(measure, value, 3).1,
    };
    let unit = unit::unit(name, measure).ok()?;
    let tolerance = if given.is_some() && !tolerance.is_empty() {
        ["~", tolerance].concat()
    } else {
        String::new()
    };
    Some((Some(unit), tolerance))
}
