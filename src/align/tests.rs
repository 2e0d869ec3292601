use super::random::Random;
use super::*;
use crate::formats::{GAP, Point};
use InstantName::{Finish, Impact, LeadArmLevel, Takeaway, Top};

/// A hand path of about the size and speed of a slow swing: place at a phase from 0 (takeaway) to 2 (impact).
fn place(phase: f64) -> Point {
    [0.35 * (2.2 * phase).sin(), 0.4 * (1.7 * phase).cos(), 0.9 + 0.5 * (1.5 * phase).sin()]
}

/// A recorded swing whose phase at time t is `phase(t)`.
struct Model {
    time_s: Vec<f64>,
    points: Vec<Point>,
    anchors: Vec<(InstantName, f64)>,
}

impl Model {
    fn new(rate_hz: f64, seconds: f64, anchors: &[(InstantName, f64)], phase: impl Fn(f64) -> f64) -> Self {
        let rows = (seconds * rate_hz).round() as usize + 1;
        let time_s: Vec<f64> = (0..rows).map(|row| row as f64 / rate_hz).collect();
        let points = time_s.iter().map(|&t| place(phase(t))).collect();
        Model { time_s, points, anchors: anchors.to_vec() }
    }

    /// One phase a second; instants at phases 0.2, 1 and 1.8.
    fn even(rate_hz: f64) -> Self {
        Model::new(rate_hz, 2.0, &[(Takeaway, 0.2), (Top, 1.0), (Impact, 1.8)], |t| t)
    }

    fn timed(&self) -> Timed<'_> {
        Timed { time_s: &self.time_s, points: &self.points, anchors: self.anchors.clone() }
    }

    fn aligned(&self, reference: &Model, options: &AlignOptions) -> Alignment {
        align(&self.timed(), &reference.timed(), options).unwrap()
    }
}

fn anchored() -> AlignOptions {
    AlignOptions::default()
}

fn free() -> AlignOptions {
    AlignOptions { mode: Mode::Free, ..AlignOptions::default() }
}

fn farthest(alignment: &Alignment) -> f64 {
    alignment.samples.iter().map(|sample| sample.distance_m).fold(0.0, f64::max)
}

#[test]
fn a_swing_has_no_deviation_from_itself() {
    let swing = Model::even(120.0);
    for options in [anchored(), free()] {
        let alignment = swing.aligned(&swing, &options);
        assert!(farthest(&alignment) < 1e-12);
        assert!(alignment.samples.iter().all(|sample| sample.lateness_s.abs() < 1e-9));
        assert!(
            alignment.segments.iter().all(|segment| segment.cost < 1e-9 && (segment.time_ratio - 1.0).abs() < 1e-9)
        );
    }
    // 0.2 to 1.8 s at 120 Hz: both ends, and the top once though two segments share it.
    assert_eq!(swing.aligned(&swing, &anchored()).samples.len(), 193);
    assert_eq!(swing.aligned(&swing, &free()).samples.len(), 241);
}

#[test]
fn rates_need_not_agree() {
    let (slow, fast) = (Model::even(60.0), Model::even(500.0));
    for band in [None, Some(0.0)] {
        let options = AlignOptions { band, ..anchored() };
        assert!(farthest(&slow.aligned(&fast, &options)) < 1e-3);
        assert!(farthest(&fast.aligned(&slow, &options)) < 1e-3);
    }
}

#[test]
fn fast_hands_at_60_hz_are_matched_between_their_samples() {
    // A quarter of a second on a circle at 7.2 m/s, 12 cm a sample; the student's phase runs up to 10 ms behind.
    let circle = |t: f64| [0.6 * (12.0 * t).cos(), 0.6 * (12.0 * t).sin(), 1.0];
    let late = |t: f64| 0.01 * (std::f64::consts::PI * (t - 0.1) / 0.25).sin().powi(2);
    let recorded = |phase: &dyn Fn(f64) -> f64| {
        let mut model = Model::new(60.0, 0.5, &[(Top, 0.1), (Impact, 0.35)], |t| t);
        model.points = model.time_s.iter().map(|&t| circle(phase(t))).collect();
        model
    };
    let (student, reference) = (recorded(&|t| t - late(t)), recorded(&|t| t));
    assert!(farthest(&student.aligned(&reference, &anchored())) < 5e-3);
    let coarse = AlignOptions { samples: Some(16), ..anchored() };
    assert!(farthest(&student.aligned(&reference, &coarse)) > 2e-2);
}

#[test]
fn a_slower_downswing_is_a_time_ratio_and_a_lateness_but_no_deviation() {
    // Backswing as even(), downswing at half the pace: the top at 1 s, impact at 2.6 s.
    let anchors = [(Takeaway, 0.2), (Top, 1.0), (Impact, 2.6)];
    let student = Model::new(240.0, 2.8, &anchors, |t| if t < 1.0 { t } else { 1.0 + (t - 1.0) / 2.0 });
    let alignment = student.aligned(&Model::even(240.0), &anchored());
    let ratios: Vec<f64> = alignment.segments.iter().map(|segment| segment.time_ratio).collect();
    assert!((ratios[0] - 1.0).abs() < 1e-9 && (ratios[1] - 2.0).abs() < 1e-9, "{ratios:?}");
    assert!(farthest(&alignment) < 2e-3);
    for sample in alignment.samples.iter().filter(|sample| sample.segment == 1) {
        let expected = (sample.time_s - 1.0) / 2.0;
        assert!((sample.lateness_s - expected).abs() < 0.01, "{sample:?}");
    }
}

#[test]
fn a_time_warp_inside_a_segment_is_found() {
    // Between instants the student runs up to 0.05 s behind the reference, and is on time at both.
    let late = |t: f64| 0.05 * (std::f64::consts::PI * (t - 0.2) / 1.6).sin().powi(2);
    let anchors = [(Takeaway, 0.2), (Impact, 1.8)];
    let student = Model::new(240.0, 2.0, &anchors, |t| t - late(t));
    let reference = Model::new(240.0, 2.0, &anchors, |t| t);
    let alignment = student.aligned(&reference, &anchored());
    assert_eq!(alignment.segments.len(), 1);
    for sample in &alignment.samples {
        assert!((sample.lateness_s - late(sample.time_s)).abs() < 2.5 / 240.0, "{sample:?}");
    }
    let segment = &alignment.segments[0];
    assert!(segment.cost < 0.3 * segment.linear_cost.unwrap());
    // A band of 0 lets nothing warp: all of the lateness turns up as deviation.
    let unwarped = student.aligned(&reference, &AlignOptions { band: Some(0.0), ..anchored() });
    assert_eq!(Some(unwarped.segments[0].cost), unwarped.segments[0].linear_cost);
    assert!(unwarped.samples.iter().all(|sample| sample.lateness_s.abs() < 1e-9));
}

#[test]
fn a_band_is_a_share_of_the_segment() {
    // The student rests, then hurries: the path leans on the edge of any narrow band.
    let anchors = [(Takeaway, 0.2), (Impact, 1.8)];
    let student = Model::new(120.0, 2.0, &anchors, |t| 0.2 + 1.6 * ((t - 0.2) / 1.6).powi(3));
    let reference = Model::new(120.0, 2.0, &anchors, |t| t);
    for (share, samples, w) in [(0.1, 20, 2), (0.1, 101, 10), (0.05, 50, 2), (0.0, 50, 0)] {
        let step = StepPattern::Symmetric2;
        let options = AlignOptions { band: Some(share), samples: Some(samples), step, ..anchored() };
        let alignment = student.aligned(&reference, &options);
        let widest = alignment.segments[0].path.iter().map(|(i, j)| i.abs_diff(*j)).max();
        assert_eq!(widest, Some(w), "{share} of {samples}");
    }
}

#[test]
fn a_deviation_is_student_minus_reference() {
    let reference = Model::even(120.0);
    let mut student = Model::even(120.0);
    for point in &mut student.points {
        *point = [point[0] + 0.03, point[1] - 0.02, point[2] + 0.05];
    }
    let alignment = student.aligned(&reference, &AlignOptions { band: Some(0.0), ..anchored() });
    for sample in &alignment.samples {
        let found = [sample.out_m, sample.target_m, sample.up_m];
        assert!(found.iter().zip([0.03, -0.02, 0.05]).all(|(a, b)| (a - b).abs() < 1e-9), "{sample:?}");
        assert!((sample.distance_m - 0.0038_f64.sqrt()).abs() < 1e-9);
    }
}

#[test]
fn segments_out_of_order_or_too_short_are_dropped_with_a_reason() {
    let mut student = Model::even(120.0);
    student.anchors = vec![(Takeaway, 0.2), (Top, 1.0), (LeadArmLevel, 1.3), (Impact, 1.31), (Finish, 1.9)];
    let mut reference = Model::even(120.0);
    reference.anchors = vec![(Finish, 1.9), (Takeaway, 0.2), (Top, 1.0), (LeadArmLevel, 0.9), (Impact, 1.5)];
    let alignment = student.aligned(&reference, &anchored());
    let kept: Vec<_> = alignment.segments.iter().map(|segment| (segment.from, segment.to)).collect();
    assert_eq!(kept, [(Some(Takeaway), Some(Top)), (Some(Impact), Some(Finish))]);
    let reasons: Vec<String> = alignment.dropped.iter().map(|dropped| dropped.why.to_string()).collect();
    assert_eq!(
        reasons,
        [
            "From top to lead arm level the swings are not aligned: they pass these instants in different order, or at \
             once. Correct the instants.",
            "From lead arm level to impact the swings are not aligned: the student has 2 samples with data there, 3 are \
             needed.",
        ]
    );
    std::mem::swap(&mut student.anchors, &mut reference.anchors);
    student.anchors = vec![(Takeaway, 0.2), (Top, 1.0), (Impact, 1.5)];
    reference.anchors = vec![(Takeaway, 0.2), (Top, 1.0), (Impact, 1.01)];
    assert_eq!(
        student.aligned(&reference, &anchored()).dropped[0].why.to_string(),
        "From top to impact the swings are not aligned: the reference has 2 samples with data there, 3 are needed."
    );
}

#[test]
fn instants_outside_the_recording_are_no_anchors() {
    let mut student = Model::even(120.0);
    student.anchors = vec![(Takeaway, -1.0), (Top, 1.0), (Impact, f64::NAN), (Finish, 1.9)];
    let mut reference = Model::even(120.0);
    reference.anchors = vec![(Takeaway, 0.2), (Top, 1.0), (Impact, 1.5), (Finish, 1.9)];
    let alignment = student.aligned(&reference, &anchored());
    assert_eq!(alignment.segments.len(), 1);
    assert_eq!((alignment.segments[0].from, alignment.segments[0].to), (Some(Top), Some(Finish)));
}

#[test]
fn gaps_cost_nothing_get_no_match_and_are_told() {
    let (mut student, mut reference) = (Model::even(120.0), Model::even(120.0));
    student.points[50..60].fill(GAP);
    reference.points[150..155].fill(GAP);
    let alignment = student.aligned(&reference, &anchored());
    assert!(farthest(&alignment) < 1e-4);
    let in_gap = |time_s: f64| time_s > 49.5 / 120.0 && time_s < 59.5 / 120.0;
    assert!(alignment.samples.iter().all(|sample| !in_gap(sample.time_s)));
    // 193 rows lie in the segments; rows at the edge of a gap may lack a neighbour to interpolate with.
    assert!((193 - 10 - 5 - 4..=193 - 15).contains(&alignment.samples.len()), "{}", alignment.samples.len());
    let told: Vec<String> = alignment.warnings.iter().map(Message::to_string).collect();
    assert_eq!(
        told,
        [
            "10 samples of the student's hand path from takeaway to top have no data and are left out of the alignment.",
            "5 samples of the reference's hand path from top to impact have no data and are left out of the alignment.",
        ]
    );
}

#[test]
fn gaps_that_leave_nothing_to_match_drop_the_segment() {
    let (mut student, mut reference) = (Model::even(120.0), Model::even(120.0));
    // One half of the downswing is missing here, the other half there.
    student.points[120..168].fill(GAP);
    reference.points[168..217].fill(GAP);
    let options = AlignOptions { band: Some(0.0), ..anchored() };
    let alignment = student.aligned(&reference, &options);
    assert_eq!(alignment.segments.len(), 1);
    assert_eq!(
        alignment.dropped[0].why.to_string(),
        "From top to impact the swings are not aligned: their gaps leave too few samples to match."
    );
}

#[test]
fn free_mode_takes_the_longest_stretch_without_a_gap() {
    let (mut student, mut reference) = (Model::even(120.0), Model::even(120.0));
    student.points[50..60].fill(GAP);
    reference.points[230..232].fill(GAP);
    let alignment = student.aligned(&reference, &free());
    let times: Vec<f64> = alignment.samples.iter().map(|sample| sample.time_s).collect();
    assert!((times[0] - 0.5).abs() < 1e-9 && (times[times.len() - 1] - 1.9).abs() < 0.01, "{times:?}");
    assert!(farthest(&alignment) < 1e-3, "{}", farthest(&alignment));
    let told: Vec<String> = alignment.warnings.iter().map(Message::to_string).collect();
    assert_eq!(
        told,
        [
            "The student's hand path has gaps: only its longest stretch without one is aligned, from 0.50 s to 2.00 s.",
            "The reference's hand path has gaps: only its longest stretch without one is aligned, from 0.00 s to 1.91 s.",
        ]
    );
    // Missing ends are no gaps.
    student.points[..60].fill(GAP);
    assert_eq!(student.aligned(&Model::even(120.0), &free()).warnings, []);
}

#[test]
fn free_mode_finds_where_a_part_belongs() {
    // The student's recording starts a quarter of a second late and ends early, and runs on its own clock.
    let reference = Model::even(120.0);
    let part = Model::new(120.0, 1.5, &[], |t| t + 0.25);
    let alignment = part.aligned(&reference, &free());
    assert_eq!((alignment.segments[0].from, alignment.segments[0].linear_cost), (None, None));
    for sample in &alignment.samples {
        assert!((sample.matched_time_s - sample.time_s - 0.25).abs() < 1.5 / 120.0, "{sample:?}");
        assert!(sample.lateness_s.abs() < 1.5 / 120.0 && sample.distance_m < 2e-3, "{sample:?}");
    }
    // And the other way round: the student's extra samples have no match.
    let alignment = reference.aligned(&part, &free());
    let (first, last) = (alignment.samples.first().unwrap(), alignment.samples.last().unwrap());
    assert!((first.time_s - 0.25).abs() < 0.02 && (last.time_s - 1.75).abs() < 0.02, "{first:?} {last:?}");
}

#[test]
fn free_mode_keeps_each_swing_in_its_own_time() {
    let student = Model::new(100.0, 3.0, &[], |t| t / 1.5);
    let alignment = student.aligned(&Model::even(240.0), &free());
    let segment = &alignment.segments[0];
    assert!((segment.time_ratio - 1.5).abs() < 0.02, "{}", segment.time_ratio);
    assert!((segment.student.step_s - segment.reference.step_s).abs() < 1e-12);
    assert!(farthest(&alignment) < 5e-3);
}

#[test]
fn a_closed_free_mode_leaves_nothing_out() {
    let (student, reference) = (Model::new(120.0, 1.7, &[], |t| t + 0.1), Model::even(120.0));
    let alignment = student.aligned(&reference, &AlignOptions { open_ends: 0.0, ..free() });
    let path = &alignment.segments[0].path;
    assert_eq!((path.first(), path.last()), (Some(&(0, 0)), Some(&(849, 999))));
}

#[test]
fn warping_never_costs_more_than_not_warping() {
    let mut random = Random::new(11);
    for _ in 0..60 {
        let student = nasty_model(&mut random);
        let reference = nasty_model(&mut random);
        for step in StepPattern::ALL {
            for local_cost in [LocalCost::Euclidean, LocalCost::SquaredEuclidean] {
                let options = AlignOptions { step, local_cost, samples: Some(40), ..anchored() };
                let Ok(alignment) = align(&student.timed(), &reference.timed(), &options) else { continue };
                for segment in &alignment.segments {
                    assert!(segment.cost <= segment.linear_cost.unwrap() * (1.0 + 1e-12));
                }
            }
        }
    }
}

/// 3 to 60 rows of a nasty series at uneven times, with a few instants anywhere.
fn nasty_model(random: &mut Random) -> Model {
    let rows = 3 + random.below(58);
    let mut time_s = vec![0.0];
    for row in 1..rows {
        time_s.push(time_s[row - 1] + 0.001 + 0.03 * random.share());
    }
    let end_s = time_s[rows - 1];
    let anchors = InstantName::ALL.map(|name| (name, (1.2 * random.share() - 0.1) * end_s)).to_vec();
    let points = random.nasty(rows);
    Model { time_s, points, anchors: anchors.into_iter().take(2 + random.below(7)).collect() }
}

#[test]
fn any_series_give_finite_numbers_or_an_error() {
    let mut random = Random::new(12);
    let mut aligned = 0;
    for _ in 0..400 {
        let (student, reference) = (nasty_model(&mut random), nasty_model(&mut random));
        let options = AlignOptions {
            mode: [Mode::Anchored, Mode::Free][random.below(2)],
            step: StepPattern::ALL[random.below(3)],
            band: [None, Some(random.share())][random.below(2)],
            samples: (random.below(40) > 0).then(|| 3 + random.below(80)),
            open_ends: MAX_OPEN_ENDS * random.share(),
            ..AlignOptions::default()
        };
        let Ok(alignment) = align(&student.timed(), &reference.timed(), &options) else { continue };
        aligned += 1;
        let times: Vec<f64> = alignment.samples.iter().map(|sample| sample.time_s).collect();
        assert!(times.windows(2).all(|pair| pair[0] < pair[1]), "{times:?}");
        for sample in &alignment.samples {
            let numbers = [sample.matched_time_s, sample.lateness_s, sample.distance_m, sample.out_m];
            assert!(numbers.iter().all(|x| x.is_finite()), "{sample:?}");
        }
        for segment in &alignment.segments {
            assert!(segment.cost.is_finite() && segment.cost >= 0.0 && segment.time_ratio > 0.0, "{segment:?}");
            assert!(segment.path.windows(2).all(|pair| pair[0].0 <= pair[1].0 && pair[0].1 <= pair[1].1));
        }
    }
    assert!(aligned > 100, "{aligned}");
}

#[test]
fn far_away_points_count_as_missing() {
    let mut student = Model::even(120.0);
    for (row, x) in [(70, 1e300), (71, f64::INFINITY), (72, -1e9)] {
        student.points[row] = [x, 0.0, 0.0];
    }
    let alignment = student.aligned(&Model::even(120.0), &anchored());
    assert!(alignment.segments.iter().all(|segment| segment.cost.is_finite()));
    assert!(alignment.samples.iter().all(|sample| sample.distance_m.is_finite()));
}

/// The rendered text of every error.
#[test]
fn errors_say_what_was_expected_what_was_found_and_what_to_do() {
    let step = StepPattern::P1;
    let table = [
        (
            AlignError::NoAdmissiblePath { student: 9, reference: 30, step, band: None },
            "No way to match 9 samples of the student with 30 of the reference: step pattern P1 within a band of 29 \
             samples leaves none. Widen the band, choose a looser step pattern, or compare swings of a more similar \
             length.",
        ),
        (
            AlignError::NothingInCommon { common: 1 },
            "The swings cannot be aligned at instants: two instants found in both are needed, 1 found. Set the missing \
             instants, or align without them (free mode).",
        ),
        (
            AlignError::NothingLeft { segments: 4 },
            "None of the 4 segments between shared instants can be aligned: each needs 3 samples with data in both \
             swings, and its instants in the same order. Correct the instants, or align without them (free mode).",
        ),
        (
            AlignError::StudentTooShort { usable: 2 },
            "The student's hand path is too short to align: 3 samples are needed, 2 found. Choose a recording that \
             holds the swing.",
        ),
        (
            AlignError::ReferenceTooShort { usable: 0 },
            "The reference's hand path is too short to align: 3 samples are needed, 0 found. Choose a reference that \
             holds the swing.",
        ),
        (
            AlignError::NoSamples,
            "There is nothing to align: a hand path has no samples. Choose a recording that holds the swing.",
        ),
        (
            AlignError::TooManySamples { samples: 5000 },
            "5000 samples are too many to align at once: the limit is 2000. Ask for fewer samples per segment.",
        ),
        (
            AlignError::TooFewAskedFor { samples: 2 },
            "2 samples per segment are too few to show a path: ask for 3 or more.",
        ),
        (AlignError::BadBand { band: 1.5 }, "The band has to be a share of the segment from 0 to 1, not 1.500."),
        (
            AlignError::BadOpenEnds { open_ends: 0.5 },
            "The share left open at either end has to be from 0 to 0.4, not 0.500.",
        ),
        (
            AlignError::OpenEndsNeedWeights { step: StepPattern::Symmetric1 },
            "Open ends need a step pattern with a normalised cost, which symmetric1 has not. Choose symmetric2 or P1, \
             or align at the instants.",
        ),
        (
            AlignError::UnevenSeries { times: 3, points: 2 },
            "A hand path with 3 times and 2 points cannot be aligned: there has to be one point for each time, and the \
             times have to rise. Export the recording again.",
        ),
    ];
    for (error, text) in table {
        assert_eq!(error.to_string(), text);
    }
    let bias = Model::even(60.0).aligned(&Model::even(60.0), &anchored()).bias.to_string();
    assert_eq!(
        bias,
        "Time warping looks for the match with the smallest distance and then reports that distance: true deviations at \
         the same moment of the swing may be larger."
    );
}

#[test]
fn errors_arise_where_they_should() {
    let swing = Model::even(120.0);
    let error = |options: AlignOptions| align(&swing.timed(), &swing.timed(), &options).unwrap_err();
    assert!(matches!(error(AlignOptions { band: Some(f64::NAN), ..anchored() }), AlignError::BadBand { .. }));
    assert_eq!(error(AlignOptions { band: Some(-0.1), ..anchored() }), AlignError::BadBand { band: -0.1 });
    assert_eq!(error(AlignOptions { samples: Some(2), ..anchored() }), AlignError::TooFewAskedFor { samples: 2 });
    assert_eq!(error(AlignOptions { samples: Some(2001), ..free() }), AlignError::TooManySamples { samples: 2001 });
    assert_eq!(error(AlignOptions { open_ends: 0.41, ..free() }), AlignError::BadOpenEnds { open_ends: 0.41 });
    let step = StepPattern::Symmetric1;
    assert_eq!(error(AlignOptions { step, ..free() }), AlignError::OpenEndsNeedWeights { step });

    let against =
        |student: &Model, options: AlignOptions| align(&student.timed(), &swing.timed(), &options).unwrap_err();
    let mut other = Model::even(120.0);
    other.anchors.truncate(1);
    assert_eq!(against(&other, anchored()), AlignError::NothingInCommon { common: 1 });
    other.anchors = vec![(Top, 1.0), (Impact, 1.001)];
    assert_eq!(against(&other, anchored()), AlignError::NothingLeft { segments: 1 });
    other.points.fill(GAP);
    assert_eq!(against(&other, free()), AlignError::StudentTooShort { usable: 0 });
    let found = align(&swing.timed(), &other.timed(), &free()).unwrap_err();
    assert_eq!(found, AlignError::ReferenceTooShort { usable: 0 });
    other.points.pop();
    assert_eq!(against(&other, free()), AlignError::UnevenSeries { times: 241, points: 240 });
    let short = Model::new(120.0, 0.5, &[], |t| t);
    let closed = AlignOptions { open_ends: 0.0, ..free() };
    assert!(matches!(against(&short, closed), AlignError::NoAdmissiblePath { student: 250, reference: 1000, .. }));
}

#[test]
fn options_are_read_by_their_documented_words() {
    let text =
        r#"{"mode":"free","step":"P1","band":0.1,"local-cost":"squared-euclidean","samples":200,"open-ends":0.2}"#;
    let options: AlignOptions = serde_json::from_str(text).unwrap();
    let expected = AlignOptions {
        mode: Mode::Free,
        step: StepPattern::P1,
        band: Some(0.1),
        local_cost: LocalCost::SquaredEuclidean,
        samples: Some(200),
        open_ends: 0.2,
    };
    assert_eq!(options, expected);
    assert_eq!(serde_json::from_str::<AlignOptions>("{}").unwrap(), AlignOptions::default());
}
