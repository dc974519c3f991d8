//! The first screen as the program makes it, for `site/first-screen.html`: a person reads it while the program is unpacked.

use crate::page::Page;
use anyhow::{Context, Result, ensure};
use serde_json::json;

/// Takes the first screen down in the moment in which it is put into the document: what is searched and simulated
/// comes later. Nobody can do anything with it: names and what is hidden are left out.
const TAKER: &str = "
new MutationObserver((changes, observer) => {
    const shown = document.querySelector('.sheet:not(#first-screen)');
    if (!shown) return;
    observer.disconnect();
    const taken = shown.cloneNode(true);
    const taken_entries = taken.querySelectorAll('input, select');
    shown.querySelectorAll('input, select').forEach((entry, at) => {
        if (entry.options) taken_entries[at].options[entry.selectedIndex].setAttribute('selected', '');
        else if (entry.value) taken_entries[at].setAttribute('value', entry.value);
    });
    taken.querySelectorAll('[hidden], .unseen, .picture, .first-page, .quiet-line, main > :not(header)').forEach(part => part.remove());
    taken.querySelectorAll('header > div:empty').forEach(part => part.remove());
    for (const part of [taken, ...taken.querySelectorAll('*')]) {
        for (const name of part.getAttributeNames()) {
            if (/^(aria-.*|id|role|for|tabindex|autocomplete|autocapitalize|spellcheck|data-.*)$/.test(name)) part.removeAttribute(name);
        }
        if (part.getAttribute('class') === '') part.removeAttribute('class');
    }
    taken.id = 'first-screen';
    taken.inert = true;
    // A line break within a tag is none in the text.
    window.taken = taken.outerHTML.replace(/<(li|p|h1|header|span class=\"slot\")(?=[ >])/g, '<$1\\n');
}).observe(document, { childList: true, subtree: true });";

/// Opens the page and takes down what it shows first.
pub fn taken(page: &Page) -> Result<String> {
    page.open_watched("", TAKER)?;
    let taken = page.execute("return window.taken", json!([]))?;
    let taken = taken.as_str().context("nothing was taken down")?;
    ensure!(!taken.contains("<script"), "a script was taken down");
    Ok(format!("{taken}\n"))
}
