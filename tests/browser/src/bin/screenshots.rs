//! The pictures of the README and the first screen that the packed page opens with, taken of the packed page in Chromium.
//! Called by `cargo xtask screenshots`.

use anyhow::{Context, Result, ensure};
use browser::{Engine, Page, Scheme, first_screen, packed_page, root};
use serde_json::json;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::thread;
use std::time::Duration;

/// What is searched in slices and drawn after a pause stands by then.
const REST: Duration = Duration::from_secs(3);

fn main() -> Result<()> {
    let folder = root().join("site/pictures");
    fs::create_dir_all(&folder)?;
    let page = Page::start(Engine::Chromium, &packed_page())?;
    page.open()?;
    fs::write(
        root().join("site/first-screen.html"),
        first_screen::taken(&page)?,
    )?;
    for (scheme, name) in [(Scheme::Light, "light"), (Scheme::Dark, "dark")] {
        page.prefer(scheme)?;
        page.set_viewport(1280, 800)?;
        page.open()?;
        thread::sleep(REST);
        keep(
            &page.screenshot("first")?,
            &folder,
            &format!("first-{name}"),
        )?;
        show(&page, "motor-on-this-supply")?;
        keep(
            &page.screenshot("station")?,
            &folder,
            &format!("station-{name}"),
        )?;
        page.open_in_frame(360, 740, "")?;
        thread::sleep(REST);
        page.enter_frame(None)?;
        keep(
            &page.find("iframe")?.screenshot("phone")?,
            &folder,
            &format!("phone-{name}"),
        )?;
    }
    page.prefer(Scheme::Light)?;
    page.set_viewport(1280, 800)?;
    page.open()?;
    thread::sleep(REST);
    let pdf = page.folder().join("printed.pdf");
    fs::write(&pdf, page.print_on(21.0, 29.7)?)?;
    let drawn = Command::new("pdftoppm")
        .args(["-r", "70", "-png", "-l", "2"])
        .arg(&pdf)
        .arg(folder.join("print"))
        .status()
        .context("pdftoppm is not here (Debian: poppler-utils)")?;
    ensure!(drawn.success(), "pdftoppm could not draw what was printed");
    println!("the pictures are in {}", folder.display());
    Ok(())
}

/// Opens a station and brings it to the top of the window.
fn show(page: &Page, station: &str) -> Result<()> {
    page.execute(
        "const heading = document.getElementById(arguments[0] + '-heading');
         if (heading.getAttribute('aria-expanded') === 'false') heading.click();
         heading.scrollIntoView();",
        json!([station]),
    )?;
    // What was out of sight gets its height once it is near: the heading is at the top the second time.
    for _ in 0..2 {
        thread::sleep(REST);
        page.execute(
            "document.getElementById(arguments[0] + '-heading').scrollIntoView();",
            json!([station]),
        )?;
    }
    Ok(())
}

fn keep(picture: &Path, folder: &Path, name: &str) -> Result<PathBuf> {
    let kept = folder.join(format!("{name}.png"));
    fs::copy(picture, &kept)?;
    Ok(kept)
}
