//! Measures of model swings against the model's closed forms, and of the recorded swing against independent values.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

mod truth;

use handpath::formats::{ReadOptions, Recording, read};
use handpath::measure::{Drawer, Measure, measures};
use handpath::model::{Kind, ModelParams, Motion, SampleOptions, sample};
use handpath::settings::{Corrections, Hand};
use handpath::swing::{Swing, analyse};
use std::path::PathBuf;

/// Analysed without noise and filter: only sampling stands between measure and model.
fn unfiltered(params: &ModelParams, rate_hz: f64) -> Swing {
    let recording =
        sample(&Motion::new(params), params, &SampleOptions { rate_hz, ..SampleOptions::default() }).unwrap();
    analyse(&recording, None, &Corrections { cutoff: Some(1e6), ..Corrections::default() }).unwrap()
}

fn value(list: &[Measure], name: &str) -> f64 {
    let found = list.iter().find(|measure| measure.name == name).unwrap_or_else(|| panic!("no measure {name}"));
    found.value.unwrap_or_else(|| panic!("{name}: {:?}", found.absent))
}

fn near(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found}, expected {expected} within {tolerance}");
}

/// What sampling at 240 Hz may cost: instants a millisecond, places a few millimetres where the hands are fast.
fn tolerance(measure: &Measure) -> f64 {
    match measure.unit {
        "m" => 0.004,
        "s" => 0.003,
        _ => 1.0,
    }
}

#[test]
fn without_noise_the_first_measures_are_the_models() {
    let mut players: Vec<ModelParams> = [Kind::ArmDriven, Kind::BodyCarried, Kind::Lunge].map(Kind::params).into();
    players.push(ModelParams { hand: Hand::Left, ..ModelParams::default() });
    for params in players {
        let list = measures(&unfiltered(&params, 240.0));
        for (name, exact) in truth::first_measures(&params) {
            let measure = list.iter().find(|measure| measure.name == name).unwrap();
            assert_eq!(measure.drawer, Drawer::First);
            println!("{name}: {:?}, exact {exact}", measure.value);
            near(name, value(&list, name), exact, tolerance(measure));
        }
    }
}

#[test]
fn a_pause_and_a_pump_can_be_measured() {
    for kind in [Kind::Pause, Kind::Pump, Kind::Drill] {
        let params = kind.params();
        let list = measures(&unfiltered(&params, 240.0));
        let missing: Vec<_> = list.iter().filter(|measure| measure.value.is_none()).collect();
        assert!(missing.is_empty(), "{kind:?}: {missing:?}");
    }
}

fn shared(name: &str) -> Option<Recording> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared/data/golf").join(name);
    let bytes = std::fs::read(path).ok()?;
    Some(read(&bytes, &ReadOptions::default()).expect("the recorded swing is readable"))
}

/// Values computed independently in numpy (see the README of that data; scale 0.0254/0.45 m, address from the second
/// file).
#[test]
fn the_recorded_swing() {
    let (Some(recording), Some(address)) = (shared("63_01_swing.bvh"), shared("63_01_address.bvh")) else {
        println!("skipped: no shared data");
        return;
    };
    let stated = Corrections { scale: Some(0.0254 / 0.45), ..Corrections::default() };
    let list = measures(&analyse(&recording, Some(&address), &stated).unwrap());
    for measure in &list {
        println!("{} = {:?} {} {:?}", measure.name, measure.value, measure.unit, measure.absent.as_ref());
    }
    near("out drift", value(&list, "out drift, greatest"), 0.113, 0.015);
    for (name, expected) in [
        ("made, out", -0.017),
        ("made, target", -0.061),
        ("made, up", -0.144),
        ("carried, out", 0.129),
        ("carried, target", 0.004),
        ("carried, up", -0.108),
    ] {
        near(name, value(&list, name), expected, 0.025);
    }
    near("peak hand speed", value(&list, "hand speed, peak"), 3.51, 0.25);
    let club = list.iter().find(|measure| measure.name == "club path, at impact").unwrap();
    assert_eq!(club.absent.as_ref().unwrap().to_string(), "The point club-head is not known.");
}
