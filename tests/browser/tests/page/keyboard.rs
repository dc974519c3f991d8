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
    tab_to(page, "Gear ratio")?;
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
    let heading = card::heading(page, "Motor driver")?;
    for (key, open) in [(keys::ENTER, "true"), (" ", "false"), (keys::ENTER, "true")] {
        heading.type_text(key)?;
        page.wait_until(&format!("aria-expanded is {open}"), || {
            Ok(heading.attribute("aria-expanded")?.as_deref() == Some(open))
        })?;
        assert_eq!(page.find("#motor-driver-body")?.is_shown()?, open == "true");
    }
    Ok(())
}

/// WCAG 2.2, criterion 2.4.1: a way past what repeats.
pub fn the_first_stop_skips_to_the_card(page: &Page) -> Outcome {
    page.open_with("#pw1;card.title=Theirs;gears.ratio=50")?;
    page.press(keys::TAB)?;
    let skip = page.focused()?;
    assert_eq!(skip.label()?, "To the design");
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
             const bar = document.querySelector('.foot');
             const foot = bar.hidden ? { top: innerHeight } : bar.getBoundingClientRect();
             const marked = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 1;
             const free = element.closest('.foot') !== null || (box.top < foot.top && box.bottom > 0);
             return marked && free ? '' : element.outerHTML.slice(0, 200) + ' ' + style.outline + ' ' + box.top + ' ' + foot.top;",
            json!([]),
        )?;
        assert_eq!(seen, "", "stop {stop}");
    }
    Ok(())
}

/// The verdict is spoken when it changes and the design rests: not with every digit.
pub fn a_change_of_the_verdict_is_spoken_once(page: &Page) -> Outcome {
    card::open_station(page, "Gears")?;
    let spoken = || -> anyhow::Result<String> {
        let text = page.execute(
            "return document.getElementById('spoken').textContent",
            json!([]),
        )?;
        Ok(text.as_str().unwrap_or_default().to_owned())
    };
    page.wait_until("the verdict is spoken", || Ok(!spoken()?.is_empty()))?;
    let first = spoken()?;
    assert!(first.starts_with("fails: "), "{first}");
    page.execute(
        "window.spoken = 0;
         new MutationObserver(() => window.spoken += 1).observe(document.getElementById('spoken'),
             { childList: true, characterData: true, subtree: true });",
        json!([]),
    )?;
    card::field(page, "gears.backlash")?.enter("0.17 deg")?;
    page.find("#s-axis-position_tolerance")?.enter("30 mm")?;
    page.wait_until("the change is spoken", || Ok(spoken()? != first))?;
    let times = page.execute("return window.spoken", json!([]))?;
    assert!(times.as_u64().is_some_and(|n| n <= 2), "{times}");
    Ok(())
}

/// Every frame takes long: a letter is painted before what follows from it is computed, and nothing typed is lost.
pub fn on_a_slow_machine_the_letter_comes_first(page: &Page) -> Outcome {
    page.open_with("#pw1;gears.ratio=100")?;
    card::open_station(page, "Gears")?;
    let ratio = page.field("Gear ratio")?;
    ratio.enter("3")?;
    ratio.focus()?;
    page.execute(
        "const pad = document.body.appendChild(document.createElement('div'));
         pad.style.cssText = 'position: fixed; height: 1px';
         // Told of within each frame, after the layout.
         new ResizeObserver(() => {
             for (const end = performance.now() + 60; performance.now() < end;);
         }).observe(pad);
         let width = 1;
         const frame = () => {
             width = 3 - width;
             pad.style.width = `${width}px`;
             requestAnimationFrame(frame);
         };
         requestAnimationFrame(frame);
         const field = document.querySelector('#f-gears-ratio');
         const figure = field.closest('.field').querySelector('.moves');
         window.first = [];
         addEventListener('input', () => {
             const before = figure.textContent;
             requestAnimationFrame(() => window.first.push([field.value, figure.textContent === before]));
         }, true);",
        json!([]),
    )?;
    page.press(keys::END)?;
    for letter in ["0", "0", "1", "2"] {
        page.press(letter)?;
        page.wait_until("the letter is painted, and what follows", || {
            Ok(card::link(page)?.ends_with(&ratio.value()?))
        })?;
    }
    page.press("4")?;
    card::wait_for_entry(page, "gears.ratio=300124")?;
    let first = page.execute("return window.first.at(-1)", json!([]))?;
    assert_eq!(first, json!(["300124", true]), "all of it came at once");

    // The field is left, or taken back, before its last letter is entered.
    page.press(&["5", keys::TAB].concat())?;
    card::wait_for_entry(page, "gears.ratio=3001245")?;
    card::press(page, "Undo")?;
    assert_eq!(ratio.value()?, "3");
    ratio.focus()?;
    page.press(&["7", keys::ESCAPE].concat())?;
    assert_eq!(ratio.value()?, "3");
    std::thread::sleep(page.moment());
    card::wait_for_entry(page, "gears.ratio=3")?;
    // Or the page goes away.
    let kept = page.execute(
        "const field = document.querySelector('#f-gears-ratio');
         field.value = '8';
         field.dispatchEvent(new Event('input', { bubbles: true }));
         dispatchEvent(new Event('pagehide'));
         return location.hash;",
        json!([]),
    )?;
    assert_eq!(kept, "#pw1;gears.ratio=8");
    Ok(())
}
