//! The card on paper. Chromium's driver prints; `pdftotext` (Poppler) reads what was printed.

use crate::card;
use anyhow::{Context, Result, ensure};
use browser::{Outcome, Page};
use std::fs;
use std::process::Command;

/// The words of a PDF, one blank between them.
pub fn words_of(page: &Page, pdf: &[u8]) -> Result<String> {
    Ok(words(&text_of(page, pdf, false)?))
}

/// The text of a PDF, a form feed behind each page; line by line down the page with `layout`, else as it was written.
fn text_of(page: &Page, pdf: &[u8], layout: bool) -> Result<String> {
    let file = page.folder().join("card.pdf");
    fs::write(&file, pdf)?;
    let read = Command::new("pdftotext")
        .args(["-enc", "UTF-8"])
        .args(layout.then_some("-layout"))
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
    Ok(String::from_utf8(read.stdout)?)
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Asks for the appendix: the browser's own dialogue stays away.
pub fn with_all_figures(page: &Page) -> Outcome {
    page.execute("window.print = () => {};", serde_json::json!([]))?;
    card::press(page, "Print with all figures")
}

pub fn the_printed_card_has_every_station(page: &Page) -> Outcome {
    let verdict = page.find(".verdict")?.text()?;
    with_all_figures(page)?;
    let text = words_of(page, &page.print()?)?;
    for part in [
        "Model-railway turntable",
        &verdict,
        "A calculation, not an approval.",
        "where they and this sheet differ, they are right.",
        "What is the exact gear ratio, and how much torque does it transmit?",
        "1490.769",
        "0.433 mm",
        "Does the motor driver (H-bridge) carry the current without overheating?",
    ] {
        assert!(text.contains(&words(part)), "not printed: {part}");
    }
    for part in ["New design", "Copy link", "Undo"] {
        assert!(!text.contains(part), "printed: {part}");
    }
    // On the screen it stands as before.
    let bridge = card::heading(page, "Motor driver")?;
    assert_eq!(bridge.attribute("aria-expanded")?.as_deref(), Some("false"));
    Ok(())
}

/// What to set, what to fit, the bench sheet with blank lines, the order and the link stand on paper of
/// either size, nothing of it cut off, in few pages, in ink on white.
pub fn the_build_sheet_fits_both_papers(page: &Page) -> Outcome {
    for (name, width, height, most) in [("A4", 21.0, 29.7, 4), ("Letter", 21.59, 27.94, 4)] {
        let pdf = page.print_on(width, height)?;
        let text = words_of(page, &pdf)?;
        for part in [
            "Settings for firmware and step/dir controller",
            "To fit",
            "Bench tests",
            "First power-up.",
            "begin at half the voltage",
            "Winding resistance, measured",
            "between 6.14 and 8.3 Ω",
            "Order checklist",
            "second sensor at 30°, 90°, 150°, 210°, 270°, 330°",
            "This design as a link",
            "axis.kind=turntable",
            "Model-railway turntable",
        ] {
            assert!(text.contains(&words(part)), "{name} lacks: {part}");
        }
        // No page ends with a heading.
        let rule = page.execute(
            "return document.adoptedStyleSheets[0].cssRules[0].cssText",
            serde_json::json!([]),
        )?;
        let rule = rule.as_str().unwrap_or_default();
        for part in ["Model-railway turntable", "counter(pages)"] {
            assert!(rule.contains(part), "not on every page: {part}: {rule}");
        }
        let pages = text_of(page, &pdf, true)?;
        let second = pages.split('\u{c}').nth(1).unwrap_or_default();
        assert!(
            second.contains("Bench tests"),
            "{name}: the bench tests stand on the second page"
        );
        let headings = page.find_all(".first-page h3")?;
        for heading in headings {
            let heading = heading.text()?;
            if heading.is_empty() {
                continue;
            }
            let left = |page: &str| page.trim_end().ends_with(&heading);
            assert!(
                !pages.split('\u{c}').any(left),
                "{name} leaves at the foot of a page: {heading}"
            );
        }
        // Only on the screen: ways, words, leaves that are closed.
        for part in [
            "How many motor turns make exactly one turn",
            "Same motor, another gearbox",
            "Use this reading",
        ] {
            assert!(!text.contains(part), "{name} has: {part}");
        }
        let file = page.folder().join("card.pdf");
        let info = Command::new("pdfinfo").arg(&file).output()?;
        let info = String::from_utf8(info.stdout)?;
        let pages = info.lines().find_map(|l| l.strip_prefix("Pages:"));
        let pages: usize = pages.context("no page count")?.trim().parse()?;
        assert!((2..=most).contains(&pages), "{name}: {pages} pages");
        let stem = page.folder().join("page");
        let drawn = Command::new("pdftoppm")
            .args(["-r", "20", "-gray"])
            .arg(&file)
            .arg(&stem)
            .status()?;
        ensure!(drawn.success(), "pdftoppm could not draw what was printed");
        for entry in fs::read_dir(page.folder())? {
            let path = entry?.path();
            if path.extension().is_none_or(|e| e != "pgm") {
                continue;
            }
            let picture = fs::read(&path)?;
            let dark = picture.iter().filter(|grey| **grey < 128).count();
            assert!(
                dark * 6 < picture.len(),
                "{name}: {} is dark: {dark} of {}",
                path.display(),
                picture.len()
            );
            fs::remove_file(path)?;
        }
    }
    Ok(())
}
