//! One file: read, analysed, reported. A lesson file is as many swings as it holds.

use super::{Outcome, Stated};
use handpath::coach::fingerprint::digest;
use handpath::formats::write::packed;
use handpath::formats::{ReadError, ReadOptions, Recording, read};
use handpath::json::{Json, spelled};
use handpath::lesson::{self, Lesson, LessonSwing, Slot};
use handpath::report::Report;
use handpath::settings::Corrections;
use handpath::swing::{Swing, analyse};
use handpath::words::{Message, Place};
use std::path::Path;

/// What came of one file.
#[derive(Clone, Debug)]
pub struct Inspected {
    /// Everything known about it, as plain data.
    pub report: Report,
    /// The file as read; `None` where it is not readable.
    pub recording: Option<Recording>,
    /// The separate recording of the address that was used.
    pub address: Option<Recording>,
    /// The swing, where there is one.
    pub swing: Option<Swing>,
    /// The corrections that were applied.
    pub corrections: Corrections,
    /// The same for all swings of one recording: the path of the file, or the check of a recording kept in a lesson.
    pub origin: String,
    /// SHA-256 of the recording as a lesson keeps it: the same for an export and for a lesson that was made of it.
    pub digest: String,
    /// Is it kept in a lesson file?
    pub kept: bool,
    /// Is it a reference of the student's own?
    pub own: bool,
    readable: bool,
}

/// What a lesson file holds beside its swings.
pub(super) struct Opened {
    pub(super) swings: Vec<(Slot, Inspected)>,
    pub(super) lesson: Option<Lesson>,
}

impl Inspected {
    /// How it ended.
    pub fn outcome(&self) -> Outcome {
        match (self.readable, &self.swing) {
            (false, _) => Outcome::NotReadable,
            (true, None) => Outcome::NoSwing,
            (true, Some(_)) => Outcome::Found,
        }
    }

    fn unreadable(name: &str, recording: Option<Recording>, why: Message) -> Self {
        let empty = Report::unreadable(name, &ReadError::Empty);
        Inspected {
            report: Report { error: Some(why), ..empty },
            recording,
            address: None,
            swing: None,
            corrections: Corrections::default(),
            origin: name.to_owned(),
            digest: String::new(),
            kept: false,
            own: false,
            readable: false,
        }
    }

    fn of(name: &str, label: &str, recording: Recording, address: Option<Recording>, corrections: Corrections) -> Self {
        let mut swing = analyse(&recording, address.as_ref(), &corrections);
        if let Ok(swing) = &mut swing {
            label.clone_into(&mut swing.label);
        }
        let report = Report::of(name, &recording, swing.as_ref());
        let (swing, recording) = (swing.ok(), Some(recording));
        let digest = recording.as_ref().map(|kept| digest(packed(kept, spelled).line().as_bytes())).unwrap_or_default();
        Inspected {
            report,
            recording,
            address,
            swing,
            corrections,
            origin: name.to_owned(),
            digest,
            kept: false,
            own: false,
            readable: true,
        }
    }

    /// The name a picture shows.
    pub(super) fn label(&self) -> &str {
        self.swing.as_ref().map_or(&self.report.name, |swing| &swing.label)
    }
}

/// Inspects a file as what `slot` says; of a lesson file the swings of the slots that are `wanted`.
pub(super) fn inspect(path: &Path, stated: &Stated, slot: Slot, wanted: &[Slot]) -> Opened {
    let bytes = match std::fs::read(path) {
        Ok(bytes) if lesson::looks_like(&bytes) => bytes,
        _ => return Opened { swings: vec![(slot, inspect_file(path, stated))], lesson: None },
    };
    match lesson::open(&bytes) {
        Ok(lesson) => {
            let mut swings = inspect_lesson(&lesson, stated, wanted);
            if let Some((_, first)) = swings.first_mut() {
                first.report.warnings.extend(lesson.warnings.iter().cloned());
            }
            Opened { swings, lesson: Some(lesson) }
        }
        Err(error) => {
            let unreadable = Inspected::unreadable(&file_name(path), None, error.message());
            Opened { swings: vec![(slot, unreadable)], lesson: None }
        }
    }
}

fn inspect_lesson(lesson: &Lesson, stated: &Stated, wanted: &[Slot]) -> Vec<(Slot, Inspected)> {
    let still = lesson.swings().find(|swing| swing.slot == Some(Slot::Address)).map(|swing| swing.read());
    let address = still.and_then(Result::ok);
    let swings = lesson.swings().filter_map(|swing| Some((swing.slot.filter(|slot| wanted.contains(slot))?, swing)));
    swings.map(|(slot, swing)| (slot, inspect_kept(&swing, slot, address.as_ref(), stated))).collect()
}

fn inspect_kept(swing: &LessonSwing, slot: Slot, address: Option<&Recording>, stated: &Stated) -> Inspected {
    let label = if swing.label.is_empty() { slot.name() } else { swing.label };
    let recording = match swing.read() {
        Ok(recording) => recording,
        Err(error) => return Inspected::unreadable(label, None, error.message()),
    };
    let typed = stated.corrections(|track| recording.track(track).is_some());
    let corrections = over(&swing.corrections, &typed);
    let address = address.filter(|_| slot == Slot::Student).cloned();
    let found = Inspected::of(label, label, recording, address, corrections);
    let origin = swing.recording.get("check").and_then(Json::as_text).unwrap_or_default().to_owned();
    Inspected { origin, kept: true, own: slot == Slot::Own, ..found }
}

/// Corrections with those that were typed in place of the ones that a lesson holds.
pub(super) fn over(kept: &Corrections, typed: &Corrections) -> Corrections {
    let fields = |corrections: &Corrections| serde_json::to_value(corrections).unwrap_or_default();
    let (mut all, typed) = (fields(kept), fields(typed));
    for (name, value) in typed.as_object().into_iter().flatten() {
        if !value.is_null() && *value != serde_json::json!({}) && *value != serde_json::json!(0.0) {
            all[name] = value.clone();
        }
    }
    serde_json::from_value(all).unwrap_or_else(|_| kept.clone())
}

fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

fn inspect_file(path: &Path, stated: &Stated) -> Inspected {
    let name = file_name(path);
    let recording = match load(path, stated) {
        Ok(recording) => recording,
        Err(why) => return Inspected::unreadable(&name, None, why),
    };
    let address = match stated.address.as_deref().map(|path| load(path, stated)).transpose() {
        Ok(address) => address,
        Err(why) => {
            let place = Place { file: Some("address"), ..why.place.clone().unwrap_or_default() };
            return Inspected::unreadable(&name, Some(recording), why.at(place));
        }
    };
    let corrections = stated.corrections(|track| recording.track(track).is_some());
    let found = Inspected::of(&name, &label(path), recording, address, corrections);
    Inspected { origin: path.display().to_string(), ..found }
}

/// The name a picture shows: the file's, without what stands after the dot.
fn label(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

fn load(path: &Path, stated: &Stated) -> Result<Recording, Message> {
    let unopened = |error: std::io::Error| {
        let path = path.display().to_string();
        Message::new("inspect.not_opened").with("path", path).with("why", error.to_string())
    };
    let bytes = std::fs::read(path).map_err(unopened)?;
    read(&bytes, &ReadOptions { rate_hz: stated.corrections.rate }).map_err(|error| error.message())
}
