//! Lessons in the page: saved, opened, sent as a link, damaged, older, without names, deleted.

use super::exports;
use super::native::{Given, rows};
use super::scene::{ELEMENT, LIMIT, agrees, drop_student, idle, painted};
use crate::browsers::Browser;
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, anyhow, ensure};
use handpath::compare::AtInstant;
use handpath::formats::write::packed;
use handpath::formats::{Event, ReadOptions, Recording, read};
use handpath::json::{Json, parse, spelled};
use handpath::lesson::{self, Lesson, Slot};
use serde_json::{Map, Value, json};

/// Fields that no version knows yet, with numbers that no browser can hold.
const TOMORROW: &str = r#"{"n":100000000000000000001,"m":[1.50,{"":null}],"é":"\u0007"}"#;

pub(super) async fn play(browser: &Browser, server: &Server, student: &(&str, Vec<u8>), tally: &mut Tally) {
    let saved = saved(browser, server, student).await;
    let text = saved.as_ref().map(String::clone).unwrap_or_default();
    tally.check("a lesson is saved, opened, and the same to the byte when saved again", saved.map(drop));
    if text.is_empty() {
        return;
    }
    tally.check("a link holds the lesson", link(browser, server, &text).await);
    tally.check("damaged and older lessons are told, and what is left is shown", damaged(browser, &text).await);
    tally.check("a link that would be too long is refused, and says so", too_long(browser, student).await);
    tally.check("a lesson loses its names in one step", anonymous(browser, student).await);
    tally.check("of a name that stands everywhere nothing is left anywhere", nameless(browser, student).await);
    tally.check("everything here is deleted in one step", deleted(browser).await);
}

/// A lesson with a note of each kind, made as a person does it; gives its text.
async fn saved(browser: &Browser, server: &Server, student: &(&str, Vec<u8>)) -> Result<String> {
    browser.open(&server.url).await?;
    idle(browser).await?;
    drop_student(browser, student.0, &student.1).await?;
    noted(browser).await?;
    let made = lesson(&text(browser).await?)?;
    ensure!(made.swings().any(|swing| swing.label.starts_with("S-") && swing.slot == Some(Slot::Student)), "no code");
    let opened = with_tomorrow(&made)?;
    open(browser, &opened).await?;
    holds(browser, &made).await.context("as opened")?;
    let second = text(browser).await?;
    for piece in ["100000000000000000001", "1.50", "\\u0007"] {
        let (there, here) = (opened.matches(piece).count(), second.matches(piece).count());
        ensure!(there == here, "{piece} stood {there} times in the file, {here} times as saved");
    }
    open(browser, &second).await?;
    holds(browser, &made).await.context("as opened again")?;
    let third = text(browser).await?;
    ensure!(third == second, "saved again it is another: {}", apart(&second, &third));
    Ok(second)
}

/// A pin, a measured stretch and a step of a story, all with the controls; one threshold.
async fn noted(browser: &Browser) -> Result<()> {
    browser.run("deep('handpath-compare >>> details.notes').open = true;", vec![]).await?;
    browser.set("handpath-compare >>> input.note-text", "keep them back").await?;
    browser.click("handpath-compare >>> button.pin").await?;
    browser.click("handpath-compare >>> button.measure").await?;
    browser.set("handpath-compare >>> input.scrub", "0.7").await?;
    idle(browser).await?;
    browser.click("handpath-compare >>> button.measure").await?;
    browser
        .run("deep('handpath-compare').look = { thresholds: { 'arm-drop': -0.2 }, view: 'face-on' };", vec![])
        .await?;
    idle(browser).await?;
    browser.run("deep('handpath-compare >>> details.making').open = true;", vec![]).await?;
    browser.until("the making of a story", "deep('handpath-compare >>> .making button.take')", LIMIT).await?;
    idle(browser).await?;
    browser.click("handpath-compare >>> .making button.take").await?;
    idle(browser).await?;
    let told = browser.text("handpath-compare >>> .notes .spans output").await?;
    ensure!(told.contains("cm straight"), "the stretch is told as {told:?}");
    let paper = "dispatchEvent(new Event('beforeprint'));
        const text = [...deep('handpath-compare').shadowRoot.querySelectorAll('.paper li')].map(line => line.textContent);
        dispatchEvent(new Event('afterprint'));
        return text.join(' ');";
    let paper = browser.run(paper, vec![]).await?;
    let told = paper.as_str().is_some_and(|text| text.contains("2 notes on the path are not on this report"));
    ensure!(told, "the report says {paper}");
    Ok(())
}

/// The text that the page saves.
pub(super) async fn text(browser: &Browser) -> Result<String> {
    let text =
        browser.run("return deep(arguments[0]).saveLesson().then(({ text }) => text);", vec![json!(ELEMENT)]).await?;
    Ok(text.as_str().context("nothing was saved")?.to_owned())
}

pub(super) fn lesson(text: &str) -> Result<Lesson> {
    let lesson = lesson::open(text.as_bytes()).map_err(|error| anyhow!("{error}"))?;
    ensure!(lesson.warnings.is_empty(), "{:?}", lesson.warnings);
    Ok(lesson)
}

/// The lesson with unknown fields at every level.
fn with_tomorrow(lesson: &Lesson) -> Result<String> {
    let mut lesson = lesson.clone();
    let tomorrow = || parse(TOMORROW).map_err(|error| anyhow!("{error:?}"));
    lesson.document.set("tomorrow", tomorrow()?);
    for list in ["swings", "pins", "spans", "story"] {
        let Some(Json::List(items)) = lesson.document.get_mut(list) else { anyhow::bail!("no {list}") };
        let first = items.first_mut().with_context(|| format!("{list} are empty"))?;
        first.set("tomorrow", tomorrow()?);
        for inner in ["recording", "corrections", "look"] {
            if let Some(inner) = first.get_mut(inner) {
                inner.set("tomorrow", tomorrow()?);
            }
        }
    }
    for record in ["student", "view"] {
        lesson.document.get_mut(record).with_context(|| format!("no {record}"))?.set("tomorrow", tomorrow()?);
    }
    Ok(lesson.save())
}

pub(super) async fn open(browser: &Browser, text: &str) -> Result<()> {
    drop_student(browser, "any name.txt", text.as_bytes()).await
}

/// What a lesson's own swings give natively.
fn native(lesson: &Lesson) -> Result<Vec<AtInstant>> {
    let given = |slot: Slot| {
        let swing = lesson.swings().find(|swing| swing.slot == Some(slot)).with_context(|| format!("no {slot:?}"))?;
        Ok::<_, anyhow::Error>(Given { bytes: swing.recording.line().into_bytes(), corrections: swing.corrections })
    };
    rows(&given(Slot::Student)?, &given(Slot::Reference)?)
}

/// The page shows the lesson: the table as computed natively, the picture, its notes and its view.
async fn holds(browser: &Browser, lesson: &Lesson) -> Result<()> {
    agrees(browser, &native(lesson)?).await?;
    painted(browser).await?;
    let script = "const { look } = deep('handpath-compare');
        return [look.pins.map(pin => pin.text), look.spans.length, look.view, look.thresholds['arm-drop'],
            deep('handpath-compare').shadowRoot.querySelectorAll('.notes li').length];";
    let shown = browser.run(script, vec![]).await?;
    ensure!(shown == json!([["keep them back"], 1, "face-on", -0.2, 2]), "{shown}");
    Ok(())
}

/// Where two texts differ.
fn apart(a: &str, b: &str) -> String {
    let at = a.bytes().zip(b.bytes()).take_while(|(a, b)| a == b).count();
    let piece = |text: &str| {
        String::from_utf8_lossy(&text.as_bytes()[at.saturating_sub(60).min(text.len())..text.len().min(at + 60)])
            .into_owned()
    };
    format!("{:?} against {:?}", piece(a), piece(b))
}

/// Made with the button, opened as another visit, and a link that was cut.
async fn link(browser: &Browser, server: &Server, text: &str) -> Result<()> {
    sharing(browser).await?;
    browser.click("handpath-compare >>> button.make-link").await?;
    browser.until("the link", "deep('handpath-compare >>> .sent').hidden === false", LIMIT).await?;
    let url = browser.run("return deep('handpath-compare >>> input.link').value;", vec![]).await?;
    let told = browser.text("handpath-compare >>> .sent p").await?;
    let url = url
        .as_str()
        .filter(|url| url.contains("#lesson="))
        .with_context(|| format!("no link was made: {told}"))?
        .to_owned();
    ensure!(url.starts_with(&server.url) && url.len() < 200_000, "{} letters", url.len());
    browser.open("about:blank").await?;
    browser.open(&url).await?;
    browser.until("the page", "document.querySelector('handpath-compare')?.dataset.state === 'ready'", LIMIT).await?;
    idle(browser).await?;
    let sent = lesson::open(text.as_bytes()).map_err(|error| anyhow!("{error}"))?;
    holds(browser, &sent).await?;
    browser.run("location.hash = '#lesson=' + 'AB'.repeat(40);", vec![]).await?;
    browser
        .until(
            "the word about a cut link",
            "deep('handpath-compare >>> .errors').textContent.includes('in this link')",
            LIMIT,
        )
        .await?;
    idle(browser).await?;
    browser.run("history.replaceState(null, '', location.pathname);", vec![]).await.map(drop)
}

async fn damaged(browser: &Browser, text: &str) -> Result<()> {
    let second = text.rfind("\n{\"").context("a second swing")?;
    for (name, file, word) in [
        ("cut short", text[..second - 3].to_owned(), "ends too early"),
        ("broken", text.replacen("\"slot\":", "\"slot\"!", 1), "damaged here"),
        ("of a version to come", text.replacen("\"version\":1", "\"version\":7", 1), "of version 7"),
        ("of version 0", text.replacen("\"version\":1", "\"version\":0", 1), "of version 0"),
    ] {
        open(browser, &file).await?;
        let told = browser.text("handpath-compare >>> .errors").await?;
        ensure!(told.contains(word), "{name}: {told:?}");
        let files = browser.run("return Object.keys(deep('handpath-compare').report.files).length;", vec![]).await?;
        ensure!(files.as_u64().is_some_and(|files| files > 0), "{name}: nothing is left");
    }
    let data = text.find("\"data\":\"").context("data")? + 40;
    let other = if text[data..].starts_with('A') { "B" } else { "A" };
    open(browser, &[&text[..data], other, &text[data + 1..]].concat()).await?;
    let key =
        browser.run("return deep('handpath-compare >>> p.error[data-key]')?.dataset.key ?? null;", vec![]).await?;
    ensure!(key.as_str().is_some_and(|key| key.starts_with("packed.")), "a changed byte: {key}");
    open(browser, "{\n?\"swings\":[").await?;
    let told = browser.text("handpath-compare >>> .errors").await?;
    ensure!(told.contains("nothing can be read"), "{told:?}");
    Ok(())
}

async fn anonymous(browser: &Browser, student: &(&str, Vec<u8>)) -> Result<()> {
    drop_student(browser, "Jo Doe.c3d", &student.1).await?;
    let name = "return deep('handpath-compare >>> .slot[data-slot=student] .name').textContent;";
    ensure!(browser.run(name, vec![]).await? == "Jo Doe");
    ensure!(!text(browser).await?.contains("Jo Doe"), "a saved lesson holds the name of the file");
    sharing(browser).await?;
    browser.click("handpath-compare >>> button.anonymise").await?;
    browser
        .until(
            "the new name",
            "!deep('handpath-compare >>> .slot[data-slot=student] .name').textContent.includes('Jo')",
            LIMIT,
        )
        .await?;
    idle(browser).await?;
    let shown =
        browser.run("return deep('handpath-compare').shadowRoot.textContent.includes('Jo Doe');", vec![]).await?;
    ensure!(shown == false, "the page still shows the name");
    lesson(&text(browser).await?).map(drop)
}

/// A recording whose last digits are noise: nothing makes it small.
fn noisy(recording: &Recording) -> Recording {
    let mut recording = recording.clone();
    // Knuth's constants.
    let mut state = 1_u64;
    let mut noise = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let points = recording.tracks.iter_mut().flat_map(|track| &mut track.points).flatten();
    points.for_each(|x| *x += 1e-4 * noise());
    recording
}

fn recording(bytes: &[u8]) -> Result<Recording> {
    read(bytes, &ReadOptions::default()).map_err(|error| anyhow!("{error}"))
}

async fn too_long(browser: &Browser, student: &(&str, Vec<u8>)) -> Result<()> {
    let mut lesson = Lesson::new("S-LONG");
    let kept = packed(&noisy(&recording(&student.1)?), spelled);
    for number in 1..=4 {
        lesson.push(Slot::Student, &format!("swing {number}"), Json::Record(vec![]), kept.clone());
    }
    open(browser, &lesson.save()).await?;
    sharing(browser).await?;
    browser.click("handpath-compare >>> button.make-link").await?;
    browser.until("the word about it", "deep('handpath-compare >>> .sent').hidden === false", LIMIT).await?;
    let told = browser.text("handpath-compare >>> .sent p").await?;
    let shown = "const link = deep('handpath-compare >>> input.link');
        return [link.value, link.parentElement.hidden];";
    let shown = browser.run(shown, vec![]).await?;
    ensure!(shown == json!(["", true]), "a link is shown: {shown}");
    let size = told.split_whitespace().find_map(|word| word.parse::<usize>().ok()).with_context(|| told.clone())?;
    ensure!(size > 200_000 && told.contains("at most 200000"), "{told:?}");
    Ok(())
}

/// The part is loaded when it is opened.
pub(super) async fn sharing(browser: &Browser) -> Result<()> {
    browser.run("deep('handpath-compare >>> details.sharing').open = true;", vec![]).await?;
    browser.until("the part", "deep('handpath-compare >>> .sharing button.save')", LIMIT).await?;
    idle(browser).await
}

const NAME: &str = "Quentin Zabor";

/// A lesson with the name wherever somebody can put it.
fn named(bytes: &[u8]) -> Result<Lesson> {
    let mut recording = recording(bytes)?;
    recording.tracks.iter_mut().for_each(|track| track.name.insert_str(0, &format!("{NAME}:")));
    recording.events.push(Event { label: format!("{NAME} hits"), clock_s: recording.clock_s[0] });
    let mut lesson = Lesson::new(NAME);
    lesson.push(Slot::Student, NAME, Json::Record(vec![]), packed(&recording, spelled));
    lesson.push(Slot::Reference, &format!("{NAME} at his best"), Json::Record(vec![]), packed(&recording, spelled));
    for (field, text) in [
        ("pins", r#"[{"swing":1,"time_s":0.5,"text":"see, NAME","by":"NAME"}]"#),
        ("spans", r#"[{"swing":1,"from_s":0.4,"to_s":0.6,"text":"NAME's way"}]"#),
        ("story", r#"[{"say":"NAME turns.","swing":1,"look":{"view":"overhead"}}]"#),
        ("words", r#"[{"computed":"What NAME does.","own":"NAME!"}]"#),
        ("intake", r#"{"hope":"as NAME wants it","since":"NAME's lesson"}"#),
        ("plan", r#"{"drill":{"feel":"NAME's feel"}}"#),
        (
            "log",
            r#"[{"what":"begin","as":"practice","at":"2026-01-31T10:00:00Z"},{"what":"note","text":"NAME","at":"2026-01-31T10:00:01Z"}]"#,
        ),
        ("changes", r#"[{"coach":"NAME","date":"2026-01-31","what":"plan","from":null,"to":null}]"#),
        ("preset", r#"{"name":"NAME's house"}"#),
        ("tomorrow", r#""NAME""#),
    ] {
        lesson.document.set(field, parse(&text.replace("NAME", NAME)).map_err(|error| anyhow!("{error:?}"))?);
    }
    Ok(lesson)
}

/// Keeps a copy of the lesson as the desk keeps one, and words of one's own for the sentence that is shown.
const KEEP: &str = "window.kept = null;
    const name = arguments[0];
    const sentence = deep('handpath-compare >>> .summary p').textContent;
    const request = indexedDB.open('handpath', 1);
    request.onsuccess = () => {
        const put = request.result.transaction('lessons', 'readwrite').objectStore('lessons').put({ key: `desk:${name}`, code: name, at: '2026-01-31', text: name });
        put.onsuccess = () => { request.result.close(); window.kept = sentence; };
    };";

/// All that the page shows, says, prints, keeps and saves, by name.
const EVERYTHING: &str = "window.everything = null;
    const element = deep(arguments[0]);
    const shown = () => {
        const values = [...element.shadowRoot.querySelectorAll('input, textarea, select')].map(control => control.value);
        return element.shadowRoot.innerHTML + values.join(' ');
    };
    const database = () => new Promise((resolve, reject) => {
        const request = indexedDB.open('handpath', 1);
        request.onerror = () => reject(request.error);
        request.onsuccess = () => {
            const all = request.result.transaction('lessons').objectStore('lessons').getAll();
            all.onsuccess = () => { request.result.close(); resolve(JSON.stringify(all.result)); };
        };
    });
    (async () => {
        const found = { page: shown(), look: JSON.stringify(element.look), report: JSON.stringify(element.report) };
        dispatchEvent(new Event('beforeprint'));
        found.paper = shown();
        dispatchEvent(new Event('afterprint'));
        found.lesson = (await element.saveLesson()).text;
        found.small = (await element.saveLesson(true)).text;
        found.storage = JSON.stringify(localStorage);
        found.database = await database();
        window.everything = found;
    })().catch(fault => { window.everything = { fault: String(fault) }; });";

/// What of all that tells the name.
async fn telling(browser: &Browser) -> Result<Vec<String>> {
    browser.run(EVERYTHING, vec![json!(ELEMENT)]).await?;
    browser.until("everything", "window.everything", LIMIT).await?;
    let found = browser.run("return window.everything;", vec![]).await?;
    let mut all: Vec<(String, String)> = serde_json::from_value::<Map<String, Value>>(found)?
        .into_iter()
        .map(|(name, text)| (name, text.as_str().unwrap_or_default().to_owned()))
        .collect();
    ensure!(all.iter().all(|(name, text)| name != "fault" && text.len() > 1), "{all:?}");
    for what in ["measures", "paths", "svg"] {
        all.push((what.to_owned(), String::from_utf8(exports::saved(browser, what).await?)?));
    }
    // The name of what tells it, and what stands around it there.
    let tells = |(name, text): (String, String)| {
        let at = ["quentin", "zabor"].iter().find_map(|part| text.to_lowercase().find(part))?;
        let around: String = text.chars().skip(at.saturating_sub(80)).take(160).collect();
        Some(format!("{name}: {around}"))
    };
    Ok(all.into_iter().filter_map(tells).collect())
}

async fn nameless(browser: &Browser, student: &(&str, Vec<u8>)) -> Result<()> {
    open(browser, &named(&student.1)?.save()).await?;
    browser.until("the desk", "deep('handpath-compare >>> .desk-card')", LIMIT).await?;
    idle(browser).await?;
    browser.run(KEEP, vec![json!(NAME)]).await?;
    browser.until("a copy", "window.kept", LIMIT).await?;
    let words = "localStorage.setItem('handpath:words', JSON.stringify([['What Quentin Zabor does.', 'x']]));";
    browser.run(words, vec![]).await?;
    sharing(browser).await?;
    let before = telling(browser).await?;
    for what in ["page", "paper", "look", "report", "lesson", "small", "database", "measures", "paths"] {
        ensure!(
            before.iter().any(|told| told.starts_with(&format!("{what}: "))),
            "the name does not stand in {what}, only in {before:?}"
        );
    }
    browser.run("localStorage.removeItem('handpath:words');", vec![]).await?;
    browser.click("handpath-compare >>> button.anonymise").await?;
    let told = "deep('handpath-compare >>> .errors')?.textContent.includes('Anonymised: 2 swings')";
    browser.until("the word about it", told, LIMIT).await?;
    idle(browser).await?;
    let left = telling(browser).await?;
    ensure!(left.is_empty(), "the name still stands in {left:?}");
    let kept = "const { pins, spans, story } = deep('handpath-compare').look;
        return [pins[0].text, spans[0].text, story[0].say];";
    let kept = browser.run(kept, vec![]).await?;
    let code = kept[0].as_str().and_then(|text| text.strip_prefix("see, ")).with_context(|| kept.to_string())?;
    ensure!(code.starts_with("S-"), "{kept}");
    ensure!(kept[2] == format!("{code} turns."), "what was typed is lost: {kept}");
    browser.run("deep('handpath-compare').look = { story: [], pins: [], spans: [] };", vec![]).await?;
    idle(browser).await
}

async fn deleted(browser: &Browser) -> Result<()> {
    browser.run("localStorage.setItem('handpath:words', '[[\"a\",\"b\"]]');", vec![]).await?;
    sharing(browser).await?;
    browser.click("handpath-compare >>> button.delete-all").await?;
    browser
        .until(
            "the word about it",
            "deep('handpath-compare >>> .errors')?.textContent.includes('Everything was deleted')",
            LIMIT,
        )
        .await?;
    idle(browser).await?;
    let left = "const { look } = deep('handpath-compare');
        return [Object.keys(localStorage).filter(key => key.startsWith('handpath:')).length, look.pins.length,
            deep('handpath-compare >>> .slot[data-slot=student] .tag')?.textContent];";
    let left: Value = browser.run(left, vec![]).await?;
    ensure!(left == json!([0, 0, "demo"]), "{left}");
    painted(browser).await
}
