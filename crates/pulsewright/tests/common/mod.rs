//! Running the command.

#![allow(dead_code, reason = "each test file uses its part of this")]

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a call came to.
pub struct Ran {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

pub fn run(words: &[&str]) -> Ran {
    run_with(words, &[], "")
}

/// Runs with variables of the environment and a text on standard input.
pub fn run_with(words: &[&str], variables: &[(&str, &str)], input: &str) -> Ran {
    let mut child = Command::new(env!("CARGO_BIN_EXE_pulsewright"))
        .args(words)
        .envs(variables.iter().copied())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command runs");
    let mut stdin = child.stdin.take().expect("standard input");
    // One that reads nothing has closed it.
    let _ = stdin.write_all(input.as_bytes());
    drop(stdin);
    let output = child.wait_with_output().expect("the command ends");
    Ran {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).expect("text"),
        err: String::from_utf8(output.stderr).expect("text"),
    }
}

/// The file of one of the invented examples.
pub fn demo(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../pulsewright-sheet/demos")
        .join(format!("{name}.card.json"))
        .display()
        .to_string()
}

/// An empty folder of this name.
pub fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder");
    folder
}
