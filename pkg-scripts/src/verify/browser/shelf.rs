//! Many files and large ones. A shelf of references: a folder is dropped, what is found is what the native core finds, it is kept, stopped, saved, opened and
//! deleted.

use super::scene::{ELEMENT, LIMIT, drop_student, idle};
use crate::browsers::Browser;
use crate::project::www;
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, ensure};
use handpath::session::{Collection, Near, Wish};
use handpath::settings::{Club, Corrections};
use serde_json::{Value, json};

/// Two of one club, two of another, and a file that is none.
const FOLDER: [&str; 5] = ["reference-a.c3d", "reference-b.trc", "reference-c.bvh", "reference-d.csv", "opening.json"];

pub(super) async fn play(browser: &Browser, server: &Server, student: &(&str, Vec<u8>), tally: &mut Tally) {
    let shelf = native();
    let shelf = match shelf {
        Ok(shelf) => shelf,
        Err(error) => return tally.check("the native core fills a shelf", Err(error)),
    };
    let filled = filled(browser, server, student, &shelf).await;
    tally.check("a folder that is dropped lies on the shelf as the native core puts it there", filled);
    tally.check("the nearest are those that the native core finds", nearest(browser, student, &shelf).await);
    tally.check("one that is found is compared with", compared(browser).await);
    tally.check("the shelf is there again at the next visit", kept(browser, server).await);
    tally.check("a shelf file is opened, a damaged one is told", opened(browser, &shelf).await);
    tally.check("reading is stopped between two files", stopped(browser).await);
    tally.check("the shelf is deleted", deleted(browser, server).await);
    tally.check("of a large file it is told how far it is read", large(browser, server).await);
    tally.check("reading a large file is stopped, and what was there stays", cancelled(browser).await);
}

/// Drops a table of so many megabytes. It holds no swing: reading it is what is watched. Every value of the bar is kept, and with
/// `stop` the button is pressed when it is first seen.
const LARGE: &str = "const [megabytes, stop] = arguments;
    const head = 'time,A x,A y,A z,B x,B y,B z\\n';
    const row = (k) => `${(k / 240).toFixed(5)},0.12345,1.23456,-0.98765,${(k % 997) / 1000},0.5,0.25\\n`;
    const block = (k) => Array.from({ length: 20000 }, (_, i) => row(20000 * k + i)).join('');
    const blocks = [head];
    for (let size = 0, k = 0; size < megabytes * 1e6; k += 1) {
        blocks.push(block(k));
        size += blocks.at(-1).length;
    }
    const file = new File(blocks, 'large.csv');
    const root = deep('handpath-compare').shadowRoot;
    window.shares = [];
    window.stops = 0;
    new MutationObserver(() => {
        const bar = root.querySelector('.waiting:not([hidden]) progress');
        if (!bar) return;
        window.shares.push(bar.value);
        if (stop && window.stops++ === 0) root.querySelector('.cancel-reading').click();
    }).observe(root.querySelector('.waiting'), { subtree: true, childList: true, attributes: true, characterData: true });
    const event = new Event('drop', { bubbles: true, cancelable: true, composed: true });
    Object.defineProperty(event, 'dataTransfer', { value: { types: ['Files'], files: [file], items: [] } });
    root.querySelector('.zone[data-slot=student]').dispatchEvent(event);";

async fn large(browser: &Browser, server: &Server) -> Result<()> {
    browser.open(&server.url).await?;
    idle(browser).await?;
    browser.run(LARGE, vec![json!(30), json!(false)]).await?;
    idle(browser).await?;
    let shares: Vec<f64> = serde_json::from_value(browser.run("return window.shares;", vec![]).await?)?;
    ensure!(shares.len() > 2 && shares.is_sorted(), "{shares:?}");
    ensure!(shares.iter().all(|share| (0.0..=1.0).contains(share)) && shares.last() > shares.first(), "{shares:?}");
    let hidden = browser.run("return deep('handpath-compare >>> .waiting').hidden;", vec![]).await?;
    ensure!(hidden == true, "it is still told after the file is read");
    Ok(())
}

async fn cancelled(browser: &Browser) -> Result<()> {
    let names = "return Object.values(deep('handpath-compare').report.files).filter(({ report }) => report.file).map(({ report }) => report.name);";
    let before = browser.run(names, vec![]).await?;
    browser.run(LARGE, vec![json!(60), json!(true)]).await?;
    browser.until("the stop", "window.stops > 0", LIMIT).await?;
    idle(browser).await?;
    let after = browser.run(names, vec![]).await?;
    ensure!(before == after, "there was {before}, there is {after}");
    let told = browser.text("handpath-compare >>> .notices").await?;
    ensure!(told.contains("Reading was stopped."), "{told:?}");
    ensure!(
        browser.run("return deep('handpath-compare >>> .waiting').hidden;", vec![]).await? == true,
        "it is still told"
    );
    Ok(())
}

fn label(name: &str) -> String {
    format!("some/inside/{name}")
}

fn native() -> Result<Collection> {
    let mut shelf = Collection::default();
    for name in FOLDER {
        shelf.add(&label(name), &std::fs::read(www().join("demo").join(name))?, &Corrections::default());
    }
    ensure!(shelf.tags().len() == FOLDER.len() - 1, "{} lie on it", shelf.tags().len());
    Ok(shelf)
}

/// Drops a folder in a folder, with so many copies of its files.
const DROP: &str = "const [names, copies] = arguments;
    const file = (path, name) => ({ isFile: true, fullPath: path, file: async (resolve, reject) =>
        fetch(`demo/${name}`).then((answer) => answer.blob()).then((blob) => resolve(new File([blob], name)), reject) });
    const folder = (entries) => ({ isDirectory: true, createReader: () => {
        const some = [entries, []];
        return { readEntries: (resolve) => resolve(some.shift()) };
    } });
    const files = [...Array(copies).keys()].flatMap((copy) => names.map((name) => file(`/some/inside/${copy ? `${copy} ` : ''}${name}`, name)));
    const outer = folder([folder(files)]);
    const event = new Event('drop', { bubbles: true, cancelable: true, composed: true });
    Object.defineProperty(event, 'dataTransfer', { value: { types: ['Files'], files: [], items: [{ webkitGetAsEntry: () => outer }] } });
    deep('handpath-compare').shadowRoot.querySelector('.root').dispatchEvent(event);";

async fn filled(browser: &Browser, server: &Server, student: &(&str, Vec<u8>), shelf: &Collection) -> Result<()> {
    browser.open(&server.url).await?;
    idle(browser).await?;
    drop_student(browser, student.0, &student.1).await?;
    browser.run(DROP, vec![json!(FOLDER), json!(1)]).await?;
    said(browser, "Put on the shelf: 4. Already there: 0. Left out: 1.").await?;
    let left = browser.text("handpath-compare >>> .shelf .left-out li").await?;
    ensure!(left.starts_with(&label("opening.json")), "left out: {left:?}");
    // The same folder again brings nothing twice.
    browser.run(DROP, vec![json!(FOLDER), json!(1)]).await?;
    said(browser, "Put on the shelf: 0. Already there: 4. Left out: 1.").await?;
    same_pack(browser, shelf).await
}

async fn said(browser: &Browser, text: &str) -> Result<()> {
    let there = format!("deep('handpath-compare >>> .shelf [role=status]')?.textContent.startsWith({})", json!(text));
    browser.until(text, &there, LIMIT).await
}

/// What the page has kept is the pack of the native core, to the byte.
async fn same_pack(browser: &Browser, shelf: &Collection) -> Result<()> {
    let script = "const asked = (request) => new Promise((resolve, reject) => {
            request.onsuccess = () => resolve(request.result);
            request.onerror = () => reject(request.error);
        });
        return asked(indexedDB.open('handpath-shelf')).then(async (database) => {
            const pack = await asked(database.transaction('pack').objectStore('pack').get('pack'));
            const labels = await asked(database.transaction('recordings').objectStore('recordings').getAllKeys());
            database.close();
            return [[...(pack ?? [])], labels];
        });";
    let kept = browser.run(script, vec![]).await?;
    let bytes: Vec<u8> = serde_json::from_value(kept[0].clone())?;
    ensure!(bytes == shelf.to_pack(), "{} bytes are kept, natively {}", bytes.len(), shelf.to_pack().len());
    ensure!(kept[1].as_array().is_some_and(|labels| labels.len() == FOLDER.len() - 1), "recordings: {}", kept[1]);
    Ok(())
}

async fn find(browser: &Browser) -> Result<Vec<(String, f64)>> {
    browser.click("handpath-compare >>> button.shelf-find").await?;
    idle(browser).await?;
    let hits = "return [...deep('handpath-compare').shadowRoot.querySelectorAll('.hits > li')].map((hit) => [hit.dataset.label, Number(hit.dataset.apart)]);";
    Ok(serde_json::from_value(browser.run(hits, vec![]).await?)?)
}

async fn nearest(browser: &Browser, student: &(&str, Vec<u8>), shelf: &Collection) -> Result<()> {
    let all = Wish { count: 10, ..Wish::default() };
    let wishes = [
        ("club", "", all.clone()),
        ("club", "iron", Wish { club: Some(Club::Iron), ..all.clone() }),
        ("club", "wedge", Wish { club: Some(Club::Wedge), ..all.clone() }),
        ("club", "", all.clone()),
        ("depth", "0.03", Wish { within_m: Some(0.03), ..all }),
    ];
    let mut counts = vec![];
    for (filter, value, wish) in wishes {
        browser.set(&format!("handpath-compare >>> [data-filter={filter}]"), value).await?;
        let found = find(browser).await?;
        let native = shelf.nearest_to_file(&student.1, None, &Corrections::default(), &wish);
        ensure!(native.error.is_none(), "{:?}", native.error);
        let wanted: Vec<(&str, f64)> =
            native.near.iter().map(|Near { tags, apart_m, .. }| (tags.label.as_str(), *apart_m)).collect();
        let same = found.len() == wanted.len()
            && found.iter().zip(&wanted).all(|(a, b)| a.0 == b.0 && (a.1 - b.1).abs() <= 1e-9 * b.1);
        ensure!(same, "{filter} {value:?}: {found:?} are shown, natively {wanted:?}");
        counts.push(found.len());
    }
    ensure!(counts[0] == 4 && counts.iter().any(|count| *count < 4), "a filter admits all: {counts:?}");
    browser.set("handpath-compare >>> [data-filter=depth]", "").await
}

async fn compared(browser: &Browser) -> Result<()> {
    let first = find(browser).await?.into_iter().next().context("nothing is near")?.0;
    browser.click("handpath-compare >>> .hits > li button").await?;
    let shown =
        "(({ report, look }) => report.comparison.references[look.reference]?.name ?? '')(deep('handpath-compare'))";
    let wanted = label("").len();
    let name = first[wanted..].rsplit_once('.').map(|(name, _)| name.to_owned()).unwrap_or_default();
    browser.until("the hit as reference", &format!("{shown} === {}", json!(name)), LIMIT).await?;
    idle(browser).await?;
    let differs = browser.run("return deep('handpath-compare').report.comparison.references.length;", vec![]).await?;
    ensure!(differs.as_u64() >= Some(1), "{differs} references");
    Ok(())
}

async fn unfold(browser: &Browser, server: &Server) -> Result<()> {
    browser.open(&server.url).await?;
    idle(browser).await?;
    browser.run("deep('handpath-compare >>> details.shelf').open = true;", vec![]).await?;
    browser.until("the shelf", "deep('handpath-compare >>> button.shelf-find')", LIMIT).await?;
    idle(browser).await
}

async fn holds(browser: &Browser) -> Result<String> {
    browser.text("handpath-compare >>> .shelf .holds").await
}

async fn kept(browser: &Browser, server: &Server) -> Result<()> {
    unfold(browser, server).await?;
    let told = holds(browser).await?;
    ensure!(told == "On the shelf: 4.", "{told:?}");
    ensure!(find(browser).await?.len() == 4, "the demo's student finds others");
    Ok(())
}

async fn opened(browser: &Browser, shelf: &Collection) -> Result<()> {
    let give = "const [bytes] = arguments;
        const input = deep('handpath-compare >>> input.shelf-open-input');
        const files = new DataTransfer();
        files.items.add(new File([Uint8Array.from(bytes)], 'references.handpath-shelf'));
        input.files = files.files;
        input.dispatchEvent(new Event('change'));";
    let mut pack = shelf.to_pack();
    browser.run(give, vec![json!(pack)]).await?;
    said(browser, "The shelf is opened: 4.").await?;
    pack[40] ^= 1;
    browser.run(give, vec![json!(pack)]).await?;
    said(browser, "The pack of references is damaged").await?;
    let told = holds(browser).await?;
    ensure!(told == "On the shelf: 4.", "after a damaged one: {told:?}");
    Ok(())
}

async fn stopped(browser: &Browser) -> Result<()> {
    browser.run(DROP, vec![json!(FOLDER[..4]), json!(60)]).await?;
    browser.until("reading", "deep('handpath-compare >>> .shelf progress').value > 5", LIMIT).await?;
    // The page answers meanwhile.
    browser.run("deep('handpath-compare').look = { view: 'face-on' };", vec![]).await?;
    browser.click("handpath-compare >>> button.shelf-stop").await?;
    said(browser, "Stopped.").await?;
    idle(browser).await?;
    let count = browser
        .run("return Number(deep('handpath-compare >>> .shelf .holds').textContent.replaceAll(/\\D/g, ''));", vec![])
        .await?;
    let count = count.as_u64().context("no count")?;
    ensure!((5..240).contains(&count), "{count} lie on the shelf after it was stopped");
    let hidden: Value = browser.run("return deep('handpath-compare >>> button.shelf-stop').hidden;", vec![]).await?;
    ensure!(hidden == true, "it can still be stopped");
    Ok(())
}

async fn deleted(browser: &Browser, server: &Server) -> Result<()> {
    browser.click("handpath-compare >>> button.shelf-delete").await?;
    said(browser, "The shelf and its recordings are deleted").await?;
    unfold(browser, server).await?;
    let told = holds(browser).await?;
    ensure!(told == "On the shelf: 0.", "{told:?}");
    let off = browser.run("return deep('handpath-compare >>> button.shelf-find').disabled;", vec![]).await?;
    ensure!(off == true, "an empty shelf can be looked through");
    let state = browser.run("return deep(arguments[0]).dataset.state;", vec![json!(ELEMENT)]).await?;
    ensure!(state == "ready", "{state}");
    Ok(())
}
