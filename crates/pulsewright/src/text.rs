//! Reports for people: plain and Markdown.

use pulsewright_sheet::analysis::bench_sheet::{self, ORDER, READINGS};
use pulsewright_sheet::analysis::remedy;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::output::report;
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
    let plot = known
        .plot(&Eval::new(design).simulating())
        .map_err(|absent| format!("{name}: {}", absent.message()))?;
    Ok(plot::standalone(&plot))
}

fn margin(held: &CheckResult) -> String {
    match (held.ratio(), held.margin) {
        (Some(m), _) => number::text(m, 3),
        (None, Ok(_)) => "nothing asked".into(),
        (None, Err(absent)) => absent.message(),
    }
}

/// The report as plain text.
pub fn plain(design: &Design, paint: Paint) -> String {
    let c = Eval::new(design).simulating();
    let held = check::all(&c);
    let mut out = String::new();
    out.push_str(&headline(&c, &held, paint));
    for (held, cure) in remedies(&c, &held, paint) {
        out.push_str(&format!("\n{held}\n  {cure}\n"));
    }
    for said in finding::all(&c) {
        out.push_str(&format!(
            "\n{}: {}\n",
            said.severity.word(),
            said.message(&c)
        ));
    }
    for heading in STATIONS {
        if heading.station == Station::Bench {
            out.push_str(&bench_sheet(&c));
            continue;
        }
        let results: Vec<usize> = (INPUT_COUNT..COUNT)
            .filter(|&i| register::station(i) == Some(heading.station))
            .filter(|&i| register::result(i).is_some_and(|r| r.shown))
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
                margin(held)
            ));
        }
    }
    out.push_str(&format!("\n{}\n", report::STANDING));
    out
}

/// The worst three checks that are short, each with its first remedy.
fn remedies(c: &Eval<'_>, held: &[CheckResult], paint: Paint) -> Vec<(String, String)> {
    remedy::of_the_worst(c, held)
        .into_iter()
        .map(|(held, cure)| {
            let check = format!(
                "{}: {}, room {}",
                paint.status(held.status(), 0),
                held.check.label,
                margin(&held)
            );
            let cure = cure.map_or("No single change puts it right.".into(), |cure| {
                format!("{}: {}.", cure.what(), cure.outcome())
            });
            (check, cure)
        })
        .collect()
}

/// What to expect on the bench, what was read, and what is open before the order.
fn bench_sheet(c: &Eval<'_>) -> String {
    let mut out = String::from("\nBench sheet\n");
    for row in &READINGS {
        let (expected, limits, read, says) = bench_row(c, row);
        out.push_str(&format!(
            "  {:32} {expected}{}{limits}\n",
            bench_sheet::name(row),
            if limits.is_empty() { "" } else { ", " }
        ));
        out.push_str(&format!("    {}\n", finding::fill_template(row.how, c)));
        if !read.is_empty() {
            out.push_str(&format!("    read {read}. {says}\n"));
        }
    }
    out.push_str("\nBefore you order\n");
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

fn headline(c: &Eval<'_>, held: &[CheckResult], paint: Paint) -> String {
    match check::worst(held) {
        Some(worst) => format!(
            "{}: {} ({})\n{}\n",
            paint.status(worst.status(), 0),
            worst.check.label,
            margin(worst),
            if worst.status() == pulsewright_sheet::evaluation::Status::Under {
                finding::fill_template(worst.check.under, c)
            } else {
                String::new()
            }
        ),
        None => "nothing to check\n".into(),
    }
}

/// The report as Markdown, for a README.
pub fn markdown(design: &Design) -> String {
    let c = Eval::new(design).simulating();
    let held = check::all(&c);
    let mut out = String::from("| check | room | stamp | rests on assumed |\n|---|---|---|---|\n");
    for held in &held {
        out.push_str(&format!(
            "| {} | {} | {} | {} |\n",
            held.check.label,
            margin(held),
            held.status().word(),
            report::assumed(&c, held.depends_on).len()
        ));
    }
    let short = remedies(&c, &held, Paint::NONE);
    if !short.is_empty() {
        out.push_str("\n| short | what would put it right |\n|---|---|\n");
        for (held, cure) in short {
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
    out.push_str("\n| on the bench | expected | limits | read |\n|---|---|---|---|\n");
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
