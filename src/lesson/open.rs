//! Bytes to a lesson.

use super::migrate::migrate;
use super::{FORMAT, Lesson, LessonError, LessonSwing, Slot, VERSION};
use crate::findings::Thresholds;
use crate::json::{self, Json, JsonError};
use crate::letters::holds;
use crate::order;
use crate::plain::{Given, GivenError, Read};
use crate::settings::Corrections;
use crate::words::{Message, Place};

/// Warnings of one file beyond this are counted only.
const MOST_WARNINGS: usize = 24;

/// Bytes at the start of a file in which its format is looked for.
const HEAD: usize = 4096;

/// Is this a lesson file, whole or damaged?
pub fn looks_like(bytes: &[u8]) -> bool {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let start = bytes.iter().position(|byte| !byte.is_ascii_whitespace()).unwrap_or(0);
    let head = &bytes[start..bytes.len().min(start + HEAD)];
    let object = matches!(head.first(), Some(b'{' | b'"'));
    object && [FORMAT.as_bytes(), b"\"swings\""].iter().any(|word| holds(head, word))
}

/// Opens a lesson file.
///
/// # Errors
/// [`LessonError`] where there is nothing to offer. Damage that leaves something is a warning.
pub fn open(bytes: &[u8]) -> Result<Lesson, LessonError> {
    if !looks_like(bytes) {
        return Err(LessonError::NoLesson);
    }
    let mut told = Told::default();
    let mut document = tree(bytes, &mut told)?;
    name(&mut document);
    let version = version(&document, &mut told);
    migrate(&mut document, version);
    number(&mut document);
    check(&document, &mut told);
    Ok(Lesson { document, warnings: told.all() })
}

/// The first warnings, and a count of the others: a hostile file can be wrong a million times.
#[derive(Default)]
struct Told {
    first: Vec<Message>,
    more: usize,
}

impl Told {
    fn tell(&mut self, warning: Message) {
        if self.first.len() < MOST_WARNINGS { self.first.push(warning) } else { self.more += 1 }
    }

    fn all(mut self) -> Vec<Message> {
        if self.more > 0 {
            self.first.push(Message::new("lesson.more_warnings").with("count", self.more));
        }
        self.first
    }
}

/// The document, or what is left of it.
fn tree(bytes: &[u8], told: &mut Told) -> Result<Json, LessonError> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = String::from_utf8_lossy(bytes);
    if let Err(error) = std::str::from_utf8(bytes) {
        told.tell(Message::new("lesson.letters").at(Place::byte(error.valid_up_to())));
    }
    if let Ok(document @ Json::Record(_)) = json::parse(&text) {
        return if document.get("swings").is_some() { Ok(document) } else { Err(LessonError::NoLesson) };
    }
    let (mut document, faults) = json::salvage(&text);
    match faults.first() {
        Some(first) if document.fields().is_empty() => return Err(LessonError::Nothing(first.clone())),
        _ => faults.iter().for_each(|fault| told.tell(damage(fault))),
    }
    if document.get("swings").is_none() {
        document.set("swings", Json::List(vec![]));
    }
    Ok(document)
}

/// Saved again, a lesson is recognised by its first field, wherever and whatever it was before.
fn name(document: &mut Json) {
    let first = document.fields().first();
    if first.is_some_and(|(name, value)| name == "format" && value.as_text() == Some(FORMAT)) {
        return;
    }
    document.remove("format");
    if let Json::Record(fields) = document {
        fields.insert(0, ("format".to_owned(), Json::text(FORMAT)));
    }
}

fn damage(fault: &JsonError) -> Message {
    let message = match fault.found.as_str() {
        "" => Message::new("lesson.cut_short"),
        found => Message::new("lesson.damaged").with("found", found),
    };
    message.with("expected", fault.expected).at(fault.place())
}

fn version(document: &Json, told: &mut Told) -> usize {
    let stated = document.get("version").and_then(Json::as_count);
    match stated {
        None => told.tell(Message::new("lesson.no_version").with("version", VERSION)),
        Some(version) if version > VERSION => {
            told.tell(Message::new("lesson.newer").with("version", version).with("known", VERSION));
        }
        Some(version) if version < VERSION => {
            told.tell(Message::new("lesson.older").with("version", version).with("known", VERSION));
        }
        Some(_) => {}
    }
    stated.unwrap_or(VERSION)
}

/// Gives a number of its own to every swing that has none: of swings with one number the first keeps it.
fn number(document: &mut Json) {
    let Some(Json::List(swings)) = document.get_mut("swings") else { return };
    let own = |swing: &Json| swing.get("id").and_then(Json::as_count).filter(|id| *id < usize::MAX / 2);
    let mut taken: Vec<(usize, usize)> =
        swings.iter().enumerate().filter_map(|(at, swing)| Some((own(swing)?, at))).collect();
    order::sort(&mut taken);
    let first = 1 + taken.last().map_or(0, |(id, _)| *id);
    let mut free = vec![true; swings.len()];
    taken.dedup_by_key(|(id, _)| *id);
    taken.iter().for_each(|(_, at)| free[*at] = false);
    let nameless = swings.iter_mut().zip(free).filter(|(swing, free)| *free && matches!(swing, Json::Record(_)));
    for (id, (swing, _)) in (first..).zip(nameless) {
        swing.set("id", Json::count(id));
    }
}

/// Tells what cannot be used. It is kept all the same.
fn check(document: &Json, told: &mut Told) {
    for (at, swing) in items(document, "swings", told) {
        check_swing(&place("swings", at), swing, told);
    }
    for (at, pin) in items(document, "pins", told) {
        check_fields(&place("pins", at), pin, &["time_s"], told);
    }
    for (at, span) in items(document, "spans", told) {
        check_fields(&place("spans", at), span, &["from_s", "to_s"], told);
    }
    for (at, words) in items(document, "words", told) {
        let place = place("words", at);
        for name in ["computed", "own"].iter().filter(|name| words.get(name).and_then(Json::as_text).is_none()) {
            told.tell(unusable(&place, name, "a text was expected"));
        }
    }
    for list in ["captures", "log", "changes"] {
        for (at, entry) in items(document, list, told) {
            check_object(&place(list, at), entry, told);
        }
    }
    for name in ["intake", "setup", "plan", "preset"] {
        document.get(name).into_iter().for_each(|field| check_object(name, field, told));
    }
    for (at, step) in items(document, "story", told) {
        check_step(&place("story", at), step, told);
    }
    check_thresholds(document, told);
}

fn check_object(place: &str, field: &Json, told: &mut Told) {
    if !matches!(field, Json::Record(_)) {
        told.tell(unusable(place, "", "an object was expected"));
    }
}

/// A step of the story: what is said, and swings by their numbers, where it names some.
fn check_step(place: &str, step: &Json, told: &mut Told) {
    if step.get("say").and_then(Json::as_text).is_none() {
        told.tell(unusable(place, "say", "a text was expected"));
    }
    for name in ["swing", "against"] {
        if step.get(name).is_some_and(|id| *id != Json::Null && id.as_count().is_none()) {
            told.tell(unusable(place, name, "the id of a swing was expected"));
        }
    }
}

/// The items of a list, numbered; a field that is something else is told.
fn items<'a>(document: &'a Json, name: &str, told: &mut Told) -> impl Iterator<Item = (usize, &'a Json)> + use<'a> {
    let list = document.get(name);
    if !matches!(list, None | Some(Json::List(_))) {
        told.tell(unusable("", name, "a list was expected"));
    }
    list.map_or(&[][..], Json::items).iter().enumerate()
}

fn place(list: &str, at: usize) -> String {
    [list, ".", &at.to_string()].concat()
}

fn unusable(place: &str, name: &str, problem: &str) -> Message {
    let dot = if place.is_empty() || name.is_empty() { "" } else { "." };
    Message::new("lesson.field").with("field", [place, dot, name].concat()).with("problem", problem)
}

fn check_swing(place: &str, swing: &Json, told: &mut Told) {
    if !matches!(swing, Json::Record(_)) {
        return check_object(place, swing, told);
    }
    if let Err(error) = Slot::read(&swing.get("slot").map_or(Given::Null, Json::given)) {
        told.tell(unusable(place, "slot", &error.problem));
    }
    if !matches!(swing.get("recording"), Some(Json::Record(_) | Json::Number(_))) {
        told.tell(unusable(place, "recording", "an object was expected"));
    }
    let place = [place, ".corrections"].concat();
    for (name, value) in swing.get("corrections").map_or(&[][..], Json::fields) {
        if let Err(error) = correction(name, value) {
            told.tell(unusable(&place, name, &error.problem));
        }
    }
}

/// A pin or a span: times, the number of its swing, a text.
fn check_fields(place: &str, item: &Json, times: &[&str], told: &mut Told) {
    for name in times.iter().filter(|name| item.get(name).and_then(Json::as_number).is_none()) {
        told.tell(unusable(place, name, "a number was expected"));
    }
    if item.get("swing").and_then(Json::as_count).is_none() {
        told.tell(unusable(place, "swing", "the id of a swing was expected"));
    }
    if item.get("text").is_some_and(|text| text.as_text().is_none()) {
        told.tell(unusable(place, "text", "a text was expected"));
    }
}

fn check_thresholds(document: &Json, told: &mut Told) {
    for (name, value) in document.get("thresholds").map_or(&[][..], Json::fields) {
        let known = value.as_number().map(|value| Thresholds::default().set(name, value));
        match known {
            Some(known) => known.err().into_iter().for_each(|why| told.tell(why)),
            None => told.tell(unusable("thresholds", name, "a number was expected")),
        }
    }
}

/// Can this correction be used?
fn correction(name: &str, value: &Json) -> Result<(), GivenError> {
    Corrections::read(&Given::Record(vec![(name.to_owned(), value.given())])).map(|_| ())
}

/// The swing of an entry of the list; `None` where it is no object with a recording.
pub(super) fn swing(told: &Json) -> Option<LessonSwing<'_>> {
    let recording = told.get("recording")?;
    let fields = told.get("corrections").map_or(&[][..], Json::fields);
    let (usable, unusable): (Vec<_>, Vec<_>) = fields.iter().partition(|(name, value)| correction(name, value).is_ok());
    let usable = usable.into_iter().map(|(name, value)| (name.clone(), value.given())).collect();
    Some(LessonSwing {
        id: told.get("id").and_then(Json::as_count).unwrap_or(0),
        slot: told.get("slot").and_then(|slot| Slot::read(&slot.given()).ok()),
        label: told.get("label").and_then(Json::as_text).unwrap_or(""),
        corrections: Corrections::read(&Given::Record(usable)).unwrap_or_default(),
        unusable: unusable.into_iter().map(|(name, _)| name.as_str()).collect(),
        recording,
    })
}
