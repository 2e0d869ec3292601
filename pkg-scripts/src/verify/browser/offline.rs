//! The page in one file, alone in a folder and opened from a disk: it shows the demo, computes a dropped file, and asks for
//! nothing.

use super::native::{Given, rows, student_files};
use super::scene::{LIMIT, agrees, drop_student, idle, painted};
use super::trying::began;
use crate::browsers::Browser;
use crate::offline::FILE;
use crate::project::www;
use anyhow::{Context, Result, anyhow, ensure};
use std::path::Path;

/// # Errors
/// What of it does not hold.
pub(super) async fn works(browser: &Browser, packed: &Path) -> Result<()> {
    let alone = tempfile::tempdir()?;
    let file = alone.path().join("kept page.html");
    std::fs::copy(packed.join(FILE), &file).context("the page in one file was not written")?;
    let url = url::Url::from_file_path(&file).map_err(|()| anyhow!("{} has no address", file.display()))?;
    browser.open(url.as_str()).await?;
    let ready = "document.querySelector('handpath-compare').dataset.state === 'ready'";
    if let Err(error) = browser.until("the demo", ready, LIMIT).await {
        let shown = "return deep('handpath-compare').shadowRoot?.textContent.slice(0, 300) ?? document.body.textContent.slice(0, 300);";
        let shown = browser.run(shown, vec![]).await?;
        return Err(error.context(format!("faults {:?}, the page shows {shown}", browser.faults().await?)));
    }
    idle(browser).await?;
    let [student, reference] = [linked(browser, "student").await?, linked(browser, "reference").await?];
    agrees(browser, &rows(&student, &reference)?).await.context("as opened")?;
    painted(browser).await?;
    browser.until("the story", "deep('handpath-compare >>> .story button.tell')?.offsetHeight", LIMIT).await?;
    browser.click("handpath-compare >>> button.tell-next").await?;
    idle(browser).await?;
    let told = browser.text("handpath-compare >>> .caption").await?;
    ensure!(told.contains("reference A"), "the story begins with {told:?}");
    for (name, bytes) in &student_files()? {
        drop_student(browser, name, bytes).await?;
        agrees(browser, &rows(&Given::plain(bytes), &reference)?).await.with_context(|| format!("{name} dropped"))?;
        painted(browser).await?;
    }
    browser.run("deep('handpath-compare >>> details.trying').open = true;", vec![]).await?;
    began(browser).await.context("a made-up swing")?;
    painted(browser).await?;
    asks_for_nothing(browser).await
}

/// The first file of a slot, as the markup names it; what can be saved from its link is the file.
async fn linked(browser: &Browser, slot: &str) -> Result<Given> {
    let script = "const link = document.querySelector(`a[data-slot=${arguments[0]}]`);
        return [link.download, link.dataset.corrections ?? '{}'];";
    let found = browser.run(script, vec![slot.into()]).await?;
    let (name, corrections): (String, String) = serde_json::from_value(found)?;
    let bytes = std::fs::read(www().join("demo").join(name))?;
    Ok(Given { bytes, corrections: serde_json::from_str(&corrections)? })
}

/// Nothing but what the page holds itself was loaded, and nothing was tried that its policy forbids.
async fn asks_for_nothing(browser: &Browser) -> Result<()> {
    let script = "return performance.getEntriesByType('resource').map(entry => entry.name)
        .filter(name => !/^(blob|data):/.test(name));";
    let asked: Vec<String> = serde_json::from_value(browser.run(script, vec![]).await?)?;
    ensure!(asked.is_empty(), "asked for {asked:?}");
    let faults = browser.faults().await?;
    ensure!(faults.is_empty(), "{faults:?}");
    // The policy holds: what the page does not do cannot be done either.
    let forbidden = "window.refused = null; fetch('http://127.0.0.1:1/').catch(() => { window.refused = true; });";
    browser.run(forbidden, vec![]).await?;
    browser
        .until("the refusal", "window.refused && faults.some(fault => fault.startsWith('policy: connect-src'))", LIMIT)
        .await
}
