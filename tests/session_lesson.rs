//! Lessons through a session, as the page opens and saves them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use handpath::formats::write::packed;
use handpath::formats::{ReadOptions, Track, read};
use handpath::json::{Json, parse, spelled};
use handpath::lesson::{Lesson, Slot as LessonSlot};
use handpath::session::{Id, Job, JobFile, OpenedLesson, Renaming, Saving, Session, Slot, open_lesson};
use handpath::settings::Corrections;
use std::path::Path;

const FILES: [(&str, Slot); 2] = [("student-1-1.c3d", Slot::Student), ("reference-b.trc", Slot::Reference)];

fn bytes(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("www/demo").join(name)).unwrap()
}

fn from_files() -> Session {
    let mut session = Session::default();
    FILES.iter().zip(1..).for_each(|((name, _), id)| session.put(id, bytes(name)));
    session
}

fn job(first: Id) -> Job {
    let file = |((_, slot), id)| JobFile { id, slot, label: "x".into(), corrections: Corrections::default() };
    Job { files: FILES.into_iter().zip(first..).map(file).collect(), ..Job::default() }
}

/// As the page writes it: a number where a recording belongs.
fn document(first: Id) -> String {
    format!(
        r#"{{"format":"handpath lesson","version":1,"student":{{"code":"S 1"}},"swings":[
        {{"id":1,"slot":"student","label":"x","corrections":{{}},"recording":{first}}},
        {{"id":2,"slot":"reference","label":"x","corrections":{{}},"recording":{}}}],"later":{{"n":0.5}}}}"#,
        first + 1
    )
}

fn save(session: &mut Session, document: String, opened: Option<String>, small: bool) -> (String, usize) {
    let saved = session.save_lesson(&Saving { document, opened, small, nameless: None }, spelled);
    assert_eq!(saved.error, None);
    (saved.text, saved.left_out)
}

fn put(opened: &OpenedLesson, first: Id) -> Session {
    let mut session = Session::default();
    opened.recordings.iter().zip(first..).for_each(|(text, id)| session.put(id, text.clone().into_bytes()));
    session
}

/// The document with numbers of files in place of the places of recordings, through a program that knows doubles only.
fn renumbered(opened: &OpenedLesson, first: Id) -> String {
    let mut document: serde_json::Value = serde_json::from_str(&opened.document).unwrap();
    for swing in document["swings"].as_array_mut().unwrap() {
        swing["recording"] = (swing["recording"].as_u64().unwrap() + u64::from(first)).into();
    }
    document.to_string()
}

fn told(session: &mut Session, first: Id) -> serde_json::Value {
    let mut answer = serde_json::to_value(session.compare(&job(first))).unwrap();
    answer["files"].as_array_mut().unwrap().iter_mut().for_each(|file| file["id"] = 0.into());
    answer["comparison"]["references"][0]["id"] = 0.into();
    answer["shown"] = 0.into();
    answer
}

#[test]
fn a_lesson_opens_to_the_same_answer_and_the_same_text() {
    let mut session = from_files();
    let (text, left_out) = save(&mut session, document(1), None, false);
    assert_eq!(left_out, 0);
    let opened = open_lesson(text.as_bytes());
    assert_eq!((opened.error.clone(), opened.warnings.len(), opened.recordings.len()), (None, 0, 2));
    let mut again = put(&opened, 5);
    let rest = opened.document.clone();
    assert!(told(&mut again, 5) == told(&mut session, 1), "another answer");
    assert_eq!(
        save(&mut again, opened.document.replace(":0}", ":5}").replace(":1}", ":6}"), Some(rest), false).0,
        text
    );
}

/// Pages in step name swings by it.
#[test]
fn a_recording_has_the_same_key_as_an_export_and_in_a_lesson() {
    let mut session = from_files();
    let (text, _) = save(&mut session, document(1), None, false);
    let keys = |session: &mut Session, first: Id| -> Vec<String> {
        session.compare(&job(first)).files.into_iter().map(|file| file.content_key.unwrap()).collect()
    };
    let exported = keys(&mut session, 1);
    assert_eq!(keys(&mut put(&open_lesson(text.as_bytes()), 5), 5), exported);
    assert_ne!(exported[0], exported[1]);
    let mut moved = read(&bytes(FILES[0].0), &ReadOptions::default()).unwrap();
    let last = moved.tracks.iter_mut().flat_map(|track| &mut track.points).rfind(|point| point[2].is_finite()).unwrap();
    last[2] = f64::from_bits(last[2].to_bits() ^ 1);
    session.put(1, packed(&moved, spelled).line().into_bytes());
    assert_ne!(keys(&mut session, 1)[0], exported[0], "a changed bit was not seen");
}

#[test]
fn what_the_page_does_not_know_keeps_its_spelling() {
    let (text, _) = save(&mut from_files(), document(1), None, false);
    let unknown = r#""later":{"n":100000000000000000001,"m":[1.50,-0.0,2E3]}"#;
    let text = text.replace(r#""later":{"n":0.5}"#, unknown);
    let opened = open_lesson(text.as_bytes());
    let document = renumbered(&opened, 1);
    assert!(!document.contains("100000000000000000001"));
    let (again, _) = save(&mut put(&opened, 1), document, Some(opened.document.clone()), false);
    let tree = |text: &str| parse(text).unwrap().get("later").unwrap().line();
    // A program that sorts the fields of an object may do so; the numbers are what counts.
    assert_eq!(tree(&again), r#"{"m":[1.50,-0.0,2E3],"n":100000000000000000001}"#);
}

/// The demo's files with a track that nobody knows.
fn with_an_unknown_track() -> Session {
    let mut session = Session::default();
    for ((name, _), id) in FILES.iter().zip(1..) {
        let mut recording = read(&bytes(name), &ReadOptions::default()).unwrap();
        let points = recording.tracks[0].points.clone();
        recording.tracks.insert(1, Track { unit: recording.tracks[0].unit, ..Track::marker("nobody knows", points) });
        session.put(id, packed(&recording, spelled).line().into_bytes());
    }
    session
}

#[test]
fn a_small_lesson_leaves_out_what_has_no_role() {
    let mut session = with_an_unknown_track();
    let (whole, _) = save(&mut session, document(1), None, false);
    let (small, left_out) = save(&mut session, document(1), None, true);
    assert!(left_out == 2 && small.len() < whole.len(), "{left_out}: {} of {}", small.len(), whole.len());
    let mut again = put(&open_lesson(small.as_bytes()), 1);
    let (small, whole) = (told(&mut again, 1), told(&mut session, 1));
    for (small, whole) in small["files"].as_array().unwrap().iter().zip(whole["files"].as_array().unwrap()) {
        for field in ["hand_path", "instants", "measures", "guesses", "roles", "findings"] {
            assert!(small["report"][field] == whole["report"][field], "another {field}");
        }
        assert_eq!(small["roles"], whole["roles"]);
    }
    assert!(small["picture"] == whole["picture"], "another picture");
}

#[test]
fn a_damaged_swing_is_kept_where_all_is_kept() {
    let (text, _) = save(&mut from_files(), document(1), None, false);
    let check = text.find("\"check\":\"").unwrap() + 9;
    let changed = format!("{}00000000{}", &text[..check], &text[check + 8..]);
    let opened = open_lesson(changed.as_bytes());
    let mut session = put(&opened, 1);
    assert_eq!(session.compare(&job(1)).files[0].report.error.as_ref().unwrap().key, "packed.check");
    let numbered = opened.document.replace(":1}", ":2}").replace(":0}", ":1}");
    assert_eq!(save(&mut session, numbered.clone(), None, false).0, changed);
    let (small, _) = save(&mut session, numbered, None, true);
    assert_eq!(open_lesson(small.as_bytes()).recordings.len(), 1);
}

#[test]
fn what_cannot_be_opened_or_saved_says_why() {
    assert_eq!(open_lesson(b"time,x").error.unwrap().key, "lesson.no_lesson");
    let saved = Session::default()
        .save_lesson(&Saving { document: "{".into(), opened: None, small: false, nameless: None }, spelled);
    assert_eq!(saved.error.unwrap().key, "lesson.nothing");
    let wrong = r#"{"version":1,"swings":[{"id":3,"slot":"student","corrections":{"unit":"ell"},"recording":{}}]}"#;
    let opened = open_lesson(wrong.as_bytes());
    assert_eq!((opened.unusable[0].id, &opened.unusable[0].names[..]), (3, &["unit".to_owned()][..]));
}

#[test]
fn a_lesson_is_saved_without_names() {
    let table = "time,Jo Doe:LWRA x,Jo Doe:LWRA y,Jo Doe:LWRA z\n0,1,2,3\n0.1,2,3,4\n0.2,3,4,5\n";
    let mut session = from_files();
    session.put(1, table.as_bytes().to_vec());
    let labels = ["swing {number} of S 2", "reference {number}"].map(str::to_owned).into();
    let nameless = Some(Renaming { code: "S 2".into(), labels });
    let wish = Saving { document: document(1), opened: None, small: false, nameless };
    let saved = session.save_lesson(&wish, spelled);
    let cleared = saved.nameless.unwrap();
    assert_eq!((cleared.swings, cleared.tracks, cleared.typed), (2, 1, 0));
    assert!(!saved.text.contains("Doe") && !saved.text.contains("S 1") && !saved.text.contains("later"));
    let opened = open_lesson(saved.text.as_bytes());
    assert!(opened.document.contains("swing 1 of S 2") && opened.recordings[0].contains("subject 1:LWRA"));
}

#[test]
fn a_lesson_made_natively_opens_in_the_page() {
    let mut lesson = Lesson::new("S 1");
    lesson.push(LessonSlot::Earlier, "before", Json::Record(vec![]), Json::Record(vec![]));
    let opened = open_lesson(lesson.save().as_bytes());
    assert_eq!((opened.recordings.len(), opened.error), (1, None));
    assert!(opened.document.contains("\"recording\":0"));
}
