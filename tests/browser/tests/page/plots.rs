//! Plots and drawings: names, tables, what a reading says, what lights up, what paper shows.

use crate::card;
use anyhow::{Context, Result};
use browser::{Outcome, Page, keys};
use pulsewright_sheet::register::Kind;
use serde_json::{Value, json};

/// Plots of the card and the stations that show them.
const PLOTS: [(&str, &str); 5] = [
    ("move", "Move"),
    ("torque_speed", "Motor on this supply"),
    ("hold_time", "Hold and heat"),
    ("compare", "Stepper"),
    ("sensitivity", "Verdict"),
];

const EXAMPLES: [&str; 4] = [
    "Model-railway turntable",
    "Greenhouse vent lever",
    "Camera slider",
    "Focus stage",
];

/// Waits until a plot is drawn.
fn drawn(page: &Page, plot: &str) -> Outcome {
    page.wait_until(&format!("{plot} is drawn"), || {
        let there = page.execute(
            "return !!document.querySelector('#plot-' + arguments[0] + ' svg path')",
            json!([plot]),
        )?;
        Ok(there == true)
    })
}

fn text(page: &Page, selector: &str) -> Result<String> {
    let found = page.execute(
        "return document.querySelector(arguments[0])?.textContent ?? ''",
        json!([selector]),
    )?;
    Ok(found.as_str().unwrap_or_default().to_owned())
}

/// Every plot of every example has a name, a finding, and a table with as many cells as heads; no two of its words
/// meet and none is cut, as this engine sets them.
pub fn every_plot_has_a_name_and_a_table(page: &Page) -> Outcome {
    for example in EXAMPLES {
        if example != EXAMPLES[0] {
            card::open_example(page, example)?;
        }
        card::open_everything(page, false)?;
        for (plot, _) in PLOTS {
            drawn(page, plot).with_context(|| example.to_owned())?;
            let figure = format!("#plot-{plot}");
            let picture = page.find(&format!("{figure} svg"))?;
            assert!(["img", "image", "graphic"].contains(&picture.role()?.as_str()));
            assert!(!picture.label()?.trim().is_empty(), "{example}: {plot}");
            let finding = text(page, &format!("{figure} figcaption p"))?;
            assert!(
                finding.ends_with('.') && finding.contains(|c: char| c.is_ascii_digit()),
                "{example}: {plot}: {finding}"
            );
            assert_eq!(text(page, &format!("{figure} desc"))?, finding);
            page.execute(
                "const button = document.querySelector('#plot-' + arguments[0] + ' .tabled button');
                 if (button.getAttribute('aria-expanded') === 'false') button.click();",
                json!([plot]),
            )?;
            page.wait_until("the table is there", || {
                Ok(!page.find_all(&format!("{figure} table"))?.is_empty())
            })?;
            let faults = page.execute(FAULTS, json!([plot]))?;
            assert_eq!(faults, json!([]), "{example}: {plot}");
        }
    }
    card::expect_sound(page, "opening every plot")
}

/// What is wrong with a plot and its table.
const FAULTS: &str = "
    const figure = document.querySelector('#plot-' + arguments[0]);
    const faults = [];
    for (const table of figure.querySelectorAll('table')) {
        const heads = table.querySelectorAll('thead th').length;
        for (const row of table.querySelectorAll('tbody tr'))
            if (row.children.length !== heads) faults.push('a row of ' + row.children.length + ' under ' + heads);
    }
    const svg = figure.querySelector('svg');
    const whole = svg.viewBox.baseVal;
    const boxes = [...svg.querySelectorAll('text')].map(text => [text.textContent, text.getBBox()]);
    const size = 4; // What stands above a letter and below it is no ink.
    boxes.forEach(([words, box], n) => {
        if (box.x < whole.x - 1 || box.x + box.width > whole.x + whole.width + 1 || box.y + box.height > whole.y + whole.height + size)
            faults.push('cut: ' + words);
        for (const [others, other] of boxes.slice(n + 1))
            if (box.x < other.x + other.width && other.x < box.x + box.width
                && box.y + size < other.y + other.height - size && other.y + size < box.y + box.height - size)
                faults.push(words + ' covers ' + others);
    });
    return faults;";

/// Arrow keys move along x; the readout says the lines' values, and they are the table's.
pub fn a_plot_is_read_by_keyboard(page: &Page) -> Outcome {
    // What scrolls under the pointer is read by it.
    page.put_pointer_aside()?;
    for (plot, station) in PLOTS {
        let heading = card::heading(page, station)?;
        if heading.attribute("aria-expanded")?.as_deref() == Some("false") {
            heading.focus()?;
            page.press(keys::ENTER)?;
        }
        drawn(page, plot)?;
        let reader = page.find(&format!("#plot-{plot} [role=slider]"))?;
        assert!(
            reader.label()?.starts_with("Cursor on plot: "),
            "{}",
            reader.label()?
        );
        let readout = format!("#plot-{plot} .readout");
        reader.focus()?;
        assert_eq!(text(page, &readout)?, "", "{plot} speaks unasked");
        let mut said = Vec::new();
        for key in [keys::RIGHT, keys::RIGHT, keys::END, keys::HOME] {
            page.press(key)?;
            said.push(text(page, &readout)?);
        }
        assert!(said.iter().all(|s| s.contains(": ")), "{plot}: {said:?}");
        assert_eq!(
            said[0], said[3],
            "{plot}: the first key begins at the low end"
        );
        assert_ne!(said[0], said[2], "{plot}: the ends differ");
        let place = reader.attribute("aria-valuetext")?.unwrap_or_default();
        assert!(said[3].starts_with(&place), "{plot}: {place}, {}", said[3]);
    }
    // At the low end the motor stalls: what the readout says is the result beside it.
    let stall = card::result(page, "drive.stall_torque")?;
    assert_eq!(stall, "1.28 N·m");
    let said = text(page, "#plot-torque_speed .readout")?;
    assert!(
        said.starts_with("0 r/min: winding cold 1.28 N·m, winding warm "),
        "{said}"
    );
    let line = page.find("#plot-torque_speed .hair")?;
    assert!(line.attribute("d")?.is_some_and(|d| d.starts_with('M')));
    Ok(())
}

/// A pointer over the plot says what is there.
pub fn a_plot_is_read_by_pointer(page: &Page) -> Outcome {
    card::open_station(page, "Motor on this supply")?;
    drawn(page, "torque_speed")?;
    page.execute(
        "const reader = document.querySelector('#plot-torque_speed [role=slider]');
         const box = reader.getBoundingClientRect();
         reader.dispatchEvent(new PointerEvent('pointermove', {
             bubbles: true, clientX: box.left + box.width / 2, clientY: box.top + box.height / 2 }));",
        json!([]),
    )?;
    page.wait_until("the readout says something", || {
        Ok(text(page, "#plot-torque_speed .readout")?.contains("r/min: winding cold "))
    })
}

/// A plot follows what is typed, after the stamps.
pub fn a_plot_follows_its_design(page: &Page) -> Outcome {
    card::open_station(page, "Motor on this supply")?;
    card::open_station(page, "Supply")?;
    drawn(page, "torque_speed")?;
    let finding = "#plot-torque_speed figcaption p";
    let before = text(page, finding)?;
    let markup = text_of_drawing(page)?;
    card::field(page, "supply.voltage")?.enter("9 V")?;
    page.wait_until("the finding has changed", || {
        Ok(text(page, finding)? != before)
    })?;
    page.wait_until("the drawing has changed", || {
        Ok(text_of_drawing(page)? != markup)
    })?;
    // A design without a stepper has nothing to compare.
    page.open_with("#pw1;axis.kind=arm")?;
    card::open_station(page, "Stepper")?;
    page.wait_until("the figure is gone", || {
        Ok(!page.find("#plot-compare")?.is_shown()?)
    })
}

fn text_of_drawing(page: &Page) -> Result<Value> {
    page.execute(
        "return document.querySelector('#plot-torque_speed svg').innerHTML",
        json!([]),
    )
}

/// What stands out at the side of a drawing is cut off at the edge of its station.
pub fn letters_stay_in_their_drawings(page: &Page) -> Outcome {
    for &kind in Kind::WORDS {
        page.open_with(&format!("#pw1;axis.kind={kind}"))?;
        match kind {
            "arm" => card::open_everything(page, false)?,
            _ => card::open_station(page, "Axis")?,
        }
        let seen = page.execute(
            "return (async longest => {
                const outside = [];
                let letters = 0;
                for (const drawing of document.querySelectorAll('.station .drawing svg')) {
                    drawing.scrollIntoView({ block: 'center', behavior: 'instant' });
                    // What comes into sight is laid out with the next frame.
                    await new Promise(seen => {
                        requestAnimationFrame(() => requestAnimationFrame(seen));
                        setTimeout(seen, longest);
                    });
                    const paper = drawing.getBoundingClientRect();
                    for (const text of paper.width > 0 ? drawing.querySelectorAll('text') : []) {
                        const place = text.getBoundingClientRect();
                        letters += 1;
                        if (place.left < paper.left || place.right > paper.right) outside.push(text.textContent);
                    }
                }
                return [letters, outside];
             })(arguments[0]);",
            json!([page.moment_ms()]),
        )?;
        assert_eq!(seen[1], json!([]), "{kind}");
        let fewest = if kind == "arm" { 60 } else { 4 };
        assert!(seen[0].as_u64() >= Some(fewest), "{kind}: {}", seen[0]);
    }
    Ok(())
}

/// The letter of the focused field stands out in its station's drawing; the drawing itself is not read out.
pub fn a_drawing_lights_up_with_its_field(page: &Page) -> Outcome {
    page.open_with("#pw1;axis.kind=arm")?;
    card::open_everything(page, false)?;
    let lit = || -> Result<Value> {
        page.execute(
            "return [...document.querySelectorAll('.drawing .lit text')].map(t => t.textContent)",
            json!([]),
        )
    };
    assert_eq!(lit()?, json!([]));
    for (id, letters) in [
        ("axis.radius", json!(["r"])),
        ("axis.load_mass", json!(["m"])),
        ("move.time", json!(["t"])),
        ("gears.backlash", json!(["b", "b"])),
        ("encoder.sensor_spacing", json!(["θs"])),
        ("supply.voltage", json!(["V", "V", "V"])),
    ] {
        page.execute(
            "document.getElementById(arguments[0]).focus()",
            json!([format!("f-{}", id.replace('.', "-"))]),
        )?;
        page.wait_until(&format!("{id} lights up"), || Ok(lit()? == letters))?;
    }
    let heard = page.execute(
        "return [...document.querySelectorAll('.drawing svg')].filter(s => s.getAttribute('aria-hidden') !== 'true').length",
        json!([]),
    )?;
    assert_eq!(heard, 0);
    let drawings = page.find_all(".drawing svg")?;
    assert_eq!(drawings.len(), page.find_all(".station:not(.leaf)")?.len());
    // Another kind of axis has another drawing.
    let before = page.execute(
        "return document.querySelector('#axis .drawing').innerHTML",
        json!([]),
    )?;
    card::field(page, "axis.kind")?.choose("drum")?;
    page.wait_until("the drawing has changed", || {
        let now = page.execute(
            "return document.querySelector('#axis .drawing').innerHTML",
            json!([]),
        )?;
        Ok(now != before)
    })
}

/// On paper every plot is there with its words, whatever stood open.
pub fn plots_are_printed(page: &Page) -> Outcome {
    crate::print::with_all_figures(page)?;
    let text = crate::print::words_of(page, &page.print()?)?;
    for words in [
        "Torque against speed, at the output",
        "winding warm",
        "Holding torque and hold time",
        "The move and its rest",
        "Converted motor and stepper, torque against speed",
        "What matters most",
        "Measure this first",
    ] {
        assert!(text.contains(words), "not printed: {words}");
    }
    Ok(())
}
