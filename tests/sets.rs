//! Several swings of the model as one: mean, spread, band, most typical swing, and which references are like a student.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use handpath::align::AlignOptions;
use handpath::compare::{compare, scale_reference};
use handpath::formats::{GAP, Point, is_gap};
use handpath::measure::{Measure, without_intervals};
use handpath::model::{Kind, ModelParams, Motion, REFERENCES, SampleOptions, reference, sample, student};
use handpath::sets::{
    BandKind, Choice, LIKE_DEPTH_M, SwingSet, as_own, likeness, own_set, reference_set, suited, t_quantile,
};
use handpath::settings::{Club, Corrections};
use handpath::swing::{InstantName, Swing, analyse};

fn swing(label: &str, params: &ModelParams, rate_hz: f64) -> Swing {
    let options = SampleOptions { rate_hz, ..SampleOptions::default() };
    let recording = sample(&Motion::new(params), params, &options).expect("in reach");
    let corrections = Corrections { club: Some(params.club), ..Corrections::default() };
    let mut swing = analyse(&recording, None, &corrections).expect("a swing");
    swing.label = label.to_owned();
    swing
}

fn own(count: u64) -> Vec<Swing> {
    let params = |seed| ModelParams { seed, variation: 1.0, waggles: 0, ..student(1, 1) };
    (0..count).map(|seed| swing(&format!("swing {seed}"), &params(seed), [120.0, 240.0][seed as usize % 2])).collect()
}

fn references(student: &Swing) -> Vec<Swing> {
    let scaled = |letter: char| {
        let swing = swing(&format!("reference {letter}"), &reference(letter), 120.0);
        scale_reference(&swing, student.size.factor_for(&swing.size).unwrap().0)
    };
    REFERENCES.into_iter().map(scaled).collect()
}

fn all(swings: &[Swing]) -> Vec<&Swing> {
    swings.iter().collect()
}

fn at(swing: &Swing, name: InstantName) -> Point {
    swing.hand_curve().position(swing.instant(name).unwrap().time_s).unwrap()
}

fn place(set: &SwingSet, name: InstantName) -> usize {
    set.segments.iter().find(|segment| segment.to == name).unwrap().last
}

fn texts(notes: &[handpath::words::Message]) -> Vec<String> {
    notes.iter().map(ToString::to_string).collect()
}

#[test]
fn an_instant_of_the_mean_is_the_mean_of_that_instant() {
    let swings = own(9);
    let set = SwingSet::of(&all(&swings), BandKind::Pointwise).unwrap();
    assert_eq!(set.segments.first().map(|segment| segment.from), Some(InstantName::Address));
    for segment in &set.segments {
        let there: Vec<Point> = swings.iter().map(|swing| at(swing, segment.to)).collect();
        for axis in 0..3 {
            let mean = there.iter().map(|p| p[axis]).sum::<f64>() / 9.0;
            let sd = (there.iter().map(|p| (p[axis] - mean).powi(2)).sum::<f64>() / 8.0).sqrt();
            assert!((set.mean[segment.last][axis] - mean).abs() < 1e-9, "{:?}", segment.to);
            assert!((set.sd[segment.last][axis] - sd).abs() < 1e-9, "{:?}", segment.to);
        }
        let since_address = |swing: &Swing| {
            swing.instant(segment.to).unwrap().time_s - swing.instant(InstantName::Address).unwrap().time_s
        };
        let mean_s = swings.iter().map(since_address).sum::<f64>() / 9.0;
        assert!((set.time_s[segment.last] - mean_s).abs() < 1e-9);
    }
    assert!(set.time_s.windows(2).all(|pair| pair[0] <= pair[1]));
    assert!(set.notes.is_empty(), "{:?}", texts(&set.notes));
}

/// The mean of swings that differ by chance is the player's swing: the model without variation.
#[test]
fn the_mean_path_is_the_path_without_variation() {
    let swings = own(16);
    let set = SwingSet::of(&all(&swings), BandKind::Pointwise).unwrap();
    let usual = swing("usual", &ModelParams { variation: 0.0, waggles: 0, ..student(1, 1) }, 240.0);
    let (from, to) = (place(&set, InstantName::Takeaway), place(&set, InstantName::Impact));
    let farthest = set.mean[from..=to].iter().map(|p| nearest(p, &usual)).fold(0.0, f64::max);
    // Four times the SD of about 9 mm over the root of 16.
    assert!(farthest < 0.009, "{farthest}");
}

fn nearest(place: &Point, swing: &Swing) -> f64 {
    let distance = |p: &Point| (0..3).map(|axis| (p[axis] - place[axis]).powi(2)).sum::<f64>().sqrt();
    let curve = swing.hand_curve();
    let ends = [swing.time_s[0], swing.time_s[swing.time_s.len() - 1]];
    let times = (0..=6000).map(|k| ends[0] + (ends[1] - ends[0]) * f64::from(k) / 6000.0);
    times.filter_map(|t| curve.position(t)).map(|p| distance(&p)).fold(f64::INFINITY, f64::min)
}

/// Horan et al. 2011: the variability of hands and club falls from the top of the backswing to ball contact.
#[test]
fn the_spread_falls_from_the_top_to_impact() {
    let set = SwingSet::of(&all(&own(12)), BandKind::Pointwise).unwrap();
    let size = |name| set.sd[place(&set, name)].iter().map(|x| x * x).sum::<f64>().sqrt();
    let sizes = [InstantName::Top, InstantName::LeadArmLevel, InstantName::Impact].map(size);
    assert!(sizes[0] > sizes[1] && sizes[1] > sizes[2], "{sizes:?}");
}

#[test]
fn a_band_is_made_from_eight_swings_on_and_says_which() {
    let swings = own(8);
    let few = SwingSet::of(&all(&swings[..7]), BandKind::WholeCurve).unwrap();
    assert_eq!((few.band.is_none(), few.curves.len()), (true, 7));
    assert_eq!(texts(&few.notes), ["7 swings are too few for a band (from 8 on): their paths are shown one by one."]);
    let [pointwise, whole] = [BandKind::Pointwise, BandKind::WholeCurve].map(|kind| {
        let set = SwingSet::of(&all(&swings), kind).unwrap();
        let band = set.band.unwrap();
        assert_eq!(band.kind, kind);
        let k = set.segments[1].last;
        (0..3).map(|axis| (band.high[k][axis] - band.low[k][axis]) / (2.0 * set.sd[k][axis])).collect::<Vec<f64>>()
    });
    let expected = t_quantile(0.95, 7.0) * 1.125_f64.sqrt();
    assert!(pointwise.iter().all(|factor| (factor - expected).abs() < 1e-9), "{pointwise:?}");
    assert!(whole.iter().all(|factor| *factor > 1.1 * expected && *factor < 8.0), "{whole:?}");
}

#[test]
fn the_most_typical_swing_is_not_the_odd_one() {
    let mut swings = own(5);
    let odd = ModelParams { throw_m: 0.12, ..student(1, 1) };
    swings.insert(2, swing("odd", &odd, 120.0));
    let set = own_set(&all(&swings), BandKind::Pointwise).unwrap();
    let farthest = set.set.distances_m.iter().copied().fold(0.0, f64::max);
    assert_eq!(set.set.distances_m[2], farthest);
    assert!(set.set.most_typical.is_some_and(|typical| typical != 2));
    // The odd swing does not stand in the middle, and the one nearest to all others does.
    let least = set.set.distances_m[set.set.most_typical.unwrap()];
    assert!(set.set.distances_m.iter().all(|distance| *distance >= least));
    let drift = set.measures.iter().find(|measure| measure.name == "out drift, greatest").unwrap();
    let spread = drift.spread.unwrap();
    assert_eq!(spread.count, 6);
    assert!((0.14..0.19).contains(&spread.mean) && spread.sd.unwrap() > 0.02, "{spread:?}");
    let two = SwingSet::of(&all(&swings[..2]), BandKind::Pointwise).unwrap();
    assert_eq!(two.most_typical, None);
}

/// Depth at the top of the model's references differs by what their parameters say; H was played with a driver.
#[test]
fn unlike_references_are_flagged_with_the_reason_and_left_out() {
    let ours = swing("student", &student(1, 1), 120.0);
    let theirs = references(&ours);
    let found = reference_set(&ours, &all(&theirs), Choice::Like, BandKind::Pointwise);
    let set = found.set.unwrap();
    let mut like = vec![];
    for (reference, likeness) in theirs.iter().zip(&found.likeness) {
        let difference = likeness.depth_difference_m.unwrap();
        let deep = difference.abs() > LIKE_DEPTH_M;
        assert_eq!(likeness.unlike.is_empty(), !deep && reference.club == ours.club, "{}", reference.label);
        if likeness.unlike.is_empty() {
            like.push(reference.label.clone());
        }
    }
    assert!(like.len() > 1 && like.len() < 7, "{like:?}");
    assert_eq!(set.labels, like);
    let [g, h] = [6, 7].map(|k| texts(&found.likeness[k].unlike).join(" "));
    assert!(g.contains("reference G has the hands at the top ") && g.ends_with("more room to come out."), "{g}");
    assert!(h.contains("reference H was played with another kind of club"), "{h}");
    let every = reference_set(&ours, &all(&theirs), Choice::SameKind, BandKind::WholeCurve).set.unwrap();
    assert_eq!((every.labels.len(), every.band.map(|band| band.kind)), (8, Some(BandKind::WholeCurve)));
    assert!(texts(&every.notes).iter().any(|note| note.starts_with("The swings were played with more than one")));
}

/// Findings are held against like references; against none of another club or kind, if no other is there.
#[test]
fn a_student_is_held_against_the_references_that_suit() {
    let ours = swing("student", &student(1, 1), 120.0);
    let theirs = references(&ours);
    let lists: Vec<Vec<Measure>> = theirs.iter().map(without_intervals).collect();
    let measured: Vec<(&Swing, &[Measure])> = theirs.iter().zip(&lists).map(|(s, list)| (s, &list[..])).collect();
    let chosen = |student: &Swing, from: &[(&Swing, &[Measure])]| -> Vec<String> {
        let held = suited(student, from).into_iter().map(|beside| beside.measures.as_ptr());
        let label = |list| measured.iter().find(|(_, own)| own.as_ptr() == list).unwrap().0.label.clone();
        held.map(label).collect()
    };
    assert_eq!(
        chosen(&ours, &measured),
        reference_set(&ours, &all(&theirs), Choice::Like, BandKind::Pointwise).set.unwrap().labels
    );
    // Reference G is too deep, H played with the driver.
    assert_eq!(chosen(&ours, &measured[6..]), ["reference G"]);
    assert_eq!(chosen(&ours, &measured[7..]), <[&str; 0]>::default());
}

#[test]
fn a_less_deep_reference_is_told_so() {
    let (ours, theirs) = (ModelParams::default(), Kind::NoRoom.params());
    let found = likeness(&swing("student", &ours, 120.0), &swing("reference F", &theirs, 120.0));
    let text = texts(&found.unlike).join(" ");
    assert!(text.starts_with("reference F has the hands at the top "), "{found:?}");
    assert!(text.ends_with("less room to come out."), "{text}");
    let depth = |params: &ModelParams| {
        let motion = Motion::new(params);
        let truth = motion.truth(0).unwrap();
        truth.ball.x - motion.hands(truth.instants[&InstantName::Top]).x
    };
    assert!((found.depth_difference_m.unwrap() - (depth(&theirs) - depth(&ours))).abs() < 0.005, "{found:?}");
}

#[test]
fn other_kinds_of_swing_never_enter_a_mean() {
    let ours = swing("student", &student(1, 1), 120.0);
    let mut theirs = references(&ours);
    theirs.push(swing("a drill", &Kind::Drill.params(), 120.0));
    let found = reference_set(&ours, &all(&theirs), Choice::SameKind, BandKind::Pointwise);
    assert_eq!(found.set.unwrap().labels.len(), 8);
    assert_eq!(
        texts(&found.notes),
        ["a drill is a drill swing and is left out: it is never averaged with full swings."]
    );
    let drills = reference_set(&ours, &all(&theirs[8..]), Choice::Like, BandKind::Pointwise);
    assert!(drills.set.is_err());
    let mut mixed = own(3);
    mixed.push(theirs.remove(8));
    let set = own_set(&all(&mixed), BandKind::Pointwise).unwrap().set;
    assert_eq!((set.labels.len(), set.kind), (3, mixed[0].kind));
    assert!(texts(&set.notes)[0].starts_with("a drill is a drill swing"));
}

#[test]
fn without_a_like_reference_all_of_the_kind_are_used_and_that_is_told() {
    let ours = swing("student", &ModelParams { club: Club::Wedge, ..student(1, 1) }, 120.0);
    let theirs = references(&ours);
    let found = reference_set(&ours, &all(&theirs[..3]), Choice::Like, BandKind::Pointwise);
    assert_eq!(found.set.unwrap().labels.len(), 3);
    assert_eq!(
        texts(&found.notes),
        [
            "None of the references is like the student in depth at the top and in club: all of the same kind of swing are \
          used."
        ]
    );
    let no_ball = Swing { ball: None, ..theirs[0].clone() };
    let found = reference_set(&ours, &[&no_ball], Choice::Like, BandKind::Pointwise);
    assert!(texts(&found.notes)[0].starts_with("How deep the hands are at the top is not known"));
}

#[test]
fn the_students_own_best_swings_serve_as_references_unscaled() {
    let mut swings = own(3);
    let ours = swings.remove(0);
    swings[0].size.arm_bones_m = Some(0.5);
    let best: Vec<Swing> = swings.iter().map(|swing| as_own(&ours, swing)).collect();
    let comparison = compare(&ours, &best, &AlignOptions::default()).unwrap();
    assert!(comparison.references.iter().all(|compared| compared.factor == 1.0));
    let set = reference_set(&ours, &all(&best), Choice::Like, BandKind::Pointwise).set.unwrap();
    assert_eq!(set.labels.len(), 2);
}

#[test]
fn gaps_and_missing_instants_are_told_and_bridged() {
    let mut swings = own(3);
    let top_s = swings[0].instant(InstantName::Top).unwrap().time_s;
    let gap = swings[0].time_s.partition_point(|t| *t < top_s - 0.3);
    swings[0].hands[gap..gap + 10].fill(GAP);
    swings[1].instants.retain(|instant| instant.name != InstantName::LeadArmLevel);
    let set = SwingSet::of(&all(&swings), BandKind::Pointwise).unwrap();
    assert!(set.segments.iter().all(|segment| segment.to != InstantName::LeadArmLevel));
    assert!(texts(&set.notes).contains(
        &"Not all of the swings have lead arm level, or not in the same order: the mean is not tied to it.".to_owned()
    ));
    assert!(set.curves[0].iter().any(is_gap) && !set.mean.iter().any(is_gap));
    swings.iter_mut().for_each(|swing| swing.instants.truncate(1));
    assert!(SwingSet::of(&all(&swings), BandKind::Pointwise).is_err());
    assert!(SwingSet::of(&[], BandKind::Pointwise).is_err());
}
