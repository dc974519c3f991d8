//! Running the command.

use std::process::Command;

/// What a call came to.
pub struct Ran {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

pub fn run(words: &[&str]) -> Ran {
    let output = Command::new(env!("CARGO_BIN_EXE_pulsewright"))
        .args(words)
        .output()
        .expect("the command runs");
    Ran {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).expect("text"),
        err: String::from_utf8(output.stderr).expect("text"),
    }
}
