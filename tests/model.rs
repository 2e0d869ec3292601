//! The forward model against its own definitions and against published magnitudes.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use handpath::formats::is_gap;
use handpath::model::{
    Kind, ModelParams, Motion, Naming, Pose, REFERENCES, SampleOptions, Side, V, reference, sample, student,
};
use handpath::settings::{Club, Hand};
use handpath::swing::InstantName as At;

fn all_presets() -> Vec<(String, ModelParams)> {
    let mut all: Vec<(String, ModelParams)> = Kind::ALL.iter().map(|k| (format!("{k:?}"), k.params())).collect();
    all.extend(REFERENCES.iter().map(|letter| (format!("reference {letter}"), reference(*letter))));
    for lesson in 1..=2 {
        all.extend((1..=5).map(|swing| (format!("student {lesson}-{swing}"), student(lesson, swing))));
    }
    for club in [Club::Driver, Club::FairwayWood, Club::Iron, Club::Wedge] {
        all.push((format!("{club:?}"), ModelParams { club, press_m: 0.03, waggles: 2, ..ModelParams::default() }));
    }
    for stature_m in [1.0, 1.35, 2.2] {
        all.push((format!("{stature_m} m"), ModelParams { stature_m, ..ModelParams::default() }));
    }
    all.push(("three swings".into(), ModelParams { swings: 3, variation: 1.0, ..ModelParams::default() }));
    all
}

fn poses(params: &ModelParams) -> Vec<(f64, Pose)> {
    let motion = Motion::new(params);
    let [start_s, end_s] = motion.window(params);
    let rows = ((end_s - start_s) * 200.0) as usize;
    let times = (0..rows).map(|k| start_s + k as f64 / 200.0);
    times.map(|t| (t, motion.pose(t).unwrap_or_else(|error| panic!("{error:?}")))).collect()
}

/// Every bone of a pose, and the length it has to keep.
fn bones(pose: &Pose, motion: &Motion) -> Vec<(&'static str, f64, f64)> {
    let build = &motion.build;
    let mut out = vec![
        ("trunk", (pose.mid_shoulder - pose.mid_hip).norm(), build.trunk),
        ("shoulders", (pose.arms[0].shoulder - pose.arms[1].shoulder).norm(), 2.0 * build.half_shoulders),
        ("hips", (pose.legs[0].hip - pose.legs[1].hip).norm(), 2.0 * build.half_hips),
        ("grip", (pose.arms[0].fist - pose.arms[1].fist).norm(), 2.0 * build.half_grip),
        ("club", (pose.club_head - pose.hands).norm(), build.club),
    ];
    for arm in &pose.arms {
        out.push(("upper arm", (arm.elbow - arm.shoulder).norm(), build.upper_arm));
        out.push(("forearm", (arm.wrist - arm.elbow).norm(), build.forearm));
        out.push(("lower arm", (arm.fist - arm.elbow).norm(), build.lower_arm));
    }
    for leg in &pose.legs {
        out.push(("thigh", (leg.knee - leg.hip).norm(), build.thigh));
        out.push(("shank", (leg.ankle - leg.knee).norm(), build.shank));
    }
    out
}

#[test]
fn every_bone_keeps_its_length_in_every_preset() {
    for (name, params) in all_presets() {
        let motion = Motion::new(&params);
        for (t, pose) in poses(&params) {
            for (bone, length, wanted) in bones(&pose, &motion) {
                assert!((length - wanted).abs() < 1e-9, "{name} at {t}: {bone} {length} instead of {wanted}");
            }
            let middle = 0.5 * (pose.arms[0].fist + pose.arms[1].fist);
            assert!((middle - pose.hands).norm() < 1e-12, "{name}: mid-hands are not between the hands");
        }
    }
}

/// A jump of a joint would show as a speed that no body reaches.
#[test]
fn joints_move_smoothly() {
    for (name, params) in all_presets() {
        let poses = poses(&params);
        for pair in poses.windows(2) {
            let (a, b) = (&pair[0].1, &pair[1].1);
            let joints = |pose: &Pose| [pose.arms[0].elbow, pose.arms[1].elbow, pose.legs[0].knee, pose.legs[1].knee];
            for (p, q) in joints(a).iter().zip(joints(b)) {
                assert!(
                    (p - q).norm() * 200.0 < 15.0,
                    "{name} at {}: a joint moves {} m/s",
                    pair[0].0,
                    (p - q).norm() * 200.0
                );
            }
        }
    }
}

#[test]
fn any_sliders_in_the_documented_ranges_stay_in_reach() {
    // A plain lattice of the extremes and the middle of what the try-it sliders will offer.
    for stature_m in [1.4, 2.0] {
        for club in [Club::Driver, Club::Iron, Club::Wedge] {
            for throw_m in [-0.12, 0.0, 0.12] {
                for lunge_m in [0.0, 0.08] {
                    for top_depth_m in [-0.1, 0.08] {
                        for flat_deg in [0.0, 10.0] {
                            let params = ModelParams {
                                stature_m,
                                club,
                                throw_m,
                                lunge_m,
                                top_depth_m,
                                flat_deg,
                                drop_m: 0.03,
                                ..ModelParams::default()
                            };
                            assert!(
                                sample(&Motion::new(&params), &params, &SampleOptions::default()).is_ok(),
                                "{params:?}"
                            );
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn out_of_reach_is_an_error_and_not_a_stretched_bone() {
    let params = ModelParams { lunge_m: -0.6, ..ModelParams::default() };
    let error = sample(&Motion::new(&params), &params, &SampleOptions::default()).unwrap_err();
    assert!(error.wanted_m > error.longest_m, "{error:?}");
}

#[test]
fn instants_satisfy_their_definitions() {
    for (name, params) in all_presets() {
        let motion = Motion::new(&params);
        for swing in 0..params.swings as usize {
            let truth = motion.truth(swing).unwrap();
            let at = |instant| truth.instant(instant).unwrap_or_else(|| panic!("{name}: no {instant:?}"));
            let order = [At::Address, At::Takeaway, At::Top, At::LeadArmLevel, At::HipHeight, At::Impact, At::Finish];
            assert!(order.windows(2).all(|pair| at(pair[0]) < at(pair[1])), "{name}: {truth:?}");
            let level = at(At::LeadArmLevel);
            assert!((motion.hands(level).z - motion.lead_shoulder_at(level).z).abs() < 1e-6, "{name}");
            assert!(motion.club_direction(at(At::ShaftLevel)).z.abs() < 1e-6, "{name}");
            assert!((motion.hand_speed(at(At::Takeaway)) - 0.10).abs() < 1e-6, "{name}");
            assert!(motion.hand_speed(at(At::Address)) < 0.10, "{name}");
            let gap = |t: f64| (motion.club_head(t) - truth.ball).norm();
            assert!(gap(at(At::Impact)) < 1e-9, "{name}: {}", gap(at(At::Impact)));
            assert!(gap(at(At::Impact) - 1e-4) > gap(at(At::Impact)), "{name}");
            // The top is a rest, or no slower moment lies within 50 ms.
            let top = at(At::Top);
            let slower =
                (-50..=50).any(|ms| motion.hand_speed(top + f64::from(ms) * 1e-3) < motion.hand_speed(top) - 1e-9);
            assert!(motion.hand_speed(top) < 0.10 || !slower, "{name}: {}", motion.hand_speed(top));
        }
    }
}

/// Hip height is defined by the front hip bones, which the sampled tracks show: the two ways must agree.
#[test]
fn hip_height_agrees_with_the_sampled_hip_bones() {
    let params = ModelParams::default();
    let motion = Motion::new(&params);
    let t = motion.truth(0).unwrap().instants[&At::HipHeight];
    let window_s = Some([t, t]);
    let rec = sample(&motion, &params, &SampleOptions { window_s, ..SampleOptions::default() }).unwrap();
    let up = |name: &str| rec.track(name).unwrap().points[0][2];
    assert_eq!(rec.rows(), 1);
    assert!((0.5 * (up("LFIN") + up("RFIN")) - 0.5 * (up("LASI") + up("RASI"))).abs() < 1e-6);
}

#[test]
fn shares_add_up_to_the_displacement_and_its_parts_to_the_body() {
    for (name, params) in all_presets() {
        let motion = Motion::new(&params);
        let truth = motion.truth(0).unwrap();
        let spans =
            [(At::Top, At::LeadArmLevel), (At::Takeaway, At::Top), (At::Top, At::Finish), (At::Impact, At::Top)];
        for (from, to) in spans.map(|(a, b)| (truth.instants[&a], truth.instants[&b])) {
            let shares = motion.shares(from, to);
            let moved = motion.hands(to) - motion.hands(from);
            let off = (shares.arms + shares.body - moved).norm();
            assert!(off < 1e-9, "{name}: {off}");
            assert!((shares.shift + shares.turn + shares.tilt - shares.body).norm() < 1e-12, "{name}");
        }
    }
}

/// In the stillness before the takeaway only mid-hip sways, and nothing but a shift may show.
#[test]
fn a_swaying_player_shows_a_shift_and_nothing_else() {
    let still = Motion::new(&ModelParams::default()).shares(0.1, 0.6);
    assert!(still.arms.norm() < 1e-12 && still.turn.norm() < 1e-12 && still.tilt.norm() < 1e-9, "{still:?}");
    assert!(still.shift.norm() > 1e-5, "{still:?}");
}

fn drift(params: &ModelParams) -> (f64, f64, f64) {
    let motion = Motion::new(params);
    let truth = motion.truth(0).unwrap();
    let (top, level) = (truth.instants[&At::Top], truth.instants[&At::LeadArmLevel]);
    let shares = motion.shares(top, level);
    let cm = |v: V| 100.0 * v.x;
    (cm(motion.hands(level) - motion.hands(top)), cm(shares.arms), cm(shares.body))
}

#[test]
fn presets_differ_in_the_way_their_names_say() {
    let first: Vec<_> = (1..=5).map(|swing| drift(&student(1, swing))).collect();
    let second: Vec<_> = (1..=5).map(|swing| drift(&student(2, swing))).collect();
    let references: Vec<_> = REFERENCES.iter().map(|letter| drift(&reference(*letter))).collect();
    assert!(first.iter().all(|(out, arms, _)| (12.0..16.0).contains(out) && *arms > -8.0), "{first:?}");
    assert!(second.iter().all(|(out, arms, _)| (5.0..8.0).contains(out) && *arms < -8.0), "{second:?}");
    assert!(references.iter().all(|(out, arms, _)| *out < 5.0 && *arms < -8.0), "{references:?}");
    let usual = drift(&ModelParams::default());
    assert!(drift(&Kind::ArmDriven.params()).1 > usual.1 + 8.0);
    assert!(drift(&Kind::BodyCarried.params()).2 > usual.2 + 2.0);
    assert!(drift(&Kind::FlatTurn.params()).2 > usual.2 + 5.0);
    assert!(drift(&Kind::Lunge.params()).2 > usual.2 + 5.0);
    let top = |params: &ModelParams| {
        let motion = Motion::new(params);
        motion.hands(motion.truth(0).unwrap().instants[&At::Top])
    };
    let change = top(&Kind::NoRoom.params()) - top(&ModelParams::default());
    assert!(change.x > 0.05 && change.y > 0.03 && change.z > 0.05, "{change}");
    assert!(top(&Kind::TooFarInside.params()).x < top(&ModelParams::default()).x - 0.03);
}

/// Magnitudes of real swings. Sources: take-away to top 0.8 to 0.9 s (McTeigue et al. 1994, abstract seen); club head
/// speed with the driver 40 to 58 m/s among low handicaps (MacKenzie, Ryan and Rice 2015, seen); downswing 0.20 to
/// 0.25 s (Cochran and Stobbs 1968, from memory); hand speed about 7 to 11 m/s, at impact 60 to 90 % of its peak (from
/// memory, low confidence: a wide band only).
#[test]
fn speeds_and_times_are_plausible() {
    for letter in REFERENCES {
        let params = reference(letter);
        let motion = Motion::new(&params);
        let instants = motion.truth(0).unwrap().instants;
        let (backswing_s, downswing_s) =
            (instants[&At::Top] - instants[&At::Takeaway], instants[&At::Impact] - instants[&At::Top]);
        assert!((0.65..1.0).contains(&backswing_s), "{letter}: {backswing_s}");
        assert!((0.20..0.32).contains(&downswing_s), "{letter}: {downswing_s}");
        let speeds = (0..400).map(|k| motion.hand_speed(instants[&At::Top] + downswing_s * f64::from(k) / 400.0));
        let peak = speeds.fold(0.0, f64::max);
        let at_impact = motion.hand_speed(instants[&At::Impact]) / peak;
        assert!((6.0..9.5).contains(&peak) && (0.6..0.95).contains(&at_impact), "{letter}: {peak} {at_impact}");
        let head = motion.club_head_velocity(instants[&At::Impact]).norm();
        let range = if params.club == Club::Driver { 40.0..58.0 } else { 30.0..45.0 };
        assert!(range.contains(&head), "{letter}: {head}");
    }
}

/// Common practice: at impact the hands are higher and farther out than at address, and nearer the target by about 8 cm
/// with irons and 4 cm with the driver.
#[test]
fn hands_at_impact_lead_their_address() {
    for (club, lead) in [(Club::Driver, 0.04), (Club::FairwayWood, 0.06), (Club::Iron, 0.08), (Club::Wedge, 0.08)] {
        let motion = Motion::new(&ModelParams { club, ..ModelParams::default() });
        let truth = motion.truth(0).unwrap();
        let moved = motion.hands(truth.instants[&At::Impact]) - truth.hands_at_address;
        assert!((0.01..0.07).contains(&moved.x) && (0.01..0.05).contains(&moved.z), "{club:?}: {moved}");
        assert!((moved.y - lead).abs() < 0.005, "{club:?}: {moved}");
    }
}

/// That variability falls from the top to impact: Horan et al. 2011 (abstract seen). The sizes are the model's choice.
#[test]
fn repeated_swings_vary_most_at_the_top_and_least_at_impact() {
    let spread = |instant: At| {
        let places: Vec<V> = (0..40)
            .map(|seed| {
                let motion = Motion::new(&ModelParams { variation: 1.0, seed, ..ModelParams::default() });
                motion.hands(motion.truth(0).unwrap().instants[&instant])
            })
            .collect();
        let mean = places.iter().sum::<V>() / places.len() as f64;
        (places.iter().map(|p| (p - mean).norm_squared()).sum::<f64>() / (3.0 * places.len() as f64)).sqrt()
    };
    let (top, impact) = (spread(At::Top), spread(At::Impact));
    assert!((0.005..0.012).contains(&top), "{top}");
    assert!(impact < 0.5 * top && impact > 0.0005, "{impact} {top}");
}

#[test]
fn a_left_hander_is_the_mirror_image() {
    let right = ModelParams::default();
    let left = ModelParams { hand: Hand::Left, ..ModelParams::default() };
    let motion = Motion::new(&right);
    let options = SampleOptions { naming: Naming::Words, rate_hz: 50.0, ..SampleOptions::default() };
    let (a, b) = (sample(&motion, &right, &options).unwrap(), sample(&motion, &left, &options).unwrap());
    for (here, there) in [("Left Elbow", "Right Elbow"), ("Right Toe", "Left Toe"), ("Club Head", "Club Head")] {
        for (p, q) in a.track(here).unwrap().points.iter().zip(&b.track(there).unwrap().points) {
            assert!((p[0] - q[0]).abs() + (p[1] + q[1]).abs() + (p[2] - q[2]).abs() < 1e-12, "{p:?} {q:?}");
        }
    }
}

#[test]
fn recordings_start_and_stop_where_the_parameters_say() {
    let rows = |params: ModelParams| {
        let motion = Motion::new(&params);
        sample(&motion, &params, &SampleOptions::default()).unwrap().rows() as f64 / 240.0
    };
    let whole = rows(ModelParams::default());
    let times = Motion::new(&ModelParams::default()).times[0];
    let short = rows(ModelParams { start_before_top_s: Some(0.1), ..ModelParams::default() });
    assert!((whole - short - (times.top_s - 0.1)).abs() < 0.01);
    let stopped = rows(ModelParams { stop_before_impact_s: Some(0.02), ..ModelParams::default() });
    assert!((stopped - (times.impact_s - 0.02)).abs() < 0.01);
    assert!(rows(ModelParams { swings: 3, ..ModelParams::default() }) > 3.0 * whole);
}

#[test]
fn noise_has_the_stated_size_and_the_ball_leaves() {
    let params = ModelParams::default();
    let motion = Motion::new(&params);
    let clean = sample(&motion, &params, &SampleOptions::default()).unwrap();
    let noisy = sample(&motion, &params, &SampleOptions { noise_m: 0.002, ..SampleOptions::default() }).unwrap();
    let pairs = clean.tracks.iter().zip(&noisy.tracks).flat_map(|(a, b)| a.points.iter().zip(&b.points));
    let off: Vec<f64> =
        pairs.filter(|(p, _)| !is_gap(p)).flat_map(|(p, q)| [q[0] - p[0], q[1] - p[1], q[2] - p[2]]).collect();
    let sd = (off.iter().map(|x| x * x).sum::<f64>() / off.len() as f64).sqrt();
    assert!((sd - 0.002).abs() < 0.00005, "{sd}");
    let ball = &clean.track("BALL").unwrap().points;
    assert!(!is_gap(&ball[0]) && is_gap(&ball[ball.len() - 1]));
    assert_eq!(Side::BOTH.map(Side::sign), [1.0, -1.0]);
}
