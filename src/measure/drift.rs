//! Out drift: `out(t) - out(top)` from the top to lead arm level, both included.

use super::course::Course;
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::InstantName::{LeadArmLevel, Top};

pub(super) const SPECS: [Spec; 3] = [
    spec("out drift, greatest", "measure.out_drift_greatest").not_negative(),
    spec("out drift, least", "measure.out_drift_least").not_positive(),
    spec("out drift, at lead arm level", "measure.out_drift_at_lead_arm_level"),
];

const fn spec(name: &'static str, key: &'static str) -> Spec {
    let rests_on: &[&str] = &["hands", "target line", "top", "lead arm level"];
    Spec { name, key, unit: "m", drawer: Drawer::First, rests_on, bounds: ANY }
}

pub(super) fn values(course: &Course) -> [Found; 3] {
    let drift = drift(course);
    let of = |pick: fn(&[f64]) -> f64| drift.as_deref().map(pick).map_err(|why| *why);
    [
        of(|drift| drift.iter().copied().fold(0.0, f64::max)),
        of(|drift| drift.iter().copied().fold(0.0, f64::min)),
        of(|drift| drift[drift.len() - 1]),
    ]
}

fn drift(course: &Course) -> Result<Vec<f64>, Why> {
    course.framed()?;
    let path = course.path(Top, LeadArmLevel)?;
    Ok(path.iter().map(|hands| hands.x - path[0].x).collect())
}
