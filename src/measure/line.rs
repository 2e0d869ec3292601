//! On which side of the direct line, from the hands at the top to the ball, the path runs: in the out/up plane, the
//! player's side positive.

use super::course::{Course, V};
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::InstantName::{HipHeight, Top};

pub(super) const SPECS: [Spec; 2] = [
    spec("side of the direct line, greatest", "measure.side_of_the_direct_line_greatest").not_negative(),
    spec("side of the direct line, at hip height", "measure.side_of_the_direct_line_at_hip_height"),
];

const fn spec(name: &'static str, key: &'static str) -> Spec {
    let rests_on: &[&str] = &["hands", "ball", "target line", "top", "hip height"];
    Spec { name, key, unit: "m", drawer: Drawer::First, rests_on, bounds: ANY }
}

pub(super) fn values(course: &Course) -> [Found; 2] {
    let sides = sides(course);
    let of = |pick: fn(&[f64]) -> f64| sides.as_deref().map(pick).map_err(|why| *why);
    [of(|sides| sides.iter().copied().fold(0.0, f64::max)), of(|sides| sides[sides.len() - 1])]
}

/// Distances from the line, from the top to hip height.
fn sides(course: &Course) -> Result<Vec<f64>, Why> {
    course.framed()?;
    let ball = course.ball.ok_or(Why::NoBall)?;
    let path = course.path(Top, HipHeight)?;
    let normal = players_side(&path[0], &ball).ok_or(Why::NoBall)?;
    Ok(path.iter().map(|hands| (hands - path[0]).dot(&normal)).collect())
}

/// Unit normal of the line in the out/up plane, towards the player.
fn players_side(top: &V, ball: &V) -> Option<V> {
    let (out, up) = (ball.x - top.x, ball.z - top.z);
    V::new(up, 0.0, -out).try_normalize(1e-6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_players_side_is_below_and_behind_the_line() {
        let normal = players_side(&V::new(-0.3, 0.1, 1.5), &V::new(0.7, f64::NAN, 0.0)).unwrap();
        assert!(normal.x < 0.0 && normal.z < 0.0 && (normal.norm() - 1.0).abs() < 1e-12);
        // 1.0 over, 1.5 down: the normal is (-1.5, -1) / sqrt(3.25).
        assert!((normal.x + 1.5 / 3.25_f64.sqrt()).abs() < 1e-12);
    }
}
