//! The page in one browser, after a rehearsal of the harness on a page of its own.

mod accessible;
mod desk;
mod embedding;
mod exports;
mod forced;
mod house;
mod keeping;
mod keyboard;
mod lessons;
mod looking;
mod native;
mod offline;
mod practice;
mod readers;
mod reading;
mod requests;
mod scene;
mod several;
mod shelf;
mod telling;
mod trying;

use super::{Tally, Wanted};
use crate::browsers::{Browser, Engine, rehearse};
use crate::project::run_async;
use crate::serve::Server;
use anyhow::Result;
use std::path::Path;

/// What is played in a browser, each from a page of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scene {
    /// What a coach does with the page, against the native core.
    Demo,
    /// Lesson files and links.
    Lessons,
    /// The story of a lesson.
    Story,
    /// A made-up swing to try.
    Trial,
    /// A shelf of references.
    Shelf,
    /// A student at home: the log of practice, and the browser killed while it is written.
    Practice,
    /// The coaching loop of a student, from the intake to the next lesson.
    Desk,
    /// The page in one file, from a disk.
    Offline,
    /// A checker from outside, in all states.
    Accessible,
    /// The whole job by keys alone.
    Keyboard,
    /// Colours that the system forces.
    Forced,
    /// Large text, narrow windows, other languages, right to left.
    Readers,
    /// Pages of others: a blog, a frame, pages in step.
    Embedding,
}

impl Scene {
    /// All, in the order they are played.
    pub const ALL: [Scene; 13] = [
        Scene::Demo,
        Scene::Lessons,
        Scene::Story,
        Scene::Trial,
        Scene::Shelf,
        Scene::Practice,
        Scene::Desk,
        Scene::Offline,
        Scene::Accessible,
        Scene::Keyboard,
        Scene::Forced,
        Scene::Readers,
        Scene::Embedding,
    ];

    /// Name in options.
    pub fn name(self) -> &'static str {
        match self {
            Scene::Demo => "demo",
            Scene::Lessons => "lessons",
            Scene::Story => "story",
            Scene::Trial => "trial",
            Scene::Shelf => "shelf",
            Scene::Offline => "offline",
            Scene::Accessible => "accessible",
            Scene::Keyboard => "keyboard",
            Scene::Forced => "forced",
            Scene::Readers => "readers",
            Scene::Embedding => "embedding",
            Scene::Practice => "practice",
            Scene::Desk => "desk",
        }
    }

    /// Reads a name.
    pub fn parse(name: &str) -> Option<Scene> {
        Scene::ALL.into_iter().find(|scene| scene.name() == name)
    }

    async fn play(self, browser: &mut Browser, folder: &Path, server: &Server, kills: usize, tally: &mut Tally) {
        match self {
            Scene::Demo => scene::play(browser, server, tally).await,
            Scene::Lessons => match native::student_files() {
                Ok(files) => lessons::play(browser, server, &files[1], tally).await,
                Err(error) => tally.check("the model writes files", Err(error)),
            },
            Scene::Story => match native::student_files() {
                Ok(files) => telling::play(browser, folder, server, &files[1], tally).await,
                Err(error) => tally.check("the model writes files", Err(error)),
            },
            Scene::Trial => trying::play(browser, server, tally).await,
            Scene::Shelf => match native::student_files() {
                Ok(files) => shelf::play(browser, server, &files[1], tally).await,
                Err(error) => tally.check("the model writes files", Err(error)),
            },
            Scene::Offline => {
                tally.check("the page in one file works from a disk", offline::works(browser, folder).await)
            }
            Scene::Accessible => accessible::play(browser, server, tally).await,
            Scene::Keyboard => keyboard::play(browser, server, tally).await,
            Scene::Forced => forced::play(browser.engine(), server, tally).await,
            Scene::Readers => readers::play(browser, server, tally).await,
            Scene::Embedding => embedding::play(browser, folder, server, tally).await,
            Scene::Practice => practice::play(browser, server, kills, tally).await,
            Scene::Desk => desk::play(browser, server, tally).await,
        }
    }
}

pub(super) fn run(engine: Engine, wanted: &Wanted) -> Tally {
    let mut tally = Tally::default();
    // Always: a module from before the last change would answer for code that is not there any more. What is tried is
    // What is tried is what is uploaded.
    match crate::pack::folder() {
        Ok(folder) => {
            let played = run_async(play(engine, &folder, wanted, &mut tally));
            tally.check("browser and driver run and end", played);
        }
        Err(error) => tally.check("the page is packed", Err(error)),
    }
    tally
}

async fn play(engine: Engine, folder: &Path, wanted: &Wanted, tally: &mut Tally) -> Result<()> {
    let mut browser = Browser::start(engine).await?;
    tally.check("the harness does what it says", rehearse(&browser).await);
    let server = Server::start(folder, 0).await?;
    for scene in &wanted.scenes {
        scene.play(&mut browser, folder, &server, wanted.kills, tally).await;
    }
    browser.close().await
}
