use super::*;
use crate::align::Mode;
use crate::body::BodySize;
use crate::formats::{GAP, Point};
use crate::settings::{Club, Hand, SwingKind};
use crate::swing::{BodyPoint, Instant, InstantName};
use crate::table::Table;

const RATE_HZ: f64 = 100.0;

/// Hands on a smooth curve, one phase a second, of a body with arms of `arm_m`.
fn place(phase: f64, arm_m: f64) -> Point {
    [0.5 * (2.2 * phase).sin(), 0.6 * (1.7 * phase).cos(), 1.2 + 0.7 * (1.5 * phase).sin()].map(|x| arm_m * x)
}

/// A swing of two seconds with instants at these times; `pace` phases a second.
fn swing(arm_m: f64, pace: f64, instants: &[(InstantName, f64)]) -> Swing {
    let time_s: Vec<f64> = (0..=200).map(|row| f64::from(row) / RATE_HZ).collect();
    let hands: Vec<Point> = time_s.iter().map(|t| place(pace * t, arm_m)).collect();
    let instant = |&(name, time_s): &(InstantName, f64)| {
        let row = Some((time_s * RATE_HZ).round() as usize);
        Instant { name, time_s, row, source: "stated by the user", sd_s: 0.0 }
    };
    Swing {
        label: "reference B".to_owned(),
        hand: Hand::Right,
        club: Club::Iron,
        kind: SwingKind::Full,
        rate_hz: RATE_HZ,
        row: (0..time_s.len()).collect(),
        body: Table::from([(BodyPoint::LeadShoulder, vec![[0.0, 0.1, 2.0 * arm_m]; time_s.len()])]),
        time_s,
        hands,
        address_is_separate: false,
        hands_at_address: Some(place(0.0, arm_m)),
        ball: Some([1.2 * arm_m, f64::NAN, 0.02]),
        size: BodySize { arm_bones_m: Some(arm_m), ..BodySize::default() },
        has_body: true,
        target_sd_deg: 5.0,
        noise_m: 0.001,
        instants: instants.iter().map(instant).collect(),
        absent: vec![],
        guesses: vec![],
        warnings: vec![],
    }
}

const INSTANTS: [(InstantName, f64); 4] =
    [(InstantName::Address, 0.05), (InstantName::Takeaway, 0.2), (InstantName::Top, 1.004), (InstantName::Impact, 1.8)];

fn close(found: &Point, expected: &Point, tolerance: f64) {
    assert!(found.iter().zip(expected).all(|(a, b)| (a - b).abs() < tolerance), "{found:?} instead of {expected:?}");
}

#[test]
fn all_lengths_of_a_reference_are_scaled_and_nothing_else() {
    let small = swing(0.5, 1.0, &INSTANTS);
    let scaled = scale_reference(&small, 1.2);
    let large = swing(0.6, 1.0, &INSTANTS);
    scaled.hands.iter().zip(&large.hands).for_each(|(a, b)| close(a, b, 1e-12));
    close(&scaled.hands_at_address.unwrap(), &large.hands_at_address.unwrap(), 1e-12);
    close(&scaled.body[&BodyPoint::LeadShoulder][7], &[0.0, 0.12, 1.2], 1e-12);
    let ball = scaled.ball.unwrap();
    assert!((ball[0] - 0.72).abs() < 1e-12 && ball[1].is_nan() && (ball[2] - 0.024).abs() < 1e-12);
    assert!((scaled.size.arm_bones_m.unwrap() - 0.6).abs() < 1e-12 && (scaled.noise_m - 0.0012).abs() < 1e-12);
    assert_eq!((&scaled.time_s, &scaled.instants, &scaled.label), (&small.time_s, &small.instants, &small.label));
}

#[test]
fn the_same_swing_of_a_smaller_body_has_no_deviation() {
    let (student, reference) = (swing(0.6, 1.0, &INSTANTS), swing(0.5, 1.0, &INSTANTS));
    let comparison = compare(&student, &[reference], &AlignOptions::default()).unwrap();
    let compared = &comparison.references[0];
    assert!((compared.factor - 1.2).abs() < 1e-12);
    assert_eq!((compared.factor_source, compared.warnings.len()), (Some("lead arm bones"), 0));
    let alignment = compared.alignment.as_ref().unwrap();
    assert_eq!(alignment.segments.len(), 3);
    assert!(alignment.samples.iter().all(|sample| sample.distance_m < 1e-9));
    for row in &deviations_at_instants(&comparison)[0] {
        close(&row.difference, &[0.0; 3], 1e-9);
        assert!(row.lateness_s.is_none_or(|late| late.abs() < 1e-9));
    }
}

#[test]
fn the_table_holds_places_differences_and_lateness_at_instants() {
    let student = swing(0.6, 1.0, &INSTANTS);
    // The reference goes a tenth faster and reaches its instants at other phases.
    let theirs = [(InstantName::Takeaway, 0.1), (InstantName::Top, 0.9), (InstantName::Impact, 1.5)];
    let reference = swing(0.6, 1.1, &theirs);
    let comparison = compare(&student, std::slice::from_ref(&reference), &AlignOptions::default()).unwrap();
    let table = &deviations_at_instants(&comparison)[0];
    let names: Vec<InstantName> = table.iter().map(|row| row.instant).collect();
    // The address has a place in both, though no time in the reference.
    assert_eq!(names, [InstantName::Address, InstantName::Takeaway, InstantName::Top, InstantName::Impact]);
    for row in &table[1..] {
        let ours = place(student.instant(row.instant).unwrap().time_s, 0.6);
        let theirs = place(1.1 * reference.instant(row.instant).unwrap().time_s, 0.6);
        close(&row.student, &ours, 1e-5);
        close(&row.reference, &theirs, 1e-5);
        close(&row.difference, &[0, 1, 2].map(|c| ours[c] - theirs[c]), 2e-5);
    }
    assert_eq!((table[1].lateness_s, table[1].since), (None, None));
    assert_eq!(table[2].since, Some(InstantName::Takeaway));
    assert!((table[2].lateness_s.unwrap() - 0.004).abs() < 1e-9);
    assert_eq!(table[3].since, Some(InstantName::Top));
    assert!((table[3].lateness_s.unwrap() - 0.196).abs() < 1e-9);
}

#[test]
fn free_mode_has_lateness_at_instants_too() {
    let (student, reference) = (swing(0.6, 1.0, &INSTANTS), swing(0.6, 1.1, &INSTANTS));
    let options = AlignOptions { mode: Mode::Free, ..AlignOptions::default() };
    let comparison = compare(&student, &[reference], &options).unwrap();
    let table = &deviations_at_instants(&comparison)[0];
    // Both start at phase 0; at time t the student is where the reference was at t / 1.1.
    for row in table {
        let time_s = student.instant(row.instant).unwrap().time_s;
        assert!((row.lateness_s.unwrap() - (time_s - time_s / 1.1)).abs() < 0.015, "{row:?}");
        assert_eq!(row.since, None);
    }
}

#[test]
fn an_instant_in_a_gap_is_left_out_of_the_table() {
    let (mut student, reference) = (swing(0.6, 1.0, &INSTANTS), swing(0.6, 1.0, &INSTANTS));
    student.hands[95..105].fill(GAP);
    let comparison = compare(&student, &[reference], &AlignOptions::default()).unwrap();
    let names: Vec<InstantName> = deviations_at_instants(&comparison)[0].iter().map(|row| row.instant).collect();
    assert_eq!(names, [InstantName::Address, InstantName::Takeaway, InstantName::Impact]);
}

#[test]
fn a_reference_that_cannot_be_aligned_is_kept_with_the_reason() {
    let student = swing(0.6, 1.0, &INSTANTS);
    let (good, bad) = (swing(0.6, 1.0, &INSTANTS), swing(0.6, 1.0, &INSTANTS[..1]));
    let comparison = compare(&student, &[bad, good], &AlignOptions::default()).unwrap();
    assert_eq!(comparison.references[0].alignment, Err(AlignError::NothingInCommon { common: 1 }));
    assert!(comparison.references[1].alignment.is_ok());
    let table = deviations_at_instants(&comparison);
    assert_eq!((table[0].len(), table[1].len()), (1, 4));

    let options = AlignOptions { band: Some(2.0), ..AlignOptions::default() };
    assert_eq!(compare(&student, &[], &options), Err(AlignError::BadBand { band: 2.0 }));
    assert!(compare(&student, &[], &AlignOptions::default()).unwrap().references.is_empty());
}

#[test]
fn doubtful_comparisons_say_so() {
    let student = swing(0.6, 1.0, &INSTANTS);
    let mut reference = swing(0.5, 1.0, &INSTANTS);
    reference.size = BodySize::default();
    reference.club = Club::Driver;
    reference.kind = SwingKind::Drill;
    reference.hand = Hand::Left;
    reference.has_body = false;
    let comparison = compare(&student, &[reference], &AlignOptions::default()).unwrap();
    let compared = &comparison.references[0];
    assert_eq!((compared.factor, compared.factor_source), (1.0, None));
    let told: Vec<String> = compared.warnings.iter().map(Message::to_string).collect();
    assert_eq!(
        told,
        [
            "reference B: no body length is known in both swings, so the reference is not scaled to the student. State \
             both statures to have it scaled.",
            "reference B was played with another kind of club: compare times, not places.",
            "reference B is another kind of swing: compare times, not places.",
            "reference B plays from the other side and is shown mirrored.",
            "reference B: without body points in both swings there is no common frame; only the shape of the paths can \
             be compared.",
        ]
    );
}
