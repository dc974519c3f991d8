//! The heat of repeated cycles as a plot: it ends where the sheet's steady figures are.

use crate::common::demos;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::plot::{self, Plot};
use pulsewright_sheet::register::{heat, motor};

fn drawn(c: &Eval<'_>) -> Plot {
    let known = plot::find("cycle_heat").expect("a plot of this name");
    known.plot(c).expect("a plot")
}

fn last(plot: &Plot, label: &str) -> f64 {
    let line = plot.panels[0].lines.iter().find(|l| l.label == label);
    line.and_then(|l| l.points.last()).expect("a line").1
}

#[test]
fn lines_end_at_the_steady_figures_or_pass_the_limit() {
    let (mut steady, mut hot) = (0, 0);
    for (name, design) in demos() {
        let c = Eval::new(&design);
        let plot = drawn(&c);
        for line in &plot.panels[0].lines {
            assert!(
                line.points
                    .iter()
                    .all(|p| p.0.is_finite() && p.1.is_finite())
            );
            assert!(
                line.points
                    .windows(2)
                    .all(|w| w[0].0 < w[1].0 && w[0].1 <= w[1].1 + 1e-9)
            );
        }
        let winding = last(&plot, "winding, cycle mean");
        let limit = c
            .get(motor::MAX_WINDING_TEMPERATURE)
            .expect("a limit")
            .value;
        match c.get(heat::OVERHEAT_TIME) {
            Err(_) => {
                let near = |key, label| {
                    let expected = c.raw(key).expect("a temperature");
                    let found = last(&plot, label);
                    assert!(
                        (found - expected).abs() < 0.7,
                        "{name}: {found}, {expected}"
                    );
                };
                near(heat::WINDING_TEMPERATURE.index(), "winding, cycle mean");
                near(heat::HOUSING_TEMPERATURE.index(), "housing");
                near(heat::CYCLE_PEAK_TEMPERATURE.index(), "winding, cycle peak");
                assert!(winding <= limit);
                steady += 1;
            }
            Ok(time) => {
                // The mark stands on the line where that is at its limit.
                let line = &plot.panels[0].lines[0];
                assert!((line.at(time.value).expect("a place") - limit).abs() < 0.5);
                // Beyond it there is no temperature.
                assert!((winding - limit).abs() < 1e-6);
                hot += 1;
            }
        }
    }
    assert!(steady > 0 && hot > 0, "{steady} steady, {hot} hot");
}
