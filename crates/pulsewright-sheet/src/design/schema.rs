//! The JSON Schema (draft 2020-12) of the design file, from the register: what an editor needs to complete ids, to
//! show what they mean and to underline what the reader would refuse.
//!
//! It holds what such a schema can: names, words, the spelling of numbers with their units and tolerances, whether a
//! number may be negative, and the limits of numbers without a unit. Limits of numbers with one stand in words.

use serde_json::{Map, Value, json};

use crate::design::card::{FORMAT, SCHEMA};
use crate::design::entry::{self, COUNTED, TO_ONE};
use crate::design::link;
use crate::guide::examples::EXAMPLES;
use crate::register::{self, DefaultTolerance, Form, Input, Preset};
use crate::text::measure::Measure;
use crate::text::number::DecimalMark;
use crate::text::unit::pretty;
use crate::text::unit_pattern::pattern as units_of;

const BLANK: &str = "\\s*";

/// A number without its sign, as `text::number::split` takes it.
const NUMBER: &str = "\\s*(?:[0-9]|[.,][0-9])(?:[0-9.,'\\s]*[0-9.])?(?:[RkKMmuµμn][0-9]+)?(?:[eE][-+\u{2212}]?[0-9]+)?";

/// Tooth count, or a sum of them.
const TEETH: &str = "\\(*[0-9]{1,3}(?:\\+[0-9]{1,3})*\\)*";

/// The schema.
///
/// # Example
/// ```
/// let schema = pulsewright_sheet::design::schema::json();
/// let voltage = &schema["properties"]["inputs"]["properties"]["motor.rated_voltage"];
/// assert_eq!(voltage["title"], "Rated voltage [V]");
/// ```
#[must_use]
pub fn json() -> Value {
    let mut shapes = Map::new();
    let inputs: Map<String, Value> = register::inputs()
        .iter()
        .enumerate()
        .map(|(index, input)| (input.id.into(), property(index, input, &mut shapes)))
        .collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:pulsewright:route-card:1",
        "title": "Route card",
        "description": "The design of a motor axis: the values entered, each with its unit; typical values are used for the rest.",
        "type": "object",
        "required": ["route_card", "inputs"],
        "properties": {
            "$schema": {
                "type": "string",
                "description": "Where an editor finds this schema; Pulsewright itself does not need it.",
                "examples": [SCHEMA],
            },
            "route_card": {
                "const": FORMAT,
                "description": "Format of the file.",
                "errorMessage": "the format of this file is 1; a higher one needs a newer version",
            },
            "inputs": {
                "type": "object",
                "description": "Entered values by id; leave out what is not known, and the usual value is used. A number stands with its unit, as in \"6 V\", and a tolerance behind ±, +- or ~; a bare number is in the SI unit of its id.",
                "properties": inputs,
                "additionalProperties": false,
            },
        },
        "examples": [{"$schema": SCHEMA, "route_card": FORMAT, "inputs": {"motor.rated_voltage": "6 V", "gears.stages": "35:12,37:13"}}],
        "$defs": shapes,
    })
}

/// What is said of one input; the spelling of its texts is shared with others of its kind.
fn property(index: usize, input: &Input, shapes: &mut Map<String, Value>) -> Value {
    let mut map = Map::new();
    let mut put = |key: &str, value: Value| {
        let _ = map.insert(key.into(), value);
    };
    let unit = match input.form {
        Form::Quantity(measure) if !measure.si_name().is_empty() && measure.si_name() != "1" => {
            [" [", measure.si_name(), "]"].concat()
        }
        _ => String::new(),
    };
    put("title", [input.label, &unit].concat().into());
    put("description", description(input).into());
    if let Preset::Fixed(text) = input.preset {
        put("default", text.into());
    }
    if let Form::Choice(words) = input.form {
        let mut all: Vec<Value> = words.iter().map(|word| (*word).into()).collect();
        if words == register::YesNo::WORDS {
            all.extend([false.into(), true.into()]);
        }
        put("enum", all.into());
        let said = [input.label, " is one of ", &words.join(", ")].concat();
        put("errorMessage", said.into());
    } else {
        let shape = shape(input);
        put("$ref", ["#/$defs/", &shape.name].concat().into());
        // A number that a limit rules out is told in words: the limit may be in another unit.
        if shape.number.is_some() {
            for (text, closed, open) in [
                (input.low, "minimum", "exclusiveMinimum"),
                (input.high, "maximum", "exclusiveMaximum"),
            ] {
                let measure = register::measure(index);
                if let Some((limit, excluded)) = entry::bound(text, measure) {
                    let limit = measure.reported(limit);
                    // The reader takes what differs in the last digits alone.
                    let last = f64::EPSILON * limit.abs();
                    let limit = if closed == "minimum" {
                        limit - last
                    } else {
                        limit + last
                    };
                    put(if excluded { open } else { closed }, rounded(limit).into());
                }
            }
        }
        if shape.text.is_some() {
            let said = [input.label, " is ", &shape.takes, &limits(input)].concat();
            put("errorMessage", said.into());
        }
        let _ = shapes
            .entry(shape.name.clone())
            .or_insert_with(|| shape.json());
    }
    let examples = examples(index, input);
    if !examples.is_empty() {
        put("examples", examples.into());
    }
    Value::Object(map)
}

/// A limit without the last digits that its conversion left.
fn rounded(limit: f64) -> f64 {
    format!("{limit:.14e}").parse().unwrap_or(limit)
}

fn limits(input: &Input) -> String {
    match entry::range_words(input).as_str() {
        "" => String::new(),
        words => {
            let mut said = [", ", words].concat();
            for own in [input.too_little, input.too_much] {
                if !own.is_empty() && !said.ends_with(own) {
                    said.push_str("; ");
                    said.push_str(own);
                }
            }
            said
        }
    }
}

fn description(input: &Input) -> String {
    let mut said = Vec::new();
    if !input.help.is_empty() {
        said.push([input.help.trim_end_matches('.'), "."].concat());
    }
    let range = entry::range_words(input);
    if !range.is_empty() {
        said.push(["Range: ", &range, "."].concat());
    }
    match input.form {
        Form::Quantity(measure) if measure.usual().len() > 1 => {
            let units: Vec<String> = measure.usual().iter().map(|unit| pretty(unit)).collect();
            said.push(["Units: ", &units.join(", "), "."].concat());
        }
        Form::Travel => said.push(["Units: ", TRAVEL_UNITS, "."].concat()),
        _ => {}
    }
    if let Preset::Computed(how) = input.preset {
        said.push(["Where it is left out: ", how, "."].concat());
    }
    said.join(" ")
}

const TRAVEL_UNITS: &str = "°, rad or turn on a rotary axis, mm, m or in on a linear one";

/// How an input is written, shared by all that are written alike.
struct Shape {
    name: String,
    /// In words.
    takes: String,
    /// The regular expression of its texts; none where any will do.
    text: Option<String>,
    /// The type of its bare numbers, where it takes any.
    number: Option<&'static str>,
}

impl Shape {
    fn json(&self) -> Value {
        let mut map = Map::new();
        let kind = match self.number {
            Some(number) => json!(["string", number]),
            None => "string".into(),
        };
        let _ = map.insert("type".into(), kind);
        if let Some(text) = &self.text {
            let _ = map.insert("pattern".into(), text.as_str().into());
        }
        Value::Object(map)
    }
}

fn shape(input: &Input) -> Shape {
    let negative = input.low.is_empty() || input.low.trim_start_matches('>').starts_with('-');
    let sign = if negative { "[-+\u{2212}]?" } else { "\\+?" };
    let toleranced = |units: &str, name: &str, takes: &str, unit_needed: bool| {
        let (needed, may) = if unit_needed { ("", "") } else { ("(?:", ")?") };
        let value = [BLANK, sign, NUMBER, BLANK, needed, units, may, BLANK].concat();
        let wished =
            matches!(input.form, Form::Travel) && input.default_tolerance == DefaultTolerance::None;
        let behind = if wished {
            String::new()
        } else {
            let unit = [
                units,
                if units.is_empty() { "" } else { "|" },
                "%|pct|percent",
            ]
            .concat();
            [
                "(?:(?:±|\\+-|\\+/-|~)\\s*\\+?",
                NUMBER,
                "\\s*(?:",
                &unit,
                ")?\\s*)?",
            ]
            .concat()
        };
        Shape {
            name: [name, if wished { "_asked" } else { "" }].concat(),
            takes: takes.into(),
            text: Some([value, behind].concat()),
            number: (!unit_needed).then_some("number"),
        }
    };
    let mut shape = match input.form {
        Form::Quantity(measure @ (Measure::Ratio | Measure::Share)) => {
            let mut shape = toleranced(
                &["%|pct", "|", &TO_ONE.join("|")].concat(),
                &named(measure),
                "a number, a fraction as 3/4 or a percentage",
                false,
            );
            let fraction = [BLANK, sign, NUMBER, "\\s*/", NUMBER, BLANK].concat();
            shape.text = shape.text.map(|text| [&text, "|", &fraction].concat());
            shape
        }
        Form::Quantity(Measure::Count) => {
            toleranced(&COUNTED.join("|"), "count", "a number, counted", false)
        }
        Form::Quantity(measure @ Measure::Gauge) => {
            let mut shape =
                toleranced(&units_of(measure), &named(measure), "a wire's gauge", false);
            shape.text = shape
                .text
                .map(|text| ["\\s*(?:[aA][wW][gG])?", &text].concat());
            shape.number = Some("integer");
            shape
        }
        Form::Quantity(measure) => {
            let usual: Vec<String> = measure.usual().iter().map(|unit| pretty(unit)).collect();
            let unit = pretty(measure.si_name());
            let takes = [
                "a number with its unit (",
                &usual.join(", "),
                "), or a bare number in ",
                &unit,
            ];
            toleranced(&units_of(measure), &named(measure), &takes.concat(), false)
        }
        Form::Travel => {
            let units = [
                "(?:",
                &units_of(Measure::Angle),
                "|",
                &units_of(Measure::Length),
                ")",
            ];
            let takes = ["a number with its unit: ", TRAVEL_UNITS].concat();
            toleranced(&units.concat(), "travel", &takes, true)
        }
        Form::Whole => {
            let counted = ["\\s*(?:", &COUNTED.join("|"), ")?\\s*"].concat();
            Shape {
                name: "whole".into(),
                takes: "a whole number".into(),
                text: Some([BLANK, sign, NUMBER, &counted].concat()),
                number: Some("integer"),
            }
        }
        Form::Exact => Shape {
            name: "exact".into(),
            takes: "a number or an exact fraction, as 380, 1490.77, 19380/13 or 380:1".into(),
            text: Some([BLANK, sign, NUMBER, "\\s*(?:[:/]", NUMBER, "\\s*)?"].concat()),
            number: Some("number"),
        },
        Form::Stages => {
            let pair = [TEETH, "\\s*[:/]\\s*", TEETH].concat();
            let all = [BLANK, &pair, "(?:[\\s,;×*x]+", &pair, "){0,5}[\\s,;×*x]*"];
            Shape {
                name: "stages".into(),
                takes: "tooth counts driven:driver of one to six stages, as 35:12,37:13".into(),
                text: Some(all.concat()),
                number: None,
            }
        }
        Form::Shares => {
            let one = "[0-9]*[.,]?[0-9]+(?:[eE]-?[0-9]+)?(?:%|pct)?";
            let all = ["\\s*(?:", one, ")(?:[\\s,;×*]+(?:", one, ")){0,7}\\s*"];
            Shape {
                name: "shares".into(),
                takes: "one efficiency a stage, as 0.9; 0.9; 0.4".into(),
                text: Some(all.concat()),
                number: None,
            }
        }
        Form::Text | Form::Choice(_) => Shape {
            name: "text".into(),
            takes: String::new(),
            text: None,
            number: None,
        },
    };
    if negative && shape.number.is_some() {
        shape.name.push_str("_signed");
    }
    let none = input.none || matches!(input.preset, Preset::LeftOut);
    if none && shape.text.is_some() {
        shape.name.push_str("_or_none");
        shape.takes.push_str(", or none");
    }
    let none = if none {
        "|\\s*[nN][oO][nN][eE]\\s*"
    } else {
        ""
    };
    shape.text = shape.text.map(|text| ["^(?:", &text, none, ")$"].concat());
    shape
}

/// The name of a measure, in a schema's style.
fn named(measure: Measure) -> String {
    let mut name = String::new();
    for letter in format!("{measure:?}").chars() {
        if letter.is_uppercase() && !name.is_empty() {
            name.push('_');
        }
        name.push(letter.to_ascii_lowercase());
    }
    name
}

/// Texts that may stand there: what stands in where nothing is given, what the invented examples say, else the first
/// usual size that fits.
fn examples(index: usize, input: &Input) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let mut offer = |text: String| {
        let taken = entry::read(input, &text, DecimalMark::Stored).is_ok();
        if taken && found.len() < 3 && !found.contains(&text) {
            found.push(text);
        }
    };
    match input.preset {
        Preset::Fixed(text) => offer(text.into()),
        Preset::ByKind(pairs) => pairs.iter().for_each(|(_, text)| offer((*text).into())),
        Preset::ByClass(texts) => texts.iter().for_each(|text| offer((*text).into())),
        Preset::LeftOut | Preset::Computed(_) => {}
    }
    for example in EXAMPLES {
        if let Ok(read) = link::read(example.link)
            && read.design.entry(index).is_some()
        {
            offer(super::entry_text::as_filed(&read.design, index));
        }
    }
    if found.is_empty() && !matches!(input.form, Form::Text) {
        let unit = match input.form {
            Form::Quantity(measure) => measure.usual().first().copied().unwrap_or_default(),
            Form::Travel => "deg",
            _ => "",
        };
        let fits = (0..9)
            .flat_map(|power| [1, 2, 5].map(|digit| (digit, power)))
            .flat_map(|(digit, power)| [format!("{digit}e{power}"), format!("{digit}e-{power}")])
            .filter_map(|text| text.parse::<f64>().ok())
            .map(|number| [&number.to_string(), " ", unit].concat().trim().to_string())
            .find(|text| entry::read(input, text, DecimalMark::Stored).is_ok());
        found.extend(fits);
    }
    found
}
