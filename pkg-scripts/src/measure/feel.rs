//! What a user feels of the page itself, beside no other library: frames, the first painted comparison, a file that is
//! dropped, memory.

use super::rows::median;
use super::visit::Seen;
use crate::browsers::{Browser, Engine};
use crate::pack;
use crate::project::{root, run_async, say};
use crate::serve::Server;
use anyhow::{Context, Result, anyhow};
use handpath::formats::LengthUnit;
use handpath::formats::Track;
use handpath::formats::write::{C3dOptions, c3d};
use handpath::model::{Motion, SampleOptions, sample, student};
use serde_json::{Value, json};
use std::path::Path;
use std::time::Duration;

/// How often what happens once is done, each with a browser that has seen nothing yet.
const TIMES: usize = 5;

/// Frames that are played.
const FRAMES: usize = 10_000;

const LIMIT: Duration = Duration::from_secs(300);

/// Frames and markers of the file that is dropped.
const DROPPED: (usize, usize) = (600, 50);

/// Packs the page and measures it in Chromium.
///
/// # Errors
/// The page could not be packed, or a browser does not answer.
pub fn feel() -> Result<Vec<Seen>> {
    let packed = pack::folder()?;
    let site = tempfile::tempdir()?;
    pack::copy(&packed, &site.path().join("handpath"))?;
    pack::copy(&root().join("pkg-scripts/measure/feel"), site.path())?;
    run_async(all(site.path()))
}

async fn all(site: &Path) -> Result<Vec<Seen>> {
    let server = Server::plain(site).await?;
    let file = dropped_file()?;
    let (mut cold, mut ends, mut mains) = (vec![], vec![], vec![]);
    for number in 1..=TIMES {
        say(&format!("Opening {number} of {TIMES} ..."));
        cold.push(opened(&server.url).await?);
        let (end, main) = dropped(&server.url, &file).await?;
        ends.push(end);
        mains.push(main);
    }
    let mut rows = vec![
        seen("first painted comparison, cold, ms", &cold, 250.0),
        seen("drop to compared picture, 600 frames x 50 markers, ms", &ends, 150.0),
        seen("the same, work of the main thread, ms", &mains, 50.0),
    ];
    rows.extend(played(&server.url).await?);
    Ok(rows)
}

fn seen(what: &str, found: &[f64], asked: f64) -> Seen {
    let greatest = found.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Seen { what: what.to_owned(), median: median(found.to_vec()), greatest, asked: Some(asked) }
}

/// A swing of 600 frames, with markers beside those of the body.
fn dropped_file() -> Result<Vec<u8>> {
    let params = student(1, 1);
    let motion = Motion::new(&params);
    let (frames, markers) = DROPPED;
    let (start_s, end_s) = (motion.times[0].impact_s - 2.0, motion.times[0].impact_s + 0.9);
    let rate_hz = 240.0;
    let options = SampleOptions { rate_hz, window_s: Some([start_s, end_s]), ..SampleOptions::default() };
    let mut recording = sample(&motion, &params, &options).map_err(|_| anyhow!("the model's arms do not reach"))?;
    recording.clock_s.truncate(frames);
    recording.tracks.iter_mut().for_each(|track| track.points.truncate(frames));
    let first = recording.tracks.first().context("no track")?.clone();
    for number in recording.tracks.len()..markers {
        let points = first.points.iter().map(|point| point.map(|x| x + number as f64 / 100.0)).collect();
        let unit = first.unit.or(Some(LengthUnit::Metre));
        recording.tracks.push(Track { unit, ..Track::marker(format!("EXTRA{number}"), points) });
    }
    anyhow::ensure!(recording.rows() == frames, "{} frames", recording.rows());
    Ok(c3d(&recording, &C3dOptions::default()))
}

async fn opened(url: &str) -> Result<f64> {
    let browser = Browser::start(Engine::Chromium).await?;
    browser.open(url).await?;
    browser.run(include_str!("../../measure/feel/cold.js"), vec![]).await?;
    let ms = number(&browser, "window.cold").await?;
    browser.close().await?;
    Ok(ms)
}

async fn number(browser: &Browser, name: &str) -> Result<f64> {
    browser.until(name, &format!("{name} !== undefined"), LIMIT).await?;
    browser.run(&format!("return {name};"), vec![]).await?.as_f64().with_context(|| format!("{name} is no number"))
}

async fn dropped(url: &str, file: &[u8]) -> Result<(f64, f64)> {
    let browser = Browser::start_traced().await?;
    browser.open(&format!("{url}drop.html")).await?;
    browser
        .until("the reference", "document.querySelector('handpath-compare').dataset.state === 'ready'", LIMIT)
        .await?;
    browser.run("return document.querySelector('handpath-compare').whenIdle();", vec![]).await?;
    browser.run(include_str!("../../measure/feel/dropped.js"), vec![]).await?;
    browser.drop_files("handpath-compare >>> .zone[data-slot=student]", &[("swing.c3d", file)]).await?;
    let ms = number(&browser, "window.dropped").await?;
    let tasks = browser.tasks("the drop").await?;
    browser.close().await?;
    let since = tasks.iter().filter(|task| task.start_ms >= 0.0 && task.start_ms <= ms);
    Ok((ms, since.map(|task| task.thread_ms).sum()))
}

async fn played(url: &str) -> Result<Vec<Seen>> {
    say("Playing frames ...");
    let browser = Browser::start(Engine::Chromium).await?;
    browser.open(&format!("{url}handpath/index.html")).await?;
    browser.until("the demo", "document.querySelector('handpath-compare').dataset.state === 'ready'", LIMIT).await?;
    browser.run(include_str!("../../measure/feel/frames.js"), vec![json!(FRAMES)]).await?;
    browser.until("the frames", "window.frames_ms !== undefined", LIMIT).await?;
    let frames = browser.run("return window.frames_ms;", vec![]).await?;
    browser.close().await?;
    let memory = memory(url).await?;
    let of = |value: &Value, name: &str| value[name].as_f64().with_context(|| format!("no {name} in {value}"));
    let row = |what: &str, value: f64, asked: Option<f64>| Seen {
        what: what.to_owned(),
        median: value,
        greatest: value,
        asked,
    };
    Ok(vec![
        Seen {
            what: "scripting of a frame, 8 references and band at 2x, ms: median, 99th percentile".into(),
            median: of(&frames, "median")?,
            greatest: of(&frames, "p99")?,
            asked: Some(1.0),
        },
        row("the same, mean, ms", of(&frames, "mean")?, None),
        row("the last thousand of 10,000 frames as a multiple of the first", of(&frames, "growth")?, Some(1.1)),
        row("growth of the painter's memory over 10,000 frames, MB", of(&frames, "painter")? / 1e6, Some(0.0)),
        row(
            "WebAssembly memory of the demo, engine and painter, MB",
            (of(&memory, "engine")? + of(&memory, "painter")?) / 1e6,
            Some(24.0),
        ),
    ])
}

async fn memory(url: &str) -> Result<Value> {
    let browser = Browser::start(Engine::Chromium).await?;
    browser.open(&format!("{url}handpath/index.html")).await?;
    browser.until("the demo", "document.querySelector('handpath-compare').dataset.state === 'ready'", LIMIT).await?;
    browser.run(include_str!("../../measure/feel/memory.js"), vec![]).await?;
    browser.until("its memory", "window.memory_bytes !== undefined", LIMIT).await?;
    let memory = browser.run("return window.memory_bytes;", vec![]).await?;
    browser.close().await?;
    Ok(memory)
}
