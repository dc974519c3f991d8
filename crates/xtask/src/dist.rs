//! All of `dist`: the page, the embedding script, the ES module, the schema of the design file, and the page as it is served.

use crate::files::{read, write};
use crate::module;
use crate::one_file::{bare, dense, fill, hash, lines, must_not_contain, with_unpacking};
use crate::page::{self, Built};
use crate::program::{Artifact, Optimiser, Program, compile, finish};
use crate::shell::{cargo, output, root};
use anyhow::{Context, Result, anyhow, bail};
use base64::{Engine, engine::general_purpose::STANDARD};
use sha2::{Digest, Sha256};
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;
use std::time::Instant;

/// Said before the first build, so that nobody thinks that it hangs.
const FIRST_BUILD: &str = "the first build compiles everything: four to five minutes on two cores; later ones compile what has changed";

/// What was asked for on the command line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Options {
    open: bool,
    optimiser: Optimiser,
}

impl Options {
    pub fn parse(arguments: &[String]) -> Result<Self> {
        let mut options = Self {
            open: true,
            optimiser: Optimiser::WhereInstalled,
        };
        for argument in arguments {
            match argument.as_str() {
                "--no-open" => options.open = false,
                "--no-optimise" => options.optimiser = Optimiser::Unused,
                other => bail!("cargo page knows --no-open and --no-optimise, not {other}"),
            }
        }
        Ok(options)
    }
}

/// What is in `dist` and how big its two large files are.
#[derive(Debug)]
pub struct Dist {
    pub page: Built,
    /// The element's script, in bytes.
    pub embed: usize,
}

/// Makes all of `dist`, says how big it is, and shows the page where there is a screen.
pub fn make_and_open(options: &Options) -> Result<()> {
    let made = make(options.optimiser)?;
    if options.open {
        open(&made.page.file);
    }
    Ok(())
}

/// Makes the page and what stands beside it in `dist`, and says how big they are.
pub fn make(optimiser: Optimiser) -> Result<Dist> {
    if !root().join("target/packing").exists() {
        println!("{FIRST_BUILD}");
    }
    let began = Instant::now();
    println!("[1/3] page: compile");
    let compiled = compile(Artifact::Page)?;
    // To finish a program takes one core, and so does most of compiling the next.
    let (page, element, [schema, types]) = thread::scope(|scope| -> Result<_> {
        let page = scope.spawn(|| page::make(&compiled, optimiser));
        let texts = scope.spawn(|| Ok([printed("schema")?, printed("types")?]));
        println!("[2/3] element: compile; page: bind, shrink, pack into one file");
        let element = finish(&compile(Artifact::Embed)?, optimiser)?;
        Ok((of_thread(page)?, element, of_thread(texts)?))
    })?;
    println!("[3/3] element's script, ES module, schema; page as a server hands it out");
    let dist = root().join("dist");
    let script = embed(&element)?;
    write(&dist.join("pulsewright-embed.js"), script.as_bytes())?;
    write(&dist.join("route-card.schema.json"), schema.as_bytes())?;
    module::make(&element, &types)?;
    served(&page)?;
    println!("made in {:.0} s", began.elapsed().as_secs_f64());
    println!("optimiser:     {}", page.optimiser);
    println!("program:       {:>9} bytes of wasm", page.wasm);
    println!("program, gzip: {:>9} bytes", page.packed_wasm);
    println!("whole file:    {:>9} bytes", page.html);
    println!("embed script:  {:>9} bytes", script.len());
    println!("{}", page.file.display());
    Ok(Dist {
        page,
        embed: script.len(),
    })
}

/// What a thread has made.
fn of_thread<T>(thread: thread::ScopedJoinHandle<'_, Result<T>>) -> Result<T> {
    let ended = |_| anyhow!("a thread of this build ended early; what it says stands above");
    thread.join().map_err(ended)?
}

/// The page as a web server hands it out, which may ask that server for a few files of its own: what makes it an
/// application that can be installed, and a worker that keeps it for where there is no network.
fn served(page: &Built) -> Result<()> {
    let (dist, site) = (root().join("dist"), root().join("site"));
    let register = lines(&read(&site.join("serve.js"))?);
    must_not_contain(&register, "</script", "site/serve.js")?;
    let html = read(&page.file)?;
    let html = fill(
        html,
        "worker-src blob:; ",
        "worker-src blob: 'self'; manifest-src 'self'; ",
    )?;
    let html = fill(html, "img-src data:; ", "img-src data: 'self'; ")?;
    let html = fill(
        html,
        " 'wasm-unsafe-eval'",
        &format!(" '{}' 'wasm-unsafe-eval'", hash(&register)),
    )?;
    let html = fill(
        html,
        "<link rel=\"icon\" href=\"data:,\">\n",
        "<link rel=\"icon\" href=\"icon.svg\">\n<link rel=\"manifest\" href=\"pulsewright.webmanifest\">\n",
    )?;
    let html = fill(
        html,
        "</body>\n",
        &format!("<script>{register}</script>\n</body>\n"),
    )?;

    let mut files = Vec::new();
    for name in ["pulsewright.webmanifest", "icon.svg"] {
        files.push((name, read(&site.join(name))?));
    }
    files.push(("index.html", html));
    let mut listed = serde_json::Map::new();
    let mut all = String::new();
    for (name, text) in &files {
        write(&dist.join(name), text.as_bytes())?;
        let digest = STANDARD.encode(Sha256::digest(text));
        all.push_str(&digest);
        let _ = listed.insert((*name).into(), digest.into());
    }
    let worker = lines(&read(&site.join("worker.js"))?);
    let version = format!("pulsewright-{}", STANDARD.encode(Sha256::digest(&all)));
    let worker = fill(
        worker,
        "const VERSION = \"version\";\n",
        &format!("const VERSION = \"{version}\";\n"),
    )?;
    let worker = fill(
        worker,
        "const FILES = {};\n",
        &format!("const FILES = {};\n", serde_json::Value::Object(listed)),
    )?;
    write(&dist.join("worker.js"), worker.as_bytes())
}

/// The element's script with the program inside.
fn embed(program: &Program) -> Result<String> {
    let template = bare(&with_unpacking(&read(&root().join("site/embed.js"))?)?);
    let script = fill(template, "/* glue */\n", &lines(&program.glue))?;
    let script = fill(
        script,
        "const PROGRAM = \"program\";\n",
        &format!("const PROGRAM = \"{}\";\n", dense(&program.packed)),
    )?;
    // Somebody may put the whole script into a page.
    must_not_contain(&script, "</script", "the embedding script")?;
    Ok(script)
}

/// What the command prints of the register: schema or types.
fn printed(what: &str) -> Result<String> {
    output(cargo().args(["run", "--quiet", "--package", "pulsewright", "--", what]))
        .with_context(|| format!("the command's {what}"))
}

fn open(file: &Path) {
    let has_screen = match std::env::consts::OS {
        "windows" => true,
        "macos" => std::env::var_os("SSH_CONNECTION").is_none(),
        _ => ["DISPLAY", "WAYLAND_DISPLAY"]
            .iter()
            .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty())),
    };
    if !has_screen {
        println!("no screen here: open that file in a browser");
        return;
    }
    let mut command = match std::env::consts::OS {
        "windows" => Command::new("explorer"),
        "macos" => Command::new("open"),
        _ => Command::new("xdg-open"),
    };
    let started = command
        .arg(file)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    if started.is_err() {
        println!("found no way to start a browser: open that file in one");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(words: &[&str]) -> Result<Options> {
        Options::parse(
            &words
                .iter()
                .map(|word| (*word).to_owned())
                .collect::<Vec<_>>(),
        )
    }

    #[test]
    fn options_are_understood_in_any_order() {
        let both = Options {
            open: false,
            optimiser: Optimiser::Unused,
        };
        assert_eq!(parse(&["--no-optimise", "--no-open"]).unwrap(), both);
        let none = Options {
            open: true,
            optimiser: Optimiser::WhereInstalled,
        };
        assert_eq!(parse(&[]).unwrap(), none);
    }

    #[test]
    fn an_unknown_option_is_named() {
        let message = parse(&["--fast"]).unwrap_err().to_string();
        assert!(message.contains("--fast"), "{message}");
    }
}
