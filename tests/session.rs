//! A session: what is asked of it in any order, it reads and computes first.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo_session;

use demo_session::{bytes, file, given, json};
use handpath::formats::{ReadOptions, read};
use handpath::picture::ViewState;
use handpath::picture::plot::{Plot, Quantity};
use handpath::session::{Id, Job, JobFile, Session, Slot, Wanted};
use handpath::sets::{BandKind, lessons, own_set};
use handpath::settings::{Club, Corrections, TargetLine};
use handpath::swing::{Swing, analyse};

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

/// A line that is not turned changes nothing; one that is turned has intervals too, and certainties that go by them.
#[test]
fn a_turned_line_is_told_as_the_line_itself_is() {
    let (mut session, job) = given();
    let told = json(&session.compare(&job))["files"][0]["report"].clone();
    let [still, turned] = [0.0, 6.0].map(|degrees| {
        let job = Job { degrees, ..job.clone() };
        serde_json::to_value(session.aim(&job)).unwrap()
    });
    assert_eq!([&still["measures"], &still["findings"]], [&told["measures"], &told["findings"]]);
    let first = |answer: &serde_json::Value, field: &str| answer["measures"][0][field].as_f64().unwrap();
    assert!(first(&turned, "low_90") < first(&turned, "high_90"));
    assert_ne!(first(&turned, "low_90"), first(&still, "low_90"));
    assert_ne!(turned["findings"][0]["certainty"], still["findings"][0]["certainty"]);
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

fn iron(id: Id, slot: Slot, label: &str) -> JobFile {
    let corrections = Corrections { club: Some(Club::Iron), ..Corrections::default() };
    JobFile { corrections, ..file(id, slot, label) }
}

/// Five swings of the student's lesson and an earlier one.
fn two_lessons() -> (Session, Job) {
    let mut session = Session::default();
    let mut files = vec![];
    for k in 1..=5 {
        for (lesson, slot, ending) in [(2, Slot::Student, "csv"), (1, Slot::Earlier, "c3d")] {
            let name = format!("student-{lesson}-{k}.{ending}");
            session.put(10 * lesson + k, bytes(&name));
            files.push(iron(10 * lesson + k, slot, &name));
        }
    }
    session.put(3, bytes("reference-b.trc"));
    files.push(iron(3, Slot::Reference, "reference"));
    (session, Job { files, ..Job::default() })
}

fn swings(lesson: u32, ending: &str) -> Vec<Swing> {
    let swing = |k| {
        let name = format!("student-{lesson}-{k}.{ending}");
        let recording = read(&bytes(&name), &ReadOptions::default()).unwrap();
        Swing { label: name, ..analyse(&recording, None, &iron(0, Slot::Student, "").corrections).unwrap() }
    };
    (1..=5).map(swing).collect()
}

#[test]
fn of_several_swings_the_most_typical_is_shown_unless_another_is_wished_for() {
    let (mut session, mut job) = two_lessons();
    let later = swings(2, "csv");
    let set = own_set(&later.iter().collect::<Vec<_>>(), BandKind::Pointwise).unwrap().set;
    let typical = set.labels[set.most_typical.unwrap()].clone();
    let told = |session: &mut Session, job: &Job| {
        let answer = session.compare(job);
        let name = |file: &handpath::session::FileAnswer| file.report.name.clone();
        let shown = answer.files.iter().find(|file| Some(file.id) == answer.shown).map(name).unwrap();
        assert_eq!(answer.picture.unwrap().student.label, shown);
        // Only the swing shown is held against the reference.
        let judged =
            |file: &&handpath::session::FileAnswer| file.report.swing.findings.iter().any(|f| f.references > 0);
        assert_eq!(answer.files.iter().filter(judged).map(name).collect::<Vec<_>>(), std::slice::from_ref(&shown));
        shown
    };
    assert_eq!(told(&mut session, &job), typical);
    job.shown = Some(24);
    assert_eq!(told(&mut session, &job), "student-2-4.csv");
    // One that is not there, and swings too few to be typical.
    job.shown = Some(99);
    job.files.retain(|file| [21, 22, 3].contains(&file.id));
    assert_eq!(told(&mut session, &job), "student-2-1.csv");
}

#[test]
fn lessons_are_told_as_the_core_tells_them() {
    let (mut session, mut job) = two_lessons();
    let (earlier, later) = (swings(1, "c3d"), swings(2, "csv"));
    let all = |swings: &[Swing]| {
        serde_json::to_value(lessons(&earlier.iter().collect::<Vec<_>>(), &swings.iter().collect::<Vec<_>>())).unwrap()
    };
    let told = session.together(&job);
    let own = told.own.as_ref().unwrap();
    assert_eq!((own.swings.len(), own.most_typical.is_some()), (5, true));
    assert_eq!(serde_json::to_value(&told.lessons).unwrap(), all(&later));
    let drift = |told: &handpath::session::Together| {
        told.lessons
            .as_ref()
            .unwrap()
            .changes
            .iter()
            .find(|change| change.name == "out drift, greatest")
            .unwrap()
            .verdict
    };
    assert_eq!(drift(&told), "change shown");
    job.files.retain(|file| file.slot != Slot::Student || file.id == 21);
    let one = session.together(&job);
    assert!(one.own.is_none() && drift(&one) == "cannot tell");
    job.files.retain(|file| file.slot != Slot::Earlier);
    assert!(session.together(&job).lessons.is_none());
}

/// A swing of the student's own has the student's size, whatever its recording says of it.
#[test]
fn own_swings_are_references_unscaled() {
    let (mut session, mut job) = two_lessons();
    for file in &mut job.files {
        if file.slot == Slot::Earlier {
            file.corrections.stature = Some(1.5);
            file.slot = Slot::Own;
        }
    }
    let answer = json(&session.compare(&job));
    let references = answer["comparison"]["references"].as_array().unwrap();
    let own: Vec<f64> =
        references.iter().filter(|one| one["id"] != 3).map(|one| one["factor"].as_f64().unwrap()).collect();
    assert_eq!(own, [1.0; 5]);
    assert!((references.last().unwrap()["factor"].as_f64().unwrap() - 1.0).abs() > 0.01);
    assert!(references.iter().all(|one| one["measures"].as_array().unwrap().len() > 20));
}

/// Which band is drawn, and of which references: two of the eight are unlike the student.
#[test]
fn the_band_says_what_it_is() {
    let (mut session, mut job) = given();
    job.files = vec![iron(7, Slot::Student, "student")];
    for (id, name) in (20..).zip(["a.c3d", "b.trc", "c.bvh", "d.csv", "e.c3d", "f.trc", "g.bvh", "h.csv"]) {
        session.put(id, bytes(&format!("reference-{name}")));
        job.files.push(iron(id, Slot::Reference, name));
    }
    let whole = session.band(&job).unwrap();
    assert_eq!((whole.swings, whole.unlike, whole.pointwise), (8, 2, false));
    job.band.kind = BandKind::Pointwise;
    let places = session.band(&job).unwrap();
    assert!(places.pointwise && places.mean == whole.mean && places.half.iter().sum::<f64>() < whole.half.iter().sum());
    job.files.pop();
    assert!(session.band(&job).is_none());
}

/// The table counts lateness from the instant before, the curve from the top: from there on one adds up to the other.
#[test]
fn lateness_adds_up_to_the_curve() {
    let (mut session, job) = given();
    let answer = session.compare(&job);
    let rows = json(&answer)["comparison"]["references"][0]["at_instants"].clone();
    let rows = rows.as_array().unwrap();
    let top = rows.iter().position(|row| row["name"] == "top").unwrap();
    let (picture, mut late_s, mut seen) = (answer.picture.unwrap(), 0.0, 0);
    for row in &rows[top + 1..] {
        late_s += row["lateness_s"].as_f64().unwrap();
        let state = ViewState { time: row["time_s"].as_f64().unwrap(), ..ViewState::default() };
        // The curve goes straight from sample to sample, 5 ms apart, also across the kink at an instant.
        let curve = Plot::new(&picture, &state, Quantity::Lateness, None).reading();
        if let [(_, late_ms)] = curve[..] {
            assert!((late_ms - 1000.0 * late_s).abs() < 2.5, "{}: {late_ms} ms, {late_s} s", row["name"]);
            seen += 1;
        }
    }
    assert!(seen > 3, "{seen} instants");
}
