//! The house stands on floors: a file names what stands on its own floor or further down, never what stands above it,
//! and no files name each other in a circle.
//!
//! What is read are paths: `crate::`, `super::`, `self::`, children of a module, and names that a `use` brought in,
//! followed through re-exports to the file that they come from. A call of a method names nothing, so it is not seen;
//! neither is what stands under `cfg(test)`. A folder's `mod.rs` may put together what its own files make and hold the
//! types that they share: that is no circle, one that goes through another file is.

use crate::files::{list, read};
use crate::shell::root;
use anyhow::{Result, anyhow, bail};
use proc_macro2::{Delimiter, TokenStream, TokenTree};
use std::collections::{BTreeMap, VecDeque};
use std::path::Path;

/// What holds in one crate. Whatever stands at the top of its `src` is named by the first part of its path.
struct Plan {
    package: &'static str,
    /// From the ground up. `lib.rs` or `main.rs` stands above all of them. Without floors only circles are refused.
    floors: &'static [&'static [&'static str]],
    apart: &'static [Apart],
    /// A call, and the floor from which on it may stand.
    calls: &'static [(&'static str, &'static str)],
}

/// A folder whose files name none of their siblings.
struct Apart {
    folder: &'static str,
    /// But these, which are there for all of them.
    shared: &'static [&'static str],
    /// And these, one by the other.
    allowed: &'static [(&'static str, &'static str)],
}

const PLANS: [Plan; 6] = [
    Plan::of("pulsewright-calc"),
    SHEET,
    PAGE,
    Plan::of("pulsewright-embed"),
    Plan::of("pulsewright"),
    XTASK,
];

const SHEET: Plan = Plan {
    floors: &[
        &["text"],
        &["register"],
        &["design", "guide"],
        &["evaluation"],
        &["analysis"],
        &["stations"],
        &["output", "plot"],
    ],
    apart: &[
        Apart {
            folder: "register",
            shared: &["schema", "key", "macros", "formula"],
            allowed: &[],
        },
        Apart {
            folder: "stations",
            shared: &["shared", "simulation"],
            allowed: &[("wiring", "supply")],
        },
    ],
    // Evaluations below are made of the one at hand, so that nothing below knows the stations' functions.
    calls: &[("Eval::new", "stations")],
    ..Plan::of("pulsewright-sheet")
};

const PAGE: Plan = Plan {
    floors: &[
        &["dom", "focus", "clipboard"],
        &["state"],
        &["view", "timing"],
    ],
    ..Plan::of("pulsewright-page")
};

const XTASK: Plan = Plan {
    floors: &[
        &["files", "shell"],
        &[
            "wasm_opt", "one_file", "rules", "floors", "licences", "sbom",
        ],
        &["program"],
        &["page", "module", "tools"],
        &["verify", "dist", "bench_page"],
    ],
    ..Plan::of("xtask")
};

/// Fails when a file of the house names what stands above it, or a circle is closed.
pub fn check() -> Result<()> {
    let mut complaints = Vec::new();
    for plan in &PLANS {
        let source = root().join("crates").join(plan.package).join("src");
        let mut house = House::default();
        for file in list(&source)? {
            if file.extension().is_some_and(|kind| kind == "rs") {
                let inside = file.strip_prefix(&source).unwrap_or(&file);
                house.add(inside, &read(&file)?)?;
            }
        }
        complaints.extend(
            house
                .complaints(plan)
                .into_iter()
                .map(|complaint| format!("crates/{}/src/{complaint}", plan.package)),
        );
    }
    if !complaints.is_empty() {
        bail!("the house has climbed:\n{}", complaints.join("\n"));
    }
    Ok(())
}

/// The parts of a path: of a module, or of what is named.
type Names = Vec<String>;

/// The files of a crate, each under its module's path; `lib.rs` or `main.rs` under none.
#[derive(Default)]
struct House(BTreeMap<Names, File>);

#[derive(Default)]
struct File {
    name: String,
    mentions: Vec<Mention>,
    /// What each `use` brought in: its name here, and the path behind it.
    imports: BTreeMap<String, Names>,
}

struct Mention {
    path: Names,
    line: usize,
    /// A `pub use` hands on and uses nothing by itself.
    handed_on: bool,
}

impl Plan {
    const fn of(package: &'static str) -> Self {
        Self {
            package,
            floors: &[],
            apart: &[],
            calls: &[],
        }
    }

    /// The number of a module's floor from the ground up, or nothing where the plan has none for it.
    fn floor(&self, module: &[String]) -> Option<usize> {
        match module.first() {
            None => Some(self.floors.len()),
            Some(top) => self
                .floors
                .iter()
                .position(|floor| floor.contains(&top.as_str())),
        }
    }
}

impl House {
    fn add(&mut self, file: &Path, text: &str) -> Result<()> {
        let name = file.display().to_string().replace('\\', "/");
        let mut module: Names = name
            .trim_end_matches(".rs")
            .split('/')
            .map(str::to_owned)
            .collect();
        if matches!(name.as_str(), "lib.rs" | "main.rs")
            || module.last().is_some_and(|last| last == "mod")
        {
            let _ = module.pop();
        }
        let tokens: TokenStream = text
            .parse()
            .map_err(|error| anyhow!("{name} is no Rust: {error}"))?;
        let mut read = File {
            name,
            ..File::default()
        };
        read.take(tokens, &[]);
        let _ = self.0.insert(module, read);
        Ok(())
    }

    /// The file that a path named in `module` comes from; nothing where that is another crate.
    fn resolve(&self, module: &[String], path: &[String], depth: usize) -> Option<Names> {
        let mut at: Names = module.to_vec();
        for (number, name) in path.iter().enumerate() {
            match name.as_str() {
                "crate" => at.clear(),
                "self" => {}
                "super" => {
                    let _ = at.pop();
                }
                name => match self.step(&at, name, depth) {
                    Some(next) => at = next,
                    None if number == 0 => return None,
                    // An item of that file.
                    None => break,
                },
            }
        }
        Some(at)
    }

    /// Where a name leads within a module: to a child of it, or to what was brought in under that name.
    fn step(&self, at: &[String], name: &str, depth: usize) -> Option<Names> {
        let child: Names = at.iter().cloned().chain([name.to_owned()]).collect();
        if self.0.contains_key(&child) {
            return Some(child);
        }
        let behind = self.0.get(at)?.imports.get(name)?;
        // A path that begins with its own name is another crate's; re-exports end after a few steps.
        if behind.first()? == name || depth > 8 {
            return None;
        }
        self.resolve(at, behind, depth + 1)
    }

    fn complaints(&self, plan: &Plan) -> Vec<String> {
        let mut complaints = Vec::new();
        let mut arrows: BTreeMap<&Names, BTreeMap<Names, usize>> = BTreeMap::new();
        for (module, file) in &self.0 {
            let own = plan.floor(module);
            if own.is_none() && !plan.floors.is_empty() {
                complaints.push(format!("{}: stands on no floor of the plan", file.name));
            }
            let mut told: Vec<Names> = Vec::new();
            for mention in &file.mentions {
                let (line, text) = (mention.line, mention.path.join("::"));
                for (call, from) in plan.calls {
                    let lowest = plan.floor(&[(*from).to_owned()]);
                    if format!("::{text}").ends_with(&format!("::{call}")) && own < lowest {
                        complaints
                            .push(format!("{}:{line}: {call} stands below {from}", file.name));
                    }
                }
                let Some(target) = self.resolve(module, &mention.path, 0) else {
                    continue;
                };
                if target == *module {
                    continue;
                }
                let own_part = !module.is_empty() && target.starts_with(module);
                if !mention.handed_on && !own_part {
                    let _ = arrows
                        .entry(module)
                        .or_default()
                        .entry(target.clone())
                        .or_insert(line);
                }
                // Of each other file a file is told once.
                if told.contains(&target) {
                    continue;
                }
                told.push(target.clone());
                if let (Some(own), Some(theirs)) = (own, plan.floor(&target))
                    && theirs > own
                {
                    let floor = plan
                        .floors
                        .get(theirs)
                        .map_or("the top".to_owned(), |f| f.join(", "));
                    complaints.push(format!("{}:{line}: {text} climbs to {floor}", file.name));
                }
                if let ([folder, from], [into, to]) = (module.as_slice(), target.as_slice())
                    && folder == into
                    && plan
                        .apart
                        .iter()
                        .any(|apart| apart.refuses(folder, from, to))
                {
                    complaints.push(format!("{}:{line}: {text} names a sibling", file.name));
                }
            }
        }
        complaints.extend(self.circles(&arrows));
        complaints
    }

    /// The shortest way from a file back to itself, one for every circle.
    fn circles(&self, arrows: &BTreeMap<&Names, BTreeMap<Names, usize>>) -> Vec<String> {
        let mut found: Vec<&Names> = Vec::new();
        let mut told = Vec::new();
        for start in arrows.keys().copied() {
            let mut ways = VecDeque::from([vec![start]]);
            let mut seen: Vec<&Names> = Vec::new();
            while let (false, Some(way)) = (found.contains(&start), ways.pop_front()) {
                let Some((last, next)) =
                    way.last().and_then(|last| Some((last, arrows.get(last)?)))
                else {
                    continue;
                };
                if let Some(line) = next.get(start) {
                    let names: Vec<&str> =
                        way.iter().chain([&start]).map(|at| self.name(at)).collect();
                    let circle = names.join(" -> ");
                    told.push(format!(
                        "{}:{line}: closes a circle: {circle}",
                        self.name(last)
                    ));
                    found.extend(way);
                    break;
                }
                for target in next.keys() {
                    if !seen.contains(&target) {
                        seen.push(target);
                        ways.push_back(way.iter().copied().chain([target]).collect());
                    }
                }
            }
        }
        told
    }

    fn name(&self, module: &[String]) -> &str {
        self.0.get(module).map_or("", |file| &file.name)
    }
}

impl Apart {
    fn refuses(&self, folder: &str, from: &str, to: &str) -> bool {
        self.folder == folder && !self.shared.contains(&to) && !self.allowed.contains(&(from, to))
    }
}

impl File {
    /// Takes every path of these tokens; `inside` are the modules within the file in which they stand.
    fn take(&mut self, tokens: TokenStream, inside: &[String]) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        let mut at = 0;
        let mut public = false;
        while let Some(token) = tokens.get(at) {
            at += 1;
            let was_public = std::mem::take(&mut public);
            match token {
                TokenTree::Punct(mark) if mark.as_char() == '#' && is_test(tokens.get(at)) => {
                    at = end_of_item(&tokens, at + 1);
                }
                // A lifetime.
                TokenTree::Punct(mark) if mark.as_char() == '\'' => at += 1,
                TokenTree::Group(group) => self.take(group.stream(), inside),
                TokenTree::Ident(word) if *word == "pub" => {
                    public = true;
                    // Of whom it can be seen names nothing.
                    at += usize::from(group(tokens.get(at), Delimiter::Parenthesis).is_some());
                }
                TokenTree::Ident(word) if *word == "use" => {
                    at = self.take_use(&tokens, at, inside, &[], was_public);
                }
                TokenTree::Ident(word) if *word == "mod" => {
                    let within = group(tokens.get(at + 1), Delimiter::Brace);
                    if let (Some(name), Some(within)) = (tokens.get(at), within) {
                        self.take(within, &[inside, &[name.to_string()]].concat());
                    }
                    at += 2;
                }
                TokenTree::Ident(word) => {
                    let line = word.span().start().line;
                    let mut path = vec![word.to_string()];
                    while let (true, Some(TokenTree::Ident(next))) =
                        (is_step(&tokens, at), tokens.get(at + 2))
                    {
                        path.push(next.to_string());
                        at += 3;
                    }
                    // A type alone may be one that a `use` brought in.
                    if path.len() > 1 || path[0].starts_with(char::is_uppercase) {
                        self.mention(path, line, inside, false);
                    }
                }
                _ => {}
            }
        }
    }

    /// Takes one tree of a `use` up to its end or the next comma; returns where that is.
    fn take_use(
        &mut self,
        tokens: &[TokenTree],
        mut at: usize,
        inside: &[String],
        before: &[String],
        public: bool,
    ) -> usize {
        let mut path = before.to_vec();
        let mut renamed = None;
        while let Some(token) = tokens.get(at) {
            at += 1;
            match token {
                TokenTree::Ident(word) if *word == "as" => {
                    renamed = tokens.get(at).map(ToString::to_string);
                    at += 1;
                }
                TokenTree::Ident(word) if *word == "self" && !before.is_empty() => {}
                TokenTree::Ident(word) => path.push(word.to_string()),
                TokenTree::Group(group) => {
                    let within: Vec<TokenTree> = group.stream().into_iter().collect();
                    let mut next = 0;
                    while next < within.len() {
                        next = self.take_use(&within, next, inside, &path, public);
                    }
                    // The end of the statement, or a comma, comes next.
                    return at + 1;
                }
                TokenTree::Punct(mark) if matches!(mark.as_char(), ';' | ',') => break,
                _ => {}
            }
        }
        let line = tokens
            .get(at.saturating_sub(2))
            .map_or(0, |token| token.span().start().line);
        if let Some(name) = renamed.or_else(|| path.last().cloned()) {
            let _ = self.imports.insert(name, path.clone());
            self.mention(path, line, inside, public);
        }
        at
    }

    fn mention(&mut self, mut path: Names, line: usize, inside: &[String], handed_on: bool) {
        // A module within the file is the file's own: `super` and `self` there lead to the file first.
        for _ in inside {
            if path.first().is_some_and(|first| first == "super") {
                path[0] = "self".into();
                if path.get(1).is_some_and(|second| second == "super") {
                    let _ = path.remove(0);
                }
            }
        }
        self.mentions.push(Mention {
            path,
            line,
            handed_on,
        });
    }
}

fn is_step(tokens: &[TokenTree], at: usize) -> bool {
    [at, at + 1]
        .iter()
        .all(|at| matches!(tokens.get(*at), Some(TokenTree::Punct(mark)) if mark.as_char() == ':'))
}

fn group(token: Option<&TokenTree>, delimiter: Delimiter) -> Option<TokenStream> {
    match token {
        Some(TokenTree::Group(group)) if group.delimiter() == delimiter => Some(group.stream()),
        _ => None,
    }
}

/// Whether an attribute keeps what follows for the tests.
fn is_test(token: Option<&TokenTree>) -> bool {
    group(token, Delimiter::Bracket).is_some_and(|attribute| {
        let text: String = attribute.to_string().split_whitespace().collect();
        text == "cfg(test)" || text.starts_with("cfg(all(test,")
    })
}

/// Where the item that begins here ends: after its braces or its semicolon.
fn end_of_item(tokens: &[TokenTree], mut at: usize) -> usize {
    while let Some(token) = tokens.get(at) {
        at += 1;
        let semicolon = matches!(token, TokenTree::Punct(mark) if mark.as_char() == ';');
        if semicolon || group(Some(token), Delimiter::Brace).is_some() {
            break;
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(plan: &Plan, files: &[(&str, &str)]) -> Vec<String> {
        let mut house = House::default();
        for (file, text) in files {
            house.add(Path::new(file), text).unwrap();
        }
        house.complaints(plan)
    }

    #[test]
    fn a_file_that_names_what_stands_above_is_told_where() {
        let key = ("register/key.rs", "pub struct Key;");
        let drive = ("stations/drive.rs", "use crate::register::key::Key;");
        let [register, stations] = [("register/mod.rs", ""), ("stations/mod.rs", "")];
        assert!(told(&SHEET, &[register, key, stations, drive]).is_empty());
        for (text, line) in [
            ("// A comment.\nuse crate::stations::drive;", 2),
            (
                "use crate::{\n    text::{self, unit},\n    stations::drive::of,\n};",
                3,
            ),
            ("fn of() { super::super::stations::drive::of() }", 1),
            (
                "results! { Drive;\n X = Y { f: $crate::stations::drive::of } }",
                2,
            ),
            (
                "mod within { use super::super::super::stations::drive; }",
                1,
            ),
        ] {
            let complaints = told(
                &SHEET,
                &[register, ("register/key.rs", text), stations, drive],
            );
            let begin = format!("register/key.rs:{line}: ");
            assert!(
                complaints
                    .iter()
                    .any(|one| one.starts_with(&begin) && one.ends_with("climbs to stations")),
                "{text}: {complaints:?}"
            );
        }
    }

    #[test]
    fn a_name_is_followed_through_what_hands_it_on() {
        let files = [
            ("lib.rs", "pub mod evaluation; pub use evaluation::Eval;"),
            (
                "evaluation/mod.rs",
                "mod absent; pub use absent::Absent; pub struct Eval;",
            ),
            ("evaluation/absent.rs", "pub struct Absent;"),
            ("design/card.rs", "use crate::Eval;"),
            (
                "output/report.rs",
                "use crate::Eval; use crate::evaluation::Absent;",
            ),
        ];
        assert_eq!(
            told(&SHEET, &files),
            ["design/card.rs:1: crate::Eval climbs to evaluation"]
        );
    }

    #[test]
    fn tests_comments_texts_and_other_crates_name_nothing() {
        let text = "//! [`crate::stations::drive`]
            use stations::drive; use std::fmt; pub(in crate::stations) struct A<'stations>(&'stations str);
            const B: &str = \"crate::stations::drive\"; // crate::stations::drive
            #[cfg(test)] use crate::stations::drive::{of};
            #[cfg(test)] mod tests { use crate::stations::drive; }";
        let stations = [("stations/mod.rs", ""), ("stations/drive.rs", "")];
        let files = [stations[0], stations[1], ("text/unit.rs", text)];
        assert!(
            told(&SHEET, &files).is_empty(),
            "{:?}",
            told(&SHEET, &files)
        );
        let after = format!("{text}\nuse crate::stations::drive;");
        assert_eq!(
            told(
                &SHEET,
                &[stations[0], stations[1], ("text/unit.rs", &after)]
            )
            .len(),
            1
        );
    }

    #[test]
    fn siblings_name_only_what_is_there_for_all() {
        let files = [
            ("register/schema.rs", ""),
            ("register/axis.rs", "use super::schema::Form;"),
            ("register/drive.rs", "use super::axis;"),
            ("stations/supply.rs", ""),
            (
                "stations/wiring.rs",
                "use super::supply; use super::shared;",
            ),
            ("stations/shared.rs", ""),
            ("stations/steps.rs", "use super::{shared, wiring::drop};"),
        ];
        assert_eq!(
            told(&SHEET, &files),
            [
                "register/drive.rs:1: super::axis names a sibling",
                "stations/steps.rs:1: super::wiring::drop names a sibling",
            ]
        );
    }

    #[test]
    fn no_evaluation_begins_below_the_stations() {
        let files = [
            (
                "analysis/solve.rs",
                "fn of(d: &Design) {\n    let c = Eval::new(d);\n}",
            ),
            ("stations/mod.rs", "fn of(d: &Design) { Eval::new(d); }"),
            (
                "guide/examples.rs",
                "fn of() { sheet::Eval::new(d) } fn other() { Oval::new() }",
            ),
        ];
        assert_eq!(
            told(&SHEET, &files),
            [
                "analysis/solve.rs:2: Eval::new stands below stations",
                "guide/examples.rs:1: Eval::new stands below stations",
            ]
        );
    }

    #[test]
    fn a_file_without_a_floor_is_told() {
        assert_eq!(
            told(&PAGE, &[("lib.rs", ""), ("view/head.rs", "")]).len(),
            0
        );
        assert_eq!(
            told(&PAGE, &[("kitchen.rs", "")]),
            ["kitchen.rs: stands on no floor of the plan"]
        );
    }

    #[test]
    fn circles_are_told_once_with_their_way() {
        let plan = Plan::of("anything");
        let circle = [
            ("lib.rs", "mod a; mod b; mod c; pub use a::A;"),
            ("a.rs", "use crate::b::B; pub struct A;"),
            ("b.rs", "pub struct B;\nfn of() { super::c::of() }"),
            ("c.rs", "use crate::A;"),
        ];
        assert_eq!(
            told(&plan, &circle),
            ["c.rs:1: closes a circle: a.rs -> b.rs -> c.rs -> a.rs"]
        );
        assert!(told(&plan, &circle[..3]).is_empty());
    }

    #[test]
    fn a_folder_and_its_own_files_are_no_circle_but_one_through_another_file_is() {
        let plan = Plan::of("anything");
        let svg = ("plot/svg.rs", "use super::Plot; pub fn line() {}");
        let plot = (
            "plot/mod.rs",
            "mod svg; use crate::axis::Axis; pub struct Plot; fn of() { svg::line() }",
        );
        assert!(told(&plan, &[svg, plot, ("axis.rs", "pub struct Axis;")]).is_empty());
        assert_eq!(
            told(
                &plan,
                &[svg, plot, ("axis.rs", "use crate::plot::svg::line;")]
            ),
            ["plot/mod.rs:1: closes a circle: axis.rs -> plot/svg.rs -> plot/mod.rs -> axis.rs"]
        );
        let handed_on = "mod svg; pub use svg::Line; fn of(_: Line) {}";
        let root = [
            ("lib.rs", handed_on),
            ("svg.rs", "use crate::of; pub struct Line;"),
        ];
        assert_eq!(told(&plan, &root).len(), 1, "a type alone is a use");
        assert!(told(&plan, &[("lib.rs", "mod svg; pub use svg::Line;"), root[1]]).is_empty());
    }
}
