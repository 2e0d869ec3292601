//! Puts the swing together: points in the frame, ball, club, refined instants, and the list of guesses.

use super::address::AddressSource;
use super::analyse::Coarse;
use super::guesses::guesses;
use super::instants::{Found, Search, instant};
use super::markers::Markers;
use super::stance::{Mirror, Stance};
use super::{BodyPoint, InstantName, Swing, kind};
use crate::body::{BodySize, Landmarks};
use crate::decimal;
use crate::formats::{Point, Recording, is_gap};
use crate::order;
use crate::roles::Role::{self, *};
use crate::settings::{Club, Corrections, Hand, SwingKind};
use crate::signal::{Curve, Noise, mean};
use crate::table::Table;
use crate::words::Message;
use std::ops::Range;

/// Height of the ball's centre over the floor, metres: half of the least diameter of 42.67 mm (Rules of Golf).
const BALL_CENTRE_M: f64 = 0.021;
/// 1 SD of the shaft's angle at address, degrees (common practice).
const SHAFT_SD_DEG: f64 = 4.0;

/// 1 SD of the takeaway where the recording starts with the hands already moving near the ball, seconds (assumed).
const LATE_START_SD_S: f64 = 0.1;

pub(super) struct Parts<'a> {
    pub(super) recording: &'a Recording,
    pub(super) corrections: &'a Corrections,
    pub(super) markers: Markers,
    pub(super) coarse: Coarse,
    pub(super) mirror: Mirror,
    pub(super) stance: Stance,
}

/// The swing in its frame.
pub(super) fn assemble(parts: Parts) -> Swing {
    let Parts { recording, corrections, markers, stance, .. } = &parts;
    let grid = &markers.grid;
    let mut body = body_points(markers, stance);
    let hips = mid_hip(markers, &(parts.coarse.swing.top..parts.coarse.swing.low + 1));
    let stand_in = hips.as_ref().and_then(|(_, roles)| *roles).map(stand_in_warning);
    body.extend(hips.map(|(points, _)| (BodyPoint::MidHip, stance.frame.series(&points))));
    let hands = stance.frame.series(&markers.hands);
    let series = |point| body.get(&point).map(Vec::as_slice);
    let wrists = [LeftWrist, RightWrist].iter().all(|role| markers.smooth.contains_key(role));
    let wrist = series(BodyPoint::LeadHand).filter(|_| wrists);
    let size = BodySize::measure(
        series(BodyPoint::LeadShoulder),
        series(BodyPoint::LeadElbow),
        wrist,
        &hands,
        corrections.stature,
    );
    let noise = Noise::after_filter(markers.noise_m, markers.cutoff_hz, grid.rate_hz);
    let mut swing = Swing {
        label: String::new(),
        hand: stance.hand,
        club: corrections.club.unwrap_or(Club::Iron),
        kind: corrections.kind.unwrap_or(SwingKind::Full),
        rate_hz: grid.rate_hz,
        time_s: grid.time_s.clone(),
        row: grid.row.iter().map(|row| row + recording.first_row).collect(),
        hands,
        body,
        address_is_separate: parts.coarse.address.source == AddressSource::SeparateFile,
        hands_at_address: parts.coarse.address.hands.map(|p| stance.frame.to_body(&p)),
        ball: None,
        size,
        has_body: stance.has_body,
        target_sd_deg: stance.target.sd_deg(),
        noise_m: noise.position_m,
        instants: vec![],
        absent: vec![],
        guesses: vec![],
        warnings: [markers.warnings.clone(), stance.warnings.clone()].concat(),
    };
    let club = kind::club(&swing);
    swing.club = corrections.club.or(club).unwrap_or(Club::Iron);
    let ball = ball(&swing, &parts);
    swing.ball = ball.as_ref().map(|(point, ..)| *point);
    find_instants(&mut swing, &parts, noise);
    swing.kind = corrections.kind.unwrap_or_else(|| kind::kind(&swing, parts.coarse.earlier_tops_s.len()));
    swing.warnings.extend(course_warnings(&swing, &parts));
    swing.warnings.extend(stand_in);
    swing.guesses = guesses(&swing, &parts, club, ball);
    swing
}

/// Lead and trail point, and the pairs of left and right roles that can be it, best first.
type Sided = (BodyPoint, BodyPoint, &'static [(Role, Role)]);

/// Body points in the frame; lead and trail by the hand played.
fn body_points(markers: &Markers, stance: &Stance) -> Table<BodyPoint, Vec<Point>> {
    use BodyPoint as B;
    let sided: [Sided; 8] = [
        (B::LeadHand, B::TrailHand, &[(LeftWrist, RightWrist), (LeftHand, RightHand)]),
        (B::LeadElbow, B::TrailElbow, &[(LeftElbow, RightElbow)]),
        (B::LeadShoulder, B::TrailShoulder, &[(LeftShoulder, RightShoulder)]),
        (B::LeadHip, B::TrailHip, &[(LeftHipBone, RightHipBone), (LeftHipJoint, RightHipJoint)]),
        (B::LeadKnee, B::TrailKnee, &[(LeftKnee, RightKnee)]),
        (B::LeadAnkle, B::TrailAnkle, &[(LeftAnkle, RightAnkle)]),
        (B::LeadToe, B::TrailToe, &[(LeftToe, RightToe)]),
        (B::LeadHeel, B::TrailHeel, &[(LeftHeel, RightHeel)]),
    ];
    let single = [
        (B::Notch, Notch),
        (B::Xiphoid, Xiphoid),
        (B::C7, C7),
        (B::T8, T8),
        (B::Head, Head),
        (B::ShaftUpper, ShaftUpper),
        (B::ShaftLower, ShaftLower),
        (B::ClubHead, ClubHead),
        (B::Ball, Ball),
    ];
    let series = |role: Role| markers.smooth.get(&role).map(|points| stance.frame.series(points));
    let mut body = Table::new();
    for (lead, trail, pairs) in sided {
        let (left, right) = if stance.hand == Hand::Right { (lead, trail) } else { (trail, lead) };
        // The pair both sides have comes first; a single side is better than none.
        let both = pairs.iter().find(|(a, b)| markers.smooth.contains_key(a) && markers.smooth.contains_key(b));
        for (a, b) in both.map(std::slice::from_ref).unwrap_or(pairs) {
            if let Some(points) = series(*a) {
                body.or_insert_with(left, || points);
            }
            if let Some(points) = series(*b) {
                body.or_insert_with(right, || points);
            }
        }
    }
    body.extend(single.into_iter().filter_map(|(point, role)| Some((point, series(role)?))));
    body
}

/// What makes the middle of the hips, best first: joints, hip bones, a track of its own.
const MID_HIPS: [&[Role]; 4] = [
    &[LeftHipJoint, RightHipJoint],
    &[LeftHipBone, RightHipBone, LeftHipBack, RightHipBack],
    &[LeftHipBone, RightHipBone],
    &[MidHip],
];

/// What stands in for it where there is none of these, best first. With the shoulders any point of the trunk fixes the
/// thorax, and so tells arms from body; how far the hips shift or the trunk tilts it tells roughly. What moves with
/// the thorax comes first.
const MID_HIP_STAND_INS: [&[Role]; 13] = [
    &[Xiphoid, T8],
    &[T8],
    &[Xiphoid],
    &[LeftHipBack, RightHipBack],
    &[Sacrum],
    &[LeftHipJoint],
    &[RightHipJoint],
    &[LeftHipBone],
    &[RightHipBone],
    &[LeftHipBack],
    &[RightHipBack],
    &[C7],
    &[Notch],
];

/// Middle of the hips, and the roles that stand in for it. What is known all the way down comes before what is not.
fn mid_hip(markers: &Markers, down: &Range<usize>) -> Option<(Vec<Point>, Option<&'static [Role]>)> {
    let middle = |roles: &[Role]| {
        let parts: Option<Vec<&[Point]>> =
            roles.iter().map(|role| markers.smooth.get(role).map(Vec::as_slice)).collect();
        parts.map(|parts| mean(&parts))
    };
    let known = |points: &[Point]| points.get(down.clone()).is_some_and(|down| !down.iter().any(is_gap));
    let mut in_parts = None;
    for (k, roles) in MID_HIPS.into_iter().chain(MID_HIP_STAND_INS).enumerate() {
        let stand_in = (k >= MID_HIPS.len()).then_some(roles);
        match middle(roles) {
            Some(points) if known(&points) => return Some((points, stand_in)),
            Some(points) => in_parts = in_parts.or(Some((points, stand_in))),
            None => {}
        }
    }
    in_parts
}

fn stand_in_warning(roles: &[Role]) -> Message {
    let names: Vec<&str> = roles.iter().map(|role| role.name()).collect();
    Message::new("swing.mid_hip_stands_in").with("points", names.join(" + "))
}

/// Ball centre at address, source, and 1 SD of its `out`, metres.
pub(super) type BallGuess = (Point, &'static str, f64);

fn ball(swing: &Swing, parts: &Parts) -> Option<BallGuess> {
    let pose: &Landmarks = &parts.coarse.address.pose;
    let placed = |role: Role| {
        let point = parts.stance.frame.to_body(&pose.get(role)?.into());
        (!is_gap(&point)).then_some(point)
    };
    let found = placed(Ball)
        .map(|point| (point, "ball marker", 0.005))
        .or_else(|| {
            let head = placed(ClubHead).filter(|_| swing.hands_at_address.is_some())?;
            Some(([head[0], head[1], BALL_CENTRE_M], "club head at address", 0.02))
        })
        .or_else(|| ball_by_shaft(swing));
    let stated = (parts.corrections.ball_out, parts.corrections.ball_target);
    match (found, stated) {
        (found, (None, None)) => found,
        (found, (out, target)) => {
            let base = found.map_or([f64::NAN, f64::NAN, BALL_CENTRE_M], |(point, ..)| point);
            let point = [out.unwrap_or(base[0]), target.unwrap_or(base[1]), base[2]];
            (!point[0].is_nan()).then_some((point, "stated by the user", if out.is_some() { 0.01 } else { 0.05 }))
        }
    }
}

/// `out_ball = out_hands + (up_hands - up_ball) / tan(shaft angle)`, the shaft's angle at address by club (common
/// practice: driver 50, fairway wood 54, middle iron 58, wedge 62 degrees).
fn ball_by_shaft(swing: &Swing) -> Option<BallGuess> {
    let hands = swing.hands_at_address.filter(|_| swing.has_body)?;
    let angle: f64 = match swing.club {
        Club::Driver => 50.0,
        Club::FairwayWood => 54.0,
        Club::Iron => 58.0,
        Club::Wedge => 62.0,
    };
    let (height, angle) = (hands[2] - BALL_CENTRE_M, angle.to_radians());
    let sd = height / angle.sin().powi(2) * SHAFT_SD_DEG.to_radians();
    Some(([hands[0] + height / angle.tan(), f64::NAN, BALL_CENTRE_M], "assumed: usual shaft angle at address", sd))
}

fn find_instants(swing: &mut Swing, parts: &Parts, noise: Noise) {
    let coarse = &parts.coarse;
    let time = |k: usize| swing.time_s[k];
    let search = Search {
        swing,
        hands: Curve::through(&swing.time_s, &swing.hands),
        noise,
        marker_m: parts.markers.noise_m * (parts.markers.hand_roles.len() as f64).sqrt(),
        top_s: time(coarse.swing.top),
        peak_s: time(coarse.swing.peak),
        low_s: time(coarse.swing.low),
        end_s: time(coarse.end - 1),
        target_sd_rad: swing.target_sd_deg.to_radians(),
    };
    let placed = |name: InstantName| {
        let time = parts.corrections.instants.get(name.name())?;
        Some((*time, 0.0, "stated by the user"))
    };
    let or_placed = |name: InstantName, found: Found| placed(name).map_or(found, Ok);
    let top = or_placed(InstantName::Top, search.top());
    let impact = or_placed(InstantName::Impact, search.impact());
    let top_s = top.as_ref().map_or(search.top_s, |found| found.0);
    // Without an impact the way down ends at the lowest hands.
    let down_s = impact.as_ref().map_or(search.low_s, |found| found.0);
    let joints = !parts.markers.smooth.contains_key(&LeftHipBone) || !parts.markers.smooth.contains_key(&RightHipBone);
    let found = [
        (InstantName::Address, address(parts)),
        (InstantName::Takeaway, takeaway(parts)),
        (InstantName::LeadArmLevel, search.lead_arm_level(top_s, down_s)),
        (InstantName::HipHeight, search.hip_height(top_s, down_s, joints)),
        (InstantName::ShaftLevel, search.shaft_level(top_s, down_s)),
        (InstantName::Finish, search.finish(down_s)),
        (InstantName::Top, top),
        (InstantName::Impact, impact),
    ];
    let (mut instants, mut absent) = (vec![], vec![]);
    for (name, found) in found {
        match or_placed(name, found) {
            Ok(found) => instants.push(instant(swing, name, found)),
            Err(why) => absent.push((name, why)),
        }
    }
    order::sort_by(&mut instants, |a, b| a.time_s.total_cmp(&b.time_s));
    (swing.instants, swing.absent) = (instants, absent);
}

fn address(parts: &Parts) -> Found {
    let (source, grid) = (&parts.coarse.address.source, &parts.markers.grid);
    match source {
        AddressSource::SeparateFile => Err(Message::new("swing.address_is_separate")),
        AddressSource::Still(range) => {
            let length = range.len() as f64 * grid.step_s();
            let middle = 0.5 * (range.start + range.end - 1) as f64 * grid.step_s();
            Ok((middle, length / 12.0_f64.sqrt(), source.name()))
        }
        // A recording that starts after the takeaway shows no address at all.
        AddressSource::Earliest(first) => match parts.coarse.address.hands {
            Some(_) => Ok((grid.time_s[*first], grid.step_s(), source.name())),
            None => Err(Message::new("swing.no_address")),
        },
    }
}

fn takeaway(parts: &Parts) -> Found {
    match (parts.coarse.takeaway_s, &parts.coarse.address.source, parts.coarse.address.hands) {
        (Some(t), ..) => Ok((t, parts.coarse.takeaway_sd_s, "hands leave stillness")),
        (None, AddressSource::Earliest(first), Some(_)) => {
            Ok((parts.markers.grid.time_s[*first], LATE_START_SD_S, "assumed: start of the recording"))
        }
        (None, AddressSource::SeparateFile, _) if parts.coarse.starts_near_ball => {
            Ok((0.0, LATE_START_SD_S, "assumed: start of the recording"))
        }
        _ => Err(Message::new("swing.no_takeaway")),
    }
}

fn course_warnings(swing: &Swing, parts: &Parts) -> Vec<Message> {
    let mut warnings = vec![];
    let coarse = &parts.coarse;
    if coarse.found > 1 {
        let message = Message::new("swing.several").with("found", coarse.found).with("number", coarse.number);
        warnings.push(message);
    }
    if !coarse.earlier_tops_s.is_empty() {
        let times: Vec<String> = coarse.earlier_tops_s.iter().map(|t| decimal::fixed(*t, 2) + " s").collect();
        warnings.push(Message::new("swing.several_tops").with("times", times.join(", ")));
    }
    if let AddressSource::Earliest(_) = coarse.address.source {
        warnings.push(Message::new(if coarse.address.hands.is_some() {
            "swing.no_still_address"
        } else {
            "swing.starts_after_address"
        }));
    }
    let downswing = coarse.swing.top..coarse.swing.low + 1;
    let missing = downswing.filter(|k| is_gap(&swing.hands[*k])).count();
    if missing > 0 {
        warnings.push(Message::new("swing.hands_missing").with("samples", missing));
    }
    warnings
}
