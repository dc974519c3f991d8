//! The landing, simulated beside the page.

use crate::card;
use anyhow::{Context, Result};
use browser::{Outcome, Page, keys};
use serde_json::json;

/// What stands while the figures are on their way.
const WAITING: &str = "being simulated …";

fn faults(page: &Page) -> Result<Vec<String>> {
    page.find_all("#loop .finding.fault")?
        .iter()
        .map(|fault| fault.text())
        .collect()
}

/// The story of the first example: the turntable comes back from the other side and stops 0.385 mm off, on the other
/// flank of its 0.433 mm of play (the figures are held in the sheet's tests); approached from one side it does not.
pub fn the_turntable_says_why_it_lands_off_and_one_side_cures_it(page: &Page) -> Outcome {
    card::open_station(page, "Loop")?;
    card::wait_for_result(page, "loop.final_error", "0.385 mm")?;
    page.wait_until("the fault is said", || {
        Ok(faults(page)?.iter().any(|fault| {
            fault.contains("after a return move")
                && fault.contains("0.385 mm")
                && fault.contains("0.433 mm")
        }))
    })?;
    card::open_station(page, "Move")?;
    page.find_by_role("combobox", "Approach direction")?
        .choose("one_side")?;
    card::wait_for_result(page, "loop.final_error", "0.0703 mm")?;
    card::wait_for_result(page, "loop.settling_time", "0 s")?;
    page.wait_until("the fault is gone", || {
        Ok(!faults(page)?
            .iter()
            .any(|fault| fault.contains("Simulated")))
    })?;
    assert!(page.take_errors()?.is_empty());
    Ok(())
}

/// An old figure never stands as if it were new, and what does not concern the landing leaves it alone.
pub fn figures_of_another_design_do_not_stay(page: &Page) -> Outcome {
    card::open_station(page, "Loop")?;
    card::wait_for_result(page, "loop.final_error", "0.385 mm")?;
    page.execute(
        "const seen = window.seen = new Set();
         const place = document.querySelector('#r-loop-final_error strong');
         new MutationObserver(() => seen.add(place.textContent))
             .observe(place, { subtree: true, characterData: true, childList: true });",
        json!([]),
    )?;
    let seen = || page.execute("return [...window.seen].join()", json!([]));
    card::open_station(page, "Stepper")?;
    card::field(page, "stepper.holding_torque")?.enter("0.3 N.m")?;
    card::wait_for_entry(page, "stepper.holding_torque=0.3N.m")?;
    assert_eq!(seen()?, "", "a stepper has no part in it");
    card::open_station(page, "Gears")?;
    card::field(page, "gears.backlash")?.enter("0.05 deg")?;
    card::wait_for_result(page, "loop.final_error", "0.0869 mm")?;
    let seen = seen()?;
    let seen = seen.as_str().context("a list")?;
    assert!(seen.starts_with(WAITING), "{seen}");
    assert!(seen.ends_with("0.0869 mm"), "{seen}");
    Ok(())
}

/// A browser without workers, and one that starts none from a file.
pub const NO_WORKERS: [&str; 2] = [
        "delete window.Worker;",
        "window.Worker = class extends EventTarget {
             constructor() { super(); setTimeout(() => this.dispatchEvent(new Event('error')), 20); }
             postMessage() {}
             terminate() {}
         };",
];

pub fn without_a_worker_the_page_simulates_by_itself(page: &Page) -> Outcome {
    for script in NO_WORKERS {
        page.open()?;
        page.open_watched("", script)?;
        card::open_station(page, "Loop")?;
        card::wait_for_result(page, "loop.final_error", "0.385 mm")?;
        card::open_station(page, "Gears")?;
        card::field(page, "gears.backlash")?.enter("0.05 deg")?;
        card::wait_for_result(page, "loop.final_error", "0.0869 mm")?;
        assert!(page.take_errors()?.is_empty());
    }
    page.open()
}

/// A worker that is not wanted any more may break in the midst of its end, and a browser tells that, too.
pub fn a_worker_that_nobody_asks_may_break(page: &Page) -> Outcome {
    page.execute(
        "window.broken = false;
         const worker = window.pulsewright_worker();
         worker.addEventListener('error', () => window.broken = true);
         worker.postMessage(['no such function', '']);",
        json!([]),
    )?;
    page.wait_until("it is broken", || {
        Ok(page.execute("return window.broken", json!([]))? == true)
    })?;
    std::thread::sleep(page.moment());
    let errors = page.execute("return window.pulsewright_errors", json!([]))?;
    assert_eq!(errors, json!([]));
    // Chromium notes it in its console all the same.
    page.take_errors().map(drop)
}

/// While a long simulation runs, the page answers.
pub fn typing_waits_for_no_simulation(page: &Page) -> Outcome {
    card::open_station(page, "Loop")?;
    card::open_station(page, "Move")?;
    // 300 s at 1 kHz, there and back: 600 000 samples are refused, 480 000 are a second of work or so.
    page.field("Move time")?.enter("240 s")?;
    page.execute(
        "window.longest = 0;
         let last = window.began = performance.now();
         (function beat() {
             const now = performance.now();
             window.longest = Math.max(window.longest, now - last);
             last = now;
             setTimeout(beat, 0);
         }());",
        json!([]),
    )?;
    page.wait_until("it has landed", || {
        let text = card::result(page, "loop.final_error")?;
        Ok(text != WAITING && text != "0.385 mm")
    })?;
    let script = "return [window.longest, performance.now() - window.began]";
    let times = page.execute(script, json!([]))?;
    let time = |at: usize| times[at].as_f64().context("a time");
    let (longest, all) = (time(0)?, time(1)?);
    // Beside other work everything takes longer, the simulation as well.
    assert!(
        longest < f64::max(0.6 * page.moment_ms(), 0.4 * all),
        "the page stood still for {longest} of {all} ms"
    );
    Ok(())
}

/// What stands where the landing's last error is shown, each time it changes, from now on.
fn watch_the_error(page: &Page) -> Outcome {
    page.execute(
        "const seen = window.seen = [];
         const place = document.querySelector('#r-loop-final_error strong');
         new MutationObserver(() => seen.push(place.textContent))
             .observe(place, { subtree: true, characterData: true, childList: true });",
        json!([]),
    )?;
    Ok(())
}

fn seen(page: &Page) -> Result<Vec<String>> {
    let seen = page.execute("return window.seen", json!([]))?;
    Ok(serde_json::from_value(seen)?)
}

/// While a slider is drawn, figures go from one landing to the next and none of them waits.
pub fn a_slider_takes_the_landing_with_it(page: &Page) -> Outcome {
    card::open_station(page, "Loop")?;
    card::open_station(page, "Gears")?;
    card::wait_for_result(page, "loop.final_error", "0.385 mm")?;
    watch_the_error(page)?;
    card::field(page, "gears.backlash")?.click()?;
    let slider = page.find_by_role("slider", "Adjust Backlash at the output")?;
    assert_eq!(
        slider.attribute("aria-valuetext")?.as_deref(),
        Some("0.16°")
    );
    // A hand that pulls it down for a second, or longer where everything takes longer, and does not let go.
    page.execute(
        "const slider = document.querySelector('.slide'), pause = arguments[0];
         let steps = 0;
         (function pull() {
             slider.value = Number(slider.value) - 1;
             slider.dispatchEvent(new Event('input', { bubbles: true }));
             steps += 1;
             if (steps < 60) setTimeout(pull, pause);
         }());",
        json!([page.moment_ms() / 20.0]),
    )?;
    page.wait_until("the last step is simulated", || {
        Ok(card::field(page, "gears.backlash")?.value()? == "0.08°"
            && seen(page)?.last().is_some_and(|last| last == "0.168 mm"))
    })?;
    let seen = seen(page)?;
    assert!(seen.len() > 3, "it moved with the hand: {seen:?}");
    assert!(!seen.iter().any(|text| text == WAITING), "{seen:?}");
    page.execute(
        "document.querySelector('.slide').dispatchEvent(new Event('change', { bubbles: true }))",
        json!([]),
    )?;
    card::press(page, "Undo")?;
    card::wait_for_result(page, "loop.final_error", "0.385 mm")?;
    assert_eq!(card::field(page, "gears.backlash")?.value()?, "0.16°");
    Ok(())
}

/// By keyboard: the slider follows its field, each press is an entry, and the ends move when something else is typed.
pub fn a_slider_goes_by_keys(page: &Page) -> Outcome {
    card::open_station(page, "Supply")?;
    let field = card::field(page, "supply.voltage")?;
    field.enter("12 V ± 2 %")?;
    field.click()?;
    page.press(keys::TAB)?;
    let slider = page.focused()?;
    assert_eq!(slider.role()?, "slider");
    assert_eq!(slider.value()?, "120");
    page.press(keys::RIGHT)?;
    card::wait_for_entry(page, "supply.voltage=12.1V~2pct")?;
    page.press(keys::RIGHT)?;
    card::wait_for_entry(page, "supply.voltage=12.2V~2pct")?;
    assert_eq!(field.value()?, "12.2 V ± 2 %");
    assert_eq!(page.focused()?.value()?, "122", "its ends stay");
    field.enter("9 V")?;
    page.wait_until("its ends are those around 9 V", || {
        Ok(page.find(".slide")?.value()? == "120")
    })?;
    // Choices and lists have none.
    card::open_station(page, "Move")?;
    page.execute(
        "document.querySelector('#f-move-profile').focus()",
        json!([]),
    )?;
    page.wait_until("there is no slider", || {
        Ok(page.find_all(".slide")?.is_empty())
    })?;
    Ok(())
}

/// The focus stage does everything but follow its path to 1 µm, which only the simulation shows: until then nobody
/// hears that it does its job.
pub fn nothing_passes_before_its_landing_is_known(page: &Page) -> Outcome {
    let stage = include_str!("../../../../crates/pulsewright-sheet/demos/focus_stage.link");
    let link = format!("{};move.path_tolerance=1um", stage.trim());
    page.open_watched(
        &link,
        "window.said = [];
         new MutationObserver(() => {
             const text = part => (document.querySelector(part) || {}).textContent || '';
             const now = text('.verdict') + ' Loop: ' + text('.margin a[href=\"#loop\"] .how-it-stands');
             if (!window.said.includes(now)) window.said.push(now);
         }).observe(document, { childList: true, subtree: true, characterData: true });",
    )?;
    let said = || -> Result<Vec<String>> {
        Ok(serde_json::from_value(
            page.execute("return window.said", json!([]))?,
        )?)
    };
    page.wait_until("the landing is known", || {
        Ok(said()?
            .iter()
            .any(|said| said.contains("peak following error 14 µm")))
    })?;
    let said = said()?;
    assert!(
        said.iter().any(|said| {
            said.starts_with("So far every check passes; the landing is not simulated yet.")
                && said.ends_with("Loop: simulating …")
        }),
        "{said:?}"
    );
    assert!(
        !said.iter().any(|said| said.contains("It does the job")),
        "{said:?}"
    );
    assert!(
        !said.iter().any(|said| said.ends_with("Loop: passes")),
        "{said:?}"
    );
    // Beside another design it is simulated as well.
    card::wait_for_entry(page, "move.path_tolerance=1um")?;
    card::press(page, "Save a copy")?;
    card::press(page, "New design")?;
    card::press(page, "My designs")?;
    card::press(page, "Compare: Focus stage")?;
    let beside = page.find(".beside")?.text()?;
    assert!(
        beside.contains("It does not do the job yet: peak following error 14 µm"),
        "{beside}"
    );
    Ok(())
}
