//! A student at home: a lesson file is opened, balls are logged by taps, and the core's advice is shown; what was acknowledged
//! is still there when the browser is killed.

use super::looking::{PAPERS, pages};
use super::scene::LIMIT;
use crate::browsers::{Browser, Engine};
use crate::project::root;
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, anyhow, ensure};
use handpath::coach::practice::Practice;
use handpath::json::{Json, parse};
use handpath::lesson::Lesson;
use serde_json::{Value, json};
use std::time::Duration;

const ROOT: &str = "handpath-practice >>> .root";

/// A plan of the coach, with a drill in their words, a path to copy and a field of tomorrow.
const PLAN: &str = r#"{"hand":"left","cap":70,"drill":{"feel":"hands fall, chest waits"},"tomorrow":1.50,
    "picture":{"of":"reference B","left_handed":true,"arms":[[-0.1,0.1,1.6],[-0.2,0.15,1.5],[-0.25,0.1,1.35]],
    "hands":[[-0.1,0.1,1.6],[-0.05,0,1.4],[0.1,-0.05,1.2]],"body":[[0.1,0.2,1.4],[0.2,-0.15,1.45],[0.1,0.1,1],[0.15,0,1.45]]}}"#;

/// Presses buttons one after the other, as a student does; gives what stands there then.
const PRESS: &str = "const practice = deep('handpath-practice');
    for (const path of arguments[0]) {
        const button = practice.shadowRoot.querySelector(path);
        if (!button) throw new Error(`there is no ${path}`);
        button.click();
        await practice.whenIdle();
    }
    const { session, shadowRoot: root } = practice;
    return { advice: root.querySelector('.advice')?.dataset.advice ?? '', balls: Number(session?.dataset.balls ?? 0),
        speed: root.querySelector('.speed')?.textContent ?? '', told: root.querySelector('.told').textContent };";

/// As [`PRESS`], which has to wait in between.
fn press() -> String {
    format!("return (async () => {{ {PRESS} }})();")
}

pub(super) async fn play(browser: &mut Browser, server: &Server, kills: usize, tally: &mut Tally) {
    tally.check("balls are logged by taps, with the core's advice", logs(browser, server).await);
    tally.check("a session of balls by keys alone", keys(browser).await);
    tally.check("another language in the middle of a session", languages(browser).await);
    tally.check("pain ends the session", pain(browser).await);
    tally.check("full and refused storage is told at once, and nothing is lost", storage(browser, server).await);
    tally.check("the card is one page of paper", card(browser).await);
    tally.check("everything that was kept is deleted in one step", deleted(browser, server).await);
    let faults = browser.faults().await.and_then(|faults| {
        ensure!(faults.is_empty(), "{faults:?}");
        Ok(())
    });
    tally.check("no error, no breach of the policy while practising", faults);
    if browser.engine() != Engine::WebKit {
        let what = format!("killed {kills} times while balls are logged, no acknowledged ball is lost");
        tally.check(&what, killed(browser, server, kills).await);
    }
}

/// States to be looked at by the accessibility checker: what they are called, and the buttons that lead there.
pub(super) const STATES: [(&str, Option<&[&str]>); 5] = [
    ("practice, as it opens", None),
    ("practice, before a session", Some(&[".here summary"])),
    ("practice, a session", Some(&[".begin-practice", ".good"])),
    ("practice, how it bent", Some(&[".begin-practice", "[data-start=pull]"])),
    ("practice, everything unfolded", Some(&[".begin-practice", ".good", ".progress summary", ".card-box summary"])),
];

/// Opens a lesson and presses buttons; without any only the page.
pub(super) async fn reach(browser: &Browser, server: &Server, buttons: Option<&[&str]>) -> Result<()> {
    match buttons {
        None => page(browser, server).await,
        Some(buttons) => {
            page(browser, server).await?;
            pressed(browser, &[".delete-all"]).await?;
            given(browser, "S-LOOK").await?;
            pressed(browser, buttons).await.map(drop)
        }
    }
}

/// The text of a lesson without swings, with a plan.
fn lesson(code: &str) -> Result<String> {
    let mut lesson = Lesson::new(code);
    lesson.document.set("plan", parse(PLAN).map_err(|error| anyhow!("{error:?}"))?);
    Ok(lesson.save())
}

async fn open(browser: &Browser, server: &Server, code: &str) -> Result<()> {
    page(browser, server).await?;
    given(browser, code).await
}

async fn given(browser: &Browser, code: &str) -> Result<()> {
    take(browser, &lesson(code)?).await
}

/// Drops a lesson file on the page.
pub(super) async fn take(browser: &Browser, lesson: &str) -> Result<()> {
    browser.drop_files(ROOT, &[("any name.json", lesson.as_bytes())]).await?;
    state(browser, "lesson").await
}

pub(super) async fn page(browser: &Browser, server: &Server) -> Result<()> {
    browser.open(&format!("{}practice.html", server.url)).await?;
    state(browser, "start").await
}

async fn state(browser: &Browser, wanted: &str) -> Result<()> {
    let reached = format!("document.querySelector('handpath-practice')?.dataset.state === '{wanted}'");
    browser.until(wanted, &reached, LIMIT).await
}

pub(super) async fn pressed(browser: &Browser, paths: &[&str]) -> Result<Value> {
    browser.run(&press(), vec![json!(paths)]).await
}

/// The file as it would be saved.
pub(super) async fn saved(browser: &Browser) -> Result<Lesson> {
    let text = browser.run("return deep('handpath-practice').lessonText();", vec![]).await?;
    let text = text.as_str().context("there is nothing to save")?;
    let lesson = handpath::lesson::open(text.as_bytes()).map_err(|error| anyhow!("{error}"))?;
    ensure!(lesson.warnings.is_empty(), "{:?}", lesson.warnings);
    Ok(lesson)
}

fn log(lesson: &Lesson) -> &[Json] {
    lesson.document.get("log").map_or(&[][..], Json::items)
}

/// What a ball is tapped by.
const GOOD: &[&str] = &[".good"];
const PULL: &[&str] = &["[data-start=pull]", "[data-curve=none]"];
const FACE: &[&str] = &["[data-start=pull]", "[data-curve=hook]"];
const PUSH: &[&str] = &["[data-start=push]", "[data-curve=fade]"];
const UNSEEN: &[&str] = &[".not-seen"];

/// Sixty balls: a climb, a step down, a face cue, a ball that nobody saw.
pub(super) fn balls() -> impl Iterator<Item = &'static [&'static str]> {
    let first = [GOOD, GOOD, PUSH, GOOD, GOOD, PULL, GOOD, UNSEEN, FACE, PUSH];
    first.into_iter().chain(std::iter::repeat(GOOD)).take(60)
}

async fn logs(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server, "S-HOME").await?;
    let cautions = browser.text("handpath-practice >>> .cautions").await?;
    ensure!(cautions.contains("Warm up first") && cautions.contains("Stop at pain"), "{cautions:?}");
    let mut shown = vec![pressed(browser, &[".begin-practice"]).await?];
    for ball in balls() {
        let mut now = pressed(browser, ball).await?;
        shown.push(now.clone());
        if now["advice"] == "rest" {
            now = pressed(browser, &[".rest"]).await?;
            shown.push(now);
        }
    }
    let undone = pressed(browser, &[".undo"]).await?;
    shown.push(undone);
    let lesson = saved(browser).await?;
    as_natively(&lesson, &shown)?;
    kinds(&shown)?;
    let text = lesson.save();
    ensure!(text.contains("1.50") && text.contains("hands fall"), "fields of the plan are lost");
    left_to_right(browser).await
}

/// Each advice is the one that the native core gives after the same entry.
fn as_natively(lesson: &Lesson, shown: &[Value]) -> Result<()> {
    let entries = log(lesson);
    ensure!(entries.len() == shown.len(), "{} entries in the log, {} taps", entries.len(), shown.len());
    let plan = lesson.document.get("plan").context("no plan")?;
    let mut practice = Practice::of(&plan.given(), &handpath::plain::Given::Null);
    for (n, (entry, shown)) in entries.iter().zip(shown).enumerate() {
        let told = practice.tap(&entry.given());
        let percent = format!("{} %", (100.0 * told.standing.share).round());
        let speed = shown["speed"].as_str().unwrap_or_default();
        let same = shown["advice"] == told.standing.advice.kind.name()
            && shown["balls"] == told.standing.tally.balls
            && speed.starts_with(&percent);
        ensure!(same, "entry {n}: the page shows {shown}, natively {:?}", told.standing);
    }
    Ok(())
}

/// All kinds of advice were seen.
fn kinds(shown: &[Value]) -> Result<()> {
    for kind in ["climb", "stay", "step down", "face cue", "rest"] {
        ensure!(shown.iter().any(|shown| shown["advice"] == kind), "{kind} was never advised");
    }
    Ok(())
}

/// A left-hander's pull starts to the right, so its button stands there.
async fn left_to_right(browser: &Browser) -> Result<()> {
    let script = "return [...deep('handpath-practice').shadowRoot.querySelectorAll('[data-start]')]
        .map(button => [button.dataset.start, button.getBoundingClientRect().x])
        .sort((a, b) => a[1] - b[1]).map(([word]) => word);";
    let order = browser.run(script, vec![]).await?;
    ensure!(order == json!(["push", "straight", "pull"]), "from left to right stand {order}");
    Ok(())
}

/// The focus stays where the next ball is logged: enter for a good one; tabs to a start, enter, and enter for no curve.
async fn keys(browser: &Browser) -> Result<()> {
    let count = "return deep('handpath-practice').session.dataset.balls;";
    let balls = |value: Value| value.as_str().and_then(|text| text.parse::<usize>().ok()).context("no count");
    let before = balls(browser.run(count, vec![]).await?)?;
    browser.run("deep('handpath-practice >>> .good').focus();", vec![]).await?;
    for keys in ["\u{E007}", "\u{E004}", "\u{E004}", "\u{E007}", "\u{E007}"] {
        browser.press(keys).await?;
        browser.run("return deep('handpath-practice').whenIdle();", vec![]).await?;
    }
    let after = balls(browser.run(count, vec![]).await?)?;
    let lesson = saved(browser).await?;
    let last = log(&lesson).last().context("an empty log")?;
    ensure!(after == before + 2, "{before} balls before the keys, {after} after");
    let word = |name| last.get(name).and_then(Json::as_text);
    ensure!(word("start") == Some("straight") && word("curve") == Some("none"), "{last:?}");
    Ok(())
}

/// Everything is said in the other language, and nothing of the session is lost.
async fn languages(browser: &Browser) -> Result<()> {
    let entries = log(&saved(browser).await?).len();
    for (language, title, speed) in
        [("de", "Üben zu Hause", "Tempo"), ("es", "Práctica en casa", "velocidad"), ("en", "Practice at home", "speed")]
    {
        browser.set("handpath-practice >>> select.language", language).await?;
        browser.run("return deep('handpath-practice').whenIdle();", vec![]).await?;
        let shown = "return [document.documentElement.lang, document.querySelector('h1').textContent,
            deep('handpath-practice >>> .speed').textContent, deep('handpath-practice >>> select.language').value];";
        let shown = browser.run(shown, vec![]).await?;
        let told = shown[2].as_str().unwrap_or_default().to_lowercase();
        ensure!(
            shown[0] == language && shown[1] == title && told.contains(&speed.to_lowercase()),
            "{language}: {shown}"
        );
        ensure!(shown[3] == language && log(&saved(browser).await?).len() == entries, "{language}: {shown}");
    }
    Ok(())
}

async fn pain(browser: &Browser) -> Result<()> {
    let shown = pressed(browser, &[".pain"]).await?;
    let told = browser.text("handpath-practice >>> .advice").await?;
    ensure!(shown["advice"] == "stop" && told.contains("licensed professional"), "{told:?}");
    let left = browser.run("return deep('handpath-practice >>> .good') === null;", vec![]).await?;
    ensure!(left == true, "balls can be logged after pain");
    let shown = pressed(browser, &[".begin-practice"]).await?;
    let told = browser.text("handpath-practice >>> .advice").await?;
    ensure!(told.contains("ended with pain"), "{shown}: {told:?}");
    Ok(())
}

/// Storage that is full, that has room again, and that is refused from the start.
async fn storage(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server, "S-FULL").await?;
    pressed(browser, &[".begin-practice", ".good"]).await?;
    let full = "window.kept = [IDBObjectStore.prototype.add, IDBObjectStore.prototype.put];
        IDBObjectStore.prototype.add = IDBObjectStore.prototype.put = () => { throw new DOMException('', 'QuotaExceededError'); };";
    browser.run(full, vec![]).await?;
    let shown = pressed(browser, &[".good", ".good"]).await?;
    ensure!(shown["told"].as_str().is_some_and(|told| told.contains("no room left")), "{shown}");
    ensure!(log(&saved(browser).await?).len() == 4, "a ball is lost from memory");
    browser.run("[IDBObjectStore.prototype.add, IDBObjectStore.prototype.put] = window.kept;", vec![]).await?;
    let shown = pressed(browser, &[".good"]).await?;
    ensure!(shown["told"] == "", "{shown}");
    page(browser, server).await?;
    go_on(browser).await?;
    ensure!(log(&saved(browser).await?).len() == 5, "the balls of the full time were not kept afterwards");
    refused(browser, server).await
}

async fn refused(browser: &Browser, server: &Server) -> Result<()> {
    page(browser, server).await?;
    let refuse = "indexedDB.deleteDatabase('handpath');
        IDBFactory.prototype.open = () => { throw new DOMException('', 'SecurityError'); };";
    browser.run(refuse, vec![]).await?;
    given(browser, "S-REFUSED").await?;
    let told = browser.text("handpath-practice >>> .told").await?;
    ensure!(told.contains("keeps nothing"), "{told:?}");
    let shown = pressed(browser, &[".begin-practice", ".good", ".good"]).await?;
    ensure!(shown["balls"] == 2 && log(&saved(browser).await?).len() == 3, "{shown}");
    Ok(())
}

/// The first lesson that is offered.
async fn go_on(browser: &Browser) -> Result<()> {
    browser.click("handpath-practice >>> .go-on").await?;
    state(browser, "lesson").await
}

/// On both sizes of paper; what is printed is kept, to be looked at.
async fn card(browser: &Browser) -> Result<()> {
    // WebKitGTK's driver prints no page.
    if browser.engine() == Engine::WebKit {
        return Ok(());
    }
    for (name, width, height) in PAPERS {
        let pdf = browser.print(width, height).await?;
        std::fs::write(root().join(format!("target/verify/card-{}-{name}.pdf", browser.engine().name())), &pdf)?;
        let pages = pages(&pdf)?;
        ensure!(pages == 1, "{name}: {pages} pages");
    }
    Ok(())
}

async fn deleted(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server, "S-GONE").await?;
    pressed(browser, &[".begin-practice", ".good", ".delete-all"]).await?;
    page(browser, server).await?;
    let offers = "return deep('handpath-practice').shadowRoot.querySelectorAll('.go-on').length;";
    ensure!(browser.run(offers, vec![]).await? == 0, "something is still there");
    Ok(())
}

/// Logs without an end; after each ball the server hears how many entries were acknowledged, and only then comes the next.
const TAPPING: &str = "const practice = deep('handpath-practice');
    (async () => {
        for (let n = 0; ; n += 1) {
            const button = ['[data-curve=draw]', n % 7 === 3 ? '[data-start=pull]' : '.good', '.end', '.begin-practice']
                .map(path => practice.shadowRoot.querySelector(path)).find(Boolean);
            button.click();
            await practice.whenIdle();
            await fetch(`acknowledged?${practice.session.dataset.entries}`).catch(() => {});
        }
    })();";

/// How long taps go on before a kill: other lengths every time, so that it falls into other moments.
fn tapping_time(round: usize) -> Duration {
    Duration::from_millis(300 + (round as u64 * 137) % 700)
}

async fn killed(browser: &mut Browser, server: &Server, kills: usize) -> Result<()> {
    open(browser, server, "S-KILL").await?;
    let mut before: Vec<Json> = vec![];
    for round in 0..kills {
        server.forget();
        browser.run(TAPPING, vec![]).await?;
        tokio::time::sleep(tapping_time(round)).await;
        browser.kill().await.with_context(|| format!("kill {round}"))?;
        let acknowledged = acknowledged(server);
        page(browser, server).await?;
        go_on(browser).await?;
        let lesson = saved(browser).await?;
        before = whole(&before, log(&lesson), acknowledged).with_context(|| format!("after kill {round}"))?;
    }
    Ok(())
}

/// The largest number that the server heard of.
fn acknowledged(server: &Server) -> usize {
    let count = |path: &str| path.split_once("acknowledged?")?.1.parse::<usize>().ok();
    server.asked().iter().filter_map(|asked| count(&asked.path)).max().unwrap_or(0)
}

/// The log goes on from the one before, holds what was acknowledged and at most one tap more (kept, but its word did not
/// reach the server), and every entry can be read.
fn whole(before: &[Json], now: &[Json], acknowledged: usize) -> Result<Vec<Json>> {
    ensure!(acknowledged > before.len(), "nothing was logged: {acknowledged} acknowledged, {} before", before.len());
    ensure!(now.len() >= acknowledged, "{acknowledged} were acknowledged, {} are left", now.len());
    ensure!(now.len() <= acknowledged + 1, "{acknowledged} were acknowledged, {} are there", now.len());
    ensure!(now.starts_with(before), "the log before is another");
    let list = handpath::plain::Given::List(now.iter().map(Json::given).collect());
    let warnings = Practice::of(&handpath::plain::Given::Null, &list).warnings();
    ensure!(warnings.is_empty(), "{warnings:?}");
    Ok(now.to_vec())
}
