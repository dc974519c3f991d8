//! The card as a file, out and in again, and what is handed on from it.

use crate::card;
use anyhow::{Context, Result};
use browser::{Outcome, Page};
use serde_json::{Value, json};

/// Keeps what the page hands to the browser as files, instead of the browser's folder for downloads.
const CATCH: &str = "window.caught = [];
    const made = URL.createObjectURL;
    URL.createObjectURL = blob => { window.blob = blob; return made.call(URL, blob); };
    HTMLAnchorElement.prototype.click = function () {
        const name = this.download, kind = window.blob.type;
        window.blob.text().then(text => window.caught.push([name, kind, text]));
    };";

/// Presses a button of the panel and gives the file's name, type and text.
fn saved(page: &Page, button: &str) -> Result<(String, String, String)> {
    let _ = page.execute(CATCH, json!([]))?;
    card::press(page, button)?;
    let mut caught = Value::Null;
    page.wait_until("a file is handed over", || {
        caught = page.execute("return window.caught[0] || null", json!([]))?;
        Ok(!caught.is_null())
    })?;
    let part =
        |at: usize| -> Result<String> { Ok(caught[at].as_str().context("a text")?.to_owned()) };
    Ok((part(0)?, part(1)?, part(2)?))
}

/// Gives the page a file, as its chooser does, or dropped on its heading.
fn give(page: &Page, name: &str, text: &str, dropped: bool) -> Outcome {
    let script = "const [name, text, dropped] = arguments;
        const carried = new DataTransfer();
        carried.items.add(new File([text], name));
        if (dropped) {
            const event = kind => new DragEvent(kind, { dataTransfer: carried, bubbles: true, cancelable: true });
            const heading = document.querySelector('h1');
            return [heading.dispatchEvent(event('dragover')), heading.dispatchEvent(event('drop'))];
        }
        const input = document.querySelector('input[type=file]');
        input.files = carried.files;
        input.dispatchEvent(new Event('change', { bubbles: true }));
        return [];";
    let taken = page.execute(script, json!([name, text, dropped]))?;
    // The browser would leave the page for the file, did the page not take it.
    assert!(!dropped || taken == json!([false, false]), "{taken}");
    Ok(())
}

pub fn what_is_saved_is_what_the_card_says(page: &Page) -> Outcome {
    card::press(page, "Save and export")?;
    // What is simulated moves the buttons; a press would meet the next one.
    card::wait_until_worked_out(page)?;
    let (name, kind, text) = saved(page, "Save this design")?;
    assert_eq!(name, "model-railway-turntable.card.json");
    assert_eq!(kind, "application/json");
    let made: Value = serde_json::from_str(&text)?;
    assert_eq!(made["inputs"]["gears.stages"], "36:12,34:13,38:12,60:1");

    let (name, _, text) = saved(page, "Firmware settings (C header)")?;
    assert_eq!(name, "model-railway-turntable-settings.h");
    assert!(text.contains("#define PW_SAMPLE_US 1000\n"), "{text}");
    let (_, _, text) = saved(page, "Firmware settings (JSON)")?;
    let made: Value = serde_json::from_str(&text)?;
    assert_eq!(made["settings"]["PW_SAMPLE_US"]["value"], 1000);
    let (name, _, text) = saved(page, "Settings (Markdown)")?;
    assert!(
        name.ends_with(".md") && text.contains("`PW_KP_Q16`"),
        "{text}"
    );
    let (_, kind, text) = saved(page, "All results (CSV)")?;
    assert_eq!(kind, "text/csv");
    card::open_station(page, "Gears")?;
    let shown = card::result(page, "gears.exact_ratio")?;
    assert!(text.contains(&format!(",{shown},computed,")), "{shown}");
    let (name, kind, text) = saved(page, "For documentation (Markdown)")?;
    assert_eq!(name, "model-railway-turntable-documentation.md");
    assert_eq!(kind, "text/markdown");
    assert!(text.contains(&format!(">{shown}</pulse-wright>")), "{text}");
    Ok(())
}

pub fn a_saved_card_opens_again(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::press(page, "Save and export")?;
    card::open_station(page, "Gears")?;
    page.field("Gear ratio")?.enter("298")?;
    card::wait_for_entry(page, "gears.ratio=298")?;
    let (name, _, text) = saved(page, "Save this design")?;
    assert_eq!(name, "my-axis.card.json");
    page.field("Gear ratio")?.enter("50")?;
    card::wait_for_entry(page, "gears.ratio=50")?;
    give(page, &name, &text, false)?;
    card::wait_for_entry(page, "gears.ratio=298")?;
    card::press(page, "Undo")?;
    card::wait_for_entry(page, "gears.ratio=50").map(drop)
}

const THEIRS: &str = r#"{"route_card": 1, "inputs": {"card.title": "Theirs", "gears.ratio": 50}}"#;

pub fn a_file_is_dropped_on_the_page(page: &Page) -> Outcome {
    give(page, "theirs.card.json", THEIRS, true)?;
    card::wait_for_title(page, "Theirs")?;
    assert!(card::says(page, "From a file.")?);
    card::wait_for_entry(page, "gears.ratio=50").map(drop)
}

pub fn a_file_leaves_ones_own_card_alone(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Gears")?;
    page.field("Gear ratio")?.enter("298")?;
    card::wait_for_entry(page, "gears.ratio=298")?;
    give(page, "theirs.card.json", THEIRS, true)?;
    card::wait_for_title(page, "Theirs")?;
    card::wait_for_entry(page, "gears.ratio=50")?;
    // Not kept, it leaves one's own card as it was.
    page.open_again("")?;
    card::wait_for_link(page, "is mine still", |link| link == "#pw1;gears.ratio=298")?;

    // Kept, it is another card beside it.
    give(page, "theirs.card.json", THEIRS, true)?;
    card::wait_for_title(page, "Theirs")?;
    card::press(page, "Save a copy")?;
    page.wait_until("it is mine", || Ok(!card::says(page, "From a file.")?))?;
    card::wait_for_entry(page, "gears.ratio=50")?;
    page.open_again("")?;
    assert_eq!(card::title(page)?, "Theirs");
    let kept = page.execute(
        "return Object.entries(localStorage).filter(([name]) => name.startsWith('pulsewright.card.')).map(([, text]) => text).sort()",
        json!([]),
    )?;
    let theirs = "#pw1;card.title=Theirs;gears.ratio=50";
    assert_eq!(kept, json!([theirs, "#pw1;gears.ratio=298"]));
    Ok(())
}

pub fn a_file_that_is_none_is_refused_and_nothing_changes(page: &Page) -> Outcome {
    let before = card::wait_for_link(page, "is there", |link| link.len() > 4)?;
    for (text, expected) in [
        ("{\"route_card\": 1", "no design file"),
        (
            "{\"route_card\": 2, \"inputs\": {}}",
            "open it with the newer version",
        ),
        ("{\"inputs\": {}}", "no route card"),
        ("{\"route_card\": 1, \"inputs\": [1]}", "no \"inputs\""),
        ("[]", "no route card"),
        ("null", "no route card"),
        ("", "no design file"),
        ("see #pw2;x=1", "newer page"),
        (&"[".repeat(100_000), "no design file"),
        (&" ".repeat((1 << 20) + 1), "larger than 1 MiB"),
    ] {
        give(page, "odd.json", text, true)?;
        page.wait_until(&format!("{expected} is said"), || {
            card::says(page, expected)
        })?;
        assert!(card::says(page, "odd.json: ")?);
        assert_eq!(card::title(page)?, "Model-railway turntable");
    }
    let after = card::wait_for_link(page, "is there", |link| link.len() > 4)?;
    assert_eq!(before, after);
    Ok(())
}

/// Names that a script's objects have by birth are ids like any other; markup stays text.
pub fn what_a_file_holds_and_nobody_knows_is_listed_and_kept(page: &Page) -> Outcome {
    let text = r#"{"route_card": 1, "inputs": {"__proto__": "1", "constructor": {"a": 1}, "motor.mass": "heavy", "card.title": "<img src=x onerror=alert(1)>", "gears.ratio": 1e2, "move.reverses_at_speed": true, "motor.bracket_limit": null}}"#;
    give(page, "odd.card.json", text, true)?;
    page.wait_until("the ids are listed", || {
        card::says(
            page,
            "Not known to this version, kept as they are: __proto__, constructor",
        )
    })?;
    card::wait_for_title(page, "<img src=x onerror=alert(1)>")?;
    let link = card::wait_for_link(page, "has them", |link| link.contains("constructor"))?;
    for entry in [
        "__proto__=1",
        "motor.mass=heavy",
        "gears.ratio=100",
        "move.reverses_at_speed=yes",
    ] {
        assert!(link.contains(entry), "{entry}: {link}");
    }
    assert!(!link.contains("bracket_limit"), "{link}");
    Ok(())
}

/// Reads the code from its drawing: the runs of its one path, row by row, made a picture again.
fn decoded(drawing: &str) -> Result<String> {
    let mut runs = Vec::new();
    let mut size = 0;
    for run in drawing.split('M').skip(1) {
        let (x, rest) = run.split_once(' ').context("a run")?;
        let (y, rest) = rest.split_once('h').context("a run")?;
        let (length, _) = rest.split_once('v').context("a run")?;
        let (x, y, length): (usize, usize, usize) = (x.parse()?, y.parse()?, length.parse()?);
        size = size.max(x + length);
        runs.push((x, y, length));
    }
    let mut grid = vec![false; size * size];
    for (x, y, length) in runs {
        let row = grid.get_mut(y * size + x..y * size + x + length);
        row.context("a run inside the code")?.fill(true);
    }
    let dark = |x: usize, y: usize| {
        let (x, y) = (x.wrapping_sub(4), y.wrapping_sub(4));
        x < size && y < size && grid[y * size + x]
    };
    let side = size + 8;
    let mut image = rqrr::PreparedImage::prepare_from_greyscale(side * 4, side * 4, |x, y| {
        if dark(x / 4, y / 4) { 0 } else { 255 }
    });
    let grids = image.detect_grids();
    let (_, text) = grids.first().context("a code")?.decode()?;
    Ok(text)
}

/// The code is read by a decoder of another maker than its encoder's.
pub fn a_published_page_prints_its_link_as_a_code(page: &Page) -> Outcome {
    let code = || -> Result<String> {
        let found = page.execute(
            "return document.querySelector('.code').innerHTML",
            json!([]),
        )?;
        Ok(found.as_str().unwrap_or_default().to_owned())
    };
    card::press(page, "Save and export")?;
    let address = page.field("Address where this page is published")?;
    address.enter("workshop.example/card")?;
    assert!(card::says(page, "An address of the web begins with")?);
    assert!(code()?.is_empty(), "there is a code");
    // Nothing is stored after `open_with`, so the address is put where the page looks for it.
    page.execute(
        "Storage.prototype.getItem = name => name === 'pulsewright.address' ? 'https://workshop.example/card.html' : null;
         dispatchEvent(new Event('pulsewright-address'));",
        json!([]),
    )?;
    let shown = |part: &str| -> Outcome {
        let part = part.to_owned();
        page.wait_until("the code follows", || {
            let text = decoded(&code()?)?;
            let (address, design) = text.split_once('#').context("a link")?;
            assert_eq!(address, "https://workshop.example/card.html");
            let design = pulsewright_sheet::design::link::read(&["#", design].concat())
                .ok()
                .context("a design")?;
            Ok(pulsewright_sheet::design::link::write(&design.design).contains(&part))
        })
    };
    shown("gears.stages=36:12,34:13,38:12,60:1")?;
    card::open_station(page, "Gears")?;
    page.field("Backlash at the output")?.enter("1 deg")?;
    shown("gears.backlash=1deg")?;
    // A code that lags behind is not printed.
    let lagging = page.execute(
        "const field = document.querySelector('#f-gears-backlash');
         field.value = '2 deg';
         field.dispatchEvent(new Event('input', { bubbles: true }));
         dispatchEvent(new Event('beforeprint'));
         return document.querySelector('.code').innerHTML;",
        json!([]),
    )?;
    assert!(lagging == "", "a code that lags behind would be printed");
    // What would be too fine to read is left out.
    shown("gears.backlash=2deg")?;
    card::press(page, "Title, note, revision")?;
    let mut number = 1u32;
    let noise: String = (0..1500)
        .map(|_| {
            number = number.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            char::from(b'a' + ((number >> 24) % 26) as u8)
        })
        .collect();
    page.find("#f-card-note")?;
    page.execute(
        "const field = document.querySelector('#f-card-note');
         field.value = arguments[0];
         for (const kind of ['input', 'change']) field.dispatchEvent(new Event(kind, { bubbles: true }));",
        json!([noise]),
    )?;
    page.wait_until("there is no code", || Ok(code()?.is_empty()))
}

pub fn a_packed_link_opens(page: &Page) -> Outcome {
    let mut design = pulsewright_sheet::design::Design::default();
    let _ = design.enter_id("card.title", "Packed");
    let _ = design.enter_id("gears.ratio", "298");
    let packed = pulsewright_sheet::design::link::packed(&design);
    page.open_with(&packed)?;
    assert_eq!(card::title(page)?, "Packed");
    card::wait_for_entry(page, "gears.ratio=298")?;
    // And while the page is open.
    let _ = design.enter_id("gears.backlash", "1 deg");
    page.navigate(
        &[
            &page.address(),
            pulsewright_sheet::design::link::packed(&design).as_str(),
        ]
        .concat(),
    )?;
    card::wait_for_entry(page, "gears.backlash=1deg")?;
    // Damaged, it says so and leaves the card as it is.
    page.navigate(&[&page.address(), &packed[..packed.len() - 9]].concat())?;
    page.wait_until("it says so", || {
        card::says(page, "this packed link is incomplete")
    })?;
    assert_eq!(card::title(page)?, "Packed");
    Ok(())
}
