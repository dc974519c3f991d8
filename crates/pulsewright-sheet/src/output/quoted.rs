//! Numbers and words in running text: how a document shows one, and whether a written one still holds.

use crate::evaluation::check;
use crate::evaluation::display;
use crate::evaluation::{Absent, Code, Eval, Inputs};
use crate::output::settings;
use crate::plot;
use crate::register;
use crate::text::number::{self, DecimalMark, NumberError};
use crate::text::unit::{self, pretty, with_unit};

/// What an element of a document shows of a design.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Show {
    /// The number of an input or a result.
    Value,
    /// A number as the firmware stores it.
    Setting,
    /// The word of a check.
    Check,
    /// The word of the verdict.
    Verdict,
    /// A table of inputs and results.
    Figures,
    /// A plot.
    Plot,
    /// A station of the card.
    Station,
    /// The whole card.
    Card,
}

/// Each way to show a design, by its name.
pub const SHOWS: [(&str, Show); 8] = [
    ("value", Show::Value),
    ("setting", Show::Setting),
    ("check", Show::Check),
    ("verdict", Show::Verdict),
    ("figures", Show::Figures),
    ("plot", Show::Plot),
    ("station", Show::Station),
    ("card", Show::Card),
];

impl Show {
    /// The one of this name.
    ///
    /// # Errors
    /// In words: the names that there are.
    pub fn named(name: &str) -> Result<Self, String> {
        match SHOWS.iter().find(|(known, _)| *known == name) {
            Some((_, show)) => Ok(*show),
            None => {
                let names: Vec<&str> = SHOWS.iter().map(|(name, _)| *name).collect();
                Err(["show=\"", name, "\" is none of ", &names.join(", ")].concat())
            }
        }
    }

    /// Whether it is a word or a number in running text, which can be written by hand.
    #[must_use]
    pub const fn is_text(self) -> bool {
        matches!(
            self,
            Self::Value | Self::Setting | Self::Check | Self::Verdict
        )
    }
}

/// What stands in running text for a design.
#[derive(Clone, Debug, PartialEq)]
pub struct Quoted {
    /// The computed text.
    pub text: String,
    /// Whether what is written says the same.
    pub agrees: bool,
    /// What it rests on.
    pub depends_on: Inputs,
}

/// Why there is nothing to put into a text.
#[derive(Clone, Debug, PartialEq)]
pub enum Unquoted {
    /// What is asked for is none; in words.
    Refused(String),
    /// The design does not lead to it.
    Absent(Absent),
}

impl Unquoted {
    /// In words.
    #[must_use]
    pub fn message(&self) -> String {
        match self {
            Self::Refused(message) => message.clone(),
            Self::Absent(absent) => absent.message(),
        }
    }
}

/// What is written for a result without a limit.
pub const UNLIMITED: &str = "unlimited";

/// What `show` says of a design, beside what is `written`.
///
/// # Errors
/// [`Unquoted`] where there is no such thing.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::output::quoted::{Quotation, Show, quote};
/// let mut design = Design::default();
/// design.enter_id("loop.sample_time", "2 ms");
/// let c = Eval::new(&design);
/// let setting = Quotation { of: "PW_SAMPLE_US", ..Quotation::default() };
/// let quoted = quote(&c, Show::Setting, &setting, "2 000").unwrap();
/// assert_eq!((quoted.text.as_str(), quoted.agrees), ("2000", true));
/// let verdict = quote(&c, Show::Verdict, &Quotation::default(), "passes").unwrap();
/// assert_eq!((verdict.text.as_str(), verdict.agrees), ("unknown", false));
/// ```
pub fn quote(
    c: &Eval<'_>,
    show: Show,
    asked: &Quotation<'_>,
    written: &str,
) -> Result<Quoted, Unquoted> {
    let word = |text: &str, depends_on| Quoted {
        text: text.into(),
        agrees: written.trim().eq_ignore_ascii_case(text),
        depends_on,
    };
    match show {
        Show::Value => value(c, asked, written),
        Show::Setting => {
            let made = settings::made(c)
                .into_iter()
                .find(|made| made.setting.name == asked.of)
                .ok_or_else(|| Unquoted::Refused(no_such("setting", asked.of)))?;
            let stored = made.stored.map_err(Unquoted::Absent)?;
            let text = number::int(stored.whole);
            // A long number may be written in groups.
            let plain: String = written.chars().filter(|c| !c.is_whitespace()).collect();
            Ok(Quoted {
                agrees: plain.replace('\u{2212}', "-") == text,
                text,
                depends_on: c.answer(stored.of).depends_on,
            })
        }
        Show::Check => {
            let known = c
                .model()
                .checks()
                .find(|check| check.id == asked.of)
                .ok_or_else(|| Unquoted::Refused(no_such("check", asked.of)))?;
            let held = check::all(c);
            match held.iter().find(|held| held.check.id == known.id) {
                Some(held) => Ok(word(held.status().word(), held.depends_on)),
                None => Err(Unquoted::Absent(Absent::not_asked(
                    "nothing in this design is held against this check",
                ))),
            }
        }
        Show::Verdict => {
            let (judged, depends_on) = c.traced(|c| check::verdict(c, &check::all(c)));
            let on = judged.leading.map_or(depends_on, |held| held.depends_on);
            Ok(word(judged.status.word(), on))
        }
        Show::Figures | Show::Plot | Show::Station | Show::Card => {
            Err(Unquoted::Refused("this is more than a word".into()))
        }
    }
}

/// A number, or the word for one without a limit.
fn value(c: &Eval<'_>, asked: &Quotation<'_>, written: &str) -> Result<Quoted, Unquoted> {
    let index = index(asked).map_err(Unquoted::Refused)?;
    let answer = c.answer(index);
    if let Err(absent) = answer.found {
        if absent.code != Code::Unlimited {
            return Err(Unquoted::Absent(absent));
        }
        let written = written.trim();
        return Ok(Quoted {
            text: UNLIMITED.into(),
            agrees: written.eq_ignore_ascii_case(UNLIMITED) || written == absent.message(),
            depends_on: answer.depends_on,
        });
    }
    Ok(Quoted {
        text: text(c, asked).map_err(Unquoted::Refused)?,
        agrees: agrees(c, asked, written),
        depends_on: answer.depends_on,
    })
}

/// What is wrong with what an element asks for, whatever its design; in words.
#[must_use]
pub fn trouble(c: &Eval<'_>, show: Show, of: &str) -> Option<String> {
    let id = |of: &str| register::find(of).is_none().then(|| no_such_id(of));
    match show {
        Show::Card | Show::Verdict => None,
        _ if of.trim().is_empty() => Some("no of=\"…\": say which".into()),
        Show::Value => id(of),
        Show::Figures => of.split_whitespace().find_map(id),
        Show::Setting => {
            let known = settings::SETTINGS.iter().any(|known| known.name == of);
            (!known).then(|| no_such("setting", of))
        }
        Show::Check => {
            let known = c.model().checks().any(|check| check.id == of);
            (!known).then(|| no_such("check", of))
        }
        Show::Plot => plot::find(of).is_none().then(|| {
            let names: Vec<&str> = plot::PLOTS.iter().map(|known| known.id).collect();
            [&no_such("plot", of), "; there are ", &names.join(", ")].concat()
        }),
        Show::Station => register::station_named(of).is_none().then(|| {
            let names: Vec<&str> = register::STATIONS.iter().map(|h| h.name).collect();
            [&no_such("station", of), "; there are ", &names.join(", ")].concat()
        }),
    }
}

fn no_such(kind: &str, of: &str) -> String {
    ["“", of, "” is no ", kind].concat()
}

fn no_such_id(of: &str) -> String {
    ["“", of, "” is no input and no result"].concat()
}

/// What a document asks to be shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Quotation<'a> {
    /// Id of an input or a result.
    pub of: &'a str,
    /// In this unit; empty for the one that suits its size.
    pub unit: &'a str,
    /// Significant digits; 0 for as many as the card shows.
    pub digits: i32,
}

/// Significant digits where none are asked for: as on the card.
const DIGITS: i32 = 4;

/// The text that a document shows.
///
/// # Errors
/// In words: an id or a unit that is none, or why the result is absent.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::output::quoted::{Quotation, text};
/// let mut design = Design::default();
/// design.enter_id("gears.stages", "35:12,37:13");
/// let c = Eval::new(&design);
/// let ratio = Quotation { of: "gears.exact_ratio", digits: 3, ..Quotation::default() };
/// assert_eq!(text(&c, &ratio).unwrap(), "8.3");
/// assert_eq!(text(&c, &Quotation { digits: 0, ..ratio }).unwrap(), "8.301282");
/// let time = Quotation { of: "loop.sample_time", unit: "us", digits: 3 };
/// assert_eq!(text(&c, &time).unwrap(), "1000 µs");
/// assert!(text(&c, &Quotation { of: "gears.colour", ..time }).is_err());
/// ```
pub fn text(c: &Eval<'_>, asked: &Quotation<'_>) -> Result<String, String> {
    let index = index(asked)?;
    let answer = c.answer(index);
    let raw = answer.found.map_err(|absent| absent.message())?;
    let digits = if asked.digits == 0 {
        DIGITS
    } else {
        asked.digits.clamp(1, 15)
    };
    if asked.unit.is_empty() {
        // A fraction is shown to more digits than another number, unless some are asked for.
        let asked_for = asked.digits != 0 && answer.exact.is_some() && c.in_words(index).is_none();
        return Ok(if asked_for {
            c.notation.said(answer.measure, raw, digits)
        } else {
            display::display(c, index, digits)
        });
    }
    let found = unit::unit(asked.unit, answer.measure).map_err(|_| {
        let usual: Vec<String> = answer.measure.usual().iter().map(|u| pretty(u)).collect();
        [
            "“",
            asked.unit,
            "” is no unit of it; use ",
            &usual.join(", "),
        ]
        .concat()
    })?;
    let number = number::text(found.from_si(raw), digits);
    Ok(with_unit(&number, &pretty(&found.text)))
}

fn index(asked: &Quotation<'_>) -> Result<usize, String> {
    register::find(asked.of).ok_or_else(|| no_such_id(asked.of))
}

/// Whether what is `written` still says what is computed: the same text, or a number that the
/// computed one becomes when it is rounded to the decimals that are written.
#[must_use]
pub fn agrees(c: &Eval<'_>, asked: &Quotation<'_>, written: &str) -> bool {
    let Ok(computed) = text(c, asked) else {
        return false;
    };
    let written = folded(written);
    if written == folded(&computed) || written == folded(&with_comma(&computed)) {
        return true;
    }
    let Ok(index) = index(asked) else {
        return false;
    };
    let answer = c.answer(index);
    let Ok(raw) = answer.found else { return false };
    let reads = |number: &str, rest: &str| {
        if rest.is_empty() && !matches!(answer.measure.si_name(), "" | "1") {
            return false;
        }
        let Ok(unit) = unit::unit(rest, answer.measure) else {
            return false;
        };
        let decimals = match (number.contains(['e', 'E']), number.split_once('.')) {
            (true, _) => return false,
            (false, Some((_, behind))) => u32::try_from(behind.len()).unwrap_or(0),
            (false, None) => 0,
        };
        let rounded = number::fixed(unit.from_si(raw), decimals.min(12));
        match (rounded.parse::<f64>(), number.parse::<f64>()) {
            // A number too small for the decimals written is not said by a nought.
            (Ok(a), Ok(b)) => a == b && (b != 0.0 || raw == 0.0),
            _ => false,
        }
    };
    match number::split(&written, DecimalMark::Typed) {
        Ok((number, rest)) => reads(&number.text, rest),
        // A mark before three digits: either reading may be meant.
        Err(NumberError::Thousands {
            typed,
            decimal,
            grouped,
        }) => {
            let rest = written.get(typed.len()..).unwrap_or("").trim();
            written.starts_with(&typed) && (reads(&decimal, rest) || reads(&grouped, rest))
        }
        Err(_) => false,
    }
}

/// `text` with a comma where a point stands between digits.
///
/// # Example
/// ```
/// assert_eq!(pulsewright_sheet::output::quoted::with_comma("4.6 N·m"), "4,6 N·m");
/// assert_eq!(pulsewright_sheet::output::quoted::with_comma("12 g.cm2"), "12 g.cm2");
/// ```
#[must_use]
pub fn with_comma(text: &str) -> String {
    let bytes = text.as_bytes();
    let digit = |at: Option<usize>| {
        at.and_then(|at| bytes.get(at))
            .is_some_and(u8::is_ascii_digit)
    };
    text.char_indices()
        .map(|(at, letter)| {
            if letter == '.' && digit(at.checked_sub(1)) && digit(Some(at + 1)) {
                ','
            } else {
                letter
            }
        })
        .collect()
}

/// One blank for any, a plain sign for any minus.
fn folded(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words
        .join(" ")
        .replace('\u{2212}', "-")
        .replace('\u{3bc}', "µ")
        .replace('\u{2126}', "Ω")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Design;

    fn holds(id: &str, typed: &str, written: &str) -> bool {
        let mut design = Design::default();
        let _ = design.enter_id(id, typed);
        let asked = Quotation {
            of: id,
            ..Quotation::default()
        };
        agrees(&Eval::new(&design), &asked, written)
    }

    /// Rounding half away from zero to the decimals written: arithmetic, no source.
    #[test]
    fn a_rounded_number_holds() {
        for written in [
            "1.2346 N·m",
            "1.23 N·m",
            "1,23 Nm",
            "1.2\u{a0}N·m",
            "123.5 N.cm",
            "1 N·m",
        ] {
            assert!(
                holds("axis.load_torque_given", "1.23456 N.m", written),
                "{written}"
            );
        }
        for written in [
            "1.24 N·m",
            "1.2 V",
            "1.23",
            "",
            "N·m",
            "about 1.23 N·m",
            "0 N·m",
            "2 N·m",
        ] {
            assert!(
                !holds("axis.load_torque_given", "1.23456 N.m", written),
                "{written}"
            );
        }
    }

    #[test]
    fn either_reading_of_a_thousands_mark_holds() {
        assert!(holds("axis.load_torque_given", "1.6 N.m", "1,600 N·m"));
        assert!(holds("axis.load_torque_given", "1.6 N.m", "1,600 mN·m"));
        assert!(holds("axis.load_torque_given", "1.6 N.m", "1600 mN·m"));
        assert!(!holds("axis.load_torque_given", "1.6 N.m", "1,601 mN·m"));
    }

    /// 35/12 · 37/13 = 1295/156 = 8.301282…, 12 counts a turn of three pole pairs and two sensors behind 380 are 4560:
    /// arithmetic, no source.
    #[test]
    fn digits_count_for_exact_numbers_too() {
        let mut design = Design::default();
        assert!(design.enter_id("gears.stages", "35:12,37:13"));
        let said = |of, digits| {
            let unit = "";
            text(&Eval::new(&design), &Quotation { of, unit, digits })
        };
        for (digits, expected) in [(0, "8.301282"), (1, "8"), (3, "8.3"), (5, "8.3013")] {
            assert_eq!(said("gears.exact_ratio", digits).as_deref(), Ok(expected));
        }
        assert_eq!(said("gears.stages", 3).as_deref(), Ok("35:12,37:13"));
        let mut design = Design::default();
        assert!(design.enter_id("gears.ratio", "380"));
        let c = Eval::new(&design);
        let asked = |of, digits| Quotation {
            of,
            unit: "",
            digits,
        };
        let counts = asked("encoder.counts_per_output_turn", 2);
        assert_eq!(text(&c, &counts).as_deref(), Ok("4600"));
        assert_eq!(text(&c, &asked("gears.ratio", 2)).as_deref(), Ok("380"));
    }

    #[test]
    fn words_of_checks_and_verdict_hold_as_written() {
        let c = crate::guide::examples::EXAMPLES[0].link;
        let design = crate::design::link::read(c).unwrap().design;
        let c = Eval::new(&design);
        let held = check::all(&c);
        let judged = check::verdict(&c, &held);
        let of = |show, of, written: &str| {
            quote(
                &c,
                show,
                &Quotation {
                    of,
                    ..Quotation::default()
                },
                written,
            )
        };
        let verdict = of(Show::Verdict, "", judged.status.word()).unwrap();
        assert!(verdict.agrees && verdict.text == judged.status.word());
        for held in &held {
            let word = held.status().word();
            let quoted = of(Show::Check, held.check.id, &word.to_uppercase()).unwrap();
            assert!(quoted.agrees && quoted.text == word, "{}", held.check.id);
            assert!(!of(Show::Check, held.check.id, "perhaps").unwrap().agrees);
        }
        let refused = |made: Result<Quoted, Unquoted>| matches!(made, Err(Unquoted::Refused(_)));
        assert!(refused(of(Show::Check, "check.garden", "")));
        assert!(refused(of(Show::Setting, "PW_GARDEN", "")));
        assert!(refused(of(Show::Value, "", "")));
        for (name, show) in SHOWS {
            assert_eq!(Show::named(name), Ok(show));
            let is_free = matches!(show, Show::Card | Show::Verdict);
            assert_eq!(trouble(&c, show, "garden").is_none(), is_free, "{name}");
            assert_eq!(trouble(&c, show, " ").is_none(), is_free, "{name}");
        }
        assert!(Show::named("valeu").is_err());
    }

    #[test]
    fn a_nought_does_not_stand_for_something_small() {
        assert!(!holds("axis.load_torque_given", "0.1 mN.m", "0 N·m"));
        assert!(!holds("axis.load_torque_given", "0.1 mN.m", "0.00 N·m"));
    }

    #[test]
    fn words_and_choices_hold_as_written() {
        assert!(holds("axis.kind", "turntable", "turntable"));
        assert!(!holds("axis.kind", "turntable", "arm"));
        assert!(holds("axis.ambient_temperature", "22 degC", "22 °C"));
        assert!(holds("axis.ambient_temperature", "22 degC", "71.6 °F"));
        assert!(holds("gears.efficiency", "0.3", "30%"));
    }
}
