use super::*;
use crate::formats::write::packed;
use crate::formats::{GAP, Track};
use crate::json::{parse, spelled};
use crate::model::{Motion, SampleOptions, reference, sample, student};
use crate::roles::Role;
use crate::settings::{Hand, TargetLine};
use crate::table::Table;
use crate::words::{Arg, Place};

fn recording(params: &crate::model::ModelParams) -> Recording {
    sample(&Motion::new(params), params, &SampleOptions { rate_hz: 30.0, ..SampleOptions::default() }).unwrap()
}

fn json(text: &str) -> Json {
    parse(text).unwrap()
}

/// Two swings, and something of every kind.
fn lesson() -> Lesson {
    let mut lesson = Lesson::new("student 7");
    let corrections = json(r#"{"unit":"m","roles":{"left-wrist":["LWRA","LWRB"]},"club":"iron"}"#);
    let first = lesson.push(Slot::Student, "swing 1", corrections, packed(&recording(&student(1, 1)), spelled));
    lesson.push(Slot::Reference, "reference A", Json::Record(vec![]), packed(&recording(&reference('A')), spelled));
    assert_eq!(first, 1);
    lesson.document.set("thresholds", json(r#"{"arm-driven": 0.03}"#));
    lesson.document.set("words", json(r#"[{"computed":"The hands go out.","own":"Hands out!"}]"#));
    lesson.document.set("pins", json(r#"[{"swing":1,"time_s":0.75,"text":"here"}]"#));
    lesson.document.set("spans", json(r#"[{"swing":1,"from_s":0.75,"to_s":0.9,"text":""}]"#));
    lesson
}

fn opened(text: &str) -> Lesson {
    open(text.as_bytes()).unwrap()
}

fn warnings(lesson: &Lesson) -> Vec<String> {
    lesson.warnings.iter().map(Message::to_string).collect()
}

#[test]
fn what_is_saved_comes_back() {
    let lesson = lesson();
    let text = lesson.save();
    let back = opened(&text);
    let unknown = warnings(&back);
    assert!(unknown.len() == 1 && unknown[0].contains("arm-driven"), "{unknown:?}");
    assert_eq!(back.document, lesson.document);
    assert_eq!(back.save(), text);
    let swings: Vec<_> = back.swings().collect();
    assert_eq!(
        (swings[0].slot, swings[0].label, swings[1].slot),
        (Some(Slot::Student), "swing 1", Some(Slot::Reference))
    );
    assert_eq!(
        swings[0].corrections.roles,
        Table::from([(Role::parse("left-wrist").unwrap(), vec!["LWRA".into(), "LWRB".into()])])
    );
    assert_eq!(format!("{:?}", swings[1].read().unwrap()), format!("{:?}", recording(&reference('A'))));
}

/// Fields of tomorrow at every level, numbers that no double holds, another layout.
#[test]
fn what_is_not_known_is_kept() {
    let mut lesson = lesson();
    let tomorrow = json(r#"{"n":123456789012345678901,"e":1.50E+2,"z":[{"":null}],"a":"\u0007"}"#);
    lesson.document.set("tomorrow", tomorrow.clone());
    for list in ["swings", "pins", "spans", "words"] {
        let Some(Json::List(items)) = lesson.document.get_mut(list) else { panic!("{list}") };
        items[0].set("tomorrow", tomorrow.clone());
    }
    let Some(Json::List(swings)) = lesson.document.get_mut("swings") else { panic!() };
    swings[0].get_mut("recording").unwrap().set("tomorrow", tomorrow.clone());
    swings[0].get_mut("corrections").unwrap().set("tomorrow", tomorrow.clone());
    let spaced = lesson.save().replace(',', " ,\r\n ").replace("\":", "\" : ");
    let first = opened(&spaced).save();
    assert_eq!(first, lesson.save().replace(" ,\r\n ", ",").replace("\" : ", "\":"));
    assert_eq!(opened(&first).save(), first);
    let back = opened(&first);
    assert_eq!(back.swings().next().unwrap().unusable, ["tomorrow"]);
    assert!(back.swings().next().unwrap().read().is_ok());
    assert!(warnings(&back)[0].starts_with(
        "swings.0.corrections.tomorrow of the lesson file cannot be used: one of these was expected: unit, "
    ));
}

#[test]
fn older_documents_are_brought_to_this_version() {
    let old = r#"{"format":"handpath lesson","version":0,"student":"student 7","swings":[],"limits":{"x":1},
        "pins":[{"swing":1,"t":0.75,"text":"here"}],"other":1}"#;
    let lesson = opened(old);
    let now = r#"{"format":"handpath lesson","version":1,"student":{"code":"student 7"},"swings":[],"thresholds":{"x":1},"pins":[{"swing":1,"time_s":0.75,"text":"here"}],"other":1}"#;
    assert_eq!(lesson.document.line(), now);
    assert_eq!(
        warnings(&lesson)[0],
        "The lesson file is of version 0. It was brought to version 1, which is what you save."
    );
    assert_eq!(opened(&lesson.save()).document, lesson.document);
}

#[test]
fn newer_documents_are_read_as_far_as_possible() {
    let mut lesson = lesson();
    lesson.document.set("version", Json::count(9));
    lesson.document.set("pins", json(r#"{"of": "another kind"}"#));
    let back = opened(&lesson.save());
    assert_eq!(back.swings().filter(|swing| swing.read().is_ok()).count(), 2);
    assert_eq!(back.save(), lesson.save());
    assert_eq!(
        warnings(&back)[..2],
        [
            "The lesson file is of version 9, this page knows version 1. What is known is shown, and everything is kept when you save. Use a newer version to see all of it.",
            "pins of the lesson file cannot be used: a list was expected. It is kept as it is when you save."
        ]
    );
}

#[test]
fn a_file_cut_short_gives_what_stands_before() {
    let text = lesson().save();
    let second = text.rfind("{\"id\":2").unwrap();
    for end in [second - 2, second + 900] {
        let back = opened(&text[..end]);
        assert_eq!(back.swings().filter(|swing| swing.read().is_ok()).count(), 1, "{end}");
        let told = warnings(&back);
        assert!(told.len() == 1 && told[0].contains("The lesson file ends too early: expected one of "), "{told:?}");
    }
}

#[test]
fn a_damaged_swing_leaves_the_others() {
    let text = lesson().save();
    let first = text.find("\"recording\":{").unwrap();
    let broken = [&text[..first + 12], "!", &text[first + 13..]].concat();
    let back = opened(&broken);
    assert_eq!(back.swings().map(|swing| swing.label).collect::<Vec<_>>(), ["reference A"]);
    assert_eq!(back.document.get("pins"), lesson().document.get("pins"));
    assert_eq!(
        warnings(&back)[0].split(": ").collect::<Vec<_>>()[1..3],
        [
            "The lesson file is damaged here",
            "expected one of { [ \" 0 null true false, found \"!\"format\":\"h\". The rest of this line is left out; all else is read. Take another copy, if there is one."
        ]
    );
    // A number that was changed is still JSON: the swing's own check tells.
    let data = first + text[first..].find("\"data\":\"").unwrap() + 20;
    let other = if &text[data..=data] == "A" { "B" } else { "A" };
    let changed = opened(&[&text[..data], other, &text[data + 1..]].concat());
    let read: Vec<_> = changed.swings().map(|swing| swing.read().map_err(|error| error.to_string())).collect();
    assert!(read[0].as_ref().is_err_and(|why| why.contains("kept")) && read[1].is_ok(), "{:?}", read[0]);
}

#[test]
fn bytes_that_are_no_text_are_told() {
    let mut bytes = lesson().save().into_bytes();
    let at = bytes.windows(9).position(|word| word == b"student 7").unwrap();
    bytes[at] = 0xFF;
    let back = open(&bytes).unwrap();
    assert!(
        warnings(&back)[0].starts_with(&format!("byte {at}: The lesson file holds bytes that are no text (UTF-8)."))
    );
    assert_eq!(back.swings().count(), 2);
}

#[test]
fn wrong_types_are_told_and_kept() {
    let text = r#"{"format":"handpath lesson","swings":[7,{"slot":"friend","recording":3,"corrections":{"unit":"ell","hand":"left"}},
        {"id":4,"slot":"student"},{"id":4,"slot":"student","recording":{}}],"thresholds":{"x":"y"},"words":[{"own":1}],
        "pins":[{"swing":"one","text":2}],"spans":3,"story":[{"say":1,"swing":null,"against":"b"},{"say":"x"}]}"#;
    let back = opened(text);
    let field = |field: &str, problem: &str| {
        format!("{field} of the lesson file cannot be used: {problem}. It is kept as it is when you save.")
    };
    assert_eq!(
        warnings(&back),
        [
            "The lesson file states no version. It is read as version 1.".to_owned(),
            field("swings.0", "an object was expected"),
            field("swings.1.slot", "a documented word was expected, found: friend"),
            field("swings.1.corrections.unit", "a documented word was expected, found: ell"),
            field("swings.2.recording", "an object was expected"),
            field("pins.0.time_s", "a number was expected"),
            field("pins.0.swing", "the id of a swing was expected"),
            field("pins.0.text", "a text was expected"),
            field("spans", "a list was expected"),
            field("words.0.computed", "a text was expected"),
            field("words.0.own", "a text was expected"),
            field("story.0.say", "a text was expected"),
            field("story.0.against", "the id of a swing was expected"),
            field("thresholds.x", "a number was expected"),
        ]
    );
    let swings: Vec<_> = back.swings().collect();
    assert_eq!((swings.len(), swings[0].id, swings[0].slot), (2, 5, None));
    assert_eq!((swings[0].corrections.hand, &swings[0].unusable[..]), (Some(Hand::Left), &["unit"][..]));
    assert_eq!(swings[1].id, 6, "the number was taken");
    assert_eq!(opened(&back.save()).document, back.document);
    let many = opened(&format!(r#"{{"swings":[{}1],"version":1}}"#, "1,".repeat(99)));
    assert_eq!(warnings(&many).last().unwrap(), "And 76 more things of this kind in the lesson file.");
}

#[test]
fn errors_say_what_to_do() {
    let refused = |text: &str| open(text.as_bytes()).unwrap_err().to_string();
    let none = "This is no lesson file: a JSON object with swings was expected. Choose a file that was saved as a lesson, or open an export.";
    for text in ["", "[]", "{}", "time,LWRA x", r#"{"format":"handpath lesson"}"#] {
        assert_eq!(refused(text), none, "{text}");
    }
    assert_eq!(
        refused("{\n ?\"swings\":[1]}"),
        "line 2, column 2: This lesson file is damaged so much that nothing can be read: expected one of \", found \"?\"swings\":[1\". Take another copy of it."
    );
}

#[test]
fn lessons_are_told_from_other_files() {
    let text = lesson().save();
    assert!(
        looks_like(text.as_bytes())
            && looks_like(&text.as_bytes()[2..])
            && looks_like(&[b"\xEF\xBB\xBF \n", text.as_bytes()].concat())
    );
    let kept = packed(&recording(&student(1, 1)), spelled).line();
    for other in [kept.as_str(), "", "{}", "HIERARCHY", "time,swings"] {
        assert!(!looks_like(other.as_bytes()), "{other}");
    }
}

#[test]
fn numbers_stand_for_recordings_until_they_are_filled_in() {
    let mut lesson =
        opened(r#"{"version":1,"swings":[{"slot":"student","recording":7},{"slot":"student","recording":8}]}"#);
    assert_eq!(warnings(&lesson), Vec::<String>::new());
    lesson.fill(&mut |file| (file == 7).then(|| json("{}")));
    let found: Vec<_> = lesson.swings().map(|swing| swing.recording.line()).collect();
    assert_eq!(found, ["{}", "8"]);
}

#[test]
fn thresholds_that_are_known_hold() {
    let known = crate::findings::limits()[0].threshold.name;
    let lesson = opened(&format!(r#"{{"version":1,"swings":[],"thresholds":{{"{known}":0.5,"other":1}}}}"#));
    let mut expected = Thresholds::default();
    expected.set(known, 0.5).unwrap();
    assert_eq!(lesson.thresholds(), expected);
    assert_eq!(lesson.warnings.len(), 1);
}

#[test]
fn only_tracks_with_roles_are_kept_where_it_has_to_be_small() {
    let mut whole = recording(&student(1, 1));
    let rows = whole.rows();
    whole.tracks.insert(0, Track::marker("nobody knows", vec![[1.0, 2.0, 3.0]; rows]));
    whole.tracks.push(Track { parent: Some(0), ..Track::marker("T1", vec![GAP; rows]) });
    let far = whole.tracks[1].name.clone();
    whole.tracks.push(Track { parent: Some(whole.tracks.len() - 1), ..Track::marker("T2", vec![GAP; rows]) });
    let target = Some(TargetLine::Markers { near: far, far: "T2".into() });
    let slim = with_roles_only(&whole, &Corrections { target, ..Corrections::default() });
    assert!(slim.track("nobody knows").is_none() && slim.track("T1").is_none());
    assert_eq!(slim.track("T2").map(|track| track.parent), Some(None));
    assert_eq!(slim.broken_invariant(), None);
    let roles = |recording: &Recording| {
        let map = crate::roles::assign(recording, &Table::new()).unwrap();
        let names = map.assigned.iter().map(|(role, own)| {
            (*role, own.tracks.iter().map(|at| recording.tracks[*at].name.clone()).collect::<Vec<_>>())
        });
        names.collect::<Vec<_>>()
    };
    assert_eq!(roles(&slim), roles(&whole));
}

#[test]
fn persons_lose_their_names() {
    let mut named = recording(&student(1, 1));
    let rows = named.rows();
    named.tracks.iter_mut().for_each(|track| track.name.insert_str(0, "Jo Doe:"));
    named.tracks.push(Track::marker("bag:B1", vec![GAP; rows]));
    named.tracks.push(Track::marker(
        "left side left hand of Jo and of nobody else in the whole wide world hip",
        vec![GAP; rows],
    ));
    named.warnings =
        vec![Message::new("text.flat").with("first", Arg::Text("Jo Doe:LWRA".into())).at(Place::track("bag:B1"))];
    let before = named.tracks[0].name.clone();
    let names = without_names(&mut named);
    assert_eq!(names[0], (before.clone(), before.replace("Jo Doe", "subject 1")));
    assert_eq!(named.warnings[0].args["first"], Arg::Text("subject 1:LWRA".into()));
    let place = named.warnings[0].place.as_ref().and_then(|place| place.track.clone());
    assert_eq!(place, Some(format!("track {}", named.tracks.len() - 1)));
    let told = format!("{named:?}");
    assert!(["Doe", "bag", "Jo", "nobody"].iter().all(|name| !told.contains(name)), "{:?}", names.last());
}

/// Found by fuzzing: damage at the name of the format, and so much text before the rest that a saved lesson was none again.
#[test]
fn a_lesson_without_its_name_gets_it_back() {
    let long = "x".repeat(5000);
    for head in ["\"forma    handpath lesson\",", "\"format\":7,\"note\":\"handpath lesson\","] {
        let text = format!("{{\n{head}\n\"other\":\"{long}\",\n\"swings\":[]}}");
        let saved = open(text.as_bytes()).unwrap().save();
        assert!(saved.contains("\"format\":\"handpath lesson\"") && saved.contains(&long), "{}", &saved[..200]);
        assert_eq!(open(saved.as_bytes()).map(|again| again.save()).as_deref(), Ok(saved.as_str()));
    }
}
