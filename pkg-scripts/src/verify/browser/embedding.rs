//! The element in pages of others: a blog, a frame on another host, made and taken away many times.

use super::scene::LIMIT;
use crate::browsers::{Browser, Engine};
use crate::pack;
use crate::project::root;
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use std::path::Path;
use tempfile::TempDir;

/// Two comparisons with three lines: the first two once a page.
const BLOG: &str = r#"<!doctype html><html lang="en"><meta charset="utf-8"><title>A lesson</title><link rel="icon" href="data:,">
<p>Before.</p>
<link rel="stylesheet" href="handpath/room.css">
<script type="module" src="handpath/define.js"></script>
<handpath-compare student="handpath/demo/student-1-1.c3d" references="handpath/demo/reference-b.trc" controls="view"></handpath-compare>
<p>Between.</p>
<handpath-compare student="handpath/demo/student-2-1.csv" references="handpath/demo/reference-a.c3d handpath/demo/none.c3d" controls="none" theme="dark"></handpath-compare>
<p>After.</p></html>"#;

/// Keeps what moves and what is refused, from the beginning.
const WATCH: &str = r"window.shifts = []; window.refused = []; window.breaches = [];
addEventListener('securitypolicyviolation', ({ violatedDirective, blockedURI }) => breaches.push(`${violatedDirective}: ${blockedURI}`));
addEventListener('handpath-refused', ({ detail }) => refused.push(detail));
if (PerformanceObserver.supportedEntryTypes.includes('layout-shift'))
  new PerformanceObserver(list => shifts.push(...list.getEntries().map(entry => entry.value))).observe({ type: 'layout-shift', buffered: true });
addEventListener('forge', () => {
  const frame = document.querySelector('iframe');
  const { origin } = new URL(frame.src);
  const say = (origin, source, data) => dispatchEvent(new MessageEvent('message', { origin, source, data }));
  say('https://other.example', frame.contentWindow, { handpath: 'height', height: 123 });
  say(origin, window, { handpath: 'height', height: 123 });
  say(origin, frame.contentWindow, { handpath: 'height', height: 'tall' });
  say(origin, frame.contentWindow, null);
});";

pub(super) async fn play(browser: &Browser, packed: &Path, own: &Server, tally: &mut Tally) {
    match site(packed, own) {
        Ok(folder) => scenes(browser, &folder, tally).await,
        Err(error) => tally.check("a page of another host is written", Err(error)),
    }
}

async fn scenes(browser: &Browser, folder: &TempDir, tally: &mut Tally) {
    let server = match Server::plain(folder.path()).await {
        Ok(server) => server,
        Err(error) => return tally.check("a host without a policy", Err(error)),
    };
    tally.check(
        "a page with a strict policy embeds two comparisons, and breaks nothing of it",
        strict(browser, folder).await,
    );
    tally.check("a blog embeds two comparisons, and nothing moves", blog(browser, &server.url).await);
    tally.check("every attribute is a property, 200 times", attributes(browser).await);
    tally.check("made and taken away 30 times, nothing is left", cycles(browser).await);
    tally.check("three pages in step end with one view, over a bad network", in_step(browser, &server.url).await);
    tally.check("pages in step show notes at the same swings, whatever their order", notes(browser, &server.url).await);
    tally.check("a frame takes the height it is told, from its own host only", frame(browser, &server.url).await);
}

/// A folder as a coach has it on a host, with the packed folder inside.
fn site(packed: &Path, own: &Server) -> Result<TempDir> {
    let folder = TempDir::new()?;
    pack::copy(packed, &folder.path().join("handpath"))?;
    std::fs::write(folder.path().join("index.html"), BLOG)?;
    std::fs::write(folder.path().join("watch.js"), WATCH)?;
    let blog = BLOG.replace("<p>Before.</p>", "<script src=\"watch.js\"></script><p>Before.</p>");
    std::fs::write(folder.path().join("index.html"), blog)?;
    let step = "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>In step</title><link rel=\"icon\" href=\"data:,\">
        <body><script type=\"module\" src=\"in-step.js\"></script></body></html>";
    for name in ["in-step.js", "in-step-notes.js"] {
        std::fs::write(folder.path().join(name.replace(".js", ".html")), step.replace("in-step.js", name))?;
        std::fs::copy(root().join("pkg-scripts/rehearsal").join(name), folder.path().join(name))?;
    }
    let address =
        format!("{}embed.html?student=demo/student-1-1.c3d&amp;view=overhead#references=demo/reference-b.trc", own.url);
    let frame = format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>A frame</title><link rel=\"icon\" href=\"data:,\">
        <iframe data-handpath src=\"{address}\" title=\"comparison\" width=\"100%\" height=\"300\"></iframe>
        <script src=\"watch.js\"></script><script src=\"{}frame.js\"></script></html>",
        own.url
    );
    std::fs::write(folder.path().join("frame.html"), frame)?;
    Ok(folder)
}

async fn state(browser: &Browser, index: usize) -> Result<Value> {
    let script = "return document.querySelectorAll('handpath-compare')[arguments[0]].dataset.state ?? null;";
    browser.run(script, vec![json!(index)]).await
}

async fn blog(browser: &Browser, url: &str) -> Result<()> {
    browser.open(url).await?;
    let states = "[...document.querySelectorAll('handpath-compare')].map(element => element.dataset.state)";
    browser.until("the first comparison", &format!("{states}[0] === 'ready'"), LIMIT).await?;
    ensure!(state(browser, 1).await? == Value::Null, "the second one began far below what is seen");
    browser.run("document.querySelectorAll('handpath-compare')[1].scrollIntoView();", vec![]).await?;
    browser.until("the second comparison", &format!("/ready|error/.test({states}[1])"), LIMIT).await?;
    let found = "const [first, second] = document.querySelectorAll('handpath-compare');
        return { names: [first, second].map(element => Object.values(element.report.files).map(file => file.report.name)),
            controls: [first, second].map(element => ['.files', '.transport', 'canvas.large'].map(part => element.shadowRoot.querySelector(part).offsetHeight > 0)),
            schemes: [first, second].map(element => element.shadowRoot.querySelector('.root').dataset.scheme) };";
    let found = browser.run(found, vec![]).await?;
    let expected = json!([["student-1-1", "reference-b"], ["student-2-1", "reference-a"]]);
    ensure!(found["names"] == expected, "shown are {}", found["names"]);
    ensure!(found["controls"] == json!([[false, true, true], [false, false, true]]), "controls {}", found["controls"]);
    ensure!(found["schemes"][1] == "dark", "the second comparison is {}", found["schemes"][1]);
    if browser.engine() == Engine::Chromium {
        let shifts = browser.run("return shifts;", vec![]).await?;
        ensure!(shifts == json!([]), "parts of the page moved: {shifts}");
    }
    Ok(())
}

/// The same page under the policy of the README.
async fn strict(browser: &Browser, folder: &TempDir) -> Result<()> {
    let server = Server::start(folder.path(), 0).await?;
    blog(browser, &server.url).await?;
    let breaches = browser.run("return breaches;", vec![]).await?;
    ensure!(breaches == json!([]), "{breaches}");
    // The watch itself is tried: a script in the page is refused.
    browser
        .run("document.body.append(Object.assign(document.createElement('script'), { text: '1' }));", vec![])
        .await?;
    browser.until("the policy is in force", "breaches.length > 0", LIMIT).await
}

/// Attributes and properties by turns, with good and bad words, from a fixed row of choices.
async fn attributes(browser: &Browser) -> Result<()> {
    let script = "const Element = customElements.get('handpath-compare');
        const element = document.createElement('handpath-compare');
        const words = ['face-on', 'own', 'in', 'dark', 'none', '0.5', 'nonsense', '', 'a.c3d b.trc', 'eager', 'side-by-side'];
        const bad = [];
        for (let i = 0; i < 200; i += 1) {
          const name = Element.observedAttributes[i % Element.observedAttributes.length];
          const word = words[(i * 7) % words.length];
          if (i % 2) element[name] = word; else element.setAttribute(name, word);
          const got = element[name];
          if (typeof got !== 'string' || element.getAttribute(name) !== word) bad.push([name, word, got]);
          element[name] = got;
          if (element[name] !== got || element.getAttribute(name) !== got) bad.push([name, word, got]);
          if (i % 5 === 0) { element[name] = null; if (element.hasAttribute(name)) bad.push([name, null]); }
        }
        return bad;";
    let bad = browser.run(script, vec![]).await?;
    ensure!(bad == json!([]), "attributes and properties differ: {bad}");
    Ok(())
}

/// Made, opened with a file, taken away. The pages' own elements stay.
async fn cycles(browser: &Browser) -> Result<()> {
    let script = "window.done = null; window.held = [];
        const Element = customElements.get('handpath-compare');
        (async () => {
          for (let i = 1; i <= 30; i += 1) {
            const element = document.createElement('handpath-compare');
            element.setAttribute('loading', 'eager');
            element.setAttribute('student', 'handpath/demo/reference-a.c3d');
            document.body.append(element);
            await element.whenIdle();
            if (element.dataset.state !== 'ready') throw new Error(element.dataset.state);
            element.remove();
            await new Promise(resolve => setTimeout(resolve, 20));
            if (i === 10 || i === 30) held.push(await Element.held());
          }
          window.done = 'done';
        })().catch(fault => { window.done = String(fault); });";
    browser.run(script, vec![]).await?;
    browser.until("30 elements", "window.done", LIMIT * 2).await?;
    let done = browser.run("return window.done;", vec![]).await?;
    ensure!(done == "done", "{done}");
    let held = browser.run("return held;", vec![]).await?;
    let [at_10, at_30] = [&held[0], &held[1]];
    ensure!(at_10 == at_30 && at_10["painters"] == 2 && at_10["workers"] == 2, "held after 10 and 30: {at_10} {at_30}");
    ensure!(at_10["bytes"].as_u64().context("bytes of memory")? > 0, "there is no memory");
    Ok(())
}

async fn in_step(browser: &Browser, url: &str) -> Result<()> {
    browser.open(&format!("{url}in-step.html")).await?;
    if let Err(error) = browser.until("a thousand actions", "document.body.dataset.done", LIMIT).await {
        let shown = browser.run("return document.documentElement.outerHTML.slice(0, 600);", vec![]).await?;
        return Err(error.context(format!("faults {:?}, the page is {shown}", browser.faults().await?)));
    }
    let done = browser.run("return JSON.parse(document.body.dataset.done);", vec![]).await?;
    let looks = done["looks"].as_array().with_context(|| done.to_string())?;
    ensure!(done["apart"].as_u64() > Some(1), "they never differed, so nothing was late: {done}");
    ensure!(looks.len() == 3 && looks.iter().all(|look| *look == looks[0]), "they end apart: {done}");
    Ok(())
}

/// Swings and references in another order, and a page that lacks one of each.
async fn notes(browser: &Browser, url: &str) -> Result<()> {
    browser.open(&format!("{url}in-step-notes.html")).await?;
    browser.until("three elements with notes", "document.body.dataset.done", LIMIT).await?;
    let done = browser.run("return JSON.parse(document.body.dataset.done);", vec![]).await?;
    let apart = |pins: u8, story: u8| json!({"pins": pins, "spans": 0, "story": story, "reference": 0});
    let told = |pins: &[&str], story: &[&str], apart: Value| json!({"pins": pins, "story": story, "reference": "reference-b", "apart": apart});
    let (first, second) = ("first at student-2-1", "second at student-1-1");
    let whole = |pins: &[&str]| told(pins, &["student-2-1"], json!({}));
    for (what, expected) in [
        ("before", [whole(&[first]), whole(&[first]), told(&[], &[], apart(1, 1))]),
        ("after", [whole(&[first, second]), whole(&[first, second]), told(&[second], &[], apart(1, 1))]),
        (
            "whole",
            [whole(&[first, second]), whole(&[first, second]), told(&[first, second], &["student-2-1"], apart(0, 0))],
        ),
    ] {
        let found = &done[what];
        ensure!(*found == json!(expected), "{what}: {found} in place of {}", json!(expected));
    }
    Ok(())
}

async fn frame(browser: &Browser, url: &str) -> Result<()> {
    browser.open(&format!("{url}frame.html")).await?;
    let height = "document.querySelector('iframe').offsetHeight";
    browser.until("the height of the frame", &format!("{height} > 1000"), LIMIT).await?;
    let script = "const frame = document.querySelector('iframe');
        const before = frame.offsetHeight;
        dispatchEvent(new Event('forge'));
        return [before, frame.offsetHeight];";
    let heights = browser.run(script, vec![]).await?;
    ensure!(heights[0] == heights[1], "a message from elsewhere set the height: {heights}");
    Ok(())
}
