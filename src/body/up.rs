use super::Landmarks;
use crate::formats::{Axis, Recording};
use crate::roles::Role;
use crate::settings::Corrections;
use crate::words::Message;
use nalgebra::Vector3;

/// A body whose long axis is further than this (cosine) from the declared up does not stand in it.
const STANDS: f64 = 0.5;

/// Which way is up, in file axes.
#[derive(Clone, Debug, PartialEq)]
pub struct UpGuess {
    /// The axis.
    pub axis: Axis,
    /// "stated by the user", "stated by the file", "standing body", "usual for the format" or "assumed".
    pub source: &'static str,
    /// Told where the file and the body disagree.
    pub warning: Option<Message>,
}

/// Up: stated by the user; declared by the file; the axis along which hips stand over ankles and shoulders over hips;
/// what the format usually has; +z.
pub fn guess_up(recording: &Recording, corrections: &Corrections, pose: &Landmarks) -> UpGuess {
    let chosen = |axis, source| UpGuess { axis, source, warning: None };
    if let Some(axis) = corrections.up {
        return chosen(axis, "stated by the user");
    }
    let body = long_axis(pose);
    if let Some(declared) = recording.up {
        return match body {
            Some((axis, direction)) if direction.dot(&Vector3::from(declared.unit())) < STANDS => UpGuess {
                axis,
                source: "standing body",
                warning: Some(
                    Message::new("body.up_conflict").with("declared", declared.name()).with("body", axis.name()),
                ),
            },
            _ => chosen(declared, "stated by the file"),
        };
    }
    match (body, recording.usual_up) {
        (Some((axis, _)), _) => chosen(axis, "standing body"),
        (None, Some(usual)) => chosen(usual, "usual for the format"),
        (None, None) => chosen(Axis::PlusZ, "assumed"),
    }
}

/// The axis nearest the direction from feet to shoulders, and that direction.
fn long_axis(pose: &Landmarks) -> Option<(Axis, Vector3<f64>)> {
    let feet = pose.mid_ankles().or_else(|| pose.mid(Role::LeftToe, Role::RightToe));
    let stacked = [feet, pose.mid_hips(), pose.mid_shoulders().or_else(|| pose.get(Role::Head))];
    let levels: Vec<Vector3<f64>> = stacked.into_iter().flatten().collect();
    let sum: Vector3<f64> = levels.windows(2).filter_map(|pair| (pair[1] - pair[0]).try_normalize(1e-9)).sum();
    let direction = sum.try_normalize(1e-9)?;
    let along = |axis: &Axis| direction.dot(&Vector3::from(axis.unit()));
    let axis = Axis::ALL.into_iter().max_by(|a, b| along(a).total_cmp(&along(b)))?;
    Some((axis, direction))
}
