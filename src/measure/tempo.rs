//! How long the way back and the way down take.

use super::course::Course;
use super::{ANY, Drawer, Found, Spec};
use crate::swing::InstantName::{Impact, Takeaway, Top};

pub(super) const SPECS: [Spec; 3] = [
    spec("backswing duration", "measure.backswing_duration", "s", &["takeaway", "top"]),
    spec("downswing duration", "measure.downswing_duration", "s", &["top", "impact"]),
    spec("backswing to downswing ratio", "measure.backswing_to_downswing_ratio", "1", &["takeaway", "top", "impact"]),
];

const fn spec(name: &'static str, key: &'static str, unit: &'static str, rests_on: &'static [&'static str]) -> Spec {
    Spec { name, key, unit, drawer: Drawer::Second, rests_on, bounds: ANY }.not_negative()
}

pub(super) fn values(course: &Course) -> [Found; 3] {
    let back = course.span(Takeaway, Top).map(|(from, to)| to - from);
    let down = course.span(Top, Impact).map(|(from, to)| to - from);
    [back, down, back.and_then(|back| Ok(back / down?))]
}
