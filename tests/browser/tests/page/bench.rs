//! The bench sheet, the order, and the leaves behind the card.

use crate::card;
use browser::{Outcome, Page};
use serde_json::json;

/// The listing of the example says 45 mA.
pub fn a_reading_flows_back_and_undo_takes_it_away(page: &Page) -> Outcome {
    card::press(page, "Bench tests")?;
    card::wait_for_result(page, "bench.no_load_current", "45 mA")?;
    page.field("No-load current, measured")?.enter("52 mA")?;
    card::wait_for_entry(page, "bench.no_load_current_read=52mA")?;
    card::press(page, "Use this reading: No-load current")?;
    card::wait_for_result(page, "bench.no_load_current", "52 mA")?;
    card::wait_for_entry(page, "motor.no_load_current=52mA~2pct")?;
    page.wait_until("the reading is within its limits", || {
        card::says(page, "Within tolerance.")
    })?;
    card::press(page, "Undo")?;
    card::wait_for_result(page, "bench.no_load_current", "45 mA")?;
    card::wait_for_entry(page, "motor.no_load_current=45mA")?;
    card::press(page, "Redo")?;
    card::wait_for_result(page, "bench.no_load_current", "52 mA")?;
    card::expect_sound(page, "a reading was used")
}

/// Limits are worked out once nobody types; until then their lines stay, so that no button moves under a finger.
pub fn what_is_worked_out_later_moves_no_button(page: &Page) -> Outcome {
    card::press(page, "Bench tests")?;
    page.field("No-load current, measured")?.fill("52 mA")?;
    let name = "Use this reading: No-load current";
    // Within its station: what stands above that is laid out when somebody comes near it.
    let height = || {
        page.find_by_role("button", name)?;
        page.execute(
            "const button = [...document.querySelectorAll('#bench-tests button')]
                 .find(button => button.textContent === arguments[0]);
             const apart = button.getBoundingClientRect().top
                 - document.getElementById('bench-tests').getBoundingClientRect().top;
             // Firefox reckons a place on the page in single precision.
             return Math.round(apart * 100) / 100;",
            json!([name]),
        )
    };
    let before = height()?;
    page.wait_until("its limits are known", || {
        card::says(page, "Within tolerance.")
    })?;
    assert_eq!(height()?, before);
    Ok(())
}

pub fn a_reading_outside_its_limits_says_what_it_means(page: &Page) -> Outcome {
    card::press(page, "Bench tests")?;
    page.field("No-load current, measured")?.enter("0.3 A")?;
    page.wait_until("the deviation is explained", || {
        card::says(
            page,
            "Above tolerance: tight or dry gears, a magnet that rubs",
        )
    })?;
    page.field("No-load current, measured")?.enter("5 mA")?;
    page.wait_until("the other one is, too", || {
        card::says(page, "Below tolerance: less friction than entered")
    })?;
    // No source gives more than its own voltage: nothing is taken over, and it says so.
    page.field("Supply voltage at start, measured")?
        .enter("7 V")?;
    card::press(page, "Use this reading: Source resistance")?;
    page.wait_until("it says that nothing fits", || {
        card::says(page, "check other values first")
    })
}

/// A label of 70 on gears of 9975/143 (the greenhouse vent's, invented): ten driven turns count 8371
/// edges.
pub fn counted_edges_give_tooth_fractions(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Gears")?;
    page.field("Gear ratio")?.enter("70")?;
    card::open_station(page, "Bench tests")?;
    card::wait_for_result(page, "bench.turn_counts", "8400")?;
    page.field("Encoder edges, counted")?.enter("8371")?;
    page.wait_until("the ratio is doubted", || {
        card::says(page, "The one entered, 70, does not fit.")
    })?;
    let first = page.find(".fractions button")?;
    let text = first.text()?;
    let fraction = text
        .strip_prefix("Use ")
        .and_then(|t| t.split(' ').next())
        .unwrap_or_default()
        .to_owned();
    first.click()?;
    card::wait_for_entry(page, &format!("gears.ratio={fraction}"))?;
    card::wait_for_entry(page, "gears.nominal_ratio=70")?;
    page.wait_until("the ratio fits", || card::says(page, ", fits."))?;
    card::press(page, "Undo")?;
    card::wait_for_entry(page, "gears.ratio=70")?;
    Ok(())
}

pub fn the_order_is_kept(page: &Page) -> Outcome {
    card::press(page, "Order checklist")?;
    page.wait_until("the list is there", || {
        Ok(page.focused()?.attribute("id")?.as_deref() == Some("before-you-order"))
    })?;
    let pressed = || {
        page.execute(
            "return [...document.querySelectorAll('.order [aria-pressed=true]')].map(b => b.textContent + ' ' + b.parentElement.getAttribute('aria-label'))",
            json!([]),
        )
    };
    // What the simulation says moves the answers under the pointer.
    card::results(page)?;
    page.find_all(".order .answer")?[0].click()?;
    page.find_all(".order .answer")?[3].click()?;
    card::wait_for_entry(page, "order.bore=no")?;
    let expected = json!([
        "yes At least 4 mm of the rear shaft is free",
        "no Rear shaft diameter fits the magnet's bore"
    ]);
    assert_eq!(pressed()?, expected);
    page.reload()?;
    card::open_station(page, "Bench tests")?;
    page.wait_until("the answers are back", || Ok(pressed()? == expected))?;
    // A second press takes an answer away.
    page.find_all(".order .answer")?[3].click()?;
    page.wait_until("the answer is gone", || {
        Ok(pressed()? == json!(["yes At least 4 mm of the rear shaft is free"]))
    })
}

pub fn a_sign_leads_to_its_station(page: &Page) -> Outcome {
    card::press(page, "Troubleshooting (symptoms)")?;
    page.wait_until("a sign has this design's figures", || {
        card::says(page, "0.433 mm expected. Approach from one side only.")
    })?;
    card::press(page, "To Hold and heat: Gets hot at standstill")?;
    page.wait_until("the station is open and has the keyboard", || {
        let heading = card::heading(page, "Hold and heat")?;
        Ok(
            heading.attribute("aria-expanded")?.as_deref() == Some("true")
                && page.focused()?.attribute("id")? == heading.attribute("id")?,
        )
    })
}

pub fn a_word_leads_to_its_meaning(page: &Page) -> Outcome {
    card::open_station(page, "Encoder")?;
    card::press(page, "what is meant by quadrature")?;
    page.wait_until("its meaning is shown", || {
        Ok(page.focused()?.text()? == "quadrature"
            && card::says(
                page,
                "Two signals 90° electrical apart: they give the direction",
            )?)
    })
}
