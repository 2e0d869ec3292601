use super::{Landmarks, horizontal};
use crate::roles::Role::{self, *};
use crate::settings::TargetLine;
use nalgebra::Vector3;

/// Where the target line comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TargetSource {
    /// Direction or markers stated by the user.
    User,
    /// Markers laid on the target line.
    TargetMarkers,
    /// Line through both ankles at address.
    Ankles,
    /// Line through both toes at address.
    Toes,
    /// Line through both hips at address.
    Hips,
    /// Line through both shoulders at address.
    Shoulders,
    /// Nothing but the hands: their travel at the lowest point stands in for it.
    HandTravel,
}

impl TargetSource {
    /// Documented words.
    pub fn name(self) -> &'static str {
        match self {
            TargetSource::User => "stated by the user",
            TargetSource::TargetMarkers => "target markers",
            TargetSource::Ankles => "ankle line at address",
            TargetSource::Toes => "toe line at address",
            TargetSource::Hips => "hip line at address",
            TargetSource::Shoulders => "shoulder line at address",
            TargetSource::HandTravel => "assumed: travel of the hands",
        }
    }

    /// 1 SD in degrees (working assumptions: stance differs from aim, and in a systematic way).
    pub fn sd_deg(self) -> f64 {
        match self {
            TargetSource::User | TargetSource::TargetMarkers => 1.0,
            TargetSource::Ankles => 5.0,
            TargetSource::Toes => 6.0,
            TargetSource::Hips => 7.0,
            TargetSource::Shoulders => 9.0,
            TargetSource::HandTravel => 20.0,
        }
    }
}

/// A target line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TargetGuess {
    /// Horizontal unit vector towards the target, file axes.
    pub direction: Vector3<f64>,
    /// Where it comes from.
    pub source: TargetSource,
}

/// The target line: the body line the user chooses; markers laid on it; else ankles, toes, hips, shoulders at address.
///
/// `towards`: rough direction of the target (from trail to lead side, or of the hands' travel), which settles the sign
/// of body lines and of markers that are not told apart. All lines are flattened perpendicular to `up`.
pub fn target_line(
    pose: &Landmarks,
    up: Vector3<f64>,
    towards: Vector3<f64>,
    stated: Option<&TargetLine>,
) -> Option<TargetGuess> {
    let toward = |line: Vector3<f64>| {
        let flat = horizontal(line, up).try_normalize(1e-6)?;
        Some(if flat.dot(&towards) < 0.0 { -flat } else { flat })
    };
    let body = |source: TargetSource| {
        let lines: &[(Role, Role)] = match source {
            TargetSource::TargetMarkers => &[(TargetNear, TargetFar)],
            TargetSource::Ankles => &[(LeftAnkle, RightAnkle)],
            TargetSource::Toes => &[(LeftToe, RightToe)],
            TargetSource::Hips => &[(LeftHipJoint, RightHipJoint), (LeftHipBone, RightHipBone)],
            TargetSource::Shoulders => &[(LeftShoulder, RightShoulder)],
            TargetSource::User | TargetSource::HandTravel => &[],
        };
        let direction = lines.iter().find_map(|(a, b)| pose.between(*a, *b)).and_then(toward)?;
        Some(TargetGuess { direction, source })
    };
    let first_choice = match stated {
        Some(TargetLine::Ankles) => body(TargetSource::Ankles),
        Some(TargetLine::Toes) => body(TargetSource::Toes),
        Some(TargetLine::Hips) => body(TargetSource::Hips),
        Some(TargetLine::Shoulders) => body(TargetSource::Shoulders),
        // Directions and markers are settled by the caller, who knows the file's axes and tracks.
        Some(TargetLine::Direction(_) | TargetLine::Markers { .. }) | None => None,
    };
    let in_order = [
        TargetSource::TargetMarkers,
        TargetSource::Ankles,
        TargetSource::Toes,
        TargetSource::Hips,
        TargetSource::Shoulders,
    ];
    first_choice.or_else(|| in_order.into_iter().find_map(body))
}
