//! The first draft of a story says what the answer says, at places that the answer has.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod demo_session;

use demo_session::{bytes, file, given, json};
use handpath::plain::{Given, Read};
use handpath::session::{Answer, Facts, Job, Session, Slot, Step, draft};
use handpath::swing::InstantName;

fn at(answer: &Answer, name: InstantName) -> f64 {
    let shown = answer.files.iter().find(|file| Some(file.id) == answer.shown).unwrap();
    shown.report.swing.instants.iter().find(|instant| instant.name == name).unwrap().time_s
}

fn story(session: &mut Session, job: &Job) -> Vec<Step> {
    Facts::of(&session.compare(job)).map_or(vec![], |facts| draft(&facts))
}

fn keys(step: &Step) -> Vec<&str> {
    step.say.cm.iter().map(|message| message.key).collect()
}

#[test]
fn a_draft_leads_from_the_swing_to_what_to_copy() {
    let (mut session, job) = given();
    let answer = session.compare(&job);
    let steps = story(&mut session, &job);
    let views: Vec<&str> = steps.iter().map(|step| step.view).collect();
    assert_eq!(views, ["down-the-line", "overhead", "overhead", "down-the-line", "down-the-line", "overhead"]);
    assert!(steps.iter().all(|step| (step.swing, step.against) == (7, Some(3))));
    let [top, level, impact] =
        [InstantName::Top, InstantName::LeadArmLevel, InstantName::Impact].map(|name| at(&answer, name));
    assert!((steps[1].time - top).abs() < 1e-12 && steps[1].play.is_none());
    let early = steps[2].play.unwrap();
    assert_eq!((early.from, early.to, steps[2].time), (top, level, level));
    assert_eq!(steps[2].lit, steps[2].play);
    assert!(steps[4].arms && (steps[5].time - impact).abs() < 1e-12);
    // The words are those of the reading above the picture, none left out and none said twice.
    assert_eq!((steps[2].reading, steps[4].reading), ([0, 1], [1, answer.readings.inch.len()]));
    assert!(answer.readings.cm.len() > 1);
    assert_eq!(keys(&steps[5]), ["story.copy"]);
    let said: Vec<String> = steps.iter().flat_map(|step| &step.say.cm).map(ToString::to_string).collect();
    assert!(said.iter().all(|text| text.contains(' ') && !text.contains('{')), "{said:?}");
}

/// What a page gives for a draft, as it stands in the answer, leads to the same one.
#[test]
fn the_page_and_the_core_draft_the_same() {
    let (mut session, job) = given();
    let answer = session.compare(&job);
    let told = json(&answer);
    let report = &told["files"][0]["report"];
    let side = report["measures"]
        .as_array()
        .unwrap()
        .iter()
        .find(|m| m["name"].as_str().unwrap().contains("line, at hip"))
        .unwrap();
    let keys: Vec<&str> =
        told["readings"]["cm"].as_array().unwrap().iter().map(|m| m["key"].as_str().unwrap()).collect();
    let page = serde_json::json!({
        "swing": 7, "student": "student", "against": 3, "reference": "reference",
        "instants": report["instants"], "side": side["value"], "reading": keys
    });
    let page = Facts::read(&serde_json::from_value::<Given>(page).unwrap()).unwrap();
    let both = [page, Facts::of(&answer).unwrap()].map(|facts| serde_json::to_value(draft(&facts)).unwrap());
    assert_eq!(both[0], both[1]);
}

/// The side of the direct line in the sentence is that of the measure, in either unit.
#[test]
fn the_direct_line_is_told_as_measured() {
    let (mut session, job) = given();
    let answer = session.compare(&job);
    let measures = &answer.files[0].report.swing.measures;
    let side = measures.iter().find(|measure| measure.name == "side of the direct line, at hip height").unwrap();
    let side = side.value.unwrap();
    let step = &draft(&Facts::of(&answer).unwrap())[3];
    assert_eq!(keys(step), [if side > 0.0 { "story.line_inside" } else { "story.line_beyond" }]);
    let [cm, inch] = [&step.say.cm, &step.say.inch].map(|say| say[0].to_string());
    assert!(cm.contains(&format!("{:.0} cm", 100.0 * side.abs())), "{cm} for {side}");
    assert!(inch.contains(&format!("{:.1}″", side.abs() / 0.0254)), "{inch} for {side}");
}

#[test]
fn without_a_reference_nothing_is_copied_and_without_a_student_nothing_is_told() {
    let mut session = Session::default();
    session.put(1, bytes("student-1-1.c3d"));
    let alone = Job { files: vec![file(1, Slot::Student, "student")], ..Job::default() };
    let steps = story(&mut session, &alone);
    assert_eq!(keys(&steps[0]), ["story.whole_alone"]);
    assert!(steps.iter().all(|step| step.against.is_none() && keys(step) != ["story.copy"]));
    assert!(story(&mut session, &Job::default()).is_empty());
}

/// A reference as the student: it goes out no farther than itself.
#[test]
fn who_goes_out_no_farther_is_told_to_keep_it() {
    let mut session = Session::default();
    session.put(1, bytes("reference-b.trc"));
    session.put(2, bytes("reference-b.trc"));
    let files = vec![file(1, Slot::Student, "student"), file(2, Slot::Reference, "reference")];
    let steps = story(&mut session, &Job { files, ..Job::default() });
    assert_eq!(keys(steps.last().unwrap()), ["story.keep"]);
}
