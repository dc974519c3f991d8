//! What tolerances do to results and checks.

use crate::common::{demos, entered, input};
use pulsewright_sheet::analysis::tolerance::{self, range, sensitivity};
use pulsewright_sheet::evaluation::{Eval, check, display};
use pulsewright_sheet::register::{self, COUNT, INPUT_COUNT};

/// Source: JCGM 100:2008 (GUM), 5.1.2, from memory: of a product the relative parts add as squares;
/// 1 kg · 9.80665 m/s² · 100 mm with 10 % and 2 % is 0.980665 N·m ± √(10² + 2²) %.
#[test]
fn a_product_of_two_lies_within_the_root_of_their_squares() {
    let arm = entered(&[
        ("axis.load_mass", "1 kg ± 10 %"),
        ("axis.radius", "100 mm ± 2 mm"),
    ]);
    let torque = register::find("axis.load_torque").expect("a result");
    let range = range(&Eval::new(&arm), torque).expect("two tolerances");
    let half = 0.980_665 * (0.1_f64.powi(2) + 0.02_f64.powi(2)).sqrt();
    assert!(
        (range.low - (0.980_665 - half)).abs() < 1e-12,
        "{}",
        range.low
    );
    assert!((range.high - (0.980_665 + half)).abs() < 1e-12);
    let order: Vec<&str> = range
        .effects
        .iter()
        .map(|e| register::id(e.input))
        .collect();
    assert_eq!(order, ["axis.load_mass", "axis.radius"]);
    assert!((range.effects[0].above - 0.098_066_5).abs() < 1e-12);
    assert!((range.effects[1].below + 0.019_613_3).abs() < 1e-12);
}

/// No published value: a tolerance is what the same entry, moved by it, does.
#[test]
fn an_effect_is_what_the_moved_entry_does() {
    for (_, example) in demos() {
        let c = Eval::new(&example);
        let mut seen = 0;
        for held in check::all(&c) {
            let effects = sensitivity(&Eval::new(&example), held.check);
            let sizes: Vec<f64> = effects.iter().map(|e| e.size()).collect();
            assert!(sizes.is_sorted_by(|a, b| a >= b), "{}", held.check.id);
            for effect in effects.iter().take(3) {
                let input = effect.input;
                assert!(held.depends_on.has(input), "{}", register::id(input));
                let by = tolerance::of(&c, input).expect("a tolerance");
                let to = c.raw(input).expect("a value") + by;
                let Some(moved) = tolerance::shifted(&example, input, to) else {
                    continue;
                };
                let margin = (held.check.margin)(&Eval::new(&moved)).ok().flatten();
                let Some(margin) = margin.and_then(|r| r.ratio()) else {
                    assert!(effect.lost);
                    continue;
                };
                let before = held.ratio().expect("a margin");
                assert!((effect.above - (margin - before)).abs() <= 1e-9 * margin.abs());
                seen += 1;
            }
        }
        assert!(seen > 20, "{seen}");
    }
}

/// No published value: a range holds its result, and is finite.
#[test]
fn every_result_lies_in_its_range() {
    for (_, example) in demos() {
        let c = Eval::new(&example);
        let mut seen = 0;
        for index in INPUT_COUNT..COUNT {
            if register::result(index).is_some_and(|r| r.costly) {
                continue;
            }
            let Some(range) = range(&Eval::new(&example), index) else {
                continue;
            };
            let value = c.raw(index).expect("a result");
            assert!(
                range.low.is_finite() && range.high.is_finite(),
                "{}",
                register::id(index)
            );
            assert!(
                range.low <= value && value <= range.high,
                "{}",
                register::id(index)
            );
            seen += 1;
        }
        assert!(seen > 60, "{seen}");
    }
}

/// No published value: an absolute tolerance is meant for what is assumed. Of a given size it is a quarter at most; what
/// has no natural nought keeps it.
#[test]
fn the_tolerance_of_a_given_size_is_a_quarter_at_most() {
    let of = |id: &str, text: &str| {
        let design = entered(&[("axis.kind", "belt"), (id, text)]);
        let c = Eval::new(&design);
        let shown = display::untyped(&c, input(id)).expect("a tolerance in words");
        (tolerance::of(&c, input(id)).expect("a tolerance"), shown)
    };
    let degrees = |(size, shown): (f64, String)| (size.to_degrees(), shown);
    for (text, size, shown) in [
        ("", 1.0, "1°"),
        ("0.16 deg", 0.04, "25 %"),
        ("3 deg", 0.75, "25 %"),
        ("8 deg", 1.0, "1°"),
        ("0 deg", 0.0, "25 %"),
    ] {
        let (found, said) = degrees(of("gears.backlash", text));
        assert!((found - size).abs() < 1e-12, "{text}: {found}");
        assert_eq!(said.replace('\u{202f}', " "), shown, "{text}");
    }
    let (found, said) = degrees(of("axis.slope", "0.5 deg"));
    assert!(
        (found - 1.0).abs() < 1e-12 && said == "1°",
        "{found} {said}"
    );
    let (found, _) = of("axis.ambient_temperature", "1 degC");
    assert!((found - 5.0).abs() < 1e-12, "{found}");
    // An entry with its own keeps it.
    let own = entered(&[("gears.backlash", "0.16 deg ± 0.5 deg")]);
    let found = tolerance::of(&Eval::new(&own), input("gears.backlash"));
    assert!((found.expect("a tolerance").to_degrees() - 0.5).abs() < 1e-12);
}
