//! The sheet against the independent reference computation beside this test.
//!
//! `reference/reference.py` computes every quantity a second time: in another language, from the
//! definitions alone, without sight of the Rust; its README says how and where a definition had to
//! be settled. Source of every value here: computed, that reference (SciPy 1.17.1, mpmath 1.3.0),
//! `python3 designs.py`.
//!
//! The reference computes every figure, whether the move can happen or not; the sheet's figures of a move that
//! cannot, and what lies behind a winding that is too hot, wait, and of a winding above its limit it says just that.
//! The reference judges torque, speed and voltage warm, as the sheet's check.warm does; the sheet's own of these names
//! are cold (tests/jobs.rs holds them to paper).

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
const STEPPED: &[&str] = &["heat.stall_time", "settings.stall_timeout"];

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
}

impl Case<'_> {
    /// Whether it is one of these designs, or an exercise made from one.
    fn made_from(&self, numbers: &[&str]) -> bool {
        let of = |number: &&str| {
            self.name.starts_with(&format!("{number} "))
                || self.name.ends_with(&format!("(from {number})"))
        };
        numbers.iter().any(of)
    }
}

/// A difference that is meant: the quantities or checks, the designs where it shows, and why.
struct Difference {
    ids: &'static [&'static str],
    shows: fn(&Case<'_>) -> bool,
    why: &'static str,
}

const DIFFERENCES: &[Difference] = &[
    Difference {
        ids: &["check.logic_level"],
        shows: |case| case.made_from(&["47", "58"]),
        why: "where the ground shift cannot be said, none at all is under already",
    },
    Difference {
        ids: &["supply.regenerated_voltage_bound"],
        shows: |case| case.kind == "torque",
        why: "a supply that takes current back is not pumped, whatever may fall",
    },
    Difference {
        ids: &["axis.friction_torque"],
        shows: |case| case.last_stage && case.name.starts_with("arm lowered"),
        why: "of an arm by its angle the friction of a last stage counts where it stands",
    },
    Difference {
        ids: &[
            "move.voltage_margin",
            "drive.stall_torque_hot",
            "drive.speed_at_load_hot",
            "settings.max_speed",
        ],
        shows: |case| case.made_from(&["40", "47", "56", "58"]),
        why: "where the winding's temperature waits, its limit stands in",
    },
    Difference {
        ids: &["axis.travel_per_turn"],
        shows: |case| matches!(case.kind, "arm" | "turntable"),
        why: "the sheet also gives the way around the rim, by which it reads lengths of arc",
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
        ids: &["check.winding_temperature", "check.bridge_temperature"],
        shows: |case| case.made_from(&["25", "26", "39", "48"]),
        why: "where no temperature is reached the sheet says how far off by currents; both are under",
    },
];

/// More is held than moves: the sheet refuses it, so that there is nothing to compare.
const REFUSED: &str = "torque in part by the torque held (from 32)";

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
        "error.worst" | "error.standard_uncertainty" | "steps.rounding_error_over_travel"
    ) && matches!(case.kind, "arm" | "turntable");
    let value = found(c, id)?;
    if arc {
        let answer = c.answer(register::find(id).expect(id));
        assert_eq!(answer.measure, Measure::Length, "{id}");
        return Ok(value / c.raw(register::find_input("axis.radius").unwrap()).unwrap());
    }
    Ok(value)
}

/// Temperatures that the sheet does not tell beyond the limit of the winding.
const UP_TO_LIMIT: &[&str] = &["heat.winding_temperature", "heat.cycle_peak_temperature"];

/// Whether the reference says so as well where the sheet says that a temperature is above its limit.
fn above_too(c: &Eval<'_>, id: &str, reference: &Value) -> bool {
    let limit = found(c, "motor.max_winding_temperature").unwrap();
    UP_TO_LIMIT.contains(&id) && reference.as_f64().is_some_and(|there| there > limit)
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

/// Status and margin by themselves: a fault may fail a check beside them. The level's margin is in volts.
fn check_agrees(id: &str, reference: &Value, held: Option<&CheckResult>) -> bool {
    match (reference, held) {
        (Value::Null, None) => true,
        (Value::Array(parts), Some(held)) => {
            let margin = held.margin.ok();
            let size = match id {
                "check.logic_level" => margin.map(|margin| margin.capability),
                _ => held.ratio(),
            };
            let margins = match (parts[1].as_f64(), size) {
                (None, None) => true,
                (Some(a), Some(b)) => near(a, b, CLOSED),
                _ => false,
            };
            let status = margin.map_or(held.status(), |margin| margin.status());
            parts[0].as_str() == Some(status.word()) && margins
        }
        _ => false,
    }
}

/// What of a design's checks the reference says.
struct Said<'a> {
    checks: &'a [String],
    of: &'a Value,
}

impl Said<'_> {
    fn fails(&self, id: &str) -> bool {
        let at = self.checks.iter().position(|known| known == id).unwrap();
        self.of[at][0] == "fails"
    }

    /// Whether the sheet may wait: warm, the motor cannot make the move, so that cold it may not; or the winding
    /// gets too hot.
    fn may_wait(&self) -> bool {
        let these = [
            "check.torque",
            "check.speed",
            "check.voltage",
            "check.winding_temperature",
        ];
        these.into_iter().any(|id| self.fails(id))
    }

    /// The least of the margins that it judges warm.
    fn warm(&self) -> Option<f64> {
        let each = COLD.iter().filter_map(|id| {
            let at = self.checks.iter().position(|known| known == id)?;
            self.of[at][1].as_f64()
        });
        each.reduce(f64::min)
    }
}

/// What the sheet judges cold, the reference warm.
const COLD: [&str; 3] = ["check.torque", "check.speed", "check.voltage"];

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
    let (mut compared, mut waiting, mut warm_met, mut above) = (0, 0, 0, 0);
    let mut met = vec![0; DIFFERENCES.len()];
    for row in document["cases"].as_array().unwrap() {
        if row["name"] == REFUSED {
            continue;
        }
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
        };
        for (id, text) in inputs.iter().zip(row["inputs"].as_array().unwrap()) {
            if let Some(text) = text.as_str() {
                assert!(design.enter_id(id, text), "{id} twice");
            }
        }
        assert_eq!(design.refused(), [], "{}", case.name);
        assert_eq!(design.unknown, []);
        let c = Eval::new(&design);
        let said = Said {
            checks: &checks,
            of: &row["checks"],
        };
        for (id, reference) in values.iter().zip(row["values"].as_array().unwrap()) {
            compared += 1;
            let sheet = figure(&c, id, &case);
            if sheet == Err(Code::Waits) && said.may_wait() {
                waiting += 1;
                continue;
            }
            if sheet == Err(Code::Above) && above_too(&c, id, reference) {
                above += 1;
                continue;
            }
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
            if sheet.is_some_and(|held| held.margin.is_err() && held.status() == Status::Waits)
                && (said.may_wait() || id == "check.edge_gap" && said.fails(id))
            {
                waiting += 1;
                continue;
            }
            if COLD.contains(&id.as_str()) {
                continue;
            }
            let same = check_agrees(id, reference, sheet);
            match difference(id, &case) {
                Some(at) if !same => {
                    let told = sheet.is_none_or(|held| held.status() != Status::Waits);
                    assert!(told, "{id}: {}", case.name);
                    met[at] += 1;
                }
                None if !same => {
                    let sheet = sheet.map(|held| (held.status().word(), held.ratio()));
                    wrong.push(format!("{id}: {reference}, sheet {sheet:?}: {}", case.name));
                }
                _ => {}
            }
        }
        let warm = held
            .iter()
            .find(|held| held.check.id == "check.warm")
            .unwrap();
        match (warm.ratio(), said.warm()) {
            (Some(sheet), Some(reference)) if near(sheet, reference, CLOSED) => warm_met += 1,
            (None, _) if warm.status() == Status::Waits && said.may_wait() => waiting += 1,
            (sheet, reference) => wrong.push(format!(
                "check.warm: {reference:?}, sheet {sheet:?}: {}",
                case.name
            )),
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
    assert!(compared > 21_000, "only {compared} compared");
    assert!(waiting < compared / 10, "{waiting} of {compared} wait");
    assert!(above >= 18, "only {above} above their limit");
    assert!(warm_met > 80, "only {warm_met} warm motors compared");
    for (difference, met) in DIFFERENCES.iter().zip(met) {
        assert!(met > 0, "no longer a difference: {}", difference.why);
    }
}
