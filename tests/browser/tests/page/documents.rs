//! The element and the frame in real documentation, built by the tools that people build theirs with, each set up by
//! what the guide says of it. The sites are nested; both axes have a heading and a block of the same name.

use crate::card;
use anyhow::{Context, Result, ensure};
use browser::{Outcome, Page, root};
use serde_json::{Value, json};
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::Command;

/// A program that `cargo verify` fetched for this.
fn tool(place: &str) -> Result<PathBuf> {
    let program = root().join("target/tools/documents/bin").join(place);
    ensure!(
        program.is_file(),
        "{} is not here; `cargo verify` installs it",
        program.display()
    );
    Ok(program)
}

fn run(command: &mut Command) -> Outcome {
    let output = command
        .output()
        .with_context(|| format!("{command:?}; `cargo verify` installs it"))?;
    ensure!(
        output.status.success(),
        "{}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
    Ok(())
}

/// What the guide says of a tool.
struct Guide(String);

impl Guide {
    fn section(name: &str) -> Result<Self> {
        let guide = fs::read_to_string(root().join("site/embedding.md"))?;
        let (_, rest) = guide
            .split_once(&format!("\n### {name}\n"))
            .with_context(|| format!("the guide says nothing of {name}"))?;
        let end = rest.find("\n##").unwrap_or(rest.len());
        Ok(Self(rest[..end].to_owned()))
    }

    /// The first block of code in this language.
    fn code(&self, language: &str) -> Result<&str> {
        let (_, rest) = self
            .0
            .split_once(&format!("```{language}\n"))
            .with_context(|| format!("no {language} in the guide"))?;
        rest.split("```").next().context("an end")
    }

    /// What leads from a nested page to the page of the card: the one of these that the guide names.
    fn way<'a>(&self, way: &'a str) -> Result<&'a str> {
        let named = self.0.contains(&format!("src=\"{way}#pw1;…\""));
        ensure!(named, "the guide does not say {way}");
        Ok(way)
    }
}

/// A source folder of its own beside the page's.
struct Sources(PathBuf);

impl Sources {
    fn new(page: &Page, name: &str) -> Result<Self> {
        let folder = page.folder().join(name);
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder)?;
        Ok(Self(folder))
    }

    fn write(&self, name: &str, text: &str) -> Outcome {
        let file = self.0.join(name);
        fs::create_dir_all(file.parent().context("a folder")?)?;
        Ok(fs::write(file, text)?)
    }

    /// Lays files of `dist` into `folder`.
    fn made(&self, folder: &str, names: &[&str]) -> Outcome {
        fs::create_dir_all(self.0.join(folder))?;
        for name in names {
            let _ = fs::copy(
                root().join("dist").join(name),
                self.0.join(folder).join(name),
            )
            .with_context(|| format!("no {name} in dist; `cargo page --no-open` makes it"))?;
        }
        Ok(())
    }

    /// The texts of `tests/browser/documents` of this kind, the way to the page of the card put in.
    fn texts(&self, folder: &str, kind: &str, way: &str) -> Outcome {
        for name in ["index", "axes/lever", "axes/table"] {
            let name = format!("{name}.{kind}");
            let text = fs::read_to_string(root().join("tests/browser/documents").join(&name))?;
            self.write(
                &Path::new(folder).join(&name).to_string_lossy(),
                &text.replace("PAGE", way),
            )?;
        }
        Ok(())
    }
}

const EMBED: &str = "pulsewright-embed.js";
const PAGE: &str = "pulsewright.html";

/// 35:12, 37:13, 38:12 make 24605/936 = 26.28739…, 36:12, 34:13, 38:12, 60:1 make 19380/13 = 1490.769…: arithmetic, no
/// source. Every element says itself what must stand there, as often as the text holds one.
fn numbers(page: &Page, what: &str, count: usize) -> Outcome {
    let script = "return [...document.querySelectorAll('pulse-wright')].map(element => {
            const face = element.shadowRoot ? element.shadowRoot.lastChild : element;
            const text = face.localName === 'slot' ? element.textContent : face.textContent;
            const wanted = element.dataset.shown;
            const holds = wanted === undefined ? text.startsWith('Gears') : text === wanted;
            return element.getAttribute('state') === 'ready' && holds ? 'right' : `${wanted}: ${element.getAttribute('state')} ${text} ${element.title}`;
        })";
    let mut found = Value::Null;
    let wanted = json!(vec!["right"; count]);
    page.wait_until("the numbers are right", || {
        found = page.execute(script, json!([]))?;
        Ok(found == wanted)
    })
    .with_context(|| format!("{what}: {found}"))
}

/// The frame of the page that is open, with this ratio in it.
fn frame(page: &Page, ratio: &str) -> Outcome {
    page.wait_until("the frame is as tall as its card", || {
        let height = page.execute(
            "const frame = document.querySelector('iframe');
             frame.scrollIntoView();
             return frame.getBoundingClientRect().height;",
            json!([]),
        )?;
        Ok(height.as_f64().is_some_and(|height| height > 1000.0))
    })?;
    page.enter_frame(Some("iframe"))?;
    card::open_everything(page, false)?;
    assert_eq!(card::result(page, "gears.exact_ratio")?, ratio);
    page.enter_frame(None)
}

/// Numbers, frames, errors and requests of a site at this address; `ends` is what an address of a page ends with.
fn holds(page: &Page, site: &str, ends: &str) -> Outcome {
    for (name, count, ratio) in [("axes/lever", 4, "26.28739"), ("axes/table", 4, "1490.769")] {
        let address = format!("{site}{name}{ends}");
        page.open_address(&address)?;
        numbers(page, &address, count)?;
        frame(page, ratio).with_context(|| address.clone())?;
        sound(page, site).with_context(|| address.clone())?;
    }
    Ok(())
}

/// Nothing went wrong on the page that is open, and nothing was asked of anybody else.
fn sound(page: &Page, site: &str) -> Outcome {
    let errors = page.take_errors()?;
    let errors: Vec<&String> = errors
        .iter()
        .filter(|error| *error != "the page keeps no list of errors")
        // A theme may name an icon that the site does not have.
        .filter(|error| !error.contains("favicon"))
        .collect();
    ensure!(errors.is_empty(), "{errors:?}");
    // A browser asks any server for an icon, at its root.
    let own = match site.strip_prefix("http://") {
        Some(rest) => &site[..site.len() - rest.len() + rest.find('/').unwrap_or(0)],
        None => site,
    };
    let foreign: Vec<String> = page
        .requests()?
        .into_iter()
        .filter(|address| !address.starts_with(own))
        .collect();
    ensure!(foreign.is_empty(), "asked for {foreign:?}");
    Ok(())
}

/// A folder as an address.
fn in_folder(folder: &Path) -> String {
    format!("file://{}/", folder.display())
}

/// Serves a folder to this machine until the tests end.
fn served(folder: &Path) -> Result<String> {
    let listener = TcpListener::bind(("127.0.0.1", 0))?;
    let address = format!("http://127.0.0.1:{}/", listener.local_addr()?.port());
    let folder = folder.to_owned();
    std::thread::spawn(move || {
        for stream in listener.incoming().flatten() {
            let folder = folder.clone();
            // A browser that gives up half way is no matter.
            std::thread::spawn(move || drop(answer(stream, &folder)));
        }
    });
    Ok(address)
}

fn answer(mut stream: TcpStream, folder: &Path) -> Outcome {
    let mut reader = BufReader::new(stream.try_clone()?);
    let mut first = String::new();
    let _ = reader.read_line(&mut first)?;
    let mut line = String::new();
    while reader.read_line(&mut line)? > 2 {
        line.clear();
    }
    let path = first.split([' ', '?']).nth(1).unwrap_or("/");
    let mut file = folder.join(path.trim_start_matches('/'));
    if file.is_dir() {
        file.push("index.html");
    }
    let kind = match file.extension().and_then(|kind| kind.to_str()) {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript",
        Some("css") => "text/css",
        Some("json") => "application/json",
        Some("svg") => "image/svg+xml",
        Some("xml") => "application/xml",
        _ => "application/octet-stream",
    };
    let (status, bytes) = match fs::read(&file) {
        Ok(bytes) => ("200 OK", bytes),
        Err(_) => ("404 Not Found", Vec::new()),
    };
    let length = bytes.len();
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n"
    );
    stream.write_all(head.as_bytes())?;
    Ok(stream.write_all(&bytes)?)
}

pub fn a_bare_page(page: &Page) -> Outcome {
    let sources = Sources::new(page, "bare")?;
    sources.made("", &[EMBED, PAGE])?;
    let text = fs::read_to_string(root().join("tests/browser/documents/bare.html"))?;
    sources.write("bare.html", &text)?;
    let site = in_folder(&sources.0);
    page.open_address(&format!("{site}bare.html"))?;
    numbers(page, "bare.html", 3)?;
    frame(page, "1490.769")?;
    sound(page, &site)?;
    // What is looked at after every test is our own page.
    page.open()
}

pub fn a_book_of_mdbook(page: &Page) -> Outcome {
    let guide = Guide::section("mdBook")?;
    let sources = Sources::new(page, "book")?;
    sources.made("", &[EMBED])?;
    sources.made("src", &[PAGE])?;
    sources.texts("src", "md", guide.way("../pulsewright.html")?)?;
    let summary = root().join("tests/browser/documents/SUMMARY.md");
    sources.write("src/SUMMARY.md", &fs::read_to_string(summary)?)?;
    let book =
        "[book]\ntitle = \"The machine\"\nauthors = []\nlanguage = \"en\"\nsrc = \"src\"\n\n";
    sources.write("book.toml", &[book, guide.code("toml")?].concat())?;
    run(Command::new(tool("mdbook")?).arg("build").arg(&sources.0))?;
    let built = sources.0.join("book");
    for site in [in_folder(&built), served(&built)?] {
        holds(page, &site, ".html")?;
        // All chapters in one page, which wants to be printed.
        page.open_address(&format!("{site}print.html"))?;
        numbers(page, "print.html", 9)?;
    }
    page.open()
}

/// A manual of Sphinx whose texts are of this kind.
fn manual(page: &Page, name: &str, kind: &str, settings: &str) -> Outcome {
    let guide = Guide::section("Sphinx")?;
    let sources = Sources::new(page, name)?;
    sources.made("_static", &[EMBED, PAGE])?;
    sources.texts("", kind, guide.way("../_static/pulsewright.html")?)?;
    if kind == "md" {
        let index = fs::read_to_string(sources.0.join("index.md"))?;
        let tree = "\n```{toctree}\naxes/lever\naxes/table\n```\n";
        sources.write("index.md", &[index.as_str(), tree].concat())?;
    }
    let base = format!("project = \"The machine\"\nlanguage = \"en\"\n{settings}\n");
    sources.write("conf.py", &[base.as_str(), guide.code("python")?].concat())?;
    for builder in ["html", "singlehtml"] {
        run(Command::new(tool("sphinx-build")?)
            .args(["-q", "-W", "-b", builder])
            .arg(&sources.0)
            .arg(sources.0.join("built").join(builder)))?;
    }
    let built = sources.0.join("built");
    for site in [in_folder(&built), served(&built)?] {
        holds(page, &format!("{site}html/"), ".html")?;
        page.open_address(&format!("{site}singlehtml/index.html"))?;
        numbers(page, "one page", 9)?;
    }
    page.open()
}

pub fn a_manual_of_sphinx(page: &Page) -> Outcome {
    manual(page, "manual", "rst", "exclude_patterns = [\"built\"]")
}

pub fn a_manual_of_sphinx_with_myst(page: &Page) -> Outcome {
    let _ = Guide::section("Sphinx with MyST")?;
    let settings = "extensions = [\"myst_parser\"]\nexclude_patterns = [\"built\"]";
    manual(page, "myst", "md", settings)
}

/// A site of MkDocs with this theme, with and without folders for pages.
fn site(page: &Page, name: &str, theme: &str) -> Result<String> {
    let guide = Guide::section("MkDocs")?;
    let sources = Sources::new(page, name)?;
    let folders = sources.0.join("folders/site");
    // Instant navigation goes by the address under which the site is published.
    let address = served(&folders)?;
    for (folder, directories, way) in [
        ("folders", true, "../../pulsewright.html"),
        ("files", false, "../pulsewright.html"),
    ] {
        sources.made(&format!("{folder}/docs"), &[EMBED, PAGE])?;
        sources.texts(&format!("{folder}/docs"), "md", guide.way(way)?)?;
        let base = format!(
            "site_name: The machine\nsite_url: {address}\nuse_directory_urls: {directories}\nplugins: []\n{theme}"
        );
        let settings = [base.as_str(), guide.code("yaml")?].concat();
        sources.write(&format!("{folder}/mkdocs.yml"), &settings)?;
        run(Command::new(tool("mkdocs")?)
            .args(["build", "--quiet", "--strict", "--config-file"])
            .arg(sources.0.join(folder).join("mkdocs.yml")))?;
    }
    let files = in_folder(&sources.0.join("files/site"));
    holds(page, &files, ".html")?;
    holds(page, &in_folder(&folders), "/index.html")?;
    holds(page, &address, "/")?;
    Ok(address)
}

pub fn a_site_of_mkdocs(page: &Page) -> Outcome {
    // The theme's highlighter would come from the network.
    let theme = "theme:\n  name: readthedocs\n  highlightjs: false\n";
    let _ = site(page, "mkdocs", theme)?;
    page.open()
}

pub fn a_site_of_material_for_mkdocs(page: &Page) -> Outcome {
    let guide = Guide::section("MkDocs with Material")?;
    ensure!(guide.0.contains("`navigation.instant` may be on"));
    // Its type would come from the network.
    let theme = "theme:\n  name: material\n  font: false\n  features:\n    - navigation.instant\n";
    let address = site(page, "material", theme)?;
    // From page to page without loading: the same block and heading on both, another design.
    page.open_address(&address)?;
    numbers(page, "the first page", 1)?;
    page.wait_until("the theme knows the pages of the site", || {
        let known = "return performance.getEntriesByType('resource').some(entry => entry.name.endsWith('/sitemap.xml') && entry.responseEnd > 0)";
        Ok(page.execute(known, json!([]))? == true)
    })?;
    std::thread::sleep(page.moment());
    page.execute("window.stays = true", json!([]))?;
    for (name, ratio) in [
        ("lever", "26.28739"),
        ("table", "1490.769"),
        ("lever", "26.28739"),
    ] {
        page.execute(
            "[...document.querySelectorAll('a')].find(link => link.href.includes(arguments[0])).click()",
            json!([format!("axes/{name}")]),
        )?;
        page.wait_until("the page is the other one", || {
            let there = "return location.pathname.includes(arguments[0]) && document.querySelector('h1').textContent.startsWith(arguments[1])";
            let title = if name == "lever" { "Lever" } else { "Turntable" };
            Ok(page.execute(there, json!([name, title]))? == true)
        })?;
        numbers(page, name, 4)?;
        frame(page, ratio)?;
    }
    ensure!(
        page.execute("return window.stays", json!([]))? == true,
        "the page was loaded anew: this tests no instant navigation"
    );
    page.open()
}

pub fn a_site_of_jekyll(page: &Page) -> Outcome {
    let guide = Guide::section("Jekyll")?;
    let sources = Sources::new(page, "jekyll")?;
    sources.made("", &[EMBED, PAGE])?;
    let way = guide.way("{{ '/pulsewright.html' | relative_url }}")?;
    sources.texts("", "md", way)?;
    for name in ["index", "axes/lever", "axes/table"] {
        let file = sources.0.join(format!("{name}.md"));
        let text = fs::read_to_string(&file)?;
        fs::write(file, format!("---\nlayout: default\n---\n{text}"))?;
    }
    sources.write("_config.yml", "title: The machine\n")?;
    let layout = format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>The machine</title><link rel=\"icon\" href=\"data:,\">\n{}</head><body>{{{{ content }}}}</body></html>\n",
        guide.code("liquid")?
    );
    sources.write("_layouts/default.html", &layout)?;
    let built = sources.0.join("built");
    run(Command::new("jekyll")
        .args(["build", "--quiet", "--disable-disk-cache", "--source"])
        .arg(&sources.0)
        .arg("--destination")
        .arg(&built))?;
    holds(page, &served(&built)?, ".html")?;
    page.open()
}

/// Kramdown alone, with the script's tag that the guide begins with.
pub fn pages_of_kramdown(page: &Page) -> Outcome {
    let sources = Sources::new(page, "kramdown")?;
    sources.made("", &[EMBED, PAGE])?;
    sources.texts("", "md", "../pulsewright.html")?;
    for (name, before) in [("axes/lever", "../"), ("axes/table", "../")] {
        let output = Command::new("kramdown")
            .arg(sources.0.join(format!("{name}.md")))
            .output()
            .context("kramdown; `cargo verify` installs it")?;
        let text = String::from_utf8(output.stdout)?;
        let html = format!(
            "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><link rel=\"icon\" href=\"data:,\">\n<script src=\"{before}{EMBED}\"></script>\n{text}"
        );
        sources.write(&format!("{name}.html"), &html)?;
    }
    for site in [in_folder(&sources.0), served(&sources.0)?] {
        holds(page, &site, ".html")?;
    }
    // The guide's own first lines.
    let guide = fs::read_to_string(root().join("site/embedding.md"))?;
    let first = guide.split("```html\n").nth(1).context("an example")?;
    sources.write("first.md", first.split("```").next().context("an end")?)?;
    let output = Command::new("kramdown")
        .arg(sources.0.join("first.md"))
        .output()?;
    let html = String::from_utf8(output.stdout)?;
    ensure!(
        html.matches("<p>").count() == 1,
        "more than a sentence: {html}"
    );
    page.open()
}
