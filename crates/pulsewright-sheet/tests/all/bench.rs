//! The bench sheet: limits, what a reading says, and its way back into the design.

use crate::common::{demo, demos, entered, input, said, value_of, with};
use pulsewright_calc::ratio::exact;
use pulsewright_sheet::analysis::bench_sheet::{self, ORDER, READINGS, Sets, Standing};
use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::link;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::guide::glossary;
use pulsewright_sheet::guide::troubleshooting;
use pulsewright_sheet::register;
use pulsewright_sheet::stations;
use pulsewright_sheet::text::number::{self, DecimalMark};

/// Root of the sum of squares, by hand. No-load current on the sheet is that of the listing: its
/// limits are the ± of the listing alone.
#[test]
fn limits_of_one_input_are_its_own_tolerance() {
    let design = entered(&[("motor.no_load_current", "50 mA ± 10 mA")]);
    let c = Eval::new(&design);
    let row = &READINGS[1];
    let limits = bench_sheet::limits(&c, row).expect("limits");
    assert!((limits.0 - 0.040).abs() < 1e-9 && (limits.1 - 0.060).abs() < 1e-9);
    assert_eq!(
        bench_sheet::between(&c, row, Some(limits)),
        "between 40 and 60 mA"
    );
}

/// R = V/I: with 10 V ± 0 and 1 A ± 10 % the resistance lies from 10/1.1 to 10/0.9; two independent
/// inputs add as squares: the source's voltage and the listing's current make the drop at a start.
#[test]
fn limits_of_several_inputs_add_as_squares() {
    let design = entered(&[
        ("motor.rated_voltage", "10 V ± 0.5 V"),
        ("motor.stall_current", "1 A ± 10 %"),
    ]);
    let c = Eval::new(&design);
    let row = &READINGS[0];
    let (low, high) = bench_sheet::limits(&c, row).expect("limits");
    let below = libm::hypot(10.0 - 10.0 / 1.1, 0.5);
    let above = libm::hypot(10.0 / 0.9 - 10.0, 0.5);
    assert!((low - (10.0 - below)).abs() < 1e-6, "{low}");
    assert!((high - (10.0 + above)).abs() < 1e-6, "{high}");
}

#[test]
fn a_reading_stands_below_within_or_above() {
    for (text, expected) in [
        ("30 mA", Standing::Below),
        ("39.5 mA ± 1 mA", Standing::Within),
        ("50 mA", Standing::Within),
        ("62 mA", Standing::Above),
        ("62 mA ± 3 mA", Standing::Within),
    ] {
        let design = entered(&[
            ("motor.no_load_current", "50 mA ± 10 mA"),
            ("bench.no_load_current_read", text),
        ]);
        let c = Eval::new(&design);
        let row = &READINGS[1];
        let limits = bench_sheet::limits(&c, row);
        assert_eq!(bench_sheet::standing(&c, row, limits), expected, "{text}");
        let says = bench_sheet::verdict(&c, row, limits);
        match expected {
            Standing::Below => assert!(says.contains("less friction"), "{says}"),
            Standing::Above => assert!(says.contains("magnet that rubs"), "{says}"),
            _ => assert_eq!(says, "Within tolerance."),
        }
        let outside = f64::from(u8::from(expected != Standing::Within));
        assert_eq!(
            value_of(&design, "bench.out_of_tolerance"),
            outside,
            "{text}"
        );
    }
}

/// The law of every row: once a reading is used, the sheet expects that reading.
#[test]
fn a_used_reading_is_what_is_expected_from_then_on() {
    let mut used = 0;
    for (name, design) in demos() {
        let c = Eval::new(&design);
        for row in &READINGS {
            let (Ok(now), Sets::Same(target) | Sets::Solved(target)) =
                (c.answer(row.expect).found, row.sets)
            else {
                continue;
            };
            let measure = register::measure(row.expect);
            let ambient = c
                .get(register::axis::AMBIENT_TEMPERATURE)
                .expect("ambient")
                .value;
            for factor in [0.93, 1.04] {
                // A temperature by its rise, a loaded supply by its drop.
                let read = match measure {
                    pulsewright_sheet::text::measure::Measure::Temperature => {
                        ambient + (now - ambient) * factor
                    }
                    _ => now * factor,
                };
                let unit = match measure {
                    pulsewright_sheet::text::measure::Measure::Temperature => "degC",
                    measure => measure.si_name(),
                };
                let text = [number::text(measure.reported(read), 9).as_str(), " ", unit].concat();
                let id = register::id(row.read);
                let told = with(&design, &[(id, &text)]);
                let what = format!("{name}: {id} {text}");
                let Ok(taken) = bench_sheet::take(&Eval::new(&told), row) else {
                    continue;
                };
                used += 1;
                let after = Eval::new(&taken).answer(row.expect).found.expect(&what);
                let rise = if measure == pulsewright_sheet::text::measure::Measure::Temperature {
                    ambient
                } else {
                    0.0
                };
                assert!(
                    (after - read).abs() <= 1e-4 * (read - rise).abs().max(1e-3 * read.abs()),
                    "{what}: {after}, not {read}"
                );
                let entry = taken.entry(target).expect(&what);
                assert!(entry.tolerance.is_some(), "{what}: {}", entry.text);
                // Nothing else was touched, and it is not offered a second time.
                for index in 0..register::INPUT_COUNT {
                    if index != target {
                        assert_eq!(taken.state(index), told.state(index), "{what}");
                    }
                }
                assert_eq!(bench_sheet::offer(&Eval::new(&taken), row), None, "{what}");
            }
        }
    }
    assert!(used > 30, "only {used} readings were used");
}

#[test]
fn a_reading_that_nothing_gives_is_said_to_be_so() {
    // More volts at the start than the source has: no resistance of a source does that.
    let design = entered(&[("bench.start_voltage_read", "9 V")]);
    let row = READINGS
        .iter()
        .find(|r| register::id(r.expect) == "bench.start_voltage")
        .expect("row");
    let message = bench_sheet::take(&Eval::new(&design), row).expect_err("no such source");
    assert!(message.contains("check other values"), "{message}");
}

/// The vent lever's three hold currents are 0.832, 1.423 and 0.372 A (defaults of the demos).
#[test]
fn a_current_at_rest_names_how_it_holds() {
    let row = READINGS
        .iter()
        .find(|r| r.sets == Sets::Holding)
        .expect("row");
    for (text, word) in [("0.4 A", "friction_helps"), ("1.3 A", "friction_against")] {
        let design = with(&demo("vent_lever"), &[("bench.hold_current_read", text)]);
        let taken = bench_sheet::take(&Eval::new(&design), row).expect(text);
        assert_eq!(taken.text(input("move.holding_current")), word);
    }
}

/// 9975/143 motor turns, ten turns, twelve edges a motor turn: 8370.6 edges; whole ones are counted.
#[test]
fn counted_edges_give_a_band_and_its_tooth_fractions() {
    let design = with(&demo("vent_lever"), &[("bench.edges_read", "8371")]);
    let c = Eval::new(&design);
    let per_turn = 120;
    let exactly = |n: i128| exact(n, per_turn);
    let of = |id: &str| c.answer(register::find(id).expect(id)).exact;
    assert_eq!(of("bench.counted_ratio"), exactly(8371));
    assert_eq!(of("bench.counted_ratio_low"), exactly(8370));
    assert_eq!(of("bench.counted_ratio_high"), exactly(8372));
    assert_eq!(bench_sheet::ratio_fits(&c), Some(true));
    let found = bench_sheet::fractions(&c);
    assert!(!found.is_empty());
    for (p, q) in &found {
        let x = exact(i128::from(*p), i128::from(*q));
        assert!(x >= exactly(8370) && x <= exactly(8372), "{p}/{q}");
    }
    assert!(found.windows(2).all(|pair| pair[0].1 <= pair[1].1));
    // A mark seen less well widens the band.
    let wide = with(&demo("vent_lever"), &[("bench.edges_read", "8371 ± 12")]);
    let c = Eval::new(&wide);
    let low = c.answer(register::find("bench.counted_ratio_low").expect("id"));
    assert_eq!(low.exact, exactly(8359));
}

/// A label of 70 that is really 9975/143: with figures at the output N cancels, so speed and torque
/// of the output stay; what was thought the ratio becomes the label's.
#[test]
fn a_ratio_from_counting_changes_nothing_but_the_counts() {
    let design = entered(&[("gears.ratio", "70"), ("bench.edges_read", "8371")]);
    assert_eq!(bench_sheet::ratio_fits(&Eval::new(&design)), Some(false));
    let taken = bench_sheet::take_fraction(&Eval::new(&design), 9975, 143);
    assert_eq!(taken.text(input("gears.ratio")), "9975/143");
    assert_eq!(taken.text(input("gears.nominal_ratio")), "70");
    assert_eq!(bench_sheet::ratio_fits(&Eval::new(&taken)), Some(true));
    for id in ["drive.no_load_speed", "drive.stall_torque", "hold.current"] {
        let (was, is) = (value_of(&design, id), value_of(&taken, id));
        assert!((was - is).abs() <= 1e-9 * was.abs(), "{id}: {was}, {is}");
    }
    // Stages make way, their number stays.
    let staged = with(&demo("turntable"), &[("bench.edges_read", "178892")]);
    let count = value_of(&staged, "gears.stage_count");
    let taken = bench_sheet::take_fraction(&Eval::new(&staged), 19380, 13);
    assert!(taken.entry(input("gears.stages")).is_none());
    assert_eq!(value_of(&taken, "gears.stage_count"), count);
    assert_eq!(value_of(&taken, "gears.exact_ratio"), 19380.0 / 13.0);
}

/// Caution 4 of the texts, with its numbers from other results.
#[test]
fn the_lever_stays_below_teeth_bridge_and_half_the_voltage() {
    for (_, design) in demos() {
        let of = |id: &str| value_of(&design, id);
        let volts = of("bench.lever_voltage");
        assert!(volts <= 0.5 * of("supply.voltage") + 1e-12);
        let current = volts / of("drive.total_resistance");
        assert!(current <= of("gears.safe_current") * (1.0 + 1e-12));
        assert!(current <= of("bridge.current_limit") * (1.0 + 1e-12));
        assert!(of("bench.lever_force") <= of("bench.lever_force_limit") * (1.0 + 1e-9));
        assert!(of("bench.lever_time") <= 0.5 * of("heat.stall_time") + 1e-12);
    }
}

#[test]
fn the_cautions_carry_computed_numbers() {
    for (name, design) in demos() {
        let c = Eval::new(&design);
        // A battery limits nothing in a short; the other two run from small adapters.
        let battery = ["vent_lever", "camera_slider"].contains(&name);
        for id in ["runs_away", "lever_test", "energy_source"] {
            if id == "energy_source" && !battery {
                continue;
            }
            let (_, message) = said(&c, id).expect(id);
            assert!(!message.contains(['{', '}']), "{message}");
            assert!(message.chars().any(|c| c.is_ascii_digit()), "{message}");
            assert!(!message.contains("missing:"), "{message}");
        }
    }
    let wrong = entered(&[("bench.polarity", "pulls_along")]);
    assert!(said(&Eval::new(&wrong), "wrong_polarity").is_some());
    assert_eq!(value_of(&wrong, "bench.out_of_tolerance"), 1.0);
}

#[test]
fn the_order_is_open_until_every_row_has_a_yes() {
    let mut design = Design::default();
    assert_eq!(value_of(&design, "order.open"), ORDER.len() as f64);
    for (at, row) in ORDER.iter().enumerate() {
        design.enter(row.answer, "no", DecimalMark::Typed);
        assert_eq!(value_of(&design, "order.open"), (ORDER.len() - at) as f64);
        design.enter(row.answer, "yes", DecimalMark::Typed);
        assert_eq!(
            value_of(&design, "order.open"),
            (ORDER.len() - at - 1) as f64
        );
    }
    // Readings and answers travel in the link.
    let design = with(&design, &[("bench.no_load_current_read", "57 mA")]);
    let read = link::read(&link::write(&design)).expect("link");
    assert_eq!(read.design, design);
}

/// Every `{id}` of the texts is one of the register, and stands for a number in every example.
#[test]
fn texts_name_what_the_register_has() {
    let mut texts: Vec<&str> = Vec::new();
    for row in &READINGS {
        texts.extend([row.how, row.below, row.above]);
    }
    texts.extend(ORDER.iter().map(|row| row.figures));
    texts.extend(troubleshooting::SIGNS.iter().map(|sign| sign.measure));
    for text in texts {
        for piece in text.split('{').skip(1) {
            let id = piece.split('}').next().unwrap_or("");
            assert!(register::find(id).is_some(), "{id} in {text}");
        }
        for (_, design) in demos() {
            let filled = finding::fill_template(text, &Eval::new(&design));
            assert!(!filled.contains("missing:"), "{filled}");
        }
    }
    // A word is explained once, from A to Z.
    let words = glossary::TERMS.map(|t| t.word.to_lowercase());
    assert!(words.windows(2).all(|pair| pair[0] < pair[1]));
}

/// Every word of the glossary is one that the sheet uses.
#[test]
fn the_glossary_explains_what_the_sheet_says() {
    let mut sheet = String::new();
    for heading in register::STATIONS {
        sheet += &[heading.question, heading.about].join(" ");
    }
    for input in register::inputs() {
        sheet += &[" ", input.label, " ", input.help].concat();
        if let register::Form::Choice(words) = input.form {
            sheet += &words.join(" ");
        }
    }
    for result in register::results() {
        sheet += &[" ", result.label, " ", result.meaning, " ", result.source].concat();
    }
    for check in stations::checks() {
        sheet += &[" ", check.label, " ", check.failing].concat();
    }
    for finding in stations::findings() {
        sheet += &[" ", finding.message].concat();
    }
    for sign in troubleshooting::SIGNS {
        sheet += &[" ", sign.does, " ", sign.measure].concat();
    }
    let sheet = sheet.to_lowercase();
    let missing: Vec<&str> = glossary::TERMS
        .iter()
        .map(|t| t.word)
        .filter(|word| !sheet.contains(&word.to_lowercase()))
        .collect();
    assert!(missing.is_empty(), "explained and not used: {missing:?}");
}
