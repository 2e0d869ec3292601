//! Carried and made: what the body and what the arms did of the hands' way from the top to lead arm level.
//!
//! The shares of `swing::shares`, in the thorax frame of the shoulder line, or of the trunk landmarks where a shoulder
//! or the hips are not known; and what findings need beside them.

use super::course::{Course, V};
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::InstantName::{LeadArmLevel, Top};
use crate::swing::step;

/// A body that carries the hands out by less than this leaves nothing of which a part could be taken back, metres.
const LEAST_CARRIED_M: f64 = 0.02;

pub(super) const SPECS: [Spec; 11] = [
    spec("carried, out", "measure.carried_out"),
    spec("carried, target", "measure.carried_target"),
    spec("carried, up", "measure.carried_up"),
    spec("made, out", "measure.made_out"),
    spec("made, target", "measure.made_target"),
    spec("made, up", "measure.made_up"),
    second("carried by shift, out", "measure.carried_by_shift_out", "m"),
    second("carried by turn, out", "measure.carried_by_turn_out", "m"),
    second("carried by tilt, out", "measure.carried_by_tilt_out", "m"),
    second("taken back", "measure.taken_back", "1"),
    second("trunk lean, top to lead arm level", "measure.trunk_lean_top_to_lead_arm_level", "deg").not_negative(),
];

const fn spec(name: &'static str, key: &'static str) -> Spec {
    let rests_on: &[&str] = &["hands", "thorax", "hips", "target line", "top", "lead arm level"];
    Spec { name, key, unit: "m", drawer: Drawer::First, rests_on, bounds: ANY }
}

const fn second(name: &'static str, key: &'static str, unit: &'static str) -> Spec {
    Spec { unit, drawer: Drawer::Second, ..spec(name, key) }
}

pub(super) fn values(course: &Course) -> [Found; 11] {
    let Causes { arm, body, shift, turn, lean } = match causes(course) {
        Ok(causes) => causes,
        Err(why) => return [Err(why); 11],
    };
    let taken_back = if body.x < LEAST_CARRIED_M { Err(Why::NotCarried) } else { Ok(-arm.x / body.x) };
    let tilt = body.x - shift.x - turn.x;
    let shares = [body.x, body.y, body.z, arm.x, arm.y, arm.z, shift.x, turn.x, tilt].map(Ok);
    let rest = [taken_back, Ok(lean.to_degrees())];
    std::array::from_fn(|k| if k < 9 { shares[k] } else { rest[k - 9] })
}

/// Shares of arms, body, and of the body's shift and turn; the lean of the trunk, radians, on average over time.
#[derive(Default)]
struct Causes {
    arm: V,
    body: V,
    shift: V,
    turn: V,
    lean: f64,
}

fn causes(course: &Course) -> Result<Causes, Why> {
    course.framed()?;
    let (top_s, level_s) = course.span(Top, LeadArmLevel)?;
    let trunk = course.trunk()?;
    let first = trunk.at(top_s)?;
    let (mut causes, mut from) = (Causes::default(), (top_s, first, first.lean()));
    let rows = course.between(top_s, level_s).map(|k| (course.clock.time(k), trunk.at_sample(k)));
    for (to_s, pose) in rows.chain(std::iter::once_with(|| (level_s, trunk.at(level_s)))) {
        let ((from_s, before, leant), pose) = (from, pose?);
        let ([arm, body, shift, turn], lean) = (step(&before, &pose), pose.lean());
        causes.arm += arm;
        causes.body += body;
        causes.shift += shift;
        causes.turn += turn;
        causes.lean += 0.5 * (leant + lean) * (to_s - from_s) / (level_s - top_s);
        from = (to_s, pose, lean);
    }
    let Causes { arm, body, shift, turn, lean } = causes;
    let [arm, body, shift, turn] = [arm, body, shift, turn].map(|share| course.view.turn * share);
    Ok(Causes { arm, body, shift, turn, lean })
}
