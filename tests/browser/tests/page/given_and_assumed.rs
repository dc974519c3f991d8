//! Given or assumed: what a field shows when nothing stands in it, and which fields there are.

use crate::card;
use anyhow::Result;
use browser::{Outcome, Page};
use serde_json::json;

fn standing(page: &Page, id: &str) -> Result<String> {
    page.find(&format!("#f-{}-help .standing", id.replace('.', "-")))?
        .text()
}

pub fn an_emptied_field_shows_what_is_assumed(page: &Page) -> Outcome {
    card::press(page, "Start mine")?;
    card::open_station(page, "Motor")?;
    let field = page.field("Rated voltage")?;
    assert_eq!(field.value()?, "6 V");
    assert_eq!(standing(page, "motor.rated_voltage")?, "assumed");
    field.enter("12 V")?;
    assert_eq!(standing(page, "motor.rated_voltage")?, "given");
    card::wait_for_entry(page, "motor.rated_voltage=12V")?;
    field.enter("")?;
    assert_eq!(field.value()?, "6 V");
    assert_eq!(standing(page, "motor.rated_voltage")?, "assumed");
    card::wait_for_link(page, "has nothing more", |link| link == "#pw1").map(drop)
}

pub fn a_button_assumes_again(page: &Page) -> Outcome {
    card::press(page, "Start mine")?;
    card::open_station(page, "Motor")?;
    let field = page.field("Stall current")?;
    field.enter("2 A")?;
    // The usual share of a given stall current stands in for the no-load current: 6 %.
    assert_eq!(page.field("No-load current")?.value()?, "120 mA");
    card::press(page, "assume again: Stall current")?;
    assert_eq!(page.field("Stall current")?.value()?, "1.1 A");
    assert_eq!(page.field("No-load current")?.value()?, "60 mA");
    assert_eq!(
        standing(page, "motor.stall_current")?,
        "assumed: 1.1 A, or what the torque, speed and voltage given take at a usual efficiency"
    );
    Ok(())
}

/// A kind of axis hides what it does not use and keeps it.
pub fn a_kind_of_axis_shows_its_own_fields(page: &Page) -> Outcome {
    card::press(page, "Start mine")?;
    card::open_station(page, "Axis")?;
    let shown = |label: &str| page.field(label)?.is_shown();
    page.field("Radius")?.enter("70 mm")?;
    assert!(!shown("Lead of the screw")?);
    let kind = page.find_by_role("combobox", "Kind of axis")?;
    kind.choose("screw")?;
    assert_eq!(kind.value()?, "screw");
    card::wait_for_entry(page, "axis.kind=screw")?;
    assert!(shown("Lead of the screw")?);
    assert!(!shown("Radius")?);
    kind.choose("arm")?;
    assert_eq!(kind.value()?, "arm");
    assert!(shown("Radius")?);
    assert_eq!(page.field("Radius")?.value()?, "70 mm");
    card::wait_for_entry(page, "axis.radius=70mm").map(drop)
}

pub fn the_rest_opens(page: &Page) -> Outcome {
    card::press(page, "Start mine")?;
    card::open_station(page, "Motor")?;
    let rest = page.find("#motor .rest > button")?;
    let label = rest.text()?;
    assert!(label.starts_with("The rest: 0 given, "), "{label}");
    rest.click()?;
    page.field("Winding inductance")?.enter("1.1 mH")?;
    page.wait_until("the rest counts what is given", || {
        Ok(rest.text()?.starts_with("The rest: 1 given, "))
    })
}

/// At most eight fields show in a station before one asks for the rest; asked first are those of layer 1.
pub fn a_choice_field_takes_its_words(page: &Page) -> Outcome {
    card::press(page, "Start mine")?;
    card::open_station(page, "Regulator")?;
    let before = card::result(page, "regulator.loss")?;
    let kind = page.field("Kind of regulator")?;
    kind.choose("buck")?;
    card::wait_for_entry(page, "regulator.kind=buck")?;
    assert_ne!(card::result(page, "regulator.loss")?, before);
    card::press(page, "assume again: Kind of regulator")?;
    assert_eq!(page.field("Kind of regulator")?.value()?, "linear");
    assert_eq!(card::result(page, "regulator.loss")?, before);
    Ok(())
}

/// What checks and findings say follows what is typed, in the lines that stand there: a button in one of them keeps
/// the keyboard.
pub fn what_a_check_says_follows_in_its_place(page: &Page) -> Outcome {
    page.open()?;
    card::open_station(page, "Gears")?;
    page.execute(
        "for (const line of document.querySelectorAll('#gears li.under, #gears .finding, ul.worst li')) {
             line.dataset.before = 'here';
         }
         document.querySelector('#gears li.under button').focus();",
        json!([]),
    )?;
    let says = || {
        page.execute(
            "const of = line => line ? [line.dataset.before, line.textContent] : null;
             return [
                 of(document.querySelector('#gears li.under')),
                 of(document.querySelector('#gears .finding')),
                 of(document.querySelector('ul.worst li')),
                 [document.activeElement.textContent, ''],
             ];",
            json!([]),
        )
    };
    let before = says()?;
    page.execute(
        "const field = document.querySelector('#f-gears-backlash');
         field.value = '0.2 deg';
         field.dispatchEvent(new Event('input', { bubbles: true }));",
        json!([]),
    )?;
    card::wait_for_result(page, "gears.free_play_at_load", "0.5411 mm")?;
    // Nobody has scrolled there: what is out of sight follows a frame later.
    let mut after = says()?;
    page.wait_until("the check follows", || {
        after = says()?;
        Ok(after[0][1] != before[0][1])
    })?;
    for line in 0..3 {
        assert_eq!(before[line][0], "here");
        assert_eq!(after[line][0], "here", "line {line} was made anew");
    }
    assert_ne!(before[2][1], after[2][1]);
    assert_eq!(before[3], after[3]);
    Ok(())
}
