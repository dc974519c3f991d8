//! The way back, and several cards on one desk.

use crate::card;
use browser::{Outcome, Page};
use serde_json::json;

pub fn undo_and_redo_walk_through_what_was_done(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Gears")?;
    let ratio = page.field("Gear ratio")?;
    ratio.enter("380")?;
    ratio.enter("100 V")?;
    page.field("Backlash at the output")?.enter("1 deg")?;
    card::wait_for_entry(page, "gears.backlash=1deg")?;

    card::press(page, "Undo")?;
    assert_eq!(page.field("Backlash at the output")?.value()?, "3°");
    assert_eq!(
        ratio.value()?,
        "100 V",
        "a refused text is a step like any other"
    );
    card::press(page, "Undo")?;
    assert_eq!(ratio.value()?, "380");
    card::wait_for_link(page, "goes back", |link| link == "#pw1;gears.ratio=380")?;
    card::wait_for_result(page, "gears.exact_ratio", "380")?;
    card::press(page, "Undo")?;
    assert_eq!(ratio.value()?, "100");
    card::press(page, "Redo")?;
    card::press(page, "Redo")?;
    card::press(page, "Redo")?;
    assert_eq!(ratio.value()?, "100 V");
    assert_eq!(page.field("Backlash at the output")?.value()?, "1°");
    assert!(
        page.find_by_role("button", "Redo")?
            .attribute("aria-disabled")?
            .as_deref()
            == Some("true")
    );

    card::press(page, "Undo")?;
    ratio.enter("50")?;
    assert!(
        page.find_by_role("button", "Redo")?
            .attribute("aria-disabled")?
            .as_deref()
            == Some("true"),
        "another way was taken"
    );
    Ok(())
}

pub fn another_example_is_one_step(page: &Page) -> Outcome {
    card::open_example(page, "Focus stage")?;
    card::wait_for_title(page, "Focus stage")?;
    // Once its landing is simulated.
    page.wait_until("it does the job", || {
        let verdict = page.find(".verdict")?.text()?;
        Ok(verdict.starts_with("It does the job: every check passes"))
    })?;
    card::press(page, "Undo")?;
    card::wait_for_title(page, "Model-railway turntable")?;
    card::press(page, "Redo")?;
    card::wait_for_title(page, "Focus stage")
}

pub fn start_mine_keeps_nothing_of_the_example(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::wait_for_title(page, "My design")?;
    card::wait_for_link(page, "is empty", |link| link == "#pw1")?;
    assert!(!card::says(page, "Example, invented")?);
    let verdict = page.find(".verdict")?.text()?;
    assert!(
        verdict.starts_with("7 more values are needed: "),
        "nothing passes before anything is known: {verdict}"
    );
    card::press(page, "Undo")?;
    card::wait_for_title(page, "Model-railway turntable")
}

pub fn ones_own_card_waits_behind_an_example(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Gears")?;
    page.field("Gear ratio")?.enter("298")?;
    card::wait_for_entry(page, "gears.ratio=298")?;
    card::open_example(page, "Camera slider")?;
    card::wait_for_title(page, "Camera slider")?;
    card::open_station(page, "Gears")?;
    page.field("Backlash at the output")?.enter("2 deg")?;
    card::wait_for_entry(page, "gears.backlash=2deg")?;
    card::press(page, "Back to my design")?;
    card::wait_for_link(page, "is mine", |link| link == "#pw1;gears.ratio=298").map(drop)
}

/// The motor's own figures stay: its resistance does not change, the counts follow the ratio (12 · 50 = 600).
pub fn another_gearbox_is_fitted_to_the_same_motor(page: &Page) -> Outcome {
    page.open_with(
        "#pw1;gears.ratio=100;motor.no_load_speed=160r/min;motor.stall_torque=2.1kgf.cm",
    )?;
    card::open_everything(page, false)?;
    let resistance = card::result(page, "motor.resistance")?;
    let speed = card::result(page, "motor.shaft_speed")?;
    page.field("Same motor, another gearbox")?.fill("50:1")?;
    card::press(page, "Fit it")?;
    card::wait_for_result(page, "gears.exact_ratio", "50")?;
    card::open_everything(page, false)?;
    card::wait_for_result(page, "encoder.counts_per_output_turn", "600")?;
    assert_eq!(card::result(page, "motor.resistance")?, resistance);
    assert_eq!(card::result(page, "motor.shaft_speed")?, speed);
    page.field("Same motor, another gearbox")?.fill("0")?;
    card::press(page, "Fit it")?;
    let message = page
        .find("#gears .field:has(#other-gearbox) .message")?
        .text()?;
    assert!(!message.is_empty());
    assert_eq!(card::result(page, "gears.exact_ratio")?, "50");
    Ok(())
}

pub fn back_leads_through_stations_and_designs(page: &Page) -> Outcome {
    let focused = |id: &str| {
        page.wait_until(&format!("{id} has the keyboard"), || {
            Ok(page.focused()?.attribute("id")?.as_deref() == Some(id))
        })
    };
    page.find(".margin a[href='#gears']")?.click()?;
    focused("gears-heading")?;
    page.find(".margin a[href='#loop']")?.click()?;
    focused("loop-heading")?;
    page.execute("history.back()", json!([]))?;
    focused("gears-heading")?;
    page.execute("history.forward()", json!([]))?;
    focused("loop-heading")?;
    card::open_example(page, "Focus stage")?;
    card::wait_for_title(page, "Focus stage")?;
    page.execute("history.back()", json!([]))?;
    card::wait_for_title(page, "Model-railway turntable")?;
    page.execute("history.forward()", json!([]))?;
    card::wait_for_title(page, "Focus stage")
}

pub fn storage_that_is_full_is_told_with_the_way_out(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    assert!(!page.find(".unkept")?.is_shown()?);
    page.execute(
        "window.keeps = Storage.prototype.setItem;
         Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };",
        json!([]),
    )?;
    page.find("#s-axis-load_mass")?.enter("100 g")?;
    page.find(".unkept")?.wait_for_text(
        "The browser does not keep this design: its storage is full or forbidden. Save it as a file under Save and export, or copy its link, before you close the page.",
    )?;
    // Once there is room again the next entry is kept, and nothing is told any more.
    page.execute("Storage.prototype.setItem = window.keeps;", json!([]))?;
    page.find("#s-axis-load_mass")?.enter("110 g")?;
    page.wait_until("the message goes", || {
        Ok(!page.find(".unkept")?.is_shown()?)
    })?;
    page.open_again("")?;
    card::wait_for_entry(page, "axis.load_mass=110g").map(drop)
}

pub fn another_tab_is_heard_and_nothing_is_overwritten(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    page.find("#s-axis-load_mass")?.enter("100 g")?;
    card::wait_for_entry(page, "axis.load_mass=100g")?;
    page.in_another_tab(|| {
        card::wait_for_entry(page, "axis.load_mass=100g")?;
        page.find("#s-axis-load_mass")?.enter("200 g")?;
        card::wait_for_entry(page, "axis.load_mass=200g").map(drop)
    })?;
    page.wait_until("the change of the other tab is told", || {
        page.find(".elsewhere")?.is_shown()
    })?;
    page.find("#s-axis-load_mass")?.enter("300 g")?;
    card::press(page, "Keep this one as a copy")?;
    assert!(!page.find(".elsewhere")?.is_shown()?);
    card::wait_for_entry(page, "axis.load_mass=300g")?;
    page.wait_until("both are kept", || {
        let kept = page.execute(
            "return Object.entries(localStorage).filter(([name]) => name.startsWith('pulsewright.card.'))
                .map(([, text]) => text).sort()",
            json!([]),
        )?;
        Ok(kept == json!(["#pw1;axis.load_mass=200g", "#pw1;axis.load_mass=300g"]))
    })
}
