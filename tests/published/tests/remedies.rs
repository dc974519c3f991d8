//! The first thing to do about each of the jobs that were judged on paper, held against what a drive engineer does.
//!
//! Source of every expectation: `jobs/jobs.md`, worked by hand.

#![allow(clippy::expect_used)]

use pulsewright_sheet::analysis::remedy::{self, Means, Remedy, Search};
use pulsewright_sheet::design::{Design, link};
use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::{Eval, Status};
use pulsewright_sheet::register;
use serde_json::Value;

fn jobs() -> Vec<Value> {
    let text = include_str!("../jobs/jobs.json");
    serde_json::from_str(text).expect("the jobs are JSON")
}

fn texts(value: &Value) -> Vec<&str> {
    let list = value.as_array().map(Vec::as_slice).unwrap_or_default();
    list.iter().filter_map(Value::as_str).collect()
}

/// The kinds of the jobs, by what is changed.
fn kind(remedy: &Remedy) -> &'static str {
    match remedy.means {
        Means::Setting => "setting",
        Means::SmallPart => "fitting",
        Means::WireOrSupply | Means::Driver | Means::Gearbox | Means::Motor => "purchase",
        Means::Requirement => "requirement",
    }
}

fn design_of(job: &Value) -> Design {
    let link = job["link"].as_str().expect("a link");
    link::read(link).expect("a link that can be read").design
}

/// The checks that may lead a job.
fn leading<'c>(job: &Value, held: &'c [CheckResult]) -> Vec<&'c CheckResult> {
    let mut ids = texts(&job["check_or"]);
    ids.extend(job["check"].as_str());
    let short = held.iter().filter(|h| remedy::is_short(h));
    short.filter(|h| ids.contains(&h.check.id)).collect()
}

/// Checks that only a simulated landing shows: here they are simulated.
fn is_simulated(job: &Value) -> bool {
    ["check.final_error", "check.path"].contains(&job["check"].as_str().unwrap_or_default())
}

#[test]
fn the_first_remedy_is_what_a_practitioner_does() {
    let mut complaints = Vec::new();
    let mut seen = 0;
    for job in jobs() {
        let wants = &job["first_remedy"];
        if wants["kind"] == "none" {
            continue;
        }
        let name = job["name"].as_str().unwrap_or_default();
        let design = design_of(&job);
        let mut c = Eval::new(&design);
        if is_simulated(&job) {
            c = c.simulating();
        }
        let held = check::all(&c);
        let leading = leading(&job, &held);
        if leading.is_empty() {
            complaints.push(format!("{name}: none of its checks is short"));
            continue;
        }
        for held in leading {
            seen += 1;
            let mut search = Search::new(&c, held);
            while search.step() {}
            let id = held.check.id;
            let Some(first) = search.found().first() else {
                complaints.push(format!("{name}, {id}: nothing is offered"));
                continue;
            };
            let what = first.what();
            let mut kinds = texts(&wants["kind_or"]);
            kinds.extend(wants["kind"].as_str());
            if !kinds.contains(&kind(first)) {
                complaints.push(format!("{name}, {id}: {} first: {what}", kind(first)));
            }
            let may = texts(&wants["inputs"]);
            if !may.contains(&register::id(first.input)) {
                complaints.push(format!("{name}, {id}: first: {what}"));
            }
            for offered in search.found() {
                let changed = offered.inputs(&design);
                let never = texts(&wants["never"]);
                for input in changed.into_iter().map(register::id) {
                    if never.contains(&input) {
                        complaints.push(format!("{name}, {id}: never: {}", offered.what()));
                    }
                }
            }
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
    assert!(seen >= 28, "{seen}");
}

/// Whatever else it does, a first remedy is entered as it says: with it the check that led no longer fails.
#[test]
fn the_first_remedy_of_a_job_helps() {
    for job in jobs() {
        if job["status"] != "fails" || is_simulated(&job) {
            continue;
        }
        let design = design_of(&job);
        let c = Eval::new(&design);
        for held in leading(&job, &check::all(&c)) {
            let (first, _) = remedy::first(&c, held);
            let Some(first) = first else { continue };
            let after = Eval::new(&first.design);
            let now = check::all(&after);
            let now = now.iter().find(|h| h.check.id == held.check.id);
            assert_ne!(
                now.map(CheckResult::status),
                Some(Status::Fails),
                "{}: {}",
                job["name"],
                first.what()
            );
        }
    }
}
