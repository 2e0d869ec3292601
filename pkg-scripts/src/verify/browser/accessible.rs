//! Accessibility by an outside checker, axe-core: no violation of WCAG 2.2 A and AA, nor of its best practices, in any state.

use super::practice;
use super::scene::{ELEMENT, LIMIT, drop_student, idle};
use crate::browsers::{Browser, Engine, Scheme};
use crate::serve::Server;
use crate::shrink::npm;
use crate::verify::Tally;
use anyhow::{Result, ensure};
use serde_json::{Value, json};

/// The checker, to the digit.
const AXE: &str = "4.14.1";

/// What a person does to get to a state, and what it is called.
const STATES: [(&str, &str); 8] = [
    ("as it opens", ""),
    ("a step of the story", "element.look = { step: 2 };"),
    (
        "everything unfolded",
        "element.shadowRoot.querySelectorAll('details:not(.trying)').forEach(details => { details.open = true; });",
    ),
    (
        "from overhead, side by side, in inches",
        "element.look = { view: 'overhead', layout: 'side-by-side', unit: 'in' };",
    ),
    ("turned freely, all shown", "element.look = { view: 'free', arms: true, shaft: true, body: true };"),
    (
        "a made-up swing is tried",
        "element.shadowRoot.querySelector('.trying').open = true; return new Promise(done => setTimeout(done, 200));",
    ),
    ("only to look and play", "element.shadowRoot.querySelector('.trying').open = false; element.controls = 'view';"),
    ("only the picture", "element.controls = 'none';"),
];

pub(super) async fn play(browser: &Browser, server: &Server, tally: &mut Tally) {
    // Widths and colours are set the way that this engine alone has.
    if browser.engine() != Engine::Chromium {
        return;
    }
    let axe =
        npm("axe-core", AXE).and_then(|modules| Ok(std::fs::read_to_string(modules.join("axe-core/axe.min.js"))?));
    let axe = match axe {
        Ok(axe) => axe,
        Err(error) => return tally.check("the accessibility checker is installed", Err(error)),
    };
    for (width, scheme) in [
        (1280, Scheme::Light),
        (1280, Scheme::Dark),
        (1280, Scheme::Forced),
        (390, Scheme::Light),
        (390, Scheme::Dark),
        (390, Scheme::Forced),
    ] {
        let what = format!("no violation of accessibility in any state, {width} px, {}", scheme.name());
        tally.check(&what, at(browser, server, &axe, width, scheme).await);
    }
    tally.check("the window is as it was", browser.look(1280, 900, Scheme::Light).await);
}

async fn at(browser: &Browser, server: &Server, axe: &str, width: u32, scheme: Scheme) -> Result<()> {
    browser.look(width, 900, scheme).await?;
    browser.open(&server.url).await?;
    browser.until("the demo", "document.querySelector('handpath-compare').dataset.state === 'ready'", LIMIT).await?;
    let mut found = Vec::new();
    for (name, act) in STATES {
        browser.run(&format!("const element = deep({});{act}", json!(ELEMENT)), vec![]).await?;
        idle(browser).await?;
        found.extend(violations(browser, axe, name).await?);
    }
    browser.run("deep('handpath-compare').controls = 'all';", vec![]).await?;
    drop_student(browser, "broken.c3d", b"no recording").await?;
    found.extend(violations(browser, axe, "with a broken file").await?);
    browser.open(&format!("{}embed.html", server.url)).await?;
    browser.until("the lines to copy", "document.querySelector('textarea')?.value.includes('<iframe')", LIMIT).await?;
    found.extend(violations(browser, axe, "the page for frames").await?);
    for (name, act) in practice::STATES {
        practice::reach(browser, server, act).await?;
        found.extend(violations(browser, axe, name).await?);
        let wide = "return document.documentElement.scrollWidth > innerWidth;";
        ensure!(browser.run(wide, vec![]).await? == false, "{name}: wider than the window");
    }
    ensure!(found.is_empty(), "{found:?}");
    Ok(())
}

/// What the checker finds, each with its state and first place.
async fn violations(browser: &Browser, axe: &str, state: &str) -> Result<Vec<String>> {
    let script = format!(
        "if (!window.axe) {{ {axe} }}
        return window.axe.run(document).then(({{ violations, passes }}) => ({{ passes: passes.length,
          violations: violations.map(({{ id, help, nodes }}) => `${{id}}: ${{help}}: ${{nodes[0].html.slice(0, 120)}}`) }}));"
    );
    let answer = browser.run(&script, vec![]).await?;
    ensure!(answer["passes"].as_u64() > Some(10), "{state}: the checker saw next to nothing: {answer}");
    let told = answer["violations"].as_array().cloned().unwrap_or_default();
    Ok(told.iter().filter_map(Value::as_str).map(|text| format!("{state}: {text}")).collect())
}
