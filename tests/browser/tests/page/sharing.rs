//! A design that is changed, understood, and handed on.

use crate::card;
use anyhow::{Result, ensure};
use browser::{Outcome, Page, keys};
use serde_json::json;

/// Ohm's law by hand: 6 V over 0.85 A is 7.059 Ω, over 1.2 A it is 5 Ω.
pub fn another_motor_changes_what_rests_on_it_and_says_why(page: &Page) -> Outcome {
    card::open_station(page, "Motor")?;
    card::open_station(page, "Gears")?;
    assert_eq!(card::result(page, "motor.resistance")?, "7.06 Ω");
    let (ratio, counts) = (
        "gears.exact_ratio",
        card::result(page, "gears.exact_ratio")?,
    );
    card::press(page, "show calculation of Winding resistance")?;
    let working = page.find("#r-motor-resistance .working")?;
    assert!(working.text()?.contains("Source: "));

    page.field("Stall current")?.enter("1.2 A")?;
    card::wait_for_result(page, "motor.resistance", "5 Ω")?;
    assert_eq!(card::result(page, ratio)?, counts, "teeth know no current");

    let formulas = page.find_all("#r-motor-resistance .working math")?;
    assert_eq!(formulas.len(), 2, "in symbols, and with the numbers put in");
    let numbers = formulas[1].text()?;
    assert!(
        numbers.contains('6') && numbers.contains("1.2"),
        "{numbers}"
    );
    let words = working.text()?;
    for part in ["Rated voltage 6 V", "Stall current 1.2 A", "Source: "] {
        assert!(words.contains(part), "{part} is missing: {words}");
    }
    Ok(())
}

/// What the button hands out: pasted where it was copied to, else what it says to take.
fn copied_link(page: &Page) -> Result<String> {
    card::press(page, "Copy link")?;
    let mut label = String::new();
    page.wait_until("the button has done it", || {
        label = page.find(".tools .copy button")?.text()?;
        Ok(label != "Copy link")
    })?;
    if label != "Copied" {
        ensure!(label == "Take it from the address bar", "{label}");
        return card::wait_for_link(page, "follows", |link| link.len() > 4);
    }
    card::press(page, "Title, note, revision")?;
    let note = page.field("Note")?;
    note.type_text(&[keys::CONTROL, "v"].concat())?;
    let pasted = note.value()?;
    note.fill("")?;
    Ok(pasted)
}

pub fn a_copied_link_shows_somebody_else_the_same(page: &Page) -> Outcome {
    card::open_station(page, "Motor")?;
    page.field("Stall current")?.enter("1,2 A ± 5 %")?;
    page.field("Rated voltage")?.enter("5 V")?;
    card::wait_for_entry(page, "motor.rated_voltage=5V")?;
    let link = copied_link(page)?;
    ensure!(link.contains("motor.stall_current=1.2A~5pct"), "{link}");
    card::open_everything(page, false)?;
    let here = card::results(page)?;
    assert!(here.len() > 100, "{}", here.len());
    assert_eq!(here["r-motor-resistance"], "4.17 Ω");

    page.open_with(&link)?;
    card::open_everything(page, false)?;
    assert_eq!(card::results(page)?, here);
    assert!(card::says(page, "From a link.")?);
    Ok(())
}

/// After any number of entries, wherever the page stood then, it says what the link says to somebody who opens it
/// anew: every field, result, check and finding.
pub fn entries_leave_what_a_fresh_opening_shows(page: &Page) -> Outcome {
    page.open()?;
    card::open_everything(page, false)?;
    for (id, text) in [
        ("gears.backlash", "0.3 deg"),
        ("motor.stall_current", "0.8 A ± 5 %"),
        ("axis.kind", "arm"),
        ("supply.voltage", "5.5 V"),
        ("axis.load_mass", "120 g"),
        ("motor.stall_torque", "5 V"),
        ("gears.stages", "48/12 60/10 50/10"),
        ("move.time", "3.5 s"),
        ("regulator.kind", "buck"),
        ("gears.backlash", ""),
    ] {
        card::enter(page, id, text)?;
    }
    let entry = "move.time=3.5s";
    let link = card::wait_for_entry(page, entry)?;
    ensure!(link.contains("stall_current=0.8A~5pct"), "{link}");
    card::wait_until_at_rest(page)?;
    // What is out of sight follows after what is in sight: until nothing changes any more.
    let mut said = card::said(page)?;
    page.wait_until("everything has followed", || {
        std::thread::sleep(page.moment());
        let before = std::mem::replace(&mut said, card::said(page)?);
        Ok(before == said)
    })?;
    let (fields, results) = (card::fields(page)?, card::results(page)?);
    assert!(said.len() > 40, "{}", said.len());

    page.open_with(&link)?;
    card::open_everything(page, false)?;
    card::wait_until_at_rest(page)?;
    assert_eq!(card::results(page)?, results);
    assert_eq!(card::fields(page)?, fields);
    let only = |here: &card::Places, there: &card::Places| {
        let words = here
            .values()
            .filter(|words| !there.values().any(|w| w == *words));
        words.cloned().collect::<Vec<String>>()
    };
    let mut fresh = card::said(page)?;
    let same = page.wait_until("the same is said", || {
        fresh = card::said(page)?;
        Ok(only(&said, &fresh).is_empty() && only(&fresh, &said).is_empty())
    });
    assert_eq!(only(&said, &fresh), only(&fresh, &said));
    same
}

const THEIRS: &str = "#pw1;card.title=Theirs;gears.ratio=50";

pub fn a_link_leaves_ones_own_card_alone(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Gears")?;
    page.field("Gear ratio")?.enter("298")?;
    card::wait_for_entry(page, "gears.ratio=298")?;

    page.open_again(THEIRS)?;
    assert_eq!(card::title(page)?, "Theirs");
    card::open_station(page, "Gears")?;
    page.field("Backlash at the output")?.enter("1 deg")?;
    card::wait_for_entry(page, "gears.backlash=1deg")?;
    card::press(page, "Back to my design")?;
    card::wait_for_link(page, "is mine again", |link| link == "#pw1;gears.ratio=298")?;
    // What was on the card before is one step back.
    card::press(page, "Undo")?;
    card::wait_for_title(page, "Theirs")?;

    page.open_again("")?;
    card::wait_for_link(page, "is mine still", |link| link == "#pw1;gears.ratio=298").map(drop)
}

pub fn a_link_can_be_kept_as_ones_own(page: &Page) -> Outcome {
    page.open_with(THEIRS)?;
    assert!(card::says(page, "From a link.")?);
    card::press(page, "Save a copy")?;
    page.wait_until("it is mine", || Ok(!card::says(page, "From a link.")?))?;
    card::wait_for_entry(page, "gears.ratio=50")?;
    page.reload()?;
    page.open_again("")?;
    assert_eq!(card::title(page)?, "Theirs");
    assert!(!card::says(page, "From a link.")?);
    Ok(())
}

/// Somebody pastes a link over the address while the page is open: nothing is loaded, the card changes.
pub fn a_link_pasted_into_the_address_is_opened(page: &Page) -> Outcome {
    page.navigate(&format!("{}{THEIRS}", page.address()))?;
    card::wait_for_title(page, "Theirs")?;
    card::press(page, "Undo")?;
    card::wait_for_title(page, "Model-railway turntable")
}

/// A link that was escaped on its way, pasted over the address of an open page.
pub fn an_escaped_link_pasted_into_the_address_is_opened(page: &Page) -> Outcome {
    page.open()?;
    for escaped in [
        "#%23pw1%3Bcard.title%3DEscaped%2520once",
        "#%2523pw1%253Bcard.title%253DEscaped%252520twice",
    ] {
        page.execute("location.hash = arguments[0]", json!([escaped]))?;
        let title = if escaped.starts_with("#%25") {
            "Escaped twice"
        } else {
            "Escaped once"
        };
        card::wait_for_title(page, title)?;
    }
    Ok(())
}

/// Between the paste and the news of it the page may keep its own card; the address stays as it was pasted.
pub fn a_link_pasted_while_the_card_is_kept_is_opened(page: &Page) -> Outcome {
    page.open()?;
    page.execute(
        "location.hash = arguments[0];
         // What keeps the card now, and by itself twice a second.
         window.dispatchEvent(new Event('pagehide'));",
        json!([THEIRS]),
    )?;
    card::wait_for_title(page, "Theirs")
}
