//! The card on paper. Chromium's driver prints; `pdftotext` (Poppler) reads what was printed.

use crate::card;
use anyhow::{Context, ensure};
use browser::{Outcome, Page};
use std::fs;
use std::process::Command;

pub fn the_printed_card_has_every_station(page: &Page) -> Outcome {
    let verdict = page.find(".verdict")?.text()?;
    let pdf = page.print()?;
    let file = page.folder().join("card.pdf");
    fs::write(&file, pdf)?;
    let read = Command::new("pdftotext")
        .args(["-enc", "UTF-8"])
        .arg(&file)
        .arg("-")
        .output()
        .context(
            "pdftotext is not here; `cargo verify` installs it or says how (Debian: poppler-utils)",
        )?;
    ensure!(
        read.status.success(),
        "pdftotext could not read what was printed"
    );
    let text = String::from_utf8(read.stdout)?;
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let text = words(&text);
    for part in [
        "Model-railway turntable",
        &verdict,
        "A calculation, not an approval.",
        "where they and this sheet differ, they are right.",
        "How many motor turns make exactly one turn, and how much gets through?",
        "1490.769",
        "0.4328 mm",
        "Does the driver carry the current without cooking?",
    ] {
        assert!(text.contains(&words(part)), "not printed: {part}");
    }
    for part in ["Start mine", "Copy link", "Undo"] {
        assert!(!text.contains(part), "printed: {part}");
    }
    // On the screen it stands as before.
    let bridge = card::heading(page, "Bridge")?;
    assert_eq!(bridge.attribute("aria-expanded")?.as_deref(), Some("false"));
    Ok(())
}
