//! Sentences, findings, numbers and picture of a student, held against each other and against the native core.

use super::exports::saved;
use super::native::{Given, Judged, judged, judged_by};
use super::scene::{ELEMENT, SAME_M, drop_student, idle};
use crate::browsers::Browser;
use anyhow::{Context, Result, ensure};
use handpath::findings::Thresholds;
use handpath::picture::LengthDisplay;
use serde_json::{Value, json};
use std::time::Duration;

/// A student outside the references, then one inside: reference E swings as the others do.
pub(super) const STUDENTS: [(&str, &str); 2] = [("outside", "student-1-1.c3d"), ("inside", "reference-e.c3d")];

/// Half a millimetre at most is lost in a file that is written with two decimals of a pixel.
const SEEN_M: f64 = 0.002;

/// Drops a student; what the page says of them in words, numbers and picture has to be what the core says.
pub(super) async fn reads(browser: &Browser, (kind, file): (&str, &str), references: &[Given]) -> Result<()> {
    let student = Given::plain(&std::fs::read(crate::project::www().join("demo").join(file))?);
    drop_student(browser, file, &student.bytes).await?;
    let native = judged(&student, references, 0.0)?;
    stands_where_it_should(kind, &native)?;
    let said = sentences(browser).await?;
    let expected: Vec<String> = native.report.reading.iter().map(ToString::to_string).collect();
    ensure!(said == expected, "the page says {said:?}, natively {expected:?}");
    numbers(browser, &native).await?;
    differences(browser, &native).await?;
    verdicts(browser, &native, "verdict").await?;
    picture(browser, &native).await
}

/// The files show what they are taken for; otherwise nothing is tried here.
fn stands_where_it_should(kind: &str, native: &Judged) -> Result<()> {
    let more_m = native.drift_m()? - native.usual_m;
    let carrier = carrier(native)?;
    let first = native.report.reading.first().map(ToString::to_string).unwrap_or_default();
    let outside = more_m > 0.08 && carrier == "body-carried" && first.contains("farther out than");
    let inside = more_m.abs() < 0.03 && carrier == "neither";
    ensure!(if kind == "outside" { outside } else { inside }, "{kind}: {more_m} m, {carrier}, {first:?}");
    Ok(())
}

async fn sentences(browser: &Browser) -> Result<Vec<String>> {
    let script =
        "return [...deep('handpath-compare').shadowRoot.querySelectorAll('.summary p')].map(p => p.textContent);";
    Ok(serde_json::from_value(browser.run(script, vec![]).await?)?)
}

/// Every measure in the panel: the value behind it, and for lengths what a person reads.
async fn numbers(browser: &Browser, native: &Judged) -> Result<()> {
    let script = "return [...deep('handpath-compare').shadowRoot.querySelectorAll('td[data-measure]')]
        .map(cell => [cell.dataset.measure, cell.dataset.value, cell.textContent]);";
    let cells: Vec<(String, String, String)> = serde_json::from_value(browser.run(script, vec![]).await?)?;
    ensure!(cells.len() == native.report.measures.len(), "{} numbers are shown", cells.len());
    for measure in &native.report.measures {
        let cell = cells.iter().find(|cell| cell.0 == measure.name);
        let (_, value, text) = cell.with_context(|| format!("no number for {}", measure.name))?;
        match measure.value {
            None => ensure!(value.is_empty() && !text.is_empty(), "{}: {text:?} without a value", measure.name),
            Some(native) => {
                let shown: f64 = value.parse().with_context(|| format!("{}: {value:?}", measure.name))?;
                let close = SAME_M * native.abs().max(1.0);
                ensure!((shown - native).abs() < close, "{}: {shown} is shown, natively {native}", measure.name);
                if measure.unit == "m" {
                    let read = format!("{} cm", centimetres(native));
                    ensure!(text.starts_with(&read), "{}: {text:?} does not start with {read:?}", measure.name);
                }
            }
        }
    }
    Ok(())
}

/// Beside each number: student minus reference with its interval, and whether the references do the same.
async fn differences(browser: &Browser, native: &Judged) -> Result<()> {
    let script = "const told = (cell, name) => cell?.querySelector(`[data-${name}]`)?.dataset;
        return [...deep('handpath-compare').shadowRoot.querySelectorAll('td[data-measure]')].map(cell => {
            const difference = told(cell.nextElementSibling, 'difference');
            const numbers = difference && [difference.difference, difference.low, difference.high].map(parseFloat);
            return [cell.dataset.measure, numbers ?? [], told(cell, 'among')?.among ?? ''];
        });";
    let cells: Vec<(String, Vec<Option<f64>>, String)> = serde_json::from_value(browser.run(script, vec![]).await?)?;
    let cell = |name: &str| cells.iter().find(|cell| cell.0 == name).with_context(|| format!("no number for {name}"));
    for measure in native.first.measures.iter().filter(|measure| measure.value.is_some()) {
        let expected = [measure.value, measure.low_90, measure.high_90];
        let shown = &cell(measure.name)?.1;
        ensure!(near(shown, &expected), "{}: {shown:?} is shown, natively {expected:?}", measure.name);
    }
    ensure!(native.report.usual.len() > 20, "natively the references do {} things", native.report.usual.len());
    for usual in &native.report.usual {
        let expected = usual.among.map_or("", |among| among.name());
        let shown = &cell(usual.name)?.2;
        ensure!(shown == expected, "{}: {shown:?} is told, natively {expected:?}", usual.name);
    }
    Ok(())
}

/// Are the numbers shown those of the core, and missing where those are?
pub(super) fn near(shown: &[Option<f64>], native: &[Option<f64>]) -> bool {
    let close = |(a, b): (&Option<f64>, &Option<f64>)| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < SAME_M * b.abs().max(1.0),
        (a, b) => a.is_none() && b.is_none(),
    };
    shown.len() == native.len() && shown.iter().zip(native).all(close)
}

fn centimetres(metres: f64) -> String {
    LengthDisplay::Centimetre.size(metres, ".").unwrap_or_else(|| "0".into())
}

/// The findings shown, or those at the turned target line.
async fn verdicts(browser: &Browser, native: &Judged, field: &str) -> Result<()> {
    let script = "return [...deep('handpath-compare').shadowRoot.querySelectorAll('[data-finding]')]
        .map(line => [line.dataset.finding, line.dataset[arguments[0]]]);";
    let shown: Vec<(String, String)> = serde_json::from_value(browser.run(script, vec![json!(field)]).await?)?;
    let expected: Vec<(String, String)> =
        native.report.findings.iter().map(|finding| (finding.name.into(), finding.verdict.into())).collect();
    ensure!(shown == expected, "{shown:?} is shown, natively {expected:?}");
    Ok(())
}

/// The saved picture: its words have the sizes of the numbers, and its dots lie as far apart as they say.
async fn picture(browser: &Browser, native: &Judged) -> Result<()> {
    let svg = String::from_utf8(saved(browser, "svg").await?)?;
    let measured = |name: &str| native.value(name);
    let (most, least) = (measured("out drift, greatest")?, measured("out drift, least")?);
    let drift = match -least > most {
        true => format!(">drift in {} cm<", centimetres(least)),
        false => format!(">out drift {} cm<", centimetres(most)),
    };
    ensure!(svg.contains(&drift), "{drift} is not in the picture: {:?}", texts(&svg));
    let body = format!(">body {} cm ", centimetres(measured("carried, out")?));
    ensure!(svg.contains(&body), "{body} is not in the picture: {:?}", texts(&svg));
    let [top, level] = places(&svg)?[..2] else { unreachable_places()? };
    let seen = (level - top) / px_per_m(&svg)?;
    let native = native.drift_m()?;
    ensure!((seen - native).abs() < SEEN_M, "lead arm level is drawn {seen} m out from the top, natively {native}");
    Ok(())
}

fn unreachable_places<T>() -> Result<T> {
    anyhow::bail!("the picture has fewer than two places")
}

fn texts(svg: &str) -> Vec<&str> {
    svg.split("</text>").filter_map(|part| part.rsplit('>').next()).collect()
}

fn attribute(tag: &str, name: &str) -> Option<f64> {
    tag.split_once(&format!(" {name}=\""))?.1.split('"').next()?.parse().ok()
}

/// Where the student's places are drawn, CSS pixels from the left, in order of time.
fn places(svg: &str) -> Result<Vec<f64>> {
    Ok(spots(svg)?.iter().map(|spot| spot[0]).collect())
}

/// Where one of the student's places is drawn, CSS pixels from the left and from above.
pub(super) fn place_of(svg: &str, number: usize) -> Result<[f64; 2]> {
    spots(svg)?.get(number).copied().context("no such place")
}

fn spots(svg: &str) -> Result<Vec<[f64; 2]>> {
    let dots = svg.lines().filter(|line| line.starts_with("<circle") && line.contains("fill=\"#d55e00\""));
    let spot = |line: &str| Some([attribute(line, "cx")?, attribute(line, "cy")?]);
    let dots: Vec<[f64; 2]> = dots.filter(|line| attribute(line, "r") == Some(5.5)).filter_map(spot).collect();
    ensure!(dots.len() == 4, "{} places are drawn", dots.len());
    Ok(dots)
}

/// By the scale bar, which is 20 cm long.
fn px_per_m(svg: &str) -> Result<f64> {
    let bar = svg.lines().find_map(|line| {
        let spots: Vec<&str> = line.strip_prefix("<polyline points=\"12,")?.split('"').next()?.split(' ').collect();
        (spots.len() == 4).then(|| spots[2].split(',').next()?.parse::<f64>().ok())?
    });
    Ok((bar.context("no scale bar")? - 12.0) / 0.2)
}

/// Turns the aim as a what-if: numbers and verdicts there, the ones that hold unchanged; then back.
pub(super) async fn aims(browser: &Browser, file: &str, references: &[Given]) -> Result<()> {
    let student = Given::plain(&std::fs::read(crate::project::www().join("demo").join(file))?);
    let now = judged(&student, references, 0.0)?;
    for degrees in [9.0, -9.0] {
        browser.set("handpath-compare >>> .aim input", &degrees.to_string()).await?;
        idle(browser).await?;
        let then = judged(&student, references, degrees)?;
        verdicts(browser, &now, "verdict").await?;
        verdicts(browser, &then, "turned").await?;
        let moved = then.value("out drift, at lead arm level")? - now.value("out drift, at lead arm level")?;
        ensure!(moved.abs() > 0.01, "{degrees} degrees move the drift by {moved} m only");
        let cell = "return deep(`handpath-compare >>> td[data-measure='out drift, at lead arm level'] .turned`)?.dataset.turned ?? '';";
        let shown: f64 = browser.run(cell, vec![]).await?.as_str().unwrap_or_default().parse().context("no what-if")?;
        ensure!((shown - then.drift_m()?).abs() < SAME_M, "{shown} is shown, natively {}", then.drift_m()?);
        let note = browser.text("handpath-compare >>> .what-if").await?;
        let flips = now.report.findings.iter().zip(&then.report.findings).any(|(a, b)| a.verdict != b.verdict);
        ensure!(
            note.contains("what-if") && note.contains("Changed:") == flips,
            "flips: {flips}, the page says {note:?}"
        );
    }
    browser.set("handpath-compare >>> .aim input", "0").await?;
    idle(browser).await?;
    let left = "return deep('handpath-compare').shadowRoot.querySelectorAll('.turned').length;";
    ensure!(browser.run(left, vec![]).await? == 0, "numbers of the what-if stay");
    numbers(browser, &now).await
}

const LEFT: char = '\u{E012}';
const RIGHT: char = '\u{E014}';
const PAGE_DOWN: char = '\u{E00F}';
const HOME: char = '\u{E011}';
const TAB: char = '\u{E004}';
const ENTER: char = '\u{E007}';

/// Everything by keys: moving in time, views, what is shown, a number's place.
pub(super) async fn keys(browser: &Browser) -> Result<()> {
    browser.run("deep('handpath-compare >>> canvas.large').focus();", vec![]).await?;
    let start = press_for(browser, HOME, "time").await?;
    let on = press_for(browser, RIGHT, "time").await?;
    ensure!(as_number(&on)? > as_number(&start)?, "right leads from {start} to {on}");
    ensure!(press_for(browser, LEFT, "time").await? == start, "left does not lead back");
    let first = press_for(browser, PAGE_DOWN, "time").await?;
    ensure!(as_number(&first)? > as_number(&start)?, "page down does not lead to an instant");
    for (key, field, value) in
        [('2', "view", json!("face-on")), ('n', "numbers", json!(false)), ('n', "numbers", json!(true))]
    {
        let found = press_for(browser, key, field).await?;
        ensure!(found == value, "{key:?} makes {field} {found}");
    }
    ensure!(press_for(browser, '1', "view").await? == "down-the-line", "1 does not lead back");
    row(browser).await
}

/// From the slider on to the first row of the numbers: it lights its place, and Enter puts the cursor there.
async fn row(browser: &Browser) -> Result<()> {
    browser.run("deep('handpath-compare >>> .aim input').focus();", vec![]).await?;
    let lit = press_for(browser, TAB, "lit").await?;
    ensure!(lit["row"] == "out drift", "the first row lights {lit}");
    let here = browser.text("handpath-compare >>> tbody.here .place").await?;
    ensure!(here.contains("drift"), "{here:?} is marked");
    let time = press_for(browser, ENTER, "time").await?;
    ensure!(time == lit["to"], "the cursor stands at {time}, not at {}", lit["to"]);
    let current = "return deep('handpath-compare >>> tbody.here .place').getAttribute('aria-current');";
    ensure!(browser.run(current, vec![]).await? == "location", "the row is not told as the current place");
    browser.run("deep('handpath-compare >>> .aim input').focus();", vec![]).await?;
    idle(browser).await?;
    let lit = browser.run("return deep('handpath-compare').look.lit;", vec![]).await?;
    ensure!(lit.is_null(), "the focus has gone, {lit} is still lit");
    Ok(())
}

fn as_number(value: &Value) -> Result<f64> {
    value.as_f64().with_context(|| format!("{value} is no number"))
}

/// Presses a key; gives a field of the view after it.
pub(super) async fn press_for(browser: &Browser, key: char, field: &str) -> Result<Value> {
    browser.press(&key.to_string()).await?;
    idle(browser).await?;
    browser.run("return deep(arguments[0]).look[arguments[1]];", vec![json!(ELEMENT), json!(field)]).await
}

/// Words of a coach instead of a sentence: kept over a reload, gone when taken back.
pub(super) async fn reworded(browser: &Browser, url: &str) -> Result<()> {
    const OWN: &str = "Hands out early, the body brings them.";
    let computed = sentences(browser).await?;
    reword(browser, OWN).await?;
    let said = sentences(browser).await?;
    ensure!(said[0] == OWN && said[1..] == computed[1..], "the page says {said:?}");
    browser.open(url).await?;
    let ready = "document.querySelector('handpath-compare').dataset.state === 'ready'";
    browser.until("the demo", ready, Duration::from_secs(60)).await?;
    idle(browser).await?;
    let said = sentences(browser).await?;
    ensure!(said[0] == OWN, "after a reload the page says {said:?}");
    reword(browser, &computed[0]).await?;
    let said = sentences(browser).await?;
    ensure!(said == computed, "taken back, the page says {said:?}");
    let kept = browser.run("return localStorage.getItem('handpath:words');", vec![]).await?;
    ensure!(kept == "[]", "{kept} is still remembered");
    Ok(())
}

/// Opens the form by key, writes the first sentence anew, keeps it by key.
async fn reword(browser: &Browser, text: &str) -> Result<()> {
    browser.run("deep('handpath-compare >>> .sentences > button').focus();", vec![]).await?;
    browser.press(&ENTER.to_string()).await?;
    browser.until("the form", "deep('handpath-compare >>> textarea')", Duration::from_secs(20)).await?;
    browser.run("deep('handpath-compare').shadowRoot.activeElement.select();", vec![]).await?;
    browser.press(text).await?;
    browser.run("deep('handpath-compare >>> .rewording button').focus();", vec![]).await?;
    browser.press(&ENTER.to_string()).await?;
    browser.until("the sentences", "deep('handpath-compare >>> .rewording').hidden", Duration::from_secs(20)).await
}

/// A threshold of the coach's own changes verdict and sentences to what the core says with it, is marked and kept; taken
/// back, all is as before.
pub(super) async fn thresholds(browser: &Browser, file: &str, references: &[Given]) -> Result<()> {
    const INPUT: &str = "handpath-compare >>> input[name=taken-back]";
    let student = Given::plain(&std::fs::read(crate::project::www().join("demo").join(file))?);
    drop_student(browser, file, &student.bytes).await?;
    let mut own = Thresholds::default();
    own.set("taken-back", 0.2).map_err(|message| anyhow::anyhow!("{message}"))?;
    let (usual, other) = (judged(&student, references, 0.0)?, judged_by(&student, references, 0.0, &own)?);
    ensure!(carrier(&usual)? != carrier(&other)?, "the threshold changes no carrier");
    browser.set(INPUT, "0.2").await?;
    idle(browser).await?;
    verdicts(browser, &other, "verdict").await?;
    let said = sentences(browser).await?;
    let expected: Vec<String> = other.report.reading.iter().map(ToString::to_string).collect();
    ensure!(said == expected, "the page says {said:?}, natively {expected:?}");
    let marked = "return deep('handpath-compare >>> .guess.corrected[data-threshold]')?.dataset.threshold;";
    ensure!(browser.run(marked, vec![]).await? == "taken-back", "the changed threshold is not marked");
    let kept = "return localStorage.getItem('handpath:thresholds');";
    ensure!(browser.run(kept, vec![]).await? == "{\"taken-back\":0.2}", "the threshold is not kept");
    browser.click("handpath-compare >>> [data-threshold=taken-back] .reset").await?;
    idle(browser).await?;
    verdicts(browser, &usual, "verdict").await?;
    ensure!(browser.run(kept, vec![]).await?.is_null(), "the threshold is still kept");
    ensure!(browser.run(marked, vec![]).await?.is_null(), "a threshold is still marked");
    Ok(())
}

fn carrier(judged: &Judged) -> Result<&'static str> {
    let found = judged.report.findings.iter().find(|finding| finding.name == "carrier");
    found.map(|finding| finding.verdict).context("no carrier")
}
