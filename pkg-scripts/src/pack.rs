//! The folder a coach uploads to a static host, and what it weighs.

use crate::build;
use crate::offline;
use crate::project::{root, www};
use crate::shrink::{Minifier, shrink};
use anyhow::{Context, Result, ensure};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// Bytes after brotli that everything on a first visit may weigh together: what a page loads until its comparison is seen.
pub const VISIT: usize = 113_000;

/// Bytes after brotli that the engine may weigh, which is loaded when something has to be computed. To be lowered
/// with every saving; it rose when lesson files and tables came, by a hundredth when intervals were mended, by what reads plain
/// rows in one pass and takes names out of lessons, and by its own sentences, which came with the page before.
pub const ENGINE: usize = 280_500;

/// Bytes after brotli that the coach may weigh: the cards, their sentences, and the module that knows the rules. It rose by 2 kB when
/// the card got its picture, and presets came to be made in the page.
pub const COACH: usize = 117_000;

/// What is loaded with the first card of the coaching loop.
pub const COACH_FILES: [&str; 5] = ["desk.css", "desk.js", "text/coach.en.json", "wasm/coach.js", "wasm/coach_bg.wasm"];

/// What a student at home loads beside the coach: a page of its own.
pub const PRACTICE_FILES: [&str; 3] = ["practice.css", "practice.html", "practice.js"];

/// What is loaded with the engine.
pub const ENGINE_FILES: [&str; 4] = ["worker.js", "text/engine.en.json", "wasm/engine.js", "wasm/engine_bg.wasm"];

/// What is loaded when a lesson has a story, or a reader opens a part that most do not.
pub const LATER_FILES: [&str; 13] = [
    "story.js",
    "making.js",
    "trying.js",
    "sharing.js",
    "fragment.js",
    "shelf.js",
    "shelf-worker.js",
    "waiting.js",
    "text/later.en.json",
    "wasm/maker.js",
    "wasm/maker_bg.wasm",
    "wasm/shelf.js",
    "wasm/shelf_bg.wasm",
];

/// What other pages load: those that set the element into a frame, and those in step.
const OTHER_FILES: [&str; 8] = [
    "handpath-compare.d.ts",
    "package.json",
    "embed.html",
    "embed.js",
    "frame.js",
    "in-step.js",
    "together.html",
    "together.js",
];

/// Types, for those who take the folder as a package.
const TYPES: &str = "handpath-compare.d.ts";

/// What makes the folder a package of npm.
fn package() -> String {
    format!(
        r#"{{
  "name": "handpath",
  "version": "{}",
  "description": "Compare the hand path of a golf swing with reference swings",
  "license": "MIT OR Apache-2.0",
  "type": "module",
  "exports": {{
    ".": {{ "types": "./{TYPES}", "default": "./handpath-compare.js" }},
    "./define.js": "./define.js",
    "./in-step.js": "./in-step.js",
    "./room.css": "./room.css"
  }},
  "sideEffects": ["./define.js"]
}}
"#,
        env!("CARGO_PKG_VERSION")
    )
}

/// Checks the weights and tells them.
///
/// # Errors
/// One is over its bound.
pub fn check(files: &[Packed]) -> Result<String> {
    let [visit, engine, coach] = [first_visit(files), engine(files), coach(files)];
    ensure!(visit <= VISIT, "a first visit weighs {visit} bytes after brotli; at most {VISIT} are allowed");
    ensure!(engine <= ENGINE, "the engine weighs {engine} bytes after brotli; at most {ENGINE} are allowed");
    ensure!(coach <= COACH, "the coach weighs {coach} bytes after brotli; at most {COACH} are allowed");
    Ok(format!(
        "A first visit weighs {visit} bytes after brotli (at most {VISIT}), the engine another {engine} when something has \
         to be computed (at most {ENGINE}), the coach another {coach} with the first card of the coaching loop (at most {COACH})."
    ))
}

/// Sizes of one packed file, bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packed {
    /// Path below the folder, with `/` between names.
    pub path: String,
    /// As it is.
    pub raw: usize,
    /// After `gzip -9`.
    pub gzip: usize,
    /// After `brotli -q 11`.
    pub brotli: usize,
}

impl Packed {
    /// Does a browser load it on a first visit? The demo's data are left out of that sum, and of the languages only one is
    /// loaded.
    pub fn first_visit(&self) -> bool {
        is_of_first_visit(&self.path)
    }

    /// Is it loaded with the coach?
    pub fn coach(&self) -> bool {
        COACH_FILES.contains(&self.path.as_str())
    }

    /// Is it loaded with the engine?
    pub fn engine(&self) -> bool {
        ENGINE_FILES.contains(&self.path.as_str())
    }
}

/// The same, by path.
pub fn is_of_first_visit(path: &str) -> bool {
    let other_language = path.starts_with("text/") && path != "text/en.json";
    let apart = path.starts_with("demo/") || path == offline::FILE || OTHER_FILES.contains(&path);
    let other = [&ENGINE_FILES[..], &COACH_FILES, &PRACTICE_FILES, &LATER_FILES].concat();
    !apart && !other_language && !other.contains(&path)
}

/// Builds the page and puts what a host needs into `dist`: once, for as long as the program runs. The modules are features of
/// one crate, so that cargo would compile all of them again every time.
///
/// # Errors
/// The page could not be built, or a file not be written.
pub fn folder() -> Result<PathBuf> {
    static PACKED: Mutex<Option<PathBuf>> = Mutex::new(None);
    let mut packed = PACKED.lock().unwrap_or_else(PoisonError::into_inner);
    if packed.is_none() {
        *packed = Some(packed_anew()?);
    }
    packed.clone().context("nothing was packed")
}

fn packed_anew() -> Result<PathBuf> {
    build::page()?;
    let dist = root().join("dist");
    if dist.exists() {
        std::fs::remove_dir_all(&dist).with_context(|| format!("cannot empty {}", dist.display()))?;
    }
    copy(&www(), &dist)?;
    std::fs::copy(www().join(TYPES), dist.join(TYPES))?;
    std::fs::write(dist.join("package.json"), package())?;
    if let Some(minifier) = Minifier::get()? {
        shrink(&dist, &minifier)?;
        offline::write(&dist, &minifier)?;
    }
    Ok(dist)
}

/// The same, and what each file weighs.
///
/// # Errors
/// As [`folder`].
pub fn pack() -> Result<(PathBuf, Vec<Packed>)> {
    let dist = folder()?;
    let mut files = Vec::new();
    weigh_all(&dist, "", &mut files)?;
    files.sort_by(|a, b| a.path.cmp(&b.path));
    Ok((dist, files))
}

/// Bytes after brotli on a first visit.
pub fn first_visit(files: &[Packed]) -> usize {
    files.iter().filter(|file| file.first_visit()).map(|file| file.brotli).sum()
}

/// Bytes after brotli that come with the engine.
pub fn engine(files: &[Packed]) -> usize {
    files.iter().filter(|file| file.engine()).map(|file| file.brotli).sum()
}

/// Bytes after brotli that come with the coach.
pub fn coach(files: &[Packed]) -> usize {
    files.iter().filter(|file| file.coach()).map(|file| file.brotli).sum()
}

/// Declarations and notes are for people who write programs; a host has no use for them.
fn needed(name: &str) -> bool {
    !name.starts_with('.') && !name.ends_with(".d.ts") && !name.ends_with(".md")
}

/// Copies a folder with what a host needs of it.
///
/// # Errors
/// A file could not be read or written.
pub fn copy(from: &Path, to: &Path) -> Result<()> {
    std::fs::create_dir_all(to)?;
    for entry in std::fs::read_dir(from)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if entry.file_type()?.is_dir() {
            copy(&entry.path(), &to.join(&name))?;
        } else if needed(&name) {
            std::fs::copy(entry.path(), to.join(&name))?;
        }
    }
    Ok(())
}

fn weigh_all(folder: &Path, below: &str, files: &mut Vec<Packed>) -> Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let path = format!("{below}{}", entry.file_name().to_string_lossy());
        if entry.file_type()?.is_dir() {
            weigh_all(&entry.path(), &format!("{path}/"), files)?;
        } else {
            files.push(weigh(path, &std::fs::read(entry.path())?)?);
        }
    }
    Ok(())
}

fn weigh(path: String, bytes: &[u8]) -> Result<Packed> {
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    gzip.write_all(bytes)?;
    let mut brotli = Vec::new();
    let settings = brotli::enc::BrotliEncoderParams { quality: 11, lgwin: 22, ..Default::default() };
    brotli::BrotliCompress(&mut &*bytes, &mut brotli, &settings)?;
    Ok(Packed { path, raw: bytes.len(), gzip: gzip.finish()?.len(), brotli: brotli.len() })
}

/// What is said of the page in one file, where it was written.
pub fn about_offline(files: &[Packed]) -> Option<String> {
    let file = files.iter().find(|file| file.path == offline::FILE)?;
    Some(format!(
        "{} ({} bytes) is the whole page in one file: open it from a disk, without a connection.",
        file.path, file.raw
    ))
}

/// The table that `cargo pack` prints.
pub fn table(files: &[Packed]) -> String {
    let width = files.iter().map(|file| file.path.len()).max().unwrap_or(0).max("first visit".len());
    let line = |name: &str, [raw, gzip, brotli]: [usize; 3]| format!("{name:width$} {raw:>9} {gzip:>9} {brotli:>9}\n");
    let sum = |chosen: Vec<&Packed>| {
        let add = |of: fn(&Packed) -> usize| chosen.iter().map(|file| of(file)).sum();
        [add(|file| file.raw), add(|file| file.gzip), add(|file| file.brotli)]
    };
    let mut out = format!("{:width$} {:>9} {:>9} {:>9}\n", "bytes", "raw", "gzip", "brotli");
    out.extend(files.iter().map(|file| line(&file.path, [file.raw, file.gzip, file.brotli])));
    out += &line("first visit", sum(files.iter().filter(|file| file.first_visit()).collect()));
    out += &line("engine", sum(files.iter().filter(|file| file.engine()).collect()));
    out += &line("coach", sum(files.iter().filter(|file| file.coach()).collect()));
    out += &line("all files", sum(files.iter().collect()));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_first_visit_is_the_page_and_one_language() {
        let file = |path: &str| Packed { path: path.into(), raw: 100, gzip: 50, brotli: 40 };
        let names = [
            "index.html",
            "demo/a.c3d",
            "text/coach.en.json",
            "text/de.json",
            "text/en.json",
            "practice.js",
            "wasm/coach.js",
            "wasm/painter_bg.wasm",
            "worker.js",
        ];
        let files: Vec<Packed> = names.into_iter().chain([offline::FILE]).map(file).collect();
        assert_eq!((first_visit(&files), engine(&files), coach(&files)), (3 * 40, 40, 2 * 40));
        assert!(table(&files).contains("first visit                 300       150       120\n"));
    }

    #[test]
    fn bounds_hold() {
        let file = |path: &str, brotli| Packed { path: path.into(), raw: 0, gzip: 0, brotli };
        let check = |visit, engine, coach| {
            let files = [file("element.css", visit), file("worker.js", engine), file("wasm/coach.js", coach)];
            check(&files).is_ok()
        };
        assert!(check(VISIT, ENGINE, COACH));
        assert!(!check(VISIT + 1, 0, 0) && !check(0, ENGINE + 1, 0) && !check(0, 0, COACH + 1));
    }

    #[test]
    fn sizes_are_those_of_the_usual_programs() {
        let packed = weigh("a".into(), &[b'a'; 10_000]).unwrap();
        assert_eq!(packed.raw, 10_000);
        assert!((20..60).contains(&packed.gzip) && (8..20).contains(&packed.brotli), "{packed:?}");
        assert!(!needed("handpath.d.ts") && !needed(".notes") && needed("handpath.js"));
    }
}
