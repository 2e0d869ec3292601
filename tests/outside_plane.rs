//! The plane fit against numpy's singular value decomposition; versions stand in the vector file, which
//! `tests/reference/make.py` remakes.

#![allow(clippy::unwrap_used)]

use handpath::measure::fit_plane;
use serde_json::Value;

#[test]
fn planes_are_those_of_numpy() {
    let path = format!("{}/tests/reference/vectors/plane.json", env!("CARGO_MANIFEST_DIR"));
    let file: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let cases = file["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 7);
    for case in cases {
        let points: Vec<[f64; 3]> = serde_json::from_value(case["points"].clone()).unwrap();
        let vector = |name: &str| -> [f64; 3] { serde_json::from_value(case[name].clone()).unwrap() };
        let plane = fit_plane(&points).unwrap();
        let off = |a: [f64; 3], b: [f64; 3]| (0..3).map(|c| (a[c] - b[c]).abs()).fold(0.0, f64::max);
        // The scatter matrix squares the condition of the problem: half the digits of a double are left, and more.
        assert!(off(plane.normal, vector("normal")) < 1e-7, "{plane:?}");
        assert!(off(plane.centre, vector("centre")) < 1e-10, "{plane:?}");
        assert!((plane.rms_m - case["rms"].as_f64().unwrap()).abs() < 1e-8, "{plane:?}");
    }
}

#[test]
fn no_plane_through_two_points_a_line_or_a_gap() {
    let line: Vec<[f64; 3]> = (0..9).map(|k| [f64::from(k), 2.0 * f64::from(k), 1.0]).collect();
    assert_eq!(fit_plane(&line), None);
    assert_eq!(fit_plane(&[[0.0; 3], [1.0, 0.0, 0.0]]), None);
    assert_eq!(fit_plane(&[[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [f64::NAN; 3]]), None);
    assert_eq!(fit_plane(&[]), None);
}
