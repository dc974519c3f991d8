//! What the firmware and the pulse source are set to, as data: the C header ([`crate::output::c_header`]),
//! JSON and Markdown are written from it.

use crate::design::link;
use crate::evaluation::display;
use crate::evaluation::{Absent, Eval, NOT_FINITE};
use crate::output::report;
use crate::output::verdict as judged;
use crate::register::bridge::{self, LimitKind};
use crate::register::position_loop as control;
use crate::register::{
    self, Key, Physical, card, drive, encoder, gears, motor, steps, supply, verdict,
};
use crate::text::json::{object, quoted, texts};
use crate::text::number;

/// A number of the firmware.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// Its name in C; never renamed once released.
    pub name: &'static str,
    /// Its unit, in words.
    pub unit: &'static str,
    /// What it is.
    pub says: &'static str,
    /// Its number.
    value: fn(&Eval<'_>) -> Result<Stored, Absent>,
}

/// A whole number as the firmware stores it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stored {
    /// The number.
    pub whole: i64,
    /// The same before it was rounded.
    pub exact: f64,
    /// The input or result that it is.
    pub of: usize,
}

/// A setting of a design.
#[derive(Clone, Debug)]
pub struct Made {
    /// Which.
    pub setting: &'static Setting,
    /// Its number, or why there is none.
    pub stored: Result<Stored, Absent>,
    /// Ids of the assumed inputs that it rests on, sorted.
    pub assumed: Vec<&'static str>,
}

impl Made {
    /// What it was before it was rounded, where that is another number.
    #[must_use]
    pub fn rounded_from(&self) -> Option<String> {
        let stored = self.stored.ok()?;
        let rounding = (stored.whole as f64 - stored.exact).abs();
        (rounding > 1e-9 * stored.exact.abs()).then(|| number::text(stored.exact, 8))
    }
}

/// A whole number of at most 64 bits.
fn whole(number: f64, exact: f64, of: usize) -> Result<Stored, Absent> {
    // Every number below is held exactly by both kinds.
    if number.is_finite() && number.abs() < 9e15 {
        Ok(Stored {
            whole: number as i64,
            exact,
            of,
        })
    } else {
        Err(NOT_FINITE)
    }
}

/// A hair, so that 2500.000 000 000 1 is not the next whole number.
const HAIR: f64 = 1e-6;

fn nearest<Q>(c: &Eval<'_>, key: Key<Q>, scale: f64) -> Result<Stored, Absent> {
    let exact = c.raw(key.index())? * scale;
    whole(libm::round(exact), exact, key.index())
}

fn at_least<Q>(c: &Eval<'_>, key: Key<Q>, scale: f64) -> Result<Stored, Absent> {
    let exact = c.raw(key.index())? * scale;
    whole(libm::ceil(exact - HAIR), exact, key.index())
}

fn at_most<Q>(c: &Eval<'_>, key: Key<Q>, scale: f64) -> Result<Stored, Absent> {
    let exact = c.raw(key.index())? * scale;
    whole(libm::floor(exact + HAIR), exact, key.index())
}

/// The input where it is given, else the result that stands in.
fn given_or<P: Physical, Q>(
    c: &Eval<'_>,
    given: Key<P>,
    computed: Key<Q>,
    scale: f64,
) -> Result<Stored, Absent> {
    match c.option(given)? {
        Some(_) => at_most(c, given, scale),
        None => at_most(c, computed, scale),
    }
}

fn counts_part(c: &Eval<'_>, lower: bool) -> Result<Stored, Absent> {
    let exact = c.exact(encoder::COUNTS_PER_OUTPUT_TURN)?;
    let part = if lower { exact.denom() } else { exact.numer() };
    let whole = i64::try_from(*part).map_err(|_| NOT_FINITE)?;
    Ok(Stored {
        whole,
        exact: whole as f64,
        of: encoder::COUNTS_PER_OUTPUT_TURN.index(),
    })
}

fn integral(c: &Eval<'_>) -> Result<Stored, Absent> {
    if c.left_out_now(control::INTEGRAL_TIME) {
        return whole(0.0, 0.0, control::INTEGRAL_TIME.index());
    }
    gain(c, verdict::INTEGRAL_FIXED, control::INTEGRAL_STEPS)
}

fn gain<P: Physical, Q>(c: &Eval<'_>, fixed: Key<P>, steps: Key<Q>) -> Result<Stored, Absent> {
    whole(
        c.raw(fixed.index())?,
        c.raw(steps.index())? * 65536.0,
        fixed.index(),
    )
}

/// The voltage that the commanded speed takes, and what the derivative on the measured count takes away again.
fn feed_forward(c: &Eval<'_>) -> Result<Stored, Absent> {
    let share = c.get(control::FEED_FORWARD)?.value;
    let of = control::FEED_FORWARD.index();
    if share == 0.0 {
        return whole(0.0, 0.0, of);
    }
    let for_speed = c.get(motor::BACK_EMF_CONSTANT)? + c.get(control::DERIVATIVE_GAIN)?;
    let volts = (share * for_speed * c.get(control::SPEED_QUANTUM)?).value;
    let steps = volts * c.raw(control::PWM_RESOLUTION.index())? / c.get(supply::VOLTAGE)?.value;
    whole(libm::round(steps * 65536.0), steps * 65536.0, of)
}

/// Where nothing limits the current, a jam gets no more than the gears take: D = I·R/V at the highest voltage, cold.
fn largest_pwm(c: &Eval<'_>) -> Result<Stored, Absent> {
    let full = c.raw(control::PWM_RESOLUTION.index())?;
    if current_limit(c).is_err() {
        let most = c.get(gears::SAFE_CURRENT)? * c.get(drive::TOTAL_RESISTANCE)?;
        let duty = (most / c.get(drive::HIGHEST_VOLTAGE)?).value;
        if duty < c.raw(control::VOLTAGE_LIMIT.index())? {
            let exact = duty * full;
            return whole(
                libm::floor(exact + HAIR),
                exact,
                gears::SAFE_CURRENT.index(),
            );
        }
    }
    at_most(c, control::VOLTAGE_LIMIT, full)
}

fn current_limit(c: &Eval<'_>) -> Result<Stored, Absent> {
    if c.option(control::CURRENT_LIMIT)?.is_some() {
        return at_most(c, control::CURRENT_LIMIT, 1e3);
    }
    if c.get(bridge::LIMIT_KIND)? != LimitKind::Limits {
        return Err(Absent::not_asked(
            "neither the loop nor the driver limits the current",
        ));
    }
    at_most(c, bridge::CURRENT_LIMIT, 1e3)
}

/// Every setting of the firmware, in the header's order.
pub const SETTINGS: [Setting; 18] = [
    Setting {
        name: "PW_GEARING_NUMERATOR",
        unit: "counts",
        says: "electronic gear ratio, numerator: encoder counts",
        value: |c| nearest(c, steps::GEARING_NUMERATOR, 1.0),
    },
    Setting {
        name: "PW_GEARING_DENOMINATOR",
        unit: "steps",
        says: "electronic gear ratio, denominator: steps",
        value: |c| nearest(c, steps::GEARING_DENOMINATOR, 1.0),
    },
    Setting {
        name: "PW_COUNTS_PER_TURN_NUM",
        unit: "counts",
        says: "exact ratio, numerator: encoder counts",
        value: |c| counts_part(c, false),
    },
    Setting {
        name: "PW_COUNTS_PER_TURN_DEN",
        unit: "turns of the output shaft",
        says: "exact ratio, denominator: output turns",
        value: |c| counts_part(c, true),
    },
    Setting {
        name: "PW_KP_Q16",
        unit: "1/65536 PWM step per count",
        says: "proportional gain Kp, Q16.16",
        value: |c| gain(c, verdict::PROPORTIONAL_FIXED, control::PROPORTIONAL_STEPS),
    },
    Setting {
        name: "PW_KI_Q16",
        unit: "1/65536 PWM step per count per sample",
        says: "integral gain Ki, Q16.16; 0 switches the integral part off",
        value: integral,
    },
    Setting {
        name: "PW_KD_Q16",
        unit: "1/65536 PWM step per count/sample",
        says: "derivative gain Kd, Q16.16, on the measured count",
        value: |c| gain(c, verdict::DERIVATIVE_FIXED, control::DERIVATIVE_STEPS),
    },
    Setting {
        name: "PW_KF_Q16",
        unit: "1/65536 PWM step per count/sample",
        says: "speed feed-forward, Q16.16, on the target; 0 switches it off",
        value: feed_forward,
    },
    Setting {
        name: "PW_SAMPLE_US",
        unit: "microseconds",
        says: "period of the position loop",
        value: |c| nearest(c, control::SAMPLE_TIME, 1e6),
    },
    Setting {
        name: "PW_DEADBAND_COUNTS",
        unit: "counts",
        says: "deadband: error ignored at rest",
        value: |c| nearest(c, control::DEADBAND, 1.0),
    },
    Setting {
        name: "PW_PWM_FULL_SCALE",
        unit: "PWM steps",
        says: "full duty",
        value: |c| nearest(c, control::PWM_RESOLUTION, 1.0),
    },
    Setting {
        name: "PW_PWM_LIMIT",
        unit: "PWM steps",
        says: "max. duty cycle of the loop",
        value: largest_pwm,
    },
    Setting {
        name: "PW_HOLD_PWM",
        unit: "PWM steps",
        says: "holding duty cycle, winding cold",
        value: |c| nearest(c, verdict::HOLD_PWM, 1.0),
    },
    Setting {
        name: "PW_CURRENT_LIMIT_MA",
        unit: "milliamperes",
        says: "motor current limit of the loop",
        value: current_limit,
    },
    Setting {
        name: "PW_STALL_TIMEOUT_MS",
        unit: "milliseconds",
        says: "stall timeout: full drive without motion",
        value: |c| given_or(c, control::STALL_TIMEOUT, verdict::STALL_TIMEOUT, 1e3),
    },
    Setting {
        name: "PW_ERROR_LIMIT_COUNTS",
        unit: "counts",
        says: "following-error limit",
        value: |c| given_or(c, control::ERROR_LIMIT, verdict::ERROR_LIMIT, 1.0),
    },
    Setting {
        name: "PW_PULSE_MIN_NS",
        unit: "nanoseconds",
        says: "min. step pulse width",
        value: |c| at_least(c, steps::PULSE_HIGH, 1e9),
    },
    Setting {
        name: "PW_DIRECTION_SETUP_NS",
        unit: "nanoseconds",
        says: "DIR set-up time before a step",
        value: |c| at_least(c, steps::DIRECTION_SETUP, 1e9),
    },
];

/// What is set at the pulse source.
pub const PULSE_SOURCE: [usize; 5] = [
    verdict::STEPS_PER_UNIT.index(),
    verdict::MAX_SPEED.index(),
    verdict::ACCELERATION.index(),
    verdict::PULSE_WIDTH.index(),
    verdict::DIRECTION_SETUP.index(),
];

/// The settings of a design.
#[must_use]
pub fn made(c: &Eval<'_>) -> Vec<Made> {
    SETTINGS
        .iter()
        .map(|setting| {
            let (stored, depends_on) = c.traced(|c| (setting.value)(c));
            Made {
                setting,
                stored,
                assumed: report::assumed(c, depends_on),
            }
        })
        .collect()
}

/// The title that a person gave the card, without what would break the document that it stands in;
/// empty where there is none.
#[must_use]
pub fn title(c: &Eval<'_>) -> String {
    plain(c.design().text(card::TITLE.index()))
}

/// `text` on one line, without control characters and what turns the direction of writing.
fn plain(text: &str) -> String {
    text.chars()
        .map(|letter| if letter.is_whitespace() { ' ' } else { letter })
        .filter(|&letter| {
            !letter.is_control()
                && !matches!(letter, '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
        })
        .collect()
}

/// The settings as JSON: `settings` by name, `left_out` with the reason, and the pulse source's.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::output::settings;
///
/// let design = Design::default();
/// let text = settings::json(&Eval::new(&design));
/// let made: serde_json::Value = serde_json::from_str(&text)?;
/// assert_eq!(made["settings"]["PW_SAMPLE_US"]["value"], 1000);
/// # Ok::<(), serde_json::Error>(())
/// ```
#[must_use]
pub fn json(c: &Eval<'_>) -> String {
    let (mut settings, mut left_out) = (Vec::new(), Vec::new());
    for made in made(c) {
        match made.stored {
            Ok(stored) => {
                let entry = [
                    ("value", number::int(stored.whole)),
                    ("unit", quoted(made.setting.unit)),
                    ("says", quoted(made.setting.says)),
                    ("of", quoted(register::id(stored.of))),
                    ("before_rounding", number::text(stored.exact, 15)),
                    ("assumed", texts(&made.assumed)),
                ];
                settings.push((made.setting.name, object(&entry, 2)));
            }
            Err(absent) => left_out.push((made.setting.name, quoted(&absent.message()))),
        }
    }
    let mut pulse_source = Vec::new();
    for index in PULSE_SOURCE {
        let answer = c.answer(index);
        if let Ok(value) = answer.found {
            let entry = [
                ("value", number::text(answer.measure.reported(value), 15)),
                ("unit", quoted(answer.measure.si_name())),
                ("says", quoted(register::label(index))),
                ("display", quoted(&display::display(c, index, 6))),
                ("assumed", texts(&report::assumed(c, answer.depends_on))),
            ];
            pulse_source.push((register::id(index), object(&entry, 2)));
        }
    }
    let lines = judged::lines(c);
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    let all = [
        ("verdict", texts(&lines)),
        ("made_by", quoted(report::made_by())),
        ("title", quoted(&title(c))),
        ("link", quoted(&link::write(c.design()))),
        ("settings", object(&settings, 1)),
        ("left_out", object(&left_out, 1)),
        ("pulse_source", object(&pulse_source, 1)),
    ];
    [object(&all, 0).as_str(), "\n"].concat()
}

/// The settings as Markdown, for a README.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::output::settings;
///
/// let design = Design::default();
/// assert!(settings::markdown(&Eval::new(&design)).contains("| `PW_SAMPLE_US` | 1000 |"));
/// ```
#[must_use]
pub fn markdown(c: &Eval<'_>) -> String {
    let title = title(c);
    let mut out = String::from("# Settings");
    if !title.is_empty() {
        out.push_str(": ");
        for letter in title.chars() {
            // What means something to Markdown or HTML is only text here.
            if letter.is_ascii_punctuation() {
                out.push('\\');
            }
            out.push(letter);
        }
    }
    out.push_str("\n\n");
    for line in judged::lines(c) {
        out.push_str(&["- ", &line, "\n"].concat());
    }
    out.push_str(
        "\n| firmware | value | unit | meaning | typical values used |\n|---|---:|---|---|---:|\n",
    );
    let mut missing = String::new();
    for made in made(c) {
        match made.stored {
            Ok(stored) => row(
                &mut out,
                &[
                    &["`", made.setting.name, "`"].concat(),
                    &number::int(stored.whole),
                    made.setting.unit,
                    made.setting.says,
                    &number::int(made.assumed.len() as i64),
                ],
            ),
            Err(absent) => {
                let line = ["\n`", made.setting.name, "` is not defined: "].concat();
                missing.push_str(&[&line, &absent.message(), ".\n"].concat());
            }
        }
    }
    out.push_str(&missing);
    out.push_str("\n| step/dir controller | value |\n|---|---|\n");
    for index in PULSE_SOURCE {
        row(
            &mut out,
            &[register::label(index), &display::display(c, index, 6)],
        );
    }
    let link = link::write(c.design());
    let end = [
        "\nMade by ",
        report::made_by(),
        " from `",
        &link,
        "`.\n\n",
        report::STANDING,
        "\n",
    ];
    out.push_str(&end.concat());
    out
}

fn row(out: &mut String, cells: &[&str]) {
    out.push_str(&["| ", &cells.join(" | "), " |\n"].concat());
}
