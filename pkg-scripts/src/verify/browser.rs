//! The page in one browser, after a rehearsal of the harness on a page of its own.

use super::Tally;
use crate::browsers::{Browser, Engine, rehearse};
use crate::project::run_async;
use anyhow::Result;

pub(super) fn run(engine: Engine) -> Tally {
    let mut tally = Tally::default();
    let played = run_async(play(engine, &mut tally));
    tally.check("browser and driver run and end", played);
    tally
}

async fn play(engine: Engine, tally: &mut Tally) -> Result<()> {
    let browser = Browser::start(engine).await?;
    tally.check("the harness does what it says", rehearse(&browser).await);
    browser.close().await
}
