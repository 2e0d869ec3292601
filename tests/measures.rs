//! Measures of model swings against the model's closed forms, and of the recorded swing against independent values.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

use handpath::formats::{ReadOptions, Recording, read};
use handpath::measure::{Drawer, Measure, measures};
use handpath::model::{Kind, ModelParams, Motion, SampleOptions, sample};
use handpath::settings::{Corrections, Hand};
use handpath::swing::{InstantName, Swing, analyse};
use nalgebra::Vector3;
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

/// The first measures of a model swing from its closed forms, in metres, seconds, degrees.
fn truth(params: &ModelParams) -> Vec<(&'static str, f64)> {
    let motion = Motion::new(params);
    let truth = motion.truth(0).unwrap();
    let at = |name: InstantName| truth.instants[&name];
    let (top_s, level_s, hip_s, impact_s) =
        (at(InstantName::Top), at(InstantName::LeadArmLevel), at(InstantName::HipHeight), at(InstantName::Impact));
    let top = motion.hands(top_s);
    let between = |from: f64, to: f64| (0..=2000).map(move |k| from + (to - from) * f64::from(k) / 2000.0);
    let drift: Vec<f64> = between(top_s, level_s).map(|t| motion.hands(t).x - top.x).collect();
    let shares = motion.shares(top_s, level_s);
    let direct = truth.ball - top;
    let normal = Vector3::new(direct.z, 0.0, -direct.x).normalize();
    let side = |t: f64| (motion.hands(t) - top).dot(&normal);
    let head = motion.club_head_velocity(impact_s);
    let elevation = |t: f64| motion.club_direction(t).z.asin().to_degrees();
    let max = |values: &[f64]| values.iter().copied().fold(f64::MIN, f64::max);
    vec![
        ("out drift, greatest", max(&drift)),
        ("out drift, least", -max(&drift.iter().map(|x| -x).collect::<Vec<_>>())),
        ("out drift, at lead arm level", drift[2000]),
        ("carried, out", shares.body.x),
        ("carried, target", shares.body.y),
        ("carried, up", shares.body.z),
        ("made, out", shares.arms.x),
        ("made, target", shares.arms.y),
        ("made, up", shares.arms.z),
        ("hands at top, out", top.x),
        ("hands at lead arm level, target", motion.hands(level_s).y),
        ("hands at hip height, up", motion.hands(hip_s).z),
        ("hands at impact, out", motion.hands(impact_s).x),
        ("depth at the top", truth.ball.x - top.x),
        ("side of the direct line, greatest", max(&between(top_s, hip_s).map(side).collect::<Vec<_>>())),
        ("side of the direct line, at hip height", side(hip_s)),
        ("arm start against turn", start_against_turn(&motion, impact_s)),
        ("shaft elevation, at top", elevation(top_s)),
        ("shaft elevation, at lead arm level", elevation(level_s)),
        ("shaft elevation, at hip height", elevation(hip_s)),
        ("shaft elevation, change to lead arm level", elevation(level_s) - elevation(top_s)),
        ("club path, at impact", head.x.atan2(head.y).to_degrees()),
        ("attack angle, at impact", head.z.atan2(head.x.hypot(head.y)).to_degrees()),
    ]
}

/// When the arms' own up share is 2 cm below its highest, minus when the thorax is 2 degrees past its most wound.
fn start_against_turn(motion: &Motion, impact_s: f64) -> f64 {
    let from_s = motion.times[0].down_s - 0.5;
    let steps = ((impact_s - from_s) / 0.0005) as usize;
    let (mut drop, mut turn) = (vec![0.0], vec![0.0]);
    for k in 0..steps {
        let t = from_s + (k as f64 + 0.5) * 0.0005;
        let rotation = motion.thorax_rotation(t);
        drop.push(drop[k] - (rotation * motion.hands_in_thorax_velocity(t)).z * 0.0005);
        turn.push(turn[k] + motion.thorax_spin(t).dot(&(rotation * Vector3::z())) * 0.0005);
    }
    let start = |values: &[f64], rise: f64| {
        let lowest = (0..values.len()).min_by(|a, b| values[*a].total_cmp(&values[*b])).unwrap();
        (lowest..values.len()).find(|k| values[*k] >= values[lowest] + rise).unwrap() as f64 * 0.0005
    };
    start(&drop, 0.02) - start(&turn, 2.0_f64.to_radians())
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
        for (name, exact) in truth(&params) {
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
