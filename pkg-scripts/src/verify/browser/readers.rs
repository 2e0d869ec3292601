//! Readers of many kinds: text twice as large, a narrow window, wider spacing, other languages, right to left.

use super::scene::{ELEMENT, LIMIT, idle, painted};
use crate::browsers::{Browser, Engine, Scheme};
use crate::project::www;
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use std::collections::BTreeMap;

pub(super) async fn play(browser: &Browser, server: &Server, tally: &mut Tally) {
    tally.check(
        "German and Spanish are spoken throughout, and say who translated them",
        languages(browser, server).await,
    );
    tally.check("from right to left nothing is lost, and pictures stay", right_to_left(browser, server).await);
    // Widths as narrow as these are set the way that this engine alone has.
    if browser.engine() == Engine::Chromium {
        tally
            .check("the first screen of a phone has the picture, in any language", first_screen(browser, server).await);
        tally.check("320 px wide nothing scrolls sideways, in any language", narrow(browser, server).await);
        tally.check("text twice as large, and with wider spacing, is all there", larger(browser, server).await);
        tally.check("the window is as it was", browser.look(1280, 900, Scheme::Light).await);
    }
}

async fn open(browser: &Browser, server: &Server) -> Result<()> {
    browser.open(&server.url).await?;
    browser.until("the demo", "document.querySelector('handpath-compare').dataset.state === 'ready'", LIMIT).await?;
    idle(browser).await
}

async fn speak(browser: &Browser, language: &str) -> Result<()> {
    browser.run("deep(arguments[0]).language = arguments[1];", vec![json!(ELEMENT), json!(language)]).await?;
    let spoken = format!("deep('{ELEMENT} >>> .root')?.lang === '{language}'");
    browser.until("the language", &spoken, LIMIT).await?;
    idle(browser).await
}

async fn unfold(browser: &Browser) -> Result<()> {
    let script =
        "deep(arguments[0]).shadowRoot.querySelectorAll('details').forEach(details => { details.open = true; });";
    browser.run(script, vec![json!(ELEMENT)]).await?;
    idle(browser).await
}

type Catalogue = BTreeMap<String, String>;

fn catalogue(language: &str) -> Result<Catalogue> {
    let mut all = Catalogue::new();
    for part in ["", "engine."] {
        let text = std::fs::read_to_string(www().join(format!("text/{part}{language}.json")))?;
        all.extend(serde_json::from_str::<Catalogue>(&text)?);
    }
    Ok(all)
}

/// All that is read in the element, piece by piece: texts and labels, without the names that the page's author gave.
const PIECES: &str = "const { shadowRoot } = deep('handpath-compare');
    const pieces = [];
    const walk = document.createTreeWalker(shadowRoot.querySelector('.root'), NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) pieces.push(walk.currentNode.textContent.trim());
    for (const node of shadowRoot.querySelectorAll('[aria-label], [title], [aria-valuetext], [placeholder]'))
      for (const name of ['aria-label', 'title', 'aria-valuetext', 'placeholder']) if (node.hasAttribute(name)) pieces.push(node.getAttribute(name).trim());
    return [...new Set(pieces.filter(Boolean))];";

/// No English sentence or label is left, numbers have the mark of the language, tables for programs keep theirs.
async fn languages(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server).await?;
    let english = catalogue("en")?;
    for language in ["de", "es"] {
        speak(browser, language).await?;
        unfold(browser).await?;
        let own = catalogue(language)?;
        let pieces: Vec<String> = serde_json::from_value(browser.run(PIECES, vec![]).await?)?;
        ensure!(pieces.len() > 300, "{language}: only {} pieces of text", pieces.len());
        let foreign = english.iter().filter(|(key, text)| {
            !text.contains('{')
                && text.chars().count() > 3
                && !own.values().any(|word| word == *text)
                && own[*key] != **text
        });
        let foreign: Vec<&String> = foreign.map(|(_, text)| text).filter(|text| pieces.contains(text)).collect();
        ensure!(foreign.is_empty(), "{language}: in English stand {foreign:?}");
        ensure!(pieces.contains(&own["language.note"]), "{language}: nothing says who translated it");
        let seconds = pieces.iter().any(|text| text.ends_with(" s") && text.contains(','));
        ensure!(seconds && !pieces.iter().any(|text| is_decimal(text)), "{language}: numbers have another mark");
        ensure!(browser.text("handpath-compare >>> caption").await?.contains("cm"), "{language}: no unit");
        painted(browser).await?;
        let table = String::from_utf8(super::exports::saved(browser, "measures").await?)?;
        let head = table.lines().next().unwrap_or_default();
        ensure!(head.contains("measure") && table.contains("0."), "the table begins {head}");
    }
    speak(browser, "en").await?;
    let note = browser.run("return deep('handpath-compare >>> .unreviewed');", vec![]).await?;
    ensure!(note.is_null(), "English is said to be translated");
    Ok(())
}

/// "0.84 s", with a point.
fn is_decimal(text: &str) -> bool {
    let digits = |part: &str| !part.is_empty() && part.chars().all(|c| c.is_ascii_digit());
    text.split_once('.').is_some_and(|(whole, rest)| digits(whole) && rest.strip_suffix(" s").is_some_and(digits))
}

/// Nothing stands out of the window, whatever is unfolded.
async fn fits(browser: &Browser, what: &str) -> Result<()> {
    let script = "const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
        const { shadowRoot } = deep('handpath-compare');
        const out = [...shadowRoot.querySelectorAll('.root *')].filter(node => node.checkVisibility() && !node.closest('.scroll, select, .overlay'))
          .filter(node => { const { left, right, width } = node.getBoundingClientRect(); return width > 1 && (left < -1 || right > document.documentElement.clientWidth + 1); });
        return [wide, out.slice(0, 3).map(node => node.outerHTML.slice(0, 90))];";
    let found = browser.run(script, vec![]).await?;
    ensure!(
        found[0].as_i64() <= Some(0) && found[1] == json!([]),
        "{what}: scrolls by {}, out stand {}",
        found[0],
        found[1]
    );
    Ok(())
}

/// What is seen before anything is scrolled, and that the order of the keys is the order that is seen.
const FIRST_SCREEN: &str = "const { shadowRoot } = deep('handpath-compare');
    const parts = ['.summary p', 'canvas.large', '.story', '.scrub', '.transport', '.warnings'].map(name => shadowRoot.querySelector(name));
    const [said, picture, story] = parts.map(part => part.getBoundingClientRect());
    const follows = parts.slice(1).map((part, i) => Boolean(parts[i].compareDocumentPosition(part) & Node.DOCUMENT_POSITION_FOLLOWING));
    return { said: said.bottom, picture: [picture.top, picture.bottom], story: story.top, height: innerHeight, follows };";

async fn first_screen(browser: &Browser, server: &Server) -> Result<()> {
    browser.look(390, 844, Scheme::Light).await?;
    open(browser, server).await?;
    for language in ["en", "de", "es"] {
        speak(browser, language).await.or_else(|error| if language == "en" { Ok(()) } else { Err(error) })?;
        browser.run("scrollTo(0, 0);", vec![]).await?;
        let seen = browser.run(FIRST_SCREEN, vec![]).await?;
        let number = |value: &Value| value.as_f64().with_context(|| seen.to_string());
        let (said, height) = (number(&seen["said"])?, number(&seen["height"])?);
        let [top, bottom] = [number(&seen["picture"][0])?, number(&seen["picture"][1])?];
        ensure!(said <= top && bottom <= height + 1.0, "{language}: {seen}");
        ensure!(number(&seen["story"])? >= bottom, "{language}: the story stands before the picture: {seen}");
        // The scrubber belongs to the picture: it comes before the story.
        let order = [true, true, false, true, true];
        ensure!(seen["follows"] == json!(order), "{language}: keys go another way: {seen}");
    }
    // A phone that is turned: what was moved goes back, and nothing is lost.
    browser.look(1280, 900, Scheme::Light).await?;
    let wide = "const { shadowRoot } = deep('handpath-compare');
        return shadowRoot.querySelector('.story').getBoundingClientRect().bottom <= shadowRoot.querySelector('canvas.large').getBoundingClientRect().top;";
    browser.until("the wide page", &format!("(() => {{ {wide} }})()"), LIMIT).await?;
    painted(browser).await
}

/// WCAG 2.2, 1.4.10: 320 CSS px is 1280 at 400 %.
async fn narrow(browser: &Browser, server: &Server) -> Result<()> {
    browser.look(320, 800, Scheme::Light).await?;
    open(browser, server).await?;
    for language in ["en", "de", "es"] {
        speak(browser, language).await.or_else(|error| if language == "en" { Ok(()) } else { Err(error) })?;
        unfold(browser).await?;
        fits(browser, language).await?;
    }
    Ok(())
}

/// WCAG 2.2, 1.4.4: twice as large in a window of 1280, which leaves 640 CSS px; 1.4.12: lines 1.5 times the size of the
/// letters, 0.12 times between letters, 0.16 times between words, paragraphs twice apart.
async fn larger(browser: &Browser, server: &Server) -> Result<()> {
    browser.look(640, 450, Scheme::Light).await?;
    open(browser, server).await?;
    unfold(browser).await?;
    fits(browser, "at 200 %").await?;
    browser.look(390, 900, Scheme::Light).await?;
    let script = "const sheet = new CSSStyleSheet();
        sheet.replaceSync('* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important; } p { margin-bottom: 2em !important; }');
        deep('handpath-compare').shadowRoot.adoptedStyleSheets = [sheet];";
    browser.run(script, vec![]).await?;
    idle(browser).await?;
    fits(browser, "with wider spacing").await?;
    let cut = "return [...deep('handpath-compare').shadowRoot.querySelectorAll('button, label, th, td, p, summary, h2, h3')]
        .filter(node => node.checkVisibility() && getComputedStyle(node).overflow !== 'visible' && node.scrollHeight > node.clientHeight + 2 && !node.matches('.companion'))
        .map(node => node.outerHTML.slice(0, 90));";
    let cut = browser.run(cut, vec![]).await?;
    ensure!(cut == json!([]), "cut off are {cut}");
    Ok(())
}

/// What a canvas shows, as a number.
async fn shown(browser: &Browser) -> Result<Value> {
    super::scene::print(browser).await
}

async fn right_to_left(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server).await?;
    let before = shown(browser).await?;
    browser.run("document.documentElement.dir = 'rtl';", vec![]).await?;
    idle(browser).await?;
    ensure!(shown(browser).await? == before, "the picture is another one");
    unfold(browser).await?;
    fits(browser, "from right to left").await?;
    let script = "const { shadowRoot } = deep('handpath-compare');
        const [large, companions, scrub, aim] = ['canvas.large', '.companions', '.scrub', '.aim input'].map(name => shadowRoot.querySelector(name));
        const [name, picture] = ['.view-name', 'canvas.large'].map(name => shadowRoot.querySelector(name).getBoundingClientRect());
        const cell = shadowRoot.querySelector('.deviations td, table td');
        return [large.getBoundingClientRect().left > companions.getBoundingClientRect().left,
          getComputedStyle(scrub).direction, getComputedStyle(aim).direction, getComputedStyle(cell).unicodeBidi, getComputedStyle(large).direction, name.left > picture.left + picture.width / 2];";
    let found = browser.run(script, vec![]).await?;
    ensure!(
        found == json!([true, "ltr", "rtl", "plaintext", "ltr", true]),
        "mirrored, directions of scrubber, slider, numbers, picture: {found}"
    );
    scrubs_as_painted(browser).await?;
    browser.run("document.documentElement.removeAttribute('dir');", vec![]).await.map(drop)
}

/// On the scrubber later is on the right, as it is painted, and the right arrow leads there.
async fn scrubs_as_painted(browser: &Browser) -> Result<()> {
    let mut times = Vec::new();
    for place in ["0.2", "0.8"] {
        browser.set("handpath-compare >>> input.scrub", place).await?;
        idle(browser).await?;
        let time = browser.run("return deep('handpath-compare').look.time;", vec![]).await?;
        times.push(time.as_f64().context("no time")?);
    }
    ensure!(times[0] < times[1], "the scrubber runs backwards: {times:?}");
    Ok(())
}
