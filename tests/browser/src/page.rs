//! What a test does with the page, in the words of a person who uses it.

use crate::driver::{Engine, GLANCE, Session, root};
use crate::keys;
use anyhow::{Context, Result, bail};
use base64::{Engine as _, engine::general_purpose::STANDARD};
use serde_json::{Value, json};
use std::cell::Cell;
use std::fs;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// The key under which WebDriver names an element (W3C WebDriver, "web element identifier").
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// How long anything may take, at the least, before it counts as failed.
const PATIENCE: Duration = Duration::from_secs(60);
/// How long anything may take, as a multiple of what this machine lately took to open the page: beside other work
/// everything takes longer, the opening as well.
const OPENINGS: u32 = 40;
/// Before the page was opened at all, as if it had taken this long.
const FIRST_OPENING: Duration = Duration::from_secs(3);

/// Where `cargo page` leaves its file.
pub fn packed_page() -> PathBuf {
    root().join("dist/pulsewright.html")
}

/// The packed page in one engine, opened from a folder of its own.
#[derive(Debug)]
pub struct Page {
    session: Session,
    folder: TempDir,
    /// What this machine lately took to open the page.
    opening: Cell<Option<Duration>>,
}

/// What a person prefers to look at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scheme {
    /// Dark on light.
    Light,
    /// Light on dark.
    Dark,
    /// The few colours of a system set to high contrast.
    Forced,
}

/// Something on the page.
#[derive(Debug)]
pub struct Element<'page> {
    page: &'page Page,
    id: String,
}

impl Page {
    /// Starts the engine and copies the file to where nothing else is.
    pub fn start(engine: Engine, file: &Path) -> Result<Self> {
        Self::in_session(engine, file, true)
    }

    /// The same for measuring times: nobody notes requests beside it.
    pub fn start_unwatched(engine: Engine, file: &Path) -> Result<Self> {
        Self::in_session(engine, file, false)
    }

    fn in_session(engine: Engine, file: &Path, notes_requests: bool) -> Result<Self> {
        let folder = TempDir::with_prefix("pulsewright-page-")?;
        fs::copy(file, folder.path().join("pulsewright.html")).with_context(|| {
            format!(
                "no page at {}; `cargo page --no-open` makes it",
                file.display()
            )
        })?;
        let page = Self {
            session: Session::start(engine, notes_requests)?,
            folder,
            opening: Cell::new(None),
        };
        // A person has the page in front; without this it may lie behind, where nothing gets the focus.
        if engine == Engine::Chromium {
            page.devtools(
                "Emulation.setFocusEmulationEnabled",
                json!({ "enabled": true }),
            )?;
        }
        Ok(page)
    }

    /// The engine that shows it.
    pub fn engine(&self) -> Engine {
        self.session.engine
    }

    /// Whether the browser has ended by itself, or has lost what it showed: WebKit then shows an empty page. One that
    /// only answers late has not.
    pub fn is_gone(&self) -> bool {
        match self.execute("return location.protocol", json!([])) {
            Ok(protocol) => protocol == "about:",
            Err(error) => error.to_string().contains("invalid session id"),
        }
    }

    /// Of many cases a third for each engine: the program is the same in all of them.
    pub fn share<T>(&self, all: impl IntoIterator<Item = T>) -> impl Iterator<Item = T> {
        let own = match self.engine() {
            Engine::Chromium => 0,
            Engine::Firefox => 1,
            Engine::WebKit => 2,
        };
        all.into_iter().skip(own).step_by(3)
    }

    /// The folder that holds nothing but the file.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// The address of the file, without a fragment.
    pub fn address(&self) -> String {
        format!(
            "file://{}",
            self.folder.path().join("pulsewright.html").display()
        )
    }

    /// Opens the page as for the first time: nothing stored, nothing in the address.
    pub fn open(&self) -> Result<()> {
        self.open_with("")
    }

    /// Opens the page with this after its address, for example `#pw1;axis.kind=arm`, and nothing stored.
    pub fn open_with(&self, fragment: &str) -> Result<()> {
        self.navigate(&self.address())?;
        // The page keeps what it shows when it is left; not this time.
        self.execute(
            "try { localStorage.clear(); sessionStorage.clear(); Storage.prototype.setItem = () => {}; } catch (refused) {}",
            json!([]),
        )?;
        self.open_again(fragment)
    }

    /// Opens the page with what it has stored.
    pub fn open_again(&self, fragment: &str) -> Result<()> {
        self.navigate_and_wait(&format!("{}{fragment}", self.address()))
    }

    /// Opens a changed copy of the page's file, to see what it does in a browser that lacks something.
    pub fn open_changed(&self, change: impl FnOnce(&str) -> Result<String>) -> Result<()> {
        self.open_changed_with("", change)
    }

    /// Opens the page with this after its address and with a script that runs before everything in it.
    pub fn open_watched(&self, fragment: &str, script: &str) -> Result<()> {
        self.open_changed_with(fragment, |html| {
            // Before the page's policy, which allows no script of others.
            let (before, after) = html.split_once("<head>").context("the page has no head")?;
            Ok(format!("{before}<head><script>{script}</script>{after}"))
        })
    }

    fn open_changed_with(
        &self,
        fragment: &str,
        change: impl FnOnce(&str) -> Result<String>,
    ) -> Result<()> {
        let path = self.folder.path();
        let original = fs::read_to_string(path.join("pulsewright.html"))?;
        let changed = path.join("changed.html");
        fs::write(&changed, change(&original)?)?;
        self.navigate_and_wait(&format!("file://{}{fragment}", changed.display()))
    }

    /// Opens the page in a frame of this size, in CSS pixels: windows refuse to be as narrow as a phone.
    pub fn open_in_frame(&self, width: u32, height: u32, fragment: &str) -> Result<()> {
        let frame = self.folder().join("frame.html");
        let fragment = fragment.replace('&', "&amp;").replace('"', "&quot;");
        fs::write(
            &frame,
            format!(
                "<!doctype html><title>Frame</title>\
                 <iframe width=\"{width}\" height=\"{height}\" src=\"pulsewright.html{fragment}\"></iframe>"
            ),
        )?;
        let began = Instant::now();
        self.navigate(&format!("file://{}", frame.display()))?;
        self.enter_frame(Some("iframe"))?;
        self.wait_until_there(began)
    }

    /// Opens a page of somebody else's with these files beside it, each from `dist`, and waits until it is loaded.
    pub fn open_host(&self, name: &str, html: &str, beside: &[&str]) -> Result<()> {
        for file in beside {
            fs::copy(root().join("dist").join(file), self.folder().join(file))
                .with_context(|| format!("no {file} in dist; `cargo page --no-open` makes it"))?;
        }
        fs::write(self.folder().join(name), html)?;
        self.open_file(&self.folder().join(name))
    }

    /// Opens a file and waits until it is loaded.
    pub fn open_file(&self, file: &Path) -> Result<()> {
        self.open_address(&format!("file://{}", file.display()))
    }

    /// Opens an address and waits until it is loaded.
    pub fn open_address(&self, address: &str) -> Result<()> {
        self.navigate("about:blank")?;
        self.forget_logs()?;
        self.navigate(address)
    }

    /// Goes into a frame of the page, or back out of all of them.
    pub fn enter_frame(&self, selector: Option<&str>) -> Result<()> {
        let frame = match selector {
            None => Value::Null,
            Some(selector) => json!({ ELEMENT: self.find(selector)?.id }),
        };
        let _ = self
            .session
            .command("POST", "/frame", Some(json!({ "id": frame })))?;
        Ok(())
    }

    fn navigate_and_wait(&self, address: &str) -> Result<()> {
        // A change of the fragment alone would not load anything.
        self.navigate("about:blank")?;
        self.forget_logs()?;
        let began = Instant::now();
        self.navigate(address)?;
        self.wait_until_there(began)
    }

    /// Waits for the page and learns from it how fast this machine is just now. One slow opening is remembered for a
    /// few more; one that failed teaches nothing, so that a broken page does not take ever longer.
    fn wait_until_there(&self, began: Instant) -> Result<()> {
        let there = self.wait_until("the page is there", || {
            Ok(self.execute(
                "return document.querySelector('.station, .failure') !== null",
                json!([]),
            )? == true)
        });
        let remembered = self.opening.get().unwrap_or_default() * 4 / 5;
        self.opening.set(Some(match there {
            Ok(()) => remembered.max(began.elapsed()),
            Err(_) => remembered,
        }));
        there
    }

    /// How long anything may take on this machine, just now, before it counts as failed.
    fn patience(&self) -> Duration {
        PATIENCE.max(self.opening.get().unwrap_or(FIRST_OPENING) * OPENINGS)
    }

    /// As long as a person needs to see that nothing more happens: a third of a second, longer on a machine that is
    /// slow just now.
    pub fn moment(&self) -> Duration {
        self.patience() / 60
    }

    /// The same in milliseconds, for a script.
    pub fn moment_ms(&self) -> f64 {
        self.moment().as_secs_f64() * 1e3
    }

    /// Loads the page anew, as the browser's own button does.
    pub fn reload(&self) -> Result<()> {
        self.forget_logs()?;
        let began = Instant::now();
        self.session.command("POST", "/refresh", None)?;
        self.wait_until_there(began)
    }

    /// Goes to an address and waits until it is loaded.
    pub fn navigate(&self, address: &str) -> Result<()> {
        self.session
            .command("POST", "/url", Some(json!({ "url": address })))?;
        Ok(())
    }

    /// Runs the body of a function in the page; `arguments` is an array.
    pub fn execute(&self, script: &str, arguments: Value) -> Result<Value> {
        let found = self.session.command(
            "POST",
            "/execute/sync",
            Some(json!({ "script": script, "args": arguments })),
        )?;
        Ok(spaced(found))
    }

    /// Lets a frame pass after something was done: what is out of sight follows after it.
    fn see_what_follows(&self) {
        // What was done may have led to another document.
        let _ = self.execute(
            "return new Promise(seen => {
                requestAnimationFrame(() => setTimeout(() => setTimeout(seen)));
                setTimeout(seen, arguments[0]);
            });",
            json!([self.moment_ms()]),
        );
    }

    /// Waits until this holds, looking again and again. Errors count as "not yet", because the page may be changing.
    pub fn wait_until(&self, what: &str, mut holds: impl FnMut() -> Result<bool>) -> Result<()> {
        let (began, patience) = (Instant::now(), self.patience());
        loop {
            let last = holds();
            if let Ok(true) = last {
                return Ok(());
            }
            if began.elapsed() > patience {
                return match last {
                    Err(error) => Err(error.context(format!("waited in vain until {what}"))),
                    Ok(_) => bail!("waited in vain until {what}"),
                };
            }
            thread::sleep(GLANCE);
        }
    }

    /// The first element for this selector, as soon as there is one.
    pub fn find(&self, selector: &str) -> Result<Element<'_>> {
        self.wait_for(&format!("there is {selector}"), || {
            Ok(self.find_all(selector)?.into_iter().next())
        })
    }

    /// Every element for this selector, now.
    pub fn find_all(&self, selector: &str) -> Result<Vec<Element<'_>>> {
        let found = self.session.command(
            "POST",
            "/elements",
            Some(json!({ "using": "css selector", "value": selector })),
        )?;
        Ok(found
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(|value| self.element(value))
            .collect())
    }

    /// The element with this role and accessible name, as the browser tells them to a screen reader.
    pub fn find_by_role(&self, role: &str, name: &str) -> Result<Element<'_>> {
        self.find_named(role, name, |label| label == before_limits(name))
    }

    /// The first element with this role whose accessible name begins so; what follows may change, as a stamp does.
    pub fn find_by_role_beginning(&self, role: &str, start: &str) -> Result<Element<'_>> {
        self.find_named(role, start, |label| {
            label.starts_with(&before_limits(start))
        })
    }

    fn find_named(
        &self,
        role: &str,
        name: &str,
        fits: impl Fn(&str) -> bool,
    ) -> Result<Element<'_>> {
        // Asking the browser for the role of every element would be slow: first those that can have it.
        let native = match role {
            "button" => {
                "button, summary, input[type=button], input[type=submit], input[type=reset]"
            }
            "textbox" => "input:not([type]), input[type=text], textarea",
            "link" => "a[href]",
            "heading" => "h1, h2, h3, h4, h5, h6",
            "checkbox" => "input[type=checkbox]",
            "radio" => "input[type=radio]",
            "slider" => "input[type=range]",
            "combobox" => "select, input[list]",
            "listbox" => "select",
            "group" => "fieldset, details",
            "region" => "section",
            "main" => "main",
            "navigation" => "nav",
            "table" => "table",
            "status" => "output",
            "dialog" => "dialog",
            "img" | "image" => "img, svg",
            _ => "[role]",
        };
        // Of those first the ones that have the words somewhere about them: asking for every name would be slow, too.
        let script = "const [selector, name] = arguments;
            const bare = text => text.replace(/\\s+/g, '');
            const about = element => [element.getAttribute('aria-label') || '', element.textContent]
                .concat([...(element.labels || [])].map(label => label.textContent)).map(bare).join(' ');
            return [...document.querySelectorAll(selector)]
                .filter(element => element.checkVisibility ? element.checkVisibility() : element.offsetParent !== null)
                .filter(element => element.getAttribute('aria-labelledby') || about(element).includes(bare(name)));";
        let selector = format!("{native}, [role={role}]");
        let mut others = Vec::new();
        let found = self.wait_for(&format!("there is a {role} named {name}"), || {
            others.clear();
            let found = self.execute(script, json!([selector, name]))?;
            for element in found.as_array().into_iter().flatten() {
                let Some(element) = self.element(element) else {
                    continue;
                };
                let label = element.label()?;
                if fits(&before_limits(&label)) {
                    return Ok(Some(element));
                }
                others.push(label);
            }
            Ok(None)
        });
        found.with_context(|| format!("those that have the words are named {others:?}"))
    }

    /// The field whose visible label reads like this.
    pub fn field(&self, label: &str) -> Result<Element<'_>> {
        let script = "for (const label of document.querySelectorAll('label')) {
            if (label.textContent.replace(/\\s+/g, ' ').trim() === arguments[0]) return label.control;
        }
        return null;";
        self.wait_for(&format!("there is a field labelled {label}"), || {
            Ok(self.element(&self.execute(script, json!([label]))?))
        })
    }

    /// The element that has the keyboard.
    pub fn focused(&self) -> Result<Element<'_>> {
        let value = self.session.command("GET", "/element/active", None)?;
        self.element(&value).context("nothing has the keyboard")
    }

    /// Presses keys wherever the keyboard is; see [`crate::keys`] for those without a letter.
    pub fn press(&self, text: &str) -> Result<()> {
        let mut actions = Vec::new();
        for key in text.chars() {
            let key = key.to_string();
            actions.push(json!({ "type": "keyDown", "value": key }));
            actions.push(json!({ "type": "keyUp", "value": key }));
        }
        let body = json!({ "actions": [{ "type": "key", "id": "keyboard", "actions": actions }] });
        self.session.command("POST", "/actions", Some(body))?;
        Ok(())
    }

    /// Moves the pointer to the corner of the window: nothing lies under it.
    pub fn put_pointer_aside(&self) -> Result<()> {
        let moved = json!({ "type": "pointerMove", "duration": 0, "x": 2, "y": 2 });
        let body = json!({ "actions": [{ "type": "pointer", "id": "mouse", "actions": [moved] }] });
        self.session.command("POST", "/actions", Some(body))?;
        Ok(())
    }

    /// Makes the visible part of the page this large, in CSS pixels; below about 500, take [`Self::open_in_frame`].
    pub fn set_viewport(&self, width: u32, height: u32) -> Result<()> {
        self.wait_until("the window has the size asked for", || {
            let inner = self.execute("return [innerWidth, innerHeight]", json!([]))?;
            let outer = self.session.command("GET", "/window/rect", None)?;
            let wanted = [(0, "width", width), (1, "height", height)];
            let mut rect = json!({});
            let mut fits = true;
            for (index, side, wanted) in wanted {
                let inside = inner[index].as_f64().context("no size")?;
                let outside = outer[side].as_f64().context("no size")?;
                fits &= inside == f64::from(wanted);
                rect[side] = json!((outside + f64::from(wanted) - inside).max(1.0).round());
            }
            if !fits {
                self.session.command("POST", "/window/rect", Some(rect))?;
            }
            Ok(fits)
        })
    }

    /// The page on paper, as PDF.
    pub fn print(&self) -> Result<Vec<u8>> {
        self.print_on(21.59, 27.94)
    }

    /// The page on paper of a size in centimetres, as PDF, with backgrounds.
    pub fn print_on(&self, width: f64, height: f64) -> Result<Vec<u8>> {
        let body = json!({ "page": { "width": width, "height": height }, "background": true });
        let printed = self.session.command("POST", "/print", Some(body))?;
        Ok(STANDARD.decode(printed.as_str().context("nothing was printed")?)?)
    }

    /// Lets the person prefer light or dark screens; only Chromium's driver can.
    pub fn prefer(&self, scheme: Scheme) -> Result<()> {
        let (scheme, forced) = match scheme {
            Scheme::Light => ("light", "none"),
            Scheme::Dark => ("dark", "none"),
            Scheme::Forced => ("dark", "active"),
        };
        let features = json!([
            { "name": "prefers-color-scheme", "value": scheme },
            { "name": "forced-colors", "value": forced },
        ]);
        self.devtools(
            "Emulation.setEmulatedMedia",
            json!({ "features": features }),
        )
    }

    /// Lets the page be as wide as a telephone, which no window can be, or as the window again; only Chromium's driver
    /// can.
    pub fn set_width(&self, width: Option<u32>) -> Result<()> {
        match width {
            Some(width) => self.devtools(
                "Emulation.setDeviceMetricsOverride",
                json!({ "width": width, "height": 740, "deviceScaleFactor": 1, "mobile": true }),
            ),
            None => self.devtools("Emulation.clearDeviceMetricsOverride", json!({})),
        }
    }

    /// Does something in another tab on the same page and closes it.
    pub fn in_another_tab(&self, act: impl FnOnce() -> Result<()>) -> Result<()> {
        let here = self.session.command("GET", "/window", None)?;
        let made = self
            .session
            .command("POST", "/window/new", Some(json!({ "type": "tab" })))?;
        let go = |handle: &Value| {
            let handle = json!({ "handle": handle });
            self.session.command("POST", "/window", Some(handle))
        };
        go(&made["handle"])?;
        let done = self.open_again("").and_then(|()| act());
        self.session.command("DELETE", "/window", None)?;
        go(&here)?;
        done
    }

    /// Lets the processor run at a fraction of its speed; only Chromium's driver can.
    pub fn slow_down(&self, times: u32) -> Result<()> {
        self.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": times }))
    }

    /// A command to Chromium itself.
    pub fn devtools(&self, command: &str, parameters: Value) -> Result<()> {
        let body = json!({ "cmd": command, "params": parameters });
        self.session
            .command("POST", "/goog/cdp/execute", Some(body))?;
        Ok(())
    }

    /// Saves what is visible under `target/browser-shots` and returns where.
    pub fn screenshot(&self, name: &str) -> Result<PathBuf> {
        let picture = self.session.command("GET", "/screenshot", None)?;
        self.save(&picture, name)
    }

    fn save(&self, picture: &Value, name: &str) -> Result<PathBuf> {
        let bytes = STANDARD.decode(picture.as_str().context("no picture")?)?;
        let folder = root().join("target/browser-shots");
        fs::create_dir_all(&folder)?;
        let file = folder.join(format!("{}-{name}.png", self.engine().name()));
        fs::write(&file, bytes)?;
        Ok(file)
    }

    /// What the page recorded as errors since it was opened; they count as expected from now on.
    pub fn take_errors(&self) -> Result<Vec<String>> {
        let mut errors = strings(&self.execute(
            "return window.pulsewright_errors ? window.pulsewright_errors.splice(0) : ['the page keeps no list of errors']",
            json!([]),
        )?);
        if self.engine() == Engine::Chromium {
            for entry in self.log("browser")? {
                if matches!(entry["level"].as_str(), Some("SEVERE" | "WARNING")) {
                    errors.push(format!(
                        "console: {}",
                        entry["message"].as_str().unwrap_or_default()
                    ));
                }
            }
        }
        Ok(errors)
    }

    /// The addresses that the page asked for since it was opened. Its own file and what is inside it do not count.
    pub fn requests(&self) -> Result<Vec<String>> {
        let mut requests = strings(&self.execute(
            "return performance.getEntriesByType('resource').map(entry => entry.name)",
            json!([]),
        )?);
        if self.engine() == Engine::Chromium {
            for entry in self.log("performance")? {
                let event: Value =
                    serde_json::from_str(entry["message"].as_str().unwrap_or("null"))?;
                if event["message"]["method"] == "Network.requestWillBeSent" {
                    let address = &event["message"]["params"]["request"]["url"];
                    requests.push(address.as_str().unwrap_or("unnamed").to_owned());
                }
            }
        }
        let own = strings(&self.execute(
            "const around = location.href.split('#')[0];
             return ['', './', 'frame.html', 'pulsewright.html', 'pulsewright-embed.js', 'index.html', 'icon.svg', 'pulsewright.webmanifest', 'worker.js'].map(name => new URL(name || around, around).href);",
            json!([]),
        )?);
        requests.retain(|address| {
            let inside = ["data:", "blob:", "about:"];
            !inside.iter().any(|kind| address.starts_with(kind))
                && !own.iter().any(|own| address.split('#').next() == Some(own))
        });
        Ok(requests)
    }

    fn forget_logs(&self) -> Result<()> {
        if self.engine() == Engine::Chromium {
            self.log("browser")?;
            if self.session.notes_requests {
                self.log("performance")?;
            }
        }
        Ok(())
    }

    /// Chromium's own logs; reading empties them.
    fn log(&self, kind: &str) -> Result<Vec<Value>> {
        let mut entries = self
            .session
            .command("POST", "/se/log", Some(json!({ "type": kind })))?;
        Ok(entries
            .as_array_mut()
            .map(std::mem::take)
            .unwrap_or_default())
    }

    fn wait_for<T>(&self, what: &str, mut look: impl FnMut() -> Result<Option<T>>) -> Result<T> {
        let mut found = None;
        self.wait_until(what, || {
            found = look()?;
            Ok(found.is_some())
        })?;
        found.with_context(|| format!("waited in vain until {what}"))
    }

    fn element(&self, value: &Value) -> Option<Element<'_>> {
        Some(Element {
            page: self,
            id: value[ELEMENT].as_str()?.to_owned(),
        })
    }
}

impl Element<'_> {
    /// Types at the end of what is there.
    pub fn type_text(&self, text: &str) -> Result<()> {
        self.press(text)?;
        self.page.see_what_follows();
        Ok(())
    }

    /// The same without a look at what follows.
    pub fn press(&self, text: &str) -> Result<()> {
        self.command("POST", "/value", Some(json!({ "text": text })))?;
        Ok(())
    }

    /// Replaces what is there by typing, and stays there.
    pub fn fill(&self, text: &str) -> Result<()> {
        // Keys that are held are let go of at the end of each request.
        self.type_text(&[keys::CONTROL, "a"].concat())?;
        self.type_text(&[keys::DELETE, text].concat())
    }

    /// Replaces what is there by typing, and goes on to the next.
    pub fn enter(&self, text: &str) -> Result<()> {
        self.fill(text)?;
        self.type_text(keys::TAB)
    }

    /// Scrolls it to the middle of the window and clicks on it; what moved away between the two is sought again, as a
    /// hand would.
    pub fn click(&self) -> Result<()> {
        let (began, patience) = (Instant::now(), self.page.patience());
        loop {
            self.bring_into_sight()?;
            self.page.execute(
                "const element = arguments[0];
                 window.missed = element.matches('button, a');
                 element.addEventListener('click', () => { window.missed = false; }, { once: true, capture: true });",
                json!([{ ELEMENT: self.id }]),
            )?;
            let clicked = self.command("POST", "/click", None);
            let is_missed = match &clicked {
                Err(error) => ["intercepted", "not interactable"]
                    .iter()
                    .any(|why| error.to_string().contains(why)),
                // A click may have led to another page.
                Ok(_) => self
                    .page
                    .execute("return window.missed === true", json!([]))
                    .is_ok_and(|missed| missed == true),
            };
            if is_missed && began.elapsed() < patience {
                thread::sleep(GLANCE);
                continue;
            }
            clicked?;
            self.page.see_what_follows();
            return Ok(());
        }
    }

    /// Scrolls it to the middle of the window. What is out of sight is not laid out: once it is, everything may stand
    /// elsewhere, and a second look finds it.
    fn bring_into_sight(&self) -> Result<()> {
        self.page.execute(
            "const [element, patience] = arguments;
             const scroll = () => element.scrollIntoView({ block: 'center', behavior: 'instant' });
             scroll();
             return new Promise(done => {
                 requestAnimationFrame(() => requestAnimationFrame(() => { scroll(); done(); }));
                 setTimeout(done, patience);
             });",
            json!([{ ELEMENT: self.id }, self.page.moment_ms()]),
        )?;
        Ok(())
    }

    /// The same where it is not laid out because it is out of sight: the driver then knows neither name nor role.
    fn lay_out(&self) -> Result<()> {
        let skipped = self.page.execute(
            "const element = arguments[0];
             return element.checkVisibility !== undefined && element.checkVisibility()
                 && !element.checkVisibility({ contentVisibilityAuto: true });",
            json!([{ ELEMENT: self.id }]),
        )?;
        if skipped == true {
            self.bring_into_sight()?;
        }
        Ok(())
    }

    /// The same as [`Page::screenshot`] of this element alone.
    pub fn screenshot(&self, name: &str) -> Result<PathBuf> {
        let picture = self.command("GET", "/screenshot", None)?;
        self.page.save(&picture, name)
    }

    /// Scrolls it to the middle of the window and gives it the keyboard.
    pub fn focus(&self) -> Result<()> {
        self.bring_into_sight()?;
        self.page
            .execute("arguments[0].focus()", json!([{ ELEMENT: self.id }]))?;
        Ok(())
    }

    /// Chooses one of its words, as from a list that drops down.
    pub fn choose(&self, word: &str) -> Result<()> {
        self.focus()?;
        self.part(&format!("option[value='{word}']"))?.click()
    }

    /// Its visible text.
    pub fn text(&self) -> Result<String> {
        string(self.command("GET", "/text", None)?)
    }

    /// How far down the page it stands, in CSS pixels.
    pub fn top(&self) -> Result<f64> {
        let top = self.page.execute(
            "return arguments[0].getBoundingClientRect().top + scrollY",
            json!([{ ELEMENT: self.id }]),
        )?;
        top.as_f64().context("not a place")
    }

    /// What stands in a field.
    pub fn value(&self) -> Result<String> {
        string(self.command("GET", "/property/value", None)?)
    }

    /// Its name for a screen reader.
    pub fn label(&self) -> Result<String> {
        self.lay_out()?;
        let (began, patience) = (Instant::now(), self.page.patience());
        loop {
            let label = string(self.command("GET", "/computedlabel", None)?)?;
            // Firefox knows it a while after the element has been laid out.
            if !label.trim().is_empty() || began.elapsed() > patience || !self.is_shown()? {
                return Ok(label);
            }
            thread::sleep(GLANCE);
        }
    }

    /// Whether it can be seen.
    pub fn is_shown(&self) -> Result<bool> {
        Ok(self.command("GET", "/displayed", None)? == true)
    }

    /// Whether it can be used.
    pub fn is_enabled(&self) -> Result<bool> {
        Ok(self.command("GET", "/enabled", None)? == true)
    }

    /// The first of its parts for this selector.
    pub fn part(&self, selector: &str) -> Result<Self> {
        let found = self.command(
            "POST",
            "/element",
            Some(json!({ "using": "css selector", "value": selector })),
        )?;
        self.page.element(&found).context("no such part")
    }

    /// Its role for a screen reader.
    pub fn role(&self) -> Result<String> {
        self.lay_out()?;
        string(self.command("GET", "/computedrole", None)?)
    }

    /// An attribute as written, if it is there.
    pub fn attribute(&self, name: &str) -> Result<Option<String>> {
        let value = self.command("GET", &format!("/attribute/{name}"), None)?;
        Ok(value.as_str().map(str::to_owned))
    }

    /// Waits until its visible text is this.
    pub fn wait_for_text(&self, text: &str) -> Result<()> {
        let mut last = String::new();
        self.page
            .wait_until("a text appears", || {
                last = self.text()?;
                Ok(last == text)
            })
            .with_context(|| format!("expected {text:?}, saw {last:?}"))
    }

    fn command(&self, method: &str, path: &str, body: Option<Value>) -> Result<Value> {
        self.page
            .session
            .command(method, &format!("/element/{}{path}", self.id), body)
    }
}

/// A name without its blanks: engines differ in where they put them between the parts of an element.
fn before_limits(name: &str) -> String {
    name.split_whitespace().collect()
}

fn string(value: Value) -> Result<String> {
    value
        .as_str()
        .map(str::to_owned)
        .context("the driver answered without a text")
}

fn strings(value: &Value) -> Vec<String> {
    let values = value.as_array().into_iter().flatten();
    values
        .map(|value| {
            value
                .as_str()
                .map_or_else(|| value.to_string(), str::to_owned)
        })
        .collect()
}

/// Texts with plain spaces where a line must not end, as a browser's driver tells them.
fn spaced(found: Value) -> Value {
    match found {
        Value::String(text) => Value::String(text.replace('\u{a0}', " ")),
        Value::Array(list) => list.into_iter().map(spaced).collect(),
        Value::Object(map) => Value::Object(map.into_iter().map(|(k, v)| (k, spaced(v))).collect()),
        other => other,
    }
}
