//! The firmware's settings as a C header, C99 and later.

use crate::design::link;
use crate::evaluation::{Eval, check};
use crate::output::report;
use crate::output::settings;
use crate::output::verdict;
use crate::register::position_loop::{self as control, OnTarget};
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
    let judged = check::verdict(c, &check::all(c));
    let said: String = verdict::lines(c)
        .iter()
        .map(|line| [" * ", &comment(line), "\n"].concat())
        .collect();
    let mut out = [
        "/* Settings of the firmware",
        if title.is_empty() { "" } else { ": " },
        &comment(&title),
        ".\n *\n",
        &said,
        " *\n * ",
        report::STANDING,
        "\n * The design: ",
        &link,
        LAW,
        on_target(c),
        " */\n#ifndef PULSEWRIGHT_SETTINGS_H\n#define PULSEWRIGHT_SETTINGS_H\n\n/* what computed these numbers */\n#define PW_MADE_BY \"",
        report::made_by(),
        "\"\n\n/* how the design stands: 0 passes, 1 tight, 2 fails, 3 unknown */\n#define PW_VERDICT ",
        &number::int(i64::from(verdict::code(judged.status))),
        "\n",
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
                    ") is not defined: ",
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
            1 => "; uses 1 typical value".into(),
            n => ["; uses ", &number::int(n as i64), " typical values"].concat(),
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

/// How the numbers are used: what the simulated landing does.
const LAW: &str = "
 *
 * How these numbers are used, once in PW_SAMPLE_US:
 *   target = steps * PW_GEARING_NUMERATOR / PW_GEARING_DENOMINATOR, to the nearest whole count
 *   error  = target - count; 0 where it is at most PW_DEADBAND_COUNTS to either side
 *   sum    = sum + PW_KI_Q16 * error; as it was where pwm is beyond its limit and error would drive it further
 *   pwm    = (PW_KP_Q16 * error + sum - PW_KD_Q16 * (count - count of the sample before)
 *            + PW_KF_Q16 * (target - target of the sample before)) / 65536, to the nearest whole step,
 *            from -PW_PWM_LIMIT to PW_PWM_LIMIT
 * Integers of 64 bits: steps times the numerator, a gain times an error, and sum do not fit into 32. Keep steps
 * whole and never round what is added up: the target then stays exact for ever.
 * Direction: a positive pwm must make count rise, and so must steps in the positive direction. Try it with a small
 * PW_PWM_LIMIT first: an axis that runs away has the two wires of its motor, or its two sensors, the wrong way round.
";

/// What the firmware does once it stands on target, where that is not to drive on.
fn on_target(c: &Eval<'_>) -> &'static str {
    match c.get(control::ON_TARGET) {
        Ok(OnTarget::Brake) => {
            " * After 50 samples in a row within the deadband and without a step, the bridge brakes until error leaves it.\n"
        }
        Ok(OnTarget::Release) => {
            " * After 50 samples in a row within the deadband and without a step, the bridge lets go until error leaves it.\n"
        }
        _ => "",
    }
}

/// `text` inside a comment: nothing in it begins or ends one.
fn comment(text: &str) -> String {
    text.replace("*/", "* /").replace("/*", "/ *")
}
