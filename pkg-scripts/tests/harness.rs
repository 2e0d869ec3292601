//! The browser harness itself, on a page of its own: what it does must arrive, and what it looks for must be seen.
#![cfg(feature = "verify")]
#![allow(clippy::print_stdout, reason = "a test that is skipped says so")]

use anyhow::Result;
use pkg_scripts::browsers::{Browser, Engine};
use pkg_scripts::project::run_async;
use pkg_scripts::serve::Server;
use std::path::Path;
use std::time::Duration;

const LIMIT: Duration = Duration::from_secs(20);

async fn try_out(engine: Engine) -> Result<()> {
    let server = Server::start(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/page"), 0).await?;
    let browser = Browser::start(engine).await?;
    browser.open(&server.url).await?;

    let files: [(&str, &[u8]); 2] = [("a.c3d", &[0, 80, 255]), ("b.bvh", b"HIERARCHY")];
    browser.drop_files("drop-here >>> label", &files).await?;
    browser.until("the drop", "deep('drop-here >>> p').textContent !== 'nothing yet'", LIMIT).await?;
    assert_eq!(browser.text("drop-here >>> p").await?, "a.c3d=3 b.bvh=9");
    browser.set("drop-here >>> select", "right").await?;
    assert_eq!(browser.text("drop-here >>> p").await?, "right");

    assert_eq!(browser.colours("#blank").await?, 1);
    assert!(browser.colours("#painted").await? > 1);

    assert!(browser.text("drop-here >>> em").await.is_err());
    assert!(browser.until("never", "false", Duration::from_millis(200)).await.is_err());
    let asked: Vec<String> = server.asked().into_iter().map(|asked| asked.path).collect();
    assert_eq!(asked, ["/", "/page.js"]);

    assert_eq!(browser.faults().await?, Vec::<String>::new());
    browser
        .run("document.body.append(Object.assign(document.createElement('img'), {src: '//127.0.0.1:1/'}));", vec![])
        .await?;
    browser.until("the breach", "faults.length > 0", LIMIT).await?;
    assert!(browser.faults().await?[0].starts_with("policy: img-src"));
    assert!(browser.screenshot().await?.starts_with(b"\x89PNG"));
    browser.close().await
}

fn in_engine(engine: Engine) -> Result<()> {
    if !engine.missing().nothing() {
        println!("skipped: {} is not installed", engine.name());
        return Ok(());
    }
    run_async(try_out(engine))
}

#[test]
fn chromium_does_what_it_is_told() -> Result<()> {
    in_engine(Engine::Chromium)
}

#[test]
fn firefox_does_what_it_is_told() -> Result<()> {
    in_engine(Engine::Firefox)
}

#[test]
fn webkit_does_what_it_is_told() -> Result<()> {
    in_engine(Engine::WebKit)
}
