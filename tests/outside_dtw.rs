//! Time warping against dtaidistance and dtw-python, from stored vectors (tests/reference/topics/dtw.py).

#![allow(clippy::unwrap_used)]

use handpath::align::{Cells, LocalCost, StepPattern, Warping, warp};
use serde_json::Value;

/// The libraries add the same numbers in another order.
const TOLERANCE: f64 = 1e-9;

fn vectors() -> Vec<Value> {
    let text = include_str!("reference/vectors/dtw.json");
    let vectors: Value = serde_json::from_str(text).unwrap();
    vectors["cases"].as_array().unwrap().clone()
}

fn points(value: &Value) -> Vec<[f64; 3]> {
    serde_json::from_value(value.clone()).unwrap()
}

fn step(result: &Value) -> StepPattern {
    serde_json::from_value(result["step"].clone()).unwrap()
}

fn local_cost(result: &Value) -> LocalCost {
    serde_json::from_value(result["local"].clone()).unwrap()
}

fn agrees(found: &Warping, result: &Value) {
    let cost = if result["rooted"].as_bool().unwrap() { found.cost.sqrt() } else { found.cost };
    let expected = result["distance"].as_f64().unwrap();
    assert!((cost - expected).abs() <= TOLERANCE * expected, "{cost} instead of {expected}: {result}");
    if let Some(expected) = result["normalised"].as_f64().filter(|_| step(result).normalisable()) {
        let normalised = found.normalised.unwrap();
        assert!((normalised - expected).abs() <= TOLERANCE * expected, "{normalised} instead of {expected}: {result}");
    }
    // The curves are random, so that no two paths cost the same.
    let path: Vec<(usize, usize)> = serde_json::from_value(result["path"].clone()).unwrap();
    assert_eq!(found.path, path, "{result}");
}

#[test]
fn closed_warping_agrees_in_cost_and_path() {
    let mut compared = 0;
    for case in vectors() {
        let (a, b) = (points(&case["a"]), points(&case["b"]));
        for result in case["results"].as_array().unwrap().iter().filter(|result| result["open_end"] == false) {
            let band = result["band"].as_u64().map(|w| w as usize);
            agrees(&warp(&a, &b, local_cost(result), step(result), band).unwrap(), result);
            compared += 1;
        }
    }
    assert_eq!(compared, 88);
}

#[test]
fn an_open_end_agrees_in_cost_and_path() {
    let mut compared = 0;
    for case in vectors() {
        let (a, b) = (points(&case["a"]), points(&case["b"]));
        for result in case["results"].as_array().unwrap().iter().filter(|result| result["open_end"] == true) {
            // Both ends are open here; the first curve is the beginning of the second, so the open start is not used.
            let cells = Cells::of_points(&a, &b, local_cost(result), step(result)).unwrap();
            agrees(&cells.open_ends(0, b.len()).cheapest_per_weight().unwrap(), result);
            compared += 1;
        }
    }
    assert_eq!(compared, 2);
}
