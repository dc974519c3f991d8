//! What version 3 of the register amends, on the designs of the independent reference computation.
//!
//! Source of every value here: computed, `tests/published/reference/reference.py` (SciPy 1.17.1),
//! `python3 designs.py`, stored in `reference.json` beside it.

use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::register;
use serde_json::Value;

const STORED: &str = include_str!("../../../../tests/published/reference/reference.json");

/// What is given in a design under an id; nothing where it is not.
type Given<'a> = dyn Fn(&str) -> &'a str + 'a;

/// An amended figure, what the sheet calls it where that is another, and the designs on which the two
/// agree.
type Amended = (&'static str, &'static str, fn(&Given<'_>) -> bool);

const EVERY: fn(&Given<'_>) -> bool = |_| true;

/// Arms whose angle is given.
const BY_ANGLE: fn(&Given<'_>) -> bool = |given| !given("axis.start_angle").is_empty();

/// All other designs: the sheet takes the worst torque of an arm all the way where the reference
/// follows its angle from moment to moment.
const NOT_BY_ANGLE: fn(&Given<'_>) -> bool = |given| !BY_ANGLE(given);

/// Those of them whose parts are given and whose stages have one efficiency: parts that are assumed and
/// lists of efficiencies are amended elsewhere.
const GIVEN: fn(&Given<'_>) -> bool = |given| {
    NOT_BY_ANGLE(given)
        && given("gears.stage_efficiencies").is_empty()
        && !(given("wiring.gauge").is_empty() && given("wiring.area").is_empty())
};

/// Torques of which it is said what they are.
const SAID: fn(&Given<'_>) -> bool =
    |given| !given("axis.load_is").is_empty() || !given("axis.held_torque").is_empty();

/// More is held than moves: the sheet refuses it.
const REFUSED: &str = "torque in part by the torque held (from 32)";

const AMENDED: &[Amended] = &[
    ("axis.load_torque", "axis.torque_at_axis", BY_ANGLE),
    ("axis.holding_torque", "axis.holding_at_axis", BY_ANGLE),
    ("axis.load_torque_return", "axis.return_at_axis", BY_ANGLE),
    ("axis.back_drives", "", BY_ANGLE),
    ("axis.drop_energy", "", EVERY),
    ("axis.holding_torque", "axis.holding_at_axis", SAID),
    ("axis.load_torque_return", "axis.return_at_axis", SAID),
    ("axis.back_drives", "", SAID),
    ("hold.current", "", EVERY),
    ("hold.current_worst_case", "", EVERY),
    ("hold.current_best_case", "", BY_ANGLE),
    ("hold.creep_braked", "", EVERY),
    ("loop.phase_margin", "", EVERY),
    ("loop.crossover", "", EVERY),
    ("loop.bandwidth_limit", "", EVERY),
    ("stepper.torque_at_speed", "", EVERY),
    ("stepper.torque_for_move", "", NOT_BY_ANGLE),
    ("stepper.speed_with_load", "", EVERY),
    ("supply.run_time", "", NOT_BY_ANGLE),
    ("supply.others_current", "", GIVEN),
    ("supply.voltage_beside_others", "", GIVEN),
    ("supply.worst_current", "", GIVEN),
    ("supply.voltage_at_worst", "", GIVEN),
    ("move.voltage_margin", "", GIVEN),
    ("drive.speed_at_load_hot", "", GIVEN),
    ("settings.max_speed", "", GIVEN),
];

/// The sheet's figure, or the word of why it is not there.
fn sheet(c: &Eval<'_>, id: &str) -> Value {
    let answer = c.answer(register::find(id).expect(id));
    match answer.found {
        Ok(value) => answer.measure.reported(value).into(),
        Err(absent) => absent.code.word().into(),
    }
}

fn same(reference: &Value, sheet: &Value) -> bool {
    match (reference.as_f64(), sheet.as_f64()) {
        (Some(a), Some(b)) => (a - b).abs() <= 1e-9 * a.abs().max(b.abs()) + 1e-15,
        (None, None) => reference == sheet || (reference.is_null() && sheet == "missing"),
        _ => false,
    }
}

#[test]
fn what_version_3_amends_is_as_the_reference_has_it() {
    let stored: Value = serde_json::from_str(STORED).expect("JSON");
    let list = |part: &str| stored[part].as_array().expect("a list").clone();
    let (inputs, values) = (list("inputs"), list("values"));
    let mut wrong = Vec::new();
    let mut compared = vec![0; AMENDED.len()];
    for case in list("cases") {
        let name = case["name"].as_str().expect("a name");
        if name == REFUSED {
            continue;
        }
        let texts = case["inputs"].as_array().expect("texts");
        let given = |id: &str| {
            let at = inputs.iter().position(|known| known == id).expect(id);
            texts[at].as_str().unwrap_or("")
        };
        let mut design = Design::default();
        for (id, text) in inputs.iter().zip(texts) {
            if let Some(text) = text.as_str() {
                design.enter_id(id.as_str().expect("an id"), text);
            }
        }
        let c = Eval::new(&design);
        let made = c
            .raw(register::find("move.rms_current").expect("an id"))
            .is_ok();
        for ((id, called, designs), compared) in AMENDED.iter().zip(&mut compared) {
            if !designs(&given) {
                continue;
            }
            *compared += 1;
            let at = values.iter().position(|known| known == id).expect(id);
            let reference = &case["values"][at];
            let figure = sheet(&c, if called.is_empty() { id } else { called });
            // What comes of a move that cannot be made waits here; the reference computes it as demanded.
            if figure != "waits" && made && !same(reference, &figure) {
                wrong.push(format!("{id}: {reference}, sheet {figure}: {name}"));
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "{} differ:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
    assert!(compared.iter().all(|count| *count > 0), "{compared:?}");
}

/// Spur gears that pass a tenth: 6 V, 2 A and 100 r/min behind 100:1 make 1.1 N·m before the gears, 1 kgf·cm is 0.098 N·m
/// (common practice, no source).
#[test]
fn a_listing_of_gears_that_pass_a_tenth_contradicts_itself() {
    use pulsewright_sheet::evaluation::{Status, check};
    let design = crate::common::entered(&[
        ("motor.rated_voltage", "6 V"),
        ("motor.no_load_speed", "100 r/min"),
        ("motor.stall_torque", "1 kgf.cm"),
        ("motor.stall_current", "2 A"),
        ("gears.ratio", "100"),
    ]);
    let c = Eval::new(&design);
    let verdict = check::verdict(&c, &check::all(&c));
    assert_eq!(verdict.status, Status::Unknown);
    assert_eq!(
        verdict.contradiction.map(|finding| finding.id),
        Some("figures_contradict")
    );
}
