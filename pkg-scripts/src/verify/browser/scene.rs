//! What a coach does with the page; after each step the table has to hold the native core's numbers.

use super::exports::{pictures, tables};
use super::looking::{curves, hovers, kept_view, prints};
use super::native::{Given, rows, student_files};
use super::reading::{STUDENTS, aims, keys, reads, reworded, thresholds};
use super::requests::{none_since, only_engine, only_own_files};
use super::several::{alike, bands, lessons, own};
use crate::browsers::Browser;
use crate::opening::{difference, opening};
use crate::project::www;
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, bail, ensure};
use handpath::compare::AtInstant;
use handpath::formats::{ReadOptions, read};
use handpath::roles::Role;
use handpath::settings::{Corrections, TargetLine};
use serde_json::{Value, json};
use std::time::Duration;

pub(super) const ELEMENT: &str = "handpath-compare";
const LARGE: &str = "handpath-compare >>> canvas.large";

/// The page compiles a module, reads four files and compares them; a busy machine takes its time.
pub(super) const LIMIT: Duration = Duration::from_secs(60);

/// Native and WebAssembly code differ in the last digits of sines and roots; a table shows millimetres at best.
pub(super) const SAME_M: f64 = 1e-6;

/// A correction that moves a number less than this has not been seen.
const MOVED_M: f64 = 1e-4;

pub(super) async fn play(browser: &Browser, server: &Server, tally: &mut Tally) {
    let opened = open(browser, server).await;
    let references = opened.as_ref().map_or(vec![], Clone::clone);
    tally.check("the demo opens, its table as computed natively, the picture painted", opened.map(drop));
    tally.check("only the files of a first visit were asked for", only_own_files(&server.asked()));
    server.forget();
    tally.check("what is prepared is what is computed", computed(browser, server).await);
    server.forget();
    let Some(reference) = references.first().cloned() else { return };
    let Ok(files) = student_files() else {
        return tally.check("the model writes files", Err(anyhow::anyhow!("it does not")));
    };
    for (name, bytes) in &files {
        let student = Given::plain(bytes);
        tally.check(&format!("{name}: dropped, shown, corrected"), file(browser, name, student, &reference).await);
    }
    for student in STUDENTS {
        let what = format!("a student {} the references: sentences, numbers and picture agree", student.0);
        tally.check(&what, reads(browser, student, &references).await);
    }
    tally.check("the aim slider tells what would flip", aims(browser, STUDENTS[1].1, &references).await);
    let judged_by = thresholds(browser, STUDENTS[0].1, &references).await;
    tally.check("a threshold changes a verdict, is kept, and is taken back", judged_by);
    tally.check("keys move, swap, hide, and find a number's place", keys(browser).await);
    tally.check("scrubbing moves the picture, not the table", scrub(browser).await);
    tally.check("views swap and are painted", views(browser).await);
    tally.check("the saved pictures look as the screen does", pictures(browser).await);
    tally.check("the saved tables hold the numbers shown", tables(browser).await);
    tally.check("a broken file is told, and the page goes on", broken(browser, &files[0], &reference).await);
    tally.check("curves are painted and read, with the one cursor", curves(browser).await);
    tally.check("the pointer over the picture lights the rows", hovers(browser).await);
    tally.check("the band of eight references is painted and told, unlike ones flagged", bands(browser).await);
    tally.check("lesson against lesson is told as computed natively", lessons(browser).await);
    tally.check("one statement holds for all swings of a lesson", alike(browser).await);
    tally.check("a swing of the student's own becomes the reference", own(browser).await);
    tally.check("nothing was asked for after loading", none_since(&server.asked()));
    tally.check("a coach's words are kept and taken back", kept_words(browser, server).await);
    tally.check("what is shown is kept", kept_view(browser, &server.url).await);
    tally.check("one page of paper holds it", prints(browser).await);
    let faults = browser.faults().await.and_then(|faults| {
        ensure!(faults.is_empty(), "{faults:?}");
        Ok(())
    });
    tally.check("no error, no breach of the policy", faults);
}

/// Opens the page; gives its references.
async fn open(browser: &Browser, server: &Server) -> Result<Vec<Given>> {
    browser.open(&server.url).await?;
    let ready = "document.querySelector('handpath-compare').dataset.state === 'ready'";
    if let Err(error) = browser.until("the demo", ready, LIMIT).await {
        let shown =
            browser.run("return deep('handpath-compare').shadowRoot.textContent.slice(0, 300);", vec![]).await?;
        return Err(error.context(format!("faults {:?}, the page shows {shown}", browser.faults().await?)));
    }
    // It is ready when it has its answer; the table comes with the next frame.
    idle(browser).await?;
    let students = named_in_markup(browser, "student").await?;
    let references = named_in_markup(browser, "reference").await?;
    let (student, reference) = students.first().zip(references.first()).context("the markup names no files")?;
    agrees(browser, &rows(student, reference)?).await?;
    painted(browser).await?;
    Ok(references)
}

/// Something has to be computed: the engine comes, with the files of the markup, and computes what was shown before.
async fn computed(browser: &Browser, server: &Server) -> Result<()> {
    let of = |slot| named_in_markup(browser, slot);
    let (mut students, references) = (of("student").await?, of("reference").await?);
    let (student, reference) = students.first_mut().zip(references.first()).context("the markup names no files")?;
    browser.run("deep('handpath-compare >>> details.corrections').open = true;", vec![]).await?;
    correct(browser, "target", "select[name=target]", "shoulders").await?;
    let before = rows(student, reference)?;
    student.corrections.target = Some(TargetLine::Shoulders);
    let after = rows(student, reference)?;
    differs(&before, &after)?;
    agrees(browser, &after).await?;
    correct(browser, "target", "select[name=target]", "").await?;
    agrees(browser, &before).await.context("after the correction was taken back")?;
    painted(browser).await?;
    let text = browser.run("return deep('handpath-compare').prepare();", vec![]).await?;
    let prepared: Value = serde_json::from_str(text.as_str().context("nothing is prepared")?)?;
    let difference = difference(&prepared, &opening()?);
    ensure!(difference.is_none(), "prepared in the page it is another: {difference:?}");
    let named = "return [...document.querySelectorAll('handpath-compare a[data-slot]')].map(link => link.getAttribute('href'));";
    let named: Vec<String> = serde_json::from_value(browser.run(named, vec![]).await?)?;
    only_engine(&server.asked(), &named)
}

/// On the page as it opens: the words are kept for its numbers.
async fn kept_words(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server).await?;
    reworded(browser, &server.url).await
}

/// The files of a slot, as the markup names them.
async fn named_in_markup(browser: &Browser, slot: &str) -> Result<Vec<Given>> {
    let script = "return [...document.querySelectorAll(`handpath-compare a[data-slot=${arguments[0]}]`)]
        .map(link => [link.getAttribute('href'), link.dataset.corrections ?? '{}']);";
    let found: Vec<(String, String)> = serde_json::from_value(browser.run(script, vec![json!(slot)]).await?)?;
    let given = |(file, corrections): &(String, String)| {
        Ok(Given { bytes: std::fs::read(www().join(file))?, corrections: serde_json::from_str(corrections)? })
    };
    found.iter().map(given).collect()
}

/// Drops a file, then corrects a role and the target line.
async fn file(browser: &Browser, name: &str, mut student: Given, reference: &Given) -> Result<()> {
    drop_student(browser, name, &student.bytes).await?;
    let plain = rows(&student, reference)?;
    agrees(browser, &plain).await.context("as dropped")?;
    painted(browser).await?;
    choose_file(browser, name).await?;

    let track = student.other_hands()?;
    correct(browser, "role mid-hands", "select", &format!("={track}")).await?;
    student.corrections.roles.insert(Role::MidHands, vec![track]);
    let other_hands = rows(&student, reference)?;
    differs(&plain, &other_hands)?;
    agrees(browser, &other_hands).await.context("after a role was corrected")?;

    correct(browser, "target", "select[name=target]", "shoulders").await?;
    student.corrections.target = Some(TargetLine::Shoulders);
    let other_line = rows(&student, reference)?;
    differs(&other_hands, &other_line)?;
    agrees(browser, &other_line).await.context("after the target line was corrected")?;

    correct(browser, "role mid-hands", "select", "").await?;
    correct(browser, "target", "select[name=target]", "").await?;
    student.corrections = Corrections::default();
    agrees(browser, &rows(&student, reference)?).await.context("after the corrections were taken back")
}

pub(super) async fn drop_student(browser: &Browser, name: &str, bytes: &[u8]) -> Result<()> {
    drop_files(browser, "student", &[(name, bytes)]).await
}

/// Drops files together on the zone of a slot.
pub(super) async fn drop_files(browser: &Browser, slot: &str, files: &[(&str, &[u8])]) -> Result<()> {
    browser.drop_files(&format!("handpath-compare >>> .zone[data-slot={slot}]"), files).await?;
    idle(browser).await
}

/// Waits until the element neither reads nor computes, and has painted since.
pub(super) async fn idle(browser: &Browser) -> Result<()> {
    let script = "window.idle = false;
        const [element, frame] = [deep(arguments[0]), () => new Promise(requestAnimationFrame)];
        element.whenIdle().then(frame).then(frame).then(() => element.whenIdle()).then(frame).then(() => { window.idle = true; });";
    browser.run(script, vec![json!(ELEMENT)]).await?;
    browser.until("the element", "window.idle", LIMIT).await
}

/// Opens the list of guesses at a file, which the page names without its ending.
pub(super) async fn choose_file(browser: &Browser, name: &str) -> Result<()> {
    let script = "deep('handpath-compare >>> details.corrections').open = true;
        const files = [...deep('handpath-compare >>> select.of-file').options];
        return files.find(option => arguments[0].startsWith(option.textContent + '.'))?.value ?? null;";
    let file = browser.run(script, vec![json!(name)]).await?;
    let file = file.as_str().with_context(|| format!("{name} is not among the files"))?;
    browser.set("handpath-compare >>> select.of-file", file).await
}

/// Sets the control of a correction, as a person would.
pub(super) async fn correct(browser: &Browser, correction: &str, control: &str, value: &str) -> Result<()> {
    let path = format!("handpath-compare >>> [data-correction='{correction}'] {control}");
    browser.until("the list of guesses", &format!("deep({})", json!(path)), LIMIT).await?;
    browser.set(&path, value).await?;
    idle(browser).await
}

/// The table's cells, as `[instant, column, value, text]`.
async fn cells(browser: &Browser) -> Result<Vec<(String, String, String, String)>> {
    let script = "return [...deep('handpath-compare').shadowRoot.querySelectorAll('td[data-instant]')]
        .map(cell => [cell.dataset.instant, cell.dataset.column, cell.dataset.value, cell.textContent]);";
    Ok(serde_json::from_value(browser.run(script, vec![]).await?)?)
}

/// Compares the table with the native rows: every number, and what a person reads.
pub(super) async fn agrees(browser: &Browser, rows: &[AtInstant]) -> Result<()> {
    let cells = cells(browser).await?;
    ensure!(!rows.is_empty(), "natively there is nothing to compare");
    let instants = cells.iter().filter(|cell| cell.1 == "out").count();
    ensure!(instants == rows.len(), "{instants} rows in the table, natively {}", rows.len());
    for row in rows {
        for (column, native) in ["out", "target", "up"].into_iter().zip(row.difference) {
            let found = cells.iter().find(|cell| cell.0 == row.instant.name() && cell.1 == column);
            let (_, _, value, text) = found.with_context(|| format!("no cell for {} {column}", row.instant.name()))?;
            let shown: f64 = value.parse().with_context(|| format!("{value:?} in the table"))?;
            let what = format!("{} {column}", row.instant.name());
            ensure!((shown - native).abs() < SAME_M, "{what}: {shown} in the table, natively {native}");
            ensure!((read_number(text)? - 100.0 * native).abs() < 0.501, "{what}: {text:?} is shown for {native} m");
        }
        is_as_late(&cells, row)?;
    }
    Ok(())
}

/// Lateness, in whole milliseconds; none at the first instant.
fn is_as_late(cells: &[(String, String, String, String)], row: &AtInstant) -> Result<()> {
    let name = row.instant.name();
    let found = cells.iter().find(|cell| cell.0 == name && cell.1 == "later");
    let (_, _, value, text) = found.with_context(|| format!("no lateness for {name}"))?;
    let Some(native) = row.lateness_s else {
        ensure!(value.is_empty() && text == "–", "{name}: {text:?} is shown as a lateness, natively there is none");
        return Ok(());
    };
    let shown: f64 = value.parse().with_context(|| format!("{value:?} as the lateness at {name}"))?;
    ensure!((shown - native).abs() < SAME_M, "{name}: later by {shown} s, natively {native}");
    ensure!((read_number(text)? - 1000.0 * native).abs() < 0.501, "{name}: {text:?} is shown for {native} s");
    Ok(())
}

/// A shown number; the page writes a true minus sign.
fn read_number(text: &str) -> Result<f64> {
    text.replace('−', "-").parse().with_context(|| format!("{text:?} is no number"))
}

fn differs(before: &[AtInstant], after: &[AtInstant]) -> Result<()> {
    let moved = before.iter().any(|old| {
        let new = after.iter().find(|new| new.instant == old.instant);
        new.is_none_or(|new| old.difference.iter().zip(new.difference).any(|(a, b)| (a - b).abs() > MOVED_M))
    });
    ensure!(moved, "the correction changes no number");
    Ok(())
}

/// Every canvas that has a size shows something.
pub(super) async fn painted(browser: &Browser) -> Result<()> {
    for canvas in ["canvas.large", "canvas.ribbon", ".companion:nth-child(1) canvas", ".companion:nth-child(3) canvas"]
    {
        let colours = browser.colours(&format!("handpath-compare >>> {canvas}")).await?;
        ensure!(colours > 2, "{canvas} shows {colours} colours");
    }
    Ok(())
}

/// A short number for what a canvas shows.
pub(super) async fn print(browser: &Browser) -> Result<Value> {
    let script = "const canvas = deep(arguments[0]);
        const pixels = new Uint32Array(canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data.buffer);
        return pixels.reduce((sum, pixel) => (Math.imul(sum, 31) + pixel) | 0, 7);";
    browser.run(script, vec![json!(LARGE)]).await
}

async fn scrub(browser: &Browser) -> Result<()> {
    let before = (print(browser).await?, cells(browser).await?);
    let time = "return deep('handpath-compare').look.time;";
    let mut times = vec![browser.run(time, vec![]).await?];
    for place in ["0.2", "0.8"] {
        browser.set("handpath-compare >>> input.scrub", place).await?;
        idle(browser).await?;
        times.push(browser.run(time, vec![]).await?);
        ensure!(print(browser).await? != before.0, "at {place} the picture is the same");
    }
    let seconds: Vec<f64> = times.iter().filter_map(Value::as_f64).collect();
    let [_, early, late] = seconds[..] else { bail!("the cursor has no time: {times:?}") };
    ensure!(early < late, "scrubbing on leads from {early} s to {late} s");
    ensure!(cells(browser).await? == before.1, "the table changed");
    painted(browser).await
}

async fn views(browser: &Browser) -> Result<()> {
    let table = cells(browser).await?;
    let mut seen = vec![print(browser).await?];
    for view in ["face-on", "overhead", "free", "down-the-line"] {
        browser.click(&format!("handpath-compare >>> .companion[data-view={view}]")).await?;
        idle(browser).await?;
        let large = browser.run("return deep('handpath-compare').view;", vec![]).await?;
        ensure!(large == view, "{view} was clicked, {large} is shown");
        painted(browser).await.context(view)?;
        seen.push(print(browser).await?);
        ensure!(cells(browser).await? == table, "{view}: the table changed");
    }
    ensure!(seen.first() == seen.last(), "back in the first view the picture is another");
    ensure!((1..4).all(|k| seen[k] != seen[k - 1]), "two views show the same picture");
    Ok(())
}

/// A file that breaks off: the page says why, as the core does, and takes the next file.
async fn broken(browser: &Browser, whole: &(&str, Vec<u8>), reference: &Given) -> Result<()> {
    let cut = &whole.1[..600];
    let native = read(cut, &ReadOptions::default()).err().context("a file cut short is readable")?.message();
    drop_student(browser, "broken.c3d", cut).await?;
    let shown = browser.run("return deep('handpath-compare >>> p.error')?.dataset.key ?? null;", vec![]).await?;
    ensure!(shown == native.key, "{} was to be told, {shown} is", native.key);
    let text = browser.text("handpath-compare >>> p.error").await?;
    ensure!(text.contains("broken"), "the file is not named in {text:?}");
    drop_student(browser, whole.0, &whole.1).await?;
    agrees(browser, &rows(&Given::plain(&whole.1), reference)?).await.context("after the broken file")?;
    painted(browser).await
}
