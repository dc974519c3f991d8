//! What was asked on the command line.

/// A command.
#[derive(Debug, PartialEq, Eq)]
pub enum Command {
    Help,
    Version,
    Ids,
    Value {
        id: String,
        from: String,
        unit: Option<String>,
    },
    Draw {
        plot: String,
        from: String,
    },
    Rank {
        from: String,
        table: String,
        json: bool,
    },
    /// A text made from a design alone.
    Text {
        kind: Text,
        from: String,
    },
    Schema,
    Docs {
        write: bool,
        files: Vec<String>,
    },
    Report {
        from: String,
        format: Format,
        require: Option<Require>,
        require_given: bool,
    },
}

/// What is written from a design.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Text {
    /// The firmware's settings as a C header.
    Header,
    /// The same as JSON or Markdown.
    Settings(Format),
    /// Every result, as CSV.
    Results,
}

/// How a report is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    Text,
    Json,
    Markdown,
}

/// What every check must be at least.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Require {
    Clear,
    Tight,
}

/// Reads the words.
pub fn parse(words: impl Iterator<Item = String>) -> Result<Command, String> {
    let mut positional = Vec::new();
    let (mut format, mut require, mut require_given, mut unit) = (Format::Text, None, false, None);
    let (mut check, mut write) = (false, false);
    let mut words = words.peekable();
    while let Some(word) = words.next() {
        let (name, inline) = match word.split_once('=') {
            Some((name, value)) if name.starts_with("--") => {
                (name.to_string(), Some(value.to_string()))
            }
            _ => (word.clone(), None),
        };
        let mut value = |what: &str| {
            inline
                .clone()
                .or_else(|| words.next())
                .ok_or(format!("{name} wants {what}"))
        };
        match name.as_str() {
            "-h" | "--help" | "help" if positional.is_empty() => return Ok(Command::Help),
            "-V" | "--version" => return Ok(Command::Version),
            "--json" => format = Format::Json,
            "--markdown" => format = Format::Markdown,
            "--check" => check = true,
            "--write" => write = true,
            "--require-given" => require_given = true,
            "--require" => {
                require = Some(match value("clear or tight")?.as_str() {
                    "clear" => Require::Clear,
                    "tight" => Require::Tight,
                    other => return Err(format!("--require takes clear or tight, not “{other}”")),
                });
            }
            "--unit" => unit = Some(value("a unit")?),
            _ if name.starts_with("--") => {
                return Err(format!("no such option: {name}; see --help"));
            }
            _ => positional.push(word),
        }
    }
    let mut positional = positional.into_iter();
    let command = positional.next().unwrap_or_default();
    let mut next = |what: &str| {
        positional
            .next()
            .ok_or(format!("{command} wants {what}; see --help"))
    };
    let made = match command.as_str() {
        "" => Command::Help,
        "ids" => Command::Ids,
        "schema" => Command::Schema,
        "header" | "settings" | "results" => Command::Text {
            kind: match command.as_str() {
                "header" => Text::Header,
                "settings" => Text::Settings(format),
                _ => Text::Results,
            },
            from: next("a file or a link")?,
        },
        "docs" => {
            if check == write {
                return Err("docs wants --check or --write".into());
            }
            let mut files = vec![next("the files with the numbers")?];
            files.extend(positional.by_ref());
            Command::Docs { write, files }
        }
        "value" => Command::Value {
            id: next("the id of an input or a result")?,
            from: next("a file or a link")?,
            unit,
        },
        "draw" => Command::Draw {
            plot: next("the name of a plot")?,
            from: next("a file or a link")?,
        },
        "rank" => Command::Rank {
            from: next("a file or a link")?,
            table: next("a table of motors, as CSV")?,
            json: format == Format::Json,
        },
        "report" => Command::Report {
            from: next("a file or a link")?,
            format,
            require,
            require_given,
        },
        other => return Err(format!("no such command: {other}; see --help")),
    };
    match positional.next() {
        Some(extra) => Err(format!("one word too many: {extra}; a link must be quoted")),
        None => Ok(made),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(line: &str) -> Result<Command, String> {
        parse(line.split(' ').map(String::from))
    }

    #[test]
    fn commands() {
        assert_eq!(
            parsed("report a.card.json --json --require=tight"),
            Ok(Command::Report {
                from: "a.card.json".into(),
                format: Format::Json,
                require: Some(Require::Tight),
                require_given: false
            })
        );
        assert_eq!(
            parsed("value motor.resistance #pw1;axis.kind=arm --unit mOhm"),
            Ok(Command::Value {
                id: "motor.resistance".into(),
                from: "#pw1;axis.kind=arm".into(),
                unit: Some("mOhm".into())
            })
        );
    }

    #[test]
    fn mistakes_are_named() {
        for line in [
            "report",
            "draw move",
            "report a b",
            "repot a",
            "report a --require fine",
            "report a --jsn",
        ] {
            assert!(parsed(line).is_err(), "{line}");
        }
    }
}
