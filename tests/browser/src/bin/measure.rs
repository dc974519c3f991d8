//! Times of the page beside the minimal page, in Chromium, in the same run. Called by `cargo bench-page`.

use anyhow::{Context, Result, bail};
use browser::{Engine, Page, keys};
use serde_json::json;
use std::path::Path;

/// The field to type in when none is named; its station stands open in the first example, and the verdict rests on it.
const FIELD: &str = "#f-gears-backlash";
/// What stands in the field before the keys: each of them makes another value of it, so that everything follows.
const BEFORE: &str = "0.01";
/// How often each page is opened; one opening before these warms up the browser.
const OPENINGS: usize = 15;
/// How many keys are pressed.
const KEYS: usize = 60;

fn main() -> Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [ours, minimal, rest @ ..] = arguments.as_slice() else {
        bail!("give the page, the minimal page and, if wanted, the selector of a field");
    };
    let field = rest.first().map_or(FIELD, String::as_str);
    let ours = Page::start(Engine::Chromium, Path::new(ours))?;
    let minimal = Page::start(Engine::Chromium, Path::new(minimal))?;

    let (our_paint, their_paint) = first_paints(&ours, &minimal)?;
    compare(
        "open to first paint, median, ms",
        median(our_paint),
        median(their_paint),
    );

    ours.navigate(&ours.address())?;
    ours.find(field)?.fill(BEFORE)?;
    let our_keys = keystrokes(&ours, field, ["7", keys::BACKSPACE])?;
    minimal.navigate(&minimal.address())?;
    let their_keys = keystrokes(&minimal, "button", [keys::ENTER; 2])?;
    compare(
        "key to paint, median, ms",
        median(our_keys.clone()),
        median(their_keys.clone()),
    );
    compare(
        "key to paint, 95 %, ms",
        percentile(our_keys, 0.95),
        percentile(their_keys, 0.95),
    );

    for (name, call) in [
        ("one evaluation in wasm, ms", "bench_evaluate(200)"),
        ("1 s of landing in wasm, ms", "bench_landing(20)"),
    ] {
        match own_time(&ours, call)? {
            Some(milliseconds) => println!("{name:<32}{milliseconds:>14.3}"),
            None => println!("{name:<32}{:>14}", "not exported"),
        }
    }
    Ok(())
}

fn compare(name: &str, ours: f64, minimal: f64) {
    println!(
        "{name:<32}{ours:>14.1}{minimal:>14.1}{:>9.2}",
        ours / minimal
    );
}

/// From the start of the navigation to the first text on the screen, in turns, so that both meet the same machine.
fn first_paints(ours: &Page, minimal: &Page) -> Result<(Vec<f64>, Vec<f64>)> {
    let mut times = (Vec::new(), Vec::new());
    for round in 0..=OPENINGS {
        let pair = (first_paint(ours)?, first_paint(minimal)?);
        if round > 0 {
            times.0.push(pair.0);
            times.1.push(pair.1);
        }
    }
    Ok(times)
}

fn first_paint(page: &Page) -> Result<f64> {
    page.navigate("about:blank")?;
    page.navigate(&page.address())?;
    let mut painted = None;
    page.wait_until("something is painted", || {
        painted = page
            .execute(
                "const paint = performance.getEntriesByName('first-contentful-paint')[0];
                 return paint ? paint.startTime : null;",
                json!([]),
            )?
            .as_f64();
        Ok(painted.is_some())
    })?;
    let errors = page.take_errors()?;
    if !errors.is_empty() {
        bail!("the page does not work: {errors:?}");
    }
    painted.context("nothing was painted")
}

/// From a real key press to the frame that shows its effect, for each of many presses.
fn keystrokes(page: &Page, selector: &str, keys: [&str; 2]) -> Result<Vec<f64>> {
    let element = page.find(selector)?;
    page.execute(
        "window.times = [];
         addEventListener('keydown', event => requestAnimationFrame(() => {
             // A message posted before a paint arrives after it.
             const channel = new MessageChannel();
             channel.port1.onmessage = () => window.times.push(performance.now() - event.timeStamp);
             channel.port2.postMessage(null);
         }), true);
         document.querySelector(arguments[0]).focus();",
        json!([selector]),
    )?;
    for pressed in 0..KEYS {
        element.type_text(keys[pressed % 2])?;
        page.wait_until("the key has its effect", || {
            Ok(page.execute("return window.times.length", json!([]))? == pressed + 1)
        })?;
    }
    let times = page.execute("return window.times", json!([]))?;
    let times = times.as_array().context("no times")?;
    times
        .iter()
        .map(|time| time.as_f64().context("not a time"))
        .collect()
}

/// What the page itself says of a time, if it exports that.
fn own_time(page: &Page, call: &str) -> Result<Option<f64>> {
    let name = call.split('(').next().unwrap_or_default();
    let time = page.execute(
        &format!(
            "return typeof wasm_bindgen !== 'undefined' && wasm_bindgen.{name} ? wasm_bindgen.{call} : null;"
        ),
        json!([]),
    )?;
    Ok(time.as_f64())
}

fn median(times: Vec<f64>) -> f64 {
    percentile(times, 0.5)
}

/// The smallest time that at least this part of all times does not exceed.
fn percentile(mut times: Vec<f64>, part: f64) -> f64 {
    times.sort_by(f64::total_cmp);
    let rank = (times.len() as f64 * part).ceil().max(1.0) as usize;
    times.get(rank - 1).copied().unwrap_or(0.0)
}
