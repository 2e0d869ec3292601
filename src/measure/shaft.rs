//! The shaft on the way down and the club head at impact, where the club is tracked.

use super::course::{Course, V};
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::BodyPoint::{ClubHead, ShaftLower, ShaftUpper};
use crate::swing::InstantName::{self, HipHeight, Impact, LeadArmLevel, Top};
use nalgebra::{Matrix4, Vector4};

pub(super) const SPECS: [Spec; 6] = [
    spec("shaft elevation, at top", "measure.shaft_elevation_at_top", &["shaft", "top"]),
    spec(
        "shaft elevation, at lead arm level",
        "measure.shaft_elevation_at_lead_arm_level",
        &["shaft", "lead arm level"],
    ),
    spec("shaft elevation, at hip height", "measure.shaft_elevation_at_hip_height", &["shaft", "hip height"]),
    spec(
        "shaft elevation, change to lead arm level",
        "measure.shaft_elevation_change_to_lead_arm_level",
        &["shaft", "top", "lead arm level"],
    ),
    spec("club path, at impact", "measure.club_path_at_impact", &["club head", "target line", "impact"]),
    spec("attack angle, at impact", "measure.attack_angle_at_impact", &["club head", "impact"]),
];

const fn spec(name: &'static str, key: &'static str, rests_on: &'static [&'static str]) -> Spec {
    Spec { name, key, unit: "deg", drawer: Drawer::First, rests_on, bounds: ANY }
}

pub(super) fn values(course: &Course) -> [Found; 6] {
    let at = |name| elevation_deg(course, name);
    let change = || Ok(at(LeadArmLevel)? - at(Top)?);
    let head = head_velocity(course);
    let path = head.map(|v| v.x.atan2(v.y).to_degrees());
    let attack = head.map(|v| v.z.atan2(v.x.hypot(v.y)).to_degrees());
    [at(Top), at(LeadArmLevel), at(HipHeight), change(), course.framed().and(path), attack]
}

/// Angle of the shaft, from the grip to the head, above the horizontal.
fn elevation_deg(course: &Course, name: InstantName) -> Found {
    let t = course.time(name)?;
    let upper = course.unfiltered(ShaftUpper, t).or_else(|_| Ok(course.hands(t)?[0]))?;
    let lower = course.unfiltered(ShaftLower, t).or_else(|_| course.unfiltered(ClubHead, t))?;
    let shaft = (lower - upper).try_normalize(1e-6).ok_or(Why::Gap)?;
    Ok(shaft.z.asin().to_degrees())
}

/// Samples before impact that give the club head's direction: at least so many, and so much of its turn, radians.
const HEAD_SAMPLES: usize = 3;
const HEAD_TURN: f64 = 1.2;
/// Longest span that still says something about impact, seconds.
const HEAD_LONGEST_S: f64 = 0.09;

/// Velocity of the club head as it reaches the ball, from samples before impact and its place at impact: the jolt of
/// the collision changes velocities, not places.
///
/// The head goes round the hands on a lever of nearly constant length. Its angle in the lever's plane is a smooth
/// function of time, its angle across that plane a smooth function of the first: each is a polynomial, and the hands'
/// own velocity is added.
pub(super) fn head_velocity(course: &Course) -> Result<V, Why> {
    let impact_s = course.time(Impact)?;
    let [hands, velocity, _] = course.hands(impact_s)?;
    let mut levers = levers(course, impact_s)?;
    levers.insert(0, (0.0, course.point(ClubHead, impact_s)? - hands));
    Ok(velocity + lever_velocity(&levers).ok_or(Why::FewSamples)?)
}

/// The last levers from hands to head before impact, the latest first, with their times from impact.
fn levers(course: &Course, impact_s: f64) -> Result<Vec<(f64, V)>, Why> {
    let mut levers: Vec<(f64, V)> = vec![];
    for k in (0..course.clock.samples).rev().filter(|k| course.clock.time(*k) < impact_s) {
        let (t, lever) = (course.clock.time(k) - impact_s, course.lever(k)?);
        let turned = levers.first().map_or(0.0, |(_, latest)| latest.angle(&lever));
        if levers.len() >= HEAD_SAMPLES && turned > HEAD_TURN {
            return Ok(levers);
        }
        if lever.x.is_nan() || -t > HEAD_LONGEST_S {
            break;
        }
        levers.push((t, lever));
    }
    if levers.len() >= HEAD_SAMPLES { Ok(levers) } else { Err(Why::FewSamples) }
}

/// Velocity of the lever's end at time 0, from levers at times up to 0, the latest first.
fn lever_velocity(levers: &[(f64, V)]) -> Option<V> {
    let (latest, earliest) = (levers.first()?.1, levers.last()?.1);
    let along = latest.try_normalize(1e-6)?;
    let normal = earliest.cross(&latest).try_normalize(1e-9)?;
    let ahead = normal.cross(&along);
    let angles = |lever: &V| (lever.dot(&ahead).atan2(lever.dot(&along)), (lever.dot(&normal) / lever.norm()).asin());
    let in_plane: Vec<(f64, f64)> = levers.iter().map(|(t, lever)| (*t, angles(lever).0)).collect();
    let [angle, speed] = polynomial(&in_plane, 0.0)?;
    let across: Vec<(f64, f64)> = levers.iter().map(|(_, lever)| angles(lever)).collect();
    let [rise, slope] = polynomial(&across, angle)?;
    let (radial, turn) = (along * angle.cos() + ahead * angle.sin(), ahead * angle.cos() - along * angle.sin());
    let tip = normal * rise.cos() - radial * rise.sin();
    Some((turn * rise.cos() + tip * slope) * (speed * latest.norm()))
}

/// Value and slope at `x` of the least-squares cubic through samples.
fn polynomial(samples: &[(f64, f64)], x: f64) -> Option<[f64; 2]> {
    let scale = samples.iter().map(|sample| (sample.0 - x).abs()).fold(0.0, f64::max).max(1e-9);
    let (mut normal, mut right) = (Matrix4::<f64>::zeros(), Vector4::<f64>::zeros());
    for (at, value) in samples {
        let u = (at - x) / scale;
        let row = Vector4::new(1.0, u, u * u, u * u * u);
        normal += row * row.transpose();
        right += row * *value;
    }
    let solved = normal.cholesky()?.solve(&right);
    Some([solved[0], solved[1] / scale])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A lever of 1.1 m on a tilted plane at rising angular speed: closed form.
    #[test]
    fn the_velocity_of_a_turning_lever_is_its_angular_speed_times_its_length() {
        let (a, b) = (V::new(0.0, 1.0, 0.0), V::new(0.6, 0.0, -0.8));
        let angle = |t: f64| 0.3 + 35.0 * t + 400.0 * t * t;
        let lever = |t: f64| (a * angle(t).sin() + b * angle(t).cos()) * 1.1;
        for step in [1.0 / 60.0, 1.0 / 240.0] {
            let levers: Vec<(f64, V)> = (0..6).map(|k| -0.3 * step - k as f64 * step).map(|t| (t, lever(t))).collect();
            let exact = (a * angle(0.0).cos() - b * angle(0.0).sin()) * (35.0 * 1.1);
            assert!((lever_velocity(&levers).unwrap() - exact).norm() < 1e-6);
        }
    }
}
