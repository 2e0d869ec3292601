use crate::formats::{LengthUnit, Point, Recording};
use crate::roles::Role::{self, *};
use crate::settings::Corrections;
use crate::signal::median;
use crate::table::Table;

/// Stature taken where nothing tells the size, metres, and its 1 SD (assumed: adults of both sexes).
pub const ASSUMED_STATURE_M: f64 = 1.75;
const ASSUMED_STATURE_SD_M: f64 = 0.10;

/// Statures a player can have, metres: a file unit that makes the body larger or smaller is not its unit.
const STATURES_M: std::ops::RangeInclusive<f64> = 1.0..=2.3;
/// 1 SD of a stature estimated from a few segments, as a share: proportions differ between people and marker sets.
const PROPORTION_SD: f64 = 0.07;
/// Extent of the hands' travel in a full or part swing, metres; used only where no body point is known.
const HAND_TRAVEL_M: std::ops::RangeInclusive<f64> = 0.7..=3.0;

/// Bones as shares of stature (Drillis and Contini 1966 as drawn in Winter; from memory, inner consistency checked).
const BONES: [(Role, Role, f64); 8] = [
    (LeftShoulder, LeftElbow, 0.186),
    (RightShoulder, RightElbow, 0.186),
    (LeftElbow, LeftWrist, 0.146),
    (RightElbow, RightWrist, 0.146),
    (LeftHipJoint, LeftKnee, 0.245),
    (RightHipJoint, RightKnee, 0.245),
    (LeftKnee, LeftAnkle, 0.246),
    (RightKnee, RightAnkle, 0.246),
];

/// Spans that are not one bone, used where fewer than two bones are there: elbow to hand (wrist or knuckle, by marker
/// set), shoulder to hip (shoulder height 0.818 less hip height 0.530), hip bone to ankle.
const SPANS: [(Role, Role, f64); 8] = [
    (LeftElbow, LeftHand, 0.17),
    (RightElbow, RightHand, 0.17),
    (LeftShoulder, LeftHipJoint, 0.288),
    (RightShoulder, RightHipJoint, 0.288),
    (LeftShoulder, LeftHipBone, 0.265),
    (RightShoulder, RightHipBone, 0.265),
    (LeftHipBone, LeftAnkle, 0.52),
    (RightHipBone, RightAnkle, 0.52),
];

/// Metres per file unit, and how that is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale {
    /// Metres per file unit of each track.
    pub metres: Vec<f64>,
    /// Metres per file unit where all tracks share it (the first track's otherwise).
    pub metres_per_unit: f64,
    /// The unit, where it is one of the usual ones.
    pub unit: Option<LengthUnit>,
    /// "stated by the user", "stated by the file", "body size", "hand travel", "stature stated by the user" or
    /// "assumed: stature 1.75 m".
    pub source: &'static str,
    /// 1 SD as a share of the scale; 0 where it is stated.
    pub relative_sd: f64,
}

impl Scale {
    fn one(recording: &Recording, metres_per_unit: f64, source: &'static str, relative_sd: f64) -> Scale {
        let unit = LengthUnit::ALL.into_iter().find(|u| (u.metres() / metres_per_unit - 1.0).abs() < 1e-9);
        Scale { metres: vec![metres_per_unit; recording.tracks.len()], metres_per_unit, unit, source, relative_sd }
    }
}

/// Decides the scale: stated by the user, by the file (per track), or the unit that makes the body a body; where none
/// does, the body is taken as [`ASSUMED_STATURE_M`] (or the stated stature) tall.
///
/// `units`: body points over time in file units. `travel_units`: extent of the hands' travel in file units.
pub fn guess_scale(
    recording: &Recording,
    corrections: &Corrections,
    units: &Table<Role, Vec<Point>>,
    travel_units: Option<f64>,
) -> Scale {
    let stated = corrections.scale.filter(|scale| scale.is_finite() && *scale > 0.0);
    if let Some(metres) = stated.or(corrections.unit.map(LengthUnit::metres)) {
        return Scale::one(recording, metres, "stated by the user", 0.0);
    }
    if let Some(stated) = stated_by_file(recording) {
        return stated;
    }
    let stature_units = stature_in_units(units);
    if let (Some(stature), Some(units)) = (corrections.stature, stature_units) {
        let exact = stature / units;
        return match nearest_unit(exact) {
            Some(unit) => Scale::one(recording, unit.metres(), "body size", 0.0),
            None => Scale::one(recording, exact, "stature stated by the user", PROPORTION_SD),
        };
    }
    from_body(recording, stature_units, travel_units)
}

fn stated_by_file(recording: &Recording) -> Option<Scale> {
    let common = recording.stated_unit()?;
    let metres = recording.tracks.iter().map(|track| track.unit.unwrap_or(common).metres()).collect();
    Some(Scale {
        metres,
        metres_per_unit: common.metres(),
        unit: Some(common),
        source: "stated by the file",
        relative_sd: 0.0,
    })
}

fn from_body(recording: &Recording, stature_units: Option<f64>, travel_units: Option<f64>) -> Scale {
    let fits = |range: std::ops::RangeInclusive<f64>, size: Option<f64>, usual: f64| {
        let distance = |unit: &LengthUnit| (size.unwrap_or(f64::NAN) * unit.metres() / usual).ln().abs();
        LengthUnit::ALL
            .into_iter()
            .filter(|unit| size.is_some_and(|s| range.contains(&(s * unit.metres()))))
            .min_by(|a, b| distance(a).total_cmp(&distance(b)))
    };
    if let Some(unit) = fits(STATURES_M, stature_units, ASSUMED_STATURE_M) {
        return Scale::one(recording, unit.metres(), "body size", 0.0);
    }
    if let Some(units) = stature_units {
        let spread = (PROPORTION_SD.powi(2) + (ASSUMED_STATURE_SD_M / ASSUMED_STATURE_M).powi(2)).sqrt();
        return Scale::one(recording, ASSUMED_STATURE_M / units, "assumed: stature 1.75 m", spread);
    }
    match fits(HAND_TRAVEL_M, travel_units, 1.6) {
        Some(unit) => Scale::one(recording, unit.metres(), "hand travel", 0.0),
        None => Scale::one(recording, 1.0, "assumed: metres", 1.0),
    }
}

/// The usual unit within the error of body proportions of `metres_per_unit`.
fn nearest_unit(metres_per_unit: f64) -> Option<LengthUnit> {
    LengthUnit::ALL.into_iter().find(|unit| (metres_per_unit / unit.metres()).ln().abs() < 3.0 * PROPORTION_SD)
}

/// Stature in the unit of `units`, from the bones that are there, else from longer spans; good to a few percent between
/// people, and much better between two recordings of one.
pub fn stature_in_units(units: &Table<Role, Vec<Point>>) -> Option<f64> {
    let statures = |segments: &[(Role, Role, f64)]| -> Vec<f64> {
        let stature = |(a, b, share): &(Role, Role, f64)| Some(length(units.get(a)?, units.get(b)?)? / share);
        segments.iter().filter_map(stature).filter(|s| *s > 0.0).collect()
    };
    let bones = statures(&BONES);
    median(if bones.len() >= 2 { bones } else { [bones, statures(&SPANS)].concat() })
}

/// Median distance of two points that move; a few hundred rows tell it as well as all.
fn length(a: &[Point], b: &[Point]) -> Option<f64> {
    let step = (a.len() / 256).max(1);
    let distance = |(p, q): (&Point, &Point)| (0..3).map(|c| (p[c] - q[c]).powi(2)).sum::<f64>().sqrt();
    median(a.iter().zip(b).step_by(step).map(distance))
}
