//! Line drawings of the stations: what the letters of their fields mean. The letter of the field that
//! has the focus stands out.
//!
//! Each is a file of `drawings/`, one element a line, that a browser shows as it is; `build.rs` makes it small and
//! says how. Here the pieces become markup again: edges of what is fixed get their hatching, dimensions their heads,
//! and letters the symbols of their inputs.

use leptos::prelude::*;
use pulsewright_sheet::register::{self, Kind, Station, axis, movement};
use pulsewright_sheet::text::number;

use crate::dom::{El, batched_apart, el, memo};
use crate::state::page_state::PageState;

/// The drawings of `drawings/` as `build.rs` has made them small: what the ids of their inputs begin with, and pieces.
mod drawings {
    include!(concat!(env!("OUT_DIR"), "/drawings.rs"));
}

/// The drawing of a station: its own part, and what it shares with others.
fn source(station: Station, kind: Kind, smooth: bool) -> [&'static str; 2] {
    use drawings::*;
    match station {
        Station::Axis => {
            let axis = match kind {
                Kind::Arm => ARM,
                Kind::Turntable => TURNTABLE,
                Kind::Belt => BELT,
                Kind::Screw => SCREW,
                Kind::Rack => RACK,
                Kind::Drum => DRUM,
                Kind::Torque => TORQUE,
            };
            [axis, AIR]
        }
        Station::Move => [if smooth { MOVE_SMOOTH } else { MOVE_RAMPS }, MOVE],
        Station::Motor => [MOTOR, ""],
        Station::Gears => [GEARS, ""],
        Station::Encoder => [ENCODER, ""],
        Station::Steps => [STEPS, ""],
        Station::Bridge => [BRIDGE, ""],
        Station::Supply => [SUPPLY, ""],
        Station::Regulator => [REGULATOR, ""],
        Station::Wiring => [WIRING, ""],
        Station::Drive => [DRIVE, ""],
        Station::Heat => [HEAT, ""],
        Station::Loop => [LOOP, ""],
        Station::Stepper => [STEPPER, ""],
        Station::Verdict => [VERDICT, ""],
        Station::Bench => [BENCH, ""],
    }
}

type Point = (f64, f64);

/// The numbers of a piece, two by two.
fn points(words: &mut core::str::Split<'_, char>) -> Vec<Point> {
    let mut out = Vec::new();
    while let (Some(x), Some(y)) = (words.next(), words.next()) {
        let number = |word: &str| word.parse::<i32>().map_or(0.0, f64::from);
        out.push((number(x), number(y)));
    }
    out
}

fn push(out: &mut String, pieces: &[&str]) {
    for piece in pieces {
        out.push_str(piece);
    }
}

fn push_point(out: &mut String, lead: &str, at: Point) {
    push(
        out,
        &[lead, &number::text(at.0, 4), " ", &number::text(at.1, 4)],
    );
}

/// A unit step from `a` towards `b`.
fn towards(a: Point, b: Point) -> Point {
    let (x, y) = (b.0 - a.0, b.1 - a.1);
    let length = (x * x + y * y).sqrt().max(1e-9);
    (x / length, y / length)
}

/// An arrow's head at `tip`, coming from `from`.
fn push_head(out: &mut String, from: Point, tip: Point) {
    let (x, y) = towards(from, tip);
    let back = (tip.0 - 9.0 * x, tip.1 - 9.0 * y);
    out.push_str("<path class='head' d='");
    push_point(out, "M", tip);
    push_point(out, "L", (back.0 - 2.4 * y, back.1 + 2.4 * x));
    push_point(out, "L", (back.0 + 2.4 * y, back.1 - 2.4 * x));
    out.push_str("Z'/>");
}

/// An edge of what is fixed, with its hatching.
fn push_fixed(out: &mut String, a: Point, b: Point) {
    let (x, y) = towards(a, b);
    let length = (b.0 - a.0).abs().max((b.1 - a.1).abs());
    out.push_str("<path d='");
    push_point(out, "M", a);
    push_point(out, "L", b);
    out.push_str("'/><path class='thin' d='");
    for n in 0..(length / 7.0) as usize {
        let far = 7.0 * n as f64 + 7.0;
        let foot = (a.0 + far * x, a.1 + far * y);
        push_point(out, "M", foot);
        // To the right of the direction and a little back.
        push_point(out, "L", (foot.0 - 6.0 * (y + x), foot.1 + 6.0 * (x - y)));
    }
    out.push_str("'/>");
}

/// A letter with its dimension.
fn push_letter(out: &mut String, kind: &str, index: usize, places: &[Point], lit: bool) {
    let Some((&at, line)) = places.split_last() else {
        return;
    };
    push(
        out,
        &["<g class='letter", if lit { " lit" } else { "" }, "'>"],
    );
    if let (Some(&first), Some(&last)) = (line.first(), line.last()) {
        let (second, before) = (
            line.get(1).copied().unwrap_or(last),
            line.get(line.len().saturating_sub(2))
                .copied()
                .unwrap_or(first),
        );
        out.push_str("<path d='");
        push_point(out, "M", first);
        if line.len() == 3 {
            push_point(out, "Q", second);
            push_point(out, " ", last);
        } else {
            push_point(out, "L", last);
        }
        out.push_str("'/>");
        push_head(out, before, last);
        if matches!(kind, "D" | "A") {
            push_head(out, second, first);
        }
    }
    let symbol = register::symbol(index);
    let (base, sub) = symbol.split_once('_').unwrap_or((symbol, ""));
    out.push_str("<text x='");
    push(
        out,
        &[
            &number::text(at.0, 4),
            "' y='",
            &number::text(at.1, 4),
            "'>",
            base,
        ],
    );
    if !sub.is_empty() {
        push(out, &["<tspan dy='4'>", sub, "</tspan>"]);
    }
    out.push_str("</text></g>");
}

/// The index of a letter.
fn input(prefix: &str, id: &str) -> Option<usize> {
    register::find_input(&[if id.contains('.') { "" } else { prefix }, id].concat())
}

/// The drawing as SVG; the letter of `lit` stands out.
fn markup(parts: [&str; 2], lit: Option<usize>) -> String {
    let mut out = String::from("<svg viewBox='0 0 400 180' aria-hidden='true'><g class='lines'>");
    let pieces = parts.iter().flat_map(|part| {
        let (prefix, pieces) = part.split_once('|').unwrap_or_default();
        pieces.split('|').map(move |piece| (prefix, piece))
    });
    for (prefix, piece) in pieces {
        let (Some(kind), Some(rest)) = (piece.get(..1), piece.get(1..)) else {
            continue;
        };
        let class = match kind {
            "o" => "",
            "t" => "thin",
            "d" | "R" => "dashed thin",
            "c" => "centre",
            _ => "",
        };
        let mut words = rest.split(' ');
        match kind {
            "o" | "t" | "d" | "c" => {
                push(&mut out, &["<path class='", class, "' d='", rest, "'/>"])
            }
            "r" | "R" => {
                let mut next = || words.next().unwrap_or("0");
                push(
                    &mut out,
                    &["<circle class='", class, "' cx='", next(), "' cy='"],
                );
                push(&mut out, &[next(), "' r='", next(), "'/>"]);
            }
            "h" => {
                if let [a, b] = points(&mut words).as_slice() {
                    push_fixed(&mut out, *a, *b);
                }
            }
            "w" => {
                let mut next = || words.next().unwrap_or("");
                push(&mut out, &["<text x='", next(), "' y='"]);
                push(&mut out, &[next(), "'>", next(), "</text>"]);
            }
            _ => {
                if let Some(index) = words.next().and_then(|id| input(prefix, id)) {
                    let places = points(&mut words);
                    push_letter(&mut out, kind, index, &places, lit == Some(index));
                }
            }
        }
    }
    out.push_str("</g></svg>");
    out
}

/// The drawing of a station.
pub fn drawing(page: PageState, station: Station) -> El {
    // Which drawing it is changes seldom; the design with every key.
    let shape = memo(move || {
        page.read(|w| {
            let kind = w.eval.get(axis::KIND).map_or(0, |kind| kind as u32);
            let smooth = w.eval.get(movement::PROFILE) == Ok(movement::Profile::Smooth);
            2 * kind + u32::from(smooth)
        })
    });
    let drawn = move || {
        let shape = shape.get();
        let kind = Kind::EVERY.get(shape as usize / 2).copied();
        let source = source(station, kind.unwrap_or(Kind::Arm), shape % 2 == 1);
        markup(source, page.focus.get())
    };
    batched_apart(|| el("div").class("drawing").html_fn(drawn))
}

#[cfg(test)]
mod tests {
    use super::*;
    use roxmltree::{Document, Node};

    /// What `check` finds wrong, for every element of every file, with the drawing that the page makes of the file.
    fn complaints(check: impl Fn(&Node<'_, '_>, &str) -> Option<String>) -> Vec<String> {
        let mut complaints = Vec::new();
        for (name, small) in drawings::ALL {
            let path = format!("{}/drawings/{name}.svg", env!("CARGO_MANIFEST_DIR"));
            let text = std::fs::read_to_string(&path).unwrap();
            let svg = Document::parse(&text).unwrap();
            let drawn = markup([small, ""], None);
            let shown = |node: &Node<'_, '_>| !node.ancestors().any(|a| a.has_tag_name("marker"));
            let found = svg
                .descendants()
                .filter(shown)
                .filter_map(|node| check(&node, &drawn));
            complaints.extend(found.map(|complaint| format!("{name}.svg: {complaint}")));
        }
        complaints
    }

    /// A letter of a file is an input of the register, written as its symbol.
    #[test]
    fn letters_are_inputs_with_their_symbols() {
        let wrong = complaints(|node, _| {
            let id = node.attribute("data-input")?;
            let Some(index) = register::find_input(id) else {
                return Some(format!("no input is called {id}"));
            };
            let written: String = node
                .descendants()
                .filter_map(|n| n.text().filter(|_| n.is_text()))
                .collect();
            let symbol = register::symbol(index).replacen('_', "", 1);
            (written != symbol)
                .then(|| format!("{id} is written {written}, its symbol is {symbol}"))
        });
        assert!(wrong.is_empty(), "{wrong:#?}");
    }

    /// Every line of a file, the hatching with it, is a line of the page's drawing.
    #[test]
    fn the_page_draws_what_the_file_shows() {
        let wrong = complaints(|node, drawn| {
            let line = node.attribute("d")?;
            let there = drawn.contains(&format!(" d='{line}'"));
            (!there).then(|| format!("{line} is not in {drawn}"))
        });
        assert!(wrong.is_empty(), "{wrong:#?}");
    }

    /// No station, kind or profile is without letters, and each of them can stand out.
    #[test]
    fn letters_stand_out() {
        let letters = |markup: &str, class: &str| markup.matches(class).count();
        for heading in register::STATIONS {
            for kind in Kind::EVERY {
                for smooth in [false, true] {
                    let source = source(heading.station, *kind, smooth);
                    let plain = markup(source, None);
                    assert_eq!(letters(&plain, "class='letter lit'"), 0);
                    let lit = (0..register::INPUT_COUNT)
                        .map(|index| letters(&markup(source, Some(index)), "class='letter lit'"))
                        .sum::<usize>();
                    assert!(lit > 0, "{}", heading.name);
                    assert_eq!(lit, letters(&plain, "class='letter'"), "{}", heading.name);
                }
            }
        }
    }
}
