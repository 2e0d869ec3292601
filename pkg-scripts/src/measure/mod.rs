//! `cargo measure`: what is computed, beside what general-purpose libraries need for the same data, in one run; and what a page
//! that embeds two comparisons asks of its visitor.

mod data;
mod feel;
mod rows;
mod visit;

use crate::browsers::{Browser, Engine};
use crate::project::{root, run, run_async, say};
use crate::serve::Server;
use crate::shrink::npm;
use anyhow::{Context, Result, ensure};
pub use feel::feel;
use rows::Side;
pub use rows::{Measured, table};
use serde::Deserialize;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};
pub use visit::{Seen, table as visits_table, visits};

/// What can be measured alone.
pub const PARTS: [&str; 5] = ["warping", "nearest", "average", "c3d", "csv"];

/// Rounds, each of every side; a row tells the median of them.
const ROUNDS: usize = 3;

/// Packages of npm, to the digit, and the file that a page loads.
const PACKAGES: [(&str, &str, &str); 2] = [
    ("dynamic-time-warping", "1.0.0", "dynamic-time-warping/dist/dynamic-time-warping.min.js"),
    ("papaparse", "5.7.1", "papaparse/papaparse.min.js"),
];

/// How long loading the data may take.
const LOADING: Duration = Duration::from_secs(120);

/// Milliseconds by name, and what was found.
#[derive(Clone, Debug, Default, Deserialize)]
struct Round {
    ms: BTreeMap<String, f64>,
    found: BTreeMap<String, Value>,
}

/// Measures some [`PARTS`].
///
/// # Errors
/// Something could not be built, installed or started; or two sides found different things.
pub fn measure(parts: &[&str]) -> Result<Vec<Measured>> {
    let home = root().join("target").join("measure");
    say("Making data ...");
    data::write(&home.join("page/data"))?;
    page(&home.join("page"))?;
    let python = python(&home)?;
    let rounds = run_async(rounds(&home, &python, parts))?;
    rows::measured(&rounds, parts.len() == PARTS.len())
}

fn page(folder: &Path) -> Result<()> {
    say("Building the module ...");
    crate::build::module("measure", folder)?;
    let source = root().join("pkg-scripts/measure");
    for name in ["page.html", "page.js"] {
        std::fs::copy(source.join(name), folder.join(name))?;
    }
    for (package, version, file) in PACKAGES {
        let file = npm(package, version)?.join(file);
        let name = file.file_name().context("a package's file has a name")?;
        std::fs::copy(&file, folder.join(name)).with_context(|| format!("cannot copy {}", file.display()))?;
    }
    Ok(())
}

/// The interpreter that has the peers.
fn python(home: &Path) -> Result<PathBuf> {
    let venv = home.join("venv");
    let interpreter = venv.join("bin/python");
    if !interpreter.exists() {
        run(Command::new("python3").args(["-m", "venv"]).arg(&venv))?;
    }
    let mut pip = Command::new(&interpreter);
    pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement"]);
    run(pip.arg(root().join("pkg-scripts/measure/requirements.txt")))?;
    Ok(interpreter)
}

async fn rounds(home: &Path, python: &Path, parts: &[&str]) -> Result<Vec<BTreeMap<Side, Round>>> {
    let browser = Browser::start(Engine::Chromium).await?;
    let server = Server::plain(&home.join("page")).await?;
    browser.open(&format!("{}page.html", server.url)).await?;
    browser.until("the page is ready", "window.ready", LOADING).await?;
    let mut rounds = vec![];
    for number in 1..=ROUNDS {
        say(&format!("Round {number} of {ROUNDS} ..."));
        let page = serde_json::from_value(browser.run("return window.round(arguments[0])", vec![parts.into()]).await?)?;
        let native = native(&home.join("page/data"))?;
        rounds.push(BTreeMap::from([
            (Side::Page, page),
            (Side::Python, peers(home, python, parts)?),
            (Side::Native, native),
        ]));
    }
    browser.close().await?;
    Ok(rounds)
}

fn peers(home: &Path, python: &Path, parts: &[&str]) -> Result<Round> {
    let mut command = Command::new(python);
    command.arg(root().join("pkg-scripts/measure/peers.py")).arg(home.join("page/data")).args(parts);
    let output = command.env("OMP_NUM_THREADS", "1").output()?;
    ensure!(output.status.success(), "the peers stopped: {}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout)?;
    let json = text.rfind("\n{").map_or(text.as_str(), |at| &text[at + 1..]);
    serde_json::from_str(json).with_context(|| format!("the peers said {text}"))
}

/// The csv crate and our reader, natively.
fn native(data: &Path) -> Result<Round> {
    let (table, points) = (std::fs::read(data.join("table.csv"))?, std::fs::read(data.join("points.c3d"))?);
    let ours = |bytes: &[u8]| {
        let read = handpath::formats::read(bytes, &handpath::formats::ReadOptions::default());
        read.map_or(0, |found| found.rows() * found.tracks.len())
    };
    let theirs = || {
        let mut reader = csv::Reader::from_reader(&table[..]);
        let rows = reader.byte_records().filter_map(Result::ok);
        let number = |cell: &[u8]| std::str::from_utf8(cell).ok()?.parse::<f64>().ok();
        rows.map(|row| row.iter().filter_map(number).count()).sum::<usize>()
    };
    let ms = [("csv", time(|| ours(&table))), ("c3d", time(|| ours(&points))), ("csv crate", time(theirs))];
    let found = [("csv", ours(&table).into()), ("csv crate", theirs().into())];
    let named = |(name, ms): (&str, f64)| (name.to_owned(), ms);
    Ok(Round {
        ms: ms.into_iter().map(named).collect(),
        found: found.into_iter().map(|(name, found): (&str, Value)| (name.to_owned(), found)).collect(),
    })
}

/// Milliseconds of one call: the median of several.
fn time<T>(mut work: impl FnMut() -> T) -> f64 {
    let mut once = || {
        let start = Instant::now();
        std::hint::black_box(work());
        1e3 * start.elapsed().as_secs_f64()
    };
    once();
    let mut found: Vec<f64> = (0..5).map(|_| once()).collect();
    found.sort_by(f64::total_cmp);
    found[2]
}
