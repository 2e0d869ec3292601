//! The worker's instance: keeps the files it was given, reads them, finds the swings, compares.

use super::{against, object};
use crate::align::AlignOptions;
use crate::formats::{self, ReadError, ReadOptions, Recording};
use crate::picture::Picture;
use crate::picture::cloud::Cloud;
use crate::report::Report;
use crate::roles;
use crate::settings::Corrections;
use crate::swing::{self, Swing, SwingError};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use wasm_bindgen::prelude::*;

/// Number the page gives a file.
type Id = u32;

/// What to compare.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Job {
    student: Option<Id>,
    references: Vec<Id>,
    /// A separate recording of the student at address.
    address: Option<Id>,
    corrections: BTreeMap<Id, Corrections>,
    labels: BTreeMap<Id, String>,
    align: AlignOptions,
}

/// What the page gets.
#[derive(Clone, Debug, Serialize)]
struct Answer {
    /// What is known of each file, by its number (keys of an object are strings).
    files: BTreeMap<String, FileAnswer>,
    comparison: against::Answer,
}

#[derive(Clone, Debug, Serialize)]
struct FileAnswer {
    report: Report,
    /// Track names by documented role.
    roles: BTreeMap<&'static str, Vec<String>>,
    /// Same key, same track names.
    names_key: Option<String>,
}

#[derive(Default)]
struct Kept {
    bytes: Vec<u8>,
    /// The recording and the options it was read with.
    read: Option<(ReadOptions, Result<Recording, ReadError>)>,
    /// The swing and what it was found with.
    found: Option<(Option<Id>, Corrections, Result<Swing, SwingError>)>,
}

impl Kept {
    fn read(&mut self, options: ReadOptions) {
        if self.read.as_ref().is_none_or(|(before, _)| *before != options) {
            let read = formats::read(&self.bytes, &options);
            self.read = Some((options, read));
            self.found = None;
        }
    }

    fn recording(&self) -> Option<&Recording> {
        self.read.as_ref()?.1.as_ref().ok()
    }

    fn swing(&self) -> Option<&Swing> {
        self.found.as_ref()?.2.as_ref().ok()
    }
}

/// Files and what was found in them.
#[wasm_bindgen]
#[derive(Default)]
pub struct Session {
    files: BTreeMap<Id, Kept>,
}

#[wasm_bindgen]
impl Session {
    /// Without files.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Session {
        super::show_panics();
        Session::default()
    }

    /// Takes the bytes of a file under a number. Nothing is read yet.
    pub fn put(&mut self, id: Id, bytes: Vec<u8>) {
        self.files.insert(id, Kept { bytes, ..Kept::default() });
    }

    /// Forgets a file.
    pub fn drop(&mut self, id: Id) {
        self.files.remove(&id);
    }

    /// Reads what is not read yet, finds the swings, compares: `{found: {files, comparison}, picture}`. A file that cannot be
    /// used is told in its report; the others go on.
    pub fn compare(&mut self, job: JsValue) -> Result<JsValue, JsValue> {
        let job: Job = serde_wasm_bindgen::from_value(job)?;
        let files: Vec<Id> = job.student.iter().chain(&job.references).copied().collect();
        files.iter().chain(&job.address).for_each(|id| self.read(*id, &job));
        files.iter().for_each(|id| self.find(*id, &job));
        let (answer, picture) = self.answer(&files, &job);
        let found = answer.serialize(&serde_wasm_bindgen::Serializer::json_compatible())?;
        let picture = picture.as_ref().map_or(JsValue::NULL, object::picture_object);
        Ok(object::object([("found", found), ("picture", picture)]))
    }

    /// All points of a file, to be picked in the picture; `up` is the documented name of the axis that is up.
    pub fn cloud(&self, job: &JsValue) -> JsValue {
        let id = object::count(job, "id").and_then(|id| Id::try_from(id).ok());
        let Some(recording) = id.and_then(|id| self.files.get(&id)?.recording()) else { return JsValue::NULL };
        let up = formats::Axis::parse(&object::text(job, "up"));
        let up = up.or(recording.up).or(recording.usual_up).unwrap_or(formats::Axis::PlusZ);
        object::cloud_object(&Cloud::new(recording, up.unit()))
    }
}

impl Session {
    fn read(&mut self, id: Id, job: &Job) {
        if let Some(kept) = self.files.get_mut(&id) {
            kept.read(ReadOptions { rate_hz: job.corrections.get(&id).and_then(|c| c.rate) });
        }
    }

    fn find(&mut self, id: Id, job: &Job) {
        let corrections = job.corrections.get(&id).cloned().unwrap_or_default();
        let address = job.address.filter(|_| job.student == Some(id));
        let Some(kept) = self.files.get(&id) else { return };
        let known = |(with, before, _): &(Option<Id>, Corrections, _)| *with == address && *before == corrections;
        if kept.found.as_ref().is_some_and(known) {
            return;
        }
        let Some(recording) = kept.recording() else { return };
        let still = address.and_then(|id| self.files.get(&id)?.recording());
        let found = swing::analyse(recording, still, &corrections);
        if let Some(kept) = self.files.get_mut(&id) {
            kept.found = Some((address, corrections, found));
        }
    }

    /// The swing under the name the page shows.
    fn swing(&self, id: Id, job: &Job) -> Option<Swing> {
        let mut swing = self.files.get(&id)?.swing()?.clone();
        swing.label = job.labels.get(&id).cloned().unwrap_or_default();
        Some(swing)
    }

    fn answer(&self, files: &[Id], job: &Job) -> (Answer, Option<Picture>) {
        let student = job.student.and_then(|id| self.swing(id, job));
        let usable = job.references.iter().filter_map(|id| Some((*id, self.swing(*id, job)?)));
        let (ids, references): (Vec<Id>, Vec<Swing>) = usable.unzip();
        let (comparison, picture) = against::compare(student.as_ref(), &references, &ids, &job.align);
        let everyone = files.iter().chain(&job.address);
        let files = everyone.filter_map(|id| Some((id.to_string(), self.file_answer(*id, job)?))).collect();
        (Answer { files, comparison }, picture)
    }

    fn file_answer(&self, id: Id, job: &Job) -> Option<FileAnswer> {
        let kept = self.files.get(&id)?;
        let name = job.labels.get(&id).map_or("", String::as_str);
        let (_, read) = kept.read.as_ref()?;
        let recording = match read {
            Err(error) => {
                let report = Report::unreadable(name, error);
                return Some(FileAnswer { report, roles: BTreeMap::new(), names_key: None });
            }
            Ok(recording) => recording,
        };
        let report = match &kept.found {
            Some((_, _, found)) => Report::of(name, recording, found.as_ref()),
            None => return None,
        };
        let corrected = job.corrections.get(&id).map(|c| c.roles.clone()).unwrap_or_default();
        Some(FileAnswer {
            report,
            roles: role_names(recording, &corrected),
            names_key: Some(roles::names_key(recording)),
        })
    }
}

fn role_names(
    recording: &Recording,
    corrected: &BTreeMap<roles::Role, Vec<String>>,
) -> BTreeMap<&'static str, Vec<String>> {
    let name = |track: &usize| recording.tracks.get(*track).map(|track| track.name.clone());
    let map = roles::assign(recording, corrected).unwrap_or_default();
    map.assigned.iter().map(|(role, a)| (role.name(), a.tracks.iter().filter_map(name).collect())).collect()
}

/// Documented names of all roles, in the order lists show them.
#[wasm_bindgen(js_name = roleNames)]
pub fn role_list() -> Vec<String> {
    roles::Role::ALL.iter().map(|role| role.name().to_owned()).collect()
}
