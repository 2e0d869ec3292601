//! Shares of few and their differences against statsmodels, from stored vectors (tests/reference/topics/shares.py).

#![allow(clippy::unwrap_used, clippy::panic)]

use handpath::coach::intervals::{Share, difference};
use serde_json::Value;

/// Absolute; the quantile of the normal distribution behind both is good to about 1e-13.
const TOLERANCE: f64 = 1e-10;

fn near(found: [f64; 2], case: &Value) {
    for (found, expected) in found.iter().zip(case["value"].as_array().unwrap()) {
        assert!((found - expected.as_f64().unwrap()).abs() <= TOLERANCE, "{found} instead of {expected}: {case}");
    }
}

#[test]
fn shares_and_differences_agree() {
    let vectors: Value = serde_json::from_str(include_str!("reference/vectors/shares.json")).unwrap();
    let cases = vectors["cases"].as_array().unwrap();
    for case in cases {
        let share = |hits: &Value, trials: &Value| {
            Share::of(hits.as_u64().unwrap() as usize, trials.as_u64().unwrap() as usize).unwrap()
        };
        match case["of"].as_str().unwrap() {
            "wilson" => {
                let found = share(&case["hits"], &case["trials"]);
                near([found.low_90, found.high_90], case);
            }
            "newcombe" => {
                let [before, after] = ["before", "after"].map(|name| share(&case[name][0], &case[name][1]));
                let found = difference(&before, &after);
                near([found.low_90, found.high_90], case);
                assert_eq!(found.shown, found.low_90 > 0.0 || found.high_90 < 0.0);
            }
            other => panic!("{other}"),
        }
    }
    assert_eq!(cases.len(), 90);
    assert_eq!(Share::of(0, 0), None);
}

/// Newcombe 1998, table II, first column, 56 of 70 against 48 of 80 (from memory): 0.0524 to 0.3339 at 95 %. Here the
/// confidence is 90 %, so that the interval lies within that one and holds 0.2.
#[test]
fn the_published_example_holds_the_narrower_interval() {
    let found = difference(&Share::of(48, 80).unwrap(), &Share::of(56, 70).unwrap());
    assert!(0.0524 < found.low_90 && found.high_90 < 0.3339, "{found:?}");
    assert!((found.value - 0.2).abs() < 1e-12 && found.shown);
}
