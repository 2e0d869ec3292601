//! BVH against bvhio; versions and files stand in the vector file, which `tests/reference/make.py` remakes.
#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout, clippy::float_cmp)]

use handpath::formats::{ReadOptions, read};
use serde_json::Value;

/// bvhio computes in single precision, along a chain of up to eight joints and over lengths of about a hundred.
const TOLERANCE: f64 = 2e-4;

#[test]
fn joints_are_where_bvhio_puts_them() {
    let path = format!("{}/tests/reference/vectors/bvh.json", env!("CARGO_MANIFEST_DIR"));
    let file: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let mut compared = 0;
    for case in file["cases"].as_array().unwrap() {
        let name = case["name"].as_str().unwrap();
        let recording = read(case["text"].as_str().unwrap().as_bytes(), &ReadOptions::default()).unwrap();
        for (joint, theirs) in case["points"].as_object().unwrap() {
            let ours = &recording.track(joint).unwrap_or_else(|| panic!("{name}: {joint}")).points;
            let theirs: Vec<[f64; 3]> = serde_json::from_value(theirs.clone()).unwrap();
            assert_eq!(ours.len(), theirs.len(), "{name}: {joint}");
            for (a, b) in ours.iter().zip(&theirs) {
                let off = (0..3).map(|axis| (a[axis] - b[axis]).abs()).fold(0.0, f64::max);
                assert!(off < TOLERANCE, "{name}: {joint} at {a:?}, bvhio {b:?}");
                compared += 1;
            }
        }
    }
    assert!(compared > 100, "{compared} points compared");
}
