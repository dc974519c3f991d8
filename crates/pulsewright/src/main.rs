//! `pulsewright`: the reports of the route card on the command line.

use std::io::Write as _;
use std::process::ExitCode;

mod args;
mod docs;
mod input;
mod ranked;
mod text;

use args::{Command, Format, Require, Text};
use pulsewright_sheet::check::{self, Status};
use pulsewright_sheet::design::Design;
use pulsewright_sheet::eval::Eval;
use pulsewright_sheet::report;

const USAGE: &str = "pulsewright: will this motor do this axis's work?

  pulsewright report FILE_OR_LINK [--json | --markdown] [--require clear|tight] [--require-given]
  pulsewright rank FILE_OR_LINK MOTORS.csv [--json]
  pulsewright value ID FILE_OR_LINK [--unit UNIT]
  pulsewright draw PLOT FILE_OR_LINK > PLOT.svg
  pulsewright header FILE_OR_LINK                        settings of the firmware as a C header
  pulsewright settings FILE_OR_LINK [--json]             the same with the pulse source's, as Markdown or JSON
  pulsewright results FILE_OR_LINK                       every figure, as CSV
  pulsewright docs --check|--write FILES                 numbers written in documentation against the computed ones
  pulsewright schema                                     JSON Schema of the design file
  pulsewright ids

FILE_OR_LINK is a .card.json file, or a link with #pw1 in it (quote it: # and ; mean something to a shell).

In documentation a number stands in its element, and the element says what it is:
<pulse-wright design=\"my.card.json\" show=\"value\" of=\"heat.hold_time\">12 s</pulse-wright>

Exit codes: 0 computed, whatever the verdict; 1 a check falls below what --require or --require-given
asks, or a number in documentation differs (--check); 2 the design or a file could not be read: the
message names the input, or file and line.";

fn main() -> ExitCode {
    match run() {
        Ok(code) => code,
        Err(message) => {
            let _ = writeln!(std::io::stderr(), "pulsewright: {message}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<ExitCode, String> {
    let output = match args::parse(std::env::args().skip(1))? {
        Command::Help => [USAGE, "\n\n", report::STANDING, "\n"].concat(),
        Command::Version => [report::made_by(), "\n"].concat(),
        Command::Ids => text::ids(),
        Command::Schema => pretty(&pulsewright_sheet::schema::json())?,
        Command::Text { kind, from } => {
            let design = input::design(&from)?;
            let c = Eval::new(&design).simulating();
            match kind {
                Text::Header => pulsewright_sheet::header::write(&c),
                Text::Settings(Format::Json) => pulsewright_sheet::settings::json(&c),
                Text::Settings(_) => pulsewright_sheet::settings::markdown(&c),
                Text::Results => pulsewright_sheet::csv::results(&c),
            }
        }
        Command::Docs { write, files } => return document(&files, write),
        Command::Value { id, from, unit } => {
            let design = input::design(&from)?;
            [text::value(&design, &id, unit.as_deref())?, "\n".into()].concat()
        }
        Command::Draw { plot, from } => text::drawing(&input::design(&from)?, &plot)?,
        Command::Rank { from, table, json } => {
            let design = input::design(&from)?;
            let csv = std::fs::read_to_string(&table).map_err(|e| format!("{table}: {e}"))?;
            let ranking = pulsewright_sheet::rank::rank(&design, &csv)
                .map_err(|e| format!("{table}: {}", e.message()))?;
            if json {
                ranked::json(&ranking)?
            } else {
                ranked::plain(&ranking)
            }
        }
        Command::Report {
            from,
            format,
            require,
            require_given,
        } => {
            let design = input::design(&from)?;
            let made = match format {
                Format::Json => pretty(&report::json(&design))?,
                Format::Markdown => text::markdown(&design),
                Format::Text => text::plain(&design),
            };
            print(&made)?;
            let mut failed = below(&design, require);
            if require_given {
                failed.extend(resting(&design));
            }
            for line in &failed {
                let _ = writeln!(std::io::stderr(), "pulsewright: {line}");
            }
            return Ok(ExitCode::from(u8::from(!failed.is_empty())));
        }
    };
    print(&output)?;
    Ok(ExitCode::SUCCESS)
}

fn pretty(value: &serde_json::Value) -> Result<String, String> {
    let text = serde_json::to_string_pretty(value).map_err(|e| e.to_string())?;
    Ok([text.as_str(), "\n"].concat())
}

/// Holds the numbers of documentation against the computed ones, or writes these.
fn document(files: &[String], write: bool) -> Result<ExitCode, String> {
    let outcome = docs::run(files, write)?;
    if outcome.looked_at == 0 {
        return Err(
            "no <pulse-wright show=\"value\"> stands in these files: nothing was checked".into(),
        );
    }
    for line in &outcome.differing {
        print(&[line, "\n"].concat())?;
    }
    let (all, differing) = (outcome.looked_at, outcome.differing.len());
    print(&match (differing, write) {
        (0, _) => format!("numbers looked at: {all}; all agree\n"),
        (_, true) => format!("numbers looked at: {all}; written anew: {differing}\n"),
        (_, false) => format!("numbers looked at: {all}; differing: {differing}\n"),
    })?;
    Ok(ExitCode::from(u8::from(differing > 0 && !write)))
}

fn print(text: &str) -> Result<(), String> {
    match std::io::stdout().write_all(text.as_bytes()) {
        // A reader that closes early (`| head`) is no fault of the design.
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(error.to_string()),
        _ => Ok(()),
    }
}

/// The checks that fall below what is required, in words.
fn below(design: &Design, require: Option<Require>) -> Vec<String> {
    let Some(require) = require else {
        return Vec::new();
    };
    let c = Eval::new(design);
    let bad = |status: Status| match require {
        Require::Clear => status != Status::Clear,
        Require::Tight => matches!(status, Status::Under | Status::Unknown),
    };
    check::all(&c)
        .iter()
        .filter(|held| bad(held.status()))
        .map(|held| format!("{} is {}", held.check.id, held.status().word()))
        .collect()
}

/// The checks that rest on an assumed input whose own tolerance would change their status.
fn resting(design: &Design) -> Vec<String> {
    let c = Eval::new(design);
    check::all(&c)
        .iter()
        .filter_map(|held| {
            let ids = pulsewright_sheet::tolerance::deciding(design, held);
            (!ids.is_empty())
                .then(|| format!("{} rests on assumed {}", held.check.id, ids.join(", ")))
        })
        .collect()
}
