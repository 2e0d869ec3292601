use super::Landmarks;
use crate::formats::{GAP, Point, is_gap};
use crate::roles::Role::{LeftAnkle, LeftHeel, LeftToe, RightAnkle, RightHeel, RightToe};
use crate::settings::Hand;
use nalgebra::{Matrix3, Rotation3, Unit, Vector3};

/// Height of the ankle over the floor, metres (assumed, about 0.039 of stature plus marker height).
const ANKLE_HEIGHT_M: f64 = 0.08;
/// Height of the hips over the floor at address, as a share of stature 1.75 m; used where no foot is known (assumed).
const HIP_HEIGHT_M: f64 = 0.90;

/// Feet whose landmarks are level to this stand on one floor, metres: it lies at their mean, because the lower of two is
/// too low by as much as noise drives them apart.
const LEVEL_FEET_M: f64 = 0.005;

/// From file axes (metres) to `[out, target, up]` (metres).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BodyFrame {
    origin: Vector3<f64>,
    /// Rows: out, target, up.
    axes: Matrix3<f64>,
}

impl BodyFrame {
    /// The frame of a player of `hand` at `origin`, with `up` and the horizontal direction to the target (unit vectors),
    /// the target line turned by `aim_rad` towards the `out` side.
    pub fn new(origin: Vector3<f64>, up: Vector3<f64>, target: Vector3<f64>, aim_rad: f64, hand: Hand) -> BodyFrame {
        // Out is to the right of the target line for a right-hander, to the left for a left-hander.
        let right_handed = if hand == Hand::Right { 1.0 } else { -1.0 };
        let turn = Rotation3::from_axis_angle(&Unit::new_unchecked(up), -aim_rad * right_handed);
        let target = turn * target;
        let out = target.cross(&up) * right_handed;
        BodyFrame { origin, axes: Matrix3::from_rows(&[out.transpose(), target.transpose(), up.transpose()]) }
    }

    /// A point in the frame; a gap stays a gap.
    pub fn to_body(&self, point: &Point) -> Point {
        if is_gap(point) { GAP } else { (self.axes * (Vector3::from(*point) - self.origin)).into() }
    }

    /// A series in the frame.
    pub fn series(&self, points: &[Point]) -> Vec<Point> {
        points.iter().map(|p| self.to_body(p)).collect()
    }
}

/// The floor point under the middle of the ankles (fallbacks: heels, hips), and how it was found, in documented words.
///
/// The floor is at the lowest foot landmark: toe, else ankle minus 8 cm; of two that are all but level at their mean.
pub fn floor(pose: &Landmarks, up: Vector3<f64>) -> Option<(Vector3<f64>, &'static str)> {
    let lowest = |a, b, drop: f64| {
        let heights = [a, b].into_iter().filter_map(|role| Some(pose.get(role)?.dot(&up) - drop));
        heights.reduce(|a, b| if (a - b).abs() < LEVEL_FEET_M { 0.5 * (a + b) } else { a.min(b) })
    };
    let level = lowest(LeftToe, RightToe, 0.0).or_else(|| lowest(LeftAnkle, RightAnkle, ANKLE_HEIGHT_M));
    let heels = pose.mid(LeftHeel, RightHeel);
    let (middle, source) = match (pose.mid_ankles(), heels, pose.mid_hips()) {
        (Some(ankles), _, _) => (ankles, "between the ankles"),
        (None, Some(heels), _) => (heels, "between the heels"),
        (None, None, Some(hips)) => (hips, "under the hips"),
        (None, None, None) => return None,
    };
    match level {
        Some(height) => Some((middle + up * (height - middle.dot(&up)), source)),
        None => pose.mid_hips().map(|hips| {
            (middle + up * (hips.dot(&up) - HIP_HEIGHT_M - middle.dot(&up)), "assumed: hips 90 cm over the floor")
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn out_target_up_is_right_handed_for_a_right_hander_and_mirrored_for_a_left_hander() {
        let up = Vector3::z();
        let target = Vector3::y();
        let right = BodyFrame::new(Vector3::zeros(), up, target, 0.0, Hand::Right);
        assert_eq!(right.to_body(&[1.0, 2.0, 3.0]), [1.0, 2.0, 3.0]);
        let left = BodyFrame::new(Vector3::zeros(), up, target, 0.0, Hand::Left);
        assert_eq!(left.to_body(&[1.0, 2.0, 3.0]), [-1.0, 2.0, 3.0]);
    }

    #[test]
    fn the_floor_is_at_the_lower_foot_and_between_level_feet() {
        for (right, expected) in [(0.050, 0.040), (0.044, 0.042), (0.036, 0.038), (0.030, 0.030)] {
            let mut pose = Landmarks::default();
            let feet = [(LeftToe, 0.040), (RightToe, right), (LeftAnkle, 0.1), (RightAnkle, 0.1)];
            feet.into_iter().for_each(|(role, up)| pose.insert(role, [0.3, 0.2, up]));
            let (origin, _) = floor(&pose, Vector3::z()).unwrap();
            assert!((origin - Vector3::new(0.3, 0.2, expected)).norm() < 1e-12, "{right}: {origin}");
        }
    }

    #[test]
    fn aim_turns_the_target_line_towards_out_for_both_hands() {
        for hand in [Hand::Right, Hand::Left] {
            let frame = BodyFrame::new(Vector3::zeros(), Vector3::z(), Vector3::y(), 0.1, hand);
            // The old target direction now lies on the player's side of the new line.
            let old_target = frame.to_body(&[0.0, 1.0, 0.0]);
            assert!((old_target[0] + 0.1_f64.sin()).abs() < 1e-12, "{hand:?} {old_target:?}");
        }
    }
}
