//! What the search proposes can be entered, and the sheet then says what the proposal said.

use crate::common::{demo, demos, enter, value_of, with};
use pulsewright_sheet::design::Design;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::output::tuning::{Proposal, propose};
use pulsewright_sheet::register;

fn shown(design: &Design, id: &str) -> String {
    let c = Eval::new(design).simulating();
    let index = register::find(id).expect("a result");
    pulsewright_sheet::evaluation::display::display(&c, index, 2)
}

fn row<'a>(proposal: &'a Proposal, what: &str) -> &'a [String; 3] {
    let row = proposal.rows.iter().find(|row| row[0] == what);
    row.expect("a row")
}

/// The row that shows an input.
fn row_of(id: &str) -> Option<&'static str> {
    [
        ("loop.bandwidth", "bandwidth"),
        ("loop.damping", "damping ratio"),
        ("loop.integral_time", "integral time"),
        ("loop.feed_forward", "feed-forward"),
        ("loop.deadband", "deadband, counts"),
        ("loop.sample_time", "sample time"),
    ]
    .into_iter()
    .find(|(known, _)| *known == id)
    .map(|(_, label)| label)
}

/// The turntable comes back into its play: no setting cures that, whatever one move looks like.
#[test]
fn play_is_named_where_it_is_beyond_what_is_allowed() {
    let proposal = propose(&Eval::new(&demo("turntable"))).expect("a proposal");
    let said = proposal.sentences.join("\n");
    assert!(
        said.contains("Backlash limits it, whatever the settings"),
        "{said}"
    );
    assert!(
        said.contains("0.433 mm") && said.contains("0.3 mm"),
        "{said}"
    );
    assert!(!said.contains("Nothing limits it"), "{said}");
    let one_side = with(&demo("turntable"), &[("move.approach", "one_side")]);
    let proposal = propose(&Eval::new(&one_side)).expect("a proposal");
    let said = proposal.sentences.join("\n");
    assert!(!said.contains("whatever the settings"), "{said}");
}

/// The rule that the present settings break is named.
#[test]
fn a_broken_rule_is_named() {
    for (changes, words) in [
        (
            &[("loop.bandwidth", "40 Hz"), ("loop.delay", "5")][..],
            "leave a phase margin of",
        ),
        (
            &[("loop.bandwidth", "25 Hz"), ("loop.sample_time", "100 us")],
            "move the derivative part by",
        ),
    ] {
        let design = with(&demo("focus_stage"), changes);
        let proposal = propose(&Eval::new(&design)).expect("a proposal");
        let said = proposal.sentences.join("\n");
        assert!(said.contains(words), "{said}");
    }
}

#[test]
fn entering_a_proposal_brings_what_it_says() {
    let mut entered = 0;
    for (name, demo) in demos() {
        for (settling, bandwidth) in [("0.3 s", "5 Hz"), ("20 ms", "0.5 Hz")] {
            // Sluggish, so that there is something to find.
            let asked = [
                ("loop.settling_target", settling),
                ("loop.bandwidth", bandwidth),
            ];
            let mut design = with(&demo, &asked);
            let proposal = propose(&Eval::new(&design)).expect("a proposal");
            println!("{} {settling}\n{}\n", name, proposal.text());
            assert_eq!(Proposal::read(&proposal.text()), proposal);
            if name == "focus_stage" {
                assert_eq!(proposal, propose(&Eval::new(&design)).expect("again"));
            }
            let now = row(&proposal, "settles");
            // Before and after it is the sheet's own figure, where it has one.
            let same = |design: &Design, place: usize| {
                let settling = shown(design, "loop.settling_time");
                if let Some(time) = now[place].strip_prefix("in ") {
                    assert_eq!(settling, time, "{}", name);
                } else if now[place] == "at once" {
                    assert_eq!(settling, "0 s", "{}", name);
                }
                let peak = &row(&proposal, "peak current")[place];
                assert_eq!(shown(design, "loop.peak_current"), *peak);
            };
            same(&design, 1);
            for (id, text) in &proposal.entries {
                enter(&mut design, id, text);
            }
            assert!(design.refused().is_empty(), "{:?}", design.refused());
            if !proposal.entries.is_empty() {
                entered += 1;
                same(&design, 2);
                // The margin of the loop with its integral part.
                let margin = value_of(&design, "loop.phase_margin");
                assert!(margin >= 40.0_f64.to_radians() - 1e-9);
                // Nothing is entered that was so before.
                for (id, _) in &proposal.entries {
                    let label = row_of(id);
                    assert!(
                        label.is_none_or(|label| {
                            let row = row(&proposal, label);
                            row[1] != row[2] || id == "loop.bandwidth"
                        }),
                        "{name}: {id}"
                    );
                }
            }
        }
    }
    assert!(entered >= 4, "{entered}");
}

#[test]
fn a_design_that_cannot_be_simulated_has_no_proposal() {
    let mut design = Design::default();
    assert!(propose(&Eval::new(&design)).is_ok());
    assert!(design.enter_id("move.time", "1 h"));
    assert!(propose(&Eval::new(&design)).is_err());
}
