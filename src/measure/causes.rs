//! Carried and made: what the body and what the arms did of the hands' way from the top to lead arm level.
//!
//! The shares of `swing::shares`, in the thorax frame of the shoulder line, or of the trunk landmarks where a shoulder
//! or the hips are not known.

use super::course::{Course, V};
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::InstantName::{LeadArmLevel, Top};
use crate::swing::{Pose, step};

pub(super) const SPECS: [Spec; 6] = [
    spec("carried, out", "measure.carried_out"),
    spec("carried, target", "measure.carried_target"),
    spec("carried, up", "measure.carried_up"),
    spec("made, out", "measure.made_out"),
    spec("made, target", "measure.made_target"),
    spec("made, up", "measure.made_up"),
];

const fn spec(name: &'static str, key: &'static str) -> Spec {
    let rests_on: &[&str] = &["hands", "thorax", "hips", "target line", "top", "lead arm level"];
    Spec { name, key, unit: "m", drawer: Drawer::First, rests_on, bounds: ANY }
}

pub(super) fn values(course: &Course) -> [Found; 6] {
    match shares(course) {
        Ok([arm, body]) => [Ok(body.x), Ok(body.y), Ok(body.z), Ok(arm.x), Ok(arm.y), Ok(arm.z)],
        Err(why) => [Err(why); 6],
    }
}

/// Arm share and body share.
fn shares(course: &Course) -> Result<[V; 2], Why> {
    course.framed()?;
    let (top_s, level_s) = course.span(Top, LeadArmLevel)?;
    let rows = course.clock.times().filter(|t| *t > top_s && *t < level_s);
    let times = std::iter::once(top_s).chain(rows).chain(std::iter::once(level_s));
    let poses = times.map(|t| course.pose(t)).collect::<Result<Vec<Pose>, Why>>()?;
    let mut sums = [V::zeros(); 2];
    for pair in poses.windows(2) {
        let [arm, body, ..] = step(&pair[0], &pair[1]);
        sums[0] += arm;
        sums[1] += body;
    }
    Ok(sums)
}
