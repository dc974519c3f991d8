//! From a plot to shapes: where every line, letter and hatching stands.
//!
//! Labels are placed one after the other, each where it touches nothing that stands already; one
//! that finds no place goes to the key above the plot, so that none is ever cut or covered.

use super::{Edge, Panel, Plot, Scale, Style, within};

/// How wide it is drawn; everything else follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Width {
    /// For a phone.
    Narrow,
    /// For a column of the card and for paper.
    Wide,
    /// For a place this wide, in CSS pixels: letters keep their size.
    Pixels(u16),
}

impl Width {
    fn units(self) -> f64 {
        match self {
            Self::Narrow => 330.0,
            Self::Wide => 480.0,
            Self::Pixels(across) => f64::from(across).max(260.0),
        }
    }
}

/// A place on the drawing.
pub type Point = (f64, f64);

/// A rectangle: left, top, right, bottom.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs)]
pub struct Place {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Place {
    /// Whether the two have a place in common.
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }
    /// Whether `other` lies in it.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        self.left <= other.left
            && self.top <= other.top
            && self.right >= other.right
            && self.bottom >= other.bottom
    }
    fn around(at: Point, by: f64) -> Self {
        Self {
            left: at.0 - by,
            top: at.1 - by,
            right: at.0 + by,
            bottom: at.1 + by,
        }
    }
    /// Its point that is nearest to `from`.
    fn nearest(&self, from: Point) -> Point {
        (
            within(from.0, self.left, self.right),
            within(from.1, self.top, self.bottom),
        )
    }
    /// Whether the stroke from `a` to `b` passes through it.
    fn is_crossed(&self, a: Point, b: Point) -> bool {
        // Most strokes pass far off: no division for them.
        let beside = |one: f64, other: f64, low: f64, high: f64| {
            (one < low && other < low) || (one > high && other > high)
        };
        if beside(a.0, b.0, self.left, self.right) || beside(a.1, b.1, self.top, self.bottom) {
            return false;
        }
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (start, end, low, high) in [
            (a.0, b.0, self.left, self.right),
            (a.1, b.1, self.top, self.bottom),
        ] {
            let run = end - start;
            if run.abs() < 1e-9 {
                if start < low || start > high {
                    return false;
                }
                continue;
            }
            let (one, other) = ((low - start) / run, (high - start) / run);
            from = from.max(one.min(other));
            to = to.min(one.max(other));
        }
        from <= to
    }
}

/// Where a text begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// What a drawing is made of.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Shape {
    /// One line through points.
    Line {
        class: &'static str,
        points: Vec<Point>,
    },
    /// Many strokes.
    Strokes {
        class: &'static str,
        strokes: Vec<(Point, Point)>,
    },
    /// A point of the job.
    Dot { at: Point },
    /// Words; `at` is on the base line.
    Text {
        class: &'static str,
        at: Point,
        anchor: Anchor,
        words: String,
    },
}

/// Height of the letters.
pub const LETTERS: f64 = 12.0;
/// Height of a line of words.
const ROW: f64 = 16.0;

/// About how wide `words` are: a little more than in any usual font.
#[must_use]
pub fn word_width(words: &str) -> f64 {
    let share = |c: char| match c {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | ' ' | '·' => 0.36,
        'f' | 't' | 'r' | '(' | ')' | '-' => 0.45,
        'm' | 'w' | 'M' | 'W' | '%' | 'Ω' => 0.98,
        c if c.is_uppercase() => 0.74,
        _ => 0.62,
    };
    words.chars().map(share).sum::<f64>() * LETTERS
}

/// A laid-out plot.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Size.
    pub width: f64,
    /// Size.
    pub height: f64,
    /// From the back to the front.
    pub shapes: Vec<Shape>,
    /// The frames of all panels together: what a reading line runs over.
    pub frame: Place,
}

impl Shape {
    /// The place that a text takes.
    #[must_use]
    pub fn text_place(&self) -> Option<Place> {
        let Self::Text {
            class,
            at,
            anchor,
            words,
        } = self
        else {
            return None;
        };
        Some(text_place(class, *at, *anchor, words))
    }
}

fn text_place(class: &str, at: Point, anchor: Anchor, words: &str) -> Place {
    // The job's own words are bold.
    let wide = word_width(words) * if class == "job" { 1.12 } else { 1.0 };
    let left = match anchor {
        Anchor::Start => at.0,
        Anchor::Middle => at.0 - wide / 2.0,
        Anchor::End => at.0 - wide,
    };
    Place {
        left,
        top: at.1 - 0.8 * LETTERS,
        right: left + wide,
        bottom: at.1 + 0.25 * LETTERS,
    }
}

/// Words in lines of at most `wide`.
#[must_use]
pub fn wrapped(words: &str, wide: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split(' ') {
        match lines.last_mut() {
            Some(line) if word_width(line) + word_width(word) + 0.36 * LETTERS <= wide => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.into()),
        }
    }
    lines
}

/// A key entry: what stands before its words, and the words.
struct KeyEntry {
    sample: Sample,
    words: String,
}

#[derive(Clone, Copy)]
enum Sample {
    Line(Style),
    Limit,
    Dot,
}

/// Width of a sample with the gap behind it.
const SAMPLE: f64 = 34.0;

/// How far hatching stands off its edge.
const HATCH: f64 = 4.0;

#[derive(Default)]
struct Sheet {
    shapes: Vec<Shape>,
    taken: Vec<Place>,
    /// The strokes from points to their words.
    leaders: Vec<(Point, Point)>,
}

impl Sheet {
    fn write(&mut self, class: &'static str, at: Point, anchor: Anchor, words: &str) {
        self.taken.push(text_place(class, at, anchor, words));
        self.shapes.push(Shape::Text {
            class,
            at,
            anchor,
            words: words.into(),
        });
    }

    fn is_free(&self, place: &Place) -> bool {
        !self.taken.iter().any(|t| t.meets(place))
            && !self.leaders.iter().any(|(a, b)| place.is_crossed(*a, *b))
    }

    /// Whether a leader from `dot` to `end` passes over anything that stands already.
    fn is_covered(&self, dot: Point, end: Point) -> bool {
        let own = Place::around(dot, 0.0);
        self.taken
            .iter()
            .any(|t| !t.holds(&own) && t.is_crossed(dot, end))
    }

    /// Draws the key from `top` on; gives where it ends.
    fn key(&mut self, entries: &[KeyEntry], wide: f64, top: f64) -> f64 {
        let (mut x, mut y) = (0.0, top);
        for entry in entries {
            let lines = wrapped(&entry.words, wide - SAMPLE);
            let long = SAMPLE + lines.iter().map(|l| word_width(l)).fold(0.0, f64::max);
            if x > 0.0 && (x + long > wide || lines.len() > 1) {
                (x, y) = (0.0, y + ROW);
            }
            let level = y + ROW / 2.0;
            match entry.sample {
                Sample::Line(style) => self.shapes.push(Shape::Line {
                    class: style.class(),
                    points: vec![(x, level), (x + SAMPLE - 8.0, level)],
                }),
                Sample::Limit => self.edge((x, level), (x + SAMPLE - 8.0, level), (0.0, -1.0)),
                Sample::Dot => self.shapes.push(Shape::Dot {
                    at: (x + (SAMPLE - 8.0) / 2.0, level),
                }),
            }
            for (row, line) in lines.iter().enumerate() {
                let base = level + 0.35 * LETTERS + ROW * row as f64;
                self.write("word", (x + SAMPLE, base), Anchor::Start, line);
            }
            y += ROW * (lines.len() - 1) as f64;
            x += long + 14.0;
        }
        if entries.is_empty() {
            top
        } else {
            y + ROW + 4.0
        }
    }

    /// An edge with hatching on the side that `out` points to.
    fn edge(&mut self, a: Point, b: Point, out: Point) {
        self.shapes.push(Shape::Line {
            class: "limit",
            points: vec![a, b],
        });
        let (run, rise) = (b.0 - a.0, b.1 - a.1);
        let length = (run * run + rise * rise).sqrt();
        let count = (length / 6.0) as usize;
        if count == 0 {
            return;
        }
        let along = (run / length, rise / length);
        let mut strokes = Vec::with_capacity(count);
        for n in 0..count {
            let far = 6.0 * n as f64 + 3.0;
            let foot = (a.0 + along.0 * far, a.1 + along.1 * far);
            let tip = (
                foot.0 + HATCH * (along.0 + out.0),
                foot.1 + HATCH * (along.1 + out.1),
            );
            strokes.push((foot, tip));
        }
        self.shapes.push(Shape::Strokes {
            class: "hatch",
            strokes,
        });
        let far = (b.0 + HATCH * out.0, b.1 + HATCH * out.1);
        self.taken.push(Place {
            left: a.0.min(far.0),
            top: a.1.min(far.1),
            right: a.0.max(far.0),
            bottom: a.1.max(far.1),
        });
    }
}

/// One panel on the drawing.
struct Framed<'a> {
    panel: &'a Panel,
    frame: Place,
    x: &'a Scale,
    y: Scale,
    /// The lines in places of the drawing, then the edges of the limits.
    lines: Vec<Vec<Point>>,
}

impl Framed<'_> {
    fn at(&self, x: f64, y: f64) -> Point {
        let (across, up) = (self.x.share(x), self.y.share(y));
        (
            self.frame.left + across * (self.frame.right - self.frame.left),
            self.frame.bottom - up * (self.frame.bottom - self.frame.top),
        )
    }

    /// The line in places; points nearer than the eye can tell are left out.
    fn traced(&self, points: &[(f64, f64)]) -> Vec<Point> {
        let mut out: Vec<Point> = Vec::new();
        let last = points.len().saturating_sub(1);
        for (n, &(x, y)) in points.iter().enumerate() {
            if !(x.is_finite() && y.is_finite()) {
                continue;
            }
            let at = self.at(x, y);
            let near = out.last().is_some_and(|before| {
                (at.0 - before.0).abs() < 0.3 && (at.1 - before.1).abs() < 0.3
            });
            if !near || n == last {
                out.push(at);
            }
        }
        out
    }

    fn is_on_a_line(&self, place: &Place) -> bool {
        self.lines.iter().any(|line| {
            line.windows(2).any(|pair| match pair {
                [a, b] => place.is_crossed(*a, *b),
                _ => false,
            })
        })
    }

    /// How many lines the stroke from `a` to `b` crosses.
    fn crossed(&self, a: Point, b: Point) -> usize {
        let side = |p: Point, q: Point, r: Point| {
            (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0) > 0.0
        };
        let crosses =
            |c: Point, d: Point| side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b);
        let crosses_line = |line: &&Vec<Point>| {
            line.windows(2)
                .any(|pair| matches!(pair, [c, d] if crosses(*c, *d)))
        };
        self.lines.iter().filter(crosses_line).count()
    }

    /// Whether a limit lies in the frame.
    fn shows(&self, edge: Edge) -> bool {
        let share = if edge.is_level() {
            self.y.share(edge.at())
        } else {
            self.x.share(edge.at())
        };
        (-1e-6..=1.0 + 1e-6).contains(&share)
    }

    /// From where to where an edge goes, and to which side its hatching.
    fn edge(&self, edge: Edge) -> (Point, Point, Point) {
        let (frame, at) = (&self.frame, edge.at());
        let (level, upright) = (self.at(0.0, at).1, self.at(at, 0.0).0);
        match edge {
            Edge::Above(_) => ((frame.left, level), (frame.right, level), (0.0, -1.0)),
            Edge::Below(_) => ((frame.left, level), (frame.right, level), (0.0, 1.0)),
            Edge::RightOf(_) => ((upright, frame.bottom), (upright, frame.top), (1.0, 0.0)),
            Edge::LeftOf(_) => ((upright, frame.bottom), (upright, frame.top), (-1.0, 0.0)),
        }
    }

    /// Where the words of a limit may stand, the best first: beside its edge, on the side without hatching.
    fn limit_places(&self, edge: Edge, wide: f64) -> Vec<(Point, Anchor)> {
        let (frame, at) = (&self.frame, edge.at());
        let mut places = Vec::new();
        if edge.is_level() {
            let level = self.at(0.0, at).1;
            let (under, over) = (level + LETTERS + 1.0, level - 6.0);
            let sides = if matches!(edge, Edge::Above(_)) {
                [under, over - HATCH]
            } else {
                [over, under + HATCH]
            };
            for base in sides {
                let mut right = frame.right - 4.0;
                while right - wide >= frame.left {
                    places.push(((right, base), Anchor::End));
                    right -= STEP;
                }
            }
        } else {
            let upright = self.at(at, 0.0).0;
            let rows = ((frame.bottom - frame.top) / ROW) as usize;
            let (left, right) = ((upright - 6.0, Anchor::End), (upright + 8.0, Anchor::Start));
            let sides = if matches!(edge, Edge::RightOf(_)) {
                [left, right]
            } else {
                [right, left]
            };
            for (x, anchor) in sides {
                for row in 0..rows {
                    let base = frame.top + LETTERS + 2.0 + ROW * row as f64;
                    places.push(((x, base), anchor));
                }
            }
        }
        places
    }

    /// Whether words may stand there: in the frame, on nothing that stands already and on no line.
    fn is_open(&self, sheet: &Sheet, place: &Place) -> bool {
        // Letters are painted with a rim of paper, which would eat into a line that touches them.
        let rimmed = Place {
            left: place.left - RIM,
            top: place.top - RIM,
            right: place.right + RIM,
            bottom: place.bottom + RIM,
        };
        self.frame.holds(place) && sheet.is_free(place) && !self.is_on_a_line(&rimmed)
    }

    /// Writes the words of a limit; false where there is no place.
    fn limit_words(&self, sheet: &mut Sheet, edge: Edge, words: &str) -> bool {
        let places = self.limit_places(edge, word_width(words));
        let open = places
            .into_iter()
            .find(|(at, anchor)| self.is_open(sheet, &text_place("word", *at, *anchor, words)));
        let Some((at, anchor)) = open else {
            return false;
        };
        sheet.write("word", at, anchor, words);
        true
    }

    /// Writes the words of a point near it, with a thin leader where they stand off; false where there is no
    /// place.
    fn mark_words(&self, sheet: &mut Sheet, dots: &[Point], dot: Point, words: &str) -> bool {
        let away = |place: &Place, from: Point| {
            let near = place.nearest(from);
            (from.0 - near.0).abs().max((from.1 - near.1).abs())
        };
        // Words that begin at the origin: every other place is this one, moved.
        let own = text_place("job", (0.0, 0.0), Anchor::Start, words);
        let mut best: Option<(f64, Point)> = None;
        for far in [
            6.0, 9.0, 13.0, 20.0, 30.0, 42.0, 56.0, 72.0, 92.0, 116.0, 144.0,
        ] {
            // No place further out can be better.
            if best.is_some_and(|(least, _)| least <= far) {
                break;
            }
            for (right, down) in around(&own, far) {
                let at = (dot.0 + right, dot.1 + down);
                let place = text_place("job", at, Anchor::Start, words);
                if !self.is_open(sheet, &place) {
                    continue;
                }
                // Words nearer to another point would be taken for its own.
                let strange = dots
                    .iter()
                    .any(|d| *d != dot && away(&place, *d) < far + 4.0);
                let end = place.nearest(dot);
                let mut leader = 0;
                if far > LEADER {
                    if sheet.is_covered(dot, end) {
                        continue;
                    }
                    leader = self.crossed(dot, end);
                }
                let cost = far + 25.0 * leader as f64 + if strange { 70.0 } else { 0.0 };
                if best.is_none_or(|(least, _)| cost < least) {
                    best = Some((cost, at));
                }
            }
        }
        let Some((_, at)) = best else {
            return false;
        };
        let place = text_place("job", at, Anchor::Start, words);
        if away(&place, dot) > LEADER {
            let end = place.nearest(dot);
            sheet.leaders.push((dot, end));
            sheet.shapes.push(Shape::Line {
                class: "leader",
                points: vec![dot, end],
            });
        }
        sheet.write("job", at, Anchor::Start, words);
        true
    }
}

/// How far places that are tried for words lie apart.
const STEP: f64 = 8.0;

/// How wide the rim of paper about letters is.
const RIM: f64 = 1.5;

/// From which distance on a leader joins words with their point.
const LEADER: f64 = 10.0;

/// Where words that take `own` when written at the origin can be written so that they keep `far` off it, the best
/// first: right and left of it, then above and below.
fn around(own: &Place, far: f64) -> Vec<Point> {
    let (wide, tall) = (own.right - own.left, own.bottom - own.top);
    let mut places = Vec::new();
    let (rows, columns) = (tall + 2.0 * far, wide + 2.0 * far);
    // From the middle outwards, alternating; the further off, the coarser.
    let step = STEP.max(far / 4.0);
    let offsets = |whole: f64| {
        let half = whole / 2.0;
        let count = libm::ceil(half / step) as usize;
        (0..=count).flat_map(move |n| {
            let off = (step * n as f64).min(half);
            [-off, off]
        })
    };
    for left in [far, -far - wide] {
        for off in offsets(rows) {
            places.push((left - own.left, off - tall / 2.0 - own.top));
        }
    }
    for top in [-far - tall, far] {
        for off in offsets(columns) {
            places.push((off - wide / 2.0 - own.left, top - own.top));
        }
    }
    places
}

/// Lays a plot out.
#[must_use]
pub fn layout(plot: &Plot, width: Width) -> Drawing {
    if plot.bars.is_empty() {
        // Labels without a place in the plot are known only once the rest stands: a further pass gives them
        // theirs, and each takes one more out of the plot at least.
        let mut homeless = Vec::new();
        loop {
            let (drawing, mut more) = panels(plot, width, &homeless);
            if more.is_empty() {
                return drawing;
            }
            homeless.append(&mut more);
        }
    } else {
        bars(plot, width)
    }
}

/// What is placed in the key because it has no place in the plot: panel and number of the point or limit.
type Homeless = Vec<(usize, Item)>;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Item {
    Mark(usize),
    Limit(usize),
}

fn key_of(plot: &Plot, scales: &[Scale], x: &Scale, homeless: &Homeless) -> Vec<KeyEntry> {
    let (mut entries, mut far) = (Vec::new(), Vec::new());
    for (p, panel) in plot.panels.iter().enumerate() {
        let drawn = |line: &&super::Line| !line.label.is_empty();
        for line in panel.lines.iter().filter(drawn) {
            let known = entries
                .iter()
                .any(|e: &KeyEntry| e.words == line.label && matches!(e.sample, Sample::Line(_)));
            if !known {
                entries.push(KeyEntry {
                    sample: Sample::Line(line.style),
                    words: line.label.into(),
                });
            }
        }
        for (n, limit) in panel.limits.iter().enumerate() {
            let scale = if limit.edge.is_level() {
                scales.get(p)
            } else {
                Some(x)
            };
            let beyond = scale.is_some_and(|s| {
                let share = s.share(limit.edge.at());
                !(-1e-6..=1.0 + 1e-6).contains(&share)
            });
            let axis = if limit.edge.is_level() {
                panel.y
            } else {
                plot.x
            };
            // The other edge of what is allowed has no name of its own.
            if limit.label.is_empty() {
                continue;
            }
            let words = [&limit.label, ", ", &axis.words(limit.edge.at())].concat();
            if beyond {
                far.push(words);
            } else if homeless.contains(&(p, Item::Limit(n))) {
                entries.push(KeyEntry {
                    sample: Sample::Limit,
                    words,
                });
            }
        }
        for (n, mark) in panel.marks.iter().enumerate() {
            if homeless.contains(&(p, Item::Mark(n))) {
                let mut words = [&mark.label, ": ", &panel.y.words(mark.y)].concat();
                if !mark.beyond {
                    words.push_str(" at ");
                    words.push_str(&plot.x.words(mark.x));
                }
                entries.push(KeyEntry {
                    sample: Sample::Dot,
                    words,
                });
            }
        }
    }
    if !far.is_empty() {
        entries.push(KeyEntry {
            sample: Sample::Limit,
            words: ["off scale: ", &far.join(" · ")].concat(),
        });
    }
    entries
}

fn panels(plot: &Plot, width: Width, homeless: &Homeless) -> (Drawing, Homeless) {
    let wide = width.units();
    let several = plot.panels.len() > 1;
    let most = if several { 4 } else { 6 };
    // Of several the first says what the plot is for.
    let tall = |panel: usize| match (several, panel) {
        (false, _) => 210.0,
        (true, 0) => 150.0,
        (true, _) => 92.0,
    };
    let x = plot.x_scale();
    let mut scales = Vec::with_capacity(plot.panels.len());
    for panel in &plot.panels {
        scales.push(panel.scale(most));
    }
    let mut sheet = Sheet::default();
    let mut widest: f64 = 0.0;
    for scale in &scales {
        for (_, words) in &scale.ticks {
            widest = widest.max(word_width(words));
        }
    }
    let (left, right) = (widest + 10.0, wide - 8.0);
    let entries = key_of(plot, &scales, &x, homeless);
    let mut top = sheet.key(&entries, wide, 2.0);
    let mut outer: Option<Place> = None;
    let mut without: Homeless = homeless.clone();
    let count = plot.panels.len();
    for (p, panel) in plot.panels.iter().enumerate() {
        let Some(y) = scales.get(p).cloned() else {
            break;
        };
        sheet.write("name", (0.0, top + LETTERS), Anchor::Start, &y.name());
        let frame = Place {
            left,
            top: top + ROW + 6.0,
            right,
            bottom: top + ROW + 6.0 + tall(p),
        };
        outer = Some(Place {
            top: outer.map_or(frame.top, |o| o.top),
            ..frame
        });
        let mut framed = Framed {
            panel,
            frame,
            x: &x,
            y,
            lines: Vec::new(),
        };
        for line in &panel.lines {
            framed.lines.push(framed.traced(&line.points));
        }
        for limit in &panel.limits {
            if framed.shows(limit.edge) {
                let (a, b, _) = framed.edge(limit.edge);
                framed.lines.push(vec![a, b]);
            }
        }
        draw_panel(&mut sheet, &framed, p, p + 1 == count, &mut without);
        top = frame.bottom + 8.0;
    }
    let frame = outer.unwrap_or(Place {
        left,
        top,
        right,
        bottom: top,
    });
    // The name of x stands under the ticks, at the right end.
    sheet.write(
        "name",
        (right, frame.bottom + 2.0 * ROW + 2.0),
        Anchor::End,
        &x.name(),
    );
    without.retain(|item| !homeless.contains(item));
    (
        Drawing {
            width: wide,
            height: libm::ceil(frame.bottom + 2.0 * ROW + 8.0),
            shapes: sheet.shapes,
            frame,
        },
        without,
    )
}

fn draw_panel(
    sheet: &mut Sheet,
    framed: &Framed<'_>,
    p: usize,
    last: bool,
    without: &mut Homeless,
) {
    let frame = framed.frame;
    let (across, up) = (frame.right - frame.left, frame.bottom - frame.top);
    let level = |share: f64| frame.bottom - share * up;
    let upright = |share: f64| frame.left + share * across;
    let mut strokes = Vec::new();
    for (share, _) in &framed.y.ticks {
        strokes.push(((frame.left, level(*share)), (frame.right, level(*share))));
    }
    for (share, _) in &framed.x.ticks {
        strokes.push((
            (upright(*share), frame.bottom),
            (upright(*share), frame.top),
        ));
    }
    sheet.shapes.push(Shape::Strokes {
        class: "grid",
        strokes,
    });
    sheet.shapes.push(Shape::Line {
        class: "frame",
        points: vec![
            (frame.left, frame.top),
            (frame.left, frame.bottom),
            (frame.right, frame.bottom),
        ],
    });
    for (share, words) in &framed.y.ticks {
        let at = (frame.left - 6.0, level(*share) + 0.35 * LETTERS);
        if sheet.is_free(&text_place("tick", at, Anchor::End, words)) {
            sheet.write("tick", at, Anchor::End, words);
        }
    }
    if last {
        for (share, words) in &framed.x.ticks {
            // At the ends of the drawing the words move inwards.
            let half = word_width(words) / 2.0;
            let x = within(upright(*share), half, frame.right + 8.0 - half);
            let at = (x, frame.bottom + ROW);
            let place = text_place("tick", at, Anchor::Middle, words);
            let traced = Place {
                left: place.left - 4.0,
                right: place.right + 4.0,
                ..place
            };
            if sheet.is_free(&traced) {
                sheet.write("tick", at, Anchor::Middle, words);
            }
        }
    }
    for (line, points) in framed.panel.lines.iter().zip(&framed.lines) {
        sheet.shapes.push(Shape::Line {
            class: line.style.class(),
            points: points.clone(),
        });
    }
    let mut dots = Vec::with_capacity(framed.panel.marks.len());
    for mark in &framed.panel.marks {
        let dot = framed.at(mark.x, mark.y);
        sheet.taken.push(Place::around(dot, 5.0));
        dots.push(dot);
    }
    for limit in &framed.panel.limits {
        if framed.shows(limit.edge) {
            let (a, b, out) = framed.edge(limit.edge);
            sheet.edge(a, b, out);
        }
    }
    for (n, limit) in framed.panel.limits.iter().enumerate() {
        let item = (p, Item::Limit(n));
        let shown = framed.shows(limit.edge) && !without.contains(&item);
        if shown && !framed.limit_words(sheet, limit.edge, &limit.label) {
            without.push(item);
        }
    }
    let mut named: Vec<usize> = Vec::new();
    for (n, at) in dots.iter().enumerate() {
        let item = (p, Item::Mark(n));
        sheet.shapes.push(Shape::Dot { at: *at });
        // Points that fall together share their words.
        let same = |other: &Point| (other.0 - at.0).abs() < 5.0 && (other.1 - at.1).abs() < 5.0;
        if without.contains(&item) || named.contains(&n) {
            continue;
        }
        let mut names = String::new();
        let mut together = Vec::new();
        for (m, mark) in framed.panel.marks.iter().enumerate() {
            let placed = named.contains(&m) || without.contains(&(p, Item::Mark(m)));
            if dots.get(m).is_some_and(same) && !placed {
                named.push(m);
                if !names.is_empty() {
                    names.push_str(" · ");
                }
                names.push_str(&mark.label);
                together.push((p, Item::Mark(m)));
            }
        }
        if !framed.mark_words(sheet, &dots, *at, &names) {
            without.append(&mut together);
        }
    }
}

/// Bars: each with its name above it and its sentence below.
fn bars(plot: &Plot, width: Width) -> Drawing {
    let wide = width.units();
    let x = plot.x_scale();
    let mut sheet = Sheet::default();
    let (left, right) = (1.0, wide - 8.0);
    let across = right - left;
    let top = 4.0;
    let mut y = top;
    let mut ends = Vec::new();
    for bar in &plot.bars {
        for line in wrapped(&bar.label, across) {
            sheet.write("word", (left + 5.0, y + LETTERS), Anchor::Start, &line);
            y += ROW;
        }
        let end = left + within(x.share(bar.length), 0.0, 1.0) * across;
        ends.push((
            (left, y + 2.0),
            (end, y + 2.0),
            (end, y + 9.0),
            (left, y + 9.0),
        ));
        y += 10.0;
        for line in wrapped(&bar.sentence, across) {
            sheet.write("note", (left + 5.0, y + LETTERS), Anchor::Start, &line);
            y += ROW;
        }
        y += 8.0;
    }
    for (a, b, c, d) in ends {
        sheet.shapes.push(Shape::Line {
            class: "bar",
            points: vec![a, b, c, d],
        });
    }
    sheet.shapes.push(Shape::Line {
        class: "frame",
        points: vec![(left, top), (left, y), (right, y)],
    });
    for (share, words) in &x.ticks {
        let half = word_width(words) / 2.0;
        let tick = left + share * across;
        sheet.shapes.push(Shape::Strokes {
            class: "frame",
            strokes: vec![((tick, y), (tick, y + 4.0))],
        });
        let at = (within(tick, half, wide - half), y + ROW + 2.0);
        if sheet.is_free(&text_place("tick", at, Anchor::Middle, words)) {
            sheet.write("tick", at, Anchor::Middle, words);
        }
    }
    sheet.write("name", (right, y + 2.0 * ROW + 4.0), Anchor::End, &x.name());
    Drawing {
        width: wide,
        height: libm::ceil(y + 2.0 * ROW + 10.0),
        shapes: sheet.shapes,
        frame: Place {
            left,
            top,
            right,
            bottom: y,
        },
    }
}
