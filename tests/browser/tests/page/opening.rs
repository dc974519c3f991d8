//! What is there when the page is opened, and what is still there when it is opened again.

use crate::card;
use anyhow::Context;
use browser::{Outcome, Page, first_screen, root};
use serde_json::json;
use std::fs;

/// The example's teeth, 36:12, 34:13, 38:12, 60:1, make 19380/13 by hand: 3 · 34/13 · 19/6 · 60.
/// Its free play of 0.16° at a radius of 155 mm is an arc of 0.4328 mm.
pub fn the_first_opening_shows_the_turntable(page: &Page) -> Outcome {
    page.find_by_role("heading", "Model-railway turntable")?;
    assert!(card::says(
        page,
        "Example, invented. It misses on purpose: see why."
    )?);
    let verdict = page.find(".verdict")?.text()?;
    assert!(
        verdict.starts_with("It does not do the job yet: "),
        "{verdict}"
    );
    assert!(verdict.contains("position tolerance 0.3 mm"), "{verdict}");
    card::open_station(page, "Gears")?;
    assert_eq!(card::result(page, "gears.exact_ratio")?, "1490.769");
    assert_eq!(card::result(page, "gears.backlash_at_load")?, "0.433 mm");
    card::press(page, "show calculation of Exact gear ratio")?;
    let working = page.find("#r-gears-exact_ratio .working")?.text()?;
    assert!(working.contains("exactly 19380/13"), "{working}");
    Ok(())
}

/// The station that holds the cause in the headline stands open by itself, the others are closed.
pub fn the_station_with_the_cause_is_open(page: &Page) -> Outcome {
    for (station, open) in [
        ("Verdict", "true"),
        ("Gears", "false"),
        ("Motor driver", "false"),
    ] {
        let heading = card::heading(page, station)?;
        assert_eq!(
            heading.attribute("aria-expanded")?.as_deref(),
            Some(open),
            "{station}"
        );
    }
    Ok(())
}

pub fn the_link_follows_what_is_typed(page: &Page) -> Outcome {
    let first = card::wait_for_entry(page, "gears.stages=36:12,34:13,38:12,60:1")?;
    assert!(
        first.starts_with("#pw1;card.title=Model-railway%20turntable;axis.kind=turntable;"),
        "{first}"
    );
    card::open_station(page, "Gears")?;
    page.field("Backlash at the output")?.enter("0.05 deg")?;
    let then = card::wait_for_entry(page, "gears.backlash=0.05deg")?;
    assert_eq!(
        then,
        first.replace("gears.backlash=0.16deg", "gears.backlash=0.05deg")
    );
    Ok(())
}

/// Even what was typed a moment ago, what was refused, and where the card came from.
pub fn a_reload_loses_nothing(page: &Page) -> Outcome {
    card::wait_for_entry(page, "gears.backlash=0.16deg")?;
    page.reload()?;
    assert!(
        card::says(page, "It misses on purpose")?,
        "an example stays one"
    );
    card::open_station(page, "Gears")?;
    page.field("Backlash at the output")?.enter("0,07 °")?;
    let torque = page.field("Gearbox continuous torque")?;
    torque.enter("5 V")?;
    // A driver may be done before the last key has arrived.
    page.wait_until("it is typed", || Ok(torque.value()? == "5 V"))?;
    page.reload()?;
    card::open_station(page, "Gears")?;
    assert_eq!(page.field("Backlash at the output")?.value()?, "0.07°");
    assert_eq!(page.field("Gearbox continuous torque")?.value()?, "5 V");
    assert!(card::message(page, "gears.continuous_torque")?.contains("measures something else"));
    assert!(
        !card::says(page, "It misses on purpose")?,
        "what was worked on is one's own"
    );
    page.open_again("")?;
    assert_eq!(card::title(page)?, "Model-railway turntable");
    card::open_station(page, "Gears")?;
    assert_eq!(page.field("Backlash at the output")?.value()?, "0.07°");
    Ok(())
}

/// The examples are four; each opens complete, with its title, its story and its link.
pub fn every_example_opens(page: &Page) -> Outcome {
    for (title, story, kind) in [
        (
            "Greenhouse vent lever",
            "It holds for hours, and cannot: see why.",
            "arm",
        ),
        (
            "Camera slider",
            "Its batteries sag and its settings round: see where.",
            "belt",
        ),
        (
            "Focus stage",
            "It does its job: see by what margin.",
            "screw",
        ),
        (
            "Model-railway turntable",
            "It misses on purpose: see why.",
            "turntable",
        ),
    ] {
        card::open_example(page, title)?;
        card::wait_for_title(page, title)?;
        assert!(
            card::says(page, &format!("Example, invented. {story}"))?,
            "{title}"
        );
        card::wait_for_entry(page, &format!("axis.kind={kind}"))?;
        card::open_everything(page, true)?;
        card::expect_sound(page, title)?;
    }
    Ok(())
}

/// Firefox keeps whoever compiles from a stream waiting, for seconds now and then: the page compiles what is whole.
pub fn no_stream_keeps_the_program_back(page: &Page) -> Outcome {
    page.open_watched(
        "",
        "for (const way of ['compileStreaming', 'instantiateStreaming']) {
             WebAssembly[way] = () => new Promise(() => {});
         }",
    )?;
    page.find_by_role("heading", "Model-railway turntable")?;
    Ok(())
}

/// What can be read while the program is being unpacked is to the letter and to the pixel what the program shows then.
pub fn what_can_be_read_at_once_stays(page: &Page) -> Outcome {
    let kept = fs::read_to_string(root().join("site/first-screen.html"))?;
    page.open()?;
    assert_eq!(
        first_screen::taken(page)?,
        kept,
        "`cargo xtask screenshots` and `cargo page` take it anew"
    );
    let places = page.execute(
        "const places = sheet => ['h1', '.masthead p', '.ribbon', '.margin .name', '.slot', '.about-blank', '.verdict', '.worst']
             .flatMap(part => [...sheet.querySelectorAll(part)])
             .map(part => [part, part.getBoundingClientRect()])
             .filter(([part, place]) => place.height > 0)
             // A station's name shares its line with how it stands, which what is simulated may change meanwhile.
             .map(([part, place]) => [part.textContent.slice(0, 12), ...[place.x, place.y, (part.matches('.name') ? part.closest('li').getBoundingClientRect() : place).width].map(Math.round)].join(' '));
         const program = document.querySelector('.sheet');
         const then = places(program);
         document.body.insertAdjacentHTML('afterbegin', arguments[0]);
         program.hidden = true;
         program.style.display = 'none';
         return [places(document.getElementById('first-screen')), then];",
        json!([kept]),
    )?;
    let (first, then) = (places[0].as_array(), places[1].as_array());
    let (first, then) = (first.context("no places")?, then.context("no places")?);
    assert!(first.len() > 30, "{first:?}");
    assert_eq!(first, then);
    Ok(())
}

/// Where another design is asked for, or one's own is kept, the example is not shown before it.
pub fn nothing_is_shown_that_goes_again(page: &Page) -> Outcome {
    let seen = |fragment: &str| {
        page.open_watched(
            fragment,
            "window.seen = [];
             new MutationObserver(() => {
                 if (document.getElementById('first-screen')) window.at_once = true;
                 const now = (document.querySelector('h1') || {}).textContent;
                 if (now && !window.seen.includes(now)) window.seen.push(now);
             }).observe(document, { childList: true, subtree: true });",
        )?;
        page.execute("return [!!window.at_once, ...window.seen]", json!([]))
    };
    page.open()?;
    assert_eq!(seen("")?, json!([true, "Model-railway turntable"]));
    assert!(page.find_all("#first-screen")?.is_empty());
    assert_eq!(seen("#pw1;card.title=Lid")?, json!([false, "Lid"]));
    page.execute(
        "localStorage.setItem('pulsewright.card.1', '#pw1;card.title=Vent'); localStorage.setItem('pulsewright.last', '1');",
        json!([]),
    )?;
    assert_eq!(seen("")?, json!([false, "Vent"]));
    Ok(())
}
