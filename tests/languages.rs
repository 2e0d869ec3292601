//! The catalogues of the page's languages hold the same: keys, parameters, words for what the core documents.
#![allow(clippy::unwrap_used)]

use handpath::roles::Role;
use handpath::swing::InstantName;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

/// Translated by a machine, from English.
const OTHERS: [&str; 2] = ["de", "es"];

/// Rooms of documented words. English shows the word itself where it has no key; the others need all.
const WORDS: [&str; 9] = ["finding", "format", "instant", "number", "role", "source", "unit", "value", "verdict"];

/// Rooms of words that the coach's catalogue itself holds, in English too.
const COACH_WORDS: [&str; 2] = ["curve", "start"];

type Catalogue = BTreeMap<String, String>;

fn www(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("www").join(path)
}

fn catalogue(name: &str) -> Catalogue {
    let text = std::fs::read_to_string(www("text").join(name)).unwrap();
    let keys: Vec<&str> = text.lines().filter_map(|line| line.trim().strip_prefix('"')?.split('"').next()).collect();
    assert!(keys.is_sorted(), "the keys of {name} are not sorted");
    let parsed: Catalogue = serde_json::from_str(&text).unwrap();
    assert_eq!(parsed.len(), keys.len(), "a key of {name} occurs twice");
    parsed
}

/// The catalogues of each language with those of English.
fn pairs() -> Vec<(String, Catalogue, Catalogue)> {
    let pair = |language: &str, start: &str| {
        let name = format!("{start}{language}.json");
        (name.clone(), catalogue(&format!("{start}en.json")), catalogue(&name))
    };
    OTHERS.iter().flat_map(|language| ["", "engine.", "coach.", "later."].map(|start| pair(language, start))).collect()
}

fn room(key: &str) -> &str {
    key.split('.').next().unwrap_or_default()
}

/// `{name.2}` as it stands, `{name:room}` without the room.
fn parameters(sentence: &str) -> BTreeSet<String> {
    let braced = sentence.split('{').skip(1).filter_map(|rest| rest.split_once('}').map(|(inner, _)| inner));
    let plain = |inner: &str| inner.split([':', ',']).next().unwrap_or_default().to_owned();
    braced.filter(|inner| inner.starts_with(|c: char| c.is_ascii_lowercase())).map(plain).collect()
}

#[test]
fn every_language_has_every_sentence() {
    for (name, english, other) in pairs() {
        let missing: Vec<&String> = english.keys().filter(|key| !other.contains_key(*key)).collect();
        assert!(missing.is_empty(), "{name} lacks {missing:?}: translate them (DEVELOPERS.md, \"Add a sentence\")");
        let more = other.keys().filter(|key| !english.contains_key(*key) && !WORDS.contains(&room(key)));
        let more: Vec<&String> = more.collect();
        assert!(more.is_empty(), "{name} has what English has not: {more:?}");
    }
    let [german, spanish] = OTHERS.map(|language| catalogue(&format!("{language}.json")));
    assert!(german.keys().eq(spanish.keys()), "the languages do not have the same words");
}

#[test]
fn sentences_have_the_same_parameters_in_every_language() {
    let mut checked = 0;
    for (name, english, other) in pairs() {
        for (key, sentence) in &english {
            assert_eq!(parameters(sentence), parameters(&other[key]), "{name}: {key}");
            assert!(!other[key].trim().is_empty() || sentence.trim().is_empty(), "{name}: {key} is empty");
            let long = sentence.len() > 40 && sentence.contains(' ');
            assert!(!long || *sentence != other[key], "{name}: {key} stands in English");
            checked += parameters(sentence).len();
        }
        let rooms = other.values().flat_map(|text| text.split('{').skip(1).filter_map(|rest| rest.split_once('}')));
        let plain = rooms.map(|(inner, _)| inner).filter(|inner| !inner.contains(", "));
        for room in plain.filter_map(|inner| inner.split_once(':').filter(|(name, _)| !name.contains('"'))) {
            let of_coach = COACH_WORDS.contains(&room.1) && name.starts_with("coach.");
            assert!(room.1 == "length" || WORDS.contains(&room.1) || of_coach, "{name}: there is no room {room:?}");
        }
    }
    assert!(checked > 600, "only {checked} parameters were looked at");
}

/// What a sentence has in place of a plain parameter: `{rows, one: row, other: rows}`.
fn forms(sentence: &str) -> impl Iterator<Item = (&str, Vec<(&str, &str)>)> {
    let braced = sentence.split('{').skip(1).filter_map(|rest| rest.split_once('}').map(|(inner, _)| inner));
    braced.filter_map(|inner| {
        let (name, forms) = inner.split_once(", ").filter(|(name, _)| !name.contains('"'))?;
        Some((name, forms.split(", ").map(|form| form.split_once(": ").unwrap_or((form, ""))).collect()))
    })
}

/// The categories of whole numbers below a million by Unicode CLDR's plural rules, the source of `Intl.PluralRules`: English,
/// German and Spanish all tell one from others (Spanish has a form of its own for whole millions, which no count here is).
const CATEGORIES: [&str; 2] = ["one", "other"];

#[test]
fn every_language_has_the_forms_that_its_counts_ask_for() {
    let mut checked = 0;
    for (name, english, other) in pairs() {
        for (key, sentence) in english.iter().chain(&other) {
            for (count, forms) in forms(sentence) {
                let categories: Vec<&str> = forms.iter().map(|(category, _)| *category).collect();
                assert_eq!(categories, CATEGORIES, "{name}: {key}, {count}");
                assert!(forms.iter().all(|(_, text)| !text.is_empty()), "{name}: {key}, {count}");
                assert_ne!(forms[0].1, forms[1].1, "{name}: {key}, {count}: one form is enough");
                assert!(
                    !["picture", "instant", "summary"].contains(&room(key)),
                    "the painter fills in {key} without forms"
                );
                checked += 1;
            }
        }
    }
    assert!(checked > 100, "only {checked} forms were looked at");
}

/// What a catalogue says of itself: the page tells its readers.
#[test]
fn a_translation_says_who_made_it() {
    for language in OTHERS {
        let catalogue = catalogue(&format!("{language}.json"));
        let by = catalogue["language.made_by"].as_str();
        assert!(["machine", "people"].contains(&by), "{language} was made by {by}");
        assert!(catalogue["language.note"].len() > 40);
    }
    let script = std::fs::read_to_string(www("words.js")).unwrap();
    assert!(script.contains("static languages = ['en', 'de', 'es'];"), "the page offers other languages");
}

/// `track name` as the page makes a key of it.
fn slug(word: &str) -> String {
    let letters = word.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' });
    letters.collect::<String>().split('_').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("_")
}

fn take(room: &'static str, word: &Value, found: &mut BTreeSet<(&'static str, String)>) {
    found.extend(word.as_str().filter(|word| !word.is_empty()).map(|word| (room, word.to_owned())));
}

/// Words of a room in an answer: fields of that name, anywhere in it, as `(room, word)`.
fn words_of(value: &Value, found: &mut BTreeSet<(&'static str, String)>) {
    match value {
        Value::Object(fields) => {
            for (name, word) in fields {
                match name.as_str() {
                    "source" | "rate_source" => take("source", word, found),
                    "verdict" | "flips_to" => take("verdict", word, found),
                    _ => {}
                }
                words_of(word, found);
            }
            if fields.contains_key("drawer") {
                let parts = fields["name"].as_str().unwrap_or_default().split(", ");
                found.extend(parts.map(|part| ("number", part.to_owned())));
                let rests = fields["rests_on"].as_array().into_iter().flatten().filter_map(Value::as_str);
                found.extend(rests.map(|what| ("instant", what.to_owned())));
            }
            if fields.contains_key("flips_deg") {
                found.insert(("finding", fields["name"].as_str().unwrap_or_default().to_owned()));
            }
        }
        Value::Array(items) => items.iter().for_each(|item| words_of(item, found)),
        _ => {}
    }
}

/// A first visit to the page's own demo asks for no sentences but those of the page: what only computing says comes with the
/// engine.
#[test]
fn the_page_opens_with_the_sentences_that_come_first() {
    let opening = std::fs::read_to_string(www("demo/opening.json")).unwrap();
    let keys: BTreeSet<&str> = opening.split("\"key\":\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    assert!(keys.len() > 60, "{keys:?}");
    let first = catalogue("en.json");
    let later: Vec<&&str> = keys.iter().filter(|key| !first.contains_key(**key)).collect();
    assert!(later.is_empty(), "move {later:?} from engine.*.json to the first catalogues");
}

/// All points, all instants, and every word of the answer that the page opens with.
#[test]
fn documented_words_have_words_in_every_language() {
    let opening: Value = serde_json::from_str(&std::fs::read_to_string(www("demo/opening.json")).unwrap()).unwrap();
    let mut words = BTreeSet::new();
    words_of(&opening, &mut words);
    let rooms: BTreeSet<&str> = words.iter().map(|(room, _)| *room).collect();
    assert_eq!(rooms.len(), 5, "the answer holds words of {rooms:?}");
    words.extend(Role::ALL.iter().map(|role| ("role", role.name().to_owned())));
    words.extend(InstantName::ALL.iter().map(|instant| ("instant", instant.name().to_owned())));
    assert!(words.len() > 120, "only {} words", words.len());
    for language in OTHERS {
        let catalogue = catalogue(&format!("{language}.json"));
        let missing = words.iter().map(|(room, word)| format!("{room}.{}", slug(word)));
        let missing: Vec<String> = missing.filter(|key| !catalogue.contains_key(key)).collect();
        assert!(missing.is_empty(), "{language} has no words for {missing:?}");
    }
}
