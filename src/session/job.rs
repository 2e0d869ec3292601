//! What a session is asked, as the page says it.

use crate::align::AlignOptions;
use crate::findings::Thresholds;
use crate::formats;
use crate::plain::{Fields, Given, GivenError, Read};
use crate::sets::{BandKind, Choice};
use crate::settings::Corrections;

/// Number the page gives a file.
pub type Id = u32;

/// A file of a job.
#[derive(Clone, Debug)]
pub struct JobFile {
    /// Its number.
    pub id: Id,
    /// What it is in the comparison.
    pub slot: Slot,
    /// The name that the page shows.
    pub label: String,
    /// What the user knows of it.
    pub corrections: Corrections,
}

/// What a file is in a comparison.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slot {
    /// A swing of the student; several are one lesson.
    Student,
    /// A swing of the student in an earlier lesson.
    Earlier,
    /// A swing to compare with.
    Reference,
    /// A swing of the student to compare with.
    Own,
    /// A separate recording of the student at address.
    Address,
}

/// What to compare.
#[derive(Clone, Debug, Default)]
pub struct Job {
    /// The files, in the user's order.
    pub files: Vec<JobFile>,
    /// The student's swing to show, where the user has chosen one.
    pub shown: Option<Id>,
    /// How to align in time.
    pub align: AlignOptions,
    /// How far the student's target line is turned to the out side, to see what would change.
    pub degrees: f64,
    /// The thresholds of the findings that differ from the rule table.
    pub thresholds: Thresholds,
    /// Which band is drawn.
    pub band: BandWish,
}

/// Which band of the references is drawn.
#[derive(Clone, Copy, Debug, Default)]
pub struct BandWish {
    /// What it promises.
    pub kind: BandKind,
    /// Which references it is of.
    pub of: Choice,
}

/// `{files: [{id, slot, label, corrections}], shown, align, degrees, thresholds, band: {kind, of}}`.
impl Read for Job {
    fn read(given: &Given) -> Result<Job, GivenError> {
        let fields = given.fields()?;
        Ok(Job {
            files: fields.take("files")?,
            shown: fields.take::<Option<usize>>("shown")?.and_then(|id| Id::try_from(id).ok()),
            align: fields.or("align", AlignOptions::default())?,
            degrees: fields.or("degrees", 0.0)?,
            thresholds: fields.or("thresholds", Thresholds::default())?,
            band: fields.or("band", BandWish::default())?,
        })
    }
}

impl Job {
    pub(super) fn in_slot(&self, slot: Slot) -> impl Iterator<Item = &JobFile> {
        self.files.iter().filter(move |file| file.slot == slot)
    }

    pub(super) fn references(&self) -> impl Iterator<Item = &JobFile> {
        self.files.iter().filter(|file| matches!(file.slot, Slot::Reference | Slot::Own))
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
            "earlier" => Some(Slot::Earlier),
            "reference" => Some(Slot::Reference),
            "own" => Some(Slot::Own),
            "address" => Some(Slot::Address),
            _ => None,
        })
    }
}

impl Read for BandWish {
    fn read(given: &Given) -> Result<BandWish, GivenError> {
        let fields = given.fields()?;
        Ok(BandWish { kind: fields.or("kind", BandKind::default())?, of: fields.or("of", Choice::default())? })
    }
}

/// A file whose points are to be shown.
#[derive(Clone, Copy, Debug)]
pub struct Wanted {
    /// Its number.
    pub id: Id,
    /// The axis that is up, where it is not the file's own.
    pub up: Option<formats::Axis>,
}

/// `{id, up}`; `up` is the documented name of the axis.
impl Read for Wanted {
    fn read(given: &Given) -> Result<Wanted, GivenError> {
        let fields = given.fields()?;
        let up: Option<String> = fields.take("up")?;
        Ok(Wanted { id: id_of(&fields)?, up: up.and_then(|up| formats::Axis::parse(&up)) })
    }
}

/// The number of a file; one that no file has where it is beyond any.
fn id_of(fields: &Fields<'_>) -> Result<Id, GivenError> {
    Ok(Id::try_from(fields.take::<usize>("id")?).unwrap_or(Id::MAX))
}
