//! BVH: a skeleton and its joint rotations.

use super::fixed;
use crate::formats::Point;
use std::fmt::Write;

/// Which channels a joint has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Channels {
    /// Three positions and three rotations.
    PositionAndRotation,
    /// Three rotations.
    Rotation,
    /// Three positions.
    Position,
    /// None: an end site.
    EndSite,
}

/// A joint of a skeleton.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// Name; not written for an end site.
    pub name: String,
    /// Index of the parent; `None` for a root.
    pub parent: Option<usize>,
    /// From the parent, in the parent's axes, file unit.
    pub offset: Point,
    /// Channels.
    pub channels: Channels,
}

/// Joints, parents before children.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Skeleton {
    /// The joints.
    pub joints: Vec<Joint>,
}

/// Where a joint is in one frame. What its channels do not hold is not written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JointPose {
    /// Position channels, file unit. They replace the offset; a root's offset is best zero, because programs differ.
    pub position: Point,
    /// Rotation against the parent: rows of the matrix that takes the joint's axes to the parent's.
    pub rotation: [[f64; 3]; 3],
}

/// Order of the rotation channels; `ZXY` means `R = Rz Rx Ry`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EulerOrder {
    /// x, y, z.
    Xyz,
    /// x, z, y.
    Xzy,
    /// y, x, z.
    Yxz,
    /// y, z, x.
    Yzx,
    /// z, x, y: the most usual.
    Zxy,
    /// z, y, x.
    Zyx,
}

impl EulerOrder {
    /// All orders.
    pub const ALL: [EulerOrder; 6] =
        [EulerOrder::Xyz, EulerOrder::Xzy, EulerOrder::Yxz, EulerOrder::Yzx, EulerOrder::Zxy, EulerOrder::Zyx];

    /// Axis indices in order.
    pub(super) fn axes(self) -> [usize; 3] {
        match self {
            EulerOrder::Xyz => [0, 1, 2],
            EulerOrder::Xzy => [0, 2, 1],
            EulerOrder::Yxz => [1, 0, 2],
            EulerOrder::Yzx => [1, 2, 0],
            EulerOrder::Zxy => [2, 0, 1],
            EulerOrder::Zyx => [2, 1, 0],
        }
    }

    /// The three angles, radians, of `R = R_i(a) R_j(b) R_k(c)`. At gimbal lock the last is zero.
    pub(super) fn angles(self, r: &[[f64; 3]; 3]) -> [f64; 3] {
        let [i, j, k] = self.axes();
        let sign = if (i + 1) % 3 == j { 1.0 } else { -1.0 };
        let middle = (sign * r[i][k]).clamp(-1.0, 1.0).asin();
        if middle.cos() < 1e-9 {
            return [(sign * r[k][j]).atan2(r[j][j]), middle, 0.0];
        }
        [(-sign * r[j][k]).atan2(r[k][k]), middle, (-sign * r[i][j]).atan2(r[i][i])]
    }
}

/// Variant of the format.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BvhOptions {
    /// Rotation channels. Default: ZXY.
    pub order: EulerOrder,
    /// Decimals of lengths and degrees. Default: 6.
    pub decimals: usize,
}

impl Default for BvhOptions {
    fn default() -> Self {
        BvhOptions { order: EulerOrder::Zxy, decimals: 6 }
    }
}

/// Writes a skeleton and its motion: `frames[frame][joint]`, in the order of [`Skeleton::joints`].
pub fn bvh(skeleton: &Skeleton, rate_hz: f64, frames: &[Vec<JointPose>], options: &BvhOptions) -> Vec<u8> {
    let mut out = String::from("HIERARCHY\n");
    let mut order = Vec::with_capacity(skeleton.joints.len());
    let roots = (0..skeleton.joints.len()).filter(|k| skeleton.joints[*k].parent.is_none());
    roots.for_each(|root| joint(&mut out, &mut order, skeleton, root, 0, options));
    let _ = write!(out, "MOTION\nFrames: {}\nFrame Time: {:.9}\n", frames.len(), 1.0 / rate_hz);
    for frame in frames {
        let values = order.iter().flat_map(|k| channel_values(skeleton.joints[*k].channels, &frame[*k], options.order));
        let texts: Vec<String> = values.map(|x| fixed(x, options.decimals)).collect();
        out.push_str(&texts.join(" "));
        out.push('\n');
    }
    out.into_bytes()
}

/// One joint and what hangs on it, depth first; `order` collects the order of the channels.
fn joint(out: &mut String, order: &mut Vec<usize>, skeleton: &Skeleton, at: usize, depth: usize, options: &BvhOptions) {
    let joint_here = &skeleton.joints[at];
    let indent = "\t".repeat(depth);
    order.push(at);
    let title = match (joint_here.channels, joint_here.parent) {
        (Channels::EndSite, _) => "End Site".to_owned(),
        (_, None) => format!("ROOT {}", joint_here.name),
        _ => format!("JOINT {}", joint_here.name),
    };
    let offset = joint_here.offset.map(|x| fixed(x, options.decimals)).join(" ");
    let _ = write!(out, "{indent}{title}\n{indent}{{\n{indent}\tOFFSET {offset}\n");
    let names = channel_names(joint_here.channels, options.order);
    if !names.is_empty() {
        let _ = writeln!(out, "{indent}\tCHANNELS {} {}", names.len(), names.join(" "));
    }
    let children = (at + 1..skeleton.joints.len()).filter(|k| skeleton.joints[*k].parent == Some(at));
    children.for_each(|child| joint(out, order, skeleton, child, depth + 1, options));
    let _ = writeln!(out, "{indent}}}");
}

fn channel_names(channels: Channels, order: EulerOrder) -> Vec<&'static str> {
    let positions = ["Xposition", "Yposition", "Zposition"];
    let rotations = order.axes().map(|axis| ["Xrotation", "Yrotation", "Zrotation"][axis]);
    match channels {
        Channels::PositionAndRotation => [positions, rotations].concat(),
        Channels::Rotation => rotations.to_vec(),
        Channels::Position => positions.to_vec(),
        Channels::EndSite => Vec::new(),
    }
}

fn channel_values(channels: Channels, pose: &JointPose, order: EulerOrder) -> Vec<f64> {
    let rotations = order.angles(&pose.rotation).map(f64::to_degrees);
    match channels {
        Channels::PositionAndRotation => [pose.position, rotations].concat(),
        Channels::Rotation => rotations.to_vec(),
        Channels::Position => pose.position.to_vec(),
        Channels::EndSite => Vec::new(),
    }
}
