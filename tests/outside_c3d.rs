//! C3D against ezc3d and c3d (py-c3d), on files that are made byte by byte; versions and files stand in the vector file,
//! which `tests/reference/make.py` remakes.
#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, clippy::float_cmp)]

use handpath::formats::{ReadOptions, Recording, is_gap, read};
use serde_json::Value;

/// Files of words: py-c3d multiplies in single precision. Floats have to be equal.
const WORDS_RELATIVE: f64 = 1e-7;

fn bytes(case: &Value) -> Vec<u8> {
    let chunk = |chunk: &Value| {
        let hex = chunk[0].as_str().unwrap().as_bytes();
        let digit = |at: usize| (hex[at] as char).to_digit(16).unwrap() as u8;
        let bytes: Vec<u8> = (0..hex.len() / 2).map(|at| digit(2 * at) << 4 | digit(2 * at + 1)).collect();
        bytes.repeat(chunk[1].as_u64().unwrap() as usize)
    };
    case["file"].as_array().unwrap().iter().flat_map(chunk).collect()
}

fn cases() -> Vec<(String, Value, Recording)> {
    let path = format!("{}/tests/reference/vectors/c3d.json", env!("CARGO_MANIFEST_DIR"));
    let file: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let ours = |case: &Value| {
        let name = case["name"].as_str().unwrap().to_owned();
        let recording = read(&bytes(case), &ReadOptions::default()).unwrap_or_else(|error| panic!("{name}: {error}"));
        (name, case.clone(), recording)
    };
    file["cases"].as_array().unwrap().iter().map(ours).collect()
}

/// Points of a reader, per row and marker; a gap is three nulls.
fn points(rows: &Value) -> Vec<Vec<[Option<f64>; 3]>> {
    serde_json::from_value(rows.clone()).unwrap()
}

#[test]
fn points_gaps_names_and_rates_are_those_of_ezc3d_and_c3d() {
    let mut compared = 0;
    for (name, case, ours) in cases() {
        assert!(ours.warnings.is_empty(), "{name}: {:?}", ours.warnings);
        for (reader, theirs) in case["readers"].as_object().unwrap() {
            let what = format!("{name}, {reader}");
            let frames = theirs["frames"].as_u64().unwrap() as usize;
            assert_eq!(ours.rows(), frames, "{what}");
            assert_eq!(ours.rate_hz, theirs["rate_hz"].as_f64(), "{what}");
            let clock = (theirs["first_frame"].as_f64().unwrap() - 1.0) / ours.rate_hz.unwrap();
            assert!((ours.clock_s[0] - clock).abs() < 1e-12, "{what}");
            let labels: Vec<&str> = ours.tracks.iter().take(255).map(|track| track.name.as_str()).collect();
            assert_eq!(serde_json::json!(labels), theirs["labels"], "{what}");
            let missing = ours.tracks.iter().map(|track| ours.rows() - track.present()).sum::<usize>();
            assert_eq!(missing as u64, theirs["missing"].as_u64().unwrap(), "{what}");
            let rows: Vec<usize> = serde_json::from_value(case["rows"].clone()).unwrap_or((0..frames).collect());
            for (row, theirs) in rows.into_iter().zip(points(&theirs["points"])) {
                assert_eq!(theirs.len(), ours.tracks.len(), "{what}");
                for (track, theirs) in ours.tracks.iter().zip(theirs) {
                    same_point(&format!("{what}, row {row}, {}", track.name), track.points[row], theirs);
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 1500, "{compared} points compared");
}

#[track_caller]
fn same_point(what: &str, ours: [f64; 3], theirs: [Option<f64>; 3]) {
    let [Some(x), Some(y), Some(z)] = theirs else {
        assert!(is_gap(&ours), "{what}: {ours:?}, missing there");
        return;
    };
    for (a, b) in ours.into_iter().zip([x, y, z]) {
        let words = what.contains("integers") || what.contains("frames");
        let tolerance = if words { WORDS_RELATIVE * b.abs() } else { 0.0 };
        assert!((a - b).abs() <= tolerance, "{what}: {a}, {b} there");
    }
}

#[test]
fn names_beyond_255_and_events_that_the_script_wrote() {
    for (name, _, ours) in cases() {
        let events: Vec<(&str, f64)> = ours.events.iter().map(|event| (event.label.as_str(), event.clock_s)).collect();
        match name.as_str() {
            "300 names in LABELS and LABELS2" => {
                let names: Vec<&str> = ours.tracks.iter().map(|track| track.name.as_str()).collect();
                let expected: Vec<String> = (1..=300).map(|index| format!("P{index}")).collect();
                assert_eq!(names, expected);
            }
            "EVENT group" => assert_eq!(events, [("Right Foot Strike", 2.25), ("Impact", 61.5)]),
            "header events" => assert_eq!(events, [("TOP", 0.015625), ("IMP", 0.03125)]),
            _ => assert_eq!(events, []),
        }
    }
}
