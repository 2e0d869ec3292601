//! What is saved, opened again: the drawing looks as the screen does, the image as the drawing, the tables hold the numbers
//! that are shown.

use super::scene::{ELEMENT, LIMIT, SAME_M, idle};
use crate::browsers::Browser;
use anyhow::{Context, Result, ensure};
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Share of pixels that may be far off (by more than a quarter of the range in one colour): painters smooth edges in their
/// own way, and text most of all. Measured: none in Chromium, 0.10 % in Firefox, 0.14 % in WebKit.
const FAR: f64 = 0.003;

/// With the cursor moved by 30 ms 0.9 to 1.6 % of the pixels are far off.
const ANOTHER: f64 = 0.006;

/// Catches what the next click would hand to the browser as a download.
pub(super) const CATCH: &str = "window.saved = null;
    const make = URL.createObjectURL;
    URL.createObjectURL = blob => {
        URL.createObjectURL = make;
        const reader = new FileReader();
        reader.onload = () => { window.saved = reader.result; };
        reader.readAsDataURL(blob);
        return make.call(URL, blob);
    };
    HTMLAnchorElement.prototype.click = () => { delete HTMLAnchorElement.prototype.click; };";

/// Draws two pictures, each a file or the large view, on the page's colour and counts the pixels that are far apart.
const COMPARE: &str = "window.difference = null;
    const [first, second, scale] = arguments;
    const canvas = deep('handpath-compare >>> canvas.large');
    const [width, height] = [canvas.clientWidth * scale, canvas.clientHeight * scale];
    const page = getComputedStyle(deep('handpath-compare >>> .root')).getPropertyValue('--hp-page');
    const picture = file => file ? new Promise((resolve, reject) => {
        const image = new Image();
        image.onload = () => resolve(image);
        image.onerror = () => reject(new Error('no picture'));
        image.src = file;
    }) : canvas;
    const pixels = async file => {
        const context = Object.assign(document.createElement('canvas'), {width, height}).getContext('2d');
        context.fillStyle = page;
        context.fillRect(0, 0, width, height);
        context.drawImage(await picture(file), 0, 0, width, height);
        return context.getImageData(0, 0, width, height).data;
    };
    Promise.all([pixels(first), pixels(second)]).then(([a, b]) => {
        const apart = (p, i, q, j) => [0, 1, 2].some(k => Math.abs(p[i + k] - q[j + k]) > 64);
        let [far, drawn] = [0, 0];
        for (let i = 0; i < a.length; i += 4) {
            far += apart(a, i, b, i);
            drawn += apart(a, i, a, a.length - 4);
        }
        window.difference = [far, drawn].map(count => count / (a.length / 4));
    }, fault => { window.difference = String(fault); });";

/// # Errors
/// A picture that is another one than on screen.
pub(super) async fn pictures(browser: &Browser) -> Result<()> {
    for theme in ["dark", "light"] {
        browser.run("deep(arguments[0]).theme = arguments[1];", vec![json!(ELEMENT), json!(theme)]).await?;
        idle(browser).await?;
        let drawing = saved_url(browser, "svg").await?;
        let image = saved_url(browser, "png").await?;
        let far = apart(browser, [None, Some(&drawing)], 1).await?;
        ensure!(far < FAR, "{theme}: {far} of the drawing is not as on screen");
        let far = apart(browser, [Some(&drawing), Some(&image)], 2).await?;
        ensure!(far < FAR, "{theme}: {far} of the image is not as in the drawing");
        move_by(browser, 0.03).await?;
        let far = apart(browser, [None, Some(&drawing)], 1).await?;
        ensure!(far > ANOTHER, "{theme}: at another moment only {far} of the picture is another");
        move_by(browser, -0.03).await?;
    }
    browser.run("deep(arguments[0]).removeAttribute('theme');", vec![json!(ELEMENT)]).await?;
    idle(browser).await
}

async fn move_by(browser: &Browser, seconds: f64) -> Result<()> {
    let script = "const element = deep(arguments[0]);
        element.look = {time: element.look.time + arguments[1]};";
    browser.run(script, vec![json!(ELEMENT), json!(seconds)]).await?;
    idle(browser).await
}

/// Share of pixels that are far off; none stands for the large view.
async fn apart(browser: &Browser, [first, second]: [Option<&str>; 2], scale: u32) -> Result<f64> {
    browser.run(COMPARE, vec![json!(first), json!(second), json!(scale)]).await?;
    browser.until("the pictures", "window.difference", LIMIT).await?;
    let found = browser.run("return window.difference;", vec![]).await?;
    let (far, drawn): (f64, f64) = serde_json::from_value(found.clone()).with_context(|| format!("{found}"))?;
    ensure!(drawn > 0.01, "hardly anything is drawn: {drawn}");
    Ok(far)
}

/// The bytes that a button saves; no file is written.
pub(super) async fn saved(browser: &Browser, what: &str) -> Result<Vec<u8>> {
    let url = saved_url(browser, what).await?;
    let (_, base64) = url.split_once(";base64,").with_context(|| format!("{url:.60} holds no bytes"))?;
    Ok(BASE64_STANDARD.decode(base64)?)
}

async fn saved_url(browser: &Browser, what: &str) -> Result<String> {
    browser.run(CATCH, vec![]).await?;
    let click = "deep(`handpath-compare >>> [data-save=${arguments[0]}]`).click();";
    browser.run(click, vec![json!(what)]).await?;
    browser.until(&format!("the file ({what})"), "window.saved", LIMIT).await?;
    let url = browser.run("return window.saved;", vec![]).await?;
    url.as_str().map(str::to_owned).with_context(|| format!("no {what} was saved"))
}

type Row = BTreeMap<String, String>;

/// Rows as the `csv` crate reads them.
async fn table(browser: &Browser, what: &str) -> Result<Vec<Row>> {
    let bytes = saved(browser, what).await?;
    csv::Reader::from_reader(&bytes[..]).deserialize().map(|row| Ok(row?)).collect()
}

fn number(row: &Row, column: &str) -> Result<f64> {
    let field = row.get(column).with_context(|| format!("there is no column {column}"))?;
    field.parse().with_context(|| format!("{column} is {field:?} in {row:?}"))
}

/// Saved tables against what the page shows.
///
/// # Errors
/// A number that is another one.
pub(super) async fn tables(browser: &Browser) -> Result<()> {
    measures(browser).await?;
    let rows = table(browser, "paths").await?;
    let script = "const {comparison} = deep(arguments[0]).report;
        return comparison.references[0].at_instants.filter(at => ['top', 'lead arm level'].includes(at.name))
            .map(at => [comparison.references[0].name, at.name, at.out_m]);";
    let shown: Vec<(String, String, f64)> = serde_json::from_value(browser.run(script, vec![json!(ELEMENT)]).await?)?;
    ensure!(shown.len() == 2, "the page shows {shown:?}");
    for (name, instant, out_m) in &shown {
        let row = rows.iter().find(|row| row["reference"] == *name && row["instant"] == *instant);
        let found = number(row.with_context(|| format!("no row for {instant} against {name}"))?, "deviation_out_m")?;
        // An instant lies between two samples.
        ensure!((found - out_m).abs() < 0.01, "{instant}: {found} in the table, {out_m} is shown");
    }
    for row in rows.iter().filter(|row| !row["deviation_up_m"].is_empty()) {
        let [ours, theirs, deviation] =
            [number(row, "student_up_m")?, number(row, "reference_up_m")?, number(row, "deviation_up_m")?];
        ensure!((ours - theirs - deviation).abs() < 2.0 * SAME_M, "{row:?}");
    }
    Ok(())
}

async fn measures(browser: &Browser) -> Result<()> {
    let rows = table(browser, "measures").await?;
    let script = "return [...deep(arguments[0]).shadowRoot.querySelectorAll('td[data-measure]')]
        .map(cell => [cell.dataset.measure, cell.dataset.value]);";
    let shown: Vec<(String, String)> = serde_json::from_value(browser.run(script, vec![json!(ELEMENT)]).await?)?;
    ensure!(shown.len() > 20, "{} numbers are shown", shown.len());
    for (name, value) in &shown {
        let row = rows.iter().find(|row| row["what"] == "student" && row["measure"] == *name);
        let row = row.with_context(|| format!("{name} is not in the table"))?;
        match value.parse::<f64>() {
            Ok(value) => ensure!((number(row, "value")? - value).abs() < SAME_M, "{name}: {value} is shown, {row:?}"),
            Err(_) => ensure!(row["value"].is_empty(), "{name} is not shown, {row:?}"),
        }
    }
    let said: Value =
        browser.run("return deep('handpath-compare >>> .take-away [role=status]').textContent;", vec![]).await?;
    ensure!(said.as_str().is_some_and(|said| said.contains("handpath-measures.csv")), "the page says {said}");
    Ok(())
}
