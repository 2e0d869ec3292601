//! A house of several coaches: a preset that one machine saves and another opens gives the same numbers and the same code of the
//! settings there, and natively.

use super::desk::{Hand, checked, fill, open, path, press, unfold};
use super::exports::CATCH;
use super::scene::{LIMIT, drop_files, idle};
use crate::browsers::Browser;
use crate::inspect;
use crate::serve::Server;
use anyhow::{Context, Result, anyhow, ensure};
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use handpath::formats::write::{TextOptions, text, trc};
use handpath::model::{ModelParams, Motion, SampleOptions, reference, sample, student};
use serde_json::{Value, json};
use std::path::Path;

const CAPTURE: &str = "capture.csv";
const REFERENCE: &str = "house reference.trc";
const PRESET: &str = "preset.json";

/// A threshold of the house: far from the rule table's, so that it is seen in a verdict's evidence.
const THRESHOLD: (&str, f64) = ("taken-back", 0.07);

/// Relative; sines and exponentials of the two worlds differ in the last digit.
const NEAR: f64 = 1e-9;

/// What a coach reads off a machine: the measures and findings of the swing shown, and the code of the settings.
type Read = (Value, String);

fn exports() -> Result<[Vec<u8>; 2]> {
    let made = |params: &ModelParams| {
        let found = sample(&Motion::new(params), params, &SampleOptions::default());
        found.map_err(|_| anyhow!("the model's arms do not reach"))
    };
    let (capture, house) = (made(&student(1, 4))?, made(&reference('C'))?);
    Ok([text(&capture, &TextOptions::default()), trc(&house, REFERENCE, 5)])
}

pub(super) async fn one_house(browser: &Browser, server: &Server) -> Result<()> {
    let [capture, reference] = exports()?;
    let (first, preset) = saved(browser, server, &capture, &reference).await.context("the first machine")?;
    // A session of its own has a storage of its own: another machine.
    let other = Browser::start(browser.engine()).await?;
    let second = opened(&other, server, &capture, &reference, &preset).await;
    other.close().await?;
    let second = second.context("the second machine")?;
    ensure!(first.1 == second.1, "the first machine has the code {}, the second {}", first.1, second.1);
    ensure!(first.0 == second.0, "other numbers on the second machine");
    natively(&second, &capture, &reference, &preset)
}

/// What the swing shown is told to be.
const TOLD: &str = "const { report } = deep('handpath-compare');
    const { measures, findings } = report.files[report.shown].report;
    return { measures: measures.map(({ name, value, low_90, high_90 }) => [name, value, low_90, high_90]),
        findings: findings.map(({ name, verdict, certainty }) => [name, verdict, certainty]) };";

async fn read(browser: &Browser, code: &str) -> Result<Read> {
    let at = format!("deep({})?.dataset.code", json!(path(".fingerprint")));
    browser.until("the code of the settings", &format!("{at} && {at} !== {}", json!(code)), LIMIT).await?;
    // It is made anew a moment after the last change: what stays is the one.
    let stays = format!(
        "(() => {{ const now = [{at}, performance.now()];
            if (window.code?.[0] !== now[0]) window.code = now;
            return now[1] - window.code[1] > 2500; }})()"
    );
    browser.until("the code to stay", &stays, LIMIT).await?;
    idle(browser).await?;
    let code = browser.run(&format!("return {at};"), vec![]).await?;
    Ok((browser.run(TOLD, vec![]).await?, code.as_str().context("no code")?.to_owned()))
}

/// Hands a field for files what its dialogue would.
async fn choose(browser: &Browser, input: &str, files: &[(&str, &[u8])]) -> Result<()> {
    let script = "const transfer = new DataTransfer();
        for (const [name, base64] of arguments[1]) transfer.items.add(new File([Uint8Array.from(atob(base64), letter => letter.charCodeAt(0))], name));
        const input = deep(arguments[0]);
        input.files = transfer.files;
        input.dispatchEvent(new Event('change'));";
    let files: Vec<(&str, String)> = files.iter().map(|(name, bytes)| (*name, BASE64_STANDARD.encode(bytes))).collect();
    browser.run(script, vec![json!(path(input)), json!(files)]).await?;
    idle(browser).await
}

/// The coach who keeps the house: a line from the set-up check, a reference, a threshold; saved and signed.
async fn saved(browser: &Browser, server: &Server, capture: &[u8], reference: &[u8]) -> Result<(Read, Vec<u8>)> {
    let hand = Hand::Pointer;
    open(browser, server, hand).await?;
    unfold(browser, hand, "before").await?;
    checked(browser, hand).await?;
    press(browser, hand, ".state-setup").await?;
    // It is stated for the session: the capture comes later, and has the line all the same.
    drop_files(browser, "student", &[(CAPTURE, capture)]).await?;
    drop_files(browser, "reference", &[(REFERENCE, reference)]).await?;
    let set = "deep('handpath-compare').look = { thresholds: { [arguments[0]]: arguments[1] } };";
    browser.run(set, vec![json!(THRESHOLD.0), json!(THRESHOLD.1)]).await?;
    idle(browser).await?;
    unfold(browser, hand, "house").await?;
    press(browser, hand, ".save-preset").await?;
    let told = browser.text(&path("[data-card=house] .said")).await?;
    ensure!(told.contains("code of the coach"), "unsigned it says {told:?}");
    for (field, value) in [("coach", "coach 1"), ("preset-name", "house"), ("preset-setup", "bay 1")] {
        fill(browser, hand, &format!("[data-card=house] [data-field={field}]"), value).await?;
    }
    browser.run(CATCH, vec![]).await?;
    press(browser, hand, ".save-preset").await?;
    browser.until("the preset", "window.saved", LIMIT).await?;
    let url = browser.run("return window.saved;", vec![]).await?;
    let (_, base64) = url.as_str().and_then(|url| url.split_once(";base64,")).context("no file was saved")?;
    let preset = BASE64_STANDARD.decode(base64)?;
    let found: Value = serde_json::from_slice(&preset)?;
    let line = &found["setups"][0]["corrections"]["target"]["direction"];
    ensure!(line[1].as_f64().is_some_and(|y| (y - 1.0).abs() < 1e-9), "the line of the session is not in {found}");
    ensure!(found["edition"] == 1 && found["references"][0]["file"] == REFERENCE, "{found}");
    ensure!(found["changes"][0]["coach"] == "coach 1" && found["thresholds"][THRESHOLD.0] == THRESHOLD.1, "{found}");
    Ok((read(browser, "").await?, preset))
}

/// Another coach: the same capture, the preset and its references; a file that is none of them is refused.
async fn opened(browser: &Browser, server: &Server, capture: &[u8], reference: &[u8], preset: &[u8]) -> Result<Read> {
    let hand = Hand::Pointer;
    open(browser, server, hand).await?;
    drop_files(browser, "student", &[(CAPTURE, capture)]).await?;
    unfold(browser, hand, "house").await?;
    choose(browser, "input.preset", &[(PRESET, preset)]).await?;
    let there = format!("deep({})", json!(path(".apply-preset")));
    browser.until("the preset", &there, LIMIT).await?;
    press(browser, hand, ".apply-preset").await?;
    let told = browser.text(&path("[data-card=house] .said")).await?;
    ensure!(told.contains("not here yet: 1"), "it does not say that a reference is missing: {told:?}");
    let before = browser.text(&path(".fingerprint")).await?;
    choose(browser, "input.house-reference", &[("other.csv", capture), ("any name.trc", reference)]).await?;
    let there = format!("deep({})", json!(path(".house-references [data-here=true]")));
    browser.until("the reference of the house", &there, LIMIT).await?;
    idle(browser).await?;
    let told = browser.text(&path("[data-card=house] .said")).await?;
    ensure!(told.contains("other.csv is none of the references"), "{told:?}");
    let here = "return [...deep(arguments[0]).children].map(line => line.dataset.here).join();";
    let here = browser.run(here, vec![json!(path(".house-references"))]).await?;
    ensure!(here == "true", "references are here: {here}");
    read(browser, before.rsplit(' ').next().unwrap_or_default()).await
}

/// The command, with the same files in a folder.
fn natively(page: &Read, capture: &[u8], reference: &[u8], preset: &[u8]) -> Result<()> {
    let folder = tempfile::tempdir()?;
    let write = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes);
    write(CAPTURE, capture)?;
    write(REFERENCE, reference)?;
    write(PRESET, preset)?;
    let (code, measures, findings) = inspected(folder.path())?;
    ensure!(code == page.1, "natively the code is {code}, in the page {}", page.1);
    let list = |name: &str| page.0[name].as_array().cloned().unwrap_or_default();
    ensure!(list("measures").len() > 20 && list("measures").len() == measures.len(), "other measures");
    for (ours, theirs) in list("measures").iter().zip(&measures) {
        let same = |at: usize| match (ours[at].as_f64(), theirs[at].as_f64()) {
            (Some(a), Some(b)) => (a - b).abs() <= NEAR * a.abs().max(1.0),
            (a, b) => a == b,
        };
        ensure!(ours[0] == theirs[0] && (1..=3).all(same), "the page tells {ours}, natively {theirs}");
    }
    let verdicts = |all: &[Value]| all.iter().map(|found| json!([found[0], found[1]])).collect::<Vec<_>>();
    ensure!(verdicts(&list("findings")) == verdicts(&findings), "other findings");
    Ok(())
}

fn inspected(folder: &Path) -> Result<(String, Vec<Value>, Vec<Value>)> {
    let words = [folder.join(CAPTURE).into(), "--preset".into(), folder.join(PRESET).into(), "--json".into()];
    let request = inspect::parse(words)?.context("no request")?;
    let mut out = vec![];
    inspect::run(&request, &mut out)?;
    let document: Value = serde_json::from_slice(&out)?;
    let rows = |name: &str, fields: &[&str]| {
        let row = |item: &Value| json!(fields.iter().map(|field| item[*field].clone()).collect::<Vec<_>>());
        document[name].as_array().map(|items| items.iter().map(row).collect::<Vec<_>>()).unwrap_or_default()
    };
    let code = document["fingerprint"]["code"].as_str().context("no code")?.to_owned();
    let measures = rows("measures", &["name", "value", "low_90", "high_90"]);
    Ok((code, measures, rows("findings", &["name", "verdict"])))
}
