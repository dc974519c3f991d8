//! The units of a measure as a regular expression, for files that are checked where none of this runs.

use super::measure::{FORCE, MASS, Measure, PLAIN};
use super::unit::{ATOMS, Atom, TORQUE_WORDS, WHOLE, WORDS, find_atom, fold};

/// What may stand between the factors of a unit.
const BETWEEN: &str = "[ \u{a0}\u{2009}\u{202f}.·\u{22c5}*×-]";

/// A regular expression (ECMA-262, what JSON Schema asks for) of the spellings of a measure's units: every unit of its
/// dimension, and products of the shapes that people write, with every unit of each factor's dimension.
/// Other products of the same dimension, such as W/A for a voltage, are read all the same.
///
/// Empty where the measure has no unit.
///
/// # Example
/// ```
/// use pulsewright_sheet::text::measure::Measure;
/// use pulsewright_sheet::text::unit_pattern::pattern;
/// assert_eq!(pattern(Measure::Field), "[pnuµμmkMG]?T");
/// assert_eq!(pattern(Measure::Count), "");
/// ```
#[must_use]
pub fn pattern(measure: Measure) -> String {
    let mut ways: Vec<String> = Vec::new();
    let mut add = |way: String| {
        if !way.is_empty() && !ways.contains(&way) {
            ways.push(way);
        }
    };
    let dimension = measure.row().dimension;
    if dimension != PLAIN {
        let of_it = |atom: &&Atom| atom.dimension == dimension;
        ATOMS.iter().filter(of_it).for_each(|atom| add(one(atom)));
    }
    let own = (dimension != PLAIN).then_some(measure.si_name());
    for written in measure.usual().iter().copied().chain(own) {
        if let Some(made) = shape(measure, &fold(written)) {
            add(made);
        }
    }
    if measure.is_torque() {
        let words: Vec<&str> = TORQUE_WORDS.iter().map(|(word, _)| *word).collect();
        let tail = measure.si_name().split_once('/');
        let tail = tail.and_then(|(_, below)| side(measure, below));
        add(match tail {
            Some(below) => [&any(&words), BETWEEN, "*/", BETWEEN, "*", &below].concat(),
            None => any(&words),
        });
    }
    for (_, spelling, _) in WHOLE.iter().filter(|(of, ..)| *of == measure) {
        add(spelling.chars().map(either_case).collect());
    }
    match measure {
        Measure::Force => add("oz".into()),
        Measure::Gauge => add("[aA][wW][gG]".into()),
        _ => {}
    }
    if ways.is_empty() {
        String::new()
    } else {
        any(&ways)
    }
}

/// A letter, great or small, of a spelling whose case says nothing.
fn either_case(letter: char) -> String {
    match letter {
        '.' => [BETWEEN, "*"].concat(),
        'a'..='z' => ['[', letter, letter.to_ascii_uppercase(), ']']
            .into_iter()
            .collect(),
        other => other.into(),
    }
}

fn any<T: AsRef<str>>(ways: &[T]) -> String {
    match ways {
        [only] => only.as_ref().into(),
        _ => {
            let ways: Vec<&str> = ways.iter().map(AsRef::as_ref).collect();
            ["(?:", &ways.join("|"), ")"].concat()
        }
    }
}

/// A unit with the prefixes that it takes, and the words for it.
fn one(atom: &Atom) -> String {
    let of_it = |(_, unit): &&(&str, &str)| {
        find_atom(unit).is_some_and(|(found, ..)| found.name == atom.name)
    };
    let words = WORDS.iter().filter(of_it);
    let mut ways = vec![plain(atom)];
    ways.extend(words.map(|(word, _)| word.chars().map(either_case).collect()));
    any(&ways)
}

fn plain(atom: &Atom) -> String {
    let name = match atom.name {
        "Ohm" => "(?:Ohm|\u{3a9}|\u{2126})",
        "deg" => "(?:deg|°)",
        "degC" => "(?:deg|°)C",
        "degF" => "(?:deg|°)F",
        plain => plain,
    };
    if atom.prefixes.is_empty() {
        return name.into();
    }
    let prefixes = atom.prefixes.replace('u', "uµμ");
    ["[", &prefixes, "]?", name].concat()
}

/// A folded product with each unit replaced by every unit of its dimension.
fn shape(measure: Measure, folded: &str) -> Option<String> {
    Some(match folded.split_once('/') {
        None => side(measure, folded)?,
        Some((above, below)) => {
            let (above, below) = (side(measure, above)?, side(measure, below)?);
            [&above, BETWEEN, "*/", BETWEEN, "*", &below].concat()
        }
    })
}

fn side(measure: Measure, side: &str) -> Option<String> {
    let between = [BETWEEN, "+"].concat();
    let factors: Option<Vec<String>> = side.split('.').map(|part| factor(measure, part)).collect();
    Some(factors?.join(&between))
}

fn factor(measure: Measure, part: &str) -> Option<String> {
    let (name, power) = match part.strip_suffix('2') {
        Some(name) if !name.is_empty() => (name, "(?:\\^?2|²)"),
        _ => (part, ""),
    };
    let (found, ..) = find_atom(name)?;
    if found.dimension == PLAIN {
        return Some(if found.name == "1" { "1?" } else { "(?:%|pct)" }.into());
    }
    // In a torque field mass times length is force times length.
    let weighs = measure.is_torque() && found.dimension == FORCE;
    let ways: Vec<String> = ATOMS
        .iter()
        .filter(|atom| atom.dimension == found.dimension || weighs && atom.dimension == MASS)
        .map(one)
        .collect();
    Some([&any(&ways), power].concat())
}
