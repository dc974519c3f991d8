//! One HTML file from the page's parts: no request, and a policy that allows only these very scripts.

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
    // Zopfli tries harder than gzip for the same format: 5 % smaller, a few seconds.
    zopfli::compress(
        zopfli::Options::default(),
        zopfli::Format::Gzip,
        bytes,
        &mut packed,
    )?;
    Ok(packed)
}

/// The one file.
pub fn pack(parts: &Parts) -> Result<String> {
    // The browser hashes what its parser made of the text, which has no carriage returns.
    let template = lines(&parts.template);
    let style = lines(&parts.style);
    let glue = lines(&parts.glue);
    let boot = lines(&parts.boot);
    must_not_contain(&style, "</style", "site/style.css")?;
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
    let program = STANDARD.encode(&parts.program);
    // A third of the file would be the generated script; packed it is a tenth. The page's own script unpacks it, and
    // the policy lets it run because its hash is listed.
    let packed_glue = STANDARD.encode(gzip(glue.as_bytes())?);
    let page = fill(
        template,
        POLICY_SLOT,
        &format!(
            "{POLICY_SLOT}<meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">\n"
        ),
    )?;
    let page = fill(page, STYLE_SLOT, &format!("<style>{style}</style>\n"))?;
    let page = fill(page, PROGRAM_SLOT, "")?;
    let page = fill(
        page,
        SCRIPT_SLOT,
        &format!(
            "<script type=\"application/octet-stream\" id=\"packed-glue\">{packed_glue}</script>\n\
             <script type=\"application/octet-stream\" id=\"packed-program\">{program}</script>\n\
             <script>{boot}</script>\n"
        ),
    )?;
    must_not_contain(&page, "data-trunk", "the packed page")?;
    Ok(page)
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
            boot: "alert('Hello, world.');".into(),
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
        assert!(page.contains("<style>body { color: black }</style>"));
        assert_eq!(unpacked(&page, "packed-program"), [0, 97, 115, 109]);
        assert_eq!(unpacked(&page, "packed-glue"), b"let wasm_bindgen = 1;");
        assert!(page.contains(&hash("let wasm_bindgen = 1;")));
        assert!(page.contains("<script>alert('Hello, world.');</script>"));
        assert!(page.contains("sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng="));
        assert!(!page.contains("unsafe-inline"));
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

    fn unpacked(page: &str, id: &str) -> Vec<u8> {
        let (_, rest) = page.split_once(&format!("id=\"{id}\">")).unwrap();
        let (text, _) = rest.split_once("</script>").unwrap();
        inflate(&STANDARD.decode(text).unwrap())
    }
}
