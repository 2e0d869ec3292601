//! Quantiles and intervals against scipy, from stored vectors (tests/reference/topics/quantiles.py).

#![allow(clippy::unwrap_used, clippy::panic)]

use handpath::sets::{chi_square_quantile, sd_factors, t_quantile, wilson};
use serde_json::Value;

/// Relative; Lanczos' approximation and the libraries' own are good to about 1e-13.
const TOLERANCE: f64 = 1e-10;

fn near(found: f64, expected: f64, what: &Value) {
    assert!((found - expected).abs() <= TOLERANCE * (1.0 + expected.abs()), "{found} instead of {expected}: {what}");
}

#[test]
fn quantiles_and_intervals_agree() {
    let vectors: Value = serde_json::from_str(include_str!("reference/vectors/quantiles.json")).unwrap();
    let cases = vectors["cases"].as_array().unwrap();
    for case in cases {
        let number = |name: &str| case[name].as_f64().unwrap();
        match case["of"].as_str().unwrap() {
            "t" => near(t_quantile(number("share"), number("freedom")), number("value"), case),
            "chi-square" => near(chi_square_quantile(number("share"), number("freedom")), number("value"), case),
            "wilson" => {
                let count = |name: &str| case[name].as_u64().unwrap() as usize;
                let found = wilson(count("hits"), count("trials"), number("confidence"));
                near(found.0, case["value"][0].as_f64().unwrap(), case);
                near(found.1, case["value"][1].as_f64().unwrap(), case);
            }
            other => panic!("{other}"),
        }
    }
    assert_eq!(cases.len(), 144);
}

/// Printed with three decimals by scipy: how well a standard deviation is known from 3, 5, 7, 10 and 20 swings.
#[test]
fn a_standard_deviation_from_five_swings_is_known_within_0_6_and_2_9() {
    let known = [(3, 0.521, 6.285), (5, 0.599, 2.874), (7, 0.644, 2.202), (10, 0.688, 1.826), (20, 0.760, 1.461)];
    for (count, low, high) in known {
        let found = sd_factors(count);
        assert!((found.0 - low).abs() < 6e-4 && (found.1 - high).abs() < 6e-4, "{count}: {found:?}");
    }
}
