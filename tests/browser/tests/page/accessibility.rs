//! For everyone: names, order, small screens, contrast. Source: W3C, WCAG 2.2, level AA.

use crate::card;
use anyhow::{Context, Result, ensure};
use browser::{Outcome, Page};
use serde_json::{Value, json};

pub fn every_field_has_a_name_and_a_description(page: &Page) -> Outcome {
    card::open_everything(page, false)?;
    card::press(page, "Title, note, revision")?;
    let before_limits = page.execute(
        "const bad = [];
         for (const field of document.querySelectorAll('input, select, textarea')) {
             const said = (field.getAttribute('aria-describedby') || '').split(' ')
                 .map(id => document.getElementById(id)?.textContent || '').join('').trim();
             if (!said) bad.push(field.id + ' has no description');
             if (field.type === 'number') bad.push(field.id + ' takes no comma');
             if (field.placeholder && !field.closest('.sentence')) bad.push(field.id + ' has a placeholder');
         }
         return bad;",
        json!([]),
    )?;
    assert_eq!(before_limits, json!([]));
    let fields = page.find_all("input, select, textarea")?;
    assert!(fields.len() > 100, "{}", fields.len());
    for field in fields {
        let id = field.attribute("id")?;
        assert!(
            !field.label()?.trim().is_empty() || !field.is_shown()?,
            "{id:?} has no name"
        );
    }
    Ok(())
}

pub fn every_button_has_a_name(page: &Page) -> Outcome {
    card::open_everything(page, false)?;
    card::wait_until_worked_out(page)?;
    let buttons = page.find_all("button:not([hidden]), a[href]")?;
    assert!(buttons.len() > 100, "{}", buttons.len());
    for button in buttons {
        let nameless = button.is_shown()? && button.label()?.trim().is_empty();
        assert!(!nameless, "a button has no name: {:?}", button.text()?);
    }
    Ok(())
}

pub fn headings_stand_in_order(page: &Page) -> Outcome {
    card::open_everything(page, true)?;
    let levels = page.execute(
        "return [...document.querySelectorAll('h1, h2, h3, h4, h5, h6')].map(heading => Number(heading.tagName[1]))",
        json!([]),
    )?;
    let levels: Vec<i64> = levels
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_i64)
        .collect();
    assert_eq!(levels.first(), Some(&1));
    assert_eq!(levels.iter().filter(|level| **level == 1).count(), 1);
    assert!(
        levels.windows(2).all(|pair| pair[1] <= pair[0] + 1),
        "{levels:?}"
    );
    let marks = page.execute(
        "return ['main', 'nav', 'header', 'footer'].map(mark => document.querySelectorAll(mark).length)",
        json!([]),
    )?;
    assert_eq!(marks, json!([1, 1, 1, 1]));
    Ok(())
}

/// Criterion 1.4.10: at 320 CSS pixels the page does not scroll sideways; drawings, margin and workings may in their
/// own boxes.
pub fn nothing_scrolls_sideways_on_a_phone(page: &Page) -> Outcome {
    page.open_in_frame(320, 640, "")?;
    page.find_by_role("heading", "Model-railway turntable")?;
    card::open_everything(page, true)?;
    let widths = page.execute(
        "const wide = [...document.querySelectorAll('main *')].filter(element =>
             !element.closest('.drive-line, .margin, .working, .scrolls, .unseen') && element.getBoundingClientRect().right > document.documentElement.clientWidth + 1);
         return [innerWidth, document.documentElement.scrollWidth - document.documentElement.clientWidth, wide.map(element => element.outerHTML.slice(0, 120)).slice(0, 5)]",
        json!([]),
    )?;
    assert_eq!(widths[0], 320);
    assert_eq!(widths[1], 0, "{}", widths[2]);
    assert_eq!(widths[2], json!([]));
    let picture = page.screenshot("phone")?;
    assert!(std::fs::metadata(picture)?.len() > 1000);
    Ok(())
}

pub fn text_stands_out_from_the_paper(page: &Page) -> Outcome {
    expect_contrast(page)
}

/// Criterion 1.4.3: at least 4.5 for ink, pencil and blue on paper and on the field in use.
pub fn expect_contrast(page: &Page) -> Outcome {
    card::open_station(page, "Gears")?;
    let colours = page.execute(
        "const of = (selector, what) => getComputedStyle(document.querySelector(selector))[what];
         const paper = of('.sheet', 'backgroundColor');
         return [
             ['ink', of('main', 'color'), paper],
             ['pencil', of('.help', 'color'), paper],
             ['assumed', of('.field:not(.given) input', 'color'), paper],
             ['given', of('.field.given input', 'color'), paper],
             ['blue', of('.tools button', 'color'), paper],
             ['off', of('.tools [aria-disabled=true]', 'color'), paper],
             ['foot', of('.foot', 'color'), of('.foot', 'backgroundColor')],
         ];",
        json!([]),
    )?;
    for row in colours.as_array().into_iter().flatten() {
        let (front, back) = (luminance(&row[1])?, luminance(&row[2])?);
        let contrast = (front.max(back) + 0.05) / (front.min(back) + 0.05);
        ensure!(contrast >= 4.5, "{row}: {contrast:.2}");
    }
    Ok(())
}

/// Relative luminance as WCAG 2.2 defines it, of a colour as browsers write it: `rgb(29, 42, 48)`.
fn luminance(colour: &Value) -> Result<f64> {
    let colour = colour.as_str().context("no colour")?;
    let parts: Vec<f64> = colour
        .trim_start_matches("rgb(")
        .trim_end_matches(')')
        .split(',')
        .map(|part| Ok(part.trim().parse::<f64>()? / 255.0))
        .collect::<Result<_>>()
        .with_context(|| format!("{colour} is no opaque colour"))?;
    let [red, green, blue] = parts[..] else {
        anyhow::bail!("{colour} is no opaque colour");
    };
    let linear = |part: f64| {
        if part <= 0.040_45 {
            part / 12.92
        } else {
            libm::pow((part + 0.055) / 1.055, 2.4)
        }
    };
    Ok(0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue))
}

pub fn the_window_is_as_large_as_asked(page: &Page) -> Outcome {
    page.set_viewport(800, 600)?;
    let inner = page.execute("return [innerWidth, innerHeight]", json!([]))?;
    assert_eq!(inner, json!([800, 600]));
    page.set_viewport(1280, 800)
}
