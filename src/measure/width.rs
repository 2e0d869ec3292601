//! Width: the distance from the hands to the middle of the shoulders.

use super::course::Course;
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::BodyPoint::{LeadShoulder, TrailShoulder};
use crate::swing::InstantName::{Impact, Top};

pub(super) const SPECS: [Spec; 2] = [
    spec("width, least", "measure.width_least", "m").not_negative(),
    spec("width, least before impact", "measure.width_least_before_impact", "s"),
];

const fn spec(name: &'static str, key: &'static str, unit: &'static str) -> Spec {
    let rests_on: &[&str] = &["hands", "shoulders", "top", "impact"];
    Spec { name, key, unit, drawer: Drawer::Second, rests_on, bounds: ANY }
}

pub(super) fn values(course: &Course) -> [Found; 2] {
    let least = least(course);
    [least.map(|(width, _)| width), least.map(|(_, before_s)| before_s)]
}

/// Least width between top and impact, and how long before impact.
fn least(course: &Course) -> Result<(f64, f64), Why> {
    let mut best = (f64::INFINITY, 0.0);
    let path = course.moments(Top, Impact)?;
    let impact_s = path[path.len() - 1].0;
    for (t, [hands, _]) in path {
        let middle = 0.5 * (course.point(LeadShoulder, t)? + course.point(TrailShoulder, t)?);
        let width = (hands - middle).norm();
        if width < best.0 {
            best = (width, impact_s - t);
        }
    }
    Ok(best)
}
