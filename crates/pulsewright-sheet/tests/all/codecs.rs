//! What goes out comes back: units, numbers, links, files; and no text, however odd, breaks anything.
//! Definitions of this project, no published values.

use proptest::prelude::*;
use serde_json::Value;

use crate::common::{answer, demos_and_kinds, entered};
use pulsewright_sheet::design::card;
use pulsewright_sheet::design::entry::Refusal;
use pulsewright_sheet::design::link;
use pulsewright_sheet::design::{Design, State};
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::evaluation::check;
use pulsewright_sheet::evaluation::finding;
use pulsewright_sheet::guide::examples::EXAMPLES;
use pulsewright_sheet::register::{self, COUNT, Form, INPUT_COUNT, Input};
use pulsewright_sheet::text::measure::Measure;
use pulsewright_sheet::text::number::{self, DecimalMark};
use pulsewright_sheet::text::unit;

/// Every measure of a field, with every unit that people use for it.
fn usual_units() -> Vec<(Measure, &'static str)> {
    let mut all = Vec::new();
    for input in register::inputs() {
        let measures: &[Measure] = match &input.form {
            // A gauge is a number; its name is taken by the reader of the field.
            Form::Quantity(Measure::Gauge) => &[],
            Form::Quantity(measure) => &[*measure],
            Form::Travel => &[Measure::Angle, Measure::Length],
            _ => &[],
        };
        for measure in measures {
            for unit in measure.usual() {
                if !all.contains(&(*measure, *unit)) {
                    all.push((*measure, *unit));
                }
            }
        }
    }
    all
}

/// Evaluates everything: every result and both figures of every check are finite or say why not.
fn evaluate(design: &Design) -> Result<(), String> {
    let c = Eval::new(design);
    c.all();
    for index in 0..COUNT {
        if register::result(index).is_some_and(|result| result.costly) {
            continue;
        }
        match c.answer(index).found {
            Ok(value) if !value.is_finite() => {
                return Err(format!("{} is {value}", register::id(index)));
            }
            Ok(_) => {}
            Err(absent) if absent.message().is_empty() => {
                return Err(format!(
                    "{} is absent without a reason",
                    register::id(index)
                ));
            }
            Err(_) => {}
        }
    }
    for held in check::all(&c) {
        if let Ok(margin) = held.margin
            && !(margin.capability.is_finite() && margin.need.is_finite())
        {
            return Err(format!("{} is {margin:?}", held.check.id));
        }
        if held.ratio().is_some_and(|margin| !margin.is_finite()) {
            return Err(format!(
                "{} has the margin {:?}",
                held.check.id,
                held.ratio()
            ));
        }
    }
    for said in finding::all(&c) {
        if said.message(&c).is_empty() {
            return Err(format!("{} says nothing", said.finding.id));
        }
    }
    Ok(())
}

fn any_usual_unit() -> impl Strategy<Value = (Measure, &'static str)> {
    prop::sample::select(usual_units())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// A value in any usual unit, as text and back, in plain and in pretty spelling.
    #[test]
    fn units_come_back((measure, name) in any_usual_unit(), size in -9.0..9.0_f64, sign in prop::bool::ANY) {
        let value = if sign { -1.0 } else { 1.0 } * libm::exp10(size);
        let value = if measure == Measure::Temperature { value.abs() } else { value };
        let read = unit::unit(name, measure).expect(name);
        for spelling in [name.to_string(), unit::pretty(name), unit::pretty(&read.text)] {
            let text = [&number::text(read.from_si(value), 15), " ", &spelling].concat();
            let (number, rest) = number::split(&text, DecimalMark::Stored).expect(&text);
            let back = unit::unit(rest, measure).expect(rest).to_si(number.value);
            // What a temperature loses, it loses against its offset.
            let scale = if measure == Measure::Temperature { value.abs().max(300.0) } else { value.abs() };
            prop_assert!((back - value).abs() <= 1e-14 * scale, "{text}: {back} is not {value}");
        }
    }

    /// Point, comma, blanks between digits, a sign, a power of ten: all the same number.
    #[test]
    fn numbers_read_the_same_in_every_spelling(whole in 0..10_000_000_u32, decimals in "[0-9]{0,2}|[0-9]{4,6}", negative in prop::bool::ANY) {
        let sign = if negative { "-" } else { "" };
        let tail = |mark: &str| if decimals.is_empty() { String::new() } else { [mark, &decimals].concat() };
        let plain = format!("{sign}{whole}{}", tail("."));
        let expected: f64 = plain.parse().unwrap();
        let grouped = |blank: char| {
            let digits = whole.to_string();
            let mut out = String::new();
            for (i, digit) in digits.chars().enumerate() {
                if i > 0 && (digits.len() - i).is_multiple_of(3) {
                    out.push(blank);
                }
                out.push(digit);
            }
            format!("{sign}{out}")
        };
        let mut spellings = vec![plain.clone(), format!("{sign}{whole}{}", tail(",")), format!(" {plain} "), format!("{plain}e0")];
        for blank in [' ', '\u{a0}', '\u{2009}', '\u{202f}'] {
            spellings.push(grouped(blank) + &tail("."));
            spellings.push(grouped(blank) + &tail(","));
        }
        spellings.push(if negative { plain.replace('-', "\u{2212}") } else { format!("+{plain}") });
        for text in spellings {
            for marks in [DecimalMark::Typed, DecimalMark::Stored] {
                let (number, rest) = number::split(&text, marks).map_err(|e| TestCaseError::fail(format!("{text}: {}", e.message())))?;
                prop_assert_eq!(number.value, expected, "{}", &text);
                prop_assert_eq!(rest, "");
                let canonical: f64 = number.text.parse().unwrap();
                prop_assert_eq!(canonical, expected, "{}", &text);
            }
        }
    }

    /// A letter in place of the mark, and the same prefix on the unit.
    #[test]
    fn prefixes_read_the_same(whole in 1..1000_u32, decimal in 1..10_u32, at in 0..6_usize) {
        let (letter, factor, prefix) = [("k", 1e3, "k"), ("M", 1e6, "M"), ("m", 1e-3, "m"), ("u", 1e-6, "u"), ("n", 1e-9, "n"), ("R", 1.0, "")][at];
        let expected = f64::from(10 * whole + decimal) / 10.0 * factor;
        let coded = format!("{whole}{letter}{decimal}");
        let (coded, rest) = number::split(&coded, DecimalMark::Typed).expect("code");
        prop_assert_eq!(rest, "");
        prop_assert!((coded.value - expected).abs() <= 1e-15 * expected);
        let spaced = format!("{whole}.{decimal} {prefix}Ohm");
        let (number, rest) = number::split(&spaced, DecimalMark::Typed).expect("number");
        let read = unit::unit(rest, Measure::Resistance).expect("unit").to_si(number.value);
        prop_assert!((read - expected).abs() <= 1e-15 * expected);
    }

    /// No text is a number or a unit by panic.
    #[test]
    fn no_text_breaks_the_readers(text in ".{0,40}", (measure, name) in any_usual_unit()) {
        let _ = number::split(&text, DecimalMark::Typed);
        let _ = unit::unit(&text, measure);
        let _ = unit::unit(&[name, text.as_str()].concat(), measure);
        let _ = unit::pretty(&text);
        for input in register::inputs() {
            for marks in [DecimalMark::Typed, DecimalMark::Stored] {
                if let Err(refusal) = pulsewright_sheet::design::entry::read(input, &text, marks) {
                    prop_assert!(!refusal.message().is_empty());
                }
            }
        }
    }
}

/// Texts that a field may get: what it takes, what is near that, and anything at all.
fn any_text() -> impl Strategy<Value = String> {
    let known = prop::sample::select(vec![
        "arm",
        "6 V",
        "4,6 kgcm ± 10 %",
        "1.600",
        "1,600",
        "1600 r/min",
        "35:12, 37:13",
        "0.9; 0.9",
        "90 deg",
        "100 mm",
        "none",
        "1/3",
        "<script>alert(1)</script>",
        "100%",
        "%",
        "%4",
        "%41",
        "%zz",
        "&amp;",
        "a&b;c=d",
        "#pw1",
        "see #pw1;motor.rated_voltage=9V",
        "%23pw1;x.y=z",
        "ends in a point.",
        "(bracket)",
        "comma,",
        "🦀 é ß",
        "\u{202e}",
        "\0",
        "\t tab",
        "'\"`|{}\\^[]",
        "1e400",
        "-0",
        "NaN",
        "inf",
        "0.2 0.3",
        "1.600 V ± 1.600",
    ]);
    prop_oneof![
        3 => known.prop_map(String::from),
        1 => ".{0,20}",
        1 => "[0-9]{1,4}[.,][0-9]{0,4} ?(V|A|mm|deg|s|kg|%)?",
        1 => "\\PC{0,300}",
    ]
}

fn any_id() -> impl Strategy<Value = String> {
    let known: Vec<&'static str> = register::inputs().iter().map(|input| input.id).collect();
    let odd = prop::sample::select(vec![
        "__proto__",
        "constructor",
        "a.constructor",
        "a.__proto__",
        "motor.no_such_thing",
        "toString",
        "hasOwnProperty.x",
    ]);
    prop_oneof![
        6 => prop::sample::select(known).prop_map(String::from),
        1 => odd.prop_map(String::from),
        1 => "[a-z]{1,6}\\.[a-z_0-9]{1,6}",
    ]
}

/// A design as people make it: typed, or from a link or a file with ids twice or unknown.
fn any_design() -> impl Strategy<Value = Design> {
    let entry = (any_id(), any_text(), prop::bool::ANY);
    prop::collection::vec(entry, 0..12).prop_map(|entries| {
        let mut design = Design::default();
        for (id, text, typed) in entries {
            match register::find_input(&id) {
                Some(index) if typed => design.enter(index, &text, DecimalMark::Typed),
                _ => {
                    let _ = design.enter_id(&id, &text);
                }
            }
        }
        design
    })
}

/// The same design but for the words of a refusal, which name the text in the marks of its time.
fn same(a: &Design, b: &Design) -> Result<(), String> {
    for index in 0..INPUT_COUNT {
        let id = register::id(index);
        match (a.state(index), b.state(index)) {
            (State::Refused { .. }, State::Refused { .. }) => {
                // A mark that can be read in two ways is carried as a comma.
                if a.text(index).replace('.', ",") != b.text(index).replace('.', ",") {
                    return Err(format!(
                        "{id}: {:?} became {:?}",
                        a.text(index),
                        b.text(index)
                    ));
                }
            }
            (x, y) if x == y => {}
            (x, y) => return Err(format!("{id}: {x:?} became {y:?}")),
        }
    }
    Ok(())
}

/// What stands packed in a link: base64url (RFC 4648, section 5) of a zlib stream whose checksum is not looked at.
fn inflated(link: &str) -> Vec<u8> {
    let digit = |letter: u8| match letter {
        b'A'..=b'Z' => letter - b'A',
        b'a'..=b'z' => letter - b'a' + 26,
        b'0'..=b'9' => letter - b'0' + 52,
        b'-' => 62,
        _ => 63,
    };
    let bits: Vec<u8> = link[link::PACKED_MARK.len()..]
        .bytes()
        .flat_map(|letter| (0..6).rev().map(move |at| digit(letter) >> at & 1))
        .collect();
    let bytes: Vec<u8> = bits
        .chunks_exact(8)
        .map(|eight| eight.iter().fold(0, |byte, bit| byte << 1 | bit))
        .collect();
    miniz_oxide::inflate::decompress_to_vec(&bytes[2..]).expect("a stream")
}

/// Adler-32: RFC 1950, section 8.2.
fn checksum(bytes: &[u8]) -> u32 {
    let (sum, sums) = bytes.iter().fold((1_u32, 0_u32), |(sum, sums), byte| {
        let sum = (sum + u32::from(*byte)) % 65521;
        (sum, (sums + sum) % 65521)
    });
    sums << 16 | sum
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    #[test]
    fn links_come_back(design in any_design()) {
        let text = link::write(&design);
        prop_assert!(text.is_ascii());
        prop_assume!(text.len() <= link::LONGEST);
        for around in [text.clone(), format!("page.html{text}"), format!("see page.html{text} for it"), format!("({text}).")] {
            let read = link::read(&around).expect("a link");
            prop_assert_eq!(read.trouble, None);
            same(&design, &read.design).map_err(TestCaseError::fail)?;
            prop_assert_eq!(&design.unknown, &read.design.unknown);
            prop_assert_eq!(&design.repeated, &read.design.repeated);
            prop_assert_eq!(link::write(&read.design), text.clone());
        }
    }

    #[test]
    fn packed_links_come_back(design in any_design()) {
        let text = link::packed(&design);
        prop_assume!(link::write(&design).len() <= link::LONGEST);
        for around in [text.clone(), format!("https://example.org/page.html{text}"), format!("<{text}>."), text.replace('#', "%23").replace(';', "%3B")] {
            let read = link::read(&around).expect("a link");
            prop_assert_eq!(read.trouble, None);
            same(&design, &read.design).map_err(TestCaseError::fail)?;
            prop_assert_eq!(&design.unknown, &read.design.unknown);
        }
    }

    /// One letter changed or the end lost: refused in words, or the same, where the letter's spare bits changed. A few in
    /// many thousands pass the checksum of zlib with other words: they have it by right.
    #[test]
    fn a_damaged_packed_link_is_refused(design in any_design(), at in 0..4000_usize, letter in "[A-Za-z0-9_-]", cut in prop::bool::ANY) {
        let text = link::packed(&design);
        let body = link::PACKED_MARK.len();
        let at = body + at % (text.len() - body);
        let damaged = if cut { text[..at].to_string() } else { [&text[..at], &letter, &text[at + 1..]].concat() };
        match link::read(&damaged) {
            Ok(read) if link::write(&read.design) == link::write(&link::read(&link::write(&design)).unwrap().design) => {}
            Ok(_) => prop_assert_eq!(checksum(&inflated(&damaged)), checksum(link::write(&design).as_bytes())),
            Err(refusal) => prop_assert!(!refusal.message().is_empty()),
        }
    }

    #[test]
    fn files_come_back(design in any_design()) {
        let text = card::write(&design);
        let read = card::read(&text).expect("a file");
        same(&design, &read).map_err(TestCaseError::fail)?;
        prop_assert_eq!(&design.unknown, &read.unknown);
        prop_assert_eq!(card::write(&read), text);
    }

    #[test]
    fn random_bytes_are_no_link(bytes in prop::collection::vec(any::<u8>(), 0..400), at in 0..400_usize) {
        let text = String::from_utf8_lossy(&bytes);
        let _ = link::read(&text);
        let _ = card::read(&text);
        let marked = format!("#pw1;{text}");
        let read = link::read(&marked).expect("a link");
        let again = link::read(&link::write(&read.design)).expect("a link");
        same(&read.design, &again.design).map_err(TestCaseError::fail)?;
        let cut: String = marked.chars().take(at).collect();
        let _ = link::read(&cut);
    }

    #[test]
    fn any_json_is_read_or_refused(value in any_json()) {
        let _ = card::read(&value.to_string());
        let wrapped = serde_json::json!({"route_card": 1, "inputs": value});
        match card::read(&wrapped.to_string()) {
            Ok(design) => {
                let again = card::read(&card::write(&design)).expect("a file");
                same(&design, &again).map_err(TestCaseError::fail)?;
            }
            Err(refusal) => prop_assert!(!refusal.message().is_empty()),
        }
    }
}

fn any_json() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        any_text().prop_map(Value::from),
    ];
    leaf.prop_recursive(4, 32, 8, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
            prop::collection::vec((any_id(), inner), 0..6)
                .prop_map(|pairs| Value::Object(pairs.into_iter().collect())),
        ]
    })
}

#[test]
fn cut_links_are_read_as_far_as_they_go() {
    for example in &EXAMPLES {
        for cut in 0..=example.link.len() {
            if let Some(text) = example.link.get(..cut) {
                let _ = link::read(text);
            }
        }
    }
    for tail in ["%", "%4", "%C3", "%c3%28", "%00", "%%%", "%-1", "%+1"] {
        let read = link::read(&["#pw1;card.title=a", tail].concat()).expect("a link");
        let again = link::read(&link::write(&read.design)).expect("a link");
        assert_eq!(read.design, again.design, "{tail}");
    }
}

#[test]
fn long_links_are_cut_and_say_so() {
    for piece in [
        ";motor.rated_voltage=6V",
        ";a.b=%F0%9F%A6%80",
        "é",
        "%",
        ";",
        "&amp;",
        "%23pw1",
    ] {
        let text = ["#pw1", &piece.repeat(100_000 / piece.len() + 1)].concat();
        let read = link::read(&text).expect("a link");
        assert_eq!(read.trouble, Some(link::LinkError::TooLong), "{piece}");
    }
    let nothing = "#pw".repeat(40_000);
    assert_eq!(link::read(&nothing), Err(link::LinkError::NoMark));
}

/// Where people paste links, and what is made of them there: common practice, no source.
#[test]
fn links_survive_where_people_paste_them() {
    let mut design = Design::default();
    for (id, text) in [
        ("card.note", "a b, c; 50 % (d)... e_"),
        ("axis.kind", "arm"),
        ("motor.stall_torque", "4.6 kgf.cm ± 10 %"),
        ("gears.stages", "35:12,37:13"),
    ] {
        let _ = design.enter_id(id, text);
    }
    let short = link::write(&design);
    let link = ["https://example.org/card.html?a=1", &short].concat();
    let once = |text: &str| -> String {
        text.bytes()
            .map(|b| {
                if b.is_ascii_alphanumeric() || b"-._~".contains(&b) {
                    char::from(b).to_string()
                } else {
                    format!("%{b:02X}")
                }
            })
            .collect()
    };
    let mut pasted = vec![
        // Percent-encoded as a whole, once to three times, and inside a gate's own address.
        once(&link),
        once(&link).replace("%3B", "%3b").replace("%3D", "%3d"),
        once(&once(&link)),
        once(&once(&once(&link))),
        [
            "https://gate.example/?u=",
            &once(&link),
            "&data=05%7C02&r=0",
        ]
        .concat(),
        short.replacen('#', "%23", 1),
        // Markup's own escapes.
        link.replace(';', "&amp;"),
        link.replace(';', "&amp;amp;"),
        link.replace(';', "&#59;"),
        link.replace(';', "&#x3B;"),
        format!("[the card]({link})"),
        format!("[the card]({link} \"title\")"),
        format!("[[the card|{link}]]"),
        format!("<a href=\"{}\">card</a>", link.replace('&', "&amp;")),
        format!("{{\"link\":\"{link}\"}}"),
        // Blanks without width and soft hyphens that break long lines.
        link.replace(';', ";\u{200b}"),
        link.replace('.', ".\u{ad}"),
        format!("{link}\u{a0}and more"),
        format!("{link}\r\nand more"),
    ];
    for (before, behind) in [
        ("<", ">"),
        ("(", ")"),
        ("[", "]"),
        ("{", "}"),
        ("\"", "\""),
        ("'", "'"),
        ("`", "`"),
        ("“", "”"),
        ("‘", "’"),
        ("«", "»"),
        ("「", "」"),
        ("*", "*"),
        ("**", "**"),
        ("_", "_"),
        ("~~", "~~"),
        ("|", "|"),
        ("see ", "."),
        ("see ", ","),
        ("see ", ";"),
        ("see ", ":"),
        ("is it ", "?"),
        ("look: ", "!"),
        ("(see ", ")."),
        ("<see ", ">."),
        ("", "?!"),
    ] {
        pasted.push([before, &link, behind].concat());
    }
    for text in pasted {
        let read = link::read(&text).unwrap_or_else(|e| panic!("{text}: {e:?}"));
        assert_eq!(read.trouble, None, "{text}");
        assert!(
            read.design == design,
            "{text}\n{}",
            link::write(&read.design)
        );
    }
}

/// A chat shortens what is long: what is whole is read, and it is said that something is missing.
#[test]
fn a_shortened_link_says_so() {
    let link = "#pw1;gears.ratio=380;motor.rated_voltage=6V;motor.stall_current=1.25A";
    for end in ["…", "...", "...)", "…\" title", "… (more)"] {
        let read = link::read(&[&link[..link.len() - 2], end].concat()).expect("a link");
        assert_eq!(
            read.trouble,
            Some(link::LinkError::Shortened),
            "{end}: {}",
            link::write(&read.design)
        );
        assert_eq!(
            link::write(&read.design),
            "#pw1;motor.rated_voltage=6V;gears.ratio=380",
            "a number cut in two is no number: {end}"
        );
    }
}

/// A packed link that claims to be enormous is not unpacked; packed in packed leads nowhere.
#[test]
fn packed_links_stay_small() {
    let base64 = |bytes: &[u8]| {
        let letters = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
        let bits: String = bytes.iter().map(|b| format!("{b:08b}")).collect();
        bits.as_bytes()
            .chunks(6)
            .map(|six| {
                let six = format!("{:0<6}", std::str::from_utf8(six).unwrap());
                char::from(letters[usize::from_str_radix(&six, 2).unwrap()])
            })
            .collect::<String>()
    };
    let pack = |text: &str| {
        let bytes = miniz_oxide::deflate::compress_to_vec_zlib(text.as_bytes(), 9);
        [link::PACKED_MARK, &base64(&bytes)].concat()
    };
    assert!(link::read(&pack("#pw1;gears.ratio=380")).is_ok());
    let bomb = pack(&["#pw1;card.note=", &"a".repeat(10_000_000)].concat());
    for text in [
        bomb,
        pack("#pwz1;AAAA"),
        pack(""),
        pack("plain"),
        "#pwz1;".into(),
        "#pwz1;!".into(),
    ] {
        assert_eq!(
            link::read(&text),
            Err(link::LinkError::Damaged),
            "{:.40}",
            text
        );
    }
    assert_eq!(link::read("#pwz2;abc"), Err(link::LinkError::Newer));
    assert_eq!(link::read("#pwz"), Err(link::LinkError::NoMark));
}

#[test]
fn nested_and_huge_files_are_refused_in_words() {
    for text in [
        "[".repeat(100_000),
        "{\"a\":".repeat(100_000),
        format!(
            "{{\"route_card\": 1, \"inputs\": {}1{}}}",
            "[".repeat(5000),
            "]".repeat(5000)
        ),
        format!(
            "{{\"route_card\": 1, \"inputs\": {{\"a.b\": {}}}}}",
            "[".repeat(200)
        ),
        "{\"route_card\": 1e999, \"inputs\": {}}".into(),
        "{\"route_card\": -1, \"inputs\": {}}".into(),
        "{\"route_card\": 99999999999999999999, \"inputs\": {}}".into(),
        "{\"route_card\": 2, \"inputs\": {}}".into(),
        " ".repeat(card::LONGEST + 1),
        String::new(),
    ] {
        let refusal = card::read(&text).expect_err("no file");
        assert!(!refusal.message().is_empty());
    }
    for number in [
        "1e308",
        "123456789012345678901234567890",
        "-0.0",
        "1e-400",
        "5E+2",
    ] {
        let text = format!("{{\"route_card\": 1, \"inputs\": {{\"gears.ratio\": {number}}}}}");
        let design = card::read(&text).expect("a file");
        evaluate(&design).expect(number);
    }
}

/// Names that objects of a script have by birth are ids like any other, unknown ones.
#[test]
fn inherited_names_are_unknown_ids() {
    let text = r#"{"route_card": 1, "inputs": {"__proto__": "1", "constructor": {"prototype": 1}, "toString": null}}"#;
    let design = card::read(text).expect("a file");
    let ids: Vec<&str> = design.unknown.iter().map(|(id, _)| id.as_str()).collect();
    assert_eq!(ids, ["__proto__", "constructor"]);
    let read = link::read("#pw1;__proto__=1;constructor=2;a.__proto__=3").expect("a link");
    assert_eq!(read.design.unknown.len(), 3);
}

/// A limit of an input: its number in a unit, the way out of the range, whether it is out itself.
struct Limit {
    value: f64,
    unit: String,
    outward: f64,
    excluded: bool,
}

fn limits(input: &Input) -> Vec<Limit> {
    let mut all = Vec::new();
    for (text, outward) in [(input.low, -1.0), (input.high, 1.0)] {
        let plain = text.trim_start_matches(['>', '<']);
        for part in plain.split('|').filter(|part| !part.trim().is_empty()) {
            let (number, rest) = number::split(part, DecimalMark::Stored).expect(input.id);
            // Zero of a travel says no unit; the field asks for one.
            let unit = if rest.is_empty() && input.form == Form::Travel {
                "deg"
            } else {
                rest
            };
            all.push(Limit {
                value: number.value,
                unit: unit.into(),
                outward,
                excluded: plain != text,
            });
        }
    }
    all
}

/// Texts just inside, at and just outside a limit, and whether each is out.
fn around(input: &Input, limit: &Limit) -> [(String, bool); 3] {
    let step = if matches!(input.form, Form::Whole | Form::Quantity(Measure::Gauge)) {
        1.0
    } else {
        1e-6 * limit.value.abs().max(1e-3)
    };
    [(-1.0, false), (0.0, limit.excluded), (1.0, true)].map(|(steps, outside)| {
        let value = limit.value + steps * limit.outward * step;
        (
            [&number::text(value, 15), " ", &limit.unit].concat(),
            outside,
        )
    })
}

/// Quadrature: one edge, two of one signal, or all four of both.
#[test]
fn three_edges_of_four_are_not_counted() {
    let design = entered(&[
        ("axis.kind", "turntable"),
        ("encoder.counts_per_pole_pair", "3"),
    ]);
    let absent = answer(&Eval::new(&design), "encoder.counts_per_motor_turn").expect_err("none");
    assert!(
        absent.message().contains("never three"),
        "{}",
        absent.message()
    );
}

#[test]
fn every_limit_gives_results_or_a_reason() {
    let mut outside_taken = Vec::new();
    for (index, input) in register::inputs().iter().enumerate() {
        if !matches!(
            input.form,
            Form::Quantity(_) | Form::Whole | Form::Exact | Form::Travel
        ) {
            continue;
        }
        for limit in &limits(input) {
            for (text, outside) in around(input, limit) {
                for (name, mut design) in demos_and_kinds() {
                    design.enter(index, &text, DecimalMark::Stored);
                    match design.state(index) {
                        State::Given(_) if outside => outside_taken.push((input.id, text.clone())),
                        State::Refused { refusal, .. } => {
                            if let Refusal::Range { because, .. } = refusal {
                                assert!(!because.is_empty(), "{}", input.id);
                                assert!(refusal.message().contains(because), "{}", input.id);
                            }
                            assert!(
                                outside || input.form == Form::Travel,
                                "{} = {text}: {}",
                                input.id,
                                refusal.message()
                            );
                        }
                        _ => {}
                    }
                    evaluate(&design)
                        .unwrap_or_else(|why| panic!("{name}, {} = {text}: {why}", input.id));
                }
            }
        }
    }
    assert!(outside_taken.is_empty(), "{outside_taken:?}");
}

/// Every input with the texts at its limits, and every word of a choice.
fn extremes() -> Vec<(usize, String)> {
    let mut all = Vec::new();
    for (index, input) in register::inputs().iter().enumerate() {
        if let Form::Choice(words) = input.form {
            all.extend(words.iter().map(|word| (index, (*word).to_string())));
        } else if matches!(
            input.form,
            Form::Quantity(_) | Form::Whole | Form::Exact | Form::Travel
        ) {
            for limit in &limits(input) {
                let texts = around(input, limit).into_iter().filter(|(_, out)| !out);
                all.extend(texts.map(|(text, _)| (index, text)));
            }
        }
        all.push((index, "none".into()));
    }
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6000))]

    /// Several inputs at their limits at once.
    #[test]
    fn extremes_together_give_results_or_reasons(
        (_, mut design) in prop::sample::select(demos_and_kinds()),
        entries in prop::collection::vec(prop::sample::select(extremes()), 2..5),
    ) {
        for (index, text) in &entries {
            design.enter(*index, text, DecimalMark::Stored);
        }
        evaluate(&design).map_err(|why| TestCaseError::fail(format!("{}: {why}", link::write(&design))))?;
    }
}
