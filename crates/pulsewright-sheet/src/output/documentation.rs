//! What somebody puts into documentation of their own to show a design there.

use crate::design::{card, link};
use crate::evaluation::Eval;
use crate::output::quoted::{Quotation, Show, quote};
use crate::output::settings;

/// The design as a block, a sentence with its verdict and its ratio, and its card, in Markdown that is HTML as well: what
/// is written is what is computed.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::Design;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::output::documentation::snippet;
///
/// let mut design = Design::default();
/// design.enter_id("gears.ratio", "380");
/// design.enter_id("card.title", "</script> & <b>mine</b>");
/// let text = snippet(&Eval::new(&design));
/// assert!(text.contains("of=\"gears.exact_ratio\">380</pulse-wright>"));
/// assert_eq!(text.matches("</script>").count(), 2, "a title is no markup");
/// ```
#[must_use]
pub fn snippet(c: &Eval<'_>) -> String {
    let title = settings::title(c);
    let title = if title.is_empty() {
        "Route card"
    } else {
        &title
    };
    let verdict = quote(c, Show::Verdict, &Quotation::default(), "");
    let ratio = Quotation {
        of: "gears.exact_ratio",
        ..Quotation::default()
    };
    let ratio = quote(c, Show::Value, &ratio, "");
    let said =
        |quoted: Result<_, _>| quoted.map_or(String::new(), |q: super::quoted::Quoted| q.text);
    [
        "<script src=\"pulsewright-embed.js\"></script>\n\n<script type=\"application/json\" id=\"card\">\n",
        // No tag can begin in it.
        &card::write(c.design()).replace('<', "\\u003c"),
        "</script>\n\nWith a ratio of <pulse-wright design=\"#card\" show=\"value\" of=\"gears.exact_ratio\">",
        &escaped(&said(ratio)),
        "</pulse-wright> this design is judged <pulse-wright design=\"#card\" show=\"verdict\">",
        &said(verdict),
        "</pulse-wright>.\n\n<pulse-wright design=\"#card\"><a href=\"pulsewright.html",
        &escaped(&link::write(c.design())),
        "\">",
        &escaped(title),
        "</a></pulse-wright>\n",
    ]
    .concat()
}

/// `text` where markup is read.
fn escaped(text: &str) -> String {
    let text = text.replace('&', "&amp;").replace('<', "&lt;");
    text.replace('>', "&gt;").replace('"', "&quot;")
}
