//! `pulsewright`: the reports of the route card on the command line.

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{CommandFactory as _, Parser as _};
use std::io::Write as _;
use std::path::Path;
use std::process::ExitCode;

mod args;
mod docs;
mod input;
mod output;
mod paint;
mod progress;
mod ranked;
mod text;
mod tuned;

use args::{Command, Require, Words};
use output::put;
use paint::Paint;
use pulsewright_sheet::analysis::tolerance;
use pulsewright_sheet::design::Design;
use pulsewright_sheet::design::schema;
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::Status;
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::output::c_header;
use pulsewright_sheet::output::rank;
use pulsewright_sheet::output::report;
use pulsewright_sheet::output::results_table;
use pulsewright_sheet::output::settings;
use pulsewright_sheet::output::typescript;
use pulsewright_sheet::output::verdict;

/// What could not be read or written, a line each.
struct Trouble(Vec<String>);

impl From<String> for Trouble {
    fn from(line: String) -> Self {
        Self(vec![line])
    }
}

impl From<Vec<String>> for Trouble {
    fn from(lines: Vec<String>) -> Self {
        Self(lines)
    }
}

fn main() -> ExitCode {
    let words = match Words::try_parse() {
        Ok(words) => words,
        Err(error) => return refused(&error),
    };
    match run(words) {
        Ok(code) => code,
        Err(Trouble(lines)) => {
            tell(&lines);
            ExitCode::from(2)
        }
    }
}

/// Prints what the parser says: help and version, or what is wrong with the words.
fn refused(error: &clap::Error) -> ExitCode {
    let _ = error.print();
    // The commonest reason for a word too few or too many; a wrong option is none of them.
    let counted = match error.kind() {
        ErrorKind::MissingRequiredArgument => true,
        ErrorKind::UnknownArgument => match error.get(ContextKind::InvalidArg) {
            Some(ContextValue::String(word)) => !word.starts_with('-'),
            _ => false,
        },
        _ => false,
    };
    if counted && error.to_string().contains("FILE_OR_LINK") {
        tell(&["a link must be quoted: # and ; mean something to a shell".into()]);
    }
    ExitCode::from(if error.use_stderr() { 2 } else { 0 })
}

fn tell(lines: &[String]) {
    for line in lines {
        let _ = writeln!(std::io::stderr(), "pulsewright: {line}");
    }
}

fn run(words: Words) -> Result<ExitCode, Trouble> {
    let Some(command) = words.command else {
        let help = Words::command().render_help().to_string();
        put(&help, None, Paint::NONE)?;
        return Ok(ExitCode::SUCCESS);
    };
    let (made, to) = match command {
        Command::Report(asked) => return reported(&asked),
        Command::Docs(asked) => return document(&asked),
        Command::Rank(asked) => return ranking(&asked),
        Command::Tune(asked) => (tuned::tune(&asked)?, asked.output),
        Command::Value(asked) => {
            let design = input::design(&asked.source.from)?;
            let value = text::value(&design, &asked.id, asked.unit.as_deref())?;
            (value + "\n", asked.output)
        }
        Command::Draw(asked) => {
            let design = input::design(&asked.source.from)?;
            (text::drawing(&design, &asked.plot)?, asked.output)
        }
        Command::Header(asked) => {
            let design = input::design(&asked.source.from)?;
            (
                c_header::write(&Eval::new(&design).simulating()),
                asked.output,
            )
        }
        Command::Settings(asked) => {
            let design = input::design(&asked.source.from)?;
            let c = Eval::new(&design).simulating();
            let made = if asked.json {
                settings::json(&c)
            } else {
                settings::markdown(&c)
            };
            (made, asked.output)
        }
        Command::Results(asked) => {
            let design = input::design(&asked.source.from)?;
            (
                results_table::results(&Eval::new(&design).simulating()),
                asked.output,
            )
        }
        Command::Schema(to) => (text::pretty(&schema::json())?, to),
        Command::Types(to) => (typescript::types(), to),
        Command::Ids(asked) if asked.json => (text::ids_as_json()?, asked.output),
        Command::Ids(asked) => (text::ids(), asked.output),
        Command::Completions(asked) => {
            let mut made = Vec::new();
            clap_complete::generate(asked.shell, &mut Words::command(), "pulsewright", &mut made);
            (utf8(made)?, asked.output)
        }
        Command::Man(asked) => (manual(asked.of.as_deref())?, asked.output),
    };
    put(&made, to.output.as_deref(), Paint::NONE)?;
    Ok(ExitCode::SUCCESS)
}

fn utf8(bytes: Vec<u8>) -> Result<String, String> {
    String::from_utf8(bytes).map_err(|e| e.to_string())
}

/// The manual page of one command, or of all.
fn manual(of: Option<&str>) -> Result<String, String> {
    let mut whole = Words::command();
    whole.build();
    let page = match of {
        None => whole,
        Some(name) => match whole.find_subcommand(name) {
            Some(command) => command.clone(),
            None => return Err(format!("{name}: no such command; see --help")),
        },
    };
    let mut made = Vec::new();
    clap_mangen::Man::new(page)
        .source(report::made_by())
        .render(&mut made)
        .map_err(|e| e.to_string())?;
    utf8(made)
}

/// The colour of what goes to standard output; a file takes none.
fn paint(asked: &args::Coloured, to: &args::Output) -> Paint {
    match to.output {
        None => Paint::for_output(asked.color),
        Some(_) => Paint::NONE,
    }
}

fn reported(asked: &args::Report) -> Result<ExitCode, Trouble> {
    let (design, refused) = input::with_refusals(&asked.source.from)?;
    let paint = paint(&asked.color, &asked.output);
    let (made, paint) = if asked.json {
        (text::pretty(&report::json(&design))?, Paint::NONE)
    } else if asked.markdown {
        (text::markdown(&design), Paint::NONE)
    } else {
        (text::plain(&design, paint), paint)
    };
    put(&made, asked.output.output.as_deref(), paint)?;
    let mut failed = below(&design, asked.require);
    if asked.require_given {
        failed.extend(resting(&design));
    }
    tell(&refused);
    tell(&failed);
    let strict = asked.strict || asked.require.is_some() || asked.require_given;
    Ok(ExitCode::from(if strict && !refused.is_empty() {
        2
    } else {
        u8::from(!failed.is_empty())
    }))
}

fn ranking(asked: &args::Rank) -> Result<ExitCode, Trouble> {
    let (from, table) = (&asked.source.from, &asked.table);
    if from == input::STANDARD_INPUT && table == input::STANDARD_INPUT {
        let why = "only one of design and table can come from standard input";
        return Err(why.to_string().into());
    }
    let design = input::design(from)?;
    let rows = input::table(table)?;
    let says = || format!("{table}: motors are put into the design");
    let ranking = progress::shown(says, || rank::rank(&design, &rows))
        .map_err(|e| format!("{table}: {}", e.message()))?;
    let paint = paint(&asked.color, &asked.output);
    let (made, paint) = if asked.json {
        (ranked::json(&ranking)?, Paint::NONE)
    } else {
        (ranked::plain(&ranking, paint), paint)
    };
    put(&made, asked.output.output.as_deref(), paint)?;
    Ok(ExitCode::SUCCESS)
}

/// Holds the numbers of documentation against the computed ones, or writes these.
fn document(asked: &args::Docs) -> Result<ExitCode, Trouble> {
    let files: Vec<&Path> = asked.files.iter().map(Path::new).collect();
    let outcome = docs::run(&files, asked.what.write)?;
    if outcome.numbers + outcome.cards + outcome.unreadable.len() == 0 {
        return Err(
            "no <pulse-wright show=\"value\"> stands in these files: nothing was checked"
                .to_string()
                .into(),
        );
    }
    put(&outcome.summary(), None, Paint::NONE)?;
    tell(&outcome.unreadable);
    Ok(ExitCode::from(outcome.code()))
}

/// The checks that fall below what is required, in words.
fn below(design: &Design, require: Option<Require>) -> Vec<String> {
    let Some(require) = require else {
        return Vec::new();
    };
    let c = Eval::new(design).simulating();
    let bad = |status: Status| match require {
        Require::Passes => status != Status::Passes,
        Require::Tight => !matches!(status, Status::Passes | Status::Tight),
    };
    let held = check::all(&c);
    let verdict = check::verdict(&c, &held);
    let mut failed: Vec<String> = held
        .iter()
        .filter(|held| bad(held.status()))
        .map(|held| match held.status() {
            Status::Tight | Status::Unknown => {
                format!("{} is {}", held.check.id, held.status().word())
            }
            status => format!("{} {}", held.check.id, status.word()),
        })
        .collect();
    if failed.is_empty() && bad(verdict.status) {
        failed.push(format!(
            "the verdict is {}: {}",
            verdict.status.word(),
            verdict::sentence(&c, &verdict)
        ));
    }
    failed
}

/// The checks that rest on a typical value whose own tolerance would change their status.
fn resting(design: &Design) -> Vec<String> {
    let c = Eval::new(design);
    check::all(&c)
        .iter()
        .filter_map(|held| {
            let ids = tolerance::deciding(&c, held);
            (!ids.is_empty()).then(|| {
                format!(
                    "{} depends on typical values: {}",
                    held.check.id,
                    ids.join(", ")
                )
            })
        })
        .collect()
}
