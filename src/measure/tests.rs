use super::*;
use crate::formats::Point;
use crate::settings::{Club, Hand, SwingKind};
use crate::swing::{Instant, InstantName};
use crate::table::Table;
use crate::words::english;
use std::collections::BTreeSet;

/// A swing whose hands follow a curve of time for one second, with lead arm level and impact where stated.
fn swing_along(curve: impl Fn(f64) -> Point, rate_hz: f64, level_s: f64, impact_s: f64) -> Swing {
    let time_s: Vec<f64> = (0..=rate_hz as usize).map(|k| k as f64 / rate_hz).collect();
    let instant = |name, time_s| Instant { name, time_s, row: None, source: "test", sd_s: 0.0 };
    Swing {
        label: String::new(),
        hand: Hand::Right,
        club: Club::Iron,
        kind: SwingKind::Full,
        rate_hz,
        row: (0..time_s.len()).collect(),
        hands: time_s.iter().map(|t| curve(*t)).collect(),
        time_s,
        body: Table::new(),
        address_is_separate: false,
        hands_at_address: None,
        ball: Some([0.6, f64::NAN, 0.02]),
        size: Default::default(),
        has_body: true,
        target_sd_deg: 1.0,
        noise_m: 0.0,
        instants: vec![
            instant(InstantName::Top, 0.1),
            instant(InstantName::LeadArmLevel, level_s),
            instant(InstantName::Impact, impact_s),
        ],
        absent: vec![],
        guesses: vec![],
        warnings: vec![],
    }
}

fn value(swing: &Swing, name: &str) -> f64 {
    let list = measures(swing);
    let found = list.iter().find(|measure| measure.name == name).unwrap();
    found.value.unwrap_or_else(|| panic!("{name}: {:?}", found.absent))
}

fn near(found: f64, exact: f64, relative: f64) {
    assert!((found / exact - 1.0).abs() < relative, "{found} instead of {exact}");
}

#[test]
fn every_measure_has_one_name_and_a_sentence() {
    let (names, keys): (BTreeSet<_>, BTreeSet<_>) = specs().map(|spec| (spec.name, spec.key)).unzip();
    assert_eq!((names.len(), keys.len()), (specs().count(), specs().count()));
    for spec in specs() {
        assert!(english(spec.key).ends_with('.'), "{} has no sentence", spec.key);
        assert!(!spec.rests_on.is_empty());
    }
}

/// Exact mathematics: circle R has radius R; ellipse a, b has b^2/a at the ends of its major axis and a^2/b at those of
/// its minor; helix radius r, pitch 2 pi c has (r^2 + c^2) / r.
#[test]
fn local_radius_of_circle_ellipse_and_helix() {
    use std::f64::consts::{FRAC_PI_2, PI};
    let (level, impact) = ("local radius, at lead arm level", "local radius, at impact");
    let around = |a: f64, b: f64, c: f64| move |t: f64| [a * (5.0 * t).cos(), b * (5.0 * t).sin(), c * 5.0 * t];
    let (quarter_s, half_s) = (FRAC_PI_2 / 5.0, PI / 5.0);
    let circle = swing_along(around(0.62, 0.62, 0.0), 120.0, 0.3, 0.7);
    near(value(&circle, level), 0.62, 3e-4);
    near(value(&circle, impact), 0.62, 3e-4);
    near(value(&circle, "hand speed, at impact"), 0.62 * 5.0, 1e-6);
    let ellipse = swing_along(around(0.7, 0.5, 0.0), 120.0, quarter_s, half_s);
    near(value(&ellipse, level), 0.7 * 0.7 / 0.5, 3e-3);
    near(value(&ellipse, impact), 0.5 * 0.5 / 0.7, 3e-3);
    let helix = swing_along(around(0.6, 0.6, 0.2), 120.0, 0.3, 0.7);
    near(value(&helix, level), (0.36 + 0.04) / 0.6, 3e-4);
}

#[test]
fn a_tilted_circle_lies_in_its_plane() {
    // Level line 20 degrees out of the target line, 55 degrees steep.
    let (direction, steep) = (20.0_f64.to_radians(), 55.0_f64.to_radians());
    let level = [direction.sin(), direction.cos(), 0.0];
    let rise = [steep.cos() * direction.cos(), -steep.cos() * direction.sin(), steep.sin()];
    let tilted = |t: f64| {
        let (sin, cos) = (5.0 * t).sin_cos();
        std::array::from_fn(|c| 0.6 * (cos * level[c] + sin * rise[c]))
    };
    let swing = swing_along(tilted, 120.0, 0.3, 0.7);
    near(value(&swing, "hand plane, inclination"), 55.0, 1e-6);
    near(value(&swing, "hand plane, direction"), 20.0, 1e-6);
    assert!(value(&swing, "hand plane, RMS distance") < 1e-9);
}

#[test]
fn a_straight_path_has_its_drift_sides_and_chord() {
    // 0.1 m/s out, 0.2 m/s to the target, 0.4 m/s down, from 0.1 s on: drift to 0.6 s is 5 cm.
    let swing = swing_along(|t| [0.1 * t, 0.2 * t, 1.5 - 0.4 * t], 100.0, 0.6, 0.9);
    near(value(&swing, "out drift, greatest"), 0.05, 1e-9);
    near(value(&swing, "out drift, at lead arm level"), 0.05, 1e-9);
    assert_eq!(value(&swing, "out drift, least"), 0.0);
    near(value(&swing, "depth at the top"), 0.59, 1e-9);
    near(value(&swing, "first move, ground direction"), 0.5_f64.atan().to_degrees(), 1e-9);
    near(value(&swing, "first move, direction from straight down"), 0.25_f64.atan().to_degrees(), 1e-9);
    assert!(value(&swing, "early turning").abs() < 1e-6);
    let direct = (0.59_f64).atan2(1.46 - 0.02);
    near(value(&swing, "chord to impact, angle from the direct line"), (direct - 0.25_f64.atan()).to_degrees(), 1e-9);
    near(value(&swing, "chord to impact, distance from the ball line"), 0.6 - (0.01 + 0.25 * 1.44), 1e-9);
}

/// A quarter circle seen from overhead turns by its angle.
#[test]
fn early_turning_is_the_angle_turned() {
    let swing = swing_along(|t| [0.5 * (1.0 - (2.0 * t).cos()), 0.5 * (2.0 * t).sin(), 1.0], 200.0, 0.8, 0.9);
    // The downswing is 0.8 s long on a circle of 0.5 m at 1 m/s; the first tenth (8 cm) is left out: 0.16 rad of 1.4.
    let turned = value(&swing, "early turning").to_radians();
    assert!((turned - (1.4 - 0.16)).abs() < 0.04, "{turned}");
}

#[test]
fn what_the_data_cannot_carry_is_absent_with_its_reason() {
    let swing = swing_along(|t| [0.1 * t, 0.2 * t, 1.5 - 0.1 * t], 100.0, 0.6, 0.9);
    let why = |swing: &Swing, name: &str| {
        let list = measures(swing);
        let found = list.iter().find(|measure| measure.name == name).unwrap();
        assert_eq!(found.value, None, "{name}");
        found.absent.as_ref().unwrap().to_string()
    };
    let chord = "chord to impact, distance from the ball line";
    assert_eq!(why(&swing, chord), "The hands drop by less than 20 cm.");
    assert_eq!(why(&swing, "carried, out"), "The point lead-shoulder is not known.");
    assert_eq!(why(&swing, "hands at hip height, up"), "It needs an instant that was not found: hip height.");
    assert_eq!(why(&swing, "club path, at impact"), "The point club-head is not known.");
    let hands_only = Swing { has_body: false, ..swing.clone() };
    assert_eq!(why(&hands_only, "out drift, greatest"), "Only the hands are known, so there is no target line.");
    assert!(value(&hands_only, "hand speed, peak") > 0.0);
    let no_ball = Swing { ball: None, ..swing.clone() };
    assert_eq!(why(&no_ball, "depth at the top"), "The place of the ball is not known.");
    let noisy = Swing { noise_m: 0.01, ..swing.clone() };
    let small = "The hands move too little against the noise to have a direction.";
    assert_eq!(why(&noisy, "first move, ground direction"), small);
    let mut gap = swing.clone();
    gap.hands[30..35].fill(crate::formats::GAP);
    assert_eq!(why(&gap, "out drift, greatest"), "A point is missing just where it is needed.");
    let mut order = swing;
    order.instants[0].time_s = 0.7;
    let text = "It needs top to come before lead arm level, and they do not.";
    assert_eq!(why(&order, "out drift, greatest"), text);
}

#[test]
fn reasons_of_arms_trunk_and_club_are_said() {
    let said = [
        (Why::ArmsStay, "The arms themselves lower the hands by less than 2 cm before impact."),
        (Why::NotUnwound, "The trunk does not unwind by 2 degrees before impact."),
        (Why::FewSamples, "The club head has too few samples just before impact."),
    ];
    for (why, text) in said {
        assert_eq!(why.message().to_string(), text);
    }
}

#[test]
fn nothing_to_measure_is_no_crash() {
    let mut swing = swing_along(|_| [0.0; 3], 100.0, 0.6, 0.9);
    measures(&swing);
    for wild in [f64::INFINITY, f64::NEG_INFINITY, f64::NAN, 1e300] {
        let mut odd = swing.clone();
        odd.instants[2].time_s = wild;
        measures(&odd);
        odd.hands[40] = [wild; 3];
        measures(&odd);
    }
    swing.hands.fill(crate::formats::GAP);
    assert!(
        measures(&swing).iter().all(|measure| measure.value.is_none() || measure.unit == "s" || measure.unit == "1")
    );
    (swing.time_s, swing.hands, swing.row) = (vec![], vec![], vec![]);
    measures(&swing);
    swing.instants.clear();
    assert!(measures(&swing).iter().all(|measure| measure.value.is_none() && measure.absent.is_some()));
}

#[test]
fn what_is_hard_to_believe_is_said() {
    // A flat, wide, fast circle: 0.9 m at 20 rad/s, the top at 0.1 s, impact at 0.25 s, and a takeaway just before.
    let flat = |t: f64| [0.9 * (20.0 * t).cos(), 0.9 * (20.0 * t).sin(), 0.1 * (20.0 * t).cos()];
    let mut swing = swing_along(flat, 200.0, 0.15, 0.25);
    swing.size.reach_m = Some(0.9);
    swing.size.stature_m = Some(1.8);
    let takeaway = Instant { name: InstantName::Takeaway, time_s: 0.02, row: None, source: "test", sd_s: 0.0 };
    swing.instants.insert(0, takeaway);
    let told: Vec<String> = doubts(&swing, &without_intervals(&swing)).iter().map(ToString::to_string).collect();
    let expected = [
        "The plane of the hands is only 6 degrees steep. Check which way is up, and the tracks of the hands.",
        "The hands reach 18.1 m/s, faster than players are known to be. Check the unit and the sampling rate.",
        "The way back takes 0.5 times as long as the way down; about 3 is usual. Check takeaway, top and impact.",
        "The hands are 0.50 of the stature away from the shoulder, farther than an arm is long. Check stature, unit, and \
         the tracks of shoulder and hands.",
    ];
    assert_eq!(told, expected);
    let mut fast = measures(&swing);
    fast.retain(|measure| measure.name == "club head speed, at impact");
    fast[0].value = Some(71.0);
    swing.size.stature_m = None;
    let text =
        "The club head reaches 71 m/s, faster than players are known to be. Check the unit and the sampling rate.";
    assert_eq!(doubts(&swing, &fast).iter().map(ToString::to_string).collect::<Vec<_>>(), [text]);
}

#[test]
fn draws_are_the_same_every_time_and_hold_the_value() {
    let mut swing = swing_along(|t| [0.5 * (2.0 * t).cos(), 0.5 * (2.0 * t).sin(), 1.5 - t], 120.0, 0.5, 0.9);
    swing.noise_m = 0.001;
    swing.instants.iter_mut().for_each(|instant| instant.sd_s = 0.002);
    assert_eq!(draws(&swing), draws(&swing));
    let mut told = 0;
    for (k, measure) in measures(&swing).iter().enumerate() {
        let Some((value, low, high)) = (|| Some((measure.value?, measure.low_90?, measure.high_90?)))() else {
            continue;
        };
        assert!(low <= value && value <= high, "{measure:?}");
        // At a bound that every draw keeps to, nothing is open.
        assert!(low < high || value == 0.0, "{measure:?}");
        assert!(draws(&swing).iter().any(|draw| draw[k].is_some()));
        told += 1;
    }
    assert!(told > 20, "{told}");
    let first = measures(&swing).iter().rposition(|measure| measure.drawer == Drawer::First).unwrap();
    assert!(measures(&swing)[..=first].iter().all(|measure| measure.drawer == Drawer::First));
}
