//! Barycenter averages against tslearn and dtaidistance, from stored vectors (tests/reference/topics/average.py).

#![allow(clippy::unwrap_used)]

use handpath::align::{BarycenterOptions, StepPattern, barycenter};
use serde_json::Value;

/// The libraries add the same numbers in another order.
const TOLERANCE: f64 = 1e-9;

fn points(value: &Value) -> Vec<[f64; 3]> {
    serde_json::from_value(value.clone()).unwrap()
}

#[test]
fn averages_agree_in_cost_and_place() {
    let vectors: Value = serde_json::from_str(include_str!("reference/vectors/average.json")).unwrap();
    let mut compared = 0;
    for case in vectors["cases"].as_array().unwrap() {
        let curves: Vec<Vec<[f64; 3]>> = case["curves"].as_array().unwrap().iter().map(points).collect();
        let options = BarycenterOptions {
            step: StepPattern::Symmetric1,
            hold_ends: false,
            most_rounds: case["rounds"].as_u64().unwrap() as usize,
            tolerance: 0.0,
            ..BarycenterOptions::default()
        };
        let found = barycenter(&points(&case["start"]), &curves, &options).unwrap();
        for result in case["results"].as_array().unwrap() {
            let cost = result["cost"].as_f64().unwrap();
            assert!(
                (found.cost - cost).abs() <= TOLERANCE * cost,
                "{}: {} instead of {cost}",
                result["by"],
                found.cost
            );
            let average = points(&result["average"]);
            assert_eq!(average.len(), found.points.len());
            let near = |(a, b): (&[f64; 3], &[f64; 3])| (0..3).all(|axis| (a[axis] - b[axis]).abs() <= TOLERANCE);
            assert!(average.iter().zip(&found.points).all(near), "{} after {} rounds", result["by"], found.rounds);
            compared += 1;
        }
    }
    assert_eq!(compared, 8);
}
