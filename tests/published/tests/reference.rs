//! The sheet against the independent reference computation beside this test.
//!
//! `reference/reference.py` computes every quantity a second time: in another language, from the
//! definitions alone, without sight of the Rust; its README says how and where a definition had to
//! be settled. Source of every value here: computed, that reference (SciPy 1.17.1, mpmath 1.3.0),
//! `python3 designs.py`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Status;
use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::{Code, Eval};
use pulsewright_sheet::register;
use pulsewright_sheet::text::measure::Measure;
use serde_json::Value;

/// Closed forms agree to this share.
const CLOSED: f64 = 1e-9;
/// What the reference integrates step by step agrees to this share.
const INTEGRATED: f64 = 1e-6;
/// Results that the reference integrates in small steps of time.
const STEPPED: &[&str] = &["heat.stall_time"];

/// Quantities that the sheet shows at the gearbox output or not at all, where the reference says
/// them at the axis: the sheet's own result at the axis.
const AT_AXIS: &[(&str, &str)] = &[
    ("axis.load_torque", "axis.torque_at_axis"),
    ("axis.holding_torque", "axis.holding_at_axis"),
    ("axis.load_torque_return", "axis.return_at_axis"),
];

/// What tells a design apart for [`DIFFERENCES`].
struct Case<'a> {
    name: &'a str,
    kind: &'a str,
    last_stage: bool,
    sensors: &'a str,
}

/// A difference that is meant: the quantities or checks, the designs where it shows, and why.
struct Difference {
    ids: &'static [&'static str],
    shows: fn(&Case<'_>) -> bool,
    why: &'static str,
}

const DIFFERENCES: &[Difference] = &[
    Difference {
        ids: &["axis.fall_energy", "supply.pumped_voltage_bound"],
        shows: |case| case.kind == "torque",
        why: "a torque given says nothing of a height; 0 J would claim that nothing can fall",
    },
    Difference {
        ids: &["axis.travel_per_turn"],
        shows: |case| matches!(case.kind, "arm" | "turntable"),
        why: "the sheet also gives the way around the rim, by which it reads lengths of arc",
    },
    Difference {
        ids: &[
            "encoder.electrical_spacing",
            "encoder.phase_error",
            "encoder.placement_phase_error",
        ],
        shows: |case| case.sensors == "1",
        why: "one sensor stands in no angle to another",
    },
    Difference {
        ids: &["gears.radial_load", "check.radial"],
        shows: |case| case.last_stage,
        why: "behind a last stage its wheel, of unknown radius, sits on the output shaft",
    },
    Difference {
        ids: &["gears.radial_load"],
        shows: |case| case.name.starts_with("19 "),
        why: "a force on a bearing has no sign: the sheet gives its size where the load helps",
    },
    Difference {
        ids: &["check.cycle_heat", "check.bridge_heat"],
        shows: |case| ["25 ", "26 ", "39 ", "48 "].contains(&&case.name[..3]),
        why: "where no temperature is reached the sheet says how far off by currents; both are under",
    },
    Difference {
        ids: &["check.supply_current", "check.brown_out"],
        shows: |case| ["47 ", "58 "].contains(&&case.name[..3]),
        why: "where the source breaks down the sheet says how far off by powers; both are under",
    },
    Difference {
        ids: &["check.logic_level"],
        shows: |case| ["47 ", "58 "].contains(&&case.name[..3]),
        why: "where the ground shift cannot be said, none at all is under already",
    },
];

fn difference(id: &str, case: &Case<'_>) -> Option<usize> {
    DIFFERENCES
        .iter()
        .position(|d| d.ids.contains(&id) && (d.shows)(case))
}

fn found(c: &Eval<'_>, id: &str) -> Result<f64, Code> {
    let answer = c.answer(register::find(id).expect(id));
    answer
        .found
        .map(|value| answer.measure.reported(value))
        .map_err(|absent| absent.code)
}

/// The sheet's figure in the terms of the reference: torques and inertia at the axis, errors of
/// turning axes as angles.
fn figure(c: &Eval<'_>, id: &str, case: &Case<'_>) -> Result<f64, Code> {
    if case.last_stage {
        if let Some((_, at_axis)) = AT_AXIS.iter().find(|(shown, _)| *shown == id) {
            return found(c, at_axis);
        }
        match id {
            "axis.load_inertia" => {
                return Ok(found(c, id)? * found(c, "axis.last_stage")?.powi(2));
            }
            "axis.friction_torque" => {
                return Ok(found(c, "axis.torque_at_axis")? - found(c, "axis.holding_at_axis")?);
            }
            _ => {}
        }
    }
    let arc = matches!(
        id,
        "error.worst" | "error.likely" | "steps.rounding_error_over_travel"
    ) && matches!(case.kind, "arm" | "turntable");
    let value = found(c, id)?;
    if arc {
        let answer = c.answer(register::find(id).expect(id));
        assert_eq!(answer.measure, Measure::Length, "{id}");
        return Ok(value / c.raw(register::find_input("axis.radius").unwrap()).unwrap());
    }
    Ok(value)
}

fn near(a: f64, b: f64, share: f64) -> bool {
    (a - b).abs() <= share * a.abs().max(b.abs())
}

fn tolerance(id: &str) -> f64 {
    if STEPPED.contains(&id) {
        INTEGRATED
    } else {
        CLOSED
    }
}

fn agree(id: &str, reference: &Value, sheet: Result<f64, Code>) -> bool {
    match (reference, sheet) {
        (Value::Number(x), Ok(y)) => near(x.as_f64().unwrap(), y, tolerance(id)),
        (Value::String(code), Err(absent)) => code == absent.word(),
        // The reference leaves out what was not asked: the stepper.
        (Value::Null, Err(Code::Missing)) => true,
        _ => false,
    }
}

fn check_agrees(reference: &Value, held: Option<&CheckResult>) -> bool {
    match (reference, held) {
        (Value::Null, None) => true,
        (Value::Array(parts), Some(held)) => {
            let margins = match (parts[1].as_f64(), held.ratio()) {
                (None, None) => true,
                (Some(a), Some(b)) => near(a, b, CLOSED),
                _ => false,
            };
            parts[0].as_str() == Some(held.status().word()) && margins
        }
        _ => false,
    }
}

#[test]
fn every_quantity_and_check_agrees() {
    let document: Value =
        serde_json::from_str(include_str!("../reference/reference.json")).unwrap();
    let names = |part: &str| -> Vec<String> {
        let list = document[part].as_array().unwrap().iter();
        list.map(|id| id.as_str().unwrap().into()).collect()
    };
    let (inputs, values, checks) = (names("inputs"), names("values"), names("checks"));
    let mut wrong = Vec::new();
    let mut compared = 0;
    let mut met = vec![0; DIFFERENCES.len()];
    for row in document["cases"].as_array().unwrap() {
        let mut design = Design::default();
        let given = |id: &str| -> &str {
            let at = inputs
                .iter()
                .position(|known| known == id)
                .expect("an input");
            row["inputs"][at].as_str().unwrap_or("")
        };
        let case = Case {
            name: row["name"].as_str().unwrap(),
            kind: given("axis.kind"),
            last_stage: !given("axis.reduction").is_empty(),
            sensors: given("encoder.sensors"),
        };
        for (id, text) in inputs.iter().zip(row["inputs"].as_array().unwrap()) {
            if let Some(text) = text.as_str() {
                assert!(design.enter_id(id, text), "{id} twice");
            }
        }
        assert_eq!(design.refused(), [], "{}", case.name);
        assert_eq!(design.unknown, []);
        let c = Eval::new(&design);
        for (id, reference) in values.iter().zip(row["values"].as_array().unwrap()) {
            compared += 1;
            let sheet = figure(&c, id, &case);
            let same = agree(id, reference, sheet);
            match difference(id, &case) {
                Some(at) if !same => met[at] += 1,
                None if !same => {
                    wrong.push(format!("{id}: {reference}, sheet {sheet:?}: {}", case.name));
                }
                _ => {}
            }
        }
        let held = check::all(&c);
        for (id, reference) in checks.iter().zip(row["checks"].as_array().unwrap()) {
            compared += 1;
            let sheet = held.iter().find(|held| held.check.id == id);
            let same = check_agrees(reference, sheet);
            match difference(id, &case) {
                Some(at) if !same => {
                    let under = sheet.is_none_or(|held| held.status() == Status::Under);
                    assert!(under, "{id}: {}", case.name);
                    met[at] += 1;
                }
                None if !same => {
                    let sheet = sheet.map(|held| (held.status().word(), held.ratio()));
                    wrong.push(format!("{id}: {reference}, sheet {sheet:?}: {}", case.name));
                }
                _ => {}
            }
        }
        for (id, reference) in row["exact"].as_object().unwrap() {
            compared += 1;
            let exact = c.answer(register::find(id).expect(id)).exact.expect(id);
            let text = pulsewright_sheet::evaluation::display::exact_text(exact);
            let text = text.strip_suffix("/1").unwrap_or(&text);
            if reference != text {
                wrong.push(format!("{id}: {reference}, sheet {text}: {}", case.name));
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {compared} differ:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
    assert!(compared > 11_000, "only {compared} compared");
    for (difference, met) in DIFFERENCES.iter().zip(met) {
        assert!(met > 0, "no longer a difference: {}", difference.why);
    }
}
