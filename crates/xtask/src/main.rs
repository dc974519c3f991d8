//! Build steps, from source to one HTML file, and the one command that checks everything.

mod bench_page;
mod dist;
mod files;
mod floors;
mod licences;
mod module;
mod one_file;
mod page;
mod program;
mod rules;
mod sbom;
mod shell;
mod tools;
mod verify;
mod wasm_opt;

use anyhow::{Result, bail};
use std::process::ExitCode;

const USAGE: &str = "\
cargo page [--no-open] [--no-optimise]   make dist/pulsewright.html and open it
cargo verify [STEP]                      check everything: formatting, lints, tests, the page in three engines
cargo xtask sbom                         write what is inside the page to dist/pulsewright.cdx.json (CycloneDX)
cargo xtask screenshots                  the pictures of the README, of the page in dist
cargo bench-page [SELECTOR]              sizes and times of the page beside a minimal one";

fn main() -> ExitCode {
    match run(&std::env::args().skip(1).collect::<Vec<_>>()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run(arguments: &[String]) -> Result<()> {
    let (command, rest) = match arguments {
        [] => bail!("name a command\n{USAGE}"),
        [command, rest @ ..] => (command.as_str(), rest),
    };
    match command {
        "page" => {
            let options = dist::Options::parse(rest)?;
            dist::make_and_open(&options)
        }
        "verify" if rest.len() <= 1 => verify::run(rest.first().map(String::as_str)),
        "sbom" if rest.is_empty() => sbom::make(),
        "bench-page" if rest.len() <= 1 => bench_page::run(rest.first().map(String::as_str)),
        "screenshots" if rest.is_empty() => {
            shell::run(shell::cargo().args(["run", "--package", "browser", "--bin", "screenshots"]))
        }
        _ => bail!("not understood: {}\n{USAGE}", arguments.join(" ")),
    }
}
