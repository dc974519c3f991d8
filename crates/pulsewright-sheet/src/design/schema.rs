//! The JSON Schema (draft 2020-12) of the design file, from the register.

use serde_json::{Map, Value, json};

use crate::design::card::FORMAT;
use crate::register::{self, Form, Input, Preset};
use crate::text::measure::Measure;

/// Where a number with its unit begins.
const NUMBER: &str = "^\\s*[-+\u{2212}]?\\s*[.,]?[0-9]";

/// The schema.
#[must_use]
pub fn json() -> Value {
    let inputs: Map<String, Value> = register::inputs()
        .iter()
        .enumerate()
        .map(|(index, input)| (input.id.into(), property(index, input)))
        .collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:pulsewright:route-card:1",
        "title": "Route card",
        "description": "The design of a motor axis: what is given, each with its unit; everything else is assumed.",
        "type": "object",
        "required": ["route_card", "inputs"],
        "properties": {
            "route_card": {"const": FORMAT, "description": "Format of the file."},
            "inputs": {
                "type": "object",
                "description": "Given inputs by id. A bare number is in the unit of its id; a tolerance stands behind ±, +- or ~.",
                "properties": inputs,
                "additionalProperties": false,
            },
        },
    })
}

fn property(index: usize, input: &Input) -> Value {
    let measure = register::measure(index);
    let unit = match input.form {
        Form::Travel => " [rad or m]".into(),
        Form::Quantity(measure) if !measure.si_name().is_empty() => {
            [" [", measure.si_name(), "]"].concat()
        }
        _ => String::new(),
    };
    let mut map = Map::new();
    let mut put = |key: &str, value: Value| {
        let _ = map.insert(key.into(), value);
    };
    put("title", [input.label, &unit].concat().into());
    put(
        "description",
        [
            input.help,
            if input.help.is_empty() { "" } else { "." },
            &limits(input),
        ]
        .concat()
        .trim()
        .into(),
    );
    if let Preset::Fixed(text) = input.preset {
        put("default", text.into());
    }
    let none = input.none || matches!(input.preset, Preset::LeftOut);
    match input.form {
        Form::Choice(words) => put("enum", words.into()),
        Form::Text => put("type", "string".into()),
        Form::Stages => {
            put("type", "string".into());
            put("pattern", pattern("^\\s*[0-9].*[:/].*[0-9]", none));
        }
        Form::Quantity(_) | Form::Travel | Form::Whole | Form::Exact | Form::Shares => {
            let numbers = matches!(input.form, Form::Quantity(m) if m != Measure::YesNo)
                || matches!(input.form, Form::Whole | Form::Exact);
            put(
                "type",
                if numbers {
                    json!(["string", "number"])
                } else {
                    "string".into()
                },
            );
            put("pattern", pattern(NUMBER, none));
        }
    }
    if measure.usual().len() > 1 && matches!(input.form, Form::Quantity(_)) {
        put(
            "$comment",
            ["units: ", &measure.usual().join(", ")].concat().into(),
        );
    }
    Value::Object(map)
}

fn pattern(number: &str, none: bool) -> Value {
    if none {
        [number, "|^\\s*none\\s*$"].concat().into()
    } else {
        number.into()
    }
}

fn limits(input: &Input) -> String {
    let side = |text: &str, open: char, outer: &str, inner: &str| match text.strip_prefix(open) {
        _ if text.is_empty() => String::new(),
        Some(limit) => [" ", outer, " ", limit, "."].concat(),
        None => [" ", inner, " ", text, "."].concat(),
    };
    [
        side(input.low, '>', "Above", "At least"),
        side(input.high, '<', "Below", "At most"),
    ]
    .concat()
}
