//! The harness tried on a page of its own: what it does must arrive, and what it looks for must be seen. Without this,
//! a broken look-out would pass as a page without faults.

use super::Browser;
use crate::project::root;
use crate::serve::Server;
use anyhow::{Result, ensure};
use std::time::Duration;

const LIMIT: Duration = Duration::from_secs(20);

/// Tries everything the scenes rely on.
///
/// # Errors
/// What did not arrive or was not seen.
pub async fn rehearse(browser: &Browser) -> Result<()> {
    let server = Server::start(&root().join("pkg-scripts/rehearsal"), 0).await?;
    browser.open(&server.url).await?;
    drops_and_settings_arrive(browser).await?;
    keys_arrive(browser).await?;
    ensure!(browser.colours("#blank").await? == 1, "a blank canvas has one colour");
    ensure!(browser.colours("#painted").await? > 1, "a painted canvas has more");
    ensure!(browser.text("drop-here >>> em").await.is_err(), "there is no such element");
    ensure!(browser.until("never", "false", Duration::from_millis(200)).await.is_err(), "false is not awaited");
    let asked: Vec<String> = server.asked().into_iter().map(|asked| asked.path).collect();
    ensure!(asked == ["/", "/page.js"], "unexpected requests {asked:?}");
    ensure!(browser.screenshot().await?.starts_with(b"\x89PNG"), "a screenshot is a PNG file");
    faults_are_seen(browser).await
}

async fn drops_and_settings_arrive(browser: &Browser) -> Result<()> {
    let files: [(&str, &[u8]); 2] = [("a.c3d", &[0, 80, 255]), ("b.bvh", b"HIERARCHY")];
    browser.drop_files("drop-here >>> label", &files).await?;
    browser.until("the drop", "deep('drop-here >>> p').textContent !== 'nothing yet'", LIMIT).await?;
    let text = browser.text("drop-here >>> p").await?;
    ensure!(text == "a.c3d=3 b.bvh=9", "dropped files arrived as {text:?}");
    browser.set("drop-here >>> select", "right").await?;
    let text = browser.text("drop-here >>> p").await?;
    ensure!(text == "right", "a control was set to {text:?}");
    Ok(())
}

async fn keys_arrive(browser: &Browser) -> Result<()> {
    let field = "const field = document.createElement('input'); field.id = 'typed'; document.body.append(field); field.focus();";
    browser.run(field, vec![]).await?;
    browser.press("a2 \u{E012}b").await?;
    let typed = browser.run("return document.querySelector('#typed').value;", vec![]).await?;
    ensure!(typed == "a2b ", "keys arrived as {typed}");
    Ok(())
}

async fn faults_are_seen(browser: &Browser) -> Result<()> {
    let faults = browser.faults().await?;
    ensure!(faults.is_empty(), "faults on a page without: {faults:?}");
    let foreign = "document.body.append(Object.assign(document.createElement('img'), {src: '//127.0.0.1:1/'}));";
    browser.run(foreign, vec![]).await?;
    browser.until("a breach of the policy", "faults.length > 0", LIMIT).await?;
    let faults = browser.faults().await?;
    ensure!(faults.iter().any(|fault| fault.starts_with("policy: img-src")), "the breach is not among {faults:?}");
    Ok(())
}
