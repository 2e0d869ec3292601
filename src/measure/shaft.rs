//! The shaft on the way down and the club head at impact, where the club is tracked.

use super::course::{Course, V};
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::BodyPoint::{ClubHead, ShaftLower, ShaftUpper};
use crate::swing::InstantName::{self, HipHeight, Impact, LeadArmLevel, Top};

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
    let upper = course.point(ShaftUpper, t).or_else(|_| course.hands(t))?[0];
    let lower = course.point(ShaftLower, t).or_else(|_| course.point(ClubHead, t))?[0];
    let shaft = (lower - upper).try_normalize(1e-6).ok_or(Why::Gap)?;
    Ok(shaft.z.asin().to_degrees())
}

/// Samples before impact that give the club head's velocity: at least so many, and so long, seconds.
const HEAD_SAMPLES: usize = 5;
const HEAD_SPAN_S: f64 = 0.03;
/// Longest span that still says something about impact, seconds.
const HEAD_LONGEST_S: f64 = 0.09;

/// Velocity of the club head as it reaches the ball, from samples before impact only: the collision is no part of it.
///
/// The head goes round the hands on a nearly constant lever, so the lever's angles in and across its plane are smoother
/// functions of time than its coordinates: each is a polynomial over the last samples, and the hands' own velocity is
/// added.
pub(super) fn head_velocity(course: &Course) -> Result<V, Why> {
    let impact_s = course.time(Impact)?;
    let head = course.points.get(&ClubHead).ok_or(Why::NoPoint(ClubHead.name()))?;
    let mut levers: Vec<(f64, V)> = vec![];
    for k in (0..course.clock.samples).rev().filter(|k| course.clock.time(*k) <= impact_s) {
        let t = course.clock.time(k);
        if levers.len() >= HEAD_SAMPLES && impact_s - t > HEAD_SPAN_S {
            break;
        }
        let lever = head.places[k] - course.hands.places[k];
        if lever.x.is_nan() || impact_s - t > HEAD_LONGEST_S {
            return Err(Why::FewSamples);
        }
        levers.push((t - impact_s, lever));
    }
    let turning = lever_velocity(&levers).ok_or(Why::FewSamples)?;
    Ok(course.hands(impact_s)?[1] + turning)
}

/// Velocity of the lever's end at time 0, from levers at times up to 0, the latest first.
fn lever_velocity(levers: &[(f64, V)]) -> Option<V> {
    let (latest, earliest) = (levers.first()?.1, levers.last()?.1);
    let along = latest.try_normalize(1e-6)?;
    let normal = earliest.cross(&latest).try_normalize(1e-9)?;
    let ahead = normal.cross(&along);
    let mut angles: Vec<(f64, [f64; 3])> = vec![];
    for (t, lever) in levers {
        let length = lever.norm();
        let angle = lever.dot(&ahead).atan2(lever.dot(&along));
        angles.push((*t, [angle, (lever.dot(&normal) / length).asin(), length]));
    }
    let [angle, across, length] = polynomial(&angles, levers.len().min(5) - 1)?;
    let (sin, cos) = angle[0].sin_cos();
    let (rise, flat) = across[0].sin_cos();
    let radial = (along * cos + ahead * sin) * flat + normal * rise;
    let turn = (ahead * cos - along * sin) * flat;
    let tip = normal * flat - (along * cos + ahead * sin) * rise;
    Some(radial * length[1] + (turn * angle[1] + tip * across[1]) * length[0])
}

/// Value and slope at time 0 of the least-squares cubic (or lower) through three series.
fn polynomial(samples: &[(f64, [f64; 3])], most: usize) -> Option<[[f64; 2]; 3]> {
    let terms = most.min(3) + 1;
    let scale = samples.iter().map(|(t, _)| t.abs()).fold(0.0, f64::max).max(1e-9);
    let design = nalgebra::DMatrix::from_fn(samples.len(), terms, |row, k| (samples[row].0 / scale).powi(k as i32));
    let right = nalgebra::DMatrix::from_fn(samples.len(), 3, |row, k| samples[row].1[k]);
    let normal = design.transpose() * &design;
    let solved = normal.cholesky()?.solve(&(design.transpose() * right));
    (terms > 1).then(|| std::array::from_fn(|k| [solved[(0, k)], solved[(1, k)] / scale]))
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
