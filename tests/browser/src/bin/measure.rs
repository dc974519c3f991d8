//! Times of the page beside the minimal page, in Chromium, in the same run. Called by `cargo bench-page`.

use anyhow::{Context, Result, bail};
use browser::{Engine, Page};
use serde_json::json;
use std::path::Path;
use std::thread;
use std::time::Duration;

/// The field to type in when none is named; its station stands open in the first example, and the verdict rests on it.
const FIELD: &str = "#f-gears-backlash";
/// What stands in the field before the keys: each of them makes another value of it, so that everything follows.
const BEFORE: &str = "0.01";
/// How often each page is opened; one opening before these warms up the browser.
const OPENINGS: usize = 15;
/// How many keys are pressed, and how many before these, while the engine still compiles what they set off.
const KEYS: usize = 60;
const FIRST_KEYS: usize = 10;
/// Between two keys of somebody who types fast and of somebody who thinks: some fall among what a key sets off later,
/// some meet a page at rest.
const PAUSES: [Duration; 5] = [
    Duration::from_millis(80),
    Duration::from_millis(120),
    Duration::from_millis(170),
    Duration::from_millis(230),
    Duration::from_millis(300),
];
/// A design of somebody's.
const LINK: &str = "#pw1;axis.load_mass=0.4kg;motor.stall_torque=0.3N*m";
/// By then it is painted, slowed as well.
const OPENED: Duration = Duration::from_secs(1);
/// A person reads before typing: by then all that the opening set off is done.
const READING: Duration = Duration::from_secs(2);
/// How often the page is asked for a time of its own.
const TURNS: usize = 40;

fn main() -> Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [ours, minimal, timed, rest @ ..] = arguments.as_slice() else {
        bail!(
            "give the page, the minimal page, the page that takes times of itself and, if wanted, the selector of a field"
        );
    };
    let field = rest.first().map_or(FIELD, String::as_str);
    let ours = Page::start_unwatched(Engine::Chromium, Path::new(ours))?;
    let minimal = Page::start_unwatched(Engine::Chromium, Path::new(minimal))?;

    let paces = [(1, ""), (4, ", processor slowed 4 times")];
    // Before a key is pressed: from then on the page opens with a design of one's own.
    for (times, name) in paces {
        ours.slow_down(times)?;
        minimal.slow_down(times)?;
        let [first, of_link, theirs] = first_paints(&ours, &minimal)?.map(median);
        println!("opening{name}");
        compare("  to the first screen, median, ms", first, theirs);
        compare("  of a link, median, ms", of_link, theirs);
    }
    for (times, name) in paces {
        ours.slow_down(times)?;
        minimal.slow_down(times)?;
        ours.navigate(&ours.address())?;
        ours.wait_until("the field is there", || {
            ours.execute(
                "const heading = document.getElementById('gears-heading');
                 if (heading.getAttribute('aria-expanded') === 'false') heading.click();",
                json!([]),
            )?;
            ours.find(field)?.fill(BEFORE)?;
            Ok(true)
        })?;
        thread::sleep(READING * times);
        let our_keys = keystrokes(&ours, field, [SEVEN, BACKSPACE])?;
        minimal.navigate(&minimal.address())?;
        thread::sleep(READING);
        let their_keys = keystrokes(&minimal, "button", [ENTER; 2])?;
        println!("keys{name}");
        for (row, part) in [("median", 0.5), ("95 %", 0.95)] {
            compare(
                &format!("  key to paint, {row}, ms"),
                percentile(our_keys.until_painted.clone(), part),
                percentile(their_keys.until_painted.clone(), part),
            );
            compare(
                &format!("  key to what follows, {row}, ms"),
                percentile(our_keys.until_followed.clone(), part),
                percentile(their_keys.until_followed.clone(), part),
            );
            compare(
                &format!("  work without waiting, {row}, ms"),
                percentile(our_keys.work.clone(), part),
                percentile(their_keys.work.clone(), part),
            );
        }
    }
    ours.slow_down(1)?;

    let timed = Page::start_unwatched(Engine::Chromium, Path::new(timed))?;
    timed.navigate(&timed.address())?;
    timed.wait_until("the page is whole", || {
        Ok(timed.execute("return !!document.querySelector('.station')", json!([]))? == true)
    })?;
    println!("{:<40}{:>14}{:>14}", "in wasm", "at first", "median");
    for (name, call) in [
        ("one evaluation, ms", "bench_evaluate(50)"),
        ("1 s of landing, turntable, ms", "bench_landing(0, 2)"),
        ("1 s of landing, focus stage, ms", "bench_landing(3, 2)"),
    ] {
        // The engine compiles in haste and, what runs often, again with care.
        let times = (0..TURNS)
            .map(|_| own_time(&timed, call))
            .collect::<Result<Vec<f64>>>()?;
        println!(
            "{name:<40}{:>14.3}{:>14.3}",
            times[0],
            median(times.clone())
        );
    }
    embedding(&ours)
}

/// Somebody's page with its number written, and with one element and two that compute it: when the number is on the
/// screen, and what the second element takes.
fn embedding(page: &Page) -> Result<()> {
    let element = |ratio: u32| {
        format!(
            "<pulse-wright design=\"#pw1;motor.figures_at=motor;gears.ratio={ratio}\" show=\"value\" \
             of=\"encoder.counts_per_output_turn\">…</pulse-wright>"
        )
    };
    let script = "<script src=\"pulsewright-embed.js\"></script>";
    let hosts = [
        ("bare.html", String::new(), "4560".to_owned(), 0),
        ("one.html", script.to_owned(), element(380), 1),
        (
            "two.html",
            script.to_owned(),
            element(380) + &element(298),
            2,
        ),
    ];
    let mut shown = [const { Vec::new() }; 3];
    let mut second = Vec::new();
    for round in 0..=OPENINGS {
        for (at, (name, script, body, elements)) in hosts.iter().enumerate() {
            let html = format!(
                "<!DOCTYPE html><meta charset=\"utf-8\"><title>Turntable</title>
                 <script>
                     window.ready = [];
                     const painted = () => requestAnimationFrame(() => {{
                         const channel = new MessageChannel();
                         channel.port1.onmessage = () => window.painted = performance.now();
                         channel.port2.postMessage(null);
                     }});
                     addEventListener('pulse-wright-ready', () => {{
                         window.ready.push(performance.now());
                         if (window.ready.length === {elements}) painted();
                     }});
                     if ({elements} === 0) addEventListener('DOMContentLoaded', painted);
                 </script>
                 {script}<p>It counts {body} edges in a turn of the output.</p>"
            );
            page.open_host(name, &html, &["pulsewright-embed.js"])?;
            page.wait_until("the number is painted", || {
                Ok(page.execute("return !!window.painted", json!([]))? == true)
            })?;
            let times = page.execute("return [window.painted, ...window.ready]", json!([]))?;
            let time = |of: usize| times[of].as_f64().context("not a time");
            if round > 0 {
                shown[at].push(time(0)?);
                if *elements == 2 {
                    second.push(time(2)? - time(1)?);
                }
            }
        }
    }
    let [before_limits, one, two] = shown.map(median);
    println!("in somebody's page, beside the same page without it");
    compare("  number on the screen, median, ms", one, before_limits);
    compare("  both of two, median, ms", two, before_limits);
    println!(
        "{:<40}{:>14.1}",
        "  the second one takes, 95 %, ms",
        percentile(second, 0.95)
    );
    Ok(())
}

fn compare(name: &str, ours: f64, minimal: f64) {
    println!(
        "{name:<40}{ours:>14.1}{minimal:>14.1}{:>9.2}",
        ours / minimal
    );
}

/// From the start of the navigation to the first text on the screen, in turns, so that all meet the same machine: the
/// first screen that lies ready, a design that only the program can show, the minimal page.
fn first_paints(ours: &Page, minimal: &Page) -> Result<[Vec<f64>; 3]> {
    let mut times = [const { Vec::new() }; 3];
    for round in 0..=OPENINGS {
        for (times, (page, fragment)) in
            times
                .iter_mut()
                .zip([(ours, ""), (ours, LINK), (minimal, "")])
        {
            let time = first_paint(page, fragment)?;
            if round > 0 {
                times.push(time);
            }
        }
    }
    Ok(times)
}

fn first_paint(page: &Page, fragment: &str) -> Result<f64> {
    page.navigate("about:blank")?;
    page.navigate(&format!("{}{fragment}", page.address()))?;
    // Whoever asks a page that is being opened keeps it from that.
    thread::sleep(OPENED);
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

/// A key as the keyboard sends it.
#[derive(Clone, Copy)]
struct Key {
    name: &'static str,
    number: u32,
    text: &'static str,
}

const SEVEN: Key = Key {
    name: "7",
    number: 55,
    text: "7",
};
const BACKSPACE: Key = Key {
    name: "Backspace",
    number: 8,
    text: "",
};
const ENTER: Key = Key {
    name: "Enter",
    number: 13,
    text: "\r",
};

/// Presses a key and lets it go. The driver would look at the page for the element before each, and slow it down.
fn press(page: &Page, key: Key) -> Result<()> {
    for kind in ["keyDown", "keyUp"] {
        let text = if kind == "keyDown" { key.text } else { "" };
        page.devtools(
            "Input.dispatchKeyEvent",
            json!({ "type": kind, "key": key.name, "windowsVirtualKeyCode": key.number, "text": text }),
        )?;
    }
    Ok(())
}

/// What each of many keys took, in milliseconds.
struct Keystrokes {
    /// From the key to the frame that shows it, most of which is waiting for that frame.
    until_painted: Vec<f64>,
    /// From the key to the frame that shows what follows from it: the same one, or on a slow processor a later one.
    until_followed: Vec<f64>,
    /// What the page's thread did until the first of them: the event with all that follows at once, then the frame with
    /// its layout and paint.
    work: Vec<f64>,
}

/// Presses real keys and measures them one by one.
fn keystrokes(page: &Page, selector: &str, keys: [Key; 2]) -> Result<Keystrokes> {
    page.execute(
        "window.times = [];
         // A frame is one task: the next one, before all that waits for a timer, finds it painted.
         const painted = tell => requestAnimationFrame(() => {
             const frame = performance.now();
             scheduler.postTask(() => tell(performance.now(), frame), { priority: 'user-blocking' });
         });
         let follows = () => {};
         new MutationObserver(() => follows())
             .observe(document.body, { subtree: true, childList: true, characterData: true });
         addEventListener('keydown', event => {
             const begin = performance.now();
             const key = [null, null, null];
             const known = (at, time) => {
                 key[at] = time;
                 if (!key.includes(null)) window.times.push(key);
             };
             let event_work = 0;
             for (const kind of ['input', 'click']) {
                 // At the window the field's own listeners have run, with the tasks that they set off.
                 addEventListener(kind, () => event_work = performance.now() - begin, { once: true });
             }
             painted((now, frame) => {
                 known(0, now - event.timeStamp);
                 known(1, event_work + now - frame);
             });
             follows = () => {
                 follows = () => {};
                 painted(now => known(2, now - event.timeStamp));
             };
         }, true);
         document.querySelector(arguments[0]).focus();",
        json!([selector]),
    )?;
    for pressed in 0..FIRST_KEYS + KEYS {
        press(page, keys[pressed % 2])?;
        // To ask the page is work for it too.
        thread::sleep(PAUSES[pressed % PAUSES.len()]);
        page.wait_until("the key has its effect", || {
            Ok(page.execute("return window.times.length", json!([]))? == pressed + 1)
        })?;
    }
    let times = page.execute("return window.times", json!([]))?;
    let column = |at: usize| -> Result<Vec<f64>> {
        let times = times.as_array().context("no times")?;
        let of = |pair: &serde_json::Value| pair[at].as_f64().context("not a time");
        times.iter().skip(FIRST_KEYS).map(of).collect()
    };
    Ok(Keystrokes {
        until_painted: column(0)?,
        work: column(1)?,
        until_followed: column(2)?,
    })
}

/// What the page itself says of a time.
fn own_time(page: &Page, call: &str) -> Result<f64> {
    let time = page.execute(&format!("return wasm_bindgen.{call}"), json!([]))?;
    time.as_f64().context("the page takes no such time")
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
