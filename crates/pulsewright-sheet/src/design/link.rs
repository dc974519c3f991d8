//! The design as the part of an address behind `#`, readable and stable.

use crate::design::{Design, State};
use crate::register;

/// What begins a link of this format.
pub const MARK: &str = "#pw1";

/// What begins a link that is packed for a QR code: the same text, zlib, base64url.
pub const PACKED_MARK: &str = "#pwz1;";

/// Most of a link that is read, in bytes.
pub const LONGEST: usize = 8192;

/// Why a text is not a link.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LinkError {
    /// No `#pw1` in it.
    NoMark,
    /// Longer than what is read.
    TooLong,
    /// A format newer than this.
    Newer,
    /// Packed, and not whole.
    Damaged,
    /// Shortened by whatever handed it on.
    Shortened,
}

impl LinkError {
    /// In words, with what to do.
    #[must_use]
    pub fn message(self) -> &'static str {
        match self {
            Self::NoMark => "this is not a design link: it has no “#pw1” in it",
            Self::TooLong => "this link is longer than 8192 characters; the rest was not read",
            Self::Newer => {
                "this link was made by a newer page; open it with that page, or get the newer file"
            }
            Self::Shortened => {
                "this link was shortened (“…” at its end); the rest is missing, ask for the whole link"
            }
            Self::Damaged => {
                "this packed link is incomplete; copy it again, or use the plain one with “#pw1”"
            }
        }
    }
}

errors_in_words!(LinkError);

/// A link as read.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// The design.
    pub design: Design,
    /// What could not be read as it stood, where anything.
    pub trouble: Option<LinkError>,
}

/// The link of a design: `#pw1` and `;id=value` for each entry, in the register's order; what was
/// not understood is kept behind.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::design::link;
/// let mut design = Design::default();
/// design.enter_id("axis.kind", "arm");
/// design.enter_id("motor.stall_torque", "4.6 kgf.cm ± 10 %");
/// let text = link::write(&design);
/// assert_eq!(text, "#pw1;axis.kind=arm;motor.stall_torque=4.6kgf.cm~10pct");
/// assert_eq!(link::read(&text).unwrap().design, design);
/// ```
#[must_use]
pub fn write(design: &Design) -> String {
    let mut out = String::from(MARK);
    let mut put = |id: &str, text: &str| {
        out.push(';');
        encode(id, &mut out);
        out.push('=');
        encode(text, &mut out);
    };
    for (index, input) in register::inputs().iter().enumerate() {
        if !matches!(design.state(index), State::Assumed) {
            put(input.id, &design.carried(index));
        }
    }
    for (id, text) in design.unknown.iter().chain(&design.repeated) {
        put(id, text);
    }
    // Behind a link such a mark is that of the sentence around it.
    if let Some(mark) = out.pop() {
        match mark {
            '.' => out.push_str("%2E"),
            ',' => out.push_str("%2C"),
            ':' => out.push_str("%3A"),
            '_' => out.push_str("%5F"),
            '~' => out.push_str("%7E"),
            mark => out.push(mark),
        }
    }
    out
}

/// The same packed for a QR code: shorter, and not to be read by people.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::design::link;
/// let mut design = Design::default();
/// design.enter_id("motor.stall_torque", "4.6 kgf.cm ± 10 %");
/// let text = link::packed(&design);
/// assert!(text.starts_with("#pwz1;"));
/// assert_eq!(link::read(&text).unwrap().design, design);
/// ```
#[cfg(feature = "packed")]
#[must_use]
pub fn packed(design: &Design) -> String {
    let bytes = miniz_oxide::deflate::compress_to_vec_zlib(write(design).as_bytes(), 9);
    let mut out = String::from(PACKED_MARK);
    for three in bytes.chunks(3) {
        let byte = |at: usize| u32::from(three.get(at).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for place in 0..=three.len() {
            let index = bits >> (18 - 6 * place) & 63;
            out.push(char::from(SIXTY_FOUR[index as usize]));
        }
    }
    out
}

/// The letters of base64url (RFC 4648, section 5).
#[cfg(feature = "packed")]
const SIXTY_FOUR: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";

/// The page has its browser unpack a link before it reads it.
#[cfg(not(feature = "packed"))]
fn unpacked(_: &str) -> Option<String> {
    None
}

/// The text that is packed at the begin of `text`; whatever is no letter of base64url ends it.
#[cfg(feature = "packed")]
fn unpacked(text: &str) -> Option<String> {
    let mut bytes = Vec::new();
    let (mut bits, mut count) = (0u32, 0);
    for letter in text.bytes().take(LONGEST) {
        let Some(index) = SIXTY_FOUR.iter().position(|known| *known == letter) else {
            break;
        };
        bits = bits << 6 | index as u32;
        count += 6;
        if count >= 8 {
            count -= 8;
            bytes.push((bits >> count) as u8);
        }
    }
    // No more than is read of a plain link, however much it claims to be.
    let bytes =
        miniz_oxide::inflate::decompress_to_vec_zlib_with_limit(&bytes, LONGEST + MARK.len());
    String::from_utf8(bytes.ok()?).ok()
}

fn encode(text: &str, out: &mut String) {
    for byte in text.bytes() {
        match byte {
            b'A'..=b'Z'
            | b'a'..=b'z'
            | b'0'..=b'9'
            | b'.'
            | b','
            | b':'
            | b'/'
            | b'-'
            | b'+'
            | b'~'
            | b'_' => {
                out.push(char::from(byte));
            }
            _ => {
                const HEX: &[u8; 16] = b"0123456789ABCDEF";
                out.push('%');
                out.push(char::from(HEX[usize::from(byte >> 4)]));
                out.push(char::from(HEX[usize::from(byte & 15)]));
            }
        }
    }
}

fn decode(text: &str) -> String {
    let bytes = text.as_bytes();
    let hex = |b: Option<&u8>| b.and_then(|b| char::from(*b).to_digit(16));
    let mut out = Vec::with_capacity(bytes.len());
    let mut i = 0;
    while let Some(&byte) = bytes.get(i) {
        if byte == b'%'
            && let (Some(a), Some(b)) = (hex(bytes.get(i + 1)), hex(bytes.get(i + 2)))
        {
            out.push((a * 16 + b) as u8);
            i += 3;
            continue;
        }
        out.push(byte);
        i += 1;
    }
    String::from_utf8_lossy(&out).into_owned()
}

/// What nobody sees: blanks without width and the soft hyphen.
const UNSEEN: [char; 6] = [
    '\u{ad}', '\u{200b}', '\u{200c}', '\u{200d}', '\u{2060}', '\u{feff}',
];

/// One level of escapes taken back, those of the letters that a link is made of: a link inside another
/// address. What follows it there, behind a bare `&`, is not of the link.
fn unescaped(text: &str, mark: &str) -> String {
    let behind = text[mark.len()..].trim_start_matches(|c: char| c.is_ascii_alphanumeric());
    if !behind.starts_with('%') {
        // Only the mark was escaped.
        return text.replacen(mark, "#pw", 1);
    }
    let mut out = String::new();
    let mut rest = &text[..text.find('&').unwrap_or(text.len())];
    while let Some(at) = rest.find('%') {
        out.push_str(&rest[..at]);
        let code = rest
            .get(at + 1..at + 3)
            .and_then(|two| u8::from_str_radix(two, 16).ok());
        match code.map(char::from) {
            Some(letter) if letter.is_ascii_alphanumeric() || "#;=&%.,:/-+~_".contains(letter) => {
                out.push(letter);
                rest = &rest[at + 3..];
            }
            _ => {
                out.push('%');
                rest = &rest[at + 1..];
            }
        }
    }
    out.push_str(rest);
    out
}

/// Whether a link stands in `text`.
#[must_use]
pub fn stands_in(text: &str) -> bool {
    ["#pw", "%23pw", "%2523pw", "%252523pw"]
        .iter()
        .any(|mark| text.contains(mark))
}

/// Reads a link, alone or inside other text. Entries that the register refuses, ids that it does not
/// have and repeated ids are kept in the design and listed there.
///
/// # Errors
/// [`LinkError`] where there is none.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
///
/// // A link is found inside other text; what is unknown or refused is kept and told.
/// let read = link::read("see #pw1;gears.ratio=380;gears.rattio=3;motor.rated_voltage=6A.")?;
/// assert!(read.trouble.is_none());
/// assert_eq!(read.design.unknown, [("gears.rattio".to_string(), "3".to_string())]);
/// assert_eq!(read.design.refused().len(), 1);
/// assert!(link::read("no link in it").is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn read(text: &str) -> Result<Read, LinkError> {
    // A link whose mark itself is escaped, once or more often; in the text of an entry that means nothing.
    let mut folded;
    let mut text = text;
    for mark in ["%252523pw", "%2523pw", "%23pw"] {
        let plain = text.find("#pw").unwrap_or(usize::MAX);
        let Some(at) = text.find(mark).filter(|at| *at < plain) else {
            continue;
        };
        folded = unescaped(&text[at..], mark);
        text = &folded;
    }
    let Some(start) = text.find("#pw") else {
        return Err(LinkError::NoMark);
    };
    let mut rest = &text[start + 3..];
    let whole;
    if let Some(packed) = rest.strip_prefix('z') {
        let Some(packed) = packed.strip_prefix("1;") else {
            return Err(if packed.starts_with(|c: char| c.is_ascii_digit()) {
                LinkError::Newer
            } else {
                LinkError::NoMark
            });
        };
        whole = unpacked(packed).ok_or(LinkError::Damaged)?;
        rest = whole.strip_prefix("#pw").ok_or(LinkError::Damaged)?;
        // A packed link in a packed link leads nowhere.
        if !rest.starts_with('1') {
            return Err(LinkError::Damaged);
        }
    }
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    match digits.as_str() {
        "1" => {}
        "" => return Err(LinkError::NoMark),
        _ => return Err(LinkError::Newer),
    }
    let mut body = &rest[1..];
    let mut trouble = None;
    if body.len() > LONGEST {
        trouble = Some(LinkError::TooLong);
        let mut cut = LONGEST;
        while !body.is_char_boundary(cut) {
            cut -= 1;
        }
        body = &body[..cut];
        // The last entry may be cut in two: it is not read.
        body = body.rfind([';', '&']).map_or("", |at| &body[..at]);
    }
    // What is not seen was put in to break the line.
    let visible: String;
    if body.contains(UNSEEN) {
        visible = body.replace(UNSEEN, "");
        body = &visible;
    }
    // A link inside other text ends at a blank, a quote or a bracket.
    let end = body
        .find(|c: char| {
            c.is_whitespace()
                || matches!(
                    c,
                    '"' | '<'
                        | '>'
                        | '`'
                        | '|'
                        | '{'
                        | '}'
                        | '\\'
                        | '^'
                        | '['
                        | ']'
                        | '*'
                        | '«'
                        | '»'
                        | '“'
                        | '「'
                        | '」'
                )
        })
        .unwrap_or(body.len());
    let mut body = &body[..end];
    // Three points end what was shortened; in an entry they can stand, at its end the writer escapes them.
    let cut = body.find('…').or_else(|| {
        let before_limits = body.trim_end_matches([')', '\'', '’', '”', '!', '?']);
        before_limits
            .ends_with("...")
            .then_some(before_limits.len())
    });
    if let Some(at) = cut {
        trouble = Some(LinkError::Shortened);
        body = body[..at].rfind([';', '&']).map_or("", |at| &body[..at]);
    }
    let body = body.trim_end_matches([')', '\'', '’', '”', '.', ',', ':', '!', '?', '_', '~']);
    let body = body
        .replace("&amp;amp;", ";")
        .replace("&amp;", ";")
        .replace("&#59;", ";")
        .replace("&#x3B;", ";")
        .replace("&#x3b;", ";");
    let mut design = Design::default();
    for part in body.split([';', '&']).filter(|p| !p.is_empty()) {
        let (id, value) = part.split_once('=').unwrap_or((part, ""));
        let id = decode(id);
        let value = decode(value);
        if !id.trim().is_empty() {
            let _ = design.enter_id(&id, &value);
        }
    }
    Ok(Read { design, trouble })
}
