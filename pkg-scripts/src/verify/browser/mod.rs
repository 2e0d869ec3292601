//! The page in one browser, after a rehearsal of the harness on a page of its own.

mod native;
mod reading;
mod requests;
mod scene;

use super::Tally;
use crate::browsers::{Browser, Engine, rehearse};
use crate::project::{run_async, www};
use crate::serve::Server;
use anyhow::Result;

pub(super) fn run(engine: Engine) -> Tally {
    let mut tally = Tally::default();
    // Always: a module from before the last change would answer for code that is not there any more.
    let built = crate::build::page();
    tally.check("the page is built", built);
    let played = run_async(play(engine, &mut tally));
    tally.check("browser and driver run and end", played);
    tally
}

async fn play(engine: Engine, tally: &mut Tally) -> Result<()> {
    let browser = Browser::start(engine).await?;
    tally.check("the harness does what it says", rehearse(&browser).await);
    let server = Server::start(&www(), 0).await?;
    scene::play(&browser, &server, tally).await;
    browser.close().await
}
