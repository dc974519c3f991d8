//! Settings of the loop, from the plainest on.

use super::act::{Rung, outward};
use crate::evaluation::Eval;
use crate::register::position_loop as control;
use crate::text::number;

/// One setting: what is entered, and what is said of it.
struct Part {
    entry: (usize, String),
    said: String,
}

/// A rung that sets all of these.
fn rung(parts: &[&Part]) -> Rung {
    let said: Vec<&str> = parts.iter().map(|part| part.said.as_str()).collect();
    Rung {
        entries: parts.iter().map(|part| part.entry.clone()).collect(),
        gearbox: None,
        words: Some(["Set the loop to ", &said.join(", ")].concat()),
    }
}

fn bandwidth(c: &Eval<'_>, hertz: f64) -> Part {
    let text = outward(hertz, false, 2);
    Part {
        said: ["a bandwidth of ", &c.notation.mark(text.clone()), " Hz"].concat(),
        entry: (control::BANDWIDTH.index(), [&text, "Hz"].concat()),
    }
}

fn integral(c: &Eval<'_>, seconds: f64) -> Part {
    let text = number::text(seconds, 3);
    Part {
        said: ["an integral time of ", &c.notation.mark(text.clone()), " s"].concat(),
        entry: (control::INTEGRAL_TIME.index(), [&text, "s"].concat()),
    }
}

/// Settings with a larger phase margin and a quieter derivative part: less change before more.
pub(super) fn calmer(c: &Eval<'_>) -> Vec<Rung> {
    let number = |index: usize| c.raw(index).ok();
    let present = number(control::BANDWIDTH.index()).unwrap_or(4.0);
    let sample = number(control::SAMPLE_TIME.index()).unwrap_or(1e-3);
    let most = number(control::BANDWIDTH_LIMIT.index())
        .unwrap_or(present)
        .min(present);
    let mut shapes: Vec<Vec<Part>> = vec![Vec::new()];
    let damped = number(control::DAMPING.index()).is_some_and(|damping| damping < 1.0);
    let damping = || Part {
        entry: (control::DAMPING.index(), "1".into()),
        said: "a damping ratio of 1".into(),
    };
    if damped {
        shapes.push(vec![damping()]);
    }
    if let Some(time) = number(control::INTEGRAL_TIME.index()) {
        for longer in [0.5, 1.0].into_iter().filter(|longer| *longer > 1.2 * time) {
            let mut shape = vec![integral(c, longer)];
            if damped {
                shape.push(damping());
            }
            shapes.push(shape);
        }
    }
    let samples = [5e-3, 10e-3, 20e-3]
        .into_iter()
        .filter(|slower| *slower > 1.5 * sample);
    let mut rungs = Vec::new();
    let samples: Vec<Option<f64>> = [None].into_iter().chain(samples.map(Some)).collect();
    for share in [1.0, 0.8, 0.6, 0.4, 0.25, 0.15, 0.07, 0.03] {
        for slower in samples.iter().copied() {
            for shape in &shapes {
                let mut parts: Vec<&Part> = Vec::new();
                let slower = slower.map(|seconds| Part {
                    entry: (
                        control::SAMPLE_TIME.index(),
                        [&number::text(1e3 * seconds, 3), "ms"].concat(),
                    ),
                    said: ["a sample time of ", &number::text(1e3 * seconds, 3), " ms"].concat(),
                });
                let narrower = (share < 1.0).then(|| bandwidth(c, share * most));
                parts.extend(&slower);
                parts.extend(&narrower);
                parts.extend(shape);
                if !parts.is_empty() {
                    rungs.push(rung(&parts));
                }
            }
        }
    }
    rungs
}

/// Settings with which it lands nearer: the speed fed forward, then a bandwidth within its limit.
pub(super) fn nearer(c: &Eval<'_>) -> Vec<Rung> {
    let number = |index: usize| c.raw(index).ok();
    let present = number(control::BANDWIDTH.index()).unwrap_or(4.0);
    let most = number(control::BANDWIDTH_LIMIT.index()).unwrap_or(present);
    let fed = number(control::FEED_FORWARD.index()) == Some(1.0);
    let ahead = Part {
        entry: (control::FEED_FORWARD.index(), "1".into()),
        said: "feed-forward 1".into(),
    };
    let slow = Part {
        entry: (control::DEADBAND.index(), "2".into()),
        said: "a deadband of 2 counts".into(),
    };
    let long = integral(c, 0.5);
    let mut rungs = Vec::new();
    if !fed {
        rungs.push(rung(&[&ahead]));
    }
    let mut bands = vec![4.0_f64.min(0.8 * most), 0.8 * most, 0.5 * most];
    bands.dedup_by(|a, b| (*a - *b).abs() < 0.05 * *b);
    for hertz in bands {
        let band = bandwidth(c, hertz);
        let mut parts = vec![&band];
        if !fed {
            parts.push(&ahead);
        }
        rungs.push(rung(&parts));
        parts.push(&slow);
        rungs.push(rung(&parts));
        let _ = parts.pop();
        parts.push(&long);
        rungs.push(rung(&parts));
    }
    rungs
}
