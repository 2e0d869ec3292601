//! Filter and spline against scipy (`scipy.signal.butter`, `filtfilt`, `scipy.interpolate.CubicSpline`); versions and
//! inputs stand in the vector files, which `tests/reference/make.py` remakes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

use handpath::signal::{End, LowPass, Spline};
use serde_json::Value;

fn vectors(name: &str) -> Value {
    let path = format!("{}/tests/reference/vectors/{name}.json", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
}

fn assert_close(what: &str, ours: &[f64], theirs: &[f64], tolerance: f64) {
    assert_eq!(ours.len(), theirs.len(), "{what}");
    for (i, (a, b)) in ours.iter().zip(theirs).enumerate() {
        assert!((a - b).abs() <= tolerance * (1.0 + b.abs()), "{what} [{i}]: {a}, scipy {b}");
    }
}

#[test]
fn the_filter_is_scipys_filtfilt_at_the_corrected_cutoff() {
    let file = vectors("filter");
    for case in file["cases"].as_array().unwrap() {
        let (fc, fs) = (case["fc_hz"].as_f64().unwrap(), case["fs_hz"].as_f64().unwrap());
        let filter = LowPass::new(fc, fs).unwrap();
        let what = format!("{fc} Hz at {fs} Hz");
        let corrected = case["corrected_hz"].as_f64().unwrap();
        assert_close(&what, &[LowPass::corrected_hz(fc, fs)], &[corrected], 1e-12);
        let [b0, b1, b2, a1, a2] = filter.coefficients();
        assert_close(&what, &[b0, b1, b2], &numbers(&case["b"]), 1e-12);
        assert_close(&what, &[1.0, a1, a2], &numbers(&case["a"]), 1e-12);
        let x = numbers(&case["x"]);
        for with_pad in std::iter::once(case).chain(case["other_padlen"].as_array().unwrap()) {
            let pad = with_pad["padlen"].as_u64().unwrap() as usize;
            assert_close(&format!("{what}, pad {pad}"), &filter.both_passes(&x, pad), &numbers(&with_pad["y"]), 1e-10);
        }
    }
}

#[test]
fn the_splines_are_scipys_cubic_splines() {
    let file = vectors("spline");
    for case in file["cases"].as_array().unwrap() {
        let knots = numbers(&case["knots"]);
        let values: Vec<[f64; 3]> = numbers(&case["values"]).into_iter().map(|y| [y, -y, 0.0]).collect();
        for (end, name) in [(End::Natural, "natural"), (End::NotAKnot, "not_a_knot")] {
            let spline = Spline::fit(&knots, &values, end).unwrap();
            let at = numbers(&case["at"]);
            let ours = |f: &dyn Fn(f64) -> [f64; 3]| at.iter().map(|t| f(*t)[0]).collect::<Vec<f64>>();
            let what = format!("{name}, {} knots", knots.len());
            assert_close(&what, &ours(&|t| spline.value(t)), &numbers(&case[name]["value"]), 1e-9);
            assert_close(&what, &ours(&|t| spline.first(t)), &numbers(&case[name]["first"]), 1e-8);
            assert_close(&what, &ours(&|t| spline.second(t)), &numbers(&case[name]["second"]), 1e-7);
        }
    }
}
