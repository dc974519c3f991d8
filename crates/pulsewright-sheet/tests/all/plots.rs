//! Plots: round ticks, nothing cut, nothing covered, nothing that is no number.

use crate::common::{demo, demos_and_kinds, entered, value};
use proptest::prelude::*;
use pulsewright_sheet::evaluation::{Code, Eval};
use pulsewright_sheet::plot::layout::{Drawing, Place, Shape, word_width};
use pulsewright_sheet::plot::{
    self, Axis, Bar, Edge, Limit, Line, Mark, Panel, Plot, Span, Style, Width, layout, standalone,
    svg, ticks,
};
use pulsewright_sheet::register;
use pulsewright_sheet::text::measure::Measure;
use pulsewright_sheet::text::{measure::UnitSystem, notation::Notation};

fn axis(label: &'static str, measure: Measure, span: Span) -> Axis {
    Axis::new(label, measure, span)
}

/// A plot of falling lines with marks and limits where the numbers say.
fn sample(marks: &[(f64, f64)], limits: &[f64], uprights: &[f64]) -> Plot {
    let line = |label, style, high: f64| Line {
        label,
        style,
        points: vec![(0.0, high), (high * 3.0, 0.0)],
    };
    Plot {
        id: "sample",
        title: "Torque against speed",
        finding: "The move needs 0.2 N·m at 31 r/min; the motor gives <0.5 N·m> there & \"more\"."
            .into(),
        x: axis("speed", Measure::Speed, Span::FromZero),
        panels: vec![Panel {
            y: axis("torque", Measure::Torque, Span::FromZero),
            lines: vec![
                line("winding cold", Style::Cold, 1.0),
                line("winding hot", Style::Hot, 0.7),
            ],
            marks: marks
                .iter()
                .enumerate()
                .map(|(n, (x, y))| Mark {
                    label: ["the move, moment ", &n.to_string()].concat(),
                    x: *x,
                    y: *y,
                    beyond: false,
                })
                .collect(),
            limits: limits
                .iter()
                .map(|at| Limit {
                    label: "gears, for ever".into(),
                    edge: Edge::Above(*at),
                })
                .chain(uprights.iter().map(|at| Limit {
                    label: "pulses come no faster".into(),
                    edge: Edge::RightOf(*at),
                }))
                .collect(),
        }],
        bars: Vec::new(),
    }
}

/// Every text lies on the drawing and no two meet.
fn nothing_cut_or_covered(drawing: &Drawing) -> Result<(), String> {
    let whole = Place {
        left: -0.5,
        top: -0.5,
        right: drawing.width + 0.5,
        bottom: drawing.height + 0.5,
    };
    let mut places: Vec<(Place, String)> = Vec::new();
    for shape in &drawing.shapes {
        match shape {
            Shape::Text { words, .. } => {
                let place = shape.text_place().expect("a text has a place");
                if !whole.holds(&place) {
                    return Err(format!("cut: {words} at {place:?}"));
                }
                for (other, others) in &places {
                    if other.meets(&place) {
                        return Err(format!("{words} covers {others}"));
                    }
                }
                places.push((place, words.clone()));
            }
            Shape::Line { points, .. } => {
                for p in points {
                    if !(p.0.is_finite() && p.1.is_finite()) {
                        return Err("a point is no number".into());
                    }
                }
            }
            Shape::Strokes { strokes, .. } => {
                for (a, b) in strokes {
                    if !(a.0.is_finite() && a.1.is_finite() && b.0.is_finite() && b.1.is_finite()) {
                        return Err("a stroke is no number".into());
                    }
                }
            }
            Shape::Dot { at } => {
                if !(at.0.is_finite() && at.1.is_finite()) {
                    return Err("a dot is no number".into());
                }
            }
        }
    }
    Ok(())
}

/// Whether the stroke from `a` to `b` comes into `place`, found by walking along it.
fn comes_into(place: &Place, a: (f64, f64), b: (f64, f64)) -> bool {
    let long = (b.0 - a.0).abs().max((b.1 - a.1).abs());
    let steps = (4.0 * long).ceil().max(1.0) as usize;
    (0..=steps).any(|n| {
        let share = n as f64 / steps as f64;
        let (x, y) = (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1));
        place.left < x && x < place.right && place.top < y && y < place.bottom
    })
}

/// The words of points and limits on whose letters a line, an edge, its hatching or another's leader runs.
fn words_on_a_line(drawing: &Drawing) -> Vec<String> {
    let mut found = Vec::new();
    for shape in &drawing.shapes {
        let Shape::Text { words, class, .. } = shape else {
            continue;
        };
        let place = shape.text_place().expect("a text has a place");
        let inside = drawing.frame.holds(&place);
        if !inside || !["job", "word"].contains(class) {
            continue;
        }
        for other in &drawing.shapes {
            let (class, runs) = match other {
                Shape::Line { class, points } if *class != "frame" => {
                    let comes = points.windows(2).any(|p| comes_into(&place, p[0], p[1]));
                    (*class, comes)
                }
                Shape::Strokes {
                    class: "hatch",
                    strokes,
                } => (
                    "hatch",
                    strokes.iter().any(|s| comes_into(&place, s.0, s.1)),
                ),
                _ => continue,
            };
            if runs {
                found.push(format!("{words} on {class}"));
            }
        }
    }
    found
}

/// Elements close in the order in which they open, and attributes stand in quotes.
fn well_formed(markup: &str) -> Result<(), String> {
    let mut open: Vec<&str> = Vec::new();
    let mut rest = markup;
    while let Some(at) = rest.find('<') {
        let end = rest[at..].find('>').ok_or("a tag without end")? + at;
        let tag = &rest[at + 1..end];
        let name = tag
            .trim_start_matches('/')
            .split([' ', '/'])
            .next()
            .unwrap_or("");
        if tag.starts_with('/') {
            if open.pop() != Some(name) {
                return Err(format!("{name} closes what is not open"));
            }
        } else if !tag.ends_with('/') {
            open.push(name);
        }
        if !tag.matches('"').count().is_multiple_of(2) {
            return Err(format!("quotes in {tag}"));
        }
        rest = &rest[end + 1..];
    }
    if open.is_empty() {
        Ok(())
    } else {
        Err(format!("left open: {open:?}"))
    }
}

proptest! {
    /// Heckbert, Nice numbers for graph labels (Graphics Gems, 1990), from memory: steps of 1, 2 and 5.
    #[test]
    fn ticks_are_round_and_few(low in -1e6..1e6_f64, wide in 1e-3..1e6_f64, most in 3_usize..12) {
        let high = low + wide;
        let made = ticks(low, high, most);
        prop_assert!(made.values.len() <= most, "{made:?}");
        prop_assert!(made.values.len() >= most * 2 / 5, "{made:?}");
        let lead = format!("{:e}", made.step);
        prop_assert!(["1e", "2e", "5e"].iter().any(|l| lead.starts_with(l)), "{lead}");
        for v in &made.values {
            prop_assert!(*v >= low - 1e-6 * wide && *v <= high + 1e-6 * wide);
            let whole = v / made.step;
            prop_assert!((whole - whole.round()).abs() < 1e-6);
        }
        for pair in made.values.windows(2) {
            prop_assert!((pair[1] - pair[0] - made.step).abs() < 1e-6 * made.step);
        }
    }

    /// Ticks of anything at all: no panic, no endless list.
    #[test]
    fn ticks_of_anything(low in any::<f64>(), high in any::<f64>(), most in 0_usize..40) {
        let made = ticks(low, high, most);
        prop_assert!(made.values.len() <= most.max(2));
        prop_assert!(made.values.iter().all(|v| v.is_finite()));
    }

    #[test]
    fn nothing_is_cut_or_covered(
        marks in prop::collection::vec((0.0..4.0_f64, 0.0..1.4_f64), 0..9),
        limits in prop::collection::vec(0.0..4.0_f64, 0..4),
        uprights in prop::collection::vec(0.0..9.0_f64, 0..3),
    ) {
        let plot = sample(&marks, &limits, &uprights);
        for width in [Width::Narrow, Width::Wide] {
            let (markup, drawing) = svg(&plot, width);
            prop_assert_eq!(nothing_cut_or_covered(&drawing), Ok(()));
            prop_assert_eq!(well_formed(&markup), Ok(()));
            // Every point and limit is named, in the plot or in the key.
            for mark in &plot.panels[0].marks {
                prop_assert!(markup.contains(&mark.label));
            }
            if !limits.is_empty() {
                prop_assert!(markup.contains("gears, for ever"));
            }
        }
    }

    /// Whatever the numbers, what is drawn is a number.
    #[test]
    fn any_number_can_be_plotted(
        points in prop::collection::vec((any::<f64>(), any::<f64>()), 0..12),
        span in 0_usize..4,
        share in any::<f64>(),
    ) {
        let spans = [Span::FromZero, Span::Fitted, Span::Exact, Span::Log];
        let mut plot = sample(&points, &[1.0], &[]);
        plot.x.span = spans[span];
        plot.panels[0].y.span = spans[(span + 1) % 4];
        plot.panels[0].lines[0].points = points;
        let (markup, drawing) = svg(&plot, Width::Narrow);
        prop_assert_eq!(well_formed(&markup), Ok(()));
        for word in ["NaN", "inf"] {
            prop_assert!(!markup.contains(word), "{}", markup);
        }
        prop_assert!(nothing_cut_or_covered(&drawing).is_ok());
        let _ = plot.read(share).sentence();
        let _ = plot.tables();
    }
}

#[test]
fn markup_is_escaped_and_named() {
    let (markup, _) = svg(&sample(&[], &[], &[]), Width::Wide);
    assert!(markup.contains("&lt;0.5 N·m&gt; there &amp; &quot;more&quot;"));
    assert!(markup.contains("role=\"img\""));
    assert!(markup.contains("aria-labelledby=\"plot-sample-title\""));
    assert!(markup.contains("<title id=\"plot-sample-title\">Torque against speed</title>"));
    assert!(!markup.contains("style=") && !markup.contains("<style"));
}

#[test]
fn a_plot_that_stands_alone_has_its_style_and_its_finding() {
    let alone = standalone(&sample(&[(1.0, 0.2)], &[0.8], &[]));
    assert_eq!(well_formed(&alone), Ok(()));
    assert!(alone.starts_with("<svg class=\"plot\" xmlns=\"http://www.w3.org/2000/svg\""));
    assert_eq!(alone.matches("<style>").count(), 1);
    assert!(alone.contains(">The move needs 0.2 N·m at 31 r/min; the motor gives"));
    // It loads nothing: the one address is the name of the markup language.
    assert_eq!(alone.matches("http").count(), 1);
}

#[test]
fn a_reading_lies_on_the_lines() {
    // Half way along 0 … 3 rad/s, shown up to 30 r/min: the lines are straight, arithmetic.
    let plot = sample(&[], &[], &[]);
    let x = plot.x_scale();
    let share = x.share(1.5);
    assert!((x.value(share) - 1.5).abs() < 1e-12);
    let said = plot.read(share);
    assert_eq!(said.place, "14.3 r/min");
    assert_eq!(
        said.values,
        [
            ("winding cold", "500 mN·m".to_string()),
            ("winding hot", "200 mN·m".to_string())
        ]
    );
    assert_eq!(
        said.sentence(),
        "14.3 r/min: winding cold 500 mN·m, winding hot 200 mN·m"
    );
}

#[test]
fn a_table_says_what_is_drawn() {
    let tables = sample(&[(1.0, 0.2)], &[0.8], &[]).tables();
    assert_eq!(
        tables[0].head,
        ["speed, r/min", "winding cold, N·m", "winding hot, N·m"]
    );
    assert_eq!(tables[0].rows[0], ["0", "1", "0.7"]);
    // The hot line ends before the last places.
    assert_eq!(tables[0].rows[10][2], "–");
    assert_eq!(
        tables[1].rows[0],
        ["the move, moment 0", "9.55 r/min", "200 mN·m"]
    );
    assert_eq!(
        tables[1].rows[1],
        ["gears, for ever", "", "at most 800 mN·m"]
    );
}

#[test]
fn a_limit_far_off_is_named_beside_the_plot() {
    let (markup, _) = svg(&sample(&[], &[30.0], &[]), Width::Wide);
    assert!(markup.contains("off scale: gears, for ever, 30 N·m"));
}

#[test]
fn bars_begin_at_one_side() {
    let bar = |label: &str, length| Bar {
        label: label.into(),
        length,
        sentence:
            "Measure this first: ± 10 % of it moves the margin by as much as all else together."
                .into(),
    };
    let plot = Plot {
        panels: Vec::new(),
        bars: vec![bar("Stall torque", 0.31), bar("Backlash", 0.02)],
        x: axis("change of the margin", Measure::Ratio, Span::FromZero),
        ..sample(&[], &[], &[])
    };
    for width in [Width::Narrow, Width::Wide] {
        let drawing = layout(&plot, width);
        assert_eq!(nothing_cut_or_covered(&drawing), Ok(()));
        let lefts: Vec<f64> = drawing
            .shapes
            .iter()
            .filter_map(|s| match s {
                Shape::Line {
                    class: "bar",
                    points,
                } => Some(points[0].0),
                _ => None,
            })
            .collect();
        assert_eq!(lefts, [1.0, 1.0]);
    }
    assert_eq!(plot.read(1.0).place, "Backlash");
    assert_eq!(plot.tables()[0].rows.len(), 2);
}

#[test]
fn names_of_plots_are_unique() {
    for (n, known) in plot::PLOTS.iter().enumerate() {
        assert!(plot::PLOTS.iter().skip(n + 1).all(|k| k.id != known.id));
        assert_eq!(plot::find(known.id).map(|k| k.id), Some(known.id));
    }
    assert!(plot::find("no such plot").is_none());
    assert!(word_width("wide") > word_width("ill"));
}

/// Every plot that a design has, finite, whole and readable; the demos have all of them.
#[test]
fn every_plot_of_every_design_can_be_drawn() {
    for (name, design) in demos_and_kinds() {
        let c = Eval::new(&design).simulating();
        for known in plot::PLOTS {
            let plot = match known.plot(&c) {
                Ok(plot) => plot,
                Err(absent) => {
                    assert!(
                        name.starts_with("neutral"),
                        "{name}: {} {absent:?}",
                        known.id
                    );
                    assert!(!absent.message().is_empty());
                    continue;
                }
            };
            assert_eq!(plot.id, known.id);
            assert!(
                plot.finding.ends_with('.') && plot.finding.contains(|c: char| c.is_ascii_digit()),
                "{name}: {}",
                plot.finding
            );
            for panel in &plot.panels {
                for line in &panel.lines {
                    assert!(
                        line.points.len() >= 2,
                        "{name}: {} {}",
                        known.id,
                        line.label
                    );
                    for pair in line.points.windows(2) {
                        assert!(pair[0].0 <= pair[1].0, "{name}: {} goes back", known.id);
                    }
                    for p in &line.points {
                        assert!(p.0.is_finite() && p.1.is_finite(), "{name}: {}", known.id);
                    }
                }
                for mark in &panel.marks {
                    assert!(mark.x.is_finite() && mark.y.is_finite());
                }
            }
            for width in [Width::Narrow, Width::Wide] {
                let (markup, drawing) = svg(&plot, width);
                assert_eq!(
                    nothing_cut_or_covered(&drawing),
                    Ok(()),
                    "{name}: {}",
                    known.id
                );
                assert_eq!(well_formed(&markup), Ok(()));
            }
            assert!(!plot.tables()[0].rows.is_empty());
            for table in plot.tables() {
                assert!(table.rows.iter().all(|row| row.len() == table.head.len()));
            }
            assert!(!plot.read(0.5).values.is_empty(), "{name}: {}", known.id);
        }
    }
}

/// Words of a plot stand beside its lines, on a phone as on a desk.
#[test]
fn no_words_stand_on_a_line() {
    let mut found = Vec::new();
    for (name, design) in demos_and_kinds() {
        let c = Eval::new(&design).simulating();
        for plot in plot::PLOTS.iter().filter_map(|known| known.plot(&c).ok()) {
            for width in [260, 330, 400, 480, 700] {
                for words in words_on_a_line(&layout(&plot, Width::Pixels(width))) {
                    found.push(format!("{name}: {} at {width}: {words}", plot.id));
                }
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

fn drawn(c: &Eval<'_>, id: &str) -> Plot {
    plot::find(id).expect(id).plot(c).expect(id)
}

/// The plot and the results beside it are one number.
#[test]
fn plots_show_the_numbers_of_the_register() {
    let close = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs().max(1e-9);
    for (name, design) in demos_and_kinds() {
        if name.starts_with("neutral") {
            continue;
        }
        let c = Eval::new(&design);
        let motor = drawn(&c, "torque_speed");
        let [cold, warm] = motor.panels[0].lines.as_slice() else {
            panic!("two lines");
        };
        assert!(close(
            cold.at(0.0).expect("stall"),
            value(&c, "drive.stall_torque")
        ));
        assert!(close(cold.points[1].0, value(&c, "drive.no_load_speed")));
        // The load's own speed lies on both lines: the line is torque against speed.
        let load = value(&c, "axis.load_torque");
        for (line, speed) in [
            (cold, "drive.speed_at_load"),
            (warm, "drive.speed_at_load_hot"),
        ] {
            let there = line.at(value(&c, speed)).expect("on the line");
            assert!(close(there, load), "{name}: {speed}: {there} {load}");
        }

        let held = drawn(&c, "hold_time");
        let line = &held.panels[0].lines[0];
        let lasting = value(&c, "heat.continuous_current")
            * value(&c, "gears.exact_ratio")
            * value(&c, "motor.torque_constant");
        let end = line.points.last().expect("an end").1;
        assert!(
            end >= lasting && end < 1.02 * lasting,
            "{name}: {end} {lasting}"
        );
        for mark in &held.panels[0].marks {
            // A point with a time lies on the line, one for ever below its end.
            let there = line.at(mark.x).expect("within the plot");
            if mark.label.ends_with("continuously") {
                assert!(mark.y <= end);
            } else {
                assert!(
                    (mark.y / there - 1.0).abs() < 0.01,
                    "{name}: {} {there}",
                    mark.y
                );
            }
        }

        let moved = drawn(&c, "move");
        let top = |panel: usize| {
            moved.panels[panel]
                .lines
                .iter()
                .flat_map(|l| &l.points)
                .fold(0.0_f64, |top, p| top.max(p.1.abs()))
        };
        let near = |a: f64, b: f64| (a / b - 1.0).abs() < 2e-3;
        let speed =
            if value(&c, "axis.kind") == 2.0 || moved.panels[0].y.measure == Measure::Velocity {
                "move.peak_travel_speed"
            } else {
                "move.peak_speed"
            };
        assert!(near(top(0), value(&c, speed)), "{name}: {}", top(0));
        assert!(
            near(top(1), value(&c, "move.peak_torque")),
            "{name}: {}",
            top(1)
        );
        assert!(
            near(top(2), value(&c, "move.peak_current")),
            "{name}: {}",
            top(2)
        );
        if let Some(winding) = moved.panels.get(3) {
            let warmest = winding.lines[0]
                .points
                .iter()
                .fold(0.0_f64, |t, p| t.max(p.1));
            assert!(
                close(warmest, value(&c, "heat.cycle_peak_temperature")),
                "{name}"
            );
        } else {
            let peak = register::find("heat.cycle_peak_temperature").expect("a result");
            let why = c.answer(peak).found.expect_err("no temperature");
            assert_eq!(why.code, Code::Above, "{name}");
        }

        let compared = drawn(&c, "compare");
        let stepper = &compared.panels[0].lines[1];
        let there = stepper
            .at(value(&c, "move.peak_speed"))
            .expect("within the plot");
        assert!((there / value(&c, "stepper.torque_at_speed") - 1.0).abs() < 1e-3);

        let bars = drawn(&c, "sensitivity").bars;
        assert!(bars.windows(2).all(|pair| pair[0].length >= pair[1].length));
        assert!(bars[0].sentence.starts_with("Measure this first: "));
    }
}

/// Each input of two demos at its least and at its greatest: what is drawn is a number, or there is a reason.
#[test]
fn inputs_at_their_ends_give_plots_or_reasons() {
    let mut drawn = 0;
    for (name, design) in demos_and_kinds().into_iter().take(2) {
        for (index, input) in register::inputs().iter().enumerate() {
            for end in [input.low, input.high] {
                let mut moved = design.clone();
                let text = end.trim_start_matches(['<', '>']);
                if !text.is_empty() {
                    moved.enter(
                        index,
                        text,
                        pulsewright_sheet::text::number::DecimalMark::Stored,
                    );
                }
                let c = Eval::new(&moved);
                // Sensitivity evaluates a hundred designs of its own, landing simulates.
                let costly = ["sensitivity", "landing", "landing_end"];
                for known in plot::PLOTS.iter().filter(|k| !costly.contains(&k.id)) {
                    let plot = match known.plot(&c) {
                        Ok(plot) => plot,
                        Err(absent) => {
                            assert!(!absent.message().is_empty());
                            continue;
                        }
                    };
                    drawn += 1;
                    let (markup, drawing) = svg(&plot, Width::Narrow);
                    let place = format!("{name}: {} = {end}: {}", input.id, known.id);
                    assert_eq!(nothing_cut_or_covered(&drawing), Ok(()), "{place}");
                    assert!(
                        !markup.contains("NaN") && !markup.contains("inf"),
                        "{place}"
                    );
                    for table in plot.tables() {
                        for cell in table.rows.iter().flatten() {
                            assert!(!cell.contains("NaN") && !cell.contains("inf"), "{place}");
                        }
                    }
                }
            }
        }
    }
    assert!(drawn > 1000, "{drawn}");
}

/// A card shown in inches and with commas has its plots in them too.
#[test]
fn plots_are_in_the_manner_of_the_card() {
    let design = demo("turntable");
    let mut c = Eval::new(&design);
    let plain = plot::find("torque_speed")
        .expect("a plot")
        .plot(&c)
        .expect("a plot");
    c.notation = Notation {
        units: UnitSystem::Inch,
        comma: true,
    };
    let inch = plot::find("torque_speed")
        .expect("a plot")
        .plot(&c)
        .expect("a plot");
    assert!(plain.tables()[0].head.concat().contains("N·m"));
    assert!(inch.tables()[0].head.concat().contains("lbf·in"));
    assert!(
        inch.finding.contains("f·in") && inch.finding.contains(','),
        "{}",
        inch.finding
    );
    // What is plotted is the same; only what is said of it differs.
    let torque = |plot: &Plot| plot.panels[0].lines[0].points[0].1;
    assert_eq!(torque(&plain), torque(&inch));
    let heat = plot::find("cycle_heat")
        .expect("a plot")
        .plot(&c)
        .expect("a plot");
    assert!(heat.tables()[0].head.concat().contains("°F"));
}

/// What is allowed has two edges: one name, no bare number, and a real minus at the ticks.
#[test]
fn the_second_edge_of_a_tolerance_is_not_named_again() {
    let design = entered(&[
        ("axis.kind", "drum"),
        ("axis.load_mass", "1.2 kg"),
        ("axis.radius", "20 mm"),
        ("axis.position_tolerance", "5 mm"),
        ("move.distance", "1100 mm"),
        ("move.time", "25 s"),
        ("motor.case_diameter", "37 mm"),
        ("motor.rated_voltage", "12 V"),
        ("motor.no_load_speed", "60 r/min"),
        ("motor.stall_torque", "10 kgf.cm"),
        ("gears.ratio", "70"),
        ("supply.voltage", "12 V"),
    ]);
    let c = Eval::new(&design).simulating();
    let known = plot::find("landing").expect("it is known");
    let (markup, _) = svg(&known.plot(&c).expect("it is simulated"), Width::Wide);
    assert!(
        markup.contains("off scale: position tolerance, "),
        "{markup}"
    );
    assert!(!markup.contains("· , "), "{markup}");
    assert!(!markup.contains(">-"), "{markup}");
}
