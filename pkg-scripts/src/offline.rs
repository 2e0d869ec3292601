//! The whole page in one file, to be kept, passed on and opened from a disk without any connection.
//!
//! From `file://` a browser fetches nothing and starts no worker that is a module. So what `www/resources.js` would get
//! lies in the page: files packed with deflate, in base64, the worker and the style sheet as text, and each recording in
//! its link, where it can be saved without a script. The script that hands them over is `pkg-scripts/offline/main.js`.

use crate::project::{root, run, www};
use crate::shrink::Minifier;
use anyhow::{Context, Result, ensure};
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use sha2::{Digest, Sha256};
use std::io::Write;
use std::path::Path;

/// Its name in the packed folder.
pub const FILE: &str = "handpath-offline.html";

const TEMPLATE: &str = include_str!("../offline/page.html");

/// Files that modules read: all languages among them, for this page can ask for none later.
const PACKED: [&str; 17] = [
    "demo/opening.json",
    "text/coach.de.json",
    "text/coach.en.json",
    "text/coach.es.json",
    "text/de.json",
    "text/en.json",
    "text/engine.de.json",
    "text/engine.en.json",
    "text/engine.es.json",
    "text/es.json",
    "text/later.de.json",
    "text/later.en.json",
    "text/later.es.json",
    "wasm/coach_bg.wasm",
    "wasm/engine_bg.wasm",
    "wasm/maker_bg.wasm",
    "wasm/painter_bg.wasm",
];

/// Writes the page into a folder that holds the packed page.
///
/// # Errors
/// The bundler refused a script, a file is missing, or `index.html` is written in another way than this reads.
pub(crate) fn write(folder: &Path, minifier: &Minifier) -> Result<()> {
    let page = page(folder, minifier)?;
    let file = folder.join(FILE);
    std::fs::write(&file, page).with_context(|| format!("cannot write {}", file.display()))
}

fn page(folder: &Path, minifier: &Minifier) -> Result<String> {
    let script = bundled(minifier, &root().join("pkg-scripts/offline/main.js"), "esm")?;
    let worker = bundled(minifier, &www().join("worker.js"), "iife")?;
    let style = text(&folder.join("style.css"))?;
    let index = text(&www().join("index.html"))?;
    let element =
        format!("<handpath-compare{}</handpath-compare>", between(&index, "<handpath-compare", "</handpath-compare>")?);
    let limits = format!("<h2 id=\"limits\">{}", between(&index, "<h2 id=\"limits\">", "</main>")?.trim_end());
    let packed = PACKED.iter().map(|name| packed(name, &folder.join(name))).collect::<Result<String>>()?;
    let files = packed
        + &stored("desk.css", "text/css", &text(&folder.join("desk.css"))?)
        + &stored("element.css", "text/css", &text(&folder.join("element.css"))?)
        + &stored("worker.js", "text/javascript", &worker);
    let parts = [
        ("{policy}", policy(&script, &style)),
        ("{style}", style),
        ("{element}", with_recordings(&element)?),
        ("{limits}", limits),
        ("{files}", files),
        ("{script}", script),
    ];
    filled(TEMPLATE, &parts)
}

/// The policy of the page: its own script and style by their hash, the worker and the style sheet that it makes of its
/// own text, its own modules, and no connection to anything.
fn policy(script: &str, style: &str) -> String {
    let hash = |text: &str| format!("'sha256-{}'", BASE64_STANDARD.encode(Sha256::digest(text)));
    format!(
        "default-src 'none'; script-src {} 'wasm-unsafe-eval'; style-src {} blob:; worker-src blob:; img-src blob: data:; \
         connect-src 'none'; base-uri 'none'; form-action 'none'",
        hash(script),
        hash(style)
    )
}

/// A script with all that it imports.
fn bundled(minifier: &Minifier, script: &Path, format: &str) -> Result<String> {
    let out = root().join("target/offline").join(script.file_name().unwrap_or_default());
    let mut command = minifier.command();
    command.args(["--bundle", &format!("--format={format}"), &format!("--outfile={}", out.display())]);
    run(command.arg(script))?;
    let text = text(&out)?;
    ensure_inline(&text)?;
    Ok(text)
}

fn text(file: &Path) -> Result<String> {
    std::fs::read_to_string(file).with_context(|| format!("cannot read {}", file.display()))
}

/// Text of a script element ends at the first end tag; after `<!--` other rules hold (HTML, 13.1.3), and a return would
/// change its hash.
fn ensure_inline(text: &str) -> Result<()> {
    let lower = text.to_ascii_lowercase();
    let breaking = ["</script", "<script", "<!--", "\r"].into_iter().find(|part| lower.contains(part));
    ensure!(breaking.is_none(), "a script that holds {breaking:?} cannot be put into a page");
    Ok(())
}

fn stored(name: &str, kind: &str, text: &str) -> String {
    format!("<script type=\"text/plain\" data-text=\"{name}\" data-type=\"{kind}\">{text}</script>\n")
}

fn packed(name: &str, file: &Path) -> Result<String> {
    let bytes = std::fs::read(file).with_context(|| format!("cannot read {}", file.display()))?;
    let mut deflated = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    deflated.write_all(&bytes)?;
    let base64 = BASE64_STANDARD.encode(deflated.finish()?);
    Ok(format!("<script type=\"text/plain\" data-packed=\"{name}\">{base64}</script>\n"))
}

/// The element's markup, each recording inside its link.
fn with_recordings(element: &str) -> Result<String> {
    const LINK: &str = "href=\"";
    let mut pieces = element.split(LINK);
    let mut out = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let (path, rest) = piece.split_once('"').context("a link does not end")?;
        let bytes = std::fs::read(www().join(path)).with_context(|| format!("the markup names {path}"))?;
        let name = path.rsplit('/').next().unwrap_or(path);
        let data = BASE64_STANDARD.encode(bytes);
        out += &format!("download=\"{name}\" {LINK}data:application/octet-stream;base64,{data}\"{rest}");
    }
    Ok(out)
}

fn between<'a>(text: &'a str, from: &str, to: &str) -> Result<&'a str> {
    let found = text.split_once(from).and_then(|(_, rest)| Some(rest.split_once(to)?.0));
    found.with_context(|| format!("index.html holds nothing between {from} and {to}"))
}

/// The template with its parts; what a part holds is not looked through for others.
fn filled(template: &str, parts: &[(&str, String)]) -> Result<String> {
    let mut out = String::new();
    let mut rest = template;
    for (name, part) in parts {
        let (before, after) =
            rest.split_once(name).with_context(|| format!("the template lacks {name}, in this order"))?;
        out += before;
        out += part;
        rest = after;
    }
    Ok(out + rest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_stand_in_their_place_once() {
        let parts = [("{a}", "1{b}".to_owned()), ("{b}", "2".to_owned())];
        assert_eq!(filled("<{a}|{b}>", &parts).unwrap(), "<1{b}|2>");
        assert!(filled("{b}{a}", &parts).is_err());
    }

    #[test]
    fn a_script_that_would_end_early_is_refused() {
        assert!(ensure_inline("a < b").is_ok());
        ["'</SCRIPT>'", "'<!--'", "a\r\nb"].iter().for_each(|text| assert!(ensure_inline(text).is_err(), "{text}"));
    }

    /// The hash of the empty text is that of FIPS 180-4 (its example values), in base64.
    #[test]
    fn the_policy_names_hashes_and_no_connection() {
        let policy = policy("", "");
        assert!(policy.contains("script-src 'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=' 'wasm-unsafe-eval'"));
        assert!(policy.contains("connect-src 'none'") && !policy.contains("unsafe-inline"));
    }

    #[test]
    fn recordings_lie_in_their_links() {
        let page = with_recordings("<a data-slot=\"student\" href=\"demo/student-1-1.c3d\">x</a>").unwrap();
        let data =
            between(&page, "download=\"student-1-1.c3d\" href=\"data:application/octet-stream;base64,", "\">x</a>")
                .unwrap();
        let file = std::fs::read(www().join("demo/student-1-1.c3d")).unwrap();
        assert_eq!(BASE64_STANDARD.decode(data).unwrap(), file);
        assert!(with_recordings("<a href=\"demo/none.c3d\">").is_err());
    }
}
