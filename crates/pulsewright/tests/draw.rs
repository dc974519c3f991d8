//! `pulsewright draw`: a plot as an SVG file of its own.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use common::{demo, run};

mod common;

fn draw(words: &[&str]) -> (Option<i32>, String, String) {
    let ran = run(&[&["draw"], words].concat());
    (ran.code, ran.out, ran.err)
}

const PLOTS: [&str; 5] = [
    "move",
    "torque_speed",
    "hold_time",
    "compare",
    "sensitivity",
];

#[test]
fn every_plot_of_every_demo_is_a_drawing_of_its_own() {
    for name in ["turntable", "vent_lever", "camera_slider", "focus_stage"] {
        for plot in PLOTS {
            let (code, svg, error) = draw(&[plot, &demo(name)]);
            assert_eq!(code, Some(0), "{name} {plot}: {error}");
            assert!(
                svg.starts_with("<svg ") && svg.ends_with("</svg>\n"),
                "{name} {plot}"
            );
            assert!(
                svg.contains("role=\"img\"") && svg.contains("<title ") && svg.contains("<desc ")
            );
            // It stands alone: its own style, nothing to fetch, no script.
            assert_eq!(svg.matches("<style>").count(), 1);
            assert_eq!(svg.matches("http").count(), 1, "{name} {plot}");
            for word in ["href", "url(", "<script", "@import", "NaN", "inf"] {
                assert!(!svg.contains(word), "{name} {plot}: {word}");
            }
        }
    }
}

#[test]
fn a_file_and_its_link_give_the_same_drawing() {
    let link = std::fs::read_to_string(demo("turntable").replace("card.json", "link")).unwrap();
    assert_eq!(
        draw(&["hold_time", &demo("turntable")]),
        draw(&["hold_time", link.trim()])
    );
}

#[test]
fn an_unknown_plot_leaves_with_2_and_names_those_that_there_are() {
    let (code, svg, error) = draw(&["torque", &demo("turntable")]);
    assert_eq!((code, svg.as_str()), (Some(2), ""));
    assert!(error.contains("torque: no such plot"), "{error}");
    for plot in PLOTS {
        assert!(error.contains(plot), "{plot} is not named: {error}");
    }
}

#[test]
fn what_cannot_be_drawn_leaves_with_2_and_says_why() {
    // Nothing of a stepper is given.
    let (code, svg, error) = draw(&["compare", "#pw1;axis.kind=arm"]);
    assert_eq!((code, svg.as_str()), (Some(2), ""));
    assert!(
        error.contains("compare: enter one figure of the stepper"),
        "{error}"
    );
    // A refused value names its input.
    let (code, _, error) = draw(&["move", "#pw1;move.time=-1s"]);
    assert_eq!(code, Some(2));
    assert!(error.contains("move.time"), "{error}");
    let (code, _, error) = draw(&["move", "no/such.card.json"]);
    assert_eq!(code, Some(2));
    assert!(error.contains("no/such.card.json"), "{error}");
    // A design without a motor says what it waits for.
    let (code, _, error) = draw(&["torque_speed", "#pw1;motor.stall_torque=none"]);
    assert_eq!(code, Some(2), "{error}");
    // A word too few, a word too many.
    assert_eq!(draw(&["move"]).0, Some(2));
    assert_eq!(draw(&["move", &demo("turntable"), "more"]).0, Some(2));
}

#[test]
fn words_of_a_link_are_never_markup() {
    let (code, svg, error) = draw(&[
        "move",
        "#pw1;axis.kind=arm;card.title=%3Cscript%3Ealert(1)%3C/script%3E",
    ]);
    assert_eq!(code, Some(0), "{error}");
    assert!(!svg.contains("<script"), "{svg}");
}
