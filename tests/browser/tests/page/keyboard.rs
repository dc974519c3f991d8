//! The keyboard alone, and what is spoken.

use crate::card;
use browser::{Outcome, Page, keys};
use serde_json::json;

/// Presses Tab until something with this name has the keyboard.
fn tab_to(page: &Page, name: &str) -> Outcome {
    for _ in 0..400 {
        page.press(keys::TAB)?;
        let focused = page.focused()?;
        let label: String = focused.label()?.split_whitespace().collect();
        if label.starts_with(&name.replace(' ', "")) {
            return Ok(());
        }
    }
    anyhow::bail!("Tab never came to {name}")
}

pub fn a_value_is_entered_without_a_mouse(page: &Page) -> Outcome {
    page.open_with("#pw1;gears.ratio=380")?;
    tab_to(page, "Gears,")?;
    if page.focused()?.attribute("aria-expanded")?.as_deref() == Some("false") {
        page.press(keys::ENTER)?;
    }
    tab_to(page, "Ratio, motor turns per output turn")?;
    page.press(keys::DELETE)?;
    page.focused()?.fill("298")?;
    page.press(keys::TAB)?;
    assert_ne!(
        page.focused()?.attribute("id")?.as_deref(),
        Some("f-gears-ratio")
    );
    card::wait_for_result(page, "gears.exact_ratio", "298")?;
    card::wait_for_entry(page, "gears.ratio=298").map(drop)
}

pub fn a_station_opens_with_enter(page: &Page) -> Outcome {
    let heading = card::heading(page, "Bridge")?;
    for (key, open) in [(keys::ENTER, "true"), (" ", "false"), (keys::ENTER, "true")] {
        heading.type_text(key)?;
        page.wait_until(&format!("aria-expanded is {open}"), || {
            Ok(heading.attribute("aria-expanded")?.as_deref() == Some(open))
        })?;
        assert_eq!(page.find("#bridge-body")?.is_shown()?, open == "true");
    }
    Ok(())
}

/// WCAG 2.2, criterion 2.4.1: a way past what repeats.
pub fn the_first_stop_skips_to_the_card(page: &Page) -> Outcome {
    page.open_with("#pw1;card.title=Theirs;gears.ratio=50")?;
    page.press(keys::TAB)?;
    let skip = page.focused()?;
    assert_eq!(skip.label()?, "To the card");
    assert!(skip.is_shown()?);
    let left = page.execute(
        "return document.activeElement.getBoundingClientRect().left",
        json!([]),
    )?;
    assert!(left.as_f64().is_some_and(|left| left >= 0.0), "{left}");
    page.press(keys::ENTER)?;
    page.press(keys::TAB)?;
    let inside = page.execute(
        "return document.querySelector('main').contains(document.activeElement)",
        json!([]),
    )?;
    assert_eq!(inside, true);
    // The design is still there: a place on the page is no link to another card.
    page.find_by_role("heading", "Theirs")?;
    page.reload()?;
    page.find_by_role("heading", "Theirs").map(drop)
}

/// WCAG 2.2, criteria 2.4.7 and 2.4.11: what has the keyboard is seen, and not behind the foot.
pub fn what_has_the_keyboard_can_be_seen(page: &Page) -> Outcome {
    for stop in 0..70 {
        page.press(keys::TAB)?;
        let seen = page.execute(
            "const element = document.activeElement;
             const style = getComputedStyle(element);
             const box = element.getBoundingClientRect();
             const foot = document.querySelector('.foot').getBoundingClientRect();
             const marked = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 1;
             const free = element.closest('.foot') !== null || (box.top < foot.top && box.bottom > 0);
             return marked && free ? '' : element.outerHTML.slice(0, 200) + ' ' + style.outline + ' ' + box.top + ' ' + foot.top;",
            json!([]),
        )?;
        assert_eq!(seen, "", "stop {stop}");
    }
    Ok(())
}

/// The region is spoken when it changes: when the worst stamp does, not with every digit.
pub fn changes_are_spoken_when_the_worst_stamp_changes(page: &Page) -> Outcome {
    card::open_station(page, "Gears")?;
    card::open_station(page, "Axis")?;
    page.execute(
        "window.spoken = [];
         document.querySelectorAll('[role=status], [role=alert], [aria-live]').forEach(region =>
             new MutationObserver(() => window.spoken.push(region.textContent))
                 .observe(region, { childList: true, characterData: true, subtree: true }));",
        json!([]),
    )?;
    let spoken = || page.execute("return window.spoken", json!([]));
    page.field("Free play at the output")?.enter("0.17 deg")?;
    assert_eq!(spoken()?, json!([]), "it was under before, and is");
    assert_eq!(
        page.execute(
            "return document.querySelector('body > [role=status]').textContent",
            json!([])
        )?,
        "Verdict under"
    );
    page.field("Error that is allowed")?.enter("30 mm")?;
    page.wait_until("the change is spoken", || Ok(spoken()? != json!([])))?;
    let said = spoken()?;
    let said = said.as_array().map_or(&[][..], Vec::as_slice);
    assert!(said.len() <= 3, "{said:?}");
    assert_ne!(
        said.last().and_then(|last| last.as_str()),
        Some("Verdict under")
    );
    Ok(())
}
