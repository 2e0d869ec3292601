//! Pictures of the page for people to look at: each width in each colour scheme.
#![allow(clippy::print_stdout, reason = "the files written are the answer of this command")]

use anyhow::{Context, Result};
use lexopt::prelude::*;
use pkg_scripts::browsers::{Browser, Engine, Scheme};
use pkg_scripts::project;
use pkg_scripts::serve::Server;
use serde_json::json;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Duration;

const HELP: &str = "cargo shots [OPTIONS]

Opens the page (www as built, or --url) in Chromium and writes pictures of it: 1280 and 390 px wide, light and dark.

  --out FOLDER     where the pictures go (default target/shots)
  --name NAME      start of the file names (default page)
  --url URL        a page that is already served (default: www is served for this)
  --path PATH      path below the page's address (default: none)
  --width PX       a width instead of 1280 and 390 (repeatable)
  --forced         in forced colours instead of light and dark
  --height PX      height of the window (default: the page's own height)
  --do SCRIPT      JavaScript run before the pictures (repeatable; `deep('a >>> b')` looks through shadow roots)
  --drop FILE      a file dropped on the element of --onto before the pictures (repeatable, before --do)
  --onto SELECTOR  where files are dropped (default body)
  --until EXPR     JavaScript waited for before the pictures (default true)
  --help           this text";

/// How long the page may take to become what --until asks for.
const LIMIT: Duration = Duration::from_secs(60);

/// Time for pictures that move, or are drawn a frame later.
const SETTLE: Duration = Duration::from_millis(600);

#[derive(Debug)]
struct Wish {
    out: PathBuf,
    name: String,
    url: Option<String>,
    path: String,
    widths: Vec<u32>,
    schemes: Vec<Scheme>,
    height: Option<u32>,
    scripts: Vec<String>,
    files: Vec<PathBuf>,
    onto: String,
    until: String,
}

fn wish() -> Result<Option<Wish>, lexopt::Error> {
    let mut wish = Wish {
        out: project::root().join("target/shots"),
        name: "page".into(),
        url: None,
        path: String::new(),
        widths: Vec::new(),
        schemes: vec![Scheme::Light, Scheme::Dark],
        height: None,
        scripts: Vec::new(),
        files: Vec::new(),
        onto: "body".into(),
        until: "true".into(),
    };
    let mut arguments = lexopt::Parser::from_env();
    while let Some(argument) = arguments.next()? {
        match argument {
            Long("out") => wish.out = arguments.value()?.into(),
            Long("name") => wish.name = arguments.value()?.string()?,
            Long("url") => wish.url = Some(arguments.value()?.string()?),
            Long("path") => wish.path = arguments.value()?.string()?,
            Long("width") => wish.widths.push(arguments.value()?.parse()?),
            Long("forced") => wish.schemes = vec![Scheme::Forced],
            Long("height") => wish.height = Some(arguments.value()?.parse()?),
            Long("do") => wish.scripts.push(arguments.value()?.string()?),
            Long("drop") => wish.files.push(arguments.value()?.into()),
            Long("onto") => wish.onto = arguments.value()?.string()?,
            Long("until") => wish.until = arguments.value()?.string()?,
            Short('h') | Long("help") => return Ok(None),
            other => return Err(other.unexpected()),
        }
    }
    if wish.widths.is_empty() {
        wish.widths = vec![1280, 390];
    }
    Ok(Some(wish))
}

async fn drop_files(browser: &Browser, wish: &Wish) -> Result<()> {
    for path in &wish.files {
        let bytes = std::fs::read(path).with_context(|| format!("cannot read {}", path.display()))?;
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        browser.drop_files(&wish.onto, &[(&name, &bytes)]).await?;
    }
    Ok(())
}

async fn picture(browser: &Browser, wish: &Wish, width: u32, scheme: Scheme) -> Result<()> {
    browser.look(width, wish.height.unwrap_or(900), scheme).await?;
    tokio::time::sleep(SETTLE).await;
    if wish.height.is_none() {
        let height = browser.run("return document.documentElement.scrollHeight;", vec![]).await?;
        let height = u32::try_from(height.as_u64().unwrap_or(900))?.clamp(300, 6000);
        browser.look(width, height, scheme).await?;
        tokio::time::sleep(SETTLE).await;
    }
    let wide = browser.run("return document.documentElement.scrollWidth;", vec![]).await?;
    let file = wish.out.join(format!("{}-{width}-{}.png", wish.name, scheme.name()));
    std::fs::write(&file, browser.screenshot().await?)?;
    let note = if wide.as_u64() > Some(u64::from(width)) { " (the page scrolls sideways)" } else { "" };
    println!("{}{note}", file.display());
    Ok(())
}

async fn shots(wish: &Wish) -> Result<()> {
    std::fs::create_dir_all(&wish.out)?;
    let server = match wish.url {
        None => Some(Server::start(&project::www(), 0).await?),
        Some(_) => None,
    };
    let base = wish.url.clone().or_else(|| Some(server.as_ref()?.url.clone())).unwrap_or_default();
    let browser = Browser::start(Engine::Chromium).await?;
    browser.look(wish.widths.first().copied().unwrap_or(1280), 900, Scheme::Light).await?;
    browser.open(&format!("{base}{}", wish.path)).await?;
    browser.until("the page", &wish.until, LIMIT).await?;
    drop_files(&browser, wish).await?;
    for script in &wish.scripts {
        browser.run(script, vec![json!(null)]).await?;
        tokio::time::sleep(SETTLE).await;
    }
    browser.until("the page", &wish.until, LIMIT).await?;
    for width in &wish.widths {
        for scheme in &wish.schemes {
            picture(&browser, wish, *width, *scheme).await?;
        }
    }
    for fault in browser.faults().await? {
        println!("fault in the page: {fault}");
    }
    browser.close().await
}

fn main() -> ExitCode {
    let wish = match wish() {
        Ok(Some(wish)) => wish,
        Ok(None) => {
            println!("{HELP}");
            return ExitCode::SUCCESS;
        }
        Err(error) => {
            eprintln!("{error}\n\n{HELP}");
            return ExitCode::from(project::USAGE);
        }
    };
    project::exit(project::run_async(shots(&wish)))
}
