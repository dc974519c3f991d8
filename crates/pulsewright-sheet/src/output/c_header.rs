//! The firmware's settings as a C header, C99 and later.

use crate::design::link;
use crate::evaluation::Eval;
use crate::output::report;
use crate::output::settings;
use crate::text::number;

/// The header. A number that cannot be said is left out with its reason, so that a firmware which
/// needs it does not compile.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::output::c_header;
/// let design = Design::default();
/// let text = c_header::write(&Eval::new(&design));
/// assert!(text.contains("#define PW_SAMPLE_US 1000\n"));
/// ```
#[must_use]
pub fn write(c: &Eval<'_>) -> String {
    let title = settings::title(c);
    let link = link::write(c.design());
    let mut out = [
        "/* Settings of the firmware",
        if title.is_empty() { "" } else { ": " },
        &comment(&title),
        ".\n * ",
        report::STANDING,
        "\n * The design: ",
        &link,
        "\n */\n#ifndef PULSEWRIGHT_SETTINGS_H\n#define PULSEWRIGHT_SETTINGS_H\n\n/* what computed these numbers */\n#define PW_MADE_BY \"",
        report::made_by(),
        "\"\n",
    ]
    .concat();
    for made in settings::made(c) {
        let setting = made.setting;
        let stored = match made.stored {
            Ok(stored) => stored,
            Err(absent) => {
                let why = comment(&absent.message());
                let line = [
                    "\n/* ",
                    setting.name,
                    " (",
                    setting.says,
                    ") is left out: ",
                    &why,
                    " */\n",
                ];
                out.push_str(&line.concat());
                continue;
            }
        };
        let rounded = made.rounded_from().map_or(String::new(), |from| {
            ["; rounded from ", from.as_str()].concat()
        });
        let assumed = match made.assumed.len() {
            0 => String::new(),
            1 => "; rests on 1 assumed figure".into(),
            n => ["; rests on ", &number::int(n as i64), " assumed figures"].concat(),
        };
        let number = number::int(stored.whole);
        let line = [
            "\n/* ",
            setting.says,
            " [",
            setting.unit,
            "]",
            &rounded,
            &assumed,
            " */\n#define ",
            setting.name,
            " ",
            // A sign of its own binds looser than what may stand before the name.
            if stored.whole < 0 { "(" } else { "" },
            &number,
            if stored.whole < 0 { ")" } else { "" },
            "\n",
        ];
        out.push_str(&line.concat());
    }
    out.push_str("\n#endif /* PULSEWRIGHT_SETTINGS_H */\n");
    out
}

/// `text` inside a comment: nothing in it begins or ends one.
fn comment(text: &str) -> String {
    text.replace("*/", "* /").replace("/*", "/ *")
}
