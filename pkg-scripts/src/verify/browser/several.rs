//! Several files: the band of eight references, lesson against lesson, and a swing of the student's own as the reference.

use super::reading::near;
use super::scene::{ELEMENT, LIMIT, choose_file, correct, drop_files, idle, print};
use crate::browsers::Browser;
use crate::project::www;
use anyhow::{Context, Result, ensure};
use handpath::session::{Job, JobFile, Session, Slot};
use handpath::sets::Change;
use handpath::settings::{Corrections, TargetLine};
use handpath::words::Message;
use serde_json::{Value, json};

const STUDENT: [&str; 1] = ["student-1-1.c3d"];
const LATER: [&str; 5] =
    ["student-2-1.csv", "student-2-2.csv", "student-2-3.csv", "student-2-4.csv", "student-2-5.csv"];
const EARLIER: [&str; 5] =
    ["student-1-1.c3d", "student-1-2.c3d", "student-1-3.c3d", "student-1-4.c3d", "student-1-5.c3d"];
const REFERENCES: [&str; 8] = [
    "reference-a.c3d",
    "reference-b.trc",
    "reference-c.bvh",
    "reference-d.csv",
    "reference-e.c3d",
    "reference-f.trc",
    "reference-g.bvh",
    "reference-h.csv",
];

fn bytes(name: &str) -> Result<Vec<u8>> {
    std::fs::read(www().join("demo").join(name)).with_context(|| format!("no {name}"))
}

/// A session of the core with the same files, under the names that the page gives them.
fn native(slots: &[(Slot, &[&str])]) -> Result<(Session, Job)> {
    let mut session = Session::default();
    let mut job = Job::default();
    for (slot, name) in slots.iter().flat_map(|(slot, names)| names.iter().map(move |name| (*slot, name))) {
        let id = 1 + job.files.len() as u32;
        session.put(id, bytes(name)?);
        let label = name.split('.').next().unwrap_or_default().to_owned();
        job.files.push(JobFile { id, slot, label, corrections: Corrections::default() });
    }
    Ok((session, job))
}

async fn give(browser: &Browser, slot: &str, names: &[&str]) -> Result<()> {
    let files = names.iter().map(|name| Ok((*name, bytes(name)?))).collect::<Result<Vec<_>>>()?;
    let files: Vec<(&str, &[u8])> = files.iter().map(|(name, bytes)| (*name, &bytes[..])).collect();
    drop_files(browser, slot, &files).await
}

/// Removes all files of a slot.
pub(super) async fn clear(browser: &Browser, slot: &str) -> Result<()> {
    let script = "for (const button of deep('handpath-compare').shadowRoot.querySelectorAll(`.slot[data-slot=${arguments[0]}] .remove`)) button.click();";
    browser.run(script, vec![json!(slot)]).await?;
    idle(browser).await
}

async fn text(browser: &Browser, path: &str) -> Result<String> {
    browser.text(&format!("{ELEMENT} >>> {path}")).await
}

/// Eight references: their band is told as what it is, and painted; also the other kind of band.
pub(super) async fn bands(browser: &Browser) -> Result<()> {
    clear(browser, "reference").await?;
    give(browser, "student", &STUDENT).await?;
    give(browser, "reference", &REFERENCES).await?;
    let (mut session, mut job) = native(&[(Slot::Student, &STUDENT), (Slot::Reference, &REFERENCES)])?;
    let mut seen = vec![];
    for (kind, key) in [("whole-curve", "page.band_note_paths"), ("pointwise", "page.band_note_places")] {
        browser.set(&format!("{ELEMENT} >>> select[name=bandKind]"), kind).await?;
        idle(browser).await?;
        job.band.kind = serde_json::from_value(json!(kind))?;
        let band = session.band(&job).context("natively there is no band")?;
        let told = message(key).with("count", band.swings).to_string();
        let shown = text(browser, ".about-band").await?;
        ensure!(shown.starts_with(&told), "{shown:?} is told, natively {told:?}");
        let unlike = message("page.band_note_unlike").with("unlike", band.unlike).with("needed", 8_usize).to_string();
        ensure!(shown.contains(&unlike) == (band.unlike > 0), "{} are unlike, told is {shown:?}", band.unlike);
        seen.push(print(browser).await?);
    }
    ensure!(seen[0] != seen[1], "both bands are painted alike");
    browser.run("deep('handpath-compare').look = { band: false };", vec![]).await?;
    idle(browser).await?;
    ensure!(!seen.contains(&print(browser).await?), "no band is painted");
    browser.run("deep('handpath-compare').look = { band: true, bandKind: 'whole-curve' };", vec![]).await?;
    idle(browser).await?;
    likeness(browser, &serde_json::to_value(session.compare(&job))?).await
}

/// A key that this file names.
fn message(key: &'static str) -> Message {
    Message::new(key)
}

/// Which references are flagged in the list of files, and why the last one is, beside its name.
async fn likeness(browser: &Browser, answer: &Value) -> Result<()> {
    let script = "return [...deep('handpath-compare').shadowRoot.querySelectorAll('li .tag.unlike')]
        .map(tag => tag.parentElement.querySelector('.name').textContent);";
    let flagged: Vec<String> = serde_json::from_value(browser.run(script, vec![]).await?)?;
    let references = answer["comparison"]["references"].as_array().context("no references")?;
    let unlike: Vec<&Value> = references.iter().filter(|reference| reference["like"] == false).collect();
    let names: Vec<&str> = unlike.iter().filter_map(|reference| reference["name"].as_str()).collect();
    ensure!(flagged == names && names.len() > 1, "{flagged:?} are flagged, natively {names:?}");
    browser.run("deep('handpath-compare').look = { reference: 7 };", vec![]).await?;
    idle(browser).await?;
    let told = text(browser, ".about-reference").await?;
    for reason in references[7]["reasons"].as_array().into_iter().flatten() {
        let reason = reason["text"].as_str().context("a reason without words")?;
        ensure!(told.contains(reason), "{reason:?} is not in {told:?}");
    }
    Ok(())
}

/// Five swings of a lesson and five of an earlier one: the most typical is shown, and each change told with its verdict.
pub(super) async fn lessons(browser: &Browser) -> Result<()> {
    give(browser, "student", &LATER).await?;
    give(browser, "earlier", &EARLIER).await?;
    let (mut session, job) = native(&[(Slot::Student, &LATER), (Slot::Earlier, &EARLIER)])?;
    let answer = session.compare(&job);
    let shown = answer.files.iter().find(|file| Some(file.id) == answer.shown).context("nothing is shown")?;
    let on = Message::new("lessons.shown_of").with("count", LATER.len()).with("name", shown.report.name.as_str());
    let told = text(browser, ".judged-on").await?;
    ensure!(told == on.to_string(), "{told:?} is said, natively {on}");
    let lessons = session.together(&job).lessons.context("natively there are no lessons")?;
    let verdicts: Vec<&str> = lessons.changes.iter().map(|change| change.verdict).collect();
    ensure!(verdicts.contains(&"change shown") && verdicts.contains(&"no change shown"), "{verdicts:?}");
    changes(browser, &lessons.changes).await
}

/// The changes from lesson to lesson as they are told.
async fn changes(browser: &Browser, expected: &[Change]) -> Result<()> {
    let script = "return [...deep('handpath-compare').shadowRoot.querySelectorAll('td[data-change]')].map(({dataset, textContent}) =>
        [dataset.change, dataset.verdict, [dataset.value, dataset.low, dataset.high, dataset.least].map(parseFloat), textContent]);";
    let cells: Vec<(String, String, Vec<Option<f64>>, String)> =
        serde_json::from_value(browser.run(script, vec![]).await?)?;
    ensure!(cells.len() == expected.len(), "{} changes are told", cells.len());
    cells.iter().zip(expected).try_for_each(|(cell, change)| as_changed(cell, change))
}

fn as_changed(cell: &(String, String, Vec<Option<f64>>, String), change: &Change) -> Result<()> {
    let (name, verdict, numbers, text) = cell;
    ensure!(name == change.name && verdict == change.verdict, "{name}: {verdict}, natively {change:?}");
    ensure!(text.starts_with(verdict), "{name}: {text:?} does not start with {verdict:?}");
    let Some(found) = change.difference else { return Ok(()) };
    let expected = [found.value, found.low, found.high, found.smallest_shown].map(Some);
    ensure!(near(numbers, &expected), "{name}: {numbers:?} is told, natively {expected:?}");
    Ok(())
}

/// One statement about the target line holds for all swings of the lesson where that is wished for, and for no other; taken
/// back likewise.
pub(super) async fn alike(browser: &Browser) -> Result<()> {
    choose_file(browser, LATER[1]).await?;
    browser.click(&format!("{ELEMENT} >>> input[name=together]")).await?;
    let stated = async |value: &'static str| -> Result<usize> {
        correct(browser, "target", "select[name=target]", value).await?;
        let script = "const source = ({report}) => report.guesses.find(({correction}) => correction === 'target')?.source;
            return Object.values(deep('handpath-compare').report.files).filter(file => source(file) === 'shoulder line at address').length;";
        Ok(serde_json::from_value(browser.run(script, vec![]).await?)?)
    };
    let count = stated("shoulders").await?;
    ensure!(count == LATER.len(), "{count} files are corrected");
    let (mut session, mut job) = native(&[(Slot::Student, &LATER), (Slot::Earlier, &EARLIER)])?;
    let later = job.files.iter_mut().filter(|file| file.slot == Slot::Student);
    later.for_each(|file| file.corrections.target = Some(TargetLine::Shoulders));
    let expected = session.together(&job).lessons.context("natively there are no lessons")?;
    changes(browser, &expected.changes).await?;
    let count = stated("").await?;
    ensure!(count == 0, "{count} files are corrected after it was taken back");
    browser.click(&format!("{ELEMENT} >>> input[name=together]")).await
}

/// One click makes a swing of the earlier lesson the reference, at the student's size.
pub(super) async fn own(browser: &Browser) -> Result<()> {
    let button = format!("{ELEMENT} >>> .slot[data-slot=earlier] .as-own");
    browser.until("an earlier swing", &format!("deep({})", json!(button)), LIMIT).await?;
    browser.click(&button).await?;
    idle(browser).await?;
    let script = "const {report, look} = deep('handpath-compare');
        const found = report.comparison.references[look.reference];
        return [found.name, found.factor, found.measures.map(({value, low_90, high_90}) => [value, low_90, high_90])];";
    let (name, factor, measures): (String, f64, Vec<Vec<Option<f64>>>) =
        serde_json::from_value(browser.run(script, vec![]).await?)?;
    ensure!(EARLIER[0].starts_with(&name), "{name} is compared");
    let (mut session, job) =
        native(&[(Slot::Student, &LATER), (Slot::Earlier, &EARLIER[1..]), (Slot::Own, &EARLIER[..1])])?;
    let answer = serde_json::to_value(session.compare(&job))?;
    let native = &answer["comparison"]["references"][0];
    ensure!(factor == 1.0 && native["factor"] == 1.0, "the factor is {factor}, natively {}", native["factor"]);
    let expected = native["measures"].as_array().context("natively there are no differences")?;
    ensure!(measures.len() == expected.len(), "{} differences", measures.len());
    for (shown, expected) in measures.iter().zip(expected) {
        let numbers = ["value", "low_90", "high_90"].map(|name| expected[name].as_f64());
        ensure!(near(shown, &numbers), "{}: {shown:?}, natively {numbers:?}", expected["name"]);
    }
    Ok(())
}
