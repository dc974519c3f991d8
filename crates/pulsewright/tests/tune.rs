//! The loop tuned from the command line: the same as the page's button.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use common::{demo, folder, run};
use std::fs;

mod common;

#[test]
fn tuning_names_the_limit_and_prints_a_link_that_opens() {
    let ran = run(&["tune", &demo("turntable")]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(
        ran.out
            .contains("Backlash limits it, whatever the settings"),
        "{}",
        ran.out
    );
    assert!(
        ran.out.lines().any(|line| line.starts_with("settles ")),
        "{}",
        ran.out
    );
    // Nothing but progress on standard error.
    assert!(
        ran.err.lines().all(|line| line.contains("are sought")),
        "{}",
        ran.err
    );
}

#[test]
fn what_is_found_is_written_into_the_card() {
    let file = folder("tune_write").join("slider.card.json");
    // Sluggish, so that there is something to find.
    let text = fs::read_to_string(demo("camera_slider")).unwrap();
    let slow = text.replacen("\"inputs\": {", "\"inputs\": {\n    \"loop.bandwidth\": \"0.5 Hz\",\n    \"loop.settling_target\": \"0.1 s\",", 1);
    assert_ne!(slow, text);
    fs::write(&file, &slow).unwrap();
    let name = file.display().to_string();
    let dry = run(&["tune", &name]);
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        slow,
        "only --write writes"
    );
    let link = dry
        .out
        .lines()
        .find(|line| line.starts_with("#pw1"))
        .expect(&dry.out);
    let ran = run(&["tune", &name, "--write"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.out.contains("Entered:"), "{}", ran.out);
    let written = fs::read_to_string(&file).unwrap();
    assert_ne!(written, slow);
    assert!(!written.contains("\"0.5 Hz\""), "{written}");
    // The file and the link are the same design, and both open.
    let value = |from: &str| run(&["value", "loop.bandwidth", from]);
    let (of_file, of_link) = (value(&name), value(link));
    assert_eq!(
        (of_file.code, &of_file.out),
        (Some(0), &of_link.out),
        "{}",
        of_link.err
    );
}

#[test]
fn what_cannot_be_simulated_says_why() {
    let ran = run(&["tune", "#pw1;axis.kind=arm;encoder.sensors=1"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""));
    assert!(ran.err.contains("no direction"), "{}", ran.err);
}
