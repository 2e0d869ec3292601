//! The first measures of a model swing from its closed forms: what the tests of measures agree with.

use handpath::model::{ModelParams, Motion};
use handpath::swing::InstantName;
use nalgebra::Vector3;

/// Names and values in metres, seconds, degrees; a value that the model swing has not is left out.
pub(crate) fn first_measures(params: &ModelParams) -> Vec<(&'static str, f64)> {
    let motion = Motion::new(params);
    let truth = motion.truth(0).expect("a swing");
    let at = |name: InstantName| truth.instants[&name];
    let (top_s, level_s, hip_s, impact_s) =
        (at(InstantName::Top), at(InstantName::LeadArmLevel), at(InstantName::HipHeight), at(InstantName::Impact));
    let top = motion.hands(top_s);
    let shares = motion.shares(top_s, level_s);
    let drift = extremes(top_s, level_s, |t| motion.hands(t).x - top.x);
    let direct = truth.ball - top;
    let normal = Vector3::new(direct.z, 0.0, -direct.x).normalize();
    let side = |t: f64| (motion.hands(t) - top).dot(&normal);
    let head = motion.club_head_velocity(impact_s);
    let elevation = |t: f64| motion.club_direction(t).z.asin().to_degrees();
    let mut list = vec![
        ("out drift, greatest", drift[1]),
        ("out drift, least", drift[0]),
        ("out drift, at lead arm level", motion.hands(level_s).x - top.x),
        ("carried, out", shares.body.x),
        ("carried, target", shares.body.y),
        ("carried, up", shares.body.z),
        ("made, out", shares.arms.x),
        ("made, target", shares.arms.y),
        ("made, up", shares.arms.z),
        ("depth at the top", truth.ball.x - top.x),
        ("side of the direct line, greatest", extremes(top_s, hip_s, side)[1]),
        ("side of the direct line, at hip height", side(hip_s)),
        ("shaft elevation, at top", elevation(top_s)),
        ("shaft elevation, at lead arm level", elevation(level_s)),
        ("shaft elevation, at hip height", elevation(hip_s)),
        ("shaft elevation, change to lead arm level", elevation(level_s) - elevation(top_s)),
        ("club path, at impact", head.x.atan2(head.y).to_degrees()),
        ("attack angle, at impact", head.z.atan2(head.x.hypot(head.y)).to_degrees()),
    ];
    for (names, t) in PLACES.iter().zip([top_s, level_s, hip_s, impact_s]) {
        list.extend(names.iter().copied().zip(motion.hands(t).iter().copied()));
    }
    list.extend(start_against_turn(&motion, impact_s).map(|start| ("arm start against turn", start)));
    list
}

const PLACES: [[&str; 3]; 4] = [
    ["hands at top, out", "hands at top, target", "hands at top, up"],
    ["hands at lead arm level, out", "hands at lead arm level, target", "hands at lead arm level, up"],
    ["hands at hip height, out", "hands at hip height, target", "hands at hip height, up"],
    ["hands at impact, out", "hands at impact, target", "hands at impact, up"],
];

/// Least and greatest value in a span.
fn extremes(from_s: f64, to_s: f64, f: impl Fn(f64) -> f64) -> [f64; 2] {
    let times = (0..=500).map(|k| from_s + (to_s - from_s) * f64::from(k) / 500.0);
    times.map(f).fold([f64::MAX, f64::MIN], |[least, most], x| [least.min(x), most.max(x)])
}

/// When the arms' own up share is 2 cm below its highest, minus when the thorax is 2 degrees past its most wound.
fn start_against_turn(motion: &Motion, impact_s: f64) -> Option<f64> {
    const STEP_S: f64 = 0.001;
    let from_s = motion.times[0].down_s - 0.5;
    let steps = ((impact_s - from_s) / STEP_S) as usize;
    let (mut drop, mut turn) = (vec![0.0], vec![0.0]);
    for k in 0..steps {
        let t = from_s + (k as f64 + 0.5) * STEP_S;
        let rotation = motion.thorax_rotation(t);
        drop.push(drop[k] - (rotation * motion.hands_in_thorax_velocity(t)).z * STEP_S);
        turn.push(turn[k] + motion.thorax_spin(t).dot(&(rotation * Vector3::z())) * STEP_S);
    }
    let start = |values: &[f64], rise: f64| {
        let lowest = (0..values.len()).min_by(|a, b| values[*a].total_cmp(&values[*b]))?;
        let goal = values[lowest] + rise;
        let k = (lowest + 1..values.len()).find(|k| values[*k] >= goal)?;
        Some((k as f64 - (values[k] - goal) / (values[k] - values[k - 1])) * STEP_S)
    };
    Some(start(&drop, 0.02)? - start(&turn, 2.0_f64.to_radians())?)
}
