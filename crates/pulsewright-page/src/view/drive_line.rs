//! The drive line, drawn: what feeds what, with the figures that matter at each place.

use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::register::{self, Kind};

use crate::dom::{El, batched, el};
use crate::state::page_state::PageState;

/// What stands before the line reaches the load.
const LINE: &str = "<path d='M20 70H54M54 52V88M64 60V80M64 70H104'/><rect x='104' y='46' width='96' height='48'/><path d='M200 70H240'/><rect x='240' y='46' width='90' height='48'/><path d='M330 60H388M330 80H388'/><circle cx='426' cy='70' r='40'/><path d='M466 70H520M500 58V82M504 58V82'/><circle cx='540' cy='70' r='20' class='dashed'/><circle cx='540' cy='70' r='12'/><circle cx='590' cy='70' r='34'/><circle cx='590' cy='70' r='26' class='dashed'/><path d='M624 70H830'/>";

/// The load, by kind.
fn load(kind: Kind) -> &'static str {
    match kind {
        Kind::Arm => {
            "<path d='M830 70H862L946 36'/><circle cx='862' cy='70' r='5'/><circle cx='950' cy='34' r='11' class='fill'/>"
        }
        Kind::Turntable => "<path d='M820 40H990V52H820ZM905 52V82M872 82H938'/>",
        Kind::Belt => {
            "<circle cx='850' cy='70' r='16'/><circle cx='968' cy='70' r='16'/><path d='M850 54H968M850 86H968M890 38H934V54H890Z'/>"
        }
        Kind::Screw => {
            "<path d='M830 64H985M830 76H985M838 64l8 12M852 64l8 12M866 64l8 12M880 64l8 12M936 64l8 12M950 64l8 12M964 64l8 12M894 48H930V92H894Z'/>"
        }
        Kind::Rack => {
            "<path d='M830 70H885'/><circle cx='905' cy='62' r='20'/><path d='M832 94v-6h8v6h8v-6h8v6h8v-6h8v6h8v-6h8v6h8v-6h8v6h8v-6h8v6h8v-6h8v6h8v-6h8v6h8v-6h8v6V104H832Z'/>"
        }
        Kind::Drum => {
            "<path d='M830 70H856'/><circle cx='880' cy='60' r='24'/><path d='M904 60V92M892 92H916V108H892Z'/>"
        }
        Kind::Torque => "<path d='M830 70H960M905 46a26 26 0 1 1-22 12m-2-12l3 13 13-4'/>",
    }
}

type Place = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
);

/// Places of the figures: x, y, what stands before, the id, what stands behind.
const FIGURES: [Place; 9] = [
    ("60", "112", "", "supply.voltage", ""),
    ("66", "130", "", "supply.voltage_at_worst", " at worst"),
    ("152", "112", "", "regulator.output_voltage", ""),
    ("285", "112", "", "move.peak_current", ""),
    ("285", "130", "of ", "bridge.current_limit", ""),
    ("426", "130", "", "heat.winding_temperature", " winding"),
    ("570", "130", "", "gears.exact_ratio", " : 1"),
    ("720", "112", "play ", "gears.free_play_at_load", ""),
    ("905", "130", "one count ", "encoder.arc_per_count", ""),
];

const WORDS: [(&str, &str, &str); 6] = [
    ("60", "40", "supply"),
    ("152", "75", "processor"),
    ("285", "75", "bridge"),
    ("426", "75", "motor"),
    ("570", "26", "gears"),
    ("905", "22", "load"),
];

fn text(class: &str, x: &str, y: &str, words: &str, out: &mut String) {
    out.push_str(
        &[
            "<text class='",
            class,
            "' x='",
            x,
            "' y='",
            y,
            "'>",
            words,
            "</text>",
        ]
        .concat(),
    );
}

/// The drawing without its figures.
fn drawing() -> String {
    let mut out = String::from("<svg viewBox='0 0 1000 140' aria-hidden='true'><g class='lines'>");
    out.push_str(LINE);
    out.push_str("<g></g></g>");
    for (x, y, words) in WORDS {
        text("word", x, y, words, &mut out);
    }
    for (x, y, _, id, _) in FIGURES {
        let marked = if id.starts_with("gears") {
            "figure marked"
        } else {
            "figure"
        };
        text(marked, x, y, "", &mut out);
    }
    out.push_str("</svg>");
    out
}

/// A figure alone: what belongs to it in words stands in its station.
fn figure(page: PageState, (_, _, before, id, behind): Place) -> String {
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
        [before, figure, behind].concat()
    })
}

/// The drive line.
pub fn drive_line(page: PageState) -> El {
    let place = el("figure");
    let page = page.with_revision_in_sight(&place);
    let place = place
        .class("drive-line")
        .attr("tabindex", "0")
        .attr("role", "img")
        .attr("aria-label", "The drive line: supply, regulator with processor, bridge, motor with magnet and sensors, gears, load. Its figures stand in the stations below.")
        .drawing(&drawing());
    batched(|| {
        for part in place.drawn_parts(".lines g") {
            let kind = move || page.read(|w| w.eval.get(register::axis::KIND).unwrap_or(Kind::Arm));
            let _ = part.html_fn(move || load(kind()).into());
        }
        for (part, figure_of) in place.drawn_parts(".figure").into_iter().zip(FIGURES) {
            let _ = part.text_fn(move || figure(page, figure_of));
        }
    });
    place
}
