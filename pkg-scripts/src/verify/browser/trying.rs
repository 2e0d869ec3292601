//! A made-up swing to try: moved by keys, measured as the native core measures it, no part of a lesson, and gone without a trace.

use super::lessons::{lesson, text};
use super::native::{Given, Judged, judged};
use super::reading::press_for;
use super::scene::{ELEMENT, LIMIT, SAME_M, idle, painted};
use crate::browsers::Browser;
use crate::project::www;
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, ensure};
use handpath::model::{SLIDERS, recorded, trial};
use handpath::settings::{Club, Corrections};
use serde_json::{Value, json};

const HOME: char = '\u{E011}';
const END: char = '\u{E010}';
const RIGHT: char = '\u{E014}';

pub(super) async fn play(browser: &Browser, server: &Server, tally: &mut Tally) {
    tally.check("a made-up swing is tried by keys, and leaves without a trace", tried(browser, server).await);
    tally.check("without any file the made-up swing stands beside a made-up reference", alone(browser).await);
}

/// The page that the demo opens with, and back to it.
async fn tried(browser: &Browser, server: &Server) -> Result<()> {
    browser.open(&server.url).await?;
    browser.until("the demo", "document.querySelector('handpath-compare').dataset.state === 'ready'", LIMIT).await?;
    idle(browser).await?;
    let before = state(browser).await?;
    browser.run("deep('handpath-compare >>> details.trying').open = true;", vec![]).await?;
    began(browser).await?;
    let mut values = SLIDERS.map(|slider| slider.start);
    measured(browser, &values).await.context("as it begins")?;
    browser.run("deep('handpath-compare >>> [data-trial=carrier]').focus();", vec![]).await?;
    for (key, value, verdict) in [(HOME, SLIDERS[0].low, "arm-driven"), (END, SLIDERS[0].high, "body-carried")] {
        press_for(browser, key, "time").await?;
        values[0] = value;
        let native = measured(browser, &values).await.with_context(|| format!("at {value}"))?;
        let shown = "return deep('handpath-compare >>> [data-finding=carrier]').dataset.verdict;";
        let shown = browser.run(shown, vec![]).await?;
        let found = native.report.findings.iter().find(|finding| finding.name == "carrier").context("no carrier")?;
        ensure!(shown == verdict && found.verdict == verdict, "{shown} is shown, natively {}", found.verdict);
    }
    // Each of the others changes a number by a press.
    for (at, slider) in SLIDERS.iter().enumerate().skip(1) {
        browser
            .run("deep(`handpath-compare >>> [data-trial=${arguments[0]}]`).focus();", vec![json!(slider.name)])
            .await?;
        let spoken = "return deep(`handpath-compare >>> [data-trial=${arguments[0]}]`).getAttribute('aria-valuetext');";
        let said = browser.run(spoken, vec![json!(slider.name)]).await?;
        press_for(browser, RIGHT, "time").await?;
        values[at] += slider.step;
        measured(browser, &values).await.with_context(|| slider.name)?;
        ensure!(
            browser.run(spoken, vec![json!(slider.name)]).await? != said,
            "{}: the spoken value stays",
            slider.name
        );
    }
    painted(browser).await?;
    let saved = lesson(&text(browser).await?)?;
    let labels: Vec<&str> = saved.swings().map(|swing| swing.label).collect();
    ensure!(labels == ["student, lesson 1", "reference A", "reference B", "reference D"], "saved are {labels:?}");
    browser.click("handpath-compare >>> .made-up button").await?;
    idle(browser).await?;
    let after = state(browser).await?;
    ensure!(after == before, "what was there is another: {after} for {before}");
    painted(browser).await
}

/// Whose numbers are shown, and the view.
async fn state(browser: &Browser) -> Result<Value> {
    let script = "const element = deep(arguments[0]);
        return { look: element.look, trying: element.hasAttribute('data-trying'),
            files: Object.values(element.report.files).map(({ id, report }) => [id, report.name, report.measures]) };";
    browser.run(script, vec![json!(ELEMENT)]).await
}

pub(super) async fn began(browser: &Browser) -> Result<()> {
    let ready = "(element => element.hasAttribute('data-trying') && element.dataset.state === 'ready')(deep('handpath-compare'))";
    browser.until("the made-up swing", ready, LIMIT).await?;
    idle(browser).await?;
    let told = browser.run("return deep('handpath-compare >>> .made-up').hidden;", vec![]).await?;
    ensure!(told == false, "nobody says that the swing is made up");
    Ok(())
}

/// The first six numbers of the page are those of the native core.
async fn measured(browser: &Browser, values: &[f64; 5]) -> Result<Judged> {
    idle(browser).await?;
    let corrections = || Corrections { club: Some(Club::Iron), ..Corrections::default() };
    let made_up = Given { bytes: recorded(&trial(values)), corrections: corrections() };
    let reference = std::fs::read(www().join("demo/reference-a.c3d"))?;
    let native = judged(&made_up, &[Given { bytes: reference, corrections: corrections() }], 0.0)?;
    let cells = "return [...deep('handpath-compare').shadowRoot.querySelectorAll('td[data-measure]')].map(cell => [cell.dataset.measure, cell.dataset.value]);";
    let cells: Vec<(String, String)> = serde_json::from_value(browser.run(cells, vec![]).await?)?;
    ensure!(cells.len() > 20, "{} numbers are shown", cells.len());
    for (name, value) in &cells[..6] {
        let shown: f64 = value.parse().with_context(|| format!("{name}: {value:?}"))?;
        let native = native.value(name)?;
        ensure!((shown - native).abs() < SAME_M, "{name}: {shown} is shown, natively {native} with {values:?}");
    }
    Ok(native)
}

/// An element without a file that opens with the swing.
async fn alone(browser: &Browser) -> Result<()> {
    let script = "const element = document.querySelector('handpath-compare');
        element.replaceChildren();
        element.prepared = null;
        element.trial = 'open';
        element.student = '';";
    browser.run(script, vec![]).await?;
    began(browser).await?;
    let names = "return Object.values(deep('handpath-compare').report.files).map(({ report }) => report.name);";
    let names = browser.run(names, vec![]).await?;
    ensure!(names == json!(["made-up swing", "made-up reference"]), "compared are {names}");
    measured(browser, &SLIDERS.map(|slider| slider.start)).await?;
    painted(browser).await
}
