//! How the path leaves the top and turns: first move, early turning, steepness.

use super::course::{Course, V, length, resampled};
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::InstantName::{HipHeight, Impact, LeadArmLevel, Top};

/// The first move is this share of the downswing's path length.
const FIRST_SHARE: f64 = 0.1;
/// Step of the path for directions, metres.
const STEP_M: f64 = 0.01;
/// A displacement under so many times the noise has no direction.
const NOISES: f64 = 5.0;

pub(super) const SPECS: [Spec; 5] = [
    spec("first move, ground direction", "measure.first_move_ground_direction", "deg", FROM_TOP),
    spec(
        "first move, direction from straight down",
        "measure.first_move_direction_from_straight_down",
        "deg",
        FROM_TOP,
    ),
    spec("early turning", "measure.early_turning", "deg", TO_LEVEL),
    spec("steepness, angle", "measure.steepness_angle", "deg", &["hands", "lead arm level", "hip height"]),
    spec(
        "steepness, out per drop",
        "measure.steepness_out_per_drop",
        "cm per 10 cm",
        &["hands", "target line", "lead arm level", "hip height"],
    ),
];

const FROM_TOP: &[&str] = &["hands", "target line", "top", "impact"];
const TO_LEVEL: &[&str] = &["hands", "top", "lead arm level", "impact"];

const fn spec(name: &'static str, key: &'static str, unit: &'static str, rests_on: &'static [&'static str]) -> Spec {
    Spec { name, key, unit, drawer: Drawer::Second, rests_on, bounds: ANY }
}

pub(super) fn values(course: &Course) -> [Found; 5] {
    let path = course.framed().and_then(|()| course.path(Top, Impact));
    let first = path.as_deref().map_err(|why| *why).and_then(first_move);
    let tenth_m = path.as_deref().map_err(|why| *why).map(first_tenth);
    let steep = steep(course);
    [
        first.and_then(|d| angle_deg(course, d.x, d.y)),
        first.and_then(|d| angle_deg(course, d.x, -d.z)),
        tenth_m.and_then(|tenth_m| early_turning(course, tenth_m)),
        steep.map(|d| (-d.z).atan2(d.x.hypot(d.y)).to_degrees()),
        course.framed().and(steep).map(|d| 10.0 * d.x / -d.z),
    ]
}

/// Direction of a displacement; absent where noise could make it.
fn angle_deg(course: &Course, sine: f64, cosine: f64) -> Found {
    if sine.hypot(cosine) < NOISES * course.noise_m {
        return Err(Why::SmallMove);
    }
    Ok(sine.atan2(cosine).to_degrees())
}

/// Path length of the first tenth of the downswing.
fn first_tenth(path: &[V]) -> f64 {
    FIRST_SHARE * length(path)
}

/// Displacement over the first tenth of the downswing's path length.
fn first_move(path: &[V]) -> Result<V, Why> {
    let tenths = resampled(path, first_tenth(path));
    Ok(tenths.get(1).ok_or(Why::SmallMove)? - path[0])
}

/// Signed change of the ground-plane direction between the first tenth and lead arm level; from target towards out is
/// positive.
fn early_turning(course: &Course, skipped_m: f64) -> Found {
    let skipped = (skipped_m / STEP_M).round() as usize;
    let path = resampled(&course.path(Top, LeadArmLevel)?, STEP_M);
    let path = path.get(skipped..).filter(|path| path.len() > 2).ok_or(Why::SmallMove)?;
    let moved = path[path.len() - 1] - path[0];
    if moved.x.hypot(moved.y) < NOISES * course.noise_m {
        return Err(Why::SmallMove);
    }
    let steps: Vec<V> = path.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let turn = |a: &V, b: &V| (b.x * a.y - b.y * a.x).atan2(a.x * b.x + a.y * b.y);
    Ok(steps.windows(2).map(|pair| turn(&pair[0], &pair[1])).sum::<f64>().to_degrees())
}

/// Displacement from lead arm level to hip height.
fn steep(course: &Course) -> Result<V, Why> {
    course.span(LeadArmLevel, HipHeight)?;
    let moved = course.hands_at(HipHeight)? - course.hands_at(LeadArmLevel)?;
    if -moved.z > NOISES * course.noise_m { Ok(moved) } else { Err(Why::SmallMove) }
}
