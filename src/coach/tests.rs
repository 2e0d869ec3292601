use super::ball::{self, Ball, Curve, Flight, Side, Start, TOLERANCE_DEG};
use super::rule_out::{self, Cause, State};
use super::setup::{self, SetupWish};
use super::{captures, cautions, fingerprint, intake, next, presets};
use crate::findings::Thresholds;
use crate::formats::{Axis, Recording, Track};
use crate::json::{Json, parse, spelled};
use crate::picture::cloud::Cloud;
use crate::plain::{Given, Read};
use crate::settings::{Corrections, Hand, TargetLine};
use crate::words::Message;

fn given(json: &str) -> Given {
    serde_json::from_str(json).unwrap()
}

fn keys(messages: &[Message]) -> Vec<&'static str> {
    messages.iter().map(|message| message.key).collect()
}

/// The nine flights of a right-hander, as instruction pages and the newsgroup's answers list them, by start and curve.
#[test]
fn the_nine_flights() {
    let starts = [Start::Pull, Start::Straight, Start::Push];
    let names =
        [["pull-hook", "pull", "pull-slice"], ["hook", "straight", "slice"], ["push-hook", "push", "push-slice"]];
    for (start, names) in starts.into_iter().zip(names) {
        for (curves, name) in
            [&[Curve::Hook, Curve::Draw][..], &[Curve::None], &[Curve::Fade, Curve::Slice]].into_iter().zip(names)
        {
            assert!(curves.iter().all(|curve| ball::flight(start, *curve).name() == name), "{start:?} {name}");
        }
    }
    assert_eq!(Flight::ALL.len(), 9);
}

/// A left-hander's pull starts right, and a hook bends right.
#[test]
fn words_stand_where_the_player_sees_them() {
    let told = |hand| ball::told(&given(r#"{"start":"pull","curve":"hook"}"#), hand, TOLERANCE_DEG);
    let sides = |hand| (told(hand).starts, told(hand).bends);
    assert_eq!(sides(Hand::Right), (Some(Side::Left), Some(Side::Left)));
    assert_eq!(sides(Hand::Left), (Some(Side::Right), Some(Side::Right)));
    for hand in [Hand::Right, Hand::Left] {
        let choices = ball::choices(hand);
        let sides: Vec<Side> = choices.starts.iter().map(|choice| choice.side).collect();
        assert_eq!(sides, [Side::Left, Side::On, Side::Right], "{hand:?}");
        assert_eq!(choices.curves.iter().map(|choice| choice.side).collect::<Vec<_>>()[2], Side::On);
    }
    assert_eq!(ball::choices(Hand::Left).starts[0].word, "push");
}

/// A face of 0 and a path of 4 degrees start a ball 0.68 to 1.56 degrees off the line (61 to 83 % of the way from path to
/// face), and a centred strike bends to the side on which the face looks from the path.
#[test]
fn contradictions_of_a_launch_measurement_are_told() {
    let told = |json: &str, hand| keys(&ball::told(&given(json), hand, TOLERANCE_DEG).notes);
    let ball = Ball::take(&given(r#"{"launch":{"face_deg":0,"path_deg":4}}"#), Hand::Right, TOLERANCE_DEG, &mut vec![]);
    let [low, high] = ball.launch.expected_start_deg().unwrap();
    assert!((low - 0.68).abs() < 1e-12 && (high - 1.56).abs() < 1e-12, "{low} {high}");
    let rows = [
        (r#"{"launch":{"start_deg":1,"face_deg":0,"path_deg":4}}"#, vec![]),
        (r#"{"launch":{"start_deg":3.5,"face_deg":0,"path_deg":4}}"#, vec![]),
        (r#"{"launch":{"start_deg":6,"face_deg":0,"path_deg":4}}"#, vec!["coach.ball_start_off"]),
        (r#"{"launch":{"start_deg":-6,"face_deg":6,"path_deg":4}}"#, vec!["coach.ball_sign"]),
        (r#"{"start":"pull","launch":{"start_deg":6}}"#, vec!["coach.ball_start_differs"]),
        (r#"{"start":"straight","launch":{"start_deg":3.9}}"#, vec![]),
        (r#"{"curve":"draw","launch":{"face_deg":0,"path_deg":4}}"#, vec![]),
        (r#"{"curve":"slice","launch":{"face_deg":0,"path_deg":4}}"#, vec!["coach.ball_curve_off"]),
        (r#"{"curve":"slice","strike":"heel","launch":{"face_deg":0,"path_deg":4}}"#, vec![]),
        (r#"{"curve":"slice","launch":{"face_deg":3,"path_deg":4}}"#, vec![]),
        (r#"{"launch":{"face_deg":77}}"#, vec!["coach.out_of_range"]),
        (r#"{"launch":{"club_speed_m_s":120}}"#, vec!["coach.out_of_range"]),
        (r#"{"start":"left"}"#, vec!["coach.field"]),
    ];
    for (json, expected) in rows {
        assert_eq!(told(json, Hand::Right), expected, "{json}");
    }
    // Mirrored: the same numbers with the other sign are the same ball of a left-hander.
    assert_eq!(
        told(r#"{"curve":"slice","launch":{"face_deg":0,"path_deg":-4}}"#, Hand::Left),
        ["coach.ball_curve_off"]
    );
    assert_eq!(told(r#"{"curve":"draw","launch":{"face_deg":0,"path_deg":-4}}"#, Hand::Left), [""; 0]);
}

/// A closed form: start = face + (1 - share) (path - face), over all shares, faces and paths; what follows from the formula
/// is never told as a contradiction, and the same with the sign turned is, where it is far enough off.
#[test]
fn what_follows_from_face_and_path_is_no_contradiction() {
    for step in 0..400 {
        let (face, path) = (f64::from(step % 20) - 10.0, f64::from(step / 20) - 10.0);
        for share in [0.61, 0.7, 0.83] {
            let start = face + (1.0 - share) * (path - face);
            let json = format!(r#"{{"launch":{{"start_deg":{start},"face_deg":{face},"path_deg":{path}}}}}"#);
            for hand in [Hand::Right, Hand::Left] {
                assert!(ball::told(&given(&json), hand, TOLERANCE_DEG).notes.is_empty(), "{json}");
            }
            let turned = format!(r#"{{"launch":{{"start_deg":{},"face_deg":{face},"path_deg":{path}}}}}"#, -start);
            let far = start.abs() > TOLERANCE_DEG + 0.5 * 0.22 * (face - path).abs() + 0.5;
            let told = ball::told(&given(&turned), Hand::Right, TOLERANCE_DEG).notes;
            assert!(!far || keys(&told) == ["coach.ball_sign"], "{turned} {told:?}");
        }
    }
}

#[test]
fn pain_comes_first_and_nothing_that_moves_is_offered() {
    let told = |json: &str| intake::told(&given(json));
    let consent = r#""consent":{"recording":true,"by":"player"}"#;
    let healthy = told(&format!(r#"{{"pain":{{"now":false}},{consent}}}"#));
    assert!(healthy.first.is_none() && healthy.not_offered.is_empty() && healthy.may_record);
    for (pain, key) in [
        (r#"{"now":true}"#, Some("coach.pain_now")),
        (r#"{"now":true,"cleared":true}"#, Some("coach.pain_now")),
        (r#"{"injury":true}"#, Some("coach.injury_first")),
        (r#"{"surgery":true}"#, Some("coach.injury_first")),
        (r#"{"surgery":true,"cleared":true}"#, None),
    ] {
        let told = told(&format!(r#"{{"pain":{pain},{consent}}}"#));
        assert_eq!(told.first.as_ref().map(|message| message.key), key, "{pain}");
        assert_eq!(told.not_offered.len(), if key.is_some() { 4 } else { 0 }, "{pain}");
        let sends = told.first.iter().all(|message| message.to_string().contains("licensed professional"));
        assert!(sends, "{told:?}");
    }
}

#[test]
fn consent_of_a_minor_is_a_guardians() {
    let told = |minor: bool, by: &str| {
        let told = intake::told(&given(&format!(
            r#"{{"minor":{minor},"consent":{{"recording":true,"pooling":true,"by":"{by}"}}}}"#
        )));
        (told.may_record, told.may_pool, told.plan.cap)
    };
    assert_eq!(told(false, "player"), (true, true, 60));
    assert_eq!(told(true, "player"), (false, false, 40));
    assert_eq!(told(true, "guardian"), (true, true, 40));
    let alone = intake::told(&given(r#"{"consent":{"pooling":true,"by":"player"}}"#));
    assert!(!alone.may_pool && alone.not_offered == [intake::Offer::Captures]);
}

#[test]
fn an_intake_card_tells_what_it_points_to() {
    let all = r#"{"pain":{},"miss":"pull","curve":"hook","club":"iron","since":"May","hope":"x","minutes_a_week":10,
        "hand":"left","consent":{"recording":true,"by":"player"}}"#;
    let told = intake::told(&given(all));
    assert_eq!(keys(&told.notes), ["coach.intake_face", "coach.hooks_in_to_out", "coach.little_practice"]);
    assert!(told.missing.is_empty() && told.plan.hooks && told.plan.hand == Hand::Left);
    assert_eq!(keys(&intake::told(&given(r#"{"miss":"push"}"#)).notes)[0], "coach.other_miss");
    assert!(intake::told(&Given::Null).missing.contains(&"pain"));
}

/// Where each caution has to stand: at intake pain, injury and surgery; where practice starts and on each drill card
/// warming up, room, stopping at pain, slow first, cap and rests, with minors an adult and fewer balls; beside the numbers
/// the errors of target line and capture.
#[test]
fn cautions_stand_where_they_have_to() {
    use cautions::Place::{Capture, Drill, Intake, Numbers, Practice};
    let rows = [
        (Intake, false, vec!["pain_first"]),
        (Numbers, false, vec!["target_line", "capture"]),
        (Practice, false, vec!["warm_up", "room", "stop_at_pain", "slow_first", "cap_and_rests"]),
        (Drill, false, vec!["warm_up", "room", "stop_at_pain", "slow_first", "cap_and_rests"]),
        (
            Drill,
            true,
            vec!["warm_up", "room", "stop_at_pain", "slow_first", "cap_and_rests", "adult_present", "lower_volume"],
        ),
        (Capture, true, vec!["warm_up", "room", "stop_at_pain", "adult_present"]),
    ];
    for (place, minor, expected) in rows {
        let found = cautions::at(place, minor);
        let names: Vec<&str> = found.iter().map(|told| told.key.strip_prefix("coach.caution_").unwrap()).collect();
        assert_eq!(names, expected, "{place:?} {minor}");
        assert!(found.iter().all(|message| message.to_string() != message.key));
    }
    assert!(cautions::at(Intake, false)[0].to_string().contains("licensed professional"));
}

fn repeated(ball: &str, times: usize) -> String {
    vec![ball; times].join(",")
}

fn strip(json: &str) -> rule_out::RuleOut {
    rule_out::told(&given(json))
}

fn states(json: &str) -> Vec<&'static str> {
    strip(json).rows.iter().map(|row| row.state.name()).collect()
}

const STRAIGHT_PULL: &str = r#"{"start":"pull","curve":"none","strike":"centre"}"#;
const PULL_HOOK: &str = r#"{"start":"pull","curve":"hook","strike":"toe"}"#;

#[test]
fn the_strip_has_its_order_and_says_what_was_not_checked() {
    let nothing = strip("{}");
    let causes: Vec<&str> = nothing.rows.iter().map(|row| row.cause.name()).collect();
    assert_eq!(causes, ["aim", "ball position", "face", "strike", "hand path"]);
    assert_eq!(states("{}"), ["not checked"; 5]);
    assert_eq!(nothing.first, [Cause::Aim, Cause::BallPosition, Cause::Face, Cause::Strike]);
    assert!(!nothing.announce && nothing.rows.iter().all(|row| !row.evidence.is_empty()));
}

/// No hand path before the four others: even captures that fit are "open" until then.
#[test]
fn the_hand_path_waits_for_the_others() {
    let path = r#""path":{"judge":true,"fits":true}"#;
    let balls = format!(r#""balls":[{}]"#, repeated(STRAIGHT_PULL, 6));
    let setup = r#""club":"iron","setup":{"stance_deg":0.5,"ball_ahead":0.1}"#;
    let without = strip(&format!("{{{path},{balls}}}"));
    assert_eq!((without.rows[4].state, without.rows[4].evidence[0].key), (State::Open, "coach.look_first"));
    assert!(!without.announce);
    let all = strip(&format!("{{{path},{balls},{setup}}}"));
    assert!(all.announce && all.first.is_empty());
    assert_eq!(
        states(&format!("{{{path},{balls},{setup}}}")),
        ["speaks against", "speaks against", "speaks against", "speaks against", "points here"]
    );
    // The coach's own look counts as well, and wins.
    let looked = format!(r#"{{{path},{balls},"looked":{{"aim":"speaks against","ball position":"open"}}}}"#);
    let seen = strip(&looked);
    assert!(seen.announce && seen.rows[0].by_coach && seen.rows[1].state == State::Open);
    let unseen = format!(r#"{{{path},{balls},{setup},"looked":{{"face":"not checked"}}}}"#);
    assert!(!strip(&unseen).announce);
}

#[test]
fn pulls_that_bend_further_point_to_the_face() {
    let face = |balls: &str| strip(&format!(r#"{{"balls":[{balls}]}}"#)).rows[2].state;
    assert_eq!(face(&repeated(PULL_HOOK, 6)), State::PointsHere);
    assert_eq!(face(&repeated(STRAIGHT_PULL, 6)), State::SpeaksAgainst);
    assert_eq!(face(&repeated(STRAIGHT_PULL, 2)), State::Open);
    assert_eq!(face(&[repeated(STRAIGHT_PULL, 4), repeated(PULL_HOOK, 4)].join(",")), State::Open);
    let measured = r#"{"start":"pull","launch":{"face_deg":-5,"path_deg":-1}}"#;
    assert_eq!(face(&repeated(measured, 6)), State::PointsHere);
    let square = r#"{"start":"pull","launch":{"face_deg":-5,"path_deg":-5.5}}"#;
    assert_eq!(face(&repeated(square, 6)), State::SpeaksAgainst);
    // Strikes: the same balls off the toe point to the strike too.
    assert_eq!(strip(&format!(r#"{{"balls":[{}]}}"#, repeated(PULL_HOOK, 6))).rows[3].state, State::PointsHere);
}

/// The target line of two markers is known to 1 degree: 90 % of its error lie within 1.6.
#[test]
fn aim_is_judged_with_the_error_of_the_line() {
    let aim = |degrees: f64| strip(&format!(r#"{{"setup":{{"stance_deg":{degrees}}}}}"#)).rows[0].clone();
    let rows = [
        (0.0, State::SpeaksAgainst),
        (-1.3, State::SpeaksAgainst),
        (2.0, State::Open),
        (-4.6, State::Open),
        (4.7, State::PointsHere),
        (-4.7, State::PointsHere),
    ];
    for (degrees, state) in rows {
        assert_eq!(aim(degrees).state, state, "{degrees}");
    }
    assert_eq!((aim(6.0).evidence[0].key, aim(-6.0).evidence[0].key), ("coach.aim_push_side", "coach.aim_pull_side"));
    let ball = |club: &str, ahead: f64| {
        strip(&format!(r#"{{"club":"{club}","setup":{{"ball_ahead":{ahead}}}}}"#)).rows[1].state
    };
    assert_eq!((ball("iron", 0.5), ball("driver", 0.5)), (State::PointsHere, State::SpeaksAgainst));
    assert_eq!((ball("wedge", -0.4), ball("iron", 0.1)), (State::Open, State::SpeaksAgainst));
}

fn capture(swing: usize, ball: &str, more: &str) -> String {
    format!(r#"{{"swing":{swing},"club":"iron","kind":"full","ball":{{"start":"{ball}"}}{more}}}"#)
}

fn told(captures: &[String]) -> captures::CapturesAnswer {
    captures::told(&given(&format!("[{}]", captures.join(","))), Hand::Right)
}

#[test]
fn one_swing_is_not_judged() {
    let one = told(&[capture(1, "pull", "")]);
    assert!(!one.judge && one.more == 5);
    assert_eq!(keys(&one.notes), ["coach.one_swing", "coach.more_captures"]);
    let all: Vec<String> = (1..=8).map(|at| capture(at, if at < 4 { "pull" } else { "straight" }, "")).collect();
    let eight = told(&all);
    assert!(eight.judge && eight.compare && eight.notes.is_empty(), "{eight:?}");
    assert_eq!((eight.pulls, eight.good_balls), (vec![1, 2, 3], vec![4, 5, 6, 7, 8]));
}

#[test]
fn other_clubs_kinds_and_efforts_are_kept_apart() {
    let mut all: Vec<String> = (1..=6).map(|at| capture(at, "pull", "")).collect();
    all.push(r#"{"swing":7,"club":"driver","kind":"full"}"#.into());
    all.push(r#"{"swing":8,"club":"iron","kind":"drill","effort":0.3}"#.into());
    all.push(capture(9, "push", r#","keep":false"#));
    all.push(r#"{"swing":"x"}"#.into());
    let told = told(&all);
    assert_eq!((told.kept, &told.good[..], told.judge, told.compare), (8, &[1, 2, 3, 4, 5, 6][..], true, false));
    assert_eq!(told.efforts.iter().map(|at| (at.effort, at.swings.len())).collect::<Vec<_>>(), [(0.3, 1), (1.0, 6)]);
    assert_eq!(keys(&told.notes), ["coach.field", "coach.captures_apart"]);
}

/// A path that keeps its measure up to 90 % and loses it at full speed; scattered by less than a fifth of the change.
#[test]
fn along_the_rungs_the_path_holds_or_not() {
    let at = |effort: f64, value: f64| {
        format!(r#"{{"effort":{effort},"measures":[{{"name":"out drift, greatest","unit":"m","value":{value}}}]}}"#)
    };
    let mut all = vec![];
    for scatter in [-0.004, 0.0, 0.003, 0.005] {
        all.extend([(0.3, 0.02), (0.6, 0.021), (0.9, 0.022), (1.0, 0.08)].map(|(effort, v)| at(effort, v + scatter)));
    }
    all.push(
        r#"{"effort":0.95,"measures":[{"name":"out drift, greatest","unit":"m","value":0.03},{"name":"x"}]}"#.into(),
    );
    let found = captures::along(&given(&format!("[{}]", all.join(","))));
    let verdicts: Vec<_> = found[0].efforts.iter().map(|at| (at.effort, at.verdict)).collect();
    assert_eq!(verdicts, [(0.3, "slow"), (0.6, "slow"), (0.9, "holds"), (0.95, "cannot tell"), (1.0, "changes")]);
    assert!(captures::along(&Given::Null).is_empty());
}

fn lessons(before: (usize, usize), after: (usize, usize), more: &str) -> next::NextAnswer {
    let side = |(pulls, good): (usize, usize)| {
        let balls = [repeated(r#"{"start":"pull"}"#, pulls), repeated(r#"{"start":"straight"}"#, good)];
        let balls: Vec<String> = balls.into_iter().filter(|balls| !balls.is_empty()).collect();
        format!(r#"{{"club":"iron","line":"target markers","balls":[{}]}}"#, balls.join(","))
    };
    next::told(&given(&format!(r#"{{"before":{},"after":{}{more}}}"#, side(before), side(after))))
}

fn path(verdict: &str, value: f64) -> String {
    format!(r#","changes":[{{"name":"out drift, greatest","verdict":"{verdict}","difference":{{"value":{value}}}}}]"#)
}

#[test]
fn fixed_needs_balls_and_path_and_a_transfer_test() {
    let less = path("change shown", -0.03);
    let transfer = |good: usize, pulls: usize| {
        let balls = [repeated(r#"{"start":"push"}"#, good), repeated(r#"{"start":"pull"}"#, pulls)];
        let balls: Vec<String> = balls.into_iter().filter(|balls| !balls.is_empty()).collect();
        format!(r#","transfer":[{}]"#, balls.join(","))
    };
    let answer = |before, after, more: &str| {
        let told = lessons(before, after, more);
        (told.changed.name(), told.verdict.name(), told.reason.key, told.fixed)
    };
    let (many, few, some) = ((8, 2), (1, 9), (7, 3));
    let both = less.clone() + &transfer(9, 1);
    assert_eq!(answer(many, few, &both), ("both", "finish", "coach.next_fixed", true));
    assert_eq!(answer(many, few, &less), ("both", "keep", "coach.next_transfer", false));
    let slips = less.clone() + &transfer(6, 4);
    assert_eq!(answer(many, few, &slips), ("both", "keep", "coach.next_not_held", false));
    assert_eq!(answer(many, few, ""), ("balls", "keep", "coach.next_balls_only", false));
    assert!(!answer(many, few, &(path("no change shown", -0.01) + &transfer(9, 1))).3);
    assert_eq!(answer(many, some, &less), ("path", "keep", "coach.next_path_only", false));
    assert_eq!(answer(many, some, ""), ("nothing shown", "keep", "coach.next_practise", false));
    let practised = r#","practised":{"balls":200}"#;
    assert_eq!(answer(many, some, practised), ("nothing shown", "change", "coach.next_nothing", false));
    assert_eq!(answer(few, many, ""), ("nothing shown", "change", "coach.next_balls_worse", false));
    let more = path("change shown", 0.03);
    assert_eq!(answer(few, many, &more), ("nothing shown", "change", "coach.next_worse", false));
    assert_eq!(answer(many, few, &more), ("balls", "change", "coach.next_path_worse", false));
    let wished = more + r#","measure":{"name":"out drift, greatest","wish":"more"}"#;
    assert_eq!(answer(many, few, &wished).0, "both");
}

#[test]
fn another_club_or_line_is_not_compared() {
    let told = next::told(&given(
        r#"{"before":{"club":"iron","line":"a","balls":[{"start":"pull"}]},"after":{"club":"driver","line":"b","balls":[]}}"#,
    ));
    assert_eq!(keys(&told.notes), ["coach.other_club", "coach.other_line"]);
    assert_eq!((told.balls, told.path), (next::Became::CannotTell, next::Became::CannotTell));
}

/// A still capture: two markers on a line turned by `degrees` from the first axis, a player standing to it, a ball.
fn still(degrees: f64, up: Axis, rows: usize, moves: bool) -> Cloud {
    let (sin, cos) = degrees.to_radians().sin_cos();
    // Along and across the line, and up; for a right-hander who faces across.
    let place = |along: f64, across: f64, high: f64| {
        let flat = [along * cos - across * sin, along * sin + across * cos, high];
        match up {
            Axis::PlusY => [flat[1], flat[2], flat[0]],
            _ => flat,
        }
    };
    let points = [
        ("near", [-500.0, 0.0, 5.0]),
        ("far", [1500.0, 0.0, 5.0]),
        ("ball", [150.0, 0.0, 21.0]),
        ("left-ankle", [250.0, 800.0, 80.0]),
        ("right-ankle", [-250.0, 800.0, 80.0]),
        ("hand", [0.0, 600.0, 900.0]),
    ];
    let track = |(name, [along, across, high]): (&str, [f64; 3])| {
        let at = |row: usize| {
            let wander = if moves { 20.0 * ((row % 7) as f64) } else { 0.0 };
            place(along, across + if name == "near" { wander } else { 0.0 }, high)
        };
        Track::marker(name, (0..rows).map(at).collect())
    };
    let tracks: Vec<Track> = points.into_iter().map(track).collect();
    let clock_s = (0..rows).map(|row| row as f64 / 100.0).collect();
    let recording = Recording { tracks, clock_s, ..sampled() };
    let mut cloud = Cloud::new(&recording, up.unit());
    for role in ["ball", "left-ankle", "right-ankle"] {
        let at = cloud.names.iter().position(|name| name == role).unwrap();
        cloud.roles[at] = role.into();
    }
    cloud
}

fn sampled() -> Recording {
    let motion = crate::model::Motion::new(&crate::model::reference('A'));
    let options = crate::model::SampleOptions { rate_hz: 30.0, ..crate::model::SampleOptions::default() };
    crate::model::sample(&motion, &crate::model::reference('A'), &options).unwrap()
}

fn wish(up: Axis, hand: Hand) -> SetupWish {
    SetupWish { near: "near".into(), far: "far".into(), ball: None, up, hand, metres: Some(0.001) }
}

/// Against the geometry that the capture was made of, in both usual axes: a line turned by 7 degrees, a ball 150 mm ahead of
/// the middle of a stance of 500 mm, 800 mm out.
#[test]
fn a_still_second_gives_the_target_line() {
    for up in [Axis::PlusZ, Axis::PlusY] {
        let told = setup::check(&still(7.0, up, 300, false), &wish(up, Hand::Right));
        let setup = told.setup.unwrap();
        let (sin, cos) = 7_f64.to_radians().sin_cos();
        let truth = if up == Axis::PlusY { [sin, 0.0, cos] } else { [cos, sin, 0.0] };
        assert!((0..3).all(|i| (setup.direction[i] - truth[i]).abs() < 1e-9), "{up:?} {:?}", setup.direction);
        assert!((setup.still_s[0] - 0.0).abs() < 1e-9 && (setup.still_s[1] - 1.0).abs() < 0.02);
        assert!((setup.ball_ahead.unwrap() - 0.3).abs() < 1e-9 && setup.stance_deg.unwrap().abs() < 1e-6);
        let [out, target] = setup.ball_m.unwrap();
        assert!((out - 0.8).abs() < 1e-9 && (target - 0.15).abs() < 1e-9, "{out} {target}");
        assert!(setup.wander_deg < 1e-6 && setup.sd_deg == 1.0 && told.notes.is_empty());
        // What it states is what corrections read; what a capture states itself wins.
        let stated =
            Corrections::read(&parse(&serde_json::to_string(&Wrapped(&setup.corrections)).unwrap()).unwrap().given())
                .unwrap();
        assert_eq!(stated, setup::apply(&setup, &Corrections::default()));
        let own = Corrections { target: Some(TargetLine::Ankles), ..Corrections::default() };
        assert_eq!(setup::apply(&setup, &own).target, Some(TargetLine::Ankles));
    }
}

struct Wrapped<'a>(&'a setup::Stated);

impl serde::Serialize for Wrapped<'_> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        crate::plain::serialize(self.0, serializer)
    }
}

/// A far marker that swings by 2 mm either side of the line, 2 m away: 0.0573 degrees from row to row, about its mean.
#[test]
fn the_wander_of_the_line_is_told() {
    for degrees in [0.0, 90.0, 180.0, -137.0] {
        let mut cloud = still(degrees, Axis::PlusZ, 300, false);
        // The cloud is turned about the vertical; a turn keeps right angles.
        let far = &mut cloud.points[1];
        let along = [far[0], far[1]];
        let across = [-along[1], along[0]].map(|x| x / along[0].hypot(along[1]));
        for row in 0..300 {
            let side = if row % 2 == 0 { 2.0 } else { -2.0 };
            far[3 * row] += side * across[0];
            far[3 * row + 1] += side * across[1];
        }
        let found = setup::check(&cloud, &wish(Axis::PlusZ, Hand::Right)).setup.unwrap();
        let truth = (2.0_f64 / 2000.0).to_degrees();
        assert!((found.wander_deg - truth).abs() < 0.02 * truth, "{degrees}: {}", found.wander_deg);
    }
}

/// A left-hander who stands to the same line: feet and ball are mirrored, the line is not.
#[test]
fn a_left_handers_stance_is_read_the_other_way() {
    let setup = setup::check(&still(0.0, Axis::PlusZ, 300, false), &wish(Axis::PlusZ, Hand::Left)).setup.unwrap();
    // Both ankles are named for a right-hander, so that the feet look away from the target.
    assert!((setup.stance_deg.unwrap().abs() - 180.0).abs() < 1e-6);
    assert!((setup.ball_m.unwrap()[0] + 0.8).abs() < 1e-9);
}

#[test]
fn a_setup_that_cannot_be_used_says_why() {
    let key = |cloud: &Cloud, wish: &SetupWish| setup::check(cloud, wish).error.map(|error| error.key);
    let up = Axis::PlusZ;
    assert_eq!(key(&still(0.0, up, 300, true), &wish(up, Hand::Right)), Some("coach.setup_not_still"));
    assert_eq!(key(&still(0.0, up, 50, false), &wish(up, Hand::Right)), Some("coach.setup_not_still"));
    let other = SetupWish { near: "nowhere".into(), ..wish(up, Hand::Right) };
    assert_eq!(key(&still(0.0, up, 300, false), &other), Some("coach.setup_no_track"));
    let steep = SetupWish { far: "hand".into(), ..wish(up, Hand::Right) };
    assert_eq!(key(&still(0.0, up, 300, false), &steep), Some("coach.setup_steep"));
    let mut gone = still(0.0, up, 300, false);
    gone.points[0].fill(f64::NAN);
    assert_eq!(key(&gone, &wish(up, Hand::Right)), Some("coach.setup_not_still"));
}

const PRESET: &str = r#"{"format":"handpath preset","version":1,"name":"house","edition":3,"owner":"coach 1","date":"2026-01-31",
"setups":[{"name":"bay 1","corrections":{"unit":"mm","up":"+z","target":{"markers":{"near":"A","far":"B"}},"tomorrow":1}},
{"name":"bay 2","corrections":{"unit":"cm"},"floor":"wood"}],
"references":[{"label":"reference A","edition":1,"sha256":"00"},{"edition":2}],
"thresholds":{"tomorrow":1},"wall":{"n":1.50E+2}}"#;

#[test]
fn a_preset_is_opened_checked_and_kept() {
    let preset = presets::open(PRESET.as_bytes()).unwrap();
    let told: Vec<String> = preset.warnings.iter().map(Message::to_string).collect();
    assert!(told.len() == 3 && told[0].contains("setups.0.corrections.tomorrow"), "{told:?}");
    assert!(told[1].contains("references.1.label") && told[2].contains("tomorrow"), "{told:?}");
    let bays: Vec<String> = preset.setups().into_iter().map(|setup| setup.name).collect();
    assert_eq!(bays, ["bay 1", "bay 2"]);
    assert_eq!(preset.setup(Some("bay 1")).unwrap().corrections.unit.map(|unit| unit.symbol()), Some("mm"));
    let saved = preset.save();
    assert!(saved.contains("1.50E+2") && saved.contains(r#""floor":"wood""#));
    assert_eq!(presets::open(saved.as_bytes()).unwrap().save(), saved);
    assert_eq!(presets::open(b"{}").unwrap_err().key, "coach.no_preset");
    // Cut in the middle, what stands before is read.
    let cut = presets::open(&saved.as_bytes()[..saved.find("references").unwrap() + 30]).unwrap();
    assert!(cut.setups().len() == 2 && keys(&cut.warnings)[0] == "coach.preset_damaged");
}

#[test]
fn a_change_is_signed() {
    let mut document = parse(PRESET).unwrap();
    let change = |document: &mut Json, coach: &str, what: &[&str], to: Option<Json>| {
        let what = what.iter().map(|name| (*name).to_owned()).collect();
        let change = presets::Change { coach: coach.into(), date: "2026-02-01".into(), what, to };
        presets::change(document, &[change])
    };
    change(&mut document, "coach 2", &["thresholds", "tomorrow"], Some(Json::count(2))).unwrap();
    change(&mut document, "coach 2", &["wall"], None).unwrap();
    let changes = document.get("changes").unwrap().items();
    let expected = r#"{"coach":"coach 2","date":"2026-02-01","what":"thresholds.tomorrow","from":1,"to":2}"#;
    assert_eq!((changes[0].line().as_str(), changes.len()), (expected, 2));
    assert_eq!((document.get("edition").unwrap().as_count(), document.get("wall")), (Some(5), None));
    let before = document.clone();
    for (coach, what, key) in [
        ("", &["name"][..], "coach.change_unsigned"),
        ("coach 2", &[], "coach.change_nowhere"),
        ("coach 2", &["changes"], "coach.change_nowhere"),
        ("coach 2", &["name", "x"], "coach.change_nowhere"),
    ] {
        assert_eq!(change(&mut document, coach, what, None).unwrap_err().key, key);
    }
    assert_eq!(document, before);
    // Several at once are one edition; of several none is made where one cannot be.
    let changed = |last: &str| {
        let both = format!(
            r#"{{"coach":"coach 3","date":"2026-03-01","changes":[{{"what":["name"],"to":"new"}},{{"what":["{last}"]}}]}}"#
        );
        presets::changed(&before.document(), &given(&both), spelled)
    };
    let told = parse(&changed("owner").document).unwrap();
    let edition = told.get("edition").and_then(Json::as_count);
    assert_eq!((edition, told.get("changes").unwrap().items().len(), told.get("owner")), (Some(6), 4, None));
    assert_eq!(told.get("date").and_then(Json::as_text), Some("2026-03-01"));
    let refused = changed("changes");
    assert_eq!(
        (refused.error.map(|error| error.key), refused.document),
        (Some("coach.change_nowhere"), before.document())
    );
}

/// Order, spelling and what says nothing make no difference; anything that numbers rest on does.
#[test]
fn a_fingerprint_is_of_what_numbers_rest_on() {
    let code = |json: &str| fingerprint::told(&given(json), spelled).code;
    let one = code(r#"{"corrections":{"unit":"mm","up":"+z"},"references":[{"recording":"a"},{"recording":"b"}]}"#);
    let other = code(
        r#"{"references":[{"recording":"b"},{"recording":"a"}],"corrections":{"up":"+z","aim":0,"unit":"mm","roles":{}}}"#,
    );
    assert_eq!(one, other);
    assert_eq!((one.len(), one.matches('-').count()), (14, 2));
    for different in [
        r#"{"corrections":{"unit":"mm"},"references":[{"recording":"a"},{"recording":"b"}]}"#,
        r#"{"corrections":{"unit":"mm","up":"+z"},"references":[{"recording":"a"}]}"#,
        r#"{"corrections":{"unit":"mm","up":"+z","aim":1},"references":[{"recording":"a"},{"recording":"b"}]}"#,
    ] {
        assert_ne!(code(different), one);
    }
    let threshold = crate::findings::THRESHOLDS[0];
    let of = |value: f64| {
        let mut thresholds = Thresholds::default();
        thresholds.set(threshold.name, value).unwrap();
        fingerprint::settings(&Json::Null, &thresholds, &[], spelled)
    };
    let default = fingerprint::settings(&Json::Null, &Thresholds::default(), &[], spelled);
    assert_eq!(of(threshold.default), default);
    assert_ne!(of(threshold.default + 1.0), default);
}

/// Two coaches wrote the same settings in another order, spacing and spelling of numbers.
#[test]
fn two_spellings_of_a_preset_have_one_fingerprint() {
    let other = r#" {"version":1, "wall":{"n":150}, "references":[{"sha256":"00","edition":1,"label":"reference A"},{"edition":2}],
        "thresholds":{"tomorrow":1.0}, "setups":[{"corrections":{"tomorrow":1e0,"up":"+z","unit":"mm",
        "target":{"markers":{"far":"B","near":"A"}}},"name":"bay 1"},{"floor":"wood","name":"bay 2","corrections":{"unit":"cm"}}],
        "format":"handpath preset", "name":"another name", "changes":[]}"#;
    let code = |text: &str| presets::open(text.as_bytes()).unwrap().fingerprint(spelled);
    assert_eq!(code(PRESET), code(other));
    assert_ne!(code(PRESET), code(&PRESET.replace("\"mm\"", "\"cm\"")));
}
