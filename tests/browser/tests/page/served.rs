//! The page as it is served: installed, and there without the server.

use crate::card;
use anyhow::{Context, Result};
use browser::{Outcome, Page, root};
use serde_json::json;
use std::collections::HashMap;
use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};

/// A server on this machine alone; dropping it is the network's end.
struct Server {
    address: String,
    files: Arc<Mutex<HashMap<String, Vec<u8>>>>,
    gone: Arc<AtomicBool>,
}

impl Server {
    /// Serves what `cargo page` made.
    fn start() -> Result<Self> {
        let listener = TcpListener::bind(("127.0.0.1", 0))?;
        let address = format!("http://127.0.0.1:{}/", listener.local_addr()?.port());
        let mut files = HashMap::new();
        for name in [
            "index.html",
            "worker.js",
            "icon.svg",
            "pulsewright.webmanifest",
        ] {
            let bytes = std::fs::read(root().join("dist").join(name))
                .with_context(|| format!("no {name} in dist; `cargo page --no-open` makes it"))?;
            let _ = files.insert(name.to_owned(), bytes);
        }
        let files = Arc::new(Mutex::new(files));
        let gone = Arc::new(AtomicBool::new(false));
        let (theirs, over) = (Arc::clone(&files), Arc::clone(&gone));
        std::thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                if over.load(Ordering::SeqCst) {
                    return;
                }
                // A browser that gives up half way is no matter.
                drop(answer(stream, &theirs));
            }
        });
        Ok(Self {
            address,
            files,
            gone,
        })
    }

    fn change(&self, name: &str, change: impl FnOnce(String) -> String) -> Outcome {
        let mut files = self
            .files
            .lock()
            .map_err(|_| anyhow::anyhow!("the server failed"))?;
        let before = files.remove(name).context("a file")?;
        let _ = files.insert(name.into(), change(String::from_utf8(before)?).into_bytes());
        Ok(())
    }

    fn stop(&self) {
        self.gone.store(true, Ordering::SeqCst);
        // Wakes the thread, which then ends and closes the door.
        drop(TcpStream::connect(
            self.address
                .trim_start_matches("http://")
                .trim_end_matches('/'),
        ));
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.stop();
    }
}

fn answer(mut stream: TcpStream, files: &Mutex<HashMap<String, Vec<u8>>>) -> Outcome {
    let mut reader = BufReader::new(stream.try_clone()?);
    let mut first = String::new();
    let _ = reader.read_line(&mut first)?;
    let mut line = String::new();
    while reader.read_line(&mut line)? > 2 {
        line.clear();
    }
    let path = first.split(' ').nth(1).unwrap_or("/");
    let name = path
        .trim_start_matches('/')
        .split(['?', '#'])
        .next()
        .unwrap_or("");
    let name = if name.is_empty() { "index.html" } else { name };
    let kind = match name.rsplit('.').next() {
        Some("html") => "text/html",
        Some("js") => "text/javascript",
        Some("svg") => "image/svg+xml",
        _ => "application/manifest+json",
    };
    let body = files.lock().ok().and_then(|files| files.get(name).cloned());
    let status = if body.is_some() {
        "200 OK"
    } else {
        "404 Not Found"
    };
    let body = body.unwrap_or_default();
    write!(
        stream,
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
        body.len()
    )?;
    stream.write_all(&body)?;
    Ok(())
}

/// Waits until a worker has the page; its state, or what became of it.
fn wait_for_worker(page: &Page) -> Outcome {
    page.wait_until("the worker has the page", || {
        Ok(page.execute(
            "return navigator.serviceWorker.controller !== null",
            json!([]),
        )? == true)
    })
}

fn leave_nothing(page: &Page) -> Outcome {
    let _ = page.execute(
        "return (async () => {
            for (const one of await navigator.serviceWorker.getRegistrations()) await one.unregister();
            for (const name of await caches.keys()) await caches.delete(name);
         })();",
        json!([]),
    )?;
    Ok(())
}

pub fn the_served_page_stays_when_the_server_is_gone(page: &Page) -> Outcome {
    let server = Server::start()?;
    page.navigate(&server.address)?;
    card::wait_for_title(page, "Model-railway turntable")?;
    wait_for_worker(page)?;
    server.stop();
    page.navigate(&format!("{}#pw1;card.title=Offline", server.address))?;
    page.reload()?;
    card::wait_for_title(page, "Offline")?;
    page.navigate(&format!("{}index.html", server.address))?;
    card::wait_for_title(page, "Model-railway turntable")?;
    leave_nothing(page)
}

pub fn a_version_is_kept_whole_or_not_at_all(page: &Page) -> Outcome {
    let server = Server::start()?;
    page.navigate(&server.address)?;
    wait_for_worker(page)?;
    let versions = || page.execute("return caches.keys()", json!([]));
    let first = versions()?;
    assert_eq!(first.as_array().map(Vec::len), Some(1), "{first}");
    // A new worker arrives before the new page: its version is not taken.
    server.change("worker.js", |worker| {
        worker
            .replacen("pulsewright-", "pulsewright-new-", 1)
            .replacen("\"index.html\":\"", "\"index.html\":\"A", 1)
    })?;
    let outcome = page.execute(
        "return (async () => {
            const one = await navigator.serviceWorker.getRegistration();
            const over = new Promise(done => one.addEventListener('updatefound', () => {
                const next = one.installing;
                next.addEventListener('statechange', () => done(next.state));
            }));
            await one.update();
            return over;
         })();",
        json!([]),
    )?;
    assert_eq!(outcome, "redundant");
    // The browser may keep an empty cache of no version at all, never a part of one.
    assert_eq!(versions()?, first);
    page.reload()?;
    card::wait_for_title(page, "Model-railway turntable")?;
    // The refusal is what was asked for.
    let errors = page.take_errors()?;
    assert!(
        errors.iter().all(|error| error.contains("another version")),
        "{errors:?}"
    );
    leave_nothing(page)
}
