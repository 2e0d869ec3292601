//! One comparison in the making: keeps the files it was given, reads them, finds the swings, compares. Nothing is done
//! twice: a file is read again when its reading options change, its swing found again when its corrections change.

mod against;
mod collection;
mod csv;
mod job;
mod judge;
mod lesson;
mod story;
mod together;

pub use against::Against;
pub use collection::{Collection, Near, Nearest, Shelved, Wish};
pub use job::{BandWish, Id, Job, JobFile, Slot, Wanted};
pub use judge::Turned;
pub use lesson::{Cleared, OpenedLesson, Renaming, Saved, Saving, Unusable, close_lesson, open_lesson};
pub use story::{Facts, Step, Stretch, When, draft};
pub use together::{Own, Together};

use crate::formats::{self, ReadError, ReadOptions, Recording, Watch};
use crate::picture::cloud::Cloud;
use crate::picture::{Figure, LengthDisplay, Picture};
use crate::plain;
use crate::report::Report;
use crate::roles;
use crate::sets::{as_own, most_typical};
use crate::settings::Corrections;
use crate::swing::{self, Swing, SwingError};
use crate::table::Table;
use crate::words::Message;

/// What a job leads to.
#[derive(Clone, Debug, Default)]
pub struct Answer {
    /// What is known of the files, in their order; nothing of one that was never put.
    pub files: Vec<FileAnswer>,
    /// The student's swing that is shown and compared: the one wished for, else the most typical of three or more of a
    /// kind, else the first that holds a swing.
    pub shown: Option<Id>,
    /// The student against each reference.
    pub comparison: Against,
    /// The sentences above the picture, with lengths in each unit.
    pub readings: Readings,
    /// What is drawn; none without a swing of the student.
    pub picture: Option<Picture>,
}

plain::record!(Answer { files, shown, comparison, readings, picture });

/// What is known of a file.
#[derive(Clone, Debug)]
pub struct FileAnswer {
    /// Its number.
    pub id: Id,
    /// What was found in it. One that cannot be used is told here; the others go on.
    pub report: Report,
    /// Track names by documented role.
    pub roles: Table<&'static str, Vec<String>>,
    /// The same for all files with the same track names; none of an unreadable one.
    pub names_key: Option<String>,
    /// The same for the same recording, whatever its tracks are called; none of an unreadable one.
    pub content_key: Option<String>,
}

plain::record!(FileAnswer { id, report, roles, names_key, content_key });

/// The student's reading, by unit.
#[derive(Clone, Debug, Default)]
pub struct Readings {
    /// Whole centimetres.
    pub cm: Vec<Message>,
    /// Inches, one decimal.
    pub inch: Vec<Message>,
}

impl plain::Plain for Readings {
    fn each(&self, part: plain::Part<'_>) {
        part(LengthDisplay::Centimetre.symbol(), &self.cm);
        part(LengthDisplay::Inch.symbol(), &self.inch);
    }
}

#[derive(Clone, Debug, Default)]
struct Kept {
    bytes: Vec<u8>,
    /// The recording and the options it was read with.
    read: Option<(ReadOptions, Result<Recording, ReadError>)>,
    /// The swing and what it was found with.
    found: Option<Found>,
}

#[derive(Clone, Debug)]
struct Found {
    address: Option<Id>,
    corrections: Corrections,
    swing: Result<Swing, SwingError>,
    /// Without a name, and beside no reference.
    report: Report,
}

impl Kept {
    fn read(&mut self, options: ReadOptions, watch: Watch<'_>) {
        if self.read.as_ref().is_none_or(|(before, _)| *before != options) {
            let read = formats::read_watched(&self.bytes, &options, watch);
            self.read = Some((options, read));
            self.found = None;
        }
    }

    fn recording(&self) -> Option<&Recording> {
        self.read.as_ref()?.1.as_ref().ok()
    }

    fn swing(&self) -> Option<&Swing> {
        self.found.as_ref()?.swing.as_ref().ok()
    }

    fn report(&self) -> Option<&Report> {
        Some(&self.found.as_ref()?.report)
    }
}

/// Files and what was found in them.
#[derive(Clone, Debug, Default)]
pub struct Session {
    files: Vec<(Id, Kept)>,
    told: Option<fn(Id, f64)>,
}

impl Session {
    /// Without files; `told` hears which share of a large file is read.
    pub fn watched(told: fn(Id, f64)) -> Session {
        Session { told: Some(told), ..Session::default() }
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

    /// Reads what is not read yet, finds the swings, compares.
    pub fn compare(&mut self, job: &Job) -> Answer {
        self.prepare(job);
        let shown = self.shown(job).map(|file| file.id);
        // Found once: the most typical swing takes its time.
        let job = &Job { shown, ..job.clone() };
        let mut readings = Readings::default();
        let files = job.files.iter().filter_map(|file| self.found(file, job, &mut readings)).collect();
        let (comparison, mut picture) = self.against(job);
        if let Some(picture) = &mut picture {
            picture.others = self.others(job);
        }
        Answer { files, shown, comparison, readings, picture }
    }

    /// Downswings of the student's swings that are not shown, of the kind of the one that is.
    fn others(&self, job: &Job) -> Vec<Vec<f64>> {
        let swing = |file: &JobFile| self.kept(file.id)?.swing();
        let kind =
            job.in_slot(Slot::Student).find(|file| Some(file.id) == job.shown).and_then(swing).map(|own| own.kind);
        let others = job.in_slot(Slot::Student).filter(|file| Some(file.id) != job.shown).filter_map(swing);
        let paths = others.filter(|own| Some(own.kind) == kind).map(Figure::downswing);
        paths.filter(|path| !path.is_empty()).collect()
    }

    /// The measures of a job as a table (CSV): `swing, what, against, measure, unit, value, low_90, high_90`, lengths of references at
    /// the student's size.
    pub fn measures_csv(&mut self, job: &Job) -> String {
        let answer = self.compare(job);
        csv::measures(job, &answer)
    }

    /// The student's hand path beside that of each reference at the matched moments, as a table (CSV); its head alone without
    /// a swing of the student.
    pub fn paths_csv(&mut self, job: &Job) -> String {
        self.prepare(job);
        csv::paths(&self.against(job).1.unwrap_or_default())
    }

    /// All points of a file, to be picked in the picture; none of one that cannot be read.
    pub fn cloud(&mut self, wanted: Wanted) -> Option<Cloud> {
        let kept = self.kept_mut(wanted.id)?;
        if kept.read.is_none() {
            kept.read(ReadOptions::default(), &|_| {});
        }
        let recording = kept.recording()?;
        let up = wanted.up.or(recording.up).or(recording.usual_up).unwrap_or(formats::Axis::PlusZ);
        Some(Cloud::new(recording, up.unit()))
    }
}

impl Session {
    fn kept(&self, id: Id) -> Option<&Kept> {
        self.files.iter().find(|(other, _)| *other == id).map(|(_, kept)| kept)
    }

    fn kept_mut(&mut self, id: Id) -> Option<&mut Kept> {
        self.files.iter_mut().find(|(other, _)| *other == id).map(|(_, kept)| kept)
    }

    /// Reads files and finds swings, where that is not done yet.
    fn prepare(&mut self, job: &Job) {
        job.files.iter().for_each(|file| self.read(file));
        job.files.iter().filter(|file| file.slot != Slot::Address).for_each(|file| self.find(file, job));
    }

    fn read(&mut self, file: &JobFile) {
        let told = self.told;
        let watch = |share| told.iter().for_each(|told| told(file.id, share));
        if let Some(kept) = self.kept_mut(file.id) {
            kept.read(ReadOptions { rate_hz: file.corrections.rate }, &watch);
        }
    }

    fn find(&mut self, file: &JobFile, job: &Job) {
        let of_lesson = file.slot == Slot::Student || file.slot == Slot::Own;
        let address = job.in_slot(Slot::Address).next().filter(|_| of_lesson).map(|still| still.id);
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

    /// The references of a job that hold a swing; the student's own have the student's size.
    fn references<'a>(&'a self, job: &'a Job, student: &Swing) -> Vec<(&'a JobFile, Swing)> {
        let swing = |file: &'a JobFile| {
            let swing = self.swing(file)?;
            Some((file, if file.slot == Slot::Own { as_own(student, &swing) } else { swing }))
        };
        job.references().filter_map(swing).collect()
    }

    /// The file of the student that is shown: see [`Answer::shown`].
    fn shown<'a>(&self, job: &'a Job) -> Option<&'a JobFile> {
        let mut students = job.in_slot(Slot::Student);
        if let Some(wished) = students.find(|file| Some(file.id) == job.shown) {
            return Some(wished);
        }
        let found = |file: &'a JobFile| Some((file, self.kept(file.id)?.swing()?));
        let (files, swings): (Vec<&JobFile>, Vec<&Swing>) = job.in_slot(Slot::Student).filter_map(found).unzip();
        let typical = most_typical(&swings).and_then(|number| files.get(number).copied());
        typical.or(files.first().copied()).or_else(|| job.in_slot(Slot::Student).next())
    }

    fn against(&self, job: &Job) -> (Against, Option<Picture>) {
        let Some((file, student)) = self.shown(job).and_then(|file| Some((file, self.swing(file)?))) else {
            return (Against::default(), None);
        };
        let measured = |(other, swing): (&JobFile, Swing)| {
            let measures = &self.kept(other.id)?.report()?.swing.measures;
            Some(against::Measured { id: other.id, swing, measures, one_line: self.one_line(file, other) })
        };
        let references: Vec<_> = self.references(job, &student).into_iter().filter_map(measured).collect();
        match measured((file, student)) {
            Some(student) => against::compare(&student, &references, &job.align),
            None => (Against::default(), None),
        }
    }

    /// Do two files hold one recording, with one target line that the user states or markers show?
    fn one_line(&self, a: &JobFile, b: &JobFile) -> bool {
        let Some((ours, theirs)) = self.kept(a.id).zip(self.kept(b.id)) else { return false };
        let stated = |kept: &Kept| kept.swing().is_some_and(Swing::has_stated_line);
        ours.bytes == theirs.bytes && a.corrections.target == b.corrections.target && stated(ours) && stated(theirs)
    }

    /// What is known of a file; the student's reading in both units goes into `readings`.
    fn found(&self, file: &JobFile, job: &Job, readings: &mut Readings) -> Option<FileAnswer> {
        let kept = self.kept(file.id)?;
        let (_, read) = kept.read.as_ref()?;
        let mut report = match read {
            Err(error) => Report::unreadable(&file.label, error),
            // An address file is not looked through for a swing.
            Ok(_) => Report { name: file.label.clone(), ..kept.report()?.clone() },
        };
        if let (true, Some(swing)) = (job.shown == Some(file.id), kept.swing()) {
            *readings = self.judge(job, swing, &mut report.swing);
        }
        let recording = kept.recording();
        let roles = recording.map(|recording| role_names(recording, &file.corrections)).unwrap_or_default();
        Some(FileAnswer {
            id: file.id,
            report,
            roles,
            names_key: recording.map(roles::names_key),
            content_key: recording.map(Recording::content_key),
        })
    }
}

/// Track names by documented role.
fn role_names(recording: &Recording, corrections: &Corrections) -> Table<&'static str, Vec<String>> {
    let map = roles::assign(recording, &corrections.roles).unwrap_or_default();
    let name = |track: &usize| Some(recording.tracks.get(*track)?.name.clone());
    let names = |tracks: &[usize]| tracks.iter().filter_map(name).collect();
    map.assigned.iter().map(|(role, assignment)| (role.name(), names(&assignment.tracks))).collect()
}
