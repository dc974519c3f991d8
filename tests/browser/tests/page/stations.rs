//! Stations in one column: fields, deciding figures, plots, and the way back.

use crate::card;
use anyhow::Context;
use browser::{Outcome, Page, keys};
use serde_json::json;

pub fn a_field_shows_its_help_while_it_has_the_keyboard(page: &Page) -> Outcome {
    page.open_with("#pw1;axis.load_mass=1kg;axis.radius=100mm")?;
    card::open_station(page, "Axis")?;
    let help = page.find("#f-axis-load_mass-more")?;
    assert!(!help.is_shown()?);
    card::field(page, "axis.load_mass")?.click()?;
    assert!(help.is_shown()?);
    // 1 kg · 9.80665 m/s² · 0.1 m = 981 mN·m: the figure that it moves.
    assert!(help.text()?.contains("981 mN·m"), "{}", help.text()?);
    assert!(help.text()?.contains("use typical value"));
    card::field(page, "axis.radius")?.click()?;
    assert!(!help.is_shown()?);
    // By mouse alone, without going into the field.
    page.find_by_role("button", "Help: Load mass")?.click()?;
    assert!(help.is_shown()?);
    Ok(())
}

/// Three to five figures stand large; all others in a table that is folded, with a calculation each.
pub fn few_figures_stand_large_and_the_others_are_folded(page: &Page) -> Outcome {
    let heading = card::heading(page, "Supply")?;
    heading.click()?;
    let large = page.find_all("#supply .deciding .result:not([hidden])")?;
    assert!((3..=5).contains(&large.len()), "{}", large.len());
    assert!(page.find_all("#supply .figures")?.is_empty());
    page.find("#supply .all-figures > button")?.click()?;
    let rows = page.find_all("#supply .figures .result:not([hidden])")?;
    assert!(rows.len() > 5, "{}", rows.len());
    page.find("#supply .figures .result:not([hidden]) .calculation")?
        .click()?;
    let shown = page.find("#supply .figures .calculated:not([hidden]) .working")?;
    assert!(shown.text()?.contains("Source: "), "{}", shown.text()?);
    // A real minus, and digits in groups.
    page.open_with(
        "#pw1;axis.kind=arm;motor.no_load_speed=20000r/min;motor.figures_at=motor_shaft",
    )?;
    card::open_station(page, "Motor")?;
    let text = card::text(page)?;
    assert!(!text.contains(" -1"), "a hyphen stands for a minus");
    Ok(())
}

/// Temperatures and errors stand as reached and allowed; a driver of this kind bears 150 °C (common practice, no source).
pub fn checks_say_what_is_reached_and_allowed(page: &Page) -> Outcome {
    card::open_station(page, "Motor driver")?;
    let said = |id: &str| page.find(&["#", id, " .checks"].concat())?.text();
    let driver = said("motor-driver")?;
    assert!(
        driver.contains(" °C while holding, 150 °C allowed: margin ×"),
        "{driver}"
    );
    card::open_station(page, "Supply")?;
    let supply = said("supply")?;
    assert!(
        supply.contains(" V while moving, at least 3.6 V needed"),
        "{supply}"
    );
    card::open_station(page, "Gears")?;
    let gears = said("gears")?;
    let backlash =
        "Backlash, fails, margin ×0.693: backlash at the load 0.433 mm, position tolerance 0.3 mm.";
    assert!(gears.contains(backlash), "{gears}");
    Ok(())
}

/// What cannot happen is not drawn, and what nobody entered is not compared with.
pub fn what_is_not_there_is_said_in_one_sentence(page: &Page) -> Outcome {
    page.open_with("#pw1;axis.load_mass=0.4kg;axis.radius=120mm;move.distance=75deg;move.time=1.5s;move.dwell=10min;motor.rated_voltage=6V;motor.no_load_speed=100r/min;motor.stall_torque=3.2kgf.cm;motor.stall_current=1.6A;gears.ratio=150:1;supply.voltage=6V")?;
    card::open_station(page, "Move")?;
    page.wait_until("the move is drawn without a current", || {
        let plot = page.find("#plot-move")?.text()?;
        Ok(
            plot.contains("no current is drawn: the motor cannot make this move.")
                && !plot.contains("motor current"),
        )
    })?;
    card::open_station(page, "Hold and heat")?;
    page.wait_until("the plot that waits has a name", || {
        let plot = page.find("#plot-cycle_heat")?.text()?;
        let named = plot.starts_with("Winding and housing as the cycle repeats");
        Ok(named && plot.ends_with("Waits: the motor cannot make this move."))
    })?;
    card::open_station(page, "Loop")?;
    assert!(!page.find("#plot-landing_end")?.is_shown()?);
    card::open_station(page, "Verdict")?;
    let table = page.find("#verdict table.beside")?;
    assert!(!table.is_shown()?);
    assert!(
        page.find("#verdict")?
            .text()?
            .contains("Enter one figure of the stepper to compare with it.")
    );
    page.find("#s-stepper-holding_torque")?.enter("0.3 N·m")?;
    page.wait_until("both are compared", || table.is_shown())
}

pub fn a_plot_is_drawn_anew_when_the_window_changes(page: &Page) -> Outcome {
    page.set_viewport(1280, 800)?;
    card::open_station(page, "Motor on this supply")?;
    let width = || {
        page.execute(
            "return [...document.querySelectorAll('#plot-torque_speed svg, #plot-map svg')].map(svg => svg.viewBox.baseVal.width)",
            json!([]),
        )
    };
    page.wait_until("both are drawn", || {
        Ok(width()?.as_array().is_some_and(|drawn| drawn.len() == 2))
    })?;
    let before = width()?;
    page.set_viewport(620, 800)?;
    let outcome = page.wait_until("they are drawn anew", || {
        let now = width()?;
        Ok(now[1].as_f64() < before[1].as_f64())
    });
    let small = page.execute(
        "return [...document.querySelectorAll('#plot-torque_speed svg')].map(svg => 12 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width)[0]",
        json!([]),
    );
    page.set_viewport(1280, 800)?;
    outcome?;
    assert!(
        small?.as_f64().is_some_and(|size| size >= 11.9),
        "letters keep their size"
    );
    Ok(())
}

pub fn the_verdict_stacks_its_error_and_compares_in_columns(page: &Page) -> Outcome {
    card::open_station(page, "Verdict")?;
    let shares = page.find_all("#verdict .budget .share")?;
    assert!(shares.len() >= 2, "{}", shares.len());
    assert_eq!(page.find_all("#verdict .budget .allowed")?.len(), 1);
    let columns = page.find_all("#verdict .beside tr:first-child > *")?;
    assert_eq!(columns.len(), 3);
    assert!(page.find_all("#verdict .beside tr")?.len() > 5);
    Ok(())
}

/// A regulator set to 11.9 V leaves the supply no headroom: the supply's station, further up, has the cause.
pub fn the_cause_opens_further_up_and_the_field_in_hand_stays(page: &Page) -> Outcome {
    card::open_example(page, "Greenhouse vent lever")?;
    card::open_station(page, "Regulator")?;
    let field = card::field(page, "regulator.output_voltage")?;
    field.click()?;
    let supply = card::heading(page, "Supply")?;
    assert_eq!(supply.attribute("aria-expanded")?.as_deref(), Some("false"));
    let top = || {
        let top = page.execute(
            "return document.activeElement.getBoundingClientRect().top",
            json!([]),
        )?;
        top.as_f64().context("no place")
    };
    // What comes late at the head of the page has come.
    std::thread::sleep(page.moment() * 5);
    let before = top()?;
    field.fill("11.9 V")?;
    page.wait_until("the station with the cause is open", || {
        Ok(supply.attribute("aria-expanded")?.as_deref() == Some("true"))
    })?;
    page.wait_until("its plots and figures are there", || {
        Ok(!page.find_all("#supply .deciding .result")?.is_empty())
    })?;
    std::thread::sleep(page.moment());
    // WebKit learns of it a frame later.
    page.wait_until("the field stands where it stood", || {
        Ok((top()? - before).abs() < 2.0)
    })?;
    assert_eq!(page.focused()?.attribute("id")?, field.attribute("id")?);
    Ok(())
}

pub fn escape_gives_the_old_value_back(page: &Page) -> Outcome {
    card::open_station(page, "Gears")?;
    let field = card::field(page, "gears.backlash")?;
    let before = field.value()?;
    field.fill("5 deg")?;
    field.type_text(keys::ESCAPE)?;
    assert_eq!(field.value()?, before);
    card::wait_for_entry(page, "gears.backlash=0.16deg").map(drop)
}

pub fn undo_says_what_it_undid(page: &Page) -> Outcome {
    page.find("#s-axis-load_mass")?.enter("700 g")?;
    card::press(page, "Undo")?;
    page.find(".undone")?
        .wait_for_text("Undone: Load mass 880 g")?;
    // The button stays: what has the keyboard is not lost.
    assert_eq!(page.focused()?.label()?, "Undo");
    Ok(())
}

pub fn letters_have_five_sizes(page: &Page) -> Outcome {
    card::open_everything(page, false)?;
    let sizes = page.execute(
        "const sizes = new Set();
         for (const element of document.querySelectorAll('body *')) {
             if (element.closest('svg, math, sub, .unseen, script, style')) continue;
             if (![...element.childNodes].some(node => node.nodeType === 3 && node.data.trim())) continue;
             sizes.add(getComputedStyle(element).fontSize);
         }
         return [...sizes].sort();",
        json!([]),
    )?;
    assert!(
        sizes.as_array().is_some_and(|sizes| sizes.len() <= 5),
        "{sizes}"
    );
    Ok(())
}
