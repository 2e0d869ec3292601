use super::{Landmarks, horizontal};
use crate::roles::Role::{self, *};
use crate::settings::Hand;
use nalgebra::Vector3;

/// Pairs of body points that tell left from right.
const PAIRS: [(Role, Role); 5] = [
    (LeftShoulder, RightShoulder),
    (LeftHipJoint, RightHipJoint),
    (LeftHipBone, RightHipBone),
    (LeftAnkle, RightAnkle),
    (LeftToe, RightToe),
];

/// Pairs of body points that tell back from front.
const FRONTS: [(Role, Role); 7] = [
    (LeftAnkle, LeftToe),
    (RightAnkle, RightToe),
    (LeftHeel, LeftToe),
    (RightHeel, RightToe),
    (C7, Notch),
    (LeftHipBack, LeftHipBone),
    (RightHipBack, RightHipBone),
];

/// Left and front of the body at address, horizontal unit vectors, where the labels and landmarks tell them.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sides {
    /// From right-labelled to left-labelled points.
    pub left: Option<Vector3<f64>>,
    /// Where the body faces.
    pub front: Option<Vector3<f64>>,
    /// +1 where labels and facing fit a right-handed coordinate system, -1 where they fit a mirrored one.
    pub chirality: Option<f64>,
}

/// Left, front, and whether they fit together. `hands`: mid-hands at address or at their lowest, in front of the body.
pub fn sides(pose: &Landmarks, up: Vector3<f64>, hands: Option<Vector3<f64>>) -> Sides {
    let sum: Vector3<f64> =
        PAIRS.iter().filter_map(|(left, right)| pose.between(*right, *left)).map(|v| horizontal(v, up)).sum();
    let left = sum.try_normalize(1e-6);
    let front = facing(pose, up, hands, left);
    let chirality = left.zip(front).map(|(left, front)| up.cross(&front).dot(&left)).filter(|c| c.abs() > 0.2);
    Sides { left, front, chirality: chirality.map(f64::signum) }
}

/// Where the body faces: toes before ankles, breast before back; else where the hands are.
pub fn facing(
    pose: &Landmarks,
    up: Vector3<f64>,
    hands: Option<Vector3<f64>>,
    left: Option<Vector3<f64>>,
) -> Option<Vector3<f64>> {
    let sum: Vector3<f64> =
        FRONTS.iter().filter_map(|(back, front)| pose.between(*back, *front)).map(|v| horizontal(v, up)).sum();
    let from_hands = || {
        let middle = pose.mid_ankles().or_else(|| pose.mid_hips()).or_else(|| pose.mid_shoulders())?;
        let ahead = horizontal(hands? - middle, up);
        (ahead - left? * ahead.dot(&left?)).try_normalize(0.02)
    };
    sum.try_normalize(0.02).or_else(from_hands)
}

/// The hand played: at impact the hands of a right-hander travel to their own left. `None` where nothing tells.
///
/// `travel`: any vector the hands move along on the way down to the ball.
pub fn guess_hand(left: Option<Vector3<f64>>, travel: Vector3<f64>) -> Option<Hand> {
    let along = left?.dot(&travel.try_normalize(1e-9)?);
    (along.abs() > 0.1).then_some(if along > 0.0 { Hand::Right } else { Hand::Left })
}
