//! References on a shelf: made of a folder, and the nearest of them to a swing.

use super::file::inspect;
use super::folder::collect;
use super::options::{Request, Wanted};
use super::{Inspected, Outcome};
use anyhow::{Context, Result, anyhow};
use handpath::lesson::Slot;
use handpath::session::{Collection, Near, Nearest, Shelved};
use handpath::words::Message;
use std::io::Write;
use std::path::{Path, PathBuf};

/// As deep in folders as a table of a folder is.
const DEEPEST: usize = 16;

/// Puts every file below a folder on a new shelf, writes its pack and tells what was left out.
pub(super) fn save(request: &Request, folder: &Path, pack: &Path, out: &mut impl Write) -> Result<Outcome> {
    let mut files: Vec<PathBuf> = vec![];
    collect(folder, DEEPEST, &mut files)?;
    files.sort();
    files.retain(|file| file != pack);
    let mut shelf = Collection::default();
    for file in &files {
        let label = file.strip_prefix(folder).unwrap_or(file).to_string_lossy().replace('\\', "/");
        let bytes = std::fs::read(file).with_context(|| format!("cannot read {}", file.display()))?;
        if let Shelved { error: Some(error), .. } = shelf.add(&label, &bytes, &request.student.corrections) {
            writeln!(out, "{label}: {error}")?;
        }
    }
    let taken = shelf.tags().len();
    std::fs::write(pack, shelf.to_pack()).with_context(|| format!("cannot write {}", pack.display()))?;
    let (known, refused) = (0_usize, files.len() - taken);
    let told = Message::new("shelf.done").with("taken", taken).with("known", known).with("refused", refused);
    writeln!(out, "{told}")?;
    Ok(if taken > 0 { Outcome::Found } else { Outcome::NoSwing })
}

/// Tells the nearest references of a pack for each FILE.
pub(super) fn run(request: &Request, wanted: &Wanted, out: &mut impl Write) -> Result<Outcome> {
    let path = wanted.pack.display();
    let bytes = std::fs::read(&wanted.pack).with_context(|| format!("cannot read {path}"))?;
    let shelf = Collection::from_pack(&bytes).map_err(|error| anyhow!("{path}: {}", error.message()))?;
    let mut worst = Outcome::Found;
    let mut documents = vec![];
    for file in &request.files {
        let opened = inspect(file, &request.student, Slot::Student, &[Slot::Student]);
        for (_, swing) in opened.swings {
            worst = worst.max(swing.outcome());
            documents.push((swing.report.name.clone(), nearest(&shelf, &swing, wanted)));
        }
    }
    if request.json {
        let all: Vec<_> =
            documents.iter().map(|(name, found)| serde_json::json!({ "name": name, "shelf": found })).collect();
        serde_json::to_writer(&mut *out, &all)?;
        writeln!(out)?;
    } else {
        documents.iter().try_for_each(|(name, found)| tell(name, found, out))?;
    }
    Ok(worst)
}

fn nearest(shelf: &Collection, swing: &Inspected, wanted: &Wanted) -> Nearest {
    match &swing.swing {
        Some(own) => shelf.nearest_to(own, &wanted.wish),
        None => Nearest { error: swing.report.error.clone(), ..Nearest::default() },
    }
}

fn tell(name: &str, found: &Nearest, out: &mut impl Write) -> Result<()> {
    writeln!(out, "{name}")?;
    if let Some(error) = &found.error {
        writeln!(out, "  {error}")?;
        return Ok(());
    }
    let heading = if found.near.is_empty() { Message::new("shelf.nothing") } else { Message::new("shelf.among") };
    writeln!(out, "  {}", heading.with("count", found.among))?;
    found.near.iter().try_for_each(|near| writeln!(out, "  {}", line(near)).map_err(Into::into))
}

fn line(near: &Near) -> Message {
    let tags = &near.tags;
    let message = Message::new("shelf.near").with("name", tags.label.as_str()).with("apart", near.apart_m);
    message.with("hand", tags.hand.name()).with("club", tags.club.name()).with("kind", tags.kind.name())
}
