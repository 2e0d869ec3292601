//! A house preset: what it states for every capture, its references, and the fingerprint of the settings.

use super::file::{Opened, inspect, over};
use super::{Inspected, Request, Stated, lesson};
use crate::project::say;
use anyhow::{Context, Result, anyhow, ensure};
use handpath::align::AlignOptions;
use handpath::coach::fingerprint;
use handpath::coach::presets::{self, Preset};
use handpath::findings::Thresholds;
use handpath::json::{Json, spelled};
use handpath::lesson::Slot;
use handpath::plain::{Given, Read};
use handpath::report::Fingerprint;
use handpath::settings::Corrections;
use handpath::words::Message;
use std::path::{Path, PathBuf};

/// A preset that was opened, and where it lies; without one nothing is stated.
#[derive(Default)]
pub(super) struct House {
    preset: Option<Preset>,
    folder: PathBuf,
}

/// Opens the preset of a request, and states for its students what the preset's set-up states: what was typed wins.
pub(super) fn open(request: &Request) -> Result<(Request, House)> {
    let Some(path) = &request.preset else { return Ok((request.clone(), House::default())) };
    let bytes = std::fs::read(path).with_context(|| format!("cannot read {}", path.display()))?;
    let preset = presets::open(&bytes).map_err(|why| anyhow!("{}: {why}", path.display()))?;
    preset.warnings.iter().for_each(|warning| say(&format!("{}: {warning}", path.display())));
    let setup = preset.setup(request.setup.as_deref());
    if let (Some(name), None) = (&request.setup, &setup) {
        let names: Vec<String> = preset.setups().into_iter().map(|setup| setup.name).collect();
        return Err(anyhow!("{} has no set-up {name:?}; it has {}", path.display(), names.join(", ")));
    }
    let mut request = request.clone();
    if let Some(setup) = setup {
        state(&mut request.student, &setup.corrections);
    }
    let folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
    Ok((request, House { preset: Some(preset), folder }))
}

/// States corrections where nothing was typed.
fn state(stated: &mut Stated, corrections: &Corrections) {
    for (role, tracks) in corrections.roles.iter() {
        stated.roles.entry(*role).or_insert_with(|| tracks.join("+"));
    }
    stated.corrections = over(corrections, &stated.corrections);
}

impl House {
    /// Its thresholds, if it has some.
    pub(super) fn thresholds(&self) -> Option<Thresholds> {
        let preset = self.preset.as_ref()?;
        preset.document.get("thresholds").map(|_| preset.thresholds())
    }

    /// Its references that name a file, which lies beside the preset. Their order is that of their digests: sums of
    /// rounded numbers depend on it, and nothing may depend on how the preset was written.
    ///
    /// # Errors
    /// A file is not the one that the preset names.
    pub(super) fn references(&self) -> Result<Vec<Inspected>> {
        let listed = self.preset.as_ref().map_or(&[][..], Preset::references);
        let read = listed.iter().filter_map(|told| self.reference(told)).collect::<Result<Vec<_>>>()?;
        let mut found = read.concat();
        found.sort_by(|a, b| a.digest.cmp(&b.digest));
        Ok(found)
    }

    /// Where the files that it names lie.
    pub(super) fn files(&self) -> impl Iterator<Item = PathBuf> {
        let listed = self.preset.as_ref().map_or(&[][..], Preset::references);
        listed.iter().filter_map(|told| Some(self.folder.join(told.get("file").and_then(Json::as_text)?)))
    }

    fn reference(&self, told: &Json) -> Option<Result<Vec<Inspected>>> {
        let text = |name: &str| told.get(name).and_then(Json::as_text);
        let path = self.folder.join(text("file")?);
        let mut stated = Stated::default();
        let corrections = told.get("corrections").map_or(Given::Null, Json::given);
        state(&mut stated, &Corrections::read(&corrections).unwrap_or_default());
        let Opened { swings, .. } = inspect(&path, &stated, Slot::Reference, &[Slot::Reference]);
        let swings: Vec<Inspected> = swings.into_iter().map(|(_, swing)| swing).collect();
        Some(self.same(&path, text("sha256"), swings))
    }

    fn same(&self, path: &Path, stated: Option<&str>, swings: Vec<Inspected>) -> Result<Vec<Inspected>> {
        let bytes = std::fs::read(path).with_context(|| format!("cannot read {}", path.display()))?;
        let found = fingerprint::digest(&bytes);
        ensure!(
            stated.is_none_or(|stated| stated.eq_ignore_ascii_case(&found)),
            "{} is not the reference that the preset names: its SHA-256 is {found}",
            path.display()
        );
        Ok(swings)
    }
}

/// The fingerprint of what the numbers of a student's file rest on.
pub(super) fn fingerprint(
    student: &Inspected,
    references: &[Inspected],
    thresholds: &Thresholds,
    align: &AlignOptions,
) -> Fingerprint {
    let stated = |file: &Inspected| lesson::corrections(&file.corrections).unwrap_or(Json::Null);
    let reference = |file: &Inspected| {
        let fields = [("recording", Json::text(&file.digest)), ("corrections", stated(file))];
        Json::Record(fields.map(|(name, value)| (name.to_owned(), value)).into())
    };
    let references: Vec<Json> = references.iter().map(reference).collect();
    let mut settings = fingerprint::settings(&stated(student), thresholds, &references, spelled);
    if *align != AlignOptions::default() {
        settings.set("align", Json::text(&format!("{align:?}")));
    }
    fingerprint::of(&settings, spelled)
}

/// The line of a summary.
pub(super) fn line(fingerprint: &Fingerprint) -> String {
    Message::new("coach.fingerprint").with("code", fingerprint.code.as_str()).to_string()
}
