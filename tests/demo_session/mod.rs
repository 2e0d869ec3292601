//! A session with a student and a reference of the demo, for the tests of what it answers.

use handpath::session::{Answer, Id, Job, JobFile, Session, Slot};
use handpath::settings::Corrections;
use std::path::Path;

/// A file of the demo.
pub(crate) fn bytes(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("www/demo").join(name)).unwrap()
}

pub(crate) fn file(id: Id, slot: Slot, label: &str) -> JobFile {
    JobFile { id, slot, label: label.into(), corrections: Corrections::default() }
}

pub(crate) fn given() -> (Session, Job) {
    let mut session = Session::default();
    session.put(7, bytes("student-1-1.c3d"));
    session.put(3, bytes("reference-b.trc"));
    let files = vec![file(7, Slot::Student, "student"), file(3, Slot::Reference, "reference")];
    (session, Job { files, ..Job::default() })
}

pub(crate) fn json(answer: &Answer) -> serde_json::Value {
    serde_json::to_value(answer).unwrap()
}
