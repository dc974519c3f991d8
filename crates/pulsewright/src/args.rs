//! What can be asked on the command line, and its help.

use clap::{Args, Parser, Subcommand, ValueEnum, ValueHint};
use clap_complete::Shell;
use pulsewright_sheet::output::report::STANDING;
use pulsewright_sheet::plot;
use std::path::PathBuf;

use crate::paint::Color;

/// Will this motor do this axis's work?
#[derive(Debug, Parser)]
#[command(
    name = "pulsewright",
    version,
    subcommand_required = false,
    after_help = after_help()
)]
pub struct Words {
    #[command(subcommand)]
    pub command: Option<Command>,
}

fn after_help() -> String {
    [
        "FILE_OR_LINK is a .card.json file, a link with #pw1 in it (quote it: # and ; mean something to a
shell), or - for standard input.

Exit codes: 0 computed, whatever the verdict; 1 a check falls below what --require or --require-given
asks, or a number in documentation differs (docs --check); 2 the words of the command, the design or a
file could not be read: the message names the input, or file and line. A report tells a refused entry and
what rests on it; with --strict, --require or --require-given it leaves with 2.

",
        STANDING,
    ]
    .concat()
}

/// A command.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// The report of a design: verdict, figures, checks, findings, bench sheet
    #[command(after_help = "Examples:
  pulsewright report my.card.json
  pulsewright report '#pw1;axis.kind=arm;gears.ratio=380' --json
  pulsewright report my.card.json --require tight --require-given -o report.txt")]
    Report(Report),
    /// Each motor of a table in the design, best first
    #[command(
        after_help = "The table's headings are ids with a unit in brackets, `motor.stall_torque [kgf.cm]`, or common words.

Examples:
  pulsewright rank my.card.json motors.csv
  pulsewright rank my.card.json motors.csv --json -o ranking.json
  pulsewright rank my.card.json - < motors.csv"
    )]
    Rank(Rank),
    /// One input or result, alone
    #[command(after_help = "Examples:
  pulsewright value encoder.counts_per_output_turn my.card.json
  pulsewright value heat.hold_time my.card.json --unit s")]
    Value(Value),
    /// A plot as an SVG file of its own
    #[command(after_help = drawing_help())]
    Draw(Draw),
    /// Settings of the loop that land as asked, sought on the simulated move, and what limits it
    #[command(
        after_help = "Seeks bandwidth, damping, integral time, feed-forward, deadband and sample time for the error
allowed (axis.position_tolerance) and the settling time asked for (loop.settling_target, 0.25 s where none
is entered). What is found has to hold with other friction, backlash, winding resistance and voltage, and on
moves of half and twice the distance and time. Takes some seconds.

Examples:
  pulsewright tune my.card.json
  pulsewright tune my.card.json --write
  pulsewright tune '#pw1;axis.kind=arm;gears.ratio=380'"
    )]
    Tune(Tune),
    /// Settings of the firmware as a C header
    #[command(after_help = "Example:
  pulsewright header my.card.json -o firmware/settings.h")]
    Header(Plain),
    /// Settings of the firmware and of the step/dir controller, as Markdown or JSON
    #[command(after_help = "Examples:
  pulsewright settings my.card.json
  pulsewright settings my.card.json --json -o settings.json")]
    Settings(Settings),
    /// Every result, as CSV
    #[command(after_help = "Example:
  pulsewright results my.card.json -o results.csv")]
    Results(Plain),
    /// Numbers written in documentation, held against the computed ones
    #[command(
        after_help = "In documentation a number stands in its element, and the element says what it is:
<pulse-wright design=\"my.card.json\" show=\"value\" of=\"heat.hold_time\">12 s</pulse-wright>
A result without a limit is written as `unlimited`; a setting, a check and the verdict are held the same way, what
else can be shown is checked for what it names. A JSON block with data-from=\"my.card.json\" is held against that
file, and filled from it. Code and comments are left alone in Markdown (.md,
.markdown), reStructuredText (.rst, .rest), AsciiDoc (.adoc, .asciidoc, .asc) and HTML (.html, .htm, .xhtml).

Leaves with 1 where a number differs (--check), with 2 where an element or a design cannot be read;
everything that is wrong in any of the files is listed all the same.

Examples:
  pulsewright docs --check README.md docs/*.md
  pulsewright docs --write README.md"
    )]
    Docs(Docs),
    /// JSON Schema of the design file
    #[command(after_help = "Example:
  pulsewright schema -o route-card.schema.json")]
    Schema(Output),
    /// TypeScript types of design and report
    #[command(after_help = "Example:
  pulsewright types -o pulsewright.d.ts")]
    Types(Output),
    /// Every id of inputs and results with its label
    #[command(after_help = "Examples:
  pulsewright ids
  pulsewright ids --json")]
    Ids(Ids),
    /// Completions for a shell
    #[command(after_help = "Example:
  pulsewright completions bash -o ~/.local/share/bash-completion/completions/pulsewright")]
    Completions(Completions),
    /// Manual page of the command, or of one of its commands
    #[command(after_help = "Examples:
  pulsewright man -o pulsewright.1
  pulsewright man rank -o pulsewright-rank.1")]
    Man(Man),
}

fn drawing_help() -> String {
    let names: Vec<&str> = plot::PLOTS.iter().map(|known| known.id).collect();
    [
        "Plots: ",
        &names.join(", "),
        "

Examples:
  pulsewright draw move my.card.json > move.svg
  pulsewright draw hold_time my.card.json -o hold_time.svg",
    ]
    .concat()
}

/// Where a design comes from.
#[derive(Args, Debug)]
pub struct Source {
    /// A .card.json file, a link with #pw1 in it (quoted), or - for standard input
    #[arg(value_name = "FILE_OR_LINK", value_hint = ValueHint::FilePath)]
    pub from: String,
}

/// Where the result goes.
#[derive(Args, Debug)]
pub struct Output {
    /// Write to this file instead; it is whole or as it was before
    #[arg(short, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub output: Option<PathBuf>,
}

#[derive(Args, Debug)]
pub struct Report {
    #[command(flatten)]
    pub source: Source,
    /// As JSON
    #[arg(long)]
    pub json: bool,
    /// As Markdown, for a README
    #[arg(long, conflicts_with = "json")]
    pub markdown: bool,
    /// Leave with 1 when a check falls below this; unknown counts as under
    #[arg(long, value_name = "STATUS")]
    pub require: Option<Require>,
    /// Leave with 1 when a check rests on a typical value that would decide it
    #[arg(long)]
    pub require_given: bool,
    /// Leave with 2 when an entry is refused; --require and --require-given do so too
    #[arg(long)]
    pub strict: bool,
    #[command(flatten)]
    pub color: Coloured,
    #[command(flatten)]
    pub output: Output,
}

#[derive(Args, Debug)]
pub struct Rank {
    #[command(flatten)]
    pub source: Source,
    /// A table of motors as CSV, or - for standard input
    #[arg(value_name = "MOTORS.csv", value_hint = ValueHint::FilePath)]
    pub table: String,
    /// As JSON
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub color: Coloured,
    #[command(flatten)]
    pub output: Output,
}

#[derive(Args, Debug)]
pub struct Value {
    /// Id of an input or a result; `pulsewright ids` lists them
    #[arg(value_name = "ID")]
    pub id: String,
    #[command(flatten)]
    pub source: Source,
    /// In this unit, as mOhm or kgf.cm
    #[arg(long, value_name = "UNIT")]
    pub unit: Option<String>,
    #[command(flatten)]
    pub output: Output,
}

#[derive(Args, Debug)]
pub struct Draw {
    /// Name of a plot
    #[arg(value_name = "PLOT")]
    pub plot: String,
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub output: Output,
}

/// A design, and a text made from it in one way only.
#[derive(Args, Debug)]
pub struct Plain {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub output: Output,
}

#[derive(Args, Debug)]
pub struct Tune {
    #[command(flatten)]
    pub source: Source,
    /// Enter what was found into the .card.json file
    #[arg(long)]
    pub write: bool,
    #[command(flatten)]
    pub output: Output,
}

#[derive(Args, Debug)]
pub struct Settings {
    #[command(flatten)]
    pub source: Source,
    /// As JSON
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub output: Output,
}

#[derive(Args, Debug)]
pub struct Docs {
    #[command(flatten)]
    pub what: Task,
    /// The files with the numbers
    #[arg(required = true, value_name = "FILES", value_hint = ValueHint::FilePath)]
    pub files: Vec<String>,
}

/// What is done with written numbers.
#[derive(Args, Debug)]
#[group(required = true, multiple = false)]
pub struct Task {
    /// Name each number that differs, with file and line
    #[arg(long)]
    pub check: bool,
    /// Put the computed numbers in; nothing is written where anything cannot be read
    #[arg(long)]
    pub write: bool,
}

#[derive(Args, Debug)]
pub struct Ids {
    /// As JSON
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub output: Output,
}

#[derive(Args, Debug)]
pub struct Completions {
    /// The shell
    pub shell: Shell,
    #[command(flatten)]
    pub output: Output,
}

#[derive(Args, Debug)]
pub struct Man {
    /// One of the commands; the page of all where none is named
    #[arg(value_name = "COMMAND")]
    pub of: Option<String>,
    #[command(flatten)]
    pub output: Output,
}

/// Whether failing checks are coloured.
#[derive(Args, Debug)]
pub struct Coloured {
    /// Colour failing checks; auto: on a terminal, unless NO_COLOR is set
    #[arg(long, value_name = "WHEN", value_enum, default_value_t = Color::Auto)]
    pub color: Color,
}

/// What every check must be at least.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Require {
    Passes,
    Tight,
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory as _;

    /// The library's own check of what is declared here: no option twice, no argument out of place.
    #[test]
    fn the_declaration_is_sound() {
        Words::command().debug_assert();
    }
}
