//! The JSON Schema of the design file, held against the reader by a validator of the general kind.

use crate::common::{DEMOS, input};
use crate::exports::hard;
use boon::{Compiler, SchemaIndex, Schemas};
use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::card;
use pulsewright_sheet::design::entry::{self, Refusal};
use pulsewright_sheet::design::schema;
use pulsewright_sheet::register::{self, Form, INPUT_COUNT, Preset};
use pulsewright_sheet::text::measure::Measure;
use pulsewright_sheet::text::number::DecimalMark;
use serde_json::{Value, json};

struct Checker {
    schemas: Schemas,
    index: SchemaIndex,
}

impl Checker {
    fn new() -> Self {
        let mut compiler = Compiler::new();
        compiler
            .add_resource("file:///route-card.schema.json", schema::json())
            .unwrap();
        let mut schemas = Schemas::new();
        let index = compiler
            .compile("file:///route-card.schema.json", &mut schemas)
            .expect("a schema of draft 2020-12");
        Self { schemas, index }
    }

    /// Does the schema take `card`? Else what it says.
    fn check(&self, card: &Value) -> Result<(), String> {
        let checked = self.schemas.validate(card, self.index);
        checked.map_err(|e| format!("{e:#}"))
    }

    fn takes(&self, id: &str, value: impl Into<Value>) -> bool {
        let mut inputs = serde_json::Map::new();
        let _ = inputs.insert(id.into(), value.into());
        self.check(&json!({"route_card": 1, "inputs": inputs}))
            .is_ok()
    }
}

#[test]
fn the_schema_takes_every_demo_and_what_is_written() {
    let checker = Checker::new();
    for (name, text) in DEMOS {
        checker
            .check(&serde_json::from_str(text).unwrap())
            .expect(name);
    }
    for design in hard().iter().filter(|design| design.refused().is_empty()) {
        let written: Value = serde_json::from_str(&card::write(design)).unwrap();
        checker.check(&written).unwrap();
        assert_eq!(written["$schema"], card::SCHEMA);
        assert_eq!(&card::read(&written.to_string()).unwrap(), design);
    }
    // Every preset of the register is an entry that the schema takes.
    let mut presets = serde_json::Map::new();
    for (index, input) in register::inputs().iter().enumerate() {
        if let Preset::Fixed(text) = input.preset {
            let mut design = Design::default();
            design.enter(index, text, DecimalMark::Stored);
            assert!(design.entry(index).is_some(), "{}", input.id);
            let _ = presets.insert(input.id.into(), text.into());
        }
    }
    checker
        .check(&json!({"route_card": 1, "inputs": presets}))
        .unwrap();
}

#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let checker = Checker::new();
    for card in [
        json!({"inputs": {}}),
        json!({"route_card": 2, "inputs": {}}),
        json!({"route_card": 1}),
        json!({"route_card": 1, "inputs": []}),
        json!({"$schema": 1, "route_card": 1, "inputs": {}}),
        json!({"route_card": 1, "inputs": {"motor.no_such": "1"}}),
        json!({"route_card": 1, "inputs": {"__proto__x": "1"}}),
        json!({"route_card": 1, "inputs": {"axis.kind": "catapult"}}),
        json!({"route_card": 1, "inputs": {"motor.rated_voltage": "six volts"}}),
        json!({"route_card": 1, "inputs": {"motor.rated_voltage": "6 V or so"}}),
        json!({"route_card": 1, "inputs": {"motor.rated_voltage": "6 A"}}),
        json!({"route_card": 1, "inputs": {"motor.rated_voltage": "-6 V"}}),
        json!({"route_card": 1, "inputs": {"motor.rated_voltage": {"V": 6}}}),
        json!({"route_card": 1, "inputs": {"motor.rated_voltage": 6000}}),
        json!({"route_card": 1, "inputs": {"encoder.pole_pairs": 1.5}}),
        json!({"route_card": 1, "inputs": {"move.distance": 90}}),
        json!({"route_card": 1, "inputs": {"move.distance": "90"}}),
        json!({"route_card": 1, "inputs": {"gears.stages": "one"}}),
        json!({"route_card": 1, "inputs": {"gears.stages": "35:12:3"}}),
        json!({"route_card": 1, "inputs": {"gears.stages": "9973:10"}}),
    ] {
        assert!(checker.check(&card).is_err(), "{card}");
        let design = card::read(&card.to_string());
        let read = design.is_ok_and(|d| d.refused().is_empty() && d.unknown.is_empty());
        assert!(!read || card["$schema"] == 1, "{card}");
    }
}

/// Spellings of units as people write them, of every kind; what each measures is the reader's to say.
const UNITS: [&str; 108] = [
    "", "V", "mV", "kV", "µV", "uV", "v", "A", "mA", "ma", "MA", "Ohm", "Ω", "\u{2126}", "mΩ",
    "kOhm", "ohm", "H", "mH", "uH", "μH", "F", "uF", "nF", "pF", "T", "mT", "Hz", "kHz", "MHz",
    "s", "ms", "us", "µs", "ns", "min", "h", "d", "m", "mm", "cm", "um", "µm", "in", "ft", "mil",
    "g", "kg", "mg", "lb", "oz", "N", "mN", "kgf", "gf", "lbf", "ozf", "N.m", "N·m", "N m", "mN.m",
    "Nm", "Ncm", "mNm", "kgf.cm", "kgfcm", "kgcm", "kg-cm", "kg cm", "gf·cm", "oz-in", "ozf.in",
    "ozin", "lbf.ft", "lb.in", "kg.m2", "kg·m²", "g.cm2", "g cm^2", "oz.in2", "N.m/rad", "Nm/rad",
    "N·m/deg", "N.m/°", "r/min", "rpm", "rad/s", "°/s", "deg", "°", "rad", "turn", "mrad", "K",
    "degC", "°C", "°F", "1/K", "/K", "%/K", "K/W", "°C/W", "mm2", "mm²", "A.h", "mAh", "oz/ft2",
    "furlong",
];

/// Where the reader takes or refuses a unit, the schema does.
#[test]
fn units_are_those_of_the_reader() {
    let checker = Checker::new();
    let (mut taken, mut refused) = (0, 0);
    let mut seen: Vec<Measure> = Vec::new();
    for (index, input) in register::inputs().iter().enumerate() {
        let measure = register::measure(index);
        let typed = matches!(input.form, Form::Quantity(_) | Form::Travel);
        if !typed || seen.contains(&measure) && input.form != Form::Travel {
            continue;
        }
        seen.push(measure);
        for unit in UNITS {
            for text in [
                format!("1 {unit}"),
                format!("2.5{unit}"),
                format!("3,5 {unit}"),
            ] {
                let wrong_unit = matches!(
                    entry::read(input, &text, DecimalMark::Stored),
                    Err(Refusal::Unit { .. } | Refusal::SayUnit | Refusal::Number(_))
                );
                assert_eq!(
                    checker.takes(input.id, &*text),
                    !wrong_unit,
                    "{}: {text}",
                    input.id
                );
                if wrong_unit { refused += 1 } else { taken += 1 }
            }
        }
    }
    assert!(
        seen.len() > 20 && taken > 500 && refused > 5000,
        "{} {taken} {refused}",
        seen.len()
    );
}

#[test]
fn numbers_and_tolerances_are_those_of_the_reader() {
    let checker = Checker::new();
    for (id, texts) in [
        (
            "motor.rated_voltage",
            &[
                "6 V ± 10 %",
                "6V~0.2V",
                "6 V +- 0.2",
                "6V+/-5pct",
                "+6 V",
                "0.6e1 V",
                "6,0 V",
                "6V0",
                "none of it",
                "6 V ±",
                "6 V ± 1 A",
                "V",
                "6 V 7 V",
            ][..],
        ),
        (
            "motor.stall_torque",
            &["4.6 kgf.cm ± 10 %", "4.6kgf.cm~0.2N.m", "1 200 gf.cm"],
        ),
        (
            "motor.terminal_resistance",
            &[
                "4R7",
                "4R7 ± 5 %",
                "4.7 Ohm ± 5 %",
                "none",
                "None",
                "4.7 Ohm none",
            ],
        ),
        (
            "axis.ambient_temperature",
            &["-10 degC", "\u{2212}10 °C ± 5 K", "20 °C ± 5 °C", "253 K"],
        ),
        (
            "gears.stages",
            &[
                "35:12, 37:13",
                "35/12 × 37/13",
                "35:12;37:13;36:12",
                "(12+13):12",
                "35:12 ± 1",
                "none",
                "35-12",
            ],
        ),
        (
            "gears.ratio",
            &[
                "380", "380:1", "19380/13", "1490.769", "380 ± 1", "none", "380:1:1", "a lot",
            ],
        ),
        (
            "gears.stage_efficiencies",
            &["0.9; 0.9; 0.4", "0,9 0,85", "90%,85%", "0.9,0.85", "good"],
        ),
        (
            "gears.efficiency",
            &["0.65", "65 %", "65pct", "13/20", "65 V"],
        ),
        ("encoder.pole_pairs", &["3", "3 pairs", "3 V", "three"]),
        (
            "move.distance",
            &["90 deg", "90°", "0.25 turn", "20 mm", "20 V", "90 deg ± 1"],
        ),
        (
            "wiring.gauge",
            &["24", "AWG 24", "24 AWG", "awg24", "24 mm"],
        ),
        ("axis.slope", &["27 deg", "-27°", "0.5 rad", "0.4"]),
    ] {
        assert!(!texts.is_empty());
        let field = &register::inputs()[input(id)];
        for text in texts {
            let read = entry::read(field, text, DecimalMark::Stored);
            assert_eq!(
                checker.takes(id, *text),
                read.is_ok(),
                "{id}: {text}: {read:?}"
            );
        }
    }
}

/// A bare number is held against the limits, to the last digits but one.
#[test]
fn limits_of_bare_numbers_are_those_of_the_reader() {
    let checker = Checker::new();
    let schema = schema::json();
    let mut held = 0;
    for input in register::inputs() {
        let said = &schema["properties"]["inputs"]["properties"][input.id];
        let limits = ["minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"];
        let whole = matches!(input.form, Form::Whole | Form::Quantity(Measure::Gauge));
        let ends: Vec<f64> = limits.iter().filter_map(|end| said[end].as_f64()).collect();
        for end in ends {
            held += 1;
            for step in [0.0, 1e-3, 0.7] {
                for number in [
                    end * (1.0 - step),
                    end * (1.0 + step),
                    end - step,
                    end + step,
                ] {
                    // What the reader forgives in the last digits is the schema's to forgive or not.
                    let last = (number - end).abs() <= 1e-12 * end.abs();
                    if last && number != end || whole && number.fract() != 0.0 {
                        continue;
                    }
                    let text = json!({"route_card": 1, "inputs": {input.id: number}}).to_string();
                    let read = card::read(&text).unwrap().refused().is_empty();
                    assert_eq!(
                        checker.takes(input.id, number),
                        read,
                        "{}: {number}",
                        input.id
                    );
                }
            }
        }
    }
    assert!(held > 250, "{held}");
}

#[test]
fn an_editor_has_something_to_say_of_every_input() {
    let (checker, schema) = (Checker::new(), schema::json());
    let properties = schema["properties"]["inputs"]["properties"]
        .as_object()
        .unwrap();
    assert_eq!(properties.len(), INPUT_COUNT);
    for input in register::inputs() {
        let said = &properties[input.id];
        assert!(said["title"].as_str().unwrap().starts_with(input.label));
        if let Form::Choice(words) = input.form {
            let all = said["enum"].as_array().unwrap();
            assert_eq!(
                all[..words.len()],
                words.iter().map(|w| json!(w)).collect::<Vec<_>>()
            );
        }
        if matches!(input.form, Form::Text) {
            continue;
        }
        assert!(
            said["description"].as_str().unwrap().len() > 10,
            "{}",
            input.id
        );
        let message = said["errorMessage"].as_str().unwrap();
        assert!(message.starts_with(input.label), "{message}");
        if matches!(input.form, Form::Choice(_)) {
            continue;
        }
        let examples = said["examples"].as_array();
        let examples = examples.unwrap_or_else(|| panic!("{}: no example", input.id));
        for example in examples {
            let text = example.as_str().unwrap();
            entry::read(input, text, DecimalMark::Stored).expect(text);
            assert!(checker.takes(input.id, text), "{}: {text}", input.id);
        }
    }
    let voltage = &properties["motor.rated_voltage"];
    let message = voltage["errorMessage"].as_str().unwrap();
    assert!(message.contains("V, mV"), "{message}");
    checker.check(&schema["examples"][0]).unwrap();
}
