//! Arm and body shares against the closed forms of the forward model.

#![allow(clippy::unwrap_used, clippy::panic)]

use handpath::formats::Point;
use handpath::model::{ModelParams, Motion, SampleOptions, sample};
use handpath::settings::{Corrections, Hand};
use handpath::swing::{InstantName, Shares, Swing, ThoraxFrame, analyse, arms_only_path, shares};

/// Analysed without filter and noise, so that only sampling is between the shares and the truth.
fn unfiltered(params: &ModelParams, rate_hz: f64) -> (Swing, Motion) {
    let motion = Motion::new(params);
    let recording = sample(&motion, params, &SampleOptions { rate_hz, ..SampleOptions::default() }).unwrap();
    let corrections = Corrections { cutoff: Some(1e6), ..Corrections::default() };
    (analyse(&recording, None, &corrections).unwrap(), motion)
}

fn from_top(params: &ModelParams, rate_hz: f64) -> (Shares, handpath::model::Shares) {
    let (swing, motion) = unfiltered(params, rate_hz);
    let truth = motion.truth(0).unwrap();
    let (top, level) = (truth.instants[&InstantName::Top], truth.instants[&InstantName::LeadArmLevel]);
    let ours = shares(&swing, ThoraxFrame::ShoulderLine, top, level).unwrap();
    (ours, motion.shares(top, level))
}

fn apart(a: Point, b: impl Into<Point>) -> f64 {
    let b: Point = b.into();
    (0..3).map(|c| (a[c] - b[c]).powi(2)).sum::<f64>().sqrt()
}

fn players() -> Vec<ModelParams> {
    vec![
        ModelParams::default(),
        ModelParams { hand: Hand::Left, throw_m: 0.08, ..ModelParams::default() },
        ModelParams { lunge_m: 0.06, flat_deg: 10.0, stature_m: 1.6, ..ModelParams::default() },
    ]
}

fn parts(ours: &Shares, truth: &handpath::model::Shares) -> [f64; 5] {
    [
        apart(ours.arm, truth.arms),
        apart(ours.body, truth.body),
        apart(ours.shift, truth.shift),
        apart(ours.turn, truth.turn),
        apart(ours.tilt, truth.tilt),
    ]
}

#[test]
fn shares_are_the_models_within_a_millimetre_and_better_with_the_square_of_the_step() {
    for params in players() {
        let error = |rate_hz| {
            let (ours, truth) = from_top(&params, rate_hz);
            parts(&ours, &truth)
        };
        let (coarse, fine) = (error(120.0), error(480.0));
        assert!(coarse.iter().all(|e| *e < 0.001), "{params:?}: {coarse:?}");
        // A quarter of the step: a sixteenth of the error, or less than what the model's truth is good for.
        for (a, b) in coarse.iter().zip(&fine) {
            assert!(*b < a / 8.0 + 1e-6, "{params:?}: {coarse:?} {fine:?}");
        }
    }
}

#[test]
fn arm_and_body_sum_to_the_displacement() {
    for params in players() {
        let (ours, _) = from_top(&params, 240.0);
        let sum: Point = std::array::from_fn(|c| ours.arm[c] + ours.body[c]);
        assert!(apart(sum, ours.displacement) < 1e-12);
        let body: Point = std::array::from_fn(|c| ours.shift[c] + ours.turn[c] + ours.tilt[c]);
        assert!(apart(body, ours.body) < 1e-12);
    }
}

#[test]
fn the_arms_only_path_is_not_the_arm_share() {
    let (ours, _) = from_top(&ModelParams::default(), 240.0);
    assert!(apart(ours.arms_only, ours.arm) > 0.02, "{ours:?}");
    let (swing, motion) = unfiltered(&ModelParams::default(), 240.0);
    let truth = motion.truth(0).unwrap();
    let (top, level) = (truth.instants[&InstantName::Top], truth.instants[&InstantName::LeadArmLevel]);
    let path = arms_only_path(&swing, ThoraxFrame::ShoulderLine, top, level).unwrap();
    for (t, p) in &path {
        let model = motion.mid_shoulder(top) + motion.thorax_rotation(top) * motion.hands_in_thorax(*t);
        assert!(apart(*p, model) < 0.001, "{t}");
    }
    let (first, last) = (path[0].1, path[path.len() - 1].1);
    assert!(apart(std::array::from_fn(|c| last[c] - first[c]), ours.arms_only) < 1e-12);
}

#[test]
fn both_thorax_frames_agree_on_a_rigid_thorax() {
    let (swing, motion) = unfiltered(&ModelParams::default(), 240.0);
    let truth = motion.truth(0).unwrap();
    let (top, level) = (truth.instants[&InstantName::Top], truth.instants[&InstantName::LeadArmLevel]);
    let line = shares(&swing, ThoraxFrame::ShoulderLine, top, level).unwrap();
    let isb = shares(&swing, ThoraxFrame::Isb, top, level).unwrap();
    // The model's thorax is rigid: no motion of the shoulder girdle can be booked to one side or the other.
    assert!(apart(line.arm, isb.arm) < 0.001 && apart(line.body, isb.body) < 0.001, "{line:?} {isb:?}");
}

#[test]
fn missing_landmarks_are_named() {
    let (mut swing, _) = unfiltered(&ModelParams::default(), 240.0);
    let text = |swing: &Swing, from, to| shares(swing, ThoraxFrame::ShoulderLine, from, to).unwrap_err().to_string();
    assert_eq!(text(&swing, 1.6, 1.6), "There is no time between the two instants.");
    let hips = swing.body.remove(&handpath::swing::BodyPoint::MidHip).unwrap();
    assert_eq!(text(&swing, 1.5, 1.6), "The point mid-hip is not known, so it cannot be told what arms and body did.");
    swing.body.insert(handpath::swing::BodyPoint::MidHip, hips);
    let row = (1.55 * swing.rate_hz) as usize;
    swing.hands[row - 2..row + 2].fill(handpath::formats::GAP);
    assert!(text(&swing, 1.5, 1.6).starts_with("A point of trunk or hands is missing at 1.5"));
}
