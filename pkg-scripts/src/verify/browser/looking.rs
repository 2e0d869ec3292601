//! Curves, what the pointer lights, what is kept of the view, and the page on paper.

use super::exports::saved;
use super::reading::{place_of, press_for};
use super::scene::{ELEMENT, drop_student, idle};
use crate::browsers::{Browser, Engine};
use crate::project::www;
use anyhow::{Context, Result, bail, ensure};
use flate2::read::ZlibDecoder;
use handpath::picture::plot::{Plot, Quantity};
use handpath::picture::{Picture, ViewState};
use handpath::session::{Answer, Job, JobFile, Session, Slot};
use handpath::settings::Corrections;
use handpath::words::english;
use serde_json::{Value, json};
use std::io::Read;

const FILES: [&str; 2] = ["student-1-1.c3d", "reference-a.c3d"];

/// The core's answer to a student and a reference, after the page was given both.
async fn given(browser: &Browser) -> Result<Answer> {
    super::several::clear(browser, "reference").await?;
    let mut session = Session::default();
    let mut job = Job::default();
    for (id, (slot, name)) in (1..).zip([Slot::Student, Slot::Reference].into_iter().zip(FILES)) {
        let bytes = std::fs::read(www().join("demo").join(name))?;
        match slot {
            Slot::Student => drop_student(browser, name, &bytes).await?,
            _ => super::scene::drop_files(browser, "reference", &[(name, &bytes)]).await?,
        }
        session.put(id, bytes);
        let label = name.split('.').next().unwrap_or_default().to_owned();
        job.files.push(JobFile { id, slot, label, corrections: Corrections::default() });
    }
    Ok(session.compare(&job))
}

/// Every curve is painted and reads at the cursor what the core reads there; dragging in it moves the one cursor.
pub(super) async fn curves(browser: &Browser) -> Result<()> {
    let picture = given(browser).await?.picture.context("natively there is no picture")?;
    browser.run("deep('handpath-compare >>> details.plots').open = true;", vec![]).await?;
    for (name, digits) in [("speed", 1), ("out", 0), ("target", 0), ("up", 0), ("shares", 0), ("lateness", 0)] {
        browser.set(&format!("{ELEMENT} >>> select[name=quantity]"), name).await?;
        idle(browser).await?;
        let colours = browser.colours(&format!("{ELEMENT} >>> canvas.plot")).await?;
        ensure!(colours > 2, "{name}: {colours} colours");
        reads(browser, &picture, name, digits).await?;
    }
    let before = time(browser).await?;
    let drag = "const canvas = deep('handpath-compare >>> canvas.plot');
        const {left, top, width, height} = canvas.getBoundingClientRect();
        const at = {clientX: left + 0.5 * width, clientY: top + 0.5 * height};
        canvas.dispatchEvent(new PointerEvent('pointermove', {...at, buttons: 1, bubbles: true, composed: true}));";
    browser.run(drag, vec![]).await?;
    idle(browser).await?;
    ensure!((time(browser).await? - before).abs() > 0.01, "dragging in a curve does not move the cursor");
    reads(browser, &picture, "lateness", 0).await?;
    browser.run("deep('handpath-compare >>> details.plots').open = false;", vec![]).await.map(drop)
}

async fn time(browser: &Browser) -> Result<f64> {
    let time = browser.run("return deep('handpath-compare').look.time;", vec![]).await?;
    time.as_f64().context("the cursor has no time")
}

async fn reads(browser: &Browser, picture: &Picture, name: &str, digits: usize) -> Result<()> {
    let reference: Value = browser.run("return deep('handpath-compare').look.reference;", vec![]).await?;
    let reference = reference.as_u64().context("no reference")? as usize;
    // The demo's references left when the user's own came.
    ensure!(reference < picture.references.len(), "reference {reference} is compared");
    let state = ViewState { time: time(browser).await?, reference, ..ViewState::default() };
    let native = Plot::new(picture, &state, Quantity::parse(name), None).reading();
    ensure!(!native.is_empty(), "{name}: natively nothing is read");
    let shown = browser.text(&format!("{ELEMENT} >>> .plots output")).await?;
    for (key, value) in native {
        // A minus sign, and no minus zero.
        let number = format!("{value:.digits$}").replace('-', "−");
        let number =
            if number.trim_start_matches('−').parse() == Ok(0.0) { number.replace('−', "") } else { number };
        let part = format!("{} {number} ", english(key));
        ensure!(shown.contains(&part), "{name}: {part:?} is not in {shown:?}");
    }
    Ok(())
}

/// The pointer over an instant of the picture lights it and its rows.
pub(super) async fn hovers(browser: &Browser) -> Result<()> {
    let instants = given(browser).await?.files[0].report.swing.instants.clone();
    let level = instants.iter().find(|instant| instant.name.name() == "lead arm level").context("no lead arm level")?;
    // Lead arm level is the second of the places that are drawn.
    let spot = place_of(&String::from_utf8(saved(browser, "svg").await?)?, 1)?;
    let hover = "const canvas = deep('handpath-compare >>> canvas.large');
        const {left, top} = canvas.getBoundingClientRect();
        const at = {clientX: left + arguments[0], clientY: top + arguments[1]};
        canvas.dispatchEvent(new PointerEvent(arguments[2], {...at, pointerType: 'mouse', bubbles: true, composed: true}));";
    browser.run(hover, vec![json!(spot[0]), json!(spot[1]), json!("pointermove")]).await?;
    idle(browser).await?;
    let script = "const element = deep('handpath-compare');
        return [element.look.lit, [...element.shadowRoot.querySelectorAll('tbody.here td[data-measure]')].map(cell => cell.dataset.measure)];";
    let (lit, rows): (Value, Vec<String>) = serde_json::from_value(browser.run(script, vec![]).await?)?;
    let from = lit["from"].as_f64().with_context(|| format!("{lit} is lit"))?;
    ensure!((from - level.time_s).abs() < 1e-6 && lit["from"] == lit["to"], "{lit} is lit, natively {}", level.time_s);
    ensure!(rows.iter().any(|row| row == "hands at lead arm level, out"), "marked are {rows:?}");
    ensure!(!rows.iter().any(|row| row.starts_with("hands at top")), "marked are {rows:?}");
    browser.run(hover, vec![json!(0), json!(0), json!("pointerleave")]).await?;
    idle(browser).await?;
    let lit = browser.run("return deep('handpath-compare').look.lit;", vec![]).await?;
    ensure!(lit.is_null(), "{lit} is still lit");
    Ok(())
}

/// What is hidden and the unit are kept over a reload, and taken back.
pub(super) async fn kept_view(browser: &Browser, url: &str) -> Result<()> {
    browser.run("deep('handpath-compare >>> canvas.large').focus();", vec![]).await?;
    for (arms, unit) in [(true, "in"), (false, "cm")] {
        ensure!(press_for(browser, 'p', "arms").await? == arms, "P does not turn the arms-only path");
        browser.set(&format!("{ELEMENT} >>> select[name=unit]"), unit).await?;
        browser.open(url).await?;
        let ready = "document.querySelector('handpath-compare').dataset.state === 'ready'";
        browser.until("the demo", ready, super::scene::LIMIT).await?;
        idle(browser).await?;
        let look =
            browser.run("const {arms, unit} = deep('handpath-compare').look; return [arms, unit];", vec![]).await?;
        ensure!(look == json!([arms, unit]), "after a reload the view is {look}");
        browser.run("deep('handpath-compare >>> canvas.large').focus();", vec![]).await?;
    }
    Ok(())
}

/// A4 and Letter, centimetres.
pub(super) const PAPERS: [(&str, f64, f64); 2] = [("A4", 21.0, 29.7), ("Letter", 21.59, 27.94)];

/// The page, as it hides on paper what is not the comparison, fits on one page.
pub(super) async fn prints(browser: &Browser) -> Result<()> {
    // WebKitGTK's driver prints no page.
    if browser.engine() == Engine::WebKit {
        return Ok(());
    }
    for (name, width, height) in PAPERS {
        let pages = browser.print(width, height).await.and_then(|pdf| pages(&pdf)).context(name)?;
        ensure!(pages == 1, "{name}: {pages} pages");
    }
    Ok(())
}

/// How many pages a PDF says it has: `/Count` of its page tree, which stands as it is or in a compressed object stream (ISO
/// 32000-1, 7.5.7 and 7.7.3.2).
pub(super) fn pages(pdf: &[u8]) -> Result<usize> {
    ensure!(pdf.starts_with(b"%PDF-"), "this is no PDF");
    let streams = find_all(pdf, b"stream").filter_map(|at| {
        let start = pdf[at..].iter().position(|byte| *byte == b'\n')? + at + 1;
        let mut text = vec![];
        // What is no such stream breaks off, and says nothing.
        let _ = ZlibDecoder::new(&pdf[start..]).read_to_end(&mut text);
        counted(&text)
    });
    match counted(pdf).into_iter().chain(streams).max() {
        Some(pages) => Ok(pages),
        None => bail!("the PDF tells no number of pages"),
    }
}

fn find_all<'a>(bytes: &'a [u8], word: &'a [u8]) -> impl Iterator<Item = usize> + 'a {
    bytes.windows(word.len()).enumerate().filter(move |(_, window)| *window == word).map(|(at, _)| at)
}

/// The greatest `/Count` in a stretch that tells of `/Pages`.
fn counted(bytes: &[u8]) -> Option<usize> {
    find_all(bytes, b"/Pages").next()?;
    let count = |at: usize| {
        let digits = bytes[at + 6..].iter().skip_while(|byte| byte.is_ascii_whitespace());
        String::from_utf8(digits.take_while(|byte| byte.is_ascii_digit()).copied().collect()).ok()?.parse().ok()
    };
    find_all(bytes, b"/Count").filter_map(count).max()
}

#[cfg(test)]
mod tests {
    use super::pages;
    use flate2::{Compression, write::ZlibEncoder};
    use std::io::Write;

    #[test]
    fn pages_are_counted_plain_and_compressed() {
        let tree = b"<< /Type /Pages /Kids [4 0 R 5 0 R] /Count 2 >>";
        let plain = [&b"%PDF-1.4\n1 0 obj\n"[..], tree].concat();
        assert_eq!(pages(&plain).unwrap(), 2);
        let mut encoder = ZlibEncoder::new(vec![], Compression::default());
        encoder.write_all(tree).unwrap();
        let packed = [&b"%PDF-1.5\n1 0 obj\n<< /Type /ObjStm >>\nstream\n"[..], &encoder.finish().unwrap()].concat();
        assert_eq!(pages(&packed).unwrap(), 2);
        assert!(pages(b"%PDF-1.5\n").is_err() && pages(b"page 1").is_err());
    }
}
