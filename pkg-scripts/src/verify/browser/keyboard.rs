//! The whole job by keys alone: no click, no focus set by a script. Only the dialogs of the system are left out, which no
//! driver reaches: a file is handed to the field that has the focus, a saved file is caught, printing is noted.

use super::exports::CATCH;
use super::scene::{ELEMENT, LIMIT, idle};
use crate::browsers::Browser;
use crate::project::www;
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, bail, ensure};
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use serde::Deserialize;
use serde_json::{Value, json};
use std::path::Path;

/// Codes of keys (WebDriver, section 17.4.2).
const TAB: &str = "\u{e004}";
const SHIFT: char = '\u{e008}';
const ENTER: &str = "\u{e007}";
const RIGHT: &str = "\u{e014}";
const PAGE_DOWN: &str = "\u{e00f}";
const HOME: &str = "\u{e011}";
const END: &str = "\u{e010}";

/// More stops than the page has with everything unfolded.
const MOST: usize = 400;

/// Where the focus is, and all places it can be moved to, in the order of the document, through shadow roots.
const FOCUS: &str = "
    const inner = () => { let at = document.activeElement; while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement; return at; };
    const label = node => node.matches('body, html') ? '' : [node.localName, node.className, node.name, node.id, node.getAttribute('data-save'), node.getAttribute('data-slot'), node.textContent.slice(0, 20).trim()].filter(part => typeof part === 'string' && part).join(' ');
    const shown = node => node.checkVisibility({ visibilityProperty: true }) && node.getClientRects().length > 0;
    const all = root => [...root.querySelectorAll('*')].flatMap(node => [node, ...(node.shadowRoot ? all(node.shadowRoot) : [])]);
    const reachable = () => all(document).filter(node => node.matches('a[href], button, input, select, textarea, summary, [tabindex]') && node.tabIndex >= 0 && !node.matches(':disabled') && shown(node));
    const boxOf = node => node.matches('.scrub') ? node.parentElement : node.matches('[type=file]') ? node.nextElementSibling : node;
";

/// One place of the focus.
#[derive(Debug, Deserialize)]
struct Stop {
    label: String,
    /// Index among the places that can be reached; none: it is one that only scrolls, or nothing in the page.
    place: Option<usize>,
    /// Left, top, right, bottom in the page, CSS pixels.
    frame: [f64; 4],
    /// Has an outline, and lies in the window.
    outlined: bool,
    seen: bool,
}

pub(super) async fn play(browser: &Browser, server: &Server, tally: &mut Tally) {
    tally.check("by keys: every control is reached, in the order it is seen, outlined", reach(browser, server).await);
    tally.check("by keys: the whole job, from a file to the report", job(browser, server).await);
    tally.check("by keys: letters do nothing outside, nor while text is typed", letters(browser, server).await);
}

async fn open(browser: &Browser, server: &Server) -> Result<()> {
    // Left by another page: what is kept would be shown here.
    browser.open(&server.url).await?;
    browser.run("localStorage.clear();", vec![]).await?;
    browser.open(&server.url).await?;
    browser.until("the demo", "document.querySelector('handpath-compare').dataset.state === 'ready'", LIMIT).await?;
    idle(browser).await
}

async fn stop(browser: &Browser) -> Result<Stop> {
    let script = format!(
        "{FOCUS}
        const node = inner() ?? document.body;
        const box = boxOf(node) ?? node;
        const style = getComputedStyle(box);
        const at = box.getBoundingClientRect();
        const place = reachable().indexOf(node);
        const seen = at.bottom > 0 && at.top < innerHeight && at.right > 0 && at.left < innerWidth;
        return {{ label: label(node), place: place < 0 ? null : place, seen,
          frame: [at.left + scrollX, at.top + scrollY, at.right + scrollX, at.bottom + scrollY],
          outlined: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2 }};"
    );
    Ok(serde_json::from_value(browser.run(&script, vec![]).await?)?)
}

/// Through the page as it opens, and back a little: no place is left out, none is a trap.
async fn reach(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server).await?;
    let count = browser.run(&format!("{FOCUS} return reachable().map(label);"), vec![]).await?;
    let labels: Vec<String> = serde_json::from_value(count)?;
    ensure!(labels.len() > 25, "only {} places can be reached", labels.len());
    let mut stops = Vec::new();
    while stops.len() < MOST {
        browser.press(TAB).await?;
        let now = stop(browser).await?;
        // A box that scrolls may be a place of its own; after the last one the focus leaves the page or begins anew.
        let ended = now.label.is_empty() || now.place == Some(0);
        if ended && !stops.is_empty() {
            break;
        }
        if now.place.is_some() {
            stops.push(now);
        }
    }
    let places: Vec<usize> = stops.iter().filter_map(|stop| stop.place).collect();
    let missing: Vec<&String> =
        labels.iter().enumerate().filter(|(i, _)| !places.contains(i)).map(|(_, l)| l).collect();
    ensure!(missing.is_empty(), "not reached by Tab: {missing:?}");
    ensure!(places.is_sorted() && places.len() == labels.len(), "the order is {places:?}");
    let bad: Vec<&Stop> = stops.iter().filter(|stop| !stop.outlined || !stop.seen).collect();
    ensure!(bad.is_empty(), "the focus is not seen on {bad:?}");
    let jumps = stops.windows(2).filter(|pair| !follows(pair)).map(|pair| [&pair[0].label, &pair[1].label]);
    let jumps: Vec<_> = jumps.collect();
    ensure!(jumps.is_empty(), "the focus jumps back: {jumps:?}");
    open(browser, server).await?;
    back(browser).await
}

/// And back again: from a control in the middle to those before it.
async fn back(browser: &Browser) -> Result<()> {
    reach_to(browser, ".play").await?;
    let mut places = vec![stop(browser).await?.place.context("no place")?];
    for _ in 0..5 {
        browser.press_holding(SHIFT, TAB).await?;
        places.extend(stop(browser).await?.place);
    }
    ensure!(places.len() > 4 && places.windows(2).all(|pair| pair[1] + 1 == pair[0]), "back it goes by {places:?}");
    Ok(())
}

/// Read from left to right and from the top: the next place is below, beside, or begins a new column.
fn follows(pair: &[Stop]) -> bool {
    let ([left, top, right, bottom], next) = (pair[0].frame, pair[1].frame);
    let above = next[3] <= top + 1.0;
    let before = next[2] <= left + 1.0 && next[1] < bottom - 1.0 && next[3] <= bottom + 1.0;
    !(before || above && next[0] < right - 1.0)
}

/// Moves the focus to the first such control, on or back as it lies, never over the end of the page.
async fn reach_to(browser: &Browser, selector: &str) -> Result<()> {
    let script = format!(
        "{FOCUS} const places = reachable();
        const [now, there] = [places.indexOf(inner()), places.findIndex(node => node.matches(arguments[0]))];
        return there < 0 ? null : inner()?.matches(arguments[0]) ? 0 : now < 0 || there > now ? 1 : -1;"
    );
    for _ in 0..MOST {
        match browser.run(&script, vec![json!(selector)]).await?.as_i64() {
            None => bail!("{selector} cannot be reached"),
            Some(0) => {
                let at = stop(browser).await?;
                ensure!(at.outlined && at.seen, "the focus is not seen on {at:?}");
                return Ok(());
            }
            Some(1) => browser.press(TAB).await?,
            Some(_) => browser.press_holding(SHIFT, TAB).await?,
        }
    }
    bail!("{selector} is not reached by Tab")
}

async fn press_at(browser: &Browser, selector: &str, keys: &str) -> Result<()> {
    reach_to(browser, selector).await?;
    browser.press(keys).await?;
    idle(browser).await
}

async fn look(browser: &Browser, part: &str) -> Result<Value> {
    browser.run("return deep('handpath-compare').look[arguments[0]];", vec![json!(part)]).await
}

/// Unfolds a part whose summary has the focus next.
async fn unfold(browser: &Browser, part: &str) -> Result<()> {
    press_at(browser, &format!("details{part} > summary"), ENTER).await?;
    let open =
        browser.run("return deep(arguments[0]).open;", vec![json!(format!("{ELEMENT} >>> details{part}"))]).await?;
    ensure!(open == true, "{part} stays folded");
    Ok(())
}

async fn job(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server).await?;
    reworded(browser).await.context("a sentence")?;
    walked(browser).await.context("scrubber and views")?;
    numbered(browser).await.context("numbers")?;
    reported(browser).await.context("the report")?;
    chosen(browser).await.context("a file")?;
    corrected(browser).await.context("corrections")?;
    pinned(browser).await.context("a pin")?;
    saved_and_opened(browser).await.context("the lesson")
}

/// A file of the student; the focus stays where it was.
async fn chosen(browser: &Browser) -> Result<()> {
    reach_to(browser, "input[type=file][data-slot=student]").await?;
    let field = format!("{ELEMENT} >>> input[type=file][data-slot=student]");
    browser.choose_file(&field, &www().join("demo/student-2-1.csv")).await?;
    let opened =
        "Object.values(deep('handpath-compare').report.files).some(({ report }) => report.name === 'student-2-1')";
    browser.until("the file", opened, LIMIT).await?;
    idle(browser).await?;
    let focused = format!("{FOCUS} return inner().matches('input[type=file][data-slot=student]');");
    ensure!(browser.run(&focused, vec![]).await? == true, "the focus is lost with the file");
    Ok(())
}

/// What a guess says of the file that is shown.
async fn told(browser: &Browser, correction: &str) -> Result<String> {
    browser.text(&format!("{ELEMENT} >>> [data-correction='{correction}'] .found")).await
}

/// The target line by its first letter, a point of the body by the name of its track.
async fn corrected(browser: &Browser) -> Result<()> {
    unfold(browser, ".corrections").await?;
    let aim = "return deep('handpath-compare >>> .corrections input[name=aim]').getAttribute('aria-valuetext');";
    let aim = browser.run(aim, vec![]).await?;
    ensure!(aim.as_str().is_some_and(|text| text.contains('°')), "the slider of the target line says {aim}");
    let line = told(browser, "target").await?;
    press_at(browser, "select[name=target]", "s").await?;
    let now = told(browser, "target").await?;
    ensure!(now != line && now.contains("shoulder"), "the target line was by {line:?}, is by {now:?}");
    unfold(browser, ".role-list").await?;
    let point = told(browser, "role left-ankle").await?;
    press_at(browser, "select[name='left-ankle']", "n").await?;
    let now = told(browser, "role left-ankle").await?;
    ensure!(now != point && now.contains("not found"), "the ankle was {point:?}, is {now:?}");
    Ok(())
}

/// Every instant by the scrubber, said as it is reached; every view by its button.
async fn walked(browser: &Browser) -> Result<()> {
    reach_to(browser, "canvas.large").await?;
    for view in ["face-on", "overhead", "free", "down-the-line"] {
        press_at(browser, &format!(".companion[data-view={view}]"), ENTER).await?;
        ensure!(look(browser, "view").await? == view, "{view} is not shown");
    }
    press_at(browser, ".scrub", HOME).await?;
    let spoken = "return deep('handpath-compare >>> .scrub').getAttribute('aria-valuetext');";
    let mut said = vec![browser.run(spoken, vec![]).await?.to_string()];
    for _ in 0..10 {
        browser.press(PAGE_DOWN).await?;
        idle(browser).await?;
        said.push(browser.run(spoken, vec![]).await?.to_string());
    }
    let script = "const { files } = deep('handpath-compare').report;
        return Object.values(files)[0].report.instants.map(({ name }) => name);";
    let instants: Vec<String> = serde_json::from_value(browser.run(script, vec![]).await?)?;
    ensure!(instants.len() >= 6, "the demo has {instants:?}");
    let missing: Vec<&String> = instants.iter().filter(|name| !said.iter().any(|text| text.contains(*name))).collect();
    ensure!(missing.is_empty(), "{missing:?} are not said: {said:?}");
    ensure!(said.iter().all(|text| text.contains(" s\"")), "no time is said: {said:?}");
    Ok(())
}

/// The target line turned by the slider, a number lit and its place found.
async fn numbered(browser: &Browser) -> Result<()> {
    press_at(browser, ".aim input", RIGHT).await?;
    ensure!(look(browser, "aim").await? == 0.5, "the line is turned by {}", look(browser, "aim").await?);
    let said =
        browser.run("return deep('handpath-compare >>> .aim input').getAttribute('aria-valuetext');", vec![]).await?;
    ensure!(said.as_str().is_some_and(|text| text.contains("0.5")), "said is {said}");
    press_at(browser, ".aim button:last-of-type", ENTER).await?;
    ensure!(look(browser, "aim").await? == 0, "the line stays turned");
    reach_to(browser, ".numbers .place").await?;
    idle(browser).await?;
    let lit = look(browser, "lit").await?;
    ensure!(lit["row"].is_string(), "{lit} is lit");
    press_at(browser, ".numbers .place", ENTER).await?;
    ensure!(look(browser, "time").await? == lit["to"], "the cursor is not at {lit}");
    Ok(())
}

/// Words of one's own behind the first sentence.
async fn reworded(browser: &Browser) -> Result<()> {
    press_at(browser, ".sentences > button", ENTER).await?;
    reach_to(browser, "textarea").await?;
    browser.press_holding('\u{e009}', END).await?;
    browser.press(" Watch this.").await?;
    press_at(browser, ".rewording [type=submit]", ENTER).await?;
    let said = browser.text(&format!("{ELEMENT} >>> .summary p")).await?;
    ensure!(said.ends_with("Watch this."), "the sentence is {said:?}");
    Ok(())
}

/// K opens the notes at their field.
async fn pinned(browser: &Browser) -> Result<()> {
    press_at(browser, "canvas.large", "k").await?;
    reach_to(browser, ".note-text").await?;
    browser.press(&format!("hands down{ENTER}")).await?;
    idle(browser).await?;
    let pins = look(browser, "pins").await?;
    ensure!(pins.as_array().is_some_and(|pins| pins.len() == 1) && pins[0]["text"] == "hands down", "pins are {pins}");
    Ok(())
}

async fn saved_and_opened(browser: &Browser) -> Result<()> {
    unfold(browser, ".sharing").await?;
    browser.until("the part", "deep('handpath-compare >>> .sharing button.save')", LIMIT).await?;
    browser.run(CATCH, vec![]).await?;
    press_at(browser, ".sharing .save", ENTER).await?;
    browser.until("the lesson", "window.saved", LIMIT).await?;
    let url = browser.run("return window.saved;", vec![]).await?;
    let (_, base64) = url.as_str().and_then(|url| url.split_once(";base64,")).context("no file was saved")?;
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("lesson.json");
    std::fs::write(&file, BASE64_STANDARD.decode(base64)?)?;
    press_at(browser, ".sharing .delete-all", ENTER).await?;
    let pins = look(browser, "pins").await?;
    ensure!(pins == json!([]), "everything was deleted, {pins} is left");
    reopened(browser, &file).await
}

async fn reopened(browser: &Browser, file: &Path) -> Result<()> {
    unfold(browser, ".sharing").await?;
    browser.until("the part", "deep('handpath-compare >>> .sharing button.save')", LIMIT).await?;
    reach_to(browser, "input.open-lesson").await?;
    browser.choose_file(&format!("{ELEMENT} >>> input.open-lesson"), file).await?;
    browser.until("the lesson", "deep('handpath-compare').look.pins.length === 1", LIMIT).await?;
    idle(browser).await?;
    unfold(browser, ".corrections").await?;
    let line = told(browser, "target").await?;
    ensure!(line.contains("shoulder"), "in the lesson the target line is by {line:?}");
    let pins = look(browser, "pins").await?;
    ensure!(pins[0]["text"] == "hands down", "in the lesson the pin is {pins}");
    Ok(())
}

/// Printing opens a dialog of the system: that it is asked for is noted.
async fn reported(browser: &Browser) -> Result<()> {
    browser.run("window.printed = 0; window.print = () => { window.printed += 1; };", vec![]).await?;
    press_at(browser, "[data-save=print]", ENTER).await?;
    let printed = browser.run("return window.printed;", vec![]).await?;
    ensure!(printed == 1, "printing was asked for {printed} times");
    Ok(())
}

/// WCAG 2.2, 2.1.4: keys that are letters work with the focus in the comparison only, and are letters in a field.
async fn letters(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server).await?;
    let keys = "omubln21kj ";
    let script = "return JSON.stringify(deep('handpath-compare').look);";
    let before = browser.run(script, vec![]).await?;
    browser.press(keys).await?;
    idle(browser).await?;
    ensure!(browser.run(script, vec![]).await? == before, "keys work without the focus");
    press_at(browser, "canvas.large", "o").await?;
    ensure!(browser.run(script, vec![]).await? != before, "with the focus a key does nothing");
    press_at(browser, "canvas.large", "ok").await?;
    reach_to(browser, ".note-text").await?;
    let before = browser.run(script, vec![]).await?;
    browser.press(keys).await?;
    idle(browser).await?;
    ensure!(browser.run(script, vec![]).await? == before, "typed letters are taken for keys");
    let typed = browser.run("return deep('handpath-compare >>> .note-text').value;", vec![]).await?;
    ensure!(typed == keys, "typed is {typed}");
    Ok(())
}
