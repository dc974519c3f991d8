//! Checks: what the design can do against what it must, and by what margin.

use super::finding;
use super::{Absent, Check, Code, Eval, Finding, Inputs, Margin, NOT_FINITE, Severity, Status};
use crate::register::{Kind, axis, gears, motor, movement, supply};
use crate::text::label::in_sentence;
use crate::text::measure::Measure;

/// A check of a design as it stands.
#[derive(Clone, Copy, Debug)]
pub struct CheckResult {
    /// Which.
    pub check: &'static Check,
    /// What it found, or why it cannot be said.
    pub margin: Result<Margin, Absent>,
    /// What it rests on.
    pub depends_on: Inputs,
    /// The fault that fails it, whatever its margin.
    pub fault: Option<&'static Finding>,
}

impl CheckResult {
    /// How it stands.
    #[must_use]
    pub fn status(&self) -> Status {
        if self.fault.is_some() {
            return Status::Fails;
        }
        match self.margin {
            Ok(margin) => margin.status(),
            Err(absent) if absent.code == Code::Waits => Status::Waits,
            Err(_) => Status::Unknown,
        }
    }

    /// What is said of it where it fails, as a sentence without its full stop. `{share}` stands for what is available, as
    /// a share of what is needed.
    ///
    /// # Example
    /// An input that nobody entered is called typical: what fails by a guess may do as well.
    /// ```
    /// use pulsewright_sheet::design::link;
    /// use pulsewright_sheet::evaluation::{Eval, check};
    ///
    /// let said = |gears: &str| -> Result<String, Box<dyn std::error::Error>> {
    ///     let design = link::read(&format!("#pw1;axis.load_mass=2kg;{gears}"))?.design;
    ///     let c = Eval::new(&design);
    ///     let held = check::all(&c);
    ///     let held = held.iter().find(|held| held.check.label == "Gearbox continuous torque");
    ///     Ok(held.ok_or("no such check")?.what_fails(&c))
    /// };
    /// assert!(said("")?.starts_with("the gears take 120 mN·m (typical) continuously"), "{}", said("")?);
    /// assert!(said("gears.continuous_torque=0.1Nm")?.starts_with("the gears take 100 mN·m continuously"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn what_fails(&self, c: &Eval<'_>) -> String {
        let share = self.ratio().map_or(String::new(), |ratio| {
            [" (", &c.notation.number(100.0 * ratio, 2), " %)"].concat()
        });
        let failing = in_sentence(self.failing()).replace("{share}", &share);
        finding::filled_telling_typical(&failing, c)
    }

    fn failing(&self) -> &'static str {
        match self.fault {
            Some(fault) if !fails_by_itself(self) => fault
                .message
                .split_once(". ")
                .map_or(fault.message, |(first, _)| first)
                .trim_end_matches('.'),
            _ => self.check.failing,
        }
    }

    /// Whether it fails whatever the figures that are still missing may be: by more than the reserve that a check
    /// asks, or by what no margin says.
    fn decides(&self) -> bool {
        let nearly = |ratio: f64| (1.0 / 1.25..1.0).contains(&ratio);
        self.status() == Status::Fails && !self.ratio().is_some_and(nearly)
    }

    /// What its two figures measure.
    #[must_use]
    pub fn measure(&self) -> Measure {
        self.margin
            .ok()
            .and_then(|margin| margin.measure)
            .unwrap_or(self.check.measure)
    }

    /// Its margin, where it has one.
    #[must_use]
    pub fn ratio(&self) -> Option<f64> {
        self.margin.ok().and_then(|margin| margin.ratio())
    }
}

/// Holds every check against the design.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::guide::examples::EXAMPLES;
/// use pulsewright_sheet::evaluation::check;
///
/// let design = link::read(EXAMPLES[0].link)?.design;
/// let c = Eval::new(&design);
/// for held in check::all(&c) {
///     println!("{}: {}", held.check.label, held.status().word());
/// }
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn all(c: &Eval<'_>) -> Vec<CheckResult> {
    let mut held = Vec::with_capacity(c.model().checks.iter().map(|t| t.len()).sum());
    c.traced(|c| hold_each(c, &mut held));
    for (finding, depends_on) in faults(c) {
        let mut of = checks_of(c, finding);
        let fails = |id: &&str| {
            let own = |held: &CheckResult| held.check.id == *id && fails_by_itself(held);
            held.iter().any(own)
        };
        let Some(check) = of.clone().find(fails).or_else(|| of.next()) else {
            continue;
        };
        match held.iter_mut().find(|held| held.check.id == check) {
            Some(held) => {
                held.fault.get_or_insert(finding);
                held.depends_on = held.depends_on.or(depends_on);
            }
            None => {
                let Some(check) = c.model().checks().find(|known| known.id == check) else {
                    continue;
                };
                held.push(CheckResult {
                    check,
                    margin: Err(Absent::not_asked("a fault of its own")),
                    depends_on,
                    fault: Some(finding),
                });
            }
        }
    }
    held
}

/// Every check by its own margin.
fn hold_each(c: &Eval<'_>, held: &mut Vec<CheckResult>) {
    for check in c.model().checks() {
        let (margin, depends_on) = c.gathering(check.margin);
        let margin = match margin {
            Ok(None) => continue,
            Ok(Some(margin)) if margin.capability.is_nan() || margin.need.is_nan() => {
                Err(NOT_FINITE)
            }
            Ok(Some(margin)) => Ok(margin),
            Err(absent) => Err(absent),
        };
        held.push(CheckResult {
            check,
            margin,
            depends_on,
            fault: None,
        });
    }
}

/// The checks that a fault belongs to.
fn checks_of(
    c: &Eval<'_>,
    finding: &'static Finding,
) -> impl Iterator<Item = &'static str> + Clone + use<> {
    let faults = c.model().faults.iter();
    faults.filter_map(|(id, check)| (*id == finding.id).then_some(*check))
}

fn fails_by_itself(held: &CheckResult) -> bool {
    held.margin
        .is_ok_and(|margin| margin.status() == Status::Fails)
}

/// The faults of a design, each with what it rests on.
fn faults(c: &Eval<'_>) -> impl Iterator<Item = (&'static Finding, Inputs)> {
    finding::raised(c)
        .iter()
        .filter(|(_, severity, _)| *severity == Severity::Fault)
        .map(|(finding, _, depends_on)| (*finding, *depends_on))
}

/// Checks in order, worst first: by status, failing and tight ones by their tier, then by margin; equals stay as they
/// were.
pub fn ranked<'a>(held: impl Iterator<Item = &'a CheckResult>) -> Vec<CheckResult> {
    let mut list: Vec<CheckResult> = Vec::new();
    for next in held {
        let at = list
            .iter()
            .position(|h| worse(next, h))
            .unwrap_or(list.len());
        list.insert(at, *next);
    }
    list
}

/// Whether `a` is worse than `b`.
fn worse(a: &CheckResult, b: &CheckResult) -> bool {
    let margin = |h: &CheckResult| h.ratio().unwrap_or(f64::INFINITY);
    let (x, y) = (a.status().rank(), b.status().rank());
    let short = |h: &CheckResult| matches!(h.status(), Status::Fails | Status::Tight);
    let tier = |h: &CheckResult| short(h).then_some(h.check.tier);
    x > y || (x == y && (tier(a) < tier(b) || (tier(a) == tier(b) && margin(a) < margin(b))))
}

/// The worst check: by status, a failing or tight one of the first tier that has one, then by margin; the first of
/// equals.
#[must_use]
pub fn worst(held: &[CheckResult]) -> Option<&CheckResult> {
    held.iter()
        .reduce(|worst, next| if worse(next, worst) { next } else { worst })
}

/// What a design comes to.
#[derive(Clone, Debug)]
pub struct Verdict {
    /// How the design stands.
    pub status: Status,
    /// The check that says so; none where nothing is held.
    pub leading: Option<CheckResult>,
    /// Figures that cannot all be true: nothing can be said before one of them is put right.
    pub contradiction: Option<&'static Finding>,
    /// The inputs without which nothing passes, as far as they are not given.
    pub missing: Vec<usize>,
}

/// What the checks of a design come to: a failing check fails it; nothing passes before the load, the move and the
/// motor are given, and what fails by little is open until then.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::{Eval, Status, check};
///
/// // Nothing is known of an empty card.
/// let design = Design::default();
/// let c = Eval::new(&design);
/// let verdict = check::verdict(&c, &check::all(&c));
/// assert_eq!(verdict.status, Status::Unknown);
/// assert!(!verdict.missing.is_empty());
/// ```
#[must_use]
pub fn verdict(c: &Eval<'_>, held: &[CheckResult]) -> Verdict {
    let leading = worst(held).copied();
    let missing = missing(c);
    let of_no_check = |finding: &&'static Finding| checks_of(c, finding).next().is_none();
    let contradiction = faults(c).map(|(finding, _)| finding).find(of_no_check);
    let status = match leading.map_or(Status::Unknown, |worst| worst.status()) {
        _ if contradiction.is_some() => Status::Unknown,
        Status::Fails if missing.is_empty() || held.iter().any(CheckResult::decides) => {
            Status::Fails
        }
        _ if !missing.is_empty() => Status::Unknown,
        Status::Waits => Status::Unknown,
        status => status,
    };
    Verdict {
        status,
        leading,
        contradiction,
        missing,
    }
}

/// The inputs that a verdict rests on at least and that are not given, in the order of the card.
fn missing(c: &Eval<'_>) -> Vec<usize> {
    let load = match c.get(axis::KIND) {
        Ok(Kind::Torque) => axis::LOAD_TORQUE_GIVEN.index(),
        _ => axis::LOAD_MASS.index(),
    };
    let mut missing: Vec<usize> = [
        load,
        movement::DISTANCE.index(),
        movement::TIME.index(),
        motor::NO_LOAD_SPEED.index(),
        motor::STALL_TORQUE.index(),
    ]
    .into_iter()
    .filter(|&index| c.design().entry(index).is_none())
    .collect();
    let volts = [motor::RATED_VOLTAGE.index(), supply::VOLTAGE.index()];
    let ratio = [
        gears::RATIO.index(),
        gears::STAGES.index(),
        gears::NOMINAL_RATIO.index(),
    ];
    for either in [volts.as_slice(), ratio.as_slice()] {
        let given = |index: &usize| c.design().entry(*index).is_some();
        if !either.iter().any(given) {
            missing.extend(either.first());
        }
    }
    missing
}
