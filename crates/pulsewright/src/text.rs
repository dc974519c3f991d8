//! Reports for people: plain and Markdown.

use pulsewright_sheet::analysis::bench_sheet::{self, ORDER, READINGS};
use pulsewright_sheet::analysis::remedy;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::evaluation::{Eval, Status};
use pulsewright_sheet::output::entered;
use pulsewright_sheet::output::report;
use pulsewright_sheet::output::verdict;
use pulsewright_sheet::plot;
use pulsewright_sheet::register::{self, COUNT, Form, INPUT_COUNT, STATIONS, Station};
use pulsewright_sheet::text::number;
use pulsewright_sheet::text::unit;
use serde_json::{Value, json};

use crate::paint::Paint;

/// JSON as people read it.
pub fn pretty(value: &Value) -> Result<String, String> {
    let text = serde_json::to_string_pretty(value).map_err(|e| e.to_string())?;
    Ok(text + "\n")
}

/// Every id with its label.
pub fn ids() -> String {
    let mut out = String::new();
    for index in 0..COUNT {
        let what = if index < INPUT_COUNT {
            "input "
        } else {
            "result"
        };
        out.push_str(&format!(
            "{what} {:32} {}\n",
            register::id(index),
            register::label(index)
        ));
    }
    out
}

/// Every id with its label and its SI unit, where it is a number, as JSON.
pub fn ids_as_json() -> Result<String, String> {
    let ids: Vec<Value> = (0..COUNT)
        .map(|index| {
            let form = register::inputs().get(index).map(|input| input.form);
            let unit = match form {
                None | Some(Form::Quantity(_) | Form::Whole | Form::Exact) => {
                    Value::from(register::measure(index).si_name())
                }
                Some(_) => Value::Null,
            };
            json!({
                "id": register::id(index),
                "sort": if form.is_some() { "input" } else { "result" },
                "label": register::label(index),
                "unit": unit,
            })
        })
        .collect();
    pretty(&json!({"made_by": report::made_by(), "ids": ids}))
}

/// One value, alone.
pub fn value(design: &Design, id: &str, unit: Option<&str>) -> Result<String, String> {
    let index =
        register::find(id).ok_or(format!("{id}: no such id; `pulsewright ids` lists them"))?;
    let c = Eval::new(design).simulating();
    let answer = c.answer(index);
    let raw = answer
        .found
        .map_err(|absent| format!("{id}: {}", absent.message()))?;
    let Some(wanted) = unit else {
        return Ok(display::display(&c, index, 6));
    };
    let unit = unit::unit(wanted, answer.measure).map_err(|_| {
        format!(
            "--unit {wanted}: {id} is shown in {}",
            answer.measure.usual().join(", ")
        )
    })?;
    Ok([
        number::text(unit.from_si(raw), 9),
        " ".into(),
        unit::pretty(&unit.text),
    ]
    .concat())
}

/// A plot as SVG.
pub fn drawing(design: &Design, name: &str) -> Result<String, String> {
    let known = plot::find(name).ok_or_else(|| {
        let names: Vec<&str> = plot::PLOTS.iter().map(|known| known.id).collect();
        format!("{name}: no such plot; there are {}", names.join(", "))
    })?;
    let c = Eval::new(design).simulating();
    let mut plot = known
        .plot(&c)
        .map_err(|absent| format!("{name}: {}", absent.message()))?;
    // Whoever looks at it alone sees how the design stands, too.
    let lines = verdict::lines(&c);
    let fails = |line: &&String| line.starts_with("fails: ");
    for line in (lines.iter().take(1)).chain(lines.iter().skip(1).filter(fails)) {
        plot.finding.push(' ');
        plot.finding.push_str(line);
    }
    Ok(plot::standalone(&plot))
}

/// A check's margin; of one that fails without any, why.
fn margin(c: &Eval<'_>, held: &CheckResult) -> String {
    match (held.ratio(), held.margin) {
        (Some(m), _) => format!("×{}", number::text(m, 3)),
        (None, _) if held.status() == Status::Fails => held.what_fails(c),
        (None, Ok(_)) if held.check.limit => "0 % of what is allowed".into(),
        (None, Ok(_)) => "none needed".into(),
        (None, Err(absent)) => absent.message(),
    }
}

/// The report as plain text.
pub fn plain(design: &Design, paint: Paint) -> String {
    let c = Eval::new(design).simulating();
    let held = check::all(&c);
    let mut out = String::new();
    out.push_str(&headline(&c, &held, paint));
    for line in verdict::refusals(&c) {
        out.push_str(&format!("{line}\n"));
    }
    let leading = check::verdict(&c, &held).leading.map(|held| held.check.id);
    let cured = remedies(&c, &held, leading, paint);
    for (_, held, cure) in &cured {
        out.push_str(&format!("\n{held}\n  {cure}\n"));
    }
    // Remedies are sought for the worst; the others that fail are named all the same.
    let named = |held: &&CheckResult| cured.iter().any(|(id, ..)| *id == held.check.id);
    let failing = held.iter().filter(|held| held.status() == Status::Fails);
    for held in check::ranked(failing.filter(|held| !named(held))) {
        out.push_str(&format!("\n{}\n", short(&c, &held, leading, paint)));
    }
    // Warnings first, then what else there is to know, a line each.
    out.push('\n');
    for said in finding::all(&c) {
        out.push_str(&format!("{}: {}\n", said.severity.word(), said.message(&c)));
    }
    for (index, why) in entered::unused(&c) {
        let (label, id) = (register::label(index), register::id(index));
        out.push_str(&format!("unused: {label} ({id}): {why}\n"));
    }
    for heading in STATIONS {
        if heading.station == Station::Bench {
            out.push_str(&bench_sheet(&c));
            continue;
        }
        let results: Vec<usize> = (INPUT_COUNT..COUNT)
            .filter(|&i| register::station(i) == Some(heading.station))
            .filter(|&i| register::result(i).is_some_and(|r| r.shown))
            .filter(|&i| {
                c.answer(i)
                    .found
                    .err()
                    .is_none_or(|absent| absent.is_asked())
            })
            .collect();
        let checks: Vec<&CheckResult> = held
            .iter()
            .filter(|h| h.check.station == heading.station)
            .collect();
        if results.is_empty() && checks.is_empty() {
            continue;
        }
        out.push_str(&format!("\n{}\n", heading.name));
        for index in results {
            out.push_str(&format!(
                "  {:48} {}\n",
                register::label(index),
                display::display(&c, index, 4)
            ));
        }
        for held in checks {
            out.push_str(&format!(
                "  [{}] {:38} {}\n",
                paint.status(held.status(), 7),
                held.check.label,
                margin(&c, held)
            ));
        }
    }
    out.push_str(&format!("\n{}\n", report::STANDING));
    out
}

/// A check that is short: where it fails why, which the verdict has said of the leading one, and its margin.
fn short(c: &Eval<'_>, held: &CheckResult, leading: Option<&str>, paint: Paint) -> String {
    // Of nothing at all there is no share.
    let by = match held.ratio() {
        Some(ratio) if ratio > 0.0 => format!(" (margin {})", margin(c, held)),
        _ => String::new(),
    };
    let said = if held.status() == Status::Fails && leading != Some(held.check.id) {
        format!(": {}", held.what_fails(c))
    } else {
        String::new()
    };
    format!(
        "{}: {}{by}{said}",
        paint.status(held.status(), 0),
        held.check.label
    )
}

/// The worst three checks that are short, each with its id and its first remedy.
fn remedies(
    c: &Eval<'_>,
    held: &[CheckResult],
    leading: Option<&str>,
    paint: Paint,
) -> Vec<(&'static str, String, String)> {
    remedy::of_the_worst(c, held)
        .into_iter()
        .map(|advice| {
            let mut lines: Vec<String> = Vec::new();
            if let Some(impasse) = advice.impasse {
                lines.push(format!("{}.", impasse.message));
            }
            if let Some(cure) = advice.remedy {
                lines.push(format!("{}: {}.", cure.what(), cure.outcome()));
            }
            if lines.is_empty() {
                lines.push("No way to fix it was found.".into());
            }
            let held = advice.held;
            (
                held.check.id,
                short(c, &held, leading, paint),
                lines.join(" "),
            )
        })
        .collect()
}

/// What to expect on the bench, what was read, and what is open before the order.
fn bench_sheet(c: &Eval<'_>) -> String {
    let mut out = String::from("\nBench tests\n");
    for row in &READINGS {
        let (expected, limits, read, says) = bench_row(c, row);
        out.push_str(&format!(
            "  {:32} {expected}{}{limits}\n",
            bench_sheet::name(row),
            if limits.is_empty() { "" } else { ", " }
        ));
        out.push_str(&format!("    {}\n", finding::fill_template(row.how, c)));
        if !read.is_empty() {
            out.push_str(&format!("    measured {read}. {says}\n"));
        }
    }
    out.push_str("\nOrder checklist\n");
    for row in &ORDER {
        let answer = c.design().text(row.answer);
        out.push_str(&format!(
            "  [{:3}] {}: {}\n",
            answer,
            register::label(row.answer),
            finding::fill_template(row.figures, c)
        ));
    }
    out
}

/// What a row expects, its limits, what was read and what that says; empty where there is none.
fn bench_row(c: &Eval<'_>, row: &bench_sheet::Reading) -> (String, String, String, String) {
    let limits = bench_sheet::limits(c, row);
    (
        display::display(c, row.expect, 4),
        bench_sheet::between(c, row, limits),
        pulsewright_sheet::design::entry_text::readable(c.design(), row.read),
        bench_sheet::verdict(c, row, limits),
    )
}

/// The verdict as a sentence.
fn headline(c: &Eval<'_>, held: &[CheckResult], paint: Paint) -> String {
    let judged = check::verdict(c, held);
    format!(
        "{}: {}\n",
        paint.status(judged.status, 0),
        verdict::sentence(c, &judged)
    )
}

/// The report as Markdown, for a README.
pub fn markdown(design: &Design) -> String {
    let c = Eval::new(design).simulating();
    let held = check::all(&c);
    let mut out = String::new();
    for line in verdict::lines(&c) {
        out.push_str(&format!("- {line}\n"));
    }
    for (index, why) in entered::unused(&c) {
        let (label, id) = (register::label(index), register::id(index));
        out.push_str(&format!("- unused: {label} ({id}): {why}\n"));
    }
    out.push_str("\n| check | margin | status | typical values used |\n|---|---|---|---|\n");
    for held in &held {
        out.push_str(&format!(
            "| {} | {} | {} | {} |\n",
            held.check.label,
            margin(&c, held),
            held.status().word(),
            report::assumed(&c, held.depends_on).len()
        ));
    }
    let leading = check::verdict(&c, &held).leading.map(|held| held.check.id);
    let cures = remedies(&c, &held, leading, Paint::NONE);
    if !cures.is_empty() {
        out.push_str("\n| failing check | ways to fix it |\n|---|---|\n");
        for (_, held, cure) in cures {
            out.push_str(&format!("| {held} | {cure} |\n"));
        }
    }
    out.push_str("\n| result | value |\n|---|---|\n");
    for index in INPUT_COUNT..COUNT {
        if register::result(index).is_some_and(|r| r.shown) && c.answer(index).found.is_ok() {
            out.push_str(&format!(
                "| {} | {} |\n",
                register::label(index),
                display::display(&c, index, 4)
            ));
        }
    }
    out.push_str("\n| bench test | expected | limits | measured |\n|---|---|---|---|\n");
    for row in &READINGS {
        let (expected, limits, read, says) = bench_row(&c, row);
        out.push_str(&format!(
            "| {} | {expected} | {limits} | {read} {says} |\n",
            bench_sheet::name(row)
        ));
    }
    out.push_str(&format!("\n{}\n", report::STANDING));
    out
}
