//! The first screen: what a person with a listing does there.

use crate::card;
use anyhow::{Context, Result};
use browser::{Outcome, Page, keys};
use serde_json::{Value, json};

/// Types into the blank of the sentence and goes on.
fn blank(page: &Page, id: &str, text: &str) -> Result<String> {
    let field = page.find(&format!("#s-{}", id.replace('.', "-")))?;
    field.enter(text)?;
    field.value()
}

/// An invented listing and job, each figure typed in the order and spelling in which it stands there. By hand:
/// 0.4 kg · 9.80665 m/s² · 0.12 m = 471 mN·m; 3.2 kgf·cm = 314 mN·m: two thirds.
pub fn a_listing_is_typed_as_it_stands(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    for (id, typed, shown) in [
        ("axis.load_mass", "0.4 kg", "0.4 kg"),
        ("axis.radius", "120 mm", "120 mm"),
        ("move.distance", "75°", "75°"),
        ("move.time", "1.5 s", "1.5 s"),
        ("move.dwell", "10 minutes", "10 min"),
        ("motor.rated_voltage", "6 V", "6 V"),
        ("motor.no_load_speed", "100", "100 r/min"),
        ("motor.no_load_current", "70 mA", "70 mA"),
        ("motor.stall_current", "1.6", "1.6 A"),
        ("motor.stall_torque", "3.2 kgf·cm", "3.2 kgf·cm"),
        ("motor.case_diameter", "12 × 10 × 26 mm", "10 mm"),
        ("gears.ratio", "1:150", "150:1"),
        ("supply.voltage", "6 V", "6 V"),
        ("supply.current_limit", "2 A", "2 A"),
    ] {
        assert_eq!(blank(page, id, typed)?, shown, "{id}");
    }
    let refused = page.find_all(".sentence [aria-invalid]")?;
    assert!(refused.is_empty());
    let verdict = page.find(".verdict")?.text()?;
    assert!(
        verdict.starts_with("It does not do the job yet: "),
        "{verdict}"
    );
    // What to buy stays in sight.
    page.wait_until("it says what to look for", || {
        let buy = page.find(".shopping")?.text()?;
        Ok(buy.starts_with("To buy: a gear motor with ") && buy.contains("r/min"))
    })
}

pub fn a_bare_number_takes_the_unit_of_its_field(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    let field = page.find("#s-motor-no_load_speed")?;
    field.fill("100")?;
    let beside = page.execute(
        "return document.querySelector('#s-motor-no_load_speed + .unit').textContent",
        json!([]),
    )?;
    assert_eq!(beside, "r/min", "what it is taken for is shown at once");
    field.type_text(keys::TAB)?;
    assert_eq!(field.value()?, "100 r/min");
    card::wait_for_entry(page, "motor.no_load_speed=100r/min")?;
    // In a link a bare number stays SI: 0.4 kg, not 0.4 g.
    page.open_with("#pw1;axis.load_mass=0.4")?;
    card::open_station(page, "Axis")?;
    card::wait_for_result(page, "axis.load_torque", "196 mN·m")
}

/// The names under the blanks of the job, as they are seen.
fn names(page: &Page) -> Result<Vec<String>> {
    let script = "return [...document.querySelectorAll('.sentence p:first-child .slot')]
        .filter(s => s.offsetParent).map(s => s.querySelector('.named').textContent)";
    Ok(serde_json::from_value(page.execute(script, json!([]))?)?)
}

/// A lead on a screw, teeth on a belt, an arm's length on an arm: each kind of axis asks for its own, in its own words,
/// and for its incline where it moves along a line.
pub fn the_sentence_asks_for_what_the_kind_of_axis_has(page: &Page) -> Outcome {
    const INCLINE: &str = "Incline of the travel";
    card::press(page, "New design")?;
    let kind = page.find("#s-axis-kind")?;
    for (word, asked) in [
        ("screw", vec!["Screw lead", INCLINE]),
        ("belt", vec!["Pulley teeth", "Belt pitch", INCLINE]),
        ("rack", vec!["Pinion teeth", "Pinion module", INCLINE]),
        ("drum", vec!["Drum radius", INCLINE]),
        ("turntable", vec!["Turntable radius"]),
        ("torque", vec![]),
        ("arm", vec!["Arm length to the centre of mass"]),
    ] {
        kind.choose(word)?;
        let load = if word == "torque" {
            "Load torque"
        } else {
            "Load mass"
        };
        let mut expected = vec![load, "Kind of axis"];
        expected.extend(asked);
        expected.extend([
            "Distance of the move",
            "Move time",
            "Dwell (hold) time",
            "Position tolerance",
        ]);
        page.wait_until("the blanks are those of the kind", || {
            Ok(names(page)? == expected)
        })?;
    }
    // A radius that is entered goes before the teeth, and stands in their place.
    page.open_with("#pw1;axis.kind=belt;axis.radius=8mm")?;
    let named = names(page)?;
    assert!(
        named.contains(&"Pulley pitch radius".to_owned()),
        "{named:?}"
    );
    assert!(!named.contains(&"Pulley teeth".to_owned()), "{named:?}");
    Ok(())
}

/// Who asks a tolerance in degrees is answered in degrees. 4 counts on each of 3 pole pairs behind 100:1 are 1200 in a
/// turn: 0.3°; 3° of backlash as entered.
pub fn what_is_asked_in_degrees_is_answered_in_degrees(page: &Page) -> Outcome {
    let job = "#pw1;axis.radius=100mm;gears.ratio=100;gears.backlash=3deg;axis.position_tolerance=";
    for (tolerance, count, backlash) in [("2deg", "0.3°", "3°"), ("2mm", "0.524 mm", "5.24 mm")] {
        page.open_with(&[job, tolerance].concat())?;
        card::open_station(page, "Encoder")?;
        card::wait_for_result(page, "encoder.arc_per_count", count)?;
        card::open_station(page, "Gears")?;
        card::wait_for_result(page, "gears.backlash_at_load", backlash)?;
    }
    Ok(())
}

pub fn spellings_of_people_are_read(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    for (id, typed, shown) in [
        ("motor.no_load_speed", "100 RPM", "100 rpm"),
        ("motor.no_load_speed", "2 rev/s", "2 r/s"),
        ("motor.no_load_speed", "90 1/min", "90 r/min"),
        ("motor.rated_voltage", "6 VDC", "6 V"),
        ("motor.rated_voltage", "6 Volt", "6 V"),
        ("axis.load_mass", "400 grams", "400 g"),
        ("axis.radius", "4 3/4 in", "4.75 in"),
        ("axis.radius", "4½\"", "4.5 in"),
        ("move.distance", "75 degrees", "75°"),
        ("move.time", "2 seconds", "2 s"),
        ("axis.position_tolerance", "±2°", "2°"),
        ("gears.ratio", "1:150", "150:1"),
    ] {
        assert_eq!(blank(page, id, typed)?, shown, "{typed}");
    }
    Ok(())
}

/// What is usual stands there as a hint only, each blank has its name, and the caret comes in with all of it selected.
pub fn blanks_of_a_new_design_are_blank(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    let found = page.execute(
        "return [...document.querySelectorAll('.sentence .slot:not([hidden])')].map(slot => {
             const field = slot.querySelector('input');
             return [field ? field.value : '', field ? field.placeholder : 'a choice',
                 slot.querySelector('.named').textContent];
         });",
        json!([]),
    )?;
    let slots = found.as_array().context("no blanks")?;
    assert!(slots.len() >= 15, "{}", slots.len());
    for slot in slots {
        assert_eq!(slot[0], "", "{slot}");
        assert!(
            slot[2].as_str().is_some_and(|name| name.len() > 3),
            "{slot}"
        );
    }
    page.find("#s-axis-load_mass")?.enter("1 kg")?;
    page.find("#s-axis-load_mass")?.click()?;
    let selected = page.execute("return getSelection().toString()", json!([]))?;
    assert_eq!(selected, "1 kg");
    Ok(())
}

/// At most three lines, each with what to do at its end.
pub fn the_verdict_says_the_cause_and_what_to_do(page: &Page) -> Outcome {
    let lines = page.find_all(".worst li")?;
    assert!((1..=3).contains(&lines.len()), "{}", lines.len());
    page.wait_until("the first says what to do", || {
        Ok(page.find(".worst li .cure")?.text()?.len() > 10)
    })?;
    assert!(card::says(
        page,
        "Will this gear motor do this axis’s work as a servo that takes step and direction pulses?"
    )?);
    Ok(())
}

/// Sixteen lines, all in sight at 704 px, no ring under a word, and nothing scrolls there.
pub fn every_station_stands_in_the_margin_in_sight(page: &Page) -> Outcome {
    page.set_viewport(1280, 704)?;
    let found = page.execute(
        "const margin = document.querySelector('.margin');
         const faults = [];
         for (const row of margin.querySelectorAll('li')) {
             const box = row.getBoundingClientRect();
             if (box.bottom > innerHeight) faults.push('below: ' + row.textContent);
             if (box.height > 44) faults.push('two lines: ' + row.textContent);
             const ring = row.querySelector('svg')?.getBoundingClientRect();
             const name = row.querySelector('.name').getBoundingClientRect();
             if (ring && ring.right > name.left) faults.push('ring over: ' + row.textContent);
         }
         const list = margin.querySelector('ol');
         if (list.scrollHeight > list.clientHeight + 1) faults.push('it scrolls');
         return [margin.querySelectorAll('li').length, faults, margin.textContent];",
        json!([]),
    )?;
    page.set_viewport(1280, 800)?;
    assert_eq!(found[0], 16);
    assert_eq!(found[1], json!([]));
    let text = found[2].as_str().unwrap_or_default();
    assert!(text.contains(" entered"), "{text}");
    Ok(())
}

pub fn the_foot_waits_until_the_verdict_is_gone(page: &Page) -> Outcome {
    let foot = page.find(".foot")?;
    assert!(!foot.is_shown()?);
    let headline = page.find(".verdict")?.text()?;
    page.execute("scrollTo(0, document.body.scrollHeight)", json!([]))?;
    page.wait_until("the foot says the headline", || {
        Ok(foot.is_shown()? && foot.text()?.contains(&headline))
    })?;
    page.execute("scrollTo(0, 0)", json!([]))?;
    page.wait_until("the foot is gone", || Ok(!foot.is_shown()?))
}

pub fn a_phone_shows_the_verdict_first(page: &Page) -> Outcome {
    page.open_in_frame(360, 640, "")?;
    page.find_by_role("heading", "Model-railway turntable")?;
    let found = page.execute(
        "const verdict = document.querySelector('.verdict').getBoundingClientRect();
         const fields = [...document.querySelectorAll('.drive-line .figure')].map(f => parseFloat(getComputedStyle(f).fontSize));
         const line = document.querySelector('.drive-line');
         return [verdict.bottom, Math.min(...fields), line.scrollWidth - line.clientWidth];",
        json!([]),
    )?;
    assert!(
        found[0].as_f64().is_some_and(|bottom| bottom < 640.0),
        "{found}"
    );
    assert!(
        found[1].as_f64().is_some_and(|size| size >= 12.0),
        "{found}"
    );
    assert!(found[2].as_f64().is_some_and(|over| over <= 0.0), "{found}");
    Ok(())
}

/// Where every blank stands.
fn places(page: &Page) -> Result<Value> {
    page.execute(
        "return [...document.querySelectorAll('.sentence .slot')].map(slot => {
             const box = slot.getBoundingClientRect();
             return [Math.round(box.left), Math.round(box.top + scrollY)];
         });",
        json!([]),
    )
}

pub fn typing_moves_no_blank(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    let field = page.find("#s-motor-no_load_speed")?;
    field.click()?;
    let before = places(page)?;
    for key in ["1", "2", "0"] {
        field.type_text(key)?;
        assert_eq!(places(page)?, before, "after {key}");
    }
    Ok(())
}
