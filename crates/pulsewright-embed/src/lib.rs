//! The program behind `<pulse-wright>`: the sheet without the page, for numbers and cards in
//! somebody's documentation.
//!
//! The element itself is `site/embed.js`. It hands over a design as it found it, a link or the text
//! of a card file, and gets JSON back; nothing here knows the document.

use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::entry_text;
use pulsewright_sheet::design::link;
use pulsewright_sheet::design::open::open;
use pulsewright_sheet::evaluation::check::{self, CheckResult};
use pulsewright_sheet::evaluation::display;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::evaluation::{Eval, Inputs, Status};
use pulsewright_sheet::output::entered;
use pulsewright_sheet::output::quoted::{self, Quotation, Show, Unquoted};
use pulsewright_sheet::output::report;
use pulsewright_sheet::output::verdict;
use pulsewright_sheet::plot as plots;
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
    let refused = entered::refusals(c)
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
/// a `message` where it is no design, names an unknown input, or has a value that is refused.
#[wasm_bindgen]
#[must_use]
pub fn evaluate(text: &str) -> String {
    match sound(text) {
        Ok(c) => report::json(c.design()).to_string(),
        Err(refusal) => refusal,
    }
}

/// A number or a word in running text: `state`, its `text`, whether what is `written` `agrees`, and ids of the
/// assumed inputs behind it.
#[wasm_bindgen]
#[must_use]
pub fn quote(
    text: &str,
    show: &str,
    of: &str,
    unit: &str,
    digits: i32,
    comma: bool,
    written: &str,
) -> String {
    let show = match Show::named(show) {
        Ok(show) => show,
        Err(message) => return refused(&message),
    };
    let c = match sound(text) {
        Ok(c) => c,
        Err(refusal) => return refusal,
    };
    if let Some(trouble) = quoted::trouble(&c, show, of) {
        return refused(&trouble);
    }
    let asked = Quotation { of, unit, digits };
    match quoted::quote(&c, show, &asked, written) {
        Ok(quoted) => json!({
            "state": "ready",
            "text": if comma { quoted::with_comma(&quoted.text) } else { quoted.text },
            "agrees": quoted.agrees,
            "assumed": report::assumed(&c, quoted.depends_on),
        })
        .to_string(),
        Err(Unquoted::Refused(message)) => refused(&message),
        Err(Unquoted::Absent(absent)) => {
            json!({"state": "absent", "message": absent.message()}).to_string()
        }
    }
}

/// A table of the inputs and results whose ids stand in `of`.
#[wasm_bindgen]
#[must_use]
pub fn figures(text: &str, of: &str, comma: bool) -> String {
    let c = match sound(text) {
        Ok(c) => c,
        Err(refusal) => return refusal,
    };
    if let Some(trouble) = quoted::trouble(&c, Show::Figures, of) {
        return refused(&trouble);
    }
    let mut every = Inputs::default();
    let rows: Vec<Value> = of
        .split_whitespace()
        .filter_map(register::find)
        .map(|index| {
            every = every.or(c.answer(index).depends_on);
            let display = display::display(&c, index, 4);
            json!({
                "label": register::label(index),
                "display": if comma { quoted::with_comma(&display) } else { display },
            })
        })
        .collect();
    json!({"state": "ready", "rows": rows, "assumed": report::assumed(&c, every)}).to_string()
}

/// The plot named `of` as SVG without a look of its own, with the sentence that says what it shows.
#[wasm_bindgen]
#[must_use]
pub fn plot(text: &str, of: &str) -> String {
    let c = match sound(text) {
        Ok(c) => c,
        Err(refusal) => return refusal,
    };
    let Some(known) = plots::find(of) else {
        return refused(&quoted::trouble(&c, Show::Plot, of).unwrap_or_default());
    };
    let (made, depends_on) = c.traced(|c| known.plot(c));
    match made {
        Ok(plot) => json!({
            "state": "ready",
            "title": plot.title,
            "sentence": plot.finding,
            "svg": plots::svg(&plot, plots::Width::Wide).0,
            "assumed": report::assumed(&c, depends_on),
        })
        .to_string(),
        Err(absent) => json!({"state": "absent", "message": absent.message()}).to_string(),
    }
}

/// What was entered, as it is read: label and text.
fn entered(design: &Design) -> Vec<Value> {
    (0..INPUT_COUNT)
        .filter(|&index| design.entry(index).is_some())
        .map(|index| {
            json!({"label": register::label(index), "display": entry_text::readable(design, index)})
        })
        .collect()
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
            None => return refused(&quoted::trouble(&c, Show::Station, of).unwrap_or_default()),
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
    let judged = check::verdict(&c, &held);
    let (sentence, status) = match heading {
        Some(heading) => (
            heading.question.into(),
            worst.map_or(Status::Unknown, CheckResult::status),
        ),
        None => (mark(verdict::sentence(&c, &judged)), judged.status),
    };
    // The whole card shows what every station's checks come to; one station shows its figures too.
    let mut every = Inputs::default();
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
                "margin": h.ratio().map(|m| mark(["×", &number::text(m, 3)].concat())),
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
        "status": status.word(),
        "rows": rows,
        "checks": checks,
        "findings": findings,
        "assumed": report::assumed(&c, every),
        "entered": entered(c.design()),
        "link": link::write(c.design()),
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
        let value = |digits, comma, written: &str| {
            let of = "gears.exact_ratio";
            read(&quote(design, "value", of, "", digits, comma, written))
        };
        let made = value(3, false, "8.30");
        // 35/12 · 37/13 = 1295/156 = 8.30128…: arithmetic, no source.
        assert_eq!(made["state"], "ready");
        assert_eq!(made["text"], "8.3");
        assert_eq!(made["agrees"], true);
        assert_eq!(made["assumed"], json!([]));
        let made = value(0, true, "8,31");
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
            let made = read(&quote(design, "value", of, "", 0, false, ""));
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
        for (wrong, named) in [
            ("#pw1;gears.rattio=380", "gears.rattio"),
            ("#pw1;gears.ratio=fast", "gears.ratio"),
            (
                "#pw1;axis.kind=arm;axis.travel=1mm;move.time=5V",
                "move.time",
            ),
        ] {
            let made = read(&evaluate(wrong));
            assert_eq!(made["state"], "refused", "{wrong}");
            assert!(made["message"].as_str().unwrap().contains(named), "{made}");
        }
        let card = read(&evaluate(
            "{\"route_card\": 1, \"inputs\": {\"gears.ratio\": 380}}",
        ));
        assert_eq!(card["quantities"]["gears.exact_ratio"]["value"], 380.0);
    }

    #[test]
    fn words_figures_and_plots_of_a_design() {
        let design = pulsewright_sheet::guide::examples::EXAMPLES[0].link;
        let report = read(&evaluate(design));
        let word = |show, of| read(&quote(design, show, of, "", 0, false, ""));
        assert_eq!(word("verdict", "")["text"], report["verdict"]["status"]);
        let check = &report["checks"][0];
        let made = word("check", check["id"].as_str().unwrap());
        assert_eq!(
            (&made["text"], &made["assumed"]),
            (&check["status"], &check["assumed"])
        );
        assert_eq!(word("setting", "PW_SAMPLE_US")["text"], "1000");
        for (show, of) in [("check", "check.garden"), ("setting", "PW"), ("garden", "")] {
            assert_eq!(word(show, of)["state"], "refused", "{show} {of}");
        }

        let table = read(&figures(
            design,
            " gears.exact_ratio\n loop.sample_time",
            true,
        ));
        let display = |id: &str| report["quantities"][id]["display"].as_str().unwrap();
        let ratio = display("gears.exact_ratio").replace('.', ",");
        assert_eq!(table["rows"][0]["display"], json!(ratio));
        assert_eq!(table["rows"].as_array().unwrap().len(), 2);
        assert_eq!(
            read(&figures(design, "gears.colour", false))["state"],
            "refused"
        );

        for known in plots::PLOTS {
            let made = read(&plot(design, known.id));
            assert_eq!(made["state"], "ready", "{}", known.id);
            assert!(made["svg"].as_str().unwrap().starts_with("<svg"));
        }
        assert_eq!(read(&plot(design, "garden"))["state"], "refused");
    }

    #[test]
    fn a_card_leads_back_to_its_design() {
        let made = read(&card(
            "#pw1;gears.ratio=380;axis.load_mass=2kg~10pct",
            "",
            false,
        ));
        assert_eq!(made["entered"].as_array().unwrap().len(), 2);
        let entered = made["entered"].as_array().unwrap();
        let shown: Vec<&Value> = entered.iter().map(|row| &row["display"]).collect();
        assert_eq!(shown, ["2 kg ± 10 %", "380"]);
        let again = design(made["link"].as_str().unwrap()).unwrap();
        assert_eq!(link::write(&again), made["link"]);
    }
}
