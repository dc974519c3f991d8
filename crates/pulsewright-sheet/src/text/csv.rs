//! Tables as text: records of cells, RFC 4180 with `,` or `;` between the cells.

/// A quotation mark that is never closed, by the line on which it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OpenQuote {
    /// Line, from 1.
    pub line: usize,
}

impl OpenQuote {
    /// What is wrong.
    #[must_use]
    pub fn message(self) -> String {
        [
            "a quotation mark is never closed; it stands in line ",
            &super::number::int(self.line as i64),
        ]
        .concat()
    }
}

errors_in_words!(OpenQuote);

/// The separator of a table: `;` where the first line has one outside quotation marks, else `,`.
///
/// # Example
/// ```
/// use pulsewright_sheet::text::csv::separator;
/// assert_eq!(separator("name;ratio\n\"a,b\";100"), ';');
/// assert_eq!(separator("\"a;b\",ratio\n1,5"), ',');
/// ```
#[must_use]
pub fn separator(text: &str) -> char {
    let mut quoted = false;
    for c in text.chars() {
        match c {
            '"' => quoted = !quoted,
            ';' if !quoted => return ';',
            '\n' if !quoted => return ',',
            _ => {}
        }
    }
    ','
}

/// The records of a table, empty lines left out, each with the line on which it begins. A quotation
/// mark inside an unquoted cell is a character as any other.
///
/// # Errors
/// [`OpenQuote`].
///
/// # Example
/// ```
/// use pulsewright_sheet::text::csv::records;
/// let table = records("a,\"b \"\"c\"\", d\"\r\n\r\n1,2\n", ',').unwrap();
/// assert_eq!(table[0], (1, vec!["a".to_string(), "b \"c\", d".to_string()]));
/// assert_eq!(table[1], (3, vec!["1".to_string(), "2".to_string()]));
/// ```
pub fn records(text: &str, separator: char) -> Result<Vec<(usize, Vec<String>)>, OpenQuote> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (mut table, mut record, mut cell) = (Vec::new(), Vec::new(), String::new());
    let (mut line, mut begins, mut opened) = (1, 1, None);
    // A cell that was quoted counts although it is empty.
    let mut was_quoted = false;
    let mut chars = text.chars().peekable();
    let mut end = |record: &mut Vec<String>, cell: &mut String, quoted: bool, begins: usize| {
        record.push(core::mem::take(cell));
        let cells = core::mem::take(record);
        if quoted || cells.len() > 1 || cells.iter().any(|c| !c.trim().is_empty()) {
            table.push((begins, cells));
        }
    };
    while let Some(c) = chars.next() {
        line += usize::from(c == '\n');
        match (c, opened) {
            ('"', Some(_)) if chars.peek() == Some(&'"') => {
                let _ = chars.next();
                cell.push('"');
            }
            ('"', Some(_)) => opened = None,
            (_, Some(_)) => cell.push(c),
            ('"', None) if cell.is_empty() && !was_quoted => {
                (opened, was_quoted) = (Some(line), true);
            }
            ('\r', None) if chars.peek() == Some(&'\n') => {}
            ('\n', None) => {
                end(&mut record, &mut cell, was_quoted, begins);
                (begins, was_quoted) = (line, false);
            }
            (c, None) if c == separator => {
                record.push(core::mem::take(&mut cell));
                was_quoted = false;
            }
            (_, None) => cell.push(c),
        }
    }
    if let Some(line) = opened {
        return Err(OpenQuote { line });
    }
    end(&mut record, &mut cell, was_quoted, begins);
    Ok(table)
}

/// A cell, quoted where it must be; one that a spreadsheet would run is text.
pub fn cell(text: &str) -> String {
    let number = text.parse::<f64>().is_ok();
    let text = if !number && text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        ["'", text].concat()
    } else {
        text.into()
    };
    if text.contains(['"', ',', ';', '\n', '\r']) {
        ["\"", &text.replace('"', "\"\""), "\""].concat()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn quoted(cell: &str) -> String {
        ["\"", &cell.replace('"', "\"\""), "\""].concat()
    }

    proptest! {
        /// What RFC 4180 writes comes back, whatever the cells hold.
        #[test]
        fn written_tables_come_back(
            cells in prop::collection::vec(prop::collection::vec("[a-z,;\"\r\n °0-9.]{0,8}", 1..5), 1..6),
            semicolon in any::<bool>(),
            windows in any::<bool>(),
        ) {
            let (separator, end) = (if semicolon { ";" } else { "," }, if windows { "\r\n" } else { "\n" });
            let lines: Vec<String> = cells
                .iter()
                .map(|row| row.iter().map(|c| quoted(c)).collect::<Vec<_>>().join(separator))
                .collect();
            let read = records(&lines.join(end), separator.chars().next().unwrap()).unwrap();
            let read: Vec<Vec<String>> = read.into_iter().map(|(_, row)| row).collect();
            prop_assert_eq!(read, cells);
        }

        /// Any text at all is read or refused, never lost without a word.
        #[test]
        fn any_text_is_read(text in "\\PC{0,40}|[\",;\r\na]{0,20}") {
            match records(&text, ',') {
                Ok(table) => {
                    let kept: usize = table.iter().flat_map(|(_, r)| r).map(|c| c.matches('a').count()).sum();
                    prop_assert_eq!(kept, text.matches('a').count());
                }
                Err(OpenQuote { line }) => prop_assert!(line <= text.matches('\n').count() + 1),
            }
        }
    }

    #[test]
    fn odd_tables() {
        let rows = |text: &str| -> Vec<Vec<String>> {
            records(text, ',')
                .unwrap()
                .into_iter()
                .map(|(_, r)| r)
                .collect()
        };
        assert_eq!(rows(""), Vec::<Vec<String>>::new());
        assert_eq!(rows("\u{feff}a,b"), [["a", "b"]]);
        assert_eq!(rows("a,b,\n"), [["a", "b", ""]]);
        assert_eq!(rows("3/4\" x,2"), [["3/4\" x", "2"]]);
        assert_eq!(rows("\"\""), [[""]]);
        assert_eq!(records("a\n\"b", ','), Err(OpenQuote { line: 2 }));
    }
}
