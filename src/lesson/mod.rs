//! The lesson file: a student's swings, references and what a coach made of them, in one JSON document.
//!
//! ```text
//! {"format": "handpath lesson", "version": 1,
//!  "student": {"code": TEXT},
//!  "swings": [{"id": 1, "slot": "student" | "reference" | "own" | "address" | "earlier", "label": TEXT,
//!              "corrections": {...}, "sources": {"unit": "stated by the user", ...}, "recording": {...}}, ...],
//!  "thresholds": {NAME: NUMBER, ...},
//!  "words": [{"computed": TEXT, "own": TEXT}, ...],
//!  "pins": [{"swing": 1, "time_s": 1.25, "text": TEXT}, ...],
//!  "spans": [{"swing": 1, "from_s": 1.0, "to_s": 1.25, "text": TEXT}, ...],
//!  "story": [{"say": TEXT, "swing": 1, "against": 2, "look": {...}, "play": {"from": 1.0, "to": 1.25}}, ...],
//!  "view": {...},
//!  "intake": {...}, "setup": {...}, "captures": [{"swing": 1, ...}, ...], "plan": {...}, "log": [{"what": "ball", ...}, ...],
//!  "changes": [{"coach": TEXT, "date": TEXT, "what": TEXT, "from": ..., "to": ...}, ...], "preset": {...}}
//! ```
//!
//! `tests/schema/lesson.schema.json` describes every field. Recordings are those of [`crate::formats::write::packed()`], which
//! give back what was read to the bit, each with a check of its own; corrections have the names of
//! [`crate::settings::Corrections`], club and kind of swing among them. `view` belongs to the page;
//! the fields after it are the coach's ([`crate::coach`] reads them). What stands in them is kept as it is.
//!
//! Promises:
//! - A lesson that is opened and saved is the same text from the second save on. Fields that this version does not know are
//!   kept at every level, in their place and spelling.
//! - A document of an older version is brought to this one; of a newer one whatever is known is read, with a warning.
//! - Of a damaged file everything is offered that can be read, with a warning per damaged place: each swing stands on a line
//!   of its own. Any bytes are safe: no panic, no endless loop, memory a small multiple of the input.

mod anonymous;
mod error;
mod migrate;
mod nameless;
mod open;
mod slim;
#[cfg(test)]
mod tests;

pub use anonymous::without_names;
pub use error::LessonError;
pub use nameless::{Nameless, Without, nameless};
pub use open::{looks_like, open};
pub use slim::with_roles_only;

use crate::findings::Thresholds;
use crate::formats::{ReadError, ReadOptions, Recording, read};
use crate::json::Json;
use crate::plain;
use crate::settings::Corrections;
use crate::words::Message;

/// The word that tells the format.
pub const FORMAT: &str = "handpath lesson";

/// The version written; rises when a field changes its meaning or goes away.
pub const VERSION: usize = 1;

/// What a swing of a lesson is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slot {
    /// A swing of the student.
    Student,
    /// A swing to compare with.
    Reference,
    /// A swing of the student to compare with.
    Own,
    /// The student standing at address.
    Address,
    /// A swing of the student from an earlier lesson.
    Earlier,
}

plain::words!(Slot { Student = "student", Reference = "reference", Own = "own", Address = "address", Earlier = "earlier" });

/// A lesson: the document as it stands, and what was odd about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// The whole document, of this version; see the module.
    pub document: Json,
    /// Odd or damaged things in the file that was opened.
    pub warnings: Vec<Message>,
}

/// A swing of a lesson.
#[derive(Clone, Debug, PartialEq)]
pub struct LessonSwing<'a> {
    /// The number by which pins and spans name it; one of its own in a lesson that was opened.
    pub id: usize,
    /// What it is there for; `None`: something that this version does not know.
    pub slot: Option<Slot>,
    /// Its name.
    pub label: &'a str,
    /// The corrections that can be used.
    pub corrections: Corrections,
    /// Names of corrections that cannot: not known, or of another type than expected.
    pub unusable: Vec<&'a str>,
    /// The recording, as it is kept.
    pub recording: &'a Json,
}

impl LessonSwing<'_> {
    /// Reads the recording, with the rate that is stated for it.
    ///
    /// # Errors
    /// [`ReadError`], as of any other file: the other swings of the lesson do not suffer.
    pub fn read(&self) -> Result<Recording, ReadError> {
        let options = ReadOptions { rate_hz: self.corrections.rate };
        read(self.recording.line().as_bytes(), &options)
    }
}

impl Lesson {
    /// A lesson without swings, of a student with this code.
    pub fn new(code: &str) -> Lesson {
        let student = Json::Record(vec![("code".into(), Json::text(code))]);
        let fields = [
            ("format", Json::text(FORMAT)),
            ("version", Json::count(VERSION)),
            ("student", student),
            ("swings", Json::List(vec![])),
            ("thresholds", Json::Record(vec![])),
            ("words", Json::List(vec![])),
            ("pins", Json::List(vec![])),
            ("spans", Json::List(vec![])),
        ];
        let document = Json::Record(fields.map(|(name, value)| (name.to_owned(), value)).into());
        Lesson { document, warnings: vec![] }
    }

    /// Adds a swing with corrections (an object) and a recording as it is kept, and returns its number.
    pub fn push(&mut self, slot: Slot, label: &str, corrections: Json, recording: Json) -> usize {
        let id = 1 + self.swings().map(|swing| swing.id).max().unwrap_or(0);
        let sources = corrections.fields().iter().map(|(name, _)| (name.clone(), Json::text("stated by the user")));
        let fields = [
            ("id", Json::count(id)),
            ("slot", Json::text(slot.name())),
            ("label", Json::text(label)),
            ("sources", Json::Record(sources.collect())),
            ("corrections", corrections),
            ("recording", recording),
        ];
        if let Some(Json::List(swings)) = self.document.get_mut("swings") {
            swings.push(Json::Record(fields.map(|(name, value)| (name.to_owned(), value)).into()));
        }
        id
    }

    /// The swings, in their order. What is no swing at all was told when the file was opened.
    pub fn swings(&self) -> impl Iterator<Item = LessonSwing<'_>> {
        self.document.get("swings").map_or(&[][..], Json::items).iter().filter_map(open::swing)
    }

    /// The thresholds that differ from the rule table, as far as they are known.
    pub fn thresholds(&self) -> Thresholds {
        let mut thresholds = Thresholds::default();
        for (name, value) in self.document.get("thresholds").map_or(&[][..], Json::fields) {
            // Those that are not known were told when the file was opened, and are kept.
            let _ = value.as_number().map(|value| thresholds.set(name, value));
        }
        thresholds
    }

    /// Puts recordings in the place of numbers that stand for them: how a page that holds files by number saves them.
    pub fn fill(&mut self, recording: &mut dyn FnMut(usize) -> Option<Json>) {
        let Some(Json::List(swings)) = self.document.get_mut("swings") else { return };
        for told in swings.iter_mut().filter_map(|swing| swing.get_mut("recording")) {
            if let Some(found) = told.as_count().and_then(&mut *recording) {
                *told = found;
            }
        }
    }

    /// The text of the file.
    pub fn save(&self) -> String {
        self.document.document()
    }
}
