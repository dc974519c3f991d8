//! The drive line, drawn: what feeds what, with the figures that matter at each place.
//!
//! Each place is a drawing of its own whose line goes on to the next, with its words and figures under it: beside one
//! another on a desk, in rows under one another on a phone.

use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::register::{self, Kind};

use crate::dom::{El, batched, el};
use crate::state::page_state::PageState;
use crate::view::figures::tidy;

/// The load, by kind.
fn load(kind: Kind) -> &'static str {
    match kind {
        Kind::Arm => {
            "<path d='M0 40H28L98 12'/><circle cx='28' cy='40' r='5'/><circle cx='102' cy='11' r='9' class='fill'/>"
        }
        Kind::Turntable => "<path d='M0 40H60V26M8 14H112V26H8Z'/>",
        Kind::Belt => {
            "<path d='M0 40H16'/><circle cx='24' cy='40' r='14'/><circle cx='102' cy='40' r='14'/><path d='M24 26H102M24 54H102M46 12H82V26H46Z'/>"
        }
        Kind::Screw => {
            "<path d='M0 36H116M0 44H116M8 36l5 8M20 36l5 8M32 36l5 8M84 36l5 8M96 36l5 8M48 22H76V58H48Z'/>"
        }
        Kind::Rack => {
            "<path d='M0 40H40'/><circle cx='54' cy='34' r='15'/><path d='M6 60v-6h7v6h7v-6h7v6h7v-6h7v6h7v-6h7v6h7v-6h7v6h7v-6h7v6h7v-6h7v6V70H6Z'/>"
        }
        Kind::Drum => {
            "<path d='M0 40H30'/><circle cx='52' cy='34' r='20'/><path d='M72 34V54M62 54H82V70H62Z'/>"
        }
        Kind::Torque => "<path d='M0 40H96M50 18a24 24 0 1 1-20 10m-2-11l3 12 12-3'/>",
    }
}

/// A figure: what stands before it, its id, what stands behind it.
type Figure = (&'static str, &'static str, &'static str);

/// A place of the line: its word, its drawing, its figures.
type Place = (&'static str, &'static str, &'static [Figure]);

const PLACES: [Place; 8] = [
    (
        "Supply",
        "<path d='M56 24V56M64 32V48M64 40H120M56 40H34V64H120' /><path class='thin' d='M48 18h6M51 15v6'/>",
        &[
            ("", "supply.voltage", ""),
            ("at worst ", "supply.voltage_at_worst", ""),
        ],
    ),
    (
        "Fuse and wire",
        "<path d='M0 40H34M86 40H120M0 64H120M34 32H86V48H34Z'/><path d='M34 40C50 28 70 52 86 40'/>",
        &[
            ("fuse ", "supply.fuse", ""),
            ("drop ", "wiring.voltage_drop", ""),
        ],
    ),
    (
        "Regulator and processor",
        "<path d='M0 40H120M0 64H120M22 40V22M22 22H34M34 8H62V32H34ZM62 20H76M76 6H112V32H76Z'/><circle cx='22' cy='40' r='2.5' class='fill'/><path class='thin' d='M82 6v-5M90 6v-5M98 6v-5M106 6v-5M94 32V40'/>",
        &[
            ("", "regulator.output_voltage", ""),
            ("at ", "regulator.junction_temperature", ""),
        ],
    ),
    (
        "Motor driver",
        "<path d='M0 40H26M0 64H40M26 18H94V64H26ZM94 30H120M94 50H120'/><path class='thin' d='M40 26v12l-6-6h12M40 44v12l-6-6h12M78 26v12l-6-6h12M78 44v12l-6-6h12M40 41H78'/>",
        &[
            ("", "move.peak_current", ""),
            ("of ", "bridge.current_limit", ""),
        ],
    ),
    (
        "Motor, magnet, two sensors",
        "<path d='M0 30H30M0 50H30M82 40H120'/><circle cx='56' cy='40' r='27'/><path d='M46 50V30l10 12 10-12v20'/><path class='thin' d='M82 32h10v16H82M98 22h10v8H98M98 50h10v8H98'/>",
        &[
            ("", "heat.winding_temperature", " winding"),
            ("", "encoder.counts_per_motor_turn", " counts a turn"),
        ],
    ),
    (
        "Gears",
        "<path d='M0 40H28M92 40H120'/><circle cx='38' cy='40' r='13'/><circle cx='38' cy='40' r='9' class='dashed'/><circle cx='74' cy='40' r='24'/><circle cx='74' cy='40' r='19' class='dashed'/>",
        &[
            ("", "gears.exact_ratio", " : 1"),
            ("", "gears.efficiency_now", " efficient"),
        ],
    ),
    (
        "Backlash",
        "<path d='M0 40H52M68 40H120M52 22V58M68 22V58'/><path class='thin' d='M36 14H52M84 14H68M46 11l6 3-6 3M74 11l-6 3 6 3M52 10v8M68 10v8'/>",
        &[("", "gears.backlash_at_load", "")],
    ),
    (
        "Load",
        "",
        &[
            ("asks ", "move.peak_torque", ""),
            ("one count ", "encoder.arc_per_count", ""),
        ],
    ),
];

/// A figure alone: what belongs to it in words stands in its station.
fn figure(page: PageState, (before, id, behind): Figure) -> String {
    let Some(index) = register::find(id) else {
        return String::new();
    };
    page.read(|w| {
        if w.eval.answer(index).found.is_err() {
            return String::new();
        }
        let shown = display::display(&w.eval, index, 3);
        let figure = shown.split(", ").next().unwrap_or("");
        let figure = figure.split(" as ").next().unwrap_or("");
        [before, &tidy(figure), behind].concat()
    })
}

/// The drive line.
pub fn drive_line(page: PageState) -> El {
    let place = el("ol");
    let page = page.with_revision_in_sight(&place);
    let kind = move || page.read(|w| w.eval.get(register::axis::KIND).unwrap_or(Kind::Arm));
    batched(|| {
        let places = PLACES
            .iter()
            .map(|(word, lines, figures)| {
                let drawn = move || {
                    let lines = if lines.is_empty() {
                        load(kind())
                    } else {
                        lines
                    };
                    [
                        "<svg viewBox='0 0 120 74' aria-hidden='true'><g class='lines'>",
                        lines,
                        "</g></svg>",
                    ]
                    .concat()
                };
                let said = figures
                    .iter()
                    .map(|&of| el("span").class("figure").text_fn(move || figure(page, of)))
                    .collect();
                el("li")
                    .child(el("span").class("drawn").html_fn(drawn))
                    .child(el("b").text(word))
                    .children(said)
            })
            .collect();
        place
            .class("drive-line")
            .attr("aria-label", "The drive line, from the supply to the load")
            .children(places)
    })
}
