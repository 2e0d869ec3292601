//! A lesson without the names of persons.

use super::{Lesson, LessonSwing, without_names};
use crate::formats::write::packed;
use crate::json::{Json, Spell};
use crate::letters::{filled, is_letter, is_letter_or_digit, lower, trim};
use crate::order;
use crate::roles;

/// What takes the place of names.
#[derive(Clone, Copy, Debug)]
pub struct Nameless<'a> {
    /// The student's new code.
    pub code: &'a str,
    /// What swings are called, by the order of [`super::Slot`]; `{number}` in it counts those of a slot.
    pub labels: &'a [String],
}

/// What a lesson became.
#[derive(Clone, Debug, PartialEq)]
pub struct Without {
    /// The lesson; it knows nothing of the one that it was made of.
    pub lesson: Lesson,
    /// Swings in it.
    pub swings: usize,
    /// Tracks that have another name now.
    pub tracks: usize,
    /// Texts that somebody typed, and that stay for the sake of the lesson: to be read before it is passed on.
    pub typed: usize,
}

/// Fields and words of the coach that hold no text of anybody's own, with `|` between them.
const KNOWN: &str = "|direction|source|target markers|sd_deg|still_s|wander_deg|ball_ahead|ball_m|stance_deg|corrections|target|\
    swing|club|driver|fairway-wood|iron|wedge|kind|full|part|drill|pause|practice|effort|keep|ball|start|pull|straight|push|\
    curve|hook|draw|none|fade|slice|strike|centre|toe|heel|thin|fat|launch|start_deg|face_deg|path_deg|club_speed_m_s|rungs|\
    share|balls|drill|climb_misses|step_down|first pull|2 of 5|cap|rest_after|rest_s|transfer_balls|hand|right|left|hooks|minor|\
    tolerance_deg|slow_path_deg|full_path_deg|measure|name|out drift, greatest|out drift, at lead arm level|made, out|\
    carried, out|wish|less|more|what|begin|undo|rest|pain|go|end|at|as|transfer|lesson|rung|line|setup|captures|aim|\
    ball position|face|hand path|points here|speaks against|not checked|open|view|layout|timing|unit|speed|down-the-line|\
    face-on|overhead|free|overlaid|side-by-side|matched|own|cm|in|0.25|0.5|0.125|1|time|orbit|yaw|pitch|zoom|reference|body|\
    lines|numbers|references|band|arms|shaft|lit|from|to|bandKind|whole-curve|pointwise|bandOf|like|same kind|to_s|from_s|\
    time_s|against|look|play|stated|picture|left_handed|hands|";

/// Fields that hold what somebody typed.
const TYPED: &str = "|text|say|own|computed|picture|feel|check|mistake|";

/// Fields of a lesson that are cleaned as they stand. What a student says of themselves, signatures, the house, and fields of
/// tomorrow are not among them.
const FIELDS: [&str; 11] =
    ["words", "pins", "spans", "story", "view", "setup", "captures", "looked", "plan", "log", "before"];

/// Makes another lesson of what is known of one and holds no name. In the texts that were typed, names that the lesson itself
/// tells (the code, labels of files, subjects) give way to the code; notes of the log are left out. A swing that cannot be read
/// or has no known slot is left out.
pub fn nameless(lesson: &Lesson, wish: &Nameless<'_>, spell: Spell) -> Without {
    let mut out = Lesson::new(wish.code);
    let mut typed = Typed { names: names(lesson), code: wish.code, count: 0 };
    let mut counts = [0_usize; 5];
    let (mut swings, mut tracks) = (Vec::new(), 0);
    for swing in lesson.swings() {
        let Some(slot) = swing.slot else { continue };
        counts[slot as usize] += 1;
        let number = counts[slot as usize].to_string();
        let label = wish.labels.get(slot as usize).map_or(String::new(), |label| filled(label, "{number}", &number));
        if let Some((cleaned, renamed)) = swing_without(lesson, &swing, &label, spell) {
            swings.push(cleaned);
            tracks += renamed;
        }
    }
    let count = swings.len();
    out.document.set("swings", Json::List(swings));
    if let Some(thresholds) = lesson.document.get("thresholds") {
        out.document.set("thresholds", thresholds_without(lesson, thresholds));
    }
    for name in FIELDS {
        if let Some(value) = lesson.document.get(name) {
            out.document.set(name, typed.clean(value));
        }
    }
    if let Some(shown) = lesson.document.get("shown").filter(|shown| shown.as_count().is_some()) {
        out.document.set("shown", shown.clone());
    }
    Without { lesson: out, swings: count, tracks, typed: typed.count }
}

/// Names that the lesson tells: whole as they stand, those of persons in parts, too.
fn names(lesson: &Lesson) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let code = lesson.document.get("student").and_then(|student| student.get("code")).and_then(Json::as_text);
    let mut persons: Vec<String> = code.map(str::to_owned).into_iter().collect();
    for swing in lesson.swings() {
        found.push(swing.label.to_owned());
        for track in swing.read().map_or(vec![], |recording| recording.tracks) {
            let before = roles::own_name(&track.name).map(|own| track.name[..own].to_owned());
            persons.extend(before.map(|before| trim(&before, |c| !is_letter_or_digit(c)).to_owned()));
        }
    }
    for person in persons {
        found.extend(person.split(|c| !is_letter(c)).map(str::to_owned));
        found.push(person);
    }
    found.retain(|name| name.chars().filter(|c| is_letter(*c)).count() > 2);
    // The longest first: a part of a name must not break the whole.
    order::sort_by(&mut found, |a, b| b.len().cmp(&a.len()));
    found
}

/// A swing with another label, and how many tracks were renamed.
fn swing_without(lesson: &Lesson, swing: &LessonSwing<'_>, label: &str, spell: Spell) -> Option<(Json, usize)> {
    let mut recording = swing.read().ok()?;
    let names = without_names(&mut recording);
    let own = |entry: &&Json| entry.get("id").and_then(Json::as_count) == Some(swing.id);
    let entry = lesson.document.get("swings")?.items().iter().find(own)?;
    let corrections = entry.get("corrections").map_or(&[][..], Json::fields).iter();
    let usable = corrections.filter(|(name, _)| !swing.unusable.contains(&name.as_str()));
    let corrections: Vec<_> = usable.map(|(name, value)| (name.clone(), renamed(name, value, &names))).collect();
    let source = |name: &String| (name.clone(), Json::text(source(entry, name)));
    let sources = corrections.iter().map(|(name, _)| source(name)).collect();
    let fields = [
        ("id", Json::count(swing.id)),
        ("slot", Json::text(swing.slot?.name())),
        ("label", Json::text(label)),
        ("sources", Json::Record(sources)),
        ("corrections", Json::Record(corrections)),
        ("recording", packed(&recording, spell)),
    ];
    let count = names.iter().filter(|(old, new)| old != new).count();
    Some((Json::Record(fields.map(|(name, value)| (name.to_owned(), value)).into()), count))
}

/// Where a correction comes from: one of the words that the page has for it.
fn source(entry: &Json, name: &str) -> &'static str {
    let told = entry.get("sources").and_then(|sources| sources.get(name)).and_then(Json::as_text);
    ["remembered", "stated by the page"].into_iter().find(|known| Some(*known) == told).unwrap_or("stated by the user")
}

/// A correction that names tracks, with their new names; those of tracks that are not there go.
fn renamed(name: &str, value: &Json, names: &[(String, String)]) -> Json {
    let new = |text: &str| {
        let same = |old: &str| old.chars().map(lower).eq(text.chars().map(lower));
        let bare = |old: &str| old.rfind(':').map_or(old.len(), |at| at + 1);
        let exact = names.iter().find(|(old, _)| old == text);
        let found = exact.or_else(|| names.iter().find(|(old, _)| same(old) || same(&old[bare(old)..])));
        found.map(|(_, new)| Json::text(new))
    };
    match (name, value) {
        ("roles", Json::Record(roles)) => {
            let tracks = |value: &Json| value.items().iter().filter_map(|track| new(track.as_text()?)).collect();
            Json::Record(roles.iter().map(|(role, value)| (role.clone(), Json::List(tracks(value)))).collect())
        }
        ("target", Json::Record(fields)) => {
            let end = |(end, value): &(String, Json)| Some((end.clone(), new(value.as_text()?)?));
            let ends = |value: &Json| value.fields().iter().filter_map(end).collect();
            let line = |(kind, value): &(String, Json)| {
                (kind.clone(), if kind == "markers" { Json::Record(ends(value)) } else { value.clone() })
            };
            Json::Record(fields.iter().map(line).collect())
        }
        _ => value.clone(),
    }
}

/// Thresholds that are known.
fn thresholds_without(lesson: &Lesson, told: &Json) -> Json {
    let mut known = lesson.thresholds();
    let usable =
        |(name, value): &&(String, Json)| value.as_number().is_some_and(|value| known.set(name, value).is_ok());
    Json::Record(told.fields().iter().filter(usable).cloned().collect())
}

/// What somebody typed, and what must not stand in it.
struct Typed<'a> {
    names: Vec<String>,
    code: &'a str,
    count: usize,
}

impl Typed<'_> {
    /// Numbers, known words and times; of records the known fields, of the log no notes.
    fn clean(&mut self, value: &Json) -> Json {
        match value {
            Json::Record(fields) => {
                let known = fields.iter().filter_map(|(name, value)| Some((name.clone(), self.field(name, value)?)));
                Json::Record(known.collect())
            }
            Json::List(items) => {
                let note = |item: &&Json| item.get("what").and_then(Json::as_text) == Some("note");
                Json::List(items.iter().filter(|item| !note(item)).map(|item| self.clean(item)).collect())
            }
            Json::Text(text) if !is_one_of(KNOWN, text) && !is_time(text) => Json::text(""),
            _ => value.clone(),
        }
    }

    fn field(&mut self, name: &str, value: &Json) -> Option<Json> {
        match value {
            // The label of a reference.
            Json::Text(_) if name == "of" => Some(Json::text("…")),
            Json::Text(text) if is_one_of(TYPED, name) || name == "setup" => {
                self.count += usize::from(!text.is_empty() && name != "computed");
                Some(Json::text(&self.without(text)))
            }
            Json::Text(text) => {
                (is_one_of(KNOWN, name) && (is_one_of(KNOWN, text) || is_time(text))).then(|| value.clone())
            }
            _ => is_one_of(KNOWN, name).then(|| self.clean(value)),
        }
    }

    fn without(&self, text: &str) -> String {
        self.names.iter().fold(text.to_owned(), |text, name| replaced(&text, name, self.code))
    }
}

fn is_one_of(list: &str, word: &str) -> bool {
    !word.is_empty() && list.split('|').any(|listed| listed == word)
}

/// Digits and what stands between those of an ISO 8601 time.
fn is_time(text: &str) -> bool {
    text.bytes().all(|byte| byte.is_ascii_digit() || b"-:.+TZ".contains(&byte))
}

/// The text with a code for a name, in any case, where it stands as a word.
fn replaced(text: &str, name: &str, code: &str) -> String {
    let name: Vec<char> = name.chars().map(lower).collect();
    let letters: Vec<char> = text.chars().collect();
    let is = |at: usize| letters.get(at).is_some_and(|c| is_letter(*c));
    let mut out = String::new();
    let mut at = 0;
    while at < letters.len() {
        let end = at + name.len();
        let found = letters.get(at..end).is_some_and(|part| part.iter().zip(&name).all(|(c, own)| lower(*c) == *own));
        if found && !is(end) && (at == 0 || !is(at - 1)) {
            out.push_str(code);
            at = end;
        } else {
            out.push(letters[at]);
            at += 1;
        }
    }
    out
}
