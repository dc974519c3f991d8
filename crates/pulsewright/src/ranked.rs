//! A ranking of motors, for people and as JSON.

use pulsewright_sheet::design::link;
use pulsewright_sheet::output::rank::{ColumnMeaning, Ranking};
use pulsewright_sheet::register;
use pulsewright_sheet::stations::checks;
use pulsewright_sheet::text::label::in_sentence;
use pulsewright_sheet::text::number;
use pulsewright_sheet::text::unit::pretty as pretty_unit;
use serde_json::{Value, json};

use crate::paint::Paint;
use crate::text::pretty;

fn taken(taken: &ColumnMeaning) -> String {
    match taken {
        ColumnMeaning::Name => "the motor's name".into(),
        ColumnMeaning::Input { index, unit, .. } => {
            let (label, id) = (in_sentence(register::label(*index)), register::id(*index));
            let unit = if unit.is_empty() {
                String::new()
            } else {
                format!(" in {}", pretty_unit(unit))
            };
            format!("{label}{unit} ({id})")
        }
        ColumnMeaning::Nothing(why) => format!("nothing: {why}"),
    }
}

/// For people: best first, then what the headings were taken for and what was refused.
pub fn plain(ranking: &Ranking, paint: Paint) -> String {
    let mut out = String::new();
    for (place, motor) in ranking.motors.iter().enumerate() {
        let margin = motor
            .margin
            .map_or(String::new(), |m| format!(" ×{}", number::text(m, 3)));
        let check = checks()
            .find(|known| Some(known.id) == motor.check)
            .map_or("", |known| known.label);
        out.push_str(&format!(
            "{:3}  {} {:32} {check}{margin}\n",
            place + 1,
            paint.status(motor.status, 8),
            motor.name
        ));
        if !motor.missing.is_empty() {
            let labels: Vec<String> = motor
                .missing
                .iter()
                .filter_map(|id| register::find(id))
                .map(|index| in_sentence(register::label(index)))
                .collect();
            out.push_str(&format!("     missing: {}\n", labels.join(", ")));
        }
    }
    out.push_str("\nheadings\n");
    for heading in &ranking.headings {
        out.push_str(&format!(
            "  “{}” was taken for {}\n",
            heading.text,
            taken(&heading.taken)
        ));
    }
    for cell in &ranking.refused {
        out.push_str(&format!(
            "refused: line {}, “{}”: {}: {}\n",
            cell.line, cell.heading, cell.text, cell.message
        ));
    }
    out
}

/// As JSON.
pub fn json(ranking: &Ranking) -> Result<String, String> {
    let motors: Vec<Value> = ranking
        .motors
        .iter()
        .map(|m| {
            json!({
                "line": m.line,
                "name": m.name,
                "status": m.status.word(),
                "check": m.check,
                "margin": m.margin,
                "missing": m.missing,
                "link": link::write(&m.design),
            })
        })
        .collect();
    let headings: Vec<Value> = ranking
        .headings
        .iter()
        .map(|h| json!({"text": h.text, "taken_for": taken(&h.taken)}))
        .collect();
    let refused: Vec<Value> = ranking
        .refused
        .iter()
        .map(
            |c| json!({"line": c.line, "heading": c.heading, "text": c.text, "message": c.message}),
        )
        .collect();
    pretty(&json!({
        "made_by": pulsewright_sheet::output::report::made_by(),
        "motors": motors,
        "headings": headings,
        "refused": refused,
    }))
}
