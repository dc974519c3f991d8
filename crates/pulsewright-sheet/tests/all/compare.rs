//! Two designs side by side.

use crate::common::entered;
use core::cmp::Ordering;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::output::compare::{What, differences};

/// No published value: a design does not differ from itself, nor from one that enters what is assumed.
#[test]
fn the_same_is_not_listed() {
    let (a, b) = (Design::default(), entered(&[("axis.load_mass", "60 g")]));
    assert_eq!(differences(&Eval::new(&a), &Eval::new(&a)), []);
    assert_eq!(differences(&Eval::new(&a), &Eval::new(&b)), []);
}

/// Level arm, m·g·r by hand: 100 g at 50 mm is 49.03 mN·m, 200 g is 98.07 mN·m.
#[test]
fn another_mass_changes_what_rests_on_it() {
    let (a, b) = (
        entered(&[("axis.load_mass", "100 g")]),
        entered(&[("axis.load_mass", "200 g")]),
    );
    let list = differences(&Eval::new(&a), &Eval::new(&b));
    let said = |id: &str| {
        let found = list.iter().find(|d| d.id == id).expect(id);
        (found.what, found.first.as_str(), found.second.as_str())
    };
    assert_eq!(said("axis.load_mass"), (What::Input, "100 g", "200 g"));
    assert_eq!(
        said("axis.load_torque"),
        (What::Result, "49.03 mN·m", "98.07 mN·m")
    );
    assert_eq!(said("check.torque").0, What::Stamp);
    assert!(!list.iter().any(|d| d.id == "motor.resistance"));
    // The bandwidth that is assumed keeps the phase margin with the load.
    let inputs = list.iter().filter(|d| d.what == What::Input).map(|d| d.id);
    let inputs: Vec<&str> = inputs.collect();
    assert_eq!(inputs, ["axis.load_mass", "loop.bandwidth"], "{list:?}");
}

/// No published value: what one kind of axis does not use is empty on its side.
#[test]
fn what_a_kind_does_not_use_is_empty() {
    let (a, b) = (Design::default(), entered(&[("axis.kind", "screw")]));
    let list = differences(&Eval::new(&a), &Eval::new(&b));
    let lead = list.iter().find(|d| d.id == "axis.screw_lead");
    let lead = lead.expect("only a screw has a lead");
    assert_eq!(
        (lead.first.as_str(), lead.second.as_str()),
        ("", "2 mm (typical)")
    );
}

/// No published value: half the ratio changes more than a hundredth of the mass, though it stands further down the card.
#[test]
fn what_changes_most_comes_first() {
    let design = |mass, ratio| entered(&[("axis.load_mass", mass), ("gears.ratio", ratio)]);
    let (a, b) = (design("100 g", "100"), design("101 g", "50"));
    let list = differences(&Eval::new(&a), &Eval::new(&b));
    let of = |what| list.iter().filter(move |d| d.what == what);
    assert_eq!(of(What::Input).map(|d| d.id).next(), Some("gears.ratio"));
    let load = of(What::Result).position(|d| d.id == "axis.load_torque");
    let ratio = of(What::Result).position(|d| d.id == "gears.exact_ratio");
    assert!(ratio < load, "{ratio:?} {load:?}");
    let torque = of(What::Stamp).find(|d| d.id == "check.torque");
    assert_eq!(torque.expect("it differs").stands, Ordering::Greater);
    // Checks, inputs, results: the groups keep together.
    assert!(list.is_sorted_by_key(|d| d.what as u8));
}

/// 90:1 makes whole steps of a degree, and nothing is rounded; 97:1 rounds by little: it is no better for
/// having a margin.
#[test]
fn what_needs_nothing_is_not_the_worse_one() {
    let (whole, odd) = (
        entered(&[("gears.ratio", "90")]),
        entered(&[("gears.ratio", "97")]),
    );
    let list = differences(&Eval::new(&whole), &Eval::new(&odd));
    let rounding = list.iter().find(|d| d.id == "check.rounding");
    let rounding = rounding.expect("one is exact");
    assert_eq!(rounding.first, "passes");
    assert!(rounding.second.starts_with("passes ×"), "{rounding:?}");
    assert_ne!(rounding.stands, Ordering::Less);
}
