//! A session: what is asked of it in any order, it reads and computes first.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use handpath::session::{Answer, Id, Job, JobFile, Session, Slot, Wanted};
use handpath::settings::{Corrections, TargetLine};
use std::path::Path;

fn bytes(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("www/demo").join(name)).unwrap()
}

fn file(id: Id, slot: Slot, label: &str) -> JobFile {
    JobFile { id, slot, label: label.into(), corrections: Corrections::default() }
}

fn given() -> (Session, Job) {
    let mut session = Session::default();
    session.put(7, bytes("student-1-1.c3d"));
    session.put(3, bytes("reference-b.trc"));
    let files = vec![file(7, Slot::Student, "student"), file(3, Slot::Reference, "reference")];
    (session, Job { files, ..Job::default() })
}

fn json(answer: &Answer) -> serde_json::Value {
    serde_json::to_value(answer).unwrap()
}

#[test]
fn the_answer_holds_the_files_in_the_order_of_the_job() {
    let (mut session, job) = given();
    let answer = session.compare(&job);
    let known: Vec<(Id, &str, bool)> =
        answer.files.iter().map(|file| (file.id, file.report.name.as_str(), file.names_key.is_some())).collect();
    assert_eq!(known, [(7, "student", true), (3, "reference", true)]);
    assert_eq!(answer.picture.as_ref().map(|picture| picture.references.len()), Some(1));
    assert_eq!(json(&answer)["comparison"]["references"][0]["id"], 3);
}

/// As after a page that opened with a prepared answer: the first question is another one than `compare`.
#[test]
fn every_question_may_be_the_first() {
    let (mut fresh, job) = given();
    let (mut known, _) = given();
    known.compare(&job);
    let turned = Job { degrees: 5.0, ..job };
    let [first, later] = [&mut fresh, &mut known].map(|session| serde_json::to_value(session.aim(&turned)).unwrap());
    assert!(first["measures"].as_array().is_some_and(|measures| !measures.is_empty()), "{first}");
    assert_eq!(first, later);
    let wanted = Wanted { id: 7, up: None };
    assert_eq!(
        given().0.cloud(wanted).map(|cloud| cloud.names.len()),
        known.cloud(wanted).map(|cloud| cloud.names.len())
    );
    assert!(known.cloud(wanted).is_some() && known.cloud(Wanted { id: 8, up: None }).is_none());
}

#[test]
fn a_correction_taken_back_leaves_no_trace() {
    let (mut session, mut job) = given();
    let before = json(&session.compare(&job));
    job.files[0].corrections.target = Some(TargetLine::Shoulders);
    let corrected = json(&session.compare(&job));
    job.files[0].corrections.target = None;
    assert_ne!(before, corrected);
    assert_eq!(before, json(&session.compare(&job)));
}

#[test]
fn files_are_replaced_and_forgotten() {
    let (mut session, job) = given();
    session.put(3, b"no recording".to_vec());
    let answer = session.compare(&job);
    assert!(answer.files[1].report.error.is_some() && answer.files[1].names_key.is_none());
    assert!(answer.files[1].roles.is_empty() && answer.picture.is_some());
    session.drop(7);
    let answer = session.compare(&job);
    assert_eq!(answer.files.len(), 1);
    assert!(answer.picture.is_none() && session.aim(&job).is_none() && session.band(&job).is_none());
}

/// 1 inch is 2.54 cm by definition (international yard and pound agreement, 1959).
#[test]
fn readings_come_in_both_units() {
    let (mut session, job) = given();
    let readings = session.compare(&job).readings;
    let text = |messages: &[handpath::words::Message]| serde_json::to_string(messages).unwrap();
    assert_eq!(readings.cm.len(), readings.inch.len());
    assert!(text(&readings.cm).contains(" cm") && text(&readings.inch).contains('″'));
    assert!(!text(&readings.inch).contains(" cm"));
}
