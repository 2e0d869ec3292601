//! What the desk keeps on this machine by itself, and what it says where nothing can be kept.

use super::desk::{Hand, captures, fill, lesson, open, path, press, text, unfold};
use super::exports::CATCH;
use super::scene::{LIMIT, idle};
use crate::browsers::{Browser, Engine};
use crate::serve::Server;
use anyhow::{Context, Result, ensure};
use handpath::json::Json;
use serde_json::{Value, json};

/// No other lesson of this browser says this.
const HOPE: &str = "to be there again";

/// Waits until the desk has said something of storage.
async fn told(browser: &Browser, key: &str) -> Result<()> {
    let said = format!("deep({})?.dataset.key === {}", json!(path(".desk-told")), json!(key));
    browser.until(key, &said, LIMIT).await
}

async fn hoped(browser: &Browser, hope: &str) -> Result<()> {
    unfold(browser, Hand::Pointer, "before").await?;
    fill(browser, Hand::Pointer, "[data-card=before] [data-field=hope]", hope).await
}

/// A lesson in work is offered after a reload, and after the browser was killed: captures, balls and intake as they were.
pub(super) async fn recovered(browser: &mut Browser, server: &Server) -> Result<()> {
    open(browser, server, Hand::Pointer).await?;
    captures(browser, Hand::Pointer, 1, 4).await?;
    hoped(browser, HOPE).await?;
    told(browser, "desk.kept").await?;
    let before = settled(browser).await?;
    open(browser, server, Hand::Pointer).await?;
    went_on(browser, &before).await.context("after a reload")?;
    if browser.engine() == Engine::WebKit {
        return Ok(());
    }
    browser.kill().await?;
    open(browser, server, Hand::Pointer).await?;
    went_on(browser, &before).await.context("after a kill")
}

/// The text of the lesson once what is shown was kept.
async fn settled(browser: &Browser) -> Result<String> {
    let kept = "return new Promise((resolve, reject) => {
            const asked = indexedDB.open('handpath');
            asked.onerror = () => reject(asked.error);
            asked.onsuccess = () => {
                const all = asked.result.transaction('lessons').objectStore('lessons').getAll();
                all.onsuccess = () => { asked.result.close(); resolve(all.result.some(({ key, text }) => key.startsWith('desk:') && text.includes(arguments[0]))); };
            };
        });";
    for _ in 0..240 {
        if browser.run(kept, vec![json!(HOPE)]).await? == true {
            return text(browser).await;
        }
        tokio::time::sleep(std::time::Duration::from_millis(250)).await;
    }
    anyhow::bail!("what was typed last is not kept")
}

async fn went_on(browser: &Browser, before: &str) -> Result<()> {
    let offer = format!("deep({})", json!(path(".desk .offers .go-on")));
    browser.until("the lesson that was in work", &offer, LIMIT).await?;
    press(browser, Hand::Pointer, ".desk .offers .go-on").await?;
    idle(browser).await?;
    let (was, is) = (parsed(before)?, lesson(browser).await?);
    for name in ["student", "swings", "captures", "intake"] {
        ensure!(
            was.get(name).is_some() && was.get(name) == is.get(name),
            "{name} is another: {:?}",
            is.get(name).map(Json::line)
        );
    }
    Ok(())
}

fn parsed(text: &str) -> Result<Json> {
    handpath::json::parse(text).map_err(|error| anyhow::anyhow!("{error:?}"))
}

/// Full and refused storage: said at once, with the way to a file beside it, which holds everything; kept as soon as there is room.
pub(super) async fn without_room(browser: &Browser, server: &Server) -> Result<()> {
    open(browser, server, Hand::Pointer).await?;
    let full = "window.put = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = () => { throw new DOMException('', 'QuotaExceededError'); };";
    browser.run(full, vec![]).await?;
    hoped(browser, "said in time").await?;
    told(browser, "desk.storage_full").await?;
    let saved = saved(browser).await?;
    ensure!(saved.contains("said in time"), "the saved lesson does not hold what was typed");
    browser.run("IDBObjectStore.prototype.put = window.put;", vec![]).await?;
    hoped(browser, "said with room").await?;
    told(browser, "desk.kept").await?;
    let refuse = "indexedDB.deleteDatabase('handpath');
        IDBFactory.prototype.open = () => { throw new DOMException('', 'SecurityError'); };";
    browser.open("about:blank").await?;
    open(browser, server, Hand::Pointer).await?;
    browser.run(refuse, vec![]).await?;
    hoped(browser, "said all the same").await?;
    told(browser, "desk.storage_refused").await
}

/// The lesson by the button beside the word of storage.
async fn saved(browser: &Browser) -> Result<String> {
    browser.run(CATCH, vec![]).await?;
    press(browser, Hand::Pointer, ".desk-told .save-now").await?;
    browser.until("the lesson", "window.saved", LIMIT).await?;
    let text: Value = browser.run("return atob(window.saved.split(',')[1]);", vec![]).await?;
    text.as_str().map(str::to_owned).context("nothing was saved")
}
