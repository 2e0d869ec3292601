//! Every guess can be corrected, and every error of the analysis says what to do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

use handpath::formats::{Axis, Recording};
use handpath::measure::without_intervals;
use handpath::model::{ModelParams, Motion, SampleOptions, sample};
use handpath::roles::Role;
use handpath::settings::{Club, Corrections, Hand, SwingKind, TargetLine};
use handpath::swing::{BodyPoint, GuessValue, InstantName, Swing, SwingError, analyse};

fn recording() -> Recording {
    recording_of(&ModelParams::default())
}

fn recording_of(params: &ModelParams) -> Recording {
    sample(&Motion::new(params), params, &SampleOptions::default()).unwrap()
}

/// Without the units the model states in its tracks.
fn without_units(mut recording: Recording) -> Recording {
    recording.tracks.iter_mut().for_each(|track| track.unit = None);
    recording
}

fn corrected(recording: &Recording, correct: impl Fn(&mut Corrections)) -> Swing {
    let mut corrections = Corrections::default();
    correct(&mut corrections);
    analyse(recording, None, &corrections).unwrap()
}

fn source(swing: &Swing, what: &str) -> String {
    swing.guesses.iter().find(|guess| guess.what == what).unwrap_or_else(|| panic!("no guess {what}")).source.to_owned()
}

fn at_top(swing: &Swing) -> [f64; 3] {
    swing.hand_curve().position(swing.instant(InstantName::Top).unwrap().time_s).unwrap()
}

#[test]
fn unit_scale_and_stature() {
    let plain = corrected(&recording(), |_| {});
    assert_eq!(source(&plain, "scale"), "stated by the file");
    let halved = corrected(&recording(), |c| c.scale = Some(0.9));
    assert!((at_top(&halved)[2] / at_top(&plain)[2] - 0.9).abs() < 1e-6);
    assert_eq!(source(&halved, "scale"), "stated by the user");

    let unstated = without_units(recording());
    assert_eq!(source(&corrected(&unstated, |_| {}), "unit"), "body size");
    let mut odd = unstated.clone();
    odd.tracks.iter_mut().flat_map(|t| &mut t.points).for_each(|p| *p = p.map(|x| x * 17.0));
    let assumed = corrected(&odd, |_| {});
    assert_eq!(source(&assumed, "size"), "assumed: stature 1.75 m");
    assert!(assumed.guesses.iter().any(|g| g.what == "scale" && g.sd.unwrap() > 0.0));
    // The model is 1.80 m tall: with its stature stated the path comes out in true metres within the proportions' error.
    let stated = corrected(&odd, |c| c.stature = Some(1.80));
    assert_eq!(source(&stated, "scale"), "stature stated by the user");
    let ratio = at_top(&stated)[2] / at_top(&plain)[2];
    assert!((ratio - 1.0).abs() < 0.07, "{ratio}");
}

#[test]
fn up_and_hand_and_mirror() {
    let up = corrected(&recording(), |c| c.up = Some(Axis::PlusZ));
    assert_eq!(source(&up, "up"), "stated by the user");
    let left = corrected(&recording(), |c| c.hand = Some(Hand::Left));
    assert_eq!((left.hand, source(&left, "hand").as_str()), (Hand::Left, "stated by the user"));
    // Told that the file is mirrored, the same tracks are a left-hander's with labels on the wrong sides.
    let mirrored = corrected(&recording(), |c| c.mirror = Some(true));
    assert!(mirrored.warnings.iter().any(|w| w.key == "swing.mirror_conflict"));
}

#[test]
fn target_line_and_aim() {
    let plain = corrected(&recording(), |_| {});
    assert_eq!(source(&plain, "target line"), "ankle line at address");
    for (line, name) in [
        (TargetLine::Toes, "toe line at address"),
        (TargetLine::Hips, "hip line at address"),
        (TargetLine::Shoulders, "shoulder line at address"),
        (TargetLine::Direction([0.0, 1.0, 0.3]), "stated by the user"),
        (TargetLine::Markers { near: "RTOE".into(), far: "LTOE".into() }, "stated by the user"),
    ] {
        let swing = corrected(&recording(), |c| c.target = Some(line.clone()));
        assert_eq!(source(&swing, "target line"), name);
    }
    let turned = corrected(&recording(), |c| c.aim = 10.0);
    let (before, after) = (at_top(&plain), at_top(&turned));
    let angle = |p: [f64; 3]| p[0].atan2(p[1]);
    // The line turns towards `out`; seen from it, every place turns the other way.
    assert!((angle(before) - angle(after) - 10.0_f64.to_radians()).abs() < 1e-9);
    let back = corrected(&recording(), |c| c.target = Some(TargetLine::Direction([0.0, -1.0, 0.0])));
    assert!(back.warnings.iter().any(|w| w.key == "swing.target_wrong_way"));
    let missing = TargetLine::Markers { near: "nobody".into(), far: "LTOE".into() };
    let unusable = corrected(&recording(), |c| c.target = Some(missing.clone()));
    assert!(unusable.warnings.iter().any(|w| w.key == "swing.target_unusable"));
}

#[test]
fn club_kind_ball_cutoff_and_instants() {
    let swing = corrected(&recording(), |c| {
        c.club = Some(Club::Driver);
        c.kind = Some(SwingKind::Practice);
        c.ball_out = Some(0.9);
        c.ball_target = Some(0.1);
        c.cutoff = Some(15.0);
        c.instants.insert("top".into(), 1.5);
    });
    assert_eq!((swing.club, swing.kind), (Club::Driver, SwingKind::Practice));
    assert_eq!(swing.ball.map(|b| (b[0], b[1])), Some((0.9, 0.1)));
    for what in ["club", "kind", "ball", "cutoff"] {
        assert_eq!(source(&swing, what), "stated by the user");
    }
    let top = swing.instant(InstantName::Top).unwrap();
    assert_eq!((top.time_s, top.sd_s, top.source), (1.5, 0.0, "stated by the user"));
}

#[test]
fn a_role_can_be_given_and_taken() {
    let mut anonymous = recording();
    let labels: Vec<String> = anonymous.tracks.iter().map(|track| track.name.clone()).collect();
    anonymous.tracks.iter_mut().enumerate().for_each(|(i, track)| track.name = format!("point {i}"));
    let error = analyse(&anonymous, None, &Corrections::default()).unwrap_err();
    assert!(matches!(error, SwingError::NoHands { .. }), "{error}");
    let named = |label: &str| vec![format!("point {}", labels.iter().position(|l| l == label).unwrap())];
    let swing = corrected(&anonymous, |c| {
        for (role, label) in [
            (Role::LeftHand, "LFIN"),
            (Role::RightHand, "RFIN"),
            (Role::LeftAnkle, "LANK"),
            (Role::RightAnkle, "RANK"),
            (Role::LeftShoulder, "LSHO"),
        ] {
            c.roles.insert(role, named(label));
        }
    });
    let plain = corrected(&recording(), |_| {});
    assert!((at_top(&swing)[1] - at_top(&plain)[1]).abs() < 1e-9);
    assert!(swing.instant(InstantName::LeadArmLevel).is_some() && swing.instant(InstantName::HipHeight).is_none());
    let without = corrected(&recording(), |c| {
        c.roles.insert(Role::ClubHead, vec![]);
    });
    assert!(!without.guesses.iter().any(|g| g.what == "role club-head"));
}

#[test]
fn hands_only_compare_shapes_only_and_say_so() {
    let mut hands = recording();
    hands.tracks.retain(|track| ["LFIN", "RFIN"].contains(&track.name.as_str()));
    let swing = corrected(&hands, |_| {});
    assert!(!swing.has_body && swing.ball.is_none());
    assert!(swing.warnings.iter().any(|w| w.key == "swing.hands_only"));
    assert_eq!(source(&swing, "target line"), "assumed: travel of the hands");
    assert_eq!(source(&swing, "hand"), "assumed: right-hander");
    assert!(swing.instant(InstantName::Top).is_some());
}

#[test]
fn a_separate_address_file_gives_the_place_but_no_time() {
    let whole = recording();
    let mut address = whole.clone();
    address.tracks.iter_mut().for_each(|track| track.points.truncate(5));
    address.clock_s.truncate(5);
    let late = recording_of(&ModelParams { start_before_top_s: Some(0.3), ..ModelParams::default() });
    let swing = analyse(&late, Some(&address), &Corrections::default()).unwrap();
    let plain = corrected(&whole, |_| {});
    let (a, b) = (swing.hands_at_address.unwrap(), plain.hands_at_address.unwrap());
    assert!((0..3).all(|c| (a[c] - b[c]).abs() < 0.003), "{a:?} {b:?}");
    assert!(swing.instant(InstantName::Address).is_none());
    assert_eq!(source(&swing, "address"), "separate address file");
}

#[test]
fn a_left_hander_reads_like_a_right_hander() {
    let right = corrected(&recording(), |_| {});
    let left = corrected(&recording_of(&ModelParams { hand: Hand::Left, ..ModelParams::default() }), |_| {});
    assert_eq!(left.hand, Hand::Left);
    assert!((0..3).all(|c| (at_top(&left)[c] - at_top(&right)[c]).abs() < 1e-6));
}

#[test]
fn errors_say_what_is_wrong_and_what_to_do() {
    let text = |change: &dyn Fn(&mut Recording)| {
        let mut changed = recording();
        change(&mut changed);
        analyse(&changed, None, &Corrections::default()).unwrap_err().to_string()
    };
    assert_eq!(
        text(&|r| r.tracks.retain(
            |t| !["LFIN", "RFIN", "LWRA", "LWRB", "RWRA", "RWRB", "SHAFT1", "SHAFT2"].contains(&t.name.as_str())
        )),
        format!(
            "None of the {} tracks is known to be a hand, wrist or grip. Say which track is which body point.",
            recording().tracks.len() - 8
        )
    );
    let slow = |r: &mut Recording| r.clock_s.iter_mut().for_each(|t| *t *= 20.0);
    assert!(text(&slow).starts_with("The hands never move faster than 0."), "{}", text(&slow));
    let apart = |r: &mut Recording| {
        for track in r.tracks.iter_mut().filter(|t| ["RFIN"].contains(&t.name.as_str())) {
            track.points.iter_mut().for_each(|p| p[0] += 1.0);
        }
    };
    assert!(text(&apart).contains("not on one grip"), "{}", text(&apart));
    // Every track flattened onto the plane in front of the body.
    let front = |r: &mut Recording| {
        let middle = |p: &mut [f64; 3]| p[1] *= 0.1;
        let hands = ["LFIN", "RFIN", "LWRA", "LWRB", "RWRA", "RWRB"];
        r.tracks.iter_mut().filter(|t| hands.contains(&t.name.as_str())).flat_map(|t| &mut t.points).for_each(middle);
    };
    assert!(text(&front).contains("not from the side"), "{}", text(&front));
    let upside = analyse(&recording(), None, &Corrections { up: Some(Axis::MinusZ), ..Corrections::default() });
    assert!(upside.unwrap_err().to_string().contains("check which way is up"));
    let late = |r: &mut Recording| {
        let from = (1.70 * 240.0) as usize;
        r.tracks.iter_mut().for_each(|t| drop(t.points.drain(..from)));
        r.clock_s.truncate(r.clock_s.len() - from);
    };
    assert!(text(&late).contains("no top comes before it"), "{}", text(&late));
    let short = |r: &mut Recording| {
        r.tracks.iter_mut().for_each(|t| t.points.truncate(2));
        r.clock_s.truncate(2);
    };
    assert!(text(&short).contains("has 2 rows"), "{}", text(&short));
    let unknown = Corrections { roles: [(Role::Ball, vec!["nobody".to_owned()])].into(), ..Corrections::default() };
    assert!(analyse(&recording(), None, &unknown).unwrap_err().to_string().contains("nobody"));
    let mut empty_address = recording();
    empty_address.tracks.truncate(2);
    let error = analyse(&recording(), Some(&empty_address), &Corrections::default()).unwrap_err().to_string();
    assert!(error.starts_with("address file: None of the 2 tracks"), "{error}");
}

#[test]
fn corrections_survive_json() {
    let corrections = Corrections {
        target: Some(TargetLine::Markers { near: "a".into(), far: "b".into() }),
        hand: Some(Hand::Left),
        roles: [(Role::LeftWrist, vec!["LWRA".into(), "LWRB".into()])].into(),
        ..Corrections::default()
    };
    let json = serde_json::to_string(&corrections).unwrap();
    assert!(json.contains("\"left-wrist\"") && json.contains("\"ball-out\""), "{json}");
    assert_eq!(serde_json::from_str::<Corrections>(&json).unwrap(), corrections);
    assert!(matches!(corrected(&recording(), |_| {}).guesses[1].value, GuessValue::Number(_)));
}

#[test]
fn an_address_file_in_another_unit_is_brought_to_the_swings_size() {
    let whole = recording();
    let mut address = without_units(whole.clone());
    address.tracks.iter_mut().for_each(|track| {
        track.points.truncate(1);
        track.points[0] = track.points[0].map(|x| x * 39.37);
    });
    address.clock_s.truncate(1);
    let swing = analyse(&whole, Some(&address), &Corrections::default()).unwrap();
    let plain = corrected(&whole, |_| {});
    let (a, b) = (swing.hands_at_address.unwrap(), plain.hands_at_address.unwrap());
    assert!((0..3).all(|c| (a[c] - b[c]).abs() < 0.01), "{a:?} {b:?}");
    assert!(swing.warnings.iter().any(|w| w.key == "swing.address_scaled"));
}

/// Turned afterwards is as if analysed with that aim, also where impact rests on the way towards the target.
#[test]
fn a_turned_swing_is_one_analysed_with_that_aim() {
    let no_club = |c: &mut Corrections| {
        c.roles.extend([Role::ClubHead, Role::ShaftUpper, Role::ShaftLower, Role::Ball].map(|role| (role, vec![])));
    };
    let plain = |_: &mut Corrections| {};
    let left = ModelParams { hand: Hand::Left, ..ModelParams::default() };
    type Case = (ModelParams, fn(&mut Corrections));
    let cases: [Case; 3] = [(ModelParams::default(), plain), (left, plain), (ModelParams::default(), no_club)];
    for (params, correct) in cases {
        let recording = recording_of(&params);
        let with_aim = |aim: f64| {
            corrected(&recording, |c| {
                correct(c);
                c.aim = aim;
            })
        };
        let (turned, again) = (with_aim(2.0).turned(-9.0), with_aim(-7.0));
        let far = |a: &[f64; 3], b: &[f64; 3]| (0..3).any(|c| (a[c] - b[c]).abs() > 1e-9);
        assert!(!turned.hands.iter().zip(&again.hands).any(|(a, b)| far(a, b)));
        let by_lead = turned.instant(InstantName::Impact).unwrap().source.contains("usual lead");
        assert_eq!(by_lead, !turned.body.contains_key(&BodyPoint::ClubHead));
        assert_eq!(turned.instants.len(), again.instants.len());
        for (one, other) in turned.instants.iter().zip(&again.instants) {
            assert!((one.time_s - other.time_s).abs() < 1e-6 && one.row == other.row, "{one:?} {other:?}");
        }
        for (one, other) in turned.guesses.iter().zip(&again.guesses) {
            if let (GuessValue::Number(a), GuessValue::Number(b)) = (&one.value, &other.value) {
                assert!((a - b).abs() < 1e-9, "{one:?} {other:?}");
            }
        }
        for (one, other) in without_intervals(&turned).iter().zip(&without_intervals(&again)) {
            let off = one.value.zip(other.value).map_or(0.0, |(a, b)| (a - b).abs());
            assert!(one.value.is_some() == other.value.is_some() && off < 1e-4, "{one:?} {other:?}");
        }
    }
}
