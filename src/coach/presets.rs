//! House presets: one file that gives every coach of a house the same numbers.
//!
//! ```text
//! {"format": "handpath preset", "version": 1, "name": TEXT, "edition": 3, "owner": CODE, "date": DATE,
//!  "setups": [{"name": "bay 1", "corrections": {"unit": "mm", "up": "+z", "target": ..., "roles": {...}}}],
//!  "references": [{"label": TEXT, "edition": 1, "owner": CODE, "date": DATE, "file": NAME, "sha256": HEX,
//!                  "corrections": {...}}],
//!  "thresholds": {NAME: NUMBER},
//!  "changes": [{"coach": CODE, "date": DATE, "what": "thresholds.NAME", "from": ..., "to": ...}]}
//! ```
//!
//! Fields that this version does not know are kept at every level, in their place and spelling. Of a damaged file what can
//! be read is offered, with a warning per damaged place. Any bytes are safe.

use super::fingerprint::{self, Fingerprint};
use super::take::Take;
use crate::findings::Thresholds;
use crate::json::{self, Json, Spell};
use crate::plain::{self, Given, Read};
use crate::settings::Corrections;
use crate::words::{Message, Place};

/// The word that tells the format.
pub const FORMAT: &str = "handpath preset";
/// The version written.
pub const VERSION: usize = 1;
/// Warnings of one file beyond this are left out.
const MOST_WARNINGS: usize = 24;

/// A preset: the document as it stands, and what was odd about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Preset {
    /// The whole document.
    pub document: Json,
    /// Odd or damaged things.
    pub warnings: Vec<Message>,
}

/// A preset for the page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PresetAnswer {
    /// The document as JSON; empty where nothing could be opened.
    pub document: String,
    /// Names of its capture set-ups.
    pub setups: Vec<String>,
    /// The fingerprint of the whole document, its list of changes left out.
    pub fingerprint: Option<Fingerprint>,
    /// Odd or damaged things.
    pub warnings: Vec<Message>,
    /// Why nothing could be opened.
    pub error: Option<Message>,
}

plain::record!(PresetAnswer { document, setups, fingerprint, warnings, error });

/// A capture set-up that can be used.
#[derive(Clone, Debug, PartialEq)]
pub struct CaptureSetup {
    /// Its name.
    pub name: String,
    /// What is stated for every capture.
    pub corrections: Corrections,
}

/// Opens a preset.
///
/// # Errors
/// A [`Message`] where nothing can be offered.
pub fn open(bytes: &[u8]) -> Result<Preset, Message> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = String::from_utf8_lossy(bytes);
    let (mut document, faults) = match json::parse(&text) {
        Ok(document @ Json::Record(_)) => (document, vec![]),
        _ => json::salvage(&text),
    };
    if document.get("format").and_then(Json::as_text) != Some(FORMAT) {
        return Err(Message::new("coach.no_preset"));
    }
    let letters = std::str::from_utf8(bytes).err().map(|error| Place::byte(error.valid_up_to()));
    let mut warnings: Vec<Message> =
        letters.into_iter().map(|place| Message::new("coach.preset_letters").at(place)).collect();
    warnings.extend(faults.iter().map(|fault| {
        let message = Message::new("coach.preset_damaged").with("expected", fault.expected);
        message.with("found", fault.found.as_str()).at(fault.place())
    }));
    warnings.extend(version(&document));
    if document.get("version").is_none() {
        document.set("version", Json::count(VERSION));
    }
    let mut preset = Preset { document, warnings };
    preset.check();
    Ok(preset)
}

fn version(document: &Json) -> Option<Message> {
    let newer = document.get("version").and_then(Json::as_count).filter(|version| *version > VERSION)?;
    Some(Message::new("coach.preset_newer").with("version", newer).with("known", VERSION))
}

/// The usable corrections of a record, and the names of the others.
fn corrections(given: Option<&Json>) -> (Corrections, Vec<&str>) {
    let fields = given.map_or(&[][..], Json::fields);
    let usable = |(name, value): &&(String, Json)| {
        Corrections::read(&Given::Record(vec![(name.clone(), value.given())])).is_ok()
    };
    let (good, bad): (Vec<_>, Vec<_>) = fields.iter().partition(usable);
    let good = good.into_iter().map(|(name, value)| (name.clone(), value.given())).collect();
    let names = bad.into_iter().map(|(name, _)| name.as_str()).collect();
    (Corrections::read(&Given::Record(good)).unwrap_or_default(), names)
}

impl Preset {
    fn list(&self, name: &str) -> &[Json] {
        self.document.get(name).map_or(&[][..], Json::items)
    }

    /// The capture set-ups that have a name.
    pub fn setups(&self) -> Vec<CaptureSetup> {
        let setup = |setup: &Json| {
            let name = setup.get("name").and_then(Json::as_text)?.to_owned();
            Some(CaptureSetup { name, corrections: corrections(setup.get("corrections")).0 })
        };
        self.list("setups").iter().filter_map(setup).collect()
    }

    /// The set-up of a name, or the first.
    pub fn setup(&self, name: Option<&str>) -> Option<CaptureSetup> {
        self.setups().into_iter().find(|setup| name.is_none_or(|name| setup.name == name))
    }

    /// The thresholds that differ from the rule table, as far as they are known.
    pub fn thresholds(&self) -> Thresholds {
        let mut thresholds = Thresholds::default();
        for (name, value) in self.document.get("thresholds").map_or(&[][..], Json::fields) {
            // Those that cannot be used were told when the file was opened.
            let _ = value.as_number().map(|value| thresholds.set(name, value));
        }
        thresholds
    }

    /// The references, an object each.
    pub fn references(&self) -> &[Json] {
        self.list("references")
    }

    /// The fingerprint of everything but the list of changes, the name and the date, which no number rests on.
    pub fn fingerprint(&self, spell: Spell) -> Fingerprint {
        let mut settings = self.document.clone();
        for name in ["changes", "name", "edition", "owner", "date"] {
            settings.remove(name);
        }
        fingerprint::of(&settings, spell)
    }

    /// The text of the file.
    pub fn save(&self) -> String {
        self.document.document()
    }

    /// Tells what cannot be used. It is kept all the same.
    fn check(&mut self) {
        let mut told = vec![];
        for (name, value) in self.document.fields() {
            let list = ["setups", "references", "changes"].contains(&name.as_str());
            let fits = if list { matches!(value, Json::List(_)) } else { true };
            told.extend((!fits).then(|| unusable(name, "a list was expected")));
        }
        for list in ["setups", "references"] {
            for (at, item) in self.list(list).iter().enumerate() {
                check_item(list, at, item, &mut told);
            }
        }
        for (name, value) in self.document.get("thresholds").map_or(&[][..], Json::fields) {
            match value.as_number().map(|value| Thresholds::default().set(name, value)) {
                None => told.push(unusable(&["thresholds.", name].concat(), "a number was expected")),
                Some(known) => told.extend(known.err()),
            }
        }
        self.warnings.append(&mut told);
        self.warnings.truncate(MOST_WARNINGS);
    }
}

fn unusable(field: &str, problem: &str) -> Message {
    Message::new("coach.preset_field").with("field", field).with("problem", problem)
}

fn check_item(list: &str, at: usize, item: &Json, told: &mut Vec<Message>) {
    let place = [list, ".", &at.to_string()].concat();
    let named = if list == "setups" { "name" } else { "label" };
    if item.get(named).and_then(Json::as_text).is_none() {
        told.push(unusable(&[&place, ".", named].concat(), "a text was expected"));
    }
    for name in corrections(item.get("corrections")).1 {
        told.push(unusable(&[&place, ".corrections.", name].concat(), "a documented correction was expected"));
    }
}

/// A preset for the page: opened, or why it cannot be.
pub fn told(bytes: &[u8], spell: Spell) -> PresetAnswer {
    match open(bytes) {
        Ok(preset) => PresetAnswer {
            document: preset.save(),
            setups: preset.setups().into_iter().map(|setup| setup.name).collect(),
            fingerprint: Some(preset.fingerprint(spell)),
            warnings: preset.warnings,
            error: None,
        },
        Err(error) => PresetAnswer { error: Some(error), ..PresetAnswer::default() },
    }
}

/// Who changes what, and when. `what` is the way to a field, names with points between; `to` is its new value, `None`
/// takes the field away.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Code of the coach.
    pub coach: String,
    /// Date, as the caller writes it.
    pub date: String,
    /// Names of the fields on the way, from the outermost.
    pub what: Vec<String>,
    /// The new value.
    pub to: Option<Json>,
}

/// Changes fields of a preset or a lesson and notes them in the document's list of changes. Of a preset the edition rises by one,
/// and its date is that of the change.
///
/// # Errors
/// A [`Message`]: no way to a field, or no coach, or no date. The document is then as it was.
pub fn change(document: &mut Json, changes: &[Change]) -> Result<(), Message> {
    let mut changed = document.clone();
    changes.iter().try_for_each(|change| note(&mut changed, change))?;
    if let (Some(edition), Some(last)) = (changed.get("edition").and_then(Json::as_count), changes.last()) {
        changed.set("edition", Json::count(edition.saturating_add(1)));
        changed.set("date", Json::text(&last.date));
    }
    *document = changed;
    Ok(())
}

fn note(document: &mut Json, change: &Change) -> Result<(), Message> {
    if change.coach.trim().is_empty() || change.date.trim().is_empty() {
        return Err(Message::new("coach.change_unsigned"));
    }
    let from = put(document, &change.what, change.to.clone())?;
    let fields = [
        ("coach", Json::text(&change.coach)),
        ("date", Json::text(&change.date)),
        ("what", Json::text(&change.what.join("."))),
        ("from", from.unwrap_or(Json::Null)),
        ("to", change.to.clone().unwrap_or(Json::Null)),
    ];
    let entry = Json::Record(fields.map(|(name, value)| (name.to_owned(), value)).into());
    match document.get_mut("changes") {
        Some(Json::List(changes)) => changes.push(entry),
        // What stands there in another shape is kept as the first of them.
        other => {
            let before = other.map(|other| other.clone());
            document.set("changes", Json::List(before.into_iter().chain([entry]).collect()));
        }
    }
    Ok(())
}

/// A document after a change.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeAnswer {
    /// The document as JSON; as it was where the change could not be made.
    pub document: String,
    /// Why it could not.
    pub error: Option<Message>,
}

plain::record!(ChangeAnswer { document, error });

/// The same for the page: a document as JSON text, and `{coach, date, what: [NAME, ...], to}`, or several at once,
/// `{coach, date, changes: [{what, to}, ...]}`.
pub fn changed(document: &str, given: &Given, spell: Spell) -> ChangeAnswer {
    let same = |error: Message| ChangeAnswer { document: document.to_owned(), error: Some(error) };
    let mut tree = match json::parse(document) {
        Ok(tree) => tree,
        Err(error) => {
            let message = Message::new("coach.preset_damaged").with("expected", error.expected);
            return same(message.with("found", error.found.as_str()).at(error.place()));
        }
    };
    let mut fields = Take::of(given);
    let [coach, date]: [String; 2] = ["coach", "date"].map(|name| fields.take(name).unwrap_or_default());
    let wanted = |one: &Given| {
        let mut fields = Take::of(one);
        let to = match fields.given("to") {
            Given::Null => None,
            to => Some(Json::of(to, spell)),
        };
        Change { coach: coach.clone(), date: date.clone(), what: fields.take("what").unwrap_or_default(), to }
    };
    let changes: Vec<Change> = match fields.list("changes") {
        [] => vec![wanted(given)],
        several => several.iter().map(wanted).collect(),
    };
    match change(&mut tree, &changes) {
        Ok(()) => ChangeAnswer { document: tree.document(), error: None },
        Err(error) => same(error),
    }
}

/// Sets the field at the end of a way and returns what stood there. Records on the way are made where they are missing.
fn put(document: &mut Json, way: &[String], to: Option<Json>) -> Result<Option<Json>, Message> {
    let no_way = || Message::new("coach.change_nowhere").with("field", way.join("."));
    let (last, before) = way.split_last().ok_or_else(no_way)?;
    let mut at = document;
    for name in before {
        if at.get(name).is_none() {
            at.set(name, Json::Record(vec![]));
        }
        at = at.get_mut(name).ok_or_else(no_way)?;
    }
    if !matches!(at, Json::Record(_)) || last == "changes" && before.is_empty() {
        return Err(no_way());
    }
    let from = at.get(last).cloned();
    match to {
        Some(value) => at.set(last, value),
        None => drop(at.remove(last)),
    }
    Ok(from)
}
