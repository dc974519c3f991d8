//! One HTML file from the page's parts: no request, and a policy that allows only these very scripts.

use crate::files::read;
use crate::shell::root;
use anyhow::{Context, Result, bail};
use base64::{Engine, engine::general_purpose::STANDARD};
use sha2::{Digest, Sha256};

const POLICY_SLOT: &str = "<meta charset=\"utf-8\">\n";
const STYLE_SLOT: &str = "<link data-trunk rel=\"css\" href=\"style.css\">\n";
const PROGRAM_SLOT: &str = "<link data-trunk rel=\"rust\" href=\"../crates/pulsewright-page/Cargo.toml\" data-target-name=\"pulsewright_page\" data-wasm-opt=\"0\">\n";
const SCRIPT_SLOT: &str = "<script data-trunk src=\"boot.js\"></script>\n";

/// The texts that become one file.
#[derive(Debug)]
pub struct Parts {
    /// `site/index.html`, with the places where `trunk serve` puts the other parts.
    pub template: String,
    /// `site/style.css`.
    pub style: String,
    /// `site/first-screen.html`: it can be read while the program is being unpacked.
    pub first_screen: String,
    /// `site/boot.js`.
    pub boot: String,
    /// What the binding generator wrote.
    pub glue: String,
    /// The program, gzipped.
    pub program: Vec<u8>,
}

/// Gzip, which the page inflates by itself.
pub fn gzip(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut packed = Vec::new();
    // Zopfli tries harder than gzip for the same format: 5 % smaller, a few seconds; with four times as many blocks as
    // it would make by itself 1 % more.
    let options = zopfli::Options {
        maximum_block_splits: 60,
        ..Default::default()
    };
    zopfli::compress(options, zopfli::Format::Gzip, bytes, &mut packed)?;
    Ok(packed)
}

/// Bytes as letters that may stand in a script and between quotation marks: two letters of 91 bear 13 bits, where
/// Base64 bears 12. `site/unpack.js` reads them.
pub fn dense(bytes: &[u8]) -> String {
    const LETTERS: u32 = 91;
    // Printable ASCII without the quotation mark, < and the backslash.
    let alphabet: Vec<char> = ('!'..='~').filter(|c| !"\"<\\".contains(*c)).collect();
    let letter = |digit: u32| alphabet[digit as usize];
    let mut out = String::with_capacity(bytes.len() * 16 / 13 + 2);
    let (mut held, mut bits) = (0_u32, 0);
    for &byte in bytes {
        held |= u32::from(byte) << bits;
        bits += 8;
        if bits >= 13 {
            let pair = held & 0x1fff;
            out.push(letter(pair % LETTERS));
            out.push(letter(pair / LETTERS));
            held >>= 13;
            bits -= 13;
        }
    }
    if bits > 0 {
        out.push(letter(held % LETTERS));
    }
    if bits > 6 {
        out.push(letter(held / LETTERS));
    }
    out
}

/// A packed text as elements that nobody sees, none with more letters than `site/unpack.js` reads at a time: a parser
/// takes a third longer over one long text than over these.
fn elements(name: &str, packed: &str) -> String {
    let pieces = packed.as_bytes().chunks(65_536);
    let pieces = pieces.map(|piece| {
        let piece = String::from_utf8_lossy(piece);
        format!("<script type=\"application/octet-stream\" class=\"{name}\">{piece}</script>\n")
    });
    pieces.collect()
}

/// A script with what reads [`dense`] in its place.
pub fn with_unpacking(script: &str) -> Result<String> {
    let unpack = read(&root().join("site/unpack.js"))?;
    fill(lines(script), "/* unpack */\n", &lines(&unpack))
}

/// The one file.
pub fn pack(parts: &Parts) -> Result<String> {
    // The browser hashes what its parser made of the text, which has no carriage returns.
    let template = lines(&parts.template);
    let style = lines(&parts.style);
    let glue = lines(&parts.glue);
    let boot = bare(&lines(&parts.boot));
    for (name, script) in [("the generated script", &glue), ("site/boot.js", &boot)] {
        must_not_contain(script, "</script", name)?;
        must_not_contain(script, "<!--", name)?;
    }

    let policy = format!(
        "default-src 'none'; script-src '{}' '{}' 'wasm-unsafe-eval'; worker-src blob:; style-src '{}'; \
         img-src data:; base-uri 'none'; form-action 'none'",
        hash(&glue),
        hash(&boot),
        hash(&style)
    );
    let program = dense(&parts.program);
    // A third of the file would be the generated script and the style; packed they are a tenth. The page's own script
    // unpacks them, and the policy lets them in because their hashes are listed.
    let packed_glue = dense(&gzip(glue.as_bytes())?);
    let packed_style = dense(&gzip(style.as_bytes())?);
    let packed_first_screen = dense(&gzip(lines(&parts.first_screen).trim_end().as_bytes())?);
    let page = fill(
        template,
        POLICY_SLOT,
        &format!(
            "{POLICY_SLOT}<meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">\n"
        ),
    )?;
    let page = fill(page, STYLE_SLOT, "")?;
    let page = fill(page, PROGRAM_SLOT, "")?;
    let page = fill(
        page,
        SCRIPT_SLOT,
        &format!(
            "{}{}<script>{boot}</script>\n{}{}",
            elements("packed-style", &packed_style),
            elements("packed-first-screen", &packed_first_screen),
            elements("packed-glue", &packed_glue),
            elements("packed-program", &program),
        ),
    )?;
    must_not_contain(&page, "data-trunk", "the packed page")?;
    Ok(page)
}

/// A script without its indents and the lines that are comments: nobody reads it here, and everybody loads it.
pub fn bare(script: &str) -> String {
    let kept = script.lines().map(str::trim);
    let kept = kept.filter(|line| !line.is_empty() && !line.starts_with("//"));
    kept.collect::<Vec<_>>().join("\n")
}

pub fn lines(text: &str) -> String {
    text.replace("\r\n", "\n")
}

pub fn hash(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text)))
}

pub fn must_not_contain(text: &str, mark: &str, name: &str) -> Result<()> {
    if text.to_ascii_lowercase().contains(mark) {
        bail!("{name} contains {mark}, which cannot stand in one HTML file");
    }
    Ok(())
}

pub fn fill(page: String, slot: &str, content: &str) -> Result<String> {
    let (before, after) = page
        .split_once(slot)
        .with_context(|| format!("site has no line {}", slot.trim()))?;
    if after.contains(slot) {
        bail!("site has the line twice: {}", slot.trim());
    }
    Ok(format!("{before}{content}{after}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use flate2::read::GzDecoder;
    use std::io::Read;

    fn parts() -> Parts {
        Parts {
            template: format!(
                "<!doctype html>\n{POLICY_SLOT}{STYLE_SLOT}{PROGRAM_SLOT}{SCRIPT_SLOT}"
            ),
            style: "body { color: black }".into(),
            first_screen: "<h1>Turntable</h1>\n".into(),
            boot: "  // A greeting.\n  alert('Hello, world.');".into(),
            glue: "let wasm_bindgen = 1;".into(),
            program: gzip(&[0, 97, 115, 109]).unwrap(),
        }
    }

    /// W3C, Content Security Policy, section on hash usage: this script and this value are its example (from memory).
    #[test]
    fn hashes_are_those_of_the_standard() {
        assert_eq!(
            hash("alert('Hello, world.');"),
            "sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng="
        );
    }

    #[test]
    fn every_part_lands_in_its_place() {
        let page = pack(&parts()).unwrap();
        assert_eq!(unpacked(&page, "packed-style"), b"body { color: black }");
        assert!(page.contains(&hash("body { color: black }")));
        assert_eq!(
            unpacked(&page, "packed-first-screen"),
            b"<h1>Turntable</h1>"
        );
        assert_eq!(unpacked(&page, "packed-program"), [0, 97, 115, 109]);
        assert_eq!(unpacked(&page, "packed-glue"), b"let wasm_bindgen = 1;");
        assert!(page.contains(&hash("let wasm_bindgen = 1;")));
        assert!(page.contains("<script>alert('Hello, world.');</script>"));
        assert!(page.contains("sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng="));
        assert!(!page.contains("unsafe-inline"));
    }

    #[test]
    fn a_script_loses_what_nobody_reads() {
        let script = "// Why.\r\n(function () {\n    const a = 1; // this stays\n\n    // Not this.\n    /* glue */\n}());\n";
        let expected = "(function () {\nconst a = 1; // this stays\n/* glue */\n}());";
        assert_eq!(bare(script), expected);
    }

    #[test]
    fn line_ends_do_not_change_the_hash() {
        let mut windows = parts();
        windows.boot = "one\r\ntwo\r\n".into();
        let mut unix = parts();
        unix.boot = "one\ntwo\n".into();
        assert_eq!(pack(&windows).unwrap(), pack(&unix).unwrap());
    }

    #[test]
    fn a_script_that_would_end_early_is_refused() {
        let mut ends_early = parts();
        ends_early.glue = "const text = '</SCRIPT>';".into();
        let message = pack(&ends_early).unwrap_err().to_string();
        assert!(message.contains("generated script"), "{message}");
    }

    #[test]
    fn a_template_without_its_slots_is_refused() {
        let mut changed = parts();
        changed.template = changed.template.replace("boot.js", "start.js");
        let message = pack(&changed).unwrap_err().to_string();
        assert!(message.contains("boot.js"), "{message}");
    }

    #[test]
    fn gzip_gives_back_what_went_in() {
        let bytes = b"one motor, two sensors, one motor, two sensors".repeat(20);
        let packed = gzip(&bytes).unwrap();
        assert!(packed.len() < bytes.len());
        assert_eq!(inflate(&packed), bytes);
    }

    fn inflate(packed: &[u8]) -> Vec<u8> {
        let mut bytes = Vec::new();
        GzDecoder::new(packed).read_to_end(&mut bytes).unwrap();
        bytes
    }

    /// What `site/unpack.js` does.
    fn loose(text: &str) -> Vec<u8> {
        let digit = |code: u8| {
            u32::from(code - 33 - u8::from(code > 34) - u8::from(code > 60) - u8::from(code > 92))
        };
        let (mut out, mut held, mut bits) = (Vec::new(), 0_u32, 0);
        for pair in text.as_bytes().chunks(2) {
            let value = digit(pair[0]) + pair.get(1).map_or(0, |second| 91 * digit(*second));
            held |= value << bits;
            bits += if pair.len() == 2 { 13 } else { 6 };
            while bits > 7 {
                out.push((held & 255) as u8);
                held >>= 8;
                bits -= 8;
            }
        }
        out
    }

    #[test]
    fn letters_give_back_every_byte_and_no_more() {
        let mut bytes = Vec::new();
        for n in 0..3000_u32 {
            let text = dense(&bytes);
            assert_eq!(loose(&text), bytes);
            assert!(text.len() * 13 <= bytes.len() * 16 + 26);
            assert!(
                text.chars()
                    .all(|c| c.is_ascii_graphic() && !"\"<\\".contains(c))
            );
            bytes.push((n.wrapping_mul(2_654_435_761) >> 13) as u8);
        }
        assert_eq!(loose(&dense(&[255; 4096])), [255; 4096]);
    }

    #[test]
    fn a_long_text_is_many_short_elements() {
        let bytes: Vec<u8> = (0..120_000_u32).map(|n| (n % 251) as u8).collect();
        let page = elements("packed-program", &dense(&bytes));
        assert_eq!(page.lines().count(), 3);
        assert!(page.lines().all(|line| line.len() < 65_700));
        assert_eq!(packed(&page, "packed-program"), bytes);
    }

    fn packed(page: &str, name: &str) -> Vec<u8> {
        let begin = format!("class=\"{name}\">");
        let texts = page
            .split(&begin)
            .skip(1)
            .map(|rest| rest.split_once("</script>").unwrap().0);
        texts.flat_map(loose).collect()
    }

    fn unpacked(page: &str, name: &str) -> Vec<u8> {
        inflate(&packed(page, name))
    }
}
