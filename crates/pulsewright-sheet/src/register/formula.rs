//! Formulas of the register as text over ids: read once for a working, evaluated by the tests,
//! drawn as MathML with symbols and again with the numbers put in.
//!
//! `sqrt(motor.no_load_current * drive.stall_current)`; operators `+ - * / ^`, functions, `pi`,
//! `g`; `a = b` is an equation that the result solves; a text in `'…'` is words, for what is not
//! one expression (an integral, a search).

use crate::register;
use crate::text::measure::Measure;
use crate::text::number;
use crate::text::unit;

/// A node of a formula.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// A number as written.
    Number(f64),
    /// An input or a result, by number.
    Id(usize),
    /// A constant, by name.
    Constant(&'static str, f64),
    /// Minus.
    Negative(Box<Node>),
    /// Two operands.
    Binary(char, Box<Node>, Box<Node>),
    /// A function of one or two.
    Call(&'static str, Vec<Node>),
}

/// A formula as read.
#[derive(Clone, Debug, PartialEq)]
pub enum Formula {
    /// The result is this expression.
    Expression(Node),
    /// The result makes both sides equal.
    Equation(Node, Node),
    /// In words.
    Words(&'static str),
}

const FUNCTIONS: [&str; 16] = [
    "sqrt", "abs", "min", "max", "asin", "acos", "atan", "sin", "cos", "tan", "exp", "ln", "ceil",
    "floor", "round", "mod",
];

const CONSTANTS: [(&str, f64); 4] = [
    ("pi", core::f64::consts::PI),
    ("g", pulsewright_calc::units::STANDARD_GRAVITY),
    ("alpha_20", pulsewright_calc::units::COPPER_COEFFICIENT_20),
    ("rho_20", pulsewright_calc::units::COPPER_RESISTIVITY_20),
];

/// Reads a formula; `None` where the text is none (a test holds that the register has none such).
///
/// # Example
/// ```
/// use pulsewright_sheet::register::formula::{read, Formula};
/// let Some(Formula::Expression(node)) = read("2 * pi / motor.rated_voltage ^ 2") else { panic!() };
/// let value = node.value(&|_| Some(2.0)).unwrap();
/// assert!((value - core::f64::consts::PI / 2.0).abs() < 1e-15);
/// ```
#[must_use]
pub fn read(text: &'static str) -> Option<Formula> {
    if let Some(words) = text.strip_prefix('\'') {
        return Some(Formula::Words(words.trim_end_matches('\'')));
    }
    match text.split_once(" = ") {
        Some((left, right)) => Some(Formula::Equation(side(left)?, side(right)?)),
        None => Some(Formula::Expression(side(text)?)),
    }
}

fn side(text: &'static str) -> Option<Node> {
    let mut reader = Reader { text, at: 0 };
    let node = reader.sum()?;
    reader.blank();
    (reader.at == text.len()).then_some(node)
}

struct Reader {
    text: &'static str,
    at: usize,
}

impl Reader {
    fn blank(&mut self) {
        while self
            .text
            .as_bytes()
            .get(self.at)
            .is_some_and(u8::is_ascii_whitespace)
        {
            self.at += 1;
        }
    }

    fn peek(&mut self) -> Option<u8> {
        self.blank();
        self.text.as_bytes().get(self.at).copied()
    }

    fn take(&mut self, wanted: &[u8]) -> Option<char> {
        let found = self.peek().filter(|b| wanted.contains(b))?;
        self.at += 1;
        Some(char::from(found))
    }

    fn sum(&mut self) -> Option<Node> {
        let mut left = self.product()?;
        while let Some(operator) = self.take(b"+-") {
            let right = self.product()?;
            left = Node::Binary(operator, Box::new(left), Box::new(right));
        }
        Some(left)
    }

    fn product(&mut self) -> Option<Node> {
        let mut left = self.sign()?;
        while let Some(operator) = self.take(b"*/") {
            let right = self.sign()?;
            left = Node::Binary(operator, Box::new(left), Box::new(right));
        }
        Some(left)
    }

    fn sign(&mut self) -> Option<Node> {
        if self.take(b"-").is_some() {
            return Some(Node::Negative(Box::new(self.sign()?)));
        }
        let base = self.atom()?;
        if self.take(b"^").is_some() {
            let power = self.sign()?;
            return Some(Node::Binary('^', Box::new(base), Box::new(power)));
        }
        Some(base)
    }

    fn atom(&mut self) -> Option<Node> {
        let first = self.peek()?;
        if first == b'(' {
            self.at += 1;
            let inner = self.sum()?;
            return self.take(b")").map(|_| inner);
        }
        let start = self.at;
        let word = |b: &u8| b.is_ascii_alphanumeric() || *b == b'_' || *b == b'.';
        while self.text.as_bytes().get(self.at).is_some_and(word) {
            self.at += 1;
        }
        let name = self.text.get(start..self.at)?;
        if first.is_ascii_digit() {
            // A power of ten: the sign of its exponent is not an operator.
            let mut end = self.at;
            if name.ends_with('e') && matches!(self.text.as_bytes().get(end), Some(b'-' | b'+')) {
                end += 1;
                while self
                    .text
                    .as_bytes()
                    .get(end)
                    .is_some_and(u8::is_ascii_digit)
                {
                    end += 1;
                }
                self.at = end;
            }
            return self
                .text
                .get(start..self.at)?
                .parse()
                .ok()
                .map(Node::Number);
        }
        if let Some(function) = FUNCTIONS.iter().find(|f| **f == name) {
            let _ = self.take(b"(")?;
            let mut arguments = vec![self.sum()?];
            while self.take(b",").is_some() {
                arguments.push(self.sum()?);
            }
            return self.take(b")").map(|_| Node::Call(function, arguments));
        }
        if let Some((name, value)) = CONSTANTS.iter().find(|(n, _)| *n == name) {
            return Some(Node::Constant(name, *value));
        }
        register::find(name).map(Node::Id)
    }
}

impl Node {
    /// The value, with `of` giving each id's number as the report has it.
    pub fn value(&self, of: &dyn Fn(usize) -> Option<f64>) -> Option<f64> {
        Some(match self {
            Self::Number(v) | Self::Constant(_, v) => *v,
            Self::Id(index) => of(*index)?,
            Self::Negative(inner) => -inner.value(of)?,
            Self::Binary(operator, left, right) => {
                let (a, b) = (left.value(of)?, right.value(of)?);
                match operator {
                    '+' => a + b,
                    '-' => a - b,
                    '*' => a * b,
                    '/' => a / b,
                    _ => libm::pow(a, b),
                }
            }
            Self::Call(name, arguments) => {
                let a = arguments.first()?.value(of)?;
                let b = match arguments.get(1) {
                    Some(second) => second.value(of)?,
                    None => 0.0,
                };
                let fold = |f: fn(f64, f64) -> f64| {
                    arguments
                        .iter()
                        .skip(1)
                        .try_fold(a, |m, n| n.value(of).map(|v| f(m, v)))
                };
                match *name {
                    "sqrt" => a.sqrt(),
                    "abs" => a.abs(),
                    "min" => fold(f64::min)?,
                    "max" => fold(f64::max)?,
                    "asin" => libm::asin(a),
                    "acos" => libm::acos(a),
                    "atan" => libm::atan(a),
                    "sin" => libm::sin(a),
                    "cos" => libm::cos(a),
                    "tan" => libm::tan(a),
                    "exp" => libm::exp(a),
                    "ln" => libm::log(a),
                    "ceil" => libm::ceil(a),
                    "floor" => libm::floor(a),
                    "mod" => a - b * libm::floor(a / b),
                    _ => libm::round(a),
                }
            }
        })
    }

    /// The ids that stand in it, in order, each once.
    pub fn ids(&self, out: &mut Vec<usize>) {
        match self {
            Self::Number(_) | Self::Constant(..) => {}
            Self::Id(index) => {
                if !out.contains(index) {
                    out.push(*index);
                }
            }
            Self::Negative(inner) => inner.ids(out),
            Self::Binary(_, left, right) => {
                left.ids(out);
                right.ids(out);
            }
            Self::Call(_, arguments) => arguments.iter().for_each(|a| a.ids(out)),
        }
    }

    fn strength(&self) -> u8 {
        match self {
            Self::Binary('+' | '-', ..) => 1,
            Self::Negative(_) => 2,
            Self::Binary('*', ..) => 3,
            // A drawn fraction and a root bind like an atom.
            Self::Binary('^', ..) => 5,
            _ => 6,
        }
    }

    fn math(&self, leaf: &dyn Fn(usize) -> String, out: &mut String) {
        let wrapped = |node: &Self, least: u8, out: &mut String| {
            if node.strength() < least {
                out.push_str("<mrow><mo>(</mo>");
                node.math(leaf, out);
                out.push_str("<mo>)</mo></mrow>");
            } else {
                node.math(leaf, out);
            }
        };
        match self {
            Self::Number(v) => {
                out.push_str("<mn>");
                out.push_str(&number::text(*v, 9));
                out.push_str("</mn>");
            }
            Self::Constant(name, _) => out.push_str(match *name {
                "pi" => "<mi>π</mi>",
                "alpha_20" => "<msub><mi>α</mi><mn>20</mn></msub>",
                "rho_20" => "<msub><mi>ρ</mi><mn>20</mn></msub>",
                _ => "<mi>g</mi>",
            }),
            Self::Id(index) => out.push_str(&leaf(*index)),
            Self::Negative(inner) => {
                out.push_str("<mo>−</mo>");
                wrapped(inner, 3, out);
            }
            Self::Binary('/', left, right) => {
                out.push_str("<mfrac><mrow>");
                left.math(leaf, out);
                out.push_str("</mrow><mrow>");
                right.math(leaf, out);
                out.push_str("</mrow></mfrac>");
            }
            Self::Binary('^', left, right) => {
                out.push_str("<msup><mrow>");
                wrapped(left, 6, out);
                out.push_str("</mrow><mrow>");
                right.math(leaf, out);
                out.push_str("</mrow></msup>");
            }
            Self::Binary(operator, left, right) => {
                let least = if *operator == '*' { 3 } else { 1 };
                wrapped(left, least, out);
                out.push_str(match operator {
                    '+' => "<mo>+</mo>",
                    '-' => "<mo>−</mo>",
                    _ => "<mo>·</mo>",
                });
                wrapped(right, if *operator == '+' { 1 } else { least + 1 }, out);
            }
            Self::Call("sqrt", arguments) => {
                out.push_str("<msqrt>");
                arguments.iter().for_each(|a| a.math(leaf, out));
                out.push_str("</msqrt>");
            }
            Self::Call("abs", arguments) => {
                out.push_str("<mrow><mo>|</mo>");
                arguments.iter().for_each(|a| a.math(leaf, out));
                out.push_str("<mo>|</mo></mrow>");
            }
            Self::Call(name, arguments) => {
                out.push_str("<mrow><mi>");
                out.push_str(name);
                out.push_str("</mi><mo>(</mo>");
                for (at, argument) in arguments.iter().enumerate() {
                    if at > 0 {
                        out.push_str("<mo>,</mo>");
                    }
                    out.push_str("<mrow>");
                    argument.math(leaf, out);
                    out.push_str("</mrow>");
                }
                out.push_str("<mo>)</mo></mrow>");
            }
        }
    }
}

/// A symbol `base_subscript` as MathML.
#[must_use]
pub fn symbol(text: &str) -> String {
    match text.split_once('_') {
        Some((base, sub)) => [
            "<msub><mi>",
            base,
            "</mi><mtext>",
            &sub.replace('_', ", "),
            "</mtext></msub>",
        ]
        .concat(),
        None => ["<mi>", text, "</mi>"].concat(),
    }
}

/// A number with its unit as MathML.
#[must_use]
pub fn quantity(measure: Measure, reported: f64) -> String {
    let number = number::text(reported, 6).replace('-', "−");
    let (number, power) = match number.split_once('e') {
        Some((n, p)) => (n.to_string(), Some(p.to_string())),
        None => (number, None),
    };
    let mut out = ["<mrow><mn>", &number, "</mn>"].concat();
    if let Some(power) = power {
        out.push_str("<mo>·</mo><msup><mn>10</mn><mn>");
        out.push_str(&power);
        out.push_str("</mn></msup>");
    }
    let name = measure.si_name();
    if name != "1" {
        out.push_str("<mtext>\u{a0}");
        out.push_str(&unit::pretty(name));
        out.push_str("</mtext>");
    }
    out.push_str("</mrow>");
    out
}

/// A working: the formula in symbols and the same with the numbers in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// In symbols, MathML (or words in plain text).
    pub symbols: String,
    /// With numbers, MathML; empty for words.
    pub numbers: String,
    /// The ids that stand in it.
    pub ids: Vec<usize>,
    /// Whether it is words.
    pub words: bool,
}

/// The working of result `index` by `text`, with `of` giving each id's reported number.
#[must_use]
pub fn working(
    index: usize,
    text: &'static str,
    of: &dyn Fn(usize) -> Option<f64>,
) -> Option<Working> {
    let in_symbols = |i: usize| symbol(register::symbol(i));
    let in_numbers = |i: usize| match of(i) {
        Some(v) => quantity(register::measure(i), v),
        None => symbol(register::symbol(i)),
    };
    let draw = |left: Option<&Node>, right: &Node, leaf: &dyn Fn(usize) -> String| {
        let mut out = String::from("<math display=\"block\"><mrow>");
        match left {
            Some(node) => node.math(leaf, &mut out),
            None => out.push_str(&leaf(index)),
        }
        out.push_str("<mo>=</mo>");
        right.math(leaf, &mut out);
        out.push_str("</mrow></math>");
        out
    };
    let mut ids = Vec::new();
    Some(match read(text)? {
        Formula::Words(words) => Working {
            symbols: words.into(),
            numbers: String::new(),
            ids,
            words: true,
        },
        Formula::Expression(node) => {
            node.ids(&mut ids);
            Working {
                symbols: draw(None, &node, &in_symbols),
                numbers: draw(None, &node, &in_numbers),
                ids,
                words: false,
            }
        }
        Formula::Equation(left, right) => {
            left.ids(&mut ids);
            right.ids(&mut ids);
            Working {
                symbols: draw(Some(&left), &right, &in_symbols),
                numbers: draw(Some(&left), &right, &in_numbers),
                ids,
                words: false,
            }
        }
    })
}
