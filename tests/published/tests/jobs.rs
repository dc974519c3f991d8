//! The sheet's verdict against jobs that were judged on paper.
//!
//! `jobs/jobs.json` carries 45 designs, each with the verdict that a drive engineer gives it; `jobs/jobs.md` beside it
//! has the arithmetic, worked by hand formulas that take nothing from the program. Source of every status and every
//! check named here: that arithmetic (common drive practice); where a loop lands is the program's own simulation.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use pulsewright_sheet::design::link;
use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::{Eval, Status};
use serde_json::Value;

/// The texts of a list in a job.
fn list<'a>(job: &'a Value, part: &str) -> Vec<&'a str> {
    let texts = job[part].as_array().into_iter().flatten();
    texts.map(|text| text.as_str().expect("a text")).collect()
}

/// What of a job the sheet says otherwise.
fn differences(job: &Value) -> Vec<String> {
    let read = link::read(job["link"].as_str().unwrap()).expect("a link");
    assert_eq!(read.design.refused(), [], "{job}");
    assert!(read.design.unknown.is_empty(), "{:?}", read.design.unknown);
    let c = Eval::new(&read.design).simulating();
    let held = check::all(&c);
    let verdict = check::verdict(&c, &held);
    let mut wrong = Vec::new();

    let expected = job["status"].as_str().unwrap();
    if verdict.status.word() != expected {
        let leading = verdict.leading.map(|leading| leading.check.id);
        wrong.push(format!(
            "{expected} expected, the sheet says {} by {leading:?}",
            verdict.status.word()
        ));
    }
    if let Some(leads) = job["check"].as_str() {
        let leading = verdict.leading.map_or("none", |leading| leading.check.id);
        if leading != leads && !list(job, "check_or").contains(&leading) {
            wrong.push(format!("{leads} must lead, {leading} does"));
        }
    }
    let of = |id: &str| held.iter().find(|held| held.check.id == id);
    let said = |held: Option<&CheckResult>| match held {
        Some(held) => {
            let fault = held.fault.map_or("", |fault| fault.id);
            format!("{} {:?} {fault}", held.status().word(), held.ratio())
        }
        None => "not held".into(),
    };
    for id in list(job, "also_failing") {
        if of(id).is_none_or(|held| held.status() != Status::Fails) {
            wrong.push(format!("{id} must fail: {}", said(of(id))));
        }
    }
    for id in list(job, "not_failing") {
        if of(id).is_some_and(|held| held.status() == Status::Fails) {
            wrong.push(format!("{id} must not fail: {}", said(of(id))));
        }
    }
    for id in list(job, "waiting") {
        if of(id).is_none_or(|held| held.status() != Status::Waits || held.margin.is_ok()) {
            wrong.push(format!("{id} must wait: {}", said(of(id))));
        }
    }
    wrong
}

#[test]
fn every_job_gets_the_verdict_of_the_paper() {
    let jobs: Vec<Value> = serde_json::from_str(include_str!("../jobs/jobs.json")).unwrap();
    assert_eq!(jobs.len(), 45);
    let mut wrong = String::new();
    for job in &jobs {
        for difference in differences(job) {
            let name = job["name"].as_str().unwrap();
            wrong.push_str(&format!("{name}: {difference}\n"));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Every check that a job names is one of the sheet's.
#[test]
fn every_check_named_is_known() {
    let jobs: Vec<Value> = serde_json::from_str(include_str!("../jobs/jobs.json")).unwrap();
    let parts = ["check_or", "also_failing", "not_failing", "waiting"];
    for job in &jobs {
        let mut named: Vec<&str> = parts.iter().flat_map(|part| list(job, part)).collect();
        named.extend(job["check"].as_str());
        for id in named {
            let known = pulsewright_sheet::stations::checks().any(|check| check.id == id);
            assert!(known, "{id}: {}", job["name"]);
        }
    }
}
