//! Other programs: finding them and running them.

use anyhow::{Context, Result, bail};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The top of the repository.
pub fn root() -> PathBuf {
    let crate_folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    crate_folder
        .ancestors()
        .nth(2)
        .unwrap_or(crate_folder)
        .to_path_buf()
}

/// The cargo that runs us, so that its toolchain is kept.
pub fn cargo() -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(root());
    command
}

/// Runs a program that shows its own output, and fails when it fails.
pub fn run(command: &mut Command) -> Result<()> {
    let status = command
        .status()
        .with_context(|| format!("could not run {}", words(command)))?;
    if !status.success() {
        bail!("this failed ({status}): {}", words(command));
    }
    Ok(())
}

/// Runs a program and returns what it prints; its complaints go to the terminal.
pub fn output(command: &mut Command) -> Result<String> {
    let output = command
        .stderr(Stdio::inherit())
        .output()
        .with_context(|| format!("could not run {}", words(command)))?;
    if !output.status.success() {
        bail!("this failed ({}): {}", output.status, words(command));
    }
    String::from_utf8(output.stdout).with_context(|| format!("not text from {}", words(command)))
}

/// The first of these programs that is on the search path or among the tools built here.
pub fn find(names: &[&str]) -> Option<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    folders.push(root().join("target/tools/bin"));
    names.iter().find_map(|name| {
        let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
        folders
            .iter()
            .map(|folder| folder.join(&file))
            .find(|candidate| candidate.is_file())
    })
}

/// The command as a person would type it.
fn words(command: &Command) -> String {
    let mut text = command.get_program().to_string_lossy().into_owned();
    for argument in command.get_args() {
        text.push(' ');
        text.push_str(&argument.to_string_lossy());
    }
    text
}
