//! Forward kinematics: from joint angles to points.

use super::error::BvhError;
use super::motion::Motion;
use super::skeleton::{Channel, Joint, Skeleton};
use crate::formats::{GAP, Point, Track, is_gap};
use nalgebra::{Rotation3, Vector3};

/// Points a file may ask for whatever its size: 24 MB.
const ANY_FILE_POINTS: usize = 1_000_000;

/// Points per value beyond that. Usual skeletons have three channels a joint, so about half a point per value; only a
/// file made to exhaust memory (thousands of joints without channels) has many points per value.
const POINTS_PER_VALUE: usize = 2;

/// Refuses a table whose points are out of proportion to the values in the file.
pub(super) fn check_size(skeleton: &Skeleton, motion: &Motion<'_>) -> Result<(), BvhError> {
    let points = skeleton.joints.len().saturating_mul(motion.rows());
    let values = motion.values();
    let limit = ANY_FILE_POINTS.max(values.saturating_mul(POINTS_PER_VALUE));
    if points > limit { Err(BvhError::TooLarge { points, values }) } else { Ok(()) }
}

/// One track per joint and end site. A missing value makes a gap of every point whose place depends on it.
pub(super) fn tracks(skeleton: &Skeleton, motion: &Motion<'_>) -> Vec<Track> {
    let joints = &skeleton.joints;
    let mut points: Vec<Vec<Point>> = joints.iter().map(|_| Vec::with_capacity(motion.rows())).collect();
    let mut world: Vec<(Vector3<f64>, Rotation3<f64>)> = vec![(Vector3::zeros(), Rotation3::identity()); joints.len()];
    for row in motion.each_row() {
        for (index, joint) in joints.iter().enumerate() {
            let (parent_at, parent_turn) =
                joint.parent.map_or((Vector3::zeros(), Rotation3::identity()), |parent| world[parent]);
            let (shift, turn) = local(joint, &row[joint.first..joint.first + joint.channels.len()]);
            let at = parent_at + parent_turn * shift;
            world[index] = (at, parent_turn * turn);
            points[index].push(point(at));
        }
    }
    let track = |(joint, points): (&Joint, _)| Track {
        name: joint.name.clone(),
        points,
        unit: None,
        parent: joint.parent,
        end_site: joint.end_site,
    };
    joints.iter().zip(points).map(track).collect()
}

fn point(at: Vector3<f64>) -> Point {
    let point = [at.x, at.y, at.z];
    if is_gap(&point) { GAP } else { point }
}

/// The joint's own translation and rotation. The translation comes first whatever the order of the channels; among
/// rotations the order of the channels is the order of the product.
fn local(joint: &Joint, values: &[f64]) -> (Vector3<f64>, Rotation3<f64>) {
    let mut shift = Vector3::from(joint.offset);
    let mut turn = Rotation3::identity();
    for (channel, &value) in joint.channels.iter().zip(values) {
        match *channel {
            Channel::Position(axis) if joint.replaces_offset => shift[axis] = value,
            Channel::Position(axis) => shift[axis] += value,
            Channel::Rotation(axis) => {
                turn *= Rotation3::from_axis_angle(&AXES[axis](), value.to_radians());
            }
        }
    }
    (shift, turn)
}

const AXES: [fn() -> nalgebra::UnitVector3<f64>; 3] = [Vector3::x_axis, Vector3::y_axis, Vector3::z_axis];
