//! From a recording to a comparison: model swings with a known difference, through the whole core.

#![allow(clippy::unwrap_used, clippy::expect_used)]

use handpath::align::{AlignOptions, Alignment, Mode, StepPattern};
use handpath::compare::{AtInstant, Comparison, compare, deviations_at_instants};
use handpath::model::{ModelParams, Motion, SampleOptions, sample};
use handpath::settings::{Corrections, Hand};
use handpath::swing::{InstantName, Swing, analyse};

fn swing_at(params: &ModelParams, rate_hz: f64) -> Swing {
    let options = SampleOptions { rate_hz, ..SampleOptions::default() };
    let recording = sample(&Motion::new(params), params, &options).expect("a swing within reach");
    analyse(&recording, None, &Corrections { hand: Some(params.hand), ..Corrections::default() }).expect("a swing")
}

fn swing(params: &ModelParams) -> Swing {
    swing_at(params, 240.0)
}

fn against(student: &Swing, reference: &Swing, options: &AlignOptions) -> Comparison {
    compare(student, std::slice::from_ref(reference), options).unwrap()
}

fn alignment(comparison: &Comparison) -> &Alignment {
    comparison.references[0].alignment.as_ref().unwrap()
}

/// Largest deviation at samples from an instant to 30 ms before impact.
fn farthest(comparison: &Comparison, from: InstantName) -> f64 {
    let time = |name| comparison.student.instant(name).unwrap().time_s;
    let (from_s, to_s) = (time(from), time(InstantName::Impact) - 0.03);
    let inside = alignment(comparison).samples.iter().filter(|sample| (from_s..=to_s).contains(&sample.time_s));
    inside.map(|sample| sample.distance_m).fold(0.0, f64::max)
}

fn row(comparison: &Comparison, instant: InstantName) -> AtInstant {
    let table = deviations_at_instants(comparison).swap_remove(0);
    table.into_iter().find(|row| row.instant == instant).unwrap()
}

#[test]
fn a_smaller_player_with_the_same_motion_has_the_same_path() {
    let (tall, small) = (ModelParams::default(), ModelParams { stature_m: 1.60, ..ModelParams::default() });
    let comparison = against(&swing(&tall), &swing(&small), &AlignOptions::default());
    assert!((comparison.references[0].factor - 1.125).abs() < 1e-3, "{}", comparison.references[0].factor);
    // The ball alone does not shrink with the player: its centre lies 2.6 mm too high after scaling.
    assert!(farthest(&comparison, InstantName::Top) < 3e-3, "{}", farthest(&comparison, InstantName::Top));
}

#[test]
fn a_left_hander_with_the_same_motion_has_the_same_path() {
    let left = ModelParams { hand: Hand::Left, ..ModelParams::default() };
    let comparison = against(&swing(&ModelParams::default()), &swing(&left), &AlignOptions::default());
    assert!(farthest(&comparison, InstantName::Takeaway) < 2e-3, "{comparison:?}");
    let keys: Vec<&str> = comparison.references[0].warnings.iter().map(|warning| warning.key).collect();
    assert_eq!(keys, ["compare.mirrored"]);
}

#[test]
fn one_motion_at_two_rates_has_one_path_in_either_mode() {
    let params = ModelParams::default();
    for (ours_hz, theirs_hz) in [(60.0, 500.0), (240.0, 100.0), (120.0, 120.0)] {
        let (student, reference) = (swing_at(&params, ours_hz), swing_at(&params, theirs_hz));
        for mode in [Mode::Anchored, Mode::Free] {
            let comparison = against(&student, &reference, &AlignOptions { mode, ..AlignOptions::default() });
            let found = farthest(&comparison, InstantName::Takeaway);
            assert!(found < 5e-3, "{mode:?} {ours_hz} {theirs_hz}: {found}");
        }
    }
}

#[test]
fn differences_at_instants_are_those_of_the_model() {
    let (deep, usual) = (ModelParams { top_depth_m: 0.05, ..ModelParams::default() }, ModelParams::default());
    let (student, reference) = (swing(&deep), swing(&usual));
    let comparison = against(&student, &reference, &AlignOptions::default());
    // Where the model's hands are at the instants found, in the lab; the two bodies stand in one place.
    let truth = |params: &ModelParams, swing: &Swing, name| {
        let motion = Motion::new(params);
        motion.hands(motion.window(params)[0] + swing.instant(name).unwrap().time_s)
    };
    for name in [InstantName::Takeaway, InstantName::Top, InstantName::LeadArmLevel, InstantName::HipHeight] {
        let expected = truth(&deep, &student, name) - truth(&usual, &reference, name);
        let at = row(&comparison, name);
        let off = (0..3).map(|c| (at.difference[c] - expected[c]).abs()).fold(0.0, f64::max);
        assert!(off < 3e-3, "{at:?} instead of {expected:?}");
    }
    // The depth shows where the hands rest, though both tops are not quite at one place along the path.
    assert!(row(&comparison, InstantName::Top).difference[0] < -0.01);
    assert!(alignment(&comparison).segments.iter().all(|segment| segment.cost <= segment.linear_cost.unwrap()));
}

#[test]
fn a_slow_drill_is_late_by_the_time_it_takes() {
    let slow = ModelParams { effort: 0.5, ..ModelParams::default() };
    let (student, reference) = (swing(&slow), swing(&ModelParams::default()));
    for step in StepPattern::ALL {
        let comparison = against(&student, &reference, &AlignOptions { step, ..AlignOptions::default() });
        let time = |swing: &Swing, name| swing.instant(name).unwrap().time_s;
        let taken = |swing: &Swing| time(swing, InstantName::LeadArmLevel) - time(swing, InstantName::Top);
        let at = row(&comparison, InstantName::LeadArmLevel);
        assert_eq!(at.since, Some(InstantName::Top));
        assert!((at.lateness_s.unwrap() - (taken(&student) - taken(&reference))).abs() < 1e-9);
        let segments = &alignment(&comparison).segments;
        let segment = segments.iter().find(|segment| segment.to == Some(InstantName::LeadArmLevel)).unwrap();
        assert!((segment.time_ratio - taken(&student) / taken(&reference)).abs() < 1e-9);
        // Half the speed takes about twice as long.
        assert!((1.5..2.5).contains(&segment.time_ratio), "{}", segment.time_ratio);
    }
}
