//! Arm start against turn: when the arms have begun to drop, minus when the trunk has begun to unwind; and how far the
//! trunk has opened when the lead arm is level.

use super::course::Course;
use super::{ANY, Drawer, Found, Spec, Why};
use crate::swing::InstantName::{Impact, LeadArmLevel};
use crate::swing::{Pose, step};

/// The arms have started when their own `up` share is this far below its highest value, metres.
const ARM_DROP_M: f64 = 0.02;
/// The trunk has started when it is this far past its most wound position, radians.
const UNWOUND_RAD: f64 = 2.0 * std::f64::consts::PI / 180.0;

/// Step of the sums, seconds: on it the arms' course is straight to a quarter of a millimetre.
const STEP_S: f64 = 0.008;

pub(super) const SPECS: [Spec; 2] = [
    Spec {
        name: "arm start against turn",
        key: "measure.arm_start_against_turn",
        unit: "s",
        drawer: Drawer::First,
        rests_on: &["hands", "thorax", "hips", "impact"],
        bounds: ANY,
    },
    Spec {
        name: "trunk opening, at lead arm level",
        key: "measure.trunk_opening_at_lead_arm_level",
        unit: "deg",
        drawer: Drawer::Second,
        rests_on: &["hands", "thorax", "hips", "lead arm level"],
        bounds: ANY,
    }
    .not_negative(),
];

pub(super) fn values(course: &Course) -> [Found; 2] {
    match Sums::of(course) {
        Ok(sums) => [sums.arms_against_trunk(), course.time(LeadArmLevel).and_then(|t| sums.opened(t))],
        Err(why) => [Err(why); 2],
    }
}

/// How far the arms have lowered the hands, metres, and the trunk has turned towards the target, radians, since the
/// first of the times.
struct Sums {
    times: Vec<f64>,
    drop: Vec<f64>,
    turn: Vec<f64>,
}

impl Sums {
    /// Up to impact, from before the top on.
    fn of(course: &Course) -> Result<Sums, Why> {
        course.framed()?;
        let impact_s = course.time(Impact)?;
        course.hands(impact_s)?;
        let steps = ((impact_s - course.clock.start_s) / STEP_S).max(0.0) as usize;
        let mut times: Vec<f64> = (0..=steps).rev().map(|k| impact_s - k as f64 * STEP_S).collect();
        let poses: Vec<Result<Pose, Why>> = times.iter().map(|t| course.pose(*t)).collect();
        // The last stretch without a gap: the hands may be hidden on the way back.
        let from = poses.iter().rposition(Result::is_err).map_or(0, |k| k + 1);
        let poses: Vec<Pose> = poses[from..].iter().copied().collect::<Result<_, Why>>()?;
        if poses.len() < 2 {
            return Err(Why::Gap);
        }
        times.drain(..from);
        let (mut drop, mut turn) = (vec![0.0], vec![0.0]);
        for (k, pair) in poses.windows(2).enumerate() {
            let [arm, ..] = step(&pair[0], &pair[1]);
            drop.push(drop[k] - arm.z);
            turn.push(turn[k] + pair[0].turn_to(&pair[1]));
        }
        Ok(Sums { times, drop, turn })
    }

    fn arms_against_trunk(&self) -> Found {
        let arms_s = start(&self.times, &self.drop, ARM_DROP_M).ok_or(Why::ArmsStay)?;
        Ok(arms_s - start(&self.times, &self.turn, UNWOUND_RAD).ok_or(Why::NotUnwound)?)
    }

    /// How far the trunk has turned from its most wound position to `t`, degrees.
    fn opened(&self, t: f64) -> Found {
        let k = self.times.partition_point(|time| *time <= t);
        let (Some(before), Some(after)) = (k.checked_sub(1), self.times.get(k)) else { return Err(Why::Gap) };
        let share = (t - self.times[before]) / (after - self.times[before]);
        let now = self.turn[before] + share * (self.turn[k] - self.turn[before]);
        let wound = self.turn[..k].iter().copied().fold(f64::INFINITY, f64::min);
        Ok((now - wound).max(0.0).to_degrees())
    }
}

/// When `values` have risen by `rise` above their lowest, after it.
fn start(times: &[f64], values: &[f64], rise: f64) -> Option<f64> {
    let lowest = (0..values.len()).min_by(|a, b| values[*a].total_cmp(&values[*b]))?;
    let goal = values[lowest] + rise;
    let k = (lowest + 1..values.len()).find(|k| values[*k] >= goal)?;
    let share = (goal - values[k - 1]) / (values[k] - values[k - 1]);
    Some(times[k - 1] + share * (times[k] - times[k - 1]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_start_is_interpolated_and_comes_after_the_lowest_value() {
        let (times, values) = ([0.0, 0.1, 0.2, 0.3], [5.0, 1.0, 2.0, 4.0]);
        assert!((start(&times, &values, 2.0).unwrap() - 0.25).abs() < 1e-12);
        assert_eq!(start(&times, &values, 3.5), None);
    }
}
