//! The program behind `<pulse-wright>`: the sheet without the page, for numbers and cards in
//! somebody's documentation.
//!
//! The element itself is `site/embed.js`. It hands over a design as it found it, a link or the text
//! of a card file, and gets JSON back; nothing here knows the document.

use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::open::open;
use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::evaluation::{Eval, Status};
use pulsewright_sheet::output::quoted::{self, Quotation};
use pulsewright_sheet::output::report;
use pulsewright_sheet::register::{self, COUNT, INPUT_COUNT};
use pulsewright_sheet::text::number;
use serde_json::{Value, json};
use wasm_bindgen::prelude::wasm_bindgen;

/// The design of a link or of a card file's text, or why it is none.
fn design(text: &str) -> Result<Design, String> {
    let read = open(text).map_err(|error| error.message())?;
    match read.trouble {
        None => Ok(read.design),
        Some(trouble) => Err(trouble.message().into()),
    }
}

/// What is wrong with a design, in words: unknown ids and refused values. Empty where nothing is.
fn trouble(c: &Eval<'_>) -> String {
    let unknown = c
        .design()
        .unknown
        .iter()
        .map(|(id, _)| [id.as_str(), ": no such input"].concat());
    let refused = report::refusals(c)
        .into_iter()
        .map(|(index, message)| [register::id(index), ": ", &message].concat());
    unknown.chain(refused).collect::<Vec<_>>().join("\n")
}

/// The design of a text with everything that follows from it, its landing too.
///
/// # Errors
/// What is wrong with it, as JSON.
fn sound(text: &str) -> Result<Eval<'static>, String> {
    let design = design(text).map_err(|message| refused(&message))?;
    let c = Eval::owned(design).simulating();
    let trouble = trouble(&c);
    if trouble.is_empty() {
        Ok(c)
    } else {
        Err(refused(&trouble))
    }
}

fn refused(message: &str) -> String {
    json!({"state": "refused", "message": message}).to_string()
}

/// The report of a design as the documentation fixes it, as JSON; an object with `state` "refused" and
/// a `message` where it is no design.
#[wasm_bindgen]
#[must_use]
pub fn evaluate(text: &str) -> String {
    match design(text) {
        Ok(design) => report::json(&design).to_string(),
        Err(message) => refused(&message),
    }
}

/// One number: `state`, its `text`, whether what is `written` `agrees`, and ids of the assumed inputs
/// behind it.
#[wasm_bindgen]
#[must_use]
pub fn value(text: &str, of: &str, unit: &str, digits: i32, comma: bool, written: &str) -> String {
    let c = match sound(text) {
        Ok(c) => c,
        Err(refusal) => return refusal,
    };
    let Some(index) = register::find(of) else {
        return refused(&["“", of, "” is no input and no result"].concat());
    };
    let answer = c.answer(index);
    if let Err(absent) = answer.found {
        return json!({"state": "absent", "message": absent.message()}).to_string();
    }
    let asked = Quotation { of, unit, digits };
    match quoted::text(&c, &asked) {
        Ok(text) => json!({
            "state": "ready",
            "text": if comma { quoted::with_comma(&text) } else { text },
            "agrees": quoted::agrees(&c, &asked, written),
            "assumed": report::assumed(&c, answer.depends_on),
        })
        .to_string(),
        Err(message) => refused(&message),
    }
}

/// The whole card, or one station of it where `of` names one: heading, rows, checks, findings.
#[wasm_bindgen]
#[must_use]
pub fn card(text: &str, of: &str, comma: bool) -> String {
    let c = match sound(text) {
        Ok(c) => c,
        Err(refusal) => return refusal,
    };
    let mark = |text: String| {
        if comma {
            quoted::with_comma(&text)
        } else {
            text
        }
    };
    let held = check::all(&c);
    let said = finding::all(&c);
    let heading = if of.is_empty() {
        None
    } else {
        match register::station_named(of) {
            Some(heading) => Some(heading),
            None => return refused(&["“", of, "” is no station"].concat()),
        }
    };
    let here = |station: register::Station| heading.is_none_or(|h| h.station == station);
    let checks: Vec<&CheckResult> = held.iter().filter(|h| here(h.check.station)).collect();
    let owned: Vec<CheckResult> = checks.iter().map(|h| **h).collect();
    let worst = check::worst(&owned);
    let title = match heading {
        Some(heading) => heading.name.into(),
        None => pulsewright_sheet::output::settings::title(&c),
    };
    let sentence = match (heading, worst) {
        (Some(heading), _) => heading.question.into(),
        (None, Some(worst)) if worst.status() == Status::Under => {
            mark(finding::fill_template(worst.check.under, &c))
        }
        (None, Some(worst)) => {
            let room = worst.ratio().map_or(String::new(), |m| {
                [", room ", &mark(number::text(m, 3))].concat()
            });
            ["Least room: ", worst.check.label, &room].concat()
        }
        (None, None) => String::new(),
    };
    // The whole card shows what every station's checks come to; one station shows its figures too.
    let mut every = pulsewright_sheet::evaluation::Inputs::default();
    checks.iter().for_each(|h| every = every.or(h.depends_on));
    let rows: Vec<Value> = (INPUT_COUNT..COUNT)
        .filter(|&i| heading.is_some() && register::station(i).is_some_and(here))
        .filter(|&i| register::result(i).is_some_and(|r| r.shown))
        .filter_map(|i| {
            let answer = c.answer(i);
            let _ = answer.found.ok()?;
            every = every.or(answer.depends_on);
            Some(json!({
                "label": register::label(i),
                "display": mark(display::display(&c, i, 4)),
                "assumed": report::assumed(&c, answer.depends_on).len(),
            }))
        })
        .collect();
    let checks: Vec<Value> = checks
        .iter()
        .map(|h| {
            json!({
                "station": h.check.station.heading().name,
                "label": h.check.label,
                "status": h.status().word(),
                "room": h.ratio().map(|m| mark(number::text(m, 3))),
            })
        })
        .collect();
    let findings: Vec<Value> = said
        .iter()
        .filter(|s| here(s.finding.station))
        .map(|s| json!({"severity": s.severity.word(), "message": mark(s.message(&c))}))
        .collect();
    json!({
        "state": "ready",
        "title": title,
        "sentence": sentence,
        "status": worst.map_or("unknown", |w| w.status().word()),
        "rows": rows,
        "checks": checks,
        "findings": findings,
        "assumed": report::assumed(&c, every),
        "standing": report::STANDING,
        "made_by": report::made_by(),
    })
    .to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use pulsewright_sheet::register::STATIONS;

    fn read(text: &str) -> Value {
        serde_json::from_str(text).unwrap()
    }

    #[test]
    fn a_number_comes_with_what_it_rests_on() {
        let design = "#pw1;gears.stages=35:12,37:13";
        let made = read(&value(design, "gears.exact_ratio", "", 3, false, "8.30"));
        // 35/12 · 37/13 = 1295/156 = 8.30128…: arithmetic, no source.
        assert_eq!(made["state"], "ready");
        assert_eq!(made["text"], "8.301282");
        assert_eq!(made["agrees"], true);
        assert_eq!(made["assumed"], json!([]));
        let made = read(&value(design, "gears.exact_ratio", "", 3, true, "8,31"));
        assert_eq!(
            (made["text"].clone(), made["agrees"].clone()),
            (json!("8,301282"), json!(false))
        );
    }

    #[test]
    fn what_cannot_be_shown_says_why() {
        for (design, of, state) in [
            ("", "gears.exact_ratio", "refused"),
            ("#pw2;x=1", "gears.exact_ratio", "refused"),
            ("#pw1;gears.rattio=3", "gears.exact_ratio", "refused"),
            ("#pw1;gears.ratio=fast", "gears.exact_ratio", "refused"),
            ("#pw1", "gears.colour", "refused"),
            (
                "{\"route_card\": 2, \"inputs\": {}}",
                "gears.exact_ratio",
                "refused",
            ),
            (
                "#pw1;loop.integral_time=none",
                "loop.integral_steps",
                "absent",
            ),
        ] {
            let made = read(&value(design, of, "", 0, false, ""));
            assert_eq!(made["state"], state, "{design}");
            assert!(!made["message"].as_str().unwrap().is_empty());
        }
    }

    #[test]
    fn a_card_and_each_of_its_stations() {
        let design = pulsewright_sheet::guide::examples::EXAMPLES[0].link;
        let whole = read(&card(design, "", false));
        assert_eq!(whole["title"], "Model-railway turntable");
        assert_eq!(
            whole["status"],
            read(&evaluate(design))["verdict"]["status"]
        );
        for heading in STATIONS {
            let part = read(&card(design, &heading.name.to_uppercase(), false));
            assert_eq!(part["title"], heading.name);
        }
        assert_eq!(read(&card(design, "hold", false))["title"], "Hold and heat");
        assert_eq!(read(&card(design, "garden", false))["state"], "refused");
    }

    #[test]
    fn any_design_gives_a_report_or_a_reason() {
        assert_eq!(read(&evaluate("#pw1"))["route_card"], 1);
        assert_eq!(read(&evaluate("nothing"))["state"], "refused");
        let card = read(&evaluate(
            "{\"route_card\": 1, \"inputs\": {\"gears.ratio\": 380}}",
        ));
        assert_eq!(card["quantities"]["gears.exact_ratio"]["value"], 380.0);
    }
}
