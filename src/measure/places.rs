//! Where the hands are at four instants, and how deep they are at the top.

use super::course::Course;
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::BodyPoint;
use crate::swing::InstantName::{self, HipHeight, Impact, LeadArmLevel, Top};

/// Instants at which the hands' place is told.
const INSTANTS: [InstantName; 4] = [Top, LeadArmLevel, HipHeight, Impact];

pub(super) const SPECS: [Spec; 14] = [
    spec("hands at top, out", "measure.hands_at_top_out", AT_TOP),
    spec("hands at top, target", "measure.hands_at_top_target", AT_TOP),
    spec("hands at top, up", "measure.hands_at_top_up", AT_TOP),
    spec("hands at lead arm level, out", "measure.hands_at_lead_arm_level_out", AT_LEVEL),
    spec("hands at lead arm level, target", "measure.hands_at_lead_arm_level_target", AT_LEVEL),
    spec("hands at lead arm level, up", "measure.hands_at_lead_arm_level_up", AT_LEVEL),
    spec("hands at hip height, out", "measure.hands_at_hip_height_out", AT_HIP),
    spec("hands at hip height, target", "measure.hands_at_hip_height_target", AT_HIP),
    spec("hands at hip height, up", "measure.hands_at_hip_height_up", AT_HIP),
    spec("hands at impact, out", "measure.hands_at_impact_out", AT_IMPACT),
    spec("hands at impact, target", "measure.hands_at_impact_target", AT_IMPACT),
    spec("hands at impact, up", "measure.hands_at_impact_up", AT_IMPACT),
    spec("depth at the top", "measure.depth_at_the_top", &["hands", "ball", "target line", "top"]),
    Spec {
        drawer: Drawer::Second,
        ..spec("hands over the lead shoulder, at top", "measure.hands_over_the_lead_shoulder_at_top", &["hands", "top"])
    },
];

const AT_TOP: &[&str] = &["hands", "target line", "top"];
const AT_LEVEL: &[&str] = &["hands", "target line", "lead arm level"];
const AT_HIP: &[&str] = &["hands", "target line", "hip height"];
const AT_IMPACT: &[&str] = &["hands", "target line", "impact"];

const fn spec(name: &'static str, key: &'static str, rests_on: &'static [&'static str]) -> Spec {
    Spec { name, key, unit: "m", drawer: Drawer::First, rests_on, bounds: ANY }
}

pub(super) fn values(course: &Course) -> [Found; 14] {
    let place = |i: usize| course.framed().and_then(|()| Ok(course.hands_at(INSTANTS[i / 3])?[i % 3]));
    std::array::from_fn(|i| match i {
        12 => depth(course),
        13 => over_shoulder(course),
        i => place(i),
    })
}

/// Height of the hands at the top over the lead shoulder.
fn over_shoulder(course: &Course) -> Found {
    let t = course.time(Top)?;
    Ok(course.hands(t)?[0].z - course.point(BodyPoint::LeadShoulder, t)?.z)
}

/// Distance of the hands from the ball line, positive on the player's side.
fn depth(course: &Course) -> Found {
    course.framed()?;
    Ok(course.ball.ok_or(Why::NoBall)?.x - course.hands_at(Top)?.x)
}
