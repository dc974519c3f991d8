//! Numbers and cards in somebody else's page.

use crate::card;
use anyhow::{Context, Result};
use browser::{Outcome, Page};
use pulsewright_sheet::evaluation::Eval;
use pulsewright_sheet::guide::examples::EXAMPLES;
use pulsewright_sheet::output::quoted::{Quotation, text};
use serde_json::{Value, json};

/// A page around `body`, in English where nothing else is said; its own mistakes are kept as the card's are.
fn host(page: &Page, lang: &str, head: &str, body: &str) -> Outcome {
    let html = format!(
        "<!doctype html><html lang=\"{lang}\"><head><meta charset=\"utf-8\"><title>Host</title>
         <script>window.pulsewright_errors = [];
         addEventListener('error', event => pulsewright_errors.push(String(event.message)));
         addEventListener('unhandledrejection', event => pulsewright_errors.push(String(event.reason)));
         window.ready = [];
         addEventListener('pulse-wright-ready', event => {{
             try {{ ready.push(event.detail); }} catch (error) {{ pulsewright_errors.push(error + ' ' + error.stack); }}
         }});</script>
         {head}<script src=\"pulsewright-embed.js\"></script></head><body>{body}</body></html>"
    );
    page.open_host("host.html", &html, &["pulsewright-embed.js"])?;
    page.wait_until("every element is through", || {
        Ok(page.execute(
            "return document.querySelectorAll('pulse-wright:not([state]), pulse-wright[state=waiting]').length",
            json!([]),
        )? == 0)
    })
}

/// What an element shows to whoever looks at it, state and text.
fn shown(page: &Page, selector: &str) -> Result<(String, String)> {
    let script = "const element = document.querySelector(arguments[0]);
        const face = element.shadowRoot.lastChild;
        return [element.getAttribute('state'), face.localName === 'slot' ? element.textContent : face.textContent];";
    let found = page.execute(script, json!([selector]))?;
    let part = |at: usize| found[at].as_str().map(str::to_owned).context("a text");
    Ok((part(0)?, part(1)?))
}

/// What the sheet itself, outside any browser, says of the turntable.
fn computed(of: &str, unit: &str, digits: i32) -> Result<String> {
    let design = pulsewright_sheet::design::link::read(EXAMPLES[0].link)
        .ok()
        .context("a link")?
        .design;
    text(&Eval::new(&design), &Quotation { of, unit, digits }).map_err(anyhow::Error::msg)
}

fn ready(text: &str) -> (String, String) {
    ("ready".into(), text.into())
}

pub fn numbers_in_a_text_are_the_computed_ones(page: &Page) -> Outcome {
    let link = EXAMPLES[0].link.trim().replace('&', "&amp;");
    let body = format!(
        "<p>It makes <pulse-wright id=\"first\" design=\"{link}\" show=\"value\" of=\"gears.exact_ratio\">1490.8</pulse-wright> turns,
         <pulse-wright id=\"wrong\" design=\"#first\" show=\"value\" of=\"gears.exact_ratio\">1500</pulse-wright> not.
         It draws <pulse-wright id=\"unit\" design=\"#block\" show=\"value\" of=\"loop.sample_time\" unit=\"us\" digits=\"2\"></pulse-wright>.
         <script type=\"application/json\" id=\"block\">{{\"route_card\": 1, \"inputs\": {{\"loop.sample_time\": \"2 ms\"}}}}</script></p>"
    );
    host(page, "en", "", &body)?;
    // What agrees stands as it was written; what does not is the computed one.
    assert_eq!(shown(page, "#first")?, ready("1490.8"));
    let exact = computed("gears.exact_ratio", "", 0)?;
    assert_eq!(shown(page, "#wrong")?, ready(&exact));
    assert_eq!(shown(page, "#unit")?, ready("2000 µs"));
    let title = page.find("#wrong")?.attribute("title")?.unwrap_or_default();
    assert_eq!(title, format!("1500 → {exact}"));
    // Teeth are counted: nothing is assumed behind a ratio.
    assert_eq!(
        page.find("#first")?.attribute("assumed")?.as_deref(),
        Some("")
    );
    // Changed by a script of the page, it follows.
    page.execute(
        "document.querySelector('#wrong').setAttribute('of', 'supply.voltage_at_worst')",
        json!([]),
    )?;
    let sagged = computed("supply.voltage_at_worst", "", 0)?;
    page.wait_until("the number follows", || {
        Ok(shown(page, "#wrong")? == ready(&sagged))
    })?;
    let assumed = page
        .find("#wrong")?
        .attribute("assumed")?
        .unwrap_or_default();
    assert!(assumed.contains("wiring.gauge"), "{assumed}");
    Ok(())
}

pub fn what_cannot_be_computed_leaves_the_text(page: &Page) -> Outcome {
    let element = |id: &str, attributes: &str| {
        format!("<pulse-wright id=\"{id}\" {attributes}>as written</pulse-wright> ")
    };
    let cases = [
        ("a1", "refused", "show=value of=gears.exact_ratio"),
        (
            "a2",
            "refused",
            "design=\"#nobody\" show=value of=gears.exact_ratio",
        ),
        (
            "a3",
            "refused",
            "design=\"#a3\" show=value of=gears.exact_ratio",
        ),
        (
            "a4",
            "refused",
            "design=\"my.card.json\" show=value of=gears.exact_ratio",
        ),
        (
            "a5",
            "refused",
            "design=\"#pw2;a.b=1\" show=value of=gears.exact_ratio",
        ),
        (
            "a6",
            "refused",
            "design=\"#pw1;gears.ratio=fast\" show=value of=gears.exact_ratio",
        ),
        (
            "a7",
            "refused",
            "design=\"#pw1\" show=value of=gears.colour",
        ),
        (
            "a8",
            "refused",
            "design=\"#pw1\" show=value of=loop.sample_time unit=V",
        ),
        ("a9", "refused", "design=\"#pw1\" show=everything"),
        ("b1", "refused", "design=\"#pw1\" show=station of=garden"),
        (
            "b2",
            "absent",
            "design=\"#pw1;loop.integral_time=none\" show=value of=loop.integral_steps",
        ),
        (
            "b3",
            "refused",
            "design=\"#pw1;__proto__=1;constructor=2\" show=value of=gears.exact_ratio",
        ),
        ("b4", "refused", "design=\"#pw1\" show=value of=__proto__"),
    ];
    let body: String = cases
        .iter()
        .map(|(id, _, attributes)| element(id, attributes))
        .collect();
    host(page, "en", "", &body)?;
    for (id, state, attributes) in cases {
        let selector = format!("#{id}");
        assert_eq!(
            shown(page, &selector)?,
            (state.to_owned(), "as written".to_owned()),
            "{attributes}"
        );
        let title = page
            .find(&selector)?
            .attribute("title")?
            .unwrap_or_default();
        assert!(!title.is_empty(), "{attributes}: no reason");
    }
    Ok(())
}

pub fn a_card_and_a_station_stand_in_a_page(page: &Page) -> Outcome {
    // The first entry of an id counts.
    let design = EXAMPLES[0].link.trim().replacen(
        "#pw1",
        "#pw1;card.title=%3Cimg%20src%3Dx%20onerror%3Dalert(1)%3E",
        1,
    );
    let body = "<style>h3, td, section { color: rgb(255, 0, 0) !important; font-size: 99px !important; }</style>
        <h3>A heading of the page</h3>
        <pulse-wright id=\"card\" design=\"THEIRS\"><a href=\"host.html\">The card</a></pulse-wright>
        <pulse-wright id=\"station\" design=\"#card\" show=\"station\" of=\"Hold and heat\"></pulse-wright>";
    host(page, "en", "", &body.replace("THEIRS", &design))?;
    let (state, words) = shown(page, "#card")?;
    assert_eq!(state, "ready");
    assert!(
        words.starts_with("<img src=x onerror=alert(1)>under"),
        "{words}"
    );
    assert!(words.contains("A calculation, not an approval."), "{words}");
    let (_, words) = shown(page, "#station")?;
    assert!(
        words.starts_with("Hold and heat") && words.contains("Current it can hold for ever")
            || words.contains("Continuous"),
        "{words}"
    );
    // Neither style reaches the other's side, and nothing of a design became markup.
    let inside = page.execute(
        "const card = document.querySelector('#card').shadowRoot.querySelector('section');
         const inner = getComputedStyle(card.querySelector('h3')), outer = getComputedStyle(document.body);
         return [inner.color === outer.color, inner.fontSize === outer.fontSize, card.querySelector('img') === null,
             document.querySelector('h3').scrollHeight > 0];",
        json!([]),
    )?;
    assert_eq!(inside, json!([true, true, true, true]));
    Ok(())
}

/// The host's language decides the decimal mark (CLDR, from memory: German has a comma), its style size and colour.
pub fn the_page_around_sets_mark_and_type(page: &Page) -> Outcome {
    let body = "<p style=\"font-size: 31px; color: rgb(1, 2, 3)\"><pulse-wright id=\"de\" design=\"#pw1;gears.stages=35:12\" show=\"value\" of=\"gears.exact_ratio\" digits=\"3\">4</pulse-wright></p>
        <p lang=\"en\"><pulse-wright id=\"en\" design=\"#de\" show=\"value\" of=\"gears.exact_ratio\">4</pulse-wright></p>
        <p><pulse-wright id=\"same\" design=\"#de\" show=\"value\" of=\"gears.exact_ratio\">2,92</pulse-wright></p>";
    host(page, "de", "", body)?;
    assert_eq!(shown(page, "#de")?, ready("2,916667"));
    assert_eq!(shown(page, "#en")?, ready("2.916667"));
    assert_eq!(shown(page, "#same")?, ready("2,92"));
    let style = page.execute(
        "const style = getComputedStyle(document.querySelector('#de').shadowRoot.lastChild);
         return [style.fontSize, style.color];",
        json!([]),
    )?;
    assert_eq!(style, json!(["31px", "rgb(1, 2, 3)"]));
    Ok(())
}

pub fn scripts_of_the_page_get_the_report(page: &Page) -> Outcome {
    let body = "<pulse-wright design=\"#pw1;gears.ratio=380\" show=\"value\" of=\"gears.exact_ratio\"></pulse-wright>
        <pulse-wright design=\"#pw1;gears.ratio=50\" show=\"value\" of=\"gears.exact_ratio\"></pulse-wright>
        <script>window.loaded = 0;
        for (const way of ['instantiate', 'instantiateStreaming']) {
            const make = WebAssembly[way];
            WebAssembly[way] = function () { loaded += 1; return make.apply(WebAssembly, arguments); };
        }</script>
        <script src=\"pulsewright-embed.js\"></script>
        <script>pulsewright.evaluate('#pw1;gears.ratio=298').then(report => window.report = report);
        pulsewright.evaluate('nothing').catch(error => window.refusal = error.message);</script>";
    host(page, "en", "", body)?;
    let mut found = Value::Null;
    let there = page.wait_until("the report is there", || {
        found = page.execute(
            "return [window.report, window.refusal, ready, loaded]",
            json!([]),
        )?;
        Ok(!found[0].is_null()
            && !found[1].is_null()
            && found[2].as_array().is_some_and(|r| r.len() == 2))
    });
    there.with_context(|| format!("{found}, {:?}", page.take_errors()))?;
    assert_eq!(found[0]["quantities"]["gears.exact_ratio"]["value"], 298.0);
    assert!(
        found[1]
            .as_str()
            .is_some_and(|words| words.contains("#pw1")),
        "{}",
        found[1]
    );
    assert_eq!(found[2][0]["route_card"], 1);
    assert_eq!(found[3], 1, "the program is loaded once");
    Ok(())
}

pub fn a_card_in_a_frame_says_how_tall_it_is(page: &Page) -> Outcome {
    let body = "<iframe sandbox=\"allow-scripts\" width=\"700\" height=\"100\" src=\"pulsewright.html#pw1;card.title=Framed\"></iframe>
        <iframe id=\"other\" width=\"700\" height=\"100\" srcdoc=\"<script>parent.postMessage({'pulse-wright-height': 5000}, '*')</script>\"></iframe>";
    host(page, "en", "", body)?;
    let height = |selector: &str| {
        let script = "return document.querySelector(arguments[0]).getBoundingClientRect().height";
        Ok::<f64, anyhow::Error>(
            page.execute(script, json!([selector]))?
                .as_f64()
                .unwrap_or(0.0),
        )
    };
    page.wait_until("the frame is as tall as its card", || {
        Ok(height("iframe")? > 1000.0)
    })?;
    // What is no frame of ours, and what is no height, changes nothing.
    let mut before = 0.0;
    page.wait_until("the card has found its height", || {
        let last = std::mem::replace(&mut before, height("iframe")?);
        std::thread::sleep(page.moment());
        Ok(last == before)
    })?;
    page.execute(
        "for (const data of [null, 'x', { 'pulse-wright-height': '9' }, { 'pulse-wright-height': -5 }, { 'pulse-wright-height': 1e9 }, { 'pulse-wright-height': 50 }]) postMessage(data, '*');
         return new Promise(done => setTimeout(done, arguments[0]));",
        json!([page.moment_ms()]),
    )?;
    assert_eq!(height("iframe")?, before);
    assert!(height("#other")? < 200.0);
    Ok(())
}

pub fn a_frame_keeps_nothing_and_leads_nowhere(page: &Page) -> Outcome {
    host(
        page,
        "en",
        "",
        "<iframe width=\"900\" height=\"700\" src=\"pulsewright.html#pw1;card.title=Framed\"></iframe>",
    )?;
    page.execute("localStorage.clear(); sessionStorage.clear();", json!([]))?;
    page.enter_frame(Some("iframe"))?;
    card::wait_for_title(page, "Framed")?;
    // WebKit's driver neither presses nor types in a frame that does not begin at the corner.
    page.execute(
        "const field = document.getElementById('s-axis-load_mass');
         field.focus();
         field.value = '298 g';
         field.dispatchEvent(new Event('input', { bubbles: true }));
         field.blur();",
        json!([]),
    )?;
    card::wait_for_entry(page, "axis.load_mass=298g")?;
    page.enter_frame(None)?;
    let kept = page.execute(
        "return [localStorage.length, sessionStorage.length, location.href.endsWith('host.html')]",
        json!([]),
    )?;
    assert_eq!(kept, json!([0, 0, true]));
    Ok(())
}

/// Every block of HTML in the guide, in one page.
pub fn the_guide_works_as_it_is_written(page: &Page) -> Outcome {
    let guide = std::fs::read_to_string(browser::root().join("site/embedding.md"))?;
    let blocks: String = guide
        .split("```html\n")
        .skip(1)
        .filter_map(|block| block.split("```").next())
        .collect();
    assert!(blocks.matches("<pulse-wright ").count() >= 3, "{blocks}");
    host(page, "en", "", &blocks)?;
    // What the guide writes is true of what it writes about.
    assert_eq!(shown(page, "[show=value]")?, ready("26.29"));
    let mut states = json!([]);
    let all_ready = page.wait_until("every element is ready", || {
        states = page.execute(
            "return [...document.querySelectorAll('pulse-wright')].map(element => element.getAttribute('state') + ' ' + element.title)",
            json!([]),
        )?;
        let ready = |state: &Value| state.as_str().is_some_and(|s| s.starts_with("ready"));
        Ok(states.as_array().is_some_and(|all| all.iter().all(ready)))
    });
    all_ready.with_context(|| states.to_string())?;
    Ok(())
}
