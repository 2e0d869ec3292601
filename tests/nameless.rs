//! A lesson without names: one is planted wherever a lesson can hold text, and looked for in all that comes of it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use handpath::formats::write::{C3dOptions, c3d, packed};
use handpath::formats::{Event, ReadOptions, Recording, Track, read};
use handpath::json::{Json, parse, spelled};
use handpath::lesson::{Lesson, Nameless, Slot, Without, nameless, open, without_names};
use handpath::roles::assign;
use handpath::session::{Id, Job, JobFile, Session, Slot as JobSlot, open_lesson};
use handpath::table::Table;
use std::path::Path;

const NAME: &str = "Quentin Zabor";

fn demo(name: &str) -> Recording {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("www/demo").join(name);
    read(&std::fs::read(path).unwrap(), &ReadOptions::default()).unwrap()
}

/// Is a part of the name left, in any case?
fn tells(text: &str) -> bool {
    let text = text.to_lowercase();
    ["quentin", "zabor"].iter().any(|part| text.contains(part))
}

/// A C3D file whose subject, events and a stick bear the name; read back, so that a reader's warnings are part of it.
fn named() -> Recording {
    let mut recording = demo("student-1-1.c3d");
    let stick = recording.tracks[0].points.clone();
    recording.tracks.iter_mut().for_each(|track| track.name.insert_str(0, &format!("{NAME}:")));
    recording.tracks.push(Track { unit: recording.tracks[0].unit, ..Track::marker("Zabor's stick", stick) });
    recording.events = ["Quentin Zabor hits", "ZABOR"].map(|label| Event { label: label.into(), clock_s: 0.5 }).into();
    let recording = read(&c3d(&recording, &C3dOptions::default()), &ReadOptions::default()).unwrap();
    assert!(tells(&recording.events[0].label) && tells(&recording.tracks[0].name));
    recording
}

/// Text tables and a skeleton with the name in the lines before them, in headers, gaps and joints.
fn files() -> Vec<Vec<u8>> {
    let rows = |cells: &str| (0..40).map(|row| format!("{},{cells}\n", f64::from(row) / 100.0)).collect::<String>();
    let table = format!(
        "Subject: {NAME}\nDescription,{NAME}'s lesson\n\ntime,{NAME}:LWRA x,{NAME}:LWRA y,{NAME}:LWRA z,Zabor says,zabor's cap x,zabor's cap y,zabor's cap z\n{}",
        rows("1,2,3,zabor,0,0,0")
    );
    let glued = format!(
        "time,Zabor_LWRA x,Zabor_LWRA y,Zabor_LWRA z,Zabor_LSHO x,Zabor_LSHO y,Zabor_LSHO z\n{}",
        rows("1,2,3,,,")
    );
    let trc = format!(
        "PathFileType\t4\t(X/Y/Z)\tC:/captures/{NAME}.trc\nDataRate\tCameraRate\tNumFrames\tNumMarkers\tUnits\tOrigDataRate\tOrigDataStartFrame\tOrigNumFrames\n100\t100\t2\t1\tzabor\t100\t1\t2\nFrame#\tTime\tZabor LWRA\t\t\n\t\tX1\tY1\tZ1\n1\t0\t1\t2\t3\n2\t0.01\t2\t3\t4\n"
    );
    let bvh = format!(
        "HIERARCHY\nROOT Zabor:Hips\n{{\nOFFSET 0 0 0\nCHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation\nJOINT {0}\n{{\nOFFSET 0 10 0\nCHANNELS 3 Zrotation Xrotation Yrotation\nEnd Site\n{{\nOFFSET 0 5 0\n}}\n}}\n}}\nMOTION\nFrames: 2\nFrame Time: 0.01\n0 90 0 0 0 0 0 0 0\n1 90 0 0 0 0 0 0 0\n",
        NAME.replace(' ', "_")
    );
    [table, glued, trc, bvh].map(String::into_bytes).into()
}

#[test]
fn a_recording_of_any_format_loses_its_names() {
    for bytes in files() {
        let mut recording = read(&bytes, &ReadOptions::default()).unwrap_or_else(|error| panic!("{error}"));
        assert!(tells(&format!("{recording:?}")), "nothing was planted");
        let before = recording.clone();
        let names = without_names(&mut recording);
        assert!(!tells(&format!("{recording:?}")), "{recording:?}");
        assert!(!tells(&packed(&recording, spelled).line()));
        assert_eq!(recording.broken_invariant(), None);
        assert_eq!(names.len(), recording.tracks.len());
        let roles = |recording: &Recording| {
            let map = assign(recording, &Table::new()).unwrap();
            map.assigned.iter().map(|(role, own)| (*role, own.tracks.clone())).collect::<Vec<_>>()
        };
        assert_eq!(roles(&recording), roles(&before), "other body points");
        assert_eq!(recording.content_key(), before.content_key());
    }
}

/// Puts the name beside every field of every record, and into every text that is no word of the format.
fn planted(value: &mut Json, own: bool) {
    const WORDS: [&str; 8] = ["format", "slot", "unit", "code", "name", "hand", "club", "kind"];
    match value {
        Json::Record(fields) => {
            for (name, value) in fields.iter_mut() {
                match value {
                    Json::Text(text) if !WORDS.contains(&name.as_str()) => *text = format!("{text} {NAME}"),
                    // A recording holds it already, and a changed one is not read.
                    _ if name == "recording" => {}
                    value => planted(value, own && name != "roles"),
                }
            }
            if own {
                fields.push(("note".into(), Json::text(NAME)));
                fields.push((NAME.into(), Json::text("x")));
            }
        }
        Json::List(items) => items.iter_mut().for_each(|item| planted(item, own)),
        _ => {}
    }
}

/// Everything a lesson can hold.
fn lesson() -> Lesson {
    let mut lesson = Lesson::new(NAME);
    let corrections = parse(&format!(
        r#"{{"unit":"mm","club":"iron","roles":{{"left-wrist":["{NAME}:LWRA","LWRB"],"right-wrist":["nobody Zabor"]}},
        "target":{{"markers":{{"near":"zabor's STICK","far":"{NAME}:LTOE"}}}}}}"#
    ));
    lesson.push(Slot::Student, NAME, corrections.unwrap(), packed(&named(), spelled));
    lesson.push(Slot::Reference, "Zabor at his best", Json::Record(vec![]), packed(&named(), spelled));
    for (field, text) in [
        ("words", r#"[{"computed":"The hands go out.","own":"hands"}]"#),
        ("pins", r#"[{"swing":1,"time_s":0.75,"text":"see"}]"#),
        ("spans", r#"[{"swing":1,"from_s":0.75,"to_s":0.9,"text":"from"}]"#),
        (
            "story",
            r#"[{"say":"look","swing":1,"against":2,"look":{"view":"face-on","lit":{"from":1,"to":2}},"play":{"from":0.1,"to":0.9}}]"#,
        ),
        ("view", r#"{"view":"overhead","time":0.5,"band":true}"#),
        ("shown", "1"),
        ("intake", r#"{"pain":{"where":"back"},"hope":"more","adult":"A","since":"May"}"#),
        (
            "setup",
            r#"{"direction":[1,0,0],"source":"target markers","sd_deg":1,"corrections":{"target":{"direction":[1,0,0]}}}"#,
        ),
        (
            "captures",
            r#"[{"swing":1,"club":"iron","keep":true,"ball":{"start":"pull","curve":"draw","strike":"toe","launch":{"face_deg":2}}}]"#,
        ),
        ("looked", r#"{"ball position":"points here"}"#),
        (
            "plan",
            r#"{"rungs":[{"share":0.5,"balls":5}],"step_down":"2 of 5","drill":{"setup":"a","picture":"b","feel":"c","check":"d","mistake":"e"},"measure":{"name":"made, out","wish":"less"}}"#,
        ),
        (
            "log",
            r#"[{"what":"begin","as":"practice","at":"2026-01-31T10:00:00.000Z"},{"what":"note","text":"sore"},{"what":"ball","start":"pull"}]"#,
        ),
        ("before", r#"{"at":"2026-01-31T10:00:00Z","captures":[{"swing":1,"ball":{"start":"push"}}]}"#),
        ("changes", r#"[{"coach":"c","date":"2026-01-31","what":"plan","from":null,"to":{}}]"#),
        ("preset", r#"{"name":"house","setup":"bay","fingerprint":"0"}"#),
        ("tomorrow", r#"{"text":"x"}"#),
    ] {
        lesson.document.set(field, parse(text).unwrap());
    }
    lesson
}

fn cleared(lesson: &Lesson) -> Without {
    let labels = ["swing", "reference", "own", "address", "earlier"].map(|word| format!("S-1, {word} {{number}}"));
    nameless(lesson, &Nameless { code: "S-1", labels: &labels }, spelled)
}

#[test]
fn what_holds_no_name_stays() {
    let before = lesson();
    let Without { lesson: after, swings, tracks, typed } = cleared(&before);
    assert_eq!((swings, typed), (2, 9));
    assert_eq!(tracks, 2 * named().tracks.len());
    for same in ["view", "words", "pins", "spans", "story", "shown", "setup", "captures", "looked", "plan", "before"] {
        assert_eq!(after.document.get(same).map(Json::line), before.document.get(same).map(Json::line), "{same}");
    }
    for gone in ["intake", "changes", "preset", "tomorrow"] {
        assert_eq!(after.document.get(gone), None);
    }
    let log: Vec<_> =
        after.document.get("log").unwrap().items().iter().map(|entry| entry.get("what").unwrap().line()).collect();
    assert_eq!(log, ["\"begin\"", "\"ball\""]);
    let swing = after.swings().next().unwrap();
    assert_eq!((swing.label, &swing.unusable[..]), ("S-1, swing 1", &[][..]));
    let entry = &after.document.get("swings").unwrap().items()[0];
    let corrections = entry.get("corrections").unwrap();
    assert_eq!(
        corrections.get("roles").unwrap().line(),
        r#"{"left-wrist":["subject 1:LWRA","subject 1:LWRB"],"right-wrist":[]}"#
    );
    let stick = named().tracks.len();
    assert_eq!(
        corrections.get("target").unwrap().line(),
        format!(r#"{{"markers":{{"near":"track {stick}","far":"subject 1:LTOE"}}}}"#)
    );
    let again = open(after.save().as_bytes()).unwrap();
    assert_eq!((again.warnings.len(), again.save()), (0, after.save()));
}

#[test]
fn no_planted_name_is_left_in_a_lesson() {
    let mut before = lesson();
    planted(&mut before.document, true);
    let before = open(before.save().as_bytes()).unwrap();
    let planted = before.save().matches("Zabor").count();
    assert!(planted > 100, "the name stands {planted} times");
    let after = cleared(&before).lesson.save();
    let left = after.to_lowercase().find("zabor").map(|at| &after[at.saturating_sub(80)..at + 20]);
    assert_eq!(left, None);
    assert!(!tells(&after));
    assert!(after.contains("hands S-1") && after.contains("look S-1"), "words were lost");
}

/// What is computed, told and saved of it.
#[test]
fn no_name_is_left_in_what_is_made_of_the_lesson() {
    let mut before = lesson();
    planted(&mut before.document, true);
    let named_lesson = open(before.save().as_bytes()).unwrap();
    let text = |lesson: &Lesson| lesson.save();
    let outputs = |text: &str| {
        let opened = open_lesson(text.as_bytes());
        let document: serde_json::Value = serde_json::from_str(&opened.document).unwrap();
        let mut session = Session::default();
        let mut files = vec![];
        for (at, slot) in [JobSlot::Student, JobSlot::Reference].into_iter().enumerate() {
            let id = Id::try_from(at + 1).unwrap();
            session.put(id, opened.recordings[at].clone().into_bytes());
            let label = document["swings"][at]["label"].as_str().unwrap().to_owned();
            files.push(JobFile { id, slot, label, corrections: handpath::settings::Corrections::default() });
        }
        let job = Job { files, ..Job::default() };
        let answer = serde_json::to_string(&session.compare(&job)).unwrap();
        [answer, session.measures_csv(&job), session.paths_csv(&job)]
    };
    let before = outputs(&text(&before));
    assert!(before.iter().all(|output| tells(output)), "nothing was planted in an output");
    let after = outputs(&text(&cleared(&named_lesson).lesson));
    assert!(after.iter().all(|output| output.len() > 200 && !tells(output)));
}
