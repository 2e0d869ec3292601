//! The model as a skeleton with rigid bones, for BVH: joint rotations instead of points.

use super::motion::{Motion, V};
use super::params::{Build, ModelParams};
use super::pose::{Leg, OutOfReach, Pose, Side, TOE_FROM_ANKLE};
use super::sample::{Lab, SampleOptions};
use crate::formats::write::{Channels, Joint, JointPose, Skeleton};
use crate::settings::Hand;
use nalgebra::Matrix3;

/// A joint while the list is built: its orientation in the body-relative frame comes from the pose.
struct Part {
    name: String,
    parent: Option<usize>,
    offset: V,
    channels: Channels,
    turn: Matrix3<f64>,
}

/// Samples a motion as a skeleton: `(skeleton, frames)` as [`crate::formats::write::bvh`] takes them.
///
/// Hips with the spine, head, arms and legs; the club hangs on the lead hand as a rigid chain. The ball is a second root
/// with position channels (name it in `options.hidden` to leave it out: many programs expect one root); once out of
/// sight it stays where it was last seen, because BVH knows no gaps. Noise and gaps of the options are left out: they
/// belong to markers. Joint places are those of the marker sets.
///
/// # Errors
/// [`OutOfReach`] where the parameters ask for more than the bones allow.
pub fn sample_skeleton(
    motion: &Motion,
    params: &ModelParams,
    options: &SampleOptions,
) -> Result<(Skeleton, Vec<Vec<JointPose>>), OutOfReach> {
    let lab = Lab::new(params.hand, options);
    let mut skeleton = Skeleton::default();
    let mut frames = Vec::new();
    let mut ball = motion.balls[0];
    for t_s in options.times(motion, params) {
        let pose = motion.pose(t_s)?;
        let mut parts = parts(&pose, &motion.build, params.hand);
        if params.ball && !options.hidden.iter().any(|name| name == "Ball") {
            parts.push(Part::root("Ball", Channels::Position, Matrix3::identity()));
        }
        ball = motion.ball(t_s).unwrap_or(ball);
        if frames.is_empty() {
            skeleton.joints = parts.iter().map(|part| part.joint(&lab)).collect();
        }
        let places = [pose.mid_hip, ball];
        let mut roots = places.into_iter();
        frames.push((0..parts.len()).map(|k| joint_pose(&parts, k, &lab, &mut roots)).collect());
    }
    Ok((skeleton, frames))
}

impl Part {
    fn root(name: &str, channels: Channels, turn: Matrix3<f64>) -> Self {
        Part { name: name.to_owned(), parent: None, offset: V::zeros(), channels, turn }
    }

    fn joint(&self, lab: &Lab) -> Joint {
        let offset = lab.direction(self.offset).into();
        Joint { name: self.name.clone(), parent: self.parent, offset, channels: self.channels }
    }
}

/// Rotation against the parent, in axes that the file's offsets are written in.
fn joint_pose(parts: &[Part], k: usize, lab: &Lab, roots: &mut impl Iterator<Item = V>) -> JointPose {
    let part = &parts[k];
    let (position, rotation) = match part.parent {
        Some(parent) => {
            let local = parts[parent].turn.transpose() * part.turn;
            (V::zeros(), lab.basis * local * lab.basis.transpose())
        }
        None => (lab.place(roots.next().unwrap_or_default()), lab.turn * part.turn * lab.basis.transpose()),
    };
    let row = |r: usize| [rotation[(r, 0)], rotation[(r, 1)], rotation[(r, 2)]];
    JointPose { position: position.into(), rotation: [row(0), row(1), row(2)] }
}

/// Rotation with one column along a bone and one along a hinge square to it.
fn frame(y: V, z: V) -> Matrix3<f64> {
    Matrix3::from_columns(&[y.cross(&z), y, z])
}

struct List {
    parts: Vec<Part>,
}

impl List {
    fn add(&mut self, parent: usize, name: String, offset: V, turn: Matrix3<f64>) -> usize {
        self.parts.push(Part { name, parent: Some(parent), offset, channels: Channels::Rotation, turn });
        self.parts.len() - 1
    }

    fn end(&mut self, parent: usize, offset: V) {
        let turn = self.parts[parent].turn;
        self.parts.push(Part { name: String::new(), parent: Some(parent), offset, channels: Channels::EndSite, turn });
    }
}

fn parts(pose: &Pose, build: &Build, hand: Hand) -> Vec<Part> {
    let mut list = List { parts: vec![Part::root("Hips", Channels::PositionAndRotation, pose.pelvis)] };
    let scale = build.scale;
    let spine = list.add(0, "Spine".into(), V::zeros(), pose.thorax);
    let chest = list.add(spine, "Spine1".into(), V::z() * build.trunk, pose.thorax);
    let neck = list.add(chest, "Neck".into(), V::z() * (0.05 * scale), pose.thorax);
    let head = list.add(neck, "Head".into(), V::z() * (0.17 * scale), pose.thorax);
    list.end(head, V::z() * (0.1 * scale));
    for left in [true, false] {
        let index = usize::from(left != (hand == Hand::Right));
        let word = if left { "Left" } else { "Right" };
        arm(&mut list, chest, pose, build, index, word);
        leg(&mut list, &pose.legs[index], build, Side::BOTH[index], word);
    }
    list.parts
}

fn arm(list: &mut List, chest: usize, pose: &Pose, build: &Build, index: usize, word: &str) {
    let side = Side::BOTH[index];
    let along = V::y() * side.sign();
    let limb = &pose.arms[index];
    let (upper, lower) = ((limb.elbow - limb.shoulder).normalize(), (limb.fist - limb.elbow).normalize());
    let hinge = upper.cross(&lower).normalize();
    let collar_m = 0.03 * build.scale;
    let collar = list.add(chest, format!("{word}Shoulder"), along * collar_m, pose.thorax);
    let turned = |bone: V| frame(bone * side.sign(), hinge);
    let shoulder = list.add(collar, format!("{word}Arm"), along * (build.half_shoulders - collar_m), turned(upper));
    let elbow = list.add(shoulder, format!("{word}ForeArm"), along * build.upper_arm, turned(lower));
    let grip = frame(pose.club * side.sign(), pose.club_plane);
    // Rigid from elbow to fist: the wrist is there to be seen, and does not turn.
    let wrist = list.add(elbow, format!("{word}Wrist"), along * build.forearm, turned(lower));
    let fist = list.add(wrist, format!("{word}Hand"), along * (build.lower_arm - build.forearm), grip);
    if side == Side::Trail {
        list.end(fist, along * (0.06 * build.scale));
        return;
    }
    let upper_shaft = list.add(fist, "ClubShaftUpper".into(), along * (build.half_grip + 0.3 * build.club), grip);
    let lower_shaft = list.add(upper_shaft, "ClubShaftLower".into(), along * (0.4 * build.club), grip);
    let head = list.add(lower_shaft, "ClubHead".into(), along * (0.3 * build.club), grip);
    list.end(head, along * (0.02 * build.scale));
}

fn leg(list: &mut List, limb: &Leg, build: &Build, side: Side, word: &str) {
    let (upper, lower) = ((limb.knee - limb.hip).normalize(), (limb.ankle - limb.knee).normalize());
    let hinge = lower.cross(&upper).normalize();
    let turned = |bone: V| frame(hinge, -bone);
    let hip = list.add(0, format!("{word}UpLeg"), V::y() * (side.sign() * build.half_hips), turned(upper));
    let knee = list.add(hip, format!("{word}Leg"), V::z() * -build.thigh, turned(lower));
    let ankle = list.add(knee, format!("{word}Foot"), V::z() * -build.shank, limb.foot);
    let toe = list.add(ankle, format!("{word}ToeBase"), V::from(TOE_FROM_ANKLE) * (build.scale * 1.80), limb.foot);
    list.end(toe, V::x() * (0.03 * build.scale));
}
