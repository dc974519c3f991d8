//! A design with everything that follows from it.

use std::rc::Rc;

use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::check::{self, CheckResult, Verdict};
use pulsewright_sheet::evaluation::finding::{self, RaisedFinding};
use pulsewright_sheet::evaluation::{Check, Status};
use pulsewright_sheet::evaluation::{Eval, Inputs};
use pulsewright_sheet::register::{self, INPUT_COUNT, Station};
use pulsewright_sheet::text::notation::Notation;

use crate::state::simulated::recall;

/// A design with everything that follows from it.
pub struct Evaluated {
    /// Every input and result.
    pub eval: Eval<'static>,
    /// Every check.
    pub held: Vec<CheckResult>,
    /// What they come to.
    pub verdict: Verdict,
    /// Every finding.
    pub said: Vec<RaisedFinding>,
    /// Messages of refused inputs.
    pub refused: Vec<(usize, String)>,
    /// Every input that is assumed.
    assumed: Inputs,
}

impl Evaluated {
    /// Evaluates a design, with the landing where that is known.
    pub fn of(design: Design, notation: Notation) -> Rc<Self> {
        Self::judge(recall(Eval::owned(design).in_notation(notation)))
    }

    /// Evaluates a design and simulates its landing: nobody types meanwhile.
    pub fn simulated(design: Design, notation: Notation) -> Rc<Self> {
        Self::judge(Eval::owned(design).in_notation(notation).simulating())
    }

    fn judge(eval: Eval<'static>) -> Rc<Self> {
        let held = check::all(&eval);
        let verdict = check::verdict(&eval, &held);
        let said = finding::all(&eval);
        let refused = pulsewright_sheet::output::entered::refusals(&eval);
        let mut every = Inputs::default();
        (0..INPUT_COUNT).for_each(|i| every.insert(i));
        let assumed = eval.assumed(every);
        Rc::new(Self {
            assumed,
            eval,
            held,
            verdict,
            said,
            refused,
        })
    }

    /// Worst status of a station's checks; `None` where it has none. A refused field leaves it
    /// unknown at best.
    pub fn stamp(&self, station: Station) -> Option<(Status, Option<f64>)> {
        let of_station = |h: &&CheckResult| h.check.station == station;
        let checks: Vec<CheckResult> = self.held.iter().filter(of_station).copied().collect();
        let worst = check::worst(&checks)?;
        // Before enough is entered for a verdict nothing passes.
        if self.verdict.status == Status::Unknown
            && !self.verdict.missing.is_empty()
            && worst.status() != Status::Fails
        {
            return None;
        }
        let refused = self
            .refused
            .iter()
            .any(|(i, _)| register::station(*i) == Some(station));
        if refused && worst.status() != Status::Fails {
            return Some((Status::Unknown, None));
        }
        if self.waits_for_landing(station) && worst.status() != Status::Fails {
            return Some((Status::Waits, None));
        }
        Some((worst.status(), worst.ratio()))
    }

    /// Whether a station is judged by a landing that is still being simulated.
    fn waits_for_landing(&self, station: Station) -> bool {
        station == Station::Loop && self.eval.simulated().is_err()
    }

    /// What a station's stamp says, in a word or two.
    pub fn in_words(&self, station: Station, status: Status) -> &'static str {
        if status == Status::Waits && self.waits_for_landing(station) {
            "simulating …"
        } else {
            status.word()
        }
    }

    /// How many assumed inputs are among `rests_on`.
    pub fn assumed_in(&self, depends_on: Inputs) -> usize {
        depends_on.iter().filter(|&i| self.assumed.has(i)).count()
    }

    /// The worst check.
    pub fn worst(&self) -> Option<&CheckResult> {
        self.verdict.leading.as_ref()
    }

    /// How a check stands.
    pub fn held(&self, check: &Check) -> Option<&CheckResult> {
        self.held.iter().find(|held| held.check.id == check.id)
    }

    /// The message of input `index`, where it is refused.
    pub fn message(&self, index: usize) -> Option<String> {
        self.refused
            .iter()
            .find(|(i, _)| *i == index)
            .map(|(_, m)| m.clone())
    }
    /// The station that holds the cause in the headline, where something fails.
    pub fn cause(&self) -> Option<Station> {
        let leading = self.verdict.leading.as_ref()?;
        let fails = self.verdict.status == Status::Fails && leading.status() == Status::Fails;
        fails.then_some(leading.check.station)
    }

    /// How many inputs of a station are entered, and of how many that this kind of axis uses.
    pub fn entered(&self, station: Station) -> (usize, usize) {
        let kind = self
            .eval
            .get(register::axis::KIND)
            .unwrap_or(register::Kind::Arm);
        let mut of = (0, 0);
        for index in register::inputs_of(station) {
            if register::inputs()
                .get(index)
                .is_some_and(|i| i.kinds.has(kind))
            {
                of.1 += 1;
                of.0 += usize::from(self.eval.design().entry(index).is_some());
            }
        }
        of
    }
}
