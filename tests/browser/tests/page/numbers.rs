//! Numbers that people know beforehand, entered and read as they do it.

use crate::card;
use browser::{Outcome, Page};

fn three_pole_pairs(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_station(page, "Gears")?;
    page.field("Gear ratio")?.enter("380:1")?;
    card::open_station(page, "Encoder")?;
    page.field("Magnet pole pairs")?.enter("3")?;
    page.field("Number of sensors")?.enter("2")?;
    page.field("Angle between the sensors")?.enter("90°")
}

/// Common practice, no source: three pole pairs and two sensors at 90° give 12 counts a motor turn at 270° electrical;
/// behind 380:1 that is 4560 counts a turn, 0.0789° each (360°/4560 = 0.07895°).
pub fn three_pole_pairs_behind_380_to_1_give_4560_counts(page: &Page) -> Outcome {
    three_pole_pairs(page)?;
    card::wait_for_result(page, "encoder.counts_per_motor_turn", "12")?;
    card::wait_for_result(page, "encoder.counts_per_output_turn", "4560")?;
    card::wait_for_result(page, "encoder.angle_per_count", "0.07895°")?;
    card::wait_for_result(page, "encoder.electrical_spacing", "270°")?;
    card::wait_for_result(page, "encoder.direction", "backward: swap the two signals")?;
    let note = page.find("#encoder .finding.note")?.text()?;
    assert!(
        note.contains("270°") && note.contains("the count direction is reversed"),
        "{note}"
    );
    card::wait_for_entry(page, "gears.ratio=380:1").map(drop)
}

/// Common practice, no source: two or four pole pairs with the sensors at 90° give no direction at all.
pub fn two_or_four_pole_pairs_give_no_direction(page: &Page) -> Outcome {
    three_pole_pairs(page)?;
    for pole_pairs in ["2", "4"] {
        page.field("Magnet pole pairs")?.enter(pole_pairs)?;
        card::wait_for_result(
            page,
            "encoder.direction",
            "none: it cannot tell which way it turns",
        )?;
        let fault = page.find("#encoder .finding.fault")?.text()?;
        assert!(fault.contains("give no direction"), "{fault}");
        let name = card::heading(page, "Encoder")?.label()?;
        assert!(
            name.starts_with("Encoder") && name.contains(", fails"),
            "{name}"
        );
        let seen = page.find("#encoder > h2")?.text()?;
        assert!(seen.contains("fails"), "the stamp says it too: {seen}");
    }
    page.field("Magnet pole pairs")?.enter("1")?;
    card::wait_for_result(page, "encoder.direction", "forward")
}

/// Arithmetic: 1 kgf·cm is 0.0980665 N·m, 2.5 are 0.24516625, 10 are 0.980665; the torque given is the load.
pub fn a_kilogram_force_at_a_centimetre_is_what_it_always_was(page: &Page) -> Outcome {
    page.open_with("#pw1;axis.kind=torque")?;
    card::open_station(page, "Axis")?;
    let field = page.field("Load torque")?;
    for (typed, shown) in [
        ("1 kgcm", "98.1 mN·m"),
        ("2,5 kgf·cm", "245 mN·m"),
        ("10 kg-cm", "981 mN·m"),
        ("1 N.m", "1 N·m"),
    ] {
        field.enter(typed)?;
        card::wait_for_result(page, "axis.load_torque", shown)?;
    }
    Ok(())
}

/// Typed in any spelling, shown as it was read, in the unit that the person chose; the link carries the same.
pub fn numbers_are_taken_as_people_type_them(page: &Page) -> Outcome {
    card::press(page, "New design")?;
    card::open_everything(page, false)?;
    for (id, typed, shown, entry) in [
        (
            "motor.stall_torque",
            "4,5 kgcm",
            "4.5 kgf·cm",
            "motor.stall_torque=4.5kgf.cm",
        ),
        (
            "motor.stall_torque",
            "4.6 kg·cm ± 10 %",
            "4.6 kgf·cm ± 10 %",
            "motor.stall_torque=4.6kgf.cm~10pct",
        ),
        (
            "motor.stall_torque",
            "31 oz-in",
            "31 ozf·in",
            "motor.stall_torque=31ozf.in",
        ),
        (
            "motor.terminal_resistance",
            "4R7",
            "4.7 Ω",
            "motor.terminal_resistance=4.7Ohm",
        ),
        (
            "motor.terminal_resistance",
            "1k2",
            "1.2e3 Ω",
            "motor.terminal_resistance=1.2e3Ohm",
        ),
        (
            "motor.terminal_resistance",
            "4.7 \u{2126}",
            "4.7 Ω",
            "motor.terminal_resistance=4.7Ohm",
        ),
        (
            "supply.bulk_capacitance",
            "1 000 µF",
            "1000 µF",
            "supply.bulk_capacitance=1000uF",
        ),
        (
            "supply.voltage",
            "12 V ± 2 %",
            "12 V ± 2 %",
            "supply.voltage=12V~2pct",
        ),
        (
            "supply.voltage",
            "12 V +/- 0,2 V",
            "12 V ± 0.2 V",
            "supply.voltage=12V~0.2V",
        ),
        (
            "axis.ambient_temperature",
            "77 °F",
            "77 °F",
            "axis.ambient_temperature=77degF",
        ),
        (
            "gears.stages",
            "35/12 × 37/13",
            "35:12,37:13",
            "gears.stages=35:12,37:13",
        ),
        ("gears.backlash", "1.5 deg", "1.5°", "gears.backlash=1.5deg"),
        (
            "motor.no_load_speed",
            "300 rpm",
            "300 rpm",
            "motor.no_load_speed=300rpm",
        ),
    ] {
        let field = card::field(page, id)?;
        field.enter(typed)?;
        assert_eq!(field.value()?, shown);
        card::wait_for_entry(page, entry)?;
        assert_eq!(field.attribute("aria-invalid")?, None, "{typed}");
    }
    Ok(())
}
