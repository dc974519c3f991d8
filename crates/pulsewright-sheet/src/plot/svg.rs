//! A plot as SVG: classes only, no inline style, no request.

use super::Plot;
use super::layout::{Anchor, Drawing, Point, Shape, Width, layout, wrapped};
use crate::text::number;

/// `words` where markup is read.
fn push_escaped(out: &mut String, words: &str) {
    for c in words.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // What XML does not allow at all.
            c if c < ' ' => out.push(' '),
            c => out.push(c),
        }
    }
}

fn push_all(out: &mut String, pieces: &[&str]) {
    for piece in pieces {
        out.push_str(piece);
    }
}

fn push_number(out: &mut String, value: f64) {
    let text = number::fixed(value, 1);
    out.push_str(text.strip_suffix(".0").unwrap_or(&text));
}

fn push_point(out: &mut String, lead: &str, at: Point) {
    out.push_str(lead);
    push_number(out, at.0);
    out.push(' ');
    push_number(out, at.1);
}

fn push_shape(out: &mut String, shape: &Shape) {
    match shape {
        Shape::Line { class, points } => {
            push_all(out, &["<path class=\"", class, "\" d=\""]);
            for (n, at) in points.iter().enumerate() {
                push_point(out, if n == 0 { "M" } else { "L" }, *at);
            }
            out.push_str("\"/>");
        }
        Shape::Strokes { class, strokes } => {
            push_all(out, &["<path class=\"", class, "\" d=\""]);
            for (a, b) in strokes {
                push_point(out, "M", *a);
                push_point(out, "L", *b);
            }
            out.push_str("\"/>");
        }
        Shape::Dot { at } => {
            out.push_str("<circle class=\"dot\" r=\"3.5\" cx=\"");
            push_number(out, at.0);
            out.push_str("\" cy=\"");
            push_number(out, at.1);
            out.push_str("\"/>");
        }
        Shape::Text {
            class,
            at,
            anchor,
            words,
        } => {
            let side = match anchor {
                Anchor::Start => "",
                Anchor::Middle => " middle",
                Anchor::End => " end",
            };
            push_all(out, &["<text class=\"", class, side, "\" x=\""]);
            push_number(out, at.0);
            out.push_str("\" y=\"");
            push_number(out, at.1);
            out.push_str("\">");
            push_escaped(out, words);
            out.push_str("</text>");
        }
    }
}

/// The head of the drawing with its name and description, then `inside`, then its shapes from `top` on.
fn drawn(plot: &Plot, drawing: &Drawing, head: &str, top: f64) -> String {
    let mut out = String::with_capacity(8192);
    push_all(&mut out, &["<svg class=\"plot\"", head, " viewBox=\"0 "]);
    push_number(&mut out, -top);
    out.push(' ');
    push_number(&mut out, drawing.width);
    out.push(' ');
    push_number(&mut out, drawing.height + top);
    push_all(
        &mut out,
        &[
            "\" role=\"img\" aria-labelledby=\"plot-",
            plot.id,
            "-title\" aria-describedby=\"plot-",
            plot.id,
            "-desc\"><title id=\"plot-",
            plot.id,
            "-title\">",
        ],
    );
    push_escaped(&mut out, plot.title);
    push_all(&mut out, &["</title><desc id=\"plot-", plot.id, "-desc\">"]);
    push_escaped(&mut out, &plot.finding);
    out.push_str("</desc>");
    for shape in &drawing.shapes {
        push_shape(&mut out, shape);
    }
    out
}

/// The plot as SVG for the page, and the place over which a reading line runs.
#[must_use]
pub fn svg(plot: &Plot, width: Width) -> (String, Drawing) {
    let drawing = layout(plot, width);
    let mut out = drawn(plot, &drawing, "", 0.0);
    out.push_str("<path class=\"hair\"/></svg>");
    (out, drawing)
}

/// The look of a plot that stands alone.
const STYLE: &str = "<style>.plot{background:#f8f7f0;font-family:system-ui,sans-serif}.plot text{font-size:12px;fill:#1d2a30;paint-order:stroke;stroke:#f8f7f0;stroke-width:3}.plot .title{font-weight:700}.plot .middle{text-anchor:middle}.plot .end{text-anchor:end}.plot path{fill:none;stroke:#1d2a30;stroke-width:1.3}.plot .grid{stroke:#c9cdc6;stroke-width:.6}.plot .frame{stroke-width:1}.plot .hot{stroke-dasharray:8 3}.plot .ordinary{stroke-width:1.8}.plot .commanded{stroke-dasharray:2 3}.plot .limit{stroke-width:1}.plot .hatch,.plot .leader{stroke-width:.7}.plot .bar{fill:#c9cdc6}.plot .dot{fill:#1c3f9e}.plot .job{fill:#1c3f9e;font-weight:700}.plot .name,.plot .note{fill:#5a666b}</style>";

/// The plot as a file of its own, with its title and its finding above it.
///
/// # Example
/// ```
/// use pulsewright_sheet::design::link;
/// use pulsewright_sheet::evaluation::Eval;
/// use pulsewright_sheet::guide::examples::EXAMPLES;
/// use pulsewright_sheet::plot;
///
/// let design = link::read(EXAMPLES[0].link)?.design;
/// let c = Eval::new(&design);
/// let known = plot::find("torque_speed").ok_or("no such plot")?;
/// assert!(plot::standalone(&known.plot(&c)?).starts_with("<svg"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn standalone(plot: &Plot) -> String {
    let mut drawing = layout(plot, Width::Wide);
    let lines = wrapped(&plot.finding, drawing.width - 8.0);
    let top = 16.0 * (lines.len() + 1) as f64 + 12.0;
    let mut text = |class, row: usize, words: &str| {
        drawing.shapes.push(Shape::Text {
            class,
            at: (1.0, 14.0 - top + 16.0 * row as f64),
            anchor: Anchor::Start,
            words: words.into(),
        });
    };
    text("title", 0, plot.title);
    for (row, line) in lines.iter().enumerate() {
        text("word", row + 1, line);
    }
    let out = drawn(
        plot,
        &drawing,
        &[
            " xmlns=\"http://www.w3.org/2000/svg\" width=\"",
            &number::fixed(drawing.width, 0),
            "\" height=\"",
            &number::fixed(drawing.height + top, 0),
            "\"",
        ]
        .concat(),
        top,
    );
    // The style stands behind name and description.
    [
        &out.replacen("</desc>", &["</desc>", STYLE].concat(), 1),
        "</svg>\n",
    ]
    .concat()
}
