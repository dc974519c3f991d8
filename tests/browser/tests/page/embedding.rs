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
        (
            "b5",
            "refused",
            "design=\"#pw1\" show=value of=gears.exact_ratio digits=many",
        ),
        (
            "b6",
            "refused",
            "design=\"#pw1\" show=check of=check.garden",
        ),
        ("b7", "refused", "design=\"#pw1\" show=setting of=PW_GARDEN"),
        ("b8", "refused", "design=\"#pw1\" show=plot of=garden"),
        ("b9", "refused", "design=\"#pw1\" show=figures"),
        ("c1", "refused", "design=\"#pw1\" show=toString"),
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
        // A number from a file is the command's business.
        let mark = page.execute(
            "return getComputedStyle(document.querySelector(arguments[0]), '::after').content",
            json!([selector]),
        )?;
        let is_marked = mark.as_str().is_some_and(|mark| mark.contains("[?]"));
        assert_eq!(is_marked, id != "a4", "{attributes}: {mark}");
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
        words.starts_with("<img src=x onerror=alert(1)>fails"),
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
    let body = "<p style=\"font-size: 31px; color: rgb(1, 2, 3)\"><pulse-wright id=\"de\" design=\"#pw1;gears.stages=35:12\" show=\"value\" of=\"gears.exact_ratio\">4</pulse-wright></p>
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
        const make = WebAssembly.instantiate;
        WebAssembly.instantiate = function () { loaded += 1; return make.apply(WebAssembly, arguments); };
        // Firefox keeps whoever compiles from a stream waiting, for seconds now and then.
        WebAssembly.instantiateStreaming = () => new Promise(() => {});</script>
        <script src=\"pulsewright-embed.js\"></script>
        <script>pulsewright.evaluate('#pw1;gears.ratio=298').then(report => window.report = report);
        pulsewright.evaluate('nothing').catch(error => window.refusal = error.message);
        window.wrong = [];
        for (const design of ['#pw1;gears.rattio=380', '#pw1;gears.ratio=fast']) {
            pulsewright.evaluate(design).then(() => wrong.push('resolved'), error => wrong.push(error.message));
        }</script>";
    host(page, "en", "", body)?;
    let mut found = Value::Null;
    let there = page.wait_until("the report is there", || {
        found = page.execute(
            "return [window.report, window.refusal, ready, loaded, wrong]",
            json!([]),
        )?;
        Ok(!found[0].is_null()
            && !found[1].is_null()
            && found[4].as_array().is_some_and(|w| w.len() == 2)
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
    for (at, id) in ["gears.rattio: ", "gears.ratio: "].iter().enumerate() {
        let told = found[4][at].as_str().unwrap_or_default();
        assert!(told.starts_with(id), "{told}");
    }
    Ok(())
}

/// A site joined into one page: an id twice, numbered by a generator, taken by a heading; 380, 50 and 60 are what the
/// blocks say.
pub fn an_id_means_the_block_above(page: &Page) -> Outcome {
    let block = |id: &str, ratio: i32| {
        format!(
            "<script type=\"application/json\" id=\"{id}\">{{\"route_card\": 1, \"inputs\": {{\"gears.ratio\": {ratio}}}}}</script>"
        )
    };
    let number = |id: &str, design: &str| {
        format!(
            "<p><pulse-wright id=\"{id}\" design=\"{design}\" show=\"value\" of=\"gears.exact_ratio\">1</pulse-wright></p>"
        )
    };
    let body = [
        "<h2 id=\"axis\">Axis</h2>".into(),
        number("early", "#axis"),
        block("axis", 380),
        number("first", "#axis"),
        "<h2 id=\"axis-1\">Axis</h2>".into(),
        block("axis", 50),
        number("second", "#axis"),
        "<h2 id=\"axis-2\">Axis</h2>".into(),
        block("axis-3", 60),
        number("third", "#axis"),
        block("axis-4", 70),
        number("by_its_own_id", "#axis-4"),
        number("past_it", "#axis"),
        number("by_element", "#second"),
    ]
    .concat();
    host(page, "en", "", &body)?;
    for (id, expected) in [
        ("#early", "380"),
        ("#first", "380"),
        ("#second", "50"),
        ("#third", "60"),
        ("#by_its_own_id", "70"),
        ("#past_it", "60"),
        ("#by_element", "50"),
    ] {
        assert_eq!(shown(page, id)?, ready(expected), "{id}");
    }
    Ok(())
}

/// A theme that moves from page to page without loading puts the new text in whole and makes its scripts anew,
/// without id and type.
pub fn a_page_changed_in_place_keeps_its_design(page: &Page) -> Outcome {
    host(page, "en", "", "<main>Before</main>")?;
    page.execute(
        "const main = document.querySelector('main');
         main.innerHTML = '<p><pulse-wright id=\"moved\" design=\"#axis\" show=\"value\" of=\"gears.exact_ratio\">1</pulse-wright></p>' +
             '<script type=\"application/json\" id=\"axis\">{\"route_card\": 1, \"inputs\": {\"gears.ratio\": 380}}</' + 'script>';
         const made = document.createElement('script');
         made.type = 'text/plain';
         made.textContent = main.querySelector('script').textContent;
         main.querySelector('script').replaceWith(made);",
        json!([]),
    )?;
    page.wait_until("the number is there", || {
        Ok(shown(page, "#moved")? == ready("380"))
    })?;
    // What changes the element later still finds it.
    page.execute(
        "document.querySelector('#moved').setAttribute('of', 'encoder.counts_per_output_turn')",
        json!([]),
    )?;
    page.wait_until("the number follows", || {
        Ok(shown(page, "#moved")? == ready("4560"))
    })
}

pub fn a_changed_block_is_followed(page: &Page) -> Outcome {
    let body = "<script type=\"application/json\" id=\"axis\">{\"route_card\": 1, \"inputs\": {\"gears.ratio\": 380}}</script>
        <pulse-wright id=\"one\" design=\"#axis\" show=\"value\" of=\"gears.exact_ratio\">380</pulse-wright>
        <pulse-wright id=\"other\" design=\"#one\" show=\"value\" of=\"gears.exact_ratio\">380</pulse-wright>
        <pulse-wright id=\"late\" design=\"#later\" show=\"value\" of=\"gears.exact_ratio\">1</pulse-wright>";
    host(page, "en", "", body)?;
    assert_eq!(shown(page, "#other")?, ready("380"));
    assert_eq!(shown(page, "#late")?, ("refused".into(), "1".into()));
    page.execute(
        "const block = document.querySelector('script#axis');
         block.firstChild.data = block.textContent.replace('380', '50');
         const later = document.createElement('script');
         later.type = 'application/json';
         later.id = 'later';
         later.textContent = block.textContent.replace('50', '60');
         document.body.prepend(later);",
        json!([]),
    )?;
    for (id, expected) in [("#one", "50"), ("#other", "50"), ("#late", "60")] {
        page.wait_until("the number follows", || {
            Ok(shown(page, id)? == ready(expected))
        })
        .with_context(|| id.to_owned())?;
    }
    // The page writes another number: it holds or it does not, as any other.
    page.execute(
        "document.querySelector('#one').textContent = '50.0'",
        json!([]),
    )?;
    page.wait_until("the written number stands", || {
        Ok(shown(page, "#one")? == ready("50.0"))
    })
}

pub fn words_settings_figures_and_plots_stand_in_a_page(page: &Page) -> Outcome {
    let design = pulsewright_sheet::design::link::read(EXAMPLES[0].link)
        .ok()
        .context("a link")?
        .design;
    let report = pulsewright_sheet::output::report::json(&design);
    let check = &report["checks"][0];
    let of_check = format!("show=check of={}", check["id"].as_str().context("an id")?);
    let link = EXAMPLES[0].link.trim().replace('&', "&amp;");
    let show = |id: &str, attributes: &str| {
        format!("<pulse-wright id=\"{id}\" design=\"{link}\" {attributes}>perhaps</pulse-wright> ")
    };
    let body = [
        show("verdict", "show=verdict"),
        show("check", &of_check),
        show("setting", "show=setting of=PW_SAMPLE_US"),
        show(
            "figures",
            "show=figures of=\"gears.exact_ratio loop.sample_time\"",
        ),
        "<p style=\"color: rgb(1, 2, 3)\">".into(),
        show("plot", "show=plot of=move"),
        "</p>".into(),
        show("card", "page=\"https://example.org/card.html#top\""),
        show("beside", ""),
        show("nowhere", "page=\"\""),
        show("script", "page=\"javascript:alert(1)\""),
    ]
    .concat();
    host(page, "de", "", &body)?;
    let word = |value: &Value| ready(value.as_str().unwrap_or_default());
    assert_eq!(shown(page, "#verdict")?, word(&report["verdict"]["status"]));
    assert_eq!(shown(page, "#check")?, word(&check["status"]));
    assert_eq!(shown(page, "#setting")?, ready("1000"));
    let (_, figures) = shown(page, "#figures")?;
    let ratio = computed("gears.exact_ratio", "", 0)?.replace('.', ",");
    assert!(figures.contains(&ratio), "{figures}");
    // Our words are English in a German page, numbers are nobody's.
    let found = page.execute(
        "const face = id => document.getElementById(id).shadowRoot.lastChild;
         const lines = face('plot').querySelectorAll('svg path');
         const way = id => (face(id).querySelector('a') || {}).href;
         return [['verdict', 'check', 'setting', 'figures', 'plot', 'card'].map(id => face(id).lang),
             lines.length > 5, getComputedStyle(lines[0]).stroke, getComputedStyle(face('plot').querySelector('text')).fill,
             way('card'), way('beside'), way('nowhere') || way('script') || null,
             face('card').querySelectorAll('details tr').length];",
        json!([]),
    )?;
    assert_eq!(found[0], json!(["en", "en", "", "en", "en", "en"]));
    assert_eq!(found[1], true);
    assert_eq!(
        (&found[2], &found[3]),
        (&json!("rgb(1, 2, 3)"), &json!("rgb(1, 2, 3)"))
    );
    let carried = pulsewright_sheet::design::link::write(&design);
    let leads = |at: usize, begin: &str| -> Outcome {
        let address = found[at].as_str().context("an address")?;
        let fragment = address
            .strip_prefix(begin)
            .with_context(|| address.to_owned())?;
        let again = pulsewright_sheet::design::link::read(fragment)
            .ok()
            .context("a link")?;
        assert_eq!(
            pulsewright_sheet::design::link::write(&again.design),
            carried
        );
        Ok(())
    };
    leads(4, "https://example.org/card.html")?;
    leads(
        5,
        &format!("file://{}/pulsewright.html", page.folder().display()),
    )?;
    assert_eq!(found[6], Value::Null);
    let given = (0..pulsewright_sheet::register::INPUT_COUNT)
        .filter(|&index| design.entry(index).is_some())
        .count();
    assert_eq!(found[7], given);
    Ok(())
}

pub fn a_card_in_a_frame_says_how_tall_it_is(page: &Page) -> Outcome {
    let body = "<iframe sandbox=\"allow-scripts\" width=\"700\" height=\"100\" src=\"pulsewright.html#pw1;card.title=Framed\"></iframe>
        <iframe id=\"kept\" data-height=\"kept\" sandbox=\"allow-scripts\" width=\"700\" height=\"100\" src=\"pulsewright.html#pw1\"></iframe>
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
    page.enter_frame(Some("iframe"))?;
    card::wait_until_worked_out(page)?;
    page.enter_frame(None)?;
    let (mut before, mut same) = (0.0, 0);
    page.wait_until("the card has found its height", || {
        let last = std::mem::replace(&mut before, height("iframe")?);
        same = if last == before { same + 1 } else { 0 };
        // Without a worker the move is simulated once the page has rested, and what follows from it comes after that.
        std::thread::sleep(page.moment() * 5);
        Ok(same > 2)
    })?;
    page.execute(
        "for (const data of [null, 'x', { 'pulse-wright-height': '9' }, { 'pulse-wright-height': -5 }, { 'pulse-wright-height': 1e9 }, { 'pulse-wright-height': 50 }]) postMessage(data, '*');
         return new Promise(done => setTimeout(done, arguments[0]));",
        json!([page.moment_ms()]),
    )?;
    assert_eq!(height("iframe")?, before);
    assert!(height("#other")? < 200.0);
    assert!(height("#kept")? < 200.0);
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
    // What the frame may not do is said, and the link is there as text.
    page.execute(
        "Object.defineProperty(navigator, 'clipboard', { value: undefined });
         const named = name => [...document.querySelectorAll('button')].find(button => button.textContent === name);
         named('Save and export').click();
         named('Copy link').click();",
        json!([]),
    )?;
    page.wait_until("the link is handed on as text", || {
        let found = page.execute(
            "const link = document.getElementById('framed-link');
             return [link ? link.textContent : '', document.body.textContent.includes('This frame may not copy. The link: ')];",
            json!([]),
        )?;
        let link = found[0].as_str().unwrap_or_default();
        Ok(link.contains("axis.load_mass=298g") && found[1] == true)
    })?;
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
