//! The card, in the words of a person who works on it.

use anyhow::{Context, Result};
use browser::{Element, Outcome, Page};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What stands in places of the card, by their element ids.
pub type Places = BTreeMap<String, String>;

/// The button in a station's heading, which opens and closes it.
pub fn heading<'page>(page: &'page Page, station: &str) -> Result<Element<'page>> {
    page.find_by_role_beginning("heading", station)?
        .part("button")
}

/// Opens a station, if it is not open yet.
pub fn open_station(page: &Page, station: &str) -> Outcome {
    // A station that is not clear opens by itself at the start: a press may come in between and close it.
    page.wait_until(&format!("{station} is open"), || {
        let button = heading(page, station)?;
        let open = button.attribute("aria-expanded")?.as_deref() == Some("true");
        if !open {
            button.click()?;
        }
        Ok(open)
    })?;
    // Beside the deciding figures all others stand in a table that is folded.
    let id = station.to_lowercase().replace(' ', "-");
    let folded = format!("#{id} .all-figures > button[aria-expanded=false]");
    if let Some(fold) = page.find_all(&folded)?.into_iter().next() {
        fold.click()?;
    }
    Ok(())
}

/// Opens an example from the list of them.
pub fn open_example(page: &Page, title: &str) -> Outcome {
    if page.find_all(".panel ul.examples")?.is_empty() {
        press(page, "Examples")?;
    }
    press(page, title)
}

/// Opens every station and every "rest"; with `workings` also the working of every result.
pub fn open_everything(page: &Page, workings: bool) -> Outcome {
    let mut closed =
        ".station:not(.leaf) h2 button[aria-expanded=false], .rest > button[aria-expanded=false]"
            .to_owned();
    if workings {
        closed += ", .calculation[aria-expanded=false]:not([hidden])";
    }
    page.wait_until("everything is open", || {
        let script = "const closed = [...document.querySelectorAll(arguments[0])];
            closed.forEach(button => button.click());
            return closed.length;";
        Ok(page.execute(script, json!([closed]))? == 0)
    })
}

/// Waits for what takes longer than a keystroke: the simulated move, and remedies one after the other.
pub fn wait_until_worked_out(page: &Page) -> Outcome {
    page.wait_until("nothing is being worked out", || {
        let script = "return [...document.querySelectorAll('.cure, .result strong')]
            .every(part => !['…', 'being simulated …'].includes(part.textContent));";
        Ok(page.execute(script, json!([]))? == true)
    })
}

/// The same where every station is open, and for what is sought once nobody types: the greatest load, and ranges.
pub fn wait_until_at_rest(page: &Page) -> Outcome {
    wait_until_worked_out(page)?;
    page.wait_until("the page rests", || {
        let script = "return [...document.querySelectorAll('.result .range')].some(range => range.textContent)";
        Ok(page.execute(script, json!([]))? == true)
    })
}

/// The field of an input, by its id in the register.
pub fn field<'page>(page: &'page Page, id: &str) -> Result<Element<'page>> {
    page.find(&format!("#f-{}", id.replace('.', "-")))
}

/// The message under a field.
pub fn message(page: &Page, id: &str) -> Result<String> {
    page.find(&format!("#f-{}-message", id.replace('.', "-")))?
        .text()
}

/// What a result shows, by its id in the register.
pub fn result(page: &Page, id: &str) -> Result<String> {
    page.find(&format!("#r-{} strong", id.replace('.', "-")))?
        .text()
}

/// Waits until a result shows this.
pub fn wait_for_result(page: &Page, id: &str, text: &str) -> Outcome {
    page.find(&format!("#r-{} strong", id.replace('.', "-")))?
        .wait_for_text(text)
        .with_context(|| id.to_owned())
}

/// What all results show that are there, absent ones left out.
pub fn results(page: &Page) -> Result<Places> {
    page.wait_until("nothing is being simulated", || {
        let script = "return [...document.querySelectorAll('.result strong')]
            .every(value => value.textContent !== 'being simulated …');";
        Ok(page.execute(script, json!([]))? == true)
    })?;
    places(
        page,
        "return [...document.querySelectorAll('.result:not(.absent)')]
            .map(result => [result.id, result.querySelector('strong').textContent]);",
    )
}

/// What stands in every field.
pub fn fields(page: &Page) -> Result<Places> {
    places(
        page,
        "return [...document.querySelectorAll('.field input[id^=f-], .field select[id^=f-]')]
            .map(field => [field.id, field.value]);",
    )
}

/// What stands beside and under fields and results, in checks, findings and headings; without what is worked out once
/// nobody types.
pub fn said(page: &Page) -> Result<Places> {
    places(
        page,
        "const parts = '.station h2, .field, .result, .checks li, .finding, .readings li, .order li';
         return [...document.querySelectorAll(parts)].map((part, at) => {
             const copy = part.cloneNode(true);
             for (const later of copy.querySelectorAll('.cure, .cures, .working, .more, .range, .limits-of, .says, option')) later.remove();
             const shown = part.closest('[hidden]') ? 'hidden ' : '';
             return [String(at), shown + part.className.replace(' in-hand', '') + ' ' + copy.textContent];
         });",
    )
}

/// Enters a text, or chooses a word, in the field of an input.
pub fn enter(page: &Page, id: &str, text: &str) -> Outcome {
    let field = field(page, id)?;
    match field.role()?.as_str() {
        "combobox" => field.choose(text),
        _ => field.enter(text),
    }
}

fn places(page: &Page, script: &str) -> Result<Places> {
    let found = page.execute(script, json!([]))?;
    let text = |value: &Value| value.as_str().map(str::to_owned);
    Ok(found
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|pair| Some((text(&pair[0])?, text(&pair[1])?)))
        .collect())
}

/// The link in the address bar.
pub fn link(page: &Page) -> Result<String> {
    let hash = page.execute("return location.hash", json!([]))?;
    Ok(hash.as_str().unwrap_or_default().to_owned())
}

/// The entries of the link in the address bar; it follows at most twice a second.
pub fn wait_for_link(page: &Page, what: &str, holds: impl Fn(&str) -> bool) -> Result<String> {
    let mut last = String::new();
    page.wait_until(&format!("the link {what}"), || {
        last = link(page)?;
        Ok(holds(&last))
    })
    .with_context(|| format!("the link was {last}"))?;
    Ok(last)
}

/// Waits until the link holds this entry, for example `motor.stall_current=1.1A`.
pub fn wait_for_entry(page: &Page, entry: &str) -> Result<String> {
    wait_for_link(page, &format!("holds {entry}"), |link| {
        link.split(';').any(|part| part == entry)
    })
}

/// Everything that can be read on the page, what stands in fields as well.
pub fn text(page: &Page) -> Result<String> {
    let text = page.execute(
        // What is out of sight is not laid out, and not text to every engine.
        "const bodies = [...document.querySelectorAll('.station > .body')];
         for (const body of bodies) body.style.contentVisibility = 'visible';
         const text = document.body.innerText + ' ' + [...document.querySelectorAll('input, select')]
            .map(field => field.value).join(' ');
         for (const body of bodies) body.style.contentVisibility = '';
         return text;",
        json!([]),
    )?;
    Ok(text.as_str().unwrap_or_default().to_owned())
}

/// Nothing that a machine says in place of a number may be read on the page.
pub fn expect_sound(page: &Page, after: &str) -> Outcome {
    let text = text(page)?;
    let words = ["nan", "inf", "infinity", "undefined", "null", "object", "∞"];
    let bad = text
        .split(|letter: char| !letter.is_alphanumeric() && letter != '∞')
        .find(|word| words.contains(&word.to_lowercase().as_str()));
    anyhow::ensure!(bad.is_none(), "after {after} the page says {bad:?}");
    Ok(())
}

/// Presses a button by its name.
pub fn press(page: &Page, name: &str) -> Outcome {
    page.find_by_role("button", name)?.click()
}

/// The title of the card.
pub fn title(page: &Page) -> Result<String> {
    page.find("h1")?.text()
}

/// Waits until the card has this title: the program's card, not the picture that stands before it while it is unpacked.
pub fn wait_for_title(page: &Page, title: &str) -> Outcome {
    let mut last = Value::Null;
    let there = page.wait_until("the card has its title", || {
        last = page.execute(
            "const heading = document.querySelector('h1');
             return heading && !heading.closest('#first-screen') ? heading.innerText : null;",
            json!([]),
        )?;
        Ok(last == title)
    });
    there.with_context(|| format!("expected {title:?}, saw {last}"))
}

/// Whether somewhere on the page a paragraph or a line reads so.
pub fn says(page: &Page, words: &str) -> Result<bool> {
    Ok(text(page)?.contains(words))
}
