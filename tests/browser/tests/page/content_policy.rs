//! One quiet file: what the page's own policy refuses, and what would be noticed if it did not.

use anyhow::{Context, Result, anyhow};
use browser::{Outcome, Page};
use serde_json::json;
use std::io::{Read, Write};
use std::net::TcpListener;
use std::thread;

pub fn opens_from_a_folder_of_its_own(page: &Page) -> Outcome {
    page.find_by_role("heading", "Model-railway turntable")?;
    assert_eq!(page.requests()?, Vec::<String>::new());
    assert_eq!(page.take_errors()?, Vec::<String>::new());
    Ok(())
}

/// Source: W3C, Content Security Policy Level 3: a script without a listed hash does not run and is reported.
pub fn only_its_own_scripts_run(page: &Page) -> Outcome {
    page.execute(
        "const script = document.createElement('script');
         script.textContent = 'window.intruder = true';
         document.head.append(script);",
        json!([]),
    )?;
    assert_eq!(
        page.execute("return window.intruder === undefined", json!([]))?,
        true
    );
    expect_refusal(page, "script-src")
}

/// Source: W3C, Content Security Policy Level 3: style attributes need 'unsafe-inline', which the page does not give.
pub fn only_its_own_styles_apply(page: &Page) -> Outcome {
    let display = page.execute(
        "const heading = document.querySelector('h1');
         heading.setAttribute('style', 'display: none');
         return getComputedStyle(heading).display;",
        json!([]),
    )?;
    assert_ne!(display, "none");
    expect_refusal(page, "style-src")
}

/// Source: W3C, Content Security Policy Level 3: with default-src 'none' no request leaves the page.
pub fn requests_are_refused(page: &Page) -> Outcome {
    page.execute(
        "fetch('https://example.invalid/').catch(() => {});",
        json!([]),
    )?;
    expect_refusal(page, "connect-src")
}

/// The check after every test would be worth nothing if it could not see a request.
pub fn requests_would_be_noticed(page: &Page) -> Outcome {
    let listener = TcpListener::bind(("127.0.0.1", 0))?;
    let address = format!("http://{}/beside.css", listener.local_addr()?);
    let server = thread::spawn(move || -> std::io::Result<()> {
        let (mut stream, _) = listener.accept()?;
        let mut request = [0; 2048];
        let _ = stream.read(&mut request)?;
        stream.write_all(
            b"HTTP/1.1 200 OK\r\nContent-Type: text/css\r\nContent-Length: 0\r\nConnection: close\r\n\r\n",
        )
    });
    let link = format!("<link rel=\"stylesheet\" href=\"{address}\">");
    page.open_changed(|html| Ok(html.replace(policy(html)?, &link)))?;
    page.wait_until("the request is noticed", || {
        Ok(page.requests()?.contains(&address))
    })?;
    server.join().map_err(|_| anyhow!("the server stopped"))??;
    page.open()
}

/// The same file with a first script that takes the means away, and without the policy that would stop that script.
pub fn an_old_browser_is_told_what_it_lacks(page: &Page) -> Outcome {
    page.open_changed(|html| {
        let script = "<script>delete window.DecompressionStream;</script>";
        Ok(html.replace(policy(html)?, script))
    })?;
    let notice = page.find("[role=alert]")?.text()?;
    assert!(notice.contains("lacks DecompressionStream"), "{notice}");
    assert_eq!(
        page.take_errors()?,
        ["this browser lacks DecompressionStream"]
    );
    Ok(())
}

/// The element that holds the page's policy.
fn policy(html: &str) -> Result<&str> {
    let start = html
        .find("<meta http-equiv=\"Content-Security-Policy\"")
        .context("the page has no policy")?;
    let end = html[start..].find('>').context("the policy has no end")?;
    Ok(&html[start..=start + end])
}

fn expect_refusal(page: &Page, directive: &str) -> Outcome {
    let mut errors = Vec::new();
    page.wait_until(&format!("the page's policy refuses by {directive}"), || {
        errors.extend(page.take_errors()?);
        Ok(errors
            .iter()
            .any(|error| error.contains("own policy") && error.contains(directive)))
    })
}
