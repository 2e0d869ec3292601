//! Hand speed on the way down, club head speed, and how sharply the path bends.

use super::course::{Course, V};
use super::shaft;
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::InstantName::{self, HipHeight, Impact, LeadArmLevel, Top};

pub(super) const SPECS: [Spec; 7] = [
    spec("hand speed, peak", "measure.hand_speed_peak", "m/s", TO_IMPACT),
    spec("hand speed, peak before impact", "measure.hand_speed_peak_before_impact", "s", TO_IMPACT),
    spec("hand speed, at impact", "measure.hand_speed_at_impact", "m/s", &["hands", "impact"]),
    spec("club head speed, at impact", "measure.club_head_speed_at_impact", "m/s", &["club head", "impact"]),
    spec(
        "local radius, at lead arm level",
        "measure.local_radius_at_lead_arm_level",
        "m",
        &["hands", "lead arm level"],
    ),
    spec("local radius, at hip height", "measure.local_radius_at_hip_height", "m", &["hands", "hip height"]),
    spec("local radius, at impact", "measure.local_radius_at_impact", "m", &["hands", "impact"]),
];

const TO_IMPACT: &[&str] = &["hands", "top", "impact"];

const fn spec(name: &'static str, key: &'static str, unit: &'static str, rests_on: &'static [&'static str]) -> Spec {
    Spec { name, key, unit, drawer: Drawer::Second, rests_on, bounds: ANY }.not_negative()
}

pub(super) fn values(course: &Course) -> [Found; 7] {
    let peak = peak(course);
    let at_impact = course.time(Impact).and_then(|t| Ok(course.hands(t)?[1].norm()));
    [
        peak.map(|(speed, _)| speed),
        peak.map(|(_, before_s)| before_s),
        at_impact,
        shaft::head_velocity(course).map(|velocity| velocity.norm()),
        radius_at(course, LeadArmLevel),
        radius_at(course, HipHeight),
        radius_at(course, Impact),
    ]
}

/// Greatest hand speed between top and impact, and how long before impact.
fn peak(course: &Course) -> Result<(f64, f64), Why> {
    let (times, speeds) = (course.times(Top, Impact)?, course.speeds(Top, Impact)?);
    let mut best = 0;
    for (k, speed) in speeds.iter().enumerate() {
        best = if *speed > speeds[best] { k } else { best };
    }
    Ok((speeds[best], times[times.len() - 1] - times[best]))
}

fn radius_at(course: &Course, name: InstantName) -> Found {
    let [_, velocity, acceleration] = course.hands(course.time(name)?)?;
    Ok(radius(&velocity, &acceleration))
}

/// Radius of the circle that the path follows at a moment, `|v|^3 / |v x a|`, metres; infinite on a straight line.
pub(super) fn radius(velocity: &V, acceleration: &V) -> f64 {
    velocity.norm().powi(3) / velocity.cross(acceleration).norm()
}
