//! The tables that are saved, read back by the `csv` crate.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo_session;

use demo_session::{given, json};
use handpath::session::Slot;
use std::collections::BTreeMap;

/// Rows of a table by its head, as the `csv` crate reads them (RFC 4180).
fn table(text: &str) -> Vec<BTreeMap<String, String>> {
    assert!(text.ends_with("\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']), "{text:?}");
    csv::Reader::from_reader(text.as_bytes()).deserialize().map(Result::unwrap).collect()
}

/// What is read back is what the answer holds, to the last of six decimals.
fn same(field: &str, number: Option<f64>) {
    match number {
        Some(number) => assert!((field.parse::<f64>().unwrap() - number).abs() <= 0.5e-6, "{field} for {number}"),
        None => assert_eq!(field, ""),
    }
}

#[test]
fn measures_are_read_back_as_they_are_shown() {
    let (mut session, mut job) = given();
    job.files[1].label = "reference \"B\", 2".into();
    let rows = table(&session.measures_csv(&job));
    let answer = session.compare(&job);
    let of = |what: &str| rows.iter().filter(|row| row["what"] == what).collect::<Vec<_>>();
    let student = &answer.files[0].report.swing.measures;
    assert_eq!(of("student").len(), student.len());
    assert!(student.iter().filter(|measure| measure.low_90.is_some()).count() > 20, "hardly anything is measured");
    for (row, measure) in of("student").iter().zip(student) {
        assert_eq!((&row["measure"][..], &row["unit"][..]), (measure.name, measure.unit));
        same(&row["value"], measure.value);
        same(&row["low_90"], measure.low_90);
        same(&row["high_90"], measure.high_90);
    }
    let reference = &json(&answer)["comparison"]["references"][0];
    let shown = reference["at_size"].as_array().unwrap();
    assert_eq!(of("reference").iter().filter(|row| !row["value"].is_empty()).count(), shown.len());
    for measure in shown {
        let row = of("reference").into_iter().find(|row| row["measure"] == measure["name"].as_str().unwrap()).unwrap();
        assert_eq!(row["swing"], "reference \"B\", 2");
        same(&row["value"], measure["value"].as_f64());
    }
    let differences = reference["measures"].as_array().unwrap();
    assert!(!differences.is_empty() && of("difference").len() == differences.len());
    for (row, measure) in of("difference").iter().zip(differences) {
        assert_eq!(row["measure"], measure["name"].as_str().unwrap());
        assert_eq!((&row["swing"][..], &row["against"][..]), ("student", "reference \"B\", 2"));
        same(&row["value"], measure["value"].as_f64());
        same(&row["low_90"], measure["low_90"].as_f64());
    }
}

#[test]
fn paths_are_read_back_as_they_are_drawn() {
    let (mut session, job) = given();
    let rows = table(&session.paths_csv(&job));
    let answer = session.compare(&job);
    let picture = answer.picture.as_ref().unwrap();
    let (student, reference) = (&picture.student, &picture.references[0]);
    let (from, to) = student.span();
    let drawn = student.time_s.iter().filter(|time_s| (from..=to).contains(*time_s)).count();
    assert!((drawn..=drawn + 2).contains(&rows.len()), "{} rows for {drawn} samples", rows.len());
    let first =
        student.time_s.iter().position(|t| (t - rows[0]["student_time_s"].parse::<f64>().unwrap()).abs() < 1e-6);
    let point = |row: &BTreeMap<String, String>, what: &str| {
        ["out", "target", "up"].map(|axis| row[&format!("{what}_{axis}_m")].parse::<f64>().unwrap_or(f64::NAN))
    };
    let mut matched = 0;
    for (row, i) in rows.iter().zip(first.unwrap()..) {
        assert_eq!((&row["student"][..], &row["reference"][..]), ("student", "reference"));
        same(&row["student_time_s"], Some(student.time_s[i]));
        let [ours, theirs, deviation] = ["student", "reference", "deviation"].map(|what| point(row, what));
        let hands = &student.hands[3 * i..3 * i + 3];
        assert!((0..3).all(|axis| (ours[axis] - hands[axis]).abs() <= 0.5e-6));
        let Ok(there_s) = row["reference_time_s"].parse::<f64>() else { continue };
        same(&row["reference_time_s"], Some(reference.matched_s[i]));
        let place = reference.at(&reference.hands, there_s);
        // The hands move up to 10 m/s, and the time is rounded to a microsecond.
        assert!((0..3).all(|axis| (theirs[axis] - place[axis]).abs() < 2e-5));
        assert!((0..3).all(|axis| (ours[axis] - theirs[axis] - deviation[axis]).abs() < 2e-6));
        matched += 1;
    }
    assert!(matched > 50, "{matched} rows are matched");
}

/// At an instant both stand at their own: the deviation is that of the page's table, but for the way within one sample.
#[test]
fn paths_name_the_instants_and_their_deviations() {
    let (mut session, job) = given();
    let rows = table(&session.paths_csv(&job));
    let answer = json(&session.compare(&job));
    let shown = answer["comparison"]["references"][0]["at_instants"].as_array().unwrap();
    for instant in shown.iter().filter(|at| ["top", "lead arm level"].contains(&at["name"].as_str().unwrap())) {
        let row = rows.iter().find(|row| row["instant"] == instant["name"].as_str().unwrap()).unwrap();
        let out_m = row["deviation_out_m"].parse::<f64>().unwrap();
        assert!((out_m - instant["out_m"].as_f64().unwrap()).abs() < 0.01, "{out_m} for {instant}");
    }
    assert_eq!(rows.iter().filter(|row| !row["instant"].is_empty()).count(), 8);
}

#[test]
fn tables_without_a_reference_or_a_student_still_have_their_head() {
    let (mut session, mut job) = given();
    job.files.truncate(1);
    let rows = table(&session.paths_csv(&job));
    assert!(rows.len() > 100 && rows.iter().all(|row| row["reference"].is_empty() && row["deviation_up_m"].is_empty()));
    assert!(table(&session.measures_csv(&job)).iter().all(|row| row["what"] == "student"));
    job.files[0].slot = Slot::Earlier;
    assert!(table(&session.measures_csv(&job)).iter().all(|row| row["what"] == "earlier"));
    job.files.clear();
    assert!(session.paths_csv(&job).starts_with("student,reference,instant,student_time_s,"));
    assert_eq!(session.measures_csv(&job), "swing,what,against,measure,unit,value,low_90,high_90\r\n");
}
