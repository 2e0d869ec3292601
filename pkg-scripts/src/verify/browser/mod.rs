//! The page in one browser, after a rehearsal of the harness on a page of its own.

mod accessible;
mod embedding;
mod exports;
mod lessons;
mod looking;
mod native;
mod offline;
mod reading;
mod requests;
mod scene;
mod several;

use super::Tally;
use crate::browsers::{Browser, Engine, rehearse};
use crate::project::run_async;
use crate::serve::Server;
use anyhow::Result;
use std::path::Path;

pub(super) fn run(engine: Engine) -> Tally {
    let mut tally = Tally::default();
    // Always: a module from before the last change would answer for code that is not there any more. What is tried is
    // what is uploaded.
    match crate::pack::folder() {
        Ok(folder) => {
            let played = run_async(play(engine, &folder, &mut tally));
            tally.check("browser and driver run and end", played);
        }
        Err(error) => tally.check("the page is packed", Err(error)),
    }
    tally
}

async fn play(engine: Engine, folder: &Path, tally: &mut Tally) -> Result<()> {
    let browser = Browser::start(engine).await?;
    tally.check("the harness does what it says", rehearse(&browser).await);
    let server = Server::start(folder, 0).await?;
    scene::play(&browser, &server, tally).await;
    match native::student_files() {
        Ok(files) => lessons::play(&browser, &server, &files[1], tally).await,
        Err(error) => tally.check("the model writes files", Err(error)),
    }
    tally.check("the page in one file works from a disk", offline::works(&browser, folder).await);
    accessible::play(&browser, &server, tally).await;
    embedding::play(&browser, folder, &server, tally).await;
    browser.close().await
}
