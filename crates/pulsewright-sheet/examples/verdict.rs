//! Reads a design as a link and says how it stands, worst first.
//!
//! `cargo run -p pulsewright-sheet --example verdict -- '#pw1;axis.kind=arm;gears.ratio=380'`

use pulsewright_sheet::design::link;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::register;

fn main() {
    let link = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "#pw1;axis.kind=arm;gears.ratio=380".into());
    let design = match link::read(&link) {
        Ok(read) => read.design,
        Err(refused) => return eprintln!("{}", refused.message()),
    };
    let c = Eval::owned(design).simulating();
    for id in ["encoder.counts_per_output_turn", "loop.final_error"] {
        if let Some(index) = register::find(id) {
            println!(
                "{}: {}",
                register::label(index),
                display::display(&c, index, 4)
            );
        }
    }
    for held in check::ranked(check::all(&c).iter()) {
        println!("{}: {}", held.check.label, held.status().word());
    }
    for said in finding::all(&c) {
        println!("{}: {}", said.severity.word(), said.message(&c));
    }
}
