//! What a visitor of a blog pays for two comparisons: the longest task of the page's main thread, and what moves.

use super::rows::median;
use crate::browsers::{Browser, Task};
use crate::pack;
use crate::project::{root, run_async, say};
use crate::serve::Server;
use anyhow::{Context, Result};
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;
use std::time::Duration;

/// Visits, each with a browser that has seen nothing yet: no file and no compiled code is kept.
const VISITS: usize = 7;

/// Over this many milliseconds a task is long (W3C, Long Tasks API, section 1).
const LONG_MS: f64 = 50.0;

/// What the page calls its own thread in the trace: see `pkg-scripts/measure/blog/watch.js`.
const MARK: &str = "the blog page";

/// How long both comparisons may take.
const LIMIT: Duration = Duration::from_secs(120);

/// A row: what was seen at all visits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Seen {
    /// What is told.
    pub what: String,
    /// The median of the visits.
    pub median: f64,
    /// The greatest of them.
    pub greatest: f64,
    /// What it should not exceed, where something is asked.
    pub asked: Option<f64>,
}

/// One visit.
struct Visit {
    tasks: Vec<Task>,
    moved: f64,
}

/// Packs the page, and visits a blog that embeds it.
///
/// # Errors
/// The page could not be packed, or a browser does not answer.
pub fn visits() -> Result<Vec<Seen>> {
    let packed = pack::folder()?;
    let site = tempfile::tempdir()?;
    pack::copy(&packed, &site.path().join("handpath"))?;
    pack::copy(&root().join("pkg-scripts/measure/blog"), site.path())?;
    let visits = run_async(all(site.path()))?;
    Ok(seen(&visits))
}

async fn all(site: &Path) -> Result<Vec<Visit>> {
    let server = Server::start(site, 0).await?;
    let mut visits = vec![];
    for number in 1..=VISITS {
        say(&format!("Visit {number} of {VISITS} ..."));
        visits.push(visit(&server.url).await?);
    }
    Ok(visits)
}

/// The page opens, is scrolled down, and is left alone until nothing is computed any more.
async fn visit(url: &str) -> Result<Visit> {
    let browser = Browser::start_traced().await?;
    browser.open(url).await?;
    for index in 0..2 {
        let element = format!("document.querySelectorAll('handpath-compare')[{index}]");
        browser.run(&format!("{element}.scrollIntoView();"), vec![]).await?;
        browser.until("a comparison", &format!("{element}.dataset.state === 'ready'"), LIMIT).await?;
        browser.run(&format!("return {element}.whenIdle();"), vec![]).await?;
    }
    let moved = browser.run("return window.moved;", vec![]).await?.as_f64().context("nothing counts what moves")?;
    let tasks = browser.tasks(MARK).await?;
    browser.close().await?;
    Ok(Visit { tasks, moved })
}

fn seen(visits: &[Visit]) -> Vec<Seen> {
    let row = |what: &str, of: fn(&Visit) -> f64, asked: Option<f64>| {
        let found: Vec<f64> = visits.iter().map(of).collect();
        let greatest = found.iter().copied().fold(0.0, f64::max);
        Seen { what: what.to_owned(), median: median(found), greatest, asked }
    };
    vec![
        row(
            "blog page with two comparisons: longest task, ms that the thread worked",
            |visit| longest(visit, |task| task.thread_ms),
            Some(LONG_MS),
        ),
        row("the same, ms by the clock", |visit| longest(visit, |task| task.wall_ms), None),
        row("blog page: work of all tasks, ms", |visit| visit.tasks.iter().map(|task| task.thread_ms).sum(), None),
        row("blog page: layout shift", |visit| visit.moved, Some(0.0)),
    ]
}

fn longest(visit: &Visit, of: fn(&Task) -> f64) -> f64 {
    visit.tasks.iter().map(of).fold(0.0, f64::max)
}

/// As Markdown.
pub fn table(rows: &[Seen]) -> String {
    let mut out = String::from("| what | median | greatest | at most |\n| --- | --: | --: | --: |\n");
    for Seen { what, median, greatest, asked } in rows {
        let asked = asked.map_or_else(String::new, |asked| asked.to_string());
        // Writing to a string does not fail.
        let _ = writeln!(out, "| {what} | {median:.3} | {greatest:.3} | {asked} |");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_tells_the_longest_task_of_each_visit() {
        let task = |thread_ms| Task { start_ms: 0.0, wall_ms: 2.0 * thread_ms, thread_ms };
        let visit = |ms: [f64; 2]| Visit { tasks: ms.map(task).into(), moved: 0.0 };
        let rows = seen(&[visit([1.0, 9.0]), visit([7.0, 2.0]), visit([3.0, 30.0])]);
        assert_eq!((rows[0].median, rows[0].greatest, rows[1].greatest), (9.0, 30.0, 60.0));
        assert_eq!((rows[2].median, rows[3].greatest), (10.0, 0.0));
        assert!(table(&rows).ends_with("| blog page: layout shift | 0.000 | 0.000 | 0 |\n"));
    }
}
