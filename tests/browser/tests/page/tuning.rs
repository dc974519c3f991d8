//! Tuning the loop: found beside the page, entered by one press, taken back by another.

use crate::card;
use browser::{Outcome, Page};

/// The turntable lands off on the other flank of its play; what is found lets this move land within the tolerance, and
/// the play is named, because other moves of the kind still end on its other flank (the figures are held in the sheet's
/// tests: entering a proposal brings what it says).
pub fn settings_are_found_entered_and_taken_back(page: &Page) -> Outcome {
    card::open_station(page, "Loop")?;
    card::wait_for_result(page, "loop.final_error", "0.385 mm")?;
    card::press(page, "Tune the loop")?;
    let tuning = || page.find(".tuning")?.text();
    page.wait_until("something is found", || {
        Ok(tuning()?.contains("Backlash limits it, whatever the settings"))
    })?;
    assert!(
        !card::link(page)?.contains("loop.deadband"),
        "seeking enters nothing"
    );
    assert_eq!(
        page.find(".tuning tr.changed td:last-child")?.text()?,
        "at once"
    );
    card::press(page, "Use these settings")?;
    card::wait_for_entry(page, "loop.deadband=2")?;
    page.wait_until("what was found for another design goes", || {
        Ok(!tuning()?.contains("Asked:") && tuning()?.contains("Undo restores the old settings"))
    })?;
    card::wait_for_result(page, "loop.settling_time", "0 s")?;
    card::press(page, "Undo")?;
    let _ = card::wait_for_link(page, "is as before", |link| {
        link.contains("loop.bandwidth=5Hz") && !link.contains("loop.deadband")
    })?;
    card::wait_for_result(page, "loop.final_error", "0.385 mm")?;
    assert!(page.take_errors()?.is_empty());
    Ok(())
}

/// Found for one design, it is not shown for another.
pub fn what_was_found_goes_with_its_design(page: &Page) -> Outcome {
    card::open_station(page, "Loop")?;
    card::press(page, "Tune the loop")?;
    page.wait_until("something is found", || {
        Ok(page.find(".tuning")?.text()?.contains("Asked:"))
    })?;
    card::field(page, "loop.bandwidth")?.enter("3 Hz")?;
    page.wait_until("it goes", || {
        Ok(!page.find(".tuning")?.text()?.contains("Asked:"))
    })?;
    Ok(())
}

/// A browser without workers, or one that starts none from a file.
pub fn without_a_worker_the_page_seeks_by_itself(page: &Page) -> Outcome {
    for script in crate::landing::NO_WORKERS {
        page.open()?;
        page.open_watched("", script)?;
        card::open_station(page, "Loop")?;
        // What the simulation says moves the button; a press may come in between.
        card::wait_for_result(page, "loop.final_error", "0.385 mm")?;
        card::press(page, "Tune the loop")?;
        page.wait_until("something is found", || {
            Ok(page
                .find(".tuning")?
                .text()?
                .contains("Backlash limits it, whatever the settings"))
        })?;
        assert!(page.take_errors()?.is_empty());
    }
    page.open()
}
