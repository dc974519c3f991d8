//! Colour for what fails; the words beside it say the same.

use anstream::{AutoStream, ColorChoice};
use anstyle::{AnsiColor, Style};
use clap::ValueEnum;
use pulsewright_sheet::evaluation::Status;

/// When colour is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Color {
    Auto,
    Always,
    Never,
}

/// Whether a text is coloured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Paint(bool);

impl Paint {
    /// Text as it is.
    pub const NONE: Self = Self(false);

    /// For standard output.
    pub fn for_output(color: Color) -> Self {
        Self(match color {
            Color::Always => true,
            Color::Never => false,
            Color::Auto => AutoStream::choice(&std::io::stdout()) != ColorChoice::Never,
        })
    }

    /// Whether anything is coloured.
    pub fn is_on(self) -> bool {
        self.0
    }

    /// The word of a status, filled up with blanks to `width`.
    pub fn status(self, status: Status, width: usize) -> String {
        let word = format!("{:width$}", status.word());
        let color = match status {
            Status::Fails => AnsiColor::Red,
            Status::Unknown => AnsiColor::Yellow,
            _ => return word,
        };
        if !self.0 {
            return word;
        }
        let style = Style::new().bold().fg_color(Some(color.into()));
        format!("{style}{word}{style:#}")
    }
}
