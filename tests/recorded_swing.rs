//! The recorded swing of the shared data folder against values computed independently in numpy (see its README: CMU
//! Graphics Lab Motion Capture Database, subject 63, trial 01; scale 0.0254/0.45 m, address from the second file).
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

use handpath::formats::{ReadOptions, Recording, read};
use handpath::settings::Corrections;
use handpath::swing::{BodyPoint, InstantName, Swing, ThoraxFrame, analyse, shares};
use std::path::PathBuf;

fn shared(name: &str) -> Option<Recording> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared/data/golf").join(name);
    let bytes = std::fs::read(path).ok()?;
    Some(read(&bytes, &ReadOptions::default()).expect("the recorded swing is readable"))
}

fn swing(corrections: &Corrections, with_address: bool) -> Option<Swing> {
    let (Some(recording), Some(address)) = (shared("63_01_swing.bvh"), shared("63_01_address.bvh")) else {
        println!("skipped: no shared data");
        return None;
    };
    Some(analyse(&recording, with_address.then_some(&address), corrections).expect("a swing"))
}

fn near(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found}, expected {expected} within {tolerance}");
}

#[test]
fn instants_address_speed_and_displacement() {
    let stated = Corrections { scale: Some(0.0254 / 0.45), ..Corrections::default() };
    let Some(swing) = swing(&stated, true) else { return };
    let row = |name| swing.instant(name).unwrap_or_else(|| panic!("{name:?}: {:?}", swing.absent)).row.unwrap() as f64;
    let address = swing.hands_at_address.unwrap();
    for (axis, expected) in [0.151, 0.032, 0.817].into_iter().enumerate() {
        near("address", address[axis], expected, 0.03);
    }
    near("top", row(InstantName::Top), 113.5, 6.5);
    near("lead arm level", row(InstantName::LeadArmLevel), 162.0, 3.0);
    near("impact", row(InstantName::Impact), 186.0, 5.0);

    let speed: Vec<f64> = swing.hands.windows(3).map(|w| distance(&w[0], &w[2]) * 0.5 * swing.rate_hz).collect();
    let fastest = (0..speed.len()).max_by(|a, b| speed[*a].total_cmp(&speed[*b])).unwrap();
    near("peak speed", speed[fastest], 3.51, 0.25);
    near("row of the peak", fastest as f64 + 1.0, 179.0, 3.0);

    let (top, level) = (row(InstantName::Top) as usize, row(InstantName::LeadArmLevel) as usize);
    for (axis, expected) in [0.113, -0.057, -0.252].into_iter().enumerate() {
        near("top to lead arm level", swing.hands[level][axis] - swing.hands[top][axis], expected, 0.015);
    }
}

#[test]
fn shares_and_the_lead_arm() {
    let stated = Corrections { scale: Some(0.0254 / 0.45), ..Corrections::default() };
    let Some(swing) = swing(&stated, true) else { return };
    let time = |name| swing.instant(name).unwrap().time_s;
    let (top, level) = (time(InstantName::Top), time(InstantName::LeadArmLevel));
    let shares = shares(&swing, ThoraxFrame::ShoulderLine, top, level).unwrap();
    let expected = [
        ("arm", shares.arm, [-0.017, -0.061, -0.144]),
        ("body", shares.body, [0.129, 0.004, -0.108]),
        ("arms-only path", shares.arms_only, [-0.030, -0.082, -0.134]),
    ];
    for (what, found, expected) in expected {
        println!("{what}: {found:?}");
        (0..3).for_each(|axis| near(what, found[axis], expected[axis], 0.025));
    }
    let (from, to) =
        (swing.time_s.partition_point(|t| *t < top), swing.time_s.partition_point(|t| *t < time(InstantName::Impact)));
    let shoulder = &swing.body[&BodyPoint::LeadShoulder];
    let lengths = (from..to).map(|k| distance(&shoulder[k], &swing.hands[k]));
    near("lead arm length", handpath::signal::median(lengths).unwrap(), 0.511, 0.015);
}

#[test]
fn without_scale_and_address_both_are_assumed() {
    let Some(swing) = swing(&Corrections::default(), false) else { return };
    for what in ["size", "scale", "address"] {
        let guess = swing.guesses.iter().find(|guess| guess.what == what).unwrap();
        assert!(guess.source.starts_with("assumed"), "{guess:?}");
    }
}

fn distance(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    a.iter().zip(b).map(|(x, y)| (x - y).powi(2)).sum::<f64>().sqrt()
}

/// Sample files of the ezc3d project's test set: readable, and none of them golf.
#[test]
fn recordings_of_other_movements_hold_no_swing() {
    for name in ["BTS", "FP_Type1", "FP_Type3", "Optotrak", "read_NOTworking2"] {
        let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("../shared/data/c3d/{name}.c3d"));
        let Ok(bytes) = std::fs::read(path) else {
            println!("skipped: no shared data");
            return;
        };
        let recording = read(&bytes, &ReadOptions::default()).expect("readable");
        let error = analyse(&recording, None, &Corrections::default()).expect_err(name);
        println!("{name}: {error}");
    }
}
