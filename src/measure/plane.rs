//! The plane nearest the hand path, between named instants: the path from lead arm level to impact. (No one plane holds
//! a whole downswing: Kwon et al. 2012, abstract.)

use super::course::{Course, V, resampled, unknown};
use super::{ANY, Drawer, Found, Spec, Why};
use crate::formats::Point;
use crate::order::sort_by;
use crate::swing::InstantName::{Impact, LeadArmLevel};
use nalgebra::{Matrix3, SymmetricEigen};

/// The path is looked at every centimetre, so that slow and fast parts count alike, metres.
const STEP_M: f64 = 0.01;

pub(super) const SPECS: [Spec; 3] = [
    spec("hand plane, inclination", "measure.hand_plane_inclination", "deg", &["hands", "lead arm level", "impact"]),
    spec(
        "hand plane, direction",
        "measure.hand_plane_direction",
        "deg",
        &["hands", "target line", "lead arm level", "impact"],
    ),
    spec("hand plane, RMS distance", "measure.hand_plane_rms_distance", "m", &["hands", "lead arm level", "impact"])
        .not_negative(),
];

const fn spec(name: &'static str, key: &'static str, unit: &'static str, rests_on: &'static [&'static str]) -> Spec {
    Spec { name, key, unit, drawer: Drawer::Second, rests_on, bounds: ANY }
}

pub(super) fn values(course: &Course) -> [Found; 3] {
    let plane = hand_plane(course);
    [
        plane.map(|plane| plane.inclination_deg()),
        course.framed().and(plane).map(|plane| plane.direction_deg()),
        plane.map(|plane| plane.rms_m),
    ]
}

fn hand_plane(course: &Course) -> Result<Plane, Why> {
    let path = resampled(&course.path(LeadArmLevel, Impact)?, STEP_M);
    plane_through(&path).ok_or(Why::SmallMove)
}

/// A plane fitted to points by total least squares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Mean of the points.
    pub centre: Point,
    /// Unit normal, its `up` coordinate not negative.
    pub normal: Point,
    /// Root of the mean square distance of the points from the plane, in their unit.
    pub rms_m: f64,
}

impl Plane {
    /// Acute angle between the plane and the ground, degrees.
    pub fn inclination_deg(&self) -> f64 {
        self.normal[2].clamp(0.0, 1.0).acos().to_degrees()
    }

    /// Direction of the plane's level line against the target line, degrees from -90 to 90; positive: it points out.
    pub fn direction_deg(&self) -> f64 {
        let [out, target, _] = self.normal;
        // The level line is (target, -out) of the normal; of its two ends the one towards the target counts.
        let (line_out, line_target) = if out > 0.0 { (-target, out) } else { (target, -out) };
        line_out.atan2(line_target).to_degrees()
    }
}

/// The plane with the least sum of squared distances: its normal is the eigenvector of the points' scatter matrix with
/// the least eigenvalue (checked against numpy's singular value decomposition).
///
/// `None` for fewer than three points, a gap among them, or points on a line. O(n).
pub fn fit_plane(points: &[Point]) -> Option<Plane> {
    let points: Vec<V> = points.iter().copied().map(V::from).collect();
    plane_through(&points)
}

fn plane_through(points: &[V]) -> Option<Plane> {
    if points.len() < 3 || points.iter().any(unknown) {
        return None;
    }
    let share = 1.0 / points.len() as f64;
    let centre = points.iter().sum::<V>() * share;
    let scatter = points.iter().map(|p| (p - centre) * (p - centre).transpose()).sum::<Matrix3<f64>>() * share;
    let eigen = SymmetricEigen::try_new(scatter, f64::EPSILON, 1000)?;
    let mut order = [0, 1, 2];
    sort_by(&mut order, |a, b| eigen.eigenvalues[*a].total_cmp(&eigen.eigenvalues[*b]));
    let [least, middle, _] = order.map(|i| eigen.eigenvalues[i]);
    let normal = eigen.eigenvectors.column(order[0]).into_owned();
    let normal = if normal.z < 0.0 { -normal } else { normal };
    // Points on a line leave the plane open.
    let fixed = middle > 1e-12 * scatter.trace().max(f64::MIN_POSITIVE);
    fixed.then(|| Plane { centre: centre.into(), normal: normal.into(), rms_m: least.max(0.0).sqrt() })
}
