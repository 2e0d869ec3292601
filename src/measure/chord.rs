//! The chord from the hands at the top to the hands later, against the direct line to the ball.

use super::course::Course;
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::InstantName::{self, HipHeight, Impact, Top};

/// Hands that drop less than this have no chord, metres.
const LEAST_DROP_M: f64 = 0.20;

pub(super) const SPECS: [Spec; 4] = [
    spec("chord to hip height, angle from the direct line", "measure.chord_to_hip_height_angle", "deg", TO_HIP),
    spec("chord to hip height, distance from the ball line", "measure.chord_to_hip_height_distance", "m", TO_HIP),
    spec("chord to impact, angle from the direct line", "measure.chord_to_impact_angle", "deg", TO_IMPACT),
    spec("chord to impact, distance from the ball line", "measure.chord_to_impact_distance", "m", TO_IMPACT),
];

const TO_HIP: &[&str] = &["hands", "ball", "target line", "top", "hip height"];
const TO_IMPACT: &[&str] = &["hands", "ball", "target line", "top", "impact"];

const fn spec(name: &'static str, key: &'static str, unit: &'static str, rests_on: &'static [&'static str]) -> Spec {
    Spec { name, key, unit, drawer: Drawer::Second, rests_on, bounds: ANY }
}

pub(super) fn values(course: &Course) -> [Found; 4] {
    let (hip, impact) = (chord(course, HipHeight), chord(course, Impact));
    [hip.map(|c| c.0), hip.map(|c| c.1), impact.map(|c| c.0), impact.map(|c| c.1)]
}

/// Angle of the chord from the direct line in the out/up plane, degrees, and distance from the ball line where the chord
/// meets the height of the ball's centre, metres; both positive on the player's side.
fn chord(course: &Course, to: InstantName) -> Result<(f64, f64), Why> {
    course.framed()?;
    let ball = course.ball.ok_or(Why::NoBall)?;
    course.span(Top, to)?;
    let (top, low) = (course.hands_at(Top)?, course.hands_at(to)?);
    let (out, drop) = (low.x - top.x, top.z - low.z);
    if drop < LEAST_DROP_M {
        return Err(Why::ShortChord);
    }
    let direct = (ball.x - top.x).atan2(top.z - ball.z);
    let meets = top.x + out / drop * (top.z - ball.z);
    Ok(((direct - out.atan2(drop)).to_degrees(), ball.x - meets))
}
