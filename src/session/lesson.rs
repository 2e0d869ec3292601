//! Lesson files for the page: opened into a document and recordings, and made again of a document and the files kept here.

use super::{Id, Session};
use crate::formats::write::packed;
use crate::formats::{ReadOptions, Recording};
use crate::json::{Json, Spell, parse};
use crate::lesson::{Lesson, Nameless, Without, nameless, open, with_roles_only};
use crate::plain::{self, Given, GivenError, Read};
use crate::settings::Corrections;
use crate::words::Message;

/// A lesson file that was opened.
#[derive(Clone, Debug, Default)]
pub struct OpenedLesson {
    /// The document as JSON, in which a place in `recordings` stands for each recording.
    pub document: String,
    /// The recordings, each the text of a file of its own.
    pub recordings: Vec<String>,
    /// Corrections that cannot be used, of the swings that have some.
    pub unusable: Vec<Unusable>,
    /// Odd or damaged things.
    pub warnings: Vec<Message>,
    /// Why nothing could be opened.
    pub error: Option<Message>,
}

/// Names of corrections of a swing that cannot be used.
#[derive(Clone, Debug)]
pub struct Unusable {
    /// The swing.
    pub id: usize,
    /// The names.
    pub names: Vec<String>,
}

plain::record!(OpenedLesson { document, recordings, unusable, warnings, error });
plain::record!(Unusable { id, names });

/// What a lesson is made of.
#[derive(Clone, Debug)]
pub struct Saving {
    /// The document as JSON, in which the number of a file stands for its recording.
    pub document: String,
    /// The document as it was opened: numbers that the page did not change are spelled as they were there.
    pub opened: Option<String>,
    /// Are only tracks with roles to be kept?
    pub small: bool,
    /// Is the lesson to hold no names?
    pub nameless: Option<Renaming>,
}

/// What takes the place of names.
#[derive(Clone, Debug)]
pub struct Renaming {
    /// The student's new code.
    pub code: String,
    /// What swings are called: see [`Nameless::labels`].
    pub labels: Vec<String>,
}

/// `{code, labels}`.
impl Read for Renaming {
    fn read(given: &Given) -> Result<Renaming, GivenError> {
        let fields = given.fields()?;
        Ok(Renaming { code: fields.take("code")?, labels: fields.or("labels", vec![])? })
    }
}

/// `{document, opened, small, nameless}`.
impl Read for Saving {
    fn read(given: &Given) -> Result<Saving, GivenError> {
        let fields = given.fields()?;
        Ok(Saving {
            document: fields.take("document")?,
            opened: fields.take("opened")?,
            small: fields.or("small", false)?,
            nameless: fields.take("nameless")?,
        })
    }
}

/// A lesson file to be written.
#[derive(Clone, Debug)]
pub struct Saved {
    /// Its text.
    pub text: String,
    /// Tracks without a role that were left out.
    pub left_out: usize,
    /// What was done to make it hold no names, where that was asked for.
    pub nameless: Option<Cleared>,
    /// Why there is none.
    pub error: Option<Message>,
}

/// What there was to clear.
#[derive(Clone, Copy, Debug)]
pub struct Cleared {
    /// Swings that are called by the code.
    pub swings: usize,
    /// Tracks that have another name.
    pub tracks: usize,
    /// Texts that somebody typed, and that stay.
    pub typed: usize,
}

plain::record!(Saved { text, left_out, nameless, error });
plain::record!(Cleared { swings, tracks, typed });

/// Opens a lesson file for the page.
pub fn open_lesson(bytes: &[u8]) -> OpenedLesson {
    let Lesson { mut document, warnings } = match open(bytes) {
        Ok(lesson) => lesson,
        Err(error) => return OpenedLesson { error: Some(error.message()), ..OpenedLesson::default() },
    };
    let lesson = Lesson { document: document.clone(), warnings: vec![] };
    let unusable = lesson
        .swings()
        .filter(|swing| !swing.unusable.is_empty())
        .map(|swing| Unusable { id: swing.id, names: swing.unusable.iter().map(|name| (*name).to_owned()).collect() });
    let unusable = unusable.collect();
    let mut recordings = Vec::new();
    if let Some(Json::List(swings)) = document.get_mut("swings") {
        let told = swings.iter_mut().filter_map(|swing| swing.get_mut("recording"));
        for recording in told.filter(|recording| matches!(recording, Json::Record(_))) {
            let text = std::mem::replace(recording, Json::count(recordings.len())).line();
            recordings.push(text);
        }
    }
    OpenedLesson { document: document.document(), recordings, unusable, warnings, error: None }
}

/// Makes a lesson file of a document in which places in `recordings` stand for recordings, as [`open_lesson`] gave them:
/// nothing is read anew.
pub fn close_lesson(saving: &Saving, recordings: &[String]) -> Saved {
    let mut lesson = match lesson_of(saving) {
        Ok(lesson) => lesson,
        Err(error) => return Saved { text: String::new(), left_out: 0, nameless: None, error: Some(error) },
    };
    lesson.fill(&mut |place| recordings.get(place).and_then(|text| parse(text).ok()));
    Saved { text: lesson.save(), left_out: 0, nameless: None, error: None }
}

/// The document, numbers spelled as they were.
fn lesson_of(saving: &Saving) -> Result<Lesson, Message> {
    let told = |error: crate::json::JsonError| {
        Message::new("lesson.nothing").with("expected", error.expected).with("found", error.found)
    };
    let mut document = parse(&saving.document).map_err(told)?;
    if let Some(opened) = saving.opened.as_ref().and_then(|opened| parse(opened).ok()) {
        respell(&opened, &mut document);
    }
    Ok(Lesson { document, warnings: vec![] })
}

impl Session {
    /// Makes a lesson file of a document and the files that it names. What cannot be read is kept as it is, unless it
    /// has to be small.
    pub fn save_lesson(&mut self, saving: &Saving, spell: Spell) -> Saved {
        let mut lesson = match lesson_of(saving) {
            Ok(lesson) => lesson,
            Err(error) => return Saved { text: String::new(), left_out: 0, nameless: None, error: Some(error) },
        };
        let named = lesson.swings().filter_map(|swing| Some((swing.recording.as_count()?, swing.corrections)));
        let named: Vec<(usize, Corrections)> = named.collect();
        let mut left_out = 0;
        lesson.fill(&mut |number| {
            let (_, corrections) = named.iter().find(|(own, _)| *own == number)?;
            self.keep(Id::try_from(number).ok()?, corrections, saving.small.then_some(&mut left_out), spell)
        });
        if let Some(Json::List(swings)) = lesson.document.get_mut("swings") {
            swings.retain(|swing| swing.get("recording").is_none_or(|told| told.as_count().is_none()));
        }
        let Some(Renaming { code, labels }) = &saving.nameless else {
            return Saved { text: lesson.save(), left_out, nameless: None, error: None };
        };
        let Without { lesson, swings, tracks, typed } = nameless(&lesson, &Nameless { code, labels }, spell);
        Saved { text: lesson.save(), left_out, nameless: Some(Cleared { swings, tracks, typed }), error: None }
    }

    /// A file as lessons keep it. `small`: with only the tracks that have roles; counts the others.
    fn keep(&mut self, id: Id, corrections: &Corrections, small: Option<&mut usize>, spell: Spell) -> Option<Json> {
        let kept = std::str::from_utf8(&self.kept(id)?.bytes).ok().filter(|text| text.starts_with('{'));
        if let (Some(tree), None) = (kept.and_then(|text| parse(text).ok()), &small) {
            return Some(tree);
        }
        let recording = self.recording(id, corrections)?;
        let Some(left_out) = small else { return Some(packed(recording, spell)) };
        let slim = with_roles_only(recording, corrections);
        *left_out += recording.tracks.len() - slim.tracks.len();
        Some(packed(&slim, spell))
    }

    fn recording(&mut self, id: Id, corrections: &Corrections) -> Option<&Recording> {
        let kept = self.kept_mut(id)?;
        if kept.read.is_none() {
            kept.read(ReadOptions { rate_hz: corrections.rate }, &|_| {});
        }
        kept.recording()
    }
}

/// Spells numbers as they were spelled, where they are the same numbers: a browser knows numbers, not spellings.
fn respell(old: &Json, new: &mut Json) {
    match (old, new) {
        (Json::Number(_), new @ Json::Number(_)) if old.as_number() == new.as_number() => *new = old.clone(),
        (Json::List(old), Json::List(new)) => old.iter().zip(new).for_each(|(old, new)| respell(old, new)),
        (Json::Record(_), Json::Record(fields)) => {
            for (name, new) in fields {
                if let Some(old) = old.get(name) {
                    respell(old, new);
                }
            }
        }
        _ => {}
    }
}
