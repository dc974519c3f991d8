//! Light and dark, and the rules of accessibility that a program can check (axe-core, which `cargo verify` fetches).

use crate::{accessibility, card};
use anyhow::Context;
use browser::{Outcome, Page, Scheme, root};
use serde_json::json;

pub fn text_stands_out_on_dark_paper_too(page: &Page) -> Outcome {
    page.prefer(Scheme::Dark)?;
    let dark = page.execute(
        "return getComputedStyle(document.querySelector('.sheet')).backgroundColor",
        json!([]),
    )?;
    let outcome = accessibility::expect_contrast(page);
    page.prefer(Scheme::Light)?;
    outcome?;
    let light = page.execute(
        "return getComputedStyle(document.querySelector('.sheet')).backgroundColor",
        json!([]),
    )?;
    assert_ne!(light, dark);
    Ok(())
}

pub fn no_rule_of_accessibility_is_broken(page: &Page) -> Outcome {
    expect_no_violation(page)
}

pub fn no_rule_of_accessibility_is_broken_in_the_dark(page: &Page) -> Outcome {
    page.prefer(Scheme::Dark)?;
    let outcome = expect_no_violation(page);
    page.prefer(Scheme::Light)?;
    outcome
}

pub fn no_rule_of_accessibility_is_broken_on_a_phone(page: &Page) -> Outcome {
    for width in [360, 320] {
        page.set_width(Some(width))?;
        let outcome = page.open().and_then(|()| expect_no_violation(page));
        page.set_width(None)?;
        outcome.map_err(|error| error.context(format!("{width} px")))?;
    }
    Ok(())
}

pub fn no_rule_of_accessibility_is_broken_in_forced_colours(page: &Page) -> Outcome {
    page.prefer(Scheme::Forced)?;
    let outcome = expect_no_violation(page);
    let forced = page.execute(
        "return matchMedia('(forced-colors: active)').matches",
        json!([]),
    );
    page.prefer(Scheme::Light)?;
    assert_eq!(forced?, true);
    outcome
}

/// With a refused field, an example, everything open.
fn expect_no_violation(page: &Page) -> Outcome {
    card::open_everything(page, true)?;
    card::press(page, "Title, note, revision")?;
    page.field("Backlash at the output")?.enter("5 V")?;
    let file = root().join("target/tools/node_modules/axe-core/axe.min.js");
    let rules = std::fs::read_to_string(&file)
        .with_context(|| format!("no {}; `cargo verify` fetches it", file.display()))?;
    let script = format!(
        "{rules};
         return axe.run(document, {{ resultTypes: ['violations'] }}).then(result => [
             result.passes.length,
             result.violations.map(rule => rule.id + ': ' + rule.help + ' ' +
                 rule.nodes.slice(0, 3).map(node => node.html.slice(0, 160) + ' ' + node.any.map(check => check.message).join(' ')).join(' | '))]);"
    );
    let found = page.execute(&script, json!([]))?;
    assert!(
        found[0].as_u64() > Some(20),
        "too few rules were looked at: {}",
        found[0]
    );
    assert_eq!(found[1], json!([]));
    Ok(())
}
