//! Rotations of BVH channels and the thorax frame against scipy and numpy; versions stand in the vector files, which
//! `tests/reference/make.py` remakes.

#![allow(clippy::unwrap_used)]

use handpath::body::Thorax;
use handpath::formats::{ReadOptions, read};
use serde_json::Value;

/// All in double precision; only the order of additions differs.
const TOLERANCE: f64 = 1e-12;

type Rows = [[f64; 3]; 3];

fn cases(name: &str) -> Vec<Value> {
    let path = format!("{}/tests/reference/vectors/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let file: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    file["cases"].as_array().unwrap().clone()
}

fn vector(value: &Value) -> [f64; 3] {
    serde_json::from_value(value.clone()).unwrap()
}

fn close(found: &[f64; 3], expected: &[f64; 3], tolerance: f64, what: &str) {
    let off = (0..3).map(|axis| (found[axis] - expected[axis]).abs()).fold(0.0, f64::max);
    assert!(off < tolerance, "{what}: {found:?} instead of {expected:?}");
}

/// The matrix rows of a BVH root rotated by `degrees` about the axes of `order`, read back from the ends of three unit
/// bones along its axes.
fn by_bvh(order: &str, degrees: &[f64; 3]) -> Rows {
    let channels: Vec<String> = order.chars().map(|axis| format!("{axis}rotation")).collect();
    let bone = |name: &str, offset: &str| {
        format!("JOINT {name} {{ OFFSET {offset} CHANNELS 0 End Site {{ OFFSET 0 0 0 }} }}\n")
    };
    let bones = bone("x", "1 0 0") + &bone("y", "0 1 0") + &bone("z", "0 0 1");
    let numbers = degrees.map(|x| format!("{x:?}")).join(" ");
    let text = format!(
        "HIERARCHY\nROOT root {{ OFFSET 0 0 0 CHANNELS 3 {}\n{bones}}}\nMOTION\nFrames: 2\nFrame Time: 0.01\n{numbers}\n{numbers}\n",
        channels.join(" ")
    );
    let recording = read(text.as_bytes(), &ReadOptions::default()).unwrap();
    let columns = ["x", "y", "z"].map(|name| recording.track(name).unwrap().points[1]);
    [0, 1, 2].map(|row| [0, 1, 2].map(|column: usize| columns[column][row]))
}

#[test]
fn bvh_channels_turn_as_scipy_does() {
    let cases = cases("rotation");
    for case in &cases {
        let (order, degrees) = (case["order"].as_str().unwrap(), vector(&case["degrees"]));
        let rows: Rows = serde_json::from_value(case["rows"].clone()).unwrap();
        for (found, expected) in by_bvh(order, &degrees).iter().zip(&rows) {
            close(found, expected, TOLERANCE, order);
        }
    }
    assert_eq!(cases.len(), 36);
}

#[test]
fn bvh_channels_turn_as_computed_by_hand() {
    // Z 90, X 90: ex to (0,1,0), ey to (0,0,1), ez to (1,0,0).
    let quarter: Rows = [[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]];
    let general: Rows =
        [[0.310468, -0.383022, 0.870002], [0.747828, 0.663414, 0.025201], [-0.586824, 0.642788, 0.492404]];
    for (degrees, rows) in [([90.0, 90.0, 0.0], quarter), ([30.0, 40.0, 50.0], general)] {
        for (found, expected) in by_bvh("ZXY", &degrees).iter().zip(&rows) {
            close(found, expected, 1e-6, "ZXY");
        }
    }
}

fn thorax(case: &Value) -> (Rows, [f64; 3]) {
    let [ij, c7, px, t8] = ["IJ", "C7", "PX", "T8"].map(|name| vector(&case[name]));
    let thorax = Thorax::isb(&ij, &c7, &px, &t8).unwrap();
    let axes = [0, 1, 2].map(|column| [0, 1, 2].map(|row| thorax.axes[(row, column)]));
    (axes, thorax.origin.into())
}

#[test]
fn thorax_frames_are_those_of_the_definition() {
    let cases = cases("thorax");
    for case in &cases {
        let (axes, origin) = thorax(case);
        for (found, name) in axes.iter().zip(["x", "y", "z"]) {
            close(found, &vector(&case[name]), TOLERANCE, name);
        }
        close(&origin, &vector(&case["origin"]), TOLERANCE, "origin");
    }
    assert_eq!(cases.len(), 8);
}

#[test]
fn thorax_frames_are_those_computed_by_hand() {
    // X forward, Y up, Z right; then the same body turned by 30 degrees about Y.
    let upright = [[0.998868, 0.047565, 0.0], [-0.047565, 0.998868, 0.0], [0.0, 0.0, 1.0]];
    let turned = [[0.865045, 0.047565, -0.499434], [-0.041192, 0.998868, 0.023783], [0.5, 0.0, 0.866025]];
    for (case, expected) in cases("thorax").iter().zip([upright, turned]) {
        for (found, expected) in thorax(case).0.iter().zip(&expected) {
            close(found, expected, 1e-6, "axis");
        }
    }
}
