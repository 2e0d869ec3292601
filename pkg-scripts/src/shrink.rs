//! Scripts and styles of the packed page, without what a browser does not need. What is in `www` runs as it is; this
//! only saves bytes, so that a machine without npm still packs.

use crate::project::{root, run, say};
use anyhow::{Context, Result};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The minifier, to the digit: everyone gets the same bytes.
const ESBUILD: &str = "0.28.2";

/// The element: the modules that it imports are put into it.
const ELEMENT: &str = "handpath-compare.js";

/// The page for iframes: it has its own copies of small modules, and shares the element.
const EMBED: &str = "embed.js";

/// Parts of the element that are loaded later, and a page of its own: each has its own copies of small modules.
const LATER: [&str; 9] = [
    "story.js",
    "making.js",
    "trying.js",
    "shelf.js",
    "waiting.js",
    "sharing.js",
    "fragment.js",
    "desk.js",
    "practice.js",
];

/// Folders of modules that are inside others.
const INSIDE: [&str; 1] = ["coach"];

/// Modules that a browser asks for by their own name.
const ALONE: [&str; 12] = [
    "define.js",
    "frame.js",
    "in-step.js",
    "languages.js",
    "together.js",
    "shelf-worker.js",
    "worker.js",
    "wasm/painter.js",
    "wasm/engine.js",
    "wasm/coach.js",
    "wasm/maker.js",
    "wasm/shelf.js",
];

const STYLES: [&str; 5] = ["desk.css", "element.css", "practice.css", "room.css", "style.css"];

/// The minifier, installed. It also puts modules together.
pub(crate) struct Minifier(PathBuf);

impl Minifier {
    /// Installs it below the build folder where it is not there yet; none without npm.
    ///
    /// # Errors
    /// npm is there, but could not install it.
    pub(crate) fn get() -> Result<Option<Minifier>> {
        if !program_is_there("npm") {
            say(
                "There is no npm: scripts and styles are packed as they are, about 15 kB more, and the page in one file is \
                 left out, for which modules are put together. On Debian: apt-get install npm",
            );
            return Ok(None);
        }
        Ok(Some(Minifier(esbuild()?)))
    }

    /// To minify what is added to it.
    pub(crate) fn command(&self) -> Command {
        let mut command = Command::new(&self.0);
        command.args(["--minify", "--charset=utf8", "--log-level=warning"]);
        command
    }
}

/// Shrinks a folder that holds a copy of `www`.
///
/// # Errors
/// The minifier refused a file.
pub(crate) fn shrink(folder: &Path, minifier: &Minifier) -> Result<()> {
    say("Shrinking scripts and styles ...");
    // First the page that imports the element, while all modules are there.
    bundle(minifier, folder, EMBED, &["--external:./handpath-compare.js"])?;
    for name in LATER {
        bundle(minifier, folder, name, &["--external:./wasm/*"])?;
    }
    let apart = LATER.map(|name| format!("--external:./{name}"));
    let apart: Vec<&str> = apart.iter().map(String::as_str).chain(["--external:./wasm/*"]).collect();
    bundle(minifier, folder, ELEMENT, &apart)?;
    remove_inside(folder)?;
    ALONE.iter().chain(&STYLES).try_for_each(|name| {
        let file = folder.join(name);
        run(minifier.command().arg(&file).arg(format!("--outfile={}", file.display())).arg("--allow-overwrite"))
    })
}

fn program_is_there(name: &str) -> bool {
    Command::new(name).arg("--version").output().is_ok_and(|output| output.status.success())
}

/// The minifier's program, installed below the build folder where it is not there yet.
fn esbuild() -> Result<PathBuf> {
    Ok(npm("esbuild", ESBUILD)?.join(".bin").join("esbuild"))
}

/// The folder `node_modules` that holds a package, installed below the build folder where it is not there yet.
///
/// # Errors
/// npm is not there, or could not install it.
pub(crate) fn npm(package: &str, version: &str) -> Result<PathBuf> {
    let home = root().join("target").join(package).join(version);
    let modules = home.join("node_modules");
    if !modules.join(package).exists() {
        say(&format!("Installing {package} {version} below target ..."));
        std::fs::create_dir_all(&home)?;
        let mut npm = Command::new("npm");
        npm.args(["install", "--silent", "--no-save", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix"]);
        run(npm.arg(&home).arg(format!("{package}@{version}")))?;
    }
    Ok(modules)
}

fn bundle(minifier: &Minifier, folder: &Path, name: &str, more: &[&str]) -> Result<()> {
    let file = folder.join(name);
    let mut command = minifier.command();
    command.args(["--bundle", "--format=esm", "--allow-overwrite"]).args(more);
    run(command.arg(&file).arg(format!("--outfile={}", file.display())))
}

/// Removes the modules that are inside others now.
fn remove_inside(folder: &Path) -> Result<()> {
    for name in INSIDE {
        std::fs::remove_dir_all(folder.join(name)).with_context(|| format!("cannot remove {name}"))?;
    }
    for entry in std::fs::read_dir(folder)? {
        let file = entry?.path();
        let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let inside =
            name.ends_with(".js") && ![&[ELEMENT, EMBED], &LATER[..], &ALONE].concat().contains(&name.as_str());
        if inside {
            std::fs::remove_file(&file).with_context(|| format!("cannot remove {}", file.display()))?;
        }
    }
    Ok(())
}
