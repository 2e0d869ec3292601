//! The story of a lesson: told by keys, made as a coach does it, saved, opened again, and played to its end with one button.

use super::lessons::{lesson, open as open_lesson, sharing, text};
use super::scene::{ELEMENT, LIMIT, drop_student, idle, painted};
use crate::browsers::Browser;
use crate::pack;
use crate::project::www;
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, anyhow, ensure};
use handpath::formats::write::packed;
use handpath::formats::{ReadOptions, read};
use handpath::json::{Json, parse, spelled};
use handpath::lesson::{Lesson, Slot};
use serde_json::{Value, json};
use std::path::Path;

/// A story as an author writes it: little more than the words.
const STORY: &str = r#"[{"say":"One.","swing":1,"look":{"view":"overhead"}},{"say":"Two.","look":{"view":"face-on"}}]"#;

pub(super) async fn play(
    browser: &Browser,
    folder: &Path,
    server: &Server,
    student: &(&str, Vec<u8>),
    tally: &mut Tally,
) {
    tally.check("the demo's story is told by keys, its captions read", by_keys(browser, server).await);
    tally.check("a story is drafted from the findings", drafted(browser, student).await);
    tally.check("a story is made, saved, opened again, and played to its end", made(browser, student).await);
    tally.check("a frame tells the story of the lesson in its address", framed(browser, server).await);
    tally.check("a page names a lesson, or a story beside its files, by an attribute", authored(browser, folder).await);
}

async fn look(browser: &Browser) -> Result<Value> {
    browser.run("return deep(arguments[0]).look;", vec![json!(ELEMENT)]).await
}

/// The step is shown as it is written: caption, view, place in the list, and after it has been played the time.
async fn is_told(browser: &Browser, n: usize) -> Result<()> {
    browser.until("the step", &format!("deep('{ELEMENT}').look.step === {n}"), LIMIT).await?;
    idle(browser).await?;
    let now = look(browser).await?;
    let step = &now["story"][n];
    let caption = browser.text("handpath-compare >>> .caption").await?;
    ensure!(caption == step["say"], "step {n} says {caption:?}, not {}", step["say"]);
    let current = "return [...deep('handpath-compare').shadowRoot.querySelectorAll('.dot')].map(dot => dot.getAttribute('aria-current'));";
    let current: Vec<Option<String>> = serde_json::from_value(browser.run(current, vec![]).await?)?;
    let marked: Vec<usize> = (0..current.len()).filter(|at| current[*at].as_deref() == Some("step")).collect();
    ensure!(marked == [n], "at step {n} the list marks {marked:?}");
    ensure!(now["view"] == step["look"]["view"], "step {n} is seen {}", now["view"]);
    painted(browser).await
}

async fn by_keys(browser: &Browser, server: &Server) -> Result<()> {
    browser.open(&server.url).await?;
    browser.until("the story", "deep('handpath-compare >>> .story button.tell')?.textContent", LIMIT).await?;
    idle(browser).await?;
    let steps = look(browser).await?["story"].as_array().context("no story")?.len();
    ensure!(steps > 4, "the story has {steps} steps");
    let invited = browser.text("handpath-compare >>> .caption").await?;
    ensure!(invited.contains(&steps.to_string()), "{invited:?} does not tell how many steps there are");
    browser.run("deep('handpath-compare >>> canvas.large').focus();", vec![]).await?;
    for n in 0..steps {
        browser.press(".").await?;
        is_told(browser, n).await?;
    }
    browser.press(",").await?;
    is_told(browser, steps - 2).await?;
    // Another view, and the words stay.
    browser.press("2").await?;
    idle(browser).await?;
    let seen = look(browser).await?;
    ensure!(
        seen["view"] == "face-on" && seen["step"] == json!(steps - 2),
        "turned at {} to {}",
        seen["step"],
        seen["view"]
    );
    browser.press("..").await?;
    ended(browser).await?;
    browser.press("t").await?;
    is_told(browser, 0).await?;
    ensure!(browser.text("handpath-compare >>> button.tell").await?.contains("Pause"), "T does not play");
    browser.press("t").await?;
    idle(browser).await?;
    ensure!(!browser.text("handpath-compare >>> button.tell").await?.contains("Pause"), "T does not pause");
    // Whoever moves the picture on their own is not overtaken.
    browser.press("t").await?;
    browser.set("handpath-compare >>> input.scrub", "0.3").await?;
    idle(browser).await?;
    ensure!(
        !browser.text("handpath-compare >>> button.tell").await?.contains("Pause"),
        "the story goes on over a reader"
    );
    cut(browser).await
}

/// Who asks for less motion sees the end of a stretch at once.
async fn cut(browser: &Browser) -> Result<()> {
    browser.run("window.matchMedia = () => ({ matches: true });", vec![]).await?;
    browser.click("handpath-compare >>> .dots li:nth-child(3) button").await?;
    idle(browser).await?;
    let now = look(browser).await?;
    let step = &now["story"][2];
    ensure!(now["time"] == step["play"]["to"], "with less motion the cursor stands at {}", now["time"]);
    Ok(())
}

/// The link of the lesson that is open, in the page for frames: a reader of it has the story.
async fn framed(browser: &Browser, server: &Server) -> Result<()> {
    sharing(browser).await?;
    browser.click("handpath-compare >>> button.make-link").await?;
    browser.until("the link", "deep('handpath-compare >>> .sent').hidden === false", LIMIT).await?;
    let url = browser.run("return deep('handpath-compare >>> input.link').value;", vec![]).await?;
    let (_, lesson) = url.as_str().and_then(|url| url.split_once('#')).context("no link was made")?;
    browser.open(&format!("{}embed.html#{lesson}", server.url)).await?;
    browser.until("the story", "deep('handpath-compare >>> .story button.tell')?.offsetHeight", LIMIT).await?;
    idle(browser).await?;
    let making = browser.run("return deep('handpath-compare >>> .making').offsetHeight;", vec![]).await?;
    ensure!(making == 0, "a reader of the frame is asked to make a story");
    browser.click("handpath-compare >>> button.tell-next").await?;
    is_told(browser, 0).await
}

/// The reader has the free view, and is told so.
async fn ended(browser: &Browser) -> Result<()> {
    let over = "(({ step, view }) => step === null && view === 'free')(deep('handpath-compare').look)";
    browser.until("the end of the story", over, LIMIT).await?;
    idle(browser).await?;
    let caption = browser.text("handpath-compare >>> .caption").await?;
    ensure!(caption.contains("yours"), "at the end it says {caption:?}");
    painted(browser).await
}

async fn open_making(browser: &Browser) -> Result<()> {
    browser.run("deep('handpath-compare >>> details.making').open = true;", vec![]).await?;
    browser.until("the making of a story", "deep('handpath-compare >>> .making button.take')", LIMIT).await?;
    idle(browser).await
}

/// The engine's draft, with the words that stand above the picture.
async fn drafted(browser: &Browser, student: &(&str, Vec<u8>)) -> Result<()> {
    drop_student(browser, student.0, &student.1).await?;
    let left = look(browser).await?["story"].as_array().map(Vec::len);
    ensure!(left == Some(0), "the story of another student is still there");
    open_making(browser).await?;
    browser.click("handpath-compare >>> .making button.draft").await?;
    browser.until("the draft", "deep('handpath-compare').look.story.length > 3", LIMIT).await?;
    idle(browser).await?;
    let drafted = look(browser).await?;
    let first = browser.text("handpath-compare >>> .summary p").await?;
    let said: Vec<&str> =
        drafted["story"].as_array().into_iter().flatten().filter_map(|step| step["say"].as_str()).collect();
    ensure!(said.contains(&first.as_str()), "{first:?} is not among {said:?}");
    browser.click("handpath-compare >>> .making button.preview").await?;
    is_told(browser, 0).await?;
    browser.click("handpath-compare >>> .making button.clear").await?;
    idle(browser).await?;
    let hidden = browser.run("return deep('handpath-compare >>> .story').hidden;", vec![]).await?;
    ensure!(hidden == true, "a story without steps is still shown");
    Ok(())
}

/// Two steps with their words, one with a stretch that is lit and played.
async fn made(browser: &Browser, student: &(&str, Vec<u8>)) -> Result<()> {
    drop_student(browser, student.0, &student.1).await?;
    open_making(browser).await?;
    for view in ["face-on", "overhead"] {
        browser.run("deep('handpath-compare').view = arguments[0];", vec![json!(view)]).await?;
        idle(browser).await?;
        browser.click("handpath-compare >>> .making button.take").await?;
        idle(browser).await?;
    }
    browser.set("handpath-compare >>> .told li:nth-child(2) select.lit", "out drift").await?;
    idle(browser).await?;
    let proposed = browser.run("return deep('handpath-compare').look.story[1].say;", vec![]).await?;
    ensure!(proposed.as_str().is_some_and(|text| text.contains(" cm")), "what is lit proposes {proposed}");
    browser.set("handpath-compare >>> .told li:nth-child(2) select.played", "top lead arm level").await?;
    for (n, say) in [(1, "First the swing."), (2, "Then the way out.")] {
        browser.set(&format!("handpath-compare >>> .told li:nth-child({n}) textarea"), say).await?;
        idle(browser).await?;
    }
    // The second step goes up, and down again.
    browser.click("handpath-compare >>> .told li:nth-child(2) .square:nth-of-type(2)").await?;
    idle(browser).await?;
    ensure!(look(browser).await?["story"][0]["say"] == "Then the way out.", "the step did not move up");
    browser.click("handpath-compare >>> .told li:nth-child(1) .square:nth-of-type(3)").await?;
    idle(browser).await?;
    let made = look(browser).await?["story"].clone();
    let saved = text(browser).await?;
    let kept = lesson(&saved)?;
    let steps = kept.document.get("story").map_or(0, |story| story.items().len());
    ensure!(steps == 2, "{steps} steps are saved");
    let play = kept.document.get("story").and_then(|story| story.items().get(1)?.get("play")?.get("to")?.as_number());
    ensure!(play == made[1]["play"]["to"].as_f64(), "the stretch is saved to {play:?}");
    open_lesson(browser, &saved).await?;
    let said =
        |story: &Value| story.as_array().map(|steps| steps.iter().map(|step| step["say"].clone()).collect::<Vec<_>>());
    let opened = look(browser).await?["story"].clone();
    ensure!(said(&opened) == said(&made) && opened[1]["look"] == made[1]["look"], "opened it is {opened}");
    let again = text(browser).await?;
    ensure!(
        lesson(&again)?.document.get("story").map(Json::line) == kept.document.get("story").map(Json::line),
        "saved again the story is another"
    );
    played(browser).await
}

/// One press of the button, and nothing else.
async fn played(browser: &Browser) -> Result<()> {
    browser.until("the story", "deep('handpath-compare >>> .story button.tell')?.offsetHeight", LIMIT).await?;
    browser.click("handpath-compare >>> button.tell").await?;
    is_told(browser, 0).await?;
    is_told(browser, 1).await?;
    let step = look(browser).await?;
    let to = step["story"][1]["play"]["to"].as_f64().context("nothing is played")?;
    let there = format!("Math.abs(deep('handpath-compare').look.time - {to}) < 1e-6");
    browser.until("the end of the stretch", &there, LIMIT).await?;
    ended(browser).await
}

/// A lesson of one swing, with a story.
fn told_lesson() -> Result<String> {
    let bytes = std::fs::read(www().join("demo/student-1-1.c3d"))?;
    let recording = read(&bytes, &ReadOptions::default()).map_err(|error| anyhow!("{error}"))?;
    let mut lesson = Lesson::new("S-1");
    lesson.push(Slot::Student, "student", Json::Record(vec![]), packed(&recording, spelled));
    lesson.document.set("story", parse(STORY).map_err(|error| anyhow!("{error:?}"))?);
    Ok(lesson.save())
}

/// Pages as a coach has them on a host of their own.
async fn authored(browser: &Browser, folder: &Path) -> Result<()> {
    let site = tempfile::tempdir()?;
    pack::copy(folder, &site.path().join("handpath"))?;
    std::fs::write(site.path().join("lesson.json"), told_lesson()?)?;
    std::fs::write(site.path().join("story.json"), format!("{{\"story\": {STORY}}}"))?;
    let files = r#"student="handpath/demo/student-1-1.c3d" references="handpath/demo/reference-a.c3d" story="story.json" controls="none""#;
    for (name, attributes) in [("lesson.html", r#"lesson="lesson.json" controls="view""#), ("story.html", files)] {
        let page = format!(
            r#"<!doctype html><html lang="en"><meta charset="utf-8"><title>A lesson</title><link rel="icon" href="data:,">
            <link rel="stylesheet" href="handpath/room.css"><script type="module" src="handpath/define.js"></script>
            <handpath-compare {attributes}></handpath-compare></html>"#
        );
        std::fs::write(site.path().join(name), page)?;
    }
    let server = Server::plain(site.path()).await?;
    for page in ["lesson.html", "story.html"] {
        browser.open(&format!("{}{page}", server.url)).await?;
        told(browser).await.context(page)?;
    }
    let trying = browser.run("return deep('handpath-compare >>> .trying').offsetHeight;", vec![]).await?;
    ensure!(trying == 0, "with the picture alone a swing to try is offered");
    Ok(())
}

/// Both steps, one after the other.
async fn told(browser: &Browser) -> Result<()> {
    browser.until("the story", "deep('handpath-compare >>> .story button.tell')?.offsetHeight", LIMIT).await?;
    idle(browser).await?;
    for n in 0..2 {
        browser.click("handpath-compare >>> button.tell-next").await?;
        is_told(browser, n).await?;
    }
    Ok(())
}
