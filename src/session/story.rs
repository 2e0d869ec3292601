//! A first draft of a story: a few steps that tell a comparison in its own findings, for the coach to reword.

use super::{Answer, Id, Readings};
use crate::picture::LengthDisplay;
use crate::plain::{self, Given, GivenError, Read};
use crate::report::InstantReport;
use crate::swing::InstantName::{self, HipHeight, Impact, LeadArmLevel, Takeaway, Top};
use crate::words::Message;

/// A step: whose swings, from where, when, and what is said of it.
#[derive(Clone, Debug, Default)]
pub struct Step {
    /// Number of the student's swing.
    pub swing: Id,
    /// Number of the reference; none without one.
    pub against: Option<Id>,
    /// Documented name of the view.
    pub view: &'static str,
    /// Where the cursor stands in the end, seconds of the student.
    pub time: f64,
    /// The stretch that is lit.
    pub lit: Option<Stretch>,
    /// The stretch that is played.
    pub play: Option<Stretch>,
    /// Is the path drawn that the arms alone would make?
    pub arms: bool,
    /// What is said of the sentences above the picture: from which, up to before which.
    pub reading: [usize; 2],
    /// And what is said beside them, with lengths in each unit.
    pub say: Readings,
}

plain::record!(Step { swing, against, view, time, lit, play, arms, reading, say });

/// A stretch of the student's path, seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

plain::record!(Stretch { from, to });

/// What a draft goes by; all of it stands in an answer.
#[derive(Clone, Debug)]
pub struct Facts {
    /// Number of the student's swing that is shown.
    pub swing: Id,
    /// Its name.
    pub student: String,
    /// The reference: number and name.
    pub reference: Option<(Id, String)>,
    /// The instants of the student.
    pub instants: Vec<When>,
    /// How far the hands are on the player's side of the direct line at hip height, metres.
    pub side: Option<f64>,
    /// Keys of the sentences above the picture.
    pub reading: Vec<String>,
}

/// When an instant is.
#[derive(Clone, Debug)]
pub struct When {
    /// Its documented name.
    pub name: String,
    /// Seconds of the student.
    pub time_s: f64,
}

impl Read for When {
    fn read(given: &Given) -> Result<When, GivenError> {
        let fields = given.fields()?;
        Ok(When { name: fields.take("name")?, time_s: fields.take("time_s")? })
    }
}

/// The measure of the direct line.
const SIDE: &str = "side of the direct line, at hip height";

impl Facts {
    /// Those of an answer, beside the reference that a page shows first; none without a swing of the student.
    pub fn of(answer: &Answer) -> Option<Facts> {
        let shown = answer.files.iter().find(|file| Some(file.id) == answer.shown)?;
        let swing = &shown.report.swing;
        let when = |instant: &InstantReport| When { name: instant.name.name().to_owned(), time_s: instant.time_s };
        Some(Facts {
            swing: shown.id,
            student: shown.report.name.clone(),
            reference: answer.comparison.first_like().map(|(id, name)| (id, name.to_owned())),
            instants: swing.instants.iter().map(when).collect(),
            side: swing.measures.iter().find(|measure| measure.name == SIDE).and_then(|measure| measure.value),
            reading: answer.readings.cm.iter().map(|message| message.key.to_owned()).collect(),
        })
    }
}

/// `{swing, student, against, reference, instants: [{name, time_s}], side, reading}`.
impl Read for Facts {
    fn read(given: &Given) -> Result<Facts, GivenError> {
        let fields = given.fields()?;
        let id = |number: usize| Id::try_from(number).unwrap_or(Id::MAX);
        let against: Option<usize> = fields.take("against")?;
        let name: Option<String> = fields.take("reference")?;
        Ok(Facts {
            swing: id(fields.take("swing")?),
            student: fields.take("student")?,
            reference: against.map(id).zip(name),
            instants: fields.take("instants")?,
            side: fields.take("side")?,
            reading: fields.take("reading")?,
        })
    }
}

/// The whole swing, the top from overhead, the way to lead arm level, the direct line from down the line, what it fits
/// with, and what to copy. A step whose instants are not there is left out.
pub fn draft(facts: &Facts) -> Vec<Step> {
    let draft = Draft(facts);
    let steps = [draft.whole(), draft.top(), draft.early(), draft.line(), draft.fits(), draft.copy()];
    let against = facts.reference.as_ref().map(|(id, _)| *id);
    steps.into_iter().flatten().map(|step| Step { swing: facts.swing, against, ..step }).collect()
}

struct Draft<'a>(&'a Facts);

const OVERHEAD: &str = "overhead";
const DOWN_THE_LINE: &str = "down-the-line";

/// Keys of sentences by which there is something to copy.
const OUT: [&str; 2] = ["findings.hands_farther_out", "findings.hands_out"];

/// The same sentence, which holds no length.
fn both(message: Message) -> Readings {
    Readings { cm: vec![message.clone()], inch: vec![message] }
}

impl Draft<'_> {
    fn at(&self, name: InstantName) -> Option<f64> {
        self.0.instants.iter().find(|when| when.name == name.name()).map(|when| when.time_s)
    }

    fn stretch(&self, from: InstantName, to: InstantName) -> Option<Stretch> {
        Some(Stretch { from: self.at(from)?, to: self.at(to)? })
    }

    fn reference(&self) -> Option<&str> {
        self.0.reference.as_ref().map(|(_, name)| &name[..])
    }

    fn whole(&self) -> Option<Step> {
        let play = self.stretch(Takeaway, Impact)?;
        let message = match self.reference() {
            Some(reference) => Message::new("story.whole").with("reference", reference),
            None => Message::new("story.whole_alone"),
        };
        let say = both(message.with("student", &self.0.student[..]));
        Some(Step { view: DOWN_THE_LINE, time: play.to, play: Some(play), say, ..Step::default() })
    }

    fn top(&self) -> Option<Step> {
        Some(Step { view: OVERHEAD, time: self.at(Top)?, say: both(Message::new("story.top")), ..Step::default() })
    }

    fn early(&self) -> Option<Step> {
        let way = self.stretch(Top, LeadArmLevel);
        let told = !self.0.reading.is_empty();
        let step = Step { view: OVERHEAD, time: way?.to, lit: way, play: way, reading: [0, 1], ..Step::default() };
        told.then_some(step)
    }

    fn line(&self) -> Option<Step> {
        let way = self.stretch(Top, HipHeight);
        let side = self.0.side?;
        let [cm, inch] = [LengthDisplay::Centimetre, LengthDisplay::Inch].map(|unit| vec![line_told(side, unit)]);
        let say = Readings { cm, inch };
        Some(Step { view: DOWN_THE_LINE, time: way?.to, lit: way, play: way, say, ..Step::default() })
    }

    fn fits(&self) -> Option<Step> {
        let lit = self.stretch(Top, LeadArmLevel);
        let reading = [1, self.0.reading.len()];
        let step = Step { view: DOWN_THE_LINE, time: lit?.to, lit, arms: true, reading, ..Step::default() };
        (reading[1] > 1).then_some(step)
    }

    /// What the reference does otherwise, or that there is little to copy.
    fn copy(&self) -> Option<Step> {
        let play = self.stretch(Top, Impact)?;
        let reference = self.reference()?;
        let out = OUT.contains(&&self.0.reading.first()?[..]);
        let message = if out { Message::new("story.copy") } else { Message::new("story.keep") };
        let say = both(message.with("reference", reference));
        Some(Step { view: OVERHEAD, time: play.to, play: Some(play), say, ..Step::default() })
    }
}

/// On which side of the direct line the hands are.
fn line_told(side: f64, unit: LengthDisplay) -> Message {
    let Some(size) = unit.size(side, ".") else { return Message::new("story.line_on") };
    let message = if side > 0.0 { Message::new("story.line_inside") } else { Message::new("story.line_beyond") };
    message.with("size", unit.spelled(&size))
}
