//! Entered or typical: what a field shows when nothing stands in it, and which fields there are.

use crate::card;
use anyhow::Result;
use browser::{Outcome, Page};
use serde_json::json;

fn standing(page: &Page, id: &str) -> Result<String> {
    let script = "return document.querySelector(arguments[0]).textContent";
    let place = format!("#f-{}-help .standing", id.replace('.', "-"));
    let text = page.execute(script, json!([place]))?;
    Ok(text.as_str().unwrap_or_default().to_owned())
}

pub fn an_emptied_field_shows_its_typical_value(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Motor")?;
    let field = page.field("Rated voltage")?;
    assert_eq!(field.value()?, "6 V");
    assert_eq!(standing(page, "motor.rated_voltage")?, "typical value");
    field.enter("12 V")?;
    assert_eq!(standing(page, "motor.rated_voltage")?, "entered");
    card::wait_for_entry(page, "motor.rated_voltage=12V")?;
    field.enter("")?;
    assert_eq!(field.value()?, "6 V");
    assert_eq!(standing(page, "motor.rated_voltage")?, "typical value");
    card::wait_for_link(page, "has nothing more", |link| link == "#pw1").map(drop)
}

pub fn a_button_takes_the_typical_value(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Motor")?;
    let field = page.field("Stall current")?;
    field.enter("2 A")?;
    // The usual share of a given stall current stands in for the no-load current: 6 %.
    assert_eq!(page.field("No-load current")?.value()?, "120 mA");
    card::press(page, "use typical value: Stall current")?;
    assert_eq!(page.field("Stall current")?.value()?, "1.1 A");
    assert_eq!(page.field("No-load current")?.value()?, "60 mA");
    assert_eq!(
        standing(page, "motor.stall_current")?,
        "typical value: 1.1 A, or what the torque, speed and voltage entered take at a usual efficiency"
    );
    Ok(())
}

/// A kind of axis hides what it does not use and keeps it.
pub fn a_kind_of_axis_shows_its_own_fields(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Axis")?;
    let shown = |label: &str| page.field(label)?.is_shown();
    page.field("Arm length to the centre of mass")?
        .enter("70 mm")?;
    assert!(!shown("Screw lead")?);
    let kind = page.find_by_role("combobox", "Kind of axis")?;
    kind.choose("screw")?;
    assert_eq!(kind.value()?, "screw");
    card::wait_for_entry(page, "axis.kind=screw")?;
    assert!(shown("Screw lead")?);
    assert!(!page.find("#f-axis-radius")?.is_shown()?);
    kind.choose("arm")?;
    assert_eq!(kind.value()?, "arm");
    assert!(shown("Arm length to the centre of mass")?);
    assert_eq!(
        page.field("Arm length to the centre of mass")?.value()?,
        "70 mm"
    );
    card::wait_for_entry(page, "axis.radius=70mm").map(drop)
}

pub fn the_rest_opens(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Motor")?;
    let rest = page.find("#motor .rest > button")?;
    let label = rest.text()?;
    assert!(label.starts_with("More inputs (9; 0 entered)"), "{label}");
    rest.click()?;
    page.field("Winding inductance")?.enter("1.1 mH")?;
    page.wait_until("the rest counts what is given", || {
        Ok(rest.text()?.starts_with("More inputs (9; 1 entered)"))
    })
}

/// At most eight fields show in a station before one asks for the rest; asked first are those of layer 1.
pub fn a_choice_field_takes_its_words(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Regulator")?;
    let before = card::result(page, "regulator.loss")?;
    let kind = page.field("Regulator type")?;
    kind.choose("buck")?;
    card::wait_for_entry(page, "regulator.kind=buck")?;
    assert_ne!(card::result(page, "regulator.loss")?, before);
    card::press(page, "use typical value: Regulator type")?;
    assert_eq!(page.field("Regulator type")?.value()?, "linear");
    assert_eq!(card::result(page, "regulator.loss")?, before);
    Ok(())
}

/// What checks and findings say follows what is typed, in the lines that stand there: a button in one of them keeps
/// the keyboard.
pub fn what_a_check_says_follows_in_its_place(page: &Page) -> Outcome {
    page.open()?;
    card::open_station(page, "Gears")?;
    // A line that the simulation brings is not there before.
    card::results(page)?;
    page.execute(
        "for (const line of document.querySelectorAll('#gears li.fails, #gears .finding, ul.worst li')) {
             line.dataset.before = 'here';
         }
         document.querySelector('#gears li.fails button').focus();",
        json!([]),
    )?;
    let says = || {
        page.execute(
            "const of = line => line ? [line.dataset.before, line.textContent] : null;
             return [
                 of(document.querySelector('#gears li.fails')),
                 of(document.querySelector('#gears .finding')),
                 of(document.querySelector('ul.worst li')),
                 of(document.querySelector('#verdict-sentence')),
                 [document.activeElement.textContent, ''],
             ];",
            json!([]),
        )
    };
    let before = says()?;
    page.execute(
        "const field = document.querySelector('#f-gears-backlash');
         field.value = '0.17 deg';
         field.dispatchEvent(new Event('input', { bubbles: true }));",
        json!([]),
    )?;
    card::wait_for_result(page, "gears.backlash_at_load", "0.46 mm")?;
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
    // The headline says the figure, and its line below only what fails.
    assert_ne!(before[3][1], after[3][1]);
    assert_eq!(before[4], after[4]);
    Ok(())
}
