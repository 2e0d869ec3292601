//! The worker's instance: keeps the files it was given, reads them, finds the swings, compares.

use super::{against, object};
use crate::align::AlignOptions;
use crate::findings::Thresholds;
use crate::formats::{self, ReadError, ReadOptions, Recording};
use crate::picture::cloud::Cloud;
use crate::picture::{LengthDisplay, Picture};
use crate::plain::{Fields, Given, GivenError, Read};
use crate::report::Report;
use crate::roles;
use crate::settings::Corrections;
use crate::swing::{self, Swing, SwingError};
use js_sys::{Array, Object, Reflect};
use wasm_bindgen::prelude::*;

/// Number the page gives a file.
type Id = u32;

/// A file of a job, under the name that the page shows.
pub(super) struct JobFile {
    pub(super) id: Id,
    slot: Slot,
    label: String,
    corrections: Corrections,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Slot {
    Student,
    Reference,
    /// A separate recording of the student at address.
    Address,
}

/// What to compare.
pub(super) struct Job {
    files: Vec<JobFile>,
    align: AlignOptions,
    /// Unit of the lengths in sentences.
    pub(super) unit: LengthDisplay,
    /// How far the student's target line is turned to the out side, to see what would change.
    pub(super) degrees: f64,
    /// The thresholds of the findings that differ from the rule table.
    pub(super) thresholds: Thresholds,
}

/// `{files: [{id, slot, label, corrections}], align, unit, degrees, thresholds}`.
impl Read for Job {
    fn read(given: &Given) -> Result<Job, GivenError> {
        let fields = given.fields()?;
        Ok(Job {
            files: fields.take("files")?,
            align: fields.or("align", AlignOptions::default())?,
            unit: fields.or("unit", LengthDisplay::default())?,
            degrees: fields.or("degrees", 0.0)?,
            thresholds: fields.or("thresholds", Thresholds::default())?,
        })
    }
}

impl Job {
    pub(super) fn in_slot(&self, slot: Slot) -> impl Iterator<Item = &JobFile> {
        self.files.iter().filter(move |file| file.slot == slot)
    }
}

impl Read for JobFile {
    fn read(given: &Given) -> Result<JobFile, GivenError> {
        let fields = given.fields()?;
        Ok(JobFile {
            id: id_of(&fields)?,
            slot: fields.take("slot")?,
            label: fields.take("label")?,
            corrections: fields.take("corrections")?,
        })
    }
}

impl Read for Slot {
    fn read(given: &Given) -> Result<Slot, GivenError> {
        given.word(|word| match word {
            "student" => Some(Slot::Student),
            "reference" => Some(Slot::Reference),
            "address" => Some(Slot::Address),
            _ => None,
        })
    }
}

/// A file whose points are to be shown, `{id, up}`.
struct Wanted {
    id: Id,
    up: Option<formats::Axis>,
}

impl Read for Wanted {
    fn read(given: &Given) -> Result<Wanted, GivenError> {
        let fields = given.fields()?;
        let up: Option<String> = fields.take("up")?;
        Ok(Wanted { id: id_of(&fields)?, up: up.and_then(|up| formats::Axis::parse(&up)) })
    }
}

impl Read for LengthDisplay {
    fn read(given: &Given) -> Result<LengthDisplay, GivenError> {
        let units = [LengthDisplay::Centimetre, LengthDisplay::Inch];
        given.word(|word| units.into_iter().find(|unit| unit.symbol() == word))
    }
}

/// The number of a file; one that no file has where it is beyond any.
fn id_of(fields: &Fields<'_>) -> Result<Id, GivenError> {
    Ok(Id::try_from(fields.take::<usize>("id")?).unwrap_or(Id::MAX))
}

/// What JavaScript gave.
pub(super) fn given<T: Read>(value: JsValue) -> Result<T, JsValue> {
    let given: Given = serde_wasm_bindgen::from_value(value)?;
    T::read(&given).map_err(|error| JsError::new(&error.to_string()).into())
}

#[derive(Default)]
pub(super) struct Kept {
    bytes: Vec<u8>,
    /// The recording and the options it was read with.
    read: Option<(ReadOptions, Result<Recording, ReadError>)>,
    /// The swing and what it was found with.
    found: Option<Found>,
}

struct Found {
    address: Option<Id>,
    corrections: Corrections,
    swing: Result<Swing, SwingError>,
    /// Without a name, and beside no reference.
    report: Report,
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

    pub(super) fn swing(&self) -> Option<&Swing> {
        self.found.as_ref()?.swing.as_ref().ok()
    }

    pub(super) fn report(&self) -> Option<&Report> {
        Some(&self.found.as_ref()?.report)
    }
}

/// Files and what was found in them.
#[wasm_bindgen]
#[derive(Default)]
pub struct Session {
    files: Vec<(Id, Kept)>,
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
        self.drop(id);
        self.files.push((id, Kept { bytes, ..Kept::default() }));
    }

    /// Forgets a file.
    pub fn drop(&mut self, id: Id) {
        self.files.retain(|(other, _)| *other != id);
    }

    /// Reads what is not read yet, finds the swings, compares: `{found: {files, comparison}, picture}`, where `files`
    /// holds `{report, roles, names_key}` by number. A file that cannot be used is told in its report; the others go on.
    pub fn compare(&mut self, job: JsValue) -> Result<JsValue, JsValue> {
        let job: Job = given(job)?;
        job.files.iter().for_each(|file| self.read(file));
        job.files.iter().filter(|file| file.slot != Slot::Address).for_each(|file| self.find(file, &job));
        let files = Object::new();
        for file in &job.files {
            if let Some(found) = self.found(file, &job)? {
                Reflect::set(&files, &file.id.into(), &found)?;
            }
        }
        let (comparison, picture) = self.against(&job);
        let comparison = object::told(&comparison)?;
        let found = object::object([("files", files.into()), ("comparison", comparison)]);
        let picture = picture.as_ref().map_or(JsValue::NULL, object::picture_object);
        Ok(object::object([("found", found), ("picture", picture)]))
    }

    /// All points of a file, to be picked in the picture; `up` is the documented name of the axis that is up.
    pub fn cloud(&self, job: JsValue) -> Result<JsValue, JsValue> {
        let Wanted { id, up } = given(job)?;
        let Some(recording) = self.kept(id).and_then(Kept::recording) else { return Ok(JsValue::NULL) };
        let up = up.or(recording.up).or(recording.usual_up).unwrap_or(formats::Axis::PlusZ);
        Ok(object::cloud_object(&Cloud::new(recording, up.unit())))
    }
}

impl Session {
    pub(super) fn kept(&self, id: Id) -> Option<&Kept> {
        self.files.iter().find(|(other, _)| *other == id).map(|(_, kept)| kept)
    }

    fn kept_mut(&mut self, id: Id) -> Option<&mut Kept> {
        self.files.iter_mut().find(|(other, _)| *other == id).map(|(_, kept)| kept)
    }

    fn read(&mut self, file: &JobFile) {
        if let Some(kept) = self.kept_mut(file.id) {
            kept.read(ReadOptions { rate_hz: file.corrections.rate });
        }
    }

    fn find(&mut self, file: &JobFile, job: &Job) {
        let address = job.in_slot(Slot::Address).next().filter(|_| file.slot == Slot::Student).map(|still| still.id);
        let Some(kept) = self.kept(file.id) else { return };
        let known = |found: &Found| found.address == address && found.corrections == file.corrections;
        if kept.found.as_ref().is_some_and(known) {
            return;
        }
        let Some(recording) = kept.recording() else { return };
        let still = address.and_then(|id| self.kept(id)?.recording());
        let swing = swing::analyse(recording, still, &file.corrections);
        let report = Report::of("", recording, swing.as_ref());
        if let Some(kept) = self.kept_mut(file.id) {
            kept.found = Some(Found { address, corrections: file.corrections.clone(), swing, report });
        }
    }

    /// The swing under the name the page shows.
    fn swing(&self, file: &JobFile) -> Option<Swing> {
        let mut swing = self.kept(file.id)?.swing()?.clone();
        swing.label.clone_from(&file.label);
        Some(swing)
    }

    fn against(&self, job: &Job) -> (against::Answer, Option<Picture>) {
        let student = job.in_slot(Slot::Student).next().and_then(|file| self.swing(file));
        let usable = job.in_slot(Slot::Reference).filter_map(|file| Some((file.id, self.swing(file)?)));
        let (ids, references): (Vec<Id>, Vec<Swing>) = usable.unzip();
        against::compare(student.as_ref(), &references, &ids, &job.align)
    }

    /// What is known of a file; nothing of one that was never put.
    fn found(&self, file: &JobFile, job: &Job) -> Result<Option<JsValue>, JsValue> {
        let Some(kept) = self.kept(file.id) else { return Ok(None) };
        let (mut report, recording) = match &kept.read {
            None => return Ok(None),
            Some((_, Err(error))) => (Report::unreadable(&file.label, error), None),
            // An address file is not looked through for a swing.
            Some((_, Ok(recording))) => match kept.report() {
                Some(report) => (Report { name: file.label.clone(), ..report.clone() }, Some(recording)),
                None => return Ok(None),
            },
        };
        if let (Slot::Student, Some(swing)) = (file.slot, kept.swing()) {
            self.judge(job, swing, &mut report.swing);
        }
        let roles = recording.map_or_else(|| object::object([]), |recording| role_names(recording, &file.corrections));
        let names_key = recording.map_or(JsValue::NULL, |recording| roles::names_key(recording).into());
        let report = object::told(&report)?;
        Ok(Some(object::object([("report", report), ("roles", roles), ("names_key", names_key)])))
    }
}

/// Track names by documented role.
fn role_names(recording: &Recording, corrections: &Corrections) -> JsValue {
    let map = roles::assign(recording, &corrections.roles).unwrap_or_default();
    let object = Object::new();
    for (role, assignment) in &map.assigned {
        let tracks = assignment.tracks.iter().filter_map(|track| recording.tracks.get(*track));
        let names: Array = tracks.map(|track| JsValue::from_str(&track.name)).collect();
        // Setting a field of a fresh plain object cannot fail.
        let _ = Reflect::set(&object, &JsValue::from_str(role.name()), &names);
    }
    object.into()
}

/// Documented names of all roles, in the order lists show them.
#[wasm_bindgen(js_name = roleNames)]
pub fn role_list() -> Vec<String> {
    roles::Role::ALL.iter().map(|role| role.name().to_owned()).collect()
}
