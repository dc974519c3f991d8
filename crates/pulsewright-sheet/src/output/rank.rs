//! Other motors and gearboxes in a design: the same motor before another gearbox, and a table of
//! motors put into the design one by one, best first.

use crate::analysis::gearbox::{Gearbox, other_gearbox};
use crate::design::{Design, State};
use crate::evaluation::Eval;
use crate::evaluation::Status;
use crate::evaluation::check;
use crate::register::{self, Form, gears, motor};
use crate::text::csv;
use crate::text::measure::Measure;
use crate::text::number::{self, DecimalMark};
use crate::text::unit;

/// What a heading of a table was taken for.
#[derive(Clone, Debug, PartialEq)]
pub enum ColumnMeaning {
    /// The motor's name.
    Name,
    /// An input of the register, its cells in this unit (empty: as each cell says, else SI).
    Input {
        /// The input's number.
        index: usize,
        /// Unit of bare numbers, canonical.
        unit: String,
        /// Whether a bare number without any unit can be read.
        before_limits: bool,
    },
    /// Nothing; why.
    Nothing(String),
}

/// A heading and what it was taken for.
#[derive(Clone, Debug, PartialEq)]
pub struct Heading {
    /// As written.
    pub text: String,
    /// What it was taken for.
    pub taken: ColumnMeaning,
}

/// A cell that was refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RefusedCell {
    /// Line of the table, from 1.
    pub line: usize,
    /// Heading of its column.
    pub heading: String,
    /// As written.
    pub text: String,
    /// Why.
    pub message: String,
}

/// A motor of the table.
#[derive(Clone, Debug)]
pub struct Motor {
    /// Line of the table, from 1.
    pub line: usize,
    /// Its name, or its cells where no column has names.
    pub name: String,
    /// The design with this motor.
    pub design: Design,
    /// Its verdict.
    pub status: Status,
    /// The check that says so.
    pub check: Option<&'static str>,
    /// Its margin, where it has one.
    pub margin: Option<f64>,
    /// Ids of the figures without which a motor cannot be judged; then the verdict is unknown.
    pub missing: Vec<&'static str>,
}

/// A table of motors in a design.
#[derive(Clone, Debug, Default)]
pub struct Ranking {
    /// What each column was taken for.
    pub headings: Vec<Heading>,
    /// The motors, best first.
    pub motors: Vec<Motor>,
    /// Cells that were refused.
    pub refused: Vec<RefusedCell>,
}

/// Why a table cannot be used at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableError {
    /// No line with cells.
    Empty,
    /// More than this reads.
    TooLong,
    /// A quotation mark on this line is never closed.
    OpenQuote(usize),
    /// No heading names a figure of a motor or a gearbox.
    NoHeading,
}

impl TableError {
    /// The message.
    #[must_use]
    pub fn message(self) -> String {
        match self {
            Self::Empty => "the table is empty".into(),
            Self::TooLong => "the table has more than 1000 lines or 1 MB; rank it in parts".into(),
            Self::OpenQuote(line) => [
                "a quotation mark on line ",
                &number::int(i64::try_from(line).unwrap_or(i64::MAX)),
                " is never closed",
            ]
            .concat(),
            Self::NoHeading => "no heading names a figure of a motor; write ids as motor.stall_torque [kgf.cm], or words as stall torque (kgf.cm)".into(),
        }
    }
}

errors_in_words!(TableError);

/// Common words of headings, in small letters without marks, and the input that each names. A word
/// that is a unit itself says the unit too.
pub const WORDS: &[(&str, &str, &str)] = &[
    ("voltage", "motor.rated_voltage", ""),
    ("rated voltage", "motor.rated_voltage", ""),
    ("nominal voltage", "motor.rated_voltage", ""),
    ("speed", "motor.no_load_speed", ""),
    ("rpm", "motor.no_load_speed", "rpm"),
    ("no load speed", "motor.no_load_speed", ""),
    ("no load rpm", "motor.no_load_speed", "rpm"),
    ("free speed", "motor.no_load_speed", ""),
    ("no load current", "motor.no_load_current", ""),
    ("idle current", "motor.no_load_current", ""),
    ("free current", "motor.no_load_current", ""),
    ("torque", "motor.stall_torque", ""),
    ("stall torque", "motor.stall_torque", ""),
    ("stall current", "motor.stall_current", ""),
    ("resistance", "motor.terminal_resistance", ""),
    ("terminal resistance", "motor.terminal_resistance", ""),
    ("winding resistance", "motor.terminal_resistance", ""),
    ("inductance", "motor.inductance", ""),
    ("rotor inertia", "motor.rotor_inertia", ""),
    ("mass", "motor.mass", ""),
    ("weight", "motor.mass", ""),
    ("diameter", "motor.case_diameter", ""),
    ("case diameter", "motor.case_diameter", ""),
    ("can diameter", "motor.case_diameter", ""),
    ("motor diameter", "motor.case_diameter", ""),
    ("figures at", "motor.figures_at", ""),
    ("ratio", "gears.ratio", ""),
    ("gear ratio", "gears.ratio", ""),
    ("reduction", "gears.ratio", ""),
    ("stages", "gears.stages", ""),
    ("teeth", "gears.stages", ""),
    ("efficiency", "gears.efficiency", ""),
    ("gear efficiency", "gears.efficiency", ""),
    ("backlash", "gears.backlash", ""),
    ("rated torque", "gears.continuous_torque", ""),
    ("continuous torque", "gears.continuous_torque", ""),
    ("peak torque", "gears.peak_torque", ""),
];

/// Headings of a motor's name.
const NAMES: [&str; 7] = ["name", "motor", "model", "type", "part", "number", "title"];

/// Figures of a listing without which a motor cannot be judged.
const NEEDED: [usize; 4] = [
    motor::RATED_VOLTAGE.index(),
    motor::NO_LOAD_SPEED.index(),
    motor::STALL_TORQUE.index(),
    motor::STALL_CURRENT.index(),
];

/// Inputs of motor and gears that belong to the conversion, not to the motor that is bought.
const KEPT: [usize; 2] = [motor::ADDED_MASS.index(), motor::BRACKET_LIMIT.index()];

const MOST_LINES: usize = 1000;
const MOST_BYTES: usize = 1 << 20;

/// Puts every motor of a table into the design and orders them by verdict, then by margin.
///
/// A line that gives a figure of a motor replaces the motor and its gearbox whole: what the line
/// does not say is assumed, only the rated voltage stays where no column has one. A line that gives
/// a train alone is another gearbox on the same motor ([`other_gearbox`]); one that gives neither
/// changes what it says. Figures are those of the output where the line has a train.
///
/// # Errors
/// [`TableError`].
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::guide::examples::EXAMPLES;
/// use pulsewright_sheet::output::rank;
///
/// let design = link::read(EXAMPLES[0].link)?.design;
/// let motors = "name,stall torque [kgf.cm],no-load speed [rpm]\nweak,0.1,40\nstrong,30,40\n";
/// let ranking = rank::rank(&design, motors)?;
/// for motor in &ranking.motors {
///     println!("{}: {}", motor.name, motor.status.word());
/// }
/// assert_eq!(ranking.motors.len(), 2);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn rank(design: &Design, table: &str) -> Result<Ranking, TableError> {
    if table.len() > MOST_BYTES {
        return Err(TableError::TooLong);
    }
    let separator = csv::separator(table);
    let mut records = csv::records(table, separator)
        .map_err(|open| TableError::OpenQuote(open.line))?
        .into_iter();
    let (_, first) = records.next().ok_or(TableError::Empty)?;
    if records.len() > MOST_LINES {
        return Err(TableError::TooLong);
    }
    let mut ranking = Ranking {
        headings: headings(&first),
        ..Ranking::default()
    };
    if !ranking
        .headings
        .iter()
        .any(|h| matches!(h.taken, ColumnMeaning::Input { .. }))
    {
        return Err(TableError::NoHeading);
    }
    for (line, cells) in records {
        let motor = motor_of(
            design,
            &ranking.headings,
            separator,
            line,
            &cells,
            &mut ranking.refused,
        );
        ranking.motors.push(motor);
    }
    ranking.motors.sort_by(|a, b| {
        let margin = |m: &Motor| m.margin.unwrap_or(f64::INFINITY);
        // What fails later on is nearer to doing the job.
        let tier = |m: &Motor| {
            let check = crate::stations::checks().find(|known| Some(known.id) == m.check);
            check.map(|check| check.tier)
        };
        (a.status.rank().cmp(&b.status.rank()))
            .then(a.missing.len().cmp(&b.missing.len()))
            .then(tier(b).cmp(&tier(a)))
            .then(margin(b).total_cmp(&margin(a)))
    });
    Ok(ranking)
}

fn headings(cells: &[String]) -> Vec<Heading> {
    let mut made: Vec<Heading> = Vec::new();
    for text in cells {
        let mut taken = taken_for(text);
        let twice = |old: &Heading| match (&old.taken, &taken) {
            (ColumnMeaning::Input { index: a, .. }, ColumnMeaning::Input { index: b, .. }) => {
                a == b
            }
            (ColumnMeaning::Name, ColumnMeaning::Name) => true,
            _ => false,
        };
        if let Some(old) = made.iter().find(|old| twice(old)) {
            taken = ColumnMeaning::Nothing(
                ["“", &old.text, "” says the same; the first column counts"].concat(),
            );
        }
        made.push(Heading {
            text: text.trim().into(),
            taken,
        });
    }
    made
}

/// Parts `stall torque (kgf.cm)` or `motor.stall_torque [kgf.cm]` into words and unit.
fn parted(heading: &str) -> (&str, &str) {
    let heading = heading.trim();
    let open = heading.find(['[', '(']);
    match (open, heading.strip_suffix([']', ')'])) {
        (Some(at), Some(body)) if at < body.len() => (heading[..at].trim(), body[at + 1..].trim()),
        _ => (heading, ""),
    }
}

/// Words in small letters, without marks.
fn folded(words: &str) -> String {
    words
        .to_lowercase()
        .split(|c: char| !c.is_alphanumeric() && c != '.')
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

fn taken_for(heading: &str) -> ColumnMeaning {
    let (words, unit) = parted(heading);
    let folded = folded(words);
    if NAMES.contains(&folded.as_str()) {
        return ColumnMeaning::Name;
    }
    // Its id, or its label as the page has it.
    let labelled = |input: &register::Input| folded == self::folded(parted(input.label).0);
    let by_id = register::find_input(words);
    let by_label = || register::inputs().iter().position(labelled);
    let by_words = WORDS.iter().find(|(known, _, _)| *known == folded);
    let (index, own_unit) = match (by_id, by_words) {
        (Some(index), _) => (index, ""),
        (None, Some((_, id, own))) => match register::find_input(id) {
            Some(index) => (index, *own),
            None => return ColumnMeaning::Nothing("no input of this name".into()),
        },
        (None, None) => match by_label() {
            Some(index) => (index, ""),
            None => {
                return ColumnMeaning::Nothing(
                    "neither an id of the register nor a word known here".into(),
                );
            }
        },
    };
    let Some(input) = register::inputs().get(index) else {
        return ColumnMeaning::Nothing("no input of this name".into());
    };
    let unit = if unit.is_empty() { own_unit } else { unit };
    let measure = match input.form {
        Form::Quantity(measure) => measure,
        _ if unit.is_empty() => {
            return ColumnMeaning::Input {
                index,
                unit: String::new(),
                before_limits: true,
            };
        }
        Form::Travel
            if unit::unit(unit, Measure::Angle).is_ok()
                || unit::unit(unit, Measure::Length).is_ok() =>
        {
            return ColumnMeaning::Input {
                index,
                unit: unit.into(),
                before_limits: false,
            };
        }
        _ => return ColumnMeaning::Nothing(["“", unit, "”: this column takes no unit"].concat()),
    };
    // Words are not an id: a bare number is SI only where nobody uses anything else.
    let plain = matches!(
        measure,
        Measure::Voltage | Measure::Current | Measure::Resistance | Measure::Share | Measure::Ratio
    );
    if unit.is_empty() {
        return ColumnMeaning::Input {
            index,
            unit: String::new(),
            before_limits: by_id.is_some() || plain,
        };
    }
    match unit::unit(unit, measure) {
        Ok(known) => ColumnMeaning::Input {
            index,
            unit: known.text,
            before_limits: true,
        },
        Err(_) => ColumnMeaning::Nothing(
            [
                "“",
                unit,
                "” is no unit of this figure; use ",
                &measure.usual().join(", "),
            ]
            .concat(),
        ),
    }
}

/// The text of a cell as an entry: a decimal comma where the table has them, the column's unit
/// behind a bare number.
fn cell_text(text: &str, form: Form, unit: &str, separator: char) -> (String, DecimalMark) {
    let numeric = matches!(
        form,
        Form::Quantity(_) | Form::Whole | Form::Exact | Form::Travel
    );
    let mut text = text.trim().to_string();
    let mut marks = DecimalMark::Stored;
    if numeric && text.contains(',') {
        if separator == ';' {
            text = text.replace('.', "").replace(',', ".");
        } else {
            marks = DecimalMark::Typed;
        }
    } else if numeric && separator == ';' {
        marks = DecimalMark::Typed;
    }
    if unit.is_empty() {
        return (text, marks);
    }
    let tolerance = ["±", "+-", "+/-", "~"]
        .iter()
        .filter_map(|mark| text.find(mark))
        .min();
    let (body, tail) = text.split_at(tolerance.unwrap_or(text.len()));
    let before_limits = match number::split(body, marks) {
        Ok((_, rest)) => rest.is_empty(),
        Err(number::NumberError::Thousands { .. }) => {
            body.trim().ends_with(|c: char| c.is_ascii_digit())
        }
        Err(_) => false,
    };
    if before_limits {
        text = [body.trim(), " ", unit, " ", tail].concat();
    }
    (text, marks)
}

fn is_bare(text: &str) -> bool {
    text.trim().ends_with(|c: char| c.is_ascii_digit())
}

fn motor_of(
    design: &Design,
    headings: &[Heading],
    separator: char,
    line: usize,
    cells: &[String],
    refused: &mut Vec<RefusedCell>,
) -> Motor {
    let mut name = String::new();
    let mut row = Design::default();
    let mut has: Vec<usize> = Vec::new();
    for (heading, cell) in headings.iter().zip(cells) {
        let (index, unit, before_limits) = match &heading.taken {
            ColumnMeaning::Name => {
                name = cell.trim().into();
                continue;
            }
            ColumnMeaning::Input {
                index,
                unit,
                before_limits,
            } => (*index, unit, *before_limits),
            ColumnMeaning::Nothing(_) => continue,
        };
        let Some(input) = register::inputs().get(index) else {
            continue;
        };
        if cell.trim().is_empty() {
            continue;
        }
        let mut refuse = |message: String| {
            refused.push(RefusedCell {
                line,
                heading: heading.text.clone(),
                text: cell.trim().into(),
                message,
            });
        };
        if unit.is_empty() && !before_limits && is_bare(cell) {
            refuse("neither the cell nor its heading says a unit".into());
            continue;
        }
        let backwards = cell.trim().starts_with("1:") && cell.trim() != "1:1";
        if index == gears::RATIO.index() && backwards {
            refuse(
                "this would speed the output up; write motor turns to one output turn, as 100:1"
                    .into(),
            );
            continue;
        }
        let (text, marks) = cell_text(cell, input.form, unit, separator);
        row.enter(index, &text, marks);
        if let State::Refused { refusal, .. } = row.state(index) {
            refuse(refusal.message());
            row.enter(index, "", DecimalMark::Stored);
        } else {
            has.push(index);
        }
    }
    if name.is_empty() {
        name = cells
            .iter()
            .map(|c| c.trim())
            .collect::<Vec<_>>()
            .join(" ")
            .trim()
            .into();
    }
    let columns = |index: usize| {
        headings
            .iter()
            .any(|h| matches!(h.taken, ColumnMeaning::Input { index: i, .. } if i == index))
    };
    let (made, missing) = put(design, &row, &has, &columns);
    let (status, check, margin) = if missing.is_empty() {
        let held = check::all(&Eval::new(&made));
        check::worst(&held).map_or((Status::Unknown, None, None), |worst| {
            (worst.status(), Some(worst.check.id), worst.ratio())
        })
    } else {
        (Status::Unknown, None, None)
    };
    Motor {
        line,
        name,
        design: made,
        status,
        check,
        margin,
        missing,
    }
}

/// The design with what a line of the table says.
fn put(
    design: &Design,
    row: &Design,
    has: &[usize],
    columns: &dyn Fn(usize) -> bool,
) -> (Design, Vec<&'static str>) {
    let trains = [gears::STAGES.index(), gears::RATIO.index()];
    let figures = [
        NEEDED[0],
        NEEDED[1],
        NEEDED[2],
        NEEDED[3],
        motor::NO_LOAD_CURRENT.index(),
        motor::TERMINAL_RESISTANCE.index(),
    ];
    let another = has.iter().any(|index| figures.contains(index));
    let train = trains.into_iter().find(|index| has.contains(index));
    let mut made = design.clone();
    if another {
        let of_motor = |index: usize| {
            let id = register::id(index);
            id.starts_with("motor.") || (id.starts_with("gears.") && train.is_some())
        };
        for index in 0..register::INPUT_COUNT {
            let voltage = index == motor::RATED_VOLTAGE.index() && !columns(index);
            if of_motor(index) && !KEPT.contains(&index) && !voltage {
                made.enter(index, "", DecimalMark::Stored);
            }
        }
        if train.is_some() {
            made.enter(motor::FIGURES_AT.index(), "output", DecimalMark::Stored);
        } else {
            made.enter(
                motor::FIGURES_AT.index(),
                design.text(motor::FIGURES_AT.index()),
                DecimalMark::Stored,
            );
        }
    } else if let Some(index) = train {
        let text = row.text(index);
        let changed = if index == gears::STAGES.index() {
            other_gearbox(&Eval::new(design), Gearbox::Stages(text))
        } else {
            other_gearbox(&Eval::new(design), Gearbox::Ratio(text))
        };
        match changed {
            Ok(changed) => made = changed,
            Err(absent) => return (made, vec![register::id(usize::from(absent.about))]),
        }
    }
    for &index in has {
        if another || !trains.contains(&index) {
            made.enter(index, row.text(index), DecimalMark::Stored);
        }
    }
    let missing = NEEDED
        .into_iter()
        .filter(|&index| another && made.entry(index).is_none())
        .map(register::id)
        .collect();
    (made, missing)
}
