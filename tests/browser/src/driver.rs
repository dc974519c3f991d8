//! Starts a browser with its driver, speaks WebDriver with it, and ends both.
//!
//! Source of the requests: W3C, WebDriver (Level 2), section "Endpoints".

use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// How long one request to a driver may take, which is its own limit for the loading of a page, and how long the start of
/// a driver.
const LONGEST: Duration = Duration::from_secs(300);
/// How long a script in the page may take; a driver's own limit is a quarter of this.
const SCRIPT: Duration = Duration::from_secs(120);
/// How often something awaited is looked at.
pub const GLANCE: Duration = Duration::from_millis(15);

/// The engines of today's browsers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Engine {
    /// Chromium, also under Chrome, Edge and Opera.
    Chromium,
    /// Firefox.
    Firefox,
    /// WebKit in its GTK build, a relative of Safari.
    WebKit,
}

impl Engine {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Chromium, Self::Firefox, Self::WebKit];

    /// The name as in `PULSEWRIGHT_ENGINES` and before each test.
    pub fn name(self) -> &'static str {
        match self {
            Self::Chromium => "chromium",
            Self::Firefox => "firefox",
            Self::WebKit => "webkit",
        }
    }

    /// The engines named in `PULSEWRIGHT_ENGINES`; all where there is no such variable, none where it says `none`.
    pub fn chosen() -> Result<Vec<Self>> {
        let names = std::env::var("PULSEWRIGHT_ENGINES").unwrap_or_default();
        if names.trim().is_empty() {
            return Ok(Self::ALL.to_vec());
        }
        if names == "none" {
            return Ok(Vec::new());
        }
        names
            .split(',')
            .map(|name| {
                Self::ALL
                    .into_iter()
                    .find(|engine| engine.name() == name.trim())
                    .with_context(|| {
                        format!(
                            "PULSEWRIGHT_ENGINES knows chromium, firefox and webkit, not {name}"
                        )
                    })
            })
            .collect()
    }
}

/// One browser under control. Dropping it ends the browser, its driver and its screen.
#[derive(Debug)]
pub struct Session {
    pub(crate) engine: Engine,
    agent: ureq::Agent,
    address: String,
    id: String,
    driver: Child,
    screen: Option<Child>,
    _profile: TempDir,
    /// Whether Chromium notes every request; that takes time.
    pub(crate) notes_requests: bool,
}

impl Session {
    /// Starts the engine with a fresh profile.
    pub fn start(engine: Engine, notes_requests: bool) -> Result<Self> {
        let profile = TempDir::with_prefix("pulsewright-profile-")?;
        let port = TcpListener::bind(("127.0.0.1", 0))?.local_addr()?.port();
        let mut screen = None;
        let mut command = match engine {
            Engine::Chromium => Command::new(program(&["chromedriver"])?),
            Engine::Firefox => Command::new(program(&["geckodriver"])?),
            Engine::WebKit => {
                let (child, display) = start_screen()?;
                screen = Some(child);
                let mut command = Command::new(program(&["WebKitWebDriver"])?);
                command
                    .env("DISPLAY", display)
                    .env_remove("WAYLAND_DISPLAY")
                    .env("GDK_BACKEND", "x11")
                    .env("NO_AT_BRIDGE", "1")
                    // Without a graphics card a driver imitates one, which takes more of the processor than the page.
                    .env("WEBKIT_DISABLE_COMPOSITING_MODE", "1")
                    .env("XDG_DATA_HOME", profile.path())
                    .env("XDG_CACHE_HOME", profile.path());
                command
            }
        };
        let (flag, port_text) = ("--port", port.to_string());
        match engine {
            Engine::Firefox => command.args([flag, &port_text, "--log", "fatal"]),
            Engine::Chromium | Engine::WebKit => command.arg(format!("{flag}={port_text}")),
        };
        let driver = command
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn();
        let driver = match driver {
            Ok(driver) => driver,
            Err(error) => {
                end(screen.as_mut());
                return Err(error)
                    .with_context(|| format!("could not start the driver of {}", engine.name()));
            }
        };
        let agent = ureq::Agent::config_builder()
            .timeout_global(Some(LONGEST))
            .http_status_as_error(false)
            .build()
            .new_agent();
        // From here on dropping the session ends what was started.
        let mut session = Self {
            engine,
            agent,
            address: format!("http://127.0.0.1:{port}"),
            id: String::new(),
            driver,
            screen,
            _profile: profile,
            notes_requests,
        };
        session
            .open()
            .with_context(|| format!("could not start {}", engine.name()))?;
        Ok(session)
    }

    fn open(&mut self) -> Result<()> {
        let began = Instant::now();
        while self.request("GET", "/status", None).is_err() {
            if began.elapsed() > LONGEST {
                bail!("its driver does not answer");
            }
            thread::sleep(GLANCE);
        }
        let mut wishes = self.capabilities()?;
        wishes["timeouts"] = json!({ "script": SCRIPT.as_secs() * 1000 });
        let made = self.request(
            "POST",
            "/session",
            Some(json!({ "capabilities": { "alwaysMatch": wishes } })),
        )?;
        self.id = made["sessionId"]
            .as_str()
            .context("the driver gave the session no name")?
            .to_owned();
        Ok(())
    }

    fn capabilities(&self) -> Result<Value> {
        Ok(match self.engine {
            Engine::Chromium => json!({
                "goog:loggingPrefs": {
                    "browser": "ALL",
                    "performance": if self.notes_requests { "ALL" } else { "OFF" },
                },
                "goog:chromeOptions": {
                    "binary": program(&["chromium", "chromium-browser", "google-chrome"])?,
                    "args": [
                        "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                        "--disable-background-networking", "--disable-component-update", "--disable-sync",
                        "--disable-dev-shm-usage",
                        format!("--user-data-dir={}", self._profile.path().display()),
                    ],
                },
            }),
            Engine::Firefox => json!({
                "moz:firefoxOptions": {
                    "binary": program(&["firefox-esr", "firefox"])?,
                    "args": ["-headless"],
                },
            }),
            Engine::WebKit => json!({
                "webkitgtk:browserOptions": {
                    "binary": mini_browser()?,
                    "args": ["--automation"],
                },
            }),
        })
    }

    /// A request below the session's own address, for example `/url`.
    pub fn command(&self, method: &str, path: &str, body: Option<Value>) -> Result<Value> {
        self.request(method, &format!("/session/{}{path}", self.id), body)
    }

    fn request(&self, method: &str, path: &str, body: Option<Value>) -> Result<Value> {
        let address = format!("{}{path}", self.address);
        let mut response = match method {
            "GET" => self.agent.get(&address).call()?,
            "DELETE" => self.agent.delete(&address).call()?,
            _ => self
                .agent
                .post(&address)
                .send_json(body.unwrap_or_else(|| json!({})))?,
        };
        let refused = !response.status().is_success();
        let mut answer: Value = response
            .body_mut()
            .with_config()
            .limit(1 << 28)
            .read_json()?;
        let value = answer["value"].take();
        if refused {
            bail!(
                "{method} {path}: {}: {}",
                value["error"].as_str().unwrap_or("refused"),
                value["message"].as_str().unwrap_or_default()
            );
        }
        Ok(value)
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        if !self.id.is_empty() {
            // The driver is ended next, whatever it answers here.
            drop(self.command("DELETE", "", None));
        }
        end(Some(&mut self.driver));
        end(self.screen.as_mut());
    }
}

fn end(child: Option<&mut Child>) {
    if let Some(child) = child {
        drop(child.kill());
        drop(child.wait());
    }
}

/// A screen that nobody sees, and its name.
fn start_screen() -> Result<(Child, String)> {
    let mut child = Command::new(program(&["Xvfb"])?)
        .args([
            "-displayfd",
            "1",
            "-screen",
            "0",
            "1600x1400x24",
            "-nolisten",
            "tcp",
        ])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .context("could not start Xvfb")?;
    let mut number = String::new();
    let read = match child.stdout.take() {
        Some(stdout) => BufReader::new(stdout).read_line(&mut number).unwrap_or(0),
        None => 0,
    };
    if read == 0 {
        end(Some(&mut child));
        bail!("Xvfb opened no screen");
    }
    Ok((child, format!(":{}", number.trim())))
}

/// The top of the repository.
pub fn root() -> PathBuf {
    let package = Path::new(env!("CARGO_MANIFEST_DIR"));
    package.ancestors().nth(2).unwrap_or(package).to_path_buf()
}

fn program(names: &[&str]) -> Result<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let folders: Vec<PathBuf> = std::env::split_paths(&path)
        .chain([root().join("target/tools/bin")])
        .collect();
    names
        .iter()
        .flat_map(|name| folders.iter().map(move |folder| folder.join(name)))
        .find(|candidate| candidate.is_file())
        .with_context(|| {
            format!(
                "{} is not here; `cargo verify` installs it or says how",
                names.join(" or ")
            )
        })
}

/// The small browser that comes with WebKitGTK; it is not on the search path.
fn mini_browser() -> Result<PathBuf> {
    let mut folders = vec![PathBuf::from("/usr/libexec")];
    if let Ok(entries) = std::fs::read_dir("/usr/lib") {
        folders.extend(entries.flatten().map(|entry| entry.path()));
    }
    for folder in folders {
        for version in ["webkitgtk-6.0", "webkit2gtk-4.1", "webkit2gtk-4.0"] {
            let candidate = folder.join(version).join("MiniBrowser");
            if candidate.is_file() {
                return Ok(candidate);
            }
        }
    }
    bail!("WebKitGTK's MiniBrowser is not here; on Debian it comes with webkit2gtk-driver")
}
