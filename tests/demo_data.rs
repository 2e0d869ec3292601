//! The demo's files: made from the model, the same bytes every time, readable, and showing what their labels promise.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use handpath::formats::{ReadOptions, read};
use handpath::model::demo_files;
use handpath::settings::{Corrections, Hand};
use handpath::swing::{InstantName, Swing, SwingError, analyse};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("www/demo")
}

fn index() -> Vec<Value> {
    let text = std::fs::read_to_string(folder().join("index.json")).unwrap();
    serde_json::from_str::<Value>(&text).unwrap()["swings"].as_array().unwrap().clone()
}

/// All swings of the index by label, read and analysed with their corrections.
fn swings() -> BTreeMap<String, Result<Swing, SwingError>> {
    index()
        .iter()
        .map(|entry| {
            let bytes = std::fs::read(folder().join(entry["url"].as_str().unwrap())).unwrap();
            let recording = read(&bytes, &ReadOptions::default()).unwrap_or_else(|e| panic!("{}: {e}", entry["url"]));
            assert_eq!(serde_json::to_value(recording.format).unwrap(), entry["format"], "{}", entry["url"]);
            let corrections: Corrections = serde_json::from_value(entry["corrections"].clone()).unwrap();
            (entry["label"].as_str().unwrap().to_owned(), analyse(&recording, None, &corrections))
        })
        .collect()
}

#[test]
fn the_committed_files_are_what_the_model_makes() {
    let files = demo_files().unwrap();
    for file in &files {
        let committed = std::fs::read(folder().join(&file.name)).unwrap_or_default();
        assert!(committed == file.bytes, "www/demo/{} differs: run `cargo demo-data` and commit", file.name);
    }
    // The prepared answer has a test of its own.
    let expected: Vec<&str> = files.iter().map(|file| file.name.as_str()).chain(["opening.json"]).collect();
    for entry in std::fs::read_dir(folder()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(expected.contains(&name.as_str()), "www/demo/{name} is not a file of the demo");
    }
}

#[test]
fn the_files_are_small() {
    let size = |name: &str| std::fs::metadata(folder().join(name)).unwrap().len();
    let entries = index();
    let all: u64 = entries.iter().map(|entry| size(entry["url"].as_str().unwrap())).sum();
    let open: Vec<&Value> = entries.iter().filter(|entry| entry["open"] == true).collect();
    let opened: u64 = open.iter().map(|entry| size(entry["url"].as_str().unwrap())).sum();
    assert_eq!((entries.len(), open.len()), (18, 2));
    assert!(all < 2_500_000 && opened < 250_000, "{all} {opened}");
}

#[test]
fn every_file_holds_a_swing_with_all_instants() {
    for (label, swing) in swings() {
        let swing = swing.unwrap_or_else(|error| panic!("{label}: {error}"));
        let missing: Vec<&str> =
            InstantName::ALL.into_iter().filter(|n| swing.instant(*n).is_none()).map(InstantName::name).collect();
        assert!(missing.is_empty(), "{label}: no {missing:?}");
        assert_eq!(swing.hand, if label == "reference D" { Hand::Left } else { Hand::Right }, "{label}");
    }
}

/// Every file shows the wrist, so that one measure of size fits any pair: all factors to reference A are the ratio of
/// the model's statures.
#[test]
fn any_pair_of_files_compares_in_size() {
    let swings = swings();
    let size = |label: &str| swings[label].as_ref().unwrap().size;
    for (label, stature_m) in [
        ("student, lesson 1, swing 1", 1.74),
        ("student, lesson 2, swing 3", 1.74),
        ("reference B", 1.68),
        ("reference C", 1.88),
        ("reference D", 1.75),
        ("reference H", 1.78),
    ] {
        let (factor, by) = size("reference A").factor_for(&size(label)).unwrap();
        assert!((factor - 1.80 / stature_m).abs() < 0.005 && by == "lead arm bones", "{label}: {factor} {by}");
    }
}

/// Gain of the hands towards the ball line from the top to lead arm level, centimetres.
fn drift_cm(swing: &Swing) -> f64 {
    let place = |name| swing.hand_curve().position(swing.instant(name).unwrap().time_s).unwrap();
    100.0 * (place(InstantName::LeadArmLevel)[0] - place(InstantName::Top)[0])
}

#[test]
fn the_student_gains_less_towards_the_ball_in_the_second_lesson_and_the_references_least() {
    let mut by_group: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for (label, swing) in swings() {
        let group = ["student, lesson 1", "student, lesson 2", "reference"].into_iter().find(|g| label.starts_with(g));
        by_group.entry(group.unwrap()).or_default().push(drift_cm(&swing.unwrap()));
    }
    let least = |group: &str| by_group[group].iter().copied().fold(f64::MAX, f64::min);
    let most = |group: &str| by_group[group].iter().copied().fold(f64::MIN, f64::max);
    assert!(least("student, lesson 1") > most("student, lesson 2") + 5.0, "{by_group:?}");
    assert!(least("student, lesson 2") > most("reference") + 3.0, "{by_group:?}");
}
