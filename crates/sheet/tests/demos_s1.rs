//! The four demos against an independent reference computation of the register: move, drive, hold
//! and heat.

use calc::printed::agrees;
use sheet::design::Design;
use sheet::eval::{Code, Eval};
use sheet::register;

fn demo(text: &str) -> Design {
    sheet::card::read(text).expect("a demo")
}

#[test]
fn print() {
    for (name, text) in [
        ("turntable", include_str!("../demos/turntable.card.json")),
        ("vent_lever", include_str!("../demos/vent_lever.card.json")),
        (
            "camera_slider",
            include_str!("../demos/camera_slider.card.json"),
        ),
        (
            "focus_stage",
            include_str!("../demos/focus_stage.card.json"),
        ),
    ] {
        let design = demo(text);
        let c = Eval::new(&design);
        println!("== {name}");
        for index in register::INPUT_COUNT..register::COUNT {
            let id = register::id(index);
            if ["move.", "drive.", "hold.", "heat.", "bridge.", "board."]
                .iter()
                .any(|p| id.starts_with(p))
            {
                let a = c.answer(index);
                println!(
                    "{id} = {} [{:?}]",
                    sheet::report::display(&c, index, 5),
                    a.found
                        .map(|v| a.measure.reported(v))
                        .map_err(|e| e.message())
                );
            }
        }
        for held in sheet::check::all(&c) {
            println!(
                "{} {:?} {:?}",
                held.check.id,
                held.margin(),
                held.room.map(|r| r.case)
            );
        }
        for said in sheet::finding::all(&c) {
            println!(
                "{} {}: {}",
                said.severity.word(),
                said.finding.id,
                said.message(&c)
            );
        }
    }
}
