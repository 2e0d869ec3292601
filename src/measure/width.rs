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

/// The least is looked for at every so many steps, then at all steps around it: a filtered width has but one in between.
const STRIDE: usize = 4;

/// Least width between top and impact, and how long before impact.
fn least(course: &Course) -> Result<(f64, f64), Why> {
    let (times, path) = (course.times(Top, Impact)?, course.path(Top, Impact)?);
    let last = path.len() - 1;
    let least = |steps: &mut dyn Iterator<Item = usize>| -> Result<(f64, usize), Why> {
        let mut best = (f64::INFINITY, 0);
        for k in steps {
            let middle = 0.5 * (course.point(LeadShoulder, times[k])? + course.point(TrailShoulder, times[k])?);
            let width = (path[k] - middle).norm();
            best = if width < best.0 { (width, k) } else { best };
        }
        Ok(best)
    };
    let (_, near) = least(&mut (0..last).step_by(STRIDE).chain([last]))?;
    let (width, at) = least(&mut (near.saturating_sub(STRIDE)..(near + STRIDE + 1).min(last + 1)))?;
    Ok((width, times[last] - times[at]))
}
